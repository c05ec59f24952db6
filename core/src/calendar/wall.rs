//! A wall clock that is put forward or back, against elapsed seconds.
//!
//! Changes come in as a list; which ones a place has is not known here. Elapsed seconds are counted from the moment
//! at which the clock is first read, and never jump.

use super::{DAY_SECONDS, LocalTime};
use crate::invalid::{Invalid, Problem};

/// One change of the clock.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ClockChange {
    /// What the clock that was in force until then would show at the jump.
    pub at: LocalTime,
    /// By how much the clock is put forward, or back when negative: -180 to 180 minutes, not 0.
    pub shift_minutes: i32,
}

impl ClockChange {
    /// The most that a clock is put forward or back at once, minutes.
    pub const MOST_MINUTES: i32 = 180;

    /// What the clock shows from the jump on.
    pub const fn shows_after(self) -> LocalTime {
        self.at.plus_seconds(self.shift_seconds())
    }

    const fn shift_seconds(self) -> i64 {
        self.shift_minutes as i64 * 60
    }

    /// Checks a list of changes, which is called `field` in the faults: each shift in range, in order of time and at
    /// least 24 hours apart.
    pub fn check(changes: &[Self], field: &str) -> Vec<Invalid> {
        let mut faults = Vec::new();
        for (place, change) in changes.iter().enumerate() {
            if change.shift_minutes == 0 {
                let problem = Problem::Other("must not be 0");
                faults.push(Invalid::new(
                    format!("{field}[{place}].shift_minutes"),
                    problem,
                ));
            } else if change.shift_minutes.unsigned_abs() > Self::MOST_MINUTES.unsigned_abs() {
                let most = f64::from(Self::MOST_MINUTES);
                let problem = Problem::OutOfRange { least: -most, most };
                faults.push(Invalid::new(
                    format!("{field}[{place}].shift_minutes"),
                    problem,
                ));
            }
            let earlier = place.checked_sub(1).map(|before| changes[before].at);
            if earlier.is_some_and(|earlier| change.at.seconds_since(earlier) < DAY_SECONDS) {
                let problem =
                    Problem::Other("must be at least 24 hours after the change before it");
                faults.push(Invalid::new(format!("{field}[{place}].at"), problem));
            }
        }
        faults
    }
}

/// A stretch of time in which the clock runs on unchanged.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stretch {
    /// Elapsed second at which it begins.
    pub second: i64,
    /// What the clock shows then.
    pub shows: LocalTime,
    /// The change that began it; none for the first stretch.
    pub change: Option<ClockChange>,
    /// The elapsed second at which it ends; none for the last.
    pub until_second: Option<i64>,
}

impl Stretch {
    /// What the clock shows at an elapsed second of this stretch.
    pub const fn local(&self, second: i64) -> LocalTime {
        self.shows.plus_seconds(second - self.second)
    }

    /// The elapsed second at which the clock shows `local`, when it does so within this stretch.
    pub fn second(&self, local: LocalTime) -> Option<i64> {
        let second = self.second + local.seconds_since(self.shows);
        let ended = self.until_second.is_some_and(|until| second >= until);
        (second >= self.second && !ended).then_some(second)
    }
}

/// A wall clock from a first reading on.
#[derive(Clone, Debug, PartialEq)]
pub struct WallClock {
    stretches: Vec<Stretch>,
}

impl WallClock {
    /// The clock that shows `from` at elapsed second 0 and is then changed by `changes`, which
    /// [`ClockChange::check`] finds sound. Those at or before `from` are passed over: `from` is read on the clock
    /// after them.
    pub fn new(from: LocalTime, changes: &[ClockChange]) -> Self {
        let mut stretches = vec![Stretch {
            second: 0,
            shows: from,
            change: None,
            until_second: None,
        }];
        let ahead = changes.iter().filter(|change| change.at > from);
        for (last, change) in ahead.enumerate() {
            let second = stretches[last].second + change.at.seconds_since(stretches[last].shows);
            stretches[last].until_second = Some(second);
            stretches.push(Stretch {
                second,
                shows: change.shows_after(),
                change: Some(*change),
                until_second: None,
            });
        }
        Self { stretches }
    }

    /// The stretches between changes, in order of time.
    pub fn stretches(&self) -> &[Stretch] {
        &self.stretches
    }

    /// What the clock shows at an elapsed second (0 or later).
    pub fn local(&self, second: i64) -> LocalTime {
        self.stretches[self.place(second)].local(second)
    }

    /// The first elapsed second at or after `second` at which something holds that depends on the clock alone.
    /// `next` gives the first reading at or after its argument at which it holds, on a clock that is not changed.
    pub fn first(&self, second: i64, next: impl Fn(LocalTime) -> Option<LocalTime>) -> Option<i64> {
        let stretches = &self.stretches[self.place(second)..];
        stretches.iter().find_map(|stretch| {
            let begins = stretch.local(second.max(stretch.second));
            next(begins).and_then(|local| stretch.second(local))
        })
    }

    fn place(&self, second: i64) -> usize {
        self.stretches
            .partition_point(|stretch| stretch.second <= second)
            .saturating_sub(1)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn local(text: &str) -> LocalTime {
        LocalTime::parse(text).unwrap()
    }

    #[test]
    fn a_night_with_an_hour_less() {
        let change = ClockChange {
            at: local("2026-03-29T02:00"),
            shift_minutes: 60,
        };
        let clock = WallClock::new(local("2026-03-29T01:59:30"), &[change]);
        assert_eq!(clock.local(29), local("2026-03-29T01:59:59"));
        assert_eq!(clock.local(30), local("2026-03-29T03:00:00"));
        let half_past_two = |_| Some(local("2026-03-29T02:30"));
        assert_eq!(clock.first(0, half_past_two), None);
    }

    #[test]
    fn a_night_with_an_hour_more() {
        let change = ClockChange {
            at: local("2026-10-25T03:00"),
            shift_minutes: -60,
        };
        let clock = WallClock::new(local("2026-10-25T02:00:00"), &[change]);
        assert_eq!(clock.local(3_599), local("2026-10-25T02:59:59"));
        assert_eq!(clock.local(3_600), local("2026-10-25T02:00:00"));
        let seconds: Vec<_> = clock
            .stretches()
            .iter()
            .map(|stretch| stretch.second(local("2026-10-25T02:30")))
            .collect();
        assert_eq!(seconds, [Some(1_800), Some(5_400)]);
    }

    #[test]
    fn a_change_at_the_first_reading_is_passed_over() {
        let change = ClockChange {
            at: local("2026-10-25T03:00"),
            shift_minutes: -60,
        };
        let clock = WallClock::new(local("2026-10-25T03:00"), &[change]);
        assert_eq!(clock.local(60), local("2026-10-25T03:01"));
    }

    #[test]
    fn shifts_and_order_are_checked_at_once() {
        let changes = [
            ClockChange {
                at: local("2026-10-25T03:00"),
                shift_minutes: 0,
            },
            ClockChange {
                at: local("2026-10-26T02:59"),
                shift_minutes: -181,
            },
        ];
        let fields: Vec<_> = ClockChange::check(&changes, "clock_changes")
            .into_iter()
            .map(|fault| fault.field)
            .collect();
        assert_eq!(
            fields,
            [
                "clock_changes[0].shift_minutes",
                "clock_changes[1].shift_minutes",
                "clock_changes[1].at"
            ]
        );
    }
}
