//! Copies: files out and in, codes from phone to phone, tables.

use std::cell::RefCell;
use std::rc::Rc;

use drycurb_core::paper::frames::{self, Gathering, Taken};
use wasm_bindgen::prelude::*;

use super::{View, change, look, today};
use crate::document::{Document, NotADocument};
use crate::numbers::write_short;
use crate::papers::{
    Known, compare, file_name, is_blank, loses_plan, merge, only_site, read, renumber_photos,
    stations, without_photos,
};
use crate::platform;
use crate::screens::site;
use crate::session::Session;
use crate::sheet::{Act, Sheet};
use crate::text::fill;

/// Everything about copies.
pub fn draw(sheet: &mut Sheet, document: &Document, view: &View) {
    let text = &sheet.later().papers;
    sheet.put(
        "<h2 tabindex=\"-1\">{}</h2><p class=\"how\">{}</p>",
        &[text.copies, text.copies_why],
    );
    if let Some(Ok(incoming)) = view.incoming.as_deref().map(read) {
        preview(sheet, document, &incoming);
    }
    if view.before.is_some() {
        sheet.key("", "put_back", 0, text.put_back);
    }
    let (site, of_site) = (only_site(document), text.save_site);
    for (verb, words, document) in [
        ("save_all", text.save_all, document),
        ("save_site", of_site, &site),
    ] {
        let sizes = photos_of(view, document);
        let all = sizes.iter().map(|(_, length)| length).sum::<u32>() as usize;
        let size = document.write().len() + if view.no_photos { 0 } else { all };
        let size = kilobytes(size, sheet.session.comma);
        let said = fill(words, &[("size", &size)]);
        sheet.key("", verb, 0, &said);
    }
    let photos = photos_of(view, document);
    if !photos.is_empty() {
        let said = fill(text.with_photos, &[("n", &photos.len().to_string())]);
        sheet.tick("with_photos", 0, "", &said, !view.no_photos);
    }
    file(sheet, "read", text.read_file);
    sheet.key("", "show_codes", 0, text.show_codes);
    sheet.key("", "scan", 0, text.scan);
    sheet.put(
        "<h3>{}</h3><p class=\"how\">{}</p>",
        &[text.table, text.table_note],
    );
    sheet.key("", "table_out", 0, text.table_out);
    file(sheet, "table_in", text.table_in);
    if let Some(brought) = &view.brought {
        table_said(sheet, brought.as_ref());
    }
    if view.lost > 0 {
        let said = fill(text.photos_lost, &[("n", &view.lost.to_string())]);
        sheet.put("<p class=\"note wrong\">{}</p>", &[&said]);
    }
    let wrong = match view.failed {
        Some(NotADocument::Newer) => text.newer,
        Some(NotADocument::Unreadable) => text.not_ours,
        None => "",
    };
    sheet.put("<p class=\"note wrong\" role=\"status\">{}</p>", &[wrong]);
}

/// What a table brought, and what of it was left.
fn table_said(sheet: &mut Sheet, brought: Option<&stations::Brought>) {
    let text = &sheet.later().papers;
    let Some(brought) = brought else {
        return sheet.put(
            "<p class=\"note wrong\" role=\"status\">{}</p>",
            &[text.no_table],
        );
    };
    let values = [
        ("n", &*brought.rows.to_string()),
        ("new", &brought.added.to_string()),
    ];
    let said = fill(text.table_taken, &values);
    sheet.put("<p role=\"status\">{}</p>", &[&said]);
    if !brought.left.is_empty() {
        sheet.put("<p class=\"note wrong\">{}</p><ul>", &[text.table_left]);
        for cell in &brought.left {
            sheet.put("<li>{}</li>", &[cell]);
        }
        sheet.put("</ul>", &[]);
    }
}

/// A file's size.
fn kilobytes(bytes: usize, comma: bool) -> String {
    let tenths = (bytes / 100) as f64 / 10.0;
    format!("{}\u{a0}kB", write_short(tenths, comma))
}

