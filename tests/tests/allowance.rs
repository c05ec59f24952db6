//! What a rule allows, against the worked examples of California's ordinance and the federal label.

use drycurb_core::allowance::california::{
    Method, Rounding, Rule, allowed_gallons, efficiency, estimated_gallons, hundred_cubic_feet,
};
use drycurb_core::allowance::{Planted, is_within};
use drycurb_core::quantity::{Area, Depth, PlantFactor};
use drycurb_tests::{ask, assert_near, assert_printed};
use serde_json::{Value, json};

const M2_PER_FT2: f64 = 0.3048 * 0.3048;
const L_PER_GAL: f64 = 3.785411784;

fn number(value: &Value) -> f64 {
    value
        .as_f64()
        .unwrap_or_else(|| panic!("{value} is not a number"))
}

fn ordinary(ft2: f64, factor: f64) -> Planted {
    Planted::Ordinary {
        area: Area::m2(ft2 * M2_PER_FT2),
        factor: PlantFactor::of_reference(factor),
        efficiency: efficiency(Method::AnyBefore2015),
    }
}

fn special(ft2: f64) -> Planted {
    Planted::Special {
        area: Area::m2(ft2 * M2_PER_FT2),
    }
}

/// Fresno: 51.1 inches a year.
fn fresno() -> Depth {
    Depth::mm(51.1 * 25.4)
}

/// The five hydrozones of example 3, 50,000 ft2 in all.
fn hydrozones() -> Vec<Planted> {
    let rows = [
        (7000.0, 0.8),
        (10_000.0, 0.7),
        (16_000.0, 0.5),
        (7000.0, 0.3),
        (10_000.0, 0.2),
    ];
    rows.map(|(ft2, factor)| ordinary(ft2, factor)).to_vec()
}

/// Source: model ordinance, worked examples for Fresno, as in Colton (California) O-008-14, pp. 12-14: example 1.
#[test]
fn example_1_allowance() {
    let factor = Rule::Before2015.factor();
    let planted = hydrozones();
    let gallons = allowed_gallons(fresno(), factor, &planted, Rounding::AtTheEnd);
    assert_printed(gallons, "1108870");
    assert_printed(hundred_cubic_feet(gallons), "1482");
}

/// Source: as above, example 2: 2000 ft2 of special area among the 50,000. Printed with 51.1 x 0.62 as 31.68.
#[test]
fn example_2_allowance_with_special_area() {
    let factor = Rule::Before2015.factor();
    let planted = [ordinary(48_000.0, 0.5), special(2000.0)];
    let gallons = |rounding| allowed_gallons(fresno(), factor, &planted, rounding);
    assert_printed(gallons(Rounding::OnTheWay), "1127808");
    assert_near(gallons(Rounding::AtTheEnd) / 1_127_808.0, 1.0, 1e-4);
}

/// Source: as above, example 3: five hydrozones at 0.71.
#[test]
fn example_3_estimate() {
    let gallons = |rounding| estimated_gallons(fresno(), &hydrozones(), rounding);
    assert_printed(gallons(Rounding::OnTheWay), "1102116");
    assert_near(gallons(Rounding::AtTheEnd) / 1_102_116.0, 1.0, 1e-4);
    let allowed = allowed_gallons(
        fresno(),
        Rule::Before2015.factor(),
        &hydrozones(),
        Rounding::OnTheWay,
    );
    assert!(is_within(gallons(Rounding::OnTheWay), allowed));
}

/// Source: as above, example 4; that plant factor x ground of the ordinary part is 23,500 ft2 is from memory.
#[test]
fn example_4_estimate_with_special_area() {
    let planted = [ordinary(47_000.0, 0.5), special(2000.0)];
    let gallons = |rounding| estimated_gallons(fresno(), &planted, rounding);
    assert_printed(gallons(Rounding::OnTheWay), "1111936");
    assert_near(gallons(Rounding::AtTheEnd) / 1_111_936.0, 1.0, 1e-4);
}

