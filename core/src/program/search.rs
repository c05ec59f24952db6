//! The search: which station in which program and step, how many passes, and when each starts.
//!
//! A draft is changed a little at random and placed again; a worse one is kept now and then, ever more seldom. The
//! same question and work give the same programs on every machine.

use std::rc::Rc;

use super::block::{Block, Item, Maker, Piece};
use super::timeline::Timeline;
use crate::order::by_keys;
use crate::slices::Pace;

/// Passes of one block at times of their own.
#[derive(Clone, Debug, Default)]
pub(super) struct Member {
    pub passes: u32,
    /// Moves it forward in the order of placing, seconds.
    bias: i32,
    pub items: Vec<Item>,
    pub block: Option<Rc<Block>>,
}

#[derive(Clone, Debug, Default)]
pub(super) struct Programs {
    pub pieces: Vec<Piece>,
    pub members: Vec<Member>,
}

/// What a draft is worth; less is better.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Worth {
    /// Seconds by which rules are broken.
    pub broken: u32,
    /// Seconds that its waste counts as, and its end; the end alone where nothing else is to be spared.
    pub cost: u32,
    pub finish: u32,
    pub entries: u32,
}

/// What is to be spared beside time. Judgement.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Thrift {
    /// Seconds that a minute above a station's need counts as, while it is few of them.
    pub minute_seconds: u32,
    /// Seconds that a run more than the ground asks for counts as.
    pub run_seconds: u32,
    /// Where the window ends, seconds: each second past it counts as [`LATE`] of them.
    pub window_seconds: u32,
}

/// An earlier end is worth one in so many of its seconds.
const EARLY: i64 = 4;
/// What an entry to key counts as, seconds.
const ENTRY_SECONDS: u32 = 40;
/// What a second past the window counts as, seconds.
const LATE: u32 = 20;
/// A minute too much counts for so many more as the tenths of the need that are too much, up to this.
const MOST_TENTHS: u32 = 5;

/// A second past which no start can be keyed.
const DAY: u32 = 86_400;
/// Seconds that a program too many counts as.
const OVER_SECONDS: u32 = 900;
/// Pieces of one station.
const MOST_PIECES: usize = 4;

pub(super) struct Search<'a> {
    pub maker: Maker<'a>,
    thrift: Option<Thrift>,
    /// By kind of night.
    timelines: Vec<Timeline>,
    /// By kind of night: the stretch looked at last.
    near: Vec<usize>,
    /// Most programs.
    pub most: usize,
    /// By station: where it is open.
    spans: Vec<Vec<(u32, u32)>>,
    state: u64,
    pub work: u64,
    /// By program of the draft placed last: its starts.
    pub starts: Vec<Vec<u32>>,
    /// A station for whose sake the draft placed last breaks a rule.
    pub blamed: Option<usize>,
    /// The sum of the ends of the programs placed last.
    ends: u64,
    /// How many programs too many the draft placed last needs, some being keyed twice for midnight.
    pub over: usize,
}

impl<'a> Search<'a> {
    pub fn new(maker: Maker<'a>, thrift: Option<Thrift>, seed: u64) -> Self {
        Self {
            maker,
            thrift,
            timelines: vec![Timeline::new(maker.demands); maker.kinds.dates.len()],
            near: vec![0; maker.kinds.dates.len()],
            most: maker.controller.programs as usize,
            spans: vec![Vec::new(); maker.site.stations().len()],
            state: seed ^ 0x9e37_79b9_7f4a_7c15,
            work: 0,
            starts: Vec::new(),
            blamed: None,
            ends: 0,
            over: 0,
        }
    }

    fn below(&mut self, end: usize) -> usize {
        self.state = self
            .state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        let high = self.state >> 33;
        ((high * end as u64) >> 31) as usize
    }

