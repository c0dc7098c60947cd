//! Where a run's hardest moments lie on its track: the line by lap, seen from above, north up.
//!
//! Laps lie over each other and are told apart by the pattern of their line, in turn; moments carry the number that they
//! have in the list. Lengths are px of the target size; the origin is the upper left corner.

use super::Shape;
use super::envelope::EnvelopeView;
use super::label::{Area, Label, text_width};
use super::path::{Xy, circle, line, polygon, xy};
use crate::run::{Moment, Track};
use crate::units::text::{format_number, many};

/// Line patterns of the laps.
const PATTERNS: [&str; 3] = ["lap", "lap-dashed", "lap-dotted"];

/// Room around the line, px.
const MARGIN: f64 = 56.0;

/// Draws the track at a size in px; nothing where the run has no positions.
pub fn track(track: &Track, moments: &[Moment], width: f64, height: f64) -> Option<EnvelopeView> {
    let (width, height) = (width.clamp(200.0, 3000.0), height.clamp(180.0, 3000.0));
    let points = track.points();
    let first = points.first()?.at;
    let mut low = first;
    let mut high = first;
    for p in points {
        for axis in 0..2 {
            low[axis] = low[axis].min(p.at[axis]);
            high[axis] = high[axis].max(p.at[axis]);
        }
    }
    // A sled that never left its place has a track too.
    let wide = (high[0] - low[0]).max(10.0);
    let tall = (high[1] - low[1]).max(10.0);
    let scale = ((width - 2.0 * MARGIN) / wide).min((height - 2.0 * MARGIN) / tall);
    let middle = [0.5 * (low[0] + high[0]), 0.5 * (low[1] + high[1])];
    let at = |p: [f64; 2]| {
        xy(
            0.5 * width + (p[0] - middle[0]) * scale,
            0.5 * height - (p[1] - middle[1]) * scale,
        )
    };
    let mut shapes = Vec::new();
    for lap in 0..track.laps().len() {
        let of_lap = points.iter().filter(|p| p.lap == lap);
        let line_of_lap: Vec<Xy> = of_lap.map(|p| at(p.at)).collect();
        if line_of_lap.len() > 1 {
            shapes.push(Shape::new(
                PATTERNS[lap % PATTERNS.len()],
                line(&line_of_lap),
            ));
        }
    }
    shapes.push(Shape::new("plumb-foot", circle(at(first), 4.5)));
    let mut labels = Vec::new();
    let mut marks = Vec::new();
    for (i, moment) in moments.iter().enumerate() {
        let Some(place) = moment.place else { continue };
        let p = at(place);
        let triangle = [xy(0.0, -7.5), xy(7.0, 5.5), xy(-7.0, 5.5)].map(|c| p + c);
        shapes.push(Shape::new("load-lost", polygon(&triangle)));
        marks.push((p, (i + 1).to_string()));
    }
    marks.push((at(first), "start".to_owned()));
    for (p, text) in &marks {
        labels.push(beside(*p, text, &labels, &marks));
    }
    let (bar, metres) = scale_bar(scale, width);
    let foot = height - 12.0;
    shapes.push(Shape::new(
        "scale-bar",
        line(&[
            xy(12.0, foot - 5.0),
            xy(12.0, foot),
            xy(12.0 + bar, foot),
            xy(12.0 + bar, foot - 5.0),
        ]),
    ));
    let fixed = label(
        "scale-bar",
        &format!("{} m", format_number(metres, 1.0)),
        18.0 + bar,
        foot - 14.0,
    );
    labels.push(fixed);
    let laps = many(track.laps().len() as u64, "lap");
    Some(EnvelopeView {
        size: (width, height),
        shapes,
        labels,
        omitted: Vec::new(),
        title: format!(
            "The track from above, north up, {laps}, with the hardest moments by number"
        ),
    })
}

/// Length of a scale bar in px and in metres: the longest round one under a quarter of the width.
fn scale_bar(scale: f64, width: f64) -> (f64, f64) {
    let most = 0.25 * width / scale;
    let mut metres = 1.0;
    while metres * 2.0 <= most {
        metres *= if metres * 10.0 <= most {
            10.0
        } else if metres * 5.0 <= most {
            5.0
        } else {
            2.0
        };
    }
    (metres * scale, metres)
}

/// A label beside a point, on the side where it meets the fewest others and marks.
fn beside(p: Xy, text: &str, labels: &[Label], marks: &[(Xy, String)]) -> Label {
    let plain = label("moment", text, 0.0, 0.0);
    let (wide, tall) = (plain.area.width, plain.area.height);
    let sides = [
        (11.0, -0.5 * tall),
        (-11.0 - wide, -0.5 * tall),
        (-0.5 * wide, -12.0 - tall),
        (-0.5 * wide, 12.0),
        (9.0, -9.0 - tall),
        (-9.0 - wide, 9.0),
    ];
    let at = |(x, y): (f64, f64)| label("moment", text, p.x + x, p.y + y);
    let meets = |l: &Label| {
        let mark = |m: &(Xy, String)| {
            let half = 8.0;
            l.area.overlaps(&Area {
                left: m.0.x - half,
                top: m.0.y - half,
                width: 2.0 * half,
                height: 2.0 * half,
            })
        };
        labels.iter().filter(|o| o.area.overlaps(&l.area)).count()
            + marks.iter().filter(|m| mark(m)).count()
    };
    let best = sides.map(at).into_iter().min_by_key(meets);
    best.unwrap_or(plain)
}

fn label(role: &'static str, text: &str, left: f64, top: f64) -> Label {
    let size = 13.0;
    let area = Area {
        left,
        top,
        width: text_width(text, true) * size + 2.0,
        height: 1.25 * size,
    };
    Label::fixed(role, text, area, size)
}
