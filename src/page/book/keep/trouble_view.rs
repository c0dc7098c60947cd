//! What is not kept, and what to do about it; nothing while all is well. It stands at the top of the place: what is typed
//! below it is at stake.

use leptos::prelude::*;

use super::view::HANDED;
use super::{Keep, KeepState, Trouble};
use crate::page::field::alert;
use crate::page::print::{copy_text, save_text};

/// The region.
#[component]
pub fn NotKept(keep: Keep) -> impl IntoView {
    let trouble = Memo::new(move |_| match keep.state.get() {
        KeepState::Failed(trouble) => Some(trouble),
        _ => None,
    });
    let unread = Memo::new(move |_| keep.unread.with(Vec::len));
    let any = Memo::new(move |_| {
        trouble.with(Option::is_some) || unread.get() > 0 || keep.notice.with(Option::is_some)
    });
    move || {
        any.get().then(|| {
            view! {
                <section class="not-kept" aria-label="Trouble with keeping the book">
                    {alert(keep.notice)}
                    {move || trouble.get().map(|trouble| failed(keep, &trouble))}
                    {move || (unread.get() > 0).then(|| unreadable(keep, unread.get()))}
                </section>
            }
        })
    }
}

/// Entries that are not stored.
fn failed(keep: Keep, trouble: &Trouble) -> AnyView {
    let said = RwSignal::new(String::new());
    let none = Memo::new(move |_| keep.unsaved.with(|unsaved| unsaved.is_empty()));
    let save = move |_| match keep.export_unsaved() {
        Ok(text) => {
            save_text(&text, "application/json", "sledstance-not-saved.json");
            said.set(HANDED.to_owned());
        }
        Err(error) => said.set(format!("{error}.")),
    };
    let copy = move |_| match keep.export_unsaved() {
        Ok(text) => copy_text(text, said, "Copied."),
        Err(error) => said.set(format!("{error}.")),
    };
    view! {
        <p class="error" role="alert">{trouble.to_string()}</p>
        <div class="along-row">
            {trouble.can_be_tried_again().then(|| view! {
                <button type="button" on:click=move |_| keep.try_again()>"Try again"</button>
            })}
            <button type="button" disabled=move || none.get() on:click=copy>
                "Copy what is not saved"
            </button>
            <button type="button" disabled=move || none.get() on:click=save>"Save it as a file"</button>
        </div>
        <p role="status">{move || said.get()}</p>
    }
    .into_any()
}

/// Records of the store that are no entries.
fn unreadable(keep: Keep, count: usize) -> AnyView {
    let save = move |_| {
        let text = keep.unread.with_untracked(|texts| texts.join("\n"));
        save_text(&text, "text/plain", "sledstance-unread.txt");
    };
    let records = if count == 1 {
        "1 record".to_owned()
    } else {
        format!("{count} records")
    };
    view! {
        <p class="error" role="alert">
            {records} " of this browser’s store cannot be read. Nothing of it was touched."
        </p>
        <button type="button" on:click=save>"Save them as a file"</button>
    }
    .into_any()
}
