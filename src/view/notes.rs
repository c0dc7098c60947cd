//! What is written on the stage: dimensions, angles, names, the former set-up.

use super::figure::Figure;
use super::gauge::{Gauge, gauges};
use super::label::{Area, Label, State, Wish, distance, text_width};
use super::machine::Machine;
use super::measure::Measures;
use super::path::{Xy, arc, circle, flat, line, polygon, xy};
use super::stage::{Scene, View, WidthClass};
use super::{Disc, Shape};
use crate::order;
use crate::units::Angle;
use crate::units::text::{System, capital, coarse, format_length, level};

/// Labels from this rank on are left out where they find no calm place.
const OPTIONAL: u8 = 5;
/// What calm means: a leader of so many px that crosses nothing. Our choice.
const CROWDED: f64 = 240.0;
/// A phone's drawing lower than this, px, has no rows for everything: angles inside their range give way. Our choice.
const LOW: f64 = 345.0;
/// What they are worth there, px as above; what is left out stands beside the drawing. Our choice.
const SPARED: f64 = 120.0;

/// What is written on the drawing, as it is collected.
pub(super) struct Notes<'a> {
    scene: &'a Scene<'a>,
    machine: &'a Machine,
    person: &'a Figure,
    view: View,
    px: f64,
    /// Lines that belong to what is written.
    pub(super) shapes: Vec<Shape>,
    /// Labels that want a place, with their rank: the least is placed first.
    pub(super) wishes: Vec<(u8, Wish)>,
    /// Labels that have their place.
    pub(super) fixed: Vec<Label>,
}

