//! The mechanic's book: what was set, why, what was felt and in which conditions, so that nothing of it is ever lost.
//!
//! Data passes: a form as typed or read ([`form`]) → a checked [`Entry`] → the [`Book`], a set that only grows → a
//! [`Reading`] of it: who and what there is, set-ups, the [timeline](Reading::timeline), what each change did
//! ([`Outcome`]) and what worked. Correcting and deleting are entries too. Clock and randomness are arguments.

mod book;
mod card;
mod entry;
pub mod form;
mod id;
mod moving;
mod outcome;
mod reading;
mod set_up;
mod shelf;
mod stored;
mod table;
mod timeline;
pub mod when;
pub mod words;

pub use book::{Book, Inserted, Merged};
pub use card::{Card, CardBlock};
pub use entry::{Entry, EntryError};
pub use form::{About, EntryForm, Part, SetUpForm, ShelfPart, What};
pub use id::{Id, IdError};
pub use moving::{Moved, moved};
pub use outcome::{Outcome, Shift, Verdict, Worked};
pub use reading::{Moment, Reading, RiderState, Riding, SetUpState, SledState, Strand, Unrecorded};
pub use set_up::NotOnSled;
pub use shelf::without_shelf;
pub use stored::{BookError, FORMAT, SCHEMA};
pub use timeline::{Filter, Like};

/// An invented team's book, to look at, to try on, and to remove.
pub const DEMO: &str = include_str!("../../rider-profiles/books/two-tents.json");
