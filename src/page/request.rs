//! What the page can ask its worker, and how the worker answers from the core.

use serde::{Deserialize, Serialize};

use super::compare::run::file;
use super::store::example;
use crate::change::{self, Asked};
use crate::compare::{Comparison, FEWEST_DRAWS};
use crate::confidence::{Sampler, Sampling};
use crate::document;
use crate::fit::{self, Fit, FitStatus, SetUp};
use crate::log::SetUpForm;
use crate::order::Map;
use crate::plan::advice::{self, Sure, Told};
use crate::plan::book::card::worked;
use crate::plan::book::proposal::{Proposed, proposed};
use crate::plan::compared::{Compared, compared};
use crate::plan::leverage::{Known, Leveraged, fronted, fronting, levered, mapped};
use crate::plan::options::Options;
use crate::plan::recorded::{self, Judged, Looked, Ready, Shown, Wish};
use crate::plan::rider_form::RiderRead;
use crate::plan::sled_form::SledRead;
use crate::plan::{Chosen, Setting, Units, setting, stored};
use crate::rider::{Built, RiderProfile};
use crate::run::{Opening, Survey, Tally, held};
use crate::sled::{Settings, Sled, SledProfile};
use crate::stance::{Load, Stance};

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
    /// The best set-up for a plan as the browser kept it, answered as [`Request::Fit`]: the first question of all, asked
    /// before the page itself has read its forms.
    Planned {
        /// The plan's document.
        plan: String,
    },
    /// The fingerprint of the best set-up with all that is known about it: by it a browser test holds the page against
    /// the native build.
    Fingerprint(Box<Wanted>),
    /// How sure the settings and figures are; comes in pieces.
    Sure(Box<Standing>),
    /// What each single step would change.
    WhatIf(Box<Standing>),
    /// Why each setting stands where it does.
    Why(Box<Standing>),
    /// Options beside each other; comes in pieces.
    Compare {
        /// The options, as their address says them.
        parts: Vec<String>,
        /// Units of the answer's words.
        units: Units,
        /// Riders to draw.
        draws: u32,
    },
    /// What options give besides their hold fore and aft; comes in pieces.
    Leverage {
        /// The options, as their address says them.
        parts: Vec<String>,
        /// The stance, where options name none.
        stance: String,
        /// Place of the load in [`Load::ALL`].
        load: usize,
        /// Units of the answer's words.
        units: Units,
    },
    /// What to change for what was felt.
    Felt {
        /// The set-up that was ridden.
        standing: Box<Standing>,
        /// Complaints by id, with their strength.
        complaints: Vec<(String, u8)>,
        /// Minutes there are.
        minutes: Option<f64>,
    },
    /// The same for a rider and a sled of the book, with changes that can be written down.
    Propose(Box<Ridden>),
    /// What the start of a recorded run says.
    Look {
        /// The file.
        #[serde(with = "serde_wasm_bindgen::preserve")]
        file: web_sys::File,
        /// The mapping of columns that was kept.
        kept: Option<String>,
    },
    /// An invented run to try.
    Demo,
    /// A recorded run against the set-up of an option; says how far it is in pieces.
    Run {
        /// The options, as their address says them.
        parts: Vec<String>,
        /// Which of them, from 0.
        option: usize,
        /// Its settings.
        settings: Chosen,
        /// The file.
        #[serde(with = "serde_wasm_bindgen::preserve")]
        file: web_sys::File,
        /// How it is to be judged.
        wish: Box<Wish>,
    },
}

/// Set-ups of a front between two pieces of it.
const FRONT_PIECE: usize = 200;

/// What was ridden, as the book has it, and what was felt.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Ridden {
    /// The rider's document.
    pub rider: String,
    /// The sled's document.
    pub sled: String,
    /// How the sled stands: a set-up's JSON, as text for the same reason as in [`Wanted`].
    pub stands: String,
    /// Complaints by id, with their strength.
    pub complaints: Vec<(String, u8)>,
    /// Minutes there are.
    pub minutes: Option<f64>,
    /// Units of the answer's words.
    pub units: Units,
}

/// A set-up as it stands.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Standing {
    /// Whose, on what, with what kept.
    pub wanted: Wanted,
    /// The settings.
    pub settings: Chosen,
    /// Units of the answer's words.
    pub units: Units,
    /// Riders to draw where riders are drawn.
    pub draws: u32,
}

/// A fit to be made.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Wanted {
    /// Who: the rider's document. As text, so that the page carries one reader of documents, not two.
    pub rider: String,
    /// On what: the sled's document.
    pub sled: String,
    /// Settings that must stay, by number.
    pub kept: Map<Setting, f64>,
}

