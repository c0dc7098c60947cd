//! `sledstance people`: fits every row of a table of people, on all cores, and can be stopped and taken up again.
//!
//! The output appears under its name with the first finished batch and is replaced whole by each further one. Every row
//! carries a key made from its own cells, the columns, the sled and the stances: a row whose key stands in the output is
//! not computed again, one whose key differs is.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use clap::Args;
use csv::StringRecord;
use rayon::prelude::*;

use super::choice::{self, Choice};
use super::failure::Failure;
use super::inputs::{SledArgs, sex};
use super::output::{deliver, json, progress, write_whole};
use crate::fit::report::{Report, StanceReport};
use crate::fit::{FitStatus, Keep, Request, Work, fit};
use crate::rider::{Measurement, Sex};
use crate::sled::Sled;
use crate::stance::Stance;
use summary::Summary;
use table::Table;

mod summary;
mod table;

pub use summary::{FORMAT, SCHEMA, Summary as PeopleSummary};

/// Options of `people`.
#[derive(Args, Debug)]
pub struct PeopleArgs {
    /// A table of people as CSV with a heading line. Columns are found by their names: those of ISO 7250-1 in snake case
    /// or those of ANSUR II, with _mm, _cm, _in, _kg or _lb at the end (mm and kg where nothing is said); sex, age_y,
    /// name or id. Other columns are passed over.
    #[arg(long, value_name = "CSV")]
    data: PathBuf,
    #[command(flatten)]
    sled: SledArgs,
    /// Where the results go, as CSV. What stands there from an earlier run is kept and not computed again.
    #[arg(long, value_name = "CSV")]
    out: PathBuf,
    /// A setting to leave as it is for everybody: names as for `fit --keep`. Repeatable.
    #[arg(long, value_name = "NAME=VALUE", value_parser = choice::parse)]
    keep: Vec<Choice>,
    /// Write the summary of all rows into this file as JSON (see `schema summary`), beside the words printed.
    #[arg(long, value_name = "JSON")]
    summary: Option<PathBuf>,
    /// Print the summary as JSON instead of words.
    #[arg(long)]
    json: bool,
    /// Sex of everybody where the table has no such column.
    #[arg(long, value_name = "m|f", value_parser = sex)]
    sex: Option<Sex>,
    /// Threads; left out: one for each core.
    #[arg(long, value_name = "COUNT")]
    threads: Option<usize>,
}

/// Rows between two writings of the output: a fiftieth of the table, so that little is lost and little is rewritten.
const BATCHES: usize = 50;
/// Bounds on the rows of a batch.
const BATCH: (usize, usize) = (8, 512);

/// Fits everybody and says how it went.
pub fn run(args: &PeopleArgs) -> Result<(), Failure> {
    let (_, sled_text) = args.sled.sled_text()?;
    let sled = args.sled.sled()?;
    let stances = args.sled.stances()?;
    let keep = choice::kept(&sled, &args.keep, "--keep")?;
    let table = Table::read(&args.data)?;
    let heading = heading(&stances);
    let mut done = earlier(&args.out, &heading)?;
    let salt = fingerprint([
        env!("CARGO_PKG_VERSION"),
        &sled_text,
        &format!("{stances:?}"),
        &format!("{:?} {:?} {keep:?}", table.columns, args.sex),
    ]);
    let keyed = |row: &StringRecord| format!("{:016x}", fingerprint_on(salt, row.iter()));
    let open: Vec<(usize, &StringRecord)> = (1..)
        .zip(&table.rows)
        .filter(|(number, row)| {
            let kept = done.get(number).and_then(|r| r.get(KEY));
            kept != Some(keyed(row).as_str())
        })
        .collect();
    // Rows that the table no longer has are not results of this table.
    done.retain(|number, _| *number <= table.rows.len());
    let kept = table.rows.len() - open.len();
    let pool = rayon::ThreadPoolBuilder::new()
        .num_threads(args.threads.unwrap_or(0))
        .build()
        .map_err(|e| Failure::Usage(format!("--threads: {e}")))?;
    let everybody = Everybody {
        sex: args.sex,
        sled: &sled,
        stances: &stances,
        keep,
    };
    let bar = progress("people", table.rows.len() as u64, kept as u64);
    let size = (table.rows.len() / BATCHES).clamp(BATCH.0, BATCH.1);
    for batch in open.chunks(size) {
        let fitted: Vec<(usize, StringRecord)> = pool.install(|| {
            batch
                .par_iter()
                .map(|&(number, row)| {
                    let record = everybody.fitted(&table, number, row, &keyed(row));
                    bar.inc(1);
                    (number, record)
                })
                .collect()
        });
        done.extend(fitted);
        write(&args.out, &heading, &done)?;
    }
    if open.is_empty() {
        write(&args.out, &heading, &done)?;
    }
    bar.finish_and_clear();
    let summary = Summary::of(done.values());
    if let Some(path) = &args.summary {
        write_whole(path, json(&summary)?.as_bytes())?;
    }
    if args.json {
        return deliver(None, &json(&summary)?);
    }
    let path = args.out.display();
    deliver(
        None,
        &format!("{summary}{kept} rows were there already. Written to {path}\n"),
    )
}

