//! The set-up: every setting in words, with steps, and whether the search must keep it.

use leptos::prelude::*;

use super::advice::Sureness;
use super::field::{Group, Stepper};
use super::keeping::storage;
use super::stage::roll_of;
use super::store::{Search, Store};
use crate::fit::LeverPlacement;
use crate::plan::Setting;
use crate::plan::setting::lever_words;
use crate::stance::Status;
use crate::units::text::capital;
use crate::view::handle::{HandleId, step_lever};

/// The set-up's section.
#[component]
pub fn SetUpView(store: Store) -> impl IntoView {
    let by_hand = move || store.is_by_hand();
    let heading = move || {
        if store.is_example.get() {
            "Example: bolt it on like this"
        } else if by_hand() {
            "Set by hand"
        } else {
            "Bolt it on like this"
        }
    };
    view! {
        <section class="panel set-up" aria-labelledby="set-up-heading">
            <h2 id="set-up-heading">{heading}</h2>
            <Progress store />
            <Trouble store />
            <div class="settings" class:waiting=move || store.settings.get().is_none()>
                {Setting::ALL.into_iter().map(|setting| view! { <Row store setting /> }).collect_view()}
                {lever(store, "Brake lever", HandleId::Brake)}
                {lever(store, "Throttle", HandleId::Throttle)}
            </div>
            <Sureness store />
            <div class="actions">
                <button
                    type="button"
                    disabled=move || !by_hand()
                    on:click=move |_| store.best_again()
                >
                    "Best fit again"
                </button>
                <p class="how">
                    {move || {
                        let kept = store.plan.with(|p| p.kept.len());
                        match (by_hand(), kept) {
                            (true, _) => "You moved settings by hand; the best fit brings the searched ones back.".to_owned(),
                            (false, 0) => "Drag on the drawing or step here to try something else.".to_owned(),
                            (false, n) => format!("{n} kept; everything else is searched around it."),
                        }
                    }}
                </p>
                {move || by_hand().then(|| view! {
                    <label class="check">
                        <input
                            type="checkbox"
                            prop:checked=move || store.show_former.get()
                            on:change=move |event| store.show_former.set(event_target_checked(&event))
                        />
                        {move || {
                            let before = store.before.get();
                            let what = before.map_or_else(|| "the best fit".to_owned(), |b| format!("the set-up of {}", b.name));
                            format!("show {what} as a dashed outline")
                        }}
                    </label>
                })}
                <LeftHand />
            </div>
        </section>
    }
}

/// On a phone held in the left hand the buttons sit at the left edge; it belongs to the device, not to the plan.
#[component]
fn LeftHand() -> impl IntoView {
    const KEY: &str = "sledstance-hand";
    let kept = storage().and_then(|s| s.get_item(KEY).ok().flatten());
    let left = RwSignal::new(kept.as_deref() == Some("left"));
    Effect::new(move |_| {
        let hand = if left.get() { "left" } else { "right" };
        if let Some(root) = document().document_element() {
            let _ = root.set_attribute("data-hand", hand);
        }
        if let Some(storage) = storage() {
            // Where nothing is kept, the plan's own message says so.
            let _ = storage.set_item(KEY, hand);
        }
    });
    view! {
        <label class="check left-hand">
            <input
                type="checkbox"
                prop:checked=move || left.get()
                on:change=move |event| left.set(event_target_checked(&event))
            />
            "buttons for the left thumb"
        </label>
    }
}

/// What the search is doing, in a line that is read out when it changes.
#[component]
fn Progress(store: Store) -> impl IntoView {
    let words = move || match store.search.get() {
        // What was found for an earlier question stays in sight, but is not called an answer to this one.
        _ if store.searching.get() => "Searching for the best fit …".to_owned(),
        Search::Running => "Searching for the best fit …".to_owned(),
        Search::Failed(because) => format!("The search gave no answer: {because}."),
        Search::Found(found) => {
            let who = if store.is_example.get() {
                "For an invented rider of 1.78 m and 80 kg. Give your height and weight for yours."
            } else {
                "For your measurements."
            };
            format!("{who} {} combinations looked at closely.", found.examined)
        }
    };
    view! {
        <p class="progress" role="status">{words}</p>
    }
}

/// What speaks against the set-up as it stands, at the top, with what would help.
#[component]
fn Trouble(store: Store) -> impl IntoView {
    let trouble = move || {
        let set_up = store.set_up.get()?;
        let mut list: Vec<String> = Vec::new();
        for stance in &set_up.stances {
            if let Status::OutOfReach(limits) = &stance.posture.status {
                let names: Vec<&str> = limits.iter().map(|l| l.name.as_str()).collect();
                list.push(format!("{}: {}", capital(&stance.name), names.join(", ")));
            }
        }
        for verdict in &set_up.verdicts {
            if verdict.met == Some(false) {
                list.push(format!("{}: {}", capital(&verdict.name), verdict.says));
            }
        }
        let by_hand = store.is_by_hand();
        let found = match store.search.get() {
            Search::Found(found) if !by_hand => Some(found),
            _ => None,
        };
        let binds = found.as_ref().and_then(|f| f.binds.clone());
        if list.is_empty() && binds.is_none() {
            return None;
        }
        let helps = found.map(|f| f.helps).unwrap_or_default();
        Some((binds, list, helps))
    };
    view! {
        {move || {
            trouble()
                .map(|(binds, list, helps)| {
                    view! {
                        <div class="trouble" role="alert">
                            <p class="trouble-title">
                                {if binds.is_some() { "Nothing in stock fits this rider; this comes nearest." } else { "This set-up does not fit." }}
                            </p>
                            {binds.map(|b| view! { <p>"It fails on: " {b}</p> })}
                            <ul>{list.into_iter().map(|l| view! { <li>{l}</li> }).collect_view()}</ul>
                            {(!helps.is_empty())
                                .then(|| {
                                    view! {
                                        <p>"What would help:"</p>
                                        <ul>{helps.into_iter().map(|h| view! { <li>{h}</li> }).collect_view()}</ul>
                                    }
                                })}
                        </div>
                    }
                })
        }}
    }
}

