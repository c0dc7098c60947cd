//! A recorded run, held against the set-up of an option: open a file, say which column is which, read what came of it.
//!
//! All reading happens in a worker of its own, piece by piece, so that nothing here waits. The mapping of columns is
//! kept in the browser and offered for the next file that has the same columns.

mod columns;
pub mod file;

use leptos::prelude::*;
use web_sys::File;

use super::super::field::{Field, Group as Fold, chosen_file};
use super::super::hold;
use super::super::keeping::storage;
use super::super::request::{Request, Response};
use super::super::turn::Turns;
use super::super::worker::Failure;
use super::asking::Asking;
use super::bench::Bench;
use crate::compare::letter;
use crate::plan::recorded::{Drawn, Looked, Part, Shown, Wish};
use crate::plan::{Kind, Units};
use crate::run::{CUT_OFF, Columns, DWELL, Options, OptionsError, Role};

/// Where the mapping is kept.
const KEY: &str = "sledstance-columns";

/// How far it is.
#[derive(Clone, Debug, Default, PartialEq)]
enum State {
    #[default]
    Idle,
    /// Reading, with the share that was read.
    Reading(f64),
    Refused(String),
    Shown(Box<Shown>),
}

/// Everything the section remembers.
#[derive(Clone, Copy)]
struct Desk {
    bench: Bench,
    /// Which option, from 0.
    option: RwSignal<usize>,
    asking: Asking,
    file: StoredValue<Option<File>, LocalStorage>,
    name: RwSignal<String>,
    /// Whether the run is the invented one.
    invented: RwSignal<bool>,
    looked: RwSignal<Option<Looked>>,
    columns: RwSignal<Columns>,
    stance: RwSignal<String>,
    cut_off: RwSignal<String>,
    longer: RwSignal<String>,
    state: RwSignal<State>,
    turns: Turns,
}

/// The section.
pub fn section(bench: Bench) -> AnyView {
    let desk = Desk {
        bench,
        option: RwSignal::new(0),
        asking: Asking::new(),
        file: StoredValue::new_local(None),
        name: RwSignal::new(String::new()),
        invented: RwSignal::new(false),
        looked: RwSignal::new(None),
        columns: RwSignal::new(Columns::default()),
        stance: RwSignal::new(String::new()),
        cut_off: RwSignal::new(CUT_OFF.to_string()),
        longer: RwSignal::new(DWELL.to_string()),
        state: RwSignal::new(State::Idle),
        turns: Turns::new(),
    };
    let pick = move |event: leptos::ev::Event| {
        if let Some(file) = chosen_file(&event) {
            desk.open(file, false);
        }
    };
    view! {
        <section class="panel run" aria-labelledby="run-heading">
            <h3 id="run-heading">"A recorded run"</h3>
            <p>
                "What a logger on the sled wrote, as a table in text (CSV): time, forward and upward acceleration, and what else there is. It is held against the set-up of one option, on this device alone."
            </p>
            <p class="file">
                <label for="run-file">"Open a run"</label>
                <input id="run-file" type="file" accept=".csv,.txt,.tsv,text/csv,text/plain" on:change=pick />
                <button type="button" class="quiet" on:click=move |_| desk.demo()>"Try an invented run"</button>
            </p>
            {move || desk.invented.get().then(|| view! {
                <p class="notice" role="note">"This run is invented: two laps made from a stated model, with jumps, corners and noise. Nobody rode it; judge nothing by it."</p>
            })}
            {move || desk.looked.get().map(|looked| mapping(desk, &looked))}
            <p class="progress" role="status">{move || desk.status()}</p>
            {move || desk.state()}
        </section>
    }
    .into_any()
}

impl Desk {
    /// Look at the invented run.
    fn demo(self) {
        let turn = self.turns.next();
        self.asking.stop();
        self.asking
            .ask(&Request::Demo, move |response| match response {
                Ok(Response::Demo { file }) if turn.lasts() => self.open(file, true),
                other if turn.lasts() => self.state.set(refused(other)),
                _ => {}
            });
    }

    /// Look at a file's start.
    fn open(self, file: File, invented: bool) {
        let turn = self.turns.next();
        self.invented.set(invented);
        self.asking.stop();
        self.name.set(file.name());
        self.file.set_value(Some(file.clone()));
        self.looked.set(None);
        self.state.set(State::Reading(0.0));
        // The invented run goes by its own names, and is not remembered.
        let kept = storage().filter(|_| !invented);
        let kept = kept.and_then(|s| s.get_item(KEY).ok().flatten());
        let request = Request::Look { file, kept };
        self.asking.ask(&request, move |response| {
            if !turn.lasts() {
                return;
            }
            match response {
                Ok(Response::Looked(looked)) => {
                    self.columns
                        .set(Columns::read(&looked.columns).unwrap_or_default());
                    self.looked.set(Some(*looked));
                    self.state.set(State::Idle);
                }
                other => self.state.set(refused(other)),
            }
        });
    }

