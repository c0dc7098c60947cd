//! From what a rider felt to the next change.
//!
//! Every single step that the sled allows is solved anew. A complaint's gain from a step is the mean, by weight, of how
//! much lighter the burden of its figures gets, in differences that a rider can notice: 1 is one noticeable difference
//! in all it speaks about. Steps are ranked by the sum of strength × gain over the complaints, a loss counting
//! [`HARM`] times: changes that help one and harm another are traded off and say so, never added blindly. A step that
//! gains less than [`LEAST_GAIN`] is not offered.

use std::borrow::Cow;

use super::complaint::{Complaint, Usual, Want, Where};
use super::figures::{Better, Depth, Figure, Kind};
use super::step::{SAME, Standing, Step, Subject};
use super::tried::Tried;
use super::what_if::FigureChange;
use crate::document::reported;
use crate::fit::cautions::CAUTIONS;
use crate::fit::{Keep, Levers, Request, SetUp, checks, search};
use crate::order;
use crate::sled::{Clamp, Foam, Riser, Seat, Settings, Sled};
use crate::units::text::{System, tape};

/// Least gain that is offered, in noticeable differences; our choice.
pub const LEAST_GAIN: f64 = 0.25;

/// How much a loss of one complaint counts against a gain of another; our choice: nobody thanks for a new pain.
pub const HARM: f64 = 2.0;

/// One figure's difference counts this many noticeable differences at the most; our choice: what is cured is cured.
pub const MOST_NOTICED: f64 = 5.0;

/// Stack over the mounted clamp that a damping clamp usually has, mm. Common practice, no source.
const USUAL_DAMPING_STACK: f64 = 10.0;
/// Height of a usual tall seat over the fitted one, and the foam that it adds, mm. Common practice, no source.
const USUAL_TALL_SEAT: (f64, f64) = (35.0, 30.0);
/// Firmness of a usual firm seat over the fitted one's, and its support factor. Common practice, no source.
const USUAL_FIRM_SEAT: (f64, f64) = (1.6, 2.4);
/// Step between risers, mm. Common practice, no source.
const USUAL_RISER: f64 = 25.0;

/// A complaint with how bad it is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Asked {
    complaint: &'static Complaint,
    strength: u8,
}

/// Why a complaint cannot be asked about.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum AskedError {
    /// No complaint of that name.
    #[error("no complaint is called \"{typed}\"; nearest are {}", nearest.join(", "))]
    Unknown {
        /// What was asked for.
        typed: String,
        /// Ids that come nearest.
        nearest: Vec<&'static str>,
    },
    /// A strength outside 1 to 3.
    #[error("{id}: strength {strength} is none of 1 (a little), 2, 3 (badly)")]
    Strength {
        /// Of which complaint.
        id: &'static str,
        /// What was given.
        strength: u8,
    },
}

impl Asked {
    /// Asks about a complaint by its id, with a strength of 1 (a little) to 3 (badly).
    ///
    /// # Errors
    /// An unknown id, with those that come nearest; a strength outside 1 to 3.
    pub fn new(id: &str, strength: u8) -> Result<Self, AskedError> {
        let complaint = Complaint::find(id).ok_or_else(|| AskedError::Unknown {
            typed: id.to_owned(),
            nearest: Complaint::nearest(id),
        })?;
        if !(1..=3).contains(&strength) {
            return Err(AskedError::Strength {
                id: complaint.id,
                strength,
            });
        }
        Ok(Self {
            complaint,
            strength,
        })
    }

    /// Which complaint.
    pub fn complaint(&self) -> &'static Complaint {
        self.complaint
    }

    /// How bad it is, 1 to 3.
    pub fn strength(&self) -> u8 {
        self.strength
    }
}

