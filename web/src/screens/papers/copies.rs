//! Copies: files out and in, codes from phone to phone, tables.

use std::cell::RefCell;
use std::rc::Rc;

use drycurb_core::paper::frames::{self, Gathering, Taken};
use wasm_bindgen::prelude::*;

use super::{View, change, look, today};
use crate::document::{Document, NotADocument};
use crate::papers::{Known, compare, is_blank, merge, only_site, read, stations};
use crate::platform;
use crate::screens::site;
use crate::session::Session;
use crate::sheet::{Act, Sheet};

/// Everything about copies.
pub fn draw(sheet: &mut Sheet, document: &Document, view: &View) {
    let text = &sheet.later().papers;
    sheet.put("<h2 tabindex=\"-1\">{}</h2>", &[text.copies]);
    if let Some(Ok(incoming)) = view.incoming.as_deref().map(read) {
        preview(sheet, document, &incoming);
    }
    if view.before.is_some() {
        sheet.key("", "put_back", 0, text.put_back);
    }
    sheet.key("", "save_all", 0, text.save_all);
    sheet.key("", "save_site", 0, text.save_site);
    file(sheet, "read", text.read_file);
    sheet.key("", "show_codes", 0, text.show_codes);
    sheet.key("", "scan", 0, text.scan);
    sheet.put(
        "<h3>{}</h3><p class=\"how\">{}</p>",
        &[text.table, text.table_note],
    );
    sheet.key("", "table_out", 0, text.table_out);
    file(sheet, "table_in", text.table_in);
    let wrong = match view.failed {
        Some(NotADocument::Newer) => text.newer,
        Some(NotADocument::Unreadable) => text.not_ours,
        None => "",
    };
    sheet.put("<p class=\"note wrong\" role=\"status\">{}</p>", &[wrong]);
}

fn file(sheet: &mut Sheet, verb: &str, words: &str) {
    sheet.put(
        "<label class=\"file\">{}<input type=\"file\" data-in=\"{}\"></label>",
        &[words, verb],
    );
}

/// What came in, site by site, before any of it is taken.
fn preview(sheet: &mut Sheet, document: &Document, incoming: &Document) {
    let text = &sheet.later().papers;
    sheet.put("<section class=\"comes\"><h3>{}</h3><ul>", &[text.comes]);
    for (site, known) in incoming.sites.iter().zip(compare(document, incoming)) {
        let count = incoming
            .kept
            .iter()
            .filter(|kept| kept.site == site.id)
            .count();
        let known = match known {
            Known::New => text.new,
            Known::Same => text.same,
            Known::Differs => text.differs,
        };
        sheet.put(
            "<li><b>{}</b> ({}): {}</li>",
            &[site::name(sheet.text, site), &count.to_string(), known],
        );
    }
    sheet.put("</ul>", &[]);
    sheet.key("main", "take", 0, text.take);
    if !is_blank(document) {
        sheet.key("", "replace", 0, text.replace);
    }
    sheet.key("", "leave", 0, text.leave);
    sheet.put("</section>", &[]);
}

/// Hears what a file or a scan gave.
fn come_in(session: Session, text: &str) {
    let failed = read(text).err();
    session.papers.update(|view| {
        view.incoming = failed.is_none().then(|| text.into());
        view.failed = failed;
    });
}

/// Takes what came in; what was here can be put back.
fn take(session: Session, replace: bool) {
    let incoming = session.papers.with_untracked(|view| view.incoming.clone());
    let Some(Ok(mut incoming)) = incoming.as_deref().map(read) else {
        return;
    };
    keep_before(session);
    change(session, &mut |here| {
        if replace {
            // Taken once.
            *here = std::mem::take(&mut incoming);
        } else {
            merge(here, &incoming);
        }
    });
}

/// Keeps what is here, so that it can be put back, before something is taken.
fn keep_before(session: Session) {
    let mut before = None;
    look(session, &mut |d| before = Some(d.write()));
    session.papers.set(View {
        open: "copies".into(),
        before,
        ..View::default()
    });
}

/// A file with the document in it, which a phone's share sheet takes.
fn save(session: Session, document: &Document) {
    let head = session.later_text().papers.file_head;
    let name = format!("drycurb-{}.txt", today());
    platform::give(
        &name,
        "text/plain",
        &format!("{head}\n{}\n", document.write()),
    );
}

/// Shows a document as codes.
fn show(session: Session, document: &Document) {
    let cut = Closure::<dyn FnMut(Vec<u8>) -> String>::new(|bytes: Vec<u8>| {
        frames::frames(&bytes).map_or_else(String::new, |list| list.join("\n"))
    });
    let words = session.later_text().papers.codes_words;
    platform::show_codes(&document.write(), &cut.into_js_value(), words);
}

/// Reads codes until a document is whole.
fn scan(session: Session) {
    let gathering = Rc::new(RefCell::new(Gathering::default()));
    let taken = Rc::clone(&gathering);
    let take = Closure::<dyn FnMut(String) -> String>::new(move |text: String| {
        let mut gathering = taken.borrow_mut();
        match gathering.take(&text) {
            Taken::Foreign | Taken::Damaged => return String::new(),
            // Another phone's codes: begin with these.
            Taken::Other => {
                *gathering = Gathering::default();
                gathering.take(&text);
            }
            Taken::New | Taken::Known => {}
        }
        let missing: Vec<String> = gathering.missing().iter().map(usize::to_string).collect();
        if missing.is_empty() {
            "0".into()
        } else {
            missing.join(", ")
        }
    });
    let whole = Closure::<dyn FnMut() -> Vec<u8>>::new(move || {
        let bytes = gathering.borrow().bytes();
        bytes.unwrap_or_default()
    });
    let heard = Closure::<dyn FnMut(String)>::new(move |text: String| come_in(session, &text));
    platform::scan_codes(
        session.later_text().papers.codes_words,
        &take.into_js_value(),
        &whole.into_js_value(),
        &heard.into_js_value(),
    );
}

/// Answers what a hand did about copies.
pub fn act(session: Session, verb: &str, act: &Act) {
    match verb {
        "save_all" => look(session, &mut |d| save(session, d)),
        "save_site" => look(session, &mut |d| save(session, &only_site(d))),
        "show_codes" => look(session, &mut |d| show(session, &only_site(d))),
        "scan" => scan(session),
        "table_out" => look(session, &mut |d| {
            let text = stations::write(d, session.comma);
            // So that a spreadsheet reads it as UTF-8.
            platform::give(
                "drycurb-stations.csv",
                "text/csv",
                &format!("\u{feff}{text}"),
            );
        }),
        "table_in" => {
            keep_before(session);
            let mut taken = None;
            change(session, &mut |d| taken = stations::read(d, &act.value));
            if taken.is_none() {
                session.papers.update(|view| {
                    view.before = None;
                    view.failed = Some(NotADocument::Unreadable);
                });
            }
        }
        "read" => come_in(session, &act.value),
        "take" => take(session, false),
        "replace" => take(session, true),
        "leave" => session.papers.update(|view| view.incoming = None),
        "put_back" => {
            let before = session.papers.with_untracked(|view| view.before.clone());
            session.papers.update(|view| view.before = None);
            if let Some(Ok(before)) = before.as_deref().map(Document::read) {
                let mut before = Some(before);
                change(session, &mut |d| {
                    if let Some(before) = before.take() {
                        *d = before;
                    }
                });
            }
        }
        _ => {}
    }
}
