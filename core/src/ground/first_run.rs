//! The first run on rested ground, in closed form (Smith & Parlange 1978).
//!
//! Under a steady rate P above the intake K the ground takes everything until the water taken in
//! reaches `B ln(P/(P − K))`; from then on water stands, and it runs off once the hollows are full.

use crate::math::{exp_m1, ln_1p};
use crate::reference::{Source, Standing};

/// Where the infiltration equation comes from.
pub const SMITH_PARLANGE: Source = Source {
    work: "Smith & Parlange 1978, Water Resour. Res. 14:533-538",
    place: "intake capacity K/(1 - exp(-I/B)) after I mm, B = suction head x room for water",
    standing: Standing::Checked,
    note: "checked against a Richards solver: early (safe) or within a few percent where the rate \
           is at least twice the intake; the head of standing water is left out",
};

/// When a first run at a steady rate ponds and runs off.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FirstRun {
    /// Water begins to stand, minutes after the start.
    pub ponding_minutes: f64,
    /// The hollows are full and water leaves, minutes after the start.
    pub runoff_minutes: f64,
}

impl FirstRun {
    /// `None` where the rate is not above the intake: such a run never ponds.
    ///
    /// Intake and rate in mm/h, suction (B) and storage in mm; intake, suction and rate above zero.
    pub fn of(
        intake_mm_per_h: f64,
        suction_mm: f64,
        storage_mm: f64,
        rate_mm_per_h: f64,
    ) -> Option<Self> {
        if rate_mm_per_h <= intake_mm_per_h {
            return None;
        }
        let at_ponding_mm = taken_at_ponding(intake_mm_per_h, suction_mm, rate_mm_per_h);
        // With y more taken in since ponding, water stands r (y + B (exp(-y/B) - 1)) deep.
        let r = (rate_mm_per_h - intake_mm_per_h) / intake_mm_per_h;
        let since_mm = suction_mm * taken(1.0, storage_mm / (r * suction_mm));
        let minutes_per_mm = 60.0 / rate_mm_per_h;
        Some(Self {
            ponding_minutes: at_ponding_mm * minutes_per_mm,
            runoff_minutes: (at_ponding_mm + since_mm + storage_mm) * minutes_per_mm,
        })
    }
}

/// Water taken in when ponding begins under a steady rate above the intake, mm: B ln(P/(P − K)).
pub fn taken_at_ponding(intake_mm_per_h: f64, suction_mm: f64, rate_mm_per_h: f64) -> f64 {
    -suction_mm * ln_1p(-intake_mm_per_h / rate_mm_per_h)
}

/// Solves `z + a (exp(−z) − 1) = c` for the larger root, `a` above 0 and `c` not negative.
///
/// With `a = exp(−I/B)` and `c = K t/B`, ground under standing water that has taken in `I` takes
/// `z B` more during `t`. Newton's method from the right on a convex function: it never overshoots
/// and so needs no guard but the count.
pub(super) fn taken(a: f64, c: f64) -> f64 {
    if c <= 0.0 && a <= 1.0 {
        return 0.0;
    }
    let mut z = c + a;
    if a <= 1.0 {
        z = z.min(c + (2.0 * c).sqrt());
    }
    if a < 1.0 {
        z = z.min(c / (1.0 - a));
    }
    for _ in 0..40 {
        let decay = exp_m1(-z);
        let slope = 1.0 - a - a * decay;
        if slope <= 0.0 {
            break;
        }
        let step = (z + a * decay - c) / slope;
        z -= step;
        // The next step would be about the square of this one.
        if step <= 1e-8 * z {
            break;
        }
    }
    z
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The larger root solves its equation, from a front just begun to one long forgotten.
    #[test]
    fn taken_solves_its_equation() {
        for a in [1e-300, 0.01, 0.5, 0.999_999, 1.0, 1.5, 20.0] {
            for c in [1e-12, 1e-6, 0.01, 1.0, 50.0, 1e5] {
                let z = taken(a, c);
                let residual = z + a * exp_m1(-z) - c;
                assert!(
                    residual.abs() <= 1e-12 * (c + a),
                    "a {a} c {c} z {z}: {residual}"
                );
                assert!(
                    1.0 - a - a * exp_m1(-z) >= 0.0,
                    "the larger root: a {a} c {c}"
                );
            }
        }
        assert_eq!(taken(1.0, 0.0), 0.0);
    }

    #[test]
    fn a_rate_up_to_the_intake_never_ponds() {
        assert_eq!(FirstRun::of(10.0, 15.0, 1.0, 10.0), None);
        let barely = FirstRun::of(10.0, 15.0, 1.0, 10.0 * (1.0 + 1e-12)).unwrap();
        assert!(barely.ponding_minutes.is_finite() && barely.runoff_minutes.is_finite());
        assert!(barely.runoff_minutes > barely.ponding_minutes);
    }
}
