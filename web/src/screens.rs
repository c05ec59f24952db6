//! The places of the page.

pub mod night;
pub mod papers;
pub mod pocket;
pub mod site;
pub mod year;
