//! A deliberately simple controller that ticks once a second.
//!
//! Written from the rules alone (`common practice, no source`), in the order in which they are told, and sharing
//! nothing with the core: requests are read from JSON here, dates are chrono's, nothing is looked ahead for. It is
//! slow, and it is the referee of [`drycurb_core::replay`] on random requests.

use std::collections::BTreeMap;

use chrono::{Datelike, Duration, NaiveDate, NaiveDateTime, Timelike};
use serde_json::{Value, json};

/// One run as the door writes it.
pub type RunRow = (i64, String, String, String, i64);

/// What happened.
pub struct Story {
    /// In order of start, program, step and place in the step.
    pub runs: Vec<RunRow>,
    /// As the door writes them, in no special order.
    pub findings: Vec<Value>,
}

/// Ticks through a legal request.
pub fn second_by_second(request: &Value) -> Story {
    let mut controller = Controller::new(request);
    controller.told_without_time();
    controller.tick_until_done();
    controller.told_afterwards();
    let mut runs: Vec<&Run> = controller.runs.iter().collect();
    runs.sort_by_key(|run| (run.begin, run.program, run.step, run.place));
    let row = |run: &&Run| {
        let program = controller.programs[run.program].id.clone();
        let station = controller.stations[run.station].id.clone();
        (
            run.begin,
            written(run.shown),
            program,
            station,
            run.end - run.begin,
        )
    };
    Story {
        runs: runs.iter().map(row).collect(),
        findings: controller.findings,
    }
}

struct Station {
    id: String,
    longest_run: Option<i64>,
    soak: Option<i64>,
    flow: f64,
    supply: Option<String>,
    open: Option<usize>,
}

/// A step after adjustment: its stations, and the lengths of the runs into which it is cut.
struct Step {
    keyed_place: usize,
    stations: Vec<usize>,
    runs: Vec<i64>,
    soak: i64,
}

struct Program {
    id: String,
    starts: Vec<String>,
    days: Value,
    sharing: bool,
    on: bool,
    steps: Vec<Step>,
    running: Option<Running>,
    /// By start: when it first came due, and whether it ever fired.
    due: Vec<(Option<NaiveDateTime>, bool)>,
}

#[derive(Default)]
struct Running {
    /// Per step: runs opened, and the end of the soak after the last of them to close.
    opened: BTreeMap<usize, (usize, i64)>,
    /// The step that is open, with its runs.
    open: Option<(usize, Vec<usize>)>,
    last_closing: Option<i64>,
    last_step: Option<usize>,
    /// The step on which it stands, waiting for a valve.
    stands_on: Option<usize>,
}

struct Run {
    program: usize,
    step: usize,
    place: usize,
    station: usize,
    begin: i64,
    end: i64,
    shown: NaiveDateTime,
    told_outside: bool,
}

struct Change {
    at: NaiveDateTime,
    shift: Duration,
    happened: bool,
}

struct Over {
    begin: i64,
    shown: NaiveDateTime,
    most: f64,
}

struct Controller {
    clock: NaiveDateTime,
    second: i64,
    end: i64,
    gap: i64,
    style: String,
    changes: Vec<Change>,
    closed: Value,
    window: Value,
    /// Whether closed time, and the window, hold in this minute as the clock shows it; asked anew when it turns.
    is_closed: bool,
    was_closed: bool,
    in_window: bool,
    supplies: Vec<(String, Option<f64>, Option<Over>)>,
    stations: Vec<Station>,
    programs: Vec<Program>,
    /// Program of each waiting start, earliest fired first.
    queue: Vec<usize>,
    runs: Vec<Run>,
    findings: Vec<Value>,
}

impl Controller {
    fn new(request: &Value) -> Self {
        let style = request["soak_style"].as_str().unwrap_or("wait").to_owned();
        let clock = local(&request["from"]);
        let stations: Vec<Station> = items(&request["stations"]).iter().map(station).collect();
        let programs = items(&request["programs"]);
        let changes = items(&request["clock_changes"])
            .iter()
            .map(|change| Change {
                at: local(&change["at"]),
                shift: Duration::minutes(change["shift_minutes"].as_i64().expect("whole")),
                happened: false,
            });
        let supplies = items(&request["supplies"]).iter();
        Self {
            clock,
            second: 0,
            end: request["hours"].as_i64().expect("whole") * 3600,
            gap: request["gap_seconds"].as_i64().unwrap_or(0),
            changes: changes.filter(|change| change.at > clock).collect(),
            closed: request["closed"].clone(),
            window: request["window"].clone(),
            is_closed: false,
            was_closed: false,
            in_window: true,
            supplies: supplies
                .map(|supply| {
                    (
                        text(&supply["id"]),
                        supply["capacity_l_per_min"].as_f64(),
                        None,
                    )
                })
                .collect(),
            programs: programs
                .iter()
                .map(|keyed| program(keyed, &stations, &style))
                .collect(),
            stations,
            style,
            queue: Vec::new(),
            runs: Vec::new(),
            findings: Vec::new(),
        }
    }

