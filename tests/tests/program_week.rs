//! A week to key: replayed through the JSON door and nothing else, it keeps the rules of every night, the rule of the
//! place by calendar date, and every station's interval and minutes.
//!
//! The rules of a night are those of `drycurb_tests::night`; dates are counted by `chrono`. Neither shares anything
//! with the core.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{Datelike, Days, NaiveDate, NaiveTime};
use drycurb_tests::choices::Choices;
use drycurb_tests::night::broken_rules;
use drycurb_tests::random_requests;
use drycurb_tests::{ask, cases, lines_of};
use serde_json::{Value, json};

const WORDS: [&str; 7] = ["mon", "tue", "wed", "thu", "fri", "sat", "sun"];

fn list(value: &Value) -> &[Value] {
    value.as_array().map_or(&[], Vec::as_slice)
}

fn text(value: &Value) -> &str {
    value.as_str().unwrap_or_default()
}

fn number(value: &Value) -> i64 {
    value.as_f64().expect("a number") as i64
}

/// Whether the place allows water on a date.
fn allowed(request: &Value, date: NaiveDate) -> bool {
    let weekday = json!(WORDS[date.weekday().num_days_from_monday() as usize]);
    if list(&request["closed_weekdays"]).contains(&weekday) {
        return false;
    }
    let rule = &request["allowed_days"];
    if let Some(days) = rule["weekdays"].as_array() {
        return days.contains(&weekday);
    }
    if rule["odd"] == true {
        let skipped =
            rule["skip_31"] == true && (date.day() == 31 || date.day() == 29 && date.month() == 2);
        return date.day() % 2 == 1 && !skipped;
    }
    if rule["even"] == true {
        return date.day().is_multiple_of(2);
    }
    if let Some(every) = rule["every"].as_i64() {
        let from: NaiveDate = text(&rule["from"]).parse().expect("a date");
        let since = (date - from).num_days();
        return since >= 0 && since % every == 0;
    }
    true
}

struct Played {
    /// By night: runs as `night` gives them.
    nights: Vec<Vec<Value>>,
    findings: Vec<Value>,
}

/// Four weeks of replay, cut into nights.
fn play(request: &Value, week: &Value) -> Played {
    let mut programs = week["programs"].clone();
    for program in programs.as_array_mut().expect("programs") {
        program.as_object_mut().expect("an object").remove("sort");
    }
    let stations = list(&request["stations"]).iter().map(|station| {
        let mut station = station.clone();
        for name in ["days_a_week", "longest_interval_days", "run_minutes"] {
            station.as_object_mut().expect("an object").remove(name);
        }
        station
    });
    let start = text(&week["window_start"]);
    let played = ask(&json!({
        "ask": "replay",
        "from": format!("{}T{start}:00", text(&request["from"])),
        "hours": 28 * 24,
        "gap_seconds": week["gap_seconds"],
        "soak_style": week["soak_style"],
        "supplies": request["supplies"],
        "closed": { "weekdays": request["closed_weekdays"] },
        "stations": stations.collect::<Vec<Value>>(),
        "programs": programs,
    }));
    let mut nights = vec![Vec::new(); 28];
    for run in list(&played["runs"]) {
        let second = number(&run["start_second"]);
        let night = (second / 86_400) as usize;
        nights[night].push(json!({
            "station": run["station"], "start_second": second % 86_400, "seconds": run["seconds"],
        }));
    }
    Played {
        nights,
        findings: list(&played["findings"]).to_vec(),
    }
}

