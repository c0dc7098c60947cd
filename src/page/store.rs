//! The page's state: the plan with its history, and all that follows from it.

use std::sync::Arc;
use std::time::Duration;

use leptos::prelude::*;

use super::keeping;
use super::posed::{Given, Posed};
use super::request::{Found, Request, Response, Standing, Wanted};
use super::turn::Turns;
use super::worker::{Ticket, Worker};
use crate::fit::{self, SetUp};
use crate::order::Map;
use crate::plan::advice::Sure;
use crate::plan::options::Entered;
use crate::plan::place::{Address, Place};
use crate::plan::rider_form::RiderRead;
use crate::plan::rider_form::{BODY_MASS, STATURE};
use crate::plan::sled_form::SledRead;
use crate::plan::{
    Chosen, Entry, History, LeverRolls, Plan, RiderForm, Setting, SledPick, Units, setting, stored,
};
use crate::rider::Built;
use crate::sled::{Cockpit, Settings, Sled};
use crate::stance::{Aim, Posture, Problem, SEAT_SHARE_AT_FIRST, Stance};
use crate::units::Angle;
use crate::units::text::System;
use crate::view::handle::HandleId;
use crate::view::machine::LeverView;

/// The rider that is drawn before one is typed: invented.
const EXAMPLE: [(&str, &str); 2] = [(STATURE, "1780 mm"), (BODY_MASS, "80 kg")];

/// Typing rests this long before a search begins.
const REST: Duration = Duration::from_millis(180);

/// A set-up stands still this long before riders are drawn for it.
const STILL: Duration = Duration::from_millis(700);

/// Riders that are drawn unasked, enough to say what to measure next; and on request, when the ends of a band are sure to
/// 1.5 % of probability. Our choice: a phone's processor is not kept busy for longer than a person looks.
const DRAWS: u32 = 60;
const MANY_DRAWS: u32 = 200;

/// How far the search is.
#[derive(Clone, Debug, PartialEq)]
pub enum Search {
    /// It runs, or is about to.
    Running,
    /// It found this.
    Found(Found),
    /// It ended without an answer.
    Failed(String),
}

/// Whether riders are drawn for the set-up as it stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Riders {
    /// None, or no more.
    Rest,
    /// They are being drawn, or about to be.
    Due,
    /// They were when a pause began.
    Paused,
}

/// A former set-up that is to be seen behind what is drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct Before {
    /// What it is called.
    pub name: String,
    /// It.
    pub settings: Chosen,
}

/// Everything that the components share.
#[derive(Clone, Copy)]
pub struct Store {
    history: RwSignal<History<Plan>>,
    /// The plan as it stands.
    pub plan: Memo<Plan>,
    /// Units of the plan.
    pub units: Memo<Units>,
    /// The stances that come with the program.
    pub stances: StoredValue<Arc<Vec<Stance>>>,
    /// What the rider's form says.
    pub rider: Memo<Arc<RiderRead>>,
    /// The rider that is drawn: the typed one, or the example.
    pub built: Memo<Option<Arc<Built>>>,
    /// Whether the rider that is drawn is the example.
    pub is_example: Memo<bool>,
    /// What the sled's form says.
    pub sled_read: Memo<Arc<SledRead>>,
    /// The sled that is drawn: the picked one, or the last that could be read.
    pub sled: Memo<Option<Arc<Sled>>>,
    /// How far the search is.
    pub search: RwSignal<Search>,
    /// Whether a newer question than the one answered last is on its way.
    pub searching: RwSignal<bool>,
    /// Settings under the pointer, while something is dragged.
    pub live: RwSignal<Option<Settings>>,
    /// Levers under the pointer, while one is turned.
    pub live_levers: RwSignal<Option<LeverView>>,
    /// Whether the best fit is shown as an outline behind what was set by hand.
    pub show_former: RwSignal<bool>,
    /// A former set-up that is shown as that outline in place of the best fit, until another rider or sled is picked.
    pub before: RwSignal<Option<Before>>,
    /// What of the rider opened from the book the start place has no field for, in words.
    pub lost: RwSignal<Option<String>>,
    /// Complaints that were picked, with their strength.
    pub felt: RwSignal<Map<&'static str, u8>>,
    /// The settings that stand: by hand, else found, else none yet.
    pub settings: Memo<Option<Settings>>,
    /// The set-up that stands, evaluated whole.
    pub set_up: Memo<Option<Arc<SetUp>>>,
    /// The settings that are drawn: those under the pointer, those that stand, or the sled's middle.
    pub drawn: Memo<Option<Settings>>,
    /// How the rider stands on them.
    pub posed: Memo<Option<Posed>>,
    /// What is to be searched; none while sled or rider cannot be read.
    wanted: Memo<Option<Wanted>>,
    /// The set-up that advice is given about; none before one is found, while another is searched, and for the example.
    pub standing: Memo<Option<Standing>>,
    /// The place that is shown.
    pub place: RwSignal<Place>,
    /// What is shown of a place other than start, as the address says it.
    pub inside: RwSignal<Vec<String>>,
    /// An option on its way to the compare place.
    pub beside: RwSignal<Option<Entered>>,
    /// Why what is entered is not kept in this browser; none while it is.
    pub not_kept: RwSignal<Option<String>>,
    /// What could not be read of the address; none while all was.
    pub unread: RwSignal<Option<String>>,
    /// The version of the worker's core, or why there is none.
    pub core: RwSignal<Option<Result<String, String>>>,
    /// How sure the set-up is, so far; none while nothing is known.
    pub sure: RwSignal<Option<Sure>>,
    /// Whether riders are being drawn.
    pub drawing: RwSignal<bool>,
    worker: StoredValue<Worker, LocalStorage>,
    /// Draws riders, which takes long.
    sampler: StoredValue<Worker, LocalStorage>,
    /// Answers what a person asks beside it.
    pub adviser: StoredValue<Worker, LocalStorage>,
    sampling: StoredValue<Option<Ticket>>,
    riders: StoredValue<Riders>,
    ticket: StoredValue<Option<Ticket>>,
    asked: Turns,
    sampled: Turns,
}

