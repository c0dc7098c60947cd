//! Fields of the book's forms: what is typed stays until it is written down, what is wrong stands beside its field.

use std::collections::BTreeSet;

use leptos::prelude::*;
use serde::Serialize;
use serde::de::DeserializeOwned;

use super::desk::{Desk, Screen};
use super::keep::FLEETING;
use crate::document;
use crate::page::field::Field;
use crate::plan::Kind;
use crate::plan::book::form::{self, Sheet, Texts, WHEN, Wrong};

/// A form being filled in.
#[derive(Clone, Copy)]
pub struct Draft {
    desk: Desk,
    key: StoredValue<String>,
    /// Whether it was filled in before the page was loaded.
    before: RwSignal<bool>,
    /// What is typed.
    pub texts: RwSignal<Texts>,
    /// What is wrong.
    pub wrong: RwSignal<Wrong>,
    /// Fields that show what is wrong with them themselves.
    shown: StoredValue<BTreeSet<&'static str>>,
}

impl Draft {
    /// The form of a name, as it was left, else beginning with these texts.
    pub fn open(desk: Desk, key: String, begin: Texts) -> Self {
        let key = Self::key(desk, key);
        let left = desk.keep.draft(&key);
        let before = left.as_ref().is_some_and(|(_, before)| *before);
        Self {
            desk,
            key: StoredValue::new(key),
            before: RwSignal::new(before),
            texts: RwSignal::new(left.map_or(begin, |(texts, _)| texts)),
            wrong: RwSignal::new(Wrong::new()),
            shown: StoredValue::default(),
        }
    }

    /// Fill a form in before it is opened.
    pub fn fill(desk: Desk, key: String, texts: Texts) {
        desk.keep.keep_draft(&Self::key(desk, key), Some(texts));
    }

    /// The demo's forms are its own.
    fn key(desk: Desk, key: String) -> String {
        if desk.demo.get_untracked() {
            format!("{FLEETING}{key}")
        } else {
            key
        }
    }

    /// Where nothing is typed yet, take what the device kept.
    pub fn look(self) {
        if self.texts.with_untracked(Texts::is_empty)
            && let Some((texts, before)) = self.desk.keep.draft(&self.key.get_value())
        {
            self.texts.set(texts);
            self.before.set(before);
        }
    }

    /// Whether it was filled in before the page was loaded.
    pub fn was_left(self) -> bool {
        self.before.get_untracked()
    }

    /// That what stands in the form was typed before the page was loaded, with a way to be rid of it; where the form then
    /// does not begin anew by itself, another part is shown.
    pub fn left(self, then: Option<Screen>) -> AnyView {
        let drop_it = move |_| {
            self.done();
            if let Some(screen) = then {
                self.desk.go(screen);
            }
        };
        let shown = move || {
            self.before.get().then(|| {
                view! {
                    <div class="notice" role="status">
                        "This was typed before and is not written down. "
                        <button type="button" on:click=drop_it>"Throw it away"</button>
                    </div>
                }
            })
        };
        shown.into_any()
    }

    /// What is kept in a field that is not typed.
    pub fn value<T: DeserializeOwned>(self, key: &str) -> Option<T> {
        serde_json::from_str(&self.typed(key)).ok()
    }

    /// Keep it there.
    pub fn put_value(self, key: &str, value: &impl Serialize) {
        if let Ok(text) = document::line(value) {
            self.put(key, text);
        }
    }

    /// A field's text.
    pub fn text(self, key: &'static str) -> Signal<String> {
        Signal::derive(move || self.texts.with(|t| t.get(key).cloned().unwrap_or_default()))
    }

    /// A field's text as it stands.
    pub fn typed(self, key: &str) -> String {
        let text = self.texts.with_untracked(|t| t.get(key).cloned());
        text.unwrap_or_default()
    }

    /// Type into a field.
    pub fn put(self, key: &str, text: String) {
        self.texts.update(|t| drop(t.insert(key.to_owned(), text)));
        self.wrong.update(|w| drop(w.remove(key)));
        let typed = self.texts.get_untracked();
        self.desk
            .keep
            .keep_draft(&self.key.get_value(), Some(typed));
    }

