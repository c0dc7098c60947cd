//! A person drawn from computed joints: boots, trousers, jacket, gloves on the grips, full-face helmet.
//!
//! Every contour hangs on the pose's joint centres and on the rider's body radii, so that the figure is as true to scale
//! as the pose; only the bulges between joints are drawn by eye (our choice). A garment is one shape whose parts all turn
//! the same way round, with its line under its fill, so that they melt into one silhouette at any joint angle. Shapes come
//! in drawing order; far limbs go behind the sled, near ones before it.

mod arm;
mod body;
mod boot;
mod head;
mod leg;

use super::path::{Xy, far, flat, polygon};
use super::{Disc, Shape};
use crate::rider::{Hand, Links, Rider};
use crate::stance::{Points, Pose};
use crate::units::Angle;

/// A drawn person.
#[derive(Clone, Debug, PartialEq)]
pub struct Figure {
    /// Far arm and leg, behind the sled.
    pub far: Vec<Shape>,
    /// Boot and trouser leg, trunk, head: before the sled, behind the stirrup's hoop.
    pub near: Vec<Shape>,
    /// Near arm and hand, before everything.
    pub hand: Vec<Shape>,
    /// The head with its helmet and peak: no label may cover it.
    pub head_zone: Disc,
    /// The hand on its grip with the finger on the lever: no label may cover it.
    pub hand_zone: Disc,
    /// Trunk and limbs as bars with a radius: labels avoid them where they can.
    pub body_zones: Vec<(Xy, Xy, f64)>,
}

/// What of a rider is drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wearer<'a> {
    /// Lengths and body radii.
    pub links: &'a Links,
    /// The gloved hand.
    pub hand: &'a Hand,
}

impl<'a> From<&'a Rider> for Wearer<'a> {
    fn from(rider: &'a Rider) -> Self {
        Self {
            links: &rider.links,
            hand: &rider.hand,
        }
    }
}

/// What the figure needs beside pose and body.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bearing {
    /// Pitch of the head below the horizon.
    pub head_pitch: Angle,
    /// Where the brake lever's blade is, near side; `None`: no finger on it.
    pub blade: Option<Xy>,
    /// Radius of the grip, mm.
    pub grip_radius: f64,
}

/// The joints of one side on the drawing.
#[derive(Clone, Copy, Debug)]
struct Side {
    ball: Xy,
    heel: Xy,
    toe: Xy,
    ankle: Xy,
    knee: Xy,
    hip: Xy,
    shoulder: Xy,
    elbow: Xy,
    wrist: Xy,
    grip: Xy,
}

impl Side {
    fn new(points: &Points, view: impl Fn(&crate::units::Point) -> Xy) -> Self {
        Self {
            ball: view(&points.ball),
            heel: view(&points.heel),
            toe: view(&points.toe),
            ankle: view(&points.ankle),
            knee: view(&points.knee),
            hip: view(&points.hip),
            shoulder: view(&points.shoulder),
            elbow: view(&points.elbow),
            wrist: view(&points.wrist),
            grip: view(&points.grip),
        }
    }
}

/// Wearer sizes that the contours are drawn with, mm.
#[derive(Clone, Copy, Debug)]
struct Build {
    thigh: f64,
    knee: f64,
    calf: f64,
    upper_arm: f64,
    forearm: f64,
    wrist: f64,
    chest: f64,
    back: f64,
    helmet: f64,
    instep: f64,
    boot_length: f64,
    toe_to_ball: f64,
    fist: f64,
}

impl Build {
    /// Radii that the linkage knows as they are; arms and back in proportion to the thigh, by eye.
    fn new(body: Wearer) -> Self {
        let links = body.links;
        let thigh = links.thigh_radius.clamp(55.0, 130.0);
        Self {
            thigh,
            knee: links.knee_radius.clamp(45.0, 95.0),
            calf: links.shank_radius.clamp(40.0, 95.0),
            upper_arm: thigh * 0.62,
            forearm: thigh * 0.54,
            wrist: thigh * 0.40,
            chest: links.chest_front.clamp(90.0, 200.0),
            back: 0.62 * thigh + 58.0,
            helmet: links.helmet_radius.clamp(110.0, 190.0),
            instep: links.boot_instep_height.clamp(70.0, 150.0),
            boot_length: links.boot_length,
            toe_to_ball: links.toe_to_ball,
            fist: 0.34 * body.hand.gloved_breadth.clamp(70.0, 140.0),
        }
    }
}

/// Draws a person.
pub fn figure(pose: &Pose, body: Wearer, bearing: &Bearing) -> Figure {
    let build = Build::new(body);
    let near = Side::new(&pose.points, flat);
    let away = Side::new(&pose.points, far);
    let reach = away.grip - near.grip;

    let mut back = arm::arm(&away, &build, true);
    back.extend(arm::hand(
        &away,
        &build,
        bearing.grip_radius,
        bearing.blade.map(|b| b + reach),
        true,
    ));
    back.extend(boot::boot(&away, &build, true));
    back.extend(leg::leg(pose, &away, &build, true));

    let mut front = boot::boot(&near, &build, false);
    front.extend(leg::leg(pose, &near, &build, false));
    front.extend(body::trunk(pose, body, &build));
    front.extend(head::head(pose, &build, bearing.head_pitch));

    let mut hand = arm::arm(&near, &build, false);
    hand.extend(arm::hand(
        &near,
        &build,
        bearing.grip_radius,
        bearing.blade,
        false,
    ));
    let head_zone = head::zone(pose, &build, bearing.head_pitch);
    Figure {
        far: back,
        near: front,
        hand,
        head_zone,
        hand_zone: Disc {
            centre: near.grip,
            radius: build.fist + bearing.grip_radius + 42.0,
        },
        body_zones: vec![
            (near.hip, flat(&pose.points.neck), build.back),
            (near.hip, near.knee, build.thigh),
            (near.knee, near.ankle, build.calf),
            (near.shoulder, near.elbow, build.upper_arm),
            (near.elbow, near.wrist, build.forearm),
            (near.ankle, near.toe, build.instep * 0.7),
        ],
    }
}

/// Outlines of a whole person as one path, for stances that stand behind the one in front.
pub fn silhouette(pose: &Pose, body: Wearer, head_pitch: Angle) -> String {
    let build = Build::new(body);
    let near = Side::new(&pose.points, flat);
    let limbs = [
        boot::boot(&near, &build, true),
        leg::leg(pose, &near, &build, true),
        arm::arm(&near, &build, true),
        arm::hand(&near, &build, 17.0, None, true),
    ];
    let mut d: String = limbs.into_iter().flatten().map(|shape| shape.d).collect();
    d += &body::Trunk::new(pose, body, &build).jacket();
    d.extend(head::outlines(pose, &build, head_pitch));
    d
}

/// A point of a limb's own frame: share along it, then sideways (positive to the limb's front).
fn on_limb(from: Xy, to: Xy, share: f64, front: f64) -> Xy {
    from.towards(to, share) + (to - from).unit().left() * front
}

/// A strip across a limb between two shares along it, from back to front.
fn cuff(from: Xy, to: Xy, shares: (f64, f64), front: f64, back: f64) -> String {
    polygon(&[
        on_limb(from, to, shares.0, front),
        on_limb(from, to, shares.1, front),
        on_limb(from, to, shares.1, -back),
        on_limb(from, to, shares.0, -back),
    ])
}
