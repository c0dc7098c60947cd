//! Problems as data: all of a rider, a sled and a stance that a posture depends on, so that programs in other languages
//! can pose the same problem, and so that checked-in answers do not go stale when a shipped profile changes.
#![allow(
    clippy::expect_used,
    clippy::unwrap_used,
    dead_code,
    reason = "a test may panic, and not every test uses every part"
)]

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};
use sledstance::rider::{Part, Rider, RiderProfile, Segment, Sex};
use sledstance::sled::{
    Cockpit, Foam, RiserAngles, Settings, Shape, ShapePoint, Sled, SledProfile, profile::SHIPPED,
};
use sledstance::stance::{Balance, Contacts, Free, JointRange, Posture, Problem, Stance};
use sledstance::units::{Angle, Point};

/// The checked-in problems; `cargo test --test posture -- --ignored` writes them.
const PROBLEMS: &str = include_str!("../cases/posture-problems.json");

/// What the problems are made of, and which rider, sled and stance make which problem.
#[derive(Debug, Serialize, Deserialize)]
pub struct Problems {
    pub riders: Vec<RiderData>,
    pub stances: Vec<StanceData>,
    pub cases: Vec<Case>,
}

/// A rider's linkage and masses.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct RiderData {
    pub name: String,
    pub links_mm: BTreeMap<String, f64>,
    pub segments: Vec<SegmentData>,
    pub knee_flexion_stop_deg: Option<f64>,
    pub dorsiflexion_stop_deg: Option<f64>,
    pub neck_extension_stop_deg: Option<f64>,
}

/// A segment.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct SegmentData {
    pub part: String,
    pub count: u8,
    pub mass_kg: f64,
    pub fraction: f64,
}

/// A stance, as far as its posture goes.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct StanceData {
    pub name: String,
    pub seated: bool,
    pub heel_lift_max_deg: f64,
    pub foot_slide_max_mm: f64,
    pub gaze_below_horizon_deg: f64,
    pub balance_share: Option<f64>,
    pub balance_tolerance: f64,
    pub joints: BTreeMap<String, JointData>,
}

/// Preferred angle, tolerance and limits of a joint, degrees.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct JointData {
    pub preferred: f64,
    pub tolerance: f64,
    pub low: f64,
    pub high: f64,
}

/// One problem: a rider in a stance on one set-up.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Case {
    pub rider: usize,
    pub stance: usize,
    pub sled: String,
    pub seat_share: f64,
    pub setup: Setup,
}

/// A sled with one part of each kind, set.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Setup {
    pub base_x: f64,
    pub base_z: f64,
    pub riser_height: f64,
    pub clamp_stack: f64,
    pub riser_angle_deg: f64,
    pub bar_roll_deg: f64,
    pub grip_to_grip: f64,
    pub rise: f64,
    pub pullback: f64,
    pub sweep_deg: f64,
    pub upsweep_deg: f64,
    pub stirrup: f64,
    pub toe_stop_offset: f64,
    pub board_pitch_deg: f64,
    pub foot_lateral: f64,
    pub seat_over_line: f64,
    pub foam_f25: f64,
    pub foam_support: f64,
    pub foam_thickness: f64,
    /// x, z, half-width.
    pub seat_line: Vec<[f64; 3]>,
    /// x, z, half-width.
    pub outline: Vec<[f64; 3]>,
}

/// Free variables: mm and degrees.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct FreeData {
    pub hip_x: f64,
    pub hip_z_or_slide: f64,
    pub lean: f64,
    pub swing: f64,
    pub heel: f64,
    pub splay: f64,
}

impl FreeData {
    pub fn free(&self) -> Free<f64> {
        let rad = |deg| Angle::from_deg(deg).rad();
        Free {
            hip_x: self.hip_x,
            hip_z_or_slide: self.hip_z_or_slide,
            lean: rad(self.lean),
            swing: rad(self.swing),
            heel: rad(self.heel),
            splay: rad(self.splay),
        }
    }

