//! Which numbers to key into an irrigation controller, and what they will do.
//!
//! The crate is pure: no input or output, no clock, no browser, no randomness of its own. The same question gives the
//! same answer to the bit on every machine, natively and as WebAssembly (see [`math`]). Every number that enters is
//! checked once into a [`quantity`] that cannot be wrong; what follows cannot fail.
//!
//! In reading order, each stage using only earlier ones:
//!
//! 1. [`quantity`], [`invalid`], [`reference`](mod@reference), [`calendar`], [`money`]: numbers with units, faults
//!    with their field, where a figure comes from, days and wall-clock times, exact money.
//! 2. [`ground`]: what soil and slope let in, how long a run may last, how long it must soak.
//! 3. [`rate`]: how fast a station lays water on the ground, and how evenly.
//! 4. [`need`]: how much water is wanted; [`season`]: over the year; [`allowance`]: what a rule allows;
//!    [`sky`]: when it is dark.
//! 5. [`supply`]: what pipe and wire can carry.
//! 6. [`night`]: who runs when.
//! 7. [`program`]: the night as programs that can be keyed.
//! 8. [`replay`]: what a controller does with what was keyed. It knows nothing of `night` and `program`: a check must
//!    not share their mistakes.
//! 9. [`keyed`]: the water that present programs lay down, against need and plan.
//! 10. [`paper`]: quotes, reminders, tables, frames for a camera, the year in twelve rows.
//! 11. [`lines`]: the same functions behind one JSON door (feature `lines`).

#![forbid(unsafe_code)]

pub mod math;

pub mod order;

pub mod decimal;

pub mod slices;

pub mod quantity;

pub mod invalid;

pub mod reference;

pub mod calendar;
pub mod tilt;

pub mod money;

pub mod ground;

pub mod rate;

pub mod need;

pub mod season;

pub mod allowance;

pub mod sky;

pub mod supply;

pub mod night;

pub mod program;

pub mod replay;

pub mod keyed;

pub mod paper;

#[cfg(feature = "lines")]
pub mod lines;
