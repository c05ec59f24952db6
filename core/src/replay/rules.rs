//! Every rule at its edges, by hand (`common practice, no source`). Times are minutes and seconds after `from`.

use super::*;
use crate::calendar::wall::ClockChange;
use crate::calendar::{ClockTime, Date, LocalTime};
use crate::quantity::Flow;

const DAILY: WaterDays = WaterDays::Weekdays([true; 7]);

fn clock(text: &str) -> ClockTime {
    ClockTime::parse(text).unwrap()
}

fn local(text: &str) -> LocalTime {
    LocalTime::parse(text).unwrap()
}

/// A day from Monday 2026-06-01 00:00 on, with stations `0` to `4` that have no limits.
fn site(programs: Vec<Program>) -> Entered {
    let station = |place: u32| Station {
        id: place.to_string(),
        flow: None,
        longest_run_minutes: None,
        soak_minutes: None,
        supply: None,
    };
    Entered {
        from: local("2026-06-01T00:00"),
        hours: 24,
        gap_seconds: 0,
        soak_style: SoakStyle::Wait,
        clock_changes: Vec::new(),
        closed: Closed::default(),
        window: None,
        supplies: Vec::new(),
        stations: (0..5).map(station).collect(),
        programs,
    }
}

/// A program with starts and steps of one station each.
fn program(id: &str, sharing: bool, starts: &[&str], steps: &[(u32, u32)]) -> Program {
    let step = |(station, seconds): &(u32, u32)| Step {
        stations: vec![station.to_string()],
        seconds: *seconds,
    };
    Program {
        id: id.into(),
        starts: starts.iter().map(|start| clock(start)).collect(),
        days: DAILY,
        sharing,
        adjust_percent: 100,
        on: true,
        steps: steps.iter().map(step).collect(),
    }
}

fn limited(entered: &mut Entered, station: usize, longest_run_minutes: u32, soak_minutes: u32) {
    entered.stations[station].longest_run_minutes = Some(longest_run_minutes);
    entered.stations[station].soak_minutes = Some(soak_minutes);
}

fn played(entered: Entered) -> Replay {
    replay(&Request::new(entered).unwrap())
}

/// Start, station and length of each run.
fn runs(replay: &Replay) -> Vec<(i64, usize, u32)> {
    replay
        .runs
        .iter()
        .map(|run| (run.start_second, run.station, run.seconds))
        .collect()
}

/// Kind and elapsed second of each finding that is not about a station never watered.
fn told(replay: &Replay) -> Vec<(&'static str, Option<i64>)> {
    let told = replay
        .findings
        .iter()
        .filter(|finding| finding.kind != Kind::NeverWaters);
    told.map(|finding| (finding.kind.word(), finding.second))
        .collect()
}

#[test]
fn the_horizon_holds_its_first_second_and_not_its_last() {
    let mut entered = site(vec![program(
        "A",
        false,
        &["00:00", "01:00"],
        &[(0, 7_200)],
    )]);
    entered.hours = 1;
    let replay = played(entered);
    assert_eq!(runs(&replay), [(0, 0, 7_200)]);
    assert_eq!(told(&replay), []);
}

#[test]
fn what_fired_is_played_out_beyond_the_horizon() {
    let mut entered = site(vec![program(
        "A",
        false,
        &["00:00", "00:30"],
        &[(0, 3_600)],
    )]);
    entered.hours = 1;
    let replay = played(entered);
    assert_eq!(runs(&replay), [(0, 0, 3_600), (3_600, 0, 3_600)]);
    assert_eq!(told(&replay), [("start_while_running", Some(1_800))]);
}

#[test]
fn the_same_time_keyed_twice_is_two_starts() {
    let replay = played(site(vec![program(
        "A",
        true,
        &["01:00", "01:00"],
        &[(0, 60)],
    )]));
    assert_eq!(runs(&replay), [(3_600, 0, 60), (3_660, 0, 60)]);
    assert_eq!(told(&replay), [("start_while_running", Some(3_600))]);
}

#[test]
fn a_program_that_ends_in_the_second_of_its_start_is_not_running() {
    let replay = played(site(vec![program(
        "A",
        false,
        &["01:00", "01:10"],
        &[(0, 600)],
    )]));
    assert_eq!(runs(&replay), [(3_600, 0, 600), (4_200, 0, 600)]);
    assert_eq!(told(&replay), []);
}

#[test]
fn no_gap_stands_before_the_first_step_after_the_last_or_between_programs() {
    let mut entered = site(vec![
        program("A", false, &["01:00"], &[(0, 60), (1, 60)]),
        program("B", false, &["01:00"], &[(2, 60)]),
    ]);
    entered.gap_seconds = 30;
    assert_eq!(
        runs(&played(entered)),
        [(3_600, 0, 60), (3_690, 1, 60), (3_750, 2, 60)]
    );
}

