//! Extra water that washes salt below the roots, where the water brings salt.
//!
//! Leach only where the ground drains: on a tight subsoil extra water makes things worse. Rain in winter may do it for
//! nothing. Drip pushes salt to the edge of the wetted ground, where rain can wash it back in.

use crate::invalid::{Invalid, Problem};
use crate::quantity::{Conductivity, LeachingShare};
use crate::reference::{Source, Standing};

/// Where [`leaching`] and [`hazard`] come from.
pub const SOURCE: Source = Source {
    work: "Ayers & Westcot 1985, Water quality for agriculture, FAO Irrigation and Drainage Paper 29",
    place: "equation 7 (leaching requirement), table 1 (classes of water)",
    standing: Standing::Checked,
    note: "as reprinted; aims at the soil salinity at which plants still give nine tenths or more",
};

/// How salty water restricts its use.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Hazard {
    /// Below 0.7 dS/m: none.
    None,
    /// 0.7 to 3.0 dS/m: slight to moderate.
    SlightToModerate,
    /// Above 3.0 dS/m: severe.
    Severe,
}

/// Class of a water by its conductivity.
pub fn hazard(water: Conductivity) -> Hazard {
    match water.to_ds_per_m() {
        below if below < 0.7 => Hazard::None,
        within if within <= 3.0 => Hazard::SlightToModerate,
        _ => Hazard::Severe,
    }
}

/// What to say beside a leaching requirement.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LeachingRemark {
    /// The water is severely salty: have it judged before relying on it.
    SevereWater,
    /// More than a third of the water would only wash: other plants or other water come cheaper.
    LargeShare,
    /// Leach only where the ground drains.
    NeedsDrainage,
}

/// Share of the applied water that only washes, and what to say about it.
#[derive(Clone, Debug, PartialEq)]
pub struct Leaching {
    /// Applied depth = need / (1 - share).
    pub share: LeachingShare,
    /// Class of the water.
    pub hazard: Hazard,
    /// Cautions.
    pub remarks: Vec<LeachingRemark>,
}

/// A share above this is called large. Our judgement.
const LARGE: f64 = 1.0 / 3.0;

/// Leaching requirement: water of conductivity `water` on plants that bear `soil` (saturation extract).
///
/// ```text
/// LR = ECw / (5 ECe - ECw)
/// ```
///
/// # Errors
/// Water so salty that nine tenths of it and more would have to drain: about 2.4 times what the plants bear. (At 5 times
/// and above the equation has no sense at all.) Another plant or another water is wanted.
///
/// # Source
/// [`SOURCE`].
pub fn leaching(water: Conductivity, soil: Conductivity) -> Result<Leaching, Vec<Invalid>> {
    let (ec_w, ec_e) = (water.to_ds_per_m(), soil.to_ds_per_m());
    let below_five = 5.0 * ec_e - ec_w;
    let share = if below_five > 0.0 {
        ec_w / below_five
    } else {
        f64::INFINITY
    };
    let Ok(leached) = LeachingShare::try_of_one(share) else {
        let problem =
            Problem::Other("must be below 2.3 times what the plants bear: unsuitable water");
        return Err(vec![Invalid::new("water_ds_per_m", problem)]);
    };
    let hazard = hazard(water);
    let remarks = [
        (hazard == Hazard::Severe, LeachingRemark::SevereWater),
        (share > LARGE, LeachingRemark::LargeShare),
        (share > 0.0, LeachingRemark::NeedsDrainage),
    ];
    Ok(Leaching {
        share: leached,
        hazard,
        remarks: remarks
            .into_iter()
            .filter_map(|(holds, one)| holds.then_some(one))
            .collect(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn classes_meet_at_their_bounds() {
        let class = |ds| hazard(Conductivity::ds_per_m(ds));
        assert_eq!(class(0.69), Hazard::None);
        assert_eq!(class(0.7), Hazard::SlightToModerate);
        assert_eq!(class(3.0), Hazard::SlightToModerate);
        assert_eq!(class(3.01), Hazard::Severe);
    }

    #[test]
    fn pure_water_needs_no_leaching() {
        let found = leaching(Conductivity::ds_per_m(0.0), Conductivity::ds_per_m(2.0)).unwrap();
        assert_eq!((found.share.to_of_one(), found.remarks.len()), (0.0, 0));
    }
}
