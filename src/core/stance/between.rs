//! The way from one stance to another: a body that moves, for people to look at. Nothing is computed from it.
//!
//! What the two postures leave free (hip, lean, elbow swing, heel, splay) goes from one to the other in proportion, and
//! every joint follows in closed form: boots stay on the board, hands on the grips, limbs keep their length. Where a
//! straight way would stretch a leg or an arm, the hips give way: both reaches are round, so that drawing the hips into
//! one and the other in turn ends inside both.

use super::definition::{JointRange, Stance, StanceRanges};
use super::kinematics::{Free, Place};
use super::pose::Pose;
use crate::rider::Rider;
use crate::sled::Cockpit;
use crate::units::{Angle, Point};

/// Share of a limb's length that it is stretched to at the most: a hair short of straight.
const STRETCHED: f64 = 0.9999;

/// Turns of drawing the hips into both reaches; each one halves what is missing, or better.
const TURNS: usize = 40;

/// What a rider asks for and how the body stands at a share of the way, 0 at `from` and 1 at `to`.
pub fn between(
    rider: &Rider,
    cockpit: &Cockpit,
    from: (&Stance, &Pose),
    to: (&Stance, &Pose),
    share: f64,
) -> (Stance, Pose) {
    let share = if share.is_nan() {
        0.0
    } else {
        share.clamp(0.0, 1.0)
    };
    let mix = |a: f64, b: f64| a + (b - a) * share;
    let turn = |a: Angle, b: Angle| a + (b - a) * share;
    let nearer = if share < 0.5 { from.0 } else { to.0 };
    let mut stance = nearer.clone();
    stance.name = format!("between {} and {}", from.0.name, to.0.name);
    stance.gaze_below_horizon = turn(from.0.gaze_below_horizon, to.0.gaze_below_horizon);
    stance.ranges = ranges(&from.0.ranges, &to.0.ranges, turn);
    // The hips' height is given; a seat would decide it otherwise.
    stance.contacts.seated = false;
    let slide = |pose: &Pose| {
        let (toe, stop) = (pose.points.toe, pose.points.toe_stop);
        libm::hypot(stop.x - toe.x, stop.z - toe.z)
    };
    let (a, b) = (from.1, to.1);
    let angle = |of: fn(&Pose) -> Angle| mix(of(a).rad(), of(b).rad());
    let mut free = Free {
        hip_x: mix(a.points.hip.x, b.points.hip.x),
        hip_z_or_slide: mix(a.points.hip.z, b.points.hip.z),
        lean: angle(|p| p.angles.trunk),
        swing: angle(|p| p.angles.elbow_swing),
        heel: angle(|p| p.angles.heel_lift),
        splay: angle(|p| p.angles.knee_splay),
    };
    let place = Place {
        rider,
        cockpit,
        stance: &stance,
        sink: 0.0,
        slide: mix(slide(a), slide(b)),
    };
    let links = &rider.links;
    for _ in 0..TURNS {
        let chain = place.chain(&free);
        let ends = [
            (
                chain.hip.value(),
                chain.ankle.value(),
                links.thigh + links.shank,
            ),
            (
                chain.shoulder.value(),
                cockpit.grip,
                links.upper_arm + links.forearm,
            ),
        ];
        for (end, fixed, length) in ends {
            let (x, z) = drawn_in(end, fixed, STRETCHED * length);
            free.hip_x += x;
            free.hip_z_or_slide += z;
        }
    }
    let pose = place.pose(&free);
    (stance, pose)
}

/// How far an end must move, forward and up, to come within a length of what is fixed.
fn drawn_in(end: Point, fixed: Point, length: f64) -> (f64, f64) {
    let to = fixed - end;
    let (flat, most) = (
        libm::hypot(to.x, to.z),
        (length * length - to.y * to.y).max(0.0).sqrt(),
    );
    if flat > most && flat > 0.0 {
        let share = (flat - most) / flat;
        (to.x * share, to.z * share)
    } else {
        (0.0, 0.0)
    }
}

fn ranges(
    a: &StanceRanges,
    b: &StanceRanges,
    turn: impl Fn(Angle, Angle) -> Angle,
) -> StanceRanges {
    let joint = |a: JointRange, b: JointRange| JointRange {
        preferred: turn(a.preferred, b.preferred),
        tolerance: turn(a.tolerance, b.tolerance),
        low: turn(a.low, b.low),
        high: turn(a.high, b.high),
    };
    StanceRanges {
        ankle: joint(a.ankle, b.ankle),
        knee: joint(a.knee, b.knee),
        hip: joint(a.hip, b.hip),
        trunk: joint(a.trunk, b.trunk),
        shoulder: joint(a.shoulder, b.shoulder),
        elbow: joint(a.elbow, b.elbow),
        knee_splay: joint(a.knee_splay, b.knee_splay),
        elbow_swing: joint(a.elbow_swing, b.elbow_swing),
        wrist_extension: joint(a.wrist_extension, b.wrist_extension),
        wrist_ulnar: joint(a.wrist_ulnar, b.wrist_ulnar),
        neck: joint(a.neck, b.neck),
    }
}
