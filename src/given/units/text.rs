//! Lengths, masses and angles as people write them: parsed and printed.
//!
//! Understood are `180 cm`, `1.80 m`, `1800 mm`, `71 in`, `5'11`, `5'11.5"`, `5 ft 11 in`, `80 kg`, `176 lb`,
//! `12 st 8 lb`, `14°`, a comma for the decimal point, and a bare number in the unit that the caller names. A number is
//! printed with no more digits than a tape can show: the caller names the step.

use super::{Angle, KG_PER_POUND, MM_PER_INCH, MM_PER_M};

/// Inches per foot.
const INCHES_PER_FOOT: f64 = 12.0;
/// Pounds per stone (Weights and Measures Act 1985, schedule 1, exact).
const POUNDS_PER_STONE: f64 = 14.0;
/// Longer text is no measurement.
const LONGEST: usize = 40;

/// Unit of a length.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LengthUnit {
    /// Millimetre.
    Mm,
    /// Centimetre.
    Cm,
    /// Metre.
    M,
    /// International inch.
    Inch,
    /// International foot.
    Foot,
}

/// Unit of a mass.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MassUnit {
    /// Kilogram.
    Kg,
    /// Avoirdupois pound.
    Pound,
    /// Stone of 14 pounds.
    Stone,
}

/// Units that a reader chose for the whole page.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum System {
    /// mm and kg.
    #[default]
    Metric,
    /// Inches and pounds.
    Imperial,
}

impl System {
    /// Unit of lengths on the sled.
    pub const fn length(self) -> LengthUnit {
        match self {
            Self::Metric => LengthUnit::Mm,
            Self::Imperial => LengthUnit::Inch,
        }
    }

    /// Unit of masses.
    pub const fn mass(self) -> MassUnit {
        match self {
            Self::Metric => MassUnit::Kg,
            Self::Imperial => MassUnit::Pound,
        }
    }
}

/// Why a text is not a measurement. The text itself stays with the caller.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum TextError {
    /// Nothing was written.
    #[error("nothing is written here")]
    Empty,
    /// More than a measurement.
    #[error("too long for a measurement")]
    TooLong,
    /// No number, or a broken one.
    #[error("\u{201c}{text}\u{201d} is not a number")]
    NotANumber {
        /// The part that was not understood.
        text: String,
    },
    /// A number with a unit that is not known here.
    #[error("\u{201c}{unit}\u{201d} is not a unit of {kind}; use {known}")]
    UnknownUnit {
        /// What stood behind the number.
        unit: String,
        /// `length`, `mass` or `angle`.
        kind: &'static str,
        /// The units that are understood.
        known: &'static str,
    },
    /// Units in an order that makes no sense, such as inches before feet.
    #[error("write the larger unit first, such as 5'11 or 12 st 8 lb")]
    UnitOrder,
    /// Outside what is allowed.
    #[error("{value} is outside {low} to {high}")]
    OutOfRange {
        /// What was written, printed in the reader's unit.
        value: String,
        /// Least allowed, likewise.
        low: String,
        /// Greatest allowed, likewise.
        high: String,
    },
}

impl LengthUnit {
    /// Millimetres in one.
    pub const fn mm(self) -> f64 {
        match self {
            Self::Mm => 1.0,
            Self::Cm => 10.0,
            Self::M => MM_PER_M,
            Self::Inch => MM_PER_INCH,
            Self::Foot => MM_PER_INCH * INCHES_PER_FOOT,
        }
    }

    /// Its symbol.
    pub const fn symbol(self) -> &'static str {
        match self {
            Self::Mm => "mm",
            Self::Cm => "cm",
            Self::M => "m",
            Self::Inch => "in",
            Self::Foot => "ft",
        }
    }

    fn named(name: &str) -> Option<Self> {
        Some(match name {
            "mm" => Self::Mm,
            "cm" => Self::Cm,
            "m" => Self::M,
            "in" | "inch" | "inches" | "\"" | "''" => Self::Inch,
            "ft" | "foot" | "feet" | "'" => Self::Foot,
            _ => return None,
        })
    }
}

impl MassUnit {
    /// Kilograms in one.
    pub const fn kg(self) -> f64 {
        match self {
            Self::Kg => 1.0,
            Self::Pound => KG_PER_POUND,
            Self::Stone => KG_PER_POUND * POUNDS_PER_STONE,
        }
    }

    /// Its symbol.
    pub const fn symbol(self) -> &'static str {
        match self {
            Self::Kg => "kg",
            Self::Pound => "lb",
            Self::Stone => "st",
        }
    }

    fn named(name: &str) -> Option<Self> {
        Some(match name {
            "kg" => Self::Kg,
            "lb" | "lbs" | "pound" | "pounds" => Self::Pound,
            "st" | "stone" => Self::Stone,
            _ => return None,
        })
    }
}

