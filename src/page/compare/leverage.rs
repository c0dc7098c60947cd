//! Leverage: corners, the hips' room, standing up, hold over stirrup and riser angle, comfort against hold. Worked out in
//! a worker of its own, on request, since it takes seconds; it comes in pieces.

use std::sync::Arc;

use leptos::prelude::*;

use super::super::field::Group;
use super::super::request::{Request, Response};
use super::super::stage::observe;
use super::super::worker::Failure;
use super::asking::Asking;
use super::bench::Bench;
use crate::compare::MOST;
use crate::plan::leverage::{Leveraged, Levered, Mapped, charts, shared};
use crate::stance::Load;
use crate::units::text::{capital, format_number};
use crate::view::chart::Chart;
use crate::view::envelope::{EnvelopeView, load_name};
use crate::view::svg;

/// Widest and least width of a chart, px.
const WIDTHS: (f64, f64) = (300.0, 620.0);

/// What the section knows.
#[derive(Clone, Copy)]
struct Work {
    bench: Bench,
    /// Place of the load.
    load: RwSignal<usize>,
    found: RwSignal<Arc<Leveraged>>,
    working: RwSignal<bool>,
    trouble: RwSignal<Option<String>>,
    asking: Asking,
}

impl Work {
    fn stop(self) {
        self.asking.stop();
        self.working.set(false);
    }

    fn begin(self) {
        self.stop();
        self.trouble.set(None);
        self.found.set(Arc::default());
        self.working.set(true);
        let mut options = self.bench.options.get_untracked();
        // What is fitted already is not searched again.
        for (place, option) in options.list.iter_mut().enumerate() {
            let found = untrack(|| self.bench.settings(place)).map(Into::into);
            option.plan.by_hand = option.plan.by_hand.or(found);
        }
        let request = Request::Leverage {
            parts: options.parts(),
            stance: options.front.clone(),
            load: self.load.get_untracked(),
            units: self.bench.store.units.get_untracked(),
        };
        self.asking.ask(&request, move |answer| {
            let because = match answer {
                Ok(Response::Leverage(found)) => {
                    self.working.set(!found.is_whole());
                    self.found.set(Arc::new(*found));
                    return;
                }
                // What a person asked to stop is no failure.
                Err(Failure::Stopped) => return,
                Ok(Response::Refused { because }) => because,
                Ok(_) => "the worker answered another question".to_owned(),
                Err(because) => because.to_string(),
            };
            self.working.set(false);
            self.trouble.set(Some(capital(&because)));
        });
    }
}

/// The section.
pub fn section(bench: Bench) -> AnyView {
    let work = Work {
        bench,
        load: RwSignal::new(0),
        found: bench.leverage,
        working: RwSignal::new(false),
        trouble: RwSignal::new(None),
        asking: Asking::new(),
    };
    // What was worked out for other options is no answer any more.
    Effect::new(move |before: Option<()>| {
        bench.options.track();
        bench.store.units.track();
        work.load.track();
        if before.is_some() {
            work.stop();
            work.found.set(Arc::default());
        }
    });
    let loads = Load::ALL.into_iter().map(load_name).enumerate().map(|(k, words)| {
        view! { <option value=k.to_string() prop:selected=move || work.load.get() == k>{words}</option> }
    });
    let pick = move |event: leptos::ev::Event| {
        if let Ok(place) = event_target_value(&event).parse() {
            work.load.set(place);
        }
    };
    let state = move || {
        let found = work.found.get();
        match (&found.front, work.working.get()) {
            (Some(front), true) => format!("{} set-ups looked at …", front.done),
            (None, true) => "Working it out …".to_owned(),
            (Some(_), false) => "Worked out.".to_owned(),
            (None, false) => String::new(),
        }
    };
    // A piece of the front makes nothing else anew.
    let levered = Memo::new(move |_| work.found.with(|f| f.levered.clone()));
    view! {
        <section class="panel bench-leverage" aria-labelledby="leverage-heading">
            <h3 id="leverage-heading">"Leverage"</h3>
            <p class="how">
                "Corners, the hips’ room, standing up; hold over stirrup and riser angle; what comfort costs in hold. \
                 Takes some seconds."
            </p>
            <div class="along-row">
                <span class="file">
                    <label for="leverage-load">"Load of the curves and maps"</label>
                    <select id="leverage-load" on:change=pick>{loads.collect_view()}</select>
                </span>
                <button type="button" disabled=move || work.working.get() on:click=move |_| work.begin()>"Work it out"</button>
                <button type="button" class="quiet" disabled=move || !work.working.get() on:click=move |_| work.stop()>"Stop"</button>
            </div>
            <p class="how" role="status">{state}</p>
            {move || work.trouble.get().map(|words| view! { <p class="error" role="alert">{words}</p> })}
            {move || levered.with(|all| (!all.is_empty()).then(|| given(all)))}
            {charts(work)}
            {move || work.found.with(|f| f.front.is_some()).then(|| front(work))}
        </section>
    }
    .into_any()
}