    fn tell(&mut self, kind: &str, program: Option<usize>, station: Option<usize>, more: Value) {
        let shown = written(self.clock);
        self.tell_at(kind, program, station, Some(shown), more);
    }

    fn tell_at(
        &mut self,
        kind: &str,
        program: Option<usize>,
        station: Option<usize>,
        at: Option<String>,
        more: Value,
    ) {
        let mut finding = json!({
            "kind": kind,
            "program": program.map(|program| self.programs[program].id.clone()),
            "station": station.map(|station| self.stations[station].id.clone()),
            "at": at,
        });
        for (name, value) in more.as_object().into_iter().flatten() {
            finding[name] = value.clone();
        }
        self.findings.push(finding);
    }

    fn told_without_time(&mut self) {
        for place in 0..self.programs.len() {
            let program = &self.programs[place];
            if !program.on {
                continue;
            }
            let no_days = program.days["weekdays"]
                .as_array()
                .is_some_and(Vec::is_empty);
            let (no_starts, no_steps) = (program.starts.is_empty(), program.steps.is_empty());
            let all = [
                (no_days, "no_water_days"),
                (no_starts, "no_starts"),
                (no_steps, "no_steps"),
            ];
            for (_, kind) in all.into_iter().filter(|(holds, _)| *holds) {
                self.tell_at(kind, Some(place), None, None, Value::Null);
            }
        }
        for station in 0..self.stations.len() {
            let waters = |program: &Program| {
                program.on
                    && program
                        .steps
                        .iter()
                        .any(|step| step.stations.contains(&station))
            };
            if !self.programs.iter().any(waters) {
                self.tell_at("never_waters", None, Some(station), None, Value::Null);
            }
        }
    }

    fn tick_until_done(&mut self) {
        while self.second < self.end || self.is_busy() {
            let jumped = self.change_clock();
            if self.clock.second() == 0 || self.second == 0 || jumped {
                self.is_closed = is_closed(&self.closed, self.clock);
                self.in_window = self.window.is_null() || in_daily(&self.window, self.clock);
            }
            self.close_runs();
            self.end_programs();
            self.begin_closed_time();
            self.fire_starts();
            for place in 0..self.programs.len() {
                self.open_what_is_due(place);
            }
            self.read_queue();
            self.measure_flow();
            self.look_at_window();
            self.second += 1;
            self.clock += Duration::seconds(1);
        }
        self.change_clock();
        self.measure_flow();
    }

    fn is_busy(&self) -> bool {
        !self.queue.is_empty()
            || self
                .programs
                .iter()
                .any(|program| program.running.is_some())
    }

    fn change_clock(&mut self) -> bool {
        let clock = self.clock;
        let jump = self
            .changes
            .iter_mut()
            .find(|change| !change.happened && change.at == clock);
        let Some(change) = jump else { return false };
        change.happened = true;
        let after = clock + change.shift;
        let mut skipped = clock;
        while skipped < after && self.second < self.end {
            self.each_start_at(skipped, |controller, place, start| {
                controller.came_due(place, start, skipped, false);
                let shown = Some(written(skipped));
                let kind = "start_skipped_by_clock";
                controller.tell_at(kind, Some(place), None, shown, Value::Null);
            });
            skipped += Duration::seconds(1);
        }
        self.clock = after;
        true
    }

    fn came_due(&mut self, program: usize, start: usize, at: NaiveDateTime, fired: bool) {
        let due = &mut self.programs[program].due[start];
        due.0.get_or_insert(at);
        due.1 |= fired;
    }

    /// Does something with each start that is due when the clock shows `at`.
    fn each_start_at(&mut self, at: NaiveDateTime, mut act: impl FnMut(&mut Self, usize, usize)) {
        if at.second() != 0 {
            return;
        }
        let shown = at.format("%H:%M").to_string();
        for place in 0..self.programs.len() {
            let program = &self.programs[place];
            if !program.on || program.steps.is_empty() || !is_water_day(&program.days, at.date()) {
                continue;
            }
            for start in 0..program.starts.len() {
                if self.programs[place].starts[start] == shown {
                    act(self, place, start);
                }
            }
        }
    }

