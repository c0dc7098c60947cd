//! The comparison as one JSON document.

use super::comparison::Comparison;
use super::table::{Cell, Difference, Row, Table};
use super::trade::Shift;
use crate::document::reported;
use crate::fit::cautions::CAUTIONS;
use crate::fit::{Report, Work};

/// Format name of the document.
pub const FORMAT: &str = "sledstance-comparison";
/// Version of the document.
pub const SCHEMA: u32 = 1;

reported! {
/// Two to four options beside each other.
pub struct CompareReport {
    /// Always `sledstance-comparison`.
    pub format: &'static str,
    /// Version of this document.
    pub schema: u32,
    /// All that differs, signed against the first option.
    pub differences: Vec<RowReport>,
    /// What each option after the first gives and takes.
    pub trades: Vec<TradeReport>,
    /// The options, each with all that is needed to recompute it.
    pub options: Vec<OptionReport>,
    /// How the bands were drawn.
    pub sampling: SamplingReport,
    /// What stands beside every result.
    pub cautions: Vec<&'static str>,
}

/// One thing that differs.
pub struct RowReport {
    /// `option`, `settings`, `whole`, `stance` (the one that each option names), or a stance's name.
    pub group: String,
    /// Which: a setting, or a figure as in `what_if`.
    pub name: String,
    /// In words.
    pub words: String,
    /// Unit of the numbers: `mm`, `deg`, `g`, `N`, `Nm`, `J`, or empty.
    pub unit: &'static str,
    /// Under each option: a number, words, or null where it cannot be had.
    pub values: Vec<ValueReport>,
    /// Of each option after the first; null where the values are words, or either option has none.
    pub differences: Vec<Option<DifferenceReport>>,
}

/// A difference.
pub struct DifferenceReport {
    /// This option less the first; null where either cannot be had.
    pub by: Option<f64>,
    /// 90 % band of the difference over riders and frictions that could be these; an end is null where it is no number.
    /// Left out for settings, which are what would be bolted on.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub band: Option<[Option<f64>; 2]>,
    /// `clear`; `slight`: less than a rider notices; `unsure`: zero lies within the band.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mark: Option<&'static str>,
}

/// What an option gives and takes against the first: of differences that are clear.
pub struct TradeReport {
    /// The option.
    pub option: String,
    /// Where it is better off, the most noticeable first.
    pub gains: Vec<ShiftReport>,
    /// Where it is worse off.
    pub losses: Vec<ShiftReport>,
}

/// A figure in which an option is better or worse off.
pub struct ShiftReport {
    /// Which.
    pub figure: &'static str,
    /// In which stances.
    pub stances: Vec<String>,
    /// By how much at the most, in differences that a rider can just notice.
    pub notices: f64,
}

/// An option.
pub struct OptionReport {
    /// Its letter and what it is called.
    pub title: String,
    /// Who rides: by name, or by height and weight.
    pub rider: String,
    /// The one stance that is compared.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub stance: Option<String>,
    /// The set-up, evaluated whole.
    pub report: Report,
}

/// How bands were drawn.
pub struct SamplingReport {
    /// Riders drawn for each option; options of one person share them.
    pub draws: u32,
    /// The seed: the same gives the same numbers.
    pub seed: u64,
}
}

/// A value under an option.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(untagged)]
pub enum ValueReport {
    /// A number.
    Number(f64),
    /// Words.
    Words(String),
    /// It cannot be had.
    None,
}

impl CompareReport {
    /// The document of a comparison.
    pub fn new(comparison: &Comparison) -> Self {
        let table = comparison.table();
        let options = comparison.columns().iter().enumerate();
        let options = options.map(|(i, column)| {
            let asked = &column.alternative;
            let work = Work::new(None, &column.fit.best, &asked.sled);
            OptionReport {
                title: asked.title(i),
                rider: asked.who(),
                stance: asked.stance_name().map(str::to_owned),
                report: Report::new(&asked.built, &asked.sled, &column.fit, &work),
            }
        });
        Self {
            format: FORMAT,
            schema: SCHEMA,
            options: options.collect(),
            trades: trades(&table),
            differences: table.rows.iter().map(RowReport::new).collect(),
            sampling: SamplingReport {
                draws: comparison.done(),
                seed: comparison.seed(),
            },
            cautions: CAUTIONS.to_vec(),
        }
    }
}

impl RowReport {
    fn new(row: &Row) -> Self {
        let value = |cell: &Cell| match cell {
            Cell::Number(value) => ValueReport::Number(*value),
            Cell::Words(words) => ValueReport::Words(words.clone()),
            Cell::None => ValueReport::None,
        };
        let difference = |d: &Difference| DifferenceReport {
            by: d.by,
            band: d.band.map(|band| [band.low, band.high]),
            mark: d.mark.map(super::Mark::name),
        };
        Self {
            group: row.group.name().to_owned(),
            name: row.name.clone(),
            words: row.words.clone(),
            unit: row.unit,
            values: row.cells.iter().map(value).collect(),
            differences: row
                .differences
                .iter()
                .map(|d| d.as_ref().map(difference))
                .collect(),
        }
    }
}

fn trades(table: &Table) -> Vec<TradeReport> {
    let shifts = |list: Vec<Shift>| {
        let shift = |s: Shift| ShiftReport {
            figure: s.kind.row().name,
            stances: s.stances,
            notices: s.notices,
        };
        list.into_iter().map(shift).collect()
    };
    let later = table.titles.iter().skip(1).enumerate();
    later
        .map(|(place, title)| {
            let trade = table.trade(place);
            TradeReport {
                option: title.clone(),
                gains: shifts(trade.gains),
                losses: shifts(trade.losses),
            }
        })
        .collect()
}
