//! What is keyed now: the present programs as a request of the JSON door, and what is found wrong.

use drycurb_core::json;
use serde_json::Value;

use super::said::{Line, days_words, name, percent, supply_name};
use super::{asked_of, clock, id_of, kept, whole, window, worked};
use crate::document::json::items;
use crate::document::present::{DaysKind, Program};
use crate::document::{Document, Named};
use crate::field::Field;
use crate::numbers;
use crate::station::{flow_l_per_min, number, number_or_default, request};
use crate::text::{Text, fill};
use crate::units::{Kind, System};

/// Reads start times in one line; `None` when one of them is none, or there are more than eight.
pub fn starts(text: &str) -> Option<Vec<String>> {
    let parts = text.split(|c: char| c.is_whitespace() || matches!(c, ',' | ';' | '/'));
    let parts = parts.filter(|part| !part.is_empty());
    let read: Option<Vec<String>> = parts
        .map(|part| Some(clock(super::clock_minute(&colon(part))?)))
        .collect();
    read.filter(|starts| starts.len() <= 8)
}

/// `2200` is as good as `22:00`: it saves a change of keyboards.
fn colon(part: &str) -> String {
    let digits = part.len() >= 3 && part.bytes().all(|byte| byte.is_ascii_digit());
    if digits {
        let (hours, minutes) = part.split_at(part.len() - 2);
        format!("{hours}:{minutes}")
    } else {
        part.to_string()
    }
}

/// Minutes of a step as typed, in seconds: `7`, `7,5` or `7:30`; `None` when not understood.
pub fn step_seconds(text: &str) -> Option<u32> {
    let text = text.trim();
    if text.is_empty() {
        return Some(0);
    }
    let (whole, rest) = text.split_once(':').unwrap_or((text, "0"));
    let minutes = numbers::read(whole).ok()?;
    let seconds = numbers::read(rest).ok().filter(|n| *n < 60.0)?;
    let all = (minutes * 60.0 + seconds).round();
    (0.0..=86_400.0).contains(&all).then_some(all as u32)
}

/// A whole number typed; the default for a blank.
fn typed(text: &str, least: u32, most: u32, default: u32) -> Option<u32> {
    if text.trim().is_empty() {
        return Some(default);
    }
    let number = numbers::read(text).ok()?;
    let fits = number.fract() == 0.0 && (f64::from(least)..=f64::from(most)).contains(&number);
    fits.then_some(number as u32)
}

/// What is wrong with a program as entered.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Wrong {
    /// Its start times.
    pub starts: bool,
    /// Its adjustment.
    pub percent: bool,
    /// Its interval.
    pub every: bool,
    /// Somebody's minutes.
    pub minutes: bool,
}

/// Looks a program through.
pub fn wrong(program: &Program) -> Wrong {
    let every = program.days == DaysKind::Every;
    Wrong {
        starts: starts(&program.starts).is_none(),
        percent: typed(&program.percent, 0, 300, 100).is_none(),
        every: every && typed(&program.every, 1, 31, 1).is_none(),
        minutes: program
            .minutes
            .iter()
            .any(|(_, text)| step_seconds(text).is_none()),
    }
}

/// A program's letter on the page and at the JSON door.
pub fn letter(place: usize) -> String {
    char::from_u32(u32::from(b'A') + place as u32).map_or_else(String::new, |c| c.to_string())
}

/// A program's water days as the JSON door asks for them.
pub fn days(program: &Program, today: &str) -> Value {
    match program.days {
        DaysKind::Weekdays => {
            let chosen = (0..7).filter(|day| program.weekdays >> day & 1 == 1);
            let chosen = chosen.map(|day: usize| super::WEEKDAYS[day]);
            json!({ "weekdays": chosen.collect::<Vec<&str>>() })
        }
        DaysKind::Odd => json!({ "odd": true }),
        DaysKind::Even => json!({ "even": true }),
        DaysKind::Every => {
            let first = Some(program.first.trim()).filter(|first| !first.is_empty());
            json!({
                "every": typed(&program.every, 1, 31, 1),
                "from": first.unwrap_or(today),
            })
        }
    }
}

