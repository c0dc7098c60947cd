//! Sideways hold: the symmetric program is its slice, its witnesses balance, a rider without hands tips where statics
//! says, and nothing that helps ever harms.
#![cfg(not(target_arch = "wasm32"))]
#![allow(clippy::unwrap_used, clippy::expect_used, reason = "a test may panic")]

use std::sync::LazyLock;

use sledstance::fit::{self, Request};
use sledstance::hold::{
    FrictionLevel, Limits, Options, SideLimits, Sideways, Statics, segment_com,
};
use sledstance::rider::{Rider, RiderProfile, Sex};
use sledstance::sled::profile::SHIPPED as SLEDS;
use sledstance::sled::{Cockpit, Settings, Sled, SledProfile};
use sledstance::stance::{Pose, Stance};
use sledstance::units::{Angle, Point, STANDARD_GRAVITY};

static STANCES: LazyLock<Vec<Stance>> = LazyLock::new(|| Stance::shipped().unwrap());

static SHIPPED: LazyLock<Vec<Sled>> = LazyLock::new(|| {
    SLEDS
        .iter()
        .map(|s| SledProfile::read(s.text).unwrap().resolve().unwrap())
        .collect()
});

/// A rider on a sled with one riser, as the best fit sets it.
struct Case {
    rider: Rider,
    sled: Sled,
    settings: Settings,
    poses: Vec<Pose>,
}

impl Case {
    fn new(sex: Sex, stature: f64, mass: f64, sled: &Sled) -> Self {
        let rider = RiderProfile::of(sex, stature, mass).build().unwrap().rider;
        let mut sled = sled.clone();
        sled.risers.truncate(2);
        sled.seats.truncate(1);
        sled.bars.truncate(1);
        sled.clamps.truncate(1);
        let best = fit::fit(&Request::new(&rider, &sled, &STANCES)).best;
        let poses = best.stances.iter().map(|s| s.posture.pose).collect();
        Self {
            settings: best.settings,
            rider,
            sled,
            poses,
        }
    }

    fn each(&self, mut look: impl FnMut(&Cockpit, &Stance, &Pose)) {
        let cockpit = Cockpit::new(&self.sled, self.settings);
        for (stance, pose) in STANCES.iter().zip(&self.poses) {
            look(&cockpit, stance, pose);
        }
    }
}

static CASES: LazyLock<Vec<Case>> = LazyLock::new(|| {
    let riders = [
        (Sex::Male, 1780.0, 79.0),
        (Sex::Female, 1600.0, 55.0),
        (Sex::Male, 1920.0, 95.0),
    ];
    let all = riders.iter().zip(SHIPPED.iter().cycle());
    all.map(|(&(sex, stature, mass), sled)| Case::new(sex, stature, mass, sled))
        .collect()
});

fn options(friction: FrictionLevel) -> Options {
    Options {
        friction,
        ..Options::default()
    }
}

fn middle(case: &Case, cockpit: &Cockpit, stance: &Stance, pose: &Pose, shift: f64) -> Sideways {
    Sideways::new(
        &case.rider,
        cockpit,
        stance,
        pose,
        &Options::default(),
        shift,
    )
    .unwrap()
}

/// How far a convex polygon reaches along a direction.
fn support(points: &[(f64, f64)], along: (f64, f64)) -> f64 {
    points
        .iter()
        .map(|p| p.0 * along.0 + p.1 * along.1)
        .fold(f64::NEG_INFINITY, f64::max)
}

#[test]
fn straight_ahead_it_is_the_symmetric_hold() {
    let mut seen = 0;
    for case in CASES.iter() {
        for friction in [
            FrictionLevel::Low,
            FrictionLevel::Middle,
            FrictionLevel::High,
        ] {
            let options = options(friction);
            case.each(|cockpit, stance, pose| {
                let limits = Limits::of(&case.rider, cockpit, stance, &pose.angles);
                let symmetric = Statics::new(&case.rider, cockpit, pose, limits, &options);
                let symmetric: Vec<(f64, f64)> = symmetric
                    .envelope()
                    .iter()
                    .map(|e| (e.f_x, e.f_z))
                    .collect();
                let sideways =
                    Sideways::new(&case.rider, cockpit, stance, pose, &options, 0.0).unwrap();
                let slice = sideways.straight_ahead();
                assert!(symmetric.len() > 3, "{}", stance.name);
                for k in 0..64 {
                    let turn = Angle::from_deg(360.0 * f64::from(k) / 64.0);
                    let along = (turn.cos(), turn.sin());
                    let (a, b) = (support(&symmetric, along), support(&slice, along));
                    assert!(
                        (a - b).abs() < 1e-6 * (1.0 + a.abs()),
                        "{}: {a} {b}",
                        stance.name
                    );
                }
                seen += 1;
            });
        }
    }
    assert_eq!(seen, 3 * 3 * STANCES.len());
}

