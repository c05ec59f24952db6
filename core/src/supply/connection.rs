//! The point of connection: how much flow may be taken, and what pressure is left at the valve.

use super::meter::{self, MeterSize};
use super::pipe::{self, KPA_PER_METRE};
use crate::invalid::{Invalid, Problem};
use crate::math;
use crate::quantity::{Bore, Flow, Length, Pressure, Rise, Share, Smoothness, Velocity};
use crate::reference::{Source, Standing};

/// A length of pipe between the connection and the valve.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reach {
    /// How long.
    pub length: Length,
    /// Inside diameter.
    pub bore: Bore,
    /// How smooth.
    pub smoothness: Smoothness,
}

/// What is known of a supply.
#[derive(Clone, Debug, PartialEq)]
pub struct Supply {
    /// Pressure with nothing open.
    pub static_pressure: Pressure,
    /// How far the valve lies above the place where the pressure was read.
    pub rise: Rise,
    /// The pipes in between, in any order.
    pub reaches: Vec<Reach>,
    /// Loss in meter, backflow preventer, filter and regulator at the flow in question, from their own sheets.
    pub fixed_loss: Pressure,
    /// The meter, where there is one.
    pub meter: Option<MeterSize>,
    /// Fastest that water may move in a pipe; [`pipe::USUAL_VELOCITY`] where nothing else is known.
    pub velocity_most: Velocity,
    /// A measured pair, where one was read.
    pub measured: Option<FlowTest>,
}

/// What holds the flow down.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Limit {
    /// The meter's rating for continuous operation.
    MeterContinuous,
    /// Three quarters of the meter's safe maximum.
    MeterShare,
    /// Velocity in the narrowest reach; the place in the list.
    Velocity(usize),
    /// Nothing that was entered holds it down.
    None,
}

/// Largest flow that meter and pipes allow, and which of them decides.
///
/// The smallest of the meter's continuous rating, 75 % of its safe maximum, and the flow at the velocity limit in
/// each reach. `None` for the flow when neither meter nor pipe is known.
///
/// # Source
/// [`meter::SOURCE`], [`pipe::VELOCITY_SOURCE`]; the 75 % are common practice, no source.
pub fn design_flow(supply: &Supply) -> (Option<Flow>, Limit) {
    let by_meter = supply.meter.map(meter::ratings);
    let continuous = by_meter.map(|ratings| (ratings.continuous_most, Limit::MeterContinuous));
    let share = by_meter.map(|ratings| {
        let most = ratings.safe_most.to_l_per_min() * meter::USUAL_SHARE;
        (Flow::l_per_min(most), Limit::MeterShare)
    });
    let pipes = supply.reaches.iter().enumerate().map(|(place, reach)| {
        (
            pipe::flow_at(supply.velocity_most, reach.bore),
            Limit::Velocity(place),
        )
    });
    let mut least = (None, Limit::None);
    for (flow, limit) in continuous.into_iter().chain(share).chain(pipes) {
        if least.0.is_none_or(|so_far| flow < so_far) {
            least = (Some(flow), limit);
        }
    }
    least
}

/// Pressure at a flow, and where it went.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PressureLeft {
    /// At the valve, kPa; below zero means that this flow cannot come.
    pub left_kpa: f64,
    /// Lost before the first listed pipe, by the measured pair, kPa.
    pub source_loss_kpa: f64,
    /// Lost to friction in the listed pipes, kPa.
    pub friction_kpa: f64,
    /// Lost to height (negative: gained), kPa.
    pub rise_kpa: f64,
    /// Fastest water in any listed pipe, m/s.
    pub fastest_m_per_s: f64,
}

/// Pressure that is left at the valve while a flow runs: static pressure less source, friction, height and fixed loss.
pub fn pressure_left(supply: &Supply, flow: Flow) -> PressureLeft {
    let mut friction_kpa = 0.0;
    let mut fastest_m_per_s: f64 = 0.0;
    for reach in &supply.reaches {
        let found = pipe::loss(reach.length, reach.bore, flow, reach.smoothness);
        friction_kpa += found.loss_kpa;
        fastest_m_per_s = fastest_m_per_s.max(found.velocity_m_per_s);
    }
    let rise_kpa = supply.rise.to_m() * KPA_PER_METRE;
    let source_loss_kpa = supply.measured.map_or(0.0, |test| test.drop_kpa(flow));
    let static_kpa = supply.static_pressure.to_kpa();
    PressureLeft {
        left_kpa: static_kpa
            - source_loss_kpa
            - friction_kpa
            - rise_kpa
            - supply.fixed_loss.to_kpa(),
        source_loss_kpa,
        friction_kpa,
        rise_kpa,
        fastest_m_per_s,
    }
}

