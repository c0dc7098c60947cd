//! Riders, sleds and poses for the tests of the drawing; poses by forward kinematics from joint angles. All invented.
#![allow(clippy::unwrap_used, reason = "a test may panic")]
#![allow(dead_code, reason = "each test file uses a part of it")]

use sledstance::rider::{Links, Rider, RiderProfile, Sex};
use sledstance::sled::*;
use sledstance::stance::*;
use sledstance::units::{Angle, Point};

pub fn deg(value: f64) -> Angle {
    Angle::from_deg(value)
}

/// A rider known by stature and mass, dressed.
pub fn rider(sex: Sex, stature: f64, mass: f64) -> Rider {
    RiderProfile::of(sex, stature, mass).build().unwrap().rider
}

/// A demo sled by its file's name.
pub fn demo_sled(name: &str) -> Sled {
    let path = format!(
        "{}/rider-profiles/sleds/{name}.json",
        env!("CARGO_MANIFEST_DIR")
    );
    let text = std::fs::read_to_string(path).unwrap();
    SledProfile::read(&text).unwrap().resolve().unwrap()
}

/// A shipped stance.
pub fn stance(name: &str) -> Stance {
    let path = format!(
        "{}/rider-profiles/stances/{name}.json",
        env!("CARGO_MANIFEST_DIR")
    );
    let text = std::fs::read_to_string(path).unwrap();
    StanceProfile::read(&text).unwrap().resolve().unwrap()
}

/// A sled with everything, invented.
pub fn sled() -> Sled {
    let shape = |points: &[(f64, f64, f64)]| {
        Shape::new(
            points
                .iter()
                .map(|&(x, z, half_width)| ShapePoint { x, z, half_width })
                .collect(),
        )
        .unwrap()
    };
    Sled {
        name: "Test bench".to_owned(),
        board: Board {
            pitch: deg(3.0),
            foot_lateral: 235.0,
            edge_height: 12.0,
            footwell_front: 150.0,
            rear: -860.0,
        },
        stirrup: Stirrup {
            positions: (0..9).map(|i| -25.0 * f64::from(i)).collect(),
            toe_stop_offset: 55.0,
            right_offset: 0.0,
            hoop_height: 118.0,
            hoop_width: 140.0,
            edge_protector: None,
        },
        steering: Steering {
            base_x: 255.0,
            base_z: 640.0,
            post_rake: deg(32.0),
            lock: deg(32.0),
            hose_limit: None,
            grip_travel_limit: None,
        },
        risers: [75.0, 100.0, 125.0, 150.0, 200.0]
            .map(|height| Riser {
                height,
                angles: RiserAngles::Range(deg(-5.0), deg(30.0)),
            })
            .to_vec(),
        clamps: vec![Clamp {
            name: "solid".to_owned(),
            stack: 35.0,
            damping: false,
        }],
        bars: vec![Bar {
            name: "mid".to_owned(),
            grip_to_grip: 660.0,
            rise: 60.0,
            pullback: 45.0,
            sweep: deg(8.0),
            upsweep: deg(4.0),
            grip_diameter: 34.0,
            grip_length: 125.0,
        }],
        bar_roll: (deg(-10.0), deg(10.0)),
        seat_line: shape(&[
            (-760.0, 420.0, 120.0),
            (-600.0, 440.0, 130.0),
            (-250.0, 420.0, 120.0),
            (0.0, 395.0, 100.0),
            (60.0, 385.0, 90.0),
        ]),
        seats: vec![Seat {
            name: "standard".to_owned(),
            height_over_line: 0.0,
            foam: Foam {
                f25: 300.0,
                support: 2.6,
                thickness: 130.0,
            },
        }],
        outline: shape(&[
            (75.0, 390.0, 90.0),
            (130.0, 470.0, 110.0),
            (210.0, 560.0, 140.0),
            (290.0, 620.0, 170.0),
            (360.0, 640.0, 190.0),
            (400.0, 800.0, 150.0),
        ]),
        brake: FingerLever {
            left: true,
            along: (0.0, 60.0),
            roll: (deg(0.0), deg(50.0)),
            reach: (40.0, 70.0),
            reach_steps: 10,
            free_travel: 12.0,
            longest_travel: 32.0,
            blade: 110.0,
        },
        throttle: ThumbLever {
            left: false,
            along: (0.0, 40.0),
            roll: (deg(0.0), deg(60.0)),
            reach: (20.0, 40.0),
            reach_steps: 4,
            travel: 22.0,
        },
        buttons: Vec::new(),
        guard: Some(Guard { clear_depth: 105.0 }),
        balance_mark: BalanceMark {
            x: -160.0,
            sd: 50.0,
        },
        assumed: Vec::new(),
        unusual: Vec::new(),
    }
}

/// Angles that a pose is built from, degrees.
#[derive(Clone, Copy, Debug)]
pub struct Bend {
    pub ankle: f64,
    pub knee: f64,
    pub trunk: f64,
    pub swing: f64,
    pub heel_lift: f64,
    pub seated: bool,
}

pub const READY: Bend = Bend {
    ankle: 12.0,
    knee: 35.0,
    trunk: 24.0,
    swing: 35.0,
    heel_lift: 0.0,
    seated: false,
};
pub const ATTACK: Bend = Bend {
    ankle: 14.0,
    knee: 52.0,
    trunk: 46.0,
    swing: 60.0,
    heel_lift: 0.0,
    seated: false,
};
pub const BRACED: Bend = Bend {
    ankle: 6.0,
    knee: 72.0,
    trunk: 52.0,
    swing: 20.0,
    heel_lift: 0.0,
    seated: false,
};
pub const SEATED: Bend = Bend {
    ankle: 0.0,
    knee: 95.0,
    trunk: 12.0,
    swing: 20.0,
    heel_lift: 0.0,
    seated: true,
};

