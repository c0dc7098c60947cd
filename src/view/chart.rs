//! A small chart: lines and marks over two axes with their own units. Lengths are px of the target size; the origin is the
//! upper left corner.

use super::Shape;
use super::envelope::EnvelopeView;
use super::label::{Area, Board, Fixed, State, Wish, text_width};
use super::path::{Xy, circle, line, polygon, xy};
use crate::units::text::format_number;

/// An axis.
#[derive(Clone, Debug, PartialEq)]
pub struct Axis {
    /// What it shows, with its unit.
    pub title: String,
    /// Its ends; widened where they are one.
    pub ends: (f64, f64),
}

/// A line.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// Its role in the drawing.
    pub role: &'static str,
    /// Its points.
    pub points: Vec<(f64, f64)>,
    /// Whether its end is joined to its start.
    pub closed: bool,
    /// What stands beside it; empty: nothing.
    pub says: String,
}

/// A mark.
#[derive(Clone, Debug, PartialEq)]
pub struct Mark {
    /// Its role in the drawing.
    pub role: &'static str,
    /// Where.
    pub at: (f64, f64),
    /// A disc, or a triangle.
    pub disc: bool,
    /// What stands beside it; empty: nothing.
    pub says: String,
}

/// What is drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct Chart {
    /// To the right.
    pub x: Axis,
    /// Up.
    pub y: Axis,
    /// Whether one unit is as long along both.
    pub even: bool,
    /// Lines, the last on top.
    pub lines: Vec<Line>,
    /// Marks, over the lines.
    pub marks: Vec<Mark>,
    /// One sentence on what it shows.
    pub title: String,
}

/// Room for the figures of the axes, px: left, above, right, below.
const ROOM: (f64, f64, f64, f64) = (52.0, 30.0, 16.0, 49.0);

/// Size of text, px.
const TEXT: f64 = 13.0;

/// Figures along an axis at the most.
const FIGURES: f64 = 6.0;

/// Round figures between two ends: steps of 1, 2 or 5 times a power of ten.
pub fn figures((low, high): (f64, f64)) -> (Vec<f64>, f64) {
    let span = high - low;
    if !(span.is_finite() && span > 0.0) {
        return (Vec::new(), 1.0);
    }
    let mut step = libm::pow(10.0, libm::floor(libm::log10(span / FIGURES)));
    for factor in [2.0, 2.5, 2.0] {
        if span / step <= FIGURES {
            break;
        }
        step *= factor;
    }
    let first = libm::ceil(low / step - 1e-9);
    let last = libm::floor(high / step + 1e-9);
    let count = (last - first).clamp(0.0, 4.0 * FIGURES) as usize;
    (
        (0..=count).map(|k| (first + k as f64) * step).collect(),
        step,
    )
}

/// A range in which something can be drawn.
fn opened((low, high): (f64, f64)) -> (f64, f64) {
    if low.is_finite() && high.is_finite() && high - low > 1e-9 {
        (low, high)
    } else if low.is_finite() {
        (low - 1.0, low + 1.0)
    } else {
        (0.0, 1.0)
    }
}

