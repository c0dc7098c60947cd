//! What a table of fitted people says about the sled and its parts, all rows together.
//!
//! Read from the rows as they are written, so that a run that was taken up again is summed up whole.

use std::collections::BTreeMap;
use std::fmt::{self, Display, Formatter};

use csv::StringRecord;
use schemars::JsonSchema;
use serde::Serialize;

use super::{BETWEEN_HELPS, COLUMNS, ROW, STATUS};

/// Format name of the summary.
pub const FORMAT: &str = "sledstance-people-summary";
/// Version of the summary.
pub const SCHEMA: u32 = 1;

/// How a sled and the parts in stock suit a table of people.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Summary {
    /// Always `sledstance-people-summary`.
    pub format: &'static str,
    /// Version of this document.
    pub schema: u32,
    /// Rows.
    pub riders: usize,
    /// Rows that are no rider: a cell that cannot be read or be true.
    pub refused: usize,
    /// Riders who fit with the parts in stock.
    pub fit: usize,
    /// The same as a share of the riders who were not refused, 0 to 1; null where there is none.
    pub fit_share: Option<f64>,
    /// How often each choice is the best one, among those who fit, by setting: `stirrup_position`, `riser_height_mm`,
    /// `seat`, `clamp`, `bar`; most used first.
    pub used: BTreeMap<&'static str, Vec<Use>>,
    /// Where the measured settings and distances lie, among those who fit.
    pub spread: BTreeMap<&'static str, Spread>,
    /// Whom it does not fit; null where it fits all.
    pub not_fitted: Option<NotFitted>,
    /// The first rows that were refused, with why.
    pub refusals: Vec<Refusal>,
}

/// One choice of a setting.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Use {
    /// Which.
    pub value: String,
    /// Riders.
    pub riders: usize,
    /// Share of those who fit, 0 to 1.
    pub share: f64,
}

/// The 5th, 50th and 95th of a hundred.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Spread {
    /// 5th.
    pub low: f64,
    /// 50th.
    pub middle: f64,
    /// 95th.
    pub high: f64,
}

/// Riders whom nothing in stock fits.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct NotFitted {
    /// How many.
    pub riders: usize,
    /// Their rows in the table, counted from 1.
    pub rows: Vec<usize>,
    /// Least and greatest stature among them, mm.
    pub stature_mm: [f64; 2],
    /// Changes of one part that would help, most riders first.
    pub helps: Vec<Help>,
    /// Riders whom no change of one part in the usual sizes helps.
    pub no_one_part: usize,
}

/// A kind of change of one part.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Help {
    /// Which, with `…` for its size.
    pub change: String,
    /// Riders whom it would help, each with the least size that does.
    pub riders: usize,
    /// Least and greatest of these sizes, mm or degrees.
    pub size: [f64; 2],
}

/// A row that is no rider.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Refusal {
    /// Its row in the table, from 1.
    pub row: usize,
    /// Why.
    pub because: String,
}

/// Settings of few values.
const CHOSEN: [&str; 5] = [
    "stirrup_position",
    "riser_height_mm",
    "seat",
    "clamp",
    "bar",
];

/// Settings and distances of any value.
const MEASURED: [&str; 6] = [
    "riser_height_mm",
    "riser_angle_deg",
    "bar_roll_deg",
    "stirrup_mm",
    "stirrup_to_grip_mm",
    "grip_height_mm",
];

/// Refusals told at the most.
const TOLD: usize = 5;

impl Summary {
    /// Sums up rows of results.
    pub fn of<'a>(rows: impl Iterator<Item = &'a StringRecord> + Clone) -> Self {
        let of = |status: &'static str| rows.clone().filter(move |r| &r[STATUS] == status);
        let (riders, refused, fit) = (
            rows.clone().count(),
            of("refused").count(),
            of("fits").count(),
        );
        let fitted: Vec<&StringRecord> = of("fits").collect();
        let taken = riders - refused;
        Self {
            format: FORMAT,
            schema: SCHEMA,
            riders,
            refused,
            fit,
            fit_share: (taken > 0).then(|| fit as f64 / taken as f64),
            used: CHOSEN.map(|name| (name, used(&fitted, name))).into(),
            spread: MEASURED
                .into_iter()
                .filter_map(|name| Some((name, spread(&fitted, name)?)))
                .collect(),
            not_fitted: NotFitted::of(&of("infeasible").collect::<Vec<_>>()),
            refusals: of("refused")
                .take(TOLD)
                .map(|r| Refusal {
                    row: row_number(r),
                    because: cell(r, "because").to_owned(),
                })
                .collect(),
        }
    }
}

