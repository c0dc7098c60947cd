//! What to measure next: the measurement not yet taken that narrows the settings' bands most.
//!
//! In two rounds. First a forecast over all measurements, from the draws alone: with x = x̄ + L z the drawn bodies and s a
//! setting of their re-fits, c is the regression of s on z (ridge, z being standard normal), so cov(s, x_m) = (L c)_m, and a
//! tape with variance τ² takes the share cov²/(var s · (Σ_mm + τ²)) of the variance of s. Regressing on all of z, not on one
//! measurement alone, keeps the rest of the body out of the covariance's error, which would be 1/√n otherwise.
//!
//! The forecast says how the *variance* of a setting shrinks, and settings are not normal: bounded by their ranges, with a
//! hump for every riser. So the few most promising measurements are tried: every drawn body is moved to where it would be
//! drawn had the measurement been taken ([`Estimate::had_taken`]) and fitted again, over the combinations of parts that came
//! close for the body before it moved, and what is said is how much narrower the band of these re-fits is than that of the
//! same bodies before. Measuring it really then narrows by as much (`tests/confidence.rs`); the forecast alone promised
//! up to twice the narrowing.
//!
//! Settings that jump from part to part are left out, and so are bands narrower than what can be set.

use nalgebra::{DMatrix, DVector};

use super::percentile::Band;
use super::{Setting, Standard, values};
use crate::order;
use crate::rider::{Estimate, Measurement};
use crate::sled::{Settings, Sled};

/// Ridge of the regression: the prior of c has this share of the residual's variance inverted; 1 shrinks by 1/n. Our
/// choice.
const RIDGE: f64 = 1.0;

/// What narrows less than this share of the band is not worth the tape. Our choice.
const LEAST: f64 = 0.02;

/// Measurements that are tried; each costs a re-fit of every body. Our choice: as many as are named at once.
pub(super) const TRIALS: usize = 3;

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

/// A measurement, and how the drawn bodies are fitted were it taken; `None` where nothing fits.
#[derive(Clone, Debug)]
pub(super) struct Trial {
    pub(super) measurement: Measurement,
    pub(super) settings: Vec<Option<Settings>>,
}

impl Trial {
    pub(super) fn new(measurement: Measurement) -> Self {
        Self {
            measurement,
            settings: Vec::new(),
        }
    }
}

/// Settings that can narrow, and the width of their bands over the draws.
fn widths(drawn: &[Option<[f64; Setting::ALL.len()]>]) -> Vec<Option<f64>> {
    let width = |(i, setting): (usize, &Setting)| {
        setting.worth()?;
        Band::of(drawn.iter().flatten().map(|s| s[i]).collect()).width()
    };
    Setting::ALL.iter().enumerate().map(width).collect()
}

/// Every measurement that was tried on all bodies and narrows something, best first.
pub(super) fn measure_next(
    sled: &Sled,
    settings: &[Option<Settings>],
    trials: &[Trial],
) -> Vec<MeasureNext> {
    let before = widths(&values(sled, settings));
    let tried = trials.iter().filter(|t| t.settings.len() == settings.len());
    let mut best: Vec<MeasureNext> = tried
        .filter_map(|trial| {
            let after = widths(&values(sled, &trial.settings));
            Setting::ALL
                .into_iter()
                .zip(before.iter().zip(after))
                .filter_map(|(setting, (from, to))| {
                    let (from, to) = ((*from)?, to?);
                    (from >= setting.worth()?).then_some(MeasureNext {
                        measurement: trial.measurement,
                        narrows: 1.0 - to / from,
                        setting,
                        from,
                        to,
                    })
                })
                .max_by(|a, b| a.narrows.total_cmp(&b.narrows))
        })
        .collect();
    best.retain(|b| b.narrows >= LEAST);
    order::sort(&mut best, |a, b| b.narrows.total_cmp(&a.narrows));
    best
}

/// The measurements that by the forecast narrow a band most, best first.
pub(super) fn promising(
    estimate: &Estimate,
    bodies: &[Standard],
    settings: &[Option<[f64; Setting::ALL.len()]>],
) -> Vec<Measurement> {
    let drawn: Vec<(&Standard, &[f64; Setting::ALL.len()])> = bodies
        .iter()
        .zip(settings)
        .filter_map(|(z, s)| Some((z, s.as_ref()?)))
        .collect();
    if drawn.len() < fewest_draws() {
        return Vec::new();
    }
    let root = root(estimate);
    let mut shares = [0.0_f64; Measurement::COUNT];
    for (i, (setting, width)) in Setting::ALL.into_iter().zip(widths(settings)).enumerate() {
        let (Some(worth), Some(width)) = (setting.worth(), width) else {
            continue;
        };
        if width < worth {
            continue;
        }
        let Some((slopes, variance)) = regression(&drawn, i) else {
            continue;
        };
        let covariances = &root * slopes;
        for measurement in Measurement::ALL {
            let (sd, tape) = (estimate.sd(measurement), measurement.tape_sd());
            let covariance = covariances[measurement.index()];
            let taken = covariance * covariance / (variance * (sd * sd + tape * tape));
            let share = &mut shares[measurement.index()];
            *share = share.max(taken);
        }
    }
    let mut open: Vec<Measurement> = Measurement::ALL
        .into_iter()
        .filter(|m| !estimate.given(*m) && shares[m.index()] > 0.0)
        .collect();
    order::sort(&mut open, |a, b| {
        shares[b.index()].total_cmp(&shares[a.index()])
    });
    open.truncate(TRIALS);
    open
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
