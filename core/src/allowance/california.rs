//! California's model ordinance to the letter: gallons, inches, square feet and 0.62.

use super::{Planted, areas_m2, total};
use crate::quantity::{Depth, Efficiency, PlantFactor, Share};
use crate::reference::{Source, Standing};

/// Where the forms come from.
pub const SOURCE: Source = Source {
    work: "California Code of Regulations, title 23, chapter 2.7 (model water efficient landscape \
           ordinance)",
    place: "492.4, as repeated in city codes (Gridley, Ventura, San Diego)",
    standing: Standing::Checked,
    note: "a local ordinance may be stricter; the legal answer is the city's",
};

/// Gallons of an inch on a square foot, as the ordinance writes it (exactly 144/231).
pub const GALLONS_PER_INCH_FOOT: f64 = 0.62;

const MM_PER_INCH: f64 = 25.4;
const M2_PER_FT2: f64 = 0.3048 * 0.3048;

/// Whose allowance, and thereby which evapotranspiration adjustment factor.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rule {
    /// New homes since December 2015.
    Residential,
    /// Other new landscapes since December 2015.
    NonResidential,
    /// New landscapes before December 2015.
    Before2015,
    /// Existing landscapes that are audited.
    Existing,
    /// A supplier's own budget for landscapes.
    Supplier,
    /// A supplier's own budget from 1 July 2035.
    SupplierFrom2035,
    /// A supplier's own budget from 1 July 2040.
    SupplierFrom2040,
}

impl Rule {
    /// Every rule, in the order of [`Rule::WORDS`].
    pub const ALL: &'static [Self] = &[
        Self::Residential,
        Self::NonResidential,
        Self::Before2015,
        Self::Existing,
        Self::Supplier,
        Self::SupplierFrom2035,
        Self::SupplierFrom2040,
    ];

    /// The rules' names at the JSON door.
    pub const WORDS: &'static [&'static str] = &[
        "residential",
        "non_residential",
        "before_2015",
        "existing",
        "supplier",
        "supplier_from_2035",
        "supplier_from_2040",
    ];

    /// The adjustment factor.
    pub const fn factor(self) -> Share {
        Share::of_one(match self {
            Self::Residential | Self::SupplierFrom2040 => 0.55,
            Self::NonResidential => 0.45,
            Self::Before2015 => 0.7,
            Self::Existing | Self::Supplier => 0.8,
            Self::SupplierFrom2035 => 0.63,
        })
    }

    /// Where the factor comes from.
    pub const fn source(self) -> Source {
        match self {
            Self::Residential | Self::NonResidential | Self::Before2015 => SOURCE,
            Self::Existing => EXISTING_SOURCE,
            Self::Supplier | Self::SupplierFrom2035 | Self::SupplierFrom2040 => SUPPLIER_SOURCE,
        }
    }
}

const EXISTING_SOURCE: Source = Source {
    work: "California Code of Regulations, title 23",
    place: "493.1, existing landscapes",
    standing: Standing::FromMemory,
    note: "",
};

const SUPPLIER_SOURCE: Source = Source {
    work: "California Code of Regulations, title 23",
    place: "968, urban water use objectives: landscape efficiency factor",
    standing: Standing::Checked,
    note: "net of effective rain; new landscapes 0.55, special areas 1.0",
};

/// How water is brought, for the efficiency that the ordinance takes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Method {
    /// Overhead spray.
    Overhead,
    /// Drip.
    Drip,
    /// Any, before December 2015.
    AnyBefore2015,
}

/// The ordinance's irrigation efficiency.
///
/// # Source
/// [`SOURCE`], 492.4 and 492.7.
pub const fn efficiency(method: Method) -> Efficiency {
    Efficiency::of_one(match method {
        Method::Overhead => 0.75,
        Method::Drip => 0.81,
        Method::AnyBefore2015 => 0.71,
    })
}

/// Water-use class of a plant in the ordinance. Its bands are the law's own and differ from the plant lists'.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PlantBand {
    /// Very low, since December 2015.
    VeryLow,
    /// Low, since December 2015.
    Low,
    /// Low before December 2015, very low being part of it.
    LowBefore2015,
    /// Moderate.
    Moderate,
    /// High.
    High,
}

impl PlantBand {
    /// The plant factors that the ordinance takes for the class, least and most.
    pub const fn range(self) -> (PlantFactor, PlantFactor) {
        let (least, most) = match self {
            Self::VeryLow => (0.0, 0.1),
            Self::Low => (0.1, 0.3),
            Self::LowBefore2015 => (0.0, 0.3),
            Self::Moderate => (0.4, 0.6),
            Self::High => (0.7, 1.0),
        };
        (
            PlantFactor::of_reference(least),
            PlantFactor::of_reference(most),
        )
    }

    /// Where the range comes from.
    pub const fn source(self) -> Source {
        match self {
            Self::VeryLow | Self::Low => Source {
                work: SOURCE.work,
                place: "491, plant factor, as amended in 2015",
                standing: Standing::FromMemory,
                note: "",
            },
            Self::LowBefore2015 | Self::Moderate | Self::High => SOURCE,
        }
    }
}

/// How sums are rounded on the way.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rounding {
    /// Not at all; the answer to the whole gallon.
    AtTheEnd,
    /// Reference x 0.62 to hundredths and the weighted ground to whole square feet, then the answer to the whole
    /// gallon: the ordinance's own worked examples 2 to 4.
    OnTheWay,
}

/// Whole gallons allowed over the period of `reference`: maximum applied water allowance.
///
/// # Source
/// [`SOURCE`].
pub fn allowed_gallons(
    reference: Depth,
    factor: Share,
    planted: &[Planted],
    rounding: Rounding,
) -> f64 {
    let (all, special) = areas_m2(planted);
    let factor = factor.to_of_one();
    gallons(reference, factor * all + (1.0 - factor) * special, rounding)
}

/// Whole gallons expected over the period of `reference`: estimated total water use.
///
/// # Source
/// [`SOURCE`].
pub fn estimated_gallons(reference: Depth, planted: &[Planted], rounding: Rounding) -> f64 {
    let weighted_m2 = total(planted.iter().map(Planted::weighted_m2));
    gallons(reference, weighted_m2, rounding)
}

fn gallons(reference: Depth, weighted_m2: f64, rounding: Rounding) -> f64 {
    let per_ft2 = reference.to_mm() / MM_PER_INCH * GALLONS_PER_INCH_FOOT;
    let ft2 = weighted_m2 / M2_PER_FT2;
    match rounding {
        Rounding::AtTheEnd => (per_ft2 * ft2).round(),
        Rounding::OnTheWay => ((per_ft2 * 100.0).round() / 100.0 * ft2.round()).round(),
    }
}

/// Hundreds of cubic feet, the unit of water bills, of a volume in gallons: 748.05 gallons each (1728/231 x 100).
pub fn hundred_cubic_feet(gallons: f64) -> f64 {
    gallons / (1728.0 / 231.0 * 100.0)
}
