//! The night of the open site: from the document to requests of the JSON door, and from its answers
//! to what is shown. No browser here.
//!
//! Where a night begins and ends: seconds count from the opening of the window.

pub mod now;
pub mod replayed;
pub mod said;

use std::cell::RefCell;

use drycurb_core::calendar::Date;
use drycurb_core::quantity::{Latitude, Longitude};
use drycurb_core::sky::{SunDay, UtcOffset, sun};
use serde_json::Value;

use crate::climate::table;
use crate::document::json::items;
use crate::document::present::{Present, Program};
use crate::document::site::WaterDays;
use crate::document::{Climate, Document, Draft, Kept, Named, Site};
use crate::field::Field;
use crate::json::{parse, print};
use crate::numbers;
use crate::rules::closed_minutes;
use crate::station::{
    Outcome, Season, flow_l_per_min, number, number_or_default, own_et, work_out,
};
use crate::units::System;

/// The weekdays' words at the JSON door, Monday first.
pub const WEEKDAYS: [&str; 7] = ["mon", "tue", "wed", "thu", "fri", "sat", "sun"];

/// What the place shows beyond the document. Of one site only.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct State {
    /// The site it belongs to.
    pub site: u32,
    /// What is keyed now is shown, and not the plan.
    pub now: bool,
    /// What the worker is asked, and whether it is to end with the best so far.
    pub working: Option<(Asked, bool)>,
    /// It was stopped before it had anything whole.
    pub stopped: bool,
    /// The worker gave no answer to what was asked.
    pub failed: Option<Asked>,
    /// The plan.
    pub plan: Option<Plan>,
    /// How many plans have come.
    pub plans: u32,
    /// Which kind of night is shown.
    pub kind: usize,
    /// How wide the picture is: so many times the page.
    pub zoom: usize,
    /// The run that was tapped.
    pub run: Option<usize>,
    /// The first date of the replay; that of the plan when blank.
    pub from: String,
    /// How many nights it goes on; 0 for [`NIGHTS`].
    pub nights: u32,
    /// The date on which the clock is changed; blank for none.
    pub clock_date: String,
    /// At which hour the clock changes on that date: forward, or back where it is negative; 0 for no
    /// change.
    pub clock_hour: i32,
    /// What the replay was asked and gave.
    pub replay: Option<(String, Value)>,
    /// What was keyed when it was asked about, what was asked, and the answer.
    pub keyed: Option<(Present, String, Value)>,
    /// Which program's minutes are open.
    pub program: u32,
    /// The program that was removed last, and where it stood.
    pub dropped: Option<(usize, Program)>,
    /// The station whose minutes are to be typed next.
    pub next: u32,
    /// What takes the focus, and a number that is new each time.
    pub focus: (Focus, u32),
}

/// How many nights a replay takes by itself.
pub const NIGHTS: u32 = 14;

impl State {
    /// How many nights the replay takes.
    pub fn nights(&self) -> u32 {
        match self.nights {
            0 => NIGHTS,
            nights => nights.min(365),
        }
    }

    /// What is drawn next has the focus.
    pub fn focus(&mut self, on: Focus) {
        self.focus = (on, self.focus.1 + 1);
    }
}

/// What can take the focus by itself.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Focus {
    /// Nothing.
    #[default]
    None,
    /// The minutes of the next station.
    Minutes,
    /// The start times of the open program.
    Starts,
    /// The head of an answer.
    Answer(Asked),
}

/// What the worker can be asked here.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Asked {
    /// A plan and its programs.
    Plan,
    /// What the programs do on dates.
    Replay,
    /// What the present programs do.
    Keyed,
    /// What would help the night.
    Help,
}

/// A plan as it came from the worker.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// What was asked, to look things up; after a reload what would be asked now.
    pub request: Value,
    /// The answer of the JSON door to `week`, as it is kept.
    pub answer: Value,
}

/// What can be planned, and what is left out.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Wanted {
    /// For the worker; `None` while hours or a supply are not given, or nothing is left to plan.
    pub request: Option<String>,
    /// Stations whose soil, slope or rate are missing or wrong.
    pub no_facts: Vec<u32>,
    /// Stations whose flow is missing.
    pub no_flow: Vec<u32>,
    /// Stations whose water runs off however short their runs are.
    pub too_fast: Vec<u32>,
    /// Stations that need no water now.
    pub idle: Vec<u32>,
    /// Supplies that are wanted and whose capacity is missing.
    pub no_capacity: Vec<u32>,
    /// The hours of the night are not understood.
    pub no_window: bool,
    /// The rules leave no day to water on.
    pub no_day: bool,
    /// The closed hours leave nothing of the night.
    pub all_closed: bool,
    /// Closed hours cut the night: the part that is planned, from and until, minutes of the day.
    pub cut: Option<(u32, u32)>,
    /// Stations whose own hours leave nothing of the night.
    pub outside: Vec<u32>,
}

/// The part of a night that is planned.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Part {
    /// Minute of the day at which it opens.
    pub opens: u32,
    /// How long it is, minutes.
    pub minutes: u32,
    /// Minutes from its opening to closed hours, where there are such; nothing may run on into them.
    pub until: Option<u32>,
}

/// The longest open part of a site's night; the earlier one of two alike. `None` when the hours are
/// not understood, `Some(None)` when all is closed.
pub fn open_part(site: &Site) -> Option<Option<Part>> {
    let (opens, minutes) = window(site)?;
    let closed = closed_minutes(site).filter(|(from, until)| from != until);
    let Some((from, until)) = closed else {
        return Some(Some(Part {
            opens,
            minutes,
            until: None,
        }));
    };
    let day = |minute: u32| (minute + 1440 - opens % 1440) % 1440;
    let (closes, long) = (day(from), (until + 1440 - from) % 1440);
    // Closed since before the night, until its first hour; then open until it closes again.
    let first = (closes + long).saturating_sub(1440);
    let parts = [(first, closes), (closes + long, closes + 1440)];
    let mut best: Option<Part> = None;
    for (start, end) in parts {
        let long = minutes.min(end).saturating_sub(start);
        if long > best.map_or(0, |part| part.minutes) {
            best = Some(Part {
                opens: (opens + start) % 1440,
                minutes: long,
                until: Some((end - start).min(1440)),
            });
        }
    }
    Some(best)
}

/// Which of two times is wrong: both are none, or two different times of day.
pub fn hours_wrong(hours: &(String, String)) -> [bool; 2] {
    if hours.0.trim().is_empty() && hours.1.trim().is_empty() {
        return [false; 2];
    }
    let (from, until) = (typed_minute(&hours.0), typed_minute(&hours.1));
    [from.is_none(), until.is_none() || from == until]
}

/// A typed time of day in minutes; none where nothing is typed.
#[inline(never)]
pub fn typed_minute(text: &str) -> Option<u32> {
    clock_minute(text).filter(|_| !text.trim().is_empty())
}

/// A station's own hours within a part: from and until in minutes of it; `None` when nothing is left.
pub fn own_hours(kept: &Kept, part: Part) -> Option<(u32, Option<u32>)> {
    let own = typed_minute(&kept.hours.0).zip(typed_minute(&kept.hours.1));
    let Some((from, until)) = own.filter(|(from, until)| from != until) else {
        return Some((0, part.until));
    };
    let day = |minute: u32| (minute + 1440 - part.opens) % 1440;
    let (mut from, mut until) = (day(from), day(until));
    if until == 0 {
        until = 1440;
    }
    if from >= until {
        // They began before the night.
        from = 0;
    }
    let until = until.min(part.until.unwrap_or(1440));
    (from < until.min(part.minutes)).then_some((from, Some(until)))
}

