//! Strictly convex dense quadratic program: minimise ½ xᵀHx + gᵀx subject to aᵢᵀx = bᵢ for the first rows and
//! aᵢᵀx ≥ bᵢ for the others.
//!
//! Dual active-set method (Goldfarb and Idnani, 1983, Mathematical Programming 27:1-33): start at the unconstrained
//! minimum and add violated rows one at a time, each step keeping the multipliers of the active inequalities
//! non-negative. With H = LLᵀ the method carries J = L⁻ᵀQ and the triangular R for which Jᵀ·(active normals) = [R; 0].
//! A row enters by one Householder reflection of J (in place of the paper's chain of rotations: one square root
//! instead of N), and leaves by Givens rotations. A row that depends on the active ones exchanges places with one of
//! them; when none can give way, the rows contradict each other and the multipliers are the proof.
//!
//! Sizes: N from 1 to about 16, a few dozen rows. Nothing is allocated.

use std::array::from_fn;

/// How far a row may be violated, relative to the size of x and to the row's distance from the origin.
///
/// A thousand times the rounding of one dot product of 16 terms; smaller values chase rounding in near-parallel rows.
const FEASIBILITY: f64 = 1e-12;

/// Part of a row's normal that must be left after projection on the active rows; below it the row depends on them.
///
/// The projection of a truly dependent row is rounding, about 1e-15 times the condition of the active rows.
const INDEPENDENCE: f64 = 1e-10;

/// Pivot of the Cholesky factorisation relative to its diagonal element; below it H is not positive definite.
const CONVEXITY: f64 = 1e-14;

/// Components of the dual direction below this share of the largest are rounding and block no step.
const DUAL_ROUNDING: f64 = 1e-13;

/// Greatest magnitude of a row's numbers; the least of its largest coefficient is the reciprocal. Squares stay finite.
const GREATEST: f64 = 1e100;

/// Steps allowed for each row and variable. Rows seldom enter twice; only rounding could make the method wander.
const STEPS_PER_ROW: usize = 10;

/// A program over N variables, borrowed from the caller.
#[derive(Clone, Copy, Debug)]
pub struct QuadraticProgram<'a, const N: usize> {
    /// H, symmetric positive definite; only the lower triangle is read.
    pub hessian: &'a [[f64; N]; N],
    /// g.
    pub gradient: &'a [f64; N],
    /// Number of leading constraints that are equalities.
    pub equalities: usize,
    /// The rows: equalities first.
    pub constraints: &'a [Constraint<N>],
}

/// One row: normalᵀx ≥ bound, or = bound among the equalities.
#[derive(Clone, Copy, Debug)]
pub struct Constraint<const N: usize> {
    normal: [f64; N],
    bound: f64,
    /// 1 / largest magnitude in the normal: makes violations of different rows comparable. NaN marks an invalid row.
    scale: f64,
}

/// How a solve ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Status {
    /// x is the minimum.
    Optimal,
    /// The rows contradict each other: this one cannot be met together with those that have a multiplier.
    Infeasible {
        /// Index of the row that was to be added.
        constraint: usize,
    },
    /// The cap on steps was reached; x is the best point so far.
    Stalled,
    /// H is not positive definite.
    NotConvex,
    /// A number is not finite, or so large or small (a row beyond 1e±100) that the method overflows.
    Invalid,
}

/// The outcome: always finite.
#[derive(Clone, Copy, Debug)]
pub struct Solution<const N: usize> {
    /// How the solve ended.
    pub status: Status,
    /// The minimum; the last point reached when infeasible or stalled; 0 otherwise.
    pub x: [f64; N],
    /// Number of steps (rows added, dropped or exchanged).
    pub steps: usize,
    active: [usize; N],
    multipliers: [f64; N],
    count: usize,
    blocked: f64,
}

impl<const N: usize> Constraint<N> {
    /// Makes the row normalᵀx ≥ bound (or = bound).
    #[must_use]
    pub fn new(normal: [f64; N], bound: f64) -> Self {
        let size = magnitude(&normal);
        let usable = normal.iter().all(|a| a.abs() <= GREATEST)
            && bound.abs() <= GREATEST
            && (size == 0.0 || size >= 1.0 / GREATEST);
        let scale = match usable {
            true if size > 0.0 => 1.0 / size,
            true => 1.0,
            false => f64::NAN,
        };
        Self {
            normal,
            bound,
            scale,
        }
    }

