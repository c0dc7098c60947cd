//! The posture that suits a stance best on given settings: constrained least squares over the free variables.
//!
//! Sequential quadratic programming with the Gauss-Newton matrix: each step minimises the linearised residuals' squares
//! subject to the linearised limits, and is shortened until the merit (cost plus weighted violation) falls. Where the
//! linearised limits contradict each other, a slack common to all is paid for dearly, so that a near posture comes out
//! with what it breaks: near, not always the nearest. Several starts, since the problem is not convex; the best end wins,
//! ties to the first.
//!
//! Near a neighbour, and in every sink, steps also follow how limits and residuals bend: see [`Model::bend`] and
//! [`Watched`]. What is shown is solved without: in 3 of 120 cases it ended dearer by up to 3e-6.

use super::cost::{GAP_SCALE, LimitKind, TERM_NAMES, TERMS, gaps, limits, residuals};
use super::definition::Stance;
use super::kinematics::{Free, Place};
use super::pose::{Limit, LimitUnit, Pose, Posture, Status, Term};
use super::scalar::{Scalar, VARIABLES};
use super::step::{Breaks, Measured, Model, Step, apart, seeded, stepped};
use crate::program::quadratic::Constraint;
use crate::rider::Rider;
use crate::sled::Cockpit;
use crate::units::{Angle, STANDARD_GRAVITY};

/// Steps allowed from one start. Most starts need six to ten.
const STEPS: usize = 40;

/// Steps allowed on top to the best end that has not arrived.
const STEPS_FURTHER: usize = 100;

/// A step shorter than this ends the descent: 2e-3 mm or 1e-3 degrees. Costs are flat there: they are off by 1e-9.
const STEP_END: f64 = 2e-5;

/// The same where a neighbour is only to be ordered. Of 2904 postures begun 3° of riser and 2° of roll away, costs were off
/// by 3e-6 at the median, 1e-4 at the 90th percentile and 2e-3 at the most, and no limit broke by more than 5e-4.
const STEP_END_ROUGHLY: f64 = 5e-3;

/// A descent this close (2 mm or 1 degree in every variable) to the end of an earlier one has the same end.
const SAME_BASIN: f64 = 0.02;

/// Longest step: 250 mm or 2.5 rad in one variable keeps the linearisation honest.
const STEP_MOST: f64 = 2.5;

/// Added to the diagonal so that a direction without curvature stays put.
const DAMPING: f64 = 1e-6;

/// Least weight of broken limits in the merit, and how much of a step's weight the next one keeps: the weight that a
/// slack once needed would hold back every step along a curved limit, and none kept would let steps undo each other.
const LEAST_WEIGHT: f64 = 10.0;
const WEIGHT_KEPT: f64 = 0.3;

/// A step that the merit refuses is shortened to this share, so often at the most; our choice.
const SHORTER: f64 = 0.4;
const SHORTENED: usize = 7;

/// Cost from which a posture is so cramped that it may lie in a corner from which a better one is not seen; our choice,
/// above what fitted riders pay.
const CRAMPED: f64 = 16.0;

/// A limit broken by less than this (degrees, or twentieths of a millimetre at [`GAP_SCALE`]) is kept.
const KEPT: f64 = 1e-4;

/// The same where a neighbour is only to be ordered: what a level can show. Our choice.
const KEPT_ROUGHLY: f64 = 0.01;

/// A limit this near (same units) counts as touched.
const TOUCHED: f64 = 1e-3;

/// Limits farther than this (degrees, or [`GAP_SCALE`] mm) are left out of a step's program; the merit guards them.
const FAR: f64 = 60.0;

/// Sinking: how much of the comfort is kept to decide between postures of equal sink, the height that the hips are
/// drawn to (below any seat, so never reached), and the sink that counts as one unit of discomfort. Our choice: a
/// millimetre of sink outweighs all comfort terms, yet the pull stays of their size so that the steps converge.
const SINK_COMFORT: f64 = 0.1;
const SINK_TO: f64 = 200.0;
const SINK_UNIT: f64 = 30.0;

/// Share of the rider's weight on the seat before the working load is known; our choice, between the 60 and 75 % of
/// common practice.
pub const SEAT_SHARE_AT_FIRST: f64 = 0.70;

