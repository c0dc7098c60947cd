//! Re-fits of riders who differ little: which combinations of parts can win is found out once, then only those are looked
//! at.
//!
//! The contest begins with one rider, and for every contender it knows where its best lay for that rider: its home. For
//! another rider the first contender, the leader, is polished; every other one is evaluated once, away from home by as
//! much as the leader went, its postures begun where the leader's went. At a best the objective is flat, so such a look
//! errs in second order. For the first riders all are looked at; then a [`Law`] of their values says who is worth it.
//! The lowest are polished, best first, until the next lies farther above the best than polishing has been seen to gain.
//!
//! Odds of parts stay global by three means: the caller searches riders spread over the population whole, and every
//! combination within [`ADMITTED`] of their best is admitted; so is every neighbour of whoever wins for any rider, one
//! step of riser and stirrup or another part away, so that no winner stands at the contest's edge; and a rider for whom
//! no contender is feasible is searched whole.

use super::forecast::Law;
use super::objective::{Evaluation, Scope, Solved, evaluate};
use super::request::Request;
use super::search::{
    Bounds, Curvature, bounds, model_minimum, on_a_tooth, open, ranked, refine_with_curvature,
    refined,
};
use super::solve::FEASIBLE;
use crate::hold::Options;
use crate::order;
use crate::rider::Rider;
use crate::sled::{Settings, Sled};
use crate::units::Angle;

/// How far above the best of a whole search a combination may lie and still be a contender. Our choice.
const ADMITTED: f64 = 0.1;

/// Step of a contender's refinement at home, and of polishing. Our choice.
const STEP: Angle = Angle::from_deg(1.0);

/// Steps of polishing at the most; our choice, one nearly always suffices but for the leader.
const STEPS: usize = 6;

/// Riders of a population for whom all contenders are looked at, before a law says which. Our choice: on recorded draws
/// eight left a quarter to a half more to look at.
const LEARNED: usize = 12;

/// Margin within which contenders are polished: at the least, in gains seen, and at the most. Our choice.
const MARGIN: (f64, f64) = (0.004, 0.03);
const MARGIN_OF_GAINS: f64 = 1.5;

/// Share of the greatest gain that is remembered from one rider to the next.
const FADES: f64 = 0.9;

/// So many contenders, no farther above the best than those that are admitted, are looked at again for a rider who
/// differs from another in one measurement. Our choice.
const CLOSE: usize = 12;

/// How often a contender wins with its neighbours tried. Our choice.
const SURROUNDED: u32 = 4;

/// Whole searches for riders for whom no contender is feasible, at the most.
const RESCUES: u32 = 8;

/// The best settings for one rider.
#[derive(Clone, Debug, PartialEq)]
pub struct Refit {
    /// The settings.
    pub settings: Settings,
    /// Their objective.
    pub value: f64,
    /// Whether every hard condition is met.
    pub fits: bool,
    /// Contenders that came close, the best first.
    close: Vec<usize>,
}

/// Riders whose values vary together.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Population {
    /// Only the body differs.
    Bodies,
    /// All that is uncertain differs.
    All,
}

/// Combinations that can win for riders like those fitted so far.
#[derive(Clone, Debug)]
pub struct Contest<'a> {
    home: Request<'a>,
    contenders: Vec<Contender>,
    samples: Vec<Sample>,
    /// Of [`Population::Bodies`], and of all samples.
    laws: [Option<Law>; 2],
    gain: f64,
    searches: u32,
    newcomers: u32,
    rescues: u32,
}

#[derive(Clone, Debug)]
struct Contender {
    /// Its best for the rider with whom the contest began.
    best: Evaluation,
    /// Curvature of the objective there.
    curvature: Curvature,
    /// For how many riders it was the best.
    wins: u32,
}

/// A rider for whom every contender was looked at.
#[derive(Clone, Debug)]
struct Sample {
    population: Population,
    rider: Rider,
    sled: Sled,
    options: Options,
    led: Evaluation,
    /// Without the price of broken limits, in the contenders' order.
    values: Vec<f64>,
}

/// What is known of one rider.
struct Field {
    /// The leader's best.
    led: Evaluation,
    looks: Vec<Look>,
    best: Evaluation,
    /// How much polishing was seen to gain.
    gain: f64,
}

struct Look {
    contender: usize,
    found: Evaluation,
    polished: bool,
}

