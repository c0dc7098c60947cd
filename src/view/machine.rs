//! The sled as a quiet drawing: board with stirrup positions, seat with its sink, cockpit, riser, bar, levers.
//!
//! What a mechanic measures is drawn where it was measured. What nobody measures (nose, belly, track, ski, snow) is
//! filled in from those points with sizes of our own choice; it follows no real sled and nothing is computed from it.

use super::path::{
    Xy, bend, capsule, circle, contour, corner, far, flat, line, polygon, stroke, xy,
};
use super::{Disc, Shape};
use crate::fit::Levers;
use crate::sled::{Cockpit, Shape as TopLine};
use crate::units::{Angle, Point};

/// Snow surface below the board's origin, mm. Our choice.
const SNOW_DEPTH: f64 = 330.0;
/// Nose ahead of the foremost known point, mm. Our choice.
const NOSE_AHEAD: f64 = 430.0;
/// Thickness of the board's edge, mm. Our choice.
const BOARD_EDGE: f64 = 30.0;
/// Half-length of the dip that a sitting rider makes, mm. Our choice.
const DIP_HALF: f64 = 260.0;

/// Where the levers stand; from a fit, or the middle of what the sled allows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LeverView {
    /// Brake: from horizontal forward, positive downward.
    pub brake_roll: Angle,
    /// Brake: grip surface to blade, mm.
    pub brake_reach: f64,
    /// Throttle: from horizontal forward, positive downward.
    pub throttle_roll: Angle,
    /// Throttle: grip surface to paddle, mm.
    pub throttle_reach: f64,
}

impl From<&Levers> for LeverView {
    fn from(levers: &Levers) -> Self {
        Self {
            brake_roll: levers.brake.roll,
            brake_reach: levers.brake.lever_reach,
            throttle_roll: levers.throttle.roll,
            throttle_reach: levers.throttle.lever_reach,
        }
    }
}

impl LeverView {
    /// The middle of what the sled allows, for a drawing before the levers were placed.
    pub fn middle(cockpit: &Cockpit) -> Self {
        let (brake, throttle) = (&cockpit.sled.brake, &cockpit.sled.throttle);
        let mid = |(low, high): (f64, f64)| 0.5 * (low + high);
        let mid_angle = |(low, high): (Angle, Angle)| (low + high) * 0.5;
        Self {
            brake_roll: mid_angle(brake.roll),
            brake_reach: mid(brake.reach),
            throttle_roll: mid_angle(throttle.roll),
            throttle_reach: mid(throttle.reach),
        }
    }
}

/// A stirrup position on the board's edge.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PositionMark {
    /// Number, counted from the front, from 1.
    pub number: usize,
    /// Where its bolt is drawn.
    pub at: Xy,
    /// Whether the stirrup stands there.
    pub chosen: bool,
}

/// A drawn sled.
#[derive(Clone, Debug, PartialEq)]
pub struct Machine {
    /// Snow, track and ski, far board edge: behind the rider's far limbs.
    pub back: Vec<Shape>,
    /// Wearer, seat, post, riser, bar: between far and near limbs.
    pub body: Vec<Shape>,
    /// Near board edge with its positions and the hoop: over the near boot.
    pub board: Vec<Shape>,
    /// Guard and levers: under the near hand.
    pub controls: Vec<Shape>,
    /// Stirrup positions from front to rear.
    pub positions: Vec<PositionMark>,
    /// Riser base, bar's centre, near grip.
    pub base: Xy,
    /// Bar's centre in the clamp.
    pub bar_centre: Xy,
    /// Near grip's centre.
    pub grip: Xy,
    /// Brake blade's middle.
    pub blade: Xy,
    /// Throttle paddle's middle, on the far grip.
    pub paddle: Xy,
    /// Stirrup bolt.
    pub bolt: Xy,
    /// Highest point of the fitted seat's top.
    pub seat_top: Xy,
    /// Rear and front end and the height of the snow line.
    pub rear: f64,
    /// Foremost point that is drawn.
    pub front: f64,
    /// Snow line (drawing y).
    pub snow: f64,
    /// Foremost point of what was measured: outline, footwell, base.
    pub cockpit_front: f64,
    /// Bar, levers and guard: labels avoid them.
    pub control_zone: Disc,
}

