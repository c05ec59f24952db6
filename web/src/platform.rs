//! The browser, as far as Rust sees it: thin names for what `platform.js` offers.

use serde_json::Value;
use wasm_bindgen::prelude::*;

use crate::json::{from_js, to_js};

#[wasm_bindgen]
extern "C" {
    /// The document read before the start, or nothing.
    #[wasm_bindgen(js_namespace = drycurb, js_name = saved, thread_local_v2)]
    pub static SAVED: Option<String>;

    /// Stores a text; an event `drycurb-unsaved` tells when no store holds it.
    #[wasm_bindgen(js_namespace = drycurb)]
    pub fn save(key: &str, text: &str);

    /// What another window of the page wrote last, told of by an event `drycurb-elsewhere`.
    #[wasm_bindgen(js_namespace = drycurb)]
    pub fn elsewhere() -> String;

    /// Asks the browser not to evict what is stored.
    #[wasm_bindgen(js_namespace = drycurb)]
    pub fn persist();

    /// Sets the theme before and after the next start; empty for the system's.
    #[wasm_bindgen(js_namespace = drycurb)]
    pub fn theme(name: &str);

    /// Puts one element (or none) before `place` where another (or none) stood; a button that had
    /// the focus hands it on to the one in its place.
    #[wasm_bindgen(js_namespace = drycurb)]
    pub fn swap(
        old: Option<web_sys::Element>,
        next: Option<&web_sys::Element>,
        place: &web_sys::Node,
    );

    /// Makes the children of `place` what the markup says, changing only what differs.
    #[wasm_bindgen(js_namespace = drycurb)]
    pub fn morph(place: &web_sys::Element, markup: &str);

    /// Hears what a hand does in a sheet: verb, which one, what of it, value.
    #[wasm_bindgen(js_namespace = drycurb)]
    pub fn sheet(place: &web_sys::Element, act: &js_sys::Function);

    /// Forgets all photos but these, told by number.
    #[wasm_bindgen(js_namespace = drycurb, js_name = keepPhotos)]
    pub fn keep_photos(numbers: Vec<u32>);

    /// Shows the rescue page.
    #[wasm_bindgen(js_namespace = drycurb)]
    pub fn rescue(why: &str);

    /// Whether a new version waits.
    #[wasm_bindgen(js_namespace = drycurb, js_name = updateReady)]
    pub fn update_ready() -> bool;

    /// Starts the waiting version.
    #[wasm_bindgen(js_namespace = drycurb)]
    pub fn update();

    /// Hears gravity, and once that listening began; gives a function that stops.
    #[wasm_bindgen(js_namespace = drycurb)]
    pub fn gravity(
        felt: &Closure<dyn FnMut(f64, f64, f64)>,
        began: &Closure<dyn FnMut()>,
        refused: &Closure<dyn FnMut()>,
    ) -> js_sys::Function;

    /// Finds the position once, to two decimals.
    #[wasm_bindgen(js_namespace = drycurb)]
    pub fn position(found: &JsValue, refused: &JsValue);

    /// Keeps the screen on; gives a function that lets go.
    #[wasm_bindgen(js_namespace = drycurb, js_name = stayAwake)]
    pub fn stay_awake() -> js_sys::Function;

    /// Whether the reader writes 1,5.
    #[wasm_bindgen(js_namespace = drycurb, js_name = decimalComma)]
    pub fn decimal_comma() -> bool;

    /// Asks the worker; the callback hears the answer and whether more will come.
    #[wasm_bindgen(js_namespace = drycurb)]
    fn ask(request: &JsValue, answered: &js_sys::Function) -> f64;

    /// Ends whatever the worker is doing.
    #[wasm_bindgen(js_namespace = drycurb, js_name = stopAsking)]
    pub fn stop_asking();
}

/// Asks the worker in the words of the JSON door; `answered` hears its answer.
pub fn ask_worker(request: &Value, answered: Box<dyn FnOnce(Value)>) {
    ask_plain(&to_js(request), answered);
}

/// The same in JSON text.
pub fn ask_worker_text(request: &str, answered: Box<dyn FnOnce(Value)>) {
    let request = js_sys::JSON::parse(request).unwrap_or(JsValue::NULL);
    ask_plain(&request, answered);
}

fn ask_plain(request: &JsValue, answered: Box<dyn FnOnce(Value)>) {
    let hear = Closure::once_into_js(move |answer: JsValue| {
        answered(from_js(&answer));
    });
    ask(request, hear.unchecked_ref());
}
