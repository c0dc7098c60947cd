//! What to change next: what-ifs are independent re-solves, slopes are differences of the objective, ranking is
//! exhaustive, and nothing is offered that the model does not compute as help.

#![allow(clippy::unwrap_used, clippy::expect_used, reason = "a test may panic")]

use std::sync::LazyLock;

use proptest::prelude::*;
use rayon::prelude::*;
use sledstance::change::{
    self, Asked, AskedError, COMPLAINTS, Change, FigureChange, HARM, Kind, LEAST_GAIN, Why,
};
use sledstance::fit::{self, Request, SetUp, StanceResult};
use sledstance::rider::{Rider, RiderProfile, Sex};
use sledstance::sled::profile::SHIPPED as SLEDS;
use sledstance::sled::{Settings, Sled, SledProfile};
use sledstance::stance::{Load, Stance};
use sledstance::units::Angle;

static STANCES: LazyLock<Vec<Stance>> = LazyLock::new(|| Stance::shipped().unwrap());

fn sled(index: usize) -> Sled {
    SledProfile::read(SLEDS[index].text)
        .unwrap()
        .resolve()
        .unwrap()
}

fn rider(sex: Sex, stature: f64, mass: f64) -> Rider {
    RiderProfile::of(sex, stature, mass).build().unwrap().rider
}

/// Every demo rider by name.
fn riders() -> Vec<(String, Rider)> {
    let mut paths: Vec<_> = std::fs::read_dir("rider-profiles/riders")
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    paths.sort();
    paths
        .into_iter()
        .map(|path| {
            let text = std::fs::read_to_string(&path).unwrap();
            let built = RiderProfile::read(&text).unwrap().build().unwrap();
            (path.file_stem().unwrap().display().to_string(), built.rider)
        })
        .collect()
}

/// The best settings with the parts that a sled comes with: a quick search.
fn fitted(request: &Request) -> SetUp {
    let keep = fit::Keep {
        clamp: Some(0),
        bar: Some(0),
        seat: Some(0),
        riser: Some(request.sled.risers.len() / 2),
        ..fit::Keep::default()
    };
    let found = fit::fit(&Request { keep, ..*request });
    found.best
}

/// Settings that are nobody's best.
fn middling(sled: &Sled) -> Settings {
    let riser = sled.risers.len() / 2;
    Settings {
        riser,
        clamp: 0,
        bar: 0,
        seat: 0,
        stirrup: sled.stirrup.positions[sled.stirrup.positions.len() / 2],
        riser_angle: sled.risers[riser].angles.nearest(Angle::from_deg(10.0)),
        bar_roll: Angle::ZERO,
    }
}

/// A figure of a set-up that was evaluated on its own, from scratch.
fn independent(set_up: &SetUp, figure: &str, stance: Option<&str>) -> Option<f64> {
    let of =
        |name: &str| -> Option<&StanceResult> { set_up.stances.iter().find(|s| s.name == name) };
    let hold = |result: &StanceResult, load: Load| {
        let found = result.hold.loads.iter().find(|l| l.load == load).unwrap();
        found.hold.as_ref().ok().map(|h| h.g)
    };
    let Some(result) = stance.and_then(of) else {
        return Some(match figure {
            "stirrup_to_grip" => set_up.distances.stirrup_to_grip,
            "grip_height" => set_up.distances.grip_height,
            "objective" => set_up.objective,
            other => panic!("{other}"),
        });
    };
    let a = &result.posture.pose.angles;
    match figure {
        "knee" => Some(a.knee.deg()),
        "hip" => Some(a.hip.deg()),
        "elbow" => Some(a.elbow.deg()),
        "trunk" => Some(a.trunk.deg()),
        "hold_short_landing_1g" => hold(result, Load::ShortLanding1g),
        "hold_short_landing_2g" => hold(result, Load::ShortLanding2g),
        "hold_start" => hold(result, Load::Start),
        "hold_straight_drop" => hold(result, Load::StraightDrop),
        "leg_travel" => result.hold.travel.as_ref().map(|t| t.leg_travel),
        "hand_load" => result.hold.working.as_ref().map(|w| w.hand),
        "least_room" => {
            let gaps = result.posture.clearances.iter().map(|c| c.1);
            gaps.min_by(f64::total_cmp)
        }
        other => panic!("{other}"),
    }
}

/// Whether a stance is out of reach: the nearest posture is then one of many.
fn broken(set_up: &SetUp) -> bool {
    set_up.verdicts.iter().any(|v| v.met == Some(false))
}

/// How far a warm re-solve may lie from one from scratch: the solver's own steps and the seat's share.
fn near_enough(figure: &str) -> f64 {
    match figure {
        "objective" => 5e-3,
        "leg_travel" => 3.0,
        name if name.starts_with("hold") => 2e-3,
        "hand_load" => 0.2,
        _ => 0.1,
    }
}

#[test]
fn what_ifs_are_independent_re_solves() {
    let cases: Vec<(String, Rider)> = riders();
    let mut compared = 0;
    let mut off: Vec<String> = Vec::new();
    let found: Vec<(usize, Vec<String>)> = cases
        .par_iter()
        .flat_map(|(name, rider)| (0..SLEDS.len()).into_par_iter().map(move |i| (name, rider, i)))
        .map(|(name, rider, index)| {
            let sled = sled(index);
            let request = Request::new(rider, &sled, &STANCES);
            let set_up = fit::evaluate(&request, middling(&sled));
            let (mut compared, mut off) = (0, Vec::new());
            for step in change::what_if(&request, &set_up) {
                assert!(step.settings.checked(&sled).is_ok());
                if broken(&set_up) || !step.fits {
                    continue;
                }
                let alone = fit::evaluate(&request, step.settings);
                for f in &step.figures {
                    let stance = f.stance.as_deref();
                    let before = independent(&set_up, f.figure, stance);
                    let after = independent(&alone, f.figure, stance);
                    let near = near_enough(f.figure);
                    for (mine, theirs, which) in [(f.from, before, "from"), (f.to, after, "to")] {
                        compared += 1;
                        let same = match (mine, theirs) {
                            (Some(a), Some(b)) => (a - b).abs() <= near,
                            (None, None) => true,
                            _ => false,
                        };
                        if !same {
                            off.push(format!(
                                "{name} on {index}, {}: {which} {} {stance:?}: {mine:?}, alone {theirs:?}",
                                step.says, f.figure
                            ));
                        }
                    }
                    if let (Some(a), Some(b)) = (f.from, f.to) {
                        assert_eq!(f.change, Some(b - a));
                    }
                }
            }
            (compared, off)
        })
        .collect();
    for (n, more) in found {
        compared += n;
        off.extend(more);
    }
    for line in off.iter().take(40) {
        println!("{line}");
    }
    println!("{} of {compared} figures differ", off.len());
    assert!(compared > 10_000);
    // A posture has another basin now and then.
    assert!(off.len() * 200 <= compared, "{} of {compared}", off.len());
}
