//! Where the levers go: along the bar, roll and lever reach of brake and throttle, and what the thumbs reach.
//!
//! **Brake.** Along the bar the blade's tip goes over the outer edge of the last finger that the rider uses, counted from
//! the index: there a finger has the most leverage and the others stay clear. Lever reach: the adjuster step that strains
//! the resting finger least ([`HandOnGrip::rest_on_blade`]) among those at which the blade, at its longest travel, clears
//! the grip and any finger under it. Roll: extension in stance i is `e_i = forearm_i + δ − roll` with δ from the finger,
//! so `roll = Σ w_i (forearm_i + δ − preferred_i) / Σ w_i` with w = stance weight / tolerance², over the stances that keep
//! a finger on the lever; then kept inside the lever's range.
//!
//! **Throttle.** The throttle hand turns freely about the grip, so the same mean gives the hand line that suits the
//! wrists. The paddle is placed by the least of the thumb's strain, closed and full, plus the wrists' misfit where the
//! roll range forces the hand to turn. A paddle's roll is the direction from the bar's axis to the paddle; its travel
//! runs towards the bar.
//!
//! **Buttons** are reached if the thumb gets there with the hand on the grip, slid to its inner end.
//!
//! The bars are straight and the rider is symmetric: both hands are computed with the left limb's points.

use super::hand::{
    FingerRest, GripPlane, HandOnGrip, MCP_BAND, MCP_REST, finite, least, length,
    place as place_along, wrapped,
};
use super::outcome::{ButtonReach, LeverPlacement, Levers};
use super::paddle::{Paddle, note_roll};
use super::steps::{Steps, ordered, ordered_mm};
use super::thumb::{Target, Thumb};
use super::words::{deg, mm};
use crate::rider::{Hand, Rider};
use crate::sled::{Bar, Cockpit, FingerLever, Guard, Sled};
use crate::stance::{Pose, Stance};
use crate::units::{Angle, Point};

/// Distance that a lever at its longest travel must keep from grip and fingers, mm. Our choice: what a gloved hand sees.
pub const CLEAR_OF_LEVER: f64 = 5.0;

/// Share of a finger's width that may lie under the blade before it counts as trapped. Our choice.
const UNDER_BLADE: f64 = 0.25;

/// Strain up to which a finger is stretched to keep another from being trapped: two tolerances. Our choice.
const STRETCHED: f64 = 4.0;

/// Wrist extension from which a note warns. Keir et al. 2007, Hum Factors: 25th percentile of the angle that raises
/// carpal tunnel pressure to 30 mmHg is 32.7°.
const WRIST_WARNS: Angle = Angle::from_deg(30.0);

/// A turn that no digital level shows. Our choice.
const ROLL_SLACK: Angle = Angle::from_deg(0.5);

/// Spread of wrist extension over the stances from which a note speaks of a compromise. Our choice.
const SPREAD_WARNS: Angle = Angle::from_deg(20.0);

/// Places every lever for these stances' poses on this cockpit, bars straight.
pub fn place(rider: &Rider, cockpit: &Cockpit, poses: &[(&Stance, &Pose)]) -> Levers {
    let sled = cockpit.sled;
    let grip = Grip::new(rider, cockpit, poses);
    let (brake, brake_hand) = grip.brake(&sled.brake);
    let (throttle, throttle_hand) = grip.throttle(sled, brake_hand);
    Levers {
        buttons: grip.buttons(sled, brake_hand, throttle_hand),
        guard_gap: sled
            .guard
            .map(|guard| grip.guard_gap(&guard, &brake, brake_hand)),
        brake,
        throttle,
    }
}

