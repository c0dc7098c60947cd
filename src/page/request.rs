//! What the page can ask its worker, and how the worker answers from the core.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::fit::{self, FitStatus};
use crate::plan::{Chosen, Setting, setting};
use crate::rider::RiderProfile;
use crate::sled::SledProfile;
use crate::stance::Stance;

/// A question from the page to the worker. Asking twice gives the same answer: the worker keeps no state.
///
/// Enums stay externally tagged: an internal tag would pass numbers through a buffer that loses the sign of zero.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Request {
    /// Which version of the core runs in the worker.
    Version,
    /// The best set-up.
    Fit(Box<Wanted>),
}

/// A fit to be made.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Wanted {
    /// Who: the rider's document. As text, so that the page carries one reader of documents, not two.
    pub rider: String,
    /// On what: the sled's document.
    pub sled: String,
    /// Settings that must stay, by number.
    pub kept: BTreeMap<Setting, f64>,
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
    /// The best set-up.
    Fit(Found),
    /// The question cannot be answered.
    Refused {
        /// In words.
        because: String,
    },
}

/// How a fit came out. The page evaluates the settings itself.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Found {
    /// The best settings, or the nearest.
    pub settings: Chosen,
    /// Its objective.
    pub objective: f64,
    /// What binds where nothing fits.
    pub binds: Option<String>,
    /// What would help then.
    pub helps: Vec<String>,
    /// What a reader must know.
    pub warnings: Vec<String>,
    /// How many combinations of parts and positions were examined exactly.
    pub examined: usize,
}

/// Answer a request from the core.
pub fn serve(request: Request) -> Response {
    match request {
        Request::Version => Response::Version {
            version: env!("CARGO_PKG_VERSION").to_owned(),
        },
        Request::Fit(wanted) => match search(&wanted) {
            Ok(found) => Response::Fit(found),
            Err(because) => Response::Refused { because },
        },
    }
}

fn search(wanted: &Wanted) -> Result<Found, String> {
    let rider = RiderProfile::read(&wanted.rider).map_err(|e| e.to_string())?;
    let built = rider.build().map_err(|e| e.to_string())?;
    let sled = SledProfile::read(&wanted.sled).map_err(|e| e.to_string())?;
    let sled = sled.resolve().map_err(|e| e.to_string())?;
    let stances = Stance::shipped().map_err(|e| e.to_string())?;
    let mut request = fit::Request::new(&built.rider, &sled, &stances);
    request.keep = setting::keep(&wanted.kept, &sled);
    let fit = fit::fit(&request);
    let (binds, helps) = match fit.status {
        FitStatus::Fits => (None, Vec::new()),
        FitStatus::Infeasible { binds, helps } => (Some(binds), helps),
    };
    Ok(Found {
        settings: fit.best.settings.into(),
        objective: fit.best.objective,
        binds,
        helps,
        warnings: fit.warnings,
        examined: fit.ranking.len(),
    })
}
