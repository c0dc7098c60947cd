//! The angle newtype.

use core::ops::{Add, Div, Mul, Neg, Sub};

/// An angle. Stored in radians; named constructors and getters say the unit.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
pub struct Angle(f64);

impl Angle {
    /// Zero.
    pub const ZERO: Self = Self(0.0);

    /// From radians.
    pub const fn from_rad(rad: f64) -> Self {
        Self(rad)
    }

    /// From degrees.
    pub const fn from_deg(deg: f64) -> Self {
        Self(deg * (core::f64::consts::PI / 180.0))
    }

    /// In radians.
    pub const fn rad(self) -> f64 {
        self.0
    }

    /// In degrees.
    pub const fn deg(self) -> f64 {
        self.0 * (180.0 / core::f64::consts::PI)
    }

    /// Sine, the same bits on every target.
    pub fn sin(self) -> f64 {
        libm::sin(self.0)
    }

    /// Cosine, the same bits on every target.
    pub fn cos(self) -> f64 {
        libm::cos(self.0)
    }

    /// Tangent, the same bits on every target.
    pub fn tan(self) -> f64 {
        libm::tan(self.0)
    }

    /// Absolute value.
    pub fn abs(self) -> Self {
        Self(self.0.abs())
    }

    /// Kept between two bounds (`low` wins where they cross; NaN stays NaN).
    pub fn clamped(self, low: Self, high: Self) -> Self {
        Self(self.0.min(high.0).max(low.0))
    }
}

impl Add for Angle {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

impl Sub for Angle {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}

impl Neg for Angle {
    type Output = Self;
    fn neg(self) -> Self {
        Self(-self.0)
    }
}

impl Mul<f64> for Angle {
    type Output = Self;
    fn mul(self, factor: f64) -> Self {
        Self(self.0 * factor)
    }
}

impl Div<f64> for Angle {
    type Output = Self;
    fn div(self, divisor: f64) -> Self {
        Self(self.0 / divisor)
    }
}

impl Div for Angle {
    type Output = f64;
    fn div(self, other: Self) -> f64 {
        self.0 / other.0
    }
}
