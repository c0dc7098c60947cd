//! The fit: which settings suit a rider on a sled, where the levers go, and the work that bolts it on.

pub mod cautions;
mod outcome;
pub mod report;

pub use outcome::{
    ButtonReach, Check, Distances, Fit, FitStatus, LeverPlacement, Levers, SetUp, StanceResult,
    Task, TermShare, Verdict,
};
pub use report::{Report, Work};
