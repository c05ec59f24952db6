//! What is said of a plan: sentences.

use serde_json::Value;

use super::{
    Dawn, Plan, Run, asked_of, clock, digits, end_of, full_share, id_of, kept, night_runs, whole,
};
use crate::document::json::items;
use crate::document::{Document, Site};
use crate::numbers;
use crate::text::{Text, fill};
use crate::units::{Kind, System};

/// A sentence, and whether it tells of something wrong.
pub type Line = (bool, String);

/// A station's name.
pub fn name(document: &Document, id: u32) -> String {
    kept(document, id).map_or_else(|| id.to_string(), |kept| kept.name.clone())
}

/// The names of some stations.
pub fn names(document: &Document, ids: &[u32]) -> String {
    let mut out = String::new();
    for id in ids {
        if !out.is_empty() {
            out.push_str(", ");
        }
        out.push_str(&name(document, *id));
    }
    out
}

/// A supply's name, or what stands for none.
pub fn supply_name(text: &Text, site: &Site, id: u32) -> String {
    let supply = site.supply(id);
    if supply.name.is_empty() {
        let place = site.supplies.iter().position(|other| other.id == id);
        let n = (place.unwrap_or(0) + 1).to_string();
        fill(text.night.supply_n, &[("n", &n)])
    } else {
        supply.name.clone()
    }
}

/// A share as a percentage.
pub fn percent(share: f64, decimals: usize, comma: bool) -> String {
    format!("{}\u{a0}%", numbers::write(100.0 * share, decimals, comma))
}

/// Water days in words.
pub fn days_words(text: &Text, days: &Value) -> String {
    let t = &text.night;
    if !days["odd"].is_null() {
        return t.days_odd.into();
    }
    if !days["even"].is_null() {
        return t.days_even.into();
    }
    if !days["every"].is_null() {
        let every = whole(&days["every"]);
        if every == 1 {
            return t.days_daily.into();
        }
        let first = days["from"].as_str().unwrap_or_default();
        return fill(t.days_every, &[("n", &every.to_string()), ("first", first)]);
    }
    let chosen = items(&days["weekdays"]);
    let names = super::WEEKDAYS.iter().zip(t.weekdays);
    let names = names.filter(|(word, _)| chosen.iter().any(|day| day.as_str() == Some(word)));
    let names: Vec<&str> = names.map(|(_, name)| name).collect();
    match names.len() {
        0 => t.days_none.into(),
        7 => t.days_daily.into(),
        _ => names.join(" "),
    }
}

/// Water for reading; from a thousand on in cubic metres or thousands of gallons.
pub fn water(litres: f64, units: System, comma: bool) -> String {
    let shown = Kind::Volume.outward(litres.abs(), units);
    if shown < 999.5 {
        return Kind::Volume.show_with_sign(litres, units, comma);
    }
    let sign = if units == System::Us { "kgal" } else { "m³" };
    format!(
        "{}\u{a0}{sign}",
        numbers::write_short(litres.signum() * shown / 1000.0, comma)
    )
}

/// Whole minutes of some seconds, rounded up.
fn minutes(seconds: u32) -> String {
    seconds.div_ceil(60).to_string()
}

/// What is said of one kind of night: its end against the best, dawn and window, and what limits it.
pub fn night(
    text: &Text,
    document: &Document,
    plan: &Plan,
    kind: usize,
    dawn: Dawn,
    comma: bool,
) -> Vec<Line> {
    let t = &text.night;
    let site = document.site();
    let night = &plan.answer["nights"][kind];
    let runs = night_runs(&plan.answer, kind);
    let end = end_of(&runs);
    let window = 60 * whole(&plan.answer["window_minutes"]);
    let opens = opens_minute(plan);
    let mut lines: Vec<Line> = Vec::new();
    match dawn {
        Dawn::At(minute) => {
            let ends = opens + end.div_ceil(60);
            let rises = opens + (minute + 1440 - opens % 1440) % 1440;
            lines.push((false, fill(t.sunrise, &[("time", &clock(minute))])));
            if ends > rises {
                let late = (ends - rises).to_string();
                lines.push((true, fill(t.after_sunrise, &[("minutes", &late)])));
            }
        }
        Dawn::None => lines.push((false, t.no_sunrise.into())),
        Dawn::Unknown => lines.push((false, t.sunrise_unknown.into())),
    }
    let bound = whole(&night["plan"]["bound_second"]);
    if end > window {
        let over = minutes(end - window);
        lines.push((true, fill(t.over, &[("minutes", &over)])));
        if bound > window {
            let short = minutes(bound - window);
            lines.push((true, fill(t.cannot, &[("minutes", &short)])));
        }
    }
    let mut fullest = (0.0, 0);
    for supply in items(&plan.request["supplies"]) {
        let id = id_of(&supply["id"]);
        let share = full_share(&plan.request, &runs, id);
        if share > fullest.0 {
            fullest = (share, id);
        }
    }
    if fullest.1 > 0 {
        let share = percent(fullest.0, 0, comma);
        let supply = supply_name(text, site, fullest.1);
        let values = [("supply", supply.as_str()), ("percent", &share)];
        lines.push((false, fill(t.full, &values)));
    }
    let free = whole(&night["plan"]["finish_second"]);
    if free > 0 && end > free + free / 10 {
        let later = minutes(end - free);
        lines.push((false, fill(t.panel_costs, &[("minutes", &later)])));
    }
    if bound > 0 {
        if end <= bound {
            lines.push((false, t.best.into()));
        } else {
            let share = f64::from(end) / f64::from(bound) - 1.0;
            let share = percent(share, 1, comma);
            lines.push((false, fill(t.near, &[("percent", &share)])));
        }
    }
    lines
}

