//! Any sequence of water on ground, replayed.

use super::event::{Event, Model, Start};
use super::soil::Ground;

/// Water falling at a steady rate for some time. Rates of pulses that overlap add up, as those of
/// two stations on the same ground; their order in a list does not matter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pulse {
    /// When it begins, minutes; not negative.
    pub start_minute: f64,
    /// How long it lasts, minutes; not negative.
    pub minutes: f64,
    /// Its rate, mm/h; not negative.
    pub rate_mm_per_h: f64,
}

/// What became of the water, at the end of the last pulse. Depths in mm; applied is the sum of the
/// other three.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Replay {
    /// Fell on the ground.
    pub applied_mm: f64,
    /// Went into it.
    pub infiltrated_mm: f64,
    /// Still stands on it.
    pub standing_mm: f64,
    /// Ran off.
    pub runoff_mm: f64,
    /// When water first stood, minutes on the pulses' clock.
    pub ponding_minute: Option<f64>,
    /// When water first ran off, minutes on the pulses' clock.
    pub runoff_minute: Option<f64>,
}

/// One moment of a replay, for drawing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Moment {
    /// Minute on the pulses' clock.
    pub minute: f64,
    /// Rate at which water falls from this moment on, mm/h.
    pub rate_mm_per_h: f64,
    /// Rate at which the ground could take it, mm/h, held to [`MOST_CAPACITY`]: dry ground takes
    /// any rate at the first touch.
    pub capacity_mm_per_h: f64,
    /// Water standing on the surface, mm.
    pub standing_mm: f64,
    /// Water run off so far, mm.
    pub runoff_mm: f64,
}

/// Largest capacity that a [`Moment`] tells, mm/h.
pub const MOST_CAPACITY: f64 = 1_000.0;

/// Replays pulses on ground.
pub fn replay(ground: &Ground, start: Start, pulses: &[Pulse]) -> Replay {
    let model = Model::new(ground, start);
    let mut event = Event::new(&model);
    for Steady { hours, rate } in steadies(pulses) {
        event.run(rate, hours);
    }
    Replay {
        applied_mm: event.applied_mm(),
        infiltrated_mm: event.infiltrated_mm(),
        standing_mm: event.standing_mm(),
        runoff_mm: event.runoff_mm(),
        ponding_minute: event.ponding_minute(),
        runoff_minute: event.runoff_minute(),
    }
}

/// The same, moment by moment: at least every `step_minutes`, at each change of rate, and for
/// `after_minutes` beyond the last pulse. At most some 10 000 moments; the step is widened to that.
pub fn trace(
    ground: &Ground,
    start: Start,
    pulses: &[Pulse],
    step_minutes: f64,
    after_minutes: f64,
) -> Vec<Moment> {
    const MOST_MOMENTS: f64 = 10_000.0;
    let model = Model::new(ground, start);
    let mut event = Event::new(&model);
    let mut steadies = steadies(pulses);
    steadies.push(Steady {
        hours: after_minutes.max(0.0) / 60.0,
        rate: 0.0,
    });
    let all_hours: f64 = steadies.iter().map(|steady| steady.hours).sum();
    let step = (step_minutes / 60.0)
        .max(all_hours / MOST_MOMENTS)
        .max(1e-6);
    let mut moments = Vec::new();
    for Steady { hours, rate } in steadies {
        let parts = (hours / step).ceil().clamp(1.0, MOST_MOMENTS);
        for _ in 0..parts as u32 {
            moments.push(moment(&event, rate));
            event.run(rate, hours / parts);
        }
    }
    moments.push(moment(&event, 0.0));
    moments
}

fn moment(event: &Event, rate_mm_per_h: f64) -> Moment {
    Moment {
        minute: event.minute(),
        rate_mm_per_h,
        capacity_mm_per_h: event.capacity_mm_per_h().min(MOST_CAPACITY),
        standing_mm: event.standing_mm(),
        runoff_mm: event.runoff_mm(),
    }
}

/// A time of steady rain or of none.
struct Steady {
    hours: f64,
    rate: f64,
}

/// The times between one change of rate and the next, from minute 0 to the end of the last pulse.
fn steadies(pulses: &[Pulse]) -> Vec<Steady> {
    let mut changes: Vec<(f64, f64, i32)> = Vec::with_capacity(2 * pulses.len());
    for pulse in pulses {
        let wet = pulse.minutes > 0.0 && pulse.rate_mm_per_h > 0.0;
        if wet {
            changes.push((pulse.start_minute, pulse.rate_mm_per_h, 1));
            changes.push((pulse.start_minute + pulse.minutes, -pulse.rate_mm_per_h, -1));
        }
    }
    changes.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut steadies = Vec::new();
    let (mut minute, mut rate, mut open) = (0.0, 0.0, 0);
    for (at, rate_change, open_change) in changes {
        // Pulses that touch but for the last digits touch: a gap would start a new front.
        if at - minute > 1e-9 {
            steadies.push(Steady {
                hours: (at - minute) / 60.0,
                rate,
            });
            minute = at;
        }
        open += open_change;
        // With nothing open the rate is none, not what rounding left of it.
        rate = if open == 0 { 0.0 } else { rate + rate_change };
    }
    steadies
}
