//! The book: a set of entries that only grows, and its union with another.
//!
//! A book holds every entry that it was ever given, by identifier. Merging is set union over (identifier, content), so
//! that order, repetition and halves do not matter and two tablets that exchange their books both ways hold the same.
//! One identifier with two contents is a clash (a damaged file, or two devices that made the same identifier): both
//! contents are kept, in the order of their text, and the first one counts everywhere alike.

use std::collections::BTreeMap;

use super::entry::Entry;
use super::id::Id;

/// A set of entries.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Book {
    /// Contents of each identifier, in the order of their text; never empty, more than one on a clash.
    entries: BTreeMap<Id, Vec<Entry>>,
}

/// What became of an entry that was put into a book.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Inserted {
    /// It is new.
    New,
    /// It was there already.
    Known,
    /// Its identifier was there with another content; both are kept.
    Clash,
}

/// What a merge did.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Merged {
    /// Entries that were new.
    pub new: usize,
    /// Entries that were there already.
    pub known: usize,
    /// Identifiers of both books that hold more than one content now, in order.
    pub clashes: Vec<Id>,
}

impl Book {
    /// An empty book.
    pub fn new() -> Self {
        Self::default()
    }

    /// How many entries there are, corrected and deleted ones with them.
    pub fn len(&self) -> usize {
        self.entries.values().map(Vec::len).sum()
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.entries.is_empty()
    }

    /// Every entry in the order of identifiers.
    pub fn entries(&self) -> impl Iterator<Item = &Entry> {
        self.entries.values().flatten()
    }

    /// The entry of an identifier; on a clash the content that counts.
    pub fn get(&self, id: Id) -> Option<&Entry> {
        self.entries.get(&id)?.first()
    }

    /// Every content of an identifier: more than one on a clash, none where it is not known.
    pub fn contents(&self, id: Id) -> &[Entry] {
        self.entries.get(&id).map_or(&[], Vec::as_slice)
    }

    /// Identifiers with more than one content, in order.
    pub fn clashes(&self) -> impl Iterator<Item = Id> {
        let clashing = self.entries.iter().filter(|(_, all)| all.len() > 1);
        clashing.map(|(id, _)| *id)
    }

    /// A new identifier, greater than every one in the book and than the `last` that this device made: what was written
    /// with knowledge of an entry stands after it, whatever the clocks say.
    pub fn next_id(&self, unix_ms: u64, random: [u8; 10], last: Option<Id>) -> Id {
        let newest = self.entries.last_key_value().map(|(id, _)| *id);
        Id::next(unix_ms, random, last.max(newest))
    }

    /// Put an entry in.
    pub fn insert(&mut self, entry: Entry) -> Inserted {
        let contents = self.entries.entry(entry.id()).or_default();
        if contents.is_empty() {
            contents.push(entry);
            return Inserted::New;
        }
        let text = entry.text();
        match contents.binary_search_by_key(&text, Entry::text) {
            Ok(_) => Inserted::Known,
            Err(place) => {
                contents.insert(place, entry);
                Inserted::Clash
            }
        }
    }

    /// Put everything of another book in.
    pub fn merge(&mut self, other: &Self) -> Merged {
        let mut merged = Merged::default();
        for (id, contents) in &other.entries {
            for entry in contents {
                match self.insert(entry.clone()) {
                    Inserted::Known => merged.known += 1,
                    Inserted::New | Inserted::Clash => merged.new += 1,
                }
            }
            if self.contents(*id).len() > 1 {
                merged.clashes.push(*id);
            }
        }
        merged
    }

    /// The entries that `keep` takes, as a book of their own.
    #[must_use]
    pub fn part(&self, keep: impl Fn(Id) -> bool) -> Self {
        let mut part = Self::default();
        let kept = self.entries.iter().filter(|(id, _)| keep(**id));
        part.entries
            .extend(kept.map(|(id, all)| (*id, all.clone())));
        part
    }
}

impl FromIterator<Entry> for Book {
    fn from_iter<T: IntoIterator<Item = Entry>>(entries: T) -> Self {
        let mut book = Self::new();
        for entry in entries {
            book.insert(entry);
        }
        book
    }
}
