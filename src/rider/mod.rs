//! The rider: measurements, the estimate of what was not measured, linkage, mass, strength.

mod linkage;
mod mass;
mod strength;

pub use linkage::Links;
pub use mass::{Part, Segment};
pub use strength::{Action, Strength};

use crate::units::Angle;

/// A rider in gear, ready to be placed on a sled.
#[derive(Clone, Debug, PartialEq)]
pub struct Rider {
    /// Lengths between joint centres and body radii, gear included.
    pub links: Links,
    /// Segments with their masses, gear included; they sum to the riding mass.
    pub segments: Vec<Segment>,
    /// What each joint and hand can do.
    pub strength: Strength,
    /// Joint limits that come from the gear.
    pub gear_limits: GearLimits,
    /// Hand sizes with glove, for the levers.
    pub hand: Hand,
}

/// Hard joint limits that gear imposes; `None` where it imposes none.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct GearLimits {
    /// Greatest knee flexion with a knee brace.
    pub knee_flexion: Option<Angle>,
    /// Greatest ankle dorsiflexion in the boot.
    pub dorsiflexion: Option<Angle>,
    /// Greatest neck extension with helmet and brace.
    pub neck_extension: Option<Angle>,
}

/// The gloved hand. Lengths in mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hand {
    /// Hand length, stylion to tip of the middle finger, bare.
    pub length: f64,
    /// Breadth at the metacarpals with the glove on.
    pub gloved_breadth: f64,
    /// Glove thickness in the palm.
    pub palm_thickness: f64,
}

impl Rider {
    /// Riding mass: body and all gear, kg.
    pub fn mass(&self) -> f64 {
        self.segments
            .iter()
            .map(|s| s.mass * f64::from(s.count))
            .sum()
    }
}
