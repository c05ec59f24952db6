//! The ground as the soil model sees it: how fast it takes water in, how it sucks, what can stand
//! on it.

use super::first_run::FirstRun;
use super::texture::Texture;
use crate::invalid::Problem;
use crate::quantity::{IntakeRate, PrecipitationRate, Slope, TestTime};
use crate::reference::{Source, Standing};

/// Where [`class`] comes from.
pub const SOIL_CLASS: Source = Source {
    work: "Retention: Carsel & Parrish 1988, Water Resour. Res. 24:755-769; conductivity: \
           geometric mean of Rawls, Brakensiek & Miller 1983, J. Hydraul. Eng. 109(1):62-70, and the trade's \
           basic intake",
    place: "class means; suction integrated from field capacity (Neuman 1976)",
    standing: Standing::Judgement,
    note: "the two errors run in opposite directions; sand is held at 36 mm/h, the compacted sand \
           of Pitt et al. 1999, EPA/600/R-00/016 (from memory). Silt, which the list lacks, takes \
           silt loam's values: our choice. Texture alone foretells a lawn's intake within a factor \
           of about 3 (Hamilton & Waddington 1999, J. Soil Water Conserv. 54:564-568): time a run \
           on site",
};

/// Where the factors of [`Condition`] come from.
pub const CONDITION: Source = Source {
    work: "Kelling & Peterson 1975, Soil Sci. Soc. Am. J. 39:348-352; Partsch, Jarrett & Watschke \
           1993, Trans. ASAE 36:1695-1701",
    place: "compacted lawns took in 0.35 and 0.39 of what sound lawns did",
    standing: Standing::Judgement,
    note: "compacted: intake x 0.4, suction x 0.7; loose: intake x 2. The factors 0.7 and 2 are \
           judgement",
};

/// Where [`surface_storage_mm`] comes from.
pub const STORAGE: Source = Source {
    work: "Onstad 1984, Trans. ASAE 27:729-732, depressional storage",
    place: "line through a random roughness of 2 cm: 3.5 mm on the flat, none at 14.6 %",
    standing: Standing::FromMemory,
    note: "never below 0.5 mm, for grass and thatch: judgement. ASCE 1992 gives lawns 2.5 to 5 mm",
};

/// How the ground was treated.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Condition {
    /// Amended or aerated.
    Loose,
    /// An ordinary lawn or bed.
    Settled,
    /// Driven or trodden on, or built on stripped ground.
    Compacted,
}

impl Condition {
    /// All three.
    pub const ALL: [Condition; 3] = [Self::Loose, Self::Settled, Self::Compacted];

    /// The words of [`Condition::ALL`], in its order.
    pub const WORDS: [&str; 3] = ["loose", "settled", "compacted"];

    /// What intake and suction are multiplied by. Source: [`CONDITION`].
    pub const fn factors(self) -> (f64, f64) {
        match self {
            Self::Loose => (2.0, 1.0),
            Self::Settled => (1.0, 1.0),
            Self::Compacted => (0.4, 0.7),
        }
    }
}

/// What the intake of the ground is known from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Basis {
    /// A station was timed until water left the turf.
    TimedOnSite,
    /// The intake was measured, with a ring for instance.
    MeasuredIntake,
    /// The class and condition of the soil.
    SoilClass,
}

impl Basis {
    /// As the JSON door spells it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::TimedOnSite => "timed_on_site",
            Self::MeasuredIntake => "measured_intake",
            Self::SoilClass => "soil_class",
        }
    }
}

/// Parameters of a soil class at field capacity.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SoilClass {
    /// Intake of long wetted ground under a settled lawn, mm/h (K).
    pub intake_mm_per_h: f64,
    /// Suction head × room for water, mm (B = ψ Δθ).
    pub suction_mm: f64,
    /// Water content that never drains, share of volume (θr).
    pub residual: f64,
    /// Water content when full (θs).
    pub full: f64,
    /// Water content at field capacity (θi).
    pub field_capacity: f64,
    /// Pore-size index (λ).
    pub pore_index: f64,
}

