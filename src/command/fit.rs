//! `sledstance fit` searches the settings that suit a rider; `sledstance pose` evaluates given ones.

use std::ops::ControlFlow;
use std::path::PathBuf;

use clap::Args;
use schemars::JsonSchema;
use serde::Serialize;

use super::body::{Asked, BodyArgs, Seats};
use super::change::{Reasons, WhatIfTable};
use super::choice::{self, Choice};
use super::failure::{DONE, Failure, INFEASIBLE};
use super::inputs::{RiderArgs, SledArgs};
use super::order::WorkOrder;
use super::output::{deliver, json, progress};
use crate::change::{self, WhatIf, Why};
use crate::confidence::{Sampling, bands, report::ConfidenceReport};
use crate::fit::report::{SeatReport, VibrationReport};
use crate::fit::{self, Fit, FitStatus, Keep, Report, Request, Work};
use crate::rider::Built;

/// What to print, and where.
#[derive(Args, Debug)]
struct OutputArgs {
    /// Print the report as JSON: all that is needed to recompute the result (see `schema report`).
    #[arg(long, help_heading = "Output")]
    json: bool,
    /// Add what each single step either way would change, as a table (always in the JSON).
    #[arg(long, help_heading = "Output")]
    what_if: bool,
    /// Add why each setting stands where it does, in words (always in the JSON).
    #[arg(long, help_heading = "Output")]
    why: bool,
    /// Write into this file, whole or not at all, instead of printing.
    #[arg(long, value_name = "FILE", help_heading = "Output")]
    out: Option<PathBuf>,
}

/// Whether to say how sure the result is.
#[derive(Args, Debug)]
struct BandsArgs {
    /// Say how sure every setting and figure is: 90 % bands, odds of parts, and what to measure next. Takes a while.
    #[arg(long, help_heading = "How sure")]
    bands: bool,
    /// Riders drawn for the bands.
    #[arg(long, value_name = "N", default_value_t = 200, value_parser = clap::value_parser!(u32).range(20..=100_000), requires = "bands", help_heading = "How sure")]
    draws: u32,
    /// Where the drawing starts; the same number gives the same bands.
    #[arg(
        long,
        value_name = "N",
        default_value_t = 1,
        requires = "bands",
        help_heading = "How sure"
    )]
    seed: u64,
}

/// Options of `fit`.
#[derive(Args, Debug)]
pub struct FitArgs {
    #[command(flatten)]
    rider: RiderArgs,
    #[command(flatten)]
    sled: SledArgs,
    /// A setting to leave as it is: riser_height=125, riser_angle=12, bar_roll=0, stirrup=-60, seat=firm, clamp=solid,
    /// bar=flat. Repeatable.
    #[arg(long, value_name = "NAME=VALUE", value_parser = choice::parse)]
    keep: Vec<Choice>,
    #[command(flatten)]
    bands: BandsArgs,
    #[command(flatten)]
    body: BodyArgs,
    #[command(flatten)]
    output: OutputArgs,
}

/// Options of `pose`.
#[derive(Args, Debug)]
pub struct PoseArgs {
    #[command(flatten)]
    rider: RiderArgs,
    #[command(flatten)]
    sled: SledArgs,
    /// A setting as it is on the sled: names as for `fit --keep`. What is not given is taken as a sled comes, and said.
    /// Repeatable.
    #[arg(long, value_name = "NAME=VALUE", value_parser = choice::parse)]
    set: Vec<Choice>,
    #[command(flatten)]
    bands: BandsArgs,
    #[command(flatten)]
    body: BodyArgs,
    #[command(flatten)]
    output: OutputArgs,
}

/// Searches and prints.
pub fn fit(args: &FitArgs) -> Result<u8, Failure> {
    let body = args.body.asked()?;
    let built = args.rider.build()?;
    let sled = args.sled.sled()?;
    let stances = args.sled.stances()?;
    let request = Request {
        keep: choice::kept(&sled, &args.keep, "--keep")?,
        ..Request::new(&built.rider, &sled, &stances)
    };
    let fit = fit::fit(&request);
    let confidence = args.bands.confidence(&built, &request, &fit);
    print(&args.output, body, &built, &request, &fit, confidence)
}