    /// Judge the file.
    fn judge(self) {
        let place = self.option.get_untracked();
        let settings = untrack(|| self.bench.settings(place));
        let (Some(settings), Some(file)) = (settings, self.file.get_value()) else {
            let letter = letter(place);
            let because =
                format!("option {letter} has no set-up yet: wait for it, or put it right");
            self.state.set(State::Refused(because));
            return;
        };
        let typed = |text: RwSignal<String>| text.with_untracked(|text| number(text));
        let (Some(cut_off_hz), Some(longer_than_s)) = (typed(self.cut_off), typed(self.longer))
        else {
            self.state.set(State::Refused(
                "the cut-off and the least time must be numbers".to_owned(),
            ));
            return;
        };
        let columns = match self.columns.with_untracked(Columns::write) {
            Ok(columns) => columns,
            Err(error) => {
                self.state.set(State::Refused(error.to_string()));
                return;
            }
        };
        let stance = self.stance.get_untracked();
        let wish = Wish {
            columns: columns.clone(),
            stance: (!stance.is_empty()).then_some(stance),
            cut_off_hz,
            longer_than_s,
            width: width(),
        };
        let turn = self.turns.next();
        self.asking.stop();
        self.state.set(State::Reading(0.0));
        let request = Request::Run {
            parts: self.bench.options.with_untracked(|o| o.parts()),
            option: place,
            settings: settings.into(),
            file,
            wish: Box::new(wish),
        };
        self.asking.ask(&request, move |response| {
            if !turn.lasts() {
                return;
            }
            self.state.set(match response {
                Ok(Response::Reading { share }) => State::Reading(share),
                Ok(Response::Run(shown)) => {
                    if let Some(storage) = storage().filter(|_| !self.invented.get_untracked()) {
                        // Where nothing is kept, the plan's own message says so.
                        let _ = storage.set_item(KEY, &columns);
                    }
                    State::Shown(shown)
                }
                other => refused(other),
            });
        });
    }

    /// What a person asked to stop is no failure.
    fn give_up(self) {
        self.turns.next();
        self.asking.stop();
        self.state.set(State::Idle);
    }

    fn status(self) -> String {
        match self.state.get() {
            State::Reading(share) => {
                format!("Reading {}: {:.0} % …", self.name.get(), 100.0 * share)
            }
            State::Shown(_) => format!("{} was read.", self.name.get()),
            State::Idle | State::Refused(_) => String::new(),
        }
    }

    fn state(self) -> AnyView {
        match self.state.get() {
            State::Idle => ().into_any(),
            State::Reading(_) => view! {
                <button type="button" on:click=move |_| self.give_up()>"Stop reading"</button>
            }
            .into_any(),
            State::Refused(because) => {
                let name = self.name.get();
                view! { <p class="error" role="alert">{format!("{name}: {because}.")}</p> }
                    .into_any()
            }
            State::Shown(shown) => result(*shown),
        }
    }
}

fn refused(response: Result<Response, Failure>) -> State {
    State::Refused(match response {
        Ok(Response::Refused { because }) => because.trim_end_matches('.').to_owned(),
        Ok(_) => "the worker answered another question".to_owned(),
        Err(failure) => failure.to_string(),
    })
}

/// Width of the drawings: beside each other where there is room for two, and never wider than reads well.
fn width() -> f64 {
    let room = document()
        .get_element_by_id("run-heading")
        .map_or(340.0, |heading| heading.get_bounding_client_rect().width());
    let column = if room < BOTH { room } else { 0.5 * room };
    column.clamp(300.0, 640.0)
}

/// Width from which both drawings stand beside each other, px, as in the page's stylesheet.
const BOTH: f64 = 720.0;

