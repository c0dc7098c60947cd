//! Sideways hold: what a stance resists in a corner and on a bank.
//!
//! The program of [`super::Statics`] with both sides written out: each boot, hand and knee has forces of its own, balance
//! has six rows, and the specific force three components (f_x, f_y, f_z), y to the left. At f_y = 0 it is the symmetric
//! program again (tested). What a corner adds:
//!
//! - *Boots* carry sideways by friction, its cone narrowed to the edges n ± μx and n + μy; the outer boot also pushes
//!   against the board's *edge protector*, where there is one beside it.
//! - *Knees* and the *seat* carry sideways where they touch: the inner knee against the sled's side, if it is near enough
//!   to be laid against it ([`KNEE_NEAR`]); no friction is counted there.
//! - *Nobody squeezes*: boots, knees and seat push to the inside of the corner alone, and none by more than the corner
//!   asks. Pressing knees or boots against each other holds more and tires; counting it would also make the straight-ahead
//!   hold another than that of the symmetric program.
//! - The *trunk* bends sideways at L5/S1 and *both hips* share what the pelvis leans on them: two more limits
//!   ([`SIDE_BEND`], [`HIPS_SIDEWAYS`]). Both are nil in a symmetric load. Twisting of the trunk is not limited, for want
//!   of a figure.
//! - The *corner stance* shifts hips, trunk and shoulders to the inside; boots stay on the boards, hands on the grips,
//!   limbs keep their lengths.
//!
//! Left out, so that the true hold may differ: the footwell's inner wall, the stirrup's hoop as a stop sideways, a head
//! that tilts, a stirrup set back on one side. Quasi-static, as all holds here. Units: mm, N, N·m, g.

mod body;
mod program;
mod taken;

use super::Options;
use super::joints::{Joint, Limits};
use super::outcome::NotHeld;
use super::rows::Stated;
use crate::program::linear::Range;
use crate::rider::{Action, Rider, Strength, TWO_LIMBS};
use crate::sled::Cockpit;
use crate::stance::{Pose, Stance};
use crate::units::Angle;

pub use body::KNEE_NEAR;
pub use program::EDGE_PROTECTOR;
use program::Rows;
pub use taken::{BANK, SHIFT, Taken, corners};

/// Strength of bending the trunk sideways as a share of its peak extension: 0.68 in healthy men and women standing
/// (McNeill, Warwick, Andersson and Schultz 1980, Spine 5:529, from memory), rounded down.
pub const SIDE_BEND: f64 = 0.6;

/// Strength of one hip sideways as a share of its peak extension: abductors 1.29 N·m/kg in men and 1.13 in women
/// (Sugimoto et al. 2014, Clin. J. Sport Med. 24:422, concentric at 60°/s, 36 athletes), of our reference bodies' 205 and
/// 145 N·m; both sexes come to 0.47. Adductors are taken as strong as abductors: our choice.
pub const HIPS_SIDEWAYS: f64 = 0.47;

/// What holds at a corner.
#[derive(Clone, Debug, PartialEq)]
pub struct SideLimit {
    /// The corner's acceleration across, level, g: v²/(r·g). Negative: towards the outside.
    pub g: f64,
    /// What gives beyond it.
    pub gives_first: String,
    /// Whether that limit is an assumed one.
    pub assumed: bool,
}

/// The corners that a stance holds on one bank.
#[derive(Clone, Debug, PartialEq)]
pub struct CornerHold {
    /// The gentlest: below it the rider falls to the inside.
    pub least: SideLimit,
    /// The hardest: beyond it the rider is thrown to the outside.
    pub most: SideLimit,
}

/// A vertex of the sideways envelope and the edge that starts there, counter-clockwise.
#[derive(Clone, Debug, PartialEq)]
pub struct SideEdge {
    /// Specific force along y, g; positive to the inside of the corner.
    pub f_y: f64,
    /// Specific force along z, g.
    pub f_z: f64,
    /// What gives first along the edge to the next vertex.
    pub gives_first: String,
}

/// The strengths that only a corner asks for, N·m.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SideLimits {
    /// Bending the trunk to either side.
    pub trunk: f64,
    /// Both hips together, to either side.
    pub hips: f64,
}

impl SideLimits {
    /// Of this rider.
    pub fn of(strength: &Strength) -> Self {
        Self {
            trunk: SIDE_BEND * strength.peak(Action::TrunkExtension),
            hips: 2.0 * TWO_LIMBS * HIPS_SIDEWAYS * strength.peak(Action::HipExtension),
        }
    }
}

/// One pose in a corner to the left.
#[derive(Clone, Debug)]
pub struct Sideways {
    /// Thrown to the outside: forces act to the left.
    outward: Rows,
    /// Falling to the inside: the same, mirrored.
    inward: Rows,
}

impl Sideways {
    /// Sets up both ways of falling; an error where the shifted body does not reach boots or grips.
    pub fn new(
        rider: &Rider,
        cockpit: &Cockpit,
        stance: &Stance,
        pose: &Pose,
        options: &Options,
        shift: f64,
    ) -> Result<Self, NotHeld> {
        let limits = Limits::of(rider, cockpit, stance, &pose.angles);
        let side = SideLimits::of(&rider.strength);
        Self::within(rider, cockpit, stance, pose, options, shift, limits, side)
    }

