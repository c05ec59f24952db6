//! What a water bill asks for a month's litres: one price, or prices that rise by steps.

use super::{Money, WaterPrice};
use crate::invalid::{Invalid, Problem};

/// A step of the bill.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Tier {
    /// Litres a month up to which the price holds; none for the last.
    pub until_litres: Option<u64>,
    /// Price of what lies in this step.
    pub price: WaterPrice,
}

/// Prices by the month's use. Fixed charges are not part of it: water that is not used saves none of them.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Tariff(Vec<Tier>);

impl Tariff {
    /// One price for every litre.
    pub fn flat(price: WaterPrice) -> Self {
        Self(vec![Tier {
            until_litres: None,
            price,
        }])
    }

    /// Steps, the lowest first; the last one has no end.
    ///
    /// # Errors
    /// No step, ends that do not rise, a last step with an end or another without.
    pub fn try_tiers(tiers: Vec<Tier>) -> Result<Self, Invalid> {
        let fault = |sentence| Invalid::new("until_litres", Problem::Other(sentence));
        let Some((last, others)) = tiers.split_last() else {
            return Err(Invalid::new("tiers", Problem::Missing));
        };
        if last.until_litres.is_some() {
            return Err(fault("must be left out in the last step"));
        }
        let mut before = 0;
        for tier in others {
            match tier.until_litres {
                Some(until) if until > before => before = until,
                _ => return Err(fault("must be more than that of the step before")),
            }
        }
        Ok(Self(tiers))
    }

    /// What a month's litres cost, exactly.
    ///
    /// # Errors
    /// More money than can be counted.
    pub fn cost(&self, litres: u64) -> Result<Money, Problem> {
        let mut sum = 0_i64;
        let mut from = 0;
        for tier in &self.0 {
            let until = tier.until_litres.unwrap_or(u64::MAX).min(litres);
            let within = i64::try_from(until.saturating_sub(from)).unwrap_or(i64::MAX);
            let more = tier.price.cost(within)?;
            sum = sum.checked_add(more.0).ok_or(super::TOO_MUCH)?;
            from = from.max(until);
        }
        Ok(Money(sum))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tier(until_litres: Option<u64>, thousandths: u32) -> Tier {
        let price = WaterPrice::try_thousandths_per_m3(thousandths).unwrap();
        Tier {
            until_litres,
            price,
        }
    }

    /// By hand: 10 m3 at 1.500, 15 m3 at 2.250, 5 m3 at 4.000 are 15 + 33.75 + 20.
    #[test]
    fn each_litre_costs_what_its_step_asks() {
        let steps = vec![
            tier(Some(10_000), 1_500),
            tier(Some(25_000), 2_250),
            tier(None, 4_000),
        ];
        let tariff = Tariff::try_tiers(steps).unwrap();
        let cost = |litres| tariff.cost(litres).unwrap().to_hundredths();
        assert_eq!(cost(30_000), 6_875);
        assert_eq!(
            [cost(0), cost(10_000), cost(10_001), cost(25_000)],
            [0, 1_500, 1_500, 4_875]
        );
        assert!(tariff.cost(u64::MAX).is_err());
        let flat = Tariff::flat(WaterPrice::try_thousandths_per_m3(2_000).unwrap());
        assert_eq!(flat.cost(1_500).unwrap().to_hundredths(), 300);
    }

    #[test]
    fn steps_must_rise() {
        for steps in [
            vec![],
            vec![tier(Some(1), 1)],
            vec![tier(None, 1), tier(None, 2)],
            vec![tier(Some(5), 1), tier(Some(5), 2), tier(None, 3)],
            vec![tier(Some(0), 1), tier(None, 3)],
        ] {
            assert!(Tariff::try_tiers(steps.clone()).is_err(), "{steps:?}");
        }
    }
}
