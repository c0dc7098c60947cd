//! `sledstance book add`: an entry from options, for scripts and for who prefers a keyboard.
//!
//! Here, outside the core, are the clock and the randomness that an entry's identifier is made of.

use std::hash::{BuildHasher, RandomState};
use std::path::PathBuf;
use std::time::{SystemTime, UNIX_EPOCH};

use clap::{ArgGroup, Args};

use super::{PairArgs, none_set, of_text, resolved, whole};
use crate::command::choice::{self, Choice};
use crate::command::failure::Failure;
use crate::command::inputs::read_text;
use crate::command::output::{deliver, write_whole};
use crate::fit::Keep;
use crate::log::form::{ChangeRecord, ComplaintForm, FeltRecord, NoteRecord};
use crate::log::{About, Entry, EntryForm, Id, Reading, SetUpForm, What, words};
use crate::sled::Settings;
use crate::units::text::System;

/// Options of `book add`.
#[derive(Args, Debug)]
#[command(group(ArgGroup::new("what").required(true).multiple(false).args(["felt", "well", "set", "note"])))]
pub struct AddArgs {
    /// The book; it is written anew, whole or not at all.
    file: PathBuf,
    #[command(flatten)]
    pair: PairArgs,
    /// A complaint with its strength, 1 noticed to 3 stops the rider: numb_hands=2. Repeatable.
    #[arg(long, value_name = "COMPLAINT=1|2|3", value_parser = complaint)]
    felt: Vec<(String, u8)>,
    /// The rider rode and has nothing to complain of.
    #[arg(long)]
    well: bool,
    /// In the rider's words, with --felt or --well.
    #[arg(long, value_name = "TEXT", conflicts_with_all = ["set", "note"])]
    words: Option<String>,
    /// Lap or heat, with --felt or --well.
    #[arg(long, value_name = "TEXT", conflicts_with_all = ["set", "note"])]
    lap: Option<String>,
    /// A setting that was changed: riser_angle=14. Repeatable for one change; names are those of `pose --set`.
    #[arg(long, value_name = "NAME=VALUE", value_parser = choice::parse, requires = "why")]
    set: Vec<Choice>,
    /// Why it was changed, with --set.
    #[arg(long, value_name = "TEXT", requires = "set")]
    why: Option<String>,
    /// A complaint that the change answers, with --set. Repeatable.
    #[arg(long, value_name = "COMPLAINT", requires = "set")]
    answers: Vec<String>,
    /// Minutes that the change took, with --set.
    #[arg(long, value_name = "MINUTES", requires = "set")]
    minutes: Option<f64>,
    /// A note.
    #[arg(long, value_name = "TEXT")]
    note: Option<String>,
    /// What this device is called.
    #[arg(long, value_name = "NAME", default_value = "command line")]
    device: String,
}

fn complaint(text: &str) -> Result<(String, u8), String> {
    let (name, strength) = text
        .split_once('=')
        .ok_or("a complaint is given as COMPLAINT=STRENGTH, such as numb_hands=2")?;
    let strength = strength
        .trim()
        .parse()
        .map_err(|_| format!("{name}: \"{strength}\" is not 1, 2 or 3"))?;
    Ok((name.trim().to_owned(), strength))
}

pub fn run(args: &AddArgs) -> Result<(), Failure> {
    let mut book = of_text(&args.file, &read_text(&args.file)?)?;
    let reading = Reading::new(&book);
    let (rider, sled) = args.pair.find(&reading)?;
    let what = args.what(&reading, rider, sled)?;
    let off_shelf = match &what {
        What::Change(change) => reading.off_shelf(sled, &change.to, System::Metric),
        _ => Vec::new(),
    };
    let at_ms = now()?;
    let form = EntryForm {
        id: book.next_id(at_ms, random(), None),
        at_ms,
        device: args.device.clone(),
        happened_ms: None,
        supersedes: None,
        about: About::both(rider, sled),
        what,
    };
    let entry = Entry::new(form).map_err(|e| Failure::Usage(e.to_string()))?;
    let mut says = format!(
        "{} {}: {}\n",
        entry.id(),
        entry.what().label(),
        words::line(&entry, System::Metric)
    );
    if !off_shelf.is_empty() {
        says += &format!("On the shelf: {}.\n", off_shelf.join(", "));
    }
    book.insert(entry);
    write_whole(&args.file, whole(&book)?.as_bytes())?;
    deliver(None, &says)
}

impl AddArgs {
    fn what(&self, reading: &Reading, rider: Id, sled: Id) -> Result<What, Failure> {
        if let Some(words) = &self.note {
            let words = words.clone();
            return Ok(What::Note(NoteRecord { words }));
        }
        if self.set.is_empty() {
            let each = self.felt.iter().cloned();
            return Ok(What::Felt(FeltRecord {
                complaints: each
                    .map(|(complaint, strength)| ComplaintForm {
                        complaint,
                        strength,
                    })
                    .collect(),
                words: self.words.clone(),
                lap: self.lap.clone(),
                place: None,
            }));
        }
        self.change(reading, rider, sled)
    }

    fn change(&self, reading: &Reading, rider: Id, sled: Id) -> Result<What, Failure> {
        let from = reading
            .set_up(rider, sled, None)
            .ok_or_else(|| none_set(reading, rider, sled))?;
        let machine = resolved(reading, sled)?;
        let stands = from
            .on(&machine)
            .map_err(|e| Failure::Usage(e.to_string()))?;
        let asked = choice::kept(&machine, &self.set, "--set")?;
        let to = with(stands, &asked).checked(&machine)?;
        Ok(What::Change(Box::new(ChangeRecord {
            from: from.clone(),
            to: SetUpForm {
                // Levers stay on the bar.
                brake: from.brake.clone(),
                throttle: from.throttle.clone(),
                ..SetUpForm::of(&machine, &to, None)
            },
            reason: self.why.clone().unwrap_or_default(),
            answers: self.answers.clone(),
            expected: Vec::new(),
            parts: Vec::new(),
            minutes: self.minutes,
        })))
    }
}

/// Settings with some of them as asked.
fn with(stands: Settings, asked: &Keep) -> Settings {
    Settings {
        riser: asked.riser.unwrap_or(stands.riser),
        clamp: asked.clamp.unwrap_or(stands.clamp),
        bar: asked.bar.unwrap_or(stands.bar),
        seat: asked.seat.unwrap_or(stands.seat),
        stirrup: asked.stirrup.unwrap_or(stands.stirrup),
        riser_angle: asked.riser_angle.unwrap_or(stands.riser_angle),
        bar_roll: asked.bar_roll.unwrap_or(stands.bar_roll),
    }
}

/// The clock, ms since 1970.
fn now() -> Result<u64, Failure> {
    let since = SystemTime::now().duration_since(UNIX_EPOCH);
    let ms = since.ok().and_then(|s| u64::try_from(s.as_millis()).ok());
    ms.ok_or_else(|| Failure::Usage("this computer's clock stands before 1970: set it".to_owned()))
}

/// Ten random bytes: the standard library seeds its hash maps' keys from the system's randomness.
fn random() -> [u8; 10] {
    let state = RandomState::new();
    let mut bytes = [0; 10];
    for (i, chunk) in bytes.chunks_mut(8).enumerate() {
        let noise = state.hash_one(i).to_le_bytes();
        chunk.copy_from_slice(&noise[..chunk.len()]);
    }
    bytes
}