/// What a posture is solved for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Aim {
    /// Least cost.
    Comfort,
    /// The hips as low as the limits allow, otherwise as comfortable as can be.
    Sink,
    /// The same, but only as far as it counts: any posture will do whose hips are as low as this z, mm.
    SinkTo(f64),
    /// Least cost with the hips no higher than this z, mm.
    HipsAtMost(f64),
    /// Least cost with the hips at this x and z to [`HIPS_AT`], mm; standing stances alone.
    HipsAt(f64, f64),
}

/// How near the hips must come to where they are aimed at, mm: what a hand's breadth on a drawing cannot show.
pub const HIPS_AT: f64 = 1.0;

/// A solved posture in the solver's own terms: enough to start a neighbour from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Settled {
    pub(super) free: Free<f64>,
    /// Posture cost, without the aim's own term.
    pub cost: f64,
    /// Largest broken limit (degrees, or units of 5 mm); 0 where all are kept.
    pub broken: f64,
}

impl Settled {
    /// The values of the free variables.
    pub fn free(&self) -> Free<f64> {
        self.free
    }

    /// Its free variables moved by as much as another's moved: where a neighbour may start.
    pub fn shifted(&self, from: &Self, to: &Self) -> Self {
        let moved = |own: f64, from: f64, to: f64| own + to - from;
        let (own, a, b) = (&self.free, &from.free, &to.free);
        Self {
            free: Free {
                hip_x: moved(own.hip_x, a.hip_x, b.hip_x),
                hip_z_or_slide: moved(own.hip_z_or_slide, a.hip_z_or_slide, b.hip_z_or_slide),
                lean: moved(own.lean, a.lean, b.lean),
                swing: moved(own.swing, a.swing, b.swing),
                heel: moved(own.heel, a.heel, b.heel),
                splay: moved(own.splay, a.splay, b.splay),
            },
            ..*self
        }
    }

    /// Whether every hard limit is kept.
    pub fn feasible(&self) -> bool {
        self.broken <= KEPT
    }
}

/// One stance of one rider on one cockpit, ready to be solved.
#[derive(Clone, Copy, Debug)]
pub struct Problem<'a> {
    place: Place<'a>,
}

impl<'a> Problem<'a> {
    /// Sets the problem up; `seat_share` is the share of the riding weight on the seat, used when seated.
    pub fn new(
        rider: &'a Rider,
        cockpit: &'a Cockpit<'a>,
        stance: &'a Stance,
        seat_share: f64,
    ) -> Self {
        let sink = if stance.contacts.seated {
            cockpit
                .foam
                .deflection(seat_share * rider.mass() * STANDARD_GRAVITY)
        } else {
            0.0
        };
        Self {
            place: Place {
                rider,
                cockpit,
                stance,
                sink,
                slide: 0.0,
            },
        }
    }

    /// Solves from several starts that suit the feet; where none keeps the limits with ease, from others that suit the
    /// hands too. Out of reach, the posture is a near one, not surely the nearest.
    pub fn solve(&self, aim: Aim) -> Settled {
        let starts = self.starts();
        let nowhere = Settled {
            free: starts[0],
            cost: f64::INFINITY,
            broken: f64::INFINITY,
        };
        let mut best = (nowhere, true);
        let mut ends = Vec::with_capacity(starts.len());
        let mut best_of = |starts: &[Free<f64>]| {
            for &start in starts {
                let end = self.descend_within(start, aim, STEPS, STEP_END, &ends);
                if better(&end.0, &best.0) {
                    best = end;
                }
                if end.1 && end.0.feasible() {
                    ends.push(end.0);
                }
            }
            best
        };
        let (mut end, mut arrived) = best_of(&starts);
        if !end.feasible() || end.cost > CRAMPED {
            // The feet led nowhere, or into a corner: start from the hands.
            (end, arrived) = best_of(&self.hands_first());
        }
        if end.feasible() && !arrived {
            // A way along a crease is long: the winner goes on from where it stopped.
            let (further, _) = self.descend_within(end.free, aim, STEPS_FURTHER, STEP_END, &[]);
            if better(&further, &end) {
                end = further;
            }
        }
        end
    }

