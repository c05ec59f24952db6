//! Random requests to every ask: no panic, no number that is none, nothing outside what physics and clocks allow.
//!
//! Properties, no source needed. `DRYCURB_CASES` raises the number of requests; ten million take some minutes in
//! release. A number that is none would be written as `null`, so every `null` is looked at too.

use std::collections::BTreeMap;

use drycurb_core::lines::{ASKS, answer};
use drycurb_tests::cases;
use drycurb_tests::choices::Choices;
use drycurb_tests::random_requests::{self, request};
use serde_json::Value;

/// Asks that take long are put less often: one in so many of the turns that fall on them.
const RARE: &[(&str, u32)] = &[
    ("night", 50),
    ("program", 50),
    ("week", 100),
    ("keyed", 50),
    ("replay", 50),
    ("cycle", 4),
    ("station", 4),
    ("season", 4),
    ("runoff", 2),
];

/// The keys that may be `null`: "there is no such thing".
const NULL: &[(&str, &[&str])] = &[
    ("climate", &["distance_km"]),
    ("cycle", CYCLE_NULL),
    ("station", CYCLE_NULL),
    ("runoff", &["ponding_minute", "runoff_minute", "trace"]),
    ("cans", &["run_time_multiplier"]),
    ("sun", &["sunrise", "sunset", "polar"]),
    ("dark", &["sunrise", "sunset", "polar", "clock_changes_at"]),
    (
        "connection",
        &[
            "design_flow_l_per_min",
            "limit",
            "limit_pipe",
            "flow_l_per_min",
            "left_kpa",
            "source_loss_kpa",
            "friction_kpa",
            "rise_kpa",
            "fastest_m_per_s",
            "flow_that_leaves_wanted_l_per_min",
        ],
    ),
    (
        "wire",
        &[
            "inrush_drop_volts",
            "inrush_volts_at_valve",
            "longest_m",
            "load_va",
            "load_share",
        ],
    ),
    ("allowance", &["california"]),
    ("season", &["own_percent"]),
    ("plant", &["published_range"]),
    ("repair", &["months_to_pay"]),
    ("quote", &["months_to_pay"]),
    ("year", YEAR_NULL),
    (
        "stations_csv",
        &[
            "soil",
            "slope_percent",
            "rate_mm_per_h",
            "flow_l_per_min",
            "area_m2",
            "plants",
            "note",
        ],
    ),
    ("replay", &["program", "station", "at"]),
    ("keyed", KEYED_NULL),
    ("night", &["used_share"]),
    ("program", &["station", "second"]),
    ("week", &["station", "second", "clipped", "used_share"]),
];

const KEYED_NULL: &[&str] = &[
    "program",
    "station",
    "at",
    "week_mm",
    "against",
    "over_mm",
    "week_litres",
    "week_runoff_litres",
    "runoff_share",
    "month_litres",
    "year_litres",
];

const YEAR_NULL: &[&str] = &[
    "millionths",
    "hundredths",
    "allowed_litres",
    "year_millionths",
    "year_hundredths",
    "saving",
    "weeks_now",
    "weeks_plan",
];

const CYCLE_NULL: &[&str] = &[
    "longest_run_minutes",
    "governs",
    "protocol_run_minutes",
    "model_first_run_minutes",
    "model_ponding_minutes",
    "longest_run_if_compacted_minutes",
    "week_run_minutes",
    "by_protocol_alone",
    "longest_interval_days",
];

/// What a key's numbers may be, whatever was asked.
fn bounds(key: &str) -> Option<(f64, f64)> {
    Some(match key {
        "et_mm_per_day" => (0.0, 20.0),
        "et_mm_per_hour" => (0.0, 2.0),
        "extraterrestrial_mj_per_m2" => (0.0, 50.0),
        "solar_mj_per_m2" => (0.0, 50.0),
        "daylight_hours" => (0.0, 24.0),
        "distance_km" => (0.0, 20_100.0),
        "latitude_degrees" => (-90.0, 90.0),
        "longitude_degrees" => (-180.0, 180.0),
        "low_quarter_uniformity" | "low_half_uniformity" => (0.0, 1.0),
        "uniformity_now" | "uniformity_after" => (0.0, 1.0),
        "christiansen_uniformity" => (-10.0, 1.0),
        "expected_runoff_share" | "allowed_depletion" => (0.0, 1.0),
        "leaching_fraction" => (0.0, 0.9),
        "plant_factors" | "published_range" => (0.0, 2.0),
        "longest_run_minutes" | "run_minutes" | "soak_minutes" => (0.0, 1440.0),
        "dark_minutes" => (0.0, 1440.0 * 2.0),
        "clock_shift_minutes" => (-180.0, 180.0),
        "days" => (0.0, 7.0),
        "percent" => (0.0, 300.0),
        "stress_days" => (0.0, 366.0),
        "over_mm" => (-300.0, f64::MAX),
        "later_seconds" => (-4e7, 4e7),
        "runoff_share" => (0.0, 1.0),
        "surplus_mm_per_day" => (-120.0, 360.0),
        "left_kpa" | "rise_kpa" | "net_radiation_mj_per_m2" | "soil_heat_mj_per_m2" => {
            (f64::MIN, f64::MAX)
        }
        "start_second" | "seconds" | "finish_second" | "bound_second" => (0.0, 4e7),
        // A plan that ends after its window is late by so much.
        "window_slack_seconds" => (-4e7, 86_400.0),
        _ => (0.0, f64::MAX),
    })
}

