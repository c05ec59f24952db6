//! The asks about pipe and wire: `pipe`, `connection`, `wire`, `two_wire`, `coil`.

use crate::json;

use super::{Answer, Fields, whole};
use crate::invalid::Problem;
use crate::quantity::{
    ApparentPower, Bore, Current, Flow, Length, Pressure, Resistance, Rise, Smoothness, Tension,
    Velocity, WireResistance, WireTemperature,
};
use crate::supply::connection::{
    self, FlowTest, Limit, Reach, Remark, Supply, design_flow, flow_that_leaves, pressure_left,
};
use crate::supply::meter::MeterSize;
use crate::supply::pipe::{self, Material, NominalSize, USUAL_VELOCITY};
use crate::supply::wire::{self, Diagnosis, Gauge, Run, Stretch};

/// Friction and speed in one pipe.
pub fn pipe(mut fields: Fields) -> Answer {
    let reach = reach(&mut fields);
    let flow = fields.required("flow_l_per_min", Flow::try_l_per_min);
    let (Some(reach), Some(flow)) = (reach, flow) else {
        return Err(fields.into_faults());
    };
    let assumed = fields.finish()?;
    let found = pipe::loss(reach.length, reach.bore, flow, reach.smoothness);
    Ok(json!({
        "loss_kpa": found.loss_kpa,
        "velocity_m_per_s": found.velocity_m_per_s,
        "inside_diameter_mm": reach.bore.to_mm(),
        "assumed": assumed,
    }))
}

/// A pipe by its inside diameter and C, or by material and size.
fn reach(fields: &mut Fields) -> Option<Reach> {
    let length = fields.required("length_m", Length::try_m);
    let named = ["material", "nominal_size_in"]
        .iter()
        .any(|name| fields.value(name).is_some());
    let (bore, usual) = if named {
        if fields.value("inside_diameter_mm").is_some() {
            let problem = Problem::Other("must be left out where material and size are given");
            fields.fault("inside_diameter_mm", problem);
        }
        let material = fields.required_word("material", Material::WORDS, Material::ALL);
        let size = fields.required_word("nominal_size_in", NominalSize::WORDS, NominalSize::ALL);
        let bore = material
            .zip(size)
            .map(|(material, size)| pipe::bore(material, size));
        if bore == Some(None) {
            let problem = Problem::Other("must be a size that this material is listed in");
            fields.fault("nominal_size_in", problem);
        }
        let usual = material.unwrap_or(Material::PvcSchedule40);
        (bore.flatten(), pipe::smoothness(usual))
    } else {
        let usual = pipe::smoothness(Material::PvcSchedule40);
        (fields.required("inside_diameter_mm", Bore::try_mm), usual)
    };
    let smoothness = fields.defaulted("roughness_c", usual, Smoothness::try_hazen_williams);
    Some(Reach {
        length: length?,
        bore: bore?,
        smoothness,
    })
}

/// What a connection can give, and what is left at the valve.
pub fn connection(mut fields: Fields) -> Answer {
    let nothing = Pressure::kpa(0.0);
    let level = Rise::m(0.0);
    let static_pressure = fields.required("static_kpa", Pressure::try_kpa);
    let supply = Supply {
        static_pressure: static_pressure.unwrap_or(nothing),
        rise: fields.defaulted("rise_m", level, Rise::try_m),
        reaches: fields
            .objects("pipes", false, reach)
            .into_iter()
            .flatten()
            .collect(),
        fixed_loss: fields.defaulted("fixed_loss_kpa", nothing, Pressure::try_kpa),
        meter: fields.optional_word("meter_size_in", MeterSize::WORDS, MeterSize::ALL),
        velocity_most: fields.defaulted(
            "velocity_most_m_per_s",
            USUAL_VELOCITY,
            Velocity::try_m_per_s,
        ),
        measured: measured(&mut fields, static_pressure),
    };
    let flow = fields.optional("flow_l_per_min", Flow::try_l_per_min);
    let meter_loss = fields.optional("meter_loss_kpa", Pressure::try_kpa);
    let wanted = fields.optional("wanted_kpa", Pressure::try_kpa);
    let assumed = fields.finish()?;
    let (design, limit) = design_flow(&supply);
    let at = flow.or(design);
    let left = at.map(|flow| pressure_left(&supply, flow));
    let remarks = at.map(|flow| connection::remarks(&supply, flow, meter_loss));
    let can = wanted.map(|wanted| flow_that_leaves(&supply, wanted));
    Ok(json!({
        "design_flow_l_per_min": design.map(Flow::to_l_per_min),
        "limit": limit_word(limit),
        "limit_pipe": match limit { Limit::Velocity(place) => Some(place), _ => None },
        "flow_l_per_min": at.map(Flow::to_l_per_min),
        "left_kpa": left.map(|left| left.left_kpa),
        "source_loss_kpa": left.map(|left| left.source_loss_kpa),
        "friction_kpa": left.map(|left| left.friction_kpa),
        "rise_kpa": left.map(|left| left.rise_kpa),
        "fastest_m_per_s": left.map(|left| left.fastest_m_per_s),
        "flow_that_leaves_wanted_l_per_min": can.flatten().map(Flow::to_l_per_min),
        "remarks": remarks.unwrap_or_default().into_iter().map(remark_word).collect::<Vec<_>>(),
        "assumed": assumed,
    }))
}

