//! Races the two programs against general solvers on problems of the size that stance and hold pose.

#![allow(clippy::expect_used, reason = "a bench may panic")]

use clarabel::algebra::CscMatrix;
use clarabel::solver::{DefaultSettingsBuilder, DefaultSolver, IPSolver, SupportedConeT};
use criterion::{Criterion, criterion_group, criterion_main};
use sledstance::program::linear::{self, Program, Range};
use sledstance::program::polygon::polygon;
use sledstance::program::quadratic::{Constraint, QuadraticProgram, Status};
use std::hint::black_box;

/// Six variables in a box of ±1 (12 rows) and 14 further rows; two of the 26 rows are active.
fn quadratic(criterion: &mut Criterion) {
    const N: usize = 6;
    let mut hessian = [[0.0; N]; N];
    for (i, row) in hessian.iter_mut().enumerate() {
        for (k, value) in row.iter_mut().enumerate() {
            *value = if i == k {
                4.0
            } else {
                1.0 / (1.0 + (i as f64 - k as f64).abs())
            };
        }
    }
    let gradient = [-9.0, 2.0, -1.0, 0.5, 1.0, -0.5];
    let mut constraints = Vec::new();
    for i in 0..N {
        for sign in [1.0, -1.0] {
            constraints.push(Constraint::new(
                std::array::from_fn(|k| if i == k { sign } else { 0.0 }),
                -1.0,
            ));
        }
    }
    for row in 0..14 {
        let normal = std::array::from_fn(|k| ((3 * row + 5 * k) % 11) as f64 / 5.0 - 1.0);
        constraints.push(Constraint::new(normal, if row == 1 { -0.5 } else { -2.5 }));
    }
    let program = QuadraticProgram {
        hessian: &hessian,
        gradient: &gradient,
        equalities: 0,
        constraints: &constraints,
    };
    let solution = program.solve();
    assert_eq!(
        (solution.status, solution.active().count()),
        (Status::Optimal, 2)
    );

    let mut group = criterion.benchmark_group("quadratic 6 x 26");
    group.bench_function("dual active set", |bench| {
        bench.iter(|| black_box(&program).solve())
    });
    let upper: Vec<Vec<f64>> = (0..N)
        .map(|i| {
            (0..N)
                .map(|k| if i <= k { hessian[i][k] } else { 0.0 })
                .collect()
        })
        .collect();
    let matrix = CscMatrix::from(&upper);
    let rows: Vec<Vec<f64>> = constraints
        .iter()
        .map(|c| c.normal().iter().map(|a| -a).collect())
        .collect();
    let rows = CscMatrix::from(&rows);
    let bounds: Vec<f64> = constraints.iter().map(|c| -c.bound()).collect();
    let cones = [SupportedConeT::NonnegativeConeT(bounds.len())];
    group.bench_function("clarabel", |bench| {
        bench.iter(|| {
            let settings = DefaultSettingsBuilder::default()
                .verbose(false)
                .build()
                .expect("settings are valid");
            let mut solver = DefaultSolver::new(
                &matrix,
                black_box(&gradient),
                &rows,
                &bounds,
                &cones,
                settings,
            )
            .expect("the program is well formed");
            solver.solve();
            solver.solution.obj_val
        });
    });
    group.finish();
}

/// Contacts of an invented standing rider, in mm (x forward, z up), with the directions in which they push.
const CONTACTS: [([f64; 2], [f64; 2]); 10] = [
    ([-50.0, 0.0], [1.0, 0.0]),    // ball, along the board
    ([-50.0, 0.0], [0.0, 1.0]),    // ball, up
    ([-250.0, 20.0], [1.0, 0.0]),  // heel, along the board
    ([-250.0, 20.0], [0.0, 1.0]),  // heel, up
    ([0.0, 30.0], [-1.0, 0.0]),    // toe stop, back
    ([-20.0, 90.0], [0.0, -1.0]),  // hoop, down
    ([250.0, 900.0], [1.0, 0.0]),  // grip, forward
    ([250.0, 900.0], [0.0, 1.0]),  // grip, up
    ([-400.0, 450.0], [1.0, 0.0]), // seat, along
    ([-400.0, 450.0], [0.0, 1.0]), // seat, up
];

/// Index of the grip's lateral force (in balance with itself) and of the load's growth λ.
const LATERAL: usize = 10;
const GROWTH: usize = 11;

/// Weight in N and centre of mass in mm of the rider.
const WEIGHT: f64 = 834.0;
const CENTRE: [f64; 2] = [-90.0, 820.0];