/// Height of the board's top at x (drawing y).
fn board_y(cockpit: &Cockpit, x: f64) -> f64 {
    -x * cockpit.sled.board.pitch.tan()
}

fn line_y(top: &TopLine, x: f64) -> f64 {
    -top.height(x).0
}

/// Draws a sled with its settings. `sink` is a point of the loaded seat under a sitting rider.
pub fn machine(cockpit: &Cockpit, levers: &LeverView, sink: Option<Point>) -> Machine {
    let sled = cockpit.sled;
    let grip_radius = sled.bars[cockpit.settings.bar].grip_diameter / 2.0;
    let grip = flat(&cockpit.grip);
    let far_grip = far(&cockpit.grip);
    let blade = grip + Xy::at(-levers.brake_roll) * (grip_radius + levers.brake_reach + 5.0);
    let paddle =
        far_grip + Xy::at(-levers.throttle_roll) * (grip_radius + levers.throttle_reach + 4.0);
    let outline = sled.outline.points();
    let last = outline[outline.len() - 1];
    let cockpit_front = last
        .x
        .max(sled.steering.base_x)
        .max(sled.board.footwell_front);
    let nose = cockpit_front + NOSE_AHEAD;
    let tail = sled.board.rear.min(sled.seat_line.points()[0].x) - 90.0;
    let snow = board_y(cockpit, 0.0) + SNOW_DEPTH;

    let mut machine = Machine {
        back: Vec::new(),
        body: Vec::new(),
        board: Vec::new(),
        controls: Vec::new(),
        positions: positions(cockpit),
        base: flat(&cockpit.riser_base()),
        bar_centre: flat(&cockpit.bar_centre),
        grip,
        blade,
        paddle,
        bolt: xy(
            cockpit.settings.stirrup,
            board_y(cockpit, cockpit.settings.stirrup),
        ),
        seat_top: seat_top(cockpit),
        rear: tail - 120.0,
        front: nose + 190.0,
        snow,
        cockpit_front,
        control_zone: Disc {
            centre: grip.towards(blade, 0.5),
            radius: 0.5 * (blade - grip).length() + 40.0,
        },
    };
    running_gear(cockpit, &mut machine, nose, tail);
    hull(cockpit, &mut machine, nose, tail);
    seat(cockpit, &mut machine, sink);
    steering(cockpit, &mut machine, far_grip, grip_radius);
    board(cockpit, &mut machine);
    controls(cockpit, &mut machine, grip_radius);
    machine
}

fn positions(cockpit: &Cockpit) -> Vec<PositionMark> {
    let all = &cockpit.sled.stirrup.positions;
    let chosen = nearest(all, cockpit.settings.stirrup);
    all.iter()
        .enumerate()
        .map(|(i, &x)| PositionMark {
            number: i + 1,
            at: xy(x, board_y(cockpit, x) + 0.5 * BOARD_EDGE),
            chosen: Some(i) == chosen,
        })
        .collect()
}

/// Index of the value nearest to `x`, the first of equals; `None` without values.
pub(super) fn nearest(values: &[f64], x: f64) -> Option<usize> {
    (0..values.len()).min_by(|&a, &b| (values[a] - x).abs().total_cmp(&(values[b] - x).abs()))
}

fn seat_top(cockpit: &Cockpit) -> Xy {
    let points = cockpit.sled.seat_line.points();
    let middle = 0.5 * (points[0].x + points[points.len() - 1].x);
    xy(
        middle,
        line_y(&cockpit.sled.seat_line, middle) - cockpit.seat_raise,
    )
}

