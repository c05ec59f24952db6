//! What pipe and wire can carry: flow and pressure from the connection to the valve, volts from the clock to its coil.

pub mod connection;
pub mod meter;
pub mod pipe;
pub mod wire;
