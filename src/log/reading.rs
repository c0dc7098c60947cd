//! What a book says: who and what there is, what counts, and where everything stands, now or at a moment.
//!
//! Entries that supersede one another hang together in a [`Strand`]. Of its last entries, those that nothing
//! supersedes, the one that counts is chosen alike on every device: one that says something goes before a deletion, and
//! the greater identifier goes first. The others stay visible as rivals.
//!
//! Strands are in the order of when they happened: where that was stated, then; else by the time in the identifier of
//! the first entry, which follows everything that its writer had seen even where a clock was wrong.

use std::collections::BTreeSet;

use thiserror::Error;

use super::book::Book;
use super::entry::Entry;
use super::form::{About, ChangeRecord, Part, SetUpForm, What};
use super::id::Id;
use super::shelf::stocked;
use crate::order::{self, Map};
use crate::rider::RiderProfile;
use crate::sled::SledProfile;
use crate::units::text::System;

/// A place in time: ms since 1970, then the identifier.
pub type Moment = (u64, Id);

/// An entry with everything that corrects or deletes it.
#[derive(Clone, Debug, PartialEq)]
pub struct Strand {
    /// Identifier of the first entry, which may be missing where half a book was read.
    pub root: Id,
    /// Where it stands in time.
    pub moment: Moment,
    /// The entry that counts; `None` where it was deleted.
    pub shown: Option<Entry>,
    /// Every entry of it, the earliest first.
    pub history: Vec<Entry>,
    /// Entries written at the same time elsewhere that would count as well, and contents that clash.
    pub rivals: Vec<Entry>,
}

/// A rider of the book.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RiderState<'a> {
    /// The rider's identifier.
    pub id: Id,
    /// As known last.
    pub profile: &'a RiderProfile,
    /// No longer in the team.
    pub retired: bool,
}

/// A sled of the book.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SledState<'a> {
    /// The sled's identifier.
    pub id: Id,
    /// As known last, with the parts on its own list.
    pub profile: &'a SledProfile,
    /// The same with the parts that it can take from the team's shelf.
    pub at_hand: &'a SledProfile,
    /// No longer in the team.
    pub retired: bool,
}

impl<'a> RiderState<'a> {
    fn of(entry: &'a Entry) -> Option<Self> {
        let What::Rider(record) = entry.what() else {
            return None;
        };
        Some(Self {
            id: entry.about().rider?,
            profile: &record.profile,
            retired: record.retired,
        })
    }
}

impl<'a> SledState<'a> {
    fn of((entry, at_hand): &'a (Entry, Option<SledProfile>)) -> Option<Self> {
        let What::Sled(record) = entry.what() else {
            return None;
        };
        Some(Self {
            id: entry.about().sled?,
            profile: &record.profile,
            at_hand: at_hand.as_ref().unwrap_or(&record.profile),
            retired: record.retired,
        })
    }
}

/// What of a rider on a sled is not in a book.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
pub enum Unrecorded {
    /// The rider.
    #[error("the rider’s record is not in this book")]
    Rider,
    /// The sled.
    #[error("the sled’s record is not in this book")]
    Sled,
}

/// Who rides what.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Riding {
    /// The rider.
    pub rider: Id,
    /// The sled; none: none.
    pub sled: Option<Id>,
    /// Since when.
    pub since: Moment,
}

/// A set-up of a rider on a sled, from when it was made.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SetUpState<'a> {
    /// The strand that made it.
    pub strand: &'a Strand,
    /// It.
    pub set_up: &'a SetUpForm,
    /// When it was left; `None`: it stands.
    pub until: Option<Moment>,
    /// How often the rider said what was felt on it.
    pub felts: usize,
    /// Sum of all strengths of complaints over those times, on average; `None` where nothing was said.
    pub complaints: Option<f64>,
}

/// A book, read. It shares its entries with the book and does not need it any longer, so that it can be kept beside it.
#[derive(Clone, Debug)]
pub struct Reading {
    strands: Vec<Strand>,
    /// The record that counts of each rider.
    riders: Map<Id, Entry>,
    /// The record that counts of each sled, and the sled with what it takes from the shelf.
    sleds: Map<Id, (Entry, Option<SledProfile>)>,
    /// Places of the strands about a rider on a sled, in order.
    pairs: Map<(Id, Id), Vec<usize>>,
}

