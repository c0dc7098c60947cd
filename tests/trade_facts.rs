//! Trade facts: what practice says about fits (all of it common practice, no source), against what the computation
//! brings out for men with a body mass index of 25 kg/m² on the shipped sleds.
//!
//! No term of the objective mentions stature; nothing is bent to follow practice. Each test holds what comes out, and
//! its doc says where that is not what practice says.
//!
//! `cargo test --test trade_facts -- --nocapture --test-threads=1` prints the whole table.

#![allow(clippy::unwrap_used, reason = "a test may panic")]

use std::sync::LazyLock;

use sledstance::fit::{self, Fit, FitStatus, Keep, Preferences, Request};
use sledstance::hold::{Options, load_factor};
use sledstance::rider::{Rider, RiderProfile, Sex};
use sledstance::sled::profile::SHIPPED as SLEDS;
use sledstance::sled::{Cockpit, Settings, Sled, SledProfile};
use sledstance::stance::{Aim, Load, Problem, Stance};
use sledstance::units::Angle;

/// Statures of the table, mm.
const STATURES: [f64; 5] = [1550.0, 1650.0, 1750.0, 1850.0, 1950.0];

static STANCES: LazyLock<Vec<Stance>> = LazyLock::new(|| Stance::shipped().unwrap());

/// Men with a body mass index of 25 kg/m².
static MEN: LazyLock<Vec<Rider>> = LazyLock::new(|| {
    STATURES
        .iter()
        .map(|h| {
            RiderProfile::of(Sex::Male, *h, 25.0 * h * h * 1e-6)
                .build()
                .unwrap()
                .rider
        })
        .collect()
});

fn stance(name: &str) -> &'static Stance {
    STANCES.iter().find(|s| s.name == name).unwrap()
}

/// The shipped sleds, each with its standard seat, first clamp and bar, and risers of 150 and 200 mm.
static CUT_DOWN: LazyLock<Vec<(&'static str, Sled)>> = LazyLock::new(|| {
    SLEDS
        .iter()
        .map(|shipped| {
            let mut sled = SledProfile::read(shipped.text).unwrap().resolve().unwrap();
            let mut riser = sled.risers[0];
            riser.height = 150.0;
            let mut tall = riser;
            tall.height = 200.0;
            sled.risers = vec![riser, tall];
            sled.clamps.truncate(1);
            sled.bars.truncate(1);
            sled.seats.retain(|s| s.name == "standard");
            (shipped.id, sled)
        })
        .collect()
});

fn deg(d: f64) -> Angle {
    Angle::from_deg(d)
}

fn settings(stirrup: f64) -> Settings {
    Settings {
        riser: 0,
        clamp: 0,
        bar: 0,
        seat: 0,
        stirrup,
        riser_angle: deg(12.0),
        bar_roll: Angle::ZERO,
    }
}

fn row<T: AsRef<str>>(name: &str, cells: impl IntoIterator<Item = T>) {
    print!("{name:<52}");
    for cell in cells {
        print!(" {:>9}", cell.as_ref());
    }
    println!();
}

fn heading(what: &str) {
    println!();
    row(what, STATURES.map(|h| format!("{h:.0}")));
}

fn whole(rider: &Rider, sled: &Sled, keep: Keep, preferences: Preferences) -> Fit {
    fit::fit(&Request {
        keep,
        preferences,
        ..Request::new(rider, sled, &STANCES)
    })
}

fn riser(index: usize) -> Keep {
    Keep {
        riser: Some(index),
        ..Keep::default()
    }
}

/// Only falls, or only rises, by more than `by` from each to the next.
fn falls(values: &[f64], by: f64) -> bool {
    values.windows(2).all(|w| w[1] < w[0] - by)
}

/// Never falls by more than `slack` from one to the next.
fn never_falls(values: &[f64], slack: f64) -> bool {
    values.windows(2).all(|w| w[1] >= w[0] - slack)
}

/// Greatest less least.
fn spread(values: &[f64]) -> f64 {
    let most = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    most - values.iter().copied().fold(f64::INFINITY, f64::min)
}

