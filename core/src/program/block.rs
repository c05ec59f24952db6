//! A program's block: its steps one after another, as the controller will open them after one start.

use super::Controller;
use super::kinds::Kinds;
use super::timeline::{Demands, Timeline};
use crate::night::Site;
use crate::order::shell;
use crate::replay::SoakStyle;

/// A part of a station's minutes that one program gives.
#[derive(Clone, Copy, Debug)]
pub(super) struct Piece {
    pub station: usize,
    /// Minutes of the night that it has to give, all passes together.
    pub minutes: u32,
}

/// A piece's place in a program.
#[derive(Clone, Copy, Debug)]
pub(super) struct Item {
    pub piece: usize,
    /// It opens together with the one before it.
    pub joined: bool,
}

/// One opening of one station, in seconds from the start.
#[derive(Clone, Copy, Debug)]
pub(super) struct Opening {
    pub start: u32,
    pub seconds: u32,
    pub station: usize,
}

/// What one start opens.
#[derive(Clone, Debug)]
pub(super) struct Block {
    pub openings: Vec<Opening>,
    /// Keyed minutes of each step.
    pub steps: Vec<u32>,
    /// From the start to the last closing.
    pub seconds: u32,
    /// Least time from one start to the next.
    pub spacing: u32,
    /// What is in use while it runs.
    pub profile: Timeline,
    /// Earliest start, and latest, by the stations' own windows.
    pub window: (u32, u32),
    /// The sort of its stations: which nights it runs in.
    pub sort: usize,
}

/// One step before it runs.
struct Due {
    runs: u32,
    seconds: u32,
    soak: u32,
    done: u32,
    ready: u32,
}

/// How a block's lengths and order are made.
#[derive(Clone, Copy)]
pub(super) struct Maker<'a> {
    pub site: &'a Site,
    pub demands: &'a Demands,
    pub controller: &'a Controller,
    pub kinds: &'a Kinds,
    pub style: SoakStyle,
    pub gap: u32,
}

impl Maker<'_> {
    /// Puts items in the order in which the panel opens them, where it is not free.
    pub fn arrange(&self, pieces: &[Piece], items: &mut [Item]) {
        if self.controller.station_order {
            items.iter_mut().for_each(|item| item.joined = false);
            let station = |item: &Item| pieces[item.piece].station;
            shell(items, |one, other| station(one) < station(other));
        }
        if let Some(first) = items.first_mut() {
            first.joined = false;
        }
    }

    /// The block of a program of `passes` starts; none when a rule forbids it.
    pub fn block(&self, pieces: &[Piece], items: &[Item], passes: u32) -> Option<Block> {
        let sort = |item: &Item| self.kinds.sort[pieces[item.piece].station];
        let first = sort(items.first()?);
        if items.iter().any(|item| sort(item) != first) {
            return None;
        }
        let station = |item: &Item| pieces[item.piece].station;
        let ordered = |pair: &[Item]| !pair[1].joined && station(&pair[0]) < station(&pair[1]);
        if self.controller.station_order && !items.windows(2).all(ordered) {
            return None;
        }
        let mut dues: Vec<Due> = Vec::new();
        let mut minutes = Vec::new();
        let mut at = 0;
        while at < items.len() {
            let mut end = at + 1;
            while end < items.len() && items[end].joined {
                end += 1;
            }
            minutes.push(self.step(pieces, &items[at..end], passes, &mut dues)?);
            at = end;
        }
        let order = self.openings(&mut dues);
        let mut openings = Vec::new();
        for &(step, start, seconds) in &order {
            let mut place = 0;
            for (index, item) in items.iter().enumerate() {
                place += usize::from(index > 0 && !item.joined);
                if place == step {
                    let station = pieces[item.piece].station;
                    openings.push(Opening {
                        start,
                        seconds,
                        station,
                    });
                }
            }
        }
        self.finish(openings, minutes, first)
    }

    /// Reads one step: its keyed minutes.
    fn step(
        &self,
        pieces: &[Piece],
        items: &[Item],
        passes: u32,
        dues: &mut Vec<Due>,
    ) -> Option<u32> {
        let mut length = self.controller.shortest_step_seconds.div_ceil(60).max(1);
        let mut most = u32::MAX;
        let (mut longest, mut soak) = (u32::MAX, 0);
        for item in items {
            let piece = pieces[item.piece];
            let station = &self.site.stations()[piece.station];
            length = length.max(piece.minutes.div_ceil(passes));
            most = most.min(piece.minutes / passes + 2);
            if let Some(limit) = station.longest_run_minutes {
                longest = longest.min(limit);
                soak = soak.max(station.soak_minutes);
            }
        }
        let mut runs = 1;
        if self.style == SoakStyle::None {
            most = most.min(longest);
            soak = 0;
        } else {
            runs = length.div_ceil(longest).max(1);
        }
        if length > most {
            return None;
        }
        dues.push(Due {
            runs,
            seconds: length * 60,
            soak: soak * 60,
            done: 0,
            ready: 0,
        });
        Some(length)
    }

    /// The order in which the controller opens: step, start, seconds.
    fn openings(&self, dues: &mut [Due]) -> Vec<(usize, u32, u32)> {
        let mut order = Vec::new();
        let (mut now, mut next) = (0, 0);
        loop {
            // Of the begun steps that have runs left, the one whose soak ends first.
            let begun = dues[..next].iter().enumerate();
            let first = begun
                .filter(|(_, due)| due.done < due.runs)
                .min_by_key(|(_, due)| due.ready)
                .map(|(place, due)| (place, due.ready));
            let step = match first {
                Some((place, ready))
                    if ready <= now || next == dues.len() || self.style == SoakStyle::Wait =>
                {
                    now = now.max(ready);
                    place
                }
                _ if next < dues.len() => {
                    next += 1;
                    next - 1
                }
                _ => return order,
            };
            let due = &mut dues[step];
            let seconds = due.seconds / due.runs + u32::from(due.done < due.seconds % due.runs);
            order.push((step, now, seconds));
            due.done += 1;
            due.ready = now + seconds + due.soak;
            now += seconds + self.gap;
        }
    }

    fn finish(&self, openings: Vec<Opening>, steps: Vec<u32>, sort: usize) -> Option<Block> {
        let end = |opening: &Opening| opening.start + opening.seconds;
        let seconds = openings.iter().map(end).max().unwrap_or(0);
        let mut profile = Timeline::new(self.demands);
        let mut spacing = seconds;
        let mut window = (0, u32::MAX);
        for (at, opening) in openings.iter().enumerate() {
            let station = &self.site.stations()[opening.station];
            let soak = station.soak_minutes * 60;
            for earlier in &openings[..at] {
                if earlier.station == opening.station {
                    if end(earlier) + soak > opening.start {
                        return None;
                    }
                    spacing = spacing.max(end(opening) + soak - earlier.start);
                } else if self.demands.are_apart(earlier.station, opening.station)
                    && opening.start < end(earlier)
                    && earlier.start < end(opening)
                {
                    return None;
                }
            }
            spacing = spacing.max(opening.seconds + soak);
            window.0 = window
                .0
                .max((station.from_minute * 60).saturating_sub(opening.start));
            if let Some(until) = station.until_minute {
                window.1 = window.1.min((until * 60).checked_sub(end(opening))?);
            }
            profile.open(self.demands, opening);
        }
        profile.hold(0, seconds, Demands::ALONE, 1);
        if !profile.is_within(&self.demands.limits) {
            return None;
        }
        Some(Block {
            openings,
            steps,
            seconds,
            spacing: spacing.next_multiple_of(60),
            profile,
            window,
            sort,
        })
    }
}
