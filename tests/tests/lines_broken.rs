//! Broken lines at the JSON door: every line is answered, with `ok` or with faults that name a field.
//!
//! Properties, no source needed. Valid lines are broken in two ways: bytes are changed, and values inside the JSON
//! are replaced by others. `DRYCURB_CASES` raises the number of lines.

use drycurb_core::lines::answer_line;
use drycurb_tests::choices::Choices;
use drycurb_tests::{cases, lines_of};
use serde_json::{Value, json};

/// One valid line of each ask, of an invented site.
const LINES: &[&str] = &[
    r#"{"ask":"cycle","soil":"loam","slope_percent":2,"precipitation_mm_per_h":38,"week_need_mm":25,"days":3}"#,
    r#"{"ask":"runoff","soil":"clay","slope_percent":5,"pulses":[{"start_minute":0,"minutes":10,"precipitation_mm_per_h":40}]}"#,
    r#"{"ask":"rate","from":"area","flow_l_per_min":40,"area_m2":160}"#,
    r#"{"ask":"rate","from":"spacing","flow_l_per_min":10,"arc_degrees":90,"head_spacing_m":4,"row_spacing_m":4}"#,
    r#"{"ask":"cans","catches_ml":[20,22,19,25],"throat_area_cm2":80,"minutes":15}"#,
    r#"{"ask":"texture","sand_percent":40,"silt_percent":40,"clay_percent":20}"#,
    r#"{"ask":"et","method":"penman_monteith","day_of_year":187,"latitude_degrees":50.8,"elevation_m":100,"high_c":21.5,"low_c":12.3,"humidity_high_percent":84,"humidity_low_percent":63,"wind_2m_m_per_s":2.078,"sunshine_hours":9.25}"#,
    r#"{"ask":"et","method":"temperature","day_of_year":196,"latitude_degrees":45.7,"high_c":26.6,"low_c":14.8}"#,
    r#"{"ask":"sun","date":"2026-06-21","latitude_degrees":51,"longitude_degrees":4,"utc_offset_minutes":120}"#,
    r#"{"ask":"station","soil":"loam","slope_percent":2,"precipitation_mm_per_h":38,"et_mm_per_day":5,"plant_factor":0.8,"rain_mm_per_week":5,"root_depth_mm":150,"allowed_depletion":0.5}"#,
    r#"{"ask":"keyed","from":"2026-06-01T00:00","hours":168,"stations":[{"id":"1","flow_l_per_min":20,"precipitation_mm_per_h":12,"soil":"clay","slope_percent":5,"week_need_mm":35,"low_quarter_uniformity":0.7,"area_m2":100}],"programs":[{"id":"A","starts":["22:00"],"days":{"weekdays":["mon"]},"steps":[{"stations":["1"],"seconds":1800}]}],"month_percents":[0,null,50,100,100,100,100,100,100,100,0,0],"price_thousandths_per_m3":2345,"plan":{"programs":[{"id":"B","starts":["23:00"],"days":{"odd":true},"steps":[{"stations":["1"],"seconds":600}]}]}}"#,
    r#"{"ask":"keyed","from":"2026-06-01T00:00","hours":168,"stations":[{"id":"1","flow_l_per_min":20,"precipitation_mm_per_h":12,"soil":"clay","slope_percent":5,"week_need_mm":35,"low_quarter_uniformity":0.7,"area_m2":100}],"programs":[{"id":"A","starts":["22:00"],"days":{"weekdays":["mon"]},"steps":[{"stations":["1"],"seconds":1800}]}],"month_percents":[0,null,50,100,100,100,100,100,100,100,0,0],"tariff":{"unit":"ccf","tiers":[{"until_thousandths":40000,"price_thousandths":1350},{"price_thousandths":2100}]},"plan":{"programs":[{"id":"B","starts":["23:00"],"days":{"odd":true},"steps":[{"stations":["1"],"seconds":600}]}]}}"#,
    r#"{"ask":"pipe","length_m":30,"inside_diameter_mm":26,"flow_l_per_min":40,"roughness_c":150}"#,
    r#"{"ask":"wire","length_m":120,"station_ohm_per_km":21,"common_ohm_per_km":21,"amperes":0.25,"valves_together":2,"source_volts":24}"#,
    r#"{"ask":"quote","lines":[{"count_thousandths":3000,"price_hundredths":250,"minutes_each":5}],"hour_hundredths":6000,"tax_percent_hundredths":825,"tax_on":"each_line","work_taxed":true,"saved_millionths_per_year":5000000}"#,
    r#"{"ask":"year","et_mm_per_day":[1,1,2,3,4,5,6,5,4,3,2,1],"rain_mm":[9,9,9,9,9,9,9,9,9,9,9,9],"rain_rule":"half","stations":[{"plant_factor":0.8,"area_m2":100,"multiplier":1.2,"program":0}],"base_month":7,"tariff":{"unit":"m3","tiers":[{"until_thousandths":20000,"price_thousandths":1200},{"price_thousandths":2350}]},"adjustment_factor":0.5,"areas":[{"area_m2":100,"plant_factor":0.7,"efficiency":0.75}],"compared":{"month":7,"now_litres_per_week":9000,"plan_litres_per_week":4000}}"#,
    r#"{"ask":"stations_csv","csv":"station,soil\nfront bank,loam\n"}"#,
    r#"{"ask":"stations_csv","stations":[{"station":"front bank","soil":"loam","slope_percent":4}],"decimal_comma":true}"#,
    r#"{"ask":"allowance","et_mm_per_year":1200,"areas":[{"area_m2":100,"plant_factor":0.7,"efficiency":0.75,"special":false}],"adjustment_factor":0.55}"#,
];

