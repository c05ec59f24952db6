//! The programs to key for a plan: tables in the order in which a panel takes them.

use crate::signals::*;
use serde_json::{Value, json};

use super::{State, name};
use crate::dom::{El, el};
use crate::night::{EFFORT, Plan, Wanted, clock};
use crate::platform;
use crate::session::Session;
use crate::text::fill;

/// Asks for the programs of a plan; they are shown when they come.
pub fn ask(state: RwSignal<State>, plan: &Plan) {
    let mut request = plan.request.clone();
    request["ask"] = json!("program");
    request["effort"] = json!(EFFORT);
    request["free_effort"] = json!(EFFORT / 4);
    let plan = plan.clone();
    let heard = move |answer: Value| {
        // Another plan may have been asked for meanwhile.
        let still = |state: &State| matches!(state, State::Planned(now, _) if **now == plan);
        if state.with_untracked(still) {
            state.set(State::Planned(Box::new(plan), Some(answer)));
        }
    };
    platform::ask_worker(&request, Box::new(heard));
}

/// The programs, each with its start times and steps.
pub fn programs(session: Session, answer: &Value, wanted: &Wanted) -> El {
    let text = session.text();
    let panel = el("section")
        .class("programs")
        .with(el("h3").text(text.key_this));
    let Some(programs) = answer["ok"]["programs"].as_array() else {
        return panel.with(el("p").class("note wrong").text(text.night_failed));
    };
    let ok = &answer["ok"];
    // Replayed against the rules of the night before it is shown; a breach is our mistake.
    let broken = ok["broken"].as_array().map_or(&[][..], Vec::as_slice);
    if !broken.is_empty() {
        let rules: Vec<&str> = broken
            .iter()
            .filter_map(|breach| breach["rule"].as_str())
            .collect();
        let alarm = el("p").class("note wrong").text(text.night_failed);
        return panel
            .with(alarm)
            .with(el("p").attr("lang", "en").text(&rules.join(", ")));
    }
    let named = |id: &Value| match id.as_str().and_then(|id| id.parse().ok()) {
        Some(id) => name(session, id),
        None => String::new(),
    };
    let number = |value: &Value| value.as_f64().map(|n| format!("{n:.0}"));
    let finish = ok["finish_second"]
        .as_f64()
        .map_or(0, |second| second as u32);
    let time = clock(wanted.opens_second, finish);
    let entries = number(&ok["entries"]).unwrap_or_default();
    let mut lines = vec![fill(text.key_entries, &[("n", &entries), ("time", &time)])];
    if let Some(percent) = number(&ok["holds_to_percent"]) {
        lines.push(fill(text.holds_to, &[("percent", &percent)]));
    }
    let unkeyed = ok["unkeyed"].as_array().map_or(&[][..], Vec::as_slice);
    if !unkeyed.is_empty() {
        let names: Vec<String> = unkeyed
            .iter()
            .map(|entry| named(&entry["station"]))
            .collect();
        lines.push(fill(text.not_keyable, &[("names", &names.join(", "))]));
    }
    let tables = programs.iter().enumerate().map(|(place, program)| {
        let steps = program["steps"].as_array().map_or(&[][..], Vec::as_slice);
        let rows = steps.iter().enumerate().map(|(step, entry)| {
            let stations = entry["stations"].as_array().map_or(&[][..], Vec::as_slice);
            let names: Vec<String> = stations.iter().map(&named).collect();
            let minutes = entry["seconds"]
                .as_f64()
                .map_or(0.0, |seconds| seconds / 60.0);
            el("tr")
                .with(el("td").text(&(step + 1).to_string()))
                .with(el("td").text(&names.join(" + ")))
                .with(el("td").text(&format!("{minutes:.0}")))
        });
        let starts = program["starts"].as_array().map_or(&[][..], Vec::as_slice);
        let starts: Vec<&str> = starts.iter().filter_map(Value::as_str).collect();
        let title = fill(text.program_of, &[("n", &(place + 1).to_string())]);
        let starts = fill(text.start_times, &[("times", &starts.join(" · "))]);
        let head = [text.step, text.station, text.minutes_each];
        let head = head.map(|word| el("th").attr("scope", "col").text(word));
        el("table")
            .class("figures")
            .with(el("caption").text(&format!("{title} — {starts}")))
            .with(el("thead").with(el("tr").with_all(head)))
            .with(el("tbody").with_all(rows))
    });
    panel.with(el("p").text(&lines.join(" "))).with_all(tables)
}
