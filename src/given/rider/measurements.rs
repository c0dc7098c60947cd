//! A rider's measurements, checked: the gate through which numbers about a body enter.
//!
//! Each entry becomes an observation: a measurement, the value it speaks for, and its standard deviation. What people
//! know without a tape (boot size, glove size, inseam, what they say they are) becomes an observation too, with its
//! bias taken off and a wide deviation.

use thiserror::Error;

use super::measurement::{Measurement, Unit};
use super::sex::{BySex, Sex};
use crate::units::{KG_PER_POUND, MM_PER_INCH, MM_PER_M};

/// Age from which the adult figures hold, years (Snyder et al. 1977 against ANSUR II: adult proportions misjudge
/// younger riders by more than 20 mm).
pub const ADULT_AGE: f64 = 16.0;

/// Ages that are believed, years; under 6 the records of youths are not used.
const AGES: (f64, f64) = (6.0, 99.0);

/// Greatest own standard deviation that is believed, as a share of the value: beyond it the value says nothing.
const GREATEST_SD_SHARE: f64 = 0.2;

/// A shoe-size system.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum ShoeSystem {
    /// Paris points, 2/3 cm of last length (EU sizes).
    Eu,
    /// Foot length in mm (ISO 9407, Mondopoint).
    Mondopoint,
    /// UK adult sizes.
    Uk,
    /// US men's sizes.
    UsMen,
    /// US women's sizes.
    UsWomen,
}

/// A boot size.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ShoeSize {
    /// The system.
    pub system: ShoeSystem,
    /// The size in it.
    pub size: f64,
}

/// Millimetres of last length in an EU size, and of a barleycorn, the UK and US step (a third of an inch).
const PARIS_POINT: f64 = 20.0 / 3.0;
const BARLEYCORN: f64 = MM_PER_INCH / 3.0;

impl ShoeSize {
    /// Foot length that the size is made for, mm.
    ///
    /// Common conversions, from memory: EU = 1.5 × (foot in cm + 1.5); UK = 3 × last in inches − 25, US men − 24,
    /// US women − 22.5, the last 2/3 inch longer than the foot; Mondopoint (ISO 9407) is the foot length in mm.
    fn foot_length(self) -> f64 {
        let of_last = |zero: f64| (self.size + zero) * BARLEYCORN - 2.0 * BARLEYCORN;
        match self.system {
            ShoeSystem::Eu => self.size * PARIS_POINT - 15.0,
            ShoeSystem::Mondopoint => self.size,
            ShoeSystem::Uk => of_last(25.0),
            ShoeSystem::UsMen => of_last(24.0),
            ShoeSystem::UsWomen => of_last(22.5),
        }
    }
}

/// Measurements as they were typed, unchecked. Lengths in mm, masses in kg.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct RawMeasurements {
    /// Sex, as far as figures differ by it.
    pub sex: Sex,
    /// Age in years; an adult where not said.
    pub age: Option<f64>,
    /// Measurement, value, and its own standard deviation (the tape's where `None`).
    pub taken: Vec<(Measurement, f64, Option<f64>)>,
    /// Stature as the rider says it.
    pub stated_stature: Option<f64>,
    /// Body mass as the rider says it.
    pub stated_mass: Option<f64>,
    /// Boot size.
    pub boot_size: Option<ShoeSize>,
    /// Glove size (hand girth in inches).
    pub glove_size: Option<f64>,
    /// Inseam of trousers that fit, mm.
    pub inseam: Option<f64>,
}

/// Where an observation comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Origin {
    /// Measured on the body.
    Taken,
    /// Stated by the rider.
    Stated,
    /// From the boot size.
    BootSize,
    /// From the glove size.
    GloveSize,
    /// From the trousers.
    Inseam,
}

/// A value of one measurement with its standard deviation, in the measurement's unit; biases are taken off.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Observation {
    /// What it speaks about.
    pub measurement: Measurement,
    /// The value.
    pub value: f64,
    /// Its standard deviation; 0 is exact.
    pub sd: f64,
    /// Where it comes from.
    pub origin: Origin,
}

/// Checked measurements: stature and mass at least, all in range.
#[derive(Clone, Debug, PartialEq)]
pub struct Measurements {
    sex: Sex,
    age: Option<f64>,
    observations: Vec<Observation>,
}