/// Pairs of stations of the open site that must not be open together.
fn apart(document: &Document, planned: &[u32]) -> String {
    let mut pairs = String::new();
    for kept in document.stations() {
        for other in &kept.apart {
            if *other != kept.id && planned.contains(other) && planned.contains(&kept.id) {
                pairs.push_str(&json_with(
                    r#"@["@","@"]"#,
                    &[comma(&pairs), &digits(kept.id), &digits(*other)],
                ));
            }
        }
    }
    pairs
}

/// Closed hours that touch a night: from and until, in seconds from its opening.
pub fn closed_spans(site: &Site, plan: &Plan, runs: &[Run]) -> Vec<(u32, u32)> {
    let closed = closed_minutes(site).filter(|(from, until)| from != until);
    let Some((from, until)) = closed else {
        return Vec::new();
    };
    let opens = said::opens_minute(plan);
    let last = end_of(runs).max(60 * whole(&plan.answer["window_minutes"]));
    let start = 60 * ((from + 1440 - opens) % 1440);
    let end = start + 60 * ((until + 1440 - from) % 1440);
    let spans = [(0, end.saturating_sub(86_400)), (start, end)];
    let touch = spans
        .into_iter()
        .filter(|(from, until)| from < until && *from <= last);
    touch.collect()
}

/// Reads a time of day: `22:15`, `22.15`, `22h15`, `2215`, `22`, `10:15 pm`; `None` for anything
/// else. Blank is ten in the evening.
pub fn clock_minute(text: &str) -> Option<u32> {
    let plain: String = text.chars().filter(|c| !c.is_whitespace()).collect();
    let plain = plain.to_ascii_lowercase();
    if plain.is_empty() || !plain.is_ascii() {
        return plain.is_empty().then_some(22 * 60);
    }
    let (time, half) = plain.split_at(plain.find(['a', 'p']).unwrap_or(plain.len()));
    let noon = match half {
        "" => None,
        "a" | "am" | "a.m." => Some(0),
        "p" | "pm" | "p.m." => Some(12),
        _ => return None,
    };
    let (hours, minutes) = match time.split_once([':', '.', 'h']) {
        Some((hours, "")) if time.ends_with('h') => (hours, "0"),
        Some(parts) => parts,
        // `2200` is as good as `22:00`: it saves a change of keyboards.
        None if time.len() > 2 => time.split_at(time.len() - 2),
        None => (time, "0"),
    };
    let part = |digits: &str, least: u32, most: u32| {
        let short = (1..=2).contains(&digits.len()) && digits.bytes().all(|b| b.is_ascii_digit());
        short
            .then(|| digits.bytes().fold(0, |n, b| 10 * n + u32::from(b - b'0')))
            .filter(|n| (least..=most).contains(n))
    };
    let hours = match noon {
        None => part(hours, 0, 23)?,
        Some(noon) => part(hours, 1, 12)? % 12 + noon,
    };
    Some(hours * 60 + part(minutes, 0, 59)?)
}

/// A minute of the day for reading: with AM and PM where gallons are the units.
pub fn clock_in(units: System, minute: u32) -> String {
    let text = clock(minute);
    if units == System::Si {
        return text;
    }
    let hour = minute / 60 % 24;
    let half = if hour < 12 { "AM" } else { "PM" };
    let hour = digits((hour + 11) % 12 + 1);
    [&hour, &text[2..], "\u{a0}", half].concat()
}

/// A minute of the day as a clock shows it.
pub fn clock(minute: u32) -> String {
    let minute = minute % 1440;
    format!("{:02}:{:02}", minute / 60, minute % 60)
}

/// A whole number in digits. (Kept out of line: it is wanted everywhere.)
#[inline(never)]
pub fn digits(number: u32) -> String {
    number.to_string()
}

/// A number as JSON; `null` for none.
pub fn json_number(number: Option<f64>) -> String {
    number.map_or_else(|| "null".into(), |number| numbers::write(number, 9, false))
}

/// JSON text of a template: every `@` stands for the next value as it is. Values are numbers, words
/// of the JSON door or such text again, so nothing needs to be made harmless. (Building values one
/// by one weighed three times as much.)
pub fn json_with(template: &str, values: &[&str]) -> String {
    let mut out = String::new();
    let mut parts = template.split('@');
    out.push_str(parts.next().unwrap_or_default());
    for (part, value) in parts.zip(values) {
        out.push_str(value);
        out.push_str(part);
    }
    out
}

/// A whole number of an answer; 0 where there is none.
pub fn whole(value: &Value) -> u32 {
    value.as_f64().map_or(0, |number| number.max(0.0) as u32)
}

/// The number of a station or supply from its name at the JSON door.
pub fn id_of(value: &Value) -> u32 {
    let digits = value.as_str().unwrap_or_default().bytes();
    digits.fold(0, |n: u32, digit| {
        n.wrapping_mul(10)
            .wrapping_add(u32::from(digit.wrapping_sub(b'0')))
    })
}

/// A station's number, the season, its facts, and what they gave.
type Known = (u32, Season, Draft, Option<Outcome>);

thread_local! {
    /// What the stations' facts gave last: the chain takes too long for two hundred a keystroke.
    static WORKED: RefCell<Vec<Known>> = const { RefCell::new(Vec::new()) };
}

/// What a station's facts give; `None` while they lack something.
pub fn worked(id: u32, facts: &Draft, season: &Season) -> Option<Outcome> {
    WORKED.with_borrow_mut(|known| {
        let place = known.iter().position(|entry| entry.0 == id);
        if let Some(place) = place {
            let (_, of_season, of, outcome) = &known[place];
            if of_season == season && of == facts {
                return outcome.clone();
            }
            known.swap_remove(place);
        }
        let outcome = work_out(facts, season).ok();
        known.push((id, *season, facts.clone(), outcome.clone()));
        outcome
    })
}

/// When the window of a site's nights opens, and how long it is, both in minutes.
pub fn window(site: &Site) -> Option<(u32, u32)> {
    let hours = number_or_default(&site.facts, Field::WindowHours)?;
    let opens = clock_minute(&site.facts.window_from)?;
    Some((opens, (hours * 60.0).round() as u32))
}

/// A number of some facts as JSON, its default where nothing was typed; `null` for none.
pub fn json_field(facts: &Draft, field: Field) -> String {
    json_number(number_or_default(facts, field))
}

/// Weekdays of a set, Monday in the lowest bit, as a JSON list.
pub fn json_weekdays(set: u32) -> String {
    let mut out = String::from("[");
    for (day, word) in WEEKDAYS.iter().enumerate() {
        if set >> day & 1 == 1 {
            if out.len() > 1 {
                out.push(',');
            }
            out.push('"');
            out.push_str(word);
            out.push('"');
        }
    }
    out.push(']');
    out
}

