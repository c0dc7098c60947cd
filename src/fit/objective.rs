//! The objective: what a choice of settings costs this rider.
//!
//! J = comfort·Σ wₖ·costₖ + weight_point·((x_com − mark)/sd)² + hold·Σ v·max(0, goal − g)² + leg_travel·Σ (max(0, goal −
//! travel)/100 mm)² + a small pull to mid-adjustment that only breaks ties. Costs are those of the best posture of each
//! stance. Limits that cannot be kept add [`BROKEN_PRICE`] for each degree (or 5 mm), so that where nothing is feasible
//! the nearest set-up comes out; a feasible set-up never pays it.

use super::outcome::TermShare;
use super::request::Request;
use super::solve::FEASIBLE;
use crate::hold::{Limits, Statics};
use crate::rider::Rider;
use crate::sled::{Cockpit, Settings};
use crate::stance::{Aim, Pose, Problem, SEAT_SHARE_AT_FIRST, Settled, Stance, span2};
use crate::units::{Angle, Point};

/// Price of a degree (or 5 mm) by which a limit is broken. A degree of discomfort costs about 0.1 near the optimum, so
/// no comfort buys a broken limit.
pub(super) const BROKEN_PRICE: f64 = 100.0;

/// A start that cannot be held at all counts as this much hold, g: worse than nothing.
const NOT_HELD: f64 = -1.0;

/// Shortfall of leg travel that counts as one unit, mm; our choice.
const TRAVEL_UNIT: f64 = 100.0;

/// Pull to mid-adjustment: cost at the end of the range of each adjustable setting. Our choice: below what a tape can
/// tell apart in posture.
const TIE: f64 = 0.005;

/// Passes between the posture and the seat's share of the weight at the most; two or three suffice nearly always.
const SEAT_PASSES: usize = 8;

/// The seat's share is settled when a pass moves it by less than this: the seat sinks by under 0.01 mm more, and a
/// posture cramped by the cockpit costs less than 0.002 more (seen: 7 per unit of share).
const SEAT_SETTLED: f64 = 2e-4;

/// The same where a table only orders what is refined: the seat sinks by half a millimetre more.
const SEAT_SETTLED_ROUGHLY: f64 = 1e-2;

/// The same where neighbours are told apart. Our choice.
const SEAT_SETTLED_NEAR: f64 = 1e-3;

/// A posture that is out by more than this (degrees, or 5 mm) from a neighbour's is out from every start. Of 3598 postures
/// on nodes of tables that were 0.1 to 3 out none was saved by starting afresh, of 259 nearer ones 199 were (122 riders,
/// three sleds). Our choice between.
const HOPELESS: f64 = 0.5;

/// How far the trunk turns at full lock to bring the outer shoulder forward; from memory, well inside the 35 to 45° of
/// thoracic and lumbar rotation.
pub const TRUNK_TWIST: Angle = Angle::from_deg(30.0);

/// Least elbow flexion of the outer hand at full lock: bent, not locked. Our choice.
pub const LOCK_ELBOW: Angle = Angle::from_deg(8.0);

/// One stance, solved.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Solved {
    pub settled: Settled,
    /// Share of the weight on the seat that the posture was solved with.
    pub seat_share: f64,
    /// The posture of greatest sink, or one that sinks as far as it counts, where the stance has a goal of leg travel.
    pub sunk: Option<Settled>,
}

impl Solved {
    /// Moved by as much as another moved.
    pub(crate) fn shifted(&self, from: &Self, to: &Self) -> Self {
        Self {
            settled: self.settled.shifted(&from.settled, &to.settled),
            seat_share: self.seat_share + to.seat_share - from.seat_share,
            sunk: match (&self.sunk, &from.sunk, &to.sunk) {
                (Some(s), Some(a), Some(b)) => Some(s.shifted(a, b)),
                _ => self.sunk,
            },
        }
    }
}

/// What settings cost, and where the postures ended, to start neighbours from.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Evaluation {
    pub settings: Settings,
    pub value: f64,
    /// Sum of broken limits.
    pub broken: f64,
    /// Every stance that was asked for, by its index; `None` for the others.
    pub solved: Vec<Option<Solved>>,
    /// What the value is the sum of.
    pub parts: Vec<(Part, f64)>,
}

impl Evaluation {
    /// The value without the price of broken limits.
    pub(super) fn unpriced(&self) -> f64 {
        self.value - BROKEN_PRICE * self.broken
    }

