//! The open site's stations as rows of a table, and rows as stations. Metric, whatever is shown.

use drycurb_core::paper::stations::{self, COLUMNS, Row, number_cell};

use crate::document::{Document, Draft, Named, Plants, RateWay, SlopeWay};
use crate::field::Field;
use crate::numbers;
use crate::station::{area_m2, flow_l_per_min, number, rate_mm_per_h, slope_percent, texture};

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

/// What a table brought.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Brought {
    /// Rows taken.
    pub rows: usize,
    /// Stations that are new with them.
    pub added: usize,
    /// Cells that were left as they were, with row and column.
    pub left: Vec<String>,
}

/// Reads a table into the open site: rows with a known name change that station (of several stations
/// of one name each row the next one), others are added. `None` where it is no table with a column
/// `station`.
pub fn read(document: &mut Document, text: &str) -> Option<Brought> {
    let mut brought = Brought::default();
    let mut taken: Vec<u32> = Vec::new();
    for (place, row) in stations::read(text)?.iter().enumerate() {
        let name = row[0].as_str();
        let mut left = |column: usize| {
            let of = match name {
                "" => format!("#{}", place + 1),
                name => name.into(),
            };
            let cell = format!("{of}: {}\u{a0}{}", COLUMNS[column], row[column]);
            brought.left.push(cell);
        };
        if name.is_empty() {
            left(0);
            continue;
        }
        let known = document.stations().filter(|kept| kept.name == name);
        let known = known.map(|kept| kept.id).find(|id| !taken.contains(id));
        let count = document.kept.len();
        let id = known.unwrap_or_else(|| document.add_station(name.into()));
        taken.push(id);
        if let Some(kept) = document.station_mut(id) {
            take(&mut kept.draft, row, &mut left);
            if !row[7].is_empty() {
                kept.note.clone_from(&row[7]);
            }
        }
        brought.rows += 1;
        brought.added += document.kept.len() - count;
    }
    Some(brought)
}

/// Takes a row's cells; an empty one changes nothing, nor does a number that stands there already.
/// `left` hears the columns of those that are not understood.
fn take(draft: &mut Draft, row: &Row, left: &mut dyn FnMut(usize)) {
    let before = draft.soil.replace(row[1].clone());
    if texture(draft).is_none() {
        draft.soil = before;
        if !row[1].is_empty() {
            left(1);
        }
    }
    match Plants::of(&row[6]) {
        Some(plants) => draft.plants = plants,
        None if row[6].is_empty() => {}
        None => left(6),
    }
    let fields = [
        (2, Field::Slope, slope_percent(draft).ok().flatten()),
        (3, Field::Rate, rate_mm_per_h(draft).ok().flatten()),
        (4, Field::RateFlow, flow_l_per_min(draft)),
        (5, Field::RateArea, area_m2(draft)),
    ];
    for (column, field, now) in fields {
        let text = row[column].as_str();
        if text.is_empty() {
            continue;
        }
        let mut tried = Draft::default();
        tried.numbers.set_si(field, text);
        let Ok(Some(typed)) = number(&tried, field) else {
            left(column);
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
        let brought = read(&mut document, text).expect("a table");
        assert_eq!((brought.rows, brought.added), (2, 2));
        let left = ["Oval: soil\u{a0}mud", "Oval: rate_mm_per_h\u{a0}x"];
        assert_eq!(brought.left, left);
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
            let brought = read(&mut document, &text).expect("a table");
            assert_eq!((brought.rows, brought.added, brought.left.len()), (2, 0, 0));
            assert_eq!(document, site());
        }
        let mut other = Document::default();
        read(&mut other, &write(&site(), false));
        assert_eq!(rate_mm_per_h(&other.kept[0].draft), Ok(Some(12.5)));
    }

    #[test]
    fn stations_of_one_name_are_told_apart_by_their_order() {
        let mut document = site();
        document.kept[1].name = "Bank".into();
        let before = document.clone();
        let text = write(&document, false);
        assert_eq!(read(&mut document, &text).unwrap().added, 0);
        assert_eq!(document, before);
    }

    #[test]
    fn what_is_left_is_told() {
        let mut document = site();
        let text = "station,slope_percent,plants,flow_l_per_min\r\n,8,,\r\n,,,\r\nBank,-5,roses,12 gpm\r\n";
        let before = document.clone();
        let brought = read(&mut document, text).unwrap();
        assert_eq!((brought.rows, brought.added), (1, 0));
        assert_eq!(
            brought.left,
            [
                "#1: station\u{a0}",
                "Bank: plants\u{a0}roses",
                "Bank: slope_percent\u{a0}-5",
                "Bank: flow_l_per_min\u{a0}12 gpm"
            ]
        );
        assert_eq!(document, before);
    }

    #[test]
    fn a_name_that_a_sheet_would_compute_is_harmless() {
        let mut document = site();
        document.kept[0].name = "=1+1".into();
        assert!(write(&document, false).contains("\r\n'=1+1,"));
    }
}
