//! Boot: sole with heel, shaft along the shank, straps; the heel may be lifted about the ball.

use super::super::Shape;
use super::super::path::{Xy, bend, contour, corner, stroke};
use super::{Build, Side, on_limb};

/// The boot of one side; plain: its outlines alone, as of the far side.
pub(super) fn boot(side: &Side, build: &Build, plain: bool) -> Vec<Shape> {
    let toe_line = (side.toe - side.ball).unit();
    let heel_line = (side.heel - side.ball).unit();
    let (toe_up, heel_up) = (toe_line.left(), -heel_line.left());
    let fore = |ahead: f64, up: f64| side.ball + toe_line * ahead + toe_up * up;
    let rear = |behind: f64, up: f64| side.ball + heel_line * behind + heel_up * up;
    let front = build.toe_to_ball.clamp(50.0, 130.0);
    let back = (build.boot_length - front).max(120.0);
    let h = build.instep;
    let shin = |share: f64, ahead: f64| on_limb(side.ankle, side.knee, share, -ahead);
    let c = build.calf;
    let upper = contour(&[
        corner(fore(front - 4.0, 16.0)),
        bend(fore(front + 1.0, 0.36 * h)),
        bend(fore(front - 18.0, 0.66 * h)),
        bend(fore(front * 0.42, 0.80 * h)),
        bend(rear(0.10 * back, 1.0 * h)),
        bend(shin(0.10, 0.80 * c)),
        bend(shin(0.24, 0.84 * c)),
        corner(shin(0.40, 0.90 * c)),
        corner(shin(0.40, -0.96 * c)),
        bend(shin(0.20, -0.80 * c)),
        bend(rear(back - 8.0, 0.95 * h)),
        bend(rear(back - 2.0, 0.45 * h)),
        corner(rear(back - 4.0, 18.0)),
        bend(rear(0.2 * back, 18.0)),
    ]);
    let sole = contour(&[
        corner(fore(front, 20.0)),
        bend(fore(front - 4.0, 7.0)),
        corner(fore(front - 22.0, 0.0)),
        bend(fore(0.0, 0.0)),
        bend(rear(0.10 * back, 0.0)),
        corner(rear(0.46 * back, 0.0)),
        corner(rear(0.49 * back, 11.0)),
        corner(rear(0.60 * back, 11.0)),
        corner(rear(0.62 * back, 0.0)),
        corner(rear(back - 8.0, 0.0)),
        corner(rear(back, 24.0)),
        bend(rear(0.5 * back, 22.0)),
        bend(rear(0.06 * back, 19.0)),
    ]);
    let (boot, under) = if plain {
        ("boot-far", "sole-far")
    } else {
        ("boot", "sole")
    };
    let mut shapes = vec![Shape::new(boot, upper), Shape::new(under, sole)];
    if plain {
        return shapes;
    }
    let strap = |from: Xy, to: Xy| stroke(&[from, to]);
    shapes.push(Shape::new(
        "buckle",
        [
            strap(rear(0.02 * back, 0.86 * h), rear(0.34 * back, 0.42 * h)),
            strap(shin(0.12, 0.76 * c), shin(0.05, -0.42 * c)),
            strap(shin(0.24, 0.78 * c), shin(0.20, -0.40 * c)),
        ]
        .concat(),
    ));
    shapes.push(Shape::new(
        "toe-cap",
        contour(&[
            corner(fore(front - 5.0, 22.0)),
            bend(fore(front - 1.0, 0.36 * h)),
            bend(fore(front - 19.0, 0.62 * h)),
            corner(fore(front * 0.5, 0.74 * h)),
            bend(fore(front * 0.36, 0.40 * h)),
            corner(fore(front * 0.42, 24.0)),
        ]),
    ));
    shapes
}