/// Largest flow that still leaves `wanted` at the valve; `None` when even a trickle leaves less.
///
/// By bisection on [`pressure_left`], to a millionth of the answer; the fixed loss stays as entered. Nothing that
/// takes pressure as flow grows means no limit, and gives [`Flow::MOST`].
pub fn flow_that_leaves(supply: &Supply, wanted: Pressure) -> Option<Flow> {
    let leaves = |l_per_min: f64| {
        pressure_left(supply, Flow::l_per_min(l_per_min)).left_kpa >= wanted.to_kpa()
    };
    if !leaves(0.0) {
        return None;
    }
    if leaves(Flow::MOST) {
        return Some(Flow::l_per_min(Flow::MOST));
    }
    let (mut enough, mut too_much) = (0.0, Flow::MOST);
    for _ in 0..64 {
        let middle = (enough + too_much) / 2.0;
        if leaves(middle) {
            enough = middle
        } else {
            too_much = middle
        }
    }
    Some(Flow::l_per_min(enough))
}

/// A flow and the pressure read while it ran, at the place where the static pressure was read.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FlowTest {
    flow_l_per_min: f64,
    drop_kpa: f64,
}

/// Where the curve through a measured pair comes from.
pub const FLOW_TEST_SOURCE: Source = Source {
    work: "NFPA 291, recommended practice for fire flow testing",
    place: "flow goes with pressure drop to the power 0.54",
    standing: Standing::FromMemory,
    note: "the exponent of Hazen and Williams, 1/1.852; here exactly that",
};

impl FlowTest {
    /// A reading, checked against the static pressure.
    ///
    /// # Errors
    /// No flow; pressure at or above static.
    pub fn try_new(
        static_pressure: Pressure,
        flow: Flow,
        pressure: Pressure,
    ) -> Result<Self, Vec<Invalid>> {
        let mut faults = Vec::new();
        if flow.to_l_per_min() <= 0.0 {
            let problem = Problem::Other("must be above 0: a reading while water runs");
            faults.push(Invalid::new("measured_flow_l_per_min", problem));
        }
        if pressure >= static_pressure {
            let problem = Problem::Other("must be below the static pressure");
            faults.push(Invalid::new("measured_pressure_kpa", problem));
        }
        if !faults.is_empty() {
            return Err(faults);
        }
        Ok(Self {
            flow_l_per_min: flow.to_l_per_min(),
            drop_kpa: static_pressure.to_kpa() - pressure.to_kpa(),
        })
    }

    /// How far the pressure drops at another flow, kPa.
    pub fn drop_kpa(&self, flow: Flow) -> f64 {
        self.drop_kpa * math::pow(flow.to_l_per_min() / self.flow_l_per_min, 1.852)
    }
}

/// Something about a supply that wants attention.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Remark {
    /// Static pressure above 80 psi (552 kPa): a regulator is usual.
    StaticHigh,
    /// The meter takes more than a tenth of the static pressure.
    MeterTakesMuch,
    /// Water moves faster than the limit in some pipe.
    TooFast,
    /// This flow leaves no pressure at the valve.
    NoPressureLeft,
}

/// Static pressure above which a regulator is usual: 80 psi. Common practice; one state's code says 90.
pub const STATIC_MOST: Pressure = Pressure::kpa(551.6);
/// Largest usual share of the static pressure that a meter takes. Common practice, no source.
pub const METER_LOSS_MOST: Share = Share::of_one(0.1);

/// What to say about a supply at a flow. `meter_loss` is the meter's own, from its sheet, where known.
pub fn remarks(supply: &Supply, flow: Flow, meter_loss: Option<Pressure>) -> Vec<Remark> {
    let at = pressure_left(supply, flow);
    let static_kpa = supply.static_pressure.to_kpa();
    let meter_most = METER_LOSS_MOST.to_of_one() * static_kpa;
    let found = [
        (supply.static_pressure > STATIC_MOST, Remark::StaticHigh),
        (
            meter_loss.is_some_and(|loss| loss.to_kpa() > meter_most),
            Remark::MeterTakesMuch,
        ),
        (
            at.fastest_m_per_s > supply.velocity_most.to_m_per_s(),
            Remark::TooFast,
        ),
        (at.left_kpa <= 0.0, Remark::NoPressureLeft),
    ];
    found
        .into_iter()
        .filter_map(|(holds, remark)| holds.then_some(remark))
        .collect()
}
