//! A planting's need on the mean day of each month.

use super::rain::{RainRule, effective};
use crate::quantity::{DailyNeed, Depth, Evapotranspiration, PlantFactor};

/// Days of the months of a common year, January first.
pub const DAYS: [u8; 12] = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];

/// Need per day of each month, January first: reference x plant factor, less the rain that counts, never below 0.
///
/// `rain` is each month's. February has 28 days.
pub fn need_per_day(
    reference: &[Evapotranspiration; 12],
    plant: &[PlantFactor; 12],
    rain: &[Depth; 12],
    rule: RainRule,
) -> [DailyNeed; 12] {
    core::array::from_fn(|month| {
        let days = f64::from(DAYS[month]);
        let plants = reference[month].to_mm_per_day() * plant[month].to_of_reference();
        let counted = effective(rule, rain[month], Depth::mm(plants * days));
        DailyNeed::mm_per_day((plants - counted.to_mm() / days).max(0.0))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 5 mm a day at 0.8 over 31 days are 124 mm; half of 62 mm leaves 3 mm a day; 300 mm of rain leave nothing.
    #[test]
    fn rain_is_taken_off_by_the_day() {
        let need = |rain: f64| {
            let reference = [Evapotranspiration::mm_per_day(5.0); 12];
            let plant = [PlantFactor::of_reference(0.8); 12];
            need_per_day(&reference, &plant, &[Depth::mm(rain); 12], RainRule::Half)[0]
        };
        assert!((need(62.0).to_mm_per_day() - 3.0).abs() < 1e-12);
        assert!(need(300.0).to_mm_per_day() < 1e-12);
    }
}
