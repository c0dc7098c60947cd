//! `sledstance felt`: what to change next for what a rider felt.

use std::fmt::{self, Display, Formatter};
use std::path::PathBuf;

use clap::Args;
use schemars::JsonSchema;
use serde::Serialize;

use super::choice::{self, Choice};
use super::failure::{DONE, Failure};
use super::inputs::{RiderArgs, SledArgs};
use super::list::{bullets, heading};
use super::output::{deliver, json};
use crate::change::{self, Asked, COMPLAINTS, Change, Felt, Impossible};
use crate::fit::Request;
use crate::fit::report::SettingsReport;

/// Format name of the answer.
pub const FORMAT: &str = "sledstance-felt";
/// Version of the answer.
pub const SCHEMA: u32 = 1;

/// Options of `felt`.
#[derive(Args, Debug)]
pub struct FeltArgs {
    /// List every complaint by its id, in riders' words.
    #[arg(long, exclusive = true)]
    list: bool,
    #[command(flatten)]
    rider: RiderArgs,
    #[command(flatten)]
    sled: Option<SledArgs>,
    /// A complaint by its id, with how bad it is from 1 (a little) to 3 (badly): numb_hands=2. Repeatable; several are
    /// traded off.
    #[arg(long, value_name = "ID[=1..3]", required = true)]
    complaint: Vec<String>,
    /// A setting as it is on the sled: names as for `pose --set`. Without any the sled is taken as `fit` would set it up.
    /// Repeatable.
    #[arg(long, value_name = "NAME=VALUE", value_parser = choice::parse)]
    set: Vec<Choice>,
    /// A setting that must stay as it is: names and values as for `fit --keep`. Repeatable.
    #[arg(long, value_name = "NAME=VALUE", value_parser = choice::parse)]
    keep: Vec<Choice>,
    /// Minutes that there are: what takes longer is set apart.
    #[arg(long, value_name = "MINUTES")]
    minutes: Option<f64>,
    /// Print the answer as JSON (see `schema felt`).
    #[arg(long, help_heading = "Output")]
    json: bool,
    /// Write into this file, whole or not at all, instead of printing.
    #[arg(long, value_name = "FILE", help_heading = "Output")]
    out: Option<PathBuf>,
}

/// What to change for what a rider felt, and the settings that it starts from.
#[derive(Debug, Serialize, JsonSchema)]
pub struct FeltDocument {
    /// Always `sledstance-felt`.
    format: &'static str,
    /// Version of this document.
    schema: u32,
    /// The settings that the sled stands at.
    settings: SettingsReport,
    /// What was not given and taken as a sled comes.
    taken: Vec<&'static str>,
    #[serde(flatten)]
    felt: Felt,
}

/// Answers, or lists what can be asked.
pub fn run(args: &FeltArgs) -> Result<u8, Failure> {
    if args.list {
        deliver(None, &List.to_string())?;
        return Ok(DONE);
    }
    let asked = asked(&args.complaint)?;
    if let Some(minutes) = args.minutes
        && !(minutes.is_finite() && minutes > 0.0)
    {
        return Err(Failure::Usage(format!(
            "--minutes {minutes}: give the minutes that there are, more than 0"
        )));
    }
    let Some(on) = &args.sled else {
        return Err(Failure::Usage(
            "--sled is missing: give a file or a demo sled".to_owned(),
        ));
    };
    let built = args.rider.build()?;
    let sled = on.sled()?;
    let stances = on.stances()?;
    let keep = choice::kept(&sled, &args.keep, "--keep")?;
    let set = choice::kept(&sled, &args.set, "--set")?;
    let request = Request {
        keep,
        ..Request::new(&built.rider, &sled, &stances)
    };
    let (set_up, taken) = choice::set_up(&request, &set)?;
    let document = FeltDocument {
        format: FORMAT,
        schema: SCHEMA,
        settings: SettingsReport::new(&sled, &set_up.settings),
        taken,
        felt: change::felt(&request, &set_up, &asked, args.minutes),
    };
    let text = if args.json {
        json(&document)?
    } else {
        document.to_string()
    };
    deliver(args.out.as_deref(), &text)?;
    Ok(DONE)
}

