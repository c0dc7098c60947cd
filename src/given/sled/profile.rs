//! Stored form of a sled: what a mechanic wrote down, in millimetres and degrees, with everything unmeasured left out.
//!
//! This is what a person edits and a file keeps. [`SledProfile::resolve`] turns it into the checked [`Sled`], takes what
//! is missing from the typical sled and lists it by name. Format `sledstance-sled`, schema 1.

use serde::{Deserialize, Serialize};

use super::geometry::Sled;
use super::reader::SledError;
use crate::document::{self, DocumentError, stored};

/// Format name in the envelope.
pub const FORMAT: &str = "sledstance-sled";
/// Newest version of the stored form.
pub const SCHEMA: u32 = 1;

stored! {
/// A sled as measured. Frame: x forward from the foremost stirrup position's bolt, z up from the running board's top
/// face there, sled levelled on its stand. What is left out is taken from the typical sled and listed as assumed.
pub struct SledProfile {
    /// What the team calls it.
    pub name: String,
    /// Anything a reader should know.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// Who measured what, and to which tolerance.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub measured: Vec<MeasuredProfile>,
    /// Running boards, both alike.
    pub board: BoardProfile,
    /// Stirrups, both alike but for the right one's offset.
    pub stirrup: StirrupProfile,
    /// Steering post, and what limits the bars.
    pub steering: SteeringProfile,
    /// The standard seat's top.
    pub seat: SeatTopProfile,
    /// Risers in stock.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub risers: Option<Vec<RiserProfile>>,
    /// Bar clamps in stock.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub clamps: Option<Vec<ClampProfile>>,
    /// Bars in stock.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bars: Option<Vec<BarProfile>>,
    /// Seats in stock.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub seats: Option<Vec<SeatProfile>>,
    /// Cockpit outline in the side view from the seat's front forward: console, dash, cowl, screen; two points or more.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub outline: Option<Vec<OutlinePointProfile>>,
    /// Brake lever, pulled by fingers.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub brake: Option<FingerLeverProfile>,
    /// Throttle lever, pushed by the thumb.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub throttle: Option<ThumbLeverProfile>,
    /// Stop switch and auxiliary buttons.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub buttons: Option<Vec<ButtonProfile>>,
    /// Hand guards, where fitted.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub guard: Option<GuardProfile>,
    /// Fore-aft point over which a rider's weight gives the wanted ski pressure.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub balance_mark: Option<BalanceMarkProfile>,
}

/// Who measured what, and to which tolerance.
pub struct MeasuredProfile {
    /// What: names of groups or fields, such as `steering` or `seat.height_mm`.
    pub what: Vec<String>,
    /// Who measured it.
    pub by: String,
    /// When, as the mechanic writes dates.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub on: Option<String>,
    /// Tolerance of the lengths, plus or minus, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tolerance_mm: Option<f64>,
    /// Tolerance of the angles, plus or minus, degrees.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tolerance_deg: Option<f64>,
}

/// Running boards.
pub struct BoardProfile {
    /// Lateral distance from the sled's mid-plane to the boot's centre line, mm.
    pub foot_lateral_mm: f64,
    /// Pitch of the top face, positive when its front is higher, degrees.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pitch_deg: Option<f64>,
    /// Height of the outer edge over the top face, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub edge_height_mm: Option<f64>,
    /// Front end of the footwell, x, mm: the boot's toe stays behind it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub footwell_front_mm: Option<f64>,
    /// Rear end of the usable board, x, mm (negative).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rear_mm: Option<f64>,
}

/// Stirrups: bolt positions, or a slot.
pub struct StirrupProfile {
    /// Bolt positions from the front, x, mm: the first is 0, each further one more negative.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub positions_mm: Option<Vec<f64>>,
    /// Length of the slot in place of positions, mm; it is tried every 10 mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub slot_mm: Option<f64>,
    /// Bolt to the face that stops the boot's toe, positive forward, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub toe_stop_offset_mm: Option<f64>,
    /// What the right stirrup stands ahead of the left, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub right_offset_mm: Option<f64>,
    /// Clear height of the hoop's opening over the board, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hoop_height_mm: Option<f64>,
    /// Clear width of the hoop's opening, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hoop_width_mm: Option<f64>,
    /// Rear and front end of the edge protector over which a stirrup can stand, x, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub edge_protector_mm: Option<[f64; 2]>,
}

/// The steering post and what limits the bars.
pub struct SteeringProfile {
    /// Riser base point at the top of the post, x, mm.
    pub base_x_mm: f64,
    /// Riser base point at the top of the post, z, mm.
    pub base_z_mm: f64,
    /// Lean of the post from vertical, positive when its top leans rearward, degrees.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub post_rake_deg: Option<f64>,
    /// Steering lock to each side, degrees.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lock_deg: Option<f64>,
    /// Greatest distance of the bar's centre from the riser base point that hoses, cables and loom allow, mm.
    /// Left out: to be ticked off by hand, never assumed fine.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hose_limit_mm: Option<f64>,
    /// Greatest movement of a grip from lock to lock that hoses, cables and loom allow, mm.
    /// Left out: to be ticked off by hand, never assumed fine.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub grip_travel_limit_mm: Option<f64>,
    /// Least bar roll in the clamp, positive rolls the grips back and down, degrees.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bar_roll_low_deg: Option<f64>,
    /// Greatest bar roll in the clamp, degrees.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bar_roll_high_deg: Option<f64>,
}

/// Top of the standard seat, unloaded.
pub struct SeatTopProfile {
    /// Height of the top over the board where the rider sits, mm. Needed unless `line` is given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub height_mm: Option<f64>,
    /// The top line from rear to front; two points or more.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub line: Option<Vec<LinePointProfile>>,
}

/// A point of the seat's top line.
pub struct LinePointProfile {
    /// Fore-aft position, mm.
    pub x_mm: f64,
    /// Height, mm.
    pub z_mm: f64,
    /// Half the width there, mm.
    pub half_width_mm: f64,
}

/// A named point of the cockpit outline.
pub struct OutlinePointProfile {
    /// What it is: "console rear", "dash", "screen top".
    pub name: String,
    /// Fore-aft position, mm.
    pub x_mm: f64,
    /// Height, mm.
    pub z_mm: f64,
    /// Half the width there, mm.
    pub half_width_mm: f64,
}

/// A riser. Its angles are from vertical, positive when the top leans rearward: any between the two, or every step from
/// the least, or (where both are the same) one alone.
pub struct RiserProfile {
    /// Base point to the clamp's seat, along the riser, mm.
    pub height_mm: f64,
    /// Least angle, degrees.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub angle_low_deg: Option<f64>,
    /// Greatest angle, degrees.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub angle_high_deg: Option<f64>,
    /// Between two teeth, degrees; left out where any angle can be set.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub angle_step_deg: Option<f64>,
}

/// A bar clamp.
pub struct ClampProfile {
    /// What the team calls it.
    pub name: String,
    /// Clamp's seat to the bar's centre, along the riser, mm.
    pub stack_mm: f64,
    /// Whether it has elastic inserts that damp vibration.
    #[serde(default)]
    pub damping: bool,
}

/// A handlebar, measured upright in its own frame: origin at the clamped centre.
pub struct BarProfile {
    /// What the team calls it.
    pub name: String,
    /// Distance between the two grip centres, mm.
    pub grip_to_grip_mm: f64,
    /// Grip centres above the clamped centre, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rise_mm: Option<f64>,
    /// Grip centres behind the clamped centre, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pullback_mm: Option<f64>,
    /// Outer grip ends rearward of square, degrees.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sweep_deg: Option<f64>,
    /// Outer grip ends above level, degrees.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub upsweep_deg: Option<f64>,
    /// Outside diameter of the grip, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub grip_diameter_mm: Option<f64>,
    /// Length of the grip, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub grip_length_mm: Option<f64>,
}

/// A seat. Its foam is known either by a static indentation test or by a known weight and how far it sinks in.
pub struct SeatProfile {
    /// What the team calls it: soft, standard, firm, tall.
    pub name: String,
    /// How much higher its unloaded top stands than the standard seat's, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub height_over_line_mm: Option<f64>,
    /// Foam thickness where the rider sits, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub thickness_mm: Option<f64>,
    /// Indentation force at 25 % on the standard disk of 323 cm² (ASTM D3574 B1), N.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub f25_n: Option<f64>,
    /// Force at 65 % indentation over force at 25 %.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub support: Option<f64>,
    /// In place of `f25_n`: a weight that sat on it, kg.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub known_weight_kg: Option<f64>,
    /// In place of `f25_n`: how far that weight sank in, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub known_sink_mm: Option<f64>,
}

/// A lever pulled by fingers.
pub struct FingerLeverProfile {
    /// On which side it sits; left where nothing is said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub side: Option<Side>,
    /// Least distance of its clamp band from the grip's inner end, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub along_low_mm: Option<f64>,
    /// Greatest distance of its clamp band from the grip's inner end, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub along_high_mm: Option<f64>,
    /// Least lever roll that the reservoir's tilt and the hose allow, from horizontal forward, positive downward, degrees.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub roll_low_deg: Option<f64>,
    /// Greatest lever roll that the reservoir's tilt and the hose allow, degrees.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub roll_high_deg: Option<f64>,
    /// Least lever reach, grip surface to blade, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reach_low_mm: Option<f64>,
    /// Greatest lever reach, grip surface to blade, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reach_high_mm: Option<f64>,
    /// Steps of the reach adjuster from least to greatest; 1 where it has none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reach_steps: Option<u32>,
    /// Travel at the blade until the brake bites, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub free_travel_mm: Option<f64>,
    /// Longest travel at the blade, brake hot and worn, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub longest_travel_mm: Option<f64>,
    /// Blade length from the clamp band outward, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub blade_mm: Option<f64>,
}

/// A lever pushed by the thumb.
pub struct ThumbLeverProfile {
    /// On which side it sits; right where nothing is said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub side: Option<Side>,
    /// Least distance of its block from the grip's inner end, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub along_low_mm: Option<f64>,
    /// Greatest distance of its block from the grip's inner end, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub along_high_mm: Option<f64>,
    /// Least roll, from horizontal forward, positive downward, degrees.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub roll_low_deg: Option<f64>,
    /// Greatest roll, degrees.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub roll_high_deg: Option<f64>,
    /// Least distance of the closed paddle from the grip's surface, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reach_low_mm: Option<f64>,
    /// Greatest distance of the closed paddle from the grip's surface, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reach_high_mm: Option<f64>,
    /// Steps of the reach adjuster from least to greatest; 1 where it has none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reach_steps: Option<u32>,
    /// Travel of the paddle from closed to full, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub travel_mm: Option<f64>,
}

/// A button or switch near a grip.
pub struct ButtonProfile {
    /// What it is: "stop switch", "grip warmer".
    pub name: String,
    /// On which side it sits.
    pub side: Side,
    /// Distance inward from the grip's inner end to its face, mm.
    pub inward_mm: f64,
    /// Direction from the bar's axis, from horizontal forward, positive downward, degrees.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub roll_deg: Option<f64>,
    /// Height of its face over the bar's axis, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stand_off_mm: Option<f64>,
}

/// Hand guards.
pub struct GuardProfile {
    /// Clear depth ahead of the grip's surface, mm.
    pub clear_depth_mm: f64,
}

/// Where a rider's weight gives the wanted ski pressure: from a scale under the skis, or from a set-up that works.
pub struct BalanceMarkProfile {
    /// Its x, mm.
    pub x_mm: f64,
    /// Standard deviation, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sd_mm: Option<f64>,
}
}

