//! What is on the ground tonight: supplies, groups and stations, checked once.

use crate::calendar::ClockTime;
use crate::invalid::{Invalid, Problem};
use crate::quantity::Flow;

/// Most stations in one night.
pub const MOST_STATIONS: usize = 400;
/// Most supplies of one site.
pub const MOST_SUPPLIES: usize = 32;
/// Most groups of one site.
pub const MOST_GROUPS: usize = 64;
/// Most pairs that must be kept apart.
pub const MOST_APART: usize = 4_000;
/// Most runs in one night, all stations together.
pub const MOST_RUNS: u32 = 10_000;
/// Minutes of a day: no window is longer, no run, no soak.
pub const DAY_MINUTES: u32 = 1_440;
/// Longest pause between two valves of a lane, seconds.
pub const MOST_GAP_SECONDS: u32 = 3_600;

/// A water source: what it carries, and what its pump needs to stay on.
#[derive(Clone, Debug, PartialEq)]
pub struct Supply {
    /// Name, unique among supplies.
    pub id: String,
    /// What it can carry at once; `None` means that nothing limits it.
    pub capacity: Option<Flow>,
    /// The least flow while anything is open on it (pump minimum); zero when it has none.
    pub least: Flow,
}

/// Stations that share lanes: the valves of one controller output, or of one line.
#[derive(Clone, Debug, PartialEq)]
pub struct Group {
    /// Name, unique among groups.
    pub id: String,
    /// How many may be open at once, 1 to 400; `None` means that nothing limits it.
    pub open_at_once: Option<u32>,
    /// How long a run holds its lane after closing, seconds, 0 to 3600. It costs no flow.
    pub gap_seconds: u32,
}

/// A station as entered: one valve and the ground behind it. Supply and group are named.
#[derive(Clone, Debug, PartialEq)]
pub struct Station {
    /// Name, unique among stations.
    pub id: String,
    /// Name of its supply; `None` when it draws on none that is watched.
    pub supply: Option<String>,
    /// Name of its group; `None` when it is in none.
    pub group: Option<String>,
    /// Minutes wanted tonight, 1 to 1440.
    pub run_minutes: u32,
    /// Longest run before water runs off, 1 to 1440; `None` when no run of the day would.
    pub longest_run_minutes: Option<u32>,
    /// Pause between two of its runs, minutes, 0 to 1440.
    pub soak_minutes: u32,
    /// What it draws while open.
    pub flow: Flow,
    /// Its first run does not start before this minute of the window.
    pub from_minute: u32,
    /// Its last run ends by this minute of the window; `None` when only the window counts.
    pub until_minute: Option<u32>,
}

impl Station {
    /// How many runs the minutes are served in: as few as the longest run allows.
    pub fn runs(&self) -> u32 {
        let longest = self.longest_run_minutes.unwrap_or(DAY_MINUTES).max(1);
        self.run_minutes.div_ceil(longest)
    }

    /// Length of each run in minutes: whole, equal but for one minute, longer ones first.
    pub fn split(&self) -> Vec<u32> {
        let count = self.runs().max(1);
        let (base, longer) = (self.run_minutes / count, self.run_minutes % count);
        (0..count)
            .map(|run| base + u32::from(run < longer))
            .collect()
    }
}

/// A night's question as entered. [`Site::check`] makes a [`Site`] of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Draft {
    /// When the window opens.
    pub window_start: ClockTime,
    /// How long the window is, minutes, 1 to 1440. It is a due date: later plans are still given.
    pub window_minutes: u32,
    /// Water sources.
    pub supplies: Vec<Supply>,
    /// Most valves open at once on the whole site, 1 to 400; `None` means no limit.
    pub open_at_once: Option<u32>,
    /// Lane groups.
    pub groups: Vec<Group>,
    /// Pairs of station names that are never open together.
    pub apart: Vec<[String; 2]>,
    /// Stations that are to water tonight.
    pub stations: Vec<Station>,
}

