//! Races the two programs against general solvers on problems of the size that stance and hold pose.

use clarabel::algebra::CscMatrix;
use clarabel::solver::{DefaultSettingsBuilder, DefaultSolver, IPSolver, SupportedConeT};
use criterion::{Criterion, criterion_group, criterion_main};
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

criterion_group!(benches, quadratic);
criterion_main!(benches);
