//! What the fit returns.

use crate::hold::Hold;
use crate::sled::Settings;
use crate::stance::Posture;
use crate::units::Angle;

/// One stance on the chosen settings.
#[derive(Clone, Debug, PartialEq)]
pub struct StanceResult {
    /// The stance's name.
    pub name: String,
    /// Its best posture.
    pub posture: Posture,
    /// What it can hold.
    pub hold: Hold,
}

/// A signed share of the fit's objective.
#[derive(Clone, Debug, PartialEq)]
pub struct TermShare {
    /// `posture ready`, `weight point`, `hold short_landing_1g braced`, `leg travel attack`, `mid-adjustment`.
    pub name: String,
    /// Its value in the objective.
    pub value: f64,
}

/// A set-up evaluated whole.
#[derive(Clone, Debug, PartialEq)]
pub struct SetUp {
    /// The settings.
    pub settings: Settings,
    /// The objective.
    pub objective: f64,
    /// Its parts; they sum to it.
    pub terms: Vec<TermShare>,
    /// Every stance, in the order of the stance list.
    pub stances: Vec<StanceResult>,
    /// Lever placement.
    pub levers: Levers,
    /// Distances that verify the set-up with a tape.
    pub distances: Distances,
    /// Verdicts on the hard conditions that the set-up must meet.
    pub verdicts: Vec<Verdict>,
}

/// Whether a hard condition is met: a joint limit, a clearance, hoses, lock to lock.
#[derive(Clone, Debug, PartialEq)]
pub struct Verdict {
    /// Which, in words.
    pub name: String,
    /// Met or not; `None` where the sled's file does not say and it must be ticked off by hand.
    pub met: Option<bool>,
    /// What was found, in words.
    pub says: String,
}

/// Where the levers go.
#[derive(Clone, Debug, PartialEq)]
pub struct Levers {
    /// Brake.
    pub brake: LeverPlacement,
    /// Throttle.
    pub throttle: LeverPlacement,
    /// Buttons and the stop switch.
    pub buttons: Vec<ButtonReach>,
    /// Gap between the farthest finger or lever and the hand guard, mm; `None` without a guard.
    pub guard_gap: Option<f64>,
}

/// Placement of one lever.
#[derive(Clone, Debug, PartialEq)]
pub struct LeverPlacement {
    /// Distance of its clamp band from the grip's inner end, mm.
    pub along: f64,
    /// Roll in the plane square to the grip, from horizontal forward, positive downward.
    pub roll: Angle,
    /// The same relative to the bar's frame.
    pub roll_to_bar: Angle,
    /// Grip surface to blade or paddle, mm.
    pub lever_reach: f64,
    /// Adjuster step, counted from 0 at the least reach.
    pub reach_step: u32,
    /// Wrist extension in each stance with this roll.
    pub wrist_extension: Vec<(String, Angle)>,
    /// What the rider should know: out of range, compromise, blade too short.
    pub notes: Vec<String>,
}

/// Whether a button is reached by the thumb without leaving the grip.
#[derive(Clone, Debug, PartialEq)]
pub struct ButtonReach {
    /// Its name.
    pub name: String,
    /// Reached or not.
    pub reached: bool,
    /// How much reach is left (negative: missing), mm.
    pub margin: f64,
}

/// Distances to verify with a tape, mm and degrees.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Distances {
    /// Stirrup bolt to grip centre, straight, in the side view.
    pub stirrup_to_grip: f64,
    /// The same, fore-aft only; positive when the grip is ahead.
    pub stirrup_to_grip_forward: f64,
    /// Board to grip centre.
    pub grip_height: f64,
    /// Seat front's top edge to grip centre, straight, in the side view.
    pub seat_to_grip: f64,
    /// Riser angle relative to the steering post.
    pub riser_to_post: Angle,
    /// Brake lever's blade tip to the grip's surface, mm.
    pub brake_tip_to_grip: f64,
}

/// How a fit came out.
#[derive(Clone, Debug, PartialEq)]
pub enum FitStatus {
    /// Every hard condition met.
    Fits,
    /// Nothing in stock meets every hard condition; the nearest set-up is given.
    Infeasible {
        /// The limit that binds, in words.
        binds: String,
        /// Smallest changes of parts that would help, nearest first, in words.
        helps: Vec<String>,
    },
}

/// The answer.
#[derive(Clone, Debug, PartialEq)]
pub struct Fit {
    /// How it came out.
    pub status: FitStatus,
    /// The best set-up (or the nearest one).
    pub best: SetUp,
    /// What a reader must know, in words.
    pub warnings: Vec<String>,
    /// What practice says where the computation disagrees, with the figures of trying it, in words.
    pub practice: Vec<String>,
    /// Best objective of each combination of parts and stirrup position that was examined exactly, best first.
    pub ranking: Vec<(Settings, f64)>,
}

/// A task of the work order.
#[derive(Clone, Debug, PartialEq)]
pub struct Task {
    /// What to do, with the value.
    pub what: String,
    /// Minutes it takes.
    pub minutes: f64,
    /// Tools.
    pub tools: Vec<String>,
}

/// A check with a tape, a level or a thumb.
#[derive(Clone, Debug, PartialEq)]
pub struct Check {
    /// What to measure or try.
    pub what: String,
    /// Expected value in words, where there is one.
    pub expect: Option<String>,
}
