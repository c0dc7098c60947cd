//! What a stance of a set-up gives besides its hold fore and aft: corners, the hips' room, standing up.

use crate::fit::{Request, SetUp, StanceResult};
use crate::hold::{
    CornerHold, FORCE_CAP, Limits, NotHeld, Rising, SideEdge, Sideways, Statics, Travel,
    standing_up,
};
use crate::sled::{Cockpit, Sled};
use crate::stance::{HipRegion, Pose, Problem, Stance, between, hip_region};
use crate::units::Angle;

/// Bank of the second corner: a berm that a sled has carved. Our choice.
pub const BANK: Angle = Angle::from_deg(15.0);

/// How far the hips are shifted to the inside in the corner stance, mm: a hand's breadth off the seat's middle. Our choice.
pub const SHIFT: f64 = 60.0;

/// Poses between the seat and standing; our choice: 2 cm of the hips' way each.
const POSES: u32 = 24;

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

/// What a stance of a set-up gives.
#[derive(Clone, Debug)]
pub struct Leverage {
    /// Each corner, and what is held of it.
    pub corners: Vec<(Taken, Result<CornerHold, NotHeld>)>,
    /// The sideways envelope on the sled as it is, hips in the middle; empty where nothing is held.
    pub side: Vec<SideEdge>,
    /// What carries sideways there.
    pub carriers: Vec<&'static str>,
    /// Where the hips can go; none for a seated stance or one out of reach.
    pub room: Option<HipRegion>,
    /// How far the legs give, and the drop they take up.
    pub travel: Option<Travel>,
    /// Standing up from the seat into this stance; none for a seated one.
    pub rising: Option<Rising>,
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

/// Works it out for the stance at a place of the request's.
pub fn leverage(request: &Request, set_up: &SetUp, place: usize) -> Option<Leverage> {
    let (stance, result) = (request.stances.get(place)?, set_up.stances.get(place)?);
    let own = request.sled.stirrup.edge_protector.is_some();
    let taken = |bank: Angle, shift: f64, protector: bool| Taken {
        bank,
        shift,
        protector,
    };
    let level = Angle::ZERO;
    let corners = [
        taken(level, 0.0, own),
        taken(BANK, 0.0, own),
        taken(level, SHIFT, own),
        taken(level, 0.0, !own),
    ];
    let corners = corners.map(|corner| {
        let sled = guarded(request.sled, corner.protector);
        let cockpit = Cockpit::new(&sled, set_up.settings);
        let sideways = sideways(request, &cockpit, stance, result, corner.shift);
        (
            corner,
            sideways.and_then(|sideways| sideways.corner(corner.bank)),
        )
    });
    let cockpit = Cockpit::new(request.sled, set_up.settings);
    let upright = sideways(request, &cockpit, stance, result, 0.0).ok();
    let problem = Problem::new(request.rider, &cockpit, stance, 0.0);
    let standing = !stance.contacts.seated;
    Some(Leverage {
        corners: corners.into_iter().collect(),
        side: upright.as_ref().map(Sideways::envelope).unwrap_or_default(),
        carriers: upright.map(|s| s.carriers()).unwrap_or_default(),
        room: standing
            .then(|| hip_region(&problem, &problem.from_pose(&result.posture.pose)))
            .flatten(),
        travel: result.hold.travel.clone(),
        rising: standing
            .then(|| rising(request, set_up, &cockpit, stance, &result.posture.pose))
            .flatten(),
    })
}

fn sideways(
    request: &Request,
    cockpit: &Cockpit,
    stance: &Stance,
    result: &StanceResult,
    shift: f64,
) -> Result<Sideways, NotHeld> {
    Sideways::new(
        request.rider,
        cockpit,
        stance,
        &result.posture.pose,
        &request.options,
        shift,
    )
}

/// Standing up from the first seated stance.
fn rising(
    request: &Request,
    set_up: &SetUp,
    cockpit: &Cockpit,
    stance: &Stance,
    pose: &Pose,
) -> Option<Rising> {
    let seat = request.stances.iter().position(|s| s.contacts.seated)?;
    let from = (
        &request.stances[seat],
        &set_up.stances.get(seat)?.posture.pose,
    );
    let poses: Vec<Pose> = (0..=POSES)
        .map(|k| {
            let share = f64::from(k) / f64::from(POSES);
            between(request.rider, cockpit, from, (stance, pose), share).1
        })
        .collect();
    let capacity = |pose: &Pose| {
        let limits = Limits::of(request.rider, cockpit, stance, &pose.angles);
        Statics::new(request.rider, cockpit, pose, limits, &request.options).vertical_capacity()
    };
    standing_up(&poses, capacity, FORCE_CAP)
}