    /// Places all passes, those with the longest way to go first, each as early as it can. Stops short once it ends
    /// past `most`.
    pub fn place(&mut self, programs: &Programs, most: i64) -> Worth {
        self.timelines.iter_mut().for_each(Timeline::clear);
        self.spans.iter_mut().for_each(Vec::clear);
        self.starts.resize(programs.members.len(), Vec::new());
        self.starts.iter_mut().for_each(Vec::clear);
        self.blamed = None;
        self.ends = 0;
        let mut worth = Worth::default();
        let waste = self.waste(programs);
        // Within the window an earlier end is worth little.
        let share = if self.thrift.is_some() { EARLY } else { 1 };
        let mut slots = 0;
        loop {
            let mut first: Option<(i64, usize)> = None;
            for (at, member) in programs.members.iter().enumerate() {
                let left = member.passes as usize - self.starts[at].len();
                if let Some(block) = member.block.as_ref().filter(|_| left > 0) {
                    let way = u64::from(block.spacing) * (left as u64 - 1);
                    let way = way as i64 + i64::from(block.seconds);
                    let last = self.starts[at].last();
                    let ready = last.map_or(0, |last| last + block.spacing);
                    if i64::from(waste) + (i64::from(ready) + way) / share > most {
                        // It cannot end in time, whatever becomes of the others.
                        worth.cost = u32::MAX / 2;
                        return worth;
                    }
                    let way = way + i64::from(member.bias);
                    if first.is_none_or(|(most, _)| way > most) {
                        first = Some((way, at));
                    }
                }
            }
            let Some((_, at)) = first else { break };
            let Some(block) = &programs.members[at].block else {
                break;
            };
            let ready = self.starts[at]
                .last()
                .map_or(0, |last| last + block.spacing);
            let start = self.earliest(block, ready);
            let late = start.saturating_sub(block.window.1) + start.saturating_sub(DAY - 60);
            if late > 0 {
                worth.broken += late;
                self.blamed = block.openings.first().map(|opening| opening.station);
            }
            let nights = self.maker.kinds.nights[block.sort];
            for (night, timeline) in self.timelines.iter_mut().enumerate() {
                if nights >> night & 1 == 1 {
                    timeline.add(&block.profile, start);
                }
            }
            for opening in &block.openings {
                let begin = start + opening.start;
                self.spans[opening.station].push((begin, begin + opening.seconds));
            }
            self.starts[at].push(start);
            worth.finish = worth.finish.max(start + block.seconds);
            worth.cost = waste + worth.finish / share as u32;
            if i64::from(worth.cost) > most {
                return worth;
            }
            if self.starts[at].len() == programs.members[at].passes as usize {
                self.ends += u64::from(start + block.seconds);
                let steps = block.steps.len() as u32 + 1;
                let twice = self.maker.kinds.is_split(block.sort, &self.starts[at]);
                slots += 1 + usize::from(twice);
                worth.entries += programs.members[at].passes + steps * (1 + u32::from(twice));
            }
        }
        self.over = slots.saturating_sub(self.maker.controller.programs as usize);
        worth.broken += self.over as u32 * OVER_SECONDS;
        if let Some(thrift) = self.thrift {
            let late = worth.finish.saturating_sub(thrift.window_seconds);
            let entries = worth.entries * ENTRY_SECONDS;
            worth.cost = worth
                .cost
                .saturating_add(late.saturating_mul(LATE) + entries);
        }
        for timeline in &self.timelines {
            worth.broken += timeline.below_least(&self.maker.demands.least);
        }
        worth
    }

    /// Seconds that minutes above the need, and runs that the ground does not ask for, count as.
    fn waste(&self, programs: &Programs) -> u32 {
        let Some(thrift) = self.thrift else {
            return 0;
        };
        let mut waste = 0;
        let mut runs = 0;
        for member in &programs.members {
            let Some(block) = &member.block else {
                continue;
            };
            runs += member.passes * block.openings.len() as u32;
            let mut step = 0;
            for (at, item) in member.items.iter().enumerate() {
                step += usize::from(at > 0 && !item.joined);
                let need = programs.pieces[item.piece].minutes.max(1);
                let more = (member.passes * block.steps[step]).saturating_sub(need);
                let tenths = (10 * more / need).min(MOST_TENTHS);
                waste += more * (1 + tenths) * thrift.minute_seconds;
            }
        }
        let stations = self.maker.site.stations().iter();
        let fewest: u32 = stations.map(crate::night::Station::runs).sum();
        waste + runs.saturating_sub(fewest) * thrift.run_seconds
    }

