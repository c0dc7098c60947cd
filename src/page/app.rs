//! The page's frame: heading, places, units, theme, steps back; and the start place.

use std::cell::Cell;
use std::rc::Rc;
use std::time::Duration;

use leptos::prelude::*;
use wasm_bindgen::JsCast;

use super::advice::Advice;
use super::book::BookPlace;
use super::compare::ComparePlace;
use super::field;
use super::hold::HoldView;
use super::keeping::storage;
use super::print::TakeAlong;
use super::rider::Rider;
use super::set_up::SetUpView;
use super::sled::Sled;
use super::stage::StageView;
use super::store::Store;
use super::styles;
use super::tables::{Spoken, Tables};
use super::work::{Known, Work};
use crate::order::Map;
use crate::plan::Units;
use crate::plan::place::{Address, PLACES, Place};
use crate::view::svg::{self, Colours};

/// The theme's key in the browser's storage; it belongs to the device, not to the plan.
const THEME: &str = "sledstance-theme";

/// So long the page waits for its thread at most before it is built. Our choice.
const PATIENCE: Duration = Duration::from_millis(150);

/// Begin: the first question is asked, and the page built once its thread is up, which then searches meanwhile.
pub fn begin() {
    // As long as the page.
    let owner = Owner::new();
    let store = owner.with(Store::begin);
    std::mem::forget(owner);
    let app = Rc::new(Cell::new(Some(move || mount_to_body(move || whole(store)))));
    let mount = move || app.take().into_iter().for_each(|app| app());
    store.wake(mount.clone());
    set_timeout(mount, PATIENCE);
    styles::say("drawing", &svg::stylesheet(Colours::Variables));
}

/// The whole page.
fn whole(store: Store) -> AnyView {
    store.run();
    let keys = window_event_listener(leptos::ev::keydown, move |event| {
        let typing = event
            .target()
            .and_then(|t| t.dyn_into::<web_sys::HtmlInputElement>().ok())
            .is_some_and(|input| input.type_() == "text");
        let steps = store.place.get_untracked() == Place::Start;
        if typing || !steps || !(event.ctrl_key() || event.meta_key()) {
            return;
        }
        match (event.key().as_str(), event.shift_key()) {
            ("z", false) => store.undo(),
            ("y", _) | ("Z", _) | ("z", true) => store.redo(),
            _ => return,
        }
        event.prevent_default();
    });
    on_cleanup(move || keys.remove());
    if let Some(line) = document().get_element_by_id("loading") {
        line.remove();
    }
    frame(store)
}

/// The page around its places.
fn frame(store: Store) -> AnyView {
    let core = move || match store.core.get() {
        None => "The calculation is starting …".to_owned(),
        Some(Ok(version)) => format!("Sledstance {version} is ready and computes on this device."),
        Some(Err(failure)) => format!("Sledstance cannot compute: {failure}. Load the page again."),
    };
    view! {
        <header class="top">
            <h1>"Sledstance"</h1>
            <p class="tagline">"Fits a rider to a snow race sled’s cockpit"</p>
            <Places store />
            <Steps store />
            <div class="tools">
                <UnitSwitch store />
                <ThemeSwitch />
            </div>
        </header>
        {move || store.unread.get().map(|words| view! { <p class="banner" role="alert">{words}</p> })}
        {move || store.not_kept.get().map(|words| view! { <p class="banner" role="alert">{words}</p> })}
        {move || {
            let lost = store.lost.get().filter(|_| store.place.get() == Place::Start);
            lost.map(|words| view! { <p class="notice" role="status">{words}</p> })
        }}
        {PLACES.iter().map(|row| place(store, row.0)).collect_view()}
        <footer>
            <p role="status">{core}</p>
            <p>"Nothing you enter leaves this device. Riders and sleds that come with the page are invented."</p>
        </footer>
    }
    .into_any()
}

/// A place. It is made when it is shown first, and stays: what was typed in it is not lost by a look elsewhere.
fn place(store: Store, place: Place) -> AnyView {
    let visited = Memo::new(move |before: Option<&bool>| {
        before.copied().unwrap_or(false) || store.place.get() == place
    });
    let hidden = Signal::derive(move || store.place.get() != place);
    let inside = move || {
        visited.get().then(|| match place {
            Place::Start => view! { <StartPlace store hidden /> }.into_any(),
            Place::Book => view! { <BookPlace store hidden /> }.into_any(),
            Place::Compare => view! { <ComparePlace store hidden /> }.into_any(),
        })
    };
    inside.into_any()
}

