//! Statics of a pose: how contact forces and the specific force make balance and joint moments, all linear.
//!
//! Unknown are the contact forces x (each a push of size xⱼ ≥ 0 along a fixed direction, and three components of the
//! hands' force); given is the specific force f = (f_x, f_z) in g. Contact forces act on the rider, the segments'
//! weights are −m·g·f at their centres of mass:
//!
//! - balance of the whole rider about the centre of mass c: Σ F_x = m·g·f_x, Σ F_z = m·g·f_z, Σ ((p − c) × F)_y = 0,
//!   so that the third row does not depend on f;
//! - joint moments: Mᵢ = Bᵢ·x + wᵢ·f, between their limits (see [`super::joints`]);
//! - a normal force N with friction μ is the sum of two pushes along n + μt and n − μt (its cone's edges), so that
//!   x ≥ 0 says both N ≥ 0 and |T| ≤ μN;
//! - the hands' force is taken in components along the grip's own three directions, so that three of its five records
//!   (see [`super::contacts`]) are bounds and two are rows.
//!
//! A feasible set of wrenches limited by joint torques and friction: Bretl and Lall 2008, IEEE Trans. Robot. 24:794;
//! Orsolino et al. 2018, IEEE Robot. Autom. Lett.
//!
//! Units: N, N·m, g.

use super::Options;
use super::contacts::{
    self, AssumedLimit, BOOT_ON_BOARD, CLOTHES_ON_SEAT, GripRow, HOOP, LIFTED_HEEL, SEAT, TOE_STOP,
};
use super::joints::{JOINTS, Joint, Limits, trunk_axis};
use super::outcome::{Contact, JointMoment};
use crate::rider::{Part, Rider, Segment};
use crate::sled::Cockpit;
use crate::stance::{Points, Pose};
use crate::units::{MM_PER_M, Point, STANDARD_GRAVITY};

/// Most unknown contact forces: two each for ball, heel and seat, toe stop, hoop, three for the hands.
pub(super) const FORCES: usize = 11;

/// Balance of the whole rider.
pub(super) const BALANCE: usize = 3;

/// Most bounded sums of forces: the two diagonal components of the hands' force, the seat's normal force.
pub(super) const SUMS: usize = 4;

/// What a bound or row stands for when it gives.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Gives {
    /// A joint's strength.
    Joint(Joint, bool),
    /// The trunk bent sideways.
    TrunkBend,
    /// Both hips, sideways.
    HipsSideways,
    /// The fingers' hold on the grip.
    Grip,
    /// The glove's hold along the bar.
    AlongBar,
    /// A limit without a source.
    Assumed(&'static str),
    /// A contact at the edge of its friction cone.
    Friction(&'static str),
    /// A contact that would have to pull.
    Unloads(&'static str),
}

impl Gives {
    /// In words, for people.
    pub(super) fn words(self) -> String {
        match self {
            Self::Joint(joint, flexion) => joint.gives(flexion).to_owned(),
            Self::TrunkBend => "trunk side bend".to_owned(),
            Self::HipsSideways => "hips, sideways".to_owned(),
            Self::Grip => "grip".to_owned(),
            Self::AlongBar => "grip along the bar".to_owned(),
            Self::Assumed(name) => format!("{name} (assumed limit)"),
            Self::Friction(pair) => format!("friction of {pair}"),
            Self::Unloads(contact) => format!("balance ({contact} unloads)"),
        }
    }

    /// Whether it is a contact that can only push, not a limit of strength.
    pub(super) const fn is_one_sided(self) -> bool {
        matches!(self, Self::Friction(_) | Self::Unloads(_))
    }

    /// Whether it is an assumed limit.
    pub(super) const fn is_assumed(self) -> bool {
        matches!(self, Self::Assumed(_))
    }
}

/// Centre and signed axis of every joint.
type Frames = [(Point, Point); JOINTS];

/// One unknown: the force that a unit of it puts on the rider, and its bounds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Force {
    /// Contact to which it belongs, as results name it.
    pub contact: &'static str,
    /// Force per unit; the hands' y counts both hands (2·y of the left).
    pub direction: Point,
    /// Bounds, N.
    pub low: f64,
    /// Upper bound, N; infinite where there is none.
    pub high: f64,
    /// What gives at the lower bound.
    pub low_gives: Gives,
    /// What gives at the upper bound.
    pub high_gives: Gives,
    /// Share in Σ F_x, Σ F_z, Σ M_y about the centre of mass.
    pub balance: [f64; BALANCE],
    /// Share in each joint's moment.
    pub moments: [f64; JOINTS],
    /// Share in each bounded sum.
    pub sums: [f64; SUMS],
}

/// A bounded sum of forces.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Sum {
    /// Least and greatest, N.
    pub bounds: (f64, f64),
    /// What gives at either end.
    pub gives: (Gives, Gives),
}

