//! Reference evapotranspiration: what a well-watered lawn of even height gives to the air.
//!
//! [`penman_monteith`] is the daily equation of FAO-56, or of ASCE-EWRI 2005 for short and tall reference plants. A
//! month is its mean day: the 15th ([`DayOfYear::mid_months`]), mean high and low. What was not measured is estimated
//! the way FAO-56 chapter 3 says: humidity from the low ([`Humidity::FromLow`]), sunlight from the daily range
//! ([`Sunlight::FromRange`]), wind [`WIND_UNKNOWN`]. [`from_temperature`] needs high and low alone.
//!
//! Numbers within an equation carry its own units: MJ per m2, kPa, degrees Celsius, m/s, mm.

pub mod air;
pub mod hourly;
pub mod radiation;

use crate::invalid::{Invalid, Problem};
use crate::quantity::{
    AirTemperature, Elevation, Evapotranspiration, HoursOfDay, Latitude, RelativeHumidity,
    SoilHeat, SolarRadiation, VapourPressure, WindSpeed,
};
use crate::reference::{Source, Standing};
use air::{mean_saturation_kpa, psychrometric_kpa_per_c, saturation_kpa, slope_kpa_per_c};
pub use radiation::DayOfYear;

/// Where the daily equation comes from.
pub const SOURCE: Source = Source {
    work: "Allen, Pereira, Raes & Smith 1998, FAO Irrigation and Drainage Paper 56",
    place: "equation 6; 52 for temperature alone",
    standing: Standing::Checked,
    note: "worked examples 17, 18 and 20 come out to the printed digit",
};

/// Where the short and tall references come from.
pub const ASCE_SOURCE: Source = Source {
    work: "ASCE-EWRI 2005, The ASCE Standardized Reference Evapotranspiration Equation",
    place: "equation 1 and table 1",
    standing: Standing::FromMemory,
    note: "constants recalled; results agree with the published program RefET",
};

/// Wind at 2 m where nothing is known of it (FAO-56 chapter 3, missing wind data).
pub const WIND_UNKNOWN: WindSpeed = WindSpeed::m_per_s(2.0);

/// The plant stand that the evapotranspiration refers to, and the edition of the equation.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reference {
    /// Grass, 0.12 m, FAO-56.
    Grass,
    /// Short reference of ASCE-EWRI 2005: grass, 0.12 m.
    Short,
    /// Tall reference of ASCE-EWRI 2005: alfalfa, 0.5 m. Not for factors made for grass.
    Tall,
}

/// What is known of the air's humidity.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Humidity {
    /// Actual vapour pressure.
    Vapour(VapourPressure),
    /// Highest and lowest relative humidity of the day (equation 17).
    Range {
        /// Highest, usually at dawn.
        high: RelativeHumidity,
        /// Lowest, usually in the afternoon.
        low: RelativeHumidity,
    },
    /// Dew point (equation 14).
    DewPoint(AirTemperature),
    /// Nothing: the night is taken to cool down to the dew point (equation 48). In deserts this reads too moist.
    FromLow,
}

/// What is known of the day's sunlight.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Sunlight {
    /// Measured on level ground, per day.
    Measured(SolarRadiation),
    /// Hours of bright sunshine (equation 35).
    Sunshine(HoursOfDay),
    /// Nothing: from the daily range of temperature (equation 50), at most that of a clear sky.
    FromRange(Setting),
}

/// Whether air from a large water body moderates the daily range (equation 50).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Setting {
    /// Land dominates: coefficient 0.16.
    Inland,
    /// On or near the coast of a large water body: 0.19.
    Coast,
}

/// One day's weather, or a month's mean day.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Weather {
    /// Day of the year.
    pub day: DayOfYear,
    /// Where.
    pub latitude: Latitude,
    /// How high.
    pub elevation: Elevation,
    /// Highest temperature.
    pub high: AirTemperature,
    /// Lowest temperature.
    pub low: AirTemperature,
    /// Humidity.
    pub humidity: Humidity,
    /// Wind at 2 m.
    pub wind: WindSpeed,
    /// Sunlight.
    pub sunlight: Sunlight,
    /// Heat into the ground: 0 for a day, [`monthly_soil_heat`] for a month.
    pub soil_heat: SoilHeat,
}