/// Evaluates and prints.
pub fn pose(args: &PoseArgs) -> Result<u8, Failure> {
    let body = args.body.asked()?;
    let built = args.rider.build()?;
    let sled = args.sled.sled()?;
    let stances = args.sled.stances()?;
    let given = choice::kept(&sled, &args.set, "--set")?;
    let (settings, taken) = choice::completed(&given, &sled)?;
    let request = Request::new(&built.rider, &sled, &stances);
    let mut fit = fit::pose(&request, settings);
    let kept = Request {
        keep: Keep::all(settings),
        ..request
    };
    let confidence = args.bands.confidence(&built, &kept, &fit);
    if !taken.is_empty() {
        fit.warnings.push(format!(
            "not given and taken as a sled comes: {}",
            taken.join(", ")
        ));
    }
    print(&args.output, body, &built, &request, &fit, confidence)
}

impl BandsArgs {
    /// How sure the result is, if that was asked for.
    fn confidence(&self, built: &Built, request: &Request, fit: &Fit) -> Option<ConfidenceReport> {
        self.bands.then(|| {
            let sampling = Sampling {
                draws: self.draws,
                seed: self.seed,
                ..Sampling::default()
            };
            let bar = progress("riders fitted", u64::from(self.draws), 0);
            let found = bands(built, request, fit.best.settings, sampling, |sampler| {
                bar.set_length(u64::from(sampler.total()));
                bar.set_position(u64::from(sampler.done()));
                ControlFlow::Continue(())
            });
            bar.finish_and_clear();
            ConfidenceReport::new(&found, request.sled, sampling)
        })
    }
}

/// A set-up of one rider on one sled with all that it was judged by, and what was asked about it.
///
/// Frame: x forward, y left, z up; origin on the mid-plane, x = 0 at the foremost stirrup position's bolt, z = 0 on the
/// running board's top face there.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct FitDocument {
    /// The set-up itself.
    #[serde(flatten)]
    pub report: Report,
    /// How sure it is, where that was asked for.
    #[serde(flatten, skip_serializing_if = "Option::is_none")]
    pub confidence: Option<ConfidenceReport>,
    /// What each single step either way would change, all else fixed, every posture solved anew.
    pub what_if: Vec<WhatIf>,
    /// Why each setting stands where it does: the objective's slope there, in its parts.
    pub why: Vec<Why>,
    /// Every seat in stock under this rider, the one that passes force soonest first; empty where no stance sits.
    pub seats: Vec<SeatReport>,
    /// Hand-arm vibration, where an acceleration was given.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub vibration: Option<VibrationReport>,
}

/// An answer that was asked for; empty otherwise.
fn asked<T>(wanted: bool, answer: impl FnOnce() -> Vec<T>) -> Vec<T> {
    if wanted { answer() } else { Vec::new() }
}

fn print(
    output: &OutputArgs,
    body: Asked,
    built: &Built,
    request: &Request,
    fit: &Fit,
    confidence: Option<ConfidenceReport>,
) -> Result<u8, Failure> {
    let sled = request.sled;
    let document = FitDocument {
        report: Report::new(built, sled, fit, &Work::new(None, &fit.best, sled)),
        confidence,
        what_if: asked(output.json || output.what_if, || {
            change::what_if(request, &fit.best)
        }),
        why: asked(output.json || output.why, || {
            change::why(request, &fit.best)
        }),
        seats: SeatReport::all(&built.rider, sled, &fit.best, body.drop_speed),
        vibration: body.vibration.map(VibrationReport::from),
    };
    let text = if output.json {
        json(&document)?
    } else {
        let vibration = document.vibration.as_ref().map(VibrationReport::to_string);
        format!(
            "{}{}{}{}{}",
            WorkOrder {
                report: &document.report,
                confidence: document.confidence.as_ref(),
            },
            Seats(&document.seats),
            vibration.unwrap_or_default(),
            WhatIfTable(&document.what_if),
            Reasons(&document.why)
        )
    };
    deliver(output.out.as_deref(), &text)?;
    Ok(match fit.status {
        FitStatus::Fits => DONE,
        FitStatus::Infeasible { .. } => INFEASIBLE,
    })
}