/// The brake lever beside what is dragged, where a whole placement takes too long, set to this lever reach (mm): its roll
/// from level, as given or as [`place`] would have it for these poses, and each pose's wrist extension with a finger
/// resting on it.
pub fn brake_in_hand(
    rider: &Rider,
    cockpit: &Cockpit,
    poses: &[(&Stance, &Pose)],
    roll: Option<Angle>,
    lever_reach: f64,
) -> (Angle, Vec<Angle>) {
    let grip = Grip::new(rider, cockpit, poses);
    let rest = grip.on.rest_on_blade(lever_reach);
    let roll = roll.unwrap_or_else(|| {
        let (low, high) = ordered(cockpit.sled.brake.roll);
        grip.wanted_brake_roll((low, high), &rest)
            .clamped(low, high)
    });
    let hand_line = rest.hand_line(roll);
    let wrists = grip.wrists.iter().map(|w| w.extension(hand_line));
    (roll, wrists.collect())
}

/// What fingers and thumbs make of levers where they stand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LeverFeel {
    /// Squared discomfort of the finger that rests on the brake: 1 at the edge of one joint's comfortable band.
    pub finger_strain: f64,
    /// Squared discomfort of the thumb on the throttle, the mean of closed and full.
    pub thumb_strain: f64,
    /// What the brake's blade keeps from the grip at its longest travel, mm.
    pub brake_room: f64,
}

/// Levers as they stand on the bar, whatever the bar does: of `placed` count `along`, `roll_to_bar` and `reach_step`,
/// and all else follows from the cockpit and the poses. Nothing is moved to a better place, and `notes` tell only what
/// had to be rolled back into its range.
pub fn as_placed(
    rider: &Rider,
    cockpit: &Cockpit,
    poses: &[(&Stance, &Pose)],
    placed: &Levers,
) -> (Levers, LeverFeel) {
    let sled = cockpit.sled;
    let grip = Grip::new(rider, cockpit, poses);
    let brake_steps = Steps::new(sled.brake.reach, sled.brake.reach_steps);
    // A lever that the bar turns past its range is rolled back on the bar to the range's end.
    let rolled = |lever: &LeverPlacement, range: (Angle, Angle), name: &str| {
        let (low, high) = ordered(range);
        let turned = wrapped(lever.roll_to_bar + grip.bar_forward);
        let roll = turned.clamped(low, high);
        let mut notes = Vec::new();
        if (turned - roll).abs() > ROLL_SLACK {
            notes.push(format!(
                "The {name} turns with the bar past its range: roll it back to {} from level.",
                deg(roll)
            ));
        }
        (roll, wrapped(roll - grip.bar_forward), notes)
    };
    let brake_reach = brake_steps.at(placed.brake.reach_step);
    let rest = grip.on.rest_on_blade(brake_reach);
    let (roll, roll_to_bar, notes) = rolled(&placed.brake, sled.brake.roll, "brake lever");
    let brake_hand = rest.hand_line(roll);
    let brake = LeverPlacement {
        roll,
        roll_to_bar,
        lever_reach: brake_reach,
        wrist_extension: grip.extensions(brake_hand),
        notes,
        ..placed.brake
    };
    let along = placed.throttle.along;
    let (roll, roll_to_bar, notes) =
        rolled(&placed.throttle, sled.throttle.roll, "throttle paddle");
    let suited = grip.throttle_hand(sled, brake_hand);
    let step = placed.throttle.reach_step;
    let reach = Steps::new(sled.throttle.reach, sled.throttle.reach_steps).at(step);
    // The paddle stays; the hand turns about the grip to where wrist and thumb together are best off.
    let hand_turned = |below: f64| {
        Paddle::new(
            &grip,
            &sled.throttle,
            &suited,
            (roll, roll),
            along,
            step,
            reach,
            below,
        )
    };
    let mut scanned = 90.0;
    let mut cost = hand_turned(scanned).cost;
    for i in 0..=60 {
        let turned = hand_turned(3.0 * f64::from(i));
        if turned.cost < cost {
            (scanned, cost) = (turned.below_deg, turned.cost);
        }
    }
    let below = least(
        (scanned - 3.0).max(0.0),
        (scanned + 3.0).min(180.0),
        |below| hand_turned(below).cost,
    );
    let paddle = hand_turned(below);
    let throttle = LeverPlacement {
        roll,
        roll_to_bar,
        lever_reach: reach,
        wrist_extension: grip.extensions(paddle.hand_line),
        notes,
        ..placed.throttle
    };
    let feel = LeverFeel {
        finger_strain: rest.strain,
        thumb_strain: (paddle.closed.strain + paddle.full.strain) / 2.0,
        brake_room: brake_reach - length(sled.brake.longest_travel),
    };
    let levers = Levers {
        buttons: grip.buttons(sled, brake_hand, paddle.hand_line),
        guard_gap: sled
            .guard
            .map(|guard| grip.guard_gap(&guard, &brake, brake_hand)),
        brake,
        throttle,
    };
    (levers, feel)
}

