//! Helpers of the checks in `tests/`.

pub mod choices;
pub mod night;
pub mod night_exhaustive;
pub mod night_sites;
pub mod random_requests;
pub mod replay_requests;
pub mod second_by_second;

use serde_json::Value;

/// Passes when `value` rounds to the number as printed: the source's digits set the tolerance.
#[track_caller]
pub fn assert_printed(value: f64, printed: &str) {
    let decimals = printed
        .split_once('.')
        .map_or(0, |(_, fraction)| fraction.len());
    assert_eq!(format!("{value:.decimals$}"), printed, "unrounded: {value}");
}

/// Passes when `value` lies within `tolerance` of `expected`.
#[track_caller]
pub fn assert_near(value: f64, expected: f64, tolerance: f64) {
    assert!(
        (value - expected).abs() <= tolerance,
        "{value} is not within {tolerance} of {expected}"
    );
}

/// Asks the JSON door and gives the `ok` part.
#[track_caller]
pub fn ask(request: &Value) -> Value {
    let mut answer = drycurb_core::lines::answer(request);
    assert!(
        answer.get("ok").is_some(),
        "{request} was refused: {answer}"
    );
    answer["ok"].take()
}

/// Reads a data file kept under `tests/data`.
#[track_caller]
pub fn data(path: &str) -> Value {
    let full = format!("{}/data/{path}", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(&full).unwrap_or_else(|why| panic!("{full}: {why}"));
    serde_json::from_str(&text).unwrap_or_else(|why| panic!("{full}: {why}"))
}

/// Reads a data file of one JSON text a line; empty lines are left out.
#[track_caller]
pub fn lines_of(path: &str) -> Vec<String> {
    let full = format!("{}/data/{path}", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(&full).unwrap_or_else(|why| panic!("{full}: {why}"));
    let lines = text.lines().filter(|line| !line.trim().is_empty());
    lines.map(str::to_owned).collect()
}

/// How many random cases to try: `usual`, or what the environment variable `DRYCURB_CASES` says.
#[track_caller]
pub fn cases(usual: u64) -> u64 {
    match std::env::var("DRYCURB_CASES") {
        Ok(text) => text.parse().expect("DRYCURB_CASES is a whole number"),
        Err(_) => usual,
    }
}
