//! Night: the open site's stations planned against its supplies and a window, the programs to key,
//! and what is keyed now.

mod now;
mod picture;
mod programs;

use drycurb_core::calendar::Date;
use serde_json::Value;
use wasm_bindgen::JsValue;

use crate::document::Document;
use crate::document::json::items;
use crate::document::present::Present;
use crate::dom::El;
use crate::field::Field;
use crate::json::parse;
use crate::night::now::asked as asked_now;
use crate::night::said::{
    Line, closed_words, few_names, from_to, help as said_of_help, left_out, names,
    night as said_of_night, opens_minute, planned_number, reason, season, supply_name, time,
    too_much,
};
use crate::night::{
    Asked, Dawn, Focus, Plan, Run, State, Wanted, clock_minute, closed_spans, dawn, digits, end_of,
    help, is_old, is_whole, kept_plan, longest, mark, night_runs, replayed, season as season_of,
    stations, to_keep, wanted,
};
use crate::platform;
use crate::screens::site::{Open, POSITION, Part};
use crate::session::{Place, Session, Whose};
use crate::sheet::{Act, Sheet, sheet};
use crate::text::{fill, fill_with};
use crate::units::System;

/// Stations whose flows can be typed here; of more, in the Site.
const FLOWS_HERE: usize = 40;

/// The whole place.
pub fn night(session: Session) -> El {
    settle(session);
    // What took the focus before the place was left does not take it again.
    session.night.update(|state| state.focus.0 = Focus::None);
    sheet(session, "night", draw, act)
}

/// Takes up the open site, with what is kept of its plan.
fn settle(session: Session) {
    let site = session.document.with_untracked(|d| d.site);
    if session.night.with_untracked(|state| state.site == site) {
        return;
    }
    platform::stop_asking();
    let month = session.month;
    let plan = session
        .document
        .with_untracked(|d| kept_plan(d, month, &today()));
    session.night.set(State {
        site,
        kind: plan.as_ref().map_or(0, |plan| longest(&plan.answer)),
        plan,
        ..State::default()
    });
}

/// The phone's date, `2026-06-01`.
fn today() -> String {
    let date = js_sys::Date::new_0();
    let (month, day) = (date.get_month() + 1, date.get_date());
    format!("{}-{month:02}-{day:02}", date.get_full_year())
}

/// How far the phone's clock is ahead of universal time on the day after a date, minutes: in winter
/// another than in summer.
fn offset_minutes(date: &str) -> i32 {
    let day = Date::parse(date).map_or(Date::EPOCH, |date| date.plus_days(1));
    let noon = JsValue::from_str(&format!("{day}T12:00"));
    -(js_sys::Date::new(&noon).get_timezone_offset() as i32)
}

