//! From a request to a whole answer: search, then everything that is shown about the best set-up.

use super::helps::what_helps;
use super::levers;
use super::lock;
use super::objective::{Care, Evaluation, Scope, Solved, evaluate as score, solve, statics, terms};
use super::outcome::{
    Distances, Fit, FitStatus, LeverPlacement, Levers, SetUp, StanceResult, Verdict,
};
use super::practice;
use super::request::{Keep, Request};
use super::search::search;
use super::steps::Steps;
use crate::hold::{FORCE_CAP, evaluate_within, leg_travel};
use crate::hold::{Hold, Limits, Pace, Travel};
use crate::order;
use crate::sled::{Cockpit, Settings, Sled};
use crate::stance::{Aim, LimitUnit, Pose, Problem, Settled, Stance, Status};
use crate::units::Angle;

/// A set-up whose limits are broken by less than this (degrees, or 5 mm, summed) is feasible: what a level can show.
pub(crate) const FEASIBLE: f64 = 0.01;

/// Fits a rider to a sled: the best settings over every combination that is not kept, with all that is shown of them.
///
/// Deterministic. Infeasible is an outcome: the nearest set-up comes with the limit that binds and the smallest
/// changes of parts that would help.
pub fn fit(request: &Request) -> Fit {
    let ranking = search(request);
    let mut warnings = Vec::new();
    let chosen = ranking
        .first()
        .map_or_else(|| first_settings(request.sled), |e| e.settings);
    // Solved afresh, so that the same settings give the same answer whichever way they were found.
    let best = &score(request, chosen, None, Scope::Whole);
    let status = if best.broken <= FEASIBLE {
        FitStatus::Fits
    } else {
        FitStatus::Infeasible {
            binds: what_binds(request, best),
            helps: what_helps(request, best),
        }
    };
    let best_set_up = set_up(request, best);
    if request.rider.links.boot_half_width * 2.0 > request.sled.stirrup.hoop_width {
        warnings.push("The boot is wider than the stirrup's hoop.".to_owned());
    }
    if let FitStatus::Fits = status {
        let rest: Vec<&Evaluation> = ranking
            .iter()
            .skip(1)
            .filter(|e| e.broken <= FEASIBLE)
            .collect();
        let close = rest.iter().filter(|e| e.value < best.value + 0.1).count();
        if close > 0 {
            warnings.push(format!(
                "{close} other combination{} of parts and stirrup position cost{} nearly the same: the landscape is flat here.",
                if close == 1 { "" } else { "s" },
                if close == 1 { "s" } else { "" },
            ));
        }
    }
    let practice = practice::notes(request, best);
    let ranking = ranking.iter().map(|e| (e.settings, e.value)).collect();
    Fit {
        status,
        best: best_set_up,
        warnings,
        practice,
        ranking,
    }
}

/// Evaluates given settings whole, without a search.
pub fn evaluate(request: &Request, settings: Settings) -> SetUp {
    set_up(request, &score(request, settings, None, Scope::Whole))
}

/// Evaluates given settings as a [`Fit`]: says whether every hard condition is met and what would help.
pub fn pose(request: &Request, settings: Settings) -> Fit {
    fit(&Request {
        keep: Keep::all(settings),
        ..*request
    })
}

/// The objective of given settings with its postures solved from scratch.
pub fn objective(request: &Request, settings: Settings) -> f64 {
    score(request, settings, None, Scope::Value).value
}

fn first_settings(sled: &Sled) -> Settings {
    Settings {
        riser: 0,
        clamp: 0,
        bar: 0,
        seat: 0,
        stirrup: sled.stirrup.positions.first().copied().unwrap_or(0.0),
        riser_angle: sled.risers[0].angles.bounds().0,
        bar_roll: sled.bar_roll.0,
    }
}

/// One stance on given settings with its hold and leg travel.
pub fn stance_result(request: &Request, cockpit: &Cockpit, stance: &Stance) -> StanceResult {
    let solved = solve(request, cockpit, stance, None, Care::Exact);
    result_of(request, cockpit, stance, &solved)
}

