//! Other entries: conditions, what else was changed, a logged session, a photo, a note; and the correction of any.

use js_sys::futures::spawn_local;
use leptos::prelude::*;

use super::change::Edit;
use super::desk::{Desk, Screen};
use super::fields::Draft;
use super::{offset, picture};
use crate::log::form::DeletedRecord;
use crate::log::{About, Id, What, words};
use crate::page::field::chosen_file;
use crate::plan::book::form::{COMPLAINT, Sheet, Texts, WHEN, Wrong, blamed};
use crate::plan::book::pen::Beside;

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
        {draft.left(Some(Screen::Now))}
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
    let edit = Edit::correct(desk, &entry);
    let (sheet, draft) = match (edit, Sheet::of(entry.what(), offset())) {
        (Some(edit), _) => (None, edit.draft()),
        (None, read) => {
            let (sheet, begun) = read.unzip();
            let mut begun = begun.unwrap_or_default();
            if let Some(ms) = entry.form().happened_ms {
                begun.insert(WHEN.to_owned(), super::desk::moment(ms));
            }
            let key = format!("correct/{}", entry.id());
            (sheet, Draft::open(desk, key, begun))
        }
    };
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
                    let former = entry.what();
                    Ok(vec![match (sheet, edit) {
                        (Some(sheet), _) => {
                            sheet.write(&texts, Some(former), offset(), beside, pen)?
                        }
                        (None, Some(edit)) => pen
                            .write(beside, edit.corrected(former)?)
                            .map_err(|e| blamed(&e))?,
                        (None, None) => return Ok(Vec::new()),
                    }])
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
        None => edit.map(Edit::fields).into_any(),
    };
    let fixed = sheet.is_none() && edit.is_none();
    // People and machines are retired, never deleted.
    let kept = entry.with_value(|e| matches!(e.what(), What::Rider(_) | What::Sled(_)));
    view! {
        <p><strong>{entry.with_value(|e| e.what().label())}": "</strong>{said}</p>
        {draft.left(Some(Screen::Entries))}
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
            <div class="along-row">
                <button type="button" class="quiet" on:click=delete>"Delete it"</button>
            </div>
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
