//! Mounts the page; in a worker, answers questions instead.

use leptos::prelude::*;

fn main() {
    leptos::mount::mount_to_body(|| view! { <h1>"Drycurb"</h1> });
}
