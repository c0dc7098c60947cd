//! Posture and hold: what Sledstance computes most often, in a package of its own.
//!
//! The page is built for size, and a search for a set-up took 0.48 s there instead of 0.29 for it; this package alone is
//! built for speed everywhere, which costs the page a thirtieth of its size. Readers and writers of documents grow most
//! when built so, which is why they are in `sledstance-given`. The package `sledstance` shows these modules under its own
//! name and says what frame they share.
//!
//! # Map
//! `stance` and `hold` are stations that data passes, in order. `program` is the numeric kernel under both: it knows no
//! domain word and calls nothing.

pub mod hold;
pub mod program;
pub mod stance;

use sledstance_given::{document, order, rider, sled, units};