fn result_of(
    request: &Request,
    cockpit: &Cockpit,
    stance: &Stance,
    solved: &Solved,
) -> StanceResult {
    let problem = Problem::new(request.rider, cockpit, stance, solved.seat_share);
    let posture = problem.posture(&solved.settled);
    let limits = Limits::of(request.rider, cockpit, stance, &posture.pose.angles);
    let hold = evaluate_within(
        request.rider,
        cockpit,
        stance,
        &posture.pose,
        limits,
        &request.options,
    );
    StanceResult {
        name: stance.name.clone(),
        posture,
        hold: Hold {
            travel: travel(&problem, stance, solved, Pace::SHOWN, |pose| {
                statics(request, cockpit, stance, pose).vertical_capacity()
            }),
            ..hold
        },
    }
}

/// Leg travel of a standing stance whose posture is within its limits; `capacity` as for [`leg_travel`].
fn travel(
    problem: &Problem,
    stance: &Stance,
    solved: &Solved,
    pace: Pace,
    capacity: impl FnMut(&Pose) -> f64,
) -> Option<Travel> {
    (!stance.contacts.seated && solved.settled.feasible()).then(|| {
        let top = problem.pose(&solved.settled).points.hip.z;
        let mut last = solved.settled;
        let sink = |sink: f64| {
            let next = problem.solve_near(&last, Aim::HipsAtMost(top - sink));
            if next.feasible() {
                last = next;
                return Ok(problem.pose(&next));
            }
            Err(stopped_by(&problem.posture(&last).status))
        };
        leg_travel(sink, capacity, FORCE_CAP, pace)
    })
}

/// The same in long steps, the path ending near the deepest posture that is known, mostly.
pub(crate) fn travel_quickly(
    problem: &Problem,
    stance: &Stance,
    solved: &Solved,
    capacity: impl FnMut(&Pose) -> f64,
) -> Option<Travel> {
    let hips = |settled: &Settled| problem.pose(settled).points.hip.z;
    let top = hips(&solved.settled);
    let deepest = solved.sunk.map_or(top, |sunk| top - hips(&sunk));
    travel(problem, stance, solved, Pace::quick(deepest), capacity)
}

/// What a sinking posture rests on.
fn stopped_by(status: &Status) -> String {
    match status {
        Status::Solved => "the arms' and legs' reach".to_owned(),
        Status::AtLimit(limits) | Status::OutOfReach(limits) => limits
            .iter()
            .map(|l| l.name.clone())
            .collect::<Vec<_>>()
            .join(", "),
    }
}

fn set_up(request: &Request, evaluation: &Evaluation) -> SetUp {
    let cockpit = Cockpit::new(request.sled, evaluation.settings);
    let mut stances: Vec<StanceResult> = request
        .stances
        .iter()
        .zip(&evaluation.solved)
        .map(|(stance, solved)| match solved {
            Some(solved) => result_of(request, &cockpit, stance, solved),
            None => stance_result(request, &cockpit, stance),
        })
        .collect();
    let levers = levers::place(request.rider, &cockpit, &posed(request, &stances));
    let verdicts = judged(request, &cockpit, &mut stances, &levers);
    SetUp {
        settings: evaluation.settings,
        objective: evaluation.value,
        terms: terms(request, evaluation),
        distances: Distances::measure(&cockpit, &levers),
        stances,
        levers,
        verdicts,
    }
}

/// The same set-up with levers turned by hand to these rolls from level; one that is not given stays where the fit puts
/// it. Hands, gaps, verdicts and distances follow.
pub fn with_levers(
    request: &Request,
    set_up: SetUp,
    brake: Option<Angle>,
    throttle: Option<Angle>,
) -> SetUp {
    if brake.is_none() && throttle.is_none() {
        return set_up;
    }
    let turned = |lever: &LeverPlacement, roll: Option<Angle>| LeverPlacement {
        roll_to_bar: lever.roll_to_bar + (roll.unwrap_or(lever.roll) - lever.roll),
        ..lever.clone()
    };
    let placed = Levers {
        brake: turned(&set_up.levers.brake, brake),
        throttle: turned(&set_up.levers.throttle, throttle),
        ..set_up.levers.clone()
    };
    replaced(
        request,
        set_up,
        placed,
        (brake.is_some(), throttle.is_some()),
    )
}

