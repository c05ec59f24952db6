//! What would help a night most: each change is planned anew, none is guessed.

use super::bound::Limit;
use super::plan::Plan;
use super::planner::Planner;
use super::site::{DAY_MINUTES, Draft, MOST_STATIONS, Site};
use crate::order::by_keys;
use crate::quantity::Flow;

/// How much more a supply is thought to carry, l/min.
pub const MORE_L_PER_MIN: f64 = 10.0;
/// What soaks are thought to shrink to, percent.
pub const SOAK_PERCENT: u32 = 80;

/// A change to a site that makes its night easier.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Change {
    /// A supply carries [`MORE_L_PER_MIN`] more.
    MoreFlow {
        /// Place of the supply in [`Site::supplies`].
        supply: usize,
    },
    /// One more valve may be open on the site.
    MoreValves,
    /// One more valve may be open in a group.
    MoreLanes {
        /// Place of the group in [`Site::groups`].
        group: usize,
    },
    /// Soaks last [`SOAK_PERCENT`] of what they do, rounded up to a minute.
    ShorterSoaks,
    /// One more water day a week: every station's minutes are shared among one day more, rounded up.
    MoreDays,
}

impl Change {
    /// The word by which the JSON door names it.
    pub fn word(self) -> &'static str {
        match self {
            Self::MoreFlow { .. } => "more_flow",
            Self::MoreValves => "more_valves",
            Self::MoreLanes { .. } => "more_lanes",
            Self::ShorterSoaks => "shorter_soaks",
            Self::MoreDays => "more_days",
        }
    }
}

/// What a change gives.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Suggestion {
    /// The change.
    pub change: Change,
    /// When the night ends with it.
    pub finish_second: u32,
    /// How many stations more it serves.
    pub more_served: usize,
}

/// Share of the time until the plan ends for which a supply is full: water drawn over what it could have carried.
/// None where nothing limits it or nothing runs.
pub fn used_share(site: &Site, plan: &Plan, supply: usize) -> Option<f64> {
    let capacity = site.supplies().get(supply)?.capacity?.to_l_per_min();
    let carried = capacity * f64::from(plan.finish_second);
    let own = plan
        .runs
        .iter()
        .filter(|run| site.supply_of(run.station) == Some(supply));
    let drawn = own
        .map(|run| site.stations()[run.station].flow.to_l_per_min() * f64::from(run.seconds))
        .fold(0.0, |sum, litres| sum + litres);
    (carried > 0.0).then_some(drawn / carried)
}

/// Share of the time for which a group's lanes are held, in millionths.
fn held_share(site: &Site, plan: &Plan, group: usize) -> Option<u64> {
    let entered = &site.groups()[group];
    let lanes = u64::from(entered.open_at_once?);
    let own = plan
        .runs
        .iter()
        .filter(|run| site.group_of(run.station) == Some(group));
    let held: u64 = own
        .map(|run| u64::from(run.seconds + entered.gap_seconds))
        .sum();
    Some(held * 1_000_000 / lanes.max(1) / u64::from(plan.finish_second.max(1)))
}

/// Changes worth a try: of supplies and groups the one that limits the night, else the fullest.
fn changes(site: &Site, plan: &Plan, limit: Limit, days: Option<u32>) -> Vec<Change> {
    let mut changes = Vec::new();
    let above = |supply: &usize| {
        let reason = super::Reason::AboveCapacity;
        let mut unserved = plan
            .unserved
            .iter()
            .filter(|unserved| unserved.reason == reason);
        unserved.any(|unserved| site.supply_of(unserved.station) == Some(*supply))
    };
    let supplies = 0..site.supplies().len();
    let fullest = supplies.clone().max_by_key(|supply| {
        let share = used_share(site, plan, *supply).unwrap_or(-1.0);
        (share * 1e6) as i64
    });
    let supply = match limit {
        Limit::Supply { supply } => Some(supply),
        _ => fullest,
    };
    let supply = supplies.clone().find(above).or(supply);
    let limited = |supply: &usize| {
        let entered = site.supplies().get(*supply);
        entered.is_some_and(|entered| entered.capacity.is_some())
    };
    changes.extend(
        supply
            .filter(limited)
            .map(|supply| Change::MoreFlow { supply }),
    );
    if site.open_at_once().is_some() {
        changes.push(Change::MoreValves);
    }
    let groups = 0..site.groups().len();
    let group = match limit {
        Limit::Lanes { group } => Some(group),
        _ => groups.max_by_key(|group| held_share(site, plan, *group)),
    };
    let limited = |group: &usize| site.groups()[*group].open_at_once.is_some();
    changes.extend(
        group
            .filter(limited)
            .map(|group| Change::MoreLanes { group }),
    );
    if site
        .stations()
        .iter()
        .any(|station| station.runs() > 1 && station.soak_minutes > 0)
    {
        changes.push(Change::ShorterSoaks);
    }
    if days.is_some_and(|days| days < 7) {
        changes.push(Change::MoreDays);
    }
    changes
}

fn more(open: &mut Option<u32>) {
    if let Some(open) = open {
        *open = (*open + 1).min(MOST_STATIONS as u32);
    }
}

fn apply(draft: &mut Draft, change: Change, days: u32) {
    match change {
        Change::MoreFlow { supply } => {
            let capacity = &mut draft.supplies[supply].capacity;
            let more = |flow: Flow| Flow::try_l_per_min(flow.to_l_per_min() + MORE_L_PER_MIN).ok();
            *capacity = capacity.and_then(more);
        }
        Change::MoreValves => more(&mut draft.open_at_once),
        Change::MoreLanes { group } => more(&mut draft.groups[group].open_at_once),
        Change::ShorterSoaks => {
            for station in &mut draft.stations {
                station.soak_minutes = (station.soak_minutes * SOAK_PERCENT).div_ceil(100);
            }
        }
        Change::MoreDays => {
            for station in &mut draft.stations {
                let minutes = (station.run_minutes * days).div_ceil(days + 1);
                station.run_minutes = minutes.clamp(1, DAY_MINUTES);
            }
        }
    }
}

/// Plans the night anew with each change that makes it easier, with `effort` units of work and the seed of the plan
/// at hand. `days` are the water days a week, where one more is to be tried. The change that serves most comes first,
/// then the one that ends soonest. What is easier never ends later: where no better plan is found, the plan at hand
/// is good for it too.
pub fn suggest(
    site: &Site,
    plan: &Plan,
    limit: Limit,
    days: Option<u32>,
    seed: u64,
    effort: u64,
) -> Vec<Suggestion> {
    let mut suggestions = Vec::new();
    for change in changes(site, plan, limit, days) {
        let mut draft = site.draft().clone();
        apply(&mut draft, change, days.unwrap_or(1));
        let Ok(easier) = Site::check(draft) else {
            continue;
        };
        let mut planner = Planner::new(&easier, seed);
        planner.step(effort);
        let found = planner.best();
        let here = (plan.unserved.len(), plan.finish_second);
        let (unserved, finish_second) = here.min((found.unserved.len(), found.finish_second));
        suggestions.push(Suggestion {
            change,
            finish_second,
            more_served: plan.unserved.len() - unserved,
        });
    }
    by_keys(&mut suggestions, |suggestion| {
        let served = MOST_STATIONS - suggestion.more_served;
        [served as u64, suggestion.finish_second.into()]
    });
    suggestions
}
