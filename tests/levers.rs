//! Levers: the hand on its grip, where the levers go, what the thumbs reach, and lock to lock.

#![allow(clippy::unwrap_used, reason = "a test may panic")]

use proptest::prelude::*;
use sledstance::fit::hand::{FIGURES, GripPlane, HandOnGrip, wrist_extension, wrist_extension_at};
use sledstance::fit::levers::{CLEAR_OF_LEVER, brake_in_hand, place};
use sledstance::fit::lock::lock_to_lock;
use sledstance::fit::thumb::Target;
use sledstance::fit::{Distances, LeverPlacement, Levers, Request, Verdict, fit};
use sledstance::fit::{LOCK_ELBOW, TRUNK_TWIST};
use sledstance::rider::{Hand, Rider, RiderProfile, Sex};
use sledstance::sled::{Cockpit, Settings, Sled, SledProfile};
use sledstance::stance::{Angles, Points, Pose, Stance};
use sledstance::units::{Angle, Point};

const ACROSS: Point = Point::new(0.0, 1.0, 0.0);

fn deg(d: f64) -> Angle {
    Angle::from_deg(d)
}

fn hand(length: f64, glove: f64) -> Hand {
    Hand {
        length,
        gloved_breadth: 0.445 * length + 15.0,
        palm_thickness: glove,
    }
}

fn sled() -> Sled {
    SledProfile::read(include_str!("../rider-profiles/sleds/long-lemming.json"))
        .unwrap()
        .resolve()
        .unwrap()
}

fn settings() -> Settings {
    Settings {
        riser: 2,
        clamp: 0,
        bar: 0,
        seat: 0,
        stirrup: -80.0,
        riser_angle: deg(12.0),
        bar_roll: deg(0.0),
    }
}

fn rider(stature: f64) -> Rider {
    RiderProfile::of(Sex::Male, stature, 78.0)
        .build()
        .unwrap()
        .rider
}

fn stances() -> Vec<Stance> {
    Stance::shipped().unwrap()
}

/// A pose whose forearm slopes down to the grip by an angle seen along a grip that lies straight across.
fn pose(cockpit: &Cockpit, rider: &Rider, forearm_down: f64) -> Pose {
    let (grip, links) = (cockpit.grip, &rider.links);
    let slope = deg(forearm_down);
    let elbow = grip - Point::new(slope.cos(), 0.0, -slope.sin()) * links.forearm;
    let shoulder = elbow + Point::new(-0.2, 0.0, 1.0).normalize() * links.upper_arm;
    let hip = Point::new(-350.0, 90.0, 850.0);
    let knee = Point::new(-20.0, 240.0, 560.0);
    let ankle = Point::new(-100.0, 250.0, 120.0);
    let zero = Angle::ZERO;
    Pose {
        points: Points {
            ball: ankle,
            heel: ankle,
            toe: ankle,
            toe_stop: cockpit.toe_stop,
            ankle,
            knee,
            hip,
            lower_trunk: hip,
            shoulder,
            elbow,
            wrist: elbow,
            grip,
            seat: hip,
            neck: shoulder,
            head: shoulder,
            foot_com: ankle,
        },
        angles: Angles {
            ankle: zero,
            knee: zero,
            hip: zero,
            trunk: deg(25.0),
            shoulder: zero,
            elbow: zero,
            elbow_swing: zero,
            wrist_extension: zero,
            wrist_ulnar: zero,
            neck: zero,
            heel_lift: zero,
            knee_splay: zero,
        },
        com: hip,
        seated: false,
    }
}

fn placed(rider: &Rider, sled: &Sled, forearms: &[f64]) -> Levers {
    let cockpit = Cockpit::new(sled, settings());
    let stances = stances();
    let poses: Vec<Pose> = forearms.iter().map(|&d| pose(&cockpit, rider, d)).collect();
    let pairs: Vec<_> = stances.iter().zip(&poses).collect();
    place(rider, &cockpit, &pairs)
}

fn near(found: f64, wanted: f64, within: f64) {
    assert!((found - wanted).abs() <= within, "{found} is not {wanted}");
}

/// A lever that suits any hand: no limit binds.
fn easy_sled() -> Sled {
    let mut sled = sled();
    sled.brake.along = (0.0, 200.0);
    sled.brake.reach = (5.0, 80.0);
    sled.brake.reach_steps = 151;
    sled.brake.roll = (deg(-80.0), deg(80.0));
    sled.brake.longest_travel = 1.0;
    sled
}

fn has(notes: &[String], words: &str) -> bool {
    notes.iter().any(|n| n.contains(words))
}

#[test]
fn every_figure_names_its_source_once() {
    for figure in FIGURES {
        assert!(figure.value.is_finite() && figure.value > 0.0, "{figure:?}");
        assert!(!figure.source.is_empty() && !figure.says.is_empty());
        assert_eq!(FIGURES.iter().filter(|f| f.says == figure.says).count(), 1);
    }
}

