//! The report: all that a third party needs to recompute and to judge a set-up, as one JSON document.
//!
//! Frame: x forward, y left, z up; origin on the mid-plane, x = 0 at the foremost stirrup position's bolt, z = 0 on the
//! running board's top face there. Points of limbs are the left ones. Forces act on the rider; forces and moments are of
//! both sides together unless a field says otherwise. With m the riding mass and f the specific force in g, the contact
//! forces sum to m · 9.80665 m/s² · f.

use std::collections::BTreeMap;

use crate::document::reported;

mod build;

pub use build::Work;

/// Format name of the report.
pub const FORMAT: &str = "sledstance-report";
/// Version of the report.
pub const SCHEMA: u32 = 1;

mod body;

pub use body::{SeatReport, VibrationReport};

reported! {
/// A set-up of one rider on one sled with all that it was judged by. Frame: x forward, y left, z up; origin on the
/// mid-plane, x = 0 at the foremost stirrup position's bolt, z = 0 on the running board's top face there.
pub struct Report {
    /// Always `sledstance-report`.
    pub format: &'static str,
    /// Version of this document.
    pub schema: u32,
    /// `fits`, or `infeasible`: nothing in stock meets every hard condition and the nearest set-up is given.
    pub status: &'static str,
    /// Infeasible: the limit that binds, in words.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub binds: Option<String>,
    /// Infeasible: smallest changes of parts that would help, nearest first, in words.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub helps: Vec<String>,
    /// What to set.
    pub settings: SettingsReport,
    /// What the settings were chosen by: the objective and its parts, which sum to it.
    pub objective: ObjectiveReport,
    /// The rider in gear.
    pub rider: RiderReport,
    /// The sled, as far as a reader must know.
    pub sled: SledReport,
    /// Every stance on these settings.
    pub stances: Vec<StanceReport>,
    /// Lever placement.
    pub levers: LeversReport,
    /// Distances that verify the set-up with a tape.
    pub distances: DistancesReport,
    /// Hard conditions.
    pub verdicts: Vec<VerdictReport>,
    /// What to measure when the work is done.
    pub checks: Vec<CheckReport>,
    /// What to try with the rider aboard, engine off, in full gear. Each "no" is a complaint.
    pub try_on: Vec<CheckReport>,
    /// Work in its order.
    pub tasks: Vec<TaskReport>,
    /// What a reader must know about this result.
    pub warnings: Vec<String>,
    /// What practice says where the computation disagrees, with the figures of trying it (common practice, no source).
    pub practice: Vec<String>,
    /// What stands beside every result.
    pub cautions: Vec<&'static str>,
    /// What to tick off after every change.
    pub tick_off: Vec<CheckReport>,
}

/// Settings.
pub struct SettingsReport {
    /// Height of the riser, base point to the clamp's seat, mm.
    pub riser_height_mm: f64,
    /// Riser angle from vertical, positive when the top leans rearward, degrees.
    pub riser_angle_deg: f64,
    /// Bar roll in the clamp, zero on the riser's axis, positive rolls the grips back and down, degrees.
    pub bar_roll_deg: f64,
    /// Bolt of the left stirrup, x, mm; negative is rearward of the foremost position.
    pub stirrup_mm: f64,
    /// The stirrup position that it is, counted from the front, from 1; null on a slot between two.
    pub stirrup_position: Option<usize>,
    /// What the right stirrup stands ahead of the left, mm.
    pub stirrup_right_offset_mm: f64,
    /// Which seat.
    pub seat: String,
    /// Which clamp.
    pub clamp: String,
    /// Which bar.
    pub bar: String,
}

/// The objective and its parts.
pub struct ObjectiveReport {
    /// Its value; less is better.
    pub value: f64,
    /// Its parts.
    pub terms: Vec<TermReport>,
}

/// A named share of a sum.
pub struct TermReport {
    /// Which.
    pub name: String,
    /// Its value, dimensionless.
    pub value: f64,
}

/// The rider in gear.
pub struct RiderReport {
    /// Riding mass, body and gear, kg: the sum of the segments.
    pub mass_kg: f64,
    /// Mass of the body alone, kg.
    pub body_mass_kg: f64,
    /// Every measurement of the body, given or estimated.
    pub measurements: Vec<MeasurementReport>,
    /// Lengths between joint centres and body sizes in gear, by name, mm.
    pub links_mm: BTreeMap<&'static str, f64>,
}

/// One measurement.
pub struct MeasurementReport {
    /// Its name: that of ISO 7250-1 in snake case, where it has one.
    pub name: &'static str,
    /// Its value, mm, where it is a length.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub value_mm: Option<f64>,
    /// Its value, kg, where it is a mass.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub value_kg: Option<f64>,
    /// Its standard deviation, in the unit of its value.
    pub sd: f64,
    /// Whether it was taken on the body; otherwise it is estimated.
    pub given: bool,
}

/// The sled.
pub struct SledReport {
    /// What the team calls it.
    pub name: String,
    /// Dimensions that nobody measured: they were taken from a typical sled (common practice, no source).
    pub assumed: Vec<String>,
    /// Where a rider's weight gives the wanted ski pressure, x, mm.
    pub balance_mark_mm: f64,
    /// Its standard deviation, mm.
    pub balance_mark_sd_mm: f64,
}

/// One stance.
pub struct StanceReport {
    /// Its name.
    pub name: String,
    /// `solved`, `at limit`, or `out of reach`.
    pub status: &'static str,
    /// Limits that the posture rests on or breaks.
    pub limits: Vec<LimitReport>,
    /// Posture cost: the sum of its terms.
    pub cost: f64,
    /// Its terms, each ((angle − preferred) / tolerance)².
    pub terms: Vec<TermReport>,
    /// Points, [x, y, z], mm; limbs are the left ones.
    pub points_mm: PointsReport,
    /// Joint angles, degrees.
    pub angles_deg: AnglesReport,
    /// Whole-body centre of mass with gear, [x, y, z], mm.
    pub com_mm: [f64; 3],
    /// Gaps between body and sled by name, mm; negative overlaps.
    pub clearances_mm: BTreeMap<String, f64>,
    /// Segments: masses and centres of mass.
    pub segments: Vec<SegmentReport>,
    /// Contacts through which forces act.
    pub contacts: Vec<ContactReport>,
    /// What it can hold, by named load.
    pub hold: HoldReport,
    /// Vertices of the hold envelope in the plane of specific force, counter-clockwise; empty where nothing is held.
    pub envelope: Vec<EdgeReport>,
    /// Moment about the steering post's axis that both hands can resist.
    pub steering_hold_nm: SteeringReport,
    /// Least-effort sharing of the weight at rest; null where rest cannot be held.
    pub working: Option<WorkingReport>,
    /// How far the hips can sink with the grips held, mm; null seated.
    pub leg_travel_mm: Option<f64>,
    /// Drop height that the legs take up on it, mm; null seated.
    pub drop_mm: Option<f64>,
    /// What stops the leg travel, in words; null seated.
    pub travel_stops_at: Option<String>,
}

/// A limit that a posture rests on or breaks.
pub struct LimitReport {
    /// What it is, in words.
    pub name: String,
    /// By how much it is broken; 0 where it is only touched.
    pub broken_by: f64,
    /// Unit of `broken_by`: `deg` or `mm`.
    pub unit: &'static str,
}

/// Points of a pose.
pub struct PointsReport {
    /// Ball of the foot on the board.
    pub ball: [f64; 3],
    /// Rear contact of the sole.
    pub heel: [f64; 3],
    /// The boot's toe tip.
    pub toe: [f64; 3],
    /// The toe stop's face.
    pub toe_stop: [f64; 3],
    /// Ankle joint centre.
    pub ankle: [f64; 3],
    /// Knee joint centre.
    pub knee: [f64; 3],
    /// Hip joint centre.
    pub hip: [f64; 3],
    /// Lumbosacral joint (L5/S1), mid-plane.
    pub lower_trunk: [f64; 3],
    /// Shoulder joint centre.
    pub shoulder: [f64; 3],
    /// Elbow joint centre.
    pub elbow: [f64; 3],
    /// Wrist joint centre.
    pub wrist: [f64; 3],
    /// Grip centre.
    pub grip: [f64; 3],
    /// Seated: the loaded seat under the hip joint; standing: where the unloaded seat is under it. Mid-plane.
    pub seat: [f64; 3],
    /// Base of the neck, mid-plane.
    pub neck: [f64; 3],
    /// Centre of mass of head and helmet, mid-plane.
    pub head: [f64; 3],
}

/// Joint angles, degrees. Knee, elbow and hip flexion are 0 when straight.
pub struct AnglesReport {
    /// Dorsiflexion, 0 with the shank square to the sole.
    pub ankle: f64,
    /// Knee flexion in its own plane.
    pub knee: f64,
    /// Turn of the knee about the ankle-hip line; 0 points ahead, positive outward.
    pub knee_splay: f64,
    /// Hip flexion in the side view.
    pub hip: f64,
    /// Trunk lean from vertical, forward positive.
    pub trunk: f64,
    /// Elevation of the upper arm from the trunk line.
    pub shoulder: f64,
    /// Elbow flexion in its own plane.
    pub elbow: f64,
    /// Turn of the elbow about the shoulder-grip line; 0 hangs, 90 points out.
    pub elbow_swing: f64,
    /// Wrist extension.
    pub wrist_extension: f64,
    /// Ulnar deviation.
    pub wrist_ulnar: f64,
    /// Neck extension that keeps the gaze on the track.
    pub neck: f64,
    /// Pitch of the sole about the ball of the foot, heel up positive.
    pub heel_lift: f64,
}

/// A body segment.
pub struct SegmentReport {
    /// Which.
    pub name: &'static str,
    /// How many of them: 1 on the mid-plane, or 2, one on each side.
    pub count: u8,
    /// Mass of each with gear, kg.
    pub mass_kg: f64,
    /// Its centre of mass, [x, y, z], mm; where there are two, the left one.
    pub com_mm: [f64; 3],
}

/// A contact. Limits are of both sides together where there are two.
pub struct ContactReport {
    /// `ball`, `heel`, `toe_stop`, `hoop`, `grip`, `seat`.
    pub name: &'static str,
    /// Where, [x, y, z], mm; the left one where there are two.
    pub point_mm: [f64; 3],
    /// Unit vector in which it pushes on the rider.
    pub normal: [f64; 3],
    /// Friction coefficient; 0 where it is a frictionless stop or a hand that grips.
    pub friction: f64,
    /// Least normal force, N; null where there is no bound.
    pub low_n: Option<f64>,
    /// Greatest normal force, N; null where there is no bound.
    pub high_n: Option<f64>,
    /// Whether its limits are assumed rather than published.
    pub assumed: bool,
}

/// The named loads. Specific force as an ideal logger reads it, [f_x, f_z] in g: (0, 1) at rest.
pub struct HoldReport {
    /// The nose digs in: f_x falls from (0, 1).
    pub short_landing_1g: LoadReport,
    /// The nose digs in on landing: f_x falls from (0, 2).
    pub short_landing_2g: LoadReport,
    /// Acceleration: f_x grows from (0, 1).
    pub start: LoadReport,
    /// f_z grows from (0, 1).
    pub straight_drop: LoadReport,
}

/// What is held of one load.
pub struct LoadReport {
    /// How far along the direction, g; null where even its start cannot be held.
    pub g: Option<f64>,
    /// Specific force from which the load grows, [f_x, f_z], g.
    pub start_load: [f64; 2],
    /// Unit direction in which it grows.
    pub direction: [f64; 2],
    /// Why it cannot be held.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub because: Option<String>,
    /// What gives first.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub gives_first: Option<String>,
    /// Whether the limit that gives first is an assumed one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub assumed: Option<bool>,
    /// Contact forces on the rider that hold it, [x, y, z], N: x and z of both sides together, y that of the left side.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub forces_n: Option<BTreeMap<&'static str, [f64; 3]>>,
    /// Joint moments under them, N·m, both sides together: what the muscles make, positive in flexion (ankle:
    /// dorsiflexion), with its least (extension strength, negative) and greatest (flexion strength).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub moments_nm: Option<BTreeMap<&'static str, MomentReport>>,
}

/// A joint moment with its limits, N·m.
pub struct MomentReport {
    /// The moment.
    pub value: f64,
    /// Least.
    pub low: f64,
    /// Greatest.
    pub high: f64,
}

/// A vertex of the hold envelope.
pub struct EdgeReport {
    /// Specific force along x, g.
    pub f_x: f64,
    /// Specific force along z, g.
    pub f_z: f64,
    /// What gives first along the edge from this vertex to the next.
    pub gives_first: String,
}

/// Steering hold, N·m about the post's axis, the same to both sides.
pub struct SteeringReport {
    /// Bars straight.
    pub straight: f64,
    /// At lock to the left; null where a hand cannot stay on its grip.
    pub left_lock: Option<f64>,
    /// At lock to the right; null where a hand cannot stay on its grip.
    pub right_lock: Option<f64>,
}

/// Working load at rest.
pub struct WorkingReport {
    /// Force of one hand on its grip, N.
    pub hand_n: f64,
    /// Share of the weight that the seat carries, 0 standing.
    pub seat_share: f64,
    /// Effort by joint: moment over limit, 0 to 1.
    pub effort: BTreeMap<&'static str, f64>,
    /// How long each joint's effort can be held without a break, s (Frey Law and Avin 2010): the worst case, since riding
    /// is intermittent. 0 where it cannot be held; null below 15 % of the limit, where the law says no more.
    pub holding_time_s: BTreeMap<&'static str, Option<f64>>,
    /// The joint that gives out first; null where every effort is below 15 %.
    pub tires_first: Option<&'static str>,
    /// Contact forces on the rider, [x, y, z], N: x and z of both sides together, y that of the left side.
    pub forces_n: BTreeMap<&'static str, [f64; 3]>,
}

/// Levers.
pub struct LeversReport {
    /// Brake lever.
    pub brake: LeverReport,
    /// Throttle lever.
    pub throttle: LeverReport,
    /// Buttons and the stop switch.
    pub buttons: Vec<ButtonReport>,
    /// Gap between the farthest finger or lever and the hand guard, mm; null without a guard.
    pub guard_gap_mm: Option<f64>,
}

/// Placement of one lever.
pub struct LeverReport {
    /// Distance of its clamp band from the grip's inner end, mm.
    pub along_mm: f64,
    /// Roll in the plane square to the grip, from horizontal forward, positive downward, degrees.
    pub roll_deg: f64,
    /// The same relative to the bar, degrees.
    pub roll_to_bar_deg: f64,
    /// Grip surface to blade or paddle, mm.
    pub lever_reach_mm: f64,
    /// Adjuster step, counted from 0 at the least reach.
    pub reach_step: u32,
    /// Wrist extension in each stance with this roll, degrees.
    pub wrist_extension_deg: BTreeMap<String, f64>,
    /// What the rider should know.
    pub notes: Vec<String>,
}

/// Whether a button is reached by the thumb without leaving the grip.
pub struct ButtonReport {
    /// Its name.
    pub name: String,
    /// Reached or not.
    pub reached: bool,
    /// How much reach is left, mm; negative is missing.
    pub margin_mm: f64,
}

/// Distances to verify with a tape and a level.
pub struct DistancesReport {
    /// Stirrup bolt to grip centre, straight, in the side view, mm.
    pub stirrup_to_grip_mm: f64,
    /// The same, fore-aft only, mm; positive when the grip is ahead.
    pub stirrup_to_grip_forward_mm: f64,
    /// Board to grip centre, mm.
    pub grip_height_mm: f64,
    /// Seat front's top edge to grip centre, straight, in the side view, mm.
    pub seat_to_grip_mm: f64,
    /// Riser angle relative to the steering post, degrees.
    pub riser_to_post_deg: f64,
    /// Brake lever's blade tip to the grip's surface, mm.
    pub brake_tip_to_grip_mm: f64,
}

/// A hard condition.
pub struct VerdictReport {
    /// Which, in words.
    pub name: String,
    /// Met or not; null where the sled's file does not say: tick it off by hand.
    pub met: Option<bool>,
    /// What was found, in words.
    pub says: String,
}

/// Something to measure or to try.
pub struct CheckReport {
    /// What.
    pub what: String,
    /// What to expect, in words, where there is something.
    pub expect: Option<String>,
}

/// A task of the work order.
pub struct TaskReport {
    /// What to do, with the value.
    pub what: String,
    /// Minutes it takes.
    pub minutes: f64,
    /// Tools.
    pub tools: Vec<String>,
}
}
