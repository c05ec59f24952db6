//! Precipitation rate and uniformity against published examples.

use drycurb_core::quantity::{
    Arc, Area, EmitterFlow, Flow, Opening, Share, Spacing, TestTime, Volume,
};
use drycurb_core::rate::uniformity::{CatchCans, depth_mm, run_time_multiplier};
use drycurb_core::rate::{from_area, from_drip, from_meter, from_spacing, triangular_row_spacing};
use drycurb_tests::{ask, assert_near, assert_printed};
use serde_json::json;

// Exact: the US gallon is 231 in³ and the inch 25.4 mm (NIST SP 811, appendix B).
const LITRES_PER_GALLON: f64 = 3.785_411_784;
const MM_PER_INCH: f64 = 25.4;
const M_PER_FOOT: f64 = 0.3048;
const M2_PER_FT2: f64 = M_PER_FOOT * M_PER_FOOT;

fn gpm(gallons: f64) -> Flow {
    Flow::l_per_min(gallons * LITRES_PER_GALLON)
}

fn ft(feet: f64) -> Spacing {
    Spacing::m(feet * M_PER_FOOT)
}

/// 46 cans of a turf plot, mL. Source: NC State University, public data package for sprinkler
/// evaluation (Grabow, 2022), turf vignette.
const TURF_ML: [f64; 46] = [
    9.0, 11.0, 11.0, 13.0, 17.0, 14.0, 15.0, 15.0, 3.0, 15.0, 13.0, 6.0, 14.0, 11.0, 7.0, 11.0,
    14.0, 17.0, 9.0, 6.0, 4.0, 8.0, 9.0, 12.0, 26.0, 17.0, 8.0, 4.0, 6.0, 10.0, 14.0, 16.0, 14.0,
    9.0, 6.0, 7.0, 10.0, 6.0, 16.0, 11.0, 3.0, 16.0, 10.0, 2.0, 5.0, 11.0,
];

/// Source: the same: mean 10.674 mL in cans of 72 mm, 15 min; printed 0.41 in/h, by the exact
/// constants 0.4129.
#[test]
fn cans_of_a_turf_plot_give_its_rate() {
    let throat = Opening::cm2(40.715);
    let depths: Vec<f64> = TURF_ML.iter().map(|ml| depth_mm(*ml, throat)).collect();
    let cans = CatchCans::of(&depths).unwrap();
    let rate = cans.rate(TestTime::minutes(15.0)).unwrap().to_mm_per_h();
    assert_printed(rate / MM_PER_INCH, "0.41");
    assert_near(rate / MM_PER_INCH, 0.4129, 5e-5);
    let by_door = ask(&json!({
        "ask": "rate", "from": "cans", "catches_ml": TURF_ML.as_slice(), "throat_area_cm2": 40.715,
        "minutes": 15,
    }));
    assert_eq!(by_door["precipitation_mm_per_h"].as_f64(), Some(rate));
}

/// Source: NC Extension AG-553-1 (1997), worksheet 1 page 13, in the same package: 16 cans, mean
/// 0.575 in in 2.25 h, heads 80 x 80 ft; the head's flow worked back is 16.98 gpm with 96.3.
#[test]
fn rate_from_spacing_is_that_of_the_cans() {
    let inches_per_h = 0.575 / 2.25;
    let rate = from_spacing(gpm(16.98), Arc::degrees(360.0), ft(80.0), ft(80.0)).unwrap();
    assert_near(
        rate.to_mm_per_h() / MM_PER_INCH,
        inches_per_h,
        0.001 * inches_per_h,
    );
}

/// Source: UC Santa Cruz, Teaching Organic Farming and Gardening, unit 1.5 appendix 13: tape of
/// 0.75 gpm a 100 ft, beds 2 ft apart, waters an inch in 2.76 h (exact constants: 2.77).
#[test]
fn tape_waters_an_inch() {
    let per_metre_l_per_h = 0.75 * LITRES_PER_GALLON * 60.0 / (100.0 * M_PER_FOOT);
    let tape = EmitterFlow::l_per_h(per_metre_l_per_h);
    let rate = from_drip(tape, Spacing::m(1.0), ft(2.0)).unwrap();
    assert_near(MM_PER_INCH / rate.to_mm_per_h(), 2.76, 0.011);
}

/// Source: teaching slides, seen without an institution's name: 60 x 15 ft, six half heads at
/// 1.0 gpm and four quarter heads at 0.5 gpm: 8 gpm, 900 ft², 0.86 in/h.
#[test]
fn a_strip_of_half_and_quarter_heads() {
    let rate = from_area(gpm(8.0), Area::m2(900.0 * M2_PER_FT2)).unwrap();
    assert_printed(rate.to_mm_per_h() / MM_PER_INCH, "0.86");
}

/// Source: depth is volume over area. In trade units 96.25 gal/min over ft² and 231 gal/h over in²
/// are inches an hour exactly (231 in³ a gallon; 60/144).
#[test]
fn constants_of_the_trade_units_are_exact() {
    let area = from_area(gpm(1.0), Area::m2(100.0 * M2_PER_FT2)).unwrap();
    assert_near(area.to_mm_per_h() / MM_PER_INCH, 0.9625, 1e-12);
    let spacing = from_spacing(gpm(1.0), Arc::degrees(90.0), ft(10.0), ft(10.0)).unwrap();
    assert_near(spacing.to_mm_per_h() / MM_PER_INCH, 4.0 * 0.9625, 1e-12);
    let foot = ft(1.0);
    let drip = from_drip(EmitterFlow::l_per_h(0.9 * LITRES_PER_GALLON), foot, foot).unwrap();
    assert_near(drip.to_mm_per_h() / MM_PER_INCH, 231.0 * 0.9 / 144.0, 1e-12);
    // An inch is 0.62338 gallons a square foot (144/231).
    let meter = from_meter(
        Volume::l(1_000.0 * 144.0 / 231.0 * LITRES_PER_GALLON),
        TestTime::minutes(60.0),
        Area::m2(1_000.0 * M2_PER_FT2),
    );
    assert_near(meter.unwrap().to_mm_per_h(), MM_PER_INCH, 1e-9);
    // Rows of an equilateral layout stand 0.866 of the spacing apart.
    let rows = triangular_row_spacing(Spacing::m(10.0)).unwrap();
    assert_near(rows.to_m(), 8.660_254, 1e-6);
}