#[test]
fn wrists_follow_the_brake_and_are_the_placed_ones_where_it_was_placed() {
    let (sled, rider, stances) = (sled(), rider(1780.0), stances());
    let best = fit(&Request::new(&rider, &sled, &stances)).best;
    let cockpit = Cockpit::new(&sled, best.settings);
    let poses: Vec<_> = stances
        .iter()
        .zip(best.stances.iter().map(|s| &s.posture.pose))
        .collect();
    let brake = &best.levers.brake;
    let held = |roll| brake_in_hand(&rider, &cockpit, &poses, roll, brake.lever_reach);
    let turned = |by: f64| held(Some(brake.roll + deg(by))).1;
    let placed: Vec<Angle> = brake.wrist_extension.iter().map(|(_, w)| *w).collect();
    assert_eq!(turned(0.0), placed);
    assert_eq!(placed.len(), 4);
    assert_eq!(held(None), (brake.roll, placed.clone()));
    for (lower, placed) in turned(5.0).iter().zip(&placed) {
        near(lower.deg(), placed.deg() - 5.0, 1e-9);
    }
}

#[test]
fn plane_square_to_a_grip() {
    let straight = GripPlane::new(ACROSS);
    near(
        straight.downward(Point::new(1.0, 0.3, 0.0)).deg(),
        0.0,
        1e-12,
    );
    near(
        straight.downward(Point::new(1.0, -2.0, -1.0)).deg(),
        45.0,
        1e-12,
    );
    near(
        straight.downward(Point::new(-1.0, 0.0, 0.0)).deg().abs(),
        180.0,
        1e-12,
    );
    for axis in [
        Point::new(-0.2, 0.95, 0.1),
        Point::new(-0.2, -0.95, 0.1),
        Point::new(0.0, 0.0, 0.0),
        Point::new(0.0, 0.0, 1.0),
        Point::new(f64::NAN, 1.0, 0.0),
    ] {
        let plane = GripPlane::new(axis);
        near(plane.forward.z, 0.0, 1e-12);
        assert!(plane.forward.x > 0.5 && plane.down.z < -0.5, "{plane:?}");
        near(plane.forward.dot(&plane.down), 0.0, 1e-12);
        near(plane.forward.norm(), 1.0, 1e-12);
        near(plane.down.norm(), 1.0, 1e-12);
    }
}

#[test]
fn forearm_sloping_more_than_the_hand_is_an_extended_wrist() {
    let elbow = Point::new(-deg(30.0).cos(), 0.4, deg(30.0).sin()) * 300.0;
    let extension = |line| wrist_extension(deg(line), elbow, Point::zeros(), ACROSS).deg();
    near(extension(10.0), 20.0, 1e-9);
    near(extension(30.0), 0.0, 1e-9);
    near(extension(45.0), -15.0, 1e-9);
    near(extension(-170.0), -160.0, 1e-9);
}

#[test]
fn relaxed_finger_worked_by_hand() {
    // Hand 200 mm, glove 4, grip 32: knuckle (25.4, -32.2); 45 deg and 53 mm on: (62.877, 5.277); straight down half
    // of 28.6: (62.877, 19.577), 65.854 out; less radius 16, blade 10, half a finger and glove 12.8: 27.054 mm.
    let on = HandOnGrip::new(&hand(200.0, 4.0), 32.0);
    near(on.knuckle().0, 25.4, 1e-9);
    near(on.knuckle().1, -32.2, 1e-9);
    near(on.relaxed_reach(), 27.054, 1e-3);
    let rest = on.rest_on_blade(on.relaxed_reach());
    near(rest.mcp.deg(), 45.0, 1e-3);
    near(rest.pip.deg(), 45.0, 1e-3);
    near(rest.blade_below_hand.deg(), 17.294, 1e-3);
    near(rest.strain, 0.0, 1e-9);
}

