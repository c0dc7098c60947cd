//! The stage: the drawing and its handles.

use leptos::prelude::*;
use wasm_bindgen::JsCast;
use wasm_bindgen::closure::Closure;
use web_sys::{KeyboardEvent, PointerEvent, TouchEvent};

use super::drawing::{Drawing, Look, before, draw};
use super::frame::NextFrame;
use super::painting::painted;
use super::stances::Stances;
use super::store::Store;
use crate::plan::Plan;
use crate::sled::{Cockpit, Settings};
use crate::units::Angle;
use crate::view::handle::{HandleId, drag, drag_lever, step, step_lever};
use crate::view::machine::LeverView;
use crate::view::path::{Xy, number, xy};

/// What can be grabbed here, in the order of the tab key.
const HANDLES: [HandleId; 6] = [
    HandleId::Stirrup,
    HandleId::Riser,
    HandleId::BarRoll,
    HandleId::Brake,
    HandleId::Throttle,
    HandleId::Seat,
];

/// Where a dragged handle began.
#[derive(Clone, Copy)]
struct Grab {
    handle: HandleId,
    start: Settings,
    levers: LeverView,
    /// Where the pointer came down, px of the window.
    down: (i32, i32),
}

/// A hand is not still: a pointer that moved less than this, px, has not moved. Our choice.
const STILL: i32 = 3;

/// Show what is under the pointer. Nothing is drawn anew at the end of a range, where a hand goes on and the handle does
/// not; and no riders are drawn beside the hand, for they would be of settings that are left.
fn put<T: PartialEq + Copy + Send + Sync + 'static>(
    store: Store,
    live: RwSignal<Option<T>>,
    now: T,
) {
    let before = live.get_untracked();
    if before.is_none() {
        store.pause_drawing();
    }
    if before != Some(now) {
        live.set(Some(now));
    }
}

/// Whether it is a lever, whose roll is no part of the sled's settings.
fn is_lever(handle: HandleId) -> bool {
    matches!(handle, HandleId::Brake | HandleId::Throttle)
}

/// A lever's roll.
pub fn roll_of(handle: HandleId, levers: &LeverView) -> Angle {
    match handle {
        HandleId::Brake => levers.brake_roll,
        _ => levers.throttle_roll,
    }
}

