//! A root zone's water, day by day.
//!
//! The root zone is a store that holds a depth of water when full. Need draws it down, rain and irrigation fill it, and
//! what it cannot hold drains below the roots. Past the allowed depletion plants close their leaves: they take less,
//! in proportion to what is left, and the day counts as one of stress.
//!
//! Rain is taken as it comes in: what runs off or only wets leaves has been left out before ([`super::rain`]).
//!
//! # Source
//! [`SOURCE`].

use super::monthly::DAYS;
use crate::quantity::{DailyNeed, Depth, Share};
use crate::reference::{Source, Standing};

/// Where the balance comes from.
pub const SOURCE: Source = Source {
    work: "Allen, Pereira, Raes & Smith 1998, FAO Irrigation and Drainage Paper 56, chapter 8",
    place: "equations 84 (stress) and 85 (daily balance)",
    standing: Standing::FromMemory,
    note: "no capillary rise; rain and irrigation of a day arrive before that day's need is drawn",
};

/// What the root zone holds and may lose.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Store {
    /// Water between full and wilting, mm.
    pub holds: Depth,
    /// Share of it that may be used before plants feel it.
    pub allowed: Share,
}

/// What a day brings and asks for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DayIn {
    /// Rain that reaches the ground and enters.
    pub rain: Depth,
    /// Irrigation that enters, net.
    pub irrigation: Depth,
    /// Need of plants that lack nothing.
    pub need: DailyNeed,
}

/// What a day leaves.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DayOut {
    /// Water missing to full at the end of the day, mm.
    pub deficit_mm: f64,
    /// Drained below the roots, mm.
    pub drained_mm: f64,
    /// Taken by the plants, mm.
    pub taken_mm: f64,
    /// Less than the need was taken.
    pub stressed: bool,
}

/// Sums over all days, mm. `rain + irrigation = taken + drained + (first deficit - last deficit)`.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Balance {
    /// Each day.
    pub days: Vec<DayOut>,
    /// Rain that entered.
    pub rain_mm: f64,
    /// Irrigation that entered.
    pub irrigation_mm: f64,
    /// Taken by the plants.
    pub taken_mm: f64,
    /// Drained below the roots.
    pub drained_mm: f64,
    /// Need that was not met.
    pub missed_mm: f64,
    /// Number of days with stress.
    pub stress_days: u32,
}

/// Runs the store through a list of days, from a deficit at the start (cut to what the store holds).
pub fn run(store: Store, first_deficit: Depth, days: &[DayIn]) -> Balance {
    let holds = store.holds.to_mm();
    let mut deficit = first_deficit.to_mm().min(holds);
    let mut sums = Balance {
        days: Vec::with_capacity(days.len()),
        ..Balance::default()
    };
    for day in days {
        let (rain, irrigation) = (day.rain.to_mm(), day.irrigation.to_mm());
        let entered = rain + irrigation;
        let drained_mm = (entered - deficit).max(0.0);
        let before = (deficit - entered).max(0.0);
        let need = day.need.to_mm_per_day();
        let taken_mm = draw(store, before, need);
        deficit = before + taken_mm;
        let stressed = taken_mm < need - 1e-9;
        sums.days.push(DayOut {
            deficit_mm: deficit,
            drained_mm,
            taken_mm,
            stressed,
        });
        sums.rain_mm += rain;
        sums.irrigation_mm += irrigation;
        sums.taken_mm += taken_mm;
        sums.drained_mm += drained_mm;
        sums.missed_mm += need - taken_mm;
        sums.stress_days += u32::from(stressed);
    }
    sums
}

/// What plants take in a day that begins with a deficit: all of the need up to the allowed depletion; beyond it the
/// need times the share of the last reserve that is left (equation 84).
fn draw(store: Store, deficit: f64, need: f64) -> f64 {
    let holds = store.holds.to_mm();
    let allowed = store.allowed.to_of_one() * holds;
    let stress = if deficit <= allowed {
        1.0
    } else {
        // Beyond the allowed depletion, so less than all is allowed and the divisor is above zero.
        ((holds - deficit) / (holds - allowed)).clamp(0.0, 1.0)
    };
    (need * stress).min(holds - deficit).max(0.0)
}

