//! Chunks of a file to samples: one row, one sample, in base units; what cannot be read is counted and left out.

use super::columns::{Channel, Channels, Role};
use super::fault::{FaultKind, Faults};
use super::lines::{Line, Lines, cells, is_comment};
use super::opening::{Opening, clock, is_missing, number};
use crate::units::ChannelUnit;

/// A row of a run.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Sample {
    /// Line of the file, from 1.
    pub line: u64,
    /// Time, s, in the file's own counting.
    pub t: f64,
    /// Longitudinal, lateral and vertical reading, g; lateral 0 where there is none.
    pub f: [f64; 3],
    /// Other channels in base units, by [`Role`]; the last value where a row has none, NaN before the first.
    pub more: More,
}

/// Channels beside time and acceleration.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct More {
    values: [f64; Role::ALL.len()],
}

impl More {
    const NONE: Self = Self {
        values: [f64::NAN; Role::ALL.len()],
    };

    /// A channel's value.
    pub fn of(&self, role: Role) -> Option<f64> {
        let value = self.values[role as usize];
        (!value.is_nan()).then_some(value)
    }
}

/// How many rows there were.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Rows {
    /// Rows of the table, good and bad.
    pub all: u64,
    /// Rows that became a sample.
    pub used: u64,
    /// Rows without a time or an acceleration, as loggers write them whose channels run at different rates.
    pub incomplete: u64,
}

/// Half a day, s: a clock that goes back by more has passed midnight.
const HALF_A_DAY: f64 = 43_200.0;

/// Reads a file that comes in chunks.
#[derive(Clone, Debug)]
pub(super) struct Reader {
    lines: Lines,
    rows: RowReader,
}

#[derive(Clone, Debug)]
struct RowReader {
    opening: Opening,
    channels: Channels,
    cells: Vec<(u32, u32)>,
    last: f64,
    days: f64,
    more: More,
    counts: Rows,
    faults: Faults,
}

impl Reader {
    pub fn new(opening: &Opening, channels: &Channels) -> Self {
        Self {
            lines: Lines::default(),
            rows: RowReader {
                opening: opening.clone(),
                channels: channels.clone(),
                cells: Vec::new(),
                last: f64::NEG_INFINITY,
                days: 0.0,
                more: More::NONE,
                counts: Rows::default(),
                faults: Faults::default(),
            },
        }
    }

    /// Hand on the sample of every row that ends in this chunk.
    pub fn push(&mut self, bytes: &[u8], mut each: impl FnMut(&Sample)) {
        let rows = &mut self.rows;
        self.lines.push(bytes, |line| {
            if let Some(sample) = rows.sample(line) {
                each(&sample);
            }
        });
    }

    /// Hand on the row after the last line end.
    pub fn finish(&mut self, mut each: impl FnMut(&Sample)) {
        let rows = &mut self.rows;
        self.lines.finish(|line| {
            if let Some(sample) = rows.sample(line) {
                each(&sample);
            }
        });
    }

    pub fn rows(&self) -> Rows {
        self.rows.counts
    }

    pub fn faults(&self) -> &Faults {
        &self.rows.faults
    }
}

/// What a cell gave.
enum Read {
    Value(f64),
    Missing,
    Wrong,
}