impl Store {
    /// Begin with what the browser kept and the address says.
    pub fn begin() -> Self {
        let (plan, trouble) = keeping::load();
        let address = keeping::address();
        let (addressed, unread) = keeping::addressed(plan.clone(), &address);
        let mut history = History::new(plan);
        // What the browser kept can be stepped back to.
        history.commit(addressed, "");
        let history = RwSignal::new(history);
        let plan = Memo::new(move |_| history.with(|h| h.present().clone()));
        let units = Memo::new(move |_| plan.with(|p| p.units));
        let rider_form = Memo::new(move |_| plan.with(|p| p.rider.clone()));
        let sled_form = Memo::new(move |_| plan.with(|p| p.sled.clone()));
        let rider = Memo::new(move |_| Arc::new(rider_form.with(|f| f.read(units.get()))));
        let is_example = Memo::new(move |_| rider.with(|r| r.built.is_none()));
        let built = Memo::new(move |_| {
            rider.with(|r| match &r.built {
                Some(built) => Some(Arc::new(built.clone())),
                None => example().read(Units::Metric).built.map(Arc::new),
            })
        });
        let sled_read = Memo::new(move |_| Arc::new(sled_form.with(|f| f.read())));
        let sled = Memo::new(move |last: Option<&Option<Arc<Sled>>>| {
            sled_read.with(|r| match &r.sled {
                Some(sled) => Some(Arc::new(sled.clone())),
                None => last.cloned().flatten(),
            })
        });
        let stances = StoredValue::new(Arc::new(Stance::shipped().unwrap_or_default()));
        let search = RwSignal::new(Search::Running);
        let settings = Memo::new(move |_| {
            let sled = sled.get()?;
            let by_hand = plan.with(|p| p.by_hand.and_then(|chosen| chosen.on(&sled)));
            by_hand.or_else(|| {
                search.with(|s| match s {
                    Search::Found(found) => found.settings.on(&sled),
                    _ => None,
                })
            })
        });
        let evaluated = Memo::new(move |_| {
            let (built, sled) = (built.get()?, sled.get()?);
            let stances = stances.get_value();
            let request = fit::Request::new(&built.rider, &sled, &stances);
            let settings = settings.get()?;
            Some(Arc::new(fit::evaluate(&request, settings)))
        });
        let levers = Memo::new(move |_| plan.with(|p| p.levers));
        let set_up = Memo::new(move |_| {
            let (evaluated, levers) = (evaluated.get()?, levers.get());
            if levers.is_empty() {
                return Some(evaluated);
            }
            let (built, sled) = (built.get()?, sled.get()?);
            let stances = stances.get_value();
            let request = fit::Request::new(&built.rider, &sled, &stances);
            let (brake, throttle) = levers.angles();
            let turned = fit::with_levers(&request, (*evaluated).clone(), brake, throttle);
            Some(Arc::new(turned))
        });
        let (live, live_levers) = (RwSignal::new(None), RwSignal::new(None));
        let drawn = Memo::new(move |_| {
            let sled = sled.get()?;
            let held = live.get().and_then(|s: Settings| s.checked(&sled).ok());
            let standing = || settings.get();
            held.or_else(standing)
                .or_else(|| Some(setting::middle(&sled)))
        });
        let given = Given {
            built,
            sled,
            stances,
            drawn,
            set_up,
            live,
            live_levers,
            turned: levers,
        };
        let posed =
            Memo::new(move |last: Option<&Option<Posed>>| given.posed(last.cloned().flatten()));
        let searching = RwSignal::new(false);
        let wanted = Memo::new(move |_| {
            let kept = plan.with(|p| p.kept.clone());
            rider.with(|rider| sled_read.with(|sled| Wanted::of(rider, sled, kept)))
        });
        let standing = Memo::new(move |_| {
            let (settings, sled) = (settings.get()?, sled.get()?);
            if is_example.get() || searching.get() {
                return None;
            }
            settings.checked(&sled).ok()?;
            Some(Standing {
                wanted: wanted.get()?,
                settings: settings.into(),
                units: units.get(),
                draws: DRAWS,
            })
        });
        Self {
            history,
            plan,
            units,
            stances,
            rider,
            built,
            is_example,
            sled_read,
            sled,
            search,
            searching,
            live,
            live_levers,
            felt: RwSignal::new(Map::new()),
            show_former: RwSignal::new(true),
            before: RwSignal::new(None),
            lost: RwSignal::new(None),
            settings,
            set_up,
            drawn,
            posed,
            wanted,
            standing,
            place: RwSignal::new(address.place),
            inside: RwSignal::new(address.inside),
            beside: RwSignal::new(None),
            not_kept: RwSignal::new(trouble),
            unread: RwSignal::new(unread),
            core: RwSignal::new(None),
            sure: RwSignal::new(None),
            drawing: RwSignal::new(false),
            worker: StoredValue::new_local(Worker::new()),
            sampler: StoredValue::new_local(Worker::new()),
            adviser: StoredValue::new_local(Worker::new()),
            sampling: StoredValue::new(None),
            riders: StoredValue::new(Riders::Rest),
            ticket: StoredValue::new(None),
            asked: Turns::new(),
            sampled: Turns::new(),
        }
    }

