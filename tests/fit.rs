//! The fit: never worse than a dense grid, the same twice, what is kept stays, and infeasible says what binds.

#![allow(clippy::unwrap_used, reason = "a test may panic")]

use std::sync::LazyLock;

use proptest::prelude::*;
use rayon::prelude::*;
use sledstance::fit::{self, Fit, FitStatus, Keep, Preferences, Request, SetUp};
use sledstance::rider::{Measurement, Rider, RiderProfile, Sex};
use sledstance::sled::profile::SHIPPED as SLEDS;
use sledstance::sled::{RiserAngles, Settings, Sled, SledProfile};
use sledstance::stance::{Load, Stance};
use sledstance::units::Angle;

/// How much better than the fit a grid point may be: a third of what the pull to mid-adjustment costs at both ends.
const NEVER_WORSE: f64 = 2e-3;

/// How far the search's value of the best, its postures reached from their neighbours', may lie from the reported one,
/// which is solved from scratch.
const FROM_SCRATCH: f64 = 5e-3;

/// The same over every shipped rider and sled: the deepest sink, and with it leg travel, has basins a few mm apart.
const OTHER_BASIN: f64 = 2e-2;

static STANCES: LazyLock<Vec<Stance>> = LazyLock::new(|| Stance::shipped().unwrap());

fn deg(d: f64) -> Angle {
    Angle::from_deg(d)
}

fn rider(sex: Sex, stature: f64, mass: f64) -> Rider {
    RiderProfile::of(sex, stature, mass).build().unwrap().rider
}

fn shipped_sled(index: usize) -> Sled {
    SledProfile::read(SLEDS[index].text)
        .unwrap()
        .resolve()
        .unwrap()
}

/// A shipped sled with little in stock: one bar, one clamp, three risers, five stirrup positions, two seats.
fn cut_down(index: usize) -> Sled {
    let mut sled = shipped_sled(index);
    sled.bars.truncate(1);
    sled.clamps.truncate(1);
    sled.risers = vec![sled.risers[1], sled.risers[2], sled.risers[4]];
    let all = sled.stirrup.positions.clone();
    sled.stirrup.positions = (0..5).map(|i| all[i * (all.len() - 1) / 4]).collect();
    sled.seats = vec![sled.seats[0].clone(), sled.seats.last().unwrap().clone()];
    sled
}

/// A sled with a choice small enough for tests that only look at what stays.
fn small(index: usize) -> Sled {
    let mut sled = cut_down(index);
    sled.risers.remove(0);
    let all = &sled.stirrup.positions;
    sled.stirrup.positions = vec![all[0], all[2], all[3]];
    sled
}

/// The reported objective is that of the settings solved from scratch, its parts sum to it, and the ranking is in
/// order; returns how far the search's value is from it.
fn holds_its_word(request: &Request, fit: &Fit) -> f64 {
    let best = &fit.best;
    let sum: f64 = best.terms.iter().map(|t| t.value).sum();
    assert!(
        (sum - best.objective).abs() < 1e-9 * (1.0 + best.objective.abs()),
        "{sum} is not {}",
        best.objective
    );
    assert!(best.settings.checked(request.sled).is_ok());
    assert_eq!(fit::objective(request, best.settings), best.objective);
    assert_eq!(fit.ranking[0].0, best.settings);
    assert!(fit.ranking.windows(2).all(|w| w[0].1 <= w[1].1));
    fit.ranking[0].1 - best.objective
}

