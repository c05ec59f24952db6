//! A finish that no plan can beat.
//!
//! Every bound here is of the night without its pump minimum. That night has a best plan in which nothing can be moved
//! earlier, so all its times are sums of runs, soaks, pauses and earliest starts: whole ticks. A bound may therefore be
//! rounded up to a tick.

use super::part::Part;

/// The least possible finish of a part, in ticks.
pub(crate) fn bound(part: &Part) -> i32 {
    let chain = (0..part.count())
        .map(|at| i64::from(part.from[at] + part.tail[part.runs(at).start]))
        .max()
        .unwrap_or(0);
    let most = [chain, energy(part), open(part), lanes(part)];
    most.into_iter().max().unwrap_or(0) as i32
}

fn ticks(part: &Part, station: usize) -> i64 {
    part.length[part.runs(station)]
        .iter()
        .map(|&length| i64::from(length))
        .sum()
}

/// Water asked of each supply over what it carries.
fn energy(part: &Part) -> i64 {
    let mut water = vec![0i128; part.capacity.len()];
    for at in 0..part.count() {
        water[part.supply[at] as usize] += i128::from(ticks(part, at)) * i128::from(part.flow[at]);
    }
    let least = water.iter().zip(&part.most).map(|(water, most)| {
        let most = i128::from(*most).max(1);
        ((water + most - 1) / most) as i64
    });
    least.max().unwrap_or(0)
}

/// Open time of all stations over the valves that may be open at once.
fn open(part: &Part) -> i64 {
    let all: i64 = (0..part.count()).map(|at| ticks(part, at)).sum();
    let limit = i64::from(part.open_limit.max(1));
    (all + limit - 1) / limit
}

/// Time for which each group's lanes are held over their number. The pause after the last run is not waited for.
fn lanes(part: &Part) -> i64 {
    let mut held = vec![0i64; part.lanes.len()];
    for at in 0..part.count() {
        let group = part.group[at] as usize;
        held[group] += ticks(part, at) + part.runs(at).len() as i64 * i64::from(part.gap[group]);
    }
    let least = held
        .iter()
        .zip(&part.lanes)
        .zip(&part.gap)
        .map(|((held, lanes), gap)| {
            let lanes = i64::from(*lanes).max(1);
            (held + lanes - 1) / lanes - i64::from(*gap)
        });
    least.max().unwrap_or(0)
}

/// The least possible finish of each supply by itself, in ticks.
pub(crate) fn supply_bounds(part: &Part) -> Vec<i64> {
    let mut water = vec![0i128; part.capacity.len()];
    for at in 0..part.count() {
        water[part.supply[at] as usize] += i128::from(ticks(part, at)) * i128::from(part.flow[at]);
    }
    let mut bounds: Vec<i64> = water
        .iter()
        .zip(&part.most)
        .map(|(water, most)| {
            let most = i128::from(*most).max(1);
            ((water + most - 1) / most) as i64
        })
        .collect();
    for at in 0..part.count() {
        let chain = i64::from(part.from[at] + part.tail[part.runs(at).start]);
        let bound = &mut bounds[part.supply[at] as usize];
        *bound = (*bound).max(chain);
    }
    bounds
}
