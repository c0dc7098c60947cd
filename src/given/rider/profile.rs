//! The stored form of a rider, and the one gate from it to the domain.
//!
//! Stature and body mass are the least that is needed; everything else narrows the result or has a default.

use serde::{Deserialize, Serialize};
use thiserror::Error;

use super::estimate::{Body, Estimate, EstimateError, Questioned};
use super::gear_entry::{GearEntry, is_default, optional, ranged};
use super::measurement::{Measurement, Unit};
use super::measurements::{
    MeasurementError, Measurements, Origin, RawMeasurements, ShoeSize, ShoeSystem,
};
use super::sex::Sex;
use super::strength::Level;
use super::{ModelError, Outfit, Rider};
use crate::document::{self, DocumentError};

/// The kind of document.
pub const FORMAT: &str = "sledstance-rider";

/// Version of the stored form.
pub const SCHEMA: u32 = 1;

/// A rider as stored: `data` of a `sledstance-rider` document.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct RiderProfile {
    /// What the rider is called.
    pub name: String,
    /// Remarks in plain words: who measured, when, how.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// Which published figures apply; left out: the mean of both sexes, with wider bands.
    #[serde(default)]
    pub sex: Sex,
    /// Age in years; left out: an adult at the best age. Under 16 the figures of youths apply.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub age_y: Option<f64>,
    /// What was measured on the body.
    #[serde(default)]
    pub measurements: Vec<MeasurementEntry>,
    /// What the rider knows without measuring.
    #[serde(default, skip_serializing_if = "is_default")]
    pub stated: StatedEntry,
    /// How far the shoulders are carried ahead of the trunk line, in mm; 0 where left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub protraction_mm: Option<f64>,
    /// What the rider wears.
    #[serde(default, skip_serializing_if = "is_default")]
    pub gear: GearEntry,
    /// How strong the rider is.
    #[serde(default, skip_serializing_if = "is_default")]
    pub strength: StrengthEntry,
}

/// One measurement of the body.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct MeasurementEntry {
    /// Which, by its ISO 7250-1 name in snake case where it has one.
    pub name: Measurement,
    /// The value in mm, for every length.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub value_mm: Option<f64>,
    /// The value in kg, for the body mass.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub value_kg: Option<f64>,
    /// Its standard deviation in mm; left out: that of a helper with a tape.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sd_mm: Option<f64>,
    /// Its standard deviation in kg, for the body mass; left out: that of a household scale.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sd_kg: Option<f64>,
}

/// What people know without a tape. Each counts as an observation with its known bias and spread.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct StatedEntry {
    /// Stature as the rider says it, in mm: 22 mm (men) or 12 mm (women) too much on average.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stature_mm: Option<f64>,
    /// Body mass as the rider says it, in kg.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mass_kg: Option<f64>,
    /// Boot size.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub boot_size: Option<BootSizeEntry>,
    /// Glove size as a number: hand girth in inches.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub glove_size: Option<f64>,
    /// Inseam of trousers that fit, in mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub inseam_mm: Option<f64>,
}

/// A boot size.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct BootSizeEntry {
    /// The size system.
    pub system: ShoeSystem,
    /// The size in that system.
    pub size: f64,
}

/// How strong the rider is for sex, size and age.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields, default)]
pub struct StrengthEntry {
    /// Level in words.
    pub level: StrengthLevel,
    /// A factor of one's own instead of the level; 1 is average.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub factor: Option<f64>,
    /// Grip of the bare hand measured with a dynamometer, in N.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub grip_n: Option<f64>,
}

/// Strength in words.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum StrengthLevel {
    /// 0.75 of the average.
    Weak,
    /// The average.
    #[default]
    Average,
    /// 1.3 of the average.
    Trained,
}

/// Why a profile is no rider.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum RiderError {
    /// A measurement is refused.
    #[error(transparent)]
    Measurement(#[from] MeasurementError),
    /// The body cannot be estimated.
    #[error(transparent)]
    Estimate(#[from] EstimateError),
    /// The value stands under the wrong unit, under both, or under none.
    #[error("{measurement} needs exactly one value, {field}")]
    ValueField {
        /// The measurement.
        measurement: &'static str,
        /// The field it needs.
        field: &'static str,
    },
    /// A figure about gear or strength is out of range.
    #[error("{field} is {value}, allowed is {low} to {high}")]
    OutOfRange {
        /// The field, with its path.
        field: &'static str,
        /// What was given.
        value: f64,
        /// Least that is allowed.
        low: f64,
        /// Greatest that is allowed.
        high: f64,
    },
}

/// A rider, and all that is known about how the rider came about.
#[derive(Clone, Debug, PartialEq)]
pub struct Built {
    /// The best guess.
    pub rider: Rider,
    /// The body's estimate with its covariance.
    pub estimate: Estimate,
    /// What makes a rider of a body.
    pub outfit: Outfit,
    /// What to know, in words; questioned measurements included.
    pub warnings: Vec<String>,
    /// Measurements that the others speak against.
    pub questioned: Vec<Questioned>,
}

/// One measurement as reported.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reported {
    /// Which.
    pub measurement: Measurement,
    /// Its value, mm or kg.
    pub value: f64,
    /// Its standard deviation, mm or kg.
    pub sd: f64,
    /// Whether it was taken on the body.
    pub given: bool,
}

impl RiderProfile {
    /// A rider known by two numbers: stature in mm, body mass in kg.
    pub fn of(sex: Sex, stature: f64, mass: f64) -> Self {
        Self {
            name: "rider".to_owned(),
            sex,
            ..Self::default()
        }
        .with(Measurement::Stature, stature)
        .with(Measurement::BodyMass, mass)
    }

