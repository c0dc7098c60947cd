//! The table of differences as CSV.

use super::table::{Cell, Group, Mark, Table};
use crate::document::csv::{self, Cell as Written};

impl Group {
    /// Its name in documents.
    pub fn name(&self) -> &str {
        match self {
            Self::Option => "option",
            Self::Settings => "settings",
            Self::Whole => "whole",
            Self::Stance(name) => name,
            Self::Posture => "stance",
        }
    }
}

impl Mark {
    /// Its name in documents.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Clear => "clear",
            Self::Slight => "slight",
            Self::Unsure => "unsure",
        }
    }
}

impl Table {
    /// A heading line, then a line for every row: what it belongs to, its name and unit, the option's values, and for
    /// each option after the first its difference, the ends of the difference's 90 % band, and its mark.
    pub fn csv(&self) -> String {
        let text = |t: &str| Written::Text(t.to_owned());
        let mut out = String::new();
        let mut head = vec![text("group"), text("what"), text("unit")];
        head.extend(self.titles.iter().map(|t| text(t)));
        for title in &self.titles[1..] {
            let of = ["less the first", "low", "high", "mark"];
            head.extend(of.map(|part| text(&format!("{title}: {part}"))));
        }
        csv::line(&mut out, head);
        for row in &self.rows {
            let mut cells = vec![text(row.group.name()), text(&row.name), text(row.unit)];
            cells.extend(row.cells.iter().map(|cell| match cell {
                Cell::Number(value) => Written::number(Some(*value)),
                Cell::Words(words) => text(words),
                Cell::None => Written::Empty,
            }));
            for difference in &row.differences {
                let d = difference.as_ref();
                let band = d.and_then(|d| d.band);
                cells.push(Written::number(d.and_then(|d| d.by)));
                cells.push(Written::number(band.and_then(|b| b.low)));
                cells.push(Written::number(band.and_then(|b| b.high)));
                let mark = d.and_then(|d| d.mark);
                cells.push(mark.map_or(Written::Empty, |m| text(m.name())));
            }
            csv::line(&mut out, cells);
        }
        out
    }
}
