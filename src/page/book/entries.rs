//! All entries, the newest first: looked through by who, what kind, complaint, snow and words; each can be put right.

use leptos::prelude::*;

use super::desk::{Desk, Screen, moment};
use super::picture;
use crate::change::COMPLAINTS;
use crate::log::form::DeletedRecord;
use crate::log::{About, Entry, Filter, Id, Like, Reading, Strand, What, words};
use crate::order;
use crate::page::print::save_text;
use crate::plan::book::form::{ROUGHNESS, SNOW, blamed, in_words, roughness, snow};
use crate::plan::book::pen::Beside;
use crate::units::text::System;

/// Entries that are shown at first, and with every request for more. Our choice.
const AT_ONCE: usize = 60;

/// Kinds of entries to look for: as documents name them, and as people say it.
const KINDS: [(&str, &str); 14] = [
    ("", "everything"),
    ("felt", "what riders said"),
    ("change", "changes"),
    ("base_set_up", "base set-ups"),
    ("conditions", "conditions"),
    ("also_changed", "what else was changed"),
    ("tape_checks", "tape checks"),
    ("session", "logged sessions"),
    ("photo", "photos"),
    ("note", "notes"),
    ("rides", "who rides what"),
    ("rider", "riders"),
    ("sled", "sleds"),
    ("shelf", "parts on the shelf"),
];

/// What is looked for.
#[derive(Clone, Debug, PartialEq)]
struct Asked {
    rider: String,
    sled: String,
    kind: String,
    complaint: String,
    snow: String,
    roughness: String,
    text: String,
    deleted: bool,
}

impl Asked {
    fn filter(&self) -> Filter {
        Filter {
            rider: self.rider.parse().ok(),
            sled: self.sled.parse().ok(),
            kinds: Some(self.kind.clone())
                .filter(|k| !k.is_empty())
                .into_iter()
                .collect(),
            complaint: Some(self.complaint.clone()).filter(|c| !c.is_empty()),
            conditions: Like {
                snow: snow(&self.snow),
                roughness: roughness(&self.roughness),
                ..Like::default()
            },
            text: self.text.clone(),
            deleted: self.deleted,
            ..Filter::default()
        }
    }
}

/// A line of the list.
#[derive(Clone, Debug, PartialEq)]
struct Line {
    id: Id,
    time: String,
    kind: &'static str,
    whom: String,
    says: String,
    deleted: bool,
    /// The deletion that counts, where it is deleted; what it said before.
    gone: Option<Id>,
    former: Vec<String>,
    rivals: Vec<(Id, String)>,
    /// That it does not begin where the set-up before it ended.
    gap: Option<String>,
    doubtful: bool,
    /// A photo's small picture, as an address of its own.
    picture: Option<String>,
}

