//! A night's plan: who runs when, when it ends, and what could not be served.

/// One opening of one station.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Run {
    /// Seconds from the start of the window to the opening.
    pub start_second: u32,
    /// How long it is open, seconds.
    pub seconds: u32,
    /// Place of the station in [`Site::stations`](super::Site::stations).
    pub station: usize,
}

impl Run {
    /// The first second at which it is closed again.
    pub fn end_second(&self) -> u32 {
        self.start_second + self.seconds
    }
}

/// Why a station is not served.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reason {
    /// It draws more than its supply carries.
    AboveCapacity,
    /// Its runs and soaks do not fit between its own earliest start and latest end.
    OwnWindowTooShort,
    /// With everything else on its supply open it would not reach the least flow.
    BelowLeastFlow,
    /// No plan was found in which it keeps its own window or the pump its least flow.
    NoPlaceFound,
}

impl Reason {
    /// The word by which the JSON door names it.
    pub fn word(self) -> &'static str {
        match self {
            Self::AboveCapacity => "above_capacity",
            Self::OwnWindowTooShort => "own_window_too_short",
            Self::BelowLeastFlow => "below_least_flow",
            Self::NoPlaceFound => "no_place_found",
        }
    }
}

/// A station that the plan does not serve at all: nothing is ever served short.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Unserved {
    /// Place of the station in [`Site::stations`](super::Site::stations).
    pub station: usize,
    /// The minutes it does not get.
    pub minutes: u32,
    /// Why.
    pub reason: Reason,
}

/// A plan that keeps every rule for the stations it serves.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Plan {
    /// All runs, by start, then length, then station.
    pub runs: Vec<Run>,
    /// End of the last run, seconds from the start of the window.
    pub finish_second: u32,
    /// What is not served, in the order of the stations.
    pub unserved: Vec<Unserved>,
}
