//! What comfort costs in hold: of all set-ups, those that no other beats in both.
//!
//! *Comfort* is the discomfort of the stances' postures, weighted as the fit weighs them: less is better. *Hold* is the
//! least share of a wanted hold that is reached, over the goals of all stances: 1 means that every goal is met.
//!
//! The choice of parts is gone through whole. The angles of riser and bar are continuous: first a coarse grid over each
//! choice of parts, then closer ones around every set-up that nothing beats yet, or that is beaten by little, each of half
//! the step before. So every point is a set-up that was solved; a better one between two steps can be missed, by about
//! what the last step changes (`tests/leverage.rs` measures it against brute force).

use std::collections::BTreeSet;

use crate::fit::{Near, Request, stance_hold};
use crate::order;
use crate::sled::{Cockpit, Settings};
use crate::units::Angle;

/// Nodes of the coarse grid along either angle.
const COARSE: usize = 3;

/// Rounds of closer looks.
const ROUNDS: u32 = 3;

/// What is beaten by less than this in both is looked at closer too: of discomfort, as a share; of hold, absolutely.
const MARGIN: f64 = 0.02;

/// One set-up.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Choice {
    /// Its settings.
    pub settings: Settings,
    /// Weighted discomfort of the postures; 0 is every preferred angle met.
    pub discomfort: f64,
    /// Least share of a wanted hold that is reached.
    pub hold: f64,
}

impl Choice {
    /// Whether it is at least as good in both, by a margin, and better in one.
    fn beats(&self, other: &Self, margin: f64) -> bool {
        let (less, more) = (
            self.discomfort * (1.0 + margin) - other.discomfort,
            other.hold + margin - self.hold,
        );
        less <= 0.0 && more <= 0.0 && (less < 0.0 || more < 0.0)
    }
}

/// One choice of parts and stirrup position, with the steps of its angles.
#[derive(Clone, Copy, Debug)]
struct Cell {
    settings: Settings,
    /// Step of riser angle and of bar roll.
    step: (Angle, Angle),
}

/// Finds the front, one set-up a step.
#[derive(Clone, Debug)]
pub struct Fronting<'a> {
    request: Request<'a>,
    /// What is still to be solved in this round, last first.
    open: Vec<Cell>,
    solved: Vec<(Choice, (Angle, Angle))>,
    seen: BTreeSet<[u64; 7]>,
    near: Vec<Option<Near>>,
    round: u32,
    done: usize,
}

impl<'a> Fronting<'a> {
    /// Over everything that the request does not keep.
    pub fn new(request: &Request<'a>) -> Self {
        let mut front = Self {
            request: *request,
            open: Vec::new(),
            solved: Vec::new(),
            seen: BTreeSet::new(),
            near: vec![None; request.stances.len()],
            round: 0,
            done: 0,
        };
        front.open_coarse();
        front.open.reverse();
        front
    }

    fn open_coarse(&mut self) {
        let (sled, keep) = (self.request.sled, self.request.keep);
        let parts = |kept: Option<usize>, count: usize| match kept {
            Some(one) => one..one + 1,
            None => 0..count,
        };
        let stirrups = match keep.stirrup {
            Some(one) => vec![one],
            None => sled.stirrup.positions.clone(),
        };
        for clamp in parts(keep.clamp, sled.clamps.len()) {
            for bar in parts(keep.bar, sled.bars.len()) {
                for riser in parts(keep.riser, sled.risers.len()) {
                    for seat in parts(keep.seat, sled.seats.len()) {
                        for &stirrup in &stirrups {
                            self.open_angles(Settings {
                                riser,
                                clamp,
                                bar,
                                seat,
                                stirrup,
                                riser_angle: Angle::ZERO,
                                bar_roll: Angle::ZERO,
                            });
                        }
                    }
                }
            }
        }
    }

    fn open_angles(&mut self, parts: Settings) {
        let (sled, keep) = (self.request.sled, self.request.keep);
        let angles = &sled.risers[parts.riser].angles;
        let (risers, riser_step) = spread(keep.riser_angle, angles.bounds());
        let (rolls, roll_step) = spread(keep.bar_roll, sled.bar_roll);
        for &riser_angle in &risers {
            for &bar_roll in &rolls {
                self.push(Cell {
                    settings: Settings {
                        riser_angle: angles.nearest(riser_angle),
                        bar_roll,
                        ..parts
                    },
                    step: (riser_step, roll_step),
                });
            }
        }
    }