    /// Ask for the set-up of what the browser kept, and do something once there is a thread to search for it.
    pub fn wake(self, then: impl FnOnce() + 'static) {
        let plan = self.plan.with_untracked(stored::write);
        if let Ok(plan) = plan {
            self.searching.set(true);
            self.ask(Request::Planned { plan });
        }
        self.worker.with_value(|worker| worker.wake(then));
    }

    /// Start what runs beside the components: the search, the browser's storage, the address.
    pub fn run(self) {
        self.worker.with_value(|worker| {
            worker.ask(&Request::Version, move |answer| {
                self.core.set(Some(match answer {
                    Ok(Response::Version { version }) => Ok(version),
                    Ok(_) => Err("it answered another question".to_owned()),
                    Err(failure) => Err(failure.to_string()),
                }));
            });
        });
        Effect::new(move |before: Option<()>| {
            let wanted = self.wanted.get();
            // The first was asked before the page was built: both go on side by side.
            if before.is_some() {
                self.seek(wanted);
            }
        });
        Effect::new(move |_| self.draw_riders(self.standing.get()));
        keeping::follow(self);
    }

    /// Draw many riders for the set-up as it stands.
    pub fn look_closer(self) {
        let standing = self.standing.get_untracked();
        self.draw_riders(standing.map(|s| Standing {
            draws: MANY_DRAWS,
            ..s
        }));
    }

    /// Begin to draw riders for a set-up once it stands still.
    fn draw_riders(self, standing: Option<Standing>) {
        self.stop_drawing();
        self.sure.set(None);
        let Some(standing) = standing else { return };
        self.riders.set_value(Riders::Due);
        let turn = self.sampled.next();
        let begin = move || {
            if !turn.lasts() {
                return;
            }
            self.drawing.set(true);
            self.sampler.with_value(|sampler| {
                let request = Request::Sure(Box::new(standing.clone()));
                let ticket = sampler.ask(&request, move |answer| {
                    if !turn.lasts() {
                        return;
                    }
                    let more =
                        matches!(&answer, Ok(Response::Sure(sure)) if sure.done < sure.total);
                    self.riders
                        .set_value(if more { Riders::Due } else { Riders::Rest });
                    self.drawing.set(more);
                    if let Ok(Response::Sure(sure)) = answer {
                        self.sure.set(Some(*sure));
                    }
                });
                self.sampling.set_value(Some(ticket));
            });
        };
        set_timeout(begin, STILL);
    }