/// Cost of the comfortable posture with the grips at x and a height, everything else as it is on a sled.
fn cost_at(rider: &Rider, sled: &Sled, stance: &Stance, x: f64, z: f64) -> f64 {
    let mut sled = sled.clone();
    let at = Cockpit::new(&sled, settings(-80.0)).grip;
    sled.steering.base_x += x - at.x;
    sled.steering.base_z += z - at.z;
    let cockpit = Cockpit::new(&sled, settings(-80.0));
    let problem = Problem::new(rider, &cockpit, stance, 0.0);
    let settled = problem.solve(Aim::Comfort);
    settled.cost + 100.0 * settled.broken
}

/// Grip position of least posture cost at a height, mm ahead of the foremost stirrup position.
fn best_grip(rider: &Rider, sled: &Sled, stance: &Stance, z: f64) -> f64 {
    let cost = |x| cost_at(rider, sled, stance, x, z);
    let mut best = (f64::INFINITY, 0.0);
    for i in 0..=16 {
        let x = -20.0 + 25.0 * f64::from(i);
        let value = cost(x);
        if value < best.0 {
            best = (value, x);
        }
    }
    let mut step = 12.5;
    while step > 0.5 {
        for x in [best.1 - step, best.1 + step] {
            let value = cost(x);
            if value < best.0 {
                best = (value, x);
            }
        }
        step /= 2.0;
    }
    best.1
}

/// Practice: taller riders run the bars more rolled back. In `ready`, at the same grip height and stirrup, the taller
/// rider's best grip is further back: the shoulder rises faster than the arm grows. With higher grips that turns round
/// below 1.75 m. In `attack` it is nearly flat.
#[test]
fn best_grip_by_stature() {
    for (id, sled) in CUT_DOWN.iter() {
        let mut spread_low = Vec::new();
        for name in ["ready", "attack"] {
            heading(&format!("best grip, mm ahead, {name} alone, {id}"));
            for z in [840.0, 880.0, 920.0, 960.0] {
                let best: Vec<f64> = MEN
                    .iter()
                    .map(|r| best_grip(r, sled, stance(name), z))
                    .collect();
                row(
                    &format!("  grips {z:.0} mm over the board"),
                    best.iter().map(|x| format!("{x:.0}")),
                );
                if name == "ready" {
                    let from = if z < 900.0 { 0 } else { 2 };
                    assert!(falls(&best[from..], 3.0), "{id} at {z}: {best:?}");
                }
                if z == 840.0 {
                    spread_low.push(spread(&best));
                }
            }
        }
        assert!(spread_low[1] < 0.5 * spread_low[0], "{id}: {spread_low:?}");
    }
}

/// Practice: taller riders run stirrups further back, for leverage on short landings, and bars more rolled back.
/// Computation disagrees with both. With a given riser the stirrups stay or go forward by a position as stature grows:
/// the weight point pins them. Without it they go forward for comfort, and leg travel weighted up changes nothing. The
/// riser's angle shows no trend (on two sleds it rests on its end stop), while the bar is rolled the other way, forward
/// and up. The fit reports what going one position back would change.
#[test]
fn whole_fit_by_stature() {
    let default = Preferences::default();
    for (what, preferences, risers) in [
        ("whole fit", default, [0, 1].as_slice()),
        (
            "without the weight point",
            Preferences {
                weight_point: 0.0,
                ..default
            },
            &[0],
        ),
        (
            "leg travel times 4",
            Preferences {
                leg_travel: 4.0,
                ..default
            },
            &[0],
        ),
        (
            "comfort alone",
            Preferences {
                hold: 0.0,
                leg_travel: 0.0,
                ..default
            },
            &[0, 1],
        ),
    ] {
        for (id, sled) in CUT_DOWN.iter() {
            for &part in risers {
                heading(&format!(
                    "{what}, riser {:.0} mm, {id}",
                    sled.risers[part].height
                ));
                let fits: Vec<Fit> = MEN
                    .iter()
                    .map(|r| whole(r, sled, riser(part), preferences))
                    .collect();
                let of = |f: &dyn Fn(&Fit) -> f64, places: usize| -> Vec<String> {
                    fits.iter().map(|x| format!("{:.places$}", f(x))).collect()
                };
                row(
                    "  riser angle, °",
                    of(&|f| f.best.settings.riser_angle.deg(), 1),
                );
                row("  bar roll, °", of(&|f| f.best.settings.bar_roll.deg(), 1));
                row("  stirrup, mm", of(&|f| f.best.settings.stirrup, 0));
                row("  objective", of(&|f| f.best.objective, 3));
                row(
                    "  short landing 1 g, ready, g",
                    of(&|f| held(f, "ready"), 2),
                );
                row(
                    "  feasible",
                    fits.iter().map(|f| {
                        if f.status == FitStatus::Fits {
                            "yes"
                        } else {
                            "no"
                        }
                    }),
                );
            }
        }
    }
}

