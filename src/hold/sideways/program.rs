//! The rows of both sides: contact forces first, then how far the specific force goes along given directions.
//!
//! A right limb's moments are those of its mirror image on the left under the mirrored force, so that flexion is positive
//! on both sides and one set of frames serves.

use super::super::Options;
use super::super::contacts::{
    self, AssumedLimit, BOOT_ON_BOARD, CLOTHES_ON_SEAT, HOOP, LIFTED_HEEL, PUSH_ON_BAR, SEAT,
    TOE_STOP,
};
use super::super::joints::{Joint, Limits, trunk_axis};
use super::super::outcome::{Contact, NotHeld};
use super::super::rows::optimal;
use super::super::statics::{Gives, segment_com};
use super::body::{Body, KNEE_NEAR, Limbs};
use super::{SIDE_JOINTS, SideLimits};
use crate::program::linear::{Program, Range, Solution};
use crate::program::polygon::polygon;
use crate::rider::{Part, Rider};
use crate::sled::Cockpit;
use crate::stance::Pose;
use crate::units::{MM_PER_M, Point, STANDARD_GRAVITY};

/// Push of the edge protector on the outer boot.
pub const EDGE_PROTECTOR: AssumedLimit = AssumedLimit {
    name: "edge protector",
    range: [300.0, 600.0, 1200.0],
    source: "our choice: the boot's edge rides up a low rail long before the rail bends",
};

/// A start that is only held from this λ on is not held: far below what anyone can feel.
const START_SLACK: f64 = 1e-7;

/// Scaled duals below this share of the objective's scale say nothing: rounding.
const DUAL_ROUNDING: f64 = 1e-9;

/// Half the distance between the seat bones, mm: about 60, from memory.
const SEAT_BONES: f64 = 60.0;

/// What a force acts on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum On {
    Foot,
    Knee,
    Hand,
    Pelvis,
}

/// A push of size 0 and more (a hand: of either sign) along a direction.
#[derive(Clone, Debug)]
struct Push {
    carrier: &'static str,
    on: On,
    /// +1 left, −1 right; either for the pelvis.
    side: f64,
    at: Point,
    direction: Point,
    /// The part of the direction that grows with friction.
    friction: Option<(&'static str, Point)>,
    low: f64,
    high: f64,
    gives: (Gives, Gives),
    /// Which sums it counts in, and how much.
    sums: Vec<(usize, f64)>,
    /// Which carrier it is that may not push sideways by more than the corner asks.
    squeezes: Option<usize>,
}

/// A row: one coefficient for each push, moments or forces per g along x, y and z, its ends and what gives there.
#[derive(Clone, Debug)]
struct Line {
    pushes: Vec<f64>,
    /// The part of `pushes` that grows with friction.
    friction: Vec<f64>,
    weight: Point,
    low: f64,
    high: f64,
    gives: Option<(Gives, Gives)>,
}

/// One pose thrown to its right: contacts push it to the left.
#[derive(Clone, Debug)]
pub(super) struct Rows {
    pushes: Vec<Push>,
    lines: Vec<Line>,
    /// Friction pairs in use.
    pairs: Vec<&'static str>,
}

fn mirrored(v: Point, side: f64) -> Point {
    Point::new(v.x, v.y * side, v.z)
}

impl Rows {
    pub fn new(
        rider: &Rider,
        cockpit: &Cockpit,
        pose: &Pose,
        body: &Body,
        options: &Options,
        limits: &Limits,
        side: SideLimits,
    ) -> Self {
        let mut rows = Self {
            pushes: Vec::new(),
            lines: Vec::new(),
            pairs: Vec::new(),
        };
        let mut sums: Vec<Line> = Vec::new();
        let mut squeezes = 0;
        let sides = [(1.0, &body.left), (-1.0, &body.right)];
        for (side, limbs) in sides {
            rows.add_side(
                rider,
                cockpit,
                pose,
                limbs,
                side,
                options,
                limits,
                &mut sums,
                &mut squeezes,
            );
        }
        if pose.seated {
            rows.add_seat(cockpit, pose, body.shift, options, &mut sums, &mut squeezes);
        }
        rows.add_knee(rider, cockpit, &body.left, &mut squeezes);
        rows.state(rider, body, side, sums, squeezes);
        rows
    }

