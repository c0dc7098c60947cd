//! Settings by name on the command line: `riser_height=125`, `seat=firm`.

use std::fmt::{self, Formatter};

use super::failure::Failure;
use crate::fit::report::SettingsReport;
use crate::fit::{self, Keep, Request, SetUp};
use crate::sled::{Settings, Sled};
use crate::units::Angle;

/// One named setting as it was typed.
#[derive(Clone, Debug, PartialEq)]
pub struct Choice {
    name: &'static str,
    value: String,
}

/// Names of settings with what they take.
const NAMES: [(&str, &str); 7] = [
    ("riser_height", "mm"),
    ("riser_angle", "degrees from vertical, positive rolled back"),
    ("bar_roll", "degrees in the clamp, positive back and down"),
    (
        "stirrup",
        "mm from the foremost position, negative rearward",
    ),
    ("seat", "its name"),
    ("clamp", "its name"),
    ("bar", "its name"),
];

/// Reads `NAME=VALUE`. A unit after the name is allowed: `riser_height_mm=125`.
pub fn parse(text: &str) -> Result<Choice, String> {
    let list = || {
        let names: Vec<_> = NAMES
            .iter()
            .map(|(n, takes)| format!("{n} ({takes})"))
            .collect();
        names.join(", ")
    };
    let (name, value) = text
        .split_once('=')
        .ok_or_else(|| format!("a setting is given as NAME=VALUE; names: {}", list()))?;
    let bare = name.trim();
    let bare = bare
        .strip_suffix("_mm")
        .or(bare.strip_suffix("_deg"))
        .unwrap_or(bare);
    let (name, _) = NAMES
        .iter()
        .find(|(known, _)| *known == bare)
        .ok_or_else(|| format!("no setting is called \"{name}\"; names: {}", list()))?;
    let value = value.trim().to_owned();
    if value.is_empty() {
        return Err(format!("{name}: nothing after the ="));
    }
    Ok(Choice { name, value })
}

/// What the choices mean on a sled; `option` is the option they came by.
pub fn kept(sled: &Sled, choices: &[Choice], option: &'static str) -> Result<Keep, Failure> {
    let mut keep = Keep::default();
    let mut seen: Vec<&str> = Vec::new();
    for choice in choices {
        if seen.contains(&choice.name) {
            return Err(choice.refused(option, "given twice"));
        }
        seen.push(choice.name);
        add(&mut keep, sled, choice, option)?;
    }
    Ok(keep)
}

fn add(keep: &mut Keep, sled: &Sled, choice: &Choice, option: &'static str) -> Result<(), Failure> {
    let refuse = |because: String| choice.refused(option, &because);
    let part = |names: Vec<&str>| {
        names
            .iter()
            .position(|n| *n == choice.value)
            .ok_or_else(|| refuse(format!("not in stock; there are {}", names.join(", "))))
    };
    match choice.name {
        "seat" => keep.seat = Some(part(sled.seats.iter().map(|s| s.name.as_str()).collect())?),
        "clamp" => {
            keep.clamp = Some(part(sled.clamps.iter().map(|c| c.name.as_str()).collect())?);
        }
        "bar" => keep.bar = Some(part(sled.bars.iter().map(|b| b.name.as_str()).collect())?),
        "riser_height" => {
            let height = choice.number(option)?;
            let heights = || sled.risers.iter().map(|r| r.height);
            keep.riser = Some(
                heights()
                    .position(|h| (h - height).abs() < SAME)
                    .ok_or_else(|| {
                        let list: Vec<_> = heights().map(|h| h.to_string()).collect();
                        refuse(format!("not in stock; there are {} mm", list.join(", ")))
                    })?,
            );
        }
        "stirrup" => {
            let x = choice.number(option)?;
            let positions = &sled.stirrup.positions;
            let found = positions.iter().find(|p| (*p - x).abs() < SAME);
            keep.stirrup = Some(*found.ok_or_else(|| {
                let list: Vec<_> = positions.iter().map(f64::to_string).collect();
                refuse(format!(
                    "no such position; there are {} mm",
                    list.join(", ")
                ))
            })?);
        }
        "riser_angle" => {
            let angle = choice.number(option)?;
            let bounds = sled.risers.iter().map(|r| r.angles.bounds());
            let (low, high) = bounds.fold((f64::INFINITY, f64::NEG_INFINITY), |all, b| {
                (all.0.min(b.0.deg()), all.1.max(b.1.deg()))
            });
            keep.riser_angle = Some(within(angle, low, high, refuse)?);
        }
        _ => {
            let (low, high) = sled.bar_roll;
            let roll = choice.number(option)?;
            keep.bar_roll = Some(within(roll, low.deg(), high.deg(), refuse)?);
        }
    }
    Ok(())
}