/// The rule of the place by dates; null where there is none.
fn allowed_days(site: &Site, today: &str) -> String {
    match site.days {
        WaterDays::Weekdays => "null".into(),
        // As a panel that is keyed so counts them, the 31st too: what is planned is what runs.
        WaterDays::Odd => r#"{"odd":true}"#.into(),
        WaterDays::Even => r#"{"even":true}"#.into(),
        WaterDays::Every => {
            let days = json_field(&site.facts, Field::EveryDays);
            json_with(r#"{"every":@,"from":"@"}"#, &[&days, today])
        }
    }
}

/// The first date of a plan for a month: today, or the month's first day when it is another month.
pub fn first_date(today: &str, month: u32) -> String {
    let of_today = Date::parse(today).map_or(Date::EPOCH, |date| date);
    let (year, now, _) = of_today.year_month_day();
    if now == month {
        return today.into();
    }
    let year = if month < now { year + 1 } else { year };
    format!("{year}-{month:02}-01")
}

/// The request for the week of the open site. `today` is a date, `2026-06-01`.
pub fn wanted(document: &Document, month: u32, today: &str) -> Wanted {
    let site = document.site();
    let mut wanted = Wanted::default();
    let mut stations = String::new();
    let mut supplies: Vec<u32> = Vec::new();
    let mut planned: Vec<u32> = Vec::new();
    let part = open_part(site);
    wanted.no_window = part.is_none();
    wanted.all_closed = part == Some(None);
    let part = part.flatten();
    let season = document.season(month);
    for kept in document.stations() {
        let facts = document.ruled_facts_of(kept);
        let Some(outcome) = worked(kept.id, &facts, &season) else {
            wanted.no_facts.push(kept.id);
            continue;
        };
        if outcome.answer.too_fast {
            wanted.too_fast.push(kept.id);
        }
        let Some(flow) = flow_l_per_min(&facts) else {
            wanted.no_flow.push(kept.id);
            continue;
        };
        let (split, days) = (outcome.answer.split, outcome.answer.days);
        if split.runs == 0 || days == 0 {
            wanted.idle.push(kept.id);
            continue;
        }
        let supply = site.supply(kept.supply).id;
        if !supplies.contains(&supply) {
            supplies.push(supply);
        }
        // While the night itself is not known, nobody is left out for it.
        let own = part.map_or(Some((0, None)), |part| own_hours(kept, part));
        let Some((from, until)) = own else {
            wanted.outside.push(kept.id);
            continue;
        };
        planned.push(kept.id);
        // What needs no rest may run on; then the ground's own limit, if any, is all there is.
        let longest = match split.soak_minutes {
            0 => {
                let longest = outcome.answer.longest_run_minutes;
                longest.map(|longest| longest.max(split.run_minutes))
            }
            _ => Some(split.run_minutes),
        };
        let interval = outcome.longest_interval_days.clamp(1.0, 28.0) as u32;
        stations.push_str(&json_with(
            r#"@{"id":"@","supply":"@","flow_l_per_min":@,"run_minutes":@,"longest_run_minutes":@,"soak_minutes":@,"days_a_week":@,"longest_interval_days":@,"from_minute":@,"until_minute":@}"#,
            &[
                comma(&stations),
                &digits(kept.id),
                &digits(supply),
                &json_number(Some(flow)),
                &digits(split.runs * split.run_minutes),
                &longest.map_or_else(|| "null".into(), digits),
                &digits(split.soak_minutes),
                &digits(days),
                &digits(interval),
                &digits(from),
                &json_number(until.map(f64::from)),
            ],
        ));
    }
    let mut carried = String::new();
    for id in supplies {
        let facts = &site.supply(id).facts;
        let capacity = json_field(facts, Field::Capacity);
        if capacity == "null" {
            wanted.no_capacity.push(id);
        }
        carried.push_str(&json_with(
            r#"@{"id":"@","capacity_l_per_min":@,"least_l_per_min":@}"#,
            &[
                comma(&carried),
                &digits(id),
                &capacity,
                &json_field(facts, Field::LeastFlow),
            ],
        ));
    }
    let open = u32::from(site.weekdays) & 127;
    wanted.no_day = open == 0;
    let Some(part) = part else {
        return wanted;
    };
    let until = part.opens + part.minutes;
    let whole_night = window(site) == Some((part.opens, part.minutes));
    wanted.cut = (!whole_night).then_some((part.opens, until));
    if stations.is_empty() || !wanted.no_capacity.is_empty() || wanted.no_day {
        return wanted;
    }
    let first = first_date(today, site.facts.month.unwrap_or(month));
    let field = |field| json_field(&site.facts, field);
    let least = number_or_default(&site.facts, Field::ShortestStep).map(|minutes| 60.0 * minutes);
    let controller = json_with(
        r#"{"programs":@,"starts":@,"shortest_step_seconds":@,"soak_style":"@","sharing":@,"gap_seconds":@,"valves_at_once":@,"station_order":@}"#,
        &[
            &field(Field::PanelPrograms),
            &field(Field::ProgramStarts),
            &json_number(least),
            site.soak_style.name(),
            if site.sharing { "true" } else { "false" },
            &field(Field::GapSeconds),
            &field(Field::AtOnce),
            if site.free_steps { "false" } else { "true" },
        ],
    );
    wanted.request = Some(json_with(
        r#"{"ask":"week","from":"@","effort":@,"free_effort":5000000,"window_start":"@","window_minutes":@,"supplies":[@],"open_at_once":@,"apart":[@],"stations":[@],"controller":@,"allowed_days":@,"closed_weekdays":@,"most_minutes_a_day":@}"#,
        &[
            &first,
            // A second or two on a phone; a campus takes longer, and can be stopped.
            &digits(4_000_000 + 400_000 * planned.len() as u32),
            &clock(part.opens),
            &digits(part.minutes),
            &carried,
            &field(Field::AtOnce),
            &apart(document, &planned),
            &stations,
            &controller,
            &allowed_days(site, &first),
            &json_weekdays(127 ^ open),
            &field(Field::DayMinutes),
        ],
    ));
    wanted
}

/// What stands between the items of a list.
pub fn comma(list: &str) -> &'static str {
    if list.is_empty() { "" } else { "," }
}

/// The kind of night that ends last.
pub fn longest(answer: &Value) -> usize {
    let (mut longest, mut last) = (0, 0);
    for kind in 0..items(&answer["nights"]).len() {
        let end = end_of(&night_runs(answer, kind));
        if end > last {
            (longest, last) = (kind, end);
        }
    }
    longest
}

/// The request that asks what would help a kind of night most.
pub fn help(plan: &Plan, kind: usize) -> String {
    let night = &plan.answer["nights"][kind];
    let (mut stations, mut pairs) = (String::new(), String::new());
    let mut most_days = 1;
    // Where the night was cut to begin at midnight, stations' own hours count from there.
    let asked_from = clock_minute(plan.request["window_start"].as_str().unwrap_or_default());
    let later = (1440 + said::opens_minute(plan) - asked_from.unwrap_or(0)) % 1440;
    let mut own_night: Vec<u32> = Vec::new();
    for sort in items(&night["sorts"]) {
        let sort = &plan.answer["sorts"][whole(sort) as usize];
        let days = match items(&sort["days"]["weekdays"]).len() {
            0 => 7 / whole(&sort["days"]["every"]).max(2),
            days => days as u32,
        };
        most_days = most_days.max(days);
        for station in items(&sort["stations"]) {
            let id = id_of(&station["station"]);
            let asked = asked_of(&plan.request["stations"], id);
            let mut own = print(asked);
            own.pop();
            own_night.push(id);
            let until = asked["until_minute"].as_f64();
            let until = until.map(|until| (until - f64::from(later)).max(0.0));
            // The last of two alike names counts.
            stations.push_str(&json_with(
                r#"@@,"run_minutes":@,"from_minute":@,"until_minute":@}"#,
                &[
                    comma(&stations),
                    &own,
                    &digits(whole(&station["run_minutes"])),
                    &digits(whole(&asked["from_minute"]).saturating_sub(later)),
                    &json_number(until),
                ],
            ));
        }
    }
    for pair in items(&plan.request["apart"]) {
        if items(pair).iter().all(|id| own_night.contains(&id_of(id))) {
            pairs.push_str(&json_with("@@", &[comma(&pairs), &print(pair)]));
        }
    }
    json_with(
        r#"{"ask":"night","suggest":true,"effort":2000000,"apart":[@],"days_a_week":@,"window_start":@,"window_minutes":@,"supplies":@,"open_at_once":@,"stations":[@]}"#,
        &[
            &pairs,
            &digits(most_days),
            &print(&plan.answer["window_start"]),
            &print(&plan.answer["window_minutes"]),
            &print(&plan.request["supplies"]),
            &print(&plan.request["open_at_once"]),
            &stations,
        ],
    )
}