/// A checked night's question: every name is listed once and every number is in its range.
#[derive(Clone, Debug, PartialEq)]
pub struct Site {
    draft: Draft,
    supply_of: Vec<Option<usize>>,
    group_of: Vec<Option<usize>>,
    apart: Vec<[usize; 2]>,
}

impl Site {
    /// Checks what was entered.
    ///
    /// # Errors
    /// Everything that is wrong, each beside its field: a number outside its range, a name used twice or not listed, a
    /// station apart from itself, too many of anything.
    pub fn check(draft: Draft) -> Result<Self, Vec<Invalid>> {
        let mut faults = Vec::new();
        check_sizes(&draft, &mut faults);
        if !faults.is_empty() {
            return Err(faults);
        }
        check_numbers(&draft, &mut faults);
        let supply_ids: Vec<&str> = draft.supplies.iter().map(|s| s.id.as_str()).collect();
        let group_ids: Vec<&str> = draft.groups.iter().map(|g| g.id.as_str()).collect();
        let station_ids: Vec<&str> = draft.stations.iter().map(|s| s.id.as_str()).collect();
        check_names("supplies", &supply_ids, &mut faults);
        check_names("groups", &group_ids, &mut faults);
        check_names("stations", &station_ids, &mut faults);

        let mut supply_of = Vec::with_capacity(draft.stations.len());
        let mut group_of = Vec::with_capacity(draft.stations.len());
        for (at, station) in draft.stations.iter().enumerate() {
            let mut place = |ids: &[&str], name: &Option<String>, field: &str| {
                let name = name.as_ref()?;
                let found = ids.iter().position(|id| id == name);
                if found.is_none() {
                    let field = format!("stations[{at}].{field}");
                    faults.push(Invalid::new(field, Problem::Unlisted(name.clone())));
                }
                found
            };
            supply_of.push(place(&supply_ids, &station.supply, "supply"));
            group_of.push(place(&group_ids, &station.group, "group"));
        }
        let apart = check_apart(&draft.apart, &station_ids, &mut faults);
        if faults.is_empty() {
            Ok(Self {
                draft,
                supply_of,
                group_of,
                apart,
            })
        } else {
            Err(faults)
        }
    }

    /// When the window opens.
    pub fn window_start(&self) -> ClockTime {
        self.draft.window_start
    }

    /// How long the window is, minutes.
    pub fn window_minutes(&self) -> u32 {
        self.draft.window_minutes
    }

    /// Water sources.
    pub fn supplies(&self) -> &[Supply] {
        &self.draft.supplies
    }

    /// Lane groups.
    pub fn groups(&self) -> &[Group] {
        &self.draft.groups
    }

    /// Stations, in the order entered.
    pub fn stations(&self) -> &[Station] {
        &self.draft.stations
    }

    /// Most valves open at once on the whole site.
    pub fn open_at_once(&self) -> Option<u32> {
        self.draft.open_at_once
    }

    /// Place in [`Site::supplies`] of the supply that a station draws on.
    pub fn supply_of(&self, station: usize) -> Option<usize> {
        self.supply_of.get(station).copied().flatten()
    }

    /// Place in [`Site::groups`] of the group that a station is in.
    pub fn group_of(&self, station: usize) -> Option<usize> {
        self.group_of.get(station).copied().flatten()
    }

    /// Pairs of places in [`Site::stations`] that are never open together.
    pub fn apart(&self) -> &[[usize; 2]] {
        &self.apart
    }

    /// What was entered, to change and check again.
    pub fn draft(&self) -> &Draft {
        &self.draft
    }
}

