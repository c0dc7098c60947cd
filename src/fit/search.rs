//! The search: the best settings over every combination of parts and stirrup positions.
//!
//! Stances see the settings through contact points, and those change smoothly with the length of riser and clamp and
//! with the riser angle. So the objective's standing and seated parts are tabulated on a few nodes of (length, angle)
//! for each stirrup position (standing once for all seats of one height), interpolated, and every combination is
//! ranked by its interpolated best. Then combinations are refined exactly, best first, until the interpolated value of
//! the next lies farther above the best refined one than interpolation has been seen to err. The interpolation is only
//! ever used to choose the order and where to stop; every value that counts is exact. A test holds the answer against
//! brute force.

use super::objective::{Evaluation, Scope, Solved, evaluate};
use super::request::Request;
use crate::sled::{RiserAngles, Settings};
use crate::units::Angle;

/// Nodes along the riser angle.
const ANGLE_NODES: usize = 4;

/// Most nodes along the length of riser and clamp.
const LENGTH_NODES: usize = 3;

/// How far above the best refined value the next interpolated one may lie before the search stops, at the least; it
/// grows with the errors seen. Our choice, several times the usual error.
const LEAST_MARGIN: f64 = 0.08;

/// The margin in errors seen.
const MARGIN_OF_ERRORS: f64 = 1.5;

/// Combinations refined at the least, if there are so many.
const LEAST_REFINED: usize = 4;

/// Spacing of the interpolated scan.
const SCAN: Angle = Angle::from_deg(1.0);

/// Steps of the refinement's quadratic model, first to last.
const MODEL_STEPS: [Angle; 3] = [
    Angle::from_deg(2.5),
    Angle::from_deg(1.2),
    Angle::from_deg(0.5),
];

/// A combination of parts and a stirrup position.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Combination {
    pub riser: usize,
    pub clamp: usize,
    pub bar: usize,
    pub seat: usize,
    pub stirrup: f64,
}

impl Combination {
    /// The combination of settings.
    pub(super) fn of(settings: &Settings) -> Self {
        Self {
            riser: settings.riser,
            clamp: settings.clamp,
            bar: settings.bar,
            seat: settings.seat,
            stirrup: settings.stirrup,
        }
    }

    pub(super) fn settings(self, riser_angle: Angle, bar_roll: Angle) -> Settings {
        Settings {
            riser: self.riser,
            clamp: self.clamp,
            bar: self.bar,
            seat: self.seat,
            stirrup: self.stirrup,
            riser_angle,
            bar_roll,
        }
    }
}

/// Finds the best settings; returns every combination that was refined, best first, never empty.
pub(crate) fn search(request: &Request) -> Vec<Evaluation> {
    let ranks = Ranks::new(request);
    best_first(&ranks, ranks.groups(), Vec::new())
}

/// Refines candidates best first until the next cannot win; best first.
pub(super) fn refined(request: &Request, candidates: &[Candidate]) -> Vec<Evaluation> {
    best_first(&Ranks::new(request), Vec::new(), candidates.to_vec())
}

/// Opens groups and refines candidates, whichever promises most, until neither can win; best first.
fn best_first(
    ranks: &Ranks,
    mut groups: Vec<Group>,
    mut candidates: Vec<Candidate>,
) -> Vec<Evaluation> {
    let mut refined: Vec<Evaluation> = Vec::new();
    let mut best = f64::INFINITY;
    let mut error: f64 = 0.0;
    loop {
        let margin = f64::max(LEAST_MARGIN, MARGIN_OF_ERRORS * error);
        let group = least(&groups, |g| g.bound);
        let candidate = least(&candidates, |c| c.estimate);
        // A group goes first where its bound does not lie above: it may hold a better candidate.
        let (at, is_group) = match (group, candidate) {
            (Some(g), Some(c)) if candidates[c].estimate < groups[g].bound => (c, false),
            (Some(g), _) => (g, true),
            (None, Some(c)) => (c, false),
            (None, None) => break,
        };
        let estimate = if is_group {
            groups[at].bound
        } else {
            candidates[at].estimate
        };
        if refined.len() >= LEAST_REFINED && estimate > best + margin {
            break;
        }
        if is_group {
            candidates.extend(ranks.candidates(&groups.swap_remove(at)));
            continue;
        }
        let candidate = candidates.swap_remove(at);
        let exact = refine(ranks.request, &candidate, &MODEL_STEPS);
        // Only an estimate that was too high can hide a better combination.
        if exact.broken <= 0.0 {
            error = error.max(candidate.estimate - exact.value);
        }
        best = best.min(exact.value);
        refined.push(exact);
    }
    refined.sort_by(|a, b| a.value.total_cmp(&b.value));
    refined
}

