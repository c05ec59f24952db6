//! What a water bill asks for a month's litres: one price, or prices that rise by steps.

use super::{Money, WaterPrice};
use crate::invalid::{Invalid, Problem};
use crate::reference::{Source, Standing};

/// Where the sizes of the billing units come from.
pub const BILL_UNITS: Source = Source {
    work: "NIST Special Publication 811, Guide for the Use of the International System of Units, 2008",
    place: "appendix B.8: a foot is 0.3048 m, a US gallon 231 cubic inches of 25.4 mm",
    standing: Standing::FromMemory,
    note: "both exact by definition, and so are their multiples here",
};

/// What a bill counts in.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum BillUnit {
    /// A cubic metre.
    #[default]
    CubicMetre,
    /// A hundred cubic feet.
    HundredCubicFeet,
    /// A thousand US gallons.
    ThousandGallons,
}

impl BillUnit {
    /// As the JSON door spells them.
    pub const WORDS: [&'static str; 3] = ["m3", "ccf", "kgal"];
    /// In the order of [`BillUnit::WORDS`].
    pub const ALL: [Self; 3] = [
        Self::CubicMetre,
        Self::HundredCubicFeet,
        Self::ThousandGallons,
    ];

    /// Ten millionths of a litre in one, exactly. Source: [`BILL_UNITS`].
    const fn grains(self) -> u64 {
        match self {
            Self::CubicMetre => 10_000_000_000,
            Self::HundredCubicFeet => 28_316_846_592,
            Self::ThousandGallons => 37_854_117_840,
        }
    }

    /// Whole litres in so many thousandths of a unit, rounded down; the most that can be said beyond that.
    pub fn litres(self, thousandths: u64) -> u64 {
        let litres = u128::from(thousandths) * u128::from(self.grains()) / PER_LITRE;
        u64::try_from(litres).unwrap_or(u64::MAX)
    }
}

/// Thousandths of ten millionths of a litre in a litre: what [`Tariff::cost`] counts in.
const PER_LITRE: u128 = 10_000_000_000;

/// Decimals of a price and of the end of a step.
pub const PLACES: usize = 3;

/// A step of the bill.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Tier {
    /// Thousandths of a billing unit a month up to which the price holds; none for the last.
    pub until_thousandths: Option<u64>,
    /// Price of a billing unit in this step, thousandths of the currency's unit; counts as
    /// [`WaterPrice::MOST_THOUSANDTHS`] above that.
    pub price_thousandths: u32,
}

/// Prices by the month's use. Fixed charges are not part of it: water that is not used saves none of them.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Tariff {
    unit: BillUnit,
    tiers: Vec<Tier>,
}

impl Tariff {
    /// One price for every litre.
    pub fn flat(price: WaterPrice) -> Self {
        let tier = Tier {
            until_thousandths: None,
            price_thousandths: price.0,
        };
        Self {
            unit: BillUnit::CubicMetre,
            tiers: vec![tier],
        }
    }

    /// Steps, the lowest first; the last one has no end.
    ///
    /// # Errors
    /// No step, ends that do not rise, a last step with an end or another without.
    pub fn try_tiers(unit: BillUnit, tiers: Vec<Tier>) -> Result<Self, Invalid> {
        let fault = |problem| Err(Invalid::new("tiers", problem));
        let Some((last, others)) = tiers.split_last() else {
            return fault(Problem::Missing);
        };
        let mut before = 0;
        let mut rises = |tier: &Tier| {
            let until = tier.until_thousandths.unwrap_or(0);
            let rises = until > before;
            before = until;
            rises
        };
        if last.until_thousandths.is_some() || !others.iter().all(&mut rises) {
            return fault(Problem::Other(
                "must each end above the step before; only the last has no end",
            ));
        }
        Ok(Self { unit, tiers })
    }