/// Whether an answer leaves nobody out for want of a longer search.
pub fn is_whole(answer: &Value) -> bool {
    let searched = |left: &Value| {
        let reason = left["reason"].as_str().unwrap_or_default();
        matches!(reason, "no_start" | "no_program")
    };
    answer["verified"].as_bool() == Some(true) && !items(&answer["unkeyed"]).iter().any(searched)
}

/// The answer to a request as it is kept in the document: of its nights what is shown of them.
/// `season` is the month that it is for, the reference evapotranspiration where there is one, and
/// whether that is the site's own figure.
pub fn to_keep(request: &Value, answer: &Value, season: (u32, Option<f64>, bool)) -> Value {
    let mut kept = answer.clone();
    let minutes = items(&answer["day_minutes"]).iter().map(whole);
    kept["busiest_minutes"] = minutes.max().unwrap_or(0).into();
    for name in ["runs", "day_minutes", "assumed"] {
        kept[name] = Value::Null;
    }
    kept["from"] = request["from"].clone();
    kept["month"] = season.0.into();
    kept["et_mm_per_day"] = season.1.map_or(Value::Null, Value::from);
    kept["own_et"] = season.2.into();
    for kind in 0..items(&answer["nights"]).len() {
        let runs = compact(&night_runs(answer, kind));
        let night = &mut kept["nights"][kind];
        night["stations"] = Value::Null;
        for name in ["runs", "supplies", "unserved"] {
            night["plan"][name] = Value::Null;
        }
        night["keyed"] = Value::Null;
        night["keyed"]["runs"] = runs.into();
    }
    kept
}

/// Runs in a short text: of each its station, its seconds since the start of the one before, and its
/// length.
fn compact(runs: &[Run]) -> String {
    let mut out = String::new();
    let mut before = 0;
    for run in runs {
        for number in [run.station, run.start.wrapping_sub(before), run.seconds] {
            out.push_str(&digits(number));
            out.push(' ');
        }
        before = run.start;
    }
    out
}

/// Reads what [`compact`] wrote.
fn from_compact(text: &str) -> Vec<Run> {
    let numbers = text
        .split_whitespace()
        .map(|word| word.parse().unwrap_or(0));
    let numbers: Vec<u32> = numbers.collect();
    let mut before = 0_u32;
    let runs = numbers.chunks_exact(3).map(|run| {
        before = before.wrapping_add(run[1]);
        Run {
            station: run[0],
            start: before,
            seconds: run[2],
        }
    });
    runs.collect()
}

/// A short mark of a request, by which another one is told from it: FNV-1a of its text. The date it
/// begins on does not count: tomorrow the same is asked from tomorrow. Nor do the stations' numbers, only
/// which is which: another phone gives them others.
pub fn mark(request: &str) -> u32 {
    let date = request
        .split_once("\"from\":\"")
        .map(|(_, rest)| rest.get(..10));
    let date = date.flatten().unwrap_or("\0");
    // Before these stand no stations.
    let of_stations = request.find("\"apart\"").unwrap_or(0);
    let (before, stations) = request.split_at(of_stations);
    let mut mark = 0x811c_9dc5;
    let mut mix = |text: &str| {
        for byte in text.split(date).flat_map(str::bytes) {
            mark = (mark ^ u32::from(byte)).wrapping_mul(0x0100_0193_u32);
        }
    };
    mix(before);
    let (mut seen, mut behind) = (Vec::new(), "");
    for part in stations.split('"') {
        let is_number = !part.is_empty() && part.bytes().all(|byte| byte.is_ascii_digit());
        if is_number && behind != "supply" {
            if !seen.contains(&part) {
                seen.push(part);
            }
            let place = seen.iter().position(|one| *one == part);
            mix(&digits(place.unwrap_or(0) as u32));
        } else {
            mix(part);
        }
        if !part.starts_with(':') {
            behind = part;
        }
    }
    mark
}

/// Whether what is kept as planned was planned for something else than what stands there now.
pub fn is_old(document: &Document, wanted: &Wanted) -> bool {
    let of = document.site().planned.of;
    of.is_some() && of != wanted.request.as_deref().map(mark)
}

/// The kept plan with its nights, as far as they are kept.
pub fn kept_plan(document: &Document, month: u32, today: &str) -> Option<Plan> {
    let answer = &document.site().planned.answer;
    items(&answer["nights"]).first()?;
    let request = wanted(document, month, today).request;
    Some(Plan {
        request: request.and_then(|text| parse(&text)).unwrap_or_default(),
        answer: answer.clone(),
    })
}

/// The month the open site's minutes are for, and the reference evapotranspiration where all of its
/// stations have the same; and whether that is the site's own figure.
pub fn season(document: &Document, month: u32) -> (u32, Option<f64>, bool) {
    let season = document.season(month);
    let (mut et, mut own) = (None, false);
    for kept in document.stations() {
        let facts = document.ruled_facts_of(kept);
        let Some(outcome) = worked(kept.id, &facts, &season) else {
            continue;
        };
        own = own_et(&facts, &season).is_some();
        if et.is_some_and(|et| et != outcome.et_mm_per_day) {
            et = None;
            break;
        }
        et = Some(outcome.et_mm_per_day);
    }
    (document.site().facts.month.unwrap_or(month), et, own)
}

/// From which date on programs are looked at: the plan's first, unless that is past.
pub fn looked_from(document: &Document, month: u32, today: &str) -> String {
    let site = document.site();
    match site.planned.answer["from"].as_str() {
        Some(from) if from > today => from.into(),
        Some(_) => today.into(),
        None => first_date(today, site.facts.month.unwrap_or(month)),
    }
}

/// One run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Run {
    /// The station's number.
    pub station: u32,
    /// Seconds from the window's opening.
    pub start: u32,
    /// Its length, seconds.
    pub seconds: u32,
}

impl Run {
    /// The second at which it closes.
    pub fn end(self) -> u32 {
        self.start + self.seconds
    }
}

/// Reads the runs of an answer, or of a kept one.
pub fn runs(list: &Value) -> Vec<Run> {
    if let Some(text) = list.as_str() {
        return from_compact(text);
    }
    let runs = items(list).iter().map(|run| Run {
        station: id_of(&run["station"]),
        start: whole(&run["start_second"]),
        seconds: whole(&run["seconds"]),
    });
    runs.collect()
}

/// What a kind of night opens: its programs' runs, or those of the free plan where nothing can be
/// keyed.
pub fn night_runs(answer: &Value, kind: usize) -> Vec<Run> {
    let night = &answer["nights"][kind];
    let keyed = runs(&night["keyed"]["runs"]);
    let free = runs(&night["plan"]["runs"]);
    if keyed.is_empty() || answer["verified"] == false && !free.is_empty() {
        free
    } else {
        keyed
    }
}

/// When the last of some runs closes.
pub fn end_of(runs: &[Run]) -> u32 {
    runs.iter().fold(0, |end, run| end.max(run.end()))
}

