//! What the browser keeps: the plan in its storage, the place in the address.

use leptos::prelude::*;

use super::store::Store;
use crate::plan::place::{Address, Place};
use crate::plan::{Plan, SledPick, code, stored};
use crate::units::text::capital;

/// The storage's key.
const KEY: &str = "sledstance-plan";
/// Where a document that cannot be read is put aside, so that saving does not destroy it.
const ASIDE: &str = "sledstance-plan-unread";

const NO_STORAGE: &str = "This browser keeps nothing for this page (a private window, or storage is switched off): \
     what you enter is gone when the page closes.";

/// The browser's storage, where it has one for this page.
pub fn storage() -> Option<web_sys::Storage> {
    window().local_storage().ok().flatten()
}

/// The kept plan, and what went wrong in words.
pub fn load() -> (Plan, Option<String>) {
    let Some(storage) = storage() else {
        return (Plan::default(), Some(NO_STORAGE.to_owned()));
    };
    match storage.get_item(KEY) {
        Ok(None) => (Plan::default(), None),
        Ok(Some(text)) => match stored::read(&text) {
            Ok(plan) => (plan, None),
            Err(error) => {
                // Not overwritten: a newer version of the page may still read it.
                let _ = storage.set_item(ASIDE, &text);
                let words = format!(
                    "What this browser had kept cannot be read ({error}). It was put aside unchanged; you start afresh."
                );
                (Plan::default(), Some(words))
            }
        },
        Err(_) => (Plan::default(), Some(NO_STORAGE.to_owned())),
    }
}

fn save(plan: &Plan) -> Result<(), String> {
    let storage = storage().ok_or_else(|| NO_STORAGE.to_owned())?;
    let text = stored::write(plan).map_err(|error| error.to_string())?;
    storage.set_item(KEY, &text).map_err(|_| {
        "This browser's storage is full or switched off: your last change is not kept. What was kept before is \
         untouched. Free some space, or leave the private window."
            .to_owned()
    })
}

/// What the browser's address says.
pub fn address() -> Address {
    Address::read(&window().location().hash().unwrap_or_default())
}

/// The plan with what the address says, and what cannot be read of it, in words.
pub fn addressed(plan: Plan, address: &Address) -> (Plan, Option<String>) {
    let (mut plan, trouble) = match address.code.as_deref().map(|code| code::read(code, &plan)) {
        Some(Ok(coded)) => (coded, None),
        Some(Err(error)) => (plan, Some(capital(&format!("{error}.")))),
        None => (plan, None),
    };
    let picked = address.sled.as_deref().and_then(SledPick::from_id);
    if let Some(pick) = picked.filter(|pick| *pick != SledPick::Own || plan.sled.has_own()) {
        plan = if address.code.is_some() && trouble.is_none() {
            // The code's settings belong to this sled.
            plan.sled.pick = pick;
            plan
        } else {
            plan.on_sled(pick)
        };
    }
    if let Some(stance) = &address.stance {
        plan.front.clone_from(stance);
    }
    (plan, trouble)
}

/// Save every change, and keep the address in step with the plan, both ways.
pub fn follow(store: Store) {
    Effect::new(move |before: Option<Plan>| {
        let plan = store.plan.get();
        if before.is_some_and(|before| before != plan) {
            store.not_kept.set(save(&plan).err());
        }
        plan
    });
    let no_options = Address {
        place: Place::Compare,
        ..Address::default()
    };
    let no_options = no_options.write();
    Effect::new(move |before: Option<String>| {
        let address = store.address().write();
        let shown = window().location().hash().unwrap_or_default();
        if shown != address
            && let Ok(history) = window().history()
        {
            // The first address replaces what was typed, and so do options where none were said; later ones can be
            // stepped back to.
            let _ = if before.is_none() || shown == no_options {
                history.replace_state_with_url(&wasm_bindgen::JsValue::NULL, "", Some(&address))
            } else {
                history.push_state_with_url(&wasm_bindgen::JsValue::NULL, "", Some(&address))
            };
        }
        address
    });
    let stepped = move |_| {
        let plan = store.plan.get_untracked();
        let address = address();
        store.go(address.place, address.inside.clone());
        let (next, trouble) = addressed(plan.clone(), &address);
        store.unread.set(trouble);
        if next.rider != plan.rider || next.by_hand != plan.by_hand {
            // A set-up that came with an address can be taken back.
            store.change("", |plan| *plan = next);
        } else if next != plan {
            store.become_plan(next);
        }
    };
    let handle = window_event_listener(leptos::ev::popstate, stepped);
    on_cleanup(move || handle.remove());
}
