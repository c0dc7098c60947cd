//! How sure a result is, in the few words that stand beside its values. Says nothing where it was not asked.

use std::fmt::Write;

use crate::confidence::report::{ConfidenceReport, NumberOdds, PartOdds};
use crate::confidence::{Figure, Setting};

/// The words beside values: the full band where it was drawn, else the anthropometric one.
pub struct Sure<'a>(pub Option<&'a ConfidenceReport>);

/// Shares below this are not worth a word.
const LEAST_SHARE: f64 = 0.05;

/// Measurements that are named as worth taking.
const NAMED: usize = 3;

impl Sure<'_> {
    /// " (9.1 to 14.6)" for a setting.
    pub fn band(&self, name: &str) -> String {
        let decimals = Setting::ALL.iter().find(|s| s.name() == name);
        self.words(name, decimals.map_or(1, |s| s.decimals()))
    }

    /// The same for a figure of a stance.
    pub fn figure(&self, stance: &str, name: &str) -> String {
        let decimals = Figure::ALL.iter().find(|f| f.name() == name);
        self.words(
            &format!("{stance}.{name}"),
            decimals.map_or(1, |f| f.decimals()),
        )
    }

    fn words(&self, name: &str, decimals: usize) -> String {
        let Some(report) = self.0 else {
            return String::new();
        };
        let bands = report
            .bands
            .full
            .as_ref()
            .unwrap_or(&report.bands.anthropometric);
        match bands.get(name) {
            Some([Some(low), Some(high)]) => {
                format!(" ({} to {})", fixed(*low, decimals), fixed(*high, decimals))
            }
            Some([None, Some(high)]) => format!(" (none to {})", fixed(*high, decimals)),
            Some([Some(low), None]) => format!(" ({} or more)", fixed(*low, decimals)),
            _ => String::new(),
        }
    }

    /// " (position 3: 71 %, position 4: 24 %)".
    pub fn stirrup_odds(&self) -> String {
        self.0.map_or_else(String::new, |report| {
            lengths(&report.odds.stirrup_mm, |o| match o.position {
                Some(number) => format!("position {number}"),
                None => format!("{:.0} mm", o.value),
            })
        })
    }

    /// " (150 mm: 80 %, 175 mm: 15 %)".
    pub fn riser_odds(&self) -> String {
        self.0.map_or_else(String::new, |report| {
            lengths(&report.odds.riser_height_mm, |o| {
                format!("{:.0} mm", o.value)
            })
        })
    }

    /// The same for a seat, clamp or bar.
    pub fn part_odds(&self, part: &str) -> String {
        let Some(report) = self.0 else {
            return String::new();
        };
        let odds: &[PartOdds] = match part {
            "seat" => &report.odds.seat,
            "clamp" => &report.odds.clamp,
            _ => &report.odds.bar,
        };
        shares(odds.iter().map(|o| (o.value.clone(), o.share)))
    }

    /// What the bands are, and what to measure next.
    pub fn summary(&self) -> String {
        let Some(report) = self.0 else {
            return String::new();
        };
        let sampling = &report.sampling;
        let mut text = format!(
            "\n  In brackets: 90 of 100 riders who could be this one lie there ({} drawn), and how often a part or\n  \
             position came out best. Drawn: the body as measured and estimated, joint centres, strength, friction,\n  \
             assumed limits, balance mark. The settings above keep {:.0} % of them within every limit of posture.\n",
            sampling.draws,
            100.0 * sampling.in_reach
        );
        if sampling.nothing_fits > 0.0 {
            let _ = writeln!(
                text,
                "  Nothing in stock fits {:.0} % of them.",
                100.0 * sampling.nothing_fits
            );
        }
        let next: Vec<String> = report
            .measure_next
            .iter()
            .take(NAMED)
            .map(|m| {
                let setting = Setting::ALL.iter().find(|s| s.name() == m.setting);
                let (words, unit) =
                    setting.map_or((m.setting.as_str(), ""), |s| (s.words(), s.unit()));
                format!(
                    "{} ({words} by {:.0} %: from {:.0} {unit} wide to {:.0})",
                    m.name.replace('_', " "),
                    100.0 * m.narrows,
                    m.from,
                    m.to
                )
            })
            .collect();
        if !next.is_empty() {
            // Writing to a string cannot fail.
            let _ = writeln!(
                text,
                "  Measure next, for what it narrows of the body's own share: {}.",
                next.join("; ")
            );
        }
        text
    }
}

/// A number without the sign of a zero.
fn fixed(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    match text.strip_prefix('-') {
        Some(digits) if digits.chars().all(|c| matches!(c, '0' | '.')) => digits.to_owned(),
        _ => text,
    }
}

fn lengths(odds: &[NumberOdds], name: impl Fn(&NumberOdds) -> String) -> String {
    shares(odds.iter().map(|o| (name(o), o.share)))
}

fn shares(odds: impl Iterator<Item = (String, f64)>) -> String {
    let words: Vec<String> = odds
        .filter(|(_, share)| *share >= LEAST_SHARE)
        .map(|(name, share)| format!("{name}: {:.0} %", 100.0 * share))
        .collect();
    if words.is_empty() {
        String::new()
    } else {
        format!(" ({})", words.join(", "))
    }
}
