//! Stage 3: how fast a station lays water on the ground it wets, and how evenly.

pub mod uniformity;
