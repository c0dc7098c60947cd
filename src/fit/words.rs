//! Numbers in the words of notes, tasks and checks: always metric, so that what is stored does not depend on a display choice.

use crate::units::Angle;
use crate::units::text::{System, coarse, level, tape};

/// A length to the millimetre.
pub(super) fn mm(length: f64) -> String {
    tape(length, System::Metric)
}

/// A length to 5 mm, for what a tape cannot show finer.
pub(super) fn mm5(length: f64) -> String {
    coarse(length, System::Metric)
}

/// An angle to half a degree.
pub(super) fn deg(angle: Angle) -> String {
    level(angle)
}
