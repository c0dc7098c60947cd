//! What belongs to the device: its name, its last backup, its clock and its randomness, and the browser's promise to keep
//! the store.

use js_sys::futures::spawn_local;
use leptos::prelude::*;
use wasm_bindgen::JsValue;

use super::database::Database;
use super::{Keep, Trouble};
use crate::log::{self, BookError, Entry, EntryError};
use crate::page::book::offset;
use crate::page::print::save_text;

/// When the book was last handed out as a file, ms since 1970.
const BACKUP: &str = "backup";
/// What the device is called.
const DEVICE: &str = "device";

impl Keep {
    /// Hand the whole book out as a file, and note when.
    ///
    /// # Errors
    /// As [`Self::export`].
    pub fn back_up(self) -> Result<(), BookError> {
        let at_ms = now();
        let day = log::when::date(at_ms, offset());
        save_text(
            &self.export()?,
            "application/json",
            &format!("sledstance-book-{day}.json"),
        );
        self.backup.set(Some(at_ms));
        // Where this cannot be stored, the age shown after the next start is too great: the safe side.
        self.note(BACKUP, JsValue::from_f64(at_ms as f64));
        Ok(())
    }

    /// Call this device something else from now on.
    ///
    /// # Errors
    /// Where no entry may carry the name; then it is called as before.
    pub fn call_device(self, name: &str) -> Result<(), EntryError> {
        Entry::device_name(name)?;
        self.device.set(name.to_owned());
        self.note(DEVICE, JsValue::from_str(name));
        Ok(())
    }

    /// Read what is known of the device; give it its name where it has none yet.
    pub(super) async fn read_device(self, database: &Database) -> Result<(), Trouble> {
        let backup = database.meta(BACKUP).await?;
        if let Some(ms) = backup.as_f64() {
            // Written by `back_up`: whole and positive.
            self.backup.set(Some(ms as u64));
        }
        match database.meta(DEVICE).await?.as_string() {
            Some(name) => self.device.set(name),
            None => {
                let name = JsValue::from_str(&self.device.get_untracked());
                database.put_meta(DEVICE, &name).await?;
            }
        }
        let storage = window().navigator().storage();
        if let Ok(promise) = storage.persisted()
            && let Ok(answer) = promise.await
            && answer.is_truthy()
        {
            self.persisted.set(Some(true));
        }
        Ok(())
    }

    /// Store what is known of the device under a name.
    fn note(self, name: &'static str, value: JsValue) {
        let database = self.inner.with_value(|inner| inner.database.clone());
        if let Some(database) = database {
            spawn_local(async move {
                let _ = database.put_meta(name, &value).await;
            });
        }
    }

    /// At the first save the browser is asked not to clear the store when space runs short.
    pub(super) fn ask_to_persist(self) {
        let first = self
            .inner
            .try_update_value(|inner| !std::mem::replace(&mut inner.asked_to_persist, true));
        if first != Some(true) || self.persisted.get_untracked() == Some(true) {
            return;
        }
        spawn_local(async move {
            let answer = match window().navigator().storage().persist() {
                Ok(promise) => promise.await.is_ok_and(|answer| answer.is_truthy()),
                Err(_) => false,
            };
            self.persisted.set(Some(answer));
        });
    }
}

/// The clock, ms since 1970.
pub fn now() -> u64 {
    // A clock before 1970 is taken for one that was never set.
    js_sys::Date::now().max(0.0) as u64
}

/// Ten random bytes for an identifier.
pub fn random() -> [u8; 10] {
    let mut bytes = [0; 10];
    let filled = window()
        .crypto()
        .and_then(|crypto| crypto.get_random_values_with_u8_array(&mut bytes).map(drop));
    if filled.is_err() {
        // An identifier must differ from others', not be a secret.
        bytes = std::array::from_fn(|_| (js_sys::Math::random() * 256.0) as u8);
    }
    bytes
}
