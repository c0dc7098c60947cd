//! What-ifs as a table, and reasons as sentences.

use std::fmt::{self, Display, Formatter};

use super::list::heading;
use crate::change::{FigureChange, WhatIf, Why};

/// What each step would change: a step a block, a stance a line.
pub struct WhatIfTable<'a>(pub &'a [WhatIf]);

impl Display for WhatIfTable<'_> {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        if self.0.is_empty() {
            return Ok(());
        }
        heading(f, "What if: one step, all else fixed (signed changes)")?;
        for step in self.0 {
            let whole = |name: &str, digits| of(&step.figures, name, None, digits);
            writeln!(
                f,
                "  {}: objective {}, stirrup-to-grip {} mm, grip height {} mm{}",
                step.says,
                whole("objective", 3),
                whole("stirrup_to_grip", 0),
                whole("grip_height", 0),
                if step.fits { "" } else { "; DOES NOT FIT" }
            )?;
            for line in &step.breaks {
                writeln!(f, "      breaks {line}")?;
            }
            let mut stances: Vec<&str> = Vec::new();
            for stance in step.figures.iter().filter_map(|f| f.stance.as_deref()) {
                if !stances.contains(&stance) {
                    stances.push(stance);
                }
            }
            for stance in stances {
                let by = |name: &str, digits| of(&step.figures, name, Some(stance), digits);
                writeln!(
                    f,
                    "      {stance:<8} knee {}° hip {}° elbow {}° trunk {}°; short landing {} and {} g, \
                     start {} g, drop {} g; hand {} N; leg travel {} mm; room {} mm",
                    by("knee", 1),
                    by("hip", 1),
                    by("elbow", 1),
                    by("trunk", 1),
                    by("hold_short_landing_1g", 2),
                    by("hold_short_landing_2g", 2),
                    by("hold_start", 2),
                    by("hold_straight_drop", 2),
                    by("hand_load", 0),
                    by("leg_travel", 0),
                    by("least_room", 0),
                )?;
            }
        }
        Ok(())
    }
}

/// A signed change by its name; "–" where it cannot be had.
fn of(figures: &[FigureChange], name: &str, stance: Option<&str>, digits: usize) -> String {
    figures
        .iter()
        .find(|f| f.figure == name && f.stance.as_deref() == stance)
        .and_then(|f| f.change)
        .map_or("–".to_owned(), |by| format!("{by:+.digits$}"))
}

/// Why each setting stands where it does.
pub struct Reasons<'a>(pub &'a [Why]);

impl Display for Reasons<'_> {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        if self.0.is_empty() {
            return Ok(());
        }
        heading(f, "Why")?;
        for why in self.0 {
            writeln!(f, "  - {}", why.says)?;
        }
        Ok(())
    }
}
