//! How sure: bands on every setting and every shown figure, odds of parts and positions, and what to measure next.
//!
//! By sampling, with a seed given: riders who could be this one are drawn and each is fitted anew. The *anthropometric*
//! band draws the body alone, from the conditional normal that the measurements and their noise leave
//! ([`Estimate`](crate::rider::Estimate)). The *full* band draws the same bodies, and with them errors of the model
//! ([`ModelError::SD`]), friction, the assumed limits and the balance mark. Settings and the distances that they make come
//! from re-fits; figures of stances are those of the drawn rider on the recommended settings, which stay as they are.
//!
//! A band runs from the 5th to the 95th percentile. The estimator is the (n + 1) p one (definition 6 of Hyndman and Fan
//! 1996, Am. Stat. 50:361): a further draw lies below it with probability p on average, whatever the law. What is not
//! held lies below every number. With n draws the probability below a band's end has a standard error of
//! √(0.05 · 0.95 / n), 1.5 % for 200.
//!
//! [`Sampler`] takes one draw at a time and can say at any time how sure it is so far. It reads no clock and no
//! randomness; the same seed gives the same bits on every target.

mod next;
mod percentile;
mod quantity;
mod random;
pub mod report;

use next::Trial;
pub use next::{MeasureNext, fewest_draws};
pub use percentile::{Band, Odds};
pub use quantity::{Figure, Quantity, Setting};

use core::ops::ControlFlow;

use crate::fit::{Contest, Near, Population, Refit, Request, StanceFigures, figures};
use crate::hold::{Assumed, FrictionLevel, HOOP, Options, PUSH_ON_BAR, SEAT, TOE_STOP};
use crate::rider::{Built, Measurement, ModelError};
use crate::sled::{Cockpit, Settings, Sled};
use quantity::figure_values;
pub(crate) use random::Stream;

/// Probabilities of the low and of the high value of what is given as low, middle and high: the three points that stand
/// for the 5th, 50th and 95th percentile (extended Pearson-Tukey: Keefer and Bodily 1983, Manag. Sci. 29:595, from
/// memory).
const AT_AN_END: f64 = 0.185;

/// Draws that are searched over every combination before any is fitted, so that whoever can win is known; the same
/// however many are drawn. Our choice.
const SEARCHED: [u32; 4] = [0, 3, 15, 63];

/// How much to sample.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Sampling {
    /// Riders drawn.
    pub draws: u32,
    /// Where the drawing starts; any number.
    pub seed: u64,
    /// Whether the full band is wanted beside the anthropometric one.
    pub full: bool,
    /// Whether what to measure next is wanted: more re-fits, after all riders are drawn.
    pub measure_next: bool,
}

impl Default for Sampling {
    fn default() -> Self {
        Self {
            draws: 200,
            seed: 1,
            full: true,
            measure_next: true,
        }
    }
}

/// How sure everything is.
#[derive(Clone, Debug, PartialEq)]
pub struct Confidence {
    /// Riders drawn so far.
    pub draws: u32,
    /// What the bands are of.
    pub quantities: Vec<Quantity>,
    /// Measurement and estimation of the body alone.
    pub anthropometric: Spread,
    /// All that is uncertain; `None` where it was not asked for.
    pub full: Option<Spread>,
    /// What to measure next, by how much it narrows the anthropometric band, best first; empty before the re-fits that
    /// say so are done, with less than [`fewest_draws`], or where nothing is worth measuring.
    pub measure_next: Vec<MeasureNext>,
    /// Searches over every combination of parts.
    pub searches: u32,
    /// How many of them were won by a combination that was not thought of before.
    pub newcomers: u32,
}

/// What a set of draws says.
#[derive(Clone, Debug, PartialEq)]
pub struct Spread {
    /// 90 % bands, in the order of [`Confidence::quantities`]; those of settings are over the draws that something fits.
    pub bands: Vec<Band>,
    /// Odds of parts and positions, over the draws that something fits.
    pub odds: Odds,
    /// Share of the draws that nothing in stock fits.
    pub nothing_fits: f64,
    /// Share of the draws that the recommended settings keep within every limit of posture.
    pub in_reach: f64,
}

