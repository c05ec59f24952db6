//! Sunrise, sunset and the dark hours of a night.
//!
//! The sun is risen while its upper edge stands above the horizon of flat ground, with the usual refraction: its
//! centre at 90.833 degrees from the zenith. Hills, and air that bends light more than usual, move that by minutes;
//! a minute either way is as good as it gets. Written for the years 1900 to 2100.
//!
//! # Source
//! [`SOURCE`].

use crate::calendar::wall::{ClockChange, WallClock};
use crate::calendar::{ClockTime, DAY_SECONDS, Date, LocalTime};
use crate::invalid::Problem;
use crate::math;
use crate::quantity::{Latitude, Longitude};
use crate::reference::{Source, Standing};

/// Where the sun's place comes from.
pub const SOURCE: Source = Source {
    work: "NOAA solar calculator equations; Meeus, Astronomical Algorithms",
    place: "low-precision position of the sun, equation of time, zenith 90.833 degrees",
    standing: Standing::Checked,
    note: "within 0.1 min of the NREL solar position algorithm where both tell the same sunrise",
};

const ZENITH_DEGREES: f64 = 90.833;

/// How far a local clock is ahead of universal time, minutes: -840 to 840.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct UtcOffset(i16);

impl UtcOffset {
    /// Largest offset either way, minutes.
    pub const MOST: f64 = 840.0;

    /// For what a person typed.
    ///
    /// # Errors
    /// Not whole, or more than 14 hours either way.
    pub fn try_minutes(minutes: f64) -> Result<Self, Problem> {
        if !minutes.is_finite() {
            Err(Problem::NotANumber)
        } else if minutes.fract() != 0.0 {
            Err(Problem::NotWhole)
        } else if minutes.abs() > Self::MOST {
            Err(Problem::OutOfRange {
                least: -Self::MOST,
                most: Self::MOST,
            })
        } else {
            Ok(Self(minutes as i16))
        }
    }

    fn minutes(self) -> f64 {
        f64::from(self.0)
    }
}

/// What the sun does in one turn of the earth.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum SunDay {
    /// It rises and sets. Minutes after 00:00 local time of the date asked for; below 0 or above 1440 where the event
    /// belongs to a neighbouring date.
    Rises {
        /// Sunrise.
        sunrise_minute: f64,
        /// Sunset.
        sunset_minute: f64,
    },
    /// It stays up (polar day).
    StaysUp,
    /// It stays down (polar night).
    StaysDown,
}

impl SunDay {
    /// Hours from sunrise to sunset: 24 where it stays up, 0 where it stays down.
    pub fn daylight_hours(self) -> f64 {
        match self {
            Self::Rises {
                sunrise_minute,
                sunset_minute,
            } => (sunset_minute - sunrise_minute) / 60.0,
            Self::StaysUp => 24.0,
            Self::StaysDown => 0.0,
        }
    }
}

/// Sunrise and sunset around the solar noon that falls on `date` by the local clock.
pub fn sun(date: Date, latitude: Latitude, longitude: Longitude, offset: UtcOffset) -> SunDay {
    // Minutes count from 00:00 of `date` in universal time.
    let midnight_local = -offset.minutes();
    let mean_noon = 720.0 - 4.0 * longitude.to_degrees();
    let whole_days = ((mean_noon - midnight_local) / 1440.0).floor();
    let days = days_since_2000(date);
    let mean_noon = mean_noon - whole_days * 1440.0;
    let event = |side: f64| event_minute(days, latitude, mean_noon, side);
    match (event(-1.0), event(1.0)) {
        (Ok(rise), Ok(set)) => SunDay::Rises {
            sunrise_minute: rise - midnight_local,
            sunset_minute: set - midnight_local,
        },
        (Err(stays), _) | (_, Err(stays)) => stays,
    }
}

/// Days from noon of 1 January 2000 to 00:00 of `date`, universal time.
fn days_since_2000(date: Date) -> f64 {
    // 1 January 2000 lies 10,957 days after 1 January 1970.
    f64::from(date.days_since(Date::EPOCH)) - 10_957.0 - 0.5
}

/// Declination in radians and equation of time in minutes.
struct Position {
    declination: f64,
    equation_of_time: f64,
}