/// A length in mm; `default` is the unit of a bare number.
///
/// # Errors
/// Says what was not understood.
pub fn parse_length(text: &str, default: LengthUnit) -> Result<f64, TextError> {
    let known = "mm, cm, m, in, ft";
    parse(text, default.mm(), known, "length", |unit| {
        LengthUnit::named(unit).map(LengthUnit::mm)
    })
}

/// A mass in kg; `default` is the unit of a bare number.
///
/// # Errors
/// Says what was not understood.
pub fn parse_mass(text: &str, default: MassUnit) -> Result<f64, TextError> {
    parse(text, default.kg(), "kg, lb, st", "mass", |unit| {
        MassUnit::named(unit).map(MassUnit::kg)
    })
}

/// An angle written in degrees.
///
/// # Errors
/// Says what was not understood.
pub fn parse_angle(text: &str) -> Result<Angle, TextError> {
    let degrees = parse(text, 1.0, "°", "angle", |unit| {
        matches!(unit, "°" | "deg" | "degree" | "degrees").then_some(1.0)
    })?;
    Ok(Angle::from_deg(degrees))
}

/// Keeps a value that is inside its range.
///
/// # Errors
/// Names value and range as `print` shows them.
pub fn within(
    value: f64,
    (low, high): (f64, f64),
    print: impl Fn(f64) -> String,
) -> Result<f64, TextError> {
    if (low..=high).contains(&value) {
        Ok(value)
    } else {
        Err(TextError::OutOfRange {
            value: print(value),
            low: print(low),
            high: print(high),
        })
    }
}

/// A finite number as programs write it, such as `-12.5`, `+1e3`, `.5` and `5.`; nothing where the text is none.
///
/// It is read as JSON, whose reader of numbers the page has anyway: the standard library's, with its table of powers, is a
/// hundredth of the page.
pub fn finite(text: &str) -> Option<f64> {
    let fits = |b: u8| b.is_ascii_digit() || matches!(b, b'+' | b'-' | b'.' | b'e' | b'E');
    if !text.bytes().all(fits) {
        return None;
    }
    let read = serde_json::from_str(text).ok();
    read.or_else(|| serde_json::from_str(&as_json(text)?).ok())
}

/// A number without what JSON does not know: a plus, zeros ahead of others, a point with digits on one side only.
fn as_json(text: &str) -> Option<String> {
    let rest = text.strip_prefix(['+', '-']).unwrap_or(text);
    let sign = if text.starts_with('-') { "-" } else { "" };
    let (digits, exponent) = rest.split_at(rest.find(['e', 'E']).unwrap_or(rest.len()));
    let (whole, part) = digits.split_once('.').unwrap_or((digits, ""));
    // A zero is added beside digits only.
    if !digits.contains(|c: char| c.is_ascii_digit()) || digits.contains(['+', '-']) {
        return None;
    }
    let or_zero = |digits| match digits {
        "" => "0",
        some => some,
    };
    let whole = or_zero(whole.trim_start_matches('0'));
    Some(format!("{sign}{whole}.{}{exponent}", or_zero(part)))
}

/// Sum of numbers with units, each unit smaller than the one before; a bare last number takes the next smaller unit
/// (5'11), a bare only number the default.
fn parse(
    text: &str,
    default: f64,
    known: &'static str,
    kind: &'static str,
    unit: impl Fn(&str) -> Option<f64>,
) -> Result<f64, TextError> {
    if text.chars().count() > LONGEST {
        return Err(TextError::TooLong);
    }
    let clean = clean(text);
    let mut rest = clean.trim();
    if rest.is_empty() {
        return Err(TextError::Empty);
    }
    let (mut sum, mut last, mut sign) = (0.0, f64::INFINITY, 1.0);
    while !rest.is_empty() {
        let first = last.is_infinite();
        let digits = rest
            .find(|c: char| !(c.is_ascii_digit() || c == '.' || (c == '-' || c == '+')))
            .unwrap_or(rest.len());
        let (number, after) = rest.split_at(digits);
        let number = number.trim();
        let value = finite(number).ok_or_else(|| TextError::NotANumber {
            text: text.trim().to_owned(),
        })?;
        if !first && number.starts_with(['-', '+']) {
            return Err(TextError::NotANumber {
                text: text.trim().to_owned(),
            });
        }
        let after = after.trim_start();
        let end = after
            .find(|c: char| c.is_ascii_digit() || c.is_whitespace() || c == '.' || c == '-')
            .unwrap_or(after.len());
        let (name, next) = after.split_at(end);
        let name = name.trim_end_matches('.');
        let scale = match (name, first) {
            ("", true) => default,
            ("", false) => smaller(last, kind).ok_or(TextError::UnitOrder)?,
            (name, _) => unit(name).ok_or_else(|| TextError::UnknownUnit {
                unit: name.to_owned(),
                kind,
                known,
            })?,
        };
        if scale >= last {
            return Err(TextError::UnitOrder);
        }
        if first && number.starts_with('-') {
            sign = -1.0;
        }
        // What stands behind the first number adds to its size, whatever its sign.
        sum += if first { value } else { sign * value } * scale;
        last = scale;
        rest = next.trim_start();
    }
    if sum.is_finite() {
        Ok(sum)
    } else {
        Err(TextError::NotANumber {
            text: text.trim().to_owned(),
        })
    }
}

