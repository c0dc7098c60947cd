//! Postures against an independent optimiser and against what a best posture must satisfy by itself.
//!
//! `tests/reference/posture.py` solves the problems of `tests/cases/posture-problems.json` with SciPy's SLSQP from 40
//! random starts each, with its own account of cost and limits, and writes `tests/cases/posture-golden.json`. What the
//! tests print (`-- --nocapture`) is the comparison in full.
#![cfg(not(target_arch = "wasm32"))]
#![allow(clippy::expect_used, clippy::unwrap_used, reason = "a test may panic")]

mod outside;

use std::collections::BTreeMap;

use outside::{
    Case, Dice, FreeData, Parts, Problems, RiderData, Setup, StanceData, limits, problems,
    shipped_sleds,
};
use proptest::prelude::*;
use serde::Deserialize;
use sledstance::rider::{Measurement, RiderProfile, Sex};
use sledstance::sled::{Cockpit, Settings, Sled};
use sledstance::stance::{Aim, Free, Problem, SEAT_SHARE_AT_FIRST, Settled, Stance, Status};
use sledstance::units::Angle;

/// The answers of the independent optimiser to one problem.
#[derive(Deserialize)]
struct Golden {
    case: usize,
    /// How many of its starts ended inside the limits.
    reached: usize,
    /// Its local minima, cheapest first.
    basins: Vec<Basin>,
    /// Where there is none: the least possible largest violation.
    least_broken: Option<f64>,
    samples: Vec<Sample>,
}

#[derive(Deserialize)]
struct Basin {
    cost: f64,
    hits: usize,
    free: FreeData,
}

#[derive(Deserialize)]
struct Sample {
    free: FreeData,
    terms: BTreeMap<String, f64>,
    gaps_mm: BTreeMap<String, f64>,
    broken: f64,
}

fn golden() -> Vec<Golden> {
    serde_json::from_str(include_str!("cases/posture-golden.json")).expect("golden")
}

/// Runs on every case: its number and label, its parts, the problem and the cockpit.
fn each(mut run: impl FnMut(usize, &str, &Parts, &Problem, &Cockpit)) {
    let problems = problems();
    assert!(problems.cases.len() >= 100);
    for (index, case) in problems.cases.iter().enumerate() {
        let parts = problems.parts(case);
        let label = format!("{index:3} {}", problems.label(case));
        parts.with(|problem, cockpit| run(index, &label, &parts, problem, cockpit));
    }
}

#[test]
fn cost_and_limits_are_those_of_an_independent_account() {
    let mut worst = [0.0_f64; 3];
    let mut samples = 0;
    let golden = golden();
    each(|index, label, parts, problem, cockpit| {
        let g = &golden[index];
        for sample in &g.samples {
            let at = problem.at(sample.free.free());
            let posture = problem.posture(&at);
            assert_eq!(posture.terms.len(), sample.terms.len());
            for term in &posture.terms {
                let wanted = sample.terms[term.name];
                let off = (term.value - wanted).abs() / (1.0 + wanted);
                worst[0] = worst[0].max(off);
                assert!(
                    off < 1e-7,
                    "{label}, {}: {} against {wanted}",
                    term.name,
                    term.value
                );
            }
            assert_eq!(posture.clearances.len(), sample.gaps_mm.len());
            for &(name, gap) in &posture.clearances {
                let off = (gap - sample.gaps_mm[name]).abs();
                worst[1] = worst[1].max(off);
                assert!(
                    off < 1e-6,
                    "{label}, {name}: {gap} against {}",
                    sample.gaps_mm[name]
                );
            }
            let off = (at.broken - sample.broken).abs();
            worst[2] = worst[2].max(off);
            assert!(
                off < 1e-6,
                "{label}: {} against {}",
                at.broken,
                sample.broken
            );
            // The limits that these tests judge by are the core's too.
            let mine = limits(parts, cockpit, &posture);
            let broken = mine.iter().fold(0.0, |m: f64, l| m.max(-l.scaled()));
            assert!((broken - at.broken).abs() < 1e-9, "{label}: {broken}");
            samples += 1;
        }
    });
    println!(
        "{samples} postures; largest differences: terms {:.1e}, gaps {:.1e} mm, broken {:.1e}",
        worst[0], worst[1], worst[2]
    );
    assert!(samples >= 200);
}

