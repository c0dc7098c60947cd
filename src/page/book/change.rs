//! A change: settings step by step from how they stand, why, and what it should do.

use leptos::prelude::*;

use super::desk::{Desk, Screen, sentence};
use super::fields::Draft;
use crate::log::{About, Id, SetUpForm, Unrecorded, words};
use crate::page::field::{Field, Group, Stepper};
use crate::plan::book::begin::written;
use crate::plan::book::form::{Texts, Wrong};
use crate::plan::book::set_up::{self, LEVERS, LeverField, LeverTexts, Why};
use crate::plan::setting::middle;
use crate::plan::{Entry, Kind, Setting};
use crate::sled::{Settings, Sled};

/// What the form works on.
#[derive(Clone, Copy)]
struct Edit {
    desk: Desk,
    sled: StoredValue<Sled>,
    stands: StoredValue<Option<SetUpForm>>,
    settings: RwSignal<Settings>,
    levers: RwSignal<LeverTexts>,
    draft: Draft,
    why: StoredValue<Why>,
}

/// The part.
pub fn change(desk: Desk, pair: (Id, Id)) -> AnyView {
    match begin(desk, pair) {
        Ok(edit) => form(edit, pair),
        Err(because) => view! { <p class="error" role="alert">{because}</p> }.into_any(),
    }
}

fn begin(desk: Desk, pair: (Id, Id)) -> Result<Edit, String> {
    let picked = desk.picked.get_untracked();
    let (sled, stands) = untrack(|| {
        desk.read(|reading| {
            let state = reading.sled(pair.1).ok_or(Unrecorded::Sled);
            let sled = state.map_err(sentence)?.profile.resolve();
            let sled = sled.map_err(|e| format!("The sled cannot be used as recorded: {e}."))?;
            Ok::<_, String>((sled, reading.set_up(pair.0, pair.1, None).cloned()))
        })
    })?;
    let (to, why) = match picked {
        Some(picked) => (Some(picked.to), picked.why),
        None => (stands.clone(), Why::default()),
    };
    let settings = match &to {
        None => middle(&sled),
        Some(to) => to.on(&sled).map_err(|error| {
            format!("How it stands cannot be made on the sled as recorded now: {error}. Record the part under “Riders and sleds” first.")
        })?,
    };
    let units = untrack(|| desk.units());
    let levers = to
        .map(|to| set_up::lever_texts(&to, units))
        .unwrap_or_default();
    let begun = Texts::from([
        ("reason".to_owned(), why.reason.clone()),
        ("minutes".to_owned(), why.minutes.clone()),
    ]);
    Ok(Edit {
        desk,
        sled: StoredValue::new(sled),
        stands: StoredValue::new(stands),
        settings: RwSignal::new(settings),
        levers: RwSignal::new(levers),
        // A change that was chosen brings its own words.
        draft: Draft::open(
            desk,
            format!("change/{}/{}/{}", pair.0, pair.1, why.reason),
            begun,
        ),
        why: StoredValue::new(why),
    })
}

impl Edit {
    fn to(self) -> Result<SetUpForm, Wrong> {
        let (settings, levers) = (self.settings.get(), self.levers.get());
        self.sled.with_value(|sled| {
            self.stands
                .with_value(|stands| set_up::set_up(stands.as_ref(), sled, &settings, &levers))
        })
    }
}