/// From place to place.
#[component]
fn Places(store: Store) -> impl IntoView {
    Effect::new(move |before: Option<Place>| {
        let place = store.place.get();
        if before.is_some_and(|before| before != place) {
            window().scroll_to_with_x_and_y(0.0, 0.0);
        }
        place
    });
    // What was shown of a place when it was left.
    let left = RwSignal::new(Map::<&'static str, Vec<String>>::new());
    Effect::new(move |_| {
        let (place, inside) = (store.place.get(), store.inside.get());
        left.update(|left| drop(left.insert(place.word(), inside)));
    });
    let inside_of =
        move |place: Place| left.with(|l| l.get(place.word()).cloned().unwrap_or_default());
    let link = move |&(place, _, label): &(Place, &'static str, &'static str)| {
        let address = move || match place {
            Place::Start => store.start_address(),
            place => Address {
                place,
                inside: inside_of(place),
                ..Address::default()
            },
        };
        let here = move || (store.place.get() == place).then_some("page");
        view! {
            <a
                href=move || address().write()
                aria-current=here
                on:click=move |event| {
                    // A new window, where one is asked for, is the browser's.
                    if !(event.ctrl_key() || event.meta_key() || event.shift_key()) {
                        event.prevent_default();
                        store.go(place, untrack(|| inside_of(place)));
                    }
                }
            >
                {label}
            </a>
        }
    };
    view! { <nav class="places" aria-label="Places">{PLACES.iter().map(link).collect_view()}</nav> }
}

/// Two numbers in, a set-up out.
#[component]
fn StartPlace(store: Store, hidden: Signal<bool>) -> impl IntoView {
    // What lies below the first screen is made once the first set-up is painted, which comes the sooner for it.
    let whole = RwSignal::new(false);
    Effect::new(move |_| {
        if !store.searching.get() && !whole.get_untracked() {
            let after = move || set_timeout(move || whole.set(true), Duration::ZERO);
            request_animation_frame(after);
        }
    });
    let below = move || {
        view! {
            <Advice store />
            <HoldView store />
            <Work store />
            <TakeAlong store />
            <div class="rest">
                <Known store />
                <Tables store />
            </div>
        }
    };
    view! {
        <main class="desk" class:coming=move || !whole.get() hidden=hidden>
            <StageView store />
            <Spoken store />
            <div class="entry">
                <Rider store />
                <Sled store />
            </div>
            <SetUpView store />
            {move || whole.get().then(below)}
        </main>
    }
}

#[component]
fn Steps(store: Store) -> impl IntoView {
    view! {
        <div class="steps" role="group" aria-label="Steps" hidden=move || store.place.get() != Place::Start>
            <button type="button" disabled=move || !store.can_step().0 on:click=move |_| store.undo()>
                "Undo"
            </button>
            <button type="button" disabled=move || !store.can_step().1 on:click=move |_| store.redo()>
                "Redo"
            </button>
        </div>
    }
}

#[component]
fn UnitSwitch(store: Store) -> impl IntoView {
    field::switch(
        "units",
        "Units",
        [(Units::Metric, "mm, kg"), (Units::Imperial, "in, lb")],
        move |units| store.units.get() == units,
        move |units| store.change("", |plan| plan.units = units),
    )
}

#[component]
fn ThemeSwitch() -> impl IntoView {
    let kept = storage().and_then(|s| s.get_item(THEME).ok().flatten());
    let theme = RwSignal::new(kept.unwrap_or_default());
    Effect::new(move |_| {
        let theme = theme.get();
        let Some(root) = document().document_element() else {
            return;
        };
        let _ = match theme.as_str() {
            "light" | "dark" => root.set_attribute("data-theme", &theme),
            _ => root.remove_attribute("data-theme"),
        };
        if let Some(storage) = storage() {
            // Where nothing is kept, the plan's own message says so.
            let _ = storage.set_item(THEME, &theme);
        }
    });
    field::switch(
        "theme",
        "Light",
        [("", "Auto"), ("light", "Day"), ("dark", "Night")],
        move |value| match theme.get().as_str() {
            "light" => value == "light",
            "dark" => value == "dark",
            _ => value.is_empty(),
        },
        move |value| theme.set(value.to_owned()),
    )
}