    #[allow(clippy::too_many_arguments, reason = "one step of building the rows")]
    fn add_side(
        &mut self,
        rider: &Rider,
        cockpit: &Cockpit,
        pose: &Pose,
        limbs: &Limbs,
        side: f64,
        options: &Options,
        limits: &Limits,
        sums: &mut Vec<Line>,
        squeezes: &mut usize,
    ) {
        let p = &limbs.points;
        let grip = contacts::grip_rows(
            p.grip - p.shoulder,
            cockpit.grip_axis,
            limits.pull_off,
            options.assumed.push_on_bar,
            options.friction,
        );
        let found = contacts::contacts(
            cockpit,
            pose,
            &grip,
            rider.links.boot_instep_height,
            options,
        );
        let boot = *squeezes;
        *squeezes += 1;
        for contact in found {
            match contact.name {
                "ball" => self.add_sole(&contact, side, boot, Vec::new()),
                "heel" => {
                    let counted = bound(sums, &contact, LIFTED_HEEL, 0.5);
                    self.add_sole(&contact, side, boot, counted);
                }
                "toe_stop" => self.add_stop(&contact, &TOE_STOP, side),
                "hoop" => self.add_stop(&contact, &HOOP, side),
                _ => {}
            }
        }
        // The outer boot alone is thrown against the rail.
        let rail = cockpit.sled.stirrup.edge_protector;
        if side < 0.0 && rail.is_some_and(|(rear, front)| (rear..=front).contains(&p.ball.x)) {
            let high = EDGE_PROTECTOR.range[options.friction as usize];
            self.pushes.push(Push {
                carrier: EDGE_PROTECTOR.name,
                on: On::Foot,
                side,
                at: mirrored(p.ball, side),
                direction: Point::new(0.0, 1.0, 0.0),
                friction: None,
                low: 0.0,
                high,
                gives: (Gives::Unloads("boots"), Gives::Assumed(EDGE_PROTECTOR.name)),
                sums: Vec::new(),
                squeezes: Some(boot),
            });
        }
        self.add_hand(&grip, p.grip, side, sums);
    }

    /// A sole's contact: its cone's edges fore and aft, and the one to the inside of the corner.
    fn add_sole(&mut self, contact: &Contact, side: f64, boot: usize, sums: Vec<(usize, f64)>) {
        let at = mirrored(contact.point, side);
        self.add_cone(
            contact,
            BOOT_ON_BOARD.pair,
            On::Foot,
            at,
            side,
            "boots",
            boot,
            &sums,
        );
    }

    #[allow(clippy::too_many_arguments, reason = "one step of building the rows")]
    fn add_cone(
        &mut self,
        contact: &Contact,
        pair: &'static str,
        on: On,
        at: Point,
        side: f64,
        unloads: &'static str,
        squeezes: usize,
        sums: &[(usize, f64)],
    ) {
        let n = contact.normal;
        let along = Point::new(n.z, 0.0, -n.x) * contact.friction;
        let inside = Point::new(0.0, contact.friction, 0.0);
        if contact.friction > 0.0 && !self.pairs.contains(&pair) {
            self.pairs.push(pair);
        }
        for tangent in [along, -along, inside] {
            self.pushes.push(Push {
                carrier: if on == On::Foot { "boot" } else { contact.name },
                on,
                side,
                at,
                direction: n + tangent,
                friction: Some((pair, tangent)),
                low: 0.0,
                high: f64::INFINITY,
                gives: (Gives::Unloads(unloads), Gives::Unloads(unloads)),
                sums: sums.to_vec(),
                squeezes: Some(squeezes),
            });
        }
    }

    fn add_stop(&mut self, contact: &Contact, limit: &AssumedLimit, side: f64) {
        if contact.high > 0.0 {
            self.pushes.push(Push {
                carrier: contact.name,
                on: On::Foot,
                side,
                at: mirrored(contact.point, side),
                direction: mirrored(contact.normal, side),
                friction: None,
                low: 0.0,
                high: contact.high / 2.0,
                gives: (Gives::Unloads("boots"), Gives::Assumed(limit.name)),
                sums: Vec::new(),
                squeezes: None,
            });
        }
    }

