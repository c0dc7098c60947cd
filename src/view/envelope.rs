//! The hold envelope as a small drawing in the plane of specific force: forward to the right, up upwards, in g.
//!
//! The polygon's edge is cut into runs of one cause, each labelled by what gives first and told apart by the pattern of
//! its line. The loads that a stance is asked to hold are points on it: a filled dot inside, an open triangle outside.
//! Lengths are px of the target size; the origin is the upper left corner.

use super::Shape;
use super::label::{Board, Fixed, Label, State, Wish};
use super::path::{Xy, circle, line, polygon, xy};
use crate::hold::{Edge, Hold};
use crate::order;
use crate::run::{CELL, Density, Region};
use crate::stance::{Goal, Load};
use crate::units::text::format_number;

/// The finished drawing.
#[derive(Clone, Debug, PartialEq)]
pub struct EnvelopeView {
    /// Size, px.
    pub size: (f64, f64),
    /// Shapes in drawing order.
    pub shapes: Vec<Shape>,
    /// Placed labels.
    pub labels: Vec<Label>,
    /// Labels that found no room, to be written beside it.
    pub omitted: Vec<String>,
    /// One sentence on what it shows.
    pub title: String,
}

/// A run of edges that end by the same cause.
#[derive(Clone, Debug, PartialEq)]
pub struct Run {
    /// What gives first.
    pub cause: String,
    /// Vertices from its first to its last, in (f_x, f_z), g.
    pub points: Vec<(f64, f64)>,
}

/// A load that the stance is asked to hold.
#[derive(Clone, Debug, PartialEq)]
pub struct LoadPoint {
    /// Which.
    pub load: Load,
    /// Where in (f_x, f_z), g.
    pub at: (f64, f64),
    /// Whether it is held.
    pub held: bool,
}

/// What people call a load.
pub const fn load_name(load: Load) -> &'static str {
    match load {
        Load::ShortLanding1g => "Short landing",
        Load::ShortLanding2g => "Short landing, hard",
        Load::Start => "Start",
        Load::StraightDrop => "Straight drop",
    }
}

/// Groups an envelope's edges by cause, round the whole polygon.
pub fn runs(edges: &[Edge]) -> Vec<Run> {
    let n = edges.len();
    if n < 3 {
        return Vec::new();
    }
    let start = (0..n)
        .find(|&i| edges[i].gives_first != edges[(i + n - 1) % n].gives_first)
        .unwrap_or(0);
    let point = |i: usize| (edges[i % n].f_x, edges[i % n].f_z);
    let mut found: Vec<Run> = Vec::new();
    for k in 0..n {
        let i = start + k;
        let cause = &edges[i % n].gives_first;
        match found.last_mut() {
            Some(run) if run.cause == *cause => run.points.push(point(i + 1)),
            _ => found.push(Run {
                cause: cause.clone(),
                points: vec![point(i), point(i + 1)],
            }),
        }
    }
    found
}

/// The loads that a stance's goals name, with whether they are held.
pub fn load_points(hold: &Hold, goals: &[Goal]) -> Vec<LoadPoint> {
    goals
        .iter()
        .map(|goal| {
            let (start, along) = (goal.load.start(), goal.load.direction());
            let reached = hold
                .loads
                .iter()
                .find(|l| l.load == goal.load)
                .and_then(|l| l.hold.as_ref().ok())
                .map_or(f64::NEG_INFINITY, |held| held.g);
            LoadPoint {
                load: goal.load,
                at: (start.0 + along.0 * goal.g, start.1 + along.1 * goal.g),
                held: reached >= goal.g,
            }
        })
        .collect()
}

/// Least half-width that the plane shows, g, so that a weak hold looks small.
const LEAST_SPAN: f64 = 1.6;
/// Farther out nothing is drawn, g: an envelope that long is not limited in practice.
const FARTHEST: f64 = 8.0;
/// Line patterns of the runs, told apart without colour.
const PATTERNS: [&str; 3] = ["hold-edge", "hold-edge-dashed", "hold-edge-dotted"];

/// A recorded run on the envelope.
#[derive(Clone, Copy, Debug)]
pub struct Recorded<'a> {
    /// Time by load.
    pub density: &'a Density,
    /// The envelopes against which it was judged.
    pub regions: &'a [Region],
    /// Its hardest moments, hardest first, in (f_x, f_z), g.
    pub moments: &'a [(f64, f64)],
}

/// The plane of specific force on the drawing.
#[derive(Clone, Copy, Debug)]
pub(super) struct Plane {
    /// Size, px.
    size: (f64, f64),
    /// px per g.
    pub scale: f64,
    /// What lies in the middle of the drawing, g.
    middle: (f64, f64),
    /// Sizes of strong and quiet text, px.
    pub text: (f64, f64),
}

