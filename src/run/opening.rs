//! What kind of table a file is, from its first lines: encoding, delimiter, decimal mark, heading, units, first row.
//!
//! Every delimiter is tried with both decimal marks; the pair under which the most cells of the most lines are numbers
//! is taken. The heading is the line above the first row of numbers, a row of units may stand between. Text is UTF-8,
//! with a byte order mark or not; a heading in another encoding is read as Latin-1 and that is said.

use super::fault::RunError;
use super::lines::{self, Delimiter, Lines};
use crate::units::ChannelUnit;
use crate::units::text::finite;

/// Bytes from the start of a file that [`Opening::read`] should be given, at the least; our choice.
pub const HEAD: usize = 64 * 1024;

/// Rows that are kept to tell what is in the columns, and those of them that are shown; our choice.
const PREVIEW: usize = 5;
const SHOWN: usize = 3;

/// The decimal mark.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Decimal {
    /// `1.5`
    Point,
    /// `1,5`
    Comma,
}

impl Decimal {
    /// In words.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Point => "a decimal point",
            Self::Comma => "a decimal comma",
        }
    }
}

/// What the start of a file says about all of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Opening {
    /// What parts cells.
    pub delimiter: Delimiter,
    /// The decimal mark.
    pub decimal: Decimal,
    /// Names of the columns, each once: a second of the same name gets a number.
    pub names: Vec<String>,
    /// Unit of each column where the heading or a row of units says one.
    pub units: Vec<Option<ChannelUnit>>,
    /// Line of the first row of numbers, from 1.
    pub first_row: u64,
    /// First rows as they are written.
    pub preview: Vec<Vec<String>>,
    /// What a reader should know, in words.
    pub notes: Vec<String>,
}

/// A line of the start, in characters.
struct Text {
    number: u64,
    text: String,
}

impl Opening {
    /// Looks at the start of a file: its first [`HEAD`] bytes, or all of it where it is shorter (`whole`).
    ///
    /// # Errors
    /// Where this is no table of numbers in text.
    pub fn read(head: &[u8], whole: bool) -> Result<Self, RunError> {
        let mut notes = Vec::new();
        let all = texts(head, whole, &mut notes)?;
        let rows: Vec<&Text> = all.iter().filter(|l| !is_comment(l)).collect();
        let Some((delimiter, decimal, width)) = best_pair(&rows) else {
            return Err(RunError::NoTable { lines: all.len() });
        };
        let is_first = |l: &&&Text| {
            let cells = split(&l.text, delimiter);
            weight(&cells, decimal).is_some() && cells.len() == width
        };
        let Some(first) = rows.iter().find(is_first) else {
            return Err(RunError::NoTable { lines: all.len() });
        };
        let first_row = first.number;
        let (heading, unit_row) = heading(&all, first_row, delimiter);
        let mut names = heading.unwrap_or_default();
        while names.last().is_some_and(String::is_empty) {
            names.pop();
        }
        if names.is_empty() {
            notes.push("There is no heading: columns are named by their number.".to_owned());
            names = vec![String::new(); width];
        }
        let shown: Vec<Vec<String>> = rows
            .iter()
            .filter(|l| l.number >= first_row)
            .take(PREVIEW)
            .map(|l| split(&l.text, delimiter))
            .collect();
        let filled = shown.iter().map(|cells| filled(cells)).max().unwrap_or(0);
        let count = names.len();
        if width < count || filled > count {
            let (line, cells) = (first_row, width);
            // "0,01,0,98" has twice as many cells as names, or one less where one number is whole.
            let doubled = delimiter == Delimiter::Comma && cells > count && cells <= 2 * count;
            return Err(if doubled && cells + 2 >= 2 * count {
                RunError::CommaTwice {
                    line,
                    cells,
                    names: count,
                }
            } else {
                RunError::HeadingWidth {
                    line,
                    cells,
                    names: count,
                }
            });
        }
        let units = units(&names, &unit_row);
        distinct(&mut names);
        let text_columns = shown
            .first()
            .is_some_and(|c| c.iter().any(|c| !c.is_empty() && !is_number(c, decimal)));
        if text_columns {
            notes.push("Some columns are no numbers; they are left out.".to_owned());
        }
        Ok(Self {
            delimiter,
            decimal,
            names,
            units,
            first_row,
            preview: shown,
            notes,
        })
    }
}

