//! Units of recorded channels: how they are written, what they measure, and their size in the base unit.
//!
//! Base units: s, g, m/s, %, bar, degrees, m, and a plain count.

use super::STANDARD_GRAVITY;
use serde::{Deserialize, Serialize};

/// What a channel measures.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Quantity {
    /// Base unit s.
    Time,
    /// Base unit g.
    Acceleration,
    /// Base unit m/s.
    Speed,
    /// How far a control is worked, base unit %, or the pressure behind it, base unit bar.
    Control,
    /// Geographic angle, base unit degrees, or a distance, base unit m.
    Place,
    /// A number without a unit.
    Count,
}

/// A unit of a recorded channel.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
pub enum ChannelUnit {
    /// Second.
    #[serde(rename = "s")]
    Second,
    /// Millisecond.
    #[serde(rename = "ms")]
    Millisecond,
    /// Microsecond.
    #[serde(rename = "us")]
    Microsecond,
    /// Minute.
    #[serde(rename = "min")]
    Minute,
    /// Time of day or of the run, `h:mm:ss.s` or `m:ss.s`, with a date before it or without.
    #[serde(rename = "clock")]
    Clock,
    /// Standard acceleration of free fall.
    #[serde(rename = "g")]
    G,
    /// A thousandth of it.
    #[serde(rename = "mg")]
    MilliG,
    /// Metre per second squared.
    #[serde(rename = "m/s2")]
    MetrePerSecondSquared,
    /// Metre per second.
    #[serde(rename = "m/s")]
    MetrePerSecond,
    /// Kilometre per hour.
    #[serde(rename = "km/h")]
    KilometrePerHour,
    /// International mile per hour.
    #[serde(rename = "mph")]
    MilePerHour,
    /// Knot.
    #[serde(rename = "kn")]
    Knot,
    /// Hundredth of the whole way.
    #[serde(rename = "%")]
    Percent,
    /// Share of the whole way.
    #[serde(rename = "share")]
    Share,
    /// Bar, of a pressure.
    #[serde(rename = "bar")]
    Bar,
    /// Degree of latitude or longitude.
    #[serde(rename = "deg")]
    Degree,
    /// Metre.
    #[serde(rename = "m")]
    Metre,
    /// No unit.
    #[serde(rename = "count")]
    Count,
}

/// Name as stored, what it measures, size in the base unit, and other ways to write it.
type Row = (
    ChannelUnit,
    &'static str,
    Quantity,
    f64,
    &'static [&'static str],
);

/// Metres per international mile (1959 agreement) and per nautical mile (1929 Monaco conference), both exact.
const MILE: f64 = 1609.344;
const NAUTICAL_MILE: f64 = 1852.0;
const SECONDS_PER_HOUR: f64 = 3600.0;

