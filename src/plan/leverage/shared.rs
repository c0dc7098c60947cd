//! Leverage as it leaves the page: a table in text, and a page of charts.

use super::{Leveraged, Levered, charts};
use crate::document::csv::{Cell, line};
use crate::fit::cautions::CAUTIONS;
use crate::units::text::format_number;
use crate::view::card::{Block, CHART, Charts, Item};

/// Columns of the table.
const HEAD: [&str; 12] = [
    "part",
    "option",
    "what",
    "value",
    "because",
    "stirrup_mm",
    "riser_angle_deg",
    "hold_g",
    "f_y_g",
    "f_z_g",
    "discomfort",
    "hold_share",
];

impl Leveraged {
    /// Everything in one table: rows in words, the sideways envelopes, both curves, the maps node by node, the front. Each
    /// line fills the columns that its part has.
    pub fn csv(&self) -> String {
        let mut out = String::new();
        let text = |t: &str| Cell::Text(t.to_owned());
        line(&mut out, HEAD.map(text));
        let mut add = |part: &str, option: &str, words: [&str; 3], numbers: [Option<f64>; 7]| {
            let words = [part, option].into_iter().chain(words);
            let words = words.map(|t| if t.is_empty() { Cell::Empty } else { text(t) });
            let numbers = numbers.map(Cell::number);
            line(&mut out, words.chain(numbers));
        };
        let none = [None; 7];
        for o in &self.levered {
            for row in &o.rows {
                add(
                    "given",
                    &o.title,
                    [&row.what, &row.value, &row.because],
                    none,
                );
            }
        }
        for o in &self.levered {
            for &(y, z) in &o.side {
                let at = [None, None, None, Some(y), Some(z), None, None];
                add("sideways envelope", &o.title, [""; 3], at);
            }
            for &(x, g) in &o.over_stirrup {
                let at = [Some(x), None, Some(g), None, None, None, None];
                add("hold over stirrup", &o.title, [""; 3], at);
            }
            for &(angle, g) in &o.over_angle {
                let at = [None, Some(angle), Some(g), None, None, None, None];
                add("hold over riser angle", &o.title, [""; 3], at);
            }
        }
        for map in &self.mapped {
            for (k, held) in map.holds.iter().enumerate() {
                let (i, j) = (k % map.stirrups.len(), k / map.stirrups.len());
                let (x, angle) = (map.stirrups[i], map.angles[j]);
                let at = [Some(x), Some(angle), *held, None, None, None, None];
                add("map", &map.title, [""; 3], at);
            }
        }
        if let Some(front) = &self.front {
            for point in &front.points {
                let at = [
                    None,
                    None,
                    None,
                    None,
                    None,
                    Some(point.discomfort),
                    Some(point.hold),
                ];
                add("front", &front.title, [&point.says, "", ""], at);
            }
        }
        out
    }

    /// The charts over the rows, for paper; nothing before anything is known.
    pub fn page(&self) -> Option<Charts> {
        if self.levered.is_empty() {
            return None;
        }
        let over = [
            charts::side,
            charts::room,
            charts::over_stirrup,
            charts::over_angle,
        ];
        let mut all: Vec<_> = over.into_iter().map(|draw| draw(&self.levered)).collect();
        all.extend(self.mapped.iter().map(charts::map));
        all.extend(self.front.iter().map(charts::front));
        let item = |what: &str, value: String| Item {
            what: what.to_owned(),
            value,
        };
        let rows = names(&self.levered).into_iter().map(|name| {
            let each = self.levered.iter().filter_map(|o| {
                let row = o.rows.iter().find(|r| r.what == name)?;
                let letter = charts::letter(&o.title);
                let because = if row.because.is_empty() {
                    String::new()
                } else {
                    format!(" ({})", row.because)
                };
                Some(format!("{letter} {}{because}", row.value))
            });
            item(name, each.collect::<Vec<_>>().join("; "))
        });
        let best = self.mapped.iter().filter_map(|map| {
            let (x, angle, g) = map.best?;
            let at = |v: f64, step: f64| format_number(v, step);
            let most = format!(
                "{} g at {} mm and {}°",
                at(g, 0.01),
                at(x, 1.0),
                at(angle, 0.5)
            );
            Some(item(&map.title, most))
        });
        let mut blocks = vec![
            block("Corners, the hips’ room, standing up", rows.collect()),
            block("Most hold over stirrup and riser angle", best.collect()),
        ];
        blocks.extend(self.front.as_ref().map(|front| {
            let points = front.points.iter().enumerate().map(|(k, p)| {
                let (discomfort, hold) = (format_number(p.discomfort, 0.01), 100.0 * p.hold);
                let numbers = format!(
                    "discomfort {discomfort}, {} % of the wanted hold",
                    format_number(hold, 1.0)
                );
                item(&format!("{}. {}", k + 1, p.says), numbers)
            });
            block(
                &format!("What comfort costs in hold: {}", front.title),
                points.collect(),
            )
        }));
        blocks.retain(|block| !block.items.is_empty());
        let names = self.levered.iter().map(|o| o.title.as_str());
        Some(Charts {
            title: "Leverage".to_owned(),
            fact: format!("{}.", names.collect::<Vec<_>>().join("; ")),
            charts: all.iter().map(|c| c.draw(CHART.0, CHART.1)).collect(),
            blocks,
            cautions: CAUTIONS.iter().map(|c| (*c).to_owned()).collect(),
        })
    }
}

fn block(title: &str, items: Vec<Item>) -> Block {
    Block {
        title: title.to_owned(),
        ticked: false,
        items,
    }
}

/// What any option has a row of, in order: rows are the same for all but where a stance is seated.
pub fn names(all: &[Levered]) -> Vec<&str> {
    let mut names: Vec<&str> = Vec::new();
    for row in all.iter().flat_map(|o| &o.rows) {
        if !names.contains(&row.what.as_str()) {
            names.push(&row.what);
        }
    }
    names
}