/// Postures this near are one, mm and degrees.
const SAME: (f64, f64) = (2.0, 0.5);

#[test]
fn no_answer_is_dearer_than_the_independent_optimum() {
    let (mut feasible, mut elsewhere, mut cheaper, mut more_basins) = (0, 0, 0, 0);
    let (mut dearest, mut farthest) = (f64::NEG_INFINITY, 0.0_f64);
    let mut lost = Vec::new();
    let golden = golden();
    each(|index, label, _, problem, _| {
        let g = &golden[index];
        assert_eq!(g.case, index);
        let settled = problem.solve(Aim::Comfort);
        more_basins += usize::from(g.basins.len() > 1);
        let Some(best) = g.basins.first() else {
            let least = g.least_broken.expect("out of reach");
            let (cost, broken) = (settled.cost, settled.broken);
            println!("{label}: out of reach by {broken:.4}, SciPy {least:.4} (cost {cost:.2})");
            // What is out of reach is so for both; the core comes near, and SciPy's own least bounds it from below.
            farthest = farthest.max(broken / least);
            if settled.feasible() || broken < least - 2e-3 {
                lost.push(format!(
                    "{label}: broken by {broken}, SciPy at the least by {least}"
                ));
            }
            return;
        };
        feasible += 1;
        if !settled.feasible() {
            let broken = settled.broken;
            lost.push(format!(
                "{label}: broken by {broken}, yet {best:?} exists",
                best = best.cost
            ));
            return;
        }
        let off = (settled.cost - best.cost) / best.cost;
        dearest = dearest.max(off);
        cheaper += usize::from(off < -1e-4);
        let mine = FreeData::of(&settled.free());
        let (mm, deg) = mine.apart(&best.free);
        let basin = g.basins.iter().position(|b| {
            let (mm, deg) = mine.apart(&b.free);
            mm <= SAME.0 && deg <= SAME.1
        });
        if mm > SAME.0 || deg > SAME.1 || off.abs() > 1e-4 || g.basins.len() > 1 {
            elsewhere += usize::from(mm > SAME.0 || deg > SAME.1);
            let costs: Vec<_> = g
                .basins
                .iter()
                .map(|b| format!("{:.5}×{}", b.cost, b.hits))
                .collect();
            println!(
                "{label}: {:.5} in basin {basin:?} of {}; {mm:.2} mm, {deg:.2}° from the cheapest; {} reached",
                settled.cost,
                costs.join(" "),
                g.reached
            );
        }
        if off > 1e-4 {
            lost.push(format!("{label}: {} against {}", settled.cost, best.cost));
        }
    });
    println!(
        "{feasible} cases inside the limits, {more_basins} with more than one basin, {elsewhere} answers elsewhere, \
         {cheaper} cheaper than SciPy's, dearest by {dearest:.1e}; out of reach by up to {farthest:.1} times the least"
    );
    assert!(feasible >= 24);
    assert!(lost.is_empty(), "{} lost:\n{}", lost.len(), lost.join("\n"));
}

/// A start anywhere about the feet, with angles anywhere inside their limits.
fn draw(dice: &mut Dice, parts: &Parts, cockpit: &Cockpit) -> Free<f64> {
    let (stance, l) = (&parts.stance, &parts.rider.links);
    let (r, toe) = (&stance.ranges, cockpit.toe_stop.x);
    let reach = l.shank + l.thigh;
    let second = if stance.contacts.seated {
        dice.between(0.0, stance.contacts.foot_slide_max)
    } else {
        reach * dice.between(0.45, 1.1)
    };
    Free {
        hip_x: dice.between(toe - 800.0, toe + 50.0),
        hip_z_or_slide: second,
        lean: dice.between(r.trunk.low.rad(), r.trunk.high.rad()),
        swing: dice.between(r.elbow_swing.low.rad(), r.elbow_swing.high.rad()),
        heel: dice.between(0.0, stance.contacts.heel_lift_max.rad()),
        splay: dice.between(r.knee_splay.low.rad(), r.knee_splay.high.rad()),
    }
}