/// Everything that is wrong with a week that calls itself verified.
fn wrong(request: &Value, week: &Value) -> Vec<String> {
    let mut wrong = Vec::new();
    let played = play(request, week);
    for finding in &played.findings {
        if finding["kind"] != "never_waters" && finding["kind"] != "start_in_closed" {
            wrong.push(finding.to_string());
        }
    }
    let unkeyed: BTreeSet<&str> = list(&week["unkeyed"])
        .iter()
        .map(|left| text(&left["station"]))
        .collect();
    let mut own: BTreeMap<&str, i64> = BTreeMap::new();
    for sort in list(&week["sorts"]) {
        for station in list(&sort["stations"]) {
            own.insert(text(&station["station"]), number(&station["run_minutes"]));
        }
    }
    for (night, runs) in played.nights.iter().enumerate() {
        let mut tonight = request.clone();
        let open: BTreeSet<&str> = runs.iter().map(|run| text(&run["station"])).collect();
        let stations = list(&request["stations"]).iter();
        let stations = stations.filter(|station| open.contains(text(&station["id"])));
        let stations: Vec<Value> = stations
            .map(|station| {
                let mut station = station.clone();
                station["run_minutes"] = json!(own[text(&station["id"])]);
                station
            })
            .collect();
        tonight["stations"] = stations.into();
        let here = |id: &Value| open.contains(text(id));
        let apart = list(&request["apart"]).iter();
        let apart = apart.filter(|pair| list(pair).iter().all(here)).cloned();
        tonight["apart"] = apart.collect();
        let ends = runs
            .iter()
            .map(|run| number(&run["start_second"]) + number(&run["seconds"]));
        let answer = json!({ "runs": runs, "unserved": [], "bound_second": 0,
            "finish_second": ends.max().unwrap_or(0) });
        // Programs split minutes in their own way; the sum is looked at below.
        let broken = broken_rules(&tonight, &answer).into_iter();
        let broken = broken.filter(|rule| !rule.contains(" runs ["));
        // Own windows of stations are told from the window's start, which a cut at midnight moves.
        let broken =
            broken.filter(|rule| week["clipped"].is_null() || !rule.contains("own window"));
        wrong.extend(broken.map(|rule| format!("night {night}: {rule}")));
    }
    days(request, week, &played, &unkeyed, &own, &mut wrong);
    wrong
}

/// Dates, intervals and minutes.
fn days(
    request: &Value,
    week: &Value,
    played: &Played,
    unkeyed: &BTreeSet<&str>,
    own: &BTreeMap<&str, i64>,
    wrong: &mut Vec<String>,
) {
    let start: NaiveTime = text(&week["window_start"]).parse().expect("a time");
    let first: NaiveDate = text(&request["from"]).parse().expect("a date");
    let seldom = list(&week["too_seldom"]);
    for station in list(&request["stations"]) {
        let id = text(&station["id"]);
        let (mut nights, mut seconds) = (Vec::new(), 0);
        for (night, runs) in played.nights.iter().enumerate() {
            let runs = runs.iter().filter(|run| run["station"] == id);
            let mut tonight = 0;
            for run in runs {
                let begin = first.and_time(start)
                    + Days::new(night as u64)
                    + chrono::Duration::seconds(number(&run["start_second"]));
                let last = begin + chrono::Duration::seconds(number(&run["seconds"]) - 1);
                for date in [begin.date(), last.date()] {
                    if !allowed(request, date) {
                        wrong.push(format!("station {id} waters on {date}"));
                    }
                }
                tonight += number(&run["seconds"]);
            }
            if tonight > 0 {
                nights.push(night as i64);
                seconds += tonight;
                if tonight < own[id] * 60 {
                    wrong.push(format!("station {id} gets {tonight} s in night {night}"));
                }
            }
        }
        let skip = unkeyed.contains(id) || seldom.contains(&station["id"]);
        if skip || own.get(id).is_none() {
            continue;
        }
        let a_week = number(station.get("days_a_week").unwrap_or(&json!(3)));
        let wanted = number(&station["run_minutes"]) * a_week * 4 * 60;
        // A day holds no more than its minutes.
        if seconds < wanted.min(1_440 * 60 * nights.len() as i64) {
            wrong.push(format!(
                "station {id} gets {seconds} s of {wanted} s in four weeks"
            ));
        }
        let longest = station
            .get("longest_interval_days")
            .map_or((6 + a_week) / a_week, number);
        if nights.is_empty() || nights.windows(2).any(|pair| pair[1] - pair[0] > longest) {
            wrong.push(format!(
                "station {id} waters in {nights:?}, wants every {longest}"
            ));
        }
    }
}

