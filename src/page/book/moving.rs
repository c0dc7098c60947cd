//! A rider's set-up on another sled: the same contact points where it reaches them, else the nearest with what is lost.

use leptos::prelude::*;

use super::desk::{Desk, Screen, sentence};
use super::now::set_up_table;
use crate::log::form::{RidesRecord, SetUpRecord};
use crate::log::{About, Id, SetUpForm, Unrecorded, What, moved};
use crate::page::field::alert;
use crate::plan::book::begin::written;
use crate::plan::book::form::in_words;
use crate::sled::Cockpit;

/// How it would stand there.
#[derive(Clone, Debug, PartialEq)]
struct There {
    name: String,
    from: String,
    set_up: SetUpForm,
    lost: Vec<String>,
}

/// The part.
pub fn moving(desk: Desk, pair: (Id, Id)) -> AnyView {
    let onto = RwSignal::new(None::<Id>);
    let wrong = RwSignal::new(None::<String>);
    let options = move || {
        desk.read(|reading| {
            let others = reading.sleds().filter(|s| s.id != pair.1 && !s.retired);
            let rows = others.map(
                |s| view! { <option value=s.id.to_string()>{s.profile.name.clone()}</option> },
            );
            rows.collect_view()
        })
    };
    let there = Memo::new(move |_| onto.get().map(|onto| worked_out(desk, pair, onto)));
    let write = move |_| {
        let (Some(onto), Some(Ok(there))) = (onto.get_untracked(), there.get_untracked()) else {
            return;
        };
        let about = About::both(pair.0, onto);
        let made = desk.write(
            "Written down. Search the levers and check it all with the rider aboard.",
            |_, pen| {
                let note = if there.lost.is_empty() {
                    format!("moved from {}", there.from)
                } else {
                    format!("moved from {}; lost: {}", there.from, there.lost.join(" "))
                };
                let base = What::BaseSetUp(SetUpRecord {
                    set_up: there.set_up,
                    note: Some(note),
                });
                Ok(vec![
                    written(pen, about, What::Rides(RidesRecord {}))?,
                    written(pen, about, base)?,
                ])
            },
        );
        match made {
            Ok(_) => desk.go_to((pair.0, onto), Screen::Now),
            Err(all) => wrong.set(Some(in_words(all))),
        }
    };
    let shown = move || match there.get() {
        None => ().into_any(),
        Some(Err(because)) => view! { <p class="error" role="alert">{because}</p> }.into_any(),
        Some(Ok(there)) => {
            let lost = if there.lost.is_empty() {
                view! { <p>"Boots, grips and seat stand to each other as before."</p> }.into_any()
            } else {
                let list = there.lost.iter().map(|l| view! { <li>{l.clone()}</li> });
                view! { <h3>"What is lost"</h3> <ul>{list.collect_view()}</ul> }.into_any()
            };
            view! {
                {set_up_table(&format!("On {}", there.name), &there.set_up, desk)}
                {lost}
                <button type="button" class="big" on:click=write>"Write it down: rides it so from now on"</button>
            }
            .into_any()
        }
    };
    view! {
        <p class="how">"Grips, seat and boots are to stand to each other as they do now. Where the other sled cannot, you read what is lost. Levers are not moved."</p>
        <div class="field">
            <label for="move-onto">"Onto which sled"</label>
            <select id="move-onto" on:change=move |event| onto.set(event_target_value(&event).parse().ok())>
                <option value="">"choose"</option>
                {options}
            </select>
        </div>
        {alert(wrong)}
        <div aria-live="polite">{shown}</div>
    }
    .into_any()
}

fn worked_out(desk: Desk, pair: (Id, Id), onto: Id) -> Result<There, String> {
    desk.read(|reading| {
        let sled = |id: Id| {
            let state = reading.sled(id).ok_or(Unrecorded::Sled);
            let state = state.map_err(sentence)?;
            state
                .at_hand
                .resolve()
                .map_err(|e| format!("{}: {e}.", state.profile.name))
        };
        let (from, to) = (sled(pair.1)?, sled(onto)?);
        let stands = reading
            .set_up(pair.0, pair.1, None)
            .ok_or("No set-up is written down yet.")?;
        let settings = stands.on(&from).map_err(|e| {
            format!("How it stands cannot be made on the sled as recorded now: {e}.")
        })?;
        let moved = moved(&Cockpit::new(&from, settings), &to);
        Ok(There {
            name: reading.sled_name(onto),
            from: reading.sled_name(pair.1),
            set_up: SetUpForm::of(&to, &moved.settings, None),
            lost: moved.lost,
        })
    })
}
