//! Forward kinematics against Pinocchio on random poses (`tests/reference/kinematics.py` makes them from the problems in
//! `tests/cases/posture-problems.json`), and against what the points of a pose must satisfy by themselves.
#![cfg(not(target_arch = "wasm32"))]
#![allow(clippy::expect_used, clippy::unwrap_used, reason = "a test may panic")]

mod outside;

use std::collections::BTreeMap;

use outside::{FreeData, Parts, point, problems};
use serde::Deserialize;
use sledstance::hold::segment_com;
use sledstance::sled::Cockpit;
use sledstance::stance::{Pose, Problem};
use sledstance::units::{Angle, Point};

/// Largest allowed difference of a point, mm, and of an angle, degrees. The references are written to 1e-8 mm and closed
/// to 1e-10 mm; a limb of 300 mm turns a point's 1e-6 mm into 2e-7°.
const MM: f64 = 1e-6;
const DEG: f64 = 1e-6;

#[derive(Deserialize)]
struct Golden {
    case: usize,
    free: FreeData,
    points_mm: BTreeMap<String, [f64; 3]>,
    angles_deg: BTreeMap<String, f64>,
}

fn golden() -> Vec<Golden> {
    serde_json::from_str(include_str!("cases/kinematics-golden.json")).expect("golden")
}

/// Runs on every golden pose with the core's pose for the same free variables.
fn each(mut run: impl FnMut(&Golden, &Parts, &Problem, &Cockpit, &Pose)) {
    let problems = problems();
    let golden = golden();
    assert!(golden.len() >= 300, "{} poses", golden.len());
    for g in &golden {
        let parts = problems.parts(&problems.cases[g.case]);
        parts.with(|problem, cockpit| {
            let pose = problem.pose(&problem.at(g.free.free()));
            run(g, &parts, problem, cockpit, &pose);
        });
    }
}

#[test]
fn every_point_and_angle_is_that_of_pinocchio() {
    let mut worst: BTreeMap<String, f64> = BTreeMap::new();
    let mut compared = 0;
    each(|g, _, _, cockpit, pose| {
        let p = &pose.points;
        let points = [
            ("ball", p.ball),
            ("heel", p.heel),
            ("toe", p.toe),
            ("toe_stop", p.toe_stop),
            ("ankle", p.ankle),
            ("knee", p.knee),
            ("hip", p.hip),
            ("lower_trunk", p.lower_trunk),
            ("shoulder", p.shoulder),
            ("elbow", p.elbow),
            ("wrist", p.wrist),
            ("grip", p.grip),
            ("neck", p.neck),
            ("head", p.head),
            ("foot_com", p.foot_com),
            ("bar_centre", cockpit.bar_centre),
            ("grip_axis", cockpit.grip_axis),
            ("com", pose.com),
        ];
        assert_eq!(
            g.points_mm.len(),
            points.len() + 1,
            "a point is left uncompared"
        );
        let mut note = |name: &str, off: f64| {
            let worst = worst.entry(name.to_owned()).or_default();
            *worst = worst.max(off);
            compared += 1;
        };
        for (name, at) in points {
            note(name, (at - point(&g.points_mm[name])).norm());
        }
        if pose.seated {
            note("seat", (p.seat - point(&g.points_mm["seat"])).norm());
        }
        let a = &pose.angles;
        let angles = [
            ("ankle", a.ankle),
            ("knee", a.knee),
            ("hip", a.hip),
            ("trunk", a.trunk),
            ("shoulder", a.shoulder),
            ("elbow", a.elbow),
            ("wrist_ulnar", a.wrist_ulnar),
            ("neck", a.neck),
        ];
        assert_eq!(
            g.angles_deg.len(),
            angles.len(),
            "an angle is left uncompared"
        );
        for (name, angle) in angles {
            note(
                &format!("{name} angle"),
                (angle.deg() - g.angles_deg[name]).abs(),
            );
        }
    });
    for (name, off) in &worst {
        println!("{name:18} {off:9.1e}");
    }
    println!("{compared} values");
    for (name, off) in worst {
        let allowed = if name.ends_with(" angle") { DEG } else { MM };
        assert!(off <= allowed, "{name}: {off}");
    }
}

