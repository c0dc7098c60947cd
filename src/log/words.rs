//! An entry in words: a line for the timeline and the table, and everything in it that a search may find.

use super::entry::Entry;
use super::form::{
    Also, AlsoChangedRecord, ChangeRecord, ConditionsRecord, ExpectedForm, FeltRecord, What,
};
use crate::units::text::{System, format_number};

/// What an entry says, in one line.
pub fn line(entry: &Entry, system: System) -> String {
    let mut parts: Vec<String> = Vec::new();
    let mut add = |part: Option<&String>| parts.extend(part.cloned());
    match entry.what() {
        What::Rider(record) => {
            return retired(&record.profile.name, record.retired);
        }
        What::Sled(record) => {
            return retired(&record.profile.name, record.retired);
        }
        What::Shelf(record) => return record.part.words(system),
        What::Rides(_) if entry.about().sled.is_some() => return "rides it from now on".to_owned(),
        What::Rides(_) => return "rides none from now on".to_owned(),
        What::BaseSetUp(record) => {
            add(record.note.as_ref());
            let lines = record.set_up.lines(system);
            parts.extend(
                lines
                    .into_iter()
                    .map(|(name, value)| format!("{name} {value}")),
            );
        }
        What::Change(record) => return change(record, system),
        What::Felt(record) => return felt(record),
        What::TapeChecks(record) => {
            let bad: Vec<&str> = record
                .checks
                .iter()
                .filter(|c| !c.good)
                .map(|c| c.what.as_str())
                .collect();
            let good = record.checks.len() - bad.len();
            parts.push(format!("{good} of {} are well", record.checks.len()));
            if !bad.is_empty() {
                parts.push(format!("not well: {}", bad.join("; ")));
            }
        }
        What::Conditions(record) => return conditions(record),
        What::AlsoChanged(record) => return also(record),
        What::Session(record) => {
            parts.push(record.file_name.clone());
            parts.extend(record.summary.clone());
        }
        What::Photo(record) => {
            parts.push(record.name.clone());
            parts.extend(record.shows.clone());
        }
        What::Note(record) => return record.words.clone(),
        What::Deleted(record) => return record.why.clone().unwrap_or_default(),
    }
    parts.join(", ")
}

fn retired(name: &str, retired: bool) -> String {
    if retired {
        format!("{name}, retired")
    } else {
        name.to_owned()
    }
}

fn change(record: &ChangeRecord, system: System) -> String {
    let differences = record.from.differences(&record.to, system);
    let moved = if differences.is_empty() {
        "nothing that tape or level shows".to_owned()
    } else {
        differences.join("; ")
    };
    format!("{moved}. Why: {}", record.reason)
}

/// That a change does not begin where the set-up before it ended, by how they differ.
pub fn gap(differences: &[String]) -> Option<String> {
    let list = differences.join("; ");
    (!list.is_empty())
        .then(|| format!("It does not begin where the set-up before it ended: {list}"))
}

fn felt(record: &FeltRecord) -> String {
    let mut parts: Vec<String> = record
        .complaints
        .iter()
        .map(|c| format!("{} {}", said(&c.complaint), c.strength))
        .collect();
    if parts.is_empty() {
        parts.push("nothing to complain of".to_owned());
    }
    let more = [&record.lap, &record.place, &record.words];
    parts.extend(more.into_iter().flatten().cloned());
    parts.join(", ")
}

/// Conditions in words.
pub fn conditions(record: &ConditionsRecord) -> String {
    let mut parts: Vec<String> = Vec::new();
    parts.extend(record.snow.map(|s| s.label().to_owned()));
    let celsius = |t: f64| {
        let step = if libm::round(t) == t { 1.0 } else { 0.5 };
        format!("{} °C", format_number(t, step))
    };
    parts.extend(record.temperature_c.map(celsius));
    parts.extend(record.roughness.map(|r| r.label().to_owned()));
    parts.extend(
        [&record.track, &record.words]
            .into_iter()
            .flatten()
            .cloned(),
    );
    parts.join(", ")
}

/// What else was changed, in words.
pub fn also(record: &AlsoChangedRecord) -> String {
    let answers = record.answers();
    if answers.iter().all(|(_, also)| **also == Also::None) {
        return "nothing else was changed".to_owned();
    }
    let told = answers.iter().filter_map(|(name, also)| match also {
        Also::None => None,
        Also::NotAsked => Some(format!("{name}: not asked")),
        Also::What(words) => Some(format!("{name}: {words}")),
    });
    told.collect::<Vec<_>>().join("; ")
}

/// An expected figure in words: `elbow flexion 62 → 55°, braced`.
pub fn expected(form: &ExpectedForm) -> String {
    let number = |value: f64| format_number(value, if value.abs() < 10.0 { 0.01 } else { 1.0 });
    let mut words = format!(
        "{} {} \u{2192} {}",
        said(&form.figure),
        number(form.from),
        number(form.to)
    );
    match form.unit.as_deref() {
        Some("deg") => words.push('°'),
        Some(unit) => words.extend([" ", unit]),
        None => {}
    }
    if let Some(stance) = &form.stance {
        words.extend([", ", stance]);
    }
    words
}

/// A name as the program writes it, as people read it: `numb_hands`, numb hands.
pub fn said(name: &str) -> String {
    name.replace('_', " ")
}

/// Everything in an entry that a search may find, each with a blank behind it.
pub(super) fn gather(entry: &Entry, into: &mut String) {
    let mut add = |text: &str| {
        into.push_str(text);
        into.push(' ');
    };
    add(entry.what().label());
    let mut all = |texts: &[&Option<String>]| texts.iter().copied().flatten().for_each(|t| add(t));
    match entry.what() {
        What::Rider(record) => {
            all(&[&record.profile.note]);
            add(&record.profile.name);
        }
        What::Sled(record) => {
            all(&[&record.profile.note]);
            add(&record.profile.name);
        }
        What::Shelf(record) => add(&record.part.words(System::Metric)),
        What::Rides(_) => {}
        What::BaseSetUp(record) => {
            all(&[&record.note]);
            let set_up = &record.set_up;
            for part in [&set_up.seat, &set_up.clamp, &set_up.bar] {
                add(part);
            }
        }
        What::Change(record) => {
            add(&record.reason);
            record.parts.iter().for_each(|part| add(part));
            record.answers.iter().for_each(|c| add(&said(c)));
            for difference in record.from.differences(&record.to, System::Metric) {
                add(&difference);
            }
        }
        What::Felt(record) => {
            all(&[&record.words, &record.lap, &record.place]);
            record
                .complaints
                .iter()
                .for_each(|c| add(&said(&c.complaint)));
        }
        What::TapeChecks(record) => {
            for check in &record.checks {
                add(&check.what);
                for text in [&check.expect, &check.found].into_iter().flatten() {
                    add(text);
                }
            }
        }
        What::Conditions(record) => add(&conditions(record)),
        What::AlsoChanged(record) => add(&also(record)),
        What::Session(record) => {
            all(&[&record.summary]);
            add(&record.file_name);
        }
        What::Photo(record) => {
            all(&[&record.shows]);
            add(&record.name);
        }
        What::Note(record) => add(&record.words),
        What::Deleted(record) => all(&[&record.why]),
    }
}
