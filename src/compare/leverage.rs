//! What a stance of a set-up gives besides its hold fore and aft: corners, the hips' room, standing up.

use crate::fit::{Request, SetUp};
use crate::hold::{
    CornerHold, FORCE_CAP, Limits, NotHeld, Rising, SideEdge, Sideways, Statics, Taken, Travel,
    corners, standing_up,
};
use crate::sled::Cockpit;
use crate::stance::{HipRegion, Pose, Problem, Stance, between, hip_region};

/// Poses between the seat and standing; our choice: 2 cm of the hips' way each.
const POSES: u32 = 24;

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

/// Works it out for the stance at a place of the request's.
pub fn leverage(request: &Request, set_up: &SetUp, place: usize) -> Option<Leverage> {
    let (stance, result) = (request.stances.get(place)?, set_up.stances.get(place)?);
    let pose = &result.posture.pose;
    let (rider, sled, options) = (request.rider, request.sled, &request.options);
    let own = sled.stirrup.edge_protector.is_some();
    let taken = Taken::each(own, !own);
    let held = corners(rider, sled, set_up.settings, stance, pose, options, taken);
    let cockpit = Cockpit::new(request.sled, set_up.settings);
    let problem = Problem::new(request.rider, &cockpit, stance, 0.0);
    let standing = !stance.contacts.seated;
    let upright = Sideways::new(rider, &cockpit, stance, pose, options, 0.0);
    let (side, carriers) = upright.map_or_else(
        |_| Default::default(),
        |upright| (upright.envelope(), upright.carriers()),
    );
    Some(Leverage {
        corners: taken.into_iter().zip(held).collect(),
        side,
        carriers,
        room: standing
            .then(|| hip_region(&problem, &problem.from_pose(pose)))
            .flatten(),
        travel: result.hold.travel.clone(),
        rising: standing
            .then(|| rising(request, set_up, &cockpit, stance, pose))
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
