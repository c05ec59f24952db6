//! Keyed programs: their replay, through the JSON door and nothing else, keeps every rule of the night and opens what
//! the answer says, to the second.
//!
//! The rules of the night are those of `drycurb_tests::night`, which shares nothing with the core.

use drycurb_tests::choices::Choices;
use drycurb_tests::night::broken_rules;
use drycurb_tests::random_requests;
use drycurb_tests::{ask, cases, lines_of};
use serde_json::{Value, json};

fn list(value: &Value) -> &[Value] {
    value.as_array().map_or(&[], Vec::as_slice)
}

/// The keyed programs as a question to the replay, from what was asked and what was answered.
fn replay_request(request: &Value, keyed: &Value, percent: u32) -> Value {
    let mut programs = keyed["programs"].clone();
    for program in programs.as_array_mut().expect("programs") {
        program["days"] = json!({ "every": 1, "from": "2026-07-01" });
        program["adjust_percent"] = percent.into();
    }
    let supplies = list(&request["supplies"]).iter().map(
        |supply| json!({ "id": supply["id"], "capacity_l_per_min": supply["capacity_l_per_min"] }),
    );
    let stations = list(&request["stations"]).iter().map(|station| {
        json!({
            "id": station["id"],
            "flow_l_per_min": station["flow_l_per_min"],
            "longest_run_minutes": station["longest_run_minutes"],
            "soak_minutes": station["soak_minutes"],
            "supply": station["supply"],
        })
    });
    let start = request["window_start"].as_str().expect("window_start");
    json!({
        "ask": "replay",
        "from": format!("2026-07-01T{start}:00"),
        "hours": 24,
        "gap_seconds": keyed["gap_seconds"],
        "soak_style": keyed["soak_style"],
        "supplies": supplies.collect::<Vec<Value>>(),
        "stations": stations.collect::<Vec<Value>>(),
        "programs": programs,
    })
}

fn sorted_runs(answer: &Value) -> Vec<(u64, String, u64)> {
    let runs = list(&answer["runs"]).iter().map(|run| {
        let number = |field: &str| run[field].as_u64().expect(field);
        let station = run["station"].as_str().expect("station").to_owned();
        (number("start_second"), station, number("seconds"))
    });
    let mut runs: Vec<_> = runs.collect();
    runs.sort();
    runs
}

/// Everything that is wrong with keyed programs.
fn wrong(request: &Value, keyed: &Value) -> Vec<String> {
    let played = ask(&replay_request(request, keyed, 100));
    let mut wrong = Vec::new();
    if sorted_runs(&played) != sorted_runs(keyed) {
        wrong.push("the replay differs".to_owned());
    }
    for finding in list(&played["findings"]) {
        if finding["kind"] != "never_waters" {
            wrong.push(finding.to_string());
        }
    }
    let answer = json!({
        "runs": played["runs"],
        "unserved": keyed["unkeyed"],
        "finish_second": keyed["finish_second"],
        "bound_second": 0,
    });
    // Programs split minutes in their own way: that rule is `minutes` below, all others hold.
    let night = broken_rules(request, &answer);
    wrong.extend(night.into_iter().filter(|rule| !rule.contains(" runs [")));
    minutes(request, keyed, &mut wrong);
    let controller = &request["controller"];
    let most = |field: &str| controller[field].as_u64().unwrap_or(8) as usize;
    if list(&keyed["programs"]).len() > most("programs") {
        wrong.push("too many programs".into());
    }
    for program in list(&keyed["programs"]) {
        let mut starts = list(&program["starts"]).to_vec();
        if starts.len() > most("starts") {
            wrong.push("too many starts".into());
        }
        starts.sort_by_key(Value::to_string);
        starts.dedup();
        if starts.len() != list(&program["starts"]).len() {
            wrong.push("a start twice".into());
        }
        for step in list(&program["steps"]) {
            let seconds = step["seconds"].as_u64().expect("seconds");
            let least = controller["shortest_step_seconds"].as_u64().unwrap_or(60);
            if seconds % 60 != 0 || seconds < least.max(60) {
                wrong.push(format!("a step of {seconds} s"));
            }
        }
    }
    starts_open_at_once(request, keyed, &played, &mut wrong);
    wrong
}

/// Never below the need, at most two minutes a pass above, no run above the longest.
fn minutes(request: &Value, keyed: &Value, wrong: &mut Vec<String>) {
    for station in list(&request["stations"]) {
        let id = &station["id"];
        if list(&keyed["unkeyed"])
            .iter()
            .any(|left| left["station"] == *id)
        {
            continue;
        }
        let own: Vec<u64> = list(&keyed["runs"])
            .iter()
            .filter(|run| run["station"] == *id)
            .map(|run| run["seconds"].as_u64().expect("seconds"))
            .collect();
        let passes: usize = list(&keyed["programs"])
            .iter()
            .map(|program| {
                let steps = list(&program["steps"]).iter();
                let named = steps.filter(|step| list(&step["stations"]).contains(id));
                named.count() * list(&program["starts"]).len()
            })
            .sum();
        let given: u64 = own.iter().sum();
        let need = 60 * station["run_minutes"].as_f64().expect("run_minutes") as u64;
        if given < need || given > need + 120 * passes as u64 {
            wrong.push(format!("station {id} gets {given} s of {need} s"));
        }
        let longest = station["longest_run_minutes"]
            .as_u64()
            .map(|minutes| 60 * minutes);
        if own
            .iter()
            .any(|run| longest.is_some_and(|longest| *run > longest))
        {
            wrong.push(format!("station {id} runs too long"));
        }
    }
}