#[test]
fn random_starts_of_its_own_find_nothing_cheaper() {
    const STARTS: usize = 50;
    let mut dice = Dice(31);
    let mut lost = Vec::new();
    let (mut ends, mut same, mut dearer) = (0, 0, 0);
    each(|_, label, parts, problem, cockpit| {
        let best = problem.solve(Aim::Comfort);
        let mut found: Option<Settled> = None;
        for _ in 0..STARTS {
            let start = problem.at(draw(&mut dice, parts, cockpit));
            let end = problem.solve_near(&start, Aim::Comfort);
            ends += 1;
            let tie = (end.cost - best.cost).abs() < 1e-6 * best.cost;
            same += usize::from(end.feasible() && tie);
            dearer += usize::from(end.feasible() && !tie);
            let better = found.is_none_or(|f| end.cost < f.cost);
            if end.feasible() && better {
                found = Some(end);
            }
        }
        let Some(found) = found else { return };
        if !best.feasible() || found.cost < best.cost - 1e-6 * (1.0 + best.cost) {
            let (a, b) = (FreeData::of(&best.free()), FreeData::of(&found.free()));
            let (cost, broken) = (best.cost, best.broken);
            lost.push(format!(
                "{label}: {cost} (broken {broken:.1e}) at {a:?}, but {} (broken {:.1e}) at {b:?}",
                found.cost, found.broken
            ));
        }
    });
    println!(
        "of {ends} descents {same} end at the answer's cost, {dearer} inside the limits at another"
    );
    assert!(lost.is_empty(), "{} lost:\n{}", lost.len(), lost.join("\n"));
}

/// The same on problems that no file holds, from usual to impossible (every fourth sled's post stands askew). Nine starts
/// do not find every basin: this holds how many are missed (no posture found, though one is), and how many answers are
/// dearer than one from a random start. The lost ones are printed.
#[test]
fn drawn_problems_are_solved_as_well_as_from_random_starts() {
    const PROBLEMS: usize = 4000;
    const STARTS: usize = 12;
    let mut dice = Dice(47);
    let mut lost = Vec::new();
    let (mut solved, mut out) = (0, 0);
    let (mut missed, mut dearer, mut farther, mut failed) = (0, 0, 0, 0);
    for number in 0..PROBLEMS {
        let drawn = Drawn {
            sex: [Sex::Male, Sex::Female, Sex::Unknown][dice.pick(3)],
            stature: dice.between(1400.0, 2100.0),
            mass: dice.between(45.0, 130.0),
            legs: dice.between(0.94, 1.06),
            sled: dice.pick(3),
            stance: dice.pick(4),
            seed: number as u64,
            seat_share: SEAT_SHARE_AT_FIRST,
        };
        let Some(mut parts) = drawn.parts() else {
            continue;
        };
        if number % 4 == 3 {
            parts.sled.steering.base_x += dice.between(-150.0, 200.0);
            parts.sled.steering.base_z += dice.between(-200.0, 250.0);
        }
        parts.with(|problem, cockpit| {
            let best = problem.solve(Aim::Comfort);
            let (mut cost, mut broken) = (f64::INFINITY, f64::INFINITY);
            for _ in 0..STARTS {
                let start = problem.at(draw(&mut dice, &parts, cockpit));
                let end = problem.solve_near(&start, Aim::Comfort);
                broken = broken.min(end.broken);
                failed += usize::from(best.feasible() && !end.feasible());
                if end.feasible() {
                    cost = cost.min(end.cost);
                }
            }
            if best.feasible() {
                solved += 1;
                dearer += usize::from(cost < best.cost - 1e-6 * (1.0 + best.cost));
                if cost < best.cost - 1e-6 * (1.0 + best.cost) {
                    lost.push(format!("{number} {drawn:?}: {} against {cost}", best.cost));
                }
            } else {
                out += 1;
                missed += usize::from(cost.is_finite());
                farther += usize::from(cost.is_infinite() && broken < best.broken - 1e-3);
                if broken < best.broken - 1e-3 {
                    lost.push(format!(
                        "{number} {drawn:?}: broken {} against {broken}",
                        best.broken
                    ));
                }
            }
        });
    }
    println!(
        "{solved} problems inside the limits ({failed} random descents failed there), {out} out of reach; lost: \
         {missed} missed, {dearer} dearer, {farther} farther out"
    );
    assert!(solved >= PROBLEMS / 2 && out >= PROBLEMS / 50);
    for words in &lost {
        println!("{words}");
    }
    assert!(missed * 1000 <= PROBLEMS, "{missed} of {PROBLEMS} missed");
    assert!(dearer * 250 <= PROBLEMS, "{dearer} of {PROBLEMS} dearer");
}

