//! The figures that changes and complaints are judged by, and what a rider can notice of each.
//!
//! One table, [`Kind::row`]: name, words, unit, the least difference that a rider can notice (our choice throughout,
//! near what a tape or a hand repeats), which way is better, and where more of it stops helping. A figure's *burden*
//! counts in noticeable differences and is less where the rider is better off.

use crate::fit::levers::as_placed;
use crate::fit::{
    Distances, Evaluation, Levers, Request, Solved, lock_spare, statics, travel_quickly,
};
use crate::hold::{Taken, Working, corners, steering_straight};
use crate::sled::{Cockpit, Settings};
use crate::stance::{Aim, JointRange, Load, Pose, Posture, Problem, Stance};
use crate::units::{Point, STANDARD_GRAVITY};

/// Which way a figure is better.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Better {
    /// The more the better, up to a value from which more does not help.
    More(f64),
    /// The less the better, down to a value from which less does not help.
    Less(f64),
    /// The nearer the stance's preferred angle the better.
    Preferred,
    /// Neither: it only tells where things are.
    Neither,
}

/// A figure in the table.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Row {
    /// Name in JSON.
    pub name: &'static str,
    /// Name in words.
    pub words: &'static str,
    /// Unit: `deg`, `mm`, `g`, `N`, `Nm`, `J`, or empty for a pure number.
    pub unit: &'static str,
    /// Least difference that a rider can notice, in that unit. Our choice.
    pub notice: f64,
    /// Which way is better.
    pub better: Better,
}

