//! Writing a note down.

use leptos::prelude::*;

use super::desk::Desk;
use super::fields::Draft;
use super::keep::KeepState;
use crate::log::form::NoteRecord;
use crate::log::{About, Entry, What};
use crate::plan::book::form::Texts;

const WORDS: &str = "words";

/// The form. What was typed stays until it is in the book.
#[component]
pub fn Note(desk: Desk) -> impl IntoView {
    let keep = desk.keep;
    let draft = Draft::open(desk, "note".to_owned(), Texts::new());
    let wrong = RwSignal::new(None::<String>);
    // The form stands before the book is read.
    Effect::new(move |_| {
        if keep.state.get() != KeepState::Opening {
            draft.look();
        }
    });
    let write = move |_| {
        let record = NoteRecord {
            words: draft.typed(WORDS),
        };
        match Entry::new(keep.form(About::default(), What::Note(record))) {
            Ok(entry) => {
                keep.save(vec![entry]);
                draft.done();
                wrong.set(None);
            }
            Err(error) => wrong.set(Some(format!("{error}."))),
        }
    };
    let described = move || wrong.with(Option::is_some).then_some("note-wrong");
    view! {
        <section class="panel" aria-labelledby="note-heading">
            <h2 id="note-heading">"Write a note"</h2>
            {draft.left(None)}
            <div class="field" class:wrong=move || wrong.with(Option::is_some)>
                <label for="note-words">"Anything worth a line"</label>
                <textarea
                    id="note-words"
                    rows="3"
                    prop:value=move || draft.text(WORDS).get()
                    aria-describedby=described
                    aria-invalid=move || wrong.with(Option::is_some).then_some("true")
                    on:input=move |event| draft.put(WORDS, event_target_value(&event))
                ></textarea>
                {move || wrong.get().map(|words| view! { <p id="note-wrong" class="error" role="alert">{words}</p> })}
            </div>
            <button type="button" on:click=write>"Put the note into the book"</button>
        </section>
    }
}