/// A night is searched for as long as its budget lasts, so that fewer of them are broken.
const NIGHT: &str = r#"{"ask":"night","window_start":"22:00","window_minutes":300,"supplies":[{"id":"w","capacity_l_per_min":60,"least_l_per_min":0}],"open_at_once":2,"groups":[{"id":"g","open_at_once":1,"gap_seconds":10}],"apart":[["1","2"]],"stations":[{"id":"1","supply":"w","group":"g","run_minutes":20,"longest_run_minutes":8,"soak_minutes":20,"flow_l_per_min":30,"from_minute":0,"until_minute":300},{"id":"2","supply":"w","group":"g","run_minutes":10,"longest_run_minutes":null,"soak_minutes":null,"flow_l_per_min":20,"from_minute":0,"until_minute":300}]}"#;

#[test]
fn every_broken_line_is_answered() {
    let mut lines: Vec<String> = LINES.iter().map(|line| line.to_string()).collect();
    let replay = lines_of("replay/requests.jsonl");
    lines.extend(replay.into_iter().filter(|line| line.len() < 2_500));
    for seed in 0..cases(100_000) {
        let mut choices = Choices::seeded(seed);
        let line = choices.one_of(&lines);
        answered(&broken(&line, &mut choices));
    }
    for seed in 0..cases(100_000) / 4_000 {
        answered(&broken(NIGHT, &mut Choices::seeded(seed)));
    }
}

fn broken(line: &str, choices: &mut Choices) -> String {
    match choices.below(3) {
        0 => broken_bytes(line, choices),
        _ => broken_values(line, choices),
    }
}

