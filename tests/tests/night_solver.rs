//! Twelve sites of this project's own generator against an exact solver of others (`data/night/made/SOURCE.md`).

use drycurb_tests::choices::Choices;
use drycurb_tests::night::broken_rules;
use drycurb_tests::{ask, data, lines_of, night_sites};
use serde_json::Value;

/// The sites as the generator makes them: 6 to 28 stations.
fn sites() -> Vec<Value> {
    (0..12)
        .map(|place| {
            let mut choices = Choices::seeded(u64::from(place) + (17 << 40));
            night_sites::commercial(&mut choices, 6 + 2 * place)
        })
        .collect()
}

/// With `DRYCURB_WRITE` in the environment the sites are written first, for the solver to read.
#[test]
fn the_data_are_what_the_generator_makes() {
    if std::env::var("DRYCURB_WRITE").is_ok() {
        let lines: Vec<String> = sites().iter().map(Value::to_string).collect();
        let path = concat!(env!("CARGO_MANIFEST_DIR"), "/data/night/made/sites.jsonl");
        std::fs::write(path, lines.join("\n") + "\n").expect("written");
    }
    let lines = lines_of("night/made/sites.jsonl");
    for (line, site) in lines.iter().zip(sites()) {
        assert_eq!(serde_json::from_str::<Value>(line).expect("JSON"), site);
    }
    assert_eq!(lines.len(), 12);
}

/// Source: CP-SAT, which shares nothing with the core. What it has proved holds for our plans, and our bound holds for
/// what it has found.
#[test]
fn plans_and_bounds_agree_with_an_exact_solver() {
    let answers = data("night/made/answers.json");
    let (mut proved, mut worst) = (0, 0.0_f64);
    for (place, (mut site, theirs)) in sites()
        .into_iter()
        .zip(answers["sites"].as_array().expect("a list"))
        .enumerate()
    {
        site["effort"] = 3_000_000.into();
        let ours = ask(&site);
        assert_eq!(broken_rules(&site, &ours), Vec::<String>::new());
        let number = |value: &Value| value.as_f64().expect("a number");
        let (finish, known) = (
            number(&ours["finish_second"]),
            number(&theirs["finish_second"]),
        );
        assert!(
            number(&ours["bound_second"]) <= known,
            "{place}: bound {} of {known}",
            ours["bound_second"]
        );
        assert!(
            finish >= number(&theirs["bound_second"]),
            "{place}: {finish} cannot be"
        );
        let gap = finish / known - 1.0;
        assert!(gap <= 0.015, "{place}: {finish} against {known}");
        worst = worst.max(gap);
        proved += usize::from(theirs["proved"] == true);
    }
    assert!(proved >= 3, "{proved} proved, worst {worst}");
}