    /// Solves from the posture of a neighbouring problem.
    pub fn solve_near(&self, neighbour: &Settled, aim: Aim) -> Settled {
        self.descend(neighbour.free, aim)
    }

    /// The same as [`Problem::solve_near`], ending sooner: the cost is mostly off by less than 1e-4, for what is only to be
    /// ordered.
    pub fn solve_near_roughly(&self, neighbour: &Settled, aim: Aim) -> Settled {
        self.descend_within(neighbour.free, aim, STEPS, STEP_END_ROUGHLY, &[])
            .0
    }

    /// A posture as it is given, unsolved: what it costs and what it breaks.
    pub fn at(&self, free: Free<f64>) -> Settled {
        self.measure(&free, Aim::Comfort).settled(free)
    }

    /// A pose of this problem, or of a neighbour with the same feet, as a start for others.
    pub fn from_pose(&self, pose: &Pose) -> Settled {
        let (p, a) = (&pose.points, &pose.angles);
        let seated = self.place.stance.contacts.seated;
        self.at(Free {
            hip_x: p.hip.x,
            hip_z_or_slide: if seated {
                libm::hypot(p.toe_stop.x - p.toe.x, p.toe_stop.z - p.toe.z)
            } else {
                p.hip.z
            },
            lean: a.trunk.rad(),
            swing: a.elbow_swing.rad(),
            heel: a.heel_lift.rad(),
            splay: a.knee_splay.rad(),
        })
    }

    /// The pose of a solved posture.
    pub fn pose(&self, settled: &Settled) -> Pose {
        self.place.pose(&settled.free)
    }

    /// The whole account of a solved posture.
    pub fn posture(&self, settled: &Settled) -> Posture {
        let chain = self.place.chain(&settled.free);
        let r = residuals(&self.place, &chain, &settled.free);
        let mut touched = Vec::new();
        let mut broken = Vec::new();
        limits(&self.place, &chain, &settled.free, |kind, value| {
            if value.is_nan() || value < -KEPT {
                broken.push(self.broken(kind, value, settled));
            } else if value < TOUCHED && !kind.is_contact() {
                let unit = if kind.is_gap() {
                    LimitUnit::Millimetres
                } else {
                    LimitUnit::Degrees
                };
                touched.push(Limit {
                    name: kind.words(),
                    broken_by: 0.0,
                    unit,
                });
            }
        });
        let mut clearances = Vec::new();
        gaps(&self.place, &chain, |name, gap| {
            clearances.push((name, gap))
        });
        Posture {
            pose: self.place.pose(&settled.free),
            status: match (broken.is_empty(), touched.is_empty()) {
                (false, _) => Status::OutOfReach(broken),
                (true, false) => Status::AtLimit(touched),
                (true, true) => Status::Solved,
            },
            cost: r.iter().map(|x| x * x).sum(),
            terms: TERM_NAMES
                .iter()
                .zip(r)
                .map(|(&name, x)| Term { name, value: x * x })
                .collect(),
            clearances,
        }
    }

    /// A broken limit in people's units: a straight limb that does not reach is told in millimetres.
    fn broken(&self, kind: LimitKind, value: f64, settled: &Settled) -> Limit {
        let links = &self.place.rider.links;
        let p = self.place.pose(&settled.free).points;
        let r = &self.place.stance.ranges;
        let longest =
            |a: f64, b: f64, least: Angle| (a * a + b * b + 2.0 * a * b * least.cos()).sqrt();
        let short = match kind {
            LimitKind::Least("elbow flexion") => Some((
                (p.grip - p.shoulder).norm() - longest(links.upper_arm, links.forearm, r.elbow.low),
                "arms too short",
            )),
            LimitKind::Least("knee flexion") => Some((
                (p.hip - p.ankle).norm() - longest(links.shank, links.thigh, r.knee.low),
                "legs too short",
            )),
            _ => None,
        };
        if let Some((broken_by, name)) = short {
            return Limit {
                name: name.to_owned(),
                broken_by,
                unit: LimitUnit::Millimetres,
            };
        }
        if kind.is_gap() {
            Limit {
                name: kind.words(),
                broken_by: -value * GAP_SCALE,
                unit: LimitUnit::Millimetres,
            }
        } else {
            Limit {
                name: kind.words(),
                broken_by: -value,
                unit: LimitUnit::Degrees,
            }
        }
    }