    pub fn of(free: &Free<f64>) -> Self {
        let deg = |rad| Angle::from_rad(rad).deg();
        Self {
            hip_x: free.hip_x,
            hip_z_or_slide: free.hip_z_or_slide,
            lean: deg(free.lean),
            swing: deg(free.swing),
            heel: deg(free.heel),
            splay: deg(free.splay),
        }
    }

    /// Largest difference in mm and in degrees.
    pub fn apart(&self, other: &Self) -> (f64, f64) {
        let mm = (self.hip_x - other.hip_x)
            .abs()
            .max((self.hip_z_or_slide - other.hip_z_or_slide).abs());
        let deg = [
            self.lean - other.lean,
            self.swing - other.swing,
            self.heel - other.heel,
            self.splay - other.splay,
        ];
        (mm, deg.iter().fold(0.0, |m, d| m.max(d.abs())))
    }
}

/// Reads the checked-in problems.
pub fn problems() -> Problems {
    serde_json::from_str(PROBLEMS).expect("posture-problems.json")
}

/// The parts of a problem; the cockpit borrows the sled.
pub struct Parts {
    pub rider: Rider,
    pub stance: Stance,
    pub sled: Sled,
    pub settings: Settings,
    pub seat_share: f64,
}

impl Problems {
    pub fn parts(&self, case: &Case) -> Parts {
        let (sled, settings) = case.setup.build();
        Parts {
            rider: self.riders[case.rider].build(),
            stance: self.stances[case.stance].build(),
            sled,
            settings,
            seat_share: case.seat_share,
        }
    }

    /// A case in words.
    pub fn label(&self, case: &Case) -> String {
        let (rider, stance) = (&self.riders[case.rider], &self.stances[case.stance]);
        format!("{}, {}, {}", rider.name, case.sled, stance.name)
    }
}

impl Parts {
    /// Runs on the problem, which borrows from its parts.
    pub fn with<T>(&self, run: impl FnOnce(&Problem, &Cockpit) -> T) -> T {
        let settings = self.settings.checked(&self.sled).expect("settings");
        let cockpit = Cockpit::new(&self.sled, settings);
        let problem = Problem::new(&self.rider, &cockpit, &self.stance, self.seat_share);
        run(&problem, &cockpit)
    }
}

const PARTS: [Part; 9] = [
    Part::Head,
    Part::UpperTrunk,
    Part::Pelvis,
    Part::UpperArm,
    Part::Forearm,
    Part::Hand,
    Part::Thigh,
    Part::Shank,
    Part::Foot,
];

impl RiderData {
    pub fn of(name: &str, rider: &Rider) -> Self {
        let deg = |stop: Option<Angle>| stop.map(Angle::deg);
        let gear = &rider.gear_limits;
        Self {
            name: name.to_owned(),
            links_mm: rider
                .links
                .named()
                .iter()
                .map(|&(name, value)| (name.to_owned(), value))
                .collect(),
            segments: rider
                .segments
                .iter()
                .map(|s| SegmentData {
                    part: s.part.name().to_owned(),
                    count: s.count,
                    mass_kg: s.mass,
                    fraction: s.fraction,
                })
                .collect(),
            knee_flexion_stop_deg: deg(gear.knee_flexion),
            dorsiflexion_stop_deg: deg(gear.dorsiflexion),
            neck_extension_stop_deg: deg(gear.neck_extension),
        }
    }

