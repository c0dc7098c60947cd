//! Two to four options beside each other: what differs, by how much, how sure that is, and what is traded for what.
//!
//! An [`Alternative`] is any mixture of rider, sled, what must stay of its settings, strength and stance weights; or one
//! stance of it, so that two stances of one rider are compared likewise. A [`Comparison`] fits each, takes every figure of
//! each, and then draws riders. Signs are those of "this one less the first".
//!
//! # How sure a difference is
//! Riders are drawn as for the bands ([`crate::confidence`]) on settings that stay as they are, and each draw serves every
//! option: options of one person share the drawn body, its joint centres and its strength, and all options share friction
//! and the assumed limits (common random numbers; Glasserman and Yao 1992, Manag. Sci. 38:884, from memory). The band is
//! that of the difference, draw by draw. It is far narrower than the two bands put together, because a body that is longer
//! than thought is so under both options; the bands put together would call nearly every change of a set-up unsure.
//! Different people are drawn apart, which makes the band the combined one. A difference is *unsure* when zero lies within
//! its band: it is smaller than what is not known.
//!
//! Settings carry no band: they are what would be bolted on.

mod alternative;
mod comparison;
mod csv;
pub mod front;
pub mod leverage;
pub mod map;
pub mod report;
mod table;
mod trade;

pub use alternative::{Alternative, letter};
pub use comparison::{Column, CompareError, Comparison, FEWEST_DRAWS, MOST};
pub use table::{Cell, Difference, Group, Mark, Row, Table};
pub use trade::{Shift, Trade};
