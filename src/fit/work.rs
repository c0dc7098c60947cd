//! The order of work that bolts a set-up on, and where a task must be done again because a later one disturbed it.
//!
//! Minutes and tools are common practice, no source: one trained pair of hands, tools laid out, in gloves.

use super::outcome::{SetUp, Task};
use super::words::{deg, mm};
use crate::sled::{Settings, Sled};
use crate::units::Angle;

/// A step of the work, in working order.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Step {
    /// Tape the sled as found and paint-mark every part that will move.
    TapeAsFound,
    /// Level the sled and set the bars straight.
    Level,
    /// Stirrups.
    Stirrups,
    /// Seat.
    Seat,
    /// Riser, clamp and bar, and the riser's angle.
    Riser,
    /// Bar roll in the clamp.
    BarRoll,
    /// Levers and buttons.
    Levers,
    /// Hand guards.
    Guards,
    /// Lock to lock, engine off.
    LockToLock,
    /// Rider aboard in gear.
    Aboard,
    /// Tape again.
    TapeAgain,
}

/// A step with its minutes the first time and on a check, and its tools.
struct Effort {
    step: Step,
    minutes: f64,
    again: f64,
    tools: &'static [&'static str],
}

/// Minutes of a riser, clamp or bar that is swapped, not only turned. Common practice, no source.
pub(crate) const SWAP_MINUTES: f64 = 30.0;

/// Common practice, no source.
const EFFORTS: [Effort; 11] = {
    const fn row(step: Step, minutes: f64, again: f64, tools: &'static [&'static str]) -> Effort {
        Effort {
            step,
            minutes,
            again,
            tools,
        }
    }
    [
        row(
            Step::TapeAsFound,
            6.0,
            3.0,
            &["tape", "paint marker", "notebook"],
        ),
        row(Step::Level, 5.0, 2.0, &["stand", "digital level", "tape"]),
        row(
            Step::Stirrups,
            15.0,
            5.0,
            &["socket set", "torque wrench", "tape"],
        ),
        row(Step::Seat, 10.0, 3.0, &["socket set"]),
        row(
            Step::Riser,
            10.0,
            5.0,
            &["hex keys", "torque wrench", "digital level"],
        ),
        row(
            Step::BarRoll,
            5.0,
            3.0,
            &["hex keys", "torque wrench", "digital level"],
        ),
        row(
            Step::Levers,
            10.0,
            4.0,
            &["hex keys", "digital level", "tape"],
        ),
        row(Step::Guards, 8.0, 3.0, &["hex keys", "tape"]),
        row(Step::LockToLock, 4.0, 3.0, &[]),
        row(Step::Aboard, 8.0, 5.0, &["full riding gear"]),
        row(
            Step::TapeAgain,
            5.0,
            3.0,
            &["tape", "digital level", "notebook"],
        ),
    ]
};

impl Step {
    /// Minutes that it takes the first time, and its tools.
    pub(crate) const fn effort(self) -> (f64, &'static [&'static str]) {
        let effort = &EFFORTS[self as usize];
        (effort.minutes, effort.tools)
    }

    /// Every step, in working order.
    pub const ALL: [Self; 11] = {
        let mut all = [Self::TapeAsFound; 11];
        let mut i = 0;
        while i < all.len() {
            all[i] = EFFORTS[i].step;
            i += 1;
        }
        all
    };

    /// Earlier steps whose result this one can spoil.
    pub const fn disturbs(self) -> &'static [Self] {
        match self {
            // Pulling on the riser's bolts turns the bars and shifts the sled on its stand.
            Self::Riser => &[Self::Level],
            // Guards share the bar with the levers' clamp bands.
            Self::Guards => &[Self::Levers],
            // A rider's weight finds a clamp that slips.
            Self::Aboard => &[Self::BarRoll, Self::Levers],
            _ => &[],
        }
    }
}

/// A step in the order of work.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Turn {
    /// Which.
    pub step: Step,
    /// Whether it is done again because a later step disturbed it.
    pub again: bool,
}

