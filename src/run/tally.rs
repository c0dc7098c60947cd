//! The second reading of a run: where its time went, and its hardest moments.
//!
//! A sample stands for half the time to either neighbour, so that time in the map, in flight and in gaps sum to the
//! run's length. A step longer than [`GAP_STEPS`] usual steps (and [`SHORTEST_GAP`]) is a gap: nothing is known of it, and the
//! filter starts anew behind it. A flight is a span of at least [`SHORTEST_FLIGHT`] in which the specific force stays under
//! [`FLIGHT`]: no contact can be judged there, and it is set apart.

use super::columns::{Channels, Gravity, Role};
use super::filter::{LowPass, Memory};
use super::judge::{Judge, Judged, Load};
use super::opening::Opening;
use super::reader::{Reader, Sample};
use super::region::Region;
use super::survey::Surveyed;
use super::tilt::Tilt;
use super::track::Track;
use super::{FLIGHT, LANDING, Options, SHORTEST_FLIGHT, length};

/// Usual steps that a gap is longer than; our choice.
pub const GAP_STEPS: f64 = 5.0;

/// Least length of a gap, s; our choice: a filter of 10 Hz bridges less.
pub const SHORTEST_GAP: f64 = 0.1;

/// Axes of the side view: forward and up.
const SIDE_VIEW: [usize; 2] = [0, 2];

/// Axes across: to the left, folded onto one side, and up.
const ACROSS: [usize; 2] = [1, 2];

/// How the run's time is made up, s.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Times {
    /// From the first sample to the last.
    pub whole: f64,
    /// On the snow: what the map holds.
    pub ground: f64,
    /// In flight.
    pub flight: f64,
    /// In gaps.
    pub gaps: f64,
    /// Number of flights.
    pub flights: u64,
    /// Number of gaps.
    pub gap_count: u64,
}

/// What the second reading found.
#[derive(Clone, Debug, PartialEq)]
pub struct Tallied {
    /// How the time is made up.
    pub times: Times,
    /// Against the hold envelope.
    pub hold: Judged,
    /// Against what is held sideways, in the plane of (|f_y|, f_z); none where there is no lateral channel.
    pub sideways: Option<Judged>,
    /// Where the sled went.
    pub track: Track,
}

/// Reads a run for the second time, chunk by chunk.
#[derive(Clone, Debug)]
pub struct Tally {
    reader: Reader,
    sorter: Sorter,
}

impl Tally {
    /// For a file that was surveyed, against the envelopes of the stances that are judged: at each instant the one that
    /// holds best counts. `corners` are what they hold sideways, alike to both sides, in the plane of (|f_y|, f_z).
    pub fn new(
        opening: &Opening,
        channels: &Channels,
        surveyed: &Surveyed,
        options: &Options,
        regions: Vec<Region>,
        corners: Vec<Region>,
    ) -> Self {
        let filter = LowPass::new(options.cut_off());
        Self {
            reader: Reader::new(opening, channels),
            sorter: Sorter {
                start: surveyed.span.0,
                gap: (GAP_STEPS * surveyed.step).max(SHORTEST_GAP),
                tilt: surveyed.tilt,
                lift: match channels.gravity {
                    Gravity::Included => 0.0,
                    Gravity::Removed => 1.0,
                },
                judge: Judge::new(regions, SIDE_VIEW, options.dwell(), filter.delay()),
                sideways: channels
                    .has(Role::Lateral)
                    .then(|| Judge::new(corners, ACROSS, options.dwell(), filter.delay())),
                filter,
                memory: [Memory::at(0.0); 3],
                before: None,
                times: Times::default(),
                flight: Flight::default(),
                track: Track::new(channels),
            },
        }
    }

    /// The next chunk, of any size.
    pub fn push(&mut self, bytes: &[u8]) {
        let sorter = &mut self.sorter;
        self.reader.push(bytes, |sample| sorter.see(sample));
    }