    fn add_hand(
        &mut self,
        grip: &[contacts::GripRow; 5],
        at: Point,
        side: f64,
        sums: &mut Vec<Line>,
    ) {
        let gives = |push: bool| {
            if push {
                Gives::Assumed(PUSH_ON_BAR.name)
            } else {
                Gives::Grip
            }
        };
        let [out, rising, across, falling, along] = grip;
        let first = sums.len();
        for row in [rising, falling] {
            sums.push(Line::sum(
                row.low / 2.0,
                row.high / 2.0,
                (gives(row.low_is_push), gives(row.high_is_push)),
            ));
        }
        for row in [out, across, along] {
            let ends = if core::ptr::eq(row, along) {
                (Gives::AlongBar, Gives::AlongBar)
            } else {
                (gives(row.low_is_push), gives(row.high_is_push))
            };
            self.pushes.push(Push {
                carrier: "grip",
                on: On::Hand,
                side,
                at: mirrored(at, side),
                direction: mirrored(row.normal, side),
                friction: None,
                low: row.low / 2.0,
                high: row.high / 2.0,
                gives: ends,
                sums: vec![
                    (first, rising.normal.dot(&row.normal)),
                    (first + 1, falling.normal.dot(&row.normal)),
                ],
                squeezes: None,
            });
        }
    }

    /// The seat under both seat bones, or as far out as it reaches.
    fn add_seat(
        &mut self,
        cockpit: &Cockpit,
        pose: &Pose,
        shift: f64,
        options: &Options,
        sums: &mut Vec<Line>,
        squeezes: &mut usize,
    ) {
        let grip = contacts::grip_rows(
            Point::new(1.0, 0.0, 0.0),
            cockpit.grip_axis,
            0.0,
            0.0,
            options.friction,
        );
        let found = contacts::contacts(cockpit, pose, &grip, 0.0, options);
        let Some(seat) = found.into_iter().find(|contact| contact.name == SEAT.name) else {
            return;
        };
        let edge = cockpit.sled.seat_line.half_width(seat.point.x);
        let counted = bound(sums, &seat, SEAT.name, 1.0);
        for bone in [SEAT_BONES, -SEAT_BONES] {
            let at = Point::new(
                seat.point.x,
                (shift + bone).clamp(-edge, edge),
                seat.point.z,
            );
            self.add_cone(
                &seat,
                CLOTHES_ON_SEAT.pair,
                On::Pelvis,
                at,
                1.0,
                SEAT.name,
                *squeezes,
                &counted,
            );
        }
        *squeezes += 1;
    }

    /// The inner knee against the sled's side, where it is near it.
    fn add_knee(&mut self, rider: &Rider, cockpit: &Cockpit, limbs: &Limbs, squeezes: &mut usize) {
        let knee = limbs.points.knee;
        let outline = &cockpit.sled.outline;
        let (height, _) = outline.height(knee.x);
        let (first, last) = outline.ends();
        let beside = knee.z < height && knee.x > first && knee.x < last;
        let wall = outline.half_width(knee.x);
        let gap = knee.y - rider.links.knee_radius - wall;
        if !beside || gap > KNEE_NEAR {
            return;
        }
        self.pushes.push(Push {
            carrier: "knee",
            on: On::Knee,
            side: 1.0,
            at: Point::new(knee.x, wall, knee.z),
            direction: Point::new(0.0, 1.0, 0.0),
            friction: None,
            low: 0.0,
            high: f64::INFINITY,
            gives: (Gives::Unloads("knee"), Gives::Unloads("knee")),
            sums: Vec::new(),
            squeezes: Some(*squeezes),
        });
        *squeezes += 1;
    }

