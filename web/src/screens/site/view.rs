//! What of the Site place is open at the moment; nothing of it is kept.

use crate::document::{Kept, Site, named};

/// What is open.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct View {
    /// Which list stands on the left.
    pub part: Part,
    /// What stands beside it; on a narrow screen, in its place.
    pub open: Open,
    /// Stations are being picked, by number.
    pub picked: Option<Vec<u32>>,
    /// Stations are being put in order.
    pub ordering: bool,
    /// What is looked for in the list.
    pub find: String,
    /// How the sites are sorted.
    pub sort: Sort,
    /// Stations as they were before all of several were changed, or a walk begun anew.
    pub before: Vec<Kept>,
    /// The site as it was before one of its supplies was deleted; its stations are in `before`.
    pub site_before: Option<Box<Site>>,
    /// How many stations the last deletion took.
    pub gone: usize,
    /// The open station was just added: its flow is asked first.
    pub fresh: bool,
    /// The row to return to in the list.
    pub came: u32,
    /// A station went to the Pocket from here.
    pub to_pocket: bool,
    /// The phone gave no position.
    pub refused: bool,
    /// A photo could not be kept.
    pub no_photo: bool,
    /// The station for which others are listed that it must not water with. (Two hundred names are not drawn at
    /// every keystroke.)
    pub apart_of: u32,
}

named! {
    /// A list of the place.
    Part {
        #[default]
        Stations = "stations",
        Facts = "facts",
        Walk = "walk",
        Sites = "sites",
    }
}

/// The fact that holds climate and position, by its place in the list.
pub const POSITION: u32 = 2;

/// What is open beside the list.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Open {
    /// Nothing.
    #[default]
    None,
    /// A station's facts.
    Station(u32),
    /// Facts of all that are picked.
    Many,
    /// What is seen at a station.
    Seen(u32),
    /// One of the site's facts, by its place in the list.
    Fact(u32),
}

named! {
    /// How sites are sorted.
    Sort {
        /// As they were made, newest first.
        #[default]
        Newest = "newest",
        /// By name.
        Name = "name",
        /// Most stations first.
        Size = "size",
    }
}
