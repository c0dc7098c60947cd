//! A change: settings step by step from how they stand, why, and what it should do; and the correction of a set-up that
//! was written down wrong.

use leptos::prelude::*;

use super::desk::{Desk, Screen, sentence};
use super::fields::Draft;
use crate::document;
use crate::log::{self, About, Id, Reading, SetUpForm, Unrecorded, What, words};
use crate::order::Map;
use crate::page::field::{Field, Group, Stepper};
use crate::plan::book::begin::written;
use crate::plan::book::form::{Texts, Wrong};
use crate::plan::book::set_up::{self, LEVERS, LeverField, LeverTexts, Picked, Why};
use crate::plan::setting::middle;
use crate::plan::{Entry, Kind, Setting};
use crate::sled::{Settings, Sled};

/// Kept beside what is typed: the change that was chosen, how the settings were stepped, the levers.
const PICKED: &str = "picked";
const STEPPED: &str = "stepped";
const TAPED: &str = "taped";
/// The answer that a change began where the set-up before it ended.
const JOINED: &str = "joined";

/// What the form works on.
#[derive(Clone, Copy)]
pub struct Edit {
    desk: Desk,
    /// The sled; none where the set-up cannot be made on it as recorded now, and why.
    sled: StoredValue<Result<Sled, String>>,
    /// Which one.
    onto: StoredValue<Option<Id>>,
    /// Whence it is changed; a base set-up from nowhere.
    from: StoredValue<Option<SetUpForm>>,
    /// How the set-up before ended, where that is not whence.
    before: StoredValue<Option<SetUpForm>>,
    /// What it begins with, and why.
    chosen: StoredValue<Picked>,
    settings: RwSignal<Option<Settings>>,
    levers: RwSignal<LeverTexts>,
    draft: Draft,
    /// Whether it puts an entry right.
    correcting: bool,
}

/// The part.
pub fn change(desk: Desk, pair: (Id, Id)) -> AnyView {
    match begin(desk, pair) {
        Ok(edit) => form(edit, pair),
        Err(because) => view! { <p class="error" role="alert">{because}</p> }.into_any(),
    }
}

fn key(pair: (Id, Id)) -> String {
    format!("change/{}/{}", pair.0, pair.1)
}

/// Open the form with a change that was chosen.
pub fn pick(desk: Desk, pair: (Id, Id), picked: &Picked) {
    let kept = document::line(picked).unwrap_or_default();
    let texts = [
        ("reason", picked.why.reason.clone()),
        ("minutes", picked.why.minutes.clone()),
        (PICKED, kept),
    ];
    let texts = texts.map(|(key, text)| (key.to_owned(), text));
    Draft::fill(desk, key(pair), Texts::from(texts));
    desk.go(Screen::Change);
}

fn begin(desk: Desk, pair: (Id, Id)) -> Result<Edit, String> {
    let (sled, stands) = untrack(|| {
        desk.read(|reading| {
            let stands = reading.set_up(pair.0, pair.1, None).cloned();
            Ok::<_, String>((machine(reading, pair.1)?, stands))
        })
    })?;
    let draft = Draft::open(desk, key(pair), Texts::new());
    let picked = draft.value::<Picked>(PICKED);
    let to = match (&picked, &stands) {
        (Some(picked), _) => picked.to.clone(),
        (None, Some(stands)) => stands.clone(),
        (None, None) => SetUpForm::of(&sled, &middle(&sled), None),
    };
    let why = picked.map(|p| p.why).unwrap_or_default();
    let onto = Some(pair.1);
    let edit = Edit::of(draft, desk, onto, Ok(sled), stands, Picked { to, why });
    match edit.sled.get_value() {
        Ok(_) => Ok(edit),
        Err(because) => Err(format!(
            "{because} Record the part under “Riders and sleds” first."
        )),
    }
}

fn machine(reading: &Reading, sled: Id) -> Result<Sled, String> {
    let state = reading.sled(sled).ok_or(Unrecorded::Sled);
    let sled = state.map_err(sentence)?.at_hand.resolve();
    sled.map_err(|e| format!("The sled cannot be used as recorded: {e}."))
}

