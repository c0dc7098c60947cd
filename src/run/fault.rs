//! What is wrong with a row, and why a whole file cannot be used.

use thiserror::Error;

/// Rows of each kind of fault that are told in full; the rest are counted. Our choice.
const TOLD: usize = 3;

/// Fewest rows that are a run; our choice: fewer have no usual step.
pub(super) const FEWEST: u64 = 10;

/// Usual steps that are allowed, s; our choice: beyond them the time is in another unit.
pub(super) const STEPS: (f64, f64) = (1e-4, 1.0);

/// Sizes of gravity that are taken as such, g; our choice: a sensor that is out by more is broken or in another unit.
pub(super) const SIZES: (f64, f64) = (0.8, 1.2);

/// Greatest size that a logger may read at rest which took gravity out, g; our choice.
pub(super) const LEFT: f64 = 0.5;

/// Greatest angle between the vertical column and gravity at rest, degrees; our choice: beyond it another axis is nearer.
pub(super) const MOST_OFF: f64 = 45.0;

/// Share of rows with a fault above which a file is refused; our choice: what is left would say little.
pub const MOST_FAULTS: f64 = 0.1;

/// What is wrong with a row. Such a row is left out and counted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum FaultKind {
    /// More or fewer cells than the heading has names.
    Ragged,
    /// A cell that is no number.
    NotANumber,
    /// A number outside what its channel can be.
    OutOfRange,
    /// The time of the row before.
    TimeRepeats,
    /// A time before that of an earlier row.
    TimeRunsBack,
    /// A line longer than is read.
    TooLong,
    /// A quotation mark that is not closed.
    Quote,
}

impl FaultKind {
    /// All of them.
    pub const ALL: [Self; 7] = [
        Self::Ragged,
        Self::NotANumber,
        Self::OutOfRange,
        Self::TimeRepeats,
        Self::TimeRunsBack,
        Self::TooLong,
        Self::Quote,
    ];

    /// Name in JSON.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Ragged => "ragged",
            Self::NotANumber => "not_a_number",
            Self::OutOfRange => "out_of_range",
            Self::TimeRepeats => "time_repeats",
            Self::TimeRunsBack => "time_runs_back",
            Self::TooLong => "too_long",
            Self::Quote => "quote",
        }
    }

    /// In words, for a count of rows.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Ragged => "more or fewer cells than the heading",
            Self::NotANumber => "a cell that is no number",
            Self::OutOfRange => "a value outside its range",
            Self::TimeRepeats => "the time of the row before",
            Self::TimeRunsBack => "a time that runs back",
            Self::TooLong => "a line that does not end",
            Self::Quote => "a quotation mark without its partner",
        }
    }
}

/// One row that was left out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// What is wrong.
    pub kind: FaultKind,
    /// Line of the file, from 1.
    pub line: u64,
    /// In words: line, column, value, what is allowed.
    pub says: String,
}

/// Faults of a file: how many of each kind, the first of each in full.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Faults {
    counts: [u64; FaultKind::ALL.len()],
    told: Vec<Fault>,
}

impl Faults {
    /// Count one; its words are made only where they will be told.
    pub(super) fn add(&mut self, kind: FaultKind, line: u64, says: impl FnOnce() -> String) {
        let place = kind as usize;
        self.counts[place] += 1;
        if self.counts[place] <= TOLD as u64 {
            let says = format!("line {line}{}", says());
            self.told.push(Fault { kind, line, says });
        }
    }

    /// How many of a kind.
    pub fn count(&self, kind: FaultKind) -> u64 {
        self.counts[kind as usize]
    }

    /// How many of all kinds.
    pub fn total(&self) -> u64 {
        self.counts.iter().sum()
    }

    /// The first few of each kind, in the order of the file.
    pub fn told(&self) -> &[Fault] {
        &self.told
    }

    /// The first of each kind that there is, with how many there are, in the order of the kinds.
    pub fn kinds(&self) -> impl DoubleEndedIterator<Item = (&Fault, u64)> {
        let first = |kind| self.told.iter().find(|f| f.kind == kind);
        let kinds = FaultKind::ALL.into_iter();
        kinds.filter_map(move |kind| Some((first(kind)?, self.count(kind))))
    }

