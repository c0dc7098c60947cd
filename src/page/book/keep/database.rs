//! The book in the browser's database (Indexed Database API 3.0, W3C): one record for each entry.
//!
//! The store `entries` holds an entry's text, as [`Entry::text`] writes it, under its identifier and a hash of the text.
//! The hash stands there because an identifier with two contents is two records (a clash loses nothing), and because
//! putting what is there already changes nothing: saving again and in several tabs is set union, without a look first.
//! The store `meta` holds what belongs to the device. The database's version is the schema of the texts in it.
//!
//! A write is one transaction with strict durability: it is over, and said to be over, only with the `complete` event,
//! which the browser fires when the system has told it that the data is on the disk (section 2.7.1).

use js_sys::{Array, Function, Object, Promise, Reflect};
use leptos::prelude::window;
use wasm_bindgen::closure::Closure;
use wasm_bindgen::{JsCast, JsValue};
use web_sys::{
    DomException, IdbDatabase, IdbObjectStore, IdbRequest, IdbTransaction, IdbVersionChangeEvent,
};

use super::trouble::Trouble;
use crate::log::{self, Entry};

const NAME: &str = "sledstance-book";
const VERSION: u32 = log::SCHEMA;
const ENTRIES: &str = "entries";
const META: &str = "meta";

/// An open database. It is closed when the browser or a newer tab wants it to be.
#[derive(Clone)]
pub struct Database(IdbDatabase);

/// The record's key of an entry with this text.
fn key(entry: &Entry, text: &str) -> JsValue {
    format!("{} {:016x}", entry.id(), hash(text)).into()
}

/// FNV-1a with 64 bits (Noll, Vo, Eastlake, Hansen, RFC 9923, 2026). Two contents of one identifier are the only texts that it must tell
/// apart.
fn hash(text: &str) -> u64 {
    text.bytes().fold(0xcbf2_9ce4_8422_2325, |hash, byte| {
        (hash ^ u64::from(byte)).wrapping_mul(0x0000_0100_0000_01b3)
    })
}

impl Database {
    /// Open it, and make it where there is none. `blocked` is told when another tab holds an older version open, after
    /// which opening goes on by itself; `lost` when an open database can be used no longer.
    pub async fn open(
        blocked: impl FnOnce() + 'static,
        lost: impl Fn(Trouble) + 'static,
    ) -> Result<Self, Trouble> {
        let factory = window().indexed_db().ok().flatten();
        let factory = factory.ok_or(Trouble::Missing)?;
        let request = factory
            .open_with_u32(NAME, VERSION)
            .map_err(|e| Trouble::of(&e))?;
        request.set_onblocked(Some(Closure::once_into_js(blocked).unchecked_ref()));
        let asked = request.clone();
        let make = Closure::once_into_js(move |event: IdbVersionChangeEvent| {
            // Every version since the first has the same stores.
            if event.old_version() > 0.0 {
                return;
            }
            let made = asked.result().and_then(|made| {
                let made: IdbDatabase = made.unchecked_into();
                made.create_object_store(ENTRIES)?;
                made.create_object_store(META)
            });
            // What could not be made must not stay half made: without its stores the upgrade is taken back.
            if made.is_err()
                && let Some(upgrade) = asked.transaction()
            {
                let _ = upgrade.abort();
            }
        });
        request.set_onupgradeneeded(Some(make.unchecked_ref()));
        let request: &IdbRequest = &request;
        let opened = settled(|good, bad| {
            request.set_onsuccess(Some(good));
            request.set_onerror(Some(bad));
        });
        if !opened.await {
            return Err(because(request.error().ok().flatten()));
        }
        let result = request.result().map_err(|e| Trouble::of(&e))?;
        let database: IdbDatabase = result.unchecked_into();
        let lost = std::rc::Rc::new(lost);
        let (held, told) = (database.clone(), lost.clone());
        let wanted =
            Closure::<dyn Fn(IdbVersionChangeEvent)>::new(move |event: IdbVersionChangeEvent| {
                held.close();
                told(match event.new_version() {
                    Some(_) => Trouble::Taken,
                    None => Trouble::Gone,
                });
            });
        database.set_onversionchange(Some(wanted.into_js_value().unchecked_ref()));
        let closed = Closure::<dyn Fn()>::new(move || lost(Trouble::Gone));
        database.set_onclose(Some(closed.into_js_value().unchecked_ref()));
        Ok(Self(database))
    }

    /// Texts of all entries, in the order of their keys.
    pub async fn texts(&self) -> Result<Vec<String>, Trouble> {
        let all = self.all(ENTRIES).await?;
        Ok(all.iter().filter_map(JsValue::as_string).collect())
    }