    /// Writes balance, joints, trunk, hips, sums and what may not be squeezed as rows.
    fn state(
        &mut self,
        rider: &Rider,
        body: &Body,
        limits: SideLimits,
        sums: Vec<Line>,
        squeezes: usize,
    ) {
        let sides = [(1.0, &body.left), (-1.0, &body.right)];
        let trunk = rider.links.trunk;
        // Every segment on its side, in world coordinates.
        let mut weights: Vec<(Part, f64, f64, Point)> = Vec::new();
        for segment in &rider.segments {
            for (side, limbs) in sides.iter().take(usize::from(segment.count == 2) + 1) {
                let mut at = segment_com(segment, &limbs.points, trunk);
                if segment.count == 1 {
                    at.y = body.shift;
                }
                weights.push((segment.part, *side, segment.mass, mirrored(at, *side)));
            }
        }
        let mass: f64 = weights.iter().map(|w| w.2).sum();
        let com = weights
            .iter()
            .fold(Point::zeros(), |sum, w| sum + w.3 * w.2)
            / mass;
        let axes = [
            Point::new(1.0, 0.0, 0.0),
            Point::new(0.0, 1.0, 0.0),
            Point::new(0.0, 0.0, 1.0),
        ];
        for axis in axes {
            let mut line = self.line(|_, _, direction| axis.dot(&direction));
            line.weight = -axis * (mass * STANDARD_GRAVITY);
            self.lines.push(line);
        }
        for axis in axes {
            let line =
                self.line(|_, at, direction| axis.dot(&(at - com).cross(&direction)) / MM_PER_M);
            self.lines.push(line);
        }
        let weigh = |axis: Point, centre: Point, carried: &dyn Fn(Part, f64) -> bool| {
            weights
                .iter()
                .filter(|w| carried(w.0, w.1))
                .fold(Point::zeros(), |sum, w| {
                    // axis · (arm × (−m g f)) = −m g (axis × arm) · f
                    sum - axis.cross(&(w.3 - centre)) * (w.2 * STANDARD_GRAVITY / MM_PER_M)
                })
        };
        for (side, limbs) in sides {
            for joint in SIDE_JOINTS {
                let (centre, axis) = joint.frame(&limbs.points);
                let (centre, axis) = (mirrored(centre, side), turned(axis, side));
                let carries = |push: &Push| {
                    push.side == side
                        && match push.on {
                            On::Foot => joint.on_foot_side(),
                            On::Knee => joint == Joint::Hip,
                            On::Hand => !joint.on_foot_side(),
                            On::Pelvis => false,
                        }
                };
                let mut line = self.line(|push, at, direction| {
                    if carries(push) {
                        axis.dot(&(at - centre).cross(&direction)) / MM_PER_M
                    } else {
                        0.0
                    }
                });
                line.weight = weigh(axis, centre, &|part, on| on == side && joint.carries(part));
                (line.low, line.high) = limbs.limits[joint as usize];
                line.gives = Some((Gives::Joint(joint, false), Gives::Joint(joint, true)));
                self.lines.push(line);
            }
        }
        let p = &body.left.points;
        let centre = Point::new(p.lower_trunk.x, body.shift, p.lower_trunk.z);
        let long = trunk_axis(p);
        let bend = Point::new(long.z, 0.0, -long.x);
        let lower = Joint::LowerTrunk;
        let flexion = body.left.limits[lower as usize];
        let both = (2.0 * flexion.0, 2.0 * flexion.1);
        for (axis, (low, high), gives) in [
            (
                Point::new(0.0, -1.0, 0.0),
                both,
                (Gives::Joint(lower, false), Gives::Joint(lower, true)),
            ),
            (
                bend,
                (-limits.trunk, limits.trunk),
                (Gives::TrunkBend, Gives::TrunkBend),
            ),
        ] {
            let mut line = self.line(|push, at, direction| {
                if push.on == On::Hand {
                    axis.dot(&(at - centre).cross(&direction)) / MM_PER_M
                } else {
                    0.0
                }
            });
            line.weight = weigh(axis, centre, &|part, _| lower.carries(part));
            (line.low, line.high) = (low, high);
            line.gives = Some(gives);
            self.lines.push(line);
        }
        let along = axes[0];
        let hip = |side: f64| {
            let limbs = if side > 0.0 { &body.left } else { &body.right };
            mirrored(limbs.points.hip, side)
        };
        let mut line = self.line(|push, at, direction| match push.on {
            On::Foot | On::Knee => along.dot(&(at - hip(push.side)).cross(&direction)) / MM_PER_M,
            On::Hand | On::Pelvis => 0.0,
        });
        line.weight = [1.0, -1.0].into_iter().fold(Point::zeros(), |sum, side| {
            sum + weigh(along, hip(side), &|part, on| {
                on == side && Joint::Hip.carries(part)
            })
        });
        (line.low, line.high) = (-limits.hips, limits.hips);
        line.gives = Some((Gives::HipsSideways, Gives::HipsSideways));
        self.lines.push(line);
        for (number, sum) in sums.into_iter().enumerate() {
            let mut line = self.line(|push, _, _| {
                let counts = push.sums.iter().find(|(at, _)| *at == number);
                counts.map_or(0.0, |(_, share)| *share)
            });
            line.friction.fill(0.0);
            (line.low, line.high, line.gives) = (sum.low, sum.high, sum.gives);
            self.lines.push(line);
        }
        for number in 0..squeezes {
            let mut line = self.line(|push, _, direction| {
                if push.squeezes == Some(number) {
                    direction.y
                } else {
                    0.0
                }
            });
            line.weight = Point::new(0.0, -mass * STANDARD_GRAVITY, 0.0);
            (line.low, line.high) = (f64::NEG_INFINITY, 0.0);
            self.lines.push(line);
        }
    }

