//! New plants want more water until they have rooted, and then no longer.

use crate::calendar::Date;
use crate::invalid::Problem;
use crate::quantity::{Evapotranspiration, PlantFactor};

/// More water for a while. It ends by itself on a date, so that nobody has to remember.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Establishment {
    factor: f64,
    until: Date,
}

impl Establishment {
    /// Smallest factor: no more than established plants get.
    pub const LEAST: f64 = 1.0;
    /// Largest factor.
    pub const MOST: f64 = 3.0;

    /// A multiple of the established need, up to and including the day before `until`.
    ///
    /// # Errors
    /// Factor not finite or outside 1 to 3.
    pub fn try_new(factor: f64, until: Date) -> Result<Self, Problem> {
        if !factor.is_finite() {
            Err(Problem::NotANumber)
        } else if !(Self::LEAST..=Self::MOST).contains(&factor) {
            Err(Problem::OutOfRange {
                least: Self::LEAST,
                most: Self::MOST,
            })
        } else {
            Ok(Self { factor, until })
        }
    }

    /// What to multiply the established need by on a day: the factor before the end, 1 from then on.
    pub fn factor_on(&self, day: Date) -> f64 {
        if day < self.until { self.factor } else { 1.0 }
    }
}

/// What a planting takes on a day, mm: reference x plant factor, more while it establishes.
pub fn plant_need_mm(
    reference: Evapotranspiration,
    plant: PlantFactor,
    establishment: Option<Establishment>,
    day: Date,
) -> f64 {
    let more = establishment.map_or(1.0, |establishment| establishment.factor_on(day));
    reference.to_mm_per_day() * plant.to_of_reference() * more
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_ends_on_its_date() {
        let until = Date::parse("2026-05-01").unwrap();
        let new = Establishment::try_new(1.5, until).unwrap();
        assert_eq!(new.factor_on(until.plus_days(-1)), 1.5);
        assert_eq!(new.factor_on(until), 1.0);
        let (reference, plant) = (
            Evapotranspiration::mm_per_day(4.0),
            PlantFactor::of_reference(0.5),
        );
        assert_eq!(
            plant_need_mm(reference, plant, Some(new), until.plus_days(-9)),
            3.0
        );
        assert_eq!(plant_need_mm(reference, plant, Some(new), until), 2.0);
        assert_eq!(plant_need_mm(reference, plant, None, until), 2.0);
    }

    #[test]
    fn less_than_established_is_refused() {
        let until = Date::parse("2026-05-01").unwrap();
        assert!(Establishment::try_new(0.9, until).is_err());
        assert!(Establishment::try_new(f64::NAN, until).is_err());
    }
}
