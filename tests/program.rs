//! The linear program and its projections against independent solvers and against their own optimality conditions.

#![allow(clippy::unwrap_used, reason = "a test may panic")]
#![allow(
    clippy::needless_range_loop,
    reason = "rows and columns are addressed by index, as in the formulas"
)]

mod generate;

use generate::{Generator, any_number};
use proptest::prelude::*;
use sledstance::program::linear::{self, Limit, Program, Range, Side};
use sledstance::program::polygon::{Polygon, polygon};

/// A linear program as data.
#[derive(Debug, Clone)]
struct Linear {
    objective: Vec<f64>,
    variables: Vec<Range>,
    rows: Vec<(Vec<f64>, Range)>,
}

/// Least and greatest value of weight · v for v in the range; a weight that is rounding counts as none.
fn greatest(weight: f64, range: Range) -> f64 {
    if weight > 0.0 {
        weight * range.high
    } else if weight < 0.0 {
        weight * range.low
    } else {
        0.0
    }
}

fn product(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

impl Linear {
    /// A feasible point lies inside when the margin is positive; ranges are of every kind.
    fn generate(random: &mut Generator, margin: f64) -> Self {
        let (n, m) = (1 + random.below(13), random.below(25));
        let density = [1.0, 0.6, 0.3][random.below(3)];
        // Columns and rows in different units.
        let columns: Vec<f64> = (0..n)
            .map(|_| [1.0, 1.0, 1000.0, 0.01][random.below(4)])
            .collect();
        let inside: Vec<f64> = columns.iter().map(|c| random.symmetric() / c).collect();
        let range = |random: &mut Generator, at: f64, size: f64, equality: bool| {
            let (below, above) = (margin * size * random.unit(), margin * size * random.unit());
            // Often exactly through the point: a degenerate vertex.
            let (below, above) = if random.unit() < 0.3 {
                (0.0, above)
            } else {
                (below, above)
            };
            match random.below(4) {
                _ if equality => Range::exactly(at),
                0 => Range::at_least(at - below),
                1 => Range::at_most(at + above),
                2 if random.unit() < 0.5 => Range::FREE,
                _ => Range::between((at - below).min(at + above), at + above),
            }
        };
        let variables = (0..n)
            .map(|j| range(random, inside[j], 2.0 / columns[j], false))
            .collect();
        let equalities = random.below(4.min(n));
        let rows = (0..m)
            .map(|i| {
                let unit = [1.0, 1.0, 300.0][random.below(3)];
                let row: Vec<f64> = (0..n)
                    .map(|j| {
                        if random.unit() < density {
                            unit * columns[j] * random.symmetric()
                        } else {
                            0.0
                        }
                    })
                    .collect();
                let at = product(&row, &inside);
                (row, range(random, at, 2.0 * unit, i < equalities))
            })
            .collect();
        let objective = columns.iter().map(|c| c * random.symmetric()).collect();
        Self {
            objective,
            variables,
            rows,
        }
    }

    fn program(&self) -> Program {
        Program::new(&self.variables, &self.rows)
    }

    /// Magnitude of the terms of a row: what its rounding is measured against.
    fn size(row: &[f64], x: &[f64]) -> f64 {
        row.iter()
            .zip(x)
            .fold(0.0, |size: f64, (a, x)| size.max((a * x).abs()))
    }

    /// c = Aᵀy + z.
    fn assert_stationary(&self, c: &[f64], solution: &linear::Solution) {
        for j in 0..c.len() {
            let terms: Vec<f64> = self.rows.iter().map(|(row, _)| row[j]).collect();
            let size = c[j]
                .abs()
                .max(solution.reduced_costs[j].abs())
                .max(Self::size(&terms, &solution.row_duals));
            let residual = c[j] - product(&terms, &solution.row_duals) - solution.reduced_costs[j];
            assert!(
                residual.abs() <= 1e-8 * size,
                "column {j}: {residual} of {size}"
            );
        }
    }

    fn assert_feasible(&self, x: &[f64]) {
        for (j, (range, x)) in self.variables.iter().zip(x).enumerate() {
            let allowed = 1e-7 * (1e-3 + x.abs());
            assert!(
                *x >= range.low - allowed && *x <= range.high + allowed,
                "variable {j}: {x} in {range:?}"
            );
        }
        for (i, (row, range)) in self.rows.iter().enumerate() {
            let (value, allowed) = (product(row, x), 1e-7 * (1.0 + Self::size(row, x)));
            assert!(
                value >= range.low - allowed && value <= range.high + allowed,
                "row {i}: {value} in {range:?}"
            );
        }
    }

    /// Feasible, stationary, with duals of the right sign at the ends that hold: together they prove the optimum.
    fn assert_proven(&self, solution: &linear::Solution) {
        match solution.status {
            linear::Status::Optimal => {
                self.assert_feasible(&solution.x);
                self.assert_stationary(&self.objective, solution);
                for binding in solution.bindings() {
                    let (value, range) = match binding.limit {
                        Limit::Row(i) => (solution.rows[i], self.rows[i].1),
                        Limit::Variable(j) => (solution.x[j], self.variables[j]),
                    };
                    let end = if binding.side == Side::High {
                        range.high
                    } else {
                        range.low
                    };
                    assert!(
                        binding.side != Side::Between && (value - end).abs() <= 1e-12 * end.abs(),
                        "{binding:?}"
                    );
                    let wrong = if binding.side == Side::High {
                        -binding.dual
                    } else {
                        binding.dual
                    };
                    let size = self
                        .objective
                        .iter()
                        .fold(0.0, |size: f64, c| size.max(c.abs()));
                    assert!(wrong <= 1e-7 * size, "sign of {binding:?}");
                }
                for (i, (row, _)) in self.rows.iter().enumerate() {
                    let error = (solution.rows[i] - product(row, &solution.x)).abs();
                    assert!(
                        error <= 1e-8 * (1.0 + Self::size(row, &solution.x)),
                        "value of row {i}"
                    );
                }
            }
            linear::Status::Infeasible => {
                self.assert_stationary(&vec![0.0; self.variables.len()], solution);
                let rows: f64 = self
                    .rows
                    .iter()
                    .zip(&solution.row_duals)
                    .map(|((_, r), y)| greatest(*y, *r))
                    .sum();
                let variables = self.variables.iter().zip(&solution.reduced_costs);
                let variables: f64 = variables.map(|(range, z)| greatest(*z, *range)).sum();
                assert!(
                    rows + variables < 0.0,
                    "the proof's greatest value is {rows} + {variables}"
                );
            }
            linear::Status::Unbounded => self.assert_feasible(&solution.x),
            status => panic!("{status:?}"),
        }
    }

    fn microlp(&self) -> Result<f64, microlp::Error> {
        let mut problem = microlp::Problem::new(microlp::OptimizationDirection::Maximize);
        let variables: Vec<_> = self
            .objective
            .iter()
            .zip(&self.variables)
            .map(|(c, r)| problem.add_var(*c, (r.low, r.high)))
            .collect();
        for (row, range) in &self.rows {
            let terms: Vec<_> = variables
                .iter()
                .copied()
                .zip(row.iter().copied())
                .filter(|t| t.1 != 0.0)
                .collect();
            if range.low == range.high {
                problem.add_constraint(&terms, microlp::ComparisonOp::Eq, range.low);
                continue;
            }
            if range.low.is_finite() {
                problem.add_constraint(&terms, microlp::ComparisonOp::Ge, range.low);
            }
            if range.high.is_finite() {
                problem.add_constraint(&terms, microlp::ComparisonOp::Le, range.high);
            }
        }
        problem
            .solve()
            .map(|outcome| outcome.into_solution().unwrap().objective())
    }
}

#[test]
fn linear_solves_the_worked_example() {
    // SciPy's documentation of linprog, from memory, checked by hand: minimise −x0 + 4 x1.
    let rows = [
        (vec![-3.0, 1.0], Range::at_most(6.0)),
        (vec![1.0, 2.0], Range::at_most(4.0)),
    ];
    let mut program = Program::new(&[Range::FREE, Range::at_least(-3.0)], &rows);
    let solution = program.solve(&[1.0, -4.0]);
    assert_eq!(solution.status, linear::Status::Optimal);
    assert_eq!(
        (solution.x.as_slice(), solution.objective),
        ([10.0, -3.0].as_slice(), 22.0)
    );
    // Moving the second row up by 1 moves x0 by 1; moving the bound up by 1 costs 4, and 2 through the row.
    assert_eq!(
        (solution.row_duals.as_slice(), solution.reduced_costs[1]),
        ([0.0, 1.0].as_slice(), -6.0)
    );
    let limits: Vec<_> = solution
        .bindings()
        .map(|binding| (binding.limit, binding.side))
        .collect();
    assert_eq!(
        limits,
        [(Limit::Row(1), Side::High), (Limit::Variable(1), Side::Low)]
    );
    let back = program.resolve(&[-1.0, 0.0]);
    assert!((back.objective - 3.0).abs() < 1e-12 && (back.x[1] + 3.0).abs() < 1e-12);
}

#[test]
fn linear_agrees_with_another_simplex_method_and_proves_itself() {
    let mut random = Generator(2);
    let mut count = [0; 3];
    for case in 0..1200 {
        let linear = Linear::generate(&mut random, if case % 4 == 0 { -0.1 } else { 1.0 });
        let mut program = linear.program();
        let solution = program.solve(&linear.objective).clone();
        linear.assert_proven(&solution);
        match (solution.status, linear.microlp()) {
            (linear::Status::Optimal, Ok(theirs)) => {
                count[0] += 1;
                let size = Linear::size(&linear.objective, &solution.x);
                // The other method lets every range be exceeded by 1e-7, and profits.
                let duals = solution
                    .bindings()
                    .map(|binding| binding.dual.abs())
                    .sum::<f64>();
                let (difference, allowed) = (
                    (solution.objective - theirs).abs(),
                    1e-7 * (1.0 + size) + 2e-7 * duals,
                );
                assert!(
                    difference <= allowed,
                    "case {case}: {} and {theirs}",
                    solution.objective
                );
            }
            (linear::Status::Infeasible, Err(microlp::Error::Infeasible)) => count[1] += 1,
            (linear::Status::Unbounded, Err(microlp::Error::Unbounded)) => count[2] += 1,
            (ours, theirs) => panic!("case {case}: {ours:?} and {theirs:?}"),
        }
    }
    assert!(
        count.iter().all(|&n| n >= 60),
        "every outcome occurs: {count:?}"
    );
}

#[test]
fn linear_resolves_to_what_a_fresh_solve_finds() {
    let mut random = Generator(3);
    let (mut resolved, mut fresh) = (0, 0);
    for _ in 0..100 {
        let mut linear = Linear::generate(&mut random, 1.0);
        let mut program = linear.program();
        let objective = linear.objective.clone();
        for _ in 0..20 {
            for (c, base) in linear.objective.iter_mut().zip(&objective) {
                *c = base * (1.0 + 3.0 * random.symmetric());
            }
            let again = program.resolve(&linear.objective).clone();
            linear.assert_proven(&again);
            let first = linear.program().solve(&linear.objective).clone();
            assert_eq!(again.status, first.status);
            if first.status == linear::Status::Optimal {
                let size = Linear::size(&linear.objective, &first.x);
                let difference = (again.objective - first.objective).abs();
                assert!(
                    difference <= 1e-8 * (1.0 + size),
                    "{} and {}",
                    again.objective,
                    first.objective
                );
            }
            resolved += again.pivots;
            fresh += first.pivots;
        }
    }
    assert!(
        2 * resolved < fresh,
        "the basis helps: {resolved} pivots against {fresh}"
    );
}

/// What tests/reference/programs.py writes.
#[derive(serde::Deserialize)]
struct Reference {
    objective: Vec<f64>,
    rows: Vec<Vec<f64>>,
    row_ranges: Vec<(Option<f64>, Option<f64>)>,
    variable_ranges: Vec<(Option<f64>, Option<f64>)>,
    status: String,
    optimum: Option<f64>,
}

#[test]
fn linear_agrees_with_highs() {
    let cases: Vec<Reference> = serde_json::from_str(include_str!("cases/programs.json")).unwrap();
    assert_eq!(cases.len(), 200);
    let range = |(low, high): &(Option<f64>, Option<f64>)| {
        Range::between(
            low.unwrap_or(f64::NEG_INFINITY),
            high.unwrap_or(f64::INFINITY),
        )
    };
    for (number, case) in cases.iter().enumerate() {
        let linear = Linear {
            objective: case.objective.clone(),
            variables: case.variable_ranges.iter().map(range).collect(),
            rows: case
                .rows
                .iter()
                .cloned()
                .zip(case.row_ranges.iter().map(range))
                .collect(),
        };
        let mut program = linear.program();
        let solution = program.solve(&linear.objective);
        let status = match solution.status {
            linear::Status::Optimal => "optimal",
            linear::Status::Infeasible => "infeasible",
            linear::Status::Unbounded => "unbounded",
            _ => "none",
        };
        assert_eq!(status, case.status, "case {number}");
        linear.assert_proven(solution);
        if let Some(optimum) = case.optimum {
            let difference = (solution.objective - optimum).abs();
            assert!(
                difference <= 1e-7 * (1.0 + optimum.abs()),
                "case {number}: {} and {optimum}",
                solution.objective
            );
        }
    }
}

#[test]
fn linear_passes_the_classic_cycle() {
    // Beale (1955, Naval Research Logistics Quarterly 2:269-275), from memory: Dantzig's rule alone returns to the first basis.
    let rows = [
        (vec![0.25, -8.0, -1.0, 9.0], Range::at_most(0.0)),
        (vec![0.5, -12.0, -0.5, 3.0], Range::at_most(0.0)),
        (vec![0.0, 0.0, 1.0, 0.0], Range::at_most(1.0)),
    ];
    let mut program = Program::new(&[Range::at_least(0.0); 4], &rows);
    let solution = program.solve(&[0.75, -20.0, 0.5, -6.0]);
    assert_eq!(
        (solution.status, solution.objective),
        (linear::Status::Optimal, 1.25)
    );
}

#[test]
fn linear_stays_right_under_blands_rule() {
    // Without patience Bland's rule makes every pivot.
    let settings = linear::Settings {
        patience: 0,
        pivots_per_row: 1000,
        ..linear::Settings::default()
    };
    let mut random = Generator(4);
    for _ in 0..200 {
        let linear = Linear::generate(&mut random, 1.0);
        let mut program = Program::with_settings(&linear.variables, &linear.rows, &settings);
        let ours = program.solve(&linear.objective).clone();
        linear.assert_proven(&ours);
        assert_eq!(
            ours.status,
            linear.program().solve(&linear.objective).status
        );
    }
}

#[test]
fn linear_names_what_is_wrong() {
    let one = [(vec![1.0], Range::at_most(2.0))];
    let mut program = Program::new(&[Range::between(3.0, 1.0)], &one);
    let solution = program.solve(&[1.0]);
    assert_eq!(
        (solution.status, solution.empty),
        (linear::Status::Infeasible, Some(Limit::Variable(0)))
    );
    let mut program = Program::new(&[Range::at_least(3.0)], &one);
    let solution = program.solve(&[1.0]);
    assert_eq!(solution.status, linear::Status::Infeasible);
    let limits: Vec<_> = solution
        .bindings()
        .map(|binding| (binding.limit, binding.side))
        .collect();
    assert_eq!(
        limits,
        [(Limit::Row(0), Side::High), (Limit::Variable(0), Side::Low)]
    );
    let status = |variable: Range, coefficients: &[f64], range: Range, objective: &[f64]| {
        Program::new(&[variable], &[(coefficients, range)])
            .solve(objective)
            .status
    };
    use linear::Status::{Invalid, Optimal, Unbounded};
    assert_eq!(
        status(Range::FREE, &[0.0], Range::at_most(0.0), &[1.0]),
        Unbounded
    );
    assert_eq!(
        status(Range::FREE, &[0.0], Range::at_most(0.0), &[0.0]),
        Optimal
    );
    assert_eq!(
        status(Range::FREE, &[0.0], Range::at_least(1.0), &[0.0]),
        linear::Status::Infeasible
    );
    assert_eq!(
        status(Range::FREE, &[1.0], Range::at_most(f64::NAN), &[1.0]),
        Invalid
    );
    assert_eq!(
        status(Range::FREE, &[1.0], Range::at_least(f64::INFINITY), &[1.0]),
        Invalid
    );
    assert_eq!(
        status(Range::at_most(f64::NAN), &[1.0], Range::FREE, &[1.0]),
        Invalid
    );
    assert_eq!(
        status(Range::FREE, &[1.0, 2.0], Range::at_most(1.0), &[1.0]),
        Invalid
    );
    assert_eq!(
        status(Range::FREE, &[f64::INFINITY], Range::at_most(1.0), &[1.0]),
        Invalid
    );
    assert_eq!(
        status(Range::FREE, &[1.0], Range::at_most(1.0), &[f64::NAN]),
        Invalid
    );
    assert_eq!(
        status(Range::FREE, &[1.0], Range::at_most(1.0), &[]),
        Invalid
    );
}

/// Support function of a polygon: the greatest du·u + dv·v.
fn support(polygon: &Polygon, direction: [f64; 2]) -> f64 {
    let along = polygon
        .vertices
        .iter()
        .map(|vertex| direction[0] * vertex.u + direction[1] * vertex.v);
    along.fold(f64::NEG_INFINITY, f64::max)
}

#[test]
fn polygon_has_the_support_of_the_set_in_every_direction() {
    let mut random = Generator(6);
    let (mut traced, mut corners) = (0, 0);
    for _ in 0..300 {
        let mut linear = Linear::generate(&mut random, 1.0);
        if linear.variables.len() < 3 {
            continue;
        }
        // Bounded, with corners of many rows.
        for range in &mut linear.variables {
            let size = if range.low.is_finite() {
                range.low.abs()
            } else {
                range.high.abs()
            };
            let reach = if size.is_finite() { size + 1.0 } else { 1.0 };
            *range = Range::between(range.low.max(-reach), range.high.min(reach));
        }
        let mut program = linear.program();
        let outline = polygon(&mut program, 0, 1);
        let mut objective = vec![0.0; linear.variables.len()];
        let empty = linear.program().solve(&objective).status == linear::Status::Infeasible;
        assert_eq!(outline.status == linear::Status::Infeasible, empty);
        if empty {
            continue;
        }
        assert_eq!(outline.status, linear::Status::Optimal);
        traced += 1;
        corners += outline.vertices.len();
        let extent = |direction: [f64; 2]| {
            support(&outline, direction) + support(&outline, direction.map(|d| -d))
        };
        let (width, height) = (extent([1.0, 0.0]).max(1e-3), extent([0.0, 1.0]).max(1e-3));
        for step in 0..360 {
            let (sine, cosine) = libm::sincos(f64::from(step).to_radians());
            let direction = [cosine / width, sine / height];
            (objective[0], objective[1]) = (direction[0], direction[1]);
            let exact = program.resolve(&objective).objective;
            assert!(
                (support(&outline, direction) - exact).abs() <= 1e-6 * (1.0 + exact.abs()),
                "at {step}°"
            );
        }
        assert_edges(&linear, &outline, [width, height]);
    }
    assert!(
        traced >= 100 && corners > 4 * traced,
        "{corners} corners of {traced} polygons"
    );
}

/// Counter-clockwise and convex, and each edge follows from the ranges it names: n·(u, v) ≤ Σ dual·end on the set.
fn assert_edges(linear: &Linear, outline: &Polygon, [width, height]: [f64; 2]) {
    let count = outline.vertices.len();
    if count == 1 {
        return;
    }
    for (place, vertex) in outline.vertices.iter().enumerate() {
        let (next, after) = (
            &outline.vertices[(place + 1) % count],
            &outline.vertices[(place + 2) % count],
        );
        let arrive = [(next.u - vertex.u) / width, (next.v - vertex.v) / height];
        let leave = [(after.u - next.u) / width, (after.v - next.v) / height];
        let turn = arrive[0] * leave[1] - arrive[1] * leave[0];
        assert!(turn > 0.0 || count == 2, "turn of {turn} at {next:?}");
        let mut sum = vec![0.0; linear.variables.len()];
        let mut bound = 0.0;
        for binding in &vertex.edge {
            let range = match binding.limit {
                Limit::Row(i) => {
                    (0..sum.len()).for_each(|j| sum[j] += binding.dual * linear.rows[i].0[j]);
                    linear.rows[i].1
                }
                Limit::Variable(j) => {
                    sum[j] += binding.dual;
                    linear.variables[j]
                }
            };
            bound += binding.dual
                * if binding.side == Side::High {
                    range.high
                } else {
                    range.low
                };
        }
        let [u, v] = vertex.normal;
        assert!(
            (sum[0] - u).abs() + (sum[1] - v).abs() <= 1e-7,
            "{sum:?} is the normal {u}, {v}"
        );
        for end in [vertex, next] {
            let scale = (u * width).abs() + (v * height).abs();
            let along = u * end.u + v * end.v;
            assert!(
                (along - bound).abs() <= 1e-6 * (scale + along.abs()),
                "{along} is held at {bound}"
            );
        }
    }
}

#[test]
fn polygon_takes_every_shape() {
    let rows = |rows: &[([f64; 3], Range)]| {
        rows.iter()
            .map(|(row, range)| (row.to_vec(), *range))
            .collect()
    };
    let shape = |variables: [Range; 3], list: &[([f64; 3], Range)]| {
        let linear = Linear {
            objective: vec![0.0; 3],
            variables: variables.to_vec(),
            rows: rows(list),
        };
        let outline = polygon(&mut linear.program(), 0, 1);
        let corners: Vec<_> = outline
            .vertices
            .iter()
            .map(|vertex| [vertex.u, vertex.v])
            .collect();
        (outline.status, corners)
    };
    use linear::Status::{Infeasible, Invalid, Optimal, Unbounded};
    let unit = Range::between(0.0, 1.0);
    let sorted = |mut corners: Vec<[f64; 2]>| {
        corners.sort_by(|a, b| a.partial_cmp(b).unwrap());
        corners
    };
    let (status, corners) = shape([unit; 3], &[]);
    assert_eq!(
        (status, sorted(corners)),
        (
            Optimal,
            vec![[0.0, 0.0], [0.0, 1.0], [1.0, 0.0], [1.0, 1.0]]
        )
    );
    // u = v = w: a segment. u + v = 0 as well: a point.
    let equal = ([1.0, -1.0, 0.0], Range::exactly(0.0));
    assert_eq!(
        shape([unit; 3], &[equal]),
        (Optimal, vec![[1.0, 1.0], [0.0, 0.0]])
    );
    let opposite = ([1.0, 1.0, 0.0], Range::exactly(0.0));
    assert_eq!(
        shape([unit; 3], &[equal, opposite]),
        (Optimal, vec![[0.0, 0.0]])
    );
    let (status, corners) = shape([unit, Range::exactly(0.0), unit], &[]);
    assert_eq!(
        (status, sorted(corners)),
        (Optimal, vec![[0.0, 0.0], [1.0, 0.0]])
    );
    let (status, corners) = shape([Range::exactly(2e6), unit, unit], &[]);
    assert_eq!(
        (status, sorted(corners)),
        (Optimal, vec![[2e6, 0.0], [2e6, 1.0]])
    );
    let beyond = ([1.0, 1.0, 0.0], Range::at_least(3.0));
    assert_eq!(shape([unit; 3], &[beyond]), (Infeasible, vec![]));
    assert_eq!(
        shape([unit, Range::at_least(0.0), unit], &[]),
        (Unbounded, vec![])
    );
    let mut program = Program::new(&[unit; 3], &[(vec![1.0; 3], Range::FREE)]);
    assert_eq!(polygon(&mut program, 0, 0).status, Invalid);
    assert_eq!(polygon(&mut program, 0, 3).status, Invalid);
}

proptest! {
    #[test]
    fn linear_is_finite_whatever_comes_in(
        variables in prop::collection::vec((any_number(), any_number()), 0..5),
        rows in prop::collection::vec((prop::collection::vec(any_number(), 4), any_number(), any_number()), 0..8),
        objectives in prop::collection::vec(prop::collection::vec(any_number(), 4), 1..4),
    ) {
        let n = variables.len();
        let ranges: Vec<_> = variables.iter().map(|&(low, high)| Range::between(low, high)).collect();
        let rows: Vec<_> = rows.iter().map(|(row, low, high)| (&row[..n.min(4)], Range::between(*low, *high))).collect();
        let mut program = Program::new(&ranges, &rows);
        for objective in &objectives {
            let solution = program.resolve(&objective[..n.min(4)]);
            let numbers = solution.x.iter().chain(&solution.rows).chain(&solution.row_duals).chain(&solution.reduced_costs);
            prop_assert!(solution.objective.is_finite() && numbers.copied().all(f64::is_finite));
        }
        let outline = polygon(&mut program, 0, 1);
        prop_assert!(outline.vertices.iter().all(|vertex| vertex.u.is_finite() && vertex.v.is_finite()));
    }
}
