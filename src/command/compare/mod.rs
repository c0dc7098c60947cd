//! `sledstance compare` sets two to four options beside each other: what differs first, then each as it came out.

mod drawn;
mod option;
mod words;

use std::path::PathBuf;

use clap::Args;

use super::failure::{DONE, Failure, INFEASIBLE};
use super::inputs::RiderArgs;
use super::output::{deliver, progress, write_whole};
use crate::compare::{Comparison, report::CompareReport};
use crate::confidence::Sampling;
use crate::fit::FitStatus;
use crate::plan::Units;
use crate::plan::compared::compared;
use crate::plan::leverage::{Known, Leveraged, fronted, fronting, levered, mapped};
use crate::stance::Load;
use crate::view::card;
use drawn::DrawnArgs;
use option::{Common, Typed};

/// Options of `compare`.
#[derive(Args, Debug)]
pub struct CompareArgs {
    /// Two to four options, each as KEY=VALUE parts between commas, or as the address that the page gives for a set-up
    /// or for a whole comparison.
    ///
    /// Keys: name; rider=FILE, or stature_mm, mass_kg, sex, age_y; strength (weak, average, trained, or a factor from 0.2
    /// to 3); sled=FILE or a demo's name; riser_height, riser_angle, bar_roll, stirrup, seat, clamp, bar as for `fit
    /// --keep`: what is named stays, the rest is fitted; weight.STANCE; stance=NAME to compare one stance alone; like=A
    /// to take over everything that the part does not name from an earlier option as it came out. Example: sled=tall-tern
    /// like=A,stirrup=-80 (two options).
    #[arg(value_name = "OPTION", required = true, num_args = 1..=4, value_parser = option::parse, verbatim_doc_comment)]
    options: Vec<Typed>,
    #[command(flatten)]
    rider: RiderArgs,
    /// A sled's file, or a demo's name, for options that name none.
    #[arg(long, value_name = "FILE", help_heading = "Sled")]
    sled: Option<PathBuf>,
    /// A stance's file, beside the shipped ones; one of the same name takes its place. Repeatable.
    #[arg(long, value_name = "FILE", help_heading = "Sled")]
    stance: Vec<PathBuf>,
    /// Riders drawn for the bands of the differences; 0: no bands.
    #[arg(long, value_name = "N", default_value_t = 100, value_parser = clap::value_parser!(u32).range(0..=100_000), help_heading = "How sure")]
    draws: u32,
    /// Where the drawing starts; the same number gives the same bands.
    #[arg(long, value_name = "N", default_value_t = 1, help_heading = "How sure")]
    seed: u64,
    #[command(flatten)]
    drawn: DrawnArgs,
    /// Say also what a stance gives besides its hold fore and aft: corners, the hips' room, standing up; where over stirrup
    /// and riser angle a load is held best; and what comfort costs in hold. Names the stance.
    #[arg(long, value_name = "STANCE", help_heading = "Leverage")]
    leverage: Option<String>,
    /// The load of the curves and maps.
    #[arg(long, value_name = "LOAD", default_value = "short_landing_1g", value_parser = load, requires = "leverage", help_heading = "Leverage")]
    load: Load,
    /// Write its numbers here, as CSV: what each option gives, curves, maps node by node, the front.
    #[arg(
        long,
        value_name = "FILE",
        requires = "leverage",
        help_heading = "Leverage"
    )]
    leverage_csv: Option<PathBuf>,
    /// Write its charts here, as SVG, with what they say below.
    #[arg(
        long,
        value_name = "FILE",
        requires = "leverage",
        help_heading = "Leverage"
    )]
    leverage_svg: Option<PathBuf>,
    /// Inches and pounds instead of millimetres and kilograms.
    #[arg(long, help_heading = "Output")]
    inches: bool,
    /// Print the comparison as JSON: all that is needed to recompute it (see `schema comparison`).
    #[arg(long, help_heading = "Output")]
    json: bool,
    /// Write the table of differences here, as CSV.
    #[arg(long, value_name = "FILE", help_heading = "Output")]
    csv: Option<PathBuf>,
    /// Write into this file, whole or not at all, instead of printing.
    #[arg(long, value_name = "FILE", help_heading = "Output")]
    out: Option<PathBuf>,
}