impl Reading {
    /// Read a book. Takes time in proportion to its entries.
    pub fn new(book: &Book) -> Self {
        let mut strands = strands(book);
        order::sort_by_key(&mut strands, |s| s.moment);
        let (mut riders, mut sleds) = (Map::new(), Map::new());
        let mut pairs: Map<_, Vec<usize>> = Map::new();
        for (place, strand) in strands.iter().enumerate() {
            let Some(entry) = &strand.shown else { continue };
            let About { rider, sled } = entry.about();
            if let (Some(rider), Some(sled)) = (rider, sled) {
                pairs.at((rider, sled), Vec::new()).push(place);
            }
            match (entry.what(), rider, sled) {
                (What::Rider(_), Some(id), _) => drop(riders.insert(id, entry.clone())),
                (What::Sled(_), _, Some(id)) => drop(sleds.insert(id, (entry.clone(), None))),
                _ => {}
            }
        }
        let mut reading = Self {
            strands,
            riders,
            sleds: Map::new(),
            pairs,
        };
        for (id, (entry, at_hand)) in &mut sleds {
            if let What::Sled(record) = entry.what() {
                *at_hand = stocked(&record.profile, reading.shelf_of(*id));
            }
        }
        reading.sleds = sleds;
        reading
    }

    /// Every strand in time, deleted ones with them.
    pub fn strands(&self) -> &[Strand] {
        &self.strands
    }

    /// The strand that an entry belongs to.
    pub fn strand_of(&self, id: Id) -> Option<&Strand> {
        let has = |s: &&Strand| s.history.iter().any(|e| e.id() == id);
        self.strands.iter().find(has)
    }

