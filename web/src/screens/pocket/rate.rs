//! Precipitation rate: typed, or worked out from what can be measured.

use super::row;
use crate::document::{Layout, RateWay};
use crate::dom::{El, el, memo};
use crate::field::Field;
use crate::numbers;
use crate::parts::choice::choices;
use crate::parts::number_field::{number_field, number_fields};
use crate::parts::words::{Word, how, said};
use crate::session::{Row, Session};
use crate::station::{self, Cans};
use crate::text::fill;
use crate::units::Kind;

/// The row.
pub fn rate(session: Session) -> El {
    let rate = move || session.draft(station::rate_mm_per_h).ok().flatten();
    let value = move || match rate() {
        Some(rate) => Kind::Rate.show_with_sign(rate, session.units(), session.comma),
        None => session.text().not_given.to_string(),
    };
    let found = move || match rate() {
        Some(_) => {
            let way = session.draft(|d| d.rate_way);
            WAYS.iter()
                .find(|(this, _)| *this == way)
                .map_or("", |(_, word)| word(session.text()))
                .into()
        }
        None => String::new(),
    };
    row(session, Row::Rate, |t| t.rate, value, found, body)
}

/// The words for each way.
pub const WAYS: [(RateWay, Word); 6] = [
    (RateWay::Typed, |t| t.type_it),
    (RateWay::Area, |t| t.from_area),
    (RateWay::Spacing, |t| t.from_spacing),
    (RateWay::Drip, |t| t.from_drip),
    (RateWay::Meter, |t| t.from_meter),
    (RateWay::Cans, |t| t.from_cans),
];

fn body(session: Session) -> El {
    let way = memo(move || session.draft(|d| d.rate_way));
    let entry = move || {
        Some(match way.get() {
            RateWay::Typed => number_field(session, Field::Rate),
            RateWay::Spacing => spacing(session),
            RateWay::Cans => cans(session),
            way => number_fields(session, station::rate_fields(way)),
        })
    };
    let choose = move |way| session.change(|d| d.rate_way = way);
    el("div").with_of(entry).with(choices(
        session,
        |t| t.how_found,
        &WAYS,
        move || way.get(),
        choose,
    ))
}

fn spacing(session: Session) -> El {
    let list: [(Layout, Word); 2] = [
        (Layout::Square, |t| t.square),
        (Layout::Triangle, |t| t.triangle),
    ];
    let layout = move || session.draft(|d| d.layout);
    let choose = move |layout| session.change(|d| d.layout = layout);
    let note = move || (layout() == Layout::Triangle).then(|| how(session, |t| t.triangle_note));
    el("div")
        .class("finder")
        .with(choices(session, |t| t.layout, &list, layout, choose))
        .with(number_fields(
            session,
            station::rate_fields(RateWay::Spacing),
        ))
        .with_of(note)
}

fn cans(session: Session) -> El {
    let test = move || session.draft(station::cans);
    let says = move || {
        let text = session.text();
        match test() {
            Cans::Incomplete => text.catches_hint.to_string(),
            Cans::NotNumbers => text.catches_bad.to_string(),
            Cans::Refused => text.catches_few.to_string(),
            Cans::Read {
                count,
                lowest,
                mean_mm,
                uniformity_percent,
            } => {
                let mean = Kind::Depth.show_with_sign(mean_mm, session.units(), session.comma);
                let uniformity = format!(
                    "{}\u{a0}%",
                    numbers::write(uniformity_percent, 0, session.comma)
                );
                let values = [
                    ("n", count.to_string()),
                    ("mean", mean),
                    ("uniformity", uniformity),
                    ("low", lowest.to_string()),
                ];
                let values = values
                    .each_ref()
                    .map(|(name, value)| (*name, value.as_str()));
                let mut words = vec![
                    fill(text.cans_give, &values),
                    text.cans_use_uniformity.into(),
                ];
                if uniformity_percent < 50.0 {
                    words.push(text.cans_repair.into());
                }
                words.join(" ")
            }
        }
    };
    let wrong = move || matches!(test(), Cans::NotNumbers | Cans::Refused);
    let catches = el("textarea")
        .id("catches")
        .attr("rows", "3")
        .attr("autocomplete", "off")
        .attr("aria-describedby", "catches-note")
        .flag("aria-invalid", wrong)
        .value_of(move || session.draft(|d| d.catches.clone()))
        .typed(move |text| session.change(|d| d.catches = text));
    let note = el("p")
        .class("note")
        .id("catches-note")
        .class_when("wrong", wrong)
        .say(says);
    el("div")
        .class("finder")
        .with(number_fields(session, station::rate_fields(RateWay::Cans)))
        .with(
            el("div")
                .class("number-field")
                .with(said(session, "label", |t| t.catches).attr("for", "catches"))
                .with(catches)
                .with(note),
        )
}
