//! The measuring guide: for every measurement of a rider and every dimension of a sled a small picture of where the tape
//! goes.
//!
//! Pictures are data: tables of `Ink` in the millimetres of a typical person or sled, one interpreter that turns them
//! into shapes, and a square window of each that is shown. Pictures show where, never how much: angles and small
//! distances are drawn larger than they are. All shapes are drawn by eye (our choice).

mod marks;
mod parts;
mod rider;
mod sled;
mod sled_parts;

pub use rider::rider;
pub use sled::sled;

use super::path::{Xy, bend, circle, contour, line, polygon, stroke, xy};
use super::{Shape, machine::Machine};
use crate::units::Angle;

/// Width and height of a picture, px, at which its marks have their proper size.
pub const SIZE: f64 = 240.0;

/// A square picture.
#[derive(Clone, Debug, PartialEq)]
pub struct Picture {
    /// Left end of the window, mm of the drawing frame.
    pub left: f64,
    /// Upper end of the window.
    pub top: f64,
    /// Width and height of the window.
    pub side: f64,
    /// What is drawn, in drawing order; body and sled may reach beyond the window, marks never do.
    pub shapes: Vec<Shape>,
}

impl Picture {
    /// The window as SVG's `viewBox`.
    pub fn view_box(&self) -> String {
        let Self {
            left, top, side, ..
        } = self;
        format!("{left} {top} {side} {side}")
    }
}

/// A point: to the right (forward in side views), up; mm.
type P = (i16, i16);

/// A station of a limb: its centre and half its width there.
type Station = (i16, i16, i16);

