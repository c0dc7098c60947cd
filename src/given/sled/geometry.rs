//! Geometry of the sled and the parts in stock: checked domain types, lengths in mm in the crate's frame.

use super::clearance::Shape;
use crate::units::Angle;

/// A sled with the parts that can be fitted to it.
#[derive(Clone, Debug, PartialEq)]
pub struct Sled {
    /// What the team calls it.
    pub name: String,
    /// Running boards.
    pub board: Board,
    /// Stirrups, both sides alike but for `right_offset`.
    pub stirrup: Stirrup,
    /// Steering post.
    pub steering: Steering,
    /// Risers in stock, never empty.
    pub risers: Vec<Riser>,
    /// Bar clamps in stock, never empty.
    pub clamps: Vec<Clamp>,
    /// Bars in stock, never empty.
    pub bars: Vec<Bar>,
    /// Least and greatest bar roll in the clamp.
    pub bar_roll: (Angle, Angle),
    /// Top line of the standard seat from rear to front.
    pub seat_line: Shape,
    /// Seats in stock, never empty.
    pub seats: Vec<Seat>,
    /// Cockpit outline: console, cowl and windscreen edge, from the seat's front forward and up.
    pub outline: Shape,
    /// Finger lever of the brake.
    pub brake: FingerLever,
    /// Thumb lever of the throttle.
    pub throttle: ThumbLever,
    /// Stop switch and auxiliary buttons.
    pub buttons: Vec<Button>,
    /// Hand guards, if fitted.
    pub guard: Option<Guard>,
    /// Where a rider's weight gives the wanted ski pressure.
    pub balance_mark: BalanceMark,
    /// Names of the dimensions that were not measured but taken from the typical sled.
    pub assumed: Vec<String>,
    /// Measured values outside the common range, in words.
    pub unusual: Vec<String>,
}

/// Running boards.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Board {
    /// Pitch of the top face, positive when its front is higher.
    pub pitch: Angle,
    /// Lateral distance from the mid-plane to the boot's centre line.
    pub foot_lateral: f64,
    /// Height of the outer edge over the top face.
    pub edge_height: f64,
    /// Front end of the footwell: the boot's toe must stay behind it (x).
    pub footwell_front: f64,
    /// Rear end of the usable board (x).
    pub rear: f64,
}

/// Stirrups.
#[derive(Clone, Debug, PartialEq)]
pub struct Stirrup {
    /// Bolt positions from the front, x in mm; strictly descending, the first is 0.
    pub positions: Vec<f64>,
    /// Bolt to the face that stops the boot's toe, positive forward.
    pub toe_stop_offset: f64,
    /// What the right stirrup stands ahead of the left.
    pub right_offset: f64,
    /// Clear height of the hoop's opening over the board.
    pub hoop_height: f64,
    /// Clear width of the hoop's opening.
    pub hoop_width: f64,
    /// Rear and front end (x) of the edge protector over which a stirrup can stand; `None`: unmeasured.
    pub edge_protector: Option<(f64, f64)>,
}

/// The steering post and its limits.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Steering {
    /// Riser base point at the top of the post, x.
    pub base_x: f64,
    /// Riser base point at the top of the post, z.
    pub base_z: f64,
    /// Lean of the post from vertical, positive when its top leans rearward.
    pub post_rake: Angle,
    /// Steering lock to each side.
    pub lock: Angle,
    /// Greatest distance of the bar's centre from the base point that hoses, cables and loom allow; `None`: unmeasured.
    pub hose_limit: Option<f64>,
    /// Greatest movement of a grip from lock to lock that hoses, cables and loom allow; `None`: unmeasured.
    pub grip_travel_limit: Option<f64>,
}

/// A riser in stock.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Riser {
    /// Base point to the clamp's seat, along the riser.
    pub height: f64,
    /// Which angles it can take, from vertical, positive when the top leans rearward.
    pub angles: RiserAngles,
}

/// Angles that a riser can take.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum RiserAngles {
    /// Any angle between two.
    Range(Angle, Angle),
    /// One angle.
    Fixed(Angle),
    /// Every `step` from the first up to the last.
    Teeth {
        /// Least angle.
        low: Angle,
        /// Greatest angle.
        high: Angle,
        /// Between two teeth, positive.
        step: Angle,
    },
}