    /// Texts of the entries with these keys; keys without a record are passed over.
    pub async fn texts_of(&self, keys: &Array) -> Result<Vec<String>, Trouble> {
        let each = |store: &IdbObjectStore| keys.iter().map(|key| store.get(&key)).collect();
        let found = self.read(ENTRIES, each).await?;
        Ok(found.iter().filter_map(JsValue::as_string).collect())
    }

    /// How many entries there are.
    pub async fn count(&self) -> Result<usize, Trouble> {
        let count = self.read(ENTRIES, |store| Ok(vec![store.count()?])).await?;
        // A count is a whole number that fits.
        Ok(count.first().and_then(JsValue::as_f64).unwrap_or(0.0) as usize)
    }

    /// What is known of the device under a name.
    pub async fn meta(&self, name: &str) -> Result<JsValue, Trouble> {
        let name = JsValue::from_str(name);
        let found = self.read(META, |store| Ok(vec![store.get(&name)?])).await?;
        Ok(found.into_iter().next().unwrap_or(JsValue::UNDEFINED))
    }

    /// Write entries: all of them or none. Their keys are the answer.
    pub async fn put(&self, entries: &[Entry]) -> Result<Array, Trouble> {
        let keys = Array::new();
        self.write(ENTRIES, |store| {
            entries.iter().try_for_each(|entry| {
                let text = entry.text();
                let key = key(entry, &text);
                store.put_with_key(&text.into(), &key)?;
                keys.push(&key);
                Ok(())
            })
        })
        .await?;
        Ok(keys)
    }

    /// All that is known of the device.
    pub async fn metas(&self) -> Result<Vec<JsValue>, Trouble> {
        self.all(META).await
    }

    async fn all(&self, store: &str) -> Result<Vec<JsValue>, Trouble> {
        let all = self.read(store, |store| Ok(vec![store.get_all()?])).await?;
        let all = all.into_iter().flat_map(|list| Array::from(&list).to_vec());
        Ok(all.collect())
    }

    /// Write what is known of the device under a name; undefined: nothing any longer.
    pub async fn put_meta(&self, name: &str, value: &JsValue) -> Result<(), Trouble> {
        self.write(META, |store| {
            let name = JsValue::from_str(name);
            if value.is_undefined() {
                store.delete(&name)?;
            } else {
                store.put_with_key(value, &name)?;
            }
            Ok(())
        })
        .await
    }

    async fn read(
        &self,
        store: &str,
        ask: impl FnOnce(&IdbObjectStore) -> Result<Vec<IdbRequest>, JsValue>,
    ) -> Result<Vec<JsValue>, Trouble> {
        let transaction = self.begin(store, "readonly").map_err(|e| Trouble::of(&e))?;
        let asked = transaction
            .object_store(store)
            .and_then(|store| ask(&store));
        let asked = asked.map_err(|e| Trouble::of(&e))?;
        finished(&transaction).await?;
        let results = asked
            .iter()
            .map(IdbRequest::result)
            .collect::<Result<_, _>>();
        results.map_err(|e| Trouble::of(&e))
    }

    async fn write(
        &self,
        store: &str,
        fill: impl FnOnce(&IdbObjectStore) -> Result<(), JsValue>,
    ) -> Result<(), Trouble> {
        let transaction = self
            .begin(store, "readwrite")
            .map_err(|e| Trouble::of(&e))?;
        let filled = transaction
            .object_store(store)
            .and_then(|store| fill(&store));
        if let Err(error) = filled {
            // Half a write is none.
            let _ = transaction.abort();
            return Err(Trouble::of(&error));
        }
        finished(&transaction).await
    }

    /// A transaction. Called by name: the library binds `durability` only where unstable interfaces are switched on for
    /// the whole build.
    fn begin(&self, store: &str, mode: &str) -> Result<IdbTransaction, JsValue> {
        let begin: Function = Reflect::get(&self.0, &"transaction".into())?.dyn_into()?;
        let options = Object::new();
        Reflect::set(&options, &"durability".into(), &"strict".into())?;
        let begun = begin.call3(&self.0, &store.into(), &mode.into(), &options)?;
        begun.dyn_into()
    }
}

async fn finished(transaction: &IdbTransaction) -> Result<(), Trouble> {
    let complete = settled(|good, bad| {
        transaction.set_oncomplete(Some(good));
        transaction.set_onabort(Some(bad));
    });
    if complete.await {
        Ok(())
    } else {
        Err(because(transaction.error()))
    }
}

/// Whether the good event came, of two of which one must come.
async fn settled(mut attach: impl FnMut(&Function, &Function)) -> bool {
    let promise = Promise::new(&mut |good: Function, bad: Function| attach(&good, &bad));
    promise.await.is_ok()
}

fn because(error: Option<DomException>) -> Trouble {
    match error {
        Some(error) => Trouble::of(&error),
        None => Trouble::Refused {
            because: "it gave no reason".to_owned(),
        },
    }
}
