//! Runoff expected of a station's runs: each watering replayed by the soil model.

use std::collections::BTreeMap;

use crate::ground::Ground;
use crate::ground::event::{Event, Model, Start};
use crate::quantity::PrecipitationRate;
use crate::reference::{Source, Standing};
use crate::replay::Run;

/// Which runs are reckoned as one watering.
pub const EVENT: Source = Source {
    work: "no publication",
    place: "a watering ends with a pause of 12 h; the first run a day or more after its beginning \
            starts another",
    standing: Standing::Judgement,
    note: "each begins at field capacity. The soil model has no evaporation and no deep drainage, \
           so that waterings left together for days would fill the ground without end",
};

/// Pause that ends a watering, and its greatest length up to its last run. Source: [`EVENT`].
const PAUSE_SECONDS: i64 = 12 * 3_600;
const LONGEST_SECONDS: i64 = 24 * 3_600;

/// Runs of one watering: pause before each, and its length, in seconds.
type Pulses = Vec<(i64, u32)>;

/// Share of the applied water that runs off, over all runs of a station, which are in order; 0
/// when there are none.
pub(super) fn runoff_share(ground: &Ground, rate: PrecipitationRate, runs: &[Run]) -> f64 {
    let model = Model::new(ground, Start::Wet);
    let (mut applied_mm, mut runoff_mm) = (0.0, 0.0);
    for (pulses, times) in waterings(runs) {
        let mut event = Event::new(&model);
        for (pause, seconds) in pulses {
            event.run(0.0, pause as f64 / 3_600.0);
            event.run(rate.to_mm_per_h(), f64::from(seconds) / 3_600.0);
        }
        applied_mm += times * event.applied_mm();
        runoff_mm += times * event.runoff_mm();
    }
    if applied_mm > 0.0 {
        runoff_mm / applied_mm
    } else {
        0.0
    }
}

/// The different waterings, and how often each comes. Most days are alike, so that few are left.
fn waterings(runs: &[Run]) -> BTreeMap<Pulses, f64> {
    let mut waterings = BTreeMap::new();
    let mut pulses: Pulses = Vec::new();
    let (mut began, mut closed) = (0, 0);
    for run in runs {
        let pause = run.start_second - closed;
        let ends = pause >= PAUSE_SECONDS || run.start_second - began >= LONGEST_SECONDS;
        if pulses.is_empty() || ends {
            note(&mut waterings, std::mem::take(&mut pulses));
            began = run.start_second;
            pulses.push((0, run.seconds));
        } else {
            pulses.push((pause, run.seconds));
        }
        closed = run.end_second();
    }
    note(&mut waterings, pulses);
    waterings
}

fn note(waterings: &mut BTreeMap<Pulses, f64>, pulses: Pulses) {
    if !pulses.is_empty() {
        *waterings.entry(pulses).or_insert(0.0) += 1.0;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn runs(runs: &[(i64, u32)]) -> Vec<Run> {
        runs.iter()
            .map(|(start_second, seconds)| Run {
                start_second: *start_second,
                seconds: *seconds,
                program: 0,
                step: 0,
                place: 0,
                station: 0,
            })
            .collect()
    }

    #[test]
    fn a_long_pause_or_a_day_ends_a_watering() {
        let hour = 3_600;
        let pause = 11 * hour + 50 * 60;
        let three = [(0, 600), (12 * hour, 600), (24 * hour, 600)];
        let found: Vec<_> = waterings(&runs(&three)).into_iter().collect();
        assert_eq!(
            found,
            [(vec![(0, 600)], 1.0), (vec![(0, 600), (pause, 600)], 1.0)]
        );
        let apart = [(0, 600), (12 * hour + 600, 600)];
        let found: Vec<_> = waterings(&runs(&apart)).into_iter().collect();
        assert_eq!(found, [(vec![(0, 600)], 2.0)]);
    }
}
