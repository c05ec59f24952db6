//! Water on ground at one moment after another: rain of any rate, standing water, soaks.
//!
//! While it rains the intake follows Smith and Parlange in closed form; in a soak the ground drains
//! ([`Model`]). Nothing is stepped but that drainage. Every millimetre is accounted for:
//! applied = taken in + standing + run off.
//!
//! Left out: seals, water repellence, layers, the head of standing water, the merging of an old
//! wetting front with a new one, plants and evaporation.

use super::first_run::{taken, taken_at_ponding};
pub use super::model::{Model, Start};
use crate::math::{exp, exp_m1, ln};

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
