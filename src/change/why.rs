//! Why a setting stands where it does: the objective's parts as signed slopes, and the limits that bind.
//!
//! The slope of each part along a setting is its central difference, all postures solved anew on both sides; a joint's
//! comfort is a part of its own. The parts sum to the slope of the objective. Parts and positions that come in steps are
//! taken as if they could be had in between: the riser with its clamp as one length, the stirrup, the seat's height.
//! Where one side breaks a limit that the other keeps, the difference is taken on the kept side, and the limit is said.

use serde::Serialize;

use super::step::{SAME, Standing, Subject};
use super::tried::start;
use crate::fit::work::{bar_roll_words, riser_lean, stirrup_words};
use crate::fit::{Evaluation, FEASIBLE, Part, Request, Scope, SetUp, Solved, score, what_binds};
use crate::order;
use crate::sled::{Cockpit, Settings, Sled};
use crate::stance::{Load, Problem, Status};
use crate::units::Angle;
use crate::units::text::{System, tape};

/// Half of the central difference, degrees and mm: far above what the solver leaves, far below where slopes change.
const HALF: f64 = 0.5;
const HALF_MM: f64 = 2.0;

/// Pulls that differ by less than this share of themselves balance; our choice.
const BALANCED: f64 = 0.15;

/// Pulls below this (per degree, or per 10 mm) are nothing that a rider feels; our choice, a tenth of a noticeable
/// difference of the objective.
const NOTHING: f64 = 0.01;

/// Share of one way's pull below which a part goes unsaid; our choice.
const WORTH_SAYING: f64 = 0.12;

/// Why a setting stands where it does.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
pub struct Why {
    /// `riser_height` (clamp included), `riser_angle`, `bar_roll`, `stirrup`, `seat_height`.
    pub setting: &'static str,
    /// What the slopes are per: `deg` or `mm`.
    pub per: &'static str,
    /// Slope of the objective: negative where more of the setting would make it better.
    pub slope: f64,
    /// Its parts; they sum to it.
    pub parts: Vec<Pull>,
    /// Limits that bind here, in words.
    pub binds: Vec<String>,
    /// All of it in a sentence.
    pub says: String,
}

/// A part of the objective as it pulls on a setting.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
pub struct Pull {
    /// What pulls, in words: "comfort of the elbow in ready", "hold in short landings in braced".
    pub part: String,
    /// Slope of this part: negative where it wants more of the setting.
    pub slope: f64,
}

/// A setting along which the objective is differentiated.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Along {
    Riser,
    RiserAngle,
    BarRoll,
    Stirrup,
    Seat,
}

impl Along {
    const ALL: [Self; 5] = [
        Self::Riser,
        Self::RiserAngle,
        Self::BarRoll,
        Self::Stirrup,
        Self::Seat,
    ];

    fn is_angle(self) -> bool {
        matches!(self, Self::RiserAngle | Self::BarRoll)
    }

    fn name(self) -> &'static str {
        match self {
            Self::Riser => "riser_height",
            Self::RiserAngle => "riser_angle",
            Self::BarRoll => "bar_roll",
            Self::Stirrup => "stirrup",
            Self::Seat => "seat_height",
        }
    }

    /// More and less of it, in words.
    fn ways(self) -> (&'static str, &'static str) {
        match self {
            Self::Riser | Self::Seat => ("up", "down"),
            Self::RiserAngle => ("back", "forward"),
            Self::BarRoll => ("back and down", "forward and up"),
            Self::Stirrup => ("forward", "back"),
        }
    }

    /// The set-up with a little more of it.
    fn moved(self, sled: &Sled, settings: Settings, by: f64) -> (Sled, Settings) {
        let (mut sled, mut settings) = (sled.clone(), settings);
        match self {
            Self::Riser => sled.risers[settings.riser].height += by,
            Self::RiserAngle => settings.riser_angle = settings.riser_angle + Angle::from_deg(by),
            Self::BarRoll => settings.bar_roll = settings.bar_roll + Angle::from_deg(by),
            Self::Stirrup => settings.stirrup += by,
            Self::Seat => sled.seats[settings.seat].height_over_line += by,
        }
        (sled, settings)
    }

    /// Where it stands, in words.
    fn stands(self, sled: &Sled, s: &Settings) -> String {
        match self {
            Self::Riser => format!(
                "Riser {} with the {} clamp",
                mm(sled.risers[s.riser].height),
                sled.clamps[s.clamp].name
            ),
            Self::RiserAngle => format!("Riser angle {}", riser_lean(s.riser_angle)),
            Self::BarRoll => format!("Bar roll {}", bar_roll_words(s.bar_roll)),
            Self::Stirrup => format!("Stirrups at {}", stirrup_words(s.stirrup, sled)),
            Self::Seat => format!("Height of the {} seat", sled.seats[s.seat].name),
        }
    }
}

