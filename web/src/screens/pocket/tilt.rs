//! The phone as a level: one reading, and a second turned half around that takes its error out.

use crate::signals::*;
use drycurb_core::order::upward;
use drycurb_core::quantity::Slope;
use drycurb_core::tilt::{Gravity, slope_turned};
use wasm_bindgen::prelude::*;

use crate::document::SlopeWay;
use crate::dom::{El, el, key};
use crate::field::Field;
use crate::platform;
use crate::session::Session;
use crate::text::fill;
use crate::units::Kind;

/// How long a reading listens.
const LISTEN_MILLISECONDS: i32 = 1000;

/// What hears gravity: how to stop it, and what the browser calls back until then.
struct Hearing {
    stop: js_sys::Function,
    _hear: Closure<dyn FnMut(f64, f64, f64)>,
    _told: [Closure<dyn FnMut()>; 2],
}

/// The readings so far, and the keys to take and use them. `laid` closes it.
pub fn tilt(session: Session, laid: RwSignal<bool>) -> El {
    let readings = RwSignal::new(Vec::<Gravity>::new());
    let listening = RwSignal::new(false);
    let refused = RwSignal::new(false);
    let felt = StoredValue::new(Vec::<Gravity>::new());
    let hearing = StoredValue::new(None::<Hearing>);
    let stop_hearing = move || {
        if let Some(hearing) = hearing.try_update_value(Option::take).flatten() {
            let _ = hearing.stop.call0(&JsValue::NULL);
        }
    };
    on_cleanup(stop_hearing);
    let take = move || {
        if listening.get_untracked() {
            return;
        }
        felt.set_value(Vec::new());
        refused.set(false);
        listening.set(true);
        let hear = Closure::<dyn FnMut(f64, f64, f64)>::new(move |x, y, z| {
            felt.update_value(|felt| felt.push(Gravity { x, y, z }));
        });
        let refuse = Closure::<dyn FnMut()>::new(move || {
            refused.set(true);
            listening.set(false);
        });
        let finish = move || {
            stop_hearing();
            if !listening.try_get_untracked().unwrap_or(false) {
                return;
            }
            listening.set(false);
            match median(&felt.get_value()) {
                Some(reading) => readings.update(|readings| {
                    if readings.len() >= 2 {
                        readings.clear();
                    }
                    readings.push(reading);
                }),
                None => refused.set(true),
            }
        };
        // Listening may begin only once the owner of the phone allows it: the time counts from there.
        let begin = Closure::<dyn FnMut()>::new(move || after(LISTEN_MILLISECONDS, finish));
        let stop = platform::gravity(&hear, &begin, &refuse);
        hearing.set_value(Some(Hearing {
            stop,
            _hear: hear,
            _told: [begin, refuse],
        }));
    };
    let found = move || {
        readings.with(|readings| match readings.as_slice() {
            [first] => Some(first.slope().ok()),
            [first, second] => Some(slope_turned(*first, *second).ok()),
            _ => None,
        })
    };
    let show = move |slope: Slope| {
        Kind::Percent.show_with_sign(round(slope), session.units(), session.comma)
    };
    let says = move || {
        let text = session.text();
        if refused.get() {
            return text.tilt_refused.to_string();
        }
        if listening.get() {
            return text.tilt_waiting.to_string();
        }
        match found() {
            None => text.tilt_how.to_string(),
            Some(None) => text.tilt_steep.to_string(),
            Some(Some(slope)) => {
                let sentence = if readings.with(Vec::len) == 1 {
                    text.tilt_once
                } else {
                    text.tilt_twice
                };
                fill(sentence, &[("value", &show(slope))])
            }
        }
    };
    let take_word = move || {
        let text = session.text();
        let words = if readings.with(Vec::len) == 1 {
            text.tilt_turn
        } else {
            text.tilt_take
        };
        words.to_string()
    };
    let use_it = move || {
        let slope = found().flatten()?;
        let use_slope = move || {
            session.change(|d| d.slope_way = SlopeWay::Percent);
            session.put_number(Field::Slope, round(slope));
            laid.set(false);
        };
        let words = move || fill(session.text().use_value, &[("value", &show(slope))]);
        Some(key(use_slope).class("main").say(words))
    };
    let entry = el("div")
        .class("entry")
        .with(key(take).class("main").say(take_word));
    el("div")
        .class("finder")
        .with(el("p").class("how").attr("aria-live", "polite").say(says))
        .with(entry.with_of(use_it))
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
