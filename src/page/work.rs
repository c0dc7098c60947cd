//! The work: tasks in their order, what to tape afterwards, what to try, what to tick off, and the cautions.

use leptos::prelude::*;

use super::advice::pick;
use super::field::Group;
use super::store::{Search, Store};
use crate::change::{Complaint, TRY_ON_NO};
use crate::fit::cautions::CAUTIONS;
use crate::fit::{Check, Task, checks, work};
use crate::plan::words;
use crate::units::text::capital;
use crate::units::text::format_number;

/// The section about the work.
#[component]
pub fn Work(store: Store) -> impl IntoView {
    let tasks = Memo::new(move |_| {
        let (set_up, sled) = (store.set_up.get()?, store.sled.get()?);
        set_up.settings.checked(&sled).ok()?;
        Some(work::tasks(None, &set_up, &sled))
    });
    let tape = move || {
        let (set_up, sled) = (store.set_up.get()?, store.sled.get()?);
        set_up.settings.checked(&sled).ok()?;
        Some(checks::checks(&set_up, &sled))
    };
    let safety = move || store.sled.get().map(|sled| checks::safety_checks(&sled));
    let minutes = move || {
        let total: f64 = tasks
            .get()
            .map_or(0.0, |t| t.iter().map(|t| t.minutes).sum());
        format!("about {} minutes in all", format_number(total, 5.0))
    };
    let plain = |text: &'static str| Signal::derive(move || text.to_owned());
    view! {
        <section class="panel work" aria-labelledby="work-heading">
            <h2 id="work-heading">"Work in this order"</h2>
            <p class="how">{minutes} "; tick off as you go."</p>
            <ol class="tasks">
                {move || tasks.get().map(|list| list.into_iter().enumerate().map(|(i, t)| task("task", i, t)).collect_view())}
            </ol>
            <Group title="Check with tape and level" note=plain("sled level, bars straight")>
                {move || tape().map(|list| check_table("Tape checks", "Measure", "Expect", list))}
                <p class="how">
                    "Shows the tape something else? Set it again. Stays it off with everything bolted as said, a dimension of the sled is not right: measure it under “The sled”."
                </p>
            </Group>
            <Group title="Try on" note=plain("engine off, full gear")>
                {try_on(store)}
            </Group>
            <Group title="Before you ride" note=plain("after every change")>
                {move || safety().map(|list| ticks("safety", list))}
            </Group>
            {cautions()}
        </section>
    }
}

/// The cautions, whole.
pub fn cautions() -> AnyView {
    let list = CAUTIONS.iter().map(|c| view! { <li>{*c}</li> });
    view! { <h3>"Cautions"</h3> <ul class="cautions">{list.collect_view()}</ul> }.into_any()
}

/// What must be known about this result: warnings of the fit, conditions that nobody measured, what is assumed.
#[component]
pub fn Known(store: Store) -> impl IntoView {
    let warnings = move || {
        let mut list = match store.search.get() {
            Search::Found(found) => found.warnings,
            _ => Vec::new(),
        };
        if let Some(set_up) = store.set_up.get() {
            let open = set_up.verdicts.iter().filter(|v| v.met.is_none());
            list.extend(open.map(|v| format!("{}: {}", capital(&v.name), v.says)));
            let missed = set_up.levers.buttons.iter().filter(|b| !b.reached);
            list.extend(missed.map(|b| {
                let by = format_number(-b.margin, 1.0);
                format!(
                    "{}: the thumb misses it by {by} mm without leaving the grip.",
                    capital(&b.name)
                )
            }));
        }
        list
    };
    let assumed = move || {
        let list = store
            .sled
            .get()
            .map(|s| s.assumed.clone())
            .unwrap_or_default();
        list.iter()
            .map(|path| words::path_in_words(path))
            .collect::<Vec<_>>()
    };
    let count = Signal::derive(move || match assumed().len() {
        0 => "nothing".to_owned(),
        1 => "1 dimension".to_owned(),
        count => format!("{count} dimensions"),
    });
    view! {
        <section class="panel known" aria-labelledby="known-heading">
            <h2 id="known-heading">"Good to know"</h2>
            <ul class="notes">{move || warnings().into_iter().map(|w| view! { <li>{w}</li> }).collect_view()}</ul>
            <Group title="Assumed about the sled" note=count>
                <p class="how">"Taken from a typical sled (common practice, no source). Measure what you can reach; give it under “The sled”."</p>
                <ul>{move || assumed().into_iter().map(|a| view! { <li>{a}</li> }).collect_view()}</ul>
            </Group>
        </section>
    }
}

/// A task to tick off; `name` tells lists apart.
pub fn task(name: &str, index: usize, task: Task) -> AnyView {
    let id = format!("{name}-{index}");
    let tools = task.tools.join(", ");
    view! {
        <li class="task">
            <input type="checkbox" id=id.clone() />
            <label for=id>
                <span class="task-what">{task.what}</span>
                <span class="task-with">
                    {format!("{} min", format_number(task.minutes, 1.0))}
                    {(!tools.is_empty()).then(|| format!(" · {tools}"))}
                </span>
            </label>
        </li>
    }
    .into_any()
}

fn check_table(
    caption: &'static str,
    what: &'static str,
    expect: &'static str,
    list: Vec<Check>,
) -> impl IntoView {
    view! {
        <table>
            <caption class="unseen">{caption}</caption>
            <thead><tr><th scope="col">{what}</th><th scope="col">{expect}</th></tr></thead>
            <tbody>
                {list
                    .into_iter()
                    .map(|c| view! { <tr><th scope="row">{c.what}</th><td>{c.expect}</td></tr> })
                    .collect_view()}
            </tbody>
        </table>
    }
}

/// What to try, in gear; a "no" is a complaint, which has an answer.
fn try_on(store: Store) -> AnyView {
    let rows = checks::try_on()
        .into_iter()
        .zip(TRY_ON_NO)
        .map(|(check, complaints)| {
            let felt = complaints
                .iter()
                .filter_map(|id| Some(Complaint::find(id)?.words));
            let label = format!("No: {}", felt.collect::<Vec<_>>().join("; "));
            let no = (!complaints.is_empty()).then(|| {
                view! {
                    <button type="button" aria-label=label on:click=move |_| pick(store, complaints)>"No"</button>
                }
            });
            let right = check.expect.map(|expect| format!("Right when: {expect}."));
            view! {
                <li class="try">
                    <p>{check.what} <span class="task-with">{right}</span></p>
                    {no}
                </li>
            }
        })
        .collect_view();
    view! {
        <p class="how">"“No” opens what the rider says, with the complaint picked."</p>
        <ul class="tasks">{rows}</ul>
    }
    .into_any()
}

/// What to tick off; `name` tells lists apart.
pub fn ticks(name: &'static str, list: Vec<Check>) -> AnyView {
    let items = list
        .into_iter()
        .enumerate()
        .map(|(i, check)| {
            let id = format!("{name}-{i}");
            let words = match check.expect {
                Some(expect) => format!("{} Right when: {expect}.", check.what),
                None => check.what,
            };
            view! {
                <li class="task">
                    <input type="checkbox" id=id.clone() />
                    <label for=id>{words}</label>
                </li>
            }
        })
        .collect_view();
    view! { <ul class="tasks">{items}</ul> }.into_any()
}