#[test]
fn of_soak_and_gap_the_longer_decides() {
    for (gap_seconds, second) in [(0, 60), (60, 60), (90, 90)] {
        let mut entered = site(vec![program("A", false, &["00:00"], &[(0, 120)])]);
        limited(&mut entered, 0, 1, 1);
        entered.gap_seconds = gap_seconds;
        assert_eq!(runs(&played(entered)), [(0, 0, 60), (60 + second, 0, 60)]);
    }
}

#[test]
fn other_steps_with_the_station_do_not_wait_for_its_soak() {
    let mut entered = site(vec![program("A", false, &["00:00"], &[(0, 120), (0, 30)])]);
    limited(&mut entered, 0, 1, 10);
    entered.soak_style = SoakStyle::Fill;
    assert_eq!(
        runs(&played(entered)),
        [(0, 0, 60), (60, 0, 30), (660, 0, 60)]
    );
}

#[test]
fn a_soak_that_ends_while_another_step_runs_waits_for_the_gap_after_it() {
    let mut entered = site(vec![program("A", false, &["00:00"], &[(0, 120), (1, 100)])]);
    limited(&mut entered, 0, 1, 1);
    entered.soak_style = SoakStyle::Fill;
    entered.gap_seconds = 20;
    assert_eq!(
        runs(&played(entered)),
        [(0, 0, 60), (80, 1, 100), (200, 0, 60)]
    );
}

#[test]
fn a_controller_without_cycle_and_soak_cuts_nothing_and_is_told() {
    let mut entered = site(vec![program("A", false, &["00:00"], &[(0, 120)])]);
    limited(&mut entered, 0, 1, 10);
    entered.soak_style = SoakStyle::None;
    let replay = played(entered);
    assert_eq!(runs(&replay), [(0, 0, 120)]);
    assert_eq!(told(&replay), [("longer_than_limit", Some(0))]);
}

#[test]
fn a_run_cut_below_the_limit_is_not_too_long() {
    let mut entered = site(vec![program("A", false, &["00:59"], &[(0, 120)])]);
    entered.stations[0].longest_run_minutes = Some(1);
    entered.closed.hours = vec![Daily {
        from: clock("01:00"),
        until: clock("02:00"),
    }];
    let replay = played(entered);
    assert_eq!(runs(&replay), [(3_540, 0, 60)]);
    assert_eq!(told(&replay), [("cut_by_closed", Some(3_600))]);
}

#[test]
fn an_alone_start_holds_back_sharing_ones_behind_it() {
    let replay = played(site(vec![
        program("S", true, &["01:00"], &[(0, 600)]),
        program("A", false, &["01:01"], &[(1, 60)]),
        program("T", true, &["01:02"], &[(2, 60)]),
    ]));
    assert_eq!(
        runs(&replay),
        [(3_600, 0, 600), (4_200, 1, 60), (4_260, 2, 60)]
    );
}

#[test]
fn a_sharing_start_waiting_for_its_own_program_holds_back_nobody() {
    let replay = played(site(vec![
        program("S", true, &["01:00", "01:01"], &[(0, 600)]),
        program("T", true, &["01:02"], &[(2, 60)]),
    ]));
    assert_eq!(
        runs(&replay),
        [(3_600, 0, 600), (3_720, 2, 60), (4_200, 0, 600)]
    );
}

#[test]
fn a_busy_station_is_told_once_for_each_wait() {
    let mut replay = played(site(vec![
        program("S", true, &["01:00"], &[(0, 60), (1, 60)]),
        program("T", true, &["01:00"], &[(0, 30)]),
        program("U", true, &["01:00"], &[(0, 30)]),
    ]));
    assert_eq!(
        runs(&replay),
        [
            (3_600, 0, 60),
            (3_660, 1, 60),
            (3_660, 0, 30),
            (3_690, 0, 30)
        ]
    );
    replay.findings.retain(|finding| finding.program.is_some());
    let told: Vec<_> = replay
        .findings
        .iter()
        .map(|f| (f.program, f.station, f.kind))
        .collect();
    let busy = Kind::StationBusy { by: 0 };
    assert_eq!(told, [(Some(1), Some(0), busy), (Some(2), Some(0), busy)]);
}