/// The longest time between waterings: whole days that the allowed depletion lasts, one at least; `None` where nothing
/// is drawn.
///
/// # Source
/// Irrigation Association 2005 (from memory): interval = allowed depletion / daily need, rounded down.
pub fn longest_interval_days(store: Store, need: DailyNeed) -> Option<u32> {
    let per_day = need.to_mm_per_day();
    // A billionth of a day too little is the arithmetic's.
    let days = store.allowed.to_of_one() * store.holds.to_mm() / per_day + 1e-9;
    (per_day > 0.0).then(|| (days.floor() as u32).max(1))
}

/// When and how much is watered.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Schedule {
    /// Never.
    None,
    /// The same net depth every so many days (1 at least), beginning on the first day; scaled by each month's percent.
    Every {
        /// Days from one watering to the next.
        days: u32,
        /// Net depth at 100 percent.
        net: Depth,
        /// Percent of each month, January first.
        percent: [u16; 12],
    },
}

/// The 365 days of a common year from monthly figures: need per day, and each month's rain that counts, spread evenly
/// over its days (kinder than storms: real drainage and stress are both greater).
pub fn year_of_months(
    need: &[DailyNeed; 12],
    rain: &[Depth; 12],
    schedule: Schedule,
) -> Vec<DayIn> {
    let mut days = Vec::with_capacity(365);
    for month in 0..12 {
        for _ in 0..DAYS[month] {
            let number = days.len() as u32;
            days.push(DayIn {
                rain: Depth::mm(rain[month].to_mm() / f64::from(DAYS[month])),
                irrigation: watered(schedule, number, month),
                need: need[month],
            });
        }
    }
    days
}

fn watered(schedule: Schedule, number: u32, month: usize) -> Depth {
    match schedule {
        Schedule::Every { days, net, percent } if number.is_multiple_of(days.max(1)) => {
            let mm = net.to_mm() * f64::from(percent[month]) / 100.0;
            Depth::mm(mm.min(Depth::MOST))
        }
        _ => Depth::mm(0.0),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn store() -> Store {
        Store {
            holds: Depth::mm(40.0),
            allowed: Share::of_one(0.5),
        }
    }

    fn dry(need: f64) -> DayIn {
        let need = DailyNeed::mm_per_day(need);
        DayIn {
            rain: Depth::mm(0.0),
            irrigation: Depth::mm(0.0),
            need,
        }
    }

    /// 40 mm, half allowed, 5 mm a day: four full days, then 5 x (40 - 20)/20 = 5, then 5 x 15/20 = 3.75.
    #[test]
    fn plants_close_their_leaves_past_the_allowed_depletion() {
        let found = run(store(), Depth::mm(0.0), &[dry(5.0); 6]);
        let taken: Vec<f64> = found.days.iter().map(|day| day.taken_mm).collect();
        assert_eq!(taken, [5.0, 5.0, 5.0, 5.0, 5.0, 3.75]);
        assert_eq!(found.stress_days, 1);
    }

    #[test]
    fn what_does_not_fit_drains() {
        let wet = DayIn {
            rain: Depth::mm(30.0),
            ..dry(2.0)
        };
        let found = run(store(), Depth::mm(10.0), &[wet]);
        assert_eq!((found.drained_mm, found.days[0].deficit_mm), (20.0, 2.0));
    }

    #[test]
    fn an_empty_store_gives_nothing() {
        let empty = Store {
            holds: Depth::mm(0.0),
            allowed: Share::of_one(1.0),
        };
        let found = run(empty, Depth::mm(5.0), &[dry(5.0)]);
        assert_eq!(
            (found.taken_mm, found.missed_mm, found.stress_days),
            (0.0, 5.0, 1)
        );
    }

    #[test]
    fn the_interval_is_a_whole_day_at_least() {
        let days = |need| longest_interval_days(store(), DailyNeed::mm_per_day(need));
        assert_eq!(days(5.0), Some(4));
        assert_eq!(days(5.1), Some(3));
        assert_eq!(days(60.0), Some(1));
        assert_eq!(days(0.0), None);
    }

    #[test]
    fn a_year_has_its_days() {
        let need = [DailyNeed::mm_per_day(3.0); 12];
        let rain = [Depth::mm(31.0); 12];
        let net = Depth::mm(10.0);
        let schedule = Schedule::Every {
            days: 3,
            net,
            percent: [50; 12],
        };
        let days = year_of_months(&need, &rain, schedule);
        assert_eq!(days.len(), 365);
        let watered: f64 = days.iter().map(|day| day.irrigation.to_mm()).sum();
        assert_eq!(watered, 122.0 * 5.0);
        assert!((days.iter().map(|day| day.rain.to_mm()).sum::<f64>() - 372.0).abs() < 1e-9);
    }
}
