//! What a comparison says, in words: for the page, for print and for the command line.

use serde::{Deserialize, Serialize};

use super::advice::amount;
use super::{Chosen, Units};
use crate::compare::{Alternative, Cell, Comparison, Difference, Group, Mark, Row, Shift, Table};
use crate::fit::FitStatus;
use crate::rider::Measurement;
use crate::units::text::{MassUnit, System, capital, format_feet, format_mass};

/// A comparison in words.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Compared {
    /// The options.
    pub options: Vec<Fitted>,
    /// What each option after the first gives and takes.
    pub trades: Vec<Traded>,
    /// What differs, group by group.
    pub groups: Vec<Rows>,
    /// Riders drawn so far, and to be drawn.
    pub done: u32,
    /// See [`Self::done`].
    pub total: u32,
    /// The table as CSV.
    pub csv: String,
}

/// An option as it came out.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Fitted {
    /// Its letter and what it is called.
    pub title: String,
    /// Who, on what.
    pub says: String,
    /// Its settings.
    pub settings: Chosen,
    /// What it fails on; none where it fits.
    pub binds: Option<String>,
}

/// What an option gives and takes.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Traded {
    /// "B against A".
    pub title: String,
    /// In what it is better, the most noticeable first; empty: in nothing that is sure and noticed.
    pub better: String,
    /// In what it is worse.
    pub worse: String,
}

impl Traded {
    /// In one sentence.
    pub fn says(&self) -> String {
        let parts = [("better in", &self.better), ("worse in", &self.worse)];
        let parts = parts.iter().filter(|(_, what)| !what.is_empty());
        let parts: Vec<String> = parts.map(|(how, what)| format!("{how} {what}")).collect();
        if parts.is_empty() {
            return format!("{}: {NOTHING}", self.title);
        }
        format!("{}: {}.", self.title, parts.join("; "))
    }
}

/// Where neither is better nor worse.
pub const NOTHING: &str = "nothing that is sure and that a rider would notice.";

/// Rows under a heading.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Rows {
    /// The heading.
    pub title: String,
    /// Whether it is what is chosen and set, not what comes of it.
    pub sets: bool,
    /// The rows.
    pub rows: Vec<Line>,
}

/// One thing that differs.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Line {
    /// What.
    pub what: String,
    /// Whether it belongs in a short list: what is set, and what is sure and noticed under any option.
    pub main: bool,
    /// What stands under each option.
    pub values: Vec<String>,
    /// Of each option after the first: signed, with its unit; empty where there is none.
    pub differences: Vec<Shown>,
}

/// A difference in words.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Shown {
    /// Signed, with its unit.
    pub by: String,
    /// Its band; empty where there is none.
    pub band: String,
    /// What it weighs: `≈` and words, or empty where it is clear.
    pub mark: Option<Weight>,
}

/// What a difference weighs, where it is not clear.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Weight {
    /// Smaller than its band.
    Unsure,
    /// Less than a rider notices.
    Slight,
}

impl Line {
    /// On one line: "35°, 73° (+37.5°)".
    pub fn said(&self) -> String {
        let mut words = String::new();
        for (i, value) in self.values.iter().enumerate() {
            if i > 0 {
                words.push_str(", ");
            }
            words.push_str(value);
            let difference = i.checked_sub(1).and_then(|at| self.differences.get(at));
            if let Some(shown) = difference.filter(|d| !d.by.is_empty()) {
                let mark = shown.mark.map_or("", |weight| weight.words().0);
                words.push_str(&format!(" ({}{mark})", shown.by));
            }
        }
        words
    }
}

impl Weight {
    /// Its mark and the words for it.
    pub const fn words(self) -> (&'static str, &'static str) {
        match self {
            Self::Unsure => ("≈", "smaller than its band"),
            Self::Slight => ("·", "less than a rider notices"),
        }
    }
}

/// Shifts that a sentence names at the most.
const NAMED: usize = 4;

/// A comparison as far as riders are drawn.
pub fn compared(comparison: &Comparison, units: Units) -> Compared {
    let system = System::from(units);
    let table = comparison.table();
    let options = comparison.columns().iter().zip(&table.titles);
    let options = options.map(|(column, title)| Fitted {
        title: title.clone(),
        says: format!(
            "{} on {}",
            who(column.alternative, system),
            column.alternative.sled.name
        ),
        settings: column.fit.best.settings.into(),
        binds: match &column.fit.status {
            FitStatus::Fits => None,
            FitStatus::Infeasible { binds, .. } => Some(binds.clone()),
        },
    });
    let mut groups: Vec<Rows> = Vec::new();
    for row in &table.rows {
        let title = heading(&row.group);
        let mut shown = line(row, system);
        if row.group == Group::Option && row.name == "rider" {
            let columns = comparison.columns().iter();
            shown.values = columns.map(|c| who(c.alternative, system)).collect();
        }
        match groups.last_mut().filter(|g| g.title == title) {
            Some(group) => group.rows.push(shown),
            None => groups.push(Rows {
                title,
                sets: matches!(row.group, Group::Option | Group::Settings),
                rows: vec![shown],
            }),
        }
    }
    Compared {
        options: options.collect(),
        trades: trades(&table),
        groups,
        done: comparison.done(),
        total: comparison.total(),
        csv: table.csv(),
    }
}

