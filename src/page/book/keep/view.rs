//! What a person sees of keeping: whether everything is saved, how old the last backup is, the book's way out and in.

use js_sys::futures::spawn_local;
use leptos::prelude::*;

use super::{Keep, KeepState, now};
use crate::log::{BookError, when, words};
use crate::page::field::{alert, chosen_file};
use crate::page::store::Store;

/// The section.
#[component]
pub fn Kept(store: Store, keep: Keep) -> impl IntoView {
    let said = RwSignal::new(String::new());
    let wrong = RwSignal::new(None::<String>);
    let answer = move |done: Result<(), BookError>, words: &str| match done {
        Ok(()) => said.set(words.to_owned()),
        Err(error) => wrong.set(Some(format!("{error}."))),
    };
    let pick = move |event: leptos::ev::Event| {
        let Some(file) = chosen_file(&event) else {
            return;
        };
        spawn_local(async move {
            let name = file.name();
            let Some(text) = file.text().await.ok().and_then(|text| text.as_string()) else {
                wrong.set(Some(format!("{name} cannot be opened.")));
                return;
            };
            match keep.merge_text(&text) {
                Ok(merged) => {
                    wrong.set(None);
                    said.set(format!(
                        "{name}: {} new, {} were here already.{}",
                        entries(merged.new),
                        merged.known,
                        clashing(merged.clashes.len())
                    ));
                }
                Err(error) => wrong.set(Some(format!(
                    "{name} cannot be taken in: {error}. Your book has not changed."
                ))),
            }
        });
        // The same file can be picked again.
        event_target::<web_sys::HtmlInputElement>(&event).set_value("");
    };
    view! {
        <section class="panel" aria-labelledby="kept-heading">
            <h2 id="kept-heading">"Kept on this device"</h2>
            <p role="status">{move || status(store, keep)}</p>
            <p class="how">{move || backup(keep)} " " {move || persistence(keep)}</p>
            <div class="along-row">
                <button
                    type="button"
                    disabled=move || keep.book.with(|book| book.is_empty())
                    on:click=move |_| answer(keep.back_up(), HANDED)
                >
                    "Back it up to a file"
                </button>
                <span class="file">
                    <label for="book-in">"Take in a book’s file"</label>
                    <input id="book-in" type="file" accept=".json,application/json" on:change=pick />
                </span>
                <Device keep />
            </div>
            <p role="status">{move || said.get()}</p>
            {alert(wrong)}
        </section>
    }
}

/// What this device is called.
#[component]
fn Device(keep: Keep) -> impl IntoView {
    let wrong = RwSignal::new(None::<String>);
    let call = move |event| {
        let refused = keep.call_device(&event_target_value(&event));
        wrong.set(refused.err().map(|error| format!("{error}.")));
    };
    view! {
        <div class="field" class:wrong=move || wrong.with(Option::is_some)>
            <label for="device-name">"This device is called"</label>
            <input
                id="device-name"
                type="text"
                autocomplete="off"
                prop:value=move || keep.device.get()
                aria-describedby=move || wrong.with(Option::is_some).then_some("device-wrong")
                aria-invalid=move || wrong.with(Option::is_some).then_some("true")
                on:change=call
            />
            {move || wrong.get().map(|words| view! { <p id="device-wrong" class="error" role="alert">{words}</p> })}
        </div>
    }
}

/// Said of a file that a button handed out.
pub const HANDED: &str = "The file is with the browser’s downloads.";

/// What is on the disk, in a sentence.
fn status(store: Store, keep: Keep) -> String {
    let total = entries(keep.book.with(|book| book.len()));
    let last = keep.saved.get().map(|saved| {
        let at = when::time(saved.at_ms, crate::page::book::offset());
        let what = match saved.ids.as_slice() {
            [id] => keep.book.with(|book| {
                let entry = book.get(*id);
                entry.map_or_else(String::new, |e| {
                    format!("{}: {}", e.what().label(), words::line(e, store.system()))
                })
            }),
            many => entries(many.len()),
        };
        format!("Saved at {at}: {what}")
    });
    let last = last.map_or_else(String::new, |words| format!(" {words}"));
    match keep.state.get() {
        KeepState::Opening => "Opening the book …".to_owned(),
        KeepState::Ready => format!("{total} in the book, all of them saved."),
        KeepState::Saved(_) => format!("{total} in the book, all of them saved.{last}"),
        KeepState::Saving(count) => format!("Saving {} …{last}", entries(count)),
        KeepState::Failed(_) => match keep.unsaved.with(|u| u.len()) {
            0 => format!("{total} in the book."),
            count => format!("{total} in the book, {count} not saved.{last}"),
        },
    }
}

fn entries(count: usize) -> String {
    match count {
        1 => "1 entry".to_owned(),
        count => format!("{count} entries"),
    }
}

fn clashing(count: usize) -> String {
    match count {
        0 => String::new(),
        count => format!(
            " {} with two contents under one identifier: both are kept.",
            entries(count)
        ),
    }
}

fn backup(keep: Keep) -> String {
    match keep.backup.get() {
        Some(at) => format!("Last backup {}.", when::ago(at, now())),
        None => "Last backup: never.".to_owned(),
    }
}

fn persistence(keep: Keep) -> &'static str {
    match keep.persisted.get() {
        None => "",
        Some(true) => "The browser keeps the book until you clear it.",
        Some(false) => {
            "The browser may clear the book when the device runs short of space: back it up."
        }
    }
}