reported! {
/// What to change for what a rider felt.
pub struct Felt {
    /// What was asked, with what lies outside the cockpit and what to inspect first.
    pub complaints: Vec<Heard>,
    /// The answer in a sentence.
    pub says: String,
    /// Changes that help, best first; make one at a time.
    pub changes: Vec<Change>,
    /// Changes that help but take longer than there is time.
    pub longer: Vec<Change>,
    /// Changes that would help with a usual part that is not in stock.
    pub to_buy: Vec<Change>,
    /// Changes that the sled or the rider's other limits forbid, with the reason.
    pub impossible: Vec<Impossible>,
    /// Changes that were tried and do not help, in words.
    pub no_help: Vec<String>,
    /// What stands beside every change.
    pub cautions: Vec<&'static str>,
    /// What to tick off after every change.
    pub tick_off: Vec<String>,
}

/// A complaint that was asked about.
pub struct Heard {
    /// Its id.
    pub id: &'static str,
    /// In the rider's words.
    pub words: &'static str,
    /// How bad, 1 to 3.
    pub strength: u8,
    /// Where the link to the figures comes from.
    pub status: &'static str,
    /// What lies outside the cockpit.
    pub outside: &'static str,
    /// What to look at before anything is changed.
    pub inspect: Vec<&'static str>,
}

/// A change.
pub struct Change {
    /// What it changes: `stirrup`, `riser_angle`, `brake_roll`, …
    pub setting: &'static str,
    /// What to do, in words.
    pub says: String,
    /// `computed`, or `common practice, not computed`.
    pub basis: &'static str,
    /// What it is ranked by: the sum of strength and gain, losses counted double.
    pub score: f64,
    /// Gain of each complaint, in differences that a rider can notice.
    pub gains: Vec<Gain>,
    /// The complaints' figures before and after.
    pub figures: Vec<FigureChange>,
    /// What gets noticeably worse elsewhere, in words, worst first.
    pub costs: Vec<String>,
    /// Minutes, the lock-to-lock check included. Common practice, no source.
    pub minutes: f64,
    /// Tools.
    pub tools: Vec<&'static str>,
    /// Part to fit, where one is.
    pub part: Option<String>,
    /// Whether that part is in stock.
    pub in_stock: bool,
    /// What to know beside it: help for one complaint that harms another, a practice that is not computed.
    pub notes: Vec<String>,
    /// The settings after it; of another part not in stock, its place in a longer list.
    #[serde(skip)]
    pub settings: Settings,
    /// The levers after it, where it moves one.
    #[serde(skip)]
    pub levers: Option<Levers>,
}

/// What a change does to one complaint.
pub struct Gain {
    /// Which.
    pub complaint: &'static str,
    /// In differences that a rider can notice; negative makes it worse.
    pub by: f64,
}

/// A change that cannot be made.
pub struct Impossible {
    /// What it would be.
    pub says: String,
    /// Why not.
    pub because: String,
}
}

/// Ranks the single changes that a sled allows by how much they help what was felt.
///
/// `minutes` sets apart what takes longer. A setting that the request keeps is set apart too. Complaints that are none
/// of the model's business come back with what is outside; nothing that the model computes as no help is offered.
pub fn felt(request: &Request, set_up: &SetUp, asked: &[Asked], minutes: Option<f64>) -> Felt {
    let mut felt = Felt {
        complaints: asked.iter().map(heard).collect(),
        says: String::new(),
        changes: Vec::new(),
        longer: Vec::new(),
        to_buy: Vec::new(),
        impossible: Vec::new(),
        no_help: Vec::new(),
        cautions: CAUTIONS.to_vec(),
        tick_off: checks::safety_checks(request.sled)
            .into_iter()
            .map(|check| check.what)
            .collect(),
    };
    if asked.iter().any(|a| !a.complaint.wants.is_empty()) {
        let bench = Bench {
            request,
            standing: Tried::standing(request, set_up, Depth::All),
            asked,
        };
        for step in steps(request, set_up, asked) {
            bench.judge(&step, minutes, &mut felt);
        }
        for list in [&mut felt.changes, &mut felt.longer, &mut felt.to_buy] {
            let first = |c: &Change| c.setting == Subject::DampingClamp.name();
            order::sort(list, |a, b| {
                first(b).cmp(&first(a)).then(b.score.total_cmp(&a.score))
            });
        }
    }
    felt.says = answer(&felt, asked, minutes);
    felt
}