/// The stations of some runs, each once, in the site's order: that is how they are looked for. What
/// is not of the site any more comes last.
pub fn stations(document: &Document, runs: &[Run]) -> Vec<u32> {
    let mut stations = Vec::new();
    let runs = || runs.iter().map(|run| run.station);
    let listed = document.stations().map(|kept| kept.id);
    for id in listed
        .filter(|id| runs().any(|run| run == *id))
        .chain(runs())
    {
        if !stations.contains(&id) {
            stations.push(id);
        }
    }
    stations
}

/// A station or supply of a request.
pub fn asked_of(list: &Value, id: u32) -> &Value {
    let found = items(list).iter().find(|entry| id_of(&entry["id"]) == id);
    found.unwrap_or(&Value::Null)
}

/// Flow open on a supply, from each second on: the seconds ascend, the last flow is 0.
pub fn flows(request: &Value, runs: &[Run], supply: u32) -> Vec<(u32, f64)> {
    let mut changes: Vec<(u32, f64)> = Vec::new();
    for run in runs {
        let station = asked_of(&request["stations"], run.station);
        if id_of(&station["supply"]) == supply {
            let flow = station["flow_l_per_min"].as_f64().unwrap_or(0.0);
            changes.push((run.start, flow));
            changes.push((run.end(), -flow));
        }
    }
    let mut seconds: Vec<u64> = changes
        .iter()
        .map(|(second, _)| u64::from(*second))
        .collect();
    seconds.sort_unstable();
    seconds.dedup();
    let open_at = |second: u32| {
        let until = changes.iter().filter(|(at, _)| *at <= second);
        let flow: f64 = until.map(|(_, flow)| flow).sum();
        // What a sum of differences leaves of nothing.
        if flow < 1e-6 { 0.0 } else { flow }
    };
    let seconds = seconds.iter().map(|second| *second as u32);
    seconds.map(|second| (second, open_at(second))).collect()
}

/// Share of what a supply could carry until the end that is carried.
pub fn full_share(request: &Value, runs: &[Run], supply: u32) -> f64 {
    let flows = flows(request, runs, supply);
    let end = end_of(runs);
    let carried: f64 = flows
        .windows(2)
        .map(|pair| f64::from(pair[1].0 - pair[0].0) * pair[0].1)
        .sum();
    let capacity = asked_of(&request["supplies"], supply)["capacity_l_per_min"].as_f64();
    carried / (capacity.unwrap_or(f64::INFINITY) * f64::from(end.max(1)))
}

/// When the sun rises after a night.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Dawn {
    /// Minute of the day.
    At(u32),
    /// The sun stays up, or down.
    None,
    /// The site has no place.
    Unknown,
}

/// Where the site lies: as given, else where its climate's place does.
fn position(facts: &Draft) -> Option<(Latitude, Longitude)> {
    let given = |field| number(facts, field).ok().flatten();
    if let (Some(latitude), Some(longitude)) = (given(Field::Latitude), given(Field::Longitude)) {
        return Some((Latitude::degrees(latitude), Longitude::degrees(longitude)));
    }
    let Climate::Place(name) = &facts.climate else {
        return None;
    };
    let place = table().named(name)?;
    Some((place.latitude, place.longitude))
}

/// Sunrise on the morning after `date`. The phone's clock stands for the site's while the two can
/// lie in one time zone; elsewhere the sun's own time does, to the hour.
pub fn dawn(facts: &Draft, date: &str, offset_minutes: i32) -> Dawn {
    let (Some((latitude, longitude)), Ok(date)) = (position(facts), Date::parse(date)) else {
        return Dawn::Unknown;
    };
    let solar = (longitude.to_degrees() / 15.0).round() as i32 * 60;
    // Across the line of dates clocks differ by a day, and tell the same time of day.
    let apart = (solar - offset_minutes + 720).rem_euclid(1440) - 720;
    let offset = if apart.abs() > 180 {
        solar
    } else {
        offset_minutes
    };
    let Ok(offset) = UtcOffset::try_minutes(f64::from(offset)) else {
        return Dawn::Unknown;
    };
    match sun(date.plus_days(1), latitude, longitude, offset) {
        SunDay::Rises { sunrise_minute, .. } => {
            Dawn::At((sunrise_minute.round() as i32).rem_euclid(1440) as u32)
        }
        SunDay::StaysUp | SunDay::StaysDown => Dawn::None,
    }
}

/// Every entry of the programs to key, in keying order; each as it is remembered when it is done.
/// What a new plan leaves as it was stays done.
pub fn entries(answer: &Value) -> Vec<String> {
    let mut entries = Vec::new();
    for (place, program) in items(&answer["programs"]).iter().enumerate() {
        entries.push(days_entry(place, program));
        for start in items(&program["starts"]) {
            entries.push(start_entry(place, start));
        }
        for (at, step) in items(&program["steps"]).iter().enumerate() {
            entries.push(step_entry(place, at, step));
        }
    }
    entries
}

/// The entry of a program's water days.
pub fn days_entry(place: usize, program: &Value) -> String {
    format!("{place} d {}", days_key(&program["days"]))
}

/// Water days in one word.
fn days_key(days: &Value) -> String {
    let words = items(&days["weekdays"]).iter().filter_map(Value::as_str);
    let words: Vec<&str> = words.collect();
    let odd = if days["odd"].is_null() { "" } else { "odd" };
    let even = if days["even"].is_null() { "" } else { "even" };
    format!("{odd}{even}{}{}", whole(&days["every"]), words.join(""))
}

/// The entry of a start time.
pub fn start_entry(place: usize, start: &Value) -> String {
    format!("{place} s {}", start.as_str().unwrap_or_default())
}

/// The entry of a step.
pub fn step_entry(place: usize, at: usize, step: &Value) -> String {
    let names = items(&step["stations"]).iter().filter_map(Value::as_str);
    let names: Vec<&str> = names.collect();
    format!(
        "{place} {at} {} {}",
        names.join("+"),
        whole(&step["seconds"])
    )
}

/// A kept station by its number.
pub fn kept(document: &Document, id: u32) -> Option<&Kept> {
    document.kept.iter().find(|kept| kept.id == id)
}

#[cfg(test)]
pub mod tests {
    use super::*;
    use crate::document::Typed;
    use drycurb_core::lines::answer;

    pub fn typed(text: &str) -> Option<Typed> {
        Some(Typed {
            text: text.into(),
            units: System::Si,
        })
    }

    /// A site of stations with these flows on one supply of 60 L/min.
    pub fn site_of(flows: &[&str]) -> Document {
        let mut document = Document::default();
        for (place, flow) in flows.iter().enumerate() {
            let mut draft = Draft {
                soil: Some("loam".into()),
                ..Draft::default()
            };
            draft.numbers.set(Field::Slope, typed("2"));
            draft.numbers.set(Field::Rate, typed("15"));
            draft.numbers.set(
                Field::RateFlow,
                typed(flow).filter(|typed| !typed.text.is_empty()),
            );
            document.kept.push(Kept {
                id: place as u32 + 1,
                name: format!("Station {}", place + 1),
                draft,
                site: 1,
                supply: 1,
                ..Kept::default()
            });
        }
        let facts = &mut document.site_mut().supplies[0].facts;
        facts.numbers.set(Field::Capacity, typed("60"));
        document
    }

