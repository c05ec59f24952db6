//! Where the answer comes from: both figures, the ground each rests on, which governs, a drawing.

use crate::signals::*;
use drycurb_core::ground::Condition;
use drycurb_core::ground::cycle::Governs;
use drycurb_core::ground::protocol::PROTOCOL;
use drycurb_core::ground::soil::{CONDITION, SOIL_CLASS, STORAGE};
use drycurb_core::json;
use drycurb_core::need::station::CHAIN;
use drycurb_core::rate::uniformity::MULTIPLIER;
use drycurb_core::reference::{Source, Standing};
use serde_json::Value;

use super::drawing::drawing;
use super::soil::texture_word;
use crate::document::Governed;
use crate::dom::{El, el, follow, key, memo};
use crate::field::Field;
use crate::numbers;
use crate::parts::choice::choices;
use crate::parts::number_field::number_fields;
use crate::parts::words::{Word, said};
use crate::platform;
use crate::session::{Row, Session};
use crate::station::{Outcome, Sure, request};
use crate::text::{Text, fill};
use crate::units::Kind;

/// The panel: one tap away on a phone, always there on a wide screen.
pub fn why(session: Session) -> El {
    let open = move || session.open.get() == Some(Row::Why);
    let numbers = move || {
        session.shown.with(|shown| {
            let outcome = shown.last.as_ref()?;
            let panel = el("div").class("finder").with(figures(session, outcome));
            Some(
                panel
                    .with_all(drawing(session, outcome))
                    .with(week(session, outcome)),
            )
        })
    };
    el("section")
        .class("why")
        .class_when("open", open)
        .with(said(session, "h2", |t| t.why_title))
        .with_of(numbers)
        .with(governed(session))
        .with(helps(session))
        .with(sources(session))
        .with(
            key(move || session.open.set(None))
                .class("why-close")
                .word(session, |t| t.close),
        )
}

/// Both limits side by side and which of them governs.
fn figures(session: Session, outcome: &Outcome) -> El {
    let text = session.text();
    let limits = outcome.limits;
    let minutes = |value: Option<f64>| {
        value.map_or(text.no_limit.to_string(), |value| {
            format!(
                "{} {}",
                numbers::write(value, 1, session.comma),
                text.minutes_short
            )
        })
    };
    let governs = match limits.governs {
        Some(Governs::Protocol) => text.governs_protocol,
        Some(Governs::SoilModel) => text.governs_model,
        None => text.governs_none,
    };
    let share = 100.0 * outcome.answer.split.runoff_share;
    let loss = format!("{}\u{a0}%", numbers::write_short(share, session.comma));
    let intake = Kind::Rate.show_with_sign(
        outcome.ground.intake.to_mm_per_h(),
        session.units(),
        session.comma,
    );
    let cell = |words: &str| el("td").text(words);
    let head = |words: &str| el("th").attr("scope", "col").text(words);
    let row = |name: &str, note: &str| {
        let name = el("th").attr("scope", "row").text(name);
        el("tr").with(if note.is_empty() {
            name
        } else {
            name.with(el("small").text(note))
        })
    };
    let model_note = format!("{} {intake}, {}", text.intake, text.why_model_at);
    let soak = outcome.answer.soak_minutes.map(f64::from);
    let soak = soak.map_or(text.no_soak.to_string(), |soak| minutes(Some(soak)));
    let body = el("tbody")
        .with(
            row(text.why_protocol, texture_word(outcome.ground.soil)(text))
                .with(cell(&minutes(limits.protocol_run_minutes)))
                .with(cell(&minutes(Some(limits.protocol_soak_minutes)))),
        )
        .with(
            row(text.why_model, &model_note)
                .with(cell(&minutes(limits.model_first_run_minutes)))
                .with(cell(&soak)),
        )
        .with(row(text.why_loss, "").with(cell(&loss).attr("colspan", "2")));
    let heads = el("tr")
        .with(el("td"))
        .with(head(text.why_run))
        .with(head(text.why_soak));
    let table = el("table")
        .class("figures")
        .with(el("thead").with(heads))
        .with(body);
    el("div")
        .class("finder")
        .with(table)
        .with(el("p").class("result").text(governs))
}

/// How the week's minutes come about.
fn week(session: Session, outcome: &Outcome) -> El {
    let text = session.text();
    let (units, comma) = (session.units(), session.comma);
    let depth = |mm: f64| Kind::Depth.show_with_sign(mm, units, comma);
    let values = [
        ("et", depth(outcome.et_mm_per_day)),
        ("factor", numbers::write_short(outcome.plant_factor, comma)),
        ("rain", depth(outcome.rain_mm)),
        ("need", depth(outcome.week_need_mm)),
        (
            "rate",
            Kind::Rate.show_with_sign(outcome.rate.to_mm_per_h(), units, comma),
        ),
        ("multiplier", numbers::write(outcome.multiplier, 2, comma)),
        (
            "minutes",
            numbers::write(outcome.week_run_minutes, 1, comma),
        ),
    ];
    let values = values
        .each_ref()
        .map(|(name, value)| (*name, value.as_str()));
    let days = numbers::write_short(outcome.longest_interval_days, comma);
    let interval = [("held", depth(outcome.usable_mm)), ("days", days)];
    let interval = interval
        .each_ref()
        .map(|(name, value)| (*name, value.as_str()));
    let lasts =
        (outcome.answer.days > 0).then(|| el("p").text(&fill(text.why_interval, &interval)));
    el("div")
        .class("finder")
        .with(el("p").text(&fill(text.why_week, &values)))
        .with_all(lasts)
}