/// With every riser in stock to choose from, taller riders get taller ones, at angles that roll forward rather than back.
#[test]
fn riser_height_by_stature() {
    for shipped in &SLEDS {
        let mut sled = SledProfile::read(shipped.text).unwrap().resolve().unwrap();
        sled.clamps.truncate(1);
        sled.bars.truncate(1);
        sled.seats.retain(|s| s.name == "standard");
        heading(&format!("whole fit, any riser, {}", shipped.id));
        let found: Vec<Settings> = MEN
            .iter()
            .map(|r| {
                whole(r, &sled, Keep::default(), Preferences::default())
                    .best
                    .settings
            })
            .collect();
        let heights: Vec<f64> = found.iter().map(|s| sled.risers[s.riser].height).collect();
        row("  riser, mm", heights.iter().map(|h| format!("{h:.0}")));
        row(
            "  riser angle, °",
            found.iter().map(|s| format!("{:.1}", s.riser_angle.deg())),
        );
        row(
            "  bar roll, °",
            found.iter().map(|s| format!("{:.1}", s.bar_roll.deg())),
        );
        row(
            "  stirrup, mm",
            found.iter().map(|s| format!("{:.0}", s.stirrup)),
        );
        assert!(never_falls(&heights, 0.0), "{heights:?}");
        assert!(heights[4] >= heights[0] + 25.0, "{heights:?}");
    }
}

/// The weight point pins the stirrups: they follow the balance mark, to the nearest positions, almost one to one.
#[test]
fn stirrups_follow_the_balance_mark() {
    heading("stirrup by balance mark, riser 150 mm");
    for (id, sled) in CUT_DOWN.iter() {
        let step = sled.stirrup.positions[0] - sled.stirrup.positions[1];
        let at = |shift: f64| {
            let mut sled = sled.clone();
            sled.balance_mark.x += shift;
            let stirrups: Vec<f64> = MEN
                .iter()
                .map(|r| {
                    let fit = whole(r, &sled, riser(0), Preferences::default());
                    fit.best.settings.stirrup
                })
                .collect();
            row(
                &format!("  {id}, mark at {:.0} mm", sled.balance_mark.x),
                stirrups.iter().map(|x| format!("{x:.0}")),
            );
            stirrups
        };
        let (here, back) = (at(0.0), at(-2.0 * step));
        for (now, then) in here.iter().zip(&back) {
            let moved = (now - then) / step;
            assert!((1.0..=3.0).contains(&moved), "{id}: {here:?} to {back:?}");
        }
    }
}

fn held(fit: &Fit, name: &str) -> f64 {
    let result = fit.best.stances.iter().find(|s| s.name == name).unwrap();
    let load = result
        .hold
        .loads
        .iter()
        .find(|l| l.load == Load::ShortLanding1g)
        .unwrap();
    load.hold.as_ref().map_or(f64::NAN, |h| h.g)
}

fn hold_at(rider: &Rider, sled: &Sled, stance: &Stance, stirrup: f64) -> f64 {
    let cockpit = Cockpit::new(sled, settings(stirrup));
    let problem = Problem::new(rider, &cockpit, stance, 0.0);
    let settled = problem.solve(Aim::Comfort);
    if !settled.feasible() {
        return f64::NAN;
    }
    let pose = problem.pose(&settled);
    load_factor(
        rider,
        &cockpit,
        stance,
        &pose,
        Load::ShortLanding1g,
        &Options::default(),
    )
    .unwrap_or(-1.0)
}