/// A chart that fills its place; it is made once, and hidden while there is nothing to draw: what watches its width lives
/// as long as the page.
fn plot(
    work: Work,
    share: f64,
    chart: impl Fn(&Leveraged) -> Option<Chart> + Send + Sync + 'static,
) -> AnyView {
    let size = RwSignal::new((0.0_f64, 0.0_f64));
    let place = NodeRef::<leptos::html::Div>::new();
    observe(place, size);
    let chart = Memo::new(move |_| work.found.with(|found| chart(found)));
    let drawn = Memo::new(move |_| {
        let width = size.get().0.clamp(WIDTHS.0, WIDTHS.1);
        chart.with(|c| c.as_ref().map(|c| c.draw(width, share * width)))
    });
    let title = move || chart.with(|c| c.as_ref().map_or_else(String::new, |c| c.title.clone()));
    let of = move |take: fn(&EnvelopeView) -> String| {
        move || drawn.with(|d| d.as_ref().map_or_else(String::new, take))
    };
    let beside = move || {
        let list = drawn.with(|d| d.as_ref().map(|d| d.omitted.clone()))?;
        (!list.is_empty()).then(|| view! { <p class="beside">{list.join(" · ")}</p> })
    };
    view! {
        <figure class="chart" hidden=move || chart.with(Option::is_none)>
            <figcaption>{title}</figcaption>
            <div node_ref=place>
                <svg
                    class="stage envelope"
                    role="img"
                    aria-label=title
                    viewBox=move || {
                        // An empty box would be an error of its own.
                        let size = drawn.with(|d| d.as_ref().map_or(WIDTHS, |d| d.size));
                        format!("0 0 {} {}", size.0, size.1)
                    }
                    inner_html=of(svg::envelope_content)
                ></svg>
            </div>
            {beside}
        </figure>
    }
    .into_any()
}

/// Every chart: of the options over each other, of each map, of the front.
fn charts(work: Work) -> AnyView {
    type Drawn = fn(&[Levered]) -> Chart;
    let over: [(Drawn, f64); 4] = [
        (charts::side, 0.9),
        (charts::room, 0.9),
        (charts::over_stirrup, 0.7),
        (charts::over_angle, 0.7),
    ];
    let over = over.map(|(draw, share)| {
        plot(work, share, move |f| {
            (!f.levered.is_empty()).then(|| draw(&f.levered))
        })
    });
    let maps: Vec<AnyView> = (0..MOST)
        .map(|k| plot(work, 0.85, move |f| f.mapped.get(k).map(charts::map)))
        .collect();
    let front = plot(work, 0.7, |f| f.front.as_ref().map(charts::front));
    // Pieces of the front make no table anew: one that was opened stays open.
    let mapped = Memo::new(move |_| work.found.with(|f| f.mapped.clone()));
    view! {
        <div class="charts">{over.into_iter().collect_view()}</div>
        <div class="charts">{maps.into_iter().collect_view()}</div>
        {move || tables(&mapped.get())}
        <div class="charts">{front}</div>
    }
    .into_any()
}