    /// The end of the file.
    pub fn finish(mut self) -> Tallied {
        let sorter = &mut self.sorter;
        self.reader.finish(|sample| sorter.see(sample));
        sorter.close();
        let sorter = self.sorter;
        Tallied {
            times: sorter.times,
            hold: sorter.judge.finish(),
            sideways: sorter.sideways.map(Judge::finish),
            track: sorter.track,
        }
    }
}

#[derive(Clone, Debug)]
struct Sorter {
    start: f64,
    gap: f64,
    tilt: Tilt,
    lift: f64,
    filter: LowPass,
    memory: [Memory; 3],
    before: Option<Load>,
    times: Times,
    flight: Flight,
    judge: Judge,
    sideways: Option<Judge>,
    track: Track,
}

impl Sorter {
    fn see(&mut self, sample: &Sample) {
        let mut raw = self.tilt.level(sample.f);
        raw[2] += self.lift;
        let t = sample.t - self.start;
        let step = self.before.map(|before| t - before.t);
        let mut half = 0.0;
        match step {
            Some(step) if step <= self.gap => {
                self.filter.advance(step, &mut self.memory, &raw);
                half = 0.5 * step;
                if let Some(before) = &mut self.before {
                    before.seconds += half;
                }
                self.commit();
            }
            _ => {
                self.close();
                if let Some(step) = step {
                    self.times.gaps += step;
                    self.times.gap_count += 1;
                }
                self.memory = raw.map(Memory::at);
            }
        }
        self.times.whole = t;
        let place = self.track.see(t, &sample.more);
        self.before = Some(Load {
            t,
            seconds: half,
            f: self.memory.map(|m| m.output),
            raw,
            line: sample.line,
            more: sample.more,
            lap: self.track.lap(),
            place,
        });
    }

    /// Ends what was open at a gap or at the end.
    fn close(&mut self) {
        self.commit();
        self.land();
        self.flight.ended = None;
        self.end_events();
    }

    fn end_events(&mut self) {
        self.judge.end_event();
        if let Some(sideways) = &mut self.sideways {
            sideways.end_event();
        }
    }

    /// Sorts the last sample, whose time is whole now.
    fn commit(&mut self) {
        let Some(load) = self.before.take() else {
            return;
        };
        if length(load.f) >= FLIGHT {
            self.land();
            self.on_ground(&load);
            return;
        }
        let flight = &mut self.flight;
        flight.seconds += load.seconds;
        flight.last = load.t;
        if flight.flies {
            self.times.flight += load.seconds;
            return;
        }
        flight.pending.push(load);
        if flight.seconds >= SHORTEST_FLIGHT {
            flight.flies = true;
            flight.pending.clear();
            self.times.flights += 1;
            self.times.flight += flight.seconds;
            self.end_events();
        }
    }

    /// Ends a flight; what was too short to be one was on the ground.
    fn land(&mut self) {
        let mut pending = core::mem::take(&mut self.flight.pending);
        for load in pending.drain(..) {
            self.on_ground(&load);
        }
        let flight = &mut self.flight;
        if flight.flies {
            flight.ended = Some((flight.last, flight.seconds));
        }
        flight.pending = pending;
        flight.flies = false;
        flight.seconds = 0.0;
    }

    fn on_ground(&mut self, load: &Load) {
        self.times.ground += load.seconds;
        let landed = self.flight.ended.filter(|(t, _)| load.t - t <= LANDING);
        if let Some(sideways) = &mut self.sideways {
            let mut folded = *load;
            folded.f[1] = folded.f[1].abs();
            folded.raw[1] = folded.raw[1].abs();
            sideways.see(&folded, landed.map(|(_, seconds)| seconds));
        }
        if self.judge.see(load, landed.map(|(_, seconds)| seconds)) {
            self.track.outside(load.lap, load.seconds);
        }
    }
}

/// A span of low specific force that may become a flight.
#[derive(Clone, Debug, Default)]
struct Flight {
    pending: Vec<Load>,
    seconds: f64,
    flies: bool,
    /// Time of its last sample.
    last: f64,
    /// When the flight before ended and how long it was.
    ended: Option<(f64, f64)>,
}
