//! What a supply can carry, as far as its meter, its pipe and its pressures tell. No browser here.

use drycurb_core::quantity::{Bore, Flow, Length, Pressure, Rise, Velocity};
use drycurb_core::supply::connection::{
    FlowTest, Limit, Reach, STATIC_MOST, Supply as Connection, design_flow, flow_that_leaves,
    pressure_left,
};
use drycurb_core::supply::meter::MeterSize;
use drycurb_core::supply::pipe::{Material, NominalSize, bore, smoothness};

use crate::document::site::Supply;
use crate::field::Field;
use crate::station::{number, number_or_default};

/// What was found.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Check {
    /// Most that meter and pipe are made for, L/min.
    pub most: Option<f64>,
    /// The meter holds it down, not the pipe.
    pub by_meter: bool,
    /// A pipe of this material is not made in this size.
    pub no_such_pipe: bool,
    /// The flow looked at: the capacity given, or the most; L/min.
    pub at: Option<f64>,
    /// Pressure that is left at the valves at that flow, kPa.
    pub left_kpa: Option<f64>,
    /// Largest flow that leaves the pressure wanted, L/min; 0 where none does.
    pub leaves: Option<f64>,
    /// The pressure while flowing is not below the pressure at rest.
    pub test_wrong: bool,
    /// A regulator is usual at such a pressure.
    pub high: bool,
}

fn of_word<T: Copy>(word: &str, words: &[&str], all: &[T]) -> Option<T> {
    let place = words.iter().position(|known| *known == word)?;
    all.get(place).copied()
}

/// The check of one supply.
pub fn check(supply: &Supply) -> Check {
    let get = |field| number_or_default(&supply.facts, field);
    let mut found = Check::default();
    let meter = of_word(&supply.meter, MeterSize::WORDS, MeterSize::ALL);
    let material = of_word(&supply.pipe, Material::WORDS, Material::ALL);
    let size = of_word(&supply.pipe_size, NominalSize::WORDS, NominalSize::ALL);
    let pipe = material.zip(size);
    let pipe_bore: Option<Bore> = pipe.and_then(|(material, size)| bore(material, size));
    found.no_such_pipe = pipe.is_some() && pipe_bore.is_none();
    let length = get(Field::PipeLength);
    let reach = pipe_bore.zip(material).map(|(bore, material)| Reach {
        length: Length::m(length.unwrap_or(0.0)),
        bore,
        smoothness: smoothness(material),
    });
    let at_rest = get(Field::StaticPressure);
    let static_pressure = Pressure::kpa(at_rest.unwrap_or(0.0));
    let mut measured = None;
    if let (Some(_), Some(flow), Some(kpa)) =
        (at_rest, get(Field::TestFlow), get(Field::TestPressure))
    {
        let test = FlowTest::try_new(static_pressure, Flow::l_per_min(flow), Pressure::kpa(kpa));
        found.test_wrong = test.is_err();
        measured = test.ok();
    }
    let connection = Connection {
        static_pressure,
        rise: Rise::m(get(Field::SupplyRise).unwrap_or(0.0)),
        reaches: reach.into_iter().collect(),
        fixed_loss: Pressure::kpa(get(Field::FixedLoss).unwrap_or(0.0)),
        meter,
        velocity_most: Velocity::m_per_s(get(Field::FastestWater).unwrap_or(1.524)),
        measured,
    };
    let (most, limit) = design_flow(&connection);
    found.most = most.map(Flow::to_l_per_min);
    found.by_meter = matches!(limit, Limit::MeterContinuous | Limit::MeterShare);
    found.at = number(&supply.facts, Field::Capacity)
        .ok()
        .flatten()
        .or(found.most);
    found.high = static_pressure > STATIC_MOST;
    // Without a length of pipe or a measured pair nothing tells what the flow takes.
    let tells = at_rest.is_some() && (measured.is_some() || reach.is_some() && length.is_some());
    if let (true, Some(at)) = (tells, found.at) {
        found.left_kpa = Some(pressure_left(&connection, Flow::l_per_min(at)).left_kpa);
    }
    if let (true, Some(wanted)) = (tells, get(Field::WantedPressure)) {
        let flow = flow_that_leaves(&connection, Pressure::kpa(wanted));
        found.leaves = Some(flow.map_or(0.0, Flow::to_l_per_min));
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::Typed;
    use crate::units::System;

    /// AWWA C700 as the core quotes it: a 3/4 inch meter passes 15 gal/min for hours.
    #[test]
    fn meter_and_pipe_hold_the_flow_down() {
        let mut supply = Supply {
            meter: "3/4".into(),
            ..Supply::default()
        };
        let found = check(&supply);
        assert!((found.most.unwrap() - 15.0 * 3.785411784).abs() < 1e-9);
        assert!(found.by_meter && found.left_kpa.is_none());
        supply.pipe = "copper_l".into();
        supply.pipe_size = "1/2".into();
        let found = check(&supply);
        assert!(!found.by_meter && found.most.unwrap() < 15.0 * 3.785411784);
        supply.pipe = "pvc_class_160".into();
        assert!(check(&supply).no_such_pipe);
    }

    #[test]
    fn a_measured_pair_tells_what_is_left() {
        let mut supply = Supply::default();
        let mut set = |field, text: &str| {
            let typed = Typed {
                text: text.into(),
                units: System::Si,
            };
            supply.facts.numbers.set(field, Some(typed));
        };
        set(Field::StaticPressure, "5");
        set(Field::TestFlow, "40");
        set(Field::TestPressure, "4");
        set(Field::Capacity, "40");
        set(Field::WantedPressure, "4");
        let found = check(&supply);
        assert!((found.left_kpa.unwrap() - 400.0).abs() < 1e-9);
        assert!((found.leaves.unwrap() - 40.0).abs() < 1e-3);
        assert!(!found.test_wrong && !found.high);
    }
}
