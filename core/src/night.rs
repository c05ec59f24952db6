//! Who runs when: a night's plan that keeps every rule and ends as early as can be found.
//!
//! # The question
//!
//! A station's minutes are cut into runs that its ground can take, with a soak between two of them. A run draws flow
//! from a supply while it is open, counts against the valves that may be open at once, holds a lane of its group until
//! the pause after it is over, and keeps the stations that are apart from its own shut. Wanted is the earliest end. In
//! the language of scheduling this is a project with several renewable resources and least time lags; it holds bin
//! packing as a special case, so no quick way to the best plan is known, and a good one has to be searched for and
//! measured against a proved bound.
//!
//! # Whole numbers
//!
//! `part` turns a site into whole numbers: time in the longest tick that divides a minute and every pause, flow in the
//! largest unit that divides every flow. Supplies between which no rule stands are parts of their own: each is planned
//! alone, and the night ends when the last of them does. Work goes to whichever part ends last.
//!
//! # Why filling works
//!
//! `fill` walks from event to event (a run ends, a soak ends, a lane comes free). At each, the stations that are ready
//! compete for what is free, and the set of them that is worth most is opened: a small knapsack, searched with a bound
//! on what is still to come and a limit on the sets looked at. A station is worth its flow times a weight. Flow, because
//! the bound that binds most nights is water over capacity: a litre a minute unused now is never got back. Times a
//! weight, because what is left to the end is what makes a night late: a long chain of runs and soaks that began too
//! late, or a large valve that nothing fits beside. Which stations those are is learned: those that ended late in one
//! pass weigh more in the next, and a station whose chain nearly fills the time left weighs much more. Weights are
//! shaken a little each time, so that no two passes are the same. Filling never leaves free what could be used; as some
//! best plans do, part of the passes hold stations back on purpose, keep room for one that is about to be ready, or
//! charge for an open valve where valves are scarcer than water.
//!
//! `search` begins with such passes over the whole night, and refines those that come near the best: the end of the
//! night from some moment on, or a stretch of the middle, is taken out and filled anew, and kept when that ends no
//! later. The rules look the same from the far end, so half of the passes run backward in time from the finish; what a
//! pass forward leaves as a ragged end, a pass backward sees as its beginning. Where several supplies share valves,
//! one is sometimes planned alone and the others around it.
//!
//! # Why it is legal
//!
//! A run is opened only when its flow, its valve, its lane and its pairs allow it at that moment, and, since what is
//! open only becomes less until the next opening, until it closes; runs that stay in place while others are filled
//! around them are looked ahead to. That is an argument, not a check. So each plan that is given out is first looked
//! at by [`legal`], which knows nothing of the search: it takes the finished list of runs and sees to every rule, with
//! flows as they were entered. A plan that breaks one is never given out.
//!
//! # What is proved
//!
//! [`Planner::bound_second`] is a finish that no plan can beat, the latest of these (`bound`, `configuration`):
//!
//! - a station's own chain of runs and soaks;
//! - water over capacity, for each supply, also with flows rounded by dual-feasible functions: two valves of more than
//!   half the capacity never run together, whatever is left beside them;
//! - open minutes over the valves that may be open at once, and lane minutes over the lanes of a group;
//! - a linear programme over the sets that may be open together. Every plan is a sequence of such sets; if order, soaks
//!   and pauses are forgotten, what is left is how long each is open. Its dual prices make a bound whatever they are,
//!   so rounding in finding them does no harm.
//!
//! Where a plan ends at the bound it is the best there is and the search stops. Else the true best lies between the
//! two. The pump minimum is not in the bounds, which stay true without it; nor is it in the argument of filling, so a
//! plan that misses it is thrown away and the search goes on.
//!
//! # Effort
//!
//! Work is counted in looks at a station, not in time: the same site, seed and effort give the same plan on every
//! machine, in one call or in slices ([`Planner::step_to`]). A station for which some thousand passes find no place is
//! left out and told as such ([`Reason::NoPlaceFound`]); so every question has an answer in bounded time.
//!
//! [`suggest()`] plans a night anew with each change that would make it easier, and never says that it ends later: the
//! plan at hand is good for the easier site too.

mod bound;
mod configuration;
mod fill;
pub mod legal;
mod part;
mod plan;
mod planner;
mod random;
mod search;
mod site;
mod suggest;

pub use bound::Limit;
pub use plan::{Plan, Reason, Run, Unserved};
pub use planner::{Planner, Progress};
pub use site::{
    DAY_MINUTES, Draft, Group, MOST_APART, MOST_GAP_SECONDS, MOST_GROUPS, MOST_RUNS, MOST_STATIONS,
    MOST_SUPPLIES, Site, Station, Supply,
};
pub use suggest::{Change, MORE_L_PER_MIN, SOAK_PERCENT, Suggestion, suggest, used_share};