fn form(edit: Edit, pair: (Id, Id)) -> AnyView {
    let desk = edit.desk;
    let first = edit.stands.with_value(Option::is_none);
    let differs = move || {
        let (Ok(to), Some(from)) = (edit.to(), edit.stands.get_value()) else {
            return Vec::new();
        };
        from.differences(&to, desk.system())
    };
    let expected = edit.why.with_value(|why| {
        let lines = why.expected.iter().map(words::expected);
        lines.map(|line| view! { <li>{line}</li> }).collect_view()
    });
    let computed = edit.why.with_value(|why| !why.expected.is_empty());
    let write = move |_| {
        let why = edit.why.get_value();
        let made = untrack(|| edit.to()).and_then(|to| {
            // What was computed holds for what was chosen, not for what was made of it.
            let chosen = desk
                .picked
                .get_untracked()
                .is_some_and(|p| p.to.differences(&to, desk.system()).is_empty());
            let expected = if chosen {
                why.expected.clone()
            } else {
                Vec::new()
            };
            let why = Why {
                reason: edit.draft.typed("reason"),
                minutes: edit.draft.typed("minutes"),
                expected,
                ..why
            };
            let stands = edit.stands.get_value();
            let what = set_up::change(stands.as_ref(), to, &why)?;
            let about = About::both(pair.0, pair.1);
            desk.write(
                "Written down. Now the work, and what to check after it.",
                |_, pen| Ok(vec![written(pen, about, what)?]),
            )
        });
        if edit.draft.settle(made).is_some() {
            desk.go(Screen::Work);
        }
    };
    let rows = Setting::ALL
        .into_iter()
        .map(|setting| row(edit, setting))
        .collect_view();
    view! {
        <div class="settings">{rows}</div>
        <Group title="Levers, as taped" note=Signal::derive(|| "leave them empty where nobody taped them".to_owned())>
            <div class="pair">{LEVERS.iter().map(|field| lever(edit, field)).collect_view()}</div>
        </Group>
        <div aria-live="polite">
            <p class="lead">{move || {
                let list = differs();
                match (first, list.is_empty()) {
                    (true, _) => "The first set-up that is written down of this rider on this sled.".to_owned(),
                    (false, true) => "Nothing differs yet from how it stands.".to_owned(),
                    (false, false) => list.join("; "),
                }
            }}</p>
        </div>
        {computed.then(|| view! { <h3>"What it should do, as computed"</h3> <ul>{expected}</ul> })}
        <div class="pair">
            {edit.draft.field("reason", if first { "Where it comes from" } else { "Why" }, Kind::Text, "")}
            {(!first).then(|| edit.draft.field("minutes", "Minutes that it takes", Kind::Number, "Optional."))}
        </div>
        {edit.draft.general()}
        <button type="button" class="big" on:click=write>
            {if first { "Write it down" } else { "Write this change down" }}
        </button>
    }
    .into_any()
}

fn row(edit: Edit, setting: Setting) -> AnyView {
    let units = edit.desk.store.units;
    let of = move |say: fn(Setting, &Settings, &Sled, crate::plan::Units) -> String| {
        move || {
            edit.sled
                .with_value(|sled| say(setting, &edit.settings.get(), sled, units.get()))
        }
    };
    let stepped = move |steps: i32| {
        let settings = edit.settings.get();
        let next = edit
            .sled
            .with_value(|sled| setting.stepped(settings, steps, sled));
        let choice = edit.sled.with_value(|sled| setting.has_choice(sled));
        (choice && next != settings).then_some(next)
    };
    let go = Callback::new(move |steps: i32| {
        if let Some(next) = untrack(|| stepped(steps)) {
            edit.settings.set(next);
        }
    });
    let can = Callback::new(move |steps: i32| stepped(steps).is_some());
    view! {
        <div class="setting">
            <span class="setting-name">{setting.label()}</span>
            <span class="setting-value">
                <strong>{of(Setting::value)}</strong> " " <span class="setting-note">{of(Setting::note)}</span>
            </span>
            <Stepper label=setting.label() words=setting.steps() can go />
        </div>
    }
    .into_any()
}

fn lever(edit: Edit, field: &'static LeverField) -> AnyView {
    let &(key, label, kind) = field;
    let units = edit.desk.store.units;
    let value = Signal::derive(move || {
        edit.levers.with(|l| {
            l.get(key)
                .map_or(String::new(), |e| e.shown(kind, None, units.get()))
        })
    });
    let error = edit.draft.error(key);
    let typed = move |text: String| {
        edit.levers
            .update(|l| drop(l.insert(key, Entry::new(text, units.get_untracked()))));
        edit.draft.wrong.update(|w| drop(w.remove(key)));
    };
    let id = format!("change-{}", key.replace('.', "-"));
    view! { <Field id label kind value error units on_input=Callback::new(typed) /> }.into_any()
}