    /// A row whose coefficients are linear in a push's direction.
    fn line(&self, share: impl Fn(&Push, Point, Point) -> f64) -> Line {
        let of = |direction: fn(&Push) -> Point| {
            let one = |push: &Push| share(push, push.at, direction(push));
            self.pushes.iter().map(one).collect::<Vec<f64>>()
        };
        Line {
            pushes: of(|push| push.direction),
            friction: of(|push| push.friction.map_or(Point::zeros(), |(_, part)| part)),
            weight: Point::zeros(),
            low: 0.0,
            high: 0.0,
            gives: None,
        }
    }

    /// The program whose unknowns are the pushes and the components μ of f = base + Σ μₖ·directionₖ; `ranges` are theirs.
    fn stated<const K: usize>(
        &self,
        base: [f64; 3],
        directions: [[f64; 3]; K],
        ranges: [Range; K],
    ) -> Program {
        let point = |f: [f64; 3]| Point::new(f[0], f[1], f[2]);
        let rows: Vec<(Vec<f64>, Range)> = self
            .lines
            .iter()
            .map(|line| {
                let mut row = line.pushes.clone();
                row.extend(directions.map(|d| line.weight.dot(&point(d))));
                let own = line.weight.dot(&point(base));
                (row, Range::between(line.low - own, line.high - own))
            })
            .collect();
        let mut unknowns: Vec<Range> = self
            .pushes
            .iter()
            .map(|push| Range::between(push.low, push.high))
            .collect();
        unknowns.extend(ranges);
        Program::new(&unknowns, &rows)
    }

    /// An objective that counts only what comes after the pushes.
    fn objective<const K: usize>(&self, of: [f64; K]) -> Vec<f64> {
        let mut objective = vec![0.0; self.pushes.len()];
        objective.extend(of);
        objective
    }

    /// Largest λ for which start + λ·direction is held, and what gives there; an error where the start is not held.
    pub fn farthest(&self, start: [f64; 3], direction: [f64; 3]) -> Result<(f64, Gives), NotHeld> {
        let mut program = self.stated(start, [direction], [Range::at_least(0.0)]);
        let not = |what: &str| NotHeld {
            because: format!(
                "{what} under ({:.2}, {:.2}, {:.2}) g",
                start[0], start[1], start[2]
            ),
        };
        let nearest = optimal(program.solve(&self.objective([-1.0])));
        if nearest.is_none_or(|nearest| -nearest.objective > START_SLACK) {
            return Err(not("nothing balances the rider"));
        }
        let optimum = optimal(program.resolve(&self.objective([1.0])))
            .ok_or_else(|| not("the hold could not be computed"))?;
        Ok((optimum.objective, self.gives_first(optimum)))
    }

