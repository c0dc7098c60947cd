//! What contenders cost a rider, foretold from the few that were looked at.
//!
//! From rider to rider the values of combinations rise and fall together: of 184 that can win on one demo sled, ten
//! directions leave 0.005 of a spread of 0.6. So for some riders every contender is looked at; mean and covariance of
//! those values make a normal law, and for every later rider the law is conditioned on each look: next is looked at
//! whoever could be lowest, until nobody left is likely to lie below the best.
//!
//! The covariance of m samples has a rank of m − 1, and what it cannot say is estimated by leaving each sample out: the
//! distance of a sample from the flat through all others, contender by contender, goes onto the diagonal. (Conditioning a
//! normal law: Rasmussen and Williams 2006, Gaussian Processes for Machine Learning, eq. A.6.)

use nalgebra::{DMatrix, DVector};

use super::objective::Evaluation;

/// Standard deviations below its mean at which a contender must still lie above the best not to be looked at. Our
/// choice.
const DEVIATIONS: f64 = 3.0;

/// A sample's values are cut off so far above its least: what can never win need not be told apart. Our choice.
const CUT: f64 = 3.0;

/// What the law cannot say is at the least so much: the values that it is made of are off by a quarter of it at the
/// median. Our choice.
const LEAST_DOUBT: f64 = 2e-3;

/// A look at a contender that breaks limits by more than this (degrees, or 5 mm) tells nothing of the others. Our
/// choice.
const TELLS: f64 = 0.5;

/// Share of the trace by which the samples' products are kept regular. Our choice.
const REGULAR: f64 = 1e-9;

/// A normal law of the contenders' values.
#[derive(Clone, Debug)]
pub(super) struct Law {
    mean: DVector<f64>,
    covariance: DMatrix<f64>,
}

/// What is believed of one rider after some looks.
pub(super) struct Belief {
    law: Law,
    seen: Vec<bool>,
}

impl Law {
    /// The law of samples, each with the values of all contenders, without the price of broken limits; `None` where
    /// they are all the same.
    pub(super) fn of(samples: &[&[f64]]) -> Option<Self> {
        let count = samples.len();
        let cut = |sample: &&[f64]| {
            let most = sample.iter().copied().fold(f64::INFINITY, f64::min) + CUT;
            DVector::from_iterator(sample.len(), sample.iter().map(|v| v.min(most)))
        };
        let mut columns: Vec<DVector<f64>> = samples.iter().map(cut).collect();
        let mean = columns.iter().sum::<DVector<f64>>() / count as f64;
        for column in &mut columns {
            *column -= &mean;
        }
        let off = DMatrix::from_columns(&columns);
        let products = off.tr_mul(&off);
        let trace = products.trace();
        // A further coordinate, the same for all and large, keeps the shares of the others at a sum of one.
        let far = DMatrix::from_element(count, count, 10.0 * trace / count as f64);
        let regular = DMatrix::from_diagonal_element(count, count, REGULAR * trace);
        let inverse = (products + far + regular).cholesky()?.inverse();
        let mut apart = &off * &inverse;
        for (k, mut column) in apart.column_iter_mut().enumerate() {
            column /= inverse[(k, k)];
        }
        let mut covariance = &off * off.transpose() / (count as f64 - 1.0);
        for (i, row) in apart.row_iter().enumerate() {
            let doubt = row.norm_squared() / count as f64;
            covariance[(i, i)] += doubt.max(LEAST_DOUBT * LEAST_DOUBT);
        }
        Some(Self { mean, covariance })
    }

    /// What is believed before any look.
    pub(super) fn belief(&self) -> Belief {
        Belief {
            law: self.clone(),
            seen: vec![false; self.mean.len()],
        }
    }
}

impl Belief {
    /// Who is looked at next: the lowest that is plausible, if below the best.
    pub(super) fn next(&self, best: f64) -> Option<usize> {
        let Law { mean, covariance } = &self.law;
        (0..mean.len())
            .filter(|i| !self.seen[*i])
            .map(|i| (i, mean[i] - DEVIATIONS * covariance[(i, i)].max(0.0).sqrt()))
            .filter(|(_, low)| *low < best)
            .min_by(|a, b| a.1.total_cmp(&b.1))
            .map(|(i, _)| i)
    }