fn measured(fields: &mut Fields, static_pressure: Option<Pressure>) -> Option<FlowTest> {
    let names = ["measured_flow_l_per_min", "measured_pressure_kpa"];
    if names.iter().all(|name| fields.value(name).is_none()) {
        return None;
    }
    let flow = fields.required(names[0], Flow::try_l_per_min);
    let pressure = fields.required(names[1], Pressure::try_kpa);
    match FlowTest::try_new(static_pressure?, flow?, pressure?) {
        Ok(test) => Some(test),
        Err(faults) => {
            for fault in faults {
                fields.fault(&fault.field, fault.problem);
            }
            None
        }
    }
}

const fn limit_word(limit: Limit) -> Option<&'static str> {
    match limit {
        Limit::MeterContinuous => Some("meter_continuous"),
        Limit::MeterShare => Some("meter_share"),
        Limit::Velocity(_) => Some("velocity"),
        Limit::None => None,
    }
}

const fn remark_word(remark: Remark) -> &'static str {
    match remark {
        Remark::StaticHigh => "static_high",
        Remark::MeterTakesMuch => "meter_takes_much",
        Remark::TooFast => "too_fast",
        Remark::NoPressureLeft => "no_pressure_left",
    }
}

/// Volts at the valve on its own and a common wire.
pub fn wire(mut fields: Fields) -> Answer {
    let run = run(&mut fields);
    let holding = fields.required("amperes", Current::try_amperes);
    let inrush = fields.optional("inrush_amperes", Current::try_amperes);
    let together = fields.defaulted("valves_together", 1, whole(1, 1000));
    let source = fields.required("source_volts", Tension::try_volts);
    let least = fields.optional("least_volts", Tension::try_volts);
    let rating = fields.optional("transformer_va", ApparentPower::try_va);
    let (Some(run), Some(holding), Some(source)) = (run, holding, source) else {
        return Err(fields.into_faults());
    };
    let assumed = fields.finish()?;
    let opening = inrush.unwrap_or(holding);
    let held = wire::arriving(&run, holding, holding, together, source);
    let opened = wire::arriving(&run, opening, holding, together, source);
    let longest = least.map(|least| wire::longest(&run, opening, holding, together, source, least));
    let load =
        rating.map(|rating| wire::transformer_load(source, opening, holding, together, rating));
    Ok(json!({
        "drop_volts": held.drop_volts,
        "volts_at_valve": held.volts_at_valve,
        "inrush_drop_volts": inrush.map(|_| opened.drop_volts),
        "inrush_volts_at_valve": inrush.map(|_| opened.volts_at_valve),
        "longest_m": longest.flatten().map(Length::to_m),
        "load_va": load.map(|load| load.load_va),
        "load_share": load.map(|load| load.share),
        "assumed": assumed,
    }))
}

/// Length and both conductors: by ohms a kilometre, or by gauge and temperature.
fn run(fields: &mut Fields) -> Option<Run> {
    let length = fields.required("length_m", Length::try_m);
    let station = conductor(fields, "station_ohm_per_km", "station_awg");
    let common = conductor(fields, "common_ohm_per_km", "common_awg");
    Some(Run {
        length: length?,
        station: station?,
        common: common?,
    })
}

fn conductor(fields: &mut Fields, by_ohm: &str, by_gauge: &str) -> Option<WireResistance> {
    if fields.value(by_gauge).is_none() {
        return fields.required(by_ohm, WireResistance::try_ohm_per_km);
    }
    if fields.value(by_ohm).is_some() {
        fields.fault(
            by_ohm,
            Problem::Other("must be left out where the gauge is given"),
        );
    }
    let cool = WireTemperature::celsius(20.0);
    let temperature = fields.defaulted("wire_c", cool, WireTemperature::try_celsius);
    let gauge = fields.required_word(by_gauge, Gauge::WORDS, Gauge::ALL)?;
    Some(wire::at_temperature(
        wire::resistance_at_20(gauge),
        temperature,
    ))
}

/// Volts along a two-wire path.
pub fn two_wire(mut fields: Fields) -> Answer {
    let source = fields.required("source_volts", Tension::try_volts);
    let stretches = fields.objects("stretches", true, |inner| {
        let length = inner.required("length_m", Length::try_m);
        let conductor = conductor(inner, "ohm_per_km", "awg");
        let draws = inner.required("amperes", Current::try_amperes);
        Some(Stretch {
            length: length?,
            conductor: conductor?,
            draws: draws?,
        })
    });
    let stretches: Vec<Stretch> = stretches.into_iter().flatten().collect();
    let Some(source) = source else {
        return Err(fields.into_faults());
    };
    let assumed = fields.finish()?;
    Ok(json!({ "volts": wire::along_path(source, &stretches), "assumed": assumed }))
}

/// What a reading between station wire and common suggests.
pub fn coil(mut fields: Fields) -> Answer {
    let reading = fields.required("reading_ohm", Resistance::try_ohm);
    let coil = fields.required("coil_ohm", Resistance::try_ohm);
    let run = run(&mut fields);
    let (Some(reading), Some(coil), Some(run)) = (reading, coil, run) else {
        return Err(fields.into_faults());
    };
    let assumed = fields.finish()?;
    let found = wire::diagnose(reading, coil, &run);
    let suggests = match found.diagnosis {
        Diagnosis::AsExpected => "as_expected",
        Diagnosis::Open => "open",
        Diagnosis::High => "high",
        Diagnosis::Leaky => "leaky",
        Diagnosis::Short => "short",
    };
    Ok(json!({
        "expected_ohm": found.expected_ohm,
        "suggests": suggests,
        "caution": "controller off and both wires off their terminals; mains side: licensed people",
        "assumed": assumed,
    }))
}