/// Track, rail, ski and its leg.
fn running_gear(cockpit: &Cockpit, m: &mut Machine, nose: f64, tail: f64) {
    let front = cockpit.sled.board.footwell_front;
    let snow = m.snow;
    let under = board_y(cockpit, 0.0) + BOARD_EDGE;
    let drive = xy(front + 40.0, under + 0.36 * SNOW_DEPTH);
    let idler = xy(tail + 60.0, snow - 122.0);
    let loop_path = contour(&[
        bend(drive + xy(0.0, -92.0)),
        bend(drive + xy(88.0, 0.0)),
        bend(drive + xy(40.0, 86.0)),
        bend(xy(front - 190.0, snow - 12.0)),
        bend(xy(front - 330.0, snow)),
        bend(xy(idler.x + 120.0, snow)),
        bend(idler + xy(0.0, 112.0)),
        bend(idler + xy(-112.0, 0.0)),
        bend(idler + xy(0.0, -112.0)),
        bend(xy(0.5 * (idler.x + drive.x), under + 34.0)),
    ]);
    m.back.push(Shape::new("track", loop_path));
    let mut lugs = String::new();
    let mut x = idler.x;
    while x < front - 340.0 {
        lugs.push_str(&line(&[xy(x, snow), xy(x - 10.0, snow - 26.0)]));
        x += 62.0;
    }
    m.back.push(Shape::new("lug", lugs));
    let rail_y = snow - 62.0;
    let rail = stroke(&[
        xy(front - 150.0, snow - 120.0),
        xy(front - 300.0, rail_y),
        xy(0.5 * (idler.x + front), rail_y),
        xy(idler.x, rail_y - 30.0),
    ]);
    m.back.push(Shape::new("rail", rail));
    let wheel = |x: f64, y: f64, r: f64| circle(xy(x, y), r);
    let wheels = [
        wheel(idler.x, idler.y, 82.0),
        wheel(drive.x, drive.y, 52.0),
        wheel(0.62 * idler.x + 0.38 * front, rail_y, 40.0),
        wheel(0.30 * idler.x + 0.70 * front, rail_y, 40.0),
    ];
    m.back.push(Shape::new("wheel", wheels.concat()));
    let foot = xy(nose - 330.0, snow - 44.0);
    m.back.push(Shape::new(
        "ski-leg",
        capsule(xy(nose - 400.0, under + 10.0), foot, 20.0, 15.0),
    ));
    m.back.push(Shape::new(
        "ski-leg",
        capsule(
            xy(nose - 620.0, under + 70.0),
            foot + xy(-14.0, -34.0),
            9.0,
            8.0,
        ),
    ));
    m.back.push(Shape::new(
        "ski",
        contour(&[
            corner(xy(nose - 760.0, snow - 16.0)),
            bend(xy(nose - 420.0, snow - 34.0)),
            bend(xy(nose - 60.0, snow - 26.0)),
            bend(xy(nose + 80.0, snow - 66.0)),
            corner(xy(nose + 178.0, snow - 176.0)),
            corner(xy(nose + 186.0, snow - 164.0)),
            bend(xy(nose + 100.0, snow - 42.0)),
            bend(xy(nose - 40.0, snow)),
            bend(xy(nose - 500.0, snow)),
            corner(xy(nose - 750.0, snow)),
        ]),
    ));
}

