//! A year in twelve rows: what is wanted, what falls, what to key, what it takes and costs.
//!
//! The rows are made anew for every "what if": a drier year is the same question with other weather.
//! A rough climate's doubt is asked the same way, and stands beside each figure as a band.

use crate::allowance::{Planted, allowed_litres};
use crate::invalid::{Invalid, Problem};
use crate::money::{Money, Tariff};
use crate::need::monthly::{DAYS, need_per_day};
use crate::need::rain::{RainRule, effective};
use crate::quantity::{Area, DailyNeed, Depth, Evapotranspiration, PlantFactor, Share};
use crate::season::{self, PanelStep, Setting};

/// A typical year's weather, January first.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Weather {
    /// Reference evapotranspiration of each month's mean day.
    pub et: [Evapotranspiration; 12],
    /// Rain of each month.
    pub rain: [Depth; 12],
    /// How much of the rain counts.
    pub rule: RainRule,
}

impl Weather {
    /// The same year with more or less of both: 1.2 is a fifth more. Cut to what the quantities take.
    #[must_use]
    pub fn times(&self, et: f64, rain: f64) -> Self {
        let scaled = |value: f64, by: f64, most: f64| {
            let value = value * by;
            // Also where `by` is no number.
            if value > 0.0 { value.min(most) } else { 0.0 }
        };
        let most = Evapotranspiration::MOST;
        Self {
            et: self
                .et
                .map(|day| Evapotranspiration::mm_per_day(scaled(day.to_mm_per_day(), et, most))),
            rain: self
                .rain
                .map(|month| Depth::mm(scaled(month.to_mm(), rain, Depth::MOST))),
            rule: self.rule,
        }
    }
}

/// A station as the year sees it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Station {
    /// What its plants use of the reference, each month.
    pub plant: [PlantFactor; 12],
    /// Ground that it wets, where known; its water is not counted otherwise.
    pub area: Option<Area>,
    /// How much more than the need is run because water falls unevenly, 1 or more.
    pub multiplier: f64,
    /// Its program's number, from 0; its own percentage stands for it where none is known. Its water
    /// follows this program's percentage.
    pub program: usize,
    /// Other programs that water it, a bit each: it has a say in their percentages.
    pub also: u64,
    /// What its run times give at 100 percent, on a mean day and after unevenness; `None` where they are
    /// those of the base month.
    pub keyed: Option<DailyNeed>,
}

impl Station {
    fn is_in(&self, program: usize) -> bool {
        program == self.program || self.also >> program & 1 == 1
    }

    /// One more than the highest program it is in.
    fn programs(&self) -> usize {
        let bits = u64::BITS - self.also.leading_zeros();
        (self.program + 1).max(bits as usize)
    }
}

/// How percentages are chosen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Keying {
    /// Month whose run times are keyed at 100 percent, from 0; `None` takes the thirstiest.
    pub base_month: Option<usize>,
    /// How much less than its need a station may get.
    pub short_most: Share,
    /// Steps of the panel.
    pub step: PanelStep,
}

/// One month.
#[derive(Clone, Debug, PartialEq)]
pub struct Month {
    /// Reference evapotranspiration, mm.
    pub et_mm: f64,
    /// Rain, mm.
    pub rain_mm: f64,
    /// Rain that counts, mm; of the planting that wants most.
    pub counted_rain_mm: f64,
    /// Need from irrigation, mm: mean of the stations, by area where every area is known.
    pub need_mm: f64,
    /// What to key for each program.
    pub programs: Vec<Setting>,
    /// Water that lays down, whole litres; stations without an area are not in it.
    pub litres: u64,
    /// What that costs; none without a tariff.
    pub cost: Option<Money>,
    /// What a rule allows, litres; none without one.
    pub allowed_litres: Option<f64>,
}

/// Twelve months and what was taken for granted.
#[derive(Clone, Debug, PartialEq)]
pub struct Year {
    /// January first.
    pub months: Vec<Month>,
    /// The month at 100 percent, from 0.
    pub base_month: usize,
    /// Stations whose water is not counted because their area is not known.
    pub without_area: usize,
}

impl Year {
    /// Water of all months, whole litres.
    pub fn litres(&self) -> u64 {
        self.months.iter().map(|month| month.litres).sum()
    }

    /// Money of all months; none without a tariff.
    pub fn cost(&self) -> Option<Money> {
        let mut months = self.months.iter();
        months.try_fold(Money::NONE, |sum, month| Some(sum.plus(month.cost?)))
    }
}

/// What is asked of a year beside the weather.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Plan<'a> {
    /// Stations, in any order; programs are counted from 0 to the highest that is named.
    pub stations: &'a [Station],
    /// How percentages are chosen.
    pub keying: Keying,
    /// What water costs.
    pub tariff: Option<&'a Tariff>,
    /// An allowance: its adjustment factor, and the ground it counts.
    pub allowance: Option<(Share, &'a [Planted])>,
}

/// Most programs that a year lists.
pub const PROGRAMS_MOST: usize = u64::BITS as usize;

/// The base month, from 0 (the thirstiest where none is chosen), and what each station wants in it: the
/// run times of programs that are made for it.
pub fn base(
    stations: &[Station],
    base_month: Option<usize>,
    weather: &Weather,
) -> (usize, Vec<DailyNeed>) {
    let needs = needs(stations, weather);
    let month = base_month.unwrap_or_else(|| thirstiest(&needs)) % 12;
    (month, needs.iter().map(|year| year[month]).collect())
}

