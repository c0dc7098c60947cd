//! Riders and sleds: who rides what today; add, copy, rename, retire; the parts in stock.

use leptos::prelude::*;

use super::desk::{Desk, Screen};
use super::fields::Draft;
use super::stage;
use crate::log::form::RidesRecord;
use crate::log::{About, Id, Reading, What};
use crate::page::field::alert;
use crate::plan::book::begin::{write_rider, write_sled, written};
use crate::plan::book::form::{Texts, Wrong, said};
use crate::plan::rider_form::{BODY_MASS, SEX, SEXES, STATURE};
use crate::plan::{Entry as Typed, Kind, RiderForm};
use crate::rider::RiderProfile;
use crate::sled::SledProfile;
use crate::sled::profile::SHIPPED;
use crate::units::text::{System, capital, tape};

/// A rider or a sled as it is listed.
#[derive(Clone, Debug, PartialEq)]
struct One {
    id: Id,
    name: String,
    retired: bool,
    /// Of a rider, the sled; of a sled, nothing.
    rides: Option<Id>,
    /// Of a sled, its parts in stock.
    stock: Vec<String>,
}

/// Which of the two.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Sort {
    Rider,
    Sled,
}

/// The part.
pub fn people(desk: Desk) -> AnyView {
    let wrong = RwSignal::new(None::<String>);
    let lists = Memo::new(move |_| desk.read(|r| (riders(r), sleds(r, desk.system()))));
    let shelf = move || {
        let words = desk.read(|r| {
            let parts = r.shelf().map(|(.., part)| part.words(desk.system()));
            parts.collect::<Vec<_>>().join(", ")
        });
        if words.is_empty() {
            "Nothing lies on it.".to_owned()
        } else {
            capital(&words)
        }
    };
    let sled_names = Memo::new(move |_| {
        let sleds = lists.with(|l| l.1.clone());
        sleds
            .into_iter()
            .filter(|s| !s.retired)
            .map(|s| (s.id, s.name))
            .collect::<Vec<_>>()
    });
    let list = move |sort: Sort| {
        let all = lists.with(|l| {
            if sort == Sort::Rider {
                l.0.clone()
            } else {
                l.1.clone()
            }
        });
        let rows = all
            .into_iter()
            .map(|one| row(desk, sort, one, sled_names, wrong));
        rows.collect_view()
    };
    view! {
        {alert(wrong)}
        <h3>"Riders"</h3>
        <ul class="people">{move || list(Sort::Rider)}</ul>
        {new_rider(desk)}
        <h3>"Sleds"</h3>
        <ul class="people">{move || list(Sort::Sled)}</ul>
        {new_sled(desk)}
        <p class="how">
            "To measure again, open a rider on a sled on the stage, change it there, then put it into the book."
        </p>
        <button type="button" on:click=move |_| desk.go(Screen::Put)>"Put what stands on the start place into the book"</button>
        <h3>"The team’s shelf"</h3>
        <p class="how">{shelf}</p>
        <button type="button" class="quiet" on:click=move |_| desk.go(Screen::Shelf)>"Parts on the shelf"</button>
    }
    .into_any()
}

fn riders(reading: &Reading) -> Vec<One> {
    let riding = reading.riding();
    let all = reading.riders().map(|r| One {
        id: r.id,
        name: r.profile.name.clone(),
        retired: r.retired,
        rides: riding.iter().find(|x| x.rider == r.id).and_then(|x| x.sled),
        stock: Vec::new(),
    });
    all.collect()
}

fn sleds(reading: &Reading, system: System) -> Vec<One> {
    let all = reading.sleds().map(|s| One {
        id: s.id,
        name: s.profile.name.clone(),
        retired: s.retired,
        rides: None,
        stock: stock(s.profile, system),
    });
    all.collect()
}

/// Parts in stock, in words.
fn stock(profile: &SledProfile, system: System) -> Vec<String> {
    let Ok(sled) = profile.resolve() else {
        return vec!["cannot be used as recorded".to_owned()];
    };
    let listed = |what: &str, names: Vec<String>| format!("{what}: {}", names.join(", "));
    vec![
        listed(
            "Risers",
            sled.risers.iter().map(|r| tape(r.height, system)).collect(),
        ),
        listed("Seats", sled.seats.iter().map(|s| s.name.clone()).collect()),
        listed(
            "Clamps",
            sled.clamps.iter().map(|c| c.name.clone()).collect(),
        ),
        listed("Bars", sled.bars.iter().map(|b| b.name.clone()).collect()),
    ]
}

/// What is done to a record.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Act {
    Rename,
    Copy,
    Retire(bool),
}