/// Draws riders one at a time.
#[derive(Clone, Debug)]
pub struct Sampler<'a> {
    built: &'a Built,
    request: Request<'a>,
    recommended: Settings,
    sampling: Sampling,
    quantities: Vec<Quantity>,
    start: Option<Start<'a>>,
    bodies: Vec<Standard>,
    /// For each body, the standard-normal error of a tape that was put to it.
    tape_errors: Vec<f64>,
    /// For each body, what fits it best: where to look for one that differs in one measurement.
    refits: Vec<Refit>,
    /// What may be worth measuring, once all are drawn.
    trials: Option<Vec<Trial>>,
    anthropometric: Sample,
    full: Sample,
}

/// One standard-normal number for each measurement.
pub(crate) type Standard = [f64; Measurement::COUNT];

/// What the best guess gives every draw to start from.
#[derive(Clone, Debug)]
struct Start<'a> {
    contest: Contest<'a>,
    /// How many of [`SEARCHED`] are.
    searched: usize,
    near: Vec<Near>,
}

/// Draws of one kind.
#[derive(Clone, Debug, Default)]
struct Sample {
    /// Best settings; `None` where nothing fits.
    settings: Vec<Option<Settings>>,
    /// Figures on the recommended settings.
    figures: Vec<Vec<f64>>,
    in_reach: usize,
}

/// Everything that is drawn but the body.
pub(crate) struct Unknowns {
    /// Errors of the model.
    pub error: ModelError,
    /// Friction and assumed limits.
    pub options: Options,
    /// Error of the balance mark, in its standard deviations.
    mark: f64,
}

/// One draw: a rider who could be this one, in a world that could be ours.
pub(crate) struct Draw {
    /// The body, in standard-normal numbers.
    pub body: Standard,
    /// The rest.
    pub unknowns: Unknowns,
    /// The standard-normal error of a tape that is put to this body.
    tape_error: f64,
}

impl Draw {
    /// The draw of a number under a seed.
    pub fn new(seed: u64, number: u32) -> Self {
        let mut stream = Stream::new(seed, u64::from(number));
        Self {
            body: core::array::from_fn(|_| stream.normal()),
            unknowns: Unknowns::drawn(&mut stream),
            tape_error: stream.normal(),
        }
    }

    /// Asks something of this draw as a rider of a population.
    pub fn ask<T>(
        &self,
        population: Population,
        built: &Built,
        request: &Request,
        question: impl FnOnce(&Request) -> T,
    ) -> T {
        match population {
            Population::Bodies => question(&Request {
                rider: &built.rider_at(&self.body, &ModelError::default()),
                ..*request
            }),
            Population::All => question(&Request {
                rider: &built.rider_at(&self.body, &self.unknowns.error),
                sled: &self.unknowns.sled(request.sled),
                options: self.unknowns.options,
                ..*request
            }),
        }
    }
}

/// Draws riders until all are drawn or `progress` breaks off, and says how sure it is.
///
/// `built.rider` must be the request's rider; `recommended` are the settings that the figures are shown for.
pub fn bands(
    built: &Built,
    request: &Request,
    recommended: Settings,
    sampling: Sampling,
    mut progress: impl FnMut(&Sampler) -> ControlFlow<()>,
) -> Confidence {
    let mut sampler = Sampler::new(built, request, recommended, sampling);
    while sampler.step() {
        if progress(&sampler).is_break() {
            break;
        }
    }
    sampler.confidence()
}

impl<'a> Sampler<'a> {
    /// A sampler that has drawn nobody yet.
    pub fn new(
        built: &'a Built,
        request: &Request<'a>,
        recommended: Settings,
        sampling: Sampling,
    ) -> Self {
        Self {
            built,
            request: *request,
            recommended,
            sampling,
            quantities: Quantity::all(request.stances),
            start: None,
            bodies: Vec::new(),
            tape_errors: Vec::new(),
            refits: Vec::new(),
            trials: None,
            anthropometric: Sample::default(),
            full: Sample::default(),
        }
    }

    /// Riders drawn so far.
    pub fn drawn(&self) -> u32 {
        self.bodies.len() as u32
    }

