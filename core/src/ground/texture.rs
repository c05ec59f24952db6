//! What the soil is made of: the twelve classes of the texture triangle, and how to find them on
//! site.

pub mod field;

use crate::invalid::{Invalid, Problem};
use crate::reference::{Source, Standing};

/// Where [`Texture::of_percent`] comes from.
pub const TRIANGLE: Source = Source {
    work: "USDA, Soil Survey Manual, Agriculture Handbook 18",
    place: "chapter 3, soil texture: the definitions of the twelve classes",
    standing: Standing::Checked,
    note: "as coded in several public programs. Sandy clay needs more than 45 % sand: some print \
           45 or more, and then the line is claimed twice",
};

/// How far sand, silt and clay may sum beside 100 %, for rounded reports.
const SUM_SLACK: f64 = 1.0;

/// A class of the USDA texture triangle.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Texture {
    /// Sand.
    Sand,
    /// Loamy sand.
    LoamySand,
    /// Sandy loam.
    SandyLoam,
    /// Loam.
    Loam,
    /// Silt loam.
    SiltLoam,
    /// Silt.
    Silt,
    /// Sandy clay loam.
    SandyClayLoam,
    /// Clay loam.
    ClayLoam,
    /// Silty clay loam.
    SiltyClayLoam,
    /// Sandy clay.
    SandyClay,
    /// Silty clay.
    SiltyClay,
    /// Clay.
    Clay,
}

impl Texture {
    /// All twelve, roughly from coarse to fine.
    pub const ALL: [Texture; 12] = [
        Self::Sand,
        Self::LoamySand,
        Self::SandyLoam,
        Self::Loam,
        Self::SiltLoam,
        Self::Silt,
        Self::SandyClayLoam,
        Self::ClayLoam,
        Self::SiltyClayLoam,
        Self::SandyClay,
        Self::SiltyClay,
        Self::Clay,
    ];

    /// The words of [`Texture::ALL`], in its order, as the JSON door and saved sites spell them.
    pub const WORDS: [&str; 12] = [
        "sand",
        "loamy_sand",
        "sandy_loam",
        "loam",
        "silt_loam",
        "silt",
        "sandy_clay_loam",
        "clay_loam",
        "silty_clay_loam",
        "sandy_clay",
        "silty_clay",
        "clay",
    ];

    /// The word for this class.
    pub const fn word(self) -> &'static str {
        Self::WORDS[self as usize]
    }

    /// The class of a soil of so much sand, silt and clay, percent by mass. Source: [`TRIANGLE`].
    ///
    /// The three sum to 100, give or take 1; what rounding left over is shared out in proportion.
    ///
    /// # Errors
    /// A part that is no number or outside 0 to 100; a sum beside 100.
    pub fn of_percent(sand: f64, silt: f64, clay: f64) -> Result<Self, Vec<Invalid>> {
        let parts = [
            ("sand_percent", sand),
            ("silt_percent", silt),
            ("clay_percent", clay),
        ];
        let faults: Vec<Invalid> = parts
            .into_iter()
            .filter_map(|(field, part)| Some(Invalid::new(field, percent_problem(part)?)))
            .collect();
        if !faults.is_empty() {
            return Err(faults);
        }
        let sum = sand + silt + clay;
        if (sum - 100.0).abs() > SUM_SLACK + 1e-9 {
            let problem = Problem::Other("must sum to 100 with silt and clay, give or take 1");
            return Err(vec![Invalid::new("sand_percent", problem)]);
        }
        // A sum that is 100 but for the last digits leaves the parts as they were given.
        let scale = if (sum - 100.0).abs() < 1e-6 {
            1.0
        } else {
            100.0 / sum
        };
        Ok(Self::of_whole(sand * scale, silt * scale, clay * scale))
    }

    /// The class where the three sum to 100.
    fn of_whole(sand: f64, silt: f64, clay: f64) -> Self {
        if silt + 1.5 * clay < 15.0 {
            Self::Sand
        } else if silt + 2.0 * clay < 30.0 {
            Self::LoamySand
        } else if clay >= 40.0 {
            if sand > 45.0 {
                Self::SandyClay
            } else if silt >= 40.0 {
                Self::SiltyClay
            } else {
                Self::Clay
            }
        } else if clay >= 27.0 {
            if sand > 45.0 {
                if clay >= 35.0 {
                    Self::SandyClay
                } else {
                    Self::SandyClayLoam
                }
            } else if sand > 20.0 {
                Self::ClayLoam
            } else {
                Self::SiltyClayLoam
            }
        } else if silt >= 50.0 {
            if silt >= 80.0 && clay < 12.0 {
                Self::Silt
            } else {
                Self::SiltLoam
            }
        } else if clay >= 20.0 && silt < 28.0 && sand > 45.0 {
            Self::SandyClayLoam
        } else if clay < 7.0 || sand > 52.0 {
            Self::SandyLoam
        } else {
            Self::Loam
        }
    }
}

fn percent_problem(part: f64) -> Option<Problem> {
    if !part.is_finite() {
        Some(Problem::NotANumber)
    } else if !(0.0..=100.0).contains(&part) {
        Some(Problem::OutOfRange {
            least: 0.0,
            most: 100.0,
        })
    } else {
        None
    }
}
