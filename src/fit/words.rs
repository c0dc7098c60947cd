//! Numbers in the words of notes, tasks and checks, as a tape or a digital level shows them.

use crate::units::Angle;

/// A length to the millimetre.
pub(super) fn mm(length: f64) -> String {
    format!("{} mm", whole(length, 1.0))
}

/// A length to 5 mm, for what a tape cannot show finer.
pub(super) fn mm5(length: f64) -> String {
    format!("{} mm", whole(length, 5.0))
}

/// An angle to half a degree.
pub(super) fn deg(angle: Angle) -> String {
    format!("{:.1}°", whole(angle.deg(), 0.5))
}

/// Rounded to a step; never minus zero.
fn whole(value: f64, step: f64) -> f64 {
    libm::round(value / step) * step + 0.0
}
