//! Water on ground, replayed: pulses of any rate, standing water, soaks between them.
//!
//! While it rains the intake follows Smith and Parlange in closed form. In a soak the wetted soil
//! drains and widens downward, which gives the surface its suction back (redistribution). Nothing
//! is stepped but that drainage. Every millimetre is accounted for: applied = taken in + standing +
//! run off.
//!
//! Left out: seals, water repellence, layers, the head of standing water, the merging of an old
//! wetting front with a new one, plants and evaporation.

use super::first_run::{taken, taken_at_ponding};
use super::soil::{Ground, SoilClass, class};
use crate::math::{exp, exp_m1, ln, ln_1p, pow};
use crate::reference::{Source, Standing};

/// Where the redistribution comes from.
pub const REDISTRIBUTION: Source = Source {
    work: "Ogden & Saghafian 1997, J. Irrig. Drain. Eng. 123:386-393; same form as Smith, Corradini \
           & Melone 1993, Water Resour. Res. 29",
    place: "dθ/dt = -(1/Z)[K(θ) - K(θi) + Ks G/Z], Z = F/(θ - θi)",
    standing: Standing::Checked,
    note: "checked against a Richards solver over six runs: no ponding missed, later runs err early",
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
/// 3e-5 of the room for water, on every class.
const DRAINAGE_STEP: f64 = 0.4;

/// The soil model of one ground: what [`Event`] needs of it, reckoned once.
#[derive(Clone, Debug)]
pub struct Model {
    intake: f64,
    suction: f64,
    storage: f64,
    /// Water content when full, and the room above field capacity (θs, θs − θi).
    full: f64,
    room: f64,
    /// `S^(3+1/λ)` and `S^(3+2/λ)` against the share of the room that is filled.
    suction_curve: Curve,
    gravity_curve: Curve,
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
        let inverse = 1.0 / soil.pore_index;
        Self {
            intake: soil.intake_mm_per_h,
            suction: soil.suction_mm,
            storage: storage_mm,
            full: soil.full,
            room: soil.full - soil.field_capacity,
            suction_curve: Curve::power(lowest, 3.0 + inverse),
            gravity_curve: Curve::power(lowest, 3.0 + 2.0 * inverse),
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
    fn suction_at(&self, filled: f64) -> f64 {
        let left = 1.0 - self.suction_curve.at(filled);
        (self.suction * left * (1.0 - filled)).max(LEAST_SUCTION_MM)
    }

    /// Share of the room for water that is filled at the surface when `water` mm have drained for
    /// some time: (θ − θi)/(θs − θi).
    ///
    /// Runge and Kutta's fourth order over the logarithm of time, counted in the time in which the
    /// drainage slows by a factor e at first: in it the drainage is nearly straight.
    fn filled_after(&self, water: f64, hours: f64) -> f64 {
        let (gravity, sucking) = (&self.gravity_curve, &self.suction_curve);
        let scale = self.intake / water;
        let pull = self.suction / water;
        let weight = 1.0 - gravity.lowest;
        let rate = |x: f64| scale * x * (weight * gravity.at(x) + pull * x * sucking.at(x));
        let first = scale * (weight + pull);
        let slowing = 1.0
            + (weight * gravity.end_slope() + pull * (1.0 + sucking.end_slope())) / (weight + pull);
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

/// A power of the saturation against the filled share x of the room for water, less its value at
/// field capacity and over what is left, so that it runs from 0 to 1. Drawn through
/// [`Curve::PARTS`] + 1 points with their slopes (cubic), right to 1e-6: a replay asks for it
/// thousands of times.
#[derive(Clone, Debug)]
struct Curve {
    /// The power at field capacity.
    lowest: f64,
    /// Value and slope × width at each point.
    points: [(f64, f64); Self::PARTS + 1],
}

impl Curve {
    const PARTS: usize = 32;

    fn power(lowest_saturation: f64, power: f64) -> Self {
        let lowest = pow(lowest_saturation, power);
        let free = 1.0 - lowest_saturation;
        let width = 1.0 / Self::PARTS as f64;
        let mut points = [(0.0, 0.0); Self::PARTS + 1];
        for (number, point) in points.iter_mut().enumerate() {
            let saturation = lowest_saturation + free * width * number as f64;
            let value = pow(saturation, power);
            *point = (
                (value - lowest) / (1.0 - lowest),
                power * value / saturation * free * width / (1.0 - lowest),
            );
        }
        Self { lowest, points }
    }

    /// Slope where the room is full.
    fn end_slope(&self) -> f64 {
        self.points[Self::PARTS].1 * Self::PARTS as f64
    }

    fn at(&self, x: f64) -> f64 {
        let place = (x * Self::PARTS as f64).clamp(0.0, Self::PARTS as f64);
        let number = (place as usize).min(Self::PARTS - 1);
        let (t, (left, left_slope), (right, right_slope)) = (
            place - number as f64,
            self.points[number],
            self.points[number + 1],
        );
        let rise = right - left;
        left + t
            * (left_slope
                + t * (3.0 * rise - 2.0 * left_slope - right_slope
                    + t * (left_slope + right_slope - 2.0 * rise)))
    }
}

/// Water on ground at one moment. Depths in mm, times in hours.
#[derive(Clone, Debug)]
pub struct Event<'m> {
    ground: &'m Model,
    hours: f64,
    /// B of the present front.
    front_suction: f64,
    /// Taken in by the present front.
    front: f64,
    /// Dry since that long, after rain; `None` while wet, and before the first water.
    dry_hours: Option<f64>,
    infiltrated: f64,
    standing: f64,
    runoff: f64,
    applied: f64,
    ponding_hour: Option<f64>,
    runoff_hour: Option<f64>,
}

impl<'m> Event<'m> {
    /// Before any water.
    pub fn new(ground: &'m Model) -> Self {
        Self {
            ground,
            hours: 0.0,
            front_suction: ground.suction,
            front: 0.0,
            dry_hours: None,
            infiltrated: 0.0,
            standing: 0.0,
            runoff: 0.0,
            applied: 0.0,
            ponding_hour: None,
            runoff_hour: None,
        }
    }

    /// Water applied so far, mm.
    pub fn applied_mm(&self) -> f64 {
        self.applied
    }

    /// Water taken in so far, mm.
    pub fn infiltrated_mm(&self) -> f64 {
        self.infiltrated
    }

    /// Water standing on the surface, mm.
    pub fn standing_mm(&self) -> f64 {
        self.standing
    }

    /// Water run off so far, mm.
    pub fn runoff_mm(&self) -> f64 {
        self.runoff
    }

    /// Minutes since the beginning.
    pub fn minute(&self) -> f64 {
        self.hours * 60.0
    }

    /// When water first stood, minutes.
    pub fn ponding_minute(&self) -> Option<f64> {
        self.ponding_hour.map(|hour| hour * 60.0)
    }

    /// When water first ran off, minutes.
    pub fn runoff_minute(&self) -> Option<f64> {
        self.runoff_hour.map(|hour| hour * 60.0)
    }

    /// What the ground could take in at this moment, mm/h; infinite at the first touch of water.
    pub fn capacity_mm_per_h(&self) -> f64 {
        let front = if self.dry_hours.is_some() {
            0.0
        } else {
            self.front
        };
        self.ground.intake / -exp_m1(-front / self.front_suction)
    }

    /// Water content of the soil at the surface, share of volume (θ0): full in rain and under
    /// standing water, falling while the ground drains. Before the first water it is full too.
    pub fn surface_water_content(&self) -> f64 {
        let filled = self.dry_hours.map_or(1.0, |hours| self.filled_after(hours));
        self.ground.full - self.ground.room * (1.0 - filled)
    }

    /// A steady rate (0: none) for some time.
    pub fn run(&mut self, rate_mm_per_h: f64, hours: f64) {
        if rate_mm_per_h > 0.0 {
            self.rain(rate_mm_per_h, hours);
        } else {
            self.soak(hours);
        }
    }

    /// No water falls; what stands soaks in, then the ground drains. However short, a soak that
    /// leaves nothing standing ends the front: the next water starts a new one.
    fn soak(&mut self, hours: f64) {
        self.hours += hours;
        if self.infiltrated <= 0.0 {
            return;
        }
        if let Some(dry_hours) = &mut self.dry_hours {
            *dry_hours += hours;
            return;
        }
        let wet_hours = self.hours_for(self.standing);
        if wet_hours > hours {
            let more = self.more_taken_in(hours);
            self.take_in(more);
            self.standing -= more;
        } else {
            self.take_in(self.standing);
            self.standing = 0.0;
            self.dry_hours = Some(hours - wet_hours);
        }
    }

    /// How full the surface is after having drained for some time.
    fn filled_after(&self, hours: f64) -> f64 {
        self.ground.filled_after(self.infiltrated, hours)
    }

    fn rain(&mut self, rate: f64, hours: f64) {
        if let Some(hours) = self.dry_hours.take() {
            self.front_suction = self.ground.suction_at(self.filled_after(hours));
            self.front = 0.0;
        }
        self.applied += rate * hours;
        let end = self.hours + hours;
        let mut left = hours;
        // Water may stand, vanish under a weaker pulse and stand again: each once at a steady rate.
        for _ in 0..4 {
            if self.standing <= 0.0 {
                let room = if rate > self.ground.intake {
                    taken_at_ponding(self.ground.intake, self.front_suction, rate) - self.front
                } else {
                    f64::INFINITY
                };
                if room >= rate * left {
                    self.take_in(rate * left);
                    break;
                }
                if room > 0.0 {
                    self.take_in(room);
                    left -= room / rate;
                }
                self.ponding_hour.get_or_insert(end - left);
            }
            match self.hours_until_bare(rate, left) {
                Some(wet_hours) => {
                    let more = self.more_taken_in(wet_hours);
                    // All that fell and stood is taken in; said so, nothing is lost to rounding.
                    debug_assert!((more - self.standing - rate * wet_hours).abs() < 1e-6);
                    self.take_in(self.standing + rate * wet_hours);
                    self.standing = 0.0;
                    left -= wet_hours;
                }
                None => {
                    self.stand(rate, left, end);
                    break;
                }
            }
        }
        self.hours = end;
    }

    /// Rain on standing water that does not vanish before `end`.
    fn stand(&mut self, rate: f64, hours: f64, end: f64) {
        let more = self.more_taken_in(hours);
        let deep = self.standing + rate * hours - more;
        // A depth that only rounding lifts above the brim does not run off.
        if deep > self.ground.storage * (1.0 + 1e-12) {
            if self.runoff_hour.is_none() {
                // y more taken in when the hollows are full: see `FirstRun::of`.
                let excess = rate / self.ground.intake - 1.0;
                let a = self.remembered() * rate / (rate - self.ground.intake);
                let scale = excess * self.front_suction;
                let full =
                    self.front_suction * taken(a, (self.ground.storage - self.standing) / scale);
                self.runoff_hour = Some(end - hours + self.hours_for(full).min(hours));
            }
            self.runoff += deep - self.ground.storage;
            self.standing = self.ground.storage;
        } else {
            self.standing = deep.max(0.0);
        }
        self.take_in(more);
    }

    /// When standing water vanishes under rain weaker than the intake, if it does within `hours`.
    fn hours_until_bare(&self, rate: f64, hours: f64) -> Option<f64> {
        if self.standing <= 0.0 || rate >= self.capacity_mm_per_h() {
            return None;
        }
        let (a, b, k) = (self.remembered(), self.front_suction, self.ground.intake);
        // Depth of standing water once y more is taken in. It falls while the intake is above the
        // rate, and is convex in y.
        let depth = |y: f64| self.standing - y + rate / k * (y + b * a * exp_m1(-y / b));
        let mut lowest = self.more_taken_in(hours);
        if rate > k {
            lowest = lowest.min(b * ln(a * rate / (rate - k)));
        }
        if depth(lowest) >= 0.0 {
            return None;
        }
        // Newton from the left on a convex falling function does not overshoot; for a rate below
        // the intake it is concave in -y and does not either.
        let mut y = 0.0;
        for _ in 0..60 {
            let fall = 1.0 - rate / k * (1.0 - a - a * exp_m1(-y / b));
            if fall <= 0.0 {
                break;
            }
            let step = depth(y) / fall;
            y += step;
            if step <= 1e-13 * y {
                break;
            }
        }
        Some(self.hours_for(y.min(lowest)).min(hours))
    }

    fn take_in(&mut self, depth: f64) {
        self.front += depth;
        self.infiltrated += depth;
    }

    /// exp(−I/B) of the present front.
    fn remembered(&self) -> f64 {
        exp(-self.front / self.front_suction)
    }

    /// Time in which the present front takes in `more` under standing water.
    fn hours_for(&self, more: f64) -> f64 {
        let b = self.front_suction;
        (more + b * self.remembered() * exp_m1(-more / b)) / self.ground.intake
    }

    /// What the present front takes in under standing water in some time.
    fn more_taken_in(&self, hours: f64) -> f64 {
        let b = self.front_suction;
        b * taken(self.remembered(), self.ground.intake * hours / b)
    }
}
