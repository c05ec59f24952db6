//! The places of the page.

pub mod pocket;
