//! The usual cautions where a hand goes into a wet box with wires. Always at hand, never in the way.

use crate::dom::{El, el};
use crate::parts::words::{Word, said};
use crate::session::Session;

const LINES: [Word; 8] = [
    |t| t.care_power,
    |t| t.care_wet,
    |t| t.care_look,
    |t| t.care_pressure,
    |t| t.care_backflow,
    |t| t.care_dig,
    |t| t.care_storm,
    |t| t.care_law,
];

/// The cautions, folded.
pub fn care(session: Session) -> El {
    let lines = LINES.map(|line| said(session, "li", line));
    el("details")
        .class("care")
        .with(said(session, "summary", |t| t.care))
        .with(el("ul").with_all(lines))
}
