//! Postures against an independent optimiser: `tests/reference/posture.py` solves the same problems with SciPy from many
//! random starts (`tests/cases/posture-golden.json`).
#![cfg(not(target_arch = "wasm32"))]
#![allow(clippy::expect_used, clippy::unwrap_used, reason = "a test may panic")]

mod outside;

use outside::{Case, Dice, Problems, RiderData, Setup, StanceData, shipped_sleds};
use sledstance::rider::RiderProfile;
use sledstance::sled::Settings;
use sledstance::stance::{SEAT_SHARE_AT_FIRST, Stance};
use sledstance::units::Angle;

/// Writes `tests/cases/posture-problems.json` from the shipped riders, sleds and stances: every combination once, on
/// settings drawn anew for each. The answers beside it must be made anew after it.
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
    let round = |value: f64, step: f64| (value / step).round() * step;
    for (rider, _) in riders.iter().enumerate() {
        for (name, mut sled) in shipped_sleds() {
            for (stance, _) in stances.iter().enumerate() {
                let riser = dice.pick(sled.risers.len());
                let (low, high) = sled.risers[riser].angles.bounds();
                // The shipped boards are level; pitch is tried too.
                sled.board.pitch = Angle::from_deg(round(dice.between(-6.0, 6.0), 0.5));
                let settings = Settings {
                    riser,
                    clamp: dice.pick(sled.clamps.len()),
                    bar: dice.pick(sled.bars.len()),
                    seat: dice.pick(sled.seats.len()),
                    stirrup: sled.stirrup.positions[dice.pick(sled.stirrup.positions.len())],
                    riser_angle: Angle::from_deg(round(dice.between(low.deg(), high.deg()), 0.5)),
                    bar_roll: Angle::from_deg(round(
                        dice.between(sled.bar_roll.0.deg(), sled.bar_roll.1.deg()),
                        0.5,
                    )),
                };
                cases.push(Case {
                    rider,
                    stance,
                    sled: name.to_owned(),
                    seat_share: SEAT_SHARE_AT_FIRST,
                    setup: Setup::of(&sled, &settings),
                });
            }
        }
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
