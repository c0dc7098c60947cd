//! Linear programs of real poses against HiGHS: `tests/cases/hold_programs.json` holds them with the optima that
//! `tests/reference/hold.py` found.
#![allow(clippy::unwrap_used, reason = "a missing case file fails the test")]

mod bodies;

use bodies::{ATTACK, Figure, READY, SEATED, place};
use serde::{Deserialize, Serialize};
use sledstance::hold::{FrictionLevel, Options};
use sledstance::program::linear::{Program, Range, Status};
use sledstance::rider::Sex;
use sledstance::stance::Load;

const CASES: &str = concat!(
    env!("CARGO_MANIFEST_DIR"),
    "/tests/cases/hold_programs.json"
);

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

#[test]
fn optima_are_those_of_highs() {
    let cases: Vec<Case> = serde_json::from_str(&std::fs::read_to_string(CASES).unwrap()).unwrap();
    assert!(cases.len() >= 100, "{} cases", cases.len());
    let mut feasible = 0;
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
                let off = (solution.objective - optimum).abs();
                assert!(
                    off < 1e-7 * (1.0 + optimum),
                    "{}: {} {optimum}",
                    case.name,
                    solution.objective
                );
            }
            None => assert_eq!(solution.status, Status::Infeasible, "{}", case.name),
        }
    }
    assert!(
        feasible > 80 && feasible < cases.len(),
        "{feasible} feasible"
    );
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
                    cases.push(Case {
                        name: format!("{stature} mm, strength {by}, {name}, {}", load.name()),
                        unknowns: stated.unknowns.iter().map(ends).collect(),
                        rows: stated
                            .rows
                            .iter()
                            .map(|(row, _)| row.as_ref().to_vec())
                            .collect(),
                        row_ranges: stated.rows.iter().map(|(_, range)| ends(range)).collect(),
                        optimum: None,
                    });
                }
            }
        }
    }
    std::fs::write(CASES, serde_json::to_string(&cases).unwrap()).unwrap();
}
