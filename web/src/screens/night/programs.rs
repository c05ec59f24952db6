//! The programs to key, entry by entry, and their replay on chosen dates.

use drycurb_core::calendar::Date;
use serde_json::Value;

use super::{answer_head, ask_keys, put_lines, today};
use crate::document::Document;
use crate::document::json::items;
use crate::night::now::{letter, replay_findings};
use crate::night::replayed::change_unseen;
use crate::night::said::{days_words, planned_number, time, time_of};
use crate::night::{
    Asked, State, WEEKDAYS, clock_minute, days_entry, entries, id_of, looked_from, replayed,
    start_entry, step_entry, whole,
};
use crate::sheet::Sheet;
use crate::text::{Text, fill, fill_with};

/// A kind of night: its weekdays and how many stations it waters, or its first date and how often it
/// comes.
pub fn kind_word(text: &Text, answer: &Value, night: &Value) -> String {
    let of = |sort: usize| {
        let mut sorts = items(&night["sorts"]).iter();
        sorts.any(|of| whole(of) as usize == sort)
    };
    let sorts = items(&answer["sorts"]);
    let mut days = Vec::new();
    for (day, word) in WEEKDAYS.iter().zip(text.night.weekdays) {
        let mut all = sorts.iter().enumerate();
        let waters = |sort: &Value| {
            let mut days = items(&sort["days"]["weekdays"]).iter();
            days.any(|of| of.as_str() == Some(day))
        };
        if all.all(|(at, sort)| waters(sort) == of(at)) {
            days.push(word);
        }
    }
    if !days.is_empty() {
        let stations = sorts.iter().enumerate().filter(|(at, _)| of(*at));
        let n = stations.map(|(_, sort)| items(&sort["stations"]).len());
        let n = n.sum::<usize>().to_string();
        let values = [("days", days.join(" ")), ("n", n)];
        return fill_with(text.night.kind_days, &values);
    }
    let first = night["first"].as_str().unwrap_or_default();
    let day = Date::parse(first).map_or("", |date| text.night.weekdays[date.weekday() as usize]);
    let n = whole(&night["of_28"]).to_string();
    fill(text.night.kind, &[("day", day), ("date", first), ("n", &n)])
}

/// The tables in keying order.
pub fn programs(sheet: &mut Sheet, d: &Document, state: &State, old: bool) {
    let t = &sheet.text.night;
    let planned = &d.site().planned;
    let answer = &planned.answer;
    if items(&answer["programs"]).is_empty() {
        return;
    }
    sheet.put("<section class=\"programs\"><h3>{}</h3>", &[t.key_this]);
    if old {
        sheet.put("<p class=\"alarm\">{}</p>", &[t.changed]);
    }
    // Replayed against every rule before it is shown; a breach is our mistake.
    let broken = items(&answer["broken"]);
    if !broken.is_empty() || answer["verified"].as_bool() == Some(false) {
        let rules: Vec<&str> = broken
            .iter()
            .filter_map(|rule| rule["rule"].as_str())
            .collect();
        sheet.put(
            "<p class=\"alarm\">{} <span lang=\"en\">{}</span></p></section>",
            &[t.broken, &rules.join(", ")],
        );
        return;
    }
    let dates = d.site().closed_dates.trim();
    if !dates.is_empty() {
        sheet.put("<p>{}</p>", &[&fill(t.closed_dates, &[("dates", dates)])]);
    }
    let all = entries(answer);
    let done = all
        .iter()
        .filter(|entry| planned.ticks.contains(entry))
        .count();
    let opens = clock_minute(answer["window_start"].as_str().unwrap_or_default()).unwrap_or(0);
    let end = time(d, opens + whole(&answer["finish_second"]).div_ceil(60));
    let values = [
        ("n", all.len().to_string()),
        ("done", done.to_string()),
        ("time", end),
        ("percent", whole(&answer["holds_to_percent"]).to_string()),
    ];
    sheet.put(
        "<p role=\"status\">{}</p>",
        &[&fill_with(t.entries, &values)],
    );
    let raise = whole(&answer["holds_to_percent"]) > 100;
    let holds = if raise { t.holds_to } else { t.holds_not };
    sheet.put("<p>{}</p>", &[&fill_with(holds, &values)]);
    let gap = whole(&answer["gap_seconds"]);
    if gap > 0 {
        let gap = gap.to_string();
        sheet.put("<p>{}</p>", &[&fill(t.key_gap, &[("seconds", &gap)])]);
    }
    for (place, program) in items(&answer["programs"]).iter().enumerate() {
        one_program(sheet, d, place, program);
    }
    sheet.put("</section>", &[]);
    replay(sheet, d, state);
}

