//! A set-up that is changed by hand: settings step by step, levers as they are taped, and the change that comes of it.

use serde::{Deserialize, Serialize};

use super::form::{Wrong, said};
use crate::log::form::{ChangeRecord, ExpectedForm, LeverForm, SetUpRecord};
use crate::log::{SetUpForm, What};
use crate::order::Map;
use crate::plan::entry::{Entry, Kind, Units};
use crate::sled::{Settings, Sled};
use crate::units::text::System;

/// A field of a lever: its name, what it is called, what it holds.
pub type LeverField = (&'static str, &'static str, Kind);

/// Fields of both levers, three each.
pub const LEVERS: [LeverField; 6] = [
    (
        "brake.along",
        "Brake clamp to the grip’s inner end",
        Kind::Length,
    ),
    ("brake.roll", "Brake lever below level", Kind::Angle),
    ("brake.reach", "Brake lever’s reach", Kind::Length),
    (
        "throttle.along",
        "Throttle clamp to the grip’s inner end",
        Kind::Length,
    ),
    ("throttle.roll", "Throttle below level", Kind::Angle),
    ("throttle.reach", "Throttle’s reach", Kind::Length),
];

/// What is typed of the levers, with the units of its time.
pub type LeverTexts = Map<&'static str, Entry>;

/// The levers of a set-up as texts; of those that were not written down nothing.
pub fn lever_texts(set_up: &SetUpForm, units: Units) -> LeverTexts {
    let levers = [&set_up.brake, &set_up.throttle];
    let values = levers.into_iter().flat_map(|lever| match lever {
        Some(l) => [Some(l.along_mm), Some(l.roll_deg), Some(l.lever_reach_mm)],
        None => [None; 3],
    });
    let rows = LEVERS.into_iter().zip(values);
    rows.filter_map(|((key, _, kind), value)| {
        Some((key, Entry::new(kind.print(value?, units), units)))
    })
    .collect()
}

/// The set-up of settings on their sled with the levers as typed. A lever that still reads as it stood keeps its digits.
///
/// # Errors
/// What is wrong, by field: a text that is no number, or a lever of which only a part is given.
pub fn set_up(
    stands: Option<&SetUpForm>,
    sled: &Sled,
    settings: &Settings,
    typed: &LeverTexts,
) -> Result<SetUpForm, Wrong> {
    let mut wrong = Wrong::new();
    let mut read = |first: usize, stood: Option<&LeverForm>| {
        let mut values = [None; 3];
        for (value, (key, _, kind)) in values.iter_mut().zip(&LEVERS[first..first + 3]) {
            let Some(entry) = typed.get(key).filter(|e| !e.is_empty()) else {
                continue;
            };
            match kind.number(&entry.text, None, entry.units) {
                Ok(number) => *value = Some((number, entry)),
                Err(error) => drop(wrong.insert((*key).to_owned(), error.to_string())),
            }
        }
        let [Some(along), Some(roll), Some(reach)] = values else {
            if values.iter().any(Option::is_some)
                && let Some(gap) = values.iter().position(Option::is_none)
            {
                let says = "A lever is written down with all three, or with none.";
                wrong.at(LEVERS[first + gap].0.to_owned(), says.to_owned());
            }
            return None;
        };
        let as_it_stood = |(number, entry): (f64, &Entry), kind: Kind, stood: Option<f64>| {
            let same = |s: &f64| kind.print(*s, entry.units) == entry.text;
            stood.filter(same).unwrap_or(number)
        };
        Some(LeverForm {
            along_mm: as_it_stood(along, Kind::Length, stood.map(|l| l.along_mm)),
            roll_deg: as_it_stood(roll, Kind::Angle, stood.map(|l| l.roll_deg)),
            lever_reach_mm: as_it_stood(reach, Kind::Length, stood.map(|l| l.lever_reach_mm)),
        })
    };
    let brake = read(0, stands.and_then(|s| s.brake.as_ref()));
    let throttle = read(3, stands.and_then(|s| s.throttle.as_ref()));
    if !wrong.is_empty() {
        return Err(wrong);
    }
    Ok(SetUpForm {
        brake,
        throttle,
        ..SetUpForm::of(sled, settings, None)
    })
}

/// Why a set-up is changed, as typed and chosen.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Why {
    /// Why, in words; of a base set-up, where it comes from.
    pub reason: String,
    /// Minutes that it takes, as typed; may be empty.
    pub minutes: String,
    /// The complaints that it answers.
    pub answers: Vec<String>,
    /// What it should do.
    pub expected: Vec<ExpectedForm>,
    /// Parts that it needs.
    pub parts: Vec<String>,
}

