//! The book's place: what was set, why, and what it did: of the book that this device keeps, or, to look at, of a file or
//! of the demo, which stay as they are.

mod keep;
mod note;

use std::sync::Arc;

use leptos::prelude::*;
use wasm_bindgen::JsValue;
use wasm_bindgen::closure::Closure;

use self::keep::{Keep, Kept};
use self::note::Note;
use super::store::Store;
use crate::log::{self, Book, Filter, Id, Outcome, Reading, Verdict, when, words};
use crate::plan::place::Place;
use crate::units::text::{System, format_number};

/// Entries that are shown at first, and with every request for more. Our choice.
const AT_ONCE: usize = 60;

/// The place.
#[component]
pub fn BookPlace(store: Store, hidden: Signal<bool>) -> impl IntoView {
    let keep = Keep::open();
    let book = RwSignal::new(None::<Arc<Book>>);
    let said = RwSignal::new(String::new());
    let wrong = RwSignal::new(None::<String>);
    let open = move |name: String, text: String| match Book::read(&text) {
        Ok(read) => {
            said.set(format!("{name}: {} entries.", read.len()));
            wrong.set(None);
            store.go(Place::Book, Vec::new());
            book.set(Some(Arc::new(read)));
        }
        Err(error) => wrong.set(Some(format!(
            "{name} cannot be read: {error}. What is shown has not changed."
        ))),
    };
    let pick = move |event: leptos::ev::Event| {
        let input = event_target::<web_sys::HtmlInputElement>(&event);
        let Some(file) = input.files().and_then(|files| files.get(0)) else {
            return;
        };
        let name = file.name();
        let unread = file.name();
        let read = Closure::once(move |text: JsValue| {
            open(name, text.as_string().unwrap_or_default());
        });
        let failed = Closure::once(move |_: JsValue| {
            wrong.set(Some(format!("{unread} cannot be opened.")));
        });
        let _ = file.text().then2(&read, &failed);
        read.forget();
        failed.forget();
        // The same file can be picked again.
        input.set_value("");
    };
    view! {
        <main class="book" hidden=hidden>
            <section class="panel" aria-labelledby="book-heading">
                <h2 id="book-heading">"The mechanic’s book"</h2>
                <p class="how">
                    "What was set, why, and what it did. A book’s file that you open to look at is not changed, and not put \
                     into your book."
                </p>
                <div class="along-row">
                    <span class="file">
                        <label for="book-file">"Open a book from a file"</label>
                        <input id="book-file" type="file" accept=".json,application/json" on:change=pick />
                    </span>
                    <button type="button" on:click=move |_| open("The demo, an invented team’s book".to_owned(), log::DEMO.to_owned())>
                        "Look at the demo"
                    </button>
                    <button type="button" class="quiet" disabled=move || book.with(Option::is_none) on:click=move |_| {
                        book.set(None);
                        said.set("Put away.".to_owned());
                        store.go(Place::Book, Vec::new());
                    }>
                        "Put it away"
                    </button>
                </div>
                <p role="status">{move || said.get()}</p>
                {move || wrong.get().map(|words| view! { <p class="error" role="alert">{words}</p> })}
            </section>
            <Kept store keep />
            <Note keep />
            {move || match book.get() {
                Some(book) => Some(shown(store, &book)),
                None => keep.book.with(|book| (!book.is_empty()).then(|| shown(store, book))),
            }}
        </main>
    }
}

/// Minutes that this device's clock is ahead of UTC.
fn offset() -> i32 {
    let behind = js_sys::Date::new_0().get_timezone_offset();
    // Hours of the day, in minutes.
    -(behind as i32)
}

/// A book as the address wants it.
fn shown(store: Store, book: &Book) -> AnyView {
    let reading = Reading::new(book);
    let (system, offset) = (store.system(), offset());
    let named = store.inside.get();
    let id = |at: usize| named.get(at).and_then(|text| text.parse::<Id>().ok());
    let pairs: Vec<(Id, Id)> = reading.pairs().collect();
    let asked = id(0).zip(id(1)).filter(|pair| pairs.contains(pair));
    let chosen = asked.or(pairs.first().copied());
    let riders = pairs.iter().map(|&(rider, sled)| {
        let inside = vec![rider.to_string(), sled.to_string()];
        let title = format!("{} on {}", reading.rider_name(rider), reading.sled_name(sled));
        let set_ups = reading.set_ups(rider, sled);
        let since = set_ups.last().map_or_else(
            || "no set-up yet".to_owned(),
            |now| format!("set so {}", when::date(now.strand.happened_ms(), offset)),
        );
        let here = (chosen == Some((rider, sled))).then_some("true");
        view! {
            <li>
                <button type="button" aria-current=here on:click=move |_| store.go(Place::Book, inside.clone())>
                    {title}
                    <span class="how">{since}</span>
                </button>
            </li>
        }
        .into_any()
    });
    let riders = riders.collect_view();
    let stands = chosen.map(|(rider, sled)| stands(&reading, rider, sled, system, offset));
    view! {
        <section class="panel" aria-labelledby="rides-heading">
            <h2 id="rides-heading">"Who rides what"</h2>
            <ul class="pairs">{riders}</ul>
        </section>
        {stands}
        {timeline(&reading, chosen, system, offset)}
    }
    .into_any()
}

