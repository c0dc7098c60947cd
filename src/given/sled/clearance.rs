//! Clearance of round body parts from the sled's outlines, which have a half-width.
//!
//! A [`Shape`] is a polyline in the x–z plane whose points carry a half-width: the solid it stands for reaches from
//! −half-width to +half-width in y and lies below the line. A body part is a ball: its clearance is the distance from
//! its centre to that solid less its radius, negative where they overlap; the gradient opens the gap
//! fastest (the gap's gradient, a unit vector but beside a tapering solid). Legs straddle: beside the solid only the lateral distance counts.

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
    /// Gradient of the gap over the ball's centre.
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
        self.along(x, |p| p.z)
    }

    /// A quantity of the points at x, linear between them, with its slope; constant beyond the ends.
    fn along(&self, x: f64, of: impl Fn(&ShapePoint) -> f64) -> (f64, f64) {
        let p = &self.points;
        if x <= p[0].x {
            return (of(&p[0]), 0.0);
        }
        for w in p.windows(2) {
            if x <= w[1].x {
                let slope = (of(&w[1]) - of(&w[0])) / (w[1].x - w[0].x);
                return (of(&w[0]) + slope * (x - w[0].x), slope);
            }
        }
        (of(&p[p.len() - 1]), 0.0)
    }
}

impl Shape {
    /// Half its width at x, mm.
    pub fn half_width(&self, x: f64) -> f64 {
        self.along(x, |p| p.half_width).0
    }

    /// The x of its first and of its last point, mm.
    pub fn ends(&self) -> (f64, f64) {
        (self.points[0].x, self.points[self.points.len() - 1].x)
    }

    /// Clearance of a ball of `radius` at `centre` from the solid raised by `raise`.
    ///
    /// The solid is the prism over the area under the line between its ends. Outside both the side view and the
    /// half-width the distance is the hypotenuse of the two gaps; inside one of them it is the larger (Euclidean distance
    /// of an extrusion).
    pub fn clearance(&self, centre: Point, radius: f64, raise: f64) -> Clearance {
        let side = self.side_view(centre.x, centre.z - raise);
        let (half_width, taper) = self.along(centre.x, |p| p.half_width);
        let lateral = centre.y.abs() - half_width;
        let outward = Point::new(-taper, if centre.y < 0.0 { -1.0 } else { 1.0 }, 0.0);
        let away = Point::new(side.away.0, 0.0, side.away.1);
        let (distance, opens) = if side.distance > 0.0 && lateral > 0.0 {
            let d = (side.distance * side.distance + lateral * lateral).sqrt();
            (d, (away * side.distance + outward * lateral) / d)
        } else if side.distance > lateral {
            (side.distance, away)
        } else {
            (lateral, outward)
        };
        Clearance {
            gap: distance - radius,
            opens,
        }
    }

    /// Signed distance in the side view (negative under the line), and its gradient.
    fn side_view(&self, x: f64, z: f64) -> SideView {
        let p = &self.points;
        let (first, last) = (p[0], p[p.len() - 1]);
        let (height, slope) = self.height(x);
        let inside = x > first.x && x < last.x && z < height;
        // The end walls reach down without end.
        let mut nearest = (x - first.x, (z - first.z).max(0.0));
        let mut least = nearest.0 * nearest.0 + nearest.1 * nearest.1;
        let mut consider = |dx: f64, dz: f64| {
            let d2 = dx * dx + dz * dz;
            if d2 < least {
                (least, nearest) = (d2, (dx, dz));
            }
        };
        consider(x - last.x, (z - last.z).max(0.0));
        for w in p.windows(2) {
            let (ex, ez) = (w[1].x - w[0].x, w[1].z - w[0].z);
            let (ox, oz) = (x - w[0].x, z - w[0].z);
            let t = ((ox * ex + oz * ez) / (ex * ex + ez * ez)).clamp(0.0, 1.0);
            consider(ox - ex * t, oz - ez * t);
        }
        let distance = least.sqrt();
        let sign = if inside { -1.0 } else { 1.0 };
        let away = if distance > 1e-9 {
            (sign * nearest.0 / distance, sign * nearest.1 / distance)
        } else {
            // On the line itself: square to it.
            let length = (1.0 + slope * slope).sqrt();
            (-slope / length, 1.0 / length)
        };
        SideView {
            distance: sign * distance,
            away,
        }
    }
}

/// What the side view says about a point.
#[derive(Clone, Copy)]
struct SideView {
    distance: f64,
    away: (f64, f64),
}

#[cfg(test)]
mod tests {
    use super::*;

    fn step() -> Shape {
        let point = |x: f64, z| ShapePoint {
            x,
            z,
            half_width: 100.0 + 0.1 * x,
        };
        Shape::new(vec![
            point(0.0, 300.0),
            point(400.0, 300.0),
            point(500.0, 600.0),
        ])
        .expect("ascending")
    }

    #[test]
    fn a_ball_above_clears_by_height_and_beside_by_width() {
        let above = step().clearance(Point::new(200.0, 0.0, 380.0), 50.0, 0.0);
        assert!((above.gap - 30.0).abs() < 1e-9 && (above.opens.z - 1.0).abs() < 1e-12);
        let beside = step().clearance(Point::new(200.0, 190.0, 100.0), 50.0, 0.0);
        assert!((beside.gap - 20.0).abs() < 1e-9 && (beside.opens.y - 1.0).abs() < 1e-12);
        let raised = step().clearance(Point::new(200.0, 0.0, 380.0), 50.0, 25.0);
        assert!((raised.gap - 5.0).abs() < 1e-9);
    }

    #[test]
    fn the_gradient_is_that_of_the_gap() {
        let shape = step();
        let mut checked = 0;
        for i in 0..900 {
            let f = f64::from(i);
            let c = Point::new(
                -80.0 + 7.3 * (f % 97.0),
                -230.0 + 11.0 * (f % 43.0),
                90.0 + 9.7 * (f % 71.0),
            );
            let here = shape.clearance(c, 40.0, 0.0);
            for (axis, slope) in [here.opens.x, here.opens.y, here.opens.z]
                .into_iter()
                .enumerate()
            {
                let mut step = Point::zeros();
                step[axis] = 1e-4;
                let up = shape.clearance(c + step, 40.0, 0.0).gap;
                let down = shape.clearance(c - step, 40.0, 0.0).gap;
                let measured = (up - down) / 2e-4;
                // At a crease the two one-sided slopes differ and there is no gradient to compare.
                if (up - here.gap - (here.gap - down)).abs() < 1e-7 {
                    let tolerance = 2e-3;
                    // The half-width of a tapering solid varies along x; this one does not taper.
                    assert!(
                        (measured - slope).abs() < tolerance,
                        "{c:?} axis {axis}: {measured} against {slope}"
                    );
                    checked += 1;
                }
            }
        }
        assert!(checked > 1500, "only {checked} smooth points");
    }

    #[test]
    fn shapes_that_are_not_lines_are_refused() {
        let point = |x, z| ShapePoint {
            x,
            z,
            half_width: 1.0,
        };
        assert!(Shape::new(vec![point(0.0, 0.0)]).is_none());
        assert!(Shape::new(vec![point(1.0, 0.0), point(1.0, 2.0)]).is_none());
        assert!(Shape::new(vec![point(0.0, f64::NAN), point(1.0, 2.0)]).is_none());
    }
}
