//! The rows of a pose as linear programs: contact forces first, then how far f goes along given directions.

use super::joints::{JOINTS, Joint};
use super::statics::{BALANCE, FORCES, Gives, SUMS, Statics};
use crate::program::linear::{Program, Range, Solution, Status};
use crate::stance::Load;

/// Most rows of a pose: balance, joints, bounded sums.
const ROWS: usize = BALANCE + JOINTS + SUMS;

/// Most columns: contact forces and two components of f.
const COLUMNS: usize = FORCES + 2;

/// Scaled duals below this share of the objective's scale say nothing: rounding.
const DUAL_ROUNDING: f64 = 1e-9;

/// A row's coefficients, one for each unknown.
#[derive(Clone, Copy, Debug)]
pub struct Row {
    coefficients: [f64; COLUMNS],
    count: usize,
}

impl AsRef<[f64]> for Row {
    fn as_ref(&self) -> &[f64] {
        &self.coefficients[..self.count]
    }
}

/// A linear program as plain numbers: maximise the last unknown over ranges of unknowns and of rows.
#[derive(Clone, Debug)]
pub struct Stated<R = Row> {
    /// Range of each unknown: the contact forces, N, then the components of f, g.
    pub unknowns: Vec<Range>,
    /// Rows with their ranges: balance (N, N·m), joint moments (N·m), bounded sums of forces (N).
    pub rows: Vec<(R, Range)>,
}

impl<R: AsRef<[f64]>> Stated<R> {
    /// Ready to be solved.
    pub fn program(&self) -> Program {
        Program::new(&self.unknowns, &self.rows)
    }
}

impl Statics {
    /// The program of a named load, whose last unknown is λ.
    pub fn stated(&self, load: Load) -> Stated {
        self.along(load.start(), [load.direction()], Range::at_least(0.0))
    }

    /// The program whose unknowns are the contact forces and the components μ of f = base + Σ μₖ·directionₖ.
    pub(super) fn along<const K: usize>(
        &self,
        base: (f64, f64),
        directions: [(f64, f64); K],
        component: Range,
    ) -> Stated {
        let n = self.forces.len();
        let weight = self.weight();
        let row = |share: &dyn Fn(usize) -> f64, own: &dyn Fn((f64, f64)) -> f64| {
            let mut coefficients = [0.0; COLUMNS];
            for (j, coefficient) in coefficients.iter_mut().enumerate().take(n) {
                *coefficient = share(j);
            }
            for (coefficient, direction) in coefficients[n..].iter_mut().zip(directions) {
                *coefficient = own(direction);
            }
            Row {
                coefficients,
                count: n + K,
            }
        };
        let mut rows: Vec<(Row, Range)> = Vec::with_capacity(ROWS);
        for i in 0..BALANCE {
            let wanted = |f: (f64, f64)| weight * [f.0, f.1, 0.0][i];
            rows.push((
                row(&|j| self.forces[j].balance[i], &|d| -wanted(d)),
                Range::exactly(wanted(base)),
            ));
        }
        for joint in Joint::ALL {
            let i = joint as usize;
            let own = |f: (f64, f64)| self.weights[i][0] * f.0 + self.weights[i][1] * f.1;
            let (low, high) = self.limits.of_joint(joint);
            rows.push((
                row(&|j| self.forces[j].moments[i], &own),
                Range::between(low - own(base), high - own(base)),
            ));
        }
        for (k, sum) in self.sums.iter().enumerate() {
            let (low, high) = sum.bounds;
            rows.push((
                row(&|j| self.forces[j].sums[k], &|_| 0.0),
                Range::between(low, high),
            ));
        }
        let mut unknowns: Vec<Range> = Vec::with_capacity(n + K);
        unknowns.extend(
            self.forces
                .iter()
                .map(|force| Range::between(force.low, force.high)),
        );
        unknowns.extend([component; K]);
        Stated { unknowns, rows }
    }

    /// The limit that decides an optimum of [`Statics::along`].
    pub(super) fn gives_first(&self, optimum: &Solution) -> Gives {
        let mut first = (DUAL_ROUNDING, None);
        let mut unloads = (0.0, Gives::Unloads("boots"));
        let mut weigh = |size: f64, gives: Gives| {
            if size.abs() > first.0 {
                first = (size.abs(), Some(gives));
            }
        };
        let (joints, sums) = optimum.row_duals[BALANCE..].split_at(JOINTS);
        for (joint, dual) in Joint::ALL.into_iter().zip(joints) {
            let (low, high) = self.limits.of_joint(joint);
            let flexion = *dual > 0.0;
            weigh(
                dual * if flexion { high } else { low },
                Gives::Joint(joint, flexion),
            );
        }
        for (sum, dual) in self.sums.iter().zip(sums) {
            let (low, high) = sum.bounds;
            if *dual > 0.0 {
                weigh(dual * high, sum.gives.1);
            } else {
                weigh(dual * low, sum.gives.0);
            }
        }
        for (j, (force, &dual)) in self.forces.iter().zip(&optimum.reduced_costs).enumerate() {
            match force.low_gives {
                _ if dual == 0.0 => {}
                _ if dual > 0.0 => weigh(dual * force.high, force.high_gives),
                Gives::Friction(_) => {
                    // The cone's other edge carries the normal force: dλ/d(ln μ) is half its size times this dual.
                    weigh(dual * optimum.x[self.other_edge(j)] / 2.0, force.low_gives);
                    if -dual > unloads.0 {
                        unloads = (-dual, Gives::Unloads(force.contact));
                    }
                }
                Gives::Unloads(_) => {
                    if -dual > unloads.0 {
                        unloads = (-dual, force.low_gives);
                    }
                }
                _ => weigh(dual * force.low, force.low_gives),
            }
        }
        first.1.unwrap_or(unloads.1)
    }

    /// The other edge of a friction cone: its two forces stand side by side.
    fn other_edge(&self, j: usize) -> usize {
        let own = self.forces[j].contact;
        match self.forces.get(j + 1) {
            Some(next) if next.contact == own => j + 1,
            _ => j.saturating_sub(1),
        }
    }
}

/// The solution where it is an optimum.
pub(super) fn optimal(solution: &Solution) -> Option<&Solution> {
    (solution.status == Status::Optimal).then_some(solution)
}
