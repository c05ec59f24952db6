//! What may be open together, and what an open minute of each station is worth: a linear programme whose columns are
//! sets of stations.
//!
//! Every plan is a sequence of sets that are open together. Forget soaks, pauses and the order: what remains is to
//! choose how long each allowed set is open so that every station gets its minutes in the least time. That least time
//! is at or below the finish of any plan. Its dual gives each station a price for a minute such that no allowed set is
//! worth more than one minute; the sum of price times minutes is then a bound, whatever the prices. They are found by
//! column generation: the set worth most at the present prices (a knapsack with lanes and pairs kept apart) enters the
//! basis until none is worth more than a minute.
//!
//! The prices are found with floating point, the bound is not: prices are cut to whole numbers, the best set is
//! searched exactly (or bounded from above when that takes too long), and the division is rounded to the safe side.

use super::part::Part;
use crate::order::shell;

const EPSILON: f64 = 1e-9;
/// Whole prices are these parts of the dearest.
const PARTS: f64 = 1e9;
/// Sets looked at for one column, at most: first quickly, then with patience.
const QUICK: u32 = 1_000;
const PATIENT: u32 = 20_000;
/// Capacities up to so many units of flow are counted through one by one.
const FINEST: i64 = 20_000;

/// The programme for one supply of a part, solved a column at a time.
#[derive(Clone, Debug)]
pub(super) struct Configurations {
    /// The supply.
    pub(super) supply: usize,
    stations: Vec<usize>,
    flow: Vec<i64>,
    group: Vec<usize>,
    /// Ticks that each station is open.
    wanted: Vec<i64>,
    most: i64,
    lanes: Vec<i32>,
    valves: i32,
    /// Inverse of the basis, row by row.
    inverse: Vec<f64>,
    /// How long each basic column is open.
    level: Vec<f64>,
    /// Cost of each basic column: 1 for a set, 0 for minutes more than wanted.
    cost: Vec<f64>,
    price: Vec<f64>,
    order: Vec<usize>,
    chosen: Vec<usize>,
    best: Vec<usize>,
    nodes: u32,
    rounds: u32,
    /// Steps done.
    pub(super) work: u64,
    /// No set is worth more than a minute, or the search for one has taken long enough.
    pub(super) done: bool,
}

impl Configurations {
    /// The programme at its start: every station open alone.
    pub(super) fn new(part: &Part, supply: usize) -> Self {
        let own = |at: &usize| part.supply[*at] as usize == supply;
        let stations: Vec<usize> = (0..part.count()).filter(own).collect();
        let count = stations.len();
        let mut inverse = vec![0.0; count * count];
        for at in 0..count {
            inverse[at * count + at] = 1.0;
        }
        let wanted: Vec<i64> = stations.iter().map(|&at| part.ticks(at)).collect();
        Self {
            supply,
            flow: stations.iter().map(|&at| part.flow[at]).collect(),
            group: stations.iter().map(|&at| part.group[at] as usize).collect(),
            most: part.most[supply],
            lanes: part.lanes.clone(),
            valves: part.open_limit,
            inverse,
            level: wanted.iter().map(|&ticks| ticks as f64).collect(),
            cost: vec![1.0; count],
            price: vec![1.0; count],
            order: Vec::with_capacity(count),
            chosen: Vec::new(),
            best: Vec::new(),
            nodes: 0,
            rounds: 0,
            work: 0,
            done: count == 0,
            wanted,
            stations,
        }
    }

    /// Lets one more column in.
    pub(super) fn step(&mut self, part: &Part) {
        let count = self.stations.len();
        self.rounds += 1;
        if self.rounds > 20 * count as u32 + 200 {
            self.done = true;
        }
        if self.done {
            return;
        }
        let surplus = (0..count).find(|&at| self.price[at] < -EPSILON);
        let (column, cost): (Vec<f64>, f64) = match surplus {
            Some(at) => {
                let entry = |row: usize| -self.inverse[row * count + at];
                ((0..count).map(entry).collect(), 0.0)
            }
            None => {
                let price = self.price.clone();
                let mut worth = self.dearest(part, &price, QUICK);
                if worth <= 1.0 + 1e-7 && self.nodes == 0 {
                    worth = self.dearest(part, &price, PATIENT);
                }
                if worth <= 1.0 + 1e-7 {
                    self.done = true;
                    return;
                }
                let entry = |row: usize| -> f64 {
                    self.best
                        .iter()
                        .map(|&at| self.inverse[row * count + at])
                        .sum()
                };
                ((0..count).map(entry).collect(), 1.0)
            }
        };
        self.pivot(&column, cost);
        self.work += (count * count) as u64;
    }

    /// Brings a column, as seen from the basis, in for the one that limits it.
    fn pivot(&mut self, column: &[f64], cost: f64) {
        let count = self.stations.len();
        let mut leaves = None;
        let mut least = f64::INFINITY;
        for (row, (&entry, &level)) in column.iter().zip(&self.level).enumerate() {
            if entry > 1e-7 && level / entry < least {
                least = level / entry;
                leaves = Some(row);
            }
        }
        let Some(row) = leaves else {
            self.done = true;
            return;
        };
        for value in &mut self.inverse[row * count..(row + 1) * count] {
            *value /= column[row];
        }
        self.level[row] /= column[row];
        self.cost[row] = cost;
        let pivot_row = self.inverse[row * count..(row + 1) * count].to_vec();
        let level = self.level[row];
        for (other, &factor) in column.iter().enumerate() {
            if other != row && factor.abs() > 1e-12 {
                let target = &mut self.inverse[other * count..(other + 1) * count];
                for (value, pivot) in target.iter_mut().zip(&pivot_row) {
                    *value -= factor * pivot;
                }
                self.level[other] = (self.level[other] - factor * level).max(0.0);
            }
        }
        self.price.fill(0.0);
        for at in 0..count {
            if self.cost[at] > 0.0 {
                let source = &self.inverse[at * count..(at + 1) * count];
                for (price, value) in self.price.iter_mut().zip(source) {
                    *price += value;
                }
            }
        }
    }