/// A day's reference evapotranspiration and the steps that led to it, per square metre and day.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Day {
    /// The result.
    pub et: Evapotranspiration,
    /// The equation gave less than 0 or more than 20 mm and the result was held there: the weather does not fit
    /// together, or dew fell all day.
    pub held_to_bounds: bool,
    /// Sunlight above the atmosphere, MJ.
    pub extraterrestrial_mj: f64,
    /// From sunrise to sunset, without refraction, h.
    pub daylight_hours: f64,
    /// Sunlight on the ground, MJ.
    pub solar_mj: f64,
    /// Sunlight on the ground under a clear sky, MJ.
    pub clear_sky_mj: f64,
    /// Sunlight kept, MJ.
    pub net_short_wave_mj: f64,
    /// Heat radiated away, MJ.
    pub net_long_wave_mj: f64,
    /// Actual vapour pressure, kPa.
    pub vapour_kpa: f64,
    /// Vapour pressure at saturation, mean of high and low, kPa.
    pub saturation_kpa: f64,
}

impl Reference {
    /// Numerator and denominator constant for one day.
    const fn daily_constants(self) -> (f64, f64) {
        match self {
            Self::Grass | Self::Short => (900.0, 0.34),
            Self::Tall => (1600.0, 0.38),
        }
    }

    const fn is_fao(self) -> bool {
        matches!(self, Self::Grass)
    }
}

/// Daily reference evapotranspiration by Penman–Monteith.
///
/// ```text
/// ET = [0.408 slope (Rn - G) + gamma Cn/(T + 273) u2 (es - ea)] / [slope + gamma (1 + Cd u2)]
/// ```
///
/// The result is held between 0 and 20 mm a day, and [`Day::held_to_bounds`] says so. Sunshine up to half an hour
/// longer than the day is read as the whole day. Below the polar night's horizon, where the cloudiness cannot be told
/// from the sunlight, the sky is taken as half clear.
///
/// # Errors
/// Low above high, lowest humidity above highest, more vapour than air of the high temperature holds, more sunlight
/// than reaches the atmosphere, more sunshine than day. Fields are named as the JSON door spells them.
///
/// # Source
/// [`SOURCE`], [`ASCE_SOURCE`].
pub fn penman_monteith(weather: &Weather, reference: Reference) -> Result<Day, Vec<Invalid>> {
    let mut faults = Vec::new();
    let (high, low) = (weather.high.to_celsius(), weather.low.to_celsius());
    if low > high {
        let problem = Problem::OutOfRange {
            least: AirTemperature::LEAST,
            most: high,
        };
        faults.push(Invalid::new("low_c", problem));
    }
    let extraterrestrial_mj = radiation::extraterrestrial_mj(weather.day, weather.latitude);
    let daylight_hours = radiation::daylight_hours(weather.day, weather.latitude);
    let vapour_kpa = vapour_kpa(weather, &mut faults);
    let clear_sky_mj = radiation::clear_sky_mj(extraterrestrial_mj, weather.elevation);
    let sky = Sky {
        extraterrestrial_mj,
        daylight_hours,
        clear_sky_mj,
    };
    let solar_mj = solar_mj(weather, &sky, &mut faults);
    if !faults.is_empty() {
        return Err(faults);
    }

    let clear_share = if clear_sky_mj > 0.0 {
        solar_mj / clear_sky_mj
    } else {
        0.5
    };
    let net_short_wave_mj = radiation::net_short_wave_mj(solar_mj);
    let net_long_wave_mj = radiation::net_long_wave_mj(
        weather.high,
        weather.low,
        vapour_kpa,
        clear_share,
        reference,
    );
    let mean = (high + low) / 2.0;
    let saturation_kpa = mean_saturation_kpa(weather.high, weather.low);
    let terms = Terms {
        available_mj: net_short_wave_mj - net_long_wave_mj - weather.soil_heat.to_mj_per_m2(),
        temperature_c: mean,
        slope: slope_kpa_per_c(mean, reference),
        gamma: psychrometric_kpa_per_c(weather.elevation),
        wind_m_per_s: weather.wind.to_m_per_s(),
        deficit_kpa: (saturation_kpa - vapour_kpa).max(0.0),
    };
    let (cn, cd) = reference.daily_constants();
    let (et, held_to_bounds) = held(terms.combined(cn, cd));
    Ok(Day {
        et,
        held_to_bounds,
        extraterrestrial_mj,
        daylight_hours,
        solar_mj,
        clear_sky_mj,
        net_short_wave_mj,
        net_long_wave_mj,
        vapour_kpa,
        saturation_kpa,
    })
}

