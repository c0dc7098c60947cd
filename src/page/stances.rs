//! The stances to choose from: by name, by a slider that goes from one to the next, and small beside each other.

use std::sync::Arc;

use leptos::prelude::*;

use super::drawing::{Look, whole};
use super::painting::painted;
use super::store::Store;
use crate::plan::words;
use crate::sled::Cockpit;
use crate::units::text::{capital, finite};
use crate::view::stage::{Scene, small};
use crate::view::svg::{self, Group};

/// Width of the window from which the stances are drawn small beside each other, px; `page.css` shows them from there.
const WIDE: f64 = 1200.0;

/// A way this close to a stance is that stance.
const NEAR: f64 = 0.03;

/// The choice of the stance in front.
#[component]
pub fn Stances(store: Store, look: Look, size: RwSignal<(f64, f64)>) -> impl IntoView {
    let wide = Memo::new(move |_| {
        size.track();
        let width = window().inner_width().ok().and_then(|w| w.as_f64());
        width.is_some_and(|w| w >= WIDE)
    });
    let names: Vec<String> = store.stances.with_value(|stances| {
        let names = stances.iter().map(|s| s.name.clone());
        names.collect()
    });
    let front = Memo::new(move |_| {
        let front = store.front();
        let place = |stances: &Arc<Vec<crate::stance::Stance>>| {
            stances.iter().position(|s| s.name == front).unwrap_or(0)
        };
        store.stances.with_value(place)
    });
    // A stance that was picked is shown; the way that led elsewhere is over.
    Effect::new(move |_| {
        let front = front.get();
        let way = look.way.get_untracked();
        if way.is_some_and(|w| whole(w + 0.5) != front) {
            look.way.set(None);
        }
    });
    let picks = names
        .iter()
        .enumerate()
        .map(|(i, name)| pick(store, i, name.clone(), front, wide))
        .collect_view();
    view! {
        <div class="stances">
            <fieldset>
                <legend class="unseen">"Stance in front"</legend>
                {picks}
            </fieldset>
            {slider(store, names, front, look)}
            <label class="check">
                <input
                    type="checkbox"
                    prop:checked=move || look.outlines.get()
                    on:change=move |event| look.outlines.set(event_target_checked(&event))
                />
                "others as outlines"
            </label>
        </div>
    }
}

/// The slider: the body goes with it, and the stance next to where it rests is the one in front.
fn slider(store: Store, names: Vec<String>, front: Memo<usize>, look: Look) -> AnyView {
    // Stances are few.
    let place = |i: usize| f64::from(u32::try_from(i).unwrap_or(0));
    let last = place(names.len().saturating_sub(1));
    let names = StoredValue::new(names);
    let name = move |i: usize| names.with_value(|n| n.get(i).cloned().unwrap_or_default());
    let now = move || look.way.get().unwrap_or_else(|| place(front.get()));
    let says = move || {
        let way = now();
        let near = whole(way + 0.5);
        if (way - place(near)).abs() <= NEAR {
            name(near)
        } else {
            format!("between {} and {}", name(whole(way)), name(whole(way) + 1))
        }
    };
    let read = |event: &leptos::ev::Event| finite(&event_target_value(event));
    view! {
        <input
            class="way"
            type="range"
            min="0"
            max=hundredths(last)
            step="0.02"
            aria-label="From stance to stance"
            aria-valuetext=says
            prop:value=move || hundredths(now())
            on:input=move |event| look.way.set(read(&event))
            on:change=move |event| {
                let Some(way) = read(&event) else { return };
                let near = whole(way + 0.5);
                look.way.set(((way - place(near)).abs() > NEAR).then_some(way));
                if near != front.get_untracked() {
                    store.change("", |plan| plan.front = name(near));
                }
            }
        />
    }
    .into_any()
}

/// A way as the slider counts it.
fn hundredths(way: f64) -> String {
    (libm::round(100.0 * way) / 100.0).to_string()
}

/// One stance to pick.
fn pick(store: Store, index: usize, name: String, front: Memo<usize>, wide: Memo<bool>) -> AnyView {
    let id = format!("stance-{name}");
    let chosen = move || front.get() == index;
    let drawn = Memo::new(move |_| wide.get().then(|| small_drawing(store, index)).flatten());
    let paper = painted(drawn, |d| &d.1);
    let word = move || {
        store.posed.with(|posed| {
            let posture = posed.as_ref().and_then(|posed| posed.postures.get(index));
            posture.map_or("", |p| words::posture_word(&p.status))
        })
    };
    let title = capital(&name);
    view! {
        <div class="stance" class:chosen=chosen>
            <input
                type="radio"
                name="stance"
                id=id.clone()
                prop:checked=chosen
                on:change=move |_| {
                    let name = name.clone();
                    store.change("", |plan| plan.front = name);
                }
            />
            <label for=id>
                <svg
                    class="stage small"
                    aria-hidden="true"
                    viewBox=move || drawn.with(|d| d.as_ref().map(|d| d.0.clone()))
                >
                    <g node_ref=paper></g>
                </svg>
                <span class="stance-name">{title}</span>
                <span class="stance-word">{word}</span>
            </label>
        </div>
    }
    .into_any()
}

/// View box and groups of one stance on the set-up that stands: it does not follow the pointer.
fn small_drawing(store: Store, index: usize) -> Option<(String, Vec<Group>)> {
    let (built, sled) = (store.built.get()?, store.sled.get()?);
    let set_up = store.set_up.get()?;
    set_up.settings.checked(&sled).ok()?;
    let stances = store.stances.get_value();
    let cockpit = Cockpit::new(&sled, set_up.settings);
    let system = store.system();
    let scene = Scene::of(&built.rider, &cockpit, &set_up, &stances, index, system)?;
    let drawn = small(&scene);
    Some((svg::view_box(&drawn), svg::groups(&drawn)))
}
