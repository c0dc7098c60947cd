//! Hand-arm vibration: how long a day until the values that protect people at work.
//!
//! Daily exposure A(8) = a·√(T / 8 h), with a the frequency-weighted vector sum at the grip, m/s² (ISO 5349-1:2001), and T
//! the hours of a day spent with it. Directive 2002/44/EC of the European Union, article 3, sets an action value of 2.5
//! and a limit value of 5.0 m/s². Time until a value v: 8 h · (v/a)².
//!
//! At the bar of snow machines 3.5 m/s² was found in the mean, 1.6 to 7.9 over all (Anttonen et al. 1994 and 1995); where
//! one axis alone was measured, the vector sum is higher.

use thiserror::Error;

/// Daily exposure from which something must be done, m/s².
pub const ACTION_VALUE: f64 = 2.5;

/// Daily exposure that must not be exceeded, m/s².
pub const LIMIT_VALUE: f64 = 5.0;

/// Hours of the reference day.
const REFERENCE: f64 = 8.0;

/// Hours of a day.
const DAY: f64 = 24.0;

/// Greatest acceleration taken in, m/s²: far above any bar; our choice.
const MOST: f64 = 200.0;

/// What is said beside every figure of vibration.
pub const VIBRATION_CAUTION: &str = "Numb, tingling or white fingers: stop riding and see a licensed clinician. The values protect most people at work, \
     not everyone, and cold makes it worse.";

/// Vibration at the grips, and for how long a day.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Vibration {
    acceleration: f64,
    hours: Option<f64>,
}

/// A figure of vibration that is none.
#[derive(Clone, Copy, Debug, Error, PartialEq)]
pub enum VibrationError {
    /// The acceleration is out of range.
    #[error("{value} m/s² is no vibration at a grip: it lies above 0 and up to {MOST}")]
    Acceleration {
        /// What was given, m/s².
        value: f64,
    },
    /// The hours are out of range.
    #[error("{value} hours a day: a day has more than 0 and up to {DAY}")]
    Hours {
        /// What was given, h.
        value: f64,
    },
}

impl Vibration {
    /// A weighted vector sum, m/s², and the hours a day, if known.
    ///
    /// # Errors
    /// Outside (0, 200] m/s² or (0, 24] h.
    pub fn new(acceleration: f64, hours: Option<f64>) -> Result<Self, VibrationError> {
        if !(acceleration > 0.0 && acceleration <= MOST) {
            return Err(VibrationError::Acceleration {
                value: acceleration,
            });
        }
        if let Some(value) = hours
            && !(value > 0.0 && value <= DAY)
        {
            return Err(VibrationError::Hours { value });
        }
        Ok(Self {
            acceleration,
            hours,
        })
    }

    /// The weighted vector sum, m/s².
    pub const fn acceleration(&self) -> f64 {
        self.acceleration
    }

    /// Hours a day, if known.
    pub const fn hours(&self) -> Option<f64> {
        self.hours
    }

    /// Daily exposure A(8), m/s²; `None` where the hours are not known.
    pub fn daily(&self) -> Option<f64> {
        self.hours
            .map(|hours| self.acceleration * (hours / REFERENCE).sqrt())
    }

    /// Hours until the action value; `None` where a whole day does not reach it.
    pub fn hours_to_action(&self) -> Option<f64> {
        self.hours_to(ACTION_VALUE)
    }

    /// Hours until the limit value; `None` where a whole day does not reach it.
    pub fn hours_to_limit(&self) -> Option<f64> {
        self.hours_to(LIMIT_VALUE)
    }

    fn hours_to(&self, value: f64) -> Option<f64> {
        let ratio = value / self.acceleration;
        Some(REFERENCE * ratio * ratio).filter(|hours| *hours <= DAY)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hours_until_action_and_limit_value() {
        // Worked out by hand for the mean and the worst of the published measurements.
        for (a, action, limit) in [(3.5, 4.1, 16.3), (7.9, 0.8, 3.2)] {
            let vibration = Vibration::new(a, None).unwrap();
            assert!((vibration.hours_to_action().unwrap() - action).abs() < 0.051);
            assert!((vibration.hours_to_limit().unwrap() - limit).abs() < 0.051);
            assert_eq!(vibration.daily(), None);
        }
        let calm = Vibration::new(1.0, Some(24.0)).unwrap();
        assert_eq!(calm.hours_to_action(), None);
        assert!(calm.daily().unwrap() < ACTION_VALUE);
    }

    #[test]
    fn riding_until_a_value_makes_the_daily_exposure_that_value() {
        for a in [2.6, 3.5, 7.9, 40.0] {
            let bare = Vibration::new(a, None).unwrap();
            for (hours, value) in [
                (bare.hours_to_action(), ACTION_VALUE),
                (bare.hours_to_limit(), LIMIT_VALUE),
            ] {
                let Some(hours) = hours else { continue };
                let daily = Vibration::new(a, Some(hours)).unwrap().daily().unwrap();
                assert!((daily - value).abs() < 1e-12);
            }
        }
        assert_eq!(Vibration::new(4.0, Some(8.0)).unwrap().daily(), Some(4.0));
    }

    #[test]
    fn what_is_no_vibration_is_refused() {
        for a in [0.0, -3.5, f64::NAN, f64::INFINITY, 1e300] {
            assert!(matches!(
                Vibration::new(a, None),
                Err(VibrationError::Acceleration { .. })
            ));
        }
        for hours in [0.0, -1.0, 24.5, f64::NAN, f64::INFINITY] {
            assert!(matches!(
                Vibration::new(3.5, Some(hours)),
                Err(VibrationError::Hours { .. })
            ));
        }
    }
}