/// Steps that a change needs, in working order; a step that a later one disturbs comes again right after that one.
///
/// Without `before` the sled is set up whole. Empty where nothing changes.
pub fn order(before: Option<&Settings>, now: &Settings, sled: &Sled) -> Vec<Turn> {
    let mut turns: Vec<Turn> = Vec::new();
    for step in Step::ALL {
        if !needed(step, before, now, sled) {
            continue;
        }
        turns.push(Turn { step, again: false });
        for &spoilt in step.disturbs() {
            if turns.iter().any(|turn| turn.step == spoilt) {
                turns.push(Turn {
                    step: spoilt,
                    again: true,
                });
            }
        }
    }
    turns
}

/// Tasks with their values, in working order; see [`order`].
pub fn tasks(before: Option<&Settings>, setup: &SetUp, sled: &Sled) -> Vec<Task> {
    order(before, &setup.settings, sled)
        .into_iter()
        .map(|turn| {
            let effort = &EFFORTS[turn.step as usize];
            let swap = turn.step == Step::Riser && swaps_bar(before, &setup.settings);
            Task {
                what: if turn.again {
                    again(turn.step, setup)
                } else {
                    what(turn.step, before, setup, sled)
                },
                minutes: match (turn.again, swap) {
                    (true, _) => effort.again,
                    (false, true) => SWAP_MINUTES,
                    (false, false) => effort.minutes,
                },
                tools: effort.tools.iter().map(|&tool| tool.to_owned()).collect(),
            }
        })
        .collect()
}

/// Whether riser, clamp or bar are other parts than before.
fn swaps_bar(before: Option<&Settings>, now: &Settings) -> bool {
    before.is_none_or(|b| (b.riser, b.clamp, b.bar) != (now.riser, now.clamp, now.bar))
}

/// Half of what a tape and a digital level show: less is no change.
fn moved(from: f64, to: f64, shows: f64) -> bool {
    (from - to).abs() >= shows / 2.0
}

fn needed(step: Step, before: Option<&Settings>, now: &Settings, sled: &Sled) -> bool {
    let guarded = step != Step::Guards || sled.guard.is_some();
    let Some(b) = before else { return guarded };
    let stirrups = moved(b.stirrup, now.stirrup, 1.0);
    let seat = b.seat != now.seat;
    let riser = swaps_bar(before, now) || moved(b.riser_angle.deg(), now.riser_angle.deg(), 0.1);
    // The bar is out of its clamp, or turns with the riser: its roll is set anew.
    let bar_roll = riser || moved(b.bar_roll.deg(), now.bar_roll.deg(), 0.1);
    match step {
        Step::Stirrups => stirrups,
        Step::Seat => seat,
        Step::Riser => riser,
        // Levers turn with the bar: their roll from the horizontal changes.
        Step::Level | Step::BarRoll | Step::Levers => bar_roll,
        Step::Guards => guarded && bar_roll,
        Step::TapeAsFound | Step::LockToLock | Step::Aboard | Step::TapeAgain => {
            stirrups || seat || bar_roll
        }
    }
}

/// "12° back from vertical", "2.5° forward of vertical".
pub(crate) fn riser_lean(angle: Angle) -> String {
    if angle < Angle::ZERO {
        format!("{} forward of vertical", deg(-angle))
    } else {
        format!("{} back from vertical", deg(angle))
    }
}

/// "2° back and down", "1.5° forward and up".
pub(crate) fn bar_roll_words(angle: Angle) -> String {
    if angle < Angle::ZERO {
        format!("{} forward and up", deg(-angle))
    } else {
        format!("{} back and down", deg(angle))
    }
}

/// "18.5° down from level", "3° up from level".
pub(crate) fn roll_words(angle: Angle) -> String {
    if angle < Angle::ZERO {
        format!("{} up from level", deg(-angle))
    } else {
        format!("{} down from level", deg(angle))
    }
}

/// "position 3 (bolt 80 mm behind position 1)"; counted from the front.
pub(crate) fn stirrup_words(bolt: f64, sled: &Sled) -> String {
    let behind = format!("bolt {} behind position 1", mm(-bolt));
    match sled.stirrup.position_number(bolt) {
        Some(1) => "position 1".to_owned(),
        Some(number) => format!("position {number} ({behind})"),
        None => behind,
    }
}

