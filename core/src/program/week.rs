//! On which days which stations water: no station longer without water than it can bear, and nights alike.
//!
//! Nights are levelled over four weeks from a first date; the time without water is looked for over more than two
//! years, so that the ends of all months count. Where the site's rule is by weekday, a station has weekdays of its
//! own; where it is by dates, all of them; where it is every so many days, some of them in turn. Common practice, no
//! source.

mod key;

use crate::calendar::Date;
use crate::order::by_keys;
use crate::replay::WaterDays;
pub use key::{Clip, KeyedWeek, Night, WeekAsked, WeekEffort, key_week};

/// Which days the site may water.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Rule {
    /// What a rule of the place allows: weekdays, odd or even dates, every so many days; `None` when any day.
    pub allowed: Option<WaterDays>,
    /// Weekdays that are closed for other reasons, Monday first.
    pub closed: [bool; 7],
    /// Most minutes of a night, all stations added; `None` when only the night's plan decides.
    pub most_minutes: Option<u32>,
    /// Nights go on past midnight: the date after must be allowed too.
    pub past_midnight: bool,
}

/// What one station wants.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Want {
    /// Minutes a week, 1 to 10,080; more counts as that.
    pub week_minutes: u32,
    /// Water days a week that its minutes were made for, 1 to 7; 0 when as few as may be.
    pub week_days: u32,
    /// Longest time from one water day to the next, days, 1 or more.
    pub longest_interval_days: u32,
}

/// Stations that share their days: one kind of night, to be planned and keyed together.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sort {
    /// Places of the stations.
    pub stations: Vec<usize>,
    /// Their water days, as keyed.
    pub days: WaterDays,
    /// Minutes of each station on each of its days, rounded up, in the order of `stations`.
    pub minutes: Vec<u32>,
}

/// The week.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Week {
    /// Each with days of its own.
    pub sorts: Vec<Sort>,
    /// Minutes of each of the 28 days looked at, all stations added.
    pub day_minutes: Vec<u32>,
    /// Kinds of night: each set of places in `sorts` that meets on some day, and the first such day, counted from 0.
    pub nights: Vec<(Vec<usize>, u32)>,
    /// Kind of each of the 28 nights; none where nothing waters.
    pub night_of: Vec<Option<usize>>,
    /// Stations that no allowed days serve often enough: they have the closest days there are.
    pub too_seldom: Vec<usize>,
    /// Some day holds more minutes than the rule allows.
    pub over_most: bool,
}

/// Days looked at: four weeks, so that every rhythm shows.
pub const SPAN: u32 = 28;

impl Rule {
    /// Whether a date may be watered.
    pub fn allows(&self, date: Date) -> bool {
        !self.closed[date.weekday() as usize]
            && self.allowed.is_none_or(|allowed| allowed.holds(date))
    }

    /// Whether the night that begins on a date may be watered.
    pub fn allows_night(&self, date: Date) -> bool {
        self.allows(date) && (!self.past_midnight || self.allows(date.plus_days(1)))
    }
}

/// One bit for each day of the span on which a station's days fall and water may run.
fn mask(rule: &Rule, days: &WaterDays, from: Date) -> u32 {
    let days = (0..SPAN).filter(|day| {
        let date = from.plus_days(*day as i32);
        days.holds(date) && rule.allows_night(date)
    });
    days.fold(0, |mask, day| mask | 1 << day)
}

/// Days over which a time without water is looked for: more than a year, so that every end of a month counts.
const LONG: i32 = 800;

/// The longest time from one water day to the next.
fn longest_gap(rule: &Rule, days: &WaterDays, from: Date) -> u32 {
    let mut last = None;
    let mut longest = 0;
    for day in 0..LONG {
        let date = from.plus_days(day);
        if days.holds(date) && rule.allows_night(date) {
            longest = longest.max(day - last.unwrap_or(day));
            last = Some(day);
        }
    }
    longest.max(LONG - last.unwrap_or(-1) - 1) as u32
}

/// Days that can be keyed, and what they give.
struct Choice {
    days: WaterDays,
    mask: u32,
    gap: u32,
}

/// The sets of days that can be keyed under a rule.
fn choices(rule: &Rule, from: Date) -> Vec<Choice> {
    let mut choices: Vec<Choice> = Vec::new();
    let mut add = |days: WaterDays| {
        let mask = mask(rule, &days, from);
        if mask != 0 && choices.iter().all(|known| known.mask != mask) {
            let gap = longest_gap(rule, &days, from);
            choices.push(Choice { days, mask, gap });
        }
    };
    match rule.allowed {
        // The controller's own closed days leave out the rest. No date and the next are both such dates for long.
        Some(days @ (WaterDays::Odd { .. } | WaterDays::Even)) => {
            if !rule.past_midnight {
                add(days);
            }
        }
        Some(WaterDays::Every { days, from: first }) => {
            if rule.past_midnight && days > 1 {
                return choices;
            }
            for times in [1, 2, 3] {
                for shift in 0..times {
                    add(WaterDays::Every {
                        days: days * times,
                        from: first.plus_days((days * shift) as i32),
                    });
                }
            }
        }
        Some(WaterDays::Weekdays(_)) | None => {
            for set in 1_u32..128 {
                let mut chosen = [false; 7];
                for (day, chosen) in chosen.iter_mut().enumerate() {
                    *chosen = set >> day & 1 == 1;
                }
                let open = |day: usize| match rule.allowed {
                    Some(WaterDays::Weekdays(allowed)) => allowed[day] && !rule.closed[day],
                    _ => !rule.closed[day],
                };
                let within = |day: usize| open(day) && (!rule.past_midnight || open((day + 1) % 7));
                if (0..7).all(|day| !chosen[day] || within(day)) {
                    add(WaterDays::Weekdays(chosen));
                }
            }
        }
    }
    choices
}

