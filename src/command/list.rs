//! Headed lists, as the answers in words have them; a list without lines has no heading either.

use std::fmt::{self, Display, Formatter};

/// An empty line, the heading, and a line under it.
pub fn heading(f: &mut Formatter<'_>, text: &str) -> fmt::Result {
    writeln!(f, "\n{text}\n{}", "-".repeat(text.chars().count()))
}

/// Lines in no order.
pub fn bullets<T: Display>(f: &mut Formatter<'_>, title: &str, lines: &[T]) -> fmt::Result {
    listed(f, title, lines, |f, _| f.write_str("  -"))
}

/// Lines by their number, from 1.
pub fn numbered<T: Display>(f: &mut Formatter<'_>, title: &str, lines: &[T]) -> fmt::Result {
    listed(f, title, lines, |f, number| write!(f, "  {number:>2}."))
}

fn listed<T: Display>(
    f: &mut Formatter<'_>,
    title: &str,
    lines: &[T],
    mark: impl Fn(&mut Formatter<'_>, usize) -> fmt::Result,
) -> fmt::Result {
    if lines.is_empty() {
        return Ok(());
    }
    heading(f, title)?;
    for (line, number) in lines.iter().zip(1..) {
        mark(f, number)?;
        writeln!(f, " {line}")?;
    }
    Ok(())
}
