//! One descent from a start to a posture: sequential quadratic programming with the Gauss-Newton matrix.
//!
//! Each step minimises the linearised residuals' squares subject to the linearised limits, and is shortened until the merit
//! (cost plus weighted violation) falls. Where the linearised limits contradict each other, a slack common to all is paid
//! for dearly, so that a near posture comes out with what it breaks: near, not always the nearest.
//!
//! Where steps are short they also follow how limits and residuals bend: see [`Model::bend`] and [`Watched`]. Far from an
//! end that led astray, and that an end is reached is for the matrix to say that was not bent: a bent one may be too stiff.
//! Of 13 299 postures within their limits 63 came out cheaper by more than 1e-6 than without and 16 dearer, none by more
//! than 4e-3, at corners of the sled's outline, where two ends lie side by side.

use super::cost::{GAP_SCALE, TERMS, limits, residuals};
use super::kinematics::{Chain, Free};
use super::posture::{Aim, HIPS_AT, Problem, Settled};
use super::scalar::{Scalar, VARIABLES};
use super::step::{Breaks, Measured, Model, Step, apart, seeded, stepped};
use crate::program::quadratic::Constraint;
use crate::units::Angle;

/// A step shorter than this ends the descent: 2e-3 mm or 1e-3 degrees. Costs are flat there: they are off by 1e-9.
pub(super) const STEP_END: f64 = 2e-5;

/// The same where a neighbour is only to be ordered. Of 2904 postures begun 3° of riser and 2° of roll away, costs were off
/// by 3e-6 at the median, 1e-4 at the 90th percentile and 2e-3 at the most, and no limit broke by more than 5e-4.
pub(super) const STEP_END_ROUGHLY: f64 = 5e-3;

/// A descent this close (2 mm or 1 degree in every variable) to the end of an earlier one has the same end.
const SAME_BASIN: f64 = 0.02;

/// Longest step: 250 mm or 2.5 rad in one variable keeps the linearisation honest.
const STEP_MOST: f64 = 2.5;

/// Steps up to this (10 mm or 6 degrees) are short: bent models and watched steps begin. With 0.5, descents from far were
/// led astray more often; with 0.05 they take as long. A sink, and what is only to be ordered, follow any step: held to
/// this, a band of drawn riders took a fifth longer.
const SHORT: f64 = 0.1;

/// Added to the diagonal so that a direction without curvature stays put.
const DAMPING: f64 = 1e-6;

/// Least weight of broken limits in the merit, and how much of a step's weight the next one keeps: the weight that a
/// slack once needed would hold back every step along a curved limit, and none kept would let steps undo each other.
const LEAST_WEIGHT: f64 = 10.0;
const WEIGHT_KEPT: f64 = 0.3;

/// A step that the merit refuses is shortened to this share, so often at the most; our choice.
const SHORTER: f64 = 0.4;
const SHORTENED: usize = 7;

/// A limit broken by less than this (degrees, or twentieths of a millimetre at [`GAP_SCALE`]) is kept.
pub(super) const KEPT: f64 = 1e-4;

/// The same where a neighbour is only to be ordered: what a level can show. Our choice.
const KEPT_ROUGHLY: f64 = 0.01;

/// Limits farther than this (degrees, or [`GAP_SCALE`] mm) are left out of a step's program; the merit guards them.
const FAR: f64 = 60.0;

/// Sinking: how much of the comfort is kept to decide between postures of equal sink, the height that the hips are
/// drawn to (below any seat, so never reached), and the sink that counts as one unit of discomfort. Our choice: a
/// millimetre of sink outweighs all comfort terms, yet the pull stays of their size so that the steps converge.
const SINK_COMFORT: f64 = 0.1;
const SINK_TO: f64 = 200.0;
const SINK_UNIT: f64 = 30.0;

impl Problem<'_> {
    /// Descends from a start until a step is shorter than `least`; whether it arrived before its steps ran out. Once it
    /// comes [`SAME_BASIN`] close to one of the `ends` of earlier descents, it ends there too.
    pub(super) fn descend_within(
        &self,
        start: Free<f64>,
        aim: Aim,
        steps: usize,
        least: f64,
        ends: &[Settled],
    ) -> (Settled, bool) {
        let pinned = self.pinned();
        let roughly = least > STEP_END;
        let short = if roughly || matches!(aim, Aim::Sink | Aim::SinkTo(_)) {
            f64::INFINITY
        } else {
            SHORT
        };
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
        let (mut trusting, mut bent) = (true, false);
        let mut arrived = false;
        for _ in 0..steps {
            if deep_enough(aim, &here, roughly) {
                return (here.settled(at), true);
            }
            let Some(mut step) = model.step() else {
                break;
            };
            if bent && !roughly && step.longest() < least {
                model.unbend();
                bent = false;
                continue;
            }
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
            } else if linearised && trusting && longest <= short && watched.is_none() {
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
            bent = longest <= short && ahead.bend(&model, &step, share);
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
        chain: &Chain<T>,
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

    pub(super) fn measure(&self, at: &Free<f64>, aim: Aim) -> Measured {
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
    pub(super) fn settled(&self, free: Free<f64>) -> Settled {
        Settled {
            free,
            cost: self.cost,
            broken: self.broken,
        }
    }
}
