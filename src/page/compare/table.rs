//! What differs: the first thing that the place says.

use leptos::prelude::*;

use super::super::field::Group;
use super::bench::Bench;
use crate::plan::compared::{Compared, Fitted, Line, NOTHING, Shown, Traded, Weight};
use crate::units::text::capital;

/// The section with the table of differences.
pub fn differences(bench: Bench) -> AnyView {
    let progress = move || {
        let known = bench
            .compared
            .with(|c| c.as_ref().map(|c| (c.done, c.total)));
        match (bench.working.get(), known) {
            (true, Some((done, total))) if done > 0 => format!("{done} of {total} riders drawn …"),
            (true, _) => "Fitting and comparing …".to_owned(),
            (false, Some((done, _))) if done > 0 => {
                format!(
                    "In brackets: 90 of 100 riders who could be these differ by that ({done} drawn)."
                )
            }
            _ => String::new(),
        }
    };
    let more = move || {
        let rest = |c: &Compared| {
            c.groups
                .iter()
                .flat_map(|g| &g.rows)
                .filter(|r| !r.main)
                .count()
        };
        let count = bench.compared.with(|c| c.as_deref().map_or(0, rest));
        format!("{count} smaller than the band, or hardly noticed")
    };
    let marks = [Weight::Unsure, Weight::Slight].map(Weight::words);
    let legend = marks
        .map(|(mark, words)| format!("{mark} {words}"))
        .join("; ");
    let shown = move || bench.compared.get().map(|compared| told(&compared));
    view! {
        <section class="panel differences" aria-labelledby="differences-heading">
            <h3 id="differences-heading">"What differs, against A"</h3>
            {move || bench.trouble.get().map(|words| view! { <p class="error" role="alert">{words}</p> })}
            {shown}
            // Made once, so that a fold that is open stays open while bands come in.
            <Group title="More that differs" note=Signal::derive(more)>
                {move || bench.compared.with(|c| c.as_ref().and_then(|c| table(c, false)))}
            </Group>
            <p class="how">{legend}". Settings carry no band: they are what would be bolted on."</p>
            <p class="progress" role="status">{progress}</p>
            {move || bench.working.get().then(|| view! {
                <button type="button" class="quiet" on:click=move |_| bench.stop()>"Stop drawing riders"</button>
            })}
        </section>
    }
    .into_any()
}

/// What is traded, and what is main as a table.
fn told(compared: &Compared) -> AnyView {
    let trades = compared.trades.iter().map(traded).collect_view();
    let unfit = compared.options.iter().filter_map(|option| {
        let binds = option.binds.as_ref()?;
        let words = format!("{} does not fit: {binds}.", option.title);
        Some(view! { <p class="trouble"><span class="trouble-title">{words}</span></p> })
    });
    let nothing = compared.groups.is_empty().then(|| {
        view! { <p>"Nothing differs that a tape, a level or a scale would show."</p> }
    });
    view! {
        {trades}
        {unfit.collect_view()}
        {nothing}
        {table(compared, true)}
    }
    .into_any()
}

/// What an option gives and takes, a line each.
fn traded(trade: &Traded) -> AnyView {
    let line = |how: &'static str, what: &str| {
        (!what.is_empty()).then(|| view! { <li><strong>{how}</strong>": "{what.to_owned()}</li> })
    };
    let nothing = trade.better.is_empty() && trade.worse.is_empty();
    view! {
        <p class="lead">{trade.title.clone()}</p>
        <ul>
            {line("Better", &trade.better)}
            {line("Worse", &trade.worse)}
            {nothing.then(|| view! { <li>{capital(NOTHING)}</li> })}
        </ul>
    }
    .into_any()
}

/// The rows that are main, or the others; nothing where there are none.
fn table(compared: &Compared, main: bool) -> Option<AnyView> {
    let options = &compared.options;
    let groups = compared.groups.iter().filter_map(|group| {
        let rows = group.rows.iter().filter(|r| r.main == main);
        let rows = rows.map(row).collect::<Vec<_>>();
        (!rows.is_empty()).then_some((group.title.clone(), rows))
    });
    let groups: Vec<_> = groups.collect();
    if groups.is_empty() {
        return None;
    }
    let letter = |option: &Fitted| option.title.chars().take(1).collect::<String>();
    let heads = options.iter().enumerate().map(|(i, option)| {
        let class = format!("number of-{}", ["a", "b", "c", "d"][i.min(3)]);
        let called = option.title.get(1..).unwrap_or_default();
        let called = called.trim_start_matches(", ").to_owned();
        view! {
            <th scope="col" class=class>
                <strong>{letter(option)}</strong>" "<span class="setting-note">{called}</span>
            </th>
        }
    });
    let columns = options.len() + 1;
    let body = groups.into_iter().map(|(title, rows)| {
        view! {
            <tbody>
                <tr><th scope="rowgroup" class="group-row" colspan=columns.to_string()>{title}</th></tr>
                {rows}
            </tbody>
        }
    });
    let label = if main {
        "Table of differences"
    } else {
        "Table of small differences"
    };
    let made = view! {
        <div class="wide" tabindex="0" role="region" aria-label=label>
            <table class="compared">
                <thead><tr><th scope="col">"What"</th>{heads.collect_view()}</tr></thead>
                {body.collect_view()}
            </table>
        </div>
    };
    Some(made.into_any())
}

fn row(line: &Line) -> AnyView {
    let cells = line.values.iter().enumerate().map(|(i, value)| {
        let difference = i.checked_sub(1).and_then(|at| line.differences.get(at));
        let signed = difference.filter(|d| !d.by.is_empty()).map(signed);
        view! { <td class="number"><span class="value">{value.clone()}</span>" "{signed}</td> }
    });
    view! { <tr><th scope="row">{line.what.clone()}</th>{cells.collect_view()}</tr> }.into_any()
}

/// A signed difference with its mark, and its band in brackets.
fn signed(shown: &Shown) -> AnyView {
    let mark = shown.mark.map(|weight| {
        let (mark, words) = weight.words();
        view! { <span class="mark" aria-hidden="true">" "{mark}</span><span class="unseen">", "{words}</span> }
    });
    let band = (!shown.band.is_empty()).then(|| {
        let words = format!("({})", shown.band);
        view! { <span class="setting-band">{words}</span> }
    });
    let class = if shown.mark.is_some() {
        "by"
    } else {
        "by clear"
    };
    view! { <span class=class>{shown.by.clone()}{mark}</span>" "{band} }.into_any()
}
