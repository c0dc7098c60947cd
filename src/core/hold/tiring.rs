//! Tiring: how long an effort can be held without a break.
//!
//! Holding time = b0 · f^b1 seconds, with f the moment over its limit: a power law fitted to 369 points of 194 papers
//! (Frey Law and Avin 2010, Ergonomics 53:109-129, Table 2). It speaks of a steady hold until failure, by adults of 18
//! to 50 years, who differ by 29 to 47 % (Frey-Law, Looft and Heitsman 2012). Riding is intermittent: muscles recover in
//! between, so that these times are the worst case and serve to see what tires first. Most points lie above 25 % of the
//! limit: below [`LEAST_EFFORT`] the law is not carried further, and a time is only known to be longer.

use super::joints::Joint;
use super::outcome::Working;

/// Least effort for which the law is used; at 15 % people still tire, below it there are hardly any points.
pub const LEAST_EFFORT: f64 = 0.15;

/// What is said wherever holding times are shown.
pub const HOLDING_LIMITS: &str = "Holding times are those of a steady hold until failure (Frey Law and Avin 2010): the worst case, \
     since riding lets muscles rest in between. People differ by a third to a half.";

/// A group of muscles with a law of its own.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Muscles {
    /// About the ankle.
    Ankle,
    /// About the knee.
    Knee,
    /// Of the trunk.
    Trunk,
    /// About the shoulder.
    Shoulder,
    /// About the elbow.
    Elbow,
    /// Of the hand: grip.
    Grip,
    /// All together; used for the hip, which has no law of its own.
    General,
}

/// b0 in seconds and b1, each by its [`Muscles`], from Frey Law and Avin 2010, Table 2.
const LAWS: [(Muscles, f64, f64); 7] = [
    (Muscles::Ankle, 34.71, -2.06),
    (Muscles::Knee, 19.38, -1.88),
    (Muscles::Trunk, 22.69, -2.27),
    (Muscles::Shoulder, 14.86, -1.83),
    (Muscles::Elbow, 17.98, -2.21),
    (Muscles::Grip, 33.55, -1.61),
    (Muscles::General, 21.92, -1.98),
];

/// How long an effort can be held.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Holding {
    /// Not at all: more than the limit.
    Not,
    /// For so many seconds.
    For(f64),
    /// Longer than so many seconds: below the efforts for which the law is used.
    LongerThan(f64),
}

impl Holding {
    /// The time in seconds: 0 for what cannot be held, `None` for what is held longer than the law can say.
    pub const fn seconds(self) -> Option<f64> {
        match self {
            Self::Not => Some(0.0),
            Self::For(seconds) => Some(seconds),
            Self::LongerThan(_) => None,
        }
    }
}

impl Muscles {
    /// Those that make a joint's moment.
    pub const fn of(joint: Joint) -> Self {
        match joint {
            Joint::Ankle => Self::Ankle,
            Joint::Knee => Self::Knee,
            Joint::Hip => Self::General,
            Joint::LowerTrunk => Self::Trunk,
            Joint::Shoulder | Joint::ShoulderHorizontal => Self::Shoulder,
            Joint::Elbow => Self::Elbow,
        }
    }

    const fn law(self) -> (f64, f64) {
        let (_, b0, b1) = LAWS[self as usize];
        (b0, b1)
    }

    /// How long an effort (moment over limit, not negative) can be held.
    pub fn holding(self, effort: f64) -> Holding {
        let (b0, b1) = self.law();
        let time = |f: f64| b0 * libm::pow(f, b1);
        // The working load is solved to rounding: a joint at its limit is not above it.
        if effort > 1.0 + 1e-6 || effort.is_nan() {
            Holding::Not
        } else if effort < LEAST_EFFORT {
            Holding::LongerThan(time(LEAST_EFFORT))
        } else {
            Holding::For(time(effort))
        }
    }

    /// Greatest effort that can be held for so many seconds, at most 1; `None` where it lies below [`LEAST_EFFORT`].
    pub fn effort(self, seconds: f64) -> Option<f64> {
        let (b0, b1) = self.law();
        let effort = libm::pow(seconds / b0, 1.0 / b1);
        (effort >= LEAST_EFFORT).then(|| effort.min(1.0))
    }
}

impl Working {
    /// How long each joint's effort at rest can be held.
    pub fn holding(&self) -> impl Iterator<Item = (Joint, Holding)> {
        Joint::ALL
            .into_iter()
            .zip(&self.efforts)
            .map(|(joint, effort)| (joint, Muscles::of(joint).holding(effort.fraction)))
    }

