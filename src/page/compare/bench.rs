//! The state of the compare place: the options, what the worker says of them, and the set-ups that are drawn.

use std::sync::Arc;
use std::time::Duration;

use leptos::prelude::*;

use super::super::request::{Request, Response};
use super::super::store::{Store, example};
use super::super::turn::Turns;
use super::asking::Asking;
use crate::compare::{Alternative, MOST};
use crate::fit::{self, SetUp};
use crate::order::Map;
use crate::plan::compared::Compared;
use crate::plan::leverage::Leveraged;
use crate::plan::options::{Entered, Options};
use crate::plan::place::Place;
use crate::plan::{Chosen, Plan, Setting};
use crate::sled::Settings;
use crate::units::text::capital;
use crate::view::overlay::Trace;

/// Changes rest this long before the worker is asked.
const REST: Duration = Duration::from_millis(250);

/// Riders drawn for the bands; our choice, as on the start place.
pub const DRAWS: u32 = 60;

/// An option that can be drawn.
pub struct Drawn {
    /// What it is.
    pub alternative: Alternative,
    /// Its set-up.
    pub set_up: SetUp,
    /// What made it: options that read the same are not evaluated twice.
    key: (String, Chosen),
}

/// Everything that the place's parts share.
#[derive(Clone, Copy)]
pub struct Bench {
    /// The page's state.
    pub store: Store,
    /// The options as they are typed and chosen.
    pub options: RwSignal<Options>,
    /// How many there are.
    pub count: Memo<usize>,
    /// What the worker said last.
    pub compared: RwSignal<Option<Arc<Compared>>>,
    /// Why there is no answer.
    pub trouble: RwSignal<Option<String>>,
    /// Whether the worker is at it.
    pub working: RwSignal<bool>,
    /// What can be drawn, option by option.
    pub drawn: Memo<Arc<Vec<Option<Arc<Drawn>>>>>,
    /// Leverage, as far as it was worked out for these options.
    pub leverage: RwSignal<Arc<Leveraged>>,
    /// What is traced of the bodies.
    pub trace: RwSignal<Trace>,
    /// Fitted settings by the code of the option that they answer.
    found: RwSignal<Map<String, Chosen>>,
    asking: Asking,
    asked: Turns,
}

impl PartialEq for Drawn {
    fn eq(&self, other: &Self) -> bool {
        self.key == other.key
    }
}

impl Bench {
    /// Begins with what the address says, else with what stands on the start place.
    pub fn begin(store: Store) -> Self {
        let options = RwSignal::new(Options::default());
        let found = RwSignal::new(Map::new());
        let drawn = Memo::new(move |last: Option<&Arc<Vec<Option<Arc<Drawn>>>>>| {
            let each = options.with(|o| o.list.clone());
            let each = each.iter().map(|option| {
                let known = last.map(|all| all.as_slice()).unwrap_or_default();
                evaluated(store, option, &found.get(), known)
            });
            Arc::new(each.collect())
        });
        let bench = Self {
            store,
            options,
            count: Memo::new(move |_| options.with(|o| o.list.len())),
            compared: RwSignal::new(None),
            trouble: RwSignal::new(None),
            working: RwSignal::new(false),
            drawn,
            leverage: RwSignal::new(Arc::default()),
            trace: RwSignal::new(Trace::default()),
            found,
            asking: Asking::new(),
            asked: Turns::new(),
        };
        Effect::new(move |_| bench.follow_address());
        let written = Turns::new();
        Effect::new(move |_| {
            options.track();
            let turn = written.next();
            let write = move || {
                if turn.lasts() {
                    bench.write_address();
                }
            };
            set_timeout(write, REST);
        });
        Effect::new(move |_| {
            // After the first look, or what the address says.
            let there = bench.count.get() > 0;
            if let Some(option) = store.beside.get().filter(|_| there) {
                store.beside.set(None);
                bench.add(option);
            }
        });
        // What is drawn of the options is no question to the worker.
        let asked = Memo::new(move |_| options.with(|o| o.list.clone()));
        Effect::new(move |_| {
            store.units.track();
            bench.ask(&asked.get());
        });
        bench
    }

    /// The options are those of the address; where it says none, those from before, else two from the start place.
    fn follow_address(self) {
        if self.store.place.get() != Place::Compare {
            return;
        }
        let parts = self.store.inside.get();
        match Options::read(&parts) {
            Ok(Some(read)) => {
                if read != self.options.get_untracked() {
                    self.options.set(read);
                }
            }
            Ok(None) => {
                let kept = self.options.with_untracked(Options::parts);
                if self.count.get_untracked() > 0 {
                    self.store.go(Place::Compare, kept);
                } else if let Some(first) = self.first_look() {
                    self.options.set(first);
                }
            }
            Err(error) => self.store.unread.set(Some(capital(&format!("{error}.")))),
        }
    }

    /// The address follows the options, once changes rest: what is typed is one step back, not a step for each letter.
    fn write_address(self) {
        let parts = self.options.with_untracked(Options::parts);
        let shown = self.store.place.get_untracked() == Place::Compare;
        if shown && self.count.get_untracked() > 0 && self.store.inside.get_untracked() != parts {
            self.store.go(Place::Compare, parts);
        }
    }

