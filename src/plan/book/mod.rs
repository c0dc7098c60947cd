//! What a person types and chooses in the mechanic's book, and the entries that come of it.
//!
//! [`at`] says which part of the book is shown. A form's texts ([`form`]) → what an entry says; [`Pen`] makes the entry of
//! it. [`begin`] carries rider, sled and set-up between the start place and the book, [`proposal`] turns the answer to a
//! complaint into changes that can be written down, [`season`] and [`card`] show a rider's sled over time and on paper.

pub mod at;
pub mod begin;
pub mod card;
pub mod form;
pub mod pen;
pub mod proposal;
pub mod season;
pub mod set_up;

pub use pen::Pen;
