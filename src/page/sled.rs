//! The sled: pick one, or edit every dimension of one's own.

use std::sync::Arc;

use leptos::prelude::*;
use serde_json::Value;

use super::field::{Field, Group};
use super::guide::Measured;
use super::store::Store;
use crate::plan::sled_fields::{Layout, SECTIONS, SledField, SledSection, measured};
use crate::plan::sled_form::SledRead;
use crate::plan::{Entry, Kind, SledForm, SledPick, Units, draft};
use crate::sled::{self, profile::SHIPPED};

/// What the shipped sleds are offered as.
pub fn offered(id: &str) -> (&'static str, &'static str) {
    match id {
        "long-lemming" => ("Long Lemming", "invented: cockpit forward and low"),
        "tall-tern" => ("Tall Tern", "invented: cockpit high and near"),
        "bare-bones" => (
            "I have not measured mine",
            "a typical sled, nearly all assumed",
        ),
        _ => ("A demo sled", "invented"),
    }
}

/// The sled's section.
#[component]
pub fn Sled(store: Store) -> impl IntoView {
    let picked = move |id: &'static str| store.plan.with(|p| p.sled.pick.id() == id);
    let own = move || store.plan.with(|p| p.sled.pick == SledPick::Own);
    let option = move |id: &'static str, title: &'static str, says: &'static str| {
        let dom_id = format!("sled-{id}");
        view! {
            <div class="pick" class:chosen=move || picked(id)>
                <input
                    type="radio"
                    name="sled"
                    id=dom_id.clone()
                    value=id
                    prop:checked=move || picked(id)
                    on:change=move |_| {
                        if let Some(pick) = SledPick::from_id(id) {
                            store.pick(pick);
                        }
                    }
                />
                <label for=dom_id>
                    <span class="pick-title">{title}</span>
                    <span class="pick-says">{says}</span>
                </label>
            </div>
        }
    };
    let assumed = Memo::new(move |_| {
        store
            .sled
            .get()
            .map(|s| s.assumed.clone())
            .unwrap_or_default()
    });
    let general = move || store.sled_read.with(|r| r.errors.get("").cloned());
    let stale = move || store.sled_read.with(|r| r.sled.is_none());
    let unusual = move || {
        store
            .sled
            .get()
            .map(|s| s.unusual.clone())
            .unwrap_or_default()
    };
    let edit = move |edit: Edit| match edit {
        Edit::Type(path, entry) => store.type_sled(&path, entry.text),
        edit => store.change("", |plan| {
            let sled = store.sled.get_untracked();
            edit.on(&mut plan.sled, sled.as_deref());
        }),
    };
    let form = Memo::new(move |_| store.plan.with(|p| p.sled.clone()));
    let edited = Edited::new(
        "sled",
        form.into(),
        store.sled_read.into(),
        store.units,
        Callback::new(edit),
        Callback::new(move |()| store.settle()),
    );
    let document = edited.document;
    let name = Signal::derive(move || {
        document.with(|d| {
            draft::get(d, "name")
                .and_then(Value::as_str)
                .unwrap_or("")
                .to_owned()
        })
    });
    view! {
        <section class="panel machine" aria-labelledby="sled-heading">
            <h2 id="sled-heading">"The sled"</h2>
            <p class="progress">
                {move || {
                    let (taken, all) = document.with(measured);
                    format!("{taken} of {all} {}", if own() { "measured" } else { "given" })
                }}
            </p>
            <fieldset class="picks">
                <legend class="unseen">"Which sled"</legend>
                {SHIPPED
                    .iter()
                    .map(|shipped| {
                        let (title, says) = offered(shipped.id);
                        option(shipped.id, title, says)
                    })
                    .collect_view()}
                {option("own", "My own", "every dimension as you measure it")}
            </fieldset>
            {move || stale().then(|| view! {
                <p class="error" role="alert">
                    "This sled cannot be used as it stands; the drawing shows the last one that could. "
                    {general()}
                </p>
            })}
            {move || {
                let list = unusual();
                (!list.is_empty()).then(|| view! {
                    <ul class="notes">{list.into_iter().map(|w| view! { <li>{w}</li> }).collect_view()}</ul>
                })
            }}
            <Group
                title="Dimensions and parts in stock"
                note=Signal::derive(move || {
                    let count = assumed.with(Vec::len);
                    if count == 0 { "all measured".to_owned() } else { format!("{count} assumed") }
                })
            >
                <p class="how">
                    {move || if own() {
                        "Your own sled. Empty fields are assumed from a typical sled (common practice, no source) and greyed."
                    } else {
                        "Changing anything here begins a sled of your own from this one."
                    }}
                </p>
                {move || own().then(|| view! {
                    <Field
                        id="sled-name".to_owned()
                        label="What you call it"
                        kind=Kind::Text
                        value=name
                        error=Signal::derive(|| None)
                        units=store.units
                        on_input=Callback::new(move |text| store.type_sled("name", text))
                    />
                })}
                {SECTIONS.iter().map(|section| view! { <Section edited section /> }).collect_view()}
            </Group>
        </section>
    }
}