/// The quantities that the combination equation weighs.
struct Terms {
    available_mj: f64,
    temperature_c: f64,
    slope: f64,
    gamma: f64,
    wind_m_per_s: f64,
    deficit_kpa: f64,
}

impl Terms {
    /// Equation 6 (day) or 53 (hour), by its constants; mm, may be negative.
    fn combined(&self, cn: f64, cd: f64) -> f64 {
        let wind = self.wind_m_per_s;
        let sun = 0.408 * self.slope * self.available_mj;
        let air = self.gamma * cn / (self.temperature_c + 273.0) * wind * self.deficit_kpa;
        (sun + air) / (self.slope + self.gamma * (1.0 + cd * wind))
    }
}

/// Holds a result within what a day can take, and says whether that was needed.
fn held(mm: f64) -> (Evapotranspiration, bool) {
    let bounded = mm.clamp(Evapotranspiration::LEAST, Evapotranspiration::MOST);
    (Evapotranspiration::mm_per_day(bounded), bounded != mm)
}

fn vapour_kpa(weather: &Weather, faults: &mut Vec<Invalid>) -> f64 {
    let (high, low) = (weather.high.to_celsius(), weather.low.to_celsius());
    match weather.humidity {
        Humidity::Vapour(vapour) => {
            let (kpa, most) = (vapour.to_kpa(), saturation_kpa(high));
            if kpa > most {
                let problem = Problem::OutOfRange {
                    least: VapourPressure::LEAST,
                    most,
                };
                faults.push(Invalid::new("vapour_pressure_kpa", problem));
            }
            kpa
        }
        Humidity::Range {
            high: dawn,
            low: afternoon,
        } => {
            let (dawn, afternoon) = (dawn.to_percent(), afternoon.to_percent());
            if afternoon > dawn {
                let problem = Problem::OutOfRange {
                    least: RelativeHumidity::LEAST,
                    most: dawn,
                };
                faults.push(Invalid::new("humidity_low_percent", problem));
            }
            (saturation_kpa(low) * dawn + saturation_kpa(high) * afternoon) / 200.0
        }
        Humidity::DewPoint(dew_point) => {
            let celsius = dew_point.to_celsius();
            if celsius > high {
                let problem = Problem::OutOfRange {
                    least: AirTemperature::LEAST,
                    most: high,
                };
                faults.push(Invalid::new("dew_point_c", problem));
            }
            saturation_kpa(celsius)
        }
        Humidity::FromLow => saturation_kpa(low),
    }
}

struct Sky {
    extraterrestrial_mj: f64,
    daylight_hours: f64,
    clear_sky_mj: f64,
}

/// How much longer than the day a sunshine recorder may read: refraction, and a page of hours rounded up.
const SUNSHINE_SLACK_HOURS: f64 = 0.5;

fn solar_mj(weather: &Weather, sky: &Sky, faults: &mut Vec<Invalid>) -> f64 {
    let above = sky.extraterrestrial_mj;
    match weather.sunlight {
        Sunlight::Measured(solar) => {
            let mj = solar.to_mj_per_m2();
            if mj > above {
                let problem = Problem::OutOfRange {
                    least: SolarRadiation::LEAST,
                    most: above,
                };
                faults.push(Invalid::new("solar_mj_per_m2", problem));
            }
            mj
        }
        Sunlight::Sunshine(sunshine) => {
            let hours = sunshine.to_hours();
            let most = (sky.daylight_hours + SUNSHINE_SLACK_HOURS).min(HoursOfDay::MOST);
            if hours > most {
                let problem = Problem::OutOfRange {
                    least: HoursOfDay::LEAST,
                    most,
                };
                faults.push(Invalid::new("sunshine_hours", problem));
            }
            radiation::from_sunshine_mj(above, hours, sky.daylight_hours)
        }
        Sunlight::FromRange(setting) => {
            let range = (weather.high.to_celsius() - weather.low.to_celsius()).max(0.0);
            radiation::from_range_mj(above, range, setting).min(sky.clear_sky_mj)
        }
    }
}