fn heard(asked: &Asked) -> Heard {
    let c = asked.complaint;
    Heard {
        id: c.id,
        words: c.words,
        strength: asked.strength,
        status: c.status,
        outside: c.outside,
        inspect: c.inspect.to_vec(),
    }
}

/// Every step worth trying for what was asked.
fn steps<'a>(request: &Request<'a>, set_up: &'a SetUp, asked: &[Asked]) -> Vec<Step<'a>> {
    let standing = Standing {
        sled: request.sled,
        settings: set_up.settings,
        levers: &set_up.levers,
    };
    let mut all = standing.settings_steps();
    all.extend(standing.lever_steps());
    let asks = |kind: Kind| {
        asked
            .iter()
            .any(|a| a.complaint.wants.iter().any(|w| w.kind == kind))
    };
    if asks(Kind::LeftRight) {
        all.extend(standing.right_stirrup_steps());
    }
    for usual in [
        Usual::DampingClamp,
        Usual::TallSeat,
        Usual::FirmSeat,
        Usual::Riser,
    ] {
        if asked.iter().any(|a| a.complaint.usual.contains(&usual)) {
            all.extend(usual_steps(request, &standing, usual));
        }
    }
    if all.iter().any(|s| s.subject == Subject::DampingClamp) {
        // The same clamp without its riser would only stand in the way.
        let damping =
            |s: &Step| s.subject == Subject::Clamp && s.sled.clamps[s.settings.clamp].damping;
        all.retain(|s| !damping(s));
    }
    all
}

/// Steps with a part that is usual for a complaint; one that is not in stock is taken as it usually is.
fn usual_steps<'a>(request: &Request, here: &Standing<'a>, usual: Usual) -> Vec<Step<'a>> {
    let (sled, settings) = (here.sled, here.settings);
    let step = |subject, says: String, sled: Cow<'a, Sled>, settings, part: String, stock| Step {
        subject,
        says,
        sled,
        settings,
        levers: here.levers.clone(),
        part: Some((part, stock)),
    };
    let mounted = &sled.clamps[settings.clamp];
    let seat = &sled.seats[settings.seat];
    match usual {
        Usual::DampingClamp if !mounted.damping => {
            let mut with = sled.clone();
            let stocked = sled.clamps.iter().position(|c| c.damping);
            let clamp = stocked.unwrap_or_else(|| {
                with.clamps.push(Clamp {
                    name: "damping".to_owned(),
                    stack: mounted.stack + USUAL_DAMPING_STACK,
                    damping: true,
                });
                with.clamps.len() - 1
            });
            let after = with_riser(request, &with, settings, clamp);
            let (riser, name) = (
                with.risers[after.riser].height,
                with.clamps[clamp].name.clone(),
            );
            let says = format!(
                "Fit the {name} clamp, its height taken up by the riser: {} at {}",
                mm(riser),
                crate::fit::work::riser_lean(after.riser_angle),
            );
            let part = format!("{name} clamp");
            let sled = if stocked.is_some() {
                Cow::Borrowed(sled)
            } else {
                Cow::Owned(with)
            };
            vec![step(
                Subject::DampingClamp,
                says,
                sled,
                after,
                part,
                stocked.is_some(),
            )]
        }
        Usual::TallSeat
            if sled
                .seats
                .iter()
                .all(|s| s.height_over_line < seat.height_over_line + 20.0) =>
        {
            let tall = Seat {
                name: "tall".to_owned(),
                height_over_line: seat.height_over_line + USUAL_TALL_SEAT.0,
                foam: Foam {
                    thickness: seat.foam.thickness + USUAL_TALL_SEAT.1,
                    ..seat.foam
                },
            };
            vec![other_seat(
                here,
                tall,
                format!("a seat {} higher", mm(USUAL_TALL_SEAT.0)),
            )]
        }
        Usual::FirmSeat if sled.seats.iter().all(|s| s.foam.f25 < 1.3 * seat.foam.f25) => {
            let firm = Seat {
                name: "firm".to_owned(),
                foam: Foam {
                    f25: USUAL_FIRM_SEAT.0 * seat.foam.f25,
                    support: USUAL_FIRM_SEAT.1.max(seat.foam.support),
                    ..seat.foam
                },
                ..seat.clone()
            };
            vec![other_seat(
                here,
                firm,
                "a firmer seat of the same height".to_owned(),
            )]
        }
        Usual::Riser => {
            let fitted = sled.risers[settings.riser];
            let beyond = |way: f64| {
                let none = sled
                    .risers
                    .iter()
                    .all(|r| (r.height - fitted.height) * way < SAME);
                none.then(|| {
                    let mut with = sled.clone();
                    with.risers.push(Riser {
                        height: (fitted.height + way * USUAL_RISER).max(0.0),
                        ..fitted
                    });
                    let riser = with.risers.len() - 1;
                    let part = format!("{} riser", mm(with.risers[riser].height));
                    let after = Settings { riser, ..settings };
                    let says = format!("Fit a {part}");
                    step(Subject::Riser, says, Cow::Owned(with), after, part, false)
                })
            };
            [beyond(1.0), beyond(-1.0)].into_iter().flatten().collect()
        }
        _ => Vec::new(),
    }
}