#[test]
fn a_step_waits_until_all_its_stations_are_closed_and_reserves_nothing() {
    let mut entered = site(vec![
        program("S", true, &["01:00"], &[(0, 60)]),
        program("T", true, &["01:00"], &[(1, 120)]),
        program("U", true, &["01:00"], &[(2, 60)]),
        program("V", true, &["01:01"], &[(0, 90)]),
    ]);
    entered.programs[2].steps[0].stations = vec!["2".into(), "1".into(), "0".into()];
    let replay = played(entered);
    assert_eq!(
        runs(&replay),
        [
            (3_600, 0, 60),
            (3_600, 1, 120),
            (3_660, 0, 90),
            (3_750, 2, 60),
            (3_750, 1, 60),
            (3_750, 0, 60)
        ]
    );
    let busy = replay
        .findings
        .iter()
        .find(|finding| finding.program == Some(2))
        .unwrap();
    assert_eq!((busy.station, busy.second), (Some(1), Some(3_600)));
}

#[test]
fn closed_time_drops_what_waits_and_is_told_once_for_each() {
    let mut entered = site(vec![
        program("A", false, &["00:50", "00:55"], &[(0, 540), (1, 60)]),
        program("B", false, &["00:50"], &[(2, 60)]),
    ]);
    entered.gap_seconds = 60;
    entered.closed.hours = vec![Daily {
        from: clock("01:00"),
        until: clock("02:00"),
    }];
    let replay = played(entered);
    assert_eq!(runs(&replay), [(3_000, 0, 540)]);
    let dropped = ("dropped_by_closed", Some(3_600));
    assert_eq!(
        told(&replay),
        [
            ("start_while_running", Some(3_300)),
            dropped,
            dropped,
            dropped
        ]
    );
}

#[test]
fn closed_time_counts_on_beyond_the_horizon_and_over_a_jump_of_the_clock() {
    let mut entered = site(vec![program("A", false, &["00:30"], &[(0, 7_200)])]);
    entered.hours = 1;
    entered.clock_changes = vec![ClockChange {
        at: local("2026-06-01T01:00"),
        shift_minutes: 60,
    }];
    entered.closed.hours = vec![Daily {
        from: clock("01:30"),
        until: clock("02:30"),
    }];
    let replay = played(entered);
    assert_eq!(runs(&replay), [(1_800, 0, 1_800)]);
    assert_eq!(told(&replay), [("cut_by_closed", Some(3_600))]);
}

#[test]
fn a_closed_date_is_closed_from_midnight_to_midnight() {
    let mut entered = site(vec![program("A", false, &["23:59", "00:00"], &[(0, 60)])]);
    entered.hours = 72;
    entered.closed.dates = vec![Date::parse("2026-06-02").unwrap()];
    let replay = played(entered);
    let hour = 3_600;
    assert_eq!(
        runs(&replay),
        [
            (0, 0, 60),
            (24 * hour - 60, 0, 60),
            (48 * hour, 0, 60),
            (72 * hour - 60, 0, 60)
        ]
    );
    let closed = "start_in_closed";
    assert_eq!(
        told(&replay),
        [(closed, Some(24 * hour)), (closed, Some(48 * hour - 60))]
    );
}

#[test]
fn a_repeated_start_is_told_even_when_its_first_lay_before() {
    let mut entered = site(vec![program("A", false, &["02:15"], &[(0, 60)])]);
    entered.from = local("2026-10-25T02:30");
    entered.clock_changes = vec![ClockChange {
        at: local("2026-10-25T03:00"),
        shift_minutes: -60,
    }];
    entered.hours = 1;
    let replay = played(entered);
    assert_eq!(runs(&replay), [(2_700, 0, 60)]);
    assert_eq!(told(&replay), [("start_repeated_by_clock", Some(2_700))]);
}

#[test]
fn a_jump_at_the_end_of_the_horizon_skips_nothing_in_it() {
    let mut entered = site(vec![program("A", false, &["02:30"], &[(0, 60)])]);
    entered.from = local("2026-03-29T00:00");
    entered.clock_changes = vec![ClockChange {
        at: local("2026-03-29T02:00"),
        shift_minutes: 60,
    }];
    entered.hours = 2;
    assert_eq!(told(&played(entered.clone())), []);
    entered.hours = 3;
    let jump = Some(7_200);
    let skipped = [
        ("start_skipped_by_clock", jump),
        ("start_never_fires", jump),
    ];
    assert_eq!(told(&played(entered)), skipped);
}

#[test]
fn a_clock_put_back_over_midnight_brings_the_day_before_again() {
    let mut entered = site(vec![program("A", false, &["23:45"], &[(0, 60)])]);
    entered.programs[0].days =
        WaterDays::Weekdays([true, false, false, false, false, false, false]);
    entered.clock_changes = vec![ClockChange {
        at: local("2026-06-02T00:10"),
        shift_minutes: -30,
    }];
    entered.hours = 30;
    let replay = played(entered);
    let first = 23 * 3_600 + 45 * 60;
    assert_eq!(runs(&replay), [(first, 0, 60), (first + 1_800, 0, 60)]);
}