    /// Any rider, with these links, masses and stops.
    pub fn build(&self) -> Rider {
        let mut rider = RiderProfile::of(Sex::Male, 1780.0, 80.0)
            .build()
            .expect("built")
            .rider;
        let l = &mut rider.links;
        let get = |name: &str| self.links_mm[name];
        l.toe_to_ball = get("toe_to_ball");
        l.toe_to_heel = get("toe_to_heel");
        l.toe_to_ankle = get("toe_to_ankle");
        l.ankle_height = get("ankle_height");
        l.toe_to_foot_com = get("toe_to_foot_com");
        l.foot_com_height = get("foot_com_height");
        l.foot_length = get("foot_length");
        l.boot_length = get("boot_length");
        l.boot_instep_height = get("boot_instep_height");
        l.boot_half_width = get("boot_half_width");
        l.shank = get("shank");
        l.thigh = get("thigh");
        l.hip_half = get("hip_half");
        l.lower_trunk = get("lower_trunk");
        l.trunk = get("trunk");
        l.shoulder_half = get("shoulder_half");
        l.protraction = get("protraction");
        l.upper_arm = get("upper_arm");
        l.forearm = get("forearm");
        l.wrist_to_grip = get("wrist_to_grip");
        l.neck_base = get("neck_base");
        l.neck = get("neck");
        l.helmet_radius = get("helmet_radius");
        l.hip_over_seat = get("hip_over_seat");
        l.knee_radius = get("knee_radius");
        l.thigh_radius = get("thigh_radius");
        l.shank_radius = get("shank_radius");
        l.chest_front = get("chest_front");
        let named: BTreeMap<_, _> = l.named().into_iter().collect();
        assert!(
            self.links_mm.iter().all(|(k, v)| named[k.as_str()] == *v),
            "a link that this table does not know"
        );
        rider.segments = self
            .segments
            .iter()
            .map(|s| Segment {
                part: *PARTS.iter().find(|p| p.name() == s.part).expect("part"),
                count: s.count,
                mass: s.mass_kg,
                fraction: s.fraction,
            })
            .collect();
        rider.gear_limits.knee_flexion = self.knee_flexion_stop_deg.map(Angle::from_deg);
        rider.gear_limits.dorsiflexion = self.dorsiflexion_stop_deg.map(Angle::from_deg);
        rider.gear_limits.neck_extension = self.neck_extension_stop_deg.map(Angle::from_deg);
        rider
    }
}

