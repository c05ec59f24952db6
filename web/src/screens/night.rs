//! Night: the open site's stations planned against its supplies and a window, the programs to key,
//! and what is keyed now.

mod now;
mod picture;
mod programs;

use serde_json::Value;

use crate::document::Document;
use crate::document::json::items;
use crate::document::present::Present;
use crate::dom::El;
use crate::field::Field;
use crate::json::parse;
use crate::night::now::asked as asked_now;
use crate::night::said::{
    Line, help as said_of_help, left_out, name, names, night as said_of_night, reason, supply_name,
};
use crate::night::{
    Asked, Plan, State, Wanted, clock, clock_minute, dawn, end_of, help, longest, night_runs,
    replayed, to_keep, wanted,
};
use crate::platform;
use crate::session::{Place, Session, Whose};
use crate::sheet::{Act, Sheet, sheet};
use crate::text::fill;

/// Stations whose flows can be typed here; of more, in the Site.
const FLOWS_HERE: usize = 40;

/// The whole place.
pub fn night(session: Session) -> El {
    sheet(session, "night", draw, act)
}

/// The phone's date, `2026-06-01`.
fn today() -> String {
    let date = js_sys::Date::new_0();
    let (month, day) = (date.get_month() + 1, date.get_date());
    format!("{}-{month:02}-{day:02}", date.get_full_year())
}

/// How far the phone's clock is ahead of universal time, minutes.
fn offset_minutes() -> i32 {
    -(js_sys::Date::new_0().get_timezone_offset() as i32)
}

fn draw(sheet: &mut Sheet) {
    let session = sheet.session;
    let t = &sheet.text.night;
    session.document.with(|d| {
        session.night.with(|state| {
            let blank = State::default();
            let state = if state.site == d.site { state } else { &blank };
            let site = crate::screens::site::name(sheet.text, d.site());
            sheet.put(
                "<h2 tabindex=\"-1\">{}</h2>",
                &[&fill(t.title, &[("site", site)])],
            );
            if d.stations().next().is_none() {
                sheet.put("<p>{}</p>", &[t.empty]);
                return sheet.key("main", "site", 0, t.to_site);
            }
            let view = if state.now { "now" } else { "plan" };
            let views = [("plan", t.view_plan), ("now", t.view_now)];
            sheet.choices("view", 0, t.views, &views, view);
            if state.now {
                now::draw(sheet, d, state);
            } else {
                draw_plan(sheet, d, state);
            }
        });
    });
}

fn draw_plan(sheet: &mut Sheet, d: &Document, state: &State) {
    let t = &sheet.text.night;
    let wanted = wanted(d, sheet.session.month, &today());
    facts(sheet, d, &wanted);
    lacking(sheet, d, &wanted);
    ask_keys(sheet, state, Asked::Plan, wanted.request.is_some());
    if let Some(plan) = &state.plan {
        if wanted.request.as_ref() != Some(&plan.asked) {
            sheet.put("<p class=\"how\">{}</p>", &[t.changed]);
        }
        outcome(sheet, d, state, plan);
    }
    if !d.site().planned.answer.is_null() {
        programs::programs(sheet, d, state);
    }
}

/// Hours, supplies and flows: what a plan needs beside the stations. Open while something lacks.
fn facts(sheet: &mut Sheet, d: &Document, wanted: &Wanted) {
    let t = &sheet.text.night;
    let site = d.site();
    let lacks = wanted.no_window || !wanted.no_capacity.is_empty() || !wanted.no_flow.is_empty();
    let open = if lacks { "open" } else { "" };
    sheet.put(
        "<details class=\"night-facts\" {}><summary>{}</summary><div class=\"flows\">",
        &[open, t.facts],
    );
    for supply in &site.supplies {
        sheet.put(
            "<section><h3>{}</h3>",
            &[&supply_name(sheet.text, site, supply.id)],
        );
        sheet.number(Whose::Supply(supply.id), Field::Capacity);
        sheet.put("</section>", &[]);
    }
    sheet.entry("window", 0, t.window_from, &site.facts.window_from, "22:00");
    if clock_minute(&site.facts.window_from).is_none() {
        sheet.put("<p class=\"note wrong\">{}</p>", &[t.fault_time]);
    }
    sheet.number(Whose::Site, Field::WindowHours);
    sheet.number(Whose::Site, Field::AtOnce);
    sheet.put("</div>", &[]);
    if d.stations().count() <= FLOWS_HERE {
        sheet.put("<h3>{}</h3><ul class=\"flows\">", &[t.flows]);
        for kept in d.stations() {
            let id = kept.id.to_string();
            sheet.put("<li id=\"flow-{}\"><b>{}</b>", &[&id, &kept.name]);
            sheet.number(Whose::Kept(kept.id), Field::RateFlow);
            sheet.put("</li>", &[]);
        }
        sheet.put("</ul>", &[]);
    }
    sheet.put("</details>", &[]);
}

