//! Steering hold: the moment about the post's axis that both hands can resist, bars straight and at lock.
//!
//! The hands make a couple: the bar pushes the left hand with F and the right one with −F, so that legs and trunk need
//! not answer with a force. Its moment about the post's axis a is M = a·((g_left − g_right) × F). Each arm carries its
//! own limits (elbow about its hinge, shoulder about both axes, grip and push on the bar, as in [`super::joints`] and
//! [`super::contacts`], half of what both hold together) and its own weight at rest. The result is the smaller of the
//! two directions: what can be resisted whichever way the sled kicks.
//!
//! At lock the grips turn with the bars about the post, the shoulders stay where they are, and the elbows follow in
//! closed form with the swing that each has in the pose. Left out: the trunk may twist and lean to follow the bars
//! (it would help the outer hand), and the trunk must answer the couple's moment (no limit for twisting is at hand).
//! The rider is symmetric, so that both locks hold the same.

use super::Options;
use super::contacts::{self, unit_or};
use super::joints::{self, Joint, Limits, joint_limits};
use super::outcome::SteeringHold;
use super::rows::optimal;
use crate::program::linear::{Program, Range};
use crate::rider::{Rider, Segment};
use crate::sled::Cockpit;
use crate::stance::{Points, Pose, Stance};
use crate::units::{Angle, MM_PER_M, Point, STANDARD_GRAVITY};

/// One arm on its grip, mirrored to the left where it is the right one.
struct Arm {
    elbow: Point,
    grip: Point,
    grip_axis: Point,
}

/// The same with the bars straight alone.
pub(super) fn straight(
    rider: &Rider,
    cockpit: &Cockpit,
    stance: &Stance,
    pose: &Pose,
    limits: &Limits,
    options: &Options,
) -> f64 {
    let arms = Arms {
        rider,
        cockpit,
        stance,
        pose,
        limits,
        options,
    };
    arms.hold(Angle::ZERO).unwrap_or(0.0)
}

/// Steering hold of a pose.
pub(super) fn steering(
    rider: &Rider,
    cockpit: &Cockpit,
    stance: &Stance,
    pose: &Pose,
    limits: &Limits,
    options: &Options,
) -> SteeringHold {
    let arms = Arms {
        rider,
        cockpit,
        stance,
        pose,
        limits,
        options,
    };
    let lock = arms.hold(cockpit.sled.steering.lock);
    SteeringHold {
        straight: arms.hold(Angle::ZERO).unwrap_or(0.0),
        left_lock: lock,
        right_lock: lock,
    }
}

struct Arms<'a> {
    rider: &'a Rider,
    cockpit: &'a Cockpit<'a>,
    stance: &'a Stance,
    pose: &'a Pose,
    limits: &'a Limits,
    options: &'a Options,
}

