//! The team's shelf: parts that are on no sled's own list, and what a sled has at hand with them.
//!
//! A part on the shelf fits the sled that its entry is about, or every sled where it is about none, as long as the sled
//! can be used with it. Where the sled's own stock has a part of the same name, or a riser of the same height, that one
//! is used.

use super::form::{SetUpForm, ShelfPart, What};
use super::id::Id;
use super::reading::{Reading, Strand};
use super::set_up::same_height;
use crate::order;
use crate::sled::SledProfile;
use crate::sled::profile::RiserProfile;
use crate::units::text::{System, tape};

impl ShelfPart {
    /// In words: "riser 150 mm", "seat tall".
    pub fn words(&self, system: System) -> String {
        match self {
            Self::Riser(riser) => format!("riser {}", tape(riser.height_mm, system)),
            Self::Clamp(clamp) => format!("clamp {}", clamp.name),
            Self::Bar(bar) => format!("bar {}", bar.name),
            Self::Seat(seat) => format!("seat {}", seat.name),
        }
    }

    /// Put it among the parts of a sled; the lists that the sled leaves out begin as those of `whole`.
    fn put(&self, into: &mut SledProfile, whole: &SledProfile) {
        match self {
            Self::Riser(riser) => {
                let same =
                    |a: &RiserProfile, b: &RiserProfile| same_height(a.height_mm, b.height_mm);
                put(&mut into.risers, &whole.risers, riser, same);
                // A sled's risers are stepped through in their order: the lower ones stand first.
                into.risers
                    .iter_mut()
                    .for_each(|all| order::sort(all, |a, b| a.height_mm.total_cmp(&b.height_mm)));
            }
            Self::Clamp(clamp) => put(&mut into.clamps, &whole.clamps, clamp, |a, b| {
                a.name == b.name
            }),
            Self::Bar(bar) => put(&mut into.bars, &whole.bars, bar, |a, b| a.name == b.name),
            Self::Seat(seat) => put(&mut into.seats, &whole.seats, seat, |a, b| a.name == b.name),
        }
    }

    /// The parts of a sled's four lists.
    pub fn all(of: &SledProfile) -> Vec<Self> {
        let mut all = Vec::new();
        all.extend(of.risers.iter().flatten().cloned().map(Self::Riser));
        all.extend(of.clamps.iter().flatten().cloned().map(Self::Clamp));
        all.extend(of.bars.iter().flatten().cloned().map(Self::Bar));
        all.extend(of.seats.iter().flatten().cloned().map(Self::Seat));
        all
    }

    /// A sled with these parts alone on its four lists; a list without any is left out.
    pub fn only(parts: &[Self], mut sled: SledProfile) -> SledProfile {
        (sled.risers, sled.clamps, sled.bars, sled.seats) = (None, None, None, None);
        let none = sled.clone();
        parts.iter().for_each(|part| part.put(&mut sled, &none));
        sled
    }
}

fn put<T: Clone>(
    list: &mut Option<Vec<T>>,
    whole: &Option<Vec<T>>,
    part: &T,
    same: impl Fn(&T, &T) -> bool,
) {
    let list = list.get_or_insert_with(|| whole.clone().unwrap_or_default());
    if !list.iter().any(|own| same(own, part)) {
        list.push(part.clone());
    }
}

/// A sled with the parts that it can take from the shelf; `None` where it takes none.
pub(super) fn stocked<'a>(
    own: &SledProfile,
    parts: impl Iterator<Item = &'a ShelfPart>,
) -> Option<SledProfile> {
    let mut parts = parts.peekable();
    parts.peek()?;
    let whole = SledProfile::from(&own.resolve().ok()?);
    let mut stocked = None;
    for part in parts {
        let mut with = stocked.clone().unwrap_or_else(|| own.clone());
        part.put(&mut with, &whole);
        if with.resolve().is_ok() {
            stocked = Some(with);
        }
    }
    stocked
}

impl Reading {
    /// The parts on the shelf that count, in the order in which they came there, with the sled that one fits alone.
    pub fn shelf(&self) -> impl Iterator<Item = (&Strand, Option<Id>, &ShelfPart)> {
        self.strands().iter().filter_map(|strand| {
            let entry = strand.shown.as_ref()?;
            match entry.what() {
                What::Shelf(record) => Some((strand, entry.about().sled, &record.part)),
                _ => None,
            }
        })
    }

    /// Those of them that may fit a sled.
    pub(super) fn shelf_of(&self, sled: Id) -> impl Iterator<Item = &ShelfPart> {
        self.shelf()
            .filter(move |(_, of, _)| of.is_none_or(|of| of == sled))
            .map(|(.., part)| part)
    }

    /// What of a set-up is on the shelf and not on the sled's own list, in words.
    pub fn off_shelf(&self, sled: Id, set_up: &SetUpForm, system: System) -> Vec<String> {
        let Some(own) = self.sled(sled).and_then(|s| s.profile.resolve().ok()) else {
            return Vec::new();
        };
        let parts = self.shelf_of(sled).filter(|part| match part {
            ShelfPart::Riser(riser) => {
                let same = |height: f64| same_height(height, set_up.riser_height_mm);
                same(riser.height_mm) && !own.risers.iter().any(|r| same(r.height))
            }
            ShelfPart::Clamp(clamp) => {
                clamp.name == set_up.clamp && !own.clamps.iter().any(|c| c.name == clamp.name)
            }
            ShelfPart::Bar(bar) => {
                bar.name == set_up.bar && !own.bars.iter().any(|b| b.name == bar.name)
            }
            ShelfPart::Seat(seat) => {
                seat.name == set_up.seat && !own.seats.iter().any(|s| s.name == seat.name)
            }
        });
        parts.map(|part| part.words(system)).collect()
    }
}

/// A sled's record without what it only has from the shelf: `seen` is the sled as it stood with those parts at hand.
pub fn without_shelf(seen: &SledProfile, own: &SledProfile, at_hand: &SledProfile) -> SledProfile {
    let mut next = seen.clone();
    take_out(&mut next.risers, &own.risers, &at_hand.risers);
    take_out(&mut next.clamps, &own.clamps, &at_hand.clamps);
    take_out(&mut next.bars, &own.bars, &at_hand.bars);
    take_out(&mut next.seats, &own.seats, &at_hand.seats);
    next
}

fn take_out<T: Clone + PartialEq>(
    seen: &mut Option<Vec<T>>,
    own: &Option<Vec<T>>,
    at_hand: &Option<Vec<T>>,
) {
    let has = |list: &Option<Vec<T>>, part: &T| list.iter().flatten().any(|p| p == part);
    if seen == at_hand {
        seen.clone_from(own);
    } else if let (Some(seen), Some(_)) = (seen, own) {
        seen.retain(|part| has(own, part) || !has(at_hand, part));
    }
}
