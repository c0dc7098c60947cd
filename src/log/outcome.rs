//! Expected against felt: what each change did, and what worked.
//!
//! A change is judged by what the rider said on the last day of riding before it, against what was said on the first day
//! after it; a day is half a day long (our choice), and never reaches over another change. A comparison counts only where somebody asked what else was changed and the answer was nothing: answers
//! belong to the next time the rider said what was felt, or to the one up to ten minutes before them (the page asks both
//! together; our choice). From the first time that is not so, nothing counts.

use std::cmp::Ordering;
use std::collections::BTreeSet;

use super::form::{Also, AlsoChangedRecord, ChangeRecord, ConditionsRecord, FeltRecord, What};
use super::id::Id;
use super::reading::{Reading, Strand, made_by};
use super::timeline::{Like, Weather};
use crate::order::{self, Map};

/// What became of a change.
#[derive(Clone, Debug, PartialEq)]
pub struct Outcome<'a> {
    /// The strand of the change.
    pub strand: &'a Strand,
    /// The rider.
    pub rider: Id,
    /// The sled.
    pub sled: Id,
    /// The change, with what was expected of it.
    pub change: &'a ChangeRecord,
    /// How often the rider said what was felt on the last day before.
    pub felts_before: usize,
    /// How often on the first day afterwards, as far as it counts; where nothing counts, all.
    pub felts_after: usize,
    /// Complaints before and after, those that the change answers first.
    pub shifts: Vec<Shift>,
    /// What came of it.
    pub verdict: Verdict,
    /// Why the comparison is mixed, in words; empty otherwise.
    pub mixed: Vec<String>,
    /// Conditions of the last time before.
    pub conditions_before: Option<&'a ConditionsRecord>,
    /// Conditions of the first time after.
    pub conditions_after: Option<&'a ConditionsRecord>,
}

/// A complaint before and after a change.
#[derive(Clone, Debug, PartialEq)]
pub struct Shift {
    /// Which.
    pub complaint: String,
    /// Whether the change answers it.
    pub answered: bool,
    /// Strength before, on average over the times the rider spoke that day, 0 where it was not named.
    pub before: f64,
    /// Strength after.
    pub after: f64,
}

/// What came of a change.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// The rider has not said yet.
    NotFeltYet,
    /// The rider had said nothing before: nothing to compare with.
    NotFeltBefore,
    /// Something else was changed too, or nobody asked: counts for nothing.
    Mixed,
    /// What it answers is felt less and all complaints together no more; or the former as before and the latter less.
    Better,
    /// Felt as before.
    Same,
    /// What it answers is felt more, or as before with more to complain of elsewhere.
    Worse,
    /// Better in what it answers and worse elsewhere by more, or the other way round.
    Traded,
}

impl Verdict {
    /// In words.
    pub const fn label(self) -> &'static str {
        match self {
            Self::NotFeltYet => "not felt yet",
            Self::NotFeltBefore => "nothing was said before it",
            Self::Mixed => "mixed: counts for nothing",
            Self::Better => "better",
            Self::Same => "no difference",
            Self::Worse => "worse",
            Self::Traded => "one thing for another",
        }
    }
}

/// A change that made things better, in conditions like those asked for.
#[derive(Clone, Debug, PartialEq)]
pub struct Worked<'a> {
    /// What became of it.
    pub outcome: Outcome<'a>,
    /// How many of the conditions asked for are known to agree.
    pub likeness: usize,
    /// By how much all complaints together eased, in strength.
    pub relief: f64,
}

/// What else was changed is told together with what was felt, up to this much later, ms. Our choice.
const TOLD_TOGETHER_MS: u64 = 600_000;

/// What is said within this time of one another is said of one day, ms. Our choice.
const DAY_MS: u64 = 43_200_000;

/// Strengths on average that differ less are the same: below any step of one complaint in a season.
const SAME_STRENGTH: f64 = 1e-9;

/// What the rider said at a moment.
struct Said<'a> {
    ms: u64,
    strand: &'a Strand,
    felt: &'a FeltRecord,
}