impl<'a> Contest<'a> {
    /// Begins with a whole search for one rider; returns that rider's best.
    pub fn new(home: &Request<'a>) -> (Self, Refit) {
        let mut contest = Self {
            home: *home,
            contenders: Vec::new(),
            samples: Vec::new(),
            laws: [None, None],
            gain: 0.0,
            searches: 0,
            newcomers: 0,
            rescues: RESCUES,
        };
        let best = contest.search(home);
        contest.newcomers = 0;
        (contest, best)
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
        // Never empty: a sled has at least one combination.
        let best = found[0].clone();
        if self.place(&best.settings).is_none() {
            self.newcomers += 1;
        }
        // This rider's bests are not at home: by as much as a contender known from before is away.
        let away = found
            .iter()
            .find_map(|e| {
                let known = self.place(&e.settings)?;
                Some(self.contenders[known].away(&e.settings))
            })
            .unwrap_or([Angle::ZERO; 2]);
        let near = |e: &&Evaluation| e.value <= best.value + ADMITTED;
        for e in found.iter().filter(near) {
            self.admit(e.settings, &e.solved, away);
        }
        for e in candidates.iter().filter(near) {
            let settings = Settings {
                bar_roll: best.settings.bar_roll,
                ..e.settings
            };
            self.admit(settings, &e.solved, away);
        }
        self.complete();
        Refit::of(&best)
    }

    /// The best settings over the contenders.
    pub fn refit(&mut self, request: &Request, population: Population) -> Refit {
        let mut field = self.led(request);
        match &self.laws[population as usize] {
            Some(law) => {
                let mut belief = law.belief();
                let mut lowest = field.led.value;
                belief.see(0, &field.led);
                while let Some(i) = belief.next(lowest) {
                    let found = self.look(request, &field.led, i);
                    belief.see(i, &found);
                    lowest = lowest.min(found.value);
                    field.add(i, found);
                }
            }
            None => self.look_at_all(1, request, &mut field),
        }
        self.polish(request, &mut field);
        if field.best.broken > FEASIBLE && self.rescues > 0 {
            self.rescues -= 1;
            return self.search(request);
        }
        let known = self.contenders.len();
        self.surround(request, &mut field);
        self.gain = field.gain;
        let refit = field.refit();
        if self.laws[population as usize].is_none() {
            let mut values = vec![0.0; self.contenders.len()];
            for look in &field.looks {
                values[look.contender] = look.found.unpriced();
            }
            self.samples.push(Sample {
                population,
                rider: request.rider.clone(),
                sled: request.sled.clone(),
                options: request.options,
                led: field.led,
                values,
            });
            self.complete();
        } else if self.contenders.len() > known {
            self.complete();
        }
        refit
    }

    /// The best settings over those contenders that came close for a rider who differs little from this one.
    pub fn refit_beside(&mut self, request: &Request, beside: &Refit) -> Refit {
        let mut field = self.led(request);
        for &i in beside.close.iter().filter(|i| **i != 0) {
            field.add(i, self.look(request, &field.led, i));
        }
        self.polish(request, &mut field);
        if field.best.broken > FEASIBLE || beside.close.is_empty() {
            return self.refit(request, Population::Bodies);
        }
        field.refit()
    }

    /// What the leader tells of a rider.
    fn led(&self, request: &Request) -> Field {
        let leader = &self.contenders[0];
        let led = leader.polish(request, &leader.evaluated(request));
        Field {
            looks: vec![Look {
                contender: 0,
                found: led.clone(),
                polished: true,
            }],
            best: led.clone(),
            led,
            gain: self.gain * FADES,
        }
    }

    /// Tries the neighbours of whoever is the best, and admits those that come close, until it stands no longer at the
    /// edge.
    fn surround(&mut self, request: &Request, field: &mut Field) {
        while field.best.broken <= FEASIBLE {
            let known = self.contenders.len();
            let Some(winner) = self.place(&field.best.settings) else {
                break;
            };
            let wins = &mut self.contenders[winner].wins;
            *wins += 1;
            if *wins > SURROUNDED {
                break;
            }
            let away = self.contenders[0].away(&field.led.settings);
            for settings in neighbours(&self.home, &field.best.settings) {
                if self.place(&settings).is_some() {
                    continue;
                }
                let tried = evaluate(request, settings, Some(&field.best.solved), Scope::Beside);
                if tried.value <= field.best.value + ADMITTED {
                    self.admit(settings, &field.best.solved, away);
                }
            }
            if self.contenders.len() == known {
                break;
            }
            self.look_at_all(known, request, field);
            self.polish(request, field);
            if self.place(&field.best.settings) == Some(winner) {
                break;
            }
        }
    }

