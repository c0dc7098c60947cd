//! Handles: what can be grabbed on the drawing, and the setting that a pointer's position stands for.
//!
//! Every handle lies on the ray that its setting turns, so that grabbing it moves nothing; where two would be closer
//! than a gloved finger, the later one moves outward along its ray.

use super::machine::{LeverView, Machine, nearest};
use super::path::{Xy, xy};
use crate::sled::{Cockpit, Settings, Sled};
use crate::units::Angle;
use crate::units::text::{System, coarse, level};

/// What is grabbed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum HandleId {
    /// Slides along the board, snaps to positions.
    Stirrup,
    /// Swings about its base.
    Riser,
    /// Turns the bar in its clamp.
    BarRoll,
    /// Turns the brake lever on the bar.
    Brake,
    /// Turns the throttle on the bar.
    Throttle,
    /// Moves through the seats in stock.
    Seat,
}

impl HandleId {
    /// The name in the page's code.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Stirrup => "stirrup",
            Self::Riser => "riser",
            Self::BarRoll => "bar_roll",
            Self::Brake => "brake",
            Self::Throttle => "throttle",
            Self::Seat => "seat",
        }
    }
}

/// A handle on the drawing.
#[derive(Clone, Debug, PartialEq)]
pub struct Handle {
    /// Which.
    pub id: HandleId,
    /// Its middle, in the drawing frame.
    pub at: Xy,
    /// What a screen reader says.
    pub label: String,
    /// Its present value in words.
    pub value: String,
    /// Radius of the touch target, mm: 22 px, so that it is 44 px across.
    pub touch: f64,
}

/// Half of the 44 px that a gloved finger needs.
const TOUCH_PX: f64 = 22.0;
/// Riser angles and bar roll snap to this, degrees; a digital level shows no less.
const SNAP_DEG: f64 = 0.5;

fn snapped(angle: Angle) -> Angle {
    Angle::from_deg(libm::round(angle.deg() / SNAP_DEG) * SNAP_DEG)
}

/// An angle between −180° and 180°.
fn wrapped(angle: Angle) -> Angle {
    let turns = libm::round(angle.deg() / 360.0);
    Angle::from_deg(angle.deg() - 360.0 * turns)
}

/// The handles of a set-up; `px` is the mm of one px.
pub fn handles(
    cockpit: &Cockpit,
    machine: &Machine,
    levers: &LeverView,
    system: System,
    px: f64,
) -> Vec<Handle> {
    let sled = cockpit.sled;
    let s = cockpit.settings;
    let up = (machine.bar_centre - machine.base).unit();
    let bar = (machine.grip - machine.bar_centre).unit();
    let brake = Xy::at(-levers.brake_roll);
    let throttle = Xy::at(-levers.throttle_roll);
    let number = nearest(&sled.stirrup.positions, s.stirrup).map_or(1, |i| i + 1);
    let seat_rear = sled.seat_line.points()[0].x;
    let mut handles: Vec<Handle> = Vec::new();
    let mut add = |id, label: &str, value: String, from: Xy, along: Xy, least: f64| {
        let mut away = least;
        let mut at = from + along * away;
        for _ in 0..60 {
            let clear = |h: &Handle| (h.at - at).length() >= 2.0 * TOUCH_PX * px;
            if handles.iter().all(clear) {
                break;
            }
            away += 4.0 * px;
            at = from + along * away;
        }
        handles.push(Handle {
            id,
            at,
            label: label.to_owned(),
            value,
            touch: TOUCH_PX * px,
        });
    };
    let down = xy(0.0, 1.0);
    add(
        HandleId::Stirrup,
        "Stirrup position",
        format!("position {number}, {} back", coarse(-s.stirrup, system)),
        machine.bolt,
        down,
        26.0 * px,
    );
    let length = (machine.bar_centre - machine.base).length();
    add(
        HandleId::Riser,
        "Riser angle",
        format!("{} back from vertical", level(s.riser_angle)),
        machine.base,
        up,
        0.45 * length,
    );
    add(
        HandleId::Brake,
        "Brake lever roll",
        format!("{} down from level", level(levers.brake_roll)),
        machine.grip,
        brake,
        (machine.blade - machine.grip).length() + 14.0 * px,
    );
    add(
        HandleId::Throttle,
        "Throttle roll",
        format!("{} down from level", level(levers.throttle_roll)),
        machine.paddle - throttle * 20.0,
        throttle,
        20.0 + 14.0 * px,
    );
    add(
        HandleId::BarRoll,
        "Bar roll",
        format!("{} back from the riser", level(s.bar_roll)),
        machine.bar_centre,
        bar,
        (machine.grip - machine.bar_centre).length() + 18.0 * px,
    );
    add(
        HandleId::Seat,
        "Seat",
        sled.seats[s.seat].name.clone(),
        xy(seat_rear + 50.0, machine.seat_top.y),
        xy(-1.0, 0.0),
        0.0,
    );
    handles
}

