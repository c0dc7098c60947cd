//! The stage: sled, one stance in front, others and a former set-up behind it, and what is written on them.
//!
//! Everything is in the drawing frame (mm); [`View`] says which part of it fills the given px, and text sizes are px at
//! that scale, so that a phone gets fewer and larger labels of the same drawing.

use super::figure::{Bearing, Figure, Wearer, figure, silhouette};
use super::handle::{Handle, handles};
use super::label::{Area, Board, Label, Wish};
use super::machine::{LeverView, Machine, machine};
use super::notes::{Notes, text_px};
use super::path::{Xy, line, polygon, xy};
use super::{Disc, Shape};
use crate::fit::SetUp;
use crate::rider::Rider;
use crate::sled::Cockpit;
use crate::stance::{Pose, Stance};
use crate::units::text::System;
use crate::units::{Angle, MM_PER_M};

/// How much of the gaze's dip below the horizon the head takes (Hill and Kroemer 1986, Human Factors 28: the head makes
/// 37° of a change of gaze of 90°, eyes 53°).
const HEAD_SHARE: f64 = 0.41;

/// A stance that is drawn.
#[derive(Clone, Copy, Debug)]
pub struct Shown<'a> {
    /// Its definition.
    pub stance: &'a Stance,
    /// Its pose.
    pub pose: &'a Pose,
}

impl<'a> Shown<'a> {
    /// A stance of a set-up; `None` where it has no such stance.
    pub fn of(set_up: &'a SetUp, stances: &'a [Stance], index: usize) -> Option<Self> {
        Some(Self {
            stance: stances.get(index)?,
            pose: &set_up.stances.get(index)?.posture.pose,
        })
    }
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

impl<'a> Scene<'a> {
    /// A set-up with one of its stances in front, nothing behind it and no handles; `None` where it has no such stance.
    pub fn of(
        rider: &'a Rider,
        cockpit: &'a Cockpit<'a>,
        set_up: &'a SetUp,
        stances: &'a [Stance],
        front: usize,
        system: System,
    ) -> Option<Self> {
        Some(Self {
            body: Wearer::from(rider),
            cockpit,
            levers: LeverView::from(&set_up.levers),
            front: Shown::of(set_up, stances, front)?,
            others: &[],
            ghost: None,
            system,
            handles: false,
        })
    }
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

impl View {
    /// Whether it is one of this viewport.
    fn fills(&self, viewport: Viewport) -> bool {
        let alike = |mm: f64, px: f64| (mm * self.px_per_mm - px).abs() < 0.5;
        self.class == viewport.class()
            && alike(self.area.width, viewport.width)
            && alike(self.area.height, viewport.height)
    }