    /// The plan of a site, with little work.
    pub fn planned(document: &mut Document) -> Plan {
        let asked = wanted(document, 7, "2026-07-06").request.unwrap();
        let request = parse(&asked).unwrap();
        let mut whole = answer(&request);
        let answer = whole["ok"].take();
        let planned = &mut document.site_mut().planned;
        planned.answer = to_keep(&request, &answer, (7, Some(5.5), false));
        planned.of = Some(mark(&asked));
        Plan { request, answer }
    }

    #[test]
    fn a_plain_panel_is_asked_for_station_order() {
        let mut document = site_of(&["40", "30"]);
        let order = |document: &Document| {
            let asked = wanted(document, 7, "2026-07-06").request.unwrap();
            let request = parse(&asked).unwrap();
            request["controller"]["station_order"].as_bool()
        };
        assert_eq!(order(&document), Some(true));
        document.site_mut().free_steps = true;
        assert_eq!(order(&document), Some(false));
    }

    #[test]
    fn on_fewer_days_the_ground_rests_longer() {
        let mut document = site_of(&["40"]);
        let draft = &mut document.kept[0].draft;
        draft.soil = Some("clay_loam".into());
        draft.numbers.set(Field::Slope, typed("4"));
        draft.numbers.set(Field::Rate, typed("38.1"));
        let station = |document: &Document| {
            let asked = wanted(document, 7, "2026-07-06").request.unwrap();
            parse(&asked).unwrap()["stations"][0].clone()
        };
        let daily = station(&document);
        document.site_mut().days = WaterDays::Odd;
        assert_eq!(document.site().days_a_week(), 3);
        document.site_mut().days = WaterDays::Every;
        assert_eq!(document.site().days_a_week(), 3);
        document.site_mut().days = WaterDays::Weekdays;
        document.site_mut().weekdays = 0b1;
        let seldom = station(&document);
        assert!(whole(&daily["days_a_week"]) > 1);
        assert_eq!(whole(&seldom["days_a_week"]), 1, "{daily} {seldom}");
        assert!(
            whole(&seldom["soak_minutes"]) > whole(&daily["soak_minutes"]),
            "{daily} {seldom}"
        );
        // What the request's runs lay on in a night stays in the planting, by the ground's own model.
        let count = whole(&seldom["run_minutes"]) / whole(&seldom["longest_run_minutes"]);
        let off = |soak: &Value| {
            let pulses: Vec<String> = (0..count)
                .map(|at| {
                    let each = whole(&seldom["longest_run_minutes"]);
                    let start = at * (each + whole(soak));
                    format!(r#"{{"start_minute":{start},"minutes":{each},"precipitation_mm_per_h":38.1}}"#)
                })
                .collect();
            let asked = json_with(
                r#"{"ask":"runoff","soil":"clay_loam","slope_percent":4,"pulses":[@]}"#,
                &[&pulses.join(",")],
            );
            let answer = answer(&parse(&asked).unwrap());
            answer["ok"]["runoff_mm"].as_f64().expect("an answer")
        };
        assert!(
            off(&seldom["soak_minutes"]) < 0.02 * 0.635 * f64::from(whole(&seldom["run_minutes"]))
        );
        assert!(off(&daily["soak_minutes"]) > off(&seldom["soak_minutes"]));
    }

    #[test]
    fn what_need_not_rest_is_limited_by_the_ground_alone() {
        let mut document = site_of(&["40"]);
        let limits = |document: &Document| {
            let facts = document.facts_of(&document.kept[0]);
            let answer = worked(1, &facts, &7.into()).unwrap().answer;
            let asked = wanted(document, 7, "2026-07-06").request.unwrap();
            let asked = parse(&asked).unwrap()["stations"][0]["longest_run_minutes"].as_f64();
            (answer, asked)
        };
        let (answer, asked) = limits(&document);
        assert_eq!(answer.split.soak_minutes, 0);
        assert_eq!(asked, answer.longest_run_minutes.map(f64::from));
        let draft = &mut document.kept[0].draft;
        draft.soil = Some("clay".into());
        draft.numbers.set(Field::Slope, typed("12"));
        let (answer, asked) = limits(&document);
        assert!(answer.split.soak_minutes > 0);
        assert_eq!(asked, Some(f64::from(answer.split.run_minutes)));
    }

    #[test]
    fn a_time_of_day_is_read_and_shown() {
        assert_eq!(clock_minute("22:15"), Some(1335));
        assert_eq!(clock_minute(" 5.05 "), Some(305));
        assert_eq!(clock_minute("7"), Some(420));
        assert_eq!(clock_minute(""), Some(1320));
        for (text, minute) in [
            ("10pm", 1320),
            ("10:30 PM", 1350),
            ("12 a.m.", 0),
            ("12:05 p. m.", 725),
            ("2200", 1320),
            ("530", 330),
            ("22h", 1320),
            ("22h15", 1335),
            ("22.00", 1320),
        ] {
            assert_eq!(clock_minute(text), Some(minute), "{text}");
        }
        for wrong in [
            "24:00", "7:60", "x", "7:5:3", "-1:00", "007:00", ":", "13pm", "0am", "22:", "ñ",
            "10px",
        ] {
            assert_eq!(clock_minute(wrong), None, "{wrong}");
        }
        assert_eq!(clock(1320 + 180), "01:00");
        for (minute, shown) in [(0, "12:00"), (725, "12:05"), (785, "1:05"), (2760, "10:00")] {
            let half = if minute % 1440 < 720 { "AM" } else { "PM" };
            let shown = format!("{shown}\u{a0}{half}");
            assert_eq!(clock_in(System::Us, minute), shown);
        }
        assert_eq!(clock_in(System::Si, 785), "13:05");
    }

    /// By hand. The night is 22:00 to 06:00.
    #[test]
    fn the_longest_open_part_of_a_night_is_planned() {
        let part = |from: &str, until: &str| {
            let mut site = Site::new(1);
            site.closed_hours = (from.into(), until.into());
            let part = open_part(&site).expect("the hours are understood");
            part.map(|part| (clock(part.opens), part.minutes, part.until))
        };
        let part_of = |opens: &str, minutes, until| Some((opens.to_string(), minutes, until));
        assert_eq!(part("", ""), part_of("22:00", 480, None));
        // Not of the night, but nothing may run on into it.
        assert_eq!(part("09:00", "18:00"), part_of("22:00", 480, Some(660)));
        // Its end, its beginning, over midnight, in the middle.
        assert_eq!(part("04:00", "09:00"), part_of("22:00", 360, Some(360)));
        assert_eq!(part("20:00", "23:30"), part_of("23:30", 390, Some(1230)));
        assert_eq!(part("23:00", "02:00"), part_of("02:00", 240, Some(1260)));
        assert_eq!(part("03:00", "04:00"), part_of("22:00", 300, Some(300)));
        // All of it.
        assert_eq!(part("20:00", "08:00"), None);
        let mut document = site_of(&["40"]);
        document.site_mut().closed_hours = ("21:00".into(), "06:00".into());
        let closed = wanted(&document, 7, "2026-07-06");
        assert!(closed.all_closed && closed.request.is_none() && closed.outside.is_empty());
    }

    /// By hand.
    #[test]
    fn a_stations_own_hours_count_within_the_night() {
        let own = |from: &str, until: &str| {
            let kept = Kept {
                hours: (from.into(), until.into()),
                ..Kept::default()
            };
            let part = Part {
                opens: 1320,
                minutes: 480,
                until: Some(660),
            };
            own_hours(&kept, part)
        };
        assert_eq!(own("", ""), Some((0, Some(660))));
        assert_eq!(own("23:00", "02:00"), Some((60, Some(240))));
        assert_eq!(own("20:00", "23:00"), Some((0, Some(60))));
        assert_eq!(own("04:00", "12:00"), Some((360, Some(660))));
        assert_eq!(own("08:00", "10:00"), None);
        assert_eq!(own("12:00", "22:00"), None);
        let mut document = site_of(&["40", "30"]);
        document.kept[1].hours = ("08:00".into(), "10:00".into());
        assert_eq!(wanted(&document, 7, "2026-07-06").outside, [2]);
    }

    #[test]
    fn a_plan_keeps_closed_hours_own_hours_and_who_is_apart() {
        let mut document = site_of(&["20", "20", "20"]);
        document.site_mut().closed_hours = ("22:30".into(), "23:00".into());
        document.kept[0].hours = ("01:00".into(), "03:00".into());
        // The third is no station any more.
        document.kept[1].apart = vec![3, 9];
        let plan = planned(&mut document);
        assert_eq!(plan.request["apart"], parse(r#"[["2","3"]]"#).unwrap());
        assert_eq!(plan.answer["verified"], true);
        let opens = said::opens_minute(&plan);
        assert_eq!(clock(opens), "23:00");
        for kind in 0..items(&plan.answer["nights"]).len() {
            let runs = night_runs(&plan.answer, kind);
            for run in &runs {
                let (start, end) = (opens + run.start / 60, opens + run.end() / 60);
                if run.station == 1 {
                    assert!(start >= 1500 && end <= 1620, "{run:?}");
                }
                let beside = |other: &&Run| {
                    other.start < run.end() && run.start < other.end() && other.station == 3
                };
                assert!(run.station != 2 || runs.iter().find(beside).is_none());
            }
        }
        // Where the sun stays up or down, that is said and nothing is late for it.
        let words = crate::text::text(crate::document::Language::En);
        let lines = said::night(words, &document, &plan, 0, Dawn::None, false);
        assert_eq!(lines[0], (false, words.night.no_sunrise.to_string()));
        assert!(lines.iter().all(|(wrong, _)| !wrong), "{lines:?}");
        // What would help is asked under the same rules.
        let asked = parse(&help(&plan, longest(&plan.answer))).unwrap();
        let first = asked_of(&asked["stations"], 1);
        assert!(first.is_null() || first["from_minute"] == 120 && first["until_minute"] == 240);
    }

    #[test]
    fn a_panel_that_opens_one_at_a_time_is_told_of_where_it_is_the_reason() {
        let words = crate::text::text(crate::document::Language::En);
        let told = |document: &mut Document| {
            let plan = planned(document);
            let lines = said::night(words, document, &plan, 0, Dawn::Unknown, false);
            lines
                .iter()
                .any(|(wrong, line)| *wrong && line.starts_with("One station after"))
        };
        let mut document = site_of(&["20", "20", "20"]);
        assert!(!told(&mut document));
        let hours = typed("0,5");
        document
            .site_mut()
            .facts
            .numbers
            .set(Field::WindowHours, hours);
        assert!(told(&mut document));
        document.site_mut().free_steps = true;
        assert!(!told(&mut document));
    }

    #[test]
    fn stations_without_flow_are_named_and_the_others_planned() {
        let mut document = site_of(&["40", "", "30"]);
        document.kept[2].draft.soil = None;
        let wanted = wanted(&document, 7, "2026-07-06");
        assert_eq!((wanted.no_flow, wanted.no_facts), (vec![2], vec![3]));
        let request = parse(&wanted.request.unwrap()).unwrap();
        assert_eq!(items(&request["stations"]).len(), 1);
        let plan = planned(&mut document);
        assert_eq!(plan.answer["verified"], true);
        let runs = night_runs(&plan.answer, 0);
        assert!(!runs.is_empty() && runs.iter().all(|run| run.station == 1));
    }

    #[test]
    fn what_lacks_for_a_plan_is_told() {
        let mut document = site_of(&["40"]);
        document.site_mut().facts.window_from = "25:00".into();
        assert!(wanted(&document, 7, "2026-07-06").no_window);
        document.site_mut().facts.window_from.clear();
        document.site_mut().weekdays = 0;
        let closed = wanted(&document, 7, "2026-07-06");
        assert!(closed.no_day && closed.request.is_none());
        document.site_mut().weekdays = 127;
        document.site_mut().supplies[0].facts = Draft::default();
        assert_eq!(wanted(&document, 7, "2026-07-06").no_capacity, [1]);
        document.kept.clear();
        assert_eq!(wanted(&document, 7, "2026-07-06"), Wanted::default());
    }

    #[test]
    fn every_supply_has_its_own_flow() {
        let mut document = site_of(&["40", "30"]);
        let mut second = document.site().supplies[0].clone();
        second.id = 2;
        document.site_mut().supplies.push(second);
        document.kept[1].supply = 2;
        let plan = planned(&mut document);
        let runs = night_runs(&plan.answer, 0);
        for (supply, flow) in [(1, 40.0), (2, 30.0)] {
            let flows = flows(&plan.request, &runs, supply);
            assert!(flows.iter().all(|(_, open)| *open == 0.0 || *open == flow));
            assert_eq!(flows.last().unwrap().1, 0.0);
            let share = full_share(&plan.request, &runs, supply);
            assert!(share > 0.0 && share <= flow / 60.0);
        }
    }

    #[test]
    fn entries_are_as_many_as_the_planner_counts() {
        let mut document = site_of(&["40", "30", "20", "35"]);
        let plan = planned(&mut document);
        let entries = entries(&plan.answer);
        assert_eq!(
            entries.len() as u64,
            plan.answer["entries"].as_u64().unwrap()
        );
        let mut each = entries.clone();
        each.sort();
        each.dedup();
        assert_eq!(each.len(), entries.len(), "no two entries are one");
    }

    #[test]
    fn the_plan_begins_in_the_month_it_is_for() {
        assert_eq!(first_date("2026-07-06", 7), "2026-07-06");
        assert_eq!(first_date("2026-07-06", 9), "2026-09-01");
        assert_eq!(first_date("2026-11-25", 7), "2027-07-01");
    }

    #[test]
    fn a_kept_plan_shows_the_same_nights_after_a_reload() {
        let mut document = site_of(&["40", "30", "20", "35"]);
        let plan = planned(&mut document);
        let document = Document::read(&document.write()).unwrap();
        let kept = kept_plan(&document, 7, "2026-07-06").unwrap();
        assert_eq!(kept.request, plan.request);
        let kinds = items(&plan.answer["nights"]).len();
        assert!(kinds > 0 && items(&kept.answer["nights"]).len() == kinds);
        for kind in 0..kinds {
            let runs = night_runs(&kept.answer, kind);
            assert!(!runs.is_empty());
            assert_eq!(runs, night_runs(&plan.answer, kind));
            let (kept, plan) = (&kept.answer["nights"][kind], &plan.answer["nights"][kind]);
            assert_eq!(kept["plan"]["limit"], plan["plan"]["limit"]);
        }
        assert_eq!(kept.answer["month"], 7);
        let long = document.write().len();
        let mut without = document.clone();
        without.site_mut().planned.answer["nights"] = Value::Null;
        // Some twelve bytes a run: the runs of four stations are a few hundred.
        assert!(long - without.write().len() < 1500, "{long}");
    }

    #[test]
    fn a_plan_is_old_when_what_it_rests_on_has_changed() {
        let mut document = site_of(&["40", "30"]);
        planned(&mut document);
        let old = |document: &Document, today| is_old(document, &wanted(document, 7, today));
        let read = Document::read(&document.write()).unwrap();
        assert!(!old(&read, "2026-07-06"));
        assert!(!old(&read, "2026-07-09"), "a day later");
        let mut other = read.clone();
        other.kept[1]
            .draft
            .numbers
            .set(Field::RateFlow, typed("31"));
        assert!(old(&other, "2026-07-06"), "another flow");
        let mut other = read.clone();
        other.kept.pop();
        assert!(old(&other, "2026-07-06"), "a station less");
        let mut other = read;
        other.site_mut().supplies[0].facts = Draft::default();
        assert!(old(&other, "2026-07-06"), "nothing can be asked any more");
        // An older page kept no mark: nothing is claimed.
        other.site_mut().planned.of = None;
        assert!(!old(&other, "2026-07-06"));
    }

    #[test]
    fn what_is_keyed_is_looked_at_when_the_plan_holds() {
        let mut document = site_of(&["40"]);
        assert_eq!(looked_from(&document, 11, "2026-11-25"), "2026-11-25");
        document.site_mut().facts.month = Some(7);
        assert_eq!(looked_from(&document, 11, "2026-11-25"), "2027-07-01");
        planned(&mut document);
        assert_eq!(looked_from(&document, 7, "2026-07-01"), "2026-07-06");
        assert_eq!(looked_from(&document, 7, "2026-08-01"), "2026-08-01");
    }

    #[test]
    fn dawn_is_known_where_the_place_is() {
        let mut facts = Draft::default();
        assert_eq!(dawn(&facts, "2026-06-20", 0), Dawn::Unknown);
        facts.climate = Climate::Place("London".into());
        // HM Nautical Almanac Office tables put it at 03:43 universal time; from memory.
        let Dawn::At(minute) = dawn(&facts, "2026-06-20", 0) else {
            panic!("London has a dawn");
        };
        assert!(minute.abs_diff(223) <= 2, "{minute}");
        // A phone on the other side of the earth: the sun's own hour stands.
        assert_eq!(dawn(&facts, "2026-06-20", 600), Dawn::At(minute));
    }

    #[test]
    fn dawn_is_that_of_the_position_where_one_is_given() {
        let mut facts = Draft::default();
        let set = |facts: &mut Draft, field, text: &str| facts.numbers.set(field, typed(text));
        set(&mut facts, Field::Latitude, "40");
        assert_eq!(dawn(&facts, "2026-06-20", -420), Dawn::Unknown, "one alone");
        set(&mut facts, Field::Longitude, "-105");
        // NOAA's solar calculator, 40° N, 105° W, 21 June: 4:31 by the standard time of 105° W; from memory.
        let Dawn::At(minute) = dawn(&facts, "2026-06-20", -420) else {
            panic!("it has a dawn");
        };
        assert!(minute.abs_diff(271) <= 2, "{minute}");
        // It decides, not the climate's place.
        facts.climate = Climate::Place("London".into());
        assert_eq!(dawn(&facts, "2026-06-20", -420), Dawn::At(minute));
        // What is not understood decides nothing.
        set(&mut facts, Field::Latitude, "91");
        assert_ne!(dawn(&facts, "2026-06-20", -420), Dawn::At(minute));
        set(&mut facts, Field::Latitude, "78");
        assert_eq!(dawn(&facts, "2026-06-20", -420), Dawn::None);
        assert_eq!(dawn(&facts, "2026-12-20", -420), Dawn::None);
    }

    /// By hand: 6.2 inches in July's 31 days are 157.48 mm, 5.08 mm a day.
    #[test]
    fn a_sites_own_figures_count_for_all_that_type_none() {
        let mut document = site_of(&["40", "30"]);
        let rough = season(&document, 7);
        document.kept[1].draft.climate = Climate::Place("London".into());
        let words = &mut document.site_mut().words;
        words.set("own_unit", "in_month");
        words.set("own_et", "6.2;6.2;6.2;6.2;6.2;6.2;6.2;6.2;6.2;6.2;6.2;6.2");
        assert_ne!(season(&document, 7), rough, "two climates");
        assert_eq!(season(&document, 7).1, None);
        // They count once they are chosen, and as long as all are understood.
        document.site_mut().words.set("months", "own");
        let (_, et, own) = season(&document, 7);
        assert!((et.expect("one for both") - 5.08).abs() < 1e-9 && own);
        let asked = wanted(&document, 7, "2026-07-06").request;
        document.site_mut().facts.month = Some(2);
        let (_, february, _) = season(&document, 7);
        assert!((february.expect("one for both") - 6.2 * 25.4 / 28.0).abs() < 1e-9);
        let colder = wanted(&document, 7, "2026-07-06").request;
        assert_ne!(asked, colder, "another week");
        let all = document.site().words.get("own_et").to_string();
        document.site_mut().words.set("own_et", &all[4..]);
        assert!(!season(&document, 7).2, "eleven");
        document.site_mut().words.set("own_et", &all);
        // Who types his own, has it; so has a site.
        let draft = &mut document.kept[0].draft;
        draft.climate = Climate::Typed;
        draft.numbers.set(Field::ReferenceEt, typed("7"));
        let of = |document: &Document, at: usize| {
            let facts = document.facts_of(&document.kept[at]);
            let outcome = work_out(&facts, &document.season(7)).expect("an answer");
            outcome.et_mm_per_day
        };
        assert_eq!(of(&document, 0), 7.0);
        document.kept[1].draft.climate = Climate::Assumed;
        assert!((of(&document, 1) - 6.2 * 25.4 / 28.0).abs() < 1e-9);
        let facts = &mut document.site_mut().facts;
        facts.climate = Climate::Typed;
        facts.numbers.set(Field::ReferenceEt, typed("3"));
        assert_eq!(of(&document, 1), 3.0);
    }

    /// A station opened in the Pocket has what its site knows; another one there knows of no site.
    #[test]
    fn own_figures_go_with_the_station_to_the_pocket() {
        let mut document = site_of(&["40"]);
        let words = &mut document.site_mut().words;
        words.set("months", "own");
        words.set("own_unit", "mm_day");
        words.set("own_et", "1;2;3;4;5;6;7.5;8;9;10;11;12");
        assert_eq!(document.season_of_draft(7), 7.into());
        let id = document.kept[0].id;
        document.open_in_pocket(id, String::new());
        let season = document.season_of_draft(7);
        let et = |document: &Document| own_et(&document.draft, &season);
        assert_eq!(et(&document), Some(7.5));
        assert_eq!(
            work_out(&document.draft, &season).unwrap().et_mm_per_day,
            7.5
        );
        document.draft.month = Some(12);
        assert_eq!(et(&document), Some(12.0));
        // South of the equator turf has its summer share in January.
        document.draft.month = Some(1);
        let factor = |document: &Document| work_out(&document.draft, &season).unwrap().plant_factor;
        let north = factor(&document);
        document.draft.south = true;
        assert!(factor(&document) > north);
    }

    /// East of the line of dates clocks may go with the west: the hour is the same, the date is not.
    #[test]
    fn a_clock_a_day_ahead_is_the_sites_own() {
        let mut facts = Draft::default();
        facts.numbers.set(Field::Latitude, typed("-44"));
        facts.numbers.set(Field::Longitude, typed("-176.5"));
        let (Dawn::At(ahead), Dawn::At(by_sun)) = (
            dawn(&facts, "2026-03-20", 765),
            dawn(&facts, "2026-03-20", -720),
        ) else {
            panic!("it has a dawn");
        };
        assert!((44..=47).contains(&(ahead - by_sun)), "{ahead} {by_sun}");
    }
}
