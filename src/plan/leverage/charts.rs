//! Leverage drawn: every chart of it, ready to be laid out at a size.

use super::{Fronted, Levered, Mapped, Points};
use crate::order;
use crate::units::text::format_number;
use crate::view::chart::{Axis, Chart, Line, Mark};
use crate::view::overlay::EDGES;

/// Least span of an axis of hold, g: a difference that nobody feels looks as flat as it is.
const LEAST_HOLD: f64 = 0.4;

fn edge(place: usize) -> &'static str {
    EDGES[place % EDGES.len()]
}

/// The ends of values, widened to a least span.
fn ends(values: impl Iterator<Item = f64>, least: f64) -> (f64, f64) {
    let (low, high) = values
        .filter(|v| v.is_finite())
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), v| {
            (a.min(v), b.max(v))
        });
    if low > high {
        return (0.0, least);
    }
    let more = 0.5 * (least - (high - low)).max(0.08 * (high - low));
    (low - more, high + more)
}

fn axis(title: &str, values: impl Iterator<Item = f64>, least: f64) -> Axis {
    Axis {
        title: title.to_owned(),
        ends: ends(values, least),
    }
}

/// The letter that a title begins with.
pub(super) fn letter(title: &str) -> String {
    title.chars().take(1).collect()
}

/// The sideways envelopes over each other.
pub fn side(all: &[Levered]) -> Chart {
    // What is held without end is drawn this far, g.
    const FARTHEST: f64 = 4.0;
    let kept = |v: f64| v.clamp(-FARTHEST, FARTHEST);
    let lines: Vec<Line> = all
        .iter()
        .enumerate()
        .map(|(i, option)| Line {
            role: edge(i),
            points: option.side.iter().map(|p| (kept(p.0), kept(p.1))).collect(),
            closed: true,
            says: letter(&option.title),
        })
        .collect();
    let points = || lines.iter().flat_map(|l| l.points.iter());
    Chart {
        x: axis("to the inside of the corner, g", points().map(|p| p.0), 1.0),
        y: axis("up, g", points().map(|p| p.1).chain([0.0, 1.0]), 1.0),
        even: true,
        marks: vec![Mark {
            role: "load-held",
            at: (0.0, 1.0),
            disc: true,
            says: "at rest".to_owned(),
        }],
        title: "What each option holds sideways, in g".to_owned(),
        lines,
    }
}

/// Where the hips can go, over each other, with the way up from the seat.
pub fn room(all: &[Levered]) -> Chart {
    let mut lines = Vec::new();
    let mut marks = Vec::new();
    for (i, option) in all.iter().enumerate() {
        for (k, border) in option.room.iter().enumerate() {
            lines.push(Line {
                role: edge(i),
                points: border.clone(),
                closed: true,
                says: if k == 0 {
                    letter(&option.title)
                } else {
                    String::new()
                },
            });
        }
        if option.rising.len() > 1 {
            lines.push(Line {
                role: "lap-dotted",
                points: option.rising.clone(),
                closed: false,
                says: String::new(),
            });
        }
        if !option.room.is_empty() {
            marks.push(Mark {
                role: "load-held",
                at: option.hips,
                disc: true,
                says: String::new(),
            });
        }
    }
    let points = || lines.iter().flat_map(|l| l.points.iter());
    Chart {
        x: axis(
            "forward of the foremost stirrup, mm",
            points().map(|p| p.0),
            200.0,
        ),
        y: axis("over the board, mm", points().map(|p| p.1), 200.0),
        even: true,
        title:
            "Where the hips can go with boots and grips where they are; dotted: up from the seat"
                .to_owned(),
        marks,
        lines,
    }
}