/// One stance's forearm as the levers see it.
struct Wrist {
    name: String,
    /// Downward angle of the forearm, square to the grip.
    forearm: Angle,
    preferred: Angle,
    /// Weight over squared tolerance, per square degree.
    weight: f64,
    brake_fingers: u8,
    thumb_on_throttle: bool,
}

impl Wrist {
    fn new(stance: &Stance, pose: &Pose, cockpit: &Cockpit) -> Self {
        let forearm = GripPlane::new(cockpit.grip_axis)
            .downward(cockpit.grip - pose.points.elbow.map(finite));
        let range = &stance.ranges.wrist_extension;
        let tolerance = finite(range.tolerance.deg()).max(0.1);
        Self {
            name: stance.name.clone(),
            forearm,
            preferred: wrapped(range.preferred),
            weight: length(stance.weight) / (tolerance * tolerance),
            brake_fingers: stance.hands.brake_fingers.min(4),
            thumb_on_throttle: stance.hands.thumb_on_throttle,
        }
    }

    fn extension(&self, hand_line: Angle) -> Angle {
        wrapped(self.forearm - hand_line)
    }
}

/// Hand line that suits a set of wrists best, and how fast their misfit grows with the square of an angle off it.
pub(super) struct Suited {
    pub(super) hand_line: Angle,
    /// Per square degree; the weights are normed, so that it does not depend on how many stances there are.
    pub(super) stiffness: f64,
}

/// One hand on its grip with the forearms of all stances.
pub(super) struct Grip<'a> {
    pub(super) on: HandOnGrip,
    pub(super) thumb: Thumb,
    hand: Hand,
    pub(super) bar: &'a Bar,
    /// Downward angle of the bar's own forward direction.
    bar_forward: Angle,
    wrists: Vec<Wrist>,
}

impl<'a> Grip<'a> {
    fn new(rider: &Rider, cockpit: &Cockpit<'a>, poses: &[(&Stance, &Pose)]) -> Self {
        let bar = &cockpit.sled.bars[cockpit.settings.bar];
        let on = HandOnGrip::new(&rider.hand, bar.grip_diameter);
        Self {
            on,
            thumb: on.thumb(),
            hand: rider.hand,
            bar,
            bar_forward: GripPlane::new(cockpit.grip_axis).downward(Point::new(
                cockpit.bar_lean.cos(),
                0.0,
                cockpit.bar_lean.sin(),
            )),
            wrists: poses
                .iter()
                .map(|(stance, pose)| Wrist::new(stance, pose, cockpit))
                .collect(),
        }
    }

    /// Which buttons the thumbs reach.
    fn buttons(&self, sled: &Sled, brake_hand: Angle, throttle_hand: Angle) -> Vec<ButtonReach> {
        let buttons = sled.buttons.iter().map(|button| {
            let hand_line = if button.left == sled.brake.left {
                brake_hand
            } else {
                throttle_hand
            };
            let press = self.thumb.press(&Target {
                out: button.stand_off,
                below_hand: button.roll - hand_line,
                // The hand may slide in to the grip's end for it.
                inward: length(self.bar.grip_length) / 2.0 + place_along(button.inward)
                    - self.inner_edge(),
            });
            ButtonReach {
                name: button.name.clone(),
                reached: press.margin >= 0.0,
                margin: press.margin,
            }
        });
        buttons.collect()
    }

