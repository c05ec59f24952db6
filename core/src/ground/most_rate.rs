//! The steepest rate that a field of some soil and slope is said to bear, as a warning.

use super::soil::Condition;
use super::texture::Texture;
use crate::quantity::Slope;
use crate::reference::{Source, Standing};

/// Where [`most_rate_mm_per_h`] comes from.
pub const MOST_RATE: Source = Source {
    work: "USDA maximum precipitation rates by soil, slope and cover, as reprinted in the trade",
    place: "columns 0-5, 5-8, 8-12 and over 12 % slope, with and without cover",
    standing: Standing::FromMemory,
    note: "the uniform soils up to 12 % were seen in a reprint of 2018; over 12 % and the soils \
           over a compact subsoil are from memory. Which row a texture class takes is our \
           decision. The table allows no ponding in a run of full length: it warns of a nozzle, and does not \
           set a run",
};

/// The greatest rate for a full-length run without ponding, mm/h. Source: [`MOST_RATE`], printed in
/// inches an hour.
///
/// Sand takes the coarse sandy rows; loamy sand and sandy loam the light sandy loams; loam, silt
/// loam, silt and sandy clay loam the silt loams; the rest the heavy clays. Compacted ground takes
/// the rows over a compact subsoil.
#[rustfmt::skip]
pub const fn most_rate_mm_per_h(
    soil: Texture, condition: Condition, slope: Slope, is_covered: bool,
) -> f64 {
    let compact = matches!(condition, Condition::Compacted);
    let (covered, bare) = match soil {
        Texture::Sand if compact => ([1.75, 1.25, 1.00, 0.75], [1.50, 1.00, 0.75, 0.40]),
        Texture::Sand => ([2.00, 2.00, 1.50, 1.00], [2.00, 1.50, 1.00, 0.50]),
        Texture::LoamySand | Texture::SandyLoam if compact
            => ([1.25, 1.00, 0.75, 0.50], [0.75, 0.50, 0.40, 0.30]),
        Texture::LoamySand | Texture::SandyLoam
            => ([1.75, 1.25, 1.00, 0.75], [1.00, 0.80, 0.60, 0.40]),
        Texture::Loam | Texture::SiltLoam | Texture::Silt | Texture::SandyClayLoam if compact
            => ([0.60, 0.50, 0.40, 0.30], [0.30, 0.25, 0.15, 0.10]),
        Texture::Loam | Texture::SiltLoam | Texture::Silt | Texture::SandyClayLoam
            => ([1.00, 0.80, 0.60, 0.40], [0.50, 0.40, 0.30, 0.20]),
        Texture::ClayLoam | Texture::SiltyClayLoam | Texture::SandyClay | Texture::SiltyClay
        | Texture::Clay => ([0.20, 0.15, 0.12, 0.10], [0.15, 0.10, 0.08, 0.06]),
    };
    let band = match slope.to_percent() {
        ..=5.0 => 0,
        ..=8.0 => 1,
        ..=12.0 => 2,
        _ => 3,
    };
    25.4 * if is_covered { covered[band] } else { bare[band] }
}