    /// The posture of the preferred angles, hands aside.
    fn preferred(&self) -> Free<f64> {
        let r = &self.place.stance.ranges;
        let (lean, swing) = (r.trunk.preferred.rad(), r.elbow_swing.preferred.rad());
        let splay = r.knee_splay.preferred.rad();
        let links = &self.place.rider.links;
        let probe = Free {
            hip_x: 0.0,
            hip_z_or_slide: 0.0,
            lean,
            swing,
            heel: 0.0,
            splay,
        };
        let ankle = self.place.chain(&probe).ankle;
        let shank_lean = r.ankle.preferred - self.place.cockpit.sled.board.pitch;
        let thigh_lean = shank_lean - r.knee.preferred;
        let hip_x = ankle.x + links.shank * shank_lean.sin() + links.thigh * thigh_lean.sin();
        let hip_z = ankle.z + links.shank * shank_lean.cos() + links.thigh * thigh_lean.cos();
        let seated = self.place.stance.contacts.seated;
        Free {
            hip_x,
            hip_z_or_slide: if seated { 0.0 } else { hip_z },
            lean,
            swing,
            heel: 0.0,
            splay,
        }
    }

    /// Where the descents start: the preferred angles, and hips and lean to both sides of them.
    fn starts(&self) -> [Free<f64>; 3] {
        let middle = self.preferred();
        let shifted = |dx: f64, dz: f64, lean: f64| Free {
            hip_x: middle.hip_x + dx,
            hip_z_or_slide: if self.place.stance.contacts.seated {
                -dz
            } else {
                middle.hip_z_or_slide + dz
            },
            lean: middle.lean + Angle::from_deg(lean).rad(),
            ..middle
        };
        [
            middle,
            shifted(-140.0, -50.0, 18.0),
            shifted(110.0, -20.0, -12.0),
        ]
    }

    /// Starts that suit the arms: the shoulder behind the grip by the preferred elbow, at several heights and leans.
    fn hands_first(&self) -> [Free<f64>; 6] {
        let middle = self.preferred();
        let (r, links) = (&self.place.stance.ranges, &self.place.rider.links);
        let (a, b) = (links.upper_arm, links.forearm);
        let wide = self.place.cockpit.grip.y - links.shoulder_half;
        let reach2 = a * a + b * b + 2.0 * a * b * r.elbow.preferred.cos() - wide * wide;
        let reach = reach2.max(0.0).sqrt();
        let grip = self.place.cockpit.grip;
        let slide = 0.5 * self.place.stance.contacts.foot_slide_max;
        [
            (25.0, 0.0),
            (60.0, 0.0),
            (25.0, 20.0),
            (60.0, -15.0),
            (5.0, 40.0),
            (75.0, 20.0),
        ]
        .map(|(up, lean)| {
            let (up, lean) = (
                Angle::from_deg(up),
                r.trunk.preferred + Angle::from_deg(lean),
            );
            let lean = lean.clamped(r.trunk.low, r.trunk.high);
            let shoulder_x = grip.x - reach * up.cos() - links.protraction * lean.cos();
            let shoulder_z = grip.z + reach * up.sin() + links.protraction * lean.sin();
            Free {
                hip_x: shoulder_x - links.trunk * lean.sin(),
                hip_z_or_slide: if self.place.stance.contacts.seated {
                    slide
                } else {
                    shoulder_z - links.trunk * lean.cos()
                },
                lean: lean.rad(),
                ..middle
            }
        })
    }

    fn descend(&self, start: Free<f64>, aim: Aim) -> Settled {
        self.descend_within(start, aim, STEPS, STEP_END, &[]).0
    }