/// The settings nearest to feasible ones, with the parts that the request keeps and any riser that it leaves open,
/// starting from another set-up and its postures; stops early once `enough` is broken at the most.
///
/// Quick rather than exact: from the set-up's postures alone, and of the risers only the best two by their first value.
pub(super) fn nearest(request: &Request, from: &Evaluation, enough: f64) -> Evaluation {
    let (sled, keep) = (request.sled, &request.keep);
    let settings = from.settings;
    let mut starts: Vec<Evaluation> = open(keep.riser, 0..sled.risers.len())
        .into_iter()
        .map(|riser| {
            let combination = Combination {
                riser,
                clamp: keep.clamp.unwrap_or(settings.clamp),
                bar: keep.bar.unwrap_or(settings.bar),
                seat: keep.seat.unwrap_or(settings.seat),
                stirrup: keep.stirrup.unwrap_or(settings.stirrup),
            };
            let (low, high) = angle_bounds(request, riser);
            let angle = settings.riser_angle.clamped(low, high);
            let at = combination.settings(angle, settings.bar_roll);
            evaluate(request, at, Some(&from.solved), Scope::Limits)
        })
        .collect();
    starts.sort_by(|a, b| a.value.total_cmp(&b.value));
    starts.truncate(2);
    let mut best: Option<Evaluation> = None;
    for start in starts {
        let mut found = refine_within(
            request,
            &Candidate::from(&start),
            &MODEL_STEPS,
            Scope::Limits,
            enough,
        );
        if found.broken > enough {
            // Other basins may reach where this one does not.
            let afresh = evaluate(request, found.settings, None, Scope::Limits);
            if afresh.value < found.value {
                found = refine_within(
                    request,
                    &Candidate::from(&afresh),
                    &MODEL_STEPS,
                    Scope::Limits,
                    enough,
                );
            }
        }
        if best.as_ref().is_none_or(|b| found.value < b.value) {
            best = Some(found);
        }
        if best.as_ref().is_some_and(|b| b.broken <= enough) {
            break;
        }
    }
    best.unwrap_or_else(|| from.clone())
}

/// Place of the least; the one that was found first where several are equal.
fn least<T>(all: &[T], of: impl Fn(&T) -> f64 + Copy) -> Option<usize> {
    (0..all.len()).min_by(|&a, &b| of(&all[a]).total_cmp(&of(&all[b])))
}

/// Parts and positions that the request leaves open.
fn open<T: Copy>(kept: Option<T>, all: impl Iterator<Item = T>) -> Vec<T> {
    kept.map_or_else(|| all.collect(), |one| vec![one])
}

/// A combination with its interpolated best.
#[derive(Clone, Debug)]
pub(super) struct Candidate {
    pub combination: Combination,
    /// Its value as far as is known before it is refined.
    pub estimate: f64,
    /// Riser angle and bar roll to refine from.
    pub angle: Angle,
    pub roll: Angle,
    /// Postures to start from.
    pub near: Vec<Option<Solved>>,
}

impl From<&Evaluation> for Candidate {
    fn from(found: &Evaluation) -> Self {
        let s = found.settings;
        Self {
            combination: Combination::of(&s),
            estimate: found.value,
            angle: s.riser_angle,
            roll: s.bar_roll,
            near: found.solved.clone(),
        }
    }
}

/// Combinations of one bar, one stirrup position and the seats of one height: the standing stances do not tell them
/// apart but for riser and clamp.
struct Group {
    bar: usize,
    stirrup: f64,
    seats: Vec<usize>,
    standing: Vec<Evaluation>,
    /// What no combination of the group is estimated below: what sits costs nothing at the least.
    bound: f64,
}

/// Every combination, by its interpolated best.
pub(super) fn ranked(request: &Request) -> Vec<Candidate> {
    let ranks = Ranks::new(request);
    let groups = ranks.groups();
    let mut found: Vec<Candidate> = groups.iter().flat_map(|g| ranks.candidates(g)).collect();
    found.sort_by(|a, b| a.estimate.total_cmp(&b.estimate));
    found
}