fn one_program(sheet: &mut Sheet, d: &Document, place: usize, program: &Value) {
    let t = &sheet.text.night;
    let title = fill(t.program, &[("n", &letter(place))]);
    let ticks = &d.site().planned.ticks;
    sheet.put("<section><h4>{}</h4><div class=\"entry\">", &[&title]);
    let days = days_words(sheet.text, &program["days"]);
    let entry = days_entry(place, program);
    sheet.tick("tick", 0, &entry, &days, ticks.contains(&entry));
    for start in items(&program["starts"]) {
        let entry = start_entry(place, start);
        let at = time_of(d, start.as_str().unwrap_or_default());
        let said = fill(t.start_at, &[("time", &at)]);
        sheet.tick("tick", 0, &entry, &said, ticks.contains(&entry));
    }
    sheet.put(
        "</div><div class=\"wide\" tabindex=\"0\" role=\"group\" aria-label=\"{}\"><table class=\"figures\">\
         <thead><tr><th scope=\"col\">{}</th><th scope=\"col\">{}</th>\
         <th scope=\"col\">{}</th><th scope=\"col\">{}</th></tr></thead><tbody>",
        &[&title, t.step, t.station, t.minutes, t.keyed],
    );
    for (at, step) in items(&program["steps"]).iter().enumerate() {
        let names: Vec<String> = items(&step["stations"])
            .iter()
            .map(|id| planned_number(sheet.text, d, id_of(id)))
            .collect();
        let names = names.join(" + ");
        let entry = step_entry(place, at, step);
        let checked = if ticks.contains(&entry) {
            "checked"
        } else {
            ""
        };
        let step_n = (at + 1).to_string();
        let minutes = (whole(&step["seconds"]) / 60).to_string();
        sheet.put(
            "<tr><td>{}</td><th scope=\"row\">{}</th><td><b>{}</b></td><td><label class=\"tick\">\
             <input type=\"checkbox\" data-in=\"tick\" data-of=\"{}\" {}>\
             <span class=\"unseen\">{} {} {}, {}\u{a0}min</span></label></td></tr>",
            &[
                &step_n, &names, &minutes, &entry, checked, &title, &step_n, &names, &minutes,
            ],
        );
    }
    sheet.put("</tbody></table></div></section>", &[]);
}