fn yard(rule: &str) -> Value {
    ask(&json!({
        "ask": "allowance", "et_mm_per_year": 51.1 * 25.4, "california_rule": rule,
        "areas": [{ "area_m2": 1000.0 * M2_PER_FT2, "plant_factor": 0.5, "efficiency": 0.75,
                    "special": false }],
    }))
}

/// Source: factors of 23 CCR 492.4 since 2015; 1000 ft2 at 51.1 in worked by hand: 17,425 and 14,257 gallons.
#[test]
fn new_rules_for_a_thousand_square_feet() {
    let legal = yard("residential")["california"].clone();
    assert_printed(number(&legal["allowed_gallons"]), "17425");
    let legal = yard("non_residential")["california"].clone();
    assert_printed(number(&legal["allowed_gallons"]), "14257");
}

/// Source: volume is depth times ground, by hand: 1000 mm, 100 m2 of which 20 special, factor 0.55.
/// Allowed 1000 (0.55 x 100 + 0.45 x 20) = 64,000 L; expected 1000 (0.5/0.8 x 80 + 20) = 70,000 L.
#[test]
fn litres_are_exact() {
    let mut request = json!({
        "ask": "allowance", "et_mm_per_year": 1000, "adjustment_factor": 0.55,
        "areas": [
            { "area_m2": 80, "plant_factor": 0.5, "efficiency": 0.8, "special": false },
            { "area_m2": 20, "plant_factor": 0.9, "efficiency": 0.5, "special": true },
        ],
    });
    let answer = ask(&request);
    assert_near(number(&answer["allowed_litres"]), 64_000.0, 1e-6);
    assert_near(number(&answer["estimated_litres"]), 70_000.0, 1e-6);
    assert_eq!(answer["within"], false);
    assert_eq!(answer["assumed"], json!([]));
    // A quarter of 400 mm of rain counts: 900 instead of 1000.
    request["rain_mm_per_year"] = json!(400);
    let answer = ask(&request);
    assert_near(number(&answer["allowed_litres"]), 57_600.0, 1e-6);
    assert_near(number(&answer["estimated_litres"]), 63_000.0, 1e-6);
    // A figure typed from an agreement stands as it is.
    request["adjustment_factor"] = Value::Null;
    request["allowed_litres"] = json!(63_000);
    assert_eq!(ask(&request)["within"], true);
    request["allowed_litres"] = json!(62_999);
    assert_eq!(ask(&request)["within"], false);
}

/// Source: US EPA WaterSense water budget approach, example of 1000 ft2 at 8.4 in: 5,236 and 3,665 gallons.
#[test]
fn federal_peak_month() {
    let answer = ask(&json!({
        "ask": "peak_month", "et_mm_per_month": 8.4 * 25.4,
        "zones": [{ "area_m2": 1000.0 * M2_PER_FT2, "plant_factor": 0.5,
                    "low_quarter_uniformity": 0.65 }],
    }));
    assert_printed(number(&answer["baseline_litres"]) / L_PER_GAL, "5236");
    assert_printed(number(&answer["allowed_litres"]) / L_PER_GAL, "3665");
    // 0.5/0.65 is more than 0.70.
    assert_eq!(answer["within"], false);
    assert_eq!(answer["assumed"], json!(["rain_mm_per_month"]));
}

#[test]
fn one_allowance_only() {
    let answer = drycurb_core::lines::answer(&json!({
        "ask": "allowance", "et_mm_per_year": 1000, "adjustment_factor": 0.5,
        "california_rule": "residential", "areas": [{ "area_m2": 0, "efficiency": 2 }],
    }));
    let faults = answer["error"].as_array().unwrap();
    let fields: Vec<&str> = faults
        .iter()
        .map(|fault| fault["field"].as_str().unwrap())
        .collect();
    let expected = [
        "areas[0].area_m2",
        "areas[0].plant_factor",
        "areas[0].efficiency",
        "adjustment_factor",
    ];
    assert_eq!(fields, expected);
}
