//! One step of a posture's descent: the linearised model, what free variables cost, and the quadratic program between.

use super::kinematics::Free;
use super::scalar::{Dual, Scalar, VARIABLES};
use crate::program::quadratic::{self, Constraint, QuadraticProgram};

/// Millimetres that count as one unit of step, so that hips and angles are of one size.
const HIP_UNIT: f64 = 100.0;

/// Price of a unit of the common slack, and its curvature. Far above any multiplier of a cost measured in tolerances.
const SLACK_PRICE: (f64, f64) = (1e5, 1.0);

/// Gauss-Newton matrix and gradient of an aim, and its linearised limits.
pub(super) struct Model {
    pub(super) hessian: [[f64; VARIABLES]; VARIABLES],
    pub(super) gradient: [f64; VARIABLES],
    pub(super) rows: Vec<Constraint<VARIABLES>>,
}

impl Model {
    pub(super) fn new() -> Self {
        Self {
            hessian: [[0.0; VARIABLES]; VARIABLES],
            gradient: [0.0; VARIABLES],
            rows: Vec::with_capacity(48),
        }
    }

    /// Solves the step's program: the step and the largest multiplier. Contradicting limits share a slack.
    pub(super) fn step(&self) -> Option<([f64; VARIABLES], f64)> {
        let plain = QuadraticProgram {
            hessian: &self.hessian,
            gradient: &self.gradient,
            equalities: 0,
            constraints: &self.rows,
        }
        .solve();
        match plain.status {
            quadratic::Status::Optimal => Some((
                plain.x,
                plain.active().fold(0.0, |m, (_, l)| f64::max(m, l)),
            )),
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
                Some((x, SLACK_PRICE.0))
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
}

impl Measured {
    pub(super) fn new(own: &[f64], aimed: &[f64], breaks: &Breaks) -> Self {
        let squares = |r: &[f64]| r.iter().map(|x| x * x).sum();
        Self {
            cost: squares(own),
            aimed: squares(aimed),
            violation: breaks.violation,
            broken: breaks.broken,
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
