//! Options drawn over each other in one stance: aligned on the sled, or on the hips. Each has a letter, a line pattern and
//! a colour of its own; the first one's sled is drawn, of the others what differs: riser, bar, grip, stirrup, and the seat
//! where the sled is another.

use super::Shape;
use super::figure::{Bearing, Figure, Wearer, figure, silhouette};
use super::label::State;
use super::label::Wish;
use super::machine::{LeverView, machine};
use super::path::{Xy, circle, flat, line, polygon, xy};
use super::stage::{Layer, Shown, Stage, Viewport, WidthClass, board, ground, head_pitch, view};
use crate::compare::letter;
use crate::sled::Cockpit;
use crate::stance::{Points, Pose};
use crate::units::Point;
use crate::units::text::{System, coarse, tape};

/// Roles of the lines of each option, by its place.
pub const EDGES: [&str; 4] = ["option-a", "option-b", "option-c", "option-d"];
/// Roles of the labels of each option.
pub const LABELS: [&str; 4] = ["of-a", "of-b", "of-c", "of-d"];

/// An option to draw.
#[derive(Clone, Copy, Debug)]
pub struct Laid<'a> {
    /// What it is called beside its letter; empty: nothing.
    pub name: &'a str,
    /// The rider.
    pub body: Wearer<'a>,
    /// The settings, resolved.
    pub cockpit: &'a Cockpit<'a>,
    /// Where the levers stand.
    pub levers: LeverView,
    /// The stance that is drawn.
    pub shown: Shown<'a>,
}

/// What the options are laid over each other by.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Align {
    /// The sled: the foremost stirrup position.
    #[default]
    Sled,
    /// The hips.
    Hips,
}

/// What is drawn of each body.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Trace {
    /// Its limbs from joint to joint.
    #[default]
    Limbs,
    /// Its centre of mass with the lever arms to the ball of the foot and to the grip.
    Arms,
}

/// What is not drawn to the eye: less than a tape shows, mm.
const SAME: f64 = 2.5;

/// Length of a leader that is calm on a phone, px. Our choice.
const CALM: f64 = 220.0;

/// An option with its points where they are drawn.
struct Placed<'a> {
    laid: Laid<'a>,
    pose: Pose,
    by: Point,
    letter: char,
    edge: &'static str,
    label: &'static str,
}

/// Draws options over each other; none where there is none.
pub fn overlay(
    options: &[Laid],
    align: Align,
    trace: Trace,
    system: System,
    viewport: Viewport,
) -> Option<Stage> {
    let first = options.first()?;
    let placed: Vec<Placed> = options
        .iter()
        .enumerate()
        .map(|(i, laid)| Placed::new(*laid, first, i, align))
        .collect();
    let sink = first
        .shown
        .pose
        .seated
        .then_some(first.shown.pose.points.seat);
    let machine = machine(first.cockpit, &first.levers, sink);
    let people: Vec<Figure> = placed.iter().map(Placed::figure).collect();
    let crowd = crowd(people)?;
    let margins = match viewport.class() {
        WidthClass::Phone => (84.0, 40.0, 40.0),
        WidthClass::Tablet => (150.0, 48.0, 48.0),
        WidthClass::Laptop => (180.0, 52.0, 52.0),
    };
    let view = view(&machine, &crowd, viewport, margins);
    let px = 1.0 / view.px_per_mm;
    let layer = |name, shapes| Layer { name, shapes };
    let behind_first = || placed.iter().rev();
    let mut layers = vec![
        layer("ground", ground(&view, &machine, &crowd)),
        layer("sled", machine.back.clone()),
        layer("sled", machine.body.clone()),
        layer("bodies", behind_first().flat_map(Placed::body).collect()),
        layer("sled", [&machine.board[..], &machine.controls].concat()),
        layer(
            "cockpits",
            behind_first().flat_map(|p| p.cockpit(&placed[0])).collect(),
        ),
    ];
    let traced = behind_first().flat_map(|p| match trace {
        Trace::Limbs => p.limbs(px),
        Trace::Arms => p.arms(px),
    });
    layers.push(layer("traces", traced.collect()));
    let narrow = viewport.class() == WidthClass::Phone;
    let mut wishes: Vec<Wish> = placed.iter().map(|p| p.name(narrow)).collect();
    // On a phone three and more drown in labels: the drawing keeps their letters, a line for each stands below it.
    let mut below = Vec::new();
    let each = placed.iter().map(|p| match trace {
        Trace::Limbs => p.moved(&placed[0], align, system),
        Trace::Arms => vec![p.lengths(system)],
    });
    for own in each {
        if narrow && placed.len() > 2 {
            below.extend(legend(&own));
        } else {
            // Where there is little room, what finds no calm place stands beside the drawing.
            let worth = if narrow { CALM } else { f64::INFINITY };
            wishes.extend(own.into_iter().map(|wish| Wish { worth, ..wish }));
        }
    }
    let board = board(&view, &crowd, &machine, &[], &[]);
    let (labels, omitted) = board.place(wishes);
    let names: Vec<String> = placed.iter().map(Placed::title).collect();
    Some(Stage {
        view,
        layers,
        labels,
        missed: omitted.iter().filter(|w| w.worth.is_infinite()).count(),
        omitted: omitted.iter().map(Wish::in_one_line).chain(below).collect(),
        handles: Vec::new(),
        kept_free: vec![crowd.head_zone, crowd.hand_zone],
        title: format!("Over each other: {}", names.join("; ")),
    })
}

