//! How evenly water falls, and how much more must be run for it.

use crate::quantity::Share;
use crate::reference::{Source, Standing};

/// Where [`run_time_multiplier`] comes from.
pub const MULTIPLIER: Source = Source {
    work: "Irrigation Association, Landscape Irrigation Scheduling and Water Management, March 2005",
    place: "run time multiplier from the distribution uniformity of the low quarter",
    standing: Standing::FromMemory,
    note: "0.4 + 0.6 DU is a rounding of the uniformity of the low half, 0.386 + 0.614 DU",
};

/// How much longer a station runs than evenly fallen water would need, from the uniformity of its
/// driest quarter: 1/(0.4 + 0.6 DU). Source: [`MULTIPLIER`].
pub fn run_time_multiplier(low_quarter: Share) -> f64 {
    1.0 / (0.4 + 0.6 * low_quarter.to_of_one())
}