macro_rules! kinds {
    ($($kind:ident: $name:literal, $words:literal, $unit:literal, $notice:expr, $better:expr;)*) => {
        /// What a figure is.
        #[derive(Clone, Copy, Debug, PartialEq, Eq)]
        pub enum Kind {
            $(#[doc = $words] $kind,)*
        }

        impl Kind {
            /// All of them.
            pub const ALL: &'static [Self] = &[$(Self::$kind),*];

            /// Its row of the table.
            pub const fn row(self) -> Row {
                match self {
                    $(Self::$kind => Row { name: $name, words: $words, unit: $unit, notice: $notice, better: $better },)*
                }
            }
        }
    };
}

/// No value from which more (or less) stops helping.
const ALWAYS: f64 = f64::INFINITY;

use Better::{Less, More, Neither, Preferred};

kinds! {
    Knee: "knee", "knee flexion", "deg", 3.0, Preferred;
    Hip: "hip", "hip flexion", "deg", 3.0, Preferred;
    Elbow: "elbow", "elbow flexion", "deg", 4.0, Preferred;
    Trunk: "trunk", "trunk lean", "deg", 2.0, Preferred;
    ShortLanding1g: "hold_short_landing_1g", "hold in short landings", "g", 0.05, More(ALWAYS);
    ShortLanding2g: "hold_short_landing_2g", "hold in hard short landings", "g", 0.05, More(ALWAYS);
    Start: "hold_start", "hold at the start", "g", 0.05, More(ALWAYS);
    StraightDrop: "hold_straight_drop", "hold in straight drops", "g", 0.1, More(ALWAYS);
    LegTravel: "leg_travel", "leg travel", "mm", 10.0, More(ALWAYS);
    HandLoad: "hand_load", "load on each hand at rest", "N", 4.0, Less(0.0);
    LeastRoom: "least_room", "least room between body and sled", "mm", 10.0, More(30.0);
    Ankle: "ankle", "ankle bend", "deg", 3.0, Preferred;
    Shoulder: "shoulder", "shoulder elevation", "deg", 4.0, Preferred;
    Neck: "neck", "neck extension", "deg", 2.0, Less(0.0);
    Wrist: "wrist", "wrist extension on the brake", "deg", 3.0, Preferred;
    Ulnar: "wrist_ulnar", "sideways bend of the wrist", "deg", 2.0, Preferred;
    ElbowEffort: "effort_elbow", "effort of the elbows at rest", "", 0.02, Less(0.0);
    ShoulderEffort: "effort_shoulder", "effort of the shoulders at rest", "", 0.02, Less(0.0);
    BackEffort: "effort_back", "effort of the lower back at rest", "", 0.02, Less(0.0);
    KneeEffort: "effort_knee", "effort of the knees at rest", "", 0.02, Less(0.0);
    KneeRoom: "knee_room", "room for knees and shins", "mm", 10.0, More(60.0);
    KneeRoomLow: "knee_room_low", "room for knees and shins at the deepest", "mm", 5.0, More(30.0);
    ChestRoom: "chest_room", "room ahead of chest and helmet", "mm", 10.0, More(120.0);
    SeatRoom: "seat_room", "room between hips and seat, standing", "mm", 10.0, More(150.0);
    HeelLift: "heel_lift", "heel lift", "deg", 2.0, Less(0.0);
    BootSlide: "boot_slide", "boot slid back from its stop", "mm", 10.0, Less(0.0);
    WeightOff: "weight_off", "weight off the balance mark, either way", "mm", 10.0, Less(0.0);
    WeightAhead: "weight_ahead", "weight ahead of the balance mark", "mm", 10.0, Neither;
    LockSpare: "lock_spare", "spare reach of the outer hand at full lock", "mm", 8.0, More(60.0);
    Steering: "steering_hold", "steering hold, bars straight", "Nm", 3.0, More(ALWAYS);
    Corner: "hold_corner", "hold in level corners", "g", 0.05, More(ALWAYS);
    CornerBanked: "hold_corner_banked", "hold in corners banked 15°", "g", 0.05, More(ALWAYS);
    CornerLeaned: "hold_corner_leaned", "hold in level corners, hips to the inside", "g", 0.05, More(ALWAYS);
    CornerGuarded: "hold_corner_guarded", "hold in level corners, with an edge protector", "g", 0.05, More(ALWAYS);
    LeftRight: "left_right", "difference of the knees, left against right", "deg", 1.5, Less(0.0);
    SeatMargin: "seat_margin", "foam left before the seat bottoms under 2 g", "mm", 5.0, More(40.0);
    SeatSpring: "seat_spring", "energy that the seat takes before it bottoms", "J", 4.0, More(ALWAYS);
    Rise: "rise", "hips' way up from the seat", "mm", 10.0, Less(0.0);
    WeightBehind: "weight_behind", "seated weight behind the balls of the feet", "mm", 10.0, Less(0.0);
    FootToMass: "foot_to_mass", "lever arm from the ball of the foot to the centre of mass", "mm", 10.0, Neither;
    HandToMass: "hand_to_mass", "lever arm from the grip to the centre of mass", "mm", 10.0, Neither;
    FingerStrain: "finger_strain", "strain of the finger on the brake", "", 0.3, Less(0.0);
    ThumbStrain: "thumb_strain", "strain of the thumb on the throttle", "", 0.3, Less(0.0);
    GuardGap: "guard_gap", "gap to the hand guard", "mm", 5.0, More(20.0);
    StirrupToGrip: "stirrup_to_grip", "stirrup-to-grip", "mm", 5.0, Neither;
    GripHeight: "grip_height", "grip height", "mm", 5.0, Neither;
    Objective: "objective", "objective of the fit", "", 0.1, Less(f64::NEG_INFINITY);
}

/// A hold whose start cannot be held counts as this much, g, as in the objective.
const NOT_HELD: f64 = -1.0;

/// Load on the seat in landings that its foam must take, in the seated share of the weight; our choice.
const SEAT_LOAD: f64 = 2.0;

/// One figure of a set-up.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Figure {
    /// What.
    pub kind: Kind,
    /// In which stance, by its index; `None` for the whole set-up.
    pub stance: Option<usize>,
    /// Its value; `None` where it cannot be had (not held, not at rest).
    pub value: Option<f64>,
    /// The stance's preferred value, where there is one.
    pub preferred: f64,
}

impl Kind {
    /// Whether it stands in a short list: what a what-if shows.
    pub fn is_main(self) -> bool {
        Depth::Shown.shows(self)
    }
}

