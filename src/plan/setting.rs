//! What can be set on a sled, one by one: in words, in steps, kept, and as stored.

use serde::{Deserialize, Serialize};

use super::entry::Units;
use crate::fit::{Keep, LeverPlacement};
use crate::sled::{Settings, Sled};
use crate::units::Angle;
use crate::units::text::{LengthUnit, System, coarse, format_length, level};
use crate::view::handle::{HandleId, step};

/// A setting.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Setting {
    /// Riser height.
    Riser,
    /// Riser angle.
    RiserAngle,
    /// Bar roll.
    BarRoll,
    /// Stirrup position.
    Stirrup,
    /// Seat.
    Seat,
    /// Clamp.
    Clamp,
    /// Bar.
    Bar,
}

/// A whole set of settings as stored: places in the sled's stock, mm and degrees.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Chosen {
    /// Place of the riser in stock.
    pub riser: usize,
    /// Place of the clamp in stock.
    pub clamp: usize,
    /// Place of the bar in stock.
    pub bar: usize,
    /// Place of the seat in stock.
    pub seat: usize,
    /// Stirrup bolt's x, mm.
    pub stirrup_mm: f64,
    /// Riser angle, degrees.
    pub riser_angle_deg: f64,
    /// Bar roll, degrees.
    pub bar_roll_deg: f64,
}

/// Rolls of levers that were turned by hand, degrees from level; one that was not is placed by the fit.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct LeverRolls {
    /// Of the brake lever.
    pub brake_deg: Option<f64>,
    /// Of the throttle.
    pub throttle_deg: Option<f64>,
}

impl LeverRolls {
    /// The rolls as angles, brake first.
    pub fn angles(&self) -> (Option<Angle>, Option<Angle>) {
        (
            self.brake_deg.map(Angle::from_deg),
            self.throttle_deg.map(Angle::from_deg),
        )
    }

    /// Whether neither was turned.
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }
}

impl From<Settings> for Chosen {
    fn from(s: Settings) -> Self {
        Self {
            riser: s.riser,
            clamp: s.clamp,
            bar: s.bar,
            seat: s.seat,
            stirrup_mm: s.stirrup,
            riser_angle_deg: s.riser_angle.deg(),
            bar_roll_deg: s.bar_roll.deg(),
        }
    }
}

impl Chosen {
    /// The settings, where the sled allows them.
    pub fn on(&self, sled: &Sled) -> Option<Settings> {
        Settings {
            riser: self.riser,
            clamp: self.clamp,
            bar: self.bar,
            seat: self.seat,
            stirrup: self.stirrup_mm,
            riser_angle: Angle::from_deg(self.riser_angle_deg),
            bar_roll: Angle::from_deg(self.bar_roll_deg),
        }
        .checked(sled)
        .ok()
    }
}

/// The middle of everything that a sled offers: what is drawn before a fit is known.
pub fn middle(sled: &Sled) -> Settings {
    let positions = &sled.stirrup.positions;
    let riser = sled.risers.len() / 2;
    let (low, high) = sled.risers[riser].angles.bounds();
    Settings {
        riser,
        clamp: 0,
        bar: 0,
        seat: sled.seats.len() / 2,
        stirrup: positions.get(positions.len() / 2).copied().unwrap_or(0.0),
        riser_angle: sled.risers[riser].angles.nearest((low + high) * 0.5),
        bar_roll: Angle::ZERO.clamped(sled.bar_roll.0, sled.bar_roll.1),
    }
}

fn tilted(angle: Angle, back: &str, forward: &str) -> String {
    let words = if angle < Angle::ZERO { forward } else { back };
    format!("{} {words}", level(angle.abs()))
}

impl Setting {
    /// All of them, in the order in which a set-up is read.
    pub const ALL: [Self; 7] = [
        Self::Riser,
        Self::RiserAngle,
        Self::BarRoll,
        Self::Stirrup,
        Self::Seat,
        Self::Clamp,
        Self::Bar,
    ];

