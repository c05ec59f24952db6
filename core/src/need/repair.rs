//! What a more even station is worth.

use crate::invalid::{Invalid, Problem};
use crate::money::{Money, WaterPrice};
use crate::quantity::{Share, Volume};
use crate::rate::uniformity::{CatchCans, run_time_multiplier};

/// A year's saving.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Saving {
    /// Whole litres a year.
    pub litres: i64,
    /// Money a year, exactly.
    pub money: Money,
}

/// What better uniformity saves in a year: the same plants are kept green with less on top.
///
/// ```text
/// saved = net need x [1/(0.4 + 0.6 DU now) - 1/(0.4 + 0.6 DU then)]
/// ```
///
/// `net` is what the plants take from irrigation in a year. Litres are rounded to whole ones, money is then exact.
///
/// # Errors
/// Uniformity after the repair below that before; more money than can be counted.
///
/// # Source
/// The run-time multiplier's: [`crate::rate::uniformity::MULTIPLIER`].
pub fn saving(
    net: Volume,
    now: Share,
    then: Share,
    price: WaterPrice,
) -> Result<Saving, Vec<Invalid>> {
    if then < now {
        let problem = Problem::OutOfRange {
            least: now.to_of_one(),
            most: 1.0,
        };
        return Err(vec![Invalid::new("uniformity_after", problem)]);
    }
    let less = run_time_multiplier(now) - run_time_multiplier(then);
    let litres = (net.to_l() * less).round() as i64;
    let money = price
        .cost(litres)
        .map_err(|problem| vec![Invalid::new("price_thousandths_per_m3", problem)])?;
    Ok(Saving { litres, money })
}

/// Whole months until a repair of so many hundredths of the currency's unit has paid for itself, rounded up; `None`
/// where it never does.
pub fn months_to_pay(repair_hundredths: u32, a_year: Money) -> Option<u32> {
    let saved = u64::try_from(a_year.to_millionths())
        .ok()
        .filter(|saved| *saved > 0)?;
    // A hundredth is ten thousand millionths.
    let months = (u64::from(repair_hundredths) * 10_000 * 12).div_ceil(saved);
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

    fn price(thousandths: u32) -> WaterPrice {
        WaterPrice::try_thousandths_per_m3(thousandths).unwrap()
    }

    /// 1000 L at 1.200 are 1.20 a year: 0.10 a month.
    #[test]
    fn a_repair_pays_in_whole_months() {
        let a_year = price(1_200).cost(1_000).unwrap();
        assert_eq!(months_to_pay(10, a_year), Some(1));
        assert_eq!(months_to_pay(11, a_year), Some(2));
        assert_eq!(months_to_pay(0, a_year), Some(0));
        assert_eq!(months_to_pay(10, price(1_200).cost(0).unwrap()), None);
        assert_eq!(months_to_pay(u32::MAX, price(1).cost(1).unwrap()), None);
    }

    /// Multipliers by hand: DU 0.5 gives 1/0.7, DU 0.75 gives 1/0.85: 1,000,000 L save 252,101, at 2.000 a cubic metre
    /// 504.202.
    #[test]
    fn evenness_saves_water() {
        let net = Volume::l(1_000_000.0);
        let (now, then) = (Share::of_one(0.5), Share::of_one(0.75));
        let found = saving(net, now, then, price(2_000)).unwrap();
        assert_eq!(
            (found.litres, found.money.to_millionths()),
            (252_101, 504_202_000)
        );
        assert!(saving(net, then, now, price(2_000)).is_err());
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
