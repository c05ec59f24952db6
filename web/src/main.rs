//! The page of Drycurb. What takes long is asked of a worker, whose module is `bin/planner.rs`.

mod app;
mod document;
mod dom;
mod field;
mod json;
mod night;
mod numbers;
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

fn main() {
    std::panic::set_hook(Box::new(|panic| platform::rescue(&panic.to_string())));
    app::mount();
}
