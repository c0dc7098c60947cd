//! The posture that suits a stance best on given settings: constrained least squares over the free variables.
//!
//! Several descents (see [`super::descent`]), since the problem is not convex; the best end wins, ties to the first.

use super::cost::{GAP_SCALE, LimitKind, TERM_NAMES, gaps, limits, residuals};
use super::definition::Stance;
use super::descent::{KEPT, STEP_END, STEP_END_ROUGHLY};
use super::kinematics::{Free, Place, span2};
use super::pose::{Limit, LimitUnit, Pose, Posture, Status, Term};
use crate::rider::Rider;
use crate::sled::Cockpit;
use crate::units::{Angle, STANDARD_GRAVITY};

/// Steps allowed from one start. Most starts need six to ten.
const STEPS: usize = 40;

/// Steps allowed on top to the best end that has not arrived.
const STEPS_FURTHER: usize = 100;

/// Cost from which a posture is so cramped that it may lie in a corner from which a better one is not seen; our choice,
/// above what fitted riders pay.
const CRAMPED: f64 = 16.0;

/// A limit this near (same units) counts as touched.
const TOUCHED: f64 = 1e-3;

/// Share of the rider's weight on the seat before the working load is known; our choice, between the 60 and 75 % of
/// common practice.
pub const SEAT_SHARE_AT_FIRST: f64 = 0.70;

/// What a posture is solved for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Aim {
    /// Least cost.
    Comfort,
    /// The hips as low as the limits allow, otherwise as comfortable as can be.
    Sink,
    /// The same, but only as far as it counts: any posture will do whose hips are as low as this z, mm.
    SinkTo(f64),
    /// Least cost with the hips no higher than this z, mm.
    HipsAtMost(f64),
    /// Least cost with the hips at this x and z to [`HIPS_AT`], mm; standing stances alone.
    HipsAt(f64, f64),
}

/// How near the hips must come to where they are aimed at, mm: what a hand's breadth on a drawing cannot show.
pub const HIPS_AT: f64 = 1.0;

/// A solved posture in the solver's own terms: enough to start a neighbour from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Settled {
    pub(super) free: Free<f64>,
    /// Posture cost, without the aim's own term.
    pub cost: f64,
    /// Largest broken limit (degrees, or units of 5 mm); 0 where all are kept.
    pub broken: f64,
}

impl Settled {
    /// The values of the free variables.
    pub fn free(&self) -> Free<f64> {
        self.free
    }

    /// Its free variables moved by as much as another's moved: where a neighbour may start.
    pub fn shifted(&self, from: &Self, to: &Self) -> Self {
        let moved = |own: f64, from: f64, to: f64| own + to - from;
        let (own, a, b) = (&self.free, &from.free, &to.free);
        Self {
            free: Free {
                hip_x: moved(own.hip_x, a.hip_x, b.hip_x),
                hip_z_or_slide: moved(own.hip_z_or_slide, a.hip_z_or_slide, b.hip_z_or_slide),
                lean: moved(own.lean, a.lean, b.lean),
                swing: moved(own.swing, a.swing, b.swing),
                heel: moved(own.heel, a.heel, b.heel),
                splay: moved(own.splay, a.splay, b.splay),
            },
            ..*self
        }
    }

    /// Whether every hard limit is kept.
    pub fn feasible(&self) -> bool {
        self.broken <= KEPT
    }
}

/// One stance of one rider on one cockpit, ready to be solved.
#[derive(Clone, Copy, Debug)]
pub struct Problem<'a> {
    pub(super) place: Place<'a>,
}

impl<'a> Problem<'a> {
    /// Sets the problem up; `seat_share` is the share of the riding weight on the seat, used when seated.
    pub fn new(
        rider: &'a Rider,
        cockpit: &'a Cockpit<'a>,
        stance: &'a Stance,
        seat_share: f64,
    ) -> Self {
        let sink = if stance.contacts.seated {
            cockpit
                .foam
                .deflection(seat_share * rider.mass() * STANDARD_GRAVITY)
        } else {
            0.0
        };
        Self {
            place: Place {
                rider,
                cockpit,
                stance,
                sink,
                slide: 0.0,
            },
        }
    }

