//! One program while it runs: which of its steps comes next, and when.

use crate::replay::plan::PlannedStep;
use crate::replay::request::SoakStyle;

/// What a running program is at. Steps are places among the planned steps.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Phase {
    /// A step is open until that second; its runs stand in the list of runs from `first_run` on.
    Open {
        step: usize,
        until: i64,
        first_run: usize,
    },
    /// Gap or soak: nothing is chosen before that second.
    Pause { until: i64 },
    /// It stands on a step that is due. `told`: that it waits for a valve has been reported.
    Due { step: usize, told: bool },
    /// All its runs have closed.
    Over,
}

/// A running program.
pub(super) struct Running<'a> {
    pub program: usize,
    pub steps: &'a [PlannedStep],
    pub phase: Phase,
    /// Runs opened so far, of the steps begun.
    opened: Vec<u32>,
    /// Begun steps that are closed with runs left: when their soak is over, and the step.
    soaking: Vec<(i64, usize)>,
}

impl<'a> Running<'a> {
    pub(super) fn new(program: usize, steps: &'a [PlannedStep]) -> Self {
        let phase = Phase::Pause { until: i64::MIN };
        Self {
            program,
            steps,
            phase,
            opened: Vec::new(),
            soaking: Vec::new(),
        }
    }

    /// The second at which it does something of its own accord; one that waits for a valve does not.
    pub(super) fn next_second(&self) -> Option<i64> {
        match self.phase {
            Phase::Open { until, .. } | Phase::Pause { until } => Some(until),
            Phase::Due { .. } | Phase::Over => None,
        }
    }

    pub(super) fn is_over(&self) -> bool {
        self.phase == Phase::Over
    }

    /// Opens a step for its next run; gives the length of the run.
    pub(super) fn open(&mut self, second: i64, step: usize, first_run: usize) -> u32 {
        if step == self.opened.len() {
            self.opened.push(0);
        }
        let seconds = self.steps[step].run_seconds(self.opened[step]);
        self.opened[step] += 1;
        self.phase = Phase::Open {
            step,
            until: second + i64::from(seconds),
            first_run,
        };
        seconds
    }

    /// Closes the open step when its time is over; gives the step closed.
    pub(super) fn close(&mut self, second: i64, gap_seconds: i64) -> Option<&'a PlannedStep> {
        let Phase::Open { step, until, .. } = self.phase else {
            return None;
        };
        if until > second {
            return None;
        }
        let planned = &self.steps[step];
        if self.opened[step] < planned.runs {
            self.soaking.push((second + planned.soak_seconds, step));
        }
        let is_over = self.soaking.is_empty() && self.opened.len() == self.steps.len();
        self.phase = if is_over {
            Phase::Over
        } else {
            Phase::Pause {
                until: second + gap_seconds,
            }
        };
        Some(planned)
    }

    /// Chooses the next step when the pause is over: of the steps whose soak is over the one whose soak ended first;
    /// else the next one not yet begun, for which `wait` first finishes the step begun; else a further pause.
    pub(super) fn choose(&mut self, second: i64, style: SoakStyle) {
        let Phase::Pause { until } = self.phase else {
            return;
        };
        if until > second {
            return;
        }
        let begins = self.opened.len() < self.steps.len();
        self.phase = match self.soaking.iter().min().copied() {
            Some((over, step)) if over <= second => {
                self.soaking.retain(|soaking| *soaking != (over, step));
                Phase::Due { step, told: false }
            }
            Some((over, _)) if !(begins && style == SoakStyle::Fill) => {
                Phase::Pause { until: over }
            }
            _ => Phase::Due {
                step: self.opened.len(),
                told: false,
            },
        };
    }

    /// Whether it has runs that have not been opened yet.
    pub(super) fn has_unopened_runs(&self) -> bool {
        let begun = self.opened.iter().zip(self.steps);
        self.opened.len() < self.steps.len()
            || begun.into_iter().any(|(opened, step)| *opened < step.runs)
    }
}
