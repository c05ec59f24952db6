//! When starts come due by the wall clock, and whether they fire.
//!
//! A start belongs to the calendar date on which its clock time falls. It fires when that date is a water day of its
//! program, the program is on and has something to run, and the time is not closed. Times that the clock jumps over
//! never come; times that it shows twice come twice.

use super::days::ClosedTime;
use super::finding::{Finding, Kind};
use super::request::{Program, Request};
use crate::calendar::LocalTime;
use crate::calendar::wall::{Stretch, WallClock};
use crate::order::{by_keys, signed};

/// What becomes of a start that is due.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Outcome {
    Fires,
    FiresAgain,
    IsClosed,
    IsSkipped,
}

impl Outcome {
    pub(super) fn fires(self) -> bool {
        matches!(self, Self::Fires | Self::FiresAgain)
    }
}

/// One start on one of its water days.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Due {
    /// Elapsed second at which the clock shows it; when skipped, the second of the jump.
    pub second: i64,
    /// The clock time, as it is keyed.
    pub local: LocalTime,
    pub program: usize,
    /// Place among the program's starts.
    pub start: usize,
    pub outcome: Outcome,
}

/// Every start of `program` that comes due from elapsed second 0 to before `end`, in order of time.
pub(super) fn dues(
    program: &Program,
    place: usize,
    clock: &WallClock,
    closed: &ClosedTime,
    end: i64,
) -> Vec<Due> {
    let mut dues = Vec::new();
    for stretch in clock
        .stretches()
        .iter()
        .filter(|stretch| stretch.second < end)
    {
        skipped(program, place, stretch, &mut dues);
        let stretch_end = stretch.until_second.map_or(end, |until| until.min(end));
        for (start, local) in due_between(program, stretch.shows, stretch.local(stretch_end)) {
            let again = stretch.change.is_some_and(|change| local < change.at);
            let outcome = match (closed.holds(local), again) {
                (true, _) => Outcome::IsClosed,
                (false, true) => Outcome::FiresAgain,
                (false, false) => Outcome::Fires,
            };
            let second = stretch.second + local.seconds_since(stretch.shows);
            dues.push(Due {
                second,
                local,
                program: place,
                start,
                outcome,
            });
        }
    }
    // Starts are eight at most: the list is made start by start, and equal keys keep their order.
    by_keys(&mut dues, |due| {
        [signed(due.second), signed(due.local.to_seconds())]
    });
    dues
}

/// The starts that the jump at the beginning of a stretch leaves out.
fn skipped(program: &Program, place: usize, stretch: &Stretch, dues: &mut Vec<Due>) {
    let Some(change) = stretch.change else { return };
    for (start, local) in due_between(program, change.at, change.shows_after()) {
        let second = stretch.second;
        dues.push(Due {
            second,
            local,
            program: place,
            start,
            outcome: Outcome::IsSkipped,
        });
    }
}

/// The starts whose clock times on water days lie from `from` to before `until`: their place and time.
fn due_between(
    program: &Program,
    from: LocalTime,
    until: LocalTime,
) -> impl Iterator<Item = (usize, LocalTime)> + '_ {
    let days = until.date().days_since(from.date());
    let dates = (0..=days).map(move |day| from.date().plus_days(day));
    let water = dates.filter(|date| program.days.holds(*date));
    water.flat_map(move |date| {
        let times = program
            .starts
            .iter()
            .map(move |start| date.at(*start))
            .enumerate();
        times.filter(move |(_, local)| from <= *local && *local < until)
    })
}

/// What there is to say about starts that are due.
pub(super) fn findings(request: &Request) -> Vec<Finding> {
    let mut findings = Vec::new();
    for due in request.dues() {
        let kind = match due.outcome {
            Outcome::Fires => continue,
            Outcome::FiresAgain => Kind::StartRepeatedByClock,
            Outcome::IsClosed => Kind::StartInClosed,
            Outcome::IsSkipped => Kind::StartSkippedByClock,
        };
        findings.push(about(due, kind));
    }
    never_firing(request, &mut findings);
    findings
}

/// Starts that came due and never fired.
fn never_firing(request: &Request, findings: &mut Vec<Finding>) {
    let programs = &request.entered().programs;
    let mut first: Vec<[Option<&Due>; 8]> = vec![[None; 8]; programs.len()];
    let mut fired = vec![[false; 8]; programs.len()];
    for due in request.dues() {
        first[due.program][due.start].get_or_insert(due);
        fired[due.program][due.start] |= due.outcome.fires();
    }
    for (firsts, fired) in first.iter().zip(fired) {
        for (due, _) in firsts.iter().zip(fired).filter(|(_, fired)| !fired) {
            if let Some(due) = due {
                let start = programs[due.program].starts[due.start];
                findings.push(about(due, Kind::StartNeverFires { start }));
            }
        }
    }
}

fn about(due: &Due, kind: Kind) -> Finding {
    Finding {
        second: Some(due.second),
        at: Some(due.local),
        program: Some(due.program),
        station: None,
        kind,
    }
}
