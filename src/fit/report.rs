//! The report: all that a third party needs to recompute and to judge a set-up, as one JSON document.
//!
//! Frame: x forward, y left, z up; origin on the mid-plane, x = 0 at the foremost stirrup position's bolt, z = 0 on the
//! running board's top face there. Points of limbs are the left ones. Forces act on the rider; forces and moments are of
//! both sides together unless a field says otherwise. With m the riding mass and f the specific force in g, the contact
//! forces sum to m · 9.80665 m/s² · f.

use std::collections::BTreeMap;

use serde::Serialize;

use super::cautions::{CAUTIONS, TICK_OFF};
use super::outcome::{
    Check, Distances, Fit, FitStatus, LeverPlacement, Levers, SetUp, StanceResult, Task,
};
use crate::hold::{Contact, Hold, LoadHold, SteeringHold, Working};
use crate::rider::{Built, Links, Part, Rider, Segment, Unit};
use crate::sled::{Settings, Sled};
use crate::stance::{Angles, LimitUnit, Load, Points, Pose, Posture, Status};
use crate::units::Point;

/// Format name of the report.
pub const FORMAT: &str = "sledstance-report";
/// Version of the report.
pub const SCHEMA: u32 = 1;

/// Declares structs of the report: serialised, and described by a JSON Schema on native targets.
macro_rules! reported {
    ($($(#[$meta:meta])* pub struct $name:ident { $($body:tt)* })*) => {$(
        $(#[$meta])*
        #[derive(Clone, Debug, PartialEq, Serialize)]
        #[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
        pub struct $name { $($body)* }
    )*};
}

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
    /// What stands beside every result.
    pub cautions: Vec<&'static str>,
    /// What to tick off after every change.
    pub tick_off: Vec<&'static str>,
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

/// The work that goes with a set-up.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Work {
    /// Tasks in order.
    pub tasks: Vec<Task>,
    /// What to measure afterwards.
    pub checks: Vec<Check>,
    /// What to try with the rider aboard.
    pub try_on: Vec<Check>,
}

impl Report {
    /// The report of a fit.
    pub fn new(built: &Built, sled: &Sled, fit: &Fit, work: &Work) -> Self {
        let rider = &built.rider;
        let set_up = &fit.best;
        let (status, binds, helps) = match &fit.status {
            FitStatus::Fits => ("fits", None, Vec::new()),
            FitStatus::Infeasible { binds, helps } => {
                ("infeasible", Some(binds.clone()), helps.clone())
            }
        };
        Self {
            format: FORMAT,
            schema: SCHEMA,
            status,
            binds,
            helps,
            settings: settings(sled, &set_up.settings),
            objective: objective(set_up),
            rider: rider_report(built),
            sled: SledReport {
                name: sled.name.clone(),
                assumed: sled.assumed.clone(),
                balance_mark_mm: sled.balance_mark.x,
                balance_mark_sd_mm: sled.balance_mark.sd,
            },
            stances: set_up.stances.iter().map(|s| stance(rider, s)).collect(),
            levers: levers(&set_up.levers),
            distances: distances(&set_up.distances),
            verdicts: set_up
                .verdicts
                .iter()
                .map(|v| VerdictReport {
                    name: v.name.clone(),
                    met: v.met,
                    says: v.says.clone(),
                })
                .collect(),
            checks: work.checks.iter().map(check).collect(),
            try_on: work.try_on.iter().map(check).collect(),
            tasks: work
                .tasks
                .iter()
                .map(|t| TaskReport {
                    what: t.what.clone(),
                    minutes: t.minutes,
                    tools: t.tools.clone(),
                })
                .collect(),
            warnings: warnings(built, sled, fit),
            cautions: CAUTIONS.to_vec(),
            tick_off: TICK_OFF.to_vec(),
        }
    }
}

/// Everything that a reader must know: about the rider, the sled, then the fit.
fn warnings(built: &Built, sled: &Sled, fit: &Fit) -> Vec<String> {
    let mut warnings = built.warnings.clone();
    warnings.extend(sled.unusual.iter().cloned());
    if !sled.assumed.is_empty() {
        warnings.push(format!(
            "{} dimensions of the sled were not measured but taken from a typical sled (common practice, no source): {}",
            sled.assumed.len(),
            sled.assumed.join(", ")
        ));
    }
    // The fit may repeat what the sled already said.
    for warning in &fit.warnings {
        if !warnings.contains(warning) {
            warnings.push(warning.clone());
        }
    }
    warnings
}

fn settings(sled: &Sled, settings: &Settings) -> SettingsReport {
    SettingsReport {
        riser_height_mm: sled.risers[settings.riser].height,
        riser_angle_deg: settings.riser_angle.deg(),
        bar_roll_deg: settings.bar_roll.deg(),
        stirrup_mm: settings.stirrup,
        stirrup_position: sled.stirrup.position_number(settings.stirrup),
        stirrup_right_offset_mm: sled.stirrup.right_offset,
        seat: sled.seats[settings.seat].name.clone(),
        clamp: sled.clamps[settings.clamp].name.clone(),
        bar: sled.bars[settings.bar].name.clone(),
    }
}

fn objective(set_up: &SetUp) -> ObjectiveReport {
    ObjectiveReport {
        value: set_up.objective,
        terms: set_up
            .terms
            .iter()
            .map(|t| TermReport {
                name: t.name.clone(),
                value: t.value,
            })
            .collect(),
    }
}

fn rider_report(built: &Built) -> RiderReport {
    RiderReport {
        mass_kg: built.rider.mass(),
        body_mass_kg: built.estimate.mean(crate::rider::Measurement::BodyMass),
        measurements: built
            .reported()
            .into_iter()
            .map(|m| {
                let unit = m.measurement.unit();
                MeasurementReport {
                    name: m.measurement.name(),
                    value_mm: (unit == Unit::Mm).then_some(m.value),
                    value_kg: (unit == Unit::Kg).then_some(m.value),
                    sd: m.sd,
                    given: m.given,
                }
            })
            .collect(),
        links_mm: links(&built.rider.links),
    }
}

/// Names the lengths as the fields are named; a new field does not compile until it is listed.
macro_rules! by_name {
    ($links:expr; $($name:ident),* $(,)?) => {{
        let Links { $($name),* } = *$links;
        BTreeMap::from([$((stringify!($name), $name)),*])
    }};
}

fn links(links: &Links) -> BTreeMap<&'static str, f64> {
    by_name!(links;
        toe_to_ball, toe_to_heel, toe_to_ankle, ankle_height, toe_to_foot_com, foot_com_height, foot_length,
        boot_length, boot_instep_height, boot_half_width, shank, thigh, hip_half, lower_trunk, trunk, shoulder_half,
        protraction, upper_arm, forearm, wrist_to_grip, neck_base, neck, helmet_radius, hip_over_seat, knee_radius,
        thigh_radius, shank_radius, chest_front,
    )
}

