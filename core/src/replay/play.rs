//! Starts become runs: the queue, the programs that run, and the valves they open.
//!
//! What falls on the same second happens in this order: runs close; programs with nothing left end; closed time cuts;
//! starts fire, in program order; running programs, in program order, open what is due; the queue is read, and a
//! program that begins opens its first step at once.

mod queue;
mod running;

use self::queue::Queue;
use self::running::{Phase, Running};
use super::Run;
use super::finding::{Finding, Kind};
use super::request::Request;

/// Plays all starts until everything that fired is done. Runs come in order of start; findings are added as they
/// arise.
pub(super) fn play(request: &Request, findings: &mut Vec<Finding>) -> Vec<Run> {
    let programs = &request.entered().programs;
    let mut player = Player {
        request,
        running: Vec::new(),
        queue: Queue::new(programs.len()),
        holder: vec![None; request.entered().stations.len()],
        closed_second: Some(-1),
        runs: Vec::new(),
        findings,
    };
    let mut firing = request
        .dues()
        .iter()
        .filter(|due| due.outcome.fires())
        .peekable();
    loop {
        let next_firing = firing.peek().map(|due| due.second);
        let Some(second) = player.next_second(next_firing) else {
            break;
        };
        player.close(second);
        if player.closed_second == Some(second) {
            player.cut(second);
        }
        while let Some(due) = firing.next_if(|due| due.second == second) {
            player.fire(second, due.program);
        }
        for place in 0..player.running.len() {
            player.open_due(second, place);
        }
        player.read_queue(second);
        player.look_for_closed(second);
    }
    player.runs
}

struct Player<'a, 'f> {
    request: &'a Request,
    /// In program order.
    running: Vec<Running<'a>>,
    queue: Queue,
    /// By station: the program that holds it open.
    holder: Vec<Option<usize>>,
    /// When closed time begins next, as far as anything is running or waiting then. Once it lies in the past it is
    /// looked for again; none means never.
    closed_second: Option<i64>,
    runs: Vec<Run>,
    findings: &'f mut Vec<Finding>,
}

impl<'a> Player<'a, '_> {
    /// The next second at which anything happens.
    fn next_second(&self, firing: Option<i64>) -> Option<i64> {
        let own = self.running.iter().filter_map(Running::next_second);
        let closed = self.closed_second.filter(|_| self.is_busy());
        own.chain(firing).chain(closed).min()
    }

    fn is_busy(&self) -> bool {
        !self.running.is_empty() || !self.queue.is_empty()
    }

    /// Closes the runs that are over, and ends the programs that have nothing left.
    fn close(&mut self, second: i64) {
        let (holder, style, gap) = (
            &mut self.holder,
            self.request.entered().soak_style,
            self.request.gap_seconds(),
        );
        self.running.retain_mut(|running| {
            if let Some(step) = running.close(second, gap) {
                release(holder, &step.stations);
            }
            running.choose(second, style);
            !running.is_over()
        });
    }

    /// Closed time begins: nothing that was running or waiting comes back.
    fn cut(&mut self, second: i64) {
        for running in std::mem::take(&mut self.running) {
            if let Phase::Open {
                until,
                first_run,
                step,
            } = running.phase
            {
                let stations = &running.steps[step].stations;
                release(&mut self.holder, stations);
                for run in &mut self.runs[first_run..first_run + stations.len()] {
                    run.seconds = (second - run.start_second) as u32;
                    let kind = Kind::CutByClosed {
                        seconds: (until - second) as u32,
                    };
                    let station = Some(run.station);
                    self.findings
                        .push(about(self.request, second, run.program, station, kind));
                }
            }
            if running.has_unopened_runs() {
                let kind = Kind::DroppedByClosed;
                self.findings
                    .push(about(self.request, second, running.program, None, kind));
            }
        }
        for program in self.queue.clear() {
            self.findings.push(about(
                self.request,
                second,
                program,
                None,
                Kind::DroppedByClosed,
            ));
        }
    }

    fn fire(&mut self, second: i64, program: usize) {
        let is_running = self
            .running
            .iter()
            .any(|running| running.program == program);
        if is_running || self.queue.holds(program) {
            self.findings.push(about(
                self.request,
                second,
                program,
                None,
                Kind::StartWhileRunning,
            ));
        }
        self.queue.push(second, program);
    }

    /// Opens the step that the running program at `place` stands on, if it is due and its valves are free.
    fn open_due(&mut self, second: i64, place: usize) {
        let running = &mut self.running[place];
        let Phase::Due { step, told } = running.phase else {
            return;
        };
        let planned = &running.steps[step];
        let held = planned.stations.iter().find_map(|station| {
            let by = self.holder[*station]?;
            Some((*station, by))
        });
        if let Some((station, by)) = held {
            if !told {
                running.phase = Phase::Due { step, told: true };
                let kind = Kind::StationBusy { by };
                let program = running.program;
                self.findings
                    .push(about(self.request, second, program, Some(station), kind));
            }
            return;
        }
        let seconds = running.open(second, step, self.runs.len());
        for (place, station) in planned.stations.iter().enumerate() {
            self.holder[*station] = Some(running.program);
            self.runs.push(Run {
                start_second: second,
                seconds,
                program: running.program,
                step: planned.step,
                place,
                station: *station,
            });
        }
    }

    /// Reads the queue once: a start begins if it may; an alone start that may not holds back all behind it; a
    /// sharing start that waits for its own program holds back nobody.
    fn read_queue(&mut self, second: i64) {
        let mut read = 0;
        while let Some(program) = self.queue.head(read) {
            let alone_runs = self
                .running
                .first()
                .is_some_and(|running| !self.shares(running.program));
            let shares = self.shares(program);
            if alone_runs || !(shares || self.running.is_empty()) {
                return;
            }
            match self
                .running
                .binary_search_by_key(&program, |running| running.program)
            {
                Ok(_) => read += 1,
                Err(place) => {
                    self.queue.take_head(read);
                    let mut begun = Running::new(program, self.request.steps(program));
                    begun.choose(second, self.request.entered().soak_style);
                    self.running.insert(place, begun);
                    self.open_due(second, place);
                }
            }
        }
    }

    fn shares(&self, program: usize) -> bool {
        self.request.entered().programs[program].sharing
    }

    /// Looks for the next beginning of closed time, if it is not known and matters. Nothing runs or waits in closed
    /// time, so that it lies ahead.
    fn look_for_closed(&mut self, second: i64) {
        if self.is_busy() && self.closed_second.is_some_and(|closed| closed <= second) {
            let closed = self.request.closed();
            self.closed_second = self
                .request
                .clock()
                .first(second, |local| closed.next(local));
        }
    }
}

fn release(holder: &mut [Option<usize>], stations: &[usize]) {
    for station in stations {
        holder[*station] = None;
    }
}

fn about(
    request: &Request,
    second: i64,
    program: usize,
    station: Option<usize>,
    kind: Kind,
) -> Finding {
    let at = Some(request.clock().local(second));
    Finding {
        second: Some(second),
        at,
        program: Some(program),
        station,
        kind,
    }
}