fn curve(
    all: &[Levered],
    of: fn(&Levered) -> &Points,
    along: &str,
    least: f64,
    title: &str,
) -> Chart {
    let lines: Vec<Line> = all
        .iter()
        .enumerate()
        .map(|(i, option)| Line {
            role: edge(i),
            points: of(option).clone(),
            closed: false,
            says: letter(&option.title),
        })
        .collect();
    let points = || lines.iter().flat_map(|l| l.points.iter());
    Chart {
        x: axis(along, points().map(|p| p.0), least),
        y: axis("hold, g", points().map(|p| p.1), LEAST_HOLD),
        even: false,
        marks: Vec::new(),
        title: title.to_owned(),
        lines,
    }
}

/// Hold over the stirrup's place.
pub fn over_stirrup(all: &[Levered]) -> Chart {
    curve(
        all,
        |o| &o.over_stirrup,
        "stirrup, mm",
        20.0,
        "Hold over the stirrup’s place, each option on its own riser angle",
    )
}

/// Hold over the riser's angle.
pub fn over_angle(all: &[Levered]) -> Chart {
    curve(
        all,
        |o| &o.over_angle,
        "riser angle, °",
        2.0,
        "Hold over the riser’s angle, each option with its own stirrups",
    )
}

/// Hold over both.
pub fn map(map: &Mapped) -> Chart {
    let mut lines: Vec<Line> = Vec::new();
    let (low, high) = ends(map.angles.iter().copied(), 1.0);
    for (k, x) in map.positions.iter().enumerate() {
        lines.push(Line {
            role: "lap-dotted",
            points: vec![(*x, low), (*x, high)],
            closed: false,
            says: if k == 0 || k + 1 == map.positions.len() {
                (k + 1).to_string()
            } else {
                String::new()
            },
        });
    }
    lines.extend(map.reach.iter().map(|(points, closed)| Line {
        role: "lap-dashed",
        points: points.clone(),
        closed: *closed,
        says: "out of reach".to_owned(),
    }));
    // A level is named once, on its longest piece.
    let mut named: Vec<f64> = Vec::new();
    let mut pieces: Vec<&(f64, Points, bool)> = map.contours.iter().collect();
    order::sort_by_key(&mut pieces, |(_, points, _)| {
        core::cmp::Reverse(points.len())
    });
    for (level, points, closed) in pieces {
        let first = !named.contains(level);
        if first {
            named.push(*level);
        }
        lines.push(Line {
            role: "option-a",
            points: points.clone(),
            closed: *closed,
            says: if first {
                format!("{} g", format_number(*level, 0.05))
            } else {
                String::new()
            },
        });
    }
    let mut marks = vec![Mark {
        role: "load-held",
        at: map.here,
        disc: true,
        says: "now".to_owned(),
    }];
    if let Some((x, angle, g)) = map.best {
        marks.push(Mark {
            role: "load-held",
            at: (x, angle),
            disc: false,
            says: format!("most, {} g", format_number(g, 0.01)),
        });
    }
    Chart {
        x: axis("stirrup, mm", map.stirrups.iter().copied(), 20.0),
        y: Axis {
            title: "riser angle, °".to_owned(),
            ends: (low, high),
        },
        even: false,
        lines,
        marks,
        title: format!("Hold over stirrup and riser angle: {}", map.title),
    }
}

/// Comfort against hold.
pub fn front(front: &Fronted) -> Chart {
    let points: Points = front
        .points
        .iter()
        .map(|p| (p.discomfort, 100.0 * p.hold))
        .collect();
    let marks = front.points.iter().enumerate().map(|(k, p)| Mark {
        role: "option-corner",
        at: (p.discomfort, 100.0 * p.hold),
        disc: true,
        says: (k + 1).to_string(),
    });
    Chart {
        x: axis("discomfort", points.iter().map(|p| p.0), 0.05),
        y: axis(
            "least share of a wanted hold, %",
            points.iter().map(|p| p.1),
            5.0,
        ),
        even: false,
        marks: marks.collect(),
        lines: vec![Line {
            role: "lap",
            points,
            closed: false,
            says: String::new(),
        }],
        title: format!("What comfort costs in hold: {}", front.title),
    }
}
