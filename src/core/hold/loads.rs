//! Named loads: the largest λ for which f = start + λ·direction can be held, a linear program in contact forces and λ.
//!
//! What gives first is the limit with the largest scaled dual: by how much λ grows when that limit grows by its own
//! size, dλ/d(ln limit). For a joint that is |dual × strength|; for a friction cone it is dλ/d(ln μ).
//! If the start itself cannot be held, a second program finds the smallest factor by which every limit of strength,
//! hands and stops would have to grow to hold it, and names the one that asks most.

use super::joints::Joint;
use super::outcome::{Held, LoadHold, NotHeld};
use super::rows::optimal;
use super::statics::{BALANCE, Gives, Statics};
use crate::program::linear::{Program, Range, Solution, Status};
use crate::stance::Load;

impl Statics {
    /// Hold under a named load, with its witness and what gives first.
    pub fn load(&self, load: Load) -> LoadHold {
        let mut program = self.stated(load).program();
        let hold = match self.farthest(&mut program) {
            Some(optimum) => Ok(self.held(load, optimum)),
            None => Err(self.not_held(load.start())),
        };
        LoadHold { load, hold }
    }

    /// How far a named load is held, g; `None` where its start is not.
    pub fn load_factor(&self, load: Load) -> Option<f64> {
        self.factor_along(load.start(), load.direction())
    }

    /// The same from any start along any direction.
    pub fn factor_along(&self, start: (f64, f64), direction: (f64, f64)) -> Option<f64> {
        let stated = self.along(start, [direction], Range::at_least(0.0));
        self.farthest(&mut stated.program())
            .map(|optimum| optimum.objective)
    }

    /// Greatest specific force straight up that is held, g: what the legs can do against a straight drop.
    pub fn vertical_capacity(&self) -> f64 {
        let upward = self.along((0.0, 0.0), [(0.0, 1.0)], Range::at_least(0.0));
        let mut program = upward.program();
        optimal(program.solve(&self.last_unknown(1.0))).map_or(0.0, |optimum| optimum.objective)
    }

    /// Largest λ; `None` where λ = 0 is not held.
    fn farthest<'a>(&self, program: &'a mut Program) -> Option<&'a Solution> {
        let along = self.forces.len();
        program.set_range(along, Range::exactly(0.0));
        optimal(program.solve(&self.last_unknown(0.0)))?;
        program.set_range(along, Range::at_least(0.0));
        optimal(program.resolve(&self.last_unknown(1.0)))
    }

    /// An objective that counts only the unknown after the contact forces.
    fn last_unknown(&self, sign: f64) -> Vec<f64> {
        let mut objective = vec![0.0; self.forces.len()];
        objective.push(sign);
        objective
    }

    fn held(&self, load: Load, optimum: &Solution) -> Held {
        let (start, direction) = (load.start(), load.direction());
        let g = optimum.objective;
        let f = (start.0 + g * direction.0, start.1 + g * direction.1);
        let gives = self.gives_first(optimum);
        Held {
            g,
            gives_first: gives.words(),
            assumed: gives.is_assumed(),
            forces: self.contact_forces(&optimum.x),
            moments: self.moments(&optimum.x, f),
        }
    }

    /// Why a specific force cannot be held: the unknowns are the contact forces and s ≥ 0; every limit counts 1 + s
    /// times, friction cones stay.
    fn not_held(&self, f: (f64, f64)) -> NotHeld {
        let n = self.forces.len();
        let mut rows: Vec<(Vec<f64>, Range)> = Vec::new();
        let mut names = Vec::new();
        for (i, wanted) in [f.0, f.1, 0.0].into_iter().enumerate() {
            let mut row: Vec<f64> = self.forces.iter().map(|force| force.balance[i]).collect();
            row.push(0.0);
            rows.push((row, Range::exactly(self.weight() * wanted)));
        }
        let mut elastic = |row: Vec<f64>, own: f64, bounds: (f64, f64), gives: (Gives, Gives)| {
            for (limit, sign, gives) in [(bounds.1, 1.0, gives.1), (bounds.0, -1.0, gives.0)] {
                if limit.is_finite() && !gives.is_one_sided() {
                    let mut scaled: Vec<f64> = row.iter().map(|a| a * sign).collect();
                    scaled.push(-limit * sign);
                    rows.push((scaled, Range::at_most((limit - own) * sign)));
                    names.push(gives);
                }
            }
        };
        for joint in Joint::ALL {
            let i = joint as usize;
            let row = self.forces.iter().map(|force| force.moments[i]).collect();
            let own = self.weights[i][0] * f.0 + self.weights[i][1] * f.1;
            let gives = (Gives::Joint(joint, false), Gives::Joint(joint, true));
            elastic(row, own, self.limits.of_joint(joint), gives);
        }
        for (k, sum) in self.sums.iter().enumerate() {
            let row = self.forces.iter().map(|force| force.sums[k]).collect();
            elastic(row, 0.0, sum.bounds, sum.gives);
        }
        let mut variables = Vec::with_capacity(n + 1);
        for (j, force) in self.forces.iter().enumerate() {
            let mut row = vec![0.0; n];
            row[j] = 1.0;
            elastic(
                row,
                0.0,
                (force.low, force.high),
                (force.low_gives, force.high_gives),
            );
            variables.push(if force.low_gives.is_one_sided() {
                Range::at_least(force.low)
            } else {
                Range::FREE
            });
        }
        variables.push(Range::at_least(0.0));
        let mut program = Program::new(&variables, &rows);
        let least = program.solve(&self.last_unknown(-1.0));
        let because = match least.status {
            Status::Optimal => {
                let asks = names.iter().zip(&least.row_duals[BALANCE..]);
                let most = asks.fold((0.0, None), |most: (f64, Option<&Gives>), (gives, dual)| {
                    if dual.abs() > most.0 {
                        (dual.abs(), Some(gives))
                    } else {
                        most
                    }
                });
                let what = most
                    .1
                    .map_or_else(|| "balance".to_owned(), |gives| gives.words());
                let factor = 1.0 - least.objective;
                format!(
                    "{} g along z asks for {factor:.2} times the limits; {what} falls short first",
                    f.1
                )
            }
            Status::Infeasible => {
                format!(
                    "no contact forces balance the rider under {} g along z, however strong",
                    f.1
                )
            }
            Status::Unbounded | Status::Stalled | Status::Invalid => {
                format!("the hold under {} g along z could not be computed", f.1)
            }
        };
        NotHeld { because }
    }
}
