//! The rider: measurements, the estimate of what was not measured, linkage, mass, strength.
//!
//! Data passes: typed numbers → [`Measurements`] (checked) → [`Estimate`] (the conditional normal) → [`Body`] (one value
//! for every measurement) → [`Links`], segments and [`Strength`], which make the [`Rider`] that is placed on a sled.
//! [`RiderProfile`] is the stored form and the way in.

mod estimate;
mod gear;
mod gear_entry;
mod linkage;
mod mass;
mod measurement;
mod measurements;
mod moments;
mod moments_data;
mod profile;
mod sex;
mod strength;

pub use estimate::{Body, Estimate, EstimateError, QUESTIONED_BEYOND, Questioned};
pub use gear::{
    Boots, Clothing, Gear, GearLimits, GloveKind, Gloves, Helmet, KneeWear, Protector, Shaft,
};
pub use gear_entry::{
    BootsEntry, ClothingEntry, GearEntry, GlovesEntry, HelmetEntry, KneesEntry, ProtectorEntry,
};
pub use linkage::{Links, ModelError};
pub use mass::{Part, Segment};
pub use measurement::{Measurement, Unit};
pub use measurements::{
    ADULT_AGE, MeasurementError, Measurements, Observation, Origin, RawMeasurements, ShoeSize,
    ShoeSystem,
};
pub use moments::{Moments, MomentsError};
pub use profile::{
    BootSizeEntry, Built, FACTORS, FORMAT, MeasurementEntry, Reported, RiderError, RiderProfile,
    SCHEMA, StatedEntry, StrengthEntry, StrengthLevel,
};
pub use sex::Sex;
pub use strength::{Action, Constitution, Level, SPREAD, Strength, TWO_LIMBS};

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

/// All that makes a rider of a body: what does not change when the body's estimate is varied.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Outfit {
    /// Sex, as far as figures differ by it.
    pub sex: Sex,
    /// Age, years.
    pub age: Option<f64>,
    /// What is worn.
    pub gear: Gear,
    /// Strength level.
    pub level: Level,
    /// Grip of the bare hand measured with a dynamometer, N.
    pub measured_grip: Option<f64>,
    /// How far the rider carries the shoulders ahead of the trunk line, mm.
    pub protraction: f64,
}

impl Rider {
    /// Dress a body: linkage, masses and strength in gear, with errors of the model added (none for the best guess).
    pub fn new(body: &Body, outfit: &Outfit, error: &ModelError) -> Self {
        let Outfit { sex, ref gear, .. } = *outfit;
        let links = Links::new(body, sex, gear, outfit.protraction, error);
        let constitution = Constitution {
            sex,
            mass: body.get(Measurement::BodyMass),
            stature: body.get(Measurement::Stature),
            age: outfit.age,
            level: outfit.level,
            measured_grip: outfit.measured_grip,
        };
        let strength = Strength::new(&constitution, &gear.gloves);
        Self {
            segments: mass::segments(constitution.mass, sex, gear, &links),
            links,
            strength: if error.strength == 0.0 {
                strength
            } else {
                strength.scaled((1.0 + error.strength).max(0.0))
            },
            gear_limits: gear.limits(),
            hand: Hand {
                length: body.get(Measurement::HandLength),
                gloved_breadth: body.get(Measurement::HandBreadth) + gear.gloves.wider,
                palm_thickness: gear.gloves.palm_thickness,
            },
        }
    }

    /// Riding mass: body and all gear, kg.
    pub fn mass(&self) -> f64 {
        self.segments
            .iter()
            .map(|s| s.mass * f64::from(s.count))
            .sum()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The linkage of the reference man in usual gear.
    pub(super) fn links() -> Links {
        RiderProfile::of(Sex::Male, 1780.0, 75.0)
            .build()
            .unwrap()
            .rider
            .links
    }
}
