//! The quadratic program against an interior-point solver and against its own optimality conditions.

#![allow(clippy::unwrap_used, reason = "a test may panic")]
#![allow(
    clippy::needless_range_loop,
    reason = "rows and columns are addressed by index, as in the formulas"
)]

mod generate;

use clarabel::algebra::CscMatrix;
use clarabel::solver::{
    DefaultSettingsBuilder, DefaultSolver, IPSolver, SolverStatus, SupportedConeT,
};
use generate::{Generator, any_number};
use proptest::prelude::*;
use sledstance::program::quadratic::{Constraint, QuadraticProgram, Solution, Status};

struct Quadratic<const N: usize> {
    hessian: [[f64; N]; N],
    gradient: [f64; N],
    equalities: usize,
    constraints: Vec<Constraint<N>>,
}

impl<const N: usize> Quadratic<N> {
    fn generate(random: &mut Generator, rows: usize, equalities: usize, slack: f64) -> Self {
        let factor: [[f64; N]; N] =
            std::array::from_fn(|_| std::array::from_fn(|_| random.symmetric()));
        let mut hessian = [[0.0; N]; N];
        for i in 0..N {
            for k in 0..N {
                hessian[i][k] = (0..N).map(|t| factor[i][t] * factor[k][t]).sum::<f64>()
                    + if i == k { 0.05 } else { 0.0 };
            }
        }
        let gradient = std::array::from_fn(|_| 3.0 * random.symmetric());
        let inside: [f64; N] = std::array::from_fn(|_| random.symmetric());
        let constraints = (0..rows)
            .map(|row| {
                let size = [1.0, 1.0, 100.0, 0.01][random.below(4)];
                let normal: [f64; N] = std::array::from_fn(|_| size * random.symmetric());
                let at: f64 = normal.iter().zip(inside).map(|(a, x)| a * x).sum();
                let gap = if row < equalities {
                    0.0
                } else {
                    slack * size * random.unit()
                };
                Constraint::new(normal, at - gap)
            })
            .collect();
        Self {
            hessian,
            gradient,
            equalities,
            constraints,
        }
    }

    fn program(&self) -> QuadraticProgram<'_, N> {
        QuadraticProgram {
            hessian: &self.hessian,
            gradient: &self.gradient,
            equalities: self.equalities,
            constraints: &self.constraints,
        }
    }

    fn clarabel(&self) -> (SolverStatus, Vec<f64>) {
        let upper: Vec<Vec<f64>> = (0..N)
            .map(|i| {
                (0..N)
                    .map(|k| if i <= k { self.hessian[i][k] } else { 0.0 })
                    .collect()
            })
            .collect();
        let hessian = CscMatrix::from(&upper);
        let rows: Vec<Vec<f64>> = self
            .constraints
            .iter()
            .map(|c| c.normal().iter().map(|a| -a).collect())
            .collect();
        let bounds: Vec<f64> = self.constraints.iter().map(|c| -c.bound()).collect();
        let cones = [
            SupportedConeT::ZeroConeT(self.equalities),
            SupportedConeT::NonnegativeConeT(self.constraints.len() - self.equalities),
        ];
        let settings = DefaultSettingsBuilder::default()
            .verbose(false)
            .build()
            .unwrap();
        let mut solver = DefaultSolver::new(
            &hessian,
            &self.gradient,
            &CscMatrix::from(&rows),
            &bounds,
            &cones,
            settings,
        )
        .unwrap();
        solver.solve();
        (solver.solution.status, solver.solution.x.clone())
    }

    /// Stationarity, feasibility, sign of the multipliers and complementarity: together they prove the minimum.
    fn assert_optimal(&self, solution: &Solution<N>, tolerance: f64) {
        assert_eq!(solution.status, Status::Optimal);
        let mut residual = self.gradient;
        for i in 0..N {
            residual[i] += (0..N)
                .map(|k| self.hessian[i][k] * solution.x[k])
                .sum::<f64>();
        }
        let mut size = 1.0f64;
        for (row, multiplier) in solution.active() {
            let constraint = &self.constraints[row];
            assert!(
                row < self.equalities || multiplier >= -tolerance,
                "multiplier {multiplier} of row {row}"
            );
            let scale = constraint
                .normal()
                .iter()
                .fold(1.0f64, |m, a| m.max(a.abs()));
            assert!(
                constraint.slack(&solution.x).abs() <= tolerance * scale,
                "active row {row} is met"
            );
            for i in 0..N {
                residual[i] -= multiplier * constraint.normal()[i];
                size = size.max((multiplier * constraint.normal()[i]).abs());
            }
        }
        assert!(
            residual.iter().all(|r| r.abs() <= tolerance * size),
            "stationary: {residual:?}"
        );
        for (row, constraint) in self.constraints.iter().enumerate() {
            let scale = constraint
                .normal()
                .iter()
                .fold(1.0f64, |m, a| m.max(a.abs()));
            let slack = constraint.slack(&solution.x) / scale;
            assert!(slack >= -tolerance, "row {row} is violated by {}", -slack);
            assert!(
                row >= self.equalities || slack.abs() <= tolerance,
                "equality {row} is met"
            );
        }
    }

    /// Σ λa = 0 with Σ λb > 0 and λ ≥ 0 on inequalities: no x can meet these rows.
    fn assert_contradiction(&self, solution: &Solution<N>) {
        let (mut sum, mut size, mut bound) = ([0.0; N], 0.0f64, 0.0);
        for (row, weight) in solution.active() {
            assert!(
                row < self.equalities || weight >= -1e-9,
                "weight {weight} of row {row}"
            );
            bound += weight * self.constraints[row].bound();
            for i in 0..N {
                sum[i] += weight * self.constraints[row].normal()[i];
                size = size.max((weight * self.constraints[row].normal()[i]).abs());
            }
        }
        assert!(
            sum.iter().all(|s| s.abs() <= 1e-8 * size),
            "normals cancel: {sum:?} of {size}"
        );
        assert!(bound > 0.0, "bounds do not cancel: {bound}");
    }
}

