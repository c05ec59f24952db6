//! Water meters: what they can pass for long.

use crate::quantity::Flow;
use crate::reference::{Source, Standing};

/// Size of a displacement meter, inches.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MeterSize {
    /// 5/8.
    FiveEighths,
    /// 3/4.
    ThreeQuarters,
    /// 1.
    One,
    /// 1 1/2.
    OneAndAHalf,
    /// 2.
    Two,
}

impl MeterSize {
    /// Every size, in the order of [`MeterSize::WORDS`].
    pub const ALL: &'static [Self] = &[
        Self::FiveEighths,
        Self::ThreeQuarters,
        Self::One,
        Self::OneAndAHalf,
        Self::Two,
    ];

    /// The sizes' names at the JSON door, inches.
    pub const WORDS: &'static [&'static str] = &["5/8", "3/4", "1", "1-1/2", "2"];
}

/// Where [`ratings`] come from.
pub const SOURCE: Source = Source {
    work: "AWWA C700, displacement meters",
    place: "table 1: safe maximum operating capacity, recommended maximum for continuous operation",
    standing: Standing::FromMemory,
    note: "read the meter's own plate where it has one",
};

/// What a meter is made to pass.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ratings {
    /// For short peaks.
    pub safe_most: Flow,
    /// For hours on end, as irrigation runs.
    pub continuous_most: Flow,
}

/// The ratings by size.
pub fn ratings(size: MeterSize) -> Ratings {
    let (safe, continuous) = match size {
        MeterSize::FiveEighths => (20.0, 10.0),
        MeterSize::ThreeQuarters => (30.0, 15.0),
        MeterSize::One => (50.0, 25.0),
        MeterSize::OneAndAHalf => (100.0, 50.0),
        MeterSize::Two => (160.0, 80.0),
    };
    Ratings {
        safe_most: gallons(safe),
        continuous_most: gallons(continuous),
    }
}

/// Share of the safe maximum that irrigation is usually held to.
///
/// Common practice, no source.
pub const USUAL_SHARE: f64 = 0.75;

/// US gallons a minute; a gallon is 231 cubic inches, 3.785411784 litres.
fn gallons(per_minute: f64) -> Flow {
    Flow::l_per_min(per_minute * 3.785411784)
}
