//! How a rider's sled is set now, the ways on from there, and what each change did.

use leptos::prelude::*;

use super::desk::{Desk, Screen, moment};
use super::entries::line;
use super::stage;
use crate::log::{
    Entry, Filter, Id, Outcome, Reading, SetUpForm, SetUpState, Verdict, What, when, words,
};
use crate::page::book::offset;
use crate::page::field::alert;
use crate::plan::book::card;
use crate::plan::book::form::Sheet;
use crate::units::text::{System, format_number};
use crate::view::card as paper;

/// Entries that are shown here; all of them have a part of their own. Our choice.
const LAST: usize = 5;

/// Changes that are shown with what they did, at first and with every request for more. Our choice.
const CHANGES: usize = 10;

/// The part.
pub fn now(desk: Desk, pair: (Id, Id)) -> AnyView {
    let wrong = RwSignal::new(None::<String>);
    let count = RwSignal::new(CHANGES);
    view! {
        {alert(wrong)}
        {move || desk.read(|reading| shown(desk, pair, reading, wrong))}
        <h3>"What each change did"</h3>
        {move || desk.read(|reading| changes(desk, pair, reading, count))}
    }
    .into_any()
}

fn shown(
    desk: Desk,
    pair: (Id, Id),
    reading: &Reading,
    wrong: RwSignal<Option<String>>,
) -> AnyView {
    let system = desk.system();
    let way = |screen: Screen, says: &'static str| {
        view! { <button type="button" on:click=move |_| desk.go(screen)>{says}</button> }.into_any()
    };
    let open = move |_| wrong.set(stage::open(desk, pair, None).err());
    let beside = move |_| wrong.set(stage::compare(desk, pair).err());
    let set_ups = reading.set_ups(pair.0, pair.1);
    let stands = match set_ups.last() {
        None => view! {
            <p>"No set-up of this rider on this sled is written down yet. Tape how it stands, or let the start place search one."</p>
            <div class="along-row">
                {way(Screen::Change, "Write down how it stands")}
                <button type="button" on:click=open>"Search one on the start place"</button>
            </div>
        }
        .into_any(),
        Some(now) => view! {
            <button type="button" class="big" on:click=move |_| desk.go(Screen::Said)>"What did the rider say?"</button>
            {stands_so(now, reading, desk)}
            <div class="along-row">
                {way(Screen::Change, "Change something by hand")}
                {way(Screen::Back, "Go back to …")}
                {way(Screen::Work, "Work list")}
                <button type="button" on:click=open>"Open it on the stage"</button>
                <button type="button" on:click=beside>"Put it beside others"</button>
                {way(Screen::Move, "Move it to another sled")}
            </div>
            {desk.printing.row("book-paper", "Print the card", || true)}
        }
        .into_any(),
    };
    let filter = Filter {
        rider: Some(pair.0),
        sled: Some(pair.1),
        ..Filter::default()
    };
    let all = reading.timeline(&filter);
    let last = all
        .into_iter()
        .rev()
        .filter_map(|s| Some((s, s.shown.as_ref()?)));
    let last = last
        .take(LAST)
        .map(|(strand, entry)| line(strand, entry, system));
    view! {
        {stands}
        <h3>"Last entries"</h3>
        <ol class="entries">{last.collect_view()}</ol>
        <div class="along-row">
            {way(Screen::Write(Sheet::Conditions), "Write something else down")}
            {way(Screen::Entries, "All entries")}
            {way(Screen::Season, "The season")}
        </div>
    }
    .into_any()
}

/// The newest changes, with what each did.
fn changes(desk: Desk, pair: (Id, Id), reading: &Reading, count: RwSignal<usize>) -> AnyView {
    let outcomes = reading.outcomes(pair.0, pair.1);
    let (all, most) = (outcomes.len(), count.get());
    let newest = outcomes.iter().rev().take(most);
    let rows = newest.map(|o| came(o, desk.system()));
    view! {
        {(all == 0).then(|| view! { <p>"No change is written down."</p> })}
        <ol class="came">{rows.collect_view()}</ol>
        {(all > most).then(|| view! {
            <button type="button" on:click=move |_| count.update(|c| *c += CHANGES)>"Show earlier changes"</button>
        })}
    }
    .into_any()
}

/// Every setting as it stands.
fn stands_so(now: &SetUpState, reading: &Reading, desk: Desk) -> AnyView {
    let since = format!("Set so since {}", moment(now.strand.happened_ms()));
    let gap = words::gap(&reading.gap(now.strand, desk.system()));
    let doubt = gap.map(|gap| {
        view! {
            <p class="error">{gap} ". Check with a tape which one stands."</p>
        }
    });
    view! {
        {doubt}
        {set_up_table(&since, now.set_up, desk)}
    }
    .into_any()
}

/// Every setting of a set-up.
pub fn set_up_table(caption: &str, set_up: &SetUpForm, desk: Desk) -> AnyView {
    let lines = set_up.lines(desk.system()).into_iter();
    let rows =
        lines.map(|(name, value)| view! { <tr><th scope="row">{name}</th><td>{value}</td></tr> });
    view! {
        <table><caption>{caption.to_owned()}</caption><tbody>{rows.collect_view()}</tbody></table>
    }
    .into_any()
}

/// A change: expected against felt.
fn came(outcome: &Outcome, system: System) -> AnyView {
    let day = when::date(outcome.strand.happened_ms(), offset());
    let entry = outcome.strand.shown.as_ref();
    let line = entry.map(|e| words::line(e, system));
    let expected = expected(entry.map(Entry::what));
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

/// What a change should do, in a sentence; none where nothing was computed.
pub fn expected(what: Option<&What>) -> Option<String> {
    let Some(What::Change(change)) = what else {
        return None;
    };
    let each: Vec<String> = change.expected.iter().map(words::expected).collect();
    (!each.is_empty()).then(|| format!("Expected: {}.", each.join("; ")))
}

/// The card for the lid of the toolbox.
pub fn the_card(desk: Desk, size: paper::Paper) -> Option<String> {
    let stances = desk.store.stances.get_value();
    let units = desk.store.units.get_untracked();
    let pair = desk.pair.get_untracked()?;
    let card = untrack(|| desk.read(|r| card::card(r, pair.0, pair.1, &stances, units, offset())));
    match card {
        Ok(card) => Some(paper::bare(&card, size)),
        Err(because) => {
            desk.tell(&format!("There is no card: {because}."));
            None
        }
    }
}
