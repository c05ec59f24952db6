//! What is kept on the phone: one document, as JSON text, versioned.
//!
//! Numbers are kept as they were typed. Nothing that follows from them is kept. Reading is lenient:
//! what a later page wrote into a version we know, and we do not understand, falls back to its
//! default and costs nothing else. (Derived readers and writers weighed 11 kB more, brotli.)

mod hand;
pub mod json;
pub mod line;
pub mod present;
pub mod site;
mod words;

use crate::field::Field;
use crate::station::Season;
use crate::units::System;
use crate::year::own;
pub use line::Line;
pub use site::{Fault, Gone, Site};
pub use words::Words;

/// An enum whose variants have names in the document.
macro_rules! named {
    ($(#[$doc:meta])* $name:ident { $($(#[$note:meta])* $variant:ident = $word:literal,)+ }) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
        pub enum $name { $($(#[$note])* $variant,)+ }

        impl $crate::document::Named for $name {
            const ALL: &'static [(Self, &'static str)] = &[$((Self::$variant, $word),)+];
        }
    };
}
pub(crate) use named;

/// Has names in the document.
pub trait Named: Copy + PartialEq + Default + 'static {
    /// Every value and its name.
    const ALL: &'static [(Self, &'static str)];

    /// The name.
    fn name(self) -> &'static str {
        Self::ALL
            .iter()
            .find(|(value, _)| *value == self)
            .map_or("", |(_, name)| name)
    }

    /// Every name with its word, for a list to choose from.
    fn words(word: impl Fn(Self) -> &'static str) -> Vec<(&'static str, &'static str)> {
        let named = |(value, name): &(Self, &'static str)| (*name, word(*value));
        Self::ALL.iter().map(named).collect()
    }

    /// The value of a name.
    fn of(name: &str) -> Option<Self> {
        Self::ALL
            .iter()
            .find(|(_, word)| *word == name)
            .map(|(value, _)| *value)
    }
}

/// The version this page writes.
pub const VERSION: u32 = 2;

/// Everything on this phone.
#[derive(Clone, Debug, PartialEq)]
pub struct Document {
    /// Which shape the document has.
    pub version: u32,
    /// How the reader wants the page.
    pub prefs: Prefs,
    /// The station being worked on.
    pub draft: Draft,
    /// The sites; never empty.
    pub sites: Vec<Site>,
    /// The number of the open site.
    pub site: u32,
    /// Which kept station the draft was opened from.
    pub opened: Option<u32>,
    /// Kept stations of all sites; within a site in the order of its list.
    pub kept: Vec<Kept>,
    /// Deleted stations that can still be put back, last deleted last.
    pub deleted: Vec<Kept>,
    /// Deleted sites that can still be put back, last deleted last.
    pub gone: Vec<Gone>,
    /// The stopwatch.
    pub stopwatch: Stopwatch,
    /// The technician's own terms, name and choices.
    pub own: Words,
    /// The technician's own prices.
    pub prices: Vec<Line>,
}

impl Default for Document {
    fn default() -> Self {
        Self {
            version: VERSION,
            prefs: Prefs::default(),
            draft: Draft::default(),
            sites: vec![Site::new(site::FIRST)],
            site: site::FIRST,
            opened: None,
            kept: Vec::new(),
            deleted: Vec::new(),
            gone: Vec::new(),
            stopwatch: Stopwatch::default(),
            own: Words::default(),
            prices: Vec::new(),
        }
    }
}

/// How many deleted stations can be put back.
pub const DELETED_KEPT: usize = 200;
/// How many deleted sites can be put back.
pub const GONE_KEPT: usize = 5;

/// Why a stored text is not a document of ours.
#[derive(Clone, Debug, PartialEq)]
pub enum NotADocument {
    /// Broken, or something else.
    Unreadable,
    /// Written by a newer page.
    Newer,
}

impl Document {
    /// Reads a stored text of any version.
    pub fn read(text: &str) -> Result<Self, NotADocument> {
        let value = crate::json::parse(text).ok_or(NotADocument::Unreadable)?;
        match value["version"].as_u64() {
            None | Some(0) => Err(NotADocument::Unreadable),
            Some(version) if version > u64::from(VERSION) => Err(NotADocument::Newer),
            Some(_) => Ok(json::document(&value)),
        }
    }

    /// The text to store.
    pub fn write(&self) -> String {
        crate::json::print(&json::of_document(self))
    }