/// The settings that a pointer at `pointer` stands for; levers are turned by [`drag_lever`].
///
/// A pointer that is not finite changes nothing.
pub fn drag(handle: HandleId, start: Settings, pointer: Xy, sled: &Sled) -> Settings {
    if !(pointer.x.is_finite() && pointer.y.is_finite()) {
        return start;
    }
    let mut settings = start;
    match handle {
        HandleId::Stirrup => {
            let positions = &sled.stirrup.positions;
            if let Some(i) = nearest(positions, pointer.x) {
                settings.stirrup = positions[i];
            }
        }
        HandleId::Riser => {
            let base = xy(sled.steering.base_x, -sled.steering.base_z);
            let arm = pointer - base;
            if arm.length() > 1.0 {
                let angle = wrapped(arm.heading() - Angle::from_deg(90.0));
                settings.riser_angle = riser_angle(sled, start.riser, angle);
            }
        }
        HandleId::BarRoll => {
            let cockpit = Cockpit::new(sled, start);
            let centre = xy(cockpit.bar_centre.x, -cockpit.bar_centre.z);
            let grip = xy(cockpit.grip.x, -cockpit.grip.z) - centre;
            let arm = pointer - centre;
            if arm.length() > 1.0 && grip.length() > 1.0 {
                let turn = wrapped(arm.heading() - grip.heading());
                settings.bar_roll = bar_roll(sled, start.bar_roll + turn);
            }
        }
        HandleId::Seat => {
            let line = -sled.seat_line.height(pointer.x).0;
            let over = line - pointer.y;
            let heights: Vec<f64> = sled.seats.iter().map(|s| s.height_over_line).collect();
            if let Some(i) = nearest(&heights, over)
                && heights[i] != heights[start.seat]
            {
                settings.seat = i;
            }
        }
        HandleId::Brake | HandleId::Throttle => {}
    }
    settings
}

/// The lever roll that a pointer stands for, snapped and inside what the sled allows.
pub fn drag_lever(handle: HandleId, start: LeverView, pointer: Xy, cockpit: &Cockpit) -> LeverView {
    let mut levers = start;
    let near = super::path::flat(&cockpit.grip);
    let far = super::path::far(&cockpit.grip);
    let roll = |from: Xy, (low, high): (Angle, Angle), now: Angle| {
        let arm = pointer - from;
        if arm.length() > 1.0 && arm.length().is_finite() {
            snapped(wrapped(-arm.heading())).clamped(low, high)
        } else {
            now
        }
    };
    match handle {
        HandleId::Brake => {
            levers.brake_roll = roll(near, cockpit.sled.brake.roll, start.brake_roll);
        }
        HandleId::Throttle => {
            levers.throttle_roll = roll(far, cockpit.sled.throttle.roll, start.throttle_roll);
        }
        _ => {}
    }
    levers
}

/// The lever roll after some steps of an arrow key: half a degree down each.
pub fn step_lever(handle: HandleId, start: LeverView, steps: i32, sled: &Sled) -> LeverView {
    let mut levers = start;
    let turned = |roll: Angle, (low, high): (Angle, Angle)| {
        snapped(roll + Angle::from_deg(SNAP_DEG) * f64::from(steps)).clamped(low, high)
    };
    match handle {
        HandleId::Brake => levers.brake_roll = turned(start.brake_roll, sled.brake.roll),
        HandleId::Throttle => {
            levers.throttle_roll = turned(start.throttle_roll, sled.throttle.roll);
        }
        _ => {}
    }
    levers
}

/// The settings after some steps of an arrow key: one stirrup position rearward, half a degree, one seat each.
pub fn step(handle: HandleId, start: Settings, steps: i32, sled: &Sled) -> Settings {
    let mut settings = start;
    let turn = Angle::from_deg(SNAP_DEG) * f64::from(steps);
    let moved = |index: usize, count: usize| {
        let last = i64::try_from(count).unwrap_or(i64::MAX).saturating_sub(1);
        let to = i64::try_from(index).unwrap_or(0) + i64::from(steps);
        usize::try_from(to.clamp(0, last.max(0))).unwrap_or(0)
    };
    match handle {
        HandleId::Stirrup => {
            let positions = &sled.stirrup.positions;
            if let Some(i) = nearest(positions, start.stirrup) {
                settings.stirrup = positions[moved(i, positions.len())];
            }
        }
        HandleId::Riser => {
            let mut angle = riser_angle(sled, start.riser, start.riser_angle + turn);
            if let crate::sled::RiserAngles::Teeth { step, .. } = sled.risers[start.riser].angles {
                angle = riser_angle(
                    sled,
                    start.riser,
                    start.riser_angle + step * f64::from(steps),
                );
            }
            settings.riser_angle = angle;
        }
        HandleId::BarRoll => settings.bar_roll = bar_roll(sled, start.bar_roll + turn),
        HandleId::Seat => settings.seat = moved(start.seat, sled.seats.len()),
        HandleId::Brake | HandleId::Throttle => {}
    }
    settings
}

fn riser_angle(sled: &Sled, riser: usize, angle: Angle) -> Angle {
    sled.risers[riser].angles.nearest(snapped(angle))
}

fn bar_roll(sled: &Sled, angle: Angle) -> Angle {
    snapped(angle).clamped(sled.bar_roll.0, sled.bar_roll.1)
}
