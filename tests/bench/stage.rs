//! What a dragged frame asks of the drawing: the stage with every stance, and its elements. Postures have their bench in
//! `fit`; the browser's part is timed by `tests/browser/measure.mjs`.
#![allow(clippy::expect_used, reason = "a bench may panic")]

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use sledstance::fit::{Request, fit};
use sledstance::rider::{RiderProfile, Sex};
use sledstance::sled::profile::SHIPPED;
use sledstance::sled::{Cockpit, SledProfile};
use sledstance::stance::Stance;
use sledstance::units::text::System;
use sledstance::view::stage::{Scene, Shown, Viewport, stage};
use sledstance::view::svg;

fn benches(criterion: &mut Criterion) {
    let stances = Stance::shipped().expect("shipped");
    let built = RiderProfile::of(Sex::Male, 1780.0, 79.0)
        .build()
        .expect("built");
    let sled = SledProfile::read(SHIPPED[0].text).expect("shipped");
    let sled = sled.resolve().expect("checked");
    let best = fit(&Request::new(&built.rider, &sled, &stances)).best;
    let cockpit = Cockpit::new(&sled, best.settings);
    let others: Vec<Shown> = (1..stances.len())
        .filter_map(|i| Shown::of(&best, &stances, i))
        .collect();
    let alone = Scene::of(
        &built.rider,
        &cockpit,
        &best,
        &stances,
        0,
        System::default(),
    )
    .expect("the stance in front");
    let scene = Scene {
        others: &others,
        handles: true,
        ..alone
    };
    let mut group = criterion.benchmark_group("stage");
    for (name, width, height) in [
        ("laptop", 1080.0, 760.0),
        ("tablet", 820.0, 640.0),
        ("phone", 390.0, 430.0),
    ] {
        let size = Viewport { width, height };
        group.bench_function(format!("{name}, drawn"), |bench| {
            bench.iter(|| stage(black_box(&scene), size));
        });
        let drawn = stage(&scene, size);
        group.bench_function(format!("{name}, its groups"), |bench| {
            bench.iter(|| svg::groups(black_box(&drawn)));
        });
    }
    group.finish();
}

criterion_group!(all, benches);
criterion_main!(all);
