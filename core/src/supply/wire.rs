//! Low-voltage wiring: what reaches the coil, and what an ohmmeter says about it.
//!
//! Switch the controller off before touching a splice or a terminal. The mains side of a transformer is for licensed
//! people under the local code.

use crate::quantity::{
    ApparentPower, Current, Length, Resistance, Tension, WireResistance, WireTemperature,
};
use crate::reference::{Source, Standing};

/// Wire gauge (AWG), solid uncoated copper.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Gauge {
    /// 18 AWG.
    Awg18,
    /// 16 AWG.
    Awg16,
    /// 14 AWG.
    Awg14,
    /// 12 AWG.
    Awg12,
    /// 10 AWG.
    Awg10,
    /// 8 AWG.
    Awg8,
}

impl Gauge {
    /// Every gauge, thinnest first, in the order of [`Gauge::WORDS`].
    pub const ALL: &'static [Self] = &[
        Self::Awg18,
        Self::Awg16,
        Self::Awg14,
        Self::Awg12,
        Self::Awg10,
        Self::Awg8,
    ];

    /// The gauges' names at the JSON door.
    pub const WORDS: &'static [&'static str] = &["18", "16", "14", "12", "10", "8"];
}

/// Where [`resistance_at_20`] comes from.
pub const SOURCE: Source = Source {
    work: "ASTM B258 (NBS copper wire tables)",
    place: "resistance of solid copper at 20 degrees, ohms a thousand feet",
    standing: Standing::Checked,
    note: "times 1.216 gives NEC chapter 9 table 8 (75 degrees) to 0.1 %",
};

/// Resistance of solid copper wire at 20 degrees.
pub fn resistance_at_20(gauge: Gauge) -> WireResistance {
    let ohm_per_1000_ft = match gauge {
        Gauge::Awg18 => 6.385,
        Gauge::Awg16 => 4.016,
        Gauge::Awg14 => 2.525,
        Gauge::Awg12 => 1.588,
        Gauge::Awg10 => 0.9989,
        Gauge::Awg8 => 0.6282,
    };
    WireResistance::ohm_per_km(ohm_per_1000_ft / 0.3048)
}

/// Resistance at another temperature. Buried wire lies near 20, wire in a hot wall nearer 40.
///
/// # Source
/// Copper, 0.00393 per degree from 20 degrees (ASTM B258; IEC 60028).
pub fn at_temperature(at_20: WireResistance, temperature: WireTemperature) -> WireResistance {
    let warmer = temperature.to_celsius() - 20.0;
    let ohm_per_km = at_20.to_ohm_per_km() * (1.0 + 0.00393 * warmer);
    WireResistance::ohm_per_km(ohm_per_km.clamp(WireResistance::LEAST, WireResistance::MOST))
}

/// Station wires of the same length, one for each valve, with one common wire back.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Run {
    /// From clock to valve, one way.
    pub length: Length,
    /// The valve's own wire.
    pub station: WireResistance,
    /// The wire shared by all.
    pub common: WireResistance,
}

/// Volts lost on the way and volts that arrive.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Arriving {
    /// Lost in both wires at these currents, V; above the source's volts means that the currents cannot flow.
    pub drop_volts: f64,
    /// At the coil, V; 0 where the drop is more than the source has.
    pub volts_at_valve: f64,
}

/// Volts at the farthest of several valves that are open together.
///
/// ```text
/// drop = L [ I Rs + (I + (n - 1) I_hold) Rc ] / 1000
/// ```
///
/// With `opening` equal to `holding` this is L (I Rs + n I Rc). With the inrush current for `opening` it is the moment
/// when the last valve opens while the others hold. Currents are taken as constant: a coil on low volts draws less, so
/// the truth is a little better.
///
/// # Source
/// Ohm's law.
pub fn arriving(
    run: &Run,
    opening: Current,
    holding: Current,
    valves_together: u32,
    source: Tension,
) -> Arriving {
    let drop_volts =
        run.length.to_m() / 1000.0 * volts_per_km(run, opening, holding, valves_together);
    let volts_at_valve = (source.to_volts() - drop_volts).max(0.0);
    Arriving {
        drop_volts,
        volts_at_valve,
    }
}

fn volts_per_km(run: &Run, opening: Current, holding: Current, valves_together: u32) -> f64 {
    let others = f64::from(valves_together.saturating_sub(1)) * holding.to_amperes();
    let own = opening.to_amperes();
    own * run.station.to_ohm_per_km() + (own + others) * run.common.to_ohm_per_km()
}

/// Longest one-way length at which at least `least` volts arrive. `None` when the source itself has less.
///
/// Wires or currents of zero put no limit: [`Length::MOST`].
pub fn longest(
    run: &Run,
    opening: Current,
    holding: Current,
    valves_together: u32,
    source: Tension,
    least: Tension,
) -> Option<Length> {
    let spare = source.to_volts() - least.to_volts();
    if spare < 0.0 {
        return None;
    }
    let per_km = volts_per_km(run, opening, holding, valves_together);
    let metres = if per_km > 0.0 {
        spare / per_km * 1000.0
    } else {
        Length::MOST
    };
    Some(Length::m(metres.min(Length::MOST)))
}

/// A stretch of a two-wire path and what hangs at its end.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stretch {
    /// From the device before, or from the clock.
    pub length: Length,
    /// One conductor; the current goes out on one and back on the other.
    pub conductor: WireResistance,
    /// What the device at the end draws.
    pub draws: Current,
}

