//! Lock to lock: whether the bars turn fully both ways with this rider aboard.
//!
//! The body stays as in the pose and the bars turn about the post. Rider and bars are symmetric, so the left grip at both
//! locks stands for both grips. Limbs are capsules: thigh and knee with their radii on both sides, the chest a bolster
//! across the mid-plane. The outer hand must reach its grip with a bent elbow and the trunk turned, in the stance that
//! carries the weight point; in the others it is told. Lengths in mm.

use super::hand::{BLADE_DEPTH, GripPlane, HandOnGrip, finite, length};
use super::objective::lock_shortfall;
use super::outcome::{Levers, Verdict};
use super::words::mm;
use crate::rider::{Links, Rider};
use crate::sled::{Cockpit, Shape};
use crate::stance::{Pose, Stance};
use crate::units::{Angle, Point};

/// Checks full lock both ways; one verdict for each condition, with the stance that comes closest to breaking it.
///
/// What the sled's file does not say, and what no stance was given for, has `met: None`: tick it off by hand.
pub fn lock_to_lock(
    rider: &Rider,
    cockpit: &Cockpit,
    levers: &Levers,
    poses: &[(&Stance, &Pose)],
) -> Vec<Verdict> {
    let parts = BarParts::new(rider, cockpit, levers);
    let mut verdicts = vec![
        outer_hand(rider, cockpit, poses),
        grips_clear_of_body(rider, cockpit, &parts, poses),
        levers_clear_of_legs(rider, cockpit, &parts, poses),
        clear_of_cockpit(cockpit, &parts),
    ];
    verdicts.extend(hoses(cockpit));
    verdicts
}

/// A segment with a radius; a ball where the ends meet.
#[derive(Clone, Copy)]
struct Capsule {
    name: &'static str,
    from: Point,
    to: Point,
    radius: f64,
}

impl Capsule {
    fn ball(name: &'static str, at: Point, radius: f64) -> Self {
        Self {
            name,
            from: at,
            to: at,
            radius,
        }
    }

    fn steered(self, cockpit: &Cockpit, steer: Angle) -> Self {
        Self {
            from: cockpit.steered(self.from, steer),
            to: cockpit.steered(self.to, steer),
            ..self
        }
    }

    fn mirrored(self) -> Self {
        let flip = |p: Point| Point::new(p.x, -p.y, p.z);
        Self {
            from: flip(self.from),
            to: flip(self.to),
            ..self
        }
    }

    /// Distance between two capsules' surfaces, mm; negative where they overlap.
    fn gap(&self, other: &Self) -> f64 {
        segments(self.from, self.to, other.from, other.to) - self.radius - other.radius
    }
}

/// Least distance between two segments (Ericson 2005, Real-Time Collision Detection, section 5.1.9).
fn segments(p: Point, p_end: Point, q: Point, q_end: Point) -> f64 {
    let (u, v, r) = (p_end - p, q_end - q, p - q);
    let (a, e, f) = (u.dot(&u), v.dot(&v), v.dot(&r));
    let (b, c) = (u.dot(&v), u.dot(&r));
    let share = |over: f64, under: f64| {
        if under > 1e-12 {
            (over / under).clamp(0.0, 1.0)
        } else {
            0.0
        }
    };
    let mut s = share(b * f - c * e, a * e - b * b);
    let mut t = share(b * s + f, e);
    // With t kept inside its segment, s follows anew.
    s = share(b * t - c, a);
    t = share(b * s + f, e);
    let d = r + u * s - v * t;
    libm::hypot(libm::hypot(d.x, d.y), d.z)
}

/// What turns with the left half of the bars.
struct BarParts {
    grips: [Capsule; 2],
    levers: Vec<Capsule>,
}

impl BarParts {
    fn new(rider: &Rider, cockpit: &Cockpit, levers: &Levers) -> Self {
        let sled = cockpit.sled;
        let bar = &sled.bars[cockpit.settings.bar];
        let hand = HandOnGrip::new(&rider.hand, bar.grip_diameter);
        let (radius, fist) = (hand.grip_radius, hand.grip_radius + hand.gloved_finger());
        let (grip, axis) = (cockpit.grip, cockpit.grip_axis);
        let half_hand = length(rider.hand.gloved_breadth) / 2.0 - fist;
        let reach = axis * half_hand.max(0.0);
        let half_grip = length(bar.grip_length) / 2.0;
        let plane = GripPlane::new(axis);
        let at = |out: f64, roll: Angle, along: f64| {
            grip + axis * along + (plane.forward * roll.cos() + plane.down * roll.sin()) * out
        };
        let finger = hand.gloved_finger() + BLADE_DEPTH / 2.0;
        let out = radius + levers.brake.lever_reach + BLADE_DEPTH / 2.0;
        let tip = length(sled.brake.blade) - levers.brake.along - half_grip;
        let mut moving = vec![
            Capsule {
                name: "brake lever",
                from: at(out, levers.brake.roll, -half_grip),
                to: at(out, levers.brake.roll, tip),
                radius: finger,
            },
            Capsule::ball(
                "throttle paddle",
                at(
                    radius + levers.throttle.lever_reach,
                    levers.throttle.roll,
                    -half_grip - levers.throttle.along,
                ),
                finger,
            ),
        ];
        if let Some(guard) = sled.guard {
            let ahead = radius + length(guard.clear_depth);
            moving.push(Capsule {
                name: "hand guard",
                from: at(ahead, Angle::ZERO, -half_grip),
                to: at(ahead, Angle::ZERO, half_grip),
                radius: 0.0,
            });
        }
        Self {
            grips: [
                Capsule {
                    name: "gloved hand",
                    from: grip - reach,
                    to: grip + reach,
                    radius: fist,
                },
                Capsule::ball("bar end", grip + axis * half_grip, radius),
            ],
            levers: moving,
        }
    }
}