/// Joints: place in mm, contacts on the far side, share of the weight there and its centre, limits in N·mm.
#[allow(clippy::type_complexity, reason = "a table")]
const JOINTS: [([f64; 2], &[usize], f64, [f64; 2], [f64; 2]); 10] = [
    (
        [-190.0, 90.0],
        &[0, 1, 2, 3, 4, 5],
        0.03,
        [-120.0, 40.0],
        [-90e3, 250e3],
    ), // ankle
    (
        [50.0, 450.0],
        &[0, 1, 2, 3, 4, 5],
        0.12,
        [-60.0, 250.0],
        [-380e3, 230e3],
    ), // knee
    (
        [-300.0, 800.0],
        &[0, 1, 2, 3, 4, 5],
        0.32,
        [-100.0, 450.0],
        [-300e3, 420e3],
    ), // hip
    (
        [-290.0, 850.0],
        &[6, 7],
        0.60,
        [-50.0, 1100.0],
        [-260e3, 390e3],
    ), // lower trunk
    (
        [-20.0, 1200.0],
        &[6, 7],
        0.10,
        [100.0, 1050.0],
        [-160e3, 140e3],
    ), // shoulder
    ([60.0, 960.0], &[6, 7], 0.05, [150.0, 930.0], [-95e3, 130e3]), // elbow
    ([230.0, 905.0], &[6, 7], 0.01, [250.0, 900.0], [-25e3, 30e3]), // wrist
    ([0.0, 1300.0], &[], 0.09, [60.0, 1450.0], [-60e3, 40e3]),      // neck
    ([-190.0, 30.0], &[0, 1], 0.0, [0.0; 2], [-200e3, 200e3]),      // mid-foot
    (
        [-350.0, 600.0],
        &[8, 9],
        0.1,
        [-350.0, 600.0],
        [-250e3, 250e3],
    ), // seat on hip
];

type Row = (Vec<f64>, Range);

/// Twelve variables, 23 rows (3 of balance, 6 of friction, 10 joints, 4 of the hands); the load grows from standing.
fn hold() -> (Vec<Range>, Vec<Row>, Vec<f64>) {
    let direction = [-0.9, 0.4];
    let moment = |at: [f64; 2], about: [f64; 2], force: [f64; 2]| {
        (at[0] - about[0]) * force[1] - (at[1] - about[1]) * force[0]
    };
    let mut rows = Vec::new();
    for axis in 0..2 {
        let mut row: Vec<f64> = CONTACTS.iter().map(|(_, force)| force[axis]).collect();
        row.extend([0.0, -WEIGHT * direction[axis]]);
        rows.push((row, Range::exactly(if axis == 1 { WEIGHT } else { 0.0 })));
    }
    let mut row: Vec<f64> = CONTACTS
        .iter()
        .map(|(at, force)| moment(*at, [0.0; 2], *force))
        .collect();
    row.extend([0.0, -WEIGHT * moment(CENTRE, [0.0; 2], direction)]);
    rows.push((row, Range::exactly(WEIGHT * CENTRE[0])));
    for (along, up, friction) in [(0, 1, 0.6), (2, 3, 0.6), (8, 9, 0.4)] {
        for sign in [1.0, -1.0] {
            let mut row = vec![0.0; 12];
            (row[along], row[up]) = (sign, -friction);
            rows.push((row, Range::at_most(0.0)));
        }
    }
    for (about, contacts, share, centre, [low, high]) in JOINTS {
        let mut row = vec![0.0; 12];
        for &contact in contacts {
            row[contact] = moment(CONTACTS[contact].0, about, CONTACTS[contact].1);
        }
        row[LATERAL] = if contacts.contains(&6) {
            0.3 * (about[1] - 900.0)
        } else {
            0.0
        };
        row[GROWTH] = -share * WEIGHT * moment(centre, about, direction);
        let standing = -share * WEIGHT * (centre[0] - about[0]);
        rows.push((row, Range::between(low - standing, high - standing)));
    }
    for (coefficients, range) in [
        ([1.0, 0.0, 0.5], Range::between(-700.0, 1200.0)),
        ([0.0, 1.0, 0.5], Range::between(-500.0, 800.0)),
        ([0.7, 0.7, 0.0], Range::between(-600.0, 1000.0)),
        ([0.7, -0.7, 0.0], Range::between(-600.0, 1000.0)),
    ] {
        let mut row = vec![0.0; 12];
        row[6..9].copy_from_slice(&[coefficients[0], coefficients[1], 0.0]);
        row[LATERAL] = coefficients[2];
        rows.push((row, range));
    }
    let mut variables = vec![Range::FREE; 12];
    for contact in [1, 3, 9] {
        variables[contact] = Range::at_least(0.0);
    }
    variables[4] = Range::between(0.0, 1500.0);
    variables[5] = Range::between(0.0, 400.0);
    variables[LATERAL] = Range::between(-300.0, 300.0);
    variables[GROWTH] = Range::at_least(0.0);
    let mut objective = vec![0.0; 12];
    objective[GROWTH] = 1.0;
    (variables, rows, objective)
}

