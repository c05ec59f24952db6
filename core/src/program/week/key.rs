//! A week to key: water days, the plan of each kind of night, and programs that serve all of them.
//!
//! How many sorts of days there are decides much: one sort is the least to key, two or more make level nights and let
//! stations with different needs water on different days. One, two, three and four are tried shortly, each as a whole
//! with its programs, and the best gets the rest of the work.
//!
//! A night belongs to the date on which its window opens. Starts past midnight are keyed a day later; where a rule of
//! the place forbids that day, the window is cut at midnight and the better side of it is used.

use super::{Rule, SPAN, Want, Week, plan};
use crate::calendar::{ClockTime, Date};
use crate::invalid::Invalid;
use crate::night::{DAY_MINUTES, Draft, Limit, Plan, Planner, Site};
use crate::program::kinds::Kinds;
use crate::program::search::Thrift;
use crate::program::{Asked, Controller, Keyed, Left, NotKeyed, check, key_kinds};
use crate::slices::Pace;

/// Most sorts of days that are tried.
const MOST_SORTS: usize = 4;
/// Seconds of the night that a minute above the need is worth. Judgement.
const MINUTE_SECONDS: u32 = 60;
/// Seconds of the night that a run which the ground does not ask for is worth. Judgement.
const RUN_SECONDS: u32 = 60;
/// Work between two rests of a free plan.
const PLAN_SLICE: u64 = 50_000;

/// Which side of midnight a window was cut to, because its dates may not both be watered.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Clip {
    /// The window ends at midnight.
    BeforeMidnight,
    /// The window begins at midnight.
    AfterMidnight,
}

impl Clip {
    /// The word at the JSON door.
    pub fn word(self) -> &'static str {
        match self {
            Self::BeforeMidnight => "before_midnight",
            Self::AfterMidnight => "after_midnight",
        }
    }
}

/// What a week is made from.
#[derive(Clone, Debug)]
pub struct WeekAsked {
    /// The site, with the minutes of a water day when there are [`Want::week_days`] of them.
    pub draft: Draft,
    /// The panel.
    pub controller: Controller,
    /// Which days may be watered.
    pub rule: Rule,
    /// What each station wants.
    pub wants: Vec<Want>,
    /// The first date looked at.
    pub from: Date,
}

/// Work for one week.
#[derive(Clone, Copy, Debug)]
pub struct WeekEffort {
    /// For the programs.
    pub keyed: u64,
    /// For the plans of all kinds of nights together.
    pub free: u64,
    /// Seed of both searches.
    pub seed: u64,
}

/// One kind of night: its free plan.
#[derive(Clone, Debug)]
pub struct Night {
    /// Places of its stations in the week's site.
    pub stations: Vec<usize>,
    /// The site with these stations alone.
    pub site: Site,
    /// The plan; its stations are places in the night's own site.
    pub plan: Plan,
    /// No plan of this night ends sooner.
    pub bound_second: u32,
    /// What makes the bound as late as it is.
    pub limit: Limit,
}

/// A week to key.
#[derive(Clone, Debug)]
pub struct KeyedWeek {
    /// Stations with the minutes of one of their water days.
    pub site: Site,
    /// Which stations water on which days.
    pub week: Week,
    /// The window was cut.
    pub clip: Option<Clip>,
    /// Each kind of night, in the order of [`Week::nights`].
    pub nights: Vec<Night>,
    /// The programs, and what a night of each kind shows.
    pub keyed: Keyed,
    /// The search was not gone through with.
    pub cut_short: bool,
}

impl KeyedWeek {
    /// Four weeks of replay keep every rule.
    pub fn is_verified(&self) -> bool {
        self.keyed.broken.is_empty()
    }
}

/// A site and rule between which nothing stands any more.
struct Ground {
    draft: Draft,
    rule: Rule,
    clip: Option<Clip>,
}

