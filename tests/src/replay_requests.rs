//! Random requests for the ask `replay`: small sites, crowded into a few hours so that every rule meets every other.
//! All are legal.

use chrono::{Duration, NaiveDateTime, Timelike};
use serde_json::{Map, Value, json};

use crate::choices::Choices;

/// Days near which calendars, weeks and clocks turn.
const DAYS: [&str; 8] = [
    "2026-06-01",
    "2026-03-29",
    "2026-10-25",
    "2026-12-31",
    "2027-01-31",
    "2028-02-29",
    "2028-02-28",
    "2026-11-30",
];
const WEEK: [&str; 7] = ["mon", "tue", "wed", "thu", "fri", "sat", "sun"];

/// One request. Some fields that have defaults are left out.
pub fn replay_request(choices: &mut Choices) -> Value {
    let from = from(choices);
    let hours = if choices.once_in(8) {
        choices.between(7, 54)
    } else {
        choices.between(1, 6)
    };
    let (most_stations, most_programs, most_steps) = if choices.once_in(16) {
        (12, 12, 8)
    } else {
        (5, 5, 4)
    };
    let supplies = choices.list(0, 2, |choices, place| {
        json!({ "id": format!("w{place}"),
            "capacity_l_per_min": choices.one_of(&[json!(30), json!(25.0), json!(null), json!(12.5)]) })
    });
    let stations = choices.list(1, most_stations, |choices, place| {
        station(choices, place, &supplies)
    });
    let programs = choices.list(1, most_programs, |choices, place| {
        program(choices, place, &stations, from, hours, most_steps)
    });
    let mut request = json!({ "ask": "replay", "from": written(from), "hours": hours,
        "stations": stations, "programs": programs });
    if choices.once_in(2) {
        request["gap_seconds"] = choices.one_of(&[0, 1, 5, 20, 60, 300, 3600]).into();
    }
    request["soak_style"] = choices.one_of(&["wait", "fill", "fill", "none"]).into();
    if !supplies.is_empty() {
        request["supplies"] = supplies.into();
    }
    if choices.once_in(2) {
        request["clock_changes"] = clock_changes(choices, from).into();
    }
    if choices.once_in(2) {
        request["closed"] = closed(choices, from);
    }
    if choices.once_in(2) {
        request["window"] = daily(choices, from);
    }
    request
}

fn from(choices: &mut Choices) -> NaiveDateTime {
    let day = choices.one_of(&DAYS);
    let midnight = format!("{day}T00:00:00")
        .parse::<NaiveDateTime>()
        .expect("a date");
    let minute = choices.one_of(&[0, 60, 120, 110, 1_320, 1_380, 1_437, 600]);
    let second = choices.one_of(&[0, 0, 0, 1, 30, 59]);
    midnight + Duration::minutes(minute) + Duration::seconds(second)
}

fn written(local: NaiveDateTime) -> String {
    let form = if local.second() == 0 {
        "%Y-%m-%dT%H:%M"
    } else {
        "%Y-%m-%dT%H:%M:%S"
    };
    local.format(form).to_string()
}

/// A clock time, mostly soon after `from`.
fn clock_time(choices: &mut Choices, from: NaiveDateTime) -> String {
    let later = match choices.below(4) {
        0 => 10 * choices.below(12),
        1 => choices.below(60),
        2 => choices.below(360),
        _ => choices.below(1_440),
    };
    (from + Duration::minutes(i64::from(later)))
        .format("%H:%M")
        .to_string()
}

fn station(choices: &mut Choices, place: u32, supplies: &[Value]) -> Value {
    let mut station = json!({ "id": place.to_string() });
    if choices.once_in(2) {
        station["longest_run_minutes"] = choices.between(1, 8).into();
    }
    if choices.once_in(2) {
        station["soak_minutes"] = choices.one_of(&[0, 1, 2, 5, 9, 14]).into();
    }
    if choices.below(3) > 0 {
        station["flow_l_per_min"] = choices.one_of(&[json!(10), json!(12.5), json!(15), json!(31)]);
    }
    if !supplies.is_empty() && choices.below(3) > 0 {
        station["supply"] = choices.one_of(supplies)["id"].clone();
    }
    station
}

