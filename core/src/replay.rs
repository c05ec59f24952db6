//! What a controller does with what was keyed, to the second.
//!
//! Programs with their start times, water days and steps come in as they stand in a controller, checked once into a
//! [`Request`]; out comes every opening of every valve, and what a technician should be told about it. The rules
//! (`common practice, no source`) are stated beside the code that follows them:
//!
//! * a start fires when the wall clock shows it on a water day outside closed time, and never twice for one date
//!   unless the clock is put back (`due`);
//! * what fired begins at once or queues; sharing programs run beside each other, others alone (`play`);
//! * a step is adjusted, then cut into runs and soaks where its stations ask for it (`plan`);
//! * closed time cuts all that is open and forgets all that waits;
//! * in one second: runs close, programs end, closed time cuts, starts fire in program order, running programs open
//!   what is due in program order, the queue is read.
//!
//! All of it is whole seconds. The replay jumps from event to event, so that its work grows with the number of runs
//! and not with the length of the time looked at. It shares no code with [`night`](crate::night) and
//! [`program`](crate::program): it is there to find their mistakes. Water on and in the ground is not its concern.

mod days;
mod due;
mod finding;
mod judge;
mod plan;
mod play;
mod request;
#[cfg(test)]
mod rules;

pub use days::{Closed, Daily, WaterDays};
pub use finding::{Finding, Kind};
pub use request::{Entered, Program, Request, SoakStyle, Station, Step, Supply, limits};

use crate::calendar::LocalTime;
use crate::order::{by_keys, signed};

/// One opening of one station.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Run {
    /// Elapsed seconds since `from` at which it opens.
    pub start_second: i64,
    /// How long it is open, 1 second or more.
    pub seconds: u32,
    /// Place of its program in the request.
    pub program: usize,
    /// Place of its step in the program as keyed.
    pub step: usize,
    /// Place of its station among those of the step.
    pub place: usize,
    /// Place of its station in the request.
    pub station: usize,
}

impl Run {
    /// The first elapsed second at which it is no longer open.
    pub const fn end_second(&self) -> i64 {
        self.start_second + self.seconds as i64
    }
}

/// What the controller does, and what there is to say about it.
#[derive(Clone, Debug, PartialEq)]
pub struct Replay {
    /// In order of start, program, step and place in the step.
    pub runs: Vec<Run>,
    /// In order of time, those without a time first.
    pub findings: Vec<Finding>,
}

/// Replays what was keyed.
pub fn replay(request: &Request) -> Replay {
    let mut findings = finding::about_programs(request);
    findings.extend(due::findings(request));
    let mut runs = play::play(request, &mut findings);
    by_keys(&mut runs, |run| {
        // Programs, steps and places are fewer than two million each (see `request`).
        let [program, step, place] = [run.program, run.step, run.place].map(|at| at as u64);
        [
            signed(run.start_second),
            (program << 42) | (step << 21) | place,
        ]
    });
    findings.extend(judge::findings(request, &runs));
    by_keys(&mut findings, |finding| {
        // Nothing before something.
        let key = |number: Option<i64>| number.map_or(0, |number| signed(number).saturating_add(1));
        [
            key(finding.second),
            key(finding.at.map(LocalTime::to_seconds)),
        ]
    });
    Replay { runs, findings }
}
