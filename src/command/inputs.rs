//! Riders, sleds and stances from options and files.

use std::fs;
use std::path::{Path, PathBuf};

use clap::Args;

use super::failure::{Failure, ValueError};
use crate::document::{DocumentError, locate};
use crate::rider::{
    Built, Measurement, MeasurementEntry, MeasurementError, RiderError, RiderProfile, Sex, Unit,
};
use crate::sled::{Sled, SledError, SledProfile, profile::SHIPPED};
use crate::stance::{Stance, StanceError, StanceProfile};

/// The rider: a file, or height and weight, or a file with measurements added.
#[derive(Args, Clone, Debug, Default)]
pub struct RiderArgs {
    /// A rider's file.
    #[arg(long, value_name = "FILE", help_heading = "Rider")]
    pub rider: Option<PathBuf>,
    /// Height of the body, barefoot, mm.
    #[arg(
        long,
        value_name = "MM",
        allow_negative_numbers = true,
        help_heading = "Rider"
    )]
    pub stature_mm: Option<f64>,
    /// Mass of the body without gear, kg.
    #[arg(
        long,
        value_name = "KG",
        allow_negative_numbers = true,
        help_heading = "Rider"
    )]
    pub mass_kg: Option<f64>,
    /// Which published figures apply; left out: the mean of both, with wider bands.
    #[arg(long, value_name = "m|f", value_parser = sex, help_heading = "Rider")]
    pub sex: Option<Sex>,
    /// Age, years; left out: an adult.
    #[arg(
        long,
        value_name = "YEARS",
        allow_negative_numbers = true,
        help_heading = "Rider"
    )]
    pub age_y: Option<f64>,
    /// A further measurement, mm, by its ISO 7250-1 name in snake case: crotch_height=842. Repeatable.
    #[arg(long, value_name = "NAME=MM", value_parser = measure, help_heading = "Rider")]
    pub measure: Vec<(Measurement, f64)>,
}

/// The sled and the stances.
#[derive(Args, Clone, Debug)]
pub struct SledArgs {
    /// A sled's file, or the name of a demo sled: long-lemming, tall-tern, bare-bones.
    #[arg(long, value_name = "FILE", help_heading = "Sled")]
    pub sled: PathBuf,
    /// A stance's file, beside the shipped ones; one of the same name takes its place. Repeatable.
    #[arg(long, value_name = "FILE", help_heading = "Sled")]
    pub stance: Vec<PathBuf>,
}

/// Reads a sex as people type it.
pub fn sex(text: &str) -> Result<Sex, String> {
    match text.trim().to_ascii_lowercase().as_str() {
        "m" | "male" | "man" => Ok(Sex::Male),
        "f" | "female" | "woman" | "w" => Ok(Sex::Female),
        "" | "unknown" => Ok(Sex::Unknown),
        other => Err(format!("\"{other}\" is none of m, f")),
    }
}

fn measure(text: &str) -> Result<(Measurement, f64), String> {
    let (name, value) = text
        .split_once('=')
        .ok_or("a measurement is given as NAME=MM, such as crotch_height=842")?;
    let name = name.trim();
    let bare = name
        .strip_suffix("_mm")
        .or(name.strip_suffix("_kg"))
        .unwrap_or(name);
    let measurement = Measurement::from_name(bare).ok_or_else(|| {
        let names: Vec<_> = Measurement::ALL.iter().map(|m| m.name()).collect();
        format!(
            "no measurement is called \"{name}\"; there are {}",
            names.join(", ")
        )
    })?;
    let value = value
        .trim()
        .parse()
        .map_err(|_| format!("{bare}: \"{value}\" is not a number"))?;
    Ok((measurement, value))
}

impl RiderArgs {
    /// What the rider's file calls the rider; nothing where there is no file.
    pub fn called(&self) -> Result<String, Failure> {
        let Some(path) = &self.rider else {
            return Ok(String::new());
        };
        let profile = RiderProfile::read(&read_text(path)?).map_err(in_file(path))?;
        Ok(profile.name)
    }

    /// The rider that the options describe.
    pub fn build(&self) -> Result<Built, Failure> {
        let (mut profile, text) = match &self.rider {
            None => (
                RiderProfile {
                    name: "rider".to_owned(),
                    ..RiderProfile::default()
                },
                None,
            ),
            Some(path) => {
                let text = read_text(path)?;
                let profile = RiderProfile::read(&text).map_err(in_file(path))?;
                (profile, Some((path, text)))
            }
        };
        for (measurement, value) in self.typed() {
            // What is typed takes the place of what the file says.
            profile.measurements.retain(|m| m.name != measurement);
            let (value_mm, value_kg) = match measurement.unit() {
                Unit::Mm => (Some(value), None),
                Unit::Kg => (None, Some(value)),
            };
            profile.measurements.push(MeasurementEntry {
                name: measurement,
                value_mm,
                value_kg,
                sd_mm: None,
                sd_kg: None,
            });
        }
        profile.sex = self.sex.unwrap_or(profile.sex);
        profile.age_y = self.age_y.or(profile.age_y);
        profile.build().map_err(|error| match text {
            Some((path, text)) => rider_value(&path.display().to_string(), &text, &profile, error),
            None => with_options(error),
        })
    }

