//! The fit: which settings suit a rider on a sled, where the levers go, and the work that bolts it on.

pub mod cautions;
pub mod checks;
mod contest;
mod distances;
mod figures;
mod fingerprint;
mod forecast;
pub mod hand;
mod helps;
pub mod levers;
pub mod lock;
mod objective;
mod outcome;
mod paddle;
mod practice;
pub mod report;
mod request;
mod search;
mod solve;
mod steps;
pub mod thumb;
mod words;
pub mod work;

pub use contest::{Contest, Population, Refit};
pub use figures::{Near, StanceFigures, StanceHold, figures, stance_hold};
pub use fingerprint::fingerprint;
pub(crate) use objective::{
    Evaluation, Part, Scope, Solved, evaluate as score, lock_spare, statics,
};
pub use objective::{LOCK_ELBOW, TRUNK_TWIST};
pub use outcome::{
    ButtonReach, Check, Distances, Fit, FitStatus, LeverPlacement, Levers, SetUp, StanceResult,
    Task, TermShare, Verdict,
};
pub use report::{Report, Work};
pub use request::{Keep, Preferences, Request};
pub(crate) use search::search;
pub(crate) use solve::{FEASIBLE, travel_quickly, what_binds};
pub use solve::{
    Taped, evaluate, fit, objective, pose, stance_result, with_levers, with_levers_taped,
};
