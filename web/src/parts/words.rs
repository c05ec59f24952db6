//! Words of the page by name, for lists whose words follow the language.

use crate::text::Text;

/// Names a word of the page.
pub type Word = fn(&Text) -> &'static str;
