//! Random sites and programs, sound and broken: no panic, every plan and every keyed program legal, every fault told
//! beside its field, and an end in bounded work.
//!
//! Properties, no source. `DRYCURB_CASES=1000000` is the long run.

use drycurb_core::lines::answer;
use drycurb_tests::cases;
use drycurb_tests::choices::Choices;
use drycurb_tests::night::broken_rules;
use drycurb_tests::night_sites;
use serde_json::{Value, json};

fn list(value: &Value) -> &[Value] {
    value.as_array().map_or(&[], Vec::as_slice)
}

/// A sound site, small or made around a plan, now and then with a pump minimum.
fn site(choices: &mut Choices) -> Value {
    let mut site = if choices.once_in(2) {
        night_sites::planted(choices).0
    } else {
        night_sites::small(choices)
    };
    if choices.once_in(4) {
        for supply in site["supplies"].as_array_mut().expect("supplies") {
            let most = supply["capacity_l_per_min"].as_f64().unwrap_or(0.0);
            supply["least_l_per_min"] = (most * f64::from(choices.below(100)) / 100.0).into();
        }
    }
    site["seed"] = choices.below(100).into();
    site
}

#[test]
fn random_nights_are_legal() {
    let mut served = 0;
    for seed in 0..cases(1_000) {
        let mut choices = Choices::seeded(seed.wrapping_add(20 << 40));
        let mut request = site(&mut choices);
        request["effort"] = choices.one_of(&[0, 500, 3_000]).into();
        let answer = answer(&request);
        let night = &answer["ok"];
        assert!(night.is_object(), "{request}: {answer}");
        assert_eq!(
            broken_rules(&request, night),
            Vec::<String>::new(),
            "{request}"
        );
        let unserved = list(&night["unserved"]).len();
        // Without a pump's need the search may miss a station, not all of them.
        let placed = |left: &Value| left["reason"] != "no_place_found";
        let all = unserved > 5 && unserved == list(&request["stations"]).len();
        let pumped = list(&request["supplies"])
            .iter()
            .any(|supply| supply["least_l_per_min"].is_number());
        assert!(
            pumped || !all || list(&night["unserved"]).iter().any(placed),
            "{request}"
        );
        served += list(&request["stations"]).len() - unserved;
    }
    assert!(served > 0);
}

/// What is keyed and not said to be broken is legal: the rules of the night, minutes apart, hold for its runs.
#[test]
fn random_programs_are_legal() {
    let mut keyed = 0;
    for seed in 0..cases(1_000) / 5 {
        let mut choices = Choices::seeded(seed.wrapping_add(21 << 40));
        let mut request = site(&mut choices);
        request["ask"] = "program".into();
        request["effort"] = choices.one_of(&[0, 2_000, 20_000]).into();
        request["free_effort"] = 500.into();
        request["controller"] = json!({
            "programs": choices.between(1, 10),
            "starts": choices.between(1, 8),
            "sharing": choices.once_in(2),
            "soak_style": choices.one_of(&["none", "wait", "fill"]),
        });
        let answer = answer(&request);
        let programs = &answer["ok"];
        assert!(programs.is_object(), "{request}: {answer}");
        if programs["broken"] != json!([]) {
            continue;
        }
        let night = json!({
            "runs": programs["runs"], "finish_second": programs["finish_second"],
            "unserved": programs["unkeyed"], "bound_second": 0,
        });
        let broken = broken_rules(&request, &night).into_iter();
        let broken: Vec<String> = broken.filter(|rule| !rule.contains(" runs [")).collect();
        assert!(broken.is_empty(), "{request}: {broken:?}");
        keyed += 1;
    }
    assert!(keyed > 0);
}

/// The field of each fault of a night with one change.
fn faults(change: impl FnOnce(&mut Value)) -> Vec<String> {
    let station = |id: usize| {
        json!({ "id": id.to_string(), "supply": "main", "flow_l_per_min": 20, "run_minutes": 30,
            "longest_run_minutes": 10, "soak_minutes": 20 })
    };
    let mut request = json!({
        "ask": "night", "window_start": "22:00", "window_minutes": 400, "effort": 1_000,
        "supplies": [{ "id": "main", "capacity_l_per_min": 40 }],
        "groups": [{ "id": "line", "open_at_once": 1 }],
        "stations": (0..3).map(station).collect::<Vec<Value>>(),
    });
    change(&mut request);
    let answer = answer(&request);
    let faults = list(&answer["error"]).iter();
    faults
        .map(|fault| fault["field"].as_str().expect("a field").to_owned())
        .collect()
}