    /// The same with one more measurement, in its unit.
    #[must_use]
    pub fn with(mut self, measurement: Measurement, value: f64) -> Self {
        let (value_mm, value_kg) = match measurement.unit() {
            Unit::Mm => (Some(value), None),
            Unit::Kg => (None, Some(value)),
        };
        self.measurements.push(MeasurementEntry {
            name: measurement,
            value_mm,
            value_kg,
            sd_mm: None,
            sd_kg: None,
        });
        self
    }

    /// Read a document.
    ///
    /// # Errors
    /// Names the kind found, or the field that is wrong with its place.
    pub fn read(text: &str) -> Result<Self, DocumentError> {
        document::read(text, FORMAT, SCHEMA)
    }

    /// Write a document.
    ///
    /// # Errors
    /// None for this stored form.
    pub fn write(&self) -> Result<String, DocumentError> {
        document::write(FORMAT, SCHEMA, self)
    }

    /// Check everything and build the rider.
    ///
    /// # Errors
    /// Names the field, its value and the range allowed.
    pub fn build(&self) -> Result<Built, RiderError> {
        let measurements = Measurements::new(&self.raw()?)?;
        let outfit = Outfit {
            sex: self.sex,
            age: self.age_y,
            gear: self.gear.checked()?,
            level: self.strength.checked()?,
            measured_grip: optional("strength.grip_n", self.strength.grip_n, (50.0, 1200.0))?,
            protraction: ranged("protraction_mm", self.protraction_mm, 0.0, (-60.0, 100.0))?,
        };
        let estimate = Estimate::new(&measurements)?;
        let questioned = estimate.questioned().to_vec();
        let mut warnings = estimate.warnings().to_vec();
        if !estimate.given(Measurement::Stature) {
            warnings.push(
                "stature is as stated, which is 10 to 20 mm too much on average: measure it"
                    .to_owned(),
            );
        }
        warnings.extend(questioned.iter().map(ToString::to_string));
        Ok(Built {
            rider: Rider::new(estimate.body(), &outfit, &ModelError::default()),
            estimate,
            outfit,
            warnings,
            questioned,
        })
    }

    fn raw(&self) -> Result<RawMeasurements, RiderError> {
        let stated = &self.stated;
        Ok(RawMeasurements {
            sex: self.sex,
            age: self.age_y,
            taken: self
                .measurements
                .iter()
                .map(MeasurementEntry::value)
                .collect::<Result<_, _>>()?,
            stated_stature: stated.stature_mm,
            stated_mass: stated.mass_kg,
            boot_size: stated.boot_size.as_ref().map(|b| ShoeSize {
                system: b.system,
                size: b.size,
            }),
            glove_size: stated.glove_size,
            inseam: stated.inseam_mm,
        })
    }
}

impl TryFrom<&RiderProfile> for Built {
    type Error = RiderError;

    fn try_from(profile: &RiderProfile) -> Result<Self, RiderError> {
        profile.build()
    }
}

impl Built {
    /// The rider whose body lies z standard-normal numbers from the estimate (see [`Estimate::shifted`]), with errors of
    /// the model.
    pub fn rider_at(&self, z: &[f64], error: &ModelError) -> Rider {
        let body: Body = self.estimate.shifted(z);
        Rider::new(&body, &self.outfit, error)
    }

    /// The same body at another strength level.
    #[must_use]
    pub fn at_level(mut self, level: Level) -> Self {
        self.outfit.level = level;
        self.rider = Rider::new(self.estimate.body(), &self.outfit, &ModelError::default());
        self
    }

    /// Every measurement with its deviation, given ones marked.
    pub fn reported(&self) -> [Reported; Measurement::COUNT] {
        Measurement::ALL.map(|measurement| Reported {
            measurement,
            value: self.estimate.mean(measurement),
            sd: self.estimate.sd(measurement),
            given: self.estimate.given(measurement),
        })
    }
}

impl core::fmt::Display for Questioned {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        let unit = self.measurement.unit().symbol();
        let from = match self.origin {
            Origin::Taken => "",
            Origin::Stated => " as stated",
            Origin::BootSize => " by the boot size",
            Origin::GloveSize => " by the glove size",
            Origin::Inseam => " by the inseam",
        };
        write!(
            f,
            "{}{from} is {:.0} {unit}, but everything else given speaks for {:.0} ± {:.0} {unit}: measure it again",
            self.measurement.name(),
            self.given,
            self.expected,
            self.sd,
        )
    }
}

impl MeasurementEntry {
    fn value(&self) -> Result<(Measurement, f64, Option<f64>), RiderError> {
        let (value, sd, other, field) = match self.name.unit() {
            Unit::Mm => (
                self.value_mm,
                self.sd_mm,
                self.value_kg.or(self.sd_kg),
                "value_mm",
            ),
            Unit::Kg => (
                self.value_kg,
                self.sd_kg,
                self.value_mm.or(self.sd_mm),
                "value_kg",
            ),
        };
        match (value, other) {
            (Some(value), None) => Ok((self.name, value, sd)),
            _ => Err(RiderError::ValueField {
                measurement: self.name.name(),
                field,
            }),
        }
    }
}

/// Least and greatest factor of one's own on strength; our choice.
pub const FACTORS: (f64, f64) = (0.2, 3.0);

impl StrengthEntry {
    fn checked(&self) -> Result<Level, RiderError> {
        Ok(match optional("strength.factor", self.factor, FACTORS)? {
            Some(factor) => Level::Factor(factor),
            None => match self.level {
                StrengthLevel::Weak => Level::Weak,
                StrengthLevel::Average => Level::Average,
                StrengthLevel::Trained => Level::Trained,
            },
        })
    }
}