#[test]
fn flow_exactly_at_capacity_is_not_over_it_and_a_stretch_is_told_once() {
    let mut entered = site(vec![
        program("S", true, &["01:00"], &[(0, 60), (1, 60)]),
        program("T", true, &["01:00"], &[(2, 180)]),
    ]);
    entered.supplies = vec![Supply {
        id: "w".into(),
        capacity: Some(Flow::l_per_min(30.0)),
    }];
    for (station, flow) in [(0, 15.0), (1, 17.5), (2, 15.0)] {
        entered.stations[station].flow = Some(Flow::l_per_min(flow));
        entered.stations[station].supply = Some("w".into());
    }
    let at_capacity = played(entered.clone());
    let over: Vec<_> = at_capacity
        .findings
        .iter()
        .filter(|f| f.program.is_none())
        .collect();
    let kind = Kind::OverCapacity {
        supply: 0,
        seconds: 60,
        flow_l_per_min: 32.5,
    };
    assert!(
        over.iter()
            .any(|finding| finding.kind == kind && finding.second == Some(3_660))
    );
    entered.stations[0].flow = Some(Flow::l_per_min(16.0));
    let kind = Kind::OverCapacity {
        supply: 0,
        seconds: 120,
        flow_l_per_min: 32.5,
    };
    let findings = played(entered).findings;
    assert!(
        findings
            .iter()
            .any(|f| f.kind == kind && f.second == Some(3_600))
    );
}

#[test]
fn a_run_that_leaves_the_window_is_told_at_its_first_second_outside() {
    let mut entered = site(vec![program(
        "A",
        false,
        &["00:59", "01:00", "02:59"],
        &[(0, 120)],
    )]);
    entered.window = Some(Daily {
        from: clock("03:00"),
        until: clock("01:00"),
    });
    let outside = |second| ("outside_window", Some(second));
    let expected = [
        ("start_while_running", Some(3_600)),
        outside(3_600),
        outside(3_660),
        outside(10_740),
    ];
    assert_eq!(told(&played(entered)), expected);
}

#[test]
fn a_program_that_is_off_says_nothing_and_waters_nothing() {
    let mut entered = site(vec![program("A", false, &[], &[(0, 60)])]);
    entered.programs[0].on = false;
    let replay = played(entered);
    assert_eq!(told(&replay), []);
    assert_eq!(replay.findings.len(), 5);
}

#[test]
fn nothing_is_said_about_the_starts_of_a_program_without_steps() {
    let mut entered = site(vec![program("A", false, &["01:00"], &[(0, 60)])]);
    entered.programs[0].adjust_percent = 0;
    entered.closed.weekdays = [true; 7];
    assert_eq!(told(&played(entered)), [("no_steps", None)]);
}

#[test]
fn every_fault_is_told_at_once_beside_its_field() {
    let mut entered = site(vec![
        program("A", false, &["01:00"; 9], &[(7, 86_401)]),
        program("A", false, &["01:00"], &[(0, 60)]),
    ]);
    entered.hours = 0;
    entered.gap_seconds = 3_601;
    entered.programs[1].steps[0].stations = vec!["0".into(), "0".into()];
    entered.programs[1].adjust_percent = 301;
    entered.programs[1].days = WaterDays::Every {
        days: 367,
        from: Date::parse("2026-06-01").unwrap(),
    };
    entered.stations[2].longest_run_minutes = Some(0);
    entered.stations[3].supply = Some("none".into());
    entered.window = Some(Daily {
        from: clock("01:00"),
        until: clock("01:00"),
    });
    let faults = Request::new(entered).unwrap_err();
    let fields: Vec<_> = faults.iter().map(|fault| fault.field.as_str()).collect();
    assert_eq!(
        fields,
        [
            "hours",
            "gap_seconds",
            "window.until",
            "programs[1].id",
            "stations[2].longest_run_minutes",
            "stations[3].supply",
            "programs[0].starts",
            "programs[0].steps[0].seconds",
            "programs[0].steps[0].stations[0]",
            "programs[1].adjust_percent",
            "programs[1].days.every",
            "programs[1].steps[0].stations[1]",
        ]
    );
}

#[test]
fn a_request_for_too_many_runs_is_refused() {
    let mut entered = site(vec![program("A", false, &["01:00"; 8], &[(0, 86_400)])]);
    limited(&mut entered, 0, 1, 0);
    entered.hours = limits::HOURS;
    let faults = Request::new(entered).unwrap_err();
    assert_eq!(faults[0].field, "hours");
}
