//! Entries as a table (CSV, RFC 4180): one line each, with corrected ones and (where the filter lets them pass) deleted
//! ones, each marked.

use super::entry::Entry;
use super::form::{SetUpForm, What};
use super::reading::{Reading, Strand};
use super::words;
use super::{Filter, when};
use crate::document::csv::{Cell, line};
use crate::units::text::System;

/// Columns, in order.
pub const COLUMNS: [&str; 28] = [
    "id",
    "happened_utc",
    "written_utc",
    "device",
    "state",
    "supersedes",
    "rider",
    "sled",
    "kind",
    "says",
    "riser_height_mm",
    "riser_angle_deg",
    "bar_roll_deg",
    "stirrup_mm",
    "seat",
    "clamp",
    "bar",
    "from_riser_height_mm",
    "from_riser_angle_deg",
    "from_bar_roll_deg",
    "from_stirrup_mm",
    "from_seat",
    "from_clamp",
    "from_bar",
    "complaints",
    "temperature_c",
    "expected",
    "minutes",
];

impl Reading {
    /// The strands that pass a filter as CSV with a heading line, every entry of theirs on a line; figures in mm,
    /// degrees, °C.
    pub fn csv(&self, filter: &Filter) -> String {
        let mut out = COLUMNS.join(",");
        out.push_str("\r\n");
        for strand in self.timeline(filter) {
            for entry in &strand.history {
                line(&mut out, self.cells(strand, entry));
            }
        }
        out
    }

    fn cells(&self, strand: &Strand, entry: &Entry) -> Vec<Cell> {
        let about = entry.about();
        let text = |t: Option<String>| t.map_or(Cell::Empty, Cell::Text);
        let mut cells = vec![
            Cell::Plain(entry.id().to_string()),
            Cell::Plain(when::date_time(entry.happened_ms(), 0)),
            Cell::Plain(when::date_time(entry.at_ms(), 0)),
            Cell::Text(entry.device().to_owned()),
            Cell::Plain(state(strand, entry).to_owned()),
            entry
                .supersedes()
                .map_or(Cell::Empty, |id| Cell::Plain(id.to_string())),
            text(about.rider.map(|id| self.rider_name(id))),
            text(about.sled.map(|id| self.sled_name(id))),
            Cell::Plain(entry.what().name().to_owned()),
            Cell::Text(words::line(entry, System::Metric)),
        ];
        let (to, from) = match entry.what() {
            What::BaseSetUp(record) => (Some(&record.set_up), None),
            What::Change(record) => (Some(&record.to), Some(&record.from)),
            _ => (None, None),
        };
        set_up(&mut cells, to);
        set_up(&mut cells, from);
        let number = |n: Option<f64>| n.map_or(Cell::Empty, |n| Cell::Plain(n.to_string()));
        let (mut complaints, mut celsius, mut expected, mut minutes) = (None, None, None, None);
        match entry.what() {
            What::Felt(felt) => {
                let each = felt.complaints.iter();
                complaints = Some(joined(
                    each.map(|c| format!("{} {}", c.complaint, c.strength)),
                ));
            }
            What::Conditions(record) => celsius = record.temperature_c,
            What::Change(record) => {
                complaints = Some(record.answers.join("; "));
                expected = Some(joined(record.expected.iter().map(words::expected)));
                minutes = record.minutes;
            }
            _ => {}
        }
        cells.extend([
            text(complaints),
            number(celsius),
            text(expected),
            number(minutes),
        ]);
        cells
    }
}

fn joined(parts: impl Iterator<Item = String>) -> String {
    parts.collect::<Vec<_>>().join("; ")
}

fn set_up(cells: &mut Vec<Cell>, set_up: Option<&SetUpForm>) {
    let Some(s) = set_up else {
        cells.extend(std::iter::repeat_with(|| Cell::Empty).take(7));
        return;
    };
    for number in [
        s.riser_height_mm,
        s.riser_angle_deg,
        s.bar_roll_deg,
        s.stirrup_mm,
    ] {
        cells.push(Cell::Plain(number.to_string()));
    }
    for name in [&s.seat, &s.clamp, &s.bar] {
        cells.push(Cell::Text(name.clone()));
    }
}

/// Whether an entry counts.
fn state(strand: &Strand, entry: &Entry) -> &'static str {
    if strand.shown.as_ref() == Some(entry) {
        "counts"
    } else if strand.rivals.contains(entry) {
        "rival"
    } else if entry.is_deletion() {
        "deletion"
    } else if strand.shown.is_none() {
        "deleted"
    } else {
        "corrected"
    }
}