/// Wearer sides, cowl and windscreen.
fn hull(cockpit: &Cockpit, m: &mut Machine, nose: f64, tail: f64) {
    let sled = cockpit.sled;
    let p = sled.outline.points();
    let foot = sled.board.footwell_front;
    let by = |x: f64| board_y(cockpit, x);
    let peak = (0..p.len())
        .max_by(|&a, &b| p[a].z.total_cmp(&p[b].z))
        .unwrap_or(0);
    // The last steep rise to the highest point is the windscreen; the cowl goes on below it.
    let screen = peak >= 1 && p[peak].z - p[peak - 1].z > 40.0;
    let crown = if screen { peak - 1 } else { peak };
    let top = |i: usize| xy(p[i].x, -p[i].z);
    let deck = m.seat_top.y + 70.0 + cockpit.seat_raise;
    let seat_points = sled.seat_line.points();
    let seat_front = seat_points[seat_points.len() - 1];
    let hood = top(crown);
    let rest: Vec<Xy> = (peak + 1..p.len()).map(top).collect();
    let fall = -hood.y + by(0.0);
    let mut knots = vec![
        corner(xy(tail + 30.0, by(tail) + 4.0)),
        corner(xy(tail - 36.0, deck + 66.0)),
        bend(xy(tail + 40.0, deck + 12.0)),
        corner(xy(
            seat_front.x,
            (-seat_front.z + 60.0).min(by(0.0) - 120.0),
        )),
    ];
    knots.extend((0..=crown).map(|i| bend(top(i))));
    if rest.is_empty() {
        let shoulder = hood.x.max(p[p.len() - 1].x);
        knots.push(bend(xy(shoulder + 70.0, hood.y + 0.12 * fall)));
    } else {
        knots.extend(rest.iter().map(|&r| bend(r)));
    }
    knots.extend([
        bend(xy(nose - 190.0, by(0.0) - 0.58 * fall)),
        corner(xy(nose - 8.0, by(0.0) - 0.30 * fall)),
        corner(xy(nose, by(0.0) - 0.23 * fall)),
        bend(xy(nose - 120.0, by(0.0) - 10.0)),
        bend(xy(nose - 330.0, by(0.0) + 52.0)),
        corner(xy(foot + 150.0, by(0.0) + 78.0)),
        corner(xy(foot + 30.0, by(foot) + BOARD_EDGE)),
    ]);
    if screen {
        let tip = top(peak);
        let ahead = xy(tip.x.max(hood.x) + 150.0, hood.y + 0.16 * fall);
        m.body.push(Shape::new(
            "screen",
            contour(&[
                corner(hood),
                bend(hood.towards(tip, 0.5) + xy(14.0, 8.0)),
                corner(tip),
                bend(tip.towards(ahead, 0.45) + xy(26.0, -14.0)),
                corner(ahead),
                corner(hood + xy(10.0, 60.0)),
            ]),
        ));
    }
    m.body.push(Shape::new("hull", contour(&knots)));
    m.body.push(Shape::new(
        "cowl",
        contour(&[
            corner(xy(foot + 330.0, by(0.0) - 0.40 * fall)),
            bend(xy(nose - 210.0, by(0.0) - 0.40 * fall)),
            corner(xy(nose - 20.0, by(0.0) - 0.25 * fall)),
            bend(xy(nose - 130.0, by(0.0) - 20.0)),
            bend(xy(nose - 330.0, by(0.0) + 34.0)),
            corner(xy(foot + 190.0, by(0.0) + 48.0)),
        ]),
    ));
    let vent = |k: f64| {
        let at = xy(foot + 330.0 + 44.0 * k, by(0.0) - 0.10 * fall);
        line(&[at, at + xy(30.0, -0.15 * fall)])
    };
    m.body.push(Shape::new(
        "seam",
        [
            stroke(&[
                xy(tail + 90.0, by(tail) - 150.0),
                xy(0.5 * (tail + foot), by(0.0) - 150.0),
                xy(foot - 60.0, by(0.0) - 175.0),
                xy(foot + 110.0, by(0.0) - 250.0),
            ]),
            vent(0.0),
            vent(1.0),
            vent(2.0),
        ]
        .concat(),
    ));
}

