//! Twelve monthly figures of one's own, from a local table, in place of the rough climate's.
//!
//! They are kept as typed in the site's words: `own_et` and `own_rain`, twelve texts each with `;`
//! between; `own_unit` says what the first are; `months` is `own` where they are chosen.

use drycurb_core::need::monthly::DAYS;
use drycurb_core::quantity::{Depth, Evapotranspiration};

use crate::document::site::Site;
use crate::numbers;
use crate::units::System;

const MM_PER_INCH: f64 = 25.4;

/// What evapotranspiration can be typed in, by the name in the document. Rain is always of a month.
pub const UNITS: [&str; 4] = ["mm_day", "mm_month", "in_day", "in_month"];

/// The unit's place in [`UNITS`]: as chosen, else as the reader's system has it.
pub fn unit(site: &Site, system: System) -> usize {
    let chosen = site.words.get("own_unit");
    let place = UNITS.iter().position(|name| *name == chosen);
    place.unwrap_or(if system == System::Us { 3 } else { 0 })
}

/// Whether a unit is one of inches.
pub const fn inches(unit: usize) -> bool {
    unit >= 2
}

/// Twelve texts as typed.
pub fn texts(site: &Site, name: &str) -> Vec<String> {
    let typed = site.words.get(name).split(';');
    let padded = typed
        .map(String::from)
        .chain((0..12).map(|_| String::new()));
    padded.take(12).collect()
}

/// Takes what was typed for a month. Several numbers at once, as pasted from a table, go to this
/// month and to those after it; gives whether they were several.
pub fn take(site: &mut Site, name: &str, at: usize, text: &str) -> bool {
    let mut texts = texts(site, name);
    let pasted = several(text);
    for (place, part) in texts.iter_mut().skip(at).zip(&pasted) {
        *place = part.replace(';', "");
    }
    let nothing = texts.iter().all(String::is_empty);
    let joined = if nothing {
        String::new()
    } else {
        texts.join(";")
    };
    site.words.set(name, &joined);
    pasted.len() > 1
}

/// The parts of what was typed: one, or as many as were pasted.
fn several(text: &str) -> Vec<String> {
    let text = text.trim().replace(", ", " ");
    // Twelve numbers with commas between, and points in them.
    let by_commas = text.matches(',').count() == 11 && !text.contains([' ', '\t', ';']);
    let split = |c: char| c.is_whitespace() || c == ';' || (by_commas && c == ',');
    let parts = text.split(split).filter(|part| !part.is_empty());
    let parts: Vec<String> = parts.map(String::from).collect();
    // A lone number may have a blank between thousands.
    if parts.len() < 3 { vec![text] } else { parts }
}

/// What the twelve come to.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Own {
    /// Months, from 0, whose evapotranspiration is missing or not understood.
    pub no_et: Vec<usize>,
    /// Months whose rain is not understood, or missing where others have some.
    pub no_rain: Vec<usize>,
    /// Evapotranspiration of each month's mean day, where all are understood.
    pub et: Option<[Evapotranspiration; 12]>,
    /// Rain of each month, where all are understood.
    pub rain: Option<[Depth; 12]>,
}

/// Evapotranspiration of a month's mean day, from what was typed in one of the units.
fn et_of(text: &str, unit: usize, month: usize) -> Option<Evapotranspiration> {
    let mut mm = numbers::read(text).ok()?;
    if inches(unit) {
        mm *= MM_PER_INCH;
    }
    if unit % 2 == 1 {
        mm /= f64::from(DAYS[month]);
    }
    Evapotranspiration::try_mm_per_day(mm).ok()
}

/// The evapotranspiration of the twelve, mm of each month's mean day, where they are chosen and all
/// are understood.
pub fn counted(site: &Site, system: System) -> Option<[f64; 12]> {
    if site.words.get("months") != "own" {
        return None;
    }
    let unit = unit(site, site.units.unwrap_or(system));
    let mut typed = site.words.get("own_et").split(';');
    let mut list = [0.0; 12];
    for (month, et) in list.iter_mut().enumerate() {
        *et = et_of(typed.next()?, unit, month)?.to_mm_per_day();
    }
    Some(list)
}

