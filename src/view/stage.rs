//! The stage: sled, one stance in front, others and a former set-up behind it, and what is written on them.
//!
//! Everything is in the drawing frame (mm); [`View`] says which part of it fills the given px, and text sizes are px at
//! that scale, so that a phone gets fewer and larger labels of the same drawing.

use super::figure::{Bearing, Figure, Wearer, figure, silhouette};
use super::gauge::{Gauge, gauges};
use super::handle::{Handle, handles};
use super::label::{Area, Board, Label, State, Wish, distance, text_width};
use super::machine::{LeverView, Machine, machine};
use super::measure::Measures;
use super::path::{Xy, arc, circle, flat, line, polygon, xy};
use super::{Disc, Shape};
use crate::sled::Cockpit;
use crate::stance::{Pose, Stance};
use crate::units::text::capital;
use crate::units::text::{System, coarse, format_length, level};
use crate::units::{Angle, MM_PER_M};

/// How much of the gaze's dip below the horizon the head takes (Hill and Kroemer 1986, Human Factors 28: the head makes
/// 37° of a change of gaze of 90°, eyes 53°).
const HEAD_SHARE: f64 = 0.41;

/// Labels from this rank on are left out where they find no calm place.
const OPTIONAL: u8 = 5;
/// What calm means: a leader of so many px that crosses nothing. Our choice.
const CROWDED: f64 = 240.0;

/// A stance that is drawn.
#[derive(Clone, Copy, Debug)]
pub struct Shown<'a> {
    /// Its definition.
    pub stance: &'a Stance,
    /// Its pose.
    pub pose: &'a Pose,
}

/// A former set-up, or the other option.
#[derive(Clone, Copy, Debug)]
pub struct Ghost<'a> {
    /// What it is called: "as found", "option B".
    pub name: &'a str,
    /// Its settings, resolved.
    pub cockpit: &'a Cockpit<'a>,
    /// The front stance's pose on it.
    pub pose: &'a Pose,
}

/// What is drawn.
#[derive(Clone, Copy, Debug)]
pub struct Scene<'a> {
    /// The rider.
    pub body: Wearer<'a>,
    /// The settings, resolved.
    pub cockpit: &'a Cockpit<'a>,
    /// Where the levers stand.
    pub levers: LeverView,
    /// The stance in front.
    pub front: Shown<'a>,
    /// Other stances, drawn as outlines behind it.
    pub others: &'a [Shown<'a>],
    /// A former set-up.
    pub ghost: Option<Ghost<'a>>,
    /// The reader's units.
    pub system: System,
    /// Whether handles are shown.
    pub handles: bool,
}

/// How wide the view is; it decides how much is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WidthClass {
    /// Below 600 px.
    Phone,
    /// Below 1000 px.
    Tablet,
    /// From 1000 px.
    Laptop,
}

/// Size of the picture on its screen or page, px.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Viewport {
    /// Width.
    pub width: f64,
    /// Height.
    pub height: f64,
}

impl Viewport {
    /// Its class.
    pub fn class(&self) -> WidthClass {
        match self.width {
            w if w < 600.0 => WidthClass::Phone,
            w if w < 1000.0 => WidthClass::Tablet,
            _ => WidthClass::Laptop,
        }
    }
}

/// The part of the drawing frame that fills the viewport.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct View {
    /// That part, mm: the SVG's view box.
    pub area: Area,
    /// Scale.
    pub px_per_mm: f64,
    /// Width class.
    pub class: WidthClass,
}

/// Shapes of one kind, in drawing order.
#[derive(Clone, Debug, PartialEq)]
pub struct Layer {
    /// Class name of the group.
    pub name: &'static str,
    /// Its shapes.
    pub shapes: Vec<Shape>,
}

/// The finished drawing.
#[derive(Clone, Debug, PartialEq)]
pub struct Stage {
    /// Which part of the drawing frame is seen, at which scale.
    pub view: View,
    /// Layers from back to front; labels and handles go on top.
    pub layers: Vec<Layer>,
    /// Placed labels.
    pub labels: Vec<Label>,
    /// Labels that found no room: their lines, to be written beside the drawing.
    pub omitted: Vec<String>,
    /// How many of them are no side notes: those a reader misses on the drawing.
    pub missed: usize,
    /// Handles.
    pub handles: Vec<Handle>,
    /// Zones that no label covers: head, hand.
    pub kept_free: Vec<Disc>,
    /// Stance, in one line.
    pub title: String,
}

