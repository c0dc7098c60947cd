//! How the rider stands on what is drawn, and where the levers are: what stands, or what is under the pointer.

use std::sync::Arc;

use leptos::prelude::*;

use super::store::postures;
use crate::fit::levers::brake_in_hand;
use crate::fit::{SetUp, StanceResult};
use crate::order::Map;
use crate::plan::LeverRolls;
use crate::rider::Built;
use crate::sled::{Cockpit, Settings, Sled};
use crate::stance::{Posture, Stance};
use crate::view::machine::LeverView;

/// Every stance on the settings that are drawn, with the wrists that the drawn brake gives them.
#[derive(Clone, Debug, PartialEq)]
pub struct Posed {
    /// Postures, in the order of the stances.
    pub postures: Arc<Vec<Posture>>,
    /// The levers that are drawn.
    pub levers: LeverView,
}

/// What it follows from.
#[derive(Clone, Copy)]
pub struct Given {
    /// The rider.
    pub built: Memo<Option<Arc<Built>>>,
    /// The sled.
    pub sled: Memo<Option<Arc<Sled>>>,
    /// The stances.
    pub stances: StoredValue<Arc<Vec<Stance>>>,
    /// The settings that are drawn.
    pub drawn: Memo<Option<Settings>>,
    /// The set-up that stands.
    pub set_up: Memo<Option<Arc<SetUp>>>,
    /// Settings under the pointer.
    pub live: RwSignal<Option<Settings>>,
    /// Levers under the pointer.
    pub live_levers: RwSignal<Option<LeverView>>,
    /// Levers that were turned by hand.
    pub turned: Memo<LeverRolls>,
}

impl Given {
    /// The levers under the pointer, those that stand, or the middle of what the sled allows.
    fn levers(self, cockpit: &Cockpit) -> LeverView {
        let standing = || {
            self.set_up
                .with(|s| Some(LeverView::from(&s.as_ref()?.levers)))
        };
        let held = self.live_levers.get();
        held.or_else(standing)
            .unwrap_or_else(|| LeverView::middle(cockpit))
    }

    /// All of it, near what was drawn last.
    pub fn posed(self, last: Option<Posed>) -> Option<Posed> {
        let (built, sled) = (self.built.get()?, self.sled.get()?);
        let settings = self.drawn.get()?;
        let stances = self.stances.get_value();
        let cockpit = Cockpit::new(&sled, settings);
        let mut levers = self.levers(&cockpit);
        let set_up = self.set_up.get();
        let turning = self.live_levers.with(Option::is_some);
        let standing = set_up.as_ref().filter(|s| s.settings == settings);
        let mut solved: Vec<Posture> = if let Some(set_up) = standing {
            set_up.stances.iter().map(|s| s.posture.clone()).collect()
        } else {
            let share = |s: &StanceResult| {
                let working = s.hold.working.as_ref()?;
                Some((s.name.clone(), working.seat_share))
            };
            let shares: Map<String, f64> = set_up.as_ref().map_or_else(Map::new, |set_up| {
                set_up.stances.iter().filter_map(share).collect()
            });
            // Only a drag goes by small steps.
            let last = last.filter(|_| self.live.with(Option::is_some));
            let near = last.as_ref().map(|last| last.postures.as_slice());
            postures(&built, &sled, settings, &stances, &shares, near)
        };
        if standing.is_none() || turning {
            let poses: Vec<_> = stances.iter().zip(solved.iter().map(|s| &s.pose)).collect();
            // A brake that no hand has turned goes where the fit will put it once what is dragged is let go.
            let set = turning || self.turned.with(|turned| turned.brake_deg.is_some());
            let roll = set.then_some(levers.brake_roll);
            let (roll, wrists) =
                brake_in_hand(&built.rider, &cockpit, &poses, roll, levers.brake_reach);
            levers.brake_roll = roll;
            for (posture, wrist) in solved.iter_mut().zip(wrists) {
                posture.pose.angles.wrist_extension = wrist;
            }
        }
        Some(Posed {
            postures: Arc::new(solved),
            levers,
        })
    }
}