    /// Riders as known last, retired ones with them, in the order in which they were recorded.
    pub fn riders(&self) -> impl Iterator<Item = RiderState<'_>> {
        self.riders.values().filter_map(RiderState::of)
    }

    /// Sleds as known last, retired ones with them, in the order in which they were recorded.
    pub fn sleds(&self) -> impl Iterator<Item = SledState<'_>> {
        self.sleds.values().filter_map(SledState::of)
    }

    /// A rider as known last.
    pub fn rider(&self, id: Id) -> Option<RiderState<'_>> {
        self.riders.get(&id).and_then(RiderState::of)
    }

    /// A sled as known last.
    pub fn sled(&self, id: Id) -> Option<SledState<'_>> {
        self.sleds.get(&id).and_then(SledState::of)
    }

    /// The records of a rider and a sled as known last, the sled with what it takes from the shelf.
    ///
    /// # Errors
    /// Says whose is not here.
    pub fn records(
        &self,
        rider: Id,
        sled: Id,
    ) -> Result<(&RiderProfile, &SledProfile), Unrecorded> {
        let rider = self.rider(rider).ok_or(Unrecorded::Rider)?;
        let sled = self.sled(sled).ok_or(Unrecorded::Sled)?;
        Ok((rider.profile, sled.at_hand))
    }

    /// A rider's name; one whose record is not here goes by the identifier's end.
    pub fn rider_name(&self, id: Id) -> String {
        self.rider(id)
            .map_or_else(|| nameless("rider", id), |r| r.profile.name.clone())
    }

    /// A sled's name; one whose record is not here goes by the identifier's end.
    pub fn sled_name(&self, id: Id) -> String {
        self.sled(id)
            .map_or_else(|| nameless("sled", id), |s| s.profile.name.clone())
    }

    /// Who rides what, by the last word on each rider.
    pub fn riding(&self) -> Vec<Riding> {
        let mut last = Map::new();
        for strand in &self.strands {
            if let Some(entry) = &strand.shown
                && let (What::Rides(_), Some(rider)) = (entry.what(), entry.about().rider)
            {
                let (sled, since) = (entry.about().sled, strand.moment);
                last.insert(rider, Riding { rider, sled, since });
            }
        }
        last.into_values().collect()
    }

    /// Riders on sleds that the book knows something about.
    pub fn pairs(&self) -> impl Iterator<Item = (Id, Id)> {
        self.pairs.keys().copied()
    }

    /// Strands about a rider on a sled that count, in time.
    pub fn of_pair(&self, rider: Id, sled: Id) -> impl Iterator<Item = (&Strand, &Entry)> {
        let places = self.pairs.get(&(rider, sled));
        let strands = places
            .into_iter()
            .flatten()
            .map(|place| &self.strands[*place]);
        strands.filter_map(|strand| Some((strand, strand.shown.as_ref()?)))
    }

    /// Every set-up of a rider on a sled, in time; the last one stands now.
    pub fn set_ups(&self, rider: Id, sled: Id) -> Vec<SetUpState<'_>> {
        let mut all: Vec<SetUpState> = Vec::new();
        let mut sum = 0.0;
        for (strand, entry) in self.of_pair(rider, sled) {
            if let Some(set_up) = made_by(entry) {
                if let Some(former) = all.last_mut() {
                    former.until = Some(strand.moment);
                }
                sum = 0.0;
                all.push(SetUpState {
                    strand,
                    set_up,
                    until: None,
                    felts: 0,
                    complaints: None,
                });
            } else if let (What::Felt(felt), Some(now)) = (entry.what(), all.last_mut()) {
                let strengths = felt.complaints.iter().map(|c| f64::from(c.strength));
                sum += strengths.sum::<f64>();
                now.felts += 1;
                // A season has fewer laps than a u32 counts.
                now.complaints = Some(sum / f64::from(u32::try_from(now.felts).unwrap_or(1)));
            }
        }
        all
    }

    /// The set-up of a rider on a sled, now or as it stood at a time in ms since 1970.
    pub fn set_up(&self, rider: Id, sled: Id, at_ms: Option<u64>) -> Option<&SetUpForm> {
        let until = |s: &Strand| at_ms.is_none_or(|at| s.moment.0 <= at);
        self.of_pair(rider, sled)
            .filter(|(strand, _)| until(strand))
            .filter_map(|(_, entry)| made_by(entry))
            .last()
    }

    /// The set-up that stood before the one that a strand made, of the same rider on the same sled.
    pub fn before(&self, strand: &Strand) -> Option<&SetUpForm> {
        let About { rider, sled } = strand.shown.as_ref()?.about();
        let places = self.pairs.get(&(rider?, sled?))?;
        let earlier = places.partition_point(|place| self.strands[*place].moment < strand.moment);
        let earlier = places[..earlier].iter().rev();
        let mut shown = earlier.filter_map(|place| self.strands[*place].shown.as_ref());
        shown.find_map(made_by)
    }

    /// How the set-up before a change differs from what the change says stood there, in words; nothing where they join.
    /// They do not where one of them was put right since, or where two devices changed the sled at once: neither is
    /// written anew, and a person decides.
    pub fn gap(&self, strand: &Strand, system: System) -> Vec<String> {
        match strand.shown.as_ref().map(Entry::what) {
            Some(What::Change(change)) => self
                .before(strand)
                .map_or_else(Vec::new, |before| before.differences(&change.from, system)),
            _ => Vec::new(),
        }
    }

    /// The change that goes back to the set-up that a strand made, to be looked at and written down; `None` where
    /// there is no such set-up or none to go back from.
    pub fn back_to(&self, root: Id, reason: &str) -> Option<ChangeRecord> {
        let strand = self.strands.iter().find(|s| s.root == root)?;
        let entry = strand.shown.as_ref()?;
        let to = made_by(entry)?;
        let from = self.set_up(entry.about().rider?, entry.about().sled?, None)?;
        Some(ChangeRecord {
            from: from.clone(),
            to: to.clone(),
            reason: reason.to_owned(),
            answers: Vec::new(),
            expected: Vec::new(),
            parts: Vec::new(),
            minutes: None,
        })
    }

    /// Whether an entry concerns a rider: it is about the rider, about nobody, or about a sled that the rider rides.
    pub fn concerns_rider(&self, entry: &Entry, rider: Id) -> bool {
        match entry.about() {
            About {
                rider: Some(named), ..
            } => named == rider,
            About {
                sled: Some(sled), ..
            } => self.pairs.contains_key(&(rider, sled)),
            _ => true,
        }
    }

    /// Whether an entry concerns a sled: it is about the sled, about nobody, or the record of a rider who rides it.
    pub fn concerns_sled(&self, entry: &Entry, sled: Id) -> bool {
        match entry.about() {
            About {
                sled: Some(named), ..
            } => named == sled,
            About {
                rider: Some(rider), ..
            } => self.pairs.contains_key(&(rider, sled)),
            _ => true,
        }
    }

    /// Identifiers of everything that belongs to a part of the book, whole strands.
    pub(super) fn ids_of(&self, part: Part) -> BTreeSet<Id> {
        let belongs = |entry: &Entry| match part {
            Part::Whole => true,
            Part::Rider(rider) => self.concerns_rider(entry, rider),
            Part::Sled(sled) => self.concerns_sled(entry, sled),
        };
        let kept = self
            .strands
            .iter()
            .filter(|s| s.history.iter().any(belongs));
        order::set(kept.flat_map(|s| s.history.iter().map(Entry::id)))
    }
}

