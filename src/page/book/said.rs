//! What the rider said: complaints, words, lap and place, and whether anything else was changed.

use leptos::prelude::*;

use super::desk::{Desk, Screen};
use super::fields::Draft;
use crate::change::COMPLAINTS;
use crate::log::{About, Id};
use crate::order::Map;
use crate::page::advice::complaint;
use crate::page::field::choices;
use crate::plan::book::form::{COMPLAINT, Sheet, THINGS, Texts, WHEN};
use crate::plan::book::pen::Beside;

/// Field of the question about everything else.
const ELSE: &str = "else";

/// The part.
pub fn said(desk: Desk, pair: (Id, Id)) -> AnyView {
    let draft = Draft::open(desk, format!("said/{}/{}", pair.0, pair.1), Texts::new());
    let picked = draft.texts.with_untracked(|t| {
        let all = COMPLAINTS.iter().filter_map(|c| {
            let strength = t.get(&format!("{COMPLAINT}{}", c.id))?;
            Some((c.id, strength.parse().ok()?))
        });
        all.collect::<Map<_, _>>()
    });
    let felt = RwSignal::new(picked);
    Effect::new(move |before: Option<()>| {
        let felt = felt.get();
        if before.is_some() {
            for c in COMPLAINTS {
                let strength = felt.get(c.id).map_or(String::new(), u8::to_string);
                draft.put(&format!("{COMPLAINT}{}", c.id), strength);
            }
        }
    });
    let write = move |_| {
        let texts = draft.texts.get_untracked();
        let any = !felt.with_untracked(Map::is_empty);
        let says = if any {
            "Written down: what the rider said. Below: what to change for it."
        } else {
            "Written down: nothing to complain of."
        };
        let beside = Beside::from(About::both(pair.0, pair.1));
        let written = desk.write(says, |_, pen| {
            let mut entries = Vec::new();
            // An answer belongs to what was felt at the same time, and goes before it.
            if let Some(also) = everything_else(&texts) {
                entries.push(Sheet::AlsoChanged.write(
                    &also,
                    None,
                    super::offset(),
                    beside,
                    pen,
                )?);
            }
            entries.push(Sheet::Felt.write(&texts, None, super::offset(), beside, pen)?);
            Ok(entries)
        });
        if draft.settle(written).is_some() {
            felt.set(Map::new());
            desk.go(if any { Screen::Answer } else { Screen::Now });
        }
    };
    let answers = choices(
        "else",
        [
            ("not_asked", "Not asked"),
            ("none", "Nothing"),
            ("what", "Something"),
        ],
        move |value| {
            let text = draft.text(ELSE).get();
            text == value || (text.is_empty() && value == "not_asked")
        },
        move |value| draft.put(ELSE, value.to_owned()),
    );
    let something = Memo::new(move |_| draft.text(ELSE).get() == "what");
    let label = move || {
        if felt.with(Map::is_empty) {
            "Write down: nothing to complain of"
        } else {
            "Write it down, and see what to change"
        }
    };
    view! {
        {draft.left(Some(Screen::Now))}
        <p class="how">"Pick what was felt and how bad it was. Nothing picked: nothing to complain of, which is worth writing down too."</p>
        <ul class="complaints">
            {COMPLAINTS.iter().map(|c| complaint(felt, "said", c.id, c.words)).collect_view()}
        </ul>
        {draft.fields(Sheet::Felt)}
        <fieldset class="else">
            <legend>"Was anything else changed since the rider last spoke?"</legend>
            <div class="switch">{answers}</div>
            <p class="how">"Suspension, skis, track, clutching, brakes. A change of the cockpit is judged only where the answer is nothing."</p>
            {move || something.get().then(|| draft.fields(Sheet::AlsoChanged))}
        </fieldset>
        {draft.when()}
        {draft.general()}
        <button type="button" class="big" on:click=write>{label}</button>
    }
    .into_any()
}

/// What was answered about everything else; `None` where nobody asked.
fn everything_else(texts: &Texts) -> Option<Texts> {
    match texts.get(ELSE).map(String::as_str) {
        Some("none") => {
            let mut none: Texts = THINGS
                .iter()
                .map(|t| ((*t).to_owned(), "none".to_owned()))
                .collect();
            none.extend(texts.get(WHEN).map(|when| (WHEN.to_owned(), when.clone())));
            Some(none)
        }
        Some("what") => Some(texts.clone()),
        _ => None,
    }
}
