//! The season of a rider's sled: drawn, as a table, and two set-ups of it over each other.

use leptos::prelude::*;

use super::desk::{Desk, Screen};
use super::keep::now;
use super::{offset, stage};
use crate::log::Id;
use crate::page::field::alert;
use crate::plan::book::season::{Seen, seen};
use crate::view::season::season;

/// Width that the drawing has at least and at the most, px: a phone's, and what a column of text takes. Wider ones are
/// filled by scaling the time between. Our choice.
const NARROW: f64 = 330.0;
const WIDEST: f64 = 820.0;

/// From this width of the window on, px, the list of riders stands beside the part, as in the page's styles; what is beside
/// the drawing then, and where it stands alone.
const TWO_COLUMNS: f64 = 960.0;
const BESIDE: f64 = 470.0;
const ALONE: f64 = 40.0;

/// The part.
pub fn whole(desk: Desk, pair: (Id, Id)) -> AnyView {
    let looked = Memo::new(move |_| {
        desk.read(|reading| seen(reading, pair.0, pair.1, desk.system(), offset(), now()))
    });
    let width = window()
        .inner_width()
        .ok()
        .and_then(|w| w.as_f64())
        .map_or(NARROW, |w| {
            if w < TWO_COLUMNS {
                (w - ALONE).max(NARROW)
            } else {
                (w - BESIDE).min(WIDEST)
            }
        });
    let drawn = move || {
        looked.with(|l| {
            if l.rows.is_empty() {
                String::new()
            } else {
                season(&l.season, width)
            }
        })
    };
    let constant = move || {
        looked.with(|l| {
            let list = l.constant.join("; ");
            (!list.is_empty()).then(|| format!("Never changed: {list}."))
        })
    };
    let none = Memo::new(move |_| looked.with(|l| l.rows.is_empty()));
    view! {
        {move || none.get().then(|| view! { <p>"No set-up is written down yet."</p> })}
        <p class="how">
            "A lane for each setting that was changed, a step where it was; below, each time the rider spoke: the higher the bar, the more there was to complain of. All of it stands in the table too."
        </p>
        <div class="season-frame" role="group" tabindex="0" aria-label="The season as a drawing; the table below says the same" inner_html=drawn></div>
        <p class="how">{constant}</p>
        {move || table(&looked.get())}
        <Compare desk pair looked />
    }
    .into_any()
}

fn table(seen: &Seen) -> AnyView {
    let rows = seen.rows.iter().rev().map(|row| {
        let row = row.clone();
        view! {
            <tr><th scope="row">{row.since}</th><td>{row.changed}</td><td>{row.felt}</td><td>{row.came}</td></tr>
        }
    });
    view! {
        <div class="wide" role="group" tabindex="0" aria-label="Set-ups, as a table">
            <table class="set-ups">
                <caption>"Set-ups, the newest first"</caption>
                <thead>
                    <tr>
                        <th scope="col">"Since"</th>
                        <th scope="col">"Changed"</th>
                        <th scope="col">"Felt on it"</th>
                        <th scope="col">"What came of it"</th>
                    </tr>
                </thead>
                <tbody>{rows.collect_view()}</tbody>
            </table>
        </div>
    }
    .into_any()
}

/// Two moments over each other.
#[component]
fn Compare(desk: Desk, pair: (Id, Id), looked: Memo<Seen>) -> impl IntoView {
    let ids = looked.with_untracked(|l| l.rows.iter().map(|r| r.root).collect::<Vec<_>>());
    let last = ids.last().copied();
    let behind = RwSignal::new(ids.iter().rev().nth(1).copied().or(last));
    let front = RwSignal::new(last);
    let wrong = RwSignal::new(None::<String>);
    let choose = move |id: &'static str, label: &'static str, chosen: RwSignal<Option<Id>>| {
        let options = move || {
            looked.with(|l| {
                let rows = l.rows.iter().rev().map(|row| {
                    let selected = chosen.get_untracked() == Some(row.root);
                    view! { <option value=row.root.to_string() selected=selected>{row.since.clone()}</option> }
                });
                rows.collect_view()
            })
        };
        view! {
            <div class="field">
                <label for=id>{label}</label>
                <select id=id on:change=move |event| chosen.set(event_target_value(&event).parse().ok())>{options}</select>
            </div>
        }
        .into_any()
    };
    let differs = move || {
        let (behind, front) = (behind.get()?, front.get()?);
        desk.read(|reading| {
            let set_ups = reading.set_ups(pair.0, pair.1);
            let of = |root: Id| set_ups.iter().find(|s| s.strand.root == root);
            let list = of(behind)?
                .set_up
                .differences(of(front)?.set_up, desk.system());
            Some(if list.is_empty() {
                "They do not differ.".to_owned()
            } else {
                list.join("; ")
            })
        })
    };
    let show = move |_| {
        if let (Some(behind), Some(front)) = (behind.get_untracked(), front.get_untracked()) {
            wrong.set(stage::open(desk, pair, Some((behind, front))).err());
        }
    };
    view! {
        <h3>"Two of them over each other"</h3>
        <div class="pair roomy">
            {choose("compare-behind", "As a dashed outline", behind)}
            {choose("compare-front", "In front", front)}
        </div>
        <p aria-live="polite">{differs}</p>
        {alert(wrong)}
        <div class="along-row">
            <button type="button" disabled=move || front.get().is_none() on:click=show>"Show them on the stage"</button>
            <button type="button" on:click=move |_| desk.go(Screen::Back)>"Go back to one of them"</button>
        </div>
    }
}
