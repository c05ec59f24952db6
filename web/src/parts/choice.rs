//! One of a few, as a row of buttons.

use super::words::Word;
use crate::dom::{El, el, key};
use crate::session::Session;

/// One of a list of values: each with its word; what reads the one in force; what takes another.
pub fn choices<T: Copy + PartialEq + 'static>(
    session: Session,
    label: Word,
    list: &[(T, Word)],
    now: impl Fn() -> T + Copy + 'static,
    choose: impl Fn(T) + Copy + 'static,
) -> El {
    let keys = list.iter().map(|(value, word)| {
        let value = *value;
        choice(
            session,
            *word,
            move || now() == value,
            move || choose(value),
        )
    });
    group(session, label).with_all(keys)
}

/// A named group of buttons.
pub fn group(session: Session, label: Word) -> El {
    el("div")
        .class("choices")
        .attr("role", "group")
        .label(session, label)
}

/// One button of a group.
pub fn choice(
    session: Session,
    word: Word,
    chosen: impl Fn() -> bool + 'static,
    choose: impl Fn() + 'static,
) -> El {
    key(choose).word(session, word).flag("aria-pressed", chosen)
}
