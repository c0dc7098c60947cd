//! Settings: the choice of parts and positions that the fit is about.

use super::geometry::{RiserAngles, Sled};
use crate::units::Angle;

/// A choice of parts and positions on one sled. Part fields are indices into the sled's stock.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Settings {
    /// Index into [`Sled::risers`].
    pub riser: usize,
    /// Index into [`Sled::clamps`].
    pub clamp: usize,
    /// Index into [`Sled::bars`].
    pub bar: usize,
    /// Index into [`Sled::seats`].
    pub seat: usize,
    /// Stirrup bolt's x, mm; zero or negative.
    pub stirrup: f64,
    /// Riser angle from vertical, positive when the top leans rearward.
    pub riser_angle: Angle,
    /// Bar roll in the clamp, positive rolls the grips back and down.
    pub bar_roll: Angle,
}

/// Why settings do not fit a sled.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum SettingsError {
    /// A part that is not in stock.
    #[error("{field}: no number {index} in stock; the sled has {count}")]
    NotInStock {
        /// Which part.
        field: &'static str,
        /// What was asked for, counted from 0.
        index: usize,
        /// How many there are.
        count: usize,
    },
    /// A value outside what the sled allows.
    #[error("{field}: {value} is outside {low} to {high}")]
    OutOfRange {
        /// Which setting, with unit suffix.
        field: &'static str,
        /// What was asked for, in that unit.
        value: f64,
        /// Least allowed, in that unit.
        low: f64,
        /// Greatest allowed, in that unit.
        high: f64,
    },
}

/// Half a thousandth: below it a typed angle or position counts as being on its bound.
const BOUND_SLACK: f64 = 5e-4;

impl Settings {
    /// Checks the settings against a sled's stock and ranges.
    ///
    /// # Errors
    /// Names the first setting that the sled does not have or allow.
    pub fn checked(self, sled: &Sled) -> Result<Self, SettingsError> {
        for (field, index, count) in [
            ("riser", self.riser, sled.risers.len()),
            ("clamp", self.clamp, sled.clamps.len()),
            ("bar", self.bar, sled.bars.len()),
            ("seat", self.seat, sled.seats.len()),
        ] {
            if index >= count {
                return Err(SettingsError::NotInStock {
                    field,
                    index,
                    count,
                });
            }
        }
        let (low, high) = sled.risers[self.riser].angles.bounds();
        let last = sled.stirrup.positions.last().copied().unwrap_or(0.0);
        for (field, value, low, high) in [
            (
                "riser_angle_deg",
                self.riser_angle.deg(),
                low.deg(),
                high.deg(),
            ),
            (
                "bar_roll_deg",
                self.bar_roll.deg(),
                sled.bar_roll.0.deg(),
                sled.bar_roll.1.deg(),
            ),
            ("stirrup_mm", self.stirrup, last, 0.0),
        ] {
            if !(low - BOUND_SLACK..=high + BOUND_SLACK).contains(&value) {
                return Err(SettingsError::OutOfRange {
                    field,
                    value,
                    low,
                    high,
                });
            }
        }
        Ok(self)
    }
}

impl RiserAngles {
    /// Least and greatest angle.
    pub fn bounds(&self) -> (Angle, Angle) {
        match *self {
            Self::Range(low, high) | Self::Teeth { low, high, .. } => (low, high),
            Self::Fixed(angle) => (angle, angle),
        }
    }

    /// The allowed angle nearest to `angle`.
    pub fn nearest(&self, angle: Angle) -> Angle {
        let (low, high) = self.bounds();
        let kept = angle.clamped(low, high);
        match *self {
            Self::Teeth { step, .. } if step > Angle::ZERO => {
                let teeth = libm::round((kept - low) / step);
                (low + step * teeth).clamped(low, high)
            }
            _ => kept,
        }
    }
}
