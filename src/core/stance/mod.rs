//! Stances: what a rider wants to do with the body, and the posture that does it best on given settings.

mod between;
mod cost;
mod definition;
mod descent;
mod kinematics;
mod pose;
mod posture;
pub mod profile;
mod region;
mod scalar;
mod step;

pub use between::between;
pub use definition::{Balance, Contacts, Goal, Hands, JointRange, Load, Stance, StanceRanges};
pub use kinematics::{Free, span2};
pub use pose::{Angles, Limit, LimitUnit, Points, Pose, Posture, Status, Term};
pub use posture::{Aim, HIPS_AT, Problem, SEAT_SHARE_AT_FIRST, Settled};
pub use profile::{StanceError, StanceProfile, StanceReadError};
pub use region::{HipRegion, hip_region};
