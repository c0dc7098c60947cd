//! Dense linear program: maximise cᵀx with every variable and every row Σ aⱼxⱼ inside a range, which may be one
//! number (an equality) or open on either side.
//!
//! The simplex method for bounded variables (Dantzig, 1963, Linear Programming and Extensions, chapter 18), on the
//! small dense tableau of `tableau`. This file states the problem, scales it and reads the answer.
//! Rows, columns and values are scaled to about 1, so that one absolute tolerance fits them all.
//!
//! Duals: with yᵢ of the rows and zⱼ of the variables, c = Aᵀy + z. Each is what the optimum gains per unit by which
//! the active end of that range moves up: ≥ 0 at a high end, ≤ 0 at a low end, 0 where nothing binds.

use super::scaling::{Scaling, reciprocal_size};
use super::tableau::{Ending, Tableau};

/// Tolerances of the method. All but `unlimited` are for the scaled program, whose numbers are about 1. Defaults are our choice.
#[derive(Clone, Copy, Debug)]
pub struct Settings {
    /// How far a value may lie outside its range. Default 1e-9: well above rounding after a few dozen pivots (1e-13),
    /// well below anything a caller can measure.
    pub feasibility: f64,
    /// Reduced costs below this bring no gain. Default 1e-9, as for feasibility.
    pub optimality: f64,
    /// Least pivot. Default 1e-9: a coefficient this small is the remainder of a cancellation.
    pub pivot: f64,
    /// Steps and duals below this are none. Default 1e-12, a thousandth of the other tolerances.
    pub rounding: f64,
    /// Pivots without progress after which Bland's rule takes over until there is some. Default 20: ties at a vertex
    /// resolve themselves within a few, and the rule is slow.
    pub patience: usize,
    /// Pivots allowed for each row and variable. Default 20; one or two are usual.
    pub pivots_per_row: usize,
    /// An end of a range beyond this magnitude is no limit, in the caller's units. Default 1e30.
    pub unlimited: f64,
}

impl Default for Settings {
    fn default() -> Self {
        Self {
            feasibility: 1e-9,
            optimality: 1e-9,
            pivot: 1e-9,
            rounding: 1e-12,
            patience: 20,
            pivots_per_row: 20,
            unlimited: 1e30,
        }
    }
}

/// The numbers from `low` to `high`; infinite ends are open.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Range {
    /// Least number.
    pub low: f64,
    /// Greatest number.
    pub high: f64,
}

impl Range {
    /// No limit at all.
    pub const FREE: Self = Self {
        low: f64::NEG_INFINITY,
        high: f64::INFINITY,
    };

    /// From `low` up.
    #[must_use]
    pub const fn at_least(low: f64) -> Self {
        Self {
            low,
            high: f64::INFINITY,
        }
    }

    /// Up to `high`.
    #[must_use]
    pub const fn at_most(high: f64) -> Self {
        Self {
            low: f64::NEG_INFINITY,
            high,
        }
    }

    /// From `low` to `high`.
    #[must_use]
    pub const fn between(low: f64, high: f64) -> Self {
        Self { low, high }
    }

    /// One number.
    #[must_use]
    pub const fn exactly(value: f64) -> Self {
        Self {
            low: value,
            high: value,
        }
    }
}

/// How a solve ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Status {
    /// x is an optimal vertex.
    Optimal,
    /// No x meets all ranges; the duals are the proof (see [`Solution`]).
    Infeasible,
    /// The objective grows without end; x is a feasible point.
    Unbounded,
    /// The cap on pivots was reached, or rounding kept the answer from being confirmed.
    Stalled,
    /// A number is NaN, a coefficient infinite, a range beyond all numbers, a length wrong, or the numbers overflow.
    Invalid,
}

/// What can hold an optimum.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Limit {
    /// The range of a variable, by index.
    Variable(usize),
    /// The range of a row, by index.
    Row(usize),
}

/// Where a value stands in its range.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// Not held.
    Between,
    /// Held at the low end.
    Low,
    /// Held at the high end.
    High,
}

/// One range that holds the optimum, and what the objective gains per unit by which its end moves up.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Binding {
    /// The variable or row.
    pub limit: Limit,
    /// The end that holds.
    pub side: Side,
    /// Its dual.
    pub dual: f64,
}

