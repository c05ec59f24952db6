//! Pocket: one station, quick. The answer stays on top, the facts lie below in thumb reach.

mod assumptions;
mod care;
mod drawing;
mod feel;
mod helps;
mod kept;
mod rate;
mod slope;
mod soil;
mod strip;
mod tilt;
mod why;

use crate::dom::El;
use crate::parts::stopwatch;
use crate::session::{Row, Session};
use crate::sheet::{Act, Sheet, sheet};

pub use assumptions::{MONTH_NUMBERS, MONTHS, PLANTS, find_place, months, zones};
pub use helps::Help;
pub use kept::name_of_draft;
pub use rate::{WAYS as RATE_WAYS, catches_fault};
pub use soil::{CONDITIONS, texture_word};
pub use strip::{Head, strip};
pub use tilt::Tilt;

/// What is open, half typed or just measured in the Pocket; gone when the page is left.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct View {
    /// How the soil's class is being found, where that is not how it was found.
    soil_way: Option<crate::document::SoilFound>,
    /// Whether the phone is being laid down, and what it felt.
    laid: Option<Tilt>,
    /// A place as far as it is typed, and the nearest one with its distance.
    place: String,
    near: Option<(&'static str, f64)>,
    place_refused: bool,
    /// A new station's name as far as it is typed, and the one just kept.
    name: String,
    kept_as: Option<String>,
    /// The station that is being renamed, and its new name.
    renamed: Option<(u32, String)>,
}

/// The screen below the strip.
pub fn pocket(session: Session) -> El {
    stopwatch::keep_awake(session);
    helps::ask(session);
    tilt::let_go_with_the_page(session);
    sheet(session, "pocket", draw, act)
}

fn draw(sheet: &mut Sheet) {
    let text = sheet.text;
    sheet.put(
        "<div class=\"facts\"><h2 class=\"unseen\">{}</h2>",
        &[text.facts],
    );
    soil::draw(sheet);
    slope::draw(sheet);
    rate::draw(sheet);
    assumptions::draw(sheet);
    kept::keep(sheet);
    sheet.put("</div><div class=\"beside\">", &[]);
    why::draw(sheet);
    kept::list(sheet);
    care::draw(sheet);
    sheet.put("<p class=\"about\">{}</p></div>", &[text.about]);
}

fn act(session: Session, act: &Act) {
    match act.verb.as_str() {
        "row" => {
            if let Some(row) = Row::ALL.get(act.at as usize) {
                session.toggle(*row);
            }
        }
        "watch" => stopwatch::act(session, act),
        _ => {
            soil::act(session, act);
            slope::act(session, act);
            rate::act(session, act);
            assumptions::act(session, act);
            why::act(session, act);
            kept::act(session, act);
        }
    }
}

/// A row that opens in place: name, value and how it was found; below, when open, its body.
fn row(sheet: &mut Sheet, row: Row, name: &str, value: &str, found: &str, body: fn(&mut Sheet)) {
    let open = sheet.session.open.get() == Some(row);
    let (class, expanded) = if open {
        ("open", "true")
    } else {
        ("", "false")
    };
    let number = (row as u8).to_string();
    sheet.put(
        "<section class=\"fact {}\" id=\"fact-{}\"><h3><button type=\"button\" data-do=\"row\" data-at=\"{}\" \
         aria-controls=\"row-{}\" aria-expanded=\"{}\"><span class=\"name\">{}</span>\
         <span class=\"value\">{}</span><span class=\"found\">{}</span></button></h3><div id=\"row-{}\">",
        &[class, &number, &number, &number, expanded, name, value, found, &number],
    );
    if open {
        sheet.put("<div class=\"body\">", &[]);
        body(sheet);
        sheet.put("</div>", &[]);
    }
    sheet.put("</div></section>", &[]);
}
