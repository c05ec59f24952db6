//! What the page relies on, tried without a browser: here the tests say when effects run.

use std::cell::RefCell;
use std::rc::Rc;

use super::graph::settle;
use super::*;

/// What ran, in order.
#[derive(Clone, Default)]
struct Log(Rc<RefCell<Vec<String>>>);

impl Log {
    fn note(&self, what: impl ToString) {
        self.0.borrow_mut().push(what.to_string());
    }

    /// What ran since the last look.
    fn take(&self) -> Vec<String> {
        self.0.take()
    }
}

fn follow(act: impl Fn() + 'static) {
    effect(Box::new(act));
}

fn memo<T: PartialEq + 'static>(value: impl Fn() -> T + 'static) -> Memo<T> {
    Memo::new(move |_| value())
}

#[test]
fn an_effect_runs_at_once_and_again_once_for_many_changes() {
    let (log, signal) = (Log::default(), RwSignal::new(1));
    let noted = log.clone();
    follow(move || noted.note(signal.get()));
    assert_eq!(log.take(), ["1"]);
    signal.set(2);
    signal.update(|held| *held += 1);
    assert!(log.take().is_empty());
    settle();
    assert_eq!(log.take(), ["3"]);
    settle();
    assert!(log.take().is_empty());
}

#[test]
fn a_diamond_runs_once_and_sees_both_sides_new() {
    let (log, signal) = (Log::default(), RwSignal::new(1));
    let (double, triple) = (
        memo(move || 2 * signal.get()),
        memo(move || 3 * signal.get()),
    );
    let noted = log.clone();
    follow(move || noted.note(double.get() + triple.get()));
    signal.set(10);
    settle();
    assert_eq!(log.take(), ["5", "50"]);
}

#[test]
fn a_memo_is_lazy_and_right_at_once_after_a_change() {
    let (log, signal) = (Log::default(), RwSignal::new(1));
    let noted = log.clone();
    let double = memo(move || {
        noted.note("worked out");
        2 * signal.get()
    });
    let next = memo(move || double.get() + 1);
    assert!(log.take().is_empty());
    assert_eq!((next.get(), next.get()), (3, 3));
    assert_eq!(log.take(), ["worked out"]);
    signal.set(5);
    assert_eq!(next.get_untracked(), 11);
    assert_eq!(log.take(), ["worked out"]);
}

#[test]
fn readers_of_a_memo_hear_only_of_another_value() {
    let (log, signal) = (Log::default(), RwSignal::new(1));
    let odd = memo(move || signal.get() % 2 == 1);
    let text = memo(move || odd.get().to_string());
    let noted = log.clone();
    follow(move || noted.note(text.get()));
    signal.set(3);
    settle();
    signal.set(4);
    settle();
    assert_eq!(log.take(), ["true", "false"]);
}

#[test]
fn a_memo_is_made_from_the_one_before() {
    let signal = RwSignal::new(3);
    let most = Memo::new(move |before: Option<&i32>| {
        before.map_or(signal.get(), |before| signal.get().max(*before))
    });
    let seen: Vec<i32> = [1, 7, 2]
        .map(|value| {
            let now = most.get();
            signal.set(value);
            now
        })
        .into();
    assert_eq!(seen, [3, 3, 7]);
}

#[test]
fn what_is_no_longer_read_is_no_longer_followed() {
    let log = Log::default();
    let (which, one, other) = (RwSignal::new(true), RwSignal::new(1), RwSignal::new(2));
    let noted = log.clone();
    follow(move || noted.note(if which.get() { one.get() } else { other.get() }));
    which.set(false);
    settle();
    one.set(5);
    settle();
    other.set(6);
    settle();
    assert_eq!(log.take(), ["1", "2", "6"]);
}

#[test]
fn untracked_reading_is_not_followed() {
    let (log, signal) = (Log::default(), RwSignal::new(1));
    let noted = log.clone();
    follow(move || noted.note(signal.get_untracked() + untrack(|| signal.get())));
    signal.set(2);
    settle();
    assert_eq!(log.take(), ["2"]);
}