impl Wanted {
    /// What forms ask for: the example's fit while they tell of no rider, none while they tell of no sled.
    pub fn of(rider: &RiderRead, sled: &SledRead, kept: Map<Setting, f64>) -> Option<Self> {
        let example = || example().read(Units::Metric).profile;
        Some(Self {
            rider: rider.profile.clone().or_else(example)?.write().ok()?,
            sled: sled.profile.clone()?.write().ok()?,
            kept,
        })
    }
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
    /// The fingerprint of the best set-up.
    Fingerprint {
        /// In hexadecimal digits.
        fingerprint: String,
    },
    /// How sure it is so far.
    Sure(Box<Sure>),
    /// An answer in words.
    Told(Box<Told>),
    /// An answer with changes that can be written down.
    Propose {
        /// The answer in words.
        told: Told,
        /// The changes: JSON of a list of [`crate::plan::book::proposal::Proposal`].
        changes: String,
    },
    /// What differs so far.
    Compared(Box<Compared>),
    /// What the start of a recorded run says.
    Looked(Box<Looked>),
    /// The invented run.
    Demo {
        /// As a logger's file.
        #[serde(with = "serde_wasm_bindgen::preserve")]
        file: web_sys::File,
    },
    /// How much of a recorded run was read.
    Reading {
        /// Of both readings, 0 to 1.
        share: f64,
    },
    /// A judged run.
    Run(Box<Shown>),
    /// What options give besides their hold fore and aft, so far.
    Leverage(Box<Leveraged>),
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

/// Riders between two pieces of an answer; our choice: they come faster than a person reads.
const BETWEEN: u32 = 10;

/// Riders drawn at the most.
const MOST_DRAWS: u32 = 2000;

/// Riders after which something is said for the first time.
const FIRST: u32 = 4;

/// Answer a request from the core; `piece` takes what is known before all of it is.
pub fn serve(request: Request, piece: &mut dyn FnMut(Response)) -> Response {
    answer(request, piece).unwrap_or_else(|because| Response::Refused { because })
}

fn answer(request: Request, piece: &mut dyn FnMut(Response)) -> Result<Response, String> {
    Ok(match request {
        Request::Version => Response::Version {
            version: env!("CARGO_PKG_VERSION").to_owned(),
        },
        Request::Fit(wanted) => Response::Fit(found(fitted(&wanted)?)),
        Request::Planned { plan } => {
            let plan = stored::read(&plan).map_err(|error| error.to_string())?;
            let (rider, sled) = (plan.rider.read(plan.units), plan.sled.read());
            let wanted = Wanted::of(&rider, &sled, plan.kept);
            let wanted = wanted.ok_or("the sled that was kept cannot be read")?;
            Response::Fit(found(fitted(&wanted)?))
        }
        Request::Fingerprint(wanted) => Response::Fingerprint {
            fingerprint: format!("{:016x}", fit::fingerprint(&fitted(&wanted)?)),
        },
        Request::Sure(standing) => Response::Sure(Box::new(sure(&standing, piece)?)),
        Request::WhatIf(standing) => told(&standing, |request, set_up| {
            Ok(advice::what_ifs(
                &change::what_if(request, set_up),
                standing.units,
            ))
        })?,
        Request::Why(standing) => told(&standing, |request, set_up| {
            Ok(advice::reasons(&change::why(request, set_up)))
        })?,
        Request::Compare {
            parts,
            units,
            draws,
        } => Response::Compared(Box::new(compare(&parts, units, draws, piece)?)),
        Request::Leverage {
            parts,
            stance,
            load,
            units,
        } => Response::Leverage(Box::new(leverage(&parts, &stance, load, units, piece)?)),
        Request::Felt {
            standing,
            complaints,
            minutes,
        } => told(&standing, |request, set_up| {
            let asked = complaints
                .iter()
                .map(|(id, strength)| Asked::new(id, *strength));
            let asked: Vec<Asked> = asked.collect::<Result<_, _>>().map_err(|e| e.to_string())?;
            let felt = change::felt(request, set_up, &asked, minutes);
            Ok(advice::answers(&felt, request.sled, standing.units))
        })?,
        Request::Look { file, kept } => {
            let (head, whole) = file::head(&file)?;
            let looked = recorded::look(&head, whole, kept.as_deref());
            Response::Looked(Box::new(looked.map_err(|e| e.to_string())?))
        }
        Request::Demo => Response::Demo {
            file: file::demo_file()?,
        },
        Request::Run {
            parts,
            option,
            settings,
            file,
            wish,
        } => {
            let stances = Stance::shipped().map_err(|e| e.to_string())?;
            let options = Options::read(&parts).map_err(|e| e.to_string())?;
            let entered = options.and_then(|o| o.list.into_iter().nth(option));
            let entered = entered.ok_or("there is no such option any more")?;
            let alternative = entered.alternative(&stances)?;
            let settings = settings.on(&alternative.sled).ok_or(OTHER_SLED)?;
            let request = alternative.request();
            let set_up = fit::evaluate(&request, settings);
            Response::Run(Box::new(run(&request, &set_up, &file, &wish, piece)?))
        }
        Request::Propose(ridden) => {
            let Proposed { told, changes } = ridden.answer()?;
            Response::Propose {
                told,
                changes: document::line(&changes).map_err(|e| e.to_string())?,
            }
        }
    })
}

impl Ridden {
    fn answer(&self) -> Result<Proposed, String> {
        let rider = RiderProfile::read(&self.rider).map_err(|e| e.to_string())?;
        let sled = SledProfile::read(&self.sled).map_err(|e| e.to_string())?;
        let stances = Stance::shipped().map_err(|e| e.to_string())?;
        let stands: SetUpForm = serde_json::from_str(&self.stands).map_err(|e| e.to_string())?;
        let worked = worked(&rider, &sled, &stands, &stances)?;
        let request = fit::Request::new(&worked.built.rider, &worked.sled, &stances);
        let complaints = self.complaints.iter();
        let asked: Vec<Asked> = complaints
            .map(|(id, strength)| Asked::new(id, *strength))
            .collect::<Result<_, _>>()
            .map_err(|e| e.to_string())?;
        let felt = change::felt(&request, &worked.set_up, &asked, self.minutes);
        Ok(proposed(&felt, &worked.sled, &stands, self.units))
    }
}

/// Who and what a request speaks of.
struct Read {
    built: Built,
    sled: Sled,
    stances: Vec<Stance>,
}

impl Wanted {
    fn read(&self) -> Result<Read, String> {
        let rider = RiderProfile::read(&self.rider).map_err(|e| e.to_string())?;
        let sled = SledProfile::read(&self.sled).map_err(|e| e.to_string())?;
        Ok(Read {
            built: rider.build().map_err(|e| e.to_string())?,
            sled: sled.resolve().map_err(|e| e.to_string())?,
            stances: Stance::shipped().map_err(|e| e.to_string())?,
        })
    }

