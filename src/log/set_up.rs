//! A set-up as it is written down: from settings, back to settings, in words, and what differs between two.

use super::form::{LeverForm, SetUpForm};
use crate::fit::{LeverPlacement, Levers};
use crate::sled::{Settings, SettingsError, Sled};
use crate::units::Angle;
use crate::units::text::{System, level, tape};

/// Heights closer than this are one riser, mm: no tape tells them apart.
const SAME_HEIGHT: f64 = 0.5;
/// Lengths and angles that differ less are the same; half of what tape and level show.
const SAME_MM: f64 = 0.5;
const SAME_DEG: f64 = 0.05;

/// Whether risers of these heights, mm, are one.
pub(super) fn same_height(a: f64, b: f64) -> bool {
    (a - b).abs() < SAME_HEIGHT
}

/// Why a written set-up cannot be made on a sled as it is now.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum NotOnSled {
    /// A part that is no longer in stock.
    #[error("{part} \"{name}\" is not in this sled's stock; there are {stock}")]
    NotInStock {
        /// Which kind of part.
        part: &'static str,
        /// What was written down.
        name: String,
        /// What there is.
        stock: String,
    },
    /// A value that the sled does not allow.
    #[error(transparent)]
    Settings(#[from] SettingsError),
}

impl SetUpForm {
    /// Settings on their sled as they are written down, with the levers where they are known.
    pub fn of(sled: &Sled, settings: &Settings, levers: Option<&Levers>) -> Self {
        Self {
            riser_height_mm: sled.risers[settings.riser].height,
            riser_angle_deg: settings.riser_angle.deg(),
            bar_roll_deg: settings.bar_roll.deg(),
            stirrup_mm: settings.stirrup,
            seat: sled.seats[settings.seat].name.clone(),
            clamp: sled.clamps[settings.clamp].name.clone(),
            bar: sled.bars[settings.bar].name.clone(),
            brake: levers.map(|l| LeverForm::from(&l.brake)),
            throttle: levers.map(|l| LeverForm::from(&l.throttle)),
        }
    }

    /// The settings on a sled as it is now.
    ///
    /// # Errors
    /// Names the part that is not in stock with what there is, or the value that the sled does not allow.
    pub fn on(&self, sled: &Sled) -> Result<Settings, NotOnSled> {
        let named = |part, name: &str, stock: Vec<&str>| {
            let found = stock.iter().position(|s| *s == name);
            found.ok_or_else(|| NotOnSled::NotInStock {
                part,
                name: name.to_owned(),
                stock: stock.join(", "),
            })
        };
        let heights: Vec<String> = sled.risers.iter().map(|r| mm(r.height)).collect();
        let riser = sled
            .risers
            .iter()
            .position(|r| same_height(r.height, self.riser_height_mm));
        let settings = Settings {
            riser: riser.ok_or_else(|| NotOnSled::NotInStock {
                part: "riser",
                name: mm(self.riser_height_mm),
                stock: heights.join(", "),
            })?,
            clamp: named("clamp", &self.clamp, names(&sled.clamps, |c| &c.name))?,
            bar: named("bar", &self.bar, names(&sled.bars, |b| &b.name))?,
            seat: named("seat", &self.seat, names(&sled.seats, |s| &s.name))?,
            stirrup: self.stirrup_mm,
            riser_angle: Angle::from_deg(self.riser_angle_deg),
            bar_roll: Angle::from_deg(self.bar_roll_deg),
        };
        Ok(settings.checked(sled)?)
    }

    /// Each setting with its value in words, in the order in which a set-up is read.
    pub fn lines(&self, system: System) -> Vec<(&'static str, String)> {
        let mut lines = vec![
            ("Riser", tape(self.riser_height_mm, system)),
            ("Riser angle", angle(self.riser_angle_deg, TILT)),
            ("Bar roll", angle(self.bar_roll_deg, TILT)),
            ("Stirrup bolt", stirrup(self.stirrup_mm, system)),
            ("Seat", self.seat.clone()),
            ("Clamp", self.clamp.clone()),
            ("Bar", self.bar.clone()),
        ];
        for (name, lever) in [("Brake", &self.brake), ("Throttle", &self.throttle)] {
            if let Some(lever) = lever {
                lines.push((name, lever.words(system)));
            }
        }
        lines
    }

