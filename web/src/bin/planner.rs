//! The worker's module: answers the JSON door's questions off the main thread. A module of its own,
//! so that the page's is there soon.
//!
//! A message is `{turn, request}`; the answer is `{turn, answer}`, where request and answer are what
//! `drycurb_core::lines` speaks, as plain objects. A week is planned in slices: between two of them
//! go out `{turn, done_percent}`, and `{turn, stop: true}` is heard, which has the best so far
//! answered at once.

use std::cell::RefCell;

use drycurb_core::json;
use drycurb_core::lines::{WORKER_ASKS, WeekWork, answer_among, told};
use drycurb_web::json::{from_js, to_js};
use js_sys::Function;
use serde_json::Value;
use wasm_bindgen::prelude::*;
use web_sys::{DedicatedWorkerGlobalScope, MessageEvent};

/// How long a slice takes, about, milliseconds.
const SLICE: f64 = 120.0;
/// Work between two looks at the clock.
const STEP: u64 = 50_000;

#[wasm_bindgen]
extern "C" {
    #[wasm_bindgen(js_name = setTimeout)]
    fn set_timeout(then: &Function, milliseconds: u32);
    #[wasm_bindgen(js_namespace = performance)]
    fn now() -> f64;
}

/// A week that is being planned.
struct Job {
    turn: Value,
    work: WeekWork,
    /// Units of work done.
    done: u64,
}

thread_local! {
    static JOB: RefCell<Option<Job>> = const { RefCell::new(None) };
}

fn main() {
    // Whoever loads the module elsewhere gets no answers, and no fault.
    if let Ok(scope) = js_sys::global().dyn_into() {
        serve(scope);
    }
}

/// Takes messages from now on.
fn serve(scope: DedicatedWorkerGlobalScope) {
    let here = scope.clone();
    let post = move |reply: &Value| {
        if let Err(why) = here.post_message(&to_js(reply)) {
            wasm_bindgen::throw_val(why);
        }
    };
    let again = post.clone();
    let slice = Closure::<dyn FnMut()>::new(move || {
        if let Some(reply) = slice() {
            again(&reply);
        }
        if JOB.with_borrow(Option::is_some) {
            NEXT.with_borrow(|next| set_timeout(next, 0));
        }
    });
    NEXT.set(slice.into_js_value().unchecked_into());
    let hear = Closure::<dyn FnMut(MessageEvent)>::new(move |event: MessageEvent| {
        if let Some(reply) = answer(&from_js(&event.data())) {
            post(&reply);
        }
    });
    scope.set_onmessage(Some(hear.as_ref().unchecked_ref()));
    hear.forget();
}

thread_local! {
    /// Does the next slice.
    static NEXT: RefCell<Function> = RefCell::new(Function::default());
}

/// What is said at once to a message.
fn answer(message: &Value) -> Option<Value> {
    let turn = &message["turn"];
    if message["stop"].as_bool() == Some(true) {
        let job = JOB.take().filter(|job| job.turn == *turn)?;
        return Some(reply(turn, told(job.work.answer())));
    }
    let request = &message["request"];
    if request["ask"].as_str() != Some("week") {
        return Some(reply(turn, answer_among(WORKER_ASKS, request)));
    }
    match WeekWork::begin(request) {
        Ok(work) => {
            let turn = turn.clone();
            let begun = JOB.replace(Some(Job {
                turn,
                work,
                done: 0,
            }));
            if begun.is_none() {
                NEXT.with_borrow(|next| set_timeout(next, 0));
            }
            None
        }
        Err(faults) => Some(reply(turn, told(Err(faults)))),
    }
}

/// Works for a while; what is then to be said.
fn slice() -> Option<Value> {
    let mut job = JOB.take()?;
    let until = now() + SLICE;
    while !job.work.is_done() && now() < until {
        job.done = job.work.step_to(job.done + STEP);
    }
    if job.work.is_done() {
        return Some(reply(&job.turn, told(job.work.answer())));
    }
    let said = json!({ "turn": job.turn, "done_percent": percent(job.done, job.work.effort()) });
    JOB.set(Some(job));
    Some(said)
}

/// How far it is, 0 to 99. A hard site takes more work than was asked for: the last tenth goes ever
/// slower then.
fn percent(done: u64, effort: u64) -> u32 {
    let most = effort.max(1) * 9 / 10;
    let percent = if done < most {
        100 * done / effort.max(1)
    } else {
        99 - 9 * most / done.max(1)
    };
    percent as u32
}

fn reply(turn: &Value, answer: Value) -> Value {
    json!({ "turn": turn, "answer": answer })
}
