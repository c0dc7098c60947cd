//! What to change for what the rider said: ranked single changes, one to be chosen.

use leptos::prelude::*;

use super::change::{pick, shelved};
use super::desk::Desk;
use crate::change::Complaint;
use crate::document;
use crate::log::{Id, What, words};
use crate::page::advice::{minutes_field, told_with};
use crate::page::request::{Request, Response, Ridden};
use crate::page::turn::Turns;
use crate::plan::advice::Note;
use crate::plan::book::proposal::{Proposal, Proposed};
use crate::plan::book::set_up::{Picked, Why};
use crate::units::text::format_number;

/// An answer on its way.
#[derive(Clone, Debug, PartialEq)]
enum Answer {
    Waiting,
    There(Proposed),
    Refused(String),
}

/// The part.
pub fn answer(desk: Desk, pair: (Id, Id)) -> AnyView {
    let minutes = RwSignal::new(None::<f64>);
    let found = RwSignal::new(Answer::Waiting);
    let turns = Turns::new();
    let heard = Memo::new(move |_| heard(desk, pair));
    Effect::new(move |_| {
        let asked = heard
            .get()
            .and_then(|heard| ridden(desk, pair, &heard, minutes.get()));
        let turn = turns.next();
        match asked {
            Err(because) => found.set(Answer::Refused(because)),
            Ok(ridden) => {
                found.set(Answer::Waiting);
                desk.store.adviser.with_value(|adviser| {
                    adviser.ask(&Request::Propose(Box::new(ridden)), move |answer| {
                        if turn.lasts() {
                            found.set(match answer {
                                Ok(Response::Propose { told, changes }) => {
                                    match serde_json::from_str(&changes) {
                                        Ok(changes) => Answer::There(Proposed { told, changes }),
                                        Err(error) => Answer::Refused(error.to_string()),
                                    }
                                }
                                Ok(Response::Refused { because }) => Answer::Refused(because),
                                Ok(_) => Answer::Refused("it answered another question".to_owned()),
                                Err(failure) => Answer::Refused(failure.to_string()),
                            });
                        }
                    });
                });
            }
        }
    });
    let line = move || heard.get().map(|heard| heard.says).unwrap_or_default();
    let shown = move || match found.get() {
        Answer::Waiting => {
            view! { <p class="how">"Computing every single change that this sled allows …"</p> }
                .into_any()
        }
        Answer::Refused(because) => {
            view! { <p class="error" role="alert">{format!("No answer: {because}.")}</p> }
                .into_any()
        }
        Answer::There(proposed) => {
            let complaints = heard
                .get_untracked()
                .map(|h| h.complaints)
                .unwrap_or_default();
            let changes = proposed.changes;
            told_with(proposed.told, &|note: &Note| {
                let proposal = changes.iter().find(|p| p.title == note.title)?.clone();
                Some(choose(desk, pair, proposal, &complaints))
            })
        }
    };
    view! {
        <p><strong>"Said last: "</strong>{line}</p>
        {minutes_field("book-minutes", minutes)}
        <div aria-live="polite">{shown}</div>
        <p class="how">"Make one change at a time: of two at once nobody knows which one did it."</p>
    }
    .into_any()
}

/// What was said last of a rider's sled.
#[derive(Clone, Debug, PartialEq)]
struct Heard {
    says: String,
    complaints: Vec<(String, u8)>,
}

fn heard(desk: Desk, pair: (Id, Id)) -> Result<Heard, String> {
    desk.read(|reading| {
        let all = reading.of_pair(pair.0, pair.1);
        let last = all
            .filter(|(_, entry)| matches!(entry.what(), What::Felt(_)))
            .last();
        let (_, entry) = last.ok_or("the rider has not said anything yet")?;
        let What::Felt(felt) = entry.what() else {
            return Err("the rider has not said anything yet".to_owned());
        };
        let known = felt
            .complaints
            .iter()
            .filter(|c| Complaint::find(&c.complaint).is_some());
        Ok(Heard {
            says: words::line(entry, desk.system()),
            complaints: known.map(|c| (c.complaint.clone(), c.strength)).collect(),
        })
    })
}

/// The question to the worker.
fn ridden(
    desk: Desk,
    pair: (Id, Id),
    heard: &Heard,
    minutes: Option<f64>,
) -> Result<Ridden, String> {
    if heard.complaints.is_empty() {
        return Err("there is nothing to complain of, so nothing to change".to_owned());
    }
    desk.read(|reading| {
        let (rider, sled) = reading.records(pair.0, pair.1).map_err(|e| e.to_string())?;
        let stands = reading.set_up(pair.0, pair.1, None);
        Ok(Ridden {
            rider: rider.write().map_err(|e| e.to_string())?,
            sled: sled.write().map_err(|e| e.to_string())?,
            stands: document::line(stands.ok_or("no set-up is written down yet")?)
                .map_err(|e| e.to_string())?,
            complaints: heard.complaints.clone(),
            minutes,
            units: desk.units(),
        })
    })
}

fn choose(desk: Desk, pair: (Id, Id), proposal: Proposal, complaints: &[(String, u8)]) -> AnyView {
    let said: Vec<String> = complaints.iter().map(|(id, _)| words::said(id)).collect();
    let answers: Vec<String> = complaints.iter().map(|(id, _)| id.clone()).collect();
    let label = format!("Choose it: {}", proposal.title);
    let offered = proposal.clone();
    let choose = move |_| {
        let why = Why {
            reason: format!("{}: {}", said.join(", "), proposal.title),
            minutes: format_number(proposal.minutes, 1.0),
            answers: answers.clone(),
            expected: proposal.expected.clone(),
            parts: proposal.part.clone().into_iter().collect(),
        };
        let to = proposal.to.clone();
        pick(desk, pair, &Picked { to, why });
    };
    view! {
        {shelved(desk, pair.1, &offered.to)}
        <button type="button" aria-label=label on:click=choose>"Choose it"</button>
    }
    .into_any()
}