fn program(
    choices: &mut Choices,
    place: u32,
    stations: &[Value],
    from: NaiveDateTime,
    hours: u32,
    most_steps: u32,
) -> Value {
    let most_starts = if hours > 12 { 3 } else { 8 };
    let mut program = json!({ "id": ((b'A' + place as u8) as char).to_string() });
    let least = u32::from(!choices.once_in(12));
    program["starts"] = choices
        .list(least, most_starts, |choices, _| clock_time(choices, from))
        .into();
    program["days"] = days(choices, from);
    if choices.below(3) > 0 {
        program["sharing"] = choices.one_of(&[true, false]).into();
    }
    if choices.once_in(2) {
        program["adjust_percent"] = choices.one_of(&[100, 37, 50, 149, 300, 1, 0]).into();
    }
    if choices.once_in(8) {
        program["on"] = choices.one_of(&[true, false]).into();
    }
    let least = u32::from(!choices.once_in(12));
    program["steps"] = choices
        .list(least, most_steps, |choices, _| step(choices, stations))
        .into();
    program
}

fn step(choices: &mut Choices, stations: &[Value]) -> Value {
    let mut together: Vec<&Value> = Vec::new();
    let wanted = if choices.once_in(4) {
        choices.between(1, 3)
    } else {
        1
    };
    for _ in 0..wanted {
        let id = &stations[choices.below(stations.len() as u32) as usize]["id"];
        if !together.contains(&id) {
            together.push(id);
        }
    }
    let seconds = match choices.below(8) {
        0 => 60 * choices.between(1, 10),
        1 => choices.below(4),
        2..5 => choices.below(300),
        5 | 6 => choices.below(900),
        _ => choices.below(2_400),
    };
    json!({ "stations": together, "seconds": seconds })
}

fn days(choices: &mut Choices, from: NaiveDateTime) -> Value {
    match choices.below(8) {
        0..3 => json!({ "weekdays": WEEK }),
        3 => json!({ "weekdays": choices.list(0, 4, |choices, _| choices.one_of(&WEEK)) }),
        4 => json!({ "odd": true, "skip_31": choices.one_of(&[false, true]) }),
        5 => json!({ "odd": true }),
        6 => json!({ "even": true }),
        _ => {
            let first = from + Duration::days(i64::from(choices.below(8)) - 5);
            json!({ "every": choices.between(1, 4), "from": first.date().to_string() })
        }
    }
}

fn clock_changes(choices: &mut Choices, from: NaiveDateTime) -> Vec<Value> {
    let mut at = from + Duration::minutes(i64::from(choices.below(420)) - 120);
    if choices.below(3) > 0 {
        at = at.with_second(0).expect("a second");
    }
    choices.list(1, 2, |choices, _| {
        let minutes = choices.one_of(&[60, -60, 30, -30, 1, -1, 180, -180, 47, -95]);
        let change = json!({ "at": written(at), "shift_minutes": minutes });
        at += Duration::minutes(1_440 + i64::from(choices.below(600)));
        change
    })
}

fn daily(choices: &mut Choices, from: NaiveDateTime) -> Value {
    let begin = clock_time(choices, from);
    let mut until = clock_time(choices, from);
    while until == begin {
        let later = (until.as_bytes()[4] - b'0' + 1) % 10;
        until.replace_range(4.., &later.to_string());
    }
    json!({ "from": begin, "until": until })
}

fn closed(choices: &mut Choices, from: NaiveDateTime) -> Value {
    let mut closed = Map::new();
    if choices.below(4) > 0 {
        closed.insert(
            "hours".into(),
            choices.list(0, 3, |choices, _| daily(choices, from)).into(),
        );
    }
    if choices.once_in(4) {
        closed.insert(
            "weekdays".into(),
            choices
                .list(0, 2, |choices, _| choices.one_of(&WEEK))
                .into(),
        );
    }
    if choices.once_in(4) {
        let date = |choices: &mut Choices| {
            (from + Duration::days(i64::from(choices.below(4)) - 1))
                .date()
                .to_string()
        };
        closed.insert(
            "dates".into(),
            choices.list(0, 2, |choices, _| date(choices)).into(),
        );
    }
    closed.into()
}
