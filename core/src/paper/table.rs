//! Rows of text as a file that any spreadsheet opens, and back.
//!
//! # Source
//! RFC 4180 (2005). A cell that a spreadsheet would take for a formula is made harmless with an
//! apostrophe (common practice, no source), and is itself again on the way in.

use crate::invalid::{Invalid, Problem};

/// What parts the cells of a row.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Separator {
    /// `,`
    #[default]
    Comma,
    /// `;`, for spreadsheets that write decimals with a comma.
    Semicolon,
    /// A tab; only read.
    Tab,
}

impl Separator {
    const fn letter(self) -> char {
        match self {
            Self::Comma => ',',
            Self::Semicolon => ';',
            Self::Tab => '\t',
        }
    }

    /// The one that stands most often in the first row, outside quotes.
    fn of(text: &str) -> Self {
        let mut quoted = false;
        let mut counts = [0; 3];
        for letter in text.trim_start_matches(['\r', '\n']).chars() {
            match letter {
                '"' => quoted = !quoted,
                _ if quoted => {}
                '\r' | '\n' => break,
                ',' => counts[0] += 1,
                ';' => counts[1] += 1,
                '\t' => counts[2] += 1,
                _ => {}
            }
        }
        match counts {
            [commas, semicolons, tabs] if tabs > commas && tabs > semicolons => Self::Tab,
            [commas, semicolons, _] if semicolons > commas => Self::Semicolon,
            _ => Self::Comma,
        }
    }
}

/// The file's text; every row ends with CRLF.
pub fn write(rows: &[Vec<String>], separator: Separator) -> String {
    let mark = separator.letter();
    let mut out = String::new();
    for row in rows {
        for (place, cell) in row.iter().enumerate() {
            if place > 0 {
                out.push(mark);
            }
            push_cell(&mut out, cell, mark, row.len() == 1);
        }
        out.push_str("\r\n");
    }
    out
}

fn push_cell(out: &mut String, cell: &str, mark: char, alone: bool) {
    // An empty row of one cell would read as no row at all.
    let quoted = (alone && cell.is_empty())
        || cell.contains(['"', '\r', '\n', ',', ';', '\t', mark])
        || cell.starts_with([' ', '\u{feff}'])
        || cell.ends_with(' ');
    if quoted {
        out.push('"');
    }
    if is_formula(cell) {
        out.push('\'');
    }
    for letter in cell.chars() {
        if letter == '"' {
            out.push('"');
        }
        out.push(letter);
    }
    if quoted {
        out.push('"');
    }
}

/// Whether a spreadsheet might compute a cell. Apostrophes before do not count, so that what was
/// made harmless and what had an apostrophe already stay apart.
fn is_formula(cell: &str) -> bool {
    cell.trim_start_matches('\'')
        .starts_with(['=', '+', '-', '@', '\t', '\r'])
}

/// Reads rows. A byte-order mark is passed over, the separator is found in the first row, lines may
/// end with CRLF, LF or CR, empty lines are passed over.
///
/// # Errors
/// A quote that does not end, or is followed by more of its cell: the row, as `rows[2]` (0 the first).
pub fn read(text: &str) -> Result<Vec<Vec<String>>, Invalid> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let mark = Separator::of(text).letter();
    let mut rows = Vec::new();
    let mut row: Vec<String> = Vec::new();
    let mut letters = text.chars().peekable();
    while letters.peek().is_some() {
        let quoted = letters.next_if_eq(&'"').is_some();
        let mut cell = String::new();
        if quoted {
            loop {
                match letters.next() {
                    Some('"') if letters.next_if_eq(&'"').is_none() => break,
                    Some(letter) => cell.push(letter),
                    None => return Err(fault(rows.len(), "has a quote that does not end")),
                }
            }
        }
        let end = loop {
            match letters.next() {
                Some(letter) if letter == mark || letter == '\n' || letter == '\r' => {
                    break Some(letter);
                }
                None => break None,
                Some(_) if quoted => {
                    return Err(fault(rows.len(), "has text after a closing quote"));
                }
                Some(letter) => cell.push(letter),
            }
        };
        if end == Some('\r') {
            letters.next_if_eq(&'\n');
        }
        let blank = row.is_empty() && cell.is_empty() && !quoted && end != Some(mark);
        if is_formula(&cell) && cell.starts_with('\'') {
            cell.remove(0);
        }
        row.push(cell);
        // A separator at the very end has an empty cell after it.
        if end == Some(mark) && letters.peek().is_none() {
            row.push(String::new());
        }
        if end == Some(mark) && letters.peek().is_some() {
            continue;
        }
        let whole = std::mem::take(&mut row);
        if !blank {
            rows.push(whole);
        }
    }
    Ok(rows)
}

fn fault(row: usize, sentence: &'static str) -> Invalid {
    Invalid::new(format!("rows[{row}]"), Problem::Other(sentence))
}
