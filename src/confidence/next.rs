//! What to measure next: the measurement not yet taken that narrows the settings' bands most.
//!
//! With x = x̄ + L z the drawn bodies and s a setting of their re-fits, c is the regression of s on z over the draws
//! (ridge, z being standard normal), so cov(s, x_m) = (L c)_m. A tape with variance τ² that takes measurement m leaves
//! the share 1 − cov²/(var s · (Σ_mm + τ²)) of the variance of s, as the conditional normal does; the band's width
//! shrinks with the root of it. Regressing on all of z, not on one measurement alone, keeps the rest of the body out of
//! the covariance's error, which would be 1/√n otherwise.
//!
//! Settings that jump from part to part are left out, and so are bands narrower than what can be set.

use nalgebra::{DMatrix, DVector};

use super::percentile::Band;
use super::{Setting, Standard};
use crate::rider::{Estimate, Measurement};

/// Ridge of the regression: the prior of c has this share of the residual's variance inverted; 1 shrinks by 1/n. Our
/// choice.
const RIDGE: f64 = 1.0;

/// What narrows less than this share of the band is not worth the tape. Our choice.
const LEAST: f64 = 0.02;

/// Draws below which nothing is said about measuring: as many again as there are measurements.
pub const fn fewest_draws() -> usize {
    2 * Measurement::COUNT
}

/// One measurement, and what taking it would give.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MeasureNext {
    /// Which.
    pub measurement: Measurement,
    /// By which share of its width the band narrows, 0 to 1.
    pub narrows: f64,
    /// The setting whose band narrows most.
    pub setting: Setting,
    /// Width of its anthropometric band now, in the setting's unit.
    pub from: f64,
    /// Expected width with the measurement taken.
    pub to: f64,
}

/// Every measurement not yet taken that narrows something, best first.
pub(super) fn measure_next(
    estimate: &Estimate,
    bodies: &[Standard],
    settings: &[Option<[f64; Setting::ALL.len()]>],
) -> Vec<MeasureNext> {
    let drawn: Vec<(&Standard, &[f64; Setting::ALL.len()])> = bodies
        .iter()
        .zip(settings)
        .filter_map(|(z, s)| Some((z, s.as_ref()?)))
        .collect();
    if drawn.len() < fewest_draws() {
        return Vec::new();
    }
    let root = root(estimate);
    let mut best: Vec<MeasureNext> = Vec::new();
    for (i, setting) in Setting::ALL.into_iter().enumerate() {
        let band = Band::of(drawn.iter().map(|(_, s)| s[i]).collect());
        let (Some(worth), Some(from)) = (setting.worth(), band.width()) else {
            continue;
        };
        if from < worth {
            continue;
        }
        let Some((slopes, variance)) = regression(&drawn, i) else {
            continue;
        };
        let covariances = &root * slopes;
        for measurement in Measurement::ALL {
            if estimate.given(measurement) {
                continue;
            }
            let (sd, tape) = (estimate.sd(measurement), measurement.tape_sd());
            let covariance = covariances[measurement.index()];
            let taken = covariance * covariance / (variance * (sd * sd + tape * tape));
            let left = (1.0 - taken).clamp(0.0, 1.0).sqrt();
            let found = MeasureNext {
                measurement,
                narrows: 1.0 - left,
                setting,
                from,
                to: from * left,
            };
            match best.iter_mut().find(|b| b.measurement == measurement) {
                Some(known) if known.narrows < found.narrows => *known = found,
                Some(_) => {}
                None => best.push(found),
            }
        }
    }
    best.retain(|b| b.narrows >= LEAST);
    best.sort_by(|a, b| b.narrows.total_cmp(&a.narrows));
    best
}

/// L, from bodies one step along each number.
fn root(estimate: &Estimate) -> DMatrix<f64> {
    let mut root = DMatrix::zeros(Measurement::COUNT, Measurement::COUNT);
    for k in 0..Measurement::COUNT {
        let mut z = [0.0; Measurement::COUNT];
        z[k] = 1.0;
        let body = estimate.shifted(&z);
        for measurement in Measurement::ALL {
            root[(measurement.index(), k)] = body.get(measurement) - estimate.mean(measurement);
        }
    }
    root
}

/// Slopes of a setting on z, and its variance; `None` where it does not vary.
fn regression(
    drawn: &[(&Standard, &[f64; Setting::ALL.len()])],
    setting: usize,
) -> Option<(DVector<f64>, f64)> {
    const N: usize = Measurement::COUNT;
    let count = drawn.len() as f64;
    let mean = drawn.iter().map(|(_, s)| s[setting]).sum::<f64>() / count;
    let means: Standard =
        core::array::from_fn(|k| drawn.iter().map(|(z, _)| z[k]).sum::<f64>() / count);
    let mut normal = DMatrix::from_diagonal_element(N, N, RIDGE);
    let mut right = DVector::zeros(N);
    let mut squares = 0.0;
    for (z, s) in drawn {
        let off = s[setting] - mean;
        squares += off * off;
        for i in 0..N {
            let zi = z[i] - means[i];
            right[i] += zi * off;
            for j in 0..N {
                normal[(i, j)] += zi * (z[j] - means[j]);
            }
        }
    }
    let variance = squares / (count - 1.0);
    let slopes = normal.cholesky()?.solve(&right);
    (variance > 0.0 && variance.is_finite()).then_some((slopes, variance))
}
