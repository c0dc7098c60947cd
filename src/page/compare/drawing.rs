//! The options over each other: bodies on the stage, holds on their plane, each with words beside it.

use leptos::prelude::*;

use super::super::field::{self, Group};
use super::super::stage::observe;
use super::bench::{Bench, Drawn};
use crate::compare::letter;
use crate::hold::Hold;
use crate::sled::Cockpit;
use crate::units::text::{capital, format_number};
use crate::view::envelope::{EnvelopeView, runs};
use crate::view::envelopes::envelopes;
use crate::view::figure::Wearer;
use crate::view::machine::LeverView;
use crate::view::overlay::{Align, Laid, Trace, overlay};
use crate::view::stage::{Shown, Stage, Viewport};
use crate::view::svg;

/// Widest and least width of the drawn holds, px.
const HOLDS: (f64, f64) = (340.0, 620.0);

/// The stage as it stands, for the page, for print and for files; none while nothing can be drawn.
pub fn drawn(bench: Bench, viewport: Viewport) -> Option<Stage> {
    let all = bench.drawn.get();
    let all: Vec<&Drawn> = all.iter().map(|o| o.as_deref()).collect::<Option<_>>()?;
    let cockpits: Vec<Cockpit> = all
        .iter()
        .map(|o| Cockpit::new(&o.alternative.sled, o.set_up.settings))
        .collect();
    let laid = all.iter().zip(&cockpits).map(|(option, cockpit)| {
        Some(Laid {
            name: &option.alternative.name,
            body: Wearer::from(&option.alternative.built.rider),
            cockpit,
            levers: LeverView::from(&option.set_up.levers),
            shown: Shown::of(
                &option.set_up,
                &option.alternative.stances,
                bench.front(option),
            )?,
        })
    });
    let laid: Vec<Laid> = laid.collect::<Option<_>>()?;
    let align = if bench.options.with(|o| o.on_hips) {
        Align::Hips
    } else {
        Align::Sled
    };
    overlay(
        &laid,
        align,
        bench.trace.get(),
        bench.store.system(),
        viewport,
    )
}

/// The holds of all options as they stand; none while one of them is not known.
fn held(bench: Bench) -> Option<Vec<Hold>> {
    let all = bench.drawn.get();
    let front = |option: &Drawn| {
        let stance = option.set_up.stances.get(bench.front(option))?;
        Some(stance.hold.clone())
    };
    all.iter().map(|o| front(o.as_deref()?)).collect()
}

/// The stage with its choices.
pub fn stage(bench: Bench) -> AnyView {
    let size = RwSignal::new((0.0_f64, 0.0_f64));
    let place = NodeRef::<leptos::html::Div>::new();
    observe(place, size);
    // What is drawn stays until there is something else to draw.
    let drawing = Memo::new(move |last: Option<&Option<Stage>>| {
        let (width, height) = size.get();
        let seen = width >= 1.0 && height >= 1.0;
        let now = seen
            .then(|| drawn(bench, Viewport { width, height }))
            .flatten();
        now.or_else(|| last.cloned().flatten())
    });
    let of = move |take: fn(&Stage) -> String| {
        move || drawing.with(|d| d.as_ref().map_or_else(String::new, take))
    };
    let words = move || {
        drawing.with(|d| {
            let stage = d.as_ref()?;
            let says = stage.labels.iter().map(|l| l.lines.join(" "));
            Some(
                says.chain(stage.omitted.iter().cloned())
                    .collect::<Vec<_>>()
                    .join(". "),
            )
        })
    };
    let beside = move || {
        let list = drawing.with(|d| d.as_ref().map(|d| d.omitted.clone()))?;
        let line = |says| view! { <p class="beside">{says}</p> };
        Some(list.into_iter().map(line).collect_view())
    };
    view! {
        <section class="panel bench-stage" aria-labelledby="over-heading">
            <h3 id="over-heading">"Over each other"</h3>
            <div class="along-row">
                {fronts(bench)}
                {aligned(bench)}
                {traced(bench)}
            </div>
            <div class="stage-frame" node_ref=place>
                <svg class="stage" role="img" aria-label=of(|s| s.title.clone()) viewBox=move || drawing.with(|d| d.as_ref().map(svg::view_box)) inner_html=of(svg::content)></svg>
            </div>
            {beside}
            <p class="unseen" role="status">{words}</p>
        </section>
    }
    .into_any()
}

