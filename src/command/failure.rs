//! How the command line ends: exit codes and the words that go with a failure.

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use crate::document::DocumentError;
use crate::log::BookError;
use crate::rider::RiderError;
use crate::sled::{SettingsError, SledError};
use crate::stance::StanceError;

/// Everything asked for was done.
pub const DONE: u8 = 0;
/// The input is wrong: an option, a file's content, a value.
pub const BAD_INPUT: u8 = 2;
/// Done, but nothing in stock meets every hard condition; the nearest set-up was printed.
pub const INFEASIBLE: u8 = 3;
/// A file could not be read or written.
pub const NO_FILE: u8 = 4;

/// Exit codes as `--help` and the README say them.
pub const EXIT_CODES: &str = "\
Exit codes:
  0  done
  2  wrong input: an option, a file's content or a value; the message names field, value and allowed range
  3  done, but nothing in stock meets every hard condition: the nearest set-up is printed, with what would help
  4  a file could not be read or written";

/// Why a command did not do what it was asked.
#[derive(Debug, thiserror::Error)]
pub enum Failure {
    /// A file that cannot be read.
    #[error("{}: cannot be read: {source}", path.display())]
    Read {
        /// Which.
        path: PathBuf,
        /// Why.
        source: std::io::Error,
    },
    /// A file that cannot be written.
    #[error("{}: cannot be written: {source}", path.display())]
    Write {
        /// Which.
        path: PathBuf,
        /// Why.
        source: std::io::Error,
    },
    /// A file that is not the document it should be.
    #[error("{file}: {source}")]
    Document {
        /// File or demo name.
        file: String,
        /// Why.
        source: DocumentError,
    },
    /// A file that is no book, or a book with a value that cannot be.
    #[error("{}: {source}", path.display())]
    Book {
        /// Which.
        path: PathBuf,
        /// Why.
        source: Box<BookError>,
    },
    /// A document with a value that cannot be.
    #[error("{file}:{line}:{column}: {source}")]
    Value {
        /// File or demo name.
        file: String,
        /// Line of the value, from 1.
        line: usize,
        /// Column of the value, from 1.
        column: usize,
        /// Why.
        source: Box<ValueError>,
    },
    /// A rider described by options that cannot be.
    #[error(transparent)]
    Rider(#[from] Box<RiderError>),
    /// Settings that the sled does not have.
    #[error(transparent)]
    Settings(#[from] SettingsError),
    /// A named part or position that the sled does not have.
    #[error("{option} {name}={value}: {because}")]
    Choice {
        /// `--keep` or `--set`.
        option: &'static str,
        /// Which setting.
        name: &'static str,
        /// What was asked for.
        value: String,
        /// Why not, with what there is.
        because: String,
    },
    /// An option that is missing or does not go with another.
    #[error("{0}")]
    Usage(String),
    /// A table, or what says which of its columns is which, that cannot be used.
    #[error("{}: {because}", path.display())]
    Table {
        /// Which file.
        path: PathBuf,
        /// Why.
        because: String,
    },
    /// Several files were checked and some are wrong; each was said already.
    #[error("{wrong} of {all} files are wrong")]
    Checked {
        /// How many are wrong.
        wrong: usize,
        /// How many were checked.
        all: usize,
    },
    /// The built-in stances or the report cannot be had: a fault of the program.
    #[error("a fault of this program, please report it: {0}")]
    Fault(String),
}

/// A complaint about a value in a document.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum ValueError {
    /// Of a rider.
    #[error(transparent)]
    Rider(#[from] RiderError),
    /// Of a sled.
    #[error(transparent)]
    Sled(#[from] SledError),
    /// Of a stance.
    #[error(transparent)]
    Stance(#[from] StanceError),
}

impl Failure {
    /// The process's exit code.
    pub fn exit_code(&self) -> ExitCode {
        ExitCode::from(match self {
            Self::Read { .. } | Self::Write { .. } => NO_FILE,
            _ => BAD_INPUT,
        })
    }

    /// For `map_err` on reading.
    pub fn read(path: &Path) -> impl Fn(std::io::Error) -> Self {
        move |source| Self::Read {
            path: path.to_owned(),
            source,
        }
    }

    /// A table that cannot be used.
    pub fn table(path: &Path, because: impl ToString) -> Self {
        Self::Table {
            path: path.to_owned(),
            because: because.to_string(),
        }
    }

    /// For `map_err` on writing.
    pub fn write(path: &Path) -> impl FnOnce(std::io::Error) -> Self {
        let path = path.to_owned();
        move |source| Self::Write { path, source }
    }
}
