//! What a stance of a set-up gives besides its hold fore and aft: corners, the hips' room, standing up.

use crate::fit::{Request, SetUp};
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
    let on = |protector: bool, shift: f64| {
        let sled = guarded(request.sled, protector);
        Sideways::new(
            request.rider,
            &Cockpit::new(&sled, set_up.settings),
            stance,
            &result.posture.pose,
            &request.options,
            shift,
        )
    };
    let upright = on(own, 0.0);
    let corner =
        |sideways: &Result<Sideways, NotHeld>, bank: Angle, shift: f64, protector: bool| {
            let taken = Taken {
                bank,
                shift,
                protector,
            };
            let held = sideways.as_ref().map_err(Clone::clone);
            (taken, held.and_then(|sideways| sideways.corner(bank)))
        };
    let corners = vec![
        corner(&upright, Angle::ZERO, 0.0, own),
        corner(&upright, BANK, 0.0, own),
        corner(&on(own, SHIFT), Angle::ZERO, SHIFT, own),
        corner(&on(!own, 0.0), Angle::ZERO, 0.0, !own),
    ];
    let cockpit = Cockpit::new(request.sled, set_up.settings);
    let problem = Problem::new(request.rider, &cockpit, stance, 0.0);
    let standing = !stance.contacts.seated;
    let (side, carriers) = upright.map_or_else(
        |_| Default::default(),
        |upright| (upright.envelope(), upright.carriers()),
    );
    Some(Leverage {
        corners,
        side,
        carriers,
        room: standing
            .then(|| hip_region(&problem, &problem.from_pose(&result.posture.pose)))
            .flatten(),
        travel: result.hold.travel.clone(),
        rising: standing
            .then(|| rising(request, set_up, &cockpit, stance, &result.posture.pose))
            .flatten(),
    })
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
