//! Contacts of a pose: where the sled can push on the rider, in which directions and how hard.
//!
//! Forces are those on the rider, both sides summed. Three kinds, all linear:
//! - **ball, heel, seat**: a normal force N in [low, high] along `normal` and, in the x–z plane square to it, a
//!   tangential force |T| ≤ `friction`·N;
//! - **toe stop, hoop**: a frictionless push N in [low, high] along `normal`;
//! - **grips**: with the left hand's force doubled, G = (x of both hands, 2·y of the left hand, z of both hands),
//!   each of the five records `grip`, `grip_rising`, `grip_across`, `grip_falling`, `grip_along` bounds one
//!   component: low ≤ normal·G ≤ high. The first four normals lie square to the grip, 45° apart, and make an octagon
//!   round its axis; `grip` itself points from the shoulder to the grip. Towards that side the hand hangs on its
//!   fingers (pull-off), towards the other it pushes. The octagon is **inscribed** in the circle of each limit, so no
//!   force of the model exceeds it in any direction; in the middle of a face it allows cos 22.5° = 92 % of it.
//!   The fifth bounds sliding along the bar.
//!
//! Lateral forces on boots and seat are left out: mirrored, they cancel, and nobody spreads the feet to brace.

use super::Options;
use super::outcome::Contact;
use super::statics::Gives;
use crate::sled::Cockpit;
use crate::stance::Pose;
use crate::units::Point;

/// How slippery everything is. Never one value only: a result is worth showing at all three.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum FrictionLevel {
    /// Iced boards and grips, wet seat.
    Low,
    /// Wet packed snow, dry glove and seat.
    #[default]
    Middle,
    /// Dry serrated board, tacky glove, gripper seat.
    High,
}

/// A pair of surfaces with its friction coefficients and where they come from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Friction {
    /// The pair.
    pub pair: &'static str,
    /// Coefficient at each [`FrictionLevel`], low to high.
    pub levels: [f64; 3],
    /// Where it comes from.
    pub source: &'static str,
}

/// Boot sole on the running board's edge and rungs.
pub const BOOT_ON_BOARD: Friction = Friction {
    pair: "boot on board",
    levels: [0.1, 0.4, 0.8],
    source: "our choice: soles on hard ice 0.18 to 0.24 and on melting ice 0.06 (a study of abraded soles, abstract), \
             slips on wet gratings from 10 to 20° of slope (Pollard, Heberger and Dempsey 2015, IIE Trans. Occup. \
             Ergon. 3:115), ramp class R13 above 35° = 0.70 (DIN 51130, from memory)",
};

/// Glove on rubber grip; it acts along the bar only, across it the fingers hold.
pub const GLOVE_ON_GRIP: Friction = Friction {
    pair: "glove on grip",
    levels: [0.3, 0.6, 0.74],
    source: "our choice within published coefficients of gloves and bare hands on a handle: polyester 0.32, bare 0.50, \
             latex 0.74 (Hur, Seo et al., hand breakaway model)",
};

/// Clothing on the seat's cover.
pub const CLOTHES_ON_SEAT: Friction = Friction {
    pair: "clothes on seat",
    levels: [0.3, 0.5, 0.7],
    source: "our choice within published coefficients: trousers on vinyl 0.50 to 0.57, on fabric 0.34 to 0.45 (Lamsal \
             and Bush 2024, Exp. Tech.); wet and gripper covers our choice",
};

impl Assumed {
    /// Every assumed limit at one end of its range or in the middle.
    pub const fn at(level: FrictionLevel) -> Self {
        let level = level as usize;
        Self {
            push_on_bar: PUSH_ON_BAR.range[level],
            toe_stop: TOE_STOP.range[level],
            hoop: HOOP.range[level],
            seat: SEAT.range[level],
        }
    }
}

impl Friction {
    /// The coefficient at a level.
    pub const fn at(&self, level: FrictionLevel) -> f64 {
        self.levels[level as usize]
    }
}

