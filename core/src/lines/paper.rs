//! The asks about papers: `quote`, `year`, `stations_csv`.

mod quote;
mod stations;
mod year;

pub(super) use quote::quote;
pub(super) use stations::stations_csv;
pub(super) use year::year;

use super::{Fields, whole};

/// An amount of hundredths, 0 where it is left out.
fn hundredths(fields: &mut Fields, name: &str) -> u64 {
    u64::from(fields.defaulted(name, 0, whole(0, u32::MAX)))
}
