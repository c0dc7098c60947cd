//! What a hold must keep on every pose: witnesses in equilibrium and within their limits, the same answer from the
//! reported contacts alone, monotony in strength and friction, an envelope that agrees with single loads.
#![allow(
    clippy::unwrap_used,
    reason = "a body that cannot be placed fails the test"
)]

mod bodies;

use bodies::{ATTACK, Figure, Placed, READY, SEATED, place, stronger};
use clarabel::algebra::CscMatrix;
use clarabel::solver::{DefaultSettingsBuilder, DefaultSolver, IPSolver, SupportedConeT};
use microlp::{ComparisonOp, OptimizationDirection, Problem, Variable};
use proptest::prelude::*;
use sledstance::hold::{
    Assumed, Contact, Edge, FORCE_CAP, FrictionLevel, Held, Hold, JOINTS, Joint, Limits, Options,
    Pace, Statics, evaluate, leg_travel, load_factor,
};
use sledstance::rider::{Rider, Sex};
use sledstance::sled::profile::SHIPPED;
use sledstance::sled::{Cockpit, Settings, SledProfile};
use sledstance::stance::{self, Aim, Load, SEAT_SHARE_AT_FIRST, Stance};
use sledstance::units::{Angle, Point, STANDARD_GRAVITY};

/// Riders of both sexes, small to tall.
fn riders() -> Vec<Rider> {
    [
        (Sex::Female, 1550.0, 50.0),
        (Sex::Female, 1700.0, 66.0),
        (Sex::Male, 1780.0, 75.0),
        (Sex::Male, 1950.0, 98.0),
    ]
    .map(|(sex, stature, mass)| bodies::rider(sex, stature, mass))
    .into()
}

/// A spread of standing and sitting figures.
fn figures() -> Vec<Figure> {
    let mut figures = vec![READY, ATTACK, SEATED];
    for (k, knee) in [20.0, 45.0, 70.0, 95.0].into_iter().enumerate() {
        for (h, hip) in [55.0, 80.0, 100.0].into_iter().enumerate() {
            let swing = 15.0 * (k + h) as f64;
            let back = 30.0 * h as f64;
            figures.push(Figure {
                ankle: 5.0 + knee / 6.0,
                knee,
                hip,
                swing,
                grip: [300.0 + back, -300.0 + 40.0 * k as f64, 305.0],
                heel_lift: if k == 3 { 12.0 } else { 0.0 },
                seated: false,
            });
        }
    }
    figures
}

fn poses() -> Vec<Placed> {
    let riders = riders();
    figures()
        .into_iter()
        .flat_map(|figure| riders.iter().filter_map(move |rider| place(figure, rider)))
        .collect()
}

fn held(statics: &Statics, load: Load) -> Option<Held> {
    statics.load(load).hold.ok()
}

fn specific_force(load: Load, g: f64) -> (f64, f64) {
    let (start, direction) = (load.start(), load.direction());
    (start.0 + g * direction.0, start.1 + g * direction.1)
}

/// By how much a force breaks what a contact allows, N.
fn broken(contact: &Contact, force: Point) -> f64 {
    let force = if contact.name.starts_with("grip") {
        Point::new(force.x, 2.0 * force.y, force.z)
    } else {
        force
    };
    let normal = contact.normal.dot(&force);
    let outside = (contact.low - normal).max(normal - contact.high);
    if contact.name.starts_with("grip") {
        return outside;
    }
    let tangential = (force - contact.normal * normal).norm();
    outside.max(tangential - contact.friction * normal)
}