/// Who is not planned, and what to do.
fn lacking(sheet: &mut Sheet, d: &Document, wanted: &Wanted) {
    let t = &sheet.text.night;
    let site = d.site();
    let said = |sentence: &str, names: String| fill(sentence, &[("names", &names)]);
    let mut lines: Vec<Line> = Vec::new();
    let lists = [
        (&wanted.no_facts, t.no_facts),
        (&wanted.no_flow, t.no_flow),
        (&wanted.idle, t.idle),
    ];
    for (list, sentence) in lists {
        if !list.is_empty() {
            lines.push((false, said(sentence, names(d, list))));
        }
    }
    for id in &wanted.no_capacity {
        lines.push((
            false,
            said(t.no_capacity, supply_name(sheet.text, site, *id)),
        ));
    }
    if wanted.no_window {
        lines.push((true, t.no_window.into()));
    }
    if wanted.no_day {
        lines.push((true, t.no_day.into()));
    }
    put_lines(sheet, &lines);
    if !wanted.no_facts.is_empty() || !wanted.no_flow.is_empty() || wanted.no_day {
        sheet.key("", "site", 0, t.to_site);
    }
}

/// Sentences, one under the other.
fn put_lines(sheet: &mut Sheet, lines: &[Line]) {
    for (wrong, line) in lines {
        let class = if *wrong { "alarm" } else { "" };
        sheet.put("<p class=\"{}\">{}</p>", &[class, line]);
    }
}

/// The button that asks the worker; while it works, how far it is and a button that stops it.
fn ask_keys(sheet: &mut Sheet, state: &State, what: Asked, ready: bool) {
    let t = &sheet.text.night;
    let (verb, word) = match what {
        Asked::Plan => ("ask-plan", t.plan),
        Asked::Replay => ("ask-replay", t.replay),
        Asked::Keyed | Asked::Help => ("ask-keyed", t.compare),
    };
    sheet.put("<div class=\"entry\">", &[]);
    match state.working {
        Some((asked, done)) if asked == what => {
            let done = if done > 0 {
                format!("{done}\u{a0}%")
            } else {
                String::new()
            };
            sheet.put("<p role=\"status\">{} {}</p>", &[t.working, &done]);
            sheet.key("", "stop", 0, t.stop);
        }
        _ if ready => sheet.key("main", verb, 0, word),
        _ => {}
    }
    sheet.put("</div>", &[]);
    if state.failed == Some(what) {
        sheet.put("<p class=\"alarm\">{}</p>", &[t.no_answer]);
    }
}

