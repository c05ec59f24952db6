//! Sunrise, sunset and dark hours against independent programs (tests/data/sun/SOURCE.md).

use drycurb_tests::{ask, assert_near, data};
use serde_json::{Value, json};

fn number(value: &Value) -> f64 {
    value
        .as_f64()
        .unwrap_or_else(|| panic!("{value} is not a number"))
}

fn minute(clock: &Value) -> f64 {
    let parts: Vec<f64> = clock
        .as_str()
        .unwrap()
        .split(':')
        .map(|part| part.parse().unwrap())
        .collect();
    parts[0] * 60.0 + parts[1] + parts[2] / 60.0
}

/// Minutes between two readings of a 24 hour clock.
fn apart(one: f64, other: f64) -> f64 {
    let apart = (one - other).rem_euclid(1440.0);
    apart.min(1440.0 - apart)
}

fn utc(case: &Value) -> Value {
    ask(&json!({
        "ask": "sun", "date": case["date"], "latitude_degrees": case["lat"],
        "longitude_degrees": case["lon"], "utc_offset_minutes": 0,
    }))
}

/// Source: NOAA equations coded independently, all places and dates, polar days and nights among them.
#[test]
fn noaa_coded_elsewhere() {
    for case in data("sun/sun.json")["cases"].as_array().unwrap() {
        let (found, noaa) = (utc(case), &case["own_noaa_utc_min"]);
        for (event, key) in [("sunrise", "rise"), ("sunset", "set")] {
            if let Some(word) = noaa[key].as_str() {
                assert_eq!(found[event], Value::Null, "{case}");
                assert_eq!(format!("polar {}", found["polar"].as_str().unwrap()), word);
            } else {
                let off = apart(minute(&found[event]), number(&noaa[key]));
                assert!(off < 0.02, "{off} min at {case}");
            }
        }
        match found["polar"].as_str() {
            Some("day") => assert_eq!(number(&found["daylight_hours"]), 24.0),
            Some("night") => assert_eq!(number(&found["daylight_hours"]), 0.0),
            _ => {
                let hours = number(&case["daylength_min_own"]) / 60.0;
                assert_near(number(&found["daylight_hours"]), hours, 2e-4);
            }
        }
    }
}

/// Source: NREL solar position algorithm by pvlib 0.16.1. Where the local day straddles 00 UTC it gives the event of
/// the neighbouring day, so those are compared within what a day moves the sun there.
#[test]
fn nrel_solar_position() {
    let (mut same_day, mut all) = (0, 0);
    for case in data("sun/sun.json")["cases"].as_array().unwrap() {
        let found = utc(case);
        for (event, key) in [("sunrise", "rise"), ("sunset", "set")] {
            let Some(nrel) = case[&format!("pvlib_spa_{key}_utc_min")].as_f64() else {
                continue;
            };
            let noaa = number(&case["own_noaa_utc_min"][key]);
            let off = apart(minute(&found[event]), nrel);
            all += 1;
            if (0.0..1440.0).contains(&noaa) {
                same_day += 1;
                let grazing = case["lat"].as_f64().unwrap().abs() > 66.0;
                assert!(off < if grazing { 0.4 } else { 0.1 }, "{off} min at {case}");
            } else {
                assert!(off < 11.0, "{off} min at {case}");
            }
        }
    }
    assert!(same_day > 80 && all > same_day, "{same_day} of {all}");
}

/// Source: astral 3.2, zenith 90.833 at ordinary latitudes: within a minute.
#[test]
fn astral_within_a_minute() {
    let mut compared = 0;
    for case in data("sun/sun.json")["cases"].as_array().unwrap() {
        if case["lat"].as_f64().unwrap().abs() > 61.0 {
            continue;
        }
        let found = utc(case);
        for (event, key) in [("sunrise", "rise"), ("sunset", "set")] {
            let noaa = number(&case["own_noaa_utc_min"][key]);
            if !(0.0..1440.0).contains(&noaa) {
                continue;
            }
            let astral = number(&case[&format!("astral_{key}_utc_min")]);
            assert!(apart(minute(&found[event]), astral) < 1.0, "{case}");
            compared += 1;
        }
    }
    assert!(compared > 60);
}

/// The local clock moves the reading, not the sun; around the date line the date is the local one.
#[test]
fn the_local_date_counts() {
    let mut request = json!({
        "ask": "sun", "date": "2026-06-20", "latitude_degrees": 1.87,
        "longitude_degrees": -157.4, "utc_offset_minutes": 840,
    });
    let ahead = ask(&request);
    request["date"] = json!("2026-06-19");
    request["utc_offset_minutes"] = json!(-600);
    let behind = ask(&request);
    assert_eq!(
        (&behind["sunrise"], &behind["sunset"]),
        (&ahead["sunrise"], &ahead["sunset"])
    );
    assert_eq!(&ahead["sunrise"].as_str().unwrap()[..3], "06:");
}

