//! What the page can ask its worker, and how the worker answers from the core.

use serde::{Deserialize, Serialize};

/// A question from the page to the worker. Asking twice gives the same answer: the worker keeps no state.
///
/// Enums stay externally tagged: an internal tag would pass numbers through a buffer that loses the sign of zero.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Request {
    /// Which version of the core runs in the worker.
    Version,
}

/// The worker's answer to the [`Request`] of the same name.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Response {
    /// The version of the core in the worker.
    Version {
        /// As in `Cargo.toml`.
        version: String,
    },
}

/// Answer a request from the core.
pub fn serve(request: Request) -> Response {
    match request {
        Request::Version => Response::Version {
            version: env!("CARGO_PKG_VERSION").to_owned(),
        },
    }
}
