//! The answer: three numbers, one drawing to scale, one sentence, and how sure it is.

use crate::document::{Language, Theme};
use crate::dom::{El, el, follow};
use crate::field::Field;
use crate::numbers;
use crate::parts::path::Path;
use crate::platform;
use crate::session::{Place, Row, Session, Shown};
use crate::sheet::{Act, Sheet, part};
use crate::signals::*;
use crate::station::{self, Answer, Sure};
use crate::text::{Text, fill};
use crate::units::System;

/// What the strip knows beyond the document.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Head {
    /// Whether a new version waits.
    update_ready: bool,
    /// The answer as last said to a screen reader.
    spoken: String,
}

/// The strip at the top: the page's own keys everywhere, the answer in the Pocket.
pub fn strip(session: Session) -> El {
    session
        .head
        .update(|head| head.update_ready = platform::update_ready());
    hear("drycurb-update", move || {
        session.head.update(|head| head.update_ready = true);
    });
    speak(session);
    part(session, el("header").class("strip"), None, draw, act)
}

fn draw(sheet: &mut Sheet) {
    top(sheet);
    notices(sheet);
    if sheet.session.place.get() == Place::Pocket {
        answer(sheet);
    }
    let spoken = sheet.session.head.with(|head| head.spoken.clone());
    sheet.put(
        "<p class=\"unseen\" role=\"status\" aria-atomic=\"true\">{}</p>",
        &[&spoken],
    );
}

/// The three numbers, the beat, the sentence, how sure.
fn answer(sheet: &mut Sheet) {
    let (session, text) = (sheet.session, sheet.text);
    session.shown.with(|shown| {
        let answer = shown.last.as_ref().map(|outcome| &outcome.answer);
        let class = if shown.old { "answer old" } else { "answer" };
        sheet.put(
            "<section class=\"{}\" aria-label=\"{}\"><dl>",
            &[class, text.answer],
        );
        for (name, value, unit) in numbers_of(answer, text) {
            sheet.put(
                "<div><dt>{}</dt><dd>{} <small>{}</small></dd></div>",
                &[name, &value, unit],
            );
        }
        sheet.put("</dl>", &[]);
        if let Some(answer) = answer {
            beat(sheet, answer);
        }
        sheet.put("<p class=\"say\">{}</p>", &[&sentence(session, shown)]);
        if let Some(answer) = answer {
            how_sure(sheet, answer.sure);
        }
        sheet.put("</section>", &[]);
    });
}

/// Longest run, soak, week: name, number and unit.
fn numbers_of(
    answer: Option<&Answer>,
    text: &'static Text,
) -> [(&'static str, String, &'static str); 3] {
    let minutes = |minutes: Option<u32>, none| match minutes {
        Some(minutes) => (minutes.to_string(), text.minutes_short),
        None => (String::new(), none),
    };
    let dash = || ("–".to_string(), "");
    let [run, soak, week] = match answer {
        None => [dash(), dash(), dash()],
        Some(answer) => [
            minutes(answer.longest_run_minutes, text.no_limit),
            minutes(answer.soak_minutes, text.no_soak),
            minutes(Some(answer.week_minutes), ""),
        ],
    };
    [
        (text.run_at_most, run.0, run.1),
        (text.then_soak, soak.0, soak.1),
        (text.this_week, week.0, week.1),
    ]
}

/// The name, and what the reader may set: units, language, look. What the keys show is short; what
/// they are called says what they change.
fn top(sheet: &mut Sheet) {
    let (session, text) = (sheet.session, sheet.text);
    let units = if session.units() == System::Si {
        text.units_si
    } else {
        text.units_us
    };
    let theme = match session.document.with(|d| d.prefs.theme) {
        None => text.theme_system,
        Some(Theme::Light) => text.theme_light,
        Some(Theme::Dark) => text.theme_dark,
        Some(Theme::Sun) => text.theme_sun,
    };
    let other = if session.language() == Language::En {
        "es"
    } else {
        "en"
    };
    sheet.put(
        "<div class=\"top\"><h1>Drycurb</h1>\
         <button type=\"button\" data-do=\"units\" aria-label=\"{}\">{}</button>\
         <button type=\"button\" data-do=\"language\" lang=\"{}\">{}</button>\
         <button type=\"button\" data-do=\"theme\" aria-label=\"{}\">{}</button></div>",
        &[
            &fill(text.units_button, &[("units", units)]),
            units,
            other,
            text.other_language,
            &fill(text.theme_button, &[("theme", theme)]),
            theme,
        ],
    );
}