    /// Whether rider and grips lie inside, half a line of text clear of its border.
    fn shows(&self, machine: &Machine, person: &Figure) -> bool {
        let clear = self
            .area
            .grown(-0.5 * text_px(self.class).0 / self.px_per_mm);
        let (head, grip) = (person.head_zone, machine.grip);
        let others = [(head.centre, head.centre, head.radius), (grip, grip, 0.0)];
        let mut zones = person.body_zones.iter().chain(&others);
        zones.all(|&(from, to, radius)| Area::around((from, to)).grown(radius).inside(&clear))
    }
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

/// Pitch of the head below the horizon in a stance.
pub(super) fn head_pitch(stance: &Stance) -> Angle {
    stance.gaze_below_horizon * HEAD_SHARE
}

/// Sled and rider of a scene.
fn drawn(scene: &Scene) -> (Machine, Figure) {
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
    (machine, person)
}

/// Everything but what is written, from back to front.
fn layers(scene: &Scene, view: &View, mut machine: Machine, person: Figure) -> Vec<Layer> {
    let layer = |name, shapes| Layer { name, shapes };
    let ground = ground(view, &machine, &person);
    machine.board.append(&mut machine.controls);
    vec![
        layer("ground", ground),
        layer("others", others(scene)),
        layer("sled", machine.back),
        layer("far", person.far),
        layer("sled", machine.body),
        layer("rider", person.near),
        layer("sled", machine.board),
        layer("rider", person.hand),
    ]
}

/// Draws a scene small, beside others: nothing is written on it.
pub fn small(scene: &Scene) -> Stage {
    let (machine, person) = drawn(scene);
    let size = Viewport {
        width: 300.0,
        height: 280.0,
    };
    let view = view(&machine, &person, size, (6.0, 6.0, 6.0));
    Stage {
        view,
        layers: layers(scene, &view, machine, person),
        labels: Vec::new(),
        omitted: Vec::new(),
        missed: 0,
        handles: Vec::new(),
        kept_free: Vec::new(),
        title: scene.front.stance.name.clone(),
    }
}

/// Draws the stage.
pub fn stage(scene: &Scene, viewport: Viewport) -> Stage {
    stage_held(scene, viewport, None)
}

/// Draws the stage while something is dragged: it is seen from where it was seen `before`, until rider or grips would run
/// out of it, and written on where it was written on, so that what does not move stands still under the hand.
pub fn stage_held(scene: &Scene, viewport: Viewport, before: Option<&Stage>) -> Stage {
    let (machine, person) = drawn(scene);
    let view = before
        .map(|before| before.view)
        .filter(|view| view.fills(viewport) && view.shows(&machine, &person))
        .unwrap_or_else(|| {
            let margins = match viewport.class() {
                WidthClass::Phone => (84.0, 14.0, 56.0),
                WidthClass::Tablet => (150.0, 44.0, 66.0),
                WidthClass::Laptop => (190.0, 48.0, 70.0),
            };
            view(&machine, &person, viewport, margins)
        });
    let px = 1.0 / view.px_per_mm;
    let Notes {
        shapes,
        wishes,
        fixed,
        ..
    } = Notes::of(scene, &machine, &person, view);
    let shown = if scene.handles {
        handles(scene.cockpit, &machine, &scene.levers, scene.system, px)
    } else {
        Vec::new()
    };
    let board = board(&view, &person, &machine, &fixed, &shown);
    let wishes = wishes.into_iter().map(|(_, wish)| wish).collect();
    let (mut labels, omitted) = match before.filter(|before| before.view == view) {
        Some(before) => board.place_near(wishes, &before.labels, &before.omitted),
        None => board.place(wishes),
    };
    labels.extend(fixed);
    let kept_free = vec![person.head_zone, person.hand_zone];
    let mut layers = layers(scene, &view, machine, person);
    layers.push(Layer {
        name: "notes",
        shapes,
    });
    Stage {
        view,
        layers,
        labels,
        missed: omitted.iter().filter(|w| w.worth.is_infinite()).count(),
        omitted: omitted.iter().map(Wish::in_one_line).collect(),
        handles: shown,
        kept_free,
        title: format!("{}: {}", scene.front.stance.name, scene.front.stance.says),
    }
}

/// Fits the figure, the cockpit and, in the margins (beside, above, below, px), what is written; the sled may run out of a
/// narrow view.
pub(super) fn view(
    machine: &Machine,
    person: &Figure,
    viewport: Viewport,
    (column, above, below): (f64, f64, f64),
) -> View {
    let class = viewport.class();
    let kept = |v: f64| {
        if v.is_finite() {
            v.clamp(240.0, 6000.0)
        } else {
            240.0
        }
    };
    let (width, height) = (kept(viewport.width), kept(viewport.height));
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
pub(super) fn ground(view: &View, machine: &Machine, person: &Figure) -> Vec<Shape> {
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
        shapes.push(Shape::new("other", d));
    }
    if let Some(ghost) = scene.ghost {
        let d = silhouette(ghost.pose, scene.body, head_pitch(scene.front.stance));
        shapes.push(Shape::new("ghost-edge", d.clone()));
        shapes.push(Shape::new("ghost-fill", d));
    }
    shapes
}

pub(super) fn board(
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
