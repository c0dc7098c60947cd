//! A rider's set-up on another sled: the same contact points where that sled reaches them, else the nearest.
//!
//! What a rider feels is where grips and seat are from the boots. Seen from the toe stop, in the side view, the grip's
//! centre, the bar's lean (it turns the wrists), the bar's width and the seat's unloaded top are to be the same; where
//! the boots stand to the balance mark decides between stirrup positions that are else alike. Every combination of parts
//! and every stirrup position is tried; riser angles every half degree or tooth, each with the bar roll that brings the
//! grip nearest or keeps the lean, whichever costs less. Each difference counts by its square over the square of a
//! scale; the scales are our choice, near what a rider notices. Nothing is solved for the rider's body: the answer is
//! where to begin.

use crate::sled::{Cockpit, Settings, Sled};
use crate::units::Angle;
use crate::units::text::{System, level, tape};

/// A set-up on another sled.
#[derive(Clone, Debug, PartialEq)]
pub struct Moved {
    /// The settings there.
    pub settings: Settings,
    /// Whether tape and level show no difference at the contacts.
    pub same: bool,
    /// What differs on the other sled, as far as it does.
    pub grip_forward: f64,
    /// The grips stand this much higher over the boots, mm; negative: lower.
    pub grip_up: f64,
    /// The grips stand this much further apart, mm.
    pub wider: f64,
    /// The seat's top stands this much higher over the boots, mm.
    pub seat_up: f64,
    /// The bar leans back this much more.
    pub lean: Angle,
    /// What is lost, in words; empty where nothing is.
    pub lost: Vec<String>,
}

/// Grip in the side view, mm.
const GRIP: f64 = 5.0;
/// Bar's lean, degrees.
const LEAN: f64 = 3.0;
/// Distance of the grips, mm.
const WIDTH: f64 = 15.0;
/// Seat's top, mm.
const SEAT: f64 = 10.0;
/// Foam, as a share of the force at 25 % indentation.
const FOAM: f64 = 0.5;
/// Boots to the balance mark, mm.
const BALANCE: f64 = 40.0;
/// Bar's centre beyond what hoses allow, mm: it must not be.
const HOSE: f64 = 0.1;

/// Riser angles that are tried where any can be set, apart.
const STEP: Angle = Angle::from_deg(0.5);

/// Where a seated rider's hips come, behind the toe stop, mm. Our choice, the middle of the demo riders' postures.
const HIPS: f64 = 400.0;

/// Differences that a tape, a level and a rider do not tell, mm and degrees. Common practice, no source.
const SHOWS: f64 = 5.0;
const SHOWS_DEG: f64 = 1.0;

/// What a rider feels of a cockpit, from the toe stop; mm and degrees.
#[derive(Clone, Copy)]
struct Contacts {
    grip_x: f64,
    grip_z: f64,
    lean: f64,
    width: f64,
    seat: f64,
    foam: f64,
    balance: f64,
}

impl Contacts {
    fn of(cockpit: &Cockpit) -> Self {
        let (toe, sled) = (cockpit.toe_stop, cockpit.sled);
        let hips = toe.x - HIPS;
        Self {
            grip_x: cockpit.grip.x - toe.x,
            grip_z: cockpit.grip.z - toe.z,
            lean: cockpit.bar_lean.deg(),
            width: cockpit.grip.y * 2.0,
            seat: sled.seat_line.height(hips).0 + cockpit.seat_raise - toe.z,
            foam: cockpit.foam.f25,
            balance: toe.x - sled.balance_mark.x,
        }
    }

    /// How far another cockpit is from this one.
    fn cost(&self, other: &Self) -> f64 {
        [
            (other.grip_x - self.grip_x) / GRIP,
            (other.grip_z - self.grip_z) / GRIP,
            (other.lean - self.lean) / LEAN,
            (other.width - self.width) / WIDTH,
            (other.seat - self.seat) / SEAT,
            (other.foam - self.foam) / (FOAM * self.foam.max(1.0)),
            (other.balance - self.balance) / BALANCE,
        ]
        .iter()
        .map(|part| part * part)
        .sum()
    }
}

/// Move the set-up of a cockpit onto another sled. Ties go to the part that stands first in stock.
pub fn moved(from: &Cockpit, onto: &Sled) -> Moved {
    let wanted = Contacts::of(from);
    let mut best = (f64::INFINITY, from.settings);
    for candidate in candidates(&wanted, onto) {
        let cockpit = Cockpit::new(onto, candidate);
        let cost = wanted.cost(&Contacts::of(&cockpit)) + hoses(&cockpit);
        if cost < best.0 {
            best = (cost, candidate);
        }
    }
    said(from, Cockpit::new(onto, best.1))
}

/// Everything that is tried: each stirrup position with the seat that is nearest from there, on every bar and clamp, at
/// every height and angle of the risers.
fn candidates(wanted: &Contacts, onto: &Sled) -> Vec<Settings> {
    let angles: Vec<(usize, Angle)> = (0..onto.risers.len())
        .flat_map(|riser| angles(onto, riser).into_iter().map(move |a| (riser, a)))
        .collect();
    let mut all = Vec::new();
    for &stirrup in &onto.stirrup.positions {
        let seat = nearest_seat(wanted, onto, stirrup);
        for bar in 0..onto.bars.len() {
            for clamp in 0..onto.clamps.len() {
                for &(riser, riser_angle) in &angles {
                    let straight = Settings {
                        riser,
                        clamp,
                        bar,
                        seat,
                        stirrup,
                        riser_angle,
                        bar_roll: Angle::ZERO,
                    };
                    for bar_roll in rolls(wanted, onto, straight) {
                        all.push(Settings {
                            bar_roll,
                            ..straight
                        });
                    }
                }
            }
        }
    }
    all
}