/// Seat with the dip of a sitting rider.
fn seat(cockpit: &Cockpit, m: &mut Machine, sink: Option<Point>) {
    let line = &cockpit.sled.seat_line;
    let points = line.points();
    let (rear, front) = (points[0].x, points[points.len() - 1].x);
    let thick = cockpit.foam.thickness.clamp(60.0, 220.0);
    let dip = |x: f64| match sink {
        Some(s) => {
            let depth = (-s.z - (line_y(line, s.x) - cockpit.seat_raise)).clamp(0.0, 0.8 * thick);
            let near = (1.0 - ((x - s.x) / DIP_HALF).abs()).max(0.0);
            depth * near * near * (3.0 - 2.0 * near)
        }
        None => 0.0,
    };
    let top = |x: f64| line_y(line, x) - cockpit.seat_raise + dip(x);
    let length = front - rear;
    let mut knots = vec![bend(xy(rear - 14.0, top(rear) + 50.0))];
    let steps = libm::ceil(length / 45.0).clamp(4.0, 60.0);
    for i in 0..=(steps as usize) {
        let x = rear + 16.0 + (length - 32.0) * i as f64 / steps;
        knots.push(bend(xy(x, top(x))));
    }
    let bottom = |x: f64| line_y(line, x) - cockpit.seat_raise.min(0.0) + 0.85 * thick;
    knots.push(bend(xy(front + 4.0, top(front) + 40.0)));
    knots.push(corner(xy(front - 30.0, bottom(front - 30.0))));
    knots.push(bend(xy(0.5 * (rear + front), bottom(0.5 * (rear + front)))));
    knots.push(corner(xy(rear + 10.0, bottom(rear + 10.0))));
    m.body.push(Shape::new("seat", contour(&knots)));
    let welt: Vec<Xy> = (0..=12)
        .map(|i| {
            let x = rear + 20.0 + (length - 50.0) * f64::from(i) / 12.0;
            xy(x, top(x) + 0.38 * (thick - dip(x)))
        })
        .collect();
    m.body.push(Shape::new("welt", stroke(&welt)));
    if sink.is_some() {
        let free: Vec<Xy> = (0..=24)
            .map(|i| {
                let x = rear + 16.0 + (length - 32.0) * f64::from(i) / 24.0;
                xy(x, top(x) - dip(x))
            })
            .collect();
        m.body.push(Shape::new("unloaded", stroke(&free)));
    }
}

/// Post, riser, clamp and bar.
fn steering(cockpit: &Cockpit, m: &mut Machine, far_grip: Xy, grip_radius: f64) {
    let (base, top) = (m.base, m.bar_centre);
    let post_foot = flat(&(cockpit.riser_base() - cockpit.post_axis() * 420.0));
    m.body
        .push(Shape::new("post", capsule(post_foot, base, 13.0, 15.0)));
    m.body.push(Shape::new(
        "bar-far",
        capsule(top, far_grip, 12.0, grip_radius),
    ));
    let up = (top - base).unit();
    let seat = top - up * cockpit.sled.clamps[cockpit.settings.clamp].stack.max(10.0);
    let side = up.left();
    m.body.push(Shape::new(
        "riser",
        polygon(&[
            base + side * 23.0 - up * 10.0,
            seat + side * 17.0,
            seat - side * 17.0,
            base - side * 23.0 - up * 10.0,
        ]),
    ));
    m.body.push(Shape::new("pivot", circle(base, 24.0)));
    let lean = Xy::at(Angle::from_deg(90.0) + cockpit.bar_lean);
    m.body.push(Shape::new(
        "clamp",
        capsule(seat - lean * 2.0, top + lean * 12.0, 23.0, 23.0),
    ));
    m.body
        .push(Shape::new("bar", capsule(top, m.grip, 13.0, grip_radius)));
    m.body.push(Shape::new("pivot", circle(top, 8.0)));
}