impl NotFitted {
    fn of(rows: &[&StringRecord]) -> Option<Self> {
        let statures = rows
            .iter()
            .filter_map(|r| cell(r, "stature_mm").parse().ok());
        let stature_mm = statures
            .fold([f64::INFINITY, f64::NEG_INFINITY], |[low, high], s: f64| {
                [low.min(s), high.max(s)]
            });
        let mut helps: Vec<Help> = Vec::new();
        let mut no_one_part = 0;
        for row in rows {
            let sized: Vec<(String, f64)> = cell(row, "helps")
                .split(BETWEEN_HELPS)
                .filter_map(sized)
                .collect();
            if sized.is_empty() {
                no_one_part += 1;
            }
            for (change, size) in sized {
                match helps.iter_mut().find(|h| h.change == change) {
                    Some(help) => {
                        help.riders += 1;
                        help.size = [help.size[0].min(size), help.size[1].max(size)];
                    }
                    None => helps.push(Help {
                        change,
                        riders: 1,
                        size: [size, size],
                    }),
                }
            }
        }
        helps.sort_by(|a, b| {
            b.riders
                .cmp(&a.riders)
                .then_with(|| a.change.cmp(&b.change))
        });
        (!rows.is_empty()).then(|| Self {
            riders: rows.len(),
            rows: rows.iter().map(|r| row_number(r)).collect(),
            stature_mm,
            helps,
            no_one_part,
        })
    }
}

/// "a riser 25 mm taller than the tallest" as the change and its size; `None` for words that name no single part.
fn sized(words: &str) -> Option<(String, f64)> {
    if words.starts_with("no ") {
        return None;
    }
    let number = words
        .split(' ')
        .find(|w| w.starts_with(|c: char| c.is_ascii_digit()))?;
    let digits = number.trim_end_matches(|c: char| !c.is_ascii_digit());
    Some((words.replacen(digits, "…", 1), digits.parse().ok()?))
}

fn cell<'a>(row: &'a StringRecord, name: &str) -> &'a str {
    let index = COLUMNS.iter().position(|c| *c == name);
    index.and_then(|i| row.get(i)).unwrap_or("")
}

fn row_number(row: &StringRecord) -> usize {
    row[ROW].parse().unwrap_or(0)
}

fn used(rows: &[&StringRecord], name: &str) -> Vec<Use> {
    let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
    for row in rows {
        *counts.entry(cell(row, name)).or_default() += 1;
    }
    // A slot has no positions to count.
    counts.remove("");
    let mut uses: Vec<Use> = counts
        .into_iter()
        .map(|(value, riders)| Use {
            value: value.to_owned(),
            riders,
            share: riders as f64 / rows.len() as f64,
        })
        .collect();
    uses.sort_by_key(|u| std::cmp::Reverse(u.riders));
    uses
}

fn spread(rows: &[&StringRecord], name: &str) -> Option<Spread> {
    let mut values: Vec<f64> = rows
        .iter()
        .filter_map(|r| cell(r, name).parse().ok())
        .collect();
    values.sort_by(f64::total_cmp);
    let at = |share: f64| {
        values
            .get((values.len().checked_sub(1)? as f64 * share) as usize)
            .copied()
    };
    Some(Spread {
        low: at(0.05)?,
        middle: at(0.5)?,
        high: at(0.95)?,
    })
}

impl Display for Summary {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        let missed = self.not_fitted.as_ref().map_or(0, |n| n.riders);
        write!(
            f,
            "{} people: {} fit, {missed} infeasible, {} refused",
            self.riders, self.fit, self.refused
        )?;
        match self.fit_share {
            Some(share) => writeln!(f, ": the parts in stock fit {:.1} %", 100.0 * share)?,
            None => writeln!(f)?,
        }
        for (name, uses) in &self.used {
            let told: Vec<String> = uses
                .iter()
                .map(|u| format!("{} for {:.1} %", u.value, 100.0 * u.share))
                .collect();
            if !told.is_empty() {
                writeln!(f, "  {name}: {}", told.join(", "))?;
            }
        }
        for (name, s) in &self.spread {
            writeln!(
                f,
                "  {name}: {:.1}, {:.1}, {:.1} (5, 50, 95 of 100)",
                s.low, s.middle, s.high
            )?;
        }
        if let Some(missed) = &self.not_fitted {
            write!(f, "{missed}")?;
        }
        for refusal in &self.refusals {
            writeln!(f, "  row {} refused: {}", refusal.row, refusal.because)?;
        }
        Ok(())
    }
}