/// The present programs; `None` while one is not understood or none is entered.
fn programs(document: &Document, today: &str) -> Option<Vec<Value>> {
    let site = document.site();
    let list = &site.present.programs;
    if list.is_empty()
        || list
            .iter()
            .any(|program| wrong(program) != Wrong::default())
    {
        return None;
    }
    let written = list.iter().enumerate().map(|(place, program)| {
        // A panel runs its stations in their order.
        let steps = document.stations().filter_map(|kept| {
            let seconds = step_seconds(program.minutes_of(kept.id))?;
            (seconds > 0).then(|| json!({ "stations": [kept.id.to_string()], "seconds": seconds }))
        });
        json!({
            "id": letter(place),
            "starts": starts(&program.starts).unwrap_or_default(),
            "days": days(program, today),
            "sharing": site.sharing,
            "adjust_percent": typed(&program.percent, 0, 300, 100),
            "steps": steps.collect::<Vec<Value>>(),
        })
    });
    Some(written.collect())
}

/// Everything of a replay but the programs and the dates: stations, supplies, window, panel.
pub fn around(document: &Document, month: u32) -> Value {
    let site = document.site();
    let stations = document.stations().map(|kept| {
        let facts = document.facts_of(kept);
        let flow = flow_l_per_min(&facts);
        let outcome = worked(kept.id, &facts, month);
        let mut station = outcome.as_ref().map_or_else(|| json!({}), request);
        station["ask"] = Value::Null;
        if let Some(outcome) = &outcome {
            let split = outcome.answer.split;
            if split.runs > 0 {
                station["longest_run_minutes"] = json!(split.run_minutes);
                station["soak_minutes"] = json!(split.soak_minutes);
            }
        }
        station["id"] = json!(kept.id.to_string());
        station["flow_l_per_min"] = json!(flow);
        station["supply"] = json!(site.supply(kept.supply).id.to_string());
        station
    });
    let supplies = site.supplies.iter().map(|supply| {
        let capacity = number(&supply.facts, Field::Capacity).ok().flatten();
        json!({ "id": supply.id.to_string(), "capacity_l_per_min": capacity })
    });
    let open = window(site).filter(|(_, minutes)| *minutes < 1440);
    let open = open
        .map(|(opens, minutes)| json!({ "from": clock(opens), "until": clock(opens + minutes) }));
    json!({
        "stations": stations.collect::<Vec<Value>>(),
        "supplies": supplies.collect::<Vec<Value>>(),
        "window": open,
        "closed": closed(site),
        "gap_seconds": number_or_default(&site.facts, Field::GapSeconds).map(|n| n as u32),
        "soak_style": site.soak_style.name(),
    })
}

/// Closed time of the site, as far as it is understood.
fn closed(site: &crate::document::Site) -> Value {
    let (from, until) = &site.closed_hours;
    let read = |text: &str| {
        (!text.trim().is_empty())
            .then(|| super::clock_minute(text))
            .flatten()
    };
    let hours = match (read(from), read(until)) {
        (Some(from), Some(until)) if from != until => {
            vec![json!({ "from": clock(from), "until": clock(until) })]
        }
        _ => Vec::new(),
    };
    let dates = site
        .closed_dates
        .split(|c: char| c.is_whitespace() || c == ',');
    let dates = dates.filter(|date| drycurb_core::calendar::Date::parse(date).is_ok());
    json!({
        "weekdays": super::weekdays(site, false),
        "dates": dates.collect::<Vec<&str>>(),
        "hours": hours,
    })
}

/// The request that compares what is keyed now with the plan kept; `None` while it is not complete.
pub fn asked(document: &Document, month: u32, today: &str) -> Option<Value> {
    let site = document.site();
    let programs = programs(document, today)?;
    let mut asked = around(document, month);
    asked["ask"] = json!("keyed");
    asked["from"] = json!(format!("{today}T12:00"));
    asked["programs"] = Value::Array(programs);
    let plan = &site.planned.answer["programs"];
    if !items(plan).is_empty() {
        asked["plan"] = json!({ "programs": plan });
    }
    asked["price_thousandths_per_m3"] = json!(price(site));
    Some(asked)
}