/// How a rider's sled stands now, and what its changes did.
fn stands(reading: &Reading, rider: Id, sled: Id, system: System, offset: i32) -> AnyView {
    let title = format!(
        "{} on {}",
        reading.rider_name(rider),
        reading.sled_name(sled)
    );
    let set_ups = reading.set_ups(rider, sled);
    let lines = set_ups.last().map(|now| {
        let since = when::date_time(now.strand.happened_ms(), offset);
        let rows = now.set_up.lines(system).into_iter();
        let rows = rows
            .map(|(name, value)| view! { <tr><th scope="row">{name}</th><td>{value}</td></tr> });
        view! {
            <table>
                <caption>{format!("Set so since {since}")}</caption>
                <tbody>{rows.collect_view()}</tbody>
            </table>
        }
        .into_any()
    });
    let outcomes = reading.outcomes(rider, sled);
    let changes = outcomes
        .iter()
        .rev()
        .map(|o| came(o, system, offset))
        .collect_view();
    view! {
        <section class="panel" aria-labelledby="stands-heading">
            <h2 id="stands-heading">{title}</h2>
            {lines}
            <h3>"What each change did"</h3>
            {outcomes.is_empty().then(|| view! { <p>"No change is written down."</p> })}
            <ol class="came">{changes}</ol>
        </section>
    }
    .into_any()
}

/// A change: expected against felt.
fn came(outcome: &Outcome, system: System, offset: i32) -> AnyView {
    let day = when::date(outcome.strand.happened_ms(), offset);
    let line = outcome.strand.shown.map(|e| words::line(e, system));
    let expected: Vec<String> = outcome
        .change
        .expected
        .iter()
        .map(words::expected)
        .collect();
    let expected = (!expected.is_empty()).then(|| format!("Expected: {}.", expected.join("; ")));
    let shifts = outcome.shifts.iter().map(|s| {
        let strength = |value: f64| format_number(value, 0.1);
        format!(
            "{} {} → {}",
            words::said(&s.complaint),
            strength(s.before),
            strength(s.after)
        )
    });
    let more: Vec<String> = match outcome.verdict {
        Verdict::Mixed => outcome.mixed.clone(),
        Verdict::NotFeltYet | Verdict::NotFeltBefore => Vec::new(),
        _ => shifts.collect(),
    };
    let more = if more.is_empty() {
        String::new()
    } else {
        format!(" ({})", more.join("; "))
    };
    view! {
        <li>
            <p><strong>{day}": "</strong>{line}</p>
            {expected.map(|words| view! { <p class="how">{words}</p> })}
            <p>"Felt: " <strong>{outcome.verdict.label()}</strong> {more}</p>
        </li>
    }
    .into_any()
}

/// Everything about a rider's sled, the newest first.
fn timeline(reading: &Reading, pair: Option<(Id, Id)>, system: System, offset: i32) -> AnyView {
    let filter = Filter {
        rider: pair.map(|p| p.0),
        sled: pair.map(|p| p.1),
        ..Filter::default()
    };
    let entries: Vec<(String, &'static str, String)> = reading
        .timeline(&filter)
        .into_iter()
        .rev()
        .filter_map(|strand| {
            let entry = strand.shown?;
            let time = when::date_time(strand.happened_ms(), offset);
            Some((time, entry.what().label(), words::line(entry, system)))
        })
        .collect();
    let total = entries.len();
    let entries = StoredValue::new(entries);
    let count = RwSignal::new(AT_ONCE);
    let rows = move || {
        entries.with_value(|all| {
            let rows = all.iter().take(count.get()).cloned();
            rows.map(|(time, kind, line)| {
                view! { <li><span class="how">{time}" "</span><strong>{kind}</strong>": "{line}</li> }.into_any()
            })
            .collect_view()
        })
    };
    view! {
        <section class="panel" aria-labelledby="entries-heading">
            <h2 id="entries-heading">"Entries, the newest first"</h2>
            <ol class="entries">{rows}</ol>
            {move || (count.get() < total).then(|| view! {
                <button type="button" on:click=move |_| count.update(|c| *c += AT_ONCE)>"Show earlier ones"</button>
            })}
        </section>
    }
    .into_any()
}
