//! A site: what is on the ground at one address, beyond its stations.

pub mod json;

use super::present::{Planned, Present};
use super::{Draft, Kept, Line, Typed, Words, named};
use crate::station::number_or_default;
use crate::units::System;

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
    /// Loaded to look around: an invented site.
    pub invented: bool,
    /// The units this site is worked in; the page's where absent.
    pub units: Option<System>,
    /// Climate, month, window and other numbers of the whole site.
    pub facts: Draft,
    /// Where its water comes from; never empty.
    pub supplies: Vec<Supply>,
    /// How its panel cuts and soaks by itself.
    pub soak_style: SoakStyle,
    /// Whether its programs may run beside each other.
    pub sharing: bool,
    /// Whether its programs hold steps in any order, several stations in one, a station in several. Most
    /// panels know one run time a station and program, in station order.
    pub free_steps: bool,
    /// Which days may be watered, besides `weekdays`.
    pub days: WaterDays,
    /// Weekdays on which water may run: bit 0 is Monday, bit 6 Sunday.
    pub weekdays: u8,
    /// When nothing may run, as typed: from and until, `hh:mm`; both empty for never.
    pub closed_hours: (String, String),
    /// Dates on which nothing may run, as typed: `2026-07-04`, blanks or commas between.
    pub closed_dates: String,
    /// What a price is for.
    pub price_unit: PriceUnit,
    /// Prices, lowest step first. One step without an end is a flat price; none is no price.
    pub tiers: Vec<Tier>,
    /// How money is written, `$` or `€`; may be empty.
    pub currency: String,
    /// What stands in the controller now.
    pub present: Present,
    /// What was planned last.
    pub planned: Planned,
    /// Choices of its year and its papers.
    pub words: Words,
    /// The lines of its quote.
    pub quote: Vec<Line>,
}

/// A step of the water price, as typed: decimal text, so that nothing is lost.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Tier {
    /// Up to how much a month it holds, in price units; empty for the last step.
    pub until: String,
    /// What a price unit costs.
    pub price: String,
}

/// A point of connection of a site.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Supply {
    /// Told apart by this within the site; never shown.
    pub id: u32,
    /// As the technician calls it; may be empty.
    pub name: String,
    /// The meter's size, by its word at the JSON door; empty for none.
    pub meter: String,
    /// The pipe's material, by its word at the JSON door; empty for none.
    pub pipe: String,
    /// The pipe's nominal size, by its word at the JSON door.
    pub pipe_size: String,
    /// Its numbers.
    pub facts: Draft,
}

named! {
    /// A panel's own cycle and soak.
    SoakStyle {
        /// It has none.
        #[default]
        None = "none",
        /// While a station soaks, everything waits.
        Wait = "wait",
        /// While a station soaks, others water.
        Fill = "fill",
    }
}

named! {
    /// Which days may be watered.
    WaterDays {
        /// Every day of the allowed weekdays.
        #[default]
        Weekdays = "weekdays",
        /// Odd dates.
        Odd = "odd",
        /// Even dates.
        Even = "even",
        /// Every so many days: `Field::EveryDays`.
        Every = "every",
    }
}

named! {
    /// What a water price is for.
    PriceUnit {
        /// A cubic metre.
        #[default]
        CubicMetre = "m3",
        /// A hundred cubic feet.
        Ccf = "ccf",
        /// A thousand US gallons.
        Kgal = "kgal",
    }
}

impl PriceUnit {
    /// Its sign.
    pub const fn sign(self) -> &'static str {
        match self {
            Self::CubicMetre => "m³",
            Self::Ccf => "CCF",
            Self::Kgal => "kgal",
        }
    }
}

named! {
    /// What is found broken at a station.
    Fault {
        #[default]
        BrokenHead = "broken_head",
        LowHead = "low_head",
        LeaningHead = "leaning_head",
        WrongNozzle = "wrong_nozzle",
        CloggedNozzle = "clogged_nozzle",
        BadArc = "bad_arc",
        BlockedSpray = "blocked_spray",
        Misting = "misting",
        WeakSpray = "weak_spray",
        SeepingHead = "seeping_head",
        BrokenPipe = "broken_pipe",
        BrokenDrip = "broken_drip",
        ValveLeaks = "valve_leaks",
        ValveWillNotOpen = "valve_will_not_open",
        ValveWillNotClose = "valve_will_not_close",
        Wiring = "wiring",
        BoxDamaged = "box_damaged",
        Other = "other",
    }
}

