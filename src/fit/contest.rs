//! Re-fits of riders who differ little: which combinations of parts can win is found by whole searches once, then only
//! those are looked at.
//!
//! For every contender the contest knows where its best lay. A rider's re-fit refines the last winner first; the others
//! are evaluated once each, moved by as much as that one moved. At a best the objective is flat, so such a value errs
//! in second order; contenders are refined best first until the next lies farther above the best than a refinement has
//! been seen to gain. A contender that was never near, over many riders, is not looked at again.
//!
//! Odds of parts stay global by three means: a whole search admits every combination within [`ADMITTED`] of its best,
//! refined or not; the caller searches whole again now and then, and a winner from outside joins; and a rider for whom
//! no contender is feasible is searched whole.

use super::objective::{Evaluation, Scope, Solved, evaluate};
use super::request::Request;
use super::search::{angle_bounds, ranked, refine, refined};
use super::solve::FEASIBLE;
use crate::order;
use crate::sled::Settings;
use crate::units::Angle;

/// How far above the best of a whole search a combination may lie and still be a contender. Our choice.
const ADMITTED: f64 = 0.3;

/// Step of the refinement: it starts near the best.
const STEPS: [Angle; 1] = [Angle::from_deg(1.0)];

/// Steps of a contender's first refinement.
const HOME_STEPS: [Angle; 2] = [Angle::from_deg(2.5), Angle::from_deg(1.0)];

/// Margin within which contenders are refined: at the least, in gains seen, and at the most. Our choice.
const MARGIN: (f64, f64) = (0.004, 0.03);
const MARGIN_OF_GAINS: f64 = 1.5;

/// Share of the greatest gain that is remembered from one rider to the next.
const FADES: f64 = 0.9;

/// After so many looks a contender is left out that lies above the best by so many standard deviations. Our choice.
const LOOKS: u32 = 12;
const DEVIATIONS: f64 = 5.0;

/// Whole searches for riders for whom no contender is feasible, at the most.
const RESCUES: u32 = 8;

/// So many contenders are looked at again for a rider who differs from another in one measurement. Our choice.
const CLOSE: usize = 12;

/// The best settings for one rider.
#[derive(Clone, Debug, PartialEq)]
pub struct Refit {
    /// The settings.
    pub settings: Settings,
    /// Their objective.
    pub value: f64,
    /// Whether every hard condition is met.
    pub fits: bool,
    /// Contenders that came closest, the best first.
    close: Vec<usize>,
}

/// Combinations that can win for riders like those searched so far.
#[derive(Clone, Debug, PartialEq)]
pub struct Contest {
    contenders: Vec<Contender>,
    favourite: usize,
    gain: f64,
    searches: u32,
    newcomers: u32,
    rescues: u32,
}

#[derive(Clone, Debug, PartialEq)]
struct Contender {
    /// Its parts and position, with riser angle and bar roll of its best for the rider with whom the contest began.
    home: Settings,
    near: Vec<Option<Solved>>,
    behind: Behind,
}

/// By how much a contender lay above the best: count, mean and sum of squares about it (Welford 1962, Technometrics
/// 4:419).
#[derive(Clone, Copy, Debug, Default, PartialEq)]
struct Behind {
    count: u32,
    mean: f64,
    squares: f64,
}

impl Behind {
    fn add(&mut self, value: f64) {
        self.count += 1;
        let off = value - self.mean;
        self.mean += off / f64::from(self.count);
        self.squares += off * (value - self.mean);
    }

    fn hopeless(&self) -> bool {
        self.count >= LOOKS
            && self.mean > DEVIATIONS * (self.squares / f64::from(self.count - 1)).sqrt()
    }
}

impl Contest {
    /// Begins with a whole search for one rider; returns that rider's best.
    pub fn new(request: &Request) -> (Self, Refit) {
        let mut contest = Self {
            contenders: Vec::new(),
            favourite: 0,
            gain: 0.0,
            searches: 0,
            newcomers: 0,
            rescues: RESCUES,
        };
        let best = contest.search(request);
        contest.newcomers = 0;
        (contest, best)
    }

    /// Combinations in the contest.
    pub fn contenders(&self) -> usize {
        self.contenders.len()
    }

    /// Whole searches so far.
    pub fn searches(&self) -> u32 {
        self.searches
    }

    /// Whole searches after the first whose winner was no contender yet.
    pub fn newcomers(&self) -> u32 {
        self.newcomers
    }

    /// The best settings over every combination.
    pub fn search(&mut self, request: &Request) -> Refit {
        self.searches += 1;
        let mut candidates = ranked(request);
        order::sort(&mut candidates, |a, b| a.value.total_cmp(&b.value));
        let found = refined(request, candidates.clone());
        let Some(best) = found.first() else {
            return self.refit(request);
        };
        let best = best.clone();
        if self.place(&best.settings).is_none() {
            self.newcomers += 1;
        }
        // This rider's bests are not at home: by as much as a contender known from before has moved.
        let moved = found
            .iter()
            .find_map(|e| {
                let known = self.place(&e.settings)?;
                Some(self.contenders[known].moved(&e.settings))
            })
            .unwrap_or([Angle::ZERO; 2]);
        for e in &found {
            if e.value <= best.value + ADMITTED {
                self.admit(&e.settings, moved, e.solved.clone());
            }
        }
        for candidate in candidates {
            if candidate.value > best.value + ADMITTED {
                break;
            }
            if self.place(&candidate.settings).is_none() {
                let mut rolled = candidate;
                rolled.settings.bar_roll = best.settings.bar_roll;
                let exact = refine(request, &rolled, &HOME_STEPS);
                self.admit(&exact.settings, moved, exact.solved);
            }
        }
        self.favourite = self.place(&best.settings).unwrap_or(0);
        let close = found.iter().filter_map(|e| self.place(&e.settings));
        Refit::of(&best, close.take(CLOSE).collect())
    }