    /// Descends from a start until a step is shorter than `least`; whether it arrived before its steps ran out. Once it
    /// comes [`SAME_BASIN`] close to one of the `ends` of earlier descents, it ends there too.
    fn descend_within(
        &self,
        start: Free<f64>,
        aim: Aim,
        steps: usize,
        least: f64,
        ends: &[Settled],
    ) -> (Settled, bool) {
        let pinned = self.pinned();
        let roughly = least > STEP_END;
        let follows = roughly || matches!(aim, Aim::Sink | Aim::SinkTo(_));
        let mut at = start;
        if pinned[1] {
            at.hip_z_or_slide = 0.0;
        }
        if pinned[4] {
            at.heel = 0.0;
        }
        if let Aim::SinkTo(_) = aim {
            let here = self.measure(&at, aim);
            if deep_enough(aim, &here, roughly) {
                return (here.settled(at), true);
            }
        }
        let mut weight = LEAST_WEIGHT;
        let mut model = Model::new();
        let mut ahead = Model::new();
        let mut here = self.linearise(&at, aim, &pinned, &mut model);
        let mut watched: Option<Watched> = None;
        let (mut trusting, mut bent) = (follows, false);
        let mut arrived = false;
        for _ in 0..steps {
            if deep_enough(aim, &here, roughly) {
                return (here.settled(at), true);
            }
            let Some(mut step) = model.step() else {
                break;
            };
            weight = (WEIGHT_KEPT * weight)
                .max(1.5 * step.price())
                .max(LEAST_WEIGHT);
            let from = watched.as_ref().map_or(&here, |w| &w.here);
            let merit = from.aimed + weight * from.violation;
            let falls = |there: &Measured| {
                let next = there.aimed + weight * there.violation;
                next < merit || (next - merit).abs() <= 1e-13 * merit.abs()
            };
            let mut longest = step.longest();
            let mut share = f64::min(1.0, STEP_MOST / longest);
            let next = stepped(&at, &step.to, share);
            // The whole step is nearly always taken and then linearised: that measures it on the way.
            let linearised = longest * share >= least;
            if roughly && !linearised && watched.is_none() {
                // So near, the model is as good as a look.
                let (gain, broken) = model.foretold(&step);
                let cost = match aim {
                    Aim::Sink | Aim::SinkTo(_) => here.cost,
                    Aim::Comfort | Aim::HipsAtMost(_) | Aim::HipsAt(..) => here.cost + gain,
                };
                let end = Settled {
                    free: next,
                    cost,
                    broken,
                };
                return (end, true);
            }
            let there = if linearised {
                self.linearise(&next, aim, &pinned, &mut ahead)
            } else {
                self.measure(&next, aim)
            };
            let mut moved = falls(&there);
            if moved {
                (at, here, watched) = (next, there, None);
            } else if linearised && trusting && watched.is_none() {
                let before = core::mem::replace(&mut at, next);
                let here = core::mem::replace(&mut here, there);
                watched = Some(Watched {
                    at: before,
                    here,
                    step: step.clone(),
                    share,
                });
            } else {
                if let Some(before) = watched.take() {
                    trusting = false;
                    (at, here, step, share) = (before.at, before.here, before.step, before.share);
                    longest = step.longest();
                }
                for _ in 0..SHORTENED {
                    share *= SHORTER;
                    let next = stepped(&at, &step.to, share);
                    let there = self.measure(&next, aim);
                    moved = falls(&there);
                    if moved {
                        (at, here) = (next, there);
                    }
                    if moved || roughly && longest * share < least {
                        break;
                    }
                }
                // A model that was bent may have led astray: not so where it starts afresh.
                arrived = if moved {
                    longest * share < least
                } else {
                    !bent
                };
                if arrived {
                    break;
                }
                self.linearise(&at, aim, &pinned, &mut model);
                bent = false;
                continue;
            }
            if !linearised {
                arrived = true;
                break;
            }
            if let Some(end) = ends.iter().find(|end| apart(&at, &end.free) < SAME_BASIN) {
                return (*end, true);
            }
            bent = follows && ahead.bend(&model, &step, share);
            core::mem::swap(&mut model, &mut ahead);
        }
        if let Some(before) = watched {
            (at, here) = (before.at, before.here);
        }
        (here.settled(at), arrived)
    }

    /// Which variables this stance does not have.
    fn pinned(&self) -> [bool; VARIABLES] {
        let c = &self.place.stance.contacts;
        [
            false,
            c.seated && c.foot_slide_max <= 0.0,
            false,
            false,
            c.heel_lift_max <= Angle::ZERO,
            false,
        ]
    }