/// Chooses the days of a week, plans its nights and finds programs for them. Where a rule gives other days than
/// [`Want::week_days`], the week's minutes are shared among those.
///
/// In a hurry it ends with what it has, and says so in [`KeyedWeek::cut_short`].
///
/// # Errors
/// What [`Site::check`] finds wrong.
pub async fn key_week(
    asked: &WeekAsked,
    effort: WeekEffort,
    pace: &Pace,
) -> Result<KeyedWeek, Vec<Invalid>> {
    let WeekAsked {
        draft,
        controller,
        rule,
        wants,
        from,
    } = asked;
    let from = *from;
    Site::check(draft.clone())?;
    let ground = grounds(draft, rule)
        .into_iter()
        .min_by_key(|ground| {
            let week = plan(&ground.rule, wants, from, 1);
            let served: usize = week.sorts.iter().map(|sort| sort.stations.len()).sum();
            let dry = wants.len() - served;
            (
                dry,
                week.too_seldom.len(),
                u32::MAX - ground.draft.window_minutes,
            )
        })
        .unwrap_or_else(|| Ground {
            draft: draft.clone(),
            rule: *rule,
            clip: None,
        });
    let wants = &enough_days(&ground.draft, wants);
    let mut tried: Vec<Week> = Vec::new();
    let mut best: Option<([u64; 7], KeyedWeek)> = None;
    let short = WeekEffort {
        keyed: effort.keyed / 8,
        free: 0,
        ..effort
    };
    for sorts in 1..=MOST_SORTS.min(controller.programs as usize) {
        if best.is_some() && pace.hurries() {
            break;
        }
        let week = plan(&ground.rule, wants, from, sorts);
        if tried.contains(&week) {
            continue;
        }
        tried.push(week.clone());
        let keyed = solve(&ground, controller, week, from, short, pace).await?;
        let rank = rank(&keyed, wants);
        if best.as_ref().is_none_or(|(least, _)| rank < *least) {
            best = Some((rank, keyed));
        }
    }
    // A week at hand is not begun anew.
    let (best, week) = match best {
        Some((_, mut keyed)) if pace.hurries() => {
            keyed.cut_short = true;
            return Ok(keyed);
        }
        Some((rank, keyed)) => {
            let week = keyed.week.clone();
            (Some((rank, keyed)), week)
        }
        None => (None, plan(&ground.rule, wants, from, 1)),
    };
    let spent = short.keyed * tried.len() as u64;
    let rest = WeekEffort {
        keyed: effort.keyed.saturating_sub(spent),
        ..effort
    };
    let mut full = solve(&ground, controller, week, from, rest, pace).await?;
    full.cut_short = pace.hurries();
    Ok(match best {
        // The free plans are those of the longer search in any case.
        Some((least, keyed)) if least < rank(&full, wants) => KeyedWeek {
            keyed: keyed.keyed,
            ..full
        },
        _ => full,
    })
}

/// The wants, with as many more water days as let runs and soaks of one fit into a night.
fn enough_days(draft: &Draft, wants: &[Want]) -> Vec<Want> {
    let window = draft.window_minutes;
    let stations = draft.stations.iter().zip(wants);
    let days = stations.map(|(station, want)| {
        let until = station.until_minute.unwrap_or(window).min(window);
        let span = until.saturating_sub(station.from_minute);
        let fits = |days: &u32| {
            let minutes = want.week_minutes.div_ceil(*days);
            let longest = station.longest_run_minutes.unwrap_or(minutes).max(1);
            let soaks = minutes.div_ceil(longest).saturating_sub(1);
            let soaks = soaks.saturating_mul(station.soak_minutes);
            minutes.saturating_add(soaks) <= span
        };
        let least = want.week_days.max(1);
        Want {
            week_days: (least..7).find(fits).unwrap_or(7),
            ..*want
        }
    });
    days.collect()
}

/// Water that four weeks of the programs give above what is wanted, whole percent of that.
fn excess_percent(week: &KeyedWeek, wants: &[Want]) -> u64 {
    let mut given = vec![0_u64; wants.len()];
    for (kind, runs) in week.keyed.nights.iter().enumerate() {
        let nights = week.week.night_of.iter();
        let nights = nights.filter(|of| **of == Some(kind)).count() as u64;
        for run in runs {
            given[run.station] += nights * u64::from(run.seconds);
        }
    }
    let (mut more, mut wanted) = (0.0, 0.0);
    for ((station, want), given) in week.site.stations().iter().zip(wants).zip(given) {
        // What draws nothing that is watched counts by its minutes.
        let flow = station.flow.to_l_per_min().max(1.0);
        let seconds = u64::from(want.week_minutes) * u64::from(SPAN / 7) * 60;
        more += flow * given.saturating_sub(seconds) as f64;
        wanted += flow * seconds as f64;
    }
    (100.0 * more / wanted.max(1.0)) as u64
}

/// What is less is better: stations left out, rules broken, days too far apart, nights too long, water above the need,
/// stations not on the days they want, the longest night by half hours, entries.
fn rank(week: &KeyedWeek, wants: &[Want]) -> [u64; 7] {
    let window = week.site.window_minutes() * 60;
    let late = week.keyed.finish_second.saturating_sub(window);
    let mut off = 0;
    for sort in &week.week.sorts {
        for (station, minutes) in sort.stations.iter().zip(&sort.minutes) {
            let want = wants[*station];
            off += u64::from(*minutes != want.week_minutes.div_ceil(want.week_days.max(1)));
        }
    }
    [
        (week.keyed.left.len() + week.week.too_seldom.len()) as u64,
        week.keyed.broken.len() as u64 + u64::from(week.week.over_most),
        u64::from(late),
        excess_percent(week, wants),
        off,
        u64::from(week.keyed.finish_second / 1_800),
        u64::from(week.keyed.entries),
    ]
}

