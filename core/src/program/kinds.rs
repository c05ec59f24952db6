//! Kinds of nights: which programs may meet, and on which days their starts are keyed.

use super::week::{SPAN, Week};
use crate::calendar::{ClockTime, Date};
use crate::replay::WaterDays;

/// Which sorts of stations water in which kinds of nights.
#[derive(Clone, Debug)]
pub(super) struct Kinds {
    /// By station: its sort; past the last where there is no day for it.
    pub sort: Vec<usize>,
    /// By sort: one bit for each kind of night in which it waters.
    pub nights: Vec<u32>,
    /// By kind of night: a date on which one begins.
    pub dates: Vec<Date>,
    /// By sort: the water days of starts before midnight, and of those from it on.
    pub days: Vec<[WaterDays; 2]>,
    /// From the start of the window to midnight, seconds.
    pub midnight: u32,
    /// Weekdays on which the controller is closed, Monday first.
    pub closed: [bool; 7],
}

impl Kinds {
    /// Every night the same.
    pub fn one(stations: usize) -> Self {
        let days = WaterDays::Every {
            days: 1,
            from: Date::EPOCH,
        };
        Self {
            sort: vec![0; stations],
            nights: vec![1],
            dates: vec![Date::EPOCH],
            days: vec![[days; 2]],
            midnight: u32::MAX,
            closed: [false; 7],
        }
    }

    /// Those of a week from its first date on.
    pub fn of_week(week: &Week, stations: usize, start: ClockTime, from: Date) -> Self {
        let mut sort = vec![week.sorts.len(); stations];
        for (place, own) in week.sorts.iter().enumerate() {
            for station in &own.stations {
                sort[*station] = place;
            }
        }
        let mut nights = vec![0; week.sorts.len()];
        for (night, (sorts, _)) in week.nights.iter().enumerate().take(SPAN as usize) {
            for place in sorts {
                nights[*place] |= 1 << night;
            }
        }
        let dates = week.nights.iter();
        let days = week.sorts.iter();
        Self {
            sort,
            nights,
            dates: dates.map(|(_, day)| from.plus_days(*day as i32)).collect(),
            days: days.map(|sort| [sort.days, day_after(sort.days)]).collect(),
            midnight: (1_440 - start.to_minute_of_day()) * 60,
            closed: [false; 7],
        }
    }

    /// Whether the starts of a program need two sets of water days: it is keyed twice.
    pub fn is_split(&self, sort: usize, starts: &[u32]) -> bool {
        let [before, after] = self.days[sort];
        let late = |start: Option<&u32>| start.is_some_and(|start| *start >= self.midnight);
        before != after && !late(starts.first()) && late(starts.last())
    }

    /// Whether two stations may water in one night.
    pub fn meet(&self, one: usize, other: usize) -> bool {
        (0..self.dates.len()).any(|night| self.waters(one, night) && self.waters(other, night))
    }

    /// Whether a station waters in a kind of night.
    pub fn waters(&self, station: usize, night: usize) -> bool {
        let nights = self.nights.get(self.sort[station]);
        nights.is_some_and(|nights| nights >> night & 1 == 1)
    }
}

/// The water days of what begins after midnight: each a day later.
fn day_after(days: WaterDays) -> WaterDays {
    match days {
        WaterDays::Weekdays(chosen) => {
            let mut later = chosen;
            later.rotate_right(1);
            WaterDays::Weekdays(later)
        }
        WaterDays::Every { days, from } => WaterDays::Every {
            days,
            // Every day is every day.
            from: from.plus_days(i32::from(days > 1)),
        },
        // No night of these goes past midnight.
        WaterDays::Odd { .. } | WaterDays::Even => days,
    }
}
