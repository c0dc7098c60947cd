//! Keeping the book: what is on this device's disk, what is on its way there, and what the other tabs wrote.
//!
//! [`Keep::book`] is everything: stored entries and those that are being stored. A save is one transaction of its own, in
//! the order of the saves, and counts as saved only when the database says that it is on the disk. What could not be
//! saved stays in the book and is tried again or copied out when a person asks for it. Tabs tell one another the keys
//! that they have written and read them from the database: set union, as everywhere with the book.

mod database;
mod device;
mod drafts;
mod tabs;
mod trouble;
mod trouble_view;
mod view;

use std::collections::{BTreeSet, VecDeque};
use std::sync::Arc;

use js_sys::Array;
use js_sys::futures::spawn_local;
use leptos::prelude::*;
use web_sys::BroadcastChannel;

use self::database::Database;
pub use self::device::{now, random};
use self::drafts::Drafts;
pub use self::drafts::FLEETING;
pub use self::trouble::Trouble;
pub use self::trouble_view::NotKept;
pub use self::view::Kept;
use crate::log::{self, About, Book, BookError, Entry, EntryForm, Id, Merged, Part, What};
use crate::order;

/// How far keeping is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum KeepState {
    /// The database is being opened and read.
    Opening,
    /// All that is known is stored; nothing was saved since.
    Ready,
    /// So many entries are on their way to the disk.
    Saving(usize),
    /// All is stored; the last of it at this time, ms since 1970.
    Saved(u64),
    /// Something is not stored, or nothing can be.
    Failed(Trouble),
}

/// What was saved last.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Saved {
    /// When the disk had it, ms since 1970.
    pub at_ms: u64,
    /// Its entries.
    pub ids: Vec<Id>,
}

/// The book of this device. One is made when the book's place is first shown; copies are handles on it.
#[derive(Clone, Copy)]
pub struct Keep {
    /// All that is stored and all that is being stored.
    pub book: RwSignal<Arc<Book>>,
    /// How far keeping is.
    pub state: RwSignal<KeepState>,
    /// Entries of the book that are not on the disk.
    pub unsaved: RwSignal<BTreeSet<Id>>,
    /// What was saved last by this page.
    pub saved: RwSignal<Option<Saved>>,
    /// When the book was last handed out as a file, ms since 1970.
    pub backup: RwSignal<Option<u64>>,
    /// Whether the browser promised not to clear the store by itself; none before it answered.
    pub persisted: RwSignal<Option<bool>>,
    /// What this device is called in the entries that it writes.
    pub device: RwSignal<String>,
    /// What else there is to say: another tab is in the way, records cannot be read.
    pub notice: RwSignal<Option<String>>,
    /// Records of the store that are no entries, as they stand.
    pub unread: RwSignal<Vec<String>>,
    inner: StoredValue<Inner, LocalStorage>,
}

/// What no view follows.
#[derive(Default)]
struct Inner {
    database: Option<Database>,
    channel: Option<BroadcastChannel>,
    /// Saves in their order; the first is being written while `writing`.
    waiting: VecDeque<Vec<Entry>>,
    writing: bool,
    /// Saves that failed.
    failed: Vec<Vec<Entry>>,
    trouble: Option<Trouble>,
    /// The identifier made last.
    last: Option<Id>,
    /// Keys that other tabs have written while the database was being opened.
    heard: Vec<Array>,
    asked_to_persist: bool,
    drafts: Drafts,
}

impl Keep {
    /// Open the book that this browser keeps.
    pub fn open() -> Self {
        let keep = Self {
            book: RwSignal::default(),
            state: RwSignal::new(KeepState::Opening),
            unsaved: RwSignal::default(),
            saved: RwSignal::new(None),
            backup: RwSignal::new(None),
            persisted: RwSignal::new(None),
            device: RwSignal::new(format!("device {:02x}{:02x}", random()[0], random()[1])),
            notice: RwSignal::new(None),
            unread: RwSignal::default(),
            inner: StoredValue::new_local(Inner::default()),
        };
        keep.listen();
        let shown = window_event_listener(leptos::ev::visibilitychange, move |_| {
            if !document().hidden() {
                spawn_local(async move { keep.look().await });
            }
        });
        // What is not on the disk goes with the page: the browser asks before it closes.
        let leaving = window_event_listener(leptos::ev::beforeunload, move |event| {
            if !keep.unsaved.with_untracked(BTreeSet::is_empty) {
                event.prevent_default();
            }
        });
        on_cleanup(move || {
            shown.remove();
            leaving.remove();
        });
        spawn_local(async move { keep.begin().await });
        keep
    }