fn stance(rider: &Rider, result: &StanceResult) -> StanceReport {
    let Posture {
        pose,
        status,
        cost,
        terms,
        clearances,
    } = &result.posture;
    let (status, limits) = match status {
        Status::Solved => ("solved", &[][..]),
        Status::AtLimit(limits) => ("at limit", &limits[..]),
        Status::OutOfReach(limits) => ("out of reach", &limits[..]),
    };
    let hold = &result.hold;
    StanceReport {
        name: result.name.clone(),
        status,
        limits: limits
            .iter()
            .map(|l| LimitReport {
                name: l.name.clone(),
                broken_by: l.broken_by,
                unit: match l.unit {
                    LimitUnit::Degrees => "deg",
                    LimitUnit::Millimetres => "mm",
                },
            })
            .collect(),
        cost: *cost,
        terms: terms
            .iter()
            .map(|t| TermReport {
                name: t.name.to_owned(),
                value: t.value,
            })
            .collect(),
        points_mm: points(&pose.points),
        angles_deg: angles(&pose.angles),
        com_mm: xyz(&pose.com),
        clearances_mm: clearances
            .iter()
            .map(|(name, gap)| ((*name).to_owned(), *gap))
            .collect(),
        segments: rider
            .segments
            .iter()
            .map(|s| SegmentReport {
                name: s.part.name(),
                count: s.count,
                mass_kg: s.mass,
                com_mm: xyz(&centre_of_mass(s, pose, rider.links.trunk)),
            })
            .collect(),
        contacts: hold.contacts.iter().map(contact).collect(),
        hold: hold_report(hold),
        envelope: hold
            .envelope
            .iter()
            .map(|e| EdgeReport {
                f_x: e.f_x,
                f_z: e.f_z,
                gives_first: e.gives_first.clone(),
            })
            .collect(),
        steering_hold_nm: steering(&hold.steering),
        working: hold.working.as_ref().map(working),
        leg_travel_mm: hold.travel.as_ref().map(|t| t.leg_travel),
        drop_mm: hold.travel.as_ref().map(|t| t.drop),
        travel_stops_at: hold.travel.as_ref().map(|t| t.stops_at.clone()),
    }
}

