//! Levers turned by hand: what was asked for stands, the other lever stays, and what follows from it follows.
#![allow(clippy::unwrap_used, reason = "a test may panic")]

mod drawing;

use drawing::demo_sled;
use sledstance::fit::{Request, fit, with_levers};
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
