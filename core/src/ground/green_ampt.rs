//! Infiltration after Green and Ampt, for comparison: the equations that handbooks and drainage
//! programs use.
//!
//! Longest runs are not reckoned with it. Against a Richards solver it ponds late, by up to 40 %
//! where the rate is two to four times the intake, and by a multiple below; Smith and Parlange's
//! equation ([`first_run`](super::first_run)) needs the same two numbers and is nearer, or early.
//!
//! Intake (K) and rates in mm/h, depths in mm, suction (B = suction head × room for water) in mm;
//! all above zero.

use crate::math::{ln, ln_1p};
use crate::reference::{Source, Standing};

/// Where the equations come from.
pub const GREEN_AMPT: Source = Source {
    work: "Green & Ampt 1911; Mein & Larson 1973, Water Resour. Res. 9:384-394; as in Chow, \
           Maidment & Mays 1988, Applied Hydrology, sections 4.3, 4.4 and 5.4",
    place: "f = K (1 + B/F); ponding at F = K B/(P - K)",
    standing: Standing::Checked,
    note: "",
};

/// What the ground could take in after so much, mm/h.
pub fn capacity_mm_per_h(intake: f64, suction: f64, taken_in: f64) -> f64 {
    intake * (1.0 + suction / taken_in)
}

/// Water taken in when ponding begins under a steady rate, mm; `None` where it never does.
pub fn taken_at_ponding(intake: f64, suction: f64, rate: f64) -> Option<f64> {
    (rate > intake).then(|| intake * suction / (rate - intake))
}

/// Water taken in, in all, after some hours of standing water, mm; `before` (not negative) had
/// been taken in when they began.
pub fn taken_in_ponded(intake: f64, suction: f64, before: f64, hours: f64) -> f64 {
    if hours <= 0.0 {
        return before;
    }
    // Solves y - B ln(1 + y/(B + F)) = K t for y, the water taken in since. Newton from the right
    // on a convex function does not overshoot: from a bound on the logarithm, ln(1 + x) <= sqrt(x).
    let (scale, reach) = (suction + before, intake * hours);
    let root = 0.5 * (suction / scale.sqrt() + (suction * suction / scale + 4.0 * reach).sqrt());
    let mut y = root * root;
    for _ in 0..60 {
        let step = (y - suction * ln_1p(y / scale) - reach) / (1.0 - suction / (scale + y));
        y -= step;
        if step <= 1e-14 * y {
            break;
        }
    }
    before + y
}

/// Hours of standing water in which the water taken in grows from `before` to `after`, mm.
pub fn hours_ponded(intake: f64, suction: f64, before: f64, after: f64) -> f64 {
    (after - before - suction * ln((suction + after) / (suction + before))) / intake
}
