//! How much of the reference evapotranspiration a planting takes, how deep it roots, how dry it may get.

use crate::invalid::Problem;
use crate::quantity::{Length, PlantFactor, Share};
use crate::reference::{Source, Standing};

/// Two families of lawn grass, by the season they grow in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Turf {
    /// Grows most in spring and autumn: fescues, ryegrass, bluegrass, bentgrass.
    CoolSeason,
    /// Grows most in summer: bermudagrass, zoysia, St. Augustine, kikuyu.
    WarmSeason,
}

/// Where [`turf_factors`] come from.
pub const TURF_SOURCE: Source = Source {
    work: "Meyer, Gibeault & Youngner 1985, as printed by University of California ANR",
    place: "monthly crop coefficients of turfgrass",
    standing: Standing::Checked,
    note: "warm season, January: the page prints 0.61, other reprints are said to show 0.55; \
           for the northern half of the earth",
};

/// Factor of a lawn on a mean day of each month, January first, as measured on the northern half of the earth.
///
/// South of the equator the seasons are half a year apart: use [`in_the_south`].
pub const fn turf_factors(turf: Turf) -> [PlantFactor; 12] {
    #[rustfmt::skip]
    let hundredths: [u8; 12] = match turf {
        Turf::CoolSeason => [61, 64, 75, 104, 95, 88, 94, 86, 74, 75, 69, 60],
        Turf::WarmSeason => [61, 54, 76,  72, 79, 68, 71, 71, 62, 54, 58, 55],
    };
    let mut factors = [PlantFactor::of_reference(0.0); 12];
    let mut month = 0;
    while month < 12 {
        factors[month] = PlantFactor::of_reference(hundredths[month] as f64 / 100.0);
        month += 1;
    }
    factors
}

/// A list of twelve months moved by half a year. Our own step: the measurements were made in the north.
pub fn in_the_south<T: Copy>(months: [T; 12]) -> [T; 12] {
    core::array::from_fn(|month| months[(month + 6) % 12])
}

/// How much water an established ornamental plant needs to look acceptable.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WaterUse {
    /// Rain is mostly enough.
    VeryLow,
    /// Deep, rare watering.
    Low,
    /// Regular watering.
    Moderate,
    /// Frequent watering.
    High,
}

/// Where [`WaterUse::range`] comes from.
pub const WATER_USE_SOURCE: Source = Source {
    work: "University of California Cooperative Extension, WUCOLS IV",
    place: "categories of water need, percent of reference evapotranspiration",
    standing: Standing::Checked,
    note: "the categories leave gaps (30-40, 60-70 %); very low is printed as below 10 %",
};

impl WaterUse {
    /// The published range, least and most.
    pub const fn range(self) -> (PlantFactor, PlantFactor) {
        let (least, most) = match self {
            Self::VeryLow => (0.0, 0.1),
            Self::Low => (0.1, 0.3),
            Self::Moderate => (0.4, 0.6),
            Self::High => (0.7, 0.9),
        };
        (
            PlantFactor::of_reference(least),
            PlantFactor::of_reference(most),
        )
    }

    /// A starting value inside the range: its middle. Our choice; watch the plants and correct it.
    pub const fn usual(self) -> PlantFactor {
        PlantFactor::of_reference(match self {
            Self::VeryLow => 0.05,
            Self::Low => 0.2,
            Self::Moderate => 0.5,
            Self::High => 0.8,
        })
    }
}

/// Low, average or high: of leaves over the ground, or of sun, wind and reflected heat.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Level {
    /// Thin or new planting; shade, shelter, a north side, a courtyard.
    Low,
    /// Full cover of one layer; an open site.
    Average,
    /// Several layers; beside walls and paving that give heat, a windy slope.
    High,
}

/// Where [`density_range`] and [`microclimate_range`] come from.
pub const LANDSCAPE_SOURCE: Source = Source {
    work: "University of California Cooperative Extension and Department of Water Resources 2000, \
           A Guide to Estimating Irrigation Water Needs of Landscape Plantings in California",
    place: "part 1: density and microclimate factors",
    standing: Standing::FromMemory,
    note: "the form of the coefficient and example 7 were seen; the ranges are recalled",
};

/// Range of the density factor, least and most.
pub const fn density_range(level: Level) -> (f64, f64) {
    match level {
        Level::Low => (0.5, 0.9),
        Level::Average => (1.0, 1.0),
        Level::High => (1.1, 1.3),
    }
}

/// Range of the microclimate factor, least and most.
pub const fn microclimate_range(level: Level) -> (f64, f64) {
    match level {
        Level::Low => (0.5, 0.9),
        Level::Average => (1.0, 1.0),
        Level::High => (1.1, 1.4),
    }
}

/// Smallest and largest density or microclimate factor that is accepted.
pub const SITE_FACTOR_LEAST: f64 = 0.3;
/// See [`SITE_FACTOR_LEAST`].
pub const SITE_FACTOR_MOST: f64 = 2.0;

/// Landscape coefficient: species x density x microclimate.
///
/// # Errors
/// The product is above 2: no planting takes twice the reference.
///
/// # Source
/// [`LANDSCAPE_SOURCE`]; its example 7: 0.2 x 0.5 x 1.0 = 0.1.
pub fn landscape_factor(
    species: PlantFactor,
    density: SiteFactor,
    microclimate: SiteFactor,
) -> Result<PlantFactor, Problem> {
    PlantFactor::try_of_reference(species.to_of_reference() * density.0 * microclimate.0)
}