/// A two-link limb from `from` to `to`: the middle joint lies in the plane through `towards`.
fn middle(from: Point, to: Point, first: f64, second: f64, towards: Point) -> Point {
    let line = to - from;
    let reach = line
        .norm()
        .clamp((first - second).abs() + 1.0, first + second - 1.0);
    let axis = line / line.norm();
    let along = (first * first - second * second + reach * reach) / (2.0 * reach);
    let out = towards - axis * axis.dot(&towards);
    from + axis * along + out / out.norm() * (first * first - along * along).max(0.0).sqrt()
}

fn between(a: Point, b: Point) -> Angle {
    let cos = (a.dot(&b) / (a.norm() * b.norm())).clamp(-1.0, 1.0);
    Angle::from_rad(libm::acos(cos))
}

/// Places a body on a cockpit by angles; hands are on the grips where the arms reach.
pub fn pose(links: &Links, cockpit: &Cockpit, bend: &Bend) -> Pose {
    let l = links;
    let pitch = cockpit.sled.board.pitch;
    let along = Point::new(pitch.cos(), 0.0, pitch.sin());
    let up = Point::new(-pitch.sin(), 0.0, pitch.cos());
    let toe = cockpit.toe_stop;
    let ball = toe - along * l.toe_to_ball;
    let lift = pitch - deg(bend.heel_lift);
    let sole = Point::new(lift.cos(), 0.0, lift.sin());
    let sole_up = Point::new(-lift.sin(), 0.0, lift.cos());
    let heel = ball - sole * (l.toe_to_heel - l.toe_to_ball);
    let ankle = ball - sole * (l.toe_to_ankle - l.toe_to_ball) + sole_up * l.ankle_height;
    let side = |p: Point, y: f64| Point::new(p.x, y, p.z);
    let (hip, knee) = if bend.seated {
        let x = ankle.x - 0.86 * l.thigh;
        let z = cockpit.sled.seat_line.height(x).0 + cockpit.seat_raise - 40.0 + l.hip_over_seat;
        let hip = Point::new(x, l.hip_half, z);
        let knee = middle(hip, ankle, l.thigh, l.shank, Point::new(0.6, 0.35, 0.8));
        (hip, knee)
    } else {
        let shank = deg(bend.ankle) + lift;
        let knee_flat = ankle + Point::new(shank.sin(), 0.0, shank.cos()) * (0.985 * l.shank);
        let thigh = shank - deg(bend.knee);
        let hip = knee_flat + Point::new(thigh.sin(), 0.0, thigh.cos()) * (0.985 * l.thigh);
        (
            side(hip, l.hip_half),
            side(knee_flat, 0.5 * (l.hip_half + ankle.y)),
        )
    };
    let lean = deg(bend.trunk);
    let trunk = Point::new(lean.sin(), 0.0, lean.cos());
    let front = Point::new(lean.cos(), 0.0, -lean.sin());
    let mid_hip = side(hip, 0.0);
    let mid_shoulder = mid_hip + trunk * l.trunk;
    let shoulder = mid_shoulder + front * l.protraction + Point::new(0.0, l.shoulder_half, 0.0);
    let grip = cockpit.grip;
    let swing = deg(bend.swing);
    let hang = Point::new(-0.35 * swing.cos(), swing.sin(), -swing.cos());
    let elbow = middle(shoulder, grip, l.upper_arm, l.forearm, hang);
    let wrist = grip + (elbow - grip) / (elbow - grip).norm() * l.wrist_to_grip;
    let neck = mid_shoulder + trunk * l.neck_base;
    let head_lean = lean * 0.55;
    let head = neck + Point::new(head_lean.sin(), 0.0, head_lean.cos()) * l.neck;
    let seat_z = if bend.seated {
        hip.z - l.hip_over_seat
    } else {
        cockpit.sled.seat_line.height(hip.x).0
    };
    let shank_line = knee - ankle;
    let thigh_line = hip - knee;
    let angles = Angles {
        ankle: deg(bend.ankle),
        knee: between(shank_line, thigh_line),
        knee_splay: deg(0.0),
        hip: between(-thigh_line, -trunk),
        trunk: lean,
        shoulder: between(elbow - shoulder, -trunk),
        elbow: between(elbow - shoulder, grip - elbow),
        elbow_swing: swing,
        wrist_extension: deg(16.0),
        wrist_ulnar: deg(4.0),
        neck: lean - deg(8.0),
        heel_lift: deg(bend.heel_lift),
    };
    let com = mid_hip + trunk * (0.32 * l.trunk) + front * 40.0;
    Pose {
        points: Points {
            ball,
            heel,
            toe,
            toe_stop: cockpit.toe_stop,
            ankle,
            knee,
            hip,
            lower_trunk: mid_hip + trunk * l.lower_trunk,
            shoulder,
            elbow,
            wrist,
            grip,
            seat: Point::new(hip.x, 0.0, seat_z),
            neck,
            head,
            foot_com: ball + up * l.foot_com_height,
        },
        angles,
        com,
        seated: bend.seated,
    }
}

/// Settings on the test sled.
pub fn settings(riser: usize, stirrup: f64, angle: f64, roll: f64) -> Settings {
    Settings {
        riser,
        clamp: 0,
        bar: 0,
        seat: 0,
        stirrup,
        riser_angle: deg(angle),
        bar_roll: deg(roll),
    }
}
