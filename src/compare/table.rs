//! The table of differences: a row for all that differs, signed against the first option.

use super::comparison::{Column, Comparison, FEWEST_DRAWS};
use crate::change::{Better, Figure, Kind};
use crate::confidence::Band;
use crate::order;
use crate::units::Angle;

/// What a row belongs to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Group {
    /// What the options are: rider, sled, strength, weights.
    Option,
    /// What is bolted on.
    Settings,
    /// Figures of the whole set-up.
    Whole,
    /// Figures of a stance of that name.
    Stance(String),
    /// Figures of the one stance that each option names.
    Posture,
}

/// What stands in a row under an option.
#[derive(Clone, Debug, PartialEq)]
pub enum Cell {
    /// A number in the row's unit.
    Number(f64),
    /// Words.
    Words(String),
    /// It cannot be had: a load whose start is not held, a figure that this stance or sled does not have.
    None,
}

/// How much a difference weighs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mark {
    /// It can be relied on and noticed.
    Clear,
    /// It can be relied on, but is less than a rider notices.
    Slight,
    /// Zero lies within its band: it is smaller than what is not known.
    Unsure,
}

/// A row's difference of one option from the first.
#[derive(Clone, Debug, PartialEq)]
pub struct Difference {
    /// This one less the first, in the row's unit; none where either cannot be had.
    pub by: Option<f64>,
    /// 90 % band of it; none for settings, and before enough riders are drawn.
    pub band: Option<Band>,
    /// What it weighs; none where no band says so.
    pub mark: Option<Mark>,
    /// In differences that a rider can just notice, positive where this one is worse off; 0 where neither is better.
    pub burden: f64,
}

/// What differs.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// What it belongs to.
    pub group: Group,
    /// Its name in JSON: `riser_angle`, `knee`, `hold_short_landing_1g`.
    pub name: String,
    /// In words.
    pub words: String,
    /// Unit of numbers: `mm`, `deg`, `g`, `N`, `Nm`, `J`, or empty.
    pub unit: &'static str,
    /// What numbers are rounded to, in that unit: what a tape, a level or a scale can show.
    pub step: f64,
    /// The figure that it is; none for what is set.
    pub kind: Option<Kind>,
    /// What stands under each option.
    pub cells: Vec<Cell>,
    /// Of every option after the first; none where cells are words.
    pub differences: Vec<Option<Difference>>,
}

/// All that differs.
#[derive(Clone, Debug, PartialEq)]
pub struct Table {
    /// Titles of the options.
    pub titles: Vec<String>,
    /// Rows, those of one group together.
    pub rows: Vec<Row>,
    /// Riders drawn so far.
    pub draws: u32,
}

/// What a number of a unit is rounded to: what a tape, a level or a scale can show.
fn step(unit: &str) -> f64 {
    match unit {
        "deg" => 0.5,
        "g" | "" => 0.01,
        _ => 1.0,
    }
}

impl Row {
    fn set(group: Group, name: &str, words: &str, unit: &'static str, cells: Vec<Cell>) -> Self {
        let first = cells[0].number();
        let differences = cells[1..].iter().map(|cell| {
            let by = first.zip(cell.number()).map(|(a, b)| b - a)?;
            Some(Difference {
                by: Some(by),
                band: None,
                mark: None,
                burden: 0.0,
            })
        });
        Self {
            differences: differences.collect(),
            group,
            name: name.to_owned(),
            words: words.to_owned(),
            unit,
            step: step(unit),
            kind: None,
            cells,
        }
    }

    /// Whether what is printed differs between any two options.
    pub fn differs(&self) -> bool {
        self.cells[1..]
            .iter()
            .any(|cell| match (&self.cells[0], cell) {
                (Cell::Number(a), Cell::Number(b)) => (b - a).abs() >= 0.5 * self.step,
                (a, b) => a != b,
            })
    }
}

impl Cell {
    /// The number, where it is one.
    pub fn number(&self) -> Option<f64> {
        match self {
            Self::Number(value) => Some(*value),
            _ => None,
        }
    }
}

