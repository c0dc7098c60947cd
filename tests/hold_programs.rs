//! Linear programs of real poses against HiGHS: `tests/cases/hold_programs.json` (symmetric) and
//! `tests/cases/sideways_programs.json` (corners) hold them with the optima that `tests/reference/hold.py` found. Each
//! answer is also held to the conditions of an optimum (Karush 1939; Kuhn and Tucker 1951): feasible, stationary, and no
//! dual of the wrong sign or off its limit.
#![allow(clippy::unwrap_used, reason = "a missing case file fails the test")]

mod bodies;
mod shipped;

use bodies::{ATTACK, Figure, READY, SEATED, place};
use serde::{Deserialize, Serialize};
use sledstance::fit::{self, Request};
use sledstance::hold::{FrictionLevel, Options, Sideways, Stated};
use sledstance::program::linear::{Program, Range, Side, Solution, Status};
use sledstance::rider::{RiderProfile, Sex};
use sledstance::sled::Cockpit;
use sledstance::stance::Load;
use sledstance::units::Angle;

const SYMMETRIC: &str = "hold_programs.json";
const SIDEWAYS: &str = "sideways_programs.json";

fn path(file: &str) -> String {
    format!("{}/tests/cases/{file}", env!("CARGO_MANIFEST_DIR"))
}

/// Maximise the last unknown; null is an open end.
#[derive(Deserialize, Serialize)]
struct Case {
    name: String,
    unknowns: Vec<(Option<f64>, Option<f64>)>,
    rows: Vec<Vec<f64>>,
    row_ranges: Vec<(Option<f64>, Option<f64>)>,
    /// By HiGHS; null where infeasible.
    optimum: Option<f64>,
}

impl Case {
    fn of<R: AsRef<[f64]>>(name: String, stated: &Stated<R>) -> Self {
        Self {
            name,
            unknowns: stated.unknowns.iter().map(ends).collect(),
            rows: stated
                .rows
                .iter()
                .map(|(row, _)| row.as_ref().to_vec())
                .collect(),
            row_ranges: stated.rows.iter().map(|(_, range)| ends(range)).collect(),
            optimum: None,
        }
    }

    /// Numbers to nine digits: a program close by is as good a case, and the file a third shorter.
    fn short(mut self) -> Self {
        let short = |v: &mut f64| *v = format!("{v:.8e}").parse().unwrap();
        self.rows.iter_mut().flatten().for_each(short);
        let ends = self.unknowns.iter_mut().chain(&mut self.row_ranges);
        ends.flat_map(|(low, high)| [low, high])
            .flatten()
            .for_each(short);
        self
    }

    /// The largest residual of the conditions of an optimum, each as a share of the size of what it sums.
    fn residual(&self, objective: &[f64], solution: &Solution) -> f64 {
        let mut most: f64 = 0.0;
        let size = |terms: &[f64]| terms.iter().fold(1.0, |sum: f64, t| sum + t.abs());
        let mut held =
            |value: f64, (low, high): (Option<f64>, Option<f64>), dual: f64, side, size: f64| {
                let range = range((low, high));
                most = most.max((range.low - value).max(value - range.high) / size);
                // The end that holds is there, the value lies at it, and its dual points outward.
                let (end, sign) = match side {
                    Side::High => (high, 1.0),
                    Side::Low => (low, -1.0),
                    Side::Between => (None, 0.0),
                };
                let equality = low.is_some() && low == high;
                assert!(end.is_some() || dual == 0.0, "{}", self.name);
                most = most.max(end.map_or(0.0, |end| (end - value).abs() / size));
                most = most.max(if equality { 0.0 } else { -sign * dual });
            };
        for (i, row) in self.rows.iter().enumerate() {
            let terms: Vec<f64> = row.iter().zip(&solution.x).map(|(a, x)| a * x).collect();
            let (dual, side) = (solution.row_duals[i], solution.row_sides[i]);
            held(
                terms.iter().sum(),
                self.row_ranges[i],
                dual,
                side,
                size(&terms),
            );
        }
        for (j, x) in solution.x.iter().enumerate() {
            let (dual, side) = (solution.reduced_costs[j], solution.variable_sides[j]);
            held(*x, self.unknowns[j], dual, side, size(&[*x]));
        }
        for (j, c) in objective.iter().enumerate() {
            let rows = self.rows.iter().zip(&solution.row_duals);
            let mut terms: Vec<f64> = rows.map(|(row, dual)| row[j] * dual).collect();
            terms.extend([solution.reduced_costs[j], -c]);
            most = most.max(terms.iter().sum::<f64>().abs() / size(&terms));
        }
        most
    }
}

fn range((low, high): (Option<f64>, Option<f64>)) -> Range {
    Range::between(
        low.unwrap_or(f64::NEG_INFINITY),
        high.unwrap_or(f64::INFINITY),
    )
}

fn ends(range: &Range) -> (Option<f64>, Option<f64>) {
    let finite = |end: f64| end.is_finite().then_some(end);
    (finite(range.low), finite(range.high))
}

