//! An invented site to look around in, and said to be invented.

use crate::document::site::{Site, SoakStyle, Supply, Tier, WaterDays};
use crate::document::{Climate, Document, Draft, Kept, Named};
use crate::field::Field;
use crate::text::Text;

/// A station: English and Spanish name, soil, slope in percent, rate in mm/h, flow in L/min, plants,
/// supply.
type Row = (
    &'static str,
    &'static str,
    &'static str,
    &'static str,
    &'static str,
    &'static str,
    &'static str,
    u32,
);

#[rustfmt::skip]
const ROWS: [Row; 24] = [
    ("Front lawn 1", "Césped frontal 1", "clay_loam", "3", "14", "42", "cool_turf", 1),
    ("Front lawn 2", "Césped frontal 2", "clay_loam", "3", "14", "45", "cool_turf", 1),
    ("Front lawn 3", "Césped frontal 3", "clay_loam", "4", "14", "40", "cool_turf", 1),
    ("Entrance beds", "Macizos de entrada", "clay_loam", "2", "40", "28", "moderate_use", 1),
    ("Flag circle", "Rotonda", "clay_loam", "2", "38", "22", "high_use", 1),
    ("North bank, top", "Talud norte, arriba", "clay", "12", "12", "34", "moderate_use", 1),
    ("North bank, middle", "Talud norte, medio", "clay", "16", "12", "34", "moderate_use", 1),
    ("North bank, toe", "Talud norte, pie", "clay", "14", "12", "36", "moderate_use", 1),
    ("Parking islands 1", "Isletas 1", "clay", "1", "25", "12", "low_use", 1),
    ("Parking islands 2", "Isletas 2", "clay", "1", "25", "12", "low_use", 1),
    ("Street trees", "Árboles de la calle", "clay", "2", "30", "18", "trees", 1),
    ("East hedge", "Seto este", "clay_loam", "2", "20", "15", "moderate_use", 1),
    ("Ball field 1", "Cancha 1", "sand", "1", "12", "75", "warm_turf", 2),
    ("Ball field 2", "Cancha 2", "sand", "1", "12", "75", "warm_turf", 2),
    ("Ball field 3", "Cancha 3", "sand", "1", "12", "80", "warm_turf", 2),
    ("Ball field 4", "Cancha 4", "sand", "1", "12", "80", "warm_turf", 2),
    ("Field edge", "Borde de la cancha", "loamy_sand", "3", "15", "60", "warm_turf", 2),
    ("Picnic lawn", "Césped de pícnic", "sandy_loam", "5", "13", "55", "cool_turf", 2),
    ("Play area beds", "Macizos de juegos", "sandy_loam", "2", "35", "20", "moderate_use", 2),
    ("Herb garden", "Jardín de hierbas", "sandy_loam", "1", "18", "9", "low_use", 2),
    ("West slope 1", "Ladera oeste 1", "clay_loam", "8", "12", "48", "cool_turf", 2),
    ("West slope 2", "Ladera oeste 2", "clay_loam", "10", "12", "48", "cool_turf", 2),
    ("Memorial grove", "Arboleda", "loam", "4", "30", "16", "trees", 2),
    ("Back fence", "Cerca trasera", "loam", "2", "22", "14", "very_low_use", 2),
];

