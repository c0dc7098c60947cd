//! From the free variables of a posture to its joints and angles, in closed form.
//!
//! Contacts fix boots and grips. Free are the hip's x, the hip's z (seated: how far the boot slid back instead), the
//! trunk lean, the elbow swing, the knee splay and the heel lift. Each limb is two links between fixed ends: with the ends d apart and
//! links a, b the joint lies (d² + a² − b²)/(2d) along the line between them and off it by the remaining leg of the
//! triangle. The knee turns about the ankle-hip line by the splay: 0 points forward, positive
//! outward, since legs straddle seat and console; the elbow turns about the shoulder-grip line
//! by the swing: 0 hangs, 90° points out.
//!
//! Angles follow the crate's clinical convention. Knee and elbow flexion are true angles between links; ankle, hip and
//! trunk are angles in the side view. Flexion is acos((d² − a² − b²)/(2ab)), continued in a straight line past nearly
//! straight, so that a pose out of reach still has a slope that leads back.

use super::definition::Stance;
use super::pose::{Angles, Points, Pose};
use super::scalar::{Scalar, Triple};
use crate::rider::{Part, Rider};
use crate::sled::Cockpit;
use crate::units::{Angle, Point};

/// Angle of the grip off square to the forearm in the natural oblique grip; from memory.
const OBLIQUE_GRIP: Angle = Angle::from_deg(10.0);

/// Share of the lean that the neck takes up to keep the gaze level; the upper back takes the rest. Our choice, from
/// the common practice of counting a third for the upper back.
const NECK_SHARE: f64 = 2.0 / 3.0;

/// Flexion below which it is continued in a straight line.
const NEARLY_STRAIGHT: Angle = Angle::from_deg(4.0);

/// The free variables of a posture, in the order of the derivatives.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Free<T> {
    /// Hip joint's x, mm.
    pub hip_x: T,
    /// Standing: hip joint's z, mm. Seated: how far the boot slid back from the toe stop, mm.
    pub hip_z_or_slide: T,
    /// Trunk lean, rad.
    pub lean: T,
    /// Elbow swing, rad.
    pub swing: T,
    /// Heel lift, rad.
    pub heel: T,
    /// Knee splay, rad.
    pub splay: T,
}

/// Joints and angles for one set of free variables.
#[derive(Clone, Copy, Debug)]
pub(super) struct Chain<T> {
    pub toe: Triple<T>,
    pub ball: Triple<T>,
    pub heel: Triple<T>,
    pub ankle: Triple<T>,
    pub foot_com: Triple<T>,
    pub knee: Triple<T>,
    pub hip: Triple<T>,
    /// Mid-shoulder on the trunk line.
    pub mid_shoulder: Triple<T>,
    pub shoulder: Triple<T>,
    pub elbow: Triple<T>,
    pub neck_base: Triple<T>,
    pub head: Triple<T>,
    pub ankle_angle: T,
    pub knee_angle: T,
    pub hip_angle: T,
    pub shoulder_angle: T,
    pub elbow_angle: T,
    pub ulnar: T,
    pub neck_angle: T,
    pub com_x: T,
    pub com_z: T,
}

/// Square of the distance, mm², between the ends of two links, mm, at a flexion.
pub fn span2(a: f64, b: f64, flexion: Angle) -> f64 {
    a * a + b * b + 2.0 * a * b * flexion.cos()
}

/// Flexion of two links whose ends are √`d2` apart, and the leg of the triangle off the line.
fn flexion<T: Scalar>(d2: T, a: f64, b: f64) -> T {
    let c = (d2 - (a * a + b * b)) * (1.0 / (2.0 * a * b));
    let edge = NEARLY_STRAIGHT.cos();
    let v = c.value();
    if v > edge {
        let slope = -1.0 / NEARLY_STRAIGHT.sin();
        c.chain(NEARLY_STRAIGHT.rad() + (v - edge) * slope, slope)
    } else if v < -edge {
        let slope = -1.0 / NEARLY_STRAIGHT.sin();
        c.chain(
            core::f64::consts::PI - NEARLY_STRAIGHT.rad() + (v + edge) * slope,
            slope,
        )
    } else {
        c.chain(libm::acos(v), -1.0 / (1.0 - v * v).sqrt())
    }
}

/// Middle joint of a two-link limb from `from` (link `a`) to `to` (link `b`), bent towards the unit direction `off`.
fn middle_joint<T: Scalar>(
    from: Triple<T>,
    line: Triple<T>,
    d: T,
    a: f64,
    b: f64,
    off: Triple<T>,
) -> Triple<T> {
    let along = (d * d + (a * a - b * b)) / (d * 2.0);
    let height = (-(along * along) + a * a).at_least(1.0).sqrt();
    from.plus(line.times(along)).plus(off.times(height))
}