/// The outcome: always finite.
///
/// When infeasible, the duals prove it: Aᵀy + z = 0, yet the greatest value that Σ yᵢ·rowᵢ + Σ zⱼ·xⱼ can take inside
/// the ranges is negative. x and the row values are then those of least violation. If one range alone is empty, it is
/// named and there are no duals.
#[derive(Clone, Debug, PartialEq)]
pub struct Solution {
    /// How the solve ended.
    pub status: Status,
    /// cᵀx.
    pub objective: f64,
    /// The variables.
    pub x: Vec<f64>,
    /// The rows' values Σ aⱼxⱼ.
    pub rows: Vec<f64>,
    /// Duals y of the rows.
    pub row_duals: Vec<f64>,
    /// Duals z of the variables: their reduced costs.
    pub reduced_costs: Vec<f64>,
    /// Which end holds each row.
    pub row_sides: Vec<Side>,
    /// Which end holds each variable.
    pub variable_sides: Vec<Side>,
    /// A range whose low end lies above its high end.
    pub empty: Option<Limit>,
    /// Pivots made.
    pub pivots: usize,
}

impl Solution {
    /// The rows and variables that hold the optimum: those with a dual.
    pub fn bindings(&self) -> impl Iterator<Item = Binding> {
        let rows = self.row_duals.iter().zip(&self.row_sides).enumerate();
        let variables = self
            .reduced_costs
            .iter()
            .zip(&self.variable_sides)
            .enumerate();
        let rows = rows.map(|(i, (&dual, &side))| Binding {
            limit: Limit::Row(i),
            side,
            dual,
        });
        let variables = variables.map(|(j, (&dual, &side))| Binding {
            limit: Limit::Variable(j),
            side,
            dual,
        });
        rows.chain(variables).filter(|binding| binding.dual != 0.0)
    }

    fn new(variables: usize, rows: usize) -> Self {
        Self {
            status: Status::Invalid,
            objective: 0.0,
            x: vec![0.0; variables],
            rows: vec![0.0; rows],
            row_duals: vec![0.0; rows],
            reduced_costs: vec![0.0; variables],
            row_sides: vec![Side::Between; rows],
            variable_sides: vec![Side::Between; variables],
            empty: None,
            pivots: 0,
        }
    }

    fn clear(&mut self) {
        self.objective = 0.0;
        self.pivots = 0;
        for values in [
            &mut self.x,
            &mut self.rows,
            &mut self.row_duals,
            &mut self.reduced_costs,
        ] {
            values.fill(0.0);
        }
        self.row_sides.fill(Side::Between);
        self.variable_sides.fill(Side::Between);
    }

    fn is_finite(&self) -> bool {
        let numbers = self
            .x
            .iter()
            .chain(&self.rows)
            .chain(&self.row_duals)
            .chain(&self.reduced_costs);
        numbers.fold(self.objective * 0.0, |sum, v| sum + v * 0.0) == 0.0
    }
}

/// A feasible set, and the basis of the last solve.
#[derive(Clone, Debug)]
pub struct Program {
    tableau: Tableau,
    scaling: Scaling,
    /// The objective, scaled.
    objective: Vec<f64>,
    solution: Solution,
    valid: bool,
}

impl Program {
    /// States the feasible set: the variables' ranges, and the rows (one coefficient per variable) with theirs.
    #[must_use]
    pub fn new<R: AsRef<[f64]>>(variables: &[Range], rows: &[(R, Range)]) -> Self {
        Self::with_settings(variables, rows, &Settings::default())
    }

    /// The same with other tolerances.
    #[must_use]
    pub fn with_settings<R: AsRef<[f64]>>(
        variables: &[Range],
        rows: &[(R, Range)],
        settings: &Settings,
    ) -> Self {
        let n = variables.len();
        let scaling = Scaling::new(variables, rows, settings.unlimited);
        let mut tableau = Tableau::new(n, rows.len(), settings);
        let mut solution = Solution::new(n, rows.len());
        let mut valid = true;
        let mut check = |limit: Limit, range: &Range| {
            valid &= range.low < settings.unlimited && range.high > -settings.unlimited;
            if range.low > range.high {
                solution.empty = solution.empty.or(Some(limit));
            }
        };
        for (j, range) in variables.iter().enumerate() {
            check(Limit::Variable(j), range);
            tableau.set_range(j, scaling.variable(j, *range));
        }
        for (i, (_, range)) in rows.iter().enumerate() {
            check(Limit::Row(i), range);
            tableau.set_range(n + i, scaling.row(i, *range));
        }
        for (i, (row, _)) in rows.iter().enumerate() {
            valid &= row.as_ref().len() == n;
            for (j, a) in row.as_ref().iter().enumerate().take(n) {
                let coefficient = a * scaling.rows[i] * scaling.columns[j];
                valid &= coefficient.is_finite();
                tableau.set_coefficient(i, j, coefficient);
            }
        }
        Self {
            tableau,
            scaling,
            objective: vec![0.0; n],
            solution,
            valid,
        }
    }

