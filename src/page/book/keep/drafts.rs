//! What is typed into the book's forms and not written down yet, kept on the device so that it outlives the page.
//!
//! One record for each form beside what else belongs to the device. It is behind what is typed by a quarter of a second
//! (our choice) and a write. It goes only when what was written down is on the disk: what could not be saved is still
//! there to be typed on after the next start.

use std::collections::BTreeSet;
use std::time::Duration;

use js_sys::futures::spawn_local;
use leptos::prelude::*;
use wasm_bindgen::JsValue;

use super::database::Database;
use super::{Keep, Trouble};
use crate::document;
use crate::order::Map;
use crate::plan::book::form::Texts;

/// Before a form's name, the name of its record.
const RECORD: &str = "draft/";

/// Before the name of a form that stays in the page: of the demo, and of what is only looked for.
pub const FLEETING: &str = "fleeting/";

/// What is typed is written when it has rested this long, or goes on this long.
const REST: Duration = Duration::from_millis(250);

/// What is typed, by form.
#[derive(Default)]
pub(super) struct Drafts {
    all: Map<String, Texts>,
    /// Forms that were filled in before the page was loaded.
    before: BTreeSet<String>,
    /// Forms whose record is behind.
    behind: BTreeSet<String>,
    resting: bool,
    writing: bool,
}

impl Keep {
    /// What was typed into a form and not written down, and whether that was before the page was loaded.
    pub fn draft(self, form: &str) -> Option<(Texts, bool)> {
        self.inner.with_value(|inner| {
            let texts = inner.drafts.all.get(form)?;
            Some((texts.clone(), inner.drafts.before.contains(form)))
        })
    }

    /// Keep what is typed into a form; nothing forgets it.
    pub fn keep_draft(self, form: &str, texts: Option<Texts>) {
        let texts = texts.filter(|texts| texts.values().any(|text| !text.is_empty()));
        let rests = self.inner.try_update_value(|inner| {
            let drafts = &mut inner.drafts;
            if texts.is_none() {
                drafts.before.remove(form);
            }
            match texts {
                Some(texts) => drop(drafts.all.insert(form.to_owned(), texts)),
                None if drafts.all.remove(form).is_none() => return true,
                None => {}
            }
            if form.starts_with(FLEETING) {
                return true;
            }
            drafts.behind.insert(form.to_owned());
            std::mem::replace(&mut drafts.resting, true)
        });
        if rests == Some(false) {
            let write = move || {
                self.inner
                    .update_value(|inner| inner.drafts.resting = false);
                spawn_local(async move { self.write_drafts().await });
            };
            set_timeout(write, REST);
        }
    }

    /// Read what was typed before the page was loaded.
    pub(super) async fn read_drafts(self, database: &Database) -> Result<(), Trouble> {
        let records = database.metas().await?;
        let drafts = records.iter().filter_map(JsValue::as_string);
        let read = drafts.filter_map(|text| serde_json::from_str::<(String, Texts)>(&text).ok());
        self.inner.update_value(|inner| {
            for (form, texts) in read {
                // What is typed now goes before what was.
                if !inner.drafts.all.contains_key(&form) {
                    inner.drafts.before.insert(form.clone());
                    inner.drafts.all.insert(form, texts);
                }
            }
        });
        Ok(())
    }

    /// Bring the records up to what is typed. Where that fails, what is typed is in the page alone.
    pub(super) async fn write_drafts(self) {
        while let Some((database, form, record)) = self.next_draft() {
            let _ = database.put_meta(&format!("{RECORD}{form}"), &record).await;
            self.inner
                .update_value(|inner| inner.drafts.writing = false);
        }
    }

    fn next_draft(self) -> Option<(Database, String, JsValue)> {
        self.inner.try_update_value(|inner| {
            let unsaved = !inner.waiting.is_empty() || !inner.failed.is_empty();
            let drafts = &mut inner.drafts;
            let database = inner.database.clone().filter(|_| !drafts.writing)?;
            let due = |form: &&String| !unsaved || drafts.all.contains_key(*form);
            let form = drafts.behind.iter().find(due)?.clone();
            drafts.behind.remove(&form);
            drafts.writing = true;
            let texts = drafts.all.get(&form).map(|texts| (&form, texts));
            let text = texts.and_then(|draft| document::line(&draft).ok());
            let record = text.map_or(JsValue::UNDEFINED, JsValue::from);
            Some((database, form, record))
        })?
    }
}
