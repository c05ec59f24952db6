//! The page of Drycurb, for two modules: the page itself (`main.rs`), and the places that come after it
//! (`bin/papers.rs`). What takes long is asked of a worker, whose module is `bin/planner.rs`.

mod app;
mod climate;
mod document;
mod dom;
mod field;
pub mod json;
pub mod later;
mod night;
mod numbers;
mod papers;
mod parts;
mod platform;
mod rules;
mod screens;
mod session;
mod sheet;
mod signals;
mod station;
mod supply;
mod text;
mod units;
mod year;

/// Starts the page.
pub fn page() {
    rescue();
    climate::table();
    app::mount();
}

/// What fails is shown with the data, not as a page that stands still.
pub fn rescue() {
    std::panic::set_hook(Box::new(|panic| platform::rescue(&panic.to_string())));
}
