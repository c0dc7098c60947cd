//! An option as it is asked for.

use crate::fit::{Keep, Request};
use crate::rider::{Built, Measurement};
use crate::sled::Sled;
use crate::stance::Stance;
use crate::units::Angle;
use crate::units::text::{MassUnit, System, coarse, format_mass};

/// One option, before it is fitted.
#[derive(Clone, Debug)]
pub struct Alternative {
    /// What a person calls it; empty: nothing beyond its letter.
    pub name: String,
    /// What the rider is called; empty: nobody said.
    pub rider_name: String,
    /// The rider, strength level included.
    pub built: Built,
    /// The sled.
    pub sled: Sled,
    /// The stances, weights included.
    pub stances: Vec<Stance>,
    /// What stays of its settings: nothing for a fit, everything for a set-up by hand.
    pub keep: Keep,
    /// Rolls from level of brake and throttle that were turned by hand.
    pub levers: (Option<Angle>, Option<Angle>),
    /// The one stance that is compared; none: all of them.
    pub stance: Option<usize>,
}

impl Alternative {
    /// The fit that it asks for.
    pub fn request(&self) -> Request<'_> {
        Request {
            keep: self.keep,
            ..Request::new(&self.built.rider, &self.sled, &self.stances)
        }
    }

    /// The name of the one stance that is compared.
    pub fn stance_name(&self) -> Option<&str> {
        self.stances.get(self.stance?).map(|s| s.name.as_str())
    }

    /// The place of the stance that stands in front: its own, else the one of that name, else the one that the weight point
    /// is judged in.
    pub fn front(&self, named: &str) -> usize {
        let named = self.stances.iter().position(|s| s.name == named);
        let neutral = || self.stances.iter().position(|s| s.carries_weight_point);
        self.stance.or(named).or_else(neutral).unwrap_or(0)
    }

    /// Who rides: by name, or by height and weight where nobody said one.
    pub fn who(&self) -> String {
        if !self.rider_name.is_empty() {
            return self.rider_name.clone();
        }
        let mean = |m| self.built.estimate.mean(m);
        format!(
            "{}, {}",
            coarse(mean(Measurement::Stature), System::Metric),
            format_mass(mean(Measurement::BodyMass), MassUnit::Kg, 1.0)
        )
    }

    /// Its letter with what it is called: "B", "B, firm seat", "B, firm seat, ready".
    pub fn title(&self, place: usize) -> String {
        let mut title = letter(place).to_string();
        for part in [self.name.as_str(), self.stance_name().unwrap_or_default()] {
            if !part.is_empty() {
                title.push_str(", ");
                title.push_str(part);
            }
        }
        title
    }
}

/// The letter of an option by its place, from A.
pub fn letter(place: usize) -> char {
    ['A', 'B', 'C', 'D'].get(place).copied().unwrap_or('–')
}