    /// The earliest whole minute from `ready` on at which a block fits.
    fn earliest(&mut self, block: &Block, ready: u32) -> u32 {
        let mut start = ready.max(block.window.0).next_multiple_of(60);
        let nights = self.maker.kinds.nights[block.sort];
        for (near, timeline) in self.near.iter_mut().zip(&self.timelines) {
            *near = timeline.holding(start);
        }
        loop {
            let limits = &self.maker.demands.limits;
            let work = &mut self.work;
            let nears = self.near.iter_mut().zip(&self.timelines).enumerate();
            let mut nears = nears.filter(|(night, _)| nights >> night & 1 == 1);
            let met = nears.find_map(|(_, (near, timeline))| {
                timeline.in_the_way(&block.profile, start, limits, near, work)
            });
            let later = match met {
                Some(later) => later,
                None => match self.meets_another(block, start) {
                    Some(later) => later,
                    None => return start,
                },
            };
            start = later.next_multiple_of(60);
        }
    }

    /// Whether a station would be open beside one it is kept from, or too soon after itself: until when.
    fn meets_another(&mut self, block: &Block, start: u32) -> Option<u32> {
        for opening in &block.openings {
            let (begin, end) = (
                start + opening.start,
                start + opening.start + opening.seconds,
            );
            let soak = self.maker.site.stations()[opening.station].soak_minutes * 60;
            let kinds = self.maker.kinds;
            let others = self.maker.demands.apart[opening.station].iter();
            let others = others.filter(|other| kinds.meet(opening.station, **other));
            let others = others.map(|other| (*other, 0));
            for (other, margin) in others.chain([(opening.station, soak)]) {
                for span in &self.spans[other] {
                    self.work += 1;
                    if begin < span.1 + margin && span.0 < end + margin {
                        return Some(start + (span.1 + margin - begin));
                    }
                }
            }
        }
        None
    }

    fn rebuild(&self, programs: &mut Programs, at: usize) -> bool {
        let member = &mut programs.members[at];
        if member.items.is_empty() {
            member.block = None;
            return true;
        }
        self.maker.arrange(&programs.pieces, &mut member.items);
        member.block = self
            .maker
            .block(&programs.pieces, &member.items, member.passes)
            .map(Rc::new);
        member.block.is_some()
    }

    /// A first draft, and the stations that it can't hold: every station a step of its own, or, the better of two,
    /// stations joined into steps.
    pub fn first(&mut self, stations: &[usize], joined: bool) -> (Programs, Vec<usize>) {
        let draft = self.draft(stations, (true, joined));
        if !joined {
            return draft;
        }
        let whole = self.draft(stations, (false, true));
        let mut worth = |draft: &(Programs, Vec<usize>)| {
            let worth = self.place(&draft.0, i64::MAX);
            (draft.1.len(), worth)
        };
        if worth(&whole) < worth(&draft) {
            whole
        } else {
            draft
        }
    }