/// The lowest step of the water price, thousandths of the currency a cubic metre.
fn price(site: &crate::document::Site) -> Option<u32> {
    let price = numbers::read(&site.tiers.first()?.price).ok()?;
    let thousandths = price * 1e6 / site.price_unit.litres();
    (0.0..1e6)
        .contains(&thousandths)
        .then_some(thousandths.round() as u32)
}

/// What one station gets now, and what it should.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// The station's number.
    pub station: u32,
    /// Minutes a week now.
    pub minutes: f64,
    /// Minutes a week as planned, or as needed where there is no plan.
    pub planned: Option<f64>,
    /// Litres a week too much, negative for too little.
    pub litres: Option<f64>,
    /// Share that is expected to run off.
    pub runoff: Option<f64>,
}

/// The stations, one by one.
pub fn rows(document: &Document, answer: &Value, month: u32) -> Vec<Row> {
    let planned = &answer["plan"]["stations"];
    let rows = items(&answer["now"]["stations"]).iter().map(|now| {
        let station = id_of(&now["id"]);
        let minutes = now["week_minutes"].as_f64().unwrap_or(0.0);
        let plan = asked_of(planned, station)["week_minutes"].as_f64();
        let need = || {
            let facts = document.facts_of(kept(document, station)?);
            let answer = worked(station, &facts, month)?.answer;
            Some(f64::from(answer.week_minutes))
        };
        let wanted = plan.or_else(need);
        let flow =
            kept(document, station).and_then(|kept| flow_l_per_min(&document.facts_of(kept)));
        Row {
            station,
            minutes,
            planned: wanted,
            litres: wanted
                .zip(flow)
                .map(|(wanted, flow)| (minutes - wanted) * flow),
            runoff: now["runoff_share"].as_f64(),
        }
    });
    rows.collect()
}

/// Share of a station's water that may run off before it is a finding. The planned runs keep within
/// it (see the core's cycle).
const RUNOFF_SHARE: f64 = 0.02;
/// Share of the planned minutes by which a station may differ. As [`drycurb_core::keyed::FITS`].
const FITS_SHARE: f64 = 0.1;

/// The finding list, heaviest first.
pub fn findings(
    text: &Text,
    document: &Document,
    answer: &Value,
    rows: &[Row],
    units: System,
    comma: bool,
) -> Vec<Line> {
    let t = &text.night;
    let mut lines: Vec<Line> = Vec::new();
    let now = &answer["now"];
    for over in items(&now["over_capacity"]) {
        let flow = over["flow_l_per_min"].as_f64().unwrap_or(0.0);
        let supply = supply_name(text, document.site(), id_of(&over["supply"]));
        let values = [
            ("supply", supply.as_str()),
            ("flow", &Kind::Flow.show_with_sign(flow, units, comma)),
            ("minutes", &whole(&over["week_minutes"]).to_string()),
        ];
        lines.push((true, fill(t.found_over_capacity, &values)));
    }
    lines.extend(replay_findings(text, document, &now["findings"]));
    let litres = |row: &Row| {
        let litres = row.litres.unwrap_or(0.0).abs();
        Kind::Volume.show_with_sign(litres, units, comma)
    };
    for row in rows {
        let Some(planned) = row.planned.filter(|planned| *planned > 0.0) else {
            continue;
        };
        let over = row.minutes - planned;
        if over.abs() <= FITS_SHARE * planned || row.minutes == 0.0 {
            continue;
        }
        let (sentence, wrong) = if over > 0.0 {
            (t.found_too_much, true)
        } else {
            (t.found_too_little, true)
        };
        let values = [
            ("name", name(document, row.station)),
            ("minutes", format!("{:.0}", over.abs())),
            ("percent", percent(over.abs() / planned, 0, comma)),
            ("litres", litres(row)),
        ];
        let values = values.each_ref().map(|(key, value)| (*key, value.as_str()));
        lines.push((wrong, fill(sentence, &values)));
    }
    for row in rows {
        let Some(share) = row.runoff.filter(|share| *share > RUNOFF_SHARE) else {
            continue;
        };
        let values = [
            ("name", name(document, row.station)),
            ("percent", percent(share, 0, comma)),
        ];
        let values = values.each_ref().map(|(key, value)| (*key, value.as_str()));
        lines.push((true, fill(t.found_runoff, &values)));
    }
    lines
}

