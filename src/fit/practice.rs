//! What practice says beside a setting where the computation disagrees, with the figures of trying it.
//!
//! Practice sets tall riders' stirrups further back, for leverage on short landings (common practice, no source). The
//! hold does rise as stirrups go back, but in the whole fit the weight point pins them wherever a rider's size would
//! have them. Nothing in the objective is bent to follow practice: the note says what one position back costs and gains.

use super::objective::{Care, Evaluation, Solved, solve, statics};
use super::request::Request;
use crate::sled::{Cockpit, Settings};
use crate::stance::{Load, Problem, Stance};

/// Notes on a set-up, in words.
pub(super) fn notes(request: &Request, best: &Evaluation) -> Vec<String> {
    stirrups_further_back(request, best).into_iter().collect()
}

/// What one stirrup position further back changes where the weight point is judged; `None` where there is no position
/// further back, or either posture cannot be held.
fn stirrups_further_back(request: &Request, best: &Evaluation) -> Option<String> {
    let here = best.settings;
    let positions = &request.sled.stirrup.positions;
    let next = *positions.iter().find(|x| **x < here.stirrup - LEAST_MOVE)?;
    let k = request
        .stances
        .iter()
        .position(|s| s.carries_weight_point)?;
    let stance = &request.stances[k];
    let now = Figures::of(request, here, stance, best.solved.get(k)?.as_ref())?;
    let back = Settings {
        stirrup: next,
        ..here
    };
    let tried = Figures::of(request, back, stance, best.solved.get(k)?.as_ref())?;
    Some(format!(
        "Stirrups: tall riders commonly run them further back, for leverage on short landings (common practice, no \
         source); this computation places them mainly by the weight point. One position back ({next:.0} mm), all else \
         kept, changes {}'s short landing hold from {:.2} to {:.2} g and its weight from {} to {} the balance mark.",
        stance.name,
        now.hold,
        tried.hold,
        ahead(now.weight_ahead),
        ahead(tried.weight_ahead),
    ))
}

/// Positions closer than this are the same one, mm: no tape tells them apart.
const LEAST_MOVE: f64 = 0.5;

/// What a stirrup position is judged by in this note.
struct Figures {
    /// Short landing hold from rest, g.
    hold: f64,
    /// Centre of mass ahead of the balance mark, mm.
    weight_ahead: f64,
}

impl Figures {
    fn of(
        request: &Request,
        settings: Settings,
        stance: &Stance,
        near: Option<&Solved>,
    ) -> Option<Self> {
        let cockpit = Cockpit::new(request.sled, settings);
        let solved = solve(request, &cockpit, stance, near, Care::Exact);
        if !solved.settled.feasible() {
            return None;
        }
        let pose =
            Problem::new(request.rider, &cockpit, stance, solved.seat_share).pose(&solved.settled);
        Some(Self {
            hold: statics(request, &cockpit, stance, &pose).load_factor(Load::ShortLanding1g)?,
            weight_ahead: pose.com.x - request.sled.balance_mark.x,
        })
    }
}

/// A signed distance, mm, in words.
fn ahead(by: f64) -> String {
    if by >= 0.0 {
        format!("{by:.0} mm ahead of")
    } else {
        format!("{:.0} mm behind", -by)
    }
}
