//! What would help a night: planned anew, never later than the night as it is.

use drycurb_tests::choices::Choices;
use drycurb_tests::night_sites;
use drycurb_tests::{ask, assert_near, cases};
use serde_json::{Value, json};

fn list(value: &Value) -> &[Value] {
    value.as_array().map_or(&[], Vec::as_slice)
}

/// By hand: two stations of an hour, 20 l/min each, on 30 l/min: one after the other. With 40 l/min they run together.
#[test]
fn more_flow_halves_a_night() {
    let site = json!({
        "ask": "night", "window_start": "22:00", "window_minutes": 100,
        "supplies": [{ "id": "main", "capacity_l_per_min": 30 }],
        "stations": [
            { "id": "1", "supply": "main", "flow_l_per_min": 20, "run_minutes": 60 },
            { "id": "2", "supply": "main", "flow_l_per_min": 20, "run_minutes": 60 },
        ],
        "suggest": true, "days_a_week": 3,
    });
    let night = ask(&site);
    assert_eq!(night["window_slack_seconds"], -1_200);
    // 40 l a minute of work for 2 h × 30.
    assert_near(
        night["supplies"][0]["used_share"].as_f64().unwrap(),
        2.0 / 3.0,
        1e-12,
    );
    assert_eq!(
        night["suggestions"],
        json!([
            { "change": "more_flow", "supply": "main", "more_l_per_min": 10.0,
              "finish_second": 3_600, "gained_seconds": 3_600, "more_served": 0 },
            { "change": "more_days", "days_a_week": 4,
              "finish_second": 5_400, "gained_seconds": 1_800, "more_served": 0 },
        ])
    );
}

/// By hand: three runs of 10 minutes with 50 minutes of soak take 130 minutes; 40 of soak, 110.
#[test]
fn shorter_soaks_shorten_a_chain() {
    let night = ask(&json!({
        "ask": "night", "window_start": "22:00", "window_minutes": 400, "open_at_once": 1,
        "stations": [{ "id": "1", "flow_l_per_min": 20, "run_minutes": 30,
            "longest_run_minutes": 10, "soak_minutes": 50 }],
        "suggest": true, "days_a_week": 7,
    }));
    assert_eq!(night["limit"], json!({ "kind": "chain", "station": "1" }));
    let best = &night["suggestions"][0];
    assert_eq!(best["change"], "shorter_soaks");
    assert_eq!(best["gained_seconds"], 1_200);
    // Seven days are all there are; a second valve does nothing.
    assert_eq!(list(&night["suggestions"]).len(), 2);
    assert_eq!(night["suggestions"][1]["gained_seconds"], 0);
}

/// By hand: a station that draws 35 l/min is not served by 30, but by 40.
#[test]
fn what_serves_more_comes_first() {
    let night = ask(&json!({
        "ask": "night", "window_start": "22:00", "window_minutes": 400, "open_at_once": 1,
        "supplies": [{ "id": "main", "capacity_l_per_min": 30 }],
        "stations": [{ "id": "1", "supply": "main", "flow_l_per_min": 20, "run_minutes": 30 },
            { "id": "2", "supply": "main", "flow_l_per_min": 35, "run_minutes": 30 }],
        "suggest": true,
    }));
    let best = &night["suggestions"][0];
    assert_eq!(best["change"], "more_flow");
    assert_eq!(best["more_served"], 1);
    assert_eq!(best["finish_second"], 3_600);
    assert!(list(&night["assumed"]).contains(&json!("days_a_week")));
}

/// Property, no source: an easier site never ends later, and no change is said to beat its own bound.
#[test]
fn an_easier_night_never_ends_later() {
    let mut gains = 0;
    for seed in 0..cases(200) {
        let mut choices = Choices::seeded(seed.wrapping_add(5 << 40));
        let stations = choices.between(4, 20);
        let mut site = night_sites::commercial(&mut choices, stations);
        site["effort"] = 2_000.into();
        let plain = ask(&site);
        site["suggest"] = true.into();
        let night = ask(&site);
        assert_eq!(plain["runs"], night["runs"]);
        assert!(plain.get("suggestions").is_none());
        for suggestion in list(&night["suggestions"]) {
            assert!(
                suggestion["gained_seconds"].as_i64() >= Some(0),
                "{site} {suggestion}"
            );
            gains += i32::from(suggestion["gained_seconds"] != 0);
        }
    }
    assert!(gains > 100, "{gains}");
}

/// By hand: the night of `more_flow_halves_a_night` as every night of a week.
#[test]
fn a_week_tells_what_limits_its_nights_and_what_helps() {
    let week = ask(&json!({
        "ask": "week", "from": "2026-06-01", "window_start": "22:00", "window_minutes": 100,
        "supplies": [{ "id": "main", "capacity_l_per_min": 30 }],
        "stations": [
            { "id": "1", "supply": "main", "flow_l_per_min": 20, "run_minutes": 60, "days_a_week": 7 },
            { "id": "2", "supply": "main", "flow_l_per_min": 20, "run_minutes": 60, "days_a_week": 7 },
        ],
        "suggest": true, "effort": 1_000,
    }));
    let plan = &week["nights"][0]["plan"];
    assert_eq!(plan["limit"], json!({ "kind": "supply", "supply": "main" }));
    assert_eq!(plan["window_slack_seconds"], -1_200);
    assert_eq!(list(&week["suggestions"]).len(), 1);
    assert_eq!(week["suggestions"][0]["gained_seconds"], 3_600);
}
