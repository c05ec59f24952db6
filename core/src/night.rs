//! Who runs when: a night's plan that keeps every rule and ends as early as can be found.

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
