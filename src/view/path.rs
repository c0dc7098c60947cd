//! Points of the drawing frame and SVG path data: polygons, smooth contours, circles, arcs.
//!
//! Smooth contours are Catmull-Rom splines written as cubic Béziers. A handle points along the chord between the
//! neighbours and is a third of the piece it belongs to, so that unevenly spaced knots do not overshoot.

use crate::units::{Angle, Point};
use core::ops::{Add, Mul, Neg, Sub};

/// A point or direction of the drawing frame: x forward, y down, mm.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Xy {
    /// Forward.
    pub x: f64,
    /// Down.
    pub y: f64,
}

/// A point of the drawing frame.
pub const fn xy(x: f64, y: f64) -> Xy {
    Xy { x, y }
}

/// Nothing is drawn farther from the origin than this, mm; a pose that broke down still draws in bounded time.
const FARTHEST: f64 = 20_000.0;

/// A finite coordinate inside the drawing's world.
fn kept(value: f64) -> f64 {
    if value.is_finite() {
        value.clamp(-FARTHEST, FARTHEST)
    } else {
        0.0
    }
}

/// The side view of a point.
pub fn flat(point: &Point) -> Xy {
    xy(kept(point.x), kept(-point.z))
}

/// How far the far side is drawn ahead of the near one, and above it, per mm between the two. Our choice.
const FAR_SHIFT: (f64, f64) = (0.085, 0.035);

/// The side view of the mirror image of a near point on the far side.
pub fn far(point: &Point) -> Xy {
    let apart = 2.0 * kept(point.y).abs();
    flat(point) + xy(FAR_SHIFT.0, -FAR_SHIFT.1) * apart
}

impl Xy {
    /// Length.
    pub fn length(self) -> f64 {
        (self.x * self.x + self.y * self.y).sqrt()
    }

    /// The direction with length 1; straight right for a null vector.
    pub fn unit(self) -> Self {
        let length = self.length();
        if length > 1e-9 {
            self * (1.0 / length)
        } else {
            xy(1.0, 0.0)
        }
    }

    /// A quarter turn anticlockwise as seen on the drawing: forward turns to up.
    pub fn left(self) -> Self {
        xy(self.y, -self.x)
    }

    /// Scalar product.
    pub fn dot(self, other: Self) -> f64 {
        self.x * other.x + self.y * other.y
    }

    /// Towards another point by a share of the way.
    pub fn towards(self, other: Self, share: f64) -> Self {
        self + (other - self) * share
    }

    /// Direction as an angle from straight right, positive upwards.
    pub fn heading(self) -> Angle {
        Angle::from_rad(libm::atan2(-self.y, self.x))
    }

    /// The unit vector at an angle from straight right, positive upwards.
    pub fn at(heading: Angle) -> Self {
        xy(heading.cos(), -heading.sin())
    }
}

impl Add for Xy {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        xy(self.x + other.x, self.y + other.y)
    }
}

impl Sub for Xy {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        xy(self.x - other.x, self.y - other.y)
    }
}

impl Mul<f64> for Xy {
    type Output = Self;
    fn mul(self, factor: f64) -> Self {
        xy(self.x * factor, self.y * factor)
    }
}

impl Neg for Xy {
    type Output = Self;
    fn neg(self) -> Self {
        xy(-self.x, -self.y)
    }
}

/// A number of the drawing with one decimal, without a trailing zero; 0 where it is not finite.
pub fn number(value: f64) -> String {
    let mut text = String::new();
    put_number(&mut text, value);
    text
}

/// No drawing is so wide, px or mm: numbers beyond are cut off here.
const WIDEST: f64 = 1e8;

/// Appends a number as [`number`] writes it. A drawing has some ten thousand, in every frame: the general way to write a
/// number took most of the time that a frame took.
fn put_number(out: &mut String, value: f64) {
    let size = if value.is_finite() {
        value.abs().min(WIDEST)
    } else {
        0.0
    };
    // Rounded to whole tenths, which fit.
    let mut rest = (size * 10.0 + 0.5) as u32;
    if rest == 0 {
        out.push('0');
        return;
    }
    let mut text = [b'0'; 14];
    let mut at = text.len();
    let mut put = |byte: u8| {
        at -= 1;
        text[at] = byte;
    };
    let digit = |rest: u32| b'0' + (rest % 10) as u8;
    if !rest.is_multiple_of(10) {
        put(digit(rest));
        put(b'.');
    }
    rest /= 10;
    loop {
        put(digit(rest));
        rest /= 10;
        if rest == 0 {
            break;
        }
    }
    if value < 0.0 {
        put(b'-');
    }
    out.push_str(core::str::from_utf8(&text[at..]).unwrap_or("0"));
}

