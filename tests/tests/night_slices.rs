//! A search in slices is the search in one go, to the bit, and the plan at hand is always legal and never worse.

use drycurb_core::lines::{NightWork, answer};
use drycurb_tests::choices::Choices;
use drycurb_tests::night::broken_rules;
use drycurb_tests::{ask, cases, lines_of, night_sites};
use serde_json::Value;

/// Property, no source.
#[test]
fn slices_of_any_size_give_the_same_answer() {
    let known: Vec<Value> = lines_of("night/instances.jsonl")
        .iter()
        .map(|line| serde_json::from_str(line).expect("JSON"))
        .collect();
    for seed in 0..cases(60) {
        let mut choices = Choices::seeded(seed.wrapping_add(9 << 40));
        let mut request = if choices.once_in(3) {
            choices.one_of(&known)
        } else {
            let stations = choices.between(2, 30);
            night_sites::commercial(&mut choices, stations)
        };
        request["effort"] = choices.between(0, 300_000).into();
        request["seed"] = choices.below(5).into();
        let whole = ask(&request);
        let mut work = NightWork::begin(&request).expect("it is sound");
        let (mut at, mut last) = (0, u32::MAX);
        while at < work.effort() {
            at += u64::from(choices.between(1, 50_000));
            let progress = work.step_to(at);
            assert!(progress.finish_second <= last, "{request}");
            assert!(progress.bound_second <= progress.finish_second, "{request}");
            last = progress.finish_second;
            if progress.done {
                break;
            }
        }
        assert_eq!(work.answer(), whole, "{request}");
    }
}

/// Property, no source: stopped at any moment, the plan is legal.
#[test]
fn a_search_may_be_stopped_at_any_moment() {
    for seed in 0..cases(60) {
        let mut choices = Choices::seeded(seed.wrapping_add(10 << 40));
        let stations = choices.between(2, 40);
        let request = night_sites::commercial(&mut choices, stations);
        let mut work = NightWork::begin(&request).expect("it is sound");
        work.step_to(choices.between(0, 30_000).into());
        assert_eq!(
            broken_rules(&request, &work.answer()),
            Vec::<String>::new(),
            "{request}"
        );
    }
}

/// By hand.
#[test]
fn a_faulty_request_is_refused_with_every_fault() {
    let request = serde_json::json!({ "ask": "night", "window_start": "25:00" });
    let faults = NightWork::begin(&request).err().expect("it is refused");
    let told = answer(&request);
    let told: Vec<&str> = told["error"]
        .as_array()
        .unwrap()
        .iter()
        .filter_map(|fault| fault["field"].as_str())
        .collect();
    let fields: Vec<&str> = faults.iter().map(|fault| fault.field.as_str()).collect();
    assert_eq!(fields, told);
    assert_eq!(fields, ["stations", "window_start", "window_minutes"]);
}