#[test]
fn finger_lies_on_the_blade_with_the_least_strain() {
    let on = HandOnGrip::new(&hand(190.0, 4.0), 32.0);
    for tenth in 0..550 {
        let reach = f64::from(tenth) / 10.0;
        let rest = on.rest_on_blade(reach);
        // Where the blade is: the chain of bones by complex numbers, not by the code's own steps.
        let bones = [
            (190.0 * 0.265, rest.mcp.rad()),
            (190.0 * 0.0715, (rest.mcp + rest.pip).rad()),
        ];
        let (x, y) = bones.iter().fold(on.knuckle(), |(x, y), (bone, angle)| {
            (x + bone * libm::cos(*angle), y + bone * libm::sin(*angle))
        });
        let out = 16.0 + reach + 10.0 + 190.0 * 0.044 + 4.0;
        near(libm::hypot(x, y), out, rest.missing + 1e-6);
        near(rest.blade_below_hand.rad(), libm::atan2(y, x), 1e-9);
        // No other bend of the first joint that reaches the blade is easier, on a fine grid.
        for hundredth in 0..9000 {
            let mcp = f64::from(hundredth) / 100.0;
            let joint = on.second_joint(deg(mcp));
            let from = libm::hypot(joint.0, joint.1);
            let half = 190.0 * 0.0715;
            let cos = (out * out - from * from - half * half) / (2.0 * from * half);
            if cos.abs() > 1.0 {
                continue;
            }
            let pip = (libm::atan2(joint.1, joint.0) + libm::acos(cos)).to_degrees() - mcp;
            if !(0.0..=110.0).contains(&pip) {
                continue;
            }
            let strain = ((mcp - 45.0) / 15.0) * ((mcp - 45.0) / 15.0)
                + ((pip - 45.0) / 20.0) * ((pip - 45.0) / 20.0);
            assert!(
                rest.strain <= strain + 1e-9,
                "{reach}: {mcp} beats {rest:?}"
            );
        }
    }
}

#[test]
fn longer_hands_take_longer_reach_and_thicker_gloves_shorter() {
    for glove in [0.0, 3.0, 6.0] {
        for length in 150..230 {
            let (a, b) = (f64::from(length), f64::from(length + 1));
            let reach = |hand: Hand| HandOnGrip::new(&hand, 32.0).relaxed_reach();
            assert!(reach(hand(a, glove)) < reach(hand(b, glove)));
            assert!(reach(hand(a, glove)) > reach(hand(a, glove + 0.5)));
        }
    }
    let sled = easy_sled();
    let reach = |stature| {
        placed(&rider(stature), &sled, &[25.0, 30.0])
            .brake
            .lever_reach
    };
    assert!(reach(1950.0) > reach(1750.0) && reach(1750.0) > reach(1600.0));
}

#[test]
fn a_lever_rolled_down_takes_extension_off_degree_for_degree() {
    let rider = rider(1780.0);
    let elbow = Point::new(-260.0, 40.0, 150.0);
    let at = |roll| {
        wrist_extension_at(
            deg(roll),
            30.0,
            &rider.hand,
            32.0,
            elbow,
            Point::zeros(),
            ACROSS,
        )
    };
    near((at(10.0) - at(25.0)).deg(), 15.0, 1e-9);
    // Further out, the blade stands higher about the grip: the hand turns down to keep its finger on it.
    let further = wrist_extension_at(
        deg(10.0),
        45.0,
        &rider.hand,
        32.0,
        elbow,
        Point::zeros(),
        ACROSS,
    );
    assert!(further < at(10.0));
}

#[test]
fn roll_is_the_weighted_least_squares_of_the_wrists() {
    let (rider, sled) = (rider(1780.0), easy_sled());
    let cockpit = Cockpit::new(&sled, settings());
    let mut stances = stances();
    stances[1].ranges.wrist_extension.tolerance = deg(5.0);
    let poses: Vec<Pose> = [12.0, 25.0, 38.0, 5.0]
        .map(|d| pose(&cockpit, &rider, d))
        .into();
    let pairs: Vec<_> = stances.iter().zip(&poses).collect();
    let brake = place(&rider, &cockpit, &pairs).brake;
    let misfit = |roll: Angle| -> f64 {
        let one = |(stance, pose): &(&Stance, &Pose)| {
            let e = wrist_extension_at(
                roll,
                brake.lever_reach,
                &rider.hand,
                sled.bars[0].grip_diameter,
                pose.points.elbow,
                cockpit.grip,
                cockpit.grip_axis,
            );
            let range = &stance.ranges.wrist_extension;
            let off = (e - range.preferred) / range.tolerance;
            stance.weight * off * off
        };
        pairs.iter().map(one).sum()
    };
    let best = misfit(brake.roll);
    for step in -400..=400 {
        let other = misfit(brake.roll + deg(f64::from(step) / 20.0));
        assert!(other >= best - 1e-12, "{step}");
    }
    assert!(misfit(brake.roll + deg(0.5)) > best);
    let names: Vec<_> = brake
        .wrist_extension
        .iter()
        .map(|(n, _)| n.as_str())
        .collect();
    assert_eq!(names, ["seated", "ready", "attack", "braced"]);
    for ((_, shown), (_, pose)) in brake.wrist_extension.iter().zip(&pairs) {
        let e = wrist_extension_at(
            brake.roll,
            brake.lever_reach,
            &rider.hand,
            sled.bars[0].grip_diameter,
            pose.points.elbow,
            cockpit.grip,
            cockpit.grip_axis,
        );
        near(shown.deg(), e.deg(), 1e-9);
    }
}