/// The time from one set-up to the next.
#[derive(Default)]
struct Period<'a> {
    /// The change that begins it; `None` at a base set-up and before the first.
    change: Option<(&'a Strand, &'a ChangeRecord)>,
    said: Vec<Said<'a>>,
}

impl Reading {
    /// What became of every change of a rider on a sled, in time.
    pub fn outcomes(&self, rider: Id, sled: Id) -> Vec<Outcome<'_>> {
        let weather = Weather::new(self);
        let told = self.told(sled);
        let mut periods = vec![Period::default()];
        for (strand, entry) in self.of_pair(rider, sled) {
            let ms = strand.moment.0;
            match entry.what() {
                What::Change(change) => periods.push(Period {
                    change: Some((strand, change)),
                    said: Vec::new(),
                }),
                _ if made_by(entry).is_some() => periods.push(Period::default()),
                What::Felt(felt) => {
                    if let Some(period) = periods.last_mut() {
                        period.said.push(Said { ms, strand, felt });
                    }
                }
                _ => {}
            }
        }
        periods
            .windows(2)
            .filter_map(|pair| {
                let (strand, change) = pair[1].change?;
                let mut outcome = judged(strand, change, &pair[0].said, &pair[1].said, &told);
                let at = |said: Option<&Said>| {
                    let said = said?;
                    weather.at(said.strand.shown.as_ref()?, said.ms)
                };
                outcome.conditions_before = at(pair[0].said.last());
                outcome.conditions_after = at(pair[1].said.first());
                outcome.rider = rider;
                outcome.sled = sled;
                Some(outcome)
            })
            .collect()
    }

    /// What worked for a rider in such conditions, on any sled: changes that made things better and were not mixed, the
    /// most alike first, then the greatest relief. Conditions known to differ are left out.
    pub fn worked(&self, rider: Id, like: &Like) -> Vec<Worked<'_>> {
        let sleds = self.pairs().filter(|(r, _)| *r == rider);
        let mut all: Vec<Worked> = sleds
            .flat_map(|(_, sled)| self.outcomes(rider, sled))
            .filter(|o| o.verdict == Verdict::Better)
            .filter_map(|outcome| {
                let likeness = match outcome.conditions_after {
                    Some(there) => like.likeness(there)?,
                    None => 0,
                };
                let relief = relief(outcome.shifts.iter());
                Some(Worked {
                    outcome,
                    likeness,
                    relief,
                })
            })
            .collect();
        order::sort(&mut all, |a, b| {
            let alike = b.likeness.cmp(&a.likeness);
            alike
                .then(b.relief.total_cmp(&a.relief))
                .then(b.outcome.strand.moment.cmp(&a.outcome.strand.moment))
        });
        all
    }

    /// What else was changed on a sled, in time.
    fn told(&self, sled: Id) -> Vec<(u64, &AlsoChangedRecord)> {
        let told = self.strands().iter().filter_map(|strand| {
            let entry = strand.shown.as_ref()?;
            match entry.what() {
                What::AlsoChanged(record) if entry.about().sled == Some(sled) => {
                    Some((strand.moment.0, record))
                }
                _ => None,
            }
        });
        told.collect()
    }
}

