//! What the stance in front can hold: the envelope, the named loads, effort, leg travel.

use leptos::prelude::*;

use super::store::Store;
use crate::fit::StanceResult;
use crate::plan::words;
use crate::units::text::format_number;
use crate::view::envelope::envelope;
use crate::view::svg;

/// Size at which the envelope is drawn, px: it fits the narrowest phone.
const SIZE: (f64, f64) = (340.0, 300.0);

/// The section about hold.
#[component]
pub fn HoldView(store: Store) -> impl IntoView {
    let front = Memo::new(move |_| {
        let set_up = store.set_up.get()?;
        let name = store.front();
        set_up.stances.iter().find(|s| s.name == name).cloned()
    });
    view! {
        <section class="panel hold" aria-labelledby="hold-heading">
            <h2 id="hold-heading">
                "What " {move || store.front()} " can hold"
            </h2>
            {move || front.get().map(|stance| inside(store, &stance))}
        </section>
    }
}

fn inside(store: Store, stance: &StanceResult) -> impl IntoView + use<> {
    let hold = &stance.hold;
    let goals = store.stances.with_value(|stances| {
        let found = stances.iter().find(|s| s.name == stance.name);
        found.map(|s| s.goals.clone()).unwrap_or_default()
    });
    let drawn = envelope(hold, &goals, SIZE.0, SIZE.1);
    let loads = hold
        .loads
        .iter()
        .map(|load| {
            let (g, first) = words::held(load);
            view! {
                <tr>
                    <th scope="row">{words::load(load.load)}</th>
                    <td class="number">{g}</td>
                    <td>{first}</td>
                </tr>
            }
        })
        .collect_view();
    let travel = hold
        .travel
        .as_ref()
        .map(|t| words::travel(t, store.units.get()));
    let steering = format!(
        "Both hands resist {} N·m about the post, bars straight.",
        format_number(hold.steering.straight, 5.0)
    );
    let omitted = (!drawn.omitted.is_empty()).then(|| drawn.omitted.join(" · "));
    view! {
        <p class="lead">{words::hold_sentence(hold)}</p>
        <svg
            class="stage envelope"
            role="img"
            aria-label=drawn.title.clone()
            viewBox=format!("0 0 {} {}", drawn.size.0, drawn.size.1)
            inner_html=svg::envelope_content(&drawn)
        ></svg>
        {omitted.map(|o| view! { <p class="beside">{o}</p> })}
        <table>
            <caption class="unseen">"Loads and what gives first"</caption>
            <thead>
                <tr><th scope="col">"Load"</th><th scope="col">"Holds to"</th><th scope="col">"Then"</th></tr>
            </thead>
            <tbody>{loads}</tbody>
        </table>
        <p>{words::working(hold)}</p>
        {travel.map(|t| view! { <p>{t}</p> })}
        <p>{steering}</p>
    }
}
