//! The options of a comparison as they are typed and chosen, and the address that carries them all.
//!
//! An address holds the stance in front, what the drawing is aligned on, and for every option its sled and its set-up's
//! code (see [`super::code`]) with three kinds of parts beside it: `x.name`, `x.stance` (the one that is compared), and
//! `x.w.` with a stance's name for its weight.

use super::code::{self, CodeError, short};
use super::place::{Address, Place};
use super::{Plan, SledPick, Units, setting};
use crate::compare::{Alternative, MOST};
use crate::fit::Keep;
use crate::order::Map;
use crate::stance::Stance;
use crate::units::text::finite;

/// Least and greatest weight of a stance; our choice: beyond it the others count for nothing.
pub const WEIGHTS: (f64, f64) = (0.0, 20.0);

/// An option.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Entered {
    /// What it is called.
    pub name: String,
    /// Rider, sled and settings; its units and its stance in front mean nothing here.
    pub plan: Plan,
    /// The one stance that is compared; empty: all of them.
    pub stance: String,
    /// Weights of stances other than their own.
    pub weights: Map<String, f64>,
}

/// Options beside each other.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Options {
    /// The options, the one that all others are compared with first.
    pub list: Vec<Entered>,
    /// The stance that is drawn; empty: the first that the weight point is judged in.
    pub front: String,
    /// Whether the drawing is aligned on the hips, not on the sled.
    pub on_hips: bool,
}

const SLED: &str = "sled";
const HIPS: &str = "hips";
/// What stands for no stance.
const NONE: &str = "-";

impl Options {
    /// What the address says after the place's word.
    pub fn parts(&self) -> Vec<String> {
        let front = if self.front.is_empty() {
            NONE
        } else {
            &self.front
        };
        let align = if self.on_hips { HIPS } else { SLED };
        let mut parts = vec![front.to_owned(), align.to_owned()];
        for option in &self.list {
            parts.push(option.plan.sled.pick.id().to_owned());
            parts.push(option.code());
        }
        parts
    }

    /// The whole address, `#` first.
    pub fn address(&self) -> String {
        let address = Address {
            place: Place::Compare,
            inside: self.parts(),
            ..Address::default()
        };
        address.write()
    }

    /// Reads what an address says after the place's word; none where it says nothing.
    ///
    /// # Errors
    /// A newer version, or a part that cannot be read.
    pub fn read(parts: &[String]) -> Result<Option<Self>, CodeError> {
        let [front, align, rest @ ..] = parts else {
            return Ok(None);
        };
        let damaged = |part: &str| CodeError::Damaged {
            part: part.chars().take(40).collect(),
        };
        let on_hips = match align.as_str() {
            SLED => false,
            HIPS => true,
            other => return Err(damaged(other)),
        };
        if rest.is_empty() || rest.len() > 2 * MOST || rest.len() % 2 == 1 {
            return Err(damaged(&parts.join("/")));
        }
        let read = |pair: &[String]| {
            let pick = SledPick::from_id(&pair[0]).ok_or_else(|| damaged(&pair[0]))?;
            Entered::read(pick, &pair[1])
        };
        Ok(Some(Self {
            list: rest.chunks(2).map(read).collect::<Result<_, _>>()?,
            front: if front == NONE {
                String::new()
            } else {
                front.clone()
            },
            on_hips,
        }))
    }

    /// The options as the comparison takes them.
    ///
    /// # Errors
    /// Names the option, by its letter, and what is missing or wrong.
    pub fn alternatives(&self, stances: &[Stance]) -> Result<Vec<Alternative>, String> {
        let each = self.list.iter().enumerate();
        each.map(|(i, option)| {
            let letter = crate::compare::letter(i);
            option
                .alternative(stances)
                .map_err(|because| format!("Option {letter}: {because}"))
        })
        .collect()
    }
}

impl Entered {
    /// A set-up as an option.
    pub fn of(plan: Plan) -> Self {
        Self {
            plan,
            ..Self::default()
        }
    }

    /// All that an address says of it, its sled first.
    pub fn text(&self) -> String {
        format!("{}/{}", self.plan.sled.pick.id(), self.code())
    }

    /// The same without what a fit does not depend on.
    pub fn key(&self) -> String {
        let unnamed = Self {
            name: String::new(),
            stance: String::new(),
            ..self.clone()
        };
        unnamed.text()
    }

    fn code(&self) -> String {
        let mut more = Vec::new();
        let mut add = |key: String, value: &str| {
            if !value.is_empty() {
                more.push((key, value.to_owned()));
            }
        };
        add("x.name".to_owned(), &self.name);
        add("x.stance".to_owned(), &self.stance);
        for (stance, weight) in &self.weights {
            add(format!("x.w.{stance}"), &short(*weight));
        }
        code::write_with(&self.plan, &more)
    }

    fn read(pick: SledPick, code: &str) -> Result<Self, CodeError> {
        let mut option = Self::default();
        let plan = code::read_with(code, &Plan::default(), &mut |key, value| {
            match key.strip_prefix("x.")? {
                "name" => value.clone_into(&mut option.name),
                "stance" => value.clone_into(&mut option.stance),
                key => {
                    let stance = key.strip_prefix("w.")?;
                    option.weights.insert(stance.to_owned(), finite(value)?);
                }
            }
            Some(())
        })?;
        option.plan = plan;
        option.plan.sled.pick = pick;
        Ok(option)
    }

    /// What it says of the rider, sled and settings.
    ///
    /// # Errors
    /// In words, what is missing or wrong.
    pub fn alternative(&self, stances: &[Stance]) -> Result<Alternative, String> {
        let rider = self.plan.rider.read(Units::Metric);
        if let Some((path, words)) = rider.errors.first() {
            return Err(format!("{}: {words}", super::words::path_in_words(path)));
        }
        let built = rider
            .built
            .ok_or("the rider's height and weight are missing")?;
        let read = self.plan.sled.read();
        let sled = read.sled.ok_or_else(|| match read.errors.first() {
            Some((path, words)) => {
                format!("the sled's {}: {words}", super::words::path_in_words(path))
            }
            None => "there is no sled".to_owned(),
        })?;
        let keep = match self.plan.by_hand {
            Some(chosen) => Keep::all(
                chosen
                    .on(&sled)
                    .ok_or("its settings are not those of its sled")?,
            ),
            None => setting::keep(&self.plan.kept, &sled),
        };
        let mut stances = stances.to_vec();
        for (name, weight) in &self.weights {
            let (low, high) = WEIGHTS;
            if !(low..=high).contains(weight) {
                return Err(format!(
                    "weight of {name}: {weight} is outside {low} to {high}"
                ));
            }
            match stances.iter_mut().find(|s| s.name == *name) {
                Some(stance) => stance.weight = *weight,
                None => return Err(format!("no stance is called \"{name}\"")),
            }
        }
        if stances.iter().all(|s| s.weight <= 0.0) {
            return Err("no stance has a weight above 0".to_owned());
        }
        let stance = match self.stance.as_str() {
            "" => None,
            name => Some(
                stances
                    .iter()
                    .position(|s| s.name == name)
                    .ok_or_else(|| format!("no stance is called \"{name}\""))?,
            ),
        };
        Ok(Alternative {
            name: self.name.clone(),
            rider_name: String::new(),
            built,
            sled,
            stances,
            keep,
            levers: self.plan.levers.angles(),
            stance,
        })
    }
}
