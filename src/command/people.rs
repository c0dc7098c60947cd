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

use super::failure::Failure;
use super::inputs::{SledArgs, sex};
use super::output::{deliver, progress, write_whole};
use crate::fit::report::{Report, StanceReport};
use crate::fit::{FitStatus, Request, Work, fit};
use crate::rider::{Measurement, MeasurementEntry, RiderProfile, Sex, Unit};
use crate::sled::Sled;
use crate::stance::Stance;
use crate::units::{KG_PER_POUND, MM_PER_INCH, MM_PER_M};

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
    let table = Table::read(&args.data)?;
    let heading = heading(&stances);
    let mut done = earlier(&args.out, &heading)?;
    let salt = fingerprint([
        env!("CARGO_PKG_VERSION"),
        &sled_text,
        &format!("{stances:?}"),
        &format!("{:?} {:?}", table.columns, args.sex),
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
    let bar = progress("people", table.rows.len() as u64, kept as u64);
    let size = (table.rows.len() / BATCHES).clamp(BATCH.0, BATCH.1);
    for batch in open.chunks(size) {
        let fitted: Vec<(usize, StringRecord)> = pool.install(|| {
            batch
                .par_iter()
                .map(|&(number, row)| {
                    let record =
                        fitted(&table, number, row, args.sex, &sled, &stances, &keyed(row));
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
    deliver(None, &summary(&args.out, &done, kept))
}

/// What a column of the table holds.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Column {
    Id,
    Sex,
    Age,
    /// A measurement, and what makes mm or kg of its cells.
    Measured(Measurement, f64),
    Other,
}

/// ANSUR II's names where they differ from ISO 7250-1's by more than underscores.
const ANSUR_NAMES: [(&str, Measurement); 5] = [
    ("weight", Measurement::BodyMass),
    ("mass", Measurement::BodyMass),
    ("acromialheight", Measurement::ShoulderHeight),
    ("forearmcenterofgriplength", Measurement::ElbowGripLength),
    ("forearmhandlength", Measurement::ForearmFingertipLength),
];

/// Units that a column's name can end in, with what makes mm or kg of them.
const UNITS: [(&str, Unit, f64); 6] = [
    ("_mm", Unit::Mm, 1.0),
    ("_cm", Unit::Mm, 10.0),
    ("_in", Unit::Mm, MM_PER_INCH),
    ("_m", Unit::Mm, MM_PER_M),
    ("_kg", Unit::Kg, 1.0),
    ("_lb", Unit::Kg, KG_PER_POUND),
];

impl Column {
    fn of(name: &str) -> Self {
        let name = name
            .trim()
            .trim_start_matches('\u{feff}')
            .to_ascii_lowercase();
        match name.as_str() {
            "id" | "subjectid" | "name" | "rider" => return Self::Id,
            "sex" | "gender" => return Self::Sex,
            "age" | "age_y" => return Self::Age,
            _ => {}
        }
        let unit = UNITS.iter().find(|(suffix, ..)| name.ends_with(suffix));
        let bare = unit.map_or(name.as_str(), |(suffix, ..)| {
            &name[..name.len() - suffix.len()]
        });
        let plain = |text: &str| text.replace(['_', ' ', '-'], "");
        let wanted = plain(bare);
        let iso = Measurement::ALL
            .into_iter()
            .find(|m| plain(m.name()) == wanted);
        let ansur = || {
            ANSUR_NAMES
                .iter()
                .find(|(n, _)| *n == wanted)
                .map(|(_, m)| *m)
        };
        match (iso.or_else(ansur), unit) {
            (Some(measurement), None) => Self::Measured(measurement, 1.0),
            (Some(measurement), Some((_, unit, factor))) if measurement.unit() == *unit => {
                Self::Measured(measurement, *factor)
            }
            _ => Self::Other,
        }
    }
}

/// A table of people.
struct Table {
    columns: Vec<Column>,
    rows: Vec<StringRecord>,
}

impl Table {
    fn read(path: &Path) -> Result<Self, Failure> {
        let refuse = |because: String| Failure::Table {
            path: path.to_owned(),
            because,
        };
        let bytes = fs::read(path).map_err(|source| Failure::Read {
            path: path.to_owned(),
            source,
        })?;
        let mut reader = csv::ReaderBuilder::new()
            .trim(csv::Trim::All)
            .from_reader(bytes.as_slice());
        let names = reader.headers().map_err(|e| refuse(e.to_string()))?.clone();
        let columns: Vec<Column> = names.iter().map(Column::of).collect();
        for needed in [Measurement::Stature, Measurement::BodyMass] {
            let count = columns
                .iter()
                .filter(|c| matches!(c, Column::Measured(m, _) if *m == needed))
                .count();
            if count != 1 {
                return Err(refuse(format!(
                    "line 1: {count} columns hold {}; exactly one must (such as stature_mm, mass_kg)",
                    needed.name()
                )));
            }
        }
        let rows = reader
            .records()
            .collect::<Result<Vec<_>, _>>()
            .map_err(|e| refuse(e.to_string()))?;
        if rows.is_empty() {
            return Err(refuse(
                "no people: nothing follows the heading line".to_owned(),
            ));
        }
        Ok(Self { columns, rows })
    }

    /// The rider of a row, or why it is none; and what the row calls the rider.
    fn rider(
        &self,
        row: &StringRecord,
        everybody: Option<Sex>,
    ) -> (String, Result<RiderProfile, String>) {
        let mut profile = RiderProfile {
            sex: everybody.unwrap_or_default(),
            ..RiderProfile::default()
        };
        let mut fault = None;
        for (column, cell) in self.columns.iter().zip(row) {
            if cell.is_empty() {
                continue;
            }
            match *column {
                Column::Other => {}
                Column::Id => profile.name = cell.to_owned(),
                Column::Sex => match sex(cell) {
                    Ok(sex) => profile.sex = sex,
                    Err(why) => fault = fault.or(Some(format!("sex: {why}"))),
                },
                Column::Age => match cell.parse() {
                    Ok(age) => profile.age_y = Some(age),
                    Err(_) => fault = fault.or(Some(format!("age_y: \"{cell}\" is not a number"))),
                },
                Column::Measured(name, factor) => match cell.parse::<f64>() {
                    Ok(value) => profile.measurements.push(entry(name, value * factor)),
                    Err(_) => {
                        let why = format!("{}: \"{cell}\" is not a number", name.name());
                        fault = fault.or(Some(why));
                    }
                },
            }
        }
        (profile.name.clone(), fault.map_or(Ok(profile), Err))
    }
}

fn entry(name: Measurement, value: f64) -> MeasurementEntry {
    let (value_mm, value_kg) = match name.unit() {
        Unit::Mm => (Some(value), None),
        Unit::Kg => (None, Some(value)),
    };
    MeasurementEntry {
        name,
        value_mm,
        value_kg,
        sd_mm: None,
        sd_kg: None,
    }
}

/// Index of the row's number, its key and its status in a result.
const ROW: usize = 0;
const KEY: usize = 1;
const STATUS: usize = 3;

/// Columns of a result before those of the stances.
const COLUMNS: [&str; 24] = [
    "row",
    "key",
    "id",
    "status",
    "because",
    "riser_height_mm",
    "riser_angle_deg",
    "bar_roll_deg",
    "stirrup_mm",
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

/// The result of one row.
fn fitted(
    table: &Table,
    number: usize,
    row: &StringRecord,
    everybody: Option<Sex>,
    sled: &Sled,
    stances: &[Stance],
    key: &str,
) -> StringRecord {
    let (id, profile) = table.rider(row, everybody);
    let mut record = StringRecord::from(vec![number.to_string().as_str(), key, &id]);
    let built = profile.and_then(|p| p.build().map_err(|e| e.to_string()));
    match built {
        Err(why) => {
            record.push_field("refused");
            record.push_field(&why);
        }
        Ok(built) => {
            let fit = fit(&Request::new(&built.rider, sled, stances));
            let (status, because) = match &fit.status {
                FitStatus::Fits => ("fits", ""),
                FitStatus::Infeasible { binds, .. } => ("infeasible", binds.as_str()),
            };
            record.push_field(status);
            record.push_field(because);
            let report = Report::new(&built, sled, &fit, &Work::default());
            values(&mut record, &report, built.questioned.len());
        }
    }
    // A refused row has as many cells as any other.
    let all = COLUMNS.len() + STANCE_COLUMNS.len() * stances.len();
    while record.len() < all {
        record.push_field("");
    }
    record
}

fn values(record: &mut StringRecord, report: &Report, questioned: usize) {
    let (s, d, l) = (&report.settings, &report.distances, &report.levers);
    let mut number = |value: f64| record.push_field(&rounded(value));
    number(s.riser_height_mm);
    number(s.riser_angle_deg);
    number(s.bar_roll_deg);
    number(s.stirrup_mm);
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
    let refuse = |because: String| Failure::Table {
        path: path.to_owned(),
        because,
    };
    let bytes = match fs::read(path) {
        Ok(bytes) => bytes,
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => return Ok(BTreeMap::new()),
        Err(source) => {
            return Err(Failure::Read {
                path: path.to_owned(),
                source,
            });
        }
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

/// How it went, in a few lines.
fn summary(path: &Path, rows: &BTreeMap<usize, StringRecord>, kept: usize) -> String {
    let count = |status: &str| rows.values().filter(|r| &r[STATUS] == status).count();
    let mut lines = vec![format!(
        "{} people: {} fit, {} infeasible, {} refused; {kept} were there already. Written to {}",
        rows.len(),
        count("fits"),
        count("infeasible"),
        count("refused"),
        path.display()
    )];
    for name in [
        "riser_height_mm",
        "riser_angle_deg",
        "bar_roll_deg",
        "stirrup_mm",
    ] {
        let Some(index) = COLUMNS.iter().position(|c| *c == name) else {
            continue;
        };
        let mut values: Vec<f64> = rows
            .values()
            .filter(|r| &r[STATUS] == "fits")
            .filter_map(|r| r[index].parse().ok())
            .collect();
        if values.is_empty() {
            continue;
        }
        values.sort_by(f64::total_cmp);
        let at = |share: f64| values[((values.len() - 1) as f64 * share) as usize];
        lines.push(format!(
            "  {name}: {:.1}, {:.1}, {:.1} (5, 50, 95 of 100)",
            at(0.05),
            at(0.5),
            at(0.95)
        ));
    }
    for record in rows.values().filter(|r| &r[STATUS] == "refused").take(5) {
        lines.push(format!(
            "  row {} refused: {}",
            &record[ROW],
            &record[STATUS + 1]
        ));
    }
    lines.join("\n") + "\n"
}