/// The seat that costs least behind a stirrup position: what it costs depends on nothing else.
fn nearest_seat(wanted: &Contacts, onto: &Sled, stirrup: f64) -> usize {
    let mut best = (f64::INFINITY, 0);
    for seat in 0..onto.seats.len() {
        let settings = Settings {
            riser: 0,
            clamp: 0,
            bar: 0,
            seat,
            stirrup,
            riser_angle: Angle::ZERO,
            bar_roll: Angle::ZERO,
        };
        let cost = wanted.cost(&Contacts::of(&Cockpit::new(onto, settings)));
        if cost < best.0 {
            best = (cost, seat);
        }
    }
    best.1
}

/// Angles of a riser that are tried.
fn angles(onto: &Sled, riser: usize) -> Vec<Angle> {
    let allowed = &onto.risers[riser].angles;
    let (low, high) = allowed.bounds();
    // A half turn at most lies between the bounds.
    let steps = libm::ceil((high - low) / STEP).clamp(0.0, 720.0) as u32;
    let mut all: Vec<Angle> = (0..=steps)
        .map(|i| allowed.nearest((low + STEP * f64::from(i)).clamped(low, high)))
        .collect();
    all.dedup();
    all
}

/// Rolls that are tried: the one that keeps the bar's lean, and the one that turns the grip's centre towards its wanted
/// place.
fn rolls(wanted: &Contacts, onto: &Sled, settings: Settings) -> [Angle; 2] {
    let (low, high) = onto.bar_roll;
    let straight = Cockpit::new(onto, settings);
    let keeps = Angle::from_deg(wanted.lean) - settings.riser_angle;
    let arm = |x: f64, z: f64| (x - straight.bar_centre.x, z - straight.bar_centre.z);
    let (ax, az) = arm(straight.grip.x, straight.grip.z);
    let (bx, bz) = arm(
        straight.toe_stop.x + wanted.grip_x,
        straight.toe_stop.z + wanted.grip_z,
    );
    // Positive roll turns up to rear, from +z to -x.
    let towards = Angle::from_rad(libm::atan2(az * -bx + ax * bz, ax * bx + az * bz));
    [keeps.clamped(low, high), towards.clamped(low, high)]
}

fn hoses(cockpit: &Cockpit) -> f64 {
    let over = over_hoses(cockpit) / HOSE;
    over * over
}

/// How far the bar's centre stands beyond what hoses allow, mm.
fn over_hoses(cockpit: &Cockpit) -> f64 {
    let reach = (cockpit.bar_centre - cockpit.riser_base()).norm();
    let limit = cockpit.sled.steering.hose_limit;
    limit.map_or(0.0, |limit| (reach - limit).max(0.0))
}

fn said(from: &Cockpit, to: Cockpit) -> Moved {
    let (a, b) = (Contacts::of(from), Contacts::of(&to));
    let mut lost = Vec::new();
    let mut say = |by: f64, shows: f64, less: String, more: String| {
        if by.abs() > shows {
            lost.push(if by < 0.0 { less } else { more });
        }
    };
    let mm = |by: f64| tape(by.abs(), System::Metric);
    let (forward, up) = (b.grip_x - a.grip_x, b.grip_z - a.grip_z);
    let (wider, seat_up) = (b.width - a.width, b.seat - a.seat);
    let lean = b.lean - a.lean;
    let pair = |what: &str, by: f64, less: &str, more: &str| {
        let by = mm(by);
        (
            format!("{what} {by} {less}."),
            format!("{what} {by} {more}."),
        )
    };
    for (what, by, less, more) in [
        (
            "The grips stand",
            forward,
            "nearer to the boots",
            "further ahead of the boots",
        ),
        (
            "The grips stand",
            up,
            "lower over the boots",
            "higher over the boots",
        ),
        ("The grips stand", wider, "closer together", "further apart"),
        (
            "The seat's top stands",
            seat_up,
            "lower over the boots",
            "higher over the boots",
        ),
    ] {
        let (less, more) = pair(what, by, less, more);
        say(by, SHOWS, less, more);
    }
    let degrees = level(Angle::from_deg(lean.abs()));
    say(
        lean,
        SHOWS_DEG,
        format!("The bar leans {degrees} less far back: the wrists bend differently."),
        format!("The bar leans {degrees} further back: the wrists bend differently."),
    );
    let feet = to.sled.board.foot_lateral - from.sled.board.foot_lateral;
    let (less, more) = pair("Each boot stands", feet, "further in", "further out");
    say(feet, SHOWS, less, more);
    let balance = b.balance - a.balance;
    let (less, more) = pair(
        "The boots stand",
        balance,
        "further behind the balance mark: more weight on the track",
        "further ahead of the balance mark: more weight on the skis",
    );
    say(balance, 2.0 * SHOWS, less, more);
    let firmness = b.foam / a.foam.max(1.0) - 1.0;
    // A quarter is what a hand tells when it presses a seat; common practice, no source.
    say(
        firmness,
        0.25,
        "The seat's foam is softer: the hips sink deeper.".to_owned(),
        "The seat's foam is firmer: the hips stay higher.".to_owned(),
    );
    let over = over_hoses(&to);
    say(
        over,
        0.0,
        String::new(),
        format!(
            "Hoses and cables are {} too short for this set-up: do not ride it so.",
            mm(over)
        ),
    );
    Moved {
        settings: to.settings,
        same: lost.is_empty(),
        grip_forward: forward,
        grip_up: up,
        wider,
        seat_up,
        lean: Angle::from_deg(lean),
        lost,
    }
}
