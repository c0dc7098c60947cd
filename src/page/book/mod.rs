//! The book's place: what was set, why, and what it did.

use leptos::prelude::*;

use super::store::Store;

/// The place.
#[component]
pub fn BookPlace(store: Store, hidden: Signal<bool>) -> impl IntoView {
    let _ = store;
    view! {
        <main class="desk" hidden=hidden>
            <h2>"The mechanic’s book"</h2>
        </main>
    }
}