#[test]
fn witnesses_balance_and_stay_within_every_limit() {
    let mut witnesses = 0;
    for placed in poses() {
        for friction in [
            FrictionLevel::Low,
            FrictionLevel::Middle,
            FrictionLevel::High,
        ] {
            let options = Options {
                friction,
                ..Options::default()
            };
            let statics = placed.statics(&options);
            for load in Load::ALL {
                let Some(held) = held(&statics, load) else {
                    continue;
                };
                witnesses += 1;
                let f = specific_force(load, held.g);
                let weight = statics.weight();
                let missing = statics.imbalance_under(&held.forces, f);
                assert!(
                    missing.iter().all(|m| m.abs() < 1e-6 * weight),
                    "{missing:?}"
                );
                let moments = statics.moments_under(&held.forces, f);
                for (moment, found) in held.moments.iter().zip(moments) {
                    assert!((moment.value - found).abs() < 1e-6, "{moment:?} {found}");
                    let slack = 1e-6 * (moment.high - moment.low);
                    assert!(moment.value >= moment.low - slack, "{moment:?}");
                    assert!(moment.value <= moment.high + slack, "{moment:?}");
                }
                for contact in statics.contacts() {
                    let name = if contact.name.starts_with("grip") {
                        "grip"
                    } else {
                        contact.name
                    };
                    let force = held.forces.iter().find(|(n, _)| *n == name);
                    let force = force.map_or(Point::zeros(), |(_, force)| *force);
                    assert!(
                        broken(contact, force) < 1e-6 * weight,
                        "{contact:?} {force:?}"
                    );
                }
                assert!(!held.gives_first.is_empty());
                assert_eq!(held.assumed, held.gives_first.ends_with("(assumed limit)"));
            }
        }
    }
    assert!(witnesses > 250, "only {witnesses}");
}

