//! Invented bodies on an invented sled, placed by forward kinematics from joint angles: the foot on the board at the
//! toe stop, upward through knee, hip and trunk to the shoulder; the bar wherever the hands are put.
#![allow(dead_code, reason = "each test and bench uses a part of it")]
#![allow(
    clippy::unwrap_used,
    reason = "shipped files and invented riders are sound"
)]

use std::sync::LazyLock;

use sledstance::hold::{Limits, Options, Statics};
use sledstance::rider::{Rider, RiderProfile, Sex};
use sledstance::sled::profile::SHIPPED;
use sledstance::sled::{Cockpit, Settings, Sled, SledProfile};
use sledstance::stance::{Angles, Points, Pose, Stance};
use sledstance::units::{Angle, Point};

pub static SLED: LazyLock<Sled> = LazyLock::new(sled);

/// Joint angles in degrees and the hands' place from the shoulder in mm.
#[derive(Clone, Copy, Debug)]
pub struct Figure {
    pub ankle: f64,
    pub knee: f64,
    pub hip: f64,
    pub swing: f64,
    /// Grip ahead of the shoulder, above it, and from the mid-plane.
    pub grip: [f64; 3],
    pub heel_lift: f64,
    pub seated: bool,
}

/// Standing, hinged, the hands on the bar: shank 15° forward, trunk about 40° forward.
pub const READY: Figure = Figure {
    ankle: 15.0,
    knee: 45.0,
    hip: 70.0,
    swing: 30.0,
    grip: [330.0, -330.0, 370.0],
    heel_lift: 0.0,
    seated: false,
};

/// Lower, more hinged, elbows up.
pub const ATTACK: Figure = Figure {
    ankle: 20.0,
    knee: 65.0,
    hip: 95.0,
    swing: 60.0,
    grip: [330.0, -270.0, 370.0],
    heel_lift: 0.0,
    seated: false,
};

/// On the seat.
pub const SEATED: Figure = Figure {
    ankle: -10.0,
    knee: 95.0,
    hip: 95.0,
    swing: 20.0,
    grip: [420.0, -230.0, 370.0],
    heel_lift: 0.0,
    seated: true,
};

/// A pose with everything that the hold computation needs.
pub struct Placed {
    pub rider: Rider,
    pub cockpit: Cockpit<'static>,
    pub stance: Stance,
    pub pose: Pose,
}

impl Placed {
    pub fn limits(&self) -> Limits {
        Limits::of(&self.rider, &self.cockpit, &self.stance, &self.pose.angles)
    }

    pub fn statics(&self, options: &Options) -> Statics {
        Statics::new(
            &self.rider,
            &self.cockpit,
            &self.pose,
            self.limits(),
            options,
        )
    }
}

