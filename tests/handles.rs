//! Dragging and stepping: what a pointer's position means for the settings.

mod drawing;

use drawing::*;
use proptest::prelude::*;
use sledstance::sled::{Cockpit, RiserAngles, Seat, Settings};
use sledstance::units::text::System;
use sledstance::view::handle::{HandleId, drag, drag_lever, handles, step};
use sledstance::view::machine::{LeverView, machine};
use sledstance::view::path::{Xy, xy};

const ALL: [HandleId; 6] = [
    HandleId::Stirrup,
    HandleId::Riser,
    HandleId::BarRoll,
    HandleId::Brake,
    HandleId::Throttle,
    HandleId::Seat,
];

fn at(cockpit: &Cockpit, px: f64) -> Vec<(HandleId, Xy)> {
    let levers = LeverView::middle(cockpit);
    let made = machine(cockpit, &levers, None);
    handles(cockpit, &made, &levers, System::Metric, px)
        .into_iter()
        .map(|h| (h.id, h.at))
        .collect()
}

#[test]
fn grabbing_a_handle_moves_nothing() {
    let sled = sled();
    for (angle, roll, stirrup) in [
        (14.0, -2.0, -100.0),
        (-5.0, 10.0, 0.0),
        (30.0, -10.0, -200.0),
    ] {
        let start = settings(3, stirrup, angle, roll);
        let cockpit = Cockpit::new(&sled, start);
        for px in [0.9, 3.4, 6.0] {
            for (id, place) in at(&cockpit, px) {
                let after = drag(id, start, place, &sled);
                assert!(
                    (after.riser_angle - start.riser_angle).abs().deg() < 1e-9,
                    "{id:?}"
                );
                assert!(
                    (after.bar_roll - start.bar_roll).abs().deg() < 1e-9,
                    "{id:?}"
                );
                assert_eq!(after.stirrup, start.stirrup, "{id:?}");
                let levers = LeverView::middle(&cockpit);
                let turned = drag_lever(id, levers, place, &cockpit);
                assert!((turned.brake_roll - levers.brake_roll).abs().deg() <= 0.25 + 1e-9);
                assert!((turned.throttle_roll - levers.throttle_roll).abs().deg() <= 0.25 + 1e-9);
            }
        }
    }
}

#[test]
fn handles_are_a_gloved_finger_apart() {
    let sled = sled();
    let cockpit = Cockpit::new(&sled, settings(0, 0.0, 10.0, 0.0));
    for px in [0.9, 2.0, 3.4, 6.0] {
        let all = at(&cockpit, px);
        assert_eq!(all.len(), 6);
        for (i, a) in all.iter().enumerate() {
            for b in &all[i + 1..] {
                let apart = (a.1 - b.1).length() / px;
                assert!(apart >= 43.9, "{:?} and {:?}: {apart:.1} px", a.0, b.0);
            }
        }
    }
}

#[test]
fn the_stirrup_snaps_to_the_nearest_position() {
    let sled = sled();
    let start = settings(2, 0.0, 10.0, 0.0);
    for (x, expected) in [
        (30.0, 0.0),
        (-12.0, 0.0),
        (-13.0, -25.0),
        (-101.0, -100.0),
        (-999.0, -200.0),
    ] {
        let after = drag(HandleId::Stirrup, start, xy(x, 300.0), &sled);
        assert_eq!(after.stirrup, expected);
    }
}

#[test]
fn the_riser_points_at_the_pointer_in_half_degrees_and_keeps_its_range() {
    let sled = sled();
    let start = settings(2, 0.0, 10.0, 0.0);
    let base = xy(sled.steering.base_x, -sled.steering.base_z);
    for (to, expected) in [
        (12.2, 12.0),
        (12.3, 12.5),
        (-3.0, -3.0),
        (80.0, 30.0),
        (-60.0, -5.0),
    ] {
        let pointer = base + Xy::at(deg(90.0 + to)) * 333.0;
        let after = drag(HandleId::Riser, start, pointer, &sled);
        assert!((after.riser_angle.deg() - expected).abs() < 1e-9, "{to}");
    }
    let mut toothed = sled.clone();
    toothed.risers[2].angles = RiserAngles::Teeth {
        low: deg(0.0),
        high: deg(20.0),
        step: deg(4.0),
    };
    let pointer = base + Xy::at(deg(90.0 + 9.0)) * 200.0;
    let after = drag(HandleId::Riser, start, pointer, &toothed);
    assert!((after.riser_angle.deg() - 8.0).abs() < 1e-9);
    toothed.risers[2].angles = RiserAngles::Fixed(deg(7.0));
    assert!(
        (drag(HandleId::Riser, start, pointer, &toothed)
            .riser_angle
            .deg()
            - 7.0)
            .abs()
            < 1e-9
    );
}

