//! What is said of a plan: sentences.

use serde_json::Value;

use super::{
    Dawn, Plan, Run, asked_of, clock_in, clock_minute, closed_spans, digits, end_of, flows,
    full_share, id_of, kept, night_runs, whole,
};
use crate::document::json::items;
use crate::document::{Document, Site};
use crate::field::Field;
use crate::numbers;
use crate::rules::closed_minutes;
use crate::screens::pocket::MONTHS;
use crate::station::number_or_default;
use crate::supply::check;
use crate::text::{Text, fill, fill_with};
use crate::units::{Kind, System};

/// A sentence, and whether it tells of something wrong.
pub type Line = (bool, String);

/// A station's name.
pub fn name(document: &Document, id: u32) -> String {
    let mut all = document.kept.iter().chain(&document.deleted);
    let found = all.find(|kept| kept.id == id);
    found.map_or_else(|| digits(id), |kept| kept.name.clone())
}

/// A planned station's name: of one that was deleted since, with that.
pub fn planned_name(text: &Text, document: &Document, id: u32) -> String {
    let name = name(document, id);
    if kept(document, id).is_some() {
        name
    } else {
        fill(text.night.deleted, &[("name", &name)])
    }
}

/// A station's name behind its number on the panel: its place in the site's list.
pub fn with_number(place: usize, name: &str) -> String {
    format!("{} · {name}", place + 1)
}

/// A planned station's name behind its number, while it is there.
pub fn planned_number(text: &Text, document: &Document, id: u32) -> String {
    let name = planned_name(text, document, id);
    let place = document.stations().position(|kept| kept.id == id);
    place.map_or(name.clone(), |place| with_number(place, &name))
}

/// The names of some stations.
pub fn names(document: &Document, ids: &[u32]) -> String {
    let names: Vec<String> = ids.iter().map(|id| name(document, *id)).collect();
    // A name may hold a comma itself.
    let commas = names.iter().any(|name| name.contains(','));
    names.join(if commas { "; " } else { ", " })
}

/// The names of some stations: a few, and how many more.
pub fn few_names(text: &Text, document: &Document, ids: &[u32]) -> String {
    let few = ids.len().min(3);
    let said = names(document, &ids[..few]);
    if few == ids.len() {
        return said;
    }
    let n = digits((ids.len() - few) as u32);
    fill(text.night.and_more, &[("names", &said), ("n", &n)])
}

/// The units that times and flows are shown in.
fn units_of(document: &Document) -> System {
    document.units()
}

/// A minute of the day as the reader's clock shows it.
pub fn time(document: &Document, minute: u32) -> String {
    clock_in(units_of(document), minute)
}

/// A time of day of the JSON door, `22:00` or a date with it, as the reader's clock shows it.
pub fn time_of(document: &Document, written: &str) -> String {
    let (date, clock) = written.split_once(['T', ' ']).unwrap_or(("", written));
    let minute = clock_minute(clock.get(..5).unwrap_or_default()).unwrap_or(0);
    let shown = time(document, minute);
    if date.is_empty() {
        shown
    } else {
        [date, " ", &shown].concat()
    }
}

/// What makes the night as long as it is.
fn limit(text: &Text, document: &Document, limit: &Value) -> Option<String> {
    let t = &text.night;
    let (sentence, name) = match limit["kind"].as_str()? {
        "chain" => {
            let id = id_of(&limit["station"]);
            (t.limit_chain, planned_name(text, document, id))
        }
        "supply" => {
            let id = id_of(&limit["supply"]);
            (t.limit_supply, supply_name(text, document.site(), id))
        }
        "open_at_once" | "lanes" => (t.limit_valves, String::new()),
        _ => return None,
    };
    Some(fill(sentence, &[("name", &name)]))
}

