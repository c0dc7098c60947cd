//! A run against the envelopes of one plane: time by load, time outside, and the hardest moments.
//!
//! An event is an unbroken span outside every envelope that is given, at least as long as asked for. Events closer than
//! [`APART`] are one moment; the ten that reach farthest outside are kept, each by its hardest sample.

use super::columns::Role;
use super::density::Density;
use super::reader::More;
use super::region::{Region, best};
use super::{APART, MOST_MOMENTS};
use crate::order;

/// A moment outside.
#[derive(Clone, Debug, PartialEq)]
pub struct Moment {
    /// When it was hardest, s from the run's start, with the filter's delay taken off.
    pub at: f64,
    /// Line of the file with that sample.
    pub line: u64,
    /// How long the load was outside, s.
    pub lasts: f64,
    /// The hardest load, in the plane's two axes, g.
    pub f: [f64; 2],
    /// The whole of it: (f_x, f_y, f_z), f_y being 0 where there is no lateral channel.
    pub whole: [f64; 3],
    /// How far outside, g.
    pub excess: f64,
    /// The stance that holds it best.
    pub stance: String,
    /// What gives.
    pub gives_first: String,
    /// Length of the flight that it ends, s; nothing where it is no landing.
    pub flight: Option<f64>,
    /// Speed, m/s.
    pub speed: Option<f64>,
    /// Throttle, % or bar.
    pub throttle: Option<f64>,
    /// Brake, % or bar.
    pub brake: Option<f64>,
    /// Lap, from 0 in the order of the laps.
    pub lap: usize,
    /// East and north of the first position, m.
    pub place: Option<[f64; 2]>,
}

/// Time outside over one limit.
#[derive(Clone, Debug, PartialEq)]
pub struct Cause {
    /// What gives.
    pub gives_first: String,
    /// How long, s.
    pub seconds: f64,
}

/// What a run did against the envelopes of one plane.
#[derive(Clone, Debug, PartialEq)]
pub struct Judged {
    /// Time by load.
    pub density: Density,
    /// Time outside, s.
    pub outside: f64,
    /// The same by what gives, longest first.
    pub causes: Vec<Cause>,
    /// Events at least as long as asked for.
    pub events: u64,
    /// Events that were shorter.
    pub brief: u64,
    /// Time that the reading before the low-pass was outside and the load after it was not, s.
    pub spikes: f64,
    /// The hardest moments, hardest first.
    pub moments: Vec<Moment>,
}

/// A sample with its load and the time that it stands for.
#[derive(Clone, Copy, Debug)]
pub(super) struct Load {
    pub t: f64,
    pub seconds: f64,
    /// Behind the low-pass, g.
    pub f: [f64; 3],
    /// Before it, g.
    pub raw: [f64; 3],
    pub line: u64,
    pub more: More,
    pub lap: usize,
    pub place: Option<[f64; 2]>,
}

/// Judges samples as they come.
#[derive(Clone, Debug)]
pub(super) struct Judge {
    regions: Vec<Region>,
    /// The two axes of the plane.
    axes: [usize; 2],
    dwell: f64,
    delay: f64,
    density: Density,
    outside: f64,
    /// Time outside by region and edge, s.
    over: Vec<Vec<f64>>,
    events: u64,
    brief: u64,
    spikes: f64,
    open: Option<Span>,
    last: Option<Span>,
    hardest: Vec<Span>,
}

/// A span outside, with its hardest sample.
#[derive(Clone, Copy, Debug)]
struct Span {
    starts: f64,
    ends: f64,
    /// Time outside in it, s.
    seconds: f64,
    peak: Load,
    excess: f64,
    region: usize,
    edge: usize,
    flight: Option<f64>,
}

/// Centre of the map in the plane, g: most of a run lies around 1 g up, landings higher.
const CENTRE: [f64; 2] = [0.0, 2.0];

impl Judge {
    /// In the plane of two axes; times of moments are given without the filter's delay, s.
    pub fn new(regions: Vec<Region>, axes: [usize; 2], dwell: f64, delay: f64) -> Self {
        Self {
            over: regions.iter().map(|r| vec![0.0; r.sides()]).collect(),
            regions,
            axes,
            dwell,
            delay,
            density: Density::new(CENTRE),
            outside: 0.0,
            events: 0,
            brief: 0,
            spikes: 0.0,
            open: None,
            last: None,
            hardest: Vec::new(),
        }
    }

