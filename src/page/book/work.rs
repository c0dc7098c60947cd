//! The work of the last change: tasks in their order, tape checks with what they showed, what to tick off.

use leptos::prelude::*;

use super::desk::{Desk, Screen, moment, sentence};
use super::fields::Draft;
use super::now::expected;
use crate::fit::{Check, Task, checks, work};
use crate::log::form::{CheckForm, ChecksRecord};
use crate::log::{About, Entry, Id, What};
use crate::page::work::{cautions, task, ticks};
use crate::plan::book::begin::written;
use crate::plan::book::card::worked;
use crate::plan::book::form::{Texts, filled, said};
use crate::units::text::format_number;

/// What there is to do.
#[derive(Clone, Debug, PartialEq)]
struct Job {
    since: String,
    expected: Option<String>,
    tasks: Vec<Task>,
    tape: Vec<Check>,
    safety: Vec<Check>,
}

/// The part.
pub fn job(desk: Desk, pair: (Id, Id)) -> AnyView {
    let job = Memo::new(move |_| the_job(desk, pair));
    let shown = move || match job.get() {
        Err(because) => view! { <p class="error" role="alert">{because}</p> }.into_any(),
        Ok(job) => list(desk, pair, job),
    };
    shown.into_any()
}

fn the_job(desk: Desk, pair: (Id, Id)) -> Result<Job, String> {
    desk.read(|reading| {
        let set_ups = reading.set_ups(pair.0, pair.1);
        let now = set_ups.last().ok_or("No set-up is written down yet.")?;
        let (rider, sled) = reading.records(pair.0, pair.1).map_err(sentence)?;
        let stances = desk.store.stances.get_value();
        let made = worked(rider, sled, now.set_up, &stances)
            .map_err(|because| format!("There is no work list: {because}."))?;
        let what = now.strand.shown.as_ref().map(Entry::what);
        let before = match what {
            Some(What::Change(change)) => change.from.on(&made.sled).ok(),
            _ => None,
        };
        Ok(Job {
            since: moment(now.strand.happened_ms()),
            expected: expected(what),
            tasks: work::tasks(before.as_ref(), &made.set_up, &made.sled),
            tape: checks::checks(&made.set_up, &made.sled),
            safety: checks::safety_checks(&made.sled),
        })
    })
}

fn list(desk: Desk, pair: (Id, Id), job: Job) -> AnyView {
    let minutes: f64 = job.tasks.iter().map(|t| t.minutes).sum();
    let draft = Draft::open(desk, format!("tape/{}/{}", pair.0, pair.1), Texts::new());
    let tape = StoredValue::new(job.tape.clone());
    let rows = job
        .tape
        .into_iter()
        .enumerate()
        .map(|(i, check)| row(draft, i, check));
    let write = move |_| {
        let texts = draft.texts.get_untracked();
        let text = |key: String| filled(&texts, &key);
        let checked = tape.with_value(|tape| {
            let rows = tape.iter().enumerate().filter_map(|(i, check)| {
                Some(CheckForm {
                    what: check.what.clone(),
                    expect: check.expect.clone(),
                    found: text(found(i)),
                    good: text(well(i))? == "yes",
                })
            });
            rows.collect::<Vec<_>>()
        });
        let unsaid = (0..tape.with_value(Vec::len))
            .find(|i| text(found(*i)).is_some() && text(well(*i)).is_none());
        let made = match unsaid {
            Some(i) => Err(said(
                "",
                &format!("Say of check {} whether it is well.", i + 1),
            )),
            None if checked.is_empty() => Err(said("", "Nothing is checked yet.")),
            None => desk.write("Written down: the tape checks.", |_, pen| {
                let what = What::TapeChecks(ChecksRecord { checks: checked });
                Ok(vec![written(pen, About::both(pair.0, pair.1), what)?])
            }),
        };
        if draft.settle(made).is_some() {
            desk.go(Screen::Now);
        }
    };
    let none = job.tasks.is_empty();
    view! {
        <p class="how">{format!("For the set-up since {}. ", job.since)} {job.expected}</p>
        <h3>{format!("Work in this order, about {} minutes in all", format_number(minutes, 5.0))}</h3>
        {none.then(|| view! { <p>"Nothing is to be bolted."</p> })}
        <ol class="tasks">
            {job.tasks.into_iter().enumerate().map(|(i, t)| task("job", i, t)).collect_view()}
        </ol>
        <h3>"Before you ride: tick off after every change"</h3>
        {ticks("job-safety", job.safety)}
        {cautions()}
        <h3>"Check with tape and level"</h3>
        {draft.left(Some(Screen::Now))}
        <p class="how">"Sled level, bars straight. What you check is written into the book; what you leave out is not."</p>
        <ol class="tape">{rows.collect_view()}</ol>
        {draft.general()}
        <button type="button" on:click=write>"Write the tape checks down"</button>
    }
    .into_any()
}

fn found(i: usize) -> String {
    format!("found.{i}")
}

fn well(i: usize) -> String {
    format!("well.{i}")
}

fn row(draft: Draft, i: usize, check: Check) -> AnyView {
    let (found, well) = (found(i), well(i));
    let (found_id, well_id) = (format!("tape-found-{i}"), format!("tape-well-{i}"));
    let text = move |key: &str| {
        draft
            .texts
            .with(|t| t.get(key).cloned())
            .unwrap_or_default()
    };
    let (shown_found, shown_well) = (found.clone(), well.clone());
    let chosen = move |value: &str| text(&shown_well) == value;
    let (yes, no) = (chosen.clone(), chosen);
    view! {
        <li class="tape-row">
            <p>{check.what.clone()} {check.expect.map(|e| view! { <span class="how">{e}</span> })}</p>
            <span class="field">
                <label class="unseen" for=found_id.clone()>{format!("Found: {}", check.what)}</label>
                <input
                    id=found_id
                    type="text"
                    autocomplete="off"
                    placeholder="found"
                    prop:value=move || text(&shown_found)
                    on:input=move |event| draft.put(&found, event_target_value(&event))
                />
            </span>
            <span class="field">
                <label class="unseen" for=well_id.clone()>{format!("Well? {}", check.what)}</label>
                <select id=well_id on:change=move |event| draft.put(&well, event_target_value(&event))>
                    <option value="">"not checked"</option>
                    <option value="yes" selected=move || yes("yes")>"well"</option>
                    <option value="no" selected=move || no("no")>"not well"</option>
                </select>
            </span>
        </li>
    }
    .into_any()
}
