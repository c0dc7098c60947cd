//! Times the fit's parts and a whole fit.

#![allow(
    clippy::expect_used,
    reason = "a bench without its inputs is of no use"
)]

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use sledstance::fit::{self, FitStatus, Request};
use sledstance::rider::{RiderProfile, Sex};
use sledstance::sled::profile::SHIPPED;
use sledstance::sled::{Cockpit, Settings, Sled, SledProfile};
use sledstance::stance::{Aim, Problem, SEAT_SHARE_AT_FIRST, Stance};
use sledstance::units::Angle;

/// Five risers, nine stirrup positions, three seats, one clamp, one bar.
fn sled() -> Sled {
    let mut sled = SledProfile::read(SHIPPED[0].text)
        .expect("shipped")
        .resolve()
        .expect("checked");
    sled.clamps.truncate(1);
    sled.bars.truncate(1);
    sled.seats.truncate(3);
    assert!(sled.risers.len() == 5 && sled.stirrup.positions.len() == 9 && sled.seats.len() == 3);
    sled
}

fn settings() -> Settings {
    Settings {
        riser: 2,
        clamp: 0,
        bar: 0,
        seat: 1,
        stirrup: -80.0,
        riser_angle: Angle::from_deg(12.0),
        bar_roll: Angle::ZERO,
    }
}

fn benches(criterion: &mut Criterion) {
    let profile = RiderProfile::of(Sex::Male, 1780.0, 79.0);
    let sled = sled();
    let stances = Stance::shipped().expect("shipped");
    criterion.bench_function("rider built", |bench| {
        bench.iter(|| black_box(&profile).build().expect("built"))
    });
    let rider = profile.build().expect("built").rider;

    let mut group = criterion.benchmark_group("posture");
    let cockpit = Cockpit::new(&sled, settings());
    // A neighbour: one degree of riser angle away.
    let neighbour = Cockpit::new(
        &sled,
        Settings {
            riser_angle: Angle::from_deg(13.0),
            ..settings()
        },
    );
    for stance in &stances {
        let problem = Problem::new(&rider, &cockpit, stance, SEAT_SHARE_AT_FIRST);
        group.bench_function(format!("{} cold", stance.name), |bench| {
            bench.iter(|| black_box(&problem).solve(Aim::Comfort))
        });
        let start = Problem::new(&rider, &neighbour, stance, SEAT_SHARE_AT_FIRST);
        let start = start.solve(Aim::Comfort);
        group.bench_function(format!("{} near", stance.name), |bench| {
            bench.iter(|| black_box(&problem).solve_near(&start, Aim::Comfort))
        });
    }
    group.finish();

    let request = Request::new(&rider, &sled, &stances);
    let mut group = criterion.benchmark_group("fit");
    group.sample_size(10);
    group.bench_function("objective from scratch", |bench| {
        bench.iter(|| fit::objective(black_box(&request), settings()))
    });
    group.bench_function("evaluate", |bench| {
        bench.iter(|| fit::evaluate(black_box(&request), settings()))
    });
    assert_eq!(fit::fit(&request).status, FitStatus::Fits);
    group.bench_function("whole, 5 risers, 9 positions, 3 seats", |bench| {
        bench.iter(|| fit::fit(black_box(&request)))
    });
    // The costliest answer: which of some thirty changes of parts would help.
    let mut far = sled.clone();
    far.steering.base_x += 900.0;
    let far = Request {
        sled: &far,
        ..request
    };
    assert_ne!(fit::fit(&far).status, FitStatus::Fits);
    group.bench_function("infeasible, with what would help", |bench| {
        bench.iter(|| fit::fit(black_box(&far)))
    });
    group.finish();
}

criterion_group!(all, benches);
criterion_main!(all);
