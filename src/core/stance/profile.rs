//! Stored form of a stance: angles in degrees, each with its source. Format `sledstance-stance`, schema 1.
//!
//! A coach adds a stance by adding a file; the shipped ones in `rider-profiles/stances/` take the same path.

use serde::{Deserialize, Serialize};

use super::definition::{Balance, Contacts, Goal, Hands, JointRange, Load, Stance, StanceRanges};
use crate::document::{self, DocumentError};
use crate::units::Angle;

/// Format name in the envelope.
pub const FORMAT: &str = "sledstance-stance";
/// Newest version of the stored form.
pub const SCHEMA: u32 = 1;

/// The shipped stances' texts, in the order in which they are reported.
const SHIPPED: [&str; 4] = [
    include_str!("../../../rider-profiles/stances/seated.json"),
    include_str!("../../../rider-profiles/stances/ready.json"),
    include_str!("../../../rider-profiles/stances/attack.json"),
    include_str!("../../../rider-profiles/stances/braced.json"),
];

/// A stance as it is written down.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct StanceProfile {
    /// Its name: `ready`, `seated`, …
    pub name: String,
    /// One line for people.
    pub says: String,
    /// Whether the pelvis rests on the seat.
    pub seated: bool,
    /// Greatest heel lift, sole pitch about the ball of the foot, degrees; 0 keeps the heel down.
    pub heel_lift_max_deg: f64,
    /// How far the boot may slide back from the toe stop, mm; 0 keeps it there.
    pub foot_slide_max_mm: f64,
    /// Preferred angle, tolerance and hard limits of each joint.
    pub joints: JointsProfile,
    /// Where the centre of mass should be over the foot; left out where it is not judged.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub balance: Option<BalanceProfile>,
    /// What the hands do.
    pub hands: HandsProfile,
    /// Pitch of the gaze below the horizon, degrees.
    pub gaze_below_horizon_deg: f64,
    /// Loads that the stance should hold.
    #[serde(default)]
    pub hold_goals: Vec<GoalProfile>,
    /// Wanted leg travel, mm; 0 asks for none.
    #[serde(default)]
    pub leg_travel_goal_mm: f64,
    /// Share of the objective, such as the share of time spent in it.
    pub weight: f64,
    /// Whether the centre of mass is judged against the sled's balance mark in this stance.
    #[serde(default)]
    pub carries_weight_point: bool,
    /// Where its figures come from.
    pub source: String,
}

/// All joints of a stance. Clinical zero: knee, elbow and hip flexion 0 when straight.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct JointsProfile {
    /// Ankle dorsiflexion, 0 with the shank square to the sole.
    pub ankle: JointProfile,
    /// Knee flexion.
    pub knee: JointProfile,
    /// Hip flexion, trunk line to thigh.
    pub hip: JointProfile,
    /// Trunk lean from vertical, forward positive.
    pub trunk: JointProfile,
    /// Shoulder elevation from the trunk line.
    pub shoulder: JointProfile,
    /// Elbow flexion.
    pub elbow: JointProfile,
    /// Turn of the knee about the ankle-hip line; 0 points ahead, positive outward.
    pub knee_splay: JointProfile,
    /// Turn of the elbow about the shoulder-grip line; 0 hangs, 90 points out.
    pub elbow_swing: JointProfile,
    /// Wrist extension.
    pub wrist_extension: JointProfile,
    /// Ulnar deviation; 0 at the natural oblique grip.
    pub wrist_ulnar: JointProfile,
    /// Neck extension.
    pub neck: JointProfile,
}

/// Preferred angle, tolerance and hard limits of one joint.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct JointProfile {
    /// Preferred angle, degrees.
    pub preferred_deg: f64,
    /// One unit of discomfort away from it, degrees; positive.
    pub tolerance_deg: f64,
    /// Least allowed, degrees.
    pub low_deg: f64,
    /// Greatest allowed, degrees.
    pub high_deg: f64,
    /// Where the figures come from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub source: Option<String>,
}

/// Where the centre of mass should be over the foot.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct BalanceProfile {
    /// Wanted share of foot length ahead of the heel, 0 to 1.
    pub foot_share: f64,
    /// One unit of discomfort, as a share of foot length; positive.
    pub tolerance: f64,
}

/// What the hands do.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct HandsProfile {
    /// Fingers resting on the brake lever, 0 to 4; they do not hold the grip.
    pub brake_fingers: u8,
    /// Whether the thumb is on the throttle.
    pub thumb_on_throttle: bool,
}

/// A load that a stance should hold.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct GoalProfile {
    /// Under which load.
    pub load: LoadProfile,
    /// How much of it, g.
    pub g: f64,
    /// Weight of the squared shortfall, per g².
    pub weight_per_g2: f64,
}