/// A bar clamp in stock.
#[derive(Clone, Debug, PartialEq)]
pub struct Clamp {
    /// What the team calls it.
    pub name: String,
    /// Clamp's seat to the bar's centre, along the riser.
    pub stack: f64,
    /// Whether it has elastic inserts that damp vibration.
    pub damping: bool,
}

/// A handlebar in stock, in its own frame: origin at the clamp, up along the riser when the roll is zero.
#[derive(Clone, Debug, PartialEq)]
pub struct Bar {
    /// What the team calls it.
    pub name: String,
    /// Distance between the two grip centres.
    pub grip_to_grip: f64,
    /// Grip centres above the clamped centre.
    pub rise: f64,
    /// Grip centres behind the clamped centre.
    pub pullback: f64,
    /// Outer grip ends rearward of square.
    pub sweep: Angle,
    /// Outer grip ends above level.
    pub upsweep: Angle,
    /// Outside diameter of the grip.
    pub grip_diameter: f64,
    /// Length of the grip.
    pub grip_length: f64,
}

/// Foam of a seat: three figures of a static indentation test and the rider's contact area.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Foam {
    /// Indentation force at 25 % on the standard disk, N.
    pub f25: f64,
    /// Force at 65 % over force at 25 %.
    pub support: f64,
    /// Foam thickness, mm.
    pub thickness: f64,
}

/// A seat in stock.
#[derive(Clone, Debug, PartialEq)]
pub struct Seat {
    /// What the team calls it: soft, standard, firm, tall.
    pub name: String,
    /// How much higher its unloaded top stands than the standard seat line.
    pub height_over_line: f64,
    /// Its foam.
    pub foam: Foam,
}

/// A lever pulled by fingers (the brake), on the left grip.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FingerLever {
    /// Whether it sits on the left side.
    pub left: bool,
    /// Least and greatest distance of its clamp band from the grip's inner end, mm.
    pub along: (f64, f64),
    /// Least and greatest lever roll that reservoir tilt and hoses allow, from horizontal forward, positive downward.
    pub roll: (Angle, Angle),
    /// Least and greatest lever reach, grip surface to blade, mm.
    pub reach: (f64, f64),
    /// Steps of the reach adjuster between the two, at least 1; 1 means fixed at the least.
    pub reach_steps: u32,
    /// Travel at the blade until the brake bites, mm.
    pub free_travel: f64,
    /// Longest travel at the blade, hot and worn, mm.
    pub longest_travel: f64,
    /// Blade length from the clamp band outward, mm.
    pub blade: f64,
}

/// A lever pushed by the thumb (the throttle), on the right grip.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ThumbLever {
    /// Whether it sits on the left side.
    pub left: bool,
    /// Least and greatest distance of its block from the grip's inner end, mm.
    pub along: (f64, f64),
    /// Least and greatest direction of the paddle from the bar's axis, from horizontal forward, positive downward: 90°
    /// is straight below the bar, 180° straight behind it.
    pub roll: (Angle, Angle),
    /// Least and greatest distance of the paddle from the grip's surface, closed, mm.
    pub reach: (f64, f64),
    /// Steps of the reach adjuster, at least 1.
    pub reach_steps: u32,
    /// Travel of the paddle from closed to full, mm.
    pub travel: f64,
}

/// A button or switch near a grip.
#[derive(Clone, Debug, PartialEq)]
pub struct Button {
    /// What it is: "stop switch", "grip warmer".
    pub name: String,
    /// Whether it sits on the left side.
    pub left: bool,
    /// Distance inward from the grip's inner end to its face, mm.
    pub inward: f64,
    /// Direction from the bar's axis, from horizontal forward, positive downward.
    pub roll: Angle,
    /// Height of its face over the bar's axis, mm.
    pub stand_off: f64,
}

/// Hand guards.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Guard {
    /// Clear depth ahead of the grip's surface, mm.
    pub clear_depth: f64,
}

/// The fore-aft point over which a rider's weight gives the wanted ski pressure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BalanceMark {
    /// Its x.
    pub x: f64,
    /// Standard deviation, mm.
    pub sd: f64,
}

impl Stirrup {
    /// Number of the position at x, counted from the front, from 1; `None` where no position lies there.
    pub fn position_number(&self, x: f64) -> Option<usize> {
        let found = self
            .positions
            .iter()
            .position(|p| (p - x).abs() < SAME_POSITION);
        found.map(|i| i + 1)
    }
}

/// Positions closer than this are one, mm: no tape tells them apart.
const SAME_POSITION: f64 = 0.5;