/// Who governs: both, the protocol alone, or numbers keyed by hand.
fn governed(session: Session) -> El {
    let list: [(Governed, Word); 3] = [
        (Governed::Both, |t| t.governed_both),
        (Governed::Protocol, |t| t.governed_protocol),
        (Governed::Own, |t| t.governed_own),
    ];
    let now = memo(move || session.draft(|d| d.governed));
    let choose = move |governed| session.change(|d| d.governed = governed);
    let own = [Field::OwnRuns, Field::OwnMinutes, Field::OwnSoak];
    let fields = move || (now.get() == Governed::Own).then(|| number_fields(session, &own));
    el("div")
        .class("finder")
        .with(said(session, "h3", |t| t.governed))
        .with(choices(
            session,
            |t| t.governed,
            &list,
            move || now.get(),
            choose,
        ))
        .with_of(fields)
}

/// Where no split holds the water: what would, asked of the worker so that typing never waits.
fn helps(session: Session) -> El {
    let questions = memo(move || {
        session.shown.with(|shown| {
            let outcome = shown
                .last
                .as_ref()
                .filter(|o| o.answer.too_fast && !shown.old)?;
            Some(trials(outcome))
        })
    });
    let answers = RwSignal::new(Vec::<(usize, f64)>::new());
    let turn = StoredValue::new(0_u32);
    follow(move || {
        let asked = questions.get();
        turn.update_value(|turn| *turn += 1);
        let this_turn = turn.get_value();
        answers.set(Vec::new());
        for (number, trial) in asked.into_iter().flatten().enumerate() {
            let heard = move |answer: Value| {
                let share = answer["ok"]["expected_runoff_share"].as_f64();
                if let (Some(share), true) = (share, turn.try_get_value() == Some(this_turn)) {
                    answers.update(|answers| answers.push((number, share)));
                }
            };
            platform::ask_worker(&trial.request, Box::new(heard));
        }
    });
    let lines = move || {
        let text = session.text();
        let asked = questions.get()?;
        let items = asked.iter().enumerate().map(|(number, trial)| {
            let share = answers.with(|a| a.iter().find(|(n, _)| *n == number).map(|(_, s)| *s));
            let line = match share {
                None => text.help_asking.to_string(),
                Some(share) => {
                    let share = numbers::write_short(100.0 * share, session.comma);
                    let share = format!("{share}\u{a0}%");
                    let values = [("share", share.as_str()), ("days", trial.days.as_str())];
                    fill(trial.kind.words(text), &values)
                }
            };
            el("li").text(&line)
        });
        let items = el("ul").class("helps").with_all(items);
        Some(
            el("div")
                .class("finder")
                .with(el("h3").text(text.what_helps))
                .with(items),
        )
    };
    el("div").attr("aria-live", "polite").with_of(lines)
}

/// What can be changed.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Change {
    HalfRate,
    Loosen,
    MoreDays,
}

impl Change {
    fn words(self, text: &Text) -> &'static str {
        match self {
            Self::HalfRate => text.help_rate,
            Self::Loosen => text.help_loosen,
            Self::MoreDays => text.help_days,
        }
    }
}

/// One thing to try.
#[derive(Clone, PartialEq)]
struct Trial {
    kind: Change,
    days: String,
    request: Value,
}

fn trials(outcome: &Outcome) -> Vec<Trial> {
    let base = request(outcome);
    let with = |name: &str, value: Value| {
        let mut request = base.clone();
        request[name] = value;
        request
    };
    let mut list = vec![Trial {
        kind: Change::HalfRate,
        days: String::new(),
        request: with(
            "precipitation_mm_per_h",
            json!(outcome.rate.to_mm_per_h() / 2.0),
        ),
    }];
    // A measured intake already has the treatment of the ground in it.
    let by_class = outcome.answer.sure == Sure::Class;
    if by_class && outcome.ground.condition != Condition::Loose {
        list.push(Trial {
            kind: Change::Loosen,
            days: String::new(),
            request: with("condition", json!("loose")),
        });
    }
    if outcome.answer.days < 7 {
        let days = outcome.answer.days + 1;
        list.push(Trial {
            kind: Change::MoreDays,
            days: days.to_string(),
            request: with("days", json!(days)),
        });
    }
    list
}

fn sources(session: Session) -> El {
    let list = [PROTOCOL, SOIL_CLASS, STORAGE, CONDITION, MULTIPLIER, CHAIN].map(|source| {
        let Source {
            work,
            place,
            standing,
            note,
        } = source;
        let standing: Word = match standing {
            Standing::Checked => |t| t.checked,
            Standing::FromMemory => |t| t.from_memory,
            Standing::CommonPractice => |t| t.common_practice,
            Standing::Judgement => |t| t.judgement,
        };
        let work = el("span")
            .attr("lang", "en")
            .text(&format!("{work} — {place}. {note} "));
        el("li").with(work).with(said(session, "b", standing))
    });
    el("details")
        .class("sources")
        .with(said(session, "summary", |t| t.source))
        .with(el("ul").with_all(list))
}