/// The hold from what the report shows alone, in another formulation (normal and tangential forces, no friction cones'
/// edges) and by another solver.
fn third_party(placed: &Placed, contacts: &[Contact], limits: &Limits, load: Load) -> Option<f64> {
    let mut problem = Problem::new(OptimizationDirection::Maximize);
    let free = (f64::NEG_INFINITY, f64::INFINITY);
    let lambda = problem.add_var(1.0, (0.0, f64::INFINITY));
    let mut pushes: Vec<(Variable, &Contact, Point)> = Vec::new();
    let grip = contacts.iter().find(|contact| contact.name == "grip")?;
    let hands: Vec<(Variable, Point)> = [
        Point::new(1.0, 0.0, 0.0),
        Point::new(0.0, 1.0, 0.0),
        Point::new(0.0, 0.0, 1.0),
    ]
    .into_iter()
    .map(|axis| (problem.add_var(0.0, free), axis))
    .collect();
    pushes.extend(
        hands
            .iter()
            .map(|(variable, axis)| (*variable, grip, *axis)),
    );
    for contact in contacts {
        if contact.name.starts_with("grip") {
            let terms: Vec<_> = hands
                .iter()
                .map(|(v, axis)| (*v, contact.normal.dot(axis)))
                .collect();
            problem.add_constraint(&terms, ComparisonOp::Ge, contact.low);
            problem.add_constraint(&terms, ComparisonOp::Le, contact.high);
            continue;
        }
        let normal = problem.add_var(0.0, (contact.low, contact.high));
        pushes.push((normal, contact, contact.normal));
        if contact.friction > 0.0 {
            let tangent = Point::new(contact.normal.z, 0.0, -contact.normal.x);
            let sliding = problem.add_var(0.0, free);
            pushes.push((sliding, contact, tangent));
            for sign in [1.0, -1.0] {
                let terms = [(sliding, sign), (normal, -contact.friction)];
                problem.add_constraint(terms, ComparisonOp::Le, 0.0);
            }
        }
    }
    let p = &placed.pose.points;
    let rider = &placed.rider;
    let (start, direction) = (load.start(), load.direction());
    let mass = rider.mass();
    for axis in [0, 2] {
        let pick = |f: (f64, f64)| mass * STANDARD_GRAVITY * if axis == 0 { f.0 } else { f.1 };
        let mut terms: Vec<_> = pushes
            .iter()
            .map(|(v, _, along)| (*v, along[axis]))
            .collect();
        terms.push((lambda, -pick(direction)));
        problem.add_constraint(&terms, ComparisonOp::Eq, pick(start));
    }
    // Moments about the origin, so that the weight counts here where the project takes it about the centre of mass.
    let weight_moment = |f: (f64, f64)| {
        let com = placed.pose.com;
        mass * STANDARD_GRAVITY * (com.z * f.0 - com.x * f.1) / 1000.0
    };
    let mut terms: Vec<_> = pushes
        .iter()
        .map(|(v, contact, along)| (*v, contact.point.cross(along).y / 1000.0))
        .collect();
    terms.push((lambda, -weight_moment(direction)));
    problem.add_constraint(&terms, ComparisonOp::Eq, weight_moment(start));

    let hinge = |a: Point, b: Point| a.cross(&b).normalize();
    let y = Point::new(0.0, 1.0, 0.0);
    let trunk = Point::new(p.neck.x - p.hip.x, 0.0, p.neck.z - p.hip.z).normalize();
    use sledstance::rider::Part::{Foot, Forearm, Hand, Head, Shank, Thigh, UpperArm, UpperTrunk};
    let foot = ["ball", "heel", "toe_stop", "hoop"];
    let hand = ["grip"];
    let joints: [(Joint, Point, Point, &[&str], &[_]); JOINTS] = [
        (Joint::Ankle, p.ankle, y, &foot, &[Foot]),
        (
            Joint::Knee,
            p.knee,
            -hinge(p.knee - p.hip, p.ankle - p.knee),
            &foot,
            &[Foot, Shank],
        ),
        (Joint::Hip, p.hip, y, &foot, &[Foot, Shank, Thigh]),
        (
            Joint::LowerTrunk,
            p.lower_trunk,
            -y,
            &hand,
            &[Hand, Forearm, UpperArm, Head, UpperTrunk],
        ),
        (
            Joint::Shoulder,
            p.shoulder,
            y,
            &hand,
            &[Hand, Forearm, UpperArm],
        ),
        (
            Joint::ShoulderHorizontal,
            p.shoulder,
            trunk,
            &hand,
            &[Hand, Forearm, UpperArm],
        ),
        (
            Joint::Elbow,
            p.elbow,
            -hinge(p.elbow - p.shoulder, p.grip - p.elbow),
            &hand,
            &[Hand, Forearm],
        ),
    ];
    for (joint, centre, axis, names, parts) in joints {
        let made = |at: Point, force: Point| axis.dot(&(at - centre).cross(&force)) / 1000.0;
        let mut terms: Vec<_> = pushes
            .iter()
            .filter(|(_, contact, _)| names.contains(&contact.name))
            .map(|(v, contact, along)| (*v, made(contact.point, *along)))
            .collect();
        let own = |f: (f64, f64)| -> f64 {
            let carried = rider
                .segments
                .iter()
                .filter(|segment| parts.contains(&segment.part));
            carried
                .map(|segment| {
                    let pull = -segment.mass * f64::from(segment.count) * STANDARD_GRAVITY;
                    let at = sledstance::hold::segment_com(segment, p, rider.links.trunk);
                    made(at, Point::new(pull * f.0, 0.0, pull * f.1))
                })
                .sum()
        };
        terms.push((lambda, own(direction)));
        let (low, high) = limits.of_joint(joint);
        problem.add_constraint(&terms, ComparisonOp::Ge, low - own(start));
        problem.add_constraint(&terms, ComparisonOp::Le, high - own(start));
    }
    let outcome = problem.solve().ok()?;
    Some(outcome.into_solution().ok()?.objective())
}

#[test]
fn a_third_party_finds_the_same_hold_from_the_report() {
    let options = Options::default();
    let mut compared = 0;
    for placed in poses() {
        let statics = placed.statics(&options);
        let limits = placed.limits();
        for load in Load::ALL {
            let theirs = third_party(&placed, statics.contacts(), &limits, load);
            match (statics.load_factor(load), theirs) {
                (Some(ours), Some(theirs)) => {
                    compared += 1;
                    assert!(
                        (ours - theirs).abs() < 1e-6 * (1.0 + ours),
                        "{ours} {theirs}"
                    );
                }
                // Theirs may hold more than the start but not the start itself; ours says so.
                (None, _) => {}
                (Some(ours), None) => panic!("{ours} g where the other finds nothing"),
            }
        }
    }
    assert!(compared > 80, "only {compared}");
}

