//! Stage 3: how fast a station lays water on the ground it wets, and how evenly.
//!
//! Whatever is known gives the rate: flow and area, flow and spacing, a drip grid, a meter, cans.
//! A rate from flow or meter is gross; a rate from cans is net of drift and evaporation. One or the
//! other, never both in one schedule.

pub mod uniformity;

use crate::invalid::Problem;
use crate::quantity::{Arc, Area, EmitterFlow, Flow, PrecipitationRate, Spacing, TestTime, Volume};
use crate::reference::{Source, Standing};

/// Where the formulas come from: depth is volume over area.
pub const DEPTH: Source = Source {
    work: "Depth is volume over area: a litre on a square metre stands 1 mm deep",
    place: "in/h = 96.25 x gal/min / ft2 (231 in3 x 60 / 144 in2) is the same identity, often \
            printed 96.3",
    standing: Standing::Checked,
    note: "",
};

/// Height of an equilateral triangle over its side.
const TRIANGLE_HEIGHT: f64 = 0.866_025_403_784_438_6;

/// The rate of a whole station: flow over the ground it wets.
///
/// Right for heads of any arc and kind on one valve. Source: [`DEPTH`].
///
/// # Errors
/// A rate outside what a station can have (0.05 to 1000 mm/h).
pub fn from_area(flow: Flow, area: Area) -> Result<PrecipitationRate, Problem> {
    rate(60.0 * flow.to_l_per_min() / area.to_m2())
}

/// The rate from one head's flow and the spacing of heads like it.
///
/// `arc` turns a part circle's flow into a full circle's. `row_spacing` is
/// the distance between rows; of a triangular layout it is the height of the triangle, see
/// [`triangular_row_spacing`]. A true row distance is not to be shortened again.
///
/// # Errors
/// A rate outside what a station can have.
pub fn from_spacing(
    flow: Flow,
    arc: Arc,
    head_spacing: Spacing,
    row_spacing: Spacing,
) -> Result<PrecipitationRate, Problem> {
    let full_circle = flow.to_l_per_min() * 360.0 / arc.to_degrees();
    rate(60.0 * full_circle / (head_spacing.to_m() * row_spacing.to_m()))
}

/// Distance between rows of an equilateral layout: the height of its triangle.
///
/// # Errors
/// A distance too short to be a row's.
pub fn triangular_row_spacing(head_spacing: Spacing) -> Result<Spacing, Problem> {
    Spacing::try_m(head_spacing.to_m() * TRIANGLE_HEIGHT)
}

/// The rate of a grid of emitters. Litres an hour over square metres are mm/h.
///
/// # Errors
/// A rate outside what a station can have.
pub fn from_drip(
    emitter: EmitterFlow,
    emitter_spacing: Spacing,
    row_spacing: Spacing,
) -> Result<PrecipitationRate, Problem> {
    rate(emitter.to_l_per_h() / (emitter_spacing.to_m() * row_spacing.to_m()))
}

/// What a station should draw by what waters on it: heads and emitters with the flow of one of each. Kinds that differ
/// stand for themselves; a drip line has its length over its spacing emitters.
///
/// Source: a sum, no further source.
///
/// # Errors
/// A flow beyond what a station can have (see [`Flow::try_l_per_min`]).
pub fn flow_by_count(
    heads: &[(f64, Flow)],
    emitters: &[(f64, EmitterFlow)],
) -> Result<Flow, Problem> {
    let of_heads = heads
        .iter()
        .map(|(count, flow)| count * flow.to_l_per_min());
    let of_emitters = emitters
        .iter()
        .map(|(count, flow)| count * flow.to_l_per_h() / 60.0);
    Flow::try_l_per_min(of_heads.sum::<f64>() + of_emitters.sum::<f64>())
}

/// The rate from a meter read before and after a run of some minutes.
///
/// # Errors
/// A rate outside what a station can have.
pub fn from_meter(
    volume: Volume,
    time: TestTime,
    area: Area,
) -> Result<PrecipitationRate, Problem> {
    rate(volume.to_l() / area.to_m2() * 60.0 / time.to_minutes())
}

fn rate(mm_per_h: f64) -> Result<PrecipitationRate, Problem> {
    PrecipitationRate::try_mm_per_h(mm_per_h).map_err(|_| {
        Problem::Other(
            "gives a precipitation rate that no station has; 0.05 to 1000 mm/h is accepted",
        )
    })
}
