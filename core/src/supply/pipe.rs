//! Friction and speed of water in full pipes.

use core::f64::consts::PI;

use crate::math;
use crate::quantity::{Bore, Flow, Length, Smoothness, Velocity};
use crate::reference::{Source, Standing};

/// Where [`loss`] comes from.
pub const SOURCE: Source = Source {
    work: "Hazen & Williams 1905",
    place: "SI form, constant 10.67",
    standing: Standing::Checked,
    note: "0.1 to 0.2 % below the network solver EPANET 2.2; reads low in small slow pipes",
};

/// Speed that pipes are usually kept below: 5 ft/s.
pub const USUAL_VELOCITY: Velocity = Velocity::m_per_s(1.524);

/// Where [`USUAL_VELOCITY`] comes from.
pub const VELOCITY_SOURCE: Source = Source {
    work: "Jarrett 2000, pp. 336-337; Pair et al. 1983 (irrigation textbooks)",
    place: "main lines at or below 5 ft/s, more so with valves that close fast",
    standing: Standing::Checked,
    note: "seen as cited by others",
};

/// Weight of a metre of water, kPa: 1000 kg/m3 at standard gravity.
///
/// Trade tables round this to 0.433 psi a foot (9.79 kPa/m), water at about 20 degrees.
pub const KPA_PER_METRE: f64 = 9.80665;

/// What a length of pipe takes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PipeLoss {
    /// Pressure lost to friction, kPa.
    pub loss_kpa: f64,
    /// Speed of the water, m/s.
    pub velocity_m_per_s: f64,
}

/// Pressure lost along a pipe, and how fast the water moves in it.
///
/// ```text
/// h [m] = 10.67 L Q^1.852 / (C^1.852 D^4.8704)        L, D in m, Q in m3/s
/// ```
///
/// Water near 20 degrees in a full pipe; bends and fittings come on top.
///
/// # Source
/// [`SOURCE`].
///
/// # Example
/// ```
/// use drycurb_core::quantity::{Bore, Flow, Length, Smoothness};
/// use drycurb_core::supply::pipe::loss;
/// let found = loss(
///     Length::m(30.48),
///     Bore::mm(26.6446),
///     Flow::l_per_min(37.854),
///     Smoothness::hazen_williams(150.0),
/// );
/// // The trade form gives 2.376 psi, 16.38 kPa.
/// assert!((found.loss_kpa - 16.38).abs() < 0.05);
/// ```
pub fn loss(length: Length, bore: Bore, flow: Flow, smoothness: Smoothness) -> PipeLoss {
    let diameter_m = bore.to_mm() / 1000.0;
    let flow_m3_per_s = flow.to_l_per_min() / 60_000.0;
    let head_m = 10.67 * length.to_m() * math::pow(flow_m3_per_s, 1.852)
        / (math::pow(smoothness.to_hazen_williams(), 1.852) * math::pow(diameter_m, 4.8704));
    PipeLoss {
        loss_kpa: head_m * KPA_PER_METRE,
        velocity_m_per_s: flow_m3_per_s / section_m2(bore),
    }
}

/// Flow at which water moves at a given speed: the most a pipe should carry, where that speed is the limit.
pub fn flow_at(velocity: Velocity, bore: Bore) -> Flow {
    let l_per_min = velocity.to_m_per_s() * section_m2(bore) * 60_000.0;
    Flow::l_per_min(l_per_min.min(Flow::MOST))
}

fn section_m2(bore: Bore) -> f64 {
    let diameter_m = bore.to_mm() / 1000.0;
    PI / 4.0 * diameter_m * diameter_m
}

/// What a pipe is made of, and thereby which standard gives its bores.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Material {
    /// PVC, schedule 40 (ASTM D1785).
    PvcSchedule40,
    /// PVC, class 315 (SDR 13.5).
    PvcClass315,
    /// PVC, class 200 (SDR 21, ASTM D2241).
    PvcClass200,
    /// PVC, class 160 (SDR 26).
    PvcClass160,
    /// Copper tube type K (ASTM B88).
    CopperK,
    /// Copper tube type L.
    CopperL,
    /// Polyethylene pipe, inside diameter controlled (ASTM D2239).
    PolyethylenePipe,
    /// Polyethylene tube of copper sizes, SDR 9 (ASTM D2737).
    PolyethyleneTube,
    /// Galvanized steel pipe, schedule 40.
    GalvanizedSteel,
}

impl Material {
    /// Every material, in the order of [`Material::WORDS`].
    pub const ALL: &'static [Self] = &[
        Self::PvcSchedule40,
        Self::PvcClass315,
        Self::PvcClass200,
        Self::PvcClass160,
        Self::CopperK,
        Self::CopperL,
        Self::PolyethylenePipe,
        Self::PolyethyleneTube,
        Self::GalvanizedSteel,
    ];

    /// The materials' names at the JSON door.
    pub const WORDS: &'static [&'static str] = &[
        "pvc_schedule_40",
        "pvc_class_315",
        "pvc_class_200",
        "pvc_class_160",
        "copper_k",
        "copper_l",
        "polyethylene_pipe",
        "polyethylene_tube",
        "galvanized_steel",
    ];
}

