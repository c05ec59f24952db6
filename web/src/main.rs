//! The page's module: all that the first visit needs.

fn main() {
    drycurb_web::page();
}
