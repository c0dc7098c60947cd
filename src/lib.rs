//! Fits a rider to the cockpit of a stand-up/sit-down snow race sled.
//!
//! From a rider's body measurements and a sled's geometry the crate computes riser height and angle, bar roll,
//! stirrup position, seat and lever placement for seated and standing stances, and says what each stance can hold.
//!
//! # Frame
//! Right-handed, ISO 8855 orientation: x forward, y left, z up, the sled levelled on its stand. Origin on the
//! mid-plane, x = 0 at the foremost stirrup position's bolt, z = 0 on the running board's top face there.
//! Inside: mm, rad, kg, N, N·m. At every edge names carry their unit: `_mm _deg _kg _n _nm _g _s`.
//! The rider is symmetric while the bars are straight; points are those of the **left** limb (y > 0).
//!
//! # Map
//! The modules are the stations that data passes, in order; arrows point down this list, never up.
//! Beside them stand `program`, the numeric kernel under stance and hold, which knows no domain word and calls nothing,
//! and `order`, the one sort and the map of few entries.
//! The first stations are packages below this one: `sledstance-given` up to `sled`, `sledstance-core` up to `hold`.

pub mod change;
#[cfg(not(target_arch = "wasm32"))]
pub mod command;
pub mod compare;
pub mod confidence;
pub mod fit;
pub mod log;
#[cfg(target_arch = "wasm32")]
pub mod page;
pub mod plan;
pub mod run;
pub mod view;

pub use sledstance_core::{hold, program, stance};
pub use sledstance_given::{document, order, rider, sled, units};
