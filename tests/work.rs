//! Work order, tape checks, try-on and tick-off list.

#![allow(clippy::unwrap_used, reason = "a test may panic")]

use proptest::prelude::*;
use sledstance::fit::checks::{checks, safety_checks, try_on};
use sledstance::fit::work::{Step, Turn, order, tasks};
use sledstance::fit::{ButtonReach, Distances, LeverPlacement, Levers, SetUp};
use sledstance::sled::{Settings, Sled, SledProfile};
use sledstance::units::Angle;

fn deg(d: f64) -> Angle {
    Angle::from_deg(d)
}

fn sled() -> Sled {
    SledProfile::read(include_str!("../rider-profiles/sleds/long-lemming.json"))
        .unwrap()
        .resolve()
        .unwrap()
}

fn settings() -> Settings {
    Settings {
        riser: 1,
        clamp: 0,
        bar: 0,
        seat: 0,
        stirrup: sled().stirrup.positions[1],
        riser_angle: deg(12.0),
        bar_roll: deg(-2.0),
    }
}

fn lever(roll: f64) -> LeverPlacement {
    LeverPlacement {
        along: 55.0,
        roll: deg(roll),
        roll_to_bar: deg(roll + 10.0),
        lever_reach: 48.0,
        reach_step: 1,
        wrist_extension: vec![],
        notes: vec![],
    }
}

fn setup(settings: Settings) -> SetUp {
    SetUp {
        settings,
        objective: 0.0,
        terms: vec![],
        stances: vec![],
        levers: Levers {
            brake: lever(18.3),
            throttle: lever(104.0),
            buttons: vec![ButtonReach {
                name: "stop switch".to_owned(),
                reached: false,
                margin: -8.0,
            }],
            guard_gap: Some(31.0),
        },
        distances: Distances {
            stirrup_to_grip: 934.4,
            stirrup_to_grip_forward: 262.0,
            grip_height: 897.0,
            seat_to_grip: 612.6,
            riser_to_post: deg(-13.0),
            brake_tip_to_grip: 48.0,
        },
        verdicts: vec![],
    }
}

fn steps(before: &Settings, now: &Settings) -> Vec<Step> {
    order(Some(before), now, &sled())
        .iter()
        .map(|t| t.step)
        .collect()
}

/// What every order of work must keep.
fn holds(turns: &[Turn]) {
    let firsts: Vec<Step> = turns.iter().filter(|t| !t.again).map(|t| t.step).collect();
    assert!(
        firsts.windows(2).all(|w| w[0] < w[1]),
        "working order, each once: {turns:?}"
    );
    for (i, turn) in turns.iter().enumerate() {
        if turn.again {
            assert!(turns[..i].iter().any(|t| t.step == turn.step), "{turns:?}");
            continue;
        }
        for spoilt in turn.step.disturbs() {
            if turns[..i].iter().any(|t| t.step == *spoilt) {
                assert!(
                    turns[i + 1..].iter().any(|t| t.step == *spoilt && t.again),
                    "{turns:?}"
                );
            }
        }
    }
}

#[test]
fn whole_set_up_runs_through_every_step() {
    let turns = order(None, &settings(), &sled());
    holds(&turns);
    for step in Step::ALL {
        assert!(turns.iter().any(|t| t.step == step && !t.again), "{step:?}");
    }
    assert_eq!(turns.first().map(|t| t.step), Some(Step::TapeAsFound));
    assert_eq!(turns.last().map(|t| t.step), Some(Step::TapeAgain));
    assert!(turns.iter().any(|t| t.step == Step::Levers && t.again));
    let mut bare = sled();
    bare.guard = None;
    assert!(
        order(None, &settings(), &bare)
            .iter()
            .all(|t| t.step != Step::Guards)
    );
}

#[test]
fn nothing_changed_needs_no_work() {
    assert!(tasks(Some(&settings()), &setup(settings()), &sled()).is_empty());
}

#[test]
fn a_stirrup_change_leaves_bars_and_levers_alone() {
    let now = Settings {
        stirrup: sled().stirrup.positions[2],
        ..settings()
    };
    let found = steps(&settings(), &now);
    assert_eq!(
        found,
        [
            Step::TapeAsFound,
            Step::Stirrups,
            Step::LockToLock,
            Step::Aboard,
            Step::TapeAgain
        ]
    );
}

#[test]
fn a_riser_change_sets_bar_and_levers_anew() {
    let now = Settings {
        riser_angle: deg(14.0),
        ..settings()
    };
    let found = steps(&settings(), &now);
    for step in [
        Step::Level,
        Step::Riser,
        Step::BarRoll,
        Step::Levers,
        Step::Guards,
    ] {
        assert!(found.contains(&step), "{step:?}");
    }
    assert!(!found.contains(&Step::Stirrups) && !found.contains(&Step::Seat));
    let at = |step| found.iter().position(|s| *s == step).unwrap();
    assert!(at(Step::Riser) < at(Step::BarRoll) && at(Step::BarRoll) < at(Step::Levers));
    // Level comes again after the riser, levers after the guards.
    assert_eq!(found.iter().filter(|s| **s == Step::Level).count(), 2);
    assert!(found.iter().filter(|s| **s == Step::Levers).count() >= 2);
}