/// What is open, and the nodes on which it is tabulated.
struct Ranks<'a> {
    request: &'a Request<'a>,
    risers: Vec<usize>,
    clamps: Vec<usize>,
    lengths: Vec<f64>,
    angles: Vec<f64>,
    roll: Angle,
}

impl<'a> Ranks<'a> {
    fn new(request: &'a Request<'a>) -> Self {
        let (sled, keep) = (request.sled, &request.keep);
        let risers = open(keep.riser, 0..sled.risers.len());
        let clamps = open(keep.clamp, 0..sled.clamps.len());
        let roll = keep
            .bar_roll
            .unwrap_or(Angle::ZERO.clamped(sled.bar_roll.0, sled.bar_roll.1));
        let lengths: Vec<f64> = risers
            .iter()
            .flat_map(|&r| clamps.iter().map(move |&c| length(request, r, c)))
            .collect();
        let bounds: Vec<f64> = risers
            .iter()
            .flat_map(|&r| {
                let (low, high) = angle_bounds(request, r);
                [low.rad(), high.rad()]
            })
            .collect();
        Self {
            lengths: nodes(&lengths, LENGTH_NODES),
            angles: nodes(&bounds, ANGLE_NODES),
            request,
            risers,
            clamps,
            roll,
        }
    }

    /// Every group, with its standing stances tabulated.
    fn groups(&self) -> Vec<Group> {
        let (sled, keep) = (self.request.sled, &self.request.keep);
        let seats = open(keep.seat, 0..sled.seats.len());
        let mut groups: Vec<Group> = Vec::new();
        for bar in open(keep.bar, 0..sled.bars.len()) {
            for stirrup in open(keep.stirrup, sled.stirrup.positions.iter().copied()) {
                let first = groups.len();
                for &seat in &seats {
                    let raise = |seat: usize| sled.seats[seat].height_over_line;
                    let alike = |g: &&mut Group| raise(g.seats[0]) == raise(seat);
                    if let Some(group) = groups[first..].iter_mut().find(alike) {
                        group.seats.push(seat);
                        continue;
                    }
                    let standing = self.table(bar, seat, stirrup, Scope::Standing);
                    let values: Vec<f64> = standing.iter().map(|e| e.value).collect();
                    let bound = self
                        .parts()
                        .map(|(riser, clamp)| self.best(&values, riser, clamp).1)
                        .fold(f64::INFINITY, f64::min);
                    groups.push(Group {
                        bar,
                        stirrup,
                        seats: vec![seat],
                        standing,
                        bound,
                    });
                }
            }
        }
        groups
    }

    /// Every combination of a group, by its interpolated best.
    fn candidates(&self, group: &Group) -> Vec<Candidate> {
        let mut found = Vec::new();
        for &seat in &group.seats {
            let sat = self.table(group.bar, seat, group.stirrup, Scope::Seated);
            let values: Vec<f64> = group
                .standing
                .iter()
                .zip(&sat)
                .map(|(a, b)| a.value + b.value)
                .collect();
            for (riser, clamp) in self.parts() {
                let (angle, estimate) = self.best(&values, riser, clamp);
                let nearest = nearest_node(&self.lengths, length(self.request, riser, clamp))
                    * self.angles.len()
                    + nearest_node(&self.angles, angle.rad());
                let near = group.standing[nearest]
                    .solved
                    .iter()
                    .zip(&sat[nearest].solved)
                    .map(|(a, b)| a.or(*b))
                    .collect();
                found.push(Candidate {
                    combination: Combination {
                        riser,
                        clamp,
                        bar: group.bar,
                        seat,
                        stirrup: group.stirrup,
                    },
                    estimate,
                    angle,
                    roll: Angle::ZERO,
                    near,
                });
            }
        }
        found
    }

    /// Risers and clamps.
    fn parts(&self) -> impl Iterator<Item = (usize, usize)> {
        self.risers
            .iter()
            .flat_map(|&r| self.clamps.iter().map(move |&c| (r, c)))
    }

    fn table(&self, bar: usize, seat: usize, stirrup: f64, scope: Scope) -> Vec<Evaluation> {
        let grid = Grid {
            bar,
            seat,
            stirrup,
            roll: self.roll,
            lengths: &self.lengths,
            angles: &self.angles,
        };
        tabulate(self.request, &grid, scope)
    }

    /// The interpolated best angle of a riser and clamp over a table's values, with its value.
    fn best(&self, values: &[f64], riser: usize, clamp: usize) -> (Angle, f64) {
        let along = across(&self.lengths, values, length(self.request, riser, clamp));
        let (low, high) = angle_bounds(self.request, riser);
        scan(&self.angles, &along, low, high)
    }
}

