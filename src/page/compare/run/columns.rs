//! Which column is which, to look over and put right.

use leptos::prelude::*;

use crate::plan::recorded::Looked;
use crate::run::{Column, Columns, Gravity, Role};
use crate::units::{ChannelUnit, Quantity};

/// What people read for a role, and how it must count.
const WORDS: [(Role, &str, &str); 10] = [
    (Role::Time, "Time", ""),
    (
        Role::Longitudinal,
        "Forward acceleration",
        "positive while speeding up",
    ),
    (
        Role::Lateral,
        "Sideways acceleration",
        "positive in a left-hand corner",
    ),
    (Role::Vertical, "Upward acceleration", "+1 g at rest"),
    (Role::Speed, "Speed", ""),
    (Role::Throttle, "Throttle", ""),
    (Role::Brake, "Brake", ""),
    (Role::Latitude, "Latitude, or distance north", ""),
    (Role::Longitude, "Longitude, or distance east", ""),
    (Role::Lap, "Lap number", ""),
];

/// The form.
pub fn form(looked: &Looked, columns: RwSignal<Columns>) -> AnyView {
    let rows = WORDS
        .into_iter()
        .map(|row| one(looked, columns, row))
        .collect_view();
    let removed = move || columns.with(|c| c.gravity == Gravity::Removed);
    view! {
        <div class="run-columns">{rows}</div>
        <div class="task">
            <input
                type="checkbox"
                id="run-gravity"
                prop:checked=removed
                on:change=move |event| {
                    let on = event_target_checked(&event);
                    columns.update(|c| c.gravity = if on { Gravity::Removed } else { Gravity::Included });
                }
            />
            <label for="run-gravity">"The logger took gravity out: upward acceleration reads 0 at rest"</label>
        </div>
    }
    .into_any()
}

/// A role: its column, its unit, its sign.
fn one(
    looked: &Looked,
    columns: RwSignal<Columns>,
    (role, label, counts): (Role, &'static str, &'static str),
) -> AnyView {
    let id = format!("run-{}", role.name());
    let (unit_id, sign_id) = (format!("{id}-unit"), format!("{id}-sign"));
    let of = move || columns.with(|c| c.of(role).cloned());
    let is = move |name: &str| of().is_some_and(|c| c.name == name);
    let options = looked
        .names
        .iter()
        .zip(&looked.shown)
        .map(|(name, shown)| {
            let (own, value) = (name.clone(), name.clone());
            let text = format!("{name} ({shown} …)");
            view! { <option value=value selected=move || is(&own)>{text}</option> }
        })
        .collect_view();
    let pick = move |event| {
        let name = event_target_value(&event);
        columns.update(|c| {
            if name.is_empty() {
                c.remove(role);
                return;
            }
            let before = c.of(role).cloned();
            let unit = before.as_ref().map(|b| b.unit);
            let unit = unit.or_else(|| ChannelUnit::of(role.quantity()).next());
            if let Some(unit) = unit {
                // A unit of the role's own, so that nothing is refused.
                let _ = c.set(Column {
                    role,
                    name,
                    unit,
                    reversed: before.is_some_and(|b| b.reversed),
                });
            }
        });
    };
    let change = move |with: &dyn Fn(&mut Column)| {
        columns.update(|c| {
            if let Some(mut column) = c.of(role).cloned() {
                with(&mut column);
                let _ = c.set(column);
            }
        });
    };
    let units = ChannelUnit::of(role.quantity())
        .map(|unit| {
            let chosen = move || of().is_some_and(|c| c.unit == unit);
            view! { <option value=unit.name() selected=chosen>{unit.name()}</option> }
        })
        .collect_view();
    let signed = role.quantity() == Quantity::Acceleration;
    let none = if role.is_needed() {
        "choose …"
    } else {
        "not in the file"
    };
    view! {
        <div class="field run-column">
            <label for=id.clone()>{label}<span class="unit">{(!counts.is_empty()).then(|| format!(", {counts}"))}</span></label>
            <span class="run-pair">
                <select id=id on:change=pick>
                    <option value="" selected=move || of().is_none()>{none}</option>
                    {options}
                </select>
                <select
                    id=unit_id
                    aria-label=format!("Unit of {label}")
                    disabled=move || of().is_none()
                    on:change=move |event| {
                        if let Some(unit) = ChannelUnit::read(&event_target_value(&event)) {
                            change(&|column| column.unit = unit);
                        }
                    }
                >
                    {units}
                </select>
            </span>
            {signed.then(|| view! {
                <span class="run-sign">
                    <input
                        type="checkbox"
                        id=sign_id.clone()
                        disabled=move || of().is_none()
                        prop:checked=move || of().is_some_and(|c| c.reversed)
                        on:change=move |event| {
                            let on = event_target_checked(&event);
                            change(&|column| column.reversed = on);
                        }
                    />
                    <label for=sign_id>"counts the other way"</label>
                </span>
            })}
        </div>
    }
    .into_any()
}