    /// The line that suits the throttle's hand.
    fn throttle_hand(&self, sled: &Sled, brake_hand: Angle) -> Suited {
        if sled.throttle.left == sled.brake.left {
            // The finger on the brake holds the hand: nothing is gained by turning it.
            Suited {
                hand_line: brake_hand,
                stiffness: 1.0,
            }
        } else {
            self.suited(|w| w.thumb_on_throttle).unwrap_or(Suited {
                hand_line: Angle::ZERO,
                stiffness: 0.0,
            })
        }
    }

    /// Weighted least squares over the wrists that use the lever; over all where none does; `None` without any.
    fn suited(&self, uses: impl Fn(&Wrist) -> bool) -> Option<Suited> {
        let mean = |keep: &dyn Fn(&Wrist) -> bool, equal: bool| {
            let (mut sum, mut weights, mut count) = (0.0, 0.0, 0.0);
            for wrist in self.wrists.iter().filter(|w| keep(w)) {
                let weight = if equal { 1.0 } else { wrist.weight };
                sum += weight * wrapped(wrist.forearm - wrist.preferred).deg();
                weights += weight;
                count += 1.0;
            }
            (weights > 0.0 && weights.is_finite()).then(|| Suited {
                hand_line: Angle::from_deg(sum / weights),
                stiffness: if equal { 0.01 } else { weights / count },
            })
        };
        mean(&uses, false)
            .or_else(|| mean(&|_| true, false))
            .or_else(|| mean(&|_| true, true))
    }

    fn extensions(&self, hand_line: Angle) -> Vec<(String, Angle)> {
        self.wrists
            .iter()
            .map(|w| (w.name.clone(), w.extension(hand_line)))
            .collect()
    }

    /// Distance of the index finger's inner edge from the grip's inner end with the hand in the grip's middle, mm.
    fn inner_edge(&self) -> f64 {
        ((length(self.bar.grip_length) - length(self.hand.gloved_breadth)) / 2.0).max(0.0)
    }

    /// The brake's placement and the hand line that it ties its hand to.
    fn brake(&self, lever: &FingerLever) -> (LeverPlacement, Angle) {
        let mut notes = Vec::new();
        let (along, trapped) = self.brake_along(lever, &mut notes);
        let (step, lever_reach) = self.brake_reach(lever, trapped, &mut notes);
        let rest = self.on.rest_on_blade(lever_reach);
        note_finger(&self.on, lever, lever_reach, &mut notes);

        let (low, high) = ordered(lever.roll);
        let wanted = self.wanted_brake_roll((low, high), &rest);
        let roll = wanted.clamped(low, high);
        note_roll("reservoir", wanted, roll, &mut notes);
        let hand_line = rest.hand_line(roll);
        let used = |w: &Wrist| w.brake_fingers > 0;
        self.note_wrists(hand_line, used, &mut notes);
        let placement = LeverPlacement {
            along,
            roll,
            roll_to_bar: wrapped(roll - self.bar_forward),
            lever_reach,
            reach_step: step,
            wrist_extension: self.extensions(hand_line),
            notes,
        };
        (placement, hand_line)
    }

    /// Roll that suits the wrists best, wherever its range ends; its middle where no pose tells.
    fn wanted_brake_roll(&self, (low, high): (Angle, Angle), rest: &FingerRest) -> Angle {
        let suited = self.suited(|w| w.brake_fingers > 0);
        suited.map_or((low + high) / 2.0, |s| s.hand_line + rest.blade_below_hand)
    }

