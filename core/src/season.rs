//! One percentage for every month or week, by which a program's run times are scaled.
//!
//! The need per DAY is compared with that of the base month, for which the run times were made: by the month's total,
//! February would read a tenth too low. All stations of a program share one percentage while their needs may move
//! differently over the year (lawn and shrubs); [`percent`] takes the smallest that leaves none of them short by more
//! than a chosen share, and tells what each gets too much or too little.

use crate::invalid::{Invalid, Problem};
use crate::quantity::{DailyNeed, Share};

/// Steps in which a panel takes percentages.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PanelStep {
    /// Every percent.
    One,
    /// Fives.
    Five,
    /// Tens.
    Ten,
}

impl PanelStep {
    const fn percent(self) -> u16 {
        match self {
            Self::One => 1,
            Self::Five => 5,
            Self::Ten => 10,
        }
    }

    /// The step of so many percent.
    ///
    /// # Errors
    /// Neither 1 nor 5 nor 10.
    pub const fn try_percent(percent: u32) -> Result<Self, Problem> {
        match percent {
            1 => Ok(Self::One),
            5 => Ok(Self::Five),
            10 => Ok(Self::Ten),
            _ => Err(Problem::Other("must be 1, 5 or 10")),
        }
    }
}

/// Largest percentage that is given out. Panels commonly end at 200 or 300. Common practice, no source.
pub const PERCENT_MOST: u16 = 300;

/// What a program is set to for one month or week.
#[derive(Clone, Debug, PartialEq)]
pub struct Setting {
    /// To key in.
    pub percent: u16,
    /// More than [`PERCENT_MOST`] would be needed: somebody stays short.
    pub beyond_panel: bool,
    /// For each station, in the order given.
    pub stations: Vec<StationShare>,
}

/// What one station gets under its program's percentage, on a mean day.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StationShare {
    /// The percentage this station alone would want, unrounded; `None` where it wants water in neither month.
    pub own_percent: Option<f64>,
    /// Wanted, mm.
    pub wanted_mm: f64,
    /// Given less wanted, mm; negative is short.
    pub surplus_mm: f64,
}

/// The smallest percentage, in panel steps, that leaves no station short by more than `short_most` of what it wants.
///
/// `base` and `wanted` run over the program's stations. A station that wants water now but wanted none in the base
/// month cannot be served by any percentage; [`check_base`] refuses that beforehand, here it is left short.
pub fn percent(
    base: &[DailyNeed],
    wanted: &[DailyNeed],
    short_most: Share,
    step: PanelStep,
) -> Setting {
    let own = |base: &DailyNeed, wanted: &DailyNeed| {
        let (base, wanted) = (base.to_mm_per_day(), wanted.to_mm_per_day());
        (base > 0.0).then(|| 100.0 * wanted / base)
    };
    let pairs = || base.iter().zip(wanted);
    let most = pairs()
        .filter_map(|(base, wanted)| own(base, wanted))
        .fold(0.0, f64::max);
    let step = step.percent();
    // A billionth of a percent too much is the arithmetic's, not the plants'.
    let least = most * (1.0 - short_most.to_of_one()) - 1e-9;
    let steps = (least / f64::from(step)).ceil().max(0.0);
    let wished = steps * f64::from(step);
    let beyond_panel = wished > f64::from(PERCENT_MOST);
    let percent = if beyond_panel {
        PERCENT_MOST
    } else {
        wished as u16
    };
    let stations = pairs()
        .map(|(base, wanted)| StationShare {
            own_percent: own(base, wanted),
            wanted_mm: wanted.to_mm_per_day(),
            surplus_mm: base.to_mm_per_day() * f64::from(percent) / 100.0 - wanted.to_mm_per_day(),
        })
        .collect();
    Setting {
        percent,
        beyond_panel,
        stations,
    }
}

/// A year of settings for one program. `needs` is each station's, January first; `base_month` counts from 0.
///
/// # Errors
/// See [`check_base`].
pub fn months(
    needs: &[[DailyNeed; 12]],
    base_month: usize,
    short_most: Share,
    step: PanelStep,
) -> Result<Vec<Setting>, Vec<Invalid>> {
    check_base(needs, base_month)?;
    let base: Vec<DailyNeed> = needs.iter().map(|year| year[base_month % 12]).collect();
    Ok(months_of(&base, needs, short_most, step))
}

/// The same where `base` is what each station gets at 100 percent, whatever it was made for.
pub fn months_of(
    base: &[DailyNeed],
    needs: &[[DailyNeed; 12]],
    short_most: Share,
    step: PanelStep,
) -> Vec<Setting> {
    let of_month = |month: usize| needs.iter().map(|year| year[month]).collect::<Vec<_>>();
    (0..12)
        .map(|month| percent(base, &of_month(month), short_most, step))
        .collect()
}

/// Weeks of a year as counted here: days 1 to 7, 8 to 14, and so on; the 52nd has the days that are left.
pub const WEEKS: usize = 52;

