//! A table of people as it is given: columns by name, a rider a row.

use std::fs;
use std::path::Path;

use csv::StringRecord;

use crate::command::failure::Failure;
use crate::command::inputs::sex;
use crate::rider::{Measurement, MeasurementEntry, RiderProfile, Sex, Unit};
use crate::units::{KG_PER_POUND, MM_PER_INCH, MM_PER_M};

/// A table of people.
pub struct Table {
    pub columns: Vec<Column>,
    pub rows: Vec<StringRecord>,
}

impl Table {
    /// Reads it.
    pub fn read(path: &Path) -> Result<Self, Failure> {
        let refuse = |because: String| Failure::table(path, because);
        let bytes = fs::read(path).map_err(Failure::read(path))?;
        let mut reader = csv::ReaderBuilder::new()
            .trim(csv::Trim::All)
            .from_reader(bytes.as_slice());
        let names = reader.headers().map_err(|e| refuse(e.to_string()))?.clone();
        let columns: Vec<Column> = names.iter().map(Column::of).collect();
        for needed in [Measurement::Stature, Measurement::BodyMass] {
            let count = columns
                .iter()
                .filter(|c| matches!(c, Column::Measured(m, _) if *m == needed))
                .count();
            if count != 1 {
                return Err(refuse(format!(
                    "line 1: {count} columns hold {}; exactly one must (such as stature_mm, mass_kg)",
                    needed.name()
                )));
            }
        }
        let rows = reader
            .records()
            .collect::<Result<Vec<_>, _>>()
            .map_err(|e| refuse(e.to_string()))?;
        if rows.is_empty() {
            return Err(refuse(
                "no people: nothing follows the heading line".to_owned(),
            ));
        }
        Ok(Self { columns, rows })
    }

    /// The rider of a row, or why it is none; and what the row calls the rider.
    pub fn rider(
        &self,
        row: &StringRecord,
        everybody: Option<Sex>,
    ) -> (String, Result<RiderProfile, String>) {
        let mut profile = RiderProfile {
            sex: everybody.unwrap_or_default(),
            ..RiderProfile::default()
        };
        let mut fault = None;
        for (column, cell) in self.columns.iter().zip(row) {
            if cell.is_empty() {
                continue;
            }
            match *column {
                Column::Other => {}
                Column::Id => profile.name = cell.to_owned(),
                Column::Sex => match sex(cell) {
                    Ok(sex) => profile.sex = sex,
                    Err(why) => fault = fault.or(Some(format!("sex: {why}"))),
                },
                Column::Age => match cell.parse() {
                    Ok(age) => profile.age_y = Some(age),
                    Err(_) => fault = fault.or(Some(format!("age_y: \"{cell}\" is not a number"))),
                },
                Column::Measured(name, factor) => match cell.parse::<f64>() {
                    Ok(value) => profile.measurements.push(entry(name, value * factor)),
                    Err(_) => {
                        let why = format!("{}: \"{cell}\" is not a number", name.name());
                        fault = fault.or(Some(why));
                    }
                },
            }
        }
        (profile.name.clone(), fault.map_or(Ok(profile), Err))
    }
}

/// What a column of the table holds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Column {
    Id,
    Sex,
    Age,
    /// A measurement, and what makes mm or kg of its cells.
    Measured(Measurement, f64),
    Other,
}

/// ANSUR II's names where they differ from ISO 7250-1's by more than underscores.
const ANSUR_NAMES: [(&str, Measurement); 5] = [
    ("weight", Measurement::BodyMass),
    ("mass", Measurement::BodyMass),
    ("acromialheight", Measurement::ShoulderHeight),
    ("forearmcenterofgriplength", Measurement::ElbowGripLength),
    ("forearmhandlength", Measurement::ForearmFingertipLength),
];

/// Units that a column's name can end in, with what makes mm or kg of them.
const UNITS: [(&str, Unit, f64); 6] = [
    ("_mm", Unit::Mm, 1.0),
    ("_cm", Unit::Mm, 10.0),
    ("_in", Unit::Mm, MM_PER_INCH),
    ("_m", Unit::Mm, MM_PER_M),
    ("_kg", Unit::Kg, 1.0),
    ("_lb", Unit::Kg, KG_PER_POUND),
];

impl Column {
    fn of(name: &str) -> Self {
        let name = name
            .trim()
            .trim_start_matches('\u{feff}')
            .to_ascii_lowercase();
        match name.as_str() {
            "id" | "subjectid" | "name" | "rider" => return Self::Id,
            "sex" | "gender" => return Self::Sex,
            "age" | "age_y" => return Self::Age,
            _ => {}
        }
        let unit = UNITS.iter().find(|(suffix, ..)| name.ends_with(suffix));
        let bare = unit.map_or(name.as_str(), |(suffix, ..)| {
            &name[..name.len() - suffix.len()]
        });
        let plain = |text: &str| text.replace(['_', ' ', '-'], "");
        let wanted = plain(bare);
        let iso = Measurement::ALL
            .into_iter()
            .find(|m| plain(m.name()) == wanted);
        let ansur = || {
            ANSUR_NAMES
                .iter()
                .find(|(n, _)| *n == wanted)
                .map(|(_, m)| *m)
        };
        match (iso.or_else(ansur), unit) {
            (Some(measurement), None) => Self::Measured(measurement, 1.0),
            (Some(measurement), Some((_, unit, factor))) if measurement.unit() == *unit => {
                Self::Measured(measurement, *factor)
            }
            _ => Self::Other,
        }
    }
}

fn entry(name: Measurement, value: f64) -> MeasurementEntry {
    let (value_mm, value_kg) = match name.unit() {
        Unit::Mm => (Some(value), None),
        Unit::Kg => (None, Some(value)),
    };
    MeasurementEntry {
        name,
        value_mm,
        value_kg,
        sd_mm: None,
        sd_kg: None,
    }
}