/// Thighs and knees of both sides.
fn legs(links: &Links, pose: &Pose) -> Vec<Capsule> {
    let thigh = Capsule {
        name: "thigh",
        from: pose.points.hip,
        to: pose.points.knee,
        radius: length(links.thigh_radius),
    };
    let knee = Capsule::ball("knee", pose.points.knee, length(links.knee_radius));
    vec![thigh, thigh.mirrored(), knee, knee.mirrored()]
}

/// The chest as a bolster across the mid-plane, two thirds up the trunk; its front is the chest's front.
fn chest(links: &Links, pose: &Pose) -> Capsule {
    let hip = pose.points.hip;
    let up = Point::new(pose.angles.trunk.sin(), 0.0, pose.angles.trunk.cos());
    let radius = length(links.chest_front);
    let side = (length(links.shoulder_half) - radius).max(0.0);
    let at = Point::new(hip.x, 0.0, hip.z) + up * (length(links.trunk) * 2.0 / 3.0);
    let across = Point::new(0.0, side, 0.0);
    Capsule {
        name: "chest",
        from: at - across,
        to: at + across,
        radius,
    }
}

/// The two locks of the left grip: pulled back, pushed out.
fn locks(cockpit: &Cockpit) -> [Angle; 2] {
    [cockpit.sled.steering.lock, -cockpit.sled.steering.lock]
}

/// The smallest gap between parts on the bars and parts of the body over stances and locks, and where it is.
fn closest(
    cockpit: &Cockpit,
    moving: &[Capsule],
    poses: &[(&Stance, &Pose)],
    body: impl Fn(&Pose) -> Vec<Capsule>,
) -> Option<(f64, String)> {
    let mut found: Option<(f64, String)> = None;
    for (stance, pose) in poses {
        for part in body(pose) {
            for steer in locks(cockpit) {
                for bar in moving {
                    let gap = finite(bar.steered(cockpit, steer).gap(&part));
                    if found.as_ref().is_none_or(|(least, _)| gap < *least) {
                        found = Some((
                            gap,
                            format!("{} to {} in {}", bar.name, part.name, stance.name),
                        ));
                    }
                }
            }
        }
    }
    found
}

/// The verdict on a smallest gap.
fn gap_verdict(name: &str, found: Option<(f64, String)>) -> Verdict {
    let (met, says) = match found {
        None => (
            None,
            "No stance to judge: turn the bars and look.".to_owned(),
        ),
        Some((gap, between)) if gap > 0.0 => (
            Some(true),
            format!("Closest is {between}: {} clear.", mm(gap)),
        ),
        Some((gap, between)) => (
            Some(false),
            format!("{between} touch: {} too close.", mm(-gap)),
        ),
    };
    Verdict {
        name: name.to_owned(),
        met,
        says,
    }
}

fn outer_hand(rider: &Rider, cockpit: &Cockpit, poses: &[(&Stance, &Pose)]) -> Verdict {
    let name = "Outer hand reaches at full lock, elbow bent".to_owned();
    let mut short: Vec<String> = Vec::new();
    let mut required_short = false;
    for (stance, pose) in poses {
        let missing = finite(lock_shortfall(rider, cockpit, pose));
        if missing > 0.0 {
            short.push(format!("{} {}", stance.name, mm(missing)));
            required_short |= stance.carries_weight_point;
        }
    }
    let (met, says) = if poses.is_empty() {
        (
            None,
            "No stance to judge: turn the bars and try.".to_owned(),
        )
    } else if short.is_empty() {
        (
            Some(true),
            "In every stance, with the trunk turned.".to_owned(),
        )
    } else {
        (
            Some(!required_short),
            format!(
                "With the trunk turned the outer arm is too short in: {}. Come forward before turning that far.",
                short.join(", ")
            ),
        )
    };
    Verdict { name, met, says }
}

fn grips_clear_of_body(
    rider: &Rider,
    cockpit: &Cockpit,
    parts: &BarParts,
    poses: &[(&Stance, &Pose)],
) -> Verdict {
    let found = closest(cockpit, &parts.grips, poses, |pose| {
        let mut body = legs(&rider.links, pose);
        body.push(chest(&rider.links, pose));
        body
    });
    gap_verdict("Grips clear of knees, thighs and chest at full lock", found)
}

