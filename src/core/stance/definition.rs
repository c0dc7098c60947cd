//! What a stance is: contacts, preferred joint angles with hard limits, balance, hands, goals of hold.

use crate::units::Angle;

/// A stance. Comes from a data file; nothing here is known to the code by name.
#[derive(Clone, Debug, PartialEq)]
pub struct Stance {
    /// Its name: `ready`, `seated`, …
    pub name: String,
    /// One line for people.
    pub says: String,
    /// What touches what.
    pub contacts: Contacts,
    /// Preferred angle, tolerance and hard limits of each joint.
    pub ranges: StanceRanges,
    /// Where the centre of mass should be.
    pub balance: Balance,
    /// What the hands do.
    pub hands: Hands,
    /// Pitch of the gaze below the horizon.
    pub gaze_below_horizon: Angle,
    /// Wanted hold.
    pub goals: Vec<Goal>,
    /// Wanted leg travel, mm; 0 asks for none.
    pub leg_travel_goal: f64,
    /// Share of the objective.
    pub weight: f64,
    /// Whether the weight point is judged in this stance.
    pub carries_weight_point: bool,
    /// Where its figures come from.
    pub source: String,
}

/// What touches what.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Contacts {
    /// Whether the pelvis rests on the seat.
    pub seated: bool,
    /// Greatest heel lift (sole pitch about the ball); zero keeps the heel down.
    pub heel_lift_max: Angle,
    /// How far the boot may slide back from the toe stop, mm; zero keeps it there.
    pub foot_slide_max: f64,
}

/// Preferred angle, tolerance and hard limits of one joint.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct JointRange {
    /// Preferred.
    pub preferred: Angle,
    /// One unit of discomfort away from it; positive.
    pub tolerance: Angle,
    /// Least allowed.
    pub low: Angle,
    /// Greatest allowed.
    pub high: Angle,
}

/// All joints of a stance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StanceRanges {
    /// Ankle dorsiflexion.
    pub ankle: JointRange,
    /// Knee flexion.
    pub knee: JointRange,
    /// Hip flexion.
    pub hip: JointRange,
    /// Trunk lean.
    pub trunk: JointRange,
    /// Shoulder elevation from the trunk line.
    pub shoulder: JointRange,
    /// Elbow flexion.
    pub elbow: JointRange,
    /// Turn of the knee about the ankle-hip line; 0 points ahead, positive outward.
    pub knee_splay: JointRange,
    /// Turn of the elbow about the shoulder-grip line; 0 hangs, 90° points out.
    pub elbow_swing: JointRange,
    /// Wrist extension.
    pub wrist_extension: JointRange,
    /// Ulnar deviation.
    pub wrist_ulnar: JointRange,
    /// Neck extension.
    pub neck: JointRange,
}

/// Where the centre of mass should be over the foot.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Balance {
    /// Wanted share of foot length ahead of the heel; `None`: not judged (seated).
    pub foot_share: Option<f64>,
    /// One unit of discomfort, as a share of foot length; positive.
    pub tolerance: f64,
}

/// What the hands do.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hands {
    /// Fingers resting on the brake lever, 0 to 4.
    pub brake_fingers: u8,
    /// Whether the thumb holds the throttle (closed or full).
    pub thumb_on_throttle: bool,
}

/// A load that a stance should hold: from `start` along `direction` in the (f_x, f_z) plane, in g.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Load {
    /// f_x < 0 from (0, 1): the nose digs in.
    ShortLanding1g,
    /// f_x < 0 from (0, 2): the nose digs in on landing.
    ShortLanding2g,
    /// f_x > 0 from (0, 1): acceleration.
    Start,
    /// f_z > 0 from (0, 1).
    StraightDrop,
}

impl Load {
    /// All of them, in the order in which they are reported.
    pub const ALL: [Self; 4] = [
        Self::ShortLanding1g,
        Self::ShortLanding2g,
        Self::Start,
        Self::StraightDrop,
    ];

    /// The name in JSON and on the page.
    pub const fn name(self) -> &'static str {
        match self {
            Self::ShortLanding1g => "short_landing_1g",
            Self::ShortLanding2g => "short_landing_2g",
            Self::Start => "start",
            Self::StraightDrop => "straight_drop",
        }
    }

    /// The specific force from which the load grows, g.
    pub const fn start(self) -> (f64, f64) {
        match self {
            Self::ShortLanding2g => (0.0, 2.0),
            _ => (0.0, 1.0),
        }
    }

    /// The unit direction in which the load grows.
    pub const fn direction(self) -> (f64, f64) {
        match self {
            Self::ShortLanding1g | Self::ShortLanding2g => (-1.0, 0.0),
            Self::Start => (1.0, 0.0),
            Self::StraightDrop => (0.0, 1.0),
        }
    }
}

/// A wanted hold.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Goal {
    /// Under which load.
    pub load: Load,
    /// How much of it, g.
    pub g: f64,
    /// Weight of the squared shortfall (per g²).
    pub weight: f64,
}
