//! What is said about runs as they were.

use super::Run;
use super::finding::{Finding, Kind};
use super::request::Request;
use crate::order::{by_keys, signed};

/// A supply is over its capacity when the flow is above it by more than this, l/min.
const SLACK_L_PER_MIN: f64 = 0.000_001;

/// Judges runs, which are in order of start.
pub(super) fn findings(request: &Request, runs: &[Run]) -> Vec<Finding> {
    let mut findings = Vec::new();
    for run in runs {
        outside_window(request, run, &mut findings);
        longer_than_limit(request, run, &mut findings);
    }
    for turns in turns(request, runs).chunk_by(|a, b| a.supply == b.supply) {
        over_capacity(request, turns, &mut findings);
    }
    findings
}

fn outside_window(request: &Request, run: &Run, findings: &mut Vec<Finding>) {
    let Some(window) = request.entered().window else {
        return;
    };
    let outside = |local| Some(window.next_outside(local));
    let first = request.clock().first(run.start_second, outside);
    if let Some(second) = first.filter(|second| *second < run.end_second()) {
        findings.push(about(request, run, second, Kind::OutsideWindow));
    }
}

fn longer_than_limit(request: &Request, run: &Run, findings: &mut Vec<Finding>) {
    let limit = request.entered().stations[run.station].longest_run_minutes;
    if limit.is_some_and(|minutes| run.seconds > minutes * 60) {
        findings.push(about(request, run, run.start_second, Kind::LongerThanLimit));
    }
}

fn about(request: &Request, run: &Run, second: i64, kind: Kind) -> Finding {
    Finding {
        second: Some(second),
        at: Some(request.clock().local(second)),
        program: Some(run.program),
        station: Some(run.station),
        kind,
    }
}

/// One opening or closing of a station that draws from a supply with a capacity.
struct Turn {
    supply: usize,
    second: i64,
    opens: bool,
    station: usize,
    flow_l_per_min: f64,
    most_l_per_min: f64,
}

/// All turns, by supply; in order of time, in one second closings first.
fn turns(request: &Request, runs: &[Run]) -> Vec<Turn> {
    let mut turns = Vec::new();
    for run in runs {
        let flow = request.entered().stations[run.station].flow;
        let supply = request.supply_of(run.station);
        let capacity = supply.and_then(|supply| request.entered().supplies[supply].capacity);
        let (Some(flow), Some(supply), Some(capacity)) = (flow, supply, capacity) else {
            continue;
        };
        for (second, opens) in [(run.start_second, true), (run.end_second(), false)] {
            turns.push(Turn {
                supply,
                second,
                opens,
                station: run.station,
                flow_l_per_min: flow.to_l_per_min(),
                most_l_per_min: capacity.to_l_per_min() + SLACK_L_PER_MIN,
            });
        }
    }
    by_keys(&mut turns, |turn| {
        let moment = (signed(turn.second) << 1) | u64::from(turn.opens);
        [turn.supply as u64, moment]
    });
    turns
}

/// The open stations of one supply: place and flow in l/min, in order of place, so that their sum does not depend on
/// the order in which they opened.
#[derive(Default)]
struct Open(Vec<(usize, f64)>);

impl Open {
    fn turn(&mut self, turn: &Turn) {
        match self.0.binary_search_by_key(&turn.station, |open| open.0) {
            Ok(place) if !turn.opens => {
                self.0.remove(place);
            }
            Err(place) if turn.opens => self.0.insert(place, (turn.station, turn.flow_l_per_min)),
            _ => {}
        }
    }

    fn flow_l_per_min(&self) -> f64 {
        self.0.iter().map(|open| open.1).sum()
    }
}

/// Every unbroken stretch of too high a flow, from the turns of one supply.
fn over_capacity(request: &Request, turns: &[Turn], findings: &mut Vec<Finding>) {
    let mut open = Open::default();
    let mut stretch: Option<(i64, f64)> = None;
    for together in turns.chunk_by(|a, b| a.second == b.second) {
        together.iter().for_each(|turn| open.turn(turn));
        let Turn {
            supply,
            second,
            most_l_per_min,
            ..
        } = together[0];
        let flow_l_per_min = open.flow_l_per_min();
        if flow_l_per_min > most_l_per_min {
            let (_, highest) = stretch.get_or_insert((second, flow_l_per_min));
            *highest = highest.max(flow_l_per_min);
        } else if let Some((begin, flow_l_per_min)) = stretch.take() {
            findings.push(Finding {
                second: Some(begin),
                at: Some(request.clock().local(begin)),
                program: None,
                station: None,
                kind: Kind::OverCapacity {
                    supply,
                    seconds: second - begin,
                    flow_l_per_min,
                },
            });
        }
    }
}
