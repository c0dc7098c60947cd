//! Sleeve and glove: the hand closed on the grip, one finger on the lever.

use super::super::Shape;
use super::super::path::{Xy, bend, capsule, circle, contour, corner, stroke};
use super::{Build, Side, cuff, on_limb};

/// The sleeve of one side; plain: its outline alone, as of the far side.
pub(super) fn arm(side: &Side, build: &Build, plain: bool) -> Vec<Shape> {
    let (shoulder, elbow, wrist) = (side.shoulder, side.elbow, side.wrist);
    let (u, f, w) = (build.upper_arm, build.forearm, build.wrist);
    let role = if plain { "jacket-far" } else { "jacket" };
    let upper = |share: f64, front: f64| on_limb(shoulder, elbow, share, front);
    let lower = |share: f64, front: f64| on_limb(elbow, wrist, share, front);
    let sleeve = contour(&[
        bend(upper(-0.20, 0.10 * u)),
        bend(upper(-0.10, 0.85 * u)),
        bend(upper(0.16, 1.14 * u)),
        bend(upper(0.48, 1.04 * u)),
        bend(upper(0.80, 0.88 * f)),
        bend(upper(1.02, 0.70 * f)),
        bend(upper(1.06, -0.50 * f)),
        bend(upper(0.84, -0.88 * f)),
        bend(upper(0.50, -u)),
        bend(upper(0.16, -1.12 * u)),
        bend(upper(-0.10, -0.80 * u)),
    ]);
    let forearm = contour(&[
        bend(lower(-0.08, 0.55 * f)),
        bend(lower(0.14, 0.96 * f)),
        bend(lower(0.38, 0.98 * f)),
        bend(lower(0.70, 1.06 * w)),
        corner(lower(0.93, 1.0 * w)),
        corner(lower(0.93, -w)),
        bend(lower(0.70, -1.05 * w)),
        bend(lower(0.34, -1.02 * f)),
        bend(lower(0.10, -0.98 * f)),
        bend(lower(-0.10, -0.55 * f)),
    ]);
    let joint = circle(elbow, 0.86 * f);
    let mut shapes = vec![Shape::new(role, [sleeve, forearm, joint].concat())];
    if plain {
        return shapes;
    }
    shapes.push(Shape::new(
        "jacket-shade",
        contour(&[
            bend(upper(-0.02, -0.88 * u)),
            bend(upper(0.16, -1.06 * u)),
            bend(upper(0.50, -0.94 * u)),
            bend(upper(0.84, -0.80 * f)),
            corner(upper(1.0, -0.42 * f)),
            bend(upper(0.70, -0.34 * u)),
            bend(upper(0.30, -0.46 * u)),
        ]),
    ));
    shapes.push(Shape::new(
        "jacket-shade",
        contour(&[
            corner(lower(0.02, -0.80 * f)),
            bend(lower(0.14, -0.94 * f)),
            bend(lower(0.36, -0.96 * f)),
            bend(lower(0.70, -0.98 * w)),
            corner(lower(0.93, -0.94 * w)),
            corner(lower(0.93, -0.40 * w)),
            bend(lower(0.50, -0.38 * f)),
            bend(lower(0.20, -0.40 * f)),
        ]),
    ));
    // A stripe down the outside of the upper arm.
    shapes.push(Shape::new(
        "stripe",
        contour(&[
            corner(upper(0.02, 0.36 * u)),
            bend(upper(0.40, 0.34 * u)),
            corner(upper(0.78, 0.26 * u)),
            corner(upper(0.80, -0.06 * u)),
            bend(upper(0.40, -0.02 * u)),
            corner(upper(0.00, 0.0)),
        ]),
    ));
    shapes.push(Shape::new(
        "sleeve-cuff",
        cuff(elbow, wrist, (0.84, 0.93), 0.98 * w, 0.98 * w),
    ));
    let bent = (elbow - shoulder).unit().left() + (wrist - elbow).unit().left();
    let crook = elbow + bent.unit() * (0.62 * f);
    shapes.push(Shape::new(
        "fold",
        [
            stroke(&[crook, crook.towards(upper(0.86, -0.30 * f), 0.7)]),
            stroke(&[crook, crook.towards(lower(0.16, -0.30 * f), 0.65)]),
            stroke(&[
                lower(0.44, 0.45 * f),
                lower(0.58, 0.30 * f),
                lower(0.66, 0.05 * f),
            ]),
        ]
        .concat(),
    ));
    shapes
}

/// The gloved hand on the grip, which points at the reader; plain as of the sleeve.
pub(super) fn hand(
    side: &Side,
    build: &Build,
    grip_radius: f64,
    blade: Option<Xy>,
    plain: bool,
) -> Vec<Shape> {
    let (wrist, grip) = (side.wrist, side.grip);
    let along = (grip - wrist).unit();
    let over = along.left();
    let r = grip_radius + build.fist * 0.62;
    let w = build.wrist;
    let at = |ahead: f64, above: f64| grip + along * ahead + over * above;
    let mut glove = contour(&[
        corner(wrist - along * (0.2 * w) + over * (1.06 * w)),
        bend(wrist + along * (0.5 * w) + over * (1.02 * w)),
        bend(at(-0.45 * r, 1.18 * r)),
        bend(at(0.35 * r, 1.16 * r)),
        bend(at(0.98 * r, 0.66 * r)),
        bend(at(1.18 * r, -0.10 * r)),
        bend(at(0.80 * r, -0.90 * r)),
        bend(at(0.0, -1.20 * r)),
        bend(at(-0.85 * r, -1.04 * r)),
        bend(wrist + along * (0.5 * w) - over * (0.98 * w)),
        corner(wrist - along * (0.2 * w) - over * (1.06 * w)),
    ]);
    let role = if plain { "glove-far" } else { "glove" };
    if let Some(blade) = blade {
        // The pointing finger runs from its knuckle over the blade and hooks round it.
        let thick = 0.36 * build.fist;
        let knuckle = at(0.55 * r, 0.80 * r);
        let out = (blade - grip).unit();
        let above = out.left();
        let bent = blade + out * (thick + 3.0) + above * (0.9 * thick);
        let tip = blade + out * (thick + 5.0) - above * (1.5 * thick);
        glove += &capsule(knuckle, bent, 1.1 * thick, thick);
        glove += &capsule(bent, tip, thick, 0.85 * thick);
    }
    let mut shapes = vec![Shape::new(role, glove)];
    if plain {
        return shapes;
    }
    shapes.push(Shape::new(
        "finger",
        [
            stroke(&[
                at(0.34 * r, 0.98 * r),
                at(0.62 * r, 0.30 * r),
                at(0.40 * r, -0.42 * r),
            ]),
            stroke(&[at(0.92 * r, -0.06 * r), at(0.55 * r, -0.16 * r)]),
            stroke(&[
                at(-0.9 * r, -0.78 * r),
                at(-0.2 * r, -0.86 * r),
                at(0.40 * r, -0.74 * r),
            ]),
        ]
        .concat(),
    ));
    shapes.push(Shape::new(
        "glove-cuff",
        cuff(
            wrist - along * (0.45 * w),
            wrist + along * (0.2 * w),
            (0.0, 1.0),
            1.08 * w,
            1.08 * w,
        ),
    ));
    shapes.push(Shape::new("grip-end", circle(grip, grip_radius * 0.92)));
    shapes
}
