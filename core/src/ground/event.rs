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
use super::soil::{Ground, class};
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

/// Suction of ground at its allowed depletion over that at field capacity: judgement, after
/// the half-depleted classes of Rawls, Brakensiek & Saxton 1982. It multiplies ψ, so the room for
/// water and everything else in the equations stays as at field capacity.
pub const DUE_SUCTION: f64 = 1.4;

/// Smallest suction (B) reckoned with, mm: a front on full ground has none and takes in K at once.
const LEAST_SUCTION_MM: f64 = 1e-6;

/// Step of the drainage, in natural logarithms of time. With it the surface's filling is right to
/// 3e-5 of the room for water, on every class.
const DRAINAGE_STEP: f64 = 0.4;

/// Water on ground at one moment. Depths in mm, times in hours.
#[derive(Clone, Debug)]
pub struct Event {
    // The ground.
    intake: f64,
    suction: f64,
    storage: f64,
    /// (θi − θr)/(θs − θr)
    start_saturation: f64,
    /// θs − θi
    room: f64,
    inverse_pore_index: f64,
    full: f64,
    drainage_step: f64,
    // The moment.
    hours: f64,
    /// B of the present front.
    front_suction: f64,
    /// Taken in by the present front.
    front: f64,
    /// Dry since that long, after rain.
    dry_hours: f64,
    infiltrated: f64,
    standing: f64,
    runoff: f64,
    applied: f64,
    ponding_hour: Option<f64>,
    runoff_hour: Option<f64>,
}

impl Event {
    /// Before any water.
    pub fn new(ground: &Ground, start: Start) -> Self {
        let class = class(ground.soil);
        let suction = match start {
            Start::Due => ground.suction_mm * DUE_SUCTION,
            Start::Wet => ground.suction_mm,
        };
        let whole = class.full - class.residual;
        Self {
            intake: ground.intake.to_mm_per_h(),
            suction,
            storage: ground.storage_mm,
            start_saturation: (class.field_capacity - class.residual) / whole,
            room: class.full - class.field_capacity,
            full: class.full,
            inverse_pore_index: 1.0 / class.pore_index,
            drainage_step: DRAINAGE_STEP,
            hours: 0.0,
            front_suction: suction,
            front: 0.0,
            dry_hours: 0.0,
            infiltrated: 0.0,
            standing: 0.0,
            runoff: 0.0,
            applied: 0.0,
            ponding_hour: None,
            runoff_hour: None,
        }
    }

    /// The same with every step of the drainage divided by `parts`, to show that the step is fine
    /// enough.
    pub fn with_finer_drainage(mut self, parts: u32) -> Self {
        self.drainage_step /= f64::from(parts.max(1));
        self
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
        let front = if self.renews() { 0.0 } else { self.front };
        self.intake / -exp_m1(-front / self.front_suction)
    }

    /// Water content of the soil at the surface, share of volume (θ0): full in rain and under
    /// standing water, falling while the ground drains. Before the first water it is full too.
    pub fn surface_water_content(&self) -> f64 {
        let x = if self.renews() {
            self.filled_after(self.dry_hours)
        } else {
            1.0
        };
        self.full - self.room * (1.0 - x)
    }

    /// A steady rate (0: none) for some time.
    pub fn run(&mut self, rate_mm_per_h: f64, hours: f64) {
        if rate_mm_per_h > 0.0 {
            self.rain(rate_mm_per_h, hours);
        } else {
            self.soak(hours);
        }
    }

    /// No water falls; what stands soaks in, then the ground drains.
    fn soak(&mut self, hours: f64) {
        self.hours += hours;
        if self.standing <= 0.0 {
            self.dry_hours += hours;
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
            self.dry_hours = hours - wet_hours;
        }
    }

    fn rain(&mut self, rate: f64, hours: f64) {
        if self.renews() {
            self.renew_front();
        }
        self.dry_hours = 0.0;
        self.applied += rate * hours;
        let end = self.hours + hours;
        let mut left = hours;
        // Water may stand, vanish under a weaker pulse and stand again: each once at a steady rate.
        for _ in 0..4 {
            if self.standing <= 0.0 {
                let room = if rate > self.intake {
                    taken_at_ponding(self.intake, self.front_suction, rate) - self.front
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
        if deep > self.storage * (1.0 + 1e-12) {
            if self.runoff_hour.is_none() {
                // y more taken in when the hollows are full: see `FirstRun::of`.
                let excess = rate / self.intake - 1.0;
                let a = self.remembered() * rate / (rate - self.intake);
                let scale = excess * self.front_suction;
                let full = self.front_suction * taken(a, (self.storage - self.standing) / scale);
                self.runoff_hour = Some(end - hours + self.hours_for(full).min(hours));
            }
            self.runoff += deep - self.storage;
            self.standing = self.storage;
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
        let (a, b, k) = (self.remembered(), self.front_suction, self.intake);
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
        (more + b * self.remembered() * exp_m1(-more / b)) / self.intake
    }

    /// What the present front takes in under standing water in some time.
    fn more_taken_in(&self, hours: f64) -> f64 {
        let b = self.front_suction;
        b * taken(self.remembered(), self.intake * hours / b)
    }

    /// Whether the next water starts a new front: it was dry for a time since the last.
    fn renews(&self) -> bool {
        self.dry_hours > 0.0 && self.infiltrated > 0.0
    }

    /// Starts a new front on the drained surface.
    fn renew_front(&mut self) {
        let filled = self.filled_after(self.dry_hours);
        let power = 3.0 + self.inverse_pore_index;
        let start = pow(self.start_saturation, power);
        let now = pow(self.saturation(filled), power);
        let left = (1.0 - now) / (1.0 - start) * (1.0 - filled);
        self.front_suction = (self.suction * left).max(LEAST_SUCTION_MM);
        self.front = 0.0;
    }

    fn saturation(&self, filled: f64) -> f64 {
        self.start_saturation + filled * (1.0 - self.start_saturation)
    }

    /// Share of the room for water that is filled at the surface after a soak: (θ − θi)/(θs − θi).
    ///
    /// Runge and Kutta's fourth order over the logarithm of time, counted in the time in which the
    /// drainage slows by a factor e at first: in it the drainage is nearly straight.
    fn filled_after(&self, hours: f64) -> f64 {
        let si = self.start_saturation;
        let pore_index = self.inverse_pore_index;
        let start_pore = pow(si, pore_index);
        let start_suction = si * si * si * start_pore;
        let start_conductivity = start_suction * start_pore;
        let suction = self.suction / self.infiltrated / (1.0 - start_suction);
        let scale = self.intake / self.infiltrated;
        let rate = |x: f64| {
            let s = self.saturation(x);
            let pore = pow(s, pore_index);
            let cubed_pore = s * s * s * pore;
            let gravity = cubed_pore * pore - start_conductivity;
            scale * x * (gravity + suction * x * (cubed_pore - start_suction))
        };
        let free = 1.0 - si;
        let pull = suction * (1.0 - start_suction);
        let slowing = 1.0
            + ((3.0 + 2.0 * pore_index) * free + pull + suction * (3.0 + pore_index) * free)
                / (1.0 - start_conductivity + pull);
        let first = rate(1.0);
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
