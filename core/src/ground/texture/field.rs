//! Finding the texture on site: by feel, and with a jar.

use super::Texture;
use crate::invalid::{Invalid, Problem};
use crate::quantity::Length;
use crate::reference::{Source, Standing};

/// Where [`by_feel`] comes from.
pub const FEEL: Source = Source {
    work: "Thien 1979, J. Agron. Educ. 8:54-55, a flow diagram for teaching texture-by-feel \
           analysis",
    place: "as redrawn by USDA-NRCS and state extension services",
    standing: Standing::FromMemory,
    note: "the ribbon lengths were seen, the last step (gritty, smooth) is from memory. Silt \
           cannot be told from silt loam by feel",
};

/// Where [`by_jar`] comes from.
pub const JAR: Source = Source {
    work: "Montana State, Colorado State and Clemson extension: the jar test",
    place: "one third soil, water, a teaspoon of dispersant; shake; mark the sand after 1 minute, \
            the silt after 2 hours, the clay after 48 hours",
    standing: Standing::Checked,
    note: "one of the three marks the silt after 6 hours; the layers' heights stand for their mass",
};

/// What wet soil does when it is squeezed and pushed out between thumb and finger.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Ribbon {
    /// It does not even hold as a ball.
    NoBall,
    /// It holds as a ball but makes no ribbon.
    NoRibbon,
    /// A ribbon that breaks at this length.
    Breaks(Length),
}

/// What a pinch of it feels like, rubbed very wet in the palm.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Feel {
    /// Grit is what is felt most.
    Gritty,
    /// Smoothness is what is felt most.
    Smooth,
    /// Neither is felt more than the other.
    Neither,
}

/// Ribbons up to this length are loams, metres; 1 inch in the source.
pub const LOAM_RIBBON_M: f64 = 0.025;
/// Longer ribbons are clays, metres; 2 inches in the source.
pub const CLAY_RIBBON_M: f64 = 0.050;

/// The class by feel. Source: [`FEEL`]. The feel is asked for only where there is a ribbon.
pub fn by_feel(ribbon: Ribbon, feel: Feel) -> Texture {
    let length_m = match ribbon {
        Ribbon::NoBall => return Texture::Sand,
        Ribbon::NoRibbon => return Texture::LoamySand,
        Ribbon::Breaks(length) => length.to_m(),
    };
    match feel {
        Feel::Gritty if length_m < LOAM_RIBBON_M => Texture::SandyLoam,
        Feel::Gritty if length_m <= CLAY_RIBBON_M => Texture::SandyClayLoam,
        Feel::Gritty => Texture::SandyClay,
        Feel::Smooth if length_m < LOAM_RIBBON_M => Texture::SiltLoam,
        Feel::Smooth if length_m <= CLAY_RIBBON_M => Texture::SiltyClayLoam,
        Feel::Smooth => Texture::SiltyClay,
        Feel::Neither if length_m < LOAM_RIBBON_M => Texture::Loam,
        Feel::Neither if length_m <= CLAY_RIBBON_M => Texture::ClayLoam,
        Feel::Neither => Texture::Clay,
    }
}

/// Layers that settled in a jar.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Jar {
    /// Share of sand, percent.
    pub sand_percent: f64,
    /// Share of silt, percent.
    pub silt_percent: f64,
    /// Share of clay, percent.
    pub clay_percent: f64,
    /// The class of these shares.
    pub soil: Texture,
}

/// Thickness of a layer that can be read off a jar, mm.
const MOST_LAYER_MM: f64 = 1_000.0;

/// The class from the thickness of the three layers in a jar, all in one unit of length (mm).
/// Source: [`JAR`].
///
/// # Errors
/// A layer that is no number or outside 0 to 1000 mm; no soil at all.
pub fn by_jar(sand_mm: f64, silt_mm: f64, clay_mm: f64) -> Result<Jar, Vec<Invalid>> {
    let layers = [
        ("sand_mm", sand_mm),
        ("silt_mm", silt_mm),
        ("clay_mm", clay_mm),
    ];
    let mut faults = Vec::new();
    for (field, layer) in layers {
        if !layer.is_finite() {
            faults.push(Invalid::new(field, Problem::NotANumber));
        } else if !(0.0..=MOST_LAYER_MM).contains(&layer) {
            let problem = Problem::OutOfRange {
                least: 0.0,
                most: MOST_LAYER_MM,
            };
            faults.push(Invalid::new(field, problem));
        }
    }
    let all_mm = sand_mm + silt_mm + clay_mm;
    if faults.is_empty() && all_mm < 1.0 {
        let problem = Problem::Other("must be 1 mm or more together with silt and clay");
        faults.push(Invalid::new("sand_mm", problem));
    }
    if !faults.is_empty() {
        return Err(faults);
    }
    let percent = |layer: f64| 100.0 * layer / all_mm;
    let (sand_percent, silt_percent) = (percent(sand_mm), percent(silt_mm));
    let clay_percent = percent(clay_mm);
    let soil = Texture::of_percent(sand_percent, silt_percent, clay_percent)?;
    Ok(Jar {
        sand_percent,
        silt_percent,
        clay_percent,
        soil,
    })
}