    /// The open site.
    pub fn site(&self) -> &Site {
        let open = self.sites.iter().find(|site| site.id == self.site);
        open.unwrap_or(&self.sites[0])
    }

    /// The open site, to change.
    pub fn site_mut(&mut self) -> &mut Site {
        let open = self.sites.iter().position(|site| site.id == self.site);
        &mut self.sites[open.unwrap_or(0)]
    }

    /// The stations of the open site, in their order.
    pub fn stations(&self) -> impl Iterator<Item = &Kept> {
        let open = self.site().id;
        self.kept.iter().filter(move |kept| kept.site == open)
    }

    /// A number no site has yet.
    pub fn fresh_site_id(&self) -> u32 {
        let gone = self.gone.iter().map(|gone| &gone.site);
        let ids = self.sites.iter().chain(gone).map(|site| site.id);
        ids.max().map_or(site::FIRST, |last| last.saturating_add(1))
    }

    /// Puts the draft among the deleted stations, before another takes its place, where it holds
    /// something that is kept nowhere.
    pub fn set_draft_aside(&mut self, name: String) {
        let blank = self.draft.blank_of_same_season();
        let held = |kept: &Kept| kept.draft == self.draft || self.facts_of(kept) == self.draft;
        if self.draft == blank || self.kept.iter().any(held) {
            return;
        }
        let id = self.fresh_id();
        let draft = self.draft.clone();
        let site = self.site().id;
        self.put_deleted(Kept {
            id,
            name,
            draft,
            site,
            ..Kept::default()
        });
    }

    /// Takes a station among the deleted; the oldest of too many is gone for good.
    pub fn put_deleted(&mut self, kept: Kept) {
        self.deleted.push(kept);
        if self.deleted.len() > DELETED_KEPT {
            self.deleted.remove(0);
        }
    }

    /// Units shown and typed: the open site's own, or the reader's.
    pub fn units(&self) -> System {
        self.site().units.unwrap_or(self.prefs.units)
    }

    /// The site of a kept station.
    fn site_of(&self, kept: &Kept) -> &Site {
        let site = self.sites.iter().find(|site| site.id == kept.site);
        site.unwrap_or(&self.sites[0])
    }

    /// A kept station's facts, with its site's climate and month where it has none of its own.
    pub fn facts_of(&self, kept: &Kept) -> Draft {
        self.site_of(kept).facts_of(&kept.draft)
    }

    /// The same as its site's rules let them count.
    pub fn ruled_facts_of(&self, kept: &Kept) -> Draft {
        let site = self.site_of(kept);
        site.ruled(site.facts_of(&kept.draft))
    }

    /// A month, with what the open site knows of all months.
    pub fn season(&self, month: u32) -> Season {
        self.season_of(self.site(), month)
    }

    fn season_of(&self, site: &Site, month: u32) -> Season {
        let own = own::counted(site, self.prefs.units);
        Season { month, own }
    }

    /// The same for the station being worked on: what its site knows, where it was opened from one.
    pub fn season_of_draft(&self, month: u32) -> Season {
        let opened = self.opened.and_then(|id| self.station(id));
        opened.map_or(month.into(), |kept| {
            self.season_of(self.site_of(kept), month)
        })
    }

    /// A number no kept or deleted station has yet.
    pub fn fresh_id(&self) -> u32 {
        let gone = self.gone.iter().flat_map(|gone| &gone.kept);
        let ids = self
            .kept
            .iter()
            .chain(&self.deleted)
            .chain(gone)
            .map(|station| station.id);
        ids.max().map_or(1, |last| last.saturating_add(1))
    }
}

/// The reader's choices.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Prefs {
    /// Language of the page; the browser's when not chosen.
    pub language: Option<Language>,
    /// Units shown and typed where the open site has none of its own.
    pub units: System,
    /// Theme; the system's when not chosen.
    pub theme: Option<Theme>,
}

named! {
    /// A language of the page.
    Language {
        /// English.
        #[default]
        En = "en",
        /// Spanish.
        Es = "es",
    }
}

named! {
    /// A look of the page.
    Theme {
        /// Black on white.
        #[default]
        Light = "light",
        /// White on black.
        Dark = "dark",
        /// Pure black and white, heavier: for direct sun.
        Sun = "sun",
    }
}

