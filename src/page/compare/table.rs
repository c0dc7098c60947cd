//! What differs: the first thing that the place says.

use leptos::prelude::*;

use super::super::field::Group;
use super::bench::Bench;
use crate::plan::compared::{Compared, Fitted, Line, Rows, Shown, Weight};

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
    let shown = move || bench.compared.get().map(|compared| told(&compared));
    view! {
        <section class="panel differences" aria-labelledby="differences-heading">
            <h3 id="differences-heading">"What differs, against A"</h3>
            {move || bench.trouble.get().map(|words| view! { <p class="error" role="alert">{words}</p> })}
            {shown}
            <p class="progress" role="status">{progress}</p>
            {move || bench.working.get().then(|| view! {
                <button type="button" class="quiet" on:click=move |_| bench.stop()>"Stop drawing riders"</button>
            })}
        </section>
    }
    .into_any()
}

/// Trades in sentences, what is main as a table, the rest in a fold.
fn told(compared: &Compared) -> AnyView {
    let trades = compared.trades.iter().cloned();
    let trades = trades
        .map(|words| view! { <p class="lead">{words}</p> })
        .collect_view();
    let unfit = compared.options.iter().filter_map(|option| {
        let binds = option.binds.as_ref()?;
        let words = format!("{} does not fit: {binds}.", option.title);
        Some(view! { <p class="trouble"><span class="trouble-title">{words}</span></p> })
    });
    let unfit = unfit.collect_view();
    let part = |main: bool| {
        let groups = compared.groups.iter().map(|group| Rows {
            title: group.title.clone(),
            sets: group.sets,
            rows: group
                .rows
                .iter()
                .filter(|r| r.main == main)
                .cloned()
                .collect(),
        });
        groups.filter(|g| !g.rows.is_empty()).collect::<Vec<_>>()
    };
    let (main, rest) = (part(true), part(false));
    let count: usize = rest.iter().map(|g| g.rows.len()).sum();
    let nothing = compared.groups.is_empty().then(|| {
        view! { <p>"Nothing differs that a tape, a level or a scale would show."</p> }
    });
    let marks = [Weight::Unsure, Weight::Slight].map(Weight::words);
    let legend = marks
        .map(|(mark, words)| format!("{mark} {words}"))
        .join("; ");
    let titles = StoredValue::new(compared.options.clone());
    let rest = StoredValue::new(rest);
    let more = (count > 0).then(|| {
        let note = Signal::derive(move || format!("{count} more that differ"));
        view! {
            <Group title="More figures" note>
                {move || titles.with_value(|t| rest.with_value(|r| table(t, r)))}
            </Group>
        }
    });
    view! {
        {trades}
        {unfit}
        {nothing}
        {(!main.is_empty()).then(|| table(&compared.options, &main))}
        {more}
        <p class="how">{legend}". Settings carry no band: they are what would be bolted on."</p>
    }
    .into_any()
}

fn table(options: &[Fitted], groups: &[Rows]) -> AnyView {
    let letter = |option: &Fitted| option.title.chars().take(1).collect::<String>();
    let heads = options.iter().enumerate().map(|(i, option)| {
        let class = format!("number of-{}", ["a", "b", "c", "d"][i.min(3)]);
        view! { <th scope="col" class=class title=option.says.clone()>{letter(option)}</th> }
    });
    let columns = options.len() + 1;
    let body = groups.iter().map(|group| {
        let rows = group.rows.iter().map(row).collect_view();
        view! {
            <tbody>
                <tr><th scope="rowgroup" class="group-row" colspan=columns.to_string()>{group.title.clone()}</th></tr>
                {rows}
            </tbody>
        }
    });
    view! {
        <div class="wide" tabindex="0" role="region" aria-label="Table of differences">
            <table class="compared">
                <thead><tr><th scope="col">"What"</th>{heads.collect_view()}</tr></thead>
                {body.collect_view()}
            </table>
        </div>
    }
    .into_any()
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