    fn close_runs(&mut self) {
        for place in 0..self.programs.len() {
            let Some(running) = &mut self.programs[place].running else {
                continue;
            };
            let over = |(_, runs): &mut (usize, Vec<usize>)| self.runs[runs[0]].end == self.second;
            let Some((step, runs)) = running.open.take_if(over) else {
                continue;
            };
            for run in runs {
                self.stations[self.runs[run].station].open = None;
            }
            running.last_closing = Some(self.second);
            running.last_step = Some(step);
            let soak_end = self.second + self.programs[place].steps[step].soak;
            let running = self.programs[place].running.as_mut().expect("it runs");
            running.opened.get_mut(&step).expect("it was opened").1 = soak_end;
        }
    }

    fn end_programs(&mut self) {
        for program in &mut self.programs {
            if let Some(running) = &program.running
                && running.open.is_none()
                && unopened(running, &program.steps) == 0
            {
                program.running = None;
            }
        }
    }

    fn begin_closed_time(&mut self) {
        let begins = self.is_closed && !self.was_closed;
        self.was_closed = self.is_closed;
        if !begins {
            return;
        }
        for place in 0..self.programs.len() {
            let Some(running) = self.programs[place].running.take() else {
                continue;
            };
            for run in running.open.iter().flat_map(|(_, runs)| runs) {
                let left = self.runs[*run].end - self.second;
                let station = self.runs[*run].station;
                self.runs[*run].end = self.second;
                self.stations[station].open = None;
                self.tell(
                    "cut_by_closed",
                    Some(place),
                    Some(station),
                    json!({ "seconds": left }),
                );
            }
            if unopened(&running, &self.programs[place].steps) > 0 {
                self.tell("dropped_by_closed", Some(place), None, Value::Null);
            }
        }
        for program in std::mem::take(&mut self.queue) {
            self.tell("dropped_by_closed", Some(program), None, Value::Null);
        }
    }

    fn fire_starts(&mut self) {
        if self.second >= self.end {
            return;
        }
        let clock = self.clock;
        let comes_again = self.changes.iter().any(|change| {
            change.happened && change.at + change.shift <= clock && clock < change.at
        });
        let closed = self.is_closed;
        self.each_start_at(clock, |controller, place, start| {
            controller.came_due(place, start, clock, !closed);
            if closed {
                controller.tell("start_in_closed", Some(place), None, Value::Null);
                return;
            }
            if comes_again {
                controller.tell("start_repeated_by_clock", Some(place), None, Value::Null);
            }
            if controller.programs[place].running.is_some() || controller.queue.contains(&place) {
                controller.tell("start_while_running", Some(place), None, Value::Null);
            }
            controller.queue.push(place);
        });
    }

    /// The step a running program should be opening now, if any.
    fn due_step(&self, place: usize) -> Option<usize> {
        let steps = &self.programs[place].steps;
        let running = self.programs[place].running.as_ref()?;
        if running.open.is_some() {
            return None;
        }
        if running.stands_on.is_some() {
            return running.stands_on;
        }
        if running
            .last_closing
            .is_some_and(|closing| self.second < closing + self.gap)
        {
            return None;
        }
        let has_left = |step: &usize| running.opened[step].0 < steps[*step].runs.len();
        let begun: Vec<usize> = running.opened.keys().copied().filter(has_left).collect();
        let soaked = begun
            .iter()
            .filter(|step| running.opened[step].1 <= self.second);
        let first_soaked = soaked
            .min_by_key(|step| (running.opened[step].1, **step))
            .copied();
        let next = running.opened.len();
        let fresh = (next < steps.len()).then_some(next);
        if self.style == "fill" {
            return first_soaked.or(fresh);
        }
        if begun.is_empty() {
            fresh
        } else {
            first_soaked
        }
    }

