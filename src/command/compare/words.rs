//! A comparison as a table in words.

use std::fmt::{self, Display, Formatter};

use crate::fit::cautions::CAUTIONS;
use crate::plan::compared::{Compared, Line, Shown, Weight};
use crate::plan::leverage::{Given, Leveraged};

/// A comparison to print.
pub struct Words<'a>(pub &'a Compared, pub Option<&'a Leveraged>);

impl Display for Words<'_> {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        let all = self.0;
        let title = "What differs, signed against the first option";
        writeln!(f, "{title}\n{}", "-".repeat(title.len()))?;
        for option in &all.options {
            writeln!(f, "  {}: {}", option.title, option.says)?;
            if let Some(binds) = &option.binds {
                writeln!(f, "      DOES NOT FIT: {binds}")?;
            }
        }
        if all.groups.is_empty() {
            writeln!(
                f,
                "\n  Nothing differs that a tape, a level or a scale would show."
            )?;
        }
        let lines = || all.groups.iter().flat_map(|g| &g.rows);
        let width = |texts: &mut dyn Iterator<Item = usize>| texts.max().unwrap_or(0);
        let what = width(&mut lines().map(|l| l.what.chars().count()));
        let columns: Vec<usize> = (0..all.options.len())
            .map(|i| {
                let letter = all.options[i].title.chars().take(1).count();
                width(&mut lines().map(|l| cell(l, i).chars().count())).max(letter)
            })
            .collect();
        for group in &all.groups {
            write!(f, "\n  {:<what$}", group.title)?;
            for (option, wide) in all.options.iter().zip(&columns) {
                let letter: String = option.title.chars().take(1).collect();
                write!(f, "  {letter:>wide$}")?;
            }
            writeln!(f)?;
            for line in &group.rows {
                write!(f, "  {:<what$}", line.what)?;
                for (i, wide) in columns.iter().enumerate() {
                    write!(f, "  {:>wide$}", cell(line, i))?;
                }
                writeln!(f)?;
            }
        }
        writeln!(f)?;
        for weight in [Weight::Unsure, Weight::Slight] {
            let (mark, words) = weight.words();
            writeln!(f, "  {mark} {words}")?;
        }
        if all.done > 0 {
            writeln!(
                f,
                "  In brackets: 90 of 100 riders who could be these differ by that ({} drawn; options of one person share\n  \
                 them). Settings carry no band: they are what would be bolted on.",
                all.done
            )?;
        }
        if !all.trades.is_empty() {
            writeln!(f, "\nWhat is traded for what\n-----------------------")?;
            for trade in &all.trades {
                writeln!(f, "  {}", trade.says())?;
            }
        }
        if let Some(found) = self.1 {
            leverage(f, found)?;
        }
        writeln!(f, "\nCautions\n--------")?;
        for caution in CAUTIONS {
            writeln!(f, "  - {caution}")?;
        }
        Ok(())
    }
}

/// Corners, room, standing up; the best of the map; the front.
fn leverage(f: &mut Formatter<'_>, found: &Leveraged) -> fmt::Result {
    writeln!(f, "\nLeverage\n--------")?;
    for (option, map) in found.levered.iter().zip(&found.mapped) {
        writeln!(f, "  {}", option.title)?;
        for Given {
            what,
            value,
            because,
        } in &option.rows
        {
            let because = if because.is_empty() {
                String::new()
            } else {
                format!(" ({because})")
            };
            writeln!(f, "    {what}: {value}{because}")?;
        }
        if let Some((x, angle, g)) = map.best {
            writeln!(
                f,
                "    Most hold over stirrup and riser angle: {g:.2} g with the stirrups at {x:.0} mm and the riser at {angle:.1}°"
            )?;
        }
    }
    if let Some(front) = &found.front {
        writeln!(
            f,
            "\n  What comfort costs in hold, {} ({} set-ups solved)",
            front.title, front.done
        )?;
        for (k, point) in front.points.iter().enumerate() {
            writeln!(
                f,
                "    {}. discomfort {:.2}, {:.0} % of the wanted hold: {}",
                k + 1,
                point.discomfort,
                100.0 * point.hold,
                point.says
            )?;
        }
    }
    Ok(())
}

/// What stands under an option: its value, and after the first its difference.
fn cell(line: &Line, option: usize) -> String {
    let value = line.values.get(option).cloned().unwrap_or_default();
    let difference = option.checked_sub(1).and_then(|i| line.differences.get(i));
    match difference {
        Some(shown) if !shown.by.is_empty() => format!("{value} {}", signed(shown)),
        _ => value,
    }
}

fn signed(shown: &Shown) -> String {
    let mark = shown.mark.map_or(" ", |weight| weight.words().0);
    let band = if shown.band.is_empty() {
        String::new()
    } else {
        format!(" ({})", shown.band)
    };
    format!("{}{band}{mark}", shown.by)
}