/// A stance's joints by name; wrist extension takes no part in a posture.
fn joints(stance: &mut Stance) -> [(&'static str, &mut JointRange); 10] {
    let r = &mut stance.ranges;
    [
        ("ankle", &mut r.ankle),
        ("knee", &mut r.knee),
        ("knee_splay", &mut r.knee_splay),
        ("hip", &mut r.hip),
        ("trunk", &mut r.trunk),
        ("shoulder", &mut r.shoulder),
        ("elbow", &mut r.elbow),
        ("elbow_swing", &mut r.elbow_swing),
        ("wrist_ulnar", &mut r.wrist_ulnar),
        ("neck", &mut r.neck),
    ]
}

impl StanceData {
    pub fn of(stance: &Stance) -> Self {
        Self {
            name: stance.name.clone(),
            seated: stance.contacts.seated,
            heel_lift_max_deg: stance.contacts.heel_lift_max.deg(),
            foot_slide_max_mm: stance.contacts.foot_slide_max,
            gaze_below_horizon_deg: stance.gaze_below_horizon.deg(),
            balance_share: stance.balance.foot_share,
            balance_tolerance: stance.balance.tolerance,
            joints: joints(&mut stance.clone())
                .into_iter()
                .map(|(name, r)| {
                    let range = JointData {
                        preferred: r.preferred.deg(),
                        tolerance: r.tolerance.deg(),
                        low: r.low.deg(),
                        high: r.high.deg(),
                    };
                    (name.to_owned(), range)
                })
                .collect(),
        }
    }

    pub fn build(&self) -> Stance {
        let mut stance = Stance::shipped().expect("shipped").remove(0);
        stance.name.clone_from(&self.name);
        stance.contacts = Contacts {
            seated: self.seated,
            heel_lift_max: Angle::from_deg(self.heel_lift_max_deg),
            foot_slide_max: self.foot_slide_max_mm,
        };
        stance.gaze_below_horizon = Angle::from_deg(self.gaze_below_horizon_deg);
        stance.balance = Balance {
            foot_share: self.balance_share,
            tolerance: self.balance_tolerance,
        };
        for (name, range) in joints(&mut stance) {
            let j = self.joints[name];
            *range = JointRange {
                preferred: Angle::from_deg(j.preferred),
                tolerance: Angle::from_deg(j.tolerance),
                low: Angle::from_deg(j.low),
                high: Angle::from_deg(j.high),
            };
        }
        stance
    }
}

impl Setup {
    pub fn of(sled: &Sled, s: &Settings) -> Self {
        let (bar, seat) = (&sled.bars[s.bar], &sled.seats[s.seat]);
        let line = |shape: &Shape| {
            let points = shape.points().iter();
            points.map(|p| [p.x, p.z, p.half_width]).collect()
        };
        Self {
            base_x: sled.steering.base_x,
            base_z: sled.steering.base_z,
            riser_height: sled.risers[s.riser].height,
            clamp_stack: sled.clamps[s.clamp].stack,
            riser_angle_deg: s.riser_angle.deg(),
            bar_roll_deg: s.bar_roll.deg(),
            grip_to_grip: bar.grip_to_grip,
            rise: bar.rise,
            pullback: bar.pullback,
            sweep_deg: bar.sweep.deg(),
            upsweep_deg: bar.upsweep.deg(),
            stirrup: s.stirrup,
            toe_stop_offset: sled.stirrup.toe_stop_offset,
            board_pitch_deg: sled.board.pitch.deg(),
            foot_lateral: sled.board.foot_lateral,
            seat_over_line: seat.height_over_line,
            foam_f25: seat.foam.f25,
            foam_support: seat.foam.support,
            foam_thickness: seat.foam.thickness,
            seat_line: line(&sled.seat_line),
            outline: line(&sled.outline),
        }
    }

    pub fn build(&self) -> (Sled, Settings) {
        let mut sled = shipped_sleds().remove(0).1;
        let shape = |points: &[[f64; 3]]| {
            let points = points
                .iter()
                .map(|&[x, z, half_width]| ShapePoint { x, z, half_width });
            Shape::new(points.collect()).expect("a line")
        };
        sled.steering.base_x = self.base_x;
        sled.steering.base_z = self.base_z;
        sled.risers.truncate(1);
        sled.risers[0].height = self.riser_height;
        sled.risers[0].angles = RiserAngles::Fixed(Angle::from_deg(self.riser_angle_deg));
        sled.clamps.truncate(1);
        sled.clamps[0].stack = self.clamp_stack;
        sled.bars.truncate(1);
        let bar = &mut sled.bars[0];
        bar.grip_to_grip = self.grip_to_grip;
        bar.rise = self.rise;
        bar.pullback = self.pullback;
        bar.sweep = Angle::from_deg(self.sweep_deg);
        bar.upsweep = Angle::from_deg(self.upsweep_deg);
        sled.bar_roll = (Angle::from_deg(-90.0), Angle::from_deg(90.0));
        sled.seats.truncate(1);
        sled.seats[0].height_over_line = self.seat_over_line;
        sled.seats[0].foam = Foam {
            f25: self.foam_f25,
            support: self.foam_support,
            thickness: self.foam_thickness,
        };
        sled.seat_line = shape(&self.seat_line);
        sled.outline = shape(&self.outline);
        sled.stirrup.positions = vec![0.0, self.stirrup.min(-1.0)];
        sled.stirrup.toe_stop_offset = self.toe_stop_offset;
        sled.board.pitch = Angle::from_deg(self.board_pitch_deg);
        sled.board.foot_lateral = self.foot_lateral;
        let settings = Settings {
            riser: 0,
            clamp: 0,
            bar: 0,
            seat: 0,
            stirrup: self.stirrup,
            riser_angle: Angle::from_deg(self.riser_angle_deg),
            bar_roll: Angle::from_deg(self.bar_roll_deg),
        };
        (sled, settings)
    }
}

/// The demo sleds by name.
pub fn shipped_sleds() -> Vec<(&'static str, Sled)> {
    SHIPPED
        .iter()
        .map(|s| {
            let profile = SledProfile::read(s.text).expect("shipped");
            (s.id, profile.resolve().expect("checked"))
        })
        .collect()
}

/// Evenly spread numbers from 0 to 1 without a dependency (SplitMix64; Steele, Lea & Flood 2014, OOPSLA, figure 16).
pub struct Dice(pub u64);

impl Dice {
    pub fn roll(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }

    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.roll()
    }

    pub fn pick(&mut self, count: usize) -> usize {
        ((self.roll() * count as f64) as usize).min(count - 1)
    }
}