    /// Steps done so far: riders searched whole, drawn, and fitted again as if a measurement were taken.
    pub fn done(&self) -> u32 {
        let tried = |trials: &Vec<Trial>| trials.iter().map(|t| t.settings.len()).sum();
        let searched = self.start.as_ref().map_or(0, |s| s.searched);
        searched as u32 + self.drawn() + self.trials.as_ref().map_or(0, tried) as u32
    }

    /// Steps in all; while riders are being drawn, at most.
    pub fn total(&self) -> u32 {
        let trials = match &self.trials {
            Some(trials) => trials.len(),
            None if self.tries() => next::TRIALS,
            None => 0,
        };
        SEARCHED.len() as u32 + self.sampling.draws * (1 + trials as u32)
    }

    fn tries(&self) -> bool {
        self.sampling.measure_next && self.sampling.draws as usize >= fewest_draws()
    }

    /// Searches the next rider whole, draws one, or fits one again as if a measurement were taken; false where all is
    /// done. The first step also searches the best guess whole.
    pub fn step(&mut self) -> bool {
        if self.drawn() == self.sampling.draws {
            return self.try_next();
        }
        let mut start = self.start.take().unwrap_or_else(|| self.begun());
        match SEARCHED.get(start.searched) {
            Some(number) => self.search(&mut start, *number),
            None => self.draw(&mut start),
        }
        self.start = Some(start);
        true
    }

    /// Searches a draw over every combination.
    fn search(&self, start: &mut Start, number: u32) {
        let population = if self.sampling.full {
            Population::All
        } else {
            Population::Bodies
        };
        start.searched += 1;
        Draw::new(self.sampling.seed, number).ask(population, self.built, &self.request, |drawn| {
            start.contest.search(drawn)
        });
    }

    fn draw(&mut self, start: &mut Start) {
        let draw = Draw::new(self.sampling.seed, self.drawn());
        let (recommended, near) = (self.recommended, &start.near);
        let mut fitted = |population, sample: &mut Sample| {
            draw.ask(population, self.built, &self.request, |drawn| {
                let refit = start.contest.refit(drawn, population);
                sample.add(drawn, &refit, recommended, near);
                refit
            })
        };
        let refit = fitted(Population::Bodies, &mut self.anthropometric);
        if self.sampling.full {
            fitted(Population::All, &mut self.full);
        }
        self.refits.push(refit);
        self.bodies.push(draw.body);
        self.tape_errors.push(draw.tape_error);
    }

    /// Fits the next body again as if a measurement that may be worth it were taken; false where all are.
    fn try_next(&mut self) -> bool {
        if !self.tries() {
            return false;
        }
        if self.trials.is_none() {
            let values = self.anthropometric.values(self.request.sled);
            let promising = next::promising(&self.built.estimate, &self.bodies, &values);
            self.trials = Some(promising.into_iter().map(Trial::new).collect());
        }
        let (Some(trials), Some(start)) = (&mut self.trials, &mut self.start) else {
            return false;
        };
        let open = trials
            .iter_mut()
            .find(|t| t.settings.len() < self.bodies.len());
        let Some(trial) = open else {
            return false;
        };
        let number = trial.settings.len();
        let taken = self.built.estimate.had_taken(
            &self.bodies[number],
            trial.measurement,
            self.tape_errors[number],
        );
        let rider = self.built.rider_at(&taken, &ModelError::default());
        let drawn = Request {
            rider: &rider,
            ..self.request
        };
        let refit = start.contest.refit_beside(&drawn, &self.refits[number]);
        trial.settings.push(refit.fits.then_some(refit.settings));
        true
    }