    /// Residuals of the aim: the posture's own, and the pull of the hips to the ground.
    fn aimed<T: Scalar>(&self, r: &[T; TERMS], hip_z: T, aim: Aim) -> [T; TERMS + 1] {
        let mut all = [T::constant(0.0); TERMS + 1];
        let (comfort, pull) = match aim {
            Aim::Sink | Aim::SinkTo(_) => (SINK_COMFORT, (hip_z - SINK_TO) * (1.0 / SINK_UNIT)),
            Aim::Comfort | Aim::HipsAtMost(_) | Aim::HipsAt(..) => (1.0, T::constant(0.0)),
        };
        for (out, &x) in all.iter_mut().zip(r) {
            *out = x * comfort;
        }
        all[TERMS] = pull;
        all
    }

    fn visit_limits<T: Scalar>(
        &self,
        chain: &super::kinematics::Chain<T>,
        free: &Free<T>,
        aim: Aim,
        mut visit: impl FnMut(T),
    ) {
        limits(&self.place, chain, free, |_, value| visit(value));
        let mut within = |gap: T| visit(gap * (1.0 / GAP_SCALE));
        match aim {
            Aim::Comfort | Aim::Sink | Aim::SinkTo(_) => {}
            Aim::HipsAtMost(z) => within(-chain.hip.z + z),
            Aim::HipsAt(x, z) => {
                within(chain.hip.x + (HIPS_AT - x));
                within(-chain.hip.x + (HIPS_AT + x));
                within(chain.hip.z + (HIPS_AT - z));
                within(-chain.hip.z + (HIPS_AT + z));
            }
        }
    }

    fn measure(&self, at: &Free<f64>, aim: Aim) -> Measured {
        let chain = self.place.chain(at);
        let own = residuals(&self.place, &chain, at);
        let aimed = self.aimed(&own, chain.hip.z, aim);
        let mut breaks = Breaks::default();
        self.visit_limits(&chain, at, aim, |value| breaks.count(value));
        Measured::new(&own, &aimed, &breaks, chain.hip.z)
    }

    /// Makes the model of the aim and its limits at given values, and measures them as [`Self::measure`] does.
    fn linearise(
        &self,
        at: &Free<f64>,
        aim: Aim,
        pinned: &[bool; VARIABLES],
        model: &mut Model,
    ) -> Measured {
        let free = seeded(at, pinned);
        let chain = self.place.chain(&free);
        let own = residuals(&self.place, &chain, &free);
        let aimed = self.aimed(&own, chain.hip.z, aim);
        let mut hessian = [[0.0; VARIABLES]; VARIABLES];
        let mut gradient = [0.0; VARIABLES];
        for x in &aimed {
            for i in 0..VARIABLES {
                gradient[i] += 2.0 * x.v * x.d[i];
                for (h, d) in hessian[i].iter_mut().zip(&x.d).take(i + 1) {
                    *h += 2.0 * x.d[i] * d;
                }
            }
        }
        for i in 0..VARIABLES {
            hessian[i][i] += if pinned[i] { 1.0 } else { DAMPING };
        }
        (model.hessian, model.gradient) = (hessian, gradient);
        model.rows.clear();
        model.limits.clear();
        let mut limit = 0;
        let mut breaks = Breaks::default();
        self.visit_limits(&chain, &free, aim, |value| {
            breaks.count(value.v);
            if value.v < FAR {
                model.rows.push(Constraint::new(value.d, -value.v));
                model.limits.push(limit);
            }
            limit += 1;
        });
        Measured::new(
            &own.map(|x| x.v),
            &aimed.map(|x| x.v),
            &breaks,
            chain.hip.z.v,
        )
    }
}

/// Whether a sink may end here.
fn deep_enough(aim: Aim, here: &Measured, roughly: bool) -> bool {
    let kept = if roughly { KEPT_ROUGHLY } else { KEPT };
    matches!(aim, Aim::SinkTo(z) if here.hip_z <= z && here.broken <= kept)
}

/// A feasible end beats an infeasible one; then the less broken; then the cheaper.
fn better(a: &Settled, b: &Settled) -> bool {
    match (a.feasible(), b.feasible()) {
        (true, true) => a.cost < b.cost - 1e-9,
        (false, false) => a.broken < b.broken - 1e-6,
        (feasible, _) => feasible,
    }
}

