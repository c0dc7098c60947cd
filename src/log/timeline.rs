//! The timeline: strands that pass a filter, in time.

use super::entry::Entry;
use super::form::{ConditionsRecord, Roughness, Snow, What};
use super::id::Id;
use super::reading::{Reading, Strand};
use super::words;

/// What to show. Everything that is left out lets all pass.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Filter {
    /// What concerns a rider.
    pub rider: Option<Id>,
    /// What concerns a sled.
    pub sled: Option<Id>,
    /// Kinds of entries by their names in documents; empty: all.
    pub kinds: Vec<String>,
    /// A complaint: felt, or answered by a change.
    pub complaint: Option<String>,
    /// Written in such conditions.
    pub conditions: Like,
    /// Words that must all be found, in any order and case; empty: all.
    pub text: String,
    /// Not before, ms since 1970.
    pub from_ms: Option<u64>,
    /// Not after, ms since 1970.
    pub to_ms: Option<u64>,
    /// Deleted entries too.
    pub deleted: bool,
}

/// Conditions to compare with; what is left out is not compared.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Like {
    /// Snow.
    pub snow: Option<Snow>,
    /// Temperature of the air, °C.
    pub temperature_c: Option<f64>,
    /// How rough the track is.
    pub roughness: Option<Roughness>,
    /// Which track, in any case.
    pub track: Option<String>,
}

/// Air this much warmer or colder counts as alike, °C. Our choice.
const ALIKE_C: f64 = 5.0;

/// Conditions speak for what happened within this time of them, either way, ms: half a day. Our choice.
const SAME_DAY_MS: u64 = 43_200_000;

impl Like {
    /// Like conditions that were written down.
    pub fn of(record: &ConditionsRecord) -> Self {
        Self {
            snow: record.snow,
            temperature_c: record.temperature_c,
            roughness: record.roughness,
            track: record.track.clone(),
        }
    }

    /// Whether nothing is compared.
    pub fn is_any(&self) -> bool {
        *self == Self::default()
    }

    /// How much conditions are alike: what is known of both and agrees, counted; `None` where something disagrees.
    pub fn likeness(&self, record: &ConditionsRecord) -> Option<usize> {
        let warm = |a: f64, b: f64| (a - b).abs() <= ALIKE_C;
        let same = |a: &String, b: &String| a.trim().to_lowercase() == b.trim().to_lowercase();
        let compared = [
            both(&self.snow, &record.snow, |a, b| a == b),
            both(&self.roughness, &record.roughness, |a, b| a == b),
            both(&self.temperature_c, &record.temperature_c, |a, b| {
                warm(*a, *b)
            }),
            both(&self.track, &record.track, same),
        ];
        let disagrees = compared.contains(&Some(false));
        (!disagrees).then(|| compared.iter().flatten().count())
    }
}

fn both<T>(a: &Option<T>, b: &Option<T>, alike: impl Fn(&T, &T) -> bool) -> Option<bool> {
    Some(alike(a.as_ref()?, b.as_ref()?))
}

impl Reading {
    /// The strands that pass a filter, in time.
    pub fn timeline(&self, filter: &Filter) -> Vec<&Strand> {
        let wanted: Vec<String> = filter
            .text
            .to_lowercase()
            .split_whitespace()
            .map(str::to_owned)
            .collect();
        let weather = (!filter.conditions.is_any()).then(|| Weather::new(self));
        let mut found = String::new();
        let mut passes = |strand: &Strand| {
            let said = if filter.deleted {
                strand.said_last()
            } else {
                strand.shown.as_ref()
            };
            let Some(entry) = said else {
                return false;
            };
            self.passes(filter, strand, entry)
                && weather.as_ref().is_none_or(|w| {
                    let there = w.at(entry, strand.moment.0);
                    there.and_then(|c| filter.conditions.likeness(c)) > Some(0)
                })
                && (wanted.is_empty() || {
                    self.gather(entry, &mut found);
                    wanted.iter().all(|word| found.contains(word.as_str()))
                })
        };
        self.strands().iter().filter(|s| passes(s)).collect()
    }

    fn passes(&self, filter: &Filter, strand: &Strand, entry: &Entry) -> bool {
        let ms = strand.moment.0;
        filter.rider.is_none_or(|r| self.concerns_rider(entry, r))
            && filter.sled.is_none_or(|s| self.concerns_sled(entry, s))
            && (filter.kinds.is_empty() || filter.kinds.iter().any(|k| k == entry.what().name()))
            && filter.complaint.as_ref().is_none_or(|c| names(entry, c))
            && filter.from_ms.is_none_or(|from| ms >= from)
            && filter.to_ms.is_none_or(|to| ms <= to)
    }

    /// Everything that a search may find of an entry, in lower case.
    fn gather(&self, entry: &Entry, into: &mut String) {
        into.clear();
        words::gather(entry, into);
        if let Some(rider) = entry.about().rider.and_then(|id| self.rider(id)) {
            into.push_str(&rider.profile.name);
            into.push(' ');
        }
        if let Some(sled) = entry.about().sled.and_then(|id| self.sled(id)) {
            into.push_str(&sled.profile.name);
        }
        if into.is_ascii() {
            into.make_ascii_lowercase();
        } else {
            *into = into.to_lowercase();
        }
    }
}

fn names(entry: &Entry, complaint: &str) -> bool {
    match entry.what() {
        What::Felt(felt) => felt.complaints.iter().any(|c| c.complaint == complaint),
        What::Change(change) => change.answers.iter().any(|c| c == complaint),
        _ => false,
    }
}

/// All conditions of a book, in time.
pub(super) struct Weather<'a>(Vec<(u64, &'a Entry, &'a ConditionsRecord)>);

impl<'a> Weather<'a> {
    pub(super) fn new(reading: &'a Reading) -> Self {
        let told = reading.strands().iter().filter_map(|strand| {
            let entry = strand.shown.as_ref()?;
            match entry.what() {
                What::Conditions(record) => Some((strand.moment.0, entry, record)),
                _ => None,
            }
        });
        Self(told.collect())
    }

    /// The conditions that an entry was written in, at its moment.
    pub(super) fn at(&self, entry: &Entry, ms: u64) -> Option<&'a ConditionsRecord> {
        let from = self
            .0
            .partition_point(|(at, ..)| *at < ms.saturating_sub(SAME_DAY_MS));
        let near = self.0[from..]
            .iter()
            .take_while(|(at, ..)| *at <= ms + SAME_DAY_MS);
        let about = entry.about();
        let other = |a: Option<Id>, b: Option<Id>| a.is_some() && b.is_some() && a != b;
        near.filter(|(_, told, _)| {
            let of = told.about();
            !other(of.rider, about.rider) && !other(of.sled, about.sled)
        })
        .min_by_key(|(at, told, _)| (at.abs_diff(ms), told.id()))
        .map(|(_, _, record)| *record)
    }
}