#[test]
fn links_keep_their_lengths_and_masses_their_centre() {
    each(|g, parts, _, cockpit, pose| {
        let (p, l) = (&pose.points, &parts.rider.links);
        let mid = |at: Point| Point::new(at.x, 0.0, at.z);
        let hips = mid(p.hip);
        let up = (p.lower_trunk - hips) / l.lower_trunk;
        let shoulders = hips + up * l.trunk;
        let rear_of_ball = |distance: f64| (distance - l.toe_to_ball).abs();
        for (what, found, wanted) in [
            ("toe to ball", (p.toe - p.ball).norm(), l.toe_to_ball),
            (
                "ball to heel",
                (p.ball - p.heel).norm(),
                rear_of_ball(l.toe_to_heel),
            ),
            (
                "ball to ankle",
                (p.ball - p.ankle).norm_squared(),
                rear_of_ball(l.toe_to_ankle) * rear_of_ball(l.toe_to_ankle)
                    + l.ankle_height * l.ankle_height,
            ),
            ("shank", (p.ankle - p.knee).norm(), l.shank),
            ("thigh", (p.knee - p.hip).norm(), l.thigh),
            ("hips", p.hip.y, l.hip_half),
            ("lower trunk", (p.lower_trunk - hips).norm(), l.lower_trunk),
            ("neck base", (p.neck - shoulders).norm(), l.neck_base),
            ("head", (p.head - p.neck).norm(), l.neck),
            ("shoulders", p.shoulder.y, l.shoulder_half),
            (
                "protraction",
                (mid(p.shoulder) - shoulders).norm(),
                l.protraction.abs(),
            ),
            (
                "square to the trunk",
                (mid(p.shoulder) - shoulders).dot(&up),
                0.0,
            ),
            ("upper arm", (p.shoulder - p.elbow).norm(), l.upper_arm),
            ("forearm", (p.elbow - p.grip).norm(), l.forearm),
            ("hand", (p.wrist - p.grip).norm(), l.wrist_to_grip),
            ("grip", (p.grip - cockpit.grip).norm(), 0.0),
            ("mid-plane", p.head.y.abs() + p.neck.y.abs(), 0.0),
        ] {
            assert!(
                (found - wanted).abs() < 1e-7,
                "{what}: {found}, not {wanted}, in {:?}",
                g.free
            );
        }
        let mut sum = Point::zeros();
        for segment in &parts.rider.segments {
            sum += segment_com(segment, p, l.trunk) * (segment.mass * f64::from(segment.count));
        }
        let com = mid(sum / parts.rider.mass());
        assert!((com - pose.com).norm() < 1e-7, "{com:?} {:?}", pose.com);
    });
}

/// Angle between two directions.
fn between(a: Point, b: Point) -> Angle {
    Angle::from_rad(libm::atan2(a.cross(&b).norm(), a.dot(&b)))
}

/// Turn of `at` about the line from `from` to `to`: 0 where it lies towards `zero`, positive towards line × zero.
fn turn(at: Point, from: Point, to: Point, zero: Point) -> Angle {
    let line = (to - from).normalize();
    let square = |v: Point| v - line * line.dot(&v);
    let (off, zero) = (square(at - from), square(zero));
    Angle::from_rad(libm::atan2(line.dot(&zero.cross(&off)), zero.dot(&off)))
}

/// Lean of a direction from vertical in the side view, forward positive.
fn lean(v: Point) -> Angle {
    Angle::from_rad(libm::atan2(v.x, v.z))
}

/// The free variables that belong to the points of a pose.
fn inverse(pose: &Pose, pitch: Angle) -> FreeData {
    let p = &pose.points;
    let hips = Point::new(p.hip.x, 0.0, p.hip.z);
    let back = p.ball - p.heel;
    FreeData {
        hip_x: p.hip.x,
        hip_z_or_slide: if pose.seated {
            (p.toe_stop - p.toe).norm()
        } else {
            p.hip.z
        },
        lean: lean(p.lower_trunk - hips).deg(),
        swing: turn(p.elbow, p.shoulder, p.grip, Point::new(0.0, 0.0, -1.0)).deg(),
        // The sole points forward and down where the heel is up.
        heel: (Angle::from_rad(libm::atan2(-back.z, back.x)) + pitch).deg(),
        splay: turn(p.knee, p.ankle, p.hip, Point::new(1.0, 0.0, 0.0)).deg(),
    }
}

#[test]
fn angles_are_what_the_points_say_and_the_free_variables_come_back() {
    each(|g, parts, _, cockpit, pose| {
        let (p, a) = (&pose.points, &pose.angles);
        let pitch = parts.sled.board.pitch;
        let hips = Point::new(p.hip.x, 0.0, p.hip.z);
        let trunk = p.lower_trunk - hips;
        let square_grip = between(p.grip - p.elbow, cockpit.grip_axis).deg();
        for (what, found, wanted) in [
            (
                "knee",
                a.knee.deg(),
                between(p.knee - p.ankle, p.hip - p.knee).deg(),
            ),
            (
                "elbow",
                a.elbow.deg(),
                between(p.elbow - p.shoulder, p.grip - p.elbow).deg(),
            ),
            (
                "ankle",
                a.ankle.deg(),
                (lean(p.knee - p.ankle) - a.heel_lift + pitch).deg(),
            ),
            (
                "hip",
                a.hip.deg(),
                (lean(trunk) - lean(p.hip - p.knee)).deg(),
            ),
            (
                "shoulder",
                a.shoulder.deg(),
                between(p.elbow - p.shoulder, -trunk).deg(),
            ),
            // Square to the forearm is 90°; the natural oblique grip is 10° beyond and counts as none.
            ("wrist", a.wrist_ulnar.deg(), square_grip - 100.0),
            (
                "neck",
                a.neck.deg(),
                (lean(trunk) - lean(p.head - p.neck)).deg(),
            ),
        ] {
            let off = (found - wanted + 540.0) % 360.0 - 180.0;
            assert!(
                off.abs() < DEG,
                "{what}: {found}, not {wanted}, in {:?}",
                g.free
            );
        }
        let back = inverse(pose, pitch);
        let (mm, deg) = back.apart(&g.free);
        assert!(mm < MM && deg < DEG, "{back:?} from {:?}", g.free);
    });
}