fn put(d: &mut String, command: char, points: &[Xy]) {
    // As much as coordinates of a thousand take.
    d.reserve(1 + 14 * points.len());
    d.push(command);
    for (i, p) in points.iter().enumerate() {
        if i > 0 {
            d.push(' ');
        }
        put_number(d, p.x);
        d.push(' ');
        put_number(d, p.y);
    }
}

/// A knot of a contour: the line passes through it, smoothly or with a corner.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Knot {
    at: Xy,
    corner: bool,
}

/// A smooth knot.
pub const fn bend(at: Xy) -> Knot {
    Knot { at, corner: false }
}

/// A corner.
pub const fn corner(at: Xy) -> Knot {
    Knot { at, corner: true }
}

fn handle(before: Knot, here: Knot, after: Knot, piece: f64) -> Xy {
    if here.corner {
        xy(0.0, 0.0)
    } else {
        (after.at - before.at).unit() * (piece / 3.0)
    }
}

/// A closed contour through knots; empty for fewer than three. It turns clockwise, whichever way its knots do, so that
/// contours of one path melt where they overlap.
pub fn contour(knots: &[Knot]) -> String {
    let n = knots.len();
    let mut d = String::new();
    if n < 3 {
        return d;
    }
    let twice_area: f64 = (0..n)
        .map(|i| {
            let (a, b) = (knots[i].at, knots[(i + 1) % n].at);
            a.x * b.y - a.y * b.x
        })
        .sum();
    let knot = |i: usize| {
        let i = i % n;
        knots[if twice_area < 0.0 { (n - i) % n } else { i }]
    };
    put(&mut d, 'M', &[knots[0].at]);
    for i in 0..n {
        let (a, b) = (knot(i), knot(i + 1));
        let piece = (b.at - a.at).length();
        let out = a.at + handle(knot(i + n - 1), a, b, piece);
        let into = b.at - handle(a, b, knot(i + 2), piece);
        put(&mut d, 'C', &[out, into, b.at]);
    }
    d.push('Z');
    d
}

/// A smooth open line through points; empty for fewer than two.
pub fn stroke(points: &[Xy]) -> String {
    let n = points.len();
    let mut d = String::new();
    if n < 2 {
        return d;
    }
    put(&mut d, 'M', &points[..1]);
    for i in 0..n - 1 {
        let (a, b) = (points[i], points[i + 1]);
        let piece = (b - a).length();
        let before = if i == 0 { a } else { points[i - 1] };
        let after = if i + 2 < n { points[i + 2] } else { b };
        let out = a + handle(bend(before), bend(a), bend(b), piece);
        let into = b - handle(bend(a), bend(b), bend(after), piece);
        put(&mut d, 'C', &[out, into, b]);
    }
    d
}

/// A straight-edged closed shape; empty for fewer than three points.
pub fn polygon(points: &[Xy]) -> String {
    if points.len() < 3 {
        return String::new();
    }
    let mut d = line(points);
    d.push('Z');
    d
}

/// A straight-edged open line; empty for fewer than two points.
pub fn line(points: &[Xy]) -> String {
    let mut d = String::new();
    if points.len() >= 2 {
        put(&mut d, 'M', &points[..1]);
        put(&mut d, 'L', &points[1..]);
    }
    d
}

/// Appends a circular arc from where the path stands.
fn put_arc(d: &mut String, radius: f64, clockwise: bool, end: Xy) {
    put(d, 'A', &[xy(radius, radius)]);
    d.push_str(if clockwise { " 0 0 1 " } else { " 0 0 0 " });
    put_number(d, end.x);
    d.push(' ');
    put_number(d, end.y);
}

/// A circle.
pub fn circle(centre: Xy, radius: f64) -> String {
    let mut d = String::new();
    let side = xy(radius, 0.0);
    put(&mut d, 'M', &[centre - side]);
    for end in [centre + side, centre - side] {
        put_arc(&mut d, radius, true, end);
    }
    d.push('Z');
    d
}

