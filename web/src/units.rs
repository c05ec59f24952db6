//! The only file that asks "SI or US?". Typed numbers become SI here and SI becomes shown text here.
//!
//! A typed number is kept as it was typed, with the system it was typed in; switching the system
//! changes what is shown and never what is kept. Factors are exact by definition: inch 25.4 mm,
//! foot 0.3048 m, US gallon 3.785411784 L (NIST SP 811, appendix B).

use crate::document::named;
use crate::numbers;

/// A pound-force on a square inch: 0.45359237 kg × 9.80665 m/s² over (0.0254 m)².
const KPA_PER_PSI: f64 = 0.45359237 * 9.80665 / (0.0254 * 0.0254) / 1000.0;

named! {
    /// Which units numbers are shown and typed in.
    System {
        /// Millimetres, litres, metres.
        #[default]
        Si = "si",
        /// Inches, gallons, feet.
        Us = "us",
    }
}

/// What a number measures; settles its unit in both systems.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// mm/h, in/h.
    Rate,
    /// Depth of water: mm, in.
    Depth,
    /// Depth of water a day: mm/day, in/day.
    DepthPerDay,
    /// Depth of soil: cm, in. SI inside: mm.
    SoilDepth,
    /// L/min, gal/min.
    Flow,
    /// L/h, gal/h.
    EmitterFlow,
    /// m², ft².
    Area,
    /// m, ft.
    Spacing,
    /// Small spacing: cm, in. SI inside: m.
    DripSpacing,
    /// L, gal.
    Volume,
    /// Opening of a can: cm², in².
    Opening,
    /// A height measured with a ruler: mm, in.
    Height,
    /// Percent. Inside: percent too.
    Percent,
    /// Degrees of angle.
    Degrees,
    /// Degrees of latitude or longitude.
    OnEarth,
    /// Minutes.
    Minutes,
    /// Seconds.
    Seconds,
    /// bar, psi. Inside: kPa.
    Pressure,
    /// m/s, ft/s.
    Velocity,
    /// Ohms.
    Ohm,
    /// Something counted.
    Count,
    /// A plain factor.
    Factor,
}

impl Kind {
    /// The unit's sign in a system.
    pub fn sign(self, system: System) -> &'static str {
        let (si, us) = match self {
            Self::Rate => ("mm/h", "in/h"),
            Self::Depth | Self::Height => ("mm", "in"),
            Self::DepthPerDay => ("mm/d", "in/d"),
            Self::SoilDepth | Self::DripSpacing => ("cm", "in"),
            Self::Flow => ("L/min", "gal/min"),
            Self::EmitterFlow => ("L/h", "gal/h"),
            Self::Area => ("m²", "ft²"),
            Self::Spacing => ("m", "ft"),
            Self::Volume => ("L", "gal"),
            Self::Opening => ("cm²", "in²"),
            Self::Percent => ("%", "%"),
            Self::Degrees | Self::OnEarth => ("°", "°"),
            Self::Minutes => ("min", "min"),
            Self::Seconds => ("s", "s"),
            Self::Pressure => ("bar", "psi"),
            Self::Velocity => ("m/s", "ft/s"),
            Self::Ohm => ("Ω", "Ω"),
            Self::Count | Self::Factor => ("", ""),
        };
        if system == System::Us { us } else { si }
    }

    /// What one unit of the system is inside.
    fn factor(self, system: System) -> f64 {
        let (si, us) = match self {
            Self::Rate | Self::Depth | Self::DepthPerDay | Self::Height => (1.0, 25.4),
            Self::SoilDepth => (10.0, 25.4),
            Self::Flow | Self::EmitterFlow | Self::Volume => (1.0, 3.785411784),
            Self::Area => (1.0, 0.3048 * 0.3048),
            Self::Spacing | Self::Velocity => (1.0, 0.3048),
            Self::Pressure => (100.0, KPA_PER_PSI),
            Self::DripSpacing => (0.01, 0.0254),
            Self::Opening => (1.0, 6.4516),
            _ => (1.0, 1.0),
        };
        if system == System::Us { us } else { si }
    }

    /// A number typed in a system, as the inside sees it.
    pub fn inward(self, typed: f64, system: System) -> f64 {
        typed * self.factor(system)
    }

    /// An inside number in a system's unit.
    pub fn outward(self, inside: f64, system: System) -> f64 {
        inside / self.factor(system)
    }

    /// An inside number for reading: short, without its unit.
    pub fn show(self, inside: f64, system: System, comma: bool) -> String {
        let number = self.outward(inside, system);
        match self {
            // Three places are 100 km of longitude.
            Self::OnEarth => numbers::write(number, 2, comma),
            _ => numbers::write_short(number, comma),
        }
    }

    /// An inside number for reading, with its unit.
    pub fn show_with_sign(self, inside: f64, system: System, comma: bool) -> String {
        let number = self.show(inside, system, comma);
        match self.sign(system) {
            "" => number,
            sign @ ("%" | "°") => {
                format!("{number}{}{sign}", if sign == "%" { "\u{a0}" } else { "" })
            }
            sign => format!("{number}\u{a0}{sign}"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// NIST SP 811, appendix B.8: in/h and gal/min as derived from the exact inch and gallon.
    #[test]
    fn factors_are_the_exact_ones() {
        assert!((Kind::Rate.inward(1.5, System::Us) - 38.1).abs() < 1e-12);
        assert_eq!(Kind::Flow.inward(1.0, System::Us), 3.785411784);
        assert!((Kind::Area.inward(1.0, System::Us) - 0.09290304).abs() < 1e-16);
        assert_eq!(Kind::Opening.inward(1.0, System::Us), 6.4516);
        // Appendix B.8 prints 6.894757 E+03 Pa.
        assert!((Kind::Pressure.inward(1.0, System::Us) - 6.894757).abs() < 5e-7);
    }

    #[test]
    fn inside_is_shown_in_either_system() {
        assert_eq!(
            Kind::Rate.show_with_sign(38.1, System::Us, false),
            "1.5\u{a0}in/h"
        );
        assert_eq!(
            Kind::Rate.show_with_sign(38.0, System::Si, false),
            "38\u{a0}mm/h"
        );
        assert_eq!(
            Kind::SoilDepth.show_with_sign(150.0, System::Si, false),
            "15\u{a0}cm"
        );
        assert_eq!(
            Kind::Percent.show_with_sign(8.5, System::Si, true),
            "8,5\u{a0}%"
        );
        assert_eq!(
            Kind::OnEarth.show_with_sign(-121.74, System::Us, false),
            "-121.74°"
        );
    }
}