    /// Gives a variable another range. The basis of the last solve stays.
    pub fn set_range(&mut self, variable: usize, range: Range) {
        let unlimited = self.tableau.settings().unlimited;
        self.valid &= range.low <= range.high && range.low < unlimited && range.high > -unlimited;
        let scaled = self.scaling.variable(variable, range);
        self.tableau.set_range(variable, scaled);
    }

    /// Maximises objectiveᵀx from the start.
    pub fn solve(&mut self, objective: &[f64]) -> &Solution {
        self.tableau.reset();
        self.resolve(objective)
    }

    /// Maximises objectiveᵀx from the basis of the last solve: quick when only the objective is another.
    pub fn resolve(&mut self, objective: &[f64]) -> &Solution {
        self.solution.clear();
        self.solution.status = self.run(objective);
        if !self.solution.is_finite() {
            self.solution.clear();
            self.solution.status = Status::Invalid;
        }
        if self.solution.status == Status::Invalid {
            self.tableau.reset();
        }
        &self.solution
    }

    /// The outcome of the last solve.
    #[must_use]
    pub fn solution(&self) -> &Solution {
        &self.solution
    }

    /// Magnitude that a variable's values have: they are right to the feasibility tolerance times this.
    pub(super) fn unit(&self, variable: usize) -> f64 {
        self.scaling.size * self.scaling.columns[variable]
    }

    fn run(&mut self, objective: &[f64]) -> Status {
        let largest = objective
            .iter()
            .zip(&self.scaling.columns)
            .fold(0.0, |size: f64, (c, s)| size.max((c * s).abs()));
        if !self.valid || objective.len() != self.objective.len() || !largest.is_finite() {
            return Status::Invalid;
        }
        if self.solution.empty.is_some() {
            return Status::Infeasible;
        }
        let gain = reciprocal_size(largest);
        for (scaled, (c, s)) in self
            .objective
            .iter_mut()
            .zip(objective.iter().zip(&self.scaling.columns))
        {
            *scaled = c * s * gain;
        }
        if self.objective.iter().any(|c| c.is_nan()) {
            return Status::Invalid;
        }
        let ending = self.tableau.maximise(&self.objective);
        self.read(if ending == Ending::Infeasible {
            1.0
        } else {
            1.0 / gain
        });
        self.solution.objective = objective
            .iter()
            .zip(&self.solution.x)
            .map(|(c, x)| c * x)
            .sum();
        match ending {
            Ending::Optimal => Status::Optimal,
            Ending::Infeasible => Status::Infeasible,
            Ending::Unbounded => Status::Unbounded,
            Ending::Stalled => Status::Stalled,
        }
    }

    /// Reads the tableau back in the caller's units.
    fn read(&mut self, gain: f64) {
        let n = self.scaling.columns.len();
        let Self {
            tableau,
            solution,
            scaling,
            ..
        } = self;
        solution.pivots = tableau.pivots();
        tableau.read(|index, value, dual, side| {
            // Where no end holds, what is left is below the tolerance (or, unbounded, the way out).
            let dual = if side == Side::Between { 0.0 } else { dual };
            if index < n {
                solution.x[index] = value * scaling.size * scaling.columns[index];
                solution.reduced_costs[index] = dual * gain / scaling.columns[index];
                solution.variable_sides[index] = side;
            } else {
                solution.rows[index - n] = value * scaling.size / scaling.rows[index - n];
                solution.row_duals[index - n] = dual * gain * scaling.rows[index - n];
                solution.row_sides[index - n] = side;
            }
        });
    }
}
