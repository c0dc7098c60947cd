//! Clearance of round body parts from the sled's outlines, which have a half-width.
//!
//! A [`Shape`] is a polyline in the x–z plane whose points carry a half-width: the solid it stands for reaches from
//! −half-width to +half-width in y and lies below the line. A body part is a ball: its clearance is the distance from
//! its centre to that solid less its radius, negative where they overlap; the gradient is the unit vector that opens the
//! gap fastest. Legs straddle: beside the solid only the lateral distance counts.

use crate::units::Point;

/// A point of an outline.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ShapePoint {
    /// Fore-aft position, mm.
    pub x: f64,
    /// Height, mm.
    pub z: f64,
    /// Half-width of the solid there, mm.
    pub half_width: f64,
}

/// A top line with half-widths; x strictly ascending.
#[derive(Clone, Debug, PartialEq)]
pub struct Shape {
    points: Vec<ShapePoint>,
}

/// A gap and the direction that opens it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Clearance {
    /// Distance less radius, mm; negative where they overlap.
    pub gap: f64,
    /// Unit vector in which moving the ball opens the gap.
    pub opens: Point,
}

impl Shape {
    /// From points with strictly ascending x and finite values; `None` where they are not, or fewer than two.
    pub fn new(points: Vec<ShapePoint>) -> Option<Self> {
        let finite = points
            .iter()
            .all(|p| p.x.is_finite() && p.z.is_finite() && p.half_width >= 0.0);
        let ascending = points.windows(2).all(|w| w[0].x < w[1].x);
        (points.len() >= 2 && finite && ascending).then_some(Self { points })
    }

    /// Its points from rear to front.
    pub fn points(&self) -> &[ShapePoint] {
        &self.points
    }

    /// Height of the line at x, with its slope; beyond its ends the end's height and no slope.
    pub fn height(&self, x: f64) -> (f64, f64) {
        let p = &self.points;
        if x <= p[0].x {
            return (p[0].z, 0.0);
        }
        for w in p.windows(2) {
            if x <= w[1].x {
                let slope = (w[1].z - w[0].z) / (w[1].x - w[0].x);
                return (w[0].z + slope * (x - w[0].x), slope);
            }
        }
        (p[p.len() - 1].z, 0.0)
    }
}