/// Where a segment's centre of mass lies in a pose, left side; `trunk` is the length from mid-hip to mid-shoulder.
fn centre_of_mass(segment: &Segment, pose: &Pose, trunk: f64) -> Point {
    let p = &pose.points;
    let mid_hip = Point::new(p.hip.x, 0.0, p.hip.z);
    let (from, to) = match segment.part {
        Part::Foot => return p.foot_com,
        Part::Head => (p.neck, p.head),
        Part::UpperTrunk | Part::Pelvis => {
            // The neck's base lies on the trunk line beyond the shoulders.
            let line = p.neck - mid_hip;
            (mid_hip, mid_hip + line * (trunk / line.norm()))
        }
        Part::UpperArm => (p.shoulder, p.elbow),
        Part::Forearm | Part::Hand => (p.elbow, p.grip),
        Part::Thigh => (p.hip, p.knee),
        Part::Shank => (p.knee, p.ankle),
    };
    from + (to - from) * segment.fraction
}

fn xyz(p: &Point) -> [f64; 3] {
    [p.x, p.y, p.z]
}

fn points(p: &Points) -> PointsReport {
    PointsReport {
        ball: xyz(&p.ball),
        heel: xyz(&p.heel),
        toe: xyz(&p.toe),
        toe_stop: xyz(&p.toe_stop),
        ankle: xyz(&p.ankle),
        knee: xyz(&p.knee),
        hip: xyz(&p.hip),
        lower_trunk: xyz(&p.lower_trunk),
        shoulder: xyz(&p.shoulder),
        elbow: xyz(&p.elbow),
        wrist: xyz(&p.wrist),
        grip: xyz(&p.grip),
        seat: xyz(&p.seat),
        neck: xyz(&p.neck),
        head: xyz(&p.head),
    }
}

fn angles(a: &Angles) -> AnglesReport {
    AnglesReport {
        ankle: a.ankle.deg(),
        knee: a.knee.deg(),
        hip: a.hip.deg(),
        trunk: a.trunk.deg(),
        shoulder: a.shoulder.deg(),
        elbow: a.elbow.deg(),
        elbow_swing: a.elbow_swing.deg(),
        wrist_extension: a.wrist_extension.deg(),
        wrist_ulnar: a.wrist_ulnar.deg(),
        neck: a.neck.deg(),
        heel_lift: a.heel_lift.deg(),
    }
}

/// A bound that JSON can say.
fn bound(force: f64) -> Option<f64> {
    force.is_finite().then_some(force)
}