/// A day's reference evapotranspiration from high and low alone, and what the sun gives above the atmosphere.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TemperatureDay {
    /// The result.
    pub et: Evapotranspiration,
    /// The equation gave less than 0 or more than 20 mm and the result was held there (below -17.8 degrees).
    pub held_to_bounds: bool,
    /// Sunlight above the atmosphere, MJ per m2 and day.
    pub extraterrestrial_mj: f64,
    /// From sunrise to sunset, without refraction, h.
    pub daylight_hours: f64,
}

/// Daily reference evapotranspiration from temperature alone; good for means of a week or more.
///
/// ```text
/// ET = 0.0023 (mean + 17.8) sqrt(high - low) Ra        with Ra in mm a day, 0.408 x MJ
/// ```
///
/// `mean` is usually (high + low) / 2. The result is held between 0 and 20 mm a day.
///
/// # Errors
/// Low above high; mean outside low to high.
///
/// # Source
/// FAO-56 equation 52 (Hargreaves & Samani 1985).
///
/// # Example
/// Near Lyon in July (FAO-56, example 20):
/// ```
/// use drycurb_core::need::evapotranspiration::{DayOfYear, from_temperature};
/// use drycurb_core::quantity::{AirTemperature, Latitude};
/// let july = DayOfYear::mid_months()[6];
/// let (high, low) = (AirTemperature::celsius(26.6), AirTemperature::celsius(14.8));
/// let lyon = Latitude::degrees(45.0 + 43.0 / 60.0);
/// let day = from_temperature(july, lyon, high, low, None).unwrap();
/// assert_eq!(format!("{:.1}", day.et.to_mm_per_day()), "5.0");
/// // Low above high is refused beside its field.
/// let faults = from_temperature(july, lyon, low, high, None).unwrap_err();
/// assert_eq!(faults[0].field, "low_c");
/// ```
pub fn from_temperature(
    day: DayOfYear,
    latitude: Latitude,
    high: AirTemperature,
    low: AirTemperature,
    mean: Option<AirTemperature>,
) -> Result<TemperatureDay, Vec<Invalid>> {
    let (high, low) = (high.to_celsius(), low.to_celsius());
    if low > high {
        let problem = Problem::OutOfRange {
            least: AirTemperature::LEAST,
            most: high,
        };
        return Err(vec![Invalid::new("low_c", problem)]);
    }
    let mean = mean.map_or((high + low) / 2.0, AirTemperature::to_celsius);
    if mean < low || mean > high {
        let problem = Problem::OutOfRange {
            least: low,
            most: high,
        };
        return Err(vec![Invalid::new("mean_c", problem)]);
    }
    let extraterrestrial_mj = radiation::extraterrestrial_mj(day, latitude);
    let mm = 0.0023 * (mean + 17.8) * (high - low).sqrt() * 0.408 * extraterrestrial_mj;
    let (et, held_to_bounds) = held(mm);
    Ok(TemperatureDay {
        et,
        held_to_bounds,
        extraterrestrial_mj,
        daylight_hours: radiation::daylight_hours(day, latitude),
    })
}

/// Heat into the ground over a month, from the mean temperatures of the months before and, where known, after.
///
/// # Source
/// FAO-56 equation 43 (both neighbours), 44 (this month and the one before).
pub fn monthly_soil_heat(
    before: AirTemperature,
    this: AirTemperature,
    after: Option<AirTemperature>,
) -> SoilHeat {
    let (before, this) = (before.to_celsius(), this.to_celsius());
    let mj = match after {
        Some(after) => 0.07 * (after.to_celsius() - before),
        None => 0.14 * (this - before),
    };
    SoilHeat::mj_per_m2(mj)
}
