//! What stands on the start place goes into the book.

use leptos::prelude::*;

use super::desk::{Desk, Screen};
use super::fields::Draft;
use super::now::set_up_table;
use crate::log::{Id, SetUpForm, What};
use crate::page::store::Store;
use crate::plan::Kind;
use crate::plan::book::begin::{Named, Stands, put};
use crate::plan::book::form::{Texts, Wrong, in_words, said};
use crate::plan::book::set_up::Why;
use crate::sled::profile::SHIPPED;

/// The value of a choice that is none of the book's.
const NEW: &str = "new";

/// The part.
pub fn place(desk: Desk) -> AnyView {
    let store = desk.store;
    let opened = desk.opened.get_untracked();
    let known = |id: Option<Id>| id.map_or_else(|| NEW.to_owned(), |id| id.to_string());
    let begun = Texts::from([
        ("rider".to_owned(), known(opened.map(|o| o.0))),
        ("sled".to_owned(), known(opened.map(|o| o.1))),
        ("sled_name".to_owned(), sled_name(store)),
    ]);
    let draft = Draft::open(desk, "put".to_owned(), Texts::new());
    draft.texts.update(|t| {
        for (key, text) in begun {
            t.at(key, text);
        }
        if opened.is_some() {
            t.insert("rider".to_owned(), known(opened.map(|o| o.0)));
            t.insert("sled".to_owned(), known(opened.map(|o| o.1)));
        }
    });
    let is_new = move |key: &'static str| draft.texts.with(|t| t.get(key).is_none_or(|v| v == NEW));
    let choose = move |key: &'static str, label: &'static str, new: &'static str| {
        let options = move || {
            desk.read(|r| {
                let rows: Vec<(Id, String)> = if key == "rider" {
                    r.riders()
                        .filter(|s| !s.retired)
                        .map(|s| (s.id, s.profile.name.clone()))
                        .collect()
                } else {
                    r.sleds()
                        .filter(|s| !s.retired)
                        .map(|s| (s.id, s.profile.name.clone()))
                        .collect()
                };
                let chosen = draft.typed(key);
                let rows = rows.into_iter().map(|(id, name)| {
                    let selected = chosen == id.to_string();
                    view! { <option value=id.to_string() selected=selected>{name}</option> }
                });
                rows.collect_view()
            })
        };
        let id = format!("put-{key}");
        view! {
            <div class="field">
                <label for=id.clone()>{label}</label>
                <select id=id on:change=move |event| draft.put(key, event_target_value(&event))>
                    <option value=NEW>{new}</option>
                    {options}
                </select>
            </div>
        }
        .into_any()
    };
    let new_rider = Memo::new(move |_| is_new("rider"));
    let new_sled = Memo::new(move |_| is_new("sled"));
    let write = move |_| {
        let named = |key: &str| match draft.typed(key).parse() {
            Ok(id) => Named::Known(id),
            Err(_) => Named::New(draft.typed(&format!("{key}_name"))),
        };
        let why = Why {
            reason: draft.typed("reason"),
            ..Why::default()
        };
        let mut pair = None;
        let made = stands(store).and_then(|stands| {
            desk.write("It is in the book.", |reading, pen| {
                let entries = put(&stands, &named("rider"), &named("sled"), &why, reading, pen)?;
                pair = entries.iter().rev().find_map(|e| match e.what() {
                    What::Rider(_) | What::Sled(_) => None,
                    _ => e.about().rider.zip(e.about().sled),
                });
                Ok(entries)
            })
        });
        if draft.settle(made).is_some() {
            if let Some(pair) = pair {
                desk.opened.set(Some(pair));
                desk.go_to(pair, Screen::Now);
            } else {
                desk.go(Screen::Now);
            }
        }
    };
    let what = move || match stands(store) {
        Ok(stands) => set_up_table("As it stands on the start place", &stands.set_up, desk),
        Err(wrong) => view! { <p class="error" role="alert">{in_words(wrong)}</p> }.into_any(),
    };
    view! {
        {draft.left(Some(Screen::Now))}
        <div class="pair">
            {choose("rider", "Rider", "a new rider")}
            {move || new_rider.get().then(|| draft.field("rider_name", "What the rider is called", Kind::Text, ""))}
            {choose("sled", "Sled", "a new sled")}
            {move || new_sled.get().then(|| draft.field("sled_name", "What the sled is called", Kind::Text, ""))}
        </div>
        <p class="how">"Of riders and sleds that the book knows, what was measured again is written down too; what the start place has no field for stays."</p>
        {move || (!new_rider.get() && !new_sled.get()).then(|| {
            draft.field("reason", "Why it was changed", Kind::Text, "Empty: it is written down as it stands, as a new base set-up, and nothing is expected of it.")
        })}
        {what}
        {draft.general()}
        <button type="button" class="big" on:click=write>"Put it into the book"</button>
    }
    .into_any()
}

/// What stands on the start place.
fn stands(store: Store) -> Result<Stands, Wrong> {
    let nothing = |words: &str| said("", words);
    let rider = store.rider.with(|r| r.profile.clone());
    let rider = rider.ok_or_else(|| {
        nothing(
            "Give height and weight on the start place first: what is drawn there is an example.",
        )
    })?;
    let read = store.sled_read.get();
    let (Some(sled), Some(machine)) = (read.profile.clone(), read.sled.as_ref()) else {
        return Err(nothing(
            "The sled on the start place cannot be used as it stands: see there what is wrong.",
        ));
    };
    let set_up = store
        .set_up
        .get()
        .ok_or_else(|| nothing("The set-up is being searched: a moment."))?;
    set_up
        .settings
        .checked(machine)
        .map_err(|e| nothing(&e.to_string()))?;
    Ok(Stands {
        rider,
        set_up: SetUpForm::of(machine, &set_up.settings, Some(&set_up.levers)),
        sled,
    })
}

/// What the sled of the start place is called, where that is a name.
fn sled_name(store: Store) -> String {
    let name = store
        .sled_read
        .with_untracked(|r| r.profile.as_ref().map(|p| p.name.clone()));
    let id = store.plan.with_untracked(|p| p.sled.pick.id().to_owned());
    // One that nobody measured has no name of its own.
    let unmeasured = SHIPPED.last().is_some_and(|s| s.id == id);
    name.filter(|_| !unmeasured).unwrap_or_default()
}
