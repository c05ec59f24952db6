//! The replay against a controller that ticks once a second, on random small requests.
//!
//! Source: the rules, common practice, no source. The ticking controller was written from their text and shares
//! nothing with the core. `DRYCURB_CASES` raises the number of requests.

use std::collections::BTreeMap;

use drycurb_tests::choices::Choices;
use drycurb_tests::replay_requests::replay_request;
use drycurb_tests::second_by_second::{RunRow, second_by_second};
use drycurb_tests::{ask, cases};
use proptest::prelude::*;
use serde_json::Value;

/// Fails where the two differ; gives the findings.
fn compare(request: &Value) -> Vec<Value> {
    let answer = ask(request);
    let story = second_by_second(request);
    let runs: Vec<RunRow> = answer["runs"]
        .as_array()
        .expect("a list")
        .iter()
        .map(|run| {
            let text = |name: &str| run[name].as_str().expect("a text").to_owned();
            let whole = |name: &str| run[name].as_i64().expect("whole");
            let (start, seconds) = (whole("start_second"), whole("seconds"));
            (
                start,
                text("start"),
                text("program"),
                text("station"),
                seconds,
            )
        })
        .collect();
    assert_eq!(runs, story.runs, "runs (core left) of {request}");
    let sorted = |findings: &[Value]| {
        let mut lines: Vec<String> = findings.iter().map(Value::to_string).collect();
        lines.sort();
        lines
    };
    let findings = sorted(answer["findings"].as_array().expect("a list"));
    assert_eq!(
        findings,
        sorted(&story.findings),
        "findings (core left) of {request}"
    );
    story.findings
}

/// The requests meet every kind of finding many times, so that agreement says something about each.
#[test]
fn seeded_requests_agree() {
    let mut met: BTreeMap<String, u32> = BTreeMap::new();
    for seed in 0..cases(2_000) {
        for finding in compare(&replay_request(&mut Choices::seeded(seed))) {
            *met.entry(finding["kind"].to_string()).or_default() += 1;
        }
    }
    println!("{met:#?}");
    assert_eq!(met.len(), 15, "kinds met: {met:?}");
    assert!(met.values().all(|times| *times >= 50), "kinds met: {met:?}");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 256, failure_persistence: None, ..ProptestConfig::default() })]

    /// As above, from lists of choices, which shrink to the simplest request that differs.
    #[test]
    fn random_requests_agree(words in proptest::collection::vec(any::<u32>(), 0..150)) {
        compare(&replay_request(&mut Choices::listed(words)));
    }
}