/// Places a rider; `None` where the hands do not reach.
pub fn place(figure: Figure, rider: &Rider) -> Option<Placed> {
    let links = rider.links;
    let mut cockpit = Cockpit::new(&SLED, settings());
    let toe = cockpit.toe_stop;
    let lift = Angle::from_deg(figure.heel_lift);
    // In the boot's frame u points to the toe, n up from the sole; lifting the heel turns both about the ball.
    let u = Point::new(lift.cos(), 0.0, -lift.sin());
    let n = Point::new(lift.sin(), 0.0, lift.cos());
    let ball = toe - Point::new(links.toe_to_ball, 0.0, 0.0);
    let on_boot = |back: f64, height: f64| ball - u * (back - links.toe_to_ball) + n * height;
    let ankle = on_boot(links.toe_to_ankle, links.ankle_height);

    let spread = ball.y - links.hip_half;
    let limb = links.shank + links.thigh;
    let shank_y = spread * links.shank / limb;
    let thigh_y = spread * links.thigh / limb;
    let shank_flat = (links.shank * links.shank - shank_y * shank_y).sqrt();
    let thigh_flat = (links.thigh * links.thigh - thigh_y * thigh_y).sqrt();
    let shank_lean = Angle::from_deg(figure.ankle) + lift;
    let knee = ankle
        + Point::new(
            shank_flat * shank_lean.sin(),
            -shank_y,
            shank_flat * shank_lean.cos(),
        );
    let thigh_lean = shank_lean - Angle::from_deg(figure.knee);
    let hip = knee
        + Point::new(
            thigh_flat * thigh_lean.sin(),
            -thigh_y,
            thigh_flat * thigh_lean.cos(),
        );
    let trunk_lean = thigh_lean + Angle::from_deg(figure.hip);
    let along = Point::new(trunk_lean.sin(), 0.0, trunk_lean.cos());
    let front = Point::new(trunk_lean.cos(), 0.0, -trunk_lean.sin());
    let middle = Point::new(hip.x, 0.0, hip.z);
    let shoulder = middle
        + along * links.trunk
        + front * links.protraction
        + Point::new(0.0, links.shoulder_half, 0.0);
    let [dx, dz, y] = figure.grip;
    let grip = Point::new(shoulder.x + dx, y, shoulder.z + dz);
    let elbow = elbow(
        shoulder,
        grip,
        links.upper_arm,
        links.forearm,
        Angle::from_deg(figure.swing),
    )?;
    let neck = middle + along * (links.trunk + links.neck_base);
    let gaze = Angle::from_deg(trunk_lean.deg() * 0.4);
    let head = neck + Point::new(gaze.sin(), 0.0, gaze.cos()) * links.neck;
    let points = Points {
        ball,
        heel: on_boot(links.toe_to_heel, 0.0),
        // The sole bends at the ball: the toe stays on the board.
        toe,
        toe_stop: toe,
        ankle,
        knee,
        hip,
        lower_trunk: middle + along * links.lower_trunk,
        shoulder,
        elbow,
        wrist: grip + (elbow - grip) * (links.wrist_to_grip / links.forearm),
        grip,
        seat: middle - Point::new(0.0, 0.0, links.hip_over_seat),
        neck,
        head,
        foot_com: on_boot(links.toe_to_foot_com, links.foot_com_height),
    };
    let down = -along;
    let angles = Angles {
        ankle: Angle::from_deg(figure.ankle),
        knee: between(knee - hip, ankle - knee),
        knee_splay: Angle::ZERO,
        hip: Angle::from_deg(figure.hip),
        trunk: trunk_lean,
        shoulder: between(down, elbow - shoulder),
        elbow: between(elbow - shoulder, grip - elbow),
        elbow_swing: Angle::from_deg(figure.swing),
        wrist_extension: Angle::ZERO,
        wrist_ulnar: Angle::ZERO,
        neck: Angle::ZERO,
        heel_lift: lift,
    };
    cockpit.grip = grip;
    let mut pose = Pose {
        points,
        angles,
        com: Point::zeros(),
        seated: figure.seated,
    };
    let (sum, mass) = rider
        .segments
        .iter()
        .fold((Point::zeros(), 0.0), |(sum, mass), segment| {
            let both = segment.mass * f64::from(segment.count);
            (
                sum + sledstance::hold::segment_com(segment, &points, links.trunk) * both,
                mass + both,
            )
        });
    pose.com = Point::new(sum.x / mass, 0.0, sum.z / mass);
    Some(Placed {
        rider: rider.clone(),
        cockpit,
        stance: stance(if figure.seated { "seated" } else { "ready" }),
        pose,
    })
}

/// Elbow of a left arm: swing 0 hangs, 90° points out.
fn elbow(shoulder: Point, grip: Point, upper: f64, fore: f64, swing: Angle) -> Option<Point> {
    let line = grip - shoulder;
    let span = line.norm();
    if span >= upper + fore || span <= (upper - fore).abs() {
        return None;
    }
    let l = line / span;
    let down = Point::new(0.0, 0.0, -1.0);
    let hang = (down - l * l.dot(&down)).normalize();
    let out = hang.cross(&l);
    let share = (upper * upper - fore * fore + span * span) / (2.0 * span);
    let off = (upper * upper - share * share).sqrt();
    Some(shoulder + l * share + (hang * swing.cos() + out * swing.sin()) * off)
}

fn between(a: Point, b: Point) -> Angle {
    Angle::from_rad(libm::atan2(a.cross(&b).norm(), a.dot(&b)))
}

/// An invented rider known by two numbers: mm and kg.
pub fn rider(sex: Sex, stature: f64, mass: f64) -> Rider {
    RiderProfile::of(sex, stature, mass).build().unwrap().rider
}

/// The same with every joint and hand stronger or weaker.
pub fn stronger(rider: &Rider, factor: f64) -> Rider {
    Rider {
        strength: rider.strength.scaled(factor),
        ..rider.clone()
    }
}

fn stance(name: &str) -> Stance {
    Stance::shipped()
        .unwrap()
        .into_iter()
        .find(|stance| stance.name == name)
        .unwrap()
}

fn sled() -> Sled {
    SledProfile::read(SHIPPED[0].text)
        .unwrap()
        .resolve()
        .unwrap()
}

fn settings() -> Settings {
    Settings {
        riser: 2,
        clamp: 0,
        bar: 0,
        seat: 0,
        stirrup: -60.0,
        riser_angle: Angle::from_deg(10.0),
        bar_roll: Angle::ZERO,
    }
}
