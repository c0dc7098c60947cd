//! What to verify after the work: with a tape and a digital level, with the rider aboard, and before the first lap.
//!
//! Tolerances are what a cold hand repeats with a tape and a level; common practice, no source. The lists are common
//! practice too and replace neither the maker's manual nor the sanctioning body's rules nor local law.

use super::cautions::TICK_OFF;
use super::outcome::{Check, SetUp};
use super::words::{deg, mm, mm5};
use super::work::{bar_roll_words, riser_lean, roll_words, stirrup_words};
use crate::sled::Sled;
use crate::units::Angle;

/// Over the length of a body: the tape sags and finds no edge. Common practice, no source.
const LONG: f64 = 5.0;
/// At a lever, with the tape's end on the grip. Common practice, no source.
const SHORT: f64 = 2.0;
/// A digital level held by hand. Common practice, no source.
const LEVEL: Angle = Angle::from_deg(0.5);

fn check(what: &str, expect: Option<String>) -> Check {
    Check {
        what: what.to_owned(),
        expect,
    }
}

/// Tape checks with what they must show, sled level on its stand, bars straight.
pub fn checks(setup: &SetUp, sled: &Sled) -> Vec<Check> {
    let d = &setup.distances;
    let settings = &setup.settings;
    let about = |value: f64| Some(format!("{} ± {}", mm(value), mm(LONG)));
    let near = |value: f64| Some(format!("{} ± {}", mm(value), mm(SHORT)));
    let angle = |words: String| Some(format!("{words} ± {}", deg(LEVEL)));
    let ahead = if d.stirrup_to_grip_forward < 0.0 {
        format!("{} behind the bolt", mm5(-d.stirrup_to_grip_forward))
    } else {
        format!("{} ahead of the bolt", mm5(d.stirrup_to_grip_forward))
    };
    let mut list = vec![
        check(
            "Stirrup bolt's place",
            Some(stirrup_words(settings.stirrup, sled)),
        ),
        check(
            "Stirrup bolt to grip centre, straight, in the side view",
            about(d.stirrup_to_grip),
        ),
        check(
            "Grip centre fore-aft, by plumb line",
            Some(format!("{ahead} ± {}", mm(LONG))),
        ),
        check(
            "Board at the foremost stirrup bolt to grip centre, height",
            about(d.grip_height),
        ),
        check(
            "Seat's front top edge to grip centre, straight, in the side view",
            about(d.seat_to_grip),
        ),
        check(
            "Riser, digital level on its side",
            angle(riser_lean(settings.riser_angle)),
        ),
        check(
            "Bar roll, digital level, against the riser",
            angle(bar_roll_words(settings.bar_roll)),
        ),
        check(
            "Brake lever, digital level square to the grip",
            angle(roll_words(setup.levers.brake.roll)),
        ),
        check(
            "Brake lever's tip to the grip's surface",
            near(d.brake_tip_to_grip),
        ),
        check(
            "Brake clamp to the grip's inner end",
            near(setup.levers.brake.along),
        ),
        check(
            "Throttle paddle to the grip's surface, closed",
            near(setup.levers.throttle.lever_reach),
        ),
    ];
    if let Some(gap) = setup.levers.guard_gap {
        list.push(check(
            "Fingers on the brake lever to the hand guard",
            near(gap),
        ));
    }
    list
}

/// Try-on, engine off, in full gear, sled level and held. Each "no" is worth a note of what was felt.
pub fn try_on() -> Vec<Check> {
    [
        ("Engine off, tether out, full gear. Stand as between two obstacles, eyes shut, and let the hands drop", "they fall on the grips"),
        ("Squat as deep as a landing takes you", "knees, chest and helmet touch nothing"),
        ("Lean back as for a short landing, one finger on the brake", "elbows still bent, feet hold"),
        ("Turn to full lock both ways, standing", "outer elbow bent, nothing touches"),
        ("Turn to full lock both ways, seated", "outer elbow bent, knees clear of grips"),
        ("Sit down and rise ten times", "no pull on the bars, no step with the feet"),
        ("Brake with one finger, standing and seated", "full squeeze, wrist straight, other fingers free"),
        ("Thumb to full throttle and off, at both locks", "thumb stays on the grip's inside, snaps back"),
        ("Hit the stop switch without looking", "the hand stays on the grip"),
        ("Take both feet out quickly, backwards and sideways", "both come free at once"),
    ]
    .into_iter()
    .map(|(what, expect)| check(what, Some(expect.to_owned())))
    .collect()
}

/// Ticked off by hand after every change: the standing list, and what nobody has measured on this sled.
pub fn safety_checks(sled: &Sled) -> Vec<Check> {
    let mut list: Vec<Check> = TICK_OFF.iter().map(|&what| check(what, None)).collect();
    // Before the slow lap, which closes the standing list.
    let place = list.len().saturating_sub(2);
    let mut own = Vec::new();
    if sled.steering.hose_limit.is_none() || sled.steering.grip_travel_limit.is_none() {
        own.push(check(
            "Nobody has measured what hoses and cables allow on this sled: a second person watches them over full lock.",
            Some("slack left at both locks".to_owned()),
        ));
    }
    own.push(check(
        "Pack the hoop with snow around the boot, then pull the foot out, both sides.",
        Some("it comes free at once".to_owned()),
    ));
    if sled.guard.is_some() {
        own.push(check(
            "Hand guards are tight; fingers clear them with the brake at rest and squeezed.",
            None,
        ));
    }
    if !sled.assumed.is_empty() {
        own.push(check(
            "Dimensions that nobody has measured on this sled: measure them before you trust the figures.",
            Some(sled.assumed.join(", ")),
        ));
    }
    list.splice(place..place, own);
    list
}
