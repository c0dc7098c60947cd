//! `sledstance book`: the mechanic's book in files: shown, merged, checked, parted, added to.

mod add;
mod show;

use std::path::{Path, PathBuf};

use clap::{Args, Subcommand};

use super::failure::Failure;
use super::inputs::read_text;
use super::output::{deliver, write_whole};
use crate::log::{self, Book, Id, Part, Reading, words};
use crate::sled::Cockpit;
use crate::units::text::System;

/// Options of `book`.
#[derive(Args, Debug)]
pub struct BookArgs {
    #[command(subcommand)]
    command: Command,
}

#[derive(Subcommand, Debug)]
enum Command {
    /// Print who rides what, how everything stands, and the timeline with what each change did.
    Show(show::ShowArgs),
    /// Put books together. Order, repetition and halves do not matter.
    Merge(MergeArgs),
    /// Say of each book whether it is sound, and what to look at.
    Check(CheckArgs),
    /// Print the card of a rider's sled for the lid of the toolbox.
    Card(CardArgs),
    /// Write the part of a book that concerns one rider or one sled.
    Part(PartArgs),
    /// Say how a rider's set-up comes out on another sled of the book: the same contact points, or what is lost.
    Move(MoveArgs),
    /// Add an entry: what was felt, a change of settings, or a note.
    Add(add::AddArgs),
}

/// Options of `book merge`.
#[derive(Args, Debug)]
struct MergeArgs {
    /// Books.
    #[arg(required = true, value_name = "FILE")]
    files: Vec<PathBuf>,
    /// Where the book of all of them goes, whole or not at all. May be one of them.
    #[arg(long, value_name = "FILE")]
    out: PathBuf,
}

/// Options of `book check`.
#[derive(Args, Debug)]
struct CheckArgs {
    /// Books.
    #[arg(required = true, value_name = "FILE")]
    files: Vec<PathBuf>,
}

/// A rider and a sled of a book.
#[derive(Args, Debug)]
struct PairArgs {
    /// A rider's name, or a part of it that no other has.
    #[arg(long, value_name = "NAME")]
    rider: String,
    /// A sled's name, or a part of it that no other has.
    #[arg(long, value_name = "NAME")]
    sled: String,
}

/// Options of `book card`.
#[derive(Args, Debug)]
struct CardArgs {
    /// The book, or the demo two-tents.
    file: PathBuf,
    #[command(flatten)]
    pair: PairArgs,
    /// Write it there instead.
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
}

/// Options of `book part`.
#[derive(Args, Debug)]
struct PartArgs {
    /// The book, or the demo two-tents.
    file: PathBuf,
    /// A rider's name, or a part of it that no other has.
    #[arg(
        long,
        value_name = "NAME",
        conflicts_with = "sled",
        required_unless_present = "sled"
    )]
    rider: Option<String>,
    /// A sled's name, or a part of it that no other has.
    #[arg(long, value_name = "NAME")]
    sled: Option<String>,
    /// Write it there instead.
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
}

/// Options of `book move`.
#[derive(Args, Debug)]
struct MoveArgs {
    /// The book, or the demo two-tents.
    file: PathBuf,
    #[command(flatten)]
    pair: PairArgs,
    /// The other sled's name, or a part of it that no other has.
    #[arg(long, value_name = "NAME")]
    onto: String,
}

/// Does what was asked.
pub fn run(args: &BookArgs) -> Result<(), Failure> {
    match &args.command {
        Command::Show(args) => show::run(args),
        Command::Merge(args) => merge(args),
        Command::Check(args) => check(args),
        Command::Card(args) => card(args),
        Command::Part(args) => part(args),
        Command::Move(args) => moved(args),
        Command::Add(args) => add::run(args),
    }
}

/// The book of a file, or the demo.
fn read(path: &Path) -> Result<Book, Failure> {
    // A file of that name goes before the demo.
    let text = if path.as_os_str() == "two-tents" && !path.exists() {
        log::DEMO.to_owned()
    } else {
        read_text(path)?
    };
    of_text(path, &text)
}

