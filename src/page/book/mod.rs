//! The book's place: what was set, why, and what it did, of the book that this device keeps; or of the demo, to try it on.
//!
//! One part is shown at a time, as the address says it (`book/RIDER/SLED/said`), so that a phone shows one thing and the
//! back button goes back. What is typed stays until it is written down, wherever a person goes in between. The demo is a
//! book of its own: nothing of it comes into the book of the device.

mod answer;
mod back;
mod change;
mod desk;
mod entries;
mod fields;
mod keep;
mod moving;
mod note;
mod now;
mod people;
mod picture;
mod put;
mod said;
mod season;
mod stage;
mod stock;
mod work;
mod write;

use leptos::prelude::*;
use wasm_bindgen::JsCast;

use self::desk::{Desk, Screen, pairs};
use self::keep::{Keep, KeepState, Kept, NotKept};
use self::note::Note;
use super::store::Store;
use crate::log::{Id, when};

/// The heading of the part that is shown.
const HEADING: &str = "book-part";

/// The place.
#[component]
pub fn BookPlace(store: Store, hidden: Signal<bool>) -> impl IntoView {
    let desk = Desk::new(store, Keep::open());
    let demo = desk.demo;
    let empty = Memo::new(move |_| {
        let at = desk.at.get();
        let nobody = desk.pair.get().is_none();
        nobody
            && !matches!(
                at.screen,
                Screen::People | Screen::Shelf | Screen::Put | Screen::Entries | Screen::Correct(_)
            )
    });
    // A save that is on its way makes no part anew.
    let opening = Memo::new(move |_| desk.keep.state.get() == KeepState::Opening && !demo.get());
    // On a phone, who rides what makes way for what is being done.
    let doing = Memo::new(move |_| !empty.get() && desk.at.get().screen != Screen::Now);
    // What is shown next begins at its heading, for eyes and for readers.
    let part = Memo::new(move |_| (desk.at.get().screen, desk.pair.get()));
    Effect::new(move |before: Option<(Screen, Option<(Id, Id)>)>| {
        let part = part.get();
        if before.is_some_and(|before| before != part && !hidden.get_untracked()) {
            request_animation_frame(to_heading);
        }
        part
    });
    view! {
        <main class="book" class:doing=move || doing.get() hidden=hidden>
            {move || demo.get().then(|| view! {
                <div class="notice" role="note">
                    "This is the demo: an invented team’s book, to look at and to try. What you write here goes when you put it away, and nothing of it comes into your book."
                    <button type="button" on:click=move |_| desk.show_demo(false)>"Put the demo away"</button>
                </div>
            })}
            <NotKept keep=desk.keep />
            <p class="book-said" role="status">{move || desk.told()}</p>
            <div class="book-side">
                {move || (!empty.get()).then(|| rides(desk))}
            </div>
            <div class="book-main">
                {move || if opening.get() {
                    view! { <p>"Opening the book …"</p> }.into_any()
                } else if empty.get() {
                    first_step(desk)
                } else {
                    shown(desk)
                }}
            </div>
            {move || (!demo.get()).then(|| view! {
                <div class="book-foot">
                    <Note desk />
                    <Kept store keep=desk.keep />
                </div>
            })}
            {desk.printing.place(move |paper| now::the_card(desk, paper))}
        </main>
    }
}

/// Minutes that this device's clock is ahead of UTC.
fn offset() -> i32 {
    let behind = js_sys::Date::new_0().get_timezone_offset();
    // Hours of the day, in minutes.
    -(behind as i32)
}

fn to_heading() {
    let Some(heading) = document().get_element_by_id(HEADING) else {
        return;
    };
    if let Ok(heading) = heading.dyn_into::<web_sys::HtmlElement>() {
        let _ = heading.focus();
        let top = heading.get_bounding_client_rect().top();
        window().scroll_by_with_x_and_y(0.0, top - 16.0);
    }
}

/// Nobody rides anything yet: mostly because nothing is written down.
fn first_step(desk: Desk) -> AnyView {
    let none = Memo::new(move |_| desk.read(|reading| reading.strands().is_empty()));
    let heading = move || {
        if none.get() {
            "The mechanic’s book is empty"
        } else {
            "Nobody rides a sled yet"
        }
    };
    view! {
        <section class="panel" aria-labelledby=HEADING>
            <h2 id=HEADING tabindex="-1">{heading}</h2>
            <p>
                "The book keeps how each rider’s sled is set, what the rider said, what was changed for it, and what that did. It stays on this device and works without a network."
            </p>
            <p>
                "First step: fit a rider on the start place with height, weight and a sled, then put what stands there into the book. Or look at an invented team’s book first."
            </p>
            <button type="button" class="big" on:click=move |_| desk.go(Screen::Put)>
                "Put what stands on the start place into the book"
            </button>
            <div class="along-row">
                <button type="button" on:click=move |_| desk.show_demo(true)>"Look at the demo"</button>
                <button type="button" on:click=move |_| desk.go(Screen::People)>"Add riders and sleds by hand"</button>
                {move || (!none.get()).then(|| view! {
                    <button type="button" on:click=move |_| desk.go(Screen::Entries)>"All entries"</button>
                })}
            </div>
        </section>
    }
    .into_any()
}

