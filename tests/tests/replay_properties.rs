//! What holds for any legal request of the ask `replay`, on very many random ones.
//!
//! Properties, no source needed. `DRYCURB_CASES` raises the number of requests.

use std::collections::BTreeMap;

use drycurb_core::lines::answer;
use drycurb_tests::cases;
use drycurb_tests::choices::Choices;
use drycurb_tests::replay_requests::replay_request;
use drycurb_tests::second_by_second::is_closed;
use serde_json::Value;

/// Begin, end, program, station.
type Span<'a> = (i64, i64, &'a str, &'a str);

#[test]
fn any_legal_request_is_answered_and_keeps_the_rules() {
    for seed in 0..cases(100_000) {
        let request = replay_request(&mut Choices::seeded(seed.wrapping_add(1 << 40)));
        let answered = answer(&request);
        let answer = answered
            .get("ok")
            .unwrap_or_else(|| panic!("refused {request}: {answered}"));
        let runs = answer["runs"].as_array().expect("a list");
        let spans: Vec<Span> = runs.iter().map(span).collect();
        in_order(&spans, &request);
        one_valve_one_run(&spans, &request);
        alone_is_alone(&spans, &request);
        nothing_is_open_in_closed_time(runs, &request);
        no_water_is_lost(&spans, &request);
    }
}

fn span(run: &Value) -> Span<'_> {
    let begin = run["start_second"].as_i64().expect("whole");
    let seconds = run["seconds"].as_i64().expect("whole");
    assert!(begin >= 0 && seconds >= 1, "{run}");
    let text = |name: &str| run[name].as_str().expect("a text");
    (begin, begin + seconds, text("program"), text("station"))
}

fn in_order(spans: &[Span], request: &Value) {
    assert!(
        spans.is_sorted_by_key(|span| span.0),
        "runs out of order: {request}"
    );
}

fn one_valve_one_run(spans: &[Span], request: &Value) {
    let mut open_until: BTreeMap<&str, i64> = BTreeMap::new();
    for (begin, end, _, station) in spans {
        let before = open_until.insert(station, *end);
        assert!(
            before.is_none_or(|until| until <= *begin),
            "{station} opened twice: {request}"
        );
    }
}

/// No run of another program overlaps a run of a program that does not share.
fn alone_is_alone(spans: &[Span], request: &Value) {
    let programs = request["programs"].as_array().expect("a list");
    let shares: BTreeMap<&str, bool> = programs
        .iter()
        .map(|program| {
            (
                program["id"].as_str().expect("a text"),
                program["sharing"].as_bool().unwrap_or(false),
            )
        })
        .collect();
    for (place, (_, end, program, _)) in spans.iter().enumerate() {
        let overlapping = spans[place + 1..].iter().take_while(|later| later.0 < *end);
        for (_, _, other, _) in overlapping.filter(|later| later.2 != *program) {
            assert!(
                shares[program] && shares[other],
                "{program} beside {other}: {request}"
            );
        }
    }
}

fn nothing_is_open_in_closed_time(runs: &[Value], request: &Value) {
    let closed = &request["closed"];
    if closed.is_null() {
        return;
    }
    for run in runs {
        let start = run["start"]
            .as_str()
            .expect("a text")
            .parse()
            .expect("a local time");
        assert!(
            !is_closed(closed, start),
            "{run} begins in closed time: {request}"
        );
    }
}

/// Without closed time each firing waters all its steps: a program's seconds are a multiple of what one firing gives.
fn no_water_is_lost(spans: &[Span], request: &Value) {
    if !request["closed"].is_null() {
        return;
    }
    for program in request["programs"].as_array().expect("a list") {
        let percent = program["adjust_percent"].as_i64().unwrap_or(100);
        let steps = program["steps"].as_array().expect("a list").iter();
        let one_firing: i64 = steps
            .map(|step| {
                let stations = step["stations"].as_array().expect("a list").len() as i64;
                (step["seconds"].as_i64().expect("whole") * percent + 50) / 100 * stations
            })
            .sum();
        let own = spans.iter().filter(|span| program["id"] == span.2);
        let all: i64 = own.map(|span| span.1 - span.0).sum();
        assert!(
            all == 0 || all % one_firing == 0,
            "{} lost water: {request}",
            program["id"]
        );
    }
}
