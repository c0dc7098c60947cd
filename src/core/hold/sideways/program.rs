//! The rows of both sides: contact forces first, then how far the specific force goes along given directions.
//!
//! A right limb's moments are those of its mirror image on the left under the mirrored force, so that flexion is positive
//! on both sides and one set of frames serves.

use super::super::Options;
use super::super::contacts::{
    self, AssumedLimit, BOOT_ON_BOARD, CLOTHES_ON_SEAT, GripRow, HOOP, LIFTED_HEEL, SEAT, TOE_STOP,
};
use super::super::joints::{Joint, Limits, trunk_axis};
use super::super::outcome::{Contact, NotHeld};
use super::super::rows::{Stated, optimal};
use super::super::statics::{Gives, Sum, segment_com};
use super::body::{Body, KNEE_NEAR, Limbs};
use super::{SIDE_JOINTS, SideLimits};
use crate::program::linear::{Range, Solution};
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

/// A push of size 0 and more (a hand's of either sign) along a direction.
#[derive(Clone, Debug)]
struct Push {
    carrier: &'static str,
    on: On,
    /// +1 left, −1 right; +1 for the pelvis.
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
}

/// What each body part pushes with sideways, as it is held to what the corner asks.
const CARRIERS: [(On, f64); 4] = [
    (On::Foot, 1.0),
    (On::Foot, -1.0),
    (On::Pelvis, 1.0),
    (On::Knee, 1.0),
];

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

/// A segment on its side; those of the middle count to the left.
struct Weight {
    part: Part,
    side: f64,
    mass: f64,
    at: Point,
}

/// One pose thrown to its right: contacts push it to the left.
#[derive(Clone, Debug, Default)]
pub(super) struct Rows {
    pushes: Vec<Push>,
    lines: Vec<Line>,
    /// Bounded sums of pushes.
    sums: Vec<Sum>,
}

fn mirrored(v: Point, side: f64) -> Point {
    Point::new(v.x, v.y * side, v.z)
}

