//! The page of Drycurb. In a worker the same module answers questions instead (see [`worker`]).

mod app;
mod document;
mod dom;
mod field;
mod json;
mod night;
mod numbers;
mod parts;
mod platform;
mod screens;
mod session;
mod sheet;
mod signals;
mod station;
mod text;
mod units;
mod worker;

use wasm_bindgen::JsCast;

fn main() {
    std::panic::set_hook(Box::new(|panic| platform::rescue(&panic.to_string())));
    match js_sys::global().dyn_into::<web_sys::DedicatedWorkerGlobalScope>() {
        Ok(scope) => worker::serve(scope),
        Err(_) => app::mount(),
    }
}