/// Says of every setting why it stands where it does in a set-up.
pub fn why(request: &Request, set_up: &SetUp) -> Vec<Why> {
    let here = set_up.settings;
    let base = score(request, here, Some(&start(request, set_up)), Scope::Whole);
    let mut limits = Vec::new();
    for along in Along::ALL {
        limits.push(slopes(request, &base, along));
    }
    Along::ALL
        .into_iter()
        .zip(limits)
        .map(|(along, slopes)| told(request, set_up, &base, along, slopes))
        .collect()
}

/// Slopes of the parts, and what a side breaks that the answer keeps.
struct Slopes {
    parts: Vec<Pull>,
    breaks: Vec<String>,
}

fn slopes(request: &Request, base: &Evaluation, along: Along) -> Slopes {
    let half = if along.is_angle() { HALF } else { HALF_MM };
    let side = |by: f64| {
        let (sled, settings) = along.moved(request.sled, base.settings, by);
        let request = Request {
            sled: &sled,
            ..*request
        };
        let evaluation = score(&request, settings, Some(&base.solved), Scope::Whole);
        let words =
            (evaluation.broken > base.broken + FEASIBLE).then(|| what_binds(&request, &evaluation));
        (split(&request, &evaluation), words)
    };
    let (less, less_breaks) = side(-half);
    let (more, more_breaks) = side(half);
    let middle = split(request, base);
    let (from, to, width) = match (&less_breaks, &more_breaks) {
        (None, Some(_)) => (&less, &middle, half),
        (Some(_), None) => (&middle, &more, half),
        _ => (&less, &more, 2.0 * half),
    };
    let parts = from
        .iter()
        .zip(to)
        .map(|((part, a), (_, b))| Pull {
            part: part.clone(),
            slope: (b - a) / width,
        })
        .filter(|pull| pull.slope != 0.0)
        .collect();
    let (up, down) = along.ways();
    let breaks = [(less_breaks, down), (more_breaks, up)]
        .into_iter()
        .filter_map(|(words, way)| words.map(|w| format!("further {way} it breaks {w}")))
        .collect();
    Slopes { parts, breaks }
}

/// Parts of the objective with their words; a posture's comes joint by joint.
fn split(request: &Request, evaluation: &Evaluation) -> Vec<(String, f64)> {
    let cockpit = Cockpit::new(request.sled, evaluation.settings);
    let wants = &request.preferences;
    let mut all = Vec::new();
    for (part, value) in &evaluation.parts {
        let name = |k: &usize| request.stances[*k].name.as_str();
        match part {
            Part::Posture(k) => {
                let stance = &request.stances[*k];
                let Some(Solved {
                    settled,
                    seat_share,
                    ..
                }) = &evaluation.solved[*k]
                else {
                    continue;
                };
                let problem = Problem::new(request.rider, &cockpit, stance, *seat_share);
                let scale = wants.comfort * stance.weight;
                for term in problem.posture(settled).terms {
                    all.push((comfort(term.name, &stance.name), scale * term.value));
                }
            }
            Part::WeightPoint(k) => {
                all.push((
                    format!("weight over the balance mark in {}", name(k)),
                    *value,
                ));
            }
            Part::Hold(k, g) => {
                let load = match request.stances[*k].goals[*g].load {
                    Load::ShortLanding1g => "hold in short landings",
                    Load::ShortLanding2g => "hold in hard short landings",
                    Load::Start => "hold at the start",
                    Load::StraightDrop => "hold in straight drops",
                };
                all.push((format!("{load} in {}", name(k)), *value));
            }
            Part::LegTravel(k) => all.push((format!("leg travel in {}", name(k)), *value)),
            Part::Limits(k) => all.push((format!("broken limits in {}", name(k)), *value)),
            Part::Machine => all.push(("the sled's own limits".to_owned(), *value)),
            Part::MidAdjustment => all.push(("room to adjust either way".to_owned(), *value)),
        }
    }
    all
}