/// For which month the minutes of a kept plan are, and which reference evapotranspiration.
pub fn season(text: &Text, document: &Document, answer: &Value, comma: bool) -> Option<Line> {
    let t = &text.night;
    let month = MONTHS.get(whole(&answer["month"]).wrapping_sub(1) as usize)?;
    let month = month(text);
    let Some(et) = answer["et_mm_per_day"].as_f64() else {
        return Some((false, fill(t.season, &[("month", month)])));
    };
    let mut et = Kind::DepthPerDay.show_with_sign(et, units_of(document), comma);
    if answer["own_et"].as_bool() == Some(true) {
        et = [&et, " (", text.own_figures, ")"].concat();
    }
    let values = [("month", month), ("et", et.as_str())];
    Some((false, fill(t.season_et, &values)))
}

/// Supplies that are said to carry more than their meters, pipes and pressures let through.
pub fn too_much(text: &Text, document: &Document, comma: bool) -> Vec<Line> {
    let site = document.site();
    let mut lines = Vec::new();
    for supply in &site.supplies {
        let found = check(supply);
        let typed = number_or_default(&supply.facts, Field::Capacity);
        let most = [found.most, found.leaves].into_iter().flatten();
        let most = most.fold(f64::INFINITY, f64::min);
        // What is shown is rounded: a number taken from there is not too much.
        if let Some(typed) = typed.filter(|typed| *typed > most * 1.005) {
            let flow = |flow| Kind::Flow.show_with_sign(flow, units_of(document), comma);
            let values = [
                ("supply", supply_name(text, site, supply.id)),
                ("typed", flow(typed)),
                ("flow", flow(most)),
            ];
            lines.push((true, fill_with(text.night.too_much, &values)));
        }
    }
    lines
}

/// A supply's name, or what stands for none.
pub fn supply_name(text: &Text, site: &Site, id: u32) -> String {
    let supply = site.supply(id);
    if supply.name.is_empty() {
        let place = site.supplies.iter().position(|other| other.id == id);
        let n = (place.unwrap_or(0) + 1).to_string();
        fill(text.night.supply_n, &[("n", &n)])
    } else {
        supply.name.clone()
    }
}

/// A share as a percentage.
pub fn percent(share: f64, decimals: usize, comma: bool) -> String {
    format!("{}\u{a0}%", numbers::write(100.0 * share, decimals, comma))
}

/// Water days in words.
pub fn days_words(text: &Text, days: &Value) -> String {
    let t = &text.night;
    if !days["odd"].is_null() {
        return t.days_odd.into();
    }
    if !days["even"].is_null() {
        return t.days_even.into();
    }
    if !days["every"].is_null() {
        let every = whole(&days["every"]);
        if every == 1 {
            return t.days_daily.into();
        }
        let first = days["from"].as_str().unwrap_or_default();
        return fill(t.days_every, &[("n", &every.to_string()), ("first", first)]);
    }
    let chosen = items(&days["weekdays"]);
    let names = super::WEEKDAYS.iter().zip(t.weekdays);
    let names = names.filter(|(word, _)| chosen.iter().any(|day| day.as_str() == Some(word)));
    let names: Vec<&str> = names.map(|(_, name)| name).collect();
    match names.len() {
        0 => t.days_none.into(),
        7 => t.days_daily.into(),
        _ => names.join(" "),
    }
}

/// Water for reading; from a thousand on in cubic metres or thousands of gallons.
pub fn water(litres: f64, units: System, comma: bool) -> String {
    let shown = Kind::Volume.outward(litres.abs(), units);
    if shown < 999.5 {
        return Kind::Volume.show_with_sign(litres, units, comma);
    }
    let sign = if units == System::Us { "kgal" } else { "m³" };
    format!(
        "{}\u{a0}{sign}",
        numbers::write_short(litres.signum() * shown / 1000.0, comma)
    )
}

/// Whole minutes of some seconds, rounded up.
fn minutes(seconds: u32) -> String {
    seconds.div_ceil(60).to_string()
}