fn needs(stations: &[Station], weather: &Weather) -> Vec<[DailyNeed; 12]> {
    stations
        .iter()
        .map(|station| need_per_day(&weather.et, &station.plant, &weather.rain, weather.rule))
        .collect()
}

/// The year's rows under some weather. The base month and the percentages follow that weather, but for
/// stations whose run times are known ([`Station::keyed`]).
///
/// # Errors
/// No station, a program beyond [`PROGRAMS_MOST`], a multiplier below 1 or above 10, a base month in
/// which a station wants nothing that wants water in another (see [`season::check_base`]), more money
/// than can be counted.
pub fn year(plan: &Plan, weather: &Weather) -> Result<Year, Vec<Invalid>> {
    check(plan)?;
    let needs = needs(plan.stations, weather);
    let base_month = plan.keying.base_month.unwrap_or_else(|| thirstiest(&needs));
    let unkeyed = plan.stations.iter().zip(&needs);
    let unkeyed: Vec<[DailyNeed; 12]> = unkeyed
        .filter(|(station, _)| station.keyed.is_none())
        .map(|(_, need)| *need)
        .collect();
    season::check_base(&unkeyed, base_month)?;
    let base: Vec<DailyNeed> = plan
        .stations
        .iter()
        .zip(&needs)
        .map(|(station, need)| station.keyed.unwrap_or(need[base_month]))
        .collect();
    let count = plan.stations.iter().map(Station::programs).max();
    let mut programs = Vec::new();
    for program in 0..count.unwrap_or(0) {
        let mut base_of = Vec::new();
        let mut needs_of = Vec::new();
        for (place, station) in plan.stations.iter().enumerate() {
            if station.is_in(program) {
                base_of.push(base[place]);
                needs_of.push(needs[place]);
            }
        }
        let keying = &plan.keying;
        programs.push(season::months_of(
            &base_of,
            &needs_of,
            keying.short_most,
            keying.step,
        ));
    }
    let mut months = Vec::with_capacity(12);
    for month in 0..12 {
        let settings = programs.iter().map(|year| year[month].clone());
        let settings = settings.collect();
        months.push(row(plan, weather, &needs, &base, month, settings)?);
    }
    Ok(Year {
        months,
        base_month,
        without_area: plan.stations.iter().filter(|s| s.area.is_none()).count(),
    })
}

fn check(plan: &Plan) -> Result<(), Vec<Invalid>> {
    let mut faults = Vec::new();
    let range = |least, most| Problem::OutOfRange { least, most };
    if plan.stations.is_empty() {
        faults.push(Invalid::new("stations", Problem::Missing));
    }
    for (place, station) in plan.stations.iter().enumerate() {
        if !(1.0..=10.0).contains(&station.multiplier) {
            let field = format!("stations[{place}].multiplier");
            faults.push(Invalid::new(field, range(1.0, 10.0)));
        }
        if station.program >= PROGRAMS_MOST {
            let field = format!("stations[{place}].program");
            let most = (PROGRAMS_MOST - 1) as f64;
            faults.push(Invalid::new(field, range(0.0, most)));
        }
    }
    if faults.is_empty() {
        Ok(())
    } else {
        Err(faults)
    }
}

/// The month with the greatest need of all stations together; the first of equal ones.
fn thirstiest(needs: &[[DailyNeed; 12]]) -> usize {
    let mut best = (0, 0.0);
    for month in 0..12 {
        let sum = needs.iter().map(|year| year[month].to_mm_per_day()).sum();
        if sum > best.1 {
            best = (month, sum);
        }
    }
    best.0
}

fn row(
    plan: &Plan,
    weather: &Weather,
    needs: &[[DailyNeed; 12]],
    base: &[DailyNeed],
    month: usize,
    programs: Vec<Setting>,
) -> Result<Month, Vec<Invalid>> {
    let days = f64::from(DAYS[month]);
    let et_mm = weather.et[month].to_mm_per_day() * days;
    let by_area = plan.stations.iter().all(|station| station.area.is_some());
    let (mut weighted, mut weights, mut litres, mut counted) = (0.0, 0.0, 0.0, 0.0);
    for ((station, need), base) in plan.stations.iter().zip(needs).zip(base) {
        let area_m2 = station.area.map_or(0.0, Area::to_m2);
        let weight = if by_area { area_m2 } else { 1.0 };
        weighted += weight * need[month].to_mm_per_day() * days;
        weights += weight;
        let percent = f64::from(programs[station.program].percent);
        let laid_mm = base.to_mm_per_day() * percent / 100.0 * station.multiplier;
        litres += laid_mm * days * area_m2;
        let wanted = (et_mm * station.plant[month].to_of_reference()).min(Depth::MOST);
        let rain = effective(weather.rule, weather.rain[month], Depth::mm(wanted));
        counted = rain.to_mm().max(counted);
    }
    let litres = (litres + 0.5).floor() as u64;
    let cost = plan.tariff.map(|tariff| tariff.cost(litres)).transpose();
    Ok(Month {
        et_mm,
        rain_mm: weather.rain[month].to_mm(),
        counted_rain_mm: counted,
        need_mm: weighted / weights,
        programs,
        litres,
        cost: cost.map_err(|problem| vec![Invalid::new("tariff", problem)])?,
        allowed_litres: plan
            .allowance
            .map(|(factor, planted)| allowed_litres(Depth::mm(et_mm), factor, planted)),
    })
}
