//! What the parts of the book's place share: which book is shown, of whom, which part of it, and the way to write.

use std::fmt::Display;
use std::sync::Arc;

use leptos::prelude::*;

use super::keep::{self, Keep, KeepState};
use crate::log::{self, Book, Entry, Id, Reading, when};
use crate::order;
use crate::page::print::Printing;
use crate::page::store::Store;
use crate::plan::Units;
use crate::plan::book::Pen;
pub use crate::plan::book::at::{At, Screen};
use crate::plan::book::form::Wrong;
use crate::plan::place::Place;
use crate::units::text::{System, capital};

/// The handle that every part has.
#[derive(Clone, Copy)]
pub struct Desk {
    /// The page's state.
    pub store: Store,
    /// The book of this device.
    pub keep: Keep,
    /// What the address says.
    pub at: Memo<At>,
    /// Whether the demo is shown.
    pub demo: Memo<bool>,
    /// The rider on the sled that is shown: the one that is asked for, else the one before, else the first.
    pub pair: Memo<Option<(Id, Id)>>,
    /// Printing the card.
    pub printing: Printing,
    /// What was done last, in words, and the entries that it wrote.
    said: RwSignal<(String, Vec<Id>)>,
    /// Which rider and sled of the book stand on the start place.
    pub opened: RwSignal<Option<(Id, Id)>>,
    /// Whether it was said just now.
    fresh: StoredValue<bool>,
    /// The demo with what was tried on it; empty where nothing was.
    tried: RwSignal<Arc<Book>>,
    /// The shown book, read: once after each change, for all parts.
    reading: Memo<Arc<Reading>>,
}

/// Makes entries of a book as it reads now.
type Maker<'a> = dyn FnMut(&Reading, &mut Pen) -> Result<Vec<Entry>, Wrong> + 'a;

impl Desk {
    /// The place's handle.
    pub fn new(store: Store, keep: Keep) -> Self {
        let at = Memo::new(move |_| store.inside.with(|inside| At::read(inside)));
        let demo = Memo::new(move |_| at.get().demo);
        let here = Signal::derive(move || store.place.get() == Place::Book);
        let tried = RwSignal::default();
        // It is made anew where its book has changed, and then it is another: nothing is compared.
        let reading = Memo::new_with_compare(
            move |_| Arc::new(Reading::new(&shown_book(demo, tried, keep))),
            |_, _| true,
        );
        let pair = Memo::new(move |last: Option<&Option<(Id, Id)>>| {
            let asked = at.get().pair;
            let reading = reading.get();
            let known: Vec<(Id, Id)> = reading.pairs().collect();
            let is = |pair: &(Id, Id)| known.contains(pair);
            let last = last.copied().flatten();
            asked
                .filter(is)
                .or(last.filter(is))
                .or_else(|| pairs(&reading).first().copied())
        });
        Self {
            store,
            keep,
            at,
            demo,
            pair,
            printing: Printing::begin(here),
            said: RwSignal::default(),
            opened: RwSignal::new(None),
            fresh: StoredValue::new(false),
            tried,
            reading,
        }
    }

    /// Look at the shown book.
    pub fn read<T>(self, look: impl FnOnce(&Reading) -> T) -> T {
        look(&self.reading.get())
    }

    /// Units of words.
    pub fn system(self) -> System {
        self.store.system()
    }

    /// Units of fields.
    pub fn units(self) -> Units {
        self.store.units.get()
    }

    /// Show a part of the place, of the same rider and sled.
    pub fn go(self, screen: Screen) {
        self.show(At {
            screen,
            ..self.at.get_untracked()
        });
    }

    /// Show a rider on a sled.
    pub fn go_to(self, pair: (Id, Id), screen: Screen) {
        self.show(At {
            pair: Some(pair),
            screen,
            ..self.at.get_untracked()
        });
    }

    /// Look at the demo, or put it away with what was tried on it.
    pub fn show_demo(self, demo: bool) {
        self.tried.set(Arc::default());
        self.tell("");
        self.show(At {
            demo,
            ..At::default()
        });
    }

    fn show(self, at: At) {
        // What was said of the last writing stays for the part that follows it, and no longer.
        let fresh = self.fresh.get_value();
        self.fresh.set_value(false);
        if !fresh {
            self.tell("");
        }
        self.store.go(Place::Book, at.write());
    }