    /// Clamp band from the grip's inner end, and whether a finger left on the grip lies under the blade.
    fn brake_along(&self, lever: &FingerLever, notes: &mut Vec<String>) -> (f64, bool) {
        let asked = self.wrists.iter().map(|w| w.brake_fingers).max();
        let fingers = asked.unwrap_or(0).max(1);
        if asked == Some(0) {
            notes.push("No stance keeps a finger on the brake: placed for the index.".to_owned());
        }
        let width = length(self.hand.gloved_breadth) / 4.0;
        let outer_edge = self.inner_edge() + f64::from(fingers) * width;
        let (low, high) = ordered_mm(lever.along);
        let along = (length(lever.blade) - outer_edge).clamp(low, high);
        let tip = length(lever.blade) - along;
        let over = tip - outer_edge;
        if over < -UNDER_BLADE * width {
            notes.push(format!(
                "Blade ends {} short of the outer edge of finger {fingers}: use fewer fingers or a longer blade.",
                mm(-over)
            ));
        }
        let under = fingers < 4 && over > UNDER_BLADE * width;
        if under {
            notes.push(format!(
                "Blade reaches {} past finger {fingers}, over a finger left on the grip: its clamp cannot go further in.",
                mm(over)
            ));
        }
        (along, under)
    }

    /// Adjuster step and lever reach: least strain among the steps that are safe at the longest travel.
    fn brake_reach(
        &self,
        lever: &FingerLever,
        trapped: bool,
        notes: &mut Vec<String>,
    ) -> (u32, f64) {
        let steps = Steps::new(lever.reach, lever.reach_steps);
        let travel = length(lever.longest_travel);
        let off_grip = travel + CLEAR_OF_LEVER;
        let off_fingers = off_grip + self.on.gloved_finger();
        let strain = |step| self.on.rest_on_blade(steps.at(step)).strain;
        // Clearing a finger under the blade is worth a stretched finger, but not a brake that is out of reach: then the
        // caution below stands.
        let clears = steps.at(steps.least_at(off_fingers)) >= off_fingers
            && strain(steps.least_at(off_fingers)) <= STRETCHED;
        let least_safe = if trapped && clears {
            off_fingers
        } else {
            off_grip
        };
        let (below, above) = steps.around(self.on.relaxed_reach());
        let comfort = if strain(above) < strain(below) {
            above
        } else {
            below
        };
        let step = comfort.max(steps.least_at(least_safe));
        let reach = steps.at(step);
        let left = reach - travel;
        if left < CLEAR_OF_LEVER {
            notes.push(format!(
                "Caution: at its longest travel the blade comes to {} from the grip; it must keep {}. Bleed or reline the brake, or fit a lever with more reach.",
                mm(left.max(0.0)),
                mm(CLEAR_OF_LEVER)
            ));
        }
        let room = left - self.on.gloved_finger();
        if trapped && room < 0.0 {
            notes.push(format!(
                "Caution: at its longest travel the blade leaves {} over a gloved finger {} thick and traps it: fit a shorter blade or keep that finger on the lever.",
                mm(left.max(0.0)),
                mm(self.on.gloved_finger())
            ));
        }
        (step, reach)
    }

    /// The throttle's placement and its hand's line.
    fn throttle(&self, sled: &Sled, brake_hand: Angle) -> (LeverPlacement, Angle) {
        let lever = &sled.throttle;
        let mut notes = Vec::new();
        if lever.left == sled.brake.left {
            notes.push(
                "Brake and throttle are under the same hand: the brake's finger turns it."
                    .to_owned(),
            );
        }
        let suited = self.throttle_hand(sled, brake_hand);
        let steps = Steps::new(lever.reach, lever.reach_steps);
        let (along_low, along_high) = ordered_mm(lever.along);
        let roll_range = ordered(lever.roll);
        let try_at = |along: f64, step: u32, below: f64| {
            Paddle::new(
                self,
                lever,
                &suited,
                roll_range,
                along,
                step,
                steps.at(step),
                below,
            )
        };
        let mut best = try_at(along_low, 0, 90.0);
        for part in 0..=4 {
            let along = along_low + (along_high - along_low) * f64::from(part) / 4.0;
            for step in steps.sample() {
                // The thumb lies on the palm's side of the hand line: from straight ahead round to straight behind.
                for below in 0..=60 {
                    let paddle = try_at(along, step, 3.0 * f64::from(below));
                    if paddle.cost < best.cost {
                        best = paddle;
                    }
                }
            }
        }
        let (along, step) = (best.along, best.step);
        let below = least(
            (best.below_deg - 3.0).max(0.0),
            (best.below_deg + 3.0).min(180.0),
            |d| try_at(along, step, d).cost,
        );
        let refined = try_at(along, step, below);
        if refined.cost < best.cost {
            best = refined;
        }
        best.note(lever, suited.hand_line, &mut notes);
        self.note_wrists(best.hand_line, |w| w.thumb_on_throttle, &mut notes);
        let placement = LeverPlacement {
            along: best.along,
            roll: best.roll,
            roll_to_bar: wrapped(best.roll - self.bar_forward),
            lever_reach: best.reach,
            reach_step: best.step,
            wrist_extension: self.extensions(best.hand_line),
            notes,
        };
        (placement, best.hand_line)
    }

