//! Long work in slices: it tells how far it is, rests, goes on, and may be asked to come to an end.
//!
//! Long work is written as an `async` function that awaits nothing but its [`Pace`]; the compiler makes of it the machine
//! of states that would else stand there by hand. No thread, clock or executor has a part in it. Where it rests changes
//! nothing in what it computes: any slices give what one call gives.

use std::cell::Cell;
use std::future::{Future, poll_fn};
use std::pin::Pin;
use std::rc::Rc;
use std::task::{Context, Poll, Waker};

/// How much of some long work is done, and how far it may go on.
#[derive(Debug, Default)]
pub struct Pace {
    done: Cell<u64>,
    until: Cell<u64>,
    hurried: Cell<bool>,
}

impl Pace {
    /// One that never rests.
    pub fn free() -> Self {
        Self {
            until: Cell::new(u64::MAX),
            ..Self::default()
        }
    }

    /// Notes units of work, and rests when as much is done as was wanted for now.
    pub async fn spend(&self, units: u64) {
        self.done.set(self.done.get().saturating_add(units));
        // Most calls go on: they need not cost a future.
        if self.is_due() {
            self.rest().await;
        }
    }

    fn is_due(&self) -> bool {
        self.done.get() >= self.until.get() && !self.hurried.get()
    }

    fn rest(&self) -> impl Future<Output = ()> + '_ {
        poll_fn(|_| {
            if self.is_due() {
                Poll::Pending
            } else {
                Poll::Ready(())
            }
        })
    }

    /// Whether the best so far is wanted, as soon as may be.
    pub fn hurries(&self) -> bool {
        self.hurried.get()
    }
}

/// The outcome of work that never rests.
pub fn at_once<T>(work: impl Future<Output = T>) -> T {
    let mut work = std::pin::pin!(work);
    loop {
        if let Poll::Ready(outcome) = work.as_mut().poll(&mut Context::from_waker(Waker::noop())) {
            return outcome;
        }
    }
}

/// Long work that was begun.
pub struct Slices<T> {
    pace: Rc<Pace>,
    work: Pin<Box<dyn Future<Output = T>>>,
    outcome: Option<T>,
}

impl<T> Slices<T> {
    /// Begins; nothing is done yet. `work` must spend at its pace.
    pub fn begin<F: Future<Output = T> + 'static>(work: impl FnOnce(Rc<Pace>) -> F) -> Self {
        let pace = Rc::new(Pace::default());
        Self {
            work: Box::pin(work(pace.clone())),
            pace,
            outcome: None,
        }
    }

    /// Works on until `work` units are done since the beginning, or all; gives the units done.
    pub fn step_to(&mut self, work: u64) -> u64 {
        self.pace.until.set(work);
        self.poll();
        self.pace.done.get()
    }

    /// Whether the outcome is there.
    pub fn is_done(&self) -> bool {
        self.outcome.is_some()
    }

    /// The outcome: of all work, or, where work is left, of what is done by now.
    pub fn finish(mut self) -> T {
        self.pace.hurried.set(true);
        loop {
            if let Some(outcome) = self.outcome {
                return outcome;
            }
            self.poll();
        }
    }

    fn poll(&mut self) {
        if self.outcome.is_none() {
            let mut context = Context::from_waker(Waker::noop());
            if let Poll::Ready(outcome) = self.work.as_mut().poll(&mut context) {
                self.outcome = Some(outcome);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    async fn count(pace: Rc<Pace>) -> u64 {
        let mut sum = 0;
        for number in 1..=10 {
            if pace.hurries() {
                break;
            }
            sum += number;
            pace.spend(3).await;
        }
        sum
    }

    #[test]
    fn work_rests_where_it_is_told_to() {
        let mut slices = Slices::begin(count);
        assert_eq!(slices.step_to(0), 3);
        assert_eq!(slices.step_to(7), 9);
        assert!(!slices.is_done());
        assert_eq!(slices.step_to(7), 9);
        assert_eq!(slices.step_to(1_000), 30);
        assert!(slices.is_done());
        assert_eq!(slices.finish(), 55);
    }

    #[test]
    fn work_that_is_hurried_gives_what_it_has() {
        let mut slices = Slices::begin(count);
        slices.step_to(5);
        assert_eq!(slices.finish(), 3);
        assert_eq!(at_once(count(Rc::new(Pace::free()))), 55);
    }
}
