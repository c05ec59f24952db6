//! A stopwatch on the wall clock: it survives a reload, a locked screen and a killed tab.

use crate::document::{Named, Stopwatch};
use crate::field::Field;
use crate::numbers;
use crate::platform;
use crate::session::Session;
use crate::sheet::{Act, Sheet};
use crate::signals::*;
use crate::text::fill;

/// The watch, and a button that puts its minutes into `field`.
pub fn stopwatch(sheet: &mut Sheet, field: Field) {
    let (session, text) = (sheet.session, sheet.text);
    let watch = session.document.with(|d| d.stopwatch);
    // The moment is looked at only while the watch runs: a standing one draws nothing anew.
    let moment = if watch.runs() {
        session.moment.get()
    } else {
        0
    };
    let face = match watch.seconds(moment) {
        Some(seconds) => clock_face(seconds),
        None if watch.started_ms.is_some() => text.watch_set_back.into(),
        None => clock_face(0.0),
    };
    sheet.put(
        "<div class=\"stopwatch\"><p class=\"face\" role=\"timer\">{}</p><div class=\"entry\">",
        &[&face],
    );
    let timed = watch.stopped_ms.and_then(|_| watch.seconds(0));
    if watch.runs() {
        sheet.key_of("main", "watch", "stop", "", text.watch_stop);
    } else if let Some(seconds) = timed {
        let shown = numbers::write(seconds / 60.0, 2, session.comma);
        let words = fill(text.watch_use, &[("minutes", &shown)]);
        sheet.key_of("main", "watch", field.name(), "", &words);
        sheet.key_of("", "watch", "clear", "", text.watch_clear);
    } else {
        sheet.key_of("main", "watch", "start", "", text.watch_start);
    }
    sheet.put("</div><p class=\"how\">{}</p></div>", &[text.watch_running]);
}

/// A key of the watch was tapped.
pub fn act(session: Session, act: &Act) {
    let watch = session.document.with_untracked(|d| d.stopwatch);
    let next = match act.of.as_str() {
        "start" => Stopwatch {
            started_ms: Some(now_ms()),
            stopped_ms: None,
        },
        "stop" => Stopwatch {
            stopped_ms: Some(now_ms()),
            ..watch
        },
        "clear" => Stopwatch::default(),
        field => {
            if let (Some(field), Some(seconds)) = (Field::of(field), watch.seconds(0)) {
                session.put_number(field, seconds / 60.0);
            }
            return;
        }
    };
    session.moment.set(now_ms());
    session.document.update(|d| d.stopwatch = next);
}

/// While the watch runs the moment moves on, and the screen is asked to stay on.
pub fn keep_awake(session: Session) {
    session.moment.set(now_ms());
    every(250, move || {
        if session.document.with_untracked(|d| d.stopwatch.runs()) {
            session.moment.set(now_ms());
        }
    });
    let runs = Memo::new(move |_| session.document.with(|d| d.stopwatch.runs()));
    let awake = StoredValue::new(None::<js_sys::Function>);
    let let_go = move || {
        if let Some(let_go) = awake.try_update_value(Option::take).flatten() {
            let _ = let_go.call0(&wasm_bindgen::JsValue::NULL);
        }
    };
    crate::dom::follow(move || {
        let_go();
        if runs.get() {
            awake.set_value(Some(platform::stay_awake()));
        }
    });
    on_cleanup(let_go);
}

/// The wall clock.
fn now_ms() -> u64 {
    js_sys::Date::now() as u64
}

fn clock_face(seconds: f64) -> String {
    let whole = seconds.floor() as u64;
    format!("{}:{:02}", whole / 60, whole % 60)
}