/// Where a whole step was taken although the merit refused it: along a bent limit it breaks it, and the next step mends
/// that (the watchdog of Chamberlain, Powell, Lemaréchal and Pedersen 1982, Math. Program. Study 16:1; from memory). If it
/// does not, the descent comes back here, shortens the step, and does so no more.
struct Watched {
    at: Free<f64>,
    here: Measured,
    step: Step,
    share: f64,
}

impl Measured {
    fn settled(&self, free: Free<f64>) -> Settled {
        Settled {
            free,
            cost: self.cost,
            broken: self.broken,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rider::{RiderProfile, Sex};
    use crate::sled::{Settings, Sled, SledProfile};

    fn sled() -> Sled {
        let text = crate::sled::profile::SHIPPED[0].text;
        SledProfile::read(text)
            .expect("shipped")
            .resolve()
            .expect("checked")
    }

    fn settings() -> Settings {
        Settings {
            riser: 2,
            clamp: 0,
            bar: 0,
            seat: 0,
            stirrup: -80.0,
            riser_angle: Angle::from_deg(12.0),
            bar_roll: Angle::ZERO,
        }
    }

    #[test]
    fn the_jacobian_is_that_of_finite_differences() {
        let rider = RiderProfile::of(Sex::Male, 1780.0, 80.0)
            .build()
            .expect("built")
            .rider;
        let sled = sled();
        let cockpit = Cockpit::new(&sled, settings());
        let at = Free {
            hip_x: -160.0,
            hip_z_or_slide: 830.0,
            lean: 0.4,
            swing: 0.6,
            heel: 0.1,
            splay: 0.2,
        };
        let seated = Free {
            hip_z_or_slide: 30.0,
            hip_x: -402.0,
            heel: 0.0,
            ..at
        };
        for stance in Stance::shipped().expect("shipped") {
            let at = if stance.contacts.seated { seated } else { at };
            let problem = Problem::new(&rider, &cockpit, &stance, 0.7);
            let free = seeded(&at, &[false; VARIABLES]);
            let chain = problem.place.chain(&free);
            let exact = residuals(&problem.place, &chain, &free);
            let gathered = |f: &Free<f64>| {
                let chain = problem.place.chain(f);
                let mut all = residuals(&problem.place, &chain, f).to_vec();
                limits(&problem.place, &chain, f, |_, value| all.push(value));
                all
            };
            let mut slopes: Vec<[f64; VARIABLES]> = exact.iter().map(|e| e.d).collect();
            limits(&problem.place, &chain, &free, |_, value| {
                slopes.push(value.d)
            });
            for i in 0..VARIABLES {
                let mut up = [0.0; VARIABLES];
                up[i] = 1e-6;
                let (a, b) = (
                    gathered(&stepped(&at, &up, 1.0)),
                    gathered(&stepped(&at, &up, -1.0)),
                );
                for (row, slope) in slopes.iter().enumerate() {
                    let measured = (a[row] - b[row]) / 2e-6;
                    let close = (measured - slope[i]).abs() < 1e-4 * (1.0 + slope[i].abs());
                    assert!(
                        close,
                        "{} row {row} by {i}: {measured} against {}",
                        stance.name, slope[i]
                    );
                }
            }
        }
    }

    #[test]
    fn links_keep_their_lengths() {
        let rider = RiderProfile::of(Sex::Female, 1650.0, 62.0)
            .build()
            .expect("built")
            .rider;
        let sled = sled();
        let cockpit = Cockpit::new(&sled, settings());
        for stance in Stance::shipped().expect("shipped") {
            let problem = Problem::new(&rider, &cockpit, &stance, 0.7);
            let posture = problem.posture(&problem.solve(Aim::Comfort));
            let p = posture.pose.points;
            let l = &rider.links;
            for (a, b, length) in [
                (p.ankle, p.knee, l.shank),
                (p.knee, p.hip, l.thigh),
                (p.shoulder, p.elbow, l.upper_arm),
                (p.elbow, p.grip, l.forearm),
            ] {
                assert!(
                    ((a - b).norm() - length).abs() < 1e-6,
                    "{}: {a:?} to {b:?}",
                    stance.name
                );
            }
        }
    }
}