    /// Takes a sample in, with the length of the flight that it follows closely. Says whether it is outside.
    pub fn see(&mut self, load: &Load, flight: Option<f64>) -> bool {
        let f = self.axes.map(|axis| load.f[axis]);
        self.density.add(f, load.seconds);
        let Some((region, excess, edge)) = best(&self.regions, f) else {
            return false;
        };
        if excess <= 0.0 {
            let raw = self.axes.map(|axis| load.raw[axis]);
            if best(&self.regions, raw).is_some_and(|(_, by, _)| by > 0.0) {
                self.spikes += load.seconds;
            }
            self.end_event();
            return false;
        }
        self.outside += load.seconds;
        self.over[region][edge] += load.seconds;
        let span = self.open.get_or_insert(Span {
            starts: load.t,
            ends: load.t,
            seconds: 0.0,
            peak: *load,
            excess,
            region,
            edge,
            flight,
        });
        span.ends = load.t;
        span.seconds += load.seconds;
        if excess > span.excess {
            (span.peak, span.excess, span.region, span.edge) = (*load, excess, region, edge);
        }
        true
    }

    /// Ends the event that is open.
    pub fn end_event(&mut self) {
        let Some(span) = self.open.take() else {
            return;
        };
        // A sum of steps may fall short of a whole number of them by its last bits.
        if span.seconds < self.dwell - 1e-9 {
            self.brief += 1;
            return;
        }
        self.events += 1;
        match &mut self.last {
            Some(last) if span.starts - last.ends <= APART => {
                let joined = Span {
                    starts: last.starts,
                    seconds: last.seconds + span.seconds,
                    flight: last.flight.or(span.flight),
                    ends: span.ends,
                    ..if span.excess > last.excess {
                        span
                    } else {
                        *last
                    }
                };
                *last = joined;
            }
            _ => {
                self.end_moment();
                self.last = Some(span);
            }
        }
    }

    fn end_moment(&mut self) {
        let Some(span) = self.last.take() else {
            return;
        };
        // Of two alike the earlier stays ahead.
        let place = self.hardest.partition_point(|s| s.excess >= span.excess);
        if place < MOST_MOMENTS {
            self.hardest.truncate(MOST_MOMENTS - 1);
            self.hardest.insert(place, span);
        }
    }

    /// The answer.
    pub fn finish(mut self) -> Judged {
        self.end_event();
        self.end_moment();
        let mut causes: Vec<Cause> = Vec::new();
        for (region, over) in self.regions.iter().zip(&self.over) {
            for (edge, seconds) in over.iter().enumerate().filter(|(_, s)| **s > 0.0) {
                let gives = region.gives(edge);
                match causes.iter_mut().find(|c| c.gives_first == gives) {
                    Some(cause) => cause.seconds += seconds,
                    None => causes.push(Cause {
                        gives_first: gives.to_owned(),
                        seconds: *seconds,
                    }),
                }
            }
        }
        order::sort(&mut causes, |a, b| b.seconds.total_cmp(&a.seconds));
        let moments = self.hardest.iter().map(|span| self.moment(span)).collect();
        Judged {
            density: self.density,
            outside: self.outside,
            causes,
            events: self.events,
            brief: self.brief,
            spikes: self.spikes,
            moments,
        }
    }

    fn moment(&self, span: &Span) -> Moment {
        let (peak, region) = (&span.peak, &self.regions[span.region]);
        Moment {
            at: (peak.t - self.delay).max(0.0),
            line: peak.line,
            lasts: span.seconds,
            f: self.axes.map(|axis| peak.f[axis]),
            whole: peak.f,
            excess: span.excess,
            stance: region.name.clone(),
            gives_first: region.gives(span.edge).to_owned(),
            flight: span.flight,
            speed: peak.more.of(Role::Speed),
            throttle: peak.more.of(Role::Throttle),
            brake: peak.more.of(Role::Brake),
            lap: peak.lap,
            place: peak.place,
        }
    }
}