/// Whole settings, with what was not chosen as a sled comes: the middle riser, upright or as near to it as the riser
/// allows, no bar roll, the first of the other parts, the middle stirrup position. Names what was taken so.
pub fn completed(keep: &Keep, sled: &Sled) -> Result<(Settings, Vec<&'static str>), Failure> {
    let mut taken = Vec::new();
    let mut missing = |name: &'static str| taken.push(name);
    let mut pick = |name, chosen: Option<usize>, count: usize, usual: usize| {
        chosen.unwrap_or_else(|| {
            if count > 1 {
                missing(name);
            }
            usual
        })
    };
    let riser = pick(
        "riser_height",
        keep.riser,
        sled.risers.len(),
        sled.risers.len() / 2,
    );
    let clamp = pick("clamp", keep.clamp, sled.clamps.len(), 0);
    let bar = pick("bar", keep.bar, sled.bars.len(), 0);
    let seat = pick("seat", keep.seat, sled.seats.len(), 0);
    let positions = &sled.stirrup.positions;
    let stirrup = keep.stirrup.unwrap_or_else(|| {
        if positions.len() > 1 {
            missing("stirrup");
        }
        positions[positions.len() / 2]
    });
    let riser_angle = keep.riser_angle.unwrap_or_else(|| {
        missing("riser_angle");
        sled.risers[riser].angles.nearest(Angle::ZERO)
    });
    let bar_roll = keep.bar_roll.unwrap_or_else(|| {
        missing("bar_roll");
        Angle::ZERO.clamped(sled.bar_roll.0, sled.bar_roll.1)
    });
    let settings = Settings {
        riser,
        clamp,
        bar,
        seat,
        stirrup,
        riser_angle,
        bar_roll,
    };
    Ok((settings.checked(sled)?, taken))
}

/// The set-up that choices make on the request's sled, with what was taken as a sled comes; without any choice the best
/// one.
pub fn set_up(request: &Request, set: &Keep) -> Result<(SetUp, Vec<&'static str>), Failure> {
    if *set == Keep::default() {
        return Ok((fit::fit(request).best, Vec::new()));
    }
    let (settings, taken) = completed(set, request.sled)?;
    Ok((fit::evaluate(request, settings), taken))
}

/// Writes where the sled stands, or stood, and what of it was taken as a sled comes.
pub fn told(
    f: &mut Formatter<'_>,
    stands: &str,
    settings: &SettingsReport,
    taken: &[&str],
) -> fmt::Result {
    let s = settings;
    writeln!(
        f,
        "\nThe sled {stands} at: riser {:.0} mm at {:.1}°, bar roll {:.1}°, stirrups {:.0} mm, {} seat, {} clamp, {} bar.",
        s.riser_height_mm, s.riser_angle_deg, s.bar_roll_deg, s.stirrup_mm, s.seat, s.clamp, s.bar
    )?;
    if taken.is_empty() {
        return Ok(());
    }
    writeln!(
        f,
        "Not given and taken as a sled comes: {}.",
        taken.join(", ")
    )
}

/// Typed lengths closer than this to one in stock mean it, mm.
const SAME: f64 = 0.5;

/// Degrees without the last bits that came of keeping them in radians.
fn plain(degrees: f64) -> f64 {
    (degrees * 1e9).round() / 1e9
}

fn within(
    value: f64,
    low: f64,
    high: f64,
    refuse: impl Fn(String) -> Failure,
) -> Result<Angle, Failure> {
    let (value, low, high) = (plain(value), plain(low), plain(high));
    if (low..=high).contains(&value) {
        Ok(Angle::from_deg(value))
    } else {
        Err(refuse(format!("the sled allows {low} to {high} degrees")))
    }
}

impl Choice {
    fn number(&self, option: &'static str) -> Result<f64, Failure> {
        self.value
            .parse()
            .map_err(|_| self.refused(option, "this setting takes a number"))
    }

    fn refused(&self, option: &'static str, because: &str) -> Failure {
        Failure::Choice {
            option,
            name: self.name,
            value: self.value.clone(),
            because: because.to_owned(),
        }
    }
}
