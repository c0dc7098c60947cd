//! The model of the drawing: numbers and strings in and out, no web types.
//!
//! The page, the exported SVG, the command line and print all draw from the same shapes.
//!
//! # Drawing frame
//! Millimetres of the sled's side view, true to scale: drawing x is the crate's x (forward, to the right), drawing
//! **y points down** as in SVG, y = −z. [`Xy`] is a point of this frame, so that no caller has to flip an axis.
//! The near limbs are those whose points a pose carries (the left ones), drawn as a mirror shows them, so that forward
//! is to the right; far limbs are the same, moved a little forward and up in proportion to their lateral distance
//! ([`path::far`]), as seen from slightly behind and above. What is measured lies on near limbs and mid-plane and is
//! true to scale.

pub mod card;
pub mod chart;
pub mod describe;
pub mod envelope;
pub mod envelopes;
pub mod figure;
pub mod gauge;
pub mod guide;
pub mod handle;
pub mod label;
pub mod machine;
pub mod measure;
mod notes;
pub mod overlay;
pub mod palette;
pub mod path;
pub mod season;
pub mod stage;
pub mod svg;
pub mod track;

pub use path::Xy;

/// A piece of the drawing: what it is and its outline.
#[derive(Clone, Debug, PartialEq)]
pub struct Shape {
    /// What it is; also its class name in SVG. Colours and strokes hang on it alone.
    pub role: &'static str,
    /// SVG path data in the drawing frame, mm.
    pub d: String,
}

impl Shape {
    /// A shape of a role.
    pub fn new(role: &'static str, d: String) -> Self {
        Self { role, d }
    }
}

/// A round zone of the drawing, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Disc {
    /// Centre.
    pub centre: Xy,
    /// Radius.
    pub radius: f64,
}
