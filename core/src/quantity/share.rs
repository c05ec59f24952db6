//! Shares that something is divided by, so never zero.

use crate::invalid::Problem;

quantity!(
    /// Share of the applied water that plants can use (irrigation efficiency). Never so small that dividing by it
    /// means nothing.
    Efficiency, of_one, try_of_one, to_of_one, 0.05, 1.0
);
quantity!(
    /// Electric conductivity of water or of a soil's saturation extract, which tells its salt, dS/m.
    Conductivity, ds_per_m, try_ds_per_m, to_ds_per_m, 0.0, 100.0
);