/// Index of the row's number, its key and its status in a result.
const ROW: usize = 0;
const KEY: usize = 1;
const STATUS: usize = 3;

/// Columns of a result before those of the stances.
const COLUMNS: [&str; 28] = [
    "row",
    "key",
    "id",
    "status",
    "because",
    "helps",
    "stature_mm",
    "mass_kg",
    "riser_height_mm",
    "riser_angle_deg",
    "bar_roll_deg",
    "stirrup_mm",
    "stirrup_position",
    "seat",
    "clamp",
    "bar",
    "objective",
    "stirrup_to_grip_mm",
    "stirrup_to_grip_forward_mm",
    "grip_height_mm",
    "seat_to_grip_mm",
    "brake_along_mm",
    "brake_roll_deg",
    "brake_lever_reach_mm",
    "throttle_along_mm",
    "throttle_roll_deg",
    "throttle_lever_reach_mm",
    "questioned",
];

/// Between two changes of parts that would help, in one cell.
const BETWEEN_HELPS: &str = " | ";

/// Columns of each stance.
const STANCE_COLUMNS: [&str; 8] = [
    "status",
    "cost",
    "short_landing_1g_g",
    "short_landing_2g_g",
    "start_g",
    "straight_drop_g",
    "leg_travel_mm",
    "hand_n",
];

fn heading(stances: &[Stance]) -> StringRecord {
    let mut heading = StringRecord::from(COLUMNS.to_vec());
    for stance in stances {
        for column in STANCE_COLUMNS {
            heading.push_field(&format!("{}_{column}", stance.name));
        }
    }
    heading
}

/// What is the same for every row.
struct Everybody<'a> {
    /// Sex where the table says none.
    sex: Option<Sex>,
    sled: &'a Sled,
    stances: &'a [Stance],
    keep: Keep,
}

impl Everybody<'_> {
    /// The result of one row.
    fn fitted(&self, table: &Table, number: usize, row: &StringRecord, key: &str) -> StringRecord {
        let (id, profile) = table.rider(row, self.sex);
        let mut record = StringRecord::from(vec![number.to_string().as_str(), key, &id]);
        let built = profile.and_then(|p| p.build().map_err(|e| e.to_string()));
        match built {
            Err(why) => {
                record.push_field("refused");
                record.push_field(&why);
            }
            Ok(built) => {
                let fit = fit(&Request {
                    keep: self.keep,
                    ..Request::new(&built.rider, self.sled, self.stances)
                });
                let (status, because, helps) = match &fit.status {
                    FitStatus::Fits => ("fits", "", String::new()),
                    FitStatus::Infeasible { binds, helps } => {
                        ("infeasible", binds.as_str(), helps.join(BETWEEN_HELPS))
                    }
                };
                for field in [status, because, &helps] {
                    record.push_field(field);
                }
                for name in [Measurement::Stature, Measurement::BodyMass] {
                    record.push_field(&rounded(built.estimate.mean(name)));
                }
                let report = Report::new(&built, self.sled, &fit, &Work::default());
                values(&mut record, &report, built.questioned.len());
            }
        }
        // A refused row has as many cells as any other.
        let all = COLUMNS.len() + STANCE_COLUMNS.len() * self.stances.len();
        while record.len() < all {
            record.push_field("");
        }
        record
    }
}