/// A coordinate inside what is drawn, g.
fn kept(v: f64) -> f64 {
    if v.is_finite() {
        v.clamp(-FARTHEST, FARTHEST)
    } else {
        0.0
    }
}

impl Plane {
    /// A plane of a size, px, that shows all these points, g, with room for labels beside them.
    pub fn new(points: impl Iterator<Item = (f64, f64)>, width: f64, height: f64) -> Self {
        let (width, height) = (width.clamp(200.0, 3000.0), height.clamp(180.0, 3000.0));
        let narrow = width < 420.0;
        let mut low: (f64, f64) = (-LEAST_SPAN, -0.6);
        let mut high: (f64, f64) = (LEAST_SPAN, 2.0);
        for (x, z) in points {
            let (x, z) = (kept(x), kept(z));
            low = (low.0.min(x), low.1.min(z));
            high = (high.0.max(x), high.1.max(z));
        }
        let column = if narrow { 0.24 * width } else { 0.26 * width };
        let across = (width - 2.0 * column) / (high.0 - low.0);
        Self {
            size: (width, height),
            scale: across.min((height - 56.0) / (high.1 - low.1)),
            middle: (0.5 * (low.0 + high.0), 0.5 * (low.1 + high.1)),
            text: if narrow { (14.0, 13.0) } else { (14.0, 12.5) },
        }
    }

    /// Size, px.
    pub const fn size(&self) -> (f64, f64) {
        self.size
    }

    /// Characters of a line of a label.
    pub fn line_length(&self) -> usize {
        if self.size.0 < 420.0 { 14 } else { 24 }
    }

    /// Where a specific force lies.
    pub fn at(&self, (x, z): (f64, f64)) -> Xy {
        xy(
            0.5 * self.size.0 + (kept(x) - self.middle.0) * self.scale,
            0.5 * self.size.1 - (kept(z) - self.middle.1) * self.scale,
        )
    }

    /// Rings and axes.
    pub fn ground(&self) -> Vec<Shape> {
        let ((width, height), origin) = (self.size, self.at((0.0, 0.0)));
        let mut shapes: Vec<Shape> = [1.0, 2.0, 3.0]
            .iter()
            .map(|g| Shape::new("ring", circle(origin, g * self.scale)))
            .collect();
        shapes.push(Shape::new(
            "axis",
            [
                line(&[xy(8.0, origin.y), xy(width - 8.0, origin.y)]),
                line(&[xy(origin.x, 8.0), xy(origin.x, height - 8.0)]),
            ]
            .concat(),
        ));
        shapes
    }

    /// The mark of standing still.
    pub fn rest(&self) -> Shape {
        let rest = self.at((0.0, 1.0));
        Shape::new(
            "rest",
            [
                line(&[rest - xy(6.0, 0.0), rest + xy(6.0, 0.0)]),
                line(&[rest - xy(0.0, 6.0), rest + xy(0.0, 6.0)]),
            ]
            .concat(),
        )
    }

    /// Places labels beside points that are drawn; those of the axes come with them. Corners are those of polygons,
    /// whose inside labels avoid.
    pub fn label(
        &self,
        wishes: Vec<Wish>,
        points: &[Xy],
        corners: &[Xy],
    ) -> (Vec<Label>, Vec<String>) {
        let (width, height) = self.size;
        let origin = self.at((0.0, 0.0));
        let fixed = axis_labels(width, height, origin, self.scale, self.text.1);
        let centre = self.at((0.0, 0.6));
        let mut soft: Vec<(Xy, Xy, f64)> = corners.iter().map(|&c| (centre, c, 14.0)).collect();
        let rest = self.at((0.0, 1.0));
        soft.push((rest, rest, 12.0));
        let all = || points.iter().chain(corners);
        let left = all().fold(origin.x, |a, c| a.min(c.x));
        let right = all().fold(origin.x, |a, c| a.max(c.x));
        let board = Board {
            soft,
            rails: (left - 16.0, right + 16.0),
            ..Board::on(self.size, self.text, &fixed)
        };
        let (mut labels, omitted) = board.place(wishes);
        labels.extend(fixed);
        let omitted = omitted.into_iter().map(|w| w.lines.join(" "));
        (labels, omitted.collect())
    }

    /// The label of a run: what gives first there, half-way along it.
    pub fn cause(&self, run: &Run, role: &'static str, cause: &str) -> Wish {
        let points: Vec<Xy> = run.points.iter().map(|&p| self.at(p)).collect();
        Wish {
            role,
            lines: split(cause, self.line_length()),
            anchor: halfway(&points),
            state: State::Inside,
            worth: f64::INFINITY,
        }
    }