/// The plan: when it ends, what is to be said, its picture and its table.
fn outcome(sheet: &mut Sheet, d: &Document, state: &State, plan: &Plan) {
    let t = &sheet.text.night;
    let kinds = items(&plan.answer["nights"]);
    let kind = state.kind.min(kinds.len().saturating_sub(1));
    let Some(night) = kinds.get(kind) else {
        return;
    };
    if kinds.len() > 1 {
        sheet.put(
            "<div class=\"choices\" role=\"group\" aria-label=\"{}\">",
            &[t.kinds],
        );
        for (place, night) in kinds.iter().enumerate() {
            let pressed = if place == kind { "true" } else { "false" };
            sheet.put(
                "<button type=\"button\" aria-pressed=\"{}\" data-do=\"kind\" data-at=\"{}\">{}</button>",
                &[pressed, &place.to_string(), &programs::kind_word(sheet.text, night)],
            );
        }
        sheet.put("</div>", &[]);
    }
    let runs = night_runs(&plan.answer, kind);
    let opens = crate::night::said::opens_minute(plan);
    let end = end_of(&runs);
    let first = night["first"].as_str().unwrap_or_default();
    let dawn = dawn(&d.site().facts, first, offset_minutes());
    let span = [
        ("from", clock(opens)),
        ("to", clock(opens + end.div_ceil(60))),
    ];
    let span = span.each_ref().map(|(name, value)| (*name, value.as_str()));
    sheet.put(
        "<div aria-live=\"polite\"><p class=\"span\">{}</p>",
        &[&fill(t.time, &span)],
    );
    put_lines(
        sheet,
        &said_of_night(sheet.text, d, plan, kind, dawn, sheet.session.comma),
    );
    let units = sheet.session.units();
    put_lines(
        sheet,
        &said_of_help(sheet.text, d, &state.help, units, sheet.session.comma),
    );
    put_lines(sheet, &left_out(sheet.text, d, &plan.answer));
    sheet.put("</div>", &[]);
    picture::keys(sheet, state);
    let why = state.run.map(|at| reason(sheet.text, d, plan, &runs, at));
    sheet.put(
        "<p class=\"reason\" role=\"status\">{}</p></div>",
        &[why.as_deref().unwrap_or(t.tap_a_run)],
    );
    picture::picture(sheet, d, state, plan, &runs, dawn);
    table(sheet, d, plan, &runs);
}

/// The same as a table: for reading, and for a screen reader.
fn table(sheet: &mut Sheet, d: &Document, plan: &Plan, runs: &[crate::night::Run]) {
    let t = &sheet.text.night;
    let opens = crate::night::said::opens_minute(plan);
    sheet.put(
        "<details><summary>{}</summary><div class=\"wide\" tabindex=\"0\" role=\"group\" \
         aria-label=\"{}\"><table class=\"figures\"><thead><tr><th scope=\"col\">{}</th>\
         <th scope=\"col\">{}</th><th scope=\"col\">{}</th><th scope=\"col\">{}</th></tr></thead><tbody>",
        &[t.runs, t.runs, t.station, t.starts, t.minutes, t.soak],
    );
    for id in crate::night::stations(runs) {
        let own = runs.iter().filter(|run| run.station == id);
        let starts: Vec<String> = own
            .clone()
            .map(|run| clock(opens + run.start / 60))
            .collect();
        let minutes: Vec<String> = own.map(|run| (run.seconds / 60).to_string()).collect();
        let asked = crate::night::asked_of(&plan.request["stations"], id);
        let soak = crate::night::whole(&asked["soak_minutes"]);
        sheet.put(
            "<tr><th scope=\"row\">{}</th><td>{}</td><td>{}</td><td>{}</td></tr>",
            &[
                &name(d, id),
                &starts.join(" "),
                &minutes.join(" "),
                &if minutes.len() > 1 {
                    soak.to_string()
                } else {
                    "–".into()
                },
            ],
        );
    }
    sheet.put("</tbody></table></div></details>", &[]);
}

/// Sends a question to the worker, and takes its answer when it comes.
fn send(session: Session, what: Asked, request: String) {
    session.night.update(|state| {
        state.failed = None;
        state.working = (what != Asked::Help).then_some((what, 0));
    });
    let asked = request.clone();
    let present = session
        .document
        .with_untracked(|d| d.site().present.clone());
    let heard = move |answer: Value| heard(session, what, asked, present, answer);
    platform::ask_worker_text(&request, Box::new(heard));
}

