//! Mounts the page.

use crate::signals::*;

use crate::document::Language;
use crate::dom::{self, el};
use crate::later;
use crate::parts::words::Word;
use crate::platform;
use crate::screens::{night, pocket, site};
use crate::session::{Place, Session};
use crate::sheet::{Act, Sheet, part};
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
        if let Some((place, _)) = PLACES.get(platform::last_place() as usize) {
            session.place.set(*place);
        }
        dom::follow(move || {
            let now = session.place.get();
            let number = PLACES.iter().position(|(place, _)| *place == now);
            platform::keep_place(number.unwrap_or(PLACES.len() - 1) as u32);
        });
        let screen = move || match session.place.get() {
            Place::Pocket => pocket::pocket(session),
            Place::Site => site::site(session),
            Place::Night => night::night(session),
            Place::Year => later::place(session, 0),
            Place::Papers => later::place(session, 1),
            Place::Quote => later::place(session, 2),
        };
        let page = el("div")
            .class("page")
            .with(pocket::strip(session))
            .with_of(screen)
            .with(part(session, el("div"), None, places, go));
        if let Err(why) = host.append_child(page.node()) {
            wasm_bindgen::throw_val(why);
        }
    });
}

/// The places of the page, within thumb reach.
const PLACES: [(Place, Word); 5] = [
    (Place::Pocket, |t| t.pocket),
    (Place::Site, |t| t.site.place),
    (Place::Night, |t| t.night_place),
    (Place::Year, |t| t.year_place),
    (Place::Papers, |t| t.papers_place),
];

fn places(sheet: &mut Sheet) {
    let now = match sheet.session.place.get() {
        Place::Quote => Place::Papers,
        now => now,
    };
    sheet.put(
        "<nav class=\"places\" aria-label=\"{}\">",
        &[sheet.text.places],
    );
    for (number, (place, word)) in PLACES.iter().enumerate() {
        let current = if *place == now {
            "aria-current=page"
        } else {
            ""
        };
        sheet.put(
            "<button type=\"button\" data-do=\"go\" data-at=\"{}\" {}>{}</button>",
            &[&number.to_string(), current, word(sheet.text)],
        );
    }
    sheet.put("</nav>", &[]);
}

fn go(session: Session, act: &Act) {
    if let Some((place, _)) = PLACES.get(act.at as usize) {
        session.place.set(*place);
        platform::to_top();
    }
}

fn browser_language() -> Language {
    let code = web_sys::window().and_then(|window| window.navigator().language());
    later::browser_language(&code.unwrap_or_default())
}