    /// A contender's value where its best is expected for a rider for whom the leader's best is given.
    fn look(&self, request: &Request, led: &Evaluation, contender: usize) -> Evaluation {
        self.contenders[contender].at(request, &self.contenders[0], led)
    }

    fn look_at_all(&self, from: usize, request: &Request, field: &mut Field) {
        for i in from..self.contenders.len() {
            field.add(i, self.look(request, &field.led, i));
        }
    }

    /// Polishes whoever may be the best.
    fn polish(&self, request: &Request, field: &mut Field) {
        order::sort(&mut field.looks, |a, b| {
            a.found.value.total_cmp(&b.found.value)
        });
        for look in &mut field.looks {
            let margin = (MARGIN_OF_GAINS * field.gain).clamp(MARGIN.0, MARGIN.1);
            if look.found.value > field.best.value + margin {
                break;
            }
            if look.polished {
                continue;
            }
            look.polished = true;
            let polished = self.contenders[look.contender].polish(request, &look.found);
            if polished.broken <= 0.0 && look.found.broken <= 0.0 {
                field.gain = field.gain.max(look.found.value - polished.value);
            }
            if polished.value < field.best.value {
                field.best = polished;
            }
        }
    }

    /// The contender of the same parts and position.
    fn place(&self, settings: &Settings) -> Option<usize> {
        let parts = |s: &Settings| (s.riser, s.clamp, s.bar, s.seat, s.stirrup.to_bits());
        let sought = parts(settings);
        self.contenders
            .iter()
            .position(|c| parts(&c.best.settings) == sought)
    }

    /// Admits a combination that is no contender yet, refined for the contest's own rider; the settings are `away` from
    /// where that is expected.
    fn admit(&mut self, settings: Settings, near: &[Option<Solved>], away: [Angle; 2]) {
        if self.place(&settings).is_some() {
            return;
        }
        let home = Settings {
            riser_angle: settings.riser_angle - away[0],
            bar_roll: settings.bar_roll - away[1],
            ..settings
        };
        let start = Evaluation::guessed(home, 0.0, near.iter().copied());
        let (best, curvature) = refine_with_curvature(&self.home, &start, &[STEP]);
        self.contenders.push(Contender {
            best,
            curvature,
            wins: 0,
        });
    }

    /// Looks at contenders that have joined since for the riders of the samples, and makes the laws.
    fn complete(&mut self) {
        let mut samples = core::mem::take(&mut self.samples);
        for sample in &mut samples {
            let request = Request {
                rider: &sample.rider,
                sled: &sample.sled,
                options: sample.options,
                ..self.home
            };
            for i in sample.values.len()..self.contenders.len() {
                let found = self.look(&request, &sample.led, i);
                sample.values.push(found.unpriced());
            }
        }
        self.samples = samples;
        for population in [Population::Bodies, Population::All] {
            let own = |s: &&Sample| s.population == population;
            if self.samples.iter().filter(own).count() >= LEARNED {
                // A body with nothing else drawn is one of all riders too.
                let values: Vec<&[f64]> = self
                    .samples
                    .iter()
                    .filter(|s| population == Population::All || own(s))
                    .map(|s| &s.values[..])
                    .collect();
                self.laws[population as usize] = Law::of(&values);
            }
        }
    }
}

impl Field {
    fn add(&mut self, contender: usize, found: Evaluation) {
        self.looks.push(Look {
            contender,
            found,
            polished: false,
        });
    }

    fn refit(&self) -> Refit {
        let near = |look: &&Look| look.found.value <= self.best.value + ADMITTED;
        let close = self.looks.iter().filter(near).map(|look| look.contender);
        Refit {
            close: close.take(CLOSE).collect(),
            ..Refit::of(&self.best)
        }
    }
}

