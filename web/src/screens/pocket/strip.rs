//! The answer: three numbers, one drawing to scale, one sentence, and how sure it is.

use crate::signals::*;

use crate::document::{Language, Theme};
use crate::dom::{El, el, follow, key, memo, svg};
use crate::field::Field;
use crate::numbers;
use crate::parts::words::{Word, said};
use crate::platform;
use crate::session::{Place, Row, Session, Shown};
use crate::station::{self, Answer, Sure};
use crate::text::{Text, fill};
use crate::units::System;

/// The strip at the top: the page's own keys everywhere, the answer in the Pocket.
pub fn strip(session: Session) -> El {
    el("header")
        .class("strip")
        .with(top(session))
        .with(notices(session))
        .with_of(move || (session.place.get() == Place::Pocket).then(|| answer(session)))
        .with(spoken(session))
}

/// The three numbers, the beat, the sentence, how sure.
fn answer(session: Session) -> El {
    let shown = session.shown;
    let number = move |name: Word, of: fn(&Answer, &'static Text) -> Number| {
        let now = move || {
            let text = session.text();
            shown.with(|s| {
                s.last
                    .as_ref()
                    .map_or(Number::dash(), |o| of(&o.answer, text))
            })
        };
        let value = el("dd").say(move || format!("{} ", now().value));
        el("div")
            .with(said(session, "dt", name))
            .with(value.with(el("small").say(move || now().unit.to_string())))
    };
    let numbers = el("dl")
        .with(number(|t| t.run_at_most, longest))
        .with(number(|t| t.then_soak, soak))
        .with(number(|t| t.this_week, week));
    el("section")
        .class("answer")
        .class_when("old", move || shown.with(|s| s.old))
        .label(session, |t| t.answer)
        .with(numbers)
        .with_of(move || shown.with(|s| beat(session, &s.last.as_ref()?.answer)))
        .with(
            el("p")
                .class("say")
                .say(move || shown.with(|s| sentence(session, s))),
        )
        .with(how_sure(session))
}

struct Number {
    value: String,
    unit: &'static str,
}

impl Number {
    fn dash() -> Self {
        Self {
            value: "–".into(),
            unit: "",
        }
    }

    fn minutes(minutes: u32, text: &Text) -> Self {
        Self {
            value: minutes.to_string(),
            unit: text.minutes_short,
        }
    }
}

fn longest(answer: &Answer, text: &'static Text) -> Number {
    match answer.longest_run_minutes {
        Some(minutes) => Number::minutes(minutes, text),
        None => Number {
            value: String::new(),
            unit: text.no_limit,
        },
    }
}

fn soak(answer: &Answer, text: &'static Text) -> Number {
    match answer.soak_minutes {
        Some(minutes) => Number::minutes(minutes, text),
        None => Number {
            value: String::new(),
            unit: text.no_soak,
        },
    }
}

fn week(answer: &Answer, text: &'static Text) -> Number {
    Number::minutes(answer.week_minutes, text)
}

/// The name, and what the reader may set: units, language, look.
fn top(session: Session) -> El {
    let units = move || {
        session.document.update(|d| {
            d.prefs.units = if d.prefs.units == System::Si {
                System::Us
            } else {
                System::Si
            };
        });
    };
    let language = move || {
        session.set_language(match untrack(|| session.language()) {
            Language::En => Language::Es,
            Language::Es => Language::En,
        });
    };
    // What the keys show is short; what they are called says what they change.
    let units_word = move || {
        let text = session.text();
        if session.units() == System::Si {
            text.units_si
        } else {
            text.units_us
        }
    };
    let theme_word = move || {
        let text = session.text();
        match session.document.with(|d| d.prefs.theme) {
            None => text.theme_system,
            Some(Theme::Light) => text.theme_light,
            Some(Theme::Dark) => text.theme_dark,
            Some(Theme::Sun) => text.theme_sun,
        }
    };
    let called =
        move |name: Word, word: &str, slot: &str| fill(name(session.text()), &[(slot, word)]);
    let other = move || {
        if session.language() == Language::En {
            "es"
        } else {
            "en"
        }
    };
    el("div")
        .class("top")
        .with(el("h1").text("Drycurb"))
        .with(
            key(units)
                .say(move || units_word().to_string())
                .label_of(move || called(|t| t.units_button, units_word(), "units")),
        )
        .with(
            key(language)
                .word(session, |t| t.other_language)
                .attr_of("lang", move || Some(other().to_string())),
        )
        .with(
            key(move || session.turn_theme())
                .say(move || theme_word().to_string())
                .label_of(move || called(|t| t.theme_button, theme_word(), "theme")),
        )
}