impl Figure {
    /// How heavily it weighs on the rider, in noticeable differences; only differences mean something.
    pub fn burden(&self) -> f64 {
        let row = self.kind.row();
        let value = self.value.unwrap_or(match self.kind {
            Kind::ShortLanding1g
            | Kind::ShortLanding2g
            | Kind::Start
            | Kind::StraightDrop
            | Kind::Corner
            | Kind::CornerBanked
            | Kind::CornerLeaned
            | Kind::CornerGuarded => NOT_HELD,
            _ => 0.0,
        });
        let burden = match row.better {
            More(enough) => -value.min(enough),
            Less(enough) => value.max(enough),
            Preferred => (value - self.preferred).abs(),
            Neither => 0.0,
        };
        burden / row.notice
    }
}

/// How much is asked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Depth {
    /// What a what-if shows.
    Shown,
    /// All that a complaint may speak about.
    All,
    /// All that options are compared by: corners too.
    Compared,
}

impl Depth {
    /// Whether a what-if shows it.
    pub fn shows(self, kind: Kind) -> bool {
        self != Self::Shown
            || (kind as usize) <= (Kind::LeastRoom as usize)
            || matches!(
                kind,
                Kind::StirrupToGrip | Kind::GripHeight | Kind::Objective
            )
    }
}

/// Figures of an evaluated set-up's bodies and distances, levers aside, with the poses that they are of.
pub(super) fn body_figures(
    request: &Request,
    evaluation: &Evaluation,
    depth: Depth,
) -> (Vec<Figure>, Vec<Pose>) {
    let cockpit = Cockpit::new(request.sled, evaluation.settings);
    let mut all = Vec::new();
    let mut poses: Vec<(&Stance, Pose)> = Vec::new();
    for (k, (stance, solved)) in request.stances.iter().zip(&evaluation.solved).enumerate() {
        let Some(solved) = solved else { continue };
        let mut of = OfStance {
            request,
            cockpit: &cockpit,
            stance,
            solved,
            problem: Problem::new(request.rider, &cockpit, stance, solved.seat_share),
            into: &mut all,
            index: k,
        };
        poses.push((stance, of.shown()));
        if depth != Depth::Shown {
            of.rest();
        }
        if depth == Depth::Compared {
            of.corners();
        }
    }
    let tape = Distances::of_grip(&cockpit);
    all.push(of_all(Kind::StirrupToGrip, tape.stirrup_to_grip));
    all.push(of_all(Kind::GripHeight, tape.grip_height));
    all.push(of_all(Kind::Objective, evaluation.value));
    if depth != Depth::Shown {
        rise(request, &poses, &mut all);
    }
    (all, poses.into_iter().map(|(_, pose)| pose).collect())
}

/// Figures of the levers as they stand on the bar, and the levers themselves.
pub(super) fn lever_figures(
    request: &Request,
    cockpit: &Cockpit,
    poses: &[(&Stance, &Pose)],
    placed: &Levers,
) -> (Vec<Figure>, Levers) {
    let (levers, feel) = as_placed(request.rider, cockpit, poses, placed);
    let mut all = vec![
        of_all(Kind::FingerStrain, feel.finger_strain),
        of_all(Kind::ThumbStrain, feel.thumb_strain),
    ];
    all.extend(levers.guard_gap.map(|gap| of_all(Kind::GuardGap, gap)));
    for (k, ((stance, _), (_, extension))) in
        poses.iter().zip(&levers.brake.wrist_extension).enumerate()
    {
        if stance.hands.brake_fingers > 0 {
            all.push(Figure {
                kind: Kind::Wrist,
                stance: Some(k),
                value: Some(extension.deg()),
                preferred: stance.ranges.wrist_extension.preferred.deg(),
            });
        }
    }
    (all, levers)
}

fn of_all(kind: Kind, value: f64) -> Figure {
    Figure {
        kind,
        stance: None,
        value: Some(value),
        preferred: 0.0,
    }
}