/// What is said of one kind of night: its end against the best, dawn and window, and what limits it.
pub fn night(
    text: &Text,
    document: &Document,
    plan: &Plan,
    kind: usize,
    dawn: Dawn,
    comma: bool,
) -> Vec<Line> {
    let t = &text.night;
    let site = document.site();
    let night = &plan.answer["nights"][kind];
    let runs = night_runs(&plan.answer, kind);
    let end = end_of(&runs);
    let window = 60 * whole(&plan.answer["window_minutes"]);
    let opens = opens_minute(plan);
    let mut lines: Vec<Line> = Vec::new();
    match dawn {
        Dawn::At(minute) => {
            let ends = opens + end.div_ceil(60);
            let rises = opens + (minute + 1440 - opens % 1440) % 1440;
            lines.push((false, fill(t.sunrise, &[("time", &time(document, minute))])));
            if ends > rises {
                let late = (ends - rises).to_string();
                lines.push((true, fill(t.after_sunrise, &[("minutes", &late)])));
            }
        }
        Dawn::None => lines.push((false, t.no_sunrise.into())),
        Dawn::Unknown => lines.push((false, t.sunrise_unknown.into())),
    }
    if !closed_spans(site, plan, &runs).is_empty() {
        lines.push((false, closed_words(t.closed_here, document)));
    }
    let bound = whole(&night["plan"]["bound_second"]);
    if end > window {
        let over = minutes(end - window);
        lines.push((true, fill(t.over, &[("minutes", &over)])));
        if bound > window {
            let short = minutes(bound - window);
            lines.push((true, fill(t.cannot, &[("minutes", &short)])));
        }
    }
    // A panel that opens one station after another may be the only reason.
    let controller = &plan.request["controller"];
    let is = |name: &str| controller[name].as_bool() == Some(true);
    let sorts = items(&night["sorts"]).iter();
    let stations =
        sorts.flat_map(|sort| items(&plan.answer["sorts"][whole(sort) as usize]["stations"]));
    let all: u32 = stations.map(|station| whole(&station["run_minutes"])).sum();
    if is("station_order") && !is("sharing") && 60 * all > window {
        let hours = digits(all.div_ceil(60));
        lines.push((true, fill(t.one_by_one, &[("hours", &hours)])));
    }
    let mut fullest = (0.0, 0);
    for supply in items(&plan.request["supplies"]) {
        let id = id_of(&supply["id"]);
        let share = full_share(&plan.request, &runs, id);
        if share > fullest.0 {
            fullest = (share, id);
        }
    }
    if fullest.1 > 0 {
        let share = percent(fullest.0, 0, comma);
        let supply = supply_name(text, site, fullest.1);
        let values = [("supply", supply.as_str()), ("percent", &share)];
        lines.push((false, fill(t.full, &values)));
    }
    let free = whole(&night["plan"]["finish_second"]);
    if free > 0 && end > free + free / 10 {
        let later = minutes(end - free);
        lines.push((false, fill(t.panel_costs, &[("minutes", &later)])));
    }
    lines.extend(limit(text, document, &night["plan"]["limit"]).map(|line| (false, line)));
    if bound > 0 {
        if end <= bound {
            lines.push((false, t.best.into()));
        } else {
            let sooner = minutes(end - bound);
            lines.push((false, fill(t.near, &[("minutes", &sooner)])));
        }
    }
    lines
}

/// What would help most: the first of what the JSON door suggests, kept with the plan.
pub fn help(text: &Text, document: &Document, comma: bool) -> Vec<Line> {
    let t = &text.night;
    let units = units_of(document);
    let help = &document.site().planned.answer["help"];
    let mut lines: Vec<Line> = Vec::new();
    for suggestion in items(help).iter().take(2) {
        let gained = suggestion["gained_seconds"].as_f64().unwrap_or(0.0);
        let change = match suggestion["change"].as_str().unwrap_or_default() {
            "more_flow" => t.help_flow,
            "more_valves" => t.help_valves,
            "shorter_soaks" => t.help_soaks,
            "more_days" => t.help_days,
            _ => continue,
        };
        let flow = suggestion["more_l_per_min"].as_f64().unwrap_or(0.0);
        let change = fill(
            change,
            &[
                (
                    "supply",
                    &supply_name(text, document.site(), id_of(&suggestion["supply"])),
                ),
                ("flow", &Kind::Flow.show_with_sign(flow, units, comma)),
                ("percent", &digits(whole(&suggestion["soak_percent"]))),
            ],
        );
        let served = whole(&suggestion["more_served"]);
        let sentence = if served > 0 {
            t.help_serves
        } else if gained >= 60.0 {
            t.help_gains
        } else {
            continue;
        };
        let values = [
            ("change", change.as_str()),
            ("minutes", &digits(gained.max(0.0) as u32 / 60)),
            ("n", &digits(served)),
        ];
        lines.push((false, fill(sentence, &values)));
    }
    lines
}

