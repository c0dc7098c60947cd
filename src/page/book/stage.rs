//! From the book to the stage of the start place.

use std::fmt::Display;

use leptos::prelude::*;

use super::desk::{Desk, sentence};
use super::offset;
use crate::log::{Id, when};
use crate::page::store::Before;
use crate::plan::book::begin;
use crate::plan::options::Entered;
use crate::plan::place::Place;
use crate::plan::{Chosen, Plan};

/// Two set-ups that are laid over each other: the entries that made them, the one behind first.
pub type Over = (Id, Id);

/// Put a rider on a sled, as it stands, beside the options of the compare place.
///
/// # Errors
/// In words, where a record or the set-up cannot be opened.
pub fn compare(desk: Desk, pair: (Id, Id)) -> Result<(), String> {
    let option = untrack(|| {
        desk.read(|reading| {
            let (rider, sled) = reading.records(pair.0, pair.1).map_err(sentence)?;
            let now = reading.set_up(pair.0, pair.1, None);
            let opened = begin::open(&Plan::default(), rider, sled, now).map_err(not_opened)?;
            let mut option = Entered::of(opened.plan);
            option.name = format!(
                "{} on {}",
                reading.rider_name(pair.0),
                reading.sled_name(pair.1)
            );
            Ok::<_, String>(option)
        })
    })?;
    desk.store.beside.set(Some(option));
    desk.store.go(Place::Compare, Vec::new());
    Ok(())
}

/// Open a rider on a sled on the stage, as it stands or with one of two set-ups as the outline behind the other.
///
/// # Errors
/// In words, where a record or the set-up cannot be opened.
pub fn open(desk: Desk, pair: (Id, Id), over: Option<Over>) -> Result<(), String> {
    let plan = desk.store.plan.get_untracked();
    let opened = untrack(|| {
        desk.read(|reading| {
            let (rider, sled) = reading.records(pair.0, pair.1).map_err(sentence)?;
            let set_ups = reading.set_ups(pair.0, pair.1);
            let of = |root: Id| set_ups.iter().find(|s| s.strand.root == root);
            let front = match over {
                Some((_, front)) => of(front),
                None => set_ups.last(),
            };
            let opened =
                begin::open(&plan, rider, sled, front.map(|s| s.set_up)).map_err(not_opened)?;
            let before = match over.and_then(|(behind, _)| of(behind)) {
                None => None,
                Some(behind) => {
                    let machine = sled.resolve().map_err(not_opened)?;
                    let settings = behind.set_up.on(&machine).map_err(not_opened)?;
                    Some(Before {
                        name: when::date(behind.strand.happened_ms(), offset()),
                        settings: Chosen::from(settings),
                    })
                }
            };
            Ok::<_, String>((opened, before))
        })
    });
    let (opened, before) = opened?;
    let demo = desk.demo.get_untracked();
    desk.opened.set((!demo).then_some(pair));
    desk.store.change("", |plan| *plan = opened.plan);
    desk.store.before.set(before);
    desk.store.show_former.set(true);
    let lost = opened.lost.join("; ");
    desk.store.lost.set((!lost.is_empty()).then(|| {
        format!("The start place has no field for all that the book knows of this rider. Left out here, kept in the book: {lost}.")
    }));
    desk.store.go(Place::Start, Vec::new());
    Ok(())
}

fn not_opened(error: impl Display) -> String {
    format!("It cannot be opened: {error}.")
}
