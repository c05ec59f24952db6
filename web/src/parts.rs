//! Parts used by more than one row or screen.

pub mod number_field;
pub mod path;
pub mod stopwatch;
pub mod words;