    /// Notes on the spread over the stances and on wrists bent too far.
    fn note_wrists(
        &self,
        hand_line: Angle,
        used: impl Fn(&Wrist) -> bool,
        notes: &mut Vec<String>,
    ) {
        let mut ends: Option<(&Wrist, &Wrist)> = None;
        for wrist in self.wrists.iter().filter(|w| used(w)) {
            let e = wrist.extension(hand_line);
            let (low, high) = ends.unwrap_or((wrist, wrist));
            ends = Some((
                if e < low.extension(hand_line) {
                    wrist
                } else {
                    low
                },
                if e > high.extension(hand_line) {
                    wrist
                } else {
                    high
                },
            ));
        }
        let Some((low, high)) = ends else { return };
        let (least, most) = (low.extension(hand_line), high.extension(hand_line));
        if most - least > SPREAD_WARNS {
            notes.push(format!(
                "Wrist extension runs from {} ({}) to {} ({}): one lever cannot suit both.",
                deg(least),
                low.name,
                deg(most),
                high.name
            ));
        }
        if most > WRIST_WARNS {
            notes.push(format!(
                "Wrist extension {} in {}: above {}, pressure in the carpal tunnel rises.",
                deg(most),
                high.name,
                deg(WRIST_WARNS)
            ));
        }
    }

    /// Room between the guard and whatever of finger and blade stands furthest ahead of the grip's surface, mm.
    fn guard_gap(&self, guard: &Guard, brake: &LeverPlacement, hand_line: Angle) -> f64 {
        let rest = self.on.rest_on_blade(brake.lever_reach);
        let half_finger = self.on.gloved_finger() / 2.0;
        let ahead = |(x, y): (f64, f64)| x * hand_line.cos() - y * hand_line.sin() + half_finger;
        let over_blade = self.on.grip_radius
            + brake.lever_reach
            + super::hand::BLADE_DEPTH
            + self.on.gloved_finger();
        let farthest = ahead(self.on.knuckle())
            .max(ahead(self.on.second_joint(rest.mcp)))
            .max(over_blade * brake.roll.cos());
        length(guard.clear_depth) - (farthest - self.on.grip_radius)
    }
}

/// Notes on how the finger rests.
fn note_finger(on: &HandOnGrip, lever: &FingerLever, reach: f64, notes: &mut Vec<String>) {
    let rest = on.rest_on_blade(reach);
    if rest.missing > 0.0 {
        notes.push(format!(
            "Middle pad misses the blade by {}: only the fingertip reaches it.",
            mm(rest.missing)
        ));
    }
    let beyond = reach - on.comfortable_reach();
    if beyond > length(lever.free_travel) {
        notes.push(format!(
            "A comfortable finger lies {} inside the blade, more than the free play of {}: mind a dragging brake.",
            mm(beyond),
            mm(length(lever.free_travel))
        ));
    }
    let (low, high) = (MCP_REST - MCP_BAND, MCP_REST + MCP_BAND);
    if !(low - 0.05..=high + 0.05).contains(&rest.mcp.deg()) {
        notes.push(format!(
            "Knuckle bends {} on the lever; {low:.0} to {high:.0}° is comfortable.",
            deg(rest.mcp)
        ));
    }
}