fn race_quadratic<const N: usize>(seed: u64) {
    let mut random = Generator(seed);
    let (mut optimal, mut infeasible, mut confirmed) = (0, 0, 0);
    for case in 0..120 {
        let rows = 1 + random.below(40);
        let equalities = random.below(3.min(N)).min(rows);
        // Every third program may lack a feasible point.
        let slack = if case % 3 == 0 { -0.05 } else { 0.5 };
        let quadratic = Quadratic::<N>::generate(&mut random, rows, equalities, slack);
        let solution = quadratic.program().solve();
        let (status, x) = quadratic.clarabel();
        match solution.status {
            Status::Infeasible { .. } => {
                infeasible += 1;
                quadratic.assert_contradiction(&solution);
                assert_ne!(status, SolverStatus::Solved);
                confirmed += usize::from(status == SolverStatus::PrimalInfeasible);
            }
            _ => {
                optimal += 1;
                quadratic.assert_optimal(&solution, 1e-9);
                assert_ne!(status, SolverStatus::PrimalInfeasible);
                // The interior-point method itself gives up on a few.
                if status != SolverStatus::Solved {
                    continue;
                }
                confirmed += 1;
                let program = quadratic.program();
                let (ours, theirs) = (
                    program.objective(&solution.x),
                    program.objective(&x.try_into().unwrap()),
                );
                assert!(
                    (ours - theirs).abs() <= 1e-6 * (1.0 + ours.abs()),
                    "{ours} and {theirs}"
                );
            }
        }
    }
    assert!(
        optimal >= 60 && infeasible >= 5,
        "both outcomes occur: {optimal}, {infeasible}"
    );
    assert!(
        confirmed >= 115,
        "only {confirmed} have an answer to compare with"
    );
}

#[test]
fn quadratic_agrees_with_an_interior_point_solver() {
    race_quadratic::<1>(1);
    race_quadratic::<2>(2);
    race_quadratic::<4>(4);
    race_quadratic::<6>(6);
    race_quadratic::<7>(7);
    race_quadratic::<16>(16);
}

#[test]
fn quadratic_takes_repeated_and_dependent_rows() {
    let mut random = Generator(77);
    for _ in 0..200 {
        let mut quadratic = Quadratic::<5>::generate(&mut random, 12, 2, 0.1);
        // Equalities repeated (once as twice itself), inequalities repeated, and a sum of two of them.
        let copies: Vec<Constraint<5>> = quadratic.constraints.clone();
        let doubled = Constraint::new(copies[0].normal().map(|a| 2.0 * a), 2.0 * copies[0].bound());
        quadratic.constraints.insert(2, copies[1]);
        quadratic.constraints.insert(2, doubled);
        quadratic.equalities = 4;
        quadratic.constraints.extend(&copies[2..]);
        let sum: [f64; 5] = std::array::from_fn(|i| copies[5].normal()[i] + copies[6].normal()[i]);
        quadratic
            .constraints
            .push(Constraint::new(sum, copies[5].bound() + copies[6].bound()));
        quadratic.assert_optimal(&quadratic.program().solve(), 1e-9);
    }
}

