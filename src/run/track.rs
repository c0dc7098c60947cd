//! Where the sled went: a thinned line of its positions, and laps.
//!
//! Degrees become metres east and north of the first position on a sphere of the Earth's mean radius; on a track the
//! error is far below a receiver's. Laps come from their channel where there is one. Otherwise a lap ends where the sled
//! comes back to within [`BACK`] of its first position after it was farther than [`AWAY`] from it.

use super::columns::{Channels, Role};
use super::reader::More;
use crate::units::{Angle, ChannelUnit};

/// Mean radius of the Earth, m: (2a + b)/3 of GRS 80 (Moritz 2000, J. Geodesy 74:128; from memory).
pub(super) const EARTH: f64 = 6_371_008.8;

/// Distance from the start under which a lap ends, m; our choice: a receiver's error and a track's width.
pub const BACK: f64 = 15.0;

/// Distance from the start that a lap must reach, m; our choice.
pub const AWAY: f64 = 60.0;

/// Points of the line that are kept at most; our choice: more than a screen shows.
const MOST_POINTS: usize = 2048;

/// Distance between points of the line at first, m; our choice. It doubles when there are too many.
const SPACING: f64 = 1.0;

/// Laps that are kept apart; our choice. What comes later counts to the last.
const MOST_LAPS: usize = 500;

/// A point of the line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TrackPoint {
    /// East and north of the first position, m.
    pub at: [f64; 2],
    /// Lap, from 0 in the order of the laps.
    pub lap: usize,
}

/// A lap.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lap {
    /// Its number: the channel's, or counted from 1.
    pub number: u32,
    /// Time of its first sample, s from the run's start.
    pub starts: f64,
    /// How long it took, s.
    pub lasts: f64,
    /// Time outside the envelope in it, s.
    pub outside: f64,
}

/// Positions and laps as they come.
#[derive(Clone, Debug, PartialEq)]
pub struct Track {
    unit: Option<ChannelUnit>,
    from_channel: bool,
    origin: Option<[f64; 2]>,
    away: bool,
    spacing: f64,
    points: Vec<TrackPoint>,
    laps: Vec<Lap>,
}

impl Track {
    pub(super) fn new(channels: &Channels) -> Self {
        Self {
            unit: channels.unit(Role::Latitude),
            from_channel: channels.has(Role::Lap),
            origin: None,
            away: false,
            spacing: SPACING,
            points: Vec::new(),
            laps: Vec::new(),
        }
    }

    /// Takes a sample in with its time from the run's start, s. Gives the place.
    pub(super) fn see(&mut self, t: f64, more: &More) -> Option<[f64; 2]> {
        let at = self.place(more);
        let number = more.of(Role::Lap).map(|n| n as u32);
        let ends = match (self.laps.last(), number) {
            (None, _) => true,
            (Some(lap), Some(number)) => lap.number != number,
            (Some(_), None) => !self.from_channel && self.is_back(at),
        };
        if ends && self.laps.len() < MOST_LAPS {
            let counted = self.laps.last().map_or(1, |lap| lap.number + 1);
            self.laps.push(Lap {
                number: number.unwrap_or(if self.from_channel { 0 } else { counted }),
                starts: t,
                lasts: 0.0,
                outside: 0.0,
            });
        }
        if let Some(lap) = self.laps.last_mut() {
            lap.lasts = t - lap.starts;
        }
        if let Some(at) = at {
            self.keep(at);
        }
        at
    }

    /// Counts time outside to the present lap.
    pub(super) fn outside(&mut self, lap: usize, seconds: f64) {
        if let Some(lap) = self.laps.get_mut(lap) {
            lap.outside += seconds;
        }
    }

    /// The present lap, from 0.
    pub(super) fn lap(&self) -> usize {
        self.laps.len().saturating_sub(1)
    }

    /// The line.
    pub fn points(&self) -> &[TrackPoint] {
        &self.points
    }

    /// Laps in their order.
    pub fn laps(&self) -> &[Lap] {
        &self.laps
    }

    fn place(&mut self, more: &More) -> Option<[f64; 2]> {
        let read = [more.of(Role::Longitude)?, more.of(Role::Latitude)?];
        let origin = *self.origin.get_or_insert(read);
        let off = [read[0] - origin[0], read[1] - origin[1]];
        Some(if self.unit == Some(ChannelUnit::Degree) {
            let shrink = Angle::from_deg(origin[1]).cos();
            [
                Angle::from_deg(off[0]).rad() * EARTH * shrink,
                Angle::from_deg(off[1]).rad() * EARTH,
            ]
        } else {
            off
        })
    }

    fn is_back(&mut self, at: Option<[f64; 2]>) -> bool {
        let Some([x, y]) = at else { return false };
        let off = (x * x + y * y).sqrt();
        self.away |= off > AWAY;
        let back = self.away && off < BACK;
        self.away &= !back;
        back
    }

    fn keep(&mut self, at: [f64; 2]) {
        let lap = self.lap();
        let near = |p: &TrackPoint| {
            let off = [at[0] - p.at[0], at[1] - p.at[1]];
            p.lap == lap && off[0] * off[0] + off[1] * off[1] < self.spacing * self.spacing
        };
        if self.points.last().is_some_and(near) {
            return;
        }
        self.points.push(TrackPoint { at, lap });
        if self.points.len() > MOST_POINTS {
            let mut place = 0;
            self.points.retain(|_| {
                place += 1;
                place % 2 == 1
            });
            self.spacing *= 2.0;
        }
    }
}
