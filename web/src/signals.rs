//! Signals, memos, effects and who owns them; and the clock's callbacks.
//!
//! Our own, because this page is carried over the air: with Leptos' signals (`reactive_graph` 0.2) the
//! same page's module weighed 194.5 kB (brotli), with these 184.1 kB. Theirs bring locks, counted
//! references and an executor, for threads the page does not have. `sycamore-reactive` 0.9 is small
//! too, but locks its whole graph while a value is looked at (a memo asked for inside `with` panics)
//! and gives old values of memos inside a batch. These work as Leptos' did: memos are lazy and tell
//! only when they differ, effects run together right after the event that stirred them, and
//! everything goes with its owner.

mod call;
mod graph;
#[cfg(test)]
mod tests;

use std::any::Any;
use std::cell::RefCell;
use std::marker::PhantomData;
use std::ops::Deref;
use std::rc::Rc;
use wasm_bindgen::prelude::*;

pub use call::{Next, Source};
use graph::Id;

/// Where a value lives. A memo has none before it is first asked for.
type Cell<T> = RefCell<Option<T>>;

/// Something that can be read: a memo, or the reading half of a signal.
pub struct Memo<T> {
    id: Id,
    holds: PhantomData<fn() -> T>,
}

/// A value that can be set, and whose readers hear of it.
pub struct RwSignal<T>(Memo<T>);

/// A value that lives as long as its owner, and whose changes nobody hears of.
pub struct StoredValue<T>(Memo<T>);

/// Whatever makes signals, effects and listeners, and takes them along when it goes.
#[derive(Clone, Copy)]
pub struct Owner(Id);

impl<T: 'static> Memo<T> {
    /// A value that follows signals: made from the one before, worked out when it is asked for.
    /// Its readers hear of it only when it is another one.
    pub fn new(value: impl Fn(Option<&T>) -> T + 'static) -> Self
    where
        T: PartialEq,
    {
        Self::boxed(Box::new(value))
    }

    fn boxed(value: Box<dyn Next<T>>) -> Self
    where
        T: PartialEq,
    {
        let cell = Rc::new(Cell::new(None));
        let held = cell.clone();
        let run = move || {
            let next = value.next(held.borrow().as_ref());
            let mut held = held.borrow_mut();
            let is_another = held.as_ref() != Some(&next);
            if is_another {
                *held = Some(next);
            }
            is_another
        };
        Self::of(graph::add(Some(cell), Some(Rc::new(run)), false))
    }

    fn of(id: Id) -> Self {
        let holds = PhantomData;
        Self { id, holds }
    }

    fn holding(value: T) -> Self {
        Self::of(graph::add(
            Some(Rc::new(Cell::new(Some(value)))),
            None,
            false,
        ))
    }

    /// Reads the value; the memo or effect that runs now will hear of its changes.
    pub fn with<R>(self, read: impl FnOnce(&T) -> R) -> R {
        look(graph::read(self.id), read).unwrap_or_else(|| gone())
    }

    /// Reads the value, once.
    pub fn with_untracked<R>(self, read: impl FnOnce(&T) -> R) -> R {
        self.try_with_untracked(read).unwrap_or_else(|| gone())
    }

    fn try_with_untracked<R>(self, read: impl FnOnce(&T) -> R) -> Option<R> {
        look(graph::peek(self.id), read)
    }

    /// The value; the memo or effect that runs now will hear of its changes.
    pub fn get(self) -> T
    where
        T: Clone,
    {
        self.with(T::clone)
    }

    /// The value, once.
    pub fn get_untracked(self) -> T
    where
        T: Clone,
    {
        self.with_untracked(T::clone)
    }

    /// The value, once, if its part of the page is still there.
    pub fn try_get_untracked(self) -> Option<T>
    where
        T: Clone,
    {
        self.try_with_untracked(T::clone)
    }

    /// Changes the value and tells nobody. `None` once it is gone.
    fn alter<R>(self, change: impl FnOnce(&mut T) -> R) -> Option<R> {
        let (mut change, mut made) = (Some(change), None);
        self.alter_at(&mut |value| made = change.take().map(|change| change(value)));
        made
    }

    #[inline(never)]
    fn alter_at(self, change: &mut dyn FnMut(&mut T)) -> bool {
        let value = graph::peek(self.id);
        let cell = value
            .as_ref()
            .and_then(|value| value.downcast_ref::<Cell<T>>());
        let Some(cell) = cell else { return false };
        match cell.borrow_mut().as_mut() {
            Some(value) => change(value),
            None => return false,
        }
        true
    }
}

