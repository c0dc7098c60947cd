//! "Where?": the picture and the words of a measurement, opened below its field and made only then.

use leptos::prelude::*;

use crate::plan::sled_fields::{SledField, SledSection};
use crate::rider::Measurement;
use crate::view::{guide, svg};

/// What a field measures.
#[derive(Clone, Copy)]
pub enum Measured {
    /// A rider's body.
    Rider(Measurement),
    /// A dimension of a sled.
    Sled(&'static SledSection, &'static SledField),
}

impl Measured {
    fn picture(self) -> Option<guide::Picture> {
        match self {
            Self::Rider(measurement) => Some(guide::rider(measurement)),
            Self::Sled(section, field) => guide::sled(section.path, field.key),
        }
    }

    fn words(self) -> &'static str {
        match self {
            Self::Rider(measurement) => measurement.how(),
            Self::Sled(section, field) => field.words(section),
        }
    }
}

/// The button below a field, and what it opens.
#[component]
pub fn Where(
    /// The field's.
    id: String,
    /// What is measured.
    what: Measured,
    /// What it is called.
    label: String,
) -> impl IntoView {
    let opened = RwSignal::new(false);
    let panel = format!("{id}-where");
    let controls = panel.clone();
    let name = label.clone();
    view! {
        <button
            type="button"
            class="where"
            aria-expanded=move || opened.get().to_string()
            aria-controls=move || opened.get().then(|| controls.clone())
            on:click=move |_| opened.update(|open| *open = !*open)
        >
            "Where?"
            <span class="unseen">" " {name}</span>
        </button>
        {move || {
            opened.get().then(|| view! {
                <div class="where-panel" id=panel.clone()>
                    {what.picture().map(|picture| view! {
                        <svg
                            class="stage guide"
                            viewBox=picture.view_box()
                            role="img"
                            aria-label=format!("Where the tape goes: {label}")
                            inner_html=svg::paths(&picture.shapes)
                        />
                    })}
                    <p class="how">{what.words()}</p>
                </div>
            })
        }}
    }
}