    /// Solves from several starts that suit the feet, seated the hands too; where none keeps the limits with ease, from
    /// others that suit the hands, and standing from a crouch behind them. Of 3880 drawn postures that 12 random starts each
    /// found within the limits this missed three, and ended dearer in six (`tests/posture.rs`). Out of reach, the posture is
    /// a near one, not surely the nearest.
    pub fn solve(&self, aim: Aim) -> Settled {
        self.solve_until(aim, STEP_END)
    }

    /// The same as [`Problem::solve`], ending sooner, for what is only to be ordered. Of 3822 postures within their limits
    /// on nodes of tables, costs of 1 to 35, 97 in a hundred were off by less than 1e-3, the worst by 0.06.
    pub fn solve_roughly(&self, aim: Aim) -> Settled {
        self.solve_until(aim, STEP_END_ROUGHLY)
    }

    fn solve_until(&self, aim: Aim, least: f64) -> Settled {
        let starts = self.starts();
        let nowhere = Settled {
            free: starts[0],
            cost: f64::INFINITY,
            broken: f64::INFINITY,
        };
        let mut best = (nowhere, true);
        let mut ends = Vec::with_capacity(starts.len());
        let mut best_of = |starts: &[Free<f64>]| {
            for &start in starts {
                let end = self.descend_within(start, aim, STEPS, least, &ends);
                if better(&end.0, &best.0) {
                    best = end;
                }
                if end.1 && end.0.feasible() {
                    ends.push(end.0);
                }
            }
            best
        };
        let (mut end, mut arrived) = best_of(&starts);
        if !end.feasible() || end.cost > CRAMPED {
            // The feet led nowhere, or into a corner: start from the hands.
            (end, arrived) = best_of(&self.hands_first());
        }
        if !end.feasible() && !self.place.stance.contacts.seated {
            (end, arrived) = best_of(&self.crouched());
        }
        if end.feasible() && !arrived {
            // A way along a crease is long: the winner goes on from where it stopped.
            let (further, _) = self.descend_within(end.free, aim, STEPS_FURTHER, least, &[]);
            if better(&further, &end) {
                end = further;
            }
        }
        end
    }

    /// Solves from the posture of a neighbouring problem.
    pub fn solve_near(&self, neighbour: &Settled, aim: Aim) -> Settled {
        self.descend(neighbour.free, aim)
    }

    /// The same as [`Problem::solve_near`], ending sooner: the cost is mostly off by less than 1e-4, for what is only to be
    /// ordered.
    pub fn solve_near_roughly(&self, neighbour: &Settled, aim: Aim) -> Settled {
        self.descend_within(neighbour.free, aim, STEPS, STEP_END_ROUGHLY, &[])
            .0
    }

    /// A posture as it is given, unsolved: what it costs and what it breaks.
    pub fn at(&self, free: Free<f64>) -> Settled {
        self.measure(&free, Aim::Comfort).settled(free)
    }

    /// A pose of this problem, or of a neighbour with the same feet, as a start for others.
    pub fn from_pose(&self, pose: &Pose) -> Settled {
        let (p, a) = (&pose.points, &pose.angles);
        let seated = self.place.stance.contacts.seated;
        self.at(Free {
            hip_x: p.hip.x,
            hip_z_or_slide: if seated {
                libm::hypot(p.toe_stop.x - p.toe.x, p.toe_stop.z - p.toe.z)
            } else {
                p.hip.z
            },
            lean: a.trunk.rad(),
            swing: a.elbow_swing.rad(),
            heel: a.heel_lift.rad(),
            splay: a.knee_splay.rad(),
        })
    }

    /// The pose of a solved posture.
    pub fn pose(&self, settled: &Settled) -> Pose {
        self.place.pose(&settled.free)
    }

    /// The whole account of a solved posture.
    pub fn posture(&self, settled: &Settled) -> Posture {
        let chain = self.place.chain(&settled.free);
        let r = residuals(&self.place, &chain, &settled.free);
        let mut touched = Vec::new();
        let mut broken = Vec::new();
        limits(&self.place, &chain, &settled.free, |kind, value| {
            if value.is_nan() || value < -KEPT {
                broken.push(self.broken(kind, value, settled));
            } else if value < TOUCHED && !kind.is_contact() {
                let unit = if kind.is_gap() {
                    LimitUnit::Millimetres
                } else {
                    LimitUnit::Degrees
                };
                touched.push(Limit {
                    name: kind.words(),
                    broken_by: 0.0,
                    unit,
                });
            }
        });
        let mut clearances = Vec::new();
        gaps(&self.place, &chain, |name, gap| {
            clearances.push((name, gap))
        });
        Posture {
            pose: self.place.pose(&settled.free),
            status: match (broken.is_empty(), touched.is_empty()) {
                (false, _) => Status::OutOfReach(broken),
                (true, false) => Status::AtLimit(touched),
                (true, true) => Status::Solved,
            },
            cost: r.iter().map(|x| x * x).sum(),
            terms: TERM_NAMES
                .iter()
                .zip(r)
                .map(|(&name, x)| Term { name, value: x * x })
                .collect(),
            clearances,
        }
    }