/// Something that is drawn.
enum Ink {
    /// Tapered limbs under one outline.
    Limbs(&'static str, &'static [&'static [Station]]),
    /// A closed smooth outline.
    Blob(&'static str, &'static [P]),
    /// A closed outline with straight edges.
    Plate(&'static str, &'static [P]),
    /// A smooth open line.
    Curve(&'static str, &'static [P]),
    /// A disc of a radius.
    Disc(&'static str, P, i16),
    /// Inks turned about the origin, degrees anticlockwise, then moved.
    Placed(&'static [Ink], P, i16),
    /// Inks and their mirror image.
    Both(&'static [Ink]),
    /// The mirror image of inks.
    Mirrored(&'static [Ink]),
    /// As [`Ink::Placed`], dashed: where it was or could be.
    Other(&'static [Ink], P, i16),
    /// The whole sled from the side.
    Sled,
    /// Ground, wall or seat from which the tape counts, solid to the right of the way from the first to the second point.
    Ground(P, P),
    /// The tape straight from a landmark to another.
    Tape(P, P),
    /// The tape level at a height, between what is above or below it.
    Level(P, P, i16),
    /// The tape upright at a distance to the right, between what is beside it.
    Upright(P, P, i16),
    /// An angle: about a point, at a radius, from a heading to another, degrees anticlockwise from straight right.
    Turn(P, i16, i16, i16),
    /// The tape around something, level: its middle and half its width.
    Girth(P, i16),
    /// A push from a point to another.
    Push(P, P),
    /// The positive direction.
    Plus(P, P),
    /// Forward, in views from above.
    Ahead(P, P),
}

/// Draws inks as seen through a window: its middle and its width.
fn picture(window: (i16, i16, i16), sled: Option<&Machine>, inks: &[&[Ink]]) -> Picture {
    let side = f64::from(window.2);
    let mut sketch = Sketch {
        shapes: Vec::new(),
        sled,
        px: side / SIZE,
        frame: Frame {
            right: (1.0, 0.0),
            up: (0.0, 1.0),
            origin: (0.0, 0.0),
        },
        other: false,
    };
    for ink in inks.iter().copied().flatten() {
        sketch.draw(ink);
    }
    Picture {
        left: f64::from(window.0) - 0.5 * side,
        top: -f64::from(window.1) - 0.5 * side,
        side,
        shapes: sketch.shapes,
    }
}

/// A drawing in the making.
struct Sketch<'a> {
    shapes: Vec<Shape>,
    sled: Option<&'a Machine>,
    /// mm per px.
    px: f64,
    frame: Frame,
    other: bool,
}

/// Where the axes and the origin of a table's coordinates lie.
#[derive(Clone, Copy)]
struct Frame {
    right: (f64, f64),
    up: (f64, f64),
    origin: (f64, f64),
}

impl Frame {
    fn at(&self, x: f64, z: f64) -> (f64, f64) {
        let (right, up, origin) = (self.right, self.up, self.origin);
        (
            origin.0 + x * right.0 + z * up.0,
            origin.1 + x * right.1 + z * up.1,
        )
    }

    /// A frame inside this one: moved, turned, mirrored where `flip` is −1.
    fn inside(&self, (x, z): P, turn: i16, flip: f64) -> Self {
        let turn = Angle::from_deg(f64::from(turn));
        let (s, c) = (turn.sin(), turn.cos());
        let origin = self.at(f64::from(x), f64::from(z));
        let way = |x: f64, z: f64| {
            let tip = self.at(x, z);
            (tip.0 - self.origin.0, tip.1 - self.origin.1)
        };
        Self {
            right: way(flip * c, flip * s),
            up: way(-s, c),
            origin,
        }
    }
}

impl Sketch<'_> {
    /// A point of the table on the drawing.
    fn at(&self, (x, z): P) -> Xy {
        self.map(f64::from(x), f64::from(z))
    }

    fn map(&self, x: f64, z: f64) -> Xy {
        let (x, z) = self.frame.at(x, z);
        xy(x, -z)
    }

    fn all(&self, points: &[P]) -> Vec<Xy> {
        points.iter().map(|&p| self.at(p)).collect()
    }

    fn push(&mut self, role: &'static str, d: String) {
        self.shapes.push(Shape::new(role, d));
    }

    /// A filled part: outlines first, so that parts drawn together melt into one.
    fn part(&mut self, role: &'static str, outlines: Vec<String>) {
        if self.other {
            self.push("ghost-edge", outlines.concat());
            return;
        }
        self.push("edge", outlines.concat());
        self.push(role, outlines.concat());
    }

    fn draw(&mut self, ink: &Ink) {
        match *ink {
            Ink::Limbs(role, limbs) => {
                let outlines = limbs.iter().map(|l| self.limb(l)).collect();
                self.part(role, outlines);
            }
            Ink::Blob(role, points) => {
                let knots: Vec<_> = self.all(points).into_iter().map(bend).collect();
                self.part(role, vec![contour(&knots)]);
            }
            Ink::Plate(role, points) => {
                let outline = polygon(&self.all(points));
                self.part(role, vec![outline]);
            }
            Ink::Disc(role, centre, radius) => {
                let outline = circle(self.at(centre), f64::from(radius));
                self.part(role, vec![outline]);
            }
            Ink::Curve(role, points) => {
                let d = stroke(&self.all(points));
                self.push(if self.other { "ghost-edge" } else { role }, d);
            }
            Ink::Placed(inks, shift, turn) => self.placed(inks, shift, turn, 1.0, false),
            Ink::Other(inks, shift, turn) => self.placed(inks, shift, turn, 1.0, true),
            Ink::Mirrored(inks) => self.placed(inks, (0, 0), 0, -1.0, false),
            Ink::Both(inks) => {
                self.placed(inks, (0, 0), 0, 1.0, false);
                self.placed(inks, (0, 0), 0, -1.0, false);
            }
            Ink::Sled => {
                if let Some(m) = self.sled {
                    for shape in [&m.back, &m.body, &m.board, &m.controls]
                        .into_iter()
                        .flatten()
                    {
                        // Nothing but the tape is bright.
                        let role = match shape.role {
                            "hoop" => continue,
                            "riser" => "ski",
                            "hole-chosen" => "hole",
                            role => role,
                        };
                        self.push(role, shape.d.clone());
                    }
                }
            }
            _ => self.mark(ink),
        }
    }

    /// Draws inks in a frame of their own inside this one.
    fn placed(&mut self, inks: &[Ink], shift: P, turn: i16, flip: f64, other: bool) {
        let before = (self.frame, self.other);
        self.frame = self.frame.inside(shift, turn, flip);
        self.other |= other;
        for ink in inks {
            self.draw(ink);
        }
        (self.frame, self.other) = before;
    }

    /// A tapered outline through stations, its ends rounded.
    fn limb(&self, stations: &[Station]) -> String {
        let n = stations.len();
        let centre = |i: usize| self.at((stations[i].0, stations[i].1));
        let way = |i: usize| (centre((i + 1).min(n - 1)) - centre(i.saturating_sub(1))).unit();
        let half = |i: usize| f64::from(stations[i].2);
        let side = |i: usize, sign: f64| bend(centre(i) + way(i).left() * (sign * half(i)));
        let end = |i: usize, sign: f64| {
            bend(centre(i) + way(i) * (sign * (CAP * half(i)).min(LONGEST_CAP)))
        };
        let mut knots: Vec<_> = (0..n).map(|i| side(i, 1.0)).collect();
        knots.push(end(n - 1, 1.0));
        knots.extend((0..n).rev().map(|i| side(i, -1.0)));
        knots.push(end(0, -1.0));
        contour(&knots)
    }
}

/// How far the round end of a limb goes beyond its last station: share of its half-width, and at most this, mm.
const CAP: f64 = 0.7;
const LONGEST_CAP: f64 = 45.0;