/// Best of a grid over every combination: 17 riser angles (every tooth where there are teeth) by five bar rolls.
fn best_on_grid(request: &Request) -> (f64, Settings, usize) {
    let sled = request.sled;
    let between = |(low, high): (Angle, Angle), count: usize| -> Vec<Angle> {
        (0..count)
            .map(|i| low + (high - low) * (i as f64 / (count - 1) as f64))
            .collect()
    };
    let mut grid = Vec::new();
    for (riser, part) in sled.risers.iter().enumerate() {
        let angles = match part.angles {
            RiserAngles::Range(low, high) => between((low, high), 17),
            RiserAngles::Fixed(angle) => vec![angle],
            RiserAngles::Teeth { low, high, step } => {
                let teeth = ((high - low) / step).round() as usize;
                (0..=teeth).map(|i| low + step * i as f64).collect()
            }
        };
        for clamp in 0..sled.clamps.len() {
            for bar in 0..sled.bars.len() {
                for seat in 0..sled.seats.len() {
                    for &stirrup in &sled.stirrup.positions {
                        for &riser_angle in &angles {
                            for bar_roll in between(sled.bar_roll, 5) {
                                grid.push(Settings {
                                    riser,
                                    clamp,
                                    bar,
                                    seat,
                                    stirrup,
                                    riser_angle,
                                    bar_roll,
                                });
                            }
                        }
                    }
                }
            }
        }
    }
    let values: Vec<f64> = grid
        .par_iter()
        .map(|&settings| fit::objective(request, settings))
        .collect();
    let best = (0..grid.len())
        .min_by(|&a, &b| values[a].total_cmp(&values[b]))
        .unwrap();
    (values[best], grid[best], grid.len())
}

#[test]
fn never_worse_than_a_dense_grid() {
    for (who, rider) in [
        ("man of 1780 mm", rider(Sex::Male, 1780.0, 79.0)),
        ("woman of 1640 mm", rider(Sex::Female, 1640.0, 62.0)),
    ] {
        for (index, shipped) in SLEDS.iter().enumerate() {
            let sled = cut_down(index);
            let request = Request::new(&rider, &sled, &STANCES);
            let start = std::time::Instant::now();
            let found = fit::fit(&request);
            let took = start.elapsed();
            let off = holds_its_word(&request, &found);
            let start = std::time::Instant::now();
            assert!(off.abs() < FROM_SCRATCH, "{off}");
            let (value, at, points) = best_on_grid(&request);
            let grid_took = start.elapsed();
            println!(
                "{who} on {}: fit {:.4} ({} refined, {:.1} s), the search's value {off:+.1e}, grid of {points} {value:.4} ({:.1} s), fit less grid {:+.4}",
                shipped.id,
                found.best.objective,
                found.ranking.len(),
                took.as_secs_f64(),
                grid_took.as_secs_f64(),
                found.best.objective - value,
            );
            assert!(
                found.best.objective < value + NEVER_WORSE,
                "{:?} at {} against {at:?} at {value}",
                found.best.settings,
                found.best.objective
            );
        }
    }
}

#[test]
fn same_request_same_bits() {
    let sled = small(0);
    let who = rider(Sex::Male, 1780.0, 79.0);
    let other = rider(Sex::Male, 1781.0, 79.0);
    let fit = |rider| fit::fit(&Request::new(rider, &sled, &STANCES));
    let (first, again, differs) = (fit(&who), fit(&who), fit(&other));
    assert_eq!(first, again);
    assert_eq!(fit::fingerprint(&first), fit::fingerprint(&again));
    assert_ne!(fit::fingerprint(&first), fit::fingerprint(&differs));
}

#[test]
fn what_is_kept_stays() {
    let sled = cut_down(0);
    let who = rider(Sex::Male, 1780.0, 79.0);
    // Nothing here is what a free fit takes, or nothing would be tested.
    let wanted = Settings {
        riser: 2,
        clamp: 0,
        bar: 0,
        seat: 1,
        stirrup: sled.stirrup.positions[3],
        riser_angle: deg(16.5),
        bar_roll: deg(-3.25),
    };
    let all = Keep::all(wanted);
    let none = Keep::default();
    let some = |keep: Keep| Keep {
        clamp: Some(0),
        bar: Some(0),
        ..keep
    };
    for keep in [
        Keep {
            riser: all.riser,
            ..none
        },
        Keep {
            seat: all.seat,
            stirrup: all.stirrup,
            ..none
        },
        Keep {
            stirrup: all.stirrup,
            ..none
        },
        Keep {
            riser_angle: all.riser_angle,
            ..none
        },
        Keep {
            bar_roll: all.bar_roll,
            ..none
        },
        all,
    ] {
        let keep = some(keep);
        let found = fit::fit(&Request {
            keep,
            ..Request::new(&who, &sled, &STANCES)
        });
        let now = Keep::all(found.best.settings);
        for (kept, is) in [
            (keep.riser, now.riser),
            (keep.clamp, now.clamp),
            (keep.bar, now.bar),
            (keep.seat, now.seat),
        ] {
            assert!(kept.is_none() || kept == is, "{keep:?}: {now:?}");
        }
        assert!(keep.stirrup.is_none() || keep.stirrup == now.stirrup);
        assert!(keep.riser_angle.is_none() || keep.riser_angle == now.riser_angle);
        assert!(keep.bar_roll.is_none() || keep.bar_roll == now.bar_roll);
        if keep == all {
            assert_eq!(found.best.settings, wanted);
            assert_eq!(found.ranking.len(), 1);
        } else {
            assert_ne!(found.best.settings, wanted);
        }
    }
}

