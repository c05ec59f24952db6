//! Slope: percent, degrees, rise over run, or the phone laid on the ground.

use crate::signals::*;

use super::{row, tilt};
use crate::document::SlopeWay;
use crate::dom::{El, el, memo};
use crate::field::Field;
use crate::parts::choice::{choice, group};
use crate::parts::number_field::{number_field, number_fields};
use crate::parts::words::Word;
use crate::session::{Row, Session};
use crate::station;
use crate::text::fill;
use crate::units::Kind;

/// The row.
pub fn slope(session: Session) -> El {
    let percent = move || session.draft(station::slope_percent).ok().flatten();
    let value = move || match percent() {
        Some(percent) => Kind::Percent.show_with_sign(percent, session.units(), session.comma),
        None => session.text().not_given.to_string(),
    };
    let found = move || match percent() {
        Some(_) => way_word(session.draft(|d| d.slope_way))(session.text()).to_string(),
        None => String::new(),
    };
    row(session, Row::Slope, |t| t.slope, value, found, body)
}

fn way_word(way: SlopeWay) -> Word {
    match way {
        SlopeWay::Percent => |t| t.in_percent,
        SlopeWay::Degrees => |t| t.in_degrees,
        SlopeWay::RiseRun => |t| t.rise_over_run,
    }
}

fn body(session: Session) -> El {
    let laid = RwSignal::new(false);
    let way = memo(move || session.draft(|d| d.slope_way));
    let ways = [SlopeWay::Percent, SlopeWay::Degrees, SlopeWay::RiseRun].map(|this| {
        choice(
            session,
            way_word(this),
            move || !laid.get() && way.get() == this,
            move || {
                laid.set(false);
                session.change(|d| d.slope_way = this);
            },
        )
    });
    let lay = choice(
        session,
        |t| t.lay_phone,
        move || laid.get(),
        move || laid.set(true),
    );
    let entry = move || {
        Some(match way.get() {
            _ if laid.get() => tilt::tilt(session, laid),
            SlopeWay::Percent => number_field(session, Field::Slope),
            SlopeWay::Degrees => number_field(session, Field::SlopeDegrees),
            SlopeWay::RiseRun => number_fields(session, &[Field::SlopeRise, Field::SlopeRun]),
        })
    };
    let gives = move || match session.draft(station::slope_percent) {
        Ok(Some(percent)) if way.get() != SlopeWay::Percent => {
            let value = Kind::Percent.show_with_sign(percent, session.units(), session.comma);
            fill(session.text().slope_gives, &[("value", &value)])
        }
        _ => String::new(),
    };
    el("div")
        .with_of(entry)
        .with(el("p").class("result").say(gives))
        .with(group(session, |t| t.how_found).with_all(ways).with(lay))
}
