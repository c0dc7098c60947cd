//! A set-up that is changed by hand: settings step by step, levers as they are taped, and the change that comes of it.

use std::collections::BTreeMap;

use super::form::{Wrong, said};
use crate::log::form::{ChangeRecord, ExpectedForm, LeverForm, SetUpRecord};
use crate::log::{SetUpForm, What};
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
pub type LeverTexts = BTreeMap<&'static str, Entry>;

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
                wrong
                    .entry(LEVERS[first + gap].0.to_owned())
                    .or_insert_with(|| {
                        "A lever is written down with all three, or with none.".to_owned()
                    });
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
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Why {
    /// Why, in words.
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

/// The change from what stands to what is wanted; where nothing stands, a base set-up.
///
/// # Errors
/// What is wrong, by field: no reason for a change, minutes that are no number, or nothing that differs.
pub fn change(stands: Option<&SetUpForm>, to: SetUpForm, why: &Why) -> Result<What, Wrong> {
    let reason = why.reason.trim();
    let Some(from) = stands else {
        let note = (!reason.is_empty()).then(|| reason.to_owned());
        return Ok(What::BaseSetUp(SetUpRecord { set_up: to, note }));
    };
    if from.differences(&to, System::Metric).is_empty()
        && from.brake.is_some() == to.brake.is_some()
        && from.throttle.is_some() == to.throttle.is_some()
    {
        return Err(said(
            "",
            "Nothing differs from how it stands: change a setting first.",
        ));
    }
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
}
