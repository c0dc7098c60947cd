//! Why the browser does not keep the book, in words that say what became of it and what to do.

use wasm_bindgen::{JsCast, JsValue};
use web_sys::DomException;

/// What went wrong with the browser's store.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Trouble {
    /// There is no store for this page.
    #[error(
        "This browser keeps no book for this page (a private window, or storage is switched off). What you write stays \
         until the page closes: save it as a file before that."
    )]
    Missing,
    /// The store was written by a newer version of the page.
    #[error(
        "A newer version of this page has written the book on this device, and this older one cannot read it. Nothing of \
         it was touched. Load the page again, with a network, to get the newer version."
    )]
    TooNew,
    /// The store is full.
    #[error(
        "The browser’s storage is full: what you wrote last is not saved. What was saved before is untouched. Free some \
         space on the device and try again, or save what is missing as a file."
    )]
    Full,
    /// Another tab runs a newer version of the page and needs the store.
    #[error(
        "A newer version of this page was opened in another tab and takes the book’s store over. Load this page again. \
         What is saved stays; what is not can be copied out here first."
    )]
    Taken,
    /// Somebody deleted the store while the page was open.
    #[error(
        "The book’s store on this device was deleted while the page was open. This page still has the whole book: save it \
         again, or save it as a file."
    )]
    Gone,
    /// The browser holds the store back for another reason.
    #[error(
        "The browser did not save it ({because}). What was saved before is untouched. Try again, or save what is missing as \
         a file."
    )]
    Refused {
        /// The browser's words.
        because: String,
    },
}

impl Trouble {
    /// What an exception of the browser's means. Names: Indexed Database API 3.0 (W3C), section 3; Web IDL (WHATWG),
    /// section 2.8.
    pub fn of(exception: &JsValue) -> Self {
        let Some(known) = exception.dyn_ref::<DomException>() else {
            let because = exception
                .dyn_ref::<js_sys::Error>()
                .map_or_else(|| "it gave no reason".to_owned(), |e| e.message().into());
            return Self::Refused { because };
        };
        match known.name().as_str() {
            "QuotaExceededError" => Self::Full,
            "VersionError" => Self::TooNew,
            "SecurityError" => Self::Missing,
            name => Self::Refused {
                because: format!("{name}: {}", known.message()),
            },
        }
    }

    /// Whether the stored book is lost as far as is known, so that all of it must be saved again.
    pub fn loses_all(&self) -> bool {
        matches!(self, Self::Gone)
    }

    /// Whether trying again on this page can help.
    pub fn can_be_tried_again(&self) -> bool {
        !matches!(self, Self::TooNew | Self::Taken)
    }
}
