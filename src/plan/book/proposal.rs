//! The answer to what a rider felt, with what it takes to write a chosen change down.

use serde::{Deserialize, Serialize};

use crate::change::{Change, Felt, Kind};
use crate::fit::Levers;
use crate::log::SetUpForm;
use crate::log::form::{ExpectedForm, LeverForm};
use crate::plan::advice::{self, Told};
use crate::plan::entry::Units;
use crate::sled::Sled;
use crate::units::text::capital;

/// The answer in words, and the changes in it that can be made with what is in stock.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Proposed {
    /// The answer as it is read.
    pub told: Told,
    /// The changes, each under the title of its note.
    pub changes: Vec<Proposal>,
}

/// A change that can be written down.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Proposal {
    /// The title of its note.
    pub title: String,
    /// How the sled stands after it.
    pub to: SetUpForm,
    /// Figures that a rider would notice, before and after.
    pub expected: Vec<ExpectedForm>,
    /// Minutes, the lock-to-lock check included.
    pub minutes: f64,
    /// The part that it needs.
    pub part: Option<String>,
}

/// The answer, from how the sled stands.
pub fn proposed(felt: &Felt, sled: &Sled, stands: &SetUpForm, units: Units) -> Proposed {
    let made = felt.changes.iter().chain(&felt.longer);
    Proposed {
        told: advice::answers(felt, sled, units),
        changes: made.filter_map(|c| proposal(c, sled, stands)).collect(),
    }
}

fn proposal(change: &Change, sled: &Sled, stands: &SetUpForm) -> Option<Proposal> {
    let settings = change.settings.checked(sled).ok()?;
    let levers = change.levers.as_ref();
    let moved = |lever: Option<LeverForm>, stood: &Option<LeverForm>| lever.or(stood.clone());
    let to = SetUpForm {
        // Levers that the change does not move stay on the bar as they were written down.
        brake: moved(
            only(levers, change.setting, "brake", |l| (&l.brake).into()),
            &stands.brake,
        ),
        throttle: moved(
            only(levers, change.setting, "throttle", |l| (&l.throttle).into()),
            &stands.throttle,
        ),
        ..SetUpForm::of(sled, &settings, None)
    };
    let expected = change.figures.iter().filter_map(|figure| {
        let row = Kind::ALL
            .iter()
            .map(|k| k.row())
            .find(|r| r.name == figure.figure)?;
        let (from, to) = figure.from.zip(figure.to)?;
        let noticed = (to - from).abs() >= 0.5 * row.notice;
        noticed.then(|| ExpectedForm {
            figure: figure.figure.to_owned(),
            stance: figure.stance.clone(),
            unit: (!figure.unit.is_empty()).then(|| figure.unit.to_owned()),
            from,
            to,
        })
    });
    Some(Proposal {
        title: capital(&change.says),
        to,
        expected: expected.collect(),
        minutes: change.minutes,
        part: change.part.clone(),
    })
}

fn only(
    levers: Option<&Levers>,
    setting: &str,
    which: &str,
    take: impl Fn(&Levers) -> LeverForm,
) -> Option<LeverForm> {
    setting
        .starts_with(which)
        .then(|| levers.map(take))
        .flatten()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::change::{Asked, felt};
    use crate::fit::{Request, evaluate};
    use crate::log::{Book, DEMO, Reading, What};
    use crate::plan::book::set_up::{self, Why};
    use crate::stance::Stance;
    use crate::units::text::System;

    #[test]
    fn every_proposal_is_a_note_of_the_answer_and_a_change_that_can_be_written() {
        let book = Book::read(DEMO).unwrap();
        let reading = Reading::new(&book);
        let (rider, sled) = reading.pairs().next().unwrap();
        let stands = reading.set_up(rider, sled, None).unwrap();
        let built = reading.rider(rider).unwrap().profile.build().unwrap();
        let sled = reading.sled(sled).unwrap().profile.resolve().unwrap();
        let stances = Stance::shipped().unwrap();
        let request = Request::new(&built.rider, &sled, &stances);
        let now = evaluate(&request, stands.on(&sled).unwrap());
        let asked = [
            Asked::new("wrist_brake", 2).unwrap(),
            Asked::new("over_the_bars", 2).unwrap(),
        ];
        let answer = felt(&request, &now, &asked, Some(15.0));
        let proposed = proposed(&answer, &sled, stands, Units::Metric);
        assert!(!proposed.changes.is_empty(), "{:?}", proposed.told);
        let notes: Vec<&str> = proposed
            .told
            .groups
            .iter()
            .flat_map(|g| &g.notes)
            .map(|n| n.title.as_str())
            .collect();
        for proposal in &proposed.changes {
            assert!(
                notes.contains(&proposal.title.as_str()),
                "{}",
                proposal.title
            );
            let why = Why {
                reason: "to try".to_owned(),
                expected: proposal.expected.clone(),
                answers: vec!["wrist_brake".to_owned()],
                ..Why::default()
            };
            let moves = !stands.differences(&proposal.to, System::Metric).is_empty();
            let change = set_up::change(Some(stands), proposal.to.clone(), &why);
            assert_eq!(
                moves,
                matches!(change, Ok(What::Change(_))),
                "{}",
                proposal.title
            );
            assert!(
                moves || proposal.title.to_lowercase().contains("right"),
                "{}",
                proposal.title
            );
        }
        let some = proposed.changes.iter().any(|p| !p.expected.is_empty());
        assert!(some, "{:?}", proposed.changes);
    }
}