#[test]
fn a_stance_without_a_finger_on_the_brake_does_not_roll_it() {
    let (rider, sled) = (rider(1780.0), easy_sled());
    let cockpit = Cockpit::new(&sled, settings());
    let mut stances = stances();
    let poses: Vec<Pose> = [20.0, 20.0, 20.0, 70.0]
        .map(|d| pose(&cockpit, &rider, d))
        .into();
    let with: Vec<_> = stances.iter().zip(&poses).collect();
    let pulled = place(&rider, &cockpit, &with).brake.roll;
    stances[3].hands.brake_fingers = 0;
    let without: Vec<_> = stances.iter().zip(&poses).collect();
    let free = place(&rider, &cockpit, &without).brake;
    assert!(free.roll < pulled);
    assert_eq!(free.wrist_extension.len(), 4);
}

#[test]
fn roll_stays_in_its_range_and_says_so() {
    let mut sled = easy_sled();
    sled.brake.roll = (deg(0.0), deg(12.0));
    for (forearms, wanted, end) in [
        ([70.0; 4], 12.0, "ends at 12°"),
        ([-40.0; 4], 0.0, "ends at 0°"),
    ] {
        let brake = placed(&rider(1780.0), &sled, &forearms).brake;
        near(brake.roll.deg(), wanted, 1e-9);
        assert!(has(&brake.notes, end), "{:?}", brake.notes);
    }
    let free = placed(&rider(1780.0), &easy_sled(), &[30.0; 4]).brake;
    assert!(!has(&free.notes, "range ends"), "{:?}", free.notes);
}

#[test]
fn spread_over_the_stances_is_told() {
    let told = |forearms: &[f64]| placed(&rider(1780.0), &easy_sled(), forearms).brake.notes;
    assert!(has(
        &told(&[0.0, 30.0, 45.0, 10.0]),
        "one lever cannot suit both"
    ));
    assert!(!has(&told(&[20.0; 4]), "one lever cannot suit both"));
}

#[test]
fn bars_rolled_back_turn_the_lever_against_the_bar_by_as_much() {
    let (rider, sled) = (rider(1780.0), easy_sled());
    let at = |bar_roll: f64| -> LeverPlacement {
        let cockpit = Cockpit::new(
            &sled,
            Settings {
                bar_roll: deg(bar_roll),
                ..settings()
            },
        );
        let stance = &stances()[1];
        place(&rider, &cockpit, &[(stance, &pose(&cockpit, &rider, 25.0))]).brake
    };
    let (flat, back) = (at(0.0), at(8.0));
    let turned = (back.roll_to_bar - back.roll) - (flat.roll_to_bar - flat.roll);
    near(turned.deg(), 8.0, 0.2);
    // Without sweep and upsweep the bar's forward direction is 12 deg up with the riser 12 deg back.
    let mut plain = sled.clone();
    for bar in &mut plain.bars {
        (bar.sweep, bar.upsweep) = (Angle::ZERO, Angle::ZERO);
    }
    let brake = placed(&rider, &plain, &[25.0]).brake;
    near((brake.roll_to_bar - brake.roll).deg(), 12.0, 1e-9);
}

#[test]
fn blade_tip_ends_over_the_last_finger_used() {
    let (rider, sled) = (rider(1780.0), easy_sled());
    let cockpit = Cockpit::new(&sled, settings());
    let pose = pose(&cockpit, &rider, 25.0);
    let mut stance = stances()[1].clone();
    let mut along = |fingers| {
        stance.hands.brake_fingers = fingers;
        place(&rider, &cockpit, &[(&stance, &pose)]).brake
    };
    let finger = rider.hand.gloved_breadth / 4.0;
    let edge = (sled.bars[0].grip_length - rider.hand.gloved_breadth) / 2.0;
    near(along(1).along, sled.brake.blade - edge - finger, 1e-9);
    near(along(2).along, sled.brake.blade - edge - 2.0 * finger, 1e-9);
    near(along(1).along - along(4).along, 3.0 * finger, 1e-9);
    let none = along(0);
    near(none.along, along(1).along, 1e-9);
    assert!(has(&none.notes, "No stance keeps a finger"));
}

#[test]
fn too_short_and_too_long_blades_are_told() {
    let rider = rider(1780.0);
    let mut short = easy_sled();
    short.brake.blade = 10.0;
    let brake = placed(&rider, &short, &[25.0]).brake;
    near(brake.along, 0.0, 1e-12);
    assert!(
        has(&brake.notes, "use fewer fingers or a longer blade"),
        "{:?}",
        brake.notes
    );
    let mut long = easy_sled();
    long.brake.along = (0.0, 20.0);
    long.brake.longest_travel = 28.0;
    long.brake.reach = (10.0, 40.0);
    let brake = placed(&rider, &long, &[25.0]).brake;
    near(brake.along, 20.0, 1e-12);
    assert!(has(&brake.notes, "traps it"), "{:?}", brake.notes);
}