impl Fault {
    /// Whoever mends it is at wires.
    pub const fn at_wires(self) -> bool {
        matches!(self, Self::Wiring | Self::BoxDamaged | Self::Other) || self.at_valve()
    }

    /// Whoever mends it opens what is under pressure.
    pub const fn under_pressure(self) -> bool {
        matches!(self, Self::BrokenPipe | Self::BrokenDrip | Self::Other) || self.at_valve()
    }

    const fn at_valve(self) -> bool {
        matches!(
            self,
            Self::ValveLeaks | Self::ValveWillNotOpen | Self::ValveWillNotClose
        )
    }
}

/// All weekdays.
pub const EVERY_DAY: u8 = 0x7f;

impl Site {
    /// A new one of a number.
    pub fn new(id: u32) -> Self {
        Self {
            id,
            name: String::new(),
            note: String::new(),
            archived: false,
            invented: false,
            units: None,
            facts: Draft::default(),
            supplies: vec![Supply {
                id: FIRST,
                ..Supply::default()
            }],
            soak_style: SoakStyle::default(),
            sharing: false,
            free_steps: false,
            days: WaterDays::default(),
            weekdays: EVERY_DAY,
            closed_hours: Default::default(),
            closed_dates: String::new(),
            price_unit: PriceUnit::default(),
            tiers: Vec::new(),
            currency: String::new(),
            present: Present::default(),
            planned: Planned::default(),
            words: Words::default(),
            quote: Vec::new(),
        }
    }

    /// One of its supplies; the first for a number it does not have.
    pub fn supply(&self, id: u32) -> &Supply {
        let found = self.supplies.iter().find(|supply| supply.id == id);
        found.unwrap_or(&self.supplies[0])
    }

    /// Whether a weekday, 0 for Monday, may be watered.
    pub fn waters_on(&self, weekday: u8) -> bool {
        self.weekdays >> weekday & 1 == 1
    }

    /// How many days of a week the rules allow at least, 1 to 7.
    pub fn days_a_week(&self) -> u32 {
        let open = u32::from(self.weekdays & EVERY_DAY).count_ones();
        let days = match self.days {
            WaterDays::Weekdays => open,
            WaterDays::Odd | WaterDays::Even => open / 2,
            WaterDays::Every => {
                let every = number_or_default(&self.facts, super::Field::EveryDays);
                7 / every.map_or(2, |days| days as u32).max(1)
            }
        };
        days.max(1)
    }

    /// Facts as they count under the rules of the site: on fewer days more is given at once, which
    /// takes other runs and rests.
    pub fn ruled(&self, mut facts: Draft) -> Draft {
        let most = self.days_a_week();
        if number_or_default(&facts, super::Field::Days).is_some_and(|days| days > f64::from(most))
        {
            let (text, units) = (most.to_string(), System::Si);
            let days = Some(Typed { text, units });
            facts.numbers.set(super::Field::Days, days);
        }
        facts
    }

    /// A kept station's facts with what the site knows for it: its climate and month, where the
    /// station has none of its own.
    pub fn facts_of(&self, draft: &Draft) -> Draft {
        let mut facts = draft.clone();
        if facts.climate == super::Climate::Assumed {
            facts.climate = self.facts.climate.clone();
            facts.south = self.facts.south;
            let et: Option<Typed> = self.facts.numbers.get(super::Field::ReferenceEt).cloned();
            facts.numbers.set(super::Field::ReferenceEt, et);
        }
        facts.month = facts.month.or(self.facts.month);
        facts
    }
}

/// A deleted site that can still be put back, with its stations.
#[derive(Clone, Debug, PartialEq)]
pub struct Gone {
    /// The site.
    pub site: Site,
    /// Its stations.
    pub kept: Vec<Kept>,
}
