//! Water that a law or an agreement allows for a year or a month, against what a planting is expected to take.
//!
//! Two ways of counting stand side by side. The exact one: a millimetre on a square metre is a litre. The letter of a
//! law, which writes 0.62 gallons for an inch on a square foot (0.5 % less) and may round on the way: [`california`].
//! The federal label's peak month: [`peak_month`]. A plain figure from a supplier needs no formula: compare
//! [`estimated_litres`] with it.

pub mod california;
pub mod peak_month;

use crate::quantity::{Area, Depth, Efficiency, PlantFactor, Share};

/// Planted ground that an allowance counts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Planted {
    /// Ordinary planting.
    Ordinary {
        /// Ground.
        area: Area,
        /// What it takes of the reference.
        factor: PlantFactor,
        /// How much of what is applied it gets.
        efficiency: Efficiency,
    },
    /// Special area (food plants, play, recycled water): counts as the full reference, whatever grows there.
    Special {
        /// Ground.
        area: Area,
    },
}

impl Planted {
    fn area_m2(&self) -> f64 {
        match self {
            Self::Ordinary { area, .. } | Self::Special { area } => area.to_m2(),
        }
    }

    /// Square metres that would take the full reference.
    fn weighted_m2(&self) -> f64 {
        match self {
            Self::Ordinary {
                area,
                factor,
                efficiency,
            } => factor.to_of_reference() / efficiency.to_of_one() * area.to_m2(),
            Self::Special { area } => area.to_m2(),
        }
    }
}

/// All planted ground and the special part of it, m2.
fn areas_m2(planted: &[Planted]) -> (f64, f64) {
    let special = planted
        .iter()
        .filter(|one| matches!(one, Planted::Special { .. }));
    (
        total(planted.iter().map(Planted::area_m2)),
        total(special.map(Planted::area_m2)),
    )
}

/// The sum; that of nothing is 0, where the iterator's own is -0.
fn total(list: impl Iterator<Item = f64>) -> f64 {
    list.fold(0.0, |sum, one| sum + one)
}

/// Water allowed over a period, litres: reference depth x [factor x all ground + (1 - factor) x special ground].
///
/// # Source
/// Form of 23 CCR 492.4 (California), counted exactly.
pub fn allowed_litres(reference: Depth, factor: Share, planted: &[Planted]) -> f64 {
    let (all, special) = areas_m2(planted);
    let factor = factor.to_of_one();
    reference.to_mm() * (factor * all + (1.0 - factor) * special)
}

/// Water expected over a period, litres: reference depth x sum of (plant factor / efficiency x ground), special ground
/// counted once.
///
/// # Source
/// Form of 23 CCR 492.4 (California), counted exactly.
pub fn estimated_litres(reference: Depth, planted: &[Planted]) -> f64 {
    reference.to_mm() * total(planted.iter().map(Planted::weighted_m2))
}

/// Whether an estimate keeps to an allowance. Equal sums that rounding set apart by a billionth count as equal.
pub fn is_within(estimated_litres: f64, allowed_litres: f64) -> bool {
    estimated_litres <= allowed_litres * (1.0 + 1e-9)
}

/// Rain that a rule counts: a quarter of it, at most the reference depth.
///
/// # Source
/// City of Vacaville (California) code 14.27.030, option of the model ordinance, for a year; recalled for the federal
/// label's peak month.
pub fn less_a_quarter_of_rain(reference: Depth, rain: Depth) -> Depth {
    Depth::mm((reference.to_mm() - 0.25 * rain.to_mm()).max(0.0))
}