/// Where a lever stands, as it is taped.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Taped {
    /// Distance of its clamp band from the grip's inner end, mm.
    pub along: f64,
    /// Roll from horizontal forward, positive downward.
    pub roll: Angle,
    /// Grip surface to blade or paddle, mm.
    pub lever_reach: f64,
}

/// The same set-up with levers where they were taped; one that was not stays where the fit puts it. Hands, gaps, verdicts
/// and distances follow. A reach between two steps of the adjuster counts as the nearest for the hands, and as taped for
/// the tape.
pub fn with_levers_taped(
    request: &Request,
    set_up: SetUp,
    brake: Option<Taped>,
    throttle: Option<Taped>,
) -> SetUp {
    if brake.is_none() && throttle.is_none() {
        return set_up;
    }
    let moved = |lever: &LeverPlacement, taped: Option<Taped>, steps: Steps| match taped {
        None => lever.clone(),
        Some(taped) => LeverPlacement {
            along: taped.along,
            roll_to_bar: lever.roll_to_bar + (taped.roll - lever.roll),
            reach_step: steps.nearest(taped.lever_reach),
            ..lever.clone()
        },
    };
    let sled = request.sled;
    let placed = Levers {
        brake: moved(
            &set_up.levers.brake,
            brake,
            Steps::new(sled.brake.reach, sled.brake.reach_steps),
        ),
        throttle: moved(
            &set_up.levers.throttle,
            throttle,
            Steps::new(sled.throttle.reach, sled.throttle.reach_steps),
        ),
        ..set_up.levers.clone()
    };
    let given = (brake.is_some(), throttle.is_some());
    let mut set_up = replaced(request, set_up, placed, given);
    let levers = &mut set_up.levers;
    for (lever, taped) in [(&mut levers.brake, brake), (&mut levers.throttle, throttle)] {
        if let Some(taped) = taped {
            lever.lever_reach = taped.lever_reach;
        }
    }
    let cockpit = Cockpit::new(sled, set_up.settings);
    set_up.distances = Distances::measure(&cockpit, &set_up.levers);
    set_up
}

/// The set-up with levers as they are placed; of one that was not placed by hand all stays as the fit put it.
fn replaced(request: &Request, set_up: SetUp, placed: Levers, by_hand: (bool, bool)) -> SetUp {
    let mut set_up = set_up;
    let cockpit = Cockpit::new(request.sled, set_up.settings);
    let poses = posed(request, &set_up.stances);
    let (mut levers, _) = levers::as_placed(request.rider, &cockpit, &poses, &placed);
    if !by_hand.0 {
        levers.brake = placed.brake;
    }
    if !by_hand.1 {
        levers.throttle = placed.throttle;
    }
    set_up.verdicts = judged(request, &cockpit, &mut set_up.stances, &levers);
    set_up.distances = Distances::measure(&cockpit, &levers);
    set_up.levers = levers;
    set_up
}

fn posed<'a>(request: &Request<'a>, stances: &'a [StanceResult]) -> Vec<(&'a Stance, &'a Pose)> {
    let poses = stances.iter().map(|r| &r.posture.pose);
    request.stances.iter().zip(poses).collect()
}

/// Everything that a set-up must meet; the wrists take the turn that the brake gives them.
fn judged(
    request: &Request,
    cockpit: &Cockpit,
    stances: &mut [StanceResult],
    levers: &Levers,
) -> Vec<Verdict> {
    let mut verdicts = verdicts(request, cockpit, stances);
    verdicts.extend(lock::lock_to_lock(
        request.rider,
        cockpit,
        levers,
        &posed(request, stances),
    ));
    for result in stances {
        let wrists = &levers.brake.wrist_extension;
        if let Some((_, extension)) = wrists.iter().find(|(n, _)| *n == result.name) {
            result.posture.pose.angles.wrist_extension = *extension;
        }
    }
    verdicts
}

