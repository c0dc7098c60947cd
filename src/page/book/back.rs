//! Going back to a set-up that stood before, and what worked for this rider in such conditions.

use leptos::prelude::*;

use super::desk::{Desk, Screen, moment};
use super::fields::Draft;
use super::keep::FLEETING;
use crate::log::{About, Filter, Id, Like, What, when, words};
use crate::page::field::alert;
use crate::plan::book::begin::written;
use crate::plan::book::form::{Sheet, Texts, conditions, in_words, said};
use crate::plan::book::season::felt_words;
use crate::units::text::format_number;

/// Ways back that are offered at first; the season has all. Our choice.
const MOST: usize = 12;

/// A set-up that stood.
#[derive(Clone, Debug, PartialEq)]
struct Stood {
    root: Id,
    day: String,
    since: String,
    felt: String,
    differs: String,
    /// Why it cannot be made on the sled as recorded now.
    not: Option<String>,
}

/// The part.
pub fn back(desk: Desk, pair: (Id, Id)) -> AnyView {
    let stood = Memo::new(move |_| all(desk, pair));
    let wrong = RwSignal::new(None::<String>);
    let go = move |root: Id, day: String| {
        let reason = format!("back to the set-up of {day}");
        let made = desk.write(
            &format!("Written down: {reason}. Now the work, and what to check after it."),
            |reading, pen| {
                let change = reading.back_to(root, &reason);
                let change =
                    change.ok_or_else(|| said("", "this set-up is no longer in the book"))?;
                let about = About::both(pair.0, pair.1);
                Ok(vec![written(pen, about, What::Change(Box::new(change)))?])
            },
        );
        match made {
            Ok(_) => desk.go(Screen::Work),
            Err(all) => wrong.set(Some(in_words(all))),
        }
    };
    let rows = move || {
        let list = stood.get().into_iter().map(|s| {
            let (root, day) = (s.root, s.day.clone());
            let label = format!("Go back to the set-up of {}", s.since);
            let possible = s.not.is_none();
            view! {
                <li class="entry-line">
                    <div>
                        <strong>{s.since}</strong>
                        <p>{s.differs}</p>
                        <p class="how">{s.felt}</p>
                        {s.not.map(|because| view! { <p class="error">{because}</p> })}
                    </div>
                    <button type="button" aria-label=label disabled=!possible on:click=move |_| go(root, day.clone())>"Go back"</button>
                </li>
            }
        });
        list.collect_view()
    };
    view! {
        <p class="how">"One tap writes the change down and opens its work list. The newest first; how it stands now is left out."</p>
        {alert(wrong)}
        {move || stood.with(Vec::is_empty).then(|| view! { <p>"Nothing else stood before."</p> })}
        <ol class="entries">{rows}</ol>
        <Worked desk pair />
    }
    .into_any()
}

fn all(desk: Desk, pair: (Id, Id)) -> Vec<Stood> {
    desk.read(|reading| {
        let set_ups = reading.set_ups(pair.0, pair.1);
        let Some(now) = set_ups.last() else {
            return Vec::new();
        };
        let sled = reading.sled(pair.1).and_then(|s| s.at_hand.resolve().ok());
        let former = set_ups.iter().rev().skip(1).filter_map(|s| {
            let differs = now.set_up.differences(s.set_up, desk.system());
            (!differs.is_empty()).then_some((s, differs))
        });
        former
            .take(MOST)
            .map(|(s, differs)| Stood {
                root: s.strand.root,
                day: when::date(s.strand.happened_ms(), super::offset()),
                since: moment(s.strand.happened_ms()),
                felt: format!("Felt on it: {}.", felt_words(s)),
                differs: format!("From now: {}", differs.join("; ")),
                not: sled
                    .as_ref()
                    .and_then(|sled| s.set_up.on(sled).err())
                    .map(|e| format!("Not possible now: {e}.")),
            })
            .collect()
    })
}

/// What worked in such conditions; begins with the last ones that were written down.
#[component]
fn Worked(desk: Desk, pair: (Id, Id)) -> impl IntoView {
    let last = untrack(|| {
        desk.read(|reading| {
            let filter = Filter {
                kinds: vec!["conditions".to_owned()],
                ..Filter::default()
            };
            let last = reading
                .timeline(&filter)
                .last()
                .and_then(|s| s.shown.as_ref())
                .map(|e| e.what().clone());
            let texts = last
                .and_then(|what| Sheet::of(&what, 0))
                .map(|(_, texts)| texts);
            // Of a day's words and its track nobody expects another day to have the same.
            let of = |texts: Texts| -> Texts {
                texts
                    .into_iter()
                    .filter(|(key, _)| key != "words" && key != "track")
                    .collect()
            };
            texts.map(of).unwrap_or_default()
        })
    });
    let draft = Draft::open(desk, format!("{FLEETING}worked/{}", pair.0), last);
    let found = Memo::new(move |_| {
        let read = draft.texts.with(conditions);
        match read {
            Err(wrong) => Err(wrong),
            Ok(record) => Ok(desk.read(|reading| {
                let worked = reading.worked(pair.0, &Like::of(&record));
                let lines = worked.iter().map(|w| {
                    let day = when::date(w.outcome.strand.happened_ms(), super::offset());
                    let line = w
                        .outcome
                        .strand
                        .shown
                        .as_ref()
                        .map(|e| words::line(e, desk.system()));
                    let there = w.outcome.conditions_after.map_or(
                        "conditions that nobody wrote down".to_owned(),
                        words::conditions,
                    );
                    (
                        format!(
                            "{day} on {}: {}",
                            reading.sled_name(w.outcome.sled),
                            line.unwrap_or_default()
                        ),
                        format!(
                            "Complaints eased by {} in {there}.",
                            format_number(w.relief, 0.1)
                        ),
                    )
                });
                lines.collect::<Vec<_>>()
            })),
        }
    });
    Effect::new(move |_| {
        draft
            .wrong
            .set(found.with(|f| f.clone().err().unwrap_or_default()))
    });
    let list = move || match found.get() {
        Err(_) => ().into_any(),
        Ok(lines) if lines.is_empty() => view! {
            <p>"Nothing in the book is known to have worked in such conditions."</p>
        }
        .into_any(),
        Ok(lines) => {
            let rows = lines
                .into_iter()
                .map(|(what, came)| view! { <li><p>{what}</p><p class="how">{came}</p></li> });
            view! { <ol class="came">{rows.collect_view()}</ol> }.into_any()
        }
    };
    view! {
        <h3>"What worked for this rider in such conditions"</h3>
        {draft.fields_but(Sheet::Conditions, "words")}
        <p class="how">"Changes that made it better with nothing else changed, on any sled; the most alike first. What is left open is not compared."</p>
        <div aria-live="polite">{list}</div>
    }
}