    /// The best settings over the contenders.
    pub fn refit(&mut self, request: &Request) -> Refit {
        let favourite = self.favourite;
        let hopeful = (0..self.contenders.len())
            .filter(|i| *i != favourite && !self.contenders[*i].behind.hopeless());
        let hopeful = hopeful.collect();
        self.refit_among(request, favourite, hopeful)
    }

    /// The best settings over those contenders that came closest for a rider who differs little from this one.
    pub fn refit_beside(&mut self, request: &Request, beside: &Refit) -> Refit {
        match beside.close.split_first() {
            Some((first, others)) => self.refit_among(request, *first, others.to_vec()),
            None => self.refit(request),
        }
    }

    fn refit_among(&mut self, request: &Request, first: usize, others: Vec<usize>) -> Refit {
        let Some(favourite) = self.contenders.get(first) else {
            return self.search(request);
        };
        let mut best = refine(request, &favourite.start(), &STEPS);
        let mut winner = first;
        let moved = favourite.moved(&best.settings);
        let mut others: Vec<(usize, Evaluation)> = others
            .into_iter()
            .map(|i| (i, self.contenders[i].at(request, moved)))
            .collect();
        order::sort(&mut others, |a, b| a.1.value.total_cmp(&b.1.value));
        let mut gain = self.gain * FADES;
        for (i, e) in &others {
            let margin = (MARGIN_OF_GAINS * gain).clamp(MARGIN.0, MARGIN.1);
            if e.value > best.value + margin {
                break;
            }
            let exact = refine(request, e, &STEPS);
            if exact.broken <= 0.0 && e.broken <= 0.0 {
                gain = gain.max(e.value - exact.value);
            }
            if exact.value < best.value {
                (best, winner) = (exact, *i);
            }
        }
        let rest = others.iter().map(|(i, _)| *i).chain([first]);
        let close = [winner].into_iter().chain(rest.filter(|i| *i != winner));
        let close = close.take(CLOSE).collect();
        if best.broken > FEASIBLE && self.rescues > 0 {
            self.rescues -= 1;
            return self.search(request);
        }
        self.gain = gain;
        if best.broken <= 0.0 {
            for (i, e) in others.iter().filter(|(_, e)| e.broken <= 0.0) {
                self.contenders[*i].behind.add(e.value - best.value);
            }
            self.favourite = winner;
        }
        Refit::of(&best, close)
    }

    /// The contender of the same parts and position.
    fn place(&self, settings: &Settings) -> Option<usize> {
        let parts = |s: &Settings| (s.riser, s.clamp, s.bar, s.seat, s.stirrup.to_bits());
        let sought = parts(settings);
        self.contenders
            .iter()
            .position(|c| parts(&c.home) == sought)
    }

    fn admit(&mut self, settings: &Settings, moved: [Angle; 2], near: Vec<Option<Solved>>) {
        match self.place(settings) {
            // Whoever wins a whole search is looked at again.
            Some(known) => self.contenders[known].behind = Behind::default(),
            None => self.contenders.push(Contender {
                home: Settings {
                    riser_angle: settings.riser_angle - moved[0],
                    bar_roll: settings.bar_roll - moved[1],
                    ..*settings
                },
                near,
                behind: Behind::default(),
            }),
        }
    }
}

impl Contender {
    /// How far settings lie from home.
    fn moved(&self, settings: &Settings) -> [Angle; 2] {
        [
            settings.riser_angle - self.home.riser_angle,
            settings.bar_roll - self.home.bar_roll,
        ]
    }

    /// Its best at home, to start from.
    fn start(&self) -> Evaluation {
        Evaluation::guessed(self.home, 0.0, self.near.iter().copied())
    }

    /// Its value where its best is expected.
    fn at(&self, request: &Request, moved: [Angle; 2]) -> Evaluation {
        let sled = request.sled;
        let (low, high) = angle_bounds(request, self.home.riser);
        let angle = (self.home.riser_angle + moved[0]).clamped(low, high);
        let angle = match request.keep.riser_angle {
            Some(kept) => kept,
            None => sled.risers[self.home.riser].angles.nearest(angle),
        };
        let (low, high) = request
            .keep
            .bar_roll
            .map_or(sled.bar_roll, |kept| (kept, kept));
        let roll = (self.home.bar_roll + moved[1]).clamped(low, high);
        let settings = Settings {
            riser_angle: angle,
            bar_roll: roll,
            ..self.home
        };
        evaluate(request, settings, Some(&self.near), Scope::Whole)
    }
}

impl Refit {
    fn of(evaluation: &Evaluation, close: Vec<usize>) -> Self {
        Self {
            settings: evaluation.settings,
            value: evaluation.value,
            fits: evaluation.broken <= FEASIBLE,
            close,
        }
    }
}