#[test]
fn teeth_and_fixed_risers_take_only_their_angles() {
    let mut sled = small(1);
    let RiserAngles::Teeth { low, step, .. } = sled.risers[0].angles else {
        panic!("this sled's risers have teeth");
    };
    let who = rider(Sex::Male, 1780.0, 79.0);
    let found = fit::fit(&Request::new(&who, &sled, &STANCES));
    for (settings, _) in &found.ranking {
        let teeth = (settings.riser_angle - low) / step;
        assert!((teeth - teeth.round()).abs() < 1e-9, "{settings:?}");
    }
    for (i, riser) in sled.risers.iter_mut().enumerate() {
        riser.angles = RiserAngles::Fixed(deg(9.0 + 4.0 * i as f64));
    }
    let found = fit::fit(&Request::new(&who, &sled, &STANCES));
    for (settings, _) in &found.ranking {
        let fixed = deg(9.0 + 4.0 * settings.riser as f64);
        assert_eq!(settings.riser_angle, fixed);
    }
}

fn infeasible(fit: &Fit) -> (&str, &[String]) {
    match &fit.status {
        FitStatus::Infeasible { binds, helps } => (binds, helps),
        FitStatus::Fits => panic!("it fits: {:?}", fit.best.settings),
    }
}

#[test]
fn bars_out_of_everybodys_reach_are_infeasible_and_say_so() {
    let mut sled = small(0);
    sled.steering.base_x += 900.0;
    sled.seats.truncate(1);
    let who = rider(Sex::Male, 1780.0, 79.0);
    let found = fit::fit(&Request::new(&who, &sled, &STANCES));
    let (binds, helps) = infeasible(&found);
    println!("binds: {binds}\nhelps: {helps:?}");
    assert!(
        binds.contains("seated: ") && binds.contains(" mm"),
        "{binds}"
    );
    assert_eq!(helps.len(), 1, "{helps:?}");
    assert!(helps[0].contains("no single part is enough") || helps[0].contains("no change"));
    assert!(found.best.verdicts.iter().any(|v| v.met == Some(false)));
}

#[test]
fn a_riser_too_short_asks_for_a_taller_one() {
    let mut sled = small(0);
    sled.seats.truncate(1);
    sled.risers.truncate(1);
    sled.risers[0].height = 30.0;
    sled.steering.hose_limit = None;
    let who = rider(Sex::Male, 1900.0, 90.0);
    // The post goes down until nothing fits any more.
    let found = loop {
        sled.steering.base_z -= 20.0;
        assert!(sled.steering.base_z > 300.0, "everything fits");
        let found = fit::fit(&Request::new(&who, &sled, &STANCES));
        if found.status != FitStatus::Fits {
            break found;
        }
    };
    let (binds, helps) = infeasible(&found);
    println!(
        "post at {} mm\nbinds: {binds}\nhelps: {helps:?}",
        sled.steering.base_z
    );
    let taller = helps.iter().find(|h| h.contains("taller than the tallest"));
    let by: f64 = taller
        .and_then(|h| h.split_whitespace().find_map(|w| w.parse().ok()))
        .unwrap();
    sled.risers[0].height += by;
    let helped = fit::fit(&Request::new(&who, &sled, &STANCES));
    assert_eq!(helped.status, FitStatus::Fits);
}