/// A station as kept under a name.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Kept {
    /// Told apart by this; never shown.
    pub id: u32,
    /// As the technician calls it.
    pub name: String,
    /// Its facts.
    pub draft: Draft,
    /// The number of its site.
    pub site: u32,
    /// The number of its supply within the site.
    pub supply: u32,
    /// When it may water, as typed: from and until, `hh:mm`; both empty for the whole night.
    pub hours: (String, String),
    /// Stations of the site that must not be open beside it; each pair stands at one of the two.
    pub apart: Vec<u32>,
    /// What is worth knowing about it.
    pub note: String,
    /// The number its photo is stored under.
    pub photo: Option<u32>,
    /// What was found broken, and how often.
    pub faults: Vec<(Fault, u32)>,
    /// Looked at on this walk.
    pub checked: bool,
    /// What was changed on this walk.
    pub changed: String,
    /// While deleted: its place among the kept stations before.
    pub stood: Option<u32>,
}

impl Kept {
    /// Counts a fault once more, or once less; none left is no entry.
    pub fn count_fault(&mut self, fault: Fault, more: bool) {
        let known = self.faults.iter().position(|(kind, _)| *kind == fault);
        match (known, more) {
            (Some(place), true) => {
                self.faults[place].1 = self.faults[place].1.saturating_add(1);
            }
            (Some(place), false) if self.faults[place].1 > 1 => self.faults[place].1 -= 1,
            (Some(place), false) => {
                self.faults.remove(place);
            }
            (None, true) => self.faults.push((fault, 1)),
            (None, false) => {}
        }
    }
}

/// Typed numbers, by field.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Numbers(Vec<(Field, Typed)>);

impl Numbers {
    /// What was typed into a field.
    pub fn get(&self, field: Field) -> Option<&Typed> {
        self.0
            .iter()
            .find(|(f, _)| *f == field)
            .map(|(_, typed)| typed)
    }

    /// Takes what was typed; `None` for nothing.
    pub fn set(&mut self, field: Field, typed: Option<Typed>) {
        self.0.retain(|(f, _)| *f != field);
        self.0.extend(typed.map(|typed| (field, typed)));
    }

    /// Takes a number written in the units of the SI.
    pub fn set_si(&mut self, field: Field, text: &str) {
        let typed = Typed {
            text: text.into(),
            units: System::Si,
        };
        self.set(field, Some(typed));
    }

    /// Whether nothing was typed anywhere.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// All of them.
    pub fn iter(&self) -> impl Iterator<Item = &(Field, Typed)> {
        self.0.iter()
    }
}

/// A number as typed, and the system it was typed in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Typed {
    /// The text.
    pub text: String,
    /// Where its unit comes from.
    pub units: System,
}

/// One station's facts, as entered.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Draft {
    /// Typed numbers.
    pub numbers: Numbers,
    /// When the night's window opens, as typed.
    pub window_from: String,
    /// Catch-can readings as typed, one text for all.
    pub catches: String,
    /// Soil class, by its word.
    pub soil: Option<String>,
    /// How the class was found.
    pub soil_found: SoilFound,
    /// How the ground has been treated.
    pub condition: Condition,
    /// What the longest run rests on.
    pub ground: Ground,
    /// Answers of the feel test.
    pub feel: Feel,
    /// How the slope is given.
    pub slope_way: SlopeWay,
    /// How the rate is found.
    pub rate_way: RateWay,
    /// How heads are laid out.
    pub layout: Layout,
    /// What grows there.
    pub plants: Plants,
    /// Month, 1 to 12; the phone's month when absent.
    pub month: Option<u32>,
    /// Where the climate comes from.
    pub climate: Climate,
    /// Which figure governs.
    pub governed: Governed,
    /// Whether the typed evapotranspiration is that of a place south of the equator.
    pub south: bool,
}

impl Draft {
    /// A draft of which only climate and month are known: those of this one.
    pub fn blank_of_same_season(&self) -> Self {
        Self {
            climate: self.climate.clone(),
            month: self.month,
            south: self.south,
            ..Self::default()
        }
    }
}

named! {
    /// How a soil class was found.
    SoilFound {
        /// Chosen from the list.
        #[default]
        Name = "name",
        /// Kneaded in the hand.
        Feel = "feel",
        /// Layers in a jar.
        Jar = "jar",
        /// Percent of sand, silt and clay.
        Percent = "percent",
    }
}