/// Adds the invented site and opens it; one that is there already is opened.
pub fn load(document: &mut Document, text: &Text) {
    if let Some(site) = document.sites.iter_mut().find(|site| site.invented) {
        site.archived = false;
        document.site = site.id;
        return;
    }
    let id = document.fresh_site_id();
    let mut site = Site::new(id);
    site.name = text.site.example_name.into();
    site.note = text.site.example_note.into();
    site.invented = true;
    site.facts.climate = Climate::Zone(9);
    site.facts.month = Some(7);
    // Whole degrees: so that its night has a dawn, and nobody's address.
    site.facts.numbers.set_si(Field::Latitude, "35");
    site.facts.numbers.set_si(Field::Longitude, "-118");
    site.soak_style = SoakStyle::None;
    site.sharing = true;
    site.days = WaterDays::Weekdays;
    site.closed_hours = ("09:00".into(), "18:00".into());
    site.facts.numbers.set_si(Field::PanelPrograms, "6");
    site.facts.numbers.set_si(Field::WindowHours, "9");
    site.currency = "$".into();
    site.tiers = [("40", "1.35"), ("", "2.10")]
        .map(|(until, price)| Tier {
            until: until.into(),
            price: price.into(),
        })
        .into();
    site.supplies = [
        (1, text.site.example_front, "1-1/2", "130"),
        (2, text.site.example_back, "2", "160"),
    ]
    .map(|(id, name, meter, capacity)| {
        let mut supply = Supply {
            id,
            name: name.into(),
            meter: meter.into(),
            ..Supply::default()
        };
        supply.facts.numbers.set_si(Field::Capacity, capacity);
        supply
    })
    .into();
    document.sites.push(site);
    document.site = id;
    let spanish = std::ptr::eq(text, crate::text::text(crate::document::Language::Es));
    for (english, other, soil, slope, rate, flow, plants, supply) in ROWS {
        let mut draft = Draft {
            soil: Some(soil.into()),
            plants: Named::of(plants).unwrap_or_default(),
            ..Draft::default()
        };
        draft.numbers.set_si(Field::Slope, slope);
        draft.numbers.set_si(Field::Rate, rate);
        draft.numbers.set_si(Field::RateFlow, flow);
        let kept = Kept {
            id: document.fresh_id(),
            name: if spanish { other } else { english }.into(),
            draft,
            site: id,
            supply,
            ..Kept::default()
        };
        document.kept.push(kept);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_invented_site_fits_its_night_and_panel() {
        let mut document = Document::default();
        load(
            &mut document,
            crate::text::text(crate::document::Language::En),
        );
        let asked = crate::night::wanted(&document, 7, "2026-07-06").request;
        let request = crate::json::parse(&asked.expect("nothing lacks")).expect("JSON");
        let mut whole = drycurb_core::lines::answer(&request);
        let week = whole["ok"].take();
        assert_eq!(week["verified"], true);
        let dawn = crate::night::dawn(&document.site().facts, "2026-07-06", -420);
        assert!(
            matches!(dawn, crate::night::Dawn::At(300..=360)),
            "{dawn:?}"
        );
        assert_eq!(
            week["unkeyed"].as_array().map(Vec::len),
            Some(0),
            "{}",
            week["unkeyed"]
        );
        let finish = crate::night::whole(&week["finish_second"]);
        assert!(
            finish <= 60 * crate::night::whole(&week["window_minutes"]),
            "{finish}"
        );
        assert!(
            crate::night::whole(&week["entries"]) <= 60,
            "{}",
            week["entries"]
        );
        for kept in document.stations() {
            let outcome =
                crate::station::work_out(&document.facts_of(kept), &7.into()).expect("an answer");
            assert!(!outcome.answer.too_fast, "{}", kept.name);
        }
    }

    #[test]
    fn the_invented_site_has_an_answer_for_every_station() {
        let mut document = Document::default();
        for language in [crate::document::Language::En, crate::document::Language::Es] {
            load(&mut document, crate::text::text(language));
            assert_eq!(document.stations().count(), 24);
            for kept in document.stations() {
                let facts = document.facts_of(kept);
                let outcome = crate::station::work_out(&facts, &7.into()).expect(&kept.name);
                assert!(outcome.answer.week_minutes > 0, "{}", kept.name);
                let supply = document.site().supplies.iter().any(|s| s.id == kept.supply);
                assert!(supply && crate::station::flow_l_per_min(&facts).is_some());
            }
            assert!(crate::rules::wrong(document.site()).is_empty());
            document.delete_site();
        }
    }
}
