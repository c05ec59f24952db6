//! Year and Papers: a module of their own that comes after the page, which is there sooner without them.

use js_sys::Function;
use wasm_bindgen::prelude::*;
use web_sys::Element;

fn main() {
    drycurb_web::rescue();
}

/// Shows a place in `host`: 0 for the Year, 1 for the Papers, 2 for their quote. `language` is the browser's code;
/// `old` is the mark of a plan that the facts have left behind, or 0; `changed` hears the document's text whenever a
/// hand changed it here.
#[wasm_bindgen]
pub fn open(
    host: &Element,
    place: u32,
    document: String,
    language: &str,
    month: u32,
    old: u32,
    changed: Function,
) {
    drycurb_web::later::open(host, place, document, (language, month), old, changed);
}

/// Takes the document as it is now.
#[wasm_bindgen]
pub fn take(document: &str) {
    drycurb_web::later::take(document);
}
