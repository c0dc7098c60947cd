//! A step tried: everything solved anew from the postures at hand, then its figures, and what it breaks.

use super::figures::{Depth, Figure, body_figures, lever_figures};
use super::step::Step;
use crate::fit::lock::lock_to_lock;
use crate::fit::{Evaluation, FEASIBLE, Levers, Request, Scope, SetUp, Solved, score, what_binds};
use crate::sled::{Cockpit, Settings};
use crate::stance::{Pose, Problem, Stance};

/// A set-up with its figures, whichever way it came about.
pub(super) struct Tried {
    pub evaluation: Evaluation,
    body: Vec<Figure>,
    hands: Vec<Figure>,
    poses: Vec<Pose>,
    /// What must be done beside the step, in words.
    pub also: Vec<String>,
    /// Hard conditions that it breaks, in words.
    pub breaks: Vec<String>,
}

impl Tried {
    /// The set-up as it stands.
    pub fn standing(request: &Request, set_up: &SetUp, depth: Depth) -> Self {
        let near = start(request, set_up);
        Self::at(request, set_up.settings, &near, &set_up.levers, depth)
    }

    /// A step from it.
    pub fn step(request: &Request, step: &Step, from: &Self, depth: Depth) -> Self {
        let request = Request {
            sled: &step.sled,
            ..*request
        };
        if step.subject.is_lever() {
            // The body stays as it is.
            let (evaluation, body) = (from.evaluation.clone(), from.body.clone());
            return Self::with_levers(&request, evaluation, body, from.poses.clone(), &step.levers);
        }
        Self::at(&request, step.settings, &from.near(), &step.levers, depth)
    }

    /// The same settings and levers under a rider, or in a world, that differs little.
    pub fn again(&self, request: &Request, placed: &Levers, depth: Depth) -> Self {
        let settings = self.evaluation.settings;
        Self::at(request, settings, &self.near(), placed, depth)
    }

    /// Its postures, to start others from. Where the hips sink deepest is looked for from the posture itself, as from
    /// scratch: there may be two places.
    fn near(&self) -> Vec<Option<Solved>> {
        let solved = self.evaluation.solved.iter();
        solved
            .map(|s| s.map(|s| Solved { sunk: None, ..s }))
            .collect()
    }

    fn at(
        request: &Request,
        settings: Settings,
        near: &[Option<Solved>],
        placed: &Levers,
        depth: Depth,
    ) -> Self {
        let evaluation = score(request, settings, Some(near), Scope::Whole);
        let (body, poses) = body_figures(request, &evaluation, depth);
        Self::with_levers(request, evaluation, body, poses, placed)
    }

    fn with_levers(
        request: &Request,
        evaluation: Evaluation,
        body: Vec<Figure>,
        poses: Vec<Pose>,
        placed: &Levers,
    ) -> Self {
        let cockpit = Cockpit::new(request.sled, evaluation.settings);
        let stances: Vec<(&Stance, &Pose)> = request.stances.iter().zip(&poses).collect();
        let (hands, levers) = lever_figures(request, &cockpit, &stances, placed);
        let mut breaks = Vec::new();
        if evaluation.broken > FEASIBLE {
            breaks.push(what_binds(request, &evaluation));
        }
        let verdicts = lock_to_lock(request.rider, &cockpit, &levers, &stances);
        let failed = verdicts.iter().filter(|v| v.met == Some(false));
        breaks.extend(failed.map(|v| format!("{}: {}", v.name, v.says)));
        Self {
            evaluation,
            body,
            hands,
            poses,
            also: [levers.brake.notes, levers.throttle.notes].concat(),
            breaks,
        }
    }

    /// Every figure, in an order that depends on stances and depth alone.
    pub fn figures(&self) -> impl Iterator<Item = &Figure> {
        self.body.iter().chain(&self.hands)
    }

    /// The standing stance with the hips furthest behind the stirrup's stop.
    pub fn rearmost(&self, request: &Request) -> Option<usize> {
        let standing = request.stances.iter().zip(&self.poses).enumerate();
        standing
            .filter(|(_, (stance, _))| !stance.contacts.seated)
            .min_by(|(_, (_, a)), (_, (_, b))| a.points.hip.x.total_cmp(&b.points.hip.x))
            .map(|(k, _)| k)
    }

    /// Whether it keeps every hard condition that the other keeps.
    pub fn fits_as_well_as(&self, other: &Self) -> bool {
        self.evaluation.broken <= other.evaluation.broken.max(FEASIBLE)
            && self.breaks_beyond(other).is_empty()
    }

    /// What it breaks that the other does not.
    pub fn breaks_beyond(&self, other: &Self) -> Vec<String> {
        let known = |name: &str| other.breaks.iter().any(|b| subject(b) == subject(name));
        let new = self.breaks.iter().filter(|b| !known(b));
        new.cloned().collect()
    }
}

/// The postures of a set-up, to start others from.
pub(super) fn start(request: &Request, set_up: &SetUp) -> Vec<Option<Solved>> {
    let cockpit = Cockpit::new(request.sled, set_up.settings);
    request
        .stances
        .iter()
        .map(|stance| {
            let shown = set_up.stances.iter().find(|s| s.name == stance.name)?;
            let carried = shown.hold.working.as_ref().map(|w| w.seat_share);
            let seat_share = carried.unwrap_or(crate::stance::SEAT_SHARE_AT_FIRST);
            let problem = Problem::new(request.rider, &cockpit, stance, seat_share);
            Some(Solved {
                settled: problem.from_pose(&shown.posture.pose),
                seat_share,
                sunk: None,
            })
        })
        .collect()
}

/// What a broken condition is about: its words up to the figures.
fn subject(says: &str) -> &str {
    says.split(':').next().unwrap_or(says)
}