    /// A broken limit in people's units: a straight limb that does not reach is told in millimetres.
    fn broken(&self, kind: LimitKind, value: f64, settled: &Settled) -> Limit {
        let links = &self.place.rider.links;
        let p = self.place.pose(&settled.free).points;
        let r = &self.place.stance.ranges;
        let longest = |a: f64, b: f64, least: Angle| span2(a, b, least).sqrt();
        let short = match kind {
            LimitKind::Least("elbow flexion") => Some((
                (p.grip - p.shoulder).norm() - longest(links.upper_arm, links.forearm, r.elbow.low),
                "arms too short",
            )),
            LimitKind::Least("knee flexion") => Some((
                (p.hip - p.ankle).norm() - longest(links.shank, links.thigh, r.knee.low),
                "legs too short",
            )),
            _ => None,
        };
        if let Some((broken_by, name)) = short {
            return Limit {
                name: name.to_owned(),
                broken_by,
                unit: LimitUnit::Millimetres,
            };
        }
        if kind.is_gap() {
            Limit {
                name: kind.words(),
                broken_by: -value * GAP_SCALE,
                unit: LimitUnit::Millimetres,
            }
        } else {
            Limit {
                name: kind.words(),
                broken_by: -value,
                unit: LimitUnit::Degrees,
            }
        }
    }

    /// The posture of the preferred angles, hands aside.
    fn preferred(&self) -> Free<f64> {
        let r = &self.place.stance.ranges;
        let (lean, swing) = (r.trunk.preferred.rad(), r.elbow_swing.preferred.rad());
        let splay = r.knee_splay.preferred.rad();
        let links = &self.place.rider.links;
        let probe = Free {
            hip_x: 0.0,
            hip_z_or_slide: 0.0,
            lean,
            swing,
            heel: 0.0,
            splay,
        };
        let ankle = self.place.chain(&probe).ankle;
        let shank_lean = r.ankle.preferred - self.place.cockpit.sled.board.pitch;
        let thigh_lean = shank_lean - r.knee.preferred;
        let hip_x = ankle.x + links.shank * shank_lean.sin() + links.thigh * thigh_lean.sin();
        let hip_z = ankle.z + links.shank * shank_lean.cos() + links.thigh * thigh_lean.cos();
        let seated = self.place.stance.contacts.seated;
        Free {
            hip_x,
            hip_z_or_slide: if seated { 0.0 } else { hip_z },
            lean,
            swing,
            heel: 0.0,
            splay,
        }
    }

    /// Where the descents start: standing the preferred angles, and hips and lean to both sides of them.
    fn starts(&self) -> [Free<f64>; 3] {
        let middle = self.preferred();
        if self.place.stance.contacts.seated {
            return self.on_seat(&middle);
        }
        let shifted = |dx: f64, dz: f64, lean: f64| Free {
            hip_x: middle.hip_x + dx,
            hip_z_or_slide: middle.hip_z_or_slide + dz,
            lean: middle.lean + Angle::from_deg(lean).rad(),
            ..middle
        };
        [
            middle,
            shifted(-140.0, -50.0, 18.0),
            shifted(110.0, -20.0, -12.0),
        ]
    }

