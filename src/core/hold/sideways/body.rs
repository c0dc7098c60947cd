//! The body in a corner: both sides' points, hips and trunk shifted, limbs as long as they are.

use super::super::contacts::unit_or;
use super::super::joints::{JOINTS, Joint, Limits, joint_limits};
use super::super::outcome::NotHeld;
use crate::rider::Rider;
use crate::stance::{Points, Pose, Stance};
use crate::units::{Angle, Point};

/// A knee this near to the sled's side can be laid against it without another stance, mm: the hip turns by 10° over a
/// thigh of 430 mm. Our choice.
pub const KNEE_NEAR: f64 = 75.0;

/// One limb pair on one side, mirrored to the left where it is the right one.
#[derive(Clone, Copy, Debug)]
pub(super) struct Limbs {
    /// Points, mm; those of the mid-plane are shifted too.
    pub points: Points,
    /// Limits of one limb, N·m.
    pub limits: [(f64, f64); JOINTS],
}

/// Both sides, and how far the mid-plane is shifted to the left, mm.
#[derive(Clone, Copy, Debug)]
pub(super) struct Body {
    pub left: Limbs,
    pub right: Limbs,
    pub shift: f64,
}

impl Body {
    pub fn new(
        rider: &Rider,
        stance: &Stance,
        pose: &Pose,
        shift: f64,
        limits: &Limits,
    ) -> Result<Self, NotHeld> {
        let half = limits.joints.map(|(low, high)| (low / 2.0, high / 2.0));
        let limbs = |shift: f64| {
            if shift == 0.0 {
                return Ok(Limbs {
                    points: pose.points,
                    limits: half,
                });
            }
            placed(rider, stance, pose, shift, half)
        };
        Ok(Self {
            left: limbs(shift)?,
            right: limbs(-shift)?,
            shift,
        })
    }

    /// Both sides, the left one as +1.
    pub fn sides(&self) -> [(f64, &Limbs); 2] {
        [(1.0, &self.left), (-1.0, &self.right)]
    }
}

/// The left limbs with hip and shoulder shifted by `shift` to the left.
fn placed(
    rider: &Rider,
    stance: &Stance,
    pose: &Pose,
    shift: f64,
    half: [(f64, f64); JOINTS],
) -> Result<Limbs, NotHeld> {
    let across = Point::new(0.0, shift, 0.0);
    let p = &pose.points;
    let (hip, shoulder) = (p.hip + across, p.shoulder + across);
    let way = if shift > 0.0 { "out" } else { "in" };
    let gone = |limb: &str| NotHeld {
        because: format!(
            "hips shifted {:.0} mm: the {limb} on the side that they move {way} cannot follow",
            shift.abs()
        ),
    };
    let (knee, knee_bends) =
        middle(p.ankle, hip, p.knee, (p.ankle, p.hip)).ok_or_else(|| gone("leg"))?;
    let (elbow, elbow_bends) =
        middle(p.grip, shoulder, p.elbow, (p.grip, p.shoulder)).ok_or_else(|| gone("arm"))?;
    let ranges = &stance.ranges;
    // The pose itself may rest on a limit; a degree of give is less than anyone can measure.
    let give = Angle::from_deg(1.0);
    let inside =
        |angle: Angle, low: Angle, high: Angle| angle >= low - give && angle <= high + give;
    if !inside(knee_bends, ranges.knee.low, ranges.knee.high) {
        return Err(gone("knee"));
    }
    if !inside(elbow_bends, ranges.elbow.low, ranges.elbow.high) {
        return Err(gone("elbow"));
    }
    let mut limits = half;
    for (joint, angle) in [(Joint::Knee, knee_bends), (Joint::Elbow, elbow_bends)] {
        let (low, high) = joint_limits(rider, joint, angle);
        limits[joint as usize] = (low / 2.0, high / 2.0);
    }
    Ok(Limbs {
        points: Points {
            hip,
            shoulder,
            knee,
            elbow,
            wrist: elbow + (p.grip - elbow) * wrist_share(p),
            lower_trunk: p.lower_trunk + across,
            neck: p.neck + across,
            head: p.head + across,
            seat: p.seat + across,
            ..*p
        },
        limits,
    })
}

fn wrist_share(p: &Points) -> f64 {
    let fore = (p.grip - p.elbow).norm();
    if fore > 0.0 {
        (p.wrist - p.elbow).norm() / fore
    } else {
        0.0
    }
}

/// Where the middle joint of a limb goes when its far end moves to `to`, and how far the limb is then bent; the near end
/// stays, both links keep their lengths, and the joint keeps its side of the line between the ends.
fn middle(from: Point, to: Point, was: Point, ends: (Point, Point)) -> Option<(Point, Angle)> {
    let (near, far) = ((was - ends.0).norm(), (ends.1 - was).norm());
    let line = to - from;
    let span = line.norm();
    if !(span < near + far && span > (near - far).abs()) {
        return None;
    }
    let along = line / span;
    let bend = was - ends.0;
    let off = unit_or(bend - along * along.dot(&bend), Point::new(1.0, 0.0, 0.0));
    let way = (span * span + near * near - far * far) / (2.0 * span);
    let height = (near * near - way * way).max(0.0).sqrt();
    let joint = from + along * way + off * height;
    let (a, b) = (joint - from, to - joint);
    Some((
        joint,
        Angle::from_rad(libm::atan2(a.cross(&b).norm(), a.dot(&b))),
    ))
}
