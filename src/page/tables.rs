//! The drawing for those who do not see it: a sentence that is read out when it changes, and tables.

use leptos::prelude::*;

use super::field::Group;
use super::store::Store;
use crate::sled::Cockpit;
use crate::units::text::capital;
use crate::view::describe::{Description, describe};

fn description(store: Store) -> Option<Description> {
    let (sled, set_up) = (store.sled.get()?, store.set_up.get()?);
    let name = store.front();
    let stances = store.stances.get_value();
    let stance = stances.iter().find(|s| s.name == name)?;
    let result = set_up.stances.iter().find(|s| s.name == name)?;
    set_up.settings.checked(&sled).ok()?;
    let cockpit = Cockpit::new(&sled, set_up.settings);
    Some(describe(
        stance,
        &result.posture,
        &cockpit,
        Some(&result.hold),
        store.system(),
    ))
}

/// The sentence; it follows what stands, not the pointer, so that a drag is read out once.
#[component]
pub fn Spoken(store: Store) -> impl IntoView {
    let words = Memo::new(move |_| description(store).map(|d| d.summary).unwrap_or_default());
    view! { <p class="unseen" role="status" id="stage-words">{move || words.get()}</p> }
}

/// The tables.
#[component]
pub fn Tables(store: Store) -> impl IntoView {
    let note = Signal::derive(|| "angles with their ranges, distances, hold".to_owned());
    view! {
        <section class="panel tables" aria-labelledby="tables-heading">
            <h2 id="tables-heading">"The drawing in words"</h2>
            <p>{move || description(store).map(|d| capital(&d.summary))}</p>
            <Group title="As tables" note>
                {move || {
                    description(store)
                        .map(|d| {
                            d.tables
                                .into_iter()
                                .map(|table| {
                                    let cells = |row: Vec<String>| {
                                        row.into_iter()
                                            .enumerate()
                                            .map(|(i, cell)| {
                                                if i == 0 {
                                                    view! { <th scope="row">{cell}</th> }.into_any()
                                                } else {
                                                    view! { <td>{cell}</td> }.into_any()
                                                }
                                            })
                                            .collect_view()
                                    };
                                    view! {
                                        <div class="wide">
                                            <table>
                                                <caption>{table.caption}</caption>
                                                <thead>
                                                    <tr>
                                                        {table
                                                            .head
                                                            .into_iter()
                                                            .map(|h| view! { <th scope="col">{h}</th> })
                                                            .collect_view()}
                                                    </tr>
                                                </thead>
                                                <tbody>
                                                    {table
                                                        .rows
                                                        .into_iter()
                                                        .map(|row| view! { <tr>{cells(row)}</tr> })
                                                        .collect_view()}
                                                </tbody>
                                            </table>
                                        </div>
                                    }
                                })
                                .collect_view()
                        })
                }}
            </Group>
        </section>
    }
}