/// Optima of a file against ours: how many cases there are, and how many of them are held.
fn agree(file: &str) -> (usize, usize) {
    let text = std::fs::read_to_string(path(file)).unwrap();
    let cases: Vec<Case> = serde_json::from_str(&text).unwrap();
    let (mut feasible, mut apart, mut residual) = (0, 0.0_f64, 0.0_f64);
    for case in &cases {
        let unknowns: Vec<Range> = case.unknowns.iter().copied().map(range).collect();
        let rows: Vec<_> = case
            .rows
            .iter()
            .zip(case.row_ranges.iter().copied().map(range))
            .collect();
        let mut objective = vec![0.0; unknowns.len()];
        objective[unknowns.len() - 1] = 1.0;
        let mut program = Program::new(&unknowns, &rows);
        let solution = program.solve(&objective);
        match case.optimum {
            Some(optimum) => {
                feasible += 1;
                assert_eq!(solution.status, Status::Optimal, "{}", case.name);
                let off = (solution.objective - optimum).abs() / (1.0 + optimum);
                assert!(
                    off < 1e-7,
                    "{}: {} {optimum}",
                    case.name,
                    solution.objective
                );
                let left = case.residual(&objective, solution);
                assert!(left < 1e-9, "{}: {left:e}", case.name);
                (apart, residual) = (apart.max(off), residual.max(left));
            }
            None => assert_eq!(solution.status, Status::Infeasible, "{}", case.name),
        }
    }
    println!(
        "{file}: {feasible} of {} held, apart {apart:.1e}, residual {residual:.1e}",
        cases.len()
    );
    (cases.len(), feasible)
}

#[test]
fn optima_are_those_of_highs() {
    let (cases, feasible) = agree(SYMMETRIC);
    assert!(cases >= 100 && feasible > 80 && feasible < cases);
}

#[test]
fn corners_are_those_of_highs() {
    let (cases, feasible) = agree(SIDEWAYS);
    assert!(cases >= 50 && feasible > 40, "{feasible} of {cases}");
}

/// Writes the programs anew, without optima: run it by name, then the script.
#[test]
#[ignore = "writes tests/cases/hold_programs.json"]
fn write_programs() {
    let figures = [
        ("ready", READY),
        ("attack", ATTACK),
        ("seated", SEATED),
        (
            "heel up",
            Figure {
                heel_lift: 12.0,
                ..ATTACK
            },
        ),
        (
            "leaning",
            Figure {
                ankle: 30.0,
                knee: 20.0,
                hip: 60.0,
                ..READY
            },
        ),
    ];
    let mut cases = Vec::new();
    for (sex, stature, mass) in [
        (Sex::Female, 1600.0, 54.0),
        (Sex::Male, 1750.0, 75.0),
        (Sex::Male, 1920.0, 92.0),
    ] {
        let rider = bodies::rider(sex, stature, mass);
        for by in [1.0, 0.25] {
            let rider = bodies::stronger(&rider, by);
            for (name, figure) in figures {
                let Some(placed) = place(figure, &rider) else {
                    continue;
                };
                let friction = if by < 1.0 {
                    FrictionLevel::Low
                } else {
                    FrictionLevel::Middle
                };
                let statics = placed.statics(&Options {
                    friction,
                    ..Options::default()
                });
                for load in Load::ALL {
                    let stated = statics.stated(load);
                    let name = format!("{stature} mm, strength {by}, {name}, {}", load.name());
                    cases.push(Case::of(name, &stated));
                }
            }
        }
    }
    std::fs::write(path(SYMMETRIC), serde_json::to_string(&cases).unwrap()).unwrap();
}

/// The same for corners: three riders on the demo sleds as the best fit sets them, in every stance, level and banked, with
/// an edge protector and without, hips in the middle and to the inside.
#[test]
#[ignore = "writes tests/cases/sideways_programs.json"]
fn write_sideways_programs() {
    let mut cases = Vec::new();
    for (k, (sex, stature, mass)) in [
        (Sex::Male, 1780.0, 79.0),
        (Sex::Female, 1600.0, 55.0),
        (Sex::Male, 1920.0, 95.0),
    ]
    .into_iter()
    .enumerate()
    {
        let rider = RiderProfile::of(sex, stature, mass).build().unwrap().rider;
        let mut sled = shipped::sled(k);
        let best = fit::fit(&Request::new(&rider, &sled, &shipped::STANCES)).best;
        for protector in [None, Some((-2000.0, 2000.0))] {
            sled.stirrup.edge_protector = protector;
            let cockpit = Cockpit::new(&sled, best.settings);
            for (stance, result) in shipped::STANCES.iter().zip(&best.stances) {
                for (bank, shift) in [(0.0, 0.0), (20.0, 0.0), (20.0, 40.0)] {
                    let pose = &result.posture.pose;
                    let options = Options::default();
                    let sideways = Sideways::new(&rider, &cockpit, stance, pose, &options, shift);
                    let Ok(sideways) = sideways else { continue };
                    let [least, most] = sideways.stated(Angle::from_deg(bank));
                    let name = |end: &str| {
                        let guarded = if protector.is_some() {
                            "with"
                        } else {
                            "without"
                        };
                        format!(
                            "{stature} mm, sled {k}, {}, {bank}\u{b0}, hips {shift} mm, {guarded} protector, {end}",
                            stance.name
                        )
                    };
                    if shift > 0.0 {
                        cases.push(Case::of(name("least"), &least).short());
                    }
                    if protector.is_some() || shift == 0.0 {
                        cases.push(Case::of(name("most"), &most).short());
                    }
                }
            }
        }
    }
    std::fs::write(path(SIDEWAYS), serde_json::to_string(&cases).unwrap()).unwrap();
}