#[test]
fn tasks_speak_in_what_a_tape_shows() {
    let list = tasks(None, &setup(settings()), &sled());
    let text: Vec<&str> = list.iter().map(|t| t.what.as_str()).collect();
    let all = text.join("\n");
    for words in [
        "position 2",
        "12° back from vertical",
        "2° forward and up",
        "18.5° down from level",
        "104° down from level",
        "Move within the thumb's reach: stop switch",
        "31 mm free",
        "snaps back",
    ] {
        assert!(all.contains(words), "{words} in {all}");
    }
    assert!(
        list.iter()
            .all(|t| t.minutes > 0.0 && t.minutes.is_finite())
    );
    let swap = |before: Settings| {
        let list = tasks(Some(&before), &setup(settings()), &sled());
        let riser = list
            .iter()
            .find(|t| t.what.contains("Set the riser"))
            .unwrap();
        (riser.minutes, riser.what.clone())
    };
    let (turned, words) = swap(Settings {
        riser_angle: deg(9.0),
        ..settings()
    });
    assert!(words.contains("It stood 9° back"), "{words}");
    let (swapped, words) = swap(Settings {
        riser: 0,
        ..settings()
    });
    assert!(
        words.contains("riser") && words.starts_with("Fit the"),
        "{words}"
    );
    assert!(swapped > turned);
}

#[test]
fn tape_checks_carry_values_and_tolerances() {
    let list = checks(&setup(settings()), &sled());
    let expect = |what: &str| {
        let found = list.iter().find(|c| c.what.contains(what)).unwrap();
        found.expect.clone().unwrap()
    };
    assert_eq!(expect("Stirrup bolt to grip"), "934 mm ± 5 mm");
    assert_eq!(expect("Board at"), "897 mm ± 5 mm");
    assert_eq!(expect("Seat's front"), "613 mm ± 5 mm");
    assert_eq!(
        expect("Riser, digital level"),
        "12° back from vertical ± 0.5°"
    );
    assert_eq!(expect("Brake lever's tip"), "48 mm ± 2 mm");
    assert_eq!(expect("plumb line"), "260 mm ahead of the bolt ± 5 mm");
    let mut bare = setup(settings());
    bare.levers.guard_gap = None;
    assert_eq!(checks(&bare, &sled()).len(), list.len() - 1);
}

#[test]
fn try_on_covers_what_a_rider_does() {
    let list = try_on();
    for words in [
        "hands drop",
        "Squat",
        "Lean back",
        "full lock",
        "Sit down and rise",
        "one finger",
        "stop switch",
        "both feet out",
    ] {
        assert!(list.iter().any(|c| c.what.contains(words)), "{words}");
    }
    assert!(list.iter().all(|c| c.expect.is_some()));
    assert!(list[0].what.contains("Engine off"));
}

#[test]
fn what_nobody_measured_is_ticked_off_by_hand() {
    let mut sled = sled();
    sled.steering.hose_limit = Some(300.0);
    sled.steering.grip_travel_limit = Some(500.0);
    sled.assumed.clear();
    let has = |sled: &Sled, words: &str| safety_checks(sled).iter().any(|c| c.what.contains(words));
    assert!(!has(&sled, "Nobody has measured"));
    sled.steering.hose_limit = None;
    assert!(has(&sled, "Nobody has measured what hoses"));
    assert!(!has(&sled, "Dimensions that nobody"));
    sled.assumed.push("board pitch".to_owned());
    let list = safety_checks(&sled);
    let named = list
        .iter()
        .find(|c| c.what.contains("Dimensions that nobody"))
        .unwrap();
    assert_eq!(named.expect.as_deref(), Some("board pitch"));
    for words in [
        "full lock",
        "snaps back",
        "traps a finger",
        "tether",
        "snow around the boot",
        "torqued",
        "slow lap",
    ] {
        let found = list.iter().any(|c| c.what.to_lowercase().contains(words));
        assert!(found, "{words}");
    }
    assert!(list.last().unwrap().what.contains("slow lap"));
}

proptest! {
    #[test]
    fn every_change_keeps_the_order(
        risers in (0usize..3, 0usize..3),
        seats in (0usize..2, 0usize..2),
        stirrups in (-200.0..0.0, -200.0..0.0),
        angles in (prop::num::f64::ANY, prop::num::f64::ANY),
        rolls in (-10.0..10.0, -10.0..10.0),
        guard: bool,
    ) {
        let mut sled = sled();
        if !guard {
            sled.guard = None;
        }
        let at = |riser, seat, stirrup, angle, roll| Settings {
            riser,
            seat,
            stirrup,
            riser_angle: deg(angle),
            bar_roll: deg(roll),
            ..settings()
        };
        let before = at(risers.0, seats.0, stirrups.0, angles.0, rolls.0);
        let now = at(risers.1, seats.1, stirrups.1, angles.1, rolls.1);
        holds(&order(Some(&before), &now, &sled));
        holds(&order(None, &now, &sled));
        let setup = setup(now);
        let list = tasks(Some(&before), &setup, &sled);
        prop_assert_eq!(list.len(), order(Some(&before), &now, &sled).len());
        prop_assert!(list.iter().all(|t| t.minutes.is_finite() && !t.what.is_empty()));
        prop_assert!(checks(&setup, &sled).len() > 8);
    }
}
