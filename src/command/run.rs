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
use super::output::{deliver, progress, write_whole};
use crate::fit::report::SettingsReport;
use crate::fit::{self, Keep, Request, SetUp};
use crate::run::report::{CHANGES_TITLE, Found, RunReport, SIDEWAYS_TITLE};
use crate::run::{
    Channels, Column, Columns, Gravity, HEAD, Opening, Options, Role, Survey, Tallied, Tally, held,
    unit_of,
};
use crate::view::envelope::{Recorded, envelope_with_run};
use crate::view::{svg, track};

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
    match columns.on(&opening) {
        Ok(_) => Ok(()),
        Err(error) => Err(unfit(&args.run.file, &error)),
    }
}

/// Reads, judges, answers.
pub fn run(args: &RunArgs) -> Result<u8, Failure> {
    let options = Options::new(args.cut_off_hz, args.longer_than_s)
        .map_err(|e| Failure::Usage(format!("--{}", e.to_string().replace('_', "-"))))?;
    let file = &args.run.file;
    let opening = opened(file)?;
    let columns = args.run.columns(&opening)?;
    let channels = columns.on(&opening).map_err(|e| unfit(file, &e))?;
    let built = args.rider.build()?;
    let (sled, stances) = (args.sled.sled()?, args.sled.stances()?);
    let judged = held::judged(&stances, args.stand.as_deref()).map_err(|have| {
        let name = args.stand.as_deref().unwrap_or_default();
        Failure::Usage(format!("--stand {name}: no such stance; there are {have}"))
    })?;
    let request = Request::new(&built.rider, &sled, &stances);
    let set = choice::kept(&sled, &args.set, "--set")?;
    let (set_up, taken) = if set == Keep::default() {
        (fit::fit(&request).best, Vec::new())
    } else {
        let (settings, taken) = choice::completed(&set, &sled)?;
        (fit::evaluate(&request, settings), taken)
    };
    let regions = held::regions(&set_up, &judged);
    let corners = held::corners(&request, &set_up, &judged);
    let against = (regions.clone(), corners);
    let (surveyed, tallied) = twice(file, &opening, &channels, &options, against)?;
    let loads: Vec<[f64; 2]> = tallied.hold.moments.iter().map(|m| m.f).collect();
    let changes = held::changes(&request, &set_up, &judged, &loads);
    let report = RunReport::new(&Found {
        columns: &columns,
        opening: &opening.notes,
        options: &options,
        surveyed: &surveyed,
        tallied: &tallied,
        stances: judged.iter().map(|s| s.name.clone()).collect(),
        changes: &changes,
    });
    draw(args, &set_up, &regions, &tallied)?;
    let document = RunDocument {
        format: FORMAT,
        schema: SCHEMA,
        settings: SettingsReport::new(&sled, &set_up.settings),
        taken,
        run: report,
    };
    let text = if args.json {
        serde_json::to_string_pretty(&document).map_err(|e| Failure::Fault(e.to_string()))? + "\n"
    } else {
        document.to_string()
    };
    deliver(args.out.as_deref(), &text)?;
    Ok(DONE)
}

/// For what is wrong with the file.
fn unfit(path: &Path, because: &dyn Display) -> Failure {
    Failure::Table {
        path: path.to_owned(),
        because: because.to_string(),
    }
}

fn unread(path: &Path) -> impl Fn(std::io::Error) -> Failure {
    let path = path.to_owned();
    move |source| Failure::Read {
        path: path.clone(),
        source,
    }
}

/// The file's start.
fn opened(path: &Path) -> Result<Opening, Failure> {
    let file = File::open(path).map_err(unread(path))?;
    let mut head = Vec::new();
    // One byte more tells whether the file goes on.
    let most = HEAD as u64 + 1;
    file.take(most)
        .read_to_end(&mut head)
        .map_err(unread(path))?;
    let whole = head.len() <= HEAD;
    head.truncate(HEAD);
    Opening::read(&head, whole).map_err(|e| unfit(path, &e))
}