/// Every start finds its program ready: it opens a station of the first step at that second.
fn starts_open_at_once(request: &Value, keyed: &Value, played: &Value, wrong: &mut Vec<String>) {
    let minute = |text: &Value| {
        let text = text.as_str().expect("HH:MM");
        let number = |part: &str| part.parse::<u64>().expect("digits");
        number(&text[..2]) * 60 + number(&text[3..])
    };
    let window = minute(&request["window_start"]);
    for program in list(&keyed["programs"]) {
        for start in list(&program["starts"]) {
            let second = (minute(start) + 1440 - window) % 1440 * 60;
            let first = &program["steps"][0]["stations"][0];
            let opened = list(&played["runs"]).iter().any(|run| {
                run["program"] == program["id"]
                    && run["start_second"] == second
                    && run["station"] == *first
            });
            if !opened {
                wrong.push(format!(
                    "program {} does not begin at {start}",
                    program["id"]
                ));
            }
        }
    }
    if request["controller"]["sharing"] == true {
        return;
    }
    // Alone, nothing of another program is open when one begins.
    let runs = sorted_runs(played);
    let owners: Vec<(u64, u64, &Value)> = list(&played["runs"])
        .iter()
        .map(|run| {
            let begin = run["start_second"].as_u64().expect("start");
            (
                begin,
                begin + run["seconds"].as_u64().expect("s"),
                &run["program"],
            )
        })
        .collect();
    let meet = owners.iter().enumerate().any(|(at, one)| {
        owners[at + 1..]
            .iter()
            .any(|two| one.2 != two.2 && one.0 < two.1 && two.0 < one.1)
    });
    if meet || runs.is_empty() && !list(&keyed["programs"]).is_empty() {
        wrong.push("programs run beside each other".into());
    }
}

fn instance(line: &str, controller: &Value, effort: u32) -> Value {
    let mut request: Value = serde_json::from_str(line).expect("JSON");
    request["ask"] = "program".into();
    request["effort"] = effort.into();
    request["free_effort"] = 1000.into();
    request["controller"] = controller.clone();
    request
}

fn family_is_legal(family: char, controller: &Value, effort: u32) {
    let lines = lines_of("night/instances.jsonl");
    let mut seen = 0;
    for line in &lines {
        let request = instance(line, controller, effort);
        let id = request["id"].as_str().unwrap_or_default().to_owned();
        if !id.starts_with(family) {
            continue;
        }
        seen += 1;
        let keyed = ask(&request);
        assert_eq!(keyed["broken"], json!([]), "{id}");
        let wrong = wrong(&request, &keyed);
        assert!(wrong.is_empty(), "{id}: {wrong:?}");
    }
    assert!(seen >= 8, "{seen} instances of {family}");
}

#[test]
fn small_sites_are_keyed_by_every_rule() {
    family_is_legal('a', &json!({}), 400_000);
}

#[test]
fn small_sites_are_keyed_where_the_controller_soaks() {
    family_is_legal('a', &json!({ "soak_style": "fill" }), 400_000);
    family_is_legal('a', &json!({ "soak_style": "wait" }), 200_000);
}

#[test]
fn commercial_sites_are_keyed_by_every_rule() {
    family_is_legal('b', &json!({ "sharing": true }), 8_000_000);
}

#[test]
fn random_small_sites_are_keyed_by_every_rule() {
    let mut keyed_some = 0;
    for seed in 0..cases(150) {
        let mut choices = Choices::seeded(seed);
        let request = random_requests::request("program", &mut choices);
        let answer = drycurb_core::lines::answer(&request);
        let Some(keyed) = answer.get("ok") else {
            continue;
        };
        if keyed["broken"] != json!([]) {
            continue;
        }
        let wrong = wrong(&request, keyed);
        assert!(wrong.is_empty(), "{request}: {wrong:?}");
        keyed_some += usize::from(!list(&keyed["programs"]).is_empty());
    }
    assert!(keyed_some > 30, "{keyed_some}");
}

#[test]
fn adjustment_holds_where_it_says() {
    let lines = lines_of("night/instances.jsonl");
    for line in lines
        .iter()
        .filter(|line| line.contains("\"id\":\"a"))
        .take(4)
    {
        let request = instance(line, &json!({}), 200_000);
        let keyed = ask(&request);
        let fires = |percent: u64| {
            let played = ask(&replay_request(&request, &keyed, percent as u32));
            let kinds = list(&played["findings"]).iter().map(|f| f["kind"].clone());
            kinds.filter(|kind| kind == "start_while_running").count()
        };
        let to = keyed["starts_hold_to_percent"].as_u64().expect("percent");
        assert_eq!(fires(to), 0);
        assert!((100..=300).contains(&to), "{to}");
        assert!(keyed["holds_to_percent"].as_u64() <= Some(to));
    }
}