    /// A first draft: stations with as many runs in one program; then, if they are to be `cut`, the longest program in
    /// two, again and again; then, if they are to be `joined`, stations brought together into steps. Gives the stations
    /// that no program can hold too.
    fn draft(&self, stations: &[usize], (cut, joined): (bool, bool)) -> (Programs, Vec<usize>) {
        let most = self.most;
        let starts = self.maker.controller.starts;
        let sorts = self.maker.kinds.nights.len();
        let mut programs = Programs::default();
        let mut left_out = Vec::new();
        let own = self.maker.style != crate::replay::SoakStyle::None;
        let mut classes: Vec<Member> = (0..starts * sorts as u32)
            .map(|class| Member {
                passes: class % starts + 1,
                ..Member::default()
            })
            .collect();
        for &station in stations {
            let entered = &self.maker.site.stations()[station];
            let runs = if own { 1 } else { entered.runs() };
            let parts = runs.div_ceil(starts).max(1);
            let kept: Vec<Item> = (0..parts)
                .map(|part| {
                    let minutes =
                        entered.run_minutes / parts + u32::from(part < entered.run_minutes % parts);
                    programs.pieces.push(Piece { station, minutes });
                    let piece = programs.pieces.len() - 1;
                    let joined = false;
                    Item { piece, joined }
                })
                .collect();
            for (part, item) in kept.iter().enumerate() {
                let minutes = programs.pieces[item.piece].minutes;
                let longest = entered.longest_run_minutes.unwrap_or(minutes).min(minutes);
                let passes = if own { 1 } else { minutes.div_ceil(longest) };
                // Parts of one station go to programs of their own.
                let fits = |passes: u32| {
                    let block = self.maker.block(&programs.pieces, &[*item], passes);
                    block.is_some()
                };
                let passes = (1..=starts)
                    .filter(|other| *other >= passes)
                    .find(|p| fits(*p));
                match passes {
                    Some(passes) if part == 0 => {
                        let sort = self.maker.kinds.sort[station];
                        let class = sort * starts as usize + passes as usize - 1;
                        classes[class].items.push(*item);
                    }
                    Some(passes) => classes.push(Member {
                        passes,
                        items: vec![*item],
                        ..Member::default()
                    }),
                    None => left_out.push(station),
                }
            }
        }
        classes.retain(|member| !member.items.is_empty());
        programs.members = classes;
        self.fold(&mut programs, most, &mut left_out);
        for at in 0..programs.members.len() {
            if !self.rebuild(&mut programs, at) {
                self.shed(&mut programs, at, &mut left_out);
            }
        }
        while cut && programs.members.len() < most {
            let longest = (0..programs.members.len())
                .filter(|at| programs.members[*at].items.len() > 1)
                .max_by_key(|at| {
                    let member = &programs.members[*at];
                    member
                        .block
                        .as_ref()
                        .map_or(0, |block| block.seconds * member.passes)
                });
            let Some(at) = longest else { break };
            let mut half = programs.members[at].clone();
            let mut place = 0;
            half.items.retain(|_| {
                place += 1;
                place % 2 == 0
            });
            place = 0;
            programs.members[at].items.retain(|_| {
                place += 1;
                place % 2 == 1
            });
            programs.members.push(half);
            let last = programs.members.len() - 1;
            for member in [at, last] {
                if !self.rebuild(&mut programs, member) {
                    self.shed(&mut programs, member, &mut left_out);
                }
            }
        }
        for at in 0..if joined { programs.members.len() } else { 0 } {
            let apart = programs.members[at].clone();
            self.join(&mut programs, at);
            if !self.rebuild(&mut programs, at) {
                programs.members[at] = apart;
            }
        }
        while programs.members.len() < most {
            programs.members.push(Member {
                passes: 1,
                ..Member::default()
            });
        }
        (programs, left_out)
    }

    /// Brings the stations of a program together into as few steps as they fit in, the longest first.
    fn join(&self, programs: &mut Programs, at: usize) {
        let Programs { pieces, members } = programs;
        let Member { items, passes, .. } = &mut members[at];
        let flow = |item: &Item| self.maker.site.stations()[pieces[item.piece].station].flow;
        let mut order: Vec<[u64; 2]> = (0..items.len() as u64)
            .map(|place| [place, place])
            .collect();
        for key in &mut order {
            let item = &items[key[1] as usize];
            let minutes = u64::from(u32::MAX - pieces[item.piece].minutes);
            let flow = (flow(item).to_l_per_min() * 1e3) as u64;
            key[0] = (minutes << 32) | u64::from(u32::MAX - flow.min(u64::from(u32::MAX)) as u32);
        }
        by_keys(&mut order, |key| *key);
        let mut steps: Vec<Vec<Item>> = Vec::new();
        for [_, place] in order {
            let Item { piece, .. } = items[place as usize];
            let fits = |step: &Vec<Item>| {
                let mut step = step.clone();
                let joined = true;
                step.push(Item { piece, joined });
                self.maker.block(pieces, &step, *passes).is_some()
            };
            let found = steps.iter().position(fits);
            let joined = found.is_some();
            let step = found.unwrap_or(steps.len());
            if !joined {
                steps.push(Vec::new());
            }
            steps[step].push(Item { piece, joined });
        }
        *items = steps.concat();
    }

    /// Brings too many programs down to `most`: the smallest go into others that can hold them.
    fn fold(&self, programs: &mut Programs, most: usize, left_out: &mut Vec<usize>) {
        while programs.members.len() > most {
            let count = programs.members.len();
            let smallest = (0..count).min_by_key(|at| programs.members[*at].items.len());
            let member = programs.members.remove(smallest.unwrap_or(0));
            for item in member.items {
                let place = (0..programs.members.len()).find(|at| {
                    let into = &programs.members[*at];
                    let mut items = into.items.clone();
                    items.push(item);
                    self.maker.arrange(&programs.pieces, &mut items);
                    into.passes >= member.passes
                        && self
                            .maker
                            .block(&programs.pieces, &items, into.passes)
                            .is_some()
                });
                match place {
                    Some(at) => programs.members[at].items.push(item),
                    None => left_out.push(programs.pieces[item.piece].station),
                }
            }
        }
    }

