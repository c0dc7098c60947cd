//! Times the hold of one pose: setting up its rows, each named load cold, envelope, working load, everything; and races
//! the linear program of one load against a general simplex crate and an interior-point crate on the same numbers.

#![allow(
    clippy::expect_used,
    reason = "a bench without its inputs is of no use"
)]

#[path = "../bodies/mod.rs"]
mod bodies;

use std::hint::black_box;

use bodies::{ATTACK, Placed, READY, SEATED, place};
use clarabel::algebra::CscMatrix;
use clarabel::solver::{DefaultSettingsBuilder, DefaultSolver, IPSolver, SupportedConeT};
use criterion::{Criterion, criterion_group, criterion_main};
use microlp::{ComparisonOp, OptimizationDirection, Problem};
use sledstance::hold::{Options, Stated, Statics, evaluate};
use sledstance::rider::Sex;
use sledstance::stance::Load;

fn placed() -> Vec<(&'static str, Placed)> {
    let rider = bodies::rider(Sex::Male, 1780.0, 75.0);
    [("ready", READY), ("attack", ATTACK), ("seated", SEATED)]
        .map(|(name, figure)| (name, place(figure, &rider).expect("the hands reach")))
        .into()
}

fn hold(criterion: &mut Criterion) {
    let options = Options::default();
    for (name, placed) in placed() {
        let mut group = criterion.benchmark_group(format!("hold {name}"));
        let limits = placed.limits();
        group.bench_function("rows", |bench| {
            bench.iter(|| {
                Statics::new(
                    &placed.rider,
                    &placed.cockpit,
                    black_box(&placed.pose),
                    limits,
                    &options,
                )
            })
        });
        let statics = placed.statics(&options);
        for load in Load::ALL {
            group.bench_function(load.name(), |bench| {
                bench.iter(|| black_box(&statics).load_factor(load))
            });
        }
        group.bench_function("short_landing_1g with witness", |bench| {
            bench.iter(|| black_box(&statics).load(Load::ShortLanding1g))
        });
        group.bench_function("envelope", |bench| {
            bench.iter(|| black_box(&statics).envelope())
        });
        let Placed {
            rider,
            cockpit,
            stance,
            pose,
        } = &placed;
        group.bench_function("evaluate", |bench| {
            bench.iter(|| evaluate(rider, cockpit, stance, black_box(pose), &options))
        });
        group.finish();

        let stated = statics.stated(Load::ShortLanding1g);
        let mut group = criterion.benchmark_group(format!("one cold load {name}"));
        let mut objective = vec![0.0; stated.unknowns.len()];
        objective[stated.unknowns.len() - 1] = 1.0;
        let own = stated.program().solve(&objective).objective;
        assert!((own - simplex(&stated)).abs() < 1e-6 * own);
        assert!((own - interior(&stated)).abs() < 1e-4 * own);
        group.bench_function("own simplex", |bench| {
            bench.iter(|| black_box(&stated).program().solve(&objective).objective)
        });
        group.bench_function("microlp", |bench| {
            bench.iter(|| simplex(black_box(&stated)))
        });
        group.bench_function("clarabel", |bench| {
            bench.iter(|| interior(black_box(&stated)))
        });
        group.finish();
    }
}

fn simplex(stated: &Stated) -> f64 {
    let last = stated.unknowns.len() - 1;
    let mut problem = Problem::new(OptimizationDirection::Maximize);
    let x: Vec<_> = stated
        .unknowns
        .iter()
        .enumerate()
        .map(|(j, range)| {
            problem.add_var(if j == last { 1.0 } else { 0.0 }, (range.low, range.high))
        })
        .collect();
    for (row, range) in &stated.rows {
        let terms: Vec<_> = x
            .iter()
            .copied()
            .zip(row.as_ref().iter().copied())
            .collect();
        if range.low == range.high {
            problem.add_constraint(&terms, ComparisonOp::Eq, range.low);
            continue;
        }
        problem.add_constraint(&terms, ComparisonOp::Ge, range.low);
        problem.add_constraint(&terms, ComparisonOp::Le, range.high);
    }
    let outcome = problem.solve().expect("the program has an optimum");
    let solution = outcome.into_solution().expect("it is found in time");
    solution.objective()
}

fn interior(stated: &Stated) -> f64 {
    let n = stated.unknowns.len();
    let mut rows: Vec<Vec<f64>> = Vec::new();
    let mut bounds = Vec::new();
    for (row, range) in stated
        .rows
        .iter()
        .filter(|(_, range)| range.low == range.high)
    {
        rows.push(row.as_ref().to_vec());
        bounds.push(range.low);
    }
    let equalities = rows.len();
    let mut between = |row: Vec<f64>, low: f64, high: f64| {
        if high.is_finite() {
            rows.push(row.clone());
            bounds.push(high);
        }
        if low.is_finite() {
            rows.push(row.iter().map(|a| -a).collect());
            bounds.push(-low);
        }
    };
    for (row, range) in stated
        .rows
        .iter()
        .filter(|(_, range)| range.low < range.high)
    {
        between(row.as_ref().to_vec(), range.low, range.high);
    }
    for (j, range) in stated.unknowns.iter().enumerate() {
        let row = (0..n).map(|k| if k == j { 1.0 } else { 0.0 }).collect();
        between(row, range.low, range.high);
    }
    let cones = [
        SupportedConeT::ZeroConeT(equalities),
        SupportedConeT::NonnegativeConeT(bounds.len() - equalities),
    ];
    let mut gradient = vec![0.0; n];
    gradient[n - 1] = -1.0;
    let settings = DefaultSettingsBuilder::default()
        .verbose(false)
        .build()
        .expect("settings are valid");
    let mut solver = DefaultSolver::new(
        &CscMatrix::zeros((n, n)),
        &gradient,
        &CscMatrix::from(&rows),
        &bounds,
        &cones,
        settings,
    )
    .expect("the program is sound");
    solver.solve();
    solver.solution.x[n - 1]
}

criterion_group!(benches, hold);
criterion_main!(benches);