/// Source: the NC State package's reference pages, and the data of AG-553-1 and Merriam & Keller
/// 1978 in it. Catches; then low quarter, low half and Christiansen's coefficient in percent as
/// printed or as its exact formulas give them.
#[test]
#[rustfmt::skip]
fn uniformity_of_published_tests() {
    let tests: [(&[f64], f64, f64, f64, f64); 5] = [
        (&[47., 42., 45., 24., 13., 26., 33., 34., 27., 30., 40., 44., 32., 12., 12.],
         49.620_39, 71.583_51, 69.139_55, 6e-6),
        (&TURF_ML, 45.2817, 64.3585, 64.2256, 6e-5),
        (&[0.57, 0.69, 0.83, 0.65, 0.61, 0.38, 0.27, 0.64, 0.51, 0.26, 0.36, 0.52, 0.79, 0.65,
           0.61, 0.86],
         55.2174, 75.6522, 74.8913, 6e-5),
        (&[0.23, 0.31, 0.24, 0.24, 0.28, 0.31, 0.27, 0.22, 0.26, 0.31, 0.31, 0.25, 0.20, 0.22,
           0.32],
         82.179, 87.846, 87.036, 6e-4),
        (&[0.27, 0.27, 0.26, 0.27, 0.32, 0.35, 0.27, 0.23, 0.25, 0.30, 0.27, 0.17, 0.20, 0.19,
           0.33],
         75.000, 87.342, 85.823, 6e-4),
    ];
    for (catches, low_quarter, low_half, christiansen, tolerance) in tests {
        let cans = CatchCans::of(catches).unwrap();
        assert_near(100.0 * cans.low_quarter_uniformity.to_of_one(), low_quarter, tolerance);
        assert_near(100.0 * cans.low_half_uniformity.to_of_one(), low_half, tolerance);
        assert_near(100.0 * cans.christiansen_uniformity, christiansen, tolerance);
    }
}

/// Source: Irrigation Association 2005 (from memory): 1/(0.4 + 0.6 DU), two decimals.
#[test]
fn multiplier_of_the_low_quarter() {
    let table = [
        (40, "1.56"),
        (45, "1.49"),
        (50, "1.43"),
        (55, "1.37"),
        (60, "1.32"),
        (65, "1.27"),
        (70, "1.22"),
        (75, "1.18"),
        (80, "1.14"),
        (85, "1.10"),
        (90, "1.06"),
    ];
    for (percent, multiplier) in table {
        let uniformity = Share::of_one(f64::from(percent) / 100.0);
        // 1/0.64 ends in a half; print it as the table does.
        assert_printed(run_time_multiplier(uniformity) + 1e-9, multiplier);
    }
}

/// Source: von Bernuth & Mecham on the run-time multiplier: with measured cans it is one over the
/// low half's uniformity; 71.58351 % of the first test above (NC State package) gives 1.397.
#[test]
fn measured_cans_give_the_multiplier_of_their_low_half() {
    let catches = [47, 42, 45, 24, 13, 26, 33, 34, 27, 30, 40, 44, 32, 12, 12];
    let cans = ask(
        &json!({ "ask": "cans", "catches_ml": catches, "throat_area_cm2": 40.7, "minutes": 15 }),
    );
    assert_printed(cans["run_time_multiplier"].as_f64().unwrap(), "1.397");
    assert_printed(
        cans["multiplier_from_low_quarter"].as_f64().unwrap(),
        "1.433",
    );
    assert_eq!(cans["low_quarter_cans"], 4);
    assert_eq!(cans["cans_standing_out"], json!([4, 13, 14]));
}

#[test]
fn cans_that_tell_nothing_are_refused() {
    let faults = |catches: &[f64]| CatchCans::of(catches).unwrap_err().len();
    assert_eq!(faults(&[0.0; 4]), 1);
    assert_eq!(faults(&[1.0; 3]), 1);
    assert_eq!(faults(&[f64::NAN, -1.0, 2_000.0, 1.0]), 3);
    // Half the cans dry: no multiplier mends that.
    let dry = CatchCans::of(&[0.0, 0.0, 5.0, 5.0]).unwrap();
    assert_eq!(dry.run_time_multiplier, None);
    assert_eq!(dry.low_quarter_uniformity, Share::of_one(0.0));
    // Even cans are even, whatever rounding does.
    let even = CatchCans::of(&[0.1; 7]).unwrap();
    assert_near(even.low_quarter_uniformity.to_of_one(), 1.0, 1e-12);
}

#[test]
fn a_rate_that_no_station_has_is_refused() {
    assert!(from_area(gpm(0.0), Area::m2(1.0)).is_err());
    let spacing = Spacing::m(0.01);
    assert!(from_spacing(gpm(10.0), Arc::degrees(1.0), spacing, spacing).is_err());
}
