//! What a posture costs and which limits it must keep.
//!
//! Cost: Σ((angle − preferred)/tolerance)² over the joints, plus the same for the centre of mass over the foot. Wrist
//! extension is left out: the hand turns freely about the grip until a lever ties its fingers, so the levers' roll sets
//! it, not the posture. A limit is a number that must not be negative, in degrees for joints and in units of
//! [`GAP_SCALE`] mm for gaps, so that the two weigh alike when no posture keeps them all.

use super::definition::JointRange;
use super::kinematics::{Chain, Free, Place};
use super::scalar::{Scalar, Triple};
use crate::units::{Angle, Point};

/// Terms of the cost.
pub(super) const TERMS: usize = 11;

/// Names of the terms, in order.
pub(super) const TERM_NAMES: [&str; TERMS] = [
    "ankle",
    "knee",
    "knee_splay",
    "hip",
    "trunk",
    "shoulder",
    "elbow",
    "elbow_swing",
    "wrist_ulnar",
    "neck",
    "balance",
];

/// Millimetres of a gap that weigh as much as one degree of a joint; our choice, from a limb of about 300 mm.
pub(super) const GAP_SCALE: f64 = 5.0;

/// Hip flexion with a straight knee, and how much each degree of knee flexion adds (hamstrings); from memory, the
/// middle of 70 to 90° and 0.5 to 0.7.
const HAMSTRING: (Angle, f64) = (Angle::from_deg(80.0), 0.6);

/// Room kept ahead of the knuckles' and the bar's centre line for the bar itself; our choice.
const BAR_RADIUS: f64 = 20.0;

/// Pelvis kept inside the seat's ends by this much; our choice.
const SEAT_END: f64 = 60.0;