/// Complaints as they were typed: `numb_hands`, `numb_hands=3`.
fn asked(typed: &[String]) -> Result<Vec<Asked>, Failure> {
    let mut all: Vec<Asked> = Vec::new();
    for text in typed {
        let (id, strength) = text.split_once('=').unwrap_or((text, "2"));
        let strength = strength.trim().parse().map_err(|_| {
            Failure::Usage(format!(
                "--complaint {text}: after the = comes 1 (a little), 2 or 3 (badly)"
            ))
        })?;
        let one = Asked::new(id.trim(), strength).map_err(|error| {
            Failure::Usage(format!(
                "--complaint {text}: {error}; `sledstance felt --list` lists them all"
            ))
        })?;
        if all.iter().any(|a| a.complaint().id == one.complaint().id) {
            return Err(Failure::Usage(format!("--complaint {text}: given twice")));
        }
        all.push(one);
    }
    Ok(all)
}

/// Every complaint.
struct List;

impl Display for List {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        for c in COMPLAINTS {
            let outside = if c.wants.is_empty() {
                " [outside the cockpit]"
            } else {
                ""
            };
            writeln!(f, "{:<16} {}{outside}", c.id, c.words)?;
            writeln!(f, "{:<16}   also: {}", "", c.also.join("; "))?;
        }
        Ok(())
    }
}

impl Display for FeltDocument {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        let felt = &self.felt;
        for heard in &felt.complaints {
            writeln!(
                f,
                "\n\"{}\" (strength {} of 3)",
                heard.words, heard.strength
            )?;
            writeln!(f, "  status: {}", heard.status)?;
            for inspect in &heard.inspect {
                writeln!(f, "  [ ] first look: {inspect}")?;
            }
            if !heard.outside.is_empty() {
                writeln!(f, "  outside the cockpit: {}", heard.outside)?;
            }
        }
        choice::told(f, "stands", &self.settings, &self.taken)?;
        writeln!(f, "\n{}", felt.says)?;
        changes(
            f,
            "Changes that help, best first: make one, ride, then judge",
            &felt.changes,
        )?;
        changes(f, "They help but take longer", &felt.longer)?;
        changes(f, "With a part that is not in stock", &felt.to_buy)?;
        let impossible = felt.impossible.iter();
        let impossible =
            impossible.map(|Impossible { says, because }| format!("{says}: {because}"));
        bullets(f, "Not possible", &impossible.collect::<Vec<_>>())?;
        bullets(f, "Tried, no help", &felt.no_help)?;
        bullets(f, "Tick off after every change", &felt.tick_off)?;
        bullets(f, "Cautions", &felt.cautions)
    }
}

fn changes(f: &mut Formatter<'_>, title: &str, changes: &[Change]) -> fmt::Result {
    if changes.is_empty() {
        return Ok(());
    }
    heading(f, title)?;
    for (i, c) in changes.iter().enumerate() {
        write!(f, "  {:>2}. {} ({:.0} min", i + 1, c.says, c.minutes)?;
        if !c.tools.is_empty() {
            write!(f, "; {}", c.tools.join(", "))?;
        }
        writeln!(f, "): {}", c.basis)?;
        let gains: Vec<String> = c
            .gains
            .iter()
            .map(|g| format!("{} {:+.1}", g.complaint, g.by))
            .collect();
        writeln!(
            f,
            "      gain in noticeable differences: {}",
            gains.join(", ")
        )?;
        for figure in &c.figures {
            let place = figure.stance.as_deref().unwrap_or("");
            let (Some(from), Some(to)) = (figure.from, figure.to) else {
                continue;
            };
            // What no tape and no hand can tell apart is left to the JSON.
            if (to - from).abs() >= 0.005 * from.abs().max(1.0) {
                writeln!(
                    f,
                    "      {} {place}: {from:.2} to {to:.2} {}",
                    figure.figure, figure.unit
                )?;
            }
        }
        for cost in &c.costs {
            writeln!(f, "      costs: {cost}")?;
        }
        for note in &c.notes {
            writeln!(f, "      {note}")?;
        }
    }
    Ok(())
}