/// The findings of a replay, alike ones as one: how often, and when first.
pub fn replay_findings(text: &Text, document: &Document, list: &Value) -> Vec<Line> {
    let t = &text.night;
    let mut seen: Vec<(&Value, u32)> = Vec::new();
    for found in items(list) {
        if found["kind"] == "over_capacity" || found["kind"] == "longer_than_limit" {
            continue; // told with its minutes, and with its runoff
        }
        let alike = |(other, _): &&mut (&Value, u32)| {
            ["kind", "program", "station", "by", "start"]
                .iter()
                .all(|name| other[*name] == found[*name])
        };
        match seen.iter_mut().find(alike) {
            Some((_, times)) => *times += 1,
            None => seen.push((found, 1)),
        }
    }
    let said = seen.iter().map(|(found, times)| {
        let kind = found["kind"].as_str().unwrap_or_default();
        let sentence = match kind {
            "start_in_closed" => t.found_start_in_closed,
            "start_skipped_by_clock" => t.found_skipped,
            "start_repeated_by_clock" => t.found_repeated,
            "start_while_running" => t.found_while_running,
            "start_never_fires" => t.found_never_fires,
            "station_busy" => t.found_busy,
            "cut_by_closed" => t.found_cut,
            "dropped_by_closed" => t.found_dropped,
            "outside_window" => t.found_outside,
            "no_water_days" => t.found_no_days,
            "no_starts" => t.found_no_starts,
            "no_steps" => t.found_no_steps,
            _ => t.found_never_waters,
        };
        let word = |name: &str| found[name].as_str().unwrap_or_default();
        let at = word("at").get(..16).unwrap_or_default().replace('T', " ");
        let station = match found["station"].as_str() {
            Some(_) => name(document, id_of(&found["station"])),
            None => String::new(),
        };
        // The planner counts its programs; a panel has letters.
        let program = |name: &str| match word(name).parse::<usize>() {
            Ok(number) => letter(number.wrapping_sub(1)),
            Err(_) => word(name).to_string(),
        };
        let (of, by) = (program("program"), program("by"));
        let values = [
            ("program", of.as_str()),
            ("by", &by),
            ("start", word("start")),
            ("station", &station),
            ("at", &at),
            ("times", &times.to_string()),
        ];
        (true, fill(sentence, &values))
    });
    said.collect()
}

/// The comparison in one paragraph: water a week, runoff, and money a year.
pub fn sums(
    text: &Text,
    document: &Document,
    answer: &Value,
    units: System,
    comma: bool,
) -> String {
    let t = &text.night;
    let litres = |value: &Value| {
        Kind::Volume.show_with_sign(value.as_f64().unwrap_or(0.0).abs(), units, comma)
    };
    let week = litres(&answer["now"]["week_litres"]);
    let runoff = litres(&answer["now"]["week_runoff_litres"]);
    let mut said = fill(t.sums_now, &[("litres", &week), ("runoff", &runoff)]);
    let difference = &answer["difference"];
    if let Some(saved) = difference["year_litres"].as_f64() {
        let sentence = if saved < 0.0 {
            t.sums_more
        } else {
            t.sums_saved
        };
        let planned = litres(&answer["plan"]["week_litres"]);
        let year = litres(&difference["year_litres"]);
        said.push(' ');
        said.push_str(&fill(sentence, &[("litres", &planned), ("year", &year)]));
        if let Some(hundredths) = difference["year_hundredths"].as_f64() {
            let money = numbers::write(hundredths.abs() / 100.0, 2, comma);
            let money = format!("{}\u{a0}{money}", document.site().currency);
            let values = [("money", money.trim())];
            said.push(' ');
            said.push_str(&fill(t.sums_money, &values));
        }
    }
    said
}

/// One line about a program as entered.
pub fn said_of(text: &Text, program: &Program, today: &str) -> String {
    let starts = starts(&program.starts).unwrap_or_default().join(" ");
    let filled = program.minutes.iter();
    let filled = filled.filter(|(_, text)| step_seconds(text).is_some_and(|seconds| seconds > 0));
    let values = [
        ("starts", starts.as_str()),
        ("days", &days_words(text, &days(program, today))),
        ("n", &filled.count().to_string()),
    ];
    fill(text.night.program_line, &values)
}