    /// Seated: the hips where the knee is bent as preferred, where the elbow is, and between the two. How high they are is
    /// the seat's to say: two looks at its line are near enough for a start.
    fn on_seat(&self, preferred: &Free<f64>) -> [Free<f64>; 3] {
        let (r, links) = (&self.place.stance.ranges, &self.place.rider.links);
        // How far behind a joint another is that lies so much higher and further out, at the span of a limb that is bent.
        let behind = |a: f64, b: f64, bent: Angle, wide: f64, up: f64| {
            (span2(a, b, bent) - wide * wide - up * up).max(0.0).sqrt()
        };
        let ankle = self.place.chain(preferred).ankle;
        let grip = self.place.cockpit.grip;
        // The shoulder from the hips.
        let (s, c) = libm::sincos(preferred.lean);
        let ahead = links.trunk * s + links.protraction * c;
        let above = links.trunk * c - links.protraction * s;
        let (mut legs, mut hands) = (preferred.hip_x, preferred.hip_x);
        for _ in 0..2 {
            let up = self.place.seated_hip_z(legs).0 - ankle.z;
            let wide = links.hip_half - ankle.y;
            legs = ankle.x - behind(links.shank, links.thigh, r.knee.preferred, wide, up);
            let up = self.place.seated_hip_z(hands).0 + above - grip.z;
            let wide = links.shoulder_half - grip.y;
            let bent = r.elbow.preferred;
            hands = grip.x - behind(links.upper_arm, links.forearm, bent, wide, up) - ahead;
        }
        [(legs + hands) / 2.0, legs, hands].map(|hip_x| Free {
            hip_x,
            ..*preferred
        })
    }

    /// Starts that suit the arms: the shoulder behind the grip by the preferred elbow, at several heights and leans.
    fn hands_first(&self) -> [Free<f64>; 6] {
        let middle = self.preferred();
        let (r, links) = (&self.place.stance.ranges, &self.place.rider.links);
        let wide = self.place.cockpit.grip.y - links.shoulder_half;
        let arm2 = span2(links.upper_arm, links.forearm, r.elbow.preferred);
        let reach = (arm2 - wide * wide).max(0.0).sqrt();
        let grip = self.place.cockpit.grip;
        let slide = 0.5 * self.place.stance.contacts.foot_slide_max;
        [
            (25.0, 0.0),
            (60.0, 0.0),
            (25.0, 20.0),
            (60.0, -15.0),
            (5.0, 40.0),
            (75.0, 20.0),
        ]
        .map(|(up, lean)| {
            let (up, lean) = (
                Angle::from_deg(up),
                r.trunk.preferred + Angle::from_deg(lean),
            );
            let lean = lean.clamped(r.trunk.low, r.trunk.high);
            let shoulder_x = grip.x - reach * up.cos() - links.protraction * lean.cos();
            let shoulder_z = grip.z + reach * up.sin() + links.protraction * lean.sin();
            Free {
                hip_x: shoulder_x - links.trunk * lean.sin(),
                hip_z_or_slide: if self.place.stance.contacts.seated {
                    slide
                } else {
                    shoulder_z - links.trunk * lean.cos()
                },
                lean: lean.rad(),
                ..middle
            }
        })
    }

    /// Starts of a stand behind grips that are close to the body: hips back and low, trunk as upright and elbows as far
    /// out as may be. How far is our choice.
    fn crouched(&self) -> [Free<f64>; 2] {
        let middle = self.preferred();
        let ranges = &self.place.stance.ranges;
        [(-100.0, -100.0), (-250.0, -250.0)].map(|(back, down)| Free {
            hip_x: middle.hip_x + back,
            hip_z_or_slide: middle.hip_z_or_slide + down,
            lean: ranges.trunk.low.rad(),
            swing: ranges.elbow_swing.high.rad(),
            ..middle
        })
    }

    fn descend(&self, start: Free<f64>, aim: Aim) -> Settled {
        self.descend_within(start, aim, STEPS, STEP_END, &[]).0
    }
}

/// A feasible end beats an infeasible one; then the less broken; then the cheaper.
fn better(a: &Settled, b: &Settled) -> bool {
    match (a.feasible(), b.feasible()) {
        (true, true) => a.cost < b.cost - 1e-9,
        (false, false) => a.broken < b.broken - 1e-6,
        (feasible, _) => feasible,
    }
}

#[cfg(test)]
mod tests {
    use super::super::scalar::VARIABLES;
    use super::super::step::{seeded, stepped};
    use super::*;
    use crate::rider::{RiderProfile, Sex};
    use crate::sled::{Settings, Sled, SledProfile};

    fn sled() -> Sled {
        let text = crate::sled::profile::SHIPPED[0].text;
        SledProfile::read(text)
            .expect("shipped")
            .resolve()
            .expect("checked")
    }

    fn settings() -> Settings {
        Settings {
            riser: 2,
            clamp: 0,
            bar: 0,
            seat: 0,
            stirrup: -80.0,
            riser_angle: Angle::from_deg(12.0),
            bar_roll: Angle::ZERO,
        }
    }