/// Property, no source.
#[test]
fn random_weeks_keep_every_rule() {
    let (mut verified, mut past_midnight, mut kinds) = (0, 0, 0);
    for seed in 0..cases(300) {
        let mut choices = Choices::seeded(seed.wrapping_add(3 << 40));
        let request = random_requests::request("week", &mut choices);
        let answer = drycurb_core::lines::answer(&request);
        let Some(week) = answer.get("ok").filter(|week| week["verified"] == true) else {
            continue;
        };
        let wrong = wrong(&request, week);
        assert!(wrong.is_empty(), "{request}: {wrong:?} {week}");
        verified += 1;
        let starts = list(&week["programs"])
            .iter()
            .flat_map(|program| list(&program["starts"]));
        let early = |start: &Value| text(start) < text(&week["window_start"]);
        past_midnight += usize::from(starts.filter(|start| early(start)).count() > 0);
        kinds += usize::from(list(&week["nights"]).len() > 1);
    }
    assert!(
        verified > 100 && past_midnight > 4 && kinds > 20,
        "{verified} {past_midnight} {kinds}"
    );
}

fn site(line: &str, controller: &Value) -> Value {
    let mut request: Value = serde_json::from_str(line).expect("JSON");
    request["ask"] = "week".into();
    request["from"] = "2026-06-01".into();
    request["controller"] = controller.clone();
    for (place, station) in request["stations"]
        .as_array_mut()
        .expect("stations")
        .iter_mut()
        .enumerate()
    {
        station["days_a_week"] = [3, 2, 3, 1][place % 4].into();
    }
    request["effort"] = 2_000_000.into();
    request["free_effort"] = 100_000.into();
    request
}

/// Property, no source: nothing is left out on sites that a controller of eight programs can hold.
#[test]
fn small_sites_are_keyed_for_a_week() {
    for line in lines_of("night/instances.jsonl")
        .iter()
        .filter(|line| line.contains("\"id\":\"a"))
    {
        let mut request = site(line, &json!({}));
        request["allowed_days"] = json!({ "weekdays": ["mon", "tue", "thu", "fri", "sat", "sun"] });
        let week = ask(&request);
        assert_eq!(week["broken"], json!([]), "{}", request["id"]);
        assert_eq!(week["unkeyed"], json!([]), "{}", request["id"]);
        assert_eq!(week["too_seldom"], json!([]), "{}", request["id"]);
        let wrong = wrong(&request, &week);
        assert!(wrong.is_empty(), "{}: {wrong:?}", request["id"]);
    }
}

/// By hand: 200 stations of four kinds need 85 hours one after another; joined into steps they fit into a night of
/// a panel with four programs, and nobody is left out.
#[test]
fn a_campus_is_keyed_on_a_panel_of_few_programs() {
    let kinds = [
        (18, 3, 40, 4, 40),
        (26, 13, 0, 4, 30),
        (31, 31, 0, 7, 20),
        (27, 9, 45, 7, 26),
    ];
    let stations = (1..=200).map(|id| {
        let (run, longest, soak, days, flow) = kinds[id % 4];
        json!({
            "id": id.to_string(), "supply": (1 + id % 2).to_string(), "flow_l_per_min": flow,
            "run_minutes": run, "longest_run_minutes": longest, "soak_minutes": soak, "days_a_week": days,
        })
    });
    for programs in [4, 16] {
        let request = json!({
            "ask": "week", "from": "2026-07-06", "window_start": "22:00", "window_minutes": 480,
            "supplies": [{ "id": "1", "capacity_l_per_min": 400 }, { "id": "2", "capacity_l_per_min": 400 }],
            "stations": stations.clone().collect::<Vec<Value>>(),
            "controller": { "programs": programs, "starts": 8 },
            "effort": 16_000_000, "free_effort": 100_000,
        });
        let week = ask(&request);
        assert_eq!(week["unkeyed"], json!([]));
        assert_eq!(week["verified"], true);
        let wrong = wrong(&request, &week);
        assert!(wrong.is_empty(), "{wrong:?}");
    }
}

