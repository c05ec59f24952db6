//! Invented sites for the night: small ones that can be searched through, larger ones, and sites made around a plan
//! that is known beforehand.

use serde_json::{Value, json};

use crate::choices::Choices;

/// A run of a plan: begin and end in seconds, supply, group, flow in tenths of l/min.
type Span = (i64, i64, usize, usize, i64);

/// Up to six stations of at most three runs, all rules but the pump minimum.
pub fn small(choices: &mut Choices) -> Value {
    let supplies = choices.between(1, 2);
    let capacity = choices.between(20, 60);
    let groups = choices.between(0, 2);
    let stations = choices.list(1, 6, |choices, place| {
        let longest = choices.between(1, 12);
        let run = choices.between(1, 3 * longest);
        let from = if choices.once_in(5) {
            choices.between(1, 30)
        } else {
            0
        };
        let chain = |soak: u32| from + run + 2 * soak;
        let soak = choices.between(0, 15);
        let until = choices
            .once_in(6)
            .then(|| chain(soak) + choices.between(0, 60));
        let group = choices.below(groups + 1).checked_sub(1);
        json!({
            "id": format!("s{place}"),
            "supply": choices.below(supplies).to_string(),
            "group": group.map(|group| group.to_string()),
            "run_minutes": run,
            "longest_run_minutes": longest,
            "soak_minutes": soak,
            "flow_l_per_min": choices.between(1, capacity),
            "from_minute": from,
            "until_minute": until,
        })
    });
    let count = stations.len() as u32;
    let apart = choices.list(0, 2, |choices, _| {
        let one = choices.below(count);
        let other = (one + 1 + choices.below(count.max(2) - 1)) % count.max(2);
        json!([format!("s{one}"), format!("s{other}")])
    });
    let apart: Vec<Value> = if count > 1 { apart } else { Vec::new() };
    let open = choices.once_in(2).then(|| choices.between(1, 3));
    let lanes = |place: u32, choices: &mut Choices| {
        json!({ "id": place.to_string(), "open_at_once": choices.between(1, 2),
            "gap_seconds": choices.one_of(&[0, 0, 20, 60]) })
    };
    json!({
        "ask": "night",
        "window_start": "22:00",
        "window_minutes": 480,
        "supplies": (0..supplies)
            .map(|place| json!({ "id": place.to_string(), "capacity_l_per_min": capacity }))
            .collect::<Vec<Value>>(),
        "open_at_once": open,
        "groups": (0..groups).map(|place| lanes(place, choices)).collect::<Vec<Value>>(),
        "apart": apart,
        "stations": stations,
    })
}

/// A commercial site of so many stations on one or two supplies, every rule but windows of the stations' own.
pub fn commercial(choices: &mut Choices, stations: u32) -> Value {
    let supplies = choices.between(1, 2);
    let list: Vec<Value> = (0..stations)
        .map(|place| {
            let longest = choices.between(4, 20);
            json!({
                "id": format!("s{place}"),
                "supply": choices.below(supplies).to_string(),
                "group": choices.below(2).to_string(),
                "run_minutes": choices.between(8, 50),
                "longest_run_minutes": longest,
                "soak_minutes": 5 * choices.between(2, 10),
                "flow_l_per_min": choices.between(15, 90),
                "from_minute": 0,
                "until_minute": null,
            })
        })
        .collect();
    let apart: Vec<Value> = (0..stations / 8)
        .map(|place| json!([format!("s{}", 2 * place), format!("s{}", 2 * place + 1)]))
        .collect();
    json!({
        "ask": "night",
        "window_start": "21:00",
        "window_minutes": 540,
        "supplies": (0..supplies)
            .map(|place| json!({ "id": place.to_string(), "capacity_l_per_min": choices.between(120, 200) }))
            .collect::<Vec<Value>>(),
        "open_at_once": choices.between(3, 6),
        "groups": (0..2)
            .map(|place| json!({ "id": place.to_string(), "open_at_once": choices.between(2, 4),
                "gap_seconds": 0 }))
            .collect::<Vec<Value>>(),
        "apart": apart,
        "stations": list,
    })
}

/// A site made around a plan: its limits are what that plan needs, so no bound may be above its finish. Gives the
/// site and the finish, seconds.
pub fn planted(choices: &mut Choices) -> (Value, i64) {
    let supplies = choices.between(1, 3) as usize;
    let groups = choices.between(0, 2) as usize;
    let gap = i64::from(choices.one_of(&[0, 0, 20, 60, 90]));
    // Dense where stations follow each other without a pause.
    let dense = choices.once_in(2);
    let mut spans: Vec<Span> = Vec::new();
    let mut free_at = [0; 4];
    let stations = choices.list(1, 14, |choices, place| {
        let longest = choices.between(1, 30);
        let run = choices.between(1, 3 * longest);
        let count = run.div_ceil(longest);
        let flow = i64::from(choices.between(0, 50));
        let supply = choices.below(supplies as u32) as usize;
        let group = choices.below(groups as u32 + 1) as usize;
        let lane = choices.below(4) as usize;
        let mut now = if dense {
            free_at[lane]
        } else {
            i64::from(choices.below(60))
        };
        let first = now;
        let mut soak = i64::MAX;
        for turn in 0..count {
            let length = i64::from(run / count + u32::from(turn < run % count));
            spans.push((now * 60, (now + length) * 60, supply, group, flow));
            now += length;
            free_at[lane] = free_at[lane].max(now);
            if turn + 1 < count {
                let pause = i64::from(choices.below(30));
                soak = soak.min(pause);
                now += pause;
            }
        }
        let own = choices.once_in(4);
        json!({
            "id": format!("s{place}"),
            "supply": supply.to_string(),
            "group": group.checked_sub(1).map(|group| group.to_string()),
            "run_minutes": run,
            "longest_run_minutes": longest,
            "soak_minutes": if soak < 1440 { soak } else { 0 },
            "flow_l_per_min": flow as f64 / 10.0,
            "from_minute": if own { first } else { 0 },
            "until_minute": own.then_some(now),
        })
    });
    let most = |inside: &dyn Fn(&Span) -> bool, held: i64, weight: bool| {
        let at = |second: i64| -> i64 {
            spans
                .iter()
                .filter(|span| inside(span) && span.0 <= second && second < span.1 + held)
                .map(|span| if weight { span.4 } else { 1 })
                .sum()
        };
        spans.iter().map(|span| at(span.0)).max().unwrap_or(0)
    };
    let site = json!({
        "ask": "night",
        "window_start": "22:00",
        "window_minutes": 480,
        "supplies": (0..supplies)
            .map(|supply| json!({ "id": supply.to_string(),
                "capacity_l_per_min": most(&|span| span.2 == supply, 0, true) as f64 / 10.0 }))
            .collect::<Vec<Value>>(),
        "open_at_once": choices.once_in(2).then(|| most(&|_| true, 0, false)),
        "groups": (1..=groups)
            .map(|group| json!({ "id": (group - 1).to_string(), "gap_seconds": gap,
                "open_at_once": most(&|span| span.3 == group, gap, false).max(1) }))
            .collect::<Vec<Value>>(),
        "stations": stations,
    });
    let finish = spans.iter().map(|span| span.1).max().unwrap_or(0);
    (site, finish)
}
