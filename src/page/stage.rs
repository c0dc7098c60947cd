//! The stage: the drawing, its handles, the stances to choose from.

use std::collections::BTreeMap;
use std::sync::Arc;

use leptos::prelude::*;
use wasm_bindgen::JsCast;
use wasm_bindgen::closure::Closure;
use web_sys::{KeyboardEvent, PointerEvent, TouchEvent};

use super::frame::NextFrame;
use super::store::{Store, postures};
use crate::plan::{Plan, words};
use crate::sled::{Cockpit, Settings};
use crate::stance::Posture;
use crate::units::text::capital;
use crate::view::figure::{Wearer, silhouette};
use crate::view::handle::{Handle, HandleId, drag, step};
use crate::view::label::Area;
use crate::view::machine::LeverView;
use crate::view::path::{Xy, number, xy};
use crate::view::stage::{Scene, Shown, Stage, Viewport, stage};
use crate::view::svg;

/// What can be grabbed here, in the order of the tab key.
const HANDLES: [HandleId; 4] = [
    HandleId::Stirrup,
    HandleId::Riser,
    HandleId::BarRoll,
    HandleId::Seat,
];

/// The finished drawing as text for the page.
#[derive(Clone, Debug, PartialEq)]
struct Drawing {
    view_box: String,
    content: String,
    handles: Vec<Handle>,
    area: Area,
    title: String,
    omitted: Vec<String>,
}

/// Where a dragged handle began.
#[derive(Clone, Copy)]
struct Grab {
    handle: HandleId,
    start: Settings,
}

/// The drawing with its handles and the choice of stances.
#[component]
pub fn StageView(store: Store) -> impl IntoView {
    let size = RwSignal::new((0.0_f64, 0.0_f64));
    let place = NodeRef::<leptos::html::Div>::new();
    observe(place, size);
    let outlines = RwSignal::new(true);
    let poses = Memo::new(move |_| all_postures(store));
    let drawing = Memo::new(move |_| draw(store, &poses.get()?, size.get(), outlines.get()));
    let svg_ref = NodeRef::<leptos::svg::Svg>::new();
    let title = move || drawing.with(|d| d.as_ref().map_or(String::new(), |d| d.title.clone()));
    let omitted = move || drawing.with(|d| d.as_ref().map_or(Vec::new(), |d| d.omitted.clone()));
    let holding = RwSignal::new(None::<Grab>);
    let next = StoredValue::new_local(NextFrame::default());
    let at = move |event: &PointerEvent| pointer_place(event, svg_ref, drawing);

    let release = move |keep: bool| {
        if holding.get_untracked().is_none() {
            return;
        }
        next.with_value(NextFrame::forget);
        holding.set(None);
        let live = store.live.get_untracked();
        store.live.set(None);
        if let (true, Some(settings)) = (keep, live) {
            store.set_by_hand(settings, "");
        }
    };
    let moved = move |event: PointerEvent| {
        let Some(grab) = holding.get_untracked() else {
            return;
        };
        let Some(pointer) = at(&event) else { return };
        next.with_value(|next| {
            next.run(move || {
                if let Some(sled) = store.sled.get_untracked() {
                    store
                        .live
                        .set(Some(drag(grab.handle, grab.start, pointer, &sled)));
                }
            });
        });
    };
    let grips = HANDLES
        .into_iter()
        .map(|id| view! { <Grip store id drawing holding release=Callback::new(release) /> })
        .collect_view();
    view! {
        <section class="stage-place" aria-label="The rider on the sled">
            <div
                class="stage-frame"
                node_ref=place
                class:dragging=move || holding.with(Option::is_some)
                on:pointermove=moved
                on:pointerup=move |event: PointerEvent| {
                    if let (Some(grab), Some(pointer)) = (holding.get_untracked(), at(&event))
                        && let Some(sled) = store.sled.get_untracked()
                        && store.live.get_untracked().is_some()
                    {
                        store.live.set(Some(drag(grab.handle, grab.start, pointer, &sled)));
                    }
                    release(true);
                }
                on:pointercancel=move |_| release(false)
            >
                <svg
                    class="stage"
                    node_ref=svg_ref
                    role="group"
                    aria-label=title
                    viewBox=move || drawing.with(|d| d.as_ref().map(|d| d.view_box.clone()))
                >
                    <g
                        aria-hidden="true"
                        inner_html=move || {
                            drawing.with(|d| d.as_ref().map_or(String::new(), |d| d.content.clone()))
                        }
                    ></g>
                    {grips}
                </svg>
            </div>
            <Stances store poses outlines />
            {move || {
                let list = omitted();
                (!list.is_empty()).then(|| view! { <p class="beside">{list.join(" · ")}</p> })
            }}
        </section>
    }
}

