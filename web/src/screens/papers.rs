//! Papers: what leaves the phone, and what comes back.

mod card;
mod copies;
mod quote;

use crate::document::{Document, NotADocument};
use crate::dom::El;
use crate::papers::{Saves, saving, sums};
use crate::screens::pocket::MONTHS;
use crate::screens::site;
use crate::session::Session;
use crate::sheet::{Act, Sheet, sheet};
use crate::text::fill;

/// The whole place.
pub fn papers(session: Session) -> El {
    sheet(session, "papers", draw, act)
}

/// The same with the quote open; one without lines takes what the walk counted.
pub fn quote(session: Session) -> El {
    session.papers.update(|view| view.open = "quote".into());
    if session
        .document
        .with_untracked(|d| d.site().quote.is_empty())
    {
        change(session, &mut quote::take);
    }
    papers(session)
}

/// What of the place is open; nothing of it is kept.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct View {
    /// The paper, by its word; empty for the list of them.
    open: String,
    /// What was read from a file or from codes, as text, until it is taken or left.
    incoming: Option<String>,
    /// What stood here before something was taken, as text.
    before: Option<String>,
    /// Why what was read is no document.
    failed: Option<NotADocument>,
    /// Numbers of photos on this phone and how long each is as text, by turns.
    photos: Vec<u32>,
    /// Copies go without photos.
    no_photos: bool,
    /// What a table brought; nothing of it where it was none.
    brought: Option<Option<crate::papers::stations::Brought>>,
    /// Photos that came and could not be kept.
    lost: usize,
    /// In the Year: how often twelve figures were pasted at once.
    pub pasted: u32,
}

fn draw(sheet: &mut Sheet) {
    let document = sheet.session.document;
    let view = sheet.session.papers.get();
    document.with(|d| {
        let open = view.open.as_str();
        // Beside what is open on a wide screen, in its place on a narrow one.
        sheet.put("<div class=\"halves\">", &[]);
        list(sheet, d, open);
        if !open.is_empty() {
            sheet.put("<div class=\"open\">", &[]);
            sheet.key("back", "paper", 0, sheet.later().papers.back);
            opened(sheet, d, &view);
            sheet.put("</div>", &[]);
        }
        sheet.put("</div>", &[]);
    });
}

/// All papers.
fn list(sheet: &mut Sheet, document: &Document, open: &str) {
    let text = &sheet.later().papers;
    let title = format!(
        "{} · {}",
        sheet.text.papers_place,
        site::name(sheet.text, document.site())
    );
    sheet.put("<div class=\"list\"><h2 tabindex=\"-1\">{}</h2>", &[&title]);
    let list = [
        ("quote", text.quote, text.quote_why),
        ("card", text.card, text.card_why),
        ("message", text.message, text.message_why),
        ("copies", text.copies, text.copies_why),
    ];
    for (of, words, why) in list {
        let current = if of == open { "aria-current=true" } else { "" };
        sheet.put(
            "<button type=\"button\" class=\"row\" data-do=\"paper\" data-of=\"{}\" {}>\
             <b>{}</b><small>{}</small></button>",
            &[of, current, words, why],
        );
    }
    sheet.put("</div>", &[]);
}

fn opened(sheet: &mut Sheet, document: &Document, view: &View) {
    match view.open.as_str() {
        "quote" => quote::draw(sheet, document),
        "card" => {
            let text = &sheet.later().papers;
            sheet.key("main", "print", 0, text.print);
            sheet.key("", "card_file", 0, text.card_file);
            card::draw(sheet, document);
        }
        "message" => message(sheet, document),
        _ => copies::draw(sheet, document, view),
    }
}

/// Today, as the phone's calendar has it, `2026-11-25`.
pub fn today() -> String {
    let now = js_sys::Date::new_0();
    format!(
        "{}-{:02}-{:02}",
        now.get_full_year(),
        now.get_month() + 1,
        now.get_date()
    )
}

/// A few plain sentences for the client.
fn message_text(sheet: &Sheet, document: &Document) -> String {
    let text = &sheet.later().papers;
    let name = site::name(sheet.text, document.site());
    let mut out = vec![format!("{name}, {}.", today())];
    let all = document.stations().count();
    let looked = document.stations().filter(|kept| kept.checked).count();
    if looked > 0 {
        let values = [("n", &*looked.to_string()), ("all", &all.to_string())];
        out.push(fill(text.message_looked, &values));
    }
    let without_plan = card::planned(document).is_empty();
    let (line, none) = if without_plan {
        (text.message_line, text.message_facts)
    } else {
        ("{name}: {split}; {days}.", text.message_unplanned)
    };
    if without_plan && document.stations().next().is_some() {
        let month = document.site().facts.month.unwrap_or(sheet.session.month);
        let word = MONTHS[(month as usize + 11) % 12](sheet.text);
        out.push(fill(text.message_month, &[("month", word)]));
    }
    let rows = card::rows(sheet, document, None);
    let (dry, wet): (Vec<_>, Vec<_>) = rows.iter().partition(|row| row.split == card::NONE);
    for row in wet {
        let values = [
            ("name", &*row.name),
            ("split", &*row.split),
            ("days", &*row.days),
        ];
        out.push(fill(line, &values));
    }
    if !dry.is_empty() {
        let names: Vec<&str> = dry.iter().map(|row| &*row.name).collect();
        out.push(fill(none, &[("names", &names.join(", "))]));
    }
    let sums = sums(document);
    if let (false, Ok(found)) = (document.site().quote.is_empty(), &sums.quote) {
        let total = quote::money(sheet, document, found.total);
        out.push(format!("{}: {total}.", text.quote));
        if let Saves::This(found) = saving(document, found.total) {
            out.push(quote::saving_said(sheet, document, &found));
        }
    }
    out.push(document.own.get("who").into());
    out.join("\n").trim_end().into()
}

fn message(sheet: &mut Sheet, document: &Document) {
    let text = &sheet.later().papers;
    sheet.put("<h2 tabindex=\"-1\">{}</h2>", &[text.message]);
    let said = message_text(sheet, document);
    card::warn(sheet, document);
    sheet.put("<p class=\"message\">{}</p>", &[&said]);
    sheet.key("main", "send", 0, text.send);
}

fn act(session: Session, act: &Act) {
    match act.verb.as_str() {
        "paper" => {
            session.papers.update(|view| view.open.clone_from(&act.of));
            copies::weigh_photos(session);
        }
        "print" => crate::platform::print(),
        "to_night" => crate::platform::go_to(2),
        "send" => {
            look(session, &mut |d| {
                crate::platform::tell(&message_text(&Sheet::new(session), d));
            });
        }
        "card_file" => look(session, &mut |d| card::give(session, d)),
        verb => {
            if !quote::act(session, act) {
                copies::act(session, verb, act);
            }
        }
    }
}

/// Changes the document. (One copy of what that takes, for all the acts.)
fn change(session: Session, change: &mut dyn FnMut(&mut Document)) {
    session.document.update(|d| change(d));
}

/// Reads the document.
fn look(session: Session, look: &mut dyn FnMut(&Document)) {
    session.document.with_untracked(|d| look(d));
}