/// Reads the twelve.
pub fn own(site: &Site, system: System) -> Own {
    let unit = unit(site, system);
    let mm = if inches(unit) { MM_PER_INCH } else { 1.0 };
    let mut own = Own::default();
    let mut et = [Evapotranspiration::mm_per_day(0.0); 12];
    let mut rain = [Depth::mm(0.0); 12];
    let rains = texts(site, "own_rain");
    for (month, text) in texts(site, "own_et").iter().enumerate() {
        match et_of(text, unit, month) {
            Some(day) => et[month] = day,
            None => own.no_et.push(month),
        }
        let fallen = numbers::read(&rains[month]).ok().map(|number| number * mm);
        match fallen.and_then(|mm| Depth::try_mm(mm).ok()) {
            Some(fallen) => rain[month] = fallen,
            None => own.no_rain.push(month),
        }
    }
    own.et = own.no_et.is_empty().then_some(et);
    own.rain = own.no_rain.is_empty().then_some(rain);
    if rains.iter().all(|text| text.trim().is_empty()) {
        own.no_rain.clear();
    }
    own
}

#[cfg(test)]
mod tests {
    use super::*;

    fn site() -> Site {
        Site::new(1)
    }

    #[test]
    fn twelve_pasted_fill_all() {
        for text in [
            "1 2 3 4 5 6 7 8 9 10 11 12,5",
            "1\t2\t3\t4\t5\t6\t7\t8\t9\t10\t11\t12,5",
            "1; 2; 3; 4; 5; 6; 7; 8; 9; 10; 11; 12,5",
            "1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12,5",
        ] {
            let mut site = site();
            assert!(take(&mut site, "own_et", 0, text), "{text}");
            let texts = texts(&site, "own_et");
            assert_eq!((&*texts[0], &*texts[11]), ("1", "12,5"), "{text}");
        }
        let mut site = site();
        assert!(take(
            &mut site,
            "own_et",
            0,
            "1.5,2,3,4,5,6,7,8,9,10,11,12.5"
        ));
        assert_eq!(texts(&site, "own_et")[11], "12.5");
        assert!(!take(&mut site, "own_et", 11, "1,5"));
        assert_eq!(texts(&site, "own_et")[11], "1,5");
        // What does not fit any more is left.
        take(&mut site, "own_et", 10, "7 8 9");
        assert_eq!(texts(&site, "own_et").len(), 12);
        assert_eq!(texts(&site, "own_et")[11], "8");
        for month in 0..12 {
            take(&mut site, "own_et", month, "");
        }
        assert_eq!(site.words.get("own_et"), "");
    }

    /// By hand: 6.51 inches in July's 31 days are 165.354 mm, 5.334 mm a day.
    #[test]
    fn units_are_the_table_s_own() {
        let mut site = site();
        take(&mut site, "own_et", 0, &"6.51 ".repeat(12));
        take(&mut site, "own_rain", 0, &"1 ".repeat(12));
        site.words.set("own_unit", "in_month");
        let found = own(&site, System::Si);
        assert!((found.et.unwrap()[6].to_mm_per_day() - 5.334).abs() < 1e-9);
        assert!((found.rain.unwrap()[6].to_mm() - 25.4).abs() < 1e-9);
        site.words.set("own_unit", "mm_day");
        assert_eq!(own(&site, System::Si).et.unwrap()[1].to_mm_per_day(), 6.51);
        site.words.set("own_unit", "in_day");
        // More than any sky takes.
        assert_eq!(own(&site, System::Si).no_et.len(), 12);
        site.words.set("own_unit", "");
        assert_eq!((unit(&site, System::Us), unit(&site, System::Si)), (3, 0));
    }

    #[test]
    fn what_is_missing_is_told() {
        let mut site = site();
        assert_eq!(own(&site, System::Si).no_et.len(), 12);
        assert!(
            own(&site, System::Si).no_rain.is_empty(),
            "rain may be left out"
        );
        take(&mut site, "own_et", 0, &"5 ".repeat(12));
        take(&mut site, "own_et", 3, "x");
        take(&mut site, "own_rain", 0, "1 2 3");
        let found = own(&site, System::Si);
        assert_eq!((found.no_et, found.et), (vec![3], None));
        assert_eq!((found.no_rain.len(), found.rain), (9, None));
    }
}
