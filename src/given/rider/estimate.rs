//! The body, as far as measurements tell: the conditional normal given all that was observed.
//!
//! With x the body's measurements, x ~ N(μ, Σ) ([`Moments`]), and observations y = H x + e, e ~ N(0, R), R diagonal
//! with each observation's own variance (the tape's, or that of a boot size), S = H Σ Hᵀ + R and K = Σ Hᵀ S⁻¹:
//!
//! mean μ + K (y − H μ), covariance Σ − K H Σ.
//!
//! R must stand in S: without it the 90 % band holds 78 to 88 % of truly taped bodies (our arithmetic on ANSUR II).
//! Each observation is compared with what the others predict in closed form: with r = S⁻¹ (y − H μ), observation i lies
//! rᵢ / (S⁻¹)ᵢᵢ from its prediction, whose variance, own noise included, is 1 / (S⁻¹)ᵢᵢ.
//!
//! Outside the data's range of stature the body is fitted at the nearest stature in range and scaled (lengths with
//! stature, mass with its square), with a wider band.

use nalgebra::{Cholesky, DMatrix, DVector, Dyn};
use thiserror::Error;

use super::measurement::{Measurement, Unit};
use super::measurements::{Measurements, Observation, Origin};
use super::moments::Moments;

/// Standard deviations beyond which an observation is questioned (our choice: one in two thousand by chance).
pub const QUESTIONED_BEYOND: f64 = 3.5;

/// Least standard deviation of an observation in the arithmetic, mm or kg: keeps exact duplicates solvable.
const LEAST_SD: f64 = 0.05;

/// Standard deviation of a stated age, years, and of (age − 12)² per year from 12.
const AGE_SD: f64 = 0.1;

/// Band widening: share of the standard deviation added per share of stature, or mass, beyond the data (our choice).
const WIDENING_BY_STATURE: f64 = 5.0;
const WIDENING_BY_MASS: f64 = 2.0;

/// Draws beyond this many standard deviations are cut back to it; a body stays a body.
const FURTHEST_DRAW: f64 = 6.0;

/// Least share of the mean that a drawn value may have.
const LEAST_SHARE: f64 = 0.2;

/// One value for every measurement, mm and kg.
#[derive(Clone, Debug, PartialEq)]
pub struct Body([f64; Measurement::COUNT]);

impl Body {
    /// The value of a measurement, mm or kg.
    pub fn get(&self, measurement: Measurement) -> f64 {
        self.0[measurement.index()]
    }
}

/// An observation that the others speak against.
#[derive(Clone, Debug, PartialEq)]
pub struct Questioned {
    /// What was observed.
    pub measurement: Measurement,
    /// Where it came from.
    pub origin: Origin,
    /// The value given (bias taken off), mm or kg.
    pub given: f64,
    /// What the others predict, mm or kg.
    pub expected: f64,
    /// Standard deviation of the difference, mm or kg.
    pub sd: f64,
}

/// Mean and covariance of all measurements given the observed ones.
#[derive(Clone, Debug, PartialEq)]
pub struct Estimate {
    body: Body,
    covariance: DMatrix<f64>,
    root: DMatrix<f64>,
    observations: Vec<Observation>,
    questioned: Vec<Questioned>,
    warnings: Vec<String>,
}

/// Why a body cannot be estimated.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
pub enum EstimateError {
    /// The observations' covariance has no Cholesky factor (a value or deviation that is not finite).
    #[error(
        "the observations cannot be combined: one is not finite, or the moments are no covariance"
    )]
    NotPositiveDefinite,
}

