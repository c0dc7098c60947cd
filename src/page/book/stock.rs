//! The parts in stock for a sled: risers, clamps, bars and seats, added and taken out.

use std::sync::Arc;

use leptos::prelude::*;

use super::desk::{Desk, Screen, sentence};
use crate::document::to_tree;
use crate::log::{About, Id, Unrecorded};
use crate::page::field::alert;
use crate::page::sled::{Edit, Edited, Section};
use crate::plan::SledForm;
use crate::plan::book::begin::write_sled;
use crate::plan::book::form::said;
use crate::plan::sled_fields::SECTIONS;

/// What of a sled is stock.
const STOCK: [&str; 4] = ["risers", "clamps", "bars", "seats"];

/// The part.
pub fn stock(desk: Desk, sled: Id) -> AnyView {
    let state = untrack(|| desk.read(|r| r.sled(sled).map(|s| (s.profile.clone(), s.retired))));
    let begun = state.and_then(|(profile, retired)| {
        let tree = to_tree(&profile).ok()?;
        Some((SledForm::of_own(&tree.to_string())?, profile.name, retired))
    });
    let Some((form, name, retired)) = begun else {
        return view! { <p class="error" role="alert">{sentence(Unrecorded::Sled)}</p> }.into_any();
    };
    let form = RwSignal::new(form);
    let read = Memo::new(move |_| Arc::new(form.with(SledForm::read)));
    let edited = Edited::new(
        "stock",
        form.into(),
        read.into(),
        desk.store.units,
        Callback::new(move |edit: Edit| {
            let sled = read.with_untracked(|r| r.sled.clone());
            form.update(|form| edit.on(form, sled.as_ref()));
        }),
        Callback::new(|()| {}),
    );
    let wrong = RwSignal::new(None::<String>);
    let write = move |_| {
        let read = read.get_untracked();
        let made = match (&read.profile, read.errors.iter().next()) {
            (Some(profile), None) => desk.write("Written down: the parts in stock.", |_, pen| {
                let about = About::sled(sled);
                Ok(vec![write_sled(pen, about, profile.clone(), retired)?])
            }),
            (_, Some((path, words))) => Err(said(path, words)),
            (None, None) => Err(said("", "this sled cannot be used as it stands")),
        };
        match made {
            Ok(_) => desk.go(Screen::People),
            Err(all) => wrong.set(
                all.into_iter()
                    .next()
                    .map(|(path, words)| format!("{path}: {words}.")),
            ),
        }
    };
    let sections = SECTIONS.iter().filter(|s| STOCK.contains(&s.path));
    view! {
        <p><strong>{name}</strong></p>
        <p class="how">
            "What is taken out here is gone from today’s stock only: set-ups that were ridden with it stay as they are. One that stands now with a part that is no longer there says so."
        </p>
        {sections.map(|section| view! { <Section edited section /> }).collect_view()}
        {alert(wrong)}
        <button type="button" class="big" on:click=write>"Write the stock down"</button>
    }
    .into_any()
}
