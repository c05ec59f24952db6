//! A site: what is on the ground at one address, beyond its stations.

use super::Draft;

/// A site's number; one is always open.
pub const FIRST: u32 = 1;

/// A site as kept on the phone. Its stations are the [`super::Kept`] that carry its number.
#[derive(Clone, Debug, PartialEq)]
pub struct Site {
    /// Told apart by this; never shown.
    pub id: u32,
    /// As the technician calls it; empty for the first one until it is named.
    pub name: String,
    /// How to find it, whom to ask.
    pub note: String,
    /// Put away, not deleted.
    pub archived: bool,
    /// Climate, month, window and other numbers of the whole site.
    pub facts: Draft,
    /// Where its water comes from; never empty.
    pub supplies: Vec<Supply>,
}

/// A point of connection of a site.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Supply {
    /// Told apart by this within the site; never shown.
    pub id: u32,
    /// As the technician calls it; may be empty.
    pub name: String,
    /// Its numbers.
    pub facts: Draft,
}

impl Site {
    /// A new one of a number.
    pub fn new(id: u32) -> Self {
        Self {
            id,
            name: String::new(),
            note: String::new(),
            archived: false,
            facts: Draft::default(),
            supplies: vec![Supply {
                id: FIRST,
                ..Supply::default()
            }],
        }
    }

    /// One of its supplies; the first for a number it does not have.
    pub fn supply(&self, id: u32) -> &Supply {
        let found = self.supplies.iter().find(|supply| supply.id == id);
        found.unwrap_or(&self.supplies[0])
    }
}