impl Display for NotFitted {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        let [low, high] = self.stature_mm;
        writeln!(
            f,
            "  not fitted: {} of {low:.0} to {high:.0} mm",
            self.riders
        )?;
        let rows: Vec<String> = self.rows.iter().take(20).map(usize::to_string).collect();
        let more = if self.rows.len() > rows.len() {
            ", …"
        } else {
            ""
        };
        writeln!(f, "    rows {}{more}", rows.join(", "))?;
        for help in &self.helps {
            let [least, most] = help.size;
            let size = if least < most {
                format!("{least} to {most}")
            } else {
                least.to_string()
            };
            writeln!(
                f,
                "    {} would help {}",
                help.change.replacen('…', &size, 1),
                help.riders
            )?;
        }
        if self.no_one_part > 0 {
            writeln!(f, "    no single part would help {}", self.no_one_part)?;
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(number: usize, cells: &[(&str, &str)]) -> StringRecord {
        let number = number.to_string();
        COLUMNS
            .iter()
            .map(
                |column| match cells.iter().find(|(name, _)| name == column) {
                    Some((_, value)) => value,
                    None if *column == "row" => number.as_str(),
                    None => "",
                },
            )
            .collect()
    }

    #[test]
    fn counts_shares_and_the_part_that_helps_most() {
        let fits = |n, position, angle| {
            row(
                n,
                &[
                    ("status", "fits"),
                    ("stirrup_position", position),
                    ("riser_angle_deg", angle),
                ],
            )
        };
        let not = |n, stature, helps| {
            row(
                n,
                &[
                    ("status", "infeasible"),
                    ("stature_mm", stature),
                    ("helps", helps),
                ],
            )
        };
        let rows = [
            fits(1, "4", "3.5"),
            fits(2, "5", "9"),
            fits(3, "4", "4.5"),
            row(4, &[("status", "refused"), ("because", "stature")]),
            not(
                5,
                "1990.5",
                "a seat 20 mm higher | a riser 25 mm taller than the tallest",
            ),
            not(6, "2010", "a riser 50 mm taller than the tallest"),
            not(
                7,
                "1400",
                "no single part is enough; a riser 25 mm shorter than the shortest comes nearest",
            ),
            not(8, "1991", "a riser that tilts 5° farther each way"),
        ];
        let summary = Summary::of(rows.iter());
        assert_eq!((summary.riders, summary.fit, summary.refused), (8, 3, 1));
        assert!((summary.fit_share.unwrap() - 3.0 / 7.0).abs() < 1e-12);
        let positions = &summary.used["stirrup_position"];
        assert_eq!((positions[0].value.as_str(), positions[0].riders), ("4", 2));
        assert!((positions.iter().map(|u| u.share).sum::<f64>() - 1.0).abs() < 1e-12);
        assert!(summary.used["seat"].is_empty());
        assert_eq!(summary.spread["riser_angle_deg"].middle, 4.5);
        let missed = summary.not_fitted.as_ref().unwrap();
        assert_eq!(missed.rows, [5, 6, 7, 8]);
        assert_eq!(missed.stature_mm, [1400.0, 2010.0]);
        assert_eq!(missed.no_one_part, 1);
        assert_eq!(
            missed.helps[0].change,
            "a riser … mm taller than the tallest"
        );
        assert_eq!(missed.helps[0].riders, 2);
        assert_eq!(missed.helps[0].size, [25.0, 50.0]);
        assert!(
            missed
                .helps
                .iter()
                .any(|h| h.change == "a riser that tilts …° farther each way")
        );
        let words = summary.to_string();
        for told in [
            "8 people: 3 fit, 4 infeasible, 1 refused: the parts in stock fit 42.9 %",
            "stirrup_position: 4 for 66.7 %, 5 for 33.3 %",
            "not fitted: 4 of 1400 to 2010 mm",
            "a riser 25 to 50 mm taller than the tallest would help 2",
            "no single part would help 1",
            "row 4 refused: stature",
        ] {
            assert!(words.contains(told), "{told} not in {words}");
        }
    }

    #[test]
    fn a_table_of_nobody_who_can_be_fitted_is_summed_up_too() {
        let rows = [row(1, &[("status", "refused")])];
        let summary = Summary::of(rows.iter());
        assert_eq!(summary.fit_share, None);
        assert_eq!(summary.not_fitted, None);
        assert!(summary.spread.is_empty());
        assert!(summary.to_string().contains("1 people: 0 fit"));
    }
}