/// The unit that a bare number behind feet or stones has.
fn smaller(last: f64, kind: &str) -> Option<f64> {
    match kind {
        "length" if last == LengthUnit::Foot.mm() => Some(LengthUnit::Inch.mm()),
        "length" if last == LengthUnit::M.mm() => Some(LengthUnit::Cm.mm()),
        "mass" if last == MassUnit::Stone.kg() => Some(MassUnit::Pound.kg()),
        _ => None,
    }
}

/// Lower case, one kind of quote, minus and decimal point. A comma is always a decimal comma: a thousands mark has no
/// place in a tape reading.
fn clean(text: &str) -> String {
    text.chars()
        .flat_map(char::to_lowercase)
        .map(|c| match c {
            ',' => '.',
            '\u{2212}' | '\u{2013}' => '-',
            '\u{2019}' | '\u{2018}' | '\u{2032}' | '\u{b4}' => '\'',
            '\u{201d}' | '\u{201c}' | '\u{2033}' => '"',
            '\u{ba}' => '°',
            '\u{a0}' | '\u{202f}' | '\u{2009}' => ' ',
            c => c,
        })
        .collect()
}

/// A number rounded to a step, with the digits that the step needs; a real minus sign.
pub fn format_number(value: f64, step: f64) -> String {
    if !value.is_finite() || !step.is_finite() || step <= 0.0 {
        return "–".to_owned();
    }
    let rounded = libm::round(value / step) * step;
    let mut digits = 0;
    let mut scaled = step;
    while digits < 6 && (scaled - libm::round(scaled)).abs() > 1e-6 * scaled {
        scaled *= 10.0;
        digits += 1;
    }
    let text = format!("{:.digits$}", rounded.abs());
    let zero = text.chars().all(|c| c == '0' || c == '.');
    if rounded < 0.0 && !zero {
        format!("\u{2212}{text}")
    } else {
        text
    }
}

/// A length in mm printed in a unit; the step is in that unit.
pub fn format_length(mm: f64, unit: LengthUnit, step: f64) -> String {
    format!("{} {}", format_number(mm / unit.mm(), step), unit.symbol())
}

/// A length as a tape shows it in the reader's units: to 1 mm, or to a tenth of an inch.
pub fn tape(mm: f64, system: System) -> String {
    match system {
        System::Metric => format_length(mm, LengthUnit::Mm, 1.0),
        System::Imperial => format_length(mm, LengthUnit::Inch, 0.1),
    }
}

/// A length where the tolerance says so: to 5 mm, or to a fifth of an inch.
pub fn coarse(mm: f64, system: System) -> String {
    match system {
        System::Metric => format_length(mm, LengthUnit::Mm, 5.0),
        System::Imperial => format_length(mm, LengthUnit::Inch, 0.2),
    }
}

/// A stature in feet and inches, to half an inch.
pub fn format_feet(mm: f64) -> String {
    let halves = libm::round(mm / MM_PER_INCH * 2.0);
    let inches = halves / 2.0;
    if !inches.is_finite() || inches < 0.0 {
        return "–".to_owned();
    }
    let feet = libm::floor(inches / INCHES_PER_FOOT);
    format!("{feet}'{}\"", inches - feet * INCHES_PER_FOOT)
}

/// A mass in kg printed in a unit; the step is in that unit.
pub fn format_mass(kg: f64, unit: MassUnit, step: f64) -> String {
    format!("{} {}", format_number(kg / unit.kg(), step), unit.symbol())
}

/// An angle in degrees, to a step in degrees.
pub fn format_angle(angle: Angle, step: f64) -> String {
    format!("{}°", format_number(angle.deg(), step))
}

/// An angle to half a degree, which is what a digital level can be set to.
pub fn level(angle: Angle) -> String {
    let whole = (angle.deg() - libm::round(angle.deg())).abs() < 0.25;
    format_angle(angle, if whole { 1.0 } else { 0.5 })
}

/// A count and what is counted: `1 row`, `2 rows`.
pub fn many(count: u64, what: &str) -> String {
    let plural = if count == 1 { "" } else { "s" };
    format!("{count} {what}{plural}")
}

/// A name with a capital first letter; only a–z have one here, the tables for all scripts would burden the page.
pub fn capital(name: &str) -> String {
    let mut capital = name.to_owned();
    if let Some(first) = capital.get_mut(..1) {
        first.make_ascii_uppercase();
    }
    capital
}

#[cfg(test)]
mod tests {
    use super::capital;

    #[test]
    fn capitals_of_plain_letters() {
        assert_eq!(capital("ready"), "Ready");
        assert_eq!(capital("über"), "über");
        assert_eq!(capital(""), "");
    }
}