/// Length from the post to the bar's centre.
fn length(request: &Request, riser: usize, clamp: usize) -> f64 {
    request.sled.risers[riser].height + request.sled.clamps[clamp].stack
}

/// What a table is made for.
struct Grid<'a> {
    bar: usize,
    seat: usize,
    stirrup: f64,
    roll: Angle,
    lengths: &'a [f64],
    angles: &'a [f64],
}

/// Evaluates a part of the objective on the nodes, length by length, each node from its neighbour's postures.
fn tabulate(request: &Request, grid: &Grid, scope: Scope) -> Vec<Evaluation> {
    // Any part of stock serves to hold a length: the riser and clamp are replaced by one of the node's length.
    let mut table: Vec<Evaluation> = Vec::with_capacity(grid.lengths.len() * grid.angles.len());
    let mut bench = request.sled.clone();
    let mut riser = bench.risers[0];
    bench.clamps[0].stack = 0.0;
    for &length in grid.lengths {
        riser.height = length;
        // No angle is at an end, so that the pull to mid-adjustment stays as it is for every riser.
        riser.angles = RiserAngles::Range(Angle::from_deg(-90.0), Angle::from_deg(90.0));
        bench.risers[0] = riser;
        let at_length = Request {
            sled: &bench,
            ..*request
        };
        for (j, &angle) in grid.angles.iter().enumerate() {
            let settings = Settings {
                riser: 0,
                clamp: 0,
                bar: grid.bar,
                seat: grid.seat,
                stirrup: grid.stirrup,
                riser_angle: Angle::from_rad(angle),
                bar_roll: grid.roll,
            };
            let before = if j > 0 {
                table.last()
            } else {
                table
                    .len()
                    .checked_sub(grid.angles.len())
                    .and_then(|i| table.get(i))
            };
            let near = before.map(|e| e.solved.clone());
            let found = evaluate(&at_length, settings, near.as_deref(), scope);
            table.push(found);
        }
    }
    table
}

/// Up to `most` nodes from the least to the greatest value: the values themselves where they are few, else spread so
/// that interpolation errs evenly (Chebyshev's extrema).
fn nodes(values: &[f64], most: usize) -> Vec<f64> {
    let mut distinct: Vec<f64> = values.to_vec();
    distinct.sort_by(f64::total_cmp);
    distinct.dedup();
    let (Some(&low), Some(&high)) = (distinct.first(), distinct.last()) else {
        return vec![0.0];
    };
    if distinct.len() == 1 || (distinct.len() <= most && distinct.len() > 2) {
        return distinct;
    }
    (0..most)
        .map(|i| {
            let t = core::f64::consts::PI * i as f64 / (most - 1) as f64;
            low + (high - low) * (0.5 - 0.5 * libm::cos(t))
        })
        .collect()
}

fn nearest_node(nodes: &[f64], at: f64) -> usize {
    let mut best = 0;
    for (i, node) in nodes.iter().enumerate() {
        if (node - at).abs() < (nodes[best] - at).abs() {
            best = i;
        }
    }
    best
}

/// The table's values along the angle at one length.
fn across(lengths: &[f64], values: &[f64], at: f64) -> Vec<f64> {
    let columns = values.len() / lengths.len();
    (0..columns)
        .map(|j| {
            let column: Vec<f64> = (0..lengths.len())
                .map(|i| values[i * columns + j])
                .collect();
            interpolate(lengths, &column, at)
        })
        .collect()
}

/// The interpolated best angle between two bounds.
fn scan(angles: &[f64], values: &[f64], low: Angle, high: Angle) -> (Angle, f64) {
    let steps = libm::ceil((high - low) / SCAN).max(0.0) as usize;
    let mut best = (low, interpolate(angles, values, low.rad()));
    for i in 1..=steps {
        let angle = (low + SCAN * i as f64).clamped(low, high);
        let value = interpolate(angles, values, angle.rad());
        if value < best.1 {
            best = (angle, value);
        }
    }
    best
}

/// Values apart by more than this many times are not interpolated by a polynomial: a limit breaks between them.
const JUMP: f64 = 12.0;