/// Whether postures, footwell and hoop allow the set-up. Lock and hoses have verdicts of their own.
fn verdicts(request: &Request, cockpit: &Cockpit, stances: &[StanceResult]) -> Vec<Verdict> {
    let sled = request.sled;
    let mut all: Vec<Verdict> = stances
        .iter()
        .map(|r| {
            let (met, says) = match &r.posture.status {
                Status::Solved => (true, "Inside every limit.".to_owned()),
                Status::AtLimit(limits) => (true, format!("Rests on: {}.", names(limits))),
                Status::OutOfReach(limits) => {
                    (false, format!("Out of reach: {}.", amounts(limits)))
                }
            };
            Verdict {
                name: format!("Posture {}", r.name),
                met: Some(met),
                says,
            }
        })
        .collect();
    let spare = sled.board.footwell_front - cockpit.toe_stop.x;
    all.push(Verdict {
        name: "Boot behind the footwell's front".to_owned(),
        met: Some(spare >= 0.0),
        says: format!("{spare:.0} mm to spare."),
    });
    let links = &request.rider.links;
    let (side, above) = (
        sled.stirrup.hoop_width - 2.0 * links.boot_half_width,
        sled.stirrup.hoop_height - links.boot_instep_height,
    );
    all.push(Verdict {
        name: "Boot leaves the hoop freely".to_owned(),
        met: if side < 0.0 || above < 0.0 { Some(false) } else { None },
        says: format!(
            "By the figures {side:.0} mm to spare in width and {above:.0} mm in height; try it with snow packed in."
        ),
    });
    all
}

fn names(limits: &[crate::stance::Limit]) -> String {
    limits
        .iter()
        .map(|l| l.name.clone())
        .collect::<Vec<_>>()
        .join(", ")
}

fn amounts(limits: &[crate::stance::Limit]) -> String {
    let mut sorted: Vec<_> = limits.iter().collect();
    order::sort(&mut sorted, |a, b| b.broken_by.total_cmp(&a.broken_by));
    sorted
        .iter()
        .map(|l| match l.unit {
            LimitUnit::Millimetres => format!("{} by {:.0} mm", l.name, l.broken_by.max(1.0)),
            LimitUnit::Degrees => format!("{} by {:.1}°", l.name, l.broken_by),
        })
        .collect::<Vec<_>>()
        .join(", ")
}

/// The limits that the nearest set-up breaks, in words.
pub(crate) fn what_binds(request: &Request, best: &Evaluation) -> String {
    let cockpit = Cockpit::new(request.sled, best.settings);
    let mut all = Vec::new();
    for (stance, solved) in request.stances.iter().zip(&best.solved) {
        let Some(solved) = solved else { continue };
        let problem = Problem::new(request.rider, &cockpit, stance, solved.seat_share);
        if let Status::OutOfReach(limits) = problem.posture(&solved.settled).status {
            all.push(format!("{}: {}", stance.name, amounts(&limits)));
        }
        if stance.carries_weight_point {
            let short = super::objective::lock_shortfall(
                request.rider,
                &cockpit,
                &problem.pose(&solved.settled),
            );
            if short > 0.0 {
                all.push(format!(
                    "{}: the outer hand is {short:.0} mm short of its grip at full lock",
                    stance.name
                ));
            }
        }
    }
    let sled = request.sled;
    if let Some(limit) = sled.steering.hose_limit {
        let stretched = (cockpit.bar_centre - cockpit.riser_base()).norm();
        if stretched > limit {
            all.push(format!(
                "hoses and cables: {:.0} mm too short for this riser and clamp",
                stretched - limit
            ));
        }
    }
    let deep = cockpit.toe_stop.x - sled.board.footwell_front;
    if deep > 0.0 {
        all.push(format!("boot {deep:.0} mm into the footwell's front"));
    }
    if all.is_empty() {
        "no single limit".to_owned()
    } else {
        all.join("; ")
    }
}