    fn request<'a>(&self, read: &'a Read) -> fit::Request<'a> {
        let mut request = fit::Request::new(&read.built.rider, &read.sled, &read.stances);
        request.keep = setting::keep(&self.kept, &read.sled);
        request
    }
}

/// An answer about a set-up, evaluated whole.
fn told(
    standing: &Standing,
    answer: impl FnOnce(&fit::Request, &SetUp) -> Result<Told, String>,
) -> Result<Response, String> {
    let read = standing.wanted.read()?;
    let request = standing.wanted.request(&read);
    let set_up = fit::evaluate(&request, settings_on(standing, &read.sled)?);
    Ok(Response::Told(Box::new(answer(&request, &set_up)?)))
}

fn settings_on(standing: &Standing, sled: &Sled) -> Result<Settings, String> {
    let settings = standing.settings.on(sled);
    settings.ok_or_else(|| OTHER_SLED.to_owned())
}

/// For settings of parts that a sled does not have.
const OTHER_SLED: &str = "these settings do not go with this sled";

fn sure(standing: &Standing, piece: &mut dyn FnMut(Response)) -> Result<Sure, String> {
    let read = standing.wanted.read()?;
    let request = standing.wanted.request(&read);
    let settings = settings_on(standing, &read.sled)?;
    let draws = standing.draws.clamp(1, MOST_DRAWS);
    let sampling = Sampling {
        draws,
        ..Sampling::default()
    };
    let mut sampler = Sampler::new(&read.built, &request, settings, sampling);
    let so_far =
        |sampler: &Sampler| advice::sure(&sampler.confidence(), draws, &read.sled, standing.units);
    let mut drawn = 0;
    while sampler.step() {
        let done = sampler.drawn();
        if done > drawn && (done == FIRST || done == draws || done.is_multiple_of(BETWEEN)) {
            piece(Response::Sure(Box::new(so_far(&sampler))));
        }
        drawn = done;
    }
    Ok(so_far(&sampler))
}