/// Why measurements are refused.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum MeasurementError {
    /// Neither measured nor stated.
    #[error("{field} is missing: stature and body mass are the least that is needed")]
    Missing {
        /// The field.
        field: &'static str,
    },
    /// Not a number, or infinite.
    #[error("{field} is {value}, which is not a number between {low} and {high} {unit}")]
    NotFinite {
        /// The field.
        field: &'static str,
        /// What was given.
        value: f64,
        /// Least that is allowed.
        low: f64,
        /// Greatest that is allowed.
        high: f64,
        /// Unit of the three.
        unit: &'static str,
    },
    /// Outside what is believed.
    #[error("{field} is {value} {unit}, allowed is {low} to {high} {unit}{hint}")]
    OutOfRange {
        /// The field.
        field: &'static str,
        /// What was given.
        value: f64,
        /// Least that is allowed.
        low: f64,
        /// Greatest that is allowed.
        high: f64,
        /// Unit of the three.
        unit: &'static str,
        /// A question about the unit where one would explain the value; else empty.
        hint: String,
    },
    /// An own standard deviation that says nothing, or is none.
    #[error("standard deviation of {field} is {value} {unit}, allowed is 0 to {high:.0} {unit}")]
    Deviation {
        /// The measurement.
        field: &'static str,
        /// What was given.
        value: f64,
        /// Greatest that is allowed.
        high: f64,
        /// Unit of both.
        unit: &'static str,
    },
    /// The same measurement twice.
    #[error("{field} is given twice")]
    Twice {
        /// The field.
        field: &'static str,
    },
}

/// A noisy observation that is not a tape's: bias to take off and standard deviation.
struct Indirect {
    bias: BySex,
    sd: BySex,
}

/// Stated minus measured stature, mm, and mass, kg: in ANSUR II (Gordon et al. 2014), our arithmetic on its rows.
const STATED_STATURE: Indirect = Indirect {
    bias: BySex::new(22.0, 12.0),
    sd: BySex::new(19.0, 19.0),
};
const STATED_MASS: Indirect = Indirect {
    bias: BySex::new(-0.2, -0.8),
    sd: BySex::new(2.7, 2.5),
};

/// Foot length by boot size, mm: half a size of rounding and the room people like (common practice, no source).
const BOOT_SIZE_SD: f64 = 8.0;

/// Hand girth in inches is the glove size (EN 420, from memory); breadth over girth 0.42 (ANSUR II means of hand
/// breadth and circumference, from memory); deviation 5 mm for half a size of rounding and fit (our choice).
const HAND_BREADTH_PER_GIRTH: f64 = 0.42;
const GLOVE_SIZE_SD: f64 = 5.0;

/// Inseam of trousers minus crotch height, mm: the hem ends above the floor; and its deviation
/// (common practice, no source).
const INSEAM_BIAS: f64 = -40.0;
const INSEAM_SD: f64 = 25.0;

impl Measurements {
    /// Check raw values.
    ///
    /// # Errors
    /// Names the first field that is missing, not finite, out of range or given twice, with value and range.
    pub fn new(raw: &RawMeasurements) -> Result<Self, MeasurementError> {
        if let Some(age) = raw.age {
            in_range("age", age, AGES, "years", no_hint)?;
        }
        let youth = raw.age.is_some_and(|age| age < ADULT_AGE);
        let mut observations = Vec::with_capacity(raw.taken.len() + 5);
        let mut seen = [false; Measurement::COUNT];
        for &(measurement, value, sd) in &raw.taken {
            if core::mem::replace(&mut seen[measurement.index()], true) {
                return Err(MeasurementError::Twice {
                    field: measurement.name(),
                });
            }
            check(measurement.name(), measurement, value, youth)?;
            let sd = sd.unwrap_or(measurement.tape_sd());
            let high = value * GREATEST_SD_SHARE;
            if !(0.0..=high).contains(&sd) {
                return Err(MeasurementError::Deviation {
                    field: measurement.name(),
                    value: sd,
                    high,
                    unit: measurement.unit().symbol(),
                });
            }
            observations.push(Observation {
                measurement,
                value,
                sd,
                origin: Origin::Taken,
            });
        }
        Self::add_indirect(raw, youth, &mut observations)?;
        for needed in [Measurement::Stature, Measurement::BodyMass] {
            if !observations.iter().any(|o| o.measurement == needed) {
                return Err(MeasurementError::Missing {
                    field: needed.name(),
                });
            }
        }
        Ok(Self {
            sex: raw.sex,
            age: raw.age,
            observations,
        })
    }