/// Chooses the water days of every station from `from` on.
///
/// Stations with the most minutes choose first. Each takes, of the sets that are close enough together with the days
/// it wants, the one that leaves the fullest day least full; equal ones go to days that others have taken, so that
/// there are few sorts. Once there are `most_sorts` of them, a station takes days of its own only when no others are
/// close enough. A second look at each station then levels what the first could not foresee.
pub fn plan(rule: &Rule, wants: &[Want], from: Date, most_sorts: usize) -> Week {
    let choices = choices(rule, from);
    let mut taken: Vec<Option<usize>> = vec![None; wants.len()];
    let mut loads = vec![0_u32; SPAN as usize];
    let mut sharing = vec![0_u32; choices.len()];
    let mut too_seldom = Vec::new();
    let mut order: Vec<u64> = (0..wants.len())
        .map(|at| (u64::from(u32::MAX - wants[at].week_minutes) << 32) | at as u64)
        .collect();
    by_keys(&mut order, |key| [*key, 0]);
    for round in 0..3 {
        for key in &order {
            let at = (key & 0xffff_ffff) as usize;
            if let Some(old) = taken[at].take() {
                sharing[old] -= 1;
                let (mask, minutes) =
                    (choices[old].mask, day_minutes(wants[at], choices[old].mask));
                add(&mut loads, mask, |load| load - minutes);
            }
            let want = wants[at];
            let full = sharing.iter().filter(|sharing| **sharing > 0).count() >= most_sorts;
            let mut best: Option<([u32; 6], usize)> = None;
            for (place, Choice { mask, gap, .. }) in choices.iter().enumerate() {
                let minutes = day_minutes(want, *mask);
                let days = (0..SPAN as usize).filter(|day| mask >> day & 1 == 1);
                let fullest = days.map(|day| loads[day] + minutes).max().unwrap_or(0);
                let over = rule
                    .most_minutes
                    .map_or(0, |most| fullest.saturating_sub(most));
                let shared = sharing[place] > 0;
                let seldom = if *gap <= want.longest_interval_days {
                    0
                } else {
                    *gap
                };
                let off = mask.count_ones().abs_diff(want.week_days * (SPAN / 7));
                let rank = [
                    seldom,
                    u32::from(full && !shared),
                    over,
                    off,
                    fullest,
                    u32::from(!shared),
                ];
                if best.is_none_or(|(least, _)| rank < least) {
                    best = Some((rank, place));
                }
            }
            let Some((rank, place)) = best else {
                if round == 0 {
                    too_seldom.push(at);
                }
                continue;
            };
            if round == 0 && rank[0] > 0 {
                too_seldom.push(at);
            }
            let minutes = day_minutes(want, choices[place].mask);
            add(&mut loads, choices[place].mask, |load| load + minutes);
            taken[at] = Some(place);
            sharing[place] += 1;
        }
    }
    by_keys(&mut too_seldom, |at| [*at as u64, 0]);
    write(rule, wants, &choices, &taken, loads, too_seldom)
}

/// Minutes of a station on each of its days: four weeks' minutes over the days of four weeks, rounded up.
fn day_minutes(want: Want, mask: u32) -> u32 {
    (want.week_minutes.min(10_080) * (SPAN / 7)).div_ceil(mask.count_ones().max(1))
}

fn add(loads: &mut [u32], mask: u32, change: impl Fn(u32) -> u32) {
    for (day, load) in loads.iter_mut().enumerate() {
        if mask >> day & 1 == 1 {
            *load = change(*load);
        }
    }
}

