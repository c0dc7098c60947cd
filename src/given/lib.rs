//! What Sledstance is given: quantities, documents, riders and sleds.
//!
//! The package `sledstance` shows these modules under its own name and says what frame they share.
//!
//! # Map
//! `units`, `document`, `rider` and `sled` are the first stations that data passes, in order. `order` has the one sort and
//! the map of few entries.

pub mod document;
pub mod order;
pub mod rider;
pub mod sled;
pub mod units;
