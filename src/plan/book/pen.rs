//! The pen: entries one after another, each with an identifier greater than every one before it.
//!
//! Who holds the book makes the forms: the device's clock, its randomness and its name are not known here.

use crate::log::{About, Book, Entry, EntryError, EntryForm, Id, What};

/// Writes entries. They are in no book until it is given them.
pub struct Pen<'a> {
    form: Box<dyn FnMut(About, What) -> EntryForm + 'a>,
}

/// What is said beside what an entry says.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Beside {
    /// Whom and which sled it is about; of a new rider or sled its own identifier stands there by itself.
    pub about: About,
    /// When it happened, where not now, ms since 1970.
    pub happened_ms: Option<u64>,
    /// The entry that it corrects or deletes.
    pub supersedes: Option<Id>,
}

impl From<About> for Beside {
    fn from(about: About) -> Self {
        Self {
            about,
            ..Self::default()
        }
    }
}

impl<'a> Pen<'a> {
    /// A pen that takes each form from `form`, which gives each a greater identifier.
    pub fn new(form: impl FnMut(About, What) -> EntryForm + 'a) -> Self {
        Self {
            form: Box::new(form),
        }
    }

    /// A pen on a book, at a time of the device's clock, ms since 1970; `random` gives ten random bytes each time.
    pub fn on(
        book: &'a Book,
        at_ms: u64,
        device: &str,
        mut random: impl FnMut() -> [u8; 10] + 'a,
    ) -> Self {
        let device = device.to_owned();
        let mut last: Option<Id> = None;
        Self::new(move |about, what| {
            let id = book.next_id(at_ms, random(), last);
            last = Some(id);
            EntryForm {
                id,
                at_ms,
                device: device.clone(),
                happened_ms: None,
                supersedes: None,
                about,
                what,
            }
        })
    }

    /// Write an entry.
    ///
    /// # Errors
    /// As [`Entry::new`].
    pub fn write(&mut self, beside: impl Into<Beside>, what: What) -> Result<Entry, EntryError> {
        let beside = beside.into();
        let mut form = (self.form)(beside.about, what);
        form.happened_ms = beside.happened_ms;
        form.supersedes = beside.supersedes;
        match form.what {
            What::Rider(_) if form.about.rider.is_none() => form.about.rider = Some(form.id),
            What::Sled(_) if form.about.sled.is_none() => form.about.sled = Some(form.id),
            _ => {}
        }
        Entry::new(form)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::log::form::{NoteRecord, RiderRecord};

    #[test]
    fn entries_follow_one_another_and_a_new_rider_is_about_itself() {
        let book = Book::read(crate::log::DEMO).unwrap();
        let newest = book.entries().last().unwrap().id();
        // The tablet's clock was never set.
        let mut pen = Pen::on(&book, 1_000, "bench", || [7; 10]);
        let note = |words: &str| {
            What::Note(NoteRecord {
                words: words.to_owned(),
            })
        };
        let first = pen.write(About::default(), note("one")).unwrap();
        assert!(pen.write(About::default(), note(" ")).is_err());
        let mut record = RiderRecord {
            profile: crate::rider::RiderProfile::default(),
            retired: false,
        };
        record.profile.name = "Nora".to_owned();
        let rider = pen
            .write(About::default(), What::Rider(Box::new(record)))
            .unwrap();
        assert!(newest < first.id() && first.id() < rider.id());
        assert_eq!(rider.about().rider, Some(rider.id()));
    }
}
