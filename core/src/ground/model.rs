//! The soil model of one ground, and how its surface drains in a soak.
//!
//! In a soak the wetted soil drains and widens downward, which gives the surface its suction back
//! (redistribution).

use super::soil::{Ground, SoilClass, class};
use crate::math::{exp, ln_1p, pow};
use crate::reference::{Source, Standing};

/// Where the redistribution comes from.
pub const REDISTRIBUTION: Source = Source {
    work: "Ogden & Saghafian 1997, J. Irrig. Drain. Eng. 123:386-393; same form as Smith, \
           Corradini & Melone 1993, Water Resour. Res. 29",
    place: "dθ/dt = -(1/Z)[K(θ) - K(θi) + Ks G/Z], Z = F/(θ - θi)",
    standing: Standing::Checked,
    note: "checked against a Richards solver over six runs: no ponding missed, later runs err \
           early",
};

/// How dry the ground is when the first water comes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Start {
    /// At its allowed depletion, when a watering is due.
    Due,
    /// At field capacity, as on the day after a watering.
    Wet,
}

impl Start {
    /// Both.
    pub const ALL: [Start; 2] = [Self::Due, Self::Wet];

    /// The words of [`Start::ALL`], in its order.
    pub const WORDS: [&str; 2] = ["due", "wet"];
}

/// Suction of ground at its allowed depletion over that at field capacity: judgement, after
/// the half-depleted classes of Rawls, Brakensiek & Saxton 1982. It multiplies ψ, so the room for
/// water and everything else in the equations stays as at field capacity.
pub const DUE_SUCTION: f64 = 1.4;

/// Smallest suction (B) reckoned with, mm: a front on full ground has none and takes in K at once.
const LEAST_SUCTION_MM: f64 = 1e-6;

/// Step of the drainage, in natural logarithms of time. With it the surface's filling is right to
/// 4e-5 of the room for water, on every class.
const DRAINAGE_STEP: f64 = 0.4;

/// The soil model of one ground: what [`Event`](super::event::Event) needs of it,
/// reckoned once.
#[derive(Clone, Debug)]
pub struct Model {
    pub(super) intake: f64,
    pub(super) suction: f64,
    pub(super) storage: f64,
    /// Water content when full, and the room above field capacity (θs, θs − θi).
    pub(super) full: f64,
    pub(super) room: f64,
    curves: Curves,
    drainage_step: f64,
}

impl Model {
    /// The model of some ground, as dry as `start` says.
    pub fn new(ground: &Ground, start: Start) -> Self {
        let suction_factor = match start {
            Start::Due => DUE_SUCTION,
            Start::Wet => 1.0,
        };
        let class = SoilClass {
            intake_mm_per_h: ground.intake.to_mm_per_h(),
            suction_mm: ground.suction_mm * suction_factor,
            ..class(ground.soil)
        };
        Self::of(&class, ground.storage_mm)
    }

    /// The model of a soil given by its parameters, which are to be positive, the water contents
    /// rising from residual over field capacity to full; and of what can stand on it, mm.
    pub fn of(soil: &SoilClass, storage_mm: f64) -> Self {
        let lowest = (soil.field_capacity - soil.residual) / (soil.full - soil.residual);
        Self {
            intake: soil.intake_mm_per_h,
            suction: soil.suction_mm,
            storage: storage_mm,
            full: soil.full,
            room: soil.full - soil.field_capacity,
            curves: Curves::of(lowest, 1.0 / soil.pore_index),
            drainage_step: DRAINAGE_STEP,
        }
    }

    /// The same with every step of the drainage divided by `parts`, to show that the step is fine
    /// enough.
    pub fn with_finer_drainage(mut self, parts: u32) -> Self {
        self.drainage_step /= f64::from(parts.max(1));
        self
    }

    /// What suction a drained surface has got back (B of a new front), mm.
    pub(super) fn suction_at(&self, filled: f64) -> f64 {
        let left = 1.0 - self.curves.at(filled).0;
        (self.suction * left * (1.0 - filled)).max(LEAST_SUCTION_MM)
    }

    /// Share of the room for water that is filled at the surface when `water` mm have drained for
    /// some time: (θ − θi)/(θs − θi).
    ///
    /// Runge and Kutta's fourth order over the logarithm of time, counted in the time in which the
    /// drainage slows by a factor e at first: in it the drainage is nearly straight.
    pub(super) fn filled_after(&self, water: f64, hours: f64) -> f64 {
        let curves = &self.curves;
        let scale = self.intake / water;
        let pull = self.suction / water;
        let weight = curves.gravity_rise;
        let rate = |x: f64| {
            let (sucking, gravity) = curves.at(x);
            scale * x * (weight * gravity + pull * x * sucking)
        };
        let first = scale * (weight + pull);
        let slowing = 1.0
            + (weight * curves.gravity_slope + pull * (1.0 + curves.suction_slope))
                / (weight + pull);
        let whole = ln_1p(first * slowing * hours);
        let steps = (whole / self.drainage_step).ceil().max(1.0);
        let h = whole / steps;
        let half = exp(0.5 * h);
        let mut grown = 1.0 / (first * slowing);
        let mut x = 1.0;
        let mut k1 = 1.0 / slowing;
        for _ in 0..steps as u32 {
            let middle = grown * half;
            let end = middle * half;
            let k2 = middle * rate(x - 0.5 * h * k1);
            let k3 = middle * rate(x - 0.5 * h * k2);
            let k4 = end * rate(x - h * k3);
            x -= h / 6.0 * (k1 + 2.0 * (k2 + k3) + k4);
            grown = end;
            k1 = grown * rate(x);
        }
        x.clamp(0.0, 1.0)
    }
}

