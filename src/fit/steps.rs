//! Positions of a lever's reach adjuster, and ranges whose ends may come in either order.

use super::hand::{place as place_along, wrapped};
use crate::units::Angle;

/// Positions of a reach adjuster, from the least reach.
pub(super) struct Steps {
    low: f64,
    high: f64,
    last: u32,
}

impl Steps {
    pub(super) fn new(reach: (f64, f64), count: u32) -> Self {
        let (low, high) = ordered_mm(reach);
        Self {
            low: low.max(0.0),
            high: if count > 1 {
                high.max(0.0)
            } else {
                low.max(0.0)
            },
            last: count.max(1) - 1,
        }
    }

    pub(super) fn at(&self, step: u32) -> f64 {
        if self.last == 0 {
            return self.low;
        }
        self.low + (self.high - self.low) * f64::from(step.min(self.last)) / f64::from(self.last)
    }

    /// Place of a reach among the steps, as a fraction of steps, inside the range.
    pub(super) fn place(&self, reach: f64) -> f64 {
        let span = self.high - self.low;
        if span <= 0.0 {
            return 0.0;
        }
        ((reach - self.low) / span * f64::from(self.last)).clamp(0.0, f64::from(self.last))
    }

    /// The steps below and above a reach.
    pub(super) fn around(&self, reach: f64) -> (u32, u32) {
        let place = self.place(reach);
        (libm::floor(place) as u32, libm::ceil(place) as u32)
    }

    /// The step nearest to a reach.
    pub(super) fn nearest(&self, reach: f64) -> u32 {
        libm::round(self.place(reach)) as u32
    }

    /// The first step with at least this reach, or the last.
    pub(super) fn least_at(&self, reach: f64) -> u32 {
        // A millionth of a step forgives rounding where a step lies just on the reach.
        libm::ceil(self.place(reach) - 1e-6).max(0.0) as u32
    }

    /// All steps, or 16 spread evenly where there are more.
    pub(super) fn sample(&self) -> impl Iterator<Item = u32> + use<> {
        let (last, count) = (u64::from(self.last), u64::from(self.last.min(15)));
        (0..=count).map(move |i| (last * i / count.max(1)) as u32)
    }
}

/// A range of angles that can be computed with, its ends in order.
pub(super) fn ordered((low, high): (Angle, Angle)) -> (Angle, Angle) {
    let (low, high) = (wrapped(low), wrapped(high));
    if low <= high {
        (low, high)
    } else {
        (high, low)
    }
}

/// A range of lengths that can be computed with, its ends in order; may be negative.
pub(super) fn ordered_mm((low, high): (f64, f64)) -> (f64, f64) {
    let (low, high) = (place_along(low), place_along(high));
    (low.min(high), high.max(low))
}