    fn typed(&self) -> impl Iterator<Item = (Measurement, f64)> {
        let stature = self.stature_mm.map(|v| (Measurement::Stature, v));
        let mass = self.mass_kg.map(|v| (Measurement::BodyMass, v));
        stature
            .into_iter()
            .chain(mass)
            .chain(self.measure.iter().copied())
    }
}

/// Where nothing but options describes the rider, a missing number is a missing option.
fn with_options(error: RiderError) -> Failure {
    match error {
        RiderError::Measurement(MeasurementError::Missing { field }) => Failure::Usage(format!(
            "{field} is missing: give --stature-mm and --mass-kg, or --rider FILE"
        )),
        error => Failure::Rider(Box::new(error)),
    }
}

impl SledArgs {
    /// The sled.
    pub fn sled(&self) -> Result<Sled, Failure> {
        let (file, text) = self.sled_text()?;
        let profile = SledProfile::read(&text).map_err(|source| Failure::Document {
            file: file.clone(),
            source,
        })?;
        profile
            .resolve()
            .map_err(|error| sled_value(&file, &text, error))
    }

    /// The sled's name for messages, and its document's text.
    pub fn sled_text(&self) -> Result<(String, String), Failure> {
        let demo = SHIPPED.iter().find(|s| self.sled.as_os_str() == s.id);
        match demo {
            // A file of that name goes before the demo.
            Some(demo) if !self.sled.exists() => Ok((demo.id.to_owned(), demo.text.to_owned())),
            _ => Ok((self.sled.display().to_string(), read_text(&self.sled)?)),
        }
    }

    /// The shipped stances with the given ones beside or in place of them.
    pub fn stances(&self) -> Result<Vec<Stance>, Failure> {
        stances(&self.stance)
    }
}

/// The shipped stances with those of files beside or in place of them.
pub fn stances(files: &[PathBuf]) -> Result<Vec<Stance>, Failure> {
    let mut stances = Stance::shipped().map_err(|e| Failure::Fault(e.to_string()))?;
    for path in files {
        let text = read_text(path)?;
        let profile = StanceProfile::read(&text).map_err(in_file(path))?;
        let stance = profile
            .resolve()
            .map_err(|error| stance_value(&path.display().to_string(), &text, error))?;
        match stances.iter_mut().find(|s| s.name == stance.name) {
            Some(same) => *same = stance,
            None => stances.push(stance),
        }
    }
    Ok(stances)
}

/// A file's text.
pub fn read_text(path: &Path) -> Result<String, Failure> {
    let bytes = fs::read(path).map_err(Failure::read(path))?;
    String::from_utf8(bytes).map_err(|error| Failure::Document {
        file: path.display().to_string(),
        source: DocumentError::NotJson {
            line: 1,
            column: error.utf8_error().valid_up_to() + 1,
            message: "it is not text in UTF-8".to_owned(),
        },
    })
}

/// For `map_err` on reading a document.
pub fn in_file(path: &Path) -> impl FnOnce(DocumentError) -> Failure {
    let file = path.display().to_string();
    move |source| Failure::Document { file, source }
}

/// A complaint about a sled's value, with its place in the text.
pub fn sled_value(file: &str, text: &str, error: SledError) -> Failure {
    let field = error.field().to_owned();
    placed(file, text, &field, error.into())
}

/// A complaint about a stance's value, with its place in the text.
pub fn stance_value(file: &str, text: &str, error: StanceError) -> Failure {
    let field = error.field().to_owned();
    placed(file, text, &field, error.into())
}

/// A complaint about a rider's value, with its place in the text.
pub fn rider_value(file: &str, text: &str, profile: &RiderProfile, error: RiderError) -> Failure {
    placed(file, text, &rider_field(profile, &error), error.into())
}

fn placed(file: &str, text: &str, field: &str, source: ValueError) -> Failure {
    let (line, column) = locate(text, &format!("data.{field}"));
    Failure::Value {
        file: file.to_owned(),
        line,
        column,
        source: Box::new(source),
    }
}

/// Path of the field that a rider's error is about: errors know a measurement by its name, the file by its place.
fn rider_field(profile: &RiderProfile, error: &RiderError) -> String {
    let entry = |name: &str| {
        let place = profile
            .measurements
            .iter()
            .rposition(|m| m.name.name() == name);
        place.map_or_else(
            || "measurements".to_owned(),
            |i| {
                let unit = profile.measurements[i].name.unit().symbol();
                format!("measurements[{i}].value_{unit}")
            },
        )
    };
    match error {
        RiderError::OutOfRange { field, .. } => (*field).to_owned(),
        RiderError::ValueField { measurement, .. } => entry(measurement),
        RiderError::Measurement(
            MeasurementError::Missing { field }
            | MeasurementError::NotFinite { field, .. }
            | MeasurementError::OutOfRange { field, .. }
            | MeasurementError::Deviation { field, .. }
            | MeasurementError::Twice { field },
        ) => match *field {
            "stated_stature" => "stated.stature_mm".to_owned(),
            "stated_mass" => "stated.mass_kg".to_owned(),
            "boot_size" => "stated.boot_size.size".to_owned(),
            "glove_size" => "stated.glove_size".to_owned(),
            "inseam" => "stated.inseam_mm".to_owned(),
            "age" => "age_y".to_owned(),
            name => entry(name),
        },
        RiderError::Estimate(_) => "measurements".to_owned(),
    }
}