    /// Its name in documents and addresses.
    pub const fn key(self) -> &'static str {
        match self {
            Self::Riser => "riser",
            Self::RiserAngle => "riser_angle",
            Self::BarRoll => "bar_roll",
            Self::Stirrup => "stirrup",
            Self::Seat => "seat",
            Self::Clamp => "clamp",
            Self::Bar => "bar",
        }
    }

    /// What it is called.
    pub const fn label(self) -> &'static str {
        match self {
            Self::Riser => "Riser",
            Self::RiserAngle => "Riser angle",
            Self::BarRoll => "Bar roll",
            Self::Stirrup => "Stirrup",
            Self::Seat => "Seat",
            Self::Clamp => "Clamp",
            Self::Bar => "Bar",
        }
    }

    /// What a step up and a step down do.
    pub const fn steps(self) -> (&'static str, &'static str) {
        match self {
            Self::Riser => ("lower", "higher"),
            Self::RiserAngle => ("forward", "back"),
            Self::BarRoll => ("forward", "back"),
            Self::Stirrup => ("forward", "back"),
            Self::Seat | Self::Clamp | Self::Bar => ("previous", "next"),
        }
    }

    /// Its value in words.
    pub fn value(self, s: &Settings, sled: &Sled, units: Units) -> String {
        let system = System::from(units);
        let part = |height: f64| match system {
            System::Metric => format_length(height, LengthUnit::Mm, 1.0),
            System::Imperial => format_length(height, LengthUnit::Inch, 0.1),
        };
        match self {
            Self::Riser => part(sled.risers[s.riser].height),
            Self::RiserAngle => tilted(s.riser_angle, "back", "forward"),
            Self::BarRoll if s.bar_roll.abs() < Angle::from_deg(0.25) => "in line".to_owned(),
            Self::BarRoll => tilted(s.bar_roll, "back", "forward"),
            Self::Stirrup => match sled.stirrup.position_number(s.stirrup) {
                Some(number) => format!("position {number}"),
                None => format!("{} back", coarse(-s.stirrup, system)),
            },
            Self::Seat => sled.seats[s.seat].name.clone(),
            Self::Clamp => sled.clamps[s.clamp].name.clone(),
            Self::Bar => sled.bars[s.bar].name.clone(),
        }
    }

    /// From where the value counts, or what goes with it.
    pub fn note(self, s: &Settings, sled: &Sled, units: Units) -> String {
        let system = System::from(units);
        match self {
            Self::Riser => format!("of {} in stock", sled.risers.len()),
            Self::RiserAngle => "from vertical".to_owned(),
            Self::BarRoll => "from the riser".to_owned(),
            Self::Stirrup => {
                let count = sled.stirrup.positions.len();
                let number = sled.stirrup.position_number(s.stirrup).unwrap_or(1);
                let behind = LengthUnit::Mm;
                let back = match system {
                    System::Metric => format_length(-s.stirrup, behind, 1.0),
                    System::Imperial => format_length(-s.stirrup, LengthUnit::Inch, 0.1),
                };
                if number == 1 {
                    format!("the foremost of {count}")
                } else {
                    format!("of {count} from the front, {back} back")
                }
            }
            Self::Seat => format!("of {} in stock", sled.seats.len()),
            Self::Clamp => {
                let clamp = &sled.clamps[s.clamp];
                let (kind, word) = if clamp.damping {
                    ("damping inserts", "damp")
                } else {
                    ("solid", "solid")
                };
                // What its name says already is not said twice.
                if clamp.name.contains(word) {
                    format!("of {} in stock", sled.clamps.len())
                } else {
                    kind.to_owned()
                }
            }
            Self::Bar => format!("of {} in stock", sled.bars.len()),
        }
    }

    /// Whether there is anything to choose.
    pub fn has_choice(self, sled: &Sled) -> bool {
        match self {
            Self::Riser => sled.risers.len() > 1,
            Self::Seat => sled.seats.len() > 1,
            Self::Clamp => sled.clamps.len() > 1,
            Self::Bar => sled.bars.len() > 1,
            _ => true,
        }
    }

    /// The settings after some steps: the next part in stock, one stirrup position back, half a degree back.
    pub fn stepped(self, start: Settings, steps: i32, sled: &Sled) -> Settings {
        let part = |index: usize, count: usize| {
            let last = i64::try_from(count).unwrap_or(1) - 1;
            let to = i64::try_from(index).unwrap_or(0) + i64::from(steps);
            usize::try_from(to.clamp(0, last.max(0))).unwrap_or(0)
        };
        let mut settings = start;
        match self {
            Self::Riser => {
                settings.riser = part(start.riser, sled.risers.len());
                settings.riser_angle = sled.risers[settings.riser]
                    .angles
                    .nearest(start.riser_angle);
            }
            Self::Clamp => settings.clamp = part(start.clamp, sled.clamps.len()),
            Self::Bar => settings.bar = part(start.bar, sled.bars.len()),
            Self::RiserAngle => return step(HandleId::Riser, start, steps, sled),
            Self::BarRoll => return step(HandleId::BarRoll, start, steps, sled),
            Self::Stirrup => return step(HandleId::Stirrup, start, steps, sled),
            Self::Seat => return step(HandleId::Seat, start, steps, sled),
        }
        settings
    }

    /// Its value as a number: a place in stock, mm or degrees.
    pub fn number(self, s: &Settings) -> f64 {
        // Stocks are short lists.
        let place = |i: usize| f64::from(u32::try_from(i).unwrap_or(0));
        match self {
            Self::Riser => place(s.riser),
            Self::RiserAngle => s.riser_angle.deg(),
            Self::BarRoll => s.bar_roll.deg(),
            Self::Stirrup => s.stirrup,
            Self::Seat => place(s.seat),
            Self::Clamp => place(s.clamp),
            Self::Bar => place(s.bar),
        }
    }
}

