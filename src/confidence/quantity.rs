//! What has a band: the settings, the distances that follow from them, and what is shown of each stance. Names, words
//! and units for the report, the command line and the page stand here and nowhere else.

use crate::fit::{Distances, StanceFigures};
use crate::sled::{Cockpit, Settings, Sled};
use crate::stance::{Load, Stance};

/// A setting, or a distance that it makes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Setting {
    /// Height of the riser.
    RiserHeight,
    /// Riser angle from vertical, positive back.
    RiserAngle,
    /// Bar roll in the clamp, positive back and down.
    BarRoll,
    /// Stirrup bolt's x.
    Stirrup,
    /// Stirrup bolt to grip centre.
    StirrupToGrip,
    /// The same, fore-aft only.
    StirrupToGripForward,
    /// Board to grip centre.
    GripHeight,
    /// Seat front's top edge to grip centre.
    SeatToGrip,
}

/// A figure of a stance.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Figure {
    /// Knee flexion.
    Knee,
    /// Hip flexion.
    Hip,
    /// Trunk lean.
    Trunk,
    /// Elbow flexion.
    Elbow,
    /// Ankle dorsiflexion.
    Ankle,
    /// How far a load is held; `None` where its start is not.
    Hold(Load),
    /// How far the legs give; `None` seated.
    LegTravel,
    /// The drop that they take up.
    Drop,
    /// Force of one hand at rest.
    HandLoad,
}

/// Something with a band: its names and its unit.
#[derive(Clone, Debug, PartialEq)]
pub struct Quantity {
    /// The name in JSON: `riser_angle_deg`, `ready.knee_deg`.
    pub name: String,
    /// In words.
    pub words: String,
    /// The unit as printed.
    pub unit: &'static str,
    /// Decimals that are worth printing.
    pub decimals: usize,
}

impl Setting {
    /// All of them, in order.
    pub const ALL: [Self; 8] = [
        Self::RiserHeight,
        Self::RiserAngle,
        Self::BarRoll,
        Self::Stirrup,
        Self::StirrupToGrip,
        Self::StirrupToGripForward,
        Self::GripHeight,
        Self::SeatToGrip,
    ];

    /// Name in JSON, words, unit, decimals.
    const fn entry(self) -> (&'static str, &'static str, &'static str, usize) {
        match self {
            Self::RiserHeight => ("riser_height_mm", "riser", "mm", 0),
            Self::RiserAngle => ("riser_angle_deg", "riser angle", "°", 1),
            Self::BarRoll => ("bar_roll_deg", "bar roll", "°", 1),
            Self::Stirrup => ("stirrup_mm", "stirrups", "mm", 0),
            Self::StirrupToGrip => ("stirrup_to_grip_mm", "stirrup to grip", "mm", 0),
            Self::StirrupToGripForward => (
                "stirrup_to_grip_forward_mm",
                "grip ahead of stirrup",
                "mm",
                0,
            ),
            Self::GripHeight => ("grip_height_mm", "grip height", "mm", 0),
            Self::SeatToGrip => ("seat_to_grip_mm", "seat to grip", "mm", 0),
        }
    }

    /// The name in JSON.
    pub const fn name(self) -> &'static str {
        self.entry().0
    }

    /// In words.
    pub const fn words(self) -> &'static str {
        self.entry().1
    }

    /// The unit as printed.
    pub const fn unit(self) -> &'static str {
        self.entry().2
    }

    /// Decimals that are worth printing.
    pub const fn decimals(self) -> usize {
        self.entry().3
    }

    /// What a mechanic can set, in its unit: a narrower band asks for nothing more. Our choice. `None` where the setting
    /// or distance jumps from part to part: with a second riser near the 5 % at which a band ends, its width is 11 mm or
    /// 25 mm by chance, and no measure of what is known.
    pub(super) const fn worth(self) -> Option<f64> {
        match self {
            Self::RiserAngle | Self::BarRoll => Some(1.0),
            Self::RiserHeight
            | Self::Stirrup
            | Self::StirrupToGrip
            | Self::StirrupToGripForward
            | Self::GripHeight
            | Self::SeatToGrip => None,
        }
    }

    /// The values of all settings, in order.
    pub(super) fn values(sled: &Sled, settings: Settings) -> [f64; Self::ALL.len()] {
        let tape = Distances::of_grip(&Cockpit::new(sled, settings));
        Self::ALL.map(|setting| match setting {
            Self::RiserHeight => sled.risers[settings.riser].height,
            Self::RiserAngle => settings.riser_angle.deg(),
            Self::BarRoll => settings.bar_roll.deg(),
            Self::Stirrup => settings.stirrup,
            Self::StirrupToGrip => tape.stirrup_to_grip,
            Self::StirrupToGripForward => tape.stirrup_to_grip_forward,
            Self::GripHeight => tape.grip_height,
            Self::SeatToGrip => tape.seat_to_grip,
        })
    }
}