/// The book of a file's text.
pub fn of_text(path: &Path, text: &str) -> Result<Book, Failure> {
    Book::read(text).map_err(|source| Failure::Book {
        path: path.to_owned(),
        source: Box::new(source),
    })
}

fn merge(args: &MergeArgs) -> Result<(), Failure> {
    let same = |a: &Path, b: &Path| match (a.canonicalize(), b.canonicalize()) {
        (Ok(a), Ok(b)) => a == b,
        _ => a == b,
    };
    if args.out.exists() && !args.files.iter().any(|file| same(file, &args.out)) {
        return Err(Failure::Usage(format!(
            "{}: stands there already; its entries would be lost. Name it among the files to merge, or write elsewhere",
            args.out.display()
        )));
    }
    let mut book = Book::new();
    let mut says = String::new();
    for file in &args.files {
        let merged = book.merge(&read(file)?);
        says.push_str(&format!(
            "{}: {} new, {} known\n",
            file.display(),
            merged.new,
            merged.known
        ));
    }
    write_whole(&args.out, whole(&book)?.as_bytes())?;
    says.push_str(&format!(
        "{} entries written to {}\n",
        book.len(),
        args.out.display()
    ));
    for id in book.clashes() {
        says.push_str(&clash(&book, id));
    }
    deliver(None, &says)
}

/// The whole book as its document.
fn whole(book: &Book) -> Result<String, Failure> {
    book.write(Part::Whole, None)
        .map_err(|e| Failure::Fault(e.to_string()))
}

fn clash(book: &Book, id: Id) -> String {
    format!(
        "  note: {id} stands for {} different entries; all are kept, and the first counts\n",
        book.contents(id).len()
    )
}

fn check(args: &CheckArgs) -> Result<(), Failure> {
    super::check::each(&args.files, |path| {
        let text = read_text(path)?;
        says(path, &text)
    })
}

/// What a book is, in words, with what to look at.
pub fn says(path: &Path, text: &str) -> Result<String, Failure> {
    let book = of_text(path, text)?;
    let reading = Reading::new(&book);
    let mut says = format!(
        "sound: a book, {} entries, {} riders, {} sleds",
        book.len(),
        reading.riders().count(),
        reading.sleds().count()
    );
    let mut note = |words: String| says.push_str(&format!("\n  note: {}", words.trim_end()));
    for id in book.clashes() {
        note(clash(&book, id).trim_start_matches("  note: ").to_owned());
    }
    for strand in reading.strands() {
        if strand.is_headless() {
            note(format!(
                "{} is corrected here but not in this file: it is a half of a book",
                strand.root
            ));
        }
        if let Some(gap) = words::gap(&reading.gap(strand, System::Metric)) {
            note(format!("{}: {gap}", strand.root));
        }
        if !strand.rivals.is_empty() {
            note(format!(
                "{} was corrected on two devices at once; both stand",
                strand.root
            ));
        }
    }
    let doubtful = book.entries().filter(|e| e.is_time_doubtful()).count();
    if doubtful > 0 {
        note(format!(
            "{doubtful} entries were written by a clock that had been set back: their times are doubtful"
        ));
    }
    for rider in reading.riders() {
        if let Err(error) = rider.profile.build() {
            note(format!("rider {}: {error}", rider.profile.name));
        }
    }
    for sled in reading.sleds() {
        if let Err(error) = sled.profile.resolve() {
            note(format!("sled {}: {error}", sled.profile.name));
        }
    }
    Ok(says)
}

fn card(args: &CardArgs) -> Result<(), Failure> {
    let book = read(&args.file)?;
    let reading = Reading::new(&book);
    let (rider, sled) = args.pair.find(&reading)?;
    let card = reading
        .card(rider, sled, System::Metric, 0)
        .ok_or_else(|| none_set(&reading, rider, sled))?;
    deliver(args.out.as_deref(), &card.to_string())
}

fn none_set(reading: &Reading, rider: Id, sled: Id) -> Failure {
    Failure::Usage(format!(
        "no set-up of {} on {} is in the book",
        reading.rider_name(rider),
        reading.sled_name(sled)
    ))
}