/// A side of the sled, seen by the rider.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Side {
    /// Left.
    Left,
    /// Right.
    Right,
}

/// A demo sled that comes with the program.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Shipped {
    /// The name by which it is asked for.
    pub id: &'static str,
    /// The document's text.
    pub text: &'static str,
}

/// The invented demo sleds that come with the program.
pub const SHIPPED: [Shipped; 3] = [
    Shipped {
        id: "long-lemming",
        text: include_str!("../../../rider-profiles/sleds/long-lemming.json"),
    },
    Shipped {
        id: "tall-tern",
        text: include_str!("../../../rider-profiles/sleds/tall-tern.json"),
    },
    Shipped {
        id: "bare-bones",
        text: include_str!("../../../rider-profiles/sleds/bare-bones.json"),
    },
];

impl SledProfile {
    /// Reads a sled's document.
    ///
    /// # Errors
    /// Where the text is not a sled's document; the values are checked by [`Self::resolve`].
    pub fn read(text: &str) -> Result<Self, DocumentError> {
        document::read(text, FORMAT, SCHEMA)
    }

    /// The text of its document.
    ///
    /// # Errors
    /// Where it cannot be written as JSON; no sled's profile is such.
    pub fn write(&self) -> Result<String, DocumentError> {
        document::write(FORMAT, SCHEMA, self)
    }

    /// Checks every value, fills in what is missing from the typical sled, and makes the sled.
    ///
    /// # Errors
    /// Names the first field whose value cannot be, with the allowed range.
    pub fn resolve(&self) -> Result<Sled, SledError> {
        super::resolve::resolve(self)
    }
}

impl TryFrom<&SledProfile> for Sled {
    type Error = SledError;
    fn try_from(profile: &SledProfile) -> Result<Self, SledError> {
        profile.resolve()
    }
}