    /// Length of a run, px.
    pub fn length(&self, run: &Run) -> f64 {
        let pieces = run.points.windows(2);
        pieces
            .map(|w| (self.at(w[1]) - self.at(w[0])).length())
            .sum()
    }
}

/// Draws the envelope at a size in px.
pub fn envelope(hold: &Hold, goals: &[Goal], width: f64, height: f64) -> EnvelopeView {
    drawn(hold, goals, None, width, height)
}

/// The same with a recorded run behind it: a square for each cell of its map, larger where the sled was longer; hardest
/// moments by their number.
pub fn envelope_with_run(hold: &Hold, run: &Recorded, width: f64, height: f64) -> EnvelopeView {
    drawn(hold, &[], Some(run), width, height)
}

fn drawn(
    hold: &Hold,
    goals: &[Goal],
    run: Option<&Recorded>,
    width: f64,
    height: f64,
) -> EnvelopeView {
    let runs = runs(&hold.envelope);
    let loads = load_points(hold, goals);
    let everything = runs.iter().flat_map(|r| r.points.iter().copied());
    let moments = || run.iter().flat_map(|r| r.moments.iter().copied());
    let asked = loads.iter().map(|l| l.at).chain(moments());
    let plane = Plane::new(everything.chain(asked), width, height);
    let mut shapes = plane.ground();
    let corners: Vec<Xy> = hold
        .envelope
        .iter()
        .map(|e| plane.at((e.f_x, e.f_z)))
        .collect();
    shapes.push(Shape::new("hold", polygon(&corners)));
    if let Some(run) = run {
        shapes.extend(cloud(run, &plane));
    }
    for (i, run) in runs.iter().enumerate() {
        let points: Vec<Xy> = run.points.iter().map(|&p| plane.at(p)).collect();
        shapes.push(Shape::new(PATTERNS[i % PATTERNS.len()], line(&points)));
    }
    shapes.push(plane.rest());
    let mut wishes = Vec::new();
    for load in &loads {
        let p = plane.at(load.at);
        let (role, d, word) = if load.held {
            ("load-held", circle(p, 5.5), "held")
        } else {
            let triangle = [xy(0.0, -7.5), xy(7.0, 5.5), xy(-7.0, 5.5)].map(|c| p + c);
            ("load-lost", polygon(&triangle), "not held")
        };
        shapes.push(Shape::new(role, d));
        let sideways = load.load.direction().0 != 0.0;
        let g = if sideways { load.at.0.abs() } else { load.at.1 };
        wishes.push(Wish {
            role: "load",
            lines: vec![
                load_name(load.load).to_owned(),
                format!("{} g {word}", format_number(g, 0.1)),
            ],
            anchor: p,
            state: if load.held {
                State::Inside
            } else {
                State::Beyond
            },
            worth: f64::INFINITY,
        });
    }
    for (i, moment) in moments().enumerate() {
        let p = plane.at(moment);
        let triangle = [xy(0.0, -5.5), xy(5.0, 4.0), xy(-5.0, 4.0)].map(|c| p + c);
        shapes.push(Shape::new("load-lost", polygon(&triangle)));
        wishes.push(Wish {
            role: "moment",
            lines: vec![(i + 1).to_string()],
            anchor: p,
            state: State::Inside,
            worth: f64::INFINITY,
        });
    }
    // The longest runs speak first.
    let mut order: Vec<&Run> = runs.iter().collect();
    order::sort(&mut order, |a, b| {
        plane.length(b).total_cmp(&plane.length(a))
    });
    wishes.extend(
        order
            .into_iter()
            .map(|run| plane.cause(run, "cause", &run.cause)),
    );
    let points: Vec<Xy> = loads.iter().map(|l| plane.at(l.at)).collect();
    let (labels, omitted) = plane.label(wishes, &points, &corners);
    let title = match (
        &runs[..],
        hold.loads.iter().find_map(|l| l.hold.as_ref().err()),
    ) {
        ([], Some(why)) => format!("Nothing can be held: {}", why.because),
        ([], None) => "Nothing can be held".to_owned(),
        _ if run.is_some() => {
            "What this stance can hold, by direction, in g, and where the run's time went"
                .to_owned()
        }
        _ => "What this stance can hold, by direction, in g".to_owned(),
    };
    EnvelopeView {
        size: plane.size(),
        shapes,
        labels,
        omitted,
        title,
    }
}

