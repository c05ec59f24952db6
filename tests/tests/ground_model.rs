//! The soil model against an independent program of the same equations.

use drycurb_core::ground::event::{Event, Model, Start};
use drycurb_core::ground::first_run::FirstRun;
use drycurb_core::ground::{Condition, Ground, Texture};
use drycurb_core::quantity::Slope;
use drycurb_tests::{assert_near, data};
use serde_json::Value;

fn ground(case: &Value) -> Ground {
    let word = case["texture"].as_str().unwrap().replace(' ', "_");
    let place = Texture::WORDS.iter().position(|w| *w == word).unwrap();
    let condition = match case["condition"].as_str().unwrap() {
        "lawn" => Condition::Settled,
        _ => Condition::Compacted,
    };
    Ground::of_class(
        Texture::ALL[place],
        Slope::percent(case["slope_pct"].as_f64().unwrap()),
        condition,
    )
}

/// Source: tests/data/ground/SOURCE.md, recommended_cycle_model.json, `one_cycle`, printed to 6
/// figures.
#[test]
fn first_runs_agree_with_an_independent_program() {
    let cases = data("ground/recommended_cycle_model.json");
    let cases = cases["one_cycle"].as_array().unwrap();
    assert_eq!(cases.len(), 176);
    for case in cases {
        let ground = ground(case);
        let run = FirstRun::of(
            ground.intake.to_mm_per_h(),
            ground.suction_mm,
            ground.storage_mm,
            case["pr_mm_h"].as_f64().unwrap(),
        );
        let ponding = case["t_pond_min"].as_f64();
        let runoff = case["t_runoff_min"].as_f64();
        assert_eq!(run.is_some(), runoff.is_some(), "{case}");
        if let (Some(run), Some(ponding), Some(runoff)) = (run, ponding, runoff) {
            assert_near(run.ponding_minutes, ponding, 1e-4);
            assert_near(run.runoff_minutes, runoff, 5e-5 * runoff);
        }
    }
}

/// Source: the same, `cycles`: the largest whole-minute run of four whose runoff is at most
/// 0.05 mm; the program looks no further than 60 min. Water contents are printed to 4 decimals and
/// start each drainage 0.0001 below full; 8 µm of standing water is a third of its 2 s step.
#[test]
fn four_runs_and_soaks_agree_with_an_independent_program() {
    let cases = data("ground/recommended_cycle_model.json");
    let cases = cases["cycles"].as_array().unwrap();
    assert_eq!(cases.len(), 32);
    for case in cases {
        let model = Model::new(&ground(case), Start::Wet);
        let rate = case["pr_mm_h"].as_f64().unwrap();
        let soak = case["soak_min"].as_f64().unwrap() / 60.0;
        let runoff = |minutes: u64| {
            let mut event = Event::new(&model);
            for _ in 0..4 {
                event.run(rate, minutes as f64 / 60.0);
                event.run(0.0, soak);
            }
            event.runoff_mm()
        };
        let theirs = case["max_on_min_no_runoff"].as_u64().unwrap();
        let longest = (1..=60).take_while(|m| runoff(*m) <= 0.05).last();
        assert_eq!(longest, Some(theirs), "{case}");
        let mut event = Event::new(&model);
        for number in 0..4 {
            event.run(rate, theirs as f64 / 60.0);
            event.run(0.0, soak);
            let content = case["theta0_after_soak"][number].as_f64().unwrap();
            let carried = case["carry_mm"][number].as_f64().unwrap();
            assert_near(event.surface_water_content(), content, 4e-4);
            assert_near(event.standing_mm(), carried, 8e-3);
        }
    }
}
