//! A program's steps as the controller runs them: adjusted, then cut into runs and soaks.

use super::request::{Program, SoakStyle, Station};

/// A step of more than 0 seconds.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct PlannedStep {
    /// Place among the keyed steps.
    pub step: usize,
    /// Places of its stations, in the keyed order.
    pub stations: Vec<usize>,
    /// How often it opens.
    pub runs: u32,
    /// Least time from the closing of one of its runs to the opening of its next.
    pub soak_seconds: i64,
    /// Length of all its runs together.
    seconds: u32,
}

impl PlannedStep {
    /// Length of its run number `run`, the first being 0. The runs are equal whole seconds; seconds left over go one
    /// each to the first runs.
    pub(super) const fn run_seconds(&self, run: u32) -> u32 {
        let longer = if run < self.seconds % self.runs { 1 } else { 0 };
        self.seconds / self.runs + longer
    }
}

/// Keyed seconds after adjustment, to the nearest second, half up.
pub(super) const fn adjusted_seconds(keyed_seconds: u32, adjust_percent: u32) -> u32 {
    ((keyed_seconds as u64 * adjust_percent as u64 + 50) / 100) as u32
}

/// The steps that are left after adjustment. `stations` gives the places of a step's stations.
pub(super) fn planned_steps(
    program: &Program,
    places: &[Vec<usize>],
    stations: &[Station],
    style: SoakStyle,
) -> Vec<PlannedStep> {
    let adjusted = program.steps.iter().zip(places).enumerate();
    let planned = adjusted.map(|(step, (keyed, places))| {
        let seconds = adjusted_seconds(keyed.seconds, program.adjust_percent);
        let (runs, soak_seconds) = cut(seconds, places, stations, style);
        PlannedStep {
            step,
            stations: places.clone(),
            runs,
            soak_seconds,
            seconds,
        }
    });
    planned.filter(|step| step.seconds > 0).collect()
}

/// Into how many runs a step is cut, and its soak. The shortest longest run and the longest soak count, among those
/// of its stations that have both.
fn cut(seconds: u32, places: &[usize], stations: &[Station], style: SoakStyle) -> (u32, i64) {
    let both = places.iter().filter_map(|place| {
        let station = &stations[*place];
        station.longest_run_minutes.zip(station.soak_minutes)
    });
    let limits = both.reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)));
    match limits {
        Some((longest_run_minutes, soak_minutes)) if style != SoakStyle::None => {
            let runs = seconds.div_ceil(longest_run_minutes * 60).max(1);
            (runs, i64::from(soak_minutes) * 60)
        }
        _ => (1, 0),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn step(seconds: u32, runs: u32) -> PlannedStep {
        PlannedStep {
            step: 0,
            stations: vec![0],
            runs,
            soak_seconds: 0,
            seconds,
        }
    }

    fn station(longest_run_minutes: Option<u32>, soak_minutes: Option<u32>) -> Station {
        Station {
            id: String::new(),
            flow: None,
            longest_run_minutes,
            soak_minutes,
            supply: None,
        }
    }

    #[test]
    fn adjustment_rounds_half_up() {
        assert_eq!(adjusted_seconds(50, 37), 19); // 18.5
        assert_eq!(adjusted_seconds(1, 49), 0);
        assert_eq!(adjusted_seconds(1, 50), 1);
        assert_eq!(adjusted_seconds(86_400, 300), 259_200);
        assert_eq!(adjusted_seconds(86_400, 0), 0);
    }

    #[test]
    fn seconds_left_over_go_to_the_first_runs() {
        let lengths = |seconds, runs| -> Vec<u32> {
            (0..runs)
                .map(|run| step(seconds, runs).run_seconds(run))
                .collect()
        };
        assert_eq!(lengths(602, 3), [201, 201, 200]);
        assert_eq!(lengths(600, 2), [300, 300]);
    }

    #[test]
    fn only_stations_with_both_limits_are_asked() {
        let stations = [
            station(Some(10), Some(20)),
            station(Some(8), Some(5)),
            station(Some(2), None),
            station(None, Some(90)),
        ];
        assert_eq!(
            cut(1_200, &[0, 1, 2, 3], &stations, SoakStyle::Wait),
            (3, 1_200)
        );
        assert_eq!(cut(1_200, &[2, 3], &stations, SoakStyle::Fill), (1, 0));
        assert_eq!(cut(1_200, &[0, 1], &stations, SoakStyle::None), (1, 0));
        assert_eq!(cut(480, &[1], &stations, SoakStyle::Wait), (1, 300));
        assert_eq!(cut(481, &[1], &stations, SoakStyle::Wait), (2, 300));
    }
}