/// A named load, as specific force in g.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
pub enum LoadProfile {
    /// The nose digs in: f_x falls from (0, 1).
    #[serde(rename = "short_landing_1g")]
    ShortLanding1g,
    /// The nose digs in on landing: f_x falls from (0, 2).
    #[serde(rename = "short_landing_2g")]
    ShortLanding2g,
    /// Acceleration: f_x grows from (0, 1).
    #[serde(rename = "start")]
    Start,
    /// f_z grows from (0, 1).
    #[serde(rename = "straight_drop")]
    StraightDrop,
}

/// Why a stance's stored form is no stance.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum StanceError {
    /// A value outside the allowed range, or not a number.
    #[error("{field}: {value} is outside the allowed {low} to {high}")]
    OutOfRange {
        /// Path of the field.
        field: String,
        /// The value.
        value: f64,
        /// Least allowed.
        low: f64,
        /// Greatest allowed.
        high: f64,
    },
    /// A load that two goals name.
    #[error("{field}: two goals for {load}; one load has one goal")]
    DuplicateGoal {
        /// Path of the second one.
        field: String,
        /// The load.
        load: &'static str,
    },
    /// A name without a letter.
    #[error("{field}: empty; a stance needs a name to be called by")]
    NoName {
        /// Path of the field.
        field: String,
    },
}

impl StanceError {
    /// Path of the field inside the stance's data: `joints.knee.low_deg`.
    pub fn field(&self) -> &str {
        match self {
            Self::OutOfRange { field, .. }
            | Self::DuplicateGoal { field, .. }
            | Self::NoName { field } => field,
        }
    }
}