/// A comparison, and what was asked about it.
#[derive(Clone, Debug, PartialEq, serde::Serialize, schemars::JsonSchema)]
pub struct ComparisonDocument {
    /// The comparison itself.
    #[serde(flatten)]
    pub report: CompareReport,
    /// What the options give besides their hold fore and aft.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub leverage: Option<Leveraged>,
}

/// A load by its name.
fn load(text: &str) -> Result<Load, String> {
    let named = Load::ALL.into_iter().find(|load| load.name() == text);
    named.ok_or_else(|| {
        let all = Load::ALL.map(Load::name).join(", ");
        format!("there is no load of that name; there are {all}")
    })
}

/// Leverage of every option.
fn leveraged(
    args: &CompareArgs,
    comparison: &Comparison,
    units: Units,
) -> Result<Option<Leveraged>, Failure> {
    let Some(stance) = &args.leverage else {
        return Ok(None);
    };
    let known = |column: &crate::compare::Column| {
        column.alternative.stances.iter().any(|s| s.name == *stance)
    };
    if !comparison.columns().iter().all(known) {
        let names: Vec<&str> = comparison.columns()[0]
            .alternative
            .stances
            .iter()
            .map(|s| s.name.as_str())
            .collect();
        return Err(Failure::Usage(format!(
            "--leverage {stance}: there is no stance of that name; there are {}",
            names.join(", ")
        )));
    }
    let known = comparison.columns().iter().enumerate();
    let known = known.map(|(place, column)| Known {
        alternative: column.alternative,
        place,
        set_up: &column.fit.best,
    });
    let known: Vec<Known> = known.collect();
    let bar = progress("set-ups", 0, 0);
    let front = known.first().map(|first| {
        let mut search = fronting(*first);
        while search.step() {
            bar.inc(1);
        }
        fronted(*first, &search, true, units)
    });
    bar.finish_and_clear();
    let each = known.iter();
    Ok(Some(Leveraged {
        levered: each
            .clone()
            .map(|option| levered(*option, stance, args.load, units))
            .collect(),
        mapped: each
            .map(|option| mapped(*option, stance, args.load))
            .collect(),
        front,
    }))
}

/// Compares and prints.
pub fn run(args: &CompareArgs) -> Result<u8, Failure> {
    let common = Common {
        rider: &args.rider,
        sled: args.sled.as_deref(),
        stances: &args.stance,
    };
    let alternatives = common.alternatives(&args.options)?;
    let sampling = Sampling {
        draws: args.draws,
        seed: args.seed,
        ..Sampling::default()
    };
    let mut comparison = Comparison::new(&alternatives, sampling)
        .map_err(|error| Failure::Usage(error.to_string()))?;
    let bar = progress("riders", u64::from(args.draws), 0);
    while comparison.step() {
        bar.inc(1);
    }
    bar.finish_and_clear();
    if let Some(path) = &args.csv {
        write_whole(path, comparison.table().csv().as_bytes())?;
    }
    let units = if args.inches {
        Units::Imperial
    } else {
        Units::Metric
    };
    let said = compared(&comparison, units);
    args.drawn.write(&comparison, &said, units.into())?;
    let leveraged = leveraged(args, &comparison, units)?;
    if let Some(found) = &leveraged {
        if let Some(path) = &args.leverage_csv {
            write_whole(path, found.csv().as_bytes())?;
        }
        if let (Some(path), Some(page)) = (&args.leverage_svg, found.page()) {
            write_whole(path, card::charted(&page, args.drawn.paper()).as_bytes())?;
        }
    }
    let text = if args.json {
        let report = ComparisonDocument {
            report: CompareReport::new(&comparison),
            leverage: leveraged,
        };
        let json =
            serde_json::to_string_pretty(&report).map_err(|e| Failure::Fault(e.to_string()))?;
        json + "\n"
    } else {
        words::Words(&said, leveraged.as_ref()).to_string()
    };
    deliver(args.out.as_deref(), &text)?;
    let fits = |c: &crate::compare::Column| c.fit.status == FitStatus::Fits;
    Ok(if comparison.columns().iter().all(fits) {
        DONE
    } else {
        INFEASIBLE
    })
}
