//! Places in a module of their own: they share nothing with the page but the document's text.
//!
//! The page shows an empty part ([`place`]) and hands it to the other module, which has a session of
//! its own ([`open`]). What either changes, the other takes over as text ([`take`]).

use std::cell::{Cell, RefCell};

use js_sys::Function;
use wasm_bindgen::prelude::*;
use web_sys::Element;

use crate::document::{Document, Language};
use crate::dom::{El, el, follow};
use crate::platform;
use crate::screens::{night, papers, year};
use crate::session::Session;
use crate::signals::*;

/// The other module's state, while a place of its is open.
struct Open {
    session: Session,
    /// What lives as long as the place.
    owner: Owner,
}

thread_local! {
    static OPEN: RefCell<Option<Open>> = const { RefCell::new(None) };
    /// The mark of a plan that the facts have left behind, as the page told it; 0 for none.
    static OLD: Cell<u32> = const { Cell::new(0) };
    /// The text that page and module agree on.
    static KNOWN: RefCell<String> = const { RefCell::new(String::new()) };
}

/// In the other module: shows a place, in the browser's language and for the month; `old` the mark of a plan that the facts have left behind.
pub fn open(
    host: &Element,
    place: u32,
    document: String,
    reader: (&str, u32),
    old: u32,
    changed: Function,
) {
    let (language, month) = reader;
    let before = OPEN.with(RefCell::take);
    let session = match before {
        Some(before) => {
            before.owner.cleanup();
            before.session
        }
        None => {
            start();
            let comma = platform::decimal_comma();
            Session::start(None, browser_language(language), comma, month)
        }
    };
    take_into(session, &document);
    OLD.set(old);
    let owner = Owner::new();
    owner.with(|| {
        let shown = match place {
            0 => year::year(session),
            1 => papers::papers(session),
            _ => papers::quote(session),
        };
        if let Err(why) = host.append_child(shown.node()) {
            wasm_bindgen::throw_val(why);
        }
        follow(move || {
            let text = session.document.with(Document::write);
            if KNOWN.with(|known| *known.borrow() != text) {
                KNOWN.set(text.clone());
                let _ = changed.call1(&JsValue::NULL, &text.into());
            }
        });
    });
    OPEN.set(Some(Open { session, owner }));
}

/// In the other module: takes the document as the page has it.
pub fn take(document: &str) {
    let session = OPEN.with(|open| open.borrow().as_ref().map(|open| open.session));
    if let Some(session) = session {
        take_into(session, document);
    }
}

fn take_into(session: Session, text: &str) {
    if KNOWN.with(|known| *known.borrow() == text) {
        return;
    }
    if let Ok(document) = Document::read(text) {
        KNOWN.set(text.into());
        session.document.set(document);
    }
}

/// Whether the open site's plan was planned for other facts, as far as the page told when the place opened.
pub fn plan_is_old(document: &Document) -> bool {
    let of = document.site().planned.of.unwrap_or(0);
    of != 0 && of == OLD.get()
}

/// The language that a browser's code stands for.
pub fn browser_language(code: &str) -> Language {
    if code.starts_with("es") {
        Language::Es
    } else {
        Language::En
    }
}

/// In the page: the part that the other module fills.
pub fn place(session: Session, which: u32) -> El {
    let host = el("div").class("later");
    let waits = el("p").class("starting");
    let words = session.text().later_waits;
    waits.node().set_text_content(Some(words));
    let host = host.with(waits);
    let hear = Closure::<dyn FnMut(String)>::new(move |text: String| {
        if let Ok(document) = Document::read(&text) {
            session.document.set(document);
        }
    });
    // What the plan was made for takes the whole of the Night to tell: the page has it, the other module not.
    let old = untrack(|| session.document.with(|d| night::old_mark(d, session.month)));
    follow(move || platform::later_text(&session.document.with(Document::write)));
    platform::later(
        host.node(),
        which,
        session.month,
        old,
        &hear.into_js_value(),
    );
    host
}