/// Smallest square of a cell, as a share of the cell's width.
const SMALLEST: f64 = 0.25;
/// Decades of time over which a cell's square grows to the cell's width; our choice: a whole run is some thousand times
/// as long as one landing.
const DECADES: f64 = 4.0;

/// The run's time: one path for the cells inside, one for those outside.
fn cloud(run: &Recorded, plane: &Plane) -> [Shape; 2] {
    let most = run.density.cells().fold(0.0, |m: f64, c| m.max(c.seconds));
    let (mut inside, mut outside) = (String::new(), String::new());
    for cell in run.density.cells() {
        let decades = 1.0 + libm::log10(cell.seconds / most) / DECADES;
        let half = 0.5 * CELL * plane.scale * decades.clamp(SMALLEST, 1.0);
        let p = plane.at((cell.at[0], cell.at[1]));
        let square = [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)];
        let corners = square.map(|(x, y)| p + xy(x * half, y * half));
        let holds = run.regions.iter().any(|r| r.excess(cell.at).0 <= 0.0);
        let path = if holds { &mut inside } else { &mut outside };
        path.push_str(&polygon(&corners));
    }
    [
        Shape::new("run-inside", inside),
        Shape::new("run-outside", outside),
    ]
}

/// Words at the axes and figures at the rings.
fn axis_labels(width: f64, height: f64, origin: Xy, scale: f64, size: f64) -> Vec<Label> {
    let mut fixed = Fixed {
        size: (width, height),
        text: size,
        labels: Vec::new(),
    };
    let mut add = |role, text: &str, left, top| fixed.add(role, text, left, top);
    add("axis-name", "nose digs in", 6.0, origin.y + 4.0);
    let drive = "speeding up";
    let wide = super::label::text_width(drive, false) * size + 8.0;
    add("axis-name", drive, width - wide, origin.y + 4.0);
    add("axis-name", "up", origin.x + 6.0, 4.0);
    // Down and back, where no load lies; up and back where the plane ends before that.
    for g in [1.0, 2.0, 3.0] {
        let away = g * scale * core::f64::consts::FRAC_1_SQRT_2;
        let text = format!("{g} g");
        let (x, below, above) = (origin.x - away, origin.y + away, origin.y - away);
        if below + 1.3 * size < height {
            add("ring-name", &text, x - 1.2 * size, below - 0.6 * size);
        } else if x > 2.0 * size && above > 1.3 * size {
            add("ring-name", &text, x - 1.2 * size, above - 0.6 * size);
        }
    }
    fixed.labels
}

/// The point half-way along a line.
fn halfway(points: &[Xy]) -> Xy {
    let total: f64 = points.windows(2).map(|w| (w[1] - w[0]).length()).sum();
    let mut left = 0.5 * total;
    for w in points.windows(2) {
        let piece = (w[1] - w[0]).length();
        if piece >= left && piece > 0.0 {
            return w[0].towards(w[1], left / piece);
        }
        left -= piece;
    }
    points.last().copied().unwrap_or_default()
}

/// Words in lines of at most `most` characters, broken at spaces.
fn split(text: &str, most: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match lines.last_mut() {
            Some(line) if line.chars().count() + 1 + word.chars().count() <= most => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    if lines.is_empty() {
        lines.push("not known".to_owned());
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    fn edge(f_x: f64, f_z: f64, cause: &str) -> Edge {
        Edge {
            f_x,
            f_z,
            gives_first: cause.to_owned(),
        }
    }

    #[test]
    fn edges_of_one_cause_become_one_run_round_the_corner() {
        let edges = [
            edge(1.0, 0.0, "grip"),
            edge(1.0, 2.0, "elbow"),
            edge(0.0, 3.0, "elbow"),
            edge(-1.0, 2.0, "grip"),
        ];
        let found = runs(&edges);
        assert_eq!(found.len(), 2);
        assert_eq!(found[0].cause, "elbow");
        assert_eq!(found[0].points, [(1.0, 2.0), (0.0, 3.0), (-1.0, 2.0)]);
        assert_eq!(found[1].points, [(-1.0, 2.0), (1.0, 0.0), (1.0, 2.0)]);
        let one = [
            edge(1.0, 0.0, "a"),
            edge(0.0, 1.0, "a"),
            edge(-1.0, 0.0, "a"),
        ];
        assert_eq!(runs(&one).len(), 1);
        assert_eq!(runs(&one)[0].points.len(), 4);
        assert!(runs(&[]).is_empty());
    }

    #[test]
    fn words_break_at_spaces() {
        assert_eq!(
            split("toe stop (assumed limit)", 14),
            ["toe stop", "(assumed", "limit)"]
        );
        assert_eq!(split("", 14), ["not known"]);
    }
}