/// Who rides: by name, or by height and weight in the reader's units.
fn who(option: &Alternative, system: System) -> String {
    match system {
        System::Imperial if option.rider_name.is_empty() => {
            let mean = |m| option.built.estimate.mean(m);
            format!(
                "{}, {}",
                format_feet(mean(Measurement::Stature)),
                format_mass(mean(Measurement::BodyMass), MassUnit::Pound, 1.0)
            )
        }
        _ => option.who(),
    }
}

fn heading(group: &Group) -> String {
    match group {
        Group::Option => "The options".to_owned(),
        Group::Settings => "Settings".to_owned(),
        Group::Whole => "Cockpit".to_owned(),
        Group::Stance(name) => capital(name),
        Group::Posture => "The stance".to_owned(),
    }
}

fn line(row: &Row, system: System) -> Line {
    let number = |value: f64| amount(value, row.unit, 2, system);
    let cell = |cell: &Cell| match cell {
        Cell::Number(value) => number(*value),
        Cell::Words(words) => words.clone(),
        Cell::None => "–".to_owned(),
    };
    Line {
        what: capital(&row.words),
        main: row.kind.is_none_or(|kind| {
            let marked = row.differences.iter().flatten().any(|d| d.mark.is_some());
            let clear = row
                .differences
                .iter()
                .flatten()
                .any(|d| d.mark == Some(Mark::Clear));
            if marked { clear } else { kind.is_main() }
        }),
        values: row.cells.iter().map(cell).collect(),
        differences: row
            .differences
            .iter()
            .map(|d| {
                d.as_ref()
                    .map(|d| shown(d, row, system))
                    .unwrap_or_default()
            })
            .collect(),
    }
}

fn shown(difference: &Difference, row: &Row, system: System) -> Shown {
    let signed = |value: f64| {
        let size = amount(value.abs(), row.unit, 2, system);
        if size == amount(0.0, row.unit, 2, system) {
            return size;
        }
        let sign = if value < 0.0 { "−" } else { "+" };
        format!("{sign}{size}")
    };
    // An end that is no number: a load that is held under one option alone.
    let end = |value: Option<f64>, none: &str| value.map_or_else(|| none.to_owned(), signed);
    Shown {
        by: difference
            .by
            // What is set alike says nothing; a figure that comes out alike has a band to tell.
            .filter(|by| difference.band.is_some() || by.abs() >= 0.5 * row.step)
            .map_or_else(String::new, signed),
        band: difference.band.map_or_else(String::new, |band| {
            let (low, high) = (end(band.low, "not held"), end(band.high, "held here alone"));
            // What nobody's body changes has no band to tell.
            if low == high {
                String::new()
            } else {
                format!("{low} to {high}")
            }
        }),
        mark: match difference.mark {
            Some(Mark::Unsure) => Some(Weight::Unsure),
            Some(Mark::Slight) => Some(Weight::Slight),
            _ => None,
        },
    }
}

/// What each option after the first gives and takes.
fn trades(table: &Table) -> Vec<Traded> {
    if table.draws < crate::compare::FEWEST_DRAWS {
        return Vec::new();
    }
    let list = |shifts: &[Shift]| {
        let names = shifts.iter().take(NAMED).map(|shift| {
            let words = shift.kind.row().words;
            if shift.stances.is_empty() {
                words.to_owned()
            } else {
                format!("{words} ({})", shift.stances.join(", "))
            }
        });
        let mut words = names.collect::<Vec<_>>().join("; ");
        if shifts.len() > NAMED {
            words.push_str(&format!("; and {} more", shifts.len() - NAMED));
        }
        words
    };
    let first = table.titles.first().map_or("", String::as_str);
    let later = table.titles.iter().skip(1).enumerate();
    later
        .map(|(place, title)| {
            let trade = table.trade(place);
            Traded {
                title: format!("{title} against {first}"),
                better: list(&trade.gains),
                worse: list(&trade.losses),
            }
        })
        .collect()
}