/// Lean and clearances aside, everything that the settings fix for one stance.
#[derive(Clone, Copy, Debug)]
pub(super) struct Place<'a> {
    pub rider: &'a Rider,
    pub cockpit: &'a Cockpit<'a>,
    pub stance: &'a Stance,
    /// How far the seat sinks under the pelvis, mm (seated).
    pub sink: f64,
    /// How far the boot slid back from the toe stop where that is not a free variable (standing), mm.
    pub slide: f64,
}

impl Place<'_> {
    /// Height of the hip joint on the loaded seat at `hip_x`, with its slope.
    pub fn seated_hip_z(&self, hip_x: f64) -> (f64, f64) {
        let (z, slope) = self.cockpit.sled.seat_line.height(hip_x);
        (
            z + self.cockpit.seat_raise - self.sink + self.rider.links.hip_over_seat,
            slope,
        )
    }

    pub fn chain<T: Scalar>(&self, free: &Free<T>) -> Chain<T> {
        let links = &self.rider.links;
        let k = T::constant;
        let seated = self.stance.contacts.seated;

        // Foot: the sole's frame turns about the ball by the heel lift; the board's pitch turns all of it.
        let toe_fixed = self.cockpit.toe_stop;
        let slide = if seated {
            free.hip_z_or_slide
        } else {
            k(self.slide)
        };
        let pitch = self.cockpit.sled.board.pitch;
        let (ps, pc) = (pitch.sin(), pitch.cos());
        let toe_x = -(slide * pc) + toe_fixed.x;
        let toe_z = -(slide * ps) + toe_fixed.z;
        let y = k(toe_fixed.y);
        let ball_x = toe_x - links.toe_to_ball * pc;
        let ball_z = toe_z - links.toe_to_ball * ps;
        // Direction rearward along the sole and up from it, heel lifted.
        let (hs, hc) = (free.heel - pitch.rad()).sin_cos();
        let behind = |back: f64, up: f64| {
            let back = back - links.toe_to_ball;
            Triple::new(
                ball_x - hc * back + hs * up,
                y,
                ball_z + hs * back + hc * up,
            )
        };
        let ball = Triple::new(ball_x, y, ball_z);
        let heel = behind(links.toe_to_heel, 0.0);
        let ankle = behind(links.toe_to_ankle, links.ankle_height);
        let foot_com = behind(links.toe_to_foot_com, links.foot_com_height);
        // The sole bends at the ball: the toe stays on the board.
        let toe = Triple::new(toe_x, y, toe_z);

        // Leg.
        let hip_z = if seated {
            let (z, slope) = self.seated_hip_z(free.hip_x.value());
            free.hip_x.chain(z, slope)
        } else {
            free.hip_z_or_slide
        };
        let hip = Triple::new(free.hip_x, k(links.hip_half), hip_z);
        let leg = hip.minus(ankle);
        let leg2 = leg.dot(leg).at_least(1.0);
        let leg_d = leg2.sqrt();
        let leg_line = leg.times(k(1.0) / leg_d);
        let knee_angle = flexion(leg2, links.shank, links.thigh);
        // Forward, square to the leg's line.
        let f = Triple::new(
            -(leg_line.x * leg_line.x) + 1.0,
            -(leg_line.x * leg_line.y),
            -(leg_line.x * leg_line.z),
        );
        let forward = f.times(k(1.0) / f.dot(f).at_least(1e-6).sqrt());
        let (ks, kc) = free.splay.sin_cos();
        let bent = forward.times(kc).plus(leg_line.cross(forward).times(ks));
        let knee = middle_joint(ankle, leg_line, leg_d, links.shank, links.thigh, bent);
        let shank_lean = (knee.x - ankle.x).atan2(knee.z - ankle.z);
        let ankle_angle = shank_lean - free.heel + pitch.rad();
        let thigh_swing = (knee.x - hip.x).atan2(hip.z - knee.z);
        let hip_angle = free.lean + thigh_swing;

        // Trunk, neck, head.
        let (ls, lc) = free.lean.sin_cos();
        let trunk_up = Triple::new(ls, k(0.0), lc);
        let trunk_front = Triple::new(lc, k(0.0), -ls);
        let mid_hip = Triple::new(hip.x, k(0.0), hip.z);
        let mid_shoulder = mid_hip.plus(trunk_up.scaled(links.trunk));
        let neck_base = mid_shoulder.plus(trunk_up.scaled(links.neck_base));
        let gaze = self.stance.gaze_below_horizon.rad();
        let neck_angle = (free.lean - gaze) * NECK_SHARE;
        let (ns, nc) = (free.lean - neck_angle).sin_cos();
        let head = neck_base.plus(Triple::new(ns, k(0.0), nc).scaled(links.neck));

        // Arm.
        let at_shoulder = mid_shoulder.plus(trunk_front.scaled(links.protraction));
        let shoulder = Triple::new(at_shoulder.x, k(links.shoulder_half), at_shoulder.z);
        let grip = Triple::fixed(self.cockpit.grip);
        let arm = grip.minus(shoulder);
        let arm2 = arm.dot(arm).at_least(1.0);
        let arm_d = arm2.sqrt();
        let arm_line = arm.times(k(1.0) / arm_d);
        let elbow_angle = flexion(arm2, links.upper_arm, links.forearm);
        let h = Triple::new(
            arm_line.z * arm_line.x,
            arm_line.z * arm_line.y,
            arm_line.z * arm_line.z - 1.0,
        );
        let hanging = h.times(k(1.0) / h.dot(h).at_least(1e-6).sqrt());
        let outward = arm_line.cross(hanging);
        let (ss, sc) = free.swing.sin_cos();
        let off = hanging.times(sc).plus(outward.times(ss));
        let elbow = middle_joint(
            shoulder,
            arm_line,
            arm_d,
            links.upper_arm,
            links.forearm,
            off,
        );
        let upper = elbow.minus(shoulder);
        let shoulder_angle = angle_between(upper, trunk_up.scaled(-1.0));
        let fore = grip.minus(elbow);
        let square = core::f64::consts::FRAC_PI_2 + OBLIQUE_GRIP.rad();
        let ulnar = angle_between(fore, Triple::fixed(self.cockpit.grip_axis)) - square;

        let mut chain = Chain {
            toe,
            ball,
            heel,
            ankle,
            foot_com,
            knee,
            hip,
            mid_shoulder,
            shoulder,
            elbow,
            neck_base,
            head,
            ankle_angle,
            knee_angle,
            hip_angle,
            shoulder_angle,
            elbow_angle,
            ulnar,
            neck_angle,
            com_x: k(0.0),
            com_z: k(0.0),
        };
        let mut mass = 0.0;
        for s in &self.rider.segments {
            let m = s.mass * f64::from(s.count);
            let (a, b) = match s.part {
                Part::Head => (neck_base, head),
                Part::UpperTrunk | Part::Pelvis => (mid_hip, mid_shoulder),
                Part::UpperArm => (shoulder, elbow),
                Part::Forearm | Part::Hand => (elbow, grip),
                Part::Thigh => (hip, knee),
                Part::Shank => (knee, ankle),
                Part::Foot => (foot_com, foot_com),
            };
            chain.com_x = chain.com_x + (a.x + (b.x - a.x) * s.fraction) * m;
            chain.com_z = chain.com_z + (a.z + (b.z - a.z) * s.fraction) * m;
            mass += m;
        }
        let inverse = 1.0 / mass.max(1e-9);
        chain.com_x = chain.com_x * inverse;
        chain.com_z = chain.com_z * inverse;
        chain
    }

    /// The pose for given free variables.
    pub fn pose(&self, free: &Free<f64>) -> Pose {
        let c = self.chain(free);
        let links = &self.rider.links;
        let hip = c.hip.value();
        let mid_hip = Point::new(hip.x, 0.0, hip.z);
        let up = (c.mid_shoulder.value() - mid_hip) / links.trunk;
        let grip = self.cockpit.grip;
        let elbow = c.elbow.value();
        let (seat_z, _) = self.cockpit.sled.seat_line.height(hip.x);
        let seated = self.stance.contacts.seated;
        let seat_z = seat_z + self.cockpit.seat_raise - if seated { self.sink } else { 0.0 };
        Pose {
            points: Points {
                ball: c.ball.value(),
                heel: c.heel.value(),
                toe: c.toe.value(),
                toe_stop: self.cockpit.toe_stop,
                ankle: c.ankle.value(),
                knee: c.knee.value(),
                hip,
                lower_trunk: mid_hip + up * links.lower_trunk,
                shoulder: c.shoulder.value(),
                elbow,
                wrist: grip + (elbow - grip) * (links.wrist_to_grip / links.forearm),
                grip,
                seat: Point::new(hip.x, 0.0, seat_z),
                neck: c.neck_base.value(),
                head: c.head.value(),
                foot_com: c.foot_com.value(),
            },
            angles: Angles {
                ankle: Angle::from_rad(c.ankle_angle),
                knee: Angle::from_rad(c.knee_angle),
                knee_splay: Angle::from_rad(free.splay),
                hip: Angle::from_rad(c.hip_angle),
                trunk: Angle::from_rad(free.lean),
                shoulder: Angle::from_rad(c.shoulder_angle),
                elbow: Angle::from_rad(c.elbow_angle),
                elbow_swing: Angle::from_rad(free.swing),
                wrist_extension: self.stance.ranges.wrist_extension.preferred,
                wrist_ulnar: Angle::from_rad(c.ulnar),
                neck: Angle::from_rad(c.neck_angle),
                heel_lift: Angle::from_rad(free.heel),
            },
            com: Point::new(c.com_x, 0.0, c.com_z),
            seated,
        }
    }
}

/// Angle between two directions; its slope stays finite where they are in line.
fn angle_between<T: Scalar>(a: Triple<T>, b: Triple<T>) -> T {
    let c = a.cross(b);
    c.dot(c).sqrt().atan2(a.dot(b))
}
