//! Mounts the page.

use crate::document::Language;
use crate::dom;
use crate::platform;
use crate::screens::pocket;
use crate::session::Session;
use wasm_bindgen::JsCast;

/// Replaces the waiting line by the page.
pub fn mount() {
    let place = dom::document().get_element_by_id("app");
    let Some(host) = place.and_then(|element| element.dyn_into::<web_sys::HtmlElement>().ok())
    else {
        platform::rescue("the page has no place to start in");
        return;
    };
    host.set_text_content(None);
    let inside = host.clone();
    leptos::mount::mount_to(host, move || {
        let stored = platform::SAVED.with(Clone::clone);
        let month = js_sys::Date::new_0().get_month() + 1;
        let session = Session::start(stored, browser_language(), platform::decimal_comma(), month);
        session.keep_writing();
        for part in pocket::pocket(session) {
            if let Err(why) = inside.append_child(part.node()) {
                wasm_bindgen::throw_val(why);
            }
        }
    })
    .forget();
}

fn browser_language() -> Language {
    let code = web_sys::window().and_then(|window| window.navigator().language());
    match code {
        Some(code) if code.starts_with("es") => Language::Es,
        _ => Language::En,
    }
}
