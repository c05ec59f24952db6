//! Site: what is on the ground. A list, and beside it (on a narrow screen in its place) what is open.

mod acts;
mod example;
mod facts;
mod lines;
mod list;
mod seen;
mod sites;
mod station;
mod supplies;
mod view;

pub use lines::{Line, lines};
pub use seen::fault_word;
pub use view::{Open, POSITION, Part, View};

use crate::document::Site;
use crate::dom::{El, el};
use crate::session::Session;
use crate::sheet::{Sheet, part};
use crate::text::Text;

/// The whole place.
pub fn site(session: Session) -> El {
    let is_open: fn(Session) -> bool = |session| session.site.with(|view| view.open != Open::None);
    let list = el("section").class("list");
    let beside = el("section").class("beside");
    el("main")
        .class("site")
        .class_when("open", move || is_open(session))
        .with(part(session, list, Some(is_open), draw_list, acts::act))
        .with(part(session, beside, None, draw_open, acts::act))
}

/// The list of the part that is chosen.
fn draw_list(sheet: &mut Sheet) {
    let view = sheet.session.site.get();
    let text = &sheet.text.site;
    let (name, invented) = sheet.session.document.with(|d| {
        let site = d.site();
        (name(sheet.text, site).to_string(), site.invented)
    });
    sheet.put("<h2 tabindex=\"-1\">{}</h2>", &[&name]);
    if invented {
        sheet.put("<p class=\"how\">{}</p>", &[text.invented]);
    }
    let parts = [
        ("stations", text.stations),
        ("facts", text.facts),
        ("walk", text.walk),
        ("sites", text.sites_short),
    ];
    let now = crate::document::Named::name(view.part);
    sheet.choices("part", 0, text.parts, &parts, now);
    match view.part {
        Part::Stations => list::stations(sheet, &view),
        Part::Facts => facts::list(sheet, &view),
        Part::Walk => seen::list(sheet, &view),
        Part::Sites => sites::list(sheet, &view),
    }
}

/// What is open beside the list.
fn draw_open(sheet: &mut Sheet) {
    let view = sheet.session.site.get();
    match view.open {
        Open::None => {}
        Open::Station(id) => station::one(sheet, &view, id),
        Open::Many => station::many(sheet, &view),
        Open::Seen(id) => seen::one(sheet, &view, id),
        Open::Fact(fact) => facts::one(sheet, fact),
    }
}

/// A site's name, or what stands for none.
pub fn name<'a>(text: &'a Text, site: &'a Site) -> &'a str {
    if site.name.is_empty() {
        text.site.unnamed
    } else {
        &site.name
    }
}