fn part(args: &PartArgs) -> Result<(), Failure> {
    let book = read(&args.file)?;
    let reading = Reading::new(&book);
    let part = match (&args.rider, &args.sled) {
        (Some(name), _) => Part::Rider(rider(&reading, name)?),
        (_, Some(name)) => Part::Sled(sled(&reading, name)?),
        _ => Part::Whole,
    };
    let text = book
        .write(part, None)
        .map_err(|e| Failure::Fault(e.to_string()))?;
    deliver(args.out.as_deref(), &text)
}

fn moved(args: &MoveArgs) -> Result<(), Failure> {
    let book = read(&args.file)?;
    let reading = Reading::new(&book);
    let (rider, from) = args.pair.find(&reading)?;
    let onto = sled(&reading, &args.onto)?;
    let (from_sled, onto_sled) = (resolved(&reading, from)?, resolved(&reading, onto)?);
    let set_up = reading
        .set_up(rider, from, None)
        .ok_or_else(|| none_set(&reading, rider, from))?;
    let settings = set_up
        .on(&from_sled)
        .map_err(|e| Failure::Usage(e.to_string()))?;
    let moved = log::moved(&Cockpit::new(&from_sled, settings), &onto_sled);
    let there = log::SetUpForm::of(&onto_sled, &moved.settings, None);
    let mut says = format!("{} on {}\n", reading.rider_name(rider), onto_sled.name);
    for (what, value) in there.lines(System::Metric) {
        says.push_str(&format!("  {what}: {value}\n"));
    }
    if moved.same {
        says.push_str("Boots, grips and seat stand to each other as before.\n");
    } else {
        says.push_str("What is lost:\n");
        for lost in &moved.lost {
            says.push_str(&format!("  {lost}\n"));
        }
    }
    says.push_str("A place to begin: search the levers and check it all with the rider aboard.\n");
    deliver(None, &says)
}

impl PairArgs {
    fn find(&self, reading: &Reading) -> Result<(Id, Id), Failure> {
        Ok((rider(reading, &self.rider)?, sled(reading, &self.sled)?))
    }
}

/// The sled as it is now.
fn resolved(reading: &Reading, id: Id) -> Result<crate::sled::Sled, Failure> {
    let name = reading.sled_name(id);
    let sled = reading
        .sled(id)
        .ok_or_else(|| Failure::Usage(format!("{name}: its record is not in the book")))?;
    sled.at_hand
        .resolve()
        .map_err(|e| Failure::Usage(format!("{name}: {e}")))
}

/// The rider of a name.
fn rider(reading: &Reading, name: &str) -> Result<Id, Failure> {
    let all = reading.riders();
    named(
        "rider",
        name,
        all.map(|r| (r.id, r.profile.name.as_str())).collect(),
    )
}

/// The sled of a name.
fn sled(reading: &Reading, name: &str) -> Result<Id, Failure> {
    let all = reading.sleds();
    named(
        "sled",
        name,
        all.map(|s| (s.id, s.profile.name.as_str())).collect(),
    )
}

/// Whoever goes by a name, or by a part of it that no other has.
fn named(what: &str, name: &str, all: Vec<(Id, &str)>) -> Result<Id, Failure> {
    let wanted = name.trim().to_lowercase();
    let by = |same: &dyn Fn(&str) -> bool| -> Vec<Id> {
        let found = all.iter().filter(|(_, n)| same(&n.to_lowercase()));
        found.map(|(id, _)| *id).collect()
    };
    let mut found = by(&|n| n == wanted);
    if found.is_empty() {
        found = by(&|n| n.contains(&wanted));
    }
    match found.as_slice() {
        [one] => Ok(*one),
        found => {
            let many = if found.is_empty() {
                "no"
            } else {
                "more than one"
            };
            let names: Vec<&str> = all.iter().map(|(_, n)| *n).collect();
            Err(Failure::Usage(format!(
                "{many} {what} of the book goes by \"{name}\"; there are {}",
                names.join(", ")
            )))
        }
    }
}
