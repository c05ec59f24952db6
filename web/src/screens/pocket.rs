//! Pocket: one station, quick. The answer stays on top, the facts lie below in thumb reach.

mod assumptions;
mod care;
mod drawing;
mod feel;
mod kept;
mod rate;
mod slope;
mod soil;
mod strip;
mod tilt;
mod why;

use crate::dom::{El, el, key, memo};
use crate::parts::words::{Word, said};
use crate::session::{Row, Session};

pub use assumptions::{MONTHS, PLANTS};
pub use kept::name_of_draft;
pub use rate::WAYS as RATE_WAYS;
pub use soil::{CONDITIONS, texture_word};
pub use strip::strip;

/// The screen below the strip.
pub fn pocket(session: Session) -> El {
    let facts = el("div")
        .class("facts")
        .with(said(session, "h2", |t| t.facts).class("unseen"))
        .with(soil::soil(session))
        .with(slope::slope(session))
        .with(rate::rate(session))
        .with(assumptions::assumptions(session))
        .with(kept::keep(session));
    let beside = el("div")
        .class("beside")
        .with(why::why(session))
        .with(kept::list(session))
        .with(care::care(session))
        .with(said(session, "p", |t| t.about).class("about"));
    el("main").class("pocket").with(facts).with(beside)
}

/// A row that opens in place: name, value and how it was found; below, when open, its body.
fn row(
    session: Session,
    row: Row,
    name: Word,
    value: impl Fn() -> String + 'static,
    found: impl Fn() -> String + 'static,
    body: fn(Session) -> El,
) -> El {
    let is_open = memo(move || session.open.get() == Some(row));
    let body_id = format!("row-{}", row as u8);
    let head = key(move || session.toggle(row))
        .attr("aria-controls", &body_id)
        .flag("aria-expanded", move || is_open.get())
        .with(said(session, "span", name).class("name"))
        .with(el("span").class("value").say(value))
        .with(el("span").class("found").say(found));
    el("section")
        .class("fact")
        .class_when("open", move || is_open.get())
        .with(el("h3").with(head))
        .with(
            el("div")
                .id(&body_id)
                .with_of(move || is_open.get().then(|| body(session).class("body"))),
        )
}
