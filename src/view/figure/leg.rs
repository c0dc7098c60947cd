//! Trouser leg: seat, thigh, knee with its panel, calf, cuff over the boot.

use super::super::Shape;
use super::super::path::{bend, circle, contour, corner, flat, stroke};
use super::{Build, Side, cuff, on_limb};
use crate::stance::Pose;

/// Where the trouser ends on the shank, from the knee.
pub(super) const CUFF: f64 = 0.70;

/// The leg of one side; plain: its outline alone, as of the far side.
pub(super) fn leg(pose: &Pose, side: &Side, build: &Build, plain: bool) -> Vec<Shape> {
    let (hip, knee, ankle) = (side.hip, side.knee, side.ankle);
    let (r, k, c) = (build.thigh, build.knee, build.calf);
    let role = if plain { "pants-far" } else { "pants" };
    let thigh = |share: f64, front: f64| on_limb(hip, knee, share, front);
    let shank = |share: f64, front: f64| on_limb(knee, ankle, share, front);
    let thigh_path = contour(&[
        bend(thigh(-0.08, 0.74 * r)),
        bend(thigh(0.10, 1.12 * r)),
        bend(thigh(0.32, 1.20 * r)),
        bend(thigh(0.62, 1.06 * r)),
        bend(thigh(0.88, 0.90 * k)),
        bend(thigh(1.04, 0.72 * k)),
        bend(thigh(1.04, -0.45 * k)),
        bend(thigh(0.90, -0.80 * k)),
        bend(thigh(0.64, -0.95 * r)),
        bend(thigh(0.34, -1.14 * r)),
        bend(thigh(0.08, -1.20 * r)),
        bend(thigh(-0.08, -0.70 * r)),
    ]);
    let shank_path = contour(&[
        bend(shank(-0.04, 0.75 * k)),
        bend(shank(0.10, 0.90 * k)),
        bend(shank(0.32, 0.98 * c)),
        bend(shank(0.52, 0.98 * c)),
        corner(shank(CUFF + 0.02, 1.08 * c)),
        corner(shank(CUFF, -1.14 * c)),
        bend(shank(0.50, -1.16 * c)),
        bend(shank(0.26, -1.20 * c)),
        bend(shank(0.08, -0.80 * k)),
        bend(shank(-0.04, -0.60 * k)),
    ]);
    let (seat, joint) = (seat(pose, side, build), circle(knee, 0.86 * k));
    let mut shapes = vec![Shape::new(
        role,
        [seat, thigh_path, shank_path, joint].concat(),
    )];
    if plain {
        return shapes;
    }
    // The side away from the light: back of thigh and calf.
    shapes.push(Shape::new(
        "pants-shade",
        contour(&[
            bend(thigh(0.02, -1.14 * r)),
            bend(thigh(0.34, -1.10 * r)),
            bend(thigh(0.64, -0.91 * r)),
            bend(thigh(0.92, -0.70 * k)),
            corner(thigh(0.99, -0.30 * k)),
            bend(thigh(0.72, -0.36 * r)),
            bend(thigh(0.34, -0.46 * r)),
            corner(thigh(0.02, -0.62 * r)),
        ]),
    ));
    shapes.push(Shape::new(
        "pants-shade",
        contour(&[
            corner(shank(0.06, -0.62 * k)),
            bend(shank(0.26, -1.14 * c)),
            bend(shank(0.50, -1.10 * c)),
            corner(shank(CUFF, -1.08 * c)),
            corner(shank(CUFF, -0.45 * c)),
            bend(shank(0.44, -0.40 * c)),
            bend(shank(0.2, -0.34 * c)),
        ]),
    ));
    shapes.push(Shape::new("panel", knee_panel(side, k)));
    shapes.push(Shape::new(
        "pants-cuff",
        cuff(
            knee,
            ankle,
            (CUFF - 0.045, CUFF + 0.01),
            1.045 * c,
            1.145 * c,
        ),
    ));
    // Folds gather behind the knee and run from the hip crease along the outside of the thigh.
    let pit = (thigh(0.93, -0.62 * k)).towards(shank(0.07, -0.62 * k), 0.5);
    shapes.push(Shape::new(
        "fold",
        [
            stroke(&[pit, pit.towards(thigh(0.86, 0.05 * k), 0.75)]),
            stroke(&[pit, pit.towards(shank(0.16, 0.05 * k), 0.7)]),
            stroke(&[
                thigh(0.30, 0.0),
                thigh(0.50, 0.10 * r),
                thigh(0.72, 0.08 * k),
            ]),
            stroke(&[
                shank(0.42, 0.30 * c),
                shank(0.56, 0.34 * c),
                shank(0.64, 0.30 * c),
            ]),
        ]
        .concat(),
    ));
    shapes
}

/// The patch over the kneecap, along the bisector of thigh and shank.
fn knee_panel(side: &Side, k: f64) -> String {
    let (hip, knee, ankle) = (side.hip, side.knee, side.ankle);
    let up = |share: f64, front: f64| on_limb(knee, hip, share, -front);
    let down = |share: f64, front: f64| on_limb(knee, ankle, share, front);
    let front = ((knee - hip).unit().left() + (ankle - knee).unit().left()).unit();
    contour(&[
        corner(up(0.20, 0.80 * k)),
        bend(up(0.10, 0.80 * k)),
        bend(knee + front * (0.80 * k)),
        bend(down(0.12, 0.80 * k)),
        corner(down(0.27, 0.62 * k)),
        bend(down(0.20, 0.22 * k)),
        bend(knee + front * (0.18 * k)),
        bend(up(0.13, 0.26 * k)),
    ])
}

/// The seat of the trousers, between trunk and thigh.
fn seat(pose: &Pose, side: &Side, build: &Build) -> String {
    let (hip, knee) = (side.hip, side.knee);
    let trunk = flat(&pose.points.neck) - flat(&pose.points.hip);
    let (up, down) = (trunk.unit(), (knee - hip).unit());
    let length = trunk.length();
    let (behind, under) = (up.left(), -down.left());
    let r = build.thigh;
    // On the seat the flesh ends where the loaded foam begins.
    let rest = (pose.points.hip.z - pose.points.seat.z).clamp(0.6 * r, 1.3 * r);
    let under_r = if pose.seated { rest } else { 1.12 * r };
    let diagonal = (behind + under).unit();
    let diagonal_r = if pose.seated {
        (0.5 * (under_r + 1.2 * r)).min(under_r / diagonal.y.max(0.3))
    } else {
        1.22 * r
    };
    contour(&[
        bend(hip + up * (0.24 * length) - behind * (0.62 * build.chest)),
        bend(hip + up * (0.06 * length) - behind * (0.66 * build.chest)),
        bend(hip + down * (0.3 * r) - under * (0.86 * r)),
        bend(hip + down * (1.1 * r)),
        bend(hip + down * (0.7 * r) + under * (under_r * 0.98)),
        bend(hip + under * under_r),
        bend(hip + diagonal * diagonal_r),
        bend(hip + behind * (1.16 * r) - up * (0.01 * length)),
        bend(hip + behind * (0.62 * build.back) + up * (0.16 * length)),
    ])
}
