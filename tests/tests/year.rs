//! The year in twelve rows.

use drycurb_core::allowance::Planted;
use drycurb_core::money::{Tariff, WaterPrice};
use drycurb_core::need::climate::california::ZONES;
use drycurb_core::need::rain::RainRule;
use drycurb_core::paper::year::{Keying, Plan, Station, Weather, year};
use drycurb_core::quantity::{
    Area, DailyNeed, Depth, Efficiency, Evapotranspiration, PlantFactor, Share,
};
use drycurb_core::season::PanelStep;
use drycurb_tests::{assert_near, assert_printed};
use proptest::prelude::*;

fn weather(et: [f64; 12], rain: [f64; 12], rule: RainRule) -> Weather {
    Weather {
        et: et.map(Evapotranspiration::mm_per_day),
        rain: rain.map(Depth::mm),
        rule,
    }
}

fn station(factor: f64, area_m2: f64, program: usize) -> Station {
    Station {
        plant: [PlantFactor::of_reference(factor); 12],
        area: Some(Area::m2(area_m2)),
        multiplier: 1.0,
        program,
        also: 0,
        keyed: None,
    }
}

const EXACT: Keying = Keying {
    base_month: Some(6),
    short_most: Share::of_one(0.0),
    step: PanelStep::One,
};

fn price(thousandths: u32) -> Tariff {
    Tariff::flat(WaterPrice::try_thousandths_per_m3(thousandths).unwrap())
}

/// Source: evapotranspiration zone map of California (DWR and UC Davis 1999), zone 6, inches a month as printed for
/// January and July: 1.86 and 6.51. A lawn of 100 m2 at 0.8, no rain: July at 100 % takes 6.51 x 25.4 x 0.8 x 100 =
/// 13,228 L and costs 26.46 at 2.000 a cubic metre; January is keyed at 29 % of it.
#[test]
fn a_lawn_in_zone_6() {
    let et = ZONES[5].et_mm_per_day();
    let tariff = price(2_000);
    let stations = [station(0.8, 100.0, 0)];
    let plan = Plan {
        stations: &stations,
        keying: EXACT,
        tariff: Some(&tariff),
        allowance: None,
    };
    let found = year(&plan, &weather(et, [0.0; 12], RainRule::Half)).unwrap();
    assert_printed(found.months[0].et_mm / 25.4, "1.86");
    assert_printed(found.months[6].et_mm / 25.4, "6.51");
    let july = &found.months[6];
    assert_eq!((july.programs[0].percent, july.litres), (100, 13_228));
    assert_eq!(july.cost.unwrap().to_hundredths(), 2_646);
    let january = &found.months[0];
    assert_eq!((january.programs[0].percent, january.litres), (29, 3_836));
    assert_near(january.need_mm, 1.86 * 25.4 * 0.8, 1e-9);
    let sum: i64 = found
        .months
        .iter()
        .map(|month| month.cost.unwrap().to_millionths())
        .sum();
    assert_eq!(found.cost().unwrap().to_millionths(), sum);
    let litres: u64 = found.months.iter().map(|month| month.litres).sum();
    assert_eq!(found.litres(), litres);
}

/// By hand: rain of 62 mm of which half counts takes 31 mm off a month of 155 x 0.8 = 124 mm: 93 mm are left. A tenth
/// less rain and a fifth more evapotranspiration: 148.8 - 27.9 = 120.9 mm.
#[test]
fn a_dry_hot_year_is_the_same_question() {
    let usual = weather([5.0; 12], [62.0; 12], RainRule::Half);
    let stations = [station(0.8, 10.0, 0)];
    let plan = Plan {
        stations: &stations,
        keying: EXACT,
        tariff: None,
        allowance: None,
    };
    let found = year(&plan, &usual).unwrap();
    let july = &found.months[6];
    assert_near(july.need_mm, 93.0, 1e-9);
    assert_near(july.counted_rain_mm, 31.0, 1e-9);
    assert_eq!(
        (july.litres, july.cost, july.allowed_litres),
        (930, None, None)
    );
    let dry = year(&plan, &usual.times(1.2, 0.9)).unwrap();
    assert_near(dry.months[6].need_mm, 120.9, 1e-9);
    assert_eq!(dry.months[6].litres, 1_209);
}