/// Parameters of a soil class. Source: [`SOIL_CLASS`].
#[rustfmt::skip]
pub const fn class(soil: Texture) -> SoilClass {
    let (intake_mm_per_h, suction_mm, residual, full, field_capacity, pore_index) = match soil {
        Texture::Sand          => (36.0, 14.0, 0.045, 0.43, 0.0493, 1.68),
        Texture::LoamySand     => (19.5, 13.0, 0.057, 0.41, 0.0710, 1.28),
        Texture::SandyLoam     => (10.5, 16.0, 0.065, 0.41, 0.0848, 0.89),
        Texture::Loam          => ( 5.5, 17.0, 0.078, 0.43, 0.1654, 0.56),
        Texture::SiltLoam | Texture::Silt
                               => ( 6.0, 19.0, 0.067, 0.45, 0.2402, 0.41),
        Texture::SandyClayLoam => ( 3.0,  8.0, 0.100, 0.39, 0.1695, 0.48),
        Texture::ClayLoam      => ( 2.3, 10.0, 0.095, 0.41, 0.2697, 0.31),
        Texture::SiltyClayLoam => ( 2.1, 10.0, 0.089, 0.43, 0.3386, 0.23),
        Texture::SandyClay     => ( 1.5, 10.0, 0.100, 0.38, 0.2681, 0.23),
        Texture::SiltyClay     => ( 1.4,  7.0, 0.070, 0.36, 0.3371, 0.09),
        Texture::Clay          => ( 0.9,  7.0, 0.068, 0.38, 0.3472, 0.09),
    };
    SoilClass { intake_mm_per_h, suction_mm, residual, full, field_capacity, pore_index }
}

/// Water that can stand in the hollows of a lawn before it runs off, mm. Source: [`STORAGE`].
pub fn surface_storage_mm(slope: Slope) -> f64 {
    (3.5 - 0.24 * slope.to_percent()).clamp(0.5, 3.5)
}

/// The ground under one station.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ground {
    /// Texture class.
    pub soil: Texture,
    /// Steepness.
    pub slope: Slope,
    /// Treatment.
    pub condition: Condition,
    /// What the intake is known from.
    pub basis: Basis,
    /// Intake of long wetted ground (K).
    pub intake: IntakeRate,
    /// Suction head × room for water, mm (B), at field capacity.
    pub suction_mm: f64,
    /// What can stand on the surface, mm.
    pub storage_mm: f64,
}

/// Least intake that a timed run may explain, mm/h.
///
/// Below it the assumed surface storage explains almost all of the time.
pub const LEAST_TIMED_INTAKE: f64 = 0.3;

impl Ground {
    /// Ground known by its class and condition only.
    pub fn of_class(soil: Texture, slope: Slope, condition: Condition) -> Self {
        let class = class(soil);
        let (intake_factor, suction_factor) = condition.factors();
        Self {
            soil,
            slope,
            condition,
            basis: Basis::SoilClass,
            intake: IntakeRate::mm_per_h(class.intake_mm_per_h * intake_factor),
            suction_mm: class.suction_mm * suction_factor,
            storage_mm: surface_storage_mm(slope),
        }
    }

    /// The same ground with a measured intake, which stands for class and condition; suction stays
    /// that of class and condition.
    pub fn with_measured_intake(self, intake: IntakeRate) -> Self {
        Self {
            basis: Basis::MeasuredIntake,
            intake,
            ..self
        }
    }

    /// The same ground, its intake solved so that the first run at `rate` runs off after
    /// `time`.
    ///
    /// The ground had been watered the day before, and so long it took until water first left the
    /// turf. Suction stays that of class and condition.
    ///
    /// # Errors
    /// Water left so soon that no intake of 0.3 mm/h or more explains it.
    pub fn with_timed_run(self, rate: PrecipitationRate, time: TestTime) -> Result<Self, Problem> {
        let minutes = time.to_minutes();
        let rate_mm_per_h = rate.to_mm_per_h();
        let runoff_minutes = |intake_mm_per_h: f64| {
            FirstRun::of(
                intake_mm_per_h,
                self.suction_mm,
                self.storage_mm,
                rate_mm_per_h,
            )
            .map_or(f64::INFINITY, |run| run.runoff_minutes)
        };
        if runoff_minutes(LEAST_TIMED_INTAKE) > minutes {
            return Err(Problem::Other(
                "is so short that the water assumed to stand on the surface explains almost all \
                 of it: compacted or water-repellent turf, or slope or precipitation rate is \
                 wrong; a longer time is accepted",
            ));
        }
        // The time grows with the intake and passes every bound as the intake nears the rate.
        let (mut low, mut high) = (LEAST_TIMED_INTAKE, rate_mm_per_h);
        while high - low > 1e-13 * high {
            let middle = 0.5 * (low + high);
            if middle <= low || middle >= high {
                break;
            }
            if runoff_minutes(middle) > minutes {
                high = middle;
            } else {
                low = middle;
            }
        }
        Ok(Self {
            basis: Basis::TimedOnSite,
            intake: IntakeRate::mm_per_h(low),
            ..self
        })
    }
}