impl Estimate {
    /// Estimate a body from checked measurements.
    ///
    /// # Errors
    /// Not for measurements that passed their check, as far as we know; the type says so rather than a panic.
    pub fn new(measurements: &Measurements) -> Result<Self, EstimateError> {
        let youth = measurements.is_youth();
        let sex = measurements.sex();
        let mut moments = if youth {
            Moments::youth(sex)
        } else {
            Moments::adult(sex)
        };
        let mut warnings = Vec::new();
        if youth {
            warnings.push(
                "under 16 years: estimated from children and youths measured in the 1970s, who were lighter; \
                 measure what you can, and again every season"
                    .to_owned(),
            );
        }
        let scale = Scale::new(&moments, measurements.observations(), &mut warnings);
        let widening = scale.widening * scale.widening;
        moments.covariance *= widening;
        let mut inputs: Vec<Input> = measurements
            .observations()
            .iter()
            .map(|o| scale.input(o))
            .collect();
        if let (true, Some(age)) = (youth, measurements.age()) {
            let from_12 = age - 12.0;
            inputs.push(Input {
                index: Measurement::COUNT,
                value: age,
                sd: AGE_SD,
            });
            inputs.push(Input {
                index: Measurement::COUNT + 1,
                value: from_12 * from_12,
                sd: AGE_SD * (2.0 * from_12.abs()).max(1.0),
            });
        }
        let mut estimate = Self::combine(&moments, &inputs, measurements.observations(), &scale)?;
        estimate.warnings = warnings;
        Ok(estimate)
    }

    /// Estimate a body from moments of one's own, without scaling; for checks on held-out people.
    ///
    /// # Errors
    /// Where an observation is not finite or the moments are no covariance.
    pub fn from_moments(
        moments: &Moments,
        observations: &[Observation],
    ) -> Result<Self, EstimateError> {
        let scale = Scale::NONE;
        let inputs: Vec<Input> = observations.iter().map(|o| scale.input(o)).collect();
        Self::combine(moments, &inputs, observations, &scale)
    }

    fn combine(
        moments: &Moments,
        inputs: &[Input],
        observations: &[Observation],
        scale: &Scale,
    ) -> Result<Self, EstimateError> {
        if !inputs
            .iter()
            .all(|i| i.value.is_finite() && i.sd.is_finite())
        {
            return Err(EstimateError::NotPositiveDefinite);
        }
        let factor = factor(moments, inputs)?;
        let gap = gap(moments, inputs);
        // Columns of Σ at what was observed, for the measurements only: the age is not estimated.
        let cross = DMatrix::from_fn(Measurement::COUNT, inputs.len(), |i, j| {
            moments.covariance[(i, inputs[j].index)]
        });
        let mean = moments.mean.rows(0, Measurement::COUNT) + &cross * factor.solve(&gap);
        let mut covariance = moments
            .covariance
            .view((0, 0), (Measurement::COUNT, Measurement::COUNT))
            - &cross * factor.solve(&cross.transpose());
        for i in 0..Measurement::COUNT {
            for j in 0..=i {
                let both = scale.of_index(i) * scale.of_index(j);
                let value = 0.5 * (covariance[(i, j)] + covariance[(j, i)]) * both;
                covariance[(i, j)] = value;
                covariance[(j, i)] = value;
            }
        }
        let root = semidefinite_root(&covariance);
        Ok(Self {
            body: Body(core::array::from_fn(|i| mean[i] * scale.of_index(i))),
            covariance,
            root,
            questioned: questioned(moments, inputs, observations, scale)?,
            observations: observations.to_vec(),
            warnings: Vec::new(),
        })
    }

    /// The most likely body.
    pub fn body(&self) -> &Body {
        &self.body
    }

    /// Mean of a measurement, mm or kg.
    pub fn mean(&self, measurement: Measurement) -> f64 {
        self.body.get(measurement)
    }

    /// Standard deviation of a measurement, mm or kg.
    pub fn sd(&self, measurement: Measurement) -> f64 {
        let i = measurement.index();
        self.covariance[(i, i)].max(0.0).sqrt()
    }

    /// Whether the measurement was taken on the body.
    pub fn given(&self, measurement: Measurement) -> bool {
        self.observations
            .iter()
            .any(|o| o.measurement == measurement && o.origin == Origin::Taken)
    }

    /// Covariance of all measurements, in the order of [`Measurement::ALL`], mm and kg.
    pub fn covariance(&self) -> &DMatrix<f64> {
        &self.covariance
    }

    /// The body at mean + L z, L Lᵀ being the covariance, for standard-normal z, one number for each measurement.
    ///
    /// Missing numbers and NaN count as 0; numbers beyond ±6 as ±6. Values stay above a fifth of the mean.
    pub fn shifted(&self, z: &[f64]) -> Body {
        let z = DVector::from_fn(Measurement::COUNT, |i, _| match z.get(i) {
            Some(v) if !v.is_nan() => v.clamp(-FURTHEST_DRAW, FURTHEST_DRAW),
            _ => 0.0,
        });
        let shift = &self.root * z;
        Body(core::array::from_fn(|i| {
            (self.body.0[i] + shift[i]).max(LEAST_SHARE * self.body.0[i])
        }))
    }

