//! Pipes, meters and the connection against a network solver, textbook flows and worked figures.

use drycurb_core::quantity::{Flow, Pressure};
use drycurb_core::supply::connection::FlowTest;
use drycurb_core::supply::meter::{MeterSize, ratings};
use drycurb_core::supply::pipe::{self, Material, NominalSize};
use drycurb_tests::{ask, assert_near, assert_printed, data};
use serde_json::{Value, json};

const L_PER_GAL: f64 = 3.785411784;
const KPA_PER_PSI: f64 = 6.894757293168;
const M_PER_FT: f64 = 0.3048;

fn number(value: &Value) -> f64 {
    value
        .as_f64()
        .unwrap_or_else(|| panic!("{value} is not a number"))
}

fn by_door(feet: f64, bore_in: f64, gpm: f64, c: f64) -> Value {
    ask(&json!({
        "ask": "pipe", "length_m": feet * M_PER_FT, "inside_diameter_mm": bore_in * 25.4,
        "flow_l_per_min": gpm * L_PER_GAL, "roughness_c": c,
    }))
}

/// Source: EPANET 2.2 through wntr 1.5.0, and both printed forms of Hazen-Williams (tests/data/hydraulics).
///
/// The forms differ by the rounding of their constants: ours lies 0.1 to 0.3 % below the solver. The file's velocities
/// take 0.408 Q/d^2 where the circle gives 0.4085.
#[test]
fn friction_and_velocity() {
    let cases = data("hydraulics/pipe_headloss.json");
    for case in cases["cases"].as_array().unwrap() {
        let (given, out) = (&case["in"], &case["out"]);
        let of = |key: &str| number(&given[key]);
        let found = by_door(of("length_ft"), of("id_in"), of("gpm"), of("C"));
        let psi = number(&found["loss_kpa"]) / KPA_PER_PSI;
        assert_near(psi / number(&out["epanet_loss_psi"]), 1.0, 0.003);
        assert_near(psi / number(&out["hw_us_psi"]), 1.0, 0.003);
        let metres = number(&found["loss_kpa"]) / 9.80665;
        assert_near(metres / number(&out["hw_si_m"]), 1.0, 1e-5);
        let velocity = number(&found["velocity_m_per_s"]) / M_PER_FT;
        assert_near(velocity / number(&out["velocity_ft_s"]), 1.0, 0.0014);
    }
}

/// Source: trade form of Hazen-Williams, 4.52 Q^1.852/(C^1.852 d^4.8704) psi/ft, and V = 0.408 Q/d^2, worked by hand.
#[test]
fn worked_pipes() {
    let one_inch = by_door(100.0, 1.049, 10.0, 150.0);
    assert_near(
        number(&one_inch["loss_kpa"]) / KPA_PER_PSI,
        2.376,
        2.376 * 0.003,
    );
    assert_printed(number(&one_inch["velocity_m_per_s"]) / M_PER_FT, "3.71");
    let class_200 = by_door(100.0, 1.720, 30.0, 150.0);
    assert_near(
        number(&class_200["loss_kpa"]) / KPA_PER_PSI,
        1.635,
        1.635 * 0.003,
    );
    let copper = by_door(50.0, 0.745, 12.0, 140.0);
    assert_near(
        number(&copper["loss_kpa"]) / KPA_PER_PSI,
        10.02,
        10.02 * 0.003,
    );
    // With 0.408 for 0.4085: 8.82.
    assert_near(
        number(&copper["velocity_m_per_s"]) / M_PER_FT / 8.82,
        1.0,
        0.0014,
    );
}

/// Source: flow at 5 ft/s, V = 0.4085 Q/d^2 (Jarrett 2000, pp. 336-337, seen as cited), schedule 40 bores.
#[test]
fn flow_at_five_feet_a_second() {
    let printed = [
        "4.7", "8.3", "13.5", "23.3", "31.7", "52.3", "74.6", "115", "198",
    ];
    for (size, printed) in NominalSize::ALL.iter().zip(printed) {
        let bore = pipe::bore(Material::PvcSchedule40, *size).unwrap();
        let gpm = pipe::flow_at(pipe::USUAL_VELOCITY, bore).to_l_per_min() / L_PER_GAL;
        assert_printed(gpm, printed);
    }
}

/// Source: International Plumbing Code, appendix E, E103.2.2: 20 ft take 8.66 psi, at 0.433 psi a foot. DIFFERENCE:
/// a metre of water is 9.80665 kPa here, 0.4335 psi a foot.
#[test]
fn twenty_feet_of_height() {
    let answer = ask(
        &json!({ "ask": "connection", "static_kpa": 400, "rise_m": 20.0 * M_PER_FT,
        "flow_l_per_min": 0 }),
    );
    assert_near(number(&answer["rise_kpa"]) / KPA_PER_PSI, 8.66, 0.011);
    let left = number(&answer["left_kpa"]);
    assert_near(left, 400.0 - number(&answer["rise_kpa"]), 1e-9);
}

