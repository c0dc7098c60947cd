//! The search: the best settings over every combination of parts and stirrup positions.
//!
//! Stances see the settings through contact points, and those change smoothly with the length of riser and clamp, the
//! riser angle and the stirrup. So the objective's standing and seated parts are tabulated on a few nodes of length, angle
//! and stirrup position (standing once for all seats of one height), interpolated, and every combination is
//! ranked by its interpolated best. Then combinations are looked at exactly, refined and finished in three rounds, each
//! best first, until the next lies farther above the best than such a look has been seen to lower a value. The
//! interpolation is only ever used to choose the order and where to stop; every value that counts is exact. A test holds
//! the answer against brute force.

use super::objective::{Evaluation, Scope, Solved, evaluate};
use super::request::Request;
use crate::order;
use crate::sled::{RiserAngles, Settings};
use crate::units::Angle;

/// Nodes along the riser angle.
const ANGLE_NODES: usize = 4;

/// Most nodes along the length of riser and clamp.
const LENGTH_NODES: usize = 3;

/// Most nodes along the stirrup's positions.
const STIRRUP_NODES: usize = 4;

/// How far above the best the next combination may lie, at the least, to be looked at, refined and finished; it grows
/// with the gains seen. Our choice, several times the usual gain of such a look.
const LOOKED: f64 = 0.3;
const REFINED: f64 = 0.05;
const FINISHED: f64 = 0.02;

/// The margin in gains seen.
const MARGIN_OF_GAINS: f64 = 1.5;

/// Combinations refined at the least, if there are so many.
const LEAST_REFINED: usize = 4;

/// Spacing of the interpolated scan.
const SCAN: Angle = Angle::from_deg(1.0);

/// Steps of the refinement's quadratic model.
const MODEL_STEPS: [Angle; 3] = [
    Angle::from_deg(2.5),
    Angle::from_deg(1.2),
    Angle::from_deg(0.5),
];

/// Finds the best settings; returns every combination that was refined, best first, never empty.
pub(crate) fn search(request: &Request) -> Vec<Evaluation> {
    refined(request, ranked(request))
}

/// Looks at combinations exactly, refines and finishes them, as far as they can win; best first.
pub(super) fn refined(request: &Request, mut found: Vec<Evaluation>) -> Vec<Evaluation> {
    let (first, others) = MODEL_STEPS.split_at(1);

    // One exact look at each interpolated best, rolled as the best so far.
    let mut lead: Option<Evaluation> = None;
    let looked = climb(&mut found, LOOKED, |guess| {
        let mut settings = guess.settings;
        if let Some(lead) = &lead {
            settings.bar_roll = lead.settings.bar_roll;
        }
        let mut exact = evaluate(request, settings, Some(&guess.solved), Scope::Value);
        if lead.as_ref().is_none_or(|l| exact.value < l.value) {
            lead = Some(exact.clone());
        }
        if exact.broken > 0.0 && guess.value < exact.value {
            // A step aside may keep the limit.
            exact.value = guess.value;
        }
        exact
    });
    found.truncate(looked);
    let refined = climb(&mut found, REFINED, |at| refine(request, at, first));
    found.truncate(refined);
    climb(&mut found, FINISHED, |at| {
        let further = refine(request, at, others);
        if further.value < at.value {
            further
        } else {
            at.clone()
        }
    });
    order::sort(&mut found, |a, b| a.value.total_cmp(&b.value));
    found
}

/// Looks closer at one after the other, best first, until the next lies farther above the best than such looks have
/// been seen to lower a value, and than the `least`. Returns how many it looked at.
fn climb(
    found: &mut [Evaluation],
    least: f64,
    mut look: impl FnMut(&Evaluation) -> Evaluation,
) -> usize {
    order::sort(found, |a, b| a.value.total_cmp(&b.value));
    let (mut best, mut gain) = (f64::INFINITY, 0.0);
    for (count, at) in found.iter_mut().enumerate() {
        if count >= LEAST_REFINED && at.value > best + f64::max(least, MARGIN_OF_GAINS * gain) {
            return count;
        }
        let closer = look(at);
        // Only a value that was too high can hide a better combination.
        if closer.broken <= 0.0 {
            gain = f64::max(gain, at.value - closer.value);
        }
        best = best.min(closer.value);
        *at = closer;
    }
    found.len()
}