    /// Where a body drawn at `z` (as in [`Self::shifted`]) would be drawn had `measurement` been taken and read as expected,
    /// `error` being the standard-normal error of the tape: Matheron's rule, x + Σ_m (x̄_m − x_m − τ ε) / (Σ_mm + τ²), here
    /// in z (Doucet 2010, "A note on efficient conditional simulation of Gaussian distributions", from memory). Over all z
    /// and errors, such bodies have the covariance that the measurement leaves.
    pub fn had_taken(
        &self,
        z: &[f64; Measurement::COUNT],
        measurement: Measurement,
        error: f64,
    ) -> [f64; Measurement::COUNT] {
        let row = self.root.row(measurement.index());
        let tape = measurement.tape_sd();
        let off: f64 = row.iter().zip(z).map(|(r, z)| r * z).sum::<f64>() + tape * error;
        let per_variance = off / (row.norm_squared() + tape * tape);
        core::array::from_fn(|k| z[k] - row[k] * per_variance)
    }

    /// The same estimate as if `measurement` had been taken exactly as predicted, with its tape's deviation: how much
    /// narrower would all become? Moments are not needed: the conditional covariance is updated in place.
    pub fn sd_if_taken(&self, measurement: Measurement, about: Measurement) -> f64 {
        let (i, j) = (measurement.index(), about.index());
        let noise = measurement.tape_sd() * measurement.tape_sd();
        let cross = self.covariance[(i, j)];
        let left = self.covariance[(j, j)] - cross * cross / (self.covariance[(i, i)] + noise);
        left.max(0.0).sqrt()
    }

    /// All observations that went in.
    pub fn observations(&self) -> &[Observation] {
        &self.observations
    }

    /// Observations that the others speak against, worst first. They are in use until withdrawn.
    pub fn questioned(&self) -> &[Questioned] {
        &self.questioned
    }

    /// What to know about this estimate, in words.
    pub fn warnings(&self) -> &[String] {
        &self.warnings
    }
}

/// An observation in the arithmetic: variable, value and deviation, scaled.
#[derive(Clone, Copy)]
struct Input {
    index: usize,
    value: f64,
    sd: f64,
}

/// Ratio of the body to the nearest one inside the data, for lengths, and what the band is widened by.
struct Scale {
    length: f64,
    widening: f64,
}

impl Scale {
    const NONE: Self = Self {
        length: 1.0,
        widening: 1.0,
    };

    fn new(moments: &Moments, observations: &[Observation], warnings: &mut Vec<String>) -> Self {
        let mut scale = Self::NONE;
        let say = |what: &str, value: f64, unit: &str, (low, high): (f64, f64)| {
            format!(
                "{what} {value:.0} {unit} is outside the people measured ({low:.0} to {high:.0} {unit}): \
                 proportions are scaled from the nearest of them, and bands are wider"
            )
        };
        if let Some(stature) = best_of(observations, Measurement::Stature) {
            let ratio = stature / stature.clamp(moments.stature.0, moments.stature.1);
            if ratio != 1.0 {
                scale.length = ratio;
                scale.widening += WIDENING_BY_STATURE * (ratio - 1.0).abs();
                warnings.push(say("stature", stature, "mm", moments.stature));
            }
        }
        if let Some(mass) = best_of(observations, Measurement::BodyMass) {
            let scaled = mass / (scale.length * scale.length);
            let ratio = scaled / scaled.clamp(moments.mass.0, moments.mass.1);
            if ratio != 1.0 {
                scale.widening += WIDENING_BY_MASS * (ratio - 1.0).abs();
                warnings.push(say("body mass", mass, "kg", moments.mass));
            }
        }
        scale
    }

    /// What a measurement is divided by on the way in and multiplied by on the way out.
    fn of(&self, measurement: Measurement) -> f64 {
        match measurement.unit() {
            Unit::Mm => self.length,
            Unit::Kg => self.length * self.length,
        }
    }