/// Nominal sizes, inches: names, not measures.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NominalSize {
    /// 1/2.
    Half,
    /// 3/4.
    ThreeQuarters,
    /// 1.
    One,
    /// 1 1/4.
    OneAndAQuarter,
    /// 1 1/2.
    OneAndAHalf,
    /// 2.
    Two,
    /// 2 1/2.
    TwoAndAHalf,
    /// 3.
    Three,
    /// 4.
    Four,
}

impl NominalSize {
    /// Every size, smallest first, in the order of [`NominalSize::WORDS`].
    pub const ALL: &'static [Self] = &[
        Self::Half,
        Self::ThreeQuarters,
        Self::One,
        Self::OneAndAQuarter,
        Self::OneAndAHalf,
        Self::Two,
        Self::TwoAndAHalf,
        Self::Three,
        Self::Four,
    ];

    /// The sizes' names at the JSON door, inches.
    pub const WORDS: &'static [&'static str] =
        &["1/2", "3/4", "1", "1-1/4", "1-1/2", "2", "2-1/2", "3", "4"];
}

/// Where the PVC and steel columns of [`bore`] come from.
pub const PLASTIC_SOURCE: Source = Source {
    work: "ASTM D1785 (schedule 40), ASTM D2241 (SDR classes)",
    place: "nominal outside diameter less two minimum walls",
    standing: Standing::Checked,
    note: "as listed in the open library fluids 1.3.1; prints vary by 0.01 in; steel pipe of \
           schedule 40 has the same bores",
};

/// Where the copper and polyethylene columns of [`bore`] come from.
pub const TUBE_SOURCE: Source = Source {
    work: "ASTM B88 (copper), ASTM D2239 and D2737 (polyethylene)",
    place: "inside diameters",
    standing: Standing::FromMemory,
    note: "",
};

/// Inside diameter of a pipe by material and size; `None` where the size is not made or not listed.
#[rustfmt::skip]
pub fn bore(material: Material, size: NominalSize) -> Option<Bore> {
    // Thousandths of an inch, 1/2 to 4; 0 where there is none.
    let row: [u16; 9] = match material {
        Material::PvcSchedule40 | Material::GalvanizedSteel =>
                                      [622, 824, 1049, 1380, 1610, 2067, 2469, 3068, 4026],
        Material::PvcClass315 =>      [716, 894, 1121, 1414, 1618, 2023, 2449, 2982, 3834],
        Material::PvcClass200 =>      [  0, 930, 1189, 1502, 1720, 2149, 2601, 3166, 4072],
        Material::PvcClass160 =>      [  0,   0, 1195, 1532, 1754, 2193, 2655, 3230, 4154],
        Material::CopperK =>          [527, 745,  995, 1245, 1481, 1959, 2435, 2907, 3857],
        Material::CopperL =>          [545, 785, 1025, 1265, 1505, 1985, 2465, 2945, 3905],
        Material::PolyethylenePipe => [622, 824, 1049, 1380, 1610, 2067,    0,    0,    0],
        Material::PolyethyleneTube => [  0, 681,  875, 1069, 1263, 1653,    0,    0,    0],
    };
    let place = NominalSize::ALL.iter().position(|listed| *listed == size)?;
    match row[place] {
        0 => None,
        thousandths => Some(Bore::mm(f64::from(thousandths) * 0.0254)),
    }
}

/// Where [`smoothness`] comes from.
pub const SMOOTHNESS_SOURCE: Source = Source {
    work: "Irrigation textbooks",
    place: "Hazen-Williams C by pipe material",
    standing: Standing::FromMemory,
    note: "plastic 150; copper 140 new, 130 aged, here 130; galvanized 100 to 120, here 100",
};

/// The usual C of a material, the cautious end where a range is printed.
pub const fn smoothness(material: Material) -> Smoothness {
    Smoothness::hazen_williams(match material {
        Material::CopperK | Material::CopperL => 130.0,
        Material::GalvanizedSteel => 100.0,
        _ => 150.0,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_word_has_its_meaning() {
        assert_eq!(Material::ALL.len(), Material::WORDS.len());
        assert_eq!(NominalSize::ALL.len(), NominalSize::WORDS.len());
    }

    #[test]
    fn bores_grow_with_the_size() {
        for material in Material::ALL {
            let bores: Vec<Bore> = NominalSize::ALL
                .iter()
                .filter_map(|size| bore(*material, *size))
                .collect();
            assert!(bores.len() >= 5);
            assert!(
                bores.windows(2).all(|pair| pair[0] < pair[1]),
                "{material:?}"
            );
        }
    }

    #[test]
    fn still_water_loses_nothing() {
        let (length, bore) = (Length::m(100.0), Bore::mm(25.0));
        let still = loss(
            length,
            bore,
            Flow::l_per_min(0.0),
            Smoothness::hazen_williams(150.0),
        );
        assert_eq!((still.loss_kpa, still.velocity_m_per_s), (0.0, 0.0));
    }
}