impl Arms<'_> {
    /// The moment held with the bars turned; `None` where a hand cannot stay on its grip.
    fn hold(&self, steer: Angle) -> Option<f64> {
        // Turning the mirrored right arm the other way mirrors the turn.
        let left = self.arm(steer)?;
        let right = self.arm(-steer)?;
        let mut rows = self.rows(&left, 1.0);
        rows.extend(self.rows(&right, -1.0));
        let span = left.grip - mirrored(right.grip);
        let lever = self.cockpit.post_axis().cross(&span) / MM_PER_M;
        let mut program = Program::new(&[Range::FREE; 3], &rows);
        let mut reach = |sign: f64| {
            let optimum = optimal(program.solve(&[lever.x * sign, lever.y * sign, lever.z * sign]));
            // An arm that cannot carry its own weight resists nothing.
            optimum.map_or(0.0, |held| held.objective.max(0.0))
        };
        Some(reach(1.0).min(reach(-1.0)))
    }

    fn arm(&self, steer: Angle) -> Option<Arm> {
        let p = &self.pose.points;
        let grip = self.cockpit.steered(p.grip, steer);
        let grip_axis = self
            .cockpit
            .steered_direction(self.cockpit.grip_axis, steer);
        let elbow = placed_elbow(p, grip)?;
        let arm = Arm {
            elbow,
            grip,
            grip_axis,
        };
        let range = self.stance.ranges.elbow;
        let bent = arm.elbow_flexion(p.shoulder);
        // The pose itself may rest on its limit: a thousandth of a radian is no difference.
        let slack = Angle::from_rad(1e-3);
        (bent >= range.low - slack && bent <= range.high + slack).then_some(arm)
    }

    /// Limits of one arm as rows in the left hand's force; `sign` is −1 for the right arm, whose force is the opposite
    /// one and mirrored.
    fn rows(&self, arm: &Arm, sign: f64) -> Vec<([f64; 3], Range)> {
        let p = Points {
            elbow: arm.elbow,
            grip: arm.grip,
            ..self.pose.points
        };
        let turned = |v: Point| Point::new(v.x, v.y * sign, v.z) * sign;
        let row = |normal: Point, low, high| {
            let n = turned(normal);
            ([n.x, n.y, n.z], Range::between(low, high))
        };
        let mut rows = Vec::with_capacity(8);
        for joint in [Joint::Shoulder, Joint::ShoulderHorizontal, Joint::Elbow] {
            let (centre, axis) = joint.frame(&p);
            let weight = self.weight_moment(joint, &p, centre, axis);
            let (low, high) = self.arm_limits(joint, arm);
            rows.push(row(
                axis.cross(&(arm.grip - centre)) / MM_PER_M,
                low / 2.0 - weight,
                high / 2.0 - weight,
            ));
        }
        let records = contacts::grip_rows(
            arm.grip - p.shoulder,
            arm.grip_axis,
            self.limits.pull_off,
            self.options.assumed.push_on_bar,
            self.options.friction,
        );
        rows.extend(
            records
                .iter()
                .map(|record| row(record.normal, record.low / 2.0, record.high / 2.0)),
        );
        rows
    }

    /// Limits at the joint's angle with the arm where it is; straight ahead those that were handed in.
    fn arm_limits(&self, joint: Joint, arm: &Arm) -> (f64, f64) {
        let p = &self.pose.points;
        if (arm.grip - p.grip).norm() < 1e-9 {
            return self.limits.of_joint(joint);
        }
        let angle = match joint {
            Joint::Elbow => arm.elbow_flexion(p.shoulder),
            _ => between(-joints::trunk_axis(p), arm.elbow - p.shoulder),
        };
        joint_limits(self.rider, joint, angle)
    }

    /// Moment of one arm's weight at rest, N·m.
    fn weight_moment(&self, joint: Joint, p: &Points, centre: Point, axis: Point) -> f64 {
        let carried = |segment: &&Segment| joint.carries(segment.part);
        self.rider
            .segments
            .iter()
            .filter(carried)
            .map(|segment| {
                let weight = Point::new(0.0, 0.0, -segment.mass * STANDARD_GRAVITY);
                axis.dot(
                    &(super::segment_com(segment, p, self.rider.links.trunk) - centre)
                        .cross(&weight),
                ) / MM_PER_M
            })
            .sum()
    }
}

impl Arm {
    fn elbow_flexion(&self, shoulder: Point) -> Angle {
        between(self.elbow - shoulder, self.grip - self.elbow)
    }
}

/// The elbow of the pose's left arm with its hand on another grip, its swing kept; `None` where it does not reach.
fn placed_elbow(p: &Points, grip: Point) -> Option<Point> {
    let upper = (p.elbow - p.shoulder).norm();
    let fore = (p.grip - p.elbow).norm();
    let line = grip - p.shoulder;
    let span = line.norm();
    if !(span < upper + fore && span > (upper - fore).abs()) {
        return None;
    }
    let (hang, out) = swing_frame(p.grip - p.shoulder);
    let bend = p.elbow - p.shoulder;
    let (c, s) = (bend.dot(&hang), bend.dot(&out));
    let size = (c * c + s * s).sqrt();
    let (c, s) = if size > 1e-6 {
        (c / size, s / size)
    } else {
        (1.0, 0.0)
    };
    let (hang, out) = swing_frame(line);
    let along = (upper * upper - fore * fore + span * span) / (2.0 * span);
    let off = (upper * upper - along * along).max(0.0).sqrt();
    Some(p.shoulder + line * (along / span) + (hang * c + out * s) * off)
}

/// Directions square to the shoulder-grip line in which the elbow hangs and in which it points out (left arm).
fn swing_frame(line: Point) -> (Point, Point) {
    let along = unit_or(line, Point::new(1.0, 0.0, 0.0));
    let down = Point::new(0.0, 0.0, -1.0);
    let hang = unit_or(down - along * along.dot(&down), Point::new(-1.0, 0.0, 0.0));
    (hang, hang.cross(&along))
}

/// Angle between two directions.
fn between(a: Point, b: Point) -> Angle {
    Angle::from_rad(libm::atan2(a.cross(&b).norm(), a.dot(&b)))
}

fn mirrored(v: Point) -> Point {
    Point::new(v.x, -v.y, v.z)
}
