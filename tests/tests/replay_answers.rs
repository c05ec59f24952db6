//! The replay against the answers of an independent program (`data/replay/SOURCE.md`).

use drycurb_core::lines::answer_line;
use drycurb_tests::lines_of;
use serde_json::Value;

/// Source: common practice, no source; answers by an independent program, see `data/replay/SOURCE.md`.
#[test]
fn every_answer_agrees() {
    let requests = lines_of("replay/requests.jsonl");
    let expected = lines_of("replay/answers.jsonl");
    assert_eq!((requests.len(), expected.len()), (30, 30));
    for (request, expected) in requests.iter().zip(&expected) {
        let expected: Value = serde_json::from_str(expected).expect("the data file holds JSON");
        let got: Value = serde_json::from_str(&answer_line(request)).expect("an answer is JSON");
        let id = &expected["id"];
        if expected.get("error").is_some() {
            assert!(got.get("error").is_some(), "{id}: an error was expected");
            continue;
        }
        let (got, expected) = (&got["ok"], &expected["ok"]);
        let run = ["start_second", "start", "program", "station", "seconds"];
        assert_eq!(
            rows(&got["runs"], &run),
            rows(&expected["runs"], &run),
            "{id}"
        );
        let finding = ["kind", "program", "station", "at"];
        let findings = rows(&got["findings"], &finding);
        assert_eq!(findings, rows(&expected["findings"], &finding), "{id}");
    }
}

/// What follows from a kind is told beside it, also where the comparison of times above does not look.
///
/// Source: as above.
#[test]
fn further_fields_agree() {
    let further = [
        "kind", "program", "station", "at", "start", "by", "seconds", "supply",
    ];
    let flow = "flow_l_per_min";
    let requests = lines_of("replay/requests.jsonl");
    for (request, expected) in requests.iter().zip(lines_of("replay/answers.jsonl")) {
        let expected: Value = serde_json::from_str(&expected).expect("the data file holds JSON");
        let got: Value = serde_json::from_str(&answer_line(request)).expect("an answer is JSON");
        let (got, expected) = (&got["ok"]["findings"], &expected["ok"]["findings"]);
        assert_eq!(rows(got, &further), rows(expected, &further));
        let flows = |list: &Value| -> Vec<String> {
            let list = list.as_array().into_iter().flatten();
            let mut flows: Vec<_> = list
                .filter_map(|finding| finding[flow].as_f64())
                .map(|flow| format!("{flow:.6}"))
                .collect();
            flows.sort();
            flows
        };
        assert_eq!(flows(got), flows(expected));
    }
}

/// The named fields of each item of a list, as sorted lines.
fn rows(list: &Value, fields: &[&str]) -> Vec<String> {
    let items = list.as_array().into_iter().flatten();
    let mut rows: Vec<String> = items
        .map(|item| {
            fields
                .iter()
                .map(|field| format!("{field} {} ", item[*field]))
                .collect()
        })
        .collect();
    rows.sort();
    rows
}
