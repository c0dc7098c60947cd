//! The estimator against people it has not seen: every fifth row of ANSUR II held out, moments from the rest
//! (`tests/reference/moments.py` writes both), and against an independent arithmetic.
#![cfg(not(target_arch = "wasm32"))]
#![allow(clippy::expect_used, reason = "a test may panic")]

use std::collections::BTreeMap;

use serde::Deserialize;
use sledstance::rider::{Estimate, Measurement, Moments, Observation, Origin, Sex};

const HELD_OUT: &str = include_str!("cases/ansur-held-out.csv");
const TRAIN: &str = include_str!("cases/ansur-train-moments.json");
const GOLDEN: &str = include_str!("cases/estimate-golden.json");

#[derive(Deserialize)]
struct Train {
    mean: Vec<f64>,
    lower: Vec<f64>,
}

struct Person {
    sex: String,
    values: Vec<(Measurement, f64)>,
}

impl Person {
    fn get(&self, measurement: Measurement) -> f64 {
        self.values
            .iter()
            .find(|v| v.0 == measurement)
            .expect("column")
            .1
    }
}

fn train() -> BTreeMap<String, Moments> {
    let parts: BTreeMap<String, Train> = serde_json::from_str(TRAIN).expect("train moments");
    parts
        .into_iter()
        .map(|(sex, t)| (sex, Moments::new(&t.mean, &t.lower).expect("moments")))
        .collect()
}

fn held_out() -> Vec<Person> {
    let mut reader = csv::Reader::from_reader(HELD_OUT.as_bytes());
    let columns: Vec<Measurement> = reader
        .headers()
        .expect("header")
        .iter()
        .skip(1)
        .map(|name| Measurement::from_name(name).expect("a measurement's name"))
        .collect();
    reader
        .records()
        .map(|row| {
            let row = row.expect("row");
            let values = row.iter().skip(1).map(|v| v.parse().expect("number"));
            Person {
                sex: row[0].to_owned(),
                values: columns.iter().copied().zip(values).collect(),
            }
        })
        .collect()
}

fn exact(measurement: Measurement, value: f64) -> Observation {
    Observation {
        measurement,
        value,
        sd: 0.0,
        origin: Origin::Taken,
    }
}

use Measurement as M;

const A: &[Measurement] = &[M::Stature, M::BodyMass];
const B: &[Measurement] = &[M::Stature, M::BodyMass, M::CrotchHeight];
const C: &[Measurement] = &[
    M::Stature,
    M::BodyMass,
    M::CrotchHeight,
    M::SittingHeight,
    M::ElbowGripLength,
];

/// Targets, and the share of stature that Drillis & Contini (1966, as in Winter 2009) give, where they do.
const TARGETS: [(Measurement, Option<f64>); 11] = [
    (M::TrochanterionHeight, Some(0.530)),
    (M::TibialHeight, Some(0.285)),
    (M::ShoulderHeight, Some(0.818)),
    (M::AcromionRadialeLength, Some(0.186)),
    (M::SittingHeight, Some(0.520)),
    (M::BiacromialBreadth, Some(0.259)),
    (M::HipBreadth, Some(0.191)),
    (M::FootLength, Some(0.152)),
    (M::ElbowGripLength, None),
    (M::ButtockKneeLength, None),
    (M::KneeHeightSitting, None),
];

#[derive(Default)]
struct Tally {
    squares: f64,
    inside: usize,
    count: usize,
}

impl Tally {
    fn add(&mut self, error: f64, sd: f64) {
        // 5 % of a normal lie beyond 1.645 standard deviations on each side.
        self.inside += usize::from(error.abs() <= 1.644_853_6 * sd);
        self.squares += error * error;
        self.count += 1;
    }

    fn rmse(&self) -> f64 {
        (self.squares / self.count as f64).sqrt()
    }

    fn coverage(&self) -> f64 {
        100.0 * self.inside as f64 / self.count as f64
    }
}

