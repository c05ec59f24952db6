//! A week in slices is the week in one go, to the bit; stopped at any moment, what it gives keeps every rule that it
//! says it keeps.

use drycurb_core::lines::{WeekWork, answer};
use drycurb_tests::choices::Choices;
use drycurb_tests::{ask, cases, random_requests};
use serde_json::{Value, json};

/// A sound request of a few stations, with effort enough to be cut.
fn request(choices: &mut Choices) -> Value {
    loop {
        let mut request = random_requests::request("week", choices);
        request["effort"] = choices.between(0, 60_000).into();
        request["free_effort"] = choices.between(0, 60_000).into();
        if WeekWork::begin(&request).is_ok() {
            return request;
        }
    }
}

/// Property, no source.
#[test]
fn slices_of_any_size_give_the_same_answer() {
    let mut slices = 0;
    for seed in 0..cases(150) {
        let mut choices = Choices::seeded(seed.wrapping_add(12 << 40));
        let request = request(&mut choices);
        let whole = ask(&request);
        let mut work = WeekWork::begin(&request).expect("it is sound");
        let most = choices.one_of(&[30, 1_000, 30_000]);
        let (mut at, mut done) = (0, 0);
        while !work.is_done() {
            at += u64::from(choices.between(1, most));
            let now = work.step_to(at);
            assert!(now >= done, "work is never undone: {request}");
            done = now;
            slices += 1;
        }
        assert_eq!(work.answer(), Ok(whole), "{request}");
    }
    assert!(slices > 10_000, "{slices}");
}

/// Property, no source: the programs of a week that was stopped are whole, and their replay breaks nothing where it
/// says so; nothing of the answer's shape is missing.
#[test]
fn a_week_may_be_stopped_at_any_moment() {
    let (mut cut, mut sound) = (0, 0);
    for seed in 0..cases(150) {
        let mut choices = Choices::seeded(seed.wrapping_add(13 << 40));
        let request = request(&mut choices);
        let whole = ask(&request);
        let mut work = WeekWork::begin(&request).expect("it is sound");
        work.step_to(choices.between(0, 80_000).into());
        let stopped = work.answer().expect("it is sound");
        let keys = |value: &Value| {
            let object = value.as_object().expect("an object");
            object.keys().cloned().collect::<Vec<String>>()
        };
        assert_eq!(keys(&stopped), keys(&whole), "{request}");
        if stopped["cut_short"] == true {
            cut += 1;
        } else {
            assert_eq!(stopped, whole, "{request}");
        }
        sound += usize::from(stopped["verified"] == true && stopped["unkeyed"] == json!([]));
    }
    assert!(cut > 50 && sound > 50, "{cut} {sound}");
}

/// By hand.
#[test]
fn a_faulty_request_is_refused_with_every_fault() {
    let request = json!({ "ask": "week", "from": "soon" });
    let faults = WeekWork::begin(&request).err().expect("it is refused");
    let fields: Vec<&str> = faults.iter().map(|fault| fault.field.as_str()).collect();
    let told = answer(&request);
    let told: Vec<&str> = told["error"]
        .as_array()
        .expect("a list")
        .iter()
        .filter_map(|fault| fault["field"].as_str())
        .collect();
    assert_eq!(fields, told);
    assert!(fields.contains(&"from"), "{fields:?}");
}
