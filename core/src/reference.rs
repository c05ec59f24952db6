//! Where a figure comes from. Tables carry a [`Source`]; the page prints the same text beside the choice.

/// How sure we are of a published figure.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// Seen in the publication or in an independent copy, or derived again to the printed digit.
    Checked,
    /// Recalled and not seen: printed as `from memory`.
    FromMemory,
    /// A habit of the trade: printed as `common practice, no source`.
    CommonPractice,
    /// Our own judgement: printed as such.
    Judgement,
}

/// The publication a table or an equation comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Source {
    /// Authors, year, title or journal.
    pub work: &'static str,
    /// Table, equation or example.
    pub place: &'static str,
    /// How sure.
    pub standing: Standing,
    /// What was changed or left open; empty when nothing.
    pub note: &'static str,
}
