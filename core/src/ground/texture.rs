//! What the soil is made of: the twelve classes of the texture triangle.

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
}
