//! The rules of a night's plan, read from the request and the answer alone: nothing of the core's planner or of its
//! own check is used.

use std::collections::BTreeMap;

use serde_json::Value;

/// Binary fractions may carry a flow this far past a limit, l/min.
const SLACK: f64 = 1e-6;

type Spans = Vec<(i64, i64)>;

/// Every rule that an answer of `night` breaks, as sentences; empty when it keeps all of them.
///
/// What is listed as unserved must have no runs and is no breach here.
pub fn broken_rules(request: &Value, answer: &Value) -> Vec<String> {
    let mut broken = Vec::new();
    let stations: BTreeMap<&str, &Value> = list(&request["stations"])
        .iter()
        .map(|station| (text(&station["id"]), station))
        .collect();
    let mut runs: BTreeMap<&str, Spans> = BTreeMap::new();
    for run in list(&answer["runs"]) {
        let (name, start, seconds) = (text(&run["station"]), &run["start_second"], &run["seconds"]);
        match (
            stations.contains_key(name),
            start.as_i64(),
            seconds.as_i64(),
        ) {
            (true, Some(start @ 0..), Some(seconds @ 1..)) => {
                runs.entry(name).or_default().push((start, start + seconds));
            }
            _ => broken.push(format!("bad run {run}")),
        }
    }
    runs.values_mut().for_each(|spans| spans.sort_unstable());
    let none = Spans::new();
    let own = |name: &str| runs.get(name).unwrap_or(&none);
    for (name, station) in &stations {
        let unserved = list(&answer["unserved"])
            .iter()
            .any(|entry| entry["station"] == **name);
        check_station(name, station, own(name), unserved, &mut broken);
    }

    let whole = |what: &Value| what.as_i64().unwrap_or_default();
    for supply in list(&request["supplies"]) {
        let mut spans = Vec::new();
        for (name, own) in &runs {
            if stations[name]["supply"] == supply["id"] {
                let flow = stations[name]["flow_l_per_min"]
                    .as_f64()
                    .unwrap_or_default();
                spans.extend(own.iter().map(|(begin, end)| (*begin, *end, flow)));
            }
        }
        let most = supply["capacity_l_per_min"]
            .as_f64()
            .unwrap_or(f64::INFINITY);
        let least = supply["least_l_per_min"].as_f64().unwrap_or_default();
        for (second, flow) in levels(&spans) {
            if flow > most + SLACK || (flow > SLACK && flow < least - SLACK) {
                broken.push(format!(
                    "supply {} carries {flow} at {second}",
                    supply["id"]
                ));
            }
        }
    }
    let ones = |spans: &Spans, gap: i64| -> Vec<(i64, i64, f64)> {
        spans
            .iter()
            .map(|(begin, end)| (*begin, *end + gap, 1.0))
            .collect()
    };
    if let Some(most) = request["open_at_once"].as_f64() {
        let all: Vec<_> = runs.values().flat_map(|spans| ones(spans, 0)).collect();
        for (second, open) in levels(&all) {
            if open > most + SLACK {
                broken.push(format!("{open} valves open at {second}"));
            }
        }
    }
    for group in list(&request["groups"]) {
        let Some(most) = group["open_at_once"].as_f64() else {
            continue;
        };
        let mut held = Vec::new();
        for (name, own) in &runs {
            if stations[name]["group"] == group["id"] {
                held.extend(ones(own, whole(&group["gap_seconds"])));
            }
        }
        for (second, lanes) in levels(&held) {
            if lanes > most + SLACK {
                broken.push(format!(
                    "{lanes} lanes of group {} at {second}",
                    group["id"]
                ));
            }
        }
    }
    for pair in list(&request["apart"]) {
        let (one, other) = (own(text(&pair[0])), own(text(&pair[1])));
        if one
            .iter()
            .any(|a| other.iter().any(|b| a.0 < b.1 && b.0 < a.1))
        {
            broken.push(format!("{pair} open together"));
        }
    }
    let finish = runs
        .values()
        .flatten()
        .map(|span| span.1)
        .max()
        .unwrap_or(0);
    if answer["finish_second"] != finish {
        broken.push(format!(
            "says {}, ends at {finish}",
            answer["finish_second"]
        ));
    }
    match answer["bound_second"].as_i64() {
        Some(bound) if bound <= finish => {}
        _ => broken.push(format!(
            "bound {} past its own finish {finish}",
            answer["bound_second"]
        )),
    }
    broken
}

fn check_station(
    name: &str,
    station: &Value,
    own: &Spans,
    unserved: bool,
    broken: &mut Vec<String>,
) {
    let minutes = |field: &str| station[field].as_i64();
    let total = minutes("run_minutes").unwrap_or_default();
    let longest = minutes("longest_run_minutes").unwrap_or(total);
    let count = (total + longest - 1) / longest;
    let wanted: Vec<i64> = (0..count)
        .map(|run| 60 * (total / count + i64::from(run < total % count)))
        .collect();
    let lengths: Vec<i64> = own.iter().map(|(begin, end)| end - begin).collect();
    let right = if unserved {
        lengths.is_empty()
    } else {
        lengths == wanted
    };
    if !right {
        broken.push(format!("station {name} runs {lengths:?}, not {wanted:?}"));
    }
    let soak = 60 * minutes("soak_minutes").unwrap_or(0);
    if own.windows(2).any(|pair| pair[1].0 < pair[0].1 + soak) {
        broken.push(format!("station {name} does not soak"));
    }
    let from = 60 * minutes("from_minute").unwrap_or(0);
    let until = minutes("until_minute").map_or(i64::MAX, |minute| 60 * minute);
    if own.iter().any(|(begin, end)| *begin < from || *end > until) {
        broken.push(format!("station {name} outside its own window"));
    }
}

/// The sum of the weights over time: each second at which it changes and the new sum.
fn levels(spans: &[(i64, i64, f64)]) -> Vec<(i64, f64)> {
    let mut change: BTreeMap<i64, f64> = BTreeMap::new();
    for (begin, end, weight) in spans {
        *change.entry(*begin).or_default() += weight;
        *change.entry(*end).or_default() -= weight;
    }
    let mut level = 0.0;
    change
        .into_iter()
        .map(|(second, change)| {
            level += change;
            (second, level)
        })
        .collect()
}

fn list(value: &Value) -> &[Value] {
    value.as_array().map_or(&[], Vec::as_slice)
}

fn text(value: &Value) -> &str {
    value.as_str().unwrap_or_default()
}