fn look<T: 'static, R>(value: Option<Rc<dyn Any>>, read: impl FnOnce(&T) -> R) -> Option<R> {
    let (mut read, mut found) = (Some(read), None);
    look_at::<T>(value, &mut |value| {
        found = read.take().map(|read| read(value))
    });
    found
}

/// One copy for each type of value, not one for each place that reads it.
#[inline(never)]
fn look_at<T: 'static>(value: Option<Rc<dyn Any>>, read: &mut dyn FnMut(&T)) {
    if let Some(cell) = value
        .as_ref()
        .and_then(|value| value.downcast_ref::<Cell<T>>())
        && let Some(value) = cell.borrow().as_ref()
    {
        read(value);
    }
}

#[cold]
fn gone() -> ! {
    panic!("a value is read whose part of the page is gone")
}

impl<T: 'static> RwSignal<T> {
    /// A signal of the present owner.
    pub fn new(value: T) -> Self {
        Self(Memo::holding(value))
    }

    /// Another value; does nothing once the signal is gone.
    pub fn set(self, value: T) {
        self.update(|held| *held = value);
    }

    /// Changes the value; does nothing once the signal is gone.
    pub fn update(self, change: impl FnOnce(&mut T)) {
        let mut change = Some(change);
        self.update_at(&mut |value| {
            if let Some(change) = change.take() {
                change(value);
            }
        });
    }

    #[inline(never)]
    fn update_at(self, change: &mut dyn FnMut(&mut T)) {
        if self.0.alter_at(change) {
            graph::changed(self.0.id);
        }
    }
}

impl<T: 'static> StoredValue<T> {
    /// A value of the present owner.
    pub fn new(value: T) -> Self {
        Self(Memo::holding(value))
    }

    /// The value.
    pub fn get_value(self) -> T
    where
        T: Clone,
    {
        self.0.get_untracked()
    }

    /// The value, if its part of the page is still there.
    pub fn try_get_value(self) -> Option<T>
    where
        T: Clone,
    {
        self.0.try_get_untracked()
    }

    /// Reads the value.
    pub fn with_value<R>(self, read: impl FnOnce(&T) -> R) -> R {
        self.0.with_untracked(read)
    }

    /// Another value; does nothing once its part of the page is gone.
    pub fn set_value(self, value: T) {
        self.update_value(|held| *held = value);
    }

    /// Changes the value; does nothing once its part of the page is gone.
    pub fn update_value(self, change: impl FnOnce(&mut T)) {
        self.0.alter(change);
    }

    /// Changes the value and gives what `change` gives, if its part of the page is still there.
    pub fn try_update_value<R>(self, change: impl FnOnce(&mut T) -> R) -> Option<R> {
        self.0.alter(change)
    }
}

impl<T> Clone for Memo<T> {
    fn clone(&self) -> Self {
        *self
    }
}

impl<T> Copy for Memo<T> {}

impl<T> Clone for RwSignal<T> {
    fn clone(&self) -> Self {
        *self
    }
}

impl<T> Copy for RwSignal<T> {}

impl<T> Clone for StoredValue<T> {
    fn clone(&self) -> Self {
        *self
    }
}

impl<T> Copy for StoredValue<T> {}

impl<T> Deref for RwSignal<T> {
    type Target = Memo<T>;

    fn deref(&self) -> &Memo<T> {
        &self.0
    }
}

