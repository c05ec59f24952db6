//! Volts at the valve against Ohm's law coded elsewhere and printed resistances.

use drycurb_core::quantity::WireTemperature;
use drycurb_core::supply::wire::{Gauge, at_temperature, resistance_at_20};
use drycurb_tests::{ask, assert_near, assert_printed, data};
use serde_json::{Value, json};

const M_PER_FT: f64 = 0.3048;

fn number(value: &Value) -> f64 {
    value
        .as_f64()
        .unwrap_or_else(|| panic!("{value} is not a number"))
}

/// Source: tests/data/wire: one to several valves, 20 to 50 degrees.
#[test]
fn drop_and_longest_length() {
    let cases = data("wire/wire_drop.json");
    for case in cases["cases"].as_array().unwrap() {
        let (given, out) = (&case["in"], &case["out"]);
        let answer = ask(&json!({
            "ask": "wire", "length_m": number(&given["one_way_ft"]) * M_PER_FT,
            "station_awg": given["station_awg"], "common_awg": given["common_awg"],
            "wire_c": given["conductor_C"], "amperes": given["amps_each"],
            "valves_together": given["valves_together"], "source_volts": given["source_V"],
            "least_volts": given["Vmin_solenoid"],
        }));
        assert_near(number(&answer["drop_volts"]), number(&out["drop_V"]), 1e-5);
        assert_near(
            number(&answer["volts_at_valve"]),
            number(&out["valve_V"]),
            1e-5,
        );
        let longest_ft = number(&answer["longest_m"]) / M_PER_FT;
        assert_near(longest_ft, number(&out["max_one_way_ft"]), 0.01);
    }
}

/// Source: NEC chapter 9 table 8, uncoated solid copper at 75 degrees, ohms a thousand feet.
#[test]
fn resistance_when_hot() {
    let printed = [7.77, 4.89, 3.07, 1.93, 1.21, 0.764];
    let hot = WireTemperature::celsius(75.0);
    for (gauge, printed) in Gauge::ALL.iter().zip(printed) {
        let ohm_per_km = at_temperature(resistance_at_20(*gauge), hot).to_ohm_per_km();
        assert_near(ohm_per_km * M_PER_FT / printed, 1.0, 0.004);
    }
}

/// Source: ASTM B258 resistances; worked by hand: 18 AWG both ways, 800 ft, 0.25 A take 2.554 V of 24.
#[test]
fn one_valve_on_thin_wire() {
    let answer = ask(&json!({
        "ask": "wire", "length_m": 800.0 * M_PER_FT, "station_ohm_per_km": 6.385 / M_PER_FT,
        "common_ohm_per_km": 6.385 / M_PER_FT, "amperes": 0.25, "valves_together": 1,
        "source_volts": 24,
    }));
    assert_printed(number(&answer["drop_volts"]), "2.554");
    assert_printed(number(&answer["volts_at_valve"]), "21.4");
    assert_eq!(answer["assumed"], json!([]));
}

/// Source: as above: 18 AWG stations, 14 AWG common, 800 ft, three valves of 0.25 A: 1.277 + 1.515 V.
#[test]
fn three_valves_on_a_common() {
    let answer = ask(&json!({
        "ask": "wire", "length_m": 800.0 * M_PER_FT, "station_awg": "18", "common_awg": "14",
        "amperes": 0.25, "valves_together": 3, "source_volts": 24,
    }));
    assert_printed(number(&answer["drop_volts"]), "2.792");
}

/// Source: public teaching page, 0.25 A over 4200 ft of 14 AWG at 2.525 ohm: 5.30 V.
#[test]
fn a_long_pair() {
    let answer = ask(&json!({
        "ask": "wire", "length_m": 4200.0 * M_PER_FT, "station_awg": "14", "common_awg": "14",
        "amperes": 0.25, "source_volts": 26,
    }));
    assert_printed(number(&answer["drop_volts"]), "5.30");
    assert_eq!(answer["assumed"], json!(["wire_c", "valves_together"]));
}

/// Source: Ohm's law by hand. 10 ohm/km, 100 m a stretch, so 2 ohm a pair; 0.5 A at each of two devices: the first
/// stretch carries 1 A and takes 2 V, the second 0.5 A and 1 V.
#[test]
fn two_devices_on_a_path() {
    let stretch = json!({ "length_m": 100, "ohm_per_km": 10, "amperes": 0.5 });
    let answer = ask(&json!({
        "ask": "two_wire", "source_volts": 30, "stretches": [stretch, stretch],
    }));
    assert_near(number(&answer["volts"][0]), 28.0, 1e-12);
    assert_near(number(&answer["volts"][1]), 27.0, 1e-12);
}

/// Source: Ohm's law by hand: inrush 0.4 A on the last of two valves, 0.2 A held. 100 m at 50 ohm/km is 5 ohm a wire:
/// 0.4 x 5 + 0.6 x 5 = 5 V against 0.2 x 5 + 0.4 x 5 = 3 V held; 24 V x 0.6 A = 14.4 VA of 30.
#[test]
fn the_last_valve_opens() {
    let answer = ask(&json!({
        "ask": "wire", "length_m": 100, "station_ohm_per_km": 50, "common_ohm_per_km": 50,
        "amperes": 0.2, "inrush_amperes": 0.4, "valves_together": 2, "source_volts": 24,
        "transformer_va": 30,
    }));
    assert_near(number(&answer["drop_volts"]), 3.0, 1e-12);
    assert_near(number(&answer["inrush_drop_volts"]), 5.0, 1e-12);
    assert_near(number(&answer["load_va"]), 14.4, 1e-12);
    assert_near(number(&answer["load_share"]), 0.48, 1e-12);
}

/// Expected loop by Ohm's law: 30 ohm of coil and 200 m of 21 ohm/km both ways make 38.4. The words are our judgement.
#[test]
fn an_open_loop_and_a_short() {
    let mut request = json!({
        "ask": "coil", "coil_ohm": 30, "length_m": 200, "station_ohm_per_km": 21,
        "common_ohm_per_km": 21, "reading_ohm": 1e6,
    });
    let answer = ask(&request);
    assert_near(number(&answer["expected_ohm"]), 38.4, 1e-9);
    assert_eq!(answer["suggests"], "open");
    request["reading_ohm"] = json!(1);
    assert_eq!(ask(&request)["suggests"], "short");
    request["reading_ohm"] = json!(38);
    assert_eq!(ask(&request)["suggests"], "as_expected");
}
