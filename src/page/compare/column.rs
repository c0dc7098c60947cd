//! The options as columns: rider, sled, settings, strength, stance and weights of each, typed and stepped here.

use leptos::prelude::*;

use super::super::field::{Field, Group};
use super::super::sled::offered;
use super::bench::Bench;
use crate::compare::{MOST, letter};
use crate::plan::options::Entered;
use crate::plan::rider_form::{RiderField, field_of, known};
use crate::plan::{Entry, Kind, LeverRolls, Setting, SledPick};
use crate::rider::Measurement;
use crate::sled::profile::SHIPPED;
use crate::units::text::{capital, format_number};

/// All of them, and the way to another.
pub fn columns(bench: Bench) -> AnyView {
    let full = move || bench.count.get() >= MOST;
    let each = move || {
        (0..bench.count.get())
            .map(|i| column(bench, i))
            .collect_view()
    };
    view! {
        <section class="panel columns" aria-labelledby="columns-heading">
            <h3 id="columns-heading">"The options"</h3>
            <div class="along-row">
                <button type="button" disabled=full on:click=move |_| bench.add(bench.as_on_start())>
                    "Add what stands on the start page"
                </button>
            </div>
            <div class="options">{each}</div>
        </section>
    }
    .into_any()
}

fn column(bench: Bench, place: usize) -> AnyView {
    let letter = letter(place);
    let of = move |take: fn(&Entered) -> String| {
        Signal::derive(move || {
            bench
                .options
                .with(|o| o.list.get(place).map(take).unwrap_or_default())
        })
    };
    let by_hand = move || {
        bench
            .options
            .with(|o| o.list.get(place).is_some_and(|e| e.plan.by_hand.is_some()))
    };
    let copy = move |_| {
        let copied = bench.options.with_untracked(|o| o.list.get(place).cloned());
        if let Some(mut option) = copied {
            // A copy begins where the first one stands, to be changed by hand.
            option.plan.by_hand = bench
                .settings(place)
                .map(Into::into)
                .or(option.plan.by_hand);
            option.name = String::new();
            bench.add(option);
        }
    };
    let take_out = move |_| {
        bench.options.update(|o| {
            if o.list.len() > 2 && place < o.list.len() {
                o.list.remove(place);
            }
        })
    };
    let open = move |_| {
        let plan = bench
            .options
            .with_untracked(|o| o.list.get(place).map(|e| e.plan.clone()));
        if let Some(mut plan) = plan {
            plan.by_hand = bench.settings(place).map(Into::into).or(plan.by_hand);
            bench.store.change("", |mine| {
                plan.units = mine.units;
                plan.front = mine.front.clone();
                *mine = plan;
            });
            bench.store.go(crate::plan::place::Place::Start, Vec::new());
        }
    };
    let rows = Setting::ALL
        .map(|setting| row(bench, place, setting))
        .collect_view();
    let class = format!("option option-{}", letter.to_ascii_lowercase());
    view! {
        <fieldset class=class>
            <legend>
                <svg class="stage sample" viewBox="0 0 40 10" aria-hidden="true">
                    <path class=format!("option-{}", letter.to_ascii_lowercase()) d="M0 5L40 5" />
                </svg>
                {format!("Option {letter}")}
            </legend>
            {text(bench, place, "name", "Called", of(|e| e.name.clone()), |e, text| e.name = text)}
            <div class="pair">
                {rider(bench, place, field_of(Measurement::Stature))}
                {rider(bench, place, field_of(Measurement::BodyMass))}
                {known("strength.level").map(|field| rider(bench, place, field))}
                {sled(bench, place)}
            </div>
            <div class="settings">{rows}</div>
            <button
                type="button"
                disabled=move || !by_hand()
                on:click=move |_| bench.change_plan(place, |plan| {
                    plan.by_hand = None;
                    plan.levers = LeverRolls::default();
                })
            >
                {format!("Best fit for {letter}")}
            </button>
            <Group title="Stance and weights" note=Signal::derive(move || stance_note(bench, place))>
                {move || stances(bench, place)}
            </Group>
            <div class="along-row">
                <button type="button" disabled=move || { bench.count.get() >= MOST } on:click=copy>{format!("Copy {letter}")}</button>
                <button type="button" disabled=move || { bench.count.get() <= 2 } on:click=take_out>{format!("Take {letter} out")}</button>
                <button type="button" class="quiet" on:click=open>{format!("Open {letter} on the start page")}</button>
            </div>
        </fieldset>
    }
    .into_any()
}