/// A change that was chosen and is not written down yet.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Picked {
    /// How it shall stand.
    pub to: SetUpForm,
    /// Why.
    pub why: Why,
}

impl Picked {
    /// The set-up that an entry made, and why; `None` where it made none.
    pub fn of(what: &What) -> Option<Self> {
        let (to, why) = match what {
            What::Change(record) => (
                &record.to,
                Why {
                    reason: record.reason.clone(),
                    minutes: record.minutes.map(|m| m.to_string()).unwrap_or_default(),
                    answers: record.answers.clone(),
                    expected: record.expected.clone(),
                    parts: record.parts.clone(),
                },
            ),
            What::BaseSetUp(record) => (
                &record.set_up,
                Why {
                    reason: record.note.clone().unwrap_or_default(),
                    ..Why::default()
                },
            ),
            _ => return None,
        };
        let to = to.clone();
        Some(Self { to, why })
    }

    /// Why it is made so and no longer quite as it was chosen: what was computed holds for what was chosen alone.
    pub fn why(&self, to: &SetUpForm, reason: String, minutes: String) -> Why {
        let as_chosen = self.to.differences(to, System::Metric).is_empty();
        let expected = as_chosen.then(|| self.why.expected.clone());
        Why {
            reason,
            minutes,
            expected: expected.unwrap_or_default(),
            ..self.why.clone()
        }
    }
}

/// The change from what stands to what is wanted; where nothing stands, a base set-up.
///
/// # Errors
/// What is wrong, by field: no reason for a change, minutes that are no number, or nothing that differs.
pub fn change(stands: Option<&SetUpForm>, to: SetUpForm, why: &Why) -> Result<What, Wrong> {
    if stands.is_some_and(|from| same(from, &to)) {
        return Err(said(
            "",
            "Nothing differs from how it stands: change a setting first.",
        ));
    }
    made(stands, to, why)
}

/// An entry that made a set-up, put right: of the same kind, from where it shall have begun. What was felt, and every
/// change after it, stays as it was written down.
///
/// # Errors
/// As [`change`]; also where it would change nothing.
pub fn corrected(
    former: &What,
    from: Option<&SetUpForm>,
    to: SetUpForm,
    why: &Why,
) -> Result<What, Wrong> {
    // What no tape tells apart keeps its digits.
    let stood = Picked::of(former).map(|p| p.to).filter(|s| same(s, &to));
    let what = made(from, stood.unwrap_or(to), why)?;
    if what == *former {
        return Err(said(
            "",
            "Nothing is put right yet: this is as it was written down.",
        ));
    }
    Ok(what)
}

/// Whether tape and level show no difference.
fn same(a: &SetUpForm, b: &SetUpForm) -> bool {
    a.differences(b, System::Metric).is_empty()
        && a.brake.is_some() == b.brake.is_some()
        && a.throttle.is_some() == b.throttle.is_some()
}