    fn of_index(&self, index: usize) -> f64 {
        self.of(Measurement::ALL[index])
    }

    fn input(&self, observation: &Observation) -> Input {
        let factor = self.of(observation.measurement);
        Input {
            index: observation.measurement.index(),
            value: observation.value / factor,
            sd: (observation.sd / factor).max(LEAST_SD),
        }
    }
}

/// Mean of all observations of one measurement, weighted by their precision.
fn best_of(observations: &[Observation], measurement: Measurement) -> Option<f64> {
    let (mut sum, mut weight) = (0.0, 0.0);
    for o in observations.iter().filter(|o| o.measurement == measurement) {
        let sd = o.sd.max(LEAST_SD);
        sum += o.value / (sd * sd);
        weight += 1.0 / (sd * sd);
    }
    (weight > 0.0).then(|| sum / weight)
}

/// Cholesky factor of S.
fn factor(moments: &Moments, inputs: &[Input]) -> Result<Cholesky<f64, Dyn>, EstimateError> {
    let s = DMatrix::from_fn(inputs.len(), inputs.len(), |i, j| {
        let noise = if i == j {
            inputs[i].sd * inputs[i].sd
        } else {
            0.0
        };
        moments.covariance[(inputs[i].index, inputs[j].index)] + noise
    });
    Cholesky::new(s).ok_or(EstimateError::NotPositiveDefinite)
}

/// y − H μ.
fn gap(moments: &Moments, inputs: &[Input]) -> DVector<f64> {
    DVector::from_fn(inputs.len(), |i, _| {
        inputs[i].value - moments.mean[inputs[i].index]
    })
}

/// Observations that the others speak against. The worst is set aside before the rest is looked at again, so that one
/// slip does not accuse its neighbours; of two alone either may be the slip, and both are named. The inputs may hold
/// more than the observations (the age): those only predict.
fn questioned(
    moments: &Moments,
    inputs: &[Input],
    observations: &[Observation],
    scale: &Scale,
) -> Result<Vec<Questioned>, EstimateError> {
    let mut found = Vec::new();
    let mut left: Vec<usize> = (0..inputs.len()).collect();
    while left.len() > 1 {
        let used: Vec<Input> = left.iter().map(|&k| inputs[k]).collect();
        let inverse = factor(moments, &used)?.inverse();
        let pull = &inverse * gap(moments, &used);
        let strangeness = |i: usize| (pull[i] / inverse[(i, i)].sqrt()).abs();
        let worst = (0..left.len())
            .filter(|&i| left[i] < observations.len())
            .max_by(|&i, &j| strangeness(i).total_cmp(&strangeness(j)))
            .filter(|&i| strangeness(i) > QUESTIONED_BEYOND);
        let Some(worst) = worst else {
            break;
        };
        let mut question = |i: usize| {
            let observation = &observations[left[i]];
            let back = scale.of(observation.measurement);
            found.push(Questioned {
                measurement: observation.measurement,
                origin: observation.origin,
                given: observation.value,
                expected: observation.value - back * pull[i] / inverse[(i, i)],
                sd: back / inverse[(i, i)].sqrt(),
            });
        };
        if left.len() == 2 && left.iter().all(|&k| k < observations.len()) {
            question(0);
            question(1);
            break;
        }
        question(worst);
        left.remove(worst);
    }
    Ok(found)
}

/// Lower triangular L with L Lᵀ = a, for a that may be singular where values are known exactly: a pivot that is only
/// rounding counts as zero, and so does its column.
fn semidefinite_root(a: &DMatrix<f64>) -> DMatrix<f64> {
    const ROUNDING: f64 = 1e-10;
    let n = a.nrows();
    let mut root = DMatrix::zeros(n, n);
    for j in 0..n {
        let mut pivot = a[(j, j)];
        for k in 0..j {
            pivot -= root[(j, k)] * root[(j, k)];
        }
        if pivot <= ROUNDING * a[(j, j)].abs() || pivot <= 0.0 {
            continue;
        }
        root[(j, j)] = pivot.sqrt();
        for i in j + 1..n {
            let mut rest = a[(i, j)];
            for k in 0..j {
                rest -= root[(i, k)] * root[(j, k)];
            }
            root[(i, j)] = rest / root[(j, j)];
        }
    }
    root
}
