//! The joints whose moments are watched, their axes and their limits.
//!
//! A joint's value is the moment that its muscles make, both sides together, positive in flexion (ankle:
//! dorsiflexion). With everything on one side of the joint, forces F at points p, the muscles balance it:
//! value = q·Σ (p − c) × F, where c is the joint's centre and q its axis with the sign that makes flexion positive.
//!
//! | joint | side | axis |
//! |---|---|---|
//! | ankle, hip | foot's | y |
//! | knee | foot's | hinge: normal of the plane of thigh and shank |
//! | lower trunk (L5/S1) | hand's | y |
//! | shoulder | hand's | y (flexion), and the trunk's long axis (horizontal flexion) |
//! | elbow | hand's | hinge: normal of the plane of upper arm and forearm |
//!
//! Elbow and knee need their hinges: with the elbows out the sagittal projection of the same forces is too small.
//! The wrist is left out: the hand turns freely about the grip, so that no moment comes through it there, and what
//! remains (a moment across the grip from sweep) is limited by the elbow first. The third axis of the shoulder (turn
//! of the upper arm about itself) is left out too, for want of published limits.
//!
//! Two limbs together hold 2 × 0.95 of what one holds (see [`crate::rider`]).

use super::contacts::unit_or;
use crate::rider::{Action, Part, Rider, Strength, TWO_LIMBS};
use crate::sled::Cockpit;
use crate::stance::{Angles, Points, Stance};
use crate::units::{Angle, Point};

/// A joint moment that is watched.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Joint {
    /// Ankle.
    Ankle,
    /// Knee.
    Knee,
    /// Hip.
    Hip,
    /// L5/S1.
    LowerTrunk,
    /// Shoulder, flexion and extension.
    Shoulder,
    /// Shoulder, horizontal flexion and extension.
    ShoulderHorizontal,
    /// Elbow.
    Elbow,
}

/// Number of joint moments.
pub const JOINTS: usize = 7;

impl Joint {
    /// All of them, in the order in which they are reported.
    pub const ALL: [Self; JOINTS] = [
        Self::Ankle,
        Self::Knee,
        Self::Hip,
        Self::LowerTrunk,
        Self::Shoulder,
        Self::ShoulderHorizontal,
        Self::Elbow,
    ];

    /// The name in JSON and on the page.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Ankle => "ankle",
            Self::Knee => "knee",
            Self::Hip => "hip",
            Self::LowerTrunk => "lower_trunk",
            Self::Shoulder => "shoulder",
            Self::ShoulderHorizontal => "shoulder_horizontal",
            Self::Elbow => "elbow",
        }
    }

    /// What gives when the least (extension) or the greatest (flexion) moment is reached, in words.
    pub const fn gives(self, flexion: bool) -> &'static str {
        match (self, flexion) {
            (Self::Ankle, false) => "ankle plantarflexion",
            (Self::Ankle, true) => "ankle dorsiflexion",
            (Self::Knee, false) => "knee extension",
            (Self::Knee, true) => "knee flexion",
            (Self::Hip, false) => "hip extension",
            (Self::Hip, true) => "hip flexion",
            (Self::LowerTrunk, false) => "trunk extension",
            (Self::LowerTrunk, true) => "trunk flexion",
            (Self::Shoulder, false) => "shoulder extension",
            (Self::Shoulder, true) => "shoulder flexion",
            (Self::ShoulderHorizontal, false) => "shoulder horizontal extension",
            (Self::ShoulderHorizontal, true) => "shoulder horizontal flexion",
            (Self::Elbow, false) => "elbow extension",
            (Self::Elbow, true) => "elbow flexion",
        }
    }

    /// The strengths that limit it: extension, flexion.
    const fn actions(self) -> (Action, Action) {
        match self {
            Self::Ankle => (Action::AnklePlantar, Action::AnkleDorsi),
            Self::Knee => (Action::KneeExtension, Action::KneeFlexion),
            Self::Hip => (Action::HipExtension, Action::HipFlexion),
            Self::LowerTrunk => (Action::TrunkExtension, Action::TrunkFlexion),
            Self::Shoulder => (Action::ShoulderExtension, Action::ShoulderFlexion),
            Self::ShoulderHorizontal => (
                Action::ShoulderHorizontalExtension,
                Action::ShoulderHorizontalFlexion,
            ),
            Self::Elbow => (Action::ElbowExtension, Action::ElbowFlexion),
        }
    }

    /// Whether the moment is taken from the foot's side (else from the hand's).
    pub(super) const fn on_foot_side(self) -> bool {
        matches!(self, Self::Ankle | Self::Knee | Self::Hip)
    }

    /// Whether a segment lies on the side from which the moment is taken.
    pub(super) const fn carries(self, part: Part) -> bool {
        match self {
            Self::Ankle => matches!(part, Part::Foot),
            Self::Knee => matches!(part, Part::Foot | Part::Shank),
            Self::Hip => matches!(part, Part::Foot | Part::Shank | Part::Thigh),
            Self::LowerTrunk => matches!(
                part,
                Part::Head | Part::UpperTrunk | Part::UpperArm | Part::Forearm | Part::Hand
            ),
            Self::Shoulder | Self::ShoulderHorizontal => {
                matches!(part, Part::UpperArm | Part::Forearm | Part::Hand)
            }
            Self::Elbow => matches!(part, Part::Forearm | Part::Hand),
        }
    }

    /// Centre and signed axis of the left limb's joint.
    pub(super) fn frame(self, p: &Points) -> (Point, Point) {
        let y = Point::new(0.0, 1.0, 0.0);
        match self {
            Self::Ankle => (p.ankle, y),
            Self::Knee => (p.knee, -hinge(p.knee - p.hip, p.ankle - p.knee, y)),
            Self::Hip => (p.hip, y),
            Self::LowerTrunk => (p.lower_trunk, -y),
            Self::Shoulder => (p.shoulder, y),
            Self::ShoulderHorizontal => (p.shoulder, trunk_axis(p)),
            Self::Elbow => (p.elbow, -hinge(p.elbow - p.shoulder, p.grip - p.elbow, -y)),
        }
    }
}

