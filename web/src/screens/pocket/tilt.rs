//! The phone as a level: one reading, and a second turned half around that takes its error out.

use std::cell::RefCell;

use crate::signals::*;
use drycurb_core::order::upward;
use drycurb_core::quantity::Slope;
use drycurb_core::tilt::{Gravity, slope_turned};
use wasm_bindgen::prelude::*;

use crate::document::SlopeWay;
use crate::field::Field;
use crate::platform;
use crate::session::Session;
use crate::sheet::Sheet;
use crate::text::fill;
use crate::units::Kind;

/// How long a reading listens.
const LISTEN_MILLISECONDS: i32 = 1000;

/// The readings so far.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Tilt {
    readings: Vec<Gravity>,
    listening: bool,
    refused: bool,
}

/// What hears gravity: how to stop it, and what the browser calls back until then.
struct Hearing {
    stop: js_sys::Function,
    _hear: Closure<dyn FnMut(f64, f64, f64)>,
    _told: [Closure<dyn FnMut()>; 2],
}

thread_local! {
    static HEARING: RefCell<Option<Hearing>> = const { RefCell::new(None) };
    static FELT: RefCell<Vec<Gravity>> = const { RefCell::new(Vec::new()) };
}

fn stop_hearing() {
    if let Some(hearing) = HEARING.take() {
        let _ = hearing.stop.call0(&JsValue::NULL);
    }
}

/// Listening ends when the Pocket is left.
pub fn let_go_with_the_page(session: Session) {
    on_cleanup(move || close(session));
}

/// Stops listening and forgets the readings.
pub fn close(session: Session) {
    stop_hearing();
    session.pocket.update(|view| view.laid = None);
}

/// Changes the readings, if the phone is still being laid down.
fn change(session: Session, change: impl FnOnce(&mut Tilt)) {
    session.pocket.update(|view| {
        if let Some(tilt) = &mut view.laid {
            change(tilt);
        }
    });
}

/// The readings, and the keys to take and use them.
pub fn draw(sheet: &mut Sheet, tilt: &Tilt) {
    let text = sheet.text;
    let found = found(tilt);
    let once = tilt.readings.len() == 1;
    let says = match found {
        _ if tilt.refused => text.tilt_refused.to_string(),
        _ if tilt.listening => text.tilt_waiting.to_string(),
        None => text.tilt_how.to_string(),
        Some(None) => text.tilt_steep.to_string(),
        Some(Some(slope)) => {
            let sentence = if once {
                text.tilt_once
            } else {
                text.tilt_twice
            };
            fill(sentence, &[("value", &show(sheet, slope))])
        }
    };
    sheet.put(
        "<div class=\"finder\"><p class=\"how\" aria-live=\"polite\">{}</p><div class=\"entry\">",
        &[&says],
    );
    let take = if once { text.tilt_turn } else { text.tilt_take };
    sheet.key("main", "tilt-take", 0, take);
    if let Some(Some(slope)) = found {
        let words = fill(text.use_value, &[("value", &show(sheet, slope))]);
        sheet.key("main", "tilt-use", 0, &words);
    }
    sheet.put("</div></div>", &[]);
}

fn show(sheet: &Sheet, slope: Slope) -> String {
    let session = sheet.session;
    Kind::Percent.show_with_sign(round(slope), session.units(), session.comma)
}

/// What the readings make; `Some(None)` where the phone stood too steep.
fn found(tilt: &Tilt) -> Option<Option<Slope>> {
    match tilt.readings.as_slice() {
        [first] => Some(first.slope().ok()),
        [first, second] => Some(slope_turned(*first, *second).ok()),
        _ => None,
    }
}

/// Listens for a reading.
pub fn take(session: Session) {
    let idle = |tilt: &Tilt| !tilt.listening;
    if !session
        .pocket
        .with_untracked(|view| view.laid.as_ref().is_some_and(idle))
    {
        return;
    }
    stop_hearing();
    FELT.take();
    change(session, |tilt| {
        (tilt.refused, tilt.listening) = (false, true)
    });
    let hear = Closure::<dyn FnMut(f64, f64, f64)>::new(|x, y, z| {
        FELT.with_borrow_mut(|felt| felt.push(Gravity { x, y, z }));
    });
    let refuse = Closure::<dyn FnMut()>::new(move || {
        change(session, |tilt| {
            (tilt.refused, tilt.listening) = (true, false)
        });
    });
    // Listening may begin only once the owner of the phone allows it: the time counts from there.
    let begin = Closure::<dyn FnMut()>::new(move || {
        after(LISTEN_MILLISECONDS, move || finish(session));
    });
    let stop = platform::gravity(&hear, &begin, &refuse);
    HEARING.set(Some(Hearing {
        stop,
        _hear: hear,
        _told: [begin, refuse],
    }));
}

fn finish(session: Session) {
    stop_hearing();
    let reading = median(&FELT.take());
    change(session, |tilt| {
        if !std::mem::take(&mut tilt.listening) {
            return;
        }
        match reading {
            Some(reading) => {
                if tilt.readings.len() >= 2 {
                    tilt.readings.clear();
                }
                tilt.readings.push(reading);
            }
            None => tilt.refused = true,
        }
    });
}

/// Takes the slope that was found.
pub fn take_over(session: Session) {
    let tilt = session.pocket.with_untracked(|view| view.laid.clone());
    if let Some(Some(slope)) = tilt.as_ref().and_then(found) {
        session.change(|d| d.slope_way = SlopeWay::Percent);
        session.put_number(Field::Slope, round(slope));
        close(session);
    }
}

/// Half a percent is finer than a phone can tell.
fn round(slope: Slope) -> f64 {
    (slope.to_percent() * 2.0).round() / 2.0
}

/// The middle of each axis: one jolt does not count.
fn median(felt: &[Gravity]) -> Option<Gravity> {
    let middle = |of: fn(&Gravity) -> f64| {
        let mut axis: Vec<f64> = felt.iter().map(of).filter(|a| a.is_finite()).collect();
        upward(&mut axis);
        axis.get(axis.len() / 2).copied()
    };
    Some(Gravity {
        x: middle(|g| g.x)?,
        y: middle(|g| g.y)?,
        z: middle(|g| g.z)?,
    })
}
