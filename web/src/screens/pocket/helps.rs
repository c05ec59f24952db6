//! Where no split holds the water: what would, asked of the worker so that typing never waits.

use serde_json::{Value, json};

use crate::dom::follow;
use crate::numbers;
use crate::platform;
use crate::session::Session;
use crate::sheet::Sheet;
use crate::signals::*;
use crate::station::{Outcome, Sure, request};
use crate::text::fill;
use drycurb_core::ground::Condition;

/// What can be changed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Change {
    HalfRate,
    Loosen,
    MoreDays,
}

/// One thing to try, and the share that still runs off once the worker has told.
#[derive(Clone, Debug, PartialEq)]
pub struct Help {
    change: Change,
    days: u32,
    request: Value,
    share: Option<f64>,
    /// It cannot be worked out; nothing is said of it.
    refused: bool,
}

/// Asks anew whenever the answer is another one.
pub fn ask(session: Session) {
    let wanted = Memo::new(move |_| {
        session.shown.with(|shown| {
            let outcome = shown.last.as_ref();
            let outcome = outcome.filter(|o| o.answer.too_fast && !shown.old);
            outcome.map(trials).unwrap_or_default()
        })
    });
    let turn = StoredValue::new(0_u32);
    follow(move || {
        let asked = wanted.get();
        turn.update_value(|turn| *turn += 1);
        let this_turn = turn.get_value();
        for (number, trial) in asked.iter().enumerate() {
            let heard = move |answer: Value| {
                if turn.try_get_value() == Some(this_turn) {
                    let share = answer["ok"]["expected_runoff_share"].as_f64();
                    session.helps.update(|helps| {
                        helps[number].share = share;
                        helps[number].refused = share.is_none();
                    });
                }
            };
            platform::ask_worker(&trial.request, Box::new(heard));
        }
        session.helps.set(asked);
    });
}

fn trials(outcome: &Outcome) -> Vec<Help> {
    let base = request(outcome);
    let with = |change, name: &str, value: Value| {
        let mut request = base.clone();
        request[name] = value;
        Help {
            change,
            days: 0,
            request,
            share: None,
            refused: false,
        }
    };
    let half = json!(outcome.rate.to_mm_per_h() / 2.0);
    let mut list = vec![with(Change::HalfRate, "precipitation_mm_per_h", half)];
    // A measured intake already has the treatment of the ground in it.
    let by_class = outcome.answer.sure == Sure::Class;
    if by_class && outcome.ground.condition != Condition::Loose {
        list.push(with(Change::Loosen, "condition", json!("loose")));
    }
    if outcome.answer.days < 7 {
        let days = outcome.answer.days + 1;
        list.push(Help {
            days,
            ..with(Change::MoreDays, "days", json!(days))
        });
    }
    list
}

/// What would help, as far as it is known.
pub fn draw(sheet: &mut Sheet) {
    let (session, text) = (sheet.session, sheet.text);
    sheet.put("<div aria-live=\"polite\">", &[]);
    session.helps.with(|helps| {
        let said = || helps.iter().filter(|help| !help.refused);
        if said().next().is_none() {
            return;
        }
        sheet.put(
            "<div class=\"finder\"><h3>{}</h3><ul class=\"helps\">",
            &[text.what_helps],
        );
        for help in said() {
            let words = match help.change {
                Change::HalfRate => text.help_rate,
                Change::Loosen => text.help_loosen,
                Change::MoreDays => text.help_days,
            };
            let line = match help.share {
                None => text.help_asking.to_string(),
                Some(share) => {
                    let share = numbers::write_short(100.0 * share, session.comma);
                    let share = [&share, "\u{a0}%"].concat();
                    let days = help.days.to_string();
                    fill(words, &[("share", share.as_str()), ("days", &days)])
                }
            };
            sheet.put("<li>{}</li>", &[&line]);
        }
        sheet.put("</ul></div>", &[]);
    });
    sheet.put("</div>", &[]);
}