    fn push(&mut self, cell: Cell) {
        if self.seen.insert(key(&cell.settings)) {
            self.open.push(cell);
        }
    }

    /// Set-ups solved, and at least so many in all: closer rounds open more.
    pub fn progress(&self) -> (usize, usize) {
        (self.done, self.done + self.open.len())
    }

    /// Solves the next set-up; false where the front is found.
    pub fn step(&mut self) -> bool {
        if self.open.is_empty() && !self.closer() {
            return false;
        }
        let Some(cell) = self.open.pop() else {
            return false;
        };
        self.done += 1;
        if let Some(choice) = self.choice(cell.settings) {
            self.solved.push((choice, cell.step));
        }
        true
    }

    fn choice(&mut self, settings: Settings) -> Option<Choice> {
        let cockpit = Cockpit::new(self.request.sled, settings);
        let (mut discomfort, mut hold) = (0.0, f64::INFINITY);
        let mut fits = true;
        for (stance, near) in self.request.stances.iter().zip(&mut self.near) {
            let (found, solved) = stance_hold(&self.request, &cockpit, stance, near.as_ref());
            *near = found.in_reach().then_some(solved);
            fits &= found.in_reach();
            discomfort += stance.weight * found.cost;
            for goal in &stance.goals {
                hold = hold.min(found.load(goal.load).unwrap_or(0.0) / goal.g);
            }
            if !fits {
                return None;
            }
        }
        Some(Choice {
            settings,
            discomfort,
            hold,
        })
    }

    /// Opens closer set-ups around what nothing beats clearly; false after the last round.
    fn closer(&mut self) -> bool {
        if self.round >= ROUNDS {
            return false;
        }
        self.round += 1;
        let worth: Vec<(Settings, (Angle, Angle))> = self
            .solved
            .iter()
            .filter(|(choice, _)| {
                !self
                    .solved
                    .iter()
                    .any(|(other, _)| other.beats(choice, MARGIN))
            })
            .map(|(choice, step)| (choice.settings, *step))
            .collect();
        let sled = self.request.sled;
        for (settings, step) in worth {
            let half = (step.0 * 0.5, step.1 * 0.5);
            let angles = &sled.risers[settings.riser].angles;
            for a in [-1.0, 0.0, 1.0] {
                for b in [-1.0, 0.0, 1.0] {
                    let riser_angle = angles.nearest(settings.riser_angle + half.0 * a);
                    let bar_roll =
                        (settings.bar_roll + half.1 * b).clamped(sled.bar_roll.0, sled.bar_roll.1);
                    self.push(Cell {
                        settings: Settings {
                            riser_angle,
                            bar_roll,
                            ..settings
                        },
                        step: half,
                    });
                }
            }
            // What was looked at closer has a smaller step from now on.
            for (choice, own) in &mut self.solved {
                if choice.settings == settings {
                    *own = half;
                }
            }
        }
        self.open.reverse();
        !self.open.is_empty()
    }

    /// The set-ups that nothing solved so far beats, most comfortable first.
    pub fn front(&self) -> Vec<Choice> {
        let mut all: Vec<Choice> = self.solved.iter().map(|(choice, _)| *choice).collect();
        order::sort(&mut all, |a, b| {
            let comfort = a.discomfort.total_cmp(&b.discomfort);
            comfort.then(b.hold.total_cmp(&a.hold))
        });
        let mut most = f64::NEG_INFINITY;
        all.retain(|choice| {
            let kept = choice.hold > most;
            most = most.max(choice.hold);
            kept
        });
        all
    }
}

/// The same numbers for the same settings: zero has one sign here.
fn key(s: &Settings) -> [u64; 7] {
    let [stirrup, angle, roll] =
        [s.stirrup, s.riser_angle.rad(), s.bar_roll.rad()].map(|v| (v + 0.0).to_bits());
    let parts = [s.riser, s.clamp, s.bar, s.seat].map(|part| part as u64);
    [parts[0], parts[1], parts[2], parts[3], stirrup, angle, roll]
}

/// Values over a range, or the one that is kept, and their step.
fn spread(kept: Option<Angle>, (low, high): (Angle, Angle)) -> (Vec<Angle>, Angle) {
    if let Some(one) = kept {
        return (vec![one], Angle::ZERO);
    }
    if high - low <= Angle::ZERO {
        return (vec![low], Angle::ZERO);
    }
    let step = (high - low) * (1.0 / (COARSE - 1) as f64);
    let values = (0..COARSE).map(|k| low + step * k as f64).collect();
    (values, step)
}