/// Everything linear about one pose, shared among loads.
#[derive(Clone, Debug)]
pub struct Statics {
    pub(super) contacts: Vec<Contact>,
    pub(super) forces: Vec<Force>,
    pub(super) sums: Vec<Sum>,
    /// Moment of each joint per unit of f_x and of f_z, with no contact force.
    pub(super) weights: [[f64; 2]; JOINTS],
    pub(super) limits: Limits,
    frames: Frames,
    pub(super) mass: f64,
    pub(super) com: Point,
}

impl Statics {
    /// Sets up the rows of a pose for limits that are at hand already.
    ///
    /// The grip's axis and everything else about the contacts come from the cockpit.
    pub fn new(
        rider: &Rider,
        cockpit: &Cockpit,
        pose: &Pose,
        limits: Limits,
        options: &Options,
    ) -> Self {
        let p = &pose.points;
        let frames = Joint::ALL.map(|joint| joint.frame(p));
        let mass = rider.mass();
        let com = centre_of_mass(&rider.segments, p, rider.links.trunk);
        let mut statics = Self {
            forces: Vec::with_capacity(FORCES),
            sums: Vec::with_capacity(SUMS),
            weights: weights(rider, p, &frames),
            contacts: Vec::new(),
            limits,
            frames,
            mass,
            com,
        };
        let rows = contacts::grip_rows(
            p.grip - p.shoulder,
            cockpit.grip_axis,
            limits.pull_off,
            options.assumed.push_on_bar,
            options.friction,
        );
        statics.add_hands(&rows, p.grip, &frames);
        for contact in contacts::contacts(
            cockpit,
            pose,
            &rows,
            rider.links.boot_instep_height,
            options,
        ) {
            match contact.name {
                "ball" => statics.add_surface(&contact, BOOT_ON_BOARD.pair, [0.0; SUMS], &frames),
                "heel" => {
                    let bounded = statics.bound(&contact, LIFTED_HEEL);
                    statics.add_surface(&contact, BOOT_ON_BOARD.pair, bounded, &frames);
                }
                "seat" => {
                    let bounded = statics.bound(&contact, SEAT.name);
                    statics.add_surface(&contact, CLOTHES_ON_SEAT.pair, bounded, &frames);
                }
                "toe_stop" => statics.add_stop(&contact, &TOE_STOP, &frames),
                "hoop" => statics.add_stop(&contact, &HOOP, &frames),
                _ => {}
            }
            statics.contacts.push(contact);
        }
        statics
    }

    /// Bounds a surface's normal force, and returns how its cone's edges count in that sum.
    fn bound(&mut self, contact: &Contact, name: &'static str) -> [f64; SUMS] {
        let mut counts = [0.0; SUMS];
        if contact.high.is_finite() {
            counts[self.sums.len()] = 1.0;
            self.sums.push(Sum {
                bounds: (contact.low, contact.high),
                gives: (Gives::Unloads(contact.name), Gives::Assumed(name)),
            });
        }
        counts
    }

    /// Weight of the rider, N.
    pub fn weight(&self) -> f64 {
        self.mass * STANDARD_GRAVITY
    }

    /// Centre of mass of the segments on the mid-plane, mm.
    pub fn centre_of_mass(&self) -> Point {
        self.com
    }

    /// Contacts considered, as results show them.
    pub fn contacts(&self) -> &[Contact] {
        &self.contacts
    }