impl Comparison<'_> {
    /// All that differs, as far as riders are drawn.
    pub fn table(&self) -> Table {
        let mut rows = self.set();
        rows.extend(self.figures());
        rows.retain(Row::differs);
        let titles = self.columns().iter().enumerate();
        Table {
            titles: titles.map(|(i, c)| c.alternative.title(i)).collect(),
            rows,
            draws: self.done(),
        }
    }

    /// What the options are and what is bolted on.
    fn set(&self) -> Vec<Row> {
        let each = |cell: &dyn Fn(&Column) -> Cell| self.columns().iter().map(cell).collect();
        let words = |text: &str| Cell::Words(text.to_owned());
        let degrees = |angle: Angle| Cell::Number(angle.deg());
        let mut rows = vec![
            Row::set(
                Group::Option,
                "rider",
                "rider",
                "",
                each(&|c| words(&c.alternative.who())),
            ),
            Row::set(
                Group::Option,
                "sled",
                "sled",
                "",
                each(&|c| words(&c.alternative.sled.name)),
            ),
            Row::set(
                Group::Option,
                "strength",
                "strength, of the average",
                "",
                each(&|c| Cell::Number(c.alternative.built.outfit.level.factor())),
            ),
        ];
        let stances = self.columns()[0].alternative.stances.iter();
        rows.extend(stances.map(|stance| {
            Row::set(
                Group::Option,
                &format!("weight_{}", stance.name),
                &format!("weight of {}", stance.name),
                "",
                each(&|c| {
                    let same = c.alternative.stances.iter().find(|s| s.name == stance.name);
                    same.map_or(Cell::None, |s| Cell::Number(s.weight))
                }),
            )
        }));
        let settings = [
            ("riser_height", "riser", "mm"),
            ("riser_angle", "riser angle, positive back", "deg"),
            ("bar_roll", "bar roll, positive back", "deg"),
            ("stirrup", "stirrups, ahead of the foremost position", "mm"),
            ("seat", "seat", ""),
            ("clamp", "clamp", ""),
            ("bar", "bar", ""),
            ("brake_roll", "brake lever from level, positive down", "deg"),
            ("throttle_roll", "throttle from level, positive down", "deg"),
        ];
        rows.extend(settings.map(|(name, says, unit)| {
            let cell = |c: &Column| {
                let (sled, best) = (&c.alternative.sled, &c.fit.best);
                let s = &best.settings;
                match name {
                    "riser_height" => Cell::Number(sled.risers[s.riser].height),
                    "riser_angle" => degrees(s.riser_angle),
                    "bar_roll" => degrees(s.bar_roll),
                    "stirrup" => Cell::Number(s.stirrup),
                    "seat" => words(&sled.seats[s.seat].name),
                    "clamp" => words(&sled.clamps[s.clamp].name),
                    "bar" => words(&sled.bars[s.bar].name),
                    "brake_roll" => degrees(best.levers.brake.roll),
                    _ => degrees(best.levers.throttle.roll),
                }
            };
            Row::set(Group::Settings, name, says, unit, each(&cell))
        }));
        rows
    }

    /// Rows of the figures: those of the whole first, then stance by stance.
    fn figures(&self) -> Vec<Row> {
        let mut keys: Vec<(Group, Kind)> = Vec::new();
        for column in self.columns() {
            for figure in &column.figures {
                let key = (column.group(figure), figure.kind);
                if !keys.contains(&key) {
                    keys.push(key);
                }
            }
        }
        let rank = |group: &Group| match group {
            Group::Stance(name) => {
                let stances = self.columns().iter().flat_map(|c| &c.alternative.stances);
                1 + stances
                    .into_iter()
                    .position(|s| s.name == *name)
                    .unwrap_or(0)
            }
            Group::Posture => 1,
            _ => 0,
        };
        // Of single stances only what all of them have: a seat's figures say nothing about standing.
        let has = |c: &Column, key: &(Group, Kind)| {
            let same = |f: &Figure| f.kind == key.1 && c.group(f) == key.0;
            c.figures.iter().any(same)
        };
        keys.retain(|key| key.0 != Group::Posture || self.columns().iter().all(|c| has(c, key)));
        order::sort_by_key(&mut keys, |(group, kind)| (rank(group), *kind as usize));
        keys.into_iter()
            .map(|(group, kind)| self.row(group, kind))
            .collect()
    }

    fn row(&self, group: Group, kind: Kind) -> Row {
        let row = kind.row();
        let found: Vec<Option<usize>> = self
            .columns()
            .iter()
            .map(|c| {
                let same = |f: &Figure| f.kind == kind && c.group(f) == group;
                c.figures.iter().position(same)
            })
            .collect();
        let figure = |i: usize| found[i].map(|at| &self.columns()[i].figures[at]);
        let cells = (0..found.len()).map(|i| {
            let value = figure(i).and_then(|f| f.value);
            value.map_or(Cell::None, Cell::Number)
        });
        let differences = (1..found.len())
            .map(|i| {
                let (a, b) = (found[0]?, found[i]?);
                let (first, this) = (&self.columns()[0].figures[a], &self.columns()[i].figures[b]);
                let by = first.value.zip(this.value).map(|(a, b)| b - a);
                let band = (self.done() >= FEWEST_DRAWS)
                    .then(|| Band::of(self.drawn_differences((i, b), a)));
                let mark = band.map(|band| match by {
                    _ if band.holds(0.0) => Mark::Unsure,
                    Some(by) if by.abs() < row.notice => Mark::Slight,
                    _ => Mark::Clear,
                });
                let burden = match row.better {
                    Better::Neither => 0.0,
                    _ => this.burden() - first.burden(),
                };
                Some(Difference {
                    by,
                    band,
                    mark,
                    burden,
                })
            })
            .collect();
        Row {
            group,
            name: row.name.to_owned(),
            words: row.words.to_owned(),
            unit: row.unit,
            step: step(row.unit),
            kind: Some(kind),
            cells: cells.collect(),
            differences,
        }
    }
}

impl Column<'_> {
    /// What one of its figures belongs to.
    fn group(&self, figure: &Figure) -> Group {
        match (figure.stance, self.alternative.stance) {
            (None, _) => Group::Whole,
            (Some(_), Some(_)) => Group::Posture,
            (Some(k), None) => {
                let stance = self.alternative.stances.get(k);
                Group::Stance(stance.map_or_else(String::new, |s| s.name.clone()))
            }
        }
    }
}