/// What the programs do on chosen dates.
fn replay(sheet: &mut Sheet, d: &Document, state: &State) {
    let t = &sheet.text.night;
    sheet.put(
        "<section class=\"replay\"><h3>{}</h3><p class=\"how\">{}</p>",
        &[t.replay_title, t.replay_how],
    );
    let from = if state.from.is_empty() {
        looked_from(d, sheet.session.month, &today())
    } else {
        state.from.clone()
    };
    sheet.put("<div class=\"flows\">", &[]);
    date(sheet, "from", t.replay_from, &from);
    let nights = state.nights().to_string();
    let list = [
        ("1", "1"),
        ("7", "7"),
        ("14", "14"),
        ("28", "28"),
        ("84", "84"),
    ];
    sheet.select("nights", 0, t.replay_nights, &list, &nights);
    date(sheet, "clock-date", t.clock_date, &state.clock_date);
    // Forward at two; back at two or at three, as the country has it.
    let at = |words: &str, hour: u32| fill(words, &[("time", &time(d, 60 * hour))]);
    let list = [
        ("0", t.clock_none),
        ("2", &*at(t.clock_forward, 2)),
        ("-2", &*at(t.clock_back, 2)),
        ("-3", &*at(t.clock_back, 3)),
    ];
    let hour = state.clock_hour.to_string();
    sheet.select("clock", 0, t.clock_change, &list, &hour);
    sheet.put("</div>", &[]);
    if change_unseen(state, &from) {
        sheet.put("<p class=\"alarm\">{}</p>", &[t.clock_unseen]);
    }
    ask_keys(sheet, state, Asked::Replay, true);
    if let Some((request, answer)) = &state.replay {
        played(sheet, d, state, request, answer);
    }
    sheet.put("</section>", &[]);
}

fn date(sheet: &mut Sheet, verb: &str, label: &str, value: &str) {
    sheet.put(
        "<label class=\"pick\">{}<input type=\"date\" id=\"{}\" data-in=\"{}\" value=\"{}\"></label>",
        &[label, verb, verb, value],
    );
}

fn played(sheet: &mut Sheet, d: &Document, state: &State, request: &str, answer: &Value) {
    let t = &sheet.text.night;
    let nights = replayed::nights(request, answer, state.plan.as_ref());
    let n = nights.len() as u32;
    let found = replay_findings(sheet.text, d, &answer["findings"], Some(n));
    let other = nights
        .iter()
        .filter(|night| night.as_planned == Some(false))
        .count();
    let known = nights.iter().any(|night| night.as_planned.is_some());
    let wet = nights
        .iter()
        .filter(|night| night.runs > 0)
        .count()
        .to_string();
    let all = nights.len().to_string();
    let values = [
        ("n", all.as_str()),
        ("wet", &wet),
        ("other", &other.to_string()),
    ];
    sheet.put("<div aria-live=\"polite\">", &[]);
    let sentence = match (known, other) {
        (true, 0) => t.replay_same,
        (true, _) => t.replay_other,
        (false, _) => t.replay_done,
    };
    let sentence = fill(sentence, &values);
    let class = if other > 0 { "alarm" } else { "" };
    answer_head(sheet, state, Asked::Replay, class, &sentence);
    if found.is_empty() {
        put_lines(sheet, &[(false, t.replay_clean.into())]);
    } else {
        put_lines(sheet, &found);
    }
    sheet.put(
        "</div><details><summary>{}</summary><div class=\"wide\" tabindex=\"0\" role=\"group\" aria-label=\"{}\">\
         <table class=\"figures\"><thead><tr><th scope=\"col\">{}</th>\
         <th scope=\"col\">{}</th><th scope=\"col\">{}</th><th scope=\"col\">{}</th></tr></thead><tbody>",
        &[
            t.replay_table,
            t.replay_table,
            t.date,
            t.hours,
            t.minutes,
            t.as_planned,
        ],
    );
    for night in &nights {
        let hours = night.span.as_ref().map_or_else(String::new, |(from, to)| {
            let values = [("from", time_of(d, from)), ("to", time_of(d, to))];
            fill_with(t.time, &values)
        });
        let verdict = match night.as_planned {
            _ if night.runs == 0 => t.dry,
            Some(true) => t.yes,
            Some(false) => t.differs,
            None => "",
        };
        let day = Date::parse(&night.date).map_or("", |date| t.weekdays[date.weekday() as usize]);
        sheet.put(
            "<tr><th scope=\"row\">{} {}</th><td>{}</td><td>{}</td><td>{}</td></tr>",
            &[
                day,
                &night.date,
                &hours,
                &night.minutes.to_string(),
                verdict,
            ],
        );
    }
    sheet.put("</tbody></table></div></details>", &[]);
}