/// Free variables as the solver measures them: hundreds of mm, rad.
fn moved(free: &Free<f64>, index: usize, by: f64) -> Free<f64> {
    let mut to = *free;
    match index {
        0 => to.hip_x += 100.0 * by,
        1 => to.hip_z_or_slide += 100.0 * by,
        2 => to.lean += by,
        3 => to.swing += by,
        4 => to.heel += by,
        _ => to.splay += by,
    }
    to
}

/// Least ‖g − Σ λᵢ aᵢ‖ over λ ≥ 0, by coordinate descent.
fn residual(gradient: &[f64], active: &[Vec<f64>]) -> f64 {
    let dot = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(x, y)| x * y).sum::<f64>();
    let mut rest = gradient.to_vec();
    let mut multipliers = vec![0.0_f64; active.len()];
    for _ in 0..20_000 {
        for (multiplier, a) in multipliers.iter_mut().zip(active) {
            let step = (dot(&rest, a) / dot(a, a).max(1e-12)).max(-*multiplier);
            *multiplier += step;
            for (r, a) in rest.iter_mut().zip(a) {
                *r -= step * a;
            }
        }
    }
    dot(&rest, &rest).sqrt()
}

/// First-order conditions (Karush 1939; Kuhn & Tucker 1951) by central differences: the cost's slope is a non-negative
/// mix of the slopes of the limits that the answer rests on. A joint with a tolerance of 20°, the widest, curves the cost
/// by 16 per rad²: what may be left over here is some 0.02° from the optimum.
#[test]
fn answers_are_stationary() {
    const H: f64 = 1e-6;
    const TOUCHED: f64 = 1e-3;
    let mut rows: Vec<(f64, String)> = Vec::new();
    each(|_, label, parts, problem, cockpit| {
        let settled = problem.solve(Aim::Comfort);
        if !settled.feasible() {
            return;
        }
        let c = &parts.stance.contacts;
        let varies = [
            true,
            !c.seated || c.foot_slide_max > 0.0,
            true,
            true,
            c.heel_lift_max > Angle::ZERO,
            true,
        ];
        let at = |free: Free<f64>| {
            let posture = problem.posture(&problem.at(free));
            let limits = limits(parts, cockpit, &posture);
            (
                posture.cost,
                limits.iter().map(|l| l.scaled()).collect::<Vec<_>>(),
            )
        };
        let free = settled.free();
        let (_, here) = at(free);
        let touched: Vec<usize> = (0..here.len()).filter(|&i| here[i] < TOUCHED).collect();
        let mut gradient = Vec::new();
        let mut active = vec![Vec::new(); touched.len()];
        for index in (0..6).filter(|&i| varies[i]) {
            let (up, down) = (at(moved(&free, index, H)), at(moved(&free, index, -H)));
            gradient.push((up.0 - down.0) / (2.0 * H));
            for (row, &i) in active.iter_mut().zip(&touched) {
                row.push((up.1[i] - down.1[i]) / (2.0 * H));
            }
        }
        let left = residual(&gradient, &active);
        let size = gradient.iter().map(|g| g * g).sum::<f64>().sqrt();
        rows.push((
            left / (1.0 + size),
            format!(
                "{label}: {left:.1e} of {size:.1e}, {} limits",
                touched.len()
            ),
        ));
    });
    rows.sort_by(|a, b| b.0.total_cmp(&a.0));
    for (_, words) in rows.iter().take(8) {
        println!("{words}");
    }
    println!(
        "{} answers; median {:.1e}",
        rows.len(),
        rows[rows.len() / 2].0
    );
    assert!(rows.len() >= 24);
    assert!(rows[0].0 < 5e-3, "{}", rows[0].1);
}