fn contact(c: &Contact) -> ContactReport {
    ContactReport {
        name: c.name,
        point_mm: xyz(&c.point),
        normal: xyz(&c.normal),
        friction: c.friction,
        low_n: bound(c.low),
        high_n: bound(c.high),
        assumed: c.assumed,
    }
}

fn hold_report(hold: &Hold) -> HoldReport {
    let named = |load: Load| load_report(load, hold.loads.iter().find(|l| l.load == load));
    HoldReport {
        short_landing_1g: named(Load::ShortLanding1g),
        short_landing_2g: named(Load::ShortLanding2g),
        start: named(Load::Start),
        straight_drop: named(Load::StraightDrop),
    }
}

fn forces(list: &[(&'static str, Point)]) -> BTreeMap<&'static str, [f64; 3]> {
    list.iter().map(|(name, f)| (*name, xyz(f))).collect()
}

fn load_report(load: Load, found: Option<&LoadHold>) -> LoadReport {
    let blank = LoadReport {
        g: None,
        start_load: load.start().into(),
        direction: load.direction().into(),
        because: None,
        gives_first: None,
        assumed: None,
        forces_n: None,
        moments_nm: None,
    };
    match found.map(|l| &l.hold) {
        None => LoadReport {
            because: Some("not computed".to_owned()),
            ..blank
        },
        Some(Err(not_held)) => LoadReport {
            because: Some(not_held.because.clone()),
            ..blank
        },
        Some(Ok(held)) => LoadReport {
            g: Some(held.g),
            gives_first: Some(held.gives_first.clone()),
            assumed: Some(held.assumed),
            forces_n: Some(forces(&held.forces)),
            moments_nm: Some(
                held.moments
                    .iter()
                    .map(|m| {
                        (
                            m.name,
                            MomentReport {
                                value: m.value,
                                low: m.low,
                                high: m.high,
                            },
                        )
                    })
                    .collect(),
            ),
            ..blank
        },
    }
}

fn steering(s: &SteeringHold) -> SteeringReport {
    SteeringReport {
        straight: s.straight,
        left_lock: s.left_lock,
        right_lock: s.right_lock,
    }
}

fn working(w: &Working) -> WorkingReport {
    WorkingReport {
        hand_n: w.hand,
        seat_share: w.seat_share,
        effort: w.efforts.iter().map(|e| (e.name, e.fraction)).collect(),
        forces_n: forces(&w.forces),
    }
}

fn levers(l: &Levers) -> LeversReport {
    LeversReport {
        brake: lever(&l.brake),
        throttle: lever(&l.throttle),
        buttons: l
            .buttons
            .iter()
            .map(|b| ButtonReport {
                name: b.name.clone(),
                reached: b.reached,
                margin_mm: b.margin,
            })
            .collect(),
        guard_gap_mm: l.guard_gap,
    }
}

fn lever(l: &LeverPlacement) -> LeverReport {
    LeverReport {
        along_mm: l.along,
        roll_deg: l.roll.deg(),
        roll_to_bar_deg: l.roll_to_bar.deg(),
        lever_reach_mm: l.lever_reach,
        reach_step: l.reach_step,
        wrist_extension_deg: l
            .wrist_extension
            .iter()
            .map(|(stance, angle)| (stance.clone(), angle.deg()))
            .collect(),
        notes: l.notes.clone(),
    }
}

fn distances(d: &Distances) -> DistancesReport {
    DistancesReport {
        stirrup_to_grip_mm: d.stirrup_to_grip,
        stirrup_to_grip_forward_mm: d.stirrup_to_grip_forward,
        grip_height_mm: d.grip_height,
        seat_to_grip_mm: d.seat_to_grip,
        riser_to_post_deg: d.riser_to_post.deg(),
        brake_tip_to_grip_mm: d.brake_tip_to_grip,
    }
}

fn check(c: &Check) -> CheckReport {
    CheckReport {
        what: c.what.clone(),
        expect: c.expect.clone(),
    }
}