/// What is said of the whole plan: who is left out, and why.
pub fn left_out(text: &Text, document: &Document, answer: &Value) -> Vec<Line> {
    let t = &text.night;
    let mut lines: Vec<Line> = Vec::new();
    if answer["cut_short"].as_bool() == Some(true) {
        lines.push((true, t.cut_short.into()));
    }
    let mut told: Vec<u32> = Vec::new();
    for left in items(&answer["unkeyed"]) {
        let id = id_of(&left["station"]);
        if told.contains(&id) {
            continue;
        }
        told.push(id);
        let why = match left["reason"].as_str().unwrap_or_default() {
            "above_capacity" => t.why_above_capacity,
            "own_window_too_short" => t.why_window,
            "below_least_flow" => t.why_least_flow,
            "no_program" => t.why_no_program,
            "no_start" => t.why_no_start,
            _ => t.why_no_place,
        };
        let name = planned_name(text, document, id);
        lines.push((true, fill(why, &[("name", &name)])));
    }
    let seldom = items(&answer["too_seldom"]);
    if !seldom.is_empty() {
        let names = names(document, &seldom.iter().map(id_of).collect::<Vec<u32>>());
        lines.push((true, fill(t.too_seldom, &[("names", &names)])));
    }
    if answer["over_most"].as_bool() == Some(true) {
        let most = number_or_default(&document.site().facts, Field::DayMinutes);
        let most = most.map_or(0, |most| most as u32);
        let values = [
            ("n", &*digits(whole(&answer["busiest_minutes"]))),
            ("most", &*digits(most)),
        ];
        lines.push((true, fill(t.over_most, &values)));
    }
    let clipped = match answer["clipped"].as_str() {
        Some("before_midnight") => Some(t.clipped_end),
        Some(_) => Some(t.clipped_start),
        None => None,
    };
    if let Some(words) = clipped {
        lines.push((false, words.into()));
    }
    lines
}

/// The closed hours in words.
pub fn closed_words(words: &str, document: &Document) -> String {
    let (from, to) = closed_minutes(document.site()).unwrap_or_default();
    from_to(words, document, from, to)
}

/// Words with two times of day.
pub fn from_to(words: &str, document: &Document, from: u32, to: u32) -> String {
    let (from, to) = (time(document, from), time(document, to));
    fill(words, &[("from", &from), ("to", &to)])
}

/// The minute of the day at which the window opens.
pub fn opens_minute(plan: &Plan) -> u32 {
    let start = plan.answer["window_start"].as_str();
    super::clock_minute(start.unwrap_or_default()).unwrap_or(0)
}