    /// Draw no more riders; what is known so far stands.
    pub fn stop_drawing(self) {
        self.sampled.next();
        self.riders.set_value(Riders::Rest);
        if let Some(ticket) = self.sampling.get_value() {
            self.sampling.set_value(None);
            self.drawing.set(false);
            self.sampler.with_value(|sampler| sampler.stop(ticket));
        }
    }

    /// Draw no riders for now: the processor is wanted elsewhere.
    pub fn pause_drawing(self) {
        let due = self.riders.get_value() == Riders::Due;
        self.stop_drawing();
        if due {
            self.riders.set_value(Riders::Paused);
        }
    }

    /// Draw the riders that a pause left out.
    pub fn draw_on(self) {
        if self.riders.get_value() == Riders::Paused {
            self.draw_riders(self.standing.get_untracked());
        }
    }

    /// Search, once typing rests.
    fn seek(self, wanted: Option<Wanted>) {
        let turn = self.asked.next();
        self.searching.set(wanted.is_some());
        let Some(wanted) = wanted else { return };
        let ask = move || {
            if turn.lasts() {
                self.ask(Request::Fit(Box::new(wanted.clone())));
            }
        };
        set_timeout(ask, REST);
    }

    /// Ask the worker for a set-up, in place of what it was asked before.
    fn ask(self, request: Request) {
        let turn = self.asked.next();
        self.worker.with_value(|worker| {
            if let Some(ticket) = self.ticket.get_value() {
                worker.stop(ticket);
            }
            let ticket = worker.ask(&request, move |answer| {
                if !turn.lasts() {
                    return;
                }
                self.ticket.set_value(None);
                // Without a sled there is no question, and no answer to show.
                if self.wanted.with_untracked(Option::is_some) {
                    self.search.set(match answer {
                        Ok(Response::Fit(found)) => Search::Found(found),
                        Ok(Response::Refused { because }) => Search::Failed(because),
                        Ok(_) => Search::Failed("it answered another question".to_owned()),
                        Err(failure) => Search::Failed(failure.to_string()),
                    });
                }
                self.searching.set(false);
            });
            self.ticket.set_value(Some(ticket));
        });
    }

    /// Change the plan. Changes under one mark in a row are one step back.
    pub fn change(self, mark: &str, change: impl FnOnce(&mut Plan)) {
        let mut plan = self.plan.get_untracked();
        change(&mut plan);
        self.history.update(|h| h.commit(plan, mark));
    }

    /// Put another plan in the present's place without a step back: what the address says.
    pub fn become_plan(self, plan: Plan) {
        self.history.update(|h| h.commit(plan, "address"));
    }

    /// Take a step back.
    pub fn undo(self) {
        self.history.update(History::undo);
    }

    /// Make a step again.
    pub fn redo(self) {
        self.history.update(History::redo);
    }

    /// Whether there is a step back, and one forth.
    pub fn can_step(self) -> (bool, bool) {
        self.history.with(|h| (h.can_undo(), h.can_redo()))
    }

    /// End a row of changes.
    pub fn settle(self) {
        self.history.update_untracked(History::settle);
    }

    /// The units for text.
    pub fn system(self) -> System {
        self.units.get().into()
    }

    /// Move settings by hand; what is kept moves along.
    pub fn set_by_hand(self, settings: Settings, mark: &str) {
        self.change(mark, |plan| {
            plan.by_hand = Some(Chosen::from(settings));
            for (setting, value) in &mut plan.kept {
                *value = setting.number(&settings);
            }
        });
    }

    /// The levers that are drawn.
    pub fn drawn_levers(self) -> Option<LeverView> {
        self.posed.with(|posed| Some(posed.as_ref()?.levers))
    }

    /// Turn a lever by hand, or leave it to the fit again.
    pub fn turn_lever(self, handle: HandleId, roll: Option<Angle>, mark: &str) {
        let roll = roll.map(Angle::deg);
        self.change(mark, |plan| match handle {
            HandleId::Brake => plan.levers.brake_deg = roll,
            HandleId::Throttle => plan.levers.throttle_deg = roll,
            _ => {}
        });
    }

    /// Whether anything was set by hand.
    pub fn is_by_hand(self) -> bool {
        self.plan
            .with(|p| p.by_hand.is_some() || !p.levers.is_empty())
    }

