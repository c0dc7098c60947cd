//! The page: components, the worker, what the browser stores. The only place that names a web crate.
//!
//! One module serves both threads: started by `index.html` it mounts the page, started by `worker.js` it answers the
//! page's requests. What parses typed text lives outside this module, so that native tests reach it.

mod request;
mod worker;

pub use request::{Request, Response};
pub use worker::{Failure, Ticket, Worker};

use leptos::prelude::*;

/// Serve as the worker when started in one, mount the page otherwise.
pub fn main() {
    console_error_panic_hook::set_once();
    if worker::is_here() {
        worker::listen(request::serve);
        return;
    }
    if let Some(line) = document().get_element_by_id("loading") {
        line.remove();
    }
    mount_to_body(App);
}

#[component]
fn App() -> impl IntoView {
    let (core, set_core) = signal(None::<Result<String, Failure>>);
    // Owned by the app, so that the thread lives as long as the page.
    let worker = StoredValue::new_local(Worker::new());
    worker.with_value(|worker| {
        worker.ask(&Request::Version, move |answer| {
            set_core.set(Some(answer.map(|Response::Version { version }| version)));
        })
    });
    let core_in_words = move || match core.get() {
        None => "The calculation is starting …".to_owned(),
        Some(Ok(version)) => format!("Sledstance {version} is ready and computes on this device."),
        Some(Err(failure)) => format!("Sledstance cannot compute: {failure}. Load the page again."),
    };

    view! {
        <header>
            <h1>"Sledstance"</h1>
        </header>
        <main>
            <p>"Fits a rider to the cockpit of a stand-up/sit-down snow race sled."</p>
        </main>
        <footer>
            <p role="status">{core_in_words}</p>
        </footer>
    }
}
