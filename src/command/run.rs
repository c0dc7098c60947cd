//! `sledstance run`: a recorded run against what the rider can hold; `sledstance columns`: what a run's file has.

use std::fmt::{self, Display, Formatter};
use std::fs::File;
use std::io::Read;
use std::path::{Path, PathBuf};

use clap::Args;
use schemars::JsonSchema;
use serde::Serialize;

use super::choice::{self, Choice};
use super::draw::Colours;
use super::failure::{DONE, Failure};
use super::inputs::{RiderArgs, SledArgs, read_text};
use super::list::{bullets, numbered};
use super::output::{deliver, json, progress, write_whole};
use crate::fit::report::SettingsReport;
use crate::fit::{Request, SetUp};
use crate::plan::recorded::{Judged, Ready};
use crate::run::report::{CHANGES_TITLE, RunReport, SIDE_CHANGES_TITLE, SIDEWAYS_TITLE};
use crate::run::{
    Column, Columns, ColumnsError, Gravity, HEAD, Opening, Options, Region, Role, Survey, Surveyed,
    Tallied, Tally, held, unit_of,
};
use crate::view::svg;

/// Format name of the answer.
pub const FORMAT: &str = "sledstance-run";
/// Version of the answer.
pub const SCHEMA: u32 = 1;

/// Bytes read at a time; our choice.
const CHUNK: usize = 1 << 20;

/// Sizes of the drawings, px; our choice.
const ENVELOPE: (f64, f64) = (760.0, 620.0);
const TRACK: (f64, f64) = (760.0, 520.0);

/// A run's file, and which of its columns is which.
#[derive(Args, Debug)]
struct FileArgs {
    /// The run: a table of numbers in text (CSV), from any logger on the sled.
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// Which column is which, as a file that --keep-columns wrote; left out: guessed from names and units.
    #[arg(long, value_name = "FILE", help_heading = "Columns")]
    columns: Option<PathBuf>,
    /// A column by its name: longitudinal="acc x". Roles: time, longitudinal, lateral, vertical, speed, throttle, brake,
    /// latitude, longitude, lap. An empty name leaves a role out. Repeatable.
    #[arg(long, value_name = "ROLE=NAME", value_parser = role_and_text, help_heading = "Columns")]
    column: Vec<(Role, String)>,
    /// A column's unit: longitudinal=m/s2. Repeatable.
    #[arg(long, value_name = "ROLE=UNIT", value_parser = role_and_text, help_heading = "Columns")]
    unit: Vec<(Role, String)>,
    /// A column that counts the other way: longitudinal backward, lateral to the right, vertical downward. Repeatable.
    #[arg(long, value_name = "ROLE", value_parser = role, help_heading = "Columns")]
    reverse: Vec<Role>,
    /// The logger took gravity out: the vertical column reads 0 at rest.
    #[arg(long, help_heading = "Columns")]
    gravity_removed: bool,
    /// Keep the mapping of columns in this file.
    #[arg(long, value_name = "FILE", help_heading = "Columns")]
    keep_columns: Option<PathBuf>,
}

/// Options of `columns`.
#[derive(Args, Debug)]
pub struct ColumnsArgs {
    #[command(flatten)]
    run: FileArgs,
}

/// Options of `run`.
#[derive(Args, Debug)]
pub struct RunArgs {
    #[command(flatten)]
    run: FileArgs,
    #[command(flatten)]
    rider: RiderArgs,
    #[command(flatten)]
    sled: SledArgs,
    /// A setting as it was on the sled: names as for `pose --set`. Without any the sled is taken as `fit` would set it up.
    /// Repeatable.
    #[arg(long, value_name = "NAME=VALUE", value_parser = choice::parse)]
    set: Vec<Choice>,
    /// The stance that the run is held against; left out: at each instant the standing one that holds best.
    #[arg(long, value_name = "STANCE")]
    stand: Option<String>,
    /// Cut-off of the low-pass, Hz, 1 to 100.
    #[arg(long, value_name = "HZ", default_value_t = crate::run::CUT_OFF)]
    cut_off_hz: f64,
    /// Count only what lasts this long, s, 0.01 to 5.
    #[arg(long, value_name = "S", default_value_t = crate::run::DWELL)]
    longer_than_s: f64,
    /// Print the answer as JSON (see `schema run`).
    #[arg(long, help_heading = "Output")]
    json: bool,
    /// Write into this file, whole or not at all, instead of printing.
    #[arg(long, value_name = "FILE", help_heading = "Output")]
    out: Option<PathBuf>,
    /// Draw the run on the hold envelope, as SVG.
    #[arg(long, value_name = "FILE", help_heading = "Output")]
    svg: Option<PathBuf>,
    /// Draw where on the track the hardest moments lie, as SVG; needs positions.
    #[arg(long, value_name = "FILE", help_heading = "Output")]
    track: Option<PathBuf>,
    /// Colours of the drawings.
    #[arg(long, value_enum, default_value_t = Colours::Light, help_heading = "Output")]
    theme: Colours,
}