/// What is done to a sled's form.
#[derive(Clone, Debug)]
pub enum Edit {
    /// A text typed at a path.
    Type(String, Entry),
    /// A row more in a list.
    Add(&'static SledSection),
    /// A row less.
    Remove(&'static SledSection, usize),
}

impl Edit {
    /// Do it; `sled` is the one that the form said last.
    pub fn on(self, form: &mut SledForm, sled: Option<&sled::Sled>) {
        match self {
            Self::Type(path, entry) => form.type_in(&path, entry),
            Self::Add(section) => form.add_row(section, sled),
            Self::Remove(section, row) => form.remove_row(section, row),
        }
    }
}

/// A sled that is edited: the start place's, or one of the book.
#[derive(Clone, Copy)]
pub struct Edited {
    name: &'static str,
    form: Signal<SledForm>,
    read: Signal<Arc<SledRead>>,
    units: Memo<Units>,
    edit: Callback<Edit>,
    leave: Callback<()>,
    /// Whether a list that is left out has the typical sled's parts.
    assumes: bool,
    /// The form's data.
    document: Memo<Value>,
    /// What of it is assumed.
    assumed: Memo<Vec<String>>,
}

impl Edited {
    /// A form with what it says and the units of its fields; `name` tells fields of two of them apart, `edit` does
    /// something to it, `leave` is told when a field is left.
    pub fn new(
        name: &'static str,
        form: Signal<SledForm>,
        read: Signal<Arc<SledRead>>,
        units: Memo<Units>,
        edit: Callback<Edit>,
        leave: Callback<()>,
    ) -> Self {
        let assumed = move || {
            read.with(|r| {
                let sled = r.sled.as_ref();
                sled.map(|s| s.assumed.clone()).unwrap_or_default()
            })
        };
        Self {
            name,
            form,
            read,
            units,
            edit,
            leave,
            assumes: true,
            document: Memo::new(move |_| form.with(SledForm::document)),
            assumed: Memo::new(move |_| assumed()),
        }
    }

    /// The same where what is not listed is not there.
    pub fn assuming_nothing(self) -> Self {
        Self {
            assumes: false,
            ..self
        }
    }
}

/// One group of dimensions or parts.
#[component]
pub fn Section(edited: Edited, section: &'static SledSection) -> impl IntoView {
    let Edited {
        document, assumed, ..
    } = edited;
    let inside = move |path: &str| {
        path.strip_prefix(section.path)
            .is_some_and(|rest| rest.is_empty() || rest.starts_with(['.', '[']))
    };
    let is_list = section.layout != Layout::Fields;
    let note = Signal::derive(move || {
        let count = assumed.with(|list| list.iter().filter(|p| inside(p)).count());
        let rows = document.with(|d| draft::count(d, section.path));
        match (count, is_list, rows) {
            (_, true, 0) => if edited.assumes { "assumed" } else { "none" }.to_owned(),
            (0, true, rows) => format!("{rows}"),
            (0, false, _) => String::new(),
            (count, ..) => format!("{count} assumed"),
        }
    });
    let wrong = Signal::derive(move || edited.read.with(|r| r.errors.keys().any(|p| inside(p))));
    view! {
        <Group title=section.title note wrong>
            <p class="how">{section.says}</p>
            {match section.layout {
                Layout::Fields => {
                    view! {
                        <div class="pair">
                            {section
                                .fields
                                .iter()
                                .map(|field| view! { <SledInput edited section field row=None document /> })
                                .collect_view()}
                        </div>
                    }
                        .into_any()
                }
                Layout::List(word) => view! { <Rows edited section word document /> }.into_any(),
            }}
        </Group>
    }
}

#[component]
fn Rows(
    edited: Edited,
    section: &'static SledSection,
    word: &'static str,
    document: Memo<Value>,
) -> impl IntoView {
    let count = Memo::new(move |_| document.with(|d| draft::count(d, section.path)));
    let assumed = move || edited.assumes && count.get() == 0;
    let add = move |_| edited.edit.run(Edit::Add(section));
    view! {
        {move || assumed().then(|| view! { <p class="how">"Assumed from a typical sled."</p> })}
        <For each=move || 0..count.get() key=|row| *row let:row>
            <fieldset class="row">
                <legend>{format!("{word} {}", row + 1)}</legend>
                <div class="pair">
                    {section
                        .fields
                        .iter()
                        .map(|field| view! { <SledInput edited section field row=Some(row) document /> })
                        .collect_view()}
                </div>
                <button
                    type="button"
                    class="quiet"
                    on:click=move |_| edited.edit.run(Edit::Remove(section, row))
                >
                    {format!("Remove {word} {}", row + 1)}
                </button>
            </fieldset>
        </For>
        <button type="button" class="quiet" on:click=add>
            {move || if assumed() {
                "List them, beginning with what is assumed".to_owned()
            } else {
                format!("Add a {word}")
            }}
        </button>
    }
}

#[component]
fn SledInput(
    edited: Edited,
    section: &'static SledSection,
    field: &'static SledField,
    row: Option<usize>,
    document: Memo<Value>,
) -> impl IntoView {
    let path = section.path_of(row, field.key);
    let range = field.row.map(|r| r.allowed);
    let value = {
        let path = path.clone();
        Signal::derive(move || {
            let units = edited.units.get();
            let typed = edited.form.with(|form| {
                let own = form.pick == SledPick::Own;
                form.entry(&path).filter(|_| own).cloned()
            });
            if let Some(entry) = typed {
                return entry.shown(field.kind, range, units);
            }
            document.with(|d| match draft::get(d, &path) {
                Some(Value::Number(number)) => number
                    .as_f64()
                    .map_or(String::new(), |v| field.kind.print(v, units)),
                Some(Value::String(text)) => text.clone(),
                Some(Value::Bool(flag)) => flag.to_string(),
                _ => String::new(),
            })
        })
    };
    let error = {
        let path = path.clone();
        Signal::derive(move || edited.read.with(|r| r.errors.get(&path).cloned()))
    };
    let empty = Signal::derive(move || match field.row {
        Some(row) if field.assumed => {
            format!(
                "{} assumed",
                field.kind.print(row.typical, edited.units.get())
            )
        }
        _ => "not measured".to_owned(),
    });
    let id = format!(
        "{}-{}",
        edited.name,
        path.replace(['.', '_', '['], "-").replace(']', "")
    );
    view! {
        <Field
            id
            label=field.label
            kind=field.kind
            value
            error
            empty
            measures=field.row.map(|_| Measured::Sled(section, field))
            units=edited.units
            on_input=Callback::new(move |text| edited.edit.run(Edit::Type(path.clone(), Entry::new(text, edited.units.get_untracked()))))
            on_leave=edited.leave
        />
    }
}