    /// What a month's litres cost, to the nearest millionth of the currency's unit.
    ///
    /// # Errors
    /// More money than can be counted.
    pub fn cost(&self, litres: u64) -> Result<Money, Problem> {
        // Nothing runs over: 2^64 litres at the highest price are 1.9 x 10^38, and 2^128 is 3.4 x 10^38.
        let grains = u128::from(self.unit.grains());
        let all = u128::from(litres) * PER_LITRE;
        let (mut sum, mut from) = (0, 0);
        for tier in &self.tiers {
            let end = tier
                .until_thousandths
                .map(|until| u128::from(until) * grains);
            let until = end.unwrap_or(all).min(all);
            let price = tier.price_thousandths.min(WaterPrice::MOST_THOUSANDTHS);
            sum += until.saturating_sub(from) * u128::from(price);
            from = until.max(from);
        }
        let millionths = (sum + grains / 2) / grains;
        i64::try_from(millionths)
            .map(Money)
            .map_err(|_| super::TOO_MUCH)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tier(until_thousandths: Option<u64>, price_thousandths: u32) -> Tier {
        Tier {
            until_thousandths,
            price_thousandths,
        }
    }

    fn tariff(unit: BillUnit, tiers: &[Tier]) -> Tariff {
        Tariff::try_tiers(unit, tiers.to_vec()).unwrap()
    }

    /// By hand: 10 m3 at 1.500, 15 m3 at 2.250, 5 m3 at 4.000 are 15 + 33.75 + 20.
    #[test]
    fn each_litre_costs_what_its_step_asks() {
        let steps = [
            tier(Some(10_000), 1_500),
            tier(Some(25_000), 2_250),
            tier(None, 4_000),
        ];
        let tariff = tariff(BillUnit::CubicMetre, &steps);
        let cost = |litres| tariff.cost(litres).unwrap().to_hundredths();
        assert_eq!(cost(30_000), 6_875);
        assert_eq!(
            [cost(0), cost(10_000), cost(10_001), cost(25_000)],
            [0, 1_500, 1_500, 4_875]
        );
        assert!(tariff.cost(u64::MAX).is_err());
        let flat = Tariff::flat(WaterPrice::try_thousandths_per_m3(2_000).unwrap());
        assert_eq!(flat.cost(1_500).unwrap().to_millionths(), 3_000_000);
    }

    /// By hand: 283,168 L are 99.99984 CCF, at 4.10 each 409.99933; 378,541 L are 99.99989 kgal, 40 at 3.00 and
    /// 59.99989 at 5.00 are 419.99945.
    #[test]
    fn units_of_the_bill_lose_nothing() {
        let ccf = tariff(BillUnit::HundredCubicFeet, &[tier(None, 4_100)]);
        assert_eq!(ccf.cost(283_168).unwrap().to_hundredths(), 41_000);
        assert_eq!(
            ccf.cost(2_831_684_659).unwrap().to_hundredths(),
            410_000_000
        );
        let steps = [tier(Some(40_000), 3_000), tier(None, 5_000)];
        let kgal = tariff(BillUnit::ThousandGallons, &steps);
        assert_eq!(kgal.cost(378_541).unwrap().to_hundredths(), 42_000);
        assert_eq!(BillUnit::ThousandGallons.litres(1_000), 3_785);
        assert_eq!(BillUnit::HundredCubicFeet.litres(100_000), 283_168);
        assert_eq!(BillUnit::CubicMetre.litres(u64::MAX), u64::MAX);
    }

    #[test]
    fn the_highest_of_all_is_still_counted() {
        let most = WaterPrice::MOST_THOUSANDTHS;
        let flat = Tariff::flat(WaterPrice::try_thousandths_per_m3(most).unwrap());
        assert!(flat.cost(9_223_372_036).is_ok());
        assert!(flat.cost(9_223_372_037).is_err());
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
            let found = Tariff::try_tiers(BillUnit::CubicMetre, steps.clone());
            assert!(found.is_err(), "{steps:?}");
        }
    }
}