/// How far the hips go up from each seated stance to the one that carries the weight point.
fn rise(request: &Request, poses: &[(&Stance, Pose)], into: &mut Vec<Figure>) {
    let up = poses.iter().find(|(stance, _)| stance.carries_weight_point);
    let Some((_, stood)) = up else { return };
    for (k, stance) in request.stances.iter().enumerate() {
        if let (true, Some((_, sat))) = (stance.contacts.seated, poses.get(k)) {
            into.push(Figure {
                kind: Kind::Rise,
                stance: Some(k),
                value: Some(stood.points.hip.z - sat.points.hip.z),
                preferred: 0.0,
            });
        }
    }
}

/// One stance's figures.
struct OfStance<'a, 'b> {
    request: &'b Request<'a>,
    cockpit: &'b Cockpit<'b>,
    stance: &'b Stance,
    solved: &'b Solved,
    problem: Problem<'b>,
    into: &'b mut Vec<Figure>,
    index: usize,
}

impl OfStance<'_, '_> {
    fn push(&mut self, kind: Kind, value: Option<f64>) {
        self.into.push(Figure {
            kind,
            stance: Some(self.index),
            value: value.filter(|v| v.is_finite()),
            preferred: 0.0,
        });
    }

    fn joint(&mut self, kind: Kind, degrees: f64, range: &JointRange) {
        self.into.push(Figure {
            kind,
            stance: Some(self.index),
            value: Some(degrees),
            preferred: range.preferred.deg(),
        });
    }

    /// What a what-if shows.
    fn shown(&mut self) -> Pose {
        let posture = self.problem.posture(&self.solved.settled);
        let pose = posture.pose;
        let (a, r) = (&pose.angles, &self.stance.ranges);
        self.joint(Kind::Knee, a.knee.deg(), &r.knee);
        self.joint(Kind::Hip, a.hip.deg(), &r.hip);
        self.joint(Kind::Elbow, a.elbow.deg(), &r.elbow);
        self.joint(Kind::Trunk, a.trunk.deg(), &r.trunk);
        let statics = statics(self.request, self.cockpit, self.stance, &pose);
        for load in Load::ALL {
            let kind = match load {
                Load::ShortLanding1g => Kind::ShortLanding1g,
                Load::ShortLanding2g => Kind::ShortLanding2g,
                Load::Start => Kind::Start,
                Load::StraightDrop => Kind::StraightDrop,
            };
            self.push(kind, statics.load_factor(load));
        }
        if !self.stance.contacts.seated {
            let travel = travel_quickly(&self.problem, self.stance, self.solved, |_| 0.0);
            self.push(Kind::LegTravel, travel.map(|t| t.leg_travel));
        }
        let working = statics.working();
        self.push(Kind::HandLoad, working.as_ref().map(|w| w.hand));
        self.push(Kind::LeastRoom, room(&posture, |_| true));
        self.efforts(working.as_ref());
        pose
    }

    fn efforts(&mut self, working: Option<&Working>) {
        let of = |joint: &str| {
            let efforts = working.map(|w| w.efforts.iter());
            efforts.and_then(|mut all| all.find(|e| e.name == joint).map(|e| e.fraction))
        };
        let rows = [
            (Kind::ElbowEffort, of("elbow")),
            (Kind::ShoulderEffort, of("shoulder")),
            (Kind::BackEffort, of("lower_trunk")),
            (Kind::KneeEffort, of("knee")),
        ];
        for (kind, value) in rows {
            self.push(kind, value);
        }
    }