/// Lines that appear only when something must be said about the page itself.
fn notices(session: Session) -> El {
    let waiting = RwSignal::new(platform::update_ready());
    hear("drycurb-update", move || waiting.set(true));
    let update = move || {
        waiting.get().then(|| {
            said(session, "p", |t| t.update_ready)
                .text(" ")
                .with(key(platform::update).word(session, |t| t.update_now))
        })
    };
    let unsaved = move || {
        session
            .unsaved
            .get()
            .then(|| said(session, "p", |t| t.not_saved).class("alarm"))
    };
    let set_aside = move || {
        let text = session.set_aside.get()?;
        let stored = el("textarea")
            .attr("readonly", "")
            .attr("rows", "4")
            .text(&text);
        Some(
            said(session, "div", |t| t.unreadable)
                .class("alarm")
                .with(stored.label(session, |t| t.unreadable))
                .with(key(move || session.set_aside.set(None)).word(session, |t| t.close)),
        )
    };
    el("div")
        .class("notices")
        .attr("aria-live", "polite")
        .with_of(update)
        .with_of(unsaved)
        .with_of(set_aside)
}

/// The day to scale: runs as solid blocks, soaks as dotted arcs.
fn beat(session: Session, answer: &Answer) -> Option<El> {
    let split = answer.split;
    if split.runs == 0 {
        return None;
    }
    const WIDTH: f64 = 340.0;
    let whole = f64::from(split.elapsed_minutes().max(1));
    let scale = WIDTH / whole;
    let (run, soak) = (
        f64::from(split.run_minutes) * scale,
        f64::from(split.soak_minutes) * scale,
    );
    let mut blocks = String::new();
    let mut arcs = String::new();
    for number in 0..split.runs.min(120) {
        let left = f64::from(number) * (run + soak);
        let wide = run.max(1.0);
        blocks.push_str(&format!("M{left:.1} 27V6h{wide:.1}V27Z"));
        if number + 1 < split.runs && soak > 3.0 {
            let (from, to) = (left + run + 2.0, left + run + soak - 2.0);
            let middle = (from + to) / 2.0;
            arcs.push_str(&format!("M{from:.1} 23Q{middle:.1} 2 {to:.1} 23"));
        }
    }
    let text = session.text();
    let runs = if split.runs == 1 {
        text.beat_one.to_string()
    } else {
        fill(text.beat_many, &[("n", &split.runs.to_string())])
    };
    let label = fill(
        text.beat_label,
        &[
            ("runs", &runs),
            ("minutes", &split.run_minutes.to_string()),
            ("soak", &split.soak_minutes.to_string()),
        ],
    );
    Some(
        svg("svg")
            .class("beat")
            .attr("viewBox", "0 0 340 30")
            .attr("preserveAspectRatio", "none")
            .attr("role", "img")
            .attr("aria-label", &label)
            .with(path("ground", "M0 28H340"))
            .with(path("run", &blocks))
            .with(path("soak", &arcs)),
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

/// One path of a drawing.
pub fn path(class: &str, d: &str) -> El {
    svg("path").attr("class", class).attr("d", d)
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
        [first @ .., last] => format!("{} {} {last}", first.join(", "), text.and),
    };
    fill(text.give_facts, &[("facts", &list)])
}

fn answer_words(session: Session, answer: &Answer) -> Vec<String> {
    let text = session.text();
    let mut words = Vec::new();
    let split = answer.split;
    if split.runs == 0 {
        let rain = session.draft(|d| station::number_or_default(d, Field::Rain)) != Some(0.0);
        words.push(
            if rain {
                text.nothing_needed
            } else {
                text.no_need
            }
            .to_string(),
        );
    } else {
        let days = count(answer.days, text.one_day, text.many_days);
        let values = [
            ("n", split.runs.to_string()),
            ("minutes", split.run_minutes.to_string()),
            ("soak", split.soak_minutes.to_string()),
        ];
        let values = values
            .each_ref()
            .map(|(name, value)| (*name, value.as_str()));
        let runs = fill(
            if split.runs == 1 {
                text.one_run
            } else {
                text.many_runs
            },
            &values,
        );
        let over = fill(
            text.over_in,
            &[("time", &hours(text, split.elapsed_minutes()))],
        );
        words.push(format!("{days} · {runs} · {over}."));
    }
    let share = format!(
        "{}\u{a0}%",
        numbers::write_short(100.0 * split.runoff_share, session.comma)
    );
    if answer.own {
        words.push(fill(text.own_runoff, &[("share", &share)]));
    } else if answer.too_fast {
        words.push(fill(text.too_fast, &[("share", &share)]));
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
        fill(text.only_minutes, &[("m", &minutes.to_string())])
    } else {
        let (h, m) = ((minutes / 60).to_string(), format!("{:02}", minutes % 60));
        fill(text.hours_minutes, &[("h", &h), ("m", &m)])
    }
}

/// Three marks and words; a tap tells why.
fn how_sure(session: Session) -> El {
    let sure = move || {
        session
            .shown
            .with(|s| s.last.as_ref().map(|o| o.answer.sure))
    };
    let known = memo(sure);
    let line = move || {
        let known = known.get()?;
        let (marks, words): (_, Word) = match known {
            Sure::Class => (1, |t| t.sure_class),
            Sure::Intake => (2, |t| t.sure_intake),
            Sure::Timed => (3, |t| t.sure_timed),
        };
        let boxes = (0..3).map(|n| el("i").class(if n < marks { "on" } else { "" }));
        let is_open = move || session.open.get() == Some(Row::Why);
        Some(
            el("p")
                .class("sure")
                .with(
                    el("span")
                        .class("marks")
                        .attr("aria-hidden", "true")
                        .with_all(boxes),
                )
                .with(
                    said(session, "span", |t| t.how_sure)
                        .text(": ")
                        .word(session, words),
                )
                .with(
                    key(move || session.toggle(Row::Why))
                        .class("why-key")
                        .flag("aria-expanded", is_open)
                        .word(session, |t| t.why),
                ),
        )
    };
    el("div").with_of(line)
}

/// The answer for a screen reader, once typing pauses.
fn spoken(session: Session) -> El {
    let said = RwSignal::new(String::new());
    let words = StoredValue::new(String::new());
    let say_later = once_quiet(700, move || said.set(words.get_value()));
    let first = std::cell::Cell::new(true);
    follow(move || {
        let now = session.shown.with(|shown| {
            let mut words = sentence(session, shown);
            if let Some(outcome) = &shown.last {
                let text = session.text();
                let answer = &outcome.answer;
                for (name, number) in [
                    (text.run_at_most, longest(answer, text)),
                    (text.then_soak, soak(answer, text)),
                    (text.this_week, week(answer, text)),
                ] {
                    words.push_str(&format!(" {name} {} {}.", number.value, number.unit));
                }
            }
            words
        });
        words.set_value(now);
        if !first.take() {
            say_later();
        }
    });
    el("p")
        .class("unseen")
        .attr("role", "status")
        .attr("aria-atomic", "true")
        .say(move || said.get())
}