/// Who rides what, to choose from.
fn rides(desk: Desk) -> AnyView {
    let list = move || {
        // The book first: what follows from it is asked for when it is known to have changed.
        desk.read(|reading| {
            let chosen = desk.pair.get();
            let rows = pairs(reading).into_iter().map(|pair| {
                let title = format!("{} on {}", reading.rider_name(pair.0), reading.sled_name(pair.1));
                let set_ups = reading.set_ups(pair.0, pair.1);
                let since = set_ups.last().map_or_else(
                    || "no set-up yet".to_owned(),
                    |now| format!("set so {}", when::date(now.strand.happened_ms(), offset())),
                );
                let here = (chosen == Some(pair)).then_some("true");
                view! {
                    <li>
                        <button type="button" aria-current=here on:click=move |_| desk.go_to(pair, Screen::Now)>
                            {title}
                            <span class="how">{since}</span>
                        </button>
                    </li>
                }
                .into_any()
            });
            rows.collect_view()
        })
    };
    view! {
        <section class="panel" aria-labelledby="rides-heading">
            <h2 id="rides-heading">"Who rides what"</h2>
            <ul class="pairs">{list}</ul>
            <div class="along-row">
                <button type="button" class="quiet" on:click=move |_| desk.go(Screen::People)>"Riders and sleds"</button>
                <button type="button" class="quiet" on:click=move |_| desk.go(Screen::Put)>"From the start place"</button>
                {move || (!desk.demo.get()).then(|| view! {
                    <button type="button" class="quiet" on:click=move |_| desk.show_demo(true)>"Look at the demo"</button>
                })}
            </div>
        </section>
    }
    .into_any()
}

/// The part that the address asks for.
fn shown(desk: Desk) -> AnyView {
    let pair = desk.pair.get();
    let at = desk.at.get();
    let names = untrack(|| {
        pair.map(|p| desk.read(|r| format!("{} on {}", r.rider_name(p.0), r.sled_name(p.1))))
    });
    let heading = match (at.screen, &names) {
        (Screen::Now, Some(names)) => names.clone(),
        (Screen::Now, None) => "The mechanic’s book".to_owned(),
        (Screen::Said, _) => "What did the rider say?".to_owned(),
        (Screen::Answer, _) => "What to change".to_owned(),
        (Screen::Change, _) => "Change".to_owned(),
        (Screen::Work, _) => "Work list".to_owned(),
        (Screen::Write(sheet), _) => format!("Write down: {}", sheet.label().to_lowercase()),
        (Screen::Correct(_), _) => "Put an entry right".to_owned(),
        (Screen::Back, _) => "Go back to …".to_owned(),
        (Screen::Season, _) => "The season".to_owned(),
        (Screen::Entries, _) => "All entries".to_owned(),
        (Screen::Move, _) => "Move it to another sled".to_owned(),
        (Screen::People, _) => "Riders and sleds".to_owned(),
        (Screen::Stock(_), _) => "Parts in stock".to_owned(),
        (Screen::Shelf, _) => "The team’s shelf".to_owned(),
        (Screen::Put, _) => "From the start place into the book".to_owned(),
    };
    let of = names.filter(|_| {
        !matches!(
            at.screen,
            Screen::Now | Screen::People | Screen::Stock(_) | Screen::Shelf | Screen::Put
        )
    });
    let inside = match (at.screen, pair) {
        (Screen::People, _) => people::people(desk),
        (Screen::Put, _) => put::place(desk),
        (Screen::Shelf, _) => stock::shelf(desk),
        (Screen::Stock(sled), _) => stock::stock(desk, sled),
        (Screen::Correct(id), _) => write::correct(desk, id),
        (Screen::Entries, pair) => entries::entries(desk, pair),
        (Screen::Now, Some(pair)) => now::now(desk, pair),
        (Screen::Said, Some(pair)) => said::said(desk, pair),
        (Screen::Answer, Some(pair)) => answer::answer(desk, pair),
        (Screen::Change, Some(pair)) => change::change(desk, pair),
        (Screen::Work, Some(pair)) => work::job(desk, pair),
        (Screen::Write(sheet), Some(pair)) => write::write(desk, pair, sheet),
        (Screen::Back, Some(pair)) => back::back(desk, pair),
        (Screen::Season, Some(pair)) => season::whole(desk, pair),
        (Screen::Move, Some(pair)) => moving::moving(desk, pair),
        (_, None) => ().into_any(),
    };
    view! {
        <section class="panel" aria-labelledby=HEADING>
            {(at.screen != Screen::Now).then(|| view! {
                <button type="button" class="quiet up" on:click=move |_| desk.go(Screen::Now)>
                    {of.map_or_else(|| "To the book".to_owned(), |names| format!("To {names}"))}
                </button>
            })}
            <h2 id=HEADING tabindex="-1">{heading}</h2>
            {inside}
        </section>
    }
    .into_any()
}
