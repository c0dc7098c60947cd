//! One step of a posture's descent: the linearised model, what free variables cost, and the quadratic program between.

use super::kinematics::Free;
use super::scalar::{Dual, Scalar, VARIABLES};
use crate::program::quadratic::{self, Constraint, QuadraticProgram};

/// Millimetres that count as one unit of step, so that hips and angles are of one size.
const HIP_UNIT: f64 = 100.0;

/// Price of a unit of the common slack, and its curvature. Far above any multiplier of a cost measured in tolerances.
const SLACK_PRICE: (f64, f64) = (1e5, 1.0);

/// Share of a model's curvature along a step that must be left where the step showed less (Powell 1978, Math. Program.
/// 14:224, from memory).
const LEAST_CURVATURE: f64 = 0.2;

/// Gauss-Newton matrix and gradient of an aim, and its linearised limits.
pub(super) struct Model {
    pub(super) hessian: [[f64; VARIABLES]; VARIABLES],
    /// The matrix before it was bent.
    plain: [[f64; VARIABLES]; VARIABLES],
    pub(super) gradient: [f64; VARIABLES],
    pub(super) rows: Vec<Constraint<VARIABLES>>,
    /// Which limit each row is, by its place among all.
    pub(super) limits: Vec<usize>,
}

/// The solution of a step's program.
#[derive(Clone)]
pub(super) struct Step {
    pub(super) to: [f64; VARIABLES],
    /// Active limits with their multipliers; `None` where the limits contradict each other.
    active: Option<([(usize, f64); VARIABLES], usize)>,
}

impl Step {
    /// Its greatest part.
    pub(super) fn longest(&self) -> f64 {
        self.to.iter().fold(0.0, |m: f64, s| m.max(s.abs()))
    }

    /// The largest multiplier: what a broken limit must cost at the least.
    pub(super) fn price(&self) -> f64 {
        match &self.active {
            Some((active, count)) => active[..*count].iter().fold(0.0, |m, a| f64::max(m, a.1)),
            None => SLACK_PRICE.0,
        }
    }
}

impl Model {
    pub(super) fn new() -> Self {
        Self {
            hessian: [[0.0; VARIABLES]; VARIABLES],
            plain: [[0.0; VARIABLES]; VARIABLES],
            gradient: [0.0; VARIABLES],
            rows: Vec::with_capacity(48),
            limits: Vec::with_capacity(48),
        }
    }

    /// Slope of the aim less the active limits' shares of it.
    fn slope(&self, active: &[(usize, f64)]) -> Option<[f64; VARIABLES]> {
        let mut slope = self.gradient;
        for (limit, multiplier) in active {
            let row = self.limits.iter().position(|l| l == limit)?;
            for (s, a) in slope.iter_mut().zip(self.rows[row].normal()) {
                *s -= multiplier * a;
            }
        }
        Some(slope)
    }

    /// Gives the matrix the curvature that a share of a step from another model to this one showed; whether it could.
    ///
    /// Gauss-Newton's matrix knows neither how residuals bend nor how limits do; where a limit is dear, steps without it
    /// are twice too long and shrink by half from one to the next. Damped BFGS, once from Gauss-Newton's matrix (Powell
    /// 1978; Nocedal and Wright 2006, Numerical Optimization, procedure 18.2).
    pub(super) fn bend(&mut self, before: &Self, step: &Step, share: f64) -> bool {
        let Some((active, count)) = &step.active else {
            return false;
        };
        let active = &active[..*count];
        let (Some(from), Some(to)) = (before.slope(active), self.slope(active)) else {
            return false;
        };
        let s = step.to.map(|x| x * share);
        let own: [f64; VARIABLES] = core::array::from_fn(|i| {
            let of = |(k, s): (usize, &f64)| self.hessian[i.max(k)][i.min(k)] * s;
            s.iter().enumerate().map(of).sum()
        });
        let dot = |a: &[f64; VARIABLES], b: &[f64; VARIABLES]| -> f64 {
            a.iter().zip(b).map(|(a, b)| a * b).sum()
        };
        let mut shown: [f64; VARIABLES] = core::array::from_fn(|i| to[i] - from[i]);
        let (model, seen) = (dot(&s, &own), dot(&s, &shown));
        if model.is_nan() || model <= 0.0 {
            return false;
        }
        if seen < LEAST_CURVATURE * model {
            let theta = (1.0 - LEAST_CURVATURE) * model / (model - seen);
            for i in 0..VARIABLES {
                shown[i] = theta * shown[i] + (1.0 - theta) * own[i];
            }
        }
        let seen = dot(&s, &shown);
        self.plain = self.hessian;
        for i in 0..VARIABLES {
            for k in 0..=i {
                self.hessian[i][k] += shown[i] * shown[k] / seen - own[i] * own[k] / model;
            }
        }
        true
    }

    /// Gives the matrix back what [`Self::bend`] gave it.
    pub(super) fn unbend(&mut self) {
        self.hessian = self.plain;
    }

    /// By how much a step changes the aim's cost, and the largest limit that is broken after it.
    pub(super) fn foretold(&self, step: &Step) -> (f64, f64) {
        let broken = |row: &Constraint<VARIABLES>| -row.slack(&step.to);
        (
            self.program().objective(&step.to),
            self.rows.iter().map(broken).fold(0.0, f64::max),
        )
    }

