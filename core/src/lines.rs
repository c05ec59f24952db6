//! The JSON door: one request as JSON, one answer as JSON.
//!
//! The example program `lines` and the page's worker both answer through [`answer`]. It holds no computation: it
//! reads fields, calls the public functions of the crate, and writes what they return. Names carry their unit last;
//! `null` means that there is no such thing; every answer that used a default lists its name in `assumed`.

mod allowance;
mod fields;
mod ground;
pub mod json;
mod rate;
mod station;

mod need;
mod plant;
mod season;
mod sky;
mod supply;

mod night;

mod program;

mod week;

mod replay;

mod keyed;

mod paper;

use serde_json::Value;

use crate::json;

use crate::invalid::{Invalid, Problem};
pub use fields::{Fields, whole};
pub use night::{NightWork, read_night};
pub use week::WeekWork;

/// What an ask gives: the answer's object, or everything that is wrong with the request.
pub type Answer = Result<Value, Vec<Invalid>>;

/// Reads a request's fields and answers it.
pub type Ask = fn(Fields) -> Answer;

/// The questions that are understood, by the name in `ask`.
pub const ASKS: &[(&str, Ask)] = &[
    ("et", need::et),
    ("et_hour", need::et_hour),
    ("climate", need::climate),
    ("cycle", ground::ask_cycle),
    ("split", ground::ask_split),
    ("runoff", ground::ask_runoff),
    ("texture", ground::ask_texture),
    ("rate", rate::ask_rate),
    ("cans", rate::ask_cans),
    ("station", station::ask_station),
    ("night", night::night),
    ("program", program::ask),
    ("week", week::ask),
    ("replay", replay::ask),
    ("keyed", keyed::ask),
    ("pipe", supply::pipe),
    ("connection", supply::connection),
    ("wire", supply::wire),
    ("two_wire", supply::two_wire),
    ("coil", supply::coil),
    ("sun", sky::sun),
    ("dark", sky::dark),
    ("allowance", allowance::allowance),
    ("peak_month", allowance::ask_peak_month),
    ("season", season::season),
    ("balance", season::balance),
    ("rain", season::rain),
    ("plant", plant::plant),
    ("leaching", plant::leaching),
    ("repair", plant::repair),
    ("quote", paper::quote),
    ("year", paper::year),
    ("stations_csv", paper::stations_csv),
];

/// The questions that are heavy enough for the page's worker, or that it compares with; the page
/// carries no other.
pub const WORKER_ASKS: &[(&str, Ask)] = &[
    ("cycle", ground::ask_cycle),
    ("night", night::night),
    ("week", week::ask),
    ("replay", replay::ask),
    ("keyed", keyed::ask),
];

/// Answers one line of JSON with one line of JSON (without the line end). Never fails: what cannot be understood is
/// an answer with an `error`.
pub fn answer_line(line: &str) -> String {
    let read = serde_json::from_str(line);
    match read.or_else(|_| serde_json::from_str(&without_endless(line))) {
        Ok(request) => answer(&request).to_string(),
        Err(_) => error(&[Invalid::new(
            "line",
            Problem::Other("must be one JSON object"),
        )])
        .to_string(),
    }
}

/// Answers one request: `{"ok": …}` or `{"error": [{"field", "problem"}]}`.
pub fn answer(request: &Value) -> Value {
    answer_among(ASKS, request)
}

/// Answers one request of a list of questions.
pub fn answer_among(asks: &[(&str, Ask)], request: &Value) -> Value {
    let Some(object) = request.as_object() else {
        return error(&[Invalid::new(
            "line",
            Problem::Other("must be one JSON object"),
        )]);
    };
    let asked = object
        .get("ask")
        .and_then(Value::as_str)
        .unwrap_or_default();
    match asks.iter().find(|(name, _)| *name == asked) {
        Some((_, ask)) => told(ask(Fields::new(object))),
        None => {
            let names: Vec<&str> = asks.iter().map(|(name, _)| *name).collect();
            json!({ "error": [{ "field": "ask", "problem": format!("must be one of: {}", names.join(", ")) }] })
        }
    }
}

/// The line with every number that is too large for floating point as a value that no field takes,
/// so that its field is named. A list in a list: a text or an empty list might be taken.
fn without_endless(line: &str) -> String {
    let mut out = String::with_capacity(line.len());
    let (mut quoted, mut escaped) = (false, false);
    let mut number = String::new();
    for letter in line.chars() {
        if !quoted && matches!(letter, '0'..='9' | '+' | '-' | '.' | 'e' | 'E') {
            number.push(letter);
            continue;
        }
        put_number(&mut out, &mut number);
        (quoted, escaped) = match letter {
            '"' => (quoted == escaped, false),
            _ => (quoted, quoted && letter == '\\' && !escaped),
        };
        out.push(letter);
    }
    put_number(&mut out, &mut number);
    out
}

fn put_number(out: &mut String, number: &mut String) {
    let is_endless = number.parse().is_ok_and(|value: f64| value.is_infinite());
    out.push_str(if is_endless { "[[]]" } else { number });
    number.clear();
}

/// An answer as it is told: `{"ok": …}` or `{"error": …}`.
pub fn told(answer: Answer) -> Value {
    match answer {
        Ok(answer) => {
            let mut whole = json::object();
            json::put(&mut whole, "ok", answer);
            Value::Object(whole)
        }
        Err(faults) => error(&faults),
    }
}

fn error(faults: &[Invalid]) -> Value {
    let list: Vec<Value> = faults
        .iter()
        .map(|f| json!({ "field": f.field, "problem": f.problem.to_string() }))
        .collect();
    json!({ "error": list })
}

#[cfg(test)]
mod tests {
    use super::answer_line;

    fn fields(line: &str) -> Vec<String> {
        let answer: serde_json::Value = serde_json::from_str(&answer_line(line)).unwrap();
        let faults = answer["error"].as_array().expect("faults").iter();
        faults
            .map(|fault| fault["field"].as_str().unwrap().to_string())
            .collect()
    }

    /// JSON has no largest number; floating point has.
    #[test]
    fn a_number_too_large_for_floating_point_is_the_fault_of_its_field() {
        let cycle = |slope: &str, rate: &str| {
            fields(&format!(
                r#"{{"ask":"cycle","soil":"lo\"1e999\\","slope_percent":{slope},"precipitation_mm_per_h":{rate}}}"#
            ))
        };
        assert_eq!(cycle("1e400", "38"), ["soil", "slope_percent"]);
        assert_eq!(
            cycle("-1E+999", "0"),
            ["soil", "slope_percent", "precipitation_mm_per_h"]
        );
        let digits = "9".repeat(400);
        assert_eq!(cycle(&digits, "38"), ["soil", "slope_percent"]);
        assert_eq!(cycle("1e-400", "38"), ["soil"]);
        let cans =
            r#"{"ask":"cans","catches_ml":[20,1e400,19,25],"throat_area_cm2":80,"minutes":15}"#;
        assert_eq!(fields(cans), ["catches_ml[1]"]);
        assert_eq!(fields(r#"{"ask":"cycle" 1e400}"#), ["line"]);
        assert_eq!(fields("1e400"), ["line"]);
    }
}