    fn add_indirect(
        raw: &RawMeasurements,
        youth: bool,
        observations: &mut Vec<Observation>,
    ) -> Result<(), MeasurementError> {
        let mut add = |measurement, value, sd, origin| {
            observations.push(Observation {
                measurement,
                value,
                sd,
                origin,
            });
        };
        let sex = raw.sex;
        if let Some(stated) = raw.stated_stature {
            check("stated_stature", Measurement::Stature, stated, youth)?;
            let Indirect { bias, sd } = STATED_STATURE;
            let value = stated - bias.of(sex);
            add(Measurement::Stature, value, sd.of(sex), Origin::Stated);
        }
        if let Some(stated) = raw.stated_mass {
            check("stated_mass", Measurement::BodyMass, stated, youth)?;
            let Indirect { bias, sd } = STATED_MASS;
            let value = stated - bias.of(sex);
            add(Measurement::BodyMass, value, sd.of(sex), Origin::Stated);
        }
        if let Some(boot) = raw.boot_size {
            let (low, high) = Measurement::FootLength.allowed(youth);
            // The range in the size's own system: the map is linear and rising.
            let size_at = |foot: f64| {
                let zero = ShoeSize { size: 0.0, ..boot }.foot_length();
                let one = ShoeSize { size: 1.0, ..boot }.foot_length();
                (10.0 * (foot - zero) / (one - zero)).round() / 10.0
            };
            let range = (size_at(low), size_at(high));
            in_range("boot_size", boot.size, range, "in that system", no_hint)?;
            add(
                Measurement::FootLength,
                boot.foot_length(),
                BOOT_SIZE_SD,
                Origin::BootSize,
            );
        }
        if let Some(size) = raw.glove_size {
            in_range("glove_size", size, (4.0, 14.0), "inches of girth", no_hint)?;
            let breadth = size * MM_PER_INCH * HAND_BREADTH_PER_GIRTH;
            add(
                Measurement::HandBreadth,
                breadth,
                GLOVE_SIZE_SD,
                Origin::GloveSize,
            );
        }
        if let Some(inseam) = raw.inseam {
            check("inseam", Measurement::CrotchHeight, inseam, youth)?;
            add(
                Measurement::CrotchHeight,
                inseam - INSEAM_BIAS,
                INSEAM_SD,
                Origin::Inseam,
            );
        }
        Ok(())
    }

    /// Sex as given.
    pub fn sex(&self) -> Sex {
        self.sex
    }

    /// Age as given, years.
    pub fn age(&self) -> Option<f64> {
        self.age
    }

    /// Whether the figures of youths apply.
    pub fn is_youth(&self) -> bool {
        self.age.is_some_and(|age| age < ADULT_AGE)
    }

    /// All observations, in the order given, what was taken first.
    pub fn observations(&self) -> &[Observation] {
        &self.observations
    }
}

fn no_hint(_: f64, _: (f64, f64)) -> String {
    String::new()
}

fn check(
    field: &'static str,
    measurement: Measurement,
    value: f64,
    youth: bool,
) -> Result<(), MeasurementError> {
    let unit = measurement.unit();
    let hint = match unit {
        Unit::Mm => length_hint,
        Unit::Kg => mass_hint,
    };
    in_range(
        field,
        value,
        measurement.allowed(youth),
        unit.symbol(),
        hint,
    )
}

fn in_range(
    field: &'static str,
    value: f64,
    (low, high): (f64, f64),
    unit: &'static str,
    hint: fn(f64, (f64, f64)) -> String,
) -> Result<(), MeasurementError> {
    if !value.is_finite() {
        return Err(MeasurementError::NotFinite {
            field,
            value,
            low,
            high,
            unit,
        });
    }
    if value < low || value > high {
        return Err(MeasurementError::OutOfRange {
            field,
            value,
            low,
            high,
            unit,
            hint: hint(value, (low, high)),
        });
    }
    Ok(())
}

/// Ask whether a length was meant in another unit, where that would bring it into range.
fn length_hint(value: f64, range: (f64, f64)) -> String {
    ask(
        value,
        range,
        &[
            ("inches", MM_PER_INCH),
            ("metres", MM_PER_M),
            ("centimetres", 10.0),
        ],
        "mm",
    )
}

/// Ask whether a mass was meant in another unit, where that would bring it into range.
fn mass_hint(value: f64, range: (f64, f64)) -> String {
    ask(
        value,
        range,
        &[("pounds", KG_PER_POUND), ("grams", 0.001)],
        "kg",
    )
}

fn ask(value: f64, (low, high): (f64, f64), units: &[(&str, f64)], unit: &str) -> String {
    let fitting: Vec<String> = units
        .iter()
        .filter(|(_, factor)| (low..=high).contains(&(value * factor)))
        .map(|(name, factor)| {
            format!(
                "{name}? (that would be {} {unit})",
                (value * factor).round()
            )
        })
        .collect();
    if fitting.is_empty() {
        String::new()
    } else {
        format!(": {}", fitting.join(" or "))
    }
}