/// Option by option: a table.
fn given(all: &[Levered]) -> AnyView {
    let heads = all
        .iter()
        .map(|o| view! { <th scope="col">{o.title.clone()}</th> })
        .collect_view();
    let rows = shared::names(all).into_iter().map(|name| {
        let cells = all.iter().map(|option| {
            let row = option.rows.iter().find(|r| r.what == name);
            let (value, because) = row.map_or_else(
                || ("–".to_owned(), String::new()),
                |r| (r.value.clone(), r.because.clone()),
            );
            view! { <td>{value}<span class="how">{because}</span></td> }
        });
        view! { <tr><th scope="row">{name.to_owned()}</th>{cells.collect_view()}</tr> }
    });
    view! {
        <div class="wide" tabindex="0" role="region" aria-label="Leverage, option by option">
            <table>
                <caption>
                    "Corners: from the gentlest to the hardest that is held, as acceleration across, level. A berm is one \
                     banked to the inside."
                </caption>
                <thead><tr><th scope="col">"What"</th>{heads}</tr></thead>
                <tbody>{rows.collect_view()}</tbody>
            </table>
        </div>
    }
    .into_any()
}

/// The maps as tables.
fn tables(mapped: &[Mapped]) -> AnyView {
    let each = mapped.iter().cloned().map(|map| {
        let title = map.title.clone();
        let note = Signal::derive(move || title.clone());
        view! {
            <Group title="As a table" note=note>
                {table(&map)}
            </Group>
        }
    });
    each.collect_view().into_any()
}

/// Every other node of a map.
fn table(map: &Mapped) -> AnyView {
    let columns: Vec<usize> = (0..map.stirrups.len()).step_by(4).collect();
    let heads = columns.iter().map(|i| {
        view! { <th scope="col" class="number">{format_number(map.stirrups[*i], 1.0)}</th> }
    });
    let rows = (0..map.angles.len()).step_by(2).map(|j| {
        let cells = columns.iter().map(|i| {
            let held = map.holds.get(j * map.stirrups.len() + i).copied().flatten();
            let text = held.map_or_else(|| "–".to_owned(), |g| format_number(g, 0.01));
            view! { <td class="number">{text}</td> }
        });
        view! {
            <tr>
                <th scope="row" class="number">{format!("{}°", format_number(map.angles[j], 0.5))}</th>
                {cells.collect_view()}
            </tr>
        }
    });
    view! {
        <div class="wide" tabindex="0" role="region" aria-label=format!("Hold, {}", map.title)>
            <table>
                <caption>{format!("Hold in g, {}: riser angle down, stirrup’s place in mm across; – is not held or out of reach", map.title)}</caption>
                <thead><tr><th scope="col">"Angle"</th>{heads.collect_view()}</tr></thead>
                <tbody>{rows.collect_view()}</tbody>
            </table>
        </div>
    }
    .into_any()
}

/// Comfort against hold, each point to be taken as an option.
fn front(work: Work) -> AnyView {
    let found = work.found.get();
    let Some(front) = &found.front else {
        return ().into_any();
    };
    let bench = work.bench;
    let full = move || bench.count.get() >= MOST;
    let rows = front.points.iter().enumerate().map(|(k, point)| {
        let settings = point.settings;
        let take = move |_| {
            let first = bench.options.with_untracked(|o| o.list.first().cloned());
            if let Some(mut option) = first {
                option.name = format!("point {}", k + 1);
                option.plan.by_hand = Some(settings);
                bench.add(option);
            }
        };
        let numbers = format!(
            "discomfort {}, {} % of the wanted hold",
            format_number(point.discomfort, 0.01),
            format_number(100.0 * point.hold, 1.0)
        );
        view! {
            <li>
                {point.says.clone()}<span class="how">{numbers}</span>
                <button type="button" disabled=full on:click=take>{format!("Take point {} as an option", k + 1)}</button>
            </li>
        }
    });
    view! {
        <p class="how">
            "Set-ups of the first option’s rider and sled, with its bar and clamp, that no other beats in both. Discomfort \
             is how far the joints are from their preferred angles; the hold is the least of all wanted ones."
        </p>
        <ol class="front">{rows.collect_view()}</ol>
    }
    .into_any()
}
