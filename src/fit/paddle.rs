//! A trial place of the throttle's paddle: what it asks of the thumb, closed and at full, and of the wrists.

use super::hand::{length, wrapped};
use super::levers::{Grip, Suited};
use super::thumb::{Target, ThumbPress};
use super::words::{deg, mm};
use crate::sled::ThumbLever;
use crate::units::Angle;

/// What a thumb may miss by before a note says so, mm: its pad is soft. Our choice.
const HARDLY: f64 = 0.5;

/// What a clamped roll must miss the wanted one by before a note says so: what a digital level shows. Our choice.
const ROLL_SLACK: Angle = Angle::from_deg(0.5);

/// One trial place of the throttle's paddle.
pub(super) struct Paddle {
    pub(super) along: f64,
    pub(super) step: u32,
    pub(super) reach: f64,
    pub(super) below_deg: f64,
    pub(super) roll: Angle,
    pub(super) hand_line: Angle,
    pub(super) closed: ThumbPress,
    pub(super) full: ThumbPress,
    pub(super) cost: f64,
}

impl Paddle {
    #[expect(
        clippy::too_many_arguments,
        reason = "one call, of a trial's coordinates"
    )]
    pub(super) fn new(
        grip: &Grip,
        lever: &ThumbLever,
        suited: &Suited,
        (low, high): (Angle, Angle),
        along: f64,
        step: u32,
        reach: f64,
        below_deg: f64,
    ) -> Self {
        let below_hand = Angle::from_deg(below_deg);
        let roll = (suited.hand_line + below_hand).clamped(low, high);
        let hand_line = roll - below_hand;
        let press = |reach: f64| {
            grip.thumb.press(&Target {
                out: grip.on.grip_out(reach),
                below_hand,
                inward: length(grip.bar.grip_length) / 2.0 + along,
            })
        };
        let (closed, full) = (press(reach), press(reach - length(lever.travel)));
        let turned = wrapped(hand_line - suited.hand_line).deg();
        Self {
            along,
            step,
            reach,
            below_deg,
            roll,
            hand_line,
            closed,
            full,
            cost: (closed.strain + full.strain) / 2.0 + suited.stiffness * turned * turned,
        }
    }

    pub(super) fn note(&self, lever: &ThumbLever, wanted_hand: Angle, notes: &mut Vec<String>) {
        let below = Angle::from_deg(self.below_deg);
        note_roll("clamp", wanted_hand + below, self.roll, notes);
        let over = length(lever.travel) - self.reach;
        if over > 0.0 {
            notes.push(format!(
                "Paddle would meet the grip {} before full throttle: it needs more reach.",
                mm(over)
            ));
        }
        for (press, name) in [(&self.closed, "closed"), (&self.full, "at full")] {
            if press.margin < -HARDLY {
                notes.push(format!(
                    "Thumb misses the paddle by {} with the throttle {name}.",
                    mm(-press.margin)
                ));
            } else if press.too_far > HARDLY {
                notes.push(format!(
                    "Thumb is straighter than comfortable with the throttle {name}: the paddle is {} too far.",
                    mm(press.too_far)
                ));
            } else if press.too_far < -HARDLY {
                notes.push(format!(
                    "Thumb is bent more than comfortable with the throttle {name}: the paddle is {} too near.",
                    mm(-press.too_far)
                ));
            }
        }
    }
}

/// A note where the range keeps the roll from where the wrists want it.
pub(super) fn note_roll(what: &str, wanted: Angle, roll: Angle, notes: &mut Vec<String>) {
    if (wanted - roll).abs() > ROLL_SLACK {
        notes.push(format!(
            "Wrists ask for a roll of {}; the {what}'s range ends at {}.",
            deg(wanted),
            deg(roll)
        ));
    }
}
