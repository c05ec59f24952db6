//! How long a replay takes: an invented site of 40 stations in 6 programs over a year, and requests at the limits.
//!
//! `cargo bench -p drycurb-tests --bench replay` prints times; counted instructions do not depend on the machine's
//! load: `valgrind --tool=callgrind --toggle-collect='*measured*' --callgrind-out-file=/dev/null <the binary>`.

use std::hint::black_box;
use std::time::Instant;

use drycurb_core::calendar::{ClockTime, LocalTime};
use drycurb_core::quantity::Flow;
use drycurb_core::replay::{
    Closed, Daily, Entered, Program, Replay, Request, SoakStyle, Station, Step, Supply, WaterDays,
    replay,
};

fn main() {
    let yearly = [
        (
            "40 stations, 6 programs, a year",
            site(40, 6, 1, 1_200, Some(8)),
        ),
        (
            "128 programs, 8 starts, one step each, a year",
            site(128, 128, 8, 600, None),
        ),
        (
            "1 program, 390 runs a start, 2 starts, a year",
            site(1, 1, 2, 23_400, Some(1)),
        ),
    ];
    for (name, entered) in yearly {
        let begin = Instant::now();
        let mut rounds = 0;
        let mut runs = 0;
        while rounds == 0 || begin.elapsed().as_millis() < 500 {
            runs = measured(black_box(&entered)).runs.len();
            rounds += 1;
        }
        let each = begin.elapsed() / rounds;
        println!("{name}: {runs} runs, {each:?}");
    }
}

/// Checks and replays.
#[inline(never)]
fn measured(entered: &Entered) -> Replay {
    replay(&Request::new(entered.clone()).expect("a legal request"))
}

fn site(
    stations: u32,
    programs: u32,
    starts: u32,
    seconds: u32,
    longest_run_minutes: Option<u32>,
) -> Entered {
    let clock = |minute| ClockTime::try_minute_of_day(minute % 1_440).expect("a minute of the day");
    let station = |place: u32| Station {
        id: place.to_string(),
        flow: Some(Flow::l_per_min(10.0)),
        longest_run_minutes,
        soak_minutes: Some(20),
        supply: Some("well".into()),
    };
    let program = |place: u32| Program {
        id: place.to_string(),
        starts: (0..starts).map(|start| clock(start * 180)).collect(),
        days: WaterDays::Weekdays([true; 7]),
        sharing: true,
        adjust_percent: 100,
        on: true,
        steps: (0..stations)
            .filter(|station| station % programs == place)
            .map(|station| Step {
                stations: vec![station.to_string()],
                seconds,
            })
            .collect(),
    };
    Entered {
        from: LocalTime::parse("2026-01-01T00:00").expect("a local time"),
        hours: 8_760,
        gap_seconds: 10,
        soak_style: SoakStyle::Fill,
        clock_changes: Vec::new(),
        closed: Closed::default(),
        window: Some(Daily {
            from: clock(1_260),
            until: clock(360),
        }),
        supplies: vec![Supply {
            id: "well".into(),
            capacity: Some(Flow::l_per_min(50.0)),
        }],
        stations: (0..stations).map(station).collect(),
        programs: (0..programs).map(program).collect(),
    }
}