#[test]
fn what_goes_with_its_owner_runs_no_more() {
    let (log, signal) = (Log::default(), RwSignal::new(1));
    let (owner, noted) = (Owner::new(), log.clone());
    let kept = owner.with(|| {
        follow(move || noted.note(signal.get()));
        StoredValue::new(7)
    });
    assert_eq!(kept.try_get_value(), Some(7));
    signal.set(2);
    owner.cleanup();
    settle();
    assert_eq!(log.take(), ["1"]);
    assert_eq!(kept.try_get_value(), None);
}

#[test]
fn a_part_goes_with_all_its_parts_before_their_effects_run() {
    let (log, signal) = (Log::default(), RwSignal::new(1));
    let noted = log.clone();
    follow(move || {
        let (now, inner) = (signal.get(), noted.clone());
        noted.note(format!("outer {now}"));
        follow(move || inner.note(format!("inner {now} {}", signal.get())));
    });
    signal.set(2);
    settle();
    assert_eq!(log.take(), ["outer 1", "inner 1 1", "outer 2", "inner 2 2"]);
}

#[test]
fn cleanups_run_while_stored_values_are_there_and_follow_nothing() {
    let (log, signal) = (Log::default(), RwSignal::new(1));
    let (again, noted) = (RwSignal::new(()), log.clone());
    follow(move || {
        again.get();
        let (stored, noted) = (StoredValue::new(5), noted.clone());
        on_cleanup(move || noted.note(stored.get_value() + signal.get()));
    });
    again.set(());
    settle();
    assert_eq!(log.take(), ["6"]);
    signal.set(2);
    settle();
    assert!(log.take().is_empty());
}

#[test]
fn an_effect_may_set_what_others_follow() {
    let log = Log::default();
    let (from, to) = (RwSignal::new(1), RwSignal::new(0));
    let noted = log.clone();
    follow(move || noted.note(to.get()));
    follow(move || to.set(10 * from.get()));
    settle();
    from.set(2);
    settle();
    assert_eq!(log.take(), ["0", "10", "20"]);
}

#[test]
fn an_effect_may_take_away_another_that_waits() {
    let (log, signal) = (Log::default(), RwSignal::new(1));
    let (owner, noted) = (Owner::new(), log.clone());
    follow(move || {
        if signal.get() == 2 {
            owner.cleanup();
        }
    });
    owner.with(|| follow(move || noted.note(signal.get())));
    signal.set(2);
    settle();
    assert_eq!(log.take(), ["1"]);
}

#[test]
fn others_are_read_and_asked_for_while_a_value_is_looked_at() {
    let signal = RwSignal::new(1);
    let double = memo(move || 2 * signal.get());
    let both = signal.with(|one| *one + double.get());
    assert_eq!(both, 3);
}

#[test]
fn a_signal_that_is_gone_takes_no_value_and_no_newer_one_is_taken_for_it() {
    let owner = Owner::new();
    let old = owner.with(|| RwSignal::new(1));
    owner.cleanup();
    let new = RwSignal::new(2);
    old.set(3);
    assert_eq!((old.try_get_untracked(), new.get()), (None, 2));
}

#[test]
fn the_page_is_called_once_for_many_changes() {
    thread_local! {
        static CALLS: RefCell<u32> = const { RefCell::new(0) };
    }
    graph::when_stirred(|| CALLS.with_borrow_mut(|calls| *calls += 1));
    let calls = || CALLS.with_borrow(|calls| *calls);
    let signal = RwSignal::new(1);
    signal.set(2);
    assert_eq!(calls(), 0);
    follow(move || signal.with(|_| ()));
    signal.set(3);
    signal.set(4);
    assert_eq!(calls(), 1);
    settle();
    signal.set(5);
    assert_eq!(calls(), 2);
}

#[test]
fn a_thousand_parts_leave_nothing_behind() {
    let signal = RwSignal::new(0);
    follow(move || {
        signal.get();
        follow(move || signal.with(|_| ()));
        Owner::new().with(|| StoredValue::new(String::new()));
    });
    settle();
    let before = graph::count();
    for turn in 0..1000 {
        signal.set(turn);
        settle();
    }
    assert_eq!(graph::count(), before);
}
