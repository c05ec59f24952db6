//! Reference evapotranspiration of one hour: FAO-56 equation 53, and the hourly form of ASCE-EWRI 2005.

use core::f64::consts::PI;

use super::radiation::{self, DayOfYear, SOLAR_CONSTANT};
use super::{Reference, Terms, air};
use crate::math;
use crate::quantity::{
    AirTemperature, Elevation, Latitude, Longitude, RelativeHumidity, Share, SolarRadiation,
    WindSpeed,
};

/// One hour's weather.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hour {
    /// Mean temperature.
    pub temperature: AirTemperature,
    /// Mean relative humidity.
    pub humidity: RelativeHumidity,
    /// Mean wind at 2 m.
    pub wind: WindSpeed,
    /// Sunlight on the ground in this hour.
    pub solar: SolarRadiation,
    /// Sunlight over that of a clear sky, this hour by day; by night that of the hours before sunset.
    pub clear_share: Share,
    /// How high.
    pub elevation: Elevation,
}

/// An hour's reference evapotranspiration and the energy behind it, per square metre and hour.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HourlyEt {
    /// The result, mm, from 0 to 2 (more than the hottest hour on record takes).
    pub mm: f64,
    /// Net radiation, MJ.
    pub net_radiation_mj: f64,
    /// Heat into the ground, MJ.
    pub soil_heat_mj: f64,
}

/// Most that an hour is taken to evaporate, mm.
const MOST_MM: f64 = 2.0;

impl Reference {
    /// Numerator constant, denominator constant, and share of net radiation into the ground.
    const fn hourly_constants(self, by_day: bool) -> (f64, f64, f64) {
        match (self, by_day) {
            (Self::Grass, true) => (37.0, 0.34, 0.1),
            (Self::Grass, false) => (37.0, 0.34, 0.5),
            (Self::Short, true) => (37.0, 0.24, 0.1),
            (Self::Short, false) => (37.0, 0.96, 0.5),
            (Self::Tall, true) => (66.0, 0.25, 0.04),
            (Self::Tall, false) => (66.0, 1.7, 0.2),
        }
    }
}

/// Hourly reference evapotranspiration by Penman-Monteith. It is day where net radiation is above zero.
///
/// Held between 0 and 2 mm.
///
/// # Source
/// FAO-56 equation 53 (saturation deficit by equation 54, Stefan-Boltzmann 2.043e-10 per hour); ASCE-EWRI 2005
/// constants from memory.
pub fn hourly(hour: &Hour, reference: Reference) -> HourlyEt {
    let celsius = hour.temperature.to_celsius();
    let saturation_kpa = air::saturation_kpa(celsius);
    let vapour_kpa = saturation_kpa * hour.humidity.to_percent() / 100.0;
    let kelvin = celsius + 273.16;
    let sigma = if reference.is_fao() {
        2.043e-10
    } else {
        2.042e-10
    };
    let net_long_wave_mj = sigma
        * (kelvin * kelvin * kelvin * kelvin)
        * radiation::moisture_factor(vapour_kpa)
        * radiation::cloud_factor(hour.clear_share.to_of_one(), reference);
    let net_radiation_mj =
        radiation::net_short_wave_mj(hour.solar.to_mj_per_m2()) - net_long_wave_mj;
    let (cn, cd, into_ground) = reference.hourly_constants(net_radiation_mj > 0.0);
    let soil_heat_mj = into_ground * net_radiation_mj;
    let terms = Terms {
        available_mj: net_radiation_mj - soil_heat_mj,
        temperature_c: celsius,
        slope: air::slope_kpa_per_c(celsius, reference),
        gamma: air::psychrometric_kpa_per_c(hour.elevation),
        wind_m_per_s: hour.wind.to_m_per_s(),
        deficit_kpa: saturation_kpa - vapour_kpa,
    };
    let mm = terms.combined(cn, cd).clamp(0.0, MOST_MM);
    HourlyEt {
        mm,
        net_radiation_mj,
        soil_heat_mj,
    }
}

/// Sunlight above the atmosphere in the hour around `midpoint_hours` of the zone's clock, MJ per m2.
///
/// `zone_meridian` is the longitude whose solar noon the clock keeps (no daylight saving). 0 when the sun is down.
///
/// # Source
/// FAO-56 equations 28 to 33.
pub fn extraterrestrial_mj(
    day: DayOfYear,
    latitude: Latitude,
    longitude: Longitude,
    zone_meridian: Longitude,
    midpoint_hours: f64,
) -> f64 {
    let b = 2.0 * PI * (f64::from(day.to_number()) - 81.0) / 364.0;
    let season = 0.1645 * math::sin(2.0 * b) - 0.1255 * math::cos(b) - 0.025 * math::sin(b);
    let east_of_zone = longitude.to_degrees() - zone_meridian.to_degrees();
    let middle = PI / 12.0 * (midpoint_hours + 0.06667 * east_of_zone + season - 12.0);
    let middle = middle - 2.0 * PI * (middle / (2.0 * PI)).round();
    let sunset = radiation::sunset_angle(day, latitude);
    let from = (middle - PI / 24.0).clamp(-sunset, sunset);
    let until = (middle + PI / 24.0).clamp(-sunset, sunset);
    let orbit = radiation::orbit(day);
    let phi = latitude.to_degrees().to_radians();
    let height = (until - from) * math::sin(phi) * math::sin(orbit.declination)
        + math::cos(phi) * math::cos(orbit.declination) * (math::sin(until) - math::sin(from));
    (12.0 * 60.0 / PI * SOLAR_CONSTANT * orbit.nearness * height).max(0.0)
}