/// The part.
pub fn entries(desk: Desk, pair: Option<(Id, Id)>) -> AnyView {
    let id = |id: Option<Id>| id.map_or(String::new(), |id| id.to_string());
    let asked = RwSignal::new(Asked {
        rider: id(pair.map(|p| p.0)),
        sled: id(pair.map(|p| p.1)),
        kind: String::new(),
        complaint: String::new(),
        snow: String::new(),
        roughness: String::new(),
        text: String::new(),
        deleted: false,
    });
    let count = RwSignal::new(AT_ONCE);
    let found = Memo::new(move |_| {
        let (filter, count, system) = (asked.with(Asked::filter), count.get(), desk.system());
        desk.read(|reading| {
            let all = reading.timeline(&filter);
            let lines = all.iter().rev().take(count);
            let lines: Vec<Line> = lines.filter_map(|s| line_of(reading, s, system)).collect();
            (all.len(), lines)
        })
    });
    let riders = move || {
        desk.read(|r| {
            r.riders()
                .map(|s| (s.id.to_string(), s.profile.name.clone()))
                .collect::<Vec<_>>()
        })
    };
    let sleds = move || {
        desk.read(|r| {
            r.sleds()
                .map(|s| (s.id.to_string(), s.profile.name.clone()))
                .collect::<Vec<_>>()
        })
    };
    let owned = |rows: &[(&str, &str)]| -> Vec<(String, String)> {
        rows.iter()
            .map(|(a, b)| ((*a).to_owned(), (*b).to_owned()))
            .collect()
    };
    let kinds = owned(&KINDS);
    let snow: Vec<(String, String)> = owned(SNOW).into_iter().skip(1).collect();
    let rough: Vec<(String, String)> = owned(ROUGHNESS).into_iter().skip(1).collect();
    let complaints: Vec<(String, String)> = COMPLAINTS
        .iter()
        .map(|c| (c.id.to_owned(), c.words.to_owned()))
        .collect();
    let rows = move || {
        let (_, lines) = found.get();
        lines.into_iter().map(|line| row(desk, line)).collect_view()
    };
    let csv = move |_| {
        let filter = asked.with_untracked(Asked::filter);
        // A table leaves nothing out.
        let filter = Filter {
            deleted: true,
            ..filter
        };
        let text = untrack(|| desk.read(|r| r.csv(&filter)));
        save_text(&text, "text/csv", "sledstance-book.csv");
    };
    view! {
        <div class="field">
            <label for="entries-search">"Search"</label>
            <input
                id="entries-search"
                type="search"
                autocomplete="off"
                on:input=move |event| asked.update(|a| a.text = event_target_value(&event))
            />
        </div>
        <details class="group">
            <summary><span class="group-title">"Only some of them"</span></summary>
            <div class="pair">
                {select("entries-rider", "Rider", "all", Signal::derive(riders), asked, |a| &mut a.rider)}
                {select("entries-sled", "Sled", "all", Signal::derive(sleds), asked, |a| &mut a.sled)}
                {select("entries-kind", "Kind", "everything", Signal::derive(move || kinds[1..].to_vec()), asked, |a| &mut a.kind)}
                {select("entries-complaint", "Complaint", "any", Signal::derive(move || complaints.clone()), asked, |a| &mut a.complaint)}
                {select("entries-snow", "Snow", "any", Signal::derive(move || snow.clone()), asked, |a| &mut a.snow)}
                {select("entries-rough", "How rough", "any", Signal::derive(move || rough.clone()), asked, |a| &mut a.roughness)}
            </div>
            <label class="check">
                <input type="checkbox" on:change=move |event| asked.update(|a| a.deleted = event_target_checked(&event)) />
                "deleted ones too"
            </label>
        </details>
        <p role="status">{move || {
            match found.with(|f| f.0) {
                0 => "No entry is like that.".to_owned(),
                1 => "1 entry, ".to_owned() + "the newest first.",
                n => format!("{n} entries, the newest first."),
            }
        }}</p>
        <ol class="entries">{rows}</ol>
        <div class="along-row">
            {move || found.with(|f| f.0 > count.get()).then(|| view! {
                <button type="button" on:click=move |_| count.update(|c| *c += AT_ONCE)>"Show earlier ones"</button>
            })}
            <button type="button" on:click=csv>"Save these as a table (CSV)"</button>
        </div>
    }
    .into_any()
}

/// A choice of what to look for.
fn select(
    id: &'static str,
    label: &'static str,
    all: &'static str,
    options: Signal<Vec<(String, String)>>,
    asked: RwSignal<Asked>,
    of: fn(&mut Asked) -> &mut String,
) -> AnyView {
    let options = move || {
        let chosen = asked.with_untracked(|a| of(&mut a.clone()).clone());
        let rows = options.get().into_iter().map(|(value, says)| {
            let selected = value == chosen;
            view! { <option value=value selected=selected>{says}</option> }
        });
        rows.collect_view()
    };
    view! {
        <div class="field">
            <label for=id>{label}</label>
            <select id=id on:change=move |event| asked.update(|a| *of(a) = event_target_value(&event))>
                <option value="">{all}</option>
                {options}
            </select>
        </div>
    }
    .into_any()
}

/// An entry as a line that is only read.
pub fn line(strand: &Strand, entry: &Entry, system: System) -> AnyView {
    let time = moment(strand.happened_ms());
    view! {
        <li>
            <span class="how">{time}" "</span>
            <strong>{entry.what().label()}</strong>": "{words::line(entry, system)}
        </li>
    }
    .into_any()
}

fn line_of(reading: &Reading, strand: &Strand, system: System) -> Option<Line> {
    let entry = strand.said_last()?;
    let About { rider, sled } = entry.about();
    let names = [
        rider.map(|id| reading.rider_name(id)),
        sled.map(|id| reading.sled_name(id)),
    ];
    let shown = strand.shown.as_ref().map(Entry::id);
    let rivals = order::set(strand.rivals.iter().map(Entry::id));
    let former = strand
        .history
        .iter()
        .filter(|e| Some(e.id()) != shown && !rivals.contains(&e.id()));
    let said = |e: &Entry| {
        let says = if e.is_deletion() { "deleted" } else { "" };
        let line = words::line(e, system);
        let between = if says.is_empty() || line.is_empty() {
            ""
        } else {
            ": "
        };
        format!(
            "{} by {}: {says}{between}{line}",
            moment(e.at_ms()),
            e.device()
        )
    };
    let deletion = strand.history.iter().rev().find(|e| e.is_deletion());
    Some(Line {
        id: entry.id(),
        time: moment(strand.happened_ms()),
        kind: entry.what().label(),
        whom: names.into_iter().flatten().collect::<Vec<_>>().join(" on "),
        says: words::line(entry, system),
        deleted: strand.shown.is_none(),
        gone: deletion.filter(|_| strand.shown.is_none()).map(|d| d.id()),
        former: former.map(said).collect(),
        rivals: strand.rivals.iter().map(|e| (e.id(), said(e))).collect(),
        gap: words::gap(&reading.gap(strand, system)),
        doubtful: entry.is_time_doubtful(),
        picture: picture::address(entry.what()),
    })
}

