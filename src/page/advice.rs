//! How sure, why, what if, and what to change for what a rider felt.

use leptos::prelude::*;
use wasm_bindgen::JsCast;

use super::field::Group as Fold;
use super::request::{Request, Response, Standing};
use super::store::Store;
use super::turn::Turns;
use crate::change::COMPLAINTS;
use crate::order::Map;
use crate::plan::Chosen;
use crate::plan::advice::{Group, Note, Told};
use crate::units::text::finite;

/// An answer on its way: nothing asked, being computed, there, or refused.
#[derive(Clone, Debug, Default, PartialEq)]
enum Answer {
    #[default]
    None,
    Waiting,
    There(Told),
    Refused(String),
}

/// The picker's place on the page.
const PICKER: &str = "felt";

/// Pick complaints, open the picker and go there.
pub fn pick(store: Store, complaints: &'static [&'static str]) {
    store.felt.update(|felt| {
        for id in complaints {
            felt.at(id, 2);
        }
    });
    let picker = document().get_element_by_id(PICKER);
    if let Some(picker) = picker.and_then(|p| p.dyn_into::<web_sys::HtmlElement>().ok()) {
        let _ = picker.set_attribute("open", "");
        picker.scroll_into_view();
        if let Ok(Some(summary)) = picker.query_selector("summary")
            && let Ok(summary) = summary.dyn_into::<web_sys::HtmlElement>()
        {
            let _ = summary.focus();
        }
    }
}

/// The section.
#[component]
pub fn Advice(store: Store) -> impl IntoView {
    let plain = |text: &'static str| Signal::derive(move || text.to_owned());
    view! {
        <section class="panel advice" aria-labelledby="advice-heading">
            <h2 id="advice-heading">"What did the rider say?"</h2>
            {move || {
                store.is_example.get().then(|| view! {
                    <p class="how">"Give height and weight first: advice is about your set-up, not about the example."</p>
                })
            }}
            <Complaints store />
            <Fold title="What if: one step either way" note=plain("everything solved anew")>
                <Asked store make=Request::WhatIf />
            </Fold>
            <Fold title="Why these settings" note=plain("what pulls which way")>
                <Asked store make=Request::Why />
            </Fold>
            <Fold title="How sure" note=plain("nine of ten riders with these measurements")>
                {move || {
                    store.sure.get().map_or_else(
                        || view! { <p class="how">"Nothing drawn yet."</p> }.into_any(),
                        |sure| told(store, sure.told),
                    )
                }}
            </Fold>
        </section>
    }
}

/// Riders drawn so far, and the one measurement that would help most.
#[component]
pub fn Sureness(store: Store) -> impl IntoView {
    let words = move || {
        store.sure.get().map(|sure| {
            if store.drawing.get() {
                format!("How sure: {} of {} riders with these measurements drawn …", sure.done, sure.total)
            } else {
                format!("Beside each setting: where nine of ten riders with these measurements come out ({} drawn).", sure.done)
            }
        })
    };
    let next = move || {
        store
            .sure
            .get()
            .map(|sure| sure.next)
            .filter(|next| !next.is_empty())
    };
    view! {
        <div class="sureness">
            {move || words().map(|w| view! { <p class="how">{w}</p> })}
            {move || store.drawing.get().then(|| view! {
                <button type="button" class="quiet" on:click=move |_| store.stop_drawing()>"Stop drawing"</button>
            })}
            {move || {
                let few = store.sure.get().is_some_and(|s| s.done == s.total && s.total < 200);
                (few && !store.drawing.get()).then(|| view! {
                    <button type="button" class="quiet" on:click=move |_| store.look_closer()>"Look closer: draw 200"</button>
                })
            }}
            {move || next().map(|n| view! { <p class="next"><strong>"Measure next. "</strong>{n}</p> })}
        </div>
    }
}

/// Ask the adviser; the answer belongs to the turn in which it was asked.
fn ask(store: Store, request: &Request, answer: RwSignal<Answer>, turns: Turns) {
    let turn = turns.next();
    answer.set(Answer::Waiting);
    store.adviser.with_value(|adviser| {
        adviser.ask(request, move |found| {
            if !turn.lasts() {
                return;
            }
            answer.set(match found {
                Ok(Response::Told(told)) => Answer::There(*told),
                Ok(Response::Refused { because }) => Answer::Refused(because),
                Ok(_) => Answer::Refused("it answered another question".to_owned()),
                Err(failure) => Answer::Refused(failure.to_string()),
            });
        });
    });
}

fn shown(store: Store, answer: Answer) -> AnyView {
    match answer {
        Answer::None => ().into_any(),
        Answer::Waiting => view! { <p class="how">"Computing …"</p> }.into_any(),
        Answer::Refused(because) => {
            view! { <p class="error" role="alert">{format!("No answer: {because}.")}</p> }
                .into_any()
        }
        Answer::There(answer) => told(store, answer),
    }
}

/// An answer about the set-up as it stands, asked anew whenever that changes.
#[component]
fn Asked(store: Store, make: fn(Box<Standing>) -> Request) -> impl IntoView {
    let answer = RwSignal::new(Answer::None);
    let turns = Turns::new();
    Effect::new(move |_| {
        if let Some(standing) = store.standing.get() {
            ask(store, &make(Box::new(standing)), answer, turns);
        }
    });
    view! { <div aria-live="polite">{move || shown(store, answer.get())}</div> }
}

