//! Bytes to lines, and lines to cells, in chunks of any size.
//!
//! A line ends at a line feed, a carriage return, or both. Memory is bounded: a line longer than [`LONGEST`] is cut
//! there and said to be too long. Quotation marks do not reach across a line's end: a table of numbers has no cell with
//! a line end in it, and so a stray mark costs one line, not the rest of the file; this, and that only the cells that
//! are asked for are looked at, is why the `csv` crate's engine is not used here.

/// Most bytes of a line that are kept; our choice: far more than a row of any logger has.
pub const LONGEST: usize = 64 * 1024;

/// What separates the cells of a line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Delimiter {
    /// `,`
    Comma,
    /// `;`
    Semicolon,
    /// A tabulator.
    Tab,
    /// `|`
    Pipe,
    /// One or more spaces.
    Space,
}

impl Delimiter {
    /// All, in the order in which they are tried.
    pub const ALL: [Self; 5] = [
        Self::Comma,
        Self::Semicolon,
        Self::Tab,
        Self::Pipe,
        Self::Space,
    ];

    const fn byte(self) -> u8 {
        match self {
            Self::Comma => b',',
            Self::Semicolon => b';',
            Self::Tab => b'\t',
            Self::Pipe => b'|',
            Self::Space => b' ',
        }
    }

    /// In words.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Comma => "comma",
            Self::Semicolon => "semicolon",
            Self::Tab => "tabulator",
            Self::Pipe => "vertical bar",
            Self::Space => "space",
        }
    }
}

/// Collects lines from chunks.
#[derive(Clone, Debug, Default)]
pub struct Lines {
    partial: Vec<u8>,
    number: u64,
    cut: bool,
    after_return: bool,
}

/// A line as it is handed on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Line<'a> {
    /// Counted from 1.
    pub number: u64,
    /// Its bytes without the line end; of the first line without the byte order mark of UTF-8.
    pub bytes: &'a [u8],
    /// Whether it was longer than [`LONGEST`].
    pub cut: bool,
}

impl Lines {
    /// Hand on every line that ends in this chunk.
    pub fn push(&mut self, mut bytes: &[u8], mut each: impl FnMut(Line)) {
        if self.after_return && bytes.first() == Some(&b'\n') {
            bytes = &bytes[1..];
        }
        if !bytes.is_empty() {
            self.after_return = false;
        }
        while let Some(end) = bytes.iter().position(|b| matches!(b, b'\n' | b'\r')) {
            if self.partial.is_empty() && end <= LONGEST {
                self.number += 1;
                each(line(self.number, &bytes[..end], false));
            } else {
                self.keep(&bytes[..end]);
                self.end(&mut each);
            }
            let returned = bytes[end] == b'\r';
            bytes = &bytes[end + 1..];
            if returned {
                match bytes.first() {
                    Some(b'\n') => bytes = &bytes[1..],
                    Some(_) => {}
                    None => self.after_return = true,
                }
            }
        }
        self.keep(bytes);
    }

    /// Hand on what stands after the last line end.
    pub fn finish(&mut self, mut each: impl FnMut(Line)) {
        if !self.partial.is_empty() {
            self.end(&mut each);
        }
    }

    fn keep(&mut self, bytes: &[u8]) {
        let room = LONGEST - self.partial.len();
        self.cut |= bytes.len() > room;
        self.partial
            .extend_from_slice(&bytes[..bytes.len().min(room)]);
    }

    fn end(&mut self, each: &mut impl FnMut(Line)) {
        self.number += 1;
        each(line(self.number, &self.partial, self.cut));
        self.partial.clear();
        self.cut = false;
    }
}

/// Byte order mark of UTF-8.
pub const MARK: &[u8] = b"\xef\xbb\xbf";

fn line(number: u64, bytes: &[u8], cut: bool) -> Line<'_> {
    let bytes = match bytes.strip_prefix(MARK) {
        Some(rest) if number == 1 => rest,
        _ => bytes,
    };
    Line { number, bytes, cut }
}

/// Whether a line is left out: blank, or a comment, which starts with `#`, `%` or `//`.
pub fn is_comment(line: &[u8]) -> bool {
    let bare = line.trim_ascii_start();
    bare.is_empty() || bare[0] == b'#' || bare[0] == b'%' || bare.starts_with(b"//")
}