fn levers_clear_of_legs(
    rider: &Rider,
    cockpit: &Cockpit,
    parts: &BarParts,
    poses: &[(&Stance, &Pose)],
) -> Verdict {
    let found = closest(cockpit, &parts.levers, poses, |pose| {
        legs(&rider.links, pose)
    });
    gap_verdict(
        "Levers and hand guards clear of the legs at full lock",
        found,
    )
}

fn hoses(cockpit: &Cockpit) -> Vec<Verdict> {
    let steering = &cockpit.sled.steering;
    let distance = |d: Point| finite(libm::hypot(libm::hypot(d.x, d.y), d.z));
    let [back, out] = locks(cockpit).map(|steer| cockpit.steered(cockpit.grip, steer));
    let verdict = |name: &str, what: &str, found: f64, limit: Option<f64>| Verdict {
        name: name.to_owned(),
        met: limit.map(|limit| found <= limit),
        says: match limit {
            Some(limit) => format!(
                "{what} {}; hoses and cables allow {}.",
                mm(found),
                mm(limit)
            ),
            None => format!(
                "{what} {}; what hoses and cables allow is not measured: turn lock to lock and look for a tight one.",
                mm(found)
            ),
        },
    };
    vec![
        verdict(
            "Hoses and cables reach the bar",
            "Bar's centre to the post's top:",
            distance(cockpit.bar_centre - cockpit.riser_base()),
            steering.hose_limit,
        ),
        verdict(
            "Hoses and cables follow from lock to lock",
            "A grip moves",
            distance(out - back),
            steering.grip_travel_limit,
        ),
    ]
}

fn clear_of_cockpit(cockpit: &Cockpit, parts: &BarParts) -> Verdict {
    let mut found: Option<(f64, String)> = None;
    for steer in locks(cockpit) {
        for part in parts.grips.iter().chain(&parts.levers) {
            let part = part.steered(cockpit, steer);
            // Ends and middle: a bar part is short against the outline's bends.
            for at in [part.from, (part.from + part.to) / 2.0, part.to] {
                let gap = finite(outline_gap(&cockpit.sled.outline, at, part.radius));
                if found.as_ref().is_none_or(|(least, _)| gap < *least) {
                    found = Some((gap, format!("{} to cockpit", part.name)));
                }
            }
        }
    }
    gap_verdict(
        "Grips, levers and hand guards clear of the cockpit at full lock",
        found,
    )
}

/// Gap between a ball and the solid under an outline, mm; negative where they overlap.
///
/// Across the line the distance is taken square to its slope at the ball's x.
fn outline_gap(outline: &Shape, at: Point, radius: f64) -> f64 {
    let points = outline.points();
    let (first, last) = (points[0], points[points.len() - 1]);
    let (height, slope) = outline.height(at.x);
    let half_width = points
        .windows(2)
        .find(|w| at.x <= w[1].x)
        .map_or(last.half_width, |w| {
            let share = ((at.x - w[0].x) / (w[1].x - w[0].x)).max(0.0);
            w[0].half_width + share * (w[1].half_width - w[0].half_width)
        });
    let over = (at.z - height) / (1.0 + slope * slope).sqrt();
    let beside = at.y.abs() - half_width;
    let beyond = (first.x - at.x).max(at.x - last.x);
    let outside = [over, beside, beyond].map(|d| d.max(0.0));
    let distance = libm::hypot(libm::hypot(outside[0], outside[1]), outside[2]);
    let inside = over.max(beside).max(beyond).min(0.0);
    distance + inside - radius
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn segments_cross_run_parallel_and_degenerate() {
        let p = Point::new;
        let o = Point::zeros();
        assert!(
            (segments(p(-1., 0., 0.), p(1., 0., 0.), p(0., -1., 3.), p(0., 1., 3.)) - 3.0).abs()
                < 1e-12
        );
        assert!((segments(o, p(1., 0., 0.), p(0., 2., 0.), p(1., 2., 0.)) - 2.0).abs() < 1e-12);
        assert!((segments(o, o, p(3., 4., 0.), p(3., 4., 0.)) - 5.0).abs() < 1e-12);
        assert!((segments(o, p(1., 0., 0.), p(4., 4., 0.), p(4., 9., 0.)) - 5.0).abs() < 1e-12);
    }

    #[test]
    fn outline_gap_above_beside_and_inside() {
        let at = |x, z| crate::sled::ShapePoint {
            x,
            z,
            half_width: 100.0,
        };
        let shape = Shape::new(vec![at(0.0, 500.0), at(400.0, 500.0)]).unwrap();
        assert!((outline_gap(&shape, Point::new(200.0, 0.0, 560.0), 10.0) - 50.0).abs() < 1e-9);
        assert!((outline_gap(&shape, Point::new(200.0, 130.0, 300.0), 10.0) - 20.0).abs() < 1e-9);
        assert!((outline_gap(&shape, Point::new(200.0, 0.0, 480.0), 10.0) + 30.0).abs() < 1e-9);
        assert!((outline_gap(&shape, Point::new(430.0, 140.0, 300.0), 10.0) - 40.0).abs() < 1e-9);
    }
}