impl Figure {
    /// All of them, in order.
    pub const ALL: [Self; 12] = [
        Self::Knee,
        Self::Hip,
        Self::Trunk,
        Self::Elbow,
        Self::Ankle,
        Self::Hold(Load::ShortLanding1g),
        Self::Hold(Load::ShortLanding2g),
        Self::Hold(Load::Start),
        Self::Hold(Load::StraightDrop),
        Self::LegTravel,
        Self::Drop,
        Self::HandLoad,
    ];

    /// Name in JSON, words, unit, decimals.
    const fn entry(self) -> (&'static str, &'static str, &'static str, usize) {
        match self {
            Self::Knee => ("knee_deg", "knee", "°", 0),
            Self::Hip => ("hip_deg", "hip", "°", 0),
            Self::Trunk => ("trunk_deg", "trunk", "°", 0),
            Self::Elbow => ("elbow_deg", "elbow", "°", 0),
            Self::Ankle => ("ankle_deg", "ankle", "°", 0),
            Self::Hold(Load::ShortLanding1g) => (
                "short_landing_1g_g",
                "holds a short landing from 1 g",
                "g",
                2,
            ),
            Self::Hold(Load::ShortLanding2g) => (
                "short_landing_2g_g",
                "holds a short landing from 2 g",
                "g",
                2,
            ),
            Self::Hold(Load::Start) => ("start_g", "holds a start", "g", 2),
            Self::Hold(Load::StraightDrop) => ("straight_drop_g", "holds a straight drop", "g", 2),
            Self::LegTravel => ("leg_travel_mm", "leg travel", "mm", 0),
            Self::Drop => ("drop_mm", "takes up a drop of", "mm", 0),
            Self::HandLoad => ("hand_n", "on each hand at rest", "N", 0),
        }
    }

    /// The name in JSON, after the stance's.
    pub const fn name(self) -> &'static str {
        self.entry().0
    }

    /// In words.
    pub const fn words(self) -> &'static str {
        self.entry().1
    }

    /// The unit as printed.
    pub const fn unit(self) -> &'static str {
        self.entry().2
    }

    /// Decimals that are worth printing.
    pub const fn decimals(self) -> usize {
        self.entry().3
    }

    /// Whether the stance has it at all.
    const fn has(self, stance: &Stance) -> bool {
        !(stance.contacts.seated && matches!(self, Self::LegTravel | Self::Drop))
    }

    /// Its value; what is not held or not in reach lies below every number, or above where less is better.
    fn value(self, figures: &StanceFigures) -> f64 {
        let load = |wanted: Load| {
            let place = Load::ALL.iter().position(|l| *l == wanted);
            place.and_then(|i| figures.loads[i])
        };
        let found = match self {
            Self::Knee => Some(figures.angles.knee.deg()),
            Self::Hip => Some(figures.angles.hip.deg()),
            Self::Trunk => Some(figures.angles.trunk.deg()),
            Self::Elbow => Some(figures.angles.elbow.deg()),
            Self::Ankle => Some(figures.angles.ankle.deg()),
            Self::Hold(wanted) => load(wanted),
            Self::LegTravel => figures.leg_travel,
            Self::Drop => figures.drop,
            // No force of the hands is enough.
            Self::HandLoad => return figures.hand.unwrap_or(f64::INFINITY),
        };
        found.unwrap_or(f64::NEG_INFINITY)
    }
}

impl Quantity {
    fn of_setting(setting: Setting) -> Self {
        let (name, words, unit, decimals) = setting.entry();
        Self {
            name: name.to_owned(),
            words: words.to_owned(),
            unit,
            decimals,
        }
    }

    fn of_figure(stance: &Stance, figure: Figure) -> Self {
        let (name, words, unit, decimals) = figure.entry();
        Self {
            name: format!("{}.{name}", stance.name),
            words: format!("{}: {words}", stance.name),
            unit,
            decimals,
        }
    }

    /// Every quantity with a band: settings, then stance by stance its figures.
    pub fn all(stances: &[Stance]) -> Vec<Self> {
        let settings = Setting::ALL.into_iter().map(Self::of_setting);
        let figures = stances.iter().flat_map(|stance| {
            Figure::ALL
                .into_iter()
                .filter(|figure| figure.has(stance))
                .map(|figure| Self::of_figure(stance, figure))
        });
        settings.chain(figures).collect()
    }
}

/// The figures of all stances, in the order of [`Quantity::all`] after its settings.
pub(super) fn figure_values<'a>(
    stances: &'a [Stance],
    found: &'a [StanceFigures],
) -> impl Iterator<Item = f64> + 'a {
    stances.iter().zip(found).flat_map(|(stance, figures)| {
        Figure::ALL
            .into_iter()
            .filter(|figure| figure.has(stance))
            .map(|figure| figure.value(figures))
    })
}