#[test]
fn reach_lies_on_a_step_and_is_the_best_step() {
    let rider = rider(1780.0);
    let on = HandOnGrip::new(&rider.hand, sled().bars[0].grip_diameter);
    for steps in [1, 2, 3, 7, 10, 40] {
        let mut sled = easy_sled();
        sled.brake.reach = (20.0, 50.0);
        sled.brake.reach_steps = steps;
        let brake = placed(&rider, &sled, &[25.0]).brake;
        assert!(brake.reach_step < steps);
        let at = |step: u32| {
            20.0 + if steps > 1 {
                30.0 * f64::from(step) / f64::from(steps - 1)
            } else {
                0.0
            }
        };
        near(brake.lever_reach, at(brake.reach_step), 1e-9);
        for step in 0..steps {
            assert!(
                on.rest_on_blade(at(step)).strain
                    >= on.rest_on_blade(brake.lever_reach).strain - 1e-9
            );
        }
    }
}

#[test]
fn longest_travel_keeps_the_blade_off_the_grip() {
    let rider = rider(1600.0);
    let mut sled = easy_sled();
    for travel in [10.0, 20.0, 30.0, 40.0, 60.0] {
        sled.brake.longest_travel = travel;
        let brake = placed(&rider, &sled, &[25.0]).brake;
        assert!(
            brake.lever_reach - travel >= CLEAR_OF_LEVER - 1e-9,
            "{brake:?}"
        );
    }
    sled.brake.longest_travel = 78.0;
    let brake = placed(&rider, &sled, &[25.0]).brake;
    near(brake.lever_reach, 80.0, 1e-9);
    assert!(has(&brake.notes, "Caution"), "{:?}", brake.notes);
    assert!(
        has(&brake.notes, "Middle pad misses the blade"),
        "{:?}",
        brake.notes
    );
}

#[test]
fn thumb_reach_worked_by_hand() {
    // Hand 200 mm, glove 4, grip 32. Base: (0.073 - 0.32) x 200 = -49.4 ahead, -32.2 + 16 = -16.2 palmar, 17.4 inward.
    // A face 30 out straight below: pad 9.4 + 4 lower, at (0, 43.4). Inward 70.
    let on = HandOnGrip::new(&hand(200.0, 4.0), 32.0);
    let press = on.thumb().press(&Target {
        out: 30.0,
        below_hand: deg(90.0),
        inward: 70.0,
    });
    near(
        press.span,
        libm::sqrt(49.4 * 49.4 + 59.6 * 59.6 + 52.6 * 52.6),
        1e-9,
    );
    let along = 49.4 * libm::cos(10f64.to_radians()) + 52.6 * libm::sin(10f64.to_radians());
    near(press.spread.rad(), libm::acos(along / press.span), 1e-9);
    // The straight thumb to its pad: (0.251 + 0.196 + 0.079) x 200 = 105.2 mm.
    let left = (105.2 - press.span).min(press.span * (70.5f64.to_radians() - press.spread.rad()));
    near(press.margin, left, 1e-9);
    // Bent by 10 and 10: 50.2, and 39.2 and 15.8 turned by 10 and 20 deg.
    let turned = |f: fn(f64) -> f64| 39.2 * f(10f64.to_radians()) + 15.8 * f(20f64.to_radians());
    let far = libm::hypot(50.2 + turned(libm::cos), turned(libm::sin));
    let beyond = on.thumb().press(&Target {
        out: 45.0,
        below_hand: deg(90.0),
        inward: 90.0,
    });
    assert!(beyond.too_far > 0.0 && press.too_far <= 0.0);
    near(beyond.too_far, beyond.span - far, 1e-9);
}