/// By hand: run times that give 4 mm a day at 100 percent, for a need of 155 x 0.8 / 31 = 4 mm without rain. With rain
/// that counts 31 mm a month 93 / 31 = 3 mm are left: 75 %. In a year hotter by a fifth and drier by a tenth 120.9 / 31 =
/// 3.9 mm are wanted of the same run times: 97.5 %, keyed 98.
#[test]
fn run_times_that_are_known_stand_at_100_percent() {
    let usual = weather([5.0; 12], [62.0; 12], RainRule::Half);
    let mut stations = [station(0.8, 10.0, 0)];
    stations[0].keyed = Some(DailyNeed::mm_per_day(4.0));
    // A base month in which nothing is wanted matters to nobody then.
    let keying = Keying {
        base_month: Some(0),
        ..EXACT
    };
    stations[0].plant[0] = PlantFactor::of_reference(0.0);
    let plan = Plan {
        stations: &stations,
        keying,
        tariff: None,
        allowance: None,
    };
    let found = year(&plan, &usual).unwrap();
    assert_eq!(found.base_month, 0);
    let july = &found.months[6];
    assert_eq!((july.programs[0].percent, july.litres), (75, 930));
    let hard = year(&plan, &usual.times(1.2, 0.9)).unwrap();
    let july = &hard.months[6];
    assert_eq!((july.programs[0].percent, july.litres), (98, 1_215));
}

