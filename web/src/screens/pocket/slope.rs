//! Slope: percent, degrees, rise over run, or the phone laid on the ground.

use super::{row, tilt};
use crate::document::{Named, SlopeWay};
use crate::field::Field;
use crate::session::{Row, Session, Whose};
use crate::sheet::{Act, Sheet};
use crate::station;
use crate::text::{Text, fill};
use crate::units::Kind;

/// The row.
pub fn draw(sheet: &mut Sheet) {
    let (session, text) = (sheet.session, sheet.text);
    let (percent, way) = session.draft(|d| (station::slope_percent(d), d.slope_way));
    match percent {
        Ok(Some(percent)) => {
            let value = Kind::Percent.show_with_sign(percent, session.units(), session.comma);
            row(
                sheet,
                Row::Slope,
                text.slope,
                &value,
                way_word(way, text),
                body,
            );
        }
        _ => row(sheet, Row::Slope, text.slope, text.not_given, "", body),
    }
}

fn way_word(way: SlopeWay, text: &Text) -> &'static str {
    match way {
        SlopeWay::Percent => text.in_percent,
        SlopeWay::Degrees => text.in_degrees,
        SlopeWay::RiseRun => text.rise_over_run,
    }
}

/// What stands for the phone among the ways.
const LAID: &str = "laid";

fn body(sheet: &mut Sheet) {
    let (session, text) = (sheet.session, sheet.text);
    let way = session.draft(|d| d.slope_way);
    let laid = session.pocket.with(|view| view.laid.clone());
    let mut now = way.name();
    match laid {
        Some(readings) => {
            now = LAID;
            tilt::draw(sheet, &readings);
        }
        None => match way {
            SlopeWay::Percent => sheet.number_stepped(Whose::Draft, Field::Slope),
            SlopeWay::Degrees => sheet.number_stepped(Whose::Draft, Field::SlopeDegrees),
            SlopeWay::RiseRun => {
                sheet.numbers_stepped(Whose::Draft, &[Field::SlopeRise, Field::SlopeRun]);
            }
        },
    }
    let gives = match session.draft(station::slope_percent) {
        Ok(Some(percent)) if way != SlopeWay::Percent => {
            let value = Kind::Percent.show_with_sign(percent, session.units(), session.comma);
            fill(text.slope_gives, &[("value", &value)])
        }
        _ => String::new(),
    };
    sheet.put("<p class=\"result\">{}</p>", &[&gives]);
    let mut ways = SlopeWay::words(|way| way_word(way, text));
    ways.push((LAID, text.lay_phone));
    sheet.choices("slope-way", 0, text.how_found, &ways, now);
}

/// What a hand did in the row.
pub fn act(session: Session, act: &Act) {
    match act.verb.as_str() {
        "slope-way" => {
            tilt::close(session);
            match SlopeWay::of(&act.of) {
                Some(way) => session.change(|d| d.slope_way = way),
                None => session
                    .pocket
                    .update(|view| view.laid = Some(Default::default())),
            }
        }
        "tilt-take" => tilt::take(session),
        "tilt-use" => tilt::take_over(session),
        _ => {}
    }
}
