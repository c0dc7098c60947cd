//! The plan: what a person has typed and chosen on the way to a set-up, and what it means.
//!
//! Typed text is kept as it was typed, with the units in which it was typed; what is wrong stays where it stands, says
//! why, and is left out of what is computed. One [`Plan`] is what the page shows, saves, and steps back through; nothing
//! here knows how it is shown.

pub mod advice;
pub mod body;
pub mod book;
pub mod code;
pub mod compared;
pub mod draft;
pub mod entry;
pub mod history;
pub mod leverage;
pub mod options;
pub mod place;
pub mod recorded;
pub mod rider_form;
pub mod setting;
pub mod sheet;
pub mod sled_fields;
pub mod sled_form;
pub mod stored;
pub mod words;

use serde::{Deserialize, Serialize};

use crate::order::Map;

pub use entry::{Entry, Kind, Units};
pub use history::History;
pub use rider_form::RiderForm;
pub use setting::{Chosen, LeverRolls, Setting};
pub use sled_form::{SledForm, SledPick};

/// Everything that a person entered and chose.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Plan {
    /// Units in which everything is shown.
    pub units: Units,
    /// The rider.
    pub rider: RiderForm,
    /// The sled.
    pub sled: SledForm,
    /// Settings moved by hand; none: the best fit stands.
    pub by_hand: Option<Chosen>,
    /// Levers turned by hand.
    #[serde(skip_serializing_if = "LeverRolls::is_empty")]
    pub levers: LeverRolls,
    /// Settings that the search must keep, with their values.
    pub kept: Map<Setting, f64>,
    /// The stance in front; empty: the first that the weight point is judged in.
    pub front: String,
}

impl Plan {
    /// The same on another sled: what was set by hand or kept on the former one means nothing there.
    #[must_use]
    pub fn on_sled(mut self, pick: SledPick) -> Self {
        if self.sled.pick != pick {
            self.sled.pick = pick;
            self.by_hand = None;
            self.levers = LeverRolls::default();
            self.kept.clear();
        }
        self
    }
}
