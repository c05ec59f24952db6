//! What a site costs to compute: one station from weather to minutes, and an invented site of 200 stations with its
//! year.
//!
//! `cargo bench -p drycurb-tests --bench site` prints times. Counted instructions do not depend on the machine's load;
//! with `station`, `site`, `year`, `balance` or `nearest` for NAME that one is run a single time and counted:
//! `valgrind --tool=callgrind --toggle-collect='site::measured_NAME' --callgrind-out-file=/dev/null <the binary> once NAME`

use std::hint::black_box;
use std::time::Instant;

use drycurb_core::ground::{Condition, Ground, Texture};
use drycurb_core::need::balance::{self, Balance, Schedule, Store, year_of_months};
use drycurb_core::need::climate::{BUILT_IN, Near};
use drycurb_core::need::evapotranspiration::{
    DayOfYear, Humidity, Reference, Setting as Coast, Sunlight, WIND_UNKNOWN, Weather,
    penman_monteith,
};
use drycurb_core::need::plant::{Turf, turf_factors};
use drycurb_core::need::station::{StationWeek, Thirst, station_week};
use drycurb_core::quantity::{
    AirTemperature, DailyNeed, Depth, Elevation, Latitude, LeachingShare, Length, Longitude,
    PlantFactor, PrecipitationRate, Share, Slope, SoilHeat,
};
use drycurb_core::rate::uniformity::run_time_multiplier;
use drycurb_core::season::{PanelStep, Setting, months};

/// Ground, rate and plants of one station.
struct Station {
    soil: Texture,
    condition: Condition,
    slope_percent: f64,
    rate_mm_per_h: f64,
    plant: f64,
}

/// A site of so many stations: every soil, slopes to 20 %, sprays and rotors.
fn stations(count: usize) -> Vec<Station> {
    let make = |place: usize| Station {
        soil: Texture::ALL[place % Texture::ALL.len()],
        condition: Condition::ALL[place % Condition::ALL.len()],
        slope_percent: (place % 21) as f64,
        rate_mm_per_h: 10.0 + (place % 9) as f64 * 4.0,
        plant: 0.4 + (place % 6) as f64 * 0.1,
    };
    (0..count).map(make).collect()
}

/// July on an inland plain.
fn weather() -> Weather {
    Weather {
        day: DayOfYear::mid_months()[6],
        latitude: Latitude::degrees(40.0),
        elevation: Elevation::m(300.0),
        high: AirTemperature::celsius(32.0),
        low: AirTemperature::celsius(16.0),
        humidity: Humidity::FromLow,
        wind: WIND_UNKNOWN,
        sunlight: Sunlight::FromRange(Coast::Inland),
        soil_heat: SoilHeat::mj_per_m2(0.0),
    }
}

#[inline(never)]
fn measured_station(station: &Station) -> StationWeek {
    let et = penman_monteith(&weather(), Reference::Grass)
        .expect("weather that can be")
        .et;
    let slope = Slope::percent(station.slope_percent);
    let ground = Ground::of_class(station.soil, slope, station.condition);
    let thirst = Thirst {
        et,
        plant: PlantFactor::of_reference(station.plant),
        week_rain: Depth::mm(4.0),
        root_depth: Length::m(0.2),
        allowed_depletion: Share::of_one(0.5),
        leaching: LeachingShare::of_one(0.0),
    };
    let rate = PrecipitationRate::mm_per_h(station.rate_mm_per_h);
    station_week(
        &ground,
        rate,
        &thirst,
        run_time_multiplier(Share::of_one(0.65)),
        None,
    )
}

#[inline(never)]
fn measured_site(stations: &[Station]) -> Vec<StationWeek> {
    stations.iter().map(measured_station).collect()
}

#[inline(never)]
fn measured_year(stations: &[Station]) -> Vec<Setting> {
    let near = measured_nearest();
    let needs: Vec<[DailyNeed; 12]> = stations
        .iter()
        .map(|station| {
            near.place
                .et_mm_per_day
                .map(|mm| DailyNeed::mm_per_day(mm * station.plant))
        })
        .collect();
    months(&needs, 6, Share::of_one(0.05), PanelStep::Five).expect("July wants water")
}

#[inline(never)]
fn measured_balance() -> Balance {
    let factors = turf_factors(Turf::CoolSeason);
    let et = measured_nearest().place.et_mm_per_day;
    let need = core::array::from_fn(|month| {
        DailyNeed::mm_per_day(et[month] * factors[month].to_of_reference())
    });
    let schedule = Schedule::Every {
        days: 2,
        net: Depth::mm(10.0),
        percent: [100; 12],
    };
    let days = year_of_months(&need, &[Depth::mm(30.0); 12], schedule);
    let store = Store {
        holds: Depth::mm(22.0),
        allowed: Share::of_one(0.5),
    };
    balance::run(store, Depth::mm(0.0), &days)
}

#[inline(never)]
fn measured_nearest() -> Near {
    let near = BUILT_IN.nearest(Latitude::degrees(40.0), Longitude::degrees(-105.0));
    near.expect("places")
}

fn timed<T>(name: &str, asked: &[String], run: impl Fn() -> T) {
    let once = asked.iter().any(|word| word == "once");
    if once && !asked.iter().any(|word| word == name) {
        return;
    }
    let begin = Instant::now();
    let mut rounds = 0;
    while rounds == 0 || (!once && begin.elapsed().as_millis() < 300) {
        black_box(run());
        rounds += 1;
    }
    println!("{name}: {:?}", begin.elapsed() / rounds);
}

fn main() {
    let asked: Vec<String> = std::env::args().skip(1).collect();
    let site = stations(200);
    timed("station", &asked, || measured_station(black_box(&site[3])));
    timed("site", &asked, || measured_site(black_box(&site)));
    timed("year", &asked, || measured_year(black_box(&site)));
    timed("balance", &asked, measured_balance);
    timed("nearest", &asked, measured_nearest);
}