#[test]
fn quadratic_takes_a_vertex_where_many_rows_meet() {
    // All rows pass through one point, which is the minimum: far more active rows than variables.
    let mut random = Generator(5);
    for _ in 0..200 {
        let mut quadratic = Quadratic::<4>::generate(&mut random, 0, 0, 0.0);
        let apex: [f64; 4] = std::array::from_fn(|_| 10.0 * random.symmetric());
        let up: [f64; 4] = std::array::from_fn(|_| random.symmetric());
        for _ in 0..30 {
            let normal: [f64; 4] = std::array::from_fn(|i| up[i] + 0.3 * random.symmetric());
            quadratic.constraints.push(Constraint::new(
                normal,
                normal.iter().zip(apex).map(|(a, x)| a * x).sum(),
            ));
        }
        quadratic.gradient = up.map(|u| 100.0 * u);
        quadratic.assert_optimal(&quadratic.program().solve(), 1e-8);
    }
}

#[test]
fn quadratic_names_what_is_wrong() {
    let (hessian, gradient) = ([[1.0, 0.0], [0.0, 1.0]], [0.0, 0.0]);
    let solve = |hessian: &[[f64; 2]; 2], constraints: &[Constraint<2>]| {
        QuadraticProgram {
            hessian,
            gradient: &gradient,
            equalities: 0,
            constraints,
        }
        .solve()
    };
    let apart = [
        Constraint::new([1.0, 0.0], 1.0),
        Constraint::new([-1.0, 0.0], 1.0),
    ];
    let solution = solve(&hessian, &apart);
    assert!(matches!(solution.status, Status::Infeasible { .. }));
    assert_eq!((solution.multiplier(0), solution.multiplier(1)), (1.0, 1.0));
    let impossible = [Constraint::new([0.0, 0.0], 1.0)];
    assert_eq!(
        solve(&hessian, &impossible).status,
        Status::Infeasible { constraint: 0 }
    );
    let empty = [Constraint::new([0.0, 0.0], -1.0)];
    assert_eq!(solve(&hessian, &empty).status, Status::Optimal);
    assert_eq!(
        solve(&[[1.0, 0.0], [2.0, 1.0]], &[]).status,
        Status::NotConvex
    );
    assert_eq!(
        solve(&[[1.0, 0.0], [f64::NAN, 1.0]], &[]).status,
        Status::Invalid
    );
    for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
        assert_eq!(
            solve(&hessian, &[Constraint::new([1.0, bad], 1.0)]).status,
            Status::Invalid
        );
        assert_eq!(
            solve(&hessian, &[Constraint::new([1.0, 0.0], bad)]).status,
            Status::Invalid
        );
    }
}

proptest! {
    #[test]
    fn quadratic_is_finite_whatever_comes_in(
        hessian in prop::array::uniform3(prop::array::uniform3(any_number())),
        diagonal in 0.0..100.0f64,
        gradient in prop::array::uniform3(any_number()),
        rows in prop::collection::vec((prop::array::uniform3(any_number()), any_number()), 0..12),
        equalities in 0..14usize,
    ) {
        let mut hessian = hessian;
        (0..3).for_each(|i| hessian[i][i] += diagonal);
        let constraints: Vec<_> = rows.iter().map(|&(normal, bound)| Constraint::new(normal, bound)).collect();
        let solution = QuadraticProgram { hessian: &hessian, gradient: &gradient, equalities, constraints: &constraints }.solve();
        prop_assert!(solution.x.iter().all(|v| v.is_finite()));
        prop_assert!(solution.active().all(|(_, multiplier)| multiplier.is_finite()));
        let finite = rows.iter().all(|(normal, bound)| bound.is_finite() && normal.iter().all(|v| v.is_finite()));
        prop_assert!(finite || !matches!(solution.status, Status::Optimal));
    }
}