fn what(step: Step, before: Option<&Settings>, setup: &SetUp, sled: &Sled) -> String {
    let now = &setup.settings;
    match step {
        Step::TapeAsFound => "Tape the sled as found, write it down, and paint-mark every part that will move.".to_owned(),
        Step::Level => "Level the sled on its stand, secured against tipping. Set the bars straight.".to_owned(),
        Step::Stirrups => {
            let aside = match sled.stirrup.right_offset {
                o if moved(o, 0.0, 1.0) && o > 0.0 => format!(" The right one stands {} ahead.", mm(o)),
                o if moved(o, 0.0, 1.0) => format!(" The right one stands {} back.", mm(-o)),
                _ => String::new(),
            };
            format!(
                "Bolt both stirrups at {}.{aside} Torque by the manual. Drill no new hole.",
                stirrup_words(now.stirrup, sled)
            )
        }
        Step::Seat => format!("Fit the {} seat and latch it.", sled.seats[now.seat].name),
        Step::Riser => riser(before, now, sled),
        Step::BarRoll => format!(
            "Roll the bar in its clamp to {} of the riser's line. Torque by the manual, gaps even.",
            bar_roll_words(now.bar_roll)
        ),
        Step::Levers => levers(setup, sled),
        Step::Guards => match setup.levers.guard_gap {
            Some(gap) if gap < 0.0 => format!(
                "Set the hand guards {} further out than measured: fingers on the lever touch them.",
                mm(-gap)
            ),
            Some(gap) => format!("Refit the hand guards: {} free ahead of fingers and lever.", mm(gap)),
            None => "Refit the hand guards clear of fingers and levers.".to_owned(),
        },
        Step::LockToLock => "Turn lock to lock, engine off: no hand, knee, lever or guard touches, no hose or cable pulls, the throttle snaps back at both locks.".to_owned(),
        Step::Aboard => "Rider aboard, engine off, full gear: go through the try-on list.".to_owned(),
        Step::TapeAgain => "Tape everything again and write it down with what was changed and why.".to_owned(),
    }
}

fn riser(before: Option<&Settings>, now: &Settings, sled: &Sled) -> String {
    let to_post = now.riser_angle - sled.steering.post_rake;
    let set = format!(
        "Set the riser {} ({} from the post's line). Torque by the manual.",
        riser_lean(now.riser_angle),
        deg(to_post)
    );
    if swaps_bar(before, now) {
        format!(
            "Fit the {} riser, the {} clamp and the {} bar. {set} Check hoses and cables for slack.",
            mm(sled.risers[now.riser].height),
            sled.clamps[now.clamp].name,
            sled.bars[now.bar].name
        )
    } else {
        match before {
            Some(b) => format!("{set} It stood {}.", riser_lean(b.riser_angle)),
            None => set,
        }
    }
}

fn levers(setup: &SetUp, sled: &Sled) -> String {
    let (brake, throttle) = (&setup.levers.brake, &setup.levers.throttle);
    let missed: Vec<&str> = setup
        .levers
        .buttons
        .iter()
        .filter(|b| !b.reached)
        .map(|b| b.name.as_str())
        .collect();
    let buttons = if sled.buttons.is_empty() {
        String::new()
    } else if missed.is_empty() {
        " Buttons can stay.".to_owned()
    } else {
        format!(" Move within the thumb's reach: {}.", missed.join(", "))
    };
    format!(
        "Brake: clamp {} in from the grip, roll {}, reach {} (step {} from the nearest). Throttle: {} in from the grip, paddle {}, reach {} (step {}).{buttons} Snug, so that a fall turns them.",
        mm(brake.along),
        roll_words(brake.roll),
        mm(brake.lever_reach),
        brake.reach_step,
        mm(throttle.along),
        roll_words(throttle.roll),
        mm(throttle.lever_reach),
        throttle.reach_step,
    )
}

fn again(step: Step, setup: &SetUp) -> String {
    match step {
        Step::Level => "Check again that the sled is level and the bars are straight.".to_owned(),
        Step::BarRoll => format!(
            "Check the bar's paint marks: still {} of the riser's line, clamp tight.",
            bar_roll_words(setup.settings.bar_roll)
        ),
        Step::Levers => format!(
            "Check the levers again: brake {}, throttle paddle {}.",
            roll_words(setup.levers.brake.roll),
            roll_words(setup.levers.throttle.roll)
        ),
        _ => "Check again what the last step may have moved.".to_owned(),
    }
}