fn other_seat<'a>(here: &Standing<'a>, seat: Seat, part: String) -> Step<'a> {
    let mut with = here.sled.clone();
    with.seats.push(seat);
    Step {
        subject: Subject::Seat,
        says: format!("Fit {part}"),
        settings: Settings {
            seat: with.seats.len() - 1,
            ..here.settings
        },
        sled: Cow::Owned(with),
        levers: here.levers.clone(),
        part: Some((part, false)),
    }
}

/// The settings with another clamp and the riser and its angle that suit it best, all else kept.
fn with_riser(request: &Request, sled: &Sled, settings: Settings, clamp: usize) -> Settings {
    let moved = Settings { clamp, ..settings };
    let keep = Keep {
        riser: request.keep.riser,
        riser_angle: request.keep.riser_angle,
        ..Keep::all(moved)
    };
    let found = search(&Request {
        sled,
        keep,
        ..*request
    });
    found.first().map_or(moved, |e| e.settings)
}

/// What steps are judged against.
struct Bench<'a, 'b> {
    request: &'b Request<'a>,
    standing: Tried,
    asked: &'b [Asked],
}

impl Bench<'_, '_> {
    fn judge(&self, step: &Step, minutes: Option<f64>, felt: &mut Felt) {
        if let Some(kept) = kept(&self.request.keep, step.subject) {
            felt.impossible.push(Impossible {
                says: step.says.clone(),
                because: format!("the {kept} is to stay as it is"),
            });
            return;
        }
        let tried = Tried::step(self.request, step, &self.standing, Depth::All);
        if !tried.fits_as_well_as(&self.standing) {
            let beyond = tried.breaks_beyond(&self.standing);
            let because = if beyond.is_empty() {
                &tried.breaks
            } else {
                &beyond
            };
            felt.impossible.push(Impossible {
                says: step.says.clone(),
                because: because.join("; "),
            });
            return;
        }
        let change = self.change(step, &tried);
        let computed = self.helps(&change, &tried);
        let practice = step.subject == Subject::DampingClamp;
        if !computed && !practice {
            felt.no_help.push(change.says);
            return;
        }
        let change = Change {
            basis: if computed {
                "computed"
            } else {
                "common practice, not computed"
            },
            ..change
        };
        let list = if !change.in_stock {
            &mut felt.to_buy
        } else if minutes.is_some_and(|m| change.minutes > m) {
            &mut felt.longer
        } else {
            &mut felt.changes
        };
        list.push(change);
    }

    /// Whether a change helps as computed: on the whole, at least one complaint, and there what leads it.
    fn helps(&self, change: &Change, tried: &Tried) -> bool {
        let leads = |complaint: &Complaint| {
            complaint
                .wants
                .first()
                .is_some_and(|want| self.gain_of(want, tried).is_none_or(|by| by > -SLIGHT))
        };
        let one = self.asked.iter().zip(&change.gains);
        change.score >= LEAST_GAIN
            && one
                .filter(|(asked, _)| leads(asked.complaint))
                .any(|(_, gain)| gain.by >= LEAST_GAIN)
    }