    /// The row's normal.
    #[must_use]
    pub fn normal(&self) -> &[f64; N] {
        &self.normal
    }

    /// The row's bound.
    #[must_use]
    pub fn bound(&self) -> f64 {
        self.bound
    }

    /// normalᵀx − bound: negative by how much the row is violated.
    #[must_use]
    pub fn slack(&self, x: &[f64; N]) -> f64 {
        dot(&self.normal, x) - self.bound
    }
}

impl<const N: usize> Solution<N> {
    /// The active rows with their multipliers λ, for which Hx + g = Σ λᵢ aᵢ, in the order in which they entered.
    ///
    /// When infeasible: the rows of the proof, with weights for which Σ λᵢ aᵢ = 0 and Σ λᵢ bᵢ > 0.
    pub fn active(&self) -> impl Iterator<Item = (usize, f64)> {
        let blocked = match self.status {
            Status::Infeasible { constraint } => Some((constraint, self.blocked)),
            _ => None,
        };
        let active = self.active.iter().copied().zip(self.multipliers);
        active.take(self.count).chain(blocked)
    }

    /// The multiplier of a row; 0 when it is not active.
    #[must_use]
    pub fn multiplier(&self, constraint: usize) -> f64 {
        self.active()
            .find(|&(row, _)| row == constraint)
            .map_or(0.0, |(_, multiplier)| multiplier)
    }
}

impl<const N: usize> QuadraticProgram<'_, N> {
    /// Finds the minimum.
    #[must_use]
    pub fn solve(&self) -> Solution<N> {
        let usable = self
            .constraints
            .iter()
            .fold(0.0, |sum, row| sum + row.scale)
            .is_finite();
        let solution = match inverse_factor(self.hessian) {
            Ok(j) if usable => Working::new(j, self).run(self),
            Ok(_) => Solution::none(Status::Invalid),
            Err(status) => Solution::none(status),
        };
        let numbers = solution
            .x
            .iter()
            .chain(&solution.multipliers)
            .chain([&solution.blocked]);
        if numbers.fold(0.0, |sum, v| sum + v * 0.0) == 0.0 {
            solution
        } else {
            Solution::none(Status::Invalid)
        }
    }

    /// Value of ½ xᵀHx + gᵀx.
    #[must_use]
    pub fn objective(&self, x: &[f64; N]) -> f64 {
        let quadratic = |i: usize| {
            let off_diagonal: f64 = (0..i).map(|k| self.hessian[i][k] * x[k]).sum();
            x[i] * (off_diagonal + 0.5 * self.hessian[i][i] * x[i])
        };
        (0..N).map(quadratic).sum::<f64>() + dot(self.gradient, x)
    }
}

impl<const N: usize> Solution<N> {
    fn none(status: Status) -> Self {
        Self {
            status,
            x: [0.0; N],
            steps: 0,
            active: [0; N],
            multipliers: [0.0; N],
            count: 0,
            blocked: 0.0,
        }
    }
}

/// State of the method between steps.
struct Working<const N: usize> {
    x: [f64; N],
    /// Greatest magnitude in any x so far: cancellation leaves rounding of this size.
    reach: f64,
    /// Columns of J.
    j: [[f64; N]; N],
    /// Columns of R.
    r: [[f64; N]; N],
    active: [usize; N],
    multipliers: [f64; N],
    count: usize,
}

/// Directions for a row that is to enter: x moves along `primal`, the active multipliers against `dual`.
struct Direction<const N: usize> {
    /// Jᵀ·normal.
    d: [f64; N],
    /// Rate at which the row's slack grows along `primal`; 0 when the row depends on the active ones.
    rate: f64,
    primal: [f64; N],
    dual: [f64; N],
}

impl<const N: usize> Working<N> {
    fn new(j: [[f64; N]; N], program: &QuadraticProgram<N>) -> Self {
        let mut x = [0.0; N];
        for column in &j {
            add_scaled(&mut x, -dot(column, program.gradient), column);
        }
        let reach = magnitude(&x);
        Self {
            x,
            reach,
            j,
            r: [[0.0; N]; N],
            active: [0; N],
            multipliers: [0.0; N],
            count: 0,
        }
    }

