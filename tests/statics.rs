//! Worked examples from textbooks through the project's own statics and programs. Each names its source; all of them
//! can be checked by hand.
#![allow(
    clippy::unwrap_used,
    reason = "a body that cannot be placed fails the test"
)]

mod bodies;

use bodies::{Placed, READY, place};
use sledstance::hold::{Joint, Options, Statics};
use sledstance::program::linear::{Program, Range, Status};
use sledstance::program::quadratic::{Constraint, QuadraticProgram};
use sledstance::rider::{Part, Segment, Sex};
use sledstance::units::{Point, STANDARD_GRAVITY};

/// Textbooks take g = 9.80 m/s²: the specific force at rest that stands for it.
const REST: (f64, f64) = (0.0, 9.80 / STANDARD_GRAVITY);
const BOOK_G: f64 = 9.80;

/// A body reduced to the segments of an example.
fn reduced(segments: Vec<Segment>, change: impl Fn(&mut Placed)) -> Statics {
    let rider = bodies::rider(Sex::Male, 1780.0, 75.0);
    let mut placed = place(READY, &rider).unwrap();
    placed.rider.segments = segments;
    change(&mut placed);
    placed.statics(&Options::default())
}

fn segment(part: Part, mass: f64, fraction: f64) -> Segment {
    Segment {
        part,
        count: 1,
        mass,
        fraction,
    }
}

fn moment(statics: &Statics, joint: Joint, forces: &[(&str, Point)], f: (f64, f64)) -> f64 {
    statics.moments_under(forces, f)[joint as usize]
}

fn close(found: f64, printed: f64, half_digit: f64) {
    assert!(
        (found - printed).abs() <= half_digit,
        "{found} against {printed}"
    );
}

/// Forearm of 2.5 kg at 16 cm, 4 kg in the hand at 38 cm, biceps at 4 cm: OpenStax College Physics, "Forces and Torques
/// in Muscles and Joints", example 9.4 (biceps 470 N, elbow 407 N, 7.38 times the weight held up).
#[test]
fn forearm_with_a_load() {
    let statics = reduced(vec![segment(Part::Forearm, 2.5, 0.16 / 0.38)], |placed| {
        let p = &mut placed.pose.points;
        p.shoulder = Point::new(0.0, 180.0, 1300.0);
        p.elbow = Point::new(0.0, 180.0, 1000.0);
        p.grip = Point::new(380.0, 180.0, 1000.0);
    });
    let load = 4.0 * BOOK_G;
    let flexion = moment(
        &statics,
        Joint::Elbow,
        &[("grip", Point::new(0.0, 0.0, -load))],
        REST,
    );
    let biceps = flexion / 0.040;
    let weights = 6.5 * BOOK_G;
    close(biceps, 470.0, 0.5);
    close(biceps - weights, 407.0, 0.5);
    close(biceps / weights, 7.38, 0.005);
}

/// Lifting with the back: 55 kg of upper body at 35 cm and a box of 30 kg at 50 cm before the hips, back muscles at 8 cm
/// and 29°: OpenStax College Physics, same chapter (muscle 4.20 kN, hips 4.66 kN at 38°).
#[test]
fn lifting_with_the_back() {
    let segments = vec![
        segment(Part::UpperTrunk, 55.0, 0.5),
        segment(Part::Head, 30.0, 1.0),
    ];
    let statics = reduced(segments, |placed| {
        placed.rider.links.trunk = 700.0;
        let p = &mut placed.pose.points;
        p.hip = Point::new(0.0, 85.0, 900.0);
        p.lower_trunk = Point::new(0.0, 0.0, 900.0);
        p.neck = Point::new(760.0, 0.0, 900.0);
        p.head = Point::new(500.0, 0.0, 1000.0);
    });
    let muscle = -moment(&statics, Joint::LowerTrunk, &[], REST) / 0.080;
    let tilt = sledstance::units::Angle::from_deg(29.0);
    let (x, y) = (muscle * tilt.cos(), 85.0 * BOOK_G + muscle * tilt.sin());
    close(muscle / 1000.0, 4.20, 0.005);
    close(x / 1000.0, 3.67, 0.005);
    close(y / 1000.0, 2.87, 0.005);
    close((x * x + y * y).sqrt() / 1000.0, 4.66, 0.005);
    close(libm::atan2(y, x).to_degrees(), 38.0, 0.5);
}

