//! Closures in boxes, one function each.
//!
//! A `Box<dyn Fn()>` would do the same, but the table behind it names three copies of the closure, one
//! for each way of calling it, and all three go out over the air.

/// Something that is worked out when it is asked for.
pub trait Source<T> {
    /// Works it out.
    fn now(&self) -> T;
}

impl<T, F: Fn() -> T> Source<T> for F {
    fn now(&self) -> T {
        self()
    }
}

/// Something that is worked out from what it was before.
pub trait Next<T> {
    /// Works it out.
    fn next(&self, before: Option<&T>) -> T;
}

impl<T, F: Fn(Option<&T>) -> T> Next<T> for F {
    fn next(&self, before: Option<&T>) -> T {
        self(before)
    }
}