/// "comfort of the elbow in ready".
fn comfort(term: &str, stance: &str) -> String {
    let joint = match term {
        "knee_splay" => "the knees' spread",
        "elbow_swing" => "the elbows' swing",
        "wrist_ulnar" => "the wrist",
        "trunk" => "the back",
        "balance" => return format!("balance over the feet in {stance}"),
        "ankle" => "the ankle",
        "knee" => "the knee",
        "hip" => "the hip",
        "shoulder" => "the shoulder",
        "elbow" => "the elbow",
        "neck" => "the neck",
        other => other,
    };
    format!("comfort of {joint} in {stance}")
}

fn told(request: &Request, set_up: &SetUp, base: &Evaluation, along: Along, slopes: Slopes) -> Why {
    let slope: f64 = slopes.parts.iter().map(|p| p.slope).sum();
    let stands = along.stands(request.sled, &base.settings);
    let mut binds = slopes.breaks;
    binds.extend(end_of_stock(request.sled, &base.settings, along, slope));
    let says_next = || next(request, set_up, base, along, slope);
    let says = sentence(&stands, along, slope, &slopes.parts, &binds, says_next);
    binds.extend(resting(request, base, &slopes.parts));
    Why {
        setting: along.name(),
        per: if along.is_angle() { "deg" } else { "mm" },
        slope,
        parts: slopes.parts,
        binds,
        says,
    }
}

/// What the sled ends at in the direction in which the objective falls.
fn end_of_stock(sled: &Sled, s: &Settings, along: Along, slope: f64) -> Option<String> {
    let more = slope < 0.0;
    let at = |value: f64, low: f64, high: f64| {
        let end = if more { high } else { low };
        (value - end).abs() < SAME
    };
    let heights = || sled.risers.iter().map(|r| r.height);
    let (least, most) = (
        heights().fold(f64::INFINITY, f64::min),
        heights().fold(f64::NEG_INFINITY, f64::max),
    );
    let seats = || sled.seats.iter().map(|s| s.height_over_line);
    let (ended, says) = match along {
        Along::Riser => (
            at(sled.risers[s.riser].height, least, most),
            format!(
                "no {} riser in stock",
                if more { "taller" } else { "shorter" }
            ),
        ),
        Along::RiserAngle => {
            let (low, high) = sled.risers[s.riser].angles.bounds();
            (
                at(s.riser_angle.deg(), low.deg(), high.deg()),
                "the riser's range ends here".to_owned(),
            )
        }
        Along::BarRoll => (
            at(
                s.bar_roll.deg(),
                sled.bar_roll.0.deg(),
                sled.bar_roll.1.deg(),
            ),
            "the bar's range in its clamp ends here".to_owned(),
        ),
        Along::Stirrup => (
            at(
                s.stirrup,
                sled.stirrup.positions.last().copied().unwrap_or(0.0),
                0.0,
            ),
            format!(
                "there is no stirrup position further {}",
                if more { "forward" } else { "back" }
            ),
        ),
        Along::Seat => (
            at(
                sled.seats[s.seat].height_over_line,
                seats().fold(f64::INFINITY, f64::min),
                seats().fold(f64::NEG_INFINITY, f64::max),
            ),
            format!(
                "there is no {} seat in stock",
                if more { "higher" } else { "lower" }
            ),
        ),
    };
    ended.then_some(says)
}

/// Limits that postures rest on, of the stances that the setting moves at all.
fn resting(request: &Request, base: &Evaluation, parts: &[Pull]) -> Vec<String> {
    let cockpit = Cockpit::new(request.sled, base.settings);
    let mut all = Vec::new();
    for (stance, solved) in request.stances.iter().zip(&base.solved) {
        let Some(solved) = solved else { continue };
        let ending = format!(" in {}", stance.name);
        let moved = parts
            .iter()
            .any(|p| p.part.ends_with(&ending) && p.slope.abs() > 1e-6);
        let problem = Problem::new(request.rider, &cockpit, stance, solved.seat_share);
        if let (true, Status::AtLimit(limits)) = (moved, problem.posture(&solved.settled).status) {
            let names: Vec<_> = limits.into_iter().map(|l| l.name).collect();
            all.push(format!("{} rests on {}", stance.name, names.join(", ")));
        }
    }
    all
}