fn linear(criterion: &mut Criterion) {
    let (variables, rows, objective) = hold();
    assert_eq!((variables.len(), rows.len()), (12, 23));
    let mut program = Program::new(&variables, &rows);
    let solution = program.solve(&objective).clone();
    assert_eq!(solution.status, linear::Status::Optimal);
    let theirs = microlp(&variables, &rows, &objective);
    assert!(
        (solution.objective - theirs).abs() < 1e-7,
        "{} and {theirs}",
        solution.objective
    );
    println!(
        "load grows to {} in {} pivots",
        solution.objective, solution.pivots
    );

    let mut group = criterion.benchmark_group("linear 12 x 23");
    group.bench_function("state and solve", |bench| {
        bench.iter(|| {
            Program::new(black_box(&variables), black_box(&rows))
                .solve(&objective)
                .objective
        });
    });
    group.bench_function("solve", |bench| {
        bench.iter(|| program.solve(black_box(&objective)).objective)
    });
    // Objectives that turn through the plane of two grip forces.
    let turning: Vec<Vec<f64>> = [
        [1.0, 0.2],
        [0.6, 1.0],
        [-0.4, 1.0],
        [-1.0, 0.1],
        [-0.7, -1.0],
        [0.5, -1.0],
    ]
    .map(|[x, z]| {
        (0..12)
            .map(|j| {
                if j == 6 {
                    x
                } else if j == 7 {
                    z
                } else {
                    0.0
                }
            })
            .collect()
    })
    .to_vec();
    let mut place = 0;
    group.bench_function("re-solve", |bench| {
        bench.iter(|| {
            place = (place + 1) % turning.len();
            program.resolve(black_box(&turning[place])).objective
        });
    });
    let corners = polygon(&mut program, 6, 7).vertices.len();
    group.bench_function(format!("polygon of {corners} corners"), |bench| {
        bench.iter(|| polygon(black_box(&mut program), 6, 7));
    });
    group.bench_function("microlp", |bench| {
        bench.iter(|| microlp(black_box(&variables), &rows, &objective))
    });
    group.bench_function("clarabel", |bench| {
        bench.iter(|| clarabel(black_box(&variables), &rows, &objective))
    });
    group.finish();
}

fn microlp(variables: &[Range], rows: &[Row], objective: &[f64]) -> f64 {
    let mut problem = microlp::Problem::new(microlp::OptimizationDirection::Maximize);
    let variables: Vec<_> = objective
        .iter()
        .zip(variables)
        .map(|(c, range)| problem.add_var(*c, (range.low, range.high)))
        .collect();
    for (row, range) in rows {
        let terms: Vec<_> = variables
            .iter()
            .copied()
            .zip(row.iter().copied())
            .filter(|term| term.1 != 0.0)
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
    let outcome = problem.solve().expect("the program has an optimum");
    outcome
        .into_solution()
        .expect("it is found in time")
        .objective()
}

fn clarabel(variables: &[Range], rows: &[Row], objective: &[f64]) -> f64 {
    let n = variables.len();
    let units = (0..n).map(|j| {
        (0..n)
            .map(|k| if j == k { 1.0 } else { 0.0 })
            .collect::<Vec<f64>>()
    });
    let all: Vec<_> = rows
        .iter()
        .cloned()
        .chain(units.zip(variables.iter().copied()))
        .collect();
    let (mut matrix, mut bounds) = (Vec::new(), Vec::new());
    for (row, range) in all.iter().filter(|(_, range)| range.low == range.high) {
        matrix.push(row.clone());
        bounds.push(range.low);
    }
    let equalities = bounds.len();
    for (row, range) in all.iter().filter(|(_, range)| range.low != range.high) {
        if range.high.is_finite() {
            matrix.push(row.clone());
            bounds.push(range.high);
        }
        if range.low.is_finite() {
            matrix.push(row.iter().map(|a| -a).collect());
            bounds.push(-range.low);
        }
    }
    let cones = [
        SupportedConeT::ZeroConeT(equalities),
        SupportedConeT::NonnegativeConeT(bounds.len() - equalities),
    ];
    let minimised: Vec<f64> = objective.iter().map(|c| -c).collect();
    let settings = DefaultSettingsBuilder::default()
        .verbose(false)
        .build()
        .expect("settings are valid");
    let hessian = CscMatrix::zeros((n, n));
    let mut solver = DefaultSolver::new(
        &hessian,
        &minimised,
        &CscMatrix::from(&matrix),
        &bounds,
        &cones,
        settings,
    )
    .expect("the program is well formed");
    solver.solve();
    -solver.solution.obj_val
}

criterion_group!(benches, quadratic, linear);
criterion_main!(benches);
