//! Other entries: conditions, what else was changed, a logged session, a photo, a note; and the correction of any.

use js_sys::futures::spawn_local;
use leptos::prelude::*;

use super::desk::{Desk, Screen};
use super::fields::Draft;
use super::{offset, picture};
use crate::log::form::{ChangeRecord, DeletedRecord, SetUpRecord};
use crate::log::{About, Entry, Id, What, words};
use crate::page::field::chosen_file;
use crate::plan::book::form::{COMPLAINT, Sheet, Texts, WHEN, Wrong, blamed, filled};
use crate::plan::book::pen::Beside;
use crate::plan::{Kind, Units};

/// Whom an entry of a kind is about: a day's weather is everybody's.
fn about(sheet: Sheet, pair: (Id, Id)) -> About {
    match sheet {
        Sheet::Conditions => About::default(),
        _ => About::both(pair.0, pair.1),
    }
}

/// The part: a new entry.
pub fn write(desk: Desk, pair: (Id, Id), sheet: Sheet) -> AnyView {
    // What is typed about one rider is not written down of another.
    let key = match about(sheet, pair) {
        About {
            rider: Some(rider),
            sled: Some(sled),
        } => format!("write/{}/{rider}/{sled}", sheet.key()),
        _ => format!("write/{}", sheet.key()),
    };
    let draft = Draft::open(desk, key, Texts::new());
    let kinds = Sheet::OTHERS.iter().map(|&kind| {
        let here = (kind == sheet).then_some("true");
        view! {
            <button type="button" aria-current=here on:click=move |_| desk.go(Screen::Write(kind))>{kind.label()}</button>
        }
    });
    let put = move |_| {
        let texts = draft.texts.get_untracked();
        let beside = Beside::from(about(sheet, pair));
        let says = format!("Written down: {}.", sheet.label().to_lowercase());
        let made = desk.write(&says, |_, pen| {
            Ok(vec![sheet.write(&texts, None, offset(), beside, pen)?])
        });
        if draft.settle(made).is_some() {
            desk.go(Screen::Now);
        }
    };
    let how = match sheet {
        Sheet::Conditions => "They count for everybody who rode within half a day of them.",
        Sheet::AlsoChanged => "It belongs to the next time that the rider says what was felt.",
        Sheet::Session => "The file itself stays where you keep it.",
        Sheet::Photo => {
            "By its name, the picture itself staying where you keep it; a small copy can go into the book."
        }
        _ => "Anything worth a line.",
    };
    view! {
        <div class="along-row kinds" role="group" aria-label="What to write down">{kinds.collect_view()}</div>
        <p class="how">{how}</p>
        {(sheet == Sheet::Session).then(|| chooser(draft))}
        {(sheet == Sheet::Photo).then(|| picture::chooser(draft))}
        {draft.fields(sheet)}
        {draft.when()}
        {draft.general()}
        <button type="button" class="big" on:click=put>"Write it down"</button>
    }
    .into_any()
}

/// SHA-256 of a file in hexadecimal; `None` where the browser cannot.
async fn checksum(file: &web_sys::File) -> Option<String> {
    let bytes = file.array_buffer().await.ok()?;
    let subtle = window().crypto().ok()?.subtle();
    let bytes = js_sys::Object::from(bytes);
    let digest = subtle
        .digest_with_str_and_buffer_source("SHA-256", &bytes)
        .ok()?
        .await
        .ok()?;
    let sum = js_sys::Uint8Array::new(&digest).to_vec();
    Some(sum.iter().map(|byte| format!("{byte:02x}")).collect())
}

/// Choosing a logged file: its name, its checksum.
fn chooser(draft: Draft) -> AnyView {
    let pick = move |event: leptos::ev::Event| {
        let Some(file) = chosen_file(&event) else {
            return;
        };
        draft.put("file_name", file.name());
        draft.put("sha256", String::new());
        spawn_local(async move {
            match checksum(&file).await {
                Some(sum) => draft.put("sha256", sum),
                None => {
                    let words = "This browser could not work it out: the file is too large for it or cannot be read. Give it by hand.";
                    draft
                        .wrong
                        .update(|w| drop(w.insert("sha256".to_owned(), words.to_owned())));
                }
            }
        });
    };
    view! {
        <span class="file">
            <label for="session-file">"Choose the logged file"</label>
            <input id="session-file" type="file" on:change=pick />
        </span>
    }
    .into_any()
}