named! {
    /// How the ground has been treated.
    Condition {
        /// Dug or aerated lately.
        Loose = "loose",
        /// As an ordinary planting.
        #[default]
        Settled = "settled",
        /// Trodden or driven on.
        Compacted = "compacted",
    }
}

named! {
    /// What the longest run rests on.
    Ground {
        /// The soil's class.
        #[default]
        Class = "class",
        /// A ring test.
        Intake = "intake",
        /// Minutes to runoff, timed on site.
        Timed = "timed",
    }
}

/// Answers of the feel test, in the order they are asked.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Feel {
    /// Does it hold together as a ball?
    pub ball: Option<bool>,
    /// Does it press into a ribbon?
    pub ribbon: Option<bool>,
    /// How long before the ribbon breaks: 0 short, 1 middling, 2 long.
    pub length: Option<u8>,
    /// Over-wet in the palm: 0 gritty, 1 smooth, 2 neither.
    pub rub: Option<u8>,
}

named! {
    /// How the slope is given.
    SlopeWay {
        /// Percent.
        #[default]
        Percent = "percent",
        /// Degrees.
        Degrees = "degrees",
        /// Rise over run.
        RiseRun = "rise_run",
    }
}

named! {
    /// How the precipitation rate is found.
    RateWay {
        /// Typed.
        #[default]
        Typed = "typed",
        /// Flow over area.
        Area = "area",
        /// Head flow over head and row spacing.
        Spacing = "spacing",
        /// Emitter flow over its share of ground.
        Drip = "drip",
        /// A meter read before and after.
        Meter = "meter",
        /// Cans on the ground.
        Cans = "cans",
    }
}

named! {
    /// How heads are laid out.
    Layout {
        /// In rows and columns.
        #[default]
        Square = "square",
        /// Every second row moved by half a spacing.
        Triangle = "triangle",
    }
}

named! {
    /// What grows there.
    Plants {
        /// Cool-season grass.
        #[default]
        CoolTurf = "cool_turf",
        /// Warm-season grass.
        WarmTurf = "warm_turf",
        /// Annual flowers, ground cover that wants water often.
        HighUse = "high_use",
        /// Shrubs of moderate need.
        ModerateUse = "moderate_use",
        /// Shrubs of low need.
        LowUse = "low_use",
        /// Plants that mostly live on rain.
        VeryLowUse = "very_low_use",
        /// Trees, watered by themselves.
        Trees = "trees",
        /// A typed plant factor.
        Typed = "typed",
    }
}

/// Where the climate comes from.
#[derive(Clone, Debug, Default, PartialEq)]
pub enum Climate {
    /// Nothing chosen: a summer day of a temperate place, said as an assumption.
    #[default]
    Assumed,
    /// A place of the built-in list, by its name.
    Place(String),
    /// A published zone, by its number.
    Zone(u8),
    /// Typed by hand.
    Typed,
}

named! {
    /// Which figure governs the runs.
    Governed {
        /// The more cautious of protocol and soil model.
        #[default]
        Both = "both",
        /// The published protocol alone.
        Protocol = "protocol",
        /// Runs, minutes and soak keyed by hand.
        Own = "own",
    }
}

/// A stopwatch that runs on the wall clock, so that a sleeping phone does not stop it.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Stopwatch {
    /// When it was started, milliseconds since 1970.
    pub started_ms: Option<u64>,
    /// When it was stopped.
    pub stopped_ms: Option<u64>,
}

impl Stopwatch {
    /// Seconds shown at a moment; `None` when not started, or when the clock was set back.
    pub fn seconds(&self, now_ms: u64) -> Option<f64> {
        let passed_ms = self
            .stopped_ms
            .unwrap_or(now_ms)
            .checked_sub(self.started_ms?)?;
        Some(passed_ms as f64 / 1000.0)
    }