    /// It is written down: it begins anew.
    pub fn done(self) {
        self.texts.set(Texts::new());
        self.wrong.set(Wrong::new());
        self.before.set(false);
        self.desk.keep.keep_draft(&self.key.get_value(), None);
    }

    /// It was written down, and begins anew; or it says what is wrong.
    pub fn settle<T>(self, made: Result<T, Wrong>) -> Option<T> {
        match made {
            Ok(made) => {
                self.done();
                Some(made)
            }
            Err(wrong) => {
                self.wrong.set(wrong);
                None
            }
        }
    }

    /// A field by its name.
    pub fn field(
        self,
        key: &'static str,
        label: &'static str,
        kind: Kind,
        how: &'static str,
    ) -> AnyView {
        let id = format!("{}-{key}", self.key.get_value()).replace(['.', '_', '/'], "-");
        let error = self.error(key);
        view! {
            <Field
                id
                label
                kind
                value=self.text(key)
                error
                how=how.to_owned()
                units=self.desk.store.units
                on_input=Callback::new(move |text| self.put(key, text))
            />
        }
        .into_any()
    }

    /// What is wrong with a field that is shown.
    pub fn error(self, key: &'static str) -> Signal<Option<String>> {
        self.shown.update_value(|shown| {
            shown.insert(key);
        });
        Signal::derive(move || self.wrong.with(|w| w.get(key).cloned()))
    }

    /// Every field of a sheet.
    pub fn fields(self, sheet: Sheet) -> AnyView {
        self.fields_but(sheet, "")
    }

    /// Every field of a sheet but one.
    pub fn fields_but(self, sheet: Sheet, but: &'static str) -> AnyView {
        let asked_for = sheet.fields().iter().filter(|field| field.key != but);
        let fields = asked_for.map(|field| {
            let form::Field {
                key,
                label,
                kind,
                how,
                only,
            } = *field;
            let asked = move || {
                only.is_none_or(|(of, holds)| {
                    self.texts
                        .with(|t| t.get(of).is_some_and(|text| text == holds))
                })
            };
            let asked = Memo::new(move |_| asked());
            move || asked.get().then(|| self.field(key, label, kind, how))
        });
        view! { <div class="pair">{fields.collect_view()}</div> }.into_any()
    }

    /// When it happened, if not now.
    pub fn when(self) -> AnyView {
        let id = format!("{}-when", self.key.get_value()).replace(['.', '_', '/'], "-");
        let wrong = self.error(WHEN);
        let wrong_id = format!("{id}-wrong");
        let described = {
            let wrong_id = wrong_id.clone();
            move || wrong.get().map(|_| wrong_id.clone())
        };
        view! {
            <div class="field moment" class:wrong=move || wrong.get().is_some()>
                <label for=id.clone()>"When, if not now"</label>
                <input
                    id=id
                    type="datetime-local"
                    prop:value=move || self.text(WHEN).get().replace(' ', "T")
                    aria-describedby=described
                    aria-invalid=move || wrong.get().map(|_| "true")
                    on:input=move |event| self.put(WHEN, event_target_value(&event))
                />
                {move || wrong.get().map(|words| view! { <p class="error" id=wrong_id.clone() role="alert">{words}</p> })}
            </div>
        }
        .into_any()
    }

    /// What is wrong with no field, or with one that is not shown.
    pub fn general(self) -> AnyView {
        let words = move || {
            self.wrong.with(|w| {
                let shown = |key: &str| self.shown.with_value(|shown| shown.contains(key));
                let other = w.iter().find(|(key, _)| !shown(key));
                other.map(|(key, words)| {
                    if key.is_empty() {
                        words.clone()
                    } else {
                        format!("{key}: {words}")
                    }
                })
            })
        };
        view! { {move || words().map(|w| view! { <p class="error" role="alert">{w}</p> })} }
            .into_any()
    }
}
