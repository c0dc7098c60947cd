//! Full-face helmet with peak, chin bar, goggle and strap.

use super::super::path::{Xy, bend, contour, corner, flat, stroke};
use super::super::{Disc, Shape};
use super::Build;
use crate::stance::Pose;
use crate::units::Angle;

/// The helmet in its own frame: forward and up in helmet radii.
struct Frame {
    centre: Xy,
    ahead: Xy,
    radius: f64,
}

impl Frame {
    fn new(pose: &Pose, build: &Build, pitch: Angle) -> Self {
        Self {
            centre: flat(&pose.points.head),
            ahead: Xy::at(-pitch),
            radius: build.helmet,
        }
    }

    fn at(&self, ahead: f64, up: f64) -> Xy {
        self.centre + (self.ahead * ahead + self.ahead.left() * up) * self.radius
    }

    fn shell(&self) -> String {
        let p = |ahead, up| self.at(ahead, up);
        contour(&[
            bend(p(-0.60, -0.86)),
            bend(p(-0.93, -0.44)),
            bend(p(-1.0, 0.10)),
            bend(p(-0.78, 0.64)),
            bend(p(-0.30, 0.95)),
            bend(p(0.24, 0.95)),
            bend(p(0.66, 0.70)),
            corner(p(0.88, 0.36)),
            bend(p(0.78, 0.0)),
            corner(p(0.84, -0.30)),
            bend(p(1.14, -0.40)),
            corner(p(1.32, -0.58)),
            bend(p(1.20, -0.84)),
            bend(p(0.76, -1.02)),
            bend(p(0.24, -1.04)),
            bend(p(-0.25, -0.94)),
        ])
    }

    fn peak(&self) -> String {
        let p = |ahead, up| self.at(ahead, up);
        contour(&[
            corner(p(-0.22, 0.95)),
            bend(p(0.36, 1.10)),
            bend(p(0.95, 1.06)),
            corner(p(1.58, 0.84)),
            corner(p(1.55, 0.75)),
            bend(p(1.05, 0.80)),
            corner(p(0.72, 0.62)),
            bend(p(0.30, 0.88)),
        ])
    }
}

/// The outlines of shell and peak.
pub(super) fn outlines(pose: &Pose, build: &Build, pitch: Angle) -> [String; 2] {
    let frame = Frame::new(pose, build, pitch);
    [frame.shell(), frame.peak()]
}

/// The zone that no label may cover: shell, chin bar and peak.
pub(super) fn zone(pose: &Pose, build: &Build, pitch: Angle) -> Disc {
    Disc {
        centre: Frame::new(pose, build, pitch).at(0.27, 0.0),
        radius: 1.32 * build.helmet,
    }
}

/// Draws the head.
pub(super) fn head(pose: &Pose, build: &Build, pitch: Angle) -> Vec<Shape> {
    let frame = Frame::new(pose, build, pitch);
    let p = |ahead, up| frame.at(ahead, up);
    let lens = contour(&[
        corner(p(0.50, 0.46)),
        bend(p(0.88, 0.42)),
        bend(p(1.02, 0.10)),
        bend(p(0.98, -0.26)),
        corner(p(0.80, -0.40)),
        bend(p(0.52, -0.34)),
        bend(p(0.36, -0.08)),
        bend(p(0.38, 0.26)),
    ]);
    let glass = contour(&[
        corner(p(0.56, 0.34)),
        bend(p(0.86, 0.31)),
        bend(p(0.95, 0.06)),
        bend(p(0.91, -0.20)),
        corner(p(0.78, -0.29)),
        bend(p(0.58, -0.22)),
        bend(p(0.48, 0.02)),
    ]);
    let strap = contour(&[
        corner(p(0.42, 0.20)),
        corner(p(0.42, -0.06)),
        bend(p(-0.30, -0.02)),
        corner(p(-0.985, 0.0)),
        corner(p(-0.985, 0.20)),
        bend(p(-0.30, 0.22)),
    ]);
    let flash = contour(&[
        corner(p(-0.93, 0.30)),
        bend(p(-0.30, 0.46)),
        corner(p(0.52, 0.52)),
        bend(p(0.24, 0.66)),
        bend(p(-0.34, 0.72)),
        corner(p(-0.83, 0.53)),
    ]);
    let chin = contour(&[
        corner(p(-0.58, -0.84)),
        bend(p(0.0, -0.80)),
        bend(p(0.60, -0.80)),
        corner(p(1.26, -0.62)),
        bend(p(1.17, -0.83)),
        bend(p(0.75, -1.01)),
        bend(p(0.24, -1.03)),
        bend(p(-0.25, -0.93)),
    ]);
    let mut shapes = vec![Shape::new("helmet", frame.shell())];
    shapes.push(Shape::new("flash", flash));
    shapes.push(Shape::new("helmet-shade", chin));
    shapes.push(Shape::new("strap", strap));
    shapes.push(Shape::new("goggle", lens));
    shapes.push(Shape::new("glass", glass));
    shapes.push(Shape::new(
        "vent",
        [
            stroke(&[p(0.74, -0.56), p(1.10, -0.53)]),
            stroke(&[p(0.76, -0.66), p(1.06, -0.64)]),
        ]
        .concat(),
    ));
    shapes.push(Shape::new("peak", frame.peak()));
    shapes
}