/// Rounds of refining for limits and solving from scratch, at the most; our choice, two nearly always suffice.
const ROUNDS: usize = 3;

/// The settings nearest to feasible ones, with the parts that the request keeps and any riser that it leaves open,
/// starting from another set-up and its postures; stops early once `enough` is broken at the most.
///
/// Quick rather than exact: it sees no hold, and of the risers only the best two by their first value. What it calls
/// inside the limits was solved from scratch.
pub(super) fn nearest(request: &Request, from: &Evaluation, enough: f64) -> Evaluation {
    let (sled, keep) = (request.sled, &request.keep);
    let settings = from.settings;
    let mut starts: Vec<Evaluation> = open(keep.riser, 0..sled.risers.len())
        .into_iter()
        .map(|riser| {
            let (low, high) = angle_bounds(request, riser);
            let at = Settings {
                riser,
                clamp: keep.clamp.unwrap_or(settings.clamp),
                bar: keep.bar.unwrap_or(settings.bar),
                seat: keep.seat.unwrap_or(settings.seat),
                stirrup: keep.stirrup.unwrap_or(settings.stirrup),
                riser_angle: settings.riser_angle.clamped(low, high),
                bar_roll: settings.bar_roll,
            };
            evaluate(request, at, Some(&from.solved), Scope::Limits)
        })
        .collect();
    order::sort(&mut starts, |a, b| a.value.total_cmp(&b.value));
    starts.truncate(2);
    let mut best: Option<Evaluation> = None;
    for mut start in starts {
        for _ in 0..ROUNDS {
            let (found, _) = refine_within(request, &start, &MODEL_STEPS, Scope::Limits, enough);
            // Solved from scratch: the seat sinks by what it carries there, and other basins may reach farther.
            let afresh = evaluate(request, found.settings, None, Scope::Limits);
            let kept = afresh.broken <= enough;
            let hopeless = found.broken > enough && found.value <= afresh.value;
            start = if hopeless { found } else { afresh };
            if kept || hopeless {
                break;
            }
        }
        if best.as_ref().is_none_or(|b| start.value < b.value) {
            best = Some(start);
        }
        if best.as_ref().is_some_and(|b| b.broken <= enough) {
            break;
        }
    }
    best.unwrap_or_else(|| from.clone())
}

/// Parts and positions that the request leaves open.
pub(super) fn open<T: Copy>(kept: Option<T>, all: impl Iterator<Item = T>) -> Vec<T> {
    kept.map_or_else(|| all.collect(), |one| vec![one])
}