/// The part: an entry that is put right. The former stays in the book, superseded.
pub fn correct(desk: Desk, id: Id) -> AnyView {
    let entry =
        untrack(|| desk.read(|reading| reading.strand_of(id).and_then(|s| s.shown.clone())));
    let Some(entry) = entry else {
        return view! { <p class="error" role="alert">"This entry is not in this book, or was deleted."</p> }.into_any();
    };
    let said = words::line(&entry, untrack(|| desk.system()));
    let (sheet, mut begun) = match Sheet::of(entry.what(), offset()) {
        Some((sheet, texts)) => (Some(sheet), texts),
        None => (None, own_texts(entry.what())),
    };
    if let Some(ms) = entry.form().happened_ms {
        begun.insert(WHEN.to_owned(), super::desk::moment(ms));
    }
    let draft = Draft::open(desk, format!("correct/{}", entry.id()), begun);
    let entry = StoredValue::new(entry);
    let put = move |_| {
        let texts = draft.texts.get_untracked();
        let made = entry.with_value(|entry| {
            desk.write(
                "Corrected. What stood there before stays in the book.",
                |_, pen| {
                    let beside = Beside {
                        about: entry.about(),
                        happened_ms: entry.form().happened_ms,
                        supersedes: Some(entry.id()),
                    };
                    let entry = match sheet {
                        Some(sheet) => {
                            sheet.write(&texts, Some(entry.what()), offset(), beside, pen)?
                        }
                        None => pen
                            .write(beside, own(entry.what(), &texts))
                            .map_err(|e| blamed(&e))?,
                    };
                    Ok(vec![entry])
                },
            )
        });
        finish(desk, draft, made);
    };
    let why = RwSignal::new(String::new());
    let delete = move |_| {
        let made = entry.with_value(|entry| {
            let words = why.get_untracked();
            let why = (!words.trim().is_empty()).then(|| words.trim().to_owned());
            desk.write(
                "Deleted: it counts no longer. It stays in the book and can be brought back.",
                |_, pen| {
                    let beside = Beside {
                        about: entry.about(),
                        happened_ms: None,
                        supersedes: Some(entry.id()),
                    };
                    let deleted = What::Deleted(DeletedRecord { why });
                    Ok(vec![pen.write(beside, deleted).map_err(|e| blamed(&e))?])
                },
            )
        });
        finish(desk, draft, made);
    };
    let fields = match sheet {
        Some(Sheet::Felt) => view! { {strengths(draft)} {draft.fields(Sheet::Felt)} }.into_any(),
        Some(sheet) => draft.fields(sheet),
        None => entry.with_value(|entry| own_fields(draft, entry)),
    };
    let fixed = sheet.is_none() && entry.with_value(|e| own_texts(e.what()).is_empty());
    // People and machines are retired, never deleted.
    let kept = entry.with_value(|e| matches!(e.what(), What::Rider(_) | What::Sled(_)));
    view! {
        <p><strong>{entry.with_value(|e| e.what().label())}": "</strong>{said}</p>
        {fields}
        {sheet.is_some().then(|| draft.when())}
        {draft.general()}
        {(!fixed).then(|| view! { <button type="button" class="big" on:click=put>"Put it right"</button> })}
        {kept.then(|| view! {
            <p class="how">"Riders and sleds are renamed and retired under “Riders and sleds”; they are never deleted."</p>
        })}
        {(!kept).then(|| view! {
            <h3>"Or delete it"</h3>
            <div class="field">
                <label for="delete-why">"Why"</label>
                <input id="delete-why" type="text" autocomplete="off" prop:value=move || why.get() on:input=move |event| why.set(event_target_value(&event)) />
            </div>
            <button type="button" class="quiet" on:click=delete>"Delete it"</button>
        })}
    }
    .into_any()
}

fn finish(desk: Desk, draft: Draft, made: Result<Option<Id>, Wrong>) {
    if draft.settle(made).is_some() {
        desk.go(Screen::Entries);
    }
}

/// Complaints of an entry with their strength; 0 takes one away.
fn strengths(draft: Draft) -> AnyView {
    let keys = draft.texts.with_untracked(|t| {
        t.keys()
            .filter(|k| k.starts_with(COMPLAINT))
            .cloned()
            .collect::<Vec<_>>()
    });
    let rows = keys.into_iter().map(|key| {
        let name = words::said(key.trim_start_matches(COMPLAINT));
        let id = format!("strength-{}", name.replace(' ', "-"));
        let options = [("", "not felt"), ("1", "a little"), ("2", "clearly"), ("3", "badly")];
        let now = draft.texts.with_untracked(|t| t.get(&key).cloned()).unwrap_or_default();
        let options = options.map(|(value, says)| view! { <option value=value selected=now == value>{says}</option> });
        view! {
            <div class="field">
                <label for=id.clone()>{name}</label>
                <select id=id on:change=move |event| draft.put(&key, event_target_value(&event))>{options}</select>
            </div>
        }
    });
    view! { <div class="pair">{rows.collect_view()}</div> }.into_any()
}

/// What of a set-up's entry can be put right in words: its settings are what stood, and a wrong one is deleted and written
/// anew.
fn own_texts(what: &What) -> Texts {
    let mut texts = Texts::new();
    match what {
        What::Change(record) => {
            texts.insert("reason".to_owned(), record.reason.clone());
            let minutes = record.minutes.map(|m| m.to_string());
            texts.insert("minutes".to_owned(), minutes.unwrap_or_default());
        }
        What::BaseSetUp(record) => {
            texts.insert("note".to_owned(), record.note.clone().unwrap_or_default());
        }
        _ => {}
    }
    texts
}

fn own_fields(draft: Draft, entry: &Entry) -> AnyView {
    match entry.what() {
        What::Change(_) => view! {
            <div class="pair">
                {draft.field("reason", "Why", Kind::Text, "")}
                {draft.field("minutes", "Minutes that it took", Kind::Number, "Optional.")}
            </div>
        }
        .into_any(),
        What::BaseSetUp(_) => draft.field("note", "Where it comes from", Kind::Text, ""),
        _ => ().into_any(),
    }
}

fn own(what: &What, texts: &Texts) -> What {
    let text = |key: &str| filled(texts, key);
    match what {
        What::Change(record) => What::Change(Box::new(ChangeRecord {
            reason: text("reason").unwrap_or_default(),
            minutes: text("minutes").map(|t| {
                // What is no number is refused by the book's gate, as is one that is not finite.
                Kind::Number
                    .number(&t, None, Units::Metric)
                    .unwrap_or(f64::NAN)
            }),
            ..ChangeRecord::clone(record)
        })),
        What::BaseSetUp(record) => What::BaseSetUp(SetUpRecord {
            note: text("note"),
            ..record.clone()
        }),
        other => other.clone(),
    }
}