impl RowReader {
    fn sample(&mut self, line: Line) -> Option<Sample> {
        if line.number < self.opening.first_row || is_comment(line.bytes) {
            return None;
        }
        self.counts.all += 1;
        if line.cut {
            self.faults.add(FaultKind::TooLong, line.number, || {
                format!(
                    ": longer than {} bytes; a row must end before",
                    super::lines::LONGEST
                )
            });
            return None;
        }
        if let Err(unclosed) = cells(line.bytes, self.opening.delimiter, &mut self.cells) {
            self.faults.add(FaultKind::Quote, line.number, || {
                format!(
                    ", column {}: a quotation mark is not closed on its line",
                    unclosed.cell + 1
                )
            });
            return None;
        }
        let (have, names) = (self.cells.len(), self.channels.names);
        let extra = self.cells.iter().skip(names).any(|(a, b)| b > a);
        if have < names || extra {
            self.faults.add(FaultKind::Ragged, line.number, || {
                format!(": {have} cells; the heading has {names} names")
            });
            return None;
        }
        let mut values = [f64::NAN; Role::ALL.len()];
        let mut incomplete = false;
        for role in Role::ALL {
            let Some(channel) = &self.channels.all[role as usize] else {
                continue;
            };
            let (start, end) = self.cells[channel.place];
            let cell = &line.bytes[start as usize..end as usize];
            match read(cell, channel, &self.opening) {
                Read::Value(value) => {
                    let (low, high) = role.range();
                    if !(low..=high).contains(&value) {
                        self.faults.add(FaultKind::OutOfRange, line.number, || {
                            let (place, size) = (place(channel, cell), channel.factor.abs());
                            format!(
                                "{place} is outside {:.6} to {:.6} {} for {}",
                                low / size,
                                high / size,
                                channel.unit.name(),
                                role.name()
                            )
                        });
                        return None;
                    }
                    values[role as usize] = value;
                }
                Read::Missing => incomplete |= role.is_needed_in_a_row(),
                Read::Wrong => {
                    self.faults.add(FaultKind::NotANumber, line.number, || {
                        let (place, mark) = (place(channel, cell), self.opening.decimal.name());
                        let wanted = if channel.unit == ChannelUnit::Clock {
                            "a time such as 1:02:03.5"
                        } else {
                            "a number"
                        };
                        format!("{place} is no number; {wanted} with {mark} is allowed")
                    });
                    return None;
                }
            }
        }
        for role in Role::ALL {
            if !values[role as usize].is_nan() {
                self.more.values[role as usize] = values[role as usize];
            }
        }
        if incomplete {
            self.counts.incomplete += 1;
            return None;
        }
        let t = self.time(values[Role::Time as usize], line.number)?;
        self.counts.used += 1;
        let lateral = values[Role::Lateral as usize];
        Some(Sample {
            line: line.number,
            t,
            f: [
                values[Role::Longitudinal as usize],
                if lateral.is_nan() { 0.0 } else { lateral },
                values[Role::Vertical as usize],
            ],
            more: self.more,
        })
    }

    /// The time, which must be later than that of every row before.
    fn time(&mut self, read: f64, line: u64) -> Option<f64> {
        let clock = self.channels.unit(Role::Time) == Some(ChannelUnit::Clock);
        if clock && read + self.days < self.last - HALF_A_DAY {
            self.days += 2.0 * HALF_A_DAY;
        }
        let (t, last) = (read + self.days, self.last);
        let kind = if t > last {
            self.last = t;
            return Some(t);
        } else if t == last {
            FaultKind::TimeRepeats
        } else {
            FaultKind::TimeRunsBack
        };
        self.faults.add(kind, line, || {
            format!(": time {t} s, after {last} s in a row before; it must grow")
        });
        None
    }
}

impl Role {
    /// Whether a row without it is incomplete: time, and every acceleration that is mapped.
    const fn is_needed_in_a_row(self) -> bool {
        matches!(
            self,
            Self::Time | Self::Longitudinal | Self::Lateral | Self::Vertical
        )
    }
}

fn read(cell: &[u8], channel: &Channel, opening: &Opening) -> Read {
    if is_missing(cell) {
        return Read::Missing;
    }
    let value = match channel.unit {
        ChannelUnit::Clock => clock(cell),
        _ => number(cell, opening.decimal),
    };
    value.map_or(Read::Wrong, |value| Read::Value(value * channel.factor))
}

/// `, column 3 (acc x): "abc"`.
fn place(channel: &Channel, cell: &[u8]) -> String {
    let text: String = String::from_utf8_lossy(cell).chars().take(40).collect();
    format!(
        ", column {} ({}): \"{text}\"",
        channel.place + 1,
        channel.name
    )
}