#[test]
fn the_estimate_beats_fixed_proportions_and_its_band_holds_what_it_says() {
    let (train, people) = (train(), held_out());
    assert_eq!(people.iter().filter(|p| p.sex == "male").count(), 816);
    assert_eq!(people.iter().filter(|p| p.sex == "female").count(), 397);
    println!(
        "RMSE in mm (coverage of the 90 % band in %) on 1,213 held-out people; stature and mass given (A),"
    );
    println!(
        "and crotch height (B), and sitting height and elbow-grip length (C); Drillis & Contini: share of stature"
    );
    for (target, share) in TARGETS {
        let mut cells = Vec::new();
        for given in [A, B, C] {
            if given.contains(&target) {
                cells.push(None);
                continue;
            }
            let mut tally = Tally::default();
            for person in &people {
                let seen: Vec<Observation> =
                    given.iter().map(|&m| exact(m, person.get(m))).collect();
                let estimate =
                    Estimate::from_moments(&train[&person.sex], &seen).expect("estimate");
                tally.add(
                    person.get(target) - estimate.mean(target),
                    estimate.sd(target),
                );
            }
            assert!(
                (87.0..=93.0).contains(&tally.coverage()),
                "{}: {:.1} %",
                target.name(),
                tally.coverage()
            );
            cells.push(Some(tally));
        }
        let fixed = share.map(|share| {
            let mut tally = Tally::default();
            for person in &people {
                tally.add(person.get(target) - share * person.get(M::Stature), 1.0);
            }
            tally.rmse()
        });
        let cell = |t: &Option<Tally>| match t {
            Some(t) => format!("{:5.1} ({:4.1})", t.rmse(), t.coverage()),
            None => "given".to_owned(),
        };
        println!(
            "{:26} A {:12} B {:12} C {:12} Drillis & Contini {}",
            target.name(),
            cell(&cells[0]),
            cell(&cells[1]),
            cell(&cells[2]),
            fixed.map_or("-".to_owned(), |f| format!("{f:.1}")),
        );
        let rmse: Vec<f64> = cells.iter().flatten().map(Tally::rmse).collect();
        if let Some(fixed) = fixed {
            assert!(
                rmse[0] < fixed,
                "{}: {} against {fixed}",
                target.name(),
                rmse[0]
            );
        }
        // More measurements help on people not seen, up to a hundredth of chance.
        assert!(rmse.windows(2).all(|w| w[1] < 1.01 * w[0]), "{rmse:?}");
    }
}

#[test]
fn joint_heights_beat_fixed_proportions_too() {
    // Drillis & Contini's hip and knee are joint centres: on their own ground the shares do better, but not as well.
    // Knee centre after de Leva 1996; hip centre 15 mm over trochanterion as in the linkage, which is this project's.
    let (train, people) = (train(), held_out());
    let knee = |tibial: f64, trochanterion: f64| 0.926 * tibial + 0.074 * trochanterion;
    for (name, share) in [("knee", 0.285), ("hip", 0.530)] {
        let (mut ours, mut fixed) = (Tally::default(), Tally::default());
        for person in &people {
            let seen: Vec<Observation> = A.iter().map(|&m| exact(m, person.get(m))).collect();
            let estimate = Estimate::from_moments(&train[&person.sex], &seen).expect("estimate");
            let height = |get: &dyn Fn(Measurement) -> f64| match name {
                "knee" => knee(get(M::TibialHeight), get(M::TrochanterionHeight)),
                _ => get(M::TrochanterionHeight) + 15.0,
            };
            let truth = height(&|m| person.get(m));
            ours.add(truth - height(&|m| estimate.mean(m)), 1.0);
            fixed.add(truth - share * person.get(M::Stature), 1.0);
        }
        println!(
            "{name} joint: RMSE {:.1} mm, by share of stature {:.1} mm",
            ours.rmse(),
            fixed.rmse()
        );
        assert!(ours.rmse() < fixed.rmse());
    }
}

#[test]
fn noise_left_out_makes_the_band_too_narrow() {
    // Deterministic noise with the tape's deviations: sums of the digits of a multiplicative sequence, near normal.
    let mut state: u64 = 1;
    let mut normal = move || {
        let mut sum = 0.0;
        for _ in 0..12 {
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            sum += (state >> 11) as f64 / (1_u64 << 53) as f64;
        }
        sum - 6.0
    };
    let (train, people) = (train(), held_out());
    let (mut with, mut without) = (Tally::default(), Tally::default());
    for person in &people {
        let taped: Vec<Observation> = C
            .iter()
            .map(|&m| Observation {
                value: person.get(m) + m.tape_sd() * normal(),
                sd: m.tape_sd(),
                ..exact(m, 0.0)
            })
            .collect();
        let believed: Vec<Observation> = taped
            .iter()
            .map(|o| Observation { sd: 0.0, ..*o })
            .collect();
        for (seen, tally) in [(taped, &mut with), (believed, &mut without)] {
            let estimate = Estimate::from_moments(&train[&person.sex], &seen).expect("estimate");
            let target = M::KneeHeightSitting;
            tally.add(
                person.get(target) - estimate.mean(target),
                estimate.sd(target),
            );
        }
    }
    println!(
        "knee height: {:.1} % with the tape's noise, {:.1} % without",
        with.coverage(),
        without.coverage()
    );
    assert!(
        (87.0..=93.0).contains(&with.coverage()),
        "{}",
        with.coverage()
    );
    assert!(
        without.coverage() < with.coverage() - 3.0,
        "{}",
        without.coverage()
    );
}