/// A document's photos that are on this phone: number and length.
fn photos_of(view: &View, document: &Document) -> Vec<(u32, u32)> {
    let numbers = document.photos();
    let here = view.photos.chunks_exact(2);
    let here = here.filter(|pair| pair[1] > 0 && numbers.contains(&pair[0]));
    here.map(|pair| (pair[0], pair[1])).collect()
}

/// Asks how long the photos are, where copies are shown.
pub fn weigh_photos(session: Session) {
    if session.papers.with_untracked(|view| view.open != "copies") {
        return;
    }
    let heard = Closure::<dyn FnMut(Vec<u32>)>::new(move |photos: Vec<u32>| {
        session.papers.update(|view| view.photos = photos);
    });
    let numbers = session.document.with_untracked(Document::photos);
    platform::photo_sizes(numbers, &heard.into_js_value());
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
    let mut losing = incoming.sites.iter();
    if !is_blank(document) && losing.any(|site| loses_plan(incoming, site)) {
        sheet.put("<p>{}</p>", &[text.no_plans]);
    }
    let numbers = incoming.photos();
    let came = platform::photos_coming(false);
    let came = came
        .iter()
        .filter(|number| numbers.contains(number))
        .count();
    if came > 0 {
        let said = fill(text.photos_come, &[("n", &came.to_string())]);
        sheet.put("<p>{}</p>", &[&said]);
    }
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

/// Takes what came in, photos first; what was here can be put back.
fn take(session: Session, replace: bool) {
    let incoming = session.papers.with_untracked(|view| view.incoming.clone());
    let Some(Ok(mut incoming)) = incoming.as_deref().map(read) else {
        return;
    };
    let came = platform::photos_coming(false);
    let taken = Closure::once_into_js(move |pairs: Vec<u32>| {
        renumber_photos(&mut incoming, &pairs, &came);
        take_in(session, replace, incoming);
        let lost = came.len().saturating_sub(pairs.len() / 2);
        session.papers.update(|view| view.lost = lost);
        weigh_photos(session);
    });
    platform::take_photos(&taken);
}

fn take_in(session: Session, replace: bool, mut incoming: Document) {
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
fn save(session: Session, document: &Document, site: &str) {
    let head = session.later_text().papers.file_head;
    let name = file_name(site, &format!("{}.txt", today()));
    let file = |document: &Document| format!("{head}\n{}\n", document.write());
    let numbers = session.papers.with_untracked(|view| {
        let with = |(number, _)| (!view.no_photos).then_some(number);
        photos_of(view, document)
            .into_iter()
            .filter_map(with)
            .collect::<Vec<u32>>()
    });
    if numbers.is_empty() {
        platform::give(&name, "text/plain", &file(&without_photos(document)));
    } else {
        platform::give_with(&name, &file(document), numbers);
    }
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
        "save_all" => look(session, &mut |d| save(session, d, "")),
        "save_site" => look(session, &mut |d| {
            save(session, &only_site(d), &d.site().name)
        }),
        "show_codes" => look(session, &mut |d| {
            show(session, &without_photos(&only_site(d)))
        }),
        "scan" => {
            platform::photos_coming(true);
            scan(session);
        }
        "with_photos" => {
            let without = act.value.is_empty();
            session.papers.update(|view| view.no_photos = without);
        }
        "table_out" => look(session, &mut |d| {
            let text = stations::write(d, session.comma);
            // So that a spreadsheet reads it as UTF-8.
            platform::give(
                &file_name(&d.site().name, "stations.csv"),
                "text/csv",
                &format!("\u{feff}{text}"),
            );
        }),
        "table_in" => {
            keep_before(session);
            let mut brought = None;
            change(session, &mut |d| brought = stations::read(d, &act.value));
            session.papers.update(|view| {
                if brought.is_none() {
                    view.before = None;
                }
                view.brought = Some(brought);
            });
        }
        "read" => come_in(session, &act.value),
        "take" => take(session, false),
        "replace" => take(session, true),
        "leave" => {
            platform::photos_coming(true);
            session.papers.update(|view| view.incoming = None);
        }
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