/// Every unit.
const UNITS: [Row; 18] = [
    (
        ChannelUnit::Second,
        "s",
        Quantity::Time,
        1.0,
        &["sec", "secs", "second", "seconds"],
    ),
    (
        ChannelUnit::Millisecond,
        "ms",
        Quantity::Time,
        1e-3,
        &["msec", "millis", "milliseconds"],
    ),
    (
        ChannelUnit::Microsecond,
        "us",
        Quantity::Time,
        1e-6,
        &["\u{b5}s", "\u{3bc}s", "usec", "micros", "microseconds"],
    ),
    (
        ChannelUnit::Minute,
        "min",
        Quantity::Time,
        60.0,
        &["minute", "minutes"],
    ),
    (
        ChannelUnit::Clock,
        "clock",
        Quantity::Time,
        1.0,
        &["h:m:s", "hh:mm:ss", "hms"],
    ),
    (ChannelUnit::G, "g", Quantity::Acceleration, 1.0, &["gee"]),
    (
        ChannelUnit::MilliG,
        "mg",
        Quantity::Acceleration,
        1e-3,
        &["milli-g"],
    ),
    (
        ChannelUnit::MetrePerSecondSquared,
        "m/s2",
        Quantity::Acceleration,
        1.0 / STANDARD_GRAVITY,
        &["m/s\u{b2}", "m/s^2", "m/s/s", "ms-2", "mps2"],
    ),
    (
        ChannelUnit::MetrePerSecond,
        "m/s",
        Quantity::Speed,
        1.0,
        &["mps"],
    ),
    (
        ChannelUnit::KilometrePerHour,
        "km/h",
        Quantity::Speed,
        1000.0 / SECONDS_PER_HOUR,
        &["kmh", "kph", "kmph"],
    ),
    (
        ChannelUnit::MilePerHour,
        "mph",
        Quantity::Speed,
        MILE / SECONDS_PER_HOUR,
        &["mi/h"],
    ),
    (
        ChannelUnit::Knot,
        "kn",
        Quantity::Speed,
        NAUTICAL_MILE / SECONDS_PER_HOUR,
        &["kt", "kts", "knots"],
    ),
    (
        ChannelUnit::Percent,
        "%",
        Quantity::Control,
        1.0,
        &["pct", "percent"],
    ),
    (
        ChannelUnit::Share,
        "share",
        Quantity::Control,
        100.0,
        &["0-1", "ratio", "fraction"],
    ),
    (ChannelUnit::Bar, "bar", Quantity::Control, 1.0, &["bars"]),
    (
        ChannelUnit::Degree,
        "deg",
        Quantity::Place,
        1.0,
        &["\u{b0}", "degrees", "degree"],
    ),
    (
        ChannelUnit::Metre,
        "m",
        Quantity::Place,
        1.0,
        &["metre", "metres", "meter", "meters"],
    ),
    (
        ChannelUnit::Count,
        "count",
        Quantity::Count,
        1.0,
        &["#", "no", "nr", "1", "-"],
    ),
];

impl ChannelUnit {
    fn row(self) -> &'static Row {
        // Every variant has a row (tested); the first stands in for none.
        UNITS.iter().find(|row| row.0 == self).unwrap_or(&UNITS[0])
    }

    /// As stored and shown.
    pub fn name(self) -> &'static str {
        self.row().1
    }

    /// What it measures.
    pub fn quantity(self) -> Quantity {
        self.row().2
    }

    /// One of it in the base unit of its quantity.
    pub fn in_base(self) -> f64 {
        self.row().3
    }

    /// Every unit of a quantity.
    pub fn of(quantity: Quantity) -> impl Iterator<Item = Self> {
        let fits = move |row: &&Row| row.2 == quantity;
        UNITS.iter().filter(fits).map(|row| row.0)
    }

    /// Read a unit as loggers write it, brackets or not, in any case.
    pub fn read(text: &str) -> Option<Self> {
        let bare = text
            .trim()
            .trim_matches(|c| "()[]{}<>\"'".contains(c))
            .trim()
            .to_lowercase();
        UNITS
            .iter()
            .find(|row| row.1 == bare || row.4.contains(&bare.as_str()))
            .map(|row| row.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_name_and_each_other_way_reads_back_as_one_unit() {
        let mut seen = Vec::new();
        for (unit, name, quantity, size, others) in UNITS {
            assert_eq!(unit.name(), name);
            assert_eq!(unit.quantity(), quantity);
            assert!(size > 0.0);
            for text in others.iter().chain([&name]) {
                assert_eq!(ChannelUnit::read(text), Some(unit), "{text}");
                assert_eq!(ChannelUnit::read(&format!(" [{text}] ")), Some(unit));
                assert!(!seen.contains(text), "{text} stands twice");
                seen.push(text);
            }
            let stored = serde_json::to_string(&unit).unwrap();
            assert_eq!(stored, format!("\"{name}\""));
        }
        assert_eq!(ChannelUnit::read("furlong"), None);
    }

    #[test]
    fn sizes_are_those_of_the_definitions() {
        let close = |a: f64, b: f64| assert!((a - b).abs() < 1e-12 * b.abs(), "{a} {b}");
        close(9.80665 * ChannelUnit::MetrePerSecondSquared.in_base(), 1.0);
        close(3.6 * ChannelUnit::KilometrePerHour.in_base(), 1.0);
        close(ChannelUnit::MilePerHour.in_base(), 0.447_04);
        close(ChannelUnit::Knot.in_base(), 0.514_444_444_444_444_4);
    }
}
