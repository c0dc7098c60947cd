//! What is shown of one stance, as numbers alone: quick enough to be asked for hundreds of riders who differ little.

use super::objective::{Care, Solved, solve, statics};
use super::request::Request;
use super::solve::travel_quickly;
use crate::sled::Cockpit;
use crate::stance::{Aim, Angles, Load, Pose, Problem, Settled, Stance};

/// A solved stance to start the same stance of a rider from who differs little.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Near(Solved);

/// What is shown of a stance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StanceFigures {
    /// Joint angles; the wrist's extension, which the levers give, is not among them.
    pub angles: Angles,
    /// How far each load of [`Load::ALL`] is held, g; `None` where its start is not.
    pub loads: [Option<f64>; Load::ALL.len()],
    /// How far the legs give, mm; `None` seated, or out of reach.
    pub leg_travel: Option<f64>,
    /// The drop that they take up, mm.
    pub drop: Option<f64>,
    /// Force of one hand at rest, N; `None` where the weight cannot be carried.
    pub hand: Option<f64>,
    /// Whether the posture keeps every limit.
    pub in_reach: bool,
}

/// What a stance costs and holds: the quickest of what is computed of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StanceHold {
    /// Cost of the posture.
    pub cost: f64,
    /// How far each load of [`Load::ALL`] is held, g; `None` where its start is not.
    pub loads: [Option<f64>; Load::ALL.len()],
    settled: Settled,
}

impl StanceHold {
    /// Whether the posture keeps every limit.
    pub fn in_reach(&self) -> bool {
        self.settled.feasible()
    }

    /// How far a load is held, g.
    pub fn load(&self, load: Load) -> Option<f64> {
        let at = Load::ALL.iter().position(|l| *l == load)?;
        self.loads[at]
    }
}

/// What a stance costs and holds on given settings, with what a neighbour's can start from.
pub fn stance_hold(
    request: &Request,
    cockpit: &Cockpit,
    stance: &Stance,
    near: Option<&Near>,
) -> (StanceHold, Near) {
    let solved = solve(request, cockpit, stance, near.map(|n| &n.0), Care::Exact);
    let problem = Problem::new(request.rider, cockpit, stance, solved.seat_share);
    let statics = statics(request, cockpit, stance, &problem.pose(&solved.settled));
    let found = StanceHold {
        cost: solved.settled.cost,
        loads: Load::ALL.map(|load| statics.load_factor(load)),
        settled: solved.settled,
    };
    (found, Near(solved))
}

/// The figures of a stance on given settings, with what the next rider's can start from.
pub fn figures(
    request: &Request,
    cockpit: &Cockpit,
    stance: &Stance,
    near: Option<&Near>,
) -> (StanceFigures, Near) {
    let mut solved = solve(request, cockpit, stance, near.map(|n| &n.0), Care::Exact);
    let problem = Problem::new(request.rider, cockpit, stance, solved.seat_share);
    let pose = problem.pose(&solved.settled);
    let on = |pose: &Pose| statics(request, cockpit, stance, pose);
    let statics = on(&pose);
    if !stance.contacts.seated {
        let before = near.and_then(|n| n.0.sunk).unwrap_or(solved.settled);
        solved.sunk = Some(problem.solve_near_roughly(&before, Aim::Sink));
    }
    let travel = travel_quickly(&problem, stance, &solved, |pose| {
        on(pose).vertical_capacity()
    });
    let found = StanceFigures {
        angles: pose.angles,
        loads: Load::ALL.map(|load| statics.load_factor(load)),
        leg_travel: travel.as_ref().map(|t| t.leg_travel),
        drop: travel.as_ref().map(|t| t.drop),
        hand: statics.working().map(|w| w.hand),
        in_reach: solved.settled.feasible(),
    };
    (found, Near(solved))
}
