//! The browser, as far as Rust sees it: thin names for what `platform.js` offers.

use serde_json::Value;
use wasm_bindgen::prelude::*;

use crate::json::{from_js, to_js};

#[wasm_bindgen]
extern "C" {
    /// The document read before the start, or nothing.
    #[wasm_bindgen(js_namespace = drycurb, js_name = saved, thread_local_v2)]
    pub static SAVED: Option<String>;

    /// The table of rough climates, read before the start.
    #[cfg(target_arch = "wasm32")]
    #[wasm_bindgen(js_namespace = drycurb, js_name = climate, thread_local_v2)]
    pub static CLIMATE: js_sys::Uint8Array;

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
    /// Has the module of the later places show one in `host`; `changed` hears the document's text.
    #[wasm_bindgen(js_namespace = drycurb)]
    pub fn later(host: &web_sys::Element, place: u32, month: u32, old: u32, changed: &JsValue);

    /// From a later place to another one, by its number among the places.
    #[wasm_bindgen(js_namespace = drycurb, js_name = goTo)]
    pub fn go_to(place: u32);

    /// The document's text, for the later places.
    #[wasm_bindgen(js_namespace = drycurb, js_name = laterText)]
    pub fn later_text(text: &str);

    /// Hands a text out as a file: to the share sheet where there is one, else as a download.
    #[wasm_bindgen(js_namespace = drycurb)]
    pub fn give(name: &str, kind: &str, text: &str);

    /// The numbers of photos that came with a file; `forget` lets go of them.
    #[wasm_bindgen(js_namespace = drycurb, js_name = photosComing)]
    pub fn photos_coming(forget: bool) -> Vec<u32>;

    /// Keeps the photos that came; `taken` hears the numbers in the file and here by turns.
    #[wasm_bindgen(js_namespace = drycurb, js_name = takePhotos)]
    pub fn take_photos(taken: &JsValue);

    /// Tells how long photos are as text: `heard` hears number and length by turns, 0 for none.
    #[wasm_bindgen(js_namespace = drycurb, js_name = photoSizes)]
    pub fn photo_sizes(numbers: Vec<u32>, heard: &JsValue);

    /// Hands out a text that ends in a JSON object as a file, with photos put into that object.
    #[wasm_bindgen(js_namespace = drycurb, js_name = giveWith)]
    pub fn give_with(name: &str, text: &str, numbers: Vec<u32>);

    /// Shows a text as codes; `cut` makes frames of bytes, one a line.
    #[wasm_bindgen(js_namespace = drycurb, js_name = showCodes)]
    pub fn show_codes(text: &str, cut: &JsValue, words: &str);

    /// Reads codes; `take` hears each and gives what is missing (`0` for nothing), `whole` gives
    /// all bytes, `heard` hears the text.
    #[wasm_bindgen(js_namespace = drycurb, js_name = scanCodes)]
    pub fn scan_codes(words: &str, take: &JsValue, whole: &JsValue, heard: &JsValue);

    /// Prints what the page shows.
    #[wasm_bindgen(js_namespace = drycurb)]
    pub fn print();

    /// Hands a text to the share sheet, or to the clipboard where there is none.
    #[wasm_bindgen(js_namespace = drycurb)]
    pub fn tell(text: &str);

    /// Scrolls the page to its top; where a list stands beside what is open, to its row.
    #[wasm_bindgen(js_namespace = drycurb, js_name = toTop)]
    pub fn to_top();

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

    /// Remembers the place that is open, by its number.
    #[wasm_bindgen(js_namespace = drycurb, js_name = place)]
    pub fn keep_place(number: u32);

    /// The place that was open last; 0 for none.
    #[wasm_bindgen(js_namespace = drycurb, js_name = lastPlace)]
    pub fn last_place() -> u32;

    /// Asks the worker; the callback hears the answer.
    #[wasm_bindgen(js_namespace = drycurb)]
    fn ask(request: &JsValue, answered: &js_sys::Function) -> f64;

    /// How far the worker is with what was asked last, percent.
    #[wasm_bindgen(js_namespace = drycurb, js_name = donePercent)]
    pub fn done_percent() -> u32;

    /// Has the worker end with the best so far; false when it does nothing that could end so.
    #[wasm_bindgen(js_namespace = drycurb)]
    pub fn halt() -> bool;

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
