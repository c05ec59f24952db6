//! Times the whole chain of one station, from need to runs and soaks, over and over.
//!
//! `cargo run --release -q -p drycurb-core --example chain -- 1000` prints the mean time of a chain
//! for each place of a list; counted instructions:
//! `valgrind --tool=callgrind --toggle-collect='chain::chain' target/release/examples/chain 1`.
//! Places and weather are invented.

use std::hint::black_box;
use std::time::Instant;

use drycurb_core::ground::{Condition, Ground, Texture};
use drycurb_core::need::station::{StationWeek, Thirst, station_week};
use drycurb_core::quantity::{
    Depth, Evapotranspiration, LeachingShare, Length, PlantFactor, PrecipitationRate, Share, Slope,
};
use drycurb_core::rate::uniformity::run_time_multiplier;

/// A station's ground and rate.
struct Place {
    name: &'static str,
    soil: Texture,
    condition: Condition,
    slope_percent: f64,
    rate_mm_per_h: f64,
}

const fn place(
    name: &'static str,
    soil: Texture,
    condition: Condition,
    slope_percent: f64,
    rate_mm_per_h: f64,
) -> Place {
    Place {
        name,
        soil,
        condition,
        slope_percent,
        rate_mm_per_h,
    }
}

const PLACES: [Place; 8] = [
    place("sprays, loam", Texture::Loam, Condition::Settled, 2.0, 38.0),
    place(
        "sprays, bank",
        Texture::Loam,
        Condition::Settled,
        15.0,
        38.0,
    ),
    place(
        "rotors, clay loam",
        Texture::ClayLoam,
        Condition::Settled,
        5.0,
        12.0,
    ),
    place("sprays, clay", Texture::Clay, Condition::Settled, 8.0, 40.0),
    place(
        "sprays, trodden clay",
        Texture::Clay,
        Condition::Compacted,
        15.0,
        55.0,
    ),
    place(
        "rotors, trodden clay",
        Texture::SandyClay,
        Condition::Compacted,
        15.0,
        12.0,
    ),
    place(
        "drip, trodden clay",
        Texture::Clay,
        Condition::Compacted,
        5.0,
        5.0,
    ),
    place("sprays, sand", Texture::Sand, Condition::Settled, 2.0, 38.0),
];

#[inline(never)]
fn chain(place: &Place) -> StationWeek {
    let slope = Slope::percent(place.slope_percent);
    let ground = Ground::of_class(place.soil, slope, place.condition);
    let thirst = Thirst {
        et: Evapotranspiration::mm_per_day(6.0),
        plant: PlantFactor::of_reference(0.8),
        week_rain: Depth::mm(0.0),
        root_depth: Length::m(0.2),
        allowed_depletion: Share::of_one(0.5),
        leaching: LeachingShare::of_one(0.0),
    };
    let rate = PrecipitationRate::mm_per_h(place.rate_mm_per_h);
    station_week(
        &ground,
        rate,
        &thirst,
        run_time_multiplier(Share::of_one(0.65)),
        None,
    )
}

fn main() {
    let times: u32 = std::env::args()
        .nth(1)
        .and_then(|word| word.parse().ok())
        .unwrap_or(1_000);
    for place in &PLACES {
        let begin = Instant::now();
        for _ in 0..times {
            black_box(chain(black_box(place)));
        }
        let micros = begin.elapsed().as_secs_f64() * 1e6 / f64::from(times.max(1));
        let week = chain(place);
        let split = week.cycle.split;
        println!(
            "{:22} {micros:8.1} µs   {} x {} min, soak {}, loses {:.1} %{}",
            place.name,
            split.runs,
            split.run_minutes,
            split.soak_minutes,
            100.0 * split.runoff_share,
            if week.cycle.too_fast {
                ", too fast"
            } else {
                ""
            },
        );
    }
}
