//! A stopwatch on the wall clock: it survives a reload, a locked screen and a killed tab.

use crate::signals::*;

use super::words::{how, said};
use crate::document::Stopwatch;
use crate::dom::{El, el, key, memo};
use crate::field::Field;
use crate::numbers;
use crate::platform;
use crate::session::Session;
use crate::text::fill;

/// The watch, and a button that puts its minutes into `field`.
pub fn stopwatch(session: Session, field: Field) -> El {
    let now = RwSignal::new(now_ms());
    every(250, move || now.set(now_ms()));
    let face = move || {
        let watch = watch(session);
        let moment = if watch.runs() { now.get() } else { 0 };
        match watch.seconds(moment) {
            Some(seconds) => clock_face(seconds),
            None if watch.started_ms.is_some() => session.text().watch_set_back.into(),
            None => clock_face(0.0),
        }
    };
    // The screen is asked to stay on while the watch runs and this part is shown.
    let runs = memo(move || watch(session).runs());
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
    el("div")
        .class("stopwatch")
        .with(el("p").class("face").attr("role", "timer").say(face))
        .with_of(move || Some(keys(session, field)))
        .with(how(session, |t| t.watch_running))
}

fn watch(session: Session) -> Stopwatch {
    session.document.with(|d| d.stopwatch)
}

fn set(session: Session, watch: Stopwatch) {
    session.document.update(|d| d.stopwatch = watch);
}

fn keys(session: Session, field: Field) -> El {
    let now = watch(session);
    let entry = el("div").class("entry");
    if now.runs() {
        let stop = move || {
            set(
                session,
                Stopwatch {
                    stopped_ms: Some(now_ms()),
                    ..now
                },
            );
        };
        return entry.with(key(stop).class("main").word(session, |t| t.watch_stop));
    }
    let minutes = now
        .stopped_ms
        .and_then(|_| now.seconds(0))
        .map(|seconds| seconds / 60.0);
    let Some(minutes) = minutes else {
        let start = move || {
            let watch = Stopwatch {
                started_ms: Some(now_ms()),
                stopped_ms: None,
            };
            set(session, watch);
        };
        return entry.with(key(start).class("main").word(session, |t| t.watch_start));
    };
    let shown = numbers::write(minutes, 2, session.comma);
    let use_it = key(move || session.put_number(field, minutes))
        .class("main")
        .say(move || fill(session.text().watch_use, &[("minutes", &shown)]));
    let clear = said(session, "button", |t| t.watch_clear)
        .attr("type", "button")
        .tap(move || set(session, Stopwatch::default()));
    entry.with(use_it).with(clear)
}

/// The wall clock.
fn now_ms() -> u64 {
    js_sys::Date::now() as u64
}

fn clock_face(seconds: f64) -> String {
    let whole = seconds.floor() as u64;
    format!("{}:{:02}", whole / 60, whole % 60)
}