/// Practice: tall riders need the leverage of stirrups further back on short landings. At the same settings the hold
/// falls with stature in every standing stance. It rises as stirrups go back in `ready` for everybody and in `attack`
/// from 1.75 m up; shorter riders gain little or nothing there, and in `braced` nobody gains.
#[test]
fn hold_by_stature_and_stirrup() {
    for (id, sled) in CUT_DOWN.iter() {
        for name in ["ready", "attack", "braced"] {
            heading(&format!("short landing from 1 g, g, {name}, {id}"));
            let mut table: Vec<Vec<f64>> = Vec::new();
            for &stirrup in &sled.stirrup.positions {
                let held: Vec<f64> = MEN
                    .iter()
                    .map(|r| hold_at(r, sled, stance(name), stirrup))
                    .collect();
                row(
                    &format!("  stirrup {stirrup:.0} mm"),
                    held.iter().map(|g| format!("{g:.2}")),
                );
                assert!(falls(&held, 0.04), "{id} {name} at {stirrup}: {held:?}");
                table.push(held);
            }
            for (i, stature) in STATURES.iter().enumerate() {
                let by_stirrup: Vec<f64> = table.iter().map(|held| held[i]).collect();
                let gain = by_stirrup[by_stirrup.len() - 1] - by_stirrup[0];
                let says = format!("{id} {name} {stature}: {by_stirrup:?}");
                match name {
                    "braced" => assert!(gain < 0.04, "{says}"),
                    "attack" if *stature < 1750.0 => {}
                    _ => assert!(never_falls(&by_stirrup, 2e-3) && gain > 0.03, "{says}"),
                }
            }
        }
    }
}

/// Practice: as stirrups go back the comfortable riser rolls back. So it comes out; in the whole fit, which is held
/// by weight point and hold, the riser follows less, and not at all where it rests on its end stop.
#[test]
fn riser_angle_by_stirrup() {
    let comfort = Preferences {
        hold: 0.0,
        weight_point: 0.0,
        leg_travel: 0.0,
        ..Preferences::default()
    };
    for (what, wants) in [("comfort", comfort), ("whole", Preferences::default())] {
        for (id, sled) in CUT_DOWN.iter() {
            heading(&format!("riser angle by stirrup, {what}, 150 mm, {id}"));
            let positions = &sled.stirrup.positions;
            let mut table: Vec<Vec<f64>> = Vec::new();
            for stirrup in [
                positions[0],
                positions[positions.len() / 2],
                positions[positions.len() - 1],
            ] {
                let angles: Vec<f64> = MEN
                    .iter()
                    .map(|r| {
                        let keep = Keep {
                            stirrup: Some(stirrup),
                            ..riser(0)
                        };
                        whole(r, sled, keep, wants).best.settings.riser_angle.deg()
                    })
                    .collect();
                row(
                    &format!("  stirrup {stirrup:.0} mm"),
                    angles.iter().map(|x| format!("{x:.1}")),
                );
                table.push(angles);
            }
            for i in 0..STATURES.len() {
                let [front, middle, rear] = [0, 1, 2].map(|k| table[k][i]);
                let says = format!("{what}, {id}, {}: {table:?}", STATURES[i]);
                assert!(rear >= front, "{says}");
                if what == "comfort" {
                    assert!(middle >= front && rear > middle + 5.0, "{says}");
                }
            }
        }
    }
}

/// Practice: a firmer seat keeps the seated hip higher. So it comes out.
#[test]
fn firmer_seat_higher_hip() {
    for shipped in &SLEDS {
        let sled = SledProfile::read(shipped.text).unwrap().resolve().unwrap();
        heading(&format!("seated hip over the board, mm, {}", shipped.id));
        let at = |name: &str| -> Option<Vec<f64>> {
            let seat = sled.seats.iter().position(|s| s.name == name)?;
            let settings = Settings {
                seat,
                ..settings(sled.stirrup.positions[3])
            };
            let cockpit = Cockpit::new(&sled, settings);
            let hips: Vec<f64> = MEN
                .iter()
                .map(|r| {
                    let request = Request::new(r, &sled, &STANCES);
                    fit::stance_result(&request, &cockpit, stance("seated"))
                        .posture
                        .pose
                        .points
                        .hip
                        .z
                })
                .collect();
            row(&format!("  {name}"), hips.iter().map(|z| format!("{z:.1}")));
            Some(hips)
        };
        let all: Vec<Vec<f64>> = ["soft", "standard", "firm"]
            .into_iter()
            .filter_map(at)
            .collect();
        assert!(all.len() >= 2);
        for pair in all.windows(2) {
            for (softer, firmer) in pair[0].iter().zip(&pair[1]) {
                assert!(firmer > softer, "{firmer} is not above {softer}");
            }
        }
    }
}
