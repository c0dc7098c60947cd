//! Trunk: jacket with chest, belly and back line, hem, shoulder yoke, collar.

use super::super::Shape;
use super::super::path::{Xy, bend, contour, corner, flat, stroke};
use super::{Build, Wearer};
use crate::stance::Pose;

/// Where the jacket's back hem lies: below the hip, over the seat of the trousers.
const HEM_BACK: f64 = -0.10;

/// The trunk's own frame: share of the way from hip to shoulder line, then forward.
pub(super) struct Trunk {
    hip: Xy,
    up: Xy,
    front: Xy,
    length: f64,
    chest: f64,
    back: f64,
    /// How far the hip folds, in quarter turns: the more, the higher the jacket's front rides up and the flatter the small
    /// of the back.
    folded: f64,
    hem_front: f64,
    hollow: f64,
    neck: f64,
}

impl Trunk {
    /// Of a pose.
    pub(super) fn new(pose: &Pose, body: Wearer, build: &Build) -> Self {
        let hip = flat(&pose.points.hip);
        let up = (flat(&pose.points.neck) - hip).unit();
        let length = body.links.trunk.max(200.0);
        let folded = (pose.angles.hip.deg() / 90.0).clamp(0.0, 1.25);
        Self {
            hip,
            up,
            front: -up.left(),
            length,
            chest: build.chest,
            back: build.back,
            folded,
            hem_front: 0.03 + 0.13 * folded,
            hollow: 0.86 + 0.14 * folded.min(1.0),
            neck: 1.0 + (body.links.neck_base / length).clamp(0.02, 0.3),
        }
    }

    fn at(&self, share: f64, front: f64) -> Xy {
        self.hip + self.up * (share * self.length) + self.front * front
    }

    /// The jacket's outline.
    pub(super) fn jacket(&self) -> String {
        let t = |share, front| self.at(share, front);
        let (c, b, hollow) = (self.chest, self.back, self.hollow);
        contour(&[
            corner(t(self.hem_front, 0.80 * c)),
            bend(t(self.hem_front + 0.12, 0.90 * c)),
            bend(t(0.42, 0.93 * c)),
            bend(t(0.66, 0.98 * c)),
            bend(t(0.85, 0.80 * c)),
            bend(t(0.98, 0.46 * c)),
            corner(t(self.neck + 0.02, 0.26 * c)),
            corner(t(self.neck + 0.07, -0.34 * b)),
            bend(t(0.99, -0.72 * b)),
            bend(t(0.86, -0.98 * b)),
            bend(t(0.68, -1.05 * b)),
            bend(t(0.47, -0.97 * b * hollow.max(0.94))),
            bend(t(0.27, -0.96 * b * hollow)),
            bend(t(0.10, -b * hollow)),
            corner(t(HEM_BACK, -1.02 * b)),
            bend(t(0.5 * (self.hem_front + HEM_BACK) - 0.015, -0.1 * b)),
        ])
    }
}

/// Jacket and collar.
pub(super) fn trunk(pose: &Pose, body: Wearer, build: &Build) -> Vec<Shape> {
    let trunk = Trunk::new(pose, body, build);
    let t = |share, front| trunk.at(share, front);
    let jacket = trunk.jacket();
    let Trunk {
        chest: c,
        back: b,
        folded,
        hem_front,
        hollow,
        neck,
        ..
    } = trunk;
    let collar = contour(&[
        corner(t(neck - 0.06, 0.36 * c)),
        corner(t(neck + 0.13, 0.40 * c)),
        bend(t(neck + 0.16, 0.0)),
        corner(t(neck + 0.19, -0.36 * b)),
        corner(t(neck - 0.02, -0.62 * b)),
        bend(t(neck - 0.05, -0.10 * b)),
    ]);
    let mut shapes = vec![Shape::new("collar", collar), Shape::new("jacket", jacket)];
    shapes.push(Shape::new(
        "jacket-shade",
        contour(&[
            corner(t(HEM_BACK + 0.04, -0.97 * b)),
            bend(t(0.10, -0.95 * b * hollow)),
            bend(t(0.27, -0.91 * b * hollow)),
            bend(t(0.47, -0.93 * b * hollow.max(0.94))),
            bend(t(0.68, -b)),
            bend(t(0.86, -0.93 * b)),
            corner(t(0.985, -0.66 * b)),
            bend(t(0.80, -0.62 * b)),
            bend(t(0.52, -0.58 * b)),
            bend(t(0.25, -0.52 * b)),
            corner(t(0.0, -0.50 * b)),
        ]),
    ));
    // Yoke over the shoulder blades, and a hem band.
    shapes.push(Shape::new(
        "yoke",
        contour(&[
            corner(t(neck + 0.07, -0.34 * b)),
            bend(t(0.99, -0.72 * b)),
            corner(t(0.87, -0.965 * b)),
            bend(t(0.84, -0.30 * b)),
            corner(t(0.80, 0.80 * c)),
            bend(t(0.86, 0.785 * c)),
            bend(t(0.98, 0.46 * c)),
            corner(t(neck + 0.02, 0.26 * c)),
        ]),
    ));
    shapes.push(Shape::new(
        "hem",
        contour(&[
            corner(t(hem_front + 0.06, 0.845 * c)),
            corner(t(hem_front - 0.004, 0.80 * c)),
            bend(t(0.5 * (hem_front + HEM_BACK) - 0.022, -0.1 * b)),
            corner(t(HEM_BACK - 0.006, -1.02 * b)),
            corner(t(HEM_BACK + 0.06, -b)),
            bend(t(0.5 * (hem_front + HEM_BACK) + 0.045, -0.1 * b)),
        ]),
    ));
    let fold = (0.20 + 0.10 * folded).min(0.34);
    shapes.push(Shape::new(
        "fold",
        [
            stroke(&[
                t(fold, 0.84 * c),
                t(fold - 0.01, 0.50 * c),
                t(fold + 0.05, 0.18 * c),
            ]),
            stroke(&[
                t(fold + 0.13, 0.86 * c),
                t(fold + 0.10, 0.60 * c),
                t(fold + 0.13, 0.38 * c),
            ]),
            stroke(&[
                t(0.24, -0.86 * b * hollow),
                t(0.27, -0.45 * b),
                t(0.24, -0.2 * b),
            ]),
        ]
        .concat(),
    ));
    shapes
}