    /// What stands on the start place, and the same with the stirrups a position further back.
    fn first_look(self) -> Option<Options> {
        let (settings, sled) = (self.store.settings.get()?, self.store.sled.get()?);
        let mut here = self.as_on_start();
        here.name = "as on the start page".to_owned();
        let mut other = here.clone();
        let moved = Setting::Stirrup.stepped(settings, 1, &sled);
        let (moved, name) = if moved == settings {
            (
                Setting::Stirrup.stepped(settings, -1, &sled),
                "stirrups one position forward",
            )
        } else {
            (moved, "stirrups one position back")
        };
        other.plan.by_hand = Some(moved.into());
        other.name = name.to_owned();
        Some(Options {
            list: vec![here, other],
            ..Options::default()
        })
    }

    /// What stands on the start place as an option; the example rider, where nobody is typed.
    pub fn as_on_start(self) -> Entered {
        let store = self.store;
        let mut plan = store.plan.get_untracked();
        if store.is_example.get_untracked() {
            plan.rider = example();
        }
        if plan.by_hand.is_none() && plan.kept.is_empty() {
            // What was found is found already.
            plan.by_hand = store.settings.get_untracked().map(Into::into);
        }
        plan.front = String::new();
        plan.units = Default::default();
        Entered::of(plan)
    }

    /// Changes one option.
    pub fn change(self, place: usize, change: impl FnOnce(&mut Entered)) {
        self.options.update(|o| {
            if let Some(option) = o.list.get_mut(place) {
                change(option);
            }
        });
    }

    /// Changes the plan of one option.
    pub fn change_plan(self, place: usize, change: impl FnOnce(&mut Plan)) {
        self.change(place, |option| change(&mut option.plan));
    }

    /// Adds an option; where there is no room for one more, it takes the last one's place.
    pub fn add(self, option: Entered) {
        self.options.update(|o| {
            o.list.truncate(MOST - 1);
            o.list.push(option);
        });
    }

    /// One option, read and evaluated.
    pub fn option(self, place: usize) -> Option<Arc<Drawn>> {
        self.drawn.with(|all| all.get(place).cloned().flatten())
    }

    /// The settings of one option.
    pub fn settings(self, place: usize) -> Option<Settings> {
        self.option(place).map(|o| o.set_up.settings)
    }

    /// Asks the worker, once changes rest.
    fn ask(self, list: &[Entered]) {
        let turn = self.asked.next();
        self.stop();
        self.trouble.set(None);
        if list.is_empty() {
            return;
        }
        let stances = self.store.stances.get_value();
        let asked = Options {
            list: list.to_vec(),
            ..Options::default()
        };
        let whole = asked.alternatives(&stances);
        if let Err(because) = whole {
            self.compared.set(None);
            self.trouble.set(Some(because));
            return;
        }
        self.working.set(true);
        let units = self.store.units.get_untracked();
        let codes: Vec<String> = list.iter().map(Entered::key).collect();
        let begin = move || {
            if !turn.lasts() {
                return;
            }
            let request = Request::Compare {
                parts: asked.parts(),
                units,
                draws: DRAWS,
            };
            self.asking.ask(&request, move |answer| {
                if turn.lasts() {
                    self.hear(answer.map_err(|e| e.to_string()), &codes);
                }
            });
        };
        set_timeout(begin, REST);
    }

    fn hear(self, answer: Result<Response, String>, codes: &[String]) {
        let trouble = match answer {
            Ok(Response::Compared(compared)) => {
                let fresh = codes
                    .iter()
                    .cloned()
                    .zip(compared.options.iter().map(|o| o.settings));
                let fresh: Map<String, Chosen> = fresh.collect();
                if self.found.with_untracked(|found| *found != fresh) {
                    self.found.set(fresh);
                }
                self.working.set(compared.done < compared.total);
                self.compared.set(Some(Arc::new(*compared)));
                return;
            }
            Ok(Response::Refused { because }) => because,
            Ok(_) => "the worker answered another question".to_owned(),
            Err(because) => because,
        };
        self.working.set(false);
        self.trouble.set(Some(capital(&trouble)));
    }

    /// Draws no more riders; what is known so far stands.
    pub fn stop(self) {
        self.asking.stop();
        self.working.set(false);
    }

    /// The stance in front of an option: its own, else the one that all share.
    pub fn front(self, option: &Drawn) -> usize {
        option
            .alternative
            .front(&self.options.with(|o| o.front.clone()))
    }
}

/// An option evaluated, by hand or on the settings that the worker found; none while there are none.
fn evaluated(
    store: Store,
    option: &Entered,
    found: &Map<String, Chosen>,
    known: &[Option<Arc<Drawn>>],
) -> Option<Arc<Drawn>> {
    let chosen = option
        .plan
        .by_hand
        .or_else(|| found.get(&option.key()).copied())?;
    let key = (option.text(), chosen);
    if let Some(same) = known.iter().flatten().find(|drawn| drawn.key == key) {
        return Some(same.clone());
    }
    let alternative = option.alternative(&store.stances.get_value()).ok()?;
    let settings = chosen.on(&alternative.sled)?;
    let (brake, throttle) = alternative.levers;
    let request = alternative.request();
    let set_up = fit::with_levers(&request, fit::evaluate(&request, settings), brake, throttle);
    Some(Arc::new(Drawn {
        set_up,
        alternative,
        key,
    }))
}