/// A handle: grabbed by pointer, moved by arrow keys, taken back by Escape.
#[component]
fn Grip(
    store: Store,
    id: HandleId,
    drawing: Memo<Option<Drawing>>,
    holding: RwSignal<Option<Grab>>,
    release: Callback<bool>,
) -> impl IntoView {
    let handle = Memo::new(move |_| {
        drawing.with(|d| {
            let drawing = d.as_ref()?;
            drawing.handles.iter().find(|h| h.id == id).cloned()
        })
    });
    let of = move |take: fn(&Handle) -> f64| move || handle.with(|h| h.as_ref().map_or(0.0, take));
    let before = StoredValue::new(None::<Plan>);
    let grab = move |event: PointerEvent| {
        let Some(start) = store.settings.get_untracked() else {
            return;
        };
        event.prevent_default();
        if let Some(element) = event
            .current_target()
            .and_then(|t| t.dyn_into::<web_sys::SvgElement>().ok())
        {
            let _ = element.set_pointer_capture(event.pointer_id());
            let _ = element.focus();
        }
        holding.set(Some(Grab { handle: id, start }));
        store.live.set(Some(start));
    };
    let key = move |event: KeyboardEvent| {
        let many = 6;
        // To the right and up is forward, as it is drawn; steps count rearward.
        let steps = match event.key().as_str() {
            "ArrowRight" | "ArrowUp" => -1,
            "ArrowLeft" | "ArrowDown" => 1,
            "PageUp" => -many,
            "PageDown" => many,
            "Home" => 1000,
            "End" => -1000,
            "Escape" => {
                if holding.get_untracked().is_some() {
                    release.run(false);
                } else if let Some(plan) = before.get_value() {
                    store.change(id.name(), |now| {
                        now.by_hand = plan.by_hand;
                        now.kept = plan.kept;
                    });
                }
                event.prevent_default();
                return;
            }
            _ => return,
        };
        event.prevent_default();
        let (Some(settings), Some(sled)) =
            (store.settings.get_untracked(), store.sled.get_untracked())
        else {
            return;
        };
        store.set_by_hand(step(id, settings, steps, &sled), id.name());
    };
    let range = move || {
        let sled = store.sled.get()?;
        let s = store.drawn()?;
        let end = |steps| value_now(id, &step(id, s, steps, &sled));
        Some((end(1000), value_now(id, &s), end(-1000)))
    };
    view! {
        <g
            class="grip"
            class:held=move || holding.with(|g| g.as_ref().is_some_and(|g| g.handle == id))
            role="slider"
            tabindex="0"
            data-handle=id.name()
            aria-label=move || handle.with(|h| h.as_ref().map(|h| h.label.clone()))
            aria-valuetext=move || handle.with(|h| h.as_ref().map(|h| h.value.clone()))
            aria-valuemin=move || range().map(|r| number(r.0))
            aria-valuenow=move || range().map(|r| number(r.1))
            aria-valuemax=move || range().map(|r| number(r.2))
            on:pointerdown=grab
            // Inside a drawing the style sheet alone does not keep a browser from scrolling with the finger.
            on:touchstart=|event: TouchEvent| event.prevent_default()
            on:keydown=key
            on:focus=move |_| {
                store.settle();
                before.set_value(Some(store.plan.get_untracked()));
            }
            on:blur=move |_| store.settle()
        >
            <circle class="grip-touch" cx=of(|h| h.at.x) cy=of(|h| h.at.y) r=of(|h| h.touch) />
            <circle class="grip-ring" cx=of(|h| h.at.x) cy=of(|h| h.at.y) r=of(|h| 0.62 * h.touch) />
            <circle class="grip-knob" cx=of(|h| h.at.x) cy=of(|h| h.at.y) r=of(|h| 0.42 * h.touch) />
            <path
                class="grip-arrows"
                d=move || handle.with(|h| h.as_ref().map(arrows))
            />
        </g>
    }
}