/// Text sizes of a class: strong and quiet lines, px.
fn text_px(class: WidthClass) -> (f64, f64) {
    match class {
        WidthClass::Phone => (15.0, 13.0),
        WidthClass::Tablet => (15.0, 13.0),
        WidthClass::Laptop => (15.0, 12.5),
    }
}

/// Pitch of the head below the horizon in a stance.
fn head_pitch(stance: &Stance) -> Angle {
    stance.gaze_below_horizon * HEAD_SHARE
}

/// Draws the stage.
pub fn stage(scene: &Scene, viewport: Viewport) -> Stage {
    let pose = scene.front.pose;
    let sink = pose.seated.then_some(pose.points.seat);
    let machine = machine(scene.cockpit, &scene.levers, sink);
    let bar = &scene.cockpit.sled.bars[scene.cockpit.settings.bar];
    let finger = scene.front.stance.hands.brake_fingers > 0;
    let person = figure(
        pose,
        scene.body,
        &Bearing {
            head_pitch: head_pitch(scene.front.stance),
            blade: finger.then_some(machine.blade),
            grip_radius: bar.grip_diameter / 2.0,
        },
    );
    let view = view(&machine, &person, viewport);
    let px = 1.0 / view.px_per_mm;
    let mut layers = vec![
        Layer {
            name: "ground",
            shapes: ground(&view, &machine, &person),
        },
        Layer {
            name: "others",
            shapes: others(scene),
        },
        Layer {
            name: "sled",
            shapes: machine.back.clone(),
        },
        Layer {
            name: "far",
            shapes: person.far.clone(),
        },
        Layer {
            name: "sled",
            shapes: machine.body.clone(),
        },
        Layer {
            name: "rider",
            shapes: person.near.clone(),
        },
        Layer {
            name: "sled",
            shapes: [&machine.board[..], &machine.controls].concat(),
        },
        Layer {
            name: "rider",
            shapes: person.hand.clone(),
        },
    ];
    let mut notes = Notes {
        scene,
        machine: &machine,
        person: &person,
        view,
        px,
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
    let Notes {
        shapes,
        mut wishes,
        fixed,
        ..
    } = notes;
    // The most important first; equal ones as they came.
    wishes.sort_by_key(|(rank, _)| *rank);
    let shown = if scene.handles {
        handles(scene.cockpit, &machine, &scene.levers, scene.system, px)
    } else {
        Vec::new()
    };
    let board = board(&view, &person, &machine, &fixed, &shown);
    let (mut labels, omitted) = board.place(wishes.into_iter().map(|(_, wish)| wish).collect());
    labels.extend(fixed);
    layers.push(Layer {
        name: "notes",
        shapes,
    });
    Stage {
        view,
        layers,
        labels,
        missed: omitted.iter().filter(|w| w.worth.is_infinite()).count(),
        omitted: omitted.into_iter().map(|w| w.lines.join(", ")).collect(),
        handles: shown,
        kept_free: vec![person.head_zone, person.hand_zone],
        title: format!("{}: {}", scene.front.stance.name, scene.front.stance.says),
    }
}

/// Fits the figure, the cockpit and the dimension row; the sled may run out of a narrow view.
fn view(machine: &Machine, person: &Figure, viewport: Viewport) -> View {
    let class = viewport.class();
    let kept = |v: f64| {
        if v.is_finite() {
            v.clamp(240.0, 6000.0)
        } else {
            240.0
        }
    };
    let (width, height) = (kept(viewport.width), kept(viewport.height));
    let (column, above, below) = match class {
        WidthClass::Phone => (84.0, 34.0, 62.0),
        WidthClass::Tablet => (150.0, 44.0, 66.0),
        WidthClass::Laptop => (190.0, 48.0, 70.0),
    };
    let (mut left, mut right) = (machine.bolt.x - 200.0, machine.grip.x + 170.0);
    for &(from, to, radius) in &person.body_zones {
        left = left.min(from.x.min(to.x) - radius);
        right = right.max(from.x.max(to.x) + radius);
    }
    let head = person.head_zone;
    right = right.max(head.centre.x + head.radius);
    let top = (head.centre.y - head.radius).min(machine.grip.y - 150.0);
    let tall = (machine.snow - top).max(500.0);
    let wide = (right - left).max(500.0);
    let scale = ((height - above - below) / tall).min((width - 2.0 * column) / wide);
    let px_per_mm = scale.max(0.02);
    let px = 1.0 / px_per_mm;
    // Where there is room, the whole sled is centred; where there is not, the rider is.
    let sled_wide = machine.front - machine.rear;
    let room = width * px;
    let rider_mid = 0.5 * (left + right);
    let sled_mid = 0.5 * (machine.front + machine.rear);
    let share = ((room - wide) / (sled_wide - wide).max(1.0)).clamp(0.0, 1.0);
    let middle = rider_mid + (sled_mid - rider_mid) * share;
    let bottom = machine.snow + below * px;
    View {
        area: Area {
            left: middle - 0.5 * room,
            top: bottom - height * px,
            width: room,
            height: height * px,
        },
        px_per_mm,
        class,
    }
}

/// Snow, and a grid of half metres with stronger whole metres that fades with distance from the rider.
fn ground(view: &View, machine: &Machine, person: &Figure) -> Vec<Shape> {
    let area = view.area;
    let snow = polygon(&[
        xy(area.left, machine.snow),
        xy(area.right(), machine.snow),
        xy(area.right(), area.bottom()),
        xy(area.left, area.bottom()),
    ]);
    let middle = person.head_zone.centre.towards(machine.bolt, 0.5);
    let step = MM_PER_M / 2.0;
    let mut bands: [String; 3] = Default::default();
    let mut put = |from: Xy, to: Xy, major: bool| {
        let away = (from.towards(to, 0.5) - middle).length();
        let fade = away / (0.62 * area.width.max(area.height));
        let strength = if fade < 0.45 {
            2
        } else if fade < 0.8 {
            1
        } else {
            0
        };
        let strength: usize = if major {
            strength
        } else {
            usize::from(strength > 1)
        };
        if major || strength > 0 {
            bands[strength].push_str(&line(&[from, to]));
        }
    };
    let piece = step / 2.0;
    let first = |low: f64, by: f64| libm::ceil(low / by) * by;
    let whole = |v: f64| (v / MM_PER_M - libm::round(v / MM_PER_M)).abs() < 1e-6;
    let top = area.top;
    let mut x = first(area.left, step);
    while x <= area.right() {
        let mut y = machine.snow;
        while y > top {
            let up = (y - piece).max(top);
            put(xy(x, y), xy(x, up), whole(x));
            y = up;
        }
        x += step;
    }
    let mut rise = step;
    while machine.snow - rise > top {
        let y = machine.snow - rise;
        let mut x = area.left;
        while x < area.right() {
            let next = (x + piece).min(area.right());
            put(xy(x, y), xy(next, y), whole(rise));
            x = next;
        }
        rise += step;
    }
    let [faint, middle_band, strong] = bands;
    vec![
        Shape::new("grid-faint", faint),
        Shape::new("grid-mid", middle_band),
        Shape::new("grid-near", strong),
        Shape::new("snow", snow),
        Shape::new(
            "snow-line",
            line(&[xy(area.left, machine.snow), xy(area.right(), machine.snow)]),
        ),
    ]
}

/// Outlines of the other stances, each on a ground of its own so that they read as people behind the rider.
fn others(scene: &Scene) -> Vec<Shape> {
    let mut shapes = Vec::new();
    for other in scene.others {
        let d = silhouette(other.pose, scene.body, head_pitch(other.stance));
        shapes.push(Shape::new("other-edge", d.clone()));
        shapes.push(Shape::new("other-fill", d));
    }
    if let Some(ghost) = scene.ghost {
        let d = silhouette(ghost.pose, scene.body, head_pitch(scene.front.stance));
        shapes.push(Shape::new("ghost-edge", d.clone()));
        shapes.push(Shape::new("ghost-fill", d));
    }
    shapes
}

fn board(
    view: &View,
    person: &Figure,
    machine: &Machine,
    fixed: &[Label],
    handles: &[Handle],
) -> Board {
    let px = 1.0 / view.px_per_mm;
    let mut body_left = f64::INFINITY;
    let mut body_right: f64 = machine.grip.x + 130.0;
    for &(from, to, radius) in &person.body_zones {
        body_left = body_left.min(from.x.min(to.x) - radius);
        body_right = body_right.max(from.x.max(to.x) + radius);
    }
    body_right = body_right.max(person.head_zone.centre.x + person.head_zone.radius);
    let mut discs = vec![person.head_zone, person.hand_zone];
    discs.extend(handles.iter().map(|h| Disc {
        centre: h.at,
        radius: 0.6 * h.touch,
    }));
    let mut soft = person.body_zones.clone();
    let zone = machine.control_zone;
    soft.push((zone.centre, zone.centre, zone.radius));
    soft.push((machine.base, machine.bar_centre, 40.0));
    let margin = if view.class == WidthClass::Phone {
        6.0
    } else {
        12.0
    };
    Board {
        view: Area {
            left: view.area.left + margin * px,
            top: view.area.top + 6.0 * px,
            width: view.area.width - 2.0 * margin * px,
            height: view.area.height - 12.0 * px,
        },
        px,
        text_px: text_px(view.class),
        discs,
        areas: fixed.iter().map(|l| l.area).collect(),
        soft,
        rails: (body_left - 46.0 * px, body_right + 30.0 * px),
    }
}

/// What is written on the drawing, as it is collected.
struct Notes<'a> {
    scene: &'a Scene<'a>,
    machine: &'a Machine,
    person: &'a Figure,
    view: View,
    px: f64,
    shapes: Vec<Shape>,
    wishes: Vec<(u8, Wish)>,
    fixed: Vec<Label>,
}