    /// What a table says of settings, and where postures may start: no exact value yet. The deepest sink starts afresh,
    /// since it has basins a few millimetres apart and a chain of rough ones may end in another than from scratch.
    pub(super) fn guessed(
        settings: Settings,
        value: f64,
        solved: impl Iterator<Item = Option<Solved>>,
    ) -> Self {
        let afresh = |solved: Solved| Solved {
            sunk: None,
            ..solved
        };
        Self {
            settings,
            value,
            broken: 0.0,
            solved: solved.map(|s| s.map(afresh)).collect(),
            parts: Vec::new(),
        }
    }
}

/// Which part of the objective to evaluate.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Scope {
    /// All of it.
    Whole,
    /// The same value, but a sink ends where it costs nothing: its posture is not the deepest.
    Value,
    /// Standing stances, roughly, and what depends on no stance.
    Standing,
    /// Seated stances alone, roughly.
    Seated,
    /// All of it, from a near neighbour, and only to be told from others: on a demo sled off by 5e-4 at the median,
    /// 3e-3 at the 90th percentile of 1600, and by much where another basin is found.
    Beside,
    /// Whole, but of every stance only its posture's cost and limits, from its neighbour's posture where there is one.
    Limits,
}

impl Scope {
    fn holds(self, stance: &Stance) -> bool {
        match self {
            Self::Whole | Self::Value | Self::Beside | Self::Limits => true,
            Self::Standing => !stance.contacts.seated,
            Self::Seated => stance.contacts.seated,
        }
    }
}

/// How exactly a stance is to be solved.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Care {
    /// To the end.
    Exact,
    /// For a table: well below what interpolation errs.
    Rough,
    /// From a near neighbour, to be told from others: posture as [`Care::Rough`], limits and the seat's share as well as
    /// they matter.
    Near,
    /// For limits alone: from the neighbour's posture, where there is one, and no other basin.
    Limits,
}

impl Care {
    /// Whether postures are only to be ordered.
    fn roughly(self) -> bool {
        matches!(self, Self::Rough | Self::Near)
    }

    fn solve(self, problem: &Problem) -> Settled {
        if self.roughly() {
            problem.solve_roughly(Aim::Comfort)
        } else {
            problem.solve(Aim::Comfort)
        }
    }

    fn solve_near(self, problem: &Problem, start: &Settled, aim: Aim) -> Settled {
        if self.roughly() {
            problem.solve_near_roughly(start, aim)
        } else {
            problem.solve_near(start, aim)
        }
    }
}

/// Solves one stance; seated, the sink under the pelvis follows the working load.
pub(super) fn solve(
    request: &Request,
    cockpit: &Cockpit,
    stance: &Stance,
    near: Option<&Solved>,
    care: Care,
) -> Solved {
    let mut share = near.map_or(SEAT_SHARE_AT_FIRST, |n| n.seat_share);
    let problem = Problem::new(request.rider, cockpit, stance, share);
    let warm = near.map(|n| care.solve_near(&problem, &n.settled, Aim::Comfort));
    let mut settled = match warm {
        Some(warm)
            if kept(&warm, care)
                || care == Care::Limits
                || (care.roughly() && warm.broken > HOPELESS) =>
        {
            warm
        }
        // A start that leads nowhere says nothing about other basins.
        _ => care.solve(&problem),
    };
    if care == Care::Limits && near.is_some() {
        return Solved {
            settled,
            seat_share: if stance.contacts.seated { share } else { 0.0 },
            sunk: None,
        };
    }
    if !stance.contacts.seated {
        return Solved {
            settled,
            seat_share: 0.0,
            sunk: None,
        };
    }
    // The seat sinks under the share of the weight that it carries, and that share follows from the posture.
    let enough = match care {
        Care::Exact | Care::Limits => SEAT_SETTLED,
        Care::Rough => SEAT_SETTLED_ROUGHLY,
        Care::Near => SEAT_SETTLED_NEAR,
    };
    for _ in 0..SEAT_PASSES {
        let problem = Problem::new(request.rider, cockpit, stance, share);
        let statics = statics(request, cockpit, stance, &problem.pose(&settled));
        let carried = statics
            .working()
            .map_or(SEAT_SHARE_AT_FIRST, |w| w.seat_share);
        if (carried - share).abs() < enough {
            break;
        }
        share = carried;
        let problem = Problem::new(request.rider, cockpit, stance, share);
        settled = care.solve_near(&problem, &settled, Aim::Comfort);
    }
    Solved {
        settled,
        seat_share: share,
        sunk: None,
    }
}