#[test]
fn lines_that_are_no_request_are_answered() {
    let deep = "[".repeat(100_000);
    let wide = format!(r#"{{"ask":"replay","hours":{}}}"#, "9".repeat(10_000));
    let odd = [
        "",
        "null",
        "[]",
        "{}",
        "\u{feff}{}",
        r#"{"ask":1}"#,
        r#"{"ask":null}"#,
        "{\"ask\"",
    ];
    for line in odd.into_iter().chain([deep.as_str(), wide.as_str()]) {
        let answer = answered(line);
        assert!(answer.get("error").is_some(), "{answer}");
    }
}

fn answered(line: &str) -> Value {
    let text = answer_line(line);
    let answer: Value = serde_json::from_str(&text).unwrap_or_else(|why| panic!("{line}: {why}"));
    assert!(!text.contains('\n'), "{line}");
    if let Some(faults) = answer.get("error") {
        let faults = faults.as_array().expect("a list");
        assert!(
            !faults.is_empty() && answer.get("ok").is_none(),
            "{line}: {answer}"
        );
        for fault in faults {
            assert!(
                fault["field"].is_string() && fault["problem"].is_string(),
                "{line}: {fault}"
            );
        }
    } else {
        assert!(answer["ok"].is_object(), "{line}: {answer}");
    }
    answer
}

/// Changes, takes out, puts in, doubles or cuts off bytes.
fn broken_bytes(line: &str, choices: &mut Choices) -> String {
    let mut bytes = line.as_bytes().to_vec();
    for _ in 0..choices.between(1, 4) {
        let place = choices.below(bytes.len() as u32) as usize;
        match choices.below(6) {
            0 => bytes.truncate(place.max(1)),
            1 => {
                bytes.remove(place);
            }
            2 => bytes[place] = choices.below(256) as u8,
            3 => bytes.insert(place, choices.one_of(b"{}[]\",:0-.eE\\\0 9")),
            4 => bytes[place] = choices.one_of(b"{}[]\",:0-.eE9"),
            _ => {
                let end = (place + choices.between(1, 40) as usize).min(bytes.len());
                let again = bytes[place..end].to_vec();
                bytes.splice(place..place, again);
            }
        }
        if bytes.is_empty() {
            bytes.push(b' ');
        }
    }
    String::from_utf8_lossy(&bytes).into_owned()
}

/// Replaces, takes out, doubles or swaps values inside the JSON.
fn broken_values(line: &str, choices: &mut Choices) -> String {
    let mut value: Value = serde_json::from_str(line).expect("a valid line");
    for _ in 0..choices.between(1, 3) {
        break_one(&mut value, choices);
    }
    value.to_string()
}

fn break_one(value: &mut Value, choices: &mut Choices) {
    match value {
        Value::Object(object) if !object.is_empty() => {
            let names: Vec<String> = object
                .keys()
                .filter(|name| *name != "ask")
                .cloned()
                .collect();
            if names.is_empty() {
                return;
            }
            let name = choices.one_of(&names);
            if choices.once_in(10) {
                object.remove(&name);
                return;
            }
            let inner = &mut object[&name];
            if inner.is_object() || inner.is_array() {
                break_one_or_replace(inner, choices);
            } else {
                *inner = other_value(choices);
            }
        }
        Value::Array(list) if !list.is_empty() => {
            let place = choices.below(list.len() as u32) as usize;
            match choices.below(8) {
                0 => {
                    list.remove(place);
                }
                1 => list.push(list[place].clone()),
                2 => list.swap(0, place),
                _ => break_one_or_replace(&mut list[place], choices),
            }
        }
        other => *other = other_value(choices),
    }
}

fn break_one_or_replace(value: &mut Value, choices: &mut Choices) {
    if choices.once_in(6) {
        *value = other_value(choices);
    } else {
        break_one(value, choices);
    }
}

fn other_value(choices: &mut Choices) -> Value {
    match choices.below(4) {
        0 => choices.one_of(&[
            json!(null),
            json!(true),
            json!([]),
            json!({}),
            json!(""),
            json!("x"),
            json!([null]),
            json!([[]]),
            json!("24:00"),
            json!("2026-02-29"),
            json!("0001-01-01"),
            json!("9999-12-31T23:59:59"),
        ]),
        1 => choices.one_of(&[
            json!(0),
            json!(-0.0),
            json!(-1),
            json!(0.5),
            json!(1e-300),
            json!(1e300),
            json!(-1e300),
            json!(u64::MAX),
            json!(i64::MIN),
            json!(4_294_967_296_u64),
            json!(1e15),
        ]),
        2 => json!(choices.below(1_000)),
        _ => json!(f64::from(choices.below(1_000_000)) / 1_000.0),
    }
}

/// The page's makers and outside callers learn from a fault what would be accepted.
#[test]
fn a_fault_says_what_would_be_accepted() {
    let line = r#"{"ask":"cycle","slope_percent":"5","days":"x"}"#;
    let faults = answered(line)["error"].clone();
    let problem = |field: &str| {
        let fault = faults
            .as_array()
            .unwrap()
            .iter()
            .find(|f| f["field"] == field);
        fault.expect(field)["problem"].as_str().unwrap().to_string()
    };
    assert!(problem("soil").contains("silty_clay_loam"));
    assert_eq!(problem("slope_percent"), "must be a number from 0 to 100");
    assert_eq!(problem("days"), "must be a number from 1 to 7");
    let rate = problem("precipitation_mm_per_h");
    assert!(
        rate.contains("missing") && rate.contains("0.05 to 1000"),
        "{rate}"
    );
}

#[test]
fn no_water_and_no_ground_are_plain_zeros() {
    let line = r#"{"ask":"cycle","soil":"loam","slope_percent":5,"precipitation_mm_per_h":38,
        "week_need_mm":0}"#;
    let protocol = &answered(&line.replace('\n', " "))["ok"]["by_protocol_alone"];
    assert_eq!(
        (&protocol["runs_per_day"], &protocol["run_minutes"]),
        (&json!(0), &json!(0))
    );
    let line = r#"{"ask":"allowance","et_mm_per_year":1200,"areas":[],"adjustment_factor":0.55}"#;
    assert!(!answer_line(line).contains("-0"), "{}", answer_line(line));
}

#[test]
fn the_temperature_assumed_for_a_gauge_is_said_once() {
    let line = r#"{"ask":"wire","length_m":120,"station_awg":"18","common_awg":"14",
        "amperes":0.25,"source_volts":24,"valves_together":1}"#;
    let assumed = &answered(&line.replace('\n', " "))["ok"]["assumed"];
    assert_eq!(assumed, &json!(["wire_c"]));
}