#[test]
fn the_bar_follows_the_pointer_about_its_clamp() {
    let sled = sled();
    let start = settings(2, 0.0, 10.0, 0.0);
    for roll in [-10.0, -4.5, 0.0, 3.0, 10.0] {
        let turned = Cockpit::new(&sled, settings(2, 0.0, 10.0, roll));
        let pointer = xy(turned.grip.x, -turned.grip.z);
        let after = drag(HandleId::BarRoll, start, pointer, &sled);
        assert!(
            (after.bar_roll.deg() - roll).abs() < 1e-9,
            "{roll}: {}",
            after.bar_roll.deg()
        );
    }
}

#[test]
fn the_seat_follows_the_pointers_height_and_the_arrow_keys() {
    let mut sled = sled();
    let foam = sled.seats[0].foam;
    for (name, height) in [("tall", 40.0), ("low", -20.0)] {
        sled.seats.push(Seat {
            name: name.to_owned(),
            height_over_line: height,
            foam,
        });
    }
    let start = settings(2, 0.0, 10.0, 0.0);
    let line = sled.seat_line.height(-300.0).0;
    for (over, expected) in [(55.0, 1), (5.0, 0), (-30.0, 2)] {
        let after = drag(HandleId::Seat, start, xy(-300.0, -(line + over)), &sled);
        assert_eq!(after.seat, expected);
    }
    assert_eq!(step(HandleId::Seat, start, 1, &sled).seat, 1);
    assert_eq!(step(HandleId::Seat, start, 99, &sled).seat, 2);
    assert_eq!(step(HandleId::Seat, start, -1, &sled).seat, 0);
}

#[test]
fn arrow_keys_take_one_position_or_half_a_degree() {
    let sled = sled();
    let start = settings(2, -25.0, 10.0, 0.0);
    assert_eq!(step(HandleId::Stirrup, start, 1, &sled).stirrup, -50.0);
    assert_eq!(step(HandleId::Stirrup, start, -5, &sled).stirrup, 0.0);
    assert!((step(HandleId::Riser, start, 1, &sled).riser_angle.deg() - 10.5).abs() < 1e-9);
    assert!((step(HandleId::Riser, start, 500, &sled).riser_angle.deg() - 30.0).abs() < 1e-9);
    assert!((step(HandleId::BarRoll, start, -3, &sled).bar_roll.deg() + 1.5).abs() < 1e-9);
}

proptest! {
    #[test]
    fn any_pointer_gives_settings_that_the_sled_allows(
        x in any::<f64>(), y in any::<f64>(), which in 0_usize..6, riser in 0_usize..5, position in 0_usize..9,
    ) {
        let sled = sled();
        let start = settings(riser, sled.stirrup.positions[position], 10.0, 0.0);
        for pointer in [xy(x, y), xy(x % 1000.0, y % 1000.0), xy(f64::NAN, y), xy(1e300, -1e300)] {
            let after: Settings = drag(ALL[which], start, pointer, &sled);
            prop_assert!(after.checked(&sled).is_ok(), "{after:?}");
            let cockpit = Cockpit::new(&sled, start);
            let levers = drag_lever(ALL[which], LeverView::middle(&cockpit), pointer, &cockpit);
            prop_assert!(levers.brake_roll >= sled.brake.roll.0 && levers.brake_roll <= sled.brake.roll.1);
        }
    }

    #[test]
    fn any_number_of_steps_gives_settings_that_the_sled_allows(steps in any::<i32>(), which in 0_usize..6) {
        let sled = sled();
        let after = step(ALL[which], settings(1, -75.0, 3.5, 1.0), steps, &sled);
        prop_assert!(after.checked(&sled).is_ok(), "{after:?}");
    }
}