    fn change(&self, step: &Step, tried: &Tried) -> Change {
        let gains: Vec<Gain> = self
            .asked
            .iter()
            .map(|asked| Gain {
                complaint: asked.complaint.id,
                by: self.gain(asked.complaint, tried),
            })
            .collect();
        let score = self
            .asked
            .iter()
            .zip(&gains)
            .map(|(asked, gain)| {
                let counts = if gain.by < 0.0 { HARM } else { 1.0 };
                f64::from(asked.strength) * counts * gain.by
            })
            .sum();
        let (minutes, tools) = step.subject.work();
        let (part, in_stock) = step
            .part
            .clone()
            .map_or((None, true), |(p, s)| (Some(p), s));
        Change {
            setting: step.subject.name(),
            says: step.says.clone(),
            basis: "computed",
            score,
            notes: [tried.also.clone(), notes(step.subject, &gains)].concat(),
            gains,
            figures: self.own_figures(tried),
            costs: self.costs(tried),
            minutes,
            tools,
            part,
            in_stock,
            settings: step.settings,
            levers: step.subject.is_lever().then(|| step.levers.clone()),
        }
    }

    /// Gain of a complaint.
    fn gain(&self, complaint: &Complaint, tried: &Tried) -> f64 {
        let (mut sum, mut weights) = (0.0, 0.0);
        for want in complaint.wants {
            if let Some(by) = self.gain_of(want, tried) {
                sum += want.weight * by;
                weights += want.weight;
            }
        }
        if weights > 0.0 { sum / weights } else { 0.0 }
    }

    /// Mean gain of one figure over its stances; `None` where nothing has it.
    fn gain_of(&self, want: &Want, tried: &Tried) -> Option<f64> {
        let (mut sum, mut count) = (0.0, 0.0);
        for (before, after) in self.pairs(tried) {
            if self.speaks_of(want, before) {
                sum += (before.burden() - after.burden()).clamp(-MOST_NOTICED, MOST_NOTICED);
                count += 1.0;
            }
        }
        (count > 0.0).then(|| sum / count)
    }

    fn pairs<'t>(&'t self, tried: &'t Tried) -> impl Iterator<Item = (&'t Figure, &'t Figure)> {
        self.standing.figures().zip(tried.figures())
    }

    fn speaks_of(&self, want: &Want, figure: &Figure) -> bool {
        if want.kind != figure.kind {
            return false;
        }
        let Some(k) = figure.stance else {
            return want.place == Where::All;
        };
        let seated = self.request.stances[k].contacts.seated;
        match want.place {
            Where::All => true,
            Where::Standing => !seated,
            Where::Seated => seated,
            Where::Rearmost => self.standing.rearmost(self.request) == Some(k),
        }
    }

    fn asked_for(&self, figure: &Figure) -> bool {
        let mut wants = self.asked.iter().flat_map(|a| a.complaint.wants);
        wants.any(|want| self.speaks_of(want, figure))
    }

    fn own_figures(&self, tried: &Tried) -> Vec<FigureChange> {
        self.pairs(tried)
            .filter(|(before, _)| self.asked_for(before))
            .map(|(before, after)| FigureChange::new(self.request, before, after))
            .collect()
    }

    /// What gets noticeably worse elsewhere, worst first.
    fn costs(&self, tried: &Tried) -> Vec<String> {
        let mut all: Vec<(f64, String)> = self
            .pairs(tried)
            .filter(|(before, _)| !self.asked_for(before))
            .filter_map(|(before, after)| {
                let worse = after.burden() - before.burden();
                (worse >= 1.0).then(|| (worse, self.cost(before, after)))
            })
            .collect();
        order::sort(&mut all, |a, b| b.0.total_cmp(&a.0));
        all.into_iter()
            .take(MOST_COSTS)
            .map(|(_, says)| says)
            .collect()
    }

    /// "hold in short landings in braced: 1.31 to 1.19 g".
    fn cost(&self, before: &Figure, after: &Figure) -> String {
        let row = before.kind.row();
        let place = before
            .stance
            .map(|k| format!(" in {}", self.request.stances[k].name))
            .unwrap_or_default();
        let digits = match row.unit {
            "g" | "" => 2,
            "mm" | "N" | "J" | "Nm" | "deg" => 0,
            _ => 1,
        };
        let value = |v: Option<f64>| v.map_or("not held".to_owned(), |v| format!("{v:.digits$}"));
        let unit = match row.unit {
            "deg" => "°".to_owned(),
            "" => String::new(),
            "Nm" => " N·m".to_owned(),
            unit => format!(" {unit}"),
        };
        let preferred = match row.better {
            Better::Preferred => format!(", comfortable is {:.0}°", before.preferred),
            _ => String::new(),
        };
        format!(
            "{}{place}: {} to {}{unit}{preferred}",
            row.words,
            value(before.value),
            value(after.value)
        )
    }
}