#[component]
fn Row(store: Store, setting: Setting) -> impl IntoView {
    let kept = Memo::new(move |_| store.plan.with(|p| p.kept.contains_key(&setting)));
    let label = setting.label();
    let value = move || {
        let (s, sled) = (store.drawn.get()?, store.sled.get()?);
        Some(setting.value(&s, &sled, store.units.get()))
    };
    let note = move || {
        let (s, sled) = (store.drawn.get()?, store.sled.get()?);
        Some(setting.note(&s, &sled, store.units.get()))
    };
    let stepped = move |steps: i32| {
        let (s, sled) = (store.settings.get()?, store.sled.get()?);
        let next = setting.stepped(s, steps, &sled);
        (setting.has_choice(&sled) && next != s).then_some(next)
    };
    let can = Callback::new(move |steps| stepped(steps).is_some());
    let go = Callback::new(move |steps| {
        if let Some(next) = untrack(|| stepped(steps)) {
            store.set_by_hand(next, "");
        }
    });
    view! {
        <div class="setting" class:kept=move || kept.get()>
            <span class="setting-name">{label}</span>
            <span class="setting-value">
                <strong>{value}</strong>
                " "
                <span class="setting-note">{note}</span>
                {move || {
                    let sure = store.sure.get()?.settings.remove(&setting)?;
                    Some(view! { <span class="setting-band">{sure}</span> })
                }}
            </span>
            <Stepper label words=setting.steps() can go />
            <label class="keep">
                <input
                    type="checkbox"
                    prop:checked=move || kept.get()
                    on:change=move |event| store.keep(setting, event_target_checked(&event))
                />
                "keep" <span class="unseen">{format!(" {label}")}</span>
            </label>
        </div>
    }
}

/// Where brake and throttle go: they follow from the rest until they are turned by hand.
fn lever(store: Store, label: &'static str, handle: HandleId) -> AnyView {
    let roll = move || Some(roll_of(handle, &store.drawn_levers()?));
    let kept = Memo::new(move |_| {
        let (brake, throttle) = store.plan.with(|p| p.levers).angles();
        let by_hand = if handle == HandleId::Brake {
            brake
        } else {
            throttle
        };
        by_hand.is_some()
    });
    let stepped = move |steps: i32| {
        let (levers, sled) = (store.drawn_levers()?, store.sled.get()?);
        let next = roll_of(handle, &step_lever(handle, levers, steps, &sled));
        (next != roll_of(handle, &levers)).then_some(next)
    };
    let can = Callback::new(move |steps| stepped(steps).is_some());
    let go = Callback::new(move |steps| {
        if let Some(next) = untrack(|| stepped(steps)) {
            store.turn_lever(handle, Some(next), "");
        }
    });
    let placed = move || {
        let set_up = store.set_up.get()?;
        let levers = &set_up.levers;
        let lever = if handle == HandleId::Brake {
            &levers.brake
        } else {
            &levers.throttle
        };
        Some(LeverPlacement {
            roll: roll().unwrap_or(lever.roll),
            ..lever.clone()
        })
    };
    let words = Memo::new(move |_| Some(lever_words(&placed()?, store.units.get())));
    let notes = Memo::new(move |_| placed().map(|lever| lever.notes).unwrap_or_default());
    // How far out it is clamped stands beside the heading of the rest. The fold is made once, so that it stays open.
    let more = Signal::derive(move || {
        let out = words.get().map_or(String::new(), |w| w.out);
        match notes.with(Vec::len) {
            0 => out,
            count => format!("{out}; {count} to know"),
        }
    });
    let list = move || {
        let place = words.get().map(|w| format!("{}.", capital(&w.place)));
        let lines = place.into_iter().chain(notes.get());
        lines.map(|line| view! { <li>{line}</li> }).collect_view()
    };
    view! {
        <div class="setting" class:kept=move || kept.get()>
            <span class="setting-name">{label}</span>
            <span class="setting-value">
                <strong>{move || words.get().map(|w| w.roll)}</strong>
                " "
                <span class="setting-note">{move || words.get().map(|w| w.reach)}</span>
            </span>
            <Stepper label words=("up", "down") can go />
            <label class="keep">
                <input
                    type="checkbox"
                    prop:checked=move || kept.get()
                    on:change=move |event| {
                        let kept = event_target_checked(&event);
                        store.turn_lever(handle, untrack(roll).filter(|_| kept), "");
                    }
                />
                "keep" <span class="unseen">{format!(" {label}")}</span>
            </label>
            <Group title="Where to clamp it" note=more>
                <ul class="notes">{list}</ul>
            </Group>
        </div>
    }
    .into_any()
}
