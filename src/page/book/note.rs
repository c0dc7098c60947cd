//! Writing a note down.

use leptos::prelude::*;

use super::keep::Keep;
use crate::log::form::NoteRecord;
use crate::log::{About, Entry, What};

/// The form. What was typed stays until it is in the book.
#[component]
pub fn Note(keep: Keep) -> impl IntoView {
    let words = RwSignal::new(String::new());
    let wrong = RwSignal::new(None::<String>);
    let write = move |_| {
        let record = NoteRecord {
            words: words.get_untracked(),
        };
        match Entry::new(keep.form(About::default(), What::Note(record))) {
            Ok(entry) => {
                keep.save(vec![entry]);
                words.set(String::new());
                wrong.set(None);
            }
            Err(error) => wrong.set(Some(format!("{error}."))),
        }
    };
    let described = move || wrong.with(Option::is_some).then_some("note-wrong");
    view! {
        <section class="panel" aria-labelledby="note-heading">
            <h2 id="note-heading">"Write a note"</h2>
            <div class="field" class:wrong=move || wrong.with(Option::is_some)>
                <label for="note-words">"Anything worth a line"</label>
                <textarea
                    id="note-words"
                    rows="3"
                    prop:value=move || words.get()
                    aria-describedby=described
                    aria-invalid=move || wrong.with(Option::is_some).then_some("true")
                    on:input=move |event| words.set(event_target_value(&event))
                ></textarea>
                {move || wrong.get().map(|words| view! { <p id="note-wrong" class="error" role="alert">{words}</p> })}
            </div>
            <button type="button" on:click=write>"Put the note into the book"</button>
        </section>
    }
}