/// A recorded run, and the settings that it is held against.
#[derive(Debug, Serialize, JsonSchema)]
pub struct RunDocument {
    /// Always `sledstance-run`.
    format: &'static str,
    /// Version of this document.
    schema: u32,
    /// The settings that the sled stood at.
    settings: SettingsReport,
    /// What was not given and taken as a sled comes.
    taken: Vec<&'static str>,
    #[serde(flatten)]
    run: RunReport,
}

fn role(text: &str) -> Result<Role, String> {
    Role::from_name(text.trim()).ok_or_else(|| {
        let names: Vec<_> = Role::ALL.iter().map(|r| r.name()).collect();
        format!(
            "no role is called \"{text}\"; there are {}",
            names.join(", ")
        )
    })
}

fn role_and_text(text: &str) -> Result<(Role, String), String> {
    let (name, value) = text
        .split_once('=')
        .ok_or("a column is given as ROLE=NAME, a unit as ROLE=UNIT")?;
    Ok((role(name)?, value.trim().to_owned()))
}

/// Says what a file's columns are taken for.
pub fn look(args: &ColumnsArgs) -> Result<(), Failure> {
    let opening = opened(&args.run.file)?;
    let columns = args.run.columns(&opening)?;
    deliver(None, &Look(&opening, &columns).to_string())?;
    columns
        .on(&opening)
        .map_err(|e| Failure::table(&args.run.file, e))?;
    Ok(())
}

/// Reads, judges, answers.
pub fn run(args: &RunArgs) -> Result<u8, Failure> {
    let options = Options::new(args.cut_off_hz, args.longer_than_s)
        .map_err(|e| Failure::Usage(format!("--{}", e.to_string().replace('_', "-"))))?;
    let file = &args.run.file;
    let opening = opened(file)?;
    let columns = args.run.columns(&opening)?;
    let channels = columns.on(&opening).map_err(|e| Failure::table(file, e))?;
    let ready = Ready {
        columns,
        channels,
        options,
    };
    let built = args.rider.build()?;
    let (sled, stances) = (args.sled.sled()?, args.sled.stances()?);
    let against = held::judged(&stances, args.stand.as_deref()).map_err(|have| {
        let name = args.stand.as_deref().unwrap_or_default();
        Failure::Usage(format!("--stand {name}: no such stance; there are {have}"))
    })?;
    let request = Request::new(&built.rider, &sled, &stances);
    let set = choice::kept(&sled, &args.set, "--set")?;
    let (set_up, taken) = choice::set_up(&request, &set)?;
    let regions = held::regions(&set_up, &against);
    let corners = held::corners(&request, &set_up, &against);
    let (surveyed, tallied) = twice(file, &opening, &ready, regions.clone(), corners)?;
    let judged = Judged {
        opening: &opening,
        ready: &ready,
        surveyed: &surveyed,
        tallied: &tallied,
        stances: &against,
        regions: &regions,
    };
    draw(args, &set_up, &judged)?;
    let document = RunDocument {
        format: FORMAT,
        schema: SCHEMA,
        settings: SettingsReport::new(&sled, &set_up.settings),
        taken,
        run: judged.report(&request, &set_up),
    };
    let text = if args.json {
        json(&document)?
    } else {
        document.to_string()
    };
    deliver(args.out.as_deref(), &text)?;
    Ok(DONE)
}

/// The file's start.
fn opened(path: &Path) -> Result<Opening, Failure> {
    let file = File::open(path).map_err(Failure::read(path))?;
    let mut head = Vec::new();
    // One byte more tells whether the file goes on.
    let most = HEAD as u64 + 1;
    file.take(most)
        .read_to_end(&mut head)
        .map_err(Failure::read(path))?;
    let whole = head.len() <= HEAD;
    head.truncate(HEAD);
    Opening::read(&head, whole).map_err(|e| Failure::table(path, e))
}

impl FileArgs {
    /// The mapping: from its file or guessed, then what the options say; kept where it is to be.
    fn columns(&self, opening: &Opening) -> Result<Columns, Failure> {
        let wrong = |e: ColumnsError| Failure::table(&self.file, e);
        let mut columns = match &self.columns {
            Some(path) => {
                let text = read_text(path)?;
                Columns::read(&text).map_err(|e| Failure::table(path, e))?
            }
            None => Columns::guess(opening),
        };
        for (role, name) in &self.column {
            if name.is_empty() {
                columns.remove(*role);
                continue;
            }
            let place = opening.names.iter().position(|n| n == name);
            let said = place.and_then(|i| opening.units[i]);
            let before = columns.of(*role).map(|c| c.unit);
            let given = self.unit.iter().find(|(r, _)| r == role);
            let unit = match given {
                Some((role, text)) => Some(unit_of(*role, text).map_err(wrong)?),
                None => said.filter(|u| u.quantity() == role.quantity()).or(before),
            };
            let Some(unit) = unit else {
                return Err(Failure::Usage(format!(
                    "--unit {}: the file does not say the unit of \"{name}\"; name it",
                    role.name()
                )));
            };
            let column = Column {
                role: *role,
                name: name.clone(),
                unit,
                reversed: false,
            };
            columns.set(column).map_err(wrong)?;
        }
        for (role, text) in &self.unit {
            let unit = unit_of(*role, text).map_err(wrong)?;
            let column = named(&columns, *role, "--unit")?;
            columns.set(Column { unit, ..column }).map_err(wrong)?;
        }
        for role in &self.reverse {
            let column = named(&columns, *role, "--reverse")?;
            let reversed = !column.reversed;
            columns.set(Column { reversed, ..column }).map_err(wrong)?;
        }
        if self.gravity_removed {
            columns.gravity = Gravity::Removed;
        }
        if let Some(path) = &self.keep_columns {
            let text = columns.write().map_err(|e| Failure::Fault(e.to_string()))?;
            write_whole(path, text.as_bytes())?;
        }
        Ok(columns)
    }
}

