//! The card of a rider's sled for the lid of the toolbox, from the book: drawn as the set-up stands, with what was changed
//! last and what it did.

use crate::fit::{self, SetUp, Taped};
use crate::log::form::LeverForm;
use crate::log::{self, Id, Reading, SetUpForm};
use crate::plan::entry::Units;
use crate::rider::{Built, RiderProfile};
use crate::sled::{Cockpit, Sled, SledProfile};
use crate::stance::Stance;
use crate::units::Angle;
use crate::units::text::System;
use crate::view::card::{Block, Card, DRAWING, Item};
use crate::view::stage::{Scene, stage};

/// A set-up of the book, worked out.
pub struct Worked {
    /// The rider.
    pub built: Built,
    /// The sled as recorded now.
    pub sled: Sled,
    /// The set-up, levers as they were written down where they were.
    pub set_up: SetUp,
}

/// Work out a set-up of a rider on a sled.
///
/// # Errors
/// In words, where rider or sled cannot be built from their record, or the sled does not allow the set-up.
pub fn worked(
    profile: &RiderProfile,
    machine: &SledProfile,
    set_up: &SetUpForm,
    stances: &[Stance],
) -> Result<Worked, String> {
    let built = profile
        .build()
        .map_err(|e| format!("{}: {e}", profile.name))?;
    let sled = machine
        .resolve()
        .map_err(|e| format!("{}: {e}", machine.name))?;
    let settings = set_up.on(&sled).map_err(|e| e.to_string())?;
    let request = fit::Request::new(&built.rider, &sled, stances);
    let placed = fit::evaluate(&request, settings);
    let taped = |lever: &Option<LeverForm>| {
        lever.as_ref().map(|l| Taped {
            along: l.along_mm,
            roll: Angle::from_deg(l.roll_deg),
            lever_reach: l.lever_reach_mm,
        })
    };
    let (brake, throttle) = (taped(&set_up.brake), taped(&set_up.throttle));
    let set_up = fit::with_levers_taped(&request, placed, brake, throttle);
    Ok(Worked {
        built,
        sled,
        set_up,
    })
}

/// The card; clocks are `offset` minutes ahead of UTC.
///
/// # Errors
/// In words: no set-up is written down, or it cannot be drawn.
pub fn card(
    reading: &Reading,
    rider: Id,
    sled: Id,
    stances: &[Stance],
    units: Units,
    offset: i32,
) -> Result<Card, String> {
    let system = System::from(units);
    let said = reading
        .card(rider, sled, system, offset)
        .ok_or("no set-up of this rider on this sled is written down yet")?;
    let stands = reading
        .set_up(rider, sled, None)
        .ok_or("no set-up of this rider on this sled is written down yet")?;
    let (profile, machine) = reading.records(rider, sled).map_err(|e| e.to_string())?;
    let worked = worked(profile, machine, stands, stances)?;
    let front = stances
        .iter()
        .position(|s| s.carries_weight_point)
        .unwrap_or(0);
    let cockpit = Cockpit::new(&worked.sled, worked.set_up.settings);
    let scene = Scene::of(
        &worked.built.rider,
        &cockpit,
        &worked.set_up,
        stances,
        front,
        system,
    )
    .ok_or("there is no stance to draw it in")?;
    let stage = stage(&scene, DRAWING);
    let mut settings = block(&said.settings);
    // What found no room on the drawing stands under it in the settings.
    settings.items.extend(stage.omitted.iter().map(|line| Item {
        what: line.clone(),
        value: String::new(),
    }));
    Ok(Card {
        title: said.title,
        facts: said.facts,
        stage,
        settings,
        blocks: said.blocks.iter().map(block).collect(),
        cautions: said.cautions,
        code: String::new(),
    })
}

fn block(from: &log::CardBlock) -> Block {
    let items = from.lines.iter().map(|(what, value)| Item {
        what: what.clone(),
        value: value.clone(),
    });
    Block {
        title: from.title.clone(),
        ticked: from.ticked,
        items: items.collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::log::{Book, DEMO};
    use crate::view::card::{Paper, card as laid};

    #[test]
    fn every_rider_of_the_demo_has_a_card_of_one_page_with_the_cautions() {
        let book = Book::read(DEMO).unwrap();
        let reading = Reading::new(&book);
        let stances = Stance::shipped().unwrap();
        let mut printed = 0;
        for (rider, sled) in reading.pairs() {
            if reading.set_up(rider, sled, None).is_none() {
                let none = card(&reading, rider, sled, &stances, Units::Metric, 0);
                assert!(none.unwrap_err().contains("no set-up"));
                continue;
            }
            let card = card(&reading, rider, sled, &stances, Units::Metric, 0).unwrap();
            assert!(
                card.cautions
                    .iter()
                    .any(|c| c.contains("licensed clinician"))
            );
            let ticked: Vec<&Block> = card.blocks.iter().filter(|b| b.ticked).collect();
            assert!(
                ticked[0]
                    .items
                    .iter()
                    .any(|i| i.what.contains("torqued by the manual"))
            );
            assert!(
                card.blocks.iter().any(|b| b.title == "Changed last"),
                "the season's changes stand on it"
            );
            let stands = reading.set_up(rider, sled, None).unwrap();
            let profiles = (
                reading.rider(rider).unwrap().profile,
                reading.sled(sled).unwrap().profile,
            );
            let made = worked(profiles.0, profiles.1, stands, &stances).unwrap();
            if let Some(brake) = &stands.brake {
                let levers = &made.set_up.levers;
                assert_eq!(
                    (levers.brake.along, levers.brake.lever_reach),
                    (brake.along_mm, brake.lever_reach_mm)
                );
                assert!((levers.brake.roll.deg() - brake.roll_deg).abs() < 1e-9);
                assert_eq!(
                    made.set_up.distances.brake_tip_to_grip,
                    brake.lever_reach_mm
                );
            }
            let paper = laid(&card, Paper::A4);
            assert!(
                !paper.contains("did not fit on this page")
                    && paper.contains("Tick off after every change")
            );
            printed += 1;
        }
        assert_eq!(printed, 2);
    }
}