fn record(desk: Desk, sort: Sort, id: Id, act: Act, name: &str) -> Result<Option<Id>, Wrong> {
    let says = match act {
        Act::Rename => "Written down: the new name.",
        Act::Copy => "Written down: a copy.",
        Act::Retire(true) => "Retired: hidden, never lost.",
        Act::Retire(false) => "Back in the team.",
    };
    let gone = || said("", "this record is not in the book");
    let named = |former: &str| match act {
        Act::Rename | Act::Copy => name.trim().to_owned(),
        Act::Retire(_) => former.to_owned(),
    };
    let about = |whom: About| match act {
        Act::Copy => About::default(),
        Act::Rename | Act::Retire(_) => whom,
    };
    let retired = |former: bool| match act {
        Act::Rename => former,
        Act::Copy => false,
        Act::Retire(retired) => retired,
    };
    desk.write(says, |reading, pen| {
        let entry = match sort {
            Sort::Rider => {
                let state = reading.rider(id).ok_or_else(gone)?;
                let profile = RiderProfile {
                    name: named(&state.profile.name),
                    ..state.profile.clone()
                };
                write_rider(
                    pen,
                    about(About::rider(id)),
                    profile,
                    retired(state.retired),
                )?
            }
            Sort::Sled => {
                let state = reading.sled(id).ok_or_else(gone)?;
                let profile = SledProfile {
                    name: named(&state.profile.name),
                    ..state.profile.clone()
                };
                write_sled(pen, about(About::sled(id)), profile, retired(state.retired))?
            }
        };
        Ok(vec![entry])
    })
}

fn row(
    desk: Desk,
    sort: Sort,
    one: One,
    sleds: Memo<Vec<(Id, String)>>,
    wrong: RwSignal<Option<String>>,
) -> AnyView {
    let One {
        id, retired, rides, ..
    } = one;
    let name = one.name.clone();
    let typed = RwSignal::new(name.clone());
    let tell = move |made: Result<Option<Id>, Wrong>| {
        wrong.set(made.err().map(|all| {
            all.into_iter()
                .map(|(k, w)| format!("{k} {w}"))
                .collect::<Vec<_>>()
                .join("; ")
        }));
    };
    let button = move |says: &'static str, whom: &str, act: Act| {
        let label = format!("{says}: {whom}");
        view! {
            <button type="button" class="quiet" aria-label=label on:click=move |_| tell(record(desk, sort, id, act, &typed.get_untracked()))>
                {says}
            </button>
        }
        .into_any()
    };
    let ride = move |event: leptos::ev::Event| {
        let sled: Option<Id> = event_target_value(&event).parse().ok();
        let about = About {
            rider: Some(id),
            sled,
        };
        tell(desk.write("Written down: who rides what.", |_, pen| {
            Ok(vec![written(pen, about, What::Rides(RidesRecord {}))?])
        }));
    };
    let rides_id = format!("rides-{id}");
    let name_id = format!("name-{id}");
    let options = move || {
        sleds.get().into_iter().map(|(sled, name)| {
            view! { <option value=sled.to_string() selected=rides == Some(sled)>{name}</option> }
        }).collect_view()
    };
    let rides = (sort == Sort::Rider && !retired).then(|| view! {
        <div class="field">
            <label for=rides_id.clone()>"Rides today" <span class="unseen">{format!(" ({name})")}</span></label>
            <select id=rides_id on:change=ride>
                <option value="">"none"</option>
                {options}
            </select>
        </div>
    });
    let opens = rides_pair(sort, id, one.rides).filter(|_| !retired).map(|pair| {
        let label = format!("Open on the stage: {}", one.name);
        view! {
            <button type="button" class="quiet" aria-label=label on:click=move |_| wrong.set(stage::open(desk, pair, None).err())>
                "Open on the stage"
            </button>
        }
    });
    let stock = (!one.stock.is_empty()).then(|| {
        let label = format!("Parts in stock: {}", one.name);
        let go = move |_| desk.go(Screen::Stock(id));
        view! {
            <p class="how">{one.stock.join(". ")}</p>
            <button type="button" class="quiet" aria-label=label on:click=go>"Parts in stock"</button>
        }
    });
    view! {
        <li>
            <p><strong>{one.name.clone()}</strong> {retired.then_some(", retired")}</p>
            {stock}
            {rides}
            <details class="group">
                <summary>
                    <span class="group-title">"Rename, copy, retire" <span class="unseen">{format!(" {}", one.name)}</span></span>
                </summary>
                <div class="field">
                    <label for=name_id.clone()>"Name" <span class="unseen">{format!(" of {}", one.name)}</span></label>
                    <input id=name_id type="text" autocomplete="off" prop:value=move || typed.get() on:input=move |e| typed.set(event_target_value(&e)) />
                </div>
                <div class="along-row">
                    {button("Rename", &one.name, Act::Rename)}
                    {button("Copy under this name", &one.name, Act::Copy)}
                    {if retired { button("Bring back", &one.name, Act::Retire(false)) } else { button("Retire", &one.name, Act::Retire(true)) }}
                    {opens}
                </div>
            </details>
        </li>
    }
    .into_any()
}

