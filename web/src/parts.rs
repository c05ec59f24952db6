//! Parts used by more than one row or screen.

pub mod choice;
pub mod number_field;
pub mod stopwatch;
pub mod words;
