//! Which single change of the set-up would have held the hardest moments.
//!
//! Every single step that the sled allows is solved anew, and each judged stance is held against the moment's whole load
//! (f_x, f_y, f_z), hips in the middle, f_y being 0 where the run has no lateral channel. A moment is held where one stance
//! holds its hardest load. That is the moment's peak alone, and the rider is taken to be as strong as before.

use super::region::Region;
use crate::change::{WhatIf, what_if};
use crate::fit::{Request, SetUp, stance_result};
use crate::hold::Sideways;
use crate::order;
use crate::sled::{Cockpit, Settings};
use crate::stance::{Pose, Stance};

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
    /// How far the hardest of them would still be outside, g, along its way from rest; negative where all are held.
    pub left: f64,
    /// Along those ways, by how much the loads would come nearer to the inside, on the mean, g; negative where they move out.
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
    let region = |(stance, body): (&&Stance, Sideways)| {
        let half = body.outward();
        let corners = half
            .iter()
            .map(|e| ([e.f_y, e.f_z], e.gives_first.as_str()));
        Region::of(&stance.name, &corners.collect::<Vec<_>>())
    };
    let bodies = bodies(request, set_up.settings, stances, |stance| {
        let result = set_up.stances.iter().find(|s| s.name == stance.name)?;
        Some(result.posture.pose)
    });
    bodies.map(region).collect()
}

/// The stances on these settings, each with both sides of its body.
fn bodies<'a>(
    request: &'a Request,
    settings: Settings,
    stances: &'a [&'a Stance],
    pose: impl Fn(&Stance) -> Option<Pose> + 'a,
) -> impl Iterator<Item = (&'a &'a Stance, Sideways)> {
    let cockpit = Cockpit::new(request.sled, settings);
    stances.iter().filter_map(move |stance| {
        let (rider, options) = (request.rider, &request.options);
        let body = Sideways::new(rider, &cockpit, stance, &pose(stance)?, options, 0.0);
        Some((stance, body.ok()?))
    })
}

/// Tries every single step for lists of loads, (f_x, f_y, f_z) in g. For each list the changes, those first that fit, hold
/// most and ease most; none for an empty list.
pub fn changes<const N: usize>(
    request: &Request,
    set_up: &SetUp,
    stances: &[&Stance],
    lists: [&[[f64; 3]]; N],
) -> [Vec<Change>; N] {
    if lists.iter().all(|loads| loads.is_empty()) {
        return lists.map(|_| Vec::new());
    }
    let at = |settings: Settings| -> Vec<Sideways> {
        let cockpit = Cockpit::new(request.sled, settings);
        let pose = |stance: &Stance| Some(stance_result(request, &cockpit, stance).posture.pose);
        let bodies = bodies(request, settings, stances, pose);
        bodies.map(|(_, body)| body).collect()
    };
    let before = at(set_up.settings);
    let steps: Vec<(WhatIf, Vec<Sideways>)> = what_if(request, set_up)
        .into_iter()
        .map(|step| {
            let after = at(step.settings);
            (step, after)
        })
        .collect();
    lists.map(|loads| {
        if loads.is_empty() {
            return Vec::new();
        }
        let before = beyond(&before, loads);
        let change = |(step, after): &(WhatIf, Vec<Sideways>)| {
            let after = beyond(after, loads);
            let eased: f64 = before.iter().zip(&after).map(|(b, a)| b - a).sum();
            Change {
                setting: step.setting,
                says: step.says.clone(),
                fits: step.fits,
                breaks: step.breaks.clone(),
                held: after.iter().filter(|by| **by <= 0.0).count(),
                left: after.iter().copied().fold(f64::NEG_INFINITY, f64::max),
                eased: eased / loads.len() as f64,
            }
        };
        let mut all: Vec<Change> = steps.iter().map(change).collect();
        order::sort(&mut all, |a, b| {
            let first = b.fits.cmp(&a.fits).then(b.held.cmp(&a.held));
            first.then(b.eased.total_cmp(&a.eased))
        });
        all
    })
}

/// How far outside each load lies in the stance that holds it best, g.
fn beyond(bodies: &[Sideways], loads: &[[f64; 3]]) -> Vec<f64> {
    let best = |f: &[f64; 3]| {
        let each = bodies.iter().map(|body| body.beyond(*f));
        each.min_by(f64::total_cmp).unwrap_or(0.0)
    };
    loads.iter().map(best).collect()
}
