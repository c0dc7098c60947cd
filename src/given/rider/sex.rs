//! Sex, as far as published figures differ by it.

use serde::{Deserialize, Serialize};

/// Which of the published figures apply.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Sex {
    /// Figures of women and girls.
    Female,
    /// Figures of men and boys.
    Male,
    /// Not said: the mean of both, with wider bands.
    #[default]
    Unknown,
}

/// A figure published by sex.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct BySex {
    pub(super) male: f64,
    pub(super) female: f64,
}

impl BySex {
    /// Shorthand for tables: men first, women second.
    pub(super) const fn new(male: f64, female: f64) -> Self {
        Self { male, female }
    }

    /// The figure for one sex; unknown is the mean of both (our choice).
    pub(super) fn of(self, sex: Sex) -> f64 {
        match sex {
            Sex::Male => self.male,
            Sex::Female => self.female,
            Sex::Unknown => 0.5 * (self.male + self.female),
        }
    }
}