    /// The first of the kind that most rows have.
    pub fn commonest(&self) -> Option<&Fault> {
        // Of two as common the one that comes first among the kinds.
        let most = self.kinds().rev().max_by_key(|(_, count)| *count);
        most.map(|(first, _)| first)
    }
}

/// Why a file cannot be used as a recorded run.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum RunError {
    /// Nothing in it.
    #[error("the file is empty")]
    Empty,
    /// Text in two-byte characters.
    #[error("the file is text in UTF-16; save it as CSV in UTF-8")]
    Utf16,
    /// No text.
    #[error("the file is not text (byte {at} is zero); export the run as CSV")]
    Binary {
        /// Which byte, from 1.
        at: usize,
    },
    /// No rows of numbers.
    #[error(
        "no table was found in the first {lines} lines: a row needs at least two numbers, parted by comma, semicolon, \
         tabulator, vertical bar or spaces"
    )]
    NoTable {
        /// Lines looked at.
        lines: usize,
    },
    /// A comma that parts cells and is the decimal point too.
    #[error(
        "line {line}: {cells} cells under {names} names: the comma seems to part cells and to be the decimal point too; \
         export with semicolons or with decimal points"
    )]
    CommaTwice {
        /// First row of numbers.
        line: u64,
        /// Cells in it.
        cells: usize,
        /// Names above it.
        names: usize,
    },
    /// A heading that does not belong to its rows.
    #[error("line {line}: {cells} cells under a heading of {names} names")]
    HeadingWidth {
        /// First row of numbers.
        line: u64,
        /// Cells in it.
        cells: usize,
        /// Names above it.
        names: usize,
    },
    /// Too few rows.
    #[error(
        "only {used} of {rows} rows can be used, at least {FEWEST} are needed{}",
        first.as_ref().map_or(String::new(), |f| format!("; the first that cannot: {f}"))
    )]
    TooFewRows {
        /// Rows that can be used.
        used: u64,
        /// Rows in all.
        rows: u64,
        /// The first fault.
        first: Option<String>,
    },
    /// Too many rows with faults.
    #[error(
        "{faults} of {rows} rows cannot be used, more than one in ten; mostly {kind}; the first: {first}"
    )]
    TooManyFaults {
        /// Rows with faults.
        faults: u64,
        /// Rows in all.
        rows: u64,
        /// The commonest kind in words.
        kind: &'static str,
        /// The first of it.
        first: String,
    },
    /// A time that is written too coarsely, or in another unit.
    #[error(
        "time: the usual step between rows is {step_s} s; {} to {} s are allowed: is the unit of the time column right?",
        STEPS.0, STEPS.1
    )]
    Step {
        /// Usual step, s.
        step_s: f64,
    },
    /// A vertical channel that counts downward.
    #[error(
        "vertical: reads {reads_g:.2} g while the sled stands still, where 1 is wanted: say that it is reversed"
    )]
    UpsideDown {
        /// What it reads, g.
        reads_g: f64,
    },
    /// Gravity in another column.
    #[error(
        "vertical: while the sled stands still gravity lies {off_deg:.0}\u{b0} off this column, at most {MOST_OFF} are allowed: \
         are the columns swapped?"
    )]
    Swapped {
        /// Angle between the column and gravity, degrees.
        off_deg: f64,
    },
    /// Gravity in a file that was said to be without it.
    #[error(
        "acceleration: reads {reads_g:.2} g in all while the sled stands still, where 0 to {LEFT} is allowed of a logger that \
         took gravity out: say that it is included"
    )]
    GravityThere {
        /// What it reads, g.
        reads_g: f64,
    },
    /// A size of gravity that fits no sensor.
    #[error(
        "acceleration: reads {reads_g:.3} g in all while the sled stands still, where {} to {} is allowed: {hint}",
        SIZES.0, SIZES.1
    )]
    Size {
        /// What it reads, g.
        reads_g: f64,
        /// What it looks like.
        hint: &'static str,
    },
}