/// Every combination at its interpolated best, in no order.
pub(super) fn ranked(request: &Request) -> Vec<Evaluation> {
    let (sled, keep) = (request.sled, &request.keep);
    let risers = open(keep.riser, 0..sled.risers.len());
    let clamps = open(keep.clamp, 0..sled.clamps.len());
    let bars = open(keep.bar, 0..sled.bars.len());
    let seats = open(keep.seat, 0..sled.seats.len());
    let stirrups = open(keep.stirrup, sled.stirrup.positions.iter().copied());
    let roll = keep
        .bar_roll
        .unwrap_or(Angle::ZERO.clamped(sled.bar_roll.0, sled.bar_roll.1));
    let length = |riser: usize, clamp: usize| sled.risers[riser].height + sled.clamps[clamp].stack;
    let lengths: Vec<f64> = risers
        .iter()
        .flat_map(|&r| clamps.iter().map(move |&c| (r, c)))
        .map(|(r, c)| length(r, c))
        .collect();
    let length_nodes = stock_nodes(&lengths, LENGTH_NODES);
    let bounds: Vec<f64> = risers
        .iter()
        .flat_map(|&r| {
            let (low, high) = angle_bounds(request, r);
            [low.rad(), high.rad()]
        })
        .collect();
    let angle_nodes = spread(&bounds, ANGLE_NODES);
    let stirrup_nodes = stock_nodes(&stirrups, STIRRUP_NODES);
    let mut found = Vec::new();
    for &bar in &bars {
        // Tables for each node along the stirrup's positions; each begins where its neighbour began.
        let tables = |seat: usize, scope: Scope| {
            let mut tables: Vec<Vec<Evaluation>> = Vec::with_capacity(stirrup_nodes.len());
            for &stirrup in &stirrup_nodes {
                let grid = Grid {
                    bar,
                    seat,
                    stirrup,
                    roll,
                    lengths: &length_nodes,
                    angles: &angle_nodes,
                };
                let near = tables.last().and_then(|table| table.first());
                let table = tabulate(request, &grid, scope, near.map(|e| &e.solved[..]));
                tables.push(table);
            }
            tables
        };
        let mut standing: Vec<(f64, Vec<Vec<Evaluation>>)> = Vec::new();
        for &seat in &seats {
            let raise = sled.seats[seat].height_over_line;
            if !standing.iter().any(|(r, _)| *r == raise) {
                standing.push((raise, tables(seat, Scope::Standing)));
            }
            let Some((_, stood)) = standing.iter().find(|(r, _)| *r == raise) else {
                continue;
            };
            let sat = tables(seat, Scope::Seated);
            for &stirrup in &stirrups {
                let at_stirrup = nearest_node(&stirrup_nodes, stirrup);
                let values: Vec<f64> = (0..length_nodes.len() * angle_nodes.len())
                    .map(|node| {
                        let along: Vec<f64> = stood
                            .iter()
                            .zip(&sat)
                            .map(|(a, b)| a[node].value + b[node].value)
                            .collect();
                        interpolate(&stirrup_nodes, &along, stirrup)
                    })
                    .collect();
                for &riser in &risers {
                    for &clamp in &clamps {
                        let along = across(&length_nodes, &values, length(riser, clamp));
                        let (low, high) = angle_bounds(request, riser);
                        let (riser_angle, estimate) = scan(&angle_nodes, &along, low, high);
                        let node = nearest_node(&length_nodes, length(riser, clamp))
                            * angle_nodes.len()
                            + nearest_node(&angle_nodes, riser_angle.rad());
                        let near = stood[at_stirrup][node]
                            .solved
                            .iter()
                            .zip(&sat[at_stirrup][node].solved)
                            .map(|(a, b)| a.or(*b));
                        let settings = Settings {
                            riser,
                            clamp,
                            bar,
                            seat,
                            stirrup,
                            riser_angle,
                            bar_roll: roll,
                        };
                        found.push(Evaluation::guessed(settings, estimate, near));
                    }
                }
            }
        }
    }
    found
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

/// Evaluates a part of the objective on the nodes, length by length, each node from its neighbour's postures, the first
/// from those that are given.
fn tabulate(
    request: &Request,
    grid: &Grid,
    scope: Scope,
    near: Option<&[Option<Solved>]>,
) -> Vec<Evaluation> {
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
            let near = before.map_or(near, |e| Some(&e.solved[..]));
            let found = evaluate(&at_length, settings, near, scope);
            table.push(found);
        }
    }
    table
}

/// The values themselves where they are few, else nodes spread over them.
fn stock_nodes(values: &[f64], most: usize) -> Vec<f64> {
    let mut distinct: Vec<f64> = values.to_vec();
    order::ascend(&mut distinct);
    distinct.dedup();
    if distinct.len() <= most {
        return distinct;
    }
    spread(&distinct, most)
}