fn made(stands: Option<&SetUpForm>, to: SetUpForm, why: &Why) -> Result<What, Wrong> {
    let reason = why.reason.trim();
    let Some(from) = stands else {
        let note = (!reason.is_empty()).then(|| reason.to_owned());
        return Ok(What::BaseSetUp(SetUpRecord { set_up: to, note }));
    };
    if reason.is_empty() {
        return Err(said(
            "reason",
            "Say why in a few words: without a reason nobody learns from it.",
        ));
    }
    let minutes = why.minutes.trim();
    let minutes = (!minutes.is_empty())
        .then(|| Kind::Number.number(minutes, None, Units::Metric))
        .transpose()
        .map_err(|error| said("minutes", &error.to_string()))?;
    Ok(What::Change(Box::new(ChangeRecord {
        from: from.clone(),
        to,
        reason: reason.to_owned(),
        answers: why.answers.clone(),
        expected: why.expected.clone(),
        parts: why.parts.clone(),
        minutes,
    })))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::log::form::NoteRecord;
    use crate::plan::setting::{Setting, middle};
    use crate::sled::SledProfile;
    use crate::sled::profile::SHIPPED;

    fn sled() -> Sled {
        SledProfile::read(SHIPPED[0].text)
            .unwrap()
            .resolve()
            .unwrap()
    }

    fn stands(sled: &Sled) -> SetUpForm {
        SetUpForm {
            brake: Some(LeverForm {
                along_mm: 80.4,
                roll_deg: 12.2,
                lever_reach_mm: 50.0,
            }),
            ..SetUpForm::of(sled, &middle(sled), None)
        }
    }

    fn why(reason: &str) -> Why {
        Why {
            reason: reason.to_owned(),
            ..Why::default()
        }
    }

    #[test]
    fn what_is_not_touched_keeps_its_digits_in_any_units() {
        let sled = sled();
        let stands = stands(&sled);
        for units in [Units::Metric, Units::Imperial] {
            let typed = lever_texts(&stands, units);
            let to = set_up(Some(&stands), &sled, &middle(&sled), &typed).unwrap();
            assert_eq!(to, stands);
            assert!(
                change(Some(&stands), to, &why("to try")).unwrap_err()[""]
                    .contains("Nothing differs")
            );
        }
    }

    #[test]
    fn a_change_needs_a_reason_and_a_whole_lever() {
        let sled = sled();
        let stands = stands(&sled);
        let next = Setting::Stirrup.stepped(middle(&sled), 1, &sled);
        let typed = lever_texts(&stands, Units::Metric);
        let to = set_up(Some(&stands), &sled, &next, &typed).unwrap();
        assert!(
            change(Some(&stands), to.clone(), &why(" "))
                .unwrap_err()
                .contains_key("reason")
        );
        let soon = Why {
            minutes: "soon".to_owned(),
            ..why("to try")
        };
        assert!(
            change(Some(&stands), to.clone(), &soon)
                .unwrap_err()
                .contains_key("minutes")
        );
        let made = change(
            Some(&stands),
            to.clone(),
            &Why {
                minutes: "7,5".to_owned(),
                ..why("to try")
            },
        );
        let Ok(What::Change(record)) = made else {
            panic!("{made:?}")
        };
        assert_eq!(
            (record.minutes, record.reason.as_str(), &record.from),
            (Some(7.5), "to try", &stands)
        );
        assert!(
            matches!(change(None, to, &why("")).unwrap(), What::BaseSetUp(r) if r.note.is_none())
        );

        let mut part = typed.clone();
        part.remove("brake.roll");
        let wrong = set_up(Some(&stands), &sled, &next, &part).unwrap_err();
        assert!(wrong["brake.roll"].contains("all three"), "{wrong:?}");
        part.insert("brake.roll", Entry::new("steep", Units::Metric));
        assert!(
            set_up(Some(&stands), &sled, &next, &part).unwrap_err()["brake.roll"].contains("steep")
        );
        part.retain(|key, _| !key.starts_with("brake"));
        assert_eq!(
            set_up(Some(&stands), &sled, &next, &part).unwrap().brake,
            None
        );
    }

    #[test]
    fn an_entry_is_put_right_as_the_kind_that_it_is_and_only_where_it_changes() {
        let sled = sled();
        let stands = stands(&sled);
        let next = Setting::Stirrup.stepped(middle(&sled), 1, &sled);
        let to = SetUpForm::of(&sled, &next, None);
        let expected = ExpectedForm {
            figure: "elbow".to_owned(),
            stance: None,
            unit: None,
            from: 60.0,
            to: 55.0,
        };
        let made = Why {
            minutes: "7.5".to_owned(),
            expected: vec![expected],
            answers: vec!["numb_hands".to_owned()],
            ..why("to try")
        };
        for former in [
            change(Some(&stands), to.clone(), &made).unwrap(),
            change(None, to.clone(), &why("")).unwrap(),
        ] {
            let picked = Picked::of(&former).unwrap();
            let from = match &former {
                What::Change(record) => Some(&record.from),
                _ => None,
            };
            let words = |to: &SetUpForm, reason: &str| {
                picked.why(to, reason.to_owned(), picked.why.minutes.clone())
            };
            let right = |to: &SetUpForm, reason: &str| {
                corrected(&former, from, to.clone(), &words(to, reason))
            };
            let same = right(&picked.to, &picked.why.reason);
            assert!(same.unwrap_err()[""].contains("Nothing is put right"));
            let said = right(&picked.to, "as she said").unwrap();
            assert_eq!(Picked::of(&said).unwrap().why.expected, picked.why.expected);
            let right = right(&stands, "as she said").unwrap();
            assert_eq!(right.name(), former.name());
            let right = Picked::of(&right).unwrap();
            assert_eq!(
                (&right.to, right.why.reason.as_str()),
                (&stands, "as she said")
            );
            // What was computed was computed for something else.
            assert!(right.why.expected.is_empty());
            assert_eq!(right.why.answers, picked.why.answers);
        }
        assert_eq!(
            Picked::of(&What::Note(NoteRecord {
                words: "x".to_owned()
            })),
            None
        );
    }
}