    fn run(mut self, program: &QuadraticProgram<N>) -> Solution<N> {
        let rows = program.constraints;
        let equalities = program.equalities.min(rows.len());
        let cap = STEPS_PER_ROW * (N + rows.len());
        let mut steps = 0;
        for (index, row) in rows[..equalities].iter().enumerate() {
            steps += 1;
            let slack = row.slack(&self.x);
            let direction = self.direction(row);
            if direction.rate.is_nan() {
                return Solution::none(Status::Invalid);
            }
            if direction.rate > 0.0 {
                let step = -slack / direction.rate;
                self.advance(step, &direction);
                self.add(index, step, &direction);
            } else if slack.abs() * row.scale > self.tolerance(row) {
                return self.infeasible(index, -slack.signum(), &direction, steps);
            }
        }
        while let Some(index) = self.most_violated(rows, equalities) {
            let row = &rows[index];
            let mut multiplier = 0.0;
            loop {
                if steps == cap {
                    return self.end(Status::Stalled, steps);
                }
                steps += 1;
                let direction = self.direction(row);
                if direction.rate.is_nan() {
                    return Solution::none(Status::Invalid);
                }
                let blocking = self.first_to_vanish(&direction, equalities);
                let full = if direction.rate > 0.0 {
                    -row.slack(&self.x) / direction.rate
                } else {
                    f64::INFINITY
                };
                match blocking {
                    Some((place, step)) if step < full => {
                        if direction.rate > 0.0 {
                            self.advance(step, &direction);
                        } else {
                            self.advance_dual(step, &direction);
                        }
                        multiplier += step;
                        self.drop(place);
                    }
                    _ if full.is_finite() => {
                        self.advance(full, &direction);
                        self.add(index, multiplier + full, &direction);
                        break;
                    }
                    _ => return self.infeasible(index, 1.0, &direction, steps),
                }
            }
        }
        self.end(Status::Optimal, steps)
    }

    /// The inequality with the greatest violation beyond the tolerance.
    fn most_violated(&self, rows: &[Constraint<N>], equalities: usize) -> Option<usize> {
        let mut worst = 0.0;
        let mut found = None;
        for (index, row) in rows.iter().enumerate().skip(equalities) {
            let slack = row.slack(&self.x) * row.scale;
            if slack < worst && !self.active[..self.count].contains(&index) {
                worst = slack;
                found = Some(index);
            }
        }
        found.filter(|&index| -worst > self.tolerance(&rows[index]))
    }

    fn tolerance(&self, row: &Constraint<N>) -> f64 {
        FEASIBILITY * (row.bound.abs() * row.scale + self.reach)
    }

    fn direction(&self, row: &Constraint<N>) -> Direction<N> {
        let q = self.count;
        let d: [f64; N] = from_fn(|k| dot(&self.j[k], &row.normal));
        let (mut primal, mut free) = ([0.0; N], 0.0);
        for k in q..N {
            add_scaled(&mut primal, d[k], &self.j[k]);
            free += d[k] * d[k];
        }
        let mut dual = d;
        for c in (0..q).rev() {
            dual[c] /= self.r[c][c];
            for i in 0..c {
                dual[i] -= self.r[c][i] * dual[c];
            }
        }
        let all = free + d[..q].iter().map(|v| v * v).sum::<f64>();
        let rate = if free > INDEPENDENCE * INDEPENDENCE * all {
            free
        } else {
            0.0
        };
        Direction {
            d,
            rate,
            primal,
            dual,
        }
    }

    /// Place among the active inequalities, and step, where a multiplier first falls to 0.
    fn first_to_vanish(&self, direction: &Direction<N>, equalities: usize) -> Option<(usize, f64)> {
        let rounding = DUAL_ROUNDING * magnitude(&direction.dual[..self.count]);
        let mut first: Option<(usize, f64)> = None;
        for place in 0..self.count {
            if direction.dual[place] > rounding && self.active[place] >= equalities {
                let step = self.multipliers[place] / direction.dual[place];
                if first.is_none_or(|(_, least)| step < least) {
                    first = Some((place, step));
                }
            }
        }
        first
    }

    fn advance(&mut self, step: f64, direction: &Direction<N>) {
        add_scaled(&mut self.x, step, &direction.primal);
        self.reach = self.reach.max(magnitude(&self.x));
        self.advance_dual(step, direction);
    }

    fn advance_dual(&mut self, step: f64, direction: &Direction<N>) {
        for place in 0..self.count {
            self.multipliers[place] -= step * direction.dual[place];
        }
    }

