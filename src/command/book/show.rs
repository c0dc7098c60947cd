//! `sledstance book show`: the book in words, or its entries as a table.

use std::fmt::{self, Write};
use std::path::PathBuf;

use clap::Args;

use super::{read, rider, sled};
use crate::command::failure::Failure;
use crate::command::output::deliver;
use crate::log::{Filter, Id, Outcome, Reading, Strand, Verdict, when, words};
use crate::units::text::System;

/// Options of `book show`.
#[derive(Args, Debug)]
pub struct ShowArgs {
    /// The book, or the demo two-tents.
    file: PathBuf,
    /// Only what concerns a rider, by name or a part of it that no other has.
    #[arg(long, value_name = "NAME")]
    rider: Option<String>,
    /// Only what concerns a sled, by name or a part of it that no other has.
    #[arg(long, value_name = "NAME")]
    sled: Option<String>,
    /// Only entries that name a complaint: numb_hands.
    #[arg(long, value_name = "NAME")]
    complaint: Option<String>,
    /// Only entries in which all these words are found.
    #[arg(long, value_name = "WORDS", default_value = "")]
    search: String,
    /// Deleted entries too.
    #[arg(long)]
    deleted: bool,
    /// Print the entries as a table instead: CSV, every correction and deletion on a line of its own.
    #[arg(long)]
    csv: bool,
    /// Write it there instead.
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
}

pub fn run(args: &ShowArgs) -> Result<(), Failure> {
    let book = read(&args.file)?;
    let reading = Reading::new(&book);
    let filter = Filter {
        rider: args
            .rider
            .as_ref()
            .map(|n| rider(&reading, n))
            .transpose()?,
        sled: args.sled.as_ref().map(|n| sled(&reading, n)).transpose()?,
        complaint: args.complaint.clone(),
        text: args.search.clone(),
        // A table leaves nothing out.
        deleted: args.deleted || args.csv,
        ..Filter::default()
    };
    let text = if args.csv {
        reading.csv(&filter)
    } else {
        let mut out = String::new();
        told(&mut out, &reading, &filter).map_err(|e| Failure::Fault(e.to_string()))?;
        out
    };
    deliver(args.out.as_deref(), &text)
}

fn told(out: &mut String, reading: &Reading, filter: &Filter) -> fmt::Result {
    let kept = |rider: Option<Id>, sled: Option<Id>| {
        filter.rider.is_none_or(|r| rider.is_none_or(|o| o == r))
            && filter.sled.is_none_or(|s| sled.is_none_or(|o| o == s))
    };
    people(out, reading, &kept)?;
    let pairs: Vec<_> = reading
        .pairs()
        .filter(|(r, s)| kept(Some(*r), Some(*s)))
        .collect();
    for &(rider, sled) in &pairs {
        stands(out, reading, rider, sled)?;
    }
    let outcomes: Vec<Outcome> = pairs
        .iter()
        .flat_map(|(r, s)| reading.outcomes(*r, *s))
        .collect();
    writeln!(out, "\nTimeline, UTC\n-------------")?;
    for strand in reading.timeline(filter) {
        line(out, reading, strand)?;
        if let Some(outcome) = outcomes.iter().find(|o| o.strand.root == strand.root) {
            came(out, outcome)?;
        }
    }
    Ok(())
}

fn people(
    out: &mut String,
    reading: &Reading,
    kept: &dyn Fn(Option<Id>, Option<Id>) -> bool,
) -> fmt::Result {
    writeln!(out, "Riders and sleds\n----------------")?;
    let retired = |retired| if retired { ", retired" } else { "" };
    let riding = reading.riding();
    for rider in reading.riders().filter(|r| kept(Some(r.id), None)) {
        let rides = riding.iter().find(|r| r.rider == rider.id);
        let rides = rides.map_or(String::new(), |r| match r.sled {
            Some(sled) => format!(" rides {}", reading.sled_name(sled)),
            None => " rides none".to_owned(),
        });
        writeln!(
            out,
            "{}{}{rides}",
            rider.profile.name,
            retired(rider.retired)
        )?;
    }
    for sled in reading.sleds().filter(|s| kept(None, Some(s.id))) {
        writeln!(out, "{}{}", sled.profile.name, retired(sled.retired))?;
    }
    let shelf = reading.shelf().filter(|(_, of, _)| kept(None, *of));
    let shelf: Vec<String> = shelf.map(|(.., part)| part.words(System::Metric)).collect();
    if !shelf.is_empty() {
        writeln!(out, "On the team's shelf: {}", shelf.join(", "))?;
    }
    Ok(())
}

fn stands(out: &mut String, reading: &Reading, rider: Id, sled: Id) -> fmt::Result {
    let set_ups = reading.set_ups(rider, sled);
    let Some(now) = set_ups.last() else {
        return Ok(());
    };
    let title = format!(
        "{} on {}, since {}",
        reading.rider_name(rider),
        reading.sled_name(sled),
        when::date_time(now.strand.happened_ms(), 0)
    );
    writeln!(out, "\n{title}\n{}", "-".repeat(title.chars().count()))?;
    for (what, value) in now.set_up.lines(System::Metric) {
        writeln!(out, "{what}: {value}")?;
    }
    Ok(())
}

fn line(out: &mut String, reading: &Reading, strand: &Strand) -> fmt::Result {
    let time = when::date_time(strand.happened_ms(), 0);
    let Some(entry) = &strand.shown else {
        let said = strand.said_last();
        let said = said.map_or(String::new(), |e| words::line(e, System::Metric));
        return writeln!(out, "{time}  (deleted) {said}");
    };
    let about = entry.about();
    let whom = [
        about.rider.map(|id| reading.rider_name(id)),
        about.sled.map(|id| reading.sled_name(id)),
    ];
    let whom: Vec<String> = whom.into_iter().flatten().collect();
    let whom = if whom.is_empty() {
        String::new()
    } else {
        format!(" [{}]", whom.join(", "))
    };
    writeln!(
        out,
        "{time}  {}{whom}: {}",
        entry.what().label(),
        words::line(entry, System::Metric)
    )?;
    if let Some(gap) = words::gap(&reading.gap(strand, System::Metric)) {
        writeln!(out, "                  {gap}")?;
    }
    for rival in &strand.rivals {
        let said = if rival.is_deletion() {
            "deleted".to_owned()
        } else {
            words::line(rival, System::Metric)
        };
        writeln!(
            out,
            "                  {} wrote at the same time: {said}",
            rival.device()
        )?;
    }
    Ok(())
}

fn came(out: &mut String, outcome: &Outcome) -> fmt::Result {
    const INDENT: &str = "                  ";
    let expected: Vec<String> = outcome
        .change
        .expected
        .iter()
        .map(words::expected)
        .collect();
    if !expected.is_empty() {
        writeln!(out, "{INDENT}expected: {}", expected.join("; "))?;
    }
    write!(out, "{INDENT}felt: {}", outcome.verdict.label())?;
    match outcome.verdict {
        Verdict::Mixed => write!(out, " ({})", outcome.mixed.join("; "))?,
        Verdict::Better | Verdict::Same | Verdict::Worse | Verdict::Traded => {
            let shifts = outcome.shifts.iter().map(|s| {
                let name = words::said(&s.complaint);
                format!("{name} {:.1} \u{2192} {:.1}", s.before, s.after)
            });
            write!(out, " ({})", shifts.collect::<Vec<_>>().join("; "))?;
        }
        Verdict::NotFeltYet | Verdict::NotFeltBefore => {}
    }
    writeln!(out)
}
