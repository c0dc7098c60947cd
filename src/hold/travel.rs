//! Leg travel: how far the hips can sink with the grips held, and the drop height that the legs take up on the way.
//!
//! The hips go down in steps as far as postures are found; a bisection then closes in on the last one that is.
//! A fall from height h that is stopped over the sink s by the forces F(z) of the legs satisfies
//! m·g·(h + s) = ∫ F dz, so h = ∫ (F/(m·g) − 1) dz. F is what the pose can hold against a straight drop, capped:
//! straight legs hold without bound in a model of moments alone (their knee has no lever), a body does not.

use super::outcome::Travel;
use crate::stance::Pose;

/// Step of the sink, mm: joint strengths change by about 1 % over it (our choice).
const STEP: f64 = 10.0;

/// Precision of the end of the path, mm.
const END: f64 = 0.1;

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
    let mut step = STEP;
    while step > END / 2.0 && travel.leg_travel < LONGEST {
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