#[test]
fn every_ask_is_asked() {
    let mut listed: Vec<&str> = ASKS.iter().map(|(name, _)| *name).collect();
    let mut asked = random_requests::ASKS.to_vec();
    listed.sort_unstable();
    asked.sort_unstable();
    assert_eq!(listed, asked);
}

#[test]
fn no_answer_leaves_its_bounds() {
    let (mut asked, mut answered) = (BTreeMap::new(), BTreeMap::new());
    for seed in 0..cases(100_000) {
        let mut choices = Choices::seeded(seed.wrapping_add(1 << 50));
        let mut ask = choices.one_of(random_requests::ASKS);
        let rare = RARE.iter().find(|(name, _)| *name == ask);
        if rare.is_some_and(|(_, times)| !choices.once_in(*times)) {
            ask = "et";
        }
        let request = request(ask, &mut choices);
        let answer = answer(&request);
        *asked.entry(ask).or_insert(0_u32) += 1;
        if let Some(ok) = answer.get("ok") {
            *answered.entry(ask).or_insert(0_u32) += 1;
            look(ask, "", ok, &request);
            rules(ask, ok, &request);
        } else {
            let faults = answer["error"].as_array().expect("a list");
            assert!(!faults.is_empty(), "{request}");
            assert!(
                faults.iter().all(|fault| fault["field"] != ""),
                "{request}: {answer}"
            );
        }
    }
    for (ask, asked) in asked {
        let share = f64::from(answered.get(ask).copied().unwrap_or(0)) / f64::from(asked);
        assert!(
            share > 0.3,
            "{ask}: only {share} of {asked} requests were accepted"
        );
    }
}

/// Looks at every number and every `null` of an answer.
fn look(ask: &str, key: &str, value: &Value, request: &Value) {
    match value {
        // A plan may take more than is used now.
        Value::Object(_) if key == "saving" => {}
        Value::Object(object) => {
            object
                .iter()
                .for_each(|(key, inner)| look(ask, key, inner, request));
        }
        Value::Array(list) => list.iter().for_each(|inner| look(ask, key, inner, request)),
        Value::Null => {
            let allowed = NULL.iter().find(|(name, _)| *name == ask);
            let allowed = allowed.is_some_and(|(_, keys)| keys.contains(&key));
            assert!(allowed, "{key} is null: {request}");
        }
        Value::Number(number) => {
            let number = number.as_f64().expect("a number");
            if let Some((least, most)) = bounds(key) {
                assert!(
                    (least..=most).contains(&number),
                    "{key} is {number}: {request}"
                );
            }
        }
        _ => {}
    }
}

/// What an ask's answer must keep to.
fn rules(ask: &str, ok: &Value, request: &Value) {
    let number = |key: &str| {
        ok[key]
            .as_f64()
            .unwrap_or_else(|| panic!("no {key}: {request}"))
    };
    match ask {
        "rain" => {
            let wanted = request["wanted_mm"].as_f64().expect("given");
            assert!(number("effective_mm") <= wanted, "{ok}: {request}");
        }
        "runoff" => {
            let ends =
                number("infiltrated_mm") + number("held_on_surface_mm") + number("runoff_mm");
            assert!(
                (number("applied_mm") - ends).abs() < 1e-6,
                "{ok}: {request}"
            );
        }
        "wire" => {
            let source = request["source_volts"].as_f64().expect("given");
            assert!(number("volts_at_valve") <= source, "{ok}: {request}");
        }
        "two_wire" => {
            let source = request["source_volts"].as_f64().expect("given");
            let volts = ok["volts"].as_array().expect("a list");
            let volts: Vec<f64> = volts.iter().map(|one| one.as_f64().unwrap()).collect();
            assert!(volts.iter().all(|one| *one <= source), "{ok}: {request}");
            assert!(
                volts.windows(2).all(|pair| pair[1] <= pair[0]),
                "{ok}: {request}"
            );
        }
        "sun" => {
            for key in ["sunrise", "sunset"] {
                assert!(
                    ok[key].is_null() != ok["polar"].is_null(),
                    "{ok}: {request}"
                );
                assert!(
                    ok[key].as_str().is_none_or(|text| text < "24:00:00"),
                    "{ok}"
                );
            }
        }
        "repair" => assert!(
            number("uniformity_after") >= number("uniformity_now"),
            "{ok}"
        ),
        _ => {}
    }
}