/// What riders say, to be picked, and what to change for it.
#[component]
fn Complaints(store: Store) -> impl IntoView {
    let felt = store.felt;
    let minutes = RwSignal::new(None::<f64>);
    let answer = RwSignal::new(Answer::None);
    let turns = Turns::new();
    Effect::new(move |_| {
        let (picked, minutes, standing) = (felt.get(), minutes.get(), store.standing.get());
        match standing {
            Some(standing) if !picked.is_empty() => {
                let complaints = picked
                    .into_iter()
                    .map(|(id, strength)| (id.to_owned(), strength));
                let request = Request::Felt {
                    standing: Box::new(standing),
                    complaints: complaints.collect(),
                    minutes,
                };
                ask(store, &request, answer, turns);
            }
            _ => answer.set(Answer::None),
        }
    });
    let count = Signal::derive(move || match felt.with(Map::len) {
        0 => "pick one or two".to_owned(),
        n => format!("{n} picked"),
    });
    view! {
        <Fold title="Pick what was felt" note=count id=PICKER>
            <ul class="complaints">
                {COMPLAINTS.iter().map(|c| complaint(felt, "felt", c.id, c.words)).collect_view()}
            </ul>
        </Fold>
        {minutes_field("minutes", minutes)}
        <div aria-live="polite">{move || shown(store, answer.get())}</div>
    }
}

/// How much time there is.
pub fn minutes_field(id: &'static str, minutes: RwSignal<Option<f64>>) -> AnyView {
    let time = |event: leptos::ev::Event| finite(&event_target_value(&event));
    view! {
        <div class="field minutes">
            <label for=id>"Time there is"</label>
            <select id=id on:change=move |event| minutes.set(time(event))>
                <option value="">"no hurry"</option>
                <option value="5">"5 minutes"</option>
                <option value="15">"15 minutes"</option>
                <option value="30">"30 minutes"</option>
                <option value="60">"an hour"</option>
            </select>
        </div>
    }
    .into_any()
}

/// One complaint, and how bad it is once it is picked; `place` tells two pickers apart.
pub fn complaint(
    felt: RwSignal<Map<&'static str, u8>>,
    place: &'static str,
    id: &'static str,
    words: &'static str,
) -> AnyView {
    let picked = move || felt.with(|f| f.contains_key(id));
    let dom_id = format!("{place}-{id}");
    let is = move |strength: u8| felt.with(|f| f.get(id) == Some(&strength));
    view! {
        <li class="task">
            <input
                type="checkbox"
                id=dom_id.clone()
                prop:checked=picked
                on:change=move |event| {
                    let on = event_target_checked(&event);
                    felt.update(|f| {
                        if on {
                            f.insert(id, 2);
                        } else {
                            f.remove(id);
                        }
                    });
                }
            />
            <label for=dom_id>{words}</label>
            {move || picked().then(|| view! {
                <select
                    aria-label=format!("How bad: {words}")
                    on:change=move |event| {
                        if let Ok(strength) = event_target_value(&event).parse() {
                            felt.update(|f| { f.insert(id, strength); });
                        }
                    }
                >
                    <option value="1" selected=move || is(1)>"a little"</option>
                    <option value="2" selected=move || is(2)>"clearly"</option>
                    <option value="3" selected=move || is(3)>"badly"</option>
                </select>
            })}
        </li>
    }
    .into_any()
}

/// An answer as it was told; what can be tried is tried on the start place.
pub fn told(store: Store, told: Told) -> AnyView {
    told_with(told, &|note: &Note| attempt(store, note))
}

/// A note as it was told, likewise.
pub fn note(store: Store, note: Note) -> AnyView {
    note_with(note, &|note: &Note| attempt(store, note))
}

fn attempt(store: Store, note: &Note) -> Option<AnyView> {
    let settings = note.settings?;
    let label = format!("Try it: {}", note.title);
    let button = view! {
        <button type="button" aria-label=label on:click=move |_| try_it(store, settings)>"Try it"</button>
    };
    Some(button.into_any())
}

/// An answer as it was told, with what can be done about each note.
pub fn told_with(told: Told, action: &dyn Fn(&Note) -> Option<AnyView>) -> AnyView {
    let says = told
        .says
        .into_iter()
        .map(|s| view! { <p>{s}</p> }.into_any())
        .collect_view();
    let groups = told
        .groups
        .into_iter()
        .map(|g| group(g, action))
        .collect_view();
    view! { <div class="told">{says}{groups}</div> }.into_any()
}

fn group(group: Group, action: &dyn Fn(&Note) -> Option<AnyView>) -> AnyView {
    let title = (!group.title.is_empty()).then(|| view! { <h3>{group.title}</h3> }.into_any());
    let notes = group
        .notes
        .into_iter()
        .map(|n| note_with(n, action))
        .collect_view();
    view! { <div class="told-group">{title}{notes}</div> }.into_any()
}

fn note_with(note: Note, action: &dyn Fn(&Note) -> Option<AnyView>) -> AnyView {
    let action = action(&note);
    let title = (!note.title.is_empty())
        .then(|| view! { <p class="note-title"><strong>{note.title}</strong></p> }.into_any());
    let lines = note
        .lines
        .into_iter()
        .map(|l| view! { <li>{l}</li> }.into_any())
        .collect_view();
    view! { <div class="note">{title}{action}<ul>{lines}</ul></div> }.into_any()
}

/// Set a proposed set-up by hand: one step that can be taken back.
fn try_it(store: Store, settings: Chosen) {
    if let Some(settings) = store
        .sled
        .get_untracked()
        .and_then(|sled| settings.on(&sled))
    {
        store.set_by_hand(settings, "");
    }
}
