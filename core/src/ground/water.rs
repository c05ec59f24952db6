//! What water soil holds: Saxton and Rawls's equations, and their twelve classes.

use super::texture::Texture;
use crate::math::{ln, pow};
use crate::quantity::{Length, Share};
use crate::reference::{Source, Standing};

/// Where [`of_class`] and [`by_saxton_rawls`] come from.
pub const SAXTON_RAWLS: Source = Source {
    work: "Saxton & Rawls 2006, Soil Sci. Soc. Am. J. 70:1569-1578",
    place: "Table 1, equations 1 to 5, 15 and 16; Table 3, the classes with 2.5 % organic matter",
    standing: Standing::Checked,
    note: "sand and clay as fractions, organic matter in percent, which the paper does not say \
           clearly. The table's values agree with the equations to the printed digit",
};

/// Water contents of a soil, shares of its volume, and its conductivity.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SoilWater {
    /// Below this, plants wilt (1500 kPa).
    pub wilting_point: f64,
    /// What stays after the soil has drained (33 kPa).
    pub field_capacity: f64,
    /// All pores full.
    pub full: f64,
    /// Conductivity when full, of undisturbed field soil, mm/h: not what a lawn takes in.
    pub conductivity_mm_per_h: f64,
}

impl SoilWater {
    /// Water that plants can draw, share of the soil's volume.
    pub fn available(&self) -> f64 {
        self.field_capacity - self.wilting_point
    }
}

/// Water that plants can draw from soil of a class, mm in each metre of depth.
/// Source: [`SAXTON_RAWLS`].
#[rustfmt::skip]
pub const fn available_mm_per_m(soil: Texture) -> f64 {
    match soil {
        Texture::Sand => 53.0,
        Texture::LoamySand => 69.0,
        Texture::SandyLoam => 98.0,
        Texture::Loam => 143.0,
        Texture::SiltLoam => 195.0,
        Texture::Silt => 247.0,
        Texture::SandyClayLoam => 101.0,
        Texture::ClayLoam => 140.0,
        Texture::SiltyClayLoam => 167.0,
        Texture::SandyClay => 112.0,
        Texture::SiltyClay => 141.0,
        Texture::Clay => 123.0,
    }
}

/// Water that plants may draw from the root zone before a watering is due, mm: the available water
/// of the root zone times the allowed depletion.
pub fn allowed_depletion_mm(soil: Texture, root_depth: Length, allowed: Share) -> f64 {
    available_mm_per_m(soil) * root_depth.to_m() * allowed.to_of_one()
}

/// Sand and clay of the soil that stands for a class, shares of its mass. Source: [`SAXTON_RAWLS`],
/// Table 3.
#[rustfmt::skip]
pub const fn typical(soil: Texture) -> (Share, Share) {
    let (sand, clay) = match soil {
        Texture::Sand => (0.88, 0.05),
        Texture::LoamySand => (0.80, 0.05),
        Texture::SandyLoam => (0.65, 0.10),
        Texture::Loam => (0.40, 0.20),
        Texture::SiltLoam => (0.20, 0.15),
        Texture::Silt => (0.10, 0.05),
        Texture::SandyClayLoam => (0.60, 0.25),
        Texture::ClayLoam => (0.30, 0.35),
        Texture::SiltyClayLoam => (0.10, 0.35),
        Texture::SandyClay => (0.50, 0.40),
        Texture::SiltyClay => (0.10, 0.45),
        Texture::Clay => (0.25, 0.50),
    };
    (Share::of_one(sand), Share::of_one(clay))
}

/// Organic matter of the classes' soils, percent by mass.
pub const TYPICAL_ORGANIC_PERCENT: f64 = 2.5;

/// Water contents of a class, by the equations.
pub fn of_class(soil: Texture) -> SoilWater {
    let (sand, clay) = typical(soil);
    by_saxton_rawls(sand, clay, TYPICAL_ORGANIC_PERCENT)
}

/// Water contents of a soil of so much sand and clay (shares of mass) and organic matter (percent
/// by mass; the equations were fitted up to 8 % and to soils with less than 60 % clay).
/// Source: [`SAXTON_RAWLS`].
pub fn by_saxton_rawls(sand: Share, clay: Share, organic_percent: f64) -> SoilWater {
    let (s, c, om) = (sand.to_of_one(), clay.to_of_one(), organic_percent);
    let t1500 = -0.024 * s + 0.487 * c + 0.006 * om + 0.005 * s * om - 0.013 * c * om
        + 0.068 * s * c
        + 0.031;
    let wilting_point = t1500 + (0.14 * t1500 - 0.02);
    let t33 = -0.251 * s + 0.195 * c + 0.011 * om + 0.006 * s * om - 0.027 * c * om
        + 0.452 * s * c
        + 0.299;
    let field_capacity = t33 + (1.283 * t33 * t33 - 0.374 * t33 - 0.015);
    let t_fast =
        0.278 * s + 0.034 * c + 0.022 * om - 0.018 * s * om - 0.027 * c * om - 0.584 * s * c
            + 0.078;
    let drained_fast = t_fast + (0.636 * t_fast - 0.107);
    let full = field_capacity + drained_fast - 0.097 * s + 0.043;
    let slope = (ln(1_500.0) - ln(33.0)) / (ln(field_capacity) - ln(wilting_point));
    let conductivity_mm_per_h = 1_930.0 * pow((full - field_capacity).max(0.0), 3.0 - 1.0 / slope);
    SoilWater {
        wilting_point,
        field_capacity,
        full,
        conductivity_mm_per_h,
    }
}
