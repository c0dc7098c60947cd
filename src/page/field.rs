//! One field of a form: label, what is typed, what it would be, what is wrong with it.

use leptos::prelude::*;
use wasm_bindgen::JsCast;

use super::guide::{Measured, Where};
use crate::plan::{Kind, Units};

/// A field. What is typed goes to `on_input` as it stands; everything shown comes from the signals.
#[component]
pub fn Field(
    /// Unique on the page.
    id: String,
    /// What it is called.
    #[prop(into)]
    label: String,
    /// What it holds.
    kind: Kind,
    /// Text in it.
    value: Signal<String>,
    /// What is wrong with it.
    error: Signal<Option<String>>,
    /// What an empty field stands for.
    #[prop(optional)]
    empty: Option<Signal<String>>,
    /// How it is taken.
    #[prop(optional)]
    how: String,
    /// What it measures, where a picture shows it.
    #[prop(optional_no_strip)]
    measures: Option<Measured>,
    /// Units shown.
    units: Memo<Units>,
    /// Typed text.
    on_input: Callback<String>,
    /// The field is left.
    #[prop(optional)]
    on_leave: Option<Callback<()>>,
) -> impl IntoView {
    let how_id = (!how.is_empty()).then(|| format!("{id}-how"));
    let error_id = format!("{id}-wrong");
    let described = {
        let (how_id, error_id) = (how_id.clone(), error_id.clone());
        move || {
            let wrong = error.with(Option::is_some).then_some(error_id.as_str());
            let both: Vec<&str> = wrong.into_iter().chain(how_id.as_deref()).collect();
            (!both.is_empty()).then(|| both.join(" "))
        }
    };
    let invalid = move || error.with(Option::is_some).then_some("true");
    let leave = move || {
        if let Some(leave) = on_leave {
            leave.run(());
        }
    };
    let input = match kind {
        Kind::Choice(choices) => {
            let options = choices
                .iter()
                .map(|&(stored, shown)| {
                    view! { <option value=stored selected=move || value.get() == stored>{shown}</option> }
                })
                .collect_view();
            view! {
                <select
                    id=id.clone()
                    prop:value=move || value.get()
                    aria-describedby=described
                    aria-invalid=invalid
                    on:change=move |event| on_input.run(event_target_value(&event))
                    on:blur=move |_| leave()
                >
                    {options}
                </select>
            }
            .into_any()
        }
        Kind::Flag => view! {
            <input
                id=id.clone()
                type="checkbox"
                prop:checked=move || value.get() == "true"
                on:change=move |event| on_input.run(event_target_checked(&event).to_string())
            />
        }
        .into_any(),
        _ => view! {
            <input
                id=id.clone()
                type="text"
                autocomplete="off"
                spellcheck="false"
                inputmode=move || match (kind, units.get()) {
                    (Kind::Text, _) | (_, Units::Imperial) => "text",
                    _ => "decimal",
                }
                prop:value=move || value.get()
                placeholder=move || empty.map(|e| e.get()).unwrap_or_default()
                aria-describedby=described
                aria-invalid=invalid
                on:input=move |event| on_input.run(event_target_value(&event))
                on:blur=move |_| leave()
            />
        }
        .into_any(),
    };
    let unit = move || kind.unit(units.get());
    let guide = measures.map(|what| view! { <Where id=id.clone() what label=label.clone() /> });
    view! {
        <div class="field" class:wrong=move || error.with(Option::is_some)>
            <label for=id.clone()>
                {label}
                <span class="unit">
                    {move || { let unit = unit(); if unit.is_empty() { String::new() } else { format!(", {unit}") } }}
                </span>
            </label>
            {input}
            {move || {
                error.get().map(|words| view! { <p class="error" id=error_id.clone() role="alert">{words}</p> })
            }}
            {guide}
            {how_id.map(|id| view! { <p class="how" id=id>{how}</p> })}
        </div>
    }
}

/// What is wrong, said as soon as it is; nothing while nothing is.
pub fn alert(wrong: RwSignal<Option<String>>) -> AnyView {
    let said = move || {
        let words = wrong.get();
        words.map(|words| view! { <p class="error" role="alert">{words}</p> })
    };
    said.into_any()
}

/// The file that was chosen with a field for files.
pub fn chosen_file(event: &leptos::ev::Event) -> Option<web_sys::File> {
    let input = event.target()?.dyn_into::<web_sys::HtmlInputElement>();
    input.ok()?.files()?.get(0)
}

/// A few values that exclude each other; `name` tells groups of them apart.
pub fn choices<T: Copy + Send + Sync + 'static, const N: usize>(
    name: &'static str,
    values: [(T, &'static str); N],
    is: impl Fn(T) -> bool + Copy + Send + Sync + 'static,
    choose: impl Fn(T) + Copy + 'static,
) -> AnyView {
    let rows = values.into_iter().enumerate().map(|(k, (value, label))| {
        let id = format!("{name}-{k}");
        view! {
            <span class="choice">
                <input type="radio" name=name id=id.clone() prop:checked=move || is(value) on:change=move |_| choose(value) />
                <label for=id>{label}</label>
            </span>
        }
        .into_any()
    });
    rows.collect_view().into_any()
}

/// Them as buttons beside each other.
pub fn switch<T: Copy + Send + Sync + 'static, const N: usize>(
    name: &'static str,
    legend: &'static str,
    values: [(T, &'static str); N],
    is: impl Fn(T) -> bool + Copy + Send + Sync + 'static,
    choose: impl Fn(T) + Copy + 'static,
) -> AnyView {
    view! {
        <fieldset class="switch">
            <legend class="unseen">{legend}</legend>
            {choices(name, values, is, choose)}
        </fieldset>
    }
    .into_any()
}

/// The two buttons of a value that goes in steps.
#[component]
pub fn Stepper(
    /// What is stepped.
    label: &'static str,
    /// What a step down and a step up do.
    words: (&'static str, &'static str),
    /// Whether so many steps lead anywhere.
    can: Callback<i32, bool>,
    /// Make so many steps.
    go: Callback<i32>,
) -> impl IntoView {
    let button = move |sign: &'static str, does: &'static str, steps: i32| {
        view! {
            <button
                type="button"
                aria-label=format!("{label}: {does}")
                disabled=move || !can.run(steps)
                on:click=move |_| go.run(steps)
            >
                {sign}
            </button>
        }
    };
    view! {
        <span class="stepper" role="group" aria-label=label>
            {button("−", words.0, -1)}
            {button("+", words.1, 1)}
        </span>
    }
}

/// A group that opens; what is inside is made when it is opened first.
#[component]
pub fn Group(
    /// Heading.
    #[prop(into)]
    title: String,
    /// A word beside the heading.
    #[prop(into)]
    note: Signal<String>,
    /// Whether something inside is wrong.
    #[prop(optional, into)]
    wrong: Option<Signal<bool>>,
    /// Its place on the page.
    #[prop(optional, into)]
    id: Option<String>,
    /// What is inside.
    children: ChildrenFn,
) -> impl IntoView {
    let opened = RwSignal::new(false);
    let toggle = move |event: leptos::ev::Event| {
        let open = event_target::<web_sys::Element>(&event).has_attribute("open");
        if open {
            opened.set(true);
        }
    };
    view! {
        <details class="group" id=id on:toggle=toggle>
            <summary>
                <span class="group-title">{title}</span>
                <span class="group-note">{move || note.get()}</span>
                {move || wrong.is_some_and(|w| w.get()).then(|| view! { <span class="group-wrong">"see inside"</span> })}
            </summary>
            <div class="group-body">{move || opened.get().then(|| children())}</div>
        </details>
    }
}
