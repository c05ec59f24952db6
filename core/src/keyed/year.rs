//! A year's water of what is keyed, month by month.

use super::Place;
use super::money::{Money, Tariff};
use crate::calendar::{ClockTime, Date};
use crate::invalid::{Invalid, Problem};
use crate::quantity::Flow;
use crate::replay::{Entered, Request, WaterDays, replay};

/// The adjustment of a month, percent.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Adjustment {
    /// Each program as it is keyed.
    #[default]
    AsKeyed,
    /// Every program at this percentage, 0 to 300; at 0 nothing waters.
    Percent(u32),
}

/// Water of each month, January first, in whole litres.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct WaterYear {
    /// Rounded once, to the nearest litre, half up.
    pub litres: [u64; 12],
}

impl WaterYear {
    /// Of the whole year.
    pub fn total_litres(&self) -> u64 {
        self.litres.iter().sum()
    }

    /// What its twelve bills come to.
    ///
    /// # Errors
    /// More money than can be counted (see [`Tariff::cost`]).
    pub fn cost(&self, tariff: &Tariff) -> Result<Money, Problem> {
        self.litres.iter().try_fold(Money::NONE, |sum, litres| {
            Ok(sum.plus(tariff.cost(*litres)?))
        })
    }
}

/// What a plan saves a year; negative where it takes more.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Difference {
    /// Whole litres.
    pub litres: i64,
    /// What they cost; none without prices.
    pub money: Option<Bills>,
}

/// A year's bills: each month's use at the price of the steps it reaches.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Bills {
    /// Of what is keyed.
    pub now: Money,
    /// Of the plan.
    pub plan: Money,
}

/// The year as keyed less the year of a plan. Every month is a bill of its own, and holds no other
/// water than this: what a house draws by the same meter is not known here.
///
/// # Errors
/// More money than can be counted (see [`Tariff::cost`]).
pub fn difference(
    now: &WaterYear,
    plan: &WaterYear,
    tariff: Option<&Tariff>,
) -> Result<Difference, Problem> {
    let bills = |tariff: &Tariff| {
        Ok(Bills {
            now: now.cost(tariff)?,
            plan: plan.cost(tariff)?,
        })
    };
    Ok(Difference {
        litres: now.total_litres() as i64 - plan.total_litres() as i64,
        money: tariff.map(bills).transpose()?,
    })
}

/// Water days as if they had always been keyed: every so many days, a first day that lies ahead comes by as many
/// whole turns earlier as it takes.
fn since(days: WaterDays, first: Date) -> WaterDays {
    let WaterDays::Every { days: every, from } = days else {
        return days;
    };
    let ahead = from.days_since(first).max(0) as u32;
    let earlier = ahead.div_ceil(every.max(1)) * every.max(1);
    WaterDays::Every {
        days: every,
        from: from.plus_days(-(earlier as i32)),
    }
}

/// Replays each month of the year in which `entered.from` lies, from its first midnight for as
/// many days as it has. Stations whose flow is known neither by itself nor by rate and area count
/// nothing. What fires in a month is that month's.
///
/// # Errors
/// What [`Request::new`] finds wrong with any month; each fault once.
pub fn water_year(
    entered: &Entered,
    places: &[Place],
    months: &[Adjustment; 12],
) -> Result<WaterYear, Vec<Invalid>> {
    let year = entered.from.date().year_month_day().0;
    let flows = flows_l_per_min(entered, places);
    let mut litres = [0; 12];
    let mut first = entered.from.date().first_of_year();
    for (month, adjustment) in months.iter().enumerate() {
        let next = first.plus_days(Date::days_in_month(year, month as u32 + 1) as i32);
        let mut keyed = Entered {
            from: first.at(ClockTime::MIDNIGHT),
            hours: next.days_since(first) as u32 * 24,
            ..entered.clone()
        };
        for program in &mut keyed.programs {
            program.days = since(program.days, first);
        }
        if let Adjustment::Percent(percent) = adjustment {
            for program in &mut keyed.programs {
                program.adjust_percent = *percent;
            }
        }
        let runs = replay(&Request::new(keyed)?).runs;
        let mut seconds = vec![0_u64; flows.len()];
        for run in runs {
            seconds[run.station] += u64::from(run.seconds);
        }
        let each = seconds.iter().zip(&flows);
        let sum: f64 = each
            .map(|(seconds, flow)| *seconds as f64 / 60.0 * flow)
            .sum();
        litres[month] = (sum + 0.5).floor() as u64;
        first = next;
    }
    Ok(WaterYear { litres })
}

/// By station; 0 when it is not known.
fn flows_l_per_min(entered: &Entered, places: &[Place]) -> Vec<f64> {
    let stations = entered.stations.iter().enumerate();
    stations
        .map(|(number, station)| {
            let place = places.get(number);
            let rate = place.and_then(|place| place.rate.zip(place.area));
            let by_rate = rate.map(|(rate, area)| rate.to_mm_per_h() * area.to_m2() / 60.0);
            station
                .flow
                .map(Flow::to_l_per_min)
                .or(by_rate)
                .unwrap_or(0.0)
        })
        .collect()
}