/// The stance that is drawn, where options do not name their own.
fn fronts(bench: Bench) -> AnyView {
    let names: Vec<String> = bench
        .store
        .stances
        .with_value(|s| s.iter().map(|s| s.name.clone()).collect());
    let options = names
        .into_iter()
        .map(|name| {
            let value = name.clone();
            let chosen = move || {
                let first = bench.option(0);
                first.is_some_and(|o| {
                    let at = bench.front(&o);
                    o.alternative
                        .stances
                        .get(at)
                        .is_some_and(|s| s.name == name)
                })
            };
            let title = capital(&value);
            view! { <option value=value selected=chosen>{title}</option> }
        })
        .collect_view();
    view! {
        <label class="picked">
            "Stance "
            <select on:change=move |event| {
                let front = event_target_value(&event);
                bench.options.update(|o| o.front = front);
            }>{options}</select>
        </label>
    }
    .into_any()
}

fn aligned(bench: Bench) -> AnyView {
    field::switch(
        "align",
        "Aligned on",
        [(false, "On the sled"), (true, "On the hips")],
        move |hips| bench.options.with(|o| o.on_hips) == hips,
        move |hips| bench.options.update(|o| o.on_hips = hips),
    )
}

fn traced(bench: Bench) -> AnyView {
    field::switch(
        "trace",
        "Lines",
        [(Trace::Limbs, "Limbs"), (Trace::Arms, "Lever arms")],
        move |trace| bench.trace.get() == trace,
        move |trace| bench.trace.set(trace),
    )
}

/// The holds over each other, and as a table.
pub fn holds(bench: Bench) -> AnyView {
    let size = RwSignal::new((0.0_f64, 0.0_f64));
    let place = NodeRef::<leptos::html::Div>::new();
    observe(place, size);
    let drawing = Memo::new(move |last: Option<&Option<EnvelopeView>>| {
        let width = size.get().0.clamp(HOLDS.0, HOLDS.1);
        let Some(holds) = held(bench) else {
            return last.cloned().flatten();
        };
        let holds: Vec<&Hold> = holds.iter().collect();
        Some(envelopes(&holds, width, 0.82 * width))
    });
    let of = move |take: fn(&EnvelopeView) -> String| {
        move || drawing.with(|d| d.as_ref().map_or_else(String::new, take))
    };
    let beside = move || {
        let list = drawing.with(|d| d.as_ref().map(|d| d.omitted.clone()))?;
        (!list.is_empty()).then(|| view! { <p class="beside">{list.join(" · ")}</p> })
    };
    view! {
        <section class="panel bench-hold" aria-labelledby="holds-heading">
            <h3 id="holds-heading">"What they can hold"</h3>
            <div node_ref=place>
                <svg
                    class="stage envelope"
                    role="img"
                    aria-label=of(|d| d.title.clone())
                    viewBox=move || drawing.with(|d| d.as_ref().map(|d| format!("0 0 {} {}", d.size.0, d.size.1)))
                    inner_html=of(svg::envelope_content)
                ></svg>
            </div>
            {beside}
            <Group title="As a table" note=Signal::derive(|| "what gives first, edge by edge".to_owned())>
                {move || limits(bench)}
            </Group>
        </section>
    }
    .into_any()
}

/// Every run of every envelope with what gives first.
fn limits(bench: Bench) -> AnyView {
    let point =
        |(x, z): (f64, f64)| format!("{} and {} g", format_number(x, 0.1), format_number(z, 0.1));
    let rows = held(bench)
        .unwrap_or_default()
        .into_iter()
        .enumerate()
        .flat_map(|(i, hold)| {
            let runs = runs(&hold.envelope);
            runs.into_iter().map(move |run| {
                let ends = run.points.first().zip(run.points.last());
                let (from, to) =
                    ends.map_or_else(Default::default, |(a, b)| (point(*a), point(*b)));
                view! {
                    <tr>
                        <th scope="row">{letter(i).to_string()}</th>
                        <td>{run.cause}</td>
                        <td class="number">{from}</td>
                        <td class="number">{to}</td>
                    </tr>
                }
            })
        });
    let rows = rows.collect_view();
    view! {
        <div class="wide" tabindex="0" role="region" aria-label="Edges of the holds">
            <table>
                <caption>"Ends of each edge: forward and up, in g"</caption>
                <thead>
                    <tr>
                        <th scope="col">"Option"</th>
                        <th scope="col">"Gives first"</th>
                        <th scope="col" class="number">"From"</th>
                        <th scope="col" class="number">"To"</th>
                    </tr>
                </thead>
                <tbody>{rows}</tbody>
            </table>
        </div>
    }
    .into_any()
}