#[test]
fn a_stronger_rider_and_more_friction_never_hold_less() {
    for placed in poses() {
        let Placed {
            rider,
            cockpit,
            stance,
            pose,
            ..
        } = &placed;
        for load in Load::ALL {
            let factor = |rider: &Rider, options: &Options| {
                load_factor(rider, cockpit, stance, pose, load, options)
            };
            let rising = |values: [Option<f64>; 3]| {
                let values = values.map(|value| value.unwrap_or(-1.0));
                assert!(
                    values[0] <= values[1] + 1e-7 && values[1] <= values[2] + 1e-7,
                    "{values:?}"
                );
            };
            rising([0.8, 1.0, 1.25].map(|by| factor(&stronger(rider, by), &Options::default())));
            let levels = [
                FrictionLevel::Low,
                FrictionLevel::Middle,
                FrictionLevel::High,
            ];
            rising(levels.map(|friction| {
                factor(
                    rider,
                    &Options {
                        friction,
                        ..Options::default()
                    },
                )
            }));
            rising(levels.map(|level| {
                factor(
                    rider,
                    &Options {
                        assumed: Assumed::at(level),
                        ..Options::default()
                    },
                )
            }));
        }
    }
}

/// By how much a point lies outside a counter-clockwise polygon, g (negative inside).
fn outside(envelope: &[Edge], f: (f64, f64)) -> f64 {
    let next = envelope.iter().cycle().skip(1);
    let beyond = envelope.iter().zip(next).map(|(a, b)| {
        let along = (b.f_x - a.f_x, b.f_z - a.f_z);
        let length = (along.0 * along.0 + along.1 * along.1).sqrt();
        (along.1 * (f.0 - a.f_x) - along.0 * (f.1 - a.f_z)) / length
    });
    beyond.fold(f64::NEG_INFINITY, f64::max)
}

#[test]
fn the_envelope_agrees_with_single_loads() {
    let mut checked = 0;
    for placed in poses() {
        let statics = placed.statics(&Options::default());
        let envelope = statics.envelope();
        for load in Load::ALL {
            match statics.load_factor(load) {
                Some(g) => {
                    let distance = outside(&envelope, specific_force(load, g));
                    assert!(distance.abs() < 1e-5, "{load:?} {g} {distance}");
                }
                None => assert!(envelope.is_empty() || outside(&envelope, load.start()) > -1e-5),
            }
        }
        if envelope.is_empty() || outside(&envelope, (0.0, 1.0)) > -1e-3 {
            continue;
        }
        let next = envelope.iter().cycle().skip(1);
        for (a, b) in envelope.iter().zip(next) {
            assert!(!a.gives_first.is_empty());
            let middle = ((a.f_x + b.f_x) / 2.0, (a.f_z + b.f_z) / 2.0 - 1.0);
            let reach = statics.factor_along((0.0, 1.0), middle).unwrap();
            assert!((reach - 1.0).abs() < 1e-5, "{reach} to the middle of {a:?}");
            checked += 1;
        }
    }
    assert!(checked > 200, "only {checked}");
}

#[test]
fn too_weak_a_rider_holds_nothing_and_hears_why() {
    let rider = stronger(&bodies::rider(Sex::Male, 1780.0, 75.0), 0.05);
    let placed = place(ATTACK, &rider).unwrap();
    let Placed {
        rider,
        cockpit,
        stance,
        pose,
    } = &placed;
    let hold = evaluate(rider, cockpit, stance, pose, &Options::default());
    for load in &hold.loads {
        let because = &load.hold.as_ref().unwrap_err().because;
        assert!(because.contains("times the limits"), "{because}");
    }
    assert!(hold.working.is_none());
    // What the words ask for is what holds: with so much more of everything the start is just held.
    let because = &hold.loads[0].hold.as_ref().unwrap_err().because;
    let factor: f64 = because
        .split(' ')
        .find_map(|word| word.parse().ok().filter(|v| *v > 1.5))
        .unwrap();
    let options = |by: f64| {
        let assumed = Assumed::default();
        Options {
            assumed: Assumed {
                push_on_bar: assumed.push_on_bar * by,
                toe_stop: assumed.toe_stop * by,
                hoop: 0.0,
                seat: assumed.seat * by,
            },
            ..Options::default()
        }
    };
    let with = |by: f64| {
        let rider = stronger(rider, by);
        load_factor(&rider, cockpit, stance, pose, Load::Start, &options(by))
    };
    assert!(
        with(factor + 0.01).is_some() && with(factor - 0.01).is_none(),
        "{because}"
    );
}