/// A limit without a published source: a named input with its range.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AssumedLimit {
    /// What it is, as results name it.
    pub name: &'static str,
    /// Low, middle and high value, N, both sides together.
    pub range: [f64; 3],
    /// Why this range.
    pub source: &'static str,
}

/// Push of both hands on the bar.
pub const PUSH_ON_BAR: AssumedLimit = AssumedLimit {
    name: "push on the bar",
    range: [600.0, 1000.0, 1200.0],
    source: "common practice, no source: about a bench press of 0.7 to 1.4 body weights",
};

/// Rearward push of both toe stops on the boots.
pub const TOE_STOP: AssumedLimit = AssumedLimit {
    name: "toe stop",
    range: [800.0, 1500.0, 2000.0],
    source: "common practice, no source: boot shank and stirrup bolts, not the foot, are the limit",
};

/// Downward hold of both hoops on the boots.
pub const HOOP: AssumedLimit = AssumedLimit {
    name: "hoop",
    range: [0.0, 0.0, 300.0],
    source: "our choice: none by default, since boots must leave freely",
};

/// Name of a lifted heel's limit.
pub(super) const LIFTED_HEEL: &str = "lifted heel";

/// Gap under the heel at which it carries nothing, mm; our choice. Sole, liner and packed snow give: without a fade the
/// hold would jump where a heel leaves the board by a hair, and so would every set-up that rests on it.
const HEEL_FADES: f64 = 15.0;

/// What a heel carries as the gap closes, N, both sides: more than joint moments ever ask; our choice.
const HEEL_FULL: f64 = 6000.0;

/// Push of the seat on the pelvis.
pub const SEAT: AssumedLimit = AssumedLimit {
    name: "seat",
    range: [1500.0, 3000.0, 4500.0],
    source: "our choice: two, four and six body weights of 75 kg; the spine, not a muscle, is the limit, and joint \
             moments alone would let a seated rider take any blow",
};

/// The limits that no source gives, N, both sides together. A result says where one of them decides.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Assumed {
    /// Push of both hands on the bar.
    pub push_on_bar: f64,
    /// Rearward push of both toe stops.
    pub toe_stop: f64,
    /// Downward hold of both hoops.
    pub hoop: f64,
    /// Push of the seat.
    pub seat: f64,
}

impl Default for Assumed {
    fn default() -> Self {
        Self {
            push_on_bar: PUSH_ON_BAR.range[1],
            toe_stop: TOE_STOP.range[1],
            hoop: HOOP.range[1],
            seat: SEAT.range[1],
        }
    }
}

/// Hold along the bar as a share of pull-off square to it, middle friction.
///
/// Young et al. 2009, Hum. Factors 51:705: 435 N on a bar along the pull against 668 N on one square to it; rounded
/// down, since Young et al. 2012 found the square bar 75 to 94 % stronger. Scaled with the glove's friction (our choice).
const ALONG_BAR: f64 = 0.6;

/// Pull-off on a slippery bar as a share of pull-off on a grippy one: 1.26 and 1.58 times grip strength (Young et al.
/// 2009, Hum. Factors 51:705).
const SLIPPERY_PULL_OFF: f64 = 1.26 / 1.58;

/// cos 22.5°: apothem of an octagon inscribed in the unit circle.
const OCTAGON_APOTHEM: f64 = 0.923_879_532_511_286_7;

/// How far the boot's toe may stand behind the toe stop and still count as touching, mm.
const TOUCH: f64 = 1.0;

/// What a hand force may be, one of the five records of the grip.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct GripRow {
    /// Component that is bounded.
    pub normal: Point,
    /// Least, N, both hands.
    pub low: f64,
    /// Greatest, N, both hands.
    pub high: f64,
    /// What gives at either end.
    pub gives: (Gives, Gives),
}

/// The five records' names, in the order of [`grip_rows`].
pub(super) const GRIP_NAMES: [&str; 5] = [
    "grip",
    "grip_rising",
    "grip_across",
    "grip_falling",
    "grip_along",
];