/// The strongest pulls of one way, in words, and all of it.
fn pulls(parts: &[Pull], more: bool) -> (String, f64) {
    let mut one_way: Vec<&Pull> = parts.iter().filter(|p| (p.slope < 0.0) == more).collect();
    order::sort(&mut one_way, |a, b| b.slope.abs().total_cmp(&a.slope.abs()));
    let whole: f64 = one_way.iter().map(|p| p.slope.abs()).sum();
    let mut said = String::new();
    for (count, pull) in one_way.iter().take(3).enumerate() {
        if count > 0 && pull.slope.abs() < WORTH_SAYING * whole {
            break;
        }
        // "comfort of the wrist in ready, of the back in ready"
        let part = match pull.part.strip_prefix("comfort ") {
            Some(of) if said.starts_with("comfort ") => of,
            _ => &pull.part,
        };
        if count > 0 {
            said.push_str(", ");
        }
        said.push_str(part);
    }
    (said, whole)
}

fn sentence(
    stands: &str,
    along: Along,
    slope: f64,
    parts: &[Pull],
    stops: &[String],
    next: impl FnOnce() -> &'static str,
) -> String {
    let (more, less) = along.ways();
    let ((for_more, up), (for_less, down)) = (pulls(parts, true), pulls(parts, false));
    let unit = if along.is_angle() { 1.0 } else { 10.0 };
    if up.max(down) * unit < NOTHING {
        return format!("{stands}: hardly anything pulls on it either way.");
    }
    let mut said = Vec::new();
    for (who, how_much, way) in [(for_more, up, more), (for_less, down, less)] {
        if how_much * unit >= NOTHING / 2.0 {
            // "comfort of this, of that" is one thing that pulls.
            let many = who.replace(", of ", "").contains(", ");
            let verb = if many { "pull" } else { "pulls" };
            said.push(format!("{who} {verb} it {way}"));
        }
    }
    let pulled = said.join("; ");
    let way = if slope < 0.0 { more } else { less };
    let ends = if slope.abs() * unit < NOTHING || slope.abs() < BALANCED * up.max(down) {
        "they balance here".to_owned()
    } else if let Some(stop) = stops.first() {
        format!("on the whole it would go {way}, but {stop}")
    } else {
        format!("on the whole it would go {way}{}", next())
    };
    format!("{stands}: {pulled}; {ends}.")
}

/// What the next part or position in the direction of the pull would do to the objective.
fn next(
    request: &Request,
    set_up: &SetUp,
    base: &Evaluation,
    along: Along,
    slope: f64,
) -> &'static str {
    let wanted = match along {
        Along::Riser => Subject::Riser,
        Along::Stirrup => Subject::Stirrups,
        Along::Seat => Subject::Seat,
        Along::RiserAngle => Subject::RiserAngle,
        Along::BarRoll => Subject::BarRoll,
    };
    let standing = Standing {
        sled: request.sled,
        settings: base.settings,
        levers: &set_up.levers,
    };
    let size = |s: &Settings| match along {
        Along::Riser => request.sled.risers[s.riser].height,
        Along::Stirrup => s.stirrup,
        Along::Seat => request.sled.seats[s.seat].height_over_line,
        Along::RiserAngle => s.riser_angle.deg(),
        Along::BarRoll => s.bar_roll.deg(),
    };
    let here = size(&base.settings);
    let steps = standing.settings_steps();
    let found = steps
        .iter()
        .filter(|s| s.subject == wanted && (size(&s.settings) - here) * slope < -SAME * slope.abs())
        .min_by(|a, b| {
            let off = |s: &Settings| (size(s) - here).abs();
            off(&a.settings).total_cmp(&off(&b.settings))
        });
    let Some(step) = found else {
        return "";
    };
    let value = score(request, step.settings, Some(&base.solved), Scope::Whole).value;
    if value > base.value {
        ", but a whole step would overshoot"
    } else {
        ", and a whole step that way would be better"
    }
}

fn mm(length: f64) -> String {
    tape(length, System::Metric)
}