    /// The same within limits that are at hand already.
    #[allow(
        clippy::too_many_arguments,
        reason = "the same things as everywhere in this station, and two limits"
    )]
    pub fn within(
        rider: &Rider,
        cockpit: &Cockpit,
        stance: &Stance,
        pose: &Pose,
        options: &Options,
        shift: f64,
        limits: Limits,
        side: SideLimits,
    ) -> Result<Self, NotHeld> {
        let rows = |shift: f64| {
            let body = body::Body::new(rider, stance, pose, shift, &limits)?;
            Ok(Rows::new(
                rider, cockpit, pose, &body, options, &limits, side,
            ))
        };
        Ok(Self {
            outward: rows(shift)?,
            inward: rows(-shift)?,
        })
    }

    /// The corners held on a bank. They start from the one in which nothing pushes sideways, tan(bank).
    pub fn corner(&self, bank: Angle) -> Result<CornerHold, NotHeld> {
        let level = bank.sin() / bank.cos();
        let limit = |rows: &Rows, sign: f64| {
            let (start, direction) = across(bank, sign);
            let (way, gives) = rows.farthest(start, direction)?;
            Ok(SideLimit {
                g: level + sign * way,
                gives_first: gives.words(),
                assumed: gives.is_assumed(),
            })
        };
        Ok(CornerHold {
            least: limit(&self.inward, -1.0)?,
            most: limit(&self.outward, 1.0)?,
        })
    }

    /// How far outside what is held a load (f_x, f_y, f_z) lies, g: along its way from rest, which is (0, 0, 1); negative
    /// inside. All of the way where rest itself is not held.
    pub fn beyond(&self, f: [f64; 3]) -> f64 {
        let rows = if f[1] < 0.0 {
            &self.inward
        } else {
            &self.outward
        };
        let way = [f[0], f[1].abs(), f[2] - 1.0];
        let length = libm::hypot(libm::hypot(way[0], way[1]), way[2]);
        let direction = way.map(|part| part / length.max(f64::MIN_POSITIVE));
        let held = rows.farthest([0.0, 0.0, 1.0], direction);
        length - held.map_or(0.0, |(reach, _)| reach)
    }

    /// The programs of [`Sideways::corner`] for its gentlest and its hardest corner. The last unknown is how far the
    /// corner is from the one in which nothing pushes sideways, g.
    pub fn stated(&self, bank: Angle) -> [Stated<Vec<f64>>; 2] {
        [(&self.inward, -1.0), (&self.outward, 1.0)].map(|(rows, sign)| {
            let (start, direction) = across(bank, sign);
            rows.stated(start, [direction], [Range::at_least(0.0)])
        })
    }

    /// The envelope in (f_y, f_z) at f_x = 0, counter-clockwise; empty where nothing is held. Both halves meet at f_y = 0.
    pub fn envelope(&self) -> Vec<SideEdge> {
        // From the lowest point without sideways force round to the highest one.
        let from_below = |mut half: Vec<SideEdge>| {
            let lowest = half
                .iter()
                .enumerate()
                .filter(|(_, v)| v.f_y < ON_AXIS)
                .min_by(|a, b| a.1.f_z.total_cmp(&b.1.f_z))
                .map_or(0, |(at, _)| at);
            half.rotate_left(lowest);
            half
        };
        let mut all = from_below(self.outward());
        // The highest point is that of the other half too.
        all.pop();
        let back = from_below(half(&self.inward));
        all.extend(back.windows(2).rev().map(|edge| SideEdge {
            f_y: -edge[1].f_y,
            f_z: edge[1].f_z,
            gives_first: edge[0].gives_first.clone(),
        }));
        all
    }

    /// The part of the envelope with f_y ≥ 0, closed along that axis, counter-clockwise: convex, where the whole may have a
    /// dent on the axis. The edge on the axis is no limit.
    pub fn outward(&self) -> Vec<SideEdge> {
        half(&self.outward)
    }

    /// The symmetric envelope as this program's slice at f_y = 0: points (f_x, f_z), counter-clockwise.
    pub fn straight_ahead(&self) -> Vec<(f64, f64)> {
        let found = self
            .outward
            .traced([[1.0, 0.0, 0.0], [0.0, 0.0, 1.0]], [Range::FREE; 2]);
        found.into_iter().map(|(u, v, _)| (u, v)).collect()
    }

    /// What can push sideways here: `boot`, `edge protector`, `knee`, `seat`.
    pub fn carriers(&self) -> Vec<&'static str> {
        self.outward.carriers()
    }

    /// Contact forces that hold (f_x, f_y, f_z), each with its carrier and its place, for checks; `None` where it is not
    /// held.
    pub fn witness(
        &self,
        f: [f64; 3],
    ) -> Option<Vec<(&'static str, crate::units::Point, crate::units::Point)>> {
        self.outward.witness(f)
    }
}

/// Where corners on a bank start in (f_x, f_y, f_z), and which way they go from there: `sign` +1 towards the outside, −1
/// towards the inside, mirrored.
fn across(bank: Angle, sign: f64) -> ([f64; 3], [f64; 3]) {
    let (sin, cos) = (bank.sin(), bank.cos());
    ([0.0, 0.0, 1.0 / cos], [0.0, cos, sign * sin])
}

fn half(rows: &Rows) -> Vec<SideEdge> {
    let plane = [[0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];
    let found = rows.traced(plane, [Range::at_least(0.0), Range::FREE]);
    let edge = |(f_y, f_z, gives_first)| SideEdge {
        f_y,
        f_z,
        gives_first,
    };
    found.into_iter().map(edge).collect()
}

/// f_y below this lies on the axis, g: the polygon's resolution with a margin.
const ON_AXIS: f64 = 1e-6;

/// The joints of one side.
const SIDE_JOINTS: [Joint; 6] = [
    Joint::Ankle,
    Joint::Knee,
    Joint::Hip,
    Joint::Shoulder,
    Joint::ShoulderHorizontal,
    Joint::Elbow,
];
