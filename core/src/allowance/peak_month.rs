//! The United States' federal label for new homes: the landscape's need in its driest month against an allowance.

use super::total;
use crate::quantity::{Area, Depth, PlantFactor, Share};
use crate::reference::{Source, Standing};

/// Where the budget comes from.
pub const SOURCE: Source = Source {
    work: "US EPA, WaterSense water budget approach (after Irrigation Association 2005)",
    place: "parts 1 and 2: baseline, allowance of 70 %, landscape need",
    standing: Standing::Checked,
    note: "",
};

/// Where the rain that counts comes from: a quarter of the month's.
pub const RAIN_SOURCE: Source = Source {
    work: "US EPA, WaterSense water budget approach",
    place: "25 % of mean peak-month rain",
    standing: Standing::FromMemory,
    note: "",
};

/// Share of the baseline that is allowed.
pub const ALLOWED_SHARE: Share = Share::of_one(0.70);

/// A part of the landscape.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Zone {
    /// Ground.
    pub area: Area,
    /// Landscape coefficient.
    pub factor: PlantFactor,
    /// Low-quarter uniformity of its irrigation; above zero.
    pub uniformity: Share,
}

/// Smallest low-quarter uniformity that is accepted: below it, what a zone needs is no longer a number to plan with.
pub const UNIFORMITY_LEAST: f64 = 0.1;

/// A month's water, litres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PeakMonth {
    /// The reference on all ground.
    pub baseline_litres: f64,
    /// What is allowed of it.
    pub allowed_litres: f64,
    /// What the landscape needs, rain counted, unevenness made up for.
    pub needed_litres: f64,
}

/// Peak-month budget: reference and rain of the month, and the landscape's zones.
///
/// The label writes 0.6233 gallons for an inch on a square foot, 0.01 % from exact; a litre for a millimetre on a
/// square metre stands here.
///
/// ```text
/// need = (reference x K - rain/4) x ground / uniformity     for each zone, never below 0
/// ```
///
/// # Source
/// [`SOURCE`], [`RAIN_SOURCE`].
pub fn peak_month(reference: Depth, rain: Depth, zones: &[Zone]) -> PeakMonth {
    let reference = reference.to_mm();
    let counted = 0.25 * rain.to_mm();
    let ground = total(zones.iter().map(|zone| zone.area.to_m2()));
    let need = |zone: &Zone| {
        let net = (reference * zone.factor.to_of_reference() - counted).max(0.0);
        net * zone.area.to_m2() / zone.uniformity.to_of_one().max(UNIFORMITY_LEAST)
    };
    let baseline_litres = reference * ground;
    PeakMonth {
        baseline_litres,
        allowed_litres: ALLOWED_SHARE.to_of_one() * baseline_litres,
        needed_litres: total(zones.iter().map(need)),
    }
}