/// A limit of a posture, judged from its angles and gaps alone.
pub struct LimitOf {
    pub name: String,
    /// Room left, degrees or mm; negative where it is broken.
    pub room: f64,
    pub degrees: bool,
}

impl LimitOf {
    /// In degrees, or in units of 5 mm.
    pub fn scaled(&self) -> f64 {
        if self.degrees {
            self.room
        } else {
            self.room / 5.0
        }
    }
}

/// Every limit that a posture must keep, as the stance, the gear and the documentation of the cost state them.
pub fn limits(parts: &Parts, cockpit: &Cockpit, posture: &Posture) -> Vec<LimitOf> {
    let (a, c) = (&posture.pose.angles, &parts.stance.contacts);
    let (r, gear) = (&parts.stance.ranges, &parts.rider.gear_limits);
    let mut all = Vec::new();
    let mut push = |name: String, room: f64, degrees: bool| {
        all.push(LimitOf {
            name,
            room,
            degrees,
        });
    };
    for (name, angle, range, stop) in [
        ("ankle", a.ankle, r.ankle, gear.dorsiflexion),
        ("knee", a.knee, r.knee, gear.knee_flexion),
        ("knee splay", a.knee_splay, r.knee_splay, None),
        ("hip", a.hip, r.hip, None),
        ("trunk", a.trunk, r.trunk, None),
        ("shoulder", a.shoulder, r.shoulder, None),
        ("elbow", a.elbow, r.elbow, None),
        ("elbow swing", a.elbow_swing, r.elbow_swing, None),
        ("ulnar deviation", a.wrist_ulnar, r.wrist_ulnar, None),
        ("neck", a.neck, r.neck, gear.neck_extension),
    ] {
        let high = stop.map_or(range.high.deg(), |s| s.deg().min(range.high.deg()));
        push(format!("{name} least"), angle.deg() - range.low.deg(), true);
        push(format!("{name} greatest"), high - angle.deg(), true);
    }
    push("heel least".to_owned(), a.heel_lift.deg(), true);
    push(
        "heel greatest".to_owned(),
        (c.heel_lift_max - a.heel_lift).deg(),
        true,
    );
    // Hip flexion with a straight knee, and what each degree of knee flexion adds.
    push(
        "hamstrings".to_owned(),
        80.0 + 0.6 * a.knee.deg() - a.hip.deg(),
        true,
    );
    for &(name, gap) in &posture.clearances {
        push(name.to_owned(), gap, false);
    }
    if c.seated {
        let p = &posture.pose.points;
        let line = parts.sled.seat_line.points();
        let (rear, front) = (line[0].x, line[line.len() - 1].x);
        push("seat's rear end".to_owned(), p.hip.x - rear - 60.0, false);
        push("seat's front end".to_owned(), front - 60.0 - p.hip.x, false);
        let forward = Point::new(
            parts.sled.board.pitch.cos(),
            0.0,
            parts.sled.board.pitch.sin(),
        );
        let slide = (cockpit.toe_stop - p.toe).dot(&forward);
        push("slide least".to_owned(), slide, false);
        push("slide greatest".to_owned(), c.foot_slide_max - slide, false);
    }
    all
}

/// A point of a golden file.
pub fn point(p: &[f64; 3]) -> Point {
    Point::new(p[0], p[1], p[2])
}