/// A line of free text.
fn text(
    bench: Bench,
    place: usize,
    id: &str,
    label: &'static str,
    value: Signal<String>,
    set: fn(&mut Entered, String),
) -> AnyView {
    view! {
        <Field
            id=format!("{id}-{place}")
            label=format!("{label}, {}", letter(place))
            kind=Kind::Text
            value
            error=Signal::derive(|| None)
            measures=None
            units=bench.store.units
            on_input=Callback::new(move |typed: String| {
                // An address carries it; longer is no name.
                let short = typed.chars().take(60).collect();
                bench.change(place, |e| set(e, short));
            })
        />
    }
    .into_any()
}

/// A field of the rider's.
fn rider(bench: Bench, place: usize, field: RiderField) -> AnyView {
    let RiderField {
        path,
        label,
        kind,
        measurement,
        ..
    } = field;
    let units = bench.store.units;
    let at = StoredValue::new(path.clone());
    let value = Signal::derive(move || {
        let units = units.get();
        bench
            .options
            .with(|o| {
                let form = &o.list.get(place)?.plan.rider;
                let range = measurement.map(|m| m.allowed(form.is_youth()));
                let entry = at.with_value(|path| form.entry(path).cloned());
                let usual = || match kind {
                    Kind::Choice(choices) => choices.get(1).map(|c| c.0.to_owned()),
                    _ => None,
                };
                entry.map(|e| e.shown(kind, range, units)).or_else(usual)
            })
            .unwrap_or_default()
    });
    let error = Signal::derive(move || {
        bench.options.with(|o| {
            let read = o.list.get(place)?.plan.rider.read(units.get());
            at.with_value(|path| read.errors.get(path).cloned())
        })
    });
    view! {
        <Field
            id=format!("{}-{place}", path.replace('.', "-"))
            label=format!("{label}, {}", letter(place))
            kind
            value
            error
            measures=None
            units
            on_input=Callback::new(move |typed: String| {
                let entry = Entry::new(typed, units.get_untracked());
                bench.change_plan(place, |plan| at.with_value(|path| plan.rider.type_in(path, entry)));
            })
        />
    }
    .into_any()
}

/// Which sled: one that comes with the page, the start place's own, or the one that the option carries.
fn sled(bench: Bench, place: usize) -> AnyView {
    let picked = move || {
        bench.options.with(|o| {
            o.list
                .get(place)
                .map(|e| e.plan.sled.pick.id().to_owned())
                .unwrap_or_default()
        })
    };
    let own = move || {
        bench
            .options
            .with(|o| o.list.get(place).is_some_and(|e| e.plan.sled.has_own()))
            || bench.store.plan.with(|p| p.sled.has_own())
    };
    let shipped = SHIPPED.iter().map(|s| {
        let id = s.id;
        view! { <option value=id selected=move || picked() == id>{offered(id).0}</option> }
    });
    let shipped = shipped.collect_view();
    let pick = move |event: leptos::ev::Event| {
        let Some(pick) = SledPick::from_id(&event_target_value(&event)) else {
            return;
        };
        let start = bench.store.plan.with_untracked(|p| p.sled.clone());
        bench.change_plan(place, |plan| {
            let mut next = plan.clone();
            if pick == SledPick::Own && !next.sled.has_own() {
                next.sled = start;
            }
            *plan = next.on_sled(pick);
        });
    };
    let id = format!("sled-{place}");
    view! {
        <div class="field">
            <label for=id.clone()>{format!("Sled, {}", letter(place))}</label>
            <select id=id on:change=pick>
                {shipped}
                {move || own().then(|| view! { <option value="own" selected=move || picked() == "own">"My own"</option> })}
            </select>
        </div>
    }
    .into_any()
}