/// Near board edge, positions and hoop.
fn board(cockpit: &Cockpit, m: &mut Machine) {
    let sled = cockpit.sled;
    let (rear, foot) = (sled.board.rear, sled.board.footwell_front);
    let by = |x: f64| board_y(cockpit, x);
    let edge = |dx: f64, dy: f64| {
        polygon(&[
            xy(rear + dx, by(rear) + dy),
            xy(foot + dx, by(foot) + dy),
            xy(foot + 85.0 + dx, by(foot) - 110.0 + dy),
            xy(foot + 112.0 + dx, by(foot) - 96.0 + dy),
            xy(foot + 14.0 + dx, by(foot) + BOARD_EDGE + dy),
            xy(rear + 20.0 + dx, by(rear) + BOARD_EDGE + dy),
        ])
    };
    let apart = far(&Point::new(0.0, sled.board.foot_lateral, 0.0));
    m.back.push(Shape::new("board-far", edge(apart.x, apart.y)));
    m.board.push(Shape::new("board", edge(0.0, 0.0)));
    let holes: String = m
        .positions
        .iter()
        .filter(|p| !p.chosen)
        .map(|p| circle(p.at, 8.0))
        .collect();
    m.board.push(Shape::new("hole", holes));
    let bolt = m.bolt;
    let toe = flat(&cockpit.toe_stop);
    let high = sled.stirrup.hoop_height.clamp(60.0, 260.0);
    // Outer leg of the hoop, its bow over the boot, and the stop ahead of the toe.
    let hoop = stroke(&[
        bolt + xy(0.0, 4.0),
        bolt + xy(4.0, -0.45 * high),
        bolt + xy(14.0, -0.86 * high),
        xy(0.5 * (bolt.x + toe.x) + 16.0, bolt.y - high),
        xy(toe.x + 2.0, toe.y - 0.86 * high),
        xy(toe.x + 14.0, toe.y - 0.40 * high),
        xy(toe.x + 12.0, toe.y + 4.0),
    ]);
    m.board.push(Shape::new("hoop-edge", hoop.clone()));
    m.board.push(Shape::new("hoop", hoop));
    for p in m.positions.iter().filter(|p| p.chosen) {
        m.board.push(Shape::new("hole-chosen", circle(p.at, 13.0)));
    }
}

/// Guard, brake lever and throttle paddle.
fn controls(cockpit: &Cockpit, m: &mut Machine, grip_radius: f64) {
    let out = (m.blade - m.grip).unit();
    let side = out.left();
    let throttle_grip = far(&cockpit.grip);
    let throw = (m.paddle - throttle_grip).unit();
    m.body.push(Shape::new(
        "throttle",
        [
            capsule(throttle_grip, m.paddle, 9.0, 6.0),
            capsule(
                m.paddle + throw.left() * 14.0,
                m.paddle - throw.left() * 14.0,
                6.0,
                6.0,
            ),
        ]
        .concat(),
    ));
    if let Some(guard) = cockpit.sled.guard {
        let r = (grip_radius + guard.clear_depth).clamp(40.0, 200.0);
        let at = |deg: f64, k: f64| m.grip + Xy::at(Angle::from_deg(deg)) * (r * k);
        m.controls.push(Shape::new(
            "guard",
            contour(&[
                corner(at(66.0, 1.02)),
                bend(at(30.0, 1.03)),
                bend(at(-10.0, 1.03)),
                bend(at(-46.0, 1.06)),
                corner(at(-72.0, 1.16)),
                bend(at(-46.0, 1.14)),
                bend(at(-10.0, 1.10)),
                bend(at(30.0, 1.10)),
                corner(at(64.0, 1.09)),
            ]),
        ));
    }
    m.controls.push(Shape::new(
        "lever",
        [
            capsule(m.grip + out * grip_radius, m.blade, 7.0, 5.0),
            capsule(m.blade + side * 9.0, m.blade - side * 9.0, 6.0, 6.0),
        ]
        .concat(),
    ));
}
