//! The split of a day's water, against its definition carried out without a short cut, and what
//! holds for any ground.

use drycurb_core::ground::event::{Event, Model, Start};
use drycurb_core::ground::split::{ACCEPTED_LOSS, evaluate, split, split_on};
use drycurb_core::ground::{Condition, Ground, Split, Texture, cycle, limits};
use drycurb_core::quantity::{Depth, PrecipitationRate, Slope};
use proptest::prelude::*;

/// The definition, in so many words: every number of equal whole-minute runs of 2 min or more, its
/// shortest soak in steps of 5 min that keeps the loss within 2 %; the soonest over, then the
/// fewest runs. Where none qualifies, the least loss.
fn by_definition(
    ground: &Ground,
    rate: PrecipitationRate,
    day_minutes: f64,
    longest: u32,
) -> (Split, bool) {
    let mut best: Option<Split> = None;
    let mut least: Option<Split> = None;
    let most_runs = ((day_minutes / 2.0).ceil() as u32).max(1);
    for runs in 1..=most_runs {
        let run_minutes = ((day_minutes / f64::from(runs) - 1e-9).ceil() as u32).max(2);
        if longest < 2 && (runs < most_runs || run_minutes != 2) {
            continue;
        }
        if longest >= 2 && run_minutes > longest {
            continue;
        }
        let soaks = if runs == 1 { 0..=0 } else { 0..=36 };
        let splits: Vec<Split> = soaks
            .map(|step| evaluate(ground, rate, runs, run_minutes, 5 * step))
            .collect();
        let will_do = splits.iter().find(|s| s.runoff_share <= ACCEPTED_LOSS);
        if let Some(split) = will_do
            && longest >= 2
            && best.is_none_or(|b| split.elapsed_minutes() < b.elapsed_minutes())
        {
            best = Some(*split);
        }
        for split in splits {
            let key = |s: &Split| (s.runoff_share, s.elapsed_minutes());
            if least.is_none_or(|l| key(&split) < key(&l)) {
                least = Some(split);
            }
        }
    }
    match best {
        Some(best) => (best, true),
        None => (least.unwrap(), false),
    }
}

fn any_ground() -> impl Strategy<Value = Ground> {
    (0..12_usize, 0..3_usize, 0.0..40.0_f64).prop_map(|(soil, condition, slope)| {
        Ground::of_class(
            Texture::ALL[soil],
            Slope::percent(slope),
            Condition::ALL[condition],
        )
    })
}

/// The drainage is stepped finely enough: with steps halved, and with an eighth of them, every plan
/// on the grounds and rates of tests/data/ground/recommended_cycle_model.json keeps its whole
/// minutes, and its loss within a thousandth of the water.
#[test]
fn finer_steps_change_no_whole_minute() {
    let mut planned = 0;
    for soil in Texture::ALL {
        for condition in Condition::ALL {
            for (slope, rate) in [
                (1.0, 12.0),
                (8.0, 12.0),
                (1.0, 38.0),
                (8.0, 38.0),
                (1.0, 55.0),
            ] {
                let ground = Ground::of_class(soil, Slope::percent(slope), condition);
                let of = PrecipitationRate::mm_per_h(rate);
                let longest = limits(&ground, of).longest_run_minutes;
                let model = Model::new(&ground, Start::Wet);
                let plan = |parts| {
                    let finer = model.clone().with_finer_drainage(parts);
                    let (split, accepted) = split_on(&finer, of, 60.0 * 12.0 / rate, longest);
                    let minutes = (split.runs, split.run_minutes, split.soak_minutes, accepted);
                    (minutes, split.runoff_share)
                };
                let (minutes, share) = plan(1);
                for (finer_minutes, finer_share) in [plan(2), plan(8)] {
                    assert_eq!(
                        minutes, finer_minutes,
                        "{soil:?} {condition:?} {slope} % {rate}"
                    );
                    assert!((share - finer_share).abs() < 1e-3, "{share} {finer_share}");
                }
                planned += u32::from(minutes.0 > 1);
            }
        }
    }
    assert!(planned > 80, "{planned} plans of more than one run");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    /// The search leaves out what cannot be better; it finds what the definition finds.
    #[test]
    fn the_search_keeps_to_the_definition(
        ground in any_ground(),
        rate in 3.0..120.0_f64,
        day_mm in 0.5..16.0_f64,
        longest in 0..60_u32,
    ) {
        let day_minutes = 60.0 * day_mm / rate;
        let rate = PrecipitationRate::mm_per_h(rate);
        let found = split(&ground, rate, day_minutes, Some(longest));
        prop_assert_eq!(found, by_definition(&ground, rate, day_minutes, longest));
    }

    /// A planned day replayed loses what was promised, and no more than accepted unless it says so.
    #[test]
    fn a_plan_loses_no_more_than_promised(
        ground in any_ground(),
        rate in 1.0..200.0_f64,
        day_mm in 0.0..30.0_f64,
    ) {
        let rate_of = PrecipitationRate::mm_per_h(rate);
        let plan = cycle(&ground, rate_of, Depth::mm(day_mm));
        let split = plan.split;
        prop_assert_eq!(plan.too_fast, split.runoff_share > ACCEPTED_LOSS
            || plan.limits.longest_run_minutes.is_some_and(|longest| longest < 2) && day_mm > 0.0);
        let watered = f64::from(split.runs * split.run_minutes);
        prop_assert!(watered >= 60.0 * day_mm / rate - 1e-6, "all of the day's water is planned");
        if !plan.too_fast && split.runs > 0 {
            prop_assert!(split.run_minutes >= 2);
            if let Some(longest) = plan.limits.longest_run_minutes {
                prop_assert!(split.run_minutes <= longest);
            }
        }
        let model = Model::new(&ground, Start::Wet);
        let mut event = Event::new(&model);
        for number in 0..split.runs {
            if number > 0 {
                event.run(0.0, f64::from(split.soak_minutes) / 60.0);
            }
            event.run(rate, f64::from(split.run_minutes) / 60.0);
        }
        let applied = watered * rate / 60.0;
        prop_assert!((event.runoff_mm() - split.runoff_share * applied).abs() < 1e-9);
        let kept = event.infiltrated_mm() + event.standing_mm() + event.runoff_mm();
        prop_assert!((kept - applied).abs() < 1e-9);
    }

    /// No run of equal ones loses less than the one before it: the search relies on it.
    #[test]
    fn losses_never_fall_from_run_to_run(
        ground in any_ground(),
        rate in 1.0..200.0_f64,
        run_minutes in 1..60_u32,
        soak_minutes in 0..180_u32,
    ) {
        let model = Model::new(&ground, Start::Wet);
        let mut event = Event::new(&model);
        let mut last_loss = 0.0;
        for _ in 0..12 {
            let before = event.runoff_mm();
            event.run(rate, f64::from(run_minutes) / 60.0);
            let loss = event.runoff_mm() - before;
            prop_assert!(loss >= last_loss - 1e-9, "{} after {}", loss, last_loss);
            last_loss = loss;
            event.run(0.0, f64::from(soak_minutes) / 60.0);
        }
    }
}