fn position(days_since_2000: f64) -> Position {
    let t = days_since_2000 / 36_525.0;
    let mean_longitude = (280.46646 + t * (36000.76983 + 0.0003032 * t)).to_radians();
    let anomaly = (357.52911 + t * (35999.05029 - 0.0001537 * t)).to_radians();
    let eccentricity = 0.016708634 - t * (0.000042037 + 0.0000001267 * t);
    let centre = math::sin(anomaly) * (1.914602 - t * (0.004817 + 0.000014 * t))
        + math::sin(2.0 * anomaly) * (0.019993 - 0.000101 * t)
        + math::sin(3.0 * anomaly) * 0.000289;
    let node = (125.04 - 1934.136 * t).to_radians();
    let apparent_longitude =
        mean_longitude + (centre - 0.00569 - 0.00478 * math::sin(node)).to_radians();
    let mean_tilt_seconds = 21.448 - t * (46.815 + t * (0.00059 - 0.001813 * t));
    let tilt =
        (23.0 + 26.0 / 60.0 + mean_tilt_seconds / 3600.0 + 0.00256 * math::cos(node)).to_radians();
    let y = math::tan(tilt / 2.0) * math::tan(tilt / 2.0);
    let time_angle = y * math::sin(2.0 * mean_longitude) - 2.0 * eccentricity * math::sin(anomaly)
        + 4.0 * eccentricity * y * math::sin(anomaly) * math::cos(2.0 * mean_longitude)
        - 0.5 * y * y * math::sin(4.0 * mean_longitude)
        - 1.25 * eccentricity * eccentricity * math::sin(2.0 * anomaly);
    Position {
        declination: math::asin(math::sin(tilt) * math::sin(apparent_longitude)),
        equation_of_time: 4.0 * time_angle.to_degrees(),
    }
}

/// Sunrise (`side` -1) or sunset (1). The sun's place is taken anew at the event itself: far north and south that shifts
/// it by minutes.
fn event_minute(days: f64, latitude: Latitude, mean_noon: f64, side: f64) -> Result<f64, SunDay> {
    let phi = latitude.to_degrees().to_radians();
    let mut minute = mean_noon;
    for _ in 0..3 {
        let now = position(days + minute / 1440.0);
        let cosine = (math::cos(ZENITH_DEGREES.to_radians())
            - math::sin(phi) * math::sin(now.declination))
            / (math::cos(phi) * math::cos(now.declination));
        if cosine < -1.0 {
            return Err(SunDay::StaysUp);
        }
        if cosine > 1.0 {
            return Err(SunDay::StaysDown);
        }
        let half_day = 4.0 * math::acos(cosine).to_degrees();
        minute = mean_noon - now.equation_of_time + side * half_day;
    }
    Ok(minute)
}

/// One night, from sunset of its first date to sunrise of the next.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Night {
    /// The sun sets and rises again.
    Dark {
        /// What the clock shows at sunset.
        sunset: LocalTime,
        /// What the clock shows at sunrise.
        sunrise: LocalTime,
        /// Seconds in between as they pass, whatever the clock does.
        dark_seconds: i64,
        /// A change of the clock in that night.
        change: Option<ClockChange>,
    },
    /// The sun does not set.
    NeverDark,
    /// The sun does not rise.
    AlwaysDark,
}

/// The night that begins on `date`.
///
/// `offset` is in force at noon of `date`. Of `changes` (sound by [`ClockChange::check`]) those up to that noon are passed over. A
/// night in which the clock is put forward shows an hour more between sunset and sunrise than passes, one in which it
/// is put back an hour less.
pub fn night(
    date: Date,
    latitude: Latitude,
    longitude: Longitude,
    offset: UtcOffset,
    changes: &[ClockChange],
) -> Night {
    let evening = sun(date, latitude, longitude, offset);
    let morning = sun(date.plus_days(1), latitude, longitude, offset);
    // Seconds after noon of `date`.
    let after_noon = |minute: f64| ((minute - 720.0) * 60.0).round() as i64;
    let (from, until) = match (evening, morning) {
        (SunDay::Rises { sunset_minute, .. }, SunDay::Rises { sunrise_minute, .. }) => (
            after_noon(sunset_minute),
            after_noon(sunrise_minute) + DAY_SECONDS,
        ),
        (SunDay::StaysUp, _) | (_, SunDay::StaysUp) => return Night::NeverDark,
        _ => return Night::AlwaysDark,
    };
    if until <= from {
        return Night::NeverDark;
    }
    let clock = WallClock::new(date.at(ClockTime::NOON), changes);
    let change = clock
        .stretches()
        .iter()
        .filter(|stretch| from < stretch.second && stretch.second < until)
        .find_map(|stretch| stretch.change);
    Night::Dark {
        sunset: clock.local(from),
        sunrise: clock.local(until),
        dark_seconds: until - from,
        change,
    }
}