#[test]
fn what_is_held_balances_and_squeezes_nowhere() {
    let mut held = 0;
    for case in CASES.iter() {
        let mass = case.rider.mass();
        case.each(|cockpit, stance, pose| {
            for shift in [0.0, 40.0] {
                let Ok(sideways) = Sideways::new(
                    &case.rider,
                    cockpit,
                    stance,
                    pose,
                    &Options::default(),
                    shift,
                ) else {
                    continue;
                };
                // The centre of mass, hips and trunk shifted: limbs follow, so it is taken between the two ways to count.
                for f in [[0.0, 0.1, 1.0], [-0.1, 0.2, 1.0], [0.0, 0.3, 1.2]] {
                    let Some(forces) = sideways.witness(f) else {
                        continue;
                    };
                    held += 1;
                    let weight = Point::new(f[0], f[1], f[2]) * (mass * STANDARD_GRAVITY);
                    let sum = forces
                        .iter()
                        .fold(-weight, |sum, (_, _, force)| sum + force);
                    assert!(sum.norm() < 1e-5 * weight.norm(), "{sum:?}");
                    if shift == 0.0 {
                        let com = symmetric_com(&case.rider, pose);
                        let turn = forces.iter().fold(Point::zeros(), |sum, (_, at, force)| {
                            sum + (at - com).cross(force)
                        });
                        assert!(turn.norm() < 1e-3 * weight.norm(), "{turn:?}");
                    }
                    for carrier in ["boot", "edge protector", "knee", "seat"] {
                        let own = forces.iter().filter(|(name, ..)| *name == carrier);
                        let sideways: Vec<f64> = own.map(|(.., force)| force.y).collect();
                        assert!(sideways.iter().all(|y| *y >= -1e-6));
                    }
                }
            }
        });
    }
    println!("{held} loads held");
    assert!(held > 20);
}

fn symmetric_com(rider: &Rider, pose: &Pose) -> Point {
    let mut sum = Point::zeros();
    for segment in &rider.segments {
        let at = segment_com(segment, &pose.points, rider.links.trunk);
        sum += Point::new(at.x, 0.0, at.z) * (segment.mass * f64::from(segment.count));
    }
    sum / rider.mass()
}

/// Without hands, with strength without end: the outer boot's ball and heel carry all, and the rider tips about the line
/// of the outer boot when f_y·h = f_z·b (b its distance from the middle, h the height of the centre of mass over
/// that line), or slides at f_y = μ·f_z: statics of a block on an incline, any textbook.
#[test]
fn a_rider_without_hands_tips_or_slides_as_a_block_does() {
    let endless = 1e9;
    let mut tipped = 0;
    for case in CASES.iter() {
        case.each(|cockpit, stance, pose| {
            if stance.contacts.seated {
                return;
            }
            let mut limits = Limits::of(&case.rider, cockpit, stance, &pose.angles);
            limits.joints = limits.joints.map(|_| (-endless, endless));
            limits.pull_off = 0.0;
            let side = SideLimits {
                trunk: endless,
                hips: endless,
            };
            let mut options = options(FrictionLevel::High);
            options.assumed.push_on_bar = 0.0;
            // Along a heel's lifted line the inner boot's stop would have a lever.
            options.assumed.toe_stop = 0.0;
            let mut bare = case.sled.clone();
            bare.stirrup.edge_protector = None;
            // Far from every knee.
            let cockpit = Cockpit {
                sled: &bare,
                ..*cockpit
            };
            let found = Sideways::within(
                &case.rider,
                &cockpit,
                stance,
                pose,
                &options,
                0.0,
                limits,
                side,
            );
            let sideways = found.unwrap();
            if sideways.carriers().contains(&"knee") {
                return;
            }
            let Ok(corner) = sideways.corner(Angle::ZERO) else {
                // The centre of mass lies ahead of the boots: nothing but hands could hold it.
                return;
            };
            let com = symmetric_com(&case.rider, pose);
            // The line of the outer boot rises with the board on which the pose stands.
            let (ball, heel) = (pose.points.ball, pose.points.heel);
            let slope = (heel.z - ball.z) / (heel.x - ball.x);
            let tips = ball.y / (com.z - ball.z - slope * (com.x - ball.x));
            let slides = sledstance::hold::BOOT_ON_BOARD.at(FrictionLevel::High);
            let wanted = tips.min(slides);
            assert!(tips < slides);
            assert!(
                (corner.most.g - wanted).abs() < 1e-6,
                "{} {wanted}",
                corner.most.g
            );
            assert!((corner.least.g + wanted).abs() < 1e-6);
            assert_eq!(corner.most.gives_first, "balance (boots unloads)");
            tipped += 1;
        });
    }
    println!("{tipped} tipped");
    assert!(tipped >= 2);
}