fn named(columns: &Columns, role: Role, option: &str) -> Result<Column, Failure> {
    columns.of(role).cloned().ok_or_else(|| {
        Failure::Usage(format!(
            "{option} {name}: no column is named for it; give --column {name}=NAME",
            name = role.name()
        ))
    })
}

/// Both readings, against what is held in the side view and across.
fn twice(
    path: &Path,
    opening: &Opening,
    ready: &Ready,
    regions: Vec<Region>,
    corners: Vec<Region>,
) -> Result<(Surveyed, Tallied), Failure> {
    let (channels, options) = (&ready.channels, &ready.options);
    let size = std::fs::metadata(path).map_or(0, |m| m.len());
    let bar = progress("bytes", 2 * size, 0);
    let mut chunk = vec![0; CHUNK];
    let mut read = |take: &mut dyn FnMut(&[u8])| {
        let mut file = File::open(path).map_err(Failure::read(path))?;
        loop {
            let count = file.read(&mut chunk).map_err(Failure::read(path))?;
            if count == 0 {
                return Ok::<(), Failure>(());
            }
            take(&chunk[..count]);
            bar.inc(count as u64);
        }
    };
    let mut survey = Survey::new(opening, channels, options);
    read(&mut |bytes| survey.push(bytes))?;
    let surveyed = survey.finish().map_err(|e| Failure::table(path, e))?;
    let mut tally = Tally::new(opening, channels, &surveyed, options, regions, corners);
    read(&mut |bytes| tally.push(bytes))?;
    bar.finish_and_clear();
    Ok((surveyed, tally.finish()))
}

fn draw(args: &RunArgs, set_up: &SetUp, judged: &Judged) -> Result<(), Failure> {
    let theme = args.theme.into();
    if let Some(path) = &args.svg
        && let Some(view) = judged.envelope(set_up, ENVELOPE)
    {
        write_whole(path, svg::envelope_document(&view, theme).as_bytes())?;
    }
    if let Some(path) = &args.track {
        let view = judged.track(TRACK).ok_or_else(|| {
            Failure::Usage(
                "--track: the run has no positions; name columns for latitude and longitude"
                    .to_owned(),
            )
        })?;
        write_whole(path, svg::envelope_document(&view, theme).as_bytes())?;
    }
    Ok(())
}

/// What a file's columns are taken for.
struct Look<'a>(&'a Opening, &'a Columns);

impl Display for Look<'_> {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        let Self(opening, columns) = self;
        writeln!(
            f,
            "Cells are parted by {}, the first row of numbers is line {}.",
            opening.delimiter.name(),
            opening.first_row
        )?;
        for note in &opening.notes {
            writeln!(f, "{note}")?;
        }
        for (i, name) in opening.names.iter().enumerate() {
            let taken = columns.all().iter().find(|c| c.name == *name);
            let taken = taken.map_or("not used".to_owned(), |c| {
                let way = if c.reversed { ", reversed" } else { "" };
                format!("{} in {}{way}", c.role.name(), c.unit.name())
            });
            let shown = opening.shown(i);
            writeln!(f, "  {:>2}. {name}: {taken} ({shown} …)", i + 1)?;
        }
        Ok(())
    }
}

impl Display for RunDocument {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        let run = &self.run;
        writeln!(f, "{}", run.says)?;
        choice::told(f, "stood", &self.settings, &self.taken)?;
        writeln!(f, "Held against: {}.", run.stances.join(", "))?;
        bullets(f, "How it was read", &run.reading())?;
        numbered(f, run.moments_title(), &run.moments)?;
        bullets(f, CHANGES_TITLE, &run.best_changes())?;
        bullets(f, SIDEWAYS_TITLE, &run.side_lines())?;
        bullets(f, SIDE_CHANGES_TITLE, &run.best_side_changes())?;
        bullets(f, "Laps", &run.lap_lines())?;
        bullets(f, "What to know", &run.notes)?;
        bullets(f, "Cautions", &run.cautions)
    }
}
