//! Prints how far above the best known finish the night plans end, after 20 ms, 100 ms and 1 s of search.
//!
//! `cargo run --release -p drycurb-core --example night_bench -- INSTANCES.jsonl BEST_KNOWN.json [milliseconds…]`
//!
//! The planner itself counts work and knows no clock; the time is taken here, between slices of work. With `UNITS=1` in
//! the environment a millisecond is 100 000 units of work instead, whatever the machine does meanwhile.

use std::collections::BTreeMap;
use std::time::Duration;

use drycurb_core::lines::read_night;
use drycurb_core::night::Planner;
use serde_json::Value;

/// Time this process has had on a processor (Linux): other work on the machine does not count.
fn busy() -> Duration {
    let text = std::fs::read_to_string("/proc/self/schedstat").unwrap_or_default();
    let nanos = text.split(' ').next().and_then(|first| first.parse().ok());
    Duration::from_nanos(nanos.unwrap_or_default())
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let [instances, best, rest @ ..] = arguments.as_slice() else {
        return Err("wanted: INSTANCES.jsonl BEST_KNOWN.json [milliseconds…]".into());
    };
    let best: Value = serde_json::from_str(&std::fs::read_to_string(best)?)?;
    let only = std::env::var("ONLY").unwrap_or_default();
    let seed = std::env::var("SEED").map_or(Ok(1), |seed| seed.parse::<u64>())?;
    let units = std::env::var("UNITS").is_ok();
    let mut marks: Vec<u64> = rest
        .iter()
        .map(|mark| mark.parse())
        .collect::<Result<_, _>>()?;
    if marks.is_empty() {
        marks = vec![20, 100, 1000];
    }
    let mut gaps: BTreeMap<String, Vec<Vec<f64>>> = BTreeMap::new();
    for line in std::fs::read_to_string(instances)?.lines() {
        let request: Value = serde_json::from_str(line)?;
        let name = request["id"].as_str().unwrap_or_default();
        if !name.starts_with(only.as_str()) {
            continue;
        }
        let known = best[name]["best_seconds"].as_f64().unwrap_or(f64::NAN);
        let pumped = best[name]["least_flow_rule"] == true;
        let site = read_night(&request).map_err(|faults| format!("{name}: {faults:?}"))?;
        let begin = busy();
        let mut planner = Planner::new(&site, seed);
        let first = busy() - begin;
        let mut row = Vec::new();
        let mut text = format!("{name}: known {known}");
        for mark in &marks {
            let until = Duration::from_millis(*mark);
            let mut progress = planner.step(0);
            if units {
                planner.step_to(mark * 100_000);
            }
            while !units && (busy() - begin) < until && !progress.done {
                progress = planner.step(20_000);
            }
            let plan = planner.best();
            let gap = 100.0 * (f64::from(plan.finish_second) / known - 1.0);
            text += &format!("  {mark} ms {} {gap:+.2} %", plan.finish_second);
            if !plan.unserved.is_empty() {
                text += &format!(" UNSERVED {}", plan.unserved.len());
            }
            row.push(gap);
        }
        let work = planner.step(0).work;
        let bound = planner.bound_second();
        println!("{text}  (first {first:?}, work {work}, bound {bound})");
        let family = if pumped { "pump" } else { &name[..1] };
        gaps.entry(family.into()).or_default().push(row);
    }
    for (family, rows) in gaps {
        print!("{family}:");
        for (at, mark) in marks.iter().enumerate() {
            let column: Vec<f64> = rows.iter().map(|row| row[at]).collect();
            let mean = column.iter().sum::<f64>() / column.len() as f64;
            let worst = column.iter().copied().fold(f64::NEG_INFINITY, f64::max);
            print!("  {mark} ms mean {mean:.2} % worst {worst:.2} %");
        }
        println!();
    }
    Ok(())
}