/// What would help most.
pub fn help(
    text: &Text,
    document: &Document,
    help: &Value,
    units: System,
    comma: bool,
) -> Vec<Line> {
    let t = &text.night;
    let mut lines: Vec<Line> = Vec::new();
    for suggestion in items(&help["suggestions"]).iter().take(2) {
        let gained = suggestion["gained_seconds"].as_f64().unwrap_or(0.0);
        let change = match suggestion["change"].as_str().unwrap_or_default() {
            "more_flow" => t.help_flow,
            "more_valves" => t.help_valves,
            "shorter_soaks" => t.help_soaks,
            "more_days" => t.help_days,
            _ => continue,
        };
        let flow = suggestion["more_l_per_min"].as_f64().unwrap_or(0.0);
        let change = fill(
            change,
            &[
                (
                    "supply",
                    &supply_name(text, document.site(), id_of(&suggestion["supply"])),
                ),
                ("flow", &Kind::Flow.show_with_sign(flow, units, comma)),
                ("percent", &digits(whole(&suggestion["soak_percent"]))),
            ],
        );
        let served = whole(&suggestion["more_served"]);
        let sentence = if served > 0 {
            t.help_serves
        } else if gained >= 60.0 {
            t.help_gains
        } else {
            continue;
        };
        let values = [
            ("change", change.as_str()),
            ("minutes", &digits(gained.max(0.0) as u32 / 60)),
            ("n", &digits(served)),
        ];
        lines.push((false, fill(sentence, &values)));
    }
    lines
}

/// What is said of the whole plan: who is left out, and why.
pub fn left_out(text: &Text, document: &Document, answer: &Value) -> Vec<Line> {
    let t = &text.night;
    let mut lines: Vec<Line> = Vec::new();
    let mut told: Vec<u32> = Vec::new();
    for left in items(&answer["unkeyed"]) {
        let id = id_of(&left["station"]);
        if told.contains(&id) {
            continue;
        }
        told.push(id);
        let why = match left["reason"].as_str().unwrap_or_default() {
            "above_capacity" => t.why_above_capacity,
            "own_window_too_short" => t.why_window,
            "below_least_flow" => t.why_least_flow,
            "no_program" => t.why_no_program,
            "no_start" => t.why_no_start,
            _ => t.why_no_place,
        };
        lines.push((true, fill(why, &[("name", &name(document, id))])));
    }
    let seldom = items(&answer["too_seldom"]);
    if !seldom.is_empty() {
        let names = names(document, &seldom.iter().map(id_of).collect::<Vec<u32>>());
        lines.push((true, fill(t.too_seldom, &[("names", &names)])));
    }
    if answer["over_most"].as_bool() == Some(true) {
        lines.push((true, t.over_most.into()));
    }
    let clipped = match answer["clipped"].as_str() {
        Some("before_midnight") => Some(t.clipped_end),
        Some(_) => Some(t.clipped_start),
        None => None,
    };
    if let Some(words) = clipped {
        lines.push((false, words.into()));
    }
    lines
}

/// The minute of the day at which the window opens.
pub fn opens_minute(plan: &Plan) -> u32 {
    let start = plan.answer["window_start"].as_str();
    super::clock_minute(start.unwrap_or_default()).unwrap_or(0)
}

/// Why a run is as it is: which of how many, its limits, and what stood open with it.
pub fn reason(text: &Text, document: &Document, plan: &Plan, runs: &[Run], at: usize) -> String {
    let t = &text.night;
    let Some(run) = runs.get(at) else {
        return String::new();
    };
    let opens = opens_minute(plan);
    let asked = asked_of(&plan.request["stations"], run.station);
    let (mut all, mut before, mut last) = (0, 0, 0);
    let mut beside = Vec::new();
    for other in runs {
        if other.station == run.station {
            all += 1;
            if other.start < run.start {
                before += 1;
                last = last.max(other.end());
            }
        } else if other.start <= run.start && run.start < other.end() {
            beside.push(other.station);
        }
    }
    let mut said = fill(
        t.reason_run,
        &[
            ("name", &name(document, run.station)),
            ("n", &digits(before + 1)),
            ("of", &digits(all)),
            ("from", &clock(opens + run.start / 60)),
            ("to", &clock(opens + run.end() / 60)),
            ("minutes", &minutes(run.seconds)),
        ],
    );
    let most = &asked["longest_run_minutes"];
    if !most.is_null() {
        said.push(' ');
        said.push_str(&fill(t.reason_most, &[("most", &digits(whole(most)))]));
    }
    if before > 0 {
        let soaked = digits(run.start.saturating_sub(last) / 60);
        let least = digits(whole(&asked["soak_minutes"]));
        said.push(' ');
        said.push_str(&fill(t.reason_soak, &[("n", &soaked), ("least", &least)]));
    }
    if !beside.is_empty() {
        said.push(' ');
        said.push_str(&fill(
            t.reason_beside,
            &[("names", &names(document, &beside))],
        ));
    }
    said
}