    /// Write entries into the shown book: all of them, or none where something is wrong. The answer is the last of them.
    pub fn write(
        self,
        says: &str,
        make: impl FnOnce(&Reading, &mut Pen) -> Result<Vec<Entry>, Wrong>,
    ) -> Result<Option<Id>, Wrong> {
        let mut make = Some(make);
        // One body for all that is written: the page carries it once.
        self.write_so(says, &mut |reading, pen| {
            make.take()
                .map_or(Ok(Vec::new()), |make| make(reading, pen))
        })
    }

    fn write_so(self, says: &str, make: &mut Maker<'_>) -> Result<Option<Id>, Wrong> {
        let reading = self.reading.get_untracked();
        // The book of the device is not held meanwhile: one that is held is copied whole when it is written into.
        let demo = self.demo.get_untracked();
        let demo = demo.then(|| untrack(|| shown_book(self.demo, self.tried, self.keep)));
        let entries = if let Some(book) = &demo {
            let device = self.keep.device.get_untracked();
            let mut pen = Pen::on(book, keep::now(), &device, keep::random);
            make(&reading, &mut pen)?
        } else {
            let mut pen = Pen::new(|about, what| self.keep.form(about, what));
            make(&reading, &mut pen)?
        };
        let last = entries.last().map(Entry::id);
        self.fresh.set_value(true);
        if let Some(book) = demo {
            let mut tried = Book::clone(&book);
            for entry in entries {
                tried.insert(entry);
            }
            self.tried.set(Arc::new(tried));
            self.tell(&format!(
                "{says} Tried on the demo: it goes when the demo is put away."
            ));
        } else {
            let ids = entries.iter().map(Entry::id).collect();
            self.keep.save(entries);
            self.said.set((says.to_owned(), ids));
        }
        Ok(last)
    }

    /// Say something that wrote nothing.
    pub fn tell(self, words: &str) {
        self.said.set((words.to_owned(), Vec::new()));
    }

    /// What was done last; that it is written down only when the disk has it.
    pub fn told(self) -> String {
        let (says, ids) = self.said.get();
        let on_its_way = self
            .keep
            .unsaved
            .with(|unsaved| ids.iter().any(|id| unsaved.contains(id)));
        if on_its_way {
            return match self.keep.state.get() {
                KeepState::Failed(_) => "Not saved: read above what to do.".to_owned(),
                _ => "Writing \u{2026}".to_owned(),
            };
        }
        match says.strip_prefix("Written down") {
            Some(rest) if !ids.is_empty() => format!("Written down and saved{rest}"),
            None if !ids.is_empty() => format!("{says} Saved."),
            _ => says,
        }
    }
}

/// The book of this device, or the demo with what was tried on it.
fn shown_book(demo: Memo<bool>, tried: RwSignal<Arc<Book>>, keep: Keep) -> Arc<Book> {
    if !demo.get() {
        return keep.book.get();
    }
    let tried = tried.get();
    if tried.is_empty() {
        // It comes with the program, and a test reads it.
        return Arc::new(Book::read(log::DEMO).unwrap_or_default());
    }
    tried
}

/// Riders on sleds that are offered: those who ride them today first, nobody who is retired.
pub fn pairs(reading: &Reading) -> Vec<(Id, Id)> {
    let riding = reading.riding();
    let today = |pair: &(Id, Id)| {
        riding
            .iter()
            .any(|r| (r.rider, r.sled) == (pair.0, Some(pair.1)))
    };
    let gone = |pair: &(Id, Id)| {
        reading.rider(pair.0).is_some_and(|r| r.retired)
            || reading.sled(pair.1).is_some_and(|s| s.retired)
    };
    let mut pairs: Vec<(Id, Id)> = reading.pairs().filter(|p| !gone(p)).collect();
    order::sort_by_key(&mut pairs, |p| !today(p));
    pairs
}

/// A reason as a sentence of its own.
pub fn sentence(reason: impl Display) -> String {
    format!("{}.", capital(&reason.to_string()))
}

/// A moment as this device's clock says it.
pub fn moment(ms: u64) -> String {
    when::date_time(ms, super::offset())
}
