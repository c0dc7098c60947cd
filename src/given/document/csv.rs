//! Tables as CSV (RFC 4180): one writer for all of them.

/// A cell.
pub enum Cell {
    /// Nothing.
    Empty,
    /// Words.
    Text(String),
    /// A number, a date, an identifier: written as it is.
    Plain(String),
}

impl Cell {
    /// A number, or nothing.
    pub fn number(value: Option<f64>) -> Self {
        value.map_or(Self::Empty, |v| Self::Plain(v.to_string()))
    }
}

/// Writes a line of cells.
pub fn line(out: &mut String, cells: impl IntoIterator<Item = Cell>) {
    for (i, cell) in cells.into_iter().enumerate() {
        if i > 0 {
            out.push(',');
        }
        push(out, cell);
    }
    out.push_str("\r\n");
}

/// Writes a cell, in quotation marks where RFC 4180 asks for them.
fn push(out: &mut String, cell: Cell) {
    let text = match cell {
        Cell::Empty => return,
        Cell::Plain(text) => text,
        // A spreadsheet runs text that begins so as a formula; an apostrophe makes it take it as text.
        Cell::Text(text) if text.starts_with(['=', '+', '-', '@', '\t', '\r']) => {
            format!("'{text}")
        }
        Cell::Text(text) => text,
    };
    if text.contains(['"', ',', '\n', '\r']) {
        out.push('"');
        out.push_str(&text.replace('"', "\"\""));
        out.push('"');
    } else {
        out.push_str(&text);
    }
}