    /// Takes a program that cannot be made apart and puts each item where it can stand, in another program if need be.
    fn shed(&self, programs: &mut Programs, at: usize, left_out: &mut Vec<usize>) {
        let items = std::mem::take(&mut programs.members[at].items);
        self.rebuild(programs, at);
        let count = programs.members.len();
        for item in items {
            let mut found = false;
            'places: for other in (at..count).chain(0..at) {
                for place in (0..=programs.members[other].items.len()).rev() {
                    programs.members[other].items.insert(place, item);
                    found = self.rebuild(programs, other);
                    if found {
                        break 'places;
                    }
                    programs.members[other].items.remove(place);
                }
            }
            if !found {
                left_out.push(programs.pieces[item.piece].station);
            }
        }
        for other in 0..count {
            self.rebuild(programs, other);
        }
    }

    fn any_item(&mut self, programs: &Programs) -> Option<(usize, usize)> {
        let count: usize = programs
            .members
            .iter()
            .map(|member| member.items.len())
            .sum();
        let mut chosen = self.below(count.max(1));
        for (at, member) in programs.members.iter().enumerate() {
            if chosen < member.items.len() {
                return Some((at, chosen));
            }
            chosen -= member.items.len();
        }
        None
    }

    fn take(programs: &mut Programs, at: usize, place: usize) -> Item {
        let items = &mut programs.members[at].items;
        let item = items.remove(place);
        if !item.joined && place < items.len() {
            items[place].joined = false;
        }
        item
    }

    fn insert(&mut self, programs: &mut Programs, at: usize, piece: usize) {
        let joined = self.below(3) == 0;
        let place = self.below(programs.members[at].items.len() + 1);
        let items = &mut programs.members[at].items;
        items.insert(place, Item { piece, joined });
    }

    /// Changes a draft a little; false when that can't be.
    fn change(&mut self, programs: &mut Programs) -> bool {
        let Some((at, place)) = self.any_item(programs) else {
            return false;
        };
        let count = programs.members.len();
        let other = self.below(count);
        let starts = self.maker.controller.starts;
        match self.below(20) {
            0..3 => self.carry(programs, at, place, other),
            3..8 => {
                let item = Self::take(programs, at, place);
                if programs.members[other].items.is_empty() {
                    programs.members[other].passes = programs.members[at].passes;
                }
                self.insert(programs, other, item.piece);
            }
            8..11 => {
                let Some((to, with)) = self.any_item(programs) else {
                    return false;
                };
                let one = programs.members[at].items[place].piece;
                let two = programs.members[to].items[with].piece;
                programs.members[at].items[place].piece = two;
                programs.members[to].items[with].piece = one;
                return self.rebuild(programs, at) && (at == to || self.rebuild(programs, to));
            }
            11..13 => {
                let passes = &mut programs.members[at].passes;
                *passes = if self.below(2) == 0 {
                    (*passes + 1).min(starts)
                } else {
                    (*passes - 1).max(1)
                };
            }
            13..15 => {
                let item = &mut programs.members[at].items[place];
                item.joined = !item.joined;
            }
            15..17 => {
                let bias = self.below(7_200) as i32 - 3_600;
                programs.members[at].bias = bias;
                return true;
            }
            17..19 => return self.split(programs, at, place, other),
            _ => return self.unite(programs, at, place),
        }
        self.rebuild(programs, at) && (at == other || self.rebuild(programs, other))
    }

    /// Takes a whole step to another place.
    fn carry(&mut self, programs: &mut Programs, at: usize, place: usize, other: usize) {
        let items = &programs.members[at].items;
        let begins = |place: &usize| !items[*place].joined;
        let first = (0..=place).rev().find(begins).unwrap_or(0);
        let end = (place + 1..items.len()).find(begins).unwrap_or(items.len());
        let step: Vec<Item> = programs.members[at].items.drain(first..end).collect();
        if programs.members[other].items.is_empty() {
            programs.members[other].passes = programs.members[at].passes;
        }
        let mut to = self.below(programs.members[other].items.len() + 1);
        let items = &mut programs.members[other].items;
        while to < items.len() && items[to].joined {
            to += 1;
        }
        items.splice(to..to, step);
    }

    /// Gives what is left of whole passes to another program.
    fn split(&mut self, programs: &mut Programs, at: usize, place: usize, other: usize) -> bool {
        let piece = programs.members[at].items[place].piece;
        let Piece { station, minutes } = programs.pieces[piece];
        let alike = programs.pieces.iter();
        let alike = alike.filter(|piece| piece.station == station && piece.minutes > 0);
        if at == other || alike.count() >= MOST_PIECES {
            return false;
        }
        let passes = programs.members[at].passes;
        let mut kept = minutes / passes * passes;
        if kept == minutes || self.below(3) == 0 {
            kept = kept.saturating_sub(passes * (1 + self.below(3) as u32));
        }
        if kept == 0 {
            return false;
        }
        programs.pieces[piece].minutes = kept;
        let rest = Piece {
            station,
            minutes: minutes - kept,
        };
        let free = programs.pieces.iter().position(|piece| piece.minutes == 0);
        let free = free.unwrap_or(programs.pieces.len());
        if free == programs.pieces.len() {
            programs.pieces.push(rest);
        } else {
            programs.pieces[free] = rest;
        }
        self.insert(programs, other, free);
        self.rebuild(programs, at) && self.rebuild(programs, other)
    }

    /// Brings two pieces of a station together.
    fn unite(&mut self, programs: &mut Programs, at: usize, place: usize) -> bool {
        let piece = programs.members[at].items[place].piece;
        let station = programs.pieces[piece].station;
        for other in 0..programs.members.len() {
            for with in 0..programs.members[other].items.len() {
                let twin = programs.members[other].items[with].piece;
                if twin != piece && programs.pieces[twin].station == station {
                    programs.pieces[twin].minutes += programs.pieces[piece].minutes;
                    programs.pieces[piece].minutes = 0;
                    Self::take(programs, at, place);
                    return self.rebuild(programs, at)
                        && (at == other || self.rebuild(programs, other));
                }
            }
        }
        false
    }

    /// What is made smaller while searching: rules first, then the end, then ends of programs and entries.
    fn price(&self, worth: Worth, count: usize) -> i64 {
        let (early, entry) = match self.thrift {
            Some(_) => (EARLY as u64, 0),
            None => (1, 2),
        };
        let ends = self.ends / count.max(1) as u64 / 8 / early;
        i64::from(worth.broken) * 4
            + i64::from(worth.cost)
            + ends as i64
            + i64::from(worth.entries) * entry
    }

    /// Searches from a draft for `effort` units of work and gives the best one found.
    pub async fn improve(&mut self, from: Programs, effort: u64, pace: &Pace) -> (Programs, Worth) {
        let begin = self.work;
        let mut best_worth = self.place(&from, i64::MAX);
        let count = from.members.len();
        let mut price = self.price(best_worth, count);
        let (mut best, mut current) = (from.clone(), from);
        // A change may cost this many seconds at first, and nothing at last.
        let hot = i64::from(best_worth.cost / 200).max(30);
        let mut told = begin;
        while self.work - begin < effort && !pace.hurries() {
            pace.spend(self.work - told).await;
            told = self.work;
            self.work += 20;
            let mut trial = current.clone();
            if !self.change(&mut trial) {
                continue;
            }
            let left = effort.saturating_sub(self.work - begin) as f64 / effort as f64;
            let chance = (self.below(1 << 20) as f64 + 1.0) / f64::from(1 << 20);
            let more = -(hot as f64) * left * left * crate::math::ln(chance);
            let most = price + more as i64;
            let worth = self.place(&trial, most);
            let trial_price = self.price(worth, count);
            if trial_price <= most {
                current = trial;
                price = trial_price;
                if worth < best_worth {
                    best_worth = worth;
                    best = current.clone();
                }
            }
        }
        self.place(&best, i64::MAX);
        pace.spend(self.work - told).await;
        (best, best_worth)
    }
}