/// What a search must keep, of settings that are kept by number; what the sled does not have is not kept.
pub fn keep<'a>(kept: impl IntoIterator<Item = (&'a Setting, &'a f64)>, sled: &Sled) -> Keep {
    let mut keep = Keep::default();
    for (setting, &value) in kept {
        if !value.is_finite() {
            continue;
        }
        let place = |count: usize| (0..count).find(|i| Some(*i) == index(value));
        match setting {
            Setting::Riser => keep.riser = place(sled.risers.len()),
            Setting::Clamp => keep.clamp = place(sled.clamps.len()),
            Setting::Bar => keep.bar = place(sled.bars.len()),
            Setting::Seat => keep.seat = place(sled.seats.len()),
            Setting::Stirrup => {
                let same = |x: &&f64| (**x - value).abs() < 0.5;
                keep.stirrup = sled.stirrup.positions.iter().find(same).copied();
            }
            Setting::RiserAngle => keep.riser_angle = Some(Angle::from_deg(value)),
            Setting::BarRoll => {
                let (low, high) = sled.bar_roll;
                keep.bar_roll = Some(Angle::from_deg(value).clamped(low, high));
            }
        }
    }
    keep
}

/// A number that is a place in a list.
fn index(value: f64) -> Option<usize> {
    // Checked to be whole and small before the cast.
    (libm::round(value) == value && (0.0..1e6).contains(&value)).then_some(value as usize)
}

/// A lever's placement in words.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LeverWords {
    /// How it is turned.
    pub roll: String,
    /// From where that counts, and how far its blade stands out.
    pub reach: String,
    /// How far out it is clamped.
    pub out: String,
    /// Where it is clamped, counted from where, and its adjuster.
    pub place: String,
}

/// What is read at once of a lever's placement, and what is looked up at the bench.
pub fn lever_words(lever: &LeverPlacement, units: Units) -> LeverWords {
    let system = System::from(units);
    let tape = |mm: f64| match system {
        System::Metric => format_length(mm, LengthUnit::Mm, 1.0),
        System::Imperial => format_length(mm, LengthUnit::Inch, 0.1),
    };
    let out = format!("{} out", tape(lever.along));
    let step = lever.reach_step;
    LeverWords {
        roll: tilted(lever.roll, "down", "up"),
        reach: format!("from level, reach {}", tape(lever.lever_reach)),
        place: format!(
            "clamp {out} from the grip's inner end, adjuster step {step} from the nearest"
        ),
        out,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sled::SledProfile;
    use crate::sled::profile::SHIPPED;

    fn sleds() -> Vec<Sled> {
        SHIPPED
            .iter()
            .map(|s| SledProfile::read(s.text).unwrap().resolve().unwrap())
            .collect()
    }

    #[test]
    fn the_middle_is_allowed_and_survives_being_stored() {
        for sled in sleds() {
            let settings = middle(&sled).checked(&sled).unwrap();
            let stored = serde_json::to_string(&Chosen::from(settings)).unwrap();
            let back = serde_json::from_str::<Chosen>(&stored)
                .unwrap()
                .on(&sled)
                .unwrap();
            assert_eq!(
                (back.riser, back.seat, back.stirrup),
                (settings.riser, settings.seat, settings.stirrup)
            );
            assert!((back.riser_angle - settings.riser_angle).abs() < Angle::from_deg(1e-9));
        }
    }

    #[test]
    fn steps_stay_in_stock_and_in_range_however_many() {
        for sled in sleds() {
            for setting in Setting::ALL {
                for steps in [-1, 1, i32::MIN, i32::MAX, 7] {
                    let moved = setting.stepped(middle(&sled), steps, &sled);
                    assert!(moved.checked(&sled).is_ok(), "{setting:?} by {steps}");
                }
                let once = setting.stepped(middle(&sled), 1, &sled);
                assert_eq!(
                    once != middle(&sled),
                    setting.has_choice(&sled),
                    "{setting:?}"
                );
            }
        }
    }

    #[test]
    fn what_is_kept_is_what_stands_and_nothing_that_is_not_there() {
        let sled = &sleds()[0];
        let settings = middle(sled);
        let kept = Setting::ALL.map(|s| (s, s.number(&settings)));
        let kept = keep(kept.iter().map(|(s, v)| (s, v)), sled);
        assert_eq!(kept, Keep::all(settings));
        let wrong = Setting::ALL.map(|s| (s, 77.5));
        let none = keep(wrong.iter().map(|(s, v)| (s, v)), sled);
        assert_eq!((none.riser, none.stirrup, none.seat), (None, None, None));
    }

    #[test]
    fn values_read_as_a_mechanic_says_them() {
        let sled = &sleds()[0];
        let mut settings = middle(sled);
        settings.riser_angle = Angle::from_deg(-2.5);
        settings.bar_roll = Angle::ZERO;
        let say = |s: Setting| s.value(&settings, sled, Units::Metric);
        assert_eq!(say(Setting::Riser), "150 mm");
        assert_eq!(say(Setting::RiserAngle), "2.5° forward");
        assert_eq!(say(Setting::BarRoll), "in line");
        assert_eq!(say(Setting::Stirrup), "position 5");
        assert_eq!(
            Setting::Riser.value(&settings, sled, Units::Imperial),
            "5.9 in"
        );
    }
}
