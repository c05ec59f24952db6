//! How much water is wanted: from the weather, the plant, the soil that stores it and the rain that falls.
//!
//! Months run from January; a list of twelve begins with January. Depths are net, what the plant has to get; what
//! must be applied on top, because sprinklers are uneven and salt must be washed down, is said where it is added.

pub mod balance;
pub mod climate;
pub mod establishment;
pub mod evapotranspiration;
pub mod leaching;
pub mod monthly;
pub mod plant;
pub mod rain;
pub mod repair;

pub mod station;
