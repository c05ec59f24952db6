//! Sunlight and heat radiation: FAO-56 equations 21 to 40 and 50.

use core::f64::consts::PI;

use crate::invalid::Problem;
use crate::math;
use crate::need::evapotranspiration::{Reference, Setting};
use crate::quantity::{AirTemperature, Elevation, Latitude};

/// Solar constant, MJ per m2 and minute (FAO-56 equation 21).
pub(super) const SOLAR_CONSTANT: f64 = 0.0820;

/// Day of the year, 1 (1 January) to 365 or 366 (31 December).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct DayOfYear(u16);

impl DayOfYear {
    /// Last day of a leap year.
    pub const MOST: u32 = 366;

    /// For what a person typed.
    ///
    /// # Errors
    /// Outside 1 to 366.
    pub fn try_new(day: u32) -> Result<Self, Problem> {
        match u16::try_from(day) {
            Ok(day @ 1..=366) => Ok(Self(day)),
            _ => Err(Problem::OutOfRange {
                least: 1.0,
                most: f64::from(Self::MOST),
            }),
        }
    }

    /// The 15th of each month of a common year, January first: the day that stands for a month (FAO-56 annex 2).
    pub fn mid_months() -> [Self; 12] {
        [15, 46, 74, 105, 135, 166, 196, 227, 258, 288, 319, 349].map(Self)
    }

    /// The number.
    pub fn to_number(self) -> u16 {
        self.0
    }
}

/// Where the sun stands over the year, radians.
pub(super) struct Orbit {
    /// Inverse relative distance to the sun (equation 23).
    pub nearness: f64,
    /// Declination (equation 24).
    pub declination: f64,
}

pub(super) fn orbit(day: DayOfYear) -> Orbit {
    let angle = 2.0 * PI * f64::from(day.0) / 365.0;
    Orbit {
        nearness: 1.0 + 0.033 * math::cos(angle),
        declination: 0.409 * math::sin(angle - 1.39),
    }
}

/// Inverse relative distance earth to sun, and declination in radians (equations 23 and 24).
pub fn distance_and_declination(day: DayOfYear) -> (f64, f64) {
    let orbit = orbit(day);
    (orbit.nearness, orbit.declination)
}

/// Half the day as an angle of the earth's turn, radians (equation 25): 0 in polar night, pi where the sun stays up.
pub fn sunset_angle(day: DayOfYear, latitude: Latitude) -> f64 {
    let phi = latitude.to_degrees().to_radians();
    let cosine = -math::tan(phi) * math::tan(orbit(day).declination);
    math::acos(cosine.clamp(-1.0, 1.0))
}

/// Sunlight on a level plane above the atmosphere, MJ per m2 and day (equation 21). Never negative.
pub fn extraterrestrial_mj(day: DayOfYear, latitude: Latitude) -> f64 {
    let Orbit {
        nearness,
        declination,
    } = orbit(day);
    let phi = latitude.to_degrees().to_radians();
    let sunset = sunset_angle(day, latitude);
    let height = sunset * math::sin(phi) * math::sin(declination)
        + math::cos(phi) * math::cos(declination) * math::sin(sunset);
    (24.0 * 60.0 / PI * SOLAR_CONSTANT * nearness * height).max(0.0)
}

/// Hours from sunrise to sunset, of the sun's centre and without refraction (equation 34).
pub fn daylight_hours(day: DayOfYear, latitude: Latitude) -> f64 {
    24.0 / PI * sunset_angle(day, latitude)
}

/// Sunlight on the ground from hours of sunshine, MJ per m2 and day (equation 35, usual coefficients).
pub fn from_sunshine_mj(extraterrestrial_mj: f64, hours: f64, daylight_hours: f64) -> f64 {
    let share = if daylight_hours > 0.0 {
        (hours / daylight_hours).min(1.0)
    } else {
        0.0
    };
    (0.25 + 0.50 * share) * extraterrestrial_mj
}

/// Sunlight on the ground from the daily range of temperature, MJ per m2 and day (equation 50).
pub fn from_range_mj(extraterrestrial_mj: f64, range_c: f64, setting: Setting) -> f64 {
    let coefficient = match setting {
        Setting::Inland => 0.16,
        Setting::Coast => 0.19,
    };
    coefficient * range_c.sqrt() * extraterrestrial_mj
}

/// Sunlight on the ground under a clear sky, MJ per m2 and day or hour (equation 37).
pub fn clear_sky_mj(extraterrestrial_mj: f64, elevation: Elevation) -> f64 {
    (0.75 + 2e-5 * elevation.to_m()) * extraterrestrial_mj
}

/// Sunlight that a lawn keeps, reflecting 23 %, MJ per m2 (equation 38).
pub fn net_short_wave_mj(solar_mj: f64) -> f64 {
    0.77 * solar_mj
}

/// Heat radiated away in a day, MJ per m2 (equation 39).
///
/// `clear_share` is sunlight over clear-sky sunlight. FAO-56 holds it to at most 1; ASCE-EWRI 2005 to 0.3 to 1, with
/// a Stefan-Boltzmann constant of 4.901e-9 instead of 4.903e-9.
pub fn net_long_wave_mj(
    high: AirTemperature,
    low: AirTemperature,
    vapour_kpa: f64,
    clear_share: f64,
    reference: Reference,
) -> f64 {
    let fourth_power = |temperature: AirTemperature| {
        let kelvin = temperature.to_celsius() + 273.16;
        kelvin * kelvin * kelvin * kelvin
    };
    let sigma = if reference.is_fao() {
        4.903e-9
    } else {
        4.901e-9
    };
    sigma * (fourth_power(high) + fourth_power(low)) / 2.0
        * moisture_factor(vapour_kpa)
        * cloud_factor(clear_share, reference)
}

pub(super) fn moisture_factor(vapour_kpa: f64) -> f64 {
    0.34 - 0.14 * vapour_kpa.sqrt()
}

pub(super) fn cloud_factor(clear_share: f64, reference: Reference) -> f64 {
    let least = if reference.is_fao() { 0.0 } else { 0.3 };
    1.35 * clear_share.clamp(least, 1.0) - 0.35
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn polar_night_and_day_are_told_by_the_hours() {
        let (midwinter, north) = (DayOfYear(355), Latitude::degrees(80.0));
        assert_eq!(daylight_hours(midwinter, north), 0.0);
        assert_eq!(extraterrestrial_mj(midwinter, north), 0.0);
        assert_eq!(daylight_hours(midwinter, Latitude::degrees(-80.0)), 24.0);
        for pole in [-90.0, 90.0] {
            let hours = daylight_hours(midwinter, Latitude::degrees(pole));
            assert!(hours == 0.0 || hours == 24.0);
        }
    }

    #[test]
    fn no_day_before_the_first_or_after_the_last() {
        assert!(DayOfYear::try_new(0).is_err());
        assert!(DayOfYear::try_new(367).is_err());
        assert_eq!(DayOfYear::try_new(366).unwrap().to_number(), 366);
    }
}
