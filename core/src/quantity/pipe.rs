//! Pipes and what flows in them.

use crate::invalid::Problem;

quantity!(
    /// Inside diameter of a pipe, mm: what water sees, not the name of the size. Above zero.
    Bore, mm, try_mm, to_mm, 2.0, 3_000.0
);
quantity!(
    /// Smoothness of a pipe, the C of Hazen and Williams. Larger is smoother.
    Smoothness, hazen_williams, try_hazen_williams, to_hazen_williams, 40.0, 200.0
);
quantity!(
    /// Speed of water in a pipe, metres a second. Above zero, as a limit must be.
    Velocity, m_per_s, try_m_per_s, to_m_per_s, 0.05, 20.0
);
quantity!(
    /// Water pressure above that of the air, kilopascals.
    Pressure, kpa, try_kpa, to_kpa, 0.0, 10_000.0
);
quantity!(
    /// How far one place lies above another, metres; negative below.
    Rise, m, try_m, to_m, -1_000.0, 1_000.0
);
