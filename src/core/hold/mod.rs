//! Hold: what a stance can resist, what it costs to stand there, and how far the legs can give.
//!
//! Quasi-static and symmetric. [`Statics`] writes balance, joint moments and contact limits of a pose as linear rows;
//! over them run linear programs (named [loads](Statics::load), [envelope](Statics::envelope), steering hold) and one
//! quadratic program (working load at rest). Forces act on the rider; forces and moments sum both sides.
//! Loads are specific forces f in g, as an ideal logger reads them: (0, 1) at rest.

mod contacts;
mod envelope;
mod joints;
mod loads;
mod outcome;
mod rising;
mod rows;
mod sideways;
mod statics;
mod steering;
mod tiring;
mod travel;
mod vibration;
mod working;

pub use contacts::{
    Assumed, AssumedLimit, BOOT_ON_BOARD, CLOTHES_ON_SEAT, Friction, FrictionLevel, GLOVE_ON_GRIP,
    HOOP, PUSH_ON_BAR, SEAT, TOE_STOP,
};
pub use joints::{JOINTS, Joint, Limits};
pub use outcome::{
    Contact, Edge, Effort, Held, Hold, JointMoment, LoadHold, NotHeld, SteeringHold, Travel,
    Working,
};
pub use rising::{Rising, standing_up};
pub use rows::{Row, Stated};
pub use sideways::{
    BANK, CornerHold, EDGE_PROTECTOR, HIPS_SIDEWAYS, KNEE_NEAR, SHIFT, SIDE_BEND, SideEdge,
    SideLimit, SideLimits, Sideways, Taken, corners,
};
pub use statics::{Statics, segment_com};
pub use tiring::{HOLDING_LIMITS, Holding, LEAST_EFFORT, Muscles};
pub use travel::{FORCE_CAP, Pace, leg_travel};
pub use vibration::{ACTION_VALUE, LIMIT_VALUE, VIBRATION_CAUTION, Vibration, VibrationError};

use crate::rider::Rider;
use crate::sled::Cockpit;
use crate::stance::{Load, Pose, Stance};

/// What no measurement says: how slippery it is, and the limits that no source gives.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Options {
    /// Friction of boots, gloves and seat.
    pub friction: FrictionLevel,
    /// Assumed limits.
    pub assumed: Assumed,
}

/// Everything about a pose's hold but leg travel, which needs the posture solver (see [`leg_travel`]).
pub fn evaluate(
    rider: &Rider,
    cockpit: &Cockpit,
    stance: &Stance,
    pose: &Pose,
    options: &Options,
) -> Hold {
    let limits = Limits::of(rider, cockpit, stance, &pose.angles);
    evaluate_within(rider, cockpit, stance, pose, limits, options)
}

/// The same within limits that are at hand already; at lock the arms' limits come from the rider.
pub fn evaluate_within(
    rider: &Rider,
    cockpit: &Cockpit,
    stance: &Stance,
    pose: &Pose,
    limits: Limits,
    options: &Options,
) -> Hold {
    let statics = Statics::new(rider, cockpit, pose, limits, options);
    Hold {
        contacts: statics.contacts().to_vec(),
        loads: Load::ALL.iter().map(|load| statics.load(*load)).collect(),
        envelope: statics.envelope(),
        steering: steering::steering(rider, cockpit, stance, pose, &limits, options),
        working: working::working(&statics),
        travel: None,
    }
}

/// Moment about the post axis that both hands can resist with the bars straight, N·m.
pub fn steering_straight(
    rider: &Rider,
    cockpit: &Cockpit,
    stance: &Stance,
    pose: &Pose,
    options: &Options,
) -> f64 {
    let limits = Limits::of(rider, cockpit, stance, &pose.angles);
    steering::straight(rider, cockpit, stance, pose, &limits, options)
}

/// How far one load is held, g; `None` where its start is not. For many loads of one pose set up [`Statics`] once.
pub fn load_factor(
    rider: &Rider,
    cockpit: &Cockpit,
    stance: &Stance,
    pose: &Pose,
    load: Load,
    options: &Options,
) -> Option<f64> {
    let limits = Limits::of(rider, cockpit, stance, &pose.angles);
    Statics::new(rider, cockpit, pose, limits, options).load_factor(load)
}