/// The drawing with its handles and the choice of stances.
#[component]
pub fn StageView(store: Store) -> impl IntoView {
    let size = RwSignal::new((0.0_f64, 0.0_f64));
    let place = NodeRef::<leptos::html::Div>::new();
    observe(place, size);
    let look = Look {
        outlines: RwSignal::new(true),
        way: RwSignal::new(None),
    };
    let former = Memo::new(move |_| store.former());
    let ghost = Memo::new(move |_| before(store, former.get()?));
    let drawing = Memo::new(move |last: Option<&Option<Drawing>>| {
        let before = last.and_then(|last| Some(&last.as_ref()?.stage));
        let (ghost, size) = (ghost.get(), size.get());
        store
            .posed
            .with(|posed| draw(store, posed.as_ref()?, ghost, size, look, before))
    });
    let svg_ref = NodeRef::<leptos::svg::Svg>::new();
    let paper = painted(drawing, |d| &d.groups);
    let title =
        move || drawing.with(|d| d.as_ref().map_or(String::new(), |d| d.stage.title.clone()));
    let omitted =
        move || drawing.with(|d| d.as_ref().map_or(Vec::new(), |d| d.stage.omitted.clone()));
    let holding = RwSignal::new(None::<Grab>);
    let next = StoredValue::new_local(NextFrame::default());
    let at = move |event: &PointerEvent| pointer_place(event, svg_ref, drawing);

    let release = move |keep: bool| {
        if holding.get_untracked().is_none() {
            return;
        }
        next.with_value(NextFrame::forget);
        let held = holding.get_untracked().map(|grab| grab.handle);
        holding.set(None);
        let live = (
            store.live.get_untracked(),
            store.live_levers.get_untracked(),
        );
        store.live.set(None);
        store.live_levers.set(None);
        match (held, live) {
            (Some(handle), (_, Some(levers))) if keep && is_lever(handle) => {
                store.turn_lever(handle, Some(roll_of(handle, &levers)), "");
            }
            (Some(_), (Some(settings), _)) if keep => store.set_by_hand(settings, ""),
            _ => {}
        }
        store.draw_on();
    };
    let follow = move |grab: Grab, pointer: Xy| {
        let Some(sled) = store.sled.get_untracked() else {
            return;
        };
        if is_lever(grab.handle) {
            let cockpit = Cockpit::new(&sled, grab.start);
            let turned = drag_lever(grab.handle, grab.levers, pointer, &cockpit);
            put(store, store.live_levers, turned);
        } else {
            let moved = drag(grab.handle, grab.start, pointer, &sled);
            put(store, store.live, moved);
        }
    };
    // A tap moves nothing; what is under way goes on.
    let begun = move |grab: &Grab, event: &PointerEvent| {
        let (x, y) = (
            event.client_x() - grab.down.0,
            event.client_y() - grab.down.1,
        );
        x.abs().max(y.abs()) >= STILL
            || store.live.with_untracked(Option::is_some)
            || store.live_levers.with_untracked(Option::is_some)
    };
    let moved = move |event: PointerEvent| {
        let Some(grab) = holding.get_untracked() else {
            return;
        };
        if !begun(&grab, &event) {
            return;
        }
        let Some(pointer) = at(&event) else { return };
        next.with_value(|next| {
            next.run(move || follow(grab, pointer));
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
                        && begun(&grab, &event)
                    {
                        follow(grab, pointer);
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
                    <g aria-hidden="true" node_ref=paper></g>
                    {grips}
                </svg>
            </div>
            <Stances store look size />
            // Its line is kept free where nothing is in it, so that what stands below stays where it is.
            <p class="beside">{move || omitted().join(" · ")}</p>
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
            drawing.stage.handles.iter().find(|h| h.id == id).cloned()
        })
    });
    // One place and one size, so that a frame changes one attribute.
    let placed = move || {
        handle.with(|h| {
            h.as_ref().map_or("scale(0)".to_owned(), |h| {
                let (x, y) = (number(h.at.x), number(h.at.y));
                format!("translate({x} {y}) scale({:.3})", h.touch)
            })
        })
    };
    let before = StoredValue::new(None::<Plan>);
    let grab = move |event: PointerEvent| {
        let (Some(start), Some(levers)) = (
            store.settings.get_untracked(),
            untrack(|| store.drawn_levers()),
        ) else {
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
        holding.set(Some(Grab {
            handle: id,
            start,
            levers,
            down: (event.client_x(), event.client_y()),
        }));
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
                        now.levers = plan.levers;
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
        if is_lever(id) {
            if let Some(levers) = untrack(|| store.drawn_levers()) {
                let turned = step_lever(id, levers, steps, &sled);
                store.turn_lever(id, Some(roll_of(id, &turned)), id.name());
            }
        } else {
            store.set_by_hand(step(id, settings, steps, &sled), id.name());
        }
    };
    let range = Memo::new(move |_| {
        let sled = store.sled.get()?;
        let s = store.drawn.get()?;
        if is_lever(id) {
            let levers = store.drawn_levers()?;
            let end = |steps| -roll_of(id, &step_lever(id, levers, steps, &sled)).deg();
            return Some((end(1000), -roll_of(id, &levers).deg(), end(-1000)));
        }
        let end = |steps| value_now(id, &step(id, s, steps, &sled));
        Some((end(1000), value_now(id, &s), end(-1000)))
    });
    let bound =
        move |take: fn((f64, f64, f64)) -> f64| move || range.get().map(|r| number(take(r)));
    view! {
        <g
            class="grip"
            class:held=move || holding.with(|g| g.as_ref().is_some_and(|g| g.handle == id))
            role="slider"
            tabindex="0"
            data-handle=id.name()
            aria-label=move || handle.with(|h| h.as_ref().map(|h| h.label.clone()))
            aria-valuetext=move || handle.with(|h| h.as_ref().map(|h| h.value.clone()))
            aria-valuemin=bound(|r| r.0)
            aria-valuenow=bound(|r| r.1)
            aria-valuemax=bound(|r| r.2)
            transform=placed
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
            <circle class="grip-touch" r="1" />
            <circle class="grip-ring" r="0.62" />
            <circle class="grip-knob" r="0.42" />
            <path class="grip-arrows" d=arrows(id) />
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

/// Two small arrow heads in the directions in which a handle moves, in a ring of radius 1.
fn arrows(id: HandleId) -> &'static str {
    match id {
        HandleId::Seat => "M-.16 .1L0 .26L.16 .1M-.16 -.1L0 -.26L.16 -.1",
        _ => "M.1 -.16L.26 0L.1 .16M-.1 -.16L-.26 0L-.1 .16",
    }
}

/// Where a pointer is in the drawing's frame.
fn pointer_place(
    event: &PointerEvent,
    svg: NodeRef<leptos::svg::Svg>,
    drawing: Memo<Option<Drawing>>,
) -> Option<Xy> {
    let rect = svg.get_untracked()?.get_bounding_client_rect();
    let area = drawing.with_untracked(|d| d.as_ref().map(|d| d.stage.view.area))?;
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
pub fn observe(place: NodeRef<leptos::html::Div>, size: RwSignal<(f64, f64)>) {
    let measure = move || {
        if let Some(element) = place.get_untracked() {
            let rect = element.get_bounding_client_rect();
            let now = (rect.width(), rect.height());
            if now != size.get_untracked() {
                size.set(now);
            }
        }
    };
    let begin = move || {
        // It may have gone since.
        let Some(element) = place.try_get_untracked().flatten() else {
            return;
        };
        measure();
        let seen = Closure::<dyn FnMut()>::new(measure);
        if let Ok(observer) = web_sys::ResizeObserver::new(seen.as_ref().unchecked_ref()) {
            observer.observe(&element);
            // Both live as long as the page.
            seen.forget();
            std::mem::forget(observer);
        }
    };
    // In a task of its own: an answer that came while the page was being built is heard before, and drawn at once.
    Effect::new(move |_| {
        if place.get().is_some() {
            set_timeout(begin, core::time::Duration::ZERO);
        }
    });
}