/// Words that `Debug` writes for a number that is none.
fn no_number(text: &str) -> Option<&str> {
    text.split(|c: char| !c.is_ascii_alphanumeric())
        .find(|word| matches!(*word, "inf" | "NaN"))
}

/// Every number is one, but for the contacts' bounds, which may be missing.
fn sound(fit: &Fit) {
    let mut fit = fit.clone();
    for stance in &mut fit.best.stances {
        stance.hold.contacts.clear();
    }
    assert_eq!(no_number(&format!("{fit:?}")), None);
}

/// Fingerprints of every shipped rider on every shipped sled; the page is held against them in a browser.
const FINGERPRINTS: &str = "tests/cases/fingerprints.json";

/// With the first bar, clamp and seat, to take less time.
const FIRST_PARTS: Keep = Keep {
    riser: None,
    clamp: Some(0),
    bar: Some(0),
    seat: Some(0),
    stirrup: None,
    riser_angle: None,
    bar_roll: None,
};

/// The built riders by the names of their files.
fn shipped_riders() -> Vec<(String, Rider)> {
    let mut paths: Vec<_> = std::fs::read_dir("rider-profiles/riders")
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    paths.sort();
    let built = |path: &std::path::PathBuf| {
        let text = std::fs::read_to_string(path).unwrap();
        let name = path.file_stem().unwrap().to_str().unwrap().to_owned();
        (
            name,
            RiderProfile::read(&text).unwrap().build().unwrap().rider,
        )
    };
    paths.iter().map(built).collect()
}

#[test]
#[ignore = "writes the file that the page is held against: cargo test --test fit -- --ignored fingerprints"]
fn write_fingerprints() {
    let mut fits = Vec::new();
    for (name, rider) in shipped_riders() {
        for (index, shipped) in SLEDS.iter().enumerate() {
            let sled = shipped_sled(index);
            let request = Request {
                keep: FIRST_PARTS,
                ..Request::new(&rider, &sled, &STANCES)
            };
            let fingerprint = format!("{:016x}", fit::fingerprint(&fit::fit(&request)));
            fits.push(serde_json::json!({ "rider": name, "sled": shipped.id, "fingerprint": fingerprint }));
        }
    }
    let document = serde_json::json!({
        "about": "Fingerprints of fits by the native build, written by the ignored test write_fingerprints in tests/fit.rs. Settings that stay: first bar, clamp and seat.",
        "kept": { "bar": 0, "clamp": 0, "seat": 0 },
        "fits": fits,
    });
    let text = serde_json::to_string_pretty(&document).unwrap();
    std::fs::write(FINGERPRINTS, text + "\n").unwrap();
}

#[test]
fn every_shipped_rider_on_every_shipped_sled() {
    let known: serde_json::Value =
        serde_json::from_str(&std::fs::read_to_string(FINGERPRINTS).unwrap()).unwrap();
    let mut stale = Vec::new();
    let riders = shipped_riders();
    assert_eq!(riders.len(), 10);
    for (name, rider) in riders {
        for (index, shipped) in SLEDS.iter().enumerate() {
            let sled = shipped_sled(index);
            let request = Request {
                keep: FIRST_PARTS,
                ..Request::new(&rider, &sled, &STANCES)
            };
            let found = fit::fit(&request);
            sound(&found);
            let fingerprint = format!("{:016x}", fit::fingerprint(&found));
            let same = |case: &serde_json::Value| {
                case["rider"] == name.as_str()
                    && case["sled"] == shipped.id
                    && case["fingerprint"] == fingerprint.as_str()
            };
            if !known["fits"].as_array().unwrap().iter().any(same) {
                stale.push(format!("{name} on {}", shipped.id));
            }
            let off = holds_its_word(&request, &found);
            assert!(off.abs() < OTHER_BASIN, "{off}");
            assert_eq!(found.best.stances.len(), STANCES.len());
            for stance in STANCES.iter() {
                let verdict = format!("Posture {}", stance.name);
                assert!(found.best.verdicts.iter().any(|v| v.name == verdict));
            }
            let broken = found.best.verdicts.iter().any(|v| v.met == Some(false));
            let s = found.best.settings;
            println!(
                "{:<22} {:<12} {:>7.3} ({off:+.4}) riser {:>3.0} mm {:>5.1}° roll {:>5.1}° stirrup {:>4.0} {:?}",
                name,
                shipped.id,
                found.best.objective,
                sled.risers[s.riser].height,
                s.riser_angle.deg(),
                s.bar_roll.deg(),
                s.stirrup,
                found.status,
            );
            assert!(broken || found.status == FitStatus::Fits);
        }
    }
    assert!(
        stale.is_empty(),
        "{FINGERPRINTS} is not of this version; write it anew (see write_fingerprints): {stale:?}"
    );
}

