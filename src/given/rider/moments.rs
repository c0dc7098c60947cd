//! How body measurements vary together: means and covariances by sex, of adults and of youths.

use nalgebra::{DMatrix, DVector};
use thiserror::Error;

use super::measurement::Measurement;
use super::moments_data::{ADULT_FEMALE, ADULT_MALE, YOUTH_FEMALE, YOUTH_MALE};
use super::sex::Sex;

/// Checked-in moments of `M` variables with `L` = M(M + 1)/2 covariances, and the extremes of stature and mass.
pub(super) struct Table<const M: usize, const L: usize> {
    pub(super) stature: (f64, f64),
    pub(super) mass: (f64, f64),
    pub(super) mean: [f64; M],
    pub(super) lower: [f64; L],
}

/// Mean and covariance of the variables, and the range of stature and mass they were taken from.
///
/// The first [`Measurement::COUNT`] variables are the measurements in order; youths have two more: age in years and
/// (age − 12)².
#[derive(Clone, Debug, PartialEq)]
pub struct Moments {
    pub(super) mean: DVector<f64>,
    pub(super) covariance: DMatrix<f64>,
    pub(super) stature: (f64, f64),
    pub(super) mass: (f64, f64),
}

/// Why numbers are not moments.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
pub enum MomentsError {
    /// Wrong count of numbers.
    #[error(
        "{means} means and {covariances} covariances do not fit together, or are not of all measurements"
    )]
    Counts {
        /// Means given.
        means: usize,
        /// Covariances given.
        covariances: usize,
    },
    /// A number that is not finite.
    #[error("a mean or covariance is not finite")]
    NotFinite,
}

impl Moments {
    /// Moments from means and the lower triangle of the covariance by rows, with no limit of range.
    ///
    /// # Errors
    /// Where the counts do not fit or a number is not finite.
    pub fn new(mean: &[f64], lower: &[f64]) -> Result<Self, MomentsError> {
        let n = mean.len();
        if n < Measurement::COUNT || lower.len() != n * (n + 1) / 2 {
            return Err(MomentsError::Counts {
                means: n,
                covariances: lower.len(),
            });
        }
        if !mean.iter().chain(lower).all(|v| v.is_finite()) {
            return Err(MomentsError::NotFinite);
        }
        Ok(Self::assemble(
            mean,
            lower,
            (0.0, f64::INFINITY),
            (0.0, f64::INFINITY),
        ))
    }

    /// Adults: ANSUR II (Gordon et al. 2014); where the sex is not known, an equal mixture of both.
    pub fn adult(sex: Sex) -> Self {
        match sex {
            Sex::Male => Self::of(&ADULT_MALE),
            Sex::Female => Self::of(&ADULT_FEMALE),
            Sex::Unknown => Self::pooled(&Self::of(&ADULT_MALE), &Self::of(&ADULT_FEMALE)),
        }
    }

    /// Youths from 6 to under 18 years: Snyder et al. 1977.
    pub fn youth(sex: Sex) -> Self {
        match sex {
            Sex::Male => Self::of(&YOUTH_MALE),
            Sex::Female => Self::of(&YOUTH_FEMALE),
            Sex::Unknown => Self::pooled(&Self::of(&YOUTH_MALE), &Self::of(&YOUTH_FEMALE)),
        }
    }

    fn of<const M: usize, const L: usize>(table: &Table<M, L>) -> Self {
        Self::assemble(&table.mean, &table.lower, table.stature, table.mass)
    }

    fn assemble(mean: &[f64], lower: &[f64], stature: (f64, f64), mass: (f64, f64)) -> Self {
        let n = mean.len();
        Self {
            mean: DVector::from_column_slice(mean),
            covariance: DMatrix::from_fn(n, n, |i, j| {
                let (row, column) = (i.max(j), i.min(j));
                lower[row * (row + 1) / 2 + column]
            }),
            stature,
            mass,
        }
    }

    /// Moments of a half-and-half mixture: the mean of the covariances plus the spread between the means.
    ///
    /// Equal shares are our choice: the survey's own share of women says nothing about riders.
    fn pooled(one: &Self, other: &Self) -> Self {
        let half = (&one.mean - &other.mean) * 0.5;
        let wider = |a: (f64, f64), b: (f64, f64)| (a.0.min(b.0), a.1.max(b.1));
        Self {
            mean: (&one.mean + &other.mean) * 0.5,
            covariance: (&one.covariance + &other.covariance) * 0.5 + &half * half.transpose(),
            stature: wider(one.stature, other.stature),
            mass: wider(one.mass, other.mass),
        }
    }

    /// Mean of a measurement, mm or kg.
    pub fn mean(&self, measurement: Measurement) -> f64 {
        self.mean[measurement.index()]
    }

    /// Standard deviation of a measurement, mm or kg.
    pub fn sd(&self, measurement: Measurement) -> f64 {
        let i = measurement.index();
        self.covariance[(i, i)].sqrt()
    }
}