/// Nodes from the least to the greatest value, so that interpolation errs evenly (Chebyshev's extrema).
fn spread(values: &[f64], most: usize) -> Vec<f64> {
    let low = values.iter().copied().fold(f64::INFINITY, f64::min);
    let high = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    if low >= high {
        return vec![low];
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

/// The exact best of one combination over riser angle and bar roll, as far as steps of these sizes find it.
pub(super) fn refine(request: &Request, from: &Evaluation, steps: &[Angle]) -> Evaluation {
    refine_within(request, from, steps, Scope::Value, f64::NEG_INFINITY).0
}

/// The same as nearly as neighbours are told apart, with the curvature there.
pub(super) fn refine_with_curvature(
    request: &Request,
    from: &Evaluation,
    steps: &[Angle],
) -> (Evaluation, Curvature) {
    refine_within(request, from, steps, Scope::Beside, f64::NEG_INFINITY)
}

/// Second derivatives of the objective by riser angle and bar roll, per rad².
pub(super) type Curvature = [[f64; 2]; 2];

/// Least and greatest riser angle and bar roll, rad.
pub(super) type Bounds = [(f64, f64); 2];

/// Within what riser angle and bar roll of settings may be set, teeth aside.
pub(super) fn bounds(request: &Request, settings: &Settings) -> Bounds {
    let angles = angle_bounds(request, settings.riser);
    let rolls = request
        .keep
        .bar_roll
        .map_or(request.sled.bar_roll, |kept| (kept, kept));
    [angles, rolls].map(|(low, high)| (low.rad(), high.rad()))
}

/// The same in one scope; ends early once `enough` limits are broken at the most.
fn refine_within(
    request: &Request,
    from: &Evaluation,
    steps: &[Angle],
    scope: Scope,
    enough: f64,
) -> (Evaluation, Curvature) {
    let bounds = bounds(request, &from.settings);
    let start = [
        from.settings.riser_angle.rad(),
        from.settings.bar_roll.rad(),
    ];
    let descent = Descent {
        request,
        steps,
        scope,
        enough,
    };
    let (free, curvature) = descent.run(from, start, bounds);
    let best = on_a_tooth(request, free, bounds, |settings, free, bounds| {
        let start = [settings.riser_angle.rad(), settings.bar_roll.rad()];
        descent.run(free, start, bounds).0
    });
    (best, curvature)
}

/// Where the riser's angle is set by teeth and left open: the best of those on both sides of a free best, each found from
/// settings on it within its own bounds; else the free one.
pub(super) fn on_a_tooth(
    request: &Request,
    free: Evaluation,
    bounds: Bounds,
    best_of: impl Fn(Settings, &Evaluation, Bounds) -> Evaluation,
) -> Evaluation {
    let allowed = request.sled.risers[free.settings.riser].angles;
    let RiserAngles::Teeth { step, .. } = allowed else {
        return free;
    };
    if request.keep.riser_angle.is_some() || step <= Angle::ZERO {
        return free;
    }
    let at = free.settings.riser_angle;
    let [below, above] = [at - step * 0.5, at + step * 0.5].map(|aside| {
        let tooth = allowed.nearest(aside);
        let settings = Settings {
            riser_angle: tooth,
            ..free.settings
        };
        best_of(settings, &free, [(tooth.rad(), tooth.rad()), bounds[1]])
    });
    if above.value < below.value {
        above
    } else {
        below
    }
}

/// A descent of one combination over riser angle and bar roll.
struct Descent<'a> {
    request: &'a Request<'a>,
    steps: &'a [Angle],
    scope: Scope,
    enough: f64,
}

impl Descent<'_> {
    /// Minimises over the box by quadratic models of shrinking steps; with the curvature of the last.
    fn run(&self, from: &Evaluation, start: [f64; 2], bounds: Bounds) -> (Evaluation, Curvature) {
        let at = |x: [f64; 2], near: &[Option<Solved>]| {
            let settings = Settings {
                riser_angle: Angle::from_rad(x[0]),
                bar_roll: Angle::from_rad(x[1]),
                ..from.settings
            };
            evaluate(self.request, settings, Some(near), self.scope)
        };
        let kept = |x: f64, i: usize| x.min(bounds[i].1).max(bounds[i].0);
        let mut x = [kept(start[0], 0), kept(start[1], 1)];
        let mut best = at(x, &from.solved);
        let mut curvature = [[0.0; 2]; 2];
        for step in self.steps {
            let step = step.rad();
            for _ in 0..3 {
                if best.broken <= self.enough {
                    return (best, curvature);
                }
                let centre = best.value;
                let mut gradient = [0.0; 2];
                curvature = [[0.0; 2]; 2];
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
        (best, curvature)
    }
}

/// Minimum of a quadratic model over the box and a trust region: the stationary point, or the best on each side.
pub(super) fn model_minimum(
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
