//! The stored form of a rider, and the one gate from it to the domain.
//!
//! Stature and body mass are the least that is needed; everything else narrows the result or has a default.

use serde::{Deserialize, Serialize};
use thiserror::Error;

use super::estimate::{Body, Estimate, EstimateError, Questioned};
use super::gear::{Boots, Clothing, Gear, GloveKind, Gloves, Helmet, KneeWear, Protector, Shaft};
use super::measurement::{Measurement, Unit};
use super::measurements::{
    MeasurementError, Measurements, Origin, RawMeasurements, ShoeSize, ShoeSystem,
};
use super::sex::Sex;
use super::strength::Level;
use super::{ModelError, Outfit, Rider};
use crate::document::{self, DocumentError};
use crate::units::Angle;

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

/// What the rider wears. Anything left out is a usual piece.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields, default)]
pub struct GearEntry {
    /// Boots.
    #[serde(skip_serializing_if = "is_default")]
    pub boots: BootsEntry,
    /// Gloves.
    #[serde(skip_serializing_if = "is_default")]
    pub gloves: GlovesEntry,
    /// Helmet with goggles.
    #[serde(skip_serializing_if = "is_default")]
    pub helmet: HelmetEntry,
    /// Neck extension in degrees at which a neck brace stops the helmet; left out: no brace.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub neck_brace_stop_deg: Option<f64>,
    /// Knee guards or braces.
    #[serde(skip_serializing_if = "is_default")]
    pub knees: KneesEntry,
    /// Chest and back protector.
    #[serde(skip_serializing_if = "is_default")]
    pub protector: ProtectorEntry,
    /// Jacket and trousers.
    #[serde(skip_serializing_if = "is_default")]
    pub clothing: ClothingEntry,
}

/// Boots.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields, default)]
pub struct BootsEntry {
    /// Sole, board and liner under the ball of the foot, in mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sole_at_ball_mm: Option<f64>,
    /// Sole, board and liner under the heel, in mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sole_at_heel_mm: Option<f64>,
    /// Boot length beyond the foot's, in mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub longer_mm: Option<f64>,
    /// Boot width beyond the foot's, in mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub wider_mm: Option<f64>,
    /// Height of the boot at the instep over the underside of the sole, in mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub instep_height_mm: Option<f64>,
    /// How the shaft holds the ankle.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub shaft: Option<Shaft>,
    /// Measured dorsiflexion at which the boot stops the ankle, in degrees; left out: by the shaft.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub dorsiflexion_stop_deg: Option<f64>,
    /// Mass of each boot, in kg.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mass_kg: Option<f64>,
}

/// Gloves.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields, default)]
pub struct GlovesEntry {
    /// Thickness in the palm, in mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub palm_thickness_mm: Option<f64>,
    /// Breadth beyond the hand's, in mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub wider_mm: Option<f64>,
    /// Make.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub kind: Option<GloveKind>,
    /// Factor on the pull-off force by the grip of the coating: 0.8 slippery to 1.0 grippy.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pull_off_factor: Option<f64>,
    /// Mass of each glove, in kg.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mass_kg: Option<f64>,
}

/// Helmet with goggles.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields, default)]
pub struct HelmetEntry {
    /// Shell above the crown, in mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub crown_mm: Option<f64>,
    /// Mass, in kg.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mass_kg: Option<f64>,
}

/// Knee guards or braces.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields, default)]
pub struct KneesEntry {
    /// Thickness ahead of the knee, in mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub thickness_mm: Option<f64>,
    /// Knee flexion in degrees at which a brace stops; left out: no stop.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub flexion_stop_deg: Option<f64>,
    /// Mass on each leg, in kg.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mass_kg: Option<f64>,
}

/// Chest and back protector.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields, default)]
pub struct ProtectorEntry {
    /// Thickness on the chest, in mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub chest_mm: Option<f64>,
    /// Mass, in kg.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mass_kg: Option<f64>,
}