impl Opening {
    /// What stands in a column in the first rows.
    pub fn shown(&self, place: usize) -> String {
        let rows = self.preview.iter().take(SHOWN);
        let cells = rows.filter_map(|row| row.get(place).map(String::as_str));
        let cells: Vec<&str> = cells.filter(|cell| !cell.is_empty()).collect();
        cells.join(", ")
    }
}

/// The lines of the start, decoded.
fn texts(head: &[u8], whole: bool, notes: &mut Vec<String>) -> Result<Vec<Text>, RunError> {
    if head
        .strip_prefix(lines::MARK)
        .unwrap_or(head)
        .trim_ascii()
        .is_empty()
    {
        return Err(RunError::Empty);
    }
    if head.starts_with(b"\xff\xfe") || head.starts_with(b"\xfe\xff") {
        return Err(RunError::Utf16);
    }
    if let Some(at) = head.iter().position(|b| *b == 0) {
        return Err(RunError::Binary { at: at + 1 });
    }
    let mut splitter = Lines::default();
    let mut all = Vec::new();
    let mut latin = false;
    let mut each = |line: lines::Line| {
        let text = core::str::from_utf8(line.bytes).map_or_else(
            |_| {
                latin = true;
                line.bytes.iter().map(|b| char::from(*b)).collect()
            },
            str::to_owned,
        );
        all.push(Text {
            number: line.number,
            text,
        });
    };
    splitter.push(head, &mut each);
    if whole || is_one_line(head) {
        splitter.finish(&mut each);
    }
    if latin {
        notes.push("The heading is not UTF-8; it was read as Latin-1.".to_owned());
    }
    Ok(all)
}

/// Whether the start has no line end at all, so that its one line must be looked at as it is.
fn is_one_line(head: &[u8]) -> bool {
    !head.iter().any(|b| matches!(b, b'\n' | b'\r'))
}

fn is_comment(line: &Text) -> bool {
    lines::is_comment(line.text.as_bytes())
}

fn split(text: &str, delimiter: Delimiter) -> Vec<String> {
    let mut places = Vec::new();
    if lines::cells(text.as_bytes(), delimiter, &mut places).is_err() {
        return Vec::new();
    }
    places
        .iter()
        .map(|(a, b)| {
            text.get(*a as usize..*b as usize)
                .unwrap_or_default()
                .to_owned()
        })
        .collect()
}

/// Numbers less texts of a row of numbers; nothing for any other line.
fn weight(cells: &[String], decimal: Decimal) -> Option<i64> {
    let (mut numbers, mut texts) = (0, 0);
    for cell in cells {
        if is_number(cell, decimal) {
            numbers += 1;
        } else if !is_missing(cell.as_bytes()) {
            texts += 1;
        }
    }
    (numbers >= 2 && numbers >= texts).then_some(numbers - texts)
}

/// Delimiter and decimal mark under which the most is a number, with the usual number of cells.
fn best_pair(rows: &[&Text]) -> Option<(Delimiter, Decimal, usize)> {
    let mut best: Option<(i64, Delimiter, Decimal, usize)> = None;
    for delimiter in Delimiter::ALL {
        for decimal in [Decimal::Point, Decimal::Comma] {
            if delimiter == Delimiter::Comma && decimal == Decimal::Comma {
                continue;
            }
            let mut score = 0;
            let mut widths: Vec<(usize, usize)> = Vec::new();
            for row in rows {
                let cells = split(&row.text, delimiter);
                let Some(weight) = weight(&cells, decimal) else {
                    continue;
                };
                score += weight;
                match widths.iter_mut().find(|(width, _)| *width == cells.len()) {
                    Some((_, count)) => *count += 1,
                    None => widths.push((cells.len(), 1)),
                }
            }
            let usual = widths.iter().rev().max_by_key(|(_, count)| *count);
            if let Some((width, _)) = usual
                && best.is_none_or(|(most, ..)| score > most)
            {
                best = Some((score, delimiter, decimal, *width));
            }
        }
    }
    best.map(|(_, delimiter, decimal, width)| (delimiter, decimal, width))
}