#[test]
fn what_helps_never_harms() {
    let flat = Angle::ZERO;
    for case in CASES.iter() {
        case.each(|cockpit, stance, pose| {
            let most = |sled: &Sled, friction: FrictionLevel| {
                let cockpit = Cockpit { sled, ..*cockpit };
                let sideways =
                    Sideways::new(&case.rider, &cockpit, stance, pose, &options(friction), 0.0);
                sideways.unwrap().corner(flat).unwrap()
            };
            let mut bare = case.sled.clone();
            bare.stirrup.edge_protector = None;
            let mut guarded = case.sled.clone();
            guarded.stirrup.edge_protector = Some((-2000.0, 2000.0));
            let (without, with) = (
                most(&bare, FrictionLevel::Middle),
                most(&guarded, FrictionLevel::Middle),
            );
            println!(
                "{}: {:.2} to {:.2} g ({}), with a protector {:.2} ({})",
                stance.name,
                without.least.g,
                without.most.g,
                without.most.gives_first,
                with.most.g,
                with.most.gives_first
            );
            assert!(with.most.g >= without.most.g - 1e-9);
            let grippy = most(&bare, FrictionLevel::High);
            let icy = most(&bare, FrictionLevel::Low);
            assert!(grippy.most.g >= without.most.g - 1e-9);
            assert!(without.most.g >= icy.most.g - 1e-9);
            // A body in the middle holds to both sides alike.
            assert!((without.most.g + without.least.g).abs() < 1e-6);
        });
    }
}

#[test]
fn a_bank_turns_the_load() {
    for case in CASES.iter() {
        case.each(|cockpit, stance, pose| {
            let sideways = middle(case, cockpit, stance, pose, 0.0);
            let envelope: Vec<(f64, f64)> =
                sideways.envelope().iter().map(|e| (e.f_y, e.f_z)).collect();
            for bank in [0.0, 10.0, 25.0].map(Angle::from_deg) {
                let corner = sideways.corner(bank).unwrap();
                assert!(corner.least.g <= bank.tan() && bank.tan() <= corner.most.g);
                // The end of the corner's range lies on the envelope's edge.
                for g in [corner.least.g, corner.most.g] {
                    let f = (g * bank.cos() - bank.sin(), g * bank.sin() + bank.cos());
                    let beyond = edge_distance(&envelope, f);
                    assert!(beyond.abs() < 1e-6, "{} {f:?} {beyond}", stance.name);
                }
            }
        });
    }
}

/// Distance of a point from a closed line.
fn edge_distance(line: &[(f64, f64)], p: (f64, f64)) -> f64 {
    let ends = line.iter().zip(line.iter().cycle().skip(1));
    ends.map(|(a, b)| {
        let (ux, uz) = (b.0 - a.0, b.1 - a.1);
        let length = ux * ux + uz * uz;
        let along = if length > 0.0 {
            (((p.0 - a.0) * ux + (p.1 - a.1) * uz) / length).clamp(0.0, 1.0)
        } else {
            0.0
        };
        libm::hypot(p.0 - a.0 - along * ux, p.1 - a.1 - along * uz)
    })
    .fold(f64::INFINITY, f64::min)
}

#[test]
fn leaning_to_the_inside_helps_against_being_thrown_out() {
    let mut compared = 0;
    for case in CASES.iter() {
        case.each(|cockpit, stance, pose| {
            let upright = middle(case, cockpit, stance, pose, 0.0)
                .corner(Angle::ZERO)
                .unwrap();
            let leaned = Sideways::new(
                &case.rider,
                cockpit,
                stance,
                pose,
                &Options::default(),
                60.0,
            );
            match leaned {
                Ok(leaned) => {
                    if let Ok(leaned) = leaned.corner(Angle::ZERO) {
                        println!(
                            "{}: {:.2} upright, {:.2} leaned ({})",
                            stance.name, upright.most.g, leaned.most.g, leaned.most.gives_first
                        );
                        compared += 1;
                    }
                }
                Err(cannot) => assert!(cannot.because.contains("cannot follow")),
            }
        });
    }
    assert!(compared > 4);
}

#[test]
fn a_body_shifted_too_far_says_so() {
    let case = &CASES[0];
    case.each(|cockpit, stance, pose| {
        let found = Sideways::new(
            &case.rider,
            cockpit,
            stance,
            pose,
            &Options::default(),
            900.0,
        );
        assert!(found.is_err_and(|e| e.because.contains("900 mm")));
    });
}