/// Why a run is as it is: which of how many, its limits, what stood open with it, and how much of
/// its supply is drawn then.
pub fn reason(
    text: &Text,
    document: &Document,
    plan: &Plan,
    runs: &[Run],
    at: usize,
    comma: bool,
) -> String {
    let t = &text.night;
    let Some(run) = runs.get(at) else {
        return String::new();
    };
    let opens = opens_minute(plan);
    let asked = asked_of(&plan.request["stations"], run.station);
    let (mut all, mut before, mut last) = (0, 0, 0);
    let mut beside = Vec::new();
    for other in runs {
        if other.station == run.station {
            all += 1;
            if other.start < run.start {
                before += 1;
                last = last.max(other.end());
            }
        } else if other.start <= run.start && run.start < other.end() {
            beside.push(other.station);
        }
    }
    let mut said = String::new();
    let mut say = |sentence: &str, values: &[(&str, &str)]| {
        if !said.is_empty() {
            said.push(' ');
        }
        said.push_str(&fill(sentence, values));
    };
    let name = planned_name(text, document, run.station);
    let from = time(document, opens + run.start / 60);
    let to = time(document, opens + run.end().div_ceil(60));
    let values = [
        ("name", name.as_str()),
        ("n", &digits(before + 1)),
        ("of", &digits(all)),
        ("from", &from),
        ("to", &to),
        ("minutes", &minutes(run.seconds)),
    ];
    say(t.reason_run, &values);
    let most = &asked["longest_run_minutes"];
    if !most.is_null() {
        say(t.reason_most, &[("most", &digits(whole(most)))]);
    }
    if before > 0 {
        let soaked = digits(run.start.saturating_sub(last) / 60);
        let least = digits(whole(&asked["soak_minutes"]));
        say(t.reason_soak, &[("n", &soaked), ("least", &least)]);
    }
    if !beside.is_empty() {
        say(t.reason_beside, &[("names", &names(document, &beside))]);
    }
    let supply = id_of(&asked["supply"]);
    let capacity = asked_of(&plan.request["supplies"], supply)["capacity_l_per_min"].as_f64();
    if let Some(capacity) = capacity {
        let flows = flows(&plan.request, runs, supply);
        let now = flows.iter().rfind(|(second, _)| *second <= run.start);
        let units = units_of(document);
        let open = Kind::Flow.show(now.map_or(0.0, |(_, flow)| *flow), units, comma);
        let values = [
            ("supply", supply_name(text, document.site(), supply)),
            ("flow", open),
            ("most", Kind::Flow.show_with_sign(capacity, units, comma)),
        ];
        said.push(' ');
        said.push_str(&fill_with(t.reason_flow, &values));
    }
    said
}

#[cfg(test)]
mod tests {
    use super::super::tests::{planned, site_of, typed};
    use super::*;
    use crate::document::Language;
    use crate::document::Typed;
    use crate::text::text;

    fn all(lines: &[Line]) -> String {
        let lines: Vec<&str> = lines.iter().map(|(_, line)| line.as_str()).collect();
        lines.join("\n")
    }

    #[test]
    fn names_with_commas_are_told_apart() {
        let mut document = site_of(&["40", "30"]);
        assert_eq!(names(&document, &[1, 2]), "Station 1, Station 2");
        document.kept[0].name = "North bank, middle".into();
        assert_eq!(names(&document, &[1, 2]), "North bank, middle; Station 2");
    }

    #[test]
    fn a_station_that_was_deleted_since_is_named_so() {
        let mut document = site_of(&["40", "30"]);
        let gone = document.kept.remove(1);
        document.put_deleted(gone);
        let name = |language, id| planned_name(text(language), &document, id);
        assert_eq!(name(Language::En, 1), "Station 1");
        assert_eq!(name(Language::En, 2), "Station 2 (deleted)");
        assert_eq!(name(Language::Es, 7), "7 (borrada)");
    }

    #[test]
    fn what_limits_the_night_is_said_plainly() {
        // Together they draw all of 60 L/min for the whole night: the flow decides.
        let mut document = site_of(&["60", "60"]);
        let said = |document: &Document, plan: &Plan| {
            let lines = night(text(Language::En), document, plan, 0, Dawn::Unknown, false);
            all(&lines)
        };
        let plan = planned(&mut document);
        let flow = said(&document, &plan);
        assert!(flow.contains("The flow of Supply 1 decides"), "{flow}");
        assert!(flow.contains("No plan can end sooner."), "{flow}");
        // One alone on a bank has nobody to wait for.
        let mut document = site_of(&["10"]);
        document.kept[0].draft.soil = Some("clay_loam".into());
        document.kept[0].draft.numbers.set(Field::Slope, typed("8"));
        document.kept[0].draft.numbers.set(Field::Rate, typed("38"));
        let plan = planned(&mut document);
        let chain = said(&document, &plan);
        assert!(
            chain.contains("The runs and soaks of Station 1 decide"),
            "{chain}"
        );
    }

