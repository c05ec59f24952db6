//! Numbers with their unit, checked once where they enter.
//!
//! A quantity is finite and inside its stated range for as long as it lives. `try_…` is for what a person typed and
//! says what would be accepted; the plain constructor is for tables and tests and panics at compile time or in the
//! test. Inside a function the numbers are unwrapped once (`to_…`) and the equation is written as its source prints it.

use crate::invalid::Problem;

macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident, $make:ident, $try_make:ident, $to:ident, $least:expr, $most:expr) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
        pub struct $name(f64);

        impl $name {
            /// Smallest accepted value, in the unit of the constructor.
            pub const LEAST: f64 = $least;
            /// Largest accepted value, in the unit of the constructor.
            pub const MOST: f64 = $most;

            /// For tables and tests. Panics where the `try_` form gives an error.
            #[track_caller]
            pub const fn $make(value: f64) -> Self {
                assert!(
                    value.is_finite() && value >= Self::LEAST && value <= Self::MOST,
                    concat!(stringify!($name), " outside its range")
                );
                Self(value)
            }

            /// For what a person typed.
            ///
            /// # Errors
            /// Not finite, or outside `LEAST` to `MOST`.
            pub const fn $try_make(value: f64) -> Result<Self, Problem> {
                if !value.is_finite() {
                    Err(Problem::NotANumber)
                } else if value < Self::LEAST || value > Self::MOST {
                    Err(Problem::OutOfRange { least: Self::LEAST, most: Self::MOST })
                } else {
                    Ok(Self(value))
                }
            }

            /// The number in the unit of the constructor.
            pub const fn $to(self) -> f64 {
                self.0
            }
        }
    };
}

quantity!(
    /// Steepness of the ground: rise over run, in percent (100 is 45 degrees). Uphill and downhill are the same.
    Slope, percent, try_percent, to_percent, 0.0, 100.0
);
quantity!(
    /// How fast a station lays water on the ground it wets (precipitation rate), mm/h. Above zero.
    PrecipitationRate, mm_per_h, try_mm_per_h, to_mm_per_h, 0.05, 1_000.0
);
quantity!(
    /// How fast ground takes water in (intake rate), mm/h. Above zero.
    IntakeRate, mm_per_h, try_mm_per_h, to_mm_per_h, 0.1, 1_000.0
);
quantity!(
    /// A depth of water on or in the ground, mm.
    Depth, mm, try_mm, to_mm, 0.0, 20_000.0
);
quantity!(
    /// A length of pipe, wire or ground, metres.
    Length, m, try_m, to_m, 0.0, 100_000.0
);
quantity!(
    /// Ground that a station wets, square metres. Above zero, so dividing by it is safe.
    Area, m2, try_m2, to_m2, 0.01, 100_000_000.0
);
quantity!(
    /// Flow, litres a minute.
    Flow, l_per_min, try_l_per_min, to_l_per_min, 0.0, 1_000_000.0
);
quantity!(
    /// A share of a whole, 0 to 1: uniformity, efficiency, depletion.
    Share, of_one, try_of_one, to_of_one, 0.0, 1.0
);

/// Checks a number that has no type of its own: from `least` to `most`, both accepted.
pub fn between(least: f64, most: f64) -> impl Fn(f64) -> Result<f64, Problem> {
    move |number| {
        if !number.is_finite() {
            Err(Problem::NotANumber)
        } else if number < least || number > most {
            Err(Problem::OutOfRange { least, most })
        } else {
            Ok(number)
        }
    }
}

mod weather;
pub use weather::{
    AirTemperature, DailyNeed, Elevation, Evapotranspiration, GaugeHeight, HoursOfDay, Latitude,
    Longitude, PlantFactor, RelativeHumidity, SoilHeat, SolarRadiation, VapourPressure, WindSpeed,
};

mod pipe;
pub use pipe::{Bore, Pressure, Rise, Smoothness, Velocity};

mod wire;
pub use wire::{ApparentPower, Current, Resistance, Tension, WireResistance, WireTemperature};

mod share;
pub use share::{Conductivity, Efficiency};

mod layout;
pub use layout::{Arc, EmitterFlow, LeachingShare, Opening, Spacing, TestTime, Volume};
