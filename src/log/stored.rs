//! The book as a document, whole or in part, and a single entry as a database keeps it.
//!
//! A document is read as a whole before anything of it counts: one that is broken anywhere changes nothing, and the
//! complaint names path, line and column.

use thiserror::Error;

use super::book::{Book, Merged};
use super::entry::{Entry, EntryError};
use super::form::{BookForm, EntryForm, Part};
use super::reading::Reading;
use crate::document::{self, DocumentError, locate};
use crate::{rider, sled};

/// The kind of document.
pub const FORMAT: &str = "sledstance-book";
/// Version of the stored form.
pub const SCHEMA: u32 = 2;

/// Riders and sleds are embedded as their own first versions: whoever gives them a second gives the book a third.
const _: () = assert!(rider::SCHEMA == 1 && sled::profile::SCHEMA == 1 && SCHEMA == 2);

/// Why a text is no book.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum BookError {
    /// It is no document of this kind and version, or a field is missing, unknown or of the wrong type.
    #[error(transparent)]
    Document(#[from] DocumentError),
    /// A value of an entry cannot be.
    #[error("line {line}, column {column}: entry {}: {at}{source}", index + 1)]
    Value {
        /// Which entry, counted from 0.
        index: usize,
        /// Path of the entry in the document with a dot behind it, or empty.
        at: String,
        /// Line, counted from 1.
        line: usize,
        /// Column, counted from 1.
        column: usize,
        /// What cannot be.
        source: EntryError,
    },
}

impl Entry {
    /// Its text: one line of JSON by which two contents are told apart, and which [`Self::read`] reads.
    pub fn text(&self) -> String {
        // No map in the form has keys that are not text, and every number was checked to be one.
        document::line(self.form()).unwrap_or_default()
    }

    /// Read an entry's text that was written under a schema.
    ///
    /// # Errors
    /// Where the schema is not known, or the text is no entry.
    pub fn read(schema: u32, text: &str) -> Result<Self, BookError> {
        known(schema)?;
        let form: EntryForm = serde_json::from_str(text).map_err(|error| DocumentError::Field {
            path: "entry".to_owned(),
            line: error.line(),
            column: error.column(),
            message: document::without_place(&error),
        })?;
        Self::new(form).map_err(|source| {
            let (line, column) = locate(text, source.field());
            BookError::Value {
                index: 0,
                at: String::new(),
                line,
                column,
                source,
            }
        })
    }
}

impl Book {
    /// Read a document.
    ///
    /// # Errors
    /// Names what is wrong and where; a newer version is refused in words.
    pub fn read(text: &str) -> Result<Self, BookError> {
        let form: BookForm = document::read(text, FORMAT, SCHEMA)?;
        let entries = form.entries.into_iter().enumerate();
        entries
            .map(|(index, form)| {
                Entry::new(form).map_err(|source| {
                    let at = format!("data.entries[{index}].");
                    let (line, column) = locate(text, &format!("{at}{}", source.field()));
                    BookError::Value {
                        index,
                        at,
                        line,
                        column,
                        source,
                    }
                })
            })
            .collect()
    }

    /// Read a document and put everything of it in; where it is broken, nothing changes.
    ///
    /// # Errors
    /// As [`Self::read`].
    pub fn import(&mut self, text: &str) -> Result<Merged, BookError> {
        Ok(self.merge(&Self::read(text)?))
    }

    /// Write a document of all or of a part: of one rider with the sleds and days that go with it, or of one sled with
    /// its riders. An entry is written with everything that supersedes it or that it supersedes.
    ///
    /// # Errors
    /// None for this stored form.
    pub fn write(&self, part: Part, note: Option<&str>) -> Result<String, BookError> {
        let entries = |book: &Self| book.entries().map(|e| e.form().clone()).collect();
        let form = BookForm {
            note: note.map(str::to_owned),
            part,
            entries: match part {
                Part::Whole => entries(self),
                part => {
                    let ids = Reading::new(self).ids_of(part);
                    entries(&self.part(|id| ids.contains(&id)))
                }
            },
        };
        Ok(document::write(FORMAT, SCHEMA, &form)?)
    }
}

fn known(schema: u32) -> Result<(), DocumentError> {
    let format = FORMAT.to_owned();
    match schema {
        1..=SCHEMA => Ok(()),
        0 => Err(DocumentError::NoSuchSchema {
            format,
            found: 0,
            newest: SCHEMA,
        }),
        found => Err(DocumentError::TooNew {
            format,
            found,
            newest: SCHEMA,
        }),
    }
}