#[test]
fn solved_postures_hold_something_and_share_their_centre_of_mass() {
    let sled = SledProfile::read(SHIPPED[0].text)
        .unwrap()
        .resolve()
        .unwrap();
    let settings = Settings {
        riser: 2,
        clamp: 0,
        bar: 0,
        seat: 0,
        stirrup: -80.0,
        riser_angle: Angle::from_deg(12.0),
        bar_roll: Angle::ZERO,
    };
    let cockpit = Cockpit::new(&sled, settings);
    let rider = bodies::rider(Sex::Male, 1780.0, 75.0);
    for wanted in Stance::shipped().unwrap() {
        let problem = stance::Problem::new(&rider, &cockpit, &wanted, SEAT_SHARE_AT_FIRST);
        let pose = problem.pose(&problem.solve(Aim::Comfort));
        let hold = evaluate(&rider, &cockpit, &wanted, &pose, &Options::default());
        let limits = Limits::of(&rider, &cockpit, &wanted, &pose.angles);
        let statics = Statics::new(&rider, &cockpit, &pose, limits, &Options::default());
        let weight = statics.weight();
        // The weight alone, hung at the pose's centre of mass, leaves no moment about the segments' one.
        let off = (statics.centre_of_mass() - pose.com).norm();
        assert!(off < 1e-6, "{}: {off} mm", wanted.name);
        for load in &hold.loads {
            let held = load.hold.as_ref().unwrap();
            assert!(held.g > 0.1 && held.g < 20.0, "{} {load:?}", wanted.name);
        }
        let working = hold.working.unwrap();
        assert!(working.hand < weight / 2.0 && working.seat_share < 1.0);
    }
}

/// The working load by an interior-point solver: minimise Σ e² over the same rows.
fn least_effort(statics: &Statics) -> f64 {
    let stated = statics.stated(Load::Start);
    let forces = stated.unknowns.len() - 1;
    let n = forces + JOINTS;
    let weight = statics.weight();
    let mut rows: Vec<Vec<f64>> = Vec::new();
    let mut bounds = Vec::new();
    let scaled = |row: &[f64], sign: f64| -> Vec<f64> {
        let mut scaled: Vec<f64> = row[..forces].iter().map(|a| a * sign).collect();
        scaled.resize(n, 0.0);
        scaled
    };
    // Forces in body weights.
    for (row, range) in &stated.rows[..3] {
        rows.push(scaled(row.as_ref(), 1.0));
        bounds.push(range.low / weight);
    }
    for (j, (row, range)) in stated.rows[3..3 + JOINTS].iter().enumerate() {
        let own_at_start = statics.moments_under(&[], (0.0, 1.0))[j];
        for limit in [range.high + own_at_start, range.low + own_at_start] {
            let mut row = scaled(row.as_ref(), weight / limit);
            row[forces + j] = -1.0;
            rows.push(row);
            bounds.push(-own_at_start / limit);
        }
        let mut most = vec![0.0; n];
        most[forces + j] = 1.0;
        rows.push(most);
        bounds.push(1.0);
    }
    let mut between = |row: Vec<f64>, low: f64, high: f64| {
        if high.is_finite() {
            rows.push(row.clone());
            bounds.push(high / weight);
        }
        if low.is_finite() {
            rows.push(row.iter().map(|a| -a).collect());
            bounds.push(-low / weight);
        }
    };
    for (row, range) in &stated.rows[3 + JOINTS..] {
        between(scaled(row.as_ref(), 1.0), range.low, range.high);
    }
    for (j, range) in stated.unknowns[..forces].iter().enumerate() {
        between(
            (0..n).map(|k| f64::from(u8::from(k == j))).collect(),
            range.low,
            range.high,
        );
    }
    let mut hessian = vec![vec![0.0; n]; n];
    (0..n).for_each(|i| hessian[i][i] = if i < forces { 2e-6 } else { 2.0 });
    let cones = [
        SupportedConeT::ZeroConeT(3),
        SupportedConeT::NonnegativeConeT(bounds.len() - 3),
    ];
    let settings = DefaultSettingsBuilder::default()
        .verbose(false)
        .build()
        .unwrap();
    let (hessian, rows) = (CscMatrix::from(&hessian), CscMatrix::from(&rows));
    let mut solver =
        DefaultSolver::new(&hessian, &vec![0.0; n], &rows, &bounds, &cones, settings).unwrap();
    solver.solve();
    solver.solution.x[forces..].iter().map(|e| e * e).sum()
}