#[test]
fn throttle_takes_the_easiest_place_that_the_lever_allows() {
    let sled = sled();
    for stature in [1650.0, 1780.0, 1900.0] {
        let rider = rider(stature);
        let forearms = [20.0, 25.0, 30.0, 15.0];
        let levers = placed(&rider, &sled, &forearms);
        let t = &levers.throttle;
        let lever = &sled.throttle;
        assert!(t.along >= lever.along.0 && t.along <= lever.along.1);
        assert!(t.roll >= lever.roll.0 && t.roll <= lever.roll.1);
        let step = (lever.reach.1 - lever.reach.0) / f64::from(lever.reach_steps - 1);
        near(
            t.lever_reach,
            lever.reach.0 + step * f64::from(t.reach_step),
            1e-9,
        );
        assert_eq!(t.wrist_extension.len(), 4);
        // At the wrists' own hand line no other place of the paddle strains the thumb less: both hands have the same
        // forearms, so the brake's least-squares hand line is the throttle's too where neither is clamped.
        let bar = &sled.bars[0];
        let on = HandOnGrip::new(&rider.hand, bar.grip_diameter);
        let cockpit = Cockpit::new(&sled, settings());
        let forearm = GripPlane::new(cockpit.grip_axis)
            .downward(cockpit.grip - pose(&cockpit, &rider, 20.0).points.elbow);
        let hand_line = forearm - t.wrist_extension[0].1;
        let strain = |along: f64, reach: f64, below: Angle| {
            let press = |reach: f64| {
                on.thumb()
                    .press(&Target {
                        out: on.grip_out(reach),
                        below_hand: below,
                        inward: bar.grip_length / 2.0 + along,
                    })
                    .strain
            };
            (press(reach) + press((reach - lever.travel).max(0.0))) / 2.0
        };
        let best = strain(t.along, t.lever_reach, t.roll - hand_line);
        for k in 0..lever.reach_steps {
            for below in 0..180 {
                let below = deg(f64::from(below));
                let roll = hand_line + below;
                if roll < lever.roll.0 || roll > lever.roll.1 {
                    continue;
                }
                let reach = lever.reach.0 + step * f64::from(k);
                assert!(
                    strain(t.along, reach, below) >= best - 1e-6,
                    "{stature} {k} {below:?}"
                );
            }
        }
    }
}

#[test]
fn paddle_that_meets_the_grip_too_early_is_told() {
    let mut sled = sled();
    sled.throttle.travel = 60.0;
    let throttle = placed(&rider(1780.0), &sled, &[25.0]).throttle;
    assert!(
        has(&throttle.notes, "before full throttle"),
        "{:?}",
        throttle.notes
    );
}

#[test]
fn brake_and_throttle_under_one_hand_are_told() {
    let mut sled = sled();
    sled.throttle.left = sled.brake.left;
    let throttle = placed(&rider(1780.0), &sled, &[25.0]).throttle;
    assert!(has(&throttle.notes, "same hand"), "{:?}", throttle.notes);
}

#[test]
fn buttons_further_in_leave_less_reach_and_belong_to_their_own_hand() {
    let rider = rider(1780.0);
    let mut sled = easy_sled();
    let mut button = sled.buttons[0].clone();
    button.left = true;
    let margin = |sled: &Sled| placed(&rider, sled, &[25.0]).buttons[0].margin;
    let mut last = f64::INFINITY;
    for inward in [20.0, 40.0, 60.0, 100.0] {
        button.inward = inward;
        sled.buttons = vec![button.clone()];
        let left = margin(&sled);
        assert!(left < last, "{inward}: {left}");
        assert_eq!(
            placed(&rider, &sled, &[25.0]).buttons[0].reached,
            left >= 0.0
        );
        last = left;
    }
    assert!(last < 0.0);
    // A brake at the end of its roll turns its own hand and not the other.
    button.inward = 20.0;
    sled.buttons = vec![button.clone()];
    let own = margin(&sled);
    sled.brake.roll = (deg(60.0), deg(60.0));
    assert!((margin(&sled) - own).abs() > 1.0);
    button.left = false;
    sled.buttons = vec![button];
    let other = margin(&sled);
    sled.brake.roll = (deg(-10.0), deg(-10.0));
    near(margin(&sled), other, 1e-12);
}

#[test]
fn guard_gap_is_what_the_fingers_leave() {
    let rider = rider(1780.0);
    let mut sled = easy_sled();
    let gap = |sled: &Sled| placed(&rider, sled, &[25.0]).guard_gap;
    sled.guard = Some(sledstance::sled::Guard { clear_depth: 90.0 });
    let tight = gap(&sled).unwrap();
    sled.guard = Some(sledstance::sled::Guard { clear_depth: 120.0 });
    near(gap(&sled).unwrap() - tight, 30.0, 1e-9);
    sled.guard = None;
    assert_eq!(gap(&sled), None);
}

#[test]
fn distances_by_hand() {
    let (rider, sled) = (rider(1780.0), sled());
    let cockpit = Cockpit::new(&sled, settings());
    let levers = placed(&rider, &sled, &[25.0]);
    let d = Distances::measure(&cockpit, &levers);
    near(d.stirrup_to_grip_forward, cockpit.grip.x + 80.0, 1e-9);
    near(d.grip_height, cockpit.grip.z, 1e-9);
    let bolt = -80.0 * sled.board.pitch.tan();
    near(
        d.stirrup_to_grip * d.stirrup_to_grip,
        (cockpit.grip.x + 80.0) * (cockpit.grip.x + 80.0)
            + (cockpit.grip.z - bolt) * (cockpit.grip.z - bolt),
        1e-6,
    );
    near(
        (d.riser_to_post + sled.steering.post_rake).deg(),
        12.0,
        1e-9,
    );
    near(d.brake_tip_to_grip, levers.brake.lever_reach, 1e-12);
}

