//! The first reading of a run: how fast it was sampled, how long it is, what gravity reads while the sled stands still.
//!
//! A second of the run is still where every acceleration, after the low-pass, spreads by less than [`STILL_SPREAD`] and
//! the speed, where there is one, stays under [`STILL_SPEED`]. A second of even braking looks the same, so only pieces
//! within [`STILL_NEAR`] of the middle one of all count. Their mean is gravity as the sensor reads it; how far single
//! ones point away from it is told.

use super::columns::{Channels, Gravity, Role};
use super::fault::{FEWEST, Faults, LEFT, MOST_FAULTS, MOST_OFF, RunError, SIZES, STEPS};
use super::filter::{LowPass, Memory};
use super::opening::Opening;
use super::reader::{Reader, Rows, Sample};
use super::tilt::Tilt;
use super::{Options, length};
use crate::order;
use crate::units::Angle;
use crate::units::text::many;

/// Standard deviation of an acceleration under which a second is still, g; our choice: above the noise of cheap sensors
/// and an engine's idling behind the low-pass, far below riding.
pub const STILL_SPREAD: f64 = 0.05;

/// Greatest speed of a still second, m/s; our choice: what a satellite receiver reads at rest.
pub const STILL_SPEED: f64 = 0.6;

/// Farthest that a still piece may read from the middle one of all, g; our choice: a slope of 6°.
pub const STILL_NEAR: f64 = 0.1;

/// Length of the pieces that are still or not, s; our choice.
pub const STILL_PIECE: f64 = 1.0;

/// A step longer than this ends a piece and starts the filter anew in the first reading, s; our choice.
const BREAK: f64 = 0.5;

/// Size at rest under which gravity seems to have been taken out, g; our choice.
const TAKEN_OUT: f64 = 0.3;

/// How far off 1 g gravity may read before that is told, g; our choice: more than a good sensor is out by.
const TOLD_SIZE: f64 = 0.03;

/// How far apart gravity may point before that is told, degrees; our choice: less than any slope that one notices.
const TOLD_SPREAD: f64 = 3.0;

/// Gravity as the sensor reads it at rest.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Still {
    /// Time over which it was read, s.
    pub seconds: f64,
    /// Its mean, g.
    pub reads: [f64; 3],
    /// Greatest angle between one still second and the mean.
    pub spread: Angle,
}

impl Still {
    /// Size of gravity as it is read, g.
    pub fn size(&self) -> f64 {
        length(self.reads)
    }
}

/// What the first reading found.
#[derive(Clone, Debug, PartialEq)]
pub struct Surveyed {
    /// Rows read and used.
    pub rows: Rows,
    /// Rows left out.
    pub faults: Faults,
    /// Time of the first and last sample, s.
    pub span: (f64, f64),
    /// The usual step, s: the median.
    pub step: f64,
    /// Gravity at rest; nothing where the sled never stood still, or the logger took gravity out.
    pub still: Option<Still>,
    /// What the sensor's mounting is taken for.
    pub tilt: Tilt,
}

/// Reads a run for the first time, chunk by chunk.
#[derive(Clone, Debug)]
pub struct Survey {
    reader: Reader,
    watch: Watch,
}

#[derive(Clone, Debug)]
struct Watch {
    filter: LowPass,
    memory: [Memory; 3],
    first: f64,
    last: Option<f64>,
    steps: Steps,
    piece: Piece,
    pieces: Vec<Sum>,
    gravity: Gravity,
}

impl Survey {
    /// For a file of this opening and these channels.
    pub fn new(opening: &Opening, channels: &Channels, options: &Options) -> Self {
        Self {
            reader: Reader::new(opening, channels),
            watch: Watch {
                filter: LowPass::new(options.cut_off()),
                memory: [Memory::at(0.0); 3],
                first: 0.0,
                last: None,
                steps: Steps::default(),
                piece: Piece::default(),
                pieces: Vec::new(),
                gravity: channels.gravity,
            },
        }
    }

    /// The next chunk, of any size.
    pub fn push(&mut self, bytes: &[u8]) {
        let watch = &mut self.watch;
        self.reader.push(bytes, |sample| watch.see(sample));
    }

    /// The end of the file.
    ///
    /// # Errors
    /// Where the file is not usable, with the reason.
    pub fn finish(mut self) -> Result<Surveyed, RunError> {
        let watch = &mut self.watch;
        self.reader.finish(|sample| watch.see(sample));
        watch.end_piece();
        let (rows, faults) = (self.reader.rows(), self.reader.faults().clone());
        usable(rows, &faults)?;
        let step = watch.steps.median();
        if !(STEPS.0..=STEPS.1).contains(&step) {
            return Err(RunError::Step { step_s: step });
        }
        let read = watch.still();
        let (still, tilt) = match (read, watch.gravity) {
            (Some(still), Gravity::Included) => (Some(still), mounted(&still)?),
            (Some(still), Gravity::Removed) if still.size() > LEFT => {
                return Err(RunError::GravityThere {
                    reads_g: still.size(),
                });
            }
            _ => (None, Tilt::NONE),
        };
        Ok(Surveyed {
            rows,
            faults,
            span: (watch.first, watch.last.unwrap_or(watch.first)),
            step,
            still,
            tilt,
        })
    }
}