/// Volts at each device of a two-wire path, from the clock outward; 0 where the drop uses up the source.
///
/// Each stretch carries the current of every device beyond it.
///
/// # Source
/// Ohm's law.
pub fn along_path(source: Tension, stretches: &[Stretch]) -> Vec<f64> {
    let mut beyond: f64 = stretches
        .iter()
        .map(|stretch| stretch.draws.to_amperes())
        .sum();
    let mut volts = source.to_volts();
    let mut at_devices = Vec::with_capacity(stretches.len());
    for stretch in stretches {
        let pair_ohm = 2.0 * stretch.conductor.to_ohm_per_km() * stretch.length.to_m() / 1000.0;
        volts -= pair_ohm * beyond;
        at_devices.push(volts.max(0.0));
        // Rounding may leave a hair below nothing after the last device.
        beyond = (beyond - stretch.draws.to_amperes()).max(0.0);
    }
    at_devices
}

/// How much of a transformer is used.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TransformerLoad {
    /// Drawn, VA.
    pub load_va: f64,
    /// Drawn over rated; above 1 is too much.
    pub share: f64,
}

/// Load of valves (master valve and pump relay counted in) on a transformer.
///
/// Ask for the moment when the last one opens by giving its inrush current as `opening`.
pub fn transformer_load(
    secondary: Tension,
    opening: Current,
    holding: Current,
    valves_together: u32,
    rating: ApparentPower,
) -> TransformerLoad {
    let others = f64::from(valves_together.saturating_sub(1)) * holding.to_amperes();
    let own = if valves_together == 0 {
        0.0
    } else {
        opening.to_amperes()
    };
    let load_va = secondary.to_volts() * (own + others);
    TransformerLoad {
        load_va,
        share: load_va / rating.to_va(),
    }
}

/// What an ohmmeter's reading of coil and wires suggests.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Diagnosis {
    /// Near what coil and wire should read.
    AsExpected,
    /// Far above: a cut wire, a failed splice, a burnt coil.
    Open,
    /// Above: corrosion, a poor splice, more wire than thought.
    High,
    /// Below: a leak between the wires, a wet splice, a damaged coil, a second valve on the wire.
    Leaky,
    /// Far below: wires touching, a shorted coil.
    Short,
}

/// Where the bounds of [`diagnose`] come from.
pub const DIAGNOSIS_SOURCE: Source = Source {
    work: "our judgement",
    place: "reading over expected: below 0.4 short, below 0.8 leaky, above 1.3 high, above 5 open",
    standing: Standing::Judgement,
    note: "copper changes by 0.4 % a degree, so 40 degrees either way move a good coil by 16 %; \
           compare with a station that works",
};

/// A loop reading beside what it should be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LoopReading {
    /// Coil and both wires, ohms.
    pub expected_ohm: f64,
    /// What it suggests.
    pub diagnosis: Diagnosis,
}

/// Judges a reading between station wire and common, taken at the clock with both wires off their terminals.
///
/// # Source
/// [`DIAGNOSIS_SOURCE`]; expected = coil + L (Rs + Rc).
pub fn diagnose(reading: Resistance, coil: Resistance, run: &Run) -> LoopReading {
    let both = run.station.to_ohm_per_km() + run.common.to_ohm_per_km();
    let expected_ohm = coil.to_ohm() + run.length.to_m() / 1000.0 * both;
    let reading = reading.to_ohm();
    let diagnosis = if reading > 5.0 * expected_ohm {
        Diagnosis::Open
    } else if reading > 1.3 * expected_ohm {
        Diagnosis::High
    } else if reading >= 0.8 * expected_ohm {
        Diagnosis::AsExpected
    } else if reading >= 0.4 * expected_ohm {
        Diagnosis::Leaky
    } else {
        Diagnosis::Short
    };
    LoopReading {
        expected_ohm,
        diagnosis,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_path_of_one_device_is_a_pair_of_wires() {
        let conductor = resistance_at_20(Gauge::Awg14);
        let (length, draws) = (Length::m(300.0), Current::amperes(0.3));
        let run = Run {
            length,
            station: conductor,
            common: conductor,
        };
        let pair = arriving(&run, draws, draws, 1, Tension::volts(26.0));
        let path = along_path(
            Tension::volts(26.0),
            &[Stretch {
                length,
                conductor,
                draws,
            }],
        );
        assert!((path[0] - pair.volts_at_valve).abs() < 1e-12);
    }

    #[test]
    fn at_the_longest_length_just_enough_arrives() {
        let wire = resistance_at_20(Gauge::Awg18);
        let (opening, holding) = (Current::amperes(0.4), Current::amperes(0.2));
        let (source, least) = (Tension::volts(24.0), Tension::volts(20.0));
        let mut run = Run {
            length: Length::m(1.0),
            station: wire,
            common: wire,
        };
        run.length = longest(&run, opening, holding, 3, source, least).unwrap();
        let found = arriving(&run, opening, holding, 3, source);
        assert!((found.volts_at_valve - 20.0).abs() < 1e-9);
        assert!(longest(&run, opening, holding, 3, least, source).is_none());
    }

    #[test]
    fn a_reading_falls_into_one_of_five() {
        let none = WireResistance::ohm_per_km(0.0);
        let run = Run {
            length: Length::m(0.0),
            station: none,
            common: none,
        };
        let coil = Resistance::ohm(30.0);
        let judged = |ohm| diagnose(Resistance::ohm(ohm), coil, &run).diagnosis;
        assert_eq!(judged(1e6), Diagnosis::Open);
        assert_eq!(judged(60.0), Diagnosis::High);
        assert_eq!(judged(30.0), Diagnosis::AsExpected);
        assert_eq!(judged(15.0), Diagnosis::Leaky);
        assert_eq!(judged(0.5), Diagnosis::Short);
    }
}