/// Which column is which, how to judge, and go.
fn mapping(desk: Desk, looked: &Looked) -> AnyView {
    let guess = if looked.kept {
        "as last time"
    } else {
        "guessed from names: look it over"
    };
    let notes = looked
        .notes
        .iter()
        .map(|note| view! { <p class="how">{note.clone()}</p> })
        .collect_view();
    let looked = StoredValue::new(looked.clone());
    let stances = desk.bench.store.stances.with_value(|stances| {
        stances
            .iter()
            .map(|s| view! { <option value=s.name.clone()>{s.name.clone()}</option> })
            .collect_view()
    });
    let options = move || {
        let titled = |place: usize| {
            let name = desk
                .bench
                .options
                .with(|o| o.list.get(place).map(|e| e.name.clone()));
            let name = name.filter(|name| !name.is_empty());
            name.map_or_else(
                || letter(place).to_string(),
                |name| format!("{}, {name}", letter(place)),
            )
        };
        let one = |place: usize| {
            let chosen = move || desk.option.get() == place;
            view! { <option value=place.to_string() selected=chosen>{titled(place)}</option> }
        };
        (0..desk.bench.count.get()).map(one).collect_view()
    };
    let ready = move || desk.bench.settings(desk.option.get()).is_some();
    let missing = move || {
        desk.columns.with(|columns| {
            let needed = Role::ALL.into_iter().filter(|r| r.is_needed());
            let lacks: Vec<&str> = needed
                .filter(|r| columns.of(*r).is_none())
                .map(|r| r.name())
                .collect();
            (!lacks.is_empty()).then(|| lacks.join(", "))
        })
    };
    view! {
        {notes}
        <Fold title="Which column is which" note=Signal::derive(move || guess.to_owned())>
            {move || looked.with_value(|looked| columns::form(looked, desk.columns))}
        </Fold>
        {move || missing().map(|roles| view! {
            <p class="error" role="alert">{format!("No column is chosen for {roles}. Open “Which column is which”.")}</p>
        })}
        <div class="pair">
            <div class="field">
                <label for="run-option">"Whose set-up"</label>
                <select
                    id="run-option"
                    on:change=move |event| desk.option.set(event_target_value(&event).parse().unwrap_or(0))
                >
                    {options}
                </select>
            </div>
            <div class="field">
                <label for="run-stance">"Held against"</label>
                <select id="run-stance" on:change=move |event| desk.stance.set(event_target_value(&event))>
                    <option value="">"the standing stance that holds best"</option>
                    {stances}
                </select>
            </div>
            {amount(desk, "run-cut-off", "Low-pass at, Hz", desk.cut_off, "What is faster shakes the sled, not the rider. 1 to 100.", |hz| Options::new(hz, DWELL))}
            {amount(desk, "run-longer", "Count what lasts, s", desk.longer, "Shorter events are told by their number alone. 0.01 to 5.", |s| Options::new(CUT_OFF, s))}
        </div>
        <p class="how" role="status">{move || (!ready()).then(|| format!("Option {} is being fitted …", letter(desk.option.get())))}</p>
        <button type="button" class="big" disabled=move || !ready() on:click=move |_| desk.judge()>"Hold the run against it"</button>
    }
    .into_any()
}

fn number(text: &str) -> Option<f64> {
    Kind::Number.number(text, None, Units::Metric).ok()
}

/// A number of the options; `with` makes them with it.
fn amount(
    desk: Desk,
    id: &str,
    label: &'static str,
    value: RwSignal<String>,
    how: &str,
    with: fn(f64) -> Result<Options, OptionsError>,
) -> AnyView {
    let error = Signal::derive(move || match value.with(|text| number(text)) {
        Some(number) => with(number).err().map(|e| e.to_string()),
        None => Some("a number is needed".to_owned()),
    });
    view! {
        <Field
            id=id.to_owned()
            label=label
            kind=Kind::Number
            value=value.into()
            error=error
            how=how.to_owned()
            measures=None
            units=desk.bench.store.units
            on_input=Callback::new(move |text| value.set(text))
        />
    }
    .into_any()
}

fn result(shown: Shown) -> AnyView {
    let parts = shown.parts.into_iter().map(part).collect_view();
    view! {
        <p class="lead">{shown.says}</p>
        <p class="how">{shown.against}</p>
        <div class="run-drawings">
            {shown.envelope.map(drawing)}
            {shown.track.map(drawing)}
        </div>
        {parts}
    }
    .into_any()
}

fn drawing(drawn: Drawn) -> AnyView {
    let Drawn {
        size,
        title,
        content,
        omitted,
    } = drawn;
    view! { <div>{hold::drawing(size, title, content, &omitted)}</div> }.into_any()
}

fn part(part: Part) -> AnyView {
    let lines = part
        .lines
        .into_iter()
        .map(|line| view! { <li>{line}</li> })
        .collect_view();
    let list = if part.numbered {
        view! { <ol>{lines}</ol> }.into_any()
    } else {
        view! { <ul>{lines}</ul> }.into_any()
    };
    view! { <h4>{part.title}</h4> {list} }.into_any()
}
