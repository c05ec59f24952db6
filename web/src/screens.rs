//! The places of the page.

pub mod night;
pub mod pocket;
pub mod site;
