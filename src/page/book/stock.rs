//! Parts in stock: a sled's own, and those on the team's shelf, added and taken out.

use std::sync::Arc;

use leptos::prelude::*;

use super::desk::{Desk, Screen, sentence};
use crate::document::to_tree;
use crate::log::form::{DeletedRecord, ShelfRecord};
use crate::log::{About, Entry, Id, ShelfPart, Unrecorded, What};
use crate::page::field::alert;
use crate::page::sled::{Edit, Edited, Section};
use crate::plan::SledForm;
use crate::plan::book::begin::{write_sled, written};
use crate::plan::book::form::{Wrong, blamed, said};
use crate::plan::book::pen::Beside;
use crate::plan::sled_fields::SECTIONS;
use crate::sled::SledProfile;
use crate::sled::profile::SHIPPED;

/// What of a sled is stock.
const STOCK: [&str; 4] = ["risers", "clamps", "bars", "seats"];

/// The part: a sled's own.
pub fn stock(desk: Desk, sled: Id) -> AnyView {
    let state = untrack(|| desk.read(|r| r.sled(sled).map(|s| (s.profile.clone(), s.retired))));
    let Some((profile, retired)) = state else {
        return view! { <p class="error" role="alert">{sentence(Unrecorded::Sled)}</p> }.into_any();
    };
    let write = move |profile: &SledProfile| {
        desk.write("Written down: the parts in stock.", |_, pen| {
            let about = About::sled(sled);
            Ok(vec![write_sled(pen, about, profile.clone(), retired)?])
        })
    };
    view! {
        <p><strong>{profile.name.clone()}</strong></p>
        <p class="how">
            "What is taken out here is gone from today’s stock only: set-ups that were ridden with it stay as they are. One that stands now with a part that is no longer there says so."
        </p>
        {editor(desk, Stock::OfSled, &profile, write)}
    }
    .into_any()
}

/// The part: what is on the team's shelf.
pub fn shelf(desk: Desk) -> AnyView {
    // The lists of a sled hold the shelf while it is edited.
    let carrier = SHIPPED.last().map(|s| SledProfile::read(s.text));
    let Some(Ok(carrier)) = carrier else {
        return ().into_any();
    };
    let lies = untrack(|| {
        desk.read(|r| {
            let for_all = r.shelf().filter(|(_, of, _)| of.is_none());
            let all =
                for_all.filter_map(|(s, _, part)| Some((s.shown.as_ref()?.id(), part.clone())));
            all.collect::<Vec<(Id, ShelfPart)>>()
        })
    });
    let parts: Vec<ShelfPart> = lies.iter().map(|(_, part)| part.clone()).collect();
    let write = move |profile: &SledProfile| {
        let now = ShelfPart::all(profile);
        desk.write("Written down: the parts on the shelf.", |_, pen| {
            let new = now
                .iter()
                .filter(|part| !lies.iter().any(|l| l.1 == **part));
            let put = new.map(|part| {
                let part = part.clone();
                written(pen, About::default(), What::Shelf(ShelfRecord { part }))
            });
            let mut entries: Vec<Entry> = put.collect::<Result<_, Wrong>>()?;
            for (id, _) in lies.iter().filter(|l| !now.contains(&l.1)) {
                let beside = Beside {
                    supersedes: Some(*id),
                    ..Beside::default()
                };
                let taken = What::Deleted(DeletedRecord { why: None });
                entries.push(pen.write(beside, taken).map_err(|e| blamed(&e))?);
            }
            if entries.is_empty() {
                return Err(said("", "The shelf is as the book says already"));
            }
            Ok(entries)
        })
    };
    view! {
        <p class="how">
            "Parts that are not on any one sled’s list. Each counts as in stock for every sled that it can be used on; one that a sled has of the same name, or a riser of the same height, is the sled’s own."
        </p>
        {editor(desk, Stock::Shelf, &ShelfPart::only(&parts, carrier), write)}
    }
    .into_any()
}

/// Whose parts are edited.
#[derive(Clone, Copy, PartialEq)]
enum Stock {
    /// A sled's: a list that it leaves out has the typical sled's parts.
    OfSled,
    /// The team's: what is not listed is not there.
    Shelf,
}

/// The lists of a sled, and the way to write them down.
fn editor(
    desk: Desk,
    stock: Stock,
    profile: &SledProfile,
    write: impl Fn(&SledProfile) -> Result<Option<Id>, Wrong> + Send + 'static,
) -> AnyView {
    let tree = to_tree(profile).map(|tree| tree.to_string());
    let form = RwSignal::new(
        tree.ok()
            .and_then(|t| SledForm::of_own(&t))
            .unwrap_or_default(),
    );
    let read = Memo::new(move |_| Arc::new(form.with(SledForm::read)));
    let name = match stock {
        Stock::OfSled => "stock",
        Stock::Shelf => "shelf",
    };
    let edited = Edited::new(
        name,
        form.into(),
        read.into(),
        desk.store.units,
        Callback::new(move |edit: Edit| {
            // The first part of a sled's list brings along what was assumed; of the shelf nothing was.
            let sled = read.with_untracked(|r| r.sled.clone());
            let sled = sled.filter(|_| stock == Stock::OfSled);
            form.update(|form| edit.on(form, sled.as_ref()));
        }),
        Callback::new(|()| {}),
    );
    let edited = match stock {
        Stock::OfSled => edited,
        Stock::Shelf => edited.assuming_nothing(),
    };
    let wrong = RwSignal::new(None::<String>);
    let put = move |_| {
        let read = read.get_untracked();
        let made = match (&read.profile, read.errors.iter().next()) {
            (Some(profile), None) => write(profile),
            (_, Some((path, words))) => Err(said(path, words)),
            (None, None) => Err(said("", "this sled cannot be used as it stands")),
        };
        match made {
            Ok(_) => desk.go(Screen::People),
            Err(all) => wrong.set(all.into_iter().next().map(|(path, words)| {
                let at = if path.is_empty() { path } else { path + ": " };
                format!("{at}{words}.")
            })),
        }
    };
    let sections = SECTIONS.iter().filter(|s| STOCK.contains(&s.path));
    view! {
        {sections.map(|section| view! { <Section edited section /> }).collect_view()}
        {alert(wrong)}
        <button type="button" class="big" on:click=put>"Write the stock down"</button>
    }
    .into_any()
}
