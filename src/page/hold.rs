//! What the stance in front can hold: the envelope, the named loads, effort, leg travel.

use leptos::prelude::*;

use super::advice::note;
use super::field::{Field, Group as Fold};
use super::store::Store;
use crate::fit::StanceResult;
use crate::plan::{Kind, body, words};
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
            <Fold title="Seats and their bounce" note=plain("those in stock, under this rider")>
                {move || seats(store)}
                <p class="how">{body::SEATS_CAUTION}</p>
            </Fold>
            <Fold title="Vibration at the grips" note=plain("hours a day until it is too much")>
                <Vibration store />
            </Fold>
        </section>
    }
}

fn plain(text: &'static str) -> Signal<String> {
    Signal::derive(move || text.to_owned())
}

/// Seats in stock under the rider.
fn seats(store: Store) -> Option<AnyView> {
    let (built, sled) = (store.built.get()?, store.sled.get()?);
    let set_up = store.set_up.get()?;
    set_up.settings.checked(&sled).ok()?;
    let notes = body::seats(&built.rider, &sled, &set_up, store.units.get());
    let notes = notes.into_iter().map(|n| note(store, n)).collect_view();
    Some(view! { <div class="told">{notes}</div> }.into_any())
}

/// Hours for an acceleration that a meter showed.
#[component]
fn Vibration(store: Store) -> impl IntoView {
    let typed = RwSignal::new(String::new());
    let said = Memo::new(move |_| body::vibration(&typed.get()));
    view! {
        <div class="pair">
            <Field
                id="vibration".to_owned()
                label="Acceleration at the grip, m/s²"
                kind=Kind::Number
                value=typed.into()
                error=Signal::derive(move || said.get().err())
                how="Frequency-weighted vector sum, by a meter for ISO 5349-1.".to_owned()
                measures=None
                units=store.units
                on_input=Callback::new(move |text| typed.set(text))
            />
        </div>
        <div aria-live="polite">
            {move || said.get().unwrap_or_default().into_iter().map(|l| view! { <p>{l}</p> }).collect_view()}
        </div>
    }
}

/// A drawing in the plane of specific force, and beside it the labels that found no room.
pub fn drawing(size: (f64, f64), title: String, content: String, omitted: &[String]) -> AnyView {
    let omitted = (!omitted.is_empty()).then(|| omitted.join(" · "));
    view! {
        <svg
            class="stage envelope"
            role="img"
            aria-label=title
            viewBox=format!("0 0 {} {}", size.0, size.1)
            inner_html=content
        ></svg>
        {omitted.map(|o| view! { <p class="beside">{o}</p> })}
    }
    .into_any()
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
    let tires = hold.working.clone().map(|working| {
        view! {
            <Fold title="What tires first" note=plain("held still, at rest")>
                {note(store, body::tiring(&working))}
                <p class="how">{body::tiring_limits()}</p>
            </Fold>
        }
    });
    let content = svg::envelope_content(&drawn);
    view! {
        <p class="lead">{words::hold_sentence(hold)}</p>
        {drawing(drawn.size, drawn.title, content, &drawn.omitted)}
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
        {tires}
    }
}