impl Push {
    /// Inward, frictionless and without end.
    fn at(carrier: &'static str, on: On, side: f64, at: Point) -> Self {
        let unloads = Gives::Unloads(match on {
            On::Foot | On::Hand => "boots",
            On::Knee => "knee",
            On::Pelvis => SEAT.name,
        });
        Self {
            carrier,
            on,
            side,
            at,
            direction: Point::new(0.0, 1.0, 0.0),
            friction: None,
            low: 0.0,
            high: f64::INFINITY,
            gives: (unloads, unloads),
            sums: Vec::new(),
        }
    }
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
        let mut rows = Self::default();
        let grip = |limbs: &Limbs| {
            contacts::grip_rows(
                limbs.points.grip - limbs.points.shoulder,
                cockpit.grip_axis,
                limits.pull_off,
                options.assumed.push_on_bar,
                options.friction,
            )
        };
        // Boots and seat are where they are, however the body leans.
        let found = contacts::contacts(
            cockpit,
            pose,
            &grip(&body.left),
            rider.links.boot_instep_height,
            options,
        );
        for (side, limbs) in body.sides() {
            for contact in &found {
                rows.add_foot(contact, side);
            }
            rows.add_hand(&grip(limbs), limbs.points.grip, side);
        }
        rows.add_rail(cockpit, body.right.points.ball, options);
        if let Some(seat) = found.iter().find(|contact| contact.name == SEAT.name) {
            rows.add_seat(cockpit, seat, body.shift);
        }
        rows.add_knee(rider, cockpit, body.left.points.knee);
        rows.state(rider, body, side);
        rows
    }

    /// One boot's share of a contact that both have.
    fn add_foot(&mut self, contact: &Contact, side: f64) {
        let push = |carrier| Push::at(carrier, On::Foot, side, mirrored(contact.point, side));
        match contact.name {
            "ball" => self.add_cone(push("boot"), contact, BOOT_ON_BOARD.pair),
            "heel" => {
                let sums = self.bound(contact, LIFTED_HEEL, 0.5);
                let push = Push {
                    sums,
                    ..push("boot")
                };
                self.add_cone(push, contact, BOOT_ON_BOARD.pair);
            }
            "toe_stop" => self.add_stop(push(TOE_STOP.name), contact),
            "hoop" => self.add_stop(push(HOOP.name), contact),
            _ => {}
        }
    }

    /// A surface: its cone's edges fore and aft, and the one to the inside of the corner.
    fn add_cone(&mut self, push: Push, contact: &Contact, pair: &'static str) {
        let n = contact.normal;
        let along = Point::new(n.z, 0.0, -n.x) * contact.friction;
        let inside = Point::new(0.0, contact.friction, 0.0);
        for tangent in [along, -along, inside] {
            self.pushes.push(Push {
                direction: n + tangent,
                friction: Some((pair, tangent)),
                ..push.clone()
            });
        }
    }

    /// A frictionless stop of one boot, named by its assumed limit.
    fn add_stop(&mut self, push: Push, contact: &Contact) {
        if contact.high > 0.0 {
            self.pushes.push(Push {
                direction: mirrored(contact.normal, push.side),
                high: contact.high / 2.0,
                gives: (push.gives.0, Gives::Assumed(push.carrier)),
                ..push
            });
        }
    }

    /// The edge protector against the outer boot, where there is one beside it: that boot alone is thrown against it.
    fn add_rail(&mut self, cockpit: &Cockpit, ball: Point, options: &Options) {
        let rail = cockpit.sled.stirrup.edge_protector;
        if rail.is_some_and(|(rear, front)| (rear..=front).contains(&ball.x)) {
            let push = Push::at(EDGE_PROTECTOR.name, On::Foot, -1.0, mirrored(ball, -1.0));
            self.pushes.push(Push {
                high: EDGE_PROTECTOR.range[options.friction as usize],
                gives: (push.gives.0, Gives::Assumed(EDGE_PROTECTOR.name)),
                ..push
            });
        }
    }

    fn add_hand(&mut self, grip: &[GripRow; 5], at: Point, side: f64) {
        let [out, rising, across, falling, along] = grip;
        let first = self.sums.len();
        self.sums.extend([rising, falling].map(|row| Sum {
            bounds: (row.low / 2.0, row.high / 2.0),
            gives: row.gives,
        }));
        for row in [out, across, along] {
            self.pushes.push(Push {
                direction: mirrored(row.normal, side),
                low: row.low / 2.0,
                high: row.high / 2.0,
                gives: row.gives,
                sums: vec![
                    (first, rising.normal.dot(&row.normal)),
                    (first + 1, falling.normal.dot(&row.normal)),
                ],
                ..Push::at("grip", On::Hand, side, mirrored(at, side))
            });
        }
    }

    /// The seat under both seat bones, or as far out as it reaches.
    fn add_seat(&mut self, cockpit: &Cockpit, seat: &Contact, shift: f64) {
        let edge = cockpit.sled.seat_line.half_width(seat.point.x);
        let sums = self.bound(seat, SEAT.name, 1.0);
        for bone in [SEAT_BONES, -SEAT_BONES] {
            let y = (shift + bone).clamp(-edge, edge);
            let at = Point::new(seat.point.x, y, seat.point.z);
            let push = Push {
                sums: sums.clone(),
                ..Push::at(seat.name, On::Pelvis, 1.0, at)
            };
            self.add_cone(push, seat, CLOTHES_ON_SEAT.pair);
        }
    }

    /// Bounds a contact's normal force, `share` of it, and returns how its cone's edges count in that sum.
    fn bound(&mut self, contact: &Contact, name: &'static str, share: f64) -> Vec<(usize, f64)> {
        if !contact.high.is_finite() {
            return Vec::new();
        }
        self.sums.push(Sum {
            bounds: (share * contact.low, share * contact.high),
            gives: (Gives::Unloads(contact.name), Gives::Assumed(name)),
        });
        vec![(self.sums.len() - 1, 1.0)]
    }

    /// The inner knee against the sled's side, where it is near it.
    fn add_knee(&mut self, rider: &Rider, cockpit: &Cockpit, knee: Point) {
        let outline = &cockpit.sled.outline;
        let (height, _) = outline.height(knee.x);
        let (first, last) = outline.ends();
        let beside = knee.z < height && knee.x > first && knee.x < last;
        let wall = outline.half_width(knee.x);
        let gap = knee.y - rider.links.knee_radius - wall;
        if beside && gap <= KNEE_NEAR {
            let at = Point::new(knee.x, wall, knee.z);
            self.pushes.push(Push::at("knee", On::Knee, 1.0, at));
        }
    }

    /// Writes balance, joints, trunk, hips, sums and what may not be squeezed as rows.
    fn state(&mut self, rider: &Rider, body: &Body, limits: SideLimits) {
        let sides = body.sides();
        let trunk = rider.links.trunk;
        // Every segment on its side, in world coordinates.
        let mut weights: Vec<Weight> = Vec::new();
        for segment in &rider.segments {
            for (side, limbs) in sides.iter().take(usize::from(segment.count == 2) + 1) {
                let mut at = segment_com(segment, &limbs.points, trunk);
                if segment.count == 1 {
                    at.y = body.shift;
                }
                weights.push(Weight {
                    part: segment.part,
                    side: *side,
                    mass: segment.mass,
                    at: mirrored(at, *side),
                });
            }
        }
        let mass: f64 = weights.iter().map(|w| w.mass).sum();
        let com = weights
            .iter()
            .fold(Point::zeros(), |sum, w| sum + w.at * w.mass)
            / mass;
        let axes = [
            Point::new(1.0, 0.0, 0.0),
            Point::new(0.0, 1.0, 0.0),
            Point::new(0.0, 0.0, 1.0),
        ];
        for axis in axes {
            let mut line = self.line(|_, direction| axis.dot(&direction));
            line.weight = -axis * (mass * STANDARD_GRAVITY);
            self.lines.push(line);
        }
        for axis in axes {
            let line = self
                .line(|push, direction| axis.dot(&(push.at - com).cross(&direction)) / MM_PER_M);
            self.lines.push(line);
        }
        let weigh = |axis: Point, centre: Point, carried: &dyn Fn(Part, f64) -> bool| {
            weights
                .iter()
                .filter(|w| carried(w.part, w.side))
                .fold(Point::zeros(), |sum, w| {
                    // axis · (arm × (−m g f)) = −m g (axis × arm) · f
                    sum - axis.cross(&(w.at - centre)) * (w.mass * STANDARD_GRAVITY / MM_PER_M)
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
                let mut line = self.line(|push, direction| {
                    if carries(push) {
                        axis.dot(&(push.at - centre).cross(&direction)) / MM_PER_M
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
            let mut line = self.line(|push, direction| {
                if push.on == On::Hand {
                    axis.dot(&(push.at - centre).cross(&direction)) / MM_PER_M
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
        let hips = sides.map(|(side, limbs)| (side, mirrored(limbs.points.hip, side)));
        let [(_, left_hip), (_, right_hip)] = hips;
        let mut line = self.line(|push, direction| match push.on {
            On::Foot | On::Knee => {
                let hip = if push.side > 0.0 { left_hip } else { right_hip };
                along.dot(&(push.at - hip).cross(&direction)) / MM_PER_M
            }
            On::Hand | On::Pelvis => 0.0,
        });
        line.weight = hips.iter().fold(Point::zeros(), |sum, &(side, hip)| {
            sum + weigh(along, hip, &|part, on| {
                on == side && Joint::Hip.carries(part)
            })
        });
        (line.low, line.high) = (-limits.hips, limits.hips);
        line.gives = Some((Gives::HipsSideways, Gives::HipsSideways));
        self.lines.push(line);
        for (number, sum) in self.sums.iter().enumerate() {
            let counts = |push: &Push| {
                let own = push.sums.iter().find(|(at, _)| *at == number);
                own.map_or(0.0, |(_, share)| *share)
            };
            self.lines.push(Line {
                pushes: self.pushes.iter().map(counts).collect(),
                friction: vec![0.0; self.pushes.len()],
                weight: Point::zeros(),
                low: sum.bounds.0,
                high: sum.bounds.1,
                gives: Some(sum.gives),
            });
        }
        // Nobody squeezes: none pushes sideways by more than the corner asks.
        for carrier in CARRIERS {
            if self
                .pushes
                .iter()
                .all(|push| (push.on, push.side) != carrier)
            {
                continue;
            }
            let mut line = self.line(|push, direction| {
                if (push.on, push.side) == carrier {
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
    fn line(&self, share: impl Fn(&Push, Point) -> f64) -> Line {
        let of = |direction: fn(&Push) -> Point| {
            let one = |push: &Push| share(push, direction(push));
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
    pub fn stated<const K: usize>(
        &self,
        base: [f64; 3],
        directions: [[f64; 3]; K],
        ranges: [Range; K],
    ) -> Stated<Vec<f64>> {
        let point = |f: [f64; 3]| Point::new(f[0], f[1], f[2]);
        let rows = self
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
        Stated { unknowns, rows }
    }

    /// An objective that counts only what comes after the pushes.
    fn objective<const K: usize>(&self, of: [f64; K]) -> Vec<f64> {
        let mut objective = vec![0.0; self.pushes.len()];
        objective.extend(of);
        objective
    }

    /// Largest λ for which start + λ·direction is held, and what gives there; an error where the start is not held.
    pub fn farthest(&self, start: [f64; 3], direction: [f64; 3]) -> Result<(f64, Gives), NotHeld> {
        let stated = self.stated(start, [direction], [Range::at_least(0.0)]);
        let mut program = stated.program();
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
        let mut program = self.stated([0.0; 3], plane, ranges).program();
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
            let sideways = push.on != On::Hand && push.direction.y > 0.0;
            if sideways && !found.contains(&push.carrier) {
                found.push(push.carrier);
            }
        }
        found
    }

    /// Contact forces that hold f; `None` where nothing does.
    pub fn witness(&self, f: [f64; 3]) -> Option<Vec<(&'static str, Point, Point)>> {
        let mut program = self.stated::<0>(f, [], []).program();
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
        for pair in [BOOT_ON_BOARD.pair, CLOTHES_ON_SEAT.pair] {
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

/// An axis of a left limb as that of the right one: moments are mirrored the other way round than forces.
fn turned(axis: Point, side: f64) -> Point {
    Point::new(axis.x * side, axis.y, axis.z * side)
}