fn row(desk: Desk, line: Line) -> AnyView {
    let Line { id, gone, .. } = line;
    let label = format!("{} of {}: correct or delete", line.kind, line.time);
    let act = if let Some(gone) = gone {
        let label = format!("{} of {}: bring back", line.kind, line.time);
        view! { <button type="button" class="quiet" aria-label=label on:click=move |_| back(desk, id, gone)>"Bring back"</button> }
            .into_any()
    } else {
        view! { <button type="button" class="quiet" aria-label=label on:click=move |_| desk.go(Screen::Correct(id))>"Correct"</button> }
            .into_any()
    };
    let former = (!line.former.is_empty()).then(|| {
        let all = line
            .former
            .into_iter()
            .map(|words| view! { <li>{words}</li> });
        view! {
            <details class="group">
                <summary><span class="group-title">"What stood there before"</span></summary>
                <ul>{all.collect_view()}</ul>
            </details>
        }
    });
    let rivals = line.rivals.into_iter().map(|(rival, words)| {
        let choice = if rival == id {
            view! { <p class="how">"Correct it: the correction stands for both."</p> }.into_any()
        } else {
            view! {
                <div class="along-row">
                    <button type="button" class="quiet" on:click=move |_| remove(desk, id)>"Keep this other one"</button>
                    <button type="button" class="quiet" on:click=move |_| remove(desk, rival)>"Remove this other one"</button>
                </div>
            }
            .into_any()
        };
        view! {
            <p class="error">"Written at the same time elsewhere: " {words}</p>
            {choice}
        }
    });
    let unsaved = Memo::new(move |_| desk.keep.unsaved.with(|unsaved| unsaved.contains(&id)));
    view! {
        <li class="entry-line">
            <div>
                <span class="how">{line.time} " " {line.whom} {line.doubtful.then_some(" (the clock was set back: doubtful)")}</span>
                {move || unsaved.get().then(|| view! { <p class="error">"Not saved yet"</p> })}
                <p>
                    <strong>{line.kind} {line.deleted.then_some(", deleted")}</strong>": "{line.says.clone()}
                </p>
                {line.picture.map(|address| view! { <img class="shot" src=address alt=line.says.clone() /> })}
                {line.gap.map(|gap| view! { <p class="error">{gap} "."</p> })}
                {rivals.collect_view()}
                {former}
            </div>
            {act}
        </li>
    }
    .into_any()
}

/// Let a deleted entry count again.
fn back(desk: Desk, id: Id, gone: Id) {
    let made = desk.write("Brought back: it counts again.", |reading, pen| {
        let strand = reading.strand_of(id);
        let former = strand.and_then(|s| s.history.iter().find(|e| e.id() == id));
        former.map_or(Ok(Vec::new()), |former| {
            let beside = Beside {
                about: former.about(),
                happened_ms: former.form().happened_ms,
                supersedes: Some(gone),
            };
            Ok(vec![
                pen.write(beside, former.what().clone())
                    .map_err(|e| blamed(&e))?,
            ])
        })
    });
    if let Err(wrong) = made {
        desk.tell(&in_words(wrong));
    }
}

/// Take one of two entries away that were written at the same time.
fn remove(desk: Desk, one: Id) {
    let made = desk.write("Removed: the other one stands.", |reading, pen| {
        let strand = reading.strand_of(one);
        let about = strand
            .and_then(|s| s.history.iter().find(|e| e.id() == one))
            .map(|e| e.about());
        let beside = Beside {
            about: about.unwrap_or_default(),
            happened_ms: None,
            supersedes: Some(one),
        };
        let what = What::Deleted(DeletedRecord {
            why: Some("the other one, written at the same time, stands".to_owned()),
        });
        Ok(vec![pen.write(beside, what).map_err(|e| blamed(&e))?])
    });
    if let Err(wrong) = made {
        desk.tell(&in_words(wrong));
    }
}
