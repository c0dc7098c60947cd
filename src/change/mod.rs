//! What to change next: what one step either way does, why a setting stands where it does, and which single change
//! answers what a rider felt.
//!
//! Every figure of a change is computed with all postures solved anew; nothing is linearised but the slopes of
//! [`why`], which are what they say.

mod complaint;
mod felt;
mod figures;
mod measured;
mod step;
mod tried;
mod what_if;
mod why;

pub use complaint::{COMPLAINTS, Complaint, TRY_ON_NO, Usual, Want, Where};
pub use felt::{
    Asked, AskedError, Change, Felt, Gain, HARM, Heard, Impossible, LEAST_GAIN, MOST_NOTICED, felt,
};
pub use figures::{Better, Figure, Kind, Row};
pub use measured::Measured;
pub use step::{LEVER_SHIFT, LEVER_TURN, Lever, Subject, TURN};
pub use what_if::{FigureChange, WhatIf, what_if};
pub use why::{Pull, Why, why};