#[cfg(test)]
mod tests {
    use super::super::tests::{planned, site_of, typed};
    use super::*;
    use crate::document::Language;
    use crate::document::site::Tier;
    use crate::text::text;
    use drycurb_core::lines::answer;

    #[test]
    fn starts_stand_in_one_line() {
        let read = |text| starts(text);
        assert_eq!(read("22:00 23:30").unwrap(), ["22:00", "23:30"]);
        assert_eq!(read("2200, 530;7").unwrap(), ["22:00", "05:30", "07:00"]);
        assert_eq!(read("").unwrap(), Vec::<String>::new());
        assert_eq!(read("22:00 25:00"), None);
        assert_eq!(read("1 2 3 4 5 6 7 8 9"), None);
    }

    #[test]
    fn minutes_of_a_step_are_read() {
        for (text, seconds) in [("7", 420), ("7,5", 450), ("7:30", 450), ("", 0), ("0", 0)] {
            assert_eq!(step_seconds(text), Some(seconds), "{text}");
        }
        for wrong in ["x", "-1", "7:60", "1441"] {
            assert_eq!(step_seconds(wrong), None, "{wrong}");
        }
    }

    fn program(minutes: &[(u32, &str)]) -> Program {
        Program {
            starts: "22:00".into(),
            weekdays: 0b1010101,
            minutes: minutes
                .iter()
                .map(|(id, text)| (*id, text.to_string()))
                .collect(),
            ..Program::default()
        }
    }

    #[test]
    fn a_bad_program_is_found_out() {
        let mut document = site_of(&["40", "30", "20"]);
        planned(&mut document);
        let site = document.site_mut();
        site.tiers = vec![Tier {
            until: String::new(),
            price: "2,50".into(),
        }];
        site.supplies[0]
            .facts
            .numbers
            .set(Field::Capacity, typed("35"));
        let mut bad = program(&[(1, "200"), (2, "5")]);
        bad.starts = "22:00 23:00 09:00".into();
        site.present.programs.push(bad);
        let asked = asked(&document, 7, "2026-07-06").unwrap();
        assert_eq!(asked["price_thousandths_per_m3"], 2500);
        let mut whole = answer(&asked);
        let ok = whole["ok"].take();
        assert!(!ok.is_null(), "{whole}");
        let rows = rows(&document, &ok, 7);
        assert!(rows[0].minutes > rows[0].planned.unwrap());
        assert!(rows[0].litres.unwrap() > 0.0 && rows[2].litres.unwrap() < 0.0);
        let words = text(Language::En);
        let found = findings(words, &document, &ok, &rows, System::Si, false);
        let all: Vec<&str> = found.iter().map(|(_, line)| line.as_str()).collect();
        let all = all.join("\n");
        for part in [
            "Supply 1 is overdrawn",
            "Program A starts again while it still runs",
            "Station 1 runs outside the hours",
            "Station 3 stands in no program",
            "Station 1: ",
            "runs off",
        ] {
            assert!(all.contains(part), "{part} in\n{all}");
        }
        let sums = sums(words, &document, &ok, System::Si, false);
        assert!(sums.contains("a year"), "{sums}");
    }

    #[test]
    fn what_is_not_understood_is_not_asked() {
        let mut document = site_of(&["40"]);
        assert_eq!(asked(&document, 7, "2026-07-06"), None, "nothing entered");
        document
            .site_mut()
            .present
            .programs
            .push(program(&[(1, "7x")]));
        assert_eq!(asked(&document, 7, "2026-07-06"), None);
        let bad = &mut document.site_mut().present.programs[0];
        bad.set_minutes(1, "7");
        bad.percent = "400".into();
        assert!(wrong(bad).percent);
        assert_eq!(asked(&document, 7, "2026-07-06"), None);
    }

    #[test]
    fn present_programs_survive_writing_and_reading() {
        let mut document = site_of(&["40", "30"]);
        planned(&mut document);
        let site = document.site_mut();
        site.present.programs.push(program(&[(2, "7:30"), (1, "")]));
        site.planned.ticks.push("0 d 1".into());
        let read = Document::read(&document.write()).unwrap();
        assert_eq!(read.sites, document.sites);
    }
}
