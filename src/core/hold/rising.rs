//! Standing up: the way from the seat to a standing stance, and the least time that it takes.
//!
//! The centre of mass rises along the way; at each pose the legs, with the hands' help, can push it up by what the pose
//! holds against a straight drop, capped ([`FORCE_CAP`]), and gravity alone slows it: boots cannot pull. The quickest rise
//! speeds up as long as it can still be stopped at the end (time-optimal motion along a given path: Bobrow, Dubowsky and
//! Gibson 1985, Int. J. Robot. Res. 4:3). Movement fore and aft is taken along for nothing, and muscles are as strong
//! while they shorten as while they hold: the true time is longer, and the *difference* between two set-ups is what counts.

use crate::stance::Pose;
use crate::units::{MM_PER_M, STANDARD_GRAVITY};

/// Standing up from the seat.
#[derive(Clone, Debug, PartialEq)]
pub struct Rising {
    /// The hips' way as (x, z), mm.
    pub hips: Vec<(f64, f64)>,
    /// Length of that way, mm.
    pub hip_travel: f64,
    /// How far the centre of mass rises, mm.
    pub rise: f64,
    /// Least specific force that is held along the way, g; below 1 the rider does not get up there.
    pub weakest: f64,
    /// Where on the way that is, 0 at the seat and 1 standing.
    pub weakest_at: f64,
    /// The least time, s; `None` where the rider does not get up.
    pub time: Option<f64>,
}

/// Follows poses from the seat to standing, evenly spaced; `capacity` is the specific force in g along z that a pose can
/// hold. `None` for fewer than two poses.
pub fn standing_up(
    poses: &[Pose],
    mut capacity: impl FnMut(&Pose) -> f64,
    force_cap: f64,
) -> Option<Rising> {
    let last = poses.len().checked_sub(1).filter(|last| *last > 0)?;
    let held: Vec<f64> = poses
        .iter()
        .map(|pose| capacity(pose).min(force_cap))
        .collect();
    let hips: Vec<(f64, f64)> = poses
        .iter()
        .map(|pose| (pose.points.hip.x, pose.points.hip.z))
        .collect();
    let hip_travel = hips
        .windows(2)
        .map(|w| libm::hypot(w[1].0 - w[0].0, w[1].1 - w[0].1))
        .sum();
    // Only rises count: what sinks on the way is given back.
    let mut highest = poses[0].com.z;
    let rises: Vec<f64> = poses[1..]
        .iter()
        .map(|pose| {
            let rise = (pose.com.z - highest).max(0.0);
            highest += rise;
            rise / MM_PER_M
        })
        .collect();
    let (weakest_at, weakest) = held
        .iter()
        .enumerate()
        .map(|(k, held)| (k as f64 / last as f64, *held))
        .min_by(|a, b| a.1.total_cmp(&b.1))?;
    Some(Rising {
        hips,
        hip_travel,
        rise: MM_PER_M * rises.iter().sum::<f64>(),
        weakest,
        weakest_at,
        time: (weakest >= 1.0)
            .then(|| least_time(&rises, &held))
            .flatten(),
    })
}

/// The least time over rises (m) between poses that hold so much (g); `None` where a stretch cannot be begun.
fn least_time(rises: &[f64], held: &[f64]) -> Option<f64> {
    // Half the square of the speed at each pose: by pushing from the start, and by stopping at the end.
    let mut pushed = vec![0.0; held.len()];
    for (k, rise) in rises.iter().enumerate() {
        let push = 0.5 * (held[k] + held[k + 1]) - 1.0;
        pushed[k + 1] = pushed[k] + push * STANDARD_GRAVITY * rise;
    }
    let mut stopped = vec![0.0; held.len()];
    for (k, rise) in rises.iter().enumerate().rev() {
        stopped[k] = stopped[k + 1] + STANDARD_GRAVITY * rise;
    }
    let speed = |k: usize| (2.0 * pushed[k].min(stopped[k])).sqrt();
    let mut time = 0.0;
    for (k, rise) in rises.iter().enumerate() {
        if *rise > 0.0 {
            let mean = 0.5 * (speed(k) + speed(k + 1));
            if mean <= 0.0 {
                return None;
            }
            time += rise / mean;
        }
    }
    Some(time)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// With a steady push of c g over a height h: speed up by (c − 1) g over h/c, slow down by g over the rest, so that
    /// t = √(2 h c/((c − 1) g)) (uniform acceleration, any textbook).
    #[test]
    fn a_steady_push_takes_the_textbook_time() {
        for (height, push) in [(0.4, 2.0), (0.3, 4.0), (0.25, 1.2)] {
            let steps = 4000;
            let rises = vec![height / f64::from(steps); steps as usize];
            let held = vec![push; steps as usize + 1];
            let found = least_time(&rises, &held).unwrap();
            let known = (2.0 * height * push / ((push - 1.0) * STANDARD_GRAVITY)).sqrt();
            assert!((found / known - 1.0).abs() < 2e-3, "{found} {known}");
        }
        assert_eq!(least_time(&[0.1, 0.1], &[1.0, 1.0, 1.0]), None);
        assert_eq!(least_time(&[], &[1.0]), Some(0.0));
    }
}