/// The ways in which a window can be brought together with a rule of the place.
fn grounds(draft: &Draft, rule: &Rule) -> Vec<Ground> {
    let start = draft.window_start.to_minute_of_day();
    let before = 1_440 - start;
    let spans = draft.window_minutes > before;
    let any = rule.allowed.is_none() && rule.closed == [false; 7];
    let mut all = vec![Ground {
        draft: draft.clone(),
        rule: Rule {
            past_midnight: spans || any,
            ..*rule
        },
        clip: None,
    }];
    if any {
        return all;
    }
    // Nothing runs on into a date that is not asked about.
    let mut until_midnight = draft.clone();
    until_midnight.window_minutes = draft.window_minutes.min(before);
    for station in &mut until_midnight.stations {
        let until = station.until_minute.unwrap_or(before);
        station.until_minute = Some(until.min(before));
    }
    let own_date = Rule {
        past_midnight: false,
        ..*rule
    };
    let mut evening = Ground {
        draft: until_midnight,
        rule: own_date,
        clip: None,
    };
    if !spans {
        return vec![evening];
    }
    evening.clip = Some(Clip::BeforeMidnight);
    let mut morning = draft.clone();
    morning.window_start = ClockTime::MIDNIGHT;
    morning.window_minutes = draft.window_minutes - before;
    for station in &mut morning.stations {
        station.from_minute = station.from_minute.saturating_sub(before);
        station.until_minute = station
            .until_minute
            .map(|minute| minute.saturating_sub(before));
    }
    all.push(evening);
    all.push(Ground {
        draft: morning,
        rule: own_date,
        clip: Some(Clip::AfterMidnight),
    });
    all
}

/// Plans and keys a week whose days are chosen.
async fn solve(
    ground: &Ground,
    controller: &Controller,
    week: Week,
    from: Date,
    effort: WeekEffort,
    pace: &Pace,
) -> Result<KeyedWeek, Vec<Invalid>> {
    let mut draft = ground.draft.clone();
    for sort in &week.sorts {
        for (station, minutes) in sort.stations.iter().zip(&sort.minutes) {
            draft.stations[*station].run_minutes = (*minutes).clamp(1, DAY_MINUTES);
        }
    }
    let site = Site::check(draft)?;
    let stations = site.stations().len();
    let mut kinds = Kinds::of_week(&week, stations, site.window_start(), from);
    kinds.closed = ground.rule.closed;
    let mut nights = Vec::new();
    let without = (0..stations).filter(|station| kinds.sort[*station] >= week.sorts.len());
    let mut left: Vec<Left> = without
        .map(|station| Left {
            station,
            reason: NotKeyed::NoWaterDay,
        })
        .collect();
    for sort in &week.sorts {
        for (&station, _) in sort
            .stations
            .iter()
            .zip(&sort.minutes)
            .filter(|own| *own.1 > DAY_MINUTES)
        {
            kinds.sort[station] = week.sorts.len();
            left.push(Left {
                station,
                reason: NotKeyed::MoreThanADay,
            });
        }
    }
    for night in 0..kinds.dates.len() {
        let own = (0..stations).filter(|station| kinds.waters(*station, night));
        let own: Vec<usize> = own.collect();
        let night = free_plan(&site, own, effort, kinds.dates.len(), pace).await?;
        for unserved in &night.plan.unserved {
            let station = night.stations[unserved.station];
            if left.iter().all(|known| known.station != station) {
                let of = Left::of(unserved);
                left.push(Left { station, ..of });
            }
        }
        nights.push(night);
    }
    let asked = Asked {
        site: &site,
        controller,
        kinds: &kinds,
        left: &left,
        thrift: Some(Thrift {
            minute_seconds: MINUTE_SECONDS,
            run_seconds: RUN_SECONDS,
            window_seconds: site.window_minutes() * 60,
        }),
        seed: effort.seed,
    };
    let mut keyed = key_kinds(asked, effort.keyed, pace).await;
    if keyed.broken.is_empty() {
        check::weeks(&site, &kinds, &mut keyed, from, &week.night_of);
    }
    Ok(KeyedWeek {
        site,
        week,
        clip: ground.clip,
        nights,
        keyed,
        cut_short: false,
    })
}

/// The plan of one kind of night.
async fn free_plan(
    site: &Site,
    stations: Vec<usize>,
    effort: WeekEffort,
    nights: usize,
    pace: &Pace,
) -> Result<Night, Vec<Invalid>> {
    let mut draft = site.draft().clone();
    let own = stations.iter().map(|at| site.stations()[*at].clone());
    draft.stations = own.collect();
    let waters = |id: &String| draft.stations.iter().any(|station| station.id == *id);
    draft.apart.retain(|pair| pair.iter().all(waters));
    let site = Site::check(draft)?;
    let mut planner = Planner::new(&site, effort.seed);
    let mut done = planner.step(0).work;
    let most = done.saturating_add(effort.free / nights as u64);
    pace.spend(done).await;
    while done < most && !pace.hurries() {
        let progress = planner.step_to(most.min(done + PLAN_SLICE));
        pace.spend(progress.work - done).await;
        if progress.done || progress.work == done {
            break;
        }
        done = progress.work;
    }
    Ok(Night {
        plan: planner.best().clone(),
        bound_second: planner.bound_second(),
        limit: planner.limit(),
        site,
        stations,
    })
}

const _: () = assert!(SPAN <= u32::BITS);