/// Whether enough rows can be used.
fn usable(rows: Rows, faults: &Faults) -> Result<(), RunError> {
    if faults.total() as f64 > MOST_FAULTS * rows.all as f64
        && let Some(most) = faults.commonest()
    {
        return Err(RunError::TooManyFaults {
            faults: faults.total(),
            rows: rows.all,
            kind: most.kind.words(),
            first: most.says.clone(),
        });
    }
    if rows.used < FEWEST {
        return Err(RunError::TooFewRows {
            used: rows.used,
            rows: rows.all,
            first: faults.told().first().map(|f| f.says.clone()),
        });
    }
    Ok(())
}

/// The tilt that gravity at rest tells, if it can be one.
fn mounted(still: &Still) -> Result<Tilt, RunError> {
    let size = still.size();
    let g = crate::units::STANDARD_GRAVITY;
    if !(SIZES.0..=SIZES.1).contains(&size) {
        let near = |wanted: f64| (SIZES.0..=SIZES.1).contains(&(size / wanted));
        let hint = if near(g) {
            "the unit looks like m/s2"
        } else if near(1.0 / g) {
            "the unit looks like g"
        } else if near(1000.0) {
            "the unit looks like mg"
        } else if size < TAKEN_OUT {
            "the logger seems to have taken gravity out: say that it is removed"
        } else {
            "is the unit right, and are all three axes named?"
        };
        return Err(RunError::Size {
            reads_g: size,
            hint,
        });
    }
    let z = still.reads[2];
    let off = Angle::from_rad(libm::acos((z / size).clamp(-1.0, 1.0)));
    if off.deg() > 180.0 - MOST_OFF {
        return Err(RunError::UpsideDown { reads_g: z });
    }
    if off.deg() > MOST_OFF {
        return Err(RunError::Swapped { off_deg: off.deg() });
    }
    Ok(Tilt::of(still.reads))
}

fn distance(a: [f64; 3], b: [f64; 3]) -> f64 {
    length([a[0] - b[0], a[1] - b[1], a[2] - b[2]])
}

/// The value of an axis that half of the pieces stay under.
fn median(pieces: &[Sum], axis: usize) -> f64 {
    let mut values: Vec<f64> = pieces.iter().map(|p| p.mean[axis]).collect();
    order::ascend(&mut values);
    values.get(values.len() / 2).copied().unwrap_or(0.0)
}

impl Watch {
    fn see(&mut self, sample: &Sample) {
        let step = match self.last {
            Some(last) => sample.t - last,
            None => {
                self.first = sample.t;
                f64::INFINITY
            }
        };
        self.last = Some(sample.t);
        if step.is_finite() {
            self.steps.add(step);
        }
        if step > BREAK {
            self.end_piece();
            self.memory = sample.f.map(Memory::at);
            return;
        }
        self.filter.advance(step, &mut self.memory, &sample.f);
        let f = self.memory.map(|m| m.output);
        let moves = |speed: f64| speed.abs() > STILL_SPEED;
        self.piece
            .add(step, f, sample.more.of(Role::Speed).is_some_and(moves));
        if self.piece.seconds >= STILL_PIECE {
            self.end_piece();
        }
    }

    fn end_piece(&mut self) {
        let piece = core::mem::take(&mut self.piece);
        if piece.seconds >= STILL_PIECE && piece.is_still() {
            self.pieces.push(piece.sum());
            // Pieces are kept to tell their spread; a long wait says no more than its first hours.
            if self.pieces.len() == MOST_PIECES {
                self.pieces.dedup_by(|b, a| a.join(b));
            }
        }
    }

    fn still(&self) -> Option<Still> {
        if self.pieces.is_empty() {
            return None;
        }
        let middle = [0, 1, 2].map(|axis| median(&self.pieces, axis));
        let near = |piece: &&Sum| distance(piece.mean, middle) < STILL_NEAR;
        let kept: Vec<&Sum> = self.pieces.iter().filter(near).collect();
        let seconds: f64 = kept.iter().map(|p| p.seconds).sum();
        if kept.is_empty() {
            return None;
        }
        let reads = [0, 1, 2].map(|axis| {
            let sum: f64 = kept.iter().map(|p| p.mean[axis] * p.seconds).sum();
            sum / seconds
        });
        let off = |piece: &&Sum| {
            let along: f64 = piece.mean.iter().zip(&reads).map(|(a, b)| a * b).sum();
            let size = length(piece.mean) * length(reads);
            libm::acos((along / size).clamp(-1.0, 1.0))
        };
        let spread = kept.iter().map(off).fold(0.0, f64::max);
        Some(Still {
            seconds,
            reads,
            spread: Angle::from_rad(spread),
        })
    }
}

/// Still pieces that are kept apart; beyond, neighbours are joined. Our choice: almost three hours.
const MOST_PIECES: usize = 10_000;