fn judged<'a>(
    strand: &'a Strand,
    change: &'a ChangeRecord,
    before: &[Said<'a>],
    after: &[Said<'a>],
    told: &[(u64, &AlsoChangedRecord)],
) -> Outcome<'a> {
    let before = match before.last() {
        Some(last) => &before[before.partition_point(|s| s.ms + DAY_MS < last.ms)..],
        None => before,
    };
    let after = match after.first() {
        Some(first) => &after[..after.partition_point(|s| s.ms <= first.ms + DAY_MS)],
        None => after,
    };
    let mut since = strand.moment.0;
    let mut clean = 0;
    let mut mixed = Vec::new();
    for said in after {
        let until = said.ms + TOLD_TOGETHER_MS;
        mixed = others(told.iter().filter(|(ms, _)| (since..=until).contains(ms)));
        if !mixed.is_empty() {
            break;
        }
        clean += 1;
        since = until;
    }
    let counted = if clean == 0 { after } else { &after[..clean] };
    let shifts = shifts(change, before, counted);
    let verdict = if after.is_empty() {
        Verdict::NotFeltYet
    } else if clean == 0 {
        Verdict::Mixed
    } else if before.is_empty() {
        Verdict::NotFeltBefore
    } else {
        weighed(&shifts)
    };
    if verdict != Verdict::Mixed {
        mixed.clear();
    }
    Outcome {
        strand,
        rider: strand.root,
        sled: strand.root,
        change,
        felts_before: before.len(),
        felts_after: counted.len(),
        shifts,
        verdict,
        mixed,
        conditions_before: None,
        conditions_after: None,
    }
}

/// Why a comparison is mixed; empty where somebody asked and nothing else was changed.
fn others<'t>(told: impl Iterator<Item = &'t (u64, &'t AlsoChangedRecord)>) -> Vec<String> {
    let mut reasons = BTreeSet::new();
    let mut asked = false;
    for (_, record) in told {
        asked = true;
        for (name, also) in record.answers() {
            match also {
                Also::None => {}
                Also::NotAsked => drop(reasons.insert(format!("{name}: not asked"))),
                Also::What(words) => drop(reasons.insert(format!("{name}: {words}"))),
            }
        }
    }
    if !asked {
        reasons.insert("nobody asked what else was changed".to_owned());
    }
    reasons.into_iter().collect()
}

fn shifts(change: &ChangeRecord, before: &[Said], after: &[Said]) -> Vec<Shift> {
    let (before, after) = (strengths(before), strengths(after));
    let answered = order::set(change.answers.iter().map(String::as_str));
    let mut named = order::set(before.keys().chain(after.keys()).copied());
    named.extend(&answered);
    let mut all: Vec<Shift> = named
        .into_iter()
        .map(|complaint| Shift {
            complaint: complaint.to_owned(),
            answered: answered.contains(complaint),
            before: before.get(complaint).copied().unwrap_or(0.0),
            after: after.get(complaint).copied().unwrap_or(0.0),
        })
        .collect();
    order::sort_by_key(&mut all, |shift| !shift.answered);
    all
}

/// Strength of each complaint on average over all the times.
fn strengths<'a>(said: &[Said<'a>]) -> Map<&'a str, f64> {
    let mut sums: Map<&str, f64> = Map::new();
    for complaint in said.iter().flat_map(|s| &s.felt.complaints) {
        *sums.at(complaint.complaint.as_str(), 0.0) += f64::from(complaint.strength);
    }
    let times = said.len() as f64;
    for (_, sum) in &mut sums {
        *sum /= times;
    }
    sums
}

/// What came of a change by what it answers (by all where it answers none) and by all complaints together.
fn weighed(shifts: &[Shift]) -> Verdict {
    let sign = |relief: f64| {
        if relief > SAME_STRENGTH {
            Ordering::Greater
        } else if relief < -SAME_STRENGTH {
            Ordering::Less
        } else {
            Ordering::Equal
        }
    };
    let all = sign(relief(shifts.iter()));
    let answered = if shifts.iter().any(|s| s.answered) {
        sign(relief(shifts.iter().filter(|s| s.answered)))
    } else {
        all
    };
    match (answered, all) {
        (Ordering::Greater, Ordering::Less) | (Ordering::Less, Ordering::Greater) => {
            Verdict::Traded
        }
        (Ordering::Greater, _) | (Ordering::Equal, Ordering::Greater) => Verdict::Better,
        (Ordering::Less, _) | (Ordering::Equal, Ordering::Less) => Verdict::Worse,
        (Ordering::Equal, Ordering::Equal) => Verdict::Same,
    }
}

/// By how much complaints eased.
fn relief<'s>(shifts: impl Iterator<Item = &'s Shift>) -> f64 {
    shifts.map(|s| s.before - s.after).sum()
}