    /// A form for an entry of this device, now, with an identifier greater than every one that is known here. What it
    /// supersedes, when it happened, and a new rider's or sled's own identifier are the caller's to put in.
    pub fn form(self, about: About, what: What) -> EntryForm {
        let at_ms = now();
        let last = self.inner.with_value(|inner| inner.last);
        let id = self
            .book
            .with_untracked(|book| book.next_id(at_ms, random(), last));
        self.inner.update_value(|inner| inner.last = Some(id));
        EntryForm {
            id,
            at_ms,
            device: self.device.get_untracked(),
            happened_ms: None,
            supersedes: None,
            about,
            what,
        }
    }

    /// Put entries into the book and store them: all of them or none. They are shown at once; `state` and `unsaved` say
    /// when they are on the disk.
    pub fn save(self, entries: Vec<Entry>) {
        if entries.is_empty() {
            return;
        }
        self.inner
            .update_value(|inner| inner.waiting.push_back(entries.clone()));
        // In this order: the disk is asked before the views follow, which may take them a while.
        spawn_local(async move { self.write().await });
        self.put_in(&entries);
        self.tell();
        self.ask_to_persist();
    }

    /// Put a book's file in, by set union, and store what is new in it.
    ///
    /// # Errors
    /// Where the file is broken anywhere; then nothing changes.
    pub fn merge_text(self, text: &str) -> Result<Merged, BookError> {
        let read = Book::read(text)?;
        let (mut merged, new) = self.book.with_untracked(|book| {
            let lacks = |e: &&Entry| !book.contents(e.id()).contains(*e);
            let new: Vec<Entry> = read.entries().filter(lacks).cloned().collect();
            let merged = Merged {
                new: new.len(),
                known: read.len() - new.len(),
                clashes: Vec::new(),
            };
            (merged, new)
        });
        self.save(new);
        let clashes = |book: &Arc<Book>| {
            book.clashes()
                .filter(|id| read.get(*id).is_some())
                .collect()
        };
        merged.clashes = self.book.with_untracked(clashes);
        Ok(merged)
    }

    /// The whole book as a file's text.
    ///
    /// # Errors
    /// As [`Book::write`].
    pub fn export(self) -> Result<String, BookError> {
        self.book
            .with_untracked(|book| book.write(Part::Whole, None))
    }

    /// What is not stored, as the text of a book's file; it can be taken in again, here or elsewhere.
    ///
    /// # Errors
    /// As [`Book::write`].
    pub fn export_unsaved(self) -> Result<String, BookError> {
        let unsaved = self.unsaved.get_untracked();
        let part = self
            .book
            .with_untracked(|book| book.part(|id| unsaved.contains(&id)));
        part.write(Part::Whole, None)
    }

    /// Save again what could not be saved.
    pub fn try_again(self) {
        self.inner.update_value(|inner| {
            inner.trouble = None;
            inner.waiting.extend(std::mem::take(&mut inner.failed));
        });
        if self.inner.with_value(|inner| inner.database.is_some()) {
            self.tell();
            spawn_local(async move { self.write().await });
        } else {
            self.state.set(KeepState::Opening);
            spawn_local(async move { self.begin().await });
        }
    }

    /// Open the database, read it, and store what has waited for it.
    async fn begin(self) {
        let blocked = move || {
            self.notice.set(Some(
                "Another tab with an older version of this page holds the book’s store. Close that tab, or load it again: \
                 opening goes on by itself."
                    .to_owned(),
            ));
        };
        let opened = Database::open(blocked, move |trouble| self.lost(trouble)).await;
        self.notice.set(None);
        let read = match opened {
            Ok(database) => self.read_all(&database).await.map(|()| database),
            Err(trouble) => Err(trouble),
        };
        match read {
            Ok(database) => self
                .inner
                .update_value(|inner| inner.database = Some(database)),
            Err(trouble) => self.fail(trouble),
        }
        let heard = self
            .inner
            .try_update_value(|inner| std::mem::take(&mut inner.heard));
        for keys in heard.into_iter().flatten() {
            self.hear(keys).await;
        }
        self.tell();
        self.write().await;
    }