    /// Whether it is running.
    pub fn runs(&self) -> bool {
        self.started_ms.is_some() && self.stopped_ms.is_none()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_document_survives_writing_and_reading() {
        let mut document = Document::default();
        let typed = Typed {
            text: "1,50".into(),
            units: System::Us,
        };
        document.draft.numbers.set(Field::Rate, Some(typed));
        document.draft.climate = Climate::Place("Marrow Court".into());
        document.kept.push(Kept {
            id: 3,
            name: "Bank".into(),
            draft: document.draft.clone(),
            site: 1,
            supply: 1,
            hours: ("23:00".into(), "2:00".into()),
            apart: vec![2, 5],
            note: "under the oak".into(),
            photo: Some(7),
            faults: vec![(Fault::Misting, 3), (Fault::BrokenHead, 1)],
            checked: true,
            changed: "two nozzles".into(),
            stood: Some(2),
        });
        let site = document.site_mut();
        site.units = Some(System::Us);
        site.archived = true;
        site.invented = true;
        site.soak_style = site::SoakStyle::Fill;
        site.sharing = true;
        site.free_steps = true;
        site.days = site::WaterDays::Every;
        site.weekdays = 0b10101;
        site.closed_hours = ("10:00".into(), "16:00".into());
        site.closed_dates = "2026-07-04".into();
        site.price_unit = site::PriceUnit::Ccf;
        site.tiers = vec![site::Tier {
            until: String::new(),
            price: "4,10".into(),
        }];
        site.currency = "$".into();
        site.supplies[0].meter = "3/4".into();
        site.supplies[0].pipe = "copper_l".into();
        site.supplies[0].pipe_size = "1".into();
        document.gone.push(Gone {
            site: document.site().clone(),
            kept: document.kept.clone(),
        });
        assert_eq!(Document::read(&document.write()), Ok(document.clone()));
        assert_eq!(document.fresh_id(), 4);
    }

    #[test]
    fn a_station_without_a_climate_has_its_sites() {
        let mut document = Document::default();
        document.site_mut().facts.climate = Climate::Zone(3);
        document.site_mut().facts.month = Some(7);
        let mut kept = Kept {
            site: site::FIRST,
            ..Kept::default()
        };
        let facts = document.facts_of(&kept);
        assert_eq!((facts.climate, facts.month), (Climate::Zone(3), Some(7)));
        kept.draft.climate = Climate::Zone(9);
        assert_eq!(document.facts_of(&kept).climate, Climate::Zone(9));
    }

    #[test]
    fn a_draft_that_is_kept_nowhere_is_set_aside() {
        let mut document = Document::default();
        document.set_draft_aside("Bank".into());
        assert!(document.deleted.is_empty(), "a blank draft is no loss");
        document.draft.soil = Some("loam".into());
        document.set_draft_aside("Bank".into());
        assert_eq!(document.deleted[0].draft, document.draft);
        document.kept.push(document.deleted[0].clone());
        document.set_draft_aside("Bank".into());
        assert_eq!(document.deleted.len(), 1, "a kept draft is no loss");
    }

    #[test]
    fn what_is_not_ours_is_told_apart() {
        assert_eq!(Document::read("{"), Err(NotADocument::Unreadable));
        assert_eq!(Document::read("[]"), Err(NotADocument::Unreadable));
        assert_eq!(Document::read("{}"), Err(NotADocument::Unreadable));
        assert_eq!(Document::read("{\"version\":99}"), Err(NotADocument::Newer));
        assert_eq!(Document::read("{\"version\":1}"), Ok(Document::default()));
    }

    #[test]
    fn the_first_version_becomes_one_site() {
        let first = r#"{"version":1,"night":{"window_from":"21:30","numbers":{
            "capacity":{"text":"60","units":"si"},"window_hours":{"text":"7","units":"si"}}},
            "kept":[{"id":4,"name":"Oval","draft":{"soil":"loam"}}]}"#;
        let document = Document::read(first).unwrap();
        let site = document.site();
        assert_eq!(site.facts.window_from, "21:30");
        assert_eq!(
            site.facts.numbers.get(Field::WindowHours).unwrap().text,
            "7"
        );
        assert!(site.facts.numbers.get(Field::Capacity).is_none());
        let supply = site.supply(1).facts.numbers.get(Field::Capacity);
        assert_eq!(supply.unwrap().text, "60");
        assert_eq!(document.stations().count(), 1);
        assert_eq!(Document::read(&document.write()), Ok(document));
    }

    #[test]
    fn a_stopwatch_counts_wall_time_and_notices_a_clock_set_back() {
        let mut watch = Stopwatch {
            started_ms: Some(1000),
            stopped_ms: None,
        };
        assert_eq!(watch.seconds(61_000), Some(60.0));
        assert_eq!(watch.seconds(0), None);
        watch.stopped_ms = Some(31_000);
        assert_eq!(watch.seconds(99_000), Some(30.0));
        assert!(!watch.runs());
    }
}
