//! The card for the lid of the toolbox, as text: how a rider's sled stands, what it was made for, what to tick off.
//!
//! Headings, lines and boxes alone, so that whoever draws a card lays out the same content.

use super::form::What;
use super::id::Id;
use super::outcome::Verdict;
use super::reading::Reading;
use super::when;
use super::words;
use crate::fit::cautions::{CAUTIONS, TICK_OFF};
use crate::units::text::System;

/// A card.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Card {
    /// Rider and sled.
    pub title: String,
    /// Since when it stands so, and what is uncertain.
    pub facts: Vec<String>,
    /// The set-up as it stands.
    pub settings: CardBlock,
    /// What else stands on it, the most important first.
    pub blocks: Vec<CardBlock>,
    /// At the foot, whole.
    pub cautions: Vec<String>,
}

/// Lines under a heading.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CardBlock {
    /// Heading.
    pub title: String,
    /// Whether each line has a box to tick.
    pub ticked: bool,
    /// What, and its value; the value may be empty.
    pub lines: Vec<(String, String)>,
}

/// So many changes stand on a card: what a season's look back needs, and a page holds.
const CHANGES: usize = 4;

impl Reading {
    /// The card of a rider on a sled; `None` where no set-up is recorded. Clocks are `offset` minutes ahead of UTC.
    pub fn card(&self, rider: Id, sled: Id, system: System, offset: i32) -> Option<Card> {
        let set_ups = self.set_ups(rider, sled);
        let now = set_ups.last()?;
        let since = when::date_time(now.strand.happened_ms(), offset);
        let mut facts = vec![format!("Stands so since {since}.")];
        if let Some(gap) = words::gap(&self.gap(now.strand, system)) {
            facts.push(format!("{gap}. Check with a tape which one stands."));
        }
        if !now.strand.rivals.is_empty() {
            facts.push("Two devices wrote this down differently: check with a tape.".to_owned());
        }
        let own = |(name, value): (&str, String)| (name.to_owned(), value);
        let block = |title: &str, ticked, lines| CardBlock {
            title: title.to_owned(),
            ticked,
            lines,
        };
        let lines = now.set_up.lines(system).into_iter().map(own).collect();
        let mut blocks = Vec::new();
        if let Some(lines) = self.last_checks(rider, sled, now.strand.moment.0) {
            blocks.push(block("Taped last", false, lines));
        }
        let changes = self.changes(rider, sled, system, offset);
        if !changes.is_empty() {
            blocks.push(block("Changed last", false, changes));
        }
        let tick = TICK_OFF
            .iter()
            .map(|what| ((*what).to_owned(), String::new()));
        blocks.push(block("Tick off after every change", true, tick.collect()));
        Some(Card {
            title: format!("{} on {}", self.rider_name(rider), self.sled_name(sled)),
            facts,
            settings: block("Set-up", false, lines),
            blocks,
            cautions: CAUTIONS.iter().map(|&c| c.to_owned()).collect(),
        })
    }

    /// Tape checks written down since the set-up was made, the last of them.
    fn last_checks(&self, rider: Id, sled: Id, since: u64) -> Option<Vec<(String, String)>> {
        let told = self.strands().iter().rev().find_map(|strand| {
            let entry = strand.shown.as_ref().filter(|_| strand.moment.0 >= since)?;
            let of = entry.about();
            match entry.what() {
                What::TapeChecks(record)
                    if of.sled == Some(sled) && of.rider.is_none_or(|r| r == rider) =>
                {
                    Some(record)
                }
                _ => None,
            }
        })?;
        let lines = told.checks.iter().map(|check| {
            let found = check.found.as_deref().or(check.expect.as_deref());
            let good = if check.good { "" } else { " (not well)" };
            (
                check.what.clone(),
                format!("{}{good}", found.unwrap_or_default()),
            )
        });
        Some(lines.collect())
    }

    fn changes(&self, rider: Id, sled: Id, system: System, offset: i32) -> Vec<(String, String)> {
        let outcomes = self.outcomes(rider, sled);
        let last = outcomes.iter().rev().take(CHANGES);
        last.map(|outcome| {
            let day = when::date(outcome.strand.happened_ms(), offset);
            let entry = outcome.strand.shown.as_ref();
            let line = entry.map(|e| words::line(e, system)).unwrap_or_default();
            let came = match outcome.verdict {
                Verdict::Mixed => format!("mixed ({})", outcome.mixed.join("; ")),
                verdict => verdict.label().to_owned(),
            };
            (format!("{day}: {line}"), came)
        })
        .collect()
    }
}

impl core::fmt::Display for Card {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        writeln!(f, "{}", self.title)?;
        for fact in &self.facts {
            writeln!(f, "{fact}")?;
        }
        for block in std::iter::once(&self.settings).chain(&self.blocks) {
            let rule = "-".repeat(block.title.chars().count());
            writeln!(f, "\n{}\n{rule}", block.title)?;
            for (what, value) in &block.lines {
                let tick = if block.ticked { "[ ] " } else { "" };
                let between = if value.is_empty() { "" } else { ": " };
                writeln!(f, "{tick}{what}{between}{value}")?;
            }
        }
        writeln!(f, "\nCautions\n--------")?;
        for caution in &self.cautions {
            writeln!(f, "- {caution}")?;
        }
        Ok(())
    }
}
