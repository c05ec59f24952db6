//! The open site's stations as rows of a table, and rows as stations. Metric, whatever is shown.

use drycurb_core::paper::table::{self, Separator};

use crate::document::{Document, Draft, Kept, Named, Plants, RateWay, SlopeWay};
use crate::field::Field;
use crate::numbers;
use crate::station::{area_m2, flow_l_per_min, rate_mm_per_h, slope_percent, texture};

/// The columns, as the first row names them.
const COLUMNS: [&str; 8] = [
    "station",
    "soil",
    "slope_percent",
    "rate_mm_per_h",
    "flow_l_per_min",
    "area_m2",
    "plants",
    "note",
];

/// The table's text.
pub fn write(document: &Document, comma: bool) -> String {
    let mut rows = vec![COLUMNS.map(String::from).to_vec()];
    let shown =
        |number: Option<f64>| number.map_or_else(String::new, |n| numbers::write(n, 3, comma));
    for kept in document.stations() {
        let draft = &kept.draft;
        rows.push(vec![
            kept.name.clone(),
            draft.soil.clone().unwrap_or_default(),
            shown(slope_percent(draft).ok().flatten()),
            shown(rate_mm_per_h(draft).ok().flatten()),
            shown(flow_l_per_min(draft)),
            shown(area_m2(draft)),
            draft.plants.name().into(),
            kept.note.clone(),
        ]);
    }
    let separator = if comma {
        Separator::Semicolon
    } else {
        Separator::Comma
    };
    table::write(&rows, separator)
}

/// Reads a table into the open site: rows with a known name change that station, others are added.
/// Gives how many rows were taken; `None` where it is no table with a column `station`.
pub fn read(document: &mut Document, text: &str) -> Option<usize> {
    let rows = table::read(text).ok()?;
    let (head, rows) = rows.split_first()?;
    let column = |name: &str| head.iter().position(|one| one.trim() == name);
    let name_at = column(COLUMNS[0])?;
    let mut taken = 0;
    for row in rows {
        let cell = |name: &str| {
            column(name)
                .and_then(|at| row.get(at))
                .map_or("", |cell| cell.trim())
        };
        let name = row.get(name_at).map_or("", |name| name.trim());
        if name.is_empty() {
            continue;
        }
        let site = document.site().id;
        let known = |kept: &&mut Kept| kept.site == site && kept.name == name;
        let id = match document.kept.iter_mut().find(known) {
            Some(kept) => kept.id,
            None => {
                let id = document.fresh_id();
                let supply = document.site().supplies[0].id;
                document.kept.push(Kept {
                    id,
                    name: name.into(),
                    site,
                    supply,
                    ..Kept::default()
                });
                id
            }
        };
        if let Some(kept) = document.kept.iter_mut().find(|kept| kept.id == id) {
            take(&mut kept.draft, &cell);
            if !cell(COLUMNS[7]).is_empty() {
                kept.note = cell(COLUMNS[7]).into();
            }
            taken += 1;
        }
    }
    Some(taken)
}

/// Takes a row's cells; an empty one changes nothing, nor does a number that stands there already.
fn take<'a>(draft: &mut Draft, cell: &impl Fn(&str) -> &'a str) {
    let soil = cell(COLUMNS[1]);
    let before = draft.soil.replace(soil.into());
    if texture(draft).is_none() {
        draft.soil = before;
    }
    if let Some(plants) = Plants::of(cell(COLUMNS[6])) {
        draft.plants = plants;
    }
    let fields = [
        (2, Field::Slope, slope_percent(draft).ok().flatten()),
        (3, Field::Rate, rate_mm_per_h(draft).ok().flatten()),
        (4, Field::RateFlow, flow_l_per_min(draft)),
        (5, Field::RateArea, area_m2(draft)),
    ];
    for (column, field, now) in fields {
        let text = cell(COLUMNS[column]);
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