/// Polynomial interpolation through all nodes where the values are of one size, else linear between neighbours.
fn interpolate(nodes: &[f64], values: &[f64], at: f64) -> f64 {
    if nodes.len() == 1 {
        return values[0];
    }
    let least = values.iter().copied().fold(f64::INFINITY, f64::min);
    let most = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    if most - least < JUMP {
        // Neville's scheme.
        let mut p = values.to_vec();
        for width in 1..nodes.len() {
            for i in 0..nodes.len() - width {
                let (a, b) = (nodes[i], nodes[i + width]);
                p[i] = ((at - b) * p[i] + (a - at) * p[i + 1]) / (a - b);
            }
        }
        return p[0];
    }
    let above = (1..nodes.len() - 1)
        .find(|&i| nodes[i] >= at)
        .unwrap_or(nodes.len() - 1);
    let (a, b) = (nodes[above - 1], nodes[above]);
    let t = ((at - a) / (b - a)).clamp(0.0, 1.0);
    values[above - 1] + (values[above] - values[above - 1]) * t
}

pub(super) fn angle_bounds(request: &Request, riser: usize) -> (Angle, Angle) {
    match request.keep.riser_angle {
        Some(kept) => (kept, kept),
        None => request.sled.risers[riser].angles.bounds(),
    }
}

/// The exact best of one combination over riser angle and bar roll.
pub(super) fn refine(request: &Request, candidate: &Candidate, steps: &[Angle]) -> Evaluation {
    refine_within(request, candidate, steps, Scope::Whole, f64::NEG_INFINITY)
}

/// The same in one scope; ends early once `enough` limits are broken at the most.
fn refine_within(
    request: &Request,
    candidate: &Candidate,
    steps: &[Angle],
    scope: Scope,
    enough: f64,
) -> Evaluation {
    let sled = request.sled;
    let combination = candidate.combination;
    let angles = angle_bounds(request, combination.riser);
    let rolls = request
        .keep
        .bar_roll
        .map_or(sled.bar_roll, |kept| (kept, kept));
    let start = [
        candidate.angle.rad(),
        candidate.roll.clamped(rolls.0, rolls.1).rad(),
    ];
    let bounds = [
        (angles.0.rad(), angles.1.rad()),
        (rolls.0.rad(), rolls.1.rad()),
    ];
    let descent = Descent {
        request,
        combination,
        steps,
        scope,
        enough,
    };
    let free = descent.run(start, bounds, candidate.near.clone());
    match sled.risers[combination.riser].angles {
        RiserAngles::Teeth { step, .. }
            if request.keep.riser_angle.is_none() && step > Angle::ZERO =>
        {
            let allowed = sled.risers[combination.riser].angles;
            let at = free.settings.riser_angle;
            let mut best: Option<Evaluation> = None;
            for tooth in [
                allowed.nearest(at - step * 0.5),
                allowed.nearest(at + step * 0.5),
            ] {
                let start = [tooth.rad(), free.settings.bar_roll.rad()];
                let bounds = [(tooth.rad(), tooth.rad()), bounds[1]];
                let found = descent.run(start, bounds, free.solved.clone());
                if best.as_ref().is_none_or(|b| found.value < b.value) {
                    best = Some(found);
                }
            }
            best.unwrap_or(free)
        }
        _ => free,
    }
}

/// A descent of one combination over riser angle and bar roll.
struct Descent<'a> {
    request: &'a Request<'a>,
    combination: Combination,
    steps: &'a [Angle],
    scope: Scope,
    enough: f64,
}

