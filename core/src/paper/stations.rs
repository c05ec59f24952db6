//! Stations as rows of a table, and rows as stations. Metric, whatever is shown on a page.

use crate::invalid::Problem;
use crate::money::decimal;
use crate::paper::table::{self, Separator};

/// The columns, as the first row names them.
pub const COLUMNS: [&str; 8] = [
    "station",
    "soil",
    "slope_percent",
    "rate_mm_per_h",
    "flow_l_per_min",
    "area_m2",
    "plants",
    "note",
];

/// A station's cells, in the order of [`COLUMNS`]; what is not known is empty.
pub type Row = [String; 8];

/// The table's text. With `comma`, cells are parted by semicolons, so that a spreadsheet whose
/// decimals have commas opens it.
pub fn write(rows: &[Row], comma: bool) -> String {
    let separator = if comma {
        Separator::Semicolon
    } else {
        Separator::Comma
    };
    let mut all = vec![COLUMNS.map(String::from).to_vec()];
    all.extend(rows.iter().map(|row| row.to_vec()));
    table::write(&all, separator)
}

/// Reads a table: columns are found by their names, in any order; unknown ones and empty rows are
/// passed over. A row may lack its name. `None` where it is no table with a column `station`.
pub fn read(text: &str) -> Option<Vec<Row>> {
    let rows = table::read(text).ok()?;
    let (head, rows) = rows.split_first()?;
    let places = COLUMNS.map(|name| head.iter().position(|one| one.trim() == name));
    places[0]?;
    let rows = rows.iter().map(|row| {
        places.map(|place| {
            let cell = place.and_then(|place| row.get(place));
            cell.map_or("", |cell| cell.trim()).to_string()
        })
    });
    Some(rows.filter(|row: &Row| !row.concat().is_empty()).collect())
}

/// A number as a cell holds it: three decimals at most.
pub fn number_cell(number: f64, comma: bool) -> String {
    let mut text = crate::decimal::fixed(number, 3).to_string();
    text.truncate(text.trim_end_matches('0').trim_end_matches('.').len());
    if comma { text.replace('.', ",") } else { text }
}

/// The number in a cell, with a point or a comma; none in an empty one.
///
/// # Errors
/// Not such a number, or below zero.
pub fn cell_number(cell: &str) -> Result<Option<f64>, Problem> {
    if cell.is_empty() {
        return Ok(None);
    }
    decimal::read(cell, 6).map(|millionths| Some(millionths as f64 / 1e6))
}