/// Why a stance could not be read from a text.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum StanceReadError {
    /// The text is no stance's document.
    #[error(transparent)]
    Document(#[from] DocumentError),
    /// A value cannot be.
    #[error(transparent)]
    Value(#[from] StanceError),
}

/// No joint of a rider on a sled turns further, degrees.
const JOINT_BOUND: (f64, f64) = (-90.0, 180.0);
/// Least tolerance, degrees: a smaller one turns a preference into a hidden constraint.
const LEAST_TOLERANCE: f64 = 1.0;
/// Greatest goal of hold, g; the hardest measured landings of dummies were 20 to 34 g (Roberts & Hubbard 1971).
const GREATEST_GOAL: f64 = 30.0;

impl StanceProfile {
    /// Reads a stance's document.
    ///
    /// # Errors
    /// Where the text is not a stance's document; the values are checked by [`Self::resolve`].
    pub fn read(text: &str) -> Result<Self, DocumentError> {
        document::read(text, FORMAT, SCHEMA)
    }

    /// The text of its document.
    ///
    /// # Errors
    /// Where it cannot be written as JSON; no stance's profile is such.
    pub fn write(&self) -> Result<String, DocumentError> {
        document::write(FORMAT, SCHEMA, self)
    }

    /// Checks every value and makes the stance.
    ///
    /// # Errors
    /// Names the first field whose value cannot be, with the allowed range.
    pub fn resolve(&self) -> Result<Stance, StanceError> {
        if self.name.trim().is_empty() {
            return Err(StanceError::NoName {
                field: "name".to_owned(),
            });
        }
        let joints = &self.joints;
        let ranges = StanceRanges {
            ankle: joints.ankle.resolve("ankle")?,
            knee: joints.knee.resolve("knee")?,
            hip: joints.hip.resolve("hip")?,
            trunk: joints.trunk.resolve("trunk")?,
            shoulder: joints.shoulder.resolve("shoulder")?,
            elbow: joints.elbow.resolve("elbow")?,
            knee_splay: joints.knee_splay.resolve("knee_splay")?,
            elbow_swing: joints.elbow_swing.resolve("elbow_swing")?,
            wrist_extension: joints.wrist_extension.resolve("wrist_extension")?,
            wrist_ulnar: joints.wrist_ulnar.resolve("wrist_ulnar")?,
            neck: joints.neck.resolve("neck")?,
        };
        Ok(Stance {
            name: self.name.clone(),
            says: self.says.clone(),
            contacts: Contacts {
                seated: self.seated,
                heel_lift_max: Angle::from_deg(within(
                    "heel_lift_max_deg",
                    self.heel_lift_max_deg,
                    (0.0, 45.0),
                )?),
                foot_slide_max: within("foot_slide_max_mm", self.foot_slide_max_mm, (0.0, 600.0))?,
            },
            ranges,
            balance: self.balance()?,
            hands: Hands {
                brake_fingers: within(
                    "hands.brake_fingers",
                    f64::from(self.hands.brake_fingers),
                    (0.0, 4.0),
                )? as u8,
                thumb_on_throttle: self.hands.thumb_on_throttle,
            },
            gaze_below_horizon: Angle::from_deg(within(
                "gaze_below_horizon_deg",
                self.gaze_below_horizon_deg,
                (-30.0, 60.0),
            )?),
            goals: self.goals()?,
            leg_travel_goal: within("leg_travel_goal_mm", self.leg_travel_goal_mm, (0.0, 1000.0))?,
            weight: within("weight", self.weight, (0.0, 1000.0))?,
            carries_weight_point: self.carries_weight_point,
            source: self.source.clone(),
        })
    }

    fn balance(&self) -> Result<Balance, StanceError> {
        let Some(balance) = &self.balance else {
            return Ok(Balance {
                foot_share: None,
                tolerance: 1.0,
            });
        };
        Ok(Balance {
            foot_share: Some(within(
                "balance.foot_share",
                balance.foot_share,
                (0.0, 1.0),
            )?),
            tolerance: within("balance.tolerance", balance.tolerance, (0.01, 2.0))?,
        })
    }

    fn goals(&self) -> Result<Vec<Goal>, StanceError> {
        let mut goals: Vec<Goal> = Vec::with_capacity(self.hold_goals.len());
        for (i, goal) in self.hold_goals.iter().enumerate() {
            let load = Load::from(goal.load);
            if goals.iter().any(|g| g.load == load) {
                return Err(StanceError::DuplicateGoal {
                    field: format!("hold_goals[{i}].load"),
                    load: load.name(),
                });
            }
            goals.push(Goal {
                load,
                g: within(&format!("hold_goals[{i}].g"), goal.g, (0.0, GREATEST_GOAL))?,
                weight: within(
                    &format!("hold_goals[{i}].weight_per_g2"),
                    goal.weight_per_g2,
                    (0.0, 1000.0),
                )?,
            });
        }
        Ok(goals)
    }
}

impl JointProfile {
    fn resolve(&self, joint: &str) -> Result<JointRange, StanceError> {
        let field = |name: &str| format!("joints.{joint}.{name}");
        let low = within(&field("low_deg"), self.low_deg, JOINT_BOUND)?;
        let high = within(&field("high_deg"), self.high_deg, (low, JOINT_BOUND.1))?;
        let preferred = within(&field("preferred_deg"), self.preferred_deg, (low, high))?;
        let tolerance = within(
            &field("tolerance_deg"),
            self.tolerance_deg,
            (LEAST_TOLERANCE, 90.0),
        )?;
        Ok(JointRange {
            preferred: Angle::from_deg(preferred),
            tolerance: Angle::from_deg(tolerance),
            low: Angle::from_deg(low),
            high: Angle::from_deg(high),
        })
    }
}

fn within(field: &str, value: f64, (low, high): (f64, f64)) -> Result<f64, StanceError> {
    if (low..=high).contains(&value) {
        Ok(value)
    } else {
        Err(StanceError::OutOfRange {
            field: field.to_owned(),
            value,
            low,
            high,
        })
    }
}

impl From<LoadProfile> for Load {
    fn from(load: LoadProfile) -> Self {
        match load {
            LoadProfile::ShortLanding1g => Self::ShortLanding1g,
            LoadProfile::ShortLanding2g => Self::ShortLanding2g,
            LoadProfile::Start => Self::Start,
            LoadProfile::StraightDrop => Self::StraightDrop,
        }
    }
}

impl TryFrom<&StanceProfile> for Stance {
    type Error = StanceError;
    fn try_from(profile: &StanceProfile) -> Result<Self, StanceError> {
        profile.resolve()
    }
}

impl Stance {
    /// Reads a stance out of its document's text.
    ///
    /// # Errors
    /// Names the field whose shape or value is wrong.
    pub fn read(text: &str) -> Result<Self, StanceReadError> {
        Ok(StanceProfile::read(text)?.resolve()?)
    }

    /// The stances that come with the program: seated, ready, attack, braced.
    ///
    /// # Errors
    /// None as long as the files in `rider-profiles/stances/` are sound, which a test holds.
    pub fn shipped() -> Result<Vec<Self>, StanceReadError> {
        SHIPPED.iter().map(|text| Self::read(text)).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shipped_stances_load_and_share_the_time_out() {
        let stances = Stance::shipped().unwrap();
        let names: Vec<_> = stances.iter().map(|s| s.name.as_str()).collect();
        assert_eq!(names, ["seated", "ready", "attack", "braced"]);
        let share: f64 = stances.iter().map(|s| s.weight).sum();
        assert!((share - 1.0).abs() < 1e-12, "{share}");
        let carriers: Vec<_> = stances.iter().filter(|s| s.carries_weight_point).collect();
        assert_eq!(carriers.len(), 1);
        assert_eq!(carriers[0].name, "ready");
        assert!(stances.iter().all(|s| !s.source.is_empty()));
    }

    #[test]
    fn preferred_angles_of_the_standing_stances_close() {
        // On a level board with the heel down: hip = trunk lean + knee - dorsiflexion.
        for stance in Stance::shipped().unwrap() {
            if stance.contacts.seated {
                continue;
            }
            let r = &stance.ranges;
            let closes = r.trunk.preferred + r.knee.preferred - r.ankle.preferred;
            let gap = (closes - r.hip.preferred).abs().deg();
            assert!(gap <= r.hip.tolerance.deg(), "{}: {gap}", stance.name);
        }
    }
}
