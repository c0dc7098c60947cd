//! Units: the angle type and the only conversions between units in the project.
//!
//! Inside the core lengths are plain `f64` millimetres, forces N, moments N·m, masses kg; angles are [`Angle`].

mod angle;
mod channel;
pub mod text;

pub use angle::Angle;
pub use channel::{ChannelUnit, Quantity};

/// Standard acceleration of free fall, m/s² (CGPM 1901, exact).
pub const STANDARD_GRAVITY: f64 = 9.80665;

/// Millimetres per metre.
pub const MM_PER_M: f64 = 1000.0;

/// Millimetres per international inch (1959 agreement, exact).
pub const MM_PER_INCH: f64 = 25.4;

/// Kilograms per avoirdupois pound (1959 agreement, exact).
pub const KG_PER_POUND: f64 = 0.453_592_37;

/// A point or direction: x forward, y left, z up; mm where it is a point.
pub type Point = nalgebra::Vector3<f64>;