/// Forward counts up, as it is drawn.
fn value_now(id: HandleId, s: &Settings) -> f64 {
    match id {
        HandleId::Stirrup => s.stirrup,
        HandleId::Riser => -s.riser_angle.deg(),
        HandleId::BarRoll => -s.bar_roll.deg(),
        // Stocks are short lists.
        HandleId::Seat => -f64::from(u32::try_from(s.seat).unwrap_or(0)),
        HandleId::Brake | HandleId::Throttle => 0.0,
    }
}

/// Two small arrow heads in the directions in which a handle moves.
fn arrows(handle: &Handle) -> String {
    let r = handle.touch;
    let along = match handle.id {
        HandleId::Seat => xy(0.0, 1.0),
        _ => xy(1.0, 0.0),
    };
    let side = along.left();
    let head = |sign: f64| {
        let tip = handle.at + along * (sign * 0.26 * r);
        let back = handle.at + along * (sign * 0.10 * r);
        let (a, b) = (back + side * (0.16 * r), back - side * (0.16 * r));
        let p = |q: Xy| format!("{} {}", number(q.x), number(q.y));
        format!("M{}L{}L{}", p(a), p(tip), p(b))
    };
    format!("{}{}", head(1.0), head(-1.0))
}

/// The choice of the stance in front, each with its own small figure.
#[component]
fn Stances(
    store: Store,
    poses: Memo<Option<Arc<Vec<Posture>>>>,
    outlines: RwSignal<bool>,
) -> impl IntoView {
    let stances = store.stances.get_value();
    let picks = stances
        .iter()
        .enumerate()
        .map(|(i, stance)| {
            let name = stance.name.clone();
            let id = format!("stance-{name}");
            let chosen = {
                let name = name.clone();
                Signal::derive(move || store.front() == name)
            };
            let small = Memo::new(move |_| thumbnail(store, poses, i));
            let word = move || {
                poses.with(|p| {
                    p.as_ref()
                        .and_then(|p| p.get(i))
                        .map_or("", |p| words::posture_word(&p.status))
                })
            };
            view! {
                <div class="stance" class:chosen=move || chosen.get()>
                    <input
                        type="radio"
                        name="stance"
                        id=id.clone()
                        prop:checked=move || chosen.get()
                        on:change={
                            let name = name.clone();
                            move |_| {
                                let name = name.clone();
                                store.change("", |plan| plan.front = name);
                            }
                        }
                    />
                    <label for=id>
                        <svg
                            class="small"
                            aria-hidden="true"
                            viewBox=move || small.with(|s| s.as_ref().map(|s| s.0.clone()))
                        >
                            <path d=move || small.with(|s| s.as_ref().map(|s| s.1.clone())) />
                        </svg>
                        <span class="stance-name">{capital(&name)}</span>
                        <span class="stance-word">{word}</span>
                    </label>
                </div>
            }
        })
        .collect_view();
    view! {
        <div class="stances">
            <fieldset>
                <legend class="unseen">"Stance in front"</legend>
                {picks}
            </fieldset>
            <label class="check">
                <input
                    type="checkbox"
                    prop:checked=move || outlines.get()
                    on:change=move |event| outlines.set(event_target_checked(&event))
                />
                "others as outlines"
            </label>
        </div>
    }
}

/// View box and outline of one stance's figure.
fn thumbnail(
    store: Store,
    poses: Memo<Option<Arc<Vec<Posture>>>>,
    index: usize,
) -> Option<(String, String)> {
    let built = store.built.get()?;
    let poses = poses.get()?;
    let pose = &poses.get(index)?.pose;
    let stances = store.stances.get_value();
    let pitch = stances.get(index)?.gaze_below_horizon * 0.4;
    let d = silhouette(pose, Wearer::from(&built.rider), pitch);
    Some(("-620 -2000 1240 2060".to_owned(), d))
}

