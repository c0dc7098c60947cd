//! The compare place: two to four options beside each other, what differs first, then drawn over each other.
//!
//! The address holds the options whole ([`Options`]), so that a comparison is a link and the browser's back button takes
//! a change back. Fits and bands come from a worker; a set-up by hand is drawn at once.

mod along;
mod asking;
mod bench;
mod column;
mod drawing;
mod leverage;
pub mod run;
mod table;

use leptos::prelude::*;

use super::store::Store;
use bench::Bench;

/// The place.
#[component]
pub fn ComparePlace(store: Store, hidden: Signal<bool>) -> impl IntoView {
    let bench = Bench::begin(store);
    view! {
        <main class="bench" class:many=move || { bench.count.get() > 2 } hidden=hidden>
            <h2 class="unseen">"Options beside each other"</h2>
            {table::differences(bench)}
            <div class="bench-views">
                {drawing::stage(bench)}
                {drawing::holds(bench)}
            </div>
            {leverage::section(bench)}
            {column::columns(bench)}
            {run::section(bench)}
            {along::section(bench)}
        </main>
    }
}
