//! What is keyed, where, and for how long to look: as entered, and checked.

mod check;

use super::days::{Closed, ClosedTime, Daily, WaterDays};
use super::due::Due;
use super::plan::PlannedStep;
use crate::calendar::wall::{ClockChange, WallClock};
use crate::calendar::{ClockTime, LocalTime};
use crate::invalid::Invalid;
use crate::quantity::Flow;

/// What a request may hold at most. The lists are far above any site we know of; they and [`limits::RUNS`] keep the
/// work of a replay within a few seconds.
pub mod limits {
    /// Hours looked at: a leap year.
    pub const HOURS: u32 = 8_784;
    /// Pause between closing and opening, seconds.
    pub const GAP_SECONDS: u32 = 3_600;
    /// Longest run and soak of a station, minutes.
    pub const STATION_MINUTES: u32 = 1_440;
    /// Keyed length of a step, seconds.
    pub const STEP_SECONDS: u32 = 86_400;
    /// Seasonal adjustment of a program, percent.
    pub const ADJUST_PERCENT: u32 = 300;
    /// From one water day to the next, days.
    pub const EVERY_DAYS: u32 = 366;
    /// Start times of a program.
    pub const STARTS: usize = 8;
    /// Stations of a site.
    pub const STATIONS: usize = 1_000;
    /// Supplies of a site.
    pub const SUPPLIES: usize = 1_000;
    /// Programs of a controller.
    pub const PROGRAMS: usize = 128;
    /// Steps of a program.
    pub const STEPS: usize = 1_000;
    /// Changes of the clock, and daily closed spans.
    pub const CHANGES: usize = 1_000;
    /// Closed dates.
    pub const DATES: usize = 10_000;
    /// Openings of a station in one replay, were no closed time to drop any; also starts that come due.
    pub const RUNS: u64 = 400_000;
}

/// What a controller does with the soak of a station.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum SoakStyle {
    /// The program stands still during a soak, and begins the next step after the last run of this one.
    #[default]
    Wait,
    /// The program runs other steps meanwhile.
    Fill,
    /// The controller has no cycle and soak: nothing is cut.
    None,
}

impl SoakStyle {
    /// The words at the JSON door.
    pub const WORDS: &'static [&'static str] = &["wait", "fill", "none"];
    /// In the order of [`SoakStyle::WORDS`].
    pub const ALL: [Self; 3] = [Self::Wait, Self::Fill, Self::None];
}

/// A valve, or several that are wired to open as one.
#[derive(Clone, Debug, PartialEq)]
pub struct Station {
    /// Its name; each once.
    pub id: String,
    /// What it draws; none when unknown: it then draws nothing.
    pub flow: Option<Flow>,
    /// Longest run before runoff, 1 to 1440 minutes; none when there is no limit.
    pub longest_run_minutes: Option<u32>,
    /// Soak between runs, 0 to 1440 minutes; a step is cut only when it and the longest run are there.
    pub soak_minutes: Option<u32>,
    /// The supply it draws from, by name.
    pub supply: Option<String>,
}

/// Where water comes from.
#[derive(Clone, Debug, PartialEq)]
pub struct Supply {
    /// Its name; each once.
    pub id: String,
    /// What it carries; none when there is no limit.
    pub capacity: Option<Flow>,
}

/// One step of a program.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Step {
    /// The stations that open together, by name; one or more, each once.
    pub stations: Vec<String>,
    /// Keyed length, 0 to 86,400 seconds.
    pub seconds: u32,
}

/// One program as keyed.
#[derive(Clone, Debug, PartialEq)]
pub struct Program {
    /// Its name; each once.
    pub id: String,
    /// Start times in the keyed order, at most eight; the same one twice is two starts.
    pub starts: Vec<ClockTime>,
    /// When its starts fire.
    pub days: WaterDays,
    /// Whether it may run beside other sharing programs.
    pub sharing: bool,
    /// Seasonal adjustment of every step, 0 to 300 percent.
    pub adjust_percent: u32,
    /// Whether it is switched on.
    pub on: bool,
    /// In the order in which they run.
    pub steps: Vec<Step>,
}

/// A request as entered, its single values made by their own checked constructors where they have one.
#[derive(Clone, Debug, PartialEq)]
pub struct Entered {
    /// What the clock shows at elapsed second 0, after any change at or before it.
    pub from: LocalTime,
    /// For how long starts are looked at, 1 to 8784 elapsed hours.
    pub hours: u32,
    /// Least time from a closing to the next opening of the same program, 0 to 3600 seconds.
    pub gap_seconds: u32,
    /// What the controller does with soaks.
    pub soak_style: SoakStyle,
    /// Changes of the clock, in order of time, at least 24 hours apart.
    pub clock_changes: Vec<ClockChange>,
    /// When nothing may run.
    pub closed: Closed,
    /// The water window; runs outside it are told.
    pub window: Option<Daily>,
    /// Where water comes from.
    pub supplies: Vec<Supply>,
    /// The stations in the order of their valves.
    pub stations: Vec<Station>,
    /// The programs in the controller's order.
    pub programs: Vec<Program>,
}

/// A request that can be replayed: everything in it was checked.
#[derive(Clone, Debug, PartialEq)]
pub struct Request {
    entered: Entered,
    /// By station: the place of its supply.
    supplies: Vec<Option<usize>>,
    /// By program: its steps as they run; none when it is off.
    steps: Vec<Vec<PlannedStep>>,
    clock: WallClock,
    closed: ClosedTime,
    /// In order of time, then of program.
    dues: Vec<Due>,
}

impl Request {
    /// Checks what was entered.
    ///
    /// # Errors
    /// Everything that is wrong, each beside its field as the JSON door spells it (`programs[0].steps[2].seconds`):
    /// values outside their range, names used twice or not listed, lists that are too long, and a request that would
    /// give more than [`limits::RUNS`] runs.
    pub fn new(entered: Entered) -> Result<Self, Vec<Invalid>> {
        check::check(entered)
    }

    /// What was entered.
    pub fn entered(&self) -> &Entered {
        &self.entered
    }

    /// The wall clock from `from` on.
    pub fn clock(&self) -> &WallClock {
        &self.clock
    }

    /// The place of the supply that a station draws from.
    pub fn supply_of(&self, station: usize) -> Option<usize> {
        self.supplies[station]
    }

    pub(super) fn closed(&self) -> &ClosedTime {
        &self.closed
    }

    pub(super) fn steps(&self, program: usize) -> &[PlannedStep] {
        &self.steps[program]
    }

    pub(super) fn dues(&self) -> &[Due] {
        &self.dues
    }

    pub(super) fn gap_seconds(&self) -> i64 {
        i64::from(self.entered.gap_seconds)
    }
}