impl Strand {
    /// When it happened, for people to read, ms since 1970: as stated, or as the clock of its first entry said.
    pub fn happened_ms(&self) -> u64 {
        let stated = self.shown.as_ref().and_then(|e| e.form().happened_ms);
        stated.unwrap_or_else(|| self.history.first().map_or(self.moment.0, |e| e.at_ms()))
    }

    /// What it said last, whether that counts or was deleted since.
    pub fn said_last(&self) -> Option<&Entry> {
        let before = || self.history.iter().rev().find(|e| !e.is_deletion());
        self.shown.as_ref().or_else(before)
    }

    /// Whether the first entry is missing: half a book was read.
    pub fn is_headless(&self) -> bool {
        self.history.first().is_none_or(|e| e.id() != self.root)
    }
}

/// The set-up that an entry makes.
pub(super) fn made_by(entry: &Entry) -> Option<&SetUpForm> {
    match entry.what() {
        What::BaseSetUp(record) => Some(&record.set_up),
        What::Change(record) => Some(&record.to),
        _ => None,
    }
}

fn nameless(what: &str, id: Id) -> String {
    let text = id.to_string();
    let end = text.get(text.len().saturating_sub(4)..).unwrap_or_default();
    format!("{what} \u{2026}{end}, not recorded here")
}

fn strands(book: &Book) -> Vec<Strand> {
    // A superseded identifier is always less than the one that supersedes it, so that in the order of identifiers the
    // root of what an entry supersedes is known before the entry comes.
    let mut roots: Map<Id, Id> = Map::new();
    let mut members: Map<Id, Vec<&Entry>> = Map::new();
    for entry in book.entries() {
        let root = match (roots.get(&entry.id()), entry.supersedes()) {
            // A second content of the same identifier: the first one counts and decides where all of them hang.
            (Some(root), _) => *root,
            (None, Some(former)) => *roots.at(former, former),
            (None, None) => entry.id(),
        };
        roots.insert(entry.id(), root);
        members.at(root, Vec::new()).push(entry);
    }
    members
        .into_iter()
        .map(|(root, history)| strand(book, root, history))
        .collect()
}

fn strand(book: &Book, root: Id, history: Vec<&Entry>) -> Strand {
    // How many different entries supersede each.
    let mut above: Map<Id, BTreeSet<Id>> = Map::new();
    for entry in &history {
        if let Some(former) = entry.supersedes() {
            above.at(former, BTreeSet::new()).insert(entry.id());
        }
    }
    let counts = |entry: &Entry| book.get(entry.id()).is_some_and(|c| std::ptr::eq(c, entry));
    let heads: Vec<&Entry> = history
        .iter()
        .copied()
        .filter(|e| !above.contains_key(&e.id()) && counts(e))
        .collect();
    let chosen = heads
        .iter()
        .copied()
        .max_by_key(|e| (!e.is_deletion(), e.id()));
    // A deletion that only takes a rival away has settled something; one beside a correction has not.
    let settled = |e: &Entry| {
        e.is_deletion()
            && e.supersedes()
                .and_then(|f| above.get(&f))
                .is_none_or(|a| a.len() < 2)
    };
    let mut rivals: Vec<&Entry> = heads
        .into_iter()
        .filter(|e| Some(e.id()) != chosen.map(Entry::id) && !settled(e))
        .collect();
    // Of contents under one identifier, too, a correction of it settles which one stands.
    let clashes = |e: &&Entry| !counts(e) && !above.contains_key(&e.id());
    rivals.extend(history.iter().copied().filter(clashes));
    let shown = chosen.filter(|e| !e.is_deletion());
    let stated = shown.and_then(|e| e.form().happened_ms);
    Strand {
        root,
        moment: (stated.unwrap_or(root.unix_ms()), root),
        shown: shown.cloned(),
        history: history.into_iter().cloned().collect(),
        rivals: rivals.into_iter().cloned().collect(),
    }
}