/// Jacket and trousers.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields, default)]
pub struct ClothingEntry {
    /// Thickness on each side, in mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub thickness_mm: Option<f64>,
    /// Mass of all, in kg.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mass_kg: Option<f64>,
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

impl GearEntry {
    /// The ranges are our choice: wide, to catch a wrong unit.
    fn checked(&self) -> Result<Gear, RiderError> {
        Ok(Gear {
            boots: self.boots.checked()?,
            gloves: self.gloves.checked()?,
            helmet: self.helmet.checked()?,
            neck_brace_stop: optional(
                "gear.neck_brace_stop_deg",
                self.neck_brace_stop_deg,
                (0.0, 90.0),
            )?
            .map(Angle::from_deg),
            knees: self.knees.checked()?,
            protector: self.protector.checked()?,
            clothing: self.clothing.checked()?,
        })
    }
}

impl BootsEntry {
    fn checked(&self) -> Result<Boots, RiderError> {
        let usual = Boots::default();
        Ok(Boots {
            sole_at_ball: ranged(
                "gear.boots.sole_at_ball_mm",
                self.sole_at_ball_mm,
                usual.sole_at_ball,
                (3.0, 70.0),
            )?,
            sole_at_heel: ranged(
                "gear.boots.sole_at_heel_mm",
                self.sole_at_heel_mm,
                usual.sole_at_heel,
                (3.0, 80.0),
            )?,
            longer: ranged(
                "gear.boots.longer_mm",
                self.longer_mm,
                usual.longer,
                (5.0, 80.0),
            )?,
            wider: ranged(
                "gear.boots.wider_mm",
                self.wider_mm,
                usual.wider,
                (2.0, 60.0),
            )?,
            instep_height: ranged(
                "gear.boots.instep_height_mm",
                self.instep_height_mm,
                usual.instep_height,
                (50.0, 200.0),
            )?,
            shaft: self.shaft.unwrap_or(usual.shaft),
            dorsiflexion_stop: optional(
                "gear.boots.dorsiflexion_stop_deg",
                self.dorsiflexion_stop_deg,
                (0.0, 60.0),
            )?
            .map(Angle::from_deg),
            mass: ranged("gear.boots.mass_kg", self.mass_kg, usual.mass, (0.2, 4.0))?,
        })
    }
}

impl GlovesEntry {
    fn checked(&self) -> Result<Gloves, RiderError> {
        let usual = Gloves::default();
        Ok(Gloves {
            palm_thickness: ranged(
                "gear.gloves.palm_thickness_mm",
                self.palm_thickness_mm,
                usual.palm_thickness,
                (0.0, 15.0),
            )?,
            wider: ranged(
                "gear.gloves.wider_mm",
                self.wider_mm,
                usual.wider,
                (0.0, 50.0),
            )?,
            kind: self.kind.unwrap_or(usual.kind),
            pull_off_factor: ranged(
                "gear.gloves.pull_off_factor",
                self.pull_off_factor,
                usual.pull_off_factor,
                (0.3, 1.3),
            )?,
            mass: ranged("gear.gloves.mass_kg", self.mass_kg, usual.mass, (0.0, 1.0))?,
        })
    }
}

impl HelmetEntry {
    fn checked(&self) -> Result<Helmet, RiderError> {
        let usual = Helmet::default();
        Ok(Helmet {
            crown: ranged(
                "gear.helmet.crown_mm",
                self.crown_mm,
                usual.crown,
                (10.0, 120.0),
            )?,
            mass: ranged("gear.helmet.mass_kg", self.mass_kg, usual.mass, (0.3, 4.0))?,
        })
    }
}

impl KneesEntry {
    fn checked(&self) -> Result<KneeWear, RiderError> {
        let usual = KneeWear::default();
        Ok(KneeWear {
            thickness: ranged(
                "gear.knees.thickness_mm",
                self.thickness_mm,
                usual.thickness,
                (0.0, 60.0),
            )?,
            flexion_stop: optional(
                "gear.knees.flexion_stop_deg",
                self.flexion_stop_deg,
                (30.0, 160.0),
            )?
            .map(Angle::from_deg),
            mass: ranged("gear.knees.mass_kg", self.mass_kg, usual.mass, (0.0, 3.0))?,
        })
    }
}

impl ProtectorEntry {
    fn checked(&self) -> Result<Protector, RiderError> {
        let usual = Protector::default();
        Ok(Protector {
            chest: ranged(
                "gear.protector.chest_mm",
                self.chest_mm,
                usual.chest,
                (0.0, 100.0),
            )?,
            mass: ranged(
                "gear.protector.mass_kg",
                self.mass_kg,
                usual.mass,
                (0.0, 8.0),
            )?,
        })
    }
}

impl ClothingEntry {
    fn checked(&self) -> Result<Clothing, RiderError> {
        let usual = Clothing::default();
        Ok(Clothing {
            thickness: ranged(
                "gear.clothing.thickness_mm",
                self.thickness_mm,
                usual.thickness,
                (0.0, 40.0),
            )?,
            mass: ranged(
                "gear.clothing.mass_kg",
                self.mass_kg,
                usual.mass,
                (0.0, 12.0),
            )?,
        })
    }
}

impl StrengthEntry {
    fn checked(&self) -> Result<Level, RiderError> {
        Ok(
            match optional("strength.factor", self.factor, (0.2, 3.0))? {
                Some(factor) => Level::Factor(factor),
                None => match self.level {
                    StrengthLevel::Weak => Level::Weak,
                    StrengthLevel::Average => Level::Average,
                    StrengthLevel::Trained => Level::Trained,
                },
            },
        )
    }
}

fn ranged(
    field: &'static str,
    value: Option<f64>,
    usual: f64,
    range: (f64, f64),
) -> Result<f64, RiderError> {
    Ok(optional(field, value, range)?.unwrap_or(usual))
}

fn optional(
    field: &'static str,
    value: Option<f64>,
    (low, high): (f64, f64),
) -> Result<Option<f64>, RiderError> {
    match value {
        Some(value) if !(low..=high).contains(&value) => Err(RiderError::OutOfRange {
            field,
            value,
            low,
            high,
        }),
        other => Ok(other),
    }
}

fn is_default<T: Default + PartialEq>(value: &T) -> bool {
    *value == T::default()
}