#[test]
fn practice_is_said_with_the_figures_of_trying_it() {
    let sled = small(0);
    let who = rider(Sex::Male, 1900.0, 90.0);
    let request = Request::new(&who, &sled, &STANCES);
    let found = fit::fit(&request);
    let here = found.best.settings;
    let next = sled
        .stirrup
        .positions
        .iter()
        .copied()
        .find(|x| *x < here.stirrup)
        .unwrap();
    let [note] = &found.practice[..] else {
        panic!("{:?}", found.practice);
    };
    println!("{note}");
    let back = Settings {
        stirrup: next,
        ..here
    };
    let tried = fit::evaluate(&request, back);
    let ready = |set_up: &SetUp| {
        let result = set_up.stances.iter().find(|s| s.name == "ready").unwrap();
        let loads = &result.hold.loads;
        let load = loads
            .iter()
            .find(|l| l.load == Load::ShortLanding1g)
            .unwrap();
        let held = load.hold.as_ref().unwrap().g;
        (held, result.posture.pose.com.x - sled.balance_mark.x)
    };
    let ((held, at), (held_back, at_back)) = (ready(&found.best), ready(&tried));
    assert!(note.contains(&format!("({next:.0} mm)")));
    assert!(note.contains(&format!("from {held:.2} to {held_back:.2} g")));
    for by in [at, at_back] {
        assert!(note.contains(&format!("{:.0} mm", by.abs())), "{by}");
    }
    // From the rearmost position there is nothing to try.
    let rearmost = Request {
        keep: Keep {
            stirrup: sled.stirrup.positions.last().copied(),
            ..Keep::default()
        },
        ..request
    };
    assert!(fit::fit(&rearmost).practice.is_empty());
}

fn any_keep() -> impl Strategy<Value = Keep> {
    let part = |count: usize| proptest::option::of(0..count);
    let angle = |low: f64, high: f64| proptest::option::of((low..high).prop_map(deg));
    (
        part(2),
        part(2),
        proptest::option::of(-400.0..200.0),
        angle(-40.0, 60.0),
        angle(-40.0, 40.0),
    )
        .prop_map(|(riser, seat, stirrup, riser_angle, bar_roll)| Keep {
            riser,
            seat,
            stirrup,
            riser_angle,
            bar_roll,
            ..Keep::default()
        })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 10, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_rider_and_any_keep_come_out(
        stature in 1350.0..2150.0,
        bmi in 15.0..38.0,
        female: bool,
        keep in any_keep(),
        index in 0..3_usize,
        wants in prop::array::uniform4(prop_oneof![Just(0.0), 0.0..10.0]),
    ) {
        let sex = if female { Sex::Female } else { Sex::Male };
        // The lightest that a rider may be; a short one of a low index would be lighter.
        let mass = f64::max(Measurement::BodyMass.allowed(false).0, bmi * stature * stature * 1e-6);
        let rider = rider(sex, stature, mass);
        let mut sled = small(index);
        sled.stirrup.positions.truncate(2);
        let [comfort, hold, weight_point, leg_travel] = wants;
        let found = fit::fit(&Request {
            keep,
            preferences: Preferences { comfort, hold, weight_point, leg_travel },
            ..Request::new(&rider, &sled, &STANCES)
        });
        sound(&found);
        prop_assert_eq!(found.best.stances.len(), STANCES.len());
    }
}