/// Whether a posture keeps every limit, as exactly as it was solved.
fn kept(settled: &Settled, care: Care) -> bool {
    settled.feasible() || (care == Care::Near && settled.broken <= FEASIBLE)
}

/// The statics of a pose with the request's friction and assumed limits.
pub(crate) fn statics(
    request: &Request,
    cockpit: &Cockpit,
    stance: &Stance,
    pose: &Pose,
) -> Statics {
    let limits = Limits::of(request.rider, cockpit, stance, &pose.angles);
    Statics::new(request.rider, cockpit, pose, limits, &request.options)
}

/// Evaluates settings; `near` holds the solved stances of neighbouring settings.
pub(crate) fn evaluate(
    request: &Request,
    settings: Settings,
    near: Option<&[Option<Solved>]>,
    scope: Scope,
) -> Evaluation {
    // A stance has some six parts at the most.
    let mut parts = Vec::with_capacity(6 * request.stances.len() + 2);
    let mut broken = 0.0;
    let solved = visit(request, settings, near, scope, |part, value, by| {
        parts.push((part, value + BROKEN_PRICE * by));
        broken += by;
    });
    Evaluation {
        settings,
        value: parts.iter().map(|(_, value)| value).sum(),
        broken,
        solved,
        parts,
    }
}

/// What the objective is the sum of, in words.
pub(super) fn terms(request: &Request, evaluation: &Evaluation) -> Vec<TermShare> {
    evaluation
        .parts
        .iter()
        .map(|(part, value)| TermShare {
            name: part.words(request),
            value: *value,
        })
        .collect()
}

/// Which part of the objective: a stance by its index, a goal by its index in the stance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Part {
    Posture(usize),
    WeightPoint(usize),
    Hold(usize, usize),
    LegTravel(usize),
    Limits(usize),
    Machine,
    MidAdjustment,
}

impl Part {
    fn words(self, request: &Request) -> String {
        let name = |k: usize| request.stances[k].name.as_str();
        match self {
            Self::Posture(k) => format!("posture {}", name(k)),
            Self::WeightPoint(k) => format!("weight point {}", name(k)),
            Self::Hold(k, g) => format!(
                "hold {} {}",
                request.stances[k].goals[g].load.name(),
                name(k)
            ),
            Self::LegTravel(k) => format!("leg travel {}", name(k)),
            Self::Limits(k) => format!("broken limits {}", name(k)),
            Self::Machine => "sled's own limits".to_owned(),
            Self::MidAdjustment => "mid-adjustment".to_owned(),
        }
    }
}

/// Visits every part: what, its value, and by how much limits are broken.
fn visit(
    request: &Request,
    settings: Settings,
    near: Option<&[Option<Solved>]>,
    scope: Scope,
    mut part: impl FnMut(Part, f64, f64),
) -> Vec<Option<Solved>> {
    let cockpit = Cockpit::new(request.sled, settings);
    let wants = &request.preferences;
    let care = match scope {
        Scope::Whole | Scope::Value => Care::Exact,
        Scope::Beside => Care::Near,
        Scope::Limits => Care::Limits,
        Scope::Standing | Scope::Seated => Care::Rough,
    };
    let mut all = Vec::with_capacity(request.stances.len());
    for (k, stance) in request.stances.iter().enumerate() {
        if !scope.holds(stance) {
            all.push(None);
            continue;
        }
        let before = near.and_then(|n| n.get(k)).and_then(Option::as_ref);
        let mut solved = solve(request, &cockpit, stance, before, care);
        let problem = Problem::new(request.rider, &cockpit, stance, solved.seat_share);
        let pose = problem.pose(&solved.settled);
        part(
            Part::Posture(k),
            wants.comfort * stance.weight * solved.settled.cost,
            0.0,
        );
        let mut broken = if kept(&solved.settled, care) {
            0.0
        } else {
            solved.settled.broken
        };
        if stance.carries_weight_point {
            let mark = request.sled.balance_mark;
            let off = (pose.com.x - mark.x) / mark.sd;
            part(Part::WeightPoint(k), wants.weight_point * off * off, 0.0);
            broken += lock_shortfall(request.rider, &cockpit, &pose) / 5.0;
        }
        part(Part::Limits(k), 0.0, broken);
        if scope == Scope::Limits {
            all.push(Some(solved));
            continue;
        }
        if !stance.goals.is_empty() && wants.hold > 0.0 {
            let statics = statics(request, &cockpit, stance, &pose);
            for (g, goal) in stance.goals.iter().enumerate() {
                let held = statics.load_factor(goal.load).unwrap_or(NOT_HELD);
                let short = (goal.g - held).max(0.0);
                part(
                    Part::Hold(k, g),
                    wants.hold * goal.weight * short * short,
                    0.0,
                );
            }
        }
        if stance.leg_travel_goal > 0.0 && wants.leg_travel > 0.0 {
            let goal = Aim::SinkTo(pose.points.hip.z - stance.leg_travel_goal);
            let known = before.and_then(|n| n.sunk).unwrap_or(solved.settled);
            let (start, aim) = match scope {
                Scope::Whole | Scope::Limits => (known, Aim::Sink),
                // As from scratch: a neighbour's sink may lie in another basin.
                Scope::Value => (solved.settled, goal),
                Scope::Standing | Scope::Seated | Scope::Beside => (known, goal),
            };
            let sunk = care.solve_near(&problem, &start, aim);
            let travel = pose.points.hip.z - problem.pose(&sunk).points.hip.z;
            let short = (stance.leg_travel_goal - travel).max(0.0) / TRAVEL_UNIT;
            part(Part::LegTravel(k), wants.leg_travel * short * short, 0.0);
            solved.sunk = Some(sunk);
        }
        all.push(Some(solved));
    }
    if scope == Scope::Seated {
        return all;
    }
    part(Part::Machine, 0.0, machine_broken(&cockpit));
    part(Part::MidAdjustment, mid_adjustment(request, &settings), 0.0);
    all
}

