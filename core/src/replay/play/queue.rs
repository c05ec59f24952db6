//! Starts that fired and have not begun: earliest fired first, then program order.

use std::collections::VecDeque;

/// The queue. A program's own starts begin in the order in which they fired, and while one of them may not begin the
/// later ones may not either; so the queue is read over the first start of each program only, however long it is.
pub(super) struct Queue {
    /// Second of firing and program of the first waiting start of each program that has one, in order.
    heads: Vec<(i64, usize)>,
    /// By program: the seconds at which its later starts fired.
    later: Vec<VecDeque<i64>>,
}

impl Queue {
    pub(super) fn new(programs: usize) -> Self {
        Self {
            heads: Vec::new(),
            later: vec![VecDeque::new(); programs],
        }
    }

    pub(super) fn is_empty(&self) -> bool {
        self.heads.is_empty()
    }

    pub(super) fn holds(&self, program: usize) -> bool {
        self.heads.iter().any(|head| head.1 == program)
    }

    /// A start fires; it is no earlier than those that fired before it.
    pub(super) fn push(&mut self, second: i64, program: usize) {
        if self.holds(program) {
            self.later[program].push_back(second);
        } else {
            self.insert((second, program));
        }
    }

    /// The program of the first waiting start number `place`, counted over programs.
    pub(super) fn head(&self, place: usize) -> Option<usize> {
        self.heads.get(place).map(|head| head.1)
    }

    /// Takes that start out; the program's next one takes its own place in the order, never before `place`.
    pub(super) fn take_head(&mut self, place: usize) {
        let (_, program) = self.heads.remove(place);
        if let Some(second) = self.later[program].pop_front() {
            self.insert((second, program));
        }
    }

    /// Forgets all; gives the program of each start, one for each.
    pub(super) fn clear(&mut self) -> Vec<usize> {
        let mut forgotten = Vec::new();
        for (_, program) in std::mem::take(&mut self.heads) {
            forgotten.push(program);
            forgotten.extend(self.later[program].drain(..).map(|_| program));
        }
        forgotten
    }

    fn insert(&mut self, head: (i64, usize)) {
        let place = self.heads.partition_point(|other| *other < head);
        self.heads.insert(place, head);
    }
}