/// Names and units above the first row of numbers.
fn heading(
    all: &[Text],
    first_row: u64,
    delimiter: Delimiter,
) -> (Option<Vec<String>>, Vec<String>) {
    let above = all
        .iter()
        .rev()
        .skip_while(|l| l.number >= first_row)
        .filter(|l| !l.text.trim().is_empty());
    let cells = |l: &Text| {
        let bare = l.text.trim_start_matches(['#', '%', '/', ' ']);
        let text = if is_comment(l) { bare } else { &l.text };
        split(text, delimiter)
    };
    let mut two = above.take(2).map(cells).filter(|c| filled(c) >= 2);
    match (two.next(), two.next()) {
        (Some(units), Some(names)) if is_unit_row(&units) && names.len() >= filled(&units) => {
            (Some(names), units)
        }
        (names, _) => (names, Vec::new()),
    }
}

/// Cells up to the last that is not empty.
fn filled(cells: &[String]) -> usize {
    cells
        .iter()
        .rposition(|c| !c.is_empty())
        .map_or(0, |i| i + 1)
}

fn is_unit_row(cells: &[String]) -> bool {
    let unit = |c: &&String| c.starts_with(['(', '[']) || ChannelUnit::read(c).is_some();
    let known = cells.iter().filter(unit).count();
    let written = cells.iter().filter(|c| !c.is_empty()).count();
    known > 0 && 2 * known >= written
}

/// Units from the row of units, or from what a name ends in: `speed [km/h]`, `acc_x_g`.
fn units(names: &[String], row: &[String]) -> Vec<Option<ChannelUnit>> {
    let of_name = |name: &String| {
        let bracket = name.rfind(['(', '[']).map(|i| &name[i..]);
        let ending = name.rfind(['_', ' ']).map(|i| &name[i + 1..]);
        bracket
            .and_then(ChannelUnit::read)
            .or_else(|| ending.and_then(ChannelUnit::read))
            .filter(|unit| *unit != ChannelUnit::Count)
    };
    names
        .iter()
        .enumerate()
        .map(|(i, name)| {
            let said = row.get(i).and_then(|text| ChannelUnit::read(text));
            said.or_else(|| of_name(name))
        })
        .collect()
}

/// Makes every name one of its own.
fn distinct(names: &mut [String]) {
    for i in 0..names.len() {
        if names[i].is_empty() {
            names[i] = format!("column {}", i + 1);
        }
        let same = names[..i].iter().filter(|n| **n == names[i]).count();
        if same > 0 {
            let numbered = format!("{} ({})", names[i], i + 1);
            names[i] = numbered;
        }
    }
}

/// Whether a cell says that there is nothing.
pub(super) fn is_missing(cell: &[u8]) -> bool {
    let words: [&[u8]; 6] = [b"nan", b"na", b"n/a", b"null", b"-", b"--"];
    cell.is_empty() || words.iter().any(|w| cell.eq_ignore_ascii_case(w))
}

/// Longest cell that is looked at as a number, bytes; our choice: no double needs more than 24 digits and marks.
const LONGEST_NUMBER: usize = 40;

/// Reads a number; nothing where it is none or not finite.
pub(super) fn number(cell: &[u8], decimal: Decimal) -> Option<f64> {
    let starts = |b: &u8| matches!(b, b'0'..=b'9' | b'+' | b'-' | b'.' | b',');
    if cell.len() > LONGEST_NUMBER || !cell.first().is_some_and(starts) {
        return None;
    }
    let mut changed = [0; LONGEST_NUMBER];
    let cell = match decimal {
        Decimal::Point => cell,
        Decimal::Comma => {
            for (to, from) in changed.iter_mut().zip(cell) {
                *to = match from {
                    b',' => b'.',
                    b'.' => return None,
                    other => *other,
                };
            }
            &changed[..cell.len()]
        }
    };
    finite(core::str::from_utf8(cell).ok()?)
}

/// Seconds of a time written as `h:mm:ss.s` or `m:ss.s`, a date before it or not; nothing where it is none.
pub(super) fn clock(cell: &[u8]) -> Option<f64> {
    let text = core::str::from_utf8(cell).ok()?;
    let time = text.rfind(['T', ' ']).map_or(text, |i| &text[i + 1..]);
    let time = time.trim_end_matches('Z');
    let time = time.find(['+']).map_or(time, |i| &time[..i]);
    let mut seconds = 0.0;
    let mut parts = 0;
    for part in time.split(':') {
        parts += 1;
        let whole = part.bytes().all(|b| b.is_ascii_digit());
        let value = number(part.as_bytes(), Decimal::Point)
            .or_else(|| number(part.as_bytes(), Decimal::Comma))?;
        // A leap second is the 61st of its minute.
        if value < 0.0 || (parts > 1 && value >= 61.0) {
            return None;
        }
        seconds = seconds * 60.0 + value;
        // Only the last part may have decimals.
        if !whole && !time.ends_with(part) {
            return None;
        }
    }
    (parts == 2 || parts == 3).then_some(seconds)
}