/// By how much the settings break the sled's own limits: hoses and footwell, in units of 5 mm.
fn machine_broken(cockpit: &Cockpit) -> f64 {
    let sled = cockpit.sled;
    let stretched = (cockpit.bar_centre - cockpit.riser_base()).norm();
    let hoses = sled
        .steering
        .hose_limit
        .map_or(0.0, |limit| (stretched - limit).max(0.0));
    let footwell = (cockpit.toe_stop.x - sled.board.footwell_front).max(0.0);
    (hoses + footwell) / 5.0
}

/// How much the outer hand falls short of its grip at full lock, mm; 0 where it reaches.
pub(super) fn lock_shortfall(rider: &Rider, cockpit: &Cockpit, pose: &Pose) -> f64 {
    (-lock_spare(rider, cockpit, pose)).max(0.0)
}

/// What is left of the outer hand's reach at full lock, mm, with the trunk turned by [`TRUNK_TWIST`] and the elbow at
/// [`LOCK_ELBOW`]; negative where it falls short.
pub(crate) fn lock_spare(rider: &Rider, cockpit: &Cockpit, pose: &Pose) -> f64 {
    let links = &rider.links;
    // Bars to the right bring the left grip forward.
    let grip = cockpit.steered(cockpit.grip, -cockpit.sled.steering.lock);
    let p = &pose.points;
    let shoulder_line = Point::new(p.shoulder.x, 0.0, p.shoulder.z);
    let across = p.shoulder - shoulder_line;
    let lean = pose.angles.trunk;
    let front = Point::new(lean.cos(), 0.0, -lean.sin());
    let shoulder =
        shoulder_line + across * TRUNK_TWIST.cos() + front * (across.norm() * TRUNK_TWIST.sin());
    let reach = span2(links.upper_arm, links.forearm, LOCK_ELBOW).sqrt();
    reach - (grip - shoulder).norm()
}

/// The pull to the middle of every adjustable range.
fn mid_adjustment(request: &Request, settings: &Settings) -> f64 {
    let sled = request.sled;
    let off = |value: f64, low: f64, high: f64| {
        let half = (high - low) / 2.0;
        if half > 1e-9 {
            (value - (low + high) / 2.0) / half
        } else {
            0.0
        }
    };
    let (low, high) = sled.risers[settings.riser].angles.bounds();
    let angle = off(settings.riser_angle.rad(), low.rad(), high.rad());
    let roll = off(
        settings.bar_roll.rad(),
        sled.bar_roll.0.rad(),
        sled.bar_roll.1.rad(),
    );
    let stirrup = off(
        settings.stirrup,
        sled.stirrup.positions.last().copied().unwrap_or(0.0),
        0.0,
    );
    TIE * (angle * angle + roll * roll + stirrup * stirrup)
}
