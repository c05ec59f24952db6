//! Vapour pressure, air pressure and wind: FAO-56 equations 7, 8, 11 to 13 and 47.

use crate::math;
use crate::need::evapotranspiration::Reference;
use crate::quantity::{AirTemperature, Elevation, GaugeHeight, WindSpeed};

/// Vapour pressure of saturated air, kPa (equation 11).
pub fn saturation_kpa(celsius: f64) -> f64 {
    0.6108 * math::exp(17.27 * celsius / (celsius + 237.3))
}

/// Mean vapour pressure of saturated air over a day, kPa (equation 12): of high and low, not of their mean.
pub fn mean_saturation_kpa(high: AirTemperature, low: AirTemperature) -> f64 {
    (saturation_kpa(high.to_celsius()) + saturation_kpa(low.to_celsius())) / 2.0
}

/// Slope of the saturation curve, kPa per degree (equation 13).
///
/// ASCE-EWRI 2005 prints the product 4098 x 0.6108 as 2503.
pub fn slope_kpa_per_c(celsius: f64, reference: Reference) -> f64 {
    let steepness = if reference.is_fao() {
        4098.0 * 0.6108
    } else {
        2503.0
    };
    let above = celsius + 237.3;
    steepness * math::exp(17.27 * celsius / above) / (above * above)
}

/// Mean air pressure at a height, kPa (equation 7).
pub fn pressure_kpa(elevation: Elevation) -> f64 {
    101.3 * math::pow((293.0 - 0.0065 * elevation.to_m()) / 293.0, 5.26)
}

/// Psychrometric constant, kPa per degree (equation 8).
pub fn psychrometric_kpa_per_c(elevation: Elevation) -> f64 {
    0.000665 * pressure_kpa(elevation)
}

/// Wind at 2 m from a gauge at another height above short grass (equation 47).
pub fn wind_at_2_m(speed: WindSpeed, height: GaugeHeight) -> WindSpeed {
    let factor = 4.87 / math::ln(67.8 * height.to_m() - 5.42);
    WindSpeed::m_per_s((speed.to_m_per_s() * factor).min(WindSpeed::MOST))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn wind_stays_a_wind_at_every_height() {
        for height in [GaugeHeight::LEAST, 2.0, 10.0, GaugeHeight::MOST] {
            let calm = wind_at_2_m(WindSpeed::m_per_s(0.0), GaugeHeight::m(height));
            assert_eq!(calm.to_m_per_s(), 0.0);
            let storm = wind_at_2_m(WindSpeed::m_per_s(WindSpeed::MOST), GaugeHeight::m(height));
            assert!(storm.to_m_per_s() > 0.0);
        }
    }
}