    /// The set-up that is to be seen behind what is drawn, where it is another: the former one that was asked for, else
    /// the best fit.
    pub fn former(self) -> Option<Before> {
        let sled = self.sled.get()?;
        let best = || {
            let found = self.search.with(|search| match search {
                Search::Found(found) => Some(found.settings),
                _ => None,
            });
            found
                .filter(|_| !self.searching.get())
                .map(|settings| Before {
                    name: "the best fit".to_owned(),
                    settings,
                })
        };
        let former = self.before.get().or_else(best)?;
        let differs = self.drawn.get() != Some(former.settings.on(&sled)?);
        (self.show_former.get() && differs).then_some(former)
    }

    /// Keep a setting through every search, or let it go.
    pub fn keep(self, setting: Setting, kept: bool) {
        let Some(settings) = self.settings.get_untracked() else {
            return;
        };
        self.change("", |plan| {
            if kept {
                plan.kept.insert(setting, setting.number(&settings));
            } else {
                plan.kept.remove(&setting);
            }
        });
    }

    /// Let the best fit stand again.
    pub fn best_again(self) {
        self.change("", |plan| {
            plan.by_hand = None;
            plan.levers = LeverRolls::default();
        });
    }

    /// What is typed or picked now is no longer what was opened from the book.
    fn leave_the_book(self) {
        if self.before.with_untracked(Option::is_some) {
            self.before.set(None);
        }
        if self.lost.with_untracked(Option::is_some) {
            self.lost.set(None);
        }
    }

    /// Pick a sled.
    pub fn pick(self, pick: SledPick) {
        self.leave_the_book();
        self.change("", |plan| {
            let mut next = plan.clone();
            if pick == SledPick::Own && !next.sled.has_own() {
                next.sled.make_own();
            } else {
                next = next.on_sled(pick);
            }
            *plan = next;
        });
    }

    /// Type into the rider's form.
    pub fn type_rider(self, path: &str, text: String) {
        self.leave_the_book();
        let units = self.units.get_untracked();
        self.change(path, |plan| {
            plan.rider.type_in(path, Entry::new(text, units))
        });
    }

    /// Type into the sled's form.
    pub fn type_sled(self, path: &str, text: String) {
        self.leave_the_book();
        let units = self.units.get_untracked();
        self.change(path, |plan| {
            if plan.sled.pick != SledPick::Own {
                plan.sled.make_own();
            }
            plan.sled.type_in(path, Entry::new(text, units));
        });
    }

    /// Name of the stance in front.
    pub fn front(self) -> String {
        let chosen = self.plan.with(|p| p.front.clone());
        self.stances.with_value(|stances| {
            let known = stances.iter().find(|s| s.name == chosen);
            let neutral = || stances.iter().find(|s| s.carries_weight_point);
            known
                .or_else(neutral)
                .or(stances.first())
                .map_or(String::new(), |s| s.name.clone())
        })
    }

    /// The address of what is shown.
    pub fn address(self) -> Address {
        match self.place.get() {
            Place::Start => self.start_address(),
            place => Address {
                place,
                inside: self.inside.get(),
                ..Address::default()
            },
        }
    }

    /// Show a part of a place; the address follows.
    pub fn go(self, place: Place, inside: Vec<String>) {
        self.inside.set(inside);
        self.place.set(place);
    }

    /// The address of the start place as it stands.
    pub fn start_address(self) -> Address {
        Address {
            sled: Some(self.plan.with(|p| p.sled.pick.id().to_owned())),
            stance: Some(self.front()),
            ..Address::default()
        }
    }
}

/// The example's form.
pub fn example() -> RiderForm {
    let mut form = RiderForm::default();
    for (path, text) in EXAMPLE {
        form.type_in(path, Entry::new(text, Units::Metric));
    }
    form.type_in("sex", Entry::new("male", Units::Metric));
    form
}

/// Postures of all stances on settings, solved for the drawing: quick enough for every frame. Those of a neighbour, a
/// frame ago, are a start; where none is found from there, the search begins anew.
pub fn postures(
    built: &Built,
    sled: &Sled,
    settings: Settings,
    stances: &[Stance],
    shares: &Map<String, f64>,
    neighbour: Option<&[Posture]>,
) -> Vec<Posture> {
    let cockpit = Cockpit::new(sled, settings);
    stances
        .iter()
        .enumerate()
        .map(|(i, stance)| {
            let share = shares.get(&stance.name).copied();
            let share = share.unwrap_or(SEAT_SHARE_AT_FIRST);
            let problem = Problem::new(&built.rider, &cockpit, stance, share);
            let near = neighbour.and_then(|all| all.get(i)).and_then(|posture| {
                let start = problem.from_pose(&posture.pose);
                let end = problem.solve_near(&start, Aim::Comfort);
                end.feasible().then_some(end)
            });
            problem.posture(&near.unwrap_or_else(|| problem.solve(Aim::Comfort)))
        })
        .collect()
}