/// Any number that a program may be handed.
fn wild() -> impl Strategy<Value = f64> {
    prop_oneof![
        8 => -2000.0..2000.0_f64,
        1 => prop_oneof![
            Just(f64::NAN),
            Just(f64::INFINITY),
            Just(f64::NEG_INFINITY),
            Just(1e300),
            Just(-1e300),
            Just(0.0)
        ],
    ]
}

/// A rider of the extremes, one of the sleds with parts and settings drawn from what it allows, one of the stances with its
/// preferred angles moved.
#[derive(Clone, Debug)]
struct Drawn {
    sex: Sex,
    stature: f64,
    mass: f64,
    /// Leg length over what is usual for the stature.
    legs: f64,
    sled: usize,
    stance: usize,
    seed: u64,
    seat_share: f64,
}

fn drawn() -> impl Strategy<Value = Drawn> {
    (
        prop_oneof![Just(Sex::Male), Just(Sex::Female), Just(Sex::Unknown)],
        1300.0..2200.0_f64,
        35.0..160.0_f64,
        0.9..1.1_f64,
        0..3_usize,
        0..4_usize,
        any::<u64>(),
        0.0..1.2_f64,
    )
        .prop_map(
            |(sex, stature, mass, legs, sled, stance, seed, seat_share)| Drawn {
                sex,
                stature,
                mass,
                legs,
                sled,
                stance,
                seed,
                seat_share,
            },
        )
}

impl Drawn {
    fn parts(&self) -> Option<Parts> {
        let crotch = 0.47 * self.stature * self.legs;
        let rider = RiderProfile::of(self.sex, self.stature, self.mass)
            .with(Measurement::CrotchHeight, crotch)
            .build()
            .ok()?
            .rider;
        let mut dice = Dice(self.seed);
        let sled = shipped_sleds().remove(self.sled).1;
        let settings = any_settings(&sled, &mut dice);
        let mut stance = Stance::shipped().expect("shipped").remove(self.stance);
        let r = &mut stance.ranges;
        for range in [
            &mut r.ankle,
            &mut r.knee,
            &mut r.hip,
            &mut r.trunk,
            &mut r.elbow,
        ] {
            let preferred = range.preferred + Angle::from_deg(dice.between(-25.0, 25.0));
            range.preferred = preferred.clamped(range.low, range.high);
        }
        Some(Parts {
            rider,
            stance,
            sled,
            settings,
            seat_share: self.seat_share,
        })
    }
}

