//! How long it takes to say how sure everything is: a band of 200 riders, from nothing; one rider drawn and fitted anew, by
//! the body alone and by all that is uncertain; and one fitted again as if a measurement were taken, which is done 600
//! times after a band of 200.
#![allow(clippy::expect_used, reason = "a bench may panic")]

use std::time::Instant;

use criterion::{Criterion, criterion_group, criterion_main};
use sledstance::confidence::{Sampler, Sampling, fewest_draws};
use sledstance::fit::{self, Request};
use sledstance::rider::{RiderProfile, Sex};
use sledstance::sled::SledProfile;
use sledstance::sled::profile::SHIPPED;
use sledstance::stance::Stance;

fn benches(criterion: &mut Criterion) {
    let stances = Stance::shipped().expect("shipped");
    let rider = RiderProfile::of(Sex::Male, 1780.0, 79.0);
    let built = rider.build().expect("built");
    let mut group = criterion.benchmark_group("bands");
    group.sample_size(10);
    for shipped in SHIPPED {
        let sled = SledProfile::read(shipped.text).expect("shipped");
        let sled = sled.resolve().expect("checked");
        let request = Request::new(&built.rider, &sled, &stances);
        let settings = fit::fit(&request).best.settings;
        let sampler = |draws: usize| {
            let sampling = Sampling {
                draws: draws as u32,
                ..Sampling::default()
            };
            let mut sampler = Sampler::new(&built, &request, settings, sampling);
            // Past the whole searches, and the riders for whom all is looked at.
            while (sampler.drawn() as usize) < fewest_draws() {
                sampler.step();
            }
            sampler
        };
        let steps = |sampler: &mut Sampler, count: u64| {
            let begun = Instant::now();
            for _ in 0..count {
                assert!(sampler.step());
            }
            begun.elapsed()
        };
        group.bench_function(format!("{}, a band of 200", shipped.id), |bench| {
            bench.iter(|| {
                let sampling = Sampling {
                    measure_next: false,
                    ..Sampling::default()
                };
                let mut sampler = Sampler::new(&built, &request, settings, sampling);
                while sampler.step() {}
                sampler.confidence()
            });
        });
        let mut drawing = sampler(1_000_000);
        group.bench_function(format!("{}, a rider drawn", shipped.id), |bench| {
            bench.iter_custom(|count| steps(&mut drawing, count));
        });
        let drawn = sampler(fewest_draws());
        group.bench_function(format!("{}, a measurement tried", shipped.id), |bench| {
            bench.iter_custom(|count| {
                // Each sampler tries every body a few times and no more.
                let mut spent = std::time::Duration::ZERO;
                let mut left = count;
                while left > 0 {
                    let mut sampler = drawn.clone();
                    let now = left.min(fewest_draws() as u64);
                    spent += steps(&mut sampler, now);
                    left -= now;
                }
                spent
            });
        });
    }
    group.finish();
}

criterion_group!(all, benches);
criterion_main!(all);