    /// The corners (u, v) of what is held in the plane of two directions, counter-clockwise, each with what gives on its
    /// edge; `ranges` say how far u and v count.
    pub fn traced(&self, plane: [[f64; 3]; 2], ranges: [Range; 2]) -> Vec<(f64, f64, String)> {
        let mut program = self.stated([0.0; 3], plane, ranges);
        let n = self.pushes.len();
        let traced = polygon(&mut program, n, n + 1);
        traced
            .vertices
            .iter()
            .map(|vertex| {
                let gives = self.gives_first(program.resolve(&self.objective(vertex.normal)));
                (vertex.u, vertex.v, gives.words())
            })
            .collect()
    }

    /// What can push sideways.
    pub fn carriers(&self) -> Vec<&'static str> {
        let mut found: Vec<&'static str> = Vec::new();
        for push in &self.pushes {
            let sideways = push.squeezes.is_some() && push.direction.y > 0.0;
            if sideways && !found.contains(&push.carrier) {
                found.push(push.carrier);
            }
        }
        found
    }

    /// Contact forces that hold f; `None` where nothing does.
    pub fn witness(&self, f: [f64; 3]) -> Option<Vec<(&'static str, Point, Point)>> {
        let mut program = self.stated::<0>(f, [], []);
        let found = optimal(program.solve(&self.objective([])))?;
        let forces = self.pushes.iter().zip(&found.x);
        Some(
            forces
                .map(|(push, x)| (push.carrier, push.at, push.direction * *x))
                .collect(),
        )
    }

    /// The limit that decides an optimum: the one whose growth by its own size gains most (see [`super::super::Statics`]).
    fn gives_first(&self, optimum: &Solution) -> Gives {
        let mut first = (DUAL_ROUNDING, None);
        let mut weigh = |size: f64, gives: Gives| {
            if size.abs() > first.0 {
                first = (size.abs(), Some(gives));
            }
        };
        for (line, &dual) in self.lines.iter().zip(&optimum.row_duals) {
            let Some(gives) = line.gives else { continue };
            if dual > 0.0 {
                weigh(dual * line.high, gives.1);
            } else if dual < 0.0 {
                weigh(dual * line.low, gives.0);
            }
        }
        let mut unloads = (0.0, Gives::Unloads("boots"));
        for (push, &dual) in self.pushes.iter().zip(&optimum.reduced_costs) {
            if dual > 0.0 && push.high.is_finite() {
                weigh(dual * push.high, push.gives.1);
            } else if dual < 0.0 && push.low < 0.0 {
                weigh(dual * push.low, push.gives.0);
            } else if dual < unloads.0 && push.gives.0.is_one_sided() {
                unloads = (dual, push.gives.0);
            }
        }
        // dλ/d(ln μ): what the rows would gain from every tangent grown by its own size.
        for &pair in &self.pairs {
            let mut gain = 0.0;
            for (j, (push, x)) in self.pushes.iter().zip(&optimum.x).enumerate() {
                if push.friction.is_some_and(|(own, _)| own == pair) && *x > 0.0 {
                    let rows = self.lines.iter().zip(&optimum.row_duals);
                    gain -= x * rows
                        .map(|(line, dual)| dual * line.friction[j])
                        .sum::<f64>();
                }
            }
            weigh(gain.max(0.0), Gives::Friction(pair));
        }
        first.1.unwrap_or(unloads.1)
    }
}

impl Line {
    fn sum(low: f64, high: f64, gives: (Gives, Gives)) -> Self {
        Self {
            pushes: Vec::new(),
            friction: Vec::new(),
            weight: Point::zeros(),
            low,
            high,
            gives: Some(gives),
        }
    }
}

/// An axis of a left limb as that of the right one: moments are mirrored the other way round than forces.
fn turned(axis: Point, side: f64) -> Point {
    Point::new(axis.x * side, axis.y, axis.z * side)
}

/// Bounds a contact's normal force, `share` of it, and returns how its cone's edges count in that sum.
fn bound(
    sums: &mut Vec<Line>,
    contact: &Contact,
    name: &'static str,
    share: f64,
) -> Vec<(usize, f64)> {
    if !contact.high.is_finite() {
        return Vec::new();
    }
    sums.push(Line::sum(
        share * contact.low,
        share * contact.high,
        (Gives::Unloads(contact.name), Gives::Assumed(name)),
    ));
    vec![(sums.len() - 1, 1.0)]
}