/// What a mechanic would try beside settings: a step of riser and stirrup with any clamp, or another bar or seat; the
/// settings themselves are among them.
fn neighbours(request: &Request, settings: &Settings) -> Vec<Settings> {
    let (sled, keep) = (request.sled, &request.keep);
    let mut risers = open(keep.riser, 0..sled.risers.len());
    order::sort(&mut risers, |a, b| {
        sled.risers[*a].height.total_cmp(&sled.risers[*b].height)
    });
    let risers = beside(&risers, |r| *r == settings.riser);
    let stirrups = open(keep.stirrup, sled.stirrup.positions.iter().copied());
    let stirrups = beside(&stirrups, |s| s.to_bits() == settings.stirrup.to_bits());
    let clamps = open(keep.clamp, 0..sled.clamps.len());
    let mut found = Vec::new();
    for &riser in risers {
        for &stirrup in stirrups {
            found.extend(clamps.iter().map(|&clamp| Settings {
                riser,
                stirrup,
                clamp,
                ..*settings
            }));
        }
    }
    let bars = open(keep.bar, 0..sled.bars.len()).into_iter();
    found.extend(bars.map(|bar| Settings { bar, ..*settings }));
    let seats = open(keep.seat, 0..sled.seats.len()).into_iter();
    found.extend(seats.map(|seat| Settings { seat, ..*settings }));
    found
}

/// Those in a row no more than one step from the one that is sought.
fn beside<T>(row: &[T], sought: impl Fn(&T) -> bool) -> &[T] {
    let at = row.iter().position(sought).unwrap_or(0);
    &row[at.saturating_sub(1)..row.len().min(at + 2)]
}

impl Contender {
    /// How far settings lie from home.
    fn away(&self, settings: &Settings) -> [Angle; 2] {
        [
            settings.riser_angle - self.best.settings.riser_angle,
            settings.bar_roll - self.best.settings.bar_roll,
        ]
    }

    /// What its best at home costs another rider.
    fn evaluated(&self, request: &Request) -> Evaluation {
        evaluate(
            request,
            self.best.settings,
            Some(&self.best.solved),
            Scope::Beside,
        )
    }

    /// Its value where its best is expected: away from home by as much as the leader's is.
    fn at(&self, request: &Request, leader: &Self, led: &Evaluation) -> Evaluation {
        let away = leader.away(&led.settings);
        let home = &self.best.settings;
        let [(low, high), (low_roll, high_roll)] = bounds(request, home);
        let angle = (home.riser_angle + away[0]).rad().max(low).min(high);
        let angle = match request.keep.riser_angle {
            Some(kept) => kept,
            None => request.sled.risers[home.riser]
                .angles
                .nearest(Angle::from_rad(angle)),
        };
        let roll = (home.bar_roll + away[1]).rad();
        let settings = Settings {
            riser_angle: angle,
            bar_roll: Angle::from_rad(roll.max(low_roll).min(high_roll)),
            ..*home
        };
        let near: Vec<Option<Solved>> = self
            .best
            .solved
            .iter()
            .zip(leader.best.solved.iter().zip(&led.solved))
            .map(|(own, led)| match (own, led) {
                (Some(own), (Some(from), Some(to))) => Some(own.shifted(from, to)),
                _ => *own,
            })
            .collect();
        evaluate(request, settings, Some(&near), Scope::Beside)
    }

    /// Its best for a rider near a value of it, over riser angle and bar roll: by the slope there and the curvature at
    /// home. Never above that value.
    fn polish(&self, request: &Request, from: &Evaluation) -> Evaluation {
        let bounds = bounds(request, &from.settings);
        let free = self.descend(request, from, bounds);
        on_a_tooth(request, free, bounds, |settings, free, bounds| {
            let start = evaluate(request, settings, Some(&free.solved), Scope::Beside);
            self.descend(request, &start, bounds)
        })
    }

    fn descend(&self, request: &Request, from: &Evaluation, bounds: Bounds) -> Evaluation {
        let step = STEP.rad();
        let mut best = from.clone();
        for _ in 0..STEPS {
            let x = [
                best.settings.riser_angle.rad(),
                best.settings.bar_roll.rad(),
            ];
            let at = |y: [f64; 2]| {
                let settings = Settings {
                    riser_angle: Angle::from_rad(y[0]),
                    bar_roll: Angle::from_rad(y[1]),
                    ..best.settings
                };
                evaluate(request, settings, Some(&best.solved), Scope::Beside)
            };
            let mut offered: Vec<Evaluation> = Vec::with_capacity(3);
            let mut gradient = [0.0; 2];
            for i in 0..2 {
                let (down, up) = (x[i] - bounds[i].0, bounds[i].1 - x[i]);
                // Upward, or where there is more room.
                let by = if up >= step || up >= down {
                    up.min(step)
                } else {
                    -down.min(step)
                };
                if by.abs() < 1e-9 {
                    continue;
                }
                let mut y = x;
                y[i] += by;
                let beside = at(y);
                gradient[i] = (beside.value - best.value) / by - 0.5 * self.curvature[i][i] * by;
                offered.push(beside);
            }
            if offered.is_empty() {
                break;
            }
            offered.push(at(model_minimum(
                x,
                gradient,
                self.curvature,
                bounds,
                4.0 * step,
            )));
            let Some(lowest) = offered
                .into_iter()
                .min_by(|a, b| a.value.total_cmp(&b.value))
            else {
                break;
            };
            if lowest.value >= best.value {
                break;
            }
            let y = [
                lowest.settings.riser_angle.rad(),
                lowest.settings.bar_roll.rad(),
            ];
            best = lowest;
            if (y[0] - x[0]).abs().max((y[1] - x[1]).abs()) < step {
                break;
            }
        }
        best
    }
}