    /// The most that an allowed set is worth, and the set in `best`. Exact unless `nodes` has run out.
    fn dearest(&mut self, part: &Part, price: &[f64], nodes: u32) -> f64 {
        self.order.clear();
        let worthy = |at: &usize| price[*at] > 0.0 && self.flow[*at] <= self.most;
        self.order.extend((0..self.stations.len()).filter(worthy));
        let flow = &self.flow;
        let density = |at: usize| price[at] / flow[at].max(1) as f64;
        shell(&mut self.order, |&a, &b| (density(a), b) > (density(b), a));
        self.chosen.clear();
        self.best.clear();
        self.nodes = nodes;
        let mut best = 0.0;
        let mut lanes = std::mem::take(&mut self.lanes);
        let room = (self.most, self.valves);
        self.dig(part, price, &mut lanes, 0, room, 0.0, &mut best);
        self.lanes = lanes;
        self.work += u64::from(nodes - self.nodes);
        best
    }

    /// Tries the stations from `from` on in `order` beside those already chosen.
    #[allow(clippy::too_many_arguments)]
    fn dig(
        &mut self,
        part: &Part,
        price: &[f64],
        lanes: &mut [i32],
        from: usize,
        (free, valves): (i64, i32),
        worth: f64,
        best: &mut f64,
    ) {
        if worth > *best {
            *best = worth;
            self.best.clone_from(&self.chosen);
        }
        if valves == 0 {
            return;
        }
        for place in from..self.order.len() {
            let at = self.order[place];
            let density = price[at] / self.flow[at].max(1) as f64;
            if self.nodes == 0 || worth + density * free as f64 <= *best * (1.0 + EPSILON) {
                return;
            }
            self.nodes -= 1;
            let station = self.stations[at];
            let is_pair = |&other: &usize| part.is_pair(station, self.stations[other]);
            if self.flow[at] > free || lanes[self.group[at]] <= 0 || self.chosen.iter().any(is_pair)
            {
                continue;
            }
            lanes[self.group[at]] -= 1;
            self.chosen.push(at);
            let room = (free - self.flow[at], valves - 1);
            self.dig(part, price, lanes, place + 1, room, worth + price[at], best);
            self.chosen.pop();
            lanes[self.group[at]] += 1;
        }
    }

    /// A finish in ticks that no plan of the part can beat, by the prices found so far.
    pub(super) fn bound(&mut self, part: &Part) -> i64 {
        let dearest = self.price.iter().copied().fold(0.0, f64::max);
        if dearest <= 0.0 {
            return 0;
        }
        // Whole numbers far below 2^53: their sums are exact.
        let cut = |price: &f64| (price.max(0.0) / dearest * PARTS).floor();
        let whole: Vec<f64> = self.price.iter().map(cut).collect();
        let mut most = self.dearest(part, &whole, PATIENT);
        if self.nodes == 0 {
            most = most.max(self.relaxed(&whole).min(self.packed(&whole)));
        }
        if most <= 0.0 || !most.is_finite() {
            return 0;
        }
        // The search leaves out what is better by less than EPSILON of its worth.
        let most = (most * (1.0 + 10.0 * EPSILON)).ceil() as i128 + 1;
        let price = whole.iter().map(|&price| price as i128);
        let total: i128 = price
            .zip(&self.wanted)
            .map(|(price, &ticks)| price * i128::from(ticks))
            .sum();
        let remainder = total % most;
        // Cutting and widening have cost a few parts in 10^9: a remainder as small as that is not rounded up to a tick.
        (total / most + i128::from(remainder * 100_000 > most)) as i64
    }

    /// An upper bound of what a set is worth: the dearest stations by price for flow, the last one in part.
    fn relaxed(&self, price: &[f64]) -> f64 {
        let mut free = self.most as f64;
        let mut worth = 0.0;
        for &at in &self.order {
            let flow = self.flow[at] as f64;
            if flow > free {
                return worth + price[at] * free / flow;
            }
            free -= flow;
            worth += price[at];
        }
        worth
    }

    /// An upper bound of what a set is worth: the dearest that the flow alone allows, lanes and pairs forgotten.
    /// Infinite when the flows are too fine to be counted through.
    fn packed(&mut self, price: &[f64]) -> f64 {
        if self.most > FINEST {
            return f64::INFINITY;
        }
        let most = self.most as usize;
        let mut worth = vec![0.0f64; most + 1];
        for &at in &self.order {
            let flow = self.flow[at] as usize;
            for free in (flow..=most).rev() {
                worth[free] = worth[free].max(worth[free - flow] + price[at]);
            }
        }
        self.work += (most * self.order.len()) as u64;
        worth[most]
    }
}
