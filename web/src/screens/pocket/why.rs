//! Where the answer comes from: both figures, the ground each rests on, which governs, a drawing.

use drycurb_core::ground::cycle::Governs;
use drycurb_core::ground::protocol::PROTOCOL;
use drycurb_core::ground::soil::{CONDITION, SOIL_CLASS, STORAGE};
use drycurb_core::need::station::CHAIN;
use drycurb_core::rate::uniformity::MULTIPLIER;
use drycurb_core::reference::{Source, Standing};

use super::drawing::drawing;
use super::helps;
use super::soil::texture_word;
use crate::document::{Governed, Named};
use crate::field::Field;
use crate::numbers;
use crate::session::{Row, Session, Whose};
use crate::sheet::{Act, Sheet};
use crate::station::Outcome;
use crate::text::fill;
use crate::units::Kind;

/// The panel: one tap away on a phone, always there on a wide screen.
pub fn draw(sheet: &mut Sheet) {
    let (session, text) = (sheet.session, sheet.text);
    let open = session.open.get() == Some(Row::Why);
    sheet.put(
        "<section class=\"why {}\"><h2>{}</h2>",
        &[if open { "open" } else { "" }, text.why_title],
    );
    session.shown.with(|shown| {
        if let Some(outcome) = &shown.last {
            sheet.put("<div class=\"finder\">", &[]);
            figures(sheet, outcome);
            drawing(sheet, outcome);
            week(sheet, outcome);
            sheet.put("</div>", &[]);
        }
    });
    governed(sheet);
    helps::draw(sheet);
    sources(sheet);
    sheet.key("why-close", "row", Row::Why as u32, text.close);
    sheet.put("</section>", &[]);
}

/// Both limits side by side and which of them governs.
fn figures(sheet: &mut Sheet, outcome: &Outcome) {
    let (session, text) = (sheet.session, sheet.text);
    let comma = session.comma;
    let limits = outcome.limits;
    let minutes = |value: Option<f64>, none: &str| match value {
        Some(value) => [&numbers::write(value, 1, comma), " ", text.minutes_short].concat(),
        None => none.to_string(),
    };
    let governs = match limits.governs {
        Some(Governs::Protocol) => text.governs_protocol,
        Some(Governs::SoilModel) => text.governs_model,
        None => text.governs_none,
    };
    let share = 100.0 * outcome.answer.split.runoff_share;
    let intake = outcome.ground.intake.to_mm_per_h();
    sheet.put(
        "<div class=\"finder\"><table class=\"figures\"><thead><tr><td></td><th scope=\"col\">{}</th>\
         <th scope=\"col\">{}</th></tr></thead><tbody>\
         <tr><th scope=\"row\">{}<small>{}</small></th><td>{}</td><td>{}</td></tr>\
         <tr><th scope=\"row\">{}<small>{} {}, {}</small></th><td>{}</td><td>{}</td></tr>\
         <tr><th scope=\"row\">{}</th><td colspan=\"2\">{}\u{a0}%</td></tr></tbody></table>\
         <p class=\"result\">{}</p></div>",
        &[
            text.why_run,
            text.why_soak,
            text.why_protocol,
            texture_word(outcome.ground.soil)(text),
            &minutes(limits.protocol_run_minutes, text.no_limit),
            &minutes(Some(limits.protocol_soak_minutes), ""),
            text.why_model,
            text.intake,
            &Kind::Rate.show_with_sign(intake, session.units(), comma),
            text.why_model_at,
            &minutes(limits.model_first_run_minutes, text.no_limit),
            &minutes(outcome.answer.soak_minutes.map(f64::from), text.no_soak),
            text.why_loss,
            &numbers::write_short(share, comma),
            governs,
        ],
    );
}

/// How the week's minutes come about.
fn week(sheet: &mut Sheet, outcome: &Outcome) {
    let (session, text) = (sheet.session, sheet.text);
    let (units, comma) = (session.units(), session.comma);
    let depth = |mm: f64| Kind::Depth.show_with_sign(mm, units, comma);
    let rate = Kind::Rate.show_with_sign(outcome.rate.to_mm_per_h(), units, comma);
    let words = fill(
        text.why_week,
        &[
            ("et", depth(outcome.et_mm_per_day).as_str()),
            ("factor", &numbers::write_short(outcome.plant_factor, comma)),
            ("rain", &depth(outcome.rain_mm)),
            ("need", &depth(outcome.week_need_mm)),
            ("rate", &rate),
            ("multiplier", &numbers::write(outcome.multiplier, 2, comma)),
            (
                "minutes",
                &numbers::write(outcome.week_run_minutes, 1, comma),
            ),
        ],
    );
    sheet.put("<div class=\"finder\"><p>{}</p>", &[&words]);
    if outcome.answer.days > 0 {
        let days = numbers::write_short(outcome.longest_interval_days, comma);
        let held = depth(outcome.usable_mm);
        let values = [("held", held.as_str()), ("days", &days)];
        sheet.put("<p>{}</p>", &[&fill(text.why_interval, &values)]);
    }
    sheet.put("</div>", &[]);
}

/// Who governs: both, the protocol alone, or numbers keyed by hand.
fn governed(sheet: &mut Sheet) {
    let text = sheet.text;
    let now = sheet.session.draft(|d| d.governed);
    sheet.put("<div class=\"finder\"><h3>{}</h3>", &[text.governed]);
    let list = Governed::words(|governed| match governed {
        Governed::Both => text.governed_both,
        Governed::Protocol => text.governed_protocol,
        Governed::Own => text.governed_own,
    });
    sheet.choices("governed", 0, text.governed, &list, now.name());
    if now == Governed::Own {
        let own = [Field::OwnRuns, Field::OwnMinutes, Field::OwnSoak];
        sheet.numbers_stepped(Whose::Draft, &own);
    }
    sheet.put("</div>", &[]);
}

fn sources(sheet: &mut Sheet) {
    let text = sheet.text;
    sheet.put(
        "<details class=\"sources\"><summary>{}</summary><ul>",
        &[text.source],
    );
    for source in [PROTOCOL, SOIL_CLASS, STORAGE, CONDITION, MULTIPLIER, CHAIN] {
        let Source {
            work,
            place,
            standing,
            note,
        } = source;
        let standing = match standing {
            Standing::Checked => text.checked,
            Standing::FromMemory => text.from_memory,
            Standing::CommonPractice => text.common_practice,
            Standing::Judgement => text.judgement,
        };
        sheet.put(
            "<li><span lang=\"en\">{} — {}. {} </span><b>{}</b></li>",
            &[work, place, note, standing],
        );
    }
    sheet.put("</ul></details>", &[]);
}

/// What a hand did in the panel.
pub fn act(session: Session, act: &Act) {
    if act.verb == "governed" {
        session.change(|d| d.governed = Governed::of(&act.of).unwrap_or_default());
    }
}
