//! The table of places against the file it was packed from, and the zones against their transcription.

use drycurb_core::need::climate::{self, california};
use drycurb_tests::{assert_near, assert_printed, data};
use serde_json::Value;

fn numbers(place: &Value, key: &str) -> Vec<f64> {
    place[key]
        .as_array()
        .unwrap()
        .iter()
        .map(|n| n.as_f64().unwrap())
        .collect()
}

fn name(place: &Value) -> String {
    place["tz"]
        .as_str()
        .unwrap()
        .rsplit('/')
        .next()
        .unwrap()
        .replace('_', " ")
}

/// `tests/data/climate/pack.py` in Rust.
fn packed(mut places: Vec<Value>) -> Vec<u8> {
    let round = |number: f64| (number + 0.5).floor();
    let degrees = |place: &Value, key: &str| {
        (round(place[key].as_f64().unwrap() * 100.0) as i16).to_le_bytes()
    };
    places.sort_by_key(name);
    let mut bytes = (places.len() as u16).to_le_bytes().to_vec();
    for place in &places {
        bytes.extend(
            numbers(place, "eto_mm_d_HS1975")
                .iter()
                .map(|mm| round(mm * 20.0) as u8),
        );
    }
    for place in &places {
        bytes.extend(
            numbers(place, "rain_mm")
                .iter()
                .map(|mm| round(mm.sqrt() * 8.0) as u8),
        );
    }
    places
        .iter()
        .for_each(|place| bytes.extend(degrees(place, "lat")));
    places
        .iter()
        .for_each(|place| bytes.extend(degrees(place, "lon")));
    places
        .iter()
        .for_each(|place| bytes.extend(place["cc"].as_str().unwrap().as_bytes()));
    places
        .iter()
        .for_each(|place| bytes.extend(format!("{}\n", name(place)).as_bytes()));
    bytes
}

/// Source: ERA5 and MERRA-2 as in tests/data/climate/SOURCE.md.
#[test]
fn the_table_is_what_the_file_packs_to() {
    let places = data("climate/places.json")["places"]
        .as_array()
        .unwrap()
        .clone();
    let table = include_bytes!("../../core/src/need/climate/places.bin");
    assert!(packed(places) == table, "run tests/data/climate/pack.py");
    assert!(table.len() <= 30_000, "{} bytes", table.len());
}

/// Source: ERA5 and MERRA-2 as in tests/data/climate/SOURCE.md; half a step of the table is the tolerance.
#[test]
fn every_place_unpacks_to_what_the_file_says() {
    let file = data("climate/places.json");
    let mut file: Vec<&Value> = file["places"].as_array().unwrap().iter().collect();
    file.sort_by_key(|place| name(place));
    assert_eq!(climate::places().count(), file.len());
    for (place, from) in climate::places().zip(file) {
        assert_eq!(place.name, name(from));
        assert_eq!(place.country(), from["cc"].as_str().unwrap());
        assert_near(
            place.latitude.to_degrees(),
            from["lat"].as_f64().unwrap(),
            1e-9,
        );
        assert_near(
            place.longitude.to_degrees(),
            from["lon"].as_f64().unwrap(),
            1e-9,
        );
        for (month, mm) in numbers(from, "eto_mm_d_HS1975").into_iter().enumerate() {
            assert_near(place.et_mm_per_day[month], mm, 0.025 + 1e-9);
        }
        for (month, mm) in numbers(from, "rain_mm").into_iter().enumerate() {
            let half_step = (2.0 * mm.sqrt() / 16.0) + 1.0 / 256.0;
            assert_near(place.rain_mm()[month], mm, half_step + 1e-9);
        }
    }
}

/// Source: zone map, California DWR and UC Davis 1999, in tests/data/climate/zones.csv (inches a month).
#[test]
fn zones_print_as_on_the_map() {
    let path = format!("{}/data/climate/zones.csv", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(path).unwrap();
    let rows: Vec<&str> = text.lines().skip(1).collect();
    assert_eq!(rows.len(), california::ZONES.len());
    for (zone, row) in california::ZONES.iter().zip(rows) {
        let quoted: Vec<&str> = row.splitn(2, ',').collect();
        assert_eq!(zone.number.to_string(), quoted[0]);
        let rest = quoted[1];
        let (lies, months) = match rest.strip_prefix('"') {
            Some(open) => open.split_once("\",").unwrap(),
            None => rest.split_once(',').unwrap(),
        };
        assert_eq!(zone.lies, lies);
        for (month, printed) in months.split(',').take(12).enumerate() {
            assert_near(
                zone.inches_per_month()[month],
                printed.parse().unwrap(),
                1e-9,
            );
        }
    }
}

/// Source: zone map as above, zone 6 in July: 6.51 in a month, which is 0.21 in or 5.334 mm a day.
#[test]
fn zone_6_in_july() {
    let zone = california::ZONES[5];
    assert_printed(zone.inches_per_month()[6], "6.51");
    assert_near(zone.et_mm_per_day()[6], 0.21 * 25.4, 1e-12);
}