impl Edit {
    fn of(
        draft: Draft,
        desk: Desk,
        onto: Option<Id>,
        sled: Result<Sled, String>,
        from: Option<SetUpForm>,
        chosen: Picked,
    ) -> Self {
        let begun: SetUpForm = draft.value(STEPPED).unwrap_or_else(|| chosen.to.clone());
        let settings = sled.and_then(|sled| {
            let settings = begun.on(&sled).or_else(|_| chosen.to.on(&sled));
            let settings = settings.map_err(|error| {
                format!("How it stands cannot be made on the sled as recorded now: {error}.")
            })?;
            Ok((sled, settings))
        });
        let (sled, settings) = match settings {
            Ok((sled, settings)) => (Ok(sled), Some(settings)),
            Err(because) => (Err(because), None),
        };
        let taped: Option<Map<String, Entry>> = draft.value(TAPED);
        let levers = match taped {
            Some(taped) => LEVERS
                .iter()
                .filter_map(|(key, ..)| Some((*key, taped.get(*key)?.clone())))
                .collect(),
            None => set_up::lever_texts(&chosen.to, untrack(|| desk.units())),
        };
        Self {
            desk,
            sled: StoredValue::new(sled),
            from: StoredValue::new(from),
            before: StoredValue::new(None),
            chosen: StoredValue::new(chosen),
            settings: RwSignal::new(settings),
            levers: RwSignal::new(levers),
            draft,
            onto: StoredValue::new(onto),
            correcting: false,
        }
    }

    /// The correction of an entry that made a set-up; `None` where it made none. Its words begin the form.
    pub fn correct(desk: Desk, entry: &log::Entry) -> Option<Self> {
        let chosen = Picked::of(entry.what())?;
        let begun = Texts::from([
            ("reason".to_owned(), chosen.why.reason.clone()),
            ("minutes".to_owned(), chosen.why.minutes.clone()),
        ]);
        let draft = Draft::open(desk, format!("correct/{}", entry.id()), begun);
        let onto = entry.about().sled;
        let (sled, before) = untrack(|| {
            desk.read(|reading| {
                let sled = onto.ok_or_else(|| sentence(Unrecorded::Sled));
                let strand = reading.strand_of(entry.id());
                let apart = strand.filter(|s| !reading.gap(s, desk.system()).is_empty());
                let before = apart.and_then(|s| reading.before(s)).cloned();
                (sled.and_then(|sled| machine(reading, sled)), before)
            })
        });
        let from = match entry.what() {
            What::Change(record) => Some(record.from.clone()),
            _ => None,
        };
        Some(Self {
            before: StoredValue::new(before),
            correcting: true,
            ..Self::of(draft, desk, onto, sled, from, chosen)
        })
    }

    /// What is typed.
    pub fn draft(self) -> Draft {
        self.draft
    }

    /// The entry put right.
    ///
    /// # Errors
    /// What is wrong, by field.
    pub fn corrected(self, former: &What) -> Result<What, Wrong> {
        let to = untrack(|| self.to())?;
        let why = self.why(&to);
        set_up::corrected(former, untrack(|| self.begins()).as_ref(), to, &why)
    }

    fn to(self) -> Result<SetUpForm, Wrong> {
        let (settings, levers) = (self.settings.get(), self.levers.get());
        let chosen = self.chosen.with_value(|c| c.to.clone());
        self.sled.with_value(|sled| match (sled, settings) {
            (Ok(sled), Some(settings)) => set_up::set_up(Some(&chosen), sled, &settings, &levers),
            _ => Ok(chosen),
        })
    }

    fn why(self, to: &SetUpForm) -> Why {
        let (reason, minutes) = (self.draft.typed("reason"), self.draft.typed("minutes"));
        self.chosen.with_value(|c| c.why(to, reason, minutes))
    }

    /// Whence it is changed, as recorded or as answered.
    fn begins(self) -> Option<SetUpForm> {
        let joined = self.draft.text(JOINED).get() == "yes";
        let before = self.before.get_value().filter(|_| joined);
        before.or_else(|| self.from.get_value())
    }
}

fn form(edit: Edit, pair: (Id, Id)) -> AnyView {
    let (desk, draft) = (edit.desk, edit.draft);
    let first = edit.from.with_value(Option::is_none);
    let write = move |_| {
        let made = untrack(|| edit.to()).and_then(|to| {
            let why = edit.why(&to);
            let what = set_up::change(edit.from.get_value().as_ref(), to, &why)?;
            let about = About::both(pair.0, pair.1);
            desk.write(
                "Written down. Now the work, and what to check after it.",
                |_, pen| Ok(vec![written(pen, about, what)?]),
            )
        });
        if draft.settle(made).is_some() {
            desk.go(Screen::Work);
        }
    };
    view! {
        {draft.left(Some(Screen::Now))}
        {edit.fields()}
        {draft.general()}
        <button type="button" class="big" on:click=write>
            {if first { "Write it down" } else { "Write this change down" }}
        </button>
    }
    .into_any()
}

/// What of a set-up comes from the team's shelf, in a line.
pub fn shelved(desk: Desk, sled: Id, to: &SetUpForm) -> Option<AnyView> {
    let parts = desk.read(|r| r.off_shelf(sled, to, desk.system()));
    let words = parts.join(", ");
    (!words.is_empty())
        .then(|| view! { <p class="how">"On the shelf: " {words} "."</p> }.into_any())
}