    /// The step's program.
    fn program(&self) -> QuadraticProgram<'_, VARIABLES> {
        QuadraticProgram {
            hessian: &self.hessian,
            gradient: &self.gradient,
            equalities: 0,
            constraints: &self.rows,
        }
    }

    /// Solves the step's program. Contradicting limits share a slack.
    pub(super) fn step(&self) -> Option<Step> {
        let plain = self.program().solve();
        match plain.status {
            quadratic::Status::Optimal => {
                let mut active = [(0, 0.0); VARIABLES];
                let mut count = 0;
                for (place, (row, multiplier)) in active.iter_mut().zip(plain.active()) {
                    *place = (self.limits[row], multiplier);
                    count += 1;
                }
                Some(Step {
                    to: plain.x,
                    active: Some((active, count)),
                })
            }
            quadratic::Status::Infeasible { .. } => {
                const WIDE: usize = VARIABLES + 1;
                let mut h = [[0.0; WIDE]; WIDE];
                let mut g = [0.0; WIDE];
                for i in 0..VARIABLES {
                    h[i][..VARIABLES].copy_from_slice(&self.hessian[i]);
                    // Contradicting limits leave directions in which nothing is decided: stay near.
                    h[i][i] += 1e-2;
                    g[i] = self.gradient[i];
                }
                (h[VARIABLES][VARIABLES], g[VARIABLES]) = (SLACK_PRICE.1, SLACK_PRICE.0);
                let mut wide: Vec<Constraint<WIDE>> = self
                    .rows
                    .iter()
                    .map(|row| {
                        let mut normal = [1.0; WIDE];
                        normal[..VARIABLES].copy_from_slice(row.normal());
                        Constraint::new(normal, row.bound())
                    })
                    .collect();
                let mut only_slack = [0.0; WIDE];
                only_slack[VARIABLES] = 1.0;
                wide.push(Constraint::new(only_slack, 0.0));
                let program = QuadraticProgram {
                    hessian: &h,
                    gradient: &g,
                    equalities: 0,
                    constraints: &wide,
                };
                let solution = program.solve();
                if solution.status != quadratic::Status::Optimal {
                    return None;
                }
                let mut x = [0.0; VARIABLES];
                x.copy_from_slice(&solution.x[..VARIABLES]);
                Some(Step {
                    to: x,
                    active: None,
                })
            }
            _ => None,
        }
    }
}

/// Broken limits as they are met.
#[derive(Default)]
pub(super) struct Breaks {
    pub(super) violation: f64,
    pub(super) broken: f64,
}

impl Breaks {
    pub(super) fn count(&mut self, value: f64) {
        self.violation += (-value).max(0.0);
        self.broken = if value.is_nan() {
            f64::INFINITY
        } else {
            self.broken.max(-value)
        };
    }
}

/// What one set of free variables costs.
pub(super) struct Measured {
    /// Posture cost.
    pub(super) cost: f64,
    /// Cost of the aim.
    pub(super) aimed: f64,
    /// Sum of broken limits.
    pub(super) violation: f64,
    /// Largest broken limit.
    pub(super) broken: f64,
    /// Height of the hips, mm.
    pub(super) hip_z: f64,
}

impl Measured {
    pub(super) fn new(own: &[f64], aimed: &[f64], breaks: &Breaks, hip_z: f64) -> Self {
        let squares = |r: &[f64]| r.iter().map(|x| x * x).sum();
        Self {
            cost: squares(own),
            aimed: squares(aimed),
            violation: breaks.violation,
            broken: breaks.broken,
            hip_z,
        }
    }
}

/// The free variables with their derivatives; a pinned one does not vary.
pub(super) fn seeded(at: &Free<f64>, pinned: &[bool; VARIABLES]) -> Free<Dual> {
    let variable = |value: f64, index: usize, unit: f64| {
        if pinned[index] {
            Dual::constant(value)
        } else {
            Dual::variable(value, index).chain(value, unit)
        }
    };
    Free {
        hip_x: variable(at.hip_x, 0, HIP_UNIT),
        hip_z_or_slide: variable(at.hip_z_or_slide, 1, HIP_UNIT),
        lean: variable(at.lean, 2, 1.0),
        swing: variable(at.swing, 3, 1.0),
        heel: variable(at.heel, 4, 1.0),
        splay: variable(at.splay, 5, 1.0),
    }
}

/// Greatest difference in one variable, in units of step.
pub(super) fn apart(a: &Free<f64>, b: &Free<f64>) -> f64 {
    [
        (a.hip_x - b.hip_x) / HIP_UNIT,
        (a.hip_z_or_slide - b.hip_z_or_slide) / HIP_UNIT,
        a.lean - b.lean,
        a.swing - b.swing,
        a.heel - b.heel,
        a.splay - b.splay,
    ]
    .into_iter()
    .fold(0.0, |most: f64, d| most.max(d.abs()))
}

pub(super) fn stepped(at: &Free<f64>, step: &[f64; VARIABLES], share: f64) -> Free<f64> {
    Free {
        hip_x: at.hip_x + HIP_UNIT * step[0] * share,
        hip_z_or_slide: at.hip_z_or_slide + HIP_UNIT * step[1] * share,
        lean: at.lean + step[2] * share,
        swing: at.swing + step[3] * share,
        heel: at.heel + step[4] * share,
        splay: at.splay + step[5] * share,
    }
}