/// What one option's labels would have said, in one line: "B grip 4 cm ahead; foot 40 mm back".
fn legend(wishes: &[Wish]) -> Option<String> {
    let mut says = wishes.iter().map(|wish| wish.lines.join(" "));
    let first = says.next()?;
    let rest = says.map(|line| line.get(2..).unwrap_or_default().to_owned());
    Some(
        core::iter::once(first)
            .chain(rest)
            .collect::<Vec<_>>()
            .join("; "),
    )
}

/// All figures as one that nothing is written over.
fn crowd(people: Vec<Figure>) -> Option<Figure> {
    people.into_iter().reduce(|mut all, next| {
        all.body_zones.extend(next.body_zones);
        let (a, b) = (all.head_zone, next.head_zone);
        // The highest head sets the drawing's upper edge, the others are bodies.
        let (high, low) = if b.centre.y < a.centre.y {
            (b, a)
        } else {
            (a, b)
        };
        all.head_zone = high;
        all.body_zones.push((low.centre, low.centre, low.radius));
        all
    })
}

impl<'a> Placed<'a> {
    fn new(laid: Laid<'a>, first: &Laid, place: usize, align: Align) -> Self {
        let by = match align {
            Align::Sled => Point::zeros(),
            Align::Hips => {
                let by = first.shown.pose.points.hip - laid.shown.pose.points.hip;
                Point::new(by.x, 0.0, by.z)
            }
        };
        Self {
            pose: moved(laid.shown.pose, by),
            laid,
            by,
            letter: letter(place),
            edge: EDGES[place % EDGES.len()],
            label: LABELS[place % LABELS.len()],
        }
    }

    fn title(&self) -> String {
        let (name, stance) = (self.laid.name, &self.laid.shown.stance.name);
        if name.is_empty() {
            format!("{} in {stance}", self.letter)
        } else {
            format!("{}, {name}, in {stance}", self.letter)
        }
    }

    fn at(&self, point: Point) -> Xy {
        flat(&(point + self.by))
    }

    fn figure(&self) -> Figure {
        let bearing = Bearing {
            head_pitch: head_pitch(self.laid.shown.stance),
            blade: None,
            grip_radius: 17.0,
        };
        figure(&self.pose, self.laid.body, &bearing)
    }

    /// The body's outline on a ground of its own.
    fn body(&self) -> Vec<Shape> {
        let d = silhouette(
            &self.pose,
            self.laid.body,
            head_pitch(self.laid.shown.stance),
        );
        vec![
            Shape::new(self.edge, d.clone()),
            Shape::new("option-fill", d),
        ]
    }

    /// Riser, bar and stirrup; the seat's line where the sled is not the first one's, or does not lie where it is drawn.
    fn cockpit(&self, first: &Placed) -> Vec<Shape> {
        let cockpit = self.laid.cockpit;
        let grip = self.at(cockpit.grip);
        let mut lines = vec![
            line(&[
                self.at(cockpit.riser_base()),
                self.at(cockpit.bar_centre),
                grip,
            ]),
            circle(grip, 17.0),
        ];
        let sled = cockpit.sled;
        let x = cockpit.settings.stirrup;
        let bolt = self.at(Point::new(x, 0.0, x * sled.board.pitch.tan()));
        let side = 9.0;
        lines.push(polygon(&[
            bolt + xy(0.0, -side),
            bolt + xy(side, 0.0),
            bolt + xy(0.0, side),
            bolt + xy(-side, 0.0),
        ]));
        if self.by.norm() > SAME || sled.name != first.laid.cockpit.sled.name {
            let raise = cockpit.seat_raise;
            let top = sled.seat_line.points().iter();
            let top: Vec<Xy> = top
                .map(|p| self.at(Point::new(p.x, 0.0, p.z + raise)))
                .collect();
            lines.push(line(&top));
        }
        let d = lines.concat();
        vec![
            Shape::new("option-halo", d.clone()),
            Shape::new(self.edge, d),
        ]
    }