    /// Against the minutes of the sorts that water in each kind of night, which the answer gives beside it.
    #[test]
    fn a_night_over_the_rule_is_told_in_minutes() {
        let mut document = site_of(&["40", "30"]);
        let facts = &mut document.site_mut().facts;
        facts.numbers.set_si(Field::DayMinutes, "20");
        planned(&mut document);
        let answer = &document.site().planned.answer;
        assert_eq!(answer["over_most"], true);
        let minutes = |station: &Value| whole(&station["run_minutes"]);
        let of_sort = |sort: &Value| items(&sort["stations"]).iter().map(minutes).sum::<u32>();
        let kinds = items(&answer["nights"]).iter().map(|night| {
            let own = items(&night["sorts"])
                .iter()
                .map(|sort| whole(sort) as usize);
            own.map(|sort| of_sort(&answer["sorts"][sort])).sum::<u32>()
        });
        let busiest = kinds.max().unwrap();
        let said = all(&left_out(text(Language::En), &document, answer));
        let wanted = format!("holds {busiest} min of all stations; the rule allows 20.");
        assert!(said.contains(&wanted), "{said} / {wanted}");
    }

    #[test]
    fn the_month_and_the_evapotranspiration_are_said() {
        let mut document = site_of(&["40"]);
        let plan = planned(&mut document);
        let said = |document: &Document, answer: &Value| {
            season(text(Language::En), document, answer, false)
                .unwrap()
                .1
        };
        let metric = said(&document, &document.site().planned.answer);
        assert_eq!(metric, "Minutes for July, reference ET 5.5\u{a0}mm/d.");
        document.prefs.units = System::Us;
        let inches = said(&document, &document.site().planned.answer);
        assert_eq!(inches, "Minutes for July, reference ET 0.217\u{a0}in/d.");
        // Stations of several places have several.
        let none = super::super::to_keep(&plan.request, &plan.answer, (7, None, false));
        assert_eq!(said(&document, &none), "Minutes for July.");
    }

    #[test]
    fn a_supply_that_is_said_to_carry_too_much_is_told() {
        let mut document = site_of(&["40"]);
        let lines = |document: &Document| all(&too_much(text(Language::En), document, false));
        assert_eq!(lines(&document), "");
        let supply = &mut document.site_mut().supplies[0];
        for (field, text) in [
            (Field::Capacity, "130"),
            (Field::StaticPressure, "5"),
            (Field::TestFlow, "40"),
            (Field::TestPressure, "4"),
            (Field::WantedPressure, "4"),
        ] {
            supply.facts.numbers.set(field, typed(text));
        }
        // At the flow measured, the pressure measured is left.
        let said = lines(&document);
        assert!(
            said.starts_with("Supply 1 is planned with 130\u{a0}L/min"),
            "{said}"
        );
        assert!(said.contains("no more than 40\u{a0}L/min"), "{said}");
        let numbers = &mut document.site_mut().supplies[0].facts.numbers;
        numbers.set(Field::Capacity, typed("40"));
        assert_eq!(lines(&document), "");
        // AWWA C700 as the core quotes it: a 3/4 inch meter passes 15 gal/min for hours.
        let supply = &mut document.site_mut().supplies[0];
        supply.meter = "3/4".into();
        let gallons = |text: &str| Typed {
            text: text.into(),
            units: System::Us,
        };
        supply.facts = Default::default();
        supply
            .facts
            .numbers
            .set(Field::Capacity, Some(gallons("16")));
        assert!(lines(&document).contains("56.8\u{a0}L/min can come"));
        let numbers = &mut document.site_mut().supplies[0].facts.numbers;
        numbers.set(Field::Capacity, Some(gallons("15")));
        assert_eq!(lines(&document), "");
    }

    #[test]
    fn a_run_tells_what_its_supply_gives_then() {
        let mut document = site_of(&["40", "30", "20"]);
        let plan = planned(&mut document);
        let runs = night_runs(&plan.answer, 0);
        document.prefs.units = System::Us;
        for (at, run) in runs.iter().enumerate() {
            let said = reason(text(Language::En), &document, &plan, &runs, at, false);
            assert!(said.contains("Supply 1 then gives "), "{said}");
            assert!(said.contains(" of 15.9\u{a0}gal/min."), "{said}");
            let from = clock_in(System::Us, 1320 + run.start / 60);
            assert!(said.contains(&format!(": {from} to ")), "{said}");
        }
    }
}