#[test]
fn the_working_load_takes_least_effort() {
    let mut compared = 0;
    for placed in poses() {
        let Placed {
            rider,
            cockpit,
            stance,
            pose,
        } = &placed;
        let hold = evaluate(rider, cockpit, stance, pose, &Options::default());
        let statics = placed.statics(&Options::default());
        let Some(working) = &hold.working else {
            continue;
        };
        compared += 1;
        let ours: f64 = working
            .efforts
            .iter()
            .map(|e| e.fraction * e.fraction)
            .sum();
        let theirs = least_effort(&statics);
        assert!(
            (ours - theirs).abs() < 1e-5 * (1.0 + ours),
            "{ours} {theirs}"
        );
        assert!(
            working
                .efforts
                .iter()
                .all(|e| (0.0..=1.0 + 1e-9).contains(&e.fraction))
        );
        let missing = statics.imbalance_under(&working.forces, (0.0, 1.0));
        assert!(
            missing.iter().all(|m| m.abs() < 1e-6 * statics.weight()),
            "{missing:?}"
        );
        assert_eq!(working.seat_share > 0.0, pose.seated);
    }
    assert!(compared > 20, "only {compared}");
}

#[test]
fn steering_is_held_straight_and_at_lock_where_the_hands_reach() {
    for placed in poses() {
        let Placed {
            rider,
            cockpit,
            stance,
            pose,
        } = &placed;
        let hold =
            |rider: &Rider| evaluate(rider, cockpit, stance, pose, &Options::default()).steering;
        let steering = hold(rider);
        let more = hold(&stronger(rider, 1.3));
        assert!(more.straight >= steering.straight - 1e-9);
        assert_eq!(steering.left_lock, steering.right_lock);
        if let Some(lock) = steering.left_lock {
            assert!(lock >= 0.0 && lock <= more.left_lock.unwrap() + 1e-9);
        }
    }
    let rider = bodies::rider(Sex::Male, 1780.0, 75.0);
    let placed = place(READY, &rider).unwrap();
    let Placed {
        rider,
        cockpit,
        stance,
        pose,
    } = &placed;
    let straight = evaluate(rider, cockpit, stance, pose, &Options::default())
        .steering
        .straight;
    assert!((50.0..400.0).contains(&straight), "{straight}");
}

#[test]
fn a_lifted_heel_carries_nothing_and_a_slid_boot_leaves_the_toe_stop() {
    let rider = bodies::rider(Sex::Male, 1780.0, 75.0);
    let lifted = place(
        Figure {
            heel_lift: 10.0,
            ..READY
        },
        &rider,
    )
    .unwrap();
    let mut slid = place(READY, &rider).unwrap();
    slid.pose.points.toe.x -= 50.0;
    let names = |placed: &Placed| -> Vec<&str> {
        placed
            .statics(&Options::default())
            .contacts()
            .iter()
            .map(|contact| contact.name)
            .collect()
    };
    assert!(!names(&lifted).contains(&"heel") && names(&lifted).contains(&"toe_stop"));
    assert!(names(&slid).contains(&"heel") && !names(&slid).contains(&"toe_stop"));
}