impl Notes<'_> {
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
        let label = Label {
            role,
            lines: vec![text],
            state: State::Inside,
            area: Area {
                left,
                top: at.y - height,
                width,
                height,
            },
            sizes: (size * self.px, size * self.px),
            leader: None,
            ends_right: false,
        };
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
        let moved = self.machine.grip - grip;
        if moved.length() > 2.0 {
            self.arrow(grip, self.machine.grip, "shift");
            let system = self.scene.system;
            let lines = vec![
                format!("Grip since {}", ghost.name),
                format!(
                    "{} {}, {} {}",
                    coarse(moved.x.abs(), system),
                    if moved.x >= 0.0 { "forward" } else { "back" },
                    coarse(moved.y.abs(), system),
                    if moved.y <= 0.0 { "up" } else { "down" },
                ),
            ];
            self.wish(1, "shift", lines, grip.towards(self.machine.grip, 0.5));
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
        self.wish(1, "dimension", label, bolt.towards(grip, 0.42));
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
        for (i, gauge) in all.iter().enumerate() {
            // What is outside its range is written on every view.
            if i >= count && gauge.state() == State::Inside {
                continue;
            }
            self.shapes.extend(gauge.shapes(self.px));
            let rank = if gauge.state() == State::Inside { 3 } else { 1 };
            self.wishes.push((rank, gauge.wish(self.narrow(), self.px)));
        }
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

    /// The stance's name in the upper left corner.
    fn title(&mut self) {
        let name = capital(&self.scene.front.stance.name);
        let size = if self.narrow() { 18.0 } else { 20.0 };
        let width = (text_width(&name, true) * size + 2.0) * self.px;
        self.fixed.push(Label {
            role: "title",
            lines: vec![name],
            state: State::Inside,
            area: Area {
                left: self.view.area.left + 12.0 * self.px,
                top: self.view.area.top + 8.0 * self.px,
                width,
                height: 1.25 * size * self.px,
            },
            sizes: (size * self.px, size * self.px),
            leader: None,
            ends_right: false,
        });
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
