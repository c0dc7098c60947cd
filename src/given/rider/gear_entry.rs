//! The stored form of what is worn.

use serde::{Deserialize, Serialize};

use super::gear::{Boots, Clothing, Gear, GloveKind, Gloves, Helmet, KneeWear, Protector, Shaft};
use super::profile::RiderError;
use crate::units::Angle;

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

impl GearEntry {
    /// The ranges are our choice: wide, to catch a wrong unit.
    pub(super) fn checked(&self) -> Result<Gear, RiderError> {
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

/// A value in its range, or the usual one.
pub(super) fn ranged(
    field: &'static str,
    value: Option<f64>,
    usual: f64,
    range: (f64, f64),
) -> Result<f64, RiderError> {
    Ok(optional(field, value, range)?.unwrap_or(usual))
}

/// A value in its range, or none.
pub(super) fn optional(
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

/// Whether a part of a stored form can be left out.
pub(super) fn is_default<T: Default + PartialEq>(value: &T) -> bool {
    *value == T::default()
}