    /// Limbs from joint to joint, with the joints.
    fn limbs(&self, px: f64) -> Vec<Shape> {
        let p = &self.pose.points;
        let chain = [
            p.ball, p.ankle, p.knee, p.hip, p.shoulder, p.elbow, p.wrist, p.grip,
        ]
        .map(|p| flat(&p));
        let trunk = line(&chain);
        let joints = chain[1..6].iter().map(|&c| circle(c, 3.6 * px)).collect();
        vec![
            Shape::new("option-halo", trunk.clone()),
            Shape::new(self.edge, trunk),
            Shape::new("option-joint", joints),
        ]
    }

    /// Centre of mass, where it falls, and the lever arms to foot and hand.
    fn arms(&self, px: f64) -> Vec<Shape> {
        let (com, p) = (flat(&self.pose.com), &self.pose.points);
        let d = line(&[flat(&p.ball), com, flat(&p.grip)]);
        let pitch = self.laid.cockpit.sled.board.pitch;
        let fall = xy(
            com.x,
            -(self.pose.com.x - self.by.x) * pitch.tan() - self.by.z,
        );
        vec![
            Shape::new("option-halo", d.clone()),
            Shape::new(self.edge, d),
            Shape::new("plumb", line(&[com, fall])),
            Shape::new("mass-ground", circle(com, 7.0 * px)),
            Shape::new("mass", circle(com, 3.0 * px)),
        ]
    }

    fn wish(&self, lines: Vec<String>, anchor: Xy) -> Wish {
        Wish {
            role: self.label,
            lines,
            anchor,
            state: State::Inside,
            worth: f64::INFINITY,
        }
    }

    /// What it is called, at its head; its letter alone where there is little room.
    fn name(&self, narrow: bool) -> Wish {
        let mut lines = vec![self.letter.to_string()];
        if narrow {
            return self.wish(lines, flat(&self.pose.points.head));
        }
        for part in [self.laid.name, &self.laid.shown.stance.name] {
            if !part.is_empty() {
                lines.push(part.chars().take(28).collect());
            }
        }
        self.wish(lines, flat(&self.pose.points.head))
    }

    /// How far grip, stirrup and hips lie from the first one's.
    fn moved(&self, first: &Placed, align: Align, system: System) -> Vec<Wish> {
        let part = |by: f64, plus: &str, minus: &str| {
            let word = if by >= 0.0 { plus } else { minus };
            (by.abs() >= SAME).then(|| format!("{} {word}", coarse(by.abs(), system)))
        };
        let between = |what: &str, here: Point, there: Point| {
            let by = here - there;
            let parts = [part(by.x, "ahead", "back"), part(by.z, "up", "down")];
            let parts: Vec<String> = parts.into_iter().flatten().collect();
            let line = format!("{} {what}", self.letter);
            (!parts.is_empty()).then(|| self.wish(vec![line, parts.join(", ")], flat(&here)))
        };
        let (p, q) = (&self.pose.points, &first.pose.points);
        let hips = (align == Align::Sled)
            .then(|| between("hips", p.hip, q.hip))
            .flatten();
        let foot = between("foot", p.ball, q.ball);
        let all = [between("grip", p.grip, q.grip), hips, foot];
        all.into_iter().flatten().collect()
    }

    /// Lengths of the lever arms.
    fn lengths(&self, system: System) -> Wish {
        let (com, p) = (self.pose.com, &self.pose.points);
        let arm = |from: Point| tape(libm::hypot(com.x - from.x, com.z - from.z), system);
        let lines = vec![
            format!("{} lever arms", self.letter),
            format!("foot {}", arm(p.ball)),
            format!("hand {}", arm(p.grip)),
        ];
        self.wish(lines, flat(&com))
    }
}

/// The same pose elsewhere.
fn moved(pose: &Pose, by: Point) -> Pose {
    let p = &pose.points;
    Pose {
        points: Points {
            ball: p.ball + by,
            heel: p.heel + by,
            toe: p.toe + by,
            toe_stop: p.toe_stop + by,
            ankle: p.ankle + by,
            knee: p.knee + by,
            hip: p.hip + by,
            lower_trunk: p.lower_trunk + by,
            shoulder: p.shoulder + by,
            elbow: p.elbow + by,
            wrist: p.wrist + by,
            grip: p.grip + by,
            seat: p.seat + by,
            neck: p.neck + by,
            head: p.head + by,
            foot_com: p.foot_com + by,
        },
        com: pose.com + by,
        ..*pose
    }
}
