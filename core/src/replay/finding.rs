//! What a technician should be told about a replay. Findings change no run.

use super::request::Request;
use crate::calendar::{ClockTime, LocalTime};

/// One thing to tell.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Finding {
    /// Elapsed second since `from`; none when it belongs to no time. For a skipped start: the jump of the clock.
    pub second: Option<i64>,
    /// What the clock shows then; for a skipped start the time that was skipped.
    pub at: Option<LocalTime>,
    /// Place of the program in the request.
    pub program: Option<usize>,
    /// Place of the station in the request.
    pub station: Option<usize>,
    /// What it is.
    pub kind: Kind,
}

/// What a finding says.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Kind {
    /// A start lies in closed time and does not fire.
    StartInClosed,
    /// A start lies in the time that the clock jumps over and does not fire.
    StartSkippedByClock,
    /// A start fires a second time because the clock was put back.
    StartRepeatedByClock,
    /// A start fires while its program is still running or waiting: it queues and waters again.
    StartWhileRunning,
    /// A start came due and fired on no water day.
    StartNeverFires {
        /// The start as keyed.
        start: ClockTime,
    },
    /// A step waits because its station is held open by another program.
    StationBusy {
        /// Place of the program that holds it.
        by: usize,
    },
    /// Closed time cut a run.
    CutByClosed {
        /// What was not run.
        seconds: u32,
    },
    /// Closed time made a program lose runs not yet opened, or a start that waited.
    DroppedByClosed,
    /// The open stations of a supply drew more than it carries.
    OverCapacity {
        /// Place of the supply in the request.
        supply: usize,
        /// For how long without a break.
        seconds: i64,
        /// The highest flow meanwhile, l/min: a sum, which may be above what a single [`Flow`] can be.
        ///
        /// [`Flow`]: crate::quantity::Flow
        flow_l_per_min: f64,
    },
    /// A run is open outside the water window.
    OutsideWindow,
    /// A run is longer than its station's longest run.
    LongerThanLimit,
    /// The program's list of weekdays is empty.
    NoWaterDays,
    /// The program has no start times.
    NoStarts,
    /// The program has no steps, or adjustment leaves none.
    NoSteps,
    /// The station stands in no program that would water it.
    NeverWaters,
}

impl Kind {
    /// The word at the JSON door.
    pub const fn word(&self) -> &'static str {
        match self {
            Self::StartInClosed => "start_in_closed",
            Self::StartSkippedByClock => "start_skipped_by_clock",
            Self::StartRepeatedByClock => "start_repeated_by_clock",
            Self::StartWhileRunning => "start_while_running",
            Self::StartNeverFires { .. } => "start_never_fires",
            Self::StationBusy { .. } => "station_busy",
            Self::CutByClosed { .. } => "cut_by_closed",
            Self::DroppedByClosed => "dropped_by_closed",
            Self::OverCapacity { .. } => "over_capacity",
            Self::OutsideWindow => "outside_window",
            Self::LongerThanLimit => "longer_than_limit",
            Self::NoWaterDays => "no_water_days",
            Self::NoStarts => "no_starts",
            Self::NoSteps => "no_steps",
            Self::NeverWaters => "never_waters",
        }
    }
}

/// What can be said before anything runs. A program that is off has no findings, and waters no station.
pub(super) fn about_programs(request: &Request) -> Vec<Finding> {
    let mut findings = Vec::new();
    let timeless = |program, station, kind| Finding {
        second: None,
        at: None,
        program,
        station,
        kind,
    };
    let mut waters = vec![false; request.entered().stations.len()];
    for (place, program) in request.entered().programs.iter().enumerate() {
        if !program.on {
            continue;
        }
        let said = [
            (program.days.never(), Kind::NoWaterDays),
            (program.starts.is_empty(), Kind::NoStarts),
            (request.steps(place).is_empty(), Kind::NoSteps),
        ];
        for (_, kind) in said.into_iter().filter(|(holds, _)| *holds) {
            findings.push(timeless(Some(place), None, kind));
        }
        for station in request.steps(place).iter().flat_map(|step| &step.stations) {
            waters[*station] = true;
        }
    }
    let dry = waters.iter().enumerate().filter(|(_, waters)| !**waters);
    findings.extend(dry.map(|(station, _)| timeless(None, Some(station), Kind::NeverWaters)));
    findings
}
