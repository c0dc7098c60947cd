//! What is asked of a fit: a rider, a sled, stances, what must stay, and what matters how much.

use crate::hold::Options;
use crate::rider::Rider;
use crate::sled::{Settings, Sled};
use crate::stance::Stance;
use crate::units::Angle;

/// A fit to be made.
#[derive(Clone, Copy, Debug)]
pub struct Request<'a> {
    /// Who.
    pub rider: &'a Rider,
    /// On what.
    pub sled: &'a Sled,
    /// For which stances; the order is that of every answer.
    pub stances: &'a [Stance],
    /// What must stay as it is.
    pub keep: Keep,
    /// What matters how much.
    pub preferences: Preferences,
    /// Friction and assumed limits of the hold.
    pub options: Options,
}

impl<'a> Request<'a> {
    /// A fit with nothing kept and everything else at its default.
    pub fn new(rider: &'a Rider, sled: &'a Sled, stances: &'a [Stance]) -> Self {
        Self {
            rider,
            sled,
            stances,
            keep: Keep::default(),
            preferences: Preferences::default(),
            options: Options::default(),
        }
    }
}

/// Settings that must stay; `None` leaves the choice to the fit. Parts are indices into the sled's stock.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Keep {
    /// Riser.
    pub riser: Option<usize>,
    /// Clamp.
    pub clamp: Option<usize>,
    /// Bar.
    pub bar: Option<usize>,
    /// Seat.
    pub seat: Option<usize>,
    /// Stirrup bolt's x, mm.
    pub stirrup: Option<f64>,
    /// Riser angle.
    pub riser_angle: Option<Angle>,
    /// Bar roll.
    pub bar_roll: Option<Angle>,
}

impl Keep {
    /// Keeps everything: the settings are evaluated, not searched.
    pub fn all(settings: Settings) -> Self {
        Self {
            riser: Some(settings.riser),
            clamp: Some(settings.clamp),
            bar: Some(settings.bar),
            seat: Some(settings.seat),
            stirrup: Some(settings.stirrup),
            riser_angle: Some(settings.riser_angle),
            bar_roll: Some(settings.bar_roll),
        }
    }
}

/// What matters how much: factors on the parts of the objective, 1 by default, at least 0.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Preferences {
    /// On every posture's cost.
    pub comfort: f64,
    /// On the shortfalls of hold.
    pub hold: f64,
    /// On the weight point.
    pub weight_point: f64,
    /// On the shortfalls of leg travel.
    pub leg_travel: f64,
}

impl Default for Preferences {
    fn default() -> Self {
        Self {
            comfort: 1.0,
            hold: 1.0,
            weight_point: 1.0,
            leg_travel: 1.0,
        }
    }
}
