//! Leg travel: how far the hips can sink with the grips held, and the drop height that the legs take up on the way.
//!
//! The hips go down in steps as far as postures are found; a bisection then closes in on the last one that is. A [`Pace`]
//! says how long the steps are and how far the bisection goes.
//! A fall from height h that is stopped over the sink s by the forces F(z) of the legs satisfies
//! m·g·(h + s) = ∫ F dz, so h = ∫ (F/(m·g) − 1) dz. F is what the pose can hold against a straight drop, capped:
//! straight legs hold without bound in a model of moments alone (their knee has no lever), a body does not.

use super::outcome::Travel;
use crate::stance::Pose;

/// How closely a path is followed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pace {
    /// Longest step, mm.
    step: f64,
    /// Least step of the bisection at the end, mm.
    end: f64,
    /// A sink near which the path mostly ends, mm.
    deepest: Option<f64>,
}

impl Pace {
    /// For what is shown: joint strengths change by about 1 % over a step (our choice).
    pub const SHOWN: Self = Self {
        step: 10.0,
        end: 0.05,
        deepest: None,
    };

    /// For what is only compared or counted, where the deepest posture is known from the objective: half a millimetre is
    /// not felt, and of bands of drops it moved no end by more than 5 mm in 500 (our choice).
    pub const fn quick(deepest: f64) -> Self {
        Self {
            step: 40.0,
            end: 0.4,
            deepest: Some(deepest),
        }
    }
}

/// Step beyond the deepest posture known, mm; our choice.
const BEYOND: f64 = 4.0;

/// Longest sink looked for, mm: more than any leg is long.
const LONGEST: f64 = 1500.0;

/// Cap on the force of the legs, in body weights (our choice: recreational landings from 0.32 m peak at 4.2 body
/// weights, McNitt-Gray 1991, from memory).
pub const FORCE_CAP: f64 = 4.0;

/// Follows the path of sinking hips.
///
/// `sink` gives the posture at a sink in mm below the start, or what stops it, in words; `capacity` the specific force
/// in g along z that a pose can hold (below 1 it does not carry the rider and takes up nothing).
pub fn leg_travel(
    mut sink: impl FnMut(f64) -> Result<Pose, String>,
    mut capacity: impl FnMut(&Pose) -> f64,
    force_cap: f64,
    pace: Pace,
) -> Travel {
    let mut taken_up = |pose: &Pose| {
        let held = capacity(pose);
        if held > 1.0 {
            held.min(force_cap) - 1.0
        } else {
            0.0
        }
    };
    let mut travel = Travel {
        leg_travel: 0.0,
        drop: 0.0,
        stops_at: String::new(),
    };
    let mut here = match sink(0.0) {
        Ok(pose) => taken_up(&pose),
        Err(stops_at) => return Travel { stops_at, ..travel },
    };
    let mut step = pace.step;
    while step > pace.end && travel.leg_travel < LONGEST {
        if let (true, Some(deepest)) = (travel.stops_at.is_empty(), pace.deepest) {
            step = (deepest - travel.leg_travel).clamp(BEYOND, pace.step);
        }
        match sink(travel.leg_travel + step) {
            Ok(pose) => {
                let next = taken_up(&pose);
                travel.drop += step * (here + next) / 2.0;
                travel.leg_travel += step;
                here = next;
            }
            Err(stops_at) => travel.stops_at = stops_at,
        }
        // Once something stops the path, each further step is half as long.
        if !travel.stops_at.is_empty() {
            step /= 2.0;
        }
    }
    if travel.stops_at.is_empty() {
        travel.stops_at = "nothing within reach".to_owned();
    }
    travel
}
