//! The asks about the sun: `sun`, `dark`.

use serde_json::Value;

use crate::json;

use super::replay::clock_change;
use super::{Answer, Fields};
use crate::calendar::Date;
use crate::calendar::wall::ClockChange;
use crate::quantity::{Latitude, Longitude};
use crate::sky::{self, Night, SunDay, UtcOffset};

struct Asked {
    date: Date,
    latitude: Latitude,
    longitude: Longitude,
    offset: UtcOffset,
}

fn asked(fields: &mut Fields) -> Option<Asked> {
    let date = fields.required_parsed("date", Date::parse);
    let latitude = fields.required("latitude_degrees", Latitude::try_degrees);
    let longitude = fields.required("longitude_degrees", Longitude::try_degrees);
    let offset = fields.required("utc_offset_minutes", UtcOffset::try_minutes);
    Some(Asked {
        date: date?,
        latitude: latitude?,
        longitude: longitude?,
        offset: offset?,
    })
}

/// Sunrise and sunset of a date.
pub fn sun(mut fields: Fields) -> Answer {
    let Some(asked) = asked(&mut fields) else {
        return Err(fields.into_faults());
    };
    let assumed = fields.finish()?;
    let found = sky::sun(asked.date, asked.latitude, asked.longitude, asked.offset);
    let (sunrise, sunset) = match found {
        SunDay::Rises {
            sunrise_minute,
            sunset_minute,
        } => (Some(clock(sunrise_minute)), Some(clock(sunset_minute))),
        SunDay::StaysUp | SunDay::StaysDown => (None, None),
    };
    Ok(json!({
        "sunrise": sunrise,
        "sunset": sunset,
        "daylight_hours": found.daylight_hours(),
        "polar": match found {
            SunDay::Rises { .. } => Value::Null,
            SunDay::StaysUp => json!("day"),
            SunDay::StaysDown => json!("night"),
        },
        "assumed": assumed,
    }))
}

/// Minutes after midnight as a clock shows them, to the nearest second.
fn clock(minute: f64) -> String {
    let second = ((minute * 60.0).round() as i64).rem_euclid(86_400);
    format!(
        "{:02}:{:02}:{:02}",
        second / 3600,
        second / 60 % 60,
        second % 60
    )
}

/// The dark hours of the night that begins on a date.
pub fn dark(mut fields: Fields) -> Answer {
    let asked = asked(&mut fields);
    if fields.value("clock_changes").is_none() {
        fields.assume("clock_changes");
    }
    let changes = fields.objects("clock_changes", false, clock_change);
    if fields.is_sound() {
        for fault in ClockChange::check(&changes, "clock_changes") {
            fields.fault(&fault.field, fault.problem);
        }
    }
    let Some(asked) = asked else {
        return Err(fields.into_faults());
    };
    let assumed = fields.finish()?;
    let found = sky::night(
        asked.date,
        asked.latitude,
        asked.longitude,
        asked.offset,
        &changes,
    );
    Ok(match found {
        Night::Dark {
            sunset,
            sunrise,
            dark_seconds,
            change,
        } => json!({
            "sunset": sunset.to_string(),
            "sunrise": sunrise.to_string(),
            "dark_minutes": dark_seconds as f64 / 60.0,
            "clock_shift_minutes": change.map_or(0, |change| change.shift_minutes),
            "clock_changes_at": change.map(|change| change.at.to_string()),
            "polar": null,
            "assumed": assumed,
        }),
        Night::NeverDark => json!({
            "sunset": null, "sunrise": null, "dark_minutes": 0.0, "polar": "day",
            "assumed": assumed,
        }),
        Night::AlwaysDark => json!({
            "sunset": null, "sunrise": null, "dark_minutes": 1440.0, "polar": "night",
            "assumed": assumed,
        }),
    })
}