/// Lines that appear only when something must be said about the page itself.
fn notices(sheet: &mut Sheet) {
    let (session, text) = (sheet.session, sheet.text);
    sheet.put("<div class=\"notices\" aria-live=\"polite\">", &[]);
    if session.head.with(|head| head.update_ready) {
        sheet.put("<p>{} ", &[text.update_ready]);
        sheet.key("", "update", 0, text.update_now);
        sheet.put("</p>", &[]);
    }
    if session.unsaved.get() {
        sheet.put("<p class=\"alarm\">{}</p>", &[text.not_saved]);
    }
    if let Some(stored) = session.set_aside.get() {
        sheet.put(
            "<div class=\"alarm\">{}<textarea readonly rows=\"4\" aria-label=\"{}\">{}</textarea>",
            &[text.unreadable, text.unreadable, &stored],
        );
        sheet.key("", "seen", 0, text.close);
        sheet.put("</div>", &[]);
    }
    sheet.put("</div>", &[]);
}

/// The day to scale: runs as solid blocks, soaks as dotted arcs.
fn beat(sheet: &mut Sheet, answer: &Answer) {
    let split = answer.split;
    if split.runs == 0 {
        return;
    }
    const WIDTH: f64 = 340.0;
    let whole = f64::from(split.elapsed_minutes().max(1));
    let scale = WIDTH / whole;
    let (run, soak) = (
        f64::from(split.run_minutes) * scale,
        f64::from(split.soak_minutes) * scale,
    );
    let mut blocks = Path::default();
    let mut arcs = Path::default();
    for number in 0..split.runs.min(120) {
        let left = f64::from(number) * (run + soak);
        blocks.block(left, 27.0, left + run.max(1.0), 6.0);
        if number + 1 < split.runs && soak > 3.0 {
            let (from, to) = (left + run + 2.0, left + run + soak - 2.0);
            arcs.to('M', &[from, 23.0]);
            arcs.to('Q', &[(from + to) / 2.0, 2.0, to, 23.0]);
        }
    }
    let label = runs_of(sheet.text, answer);
    sheet.put(
        "<svg class=\"beat\" viewBox=\"0 0 340 30\" preserveAspectRatio=\"none\" role=\"img\" \
         aria-label=\"{}\"><path class=\"ground\" d=\"M0 28H340\"/><path class=\"run\" d=\"{}\"/>\
         <path class=\"soak\" d=\"{}\"/></svg>",
        &[&label, blocks.as_str(), arcs.as_str()],
    );
}

/// The day's runs in words; of a soak where there is one.
fn runs_of(text: &Text, answer: &Answer) -> String {
    let split = answer.split;
    let sentence = match answer.soak_minutes {
        _ if split.runs == 1 => text.one_run,
        None => text.runs_only,
        Some(_) => text.many_runs,
    };
    fill(
        sentence,
        &[
            ("n", split.runs.to_string().as_str()),
            ("minutes", &split.run_minutes.to_string()),
            ("soak", &split.soak_minutes.to_string()),
        ],
    )
}

/// The answer as one sentence; or what is still missing.
fn sentence(session: Session, shown: &Shown) -> String {
    let text = session.text();
    let Some(outcome) = &shown.last else {
        return missing(text, shown);
    };
    let mut words = Vec::new();
    if shown.old {
        words.push(text.old_note.to_string());
    }
    words.extend(answer_words(session, &outcome.answer));
    words.join(" ")
}

fn missing(text: &Text, shown: &Shown) -> String {
    let mut facts = Vec::new();
    if shown.lacking.soil {
        facts.push(text.fact_soil);
    }
    if shown.lacking.slope {
        facts.push(text.fact_slope);
    }
    if shown.lacking.rate {
        facts.push(text.fact_rate);
    }
    let list = match facts.as_slice() {
        [] => return String::new(),
        [one] => (*one).to_string(),
        [first @ .., last] => [&first.join(", "), " ", text.and, " ", last].concat(),
    };
    fill(text.give_facts, &[("facts", &list)])
}