fn heard(session: Session, what: Asked, asked: String, present: Present, mut answer: Value) {
    let ok = answer["ok"].take();
    let mut next = None;
    let mut keep = None;
    session.night.update(|state| {
        if what != Asked::Help {
            state.working = None;
            state.failed = ok.is_null().then_some(what);
        }
        if ok.is_null() {
            return;
        }
        match what {
            Asked::Plan => {
                state.kind = longest(&ok);
                state.run = None;
                state.replay = None;
                state.help = Value::Null;
                keep = Some(ok.clone());
                let plan = Plan {
                    request: parse(&asked).unwrap_or_default(),
                    asked,
                    answer: ok,
                };
                next = Some(help(&plan, state.kind));
                state.plan = Some(plan);
            }
            Asked::Replay => state.replay = Some((asked, ok)),
            Asked::Keyed => {
                keep = Some(ok.clone());
                state.keyed = Some((present.clone(), ok));
            }
            Asked::Help => state.help = ok,
        }
    });
    if let Some(answer) = keep {
        session.document.update(|d| {
            if what == Asked::Keyed {
                // What was typed meanwhile was not compared.
                if d.site().present == present {
                    crate::night::now::keep(d, &answer, session.month, &today());
                }
                return;
            }
            let entries = crate::night::entries(&answer);
            let planned = &mut d.site_mut().planned;
            planned.ticks.retain(|tick| entries.contains(tick));
            planned.answer = to_keep(&answer);
        });
    }
    if let Some(request) = next {
        send(session, Asked::Help, request);
    }
}

/// What is to be asked, by its verb.
fn question(session: Session, verb: &str) -> Option<(Asked, String)> {
    let (month, today) = (session.month, today());
    session.document.with_untracked(|d| match verb {
        "ask-plan" => Some((Asked::Plan, wanted(d, month, &today).request?)),
        "ask-keyed" => Some((Asked::Keyed, asked_now(d, month, &today)?)),
        "ask-replay" => {
            let asked = |state: &State| replayed::asked(d, month, &today, state);
            Some((Asked::Replay, session.night.with_untracked(asked)?))
        }
        _ => None,
    })
}

fn act(session: Session, act: &Act) {
    let site = session.document.with_untracked(|d| d.site);
    if session.night.with_untracked(|state| state.site != site) {
        platform::stop_asking();
        session.night.set(State {
            site,
            nights: 14,
            ..State::default()
        });
    }
    if act.verb == "site" {
        session.place.set(Place::Site);
    } else if act.verb == "quote" {
        session.place.set(Place::Quote);
        platform::to_top();
    } else if act.verb == "stop" {
        platform::stop_asking();
        session.night.update(|state| state.working = None);
    } else if let Some((what, request)) = question(session, &act.verb) {
        send(session, what, request);
    } else if matches!(
        act.verb.as_str(),
        "view"
            | "kind"
            | "zoom"
            | "run"
            | "from"
            | "nights"
            | "clock-date"
            | "clock"
            | "program"
            | "next"
            | "go"
    ) {
        let following = now::neighbour(session, act.at);
        session
            .night
            .update(|state| on_state(state, act, following));
    } else {
        let open = session.night.with_untracked(|state| state.program) as usize;
        session.document.update(|d| on_document(d, act, open));
        if act.verb == "same" || act.verb == "add-program" {
            let following = now::neighbour(session, act.at);
            let count = session
                .document
                .with_untracked(|d| d.site().present.programs.len());
            session.night.update(|state| {
                if act.verb == "same" {
                    state.next = (following, state.next.1 + 1);
                } else {
                    state.program = count.saturating_sub(1) as u32;
                }
            });
        }
    }
}

/// Acts that change what is shown.
fn on_state(state: &mut State, act: &Act, following: u32) {
    match act.verb.as_str() {
        "view" => state.now = act.of == "now",
        "kind" => {
            state.kind = act.at as usize;
            state.run = None;
        }
        "zoom" => state.zoom = act.at.min(3) as usize,
        "run" => state.run = Some(act.at as usize),
        "from" => state.from.clone_from(&act.value),
        "nights" => state.nights = act.value.parse().unwrap_or(14),
        "clock-date" => state.clock_date.clone_from(&act.value),
        "clock" => state.clock_minutes = act.value.parse().unwrap_or(0),
        "program" => state.program = act.at,
        "go" => state.next = (act.at, state.next.1 + 1),
        // Minutes go one after another.
        _ => state.next = (following, state.next.1 + 1),
    }
}

/// Acts that change what is kept.
fn on_document(d: &mut Document, act: &Act, open: usize) {
    let site = d.site_mut();
    if act.verb == "window" {
        site.facts.window_from.clone_from(&act.value);
    } else if act.verb == "tick" {
        let ticks = &mut site.planned.ticks;
        ticks.retain(|tick| *tick != act.of);
        if !act.value.is_empty() {
            ticks.push(act.of.clone());
        }
    } else {
        now::change(d, act, open);
    }
}