/// Postures on the settings that are drawn.
fn all_postures(store: Store) -> Option<Arc<Vec<Posture>>> {
    let (built, sled) = (store.built.get()?, store.sled.get()?);
    let settings = store.drawn()?;
    let stances = store.stances.get_value();
    if let Some(set_up) = store.set_up.get().filter(|s| s.settings == settings) {
        let solved = set_up.stances.iter().map(|s| s.posture.clone());
        return Some(Arc::new(solved.collect()));
    }
    let shares: BTreeMap<String, f64> = store.set_up.get().map_or_else(BTreeMap::new, |set_up| {
        let share = |s: &crate::fit::StanceResult| {
            let working = s.hold.working.as_ref()?;
            Some((s.name.clone(), working.seat_share))
        };
        set_up.stances.iter().filter_map(share).collect()
    });
    Some(Arc::new(postures(
        &built, &sled, settings, &stances, &shares,
    )))
}

fn draw(store: Store, poses: &[Posture], size: (f64, f64), outlines: bool) -> Option<Drawing> {
    let (built, sled) = (store.built.get()?, store.sled.get()?);
    let settings = store.drawn()?;
    let (width, height) = size;
    if width < 1.0 || height < 1.0 {
        return None;
    }
    let stances = store.stances.get_value();
    let front = store.front();
    let index = stances.iter().position(|s| s.name == front)?;
    let cockpit = Cockpit::new(&sled, settings);
    let levers = store.set_up.get().map_or_else(
        || LeverView::middle(&cockpit),
        |set_up| LeverView {
            brake_roll: set_up.levers.brake.roll,
            brake_reach: set_up.levers.brake.lever_reach,
            throttle_roll: set_up.levers.throttle.roll,
            throttle_reach: set_up.levers.throttle.lever_reach,
        },
    );
    let shown = |i: usize| {
        Some(Shown {
            stance: stances.get(i)?,
            pose: &poses.get(i)?.pose,
        })
    };
    let others: Vec<Shown> = (0..stances.len())
        .filter(|i| outlines && *i != index)
        .filter_map(shown)
        .collect();
    let scene = Scene {
        body: Wearer::from(&built.rider),
        cockpit: &cockpit,
        levers,
        front: shown(index)?,
        others: &others,
        ghost: None,
        system: store.system(),
        handles: true,
    };
    let mut drawn: Stage = stage(&scene, Viewport { width, height });
    // The page makes its own handles, so that the one in hand stays the same element from frame to frame.
    let handles = std::mem::take(&mut drawn.handles);
    Some(Drawing {
        view_box: svg::view_box(&drawn),
        content: svg::content(&drawn),
        handles,
        area: drawn.view.area,
        title: drawn.title,
        omitted: drawn.omitted,
    })
}

/// Where a pointer is in the drawing's frame.
fn pointer_place(
    event: &PointerEvent,
    svg: NodeRef<leptos::svg::Svg>,
    drawing: Memo<Option<Drawing>>,
) -> Option<Xy> {
    let rect = svg.get_untracked()?.get_bounding_client_rect();
    let area = drawing.with_untracked(|d| d.as_ref().map(|d| d.area))?;
    if rect.width() <= 0.0 || rect.height() <= 0.0 {
        return None;
    }
    let share = |at: i32, from: f64, size: f64| (f64::from(at) - from) / size;
    Some(xy(
        area.left + share(event.client_x(), rect.left(), rect.width()) * area.width,
        area.top + share(event.client_y(), rect.top(), rect.height()) * area.height,
    ))
}

/// Keep the size of the stage's place, whatever changes it.
fn observe(place: NodeRef<leptos::html::Div>, size: RwSignal<(f64, f64)>) {
    let measure = move || {
        if let Some(element) = place.get_untracked() {
            let rect = element.get_bounding_client_rect();
            let now = (rect.width(), rect.height());
            if now != size.get_untracked() {
                size.set(now);
            }
        }
    };
    Effect::new(move |_| {
        let Some(element) = place.get() else { return };
        measure();
        let seen = Closure::<dyn FnMut()>::new(measure);
        if let Ok(observer) = web_sys::ResizeObserver::new(seen.as_ref().unchecked_ref()) {
            observer.observe(&element);
            // Both live as long as the page.
            seen.forget();
            std::mem::forget(observer);
        }
    });
}
