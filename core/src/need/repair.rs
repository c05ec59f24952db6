//! What a more even station is worth.

use crate::invalid::{Invalid, Problem};
use crate::quantity::Share;
use crate::rate::uniformity::{CatchCans, run_time_multiplier};

/// Price of water in the currency's smallest unit (cents, pence) for a thousand cubic metres, so that prices with
/// three decimals are whole: 2.357 a cubic metre is 235,700.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Price(u32);

impl Price {
    /// Largest price: 40,000 of the main unit a cubic metre.
    pub const MOST: u32 = u32::MAX;

    /// A price per thousand cubic metres.
    pub const fn minor_per_thousand_m3(minor: u32) -> Self {
        Self(minor)
    }
}

/// An amount of money in the currency's smallest unit. Whole numbers only: nothing is lost or made by rounding.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Money(pub u64);

/// What so many whole litres cost, to the nearest smallest unit (a half is rounded up).
pub fn cost(litres: u64, price: Price) -> Money {
    // A thousand cubic metres are a million litres.
    let exact = u128::from(litres) * u128::from(price.0);
    let rounded = (exact + 500_000) / 1_000_000;
    Money(u64::try_from(rounded).unwrap_or(u64::MAX))
}

/// A year's saving.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Saving {
    /// Whole litres a year.
    pub litres: u64,
    /// Money a year.
    pub money: Money,
}

/// What better uniformity saves in a year: the same plants are kept green with less on top.
///
/// ```text
/// saved = net need x [1/(0.4 + 0.6 DU now) - 1/(0.4 + 0.6 DU then)]
/// ```
///
/// `net_litres` is what the plants take from irrigation in a year.
///
/// # Errors
/// Uniformity after the repair below that before.
///
/// # Source
/// The run-time multiplier's: [`crate::rate::uniformity::MULTIPLIER`].
pub fn saving(
    net_litres: u64,
    now: Share,
    then: Share,
    price: Price,
) -> Result<Saving, Vec<Invalid>> {
    if then < now {
        let problem = Problem::OutOfRange {
            least: now.to_of_one(),
            most: 1.0,
        };
        return Err(vec![Invalid::new("uniformity_after", problem)]);
    }
    let less = run_time_multiplier(now) - run_time_multiplier(then);
    let litres = (net_litres as f64 * less).round() as u64;
    Ok(Saving {
        litres,
        money: cost(litres, price),
    })
}

/// Whole months until a repair has paid for itself, rounded up; `None` where it never does.
pub fn months_to_pay(repair: Money, a_year: Money) -> Option<u32> {
    if a_year.0 == 0 {
        return None;
    }
    let months = (u128::from(repair.0) * 12).div_ceil(u128::from(a_year.0));
    u32::try_from(months).ok()
}

/// A catch-can test as it is, and as it might be once the heads behind the cans that stand out are repaired: those
/// cans then catch as much as the middle one of the others. Our judgement, on the hopeful side; test again afterwards.
///
/// # Errors
/// Those of [`CatchCans::of`].
pub fn if_repaired(catches_mm: &[f64]) -> Result<(CatchCans, CatchCans), Vec<Invalid>> {
    let now = CatchCans::of(catches_mm)?;
    let low = |place: usize| now.standing_out.contains(&place);
    let places = || catches_mm.iter().enumerate();
    let others = places().filter(|(place, _)| !low(*place));
    let mut others: Vec<f64> = others.map(|(_, catch)| *catch).collect();
    others.sort_by(f64::total_cmp);
    // Not all can lie below half of the mean, so there are others.
    let middle = others.get(others.len() / 2).copied().unwrap_or(now.mean_mm);
    let raised = places().map(|(place, catch)| if low(place) { middle } else { *catch });
    let raised: Vec<f64> = raised.collect();
    let then = CatchCans::of(&raised)?;
    Ok((now, then))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 1234.567 m3 at 2.357 are 2909.874419: 290,987 of the smallest unit.
    #[test]
    fn money_is_whole() {
        assert_eq!(
            cost(1_234_567, Price::minor_per_thousand_m3(235_700)),
            Money(290_987)
        );
        assert_eq!(cost(1, Price::minor_per_thousand_m3(500_000)), Money(1));
        assert_eq!(cost(1, Price::minor_per_thousand_m3(499_999)), Money(0));
        assert_eq!(
            cost(u64::MAX, Price::minor_per_thousand_m3(u32::MAX)),
            Money(u64::MAX)
        );
    }

    #[test]
    fn a_repair_pays_in_whole_months() {
        assert_eq!(months_to_pay(Money(100), Money(1200)), Some(1));
        assert_eq!(months_to_pay(Money(101), Money(1200)), Some(2));
        assert_eq!(months_to_pay(Money(101), Money(0)), None);
        assert_eq!(months_to_pay(Money(0), Money(5)), Some(0));
    }

    /// Multipliers by hand: DU 0.5 gives 1/0.7, DU 0.75 gives 1/0.85: 1,000,000 L save 252,101.
    #[test]
    fn evenness_saves_water() {
        let price = Price::minor_per_thousand_m3(200_000);
        let (now, then) = (Share::of_one(0.5), Share::of_one(0.75));
        let found = saving(1_000_000, now, then, price).unwrap();
        assert_eq!(
            found,
            Saving {
                litres: 252_101,
                money: Money(50_420)
            }
        );
        assert!(saving(1_000_000, then, now, price).is_err());
    }

    /// By hand: 7 cans of 20 and one of 4 mm: the lowest two average 12 of 18 mm; raised to 20, all are even.
    #[test]
    fn a_dry_can_is_raised_to_the_others() {
        let mut catches = vec![20.0; 7];
        catches.push(4.0);
        let (now, then) = if_repaired(&catches).unwrap();
        assert!((now.low_quarter_uniformity.to_of_one() - 12.0 / 18.0).abs() < 1e-12);
        assert_eq!(then.low_quarter_uniformity.to_of_one(), 1.0);
        let (now, then) = if_repaired(&[20.0; 4]).unwrap();
        assert_eq!(now, then);
        assert!(if_repaired(&[1.0]).is_err());
    }
}