/// A limit by its place in the list.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum LimitKind {
    Least(&'static str),
    Greatest(&'static str),
    Hamstrings,
    Gap(&'static str),
}

impl LimitKind {
    pub fn words(self) -> String {
        match self {
            Self::Least(joint) => format!("{joint} at its least"),
            Self::Greatest(joint) => format!("{joint} at its greatest"),
            Self::Hamstrings => "hip flexion stopped by the hamstrings".to_owned(),
            Self::Gap(parts) => parts.to_owned(),
        }
    }

    /// A sole flat on the board or a boot at its stop is how things rest, not a limit that pinches.
    pub fn is_contact(self) -> bool {
        matches!(self, Self::Least("boot slide" | "heel lift"))
    }

    pub fn is_gap(self) -> bool {
        matches!(self, Self::Gap(_))
            || matches!(
                self,
                Self::Least("boot slide") | Self::Greatest("boot slide")
            )
    }
}

/// The cost's residuals: their squares sum to it.
pub(super) fn residuals<T: Scalar>(place: &Place, chain: &Chain<T>, free: &Free<T>) -> [T; TERMS] {
    let r = &place.stance.ranges;
    let off = |angle: T, range: &JointRange| {
        (angle - range.preferred.rad()) * (1.0 / range.tolerance.rad())
    };
    let balance = match place.stance.balance.foot_share {
        Some(share) => {
            let links = &place.rider.links;
            // The bare foot lies in the middle of the boot.
            let rear = chain.toe.x - (links.boot_length + links.foot_length) / 2.0;
            let wanted = rear + share * links.foot_length;
            (chain.com_x - wanted) * (1.0 / (place.stance.balance.tolerance * links.foot_length))
        }
        None => T::constant(0.0),
    };
    [
        off(chain.ankle_angle, &r.ankle),
        off(chain.knee_angle, &r.knee),
        off(free.splay, &r.knee_splay),
        off(chain.hip_angle, &r.hip),
        off(free.lean, &r.trunk),
        off(chain.shoulder_angle, &r.shoulder),
        off(chain.elbow_angle, &r.elbow),
        off(free.swing, &r.elbow_swing),
        off(chain.ulnar, &r.wrist_ulnar),
        off(chain.neck_angle, &r.neck),
        balance,
    ]
}

/// Visits every limit: joints first, then gaps.
pub(super) fn limits<T: Scalar>(
    place: &Place,
    chain: &Chain<T>,
    free: &Free<T>,
    mut visit: impl FnMut(LimitKind, T),
) {
    let r = &place.stance.ranges;
    let gear = &place.rider.gear_limits;
    let degrees = |x: T| x * (180.0 / core::f64::consts::PI);
    let mut joint = |name: &'static str, angle: T, low: Angle, high: Angle| {
        visit(LimitKind::Least(name), degrees(angle - low.rad()));
        visit(LimitKind::Greatest(name), degrees(-angle + high.rad()));
    };
    let capped =
        |high: Angle, stop: Option<Angle>| stop.map_or(high, |s| if s < high { s } else { high });
    joint(
        "ankle",
        chain.ankle_angle,
        r.ankle.low,
        capped(r.ankle.high, gear.dorsiflexion),
    );
    joint(
        "knee flexion",
        chain.knee_angle,
        r.knee.low,
        capped(r.knee.high, gear.knee_flexion),
    );
    joint(
        "knee splay",
        free.splay,
        r.knee_splay.low,
        r.knee_splay.high,
    );
    joint("hip flexion", chain.hip_angle, r.hip.low, r.hip.high);
    joint("trunk lean", free.lean, r.trunk.low, r.trunk.high);
    joint(
        "shoulder elevation",
        chain.shoulder_angle,
        r.shoulder.low,
        r.shoulder.high,
    );
    joint(
        "elbow flexion",
        chain.elbow_angle,
        r.elbow.low,
        r.elbow.high,
    );
    joint(
        "elbow swing",
        free.swing,
        r.elbow_swing.low,
        r.elbow_swing.high,
    );
    joint(
        "ulnar deviation",
        chain.ulnar,
        r.wrist_ulnar.low,
        r.wrist_ulnar.high,
    );
    joint(
        "neck extension",
        chain.neck_angle,
        r.neck.low,
        capped(r.neck.high, gear.neck_extension),
    );
    let contacts = &place.stance.contacts;
    if contacts.heel_lift_max > Angle::ZERO {
        joint("heel lift", free.heel, Angle::ZERO, contacts.heel_lift_max);
    }
    visit(
        LimitKind::Hamstrings,
        degrees(chain.knee_angle * HAMSTRING.1 + HAMSTRING.0.rad() - chain.hip_angle),
    );
    gaps(place, chain, |name, gap| {
        visit(LimitKind::Gap(name), gap * (1.0 / GAP_SCALE))
    });
    if contacts.seated {
        let line = place.cockpit.sled.seat_line.points();
        let (rear, front) = (line[0].x + SEAT_END, line[line.len() - 1].x - SEAT_END);
        let unit = 1.0 / GAP_SCALE;
        visit(
            LimitKind::Gap("hips at the rear end of the seat"),
            (free.hip_x - rear) * unit,
        );
        visit(
            LimitKind::Gap("hips at the front end of the seat"),
            (-free.hip_x + front) * unit,
        );
        if contacts.foot_slide_max > 0.0 {
            visit(LimitKind::Least("boot slide"), free.hip_z_or_slide * unit);
            visit(
                LimitKind::Greatest("boot slide"),
                (-free.hip_z_or_slide + contacts.foot_slide_max) * unit,
            );
        }
    }
}

/// Visits every gap between body and sled, mm.
pub(super) fn gaps<T: Scalar>(
    place: &Place,
    chain: &Chain<T>,
    mut visit: impl FnMut(&'static str, T),
) {
    let links = &place.rider.links;
    let sled = place.cockpit.sled;
    let seated = place.stance.contacts.seated;
    // A gap moves with its point along the direction that opens it.
    let follow = |gap: f64, opens: Point, at: Triple<T>| {
        let v = at.value();
        at.along(opens) + (gap - opens.dot(&v))
    };
    let outline = |at: Triple<T>, radius: f64| {
        let c = sled.outline.clearance(at.value(), radius, 0.0);
        follow(c.gap, c.opens, at)
    };
    let seat = |at: Triple<T>, radius: f64| {
        let c = sled
            .seat_line
            .clearance(at.value(), radius, place.cockpit.seat_raise);
        follow(c.gap, c.opens, at)
    };
    let bar = |at: Triple<T>, radius: f64| {
        let v = at.value();
        let (a, b) = (place.cockpit.bar_centre, place.cockpit.grip);
        // A part on the mid-plane meets the bar's centre; one beside it meets the nearest point of the left half.
        let along = b - a;
        let t = ((v - a).dot(&along) / along.norm_squared()).clamp(0.0, 1.0);
        let away = v - (a + along * t);
        let distance = away.norm().max(1e-9);
        follow(distance - radius - BAR_RADIUS, away / distance, at)
    };
    let thigh = chain.hip.toward(chain.knee, 0.6);
    let shank = chain.knee.toward(chain.ankle, 0.35);
    let mid_hip = Triple::new(chain.hip.x, T::constant(0.0), chain.hip.z);
    let chest = mid_hip.toward(chain.mid_shoulder, 2.0 / 3.0);
    visit(
        "knee against the cockpit",
        outline(chain.knee, links.knee_radius),
    );
    visit(
        "shank against the cockpit",
        outline(shank, links.shank_radius),
    );
    visit(
        "thigh against the cockpit",
        outline(thigh, links.thigh_radius),
    );
    visit("knee against the bar", bar(chain.knee, links.knee_radius));
    visit("chest against the bar", bar(chest, links.chest_front));
    visit(
        "chest against the cockpit",
        outline(chest, links.chest_front),
    );
    visit(
        "helmet against the cockpit",
        outline(chain.head, links.helmet_radius),
    );
    visit(
        "helmet against the bar",
        bar(chain.head, links.helmet_radius),
    );
    if !seated {
        visit("hips against the seat", seat(mid_hip, links.hip_over_seat));
        visit("thigh against the seat", seat(thigh, links.thigh_radius));
    }
    visit("shank against the seat", seat(shank, links.shank_radius));
}