impl<'a> Notes<'a> {
    /// Everything that is written on a drawing.
    pub(super) fn of(
        scene: &'a Scene<'a>,
        machine: &'a Machine,
        person: &'a Figure,
        view: View,
    ) -> Notes<'a> {
        let mut notes = Notes {
            scene,
            machine,
            person,
            view,
            px: 1.0 / view.px_per_mm,
            shapes: Vec::new(),
            wishes: Vec::new(),
            fixed: Vec::new(),
        };
        notes.ghost();
        notes.mass();
        notes.dimensions();
        notes.riser();
        notes.joints();
        notes.stirrup();
        notes.scale_bar();
        notes.title();
        notes.stance_names();
        // The most important first; equal ones as they came.
        order::sort_by_key(&mut notes.wishes, |(rank, _)| *rank);
        notes
    }

    fn wish(&mut self, rank: u8, role: &'static str, lines: Vec<String>, anchor: Xy) {
        self.wishes.push((
            rank,
            Wish {
                role,
                lines,
                anchor,
                state: State::Inside,
                worth: if rank >= OPTIONAL {
                    CROWDED
                } else {
                    f64::INFINITY
                },
            },
        ));
    }

    fn narrow(&self) -> bool {
        self.view.class == WidthClass::Phone
    }

    /// A narrow drawing that is low too.
    fn low(&self) -> bool {
        self.narrow() && self.view.area.height * self.view.px_per_mm < LOW
    }

    /// A text that has its place by what it stands on; `at` is the middle of its lower edge.
    fn fix(&mut self, role: &'static str, text: String, at: Xy, strong: bool) {
        let sizes = text_px(self.view.class);
        let size = if strong { sizes.0 } else { sizes.1 };
        let width = (text_width(&text, strong) * size + 2.0) * self.px;
        let height = 1.25 * size * self.px;
        let area = self.view.area;
        let left = (at.x - 0.5 * width)
            .min(area.right() - width - 4.0 * self.px)
            .max(area.left + 4.0 * self.px);
        let area = Area {
            left,
            top: at.y - height,
            width,
            height,
        };
        let label = Label::fixed(role, &text, area, size * self.px);
        if self
            .fixed
            .iter()
            .all(|l| !l.area.grown(2.0 * self.px).overlaps(&label.area))
        {
            self.fixed.push(label);
        } else {
            let anchor = label.area.centre();
            self.wish(6, role, label.lines, anchor);
        }
    }

    /// The former set-up: its cockpit and body as dashed outlines, and how far the grip moved.
    fn ghost(&mut self) {
        let Some(ghost) = self.scene.ghost else {
            return;
        };
        let base = flat(&ghost.cockpit.riser_base());
        let bar = flat(&ghost.cockpit.bar_centre);
        let grip = flat(&ghost.cockpit.grip);
        self.shapes
            .push(Shape::new("ghost-bar", line(&[base, bar, grip])));
        self.shapes
            .push(Shape::new("ghost-bar", circle(grip, 17.0)));
        let system = self.scene.system;
        let bolt = xy(
            ghost.cockpit.settings.stirrup,
            -ghost.cockpit.settings.stirrup * self.scene.cockpit.sled.board.pitch.tan(),
        );
        let along = self.machine.bolt.x - bolt.x;
        if along.abs() > 2.0 {
            let below = xy(0.0, 48.0);
            self.shapes
                .push(Shape::new("ghost-bar", line(&[bolt, bolt + below])));
            self.arrow(bolt + below, self.machine.bolt + below, "shift");
            let lines = vec![
                format!("Stirrup since {}", ghost.name),
                format!(
                    "{} {}",
                    coarse(along.abs(), system),
                    if along >= 0.0 { "forward" } else { "back" }
                ),
            ];
            let anchor = bolt.towards(self.machine.bolt, 0.5) + below;
            // A side note where there is little room: the stirrup's own position is written too.
            let rank = if self.narrow() { OPTIONAL } else { 2 };
            self.wish(rank, "shift", lines, anchor);
        }
        let moved = self.machine.grip - grip;
        if moved.length() > 2.0 {
            self.arrow(grip, self.machine.grip, "shift");
            let part = |by: f64, plus: &str, minus: &str| {
                let word = if by >= 0.0 { plus } else { minus };
                // What a tape would not show is not said.
                (by.abs() >= 2.5).then(|| format!("{} {word}", coarse(by.abs(), system)))
            };
            let parts = [
                part(moved.x, "forward", "back"),
                part(-moved.y, "up", "down"),
            ];
            let parts: Vec<String> = parts.into_iter().flatten().collect();
            if !parts.is_empty() {
                let lines = vec![format!("Grip since {}", ghost.name), parts.join(", ")];
                self.wish(1, "shift", lines, grip.towards(self.machine.grip, 0.5));
            }
        }
    }

    /// A line with a head at its end.
    fn arrow(&mut self, from: Xy, to: Xy, role: &'static str) {
        let along = (to - from).unit();
        let side = along.left() * (4.0 * self.px);
        let back = to - along * (9.0 * self.px);
        self.shapes.push(Shape::new(role, line(&[from, to])));
        self.shapes
            .push(Shape::new(role, line(&[back + side, to, back - side])));
    }

    /// A short bar across the end of a dimension line.
    fn stop(&self, at: Xy, along: Xy) -> String {
        let side = along.unit().left() * (5.0 * self.px);
        line(&[at + side, at - side])
    }

    /// Centre of mass, its plumb line, and where it falls on the board.
    fn mass(&mut self) {
        let com = flat(&self.scene.front.pose.com);
        let pitch = self.scene.cockpit.sled.board.pitch;
        let foot = xy(com.x, -com.x * pitch.tan());
        let r = 8.0 * self.px;
        let pie = |from: f64| {
            let points: Vec<Xy> = (0..=6)
                .map(|i| com + Xy::at(Angle::from_deg(from + 15.0 * f64::from(i))) * r)
                .chain([com])
                .collect();
            polygon(&points)
        };
        self.shapes
            .push(Shape::new("plumb-halo", line(&[com + xy(0.0, r), foot])));
        self.shapes
            .push(Shape::new("plumb", line(&[com + xy(0.0, r), foot])));
        self.shapes.push(Shape::new("mass-ground", circle(com, r)));
        self.shapes
            .push(Shape::new("mass", format!("{}{}", pie(0.0), pie(180.0))));
        let k = 6.0 * self.px;
        self.shapes.push(Shape::new(
            "plumb-foot",
            polygon(&[foot, foot + xy(-k, -1.6 * k), foot + xy(k, -1.6 * k)]),
        ));
        if self.view.class == WidthClass::Phone {
            return;
        }
        let behind = Measures::new(self.scene.cockpit, self.scene.front.pose).mass_behind_ball;
        let words = format!(
            "{} {} the ball",
            coarse(behind.abs(), self.scene.system),
            if behind >= 0.0 { "behind" } else { "ahead of" }
        );
        let anchor = com + xy(-r, 0.0);
        self.wish(5, "mass", vec!["Centre of mass".to_owned(), words], anchor);
    }

    /// Stirrup to grip, forward and straight; grip over the board.
    fn dimensions(&mut self) {
        let (bolt, grip) = (self.machine.bolt, self.machine.grip);
        let system = self.scene.system;
        let measures = Measures::new(self.scene.cockpit, self.scene.front.pose);
        let under = xy(grip.x, 0.0);
        let row = self.machine.snow + 22.0 * self.px;
        let drop = 8.0 * self.px;
        self.shapes.push(Shape::new(
            "witness",
            [
                line(&[xy(bolt.x, bolt.y + 34.0), xy(bolt.x, row + drop)]),
                line(&[under, xy(grip.x, row + drop)]),
            ]
            .concat(),
        ));
        let (a, b) = (xy(bolt.x, row), xy(grip.x, row));
        let d = [line(&[a, b]), self.stop(a, b - a), self.stop(b, b - a)].concat();
        self.shapes.push(Shape::new("dimension", d));
        let forward = measures.forward;
        let text = format!(
            "{} {}",
            coarse(forward.abs(), system),
            if forward >= 0.0 { "forward" } else { "back" }
        );
        let size = text_px(self.view.class).0;
        let at = xy(0.5 * (a.x + b.x), row + (6.0 + 1.25 * size) * self.px);
        self.fix("dimension", text, at, true);

        let height = [
            line(&[grip, under]),
            self.stop(grip, under - grip),
            self.stop(under, under - grip),
        ]
        .concat();
        self.shapes
            .push(Shape::new("dimension-halo", height.clone()));
        self.shapes.push(Shape::new("dimension", height));
        let height = coarse(measures.grip_height, system);
        let label = if self.narrow() {
            vec!["Grip height".to_owned(), height]
        } else {
            vec![format!("Grip height {height}"), "over the board".to_owned()]
        };
        self.wish(2, "dimension", label, grip.towards(under, 0.62));

        let tape = line(&[bolt, grip]);
        self.shapes.push(Shape::new("tape-halo", tape.clone()));
        self.shapes.push(Shape::new("tape", tape));
        let label = vec![
            format!("Stirrup to grip {}", coarse(measures.straight, system)),
            "straight, bolt to grip centre".to_owned(),
        ];
        let label = if self.narrow() {
            vec![
                "Stirrup to grip".to_owned(),
                coarse(measures.straight, system),
            ]
        } else {
            label
        };
        // What is outside its range comes first where room is short.
        let rank = if self.low() { 2 } else { 1 };
        self.wish(rank, "dimension", label, bolt.towards(grip, 0.42));
    }

    /// Riser angle with its datum, bar roll.
    fn riser(&mut self) {
        let (base, top) = (self.machine.base, self.machine.bar_centre);
        let settings = self.scene.cockpit.settings;
        let sled = self.scene.cockpit.sled;
        let length = (top - base).length();
        let radius = (0.72 * length).max(26.0 * self.px);
        let up = Angle::from_deg(90.0);
        let datum = line(&[base, base + xy(0.0, -(radius + 16.0 * self.px))]);
        let swing = arc(base, radius, up, up + settings.riser_angle);
        self.shapes.push(Shape::new("datum-halo", datum.clone()));
        self.shapes.push(Shape::new("datum", datum));
        self.shapes.push(Shape::new("swing-halo", swing.clone()));
        self.shapes.push(Shape::new("swing", swing));
        let tilt = |angle: Angle, plus: &str, minus: &str| {
            let word = if angle < Angle::ZERO { minus } else { plus };
            format!("{} {word}", level(angle.abs()))
        };
        let riser = sled.risers[settings.riser];
        let system = self.scene.system;
        let height = match system {
            System::Metric => coarse(riser.height, system),
            System::Imperial => format_length(riser.height, system.length(), 0.1),
        };
        let lines = if self.narrow() {
            vec![
                format!("Riser {height}"),
                tilt(settings.riser_angle, "back", "forward"),
            ]
        } else {
            vec![
                format!(
                    "Riser {height}, {}",
                    tilt(settings.riser_angle, "back", "forward")
                ),
                "from vertical".to_owned(),
            ]
        };
        let half = up + settings.riser_angle * 0.5;
        self.wish(0, "setting", lines, base + Xy::at(half) * radius);
        if !self.narrow() {
            let lines = vec![
                format!("Bar roll {}", tilt(settings.bar_roll, "back", "forward")),
                "from the riser".to_owned(),
            ];
            self.wish(6, "setting", lines, top + xy(16.0, 0.0));
        }
    }

    /// Gauges: four joints on a phone, five on a tablet, six on a laptop.
    fn joints(&mut self) {
        let radius = (22.0 * self.px).max(150.0);
        let count = match self.view.class {
            WidthClass::Phone => 4,
            WidthClass::Tablet => 5,
            WidthClass::Laptop => 6,
        };
        let all: Vec<Gauge> = gauges(
            self.scene.front.pose,
            &self.scene.front.stance.ranges,
            radius,
        );
        let mut drawn = Vec::new();
        for (i, gauge) in all.iter().enumerate() {
            // What is outside its range is written on every view.
            if i >= count && gauge.state() == State::Inside {
                continue;
            }
            drawn.extend(gauge.shapes(self.px));
            let inside = gauge.state() == State::Inside;
            let mut wish = gauge.wish(self.narrow(), self.px);
            if inside && self.low() {
                wish.worth = SPARED;
            }
            self.wishes.push((if inside { 3 } else { 1 }, wish));
        }
        self.shapes.extend(in_one(drawn));
    }

    /// Number of the stirrup position, under the board.
    fn stirrup(&mut self) {
        let number = Measures::new(self.scene.cockpit, self.scene.front.pose).position;
        let count = self.machine.positions.len();
        let lines = if self.narrow() {
            vec!["Stirrup".to_owned(), format!("position {number}")]
        } else {
            vec![
                format!("Stirrup position {number}"),
                format!("of {count}, counted from the front"),
            ]
        };
        let anchor = self.machine.bolt + xy(0.0, 15.0);
        self.wish(0, "setting", lines, anchor);
    }

    /// A scale bar in the lower left corner.
    fn scale_bar(&mut self) {
        let (length, text) = match self.scene.system {
            System::Metric => (500.0, "0.5 m"),
            System::Imperial => (508.0, "20 in"),
        };
        let left = self.view.area.left + 12.0 * self.px;
        let y = self.view.area.bottom() - 10.0 * self.px;
        let (a, b) = (xy(left, y), xy(left + length, y));
        self.shapes.push(Shape::new(
            "scale-bar",
            [line(&[a, b]), self.stop(a, b - a), self.stop(b, b - a)].concat(),
        ));
        let at = xy(0.5 * (a.x + b.x), y - 5.0 * self.px);
        self.fix("scale-bar", text.to_owned(), at, false);
    }

    /// The stance's name in the upper left corner, or in the right one where the head is in the left.
    fn title(&mut self) {
        let name = capital(&self.scene.front.stance.name);
        let size = if self.narrow() { 18.0 } else { 20.0 };
        let width = (text_width(&name, true) * size + 2.0) * self.px;
        let mut area = Area {
            left: self.view.area.left + 12.0 * self.px,
            top: self.view.area.top + 8.0 * self.px,
            width,
            height: 1.25 * size * self.px,
        };
        if area.meets(&self.person.head_zone) {
            area.left = self.view.area.right() - width - 12.0 * self.px;
        }
        let title = Label::fixed("title", &name, area, size * self.px);
        self.fixed.push(title);
    }

    /// Names of the stances behind the rider, at their heads, where they stand clear of the one in front.
    fn stance_names(&mut self) {
        if self.narrow() {
            return;
        }
        let r = self.scene.body.links.helmet_radius;
        let covered = |p: Xy, zones: &[(Xy, Xy, f64)], head: &Disc| {
            (p - head.centre).length() < head.radius
                || zones
                    .iter()
                    .any(|&(a, b, radius)| distance(p, (a, b)) < radius + 8.0)
        };
        for (i, other) in self.scene.others.iter().enumerate() {
            let points = &other.pose.points;
            let head = flat(&points.head);
            let candidates = [
                head + xy(-0.9, -0.1) * r,
                head + xy(-0.6, -0.7) * r,
                head + xy(1.2, -0.9) * r,
                head + xy(1.1, 0.5) * r,
                flat(&points.hip) + xy(-105.0, 0.0),
                flat(&points.knee) + xy(50.0, 0.0),
            ];
            let over = &self.scene.others[i + 1..];
            let free = candidates.into_iter().find(|&p| {
                !covered(p, &self.person.body_zones, &self.person.head_zone)
                    && over.iter().all(|o| {
                        let head = Disc {
                            centre: flat(&o.pose.points.head),
                            radius: 1.3 * r,
                        };
                        let trunk = (flat(&o.pose.points.hip), flat(&o.pose.points.neck), 110.0);
                        let thigh = (flat(&o.pose.points.hip), flat(&o.pose.points.knee), 90.0);
                        !covered(p, &[trunk, thigh], &head)
                    })
            });
            if let Some(anchor) = free {
                self.wish(7, "other", vec![capital(&other.stance.name)], anchor);
            }
        }
    }
}

/// Shapes of one role as one shape, in the order in which roles come first: a frame of the page costs what it changes,
/// shape by shape.
fn in_one(shapes: Vec<Shape>) -> Vec<Shape> {
    let mut all: Vec<Shape> = Vec::new();
    for shape in shapes {
        match all.iter_mut().find(|one| one.role == shape.role) {
            Some(one) => one.d += &shape.d,
            None => all.push(shape),
        }
    }
    all
}

/// Text sizes of a class: strong and quiet lines, px.
pub(super) fn text_px(class: WidthClass) -> (f64, f64) {
    match class {
        WidthClass::Phone => (15.0, 13.0),
        WidthClass::Tablet => (15.0, 13.0),
        WidthClass::Laptop => (15.0, 12.5),
    }
}