impl Owner {
    /// An owner that the present owner takes along.
    pub fn new() -> Self {
        Self(graph::add(None, None, false))
    }

    /// Runs `act`; what it makes is this one's. Nobody hears of what it reads.
    pub fn with<R>(self, act: impl FnOnce() -> R) -> R {
        let (owner, reader) = graph::place(Some(self.0), None);
        let made = act();
        graph::place(owner, reader);
        made
    }

    /// Takes this owner away with all that it owns.
    pub fn cleanup(self) {
        graph::remove(self.0);
    }
}

/// Runs now, and again whenever a signal it read changes, for as long as its owner lives.
pub fn effect(act: Box<dyn Source<()>>) {
    let run = move || {
        act.now();
        false
    };
    graph::refresh(graph::add(None, Some(Rc::new(run)), true));
}

/// Reads without being told of changes.
pub fn untrack<R>(read: impl FnOnce() -> R) -> R {
    let reader = graph::listen(None);
    let value = read();
    graph::listen(reader);
    value
}

/// Runs `act` when the present owner goes or runs again, before its signals are gone.
pub fn on_cleanup(act: impl FnOnce() + 'static) {
    graph::on_cleanup(Box::new(act));
}

#[wasm_bindgen]
extern "C" {
    #[wasm_bindgen(js_name = queueMicrotask)]
    fn queue_microtask(act: &JsValue);
}

thread_local! {
    static SETTLE: JsValue = Closure::<dyn FnMut()>::new(graph::settle).into_js_value();
}

/// From now on effects run right after the event that stirred them, before the browser paints.
pub fn start() {
    graph::when_stirred(|| SETTLE.with(queue_microtask));
}

/// Runs `act` once after some milliseconds.
pub fn after(milliseconds: i32, act: impl FnOnce() + 'static) {
    let act = Closure::once_into_js(act);
    timeout(act.unchecked_ref(), milliseconds);
}

/// Runs `act` some milliseconds after the last call of the function that this gives, if the part that
/// asked for it is still there.
pub fn once_quiet(milliseconds: i32, act: impl FnMut() + 'static) -> impl Fn() {
    let act = Closure::<dyn FnMut()>::new(act);
    let pending = Rc::new(std::cell::Cell::new(None));
    let last = pending.clone();
    on_cleanup(move || forget(&last));
    move || {
        forget(&pending);
        pending.set(timeout(act.as_ref().unchecked_ref(), milliseconds));
    }
}

fn forget(pending: &std::cell::Cell<Option<i32>>) {
    if let (Some(id), Some(window)) = (pending.take(), web_sys::window()) {
        window.clear_timeout_with_handle(id);
    }
}

/// Runs `act` every so many milliseconds for as long as the part that asked for it lives.
pub fn every(milliseconds: i32, act: impl FnMut() + 'static) {
    let Some(window) = web_sys::window() else {
        return;
    };
    let act = Closure::<dyn FnMut()>::new(act);
    let function = act.as_ref().unchecked_ref();
    let id = window.set_interval_with_callback_and_timeout_and_arguments_0(function, milliseconds);
    StoredValue::new(act);
    on_cleanup(move || {
        if let (Ok(id), Some(window)) = (id, web_sys::window()) {
            window.clear_interval_with_handle(id);
        }
    });
}

/// Hears an event of the window for as long as the page lives.
pub fn hear(event: &str, act: impl FnMut() + 'static) {
    let act = Closure::<dyn FnMut()>::new(act);
    if let Some(window) = web_sys::window() {
        let function = act.as_ref().unchecked_ref();
        window
            .add_event_listener_with_callback(event, function)
            .unwrap_throw();
    }
    act.forget();
}

fn timeout(function: &js_sys::Function, milliseconds: i32) -> Option<i32> {
    let window = web_sys::window()?;
    window
        .set_timeout_with_callback_and_timeout_and_arguments_0(function, milliseconds)
        .ok()
}