fn rides_pair(sort: Sort, id: Id, sled: Option<Id>) -> Option<(Id, Id)> {
    if sort == Sort::Rider {
        Some((id, sled?))
    } else {
        None
    }
}

/// A rider known by name, with height and weight where they are known.
fn new_rider(desk: Desk) -> AnyView {
    let draft = Draft::open(desk, "new/rider".to_owned(), Texts::new());
    let write = move |_| {
        let text = |key: &str| draft.typed(key);
        let made = profile(
            &text("name"),
            &[
                (STATURE, text("height")),
                (BODY_MASS, text("weight")),
                (SEX, text("sex")),
            ],
            desk,
        );
        let made = made.and_then(|profile| {
            desk.write(
                "Written down: a new rider. Say below what the rider rides.",
                |_, pen| Ok(vec![write_rider(pen, About::default(), profile, false)?]),
            )
        });
        draft.settle(made);
    };
    view! {
        <details class="group" open=draft.was_left()>
            <summary><span class="group-title">"Add a rider"</span></summary>
            {draft.left(None)}
            <div class="pair">
                {draft.field("name", "What the rider is called", Kind::Text, "")}
                {draft.field("height", "How tall", Kind::BodyLength, "Such as 178 cm or 5'10; may wait.")}
                {draft.field("weight", "How heavy", Kind::Mass, "Such as 80 kg or 176 lb; may wait.")}
                {draft.field("sex", "Sex", Kind::Choice(SEXES), "")}
            </div>
            {draft.general()}
            <button type="button" on:click=write>"Add the rider"</button>
        </details>
    }
    .into_any()
}

fn profile(name: &str, typed: &[(&str, String)], desk: Desk) -> Result<RiderProfile, Wrong> {
    let units = untrack(|| desk.units());
    let mut form = RiderForm::default();
    for (path, text) in typed {
        form.type_in(path, Typed::new(text.trim(), units));
    }
    let read = form.read(units);
    let key = |path: &String| match path.as_str() {
        STATURE => "height",
        BODY_MASS => "weight",
        _ => "sex",
    };
    if !read.errors.is_empty() {
        return Err(read
            .errors
            .iter()
            .map(|(path, words)| (key(path).to_owned(), words.clone()))
            .collect());
    }
    let halves = [STATURE, BODY_MASS].map(|p| form.entry(p).is_some());
    if halves[0] != halves[1] {
        let missing = if halves[0] { "weight" } else { "height" };
        return Err(said(
            missing,
            "Give both, or neither yet: one alone makes no rider.",
        ));
    }
    Ok(RiderProfile {
        name: name.trim().to_owned(),
        ..read.profile.unwrap_or_default()
    })
}

/// A sled begun as one that comes with the program.
fn new_sled(desk: Desk) -> AnyView {
    const BEGIN: &[(&str, &str)] = &[
        ("bare-bones", "a typical sled, nothing measured yet"),
        ("long-lemming", "Long Lemming, invented"),
        ("tall-tern", "Tall Tern, invented"),
    ];
    let draft = Draft::open(desk, "new/sled".to_owned(), Texts::new());
    let write = move |_| {
        let text = |key: &str| draft.typed(key);
        let begun = text("begin");
        let begun = if begun.is_empty() { BEGIN[0].0 } else { &begun };
        let shipped = SHIPPED.iter().find(|s| s.id == begun);
        let read = shipped.map(|s| SledProfile::read(s.text));
        let made = match read {
            Some(Ok(profile)) => desk.write("Written down: a new sled.", |_, pen| {
                let profile = SledProfile {
                    name: text("name").trim().to_owned(),
                    note: None,
                    ..profile
                };
                Ok(vec![write_sled(pen, About::default(), profile, false)?])
            }),
            _ => Err(said("begin", "is none of the sleds to begin from")),
        };
        draft.settle(made);
    };
    view! {
        <details class="group" open=draft.was_left()>
            <summary><span class="group-title">"Add a sled"</span></summary>
            {draft.left(None)}
            <div class="pair">
                {draft.field("name", "What the sled is called", Kind::Text, "")}
                {draft.field("begin", "Begun as", Kind::Choice(BEGIN), "Its own dimensions come from the tape: open it on the stage.")}
            </div>
            {draft.general()}
            <button type="button" on:click=write>"Add the sled"</button>
        </details>
    }
    .into_any()
}
