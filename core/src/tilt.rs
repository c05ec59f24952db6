//! Slope of the ground from a phone lying on it.
//!
//! The phone feels gravity along its three axes. Lying flat, the share across the screen's plane
//! tells the slope. Every phone's sensor and case are a little off; a second reading with the phone
//! turned half around on the same spot has the same error and the opposite tilt, so half the
//! difference is free of it.

use crate::invalid::Problem;
use crate::quantity::Slope;

/// Gravity as a phone feels it, m/s²: x to the right of the screen, y to its top, z out of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gravity {
    /// To the right.
    pub x: f64,
    /// To the top.
    pub y: f64,
    /// Out of the screen.
    pub z: f64,
}

/// How far two readings may differ in the share that must be alike, of the whole: about 6 degrees.
const DISAGREEMENT: f64 = 0.1;

impl Gravity {
    fn size(self) -> f64 {
        (self.x * self.x + self.y * self.y + self.z * self.z).sqrt()
    }

    /// Slope from this reading alone: the phone's own error is still in it, a degree or two.
    ///
    /// # Errors
    /// No gravity felt, or a phone standing steeper than 45 degrees.
    pub fn slope(self) -> Result<Slope, Problem> {
        percent((self.x * self.x + self.y * self.y).sqrt(), self.z)
    }
}

/// Slope from two readings on the same spot, the phone turned half around between them.
///
/// # Errors
/// No gravity felt, steeper than 45 degrees, or readings so unlike that the phone was moved, not
/// turned.
pub fn slope_turned(first: Gravity, second: Gravity) -> Result<Slope, Problem> {
    let size = (first.size() + second.size()) / 2.0;
    let error = Gravity {
        x: (first.x + second.x) / 2.0,
        y: (first.y + second.y) / 2.0,
        z: (first.z - second.z) / 2.0,
    };
    // What is no number does not agree either.
    let agree = error.size() <= DISAGREEMENT * size;
    if !agree {
        return Err(Problem::Other(
            "the two readings do not agree; lay the phone flat again",
        ));
    }
    let (x, y) = ((first.x - second.x) / 2.0, (first.y - second.y) / 2.0);
    percent((x * x + y * y).sqrt(), (first.z + second.z) / 2.0)
}

fn percent(along: f64, out: f64) -> Result<Slope, Problem> {
    if !(along.is_finite() && out.abs() > 1.0) {
        return Err(Problem::Other("lay the phone flat, screen up"));
    }
    Slope::try_percent(100.0 * along / out.abs())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::math;

    fn lying(degrees: f64, heading: f64, error: (f64, f64)) -> Gravity {
        let tilt = degrees * core::f64::consts::PI / 180.0;
        let along = 9.81 * math::sin(tilt);
        Gravity {
            x: along * math::sin(heading) + error.0,
            y: along * math::cos(heading) + error.1,
            z: 9.81 * math::cos(tilt),
        }
    }

    #[test]
    fn percent_is_the_tangent_of_the_angle() {
        let slope = lying(45.0, 0.3, (0.0, 0.0)).slope().unwrap();
        assert!((slope.to_percent() - 100.0).abs() < 1e-9);
        let slope = lying(6.843, 1.0, (0.0, 0.0)).slope().unwrap();
        assert!((slope.to_percent() - 12.0).abs() < 0.01);
    }

    #[test]
    fn turning_half_around_takes_the_error_out() {
        let error = (0.3, -0.2);
        let turned = core::f64::consts::PI;
        let (first, second) = (lying(5.0, 0.7, error), lying(5.0, 0.7 + turned, error));
        let slope = slope_turned(first, second).unwrap().to_percent();
        assert!((slope - 8.7489).abs() < 0.001, "{slope}");
        assert!((first.slope().unwrap().to_percent() - 8.7489).abs() > 1.0);
    }

    #[test]
    fn a_phone_that_was_moved_or_stands_is_refused() {
        let (flat, tilted) = (lying(0.0, 0.0, (0.0, 0.0)), lying(30.0, 0.0, (0.0, 0.0)));
        assert!(slope_turned(flat, tilted).is_err());
        assert!(
            Gravity {
                x: 0.0,
                y: 9.8,
                z: 0.1
            }
            .slope()
            .is_err()
        );
        assert!(
            Gravity {
                x: f64::NAN,
                y: 0.0,
                z: 9.8
            }
            .slope()
            .is_err()
        );
        let still = Gravity {
            x: 0.0,
            y: 0.0,
            z: 0.0,
        };
        assert!(slope_turned(still, still).is_err());
    }
}