    /// The other figures that a complaint may speak about.
    fn rest(&mut self) {
        let posture = self.problem.posture(&self.solved.settled);
        let pose = posture.pose;
        let (a, r) = (&pose.angles, &self.stance.ranges);
        self.joint(Kind::Ankle, a.ankle.deg(), &r.ankle);
        self.joint(Kind::Shoulder, a.shoulder.deg(), &r.shoulder);
        self.joint(Kind::Neck, a.neck.deg(), &r.neck);
        self.joint(Kind::Ulnar, a.wrist_ulnar.deg(), &r.wrist_ulnar);
        let of_knees = |name: &str| name.starts_with("knee") || name.starts_with("shank");
        self.push(Kind::KneeRoom, room(&posture, of_knees));
        let ahead = |name: &str| name.starts_with("chest") || name.starts_with("helmet");
        self.push(Kind::ChestRoom, room(&posture, ahead));
        if let Some(sunk) = &self.solved.sunk {
            let low = self.problem.posture(sunk);
            self.push(Kind::KneeRoomLow, room(&low, of_knees));
        }
        let (request, cockpit, stance) = (self.request, self.cockpit, self.stance);
        let rider = request.rider;
        self.push(Kind::LockSpare, Some(lock_spare(rider, cockpit, &pose)));
        let steering = steering_straight(rider, cockpit, stance, &pose, &request.options);
        self.push(Kind::Steering, Some(steering));
        if stance.carries_weight_point {
            let ahead = pose.com.x - request.sled.balance_mark.x;
            self.push(Kind::WeightOff, Some(ahead.abs()));
            self.push(Kind::WeightAhead, Some(ahead));
        }
        let arm = |from: &Point| libm::hypot(pose.com.x - from.x, pose.com.z - from.z);
        self.push(Kind::FootToMass, Some(arm(&pose.points.ball)));
        self.push(Kind::HandToMass, Some(arm(&pose.points.grip)));
        let other = self.right_foot();
        self.push(Kind::LeftRight, Some((other - a.knee.deg()).abs()));
        if stance.contacts.seated {
            let slide = libm::hypot(
                pose.points.toe_stop.x - pose.points.toe.x,
                pose.points.toe_stop.z - pose.points.toe.z,
            );
            self.push(Kind::BootSlide, Some(slide));
            self.push(Kind::WeightBehind, Some(pose.points.ball.x - pose.com.x));
            let foam = cockpit.foam;
            let load = self.solved.seat_share * rider.mass() * STANDARD_GRAVITY;
            let end = foam.bottoming();
            self.push(
                Kind::SeatMargin,
                Some(end - foam.deflection(SEAT_LOAD * load)),
            );
            let spring = foam.energy(end) - foam.energy(foam.deflection(load));
            self.push(Kind::SeatSpring, Some(spring.max(0.0)));
        } else {
            self.push(Kind::HeelLift, Some(a.heel_lift.deg()));
            let hips = |name: &str| name.starts_with("hips") || name == "thigh against the seat";
            self.push(Kind::SeatRoom, room(&posture, hips));
        }
    }

    /// The hardest corner of each kind that is held.
    fn corners(&mut self) {
        let Request { rider, sled, .. } = *self.request;
        let pose = self.problem.pose(&self.solved.settled);
        let own = sled.stirrup.edge_protector.is_some();
        let held = corners(
            rider,
            sled,
            self.cockpit.settings,
            self.stance,
            &pose,
            &self.request.options,
            Taken::each(own, true),
        );
        let kinds = [
            Kind::Corner,
            Kind::CornerBanked,
            Kind::CornerLeaned,
            Kind::CornerGuarded,
        ];
        for (kind, held) in kinds.into_iter().zip(held) {
            self.push(kind, held.ok().map(|corner| corner.most.g));
        }
    }

    /// Knee flexion, degrees, of the same body with both feet where the right one stands.
    fn right_foot(&self) -> f64 {
        let sled = self.request.sled;
        let settings = Settings {
            stirrup: self.cockpit.settings.stirrup + sled.stirrup.right_offset,
            ..self.cockpit.settings
        };
        let cockpit = Cockpit::new(sled, settings);
        let problem = Problem::new(
            self.request.rider,
            &cockpit,
            self.stance,
            self.solved.seat_share,
        );
        let settled = problem.solve_near(&self.solved.settled, Aim::Comfort);
        problem.pose(&settled).angles.knee.deg()
    }
}

/// Least of the gaps that are meant, mm.
fn room(posture: &Posture, meant: impl Fn(&str) -> bool) -> Option<f64> {
    let gaps = posture.clearances.iter().filter(|(name, _)| meant(name));
    gaps.map(|(_, gap)| *gap).min_by(f64::total_cmp)
}