/// Options beside each other: what came of them at once, then with ever surer bands.
fn compare(
    parts: &[String],
    units: Units,
    draws: u32,
    piece: &mut dyn FnMut(Response),
) -> Result<Compared, String> {
    let options = Options::read(parts).map_err(|e| e.to_string())?;
    let options = options.ok_or("there is nothing to compare")?;
    let stances = Stance::shipped().map_err(|e| e.to_string())?;
    let alternatives = options.alternatives(&stances)?;
    let sampling = Sampling {
        draws: draws.min(MOST_DRAWS),
        ..Sampling::default()
    };
    let mut comparison = Comparison::new(&alternatives, sampling).map_err(|e| e.to_string())?;
    piece(Response::Compared(Box::new(compared(&comparison, units))));
    while comparison.step() {
        let done = comparison.done();
        if done.is_multiple_of(FEWEST_DRAWS) && done < comparison.total() {
            piece(Response::Compared(Box::new(compared(&comparison, units))));
        }
    }
    Ok(compared(&comparison, units))
}

/// Reads a run twice and judges it.
fn run(
    request: &fit::Request,
    set_up: &SetUp,
    file: &web_sys::File,
    wish: &Wish,
    piece: &mut dyn FnMut(Response),
) -> Result<Shown, String> {
    let (head, whole) = file::head(file)?;
    let opening = Opening::read(&head, whole).map_err(|e| e.to_string())?;
    let ready = wish.on(&opening)?;
    let stances = held::judged(request.stances, wish.stance.as_deref())
        .map_err(|have| format!("no such stance; there are {have}"))?;
    let regions = held::regions(set_up, &stances);
    let Ready {
        channels, options, ..
    } = &ready;
    let mut survey = Survey::new(&opening, channels, options);
    file::pieces(file, |bytes, share| {
        piece(Response::Reading { share: 0.5 * share });
        survey.push(bytes);
    })?;
    let surveyed = survey.finish().map_err(|e| e.to_string())?;
    let mut tally = Tally::new(
        &opening,
        channels,
        &surveyed,
        options,
        regions.clone(),
        held::corners(request, set_up, &stances),
    );
    file::pieces(file, |bytes, share| {
        let share = 0.5 + 0.5 * share;
        piece(Response::Reading { share });
        tally.push(bytes);
    })?;
    let judged = Judged {
        opening: &opening,
        ready: &ready,
        surveyed: &surveyed,
        tallied: &tally.finish(),
        stances: &stances,
        regions: &regions,
    };
    piece(Response::Reading { share: 1.0 });
    Ok(recorded::shown(request, set_up, &judged, wish.width))
}

/// What options give, piece by piece: each option, its map, then the front of the first.
fn leverage(
    parts: &[String],
    stance: &str,
    load: usize,
    units: Units,
    piece: &mut dyn FnMut(Response),
) -> Result<Leveraged, String> {
    let options = Options::read(parts).map_err(|e| e.to_string())?;
    let options = options.ok_or("there is nothing to compare")?;
    let stances = Stance::shipped().map_err(|e| e.to_string())?;
    let alternatives = options.alternatives(&stances)?;
    let load = Load::ALL[load.min(Load::ALL.len() - 1)];
    let set_ups: Vec<SetUp> = alternatives
        .iter()
        .map(|alternative| fit::fit(&alternative.request()).best)
        .collect();
    let known = alternatives.iter().zip(&set_ups).enumerate();
    let known = known.map(|(place, (alternative, set_up))| Known {
        alternative,
        place,
        set_up,
    });
    let known: Vec<Known> = known.collect();
    let mut found = Leveraged::default();
    for option in &known {
        found.levered.push(levered(*option, stance, load, units));
        piece(Response::Leverage(Box::new(found.clone())));
    }
    for option in &known {
        found.mapped.push(mapped(*option, stance, load));
        piece(Response::Leverage(Box::new(found.clone())));
    }
    if let Some(first) = known.first() {
        let mut search = fronting(*first);
        while search.step() {
            if search.progress().0.is_multiple_of(FRONT_PIECE) {
                found.front = Some(fronted(*first, &search, false, units));
                piece(Response::Leverage(Box::new(found.clone())));
            }
        }
        found.front = Some(fronted(*first, &search, true, units));
    }
    Ok(found)
}

fn fitted(wanted: &Wanted) -> Result<Fit, String> {
    let read = wanted.read()?;
    Ok(fit::fit(&wanted.request(&read)))
}

fn found(fit: Fit) -> Found {
    let (binds, helps) = match fit.status {
        FitStatus::Fits => (None, Vec::new()),
        FitStatus::Infeasible { binds, helps } => (Some(binds), helps),
    };
    Found {
        settings: fit.best.settings.into(),
        objective: fit.best.objective,
        binds,
        helps,
        warnings: fit.warnings,
        examined: fit.ranking.len(),
    }
}
