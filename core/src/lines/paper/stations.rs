//! The ask `stations_csv`: stations as a table, and a table as stations.
//!
//! In, one of both: `csv`, a table's text; or `stations` `[{"station", "soil", "slope_percent",
//! "rate_mm_per_h", "flow_l_per_min", "area_m2", "plants", "note"}]`, all but the first optional, with
//! `decimal_comma` (false).
//!
//! Out: for `stations`, `csv`; for `csv`, `stations` as above with null for what is empty or not
//! understood, and `not_understood`, the names of those (`stations[1].soil`; of a name that is missing,
//! `stations[1].station`).

use serde_json::{Map, Value};

use super::super::{Answer, Fields};
use crate::ground::Texture;
use crate::invalid::Problem;
use crate::json;
use crate::lines::json::put;
use crate::paper::stations::{COLUMNS, Row, cell_number, number_cell, read, write};
use crate::quantity::{Area, Flow, PrecipitationRate, Slope};

/// The columns that are numbers.
const NUMBERS: core::ops::RangeInclusive<usize> = 2..=5;
const PLANTS: usize = 6;
/// What may grow, as the document of a phone spells it.
const PLANT_WORDS: &[&str] = &[
    "cool_turf",
    "warm_turf",
    "high_use",
    "moderate_use",
    "low_use",
    "very_low_use",
    "trees",
    "typed",
];

/// Answers `stations_csv`.
pub fn stations_csv(mut fields: Fields) -> Answer {
    if fields.value("csv").is_some() == fields.value("stations").is_some() {
        let problem = Problem::Other("must be there, or stations, and not both");
        fields.fault("csv", problem);
        return Err(fields.into_faults());
    }
    if let Some(text) = fields.optional_text("csv") {
        let Some(rows) = read(text) else {
            let problem = Problem::Other("must be a table whose first row has a column station");
            fields.fault("csv", problem);
            return Err(fields.into_faults());
        };
        let assumed = fields.finish()?;
        let mut wrong = Vec::new();
        let list = rows.iter().enumerate();
        let list = list.map(|(place, row)| station(place, row, &mut wrong));
        let list: Vec<Value> = list.collect();
        return Ok(json!({ "stations": list, "not_understood": wrong, "assumed": assumed }));
    }
    let comma = fields.defaulted_flag("decimal_comma", false);
    let rows = fields.objects("stations", true, |inner| row(inner, comma));
    let assumed = fields.finish()?;
    Ok(json!({ "csv": write(&rows, comma), "assumed": assumed }))
}

/// Whether a column takes a number, in its unit.
fn checked(column: usize, number: f64) -> Result<f64, Problem> {
    match column {
        2 => Slope::try_percent(number).map(Slope::to_percent),
        3 => PrecipitationRate::try_mm_per_h(number).map(PrecipitationRate::to_mm_per_h),
        4 => Flow::try_l_per_min(number).map(Flow::to_l_per_min),
        _ => Area::try_m2(number).map(Area::to_m2),
    }
}

fn row(fields: &mut Fields, comma: bool) -> Row {
    let mut row = Row::default();
    for (column, name) in COLUMNS.iter().enumerate() {
        row[column] = if NUMBERS.contains(&column) {
            let number = fields.optional(name, |number| checked(column, number));
            number.map_or_else(String::new, |number| number_cell(number, comma))
        } else {
            let text = match column {
                0 => fields.required_text(name),
                1 => fields.optional_word(name, &Texture::WORDS, &Texture::WORDS),
                PLANTS => fields.optional_word(name, PLANT_WORDS, PLANT_WORDS),
                _ => fields.optional_text(name),
            };
            text.unwrap_or_default().into()
        };
    }
    row
}

fn station(place: usize, row: &Row, wrong: &mut Vec<String>) -> Value {
    let mut object = Map::new();
    for (column, (name, cell)) in COLUMNS.iter().zip(row).enumerate() {
        let text = || Some(Value::from(cell.as_str()));
        let understood = if NUMBERS.contains(&column) {
            let number = cell_number(cell).ok().flatten();
            let number = number.and_then(|number| checked(column, number).ok());
            number.map(Value::from)
        } else {
            match column {
                1 if !Texture::WORDS.contains(&cell.as_str()) => None,
                PLANTS if !PLANT_WORDS.contains(&cell.as_str()) => None,
                _ if cell.is_empty() => None,
                _ => text(),
            }
        };
        if understood.is_none() && (!cell.is_empty() || column == 0) {
            wrong.push(format!("stations[{place}].{name}"));
        }
        put(&mut object, name, understood.unwrap_or_default());
    }
    Value::Object(object)
}