    /// What differs to a later set-up, in words: "Riser angle 12° back → 14° back".
    pub fn differences(&self, to: &Self, system: System) -> Vec<String> {
        let far = |a: f64, b: f64, same: f64| (a - b).abs() >= same;
        let mut all = Vec::new();
        let mut say = |name: &str, from: String, to: String| {
            all.push(format!("{name} {from} \u{2192} {to}"));
        };
        let lengths = |mm: f64| tape(mm, system);
        if far(self.riser_height_mm, to.riser_height_mm, SAME_MM) {
            say(
                "Riser",
                lengths(self.riser_height_mm),
                lengths(to.riser_height_mm),
            );
        }
        for (name, a, b) in [
            ("Riser angle", self.riser_angle_deg, to.riser_angle_deg),
            ("Bar roll", self.bar_roll_deg, to.bar_roll_deg),
        ] {
            if far(a, b, SAME_DEG) {
                say(name, angle(a, TILT), angle(b, TILT));
            }
        }
        if far(self.stirrup_mm, to.stirrup_mm, SAME_MM) {
            say(
                "Stirrup bolt",
                stirrup(self.stirrup_mm, system),
                stirrup(to.stirrup_mm, system),
            );
        }
        for (name, a, b) in [
            ("Seat", &self.seat, &to.seat),
            ("Clamp", &self.clamp, &to.clamp),
            ("Bar", &self.bar, &to.bar),
        ] {
            if a != b {
                say(name, a.clone(), b.clone());
            }
        }
        for (name, a, b) in [
            ("Brake", &self.brake, &to.brake),
            ("Throttle", &self.throttle, &to.throttle),
        ] {
            // Levers that were not written down are not known to differ.
            if let (Some(a), Some(b)) = (a, b)
                && a.differs(b)
            {
                say(name, a.words(system), b.words(system));
            }
        }
        all
    }
}

impl LeverForm {
    fn words(&self, system: System) -> String {
        format!(
            "{} in from the grip, {}, reach {}",
            tape(self.along_mm, system),
            angle(self.roll_deg, ("down", "up")),
            tape(self.lever_reach_mm, system)
        )
    }

    fn differs(&self, other: &Self) -> bool {
        (self.along_mm - other.along_mm).abs() >= SAME_MM
            || (self.roll_deg - other.roll_deg).abs() >= SAME_DEG
            || (self.lever_reach_mm - other.lever_reach_mm).abs() >= SAME_MM
    }
}

impl From<&LeverPlacement> for LeverForm {
    fn from(lever: &LeverPlacement) -> Self {
        Self {
            along_mm: lever.along,
            roll_deg: lever.roll.deg(),
            lever_reach_mm: lever.lever_reach,
        }
    }
}

/// Words of a positive and a negative tilt.
const TILT: (&str, &str) = ("back", "forward");

fn angle(degrees: f64, (positive, negative): (&str, &str)) -> String {
    if degrees.abs() < SAME_DEG {
        return level(Angle::ZERO);
    }
    let words = if degrees < 0.0 { negative } else { positive };
    format!("{} {words}", level(Angle::from_deg(degrees.abs())))
}

fn stirrup(mm: f64, system: System) -> String {
    if mm > -SAME_MM {
        "foremost".to_owned()
    } else {
        format!("{} behind the foremost", tape(-mm, system))
    }
}

fn mm(length: f64) -> String {
    tape(length, System::Metric)
}

pub(super) fn names<T>(stock: &[T], name: impl Fn(&T) -> &String) -> Vec<&str> {
    stock.iter().map(|part| name(part).as_str()).collect()
}