/// One setting: its value, a step either way, and whether a fit must keep it.
fn row(bench: Bench, place: usize, setting: Setting) -> AnyView {
    let label = format!("{}, {}", setting.label(), letter(place));
    let units = bench.store.units;
    let value = move || {
        let option = bench.option(place)?;
        Some(setting.value(
            &option.set_up.settings,
            &option.alternative.sled,
            units.get(),
        ))
    };
    let choice = move || {
        bench
            .option(place)
            .is_some_and(|o| setting.has_choice(&o.alternative.sled))
    };
    let stepped = move |steps: i32| {
        let option = bench.option(place)?;
        let here = option.set_up.settings;
        let next = setting.stepped(here, steps, &option.alternative.sled);
        (next != here).then_some(next)
    };
    let kept = move || {
        bench.options.with(|o| {
            o.list
                .get(place)
                .is_some_and(|e| e.plan.kept.contains_key(&setting))
        })
    };
    let button = {
        let label = label.clone();
        move |sign: &'static str, does: &'static str, steps: i32| {
            view! {
                <button
                    type="button"
                    aria-label=format!("{label}: {does}")
                    disabled=move || !choice() || stepped(steps).is_none()
                    on:click=move |_| {
                        if let Some(next) = untrack(|| stepped(steps)) {
                            bench.change_plan(place, |plan| {
                                plan.by_hand = Some(next.into());
                                for (kept, value) in &mut plan.kept {
                                    *value = kept.number(&next);
                                }
                            });
                        }
                    }
                >
                    {sign}
                </button>
            }
        }
    };
    let keep = move |event: leptos::ev::Event| {
        let (on, here) = (
            event_target_checked(&event),
            untrack(|| bench.settings(place)),
        );
        bench.change_plan(place, |plan| match here.filter(|_| on) {
            Some(here) => {
                plan.kept.insert(setting, setting.number(&here));
            }
            None => {
                plan.kept.remove(&setting);
            }
        });
    };
    let (less, more) = setting.steps();
    view! {
        <div class="setting" class:kept=kept>
            <span class="setting-name">{setting.label()}</span>
            <span class="setting-value"><strong>{value}</strong></span>
            <span class="stepper" role="group" aria-label=label.clone()>
                {button("−", less, -1)}
                {button("+", more, 1)}
            </span>
            <label class="keep">
                <input type="checkbox" prop:checked=kept on:change=keep />
                "keep" <span class="unseen">{format!(" {label}")}</span>
            </label>
        </div>
    }
    .into_any()
}

fn stance_note(bench: Bench, place: usize) -> String {
    bench.options.with(|o| {
        let option = o.list.get(place);
        match option {
            Some(e) if !e.stance.is_empty() => format!("{} alone", e.stance),
            Some(e) if !e.weights.is_empty() => "weighted here".to_owned(),
            _ => "all stances".to_owned(),
        }
    })
}

/// The one stance that is compared, and the stances' weights.
fn stances(bench: Bench, place: usize) -> AnyView {
    let own = bench.store.stances.with_value(|all| {
        let each = all.iter().map(|s| (s.name.clone(), s.weight));
        each.collect::<Vec<_>>()
    });
    let picked = move || {
        bench.options.with(|o| {
            o.list
                .get(place)
                .map(|e| e.stance.clone())
                .unwrap_or_default()
        })
    };
    let choices = own.iter().map(|(name, _)| {
        let (value, title) = (name.clone(), capital(name));
        let name = name.clone();
        view! { <option value=value selected=move || picked() == name>{title}</option> }
    });
    let choices = choices.collect_view();
    let id = format!("stance-of-{place}");
    let weights = own.iter().map(|(name, weight)| {
        let (name, usual) = (StoredValue::new(name.clone()), *weight);
        let value = Signal::derive(move || {
            bench.options.with(|o| {
                let set = o
                    .list
                    .get(place)
                    .and_then(|e| name.with_value(|n| e.weights.get(n).copied()));
                format_number(set.unwrap_or(usual), 0.01)
            })
        });
        let wrong = RwSignal::new(None::<String>);
        let typed = move |text: String| match Kind::Number.number(
            &text,
            Some(crate::plan::options::WEIGHTS),
            bench.store.units.get_untracked(),
        ) {
            Ok(weight) => {
                wrong.set(None);
                bench.change(place, |e| {
                    let name = name.get_value();
                    if weight == usual {
                        e.weights.remove(&name);
                    } else {
                        e.weights.insert(name, weight);
                    }
                });
            }
            Err(error) => wrong.set(Some(error.to_string())),
        };
        view! {
            <Field
                id=format!("weight-{}-{place}", name.get_value())
                label=format!("Weight of {}, {}", name.get_value(), letter(place))
                kind=Kind::Number
                value
                error=wrong.into()
                measures=None
                units=bench.store.units
                on_input=Callback::new(typed)
            />
        }
    });
    let weights = weights.collect_view();
    view! {
        <div class="pair">
            <div class="field">
                <label for=id.clone()>{format!("Compare, {}", letter(place))}</label>
                <select id=id on:change=move |event| {
                    let stance = event_target_value(&event);
                    bench.change(place, |e| e.stance = stance);
                }>
                    <option value="" selected=move || picked().is_empty()>"All stances"</option>
                    {choices}
                </select>
            </div>
            {weights}
        </div>
    }
    .into_any()
}