    #[test]
    fn the_jacobian_is_that_of_finite_differences() {
        let rider = RiderProfile::of(Sex::Male, 1780.0, 80.0)
            .build()
            .expect("built")
            .rider;
        let sled = sled();
        let cockpit = Cockpit::new(&sled, settings());
        let at = Free {
            hip_x: -160.0,
            hip_z_or_slide: 830.0,
            lean: 0.4,
            swing: 0.6,
            heel: 0.1,
            splay: 0.2,
        };
        let seated = Free {
            hip_z_or_slide: 30.0,
            hip_x: -402.0,
            heel: 0.0,
            ..at
        };
        for stance in Stance::shipped().expect("shipped") {
            let at = if stance.contacts.seated { seated } else { at };
            let problem = Problem::new(&rider, &cockpit, &stance, 0.7);
            let free = seeded(&at, &[false; VARIABLES]);
            let chain = problem.place.chain(&free);
            let exact = residuals(&problem.place, &chain, &free);
            let gathered = |f: &Free<f64>| {
                let chain = problem.place.chain(f);
                let mut all = residuals(&problem.place, &chain, f).to_vec();
                limits(&problem.place, &chain, f, |_, value| all.push(value));
                all
            };
            let mut slopes: Vec<[f64; VARIABLES]> = exact.iter().map(|e| e.d).collect();
            limits(&problem.place, &chain, &free, |_, value| {
                slopes.push(value.d)
            });
            for i in 0..VARIABLES {
                let mut up = [0.0; VARIABLES];
                up[i] = 1e-6;
                let (a, b) = (
                    gathered(&stepped(&at, &up, 1.0)),
                    gathered(&stepped(&at, &up, -1.0)),
                );
                for (row, slope) in slopes.iter().enumerate() {
                    let measured = (a[row] - b[row]) / 2e-6;
                    let close = (measured - slope[i]).abs() < 1e-4 * (1.0 + slope[i].abs());
                    assert!(
                        close,
                        "{} row {row} by {i}: {measured} against {}",
                        stance.name, slope[i]
                    );
                }
            }
        }
    }

    #[test]
    fn what_neighbours_lead_to_is_found_from_scratch() {
        let rider = RiderProfile::of(Sex::Male, 1850.0, 85.0)
            .build()
            .expect("built")
            .rider;
        for stance in Stance::shipped().expect("shipped") {
            if stance.contacts.seated {
                continue;
            }
            // The grips come towards the body until nothing but a crouch behind them keeps the limits, and on.
            let mut sled = sled();
            let mut led: Option<Settled> = None;
            let mut crouched = 0;
            for _ in 0..80 {
                sled.steering.base_x -= 10.0;
                let cockpit = Cockpit::new(&sled, settings());
                let problem = Problem::new(&rider, &cockpit, &stance, 0.7);
                let scratch = problem.solve(Aim::Comfort);
                let near = led.map_or(scratch, |led| problem.solve_near(&led, Aim::Comfort));
                if !near.feasible() {
                    break;
                }
                let x = sled.steering.base_x;
                assert!(
                    scratch.feasible(),
                    "{} at {x}: out by {}",
                    stance.name,
                    scratch.broken
                );
                crouched += usize::from(near.cost > 4.0 * CRAMPED);
                led = Some(near);
            }
            assert!(crouched > 0, "{}", stance.name);
        }
    }

    #[test]
    fn links_keep_their_lengths() {
        let rider = RiderProfile::of(Sex::Female, 1650.0, 62.0)
            .build()
            .expect("built")
            .rider;
        let sled = sled();
        let cockpit = Cockpit::new(&sled, settings());
        for stance in Stance::shipped().expect("shipped") {
            let problem = Problem::new(&rider, &cockpit, &stance, 0.7);
            let posture = problem.posture(&problem.solve(Aim::Comfort));
            let p = posture.pose.points;
            let l = &rider.links;
            for (a, b, length) in [
                (p.ankle, p.knee, l.shank),
                (p.knee, p.hip, l.thigh),
                (p.shoulder, p.elbow, l.upper_arm),
                (p.elbow, p.grip, l.forearm),
            ] {
                assert!(
                    ((a - b).norm() - length).abs() < 1e-6,
                    "{}: {a:?} to {b:?}",
                    stance.name
                );
            }
        }
    }
}