/// By hand: one valve, 30 minutes with 15 as the longest run and an hour's soak, from 23:30 on: one run before
/// midnight, one at 00:45. The second belongs to the next day.
#[test]
fn a_start_past_midnight_is_keyed_a_day_later() {
    let week = ask(&json!({
        "ask": "week", "from": "2026-06-01", "window_start": "23:30", "window_minutes": 300,
        "stations": [{ "id": "1", "flow_l_per_min": 20, "run_minutes": 30, "days_a_week": 1,
            "longest_run_minutes": 15, "soak_minutes": 60 }],
        "effort": 1000,
    }));
    assert_eq!(week["verified"], true);
    let programs = list(&week["programs"]);
    assert_eq!(programs.len(), 2);
    assert_eq!(programs[0]["starts"], json!(["23:30"]));
    assert_eq!(programs[1]["starts"], json!(["00:45"]));
    let day = |place: usize| {
        let word = &programs[place]["days"]["weekdays"][0];
        WORDS
            .iter()
            .position(|known| word == known)
            .expect("a weekday")
    };
    assert_eq!(day(1), (day(0) + 1) % 7);
    // Where only one such weekday may be watered, the longer side of midnight is used.
    let week = ask(&json!({
        "ask": "week", "from": "2026-06-01", "window_start": "23:30", "window_minutes": 300,
        "stations": [{ "id": "1", "flow_l_per_min": 20, "run_minutes": 30, "days_a_week": 1,
            "longest_run_minutes": 15, "soak_minutes": 60 }],
        "allowed_days": { "weekdays": ["wed"] }, "effort": 1000,
    }));
    assert_eq!(week["clipped"], "after_midnight");
    assert_eq!(week["programs"][0]["starts"], json!(["00:00", "01:15"]));
    assert_eq!(week["programs"][0]["days"], json!({ "weekdays": ["wed"] }));
}

/// By hand: 600 minutes three days a week are 1800 on the only day there is; nothing is served short.
#[test]
fn a_day_holds_no_more_than_its_hours() {
    let week = ask(&json!({
        "ask": "week", "from": "2026-06-01", "window_start": "00:00", "window_minutes": 300,
        "stations": [{ "id": "1", "flow_l_per_min": 20, "run_minutes": 600, "days_a_week": 3 },
            { "id": "2", "flow_l_per_min": 20, "run_minutes": 30, "days_a_week": 1 }],
        "allowed_days": { "weekdays": ["wed"] }, "effort": 1000,
    }));
    assert_eq!(
        week["unkeyed"],
        json!([{ "station": "1", "reason": "more_than_a_day" }])
    );
    assert_eq!(week["verified"], true);
    assert_eq!(week["nights"][0]["stations"], json!(["2"]));
    assert_eq!(list(&week["programs"]).len(), 1);
}

/// By hand.
#[test]
fn wrong_weeks_are_told_by_field() {
    let answer = drycurb_core::lines::answer(&json!({
        "ask": "week", "window_start": "22:00", "window_minutes": 400,
        "stations": [{ "id": "1", "flow_l_per_min": 20, "run_minutes": 30, "days_a_week": 8 }],
        "allowed_days": { "weekdays": ["someday"] }, "closed_weekdays": ["x"],
    }));
    let faults = list(&answer["error"])
        .iter()
        .map(|fault| text(&fault["field"]).to_owned());
    let faults: Vec<String> = faults.collect();
    assert_eq!(
        faults,
        [
            "from",
            "allowed_days.weekdays[0]",
            "closed_weekdays[0]",
            "stations[0].days_a_week"
        ]
    );
}

/// A site of twenty: lawns that want water every day, slopes that want it once a week in many short runs, trees that
/// want a few minutes a week. All figures made up.
fn mixed_site() -> Value {
    let stations = (0..20).map(|place| {
        let (minutes, days, longest, soak) = [
            (32, 7, None, 0),
            (42, 1, Some(3), 45),
            (18, 4, Some(6), 55),
            (8, 1, None, 0),
            (28, 7, Some(4), 20),
        ][place % 5];
        json!({ "id": (place + 1).to_string(), "supply": "main", "flow_l_per_min": 20 + 3 * place,
            "run_minutes": minutes, "days_a_week": days, "longest_run_minutes": longest,
            "soak_minutes": soak, "longest_interval_days": 7_u32.div_ceil(days) })
    });
    json!({
        "ask": "week", "from": "2026-07-01", "window_start": "22:00", "window_minutes": 540,
        "supplies": [{ "id": "main", "capacity_l_per_min": 160 }],
        "stations": stations.collect::<Vec<Value>>(),
        "controller": { "programs": 6 }, "effort": 12_000_000, "free_effort": 100_000,
    })
}

