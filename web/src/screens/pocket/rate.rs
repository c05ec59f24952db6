//! Precipitation rate: typed, or worked out from what can be measured.

use super::row;
use crate::document::{Layout, Named, RateWay};
use crate::field::Field;
use crate::numbers;
use crate::parts::words::Word;
use crate::session::{Row, Session, Whose};
use crate::sheet::{Act, Sheet};
use crate::station::{self, Cans};
use crate::text::{Text, fill};
use crate::units::Kind;

/// The row.
pub fn draw(sheet: &mut Sheet) {
    let (session, text) = (sheet.session, sheet.text);
    let (rate, way) = session.draft(|d| (station::rate_mm_per_h(d), d.rate_way));
    match rate {
        Ok(Some(rate)) => {
            let value = Kind::Rate.show_with_sign(rate, session.units(), session.comma);
            row(
                sheet,
                Row::Rate,
                text.rate,
                &value,
                way_word(way, text),
                body,
            );
        }
        _ => row(sheet, Row::Rate, text.rate, text.not_given, "", body),
    }
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

fn way_word(way: RateWay, text: &Text) -> &'static str {
    let found = WAYS.iter().find(|(this, _)| *this == way);
    found.map_or("", |(_, word)| word(text))
}

fn body(sheet: &mut Sheet) {
    let text = sheet.text;
    let way = sheet.session.draft(|d| d.rate_way);
    match way {
        RateWay::Typed => sheet.number_stepped(Whose::Draft, Field::Rate),
        RateWay::Spacing => spacing(sheet),
        RateWay::Cans => cans(sheet),
        way => sheet.numbers_stepped(Whose::Draft, station::rate_fields(way)),
    }
    let ways = RateWay::words(|way| way_word(way, text));
    sheet.choices("rate-way", 0, text.how_found, &ways, way.name());
}

fn spacing(sheet: &mut Sheet) {
    let text = sheet.text;
    let layout = sheet.session.draft(|d| d.layout);
    sheet.put("<div class=\"finder\">", &[]);
    let layouts = Layout::words(|layout| match layout {
        Layout::Square => text.square,
        Layout::Triangle => text.triangle,
    });
    sheet.choices("layout", 0, text.layout, &layouts, layout.name());
    sheet.numbers_stepped(Whose::Draft, station::rate_fields(RateWay::Spacing));
    if layout == Layout::Triangle {
        sheet.put("<p class=\"how\">{}</p>", &[text.triangle_note]);
    }
    sheet.put("</div>", &[]);
}

fn cans(sheet: &mut Sheet) {
    let (session, text) = (sheet.session, sheet.text);
    let (test, typed) = session.draft(|d| (station::cans(d), d.catches.clone()));
    let fault = catches_fault(text, &test, &typed);
    let wrong = fault.is_some();
    let says = match test {
        Cans::Read {
            count,
            lowest,
            mean_mm,
            uniformity_percent,
        } => {
            let mean = Kind::Depth.show_with_sign(mean_mm, session.units(), session.comma);
            let percent = numbers::write(uniformity_percent, 0, session.comma);
            let values = [
                ("n", count.to_string()),
                ("mean", mean),
                ("uniformity", [&percent, "\u{a0}%"].concat()),
                ("low", lowest.to_string()),
            ];
            let values = values
                .each_ref()
                .map(|(name, value)| (*name, value.as_str()));
            let mut words = fill(text.cans_give, &values);
            words.push(' ');
            words.push_str(text.cans_use_uniformity);
            if uniformity_percent < 50.0 {
                words.push(' ');
                words.push_str(text.cans_repair);
            }
            words
        }
        _ => fault.unwrap_or_else(|| text.catches_hint.to_string()),
    };
    let (class, invalid) = if wrong {
        ("note wrong", "true")
    } else {
        ("note", "false")
    };
    sheet.put("<div class=\"finder\">", &[]);
    sheet.numbers_stepped(Whose::Draft, station::rate_fields(RateWay::Cans));
    sheet.put(
        "<div class=\"number-field\"><label for=\"catches\">{}</label>\
         <textarea id=\"catches\" rows=\"3\" autocomplete=\"off\" aria-describedby=\"catches-note\" \
         aria-invalid=\"{}\" data-in=\"catches\">{}</textarea>\
         <p class=\"{}\" id=\"catches-note\">{}</p></div></div>",
        &[text.catches, invalid, &typed, class, &says],
    );
}

/// What is wrong with a list of catches.
pub fn catches_fault(text: &Text, test: &Cans, typed: &str) -> Option<String> {
    match test {
        Cans::NotNumbers => Some(text.catches_bad.to_string()),
        Cans::Unclear => {
            let seen = numbers::unclear_comma(typed).unwrap_or_default();
            Some(fill(text.catches_comma, &[("seen", seen)]))
        }
        Cans::Refused => Some(text.catches_few.to_string()),
        _ => None,
    }
}

/// What a hand did in the row.
pub fn act(session: Session, act: &Act) {
    session.change_if(|d| {
        match act.verb.as_str() {
            "rate-way" => d.rate_way = RateWay::of(&act.of).unwrap_or_default(),
            "layout" => d.layout = Layout::of(&act.of).unwrap_or_default(),
            "catches" => d.catches = act.value.clone(),
            _ => return false,
        }
        true
    });
}