/// What must hold of any posture that the core gives out.
fn consistent(
    parts: &Parts,
    cockpit: &Cockpit,
    problem: &Problem,
    settled: &Settled,
) -> Result<(), TestCaseError> {
    let posture = problem.posture(settled);
    let (p, a) = (&posture.pose.points, &posture.pose.angles);
    for at in [
        p.ball,
        p.heel,
        p.toe,
        p.toe_stop,
        p.ankle,
        p.knee,
        p.hip,
        p.lower_trunk,
        p.shoulder,
        p.elbow,
        p.wrist,
        p.grip,
        p.seat,
        p.neck,
        p.head,
        p.foot_com,
        posture.pose.com,
    ] {
        prop_assert!(at.iter().all(|x| x.is_finite()), "{posture:?}");
    }
    for angle in [
        a.ankle,
        a.knee,
        a.knee_splay,
        a.hip,
        a.trunk,
        a.shoulder,
        a.elbow,
        a.elbow_swing,
        a.wrist_ulnar,
        a.neck,
        a.heel_lift,
    ] {
        prop_assert!(angle.rad().is_finite(), "{posture:?}");
    }
    prop_assert!(
        posture.cost.is_finite() && (posture.cost - settled.cost).abs() <= 1e-9 * settled.cost
    );
    let sum: f64 = posture.terms.iter().map(|t| t.value).sum();
    prop_assert!((sum - posture.cost).abs() <= 1e-9 * sum);
    let limits = limits(parts, cockpit, &posture);
    let worst = limits
        .iter()
        .min_by(|a, b| a.scaled().total_cmp(&b.scaled()))
        .expect("limits");
    let out = matches!(posture.status, Status::OutOfReach(_));
    prop_assert_eq!(
        out,
        !settled.feasible(),
        "{:?}, broken {}",
        posture.status,
        settled.broken
    );
    if settled.feasible() {
        for limit in &limits {
            let least = if limit.degrees { -1e-3 } else { -0.01 };
            prop_assert!(limit.room >= least, "{}: {}", limit.name, limit.room);
        }
        let l = &parts.rider.links;
        for (from, to, length) in [
            (p.ankle, p.knee, l.shank),
            (p.knee, p.hip, l.thigh),
            (p.shoulder, p.elbow, l.upper_arm),
            (p.elbow, p.grip, l.forearm),
            (p.neck, p.head, l.neck),
        ] {
            prop_assert!(((from - to).norm() - length).abs() < 1e-6, "{length}");
        }
        if let Status::AtLimit(touched) = &posture.status {
            prop_assert!(worst.scaled() < 1e-3 && !touched.is_empty(), "{touched:?}");
        }
    } else {
        // What is broken is said, and by the most that is.
        prop_assert!(
            (worst.scaled() + settled.broken).abs() <= 1e-9 * (1.0 + settled.broken),
            "{}",
            worst.name
        );
        let Status::OutOfReach(broken) = &posture.status else {
            return Err(TestCaseError::fail("status"));
        };
        prop_assert!(
            broken
                .iter()
                .all(|l| l.broken_by.is_finite() && !l.name.is_empty()),
            "{broken:?}"
        );
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn every_posture_is_finite_and_its_status_true(drawn in drawn()) {
        let parts = drawn.parts();
        prop_assume!(parts.is_some());
        let parts = parts.expect("assumed");
        parts.with(|problem, cockpit| {
            let settled = problem.solve(Aim::Comfort);
            consistent(&parts, cockpit, problem, &settled)?;
            let sunk = problem.solve_near(&settled, Aim::Sink);
            if settled.feasible() && sunk.feasible() {
                consistent(&parts, cockpit, problem, &sunk)?;
                let (low, high) = (problem.pose(&sunk).points.hip.z, problem.pose(&settled).points.hip.z);
                prop_assert!(low <= high + 1e-6, "{low} over {high}");
            }
            Ok(())
        })?;
    }

    #[test]
    fn wild_starts_end_in_an_answer_or_in_one_that_says_it_is_none(
        drawn in drawn(),
        x in wild(), z in wild(), lean in wild(), swing in wild(), heel in wild(), splay in wild(),
    ) {
        let parts = drawn.parts();
        prop_assume!(parts.is_some());
        let parts = parts.expect("assumed");
        parts.with(|problem, cockpit| {
            let free = Free { hip_x: x, hip_z_or_slide: z, lean, swing, heel, splay };
            let start = problem.at(free);
            for aim in [Aim::Comfort, Aim::Sink, Aim::HipsAtMost(z)] {
                let end = problem.solve_near(&start, aim);
                if end.feasible() && aim == Aim::Comfort {
                    consistent(&parts, cockpit, problem, &end)?;
                }
                let posture = problem.posture(&end);
                let says = matches!(posture.status, Status::OutOfReach(_));
                prop_assert!(says || posture.cost.is_finite(), "{posture:?}");
            }
            Ok(())
        })?;
    }
}

/// Parts and settings drawn from what a sled allows.
fn any_settings(sled: &Sled, dice: &mut Dice) -> Settings {
    let round = |value: f64| (value * 2.0).round() / 2.0;
    let riser = dice.pick(sled.risers.len());
    let (low, high) = sled.risers[riser].angles.bounds();
    Settings {
        riser,
        clamp: dice.pick(sled.clamps.len()),
        bar: dice.pick(sled.bars.len()),
        seat: dice.pick(sled.seats.len()),
        stirrup: sled.stirrup.positions[dice.pick(sled.stirrup.positions.len())],
        riser_angle: Angle::from_deg(round(dice.between(low.deg(), high.deg()))),
        bar_roll: Angle::from_deg(round(
            dice.between(sled.bar_roll.0.deg(), sled.bar_roll.1.deg()),
        )),
    }
}

/// Writes `tests/cases/posture-problems.json` from the shipped riders, sleds and stances: every rider in every
/// stance on two of the sleds, and on one whose post stands askew; settings are drawn anew for each. The answers beside it must be made anew after it.
#[test]
#[ignore = "writes the problems; its answers come from tests/reference"]
fn write_problems() {
    let root = env!("CARGO_MANIFEST_DIR");
    let mut paths: Vec<_> = std::fs::read_dir(format!("{root}/rider-profiles/riders"))
        .expect("riders")
        .map(|entry| entry.expect("entry").path())
        .collect();
    paths.sort();
    let riders: Vec<RiderData> = paths
        .iter()
        .map(|path| {
            let profile =
                RiderProfile::read(&std::fs::read_to_string(path).expect("text")).expect("rider");
            RiderData::of(&profile.name, &profile.build().expect("built").rider)
        })
        .collect();
    let stances: Vec<StanceData> = Stance::shipped()
        .expect("shipped")
        .iter()
        .map(StanceData::of)
        .collect();
    let mut dice = Dice(20_260_101);
    let mut cases = Vec::new();
    let half = |value: f64| (value * 2.0).round() / 2.0;
    let mut add = |rider: usize, stance: usize, sled: usize, hard: bool| {
        let (name, mut sled) = shipped_sleds().remove(sled);
        let settings = any_settings(&sled, &mut dice);
        // The shipped boards are level; pitch is tried too.
        sled.board.pitch = Angle::from_deg(half(dice.between(-6.0, 6.0)));
        if hard {
            sled.steering.base_x += half(dice.between(-150.0, 200.0));
            sled.steering.base_z += half(dice.between(-200.0, 250.0));
        }
        cases.push(Case {
            rider,
            stance,
            sled: if hard {
                format!("{name} askew")
            } else {
                name.to_owned()
            },
            seat_share: SEAT_SHARE_AT_FIRST,
            setup: Setup::of(&sled, &settings),
        });
    };
    for rider in 0..riders.len() {
        for stance in 0..stances.len() {
            for more in 0..2 {
                add(
                    rider,
                    stance,
                    (rider + stance + more) % shipped_sleds().len(),
                    false,
                );
            }
        }
    }
    // Posts so far out of place that limits bind, or that nothing fits.
    for hard in 0..40 {
        add(
            hard % riders.len(),
            hard / 10,
            hard % shipped_sleds().len(),
            true,
        );
    }
    let lines = |items: Vec<String>| items.join(",\n");
    let json = format!(
        "{{\"riders\": [\n{}\n],\n\"stances\": [\n{}\n],\n\"cases\": [\n{}\n]}}\n",
        lines(
            riders
                .iter()
                .map(|r| serde_json::to_string(r).expect("json"))
                .collect()
        ),
        lines(
            stances
                .iter()
                .map(|s| serde_json::to_string(s).expect("json"))
                .collect()
        ),
        lines(
            cases
                .iter()
                .map(|c| serde_json::to_string(c).expect("json"))
                .collect()
        ),
    );
    let read: Problems = serde_json::from_str(&json).expect("reads back");
    assert_eq!(read.cases.len(), cases.len());
    for case in &read.cases {
        let parts = read.parts(case);
        parts.with(|_, cockpit| assert!(cockpit.grip.norm().is_finite()));
    }
    std::fs::write(format!("{root}/tests/cases/posture-problems.json"), json).expect("written");
}