fn values(record: &mut StringRecord, report: &Report, questioned: usize) {
    let (s, d, l) = (&report.settings, &report.distances, &report.levers);
    let mut number = |value: f64| record.push_field(&rounded(value));
    number(s.riser_height_mm);
    number(s.riser_angle_deg);
    number(s.bar_roll_deg);
    number(s.stirrup_mm);
    record.push_field(
        &s.stirrup_position
            .map_or_else(String::new, |n| n.to_string()),
    );
    for name in [&s.seat, &s.clamp, &s.bar] {
        record.push_field(name);
    }
    let mut number = |value: f64| record.push_field(&rounded(value));
    number(report.objective.value);
    number(d.stirrup_to_grip_mm);
    number(d.stirrup_to_grip_forward_mm);
    number(d.grip_height_mm);
    number(d.seat_to_grip_mm);
    for lever in [&l.brake, &l.throttle] {
        number(lever.along_mm);
        number(lever.roll_deg);
        number(lever.lever_reach_mm);
    }
    record.push_field(&questioned.to_string());
    for stance in &report.stances {
        stance_values(record, stance);
    }
}

fn stance_values(record: &mut StringRecord, stance: &StanceReport) {
    record.push_field(stance.status);
    record.push_field(&rounded(stance.cost));
    let h = &stance.hold;
    let travel = stance.leg_travel_mm;
    let hand = stance.working.as_ref().map(|w| w.hand_n);
    for value in [
        h.short_landing_1g.g,
        h.short_landing_2g.g,
        h.start.g,
        h.straight_drop.g,
        travel,
        hand,
    ] {
        record.push_field(&value.map_or_else(String::new, rounded));
    }
}

/// Four decimals: finer than any of these can be measured.
fn rounded(value: f64) -> String {
    let text = format!("{value:.4}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// Results of an earlier run.
fn earlier(path: &Path, heading: &StringRecord) -> Result<BTreeMap<usize, StringRecord>, Failure> {
    let refuse = |because: String| Failure::table(path, because);
    let bytes = match fs::read(path) {
        Ok(bytes) => bytes,
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => return Ok(BTreeMap::new()),
        Err(error) => return Err(Failure::read(path)(error)),
    };
    let mut reader = csv::Reader::from_reader(bytes.as_slice());
    if reader.headers().map_err(|e| refuse(e.to_string()))? != heading {
        return Err(refuse(
            "stands there already and is no output of this command with these stances: name another".to_owned(),
        ));
    }
    reader
        .records()
        .map(|record| {
            let record = record.map_err(|e| refuse(e.to_string()))?;
            let number = record[ROW].parse();
            Ok((
                number.map_err(|_| refuse(format!("row \"{}\" has no number", &record[ROW])))?,
                record,
            ))
        })
        .collect()
}

fn write(
    path: &Path,
    heading: &StringRecord,
    rows: &BTreeMap<usize, StringRecord>,
) -> Result<(), Failure> {
    let fault = |e: csv::Error| Failure::Fault(e.to_string());
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(heading).map_err(fault)?;
    for record in rows.values() {
        writer.write_record(record).map_err(fault)?;
    }
    let bytes = writer
        .into_inner()
        .map_err(|e| Failure::Fault(e.to_string()))?;
    write_whole(path, &bytes)
}

/// FNV-1a (Fowler, Noll, Vo) over parts, each closed by a byte that no text holds.
fn fingerprint<'a>(parts: impl IntoIterator<Item = &'a str>) -> u64 {
    fingerprint_on(0xcbf2_9ce4_8422_2325, parts)
}

fn fingerprint_on<'a>(start: u64, parts: impl IntoIterator<Item = &'a str>) -> u64 {
    let step = |hash: u64, byte: u8| (hash ^ u64::from(byte)).wrapping_mul(0x0000_0100_0000_01b3);
    parts.into_iter().fold(start, |hash, part| {
        step(part.bytes().fold(hash, step), 0xff)
    })
}
