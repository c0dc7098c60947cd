//! A recorded run, held against what a stance can resist.
//!
//! A table of numbers that a logger on the sled wrote is read twice in chunks, in bounded memory: [`Survey`] finds the
//! rate and how the sensor is mounted, [`Tally`] sorts the run's time into a [`Density`] over the plane of specific
//! force, sets flights apart, and keeps the hardest moments. [`held`] asks every
//! single change of the set-up what it would have held.
//!
//! # From a reading to (f_x, f_z)
//! The crate's load is the specific force f = a/g + ẑ, in g, in the sled's own axes: x forward, z up. An ideal
//! accelerometer on the sled reads just that, slopes included: (0, +1) at rest on the level, f_x < 0 while the sled
//! brakes or its nose digs in, f_x > 0 while it pulls away, (0, 0) in flight. So a longitudinal channel must be positive
//! while speeding up, a vertical one +1 g at rest, a lateral one positive in a left-hand corner; a channel that counts
//! the other way is reversed by the mapping, and where the logger took gravity out, 1 g is added along z. The steps:
//!
//! 1. unit and sign (the mapping): g;
//! 2. tilt: turned so that gravity at rest points straight up ([`Tilt`]);
//! 3. a low-pass ([`LowPass`]): chassis spikes are not rider loads;
//! 4. each sample stands for half the time to either neighbour; a gap stands for none.
//!
//! *Example.* A sensor whose nose points 10° up reads, in m/s², x = 1.703, z = 9.658 at rest and x = −3.126, z = 10.509
//! while the sled brakes at 0.5 g on the level. In g: (0.174, 0.985) and (−0.319, 1.072). Gravity at rest tells a tilt
//! of 10°; turned by it, (0, 1) and (−0.5, 1): the load is half a g from rest toward the nose (f_x < 0), and the rider is
//! held by the hands' push and the toe stops.
//!
//! # What it does not know
//! Quasi-static, as the hold itself: no dynamics of the body, which a rider uses. The reading is that of the sensor's
//! place: where the sled pitches quickly, the cockpit feels something else, so the sensor belongs near the footrests.
//! What the rider's stance was, nobody recorded.

mod columns;
mod demo;
mod density;
mod fault;
mod filter;
pub mod held;
mod judge;
mod lines;
mod opening;
mod reader;
mod region;
pub mod report;
mod survey;
mod tally;
mod tilt;
mod track;

pub use columns::{
    Channels, Column, ColumnForm, Columns, ColumnsError, ColumnsForm, FORMAT, Gravity, Role,
    SCHEMA, unit_of,
};
pub use demo::{DEMO_NAME, demo};
pub use density::{CELL, Cell, Density, REACH};
pub use fault::{Fault, FaultKind, Faults, RunError};
pub use filter::{LowPass, Memory};
pub use judge::{Cause, Judged, Moment};
pub use lines::Delimiter;
pub use opening::{Decimal, HEAD, Opening};
pub use reader::Rows;
pub use region::Region;
pub use survey::{Still, Survey, Surveyed};
pub use tally::{Tallied, Tally, Times};
pub use tilt::Tilt;
pub use track::{Lap, Track, TrackPoint};

use thiserror::Error;

/// Cut-off of the low-pass where none is given, Hz; our choice: twice the 4 to 5.5 Hz at which a body on its seat or
/// feet answers most (seated-spine and impact studies in the vibration literature; Matsumoto and Griffin 1998, J. Sound
/// Vib. 212:85, from memory). What is much faster shakes the sled, not the trunk.
pub const CUT_OFF: f64 = 10.0;

/// Least time outside for which an event counts where none is given, s; our choice: about a landing's stroke.
pub const DWELL: f64 = 0.1;

/// Samples wanted in a period of the cut-off before landings are judged. Two are the least that can show it at all
/// (Shannon 1949, Proc. IRE 37:10); five is our choice.
pub const SAMPLES_A_PERIOD: f64 = 5.0;

/// Size of the specific force under which a sled flies, g; our choice: free fall is 0, wind and a spinning track add.
pub const FLIGHT: f64 = 0.35;

/// Shortest flight, s; our choice.
pub const SHORTEST_FLIGHT: f64 = 0.15;

/// Time after a flight in which an event is its landing, s; our choice.
pub const LANDING: f64 = 0.4;

/// Events closer than this are one moment, s; our choice.
pub const APART: f64 = 0.5;

/// Moments that are kept; our choice: as many as a person goes through.
pub const MOST_MOMENTS: usize = 10;

/// How a run is judged.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Options {
    cut_off: f64,
    dwell: f64,
}

/// Why a run cannot be judged so.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum OptionsError {
    /// A value outside its range.
    #[error("{field}: {value} is outside {low} to {high}")]
    OutOfRange {
        /// Which: `cut_off_hz` or `longer_than_s`.
        field: &'static str,
        /// What was given.
        value: f64,
        /// Least allowed.
        low: f64,
        /// Greatest allowed.
        high: f64,
    },
}

impl Options {
    /// With this cut-off, Hz, and this least time outside, s.
    ///
    /// # Errors
    /// A value outside its range, or not a number.
    pub fn new(cut_off_hz: f64, longer_than_s: f64) -> Result<Self, OptionsError> {
        for (field, value, low, high) in [
            ("cut_off_hz", cut_off_hz, 1.0, 100.0),
            ("longer_than_s", longer_than_s, 0.01, 5.0),
        ] {
            if !(low..=high).contains(&value) {
                return Err(OptionsError::OutOfRange {
                    field,
                    value,
                    low,
                    high,
                });
            }
        }
        Ok(Self {
            cut_off: cut_off_hz,
            dwell: longer_than_s,
        })
    }

    /// Cut-off of the low-pass, Hz.
    pub fn cut_off(&self) -> f64 {
        self.cut_off
    }

    /// Least time outside for which an event counts, s.
    pub fn dwell(&self) -> f64 {
        self.dwell
    }

    /// Samples a second from which landings are judged.
    pub fn landing_rate(&self) -> f64 {
        SAMPLES_A_PERIOD * self.cut_off
    }
}

/// Length of a vector.
fn length(f: [f64; 3]) -> f64 {
    f.iter().map(|v| v * v).sum::<f64>().sqrt()
}

impl Default for Options {
    fn default() -> Self {
        Self {
            cut_off: CUT_OFF,
            dwell: DWELL,
        }
    }
}