    /// Takes in a look.
    pub(super) fn see(&mut self, contender: usize, found: &Evaluation) {
        self.seen[contender] = true;
        let Law { mean, covariance } = &mut self.law;
        let variance = covariance[(contender, contender)];
        if found.broken > TELLS || variance <= 0.0 {
            return;
        }
        let column = covariance.column(contender).into_owned();
        let off = found.unpriced() - mean[contender];
        mean.axpy(off / variance, &column, 1.0);
        covariance.ger(-1.0 / variance, &column, &column, 1.0);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sled::Settings;
    use crate::units::Angle;

    /// Values of eight contenders that vary in two directions, and a little each by itself.
    fn values(rider: u32) -> Vec<f64> {
        let noise = |k: f64| libm::sin(k * 12.9898 + 1.0) * 43758.5453 % 1.0;
        let (a, b) = (noise(f64::from(rider)), noise(f64::from(rider) + 0.5));
        (0..8)
            .map(|i| {
                let i = f64::from(i);
                1.0 + 0.1 * i
                    + a * libm::cos(i)
                    + 0.5 * b * libm::sin(2.0 * i)
                    + 1e-3 * noise(f64::from(rider) * 10.0 + i)
            })
            .collect()
    }

    fn evaluation(value: f64, broken: f64) -> Evaluation {
        let settings = Settings {
            riser: 0,
            clamp: 0,
            bar: 0,
            seat: 0,
            stirrup: 0.0,
            riser_angle: Angle::ZERO,
            bar_roll: Angle::ZERO,
        };
        let mut found = Evaluation::guessed(settings, value, core::iter::empty());
        found.broken = broken;
        found
    }

    fn learned() -> Law {
        let samples: Vec<Vec<f64>> = (0..10).map(values).collect();
        let samples: Vec<&[f64]> = samples.iter().map(Vec::as_slice).collect();
        Law::of(&samples).expect("samples differ")
    }

    #[test]
    fn two_looks_tell_what_varies_in_two_directions() {
        let law = learned();
        for rider in 10..30 {
            let truth = values(rider);
            let mut belief = law.belief();
            belief.see(0, &evaluation(truth[0], 0.0));
            belief.see(3, &evaluation(truth[3], 0.0));
            for (i, value) in truth.iter().enumerate() {
                let off = (belief.law.mean[i] - value).abs();
                let sd = belief.law.covariance[(i, i)].max(0.0).sqrt();
                assert!(off < 0.05, "rider {rider}, {i}: off by {off}");
                assert!(
                    off < 4.0 * sd + 1e-9,
                    "rider {rider}, {i}: off by {off}, sd {sd}"
                );
            }
        }
    }

    #[test]
    fn the_lowest_is_found_with_fewer_looks() {
        let law = learned();
        let mut looks = 0;
        for rider in 10..60 {
            let truth = values(rider);
            let mut belief = law.belief();
            let mut best = f64::INFINITY;
            while let Some(i) = belief.next(best) {
                looks += 1;
                best = best.min(truth[i]);
                belief.see(i, &evaluation(truth[i], 0.0));
            }
            let least = truth.iter().copied().fold(f64::INFINITY, f64::min);
            assert!(
                (best - least).abs() < 1e-12,
                "rider {rider}: {best} for {least}"
            );
        }
        assert!(looks < 50 * 5, "{looks} looks");
    }

    #[test]
    fn what_breaks_limits_tells_nothing_of_the_others() {
        let mut belief = learned().belief();
        let before = belief.law.mean.clone();
        belief.see(2, &evaluation(150.0, 1.4));
        assert_eq!(belief.law.mean, before);
        assert!(belief.seen[2]);
    }

    #[test]
    fn samples_that_are_all_the_same_make_no_law() {
        let sample = values(1);
        assert!(Law::of(&[&sample, &sample, &sample]).is_none());
    }
}
