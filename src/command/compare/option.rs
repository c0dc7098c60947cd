//! An option as it is typed: `name=firm,sled=tall-tern,seat=firm`, or a page's address.

use std::path::{Path, PathBuf};

use crate::command::choice::{self, Choice};
use crate::command::failure::Failure;
use crate::command::inputs::{self, RiderArgs, SledArgs, sex};
use crate::compare::{Alternative, letter};
use crate::fit::{self, Keep};
use crate::plan::options::{Entered, Options, WEIGHTS};
use crate::plan::place::{Address, Place};
use crate::plan::{Plan, SledPick, code};
use crate::rider::{FACTORS, Level};
use crate::sled::Sled;
use crate::stance::Stance;

/// An option as it was typed.
#[derive(Clone, Debug)]
pub enum Typed {
    /// Parts by key.
    Parts(Vec<(String, String)>),
    /// What stands behind the `#` of an address.
    Address(String),
}

/// Keys beside those of settings.
const KEYS: &str = "name, rider, stature_mm, mass_kg, sex, age_y, strength, sled, riser_height, riser_angle, bar_roll, \
     stirrup, seat, clamp, bar, weight.STANCE, stance, like";

/// The option's name in messages.
const OPTION: &str = "compare";

/// Reads the form of an option; what it means is found when all of them are there.
pub fn parse(text: &str) -> Result<Typed, String> {
    if let Some((_, hash)) = text.split_once('#') {
        return Ok(Typed::Address(hash.to_owned()));
    }
    let part = |part: &str| {
        let (key, value) = part
            .split_once('=')
            .ok_or_else(|| format!("\"{part}\" is no KEY=VALUE; keys: {KEYS}"))?;
        let (key, value) = (key.trim().to_owned(), value.trim().to_owned());
        if value.is_empty() {
            return Err(format!("{key}: nothing after the ="));
        }
        Ok((key, value))
    };
    let parts = text.split(',').filter(|p| !p.trim().is_empty()).map(part);
    Ok(Typed::Parts(parts.collect::<Result<_, _>>()?))
}

/// What holds for options that do not say otherwise.
pub struct Common<'a> {
    /// The rider.
    pub rider: &'a RiderArgs,
    /// The sled.
    pub sled: Option<&'a Path>,
    /// Stances beside the shipped ones.
    pub stances: &'a [PathBuf],
}

/// One option's parts, sorted.
#[derive(Default)]
struct Parts {
    name: String,
    rider: RiderArgs,
    says_rider: bool,
    strength: Option<Level>,
    sled: Option<PathBuf>,
    settings: Vec<Choice>,
    weights: Vec<(String, f64)>,
    stance: Option<String>,
    like: Option<usize>,
}

impl Common<'_> {
    /// Every option, resolved.
    pub fn alternatives(&self, typed: &[Typed]) -> Result<Vec<Alternative>, Failure> {
        let stances = inputs::stances(self.stances)?;
        let mut all: Vec<Alternative> = Vec::new();
        for option in typed {
            match option {
                Typed::Parts(parts) => {
                    let parts = Parts::read(parts, letter(all.len()))?;
                    let next = self.alternative(parts, &all, &stances)?;
                    all.push(next);
                }
                Typed::Address(hash) => {
                    let found = addressed(hash)?.alternatives(&stances);
                    all.extend(found.map_err(Failure::Usage)?);
                }
            }
        }
        Ok(all)
    }

    fn alternative(
        &self,
        parts: Parts,
        earlier: &[Alternative],
        stances: &[Stance],
    ) -> Result<Alternative, Failure> {
        let place = letter(earlier.len());
        let like = match parts.like {
            None => None,
            Some(i) => Some(earlier.get(i).ok_or_else(|| {
                Failure::Usage(format!(
                    "option {place}: like={}: there is no such option before this one",
                    letter(i)
                ))
            })?),
        };
        let (mut built, rider_name) = match like {
            Some(like) if !parts.says_rider => (like.built.clone(), like.rider_name.clone()),
            _ => {
                let args = if parts.says_rider {
                    &parts.rider
                } else {
                    self.rider
                };
                (args.build()?, args.called()?)
            }
        };
        if let Some(level) = parts.strength {
            built = built.at_level(level);
        }
        let sled = match (parts.sled.as_deref(), like, self.sled) {
            (Some(path), ..) | (None, None, Some(path)) => sled_of(path)?,
            (None, Some(like), _) => like.sled.clone(),
            (None, None, None) => {
                return Err(Failure::Usage(format!(
                    "option {place}: the sled is missing: give sled=FILE in it, or --sled FILE for all"
                )));
            }
        };
        let mut keep = choice::kept(&sled, &parts.settings, OPTION)?;
        let mut levers = (None, None);
        let mut weighed = stances.to_vec();
        let mut stance = None;
        if let Some(like) = like {
            weighed = like.stances.clone();
            stance = like.stance;
            if like.sled == sled {
                keep = over(keep, standing(like), &sled);
                levers = like.levers;
            }
        }
        for (name, weight) in &parts.weights {
            named(&weighed, name, place).map(|i| weighed[i].weight = *weight)?;
        }
        if let Some(name) = &parts.stance {
            stance = Some(named(&weighed, name, place)?);
        }
        Ok(Alternative {
            name: parts.name,
            rider_name,
            built,
            sled,
            stances: weighed,
            keep,
            levers,
            stance,
        })
    }
}