    fn begun(&self) -> Start<'a> {
        let cockpit = Cockpit::new(self.request.sled, self.recommended);
        Start {
            contest: Contest::new(&self.request).0,
            searched: 0,
            near: self
                .request
                .stances
                .iter()
                .map(|stance| figures(&self.request, &cockpit, stance, None).1)
                .collect(),
        }
    }

    /// How sure everything is by the draws so far.
    pub fn confidence(&self) -> Confidence {
        let sled = self.request.sled;
        let figures = self.quantities.len() - Setting::ALL.len();
        let (searches, newcomers) = self
            .start
            .as_ref()
            .map_or((0, 0), |s| (s.contest.searches(), s.contest.newcomers()));
        Confidence {
            draws: self.drawn(),
            quantities: self.quantities.clone(),
            anthropometric: self.anthropometric.spread(sled, figures),
            full: self.sampling.full.then(|| self.full.spread(sled, figures)),
            measure_next: next::measure_next(
                sled,
                &self.anthropometric.settings,
                self.trials.as_deref().unwrap_or_default(),
            ),
            searches,
            newcomers,
        }
    }
}

impl Unknowns {
    fn drawn(stream: &mut Stream) -> Self {
        let sd = ModelError::SD;
        let error = ModelError {
            hip_height: sd.hip_height * stream.normal(),
            shoulder_height: sd.shoulder_height * stream.normal(),
            protraction: sd.protraction * stream.normal(),
            strength: sd.strength * stream.normal(),
        };
        let mut level = || match stream.uniform() {
            u if u < AT_AN_END => FrictionLevel::Low,
            u if u > 1.0 - AT_AN_END => FrictionLevel::High,
            _ => FrictionLevel::Middle,
        };
        let friction = level();
        let assumed = Assumed {
            push_on_bar: PUSH_ON_BAR.range[level() as usize],
            toe_stop: TOE_STOP.range[level() as usize],
            hoop: HOOP.range[level() as usize],
            seat: SEAT.range[level() as usize],
        };
        Self {
            error,
            options: Options { friction, assumed },
            mark: stream.normal(),
        }
    }

    /// A sled with its balance mark where it could be.
    pub fn sled(&self, sled: &Sled) -> Sled {
        let mut drawn = sled.clone();
        drawn.balance_mark.x += sled.balance_mark.sd * self.mark;
        drawn
    }
}

impl Sample {
    fn add(&mut self, drawn: &Request, refit: &Refit, recommended: Settings, near: &[Near]) {
        self.settings.push(refit.fits.then_some(refit.settings));
        let cockpit = Cockpit::new(drawn.sled, recommended);
        let found: Vec<StanceFigures> = drawn
            .stances
            .iter()
            .zip(near)
            .map(|(stance, near)| figures(drawn, &cockpit, stance, Some(near)).0)
            .collect();
        self.in_reach += usize::from(found.iter().all(|f| f.in_reach));
        self.figures
            .push(figure_values(drawn.stances, &found).collect());
    }

    /// Values of the settings, draw by draw.
    fn values(&self, sled: &Sled) -> Vec<Option<[f64; Setting::ALL.len()]>> {
        values(sled, &self.settings)
    }

    fn spread(&self, sled: &Sled, figures: usize) -> Spread {
        let values: Vec<_> = self.values(sled).into_iter().flatten().collect();
        let of_settings =
            (0..Setting::ALL.len()).map(|i| Band::of(values.iter().map(|v| v[i]).collect()));
        let of_figures =
            (0..figures).map(|i| Band::of(self.figures.iter().map(|f| f[i]).collect()));
        let fitting: Vec<Settings> = self.settings.iter().flatten().copied().collect();
        let all = self.settings.len().max(1) as f64;
        Spread {
            bands: of_settings.chain(of_figures).collect(),
            odds: Odds::of(sled, &fitting),
            nothing_fits: (self.settings.len() - fitting.len()) as f64 / all,
            in_reach: self.in_reach as f64 / all,
        }
    }
}

/// Values of settings, draw by draw.
fn values(sled: &Sled, settings: &[Option<Settings>]) -> Vec<Option<[f64; Setting::ALL.len()]>> {
    settings
        .iter()
        .map(|drawn| drawn.map(|settings| Setting::values(sled, settings)))
        .collect()
}

impl Confidence {
    /// Place of a quantity, by its name in JSON.
    pub fn place(&self, name: &str) -> Option<usize> {
        self.quantities.iter().position(|q| q.name == name)
    }

    /// The widest that was asked for: the full spread, or else the anthropometric one.
    pub fn widest(&self) -> &Spread {
        self.full.as_ref().unwrap_or(&self.anthropometric)
    }
}