fn check_sizes(draft: &Draft, faults: &mut Vec<Invalid>) {
    let too_many = [
        (
            "supplies",
            draft.supplies.len() > MOST_SUPPLIES,
            "at most 32 supplies",
        ),
        (
            "groups",
            draft.groups.len() > MOST_GROUPS,
            "at most 64 groups",
        ),
        (
            "apart",
            draft.apart.len() > MOST_APART,
            "at most 4000 pairs",
        ),
        (
            "stations",
            draft.stations.len() > MOST_STATIONS,
            "at most 400 stations in one night",
        ),
    ];
    for (field, too_many, sentence) in too_many {
        if too_many {
            faults.push(Invalid::new(field, Problem::Other(sentence)));
        }
    }
    let runs = draft.stations.iter().map(|s| u64::from(s.runs()));
    if runs.sum::<u64>() > u64::from(MOST_RUNS) {
        let sentence = "at most 10000 runs in one night, all stations together";
        faults.push(Invalid::new("stations", Problem::Other(sentence)));
    }
}

fn check_numbers(draft: &Draft, faults: &mut Vec<Invalid>) {
    let mut range = |field: String, value: u32, least: u32, most: u32| {
        if value < least || value > most {
            let (least, most) = (f64::from(least), f64::from(most));
            faults.push(Invalid::new(field, Problem::OutOfRange { least, most }));
        }
    };
    let most_open = MOST_STATIONS as u32;
    range(
        "window_minutes".into(),
        draft.window_minutes,
        1,
        DAY_MINUTES,
    );
    if let Some(open) = draft.open_at_once {
        range("open_at_once".into(), open, 1, most_open);
    }
    for (at, group) in draft.groups.iter().enumerate() {
        if let Some(open) = group.open_at_once {
            range(format!("groups[{at}].open_at_once"), open, 1, most_open);
        }
        let field = format!("groups[{at}].gap_seconds");
        range(field, group.gap_seconds, 0, MOST_GAP_SECONDS);
    }
    for (at, station) in draft.stations.iter().enumerate() {
        let field = |name: &str| format!("stations[{at}].{name}");
        range(field("run_minutes"), station.run_minutes, 1, DAY_MINUTES);
        if let Some(longest) = station.longest_run_minutes {
            range(field("longest_run_minutes"), longest, 1, DAY_MINUTES);
        }
        range(field("soak_minutes"), station.soak_minutes, 0, DAY_MINUTES);
        range(field("from_minute"), station.from_minute, 0, DAY_MINUTES);
        if let Some(until) = station.until_minute {
            range(field("until_minute"), until, 0, DAY_MINUTES);
        }
    }
    for (at, supply) in draft.supplies.iter().enumerate() {
        if supply
            .capacity
            .is_some_and(|capacity| supply.least > capacity)
        {
            let field = format!("supplies[{at}].least_l_per_min");
            let sentence = "must not be above the capacity of the supply";
            faults.push(Invalid::new(field, Problem::Other(sentence)));
        }
    }
}

fn check_names(list: &str, ids: &[&str], faults: &mut Vec<Invalid>) {
    // A few hundred names at most (longer lists are refused): each is compared with those before it.
    for (at, id) in ids.iter().enumerate().take(2 * MOST_STATIONS) {
        if ids[..at].contains(id) {
            let field = format!("{list}[{at}].id");
            faults.push(Invalid::new(field, Problem::Repeated((*id).into())));
        }
    }
}

fn check_apart(pairs: &[[String; 2]], ids: &[&str], faults: &mut Vec<Invalid>) -> Vec<[usize; 2]> {
    let mut apart = Vec::with_capacity(pairs.len());
    for (at, pair) in pairs.iter().enumerate() {
        let found = pair.each_ref().map(|name| {
            let found = ids.iter().position(|id| id == name);
            if found.is_none() {
                let field = format!("apart[{at}]");
                faults.push(Invalid::new(field, Problem::Unlisted(name.clone())));
            }
            found
        });
        if let [Some(one), Some(other)] = found {
            if one == other {
                let sentence = "must name two different stations";
                faults.push(Invalid::new(
                    format!("apart[{at}]"),
                    Problem::Other(sentence),
                ));
            } else {
                apart.push([one, other]);
            }
        }
    }
    apart
}