/// An example of times as they are typed in the reader's units, and the keyboard that fits.
fn times(
    d: &Document,
    hints: [&'static str; 2],
    keyboard: &'static str,
) -> (&'static str, &'static str) {
    match d.units() {
        System::Si => (hints[0], keyboard),
        // AM and PM are letters.
        System::Us => (hints[1], "text"),
    }
}

/// The head of an answer; it takes the focus when the answer comes.
fn answer_head(sheet: &mut Sheet, state: &State, what: Asked, class: &str, words: &str) {
    let focus = if state.focus.0 == Focus::Answer(what) {
        ["data-focus=", &digits(state.focus.1)].concat()
    } else {
        String::new()
    };
    sheet.put(
        "<h3 tabindex=\"-1\" class=\"{}\" {}>{}</h3>",
        &[class, &focus, words],
    );
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

/// The mark of what the open site's plan was made for, where its facts are others by now; 0 where not.
pub fn old_mark(document: &Document, month: u32) -> u32 {
    let old = is_old(document, &wanted(document, month, &today()));
    document.site().planned.of.filter(|_| old).unwrap_or(0)
}

fn draw_plan(sheet: &mut Sheet, d: &Document, state: &State) {
    let wanted = wanted(d, sheet.session.month, &today());
    facts(sheet, d, state, &wanted);
    lacking(sheet, d, &wanted);
    ask_keys(sheet, state, Asked::Plan, wanted.request.is_some());
    let old = is_old(d, &wanted);
    // On a wide screen the picture stands beside what is keyed.
    sheet.put("<div class=\"halves\"><div class=\"seen\">", &[]);
    if let Some(plan) = &state.plan {
        outcome(sheet, d, state, plan, old);
    }
    sheet.put("</div><div>", &[]);
    if !d.site().planned.answer.is_null() {
        programs::programs(sheet, d, state, old);
    }
    sheet.put("</div></div>", &[]);
}

/// Hours, supplies and flows: what a plan needs beside the stations. Open while something lacks; a
/// plan that comes folds them.
fn facts(sheet: &mut Sheet, d: &Document, state: &State, wanted: &Wanted) {
    let t = &sheet.text.night;
    let site = d.site();
    let open = |lacks: bool| if lacks { "open" } else { "" };
    // Another name is another element: it is folded as it comes.
    let plans = digits(state.plans);
    sheet.put(
        "<details class=\"night-facts\" id=\"hours-{}\" {}><summary>{}</summary><div class=\"flows\">",
        &[
            &plans,
            open(wanted.no_window || !wanted.no_capacity.is_empty()),
            t.facts,
        ],
    );
    for supply in &site.supplies {
        sheet.put(
            "<section><h3>{}</h3>",
            &[&supply_name(sheet.text, site, supply.id)],
        );
        sheet.number(Whose::Supply(supply.id), Field::Capacity);
        sheet.put("</section>", &[]);
    }
    let (hint, keyboard) = times(d, ["22:00", "10:00 PM"], "decimal");
    let wrong = clock_minute(&site.facts.window_from).is_none();
    sheet.entry_with(
        "window",
        0,
        [t.window_from, &site.facts.window_from, hint, keyboard],
        wrong.then_some(t.fault_time),
    );
    sheet.number(Whose::Site, Field::WindowHours);
    sheet.number(Whose::Site, Field::AtOnce);
    sheet.put("</div></details>", &[]);
    if d.stations().count() <= FLOWS_HERE {
        sheet.put(
            "<details class=\"night-facts\" id=\"flows-{}\" {}><summary>{}</summary><ul class=\"flows\">",
            &[&plans, open(!wanted.no_flow.is_empty()), t.flows],
        );
        for kept in d.stations() {
            let id = kept.id.to_string();
            sheet.put("<li id=\"flow-{}\"><b>{}</b>", &[&id, &kept.name]);
            sheet.number(Whose::Kept(kept.id), Field::RateFlow);
            sheet.put("</li>", &[]);
        }
        sheet.put("</ul></details>", &[]);
    }
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
        (&wanted.outside, t.outside),
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
    if wanted.all_closed {
        lines.push((true, t.all_closed.into()));
    }
    if let Some((from, to)) = wanted.cut {
        lines.push((false, from_to(t.cut, d, from, to)));
    }
    if !wanted.too_fast.is_empty() {
        let names = few_names(sheet.text, d, &wanted.too_fast);
        lines.push((true, said(t.too_fast, names)));
    }
    lines.extend(too_much(sheet.text, d, sheet.session.comma));
    put_lines(sheet, &lines);
    let of_site = [
        &wanted.no_facts,
        &wanted.no_flow,
        &wanted.outside,
        &wanted.too_fast,
    ];
    let lacks = of_site.iter().any(|list| !list.is_empty());
    if lacks || wanted.no_day || wanted.all_closed {
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
        Some((asked, _)) if asked == what => {
            sheet.put("<p role=\"status\">{}", &[t.working]);
            if what == Asked::Plan {
                done(sheet);
            }
            sheet.put("</p>", &[]);
            sheet.key("", "stop", 0, t.stop);
        }
        _ if ready => sheet.key("main", verb, 0, word),
        _ => {}
    }
    sheet.put("</div>", &[]);
    if state.failed == Some(what) {
        sheet.put("<p class=\"alarm\">{}</p>", &[t.no_answer]);
    }
    if state.stopped && what == Asked::Plan {
        sheet.put("<p role=\"status\">{}</p>", &[t.stopped]);
    }
}

/// How far the plan is: for the eye each percent, for the ear each quarter.
fn done(sheet: &mut Sheet) {
    let percent = platform::done_percent();
    sheet.put(
        " <span class=\"unseen\" data-done=\"25\">{}\u{a0}%</span><span aria-hidden=\"true\" \
         data-done=\"1\">{}\u{a0}%</span><progress max=\"100\" value=\"{}\" aria-hidden=\"true\" \
         data-done=\"1\"></progress>",
        &[
            &digits(percent - percent % 25),
            &digits(percent),
            &digits(percent),
        ],
    );
}

/// The plan: when it ends, what is to be said, its picture and its table.
fn outcome(sheet: &mut Sheet, d: &Document, state: &State, plan: &Plan, old: bool) {
    let t = &sheet.text.night;
    let comma = sheet.session.comma;
    let kinds = items(&plan.answer["nights"]);
    let kind = state.kind.min(kinds.len().saturating_sub(1));
    let runs = night_runs(&plan.answer, kind);
    let opens = opens_minute(plan);
    let mut lines: Vec<Line> = Vec::new();
    if old {
        lines.push((true, t.changed.into()));
    }
    lines.extend(season(sheet.text, d, &plan.answer, comma));
    sheet.put("<section class=\"outcome\" aria-live=\"polite\">", &[]);
    if runs.is_empty() {
        answer_head(sheet, state, Asked::Plan, "", t.nothing);
        lines.extend(left_out(sheet.text, d, &plan.answer));
        lines.extend(said_of_help(sheet.text, d, comma));
        put_lines(sheet, &lines);
        return sheet.put("</section>", &[]);
    }
    let first = kinds[kind]["first"].as_str().unwrap_or_default();
    let dawn = dawn(&d.site().facts, first, offset_minutes(first));
    let span = [
        ("from", time(d, opens)),
        ("to", time(d, opens + end_of(&runs).div_ceil(60))),
    ];
    answer_head(sheet, state, Asked::Plan, "span", &fill_with(t.time, &span));
    if kinds.len() > 1 {
        sheet.put(
            "<div class=\"choices\" role=\"group\" aria-label=\"{}\">",
            &[t.kinds],
        );
        for (place, night) in kinds.iter().enumerate() {
            let pressed = if place == kind { "true" } else { "false" };
            sheet.put(
                "<button type=\"button\" aria-pressed=\"{}\" data-do=\"kind\" data-at=\"{}\">{}</button>",
                &[
                    pressed,
                    &place.to_string(),
                    &programs::kind_word(sheet.text, &plan.answer, night),
                ],
            );
        }
        sheet.put("</div>", &[]);
    }
    lines.extend(said_of_night(sheet.text, d, plan, kind, dawn, comma));
    lines.extend(said_of_help(sheet.text, d, comma));
    lines.extend(left_out(sheet.text, d, &plan.answer));
    put_lines(sheet, &lines);
    if !matches!(dawn, Dawn::At(_)) {
        sheet.key("", "site", POSITION, sheet.text.site.position);
    }
    sheet.put("</section><section class=\"shown\">", &[]);
    picture::keys(sheet, state);
    let why = state
        .run
        .map(|at| reason(sheet.text, d, plan, &runs, at, comma));
    sheet.put(
        "<p class=\"reason\" role=\"status\">{}</p>",
        &[why.as_deref().unwrap_or(t.tap_a_run)],
    );
    picture::picture(sheet, d, state, plan, &runs, dawn);
    table(sheet, d, state, plan, &runs);
    sheet.put("</section>", &[]);
}

/// The same as a table: for reading, and for a screen reader or a keyboard, where each run is a key
/// that tells its reason.
fn table(sheet: &mut Sheet, d: &Document, state: &State, plan: &Plan, runs: &[Run]) {
    let t = &sheet.text.night;
    let opens = opens_minute(plan);
    sheet.put(
        "<details class=\"runs\"><summary>{}</summary><div class=\"wide\" tabindex=\"0\" role=\"group\" \
         aria-label=\"{}\"><table class=\"figures\"><thead><tr><th scope=\"col\">{}</th>\
         <th scope=\"col\">{}</th></tr></thead><tbody>",
        &[t.runs, t.runs, t.station, t.starts],
    );
    for id in stations(d, runs) {
        sheet.put(
            "<tr><th scope=\"row\">{}</th><td>",
            &[&planned_number(sheet.text, d, id)],
        );
        let own = runs.iter().enumerate();
        for (at, run) in own.filter(|(_, run)| run.station == id) {
            let pressed = if state.run == Some(at) {
                "true"
            } else {
                "false"
            };
            sheet.put(
                "<button type=\"button\" aria-pressed=\"{}\" data-do=\"run\" data-at=\"{}\">{} \
                 <small>{}\u{a0}min</small></button> ",
                &[
                    pressed,
                    &at.to_string(),
                    &time(d, opens + run.start / 60),
                    &digits(run.seconds.div_ceil(60)),
                ],
            );
        }
        sheet.put("</td></tr>", &[]);
    }
    if !closed_spans(d.site(), plan, runs).is_empty() {
        sheet.put(
            "<tr><th scope=\"row\">{}</th><td>{}</td></tr>",
            &[t.closed, &closed_words("{from}–{to}", d)],
        );
    }
    sheet.put("</tbody></table></div></details>", &[]);
}

/// Sends a question to the worker, and takes its answer when it comes.
fn send(session: Session, what: Asked, request: String) {
    session.night.update(|state| {
        state.failed = None;
        state.stopped = false;
        state.working = (what != Asked::Help).then_some((what, false));
    });
    let asked = request.clone();
    let (site, present) = session
        .document
        .with_untracked(|d| (d.site, d.site().present.clone()));
    let heard = move |answer: Value| {
        // Another site may have been opened meanwhile: its night is another one.
        if session.document.with_untracked(|d| d.site) == site {
            heard(session, what, asked, present, answer);
        }
    };
    platform::ask_worker_text(&request, Box::new(heard));
}

fn heard(session: Session, what: Asked, asked: String, present: Present, mut answer: Value) {
    let ok = answer["ok"].take();
    let mut next = None;
    let mut keep = None;
    // What stands in the panel is not given up for half a plan.
    let half = ok["cut_short"].as_bool() == Some(true) && !is_whole(&ok);
    let stands = session
        .document
        .with_untracked(|d| !d.site().planned.answer.is_null());
    session.night.update(|state| {
        if what != Asked::Help {
            state.working = None;
            state.failed = ok.is_null().then_some(what);
        }
        if ok.is_null() {
            return;
        }
        match what {
            Asked::Plan if half && stands => state.stopped = true,
            Asked::Plan => {
                state.kind = longest(&ok);
                state.run = None;
                state.replay = None;
                state.plans += 1;
                let request = parse(&asked).unwrap_or_default();
                let season = session
                    .document
                    .with_untracked(|d| season_of(d, session.month));
                let answer = to_keep(&request, &ok, season);
                keep = Some((mark(&asked), answer.clone()));
                let plan = Plan { request, answer };
                next = Some(help(&plan, state.kind));
                state.plan = Some(plan);
            }
            Asked::Replay => state.replay = Some((asked, ok)),
            Asked::Keyed => {
                keep = Some((0, ok.clone()));
                state.keyed = Some((present.clone(), asked, ok));
            }
            Asked::Help => keep = Some((0, ok)),
        }
        if what != Asked::Help && !state.stopped {
            state.focus(Focus::Answer(what));
        }
    });
    if let Some((of, answer)) = keep {
        session.document.update(|d| {
            if what == Asked::Keyed {
                // What was typed meanwhile was not compared.
                if d.site().present == present {
                    crate::night::now::keep(d, &answer, session.month, &today());
                }
                return;
            }
            if what == Asked::Help {
                let planned = &mut d.site_mut().planned.answer;
                if planned.is_object() {
                    planned["help"] = answer["suggestions"].clone();
                }
                return;
            }
            let entries = crate::night::entries(&answer);
            let planned = &mut d.site_mut().planned;
            planned.ticks.retain(|tick| entries.contains(tick));
            planned.answer = answer;
            planned.of = Some(of);
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

/// Has the plan end with the best so far; pressed again, or with anything else, ends it.
fn stop(session: Session) {
    let working = session.night.with_untracked(|state| state.working);
    let plans = matches!(working, Some((Asked::Plan, false)));
    if plans && platform::halt() {
        session
            .night
            .update(|state| state.working = Some((Asked::Plan, true)));
        return;
    }
    platform::stop_asking();
    session.night.update(|state| {
        state.stopped = matches!(working, Some((Asked::Plan, _)));
        state.working = None;
    });
}

fn act(session: Session, act: &Act) {
    settle(session);
    if act.verb == "site" {
        if act.at == POSITION {
            let mut view = session.site.get_untracked();
            view.part = Part::Facts;
            view.open = Open::Fact(POSITION);
            session.site.set(view);
        }
        session.place.set(Place::Site);
    } else if act.verb == "quote" {
        session.place.set(Place::Quote);
        platform::to_top();
    } else if act.verb == "stop" {
        stop(session);
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
    } else if act.verb == "undo-program" {
        let mut dropped = None;
        session.night.update(|state| dropped = state.dropped.take());
        if let Some((place, program)) = dropped {
            session.document.update(|d| {
                let programs = &mut d.site_mut().present.programs;
                programs.insert(place.min(programs.len()), program);
            });
            session.night.update(|state| {
                state.program = place as u32;
                state.focus(Focus::Starts);
            });
        }
    } else {
        let open = session.night.with_untracked(|state| state.program) as usize;
        if act.verb == "drop-program" {
            let place = act.at as usize;
            let program = session
                .document
                .with_untracked(|d| d.site().present.programs.get(place).cloned());
            session.night.update(|state| {
                state.dropped = program.map(|program| (place, program));
            });
        }
        session.document.update(|d| on_document(d, act, open));
        if act.verb == "same" || act.verb == "add-program" {
            let following = now::neighbour(session, act.at);
            let count = session
                .document
                .with_untracked(|d| d.site().present.programs.len());
            session.night.update(|state| {
                if act.verb == "same" {
                    state.next = following;
                    state.focus(Focus::Minutes);
                } else {
                    state.program = count.saturating_sub(1) as u32;
                    state.focus(Focus::Starts);
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
        "clock" => state.clock_hour = act.value.parse().unwrap_or(0),
        "program" => state.program = act.at,
        // Minutes go one after another.
        "go" | "next" => {
            state.next = if act.verb == "go" { act.at } else { following };
            state.focus(Focus::Minutes);
        }
        _ => {}
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