#[test]
fn leg_travel_takes_up_the_drop_of_the_energy_balance() {
    let rider = bodies::rider(Sex::Male, 1780.0, 75.0);
    let pose = place(READY, &rider).unwrap().pose;
    let path = |stop: f64| {
        move |sink: f64| {
            if sink <= stop {
                Ok(pose)
            } else {
                Err("knee flexion".to_owned())
            }
        }
    };
    let travel = leg_travel(path(203.4), |_| 2.5, FORCE_CAP, Pace::SHOWN);
    assert!(
        (travel.leg_travel - 203.4).abs() <= 0.1,
        "{}",
        travel.leg_travel
    );
    assert!((travel.drop - 1.5 * travel.leg_travel).abs() < 1e-9);
    assert_eq!(travel.stops_at, "knee flexion");
    let strong = leg_travel(path(100.0), |_| 1e9, FORCE_CAP, Pace::SHOWN);
    assert!((strong.drop - 3.0 * strong.leg_travel).abs() < 1e-9);
    let weak = leg_travel(path(100.0), |_| f64::NAN, FORCE_CAP, Pace::SHOWN);
    assert_eq!(weak.drop, 0.0);
    let nowhere = leg_travel(|_| Err("elbow".to_owned()), |_| 2.0, FORCE_CAP, Pace::SHOWN);
    assert_eq!(
        (nowhere.leg_travel, nowhere.stops_at.as_str()),
        (0.0, "elbow")
    );
    // Quickly: as near as half a millimetre, whether the deepest posture known is right, too high or too low.
    for deepest in [203.4, 150.0, 260.0] {
        let quick = leg_travel(path(203.4), |_| 2.5, FORCE_CAP, Pace::quick(deepest));
        let short = 203.4 - quick.leg_travel;
        assert!((0.0..=0.5).contains(&short), "{deepest}: {short}");
        assert!((quick.drop - 1.5 * quick.leg_travel).abs() < 1e-9);
    }
}

fn numbers(hold: &Hold) -> Vec<f64> {
    let mut numbers = vec![hold.steering.straight];
    numbers.extend(hold.steering.left_lock);
    numbers.extend(hold.envelope.iter().flat_map(|edge| [edge.f_x, edge.f_z]));
    for held in hold.loads.iter().filter_map(|load| load.hold.as_ref().ok()) {
        numbers.push(held.g);
        numbers.extend(
            held.forces
                .iter()
                .flat_map(|(_, force)| force.iter().copied().collect::<Vec<_>>()),
        );
        numbers.extend(held.moments.iter().map(|moment| moment.value));
    }
    if let Some(working) = &hold.working {
        numbers.push(working.hand);
        numbers.extend(working.efforts.iter().map(|effort| effort.fraction));
    }
    numbers
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// Whatever numbers a pose carries, the answer is finite or absent.
    #[test]
    fn never_panics_and_stays_finite(
        which in 0usize..8,
        value in prop_oneof![
            Just(f64::NAN), Just(f64::INFINITY), Just(f64::NEG_INFINITY), Just(1e300), Just(-1e300), Just(0.0),
            -1e4f64..1e4,
        ],
        axis in 0usize..3,
        friction in prop_oneof![Just(FrictionLevel::Low), Just(FrictionLevel::High)],
        push in prop_oneof![Just(f64::NAN), Just(0.0), Just(1e300), Just(-5.0)],
    ) {
        let rider = bodies::rider(Sex::Male, 1780.0, 75.0);
        let mut placed = place(READY, &rider).unwrap();
        let p = &mut placed.pose.points;
        let point = [
            &mut p.ball, &mut p.knee, &mut p.hip, &mut p.shoulder, &mut p.elbow, &mut p.grip, &mut p.neck,
            &mut p.foot_com,
        ];
        point.into_iter().nth(which).unwrap()[axis] = value;
        placed.pose.angles.elbow = Angle::from_rad(value);
        let assumed = Assumed { push_on_bar: push, ..Assumed::default() };
        let Placed { rider, cockpit, stance, pose } = &placed;
        let hold = evaluate(rider, cockpit, stance, pose, &Options { friction, assumed });
        prop_assert!(numbers(&hold).iter().all(|n| n.is_finite()), "{hold:?}");
    }
}
