//! The worker's module: answers the JSON door's questions off the main thread. A module of its own,
//! so that the page's is there soon.
//!
//! A message is `{turn, request}`; the answer is `{turn, answer}`, where request and answer are what
//! `drycurb_core::lines` speaks, as plain objects.

use drycurb_core::json;
use drycurb_core::lines::{WORKER_ASKS, answer_among};
use drycurb_web::json::{from_js, to_js};
use wasm_bindgen::prelude::*;
use web_sys::{DedicatedWorkerGlobalScope, MessageEvent};

fn main() {
    // Whoever loads the module elsewhere gets no answers, and no fault.
    if let Ok(scope) = js_sys::global().dyn_into() {
        serve(scope);
    }
}

/// Takes messages from now on.
fn serve(scope: DedicatedWorkerGlobalScope) {
    let here = scope.clone();
    let hear = Closure::<dyn FnMut(MessageEvent)>::new(move |event: MessageEvent| {
        let reply = answer(event.data());
        if let Err(why) = here.post_message(&reply) {
            wasm_bindgen::throw_val(why);
        }
    });
    scope.set_onmessage(Some(hear.as_ref().unchecked_ref()));
    hear.forget();
}

/// One message in, one message out.
fn answer(message: JsValue) -> JsValue {
    let message = from_js(&message);
    let reply = json!({
        "turn": message["turn"],
        "answer": answer_among(WORKER_ASKS, &message["request"]),
    });
    to_js(&reply)
}
