//! The corners that stances are compared in.

use super::super::Options;
use super::super::outcome::NotHeld;
use super::{CornerHold, Sideways};
use crate::rider::Rider;
use crate::sled::{Cockpit, Settings, Sled};
use crate::stance::{Pose, Stance};
use crate::units::Angle;

/// Bank of the second corner: a berm that a sled has carved. Our choice.
pub const BANK: Angle = Angle::from_deg(15.0);

/// How far the hips are shifted to the inside in the corner stance, mm: a hand's breadth off the seat's middle. Our choice.
pub const SHIFT: f64 = 60.0;

/// A corner as it is taken.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Taken {
    /// Bank of the track, leaned to the inside.
    pub bank: Angle,
    /// Shift of the hips to the inside, mm.
    pub shift: f64,
    /// Whether there is an edge protector beside the boots.
    pub protector: bool,
}

impl Taken {
    /// Level, banked, and level with the hips to the inside on a sled with its `own` protector or none; then level and
    /// upright with or without one.
    pub const fn each(own: bool, protector: bool) -> [Self; 4] {
        let level = Self {
            bank: Angle::ZERO,
            shift: 0.0,
            protector: own,
        };
        [
            level,
            Self {
                bank: BANK,
                ..level
            },
            Self {
                shift: SHIFT,
                ..level
            },
            Self { protector, ..level },
        ]
    }
}

/// The same sled with or without an edge protector along the whole board.
fn guarded(sled: &Sled, protector: bool) -> Sled {
    let mut sled = sled.clone();
    sled.stirrup.edge_protector = match (protector, sled.stirrup.edge_protector) {
        (false, _) => None,
        (true, Some(own)) => Some(own),
        (true, None) => Some((sled.board.rear, sled.board.footwell_front)),
    };
    sled
}

#[allow(
    clippy::too_many_arguments,
    reason = "the same things as everywhere in this station, and the corners"
)]
/// What a pose on these settings holds of each corner.
pub fn corners<const N: usize>(
    rider: &Rider,
    sled: &Sled,
    settings: Settings,
    stance: &Stance,
    pose: &Pose,
    options: &Options,
    taken: [Taken; N],
) -> [Result<CornerHold, NotHeld>; N] {
    let mut known: Vec<((f64, bool), Result<Sideways, NotHeld>)> = Vec::new();
    taken.map(|taken| {
        let key = (taken.shift, taken.protector);
        let at = known.iter().position(|(own, _)| *own == key);
        let at = at.unwrap_or_else(|| {
            let sled = guarded(sled, taken.protector);
            let cockpit = Cockpit::new(&sled, settings);
            let body = Sideways::new(rider, &cockpit, stance, pose, options, taken.shift);
            known.push((key, body));
            known.len() - 1
        });
        let body = known[at].1.as_ref().map_err(Clone::clone);
        body.and_then(|body| body.corner(taken.bank))
    })
}