/// By hand: the door's harder year keeps the usual year's run times. 5 x 0.8 = 4 mm; a fifth more is 120 %.
#[test]
fn a_harder_year_is_keyed_above_100_percent() {
    let ask = |of_station: &str, more: &str| {
        let et = "[5,5,5,5,5,5,5,5,5,5,5,5]";
        let station = format!(r#"{{"plant_factor":0.8{of_station}}}"#);
        let line = format!(r#"{{"ask":"year","et_mm_per_day":{et},"stations":[{station}]{more}}}"#);
        let answer: serde_json::Value =
            serde_json::from_str(&drycurb_core::lines::answer_line(&line)).unwrap();
        answer["ok"]["months"][6]["programs"][0]["percent"].as_u64()
    };
    assert_eq!(ask("", ""), Some(100));
    assert_eq!(ask(r#","keyed_mm_per_day":2"#, ""), Some(200));
    assert_eq!(ask("", r#","et_times":1.2"#), Some(120));
    assert_eq!(
        ask(r#","keyed_mm_per_day":2"#, r#","et_times":1.2"#),
        Some(240)
    );
}

/// Property, no source: a station in several programs has a say in each of them, and its water is counted once.
#[test]
fn a_station_may_be_in_several_programs() {
    let mut et = [2.0; 12];
    et[6] = 4.0;
    let once = [station(0.8, 100.0, 0)];
    let mut twice = once;
    twice[0].also = 0b110;
    let mut found = [&once, &twice].map(|stations| {
        let plan = Plan {
            stations,
            keying: EXACT,
            tariff: None,
            allowance: None,
        };
        year(&plan, &weather(et, [0.0; 12], RainRule::Nothing)).unwrap()
    });
    for month in &mut found[1].months {
        let percents: Vec<u16> = month.programs.iter().map(|one| one.percent).collect();
        assert_eq!(percents.len(), 3);
        assert!(percents.iter().all(|percent| *percent == percents[0]));
        month.programs.truncate(1);
    }
    assert_eq!(found[0], found[1]);
}

/// By hand: two programs of different plants; each has its own percent. 100 m2 at 0.8 and 300 m2 at 0.4 mean
/// (0.8 + 3 x 0.4)/4 = 0.5 of the reference by area. Without one area the mean is of stations, and one is not counted.
#[test]
fn programs_and_areas() {
    let mut et = [2.0; 12];
    et[6] = 4.0;
    let mut stations = [station(0.8, 100.0, 0), station(0.4, 300.0, 2)];
    // These shrubs sleep in January.
    stations[1].plant[0] = PlantFactor::of_reference(0.1);
    let plan = Plan {
        stations: &stations,
        keying: EXACT,
        tariff: None,
        allowance: None,
    };
    let found = year(&plan, &weather(et, [0.0; 12], RainRule::Nothing)).unwrap();
    let percents: Vec<u16> = found.months[0]
        .programs
        .iter()
        .map(|program| program.percent)
        .collect();
    assert_eq!(percents, [50, 0, 13]);
    assert_near(found.months[6].need_mm, 31.0 * 4.0 * 0.5, 1e-9);
    assert_eq!(found.without_area, 0);
    stations[1].area = None;
    let plan = Plan {
        stations: &stations,
        keying: EXACT,
        tariff: None,
        allowance: None,
    };
    let found = year(&plan, &weather(et, [0.0; 12], RainRule::Nothing)).unwrap();
    assert_near(found.months[6].need_mm, 31.0 * 4.0 * 0.6, 1e-9);
    assert_eq!((found.without_area, found.months[6].litres), (1, 9_920));
}

/// Source: 23 CCR 492.4, form of the allowance: reference x factor x ground, here month by month; the year's months add
/// up to the year's allowance.
#[test]
fn the_allowance_of_a_month() {
    let et = ZONES[5].et_mm_per_day();
    let planted = [Planted::Ordinary {
        area: Area::m2(100.0),
        factor: PlantFactor::of_reference(0.6),
        efficiency: Efficiency::of_one(0.75),
    }];
    let stations = [station(0.6, 100.0, 0)];
    let plan = Plan {
        stations: &stations,
        keying: EXACT,
        tariff: None,
        allowance: Some((Share::of_one(0.55), &planted)),
    };
    let found = year(&plan, &weather(et, [0.0; 12], RainRule::Nothing)).unwrap();
    let allowed: f64 = found
        .months
        .iter()
        .map(|month| month.allowed_litres.unwrap())
        .sum();
    let year_mm: f64 = found.months.iter().map(|month| month.et_mm).sum();
    assert_near(allowed, year_mm * 0.55 * 100.0, 1e-6);
}

#[test]
fn faults_are_named() {
    let mut wrong = [station(0.8, 1.0, 64)];
    wrong[0].multiplier = f64::NAN;
    let plan = |stations| Plan {
        stations,
        keying: EXACT,
        tariff: None,
        allowance: None,
    };
    let usual = weather([5.0; 12], [0.0; 12], RainRule::Half);
    let fields = |stations| {
        let faults = year(&plan(stations), &usual).unwrap_err();
        faults
            .into_iter()
            .map(|fault| fault.field)
            .collect::<Vec<_>>()
    };
    assert_eq!(
        fields(&wrong),
        ["stations[0].multiplier", "stations[0].program"]
    );
    assert_eq!(fields(&[]), ["stations"]);
    let mut asleep = [station(0.8, 1.0, 0)];
    asleep[0].plant[6] = PlantFactor::of_reference(0.0);
    assert_eq!(fields(&asleep), ["base_month"]);
}

fn months(most: f64) -> impl Strategy<Value = [f64; 12]> {
    prop::array::uniform12(0.5..most)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(128))]

    /// Hotter and drier never takes less water, and never costs less, where panels take every percent and the base
    /// month stays; the month's cost is its litres at the price.
    #[test]
    fn a_harder_year_takes_no_less(
        et in months(12.0),
        rain in months(200.0),
        factors in prop::collection::vec((0.2..1.0_f64, 1.0..1000.0_f64, 0..3_usize), 1..8),
    ) {
        let made = factors.into_iter().map(|(factor, area, program)| station(factor, area, program));
        let stations: Vec<Station> = made.collect();
        let tariff = price(1_875);
        let keying = Keying { base_month: None, ..EXACT };
        let plan = Plan { stations: &stations, keying, tariff: Some(&tariff), allowance: None };
        let usual = weather(et, rain, RainRule::Nothing);
        let now = year(&plan, &usual).unwrap();
        let dry = year(&plan, &usual.times(1.2, 0.8)).unwrap();
        prop_assert_eq!(now.base_month, dry.base_month);
        for (now, dry) in now.months.iter().zip(&dry.months) {
            prop_assert!(dry.litres >= now.litres);
            prop_assert!(dry.need_mm >= now.need_mm);
            prop_assert_eq!(now.cost.unwrap().to_millionths(), now.litres as i64 * 1_875);
        }
    }

    /// Weather times anything stays weather.
    #[test]
    fn any_factor_is_taken(et in any::<f64>(), rain in any::<f64>()) {
        let found = weather([5.0; 12], [50.0; 12], RainRule::Half).times(et, rain);
        prop_assert!(found.et[0].to_mm_per_day() >= 0.0 && found.rain[0].to_mm() >= 0.0);
    }
}