fn answer_words(session: Session, answer: &Answer) -> Vec<String> {
    let text = session.text();
    let mut words = Vec::new();
    let split = answer.split;
    if split.runs == 0 {
        let rain = session.draft(|d| station::number_or_default(d, Field::Rain)) != Some(0.0);
        let why = if rain {
            text.nothing_needed
        } else {
            text.no_need
        };
        words.push(why.to_string());
    } else {
        let days = count(answer.days, text.one_day, text.many_days);
        let runs = runs_of(text, answer);
        let time = hours(text, split.elapsed_minutes());
        let over = fill(text.over_in, &[("time", &time)]);
        words.push([&days, " · ", &runs, " · ", &over, "."].concat());
    }
    let share = numbers::write_short(100.0 * split.runoff_share, session.comma);
    let share = [&share, "\u{a0}%"].concat();
    if answer.too_fast {
        words.push(fill(text.too_fast, &[("share", &share)]));
    } else if answer.own {
        words.push(fill(text.own_runoff, &[("share", &share)]));
    }
    if answer.longest_run_minutes.is_none() {
        words.push(text.no_limit_found.to_string());
        words.push(match answer.if_compacted_minutes {
            Some(minutes) => fill(
                text.no_limit_compacted,
                &[("minutes", &minutes.to_string())],
            ),
            None => text.no_limit_even_compacted.to_string(),
        });
    }
    words
}

/// `one` for one, else `many` with the number.
pub fn count(n: u32, one: &'static str, many: &'static str) -> String {
    if n == 1 {
        one.to_string()
    } else {
        fill(many, &[("n", &n.to_string())])
    }
}

/// Minutes as hours and minutes.
pub fn hours(text: &Text, minutes: u32) -> String {
    if minutes < 60 {
        return fill(text.only_minutes, &[("m", &minutes.to_string())]);
    }
    let (h, m) = ((minutes / 60).to_string(), format!("{:02}", minutes % 60));
    fill(text.hours_minutes, &[("h", &h), ("m", &m)])
}

/// Three marks and words; a tap tells why.
fn how_sure(sheet: &mut Sheet, sure: Sure) {
    let text = sheet.text;
    let (marks, words) = match sure {
        Sure::Class => (1, text.sure_class),
        Sure::Intake => (2, text.sure_intake),
        Sure::Timed => (3, text.sure_timed),
    };
    sheet.put(
        "<p class=\"sure\"><span class=\"marks\" aria-hidden=\"true\">",
        &[],
    );
    for mark in 0..3 {
        sheet.put(
            "<i class=\"{}\"></i>",
            &[if mark < marks { "on" } else { "" }],
        );
    }
    let open = sheet.session.open.get() == Some(Row::Why);
    sheet.put(
        "</span><span>{}: {}</span><button type=\"button\" class=\"why-key\" data-do=\"why\" \
         aria-expanded=\"{}\">{}</button></p>",
        &[
            text.how_sure,
            words,
            if open { "true" } else { "false" },
            text.why,
        ],
    );
}

fn act(session: Session, act: &Act) {
    match act.verb.as_str() {
        "why" => session.toggle(Row::Why),
        "units" => session.document.update(|d| {
            let other = match d.units() {
                System::Si => System::Us,
                System::Us => System::Si,
            };
            match &mut d.site_mut().units {
                Some(own) => *own = other,
                None => d.prefs.units = other,
            }
        }),
        "language" => session.set_language(match untrack(|| session.language()) {
            Language::En => Language::Es,
            Language::Es => Language::En,
        }),
        "theme" => session.turn_theme(),
        "update" => platform::update(),
        "seen" => session.set_aside.set(None),
        _ => {}
    }
}

/// Says the answer to a screen reader, once typing pauses.
fn speak(session: Session) {
    let words = StoredValue::new(String::new());
    let say_later = once_quiet(700, move || {
        session.head.update(|head| head.spoken = words.get_value());
    });
    let first = std::cell::Cell::new(true);
    follow(move || {
        let now = session.shown.with(|shown| {
            let mut words = sentence(session, shown);
            if let Some(outcome) = &shown.last {
                for (name, number, unit) in numbers_of(Some(&outcome.answer), session.text()) {
                    words.push_str(&[" ", name, " ", &number, " ", unit, "."].concat());
                }
            }
            words
        });
        words.set_value(now);
        if !first.replace(false) {
            say_later();
        }
    });
}
