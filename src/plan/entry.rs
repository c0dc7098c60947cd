//! A field's text: what kind of value it holds, how it is read and how a value is shown in it.

use serde::{Deserialize, Serialize};

use crate::units::Angle;
use crate::units::text::{
    self, LengthUnit, MassUnit, System, TextError, finite, format_angle, format_length,
    format_mass, format_number,
};

/// Units that a person chose. The stored form of [`System`].
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Units {
    /// mm and kg.
    #[default]
    Metric,
    /// Inches and pounds.
    Imperial,
}

impl From<Units> for System {
    fn from(units: Units) -> Self {
        match units {
            Units::Metric => Self::Metric,
            Units::Imperial => Self::Imperial,
        }
    }
}

/// What a field holds. Values are in mm, kg, degrees or N.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// A length, mm.
    Length,
    /// A length of the body, mm: a bare number may be centimetres or metres where that alone makes sense.
    BodyLength,
    /// A mass, kg.
    Mass,
    /// An angle, degrees.
    Angle,
    /// A plain number.
    Number,
    /// A whole number.
    Count,
    /// Words.
    Text,
    /// One of several values: as stored, and as shown.
    Choice(&'static [(&'static str, &'static str)]),
    /// Yes or no, stored as `true` and `false`.
    Flag,
}

/// Text as it was typed, and the units that a bare number in it had.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Entry {
    /// The text.
    pub text: String,
    /// The units chosen when it was typed.
    #[serde(default)]
    pub units: Units,
}

impl Entry {
    /// A typed text.
    pub fn new(text: impl Into<String>, units: Units) -> Self {
        Self {
            text: text.into(),
            units,
        }
    }

    /// Whether nothing stands there.
    pub fn is_empty(&self) -> bool {
        self.text.trim().is_empty()
    }

    /// What is shown in the field: the text itself, or its value in the units chosen since.
    pub fn shown(&self, kind: Kind, range: Option<(f64, f64)>, units: Units) -> String {
        if self.units == units || !kind.converts() {
            return self.text.clone();
        }
        match kind.number(&self.text, range, self.units) {
            Ok(value) => kind.print(value, units),
            Err(_) => self.text.clone(),
        }
    }
}

impl Kind {
    /// Whether its text depends on the units chosen.
    pub const fn converts(self) -> bool {
        matches!(self, Self::Length | Self::BodyLength | Self::Mass)
    }

    /// Whether it holds a number.
    pub const fn is_number(self) -> bool {
        !matches!(self, Self::Text | Self::Choice(_) | Self::Flag)
    }

    /// The number that a text stands for, inside its range where there is one.
    ///
    /// # Errors
    /// Says what was not understood, or names value and range in the units chosen.
    pub fn number(
        self,
        raw: &str,
        range: Option<(f64, f64)>,
        units: Units,
    ) -> Result<f64, TextError> {
        let system = System::from(units);
        let inside = |v: &f64| range.is_none_or(|(low, high)| (low..=high).contains(v));
        let value = match self {
            Self::Length => text::parse_length(raw, system.length())?,
            Self::BodyLength => {
                let plain = text::parse_length(raw, system.length())?;
                let others: &[LengthUnit] = match units {
                    Units::Metric => &[LengthUnit::Cm, LengthUnit::M],
                    Units::Imperial => &[],
                };
                others
                    .iter()
                    .filter_map(|unit| text::parse_length(raw, *unit).ok())
                    .find(|value| !inside(&plain) && inside(value))
                    .unwrap_or(plain)
            }
            Self::Mass => text::parse_mass(raw, system.mass())?,
            Self::Angle => text::parse_angle(raw)?.deg(),
            _ => plain_number(raw)?,
        };
        match range {
            Some(range) => text::within(value, range, |v| self.print(v, units)),
            None => Ok(value),
        }
    }

    /// A value as a field shows it.
    pub fn print(self, value: f64, units: Units) -> String {
        let system = System::from(units);
        match self {
            Self::Length | Self::BodyLength => match system {
                System::Metric => format_length(value, LengthUnit::Mm, 1.0),
                System::Imperial => format_length(value, LengthUnit::Inch, 0.1),
            },
            Self::Mass => match system {
                System::Metric => format_mass(value, MassUnit::Kg, 0.1),
                System::Imperial => format_mass(value, MassUnit::Pound, 1.0),
            },
            Self::Angle => format_angle(Angle::from_deg(value), 0.5),
            Self::Count => format_number(value, 1.0),
            _ => format_number(value, 0.1),
        }
    }

    /// The unit behind the field's name; empty where there is none.
    pub fn unit(self, units: Units) -> &'static str {
        let system = System::from(units);
        match self {
            Self::Length | Self::BodyLength => system.length().symbol(),
            Self::Mass => system.mass().symbol(),
            Self::Angle => "°",
            _ => "",
        }
    }
}

/// A number without a unit, with a decimal point or a comma.
fn plain_number(raw: &str) -> Result<f64, TextError> {
    let clean = raw.trim().replace(',', ".").replace('\u{2212}', "-");
    if clean.is_empty() {
        return Err(TextError::Empty);
    }
    finite(&clean).ok_or_else(|| TextError::NotANumber {
        text: raw.trim().to_owned(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    const STATURE: Option<(f64, f64)> = Some((1300.0, 2300.0));

    #[test]
    fn a_bare_stature_is_read_in_the_unit_that_makes_sense() {
        let read = |raw, units| Kind::BodyLength.number(raw, STATURE, units).unwrap();
        for raw in ["1805", "180,5", "1,805", "180.5 cm", "1805 mm"] {
            assert!((read(raw, Units::Metric) - 1805.0).abs() < 1e-9, "{raw}");
        }
        assert!((read("71", Units::Imperial) - 1803.4).abs() < 1e-9);
        assert!((read("5'11", Units::Metric) - 1803.4).abs() < 1e-9);
    }

    #[test]
    fn a_value_out_of_range_is_answered_in_the_units_chosen() {
        let error = Kind::BodyLength.number("99 in", STATURE, Units::Imperial);
        assert_eq!(
            error.unwrap_err().to_string(),
            "99.0 in is outside 51.2 in to 90.6 in"
        );
        let error = Kind::BodyLength.number("71", STATURE, Units::Metric);
        assert!(
            error
                .unwrap_err()
                .to_string()
                .starts_with("71 mm is outside")
        );
    }

    #[test]
    fn text_stays_as_typed_until_the_units_change() {
        let entry = Entry::new("180,5", Units::Metric);
        assert_eq!(
            entry.shown(Kind::BodyLength, STATURE, Units::Metric),
            "180,5"
        );
        assert_eq!(
            entry.shown(Kind::BodyLength, STATURE, Units::Imperial),
            "71.1 in"
        );
        let wrong = Entry::new("tall", Units::Metric);
        assert_eq!(
            wrong.shown(Kind::BodyLength, STATURE, Units::Imperial),
            "tall"
        );
    }

    #[test]
    fn nothing_typed_panics_and_nothing_read_is_infinite() {
        for raw in [
            "", "NaN", "inf", "1e999", "-", "٣", "5''11'", "1e400 mm", "\u{0}",
        ] {
            for kind in [
                Kind::Length,
                Kind::BodyLength,
                Kind::Mass,
                Kind::Angle,
                Kind::Number,
            ] {
                if let Ok(value) = kind.number(raw, None, Units::Metric) {
                    assert!(value.is_finite(), "{raw:?} read as {kind:?}");
                }
            }
        }
    }
}