impl FileArgs {
    /// The mapping: from its file or guessed, then what the options say; kept where it is to be.
    fn columns(&self, opening: &Opening) -> Result<Columns, Failure> {
        let wrong = |path: &Path| {
            let path = path.to_owned();
            move |e: crate::run::ColumnsError| unfit(&path, &e)
        };
        let mut columns = match &self.columns {
            Some(path) => Columns::read(&read_text(path)?).map_err(wrong(path))?,
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
                Some((role, text)) => Some(unit_of(*role, text).map_err(wrong(&self.file))?),
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
            columns.set(column).map_err(wrong(&self.file))?;
        }
        for (role, text) in &self.unit {
            let unit = unit_of(*role, text).map_err(wrong(&self.file))?;
            let column = named(&columns, *role, "--unit")?;
            columns
                .set(Column { unit, ..column })
                .map_err(wrong(&self.file))?;
        }
        for role in &self.reverse {
            let column = named(&columns, *role, "--reverse")?;
            let reversed = !column.reversed;
            columns
                .set(Column { reversed, ..column })
                .map_err(wrong(&self.file))?;
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
    channels: &Channels,
    options: &Options,
    (regions, corners): (Vec<crate::run::Region>, Vec<crate::run::Region>),
) -> Result<(crate::run::Surveyed, Tallied), Failure> {
    let size = std::fs::metadata(path).map_or(0, |m| m.len());
    let bar = progress("bytes", 2 * size, 0);
    let mut chunk = vec![0; CHUNK];
    let mut read = |take: &mut dyn FnMut(&[u8])| {
        let mut file = File::open(path).map_err(unread(path))?;
        loop {
            let count = file.read(&mut chunk).map_err(unread(path))?;
            if count == 0 {
                return Ok::<(), Failure>(());
            }
            take(&chunk[..count]);
            bar.inc(count as u64);
        }
    };
    let mut survey = Survey::new(opening, channels, options);
    read(&mut |bytes| survey.push(bytes))?;
    let surveyed = survey.finish().map_err(|e| unfit(path, &e))?;
    let mut tally = Tally::new(opening, channels, &surveyed, options, regions, corners);
    read(&mut |bytes| tally.push(bytes))?;
    bar.finish_and_clear();
    Ok((surveyed, tally.finish()))
}

fn draw(
    args: &RunArgs,
    set_up: &SetUp,
    regions: &[crate::run::Region],
    tallied: &Tallied,
) -> Result<(), Failure> {
    let moments = &tallied.hold.moments;
    let theme = args.theme.theme();
    if let Some(path) = &args.svg {
        // In front is the stance that holds the hardest moment best.
        let front = moments
            .first()
            .map(|m| &m.stance)
            .or(regions.first().map(|r| &r.name));
        let result = set_up.stances.iter().find(|s| Some(&s.name) == front);
        if let Some(result) = result {
            let at: Vec<(f64, f64)> = moments.iter().map(|m| (m.f[0], m.f[1])).collect();
            let recorded = Recorded {
                density: &tallied.hold.density,
                regions,
                moments: &at,
            };
            let view = envelope_with_run(&result.hold, &recorded, ENVELOPE.0, ENVELOPE.1);
            write_whole(path, svg::envelope_document(&view, theme).as_bytes())?;
        }
    }
    if let Some(path) = &args.track {
        let view = track::track(&tallied.track, moments, TRACK.0, TRACK.1).ok_or_else(|| {
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
            let shown: Vec<&str> = opening
                .preview
                .iter()
                .take(3)
                .filter_map(|row| row.get(i).map(String::as_str))
                .collect();
            writeln!(
                f,
                "  {:>2}. {name}: {taken} ({} …)",
                i + 1,
                shown.join(", ")
            )?;
        }
        Ok(())
    }
}

impl Display for RunDocument {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        let (s, run) = (&self.settings, &self.run);
        writeln!(f, "{}", run.says)?;
        writeln!(
            f,
            "\nThe sled stood at: riser {:.0} mm at {:.1}°, bar roll {:.1}°, stirrups {:.0} mm, {} seat, {} clamp, {} bar.",
            s.riser_height_mm,
            s.riser_angle_deg,
            s.bar_roll_deg,
            s.stirrup_mm,
            s.seat,
            s.clamp,
            s.bar
        )?;
        if !self.taken.is_empty() {
            writeln!(
                f,
                "Not given and taken as a sled comes: {}.",
                self.taken.join(", ")
            )?;
        }
        writeln!(f, "Held against: {}.", run.stances.join(", "))?;
        bullets(f, "How it was read", &run.reading())?;
        numbered(f, run.moments_title(), &run.moments)?;
        let changes: Vec<String> = run.best_changes();
        bullets(f, CHANGES_TITLE, &changes)?;
        bullets(f, SIDEWAYS_TITLE, &run.side_lines())?;
        bullets(f, "Laps", &run.lap_lines())?;
        bullets(f, "What to know", &run.notes)?;
        bullets(f, "Cautions", &run.cautions)
    }
}

fn heading(f: &mut Formatter<'_>, text: &str) -> fmt::Result {
    writeln!(f, "\n{text}\n{}", "-".repeat(text.chars().count()))
}

fn bullets<T: Display>(f: &mut Formatter<'_>, title: &str, lines: &[T]) -> fmt::Result {
    if lines.is_empty() {
        return Ok(());
    }
    heading(f, title)?;
    for line in lines {
        writeln!(f, "  - {line}")?;
    }
    Ok(())
}

fn numbered<T: Display>(f: &mut Formatter<'_>, title: &str, lines: &[T]) -> fmt::Result {
    if lines.is_empty() {
        return Ok(());
    }
    heading(f, title)?;
    for (i, line) in lines.iter().enumerate() {
        writeln!(f, "  {:>2}. {line}", i + 1)?;
    }
    Ok(())
}