/// The sled of a file, or a demo.
fn sled_of(path: &Path) -> Result<Sled, Failure> {
    let args = SledArgs {
        sled: path.to_owned(),
        stance: Vec::new(),
    };
    args.sled()
}

/// An earlier option's settings as it came out.
fn standing(like: &Alternative) -> Keep {
    Keep::all(fit::fit(&like.request()).best.settings)
}

/// What is named, and for the rest what stands. A riser angle that the named riser does not have comes as near as it can.
fn over(named: Keep, standing: Keep, sled: &Sled) -> Keep {
    let riser = named.riser.or(standing.riser);
    let angle = standing.riser_angle.zip(riser);
    let angle = angle.map(|(angle, riser)| sled.risers[riser].angles.nearest(angle));
    Keep {
        riser,
        clamp: named.clamp.or(standing.clamp),
        bar: named.bar.or(standing.bar),
        seat: named.seat.or(standing.seat),
        stirrup: named.stirrup.or(standing.stirrup),
        riser_angle: named.riser_angle.or(angle),
        bar_roll: named.bar_roll.or(standing.bar_roll),
    }
}

fn named(stances: &[Stance], name: &str, place: char) -> Result<usize, Failure> {
    stances.iter().position(|s| s.name == name).ok_or_else(|| {
        let names: Vec<&str> = stances.iter().map(|s| s.name.as_str()).collect();
        Failure::Usage(format!(
            "option {place}: no stance is called \"{name}\"; there are {}",
            names.join(", ")
        ))
    })
}

/// The options that an address carries.
fn addressed(hash: &str) -> Result<Options, Failure> {
    let address = Address::read(hash);
    let wrong = |because: String| Failure::Usage(format!("#{}: {because}", shortened(hash)));
    match address.place {
        Place::Compare => Options::read(&address.inside)
            .map_err(|e| wrong(e.to_string()))?
            .ok_or_else(|| wrong("this address carries no options".to_owned())),
        Place::Start => {
            let text = address
                .code
                .ok_or_else(|| wrong("this address carries no set-up".to_owned()))?;
            let mut plan = code::read(&text, &Plan::default()).map_err(|e| wrong(e.to_string()))?;
            if let Some(pick) = address.sled.as_deref().and_then(SledPick::from_id) {
                plan.sled.pick = pick;
            }
            Ok(Options {
                list: vec![Entered::of(plan)],
                ..Options::default()
            })
        }
        Place::Book => Err(wrong(
            "this is an address in the book, not a set-up's".to_owned(),
        )),
    }
}

fn shortened(hash: &str) -> String {
    hash.chars().take(40).collect()
}

impl Parts {
    fn read(typed: &[(String, String)], place: char) -> Result<Self, Failure> {
        let mut parts = Self::default();
        let mut seen: Vec<&str> = Vec::new();
        for (key, value) in typed {
            let wrong = |because: String| {
                Failure::Usage(format!("option {place}: {key}={value}: {because}"))
            };
            if seen.contains(&key.as_str()) {
                return Err(wrong("given twice".to_owned()));
            }
            seen.push(key);
            let number = || {
                let value = value.parse::<f64>().ok().filter(|v| v.is_finite());
                value.ok_or_else(|| wrong("this takes a number".to_owned()))
            };
            let rider = &mut parts.rider;
            parts.says_rider |= matches!(
                key.as_str(),
                "rider" | "stature_mm" | "mass_kg" | "sex" | "age_y"
            );
            match key.as_str() {
                "name" => value.clone_into(&mut parts.name),
                "rider" => rider.rider = Some(PathBuf::from(value)),
                "stature_mm" => rider.stature_mm = Some(number()?),
                "mass_kg" => rider.mass_kg = Some(number()?),
                "sex" => rider.sex = Some(sex(value).map_err(wrong)?),
                "age_y" => rider.age_y = Some(number()?),
                "strength" => parts.strength = Some(level(value).map_err(wrong)?),
                "sled" => parts.sled = Some(PathBuf::from(value)),
                "stance" => parts.stance = Some(value.clone()),
                "like" => {
                    let place =
                        ('A'..='C').position(|l| value.eq_ignore_ascii_case(&l.to_string()));
                    let none = || {
                        wrong("this takes the letter of an earlier option: A, B or C".to_owned())
                    };
                    parts.like = Some(place.ok_or_else(none)?);
                }
                key => match key.strip_prefix("weight.") {
                    Some(stance) => {
                        let (weight, (low, high)) = (number()?, WEIGHTS);
                        if !(low..=high).contains(&weight) {
                            return Err(wrong(format!("allowed is {low} to {high}")));
                        }
                        parts.weights.push((stance.to_owned(), weight));
                    }
                    None => {
                        let choice = choice::parse(&format!("{key}={value}"))
                            .map_err(|_| wrong(format!("no such key; there are {KEYS}")))?;
                        parts.settings.push(choice);
                    }
                },
            }
        }
        Ok(parts)
    }
}

fn level(value: &str) -> Result<Level, String> {
    let (low, high) = FACTORS;
    match value {
        "weak" => Ok(Level::Weak),
        "average" => Ok(Level::Average),
        "trained" => Ok(Level::Trained),
        other => match other.parse::<f64>() {
            Ok(factor) if (low..=high).contains(&factor) => Ok(Level::Factor(factor)),
            _ => Err(format!(
                "allowed are weak, average, trained, or a factor from {low} to {high}"
            )),
        },
    }
}