/// A density or microclimate factor, 0.3 to 2.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct SiteFactor(f64);

impl SiteFactor {
    /// Neither adds nor takes away.
    pub const AVERAGE: Self = Self(1.0);

    /// For what a person typed.
    ///
    /// # Errors
    /// Not finite, or outside 0.3 to 2.
    pub fn try_new(factor: f64) -> Result<Self, Problem> {
        if !factor.is_finite() {
            Err(Problem::NotANumber)
        } else if !(SITE_FACTOR_LEAST..=SITE_FACTOR_MOST).contains(&factor) {
            Err(Problem::OutOfRange {
                least: SITE_FACTOR_LEAST,
                most: SITE_FACTOR_MOST,
            })
        } else {
            Ok(Self(factor))
        }
    }

    /// The factor.
    pub fn to_factor(self) -> f64 {
        self.0
    }
}

/// A kind of planting, as far as roots and dryness go.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Planting {
    /// Mown grass.
    Turf,
    /// Annual flowers and ground cover.
    AnnualsAndGroundCover,
    /// Shrubs.
    Shrubs,
    /// Trees.
    Trees,
    /// Shrubs that need little water.
    LowWaterShrubs,
}

/// Where [`root_depth`] comes from.
pub const ROOT_DEPTH_SOURCE: Source = Source {
    work: "University of Nevada Reno extension (turf 6-8 in, trees and shrubs 18-24 in and more)",
    place: "root depth watered",
    standing: Standing::Checked,
    note: "annuals and ground cover 8-12 in are common practice, no source; the shallow end of \
           each range stands, which waters sooner; dig and look",
};

/// Depth of the roots that are watered.
pub const fn root_depth(planting: Planting) -> Length {
    // 6, 8, 18 and 24 inches of 25.4 mm.
    Length::m(match planting {
        Planting::Turf => 0.1524,
        Planting::AnnualsAndGroundCover => 0.2032,
        Planting::Shrubs | Planting::LowWaterShrubs => 0.4572,
        Planting::Trees => 0.6096,
    })
}

/// Where [`allowed_depletion`] comes from.
pub const DEPLETION_SOURCE: Source = Source {
    work: "University of Nebraska extension (about half of the available water is usable)",
    place: "allowed depletion",
    standing: Standing::Checked,
    note: "40 % for annuals and 60 % for low-water shrubs are common practice, no source",
};

/// Share of the water the soil holds for plants that may be used up before watering.
pub const fn allowed_depletion(planting: Planting) -> Share {
    Share::of_one(match planting {
        Planting::AnnualsAndGroundCover => 0.4,
        Planting::Turf | Planting::Shrubs | Planting::Trees => 0.5,
        Planting::LowWaterShrubs => 0.6,
    })
}

/// Plantings for which a national standard gives one factor for the year.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StandardPlanting {
    /// Lawn of a cool-season grass.
    CoolSeasonTurf,
    /// Lawn of a warm-season grass.
    WarmSeasonTurf,
    /// Annual flowers.
    AnnualFlowers,
    /// Woody plants and perennials where summers are wet.
    WoodyAndPerennialWetSummer,
    /// Woody plants and perennials where summers are dry.
    WoodyAndPerennialDrySummer,
    /// Desert plants.
    Desert,
}

/// Where [`standard_factor`] comes from.
pub const STANDARD_SOURCE: Source = Source {
    work: "ANSI/ASABE S623.1 (2017)",
    place: "annual average plant factors for an acceptable look",
    standing: Standing::FromMemory,
    note: "established plants; not sports turf, golf or food",
};

/// Factor for an acceptable look, one for the whole year.
pub const fn standard_factor(planting: StandardPlanting) -> PlantFactor {
    PlantFactor::of_reference(match planting {
        StandardPlanting::CoolSeasonTurf | StandardPlanting::AnnualFlowers => 0.8,
        StandardPlanting::WarmSeasonTurf => 0.6,
        StandardPlanting::WoodyAndPerennialWetSummer => 0.7,
        StandardPlanting::WoodyAndPerennialDrySummer => 0.5,
        StandardPlanting::Desert => 0.3,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_usual_value_lies_in_its_published_range() {
        for class in [
            WaterUse::VeryLow,
            WaterUse::Low,
            WaterUse::Moderate,
            WaterUse::High,
        ] {
            let (least, most) = class.range();
            assert!(least <= class.usual() && class.usual() <= most);
        }
    }

    #[test]
    fn half_a_year_twice_is_a_year() {
        let months = turf_factors(Turf::CoolSeason);
        assert_eq!(in_the_south(in_the_south(months)), months);
        assert_eq!(in_the_south(months)[0], months[6]);
    }

    #[test]
    fn a_factor_above_twice_the_reference_is_refused() {
        let (high, dense) = (
            PlantFactor::of_reference(0.9),
            SiteFactor::try_new(2.0).unwrap(),
        );
        assert!(landscape_factor(high, dense, dense).is_err());
        assert!(SiteFactor::try_new(f64::NAN).is_err());
        assert!(SiteFactor::try_new(0.29).is_err());
    }
}
