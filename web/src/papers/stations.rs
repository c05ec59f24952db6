//! The open site's stations as rows of a table, and rows as stations. Metric, whatever is shown.

use drycurb_core::paper::stations::{self, Row, number_cell};

use crate::document::{Document, Draft, Kept, Named, Plants, RateWay, SlopeWay};
use crate::field::Field;
use crate::numbers;
use crate::station::{area_m2, flow_l_per_min, rate_mm_per_h, slope_percent, texture};

/// The table's text.
pub fn write(document: &Document, comma: bool) -> String {
    let shown = |number: Option<f64>| number.map_or_else(String::new, |n| number_cell(n, comma));
    let rows = document.stations().map(|kept| {
        let draft = &kept.draft;
        [
            kept.name.clone(),
            draft.soil.clone().unwrap_or_default(),
            shown(slope_percent(draft).ok().flatten()),
            shown(rate_mm_per_h(draft).ok().flatten()),
            shown(flow_l_per_min(draft)),
            shown(area_m2(draft)),
            draft.plants.name().into(),
            kept.note.clone(),
        ]
    });
    let rows: Vec<Row> = rows.collect();
    stations::write(&rows, comma)
}

/// Reads a table into the open site: rows with a known name change that station, others are added.
/// Gives how many rows were taken; `None` where it is no table with a column `station`.
pub fn read(document: &mut Document, text: &str) -> Option<usize> {
    let rows = stations::read(text)?;
    for row in &rows {
        let name = row[0].as_str();
        let site = document.site().id;
        let known = |kept: &&mut Kept| kept.site == site && kept.name == name;
        let id = match document.kept.iter_mut().find(known) {
            Some(kept) => kept.id,
            None => document.add_station(name.into()),
        };
        if let Some(kept) = document.station_mut(id) {
            take(&mut kept.draft, row);
            if !row[7].is_empty() {
                kept.note.clone_from(&row[7]);
            }
        }
    }
    Some(rows.len())
}

/// Takes a row's cells; an empty one changes nothing, nor does a number that stands there already.
fn take(draft: &mut Draft, row: &Row) {
    let before = draft.soil.replace(row[1].clone());
    if texture(draft).is_none() {
        draft.soil = before;
    }
    if let Some(plants) = Plants::of(&row[6]) {
        draft.plants = plants;
    }
    let fields = [
        (2, Field::Slope, slope_percent(draft).ok().flatten()),
        (3, Field::Rate, rate_mm_per_h(draft).ok().flatten()),
        (4, Field::RateFlow, flow_l_per_min(draft)),
        (5, Field::RateArea, area_m2(draft)),
    ];
    for (column, field, now) in fields {
        let text = row[column].as_str();
        let Ok(typed) = numbers::read(text) else {
            continue;
        };
        if now.is_some_and(|now| numbers::write(now, 3, false) == numbers::write(typed, 3, false)) {
            continue;
        }
        match field {
            Field::Slope => draft.slope_way = SlopeWay::Percent,
            Field::Rate => draft.rate_way = RateWay::Typed,
            _ => {}
        }
        draft.numbers.set_si(field, text);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn site() -> Document {
        let mut document = Document::default();
        let text =
            "station;rate_mm_per_h;soil;slope_percent\r\nBank;12,5;loam;8\r\nOval;x;mud;\r\n";
        assert_eq!(read(&mut document, text), Some(2));
        document
    }

    #[test]
    fn rows_become_stations_and_what_is_not_understood_is_left() {
        let document = site();
        let bank = &document.kept[0].draft;
        assert_eq!(rate_mm_per_h(bank), Ok(Some(12.5)));
        assert_eq!(bank.soil.as_deref(), Some("loam"));
        assert_eq!(slope_percent(bank), Ok(Some(8.0)));
        assert_eq!(document.kept[1].draft, Draft::default());
        assert_eq!(read(&mut Document::default(), "a,b\n1,2"), None);
    }

    #[test]
    fn a_table_that_comes_back_changes_nothing() {
        for comma in [false, true] {
            let mut document = site();
            let text = write(&document, comma);
            assert_eq!(read(&mut document, &text), Some(2));
            assert_eq!(document, site());
        }
        let mut other = Document::default();
        read(&mut other, &write(&site(), false));
        assert_eq!(rate_mm_per_h(&other.kept[0].draft), Ok(Some(12.5)));
    }

    #[test]
    fn a_name_that_a_sheet_would_compute_is_harmless() {
        let mut document = site();
        document.kept[0].name = "=1+1".into();
        assert!(write(&document, false).contains("\r\n'=1+1,"));
    }
}
