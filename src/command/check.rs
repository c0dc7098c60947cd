//! `sledstance check`: validates documents of every kind.

use std::path::{Path, PathBuf};

use clap::Args;

use super::book;
use super::failure::Failure;
use super::inputs::{in_file, read_text, rider_value, sled_value, stance_value};
use super::output::deliver;
use crate::document;
use crate::log;
use crate::rider::{self, RiderProfile};
use crate::run;
use crate::sled::{SledProfile, profile as sled};
use crate::stance::{StanceProfile, profile as stance};

/// Options of `check`.
#[derive(Args, Debug)]
pub struct CheckArgs {
    /// Documents.
    #[arg(required = true, value_name = "FILE")]
    files: Vec<PathBuf>,
}

/// Says of each file whether it is sound, and fails where one is not.
pub fn run(args: &CheckArgs) -> Result<(), Failure> {
    each(&args.files, checked)
}

/// Says of each file what a check says, and fails where one is wrong.
pub fn each(
    files: &[PathBuf],
    checked: impl Fn(&Path) -> Result<String, Failure>,
) -> Result<(), Failure> {
    let mut wrong = 0;
    let mut unread = None;
    for path in files {
        match checked(path) {
            Ok(says) => deliver(None, &format!("{}: {says}\n", path.display()))?,
            Err(failure) => {
                wrong += 1;
                eprintln!("{failure}");
                if matches!(failure, Failure::Read { .. }) {
                    unread = Some(failure);
                }
            }
        }
    }
    let all = files.len();
    match (wrong, unread) {
        (0, _) => Ok(()),
        (wrong, Some(failure)) if wrong == all && all == 1 => Err(failure),
        (wrong, _) => Err(Failure::Checked { wrong, all }),
    }
}

/// What the file is, in words.
fn checked(path: &Path) -> Result<String, Failure> {
    let text = read_text(path)?;
    let file = path.display().to_string();
    let kinds = [
        rider::FORMAT,
        sled::FORMAT,
        stance::FORMAT,
        log::FORMAT,
        run::FORMAT,
    ]
    .join(", ");
    let head = document::head(&text, &kinds).map_err(in_file(path))?;
    if head.format == rider::FORMAT {
        let profile = RiderProfile::read(&text).map_err(in_file(path))?;
        let built = profile
            .build()
            .map_err(|error| rider_value(&file, &text, &profile, error))?;
        let given = built.reported().iter().filter(|m| m.given).count();
        let mut says = format!(
            "sound: a rider, \"{}\", {given} measurements given",
            profile.name
        );
        for warning in &built.warnings {
            says.push_str(&format!("\n  note: {warning}"));
        }
        return Ok(says);
    }
    if head.format == sled::FORMAT {
        let profile = SledProfile::read(&text).map_err(in_file(path))?;
        let resolved = profile
            .resolve()
            .map_err(|error| sled_value(&file, &text, error))?;
        let mut says = format!("sound: a sled, \"{}\"", resolved.name);
        if !resolved.assumed.is_empty() {
            says.push_str(&format!(
                "\n  assumed, not measured: {}",
                resolved.assumed.join(", ")
            ));
        }
        for unusual in &resolved.unusual {
            says.push_str(&format!("\n  note: {unusual}"));
        }
        return Ok(says);
    }
    if head.format == log::FORMAT {
        return book::says(path, &text);
    }
    if head.format == run::FORMAT {
        let columns = run::Columns::read(&text).map_err(|e| Failure::table(path, e))?;
        let roles: Vec<_> = columns.all().iter().map(|c| c.role.name()).collect();
        return Ok(format!("sound: a run's columns: {}", roles.join(", ")));
    }
    // Whatever is none of the kinds is answered as a stance's file of the wrong kind would be, with all kinds named.
    if head.format != stance::FORMAT {
        return Err(in_file(path)(document::DocumentError::WrongKind {
            found: head.format,
            expected: kinds,
        }));
    }
    let profile = StanceProfile::read(&text).map_err(in_file(path))?;
    let resolved = profile
        .resolve()
        .map_err(|error| stance_value(&file, &text, error))?;
    Ok(format!("sound: a stance, \"{}\"", resolved.name))
}