fn verdicts(rider: &Rider, sled: &Sled, change: impl Fn(&mut Pose)) -> Vec<Verdict> {
    let cockpit = Cockpit::new(sled, settings());
    let stance = stances()[1].clone();
    let mut pose = pose(&cockpit, rider, 25.0);
    change(&mut pose);
    let pairs = [(&stance, &pose)];
    let levers = place(rider, &cockpit, &pairs);
    lock_to_lock(rider, &cockpit, &levers, &pairs)
}

fn verdict<'a>(list: &'a [Verdict], name: &str) -> &'a Verdict {
    list.iter().find(|v| v.name.contains(name)).unwrap()
}

#[test]
fn outer_hand_follows_from_the_distance_to_the_steered_grip() {
    let (rider, sled) = (rider(1780.0), sled());
    let cockpit = Cockpit::new(&sled, settings());
    let (a, b) = (rider.links.upper_arm, rider.links.forearm);
    let outer = cockpit.steered(cockpit.grip, -sled.steering.lock);
    let reach = libm::sqrt(a * a + b * b + 2.0 * a * b * LOCK_ELBOW.cos());
    // The trunk leans 25 deg and turns: a shoulder aside by y comes forward and down by y·sin(turn). Placed so that the
    // turned shoulder lies straight behind the outer grip.
    let at = |distance: f64| {
        verdicts(&rider, &sled, |p| {
            let y = outer.y / TRUNK_TWIST.cos();
            let ahead = y * TRUNK_TWIST.sin();
            p.points.shoulder = Point::new(
                outer.x - distance - ahead * deg(25.0).cos(),
                y,
                outer.z + ahead * deg(25.0).sin(),
            );
        })
    };
    let found = at(reach + 40.0);
    let v = verdict(&found, "Outer hand");
    assert!(v.says.contains("ready 40 mm"), "{}", v.says);
    assert_eq!(v.met, Some(false));
    let found = at(reach - 1.0);
    assert_eq!(verdict(&found, "Outer hand").met, Some(true));
}

#[test]
fn a_knee_in_the_way_of_a_grip_is_found() {
    let (rider, sled) = (rider(1780.0), sled());
    let cockpit = Cockpit::new(&sled, settings());
    let free = verdicts(&rider, &sled, |_| ());
    assert_eq!(verdict(&free, "Grips clear of knees").met, Some(true));
    let inner = cockpit.steered(cockpit.grip, sled.steering.lock);
    let hit = verdicts(&rider, &sled, |p| {
        p.points.knee = inner - Point::new(0.0, 0.0, 60.0)
    });
    let v = verdict(&hit, "Grips clear of knees");
    assert_eq!(v.met, Some(false), "{}", v.says);
    assert!(
        v.says.contains("knee in ready") || v.says.contains("thigh in ready"),
        "{}",
        v.says
    );
    // The right knee meets the right grip: mirrored, the left one.
    let right = verdicts(&rider, &sled, |p| {
        p.points.knee = Point::new(inner.x, -inner.y, inner.z - 60.0);
        p.points.hip.y = -p.points.hip.y;
    });
    assert_eq!(verdict(&right, "Grips clear of knees").met, Some(false));
    // Only bars narrower than the chest can meet it.
    let mut narrow = sled.clone();
    narrow.bars[0].grip_to_grip = 300.0;
    let cockpit = Cockpit::new(&narrow, settings());
    let inner = cockpit.steered(cockpit.grip, narrow.steering.lock);
    let leaning_on_it = |p: &mut Pose| {
        let up = Point::new(deg(25.0).sin(), 0.0, deg(25.0).cos());
        p.points.hip = inner - up * (rider.links.trunk * 2.0 / 3.0) - Point::new(150.0, 0.0, 0.0);
        p.points.knee = p.points.hip - Point::new(0.0, 0.0, 400.0);
    };
    let chest = verdicts(&rider, &narrow, leaning_on_it);
    let v = verdict(&chest, "Grips clear of knees");
    assert!(v.says.contains("to chest in ready touch"), "{}", v.says);
    assert_eq!(v.met, Some(false));
}

#[test]
fn hoses_are_judged_where_measured_and_ticked_off_where_not() {
    let rider = rider(1780.0);
    let mut sled = sled();
    for (limit, met) in [
        (Some(1000.0), Some(true)),
        (Some(50.0), Some(false)),
        (None, None),
    ] {
        sled.steering.hose_limit = limit;
        sled.steering.grip_travel_limit = limit;
        let found = verdicts(&rider, &sled, |_| ());
        assert_eq!(verdict(&found, "reach the bar").met, met);
        assert_eq!(verdict(&found, "from lock to lock").met, met);
    }
}

