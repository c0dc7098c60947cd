//! Taking a comparison along: as a link, as files, as a printed page.

use leptos::prelude::*;

use super::super::print::{
    OF_BODIES, Printing, SAVED, copy_address, drawings, save_text, take, taken,
};
use super::bench::Bench;
use super::drawing::drawn;
use crate::plan::compared::Traded;
use crate::plan::place::Place;
use crate::plan::sheet::comparison;
use crate::view::card::{self, DRAWING, Paper};
use crate::view::palette::Theme;
use crate::view::svg;

/// What the buttons of leverage's drawing say.
const OF_LEVERAGE: [&str; 2] = ["Save leverage as a picture (PNG)", "Save leverage (SVG)"];

/// The section.
pub fn section(bench: Bench) -> AnyView {
    let said = RwSignal::new(String::new());
    let ready = move || bench.compared.with(Option::is_some);
    let over_each_other = move || {
        let stage = untrack(|| drawn(bench, SAVED))?;
        Some(svg::document(&stage, &words(bench), Theme::Light))
    };
    let table = move |_| {
        if let Some(compared) = bench.compared.get_untracked() {
            save_text(&compared.csv, "text/csv", "sledstance-comparison.csv");
        }
    };
    let sheet = move |paper: Paper| {
        let stage = untrack(|| drawn(bench, DRAWING))?;
        let compared = bench.compared.get_untracked()?;
        let address = bench.options.with_untracked(|o| o.address());
        let mut sheet = card::bare(&comparison(&compared, stage, &address), paper);
        // Leverage has a page of its own, where it was worked out.
        if let Some(page) = bench.leverage.with_untracked(|found| found.page()) {
            sheet.push_str(&card::bare_charted(&page, paper));
        }
        Some(sheet)
    };
    let levered = move || bench.leverage.with(|found| !found.levered.is_empty());
    let numbers = move |_| {
        let text = bench.leverage.with_untracked(|found| found.csv());
        save_text(&text, "text/csv", "sledstance-leverage.csv");
    };
    let charts = move || {
        let page = bench.leverage.with_untracked(|found| found.page())?;
        Some(card::charted(&page, Paper::A4))
    };
    let printing = Printing::begin(Signal::derive(move || {
        bench.store.place.get() == Place::Compare
    }));
    view! {
        <section class="panel along" aria-labelledby="compare-along-heading">
            <h3 id="compare-along-heading">"Take it along"</h3>
            <ul class="takes">
                {taken(
                    printing.row("comparison-paper", "Print the comparison", ready),
                    "The options, what differs, and cautions; leverage too, once it is worked out.",
                )}
                {take(
                    view! {
                        <button type="button" on:click=move |_| copy_address(&bench.options.with_untracked(|o| o.address()), said)>
                            "Copy the address of this comparison"
                        </button>
                    },
                    "A link that opens it on another device. The options are in the link itself.",
                )}
                {take(
                    drawings(OF_BODIES, "sledstance-comparison", ready, over_each_other, said),
                    "The options over each other: a picture to send, or a drawing that stays sharp at any size.",
                )}
                {take(
                    view! {
                        <button
                            type="button"
                            disabled=move || bench.compared.with(|c| c.as_ref().is_none_or(|c| c.csv.is_empty()))
                            on:click=table
                        >
                            "Save the table (CSV)"
                        </button>
                    },
                    "Every figure with its difference and band, for a spreadsheet.",
                )}
                {take(
                    view! {
                        {drawings(OF_LEVERAGE, "sledstance-leverage", levered, charts, said)}
                        <button type="button" disabled=move || !levered() on:click=numbers>"Save leverage (CSV)"</button>
                    },
                    "Its table and charts, and their figures, once it is worked out.",
                )}
            </ul>
            <p class="how" role="status">{move || said.get()}</p>
        </section>
        {printing.place(sheet)}
    }
    .into_any()
}

/// The drawing's text equivalent: what the options are and what is traded.
fn words(bench: Bench) -> String {
    let compared = bench.compared.get_untracked();
    let lines = compared.iter().flat_map(|c| {
        let options = c
            .options
            .iter()
            .map(|o| format!("{}: {}.", o.title, o.says));
        options
            .chain(c.trades.iter().map(Traded::says))
            .collect::<Vec<_>>()
    });
    lines.collect::<Vec<_>>().join(" ")
}
