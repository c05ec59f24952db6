//! Money in whole numbers: nothing is lost to binary fractions, and sums come out as on paper.

pub mod decimal;
mod tariff;

use crate::invalid::Problem;
pub use tariff::{BILL_UNITS, BillUnit, PLACES, Tariff, Tier};

const TOO_MUCH: Problem = Problem::Other("gives more money than can be counted; a lower price");

/// Price of a cubic metre of water, in thousandths of the currency's unit: 2.345 is 2345. Sewer
/// charges that go with the water are part of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct WaterPrice(u32);

impl WaterPrice {
    /// The highest price accepted.
    pub const MOST_THOUSANDTHS: u32 = 1_000_000_000;

    /// From thousandths of the currency's unit a cubic metre.
    ///
    /// # Errors
    /// Above [`WaterPrice::MOST_THOUSANDTHS`].
    pub fn try_thousandths_per_m3(thousandths: u32) -> Result<Self, Problem> {
        if thousandths > Self::MOST_THOUSANDTHS {
            let most = f64::from(Self::MOST_THOUSANDTHS);
            return Err(Problem::OutOfRange { least: 0.0, most });
        }
        Ok(Self(thousandths))
    }

    /// What that many litres cost; a negative number of litres is money back. A litre is a
    /// thousandth of a cubic metre, so the product is millionths of the unit, without rounding.
    ///
    /// # Errors
    /// More money than 9 million million units.
    pub fn cost(self, litres: i64) -> Result<Money, Problem> {
        let millionths = litres.checked_mul(i64::from(self.0));
        millionths.map(Money).ok_or(TOO_MUCH)
    }
}

/// An amount of money, in millionths of the currency's unit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Money(i64);

impl Money {
    /// None at all.
    pub const NONE: Self = Self(0);

    /// From millionths of the unit.
    pub const fn millionths(amount: i64) -> Self {
        Self(amount)
    }

    /// Both together; what cannot be counted any more stays at the most that can.
    #[must_use]
    pub const fn plus(self, other: Self) -> Self {
        Self(self.0.saturating_add(other.0))
    }

    /// This much less.
    #[must_use]
    pub const fn less(self, other: Self) -> Self {
        Self(self.0.saturating_sub(other.0))
    }

    /// Exactly.
    pub const fn to_millionths(self) -> i64 {
        self.0
    }

    /// To the nearest hundredth, a half away from zero, as a bill is printed.
    pub const fn to_hundredths(self) -> i64 {
        let half = if self.0 < 0 { -5_000 } else { 5_000 };
        self.0.saturating_add(half) / 10_000
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: arithmetic by hand.
    #[test]
    fn a_price_times_litres_is_exact() {
        let price = WaterPrice::try_thousandths_per_m3(2_345).unwrap();
        assert_eq!(price.cost(1_000).unwrap().to_millionths(), 2_345_000);
        assert_eq!(price.cost(123_457).unwrap().to_millionths(), 289_506_665);
        assert_eq!(price.cost(123_457).unwrap().to_hundredths(), 28_951);
        assert_eq!(price.cost(-123_457).unwrap().to_hundredths(), -28_951);
    }

    #[test]
    fn a_half_goes_away_from_zero() {
        for (millionths, hundredths) in [(5_000, 1), (4_999, 0), (-5_000, -1), (15_000, 2)] {
            assert_eq!(Money(millionths).to_hundredths(), hundredths);
        }
    }

    #[test]
    fn too_much_money_is_refused() {
        let price = WaterPrice::try_thousandths_per_m3(WaterPrice::MOST_THOUSANDTHS).unwrap();
        assert!(price.cost(9_223_372_036).is_ok());
        assert!(price.cost(9_223_372_037).is_err());
        assert!(WaterPrice::try_thousandths_per_m3(1_000_000_001).is_err());
    }
}