/// Number of pieces that each of [`Curves`] is drawn of.
const PIECES: usize = 32;

/// Two powers of the saturation, `S^(3+1/λ)` and `S^(3+2/λ)`, against the filled share x of the
/// room for water, each less its value at field capacity and over what is left, so that it runs
/// from 0 to 1. Drawn of cubics that keep value and slope at their ends, right to 1e-6: a replay
/// asks for them thousands of times.
#[derive(Clone, Debug)]
struct Curves {
    /// Coefficients of each piece, constant first: four of the first power, four of the second.
    pieces: [[f64; 8]; PIECES],
    /// Slopes where the room is full.
    suction_slope: f64,
    gravity_slope: f64,
    /// By how much the second power rises from field capacity until full.
    gravity_rise: f64,
}

impl Curves {
    fn of(lowest_saturation: f64, inverse_pore_index: f64) -> Self {
        let powers = [3.0 + inverse_pore_index, 3.0 + 2.0 * inverse_pore_index];
        let free = 1.0 - lowest_saturation;
        let width = 1.0 / PIECES as f64;
        let mut pieces = [[0.0; 8]; PIECES];
        for (power, offset) in powers.into_iter().zip([0, 4]) {
            let low = pow(lowest_saturation, power);
            let point = |number: usize| {
                let saturation = lowest_saturation + free * width * number as f64;
                let value = pow(saturation, power);
                let slope = power * value / saturation * free * width;
                ((value - low) / (1.0 - low), slope / (1.0 - low))
            };
            let (mut left, mut left_slope) = point(0);
            for (number, piece) in pieces.iter_mut().enumerate() {
                let (right, right_slope) = point(number + 1);
                let rise = right - left;
                piece[offset] = left;
                piece[offset + 1] = left_slope;
                piece[offset + 2] = 3.0 * rise - 2.0 * left_slope - right_slope;
                piece[offset + 3] = left_slope + right_slope - 2.0 * rise;
                (left, left_slope) = (right, right_slope);
            }
        }
        let rise = |power: f64| 1.0 - pow(lowest_saturation, power);
        Self {
            pieces,
            suction_slope: powers[0] * free / rise(powers[0]),
            gravity_slope: powers[1] * free / rise(powers[1]),
            gravity_rise: rise(powers[1]),
        }
    }

    /// The first power's curve and the second's.
    #[inline]
    fn at(&self, x: f64) -> (f64, f64) {
        let place = (x * PIECES as f64).clamp(0.0, PIECES as f64);
        let number = (place as usize).min(PIECES - 1);
        let t = place - number as f64;
        let [a, b, c, d, e, f, g, h] = self.pieces[number];
        (a + t * (b + t * (c + t * d)), e + t * (f + t * (g + t * h)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ground::{Condition, Texture};
    use crate::quantity::Slope;

    fn models() -> impl Iterator<Item = (Ground, Model)> {
        Texture::ALL.into_iter().flat_map(|soil| {
            Condition::ALL.into_iter().map(move |condition| {
                let ground = Ground::of_class(soil, Slope::percent(2.0), condition);
                (ground, Model::new(&ground, Start::Wet))
            })
        })
    }

    /// The curves against the powers they are drawn through, between their points too.
    #[test]
    fn curves_keep_to_their_powers() {
        for (ground, model) in models() {
            let class = class(ground.soil);
            let whole = class.full - class.residual;
            let lowest = (class.field_capacity - class.residual) / whole;
            for step in 0..=1_000 {
                let x = f64::from(step) / 1_000.0;
                let exactly = |power: f64| {
                    let low = pow(lowest, power);
                    (pow(lowest + x * (1.0 - lowest), power) - low) / (1.0 - low)
                };
                let (sucking, gravity) = model.curves.at(x);
                let inverse = 1.0 / class.pore_index;
                let errors = [
                    sucking - exactly(3.0 + inverse),
                    gravity - exactly(3.0 + 2.0 * inverse),
                ];
                assert!(
                    errors.iter().all(|e| e.abs() < 1e-6),
                    "{:?} {errors:?}",
                    ground.soil
                );
            }
        }
    }

    /// The step of the drainage against one a sixteenth as long.
    #[test]
    fn drainage_is_stepped_finely_enough() {
        for (ground, model) in models() {
            let finer = model.clone().with_finer_drainage(16);
            for water in [0.3, 1.0, 3.0, 8.0, 20.0, 50.0] {
                for minutes in [0.1, 1.0, 5.0, 15.0, 30.0, 60.0, 180.0, 1_440.0] {
                    let hours = minutes / 60.0;
                    let error = model.filled_after(water, hours) - finer.filled_after(water, hours);
                    assert!(
                        error.abs() < 4e-5,
                        "{:?} {water} {minutes}: {error}",
                        ground.soil
                    );
                }
            }
        }
    }

    #[test]
    fn a_drained_surface_has_all_its_suction_and_a_full_one_none() {
        for (ground, model) in models() {
            assert!((model.suction_at(0.0) - ground.suction_mm).abs() < 1e-9);
            assert_eq!(model.suction_at(1.0), LEAST_SUCTION_MM);
            assert_eq!(model.filled_after(5.0, 0.0), 1.0);
        }
    }
}
