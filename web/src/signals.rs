//! Leptos' signals, without the rest of Leptos, and the clock's callbacks.
//!
//! `reactive_graph` is the part of Leptos that keeps signals, memos, effects and their owners. The
//! umbrella crate exports classes for server streams from every module that links it, used or not.

pub use reactive_graph::computed::Memo;
pub use reactive_graph::effect::RenderEffect;
pub use reactive_graph::graph::untrack;
pub use reactive_graph::owner::{Owner, StoredValue, on_cleanup};
pub use reactive_graph::signal::RwSignal;
pub use reactive_graph::traits::*;
use wasm_bindgen::prelude::*;

/// Runs `act` once after some milliseconds.
pub fn after(milliseconds: i32, act: impl FnOnce() + 'static) {
    let act = Closure::once_into_js(act);
    timeout(act.unchecked_ref(), milliseconds);
}

/// Runs `act` some milliseconds after the last call of the function that this gives.
pub fn once_quiet(milliseconds: i32, act: impl FnMut() + 'static) -> impl FnMut() {
    let act = Closure::<dyn FnMut()>::new(act);
    let mut pending = None;
    move || {
        if let (Some(id), Some(window)) = (pending.take(), web_sys::window()) {
            window.clear_timeout_with_handle(id);
        }
        pending = timeout(act.as_ref().unchecked_ref(), milliseconds);
    }
}

/// Runs `act` every so many milliseconds for as long as the part that asked for it lives.
pub fn every(milliseconds: i32, act: impl FnMut() + 'static) {
    let Some(window) = web_sys::window() else {
        return;
    };
    let act = Closure::<dyn FnMut()>::new(act);
    let function = act.as_ref().unchecked_ref();
    let id = window.set_interval_with_callback_and_timeout_and_arguments_0(function, milliseconds);
    StoredValue::new_local(act);
    on_cleanup(move || {
        if let (Ok(id), Some(window)) = (id, web_sys::window()) {
            window.clear_interval_with_handle(id);
        }
    });
}

/// Hears an event of the window for as long as the page lives.
pub fn hear(event: &str, act: impl FnMut() + 'static) {
    let act = Closure::<dyn FnMut()>::new(act);
    if let Some(window) = web_sys::window() {
        let function = act.as_ref().unchecked_ref();
        window
            .add_event_listener_with_callback(event, function)
            .unwrap_throw();
    }
    act.forget();
}

fn timeout(function: &js_sys::Function, milliseconds: i32) -> Option<i32> {
    let window = web_sys::window()?;
    window
        .set_timeout_with_callback_and_timeout_and_arguments_0(function, milliseconds)
        .ok()
}