    /// Reflects the free columns of J so that the new row's normal has one component among them.
    fn add(&mut self, index: usize, multiplier: f64, direction: &Direction<N>) {
        let (q, d) = (self.count, &direction.d);
        let length = direction.rate.sqrt();
        let corner = if d[q] > 0.0 { -length } else { length };
        // w = d − corner·e, and J·w = primal − corner·J_q; 2 / |w|² = 1 / (corner·(corner − d_q)).
        let mut reflected = direction.primal;
        add_scaled(&mut reflected, -corner, &self.j[q]);
        let factor = 1.0 / (corner * (corner - d[q]));
        for k in q..N {
            let w = if k == q { d[q] - corner } else { d[k] };
            add_scaled(&mut self.j[k], -(factor * w), &reflected);
        }
        self.r[q][..q].copy_from_slice(&d[..q]);
        self.r[q][q] = corner;
        self.active[q] = index;
        self.multipliers[q] = multiplier;
        self.count += 1;
    }

    /// Removes an active row and rotates R back to triangular form.
    fn drop(&mut self, place: usize) {
        self.count -= 1;
        let q = self.count;
        self.active.copy_within(place + 1..=q, place);
        self.multipliers.copy_within(place + 1..=q, place);
        self.multipliers[q] = 0.0;
        self.r.copy_within(place + 1..=q, place);
        for c in place..q {
            let (a, b) = (self.r[c][c], self.r[c][c + 1]);
            let length = (a * a + b * b).sqrt();
            let (cosine, sine) = (a / length, b / length);
            for column in &mut self.r[c..q] {
                (column[c], column[c + 1]) = (
                    cosine * column[c] + sine * column[c + 1],
                    cosine * column[c + 1] - sine * column[c],
                );
            }
            for i in 0..N {
                let (u, v) = (self.j[c][i], self.j[c + 1][i]);
                (self.j[c][i], self.j[c + 1][i]) = (cosine * u + sine * v, cosine * v - sine * u);
            }
        }
    }

    /// The normal is Σ dualⱼ·(active normals), and no combination with that sign lets the row be met.
    fn infeasible(
        self,
        constraint: usize,
        sign: f64,
        direction: &Direction<N>,
        steps: usize,
    ) -> Solution<N> {
        let multipliers = from_fn(|place| {
            if place < self.count {
                -sign * direction.dual[place]
            } else {
                0.0
            }
        });
        Solution {
            multipliers,
            blocked: sign,
            ..self.end(Status::Infeasible { constraint }, steps)
        }
    }

    fn end(self, status: Status, steps: usize) -> Solution<N> {
        let Self {
            x,
            active,
            multipliers,
            count,
            ..
        } = self;
        Solution {
            status,
            x,
            steps,
            active,
            multipliers,
            count,
            blocked: 0.0,
        }
    }
}

/// Columns of L⁻ᵀ, which are the rows of L⁻¹, for H = LLᵀ.
fn inverse_factor<const N: usize>(hessian: &[[f64; N]; N]) -> Result<[[f64; N]; N], Status> {
    let mut l = [[0.0; N]; N];
    let mut inverse = [[0.0; N]; N];
    for i in 0..N {
        for k in 0..i {
            let sum: f64 = (0..k).map(|t| l[i][t] * l[k][t]).sum();
            l[i][k] = (hessian[i][k] - sum) * inverse[k][k];
        }
        let pivot = hessian[i][i] - l[i][..i].iter().map(|v| v * v).sum::<f64>();
        if !pivot.is_finite() {
            return Err(Status::Invalid);
        }
        if pivot <= CONVEXITY * hessian[i][i].abs() {
            return Err(Status::NotConvex);
        }
        let reciprocal = 1.0 / pivot.sqrt();
        let mut row = [0.0; N];
        for k in 0..i {
            add_scaled(&mut row, -(l[i][k] * reciprocal), &inverse[k]);
        }
        row[i] = reciprocal;
        inverse[i] = row;
    }
    Ok(inverse)
}

#[inline(always)]
fn dot<const N: usize>(a: &[f64; N], b: &[f64; N]) -> f64 {
    let mut sum = 0.0;
    for i in 0..N {
        sum += a[i] * b[i];
    }
    sum
}

#[inline(always)]
fn add_scaled<const N: usize>(to: &mut [f64; N], factor: f64, from: &[f64; N]) {
    for i in 0..N {
        to[i] += factor * from[i];
    }
}

fn magnitude(values: &[f64]) -> f64 {
    values
        .iter()
        .fold(0.0, |size, v| if v.abs() > size { v.abs() } else { size })
}