impl Chart {
    /// Draws it at a size in px.
    pub fn draw(&self, width: f64, height: f64) -> EnvelopeView {
        let (width, height) = (width.clamp(220.0, 3000.0), height.clamp(200.0, 3000.0));
        let (x, y) = (opened(self.x.ends), opened(self.y.ends));
        let field = Area {
            left: ROOM.0,
            top: ROOM.1,
            width: width - ROOM.0 - ROOM.2,
            height: height - ROOM.1 - ROOM.3,
        };
        let mut scale = (field.width / (x.1 - x.0), field.height / (y.1 - y.0));
        if self.even {
            let both = scale.0.min(scale.1);
            scale = (both, both);
        }
        // What is left over lies on both sides alike.
        let left = field.left + 0.5 * (field.width - scale.0 * (x.1 - x.0));
        let foot = field.bottom() - 0.5 * (field.height - scale.1 * (y.1 - y.0));
        let at = |(u, v): (f64, f64)| xy(left + (u - x.0) * scale.0, foot - (v - y.0) * scale.1);
        let mut shapes = Vec::new();
        let mut fixed = Fixed {
            size: (width, height),
            text: TEXT,
            labels: Vec::new(),
        };
        let mut add = |role, text: &str, left, top| fixed.add(role, text, left, top);
        let wide = text_width(&self.x.title, false) * TEXT;
        add("axis-name", &self.y.title, 4.0, 2.0);
        add(
            "axis-name",
            &self.x.title,
            width - wide - 6.0,
            height - 1.3 * TEXT,
        );
        let mut ticks = String::new();
        let (right, top) = (at((x.1, y.0)).x, at((x.0, y.1)).y);
        let (places, step) = figures(x);
        for u in places {
            let p = at((u, y.0));
            ticks.push_str(&line(&[xy(p.x, top), xy(p.x, p.y)]));
            let text = format_number(u, step.min(1.0));
            let half = 0.5 * text_width(&text, false) * TEXT;
            // Below the figure at the foot of the other axis.
            add("ring-name", &text, p.x - half, foot + 11.0);
        }
        let (places, step) = figures(y);
        for v in places {
            let p = at((x.0, v));
            ticks.push_str(&line(&[xy(left, p.y), xy(right, p.y)]));
            let text = format_number(v, step.min(1.0));
            let wide = text_width(&text, false) * TEXT;
            add("ring-name", &text, left - wide - 8.0, p.y - 0.6 * TEXT);
        }
        shapes.push(Shape::new("ring", ticks));
        shapes.push(Shape::new(
            "axis",
            line(&[xy(left, top), xy(left, foot), xy(right, foot)]),
        ));
        let mut wishes: Vec<Wish> = Vec::new();
        let mut corners: Vec<Xy> = Vec::new();
        let mut wish = |role, says: &str, anchor: Xy, worth: f64| {
            if !says.is_empty() {
                wishes.push(Wish {
                    role,
                    lines: vec![says.to_owned()],
                    anchor,
                    state: State::Inside,
                    worth,
                });
            }
        };
        for each in &self.lines {
            let mut points: Vec<Xy> = each.points.iter().map(|p| at(*p)).collect();
            if each.closed {
                points.extend(points.first().copied());
            }
            if points.len() > 1 {
                shapes.push(Shape::new("option-halo", line(&points)));
                shapes.push(Shape::new(each.role, line(&points)));
                wish("cause", &each.says, points[points.len() / 2], f64::INFINITY);
            }
            corners.extend(points);
        }
        let mut dots = Vec::new();
        for mark in &self.marks {
            let p = at(mark.at);
            let outline = if mark.disc {
                circle(p, 5.0)
            } else {
                polygon(&[xy(0.0, -7.5), xy(7.0, 5.5), xy(-7.0, 5.5)].map(|c| p + c))
            };
            shapes.push(Shape::new(mark.role, outline));
            wish("load", &mark.says, p, f64::INFINITY);
            dots.push(p);
        }
        let board = Board {
            soft: corners.iter().chain(&dots).map(|&c| (c, c, 8.0)).collect(),
            rails: (left, right),
            ..Board::on((width, height), (TEXT, TEXT), &fixed.labels)
        };
        let (mut labels, omitted) = board.place(wishes);
        labels.extend(fixed.labels);
        EnvelopeView {
            size: (width, height),
            shapes,
            labels,
            omitted: omitted.into_iter().map(|w| w.lines.join(" ")).collect(),
            title: self.title.clone(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::view::label::Label;

    #[test]
    fn figures_are_round_and_few() {
        assert_eq!(
            figures((0.0, 1.0)).0,
            [0.0, 0.2, 0.4, 0.6000000000000001, 0.8, 1.0]
        );
        assert_eq!(
            figures((-240.0, 0.0)).0,
            [-200.0, -150.0, -100.0, -50.0, 0.0]
        );
        assert!(figures((1.0, 1.0)).0.is_empty());
        assert!(figures((0.0, f64::INFINITY)).0.is_empty());
        for span in [0.003, 0.7, 12.0, 99.0, 1234.0] {
            let (all, step) = figures((1.0, 1.0 + span));
            assert!((2..=7).contains(&all.len()), "{span} {all:?} {step}");
        }
    }

    #[test]
    fn text_covers_no_text_at_any_size() {
        let curve = |shift: f64, says: &str| Line {
            role: "option-a",
            points: (0..30)
                .map(|k| (f64::from(k), shift + libm::sin(f64::from(k) / 5.0)))
                .collect(),
            closed: false,
            says: says.to_owned(),
        };
        for width in [220.0, 360.0, 700.0] {
            for even in [false, true] {
                let chart = Chart {
                    x: Axis {
                        title: "stirrup, mm".to_owned(),
                        ends: (0.0, 29.0),
                    },
                    y: Axis {
                        title: "hold, g".to_owned(),
                        ends: (-2.0, 4.0),
                    },
                    even,
                    lines: vec![
                        curve(0.0, "A short landing"),
                        curve(0.4, "B short landing"),
                        curve(2.0, "1.2 g"),
                    ],
                    marks: vec![Mark {
                        role: "load",
                        at: (3.0, 1.0),
                        disc: true,
                        says: "best".to_owned(),
                    }],
                    title: String::new(),
                };
                let drawn = chart.draw(width, 0.8 * width);
                for (i, a) in drawn.labels.iter().enumerate() {
                    for b in &drawn.labels[..i] {
                        assert!(!a.area.overlaps(&b.area), "{:?} {:?}", a.lines, b.lines);
                    }
                    assert!(a.area.left >= 0.0 && a.area.right() <= drawn.size.0 + 0.5);
                    assert!(a.area.top >= 0.0 && a.area.bottom() <= drawn.size.1 + 0.5);
                }
                assert!(drawn.labels.len() + drawn.omitted.len() >= 6);
                // Where the axes meet each has its figure, that of the lower axis below the other's.
                let figures = |text| {
                    let stands = move |l: &&Label| l.lines == [text] && l.role == "ring-name";
                    drawn.labels.iter().filter(stands).map(|l| l.area.top)
                };
                let foot = figures("\u{2212}2").next().unwrap_or(f64::INFINITY);
                assert!(figures("0").any(|top| top > foot), "{width} px, {even}");
            }
        }
    }
}