/// A loss of what leads a complaint that counts as none, in noticeable differences.
const SLIGHT: f64 = 0.02;

/// Costs told at the most.
const MOST_COSTS: usize = 5;

/// What is kept and forbids a step, in words.
fn kept(keep: &Keep, subject: Subject) -> Option<&'static str> {
    let held = |kept: bool, what| kept.then_some(what);
    match subject {
        Subject::Stirrups | Subject::RightStirrup => {
            held(keep.stirrup.is_some(), "stirrup position")
        }
        Subject::Riser => held(keep.riser.is_some(), "riser"),
        Subject::RiserAngle => held(keep.riser_angle.is_some(), "riser angle"),
        Subject::BarRoll => held(keep.bar_roll.is_some(), "bar roll"),
        Subject::Seat => held(keep.seat.is_some(), "seat"),
        Subject::Clamp | Subject::DampingClamp => held(keep.clamp.is_some(), "clamp"),
        Subject::Bar => held(keep.bar.is_some(), "bar"),
        Subject::LeverRoll(_) | Subject::LeverAlong(_) | Subject::LeverReach(_) => None,
    }
}

fn notes(subject: Subject, gains: &[Gain]) -> Vec<String> {
    let mut all = Vec::new();
    let names = |helps: bool| {
        let sign = if helps { 1.0 } else { -1.0 };
        let meant = gains.iter().filter(|g| g.by * sign >= LEAST_GAIN);
        meant.map(|g| g.complaint).collect::<Vec<_>>().join(", ")
    };
    let (helped, harmed) = (names(true), names(false));
    if !helped.is_empty() && !harmed.is_empty() {
        all.push(format!("Helps {helped}, harms {harmed}: a trade."));
    }
    if subject == Subject::DampingClamp {
        all.push(
            "Damps vibration (common practice, no source; the model does not compute it). Where one is fitted already, \
             inspect its inserts and renew them if hard, cracked or oily. Two parts move: tape the grips before and after."
                .to_owned(),
        );
    }
    all
}

/// The whole answer in a sentence or two.
fn answer(felt: &Felt, asked: &[Asked], minutes: Option<f64>) -> String {
    if asked.is_empty() {
        return "Nothing was asked.".to_owned();
    }
    if asked.iter().all(|a| a.complaint.wants.is_empty()) {
        return "None of the cockpit's measures answers this: see what is outside it.".to_owned();
    }
    let outside = asked.iter().any(|a| !a.complaint.outside.is_empty());
    let first = felt.changes.first();
    let mut says = match (first, felt.longer.first(), felt.to_buy.first()) {
        (Some(first), ..) => format!("Try first, and alone: {}.", first.says),
        (None, Some(longer), _) => format!(
            "Nothing that helps is done in {:.0} minutes; with {:.0}: {}.",
            minutes.unwrap_or(0.0),
            longer.minutes,
            longer.says
        ),
        (None, None, Some(buy)) => format!(
            "No single change with the parts in stock helps as computed. With another part: {}.",
            buy.says
        ),
        (None, None, None) => {
            "No single change that this sled allows helps as computed.".to_owned()
        }
    };
    if outside && first.is_none() {
        says.push_str(" Look outside the cockpit.");
    }
    says
}

fn mm(length: f64) -> String {
    tape(length, System::Metric)
}
