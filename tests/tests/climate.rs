//! The table of places against the file it was packed from, and the zones against their transcription.

use drycurb_core::need::climate::{self, california};
use drycurb_tests::{assert_near, assert_printed, data};
use proptest::prelude::*;
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
    assert_eq!(climate::BUILT_IN.places().count(), file.len());
    for (place, from) in climate::BUILT_IN.places().zip(file) {
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

/// The table's own bytes with some of them changed, cut off or added.
fn damaged() -> impl Strategy<Value = Vec<u8>> {
    let whole = packed(
        data("climate/places.json")["places"]
            .as_array()
            .unwrap()
            .clone(),
    );
    let changes = proptest::collection::vec((0..whole.len(), any::<u8>()), 0..4);
    let tail = proptest::collection::vec(any::<u8>(), 0..4);
    (changes, 0..=whole.len(), any::<bool>(), tail).prop_map(move |(changes, length, cut, tail)| {
        let mut bytes = whole.clone();
        for (at, byte) in changes {
            bytes[at] = byte;
        }
        if cut {
            bytes.truncate(length);
        }
        bytes.extend(tail);
        bytes
    })
}

/// Own property: whatever a file holds, it is refused, or it has as many places as it says, all of them on the earth.
fn is_refused_or_sound(bytes: Vec<u8>) -> Option<usize> {
    let bytes: &'static [u8] = bytes.leak();
    let table = climate::Table::read(bytes)?;
    let count = usize::from(bytes[0]) + 256 * usize::from(bytes[1]);
    assert_eq!(table.places().count(), count);
    for place in table.places() {
        assert!(place.latitude.to_degrees().abs() <= 90.0);
        assert!(place.longitude.to_degrees().abs() <= 180.0);
        assert!(place.rain_mm().iter().all(|mm| mm.is_finite()));
        assert!(place.country().len() <= 2);
    }
    let here = drycurb_core::quantity::Latitude::degrees(0.0);
    let there = drycurb_core::quantity::Longitude::degrees(0.0);
    assert_eq!(table.nearest(here, there).is_some(), count > 0);
    table.search("san");
    Some(count)
}

proptest! {
    #[test]
    fn a_damaged_table_is_refused_or_sound(bytes in damaged()) {
        is_refused_or_sound(bytes);
    }

    #[test]
    fn any_bytes_are_refused_or_sound(bytes in proptest::collection::vec(any::<u8>(), 0..200)) {
        is_refused_or_sound(bytes);
    }
}

#[test]
fn what_is_no_table_is_refused() {
    let table = |count: u16, latitude: i16, names: &str| {
        let mut bytes = count.to_le_bytes().to_vec();
        bytes.extend([10; 24]);
        bytes.extend(latitude.to_le_bytes());
        bytes.extend(12_000_i16.to_le_bytes());
        bytes.extend(b"XX");
        bytes.extend(names.as_bytes());
        is_refused_or_sound(bytes)
    };
    assert_eq!(table(1, 4500, "Marrow\n"), Some(1));
    assert_eq!(table(1, 9001, "Marrow\n"), None);
    assert_eq!(table(1, 4500, "Marrow"), None);
    assert_eq!(table(1, 4500, "Marrow\nElder"), None);
    assert_eq!(table(2, 4500, "Marrow\nElder\n"), None);
    assert_eq!(is_refused_or_sound(vec![]), None);
    assert_eq!(is_refused_or_sound(vec![0]), None);
    assert_eq!(is_refused_or_sound(vec![0, 0]), Some(0));
    assert_eq!(is_refused_or_sound(vec![0, 0, b'\n']), None);
}
