//! Levers turned by hand: what was asked for stands, the other lever stays, and what follows from it follows.
#![allow(clippy::unwrap_used, reason = "a test may panic")]

mod drawing;

use drawing::demo_sled;
use sledstance::fit::{Request, Taped, fit, with_levers, with_levers_taped};
use sledstance::rider::{RiderProfile, Sex};
use sledstance::stance::Stance;
use sledstance::units::Angle;

#[test]
fn a_lever_turned_by_hand_stands_as_turned_within_its_range_and_leaves_the_other() {
    let built = RiderProfile::of(Sex::Male, 1780.0, 80.0).build().unwrap();
    let stances = Stance::shipped().unwrap();
    for name in ["long-lemming", "tall-tern", "bare-bones"] {
        let sled = demo_sled(name);
        let request = Request::new(&built.rider, &sled, &stances);
        let best = fit(&request).best;
        assert_eq!(with_levers(&request, best.clone(), None, None), best);
        for degrees in [-40.0, -7.5, 12.0, 33.5, 170.0] {
            let asked = Angle::from_deg(degrees);
            let turned = with_levers(&request, best.clone(), Some(asked), None);
            let (low, high) = sled.brake.roll;
            let off = turned.levers.brake.roll - asked.clamped(low, high);
            assert!(off.abs().deg() < 1e-9, "{name} {degrees}");
            assert_eq!(turned.levers.throttle, best.levers.throttle);
            assert_eq!(turned.verdicts.len(), best.verdicts.len());
            // The wrist of every stance that brakes turns with the lever, degree by degree.
            let by = turned.levers.brake.roll - best.levers.brake.roll;
            for ((_, now), (_, before)) in turned
                .levers
                .brake
                .wrist_extension
                .iter()
                .zip(&best.levers.brake.wrist_extension)
            {
                let moved = (*now - *before).abs() - by.abs();
                assert!(moved.abs().deg() < 1e-6, "{name} {degrees}");
            }
            let turned = with_levers(&request, best.clone(), None, Some(asked));
            let (low, high) = sled.throttle.roll;
            let off = turned.levers.throttle.roll - asked.clamped(low, high);
            assert!(off.abs().deg() < 1e-9, "{name} {degrees}");
            assert_eq!(turned.levers.brake, best.levers.brake);
        }
    }
}

#[test]
fn a_taped_lever_stands_where_it_was_taped_and_leaves_the_other() {
    let built = RiderProfile::of(Sex::Male, 1780.0, 80.0).build().unwrap();
    let stances = Stance::shipped().unwrap();
    for name in ["long-lemming", "tall-tern"] {
        let sled = demo_sled(name);
        let request = Request::new(&built.rider, &sled, &stances);
        let best = fit(&request).best;
        assert_eq!(with_levers_taped(&request, best.clone(), None, None), best);
        // Taped as it was placed: nothing moves.
        let as_placed = Taped {
            along: best.levers.brake.along,
            roll: best.levers.brake.roll,
            lever_reach: best.levers.brake.lever_reach,
        };
        let same = with_levers_taped(&request, best.clone(), Some(as_placed), None);
        assert_eq!(same.levers.brake.reach_step, best.levers.brake.reach_step);
        assert_eq!(same.distances, best.distances);
        let taped = Taped {
            along: as_placed.along - 6.0,
            roll: as_placed.roll + Angle::from_deg(3.0),
            // Between two steps of the adjuster.
            lever_reach: as_placed.lever_reach + 1.3,
        };
        let moved = with_levers_taped(&request, best.clone(), Some(taped), None);
        let brake = &moved.levers.brake;
        assert_eq!(
            (brake.along, brake.lever_reach),
            (taped.along, taped.lever_reach)
        );
        let (low, high) = sled.brake.roll;
        assert!(
            (brake.roll - taped.roll.clamped(low, high)).abs().deg() < 1e-9,
            "{name}"
        );
        assert_eq!(moved.distances.brake_tip_to_grip, taped.lever_reach);
        assert_eq!(moved.levers.throttle, best.levers.throttle);
        assert_ne!(brake.wrist_extension, best.levers.brake.wrist_extension);
    }
}