/// Mean of a still piece.
#[derive(Clone, Copy, Debug)]
struct Sum {
    seconds: f64,
    mean: [f64; 3],
}

impl Sum {
    /// Takes the next in where this one is not long yet.
    fn join(&mut self, next: &Self) -> bool {
        if self.seconds > 1.9 * next.seconds {
            return false;
        }
        let all = self.seconds + next.seconds;
        for (mean, other) in self.mean.iter_mut().zip(next.mean) {
            *mean += (other - *mean) * next.seconds / all;
        }
        self.seconds = all;
        true
    }
}

/// A second or so of the run: weighted mean and spread of each axis (West 1979, Commun. ACM 22:532; from memory).
#[derive(Clone, Copy, Debug, Default)]
struct Piece {
    seconds: f64,
    mean: [f64; 3],
    squares: [f64; 3],
    moved: bool,
}

impl Piece {
    fn add(&mut self, step: f64, f: [f64; 3], moved: bool) {
        self.seconds += step;
        self.moved |= moved;
        for ((f, mean), squares) in f.iter().zip(&mut self.mean).zip(&mut self.squares) {
            let off = f - *mean;
            *mean += off * step / self.seconds;
            *squares += step * off * (f - *mean);
        }
    }

    fn is_still(&self) -> bool {
        let spread = |s: &f64| s / self.seconds < STILL_SPREAD * STILL_SPREAD;
        !self.moved && self.squares.iter().all(spread)
    }

    fn sum(&self) -> Sum {
        Sum {
            seconds: self.seconds,
            mean: self.mean,
        }
    }
}

/// Steps between samples, counted by size in bins of one percent, so that their median needs no list.
#[derive(Clone, Debug, Default)]
struct Steps {
    bins: Vec<(u64, f64)>,
    count: u64,
}

/// Shortest step that has a bin of its own, s; our choice, as the bins: far beyond what is allowed either way.
const SHORTEST: f64 = 1e-7;
/// Bins up to a step of e¹⁸ times that, about 6 s.
const BINS: usize = 1800;

impl Steps {
    fn add(&mut self, step: f64) {
        if self.bins.is_empty() {
            self.bins = vec![(0, 0.0); BINS];
        }
        let bin = (libm::log(step / SHORTEST).max(0.0) * 100.0) as usize;
        let bin = &mut self.bins[bin.min(BINS - 1)];
        *bin = (bin.0 + 1, bin.1 + step);
        self.count += 1;
    }

    /// Mean of the bin in which the middle step lies; NaN where there is none.
    fn median(&self) -> f64 {
        let mut before = 0;
        for (count, sum) in &self.bins {
            before += count;
            if 2 * before >= self.count && *count > 0 {
                return sum / *count as f64;
            }
        }
        f64::NAN
    }
}

impl Surveyed {
    /// Samples per second.
    pub fn rate(&self) -> f64 {
        1.0 / self.step
    }

    /// What a reader should know about the reading, in words.
    pub fn notes(&self, options: &Options, gravity: Gravity) -> Vec<String> {
        let mut notes = Vec::new();
        let rate = self.rate();
        if self.is_too_slow(options) {
            notes.push(format!(
                "{rate:.0} samples a second are too few to judge landings: {:.0} are needed for a cut-off of {:.0} Hz.",
                options.landing_rate(),
                options.cut_off()
            ));
        }
        if rate < 2.0 * options.cut_off() {
            notes.push(format!(
                "At {rate:.0} samples a second nothing above {:.0} Hz is seen, and what was faster may show as something slower.",
                0.5 * rate
            ));
        }
        match (&self.still, gravity) {
            (None, Gravity::Included) => notes.push(format!(
                "The sled never stood still for {STILL_PIECE:.0} s, so the sensor's tilt is not corrected: let it stand for 5 s at the start."
            )),
            (None, Gravity::Removed) => notes.push(
                "Gravity was taken out by the logger and is added back straight up; the sensor's tilt is not corrected."
                    .to_owned(),
            ),
            (Some(still), _) => {
                let size = still.size();
                if (size - 1.0).abs() > TOLD_SIZE {
                    notes.push(format!(
                        "The sensor reads {size:.2} g at rest; its size is not corrected."
                    ));
                }
                if still.spread.deg() > TOLD_SPREAD {
                    notes.push(format!(
                        "Gravity points up to {:.0}\u{b0} apart while the sled stands still: it stood on slopes, or the sensor moved.",
                        still.spread.deg()
                    ));
                }
            }
        }
        notes.extend(self.faults.kinds().map(|(first, count)| {
            let (rows, kind) = (many(count, "row"), first.kind.words());
            format!("{rows} left out: {kind}; the first: {}.", first.says)
        }));
        notes
    }

    /// Whether it was sampled too slowly to judge landings.
    pub fn is_too_slow(&self, options: &Options) -> bool {
        // The median comes from bins: a hundredth less is no less.
        self.rate() < 0.99 * options.landing_rate()
    }
}
