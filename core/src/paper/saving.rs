//! What a plan saves in a year against what is used now.
//!
//! What is used now is known as one figure: litres of a year, or litres of a week that was looked at.
//! A year's litres are spread over the months as the plan's are. A week's are taken for every month in
//! proportion to that month's need: who waters too much in July is expected to water too much by the
//! same share in May. Where a month needs more than the one compared, the plan follows it and what is
//! keyed now stays as it is: a wet week of November says little about July. All of this is our own
//! choice; the bill of every month would be better.

use crate::invalid::Problem;
use crate::money::{Money, Tariff};
use crate::need::monthly::DAYS;
use crate::paper::year::Year;
use crate::reference::{Source, Standing};

/// How a week becomes a year.
pub const SPREAD: Source = Source {
    work: "no publication",
    place: "each month in proportion to its need from irrigation",
    standing: Standing::Judgement,
    note: "present programs are expected to be turned down with the season as the plan is, and never \
           up; where nobody adjusts them, more is saved",
};

/// A week of what is keyed now beside the same week of the plan.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Compared {
    /// The month for which it was compared, from 0.
    pub month: usize,
    /// Litres a week now.
    pub now_litres: f64,
    /// Litres a week as planned.
    pub plan_litres: f64,
}

/// A year's saving; negative where the plan takes more.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Saving {
    /// Whole litres.
    pub litres: i64,
    /// Money, exactly; none without prices.
    pub money: Option<Money>,
    /// So many weeks like the one compared are in the year: of what is keyed now, and of the plan;
    /// none where a year was given.
    pub weeks: Option<[f64; 2]>,
}

/// How many weeks like that of a month (from 0) each month counts as, by its need; `None` where that
/// month needs nothing.
pub fn weeks_like(year: &Year, month: usize) -> Option<[f64; 12]> {
    let of = year.months.get(month)?.need_mm;
    if of <= 0.0 {
        return None;
    }
    let weeks = f64::from(*DAYS.get(month)?) / 7.0;
    let mut counts = [0.0; 12];
    for (count, month) in counts.iter_mut().zip(&year.months) {
        *count = weeks * month.need_mm / of;
    }
    Some(counts)
}

/// The saving against a compared week. `None` where its month needs nothing.
///
/// # Errors
/// More money than can be counted.
pub fn against_week(
    year: &Year,
    compared: &Compared,
    tariff: Option<&Tariff>,
) -> Result<Option<Saving>, Problem> {
    let Some(plan) = weeks_like(year, compared.month) else {
        return Ok(None);
    };
    let most = DAYS.map(|days| f64::from(days) / 7.0);
    let now: [f64; 12] = core::array::from_fn(|month| plan[month].min(most[month]));
    let of = |weeks: &[f64; 12], litres: f64| weeks.map(|count| whole(litres * count));
    let mut saving = less(
        &of(&now, compared.now_litres),
        &of(&plan, compared.plan_litres),
        tariff,
    )?;
    saving.weeks = Some([now.iter().sum(), plan.iter().sum()]);
    Ok(Some(saving))
}

/// The saving against a year's litres. `None` where no water of the plan is counted.
///
/// # Errors
/// More money than can be counted.
pub fn against_year(
    year: &Year,
    now_litres: u64,
    tariff: Option<&Tariff>,
) -> Result<Option<Saving>, Problem> {
    let all = year.litres();
    if all == 0 || year.months.len() != 12 {
        return Ok(None);
    }
    let plan = core::array::from_fn(|month| year.months[month].litres);
    let now = plan.map(|litres: u64| whole(now_litres as f64 * (litres as f64 / all as f64)));
    let mut saving = less(&now, &plan, tariff)?;
    // As given, without the rounding of the months.
    let given = i64::try_from(now_litres).unwrap_or(i64::MAX);
    saving.litres = given.saturating_sub(i64::try_from(all).unwrap_or(i64::MAX));
    Ok(Some(saving))
}

/// To the nearest whole litre.
fn whole(litres: f64) -> u64 {
    (litres + 0.5).floor() as u64
}

/// Month by month: what is used now less what the plan uses, each at its own step of the price.
fn less(now: &[u64; 12], plan: &[u64; 12], tariff: Option<&Tariff>) -> Result<Saving, Problem> {
    let sum = |months: &[u64; 12]| {
        months
            .iter()
            .fold(0_u64, |sum, one| sum.saturating_add(*one))
    };
    let signed = |litres: u64| i64::try_from(litres).unwrap_or(i64::MAX);
    let mut money = tariff.map(|_| Money::NONE);
    if let (Some(tariff), Some(sum)) = (tariff, &mut money) {
        for (now, plan) in now.iter().zip(plan) {
            *sum = sum.plus(tariff.cost(*now)?.less(tariff.cost(*plan)?));
        }
    }
    Ok(Saving {
        litres: signed(sum(now)).saturating_sub(signed(sum(plan))),
        money,
        weeks: None,
    })
}