    fn open_what_is_due(&mut self, place: usize) {
        let Some(step) = self.due_step(place) else {
            return;
        };
        let stations = self.programs[place].steps[step].stations.clone();
        let held = stations
            .iter()
            .find(|station| self.stations[**station].open.is_some());
        if let Some(&station) = held {
            let by = self.stations[station].open.expect("it is held");
            let by = self.programs[by].id.clone();
            let running = self.programs[place].running.as_mut().expect("it runs");
            if running.stands_on.is_none() {
                running.stands_on = Some(step);
                self.tell(
                    "station_busy",
                    Some(place),
                    Some(station),
                    json!({ "by": by }),
                );
            }
            return;
        }
        let first = self.runs.len();
        let running = self.programs[place].running.as_ref().expect("it runs");
        let done = running.opened.get(&step).map_or(0, |opened| opened.0);
        let length = self.programs[place].steps[step].runs[done];
        for (nth, &station) in stations.iter().enumerate() {
            self.stations[station].open = Some(place);
            self.runs.push(Run {
                program: place,
                step: self.programs[place].steps[step].keyed_place,
                place: nth,
                station,
                begin: self.second,
                end: self.second + length,
                shown: self.clock,
                told_outside: false,
            });
        }
        let running = self.programs[place].running.as_mut().expect("it runs");
        running.stands_on = None;
        running.opened.insert(step, (done + 1, i64::MAX));
        running.open = Some((step, (first..self.runs.len()).collect()));
    }

    fn read_queue(&mut self) {
        let mut waiting = Vec::new();
        let mut held_back = false;
        for place in std::mem::take(&mut self.queue) {
            let running = |program: &Program| program.running.is_some();
            let none_runs = !self.programs.iter().any(running);
            let only_sharing_run = self
                .programs
                .iter()
                .filter(|program| running(program))
                .all(|one| one.sharing);
            let own_runs = running(&self.programs[place]);
            let may = match self.programs[place].sharing {
                true => only_sharing_run && !own_runs,
                false => none_runs,
            };
            if may && !held_back {
                self.programs[place].running = Some(Running::default());
                self.open_what_is_due(place);
            } else {
                held_back |= !self.programs[place].sharing;
                waiting.push(place);
            }
        }
        self.queue = waiting;
    }

    fn measure_flow(&mut self) {
        for place in 0..self.supplies.len() {
            let Some(capacity) = self.supplies[place].1 else {
                continue;
            };
            let draws = |station: &&Station| {
                station.open.is_some() && station.supply.as_ref() == Some(&self.supplies[place].0)
            };
            let flow: f64 = self
                .stations
                .iter()
                .filter(draws)
                .map(|station| station.flow)
                .sum();
            if flow > capacity + 0.000_001 {
                let new = Over {
                    begin: self.second,
                    shown: self.clock,
                    most: flow,
                };
                let over = self.supplies[place].2.get_or_insert(new);
                over.most = over.most.max(flow);
            } else if let Some(over) = self.supplies[place].2.take() {
                let more = json!({ "supply": self.supplies[place].0,
                    "seconds": self.second - over.begin, "flow_l_per_min": over.most });
                self.tell_at("over_capacity", None, None, Some(written(over.shown)), more);
            }
        }
    }

    fn look_at_window(&mut self) {
        if self.in_window {
            return;
        }
        let open = |program: &Program| program.running.as_ref()?.open.clone();
        for (_, runs) in self.programs.iter().filter_map(open).collect::<Vec<_>>() {
            for run in runs {
                let Run {
                    told_outside,
                    program,
                    station,
                    ..
                } = self.runs[run];
                if !told_outside {
                    self.runs[run].told_outside = true;
                    self.tell("outside_window", Some(program), Some(station), Value::Null);
                }
            }
        }
    }

    fn told_afterwards(&mut self) {
        for run in 0..self.runs.len() {
            let Run {
                begin,
                end,
                shown,
                program,
                station,
                ..
            } = self.runs[run];
            if self.stations[station]
                .longest_run
                .is_some_and(|longest| end - begin > longest)
            {
                let at = Some(written(shown));
                self.tell_at(
                    "longer_than_limit",
                    Some(program),
                    Some(station),
                    at,
                    Value::Null,
                );
            }
        }
        for place in 0..self.programs.len() {
            for start in 0..self.programs[place].starts.len() {
                if let (Some(at), false) = self.programs[place].due[start] {
                    let more = json!({ "start": self.programs[place].starts[start] });
                    let at = Some(written(at));
                    self.tell_at("start_never_fires", Some(place), None, at, more);
                }
            }
        }
    }
}

/// Runs of a running program that have not been opened.
fn unopened(running: &Running, steps: &[Step]) -> usize {
    let opened = |step: usize| running.opened.get(&step).map_or(0, |opened| opened.0);
    steps
        .iter()
        .enumerate()
        .map(|(place, step)| step.runs.len() - opened(place))
        .sum()
}