impl Edit {
    /// Settings, levers, what differs, and why.
    pub fn fields(self) -> AnyView {
        let (desk, draft) = (self.desk, self.draft);
        let first = self.from.with_value(Option::is_none);
        let lead = move || {
            let from = match (self.begins(), self.correcting) {
                (None, false) => {
                    return "The first set-up that is written down of this rider on this sled."
                        .to_owned();
                }
                (None, true) => self.chosen.with_value(|c| c.to.clone()),
                (Some(from), _) => from,
            };
            let to = self.to();
            let list = to.map_or_else(|_| Vec::new(), |to| from.differences(&to, desk.system()));
            match (list.is_empty(), first) {
                (false, _) => list.join("; "),
                (true, false) => "Nothing differs yet from how it stands.".to_owned(),
                (true, true) => "Settings and levers as they were written down.".to_owned(),
            }
        };
        let off_shelf = move || {
            let (sled, to) = (self.onto.get_value()?, self.to().ok()?);
            shelved(desk, sled, &to)
        };
        let expected = self.chosen.with_value(|c| {
            let lines = c.why.expected.iter().map(words::expected);
            let lines: Vec<_> = lines.map(|line| view! { <li>{line}</li> }).collect();
            (!lines.is_empty())
                .then(|| view! { <h3>"What it should do, as computed"</h3> <ul>{lines}</ul> })
        });
        let settings = match self.sled.get_value() {
            Ok(_) => {
                let rows = Setting::ALL.into_iter().map(|setting| row(self, setting));
                view! {
                    <div class="settings">{rows.collect_view()}</div>
                    <Group title="Levers, as taped" note=Signal::derive(|| "leave them empty where nobody taped them".to_owned())>
                        <div class="pair">{LEVERS.iter().map(|field| lever(self, field)).collect_view()}</div>
                    </Group>
                }
                .into_any()
            }
            Err(because) => {
                view! { <p class="how">{because} " Its words can still be put right."</p> }
                    .into_any()
            }
        };
        view! {
            {settings}
            {self.joining()}
            <div aria-live="polite"><p class="lead">{lead}</p> {off_shelf}</div>
            {expected}
            <div class="pair">
                {draft.field("reason", if first { "Where it comes from" } else { "Why" }, Kind::Text, "")}
                {(!first).then(|| draft.field("minutes", "Minutes that it takes", Kind::Number, "Optional."))}
            </div>
        }
        .into_any()
    }

    /// Where a change does not begin as the set-up before it ended, that, and the choice to let it.
    fn joining(self) -> Option<AnyView> {
        let before = self.before.get_value()?;
        let from = self.from.get_value()?;
        let gap = words::gap(&before.differences(&from, untrack(|| self.desk.system())))?;
        let draft = self.draft;
        let answer = move |event| {
            let yes = if event_target_checked(&event) {
                "yes"
            } else {
                ""
            };
            draft.put(JOINED, yes.to_owned());
        };
        let joined = draft.text(JOINED);
        Some(
            view! {
                <p class="error">{gap} "."</p>
                <label class="check">
                    <input type="checkbox" prop:checked=move || joined.get() == "yes" on:change=answer />
                    "it did begin as the set-up before it ended: put that right too"
                </label>
            }
            .into_any(),
        )
    }
}

fn row(edit: Edit, setting: Setting) -> AnyView {
    let units = edit.desk.store.units;
    let of = move |say: fn(Setting, &Settings, &Sled, crate::plan::Units) -> String| {
        move || {
            edit.sled.with_value(|sled| {
                let (sled, settings) = (sled.as_ref().ok()?, edit.settings.get()?);
                Some(say(setting, &settings, sled, units.get()))
            })
        }
    };
    let stepped = move |steps: i32| {
        let settings = edit.settings.get()?;
        edit.sled.with_value(|sled| {
            let sled = sled.as_ref().ok()?;
            let next = setting.stepped(settings, steps, sled);
            (setting.has_choice(sled) && next != settings).then_some(next)
        })
    };
    let go = Callback::new(move |steps: i32| {
        let Some(next) = untrack(|| stepped(steps)) else {
            return;
        };
        edit.settings.set(Some(next));
        edit.sled.with_value(|sled| {
            if let Ok(sled) = sled {
                edit.draft
                    .put_value(STEPPED, &SetUpForm::of(sled, &next, None));
            }
        });
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
        edit.levers
            .with_untracked(|levers| edit.draft.put_value(TAPED, levers));
    };
    let id = format!("change-{}", key.replace('.', "-"));
    view! { <Field id label kind value error units on_input=Callback::new(typed) /> }.into_any()
}