/// A quotation mark that is not closed on its line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Unclosed {
    /// Number of the cell, from 0.
    pub cell: usize,
}

/// Fill `cells` with where each cell of a line starts and ends, without blanks and quotation marks around it.
///
/// # Errors
/// Where a cell's quotation mark is not closed.
pub fn cells(
    line: &[u8],
    delimiter: Delimiter,
    cells: &mut Vec<(u32, u32)>,
) -> Result<(), Unclosed> {
    cells.clear();
    let mark = delimiter.byte();
    let mut at = 0;
    loop {
        while at < line.len() && (line[at] == b' ' || (line[at] == b'\t' && mark != b'\t')) {
            at += 1;
        }
        if delimiter == Delimiter::Space && at >= line.len() {
            return Ok(());
        }
        let (start, mut end);
        if line.get(at) == Some(&b'"') {
            start = at + 1;
            let closing = line[start..].iter().position(|b| *b == b'"');
            let Some(length) = closing else {
                return Err(Unclosed { cell: cells.len() });
            };
            end = start + length;
            at = end + 1;
            while at < line.len() && line[at] != mark {
                at += 1;
            }
        } else {
            start = at;
            while at < line.len() && line[at] != mark {
                at += 1;
            }
            end = at;
        }
        while end > start && line[end - 1].is_ascii_whitespace() {
            end -= 1;
        }
        // A line is at most LONGEST bytes, so that places fit.
        cells.push((start as u32, end as u32));
        if at >= line.len() {
            return Ok(());
        }
        at += 1;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn split(text: &str, delimiter: Delimiter) -> Vec<&str> {
        let mut places = Vec::new();
        cells(text.as_bytes(), delimiter, &mut places).unwrap();
        let cell = |(a, b): &(u32, u32)| &text[*a as usize..*b as usize];
        places.iter().map(cell).collect()
    }

    fn lines(chunks: &[&str]) -> Vec<(u64, String)> {
        let mut found = Vec::new();
        let mut all = Lines::default();
        let mut each =
            |l: Line| found.push((l.number, String::from_utf8(l.bytes.to_vec()).unwrap()));
        for chunk in chunks {
            all.push(chunk.as_bytes(), &mut each);
        }
        all.finish(&mut each);
        found
    }

    #[test]
    fn cells_come_without_blanks_and_marks() {
        use Delimiter::{Comma, Semicolon, Space, Tab};
        assert_eq!(split("1, 2 ,,\"3,5\",", Comma), ["1", "2", "", "3,5", ""]);
        assert_eq!(split("1;\" 2\" ;3", Semicolon), ["1", " 2", "3"]);
        assert_eq!(split("1\t\t3", Tab), ["1", "", "3"]);
        assert_eq!(split("  1   2 3  ", Space), ["1", "2", "3"]);
        assert_eq!(split("", Comma), [""]);
        let unclosed = cells(b"1,\"2,3", Comma, &mut Vec::new());
        assert_eq!(unclosed, Err(Unclosed { cell: 1 }));
    }

    #[test]
    fn every_kind_of_line_end_counts_once_wherever_chunks_part() {
        let wanted: Vec<(u64, String)> = ["a", "", "b", "c"]
            .iter()
            .enumerate()
            .map(|(i, s)| (i as u64 + 1, (*s).to_owned()))
            .collect();
        for text in ["a\n\nb\nc", "a\r\n\r\nb\r\nc\r\n", "a\r\rb\rc\r"] {
            assert_eq!(lines(&[text]), wanted, "{text:?}");
            for part in 0..text.len() {
                let (one, other) = text.split_at(part);
                assert_eq!(lines(&[one, "", other]), wanted, "{text:?} at {part}");
            }
        }
    }

    #[test]
    fn a_line_without_end_is_cut() {
        let mut all = Lines::default();
        let mut seen = Vec::new();
        let long = vec![b'7'; LONGEST];
        for _ in 0..3 {
            all.push(&long, |l| seen.push((l.bytes.len(), l.cut)));
        }
        all.push(b"\nx\n", |l| seen.push((l.bytes.len(), l.cut)));
        assert_eq!(seen, [(LONGEST, true), (1, false)]);
    }
}