/// Ladder of 5 m and 400 N at 53° against a smooth wall: OpenStax University Physics 1, example 12.6 (wall 150.7 N,
/// floor 400 N, friction at least 0.377).
#[test]
fn ladder_against_a_wall() {
    let angle = sledstance::units::Angle::from_deg(53.0);
    let (foot_to_middle, height) = (2.5 * angle.cos(), 5.0 * angle.sin());
    // Unknown: wall, floor, friction at the floor, all at least zero; the moment is taken about the foot.
    let solve = |friction: f64| {
        let rows = [
            ([1.0, 0.0, -1.0], Range::exactly(0.0)),
            ([0.0, 1.0, 0.0], Range::exactly(400.0)),
            ([height, 0.0, 0.0], Range::exactly(400.0 * foot_to_middle)),
            ([0.0, -friction, 1.0], Range::at_most(0.0)),
        ];
        Program::new(&[Range::at_least(0.0); 3], &rows)
            .solve(&[0.0, 0.0, -1.0])
            .clone()
    };
    let held = solve(0.38);
    assert_eq!(held.status, Status::Optimal);
    close(held.x[0], 150.7, 0.05);
    close(held.x[1], 400.0, 1e-6);
    close(held.x[2] / held.x[1], 0.377, 5e-4);
    assert_eq!(solve(0.376).status, Status::Infeasible);
}

/// Forearm tilted 60° under 50 lb at 13 in, biceps at 1.5 in, both vertical: OpenStax University Physics 1, example 12.5
/// (tension 1927 N, elbow 1705 N).
#[test]
fn tilted_forearm() {
    let tilt = sledstance::units::Angle::from_deg(60.0);
    let reach = 330.2;
    let statics = reduced(vec![segment(Part::Head, 1.0, 1.0)], |placed| {
        let p = &mut placed.pose.points;
        p.shoulder = Point::new(0.0, 180.0, 1300.0);
        p.elbow = Point::new(0.0, 180.0, 1000.0);
        p.grip = p.elbow + Point::new(reach * tilt.sin(), 0.0, reach * tilt.cos());
    });
    let load = 222.4;
    let flexion = moment(
        &statics,
        Joint::Elbow,
        &[("grip", Point::new(0.0, 0.0, -load))],
        (0.0, 0.0),
    );
    let tension = flexion / (0.0381 * tilt.sin());
    close(tension, 1927.0, 1.0);
    close(tension - load, 1705.0, 1.0);
}

/// Door of 400 N, 1 m wide, on two hinges 2 m apart that carry alike: OpenStax University Physics 1, example 12.7
/// (±100 N across, 200 N up each). The vertical share is open to statics and settled by least squares, as the working
/// load is.
#[test]
fn door_on_two_hinges() {
    let mut hessian = [[0.0; 4]; 4];
    (0..4).for_each(|i| hessian[i][i] = 1.0);
    // Unknown: x and y at the upper hinge, then at the lower one; the moment is taken about the lower one.
    let rows = [
        Constraint::new([1.0, 0.0, 1.0, 0.0], 0.0),
        Constraint::new([0.0, 1.0, 0.0, 1.0], 400.0),
        Constraint::new([-2.0, 0.0, 0.0, 0.0], 400.0 * 0.5),
    ];
    let held = QuadraticProgram {
        hessian: &hessian,
        gradient: &[0.0; 4],
        equalities: 3,
        constraints: &rows,
    }
    .solve();
    for (found, printed) in held.x.iter().zip([-100.0, 200.0, 100.0, 200.0]) {
        close(*found, printed, 1e-9);
    }
}

/// Foot of a man of 60 kg standing on one leg, 0.9 kg, ground force 588 N 4 cm before the ankle, the foot's centre of
/// mass 6 cm before it: an example of Winter, Biomechanics and Motor Control of Human Movement (from memory; ankle
/// moment −22.99 N·m).
#[test]
fn standing_foot() {
    let statics = reduced(vec![segment(Part::Foot, 0.9, 0.0)], |placed| {
        let p = &mut placed.pose.points;
        p.ankle = Point::new(0.0, 200.0, 80.0);
        p.foot_com = Point::new(60.0, 200.0, 40.0);
        p.ball = Point::new(40.0, 200.0, 0.0);
    });
    let ground = [("ball", Point::new(0.0, 0.0, 588.0))];
    close(moment(&statics, Joint::Ankle, &ground, REST), -22.99, 0.005);
}