fn dark(date: &str, changes: Value) -> Value {
    ask(&json!({
        "ask": "dark", "date": date, "latitude_degrees": 39.74, "longitude_degrees": -104.99,
        "utc_offset_minutes": -420, "clock_changes": changes,
    }))
}

/// Source: clocks go forward at 02:00 on 8 March 2026 in the United States (15 USC 260a). The night is as dark as ever;
/// sunrise shows an hour later.
#[test]
fn the_night_the_clock_goes_forward() {
    let plain = dark("2026-03-07", json!([]));
    let change = json!([{ "at": "2026-03-08T02:00", "shift_minutes": 60 }]);
    let changed = dark("2026-03-07", change.clone());
    assert_eq!(changed["dark_minutes"], plain["dark_minutes"]);
    assert_eq!(changed["sunset"], plain["sunset"]);
    assert_eq!(plain["clock_shift_minutes"], 0);
    assert_eq!(changed["clock_shift_minutes"], 60);
    assert_eq!(&plain["sunrise"].as_str().unwrap()[..14], "2026-03-08T06:");
    assert_eq!(
        &changed["sunrise"].as_str().unwrap()[..14],
        "2026-03-08T07:"
    );
    // The night before has nothing of it.
    assert_eq!(dark("2026-03-06", change), dark("2026-03-06", json!([])));
}

/// A night's dark hours and the days around it make two days: 2 x 24 h from noon to noon and half the daylight each.
#[test]
fn light_and_dark_make_a_day() {
    let night = number(&dark("2026-10-10", json!([]))["dark_minutes"]);
    let day = |date: &str| {
        let answer = ask(&json!({
            "ask": "sun", "date": date, "latitude_degrees": 39.74, "longitude_degrees": -104.99,
            "utc_offset_minutes": -420,
        }));
        (minute(&answer["sunrise"]), minute(&answer["sunset"]))
    };
    let (_, set) = day("2026-10-10");
    let (rise, _) = day("2026-10-11");
    assert_near(night, 1440.0 - set + rise, 0.04);
}

#[test]
fn polar_nights_are_said() {
    let mut request = json!({
        "ask": "dark", "date": "2026-12-21", "latitude_degrees": 78.22,
        "longitude_degrees": 15.65, "utc_offset_minutes": 60,
    });
    assert_eq!(ask(&request)["polar"], "night");
    request["date"] = json!("2026-06-21");
    assert_eq!(ask(&request)["polar"], "day");
    assert_eq!(ask(&request)["assumed"], json!(["clock_changes"]));
}

/// Minutes from one date-time `YYYY-MM-DDTHH:MM` to another within a day and a bit of it.
fn minutes_between(from: &str, to: &str) -> i64 {
    use drycurb_core::calendar::LocalTime;
    let read = |text: &str| LocalTime::parse(text.trim_end_matches('Z')).unwrap();
    read(to).seconds_since(read(from)) / 60
}

/// Source: IANA time zone database through zoneinfo (tests/data/calendar): in the night of a change the clock shows
/// sunset by the offset before it and sunrise by the offset after it, and it is dark as long as without one.
#[test]
fn nights_of_clock_changes() {
    use drycurb_core::calendar::LocalTime;
    let changes = data("calendar/clock_changes.json");
    for change in changes.as_array().unwrap() {
        let text = |key: &str| change[key].as_str().unwrap();
        let city = text("tz").rsplit('/').next().unwrap().replace('_', " ");
        let place = drycurb_core::need::climate::BUILT_IN.search(&city)[0];
        let before = minutes_between(text("utc"), text("local_before"));
        let after = minutes_between(text("utc"), text("local_after"));
        let at = LocalTime::parse(text("local_before")).unwrap();
        let (evening, morning) = (at.date().plus_days(-1), at.date());
        let request = |ask: &str, date: String, offset: i64| {
            json!({
                "ask": ask, "date": date, "utc_offset_minutes": offset,
                "latitude_degrees": place.latitude.to_degrees(),
                "longitude_degrees": place.longitude.to_degrees(),
            })
        };
        let mut night = request("dark", evening.to_string(), before);
        let plain = ask(&night);
        night["clock_changes"] =
            json!([{ "at": text("local_before"), "shift_minutes": change["shift_min"] }]);
        let changed = ask(&night);
        assert_eq!(changed["dark_minutes"], plain["dark_minutes"], "{change}");
        assert_eq!(
            changed["clock_shift_minutes"], change["shift_min"],
            "{change}"
        );
        let clock = |night: &Value, key: &str| night[key].as_str().unwrap()[11..].to_owned();
        let of = |ask: Value, key: &str| ask[key].as_str().unwrap().to_owned();
        let sunset = of(ask(&request("sun", evening.to_string(), before)), "sunset");
        let sunrise = of(ask(&request("sun", morning.to_string(), after)), "sunrise");
        assert_eq!(clock(&changed, "sunset"), sunset, "{change}");
        assert!(
            apart(
                minute(&json!(clock(&changed, "sunrise"))),
                minute(&json!(sunrise))
            ) < 0.02
        );
    }
}
