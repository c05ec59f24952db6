//! Words of the page on its elements, following the language.

use crate::dom::{El, el};
use crate::session::Session;
use crate::text::Text;

/// Names a word of the page.
pub type Word = fn(&Text) -> &'static str;

impl El {
    /// A word of the page as text.
    pub fn word(self, session: Session, word: Word) -> Self {
        self.say(move || word(session.text()).to_string())
    }

    /// A word of the page as the name screen readers say.
    pub fn label(self, session: Session, word: Word) -> Self {
        self.label_of(move || word(session.text()).to_string())
    }
}

/// An element that is one word of the page.
pub fn said(session: Session, tag: &'static str, word: Word) -> El {
    el(tag).word(session, word)
}

/// A line that explains.
pub fn how(session: Session, word: Word) -> El {
    said(session, "p", word).class("how")
}