/// Bounds on the doubled force of the hand: `pull` and `push` are limits of both hands, N.
pub(super) fn grip_rows(
    arm: Point,
    axis: Point,
    pull: f64,
    push: f64,
    friction: FrictionLevel,
) -> [GripRow; 5] {
    let out = unit_or(arm - axis * axis.dot(&arm), Point::new(1.0, 0.0, 0.0));
    let across = axis.cross(&out);
    let grippy = match friction {
        FrictionLevel::Low => SLIPPERY_PULL_OFF,
        FrictionLevel::Middle | FrictionLevel::High => 1.0,
    };
    let along =
        pull * ALONG_BAR * GLOVE_ON_GRIP.at(friction) / GLOVE_ON_GRIP.at(FrictionLevel::Middle);
    let (pull, push) = (pull * grippy * OCTAGON_APOTHEM, push * OCTAGON_APOTHEM);
    let weaker = pull.min(push);
    let half = core::f64::consts::FRAC_1_SQRT_2;
    let face = |normal, low: f64, high, gives| GripRow {
        normal,
        low: -low,
        high,
        gives,
    };
    let pushed = Gives::Assumed(PUSH_ON_BAR.name);
    let both = (pushed, Gives::Grip);
    let weaker_gives = if push < pull { pushed } else { Gives::Grip };
    [
        face(out, push, pull, both),
        face((out + across) * half, push, pull, both),
        face(across, weaker, weaker, (weaker_gives, weaker_gives)),
        face((out - across) * half, push, pull, both),
        face(axis, along, along, (Gives::AlongBar, Gives::AlongBar)),
    ]
}

/// Every contact of the pose, in a fixed order: ball, heel, toe stop, hoop, grip records, seat.
pub(super) fn contacts(
    cockpit: &Cockpit,
    pose: &Pose,
    grip: &[GripRow; 5],
    instep: f64,
    options: &Options,
) -> Vec<Contact> {
    let p = &pose.points;
    let assumed = &options.assumed;
    let pitch = cockpit.sled.board.pitch;
    let along = Point::new(pitch.cos(), 0.0, pitch.sin());
    let up = Point::new(-pitch.sin(), 0.0, pitch.cos());
    let contact = |name, point, normal, friction, high: f64, assumed| Contact {
        name,
        point,
        normal,
        friction,
        low: 0.0,
        high: high.max(0.0),
        assumed,
    };
    let sole = |name, point| {
        let friction = BOOT_ON_BOARD.at(options.friction);
        contact(name, point, up, friction, f64::INFINITY, false)
    };
    let mut found = vec![sole("ball", p.ball)];
    let heel = sole("heel", p.heel);
    let gap = (p.heel - p.ball).dot(&up);
    if gap <= 0.0 {
        found.push(heel);
    } else if gap < HEEL_FADES {
        found.push(Contact {
            high: HEEL_FULL * (1.0 - gap / HEEL_FADES),
            assumed: true,
            ..heel
        });
    }
    if (p.toe_stop - p.toe).dot(&along) <= TOUCH {
        found.push(contact(
            "toe_stop",
            p.toe_stop,
            -along,
            0.0,
            assumed.toe_stop,
            true,
        ));
        let over = p.ball + up * instep;
        found.push(contact("hoop", over, -up, 0.0, assumed.hoop, true));
    }
    found.extend(GRIP_NAMES.iter().zip(grip).map(|(name, row)| Contact {
        name,
        point: p.grip,
        normal: row.normal,
        friction: 0.0,
        low: row.low,
        high: row.high,
        assumed: row.gives.0.is_assumed() || row.gives.1.is_assumed(),
    }));
    if pose.seated {
        let (_, slope) = cockpit.sled.seat_line.height(p.seat.x);
        let normal = Point::new(-slope, 0.0, 1.0) / (1.0 + slope * slope).sqrt();
        let friction = CLOTHES_ON_SEAT.at(options.friction);
        found.push(contact(
            "seat",
            p.seat,
            normal,
            friction,
            assumed.seat,
            true,
        ));
    }
    found
}

/// The vector's direction, or `fallback` where it has none.
pub(super) fn unit_or(v: Point, fallback: Point) -> Point {
    let length = v.norm();
    if length > 1e-9 { v / length } else { fallback }
}
