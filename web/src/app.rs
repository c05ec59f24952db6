//! Mounts the page.

use crate::signals::*;

use crate::document::Language;
use crate::dom::{self, El, el, key};
use crate::later;
use crate::parts::words::Word;
use crate::platform;
use crate::screens::{night, pocket, site};
use crate::session::{Place, Session};
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
    start();
    // The page lives until it is left.
    Owner::new().with(move || {
        let stored = platform::SAVED.with(Clone::clone);
        let month = js_sys::Date::new_0().get_month() + 1;
        let session = Session::start(stored, browser_language(), platform::decimal_comma(), month);
        session.keep_writing();
        let screen = move || {
            Some(match session.place.get() {
                Place::Pocket => pocket::pocket(session),
                Place::Site => site::site(session),
                Place::Night => night::night(session),
                Place::Year => later::place(session, 0),
                Place::Papers => later::place(session, 1),
            })
        };
        let page = el("div")
            .class("page")
            .with(pocket::strip(session))
            .with_of(screen)
            .with(places(session));
        if let Err(why) = host.append_child(page.node()) {
            wasm_bindgen::throw_val(why);
        }
    });
}

/// The places of the page, within thumb reach.
fn places(session: Session) -> El {
    let list: [(Place, Word); 5] = [
        (Place::Pocket, |t| t.pocket),
        (Place::Site, |t| t.site.place),
        (Place::Night, |t| t.night_place),
        (Place::Year, |t| t.year.place),
        (Place::Papers, |t| t.papers.place),
    ];
    let keys = list.map(|(place, word)| {
        let current = move || (session.place.get() == place).then(|| "page".to_string());
        let go = move || {
            session.place.set(place);
            if let Some(window) = web_sys::window() {
                window.scroll_to_with_x_and_y(0.0, 0.0);
            }
        };
        key(go).attr_of("aria-current", current).word(session, word)
    });
    el("nav")
        .class("places")
        .label(session, |t| t.places)
        .with_all(keys)
}

fn browser_language() -> Language {
    let code = web_sys::window().and_then(|window| window.navigator().language());
    later::browser_language(&code.unwrap_or_default())
}
