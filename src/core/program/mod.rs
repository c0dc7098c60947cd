//! The numeric kernel under stance and hold: small dense optimisation programs.
//!
//! Nothing here knows a rider or a sled. Units are whatever the caller's rows and columns carry. Only `+ - * /` and
//! square roots are used, so every target computes the same bits. What cannot be solved is a status, never a panic.

#![allow(
    clippy::needless_range_loop,
    reason = "rows and columns are addressed by index, as in the formulas"
)]

pub mod contour;
pub mod linear;
pub mod polygon;
pub mod quadratic;

mod scaling;
mod tableau;