/// Litres that four weeks of replay give, over those wanted.
fn given_of_wanted(request: &Value, week: &Value) -> f64 {
    let flow: BTreeMap<&str, f64> = list(&request["stations"])
        .iter()
        .map(|station| {
            (
                text(&station["id"]),
                station["flow_l_per_min"].as_f64().expect("a flow"),
            )
        })
        .collect();
    let runs = play(request, week).nights.into_iter().flatten();
    let given: f64 = runs
        .map(|run| flow[text(&run["station"])] * number(&run["seconds"]) as f64 / 60.0)
        .sum();
    let wanted = list(&request["stations"]).iter().map(|station| {
        let minutes = number(&station["run_minutes"]) * number(&station["days_a_week"]) * 4;
        flow[text(&station["id"])] * minutes as f64
    });
    given / wanted.sum::<f64>()
}

/// By hand: whole minutes a pass may cost a few percent, not more; and the ground's runs are not cut up for nothing.
#[test]
fn programs_give_what_is_wanted_and_little_more() {
    let request = mixed_site();
    let week = ask(&request);
    assert_eq!(week["verified"], true);
    assert_eq!(week["unkeyed"], json!([]));
    let given = given_of_wanted(&request, &week);
    assert!((1.0..1.05).contains(&given), "{given}");
    let played = play(&request, &week);
    let fewest: i64 = list(&week["sorts"])
        .iter()
        .flat_map(|sort| list(&sort["stations"]))
        .map(|sorted| {
            let station = list(&request["stations"])
                .iter()
                .find(|station| station["id"] == sorted["station"])
                .expect("a station");
            let minutes = number(&sorted["run_minutes"]);
            let longest = station["longest_run_minutes"].as_i64().unwrap_or(minutes);
            let nights = played.nights.iter();
            let nights =
                nights.filter(|runs| runs.iter().any(|run| run["station"] == station["id"]));
            (minutes + longest - 1) / longest * nights.count() as i64
        })
        .sum();
    let runs: usize = played.nights.iter().map(Vec::len).sum();
    assert!(10 * runs as i64 <= 15 * fewest, "{runs} of {fewest}");
}

/// By the rule itself: such a panel has one run time a station and program, in station order.
#[test]
fn a_panel_in_station_order_is_keyed_so() {
    let mut request = mixed_site();
    request["controller"]["station_order"] = true.into();
    let week = ask(&request);
    assert_eq!(week["verified"], true);
    assert_eq!(week["unkeyed"], json!([]));
    for program in list(&week["programs"]) {
        let mut last = 0;
        for step in list(&program["steps"]) {
            let [station] = list(&step["stations"]) else {
                panic!("one station a step: {step}");
            };
            let place: i64 = text(station).parse().expect("a number");
            assert!(place > last, "{program}");
            last = place;
        }
    }
    assert!(given_of_wanted(&request, &week) < 1.05);
}

/// By hand: no night of odd dates goes on past midnight, so it is cut there and the station served in what is left;
/// that odd dates are further apart than it can bear is told.
#[test]
fn odd_dates_are_keyed_within_their_own_date() {
    for days in [
        json!({ "odd": true, "skip_31": true }),
        json!({ "even": true }),
        json!({ "every": 3, "from": "2026-06-01" }),
    ] {
        let request = json!({
            "ask": "week", "from": "2026-06-01", "window_start": "22:00", "window_minutes": 480,
            "stations": [{ "id": "1", "flow_l_per_min": 20, "run_minutes": 30, "days_a_week": 7 }],
            "allowed_days": days, "effort": 20_000, "free_effort": 1_000,
        });
        let week = ask(&request);
        assert_eq!(week["unkeyed"], json!([]), "{days}");
        assert_eq!(week["too_seldom"], json!(["1"]), "{days}");
        assert_eq!(list(&week["nights"]).len(), 1, "{days}");
        assert!(!week["clipped"].is_null(), "{days}");
        let wrong = wrong(&request, &week);
        assert!(wrong.is_empty(), "{days}: {wrong:?}");
    }
}
