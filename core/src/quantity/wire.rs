//! Wires, coils and transformers.

use crate::invalid::Problem;

quantity!(
    /// Resistance of one conductor, ohms a kilometre.
    WireResistance, ohm_per_km, try_ohm_per_km, to_ohm_per_km, 0.0, 10_000.0
);
quantity!(
    /// Resistance of a coil or of a loop as a meter reads it, ohms.
    Resistance, ohm, try_ohm, to_ohm, 0.0, 1e9
);
quantity!(
    /// Electric current, amperes.
    Current, amperes, try_amperes, to_amperes, 0.0, 1_000.0
);
quantity!(
    /// Electric tension, volts. Irrigation valves run on low voltage; more than 1000 is no valve's.
    Tension, volts, try_volts, to_volts, 0.0, 1_000.0
);
quantity!(
    /// What a transformer can give, volt-amperes.
    ApparentPower, va, try_va, to_va, 0.1, 100_000.0
);
quantity!(
    /// Temperature of a conductor, degrees Celsius.
    WireTemperature, celsius, try_celsius, to_celsius, -60.0, 120.0
);