/// Appends an arc about a centre from one heading, where the path stands, to another. In pieces of half a turn at most:
/// two ends and a radius say no more.
fn sweep(d: &mut String, centre: Xy, radius: f64, from: Angle, to: Angle) {
    let pieces = libm::ceil((to - from).abs().deg() / 180.0).clamp(1.0, 4.0);
    for i in 1..=pieces as usize {
        let heading = from + (to - from) * (i as f64 / pieces);
        put_arc(d, radius, to < from, centre + Xy::at(heading) * radius);
    }
}

/// An arc about a centre from one heading to another, the way the headings grow (or shrink).
pub fn arc(centre: Xy, radius: f64, from: Angle, to: Angle) -> String {
    let mut d = String::new();
    put(&mut d, 'M', &[centre + Xy::at(from) * radius]);
    sweep(&mut d, centre, radius, from, to);
    d
}

/// A band between two radii from one heading to another.
pub fn band(centre: Xy, inner: f64, outer: f64, from: Angle, to: Angle) -> String {
    let mut d = arc(centre, outer, from, to);
    put(&mut d, 'L', &[centre + Xy::at(to) * inner]);
    sweep(&mut d, centre, inner, to, from);
    d.push('Z');
    d
}

/// A straight bar with round ends; `from_radius` at one end and `to_radius` at the other.
pub fn capsule(from: Xy, to: Xy, from_radius: f64, to_radius: f64) -> String {
    let side = (to - from).unit().left();
    let mut d = line(&[from + side * from_radius, to + side * to_radius]);
    put_arc(&mut d, to_radius, true, to - side * to_radius);
    put(&mut d, 'L', &[from - side * from_radius]);
    put_arc(&mut d, from_radius, true, from + side * from_radius);
    d.push('Z');
    d
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_short_and_always_finite() {
        assert_eq!(number(-0.04), "0");
        assert_eq!(number(12.0), "12");
        assert_eq!(number(-3.26), "-3.3");
        assert_eq!(number(-0.3), "-0.3");
        assert_eq!(number(1040.96), "1041");
        assert_eq!(number(-1e300), "-100000000");
        for tenths in -25_000..25_000 {
            let value = f64::from(tenths) / 10.0;
            assert_eq!(number(value), format!("{}", value + 0.0));
        }
        assert_eq!(number(f64::NAN), "0");
        assert_eq!(number(f64::INFINITY), "0");
    }

    #[test]
    fn a_quarter_turn_takes_forward_to_up() {
        assert_eq!(xy(1.0, 0.0).left(), xy(0.0, -1.0));
        assert!((xy(0.0, -2.0).heading().deg() - 90.0).abs() < 1e-9);
    }

    #[test]
    fn far_limbs_stand_ahead_and_above() {
        let near = Point::new(10.0, 200.0, 100.0);
        let shifted = far(&near) - flat(&near);
        assert!(shifted.x > 0.0 && shifted.y < 0.0);
        let middle = Point::new(10.0, 0.0, 100.0);
        assert_eq!(far(&middle), flat(&middle));
    }

    #[test]
    fn a_contour_turns_clockwise_whichever_way_its_knots_do() {
        let square = [xy(0.0, 0.0), xy(9.0, 0.0), xy(9.0, 9.0), xy(0.0, 9.0)].map(corner);
        let clockwise = contour(&square);
        assert!(clockwise.starts_with("M0 0C0 0 9 0 9 0"), "{clockwise}");
        let [a, b, c, d] = square;
        assert_eq!(contour(&[a, d, c, b]), clockwise);
    }

    #[test]
    fn an_arc_ends_where_it_should() {
        let quarter = arc(xy(0.0, 0.0), 10.0, Angle::ZERO, Angle::from_deg(90.0));
        assert_eq!(quarter, "M10 0A10 10 0 0 0 0 -10");
        let back = arc(xy(0.0, 0.0), 10.0, Angle::from_deg(90.0), Angle::ZERO);
        assert_eq!(back, "M0 -10A10 10 0 0 1 10 0");
        let wide = arc(xy(0.0, 0.0), 10.0, Angle::ZERO, Angle::from_deg(270.0));
        assert!(
            wide.matches('A').count() == 2 && wide.ends_with("0 10"),
            "{wide}"
        );
    }

    #[test]
    fn a_capsule_is_as_long_as_both_its_ends_make_it() {
        assert_eq!(
            capsule(xy(0.0, 0.0), xy(100.0, 0.0), 5.0, 3.0),
            "M0 -5L100 -3A3 3 0 0 1 100 3L0 5A5 5 0 0 1 0 -5Z"
        );
    }
}