/// Source: AWWA C700 (from memory): safe maximum and continuous, gallons a minute; 75 % of safe: common practice.
#[test]
fn meter_ratings() {
    let printed = [
        ("20", "10"),
        ("30", "15"),
        ("50", "25"),
        ("100", "50"),
        ("160", "80"),
    ];
    for (size, (safe, continuous)) in MeterSize::ALL.iter().zip(printed) {
        let ratings = ratings(*size);
        assert_printed(ratings.safe_most.to_l_per_min() / L_PER_GAL, safe);
        assert_printed(
            ratings.continuous_most.to_l_per_min() / L_PER_GAL,
            continuous,
        );
    }
}

/// A 3/4 in meter passes 15 gal/min for long, 1 in schedule 40 carries 13.5 at 5 ft/s: the pipe decides.
///
/// Source: the two tables above.
#[test]
fn the_narrowest_decides() {
    let mut request = json!({
        "ask": "connection", "static_kpa": 60.0 * KPA_PER_PSI, "meter_size_in": "3/4",
        "pipes": [{ "length_m": 100.0 * M_PER_FT, "material": "pvc_schedule_40",
                    "nominal_size_in": "1" }],
    });
    let answer = ask(&request);
    assert_eq!(answer["limit"], "velocity");
    assert_eq!(answer["limit_pipe"], 0);
    assert_printed(number(&answer["design_flow_l_per_min"]) / L_PER_GAL, "13.5");
    request["meter_size_in"] = json!("5/8");
    let answer = ask(&request);
    assert_eq!(answer["limit"], "meter_continuous");
    assert_printed(number(&answer["design_flow_l_per_min"]) / L_PER_GAL, "10");
    let friction = number(&answer["friction_kpa"]) / KPA_PER_PSI;
    assert_near(friction, 2.376, 2.376 * 0.003);
    assert_near(
        number(&answer["left_kpa"]) / KPA_PER_PSI,
        60.0 - friction,
        1e-9,
    );
}

/// Source: NFPA 291 (from memory): Q2 = Q1 (h2/h1)^0.54. Static 70 psi, 20 gal/min at 60 psi: at 40 psi
/// 20 (30/10)^0.54 = 36.2.
#[test]
fn a_measured_pair_tells_other_flows() {
    let psi = |psi: f64| Pressure::kpa(psi * KPA_PER_PSI);
    let gallons = |gpm: f64| Flow::l_per_min(gpm * L_PER_GAL);
    let test = FlowTest::try_new(psi(70.0), gallons(20.0), psi(60.0)).unwrap();
    assert_near(test.drop_kpa(gallons(20.0)) / KPA_PER_PSI, 10.0, 1e-9);
    assert_near(test.drop_kpa(gallons(36.2)) / KPA_PER_PSI, 30.0, 0.05);
    let answer = ask(&json!({
        "ask": "connection", "static_kpa": 70.0 * KPA_PER_PSI, "wanted_kpa": 40.0 * KPA_PER_PSI,
        "measured_flow_l_per_min": 20.0 * L_PER_GAL, "measured_pressure_kpa": 60.0 * KPA_PER_PSI,
    }));
    let flow = number(&answer["flow_that_leaves_wanted_l_per_min"]) / L_PER_GAL;
    assert_near(flow, 20.0 * 3.0_f64.powf(0.54), 0.02);
    assert_eq!(answer["design_flow_l_per_min"], Value::Null);
}

#[test]
fn what_cannot_be_is_refused_beside_its_place() {
    let answer = drycurb_core::lines::answer(&json!({
        "ask": "connection", "static_kpa": 400, "measured_flow_l_per_min": 20,
        "measured_pressure_kpa": 400,
        "pipes": [{ "length_m": 10, "inside_diameter_mm": 25 },
                  { "length_m": -1, "material": "copper_k", "nominal_size_in": "5" },
                  { "length_m": 1, "material": "pvc_class_200", "nominal_size_in": "1/2" }],
    }));
    let fields: Vec<&str> = answer["error"]
        .as_array()
        .unwrap()
        .iter()
        .map(|fault| fault["field"].as_str().unwrap())
        .collect();
    let expected = [
        "pipes[1].length_m",
        "pipes[1].nominal_size_in",
        "pipes[2].nominal_size_in",
        "measured_pressure_kpa",
    ];
    assert_eq!(fields, expected);
}