#[derive(Deserialize)]
struct GoldenCase {
    sex: String,
    given: Vec<GoldenGiven>,
    expected: BTreeMap<String, GoldenExpected>,
}

#[derive(Deserialize)]
struct GoldenGiven {
    name: String,
    value: f64,
    sd: f64,
}

#[derive(Deserialize)]
struct GoldenExpected {
    mean: f64,
    sd: f64,
}

#[test]
fn an_independent_elimination_gives_the_same_numbers() {
    let train = train();
    let cases: Vec<GoldenCase> = serde_json::from_str(GOLDEN).expect("golden cases");
    assert_eq!(cases.len(), 18);
    for case in cases {
        let seen: Vec<Observation> = case
            .given
            .iter()
            .map(|g| Observation {
                sd: g.sd,
                ..exact(Measurement::from_name(&g.name).expect("name"), g.value)
            })
            .collect();
        let estimate = Estimate::from_moments(&train[&case.sex], &seen).expect("estimate");
        for (name, expected) in case.expected {
            let m = Measurement::from_name(&name).expect("name");
            assert!((estimate.mean(m) - expected.mean).abs() < 1e-8, "{name}");
            assert!((estimate.sd(m) - expected.sd).abs() < 1e-8, "{name}");
        }
    }
}

#[test]
fn shipped_moments_have_the_published_totals() {
    // Gordon et al. 2014, NATICK/TR-15/007: stature and body mass.
    for (sex, stature, mass) in [
        (Sex::Male, (1756.2, 68.6), (85.5, 14.2)),
        (Sex::Female, (1628.5, 64.2), (67.8, 11.0)),
    ] {
        let moments = Moments::adult(sex);
        for (m, (mean, sd)) in [(M::Stature, stature), (M::BodyMass, mass)] {
            assert!(
                (moments.mean(m) - mean).abs() < 0.051,
                "{} {}",
                m.name(),
                moments.mean(m)
            );
            assert!(
                (moments.sd(m) - sd).abs() < 0.051,
                "{} {}",
                m.name(),
                moments.sd(m)
            );
        }
    }
    let pooled = Moments::adult(Sex::Unknown);
    assert!((pooled.mean(M::Stature) - 1692.35).abs() < 0.1);
    // The squared half distance of the means adds to the mean variance.
    let square = |x: f64| x * x;
    let variance = (square(68.55) + square(64.20)) / 2.0 + square(1756.2 - 1628.5) / 4.0;
    assert!((pooled.sd(M::Stature) - variance.sqrt()).abs() < 0.1);
}

#[test]
fn youths_have_the_published_shares_of_stature() {
    // Snyder et al. 1977, ages 12 to 13, boys and girls: sitting height .511 / .519, trochanterion .524 / .514,
    // buttock-knee .337 / .341, knee height .323 / .313 of stature; the moments span 6 to 17, mean age near 12.
    use sledstance::rider::RiderProfile;
    for (sex, stature, mass, shares) in [
        (Sex::Male, 1520.0, 43.0, [0.511, 0.524, 0.337, 0.323]),
        (Sex::Female, 1540.0, 45.0, [0.519, 0.514, 0.341, 0.313]),
    ] {
        let mut profile = RiderProfile::of(sex, stature, mass);
        profile.age_y = Some(12.9);
        let built = profile.build().expect("rider");
        let measurements = [
            M::SittingHeight,
            M::TrochanterionHeight,
            M::ButtockKneeLength,
            M::KneeHeightSitting,
        ];
        for (m, share) in measurements.into_iter().zip(shares) {
            let found = built.estimate.mean(m) / stature;
            assert!(
                (found - share).abs() < 0.006,
                "{sex:?} {}: {found:.4} against {share}",
                m.name()
            );
        }
    }
}