    async fn read_all(self, database: &Database) -> Result<(), Trouble> {
        self.take_in(&database.texts().await?);
        self.read_drafts(database).await?;
        self.read_device(database).await
    }

    /// Texts of the store become entries of the book. What cannot be read is left where it is, and told.
    fn take_in(self, texts: &[String]) {
        let mut unread = Vec::new();
        let mut entries = Vec::new();
        for text in texts {
            match Entry::read(log::SCHEMA, text) {
                Ok(entry) => entries.push(entry),
                Err(_) => unread.push(text.clone()),
            }
        }
        if !unread.is_empty() {
            self.unread.set(unread);
        }
        self.put_in(&entries);
    }

    fn put_in(self, entries: &[Entry]) {
        if entries.is_empty() {
            return;
        }
        self.book.update(|book| {
            let book = Arc::make_mut(book);
            for entry in entries {
                book.insert(entry.clone());
            }
        });
    }

    /// Write one save after the other until none waits.
    async fn write(self) {
        loop {
            let Some((database, entries)) = self.next_save() else {
                return self.write_drafts().await;
            };
            let written = database.put(&entries).await;
            self.inner.update_value(|inner| {
                inner.writing = false;
                inner.waiting.pop_front();
            });
            match written {
                Ok(keys) => {
                    self.saved.set(Some(Saved {
                        at_ms: now(),
                        ids: entries.iter().map(Entry::id).collect(),
                    }));
                    self.tell_tabs(&keys);
                }
                Err(trouble) => {
                    self.inner.update_value(|inner| inner.failed.push(entries));
                    self.fail(trouble);
                }
            }
            self.tell();
        }
    }

    /// The save that is to be written now. Without a database all of them wait for one.
    fn next_save(self) -> Option<(Database, Vec<Entry>)> {
        self.inner.try_update_value(|inner| {
            if inner.writing {
                return None;
            }
            let database = inner.database.clone()?;
            let entries = inner.waiting.front()?.clone();
            inner.writing = true;
            Some((database, entries))
        })?
    }

    /// Something went wrong. Where it took the database away, what then fails for want of one has no words of its own.
    fn fail(self, trouble: Trouble) {
        let all = trouble.loses_all().then(|| {
            self.book
                .with_untracked(|book| book.entries().cloned().collect())
        });
        if all.is_some() {
            self.saved.set(None);
        }
        self.inner.update_value(|inner| {
            if let Some(all) = all {
                inner.failed = vec![all];
            }
            if inner.database.is_some() || inner.trouble.is_none() {
                inner.trouble = Some(trouble);
            }
        });
    }

    /// The open database can be used no longer.
    fn lost(self, trouble: Trouble) {
        self.inner.update_value(|inner| {
            inner.database = None;
            inner.trouble = None;
        });
        self.fail(trouble);
        self.tell();
    }

    /// Say how far keeping is.
    fn tell(self) {
        let (waiting, unsaved, trouble, open) = self.inner.with_value(|inner| {
            let all = inner.waiting.iter().chain(&inner.failed).flatten();
            let waiting: usize = inner.waiting.iter().map(Vec::len).sum();
            let unsaved = order::set(all.map(Entry::id));
            (
                waiting,
                unsaved,
                inner.trouble.clone(),
                inner.database.is_some(),
            )
        });
        self.unsaved.set(unsaved);
        self.state.set(match trouble {
            Some(trouble) => KeepState::Failed(trouble),
            None if !open => KeepState::Opening,
            None if waiting > 0 => KeepState::Saving(waiting),
            None => match self.saved.get_untracked() {
                Some(saved) => KeepState::Saved(saved.at_ms),
                None => KeepState::Ready,
            },
        });
    }
}
