//! A pose: the points and angles of one body on one cockpit, and how the solver came by them.

use crate::units::{Angle, Point};

/// Points of the pose, mm. Limbs are the left ones (y > 0); trunk, neck and head lie on the mid-plane.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Points {
    /// Ball of the foot on the board.
    pub ball: Point,
    /// Rear contact of the sole (over the board where the heel is lifted).
    pub heel: Point,
    /// Where the boot's toe tip is.
    pub toe: Point,
    /// Toe stop's face.
    pub toe_stop: Point,
    /// Ankle joint centre.
    pub ankle: Point,
    /// Knee joint centre.
    pub knee: Point,
    /// Hip joint centre (left; y = half spacing).
    pub hip: Point,
    /// Lumbosacral joint, mid-plane.
    pub lower_trunk: Point,
    /// Shoulder joint centre (left).
    pub shoulder: Point,
    /// Elbow joint centre.
    pub elbow: Point,
    /// Wrist joint centre.
    pub wrist: Point,
    /// Grip centre.
    pub grip: Point,
    /// Point of the loaded seat under the hip joint, mid-plane; standing: where the unloaded seat is under it.
    pub seat: Point,
    /// Base of the neck, mid-plane.
    pub neck: Point,
    /// Centre of mass of head and helmet, mid-plane.
    pub head: Point,
    /// Centre of mass of foot and boot.
    pub foot_com: Point,
}

/// Joint angles, clinical zero.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Angles {
    /// Dorsiflexion of the ankle (sagittal).
    pub ankle: Angle,
    /// Knee flexion (3-D).
    pub knee: Angle,
    /// Turn of the knee about the ankle-hip line; 0 points ahead, positive outward.
    pub knee_splay: Angle,
    /// Hip flexion (sagittal).
    pub hip: Angle,
    /// Trunk lean from vertical, forward positive.
    pub trunk: Angle,
    /// Elevation of the upper arm from the trunk line (3-D).
    pub shoulder: Angle,
    /// Elbow flexion (3-D).
    pub elbow: Angle,
    /// Turn of the elbow about the shoulder-grip line.
    pub elbow_swing: Angle,
    /// Wrist extension with the hand as the levers hold it.
    pub wrist_extension: Angle,
    /// Ulnar deviation.
    pub wrist_ulnar: Angle,
    /// Neck extension that keeps the gaze on the track.
    pub neck: Angle,
    /// Sole pitch about the ball, heel up positive.
    pub heel_lift: Angle,
}

/// One body placed on one cockpit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pose {
    /// Points.
    pub points: Points,
    /// Angles.
    pub angles: Angles,
    /// Whole-body centre of mass with gear, on the mid-plane.
    pub com: Point,
    /// Whether the pelvis rests on the seat.
    pub seated: bool,
}

/// How a posture came out.
#[derive(Clone, Debug, PartialEq)]
pub enum Status {
    /// Inside every limit.
    Solved,
    /// The best posture rests on these limits.
    AtLimit(Vec<Limit>),
    /// No posture keeps the hard limits; the nearest one breaks these.
    OutOfReach(Vec<Limit>),
}

/// A limit that a posture rests on or breaks.
#[derive(Clone, Debug, PartialEq)]
pub struct Limit {
    /// What it is, in words: "knee flexion at its least", "knee against the cockpit".
    pub name: String,
    /// By how much it is broken, in mm or degrees; 0 where it is only touched.
    pub broken_by: f64,
    /// Unit of `broken_by`.
    pub unit: LimitUnit,
}

/// Unit of a limit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LimitUnit {
    /// Degrees of a joint.
    Degrees,
    /// Millimetres of a gap or a reach.
    Millimetres,
}

/// One squared term of the posture cost.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Term {
    /// Which: a joint's name or `balance`.
    pub name: &'static str,
    /// ((angle − preferred) / tolerance)², dimensionless.
    pub value: f64,
}

/// The best posture of a stance on a cockpit.
#[derive(Clone, Debug, PartialEq)]
pub struct Posture {
    /// The pose.
    pub pose: Pose,
    /// How it came out.
    pub status: Status,
    /// Sum of the terms.
    pub cost: f64,
    /// The terms, in a fixed order.
    pub terms: Vec<Term>,
    /// Gaps between body and sled by name, mm; negative overlaps.
    pub clearances: Vec<(&'static str, f64)>,
}