/// A year of settings by the week.
///
/// A week's need is read on the straight line between the middles of its neighbouring months. Our own choice: a
/// month's mean is then kept only roughly (a summer peak is cut by a few percent).
///
/// # Errors
/// See [`check_base`].
pub fn weeks(
    needs: &[[DailyNeed; 12]],
    base_month: usize,
    short_most: Share,
    step: PanelStep,
) -> Result<Vec<Setting>, Vec<Invalid>> {
    check_base(needs, base_month)?;
    let base: Vec<DailyNeed> = needs.iter().map(|year| year[base_month % 12]).collect();
    let of_week = |week: usize| {
        // The fourth day of the week, counted from 0.
        let day = 7.0 * week as f64 + 3.0;
        needs
            .iter()
            .map(|year| on_day(year, day))
            .collect::<Vec<_>>()
    };
    Ok((0..WEEKS)
        .map(|week| percent(&base, &of_week(week), short_most, step))
        .collect())
}

/// Days from 1 January to the middle of each month of a common year.
const MIDDLES: [f64; 12] = [
    15.5, 45.0, 74.5, 105.0, 135.5, 166.0, 196.5, 227.5, 258.0, 288.5, 319.0, 349.5,
];

fn on_day(year: &[DailyNeed; 12], day: f64) -> DailyNeed {
    let next = MIDDLES
        .iter()
        .position(|middle| *middle > day)
        .unwrap_or(12);
    let last = (next + 11) % 12;
    let from = if next == 0 {
        MIDDLES[11] - 365.0
    } else {
        MIDDLES[last]
    };
    let until = if next == 12 {
        MIDDLES[0] + 365.0
    } else {
        MIDDLES[next]
    };
    let share = (day - from) / (until - from);
    let (before, after) = (year[last].to_mm_per_day(), year[next % 12].to_mm_per_day());
    DailyNeed::mm_per_day(before + share * (after - before))
}

/// Faults where a percentage of the base month cannot serve a station.
///
/// # Errors
/// A base month outside 0 to 11; a station that wants water in some month but none in the base month.
pub fn check_base(needs: &[[DailyNeed; 12]], base_month: usize) -> Result<(), Vec<Invalid>> {
    if base_month > 11 {
        let problem = Problem::OutOfRange {
            least: 1.0,
            most: 12.0,
        };
        return Err(vec![Invalid::new("base_month", problem)]);
    }
    let wants = |need: &DailyNeed| need.to_mm_per_day() > 0.0;
    let dry = |year: &[DailyNeed; 12]| !wants(&year[base_month]) && year.iter().any(wants);
    if needs.iter().any(dry) {
        let problem = Problem::Other("must be a month in which every station wants water");
        return Err(vec![Invalid::new("base_month", problem)]);
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn needs(mm: [f64; 12]) -> [DailyNeed; 12] {
        mm.map(DailyNeed::mm_per_day)
    }

    #[test]
    fn the_thirstiest_station_decides_up_to_the_chosen_share() {
        let base = [DailyNeed::mm_per_day(5.0), DailyNeed::mm_per_day(2.0)];
        let wanted = [DailyNeed::mm_per_day(2.5), DailyNeed::mm_per_day(1.2)];
        let none = percent(&base, &wanted, Share::of_one(0.0), PanelStep::One);
        assert_eq!(none.percent, 60);
        assert!((none.stations[0].surplus_mm - 0.5).abs() < 1e-12);
        assert!(none.stations[1].surplus_mm.abs() < 1e-12);
        let tenth = percent(&base, &wanted, Share::of_one(0.1), PanelStep::One);
        assert_eq!(tenth.percent, 54);
        let tens = percent(&base, &wanted, Share::of_one(0.1), PanelStep::Ten);
        assert_eq!(tens.percent, 60);
        let fives = percent(&base, &wanted, Share::of_one(0.1), PanelStep::Five);
        assert_eq!(fives.percent, 55);
    }

    #[test]
    fn a_panel_ends_somewhere() {
        let (base, wanted) = ([DailyNeed::mm_per_day(1.0)], [DailyNeed::mm_per_day(4.0)]);
        let found = percent(&base, &wanted, Share::of_one(0.0), PanelStep::One);
        assert_eq!((found.percent, found.beyond_panel), (300, true));
        assert_eq!(found.stations[0].surplus_mm, -1.0);
    }

    #[test]
    fn a_dry_base_month_is_refused() {
        let mut year = [3.0; 12];
        year[0] = 0.0;
        assert!(check_base(&[needs(year)], 0).is_err());
        assert!(check_base(&[needs(year)], 1).is_ok());
        assert!(check_base(&[needs([0.0; 12])], 0).is_ok());
        assert!(check_base(&[], 12).is_err());
    }

    #[test]
    fn weeks_run_between_the_months() {
        let year = needs([1.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 5.0, 4.0, 3.0, 2.0, 1.0]);
        let found = weeks(&[year], 6, Share::of_one(0.0), PanelStep::One).unwrap();
        assert_eq!(found.len(), WEEKS);
        assert!(found.iter().all(|week| week.percent <= 100));
        let flat = weeks(&[needs([2.0; 12])], 6, Share::of_one(0.0), PanelStep::One).unwrap();
        assert!(flat.iter().all(|week| week.percent == 100));
        assert_eq!(on_day(&year, 15.5).to_mm_per_day(), 1.0);
        assert_eq!(on_day(&year, 196.5).to_mm_per_day(), 6.0);
        assert!((on_day(&year, 0.0).to_mm_per_day() - 1.0).abs() < 1e-12);
    }
}