    /// Contact forces from the unknowns, both sides summed; of the hands y is that of the left.
    pub(super) fn contact_forces(&self, x: &[f64]) -> Vec<(&'static str, Point)> {
        let mut found: Vec<(&'static str, Point)> = Vec::new();
        for (force, &size) in self.forces.iter().zip(x) {
            let mut push = force.direction * size;
            push.y /= 2.0;
            match found.iter_mut().find(|(name, _)| *name == force.contact) {
                Some((_, sum)) => *sum += push,
                None => found.push((force.contact, push)),
            }
        }
        self.share_out_friction(&mut found);
        // Adding zero turns −0 into 0.
        found
            .iter_mut()
            .for_each(|(_, force)| *force += Point::zeros());
        found
    }

    /// Shares the sole's friction out between ball and heel as their normal forces are.
    ///
    /// Both act along the same line, so that only their sum counts; a vertex of the program would have them pull apart.
    fn share_out_friction(&self, forces: &mut [(&'static str, Point)]) {
        let sole = |name: &str| self.contacts.iter().find(|contact| contact.name == name);
        let at = |name: &str| forces.iter().position(|(n, _)| *n == name);
        let (Some(board), Some(ball), Some(heel)) = (sole("ball"), at("ball"), at("heel")) else {
            return;
        };
        let normal = board.normal;
        let (on_ball, on_heel) = (forces[ball].1.dot(&normal), forces[heel].1.dot(&normal));
        if on_ball + on_heel > 0.0 {
            let both = forces[ball].1 + forces[heel].1;
            let per_newton = both / (on_ball + on_heel);
            forces[ball].1 = per_newton * on_ball;
            forces[heel].1 = per_newton * on_heel;
        }
    }

    /// Joint moments, in the order of [`Joint::ALL`], under given forces at the pose's contacts and a specific force.
    ///
    /// Forces are both sides summed, N, the hands' y that of the left; names without a contact count nothing.
    pub fn moments_under(&self, forces: &[(&str, Point)], f: (f64, f64)) -> [f64; JOINTS] {
        let mut sum = self.weights.map(|weight| weight[0] * f.0 + weight[1] * f.1);
        for (name, force) in forces {
            let Some(contact) = self.contacts.iter().find(|contact| contact.name == *name) else {
                continue;
            };
            let foot = *name != "seat" && *name != "grip";
            let both = Point::new(force.x, 2.0 * force.y, force.z);
            let side = |joint: Joint| *name != "seat" && joint.on_foot_side() == foot;
            let made = moments(contact.point, both, &self.frames, side);
            sum.iter_mut()
                .zip(made)
                .for_each(|(sum, made)| *sum += made);
        }
        sum
    }

    /// What is missing to balance under given forces (as in [`Statics::moments_under`]) and a specific force:
    /// Σ F_x and Σ F_z in N, Σ M_y about the centre of mass in N·m.
    pub fn imbalance_under(&self, forces: &[(&str, Point)], f: (f64, f64)) -> [f64; 3] {
        let mut sum = [-self.weight() * f.0, -self.weight() * f.1, 0.0];
        for (name, force) in forces {
            if let Some(contact) = self.contacts.iter().find(|contact| contact.name == *name) {
                let made = balance(contact.point, *force, self.com);
                sum.iter_mut()
                    .zip(made)
                    .for_each(|(sum, made)| *sum += made);
            }
        }
        sum
    }

    /// Joint moments under the unknowns and a specific force.
    pub(super) fn joint_moments(&self, x: &[f64], f: (f64, f64)) -> [f64; JOINTS] {
        core::array::from_fn(|joint| {
            let contact: f64 = self
                .forces
                .iter()
                .zip(x)
                .map(|(force, size)| force.moments[joint] * size)
                .sum();
            contact + self.weights[joint][0] * f.0 + self.weights[joint][1] * f.1
        })
    }

    /// Joint moments with their limits, as results show them.
    pub(super) fn moments(&self, x: &[f64], f: (f64, f64)) -> Vec<JointMoment> {
        let values = self.joint_moments(x, f);
        Joint::ALL
            .iter()
            .zip(values)
            .map(|(joint, value)| {
                let (low, high) = self.limits.of_joint(*joint);
                JointMoment {
                    name: joint.name(),
                    value,
                    low,
                    high,
                }
            })
            .collect()
    }

    /// One push along a fixed direction at a contact.
    fn push(&self, contact: &Contact, direction: Point, frames: &Frames) -> Force {
        let foot = contact.name != SEAT.name;
        Force {
            contact: contact.name,
            direction,
            low: 0.0,
            high: f64::INFINITY,
            low_gives: Gives::Unloads(if foot { "boots" } else { SEAT.name }),
            high_gives: Gives::Grip,
            balance: balance(contact.point, direction, self.com),
            moments: moments(contact.point, direction, frames, |joint| {
                foot && joint.on_foot_side()
            }),
            sums: [0.0; SUMS],
        }
    }

    /// A frictionless stop.
    fn add_stop(&mut self, contact: &Contact, limit: &AssumedLimit, frames: &Frames) {
        if contact.high > 0.0 {
            self.forces.push(Force {
                high: contact.high,
                high_gives: Gives::Assumed(limit.name),
                ..self.push(contact, contact.normal, frames)
            });
        }
    }

    /// A surface with friction: the two edges of its cone.
    fn add_surface(
        &mut self,
        contact: &Contact,
        pair: &'static str,
        sums: [f64; SUMS],
        frames: &Frames,
    ) {
        let tangent = Point::new(contact.normal.z, 0.0, -contact.normal.x) * contact.friction;
        for direction in [contact.normal + tangent, contact.normal - tangent] {
            let edge = self.push(contact, direction, frames);
            let low_gives = if contact.friction > 0.0 {
                Gives::Friction(pair)
            } else {
                edge.low_gives
            };
            self.forces.push(Force {
                low_gives,
                sums,
                ..edge
            });
        }
    }

    /// The hands: three components of their force, and its two diagonals as sums.
    fn add_hands(&mut self, rows: &[GripRow; 5], grip: Point, frames: &Frames) {
        let [out, rising, across, falling, along] = rows;
        for row in [rising, falling] {
            self.sums.push(Sum {
                bounds: (row.low, row.high),
                gives: row.gives,
            });
        }
        for row in [out, across, along] {
            self.forces.push(Force {
                contact: "grip",
                direction: row.normal,
                low: row.low,
                high: row.high,
                low_gives: row.gives.0,
                high_gives: row.gives.1,
                balance: balance(grip, row.normal, self.com),
                moments: moments(grip, row.normal, frames, |joint| !joint.on_foot_side()),
                sums: [
                    rising.normal.dot(&row.normal),
                    falling.normal.dot(&row.normal),
                    0.0,
                    0.0,
                ],
            });
        }
    }
}

/// Where a segment's centre of mass lies, mm; of paired segments the left one.
///
/// `trunk` is the length from mid-hip to mid-shoulder; the neck's base lies on the same line beyond it.
pub fn segment_com(segment: &Segment, p: &Points, trunk: f64) -> Point {
    let hips = Point::new(p.hip.x, 0.0, p.hip.z);
    let (from, to) = match segment.part {
        Part::Head => (p.neck, p.head),
        Part::UpperTrunk | Part::Pelvis => (hips, hips + trunk_axis(p) * trunk),
        Part::UpperArm => (p.shoulder, p.elbow),
        Part::Forearm | Part::Hand => (p.elbow, p.grip),
        Part::Thigh => (p.hip, p.knee),
        Part::Shank => (p.knee, p.ankle),
        Part::Foot => return p.foot_com,
    };
    from + (to - from) * segment.fraction
}

/// Centre of mass of all segments on the mid-plane, mm.
fn centre_of_mass(segments: &[Segment], p: &Points, trunk: f64) -> Point {
    let mut sum = Point::zeros();
    let mut mass = 0.0;
    for segment in segments {
        let both = segment.mass * f64::from(segment.count);
        sum += segment_com(segment, p, trunk) * both;
        mass += both;
    }
    Point::new(sum.x / mass, 0.0, sum.z / mass)
}

/// Moment of each joint per unit of f_x and of f_z that the weights on its side make.
fn weights(rider: &Rider, p: &Points, frames: &Frames) -> [[f64; 2]; JOINTS] {
    let mut weights = [[0.0; 2]; JOINTS];
    for segment in &rider.segments {
        let pull = -segment.mass * f64::from(segment.count) * STANDARD_GRAVITY;
        let at = segment_com(segment, p, rider.links.trunk);
        for (joint, (weight, &(centre, axis))) in
            Joint::ALL.iter().zip(weights.iter_mut().zip(frames))
        {
            if joint.carries(segment.part) {
                let arm = axis.cross(&(at - centre)) / MM_PER_M;
                weight[0] += arm.x * pull;
                weight[1] += arm.z * pull;
            }
        }
    }
    weights
}

fn balance(at: Point, direction: Point, com: Point) -> [f64; BALANCE] {
    let moment = (at - com).cross(&direction).y / MM_PER_M;
    [direction.x, direction.z, moment]
}

fn moments(
    at: Point,
    direction: Point,
    frames: &Frames,
    side: impl Fn(Joint) -> bool,
) -> [f64; JOINTS] {
    Joint::ALL.map(|joint| {
        let (centre, axis) = frames[joint as usize];
        if side(joint) {
            axis.dot(&(at - centre).cross(&direction)) / MM_PER_M
        } else {
            0.0
        }
    })
}