    /// The joint that gives out first, and when; `None` where all are held longer than the law can say.
    pub fn tires_first(&self) -> Option<(Joint, f64)> {
        self.holding()
            .filter_map(|(joint, holding)| Some((joint, holding.seconds()?)))
            .min_by(|a, b| a.1.total_cmp(&b.1))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Minutes at 15, 20, 30, 40, 50 and 60 %, and the efforts held for 1, 2, 5 and 10 min, worked out by hand from the
    /// published law; b0 and b1 as printed.
    const WORKED: [(Muscles, [f64; 6], [f64; 4]); 7] = [
        (
            Muscles::Ankle,
            [29.0, 16.0, 6.9, 3.8, 2.4, 1.7],
            [0.77, 0.55, 0.35, 0.25],
        ),
        (
            Muscles::Knee,
            [11.0, 6.7, 3.1, 1.8, 1.2, 0.8],
            [0.55, 0.38, 0.23, 0.16],
        ),
        (
            Muscles::Trunk,
            [28.0, 15.0, 5.8, 3.0, 1.8, 1.2],
            [0.65, 0.48, 0.32, 0.24],
        ),
        (
            Muscles::Shoulder,
            [8.0, 4.7, 2.2, 1.3, 0.9, 0.6],
            [0.47, 0.32, 0.19, 0.13],
        ),
        (
            Muscles::Elbow,
            [20.0, 10.0, 4.3, 2.3, 1.4, 0.9],
            [0.58, 0.42, 0.28, 0.21],
        ),
        (
            Muscles::Grip,
            [12.0, 7.5, 3.9, 2.4, 1.7, 1.3],
            [0.70, 0.45, 0.26, 0.17],
        ),
        (
            Muscles::General,
            [16.0, 8.8, 4.0, 2.2, 1.4, 1.0],
            [0.60, 0.42, 0.27, 0.19],
        ),
    ];

    #[test]
    fn each_law_stands_at_its_place_and_gives_the_worked_times() {
        for (place, (muscles, minutes, efforts)) in WORKED.into_iter().enumerate() {
            assert_eq!(LAWS[place].0, muscles);
            for (effort, wanted) in [0.15, 0.2, 0.3, 0.4, 0.5, 0.6].into_iter().zip(minutes) {
                let got = muscles.holding(effort).seconds().unwrap() / 60.0;
                // Printed to two figures or a tenth of a minute.
                let within = if wanted >= 10.0 { 0.51 } else { 0.051 };
                assert!(
                    (got - wanted).abs() <= within,
                    "{muscles:?} {effort}: {got}"
                );
            }
            for (minutes, wanted) in [1.0, 2.0, 5.0, 10.0].into_iter().zip(efforts) {
                let got = muscles.effort(60.0 * minutes);
                if wanted < LEAST_EFFORT {
                    assert_eq!(got, None);
                } else {
                    let got = got.unwrap();
                    assert!(
                        (got - wanted).abs() <= 0.0061,
                        "{muscles:?} {minutes} min: {got}"
                    );
                }
            }
        }
    }

    #[test]
    fn more_effort_never_holds_longer_and_the_inverse_undoes_it() {
        for (muscles, ..) in LAWS {
            let mut before = f64::INFINITY;
            for percent in 0..=120 {
                let effort = f64::from(percent) / 100.0;
                let time = match muscles.holding(effort) {
                    Holding::LongerThan(seconds) | Holding::For(seconds) => seconds,
                    Holding::Not => 0.0,
                };
                assert!(time <= before, "{muscles:?} at {percent} %");
                before = time;
                if let Holding::For(seconds) = muscles.holding(effort) {
                    // A hair less, so that the least effort comes back as one.
                    let back = muscles.effort(seconds * (1.0 - 1e-12)).unwrap();
                    assert!((back - effort).abs() < 1e-9);
                }
            }
            assert_eq!(muscles.holding(1.01), Holding::Not);
            assert_eq!(muscles.holding(f64::NAN), Holding::Not);
            assert_eq!(muscles.holding(0.0).seconds(), None);
            assert_eq!(muscles.effort(1.0), Some(1.0));
        }
    }

    #[test]
    fn the_shoulder_tires_first_at_equal_effort() {
        let working = |fraction: f64| Working {
            hand: 0.0,
            seat_share: 0.0,
            efforts: Joint::ALL
                .iter()
                .map(|joint| crate::hold::Effort {
                    name: joint.name(),
                    fraction,
                })
                .collect(),
            forces: Vec::new(),
        };
        let (joint, seconds) = working(0.3).tires_first().unwrap();
        assert_eq!(joint, Joint::Shoulder);
        assert!((seconds / 60.0 - 2.2).abs() < 0.05);
        assert_eq!(working(0.1).tires_first(), None);
    }
}
