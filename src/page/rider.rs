//! The rider: two numbers, and everything else that can be measured.

use leptos::prelude::*;

use super::field::{Field, Group};
use super::guide::Measured;
use super::store::Store;
use crate::plan::Kind;
use crate::plan::rider_form::{self, RiderField};
use crate::rider::Measurement;
use crate::units::text::format_number;

/// The rider's section.
#[component]
pub fn Rider(store: Store) -> impl IntoView {
    let warnings = move || {
        let built = store
            .rider
            .with(|r| r.built.as_ref().map(|b| b.warnings.clone()));
        built.unwrap_or_default()
    };
    let measured = move || {
        let form = store.plan.with(|p| p.rider.clone());
        let groups = rider_form::groups();
        let count: usize = groups.iter().map(|g| form.filled(g)).sum();
        if count == 0 {
            "optional: each one narrows the result".to_owned()
        } else {
            format!("{count} given")
        }
    };
    view! {
        <section class="panel who" aria-labelledby="who-heading">
            <h2 id="who-heading">"The rider"</h2>
            {move || {
                let (taken, all) = store.plan.with(|p| p.rider.measured());
                (taken > 0).then(|| view! { <p class="progress">{format!("{taken} of {all} measured")}</p> })
            }}
            <div class="pair">
                <RiderInput store field=rider_form::field_of(Measurement::Stature) example="178 cm or 5'10" />
                <RiderInput store field=rider_form::field_of(Measurement::BodyMass) example="80 kg or 176 lb" />
                <RiderInput store field=rider_form::sex_field() />
                <RiderInput store field=rider_form::age_field() example="optional" />
            </div>
            {move || {
                let warnings = warnings();
                (!warnings.is_empty())
                    .then(|| view! {
                        <ul class="notes">{warnings.into_iter().map(|w| view! { <li>{w}</li> }).collect_view()}</ul>
                    })
            }}
            <Group title="More measurements and gear" note=Signal::derive(measured)>
                <p class="how">
                    "Grey values are estimates from what is given so far, with the range in which two of three people lie."
                </p>
                {rider_form::groups()
                    .into_iter()
                    .map(|group| {
                        let count = group.fields.len();
                        let counted = group.clone();
                        let note = Signal::derive(move || {
                            let filled = store.plan.with(|p| p.rider.filled(&counted));
                            format!("{filled} of {count}")
                        });
                        let paths: Vec<String> = group.fields.iter().map(|f| f.path.clone()).collect();
                        let wrong = Signal::derive(move || {
                            store.rider.with(|r| paths.iter().any(|p| r.errors.contains_key(p)))
                        });
                        let fields = group.fields;
                        view! {
                            <Group title=group.title note wrong>
                                <div class="pair">
                                    {fields
                                        .iter()
                                        .cloned()
                                        .map(|field| view! { <RiderInput store field /> })
                                        .collect_view()}
                                </div>
                            </Group>
                        }
                    })
                    .collect_view()}
            </Group>
        </section>
    }
}

#[component]
fn RiderInput(
    store: Store,
    field: RiderField,
    #[prop(optional, into)] example: Option<String>,
) -> impl IntoView {
    let RiderField {
        path,
        label,
        kind,
        how,
        measurement,
    } = field;
    let shown = {
        let path = path.clone();
        Signal::derive(move || {
            let units = store.units.get();
            store.plan.with(|plan| {
                let range = measurement.map(|m| m.allowed(plan.rider.is_youth()));
                match (plan.rider.entry(&path), kind) {
                    (Some(entry), _) => entry.shown(kind, range, units),
                    (None, Kind::Choice(choices)) => {
                        let usual = if path == "strength.level" { 1 } else { 0 };
                        choices[usual].0.to_owned()
                    }
                    _ => String::new(),
                }
            })
        })
    };
    let error = {
        let path = path.clone();
        Signal::derive(move || store.rider.with(|r| r.errors.get(&path).cloned()))
    };
    let basic =
        measurement.is_some_and(|m| matches!(m, Measurement::Stature | Measurement::BodyMass));
    let empty = Signal::derive(move || {
        let units = store.units.get();
        match (&example, measurement) {
            (Some(example), _) => example.clone(),
            (None, Some(m)) if !basic && !store.is_example.get() => {
                let Some(built) = store.built.get() else {
                    return String::new();
                };
                let (mean, sd) = (built.estimate.mean(m), built.estimate.sd(m));
                format!(
                    "{} ± {}",
                    kind.print(mean, units),
                    plus_minus(kind, sd, units)
                )
            }
            _ => String::new(),
        }
    });
    let id = format!("rider-{}", path.replace(['.', '_'], "-"));
    let typed = path.clone();
    view! {
        <Field
            id
            label
            kind
            value=shown
            error
            empty
            how=if measurement.is_some() { String::new() } else { how }
            measures=measurement.map(Measured::Rider)
            units=store.units
            on_input=Callback::new(move |text| store.type_rider(&typed, text))
            on_leave=Callback::new(move |()| store.settle())
        />
    }
}

/// A deviation without its unit, in the units shown.
fn plus_minus(kind: Kind, sd: f64, units: crate::plan::Units) -> String {
    let words = kind.print(sd, units);
    words
        .split(' ')
        .next()
        .map_or_else(|| format_number(sd, 1.0), str::to_owned)
}
