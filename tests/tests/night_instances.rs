//! The night plans of 30 invented sites, against the rules and against what other programs found
//! (`data/night/SOURCE.md`).

use drycurb_tests::{ask, data, night::broken_rules};
use serde_json::Value;

fn instances() -> Vec<Value> {
    let path = format!("{}/data/night/instances.jsonl", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(path).expect("the data file is there");
    text.lines()
        .map(|line| serde_json::from_str(line).expect("each line is JSON"))
        .collect()
}

#[test]
fn every_plan_keeps_every_rule_and_no_bound_is_above_a_known_finish() {
    let best = data("night/best_known.json");
    for mut request in instances() {
        request["effort"] = 1_000_000.into();
        let answer = ask(&request);
        let name = request["id"].as_str().unwrap_or_default();
        assert_eq!(
            broken_rules(&request, &answer),
            Vec::<String>::new(),
            "{name}"
        );
        assert_eq!(answer["unserved"], Value::Array(Vec::new()), "{name}");
        let known = best[name]["best_seconds"]
            .as_i64()
            .expect("every instance is known");
        assert!(
            answer["bound_second"]
                .as_i64()
                .is_some_and(|bound| bound <= known),
            "{name}"
        );
        let finish = answer["finish_second"].as_i64().unwrap_or(i64::MAX);
        assert!(
            finish as f64 <= 1.15 * known as f64,
            "{name}: {finish} against {known}"
        );
    }
}
