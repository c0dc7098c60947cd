//! Which single change of the set-up would have held the hardest moments.
//!
//! Every single step that the sled allows is solved anew and the envelopes of the judged stances are traced again; a
//! moment is held where its hardest load lies inside one of them. That is the moment's peak alone, and the rider is
//! taken to be as strong as before.

use super::region::{Region, best};
use crate::change::what_if;
use crate::fit::{Request, SetUp, stance_result};
use crate::hold::Sideways;
use crate::sled::{Cockpit, Settings};
use crate::stance::Stance;

/// A change with what it would have held.
#[derive(Clone, Debug, PartialEq)]
pub struct Change {
    /// Which setting: `stirrup`, `riser_height`, …
    pub setting: &'static str,
    /// What is done, in words.
    pub says: String,
    /// Whether every hard condition is met after it.
    pub fits: bool,
    /// What it breaks, in words.
    pub breaks: Vec<String>,
    /// How many of the moments would have been held.
    pub held: usize,
    /// How far the hardest of them would still be outside, g; negative where all are held.
    pub left: f64,
    /// By how much the loads would come nearer to the inside, on the mean, g; negative where they move out.
    pub eased: f64,
}

/// Least easing that is worth telling, g; our choice: no rider feels less.
pub const LEAST: f64 = 0.02;

/// Stances that a run is judged in: the one that is named, or every standing one.
///
/// # Errors
/// The names there are, where none is called so.
pub fn judged<'a>(stances: &'a [Stance], name: Option<&str>) -> Result<Vec<&'a Stance>, String> {
    let chosen: Vec<&Stance> = stances
        .iter()
        .filter(|s| name.map_or(!s.contacts.seated, |name| s.name == name))
        .collect();
    if chosen.is_empty() {
        let names: Vec<&str> = stances.iter().map(|s| s.name.as_str()).collect();
        return Err(names.join(", "));
    }
    Ok(chosen)
}

/// The hold envelopes of a set-up in these stances.
pub fn regions(set_up: &SetUp, stances: &[&Stance]) -> Vec<Region> {
    let result = |stance: &&Stance| set_up.stances.iter().find(|s| s.name == stance.name);
    stances
        .iter()
        .filter_map(result)
        .map(|s| Region::new(&s.name, &s.hold.envelope))
        .collect()
}

/// What a set-up holds sideways in these stances, in the plane of (|f_y|, f_z), hips in the middle.
pub fn corners(request: &Request, set_up: &SetUp, stances: &[&Stance]) -> Vec<Region> {
    let cockpit = Cockpit::new(request.sled, set_up.settings);
    let region = |stance: &&Stance| {
        let result = set_up.stances.iter().find(|s| s.name == stance.name)?;
        let pose = &result.posture.pose;
        let sideways = Sideways::new(request.rider, &cockpit, stance, pose, &request.options, 0.0);
        let half = sideways.map(|s| s.outward()).unwrap_or_default();
        let corners = half
            .iter()
            .map(|e| ([e.f_y, e.f_z], e.gives_first.as_str()));
        Some(Region::of(&stance.name, &corners.collect::<Vec<_>>()))
    };
    stances.iter().filter_map(region).collect()
}

/// Tries every single step for these loads, (f_x, f_z) in g: those first that fit, hold most and ease most.
pub fn changes(
    request: &Request,
    set_up: &SetUp,
    stances: &[&Stance],
    loads: &[[f64; 2]],
) -> Vec<Change> {
    if loads.is_empty() {
        return Vec::new();
    }
    let before = excesses(&regions(set_up, stances), loads);
    let mut all: Vec<Change> = what_if(request, set_up)
        .into_iter()
        .map(|step| {
            let after = excesses(&regions_at(request, step.settings, stances), loads);
            let eased: f64 = before.iter().zip(&after).map(|(b, a)| b - a).sum();
            Change {
                setting: step.setting,
                says: step.says,
                fits: step.fits,
                breaks: step.breaks,
                held: after.iter().filter(|by| **by <= 0.0).count(),
                left: after.iter().copied().fold(f64::NEG_INFINITY, f64::max),
                eased: eased / loads.len() as f64,
            }
        })
        .collect();
    all.sort_by(|a, b| {
        let first = b.fits.cmp(&a.fits).then(b.held.cmp(&a.held));
        first.then(b.eased.total_cmp(&a.eased))
    });
    all
}

fn regions_at(request: &Request, settings: Settings, stances: &[&Stance]) -> Vec<Region> {
    let cockpit = Cockpit::new(request.sled, settings);
    let region = |stance: &&Stance| {
        let result = stance_result(request, &cockpit, stance);
        Region::new(&result.name, &result.hold.envelope)
    };
    stances.iter().map(region).collect()
}

/// How far outside each load lies, g.
fn excesses(regions: &[Region], loads: &[[f64; 2]]) -> Vec<f64> {
    let by = |f: &[f64; 2]| best(regions, *f).map_or(0.0, |(_, by, _)| by);
    loads.iter().map(by).collect()
}
