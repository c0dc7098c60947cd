//! Options fitted, measured, and measured again for riders who could be these.

use super::alternative::Alternative;
use crate::change::{Better, Figure, Kind, Measured};
use crate::confidence::{Draw, Sampling};
use crate::fit::{self, Fit, Request};

/// Options that are compared at the most: more do not fit beside each other on a page. Our choice.
pub const MOST: usize = 4;

/// Draws below which no band is told: the first of which the 5th and the 95th percentile lie between two draws.
pub const FEWEST_DRAWS: u32 = 20;

/// Why options cannot be compared.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum CompareError {
    /// Too few or too many of them.
    #[error("options: {count} given; two to {MOST} can be compared")]
    Count {
        /// How many were given.
        count: usize,
    },
    /// Whole set-ups beside single stances.
    #[error(
        "option {with} is one stance and option {without} is a whole set-up; name a stance for every option, or for none"
    )]
    Mixed {
        /// Letter of one that names a stance.
        with: char,
        /// Letter of one that does not.
        without: char,
    },
    /// A stance that an option does not have.
    #[error("option {option} has no stance of that number; it has {count}")]
    NoStance {
        /// Its letter.
        option: char,
        /// How many stances it has.
        count: usize,
    },
}

/// An option, evaluated whole.
pub struct Column<'a> {
    /// What was asked for.
    pub alternative: &'a Alternative,
    /// Its best set-up, or the nearest.
    pub fit: Fit,
    /// Every figure that it is compared by.
    pub figures: Vec<Figure>,
    measured: Measured,
    /// Whose body it is, and whose sled: the place of the first option with the same.
    person: usize,
    sled: usize,
}

/// Options beside each other.
pub struct Comparison<'a> {
    columns: Vec<Column<'a>>,
    sampling: Sampling,
    /// Drawn figures by draw, option and place in [`Column::figures`].
    drawn: Vec<Vec<Vec<f64>>>,
}

impl<'a> Comparison<'a> {
    /// Fits and measures every option. Nobody is drawn yet; whether the full band is asked for does not matter here.
    ///
    /// # Errors
    /// Fewer than two options or more than [`MOST`]; a stance named for some of them alone.
    pub fn new(alternatives: &'a [Alternative], sampling: Sampling) -> Result<Self, CompareError> {
        check(alternatives)?;
        let person = |i: usize| {
            let same = |other: &Alternative| {
                other.built.estimate == alternatives[i].built.estimate
                    && other.who() == alternatives[i].who()
            };
            alternatives.iter().position(same).unwrap_or(i)
        };
        let sled = |i: usize| {
            let same = |other: &Alternative| other.sled.name == alternatives[i].sled.name;
            alternatives.iter().position(same).unwrap_or(i)
        };
        let places: Vec<(usize, usize)> = (0..alternatives.len())
            .map(|i| (person(i), sled(i)))
            .collect();
        let one_aim = places.iter().all(|place| *place == (0, 0))
            && alternatives
                .iter()
                .all(|a| weights(a) == weights(&alternatives[0]));
        let columns = alternatives.iter().zip(places);
        let columns = columns
            .map(|(alternative, (person, sled))| Column::new(alternative, person, sled, one_aim))
            .collect();
        Ok(Self {
            columns,
            sampling,
            drawn: Vec::new(),
        })
    }

    /// The options.
    pub fn columns(&self) -> &[Column<'a>] {
        &self.columns
    }

    /// Draws made so far.
    pub fn done(&self) -> u32 {
        self.drawn.len() as u32
    }

    /// Draws to be made in all.
    pub fn total(&self) -> u32 {
        self.sampling.draws
    }

    /// Where the drawing starts.
    pub fn seed(&self) -> u64 {
        self.sampling.seed
    }

    /// Makes the next draw; false where all were made already.
    pub fn step(&mut self) -> bool {
        let number = self.done();
        if number >= self.total() {
            return false;
        }
        // A stream for each person and each sled; the first ones are those of the bands.
        let streams: Vec<Draw> = (0..self.columns.len() as u64)
            .map(|i| Draw::new(self.sampling.seed.wrapping_add(i), number))
            .collect();
        let drawn = self.columns.iter().map(|column| {
            let own = &streams[column.person];
            let alternative = &column.alternative;
            let rider = alternative.built.rider_at(&own.body, &own.unknowns.error);
            let sled = streams[column.sled].unknowns.sled(&alternative.sled);
            let request = Request {
                rider: &rider,
                sled: &sled,
                options: streams[0].unknowns.options,
                ..alternative.request()
            };
            column.drawn(&request)
        });
        let drawn = drawn.collect();
        self.drawn.push(drawn);
        true
    }

    /// Differences, draw by draw, of a figure of one option from one of the first; both by their places.
    pub(super) fn drawn_differences(
        &self,
        (column, figure): (usize, usize),
        first: usize,
    ) -> Vec<f64> {
        let of_draw = |draw: &Vec<Vec<f64>>| {
            let (a, b) = (draw[0][first], draw[column][figure]);
            // Neither can be had: there is no difference.
            if a == b { 0.0 } else { b - a }
        };
        self.drawn.iter().map(of_draw).collect()
    }
}

fn check(alternatives: &[Alternative]) -> Result<(), CompareError> {
    let count = alternatives.len();
    if !(2..=MOST).contains(&count) {
        return Err(CompareError::Count { count });
    }
    let place = |named: bool| {
        alternatives
            .iter()
            .position(|a| a.stance.is_some() == named)
    };
    if let (Some(with), Some(without)) = (place(true), place(false)) {
        let [with, without] = [with, without].map(super::letter);
        return Err(CompareError::Mixed { with, without });
    }
    let missing = |a: &Alternative| a.stance.is_some_and(|stance| stance >= a.stances.len());
    match alternatives.iter().position(missing) {
        Some(i) => Err(CompareError::NoStance {
            option: super::letter(i),
            count: alternatives[i].stances.len(),
        }),
        None => Ok(()),
    }
}

/// What the objective is weighted by.
fn weights(alternative: &Alternative) -> Vec<(&str, f64)> {
    let stances = alternative.stances.iter();
    stances.map(|s| (s.name.as_str(), s.weight)).collect()
}

impl<'a> Column<'a> {
    fn new(alternative: &'a Alternative, person: usize, sled: usize, one_aim: bool) -> Self {
        let request = alternative.request();
        let mut fit = fit::fit(&request);
        let (brake, throttle) = alternative.levers;
        fit.best = fit::with_levers(&request, fit.best, brake, throttle);
        let measured = Measured::of(&request, &fit.best);
        let meant = |f: &&Figure| {
            // An objective is no measure between people, sleds or weights.
            (f.kind != Kind::Objective || one_aim)
                && (alternative.stance.is_none()
                    || f.stance.is_none()
                    || f.stance == alternative.stance)
        };
        let figures = measured.figures().filter(meant).copied().collect();
        Self {
            alternative,
            fit,
            figures,
            measured,
            person,
            sled,
        }
    }

    /// Its figures under a drawn rider, in the order of [`Column::figures`].
    fn drawn(&self, request: &Request) -> Vec<f64> {
        let again = self.measured.again(request, &self.fit.best.levers);
        let value = |known: &Figure| {
            let same = |f: &&Figure| f.kind == known.kind && f.stance == known.stance;
            let found = again.figures().find(same).and_then(|f| f.value);
            found.unwrap_or(match known.kind.row().better {
                // What cannot be had lies beyond every number, on the bad side.
                Better::Less(_) => f64::INFINITY,
                _ => f64::NEG_INFINITY,
            })
        };
        self.figures.iter().map(value).collect()
    }
}
