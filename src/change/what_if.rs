//! What if: each single step that the sled allows, all else fixed, solved anew and told as signed changes.

use serde::Serialize;

use super::figures::{Better, Depth, Figure};
use super::step::{Standing, Step};
use super::tried::Tried;
use crate::fit::{Request, SetUp};
use crate::sled::Settings;

/// One step and what it changes.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
pub struct WhatIf {
    /// What the step changes: `stirrup`, `riser_height`, `riser_angle`, `bar_roll`, `seat`, `clamp`, `bar`.
    pub setting: &'static str,
    /// What is done, in words.
    pub says: String,
    /// Whether every hard condition is met after it.
    pub fits: bool,
    /// What it breaks, in words.
    pub breaks: Vec<String>,
    /// Figures before and after; stances in their order.
    pub figures: Vec<FigureChange>,
    /// The settings after it.
    #[serde(skip)]
    pub settings: Settings,
}

/// A figure before and after a step.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
pub struct FigureChange {
    /// Which: `knee`, `hold_short_landing_1g`, `hand_load`, …
    pub figure: &'static str,
    /// In which stance; left out where it belongs to the whole set-up.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub stance: Option<String>,
    /// Unit of the values: `deg`, `mm`, `g`, `N`, `Nm`, `J`, or empty.
    pub unit: &'static str,
    /// Before; null where it cannot be had.
    pub from: Option<f64>,
    /// After; null where it cannot be had.
    pub to: Option<f64>,
    /// What is comfortable in that stance, where that decides.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub preferred: Option<f64>,
    /// After less before; null where either is.
    pub change: Option<f64>,
}

impl FigureChange {
    /// From two figures of the same kind and stance.
    pub(super) fn new(request: &Request, before: &Figure, after: &Figure) -> Self {
        let row = before.kind.row();
        Self {
            figure: row.name,
            stance: before.stance.map(|k| request.stances[k].name.clone()),
            unit: row.unit,
            from: before.value,
            to: after.value,
            preferred: (row.better == Better::Preferred).then_some(before.preferred),
            change: before.value.zip(after.value).map(|(a, b)| b - a),
        }
    }
}

/// Tries every single step from a set-up with all else fixed: one stirrup position, one riser step, 2° of riser angle
/// and of bar roll, each other seat, clamp and bar. Empty where the sled allows none.
pub fn what_if(request: &Request, set_up: &SetUp) -> Vec<WhatIf> {
    let standing = Tried::standing(request, set_up, Depth::Shown);
    let here = Standing {
        sled: request.sled,
        settings: set_up.settings,
        levers: &set_up.levers,
    };
    let steps = here.settings_steps();
    steps
        .iter()
        .map(|step| told(request, &standing, step))
        .collect()
}

fn told(request: &Request, standing: &Tried, step: &Step) -> WhatIf {
    let tried = Tried::step(request, step, standing, Depth::Shown);
    let shown = |figure: &&Figure| Depth::Shown.shows(figure.kind);
    let figures = standing
        .figures()
        .filter(shown)
        .zip(tried.figures().filter(shown))
        .map(|(before, after)| FigureChange::new(request, before, after))
        .collect();
    WhatIf {
        setting: step.subject.name(),
        says: step.says.clone(),
        fits: tried.breaks.is_empty(),
        breaks: tried.breaks,
        figures,
        settings: step.settings,
    }
}