impl Refit {
    fn of(evaluation: &Evaluation) -> Self {
        Self {
            settings: evaluation.settings,
            value: evaluation.value,
            fits: evaluation.broken <= FEASIBLE,
            close: Vec::new(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::search::search;
    use super::super::solve::objective;
    use super::*;
    use crate::confidence::Draw;
    use crate::rider::{RiderProfile, Sex};
    use crate::sled::SledProfile;
    use crate::stance::Stance;

    fn shipped(index: usize) -> Sled {
        SledProfile::read(crate::sled::profile::SHIPPED[index].text)
            .expect("shipped")
            .resolve()
            .expect("checked")
    }

    /// Riders who are searched whole beside their re-fit, of each population.
    const CHECKED: u32 = 8;

    #[test]
    fn refits_are_as_good_as_whole_searches() {
        let stances = Stance::shipped().expect("shipped");
        let built = RiderProfile::of(Sex::Male, 1780.0, 79.0)
            .build()
            .expect("built");
        let sled = shipped(2);
        let request = Request::new(&built.rider, &sled, &stances);
        let (mut contest, _) = Contest::new(&request);
        let mut losses = [Vec::new(), Vec::new()];
        for number in 0..LEARNED as u32 + CHECKED {
            let draw = Draw::new(7, number);
            for population in [Population::Bodies, Population::All] {
                draw.ask(population, &built, &request, |drawn| {
                    let refit = contest.refit(drawn, population);
                    assert_eq!(
                        contest.laws[population as usize].is_some(),
                        number + 1 >= LEARNED as u32
                    );
                    if number >= LEARNED as u32 {
                        let best = search(drawn)[0].settings;
                        let loss = objective(drawn, refit.settings) - objective(drawn, best);
                        losses[population as usize].push(loss);
                    }
                });
            }
        }
        // What a part or position costs that is not the best is 0.01 to 0.3; a tape's error costs 0.002.
        for (losses, most) in losses.iter_mut().zip([0.002, 0.05]) {
            losses.sort_by(f64::total_cmp);
            let mean = losses.iter().sum::<f64>() / losses.len() as f64;
            assert!(losses[losses.len() / 2] < 0.002, "{losses:?}");
            assert!(mean < most, "{mean} in {losses:?}");
        }
    }

    #[test]
    fn whoever_wins_has_its_neighbours_beside_it() {
        let stances = Stance::shipped().expect("shipped");
        let built = RiderProfile::of(Sex::Female, 1640.0, 60.0)
            .build()
            .expect("built");
        let sled = shipped(0);
        let request = Request::new(&built.rider, &sled, &stances);
        let (_, best) = Contest::new(&request);
        let found = neighbours(&request, &best.settings);
        assert!(found.contains(&best.settings));
        let (riser, stirrup) = (best.settings.riser, best.settings.stirrup);
        for settings in &found {
            assert!(settings.riser.abs_diff(riser) <= 1, "{settings:?}");
            assert!((settings.stirrup - stirrup).abs() < 21.0, "{settings:?}");
        }
        let mut kept = request;
        kept.keep.riser = Some(riser);
        kept.keep.seat = Some(best.settings.seat);
        for settings in neighbours(&kept, &best.settings) {
            assert_eq!((settings.riser, settings.seat), (riser, best.settings.seat));
        }
        assert_eq!(beside(&[1, 2, 3], |x| *x == 3), [2, 3]);
        assert_eq!(beside(&[1, 2, 3], |x| *x == 2), [1, 2, 3]);
        assert_eq!(beside(&[1], |x| *x == 1), [1]);
    }
}