fn is_water_day(days: &Value, date: NaiveDate) -> bool {
    if let Some(weekdays) = days["weekdays"].as_array() {
        let name = date.format("%a").to_string().to_lowercase();
        return weekdays.iter().any(|day| *day == name);
    }
    if days["odd"] == true {
        let skips = days["skip_31"] == true
            && (date.day() == 31 || (date.month() == 2 && date.day() == 29));
        return date.day() % 2 == 1 && !skips;
    }
    if days["even"] == true {
        return date.day().is_multiple_of(2);
    }
    let first: NaiveDate = text(&days["from"]).parse().expect("a date");
    let since = date.signed_duration_since(first).num_days();
    since >= 0 && since % days["every"].as_i64().expect("whole") == 0
}

/// Whether the clock shows closed time.
pub fn is_closed(closed: &Value, clock: NaiveDateTime) -> bool {
    let name = clock.format("%a").to_string().to_lowercase();
    let date = clock.date().to_string();
    items(&closed["weekdays"]).iter().any(|day| *day == name)
        || items(&closed["dates"]).iter().any(|day| *day == date)
        || items(&closed["hours"])
            .iter()
            .any(|daily| in_daily(daily, clock))
}

fn in_daily(daily: &Value, clock: NaiveDateTime) -> bool {
    let minute = |value: &Value| -> u32 {
        let text = text(value);
        text[..2].parse::<u32>().expect("hours") * 60 + text[3..].parse::<u32>().expect("minutes")
    };
    let (from, until) = (minute(&daily["from"]), minute(&daily["until"]));
    let now = clock.hour() * 60 + clock.minute();
    if from < until {
        from <= now && now < until
    } else {
        now >= from || now < until
    }
}

fn station(keyed: &Value) -> Station {
    Station {
        id: text(&keyed["id"]),
        longest_run: keyed["longest_run_minutes"]
            .as_i64()
            .map(|minutes| minutes * 60),
        soak: keyed["soak_minutes"].as_i64().map(|minutes| minutes * 60),
        flow: keyed["flow_l_per_min"].as_f64().unwrap_or(0.0),
        supply: keyed["supply"].as_str().map(str::to_owned),
        open: None,
    }
}

fn program(keyed: &Value, stations: &[Station], style: &str) -> Program {
    let percent = keyed["adjust_percent"].as_i64().unwrap_or(100);
    let starts: Vec<String> = items(&keyed["starts"]).iter().map(text).collect();
    let steps = items(&keyed["steps"]).iter().enumerate();
    Program {
        id: text(&keyed["id"]),
        due: vec![(None, false); starts.len()],
        starts,
        days: keyed["days"].clone(),
        sharing: keyed["sharing"].as_bool().unwrap_or(false),
        on: keyed["on"].as_bool().unwrap_or(true),
        steps: steps
            .map(|(place, step)| planned(place, step, percent, stations, style))
            .filter(|step| step.runs.iter().sum::<i64>() > 0)
            .collect(),
        running: None,
    }
}

fn planned(
    keyed_place: usize,
    step: &Value,
    percent: i64,
    stations: &[Station],
    style: &str,
) -> Step {
    let hundredths = step["seconds"].as_i64().expect("whole") * percent;
    let seconds = hundredths / 100 + i64::from(hundredths % 100 >= 50);
    let place = |id: &Value| {
        let id = text(id);
        stations
            .iter()
            .position(|station| station.id == id)
            .expect("a listed station")
    };
    let together: Vec<usize> = items(&step["stations"]).iter().map(place).collect();
    let with_both = together.iter().map(|station| &stations[*station]);
    let both: Vec<(i64, i64)> = with_both
        .filter_map(|station| station.longest_run.zip(station.soak))
        .collect();
    let longest = both
        .iter()
        .map(|both| both.0)
        .min()
        .filter(|_| style != "none");
    let soak = both.iter().map(|both| both.1).max().unwrap_or(0);
    let mut pieces = 1;
    if let Some(longest) = longest {
        while seconds > longest * pieces {
            pieces += 1;
        }
    }
    let mut runs = vec![seconds / pieces; pieces as usize];
    let left_over = seconds - runs.iter().sum::<i64>();
    runs.iter_mut()
        .take(left_over as usize)
        .for_each(|run| *run += 1);
    Step {
        keyed_place,
        stations: together,
        runs,
        soak,
    }
}

fn items(list: &Value) -> &[Value] {
    list.as_array().map_or(&[], Vec::as_slice)
}

fn text(value: &Value) -> String {
    value.as_str().expect("a text").to_owned()
}

fn local(value: &Value) -> NaiveDateTime {
    let text = text(value);
    let full = if text.len() == 16 {
        format!("{text}:00")
    } else {
        text
    };
    full.parse().expect("a local time")
}

fn written(local: NaiveDateTime) -> String {
    local.format("%Y-%m-%dT%H:%M:%S").to_string()
}