impl Descent<'_> {
    /// Minimises over the box by quadratic models of shrinking step.
    fn run(
        &self,
        start: [f64; 2],
        bounds: [(f64, f64); 2],
        near: Vec<Option<Solved>>,
    ) -> Evaluation {
        let at = |x: [f64; 2], near: &[Option<Solved>]| {
            let settings = self
                .combination
                .settings(Angle::from_rad(x[0]), Angle::from_rad(x[1]));
            evaluate(self.request, settings, Some(near), self.scope)
        };
        let kept = |x: f64, i: usize| x.min(bounds[i].1).max(bounds[i].0);
        let mut x = [kept(start[0], 0), kept(start[1], 1)];
        let mut best = at(x, &near);
        for step in self.steps {
            let step = step.rad();
            for _ in 0..3 {
                if best.broken <= self.enough {
                    return best;
                }
                let centre = best.value;
                let mut gradient = [0.0; 2];
                let mut curvature = [[0.0; 2]; 2];
                let mut moved = [0.0; 2];
                let mut corner = x;
                let mut offered: Option<([f64; 2], Evaluation)> = None;
                let mut offer = |y: [f64; 2], e: Evaluation| {
                    if offered.as_ref().is_none_or(|(_, b)| e.value < b.value) {
                        offered = Some((y, e));
                    }
                };
                for i in 0..2 {
                    let (low, high) = bounds[i];
                    if high - low < 1e-9 {
                        continue;
                    }
                    // At a bound both points lie on the inner side.
                    let mut ends = [kept(x[i] - step, i), kept(x[i] + step, i)];
                    if x[i] - ends[0] < 0.25 * step {
                        ends[0] = kept(x[i] + 2.0 * step, i);
                    } else if ends[1] - x[i] < 0.25 * step {
                        ends[1] = kept(x[i] - 2.0 * step, i);
                    }
                    let mut y = x;
                    y[i] = ends[0];
                    let a = at(y, &best.solved);
                    let (da, va) = (ends[0] - x[i], a.value - centre);
                    offer(y, a);
                    y[i] = ends[1];
                    let b = at(y, &best.solved);
                    let (db, vb) = (ends[1] - x[i], b.value - centre);
                    offer(y, b);
                    // Parabola through the three points: v = g d + h d²/2.
                    let h = 2.0 * (va / da - vb / db) / (da - db);
                    curvature[i][i] = h;
                    gradient[i] = va / da - 0.5 * h * da;
                    moved[i] = if vb <= va { db } else { da };
                    corner[i] = x[i] + moved[i];
                }
                if moved[0] != 0.0 && moved[1] != 0.0 {
                    let c = at(corner, &best.solved);
                    let along = |i: usize| {
                        gradient[i] * moved[i] + 0.5 * curvature[i][i] * moved[i] * moved[i]
                    };
                    let cross = (c.value - centre - along(0) - along(1)) / (moved[0] * moved[1]);
                    curvature[0][1] = cross;
                    curvature[1][0] = cross;
                    offer(corner, c);
                }
                let target = model_minimum(x, gradient, curvature, bounds, 4.0 * step);
                let found = at(target, &best.solved);
                offer(target, found);
                let Some((y, e)) = offered else { break };
                let gained = centre - e.value;
                let far = (y[0] - x[0]).abs().max((y[1] - x[1]).abs());
                if gained > 0.0 {
                    (x, best) = (y, e);
                }
                if gained < 1e-9 || far < step {
                    break;
                }
            }
        }
        best
    }
}

/// Minimum of a quadratic model over the box and a trust region: the stationary point, or the best on each side.
fn model_minimum(
    x: [f64; 2],
    gradient: [f64; 2],
    curvature: [[f64; 2]; 2],
    bounds: [(f64, f64); 2],
    trust: f64,
) -> [f64; 2] {
    let low = [0, 1].map(|i| (bounds[i].0 - x[i]).max(-trust));
    let high = [0, 1].map(|i| (bounds[i].1 - x[i]).min(trust));
    let value = |d: [f64; 2]| {
        gradient[0] * d[0]
            + gradient[1] * d[1]
            + 0.5 * (curvature[0][0] * d[0] * d[0] + curvature[1][1] * d[1] * d[1])
            + curvature[0][1] * d[0] * d[1]
    };
    let mut best = [0.0, 0.0];
    let mut consider = |d: [f64; 2]| {
        let inside = (0..2).all(|i| d[i] >= low[i] && d[i] <= high[i]);
        if inside && value(d) < value(best) {
            best = d;
        }
    };
    let det = curvature[0][0] * curvature[1][1] - curvature[0][1] * curvature[0][1];
    if det > 0.0 && curvature[0][0] > 0.0 {
        consider([
            (-gradient[0] * curvature[1][1] + gradient[1] * curvature[0][1]) / det,
            (-gradient[1] * curvature[0][0] + gradient[0] * curvature[0][1]) / det,
        ]);
    }
    for (i, j) in [(0, 1), (1, 0)] {
        for side in [low[i], high[i], 0.0] {
            for end in [low[j], high[j]] {
                let mut d = [0.0; 2];
                (d[i], d[j]) = (side, end);
                consider(d);
            }
            if curvature[j][j] > 0.0 {
                let mut d = [0.0; 2];
                d[i] = side;
                d[j] = (-(gradient[j] + curvature[0][1] * side) / curvature[j][j])
                    .min(high[j])
                    .max(low[j]);
                consider(d);
            }
        }
    }
    [x[0] + best[0], x[1] + best[1]]
}