/// Direction of the trunk's long axis, from mid-hip to the base of the neck.
pub(super) fn trunk_axis(p: &Points) -> Point {
    let along = Point::new(p.neck.x - p.hip.x, 0.0, p.neck.z - p.hip.z);
    unit_or(along, Point::new(0.0, 0.0, 1.0))
}

/// Axis about which a positive turn of the lower limb flexes the joint, from the two limbs' directions.
///
/// Where the limb is straight it has no plane; then `straight`, made square to the limb.
pub(super) fn hinge(upper: Point, lower: Point, straight: Point) -> Point {
    let normal = upper.cross(&lower);
    if normal.norm() > STRAIGHT * upper.norm() * lower.norm() {
        return normal / normal.norm();
    }
    let along = unit_or(upper, Point::new(0.0, 0.0, -1.0));
    unit_or(straight - along * along.dot(&straight), straight)
}

/// Sine of the flexion (0.06°) below which a limb counts as straight: its plane is then rounding.
const STRAIGHT: f64 = 1e-3;

/// The rider's limits in one pose, N·m and N, both sides together.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limits {
    /// Least (minus extension strength) and greatest (flexion strength) moment, in the order of [`Joint::ALL`].
    pub joints: [(f64, f64); JOINTS],
    /// Pull-off of both hands with the fingers left on the grip. One hand rests fingers on the brake; the other, which
    /// could hold more, must pull alike, or the rider turns.
    pub pull_off: f64,
}

impl Limits {
    /// Of this rider, with the fingers that the stance leaves on this cockpit's grips.
    pub fn of(rider: &Rider, cockpit: &Cockpit, stance: &Stance, angles: &Angles) -> Self {
        let fingers = 4 - usize::from(stance.hands.brake_fingers.min(4));
        let diameter = cockpit.sled.bars[cockpit.settings.bar].grip_diameter;
        let one_hand = rider.strength.pull_off_with_fingers(fingers)
            * Strength::pull_off_by_diameter(diameter);
        Self {
            joints: Joint::ALL.map(|joint| joint_limits(rider, joint, joint_angle(joint, angles))),
            pull_off: 2.0 * one_hand,
        }
    }

    /// The limits of one joint.
    pub const fn of_joint(&self, joint: Joint) -> (f64, f64) {
        self.joints[joint as usize]
    }
}

/// Least and greatest moment of a joint at an angle, both sides together, N·m.
pub(super) fn joint_limits(rider: &Rider, joint: Joint, angle: Angle) -> (f64, f64) {
    let (extension, flexion) = joint.actions();
    let limbs = match joint {
        Joint::LowerTrunk => 1.0,
        _ => 2.0 * TWO_LIMBS,
    };
    (
        -limbs * rider.strength.at(extension, angle),
        limbs * rider.strength.at(flexion, angle),
    )
}

/// The angle on which a joint's strength depends.
const fn joint_angle(joint: Joint, angles: &Angles) -> Angle {
    match joint {
        Joint::Ankle => angles.ankle,
        Joint::Knee => angles.knee,
        Joint::Hip => angles.hip,
        Joint::LowerTrunk => angles.trunk,
        Joint::Shoulder | Joint::ShoulderHorizontal => angles.shoulder,
        Joint::Elbow => angles.elbow,
    }
}