/// Two-link arm, 0.30 m at 30° and 0.25 m at 60° more, 100 N down at its tip: torques Jᵀ·F = (−25.98, 0) N·m, which the
/// muscles balance (formulas of any robotics text, worked out by hand).
#[test]
fn two_link_arm() {
    let (first, second) = (30.0f64.to_radians(), 90.0f64.to_radians());
    let statics = reduced(vec![segment(Part::Head, 1.0, 1.0)], |placed| {
        let p = &mut placed.pose.points;
        p.shoulder = Point::new(0.0, 180.0, 1000.0);
        p.elbow = p.shoulder + Point::new(libm::cos(first), 0.0, libm::sin(first)) * 300.0;
        p.grip = p.elbow + Point::new(libm::cos(second), 0.0, libm::sin(second)) * 250.0;
    });
    let load = [("grip", Point::new(0.0, 0.0, -100.0))];
    close(
        moment(&statics, Joint::Shoulder, &load, (0.0, 0.0)),
        25.98,
        0.005,
    );
    close(moment(&statics, Joint::Elbow, &load, (0.0, 0.0)), 0.0, 1e-9);
}

/// The textbook program of SciPy's documentation of `linprog` (from memory, checked by hand): x = (10, −3), −22.
#[test]
fn textbook_linear_program() {
    let rows = [
        ([-3.0, 1.0], Range::at_most(6.0)),
        ([1.0, 2.0], Range::at_most(4.0)),
    ];
    let mut program = Program::new(&[Range::FREE, Range::at_least(-3.0)], &rows);
    let found = program.solve(&[1.0, -4.0]);
    close(found.x[0], 10.0, 1e-9);
    close(found.x[1], -3.0, 1e-9);
    close(-found.objective, -22.0, 1e-9);
}

/// Rider of 735.75 N on a foot at the origin with friction 0.5, hand at (0.6, 1.0) m with ±300 N each way: the centre of
/// mass can lie from −0.652 to 0.541 m (worked out by hand: 0.6·h_y − h_x = W·x, |h_x| ≤ 0.5·(W − h_y)).
#[test]
fn rider_on_foot_and_hand() {
    let weight = 735.75;
    // Unknown: the edges of the foot's friction cone, the hand's two components, the centre of mass.
    let rows = [
        ([0.5, -0.5, 1.0, 0.0, 0.0], Range::exactly(0.0)),
        ([1.0, 1.0, 0.0, 1.0, 0.0], Range::exactly(weight)),
        ([0.0, 0.0, -1.0, 0.6, -weight], Range::exactly(0.0)),
    ];
    let hand = Range::between(-300.0, 300.0);
    let unknowns = [
        Range::at_least(0.0),
        Range::at_least(0.0),
        hand,
        hand,
        Range::FREE,
    ];
    let mut program = Program::new(&unknowns, &rows);
    let front = program.solve(&[0.0, 0.0, 0.0, 0.0, 1.0]);
    close(front.objective, 0.541, 5e-4);
    close(front.x[2], -217.9, 0.05);
    close(front.x[3], 300.0, 1e-6);
    let rear = program.resolve(&[0.0, 0.0, 0.0, 0.0, -1.0]);
    close(-rear.objective, -0.652, 5e-4);
}

/// With the elbow out, a moment about the lateral axis misses part of what the elbow's hinge carries.
#[test]
fn the_hinge_carries_more_than_the_side_view_shows() {
    let rider = bodies::rider(Sex::Male, 1780.0, 75.0);
    let placed = place(bodies::ATTACK, &rider).unwrap();
    let p = &placed.pose.points;
    let massless = reduced(vec![segment(Part::Head, 1.0, 1.0)], |other| {
        other.pose = placed.pose;
        other.cockpit = placed.cockpit;
    });
    // Each hand is pushed with 250 N from its grip straight at its shoulder; the lever on the elbow's hinge is then the
    // elbow's distance from that line.
    let line = (p.shoulder - p.grip).normalize();
    let push = line * 250.0;
    let lever = (p.elbow - p.grip).cross(&line).norm() / 1000.0;
    let both = [("grip", Point::new(2.0 * push.x, push.y, 2.0 * push.z))];
    let hinge = moment(&massless, Joint::Elbow, &both, (0.0, 0.0));
    let side = 2.0 * (p.grip - p.elbow).cross(&push).y / 1000.0;
    close(hinge, -500.0 * lever, 1e-9);
    // Measured on this pose at 60° of swing, both elbows: 108.7 N·m about the hinges, 21.2 N·m in the side view. How
    // much the side view misses depends on the pose and on the force's direction.
    close(hinge.abs(), 108.7, 2.0);
    close(side.abs(), 21.2, 2.0);
}