#[test]
fn without_stances_what_needs_a_body_stays_open() {
    let (rider, sled) = (rider(1780.0), sled());
    let cockpit = Cockpit::new(&sled, settings());
    let levers = place(&rider, &cockpit, &[]);
    let found = lock_to_lock(&rider, &cockpit, &levers, &[]);
    assert_eq!(verdict(&found, "Outer hand").met, None);
    assert_eq!(verdict(&found, "Grips clear of knees").met, None);
    assert!(levers.brake.wrist_extension.is_empty());
}

#[test]
fn a_screen_in_the_way_of_the_bars_is_found() {
    let rider = rider(1780.0);
    let mut sled = sled();
    let found = verdicts(&rider, &sled, |_| ());
    assert_eq!(verdict(&found, "clear of the cockpit").met, Some(true));
    let wall = sled
        .outline
        .points()
        .iter()
        .map(|p| sledstance::sled::ShapePoint {
            z: 1500.0,
            half_width: 500.0,
            ..*p
        });
    sled.outline = sledstance::sled::Shape::new(wall.collect()).unwrap();
    let found = verdicts(&rider, &sled, |_| ());
    assert_eq!(verdict(&found, "clear of the cockpit").met, Some(false));
}

fn wild() -> impl Strategy<Value = f64> {
    prop_oneof![
        5 => -300.0..300.0,
        1 => prop::num::f64::ANY,
        1 => Just(f64::NAN),
        1 => Just(f64::INFINITY),
        1 => Just(-1e300),
        1 => Just(1e300),
    ]
}

fn finite(levers: &Levers) -> bool {
    let lever = |l: &LeverPlacement| {
        l.along.is_finite()
            && l.roll.rad().is_finite()
            && l.roll_to_bar.rad().is_finite()
            && l.lever_reach.is_finite()
            && l.wrist_extension.iter().all(|(_, e)| e.rad().is_finite())
            && !l
                .notes
                .iter()
                .any(|n| n.contains("NaN") || n.contains("inf"))
    };
    lever(&levers.brake)
        && lever(&levers.throttle)
        && levers.buttons.iter().all(|b| b.margin.is_finite())
        && levers.guard_gap.is_none_or(f64::is_finite)
}

proptest! {
    #[test]
    fn never_panics_and_stays_finite(v in prop::collection::vec(wild(), 32), steps: (u32, u32), fingers: u8) {
        let mut rider = rider(1780.0);
        rider.hand = Hand { length: v[0], gloved_breadth: v[1], palm_thickness: v[2] };
        rider.links.upper_arm = v[3];
        rider.links.chest_front = v[4];
        let mut sled = sled();
        sled.bars[0].grip_diameter = v[5];
        sled.bars[0].grip_length = v[6];
        sled.bars[0].sweep = deg(v[7]);
        sled.brake.along = (v[8], v[9]);
        sled.brake.roll = (deg(v[10]), deg(v[11]));
        sled.brake.reach = (v[12], v[13]);
        sled.brake.reach_steps = steps.0;
        sled.brake.longest_travel = v[14];
        sled.brake.blade = v[15];
        sled.throttle.along = (v[16], v[17]);
        sled.throttle.roll = (deg(v[18]), deg(v[19]));
        sled.throttle.reach = (v[20], v[21]);
        sled.throttle.reach_steps = steps.1;
        sled.throttle.travel = v[22];
        sled.buttons[0].inward = v[23];
        sled.buttons[0].roll = deg(v[24]);
        sled.buttons[0].stand_off = v[25];
        sled.guard = Some(sledstance::sled::Guard { clear_depth: v[26] });
        let cockpit = Cockpit::new(&sled, settings());
        let mut stance = stances()[1].clone();
        stance.hands.brake_fingers = fingers;
        stance.weight = v[27];
        stance.ranges.wrist_extension.preferred = deg(v[28]);
        stance.ranges.wrist_extension.tolerance = deg(v[29]);
        let mut pose = pose(&cockpit, &rider, 25.0);
        pose.points.elbow = Point::new(v[30], v[31], v[0]);
        pose.points.shoulder = Point::new(v[1], v[2], v[3]);
        pose.points.knee = Point::new(v[4], v[30], v[31]);
        let pairs = [(&stance, &pose)];
        let levers = place(&rider, &cockpit, &pairs);
        prop_assert!(finite(&levers), "{levers:?}");
        let verdicts = lock_to_lock(&rider, &cockpit, &levers, &pairs);
        prop_assert_eq!(verdicts.len(), 6);
    }

    #[test]
    fn extension_at_is_finite(v in prop::collection::vec(wild(), 13)) {
        let hand = Hand { length: v[0], gloved_breadth: v[1], palm_thickness: v[2] };
        let p = |i: usize| Point::new(v[i], v[i + 1], v[i + 2]);
        let e = wrist_extension_at(deg(v[3]), v[4], &hand, v[5], p(6), p(8), p(10));
        prop_assert!(e.deg().abs() <= 180.0 + 1e-9, "{e:?}");
    }
}