/// By hand.
#[test]
fn bad_input_is_told_beside_its_field() {
    assert_eq!(faults(|_| ()), Vec::<String>::new());
    assert_eq!(
        faults(|site| site["stations"][1]["run_minutes"] = 0.into()),
        ["stations[1].run_minutes"]
    );
    assert_eq!(
        faults(|site| site["stations"][1]["supply"] = "well".into()),
        ["stations[1].supply"]
    );
    assert_eq!(
        faults(|site| site["stations"][1]["group"] = "x".into()),
        ["stations[1].group"]
    );
    assert_eq!(
        faults(|site| site["stations"][2]["id"] = "0".into()),
        ["stations[2].id"]
    );
    assert_eq!(
        faults(|site| site["apart"] = json!([["1", "1"]])),
        ["apart[0]"]
    );
    assert_eq!(
        faults(|site| site["apart"] = json!([["1", "9"]])),
        ["apart[0]"]
    );
    assert_eq!(
        faults(|site| site["window_minutes"] = 1_500.into()),
        ["window_minutes"]
    );
    assert_eq!(
        faults(|site| site["open_at_once"] = 0.into()),
        ["open_at_once"]
    );
    assert_eq!(
        faults(|site| site["supplies"][0]["least_l_per_min"] = 41.into()),
        ["supplies[0].least_l_per_min"]
    );
    let many = |site: &mut Value| {
        let stations = (0..401)
            .map(|id| json!({ "id": id.to_string(), "flow_l_per_min": 1, "run_minutes": 1 }));
        site["stations"] = stations.collect();
    };
    assert_eq!(faults(many), ["stations"]);
}

/// By hand: what can't be served is left out with the reason, and the rest is planned.
#[test]
fn what_cannot_be_served_is_told_with_its_reason() {
    let night = drycurb_tests::ask(&json!({
        "ask": "night", "window_start": "22:00", "window_minutes": 5, "effort": 1_000,
        "supplies": [{ "id": "main", "capacity_l_per_min": 40 }],
        "stations": [
            { "id": "1", "supply": "main", "flow_l_per_min": 41, "run_minutes": 10 },
            { "id": "2", "supply": "main", "flow_l_per_min": 40, "run_minutes": 10, "from_minute": 5, "until_minute": 14 },
            { "id": "3", "supply": "main", "flow_l_per_min": 40, "run_minutes": 10 },
        ],
    }));
    assert_eq!(
        night["unserved"],
        json!([
            { "station": "1", "minutes": 10, "reason": "above_capacity" },
            { "station": "2", "minutes": 10, "reason": "own_window_too_short" },
        ])
    );
    // A window shorter than a run is a date that is missed, not a run that is cut.
    assert_eq!(night["finish_second"], 600);
    assert_eq!(night["window_slack_seconds"], -300);
}

/// By hand: without a soak a run takes the second lane while the first is still held for the pause. So two lanes are
/// used up by one station, and stations on other supplies have to know.
#[test]
fn one_station_may_hold_two_lanes() {
    let station = |id: &str, supply: &str| {
        json!({ "id": id, "supply": supply, "group": "line", "flow_l_per_min": 10,
            "run_minutes": 20, "longest_run_minutes": 5 })
    };
    let request = json!({
        "ask": "night", "window_start": "22:00", "window_minutes": 300, "effort": 20_000,
        "supplies": [{ "id": "a", "capacity_l_per_min": 20 }, { "id": "b", "capacity_l_per_min": 20 }],
        "groups": [{ "id": "line", "open_at_once": 2, "gap_seconds": 60 }],
        "stations": [station("1", "a"), station("2", "b")],
    });
    let night = drycurb_tests::ask(&request);
    assert_eq!(broken_rules(&request, &night), Vec::<String>::new());
    assert_eq!(night["unserved"], json!([]));
}