fn write(
    rule: &Rule,
    wants: &[Want],
    choices: &[Choice],
    taken: &[Option<usize>],
    loads: Vec<u32>,
    too_seldom: Vec<usize>,
) -> Week {
    let mut sorts = Vec::new();
    let mut masks = Vec::new();
    for (place, Choice { days, mask, .. }) in choices.iter().enumerate() {
        let stations: Vec<usize> = (0..wants.len())
            .filter(|at| taken[*at] == Some(place))
            .collect();
        if !stations.is_empty() {
            let minutes = stations.iter().map(|at| day_minutes(wants[*at], *mask));
            sorts.push(Sort {
                minutes: minutes.collect(),
                stations,
                days: *days,
            });
            masks.push(*mask);
        }
    }
    let mut nights: Vec<(Vec<usize>, u32)> = Vec::new();
    let mut night_of = Vec::new();
    for day in 0..SPAN {
        let meet: Vec<usize> = (0..masks.len())
            .filter(|at| masks[*at] >> day & 1 == 1)
            .collect();
        let known = nights.iter().position(|(known, _)| *known == meet);
        night_of.push(known.or((!meet.is_empty()).then_some(nights.len())));
        if known.is_none() && !meet.is_empty() {
            nights.push((meet, day));
        }
    }
    let most = rule.most_minutes.unwrap_or(u32::MAX);
    Week {
        sorts,
        nights,
        night_of,
        too_seldom,
        over_most: loads.iter().any(|load| *load > most),
        day_minutes: loads,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn monday() -> Date {
        Date::parse("2026-06-01").unwrap_or(Date::EPOCH)
    }

    const ANY: Rule = Rule {
        allowed: None,
        closed: [false; 7],
        most_minutes: None,
        past_midnight: false,
    };

    fn want(week_minutes: u32, longest_interval_days: u32) -> Want {
        Want {
            week_minutes,
            week_days: 0,
            longest_interval_days,
        }
    }

    /// The longest time without water in a year, by the dates that hold.
    fn longest_dry(rule: &Rule, days: &WaterDays) -> u32 {
        let dates = (0..365).filter(|day| {
            let date = monday().plus_days(*day);
            days.holds(date) && rule.allows(date)
        });
        let dates: Vec<i32> = dates.collect();
        let gaps = dates.windows(2).map(|pair| (pair[1] - pair[0]) as u32);
        gaps.max().unwrap_or(365)
    }

    #[test]
    fn no_station_waits_longer_than_it_can() {
        let closed = Rule {
            closed: [false, false, true, false, false, false, true],
            ..ANY
        };
        let wants: Vec<Want> = (2..8).map(|days| want(20 * days, days)).collect();
        let week = plan(&closed, &wants, monday(), 99);
        assert!(week.too_seldom.is_empty());
        for sort in &week.sorts {
            for station in &sort.stations {
                let dry = longest_dry(&closed, &sort.days);
                assert!(dry <= wants[*station].longest_interval_days, "{dry}");
            }
        }
    }

    #[test]
    fn nights_are_level_and_minutes_are_kept() {
        // Once a week each: fourteen stations of 30 minutes go on seven days, two a day.
        let wants = [want(30, 7); 14];
        let week = plan(&ANY, &wants, monday(), 99);
        assert_eq!(week.day_minutes, [60; 28]);
        assert_eq!(week.nights.len(), 7);
        for sort in &week.sorts {
            assert_eq!(sort.minutes, vec![30; sort.stations.len()]);
        }
    }

    #[test]
    fn different_needs_water_on_different_days() {
        let wants = [want(60, 2), want(60, 7)];
        let week = plan(&ANY, &wants, monday(), 99);
        let of = |station: usize| week.sorts.iter().find(|sort| sort.stations == [station]);
        // Never two dry days between: four of seven.
        let Some(WaterDays::Weekdays(often)) = of(0).map(|sort| sort.days) else {
            panic!("weekdays")
        };
        assert_eq!(often.iter().filter(|day| **day).count(), 4);
        let Some(WaterDays::Weekdays(once)) = of(1).map(|sort| sort.days) else {
            panic!("weekdays")
        };
        assert_eq!(once.iter().filter(|day| **day).count(), 1);
        // It goes where the other does not.
        assert!((0..7).all(|day| !(often[day] && once[day])));
    }

    #[test]
    fn dates_are_kept_and_what_is_too_seldom_is_told() {
        let odd = Rule {
            allowed: Some(WaterDays::Odd { skip_31: true }),
            ..ANY
        };
        let week = plan(&odd, &[want(30, 3), want(30, 1)], monday(), 99);
        assert_eq!(week.too_seldom, [1]);
        // From the 29th to the 1st of a month with a 31st is three days, though these four weeks do not show it.
        assert_eq!(plan(&odd, &[want(30, 2)], monday(), 99).too_seldom, [0]);
        for (day, load) in week.day_minutes.iter().enumerate() {
            assert_eq!(*load > 0, odd.allows(monday().plus_days(day as i32)));
        }
        let third = Rule {
            allowed: Some(WaterDays::Every {
                days: 3,
                from: monday(),
            }),
            ..ANY
        };
        let week = plan(&third, &[want(30, 6), want(30, 6)], monday(), 99);
        // They take turns, six days apart each.
        assert_eq!(week.sorts.len(), 2);
    }

    #[test]
    fn a_day_that_is_too_full_is_told() {
        let rule = Rule {
            most_minutes: Some(50),
            ..ANY
        };
        assert!(!plan(&rule, &[want(30, 7); 7], monday(), 99).over_most);
        assert!(plan(&rule, &[want(60, 7); 7], monday(), 99).over_most);
        let none = Rule {
            closed: [true; 7],
            ..ANY
        };
        assert_eq!(plan(&none, &[want(9, 7)], monday(), 99).too_seldom, [0]);
    }
}
