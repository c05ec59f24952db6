//! How heads, emitters and cans are laid out, how long a test runs, what is given beyond the need.

use crate::invalid::Problem;

quantity!(
    /// A distance between heads, emitters or rows, metres. Above zero.
    Spacing, m, try_m, to_m, 0.01, 1_000.0
);
quantity!(
    /// The part of a circle that a head wets, degrees. Above zero.
    Arc, degrees, try_degrees, to_degrees, 1.0, 360.0
);
quantity!(
    /// Flow of one emitter, litres an hour.
    EmitterFlow, l_per_h, try_l_per_h, to_l_per_h, 0.0, 10_000.0
);
quantity!(
    /// Water that passed a meter, litres.
    Volume, l, try_l, to_l, 0.0, 1_000_000_000.0
);
quantity!(
    /// How long a test ran, minutes. Above zero.
    TestTime, minutes, try_minutes, to_minutes, 0.1, 1_440.0
);
quantity!(
    /// Opening of a catch can, cm²: of its throat, never of its bottom. Above zero.
    Opening, cm2, try_cm2, to_cm2, 1.0, 10_000.0
);
quantity!(
    /// Share of the water applied that drains below the roots to carry salt away (leaching
    /// fraction). Far enough below 1 to divide by what is left.
    LeachingShare, of_one, try_of_one, to_of_one, 0.0, 0.9
);