fn is_number(cell: &str, decimal: Decimal) -> bool {
    number(cell.as_bytes(), decimal).is_some() || clock(cell.as_bytes()).is_some()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn open(text: &str) -> Opening {
        Opening::read(text.as_bytes(), true).unwrap_or_else(|e| panic!("{e}: {text:?}"))
    }

    #[test]
    fn delimiter_and_decimal_mark_are_found() {
        use Decimal::{Comma as C, Point as P};
        for (text, delimiter, decimal) in [
            ("t,a,b\n0,0.1,0.9\n1,0.2,1.0\n", Delimiter::Comma, P),
            ("t;a;b\n0;0,1;0,9\n1;0,2;1,0\n", Delimiter::Semicolon, C),
            ("t;a;b\n0;0.1;0.9\n1;0.2;1.0\n", Delimiter::Semicolon, P),
            ("t\ta\tb\n0\t0,1\t0,9\n1\t0,2\t1,0\n", Delimiter::Tab, C),
            ("t a b\n0 0.1 0.9\n1 0.2 1.0\n", Delimiter::Space, P),
            ("t|a|b\n0|0,1|0,9\n", Delimiter::Pipe, C),
            ("t, a, b\n0, \"0.1\", 0.9\n", Delimiter::Comma, P),
        ] {
            let opening = open(text);
            assert_eq!(
                (opening.delimiter, opening.decimal),
                (delimiter, decimal),
                "{text:?}"
            );
            assert_eq!(opening.names, ["t", "a", "b"], "{text:?}");
            assert_eq!(opening.first_row, 2);
        }
    }

    #[test]
    fn heading_and_units_are_found_below_a_preamble() {
        let text = "Rider,Invented\nRate,100\n\n# note\ntime,acc x,speed\ns,m/s\u{b2},(km/h)\n0,0.1,3\n0.01,0.2,4\n";
        let opening = open(text);
        assert_eq!(opening.names, ["time", "acc x", "speed"]);
        let units = [
            ChannelUnit::Second,
            ChannelUnit::MetrePerSecondSquared,
            ChannelUnit::KilometrePerHour,
        ];
        assert_eq!(opening.units, units.map(Some));
        assert_eq!(opening.first_row, 7);
        let own = open("time_s,acc_x_g,acc_x_g,Speed [mph]\n0,1,2,3\n");
        assert_eq!(own.names[2], "acc_x_g (3)");
        assert_eq!(own.units[3], Some(ChannelUnit::MilePerHour));
        assert_eq!(own.units[1], Some(ChannelUnit::G));
        let hidden = open("# t, a\n0,1\n1,2\n");
        assert_eq!(hidden.names, ["t", "a"]);
        let bare = open("0,1\n1,2\n");
        assert_eq!(bare.names, ["column 1", "column 2"]);
    }

    #[test]
    fn a_heading_in_latin_1_is_read_and_said() {
        let opening = Opening::read(b"t [s],a [m/s\xb2]\n0,1\n1,2\n", true).unwrap();
        assert_eq!(opening.units[1], Some(ChannelUnit::MetrePerSecondSquared));
        assert!(opening.notes[0].contains("Latin-1"));
    }

    #[test]
    fn times_of_day_are_numbers() {
        assert_eq!(clock(b"1:02:03.5"), Some(3723.5));
        assert_eq!(clock(b"2026-01-05T10:00:00.25Z"), Some(36000.25));
        assert_eq!(clock(b"02:03,5"), Some(123.5));
        for bad in ["12", "1:2:3:4", "1:99", "a:b", "-1:20", "1.5:20"] {
            assert_eq!(clock(bad.as_bytes()), None, "{bad}");
        }
    }

    #[test]
    fn numbers_keep_to_their_decimal_mark() {
        assert_eq!(number(b"-1,5e1", Decimal::Comma), Some(-15.0));
        assert_eq!(number(b"+.5", Decimal::Point), Some(0.5));
        for bad in ["inf", "NaN", "1,5", "", "1 2", "1e999", "0x10"] {
            assert_eq!(number(bad.as_bytes(), Decimal::Point), None, "{bad}");
        }
        assert_eq!(number(b"1.500,5", Decimal::Comma), None);
    }
}
