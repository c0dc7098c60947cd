//! Times what-ifs, reasons and answers to complaints, and where the time of a what-if goes.

#![allow(
    clippy::expect_used,
    reason = "a bench without its inputs is of no use"
)]

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use sledstance::change::{self, Asked};
use sledstance::fit::{self, Request};
use sledstance::hold::{Limits, Pace, Statics, leg_travel, steering_straight};
use sledstance::rider::{RiderProfile, Sex};
use sledstance::sled::profile::SHIPPED;
use sledstance::sled::{Cockpit, Settings, SledProfile};
use sledstance::stance::{Aim, Load, Problem, SEAT_SHARE_AT_FIRST, Stance};
use sledstance::units::Angle;

fn benches(criterion: &mut Criterion) {
    let sled = SledProfile::read(SHIPPED[0].text)
        .expect("shipped")
        .resolve()
        .expect("checked");
    let stances = Stance::shipped().expect("shipped");
    let rider = RiderProfile::of(Sex::Male, 1780.0, 79.0)
        .build()
        .expect("built")
        .rider;
    let request = Request::new(&rider, &sled, &stances);
    // Near the middle of everything, so that every step either way is there.
    let settings = Settings {
        riser: 2,
        clamp: 0,
        bar: 0,
        seat: 1,
        stirrup: -80.0,
        riser_angle: Angle::from_deg(12.0),
        bar_roll: Angle::ZERO,
    };
    let set_up = fit::evaluate(&request, settings);
    let steps = change::what_if(&request, &set_up).len();
    assert_eq!(steps, 13);
    criterion.bench_function("what if, all of 13 steps", |bench| {
        bench.iter(|| change::what_if(black_box(&request), black_box(&set_up)))
    });
    criterion.bench_function("why, five settings", |bench| {
        bench.iter(|| change::why(black_box(&request), black_box(&set_up)))
    });
    let mut group = criterion.benchmark_group("felt");
    group.sample_size(20);
    for id in ["numb_hands", "knees_hit"] {
        let asked = [Asked::new(id, 2).expect("known")];
        group.bench_function(id, |bench| {
            bench.iter(|| change::felt(black_box(&request), black_box(&set_up), &asked, None))
        });
    }
    group.finish();

    let mut group = criterion.benchmark_group("of a step");
    let cockpit = Cockpit::new(&sled, settings);
    let neighbour = Cockpit::new(
        &sled,
        Settings {
            riser_angle: Angle::from_deg(14.0),
            ..settings
        },
    );
    for stance in &stances {
        let problem = Problem::new(&rider, &cockpit, stance, SEAT_SHARE_AT_FIRST);
        let start = Problem::new(&rider, &neighbour, stance, SEAT_SHARE_AT_FIRST);
        let start = start.solve(Aim::Comfort);
        group.bench_function(format!("{} posture from 2°", stance.name), |bench| {
            bench.iter(|| black_box(&problem).solve_near(&start, Aim::Comfort))
        });
        let settled = problem.solve(Aim::Comfort);
        let pose = problem.pose(&settled);
        let limits = Limits::of(&rider, &cockpit, stance, &pose.angles);
        let statics = Statics::new(&rider, &cockpit, &pose, limits, &request.options);
        group.bench_function(format!("{} four loads", stance.name), |bench| {
            bench.iter(|| Load::ALL.map(|load| black_box(&statics).load_factor(load)))
        });
        group.bench_function(format!("{} working load", stance.name), |bench| {
            bench.iter(|| black_box(&statics).working())
        });
        group.bench_function(format!("{} steering", stance.name), |bench| {
            bench.iter(|| {
                steering_straight(&rider, &cockpit, stance, black_box(&pose), &request.options)
            })
        });
        if stance.contacts.seated {
            continue;
        }
        group.bench_function(format!("{} deepest sink", stance.name), |bench| {
            bench.iter(|| black_box(&problem).solve_near(&settled, Aim::Sink))
        });
        group.bench_function(format!("{} path of leg travel", stance.name), |bench| {
            bench.iter(|| {
                let mut last = settled;
                leg_travel(
                    |sink| {
                        let aim = Aim::HipsAtMost(pose.points.hip.z - sink);
                        let next = black_box(&problem).solve_near(&last, aim);
                        if !next.feasible() {
                            return Err(String::new());
                        }
                        last = next;
                        Ok(pose)
                    },
                    |_| 0.0,
                    1.0,
                    Pace::SHOWN,
                )
            })
        });
    }
    group.finish();
}

criterion_group!(all, benches);
criterion_main!(all);
