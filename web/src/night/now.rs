//! What is keyed now: the present programs as a request of the JSON door, and what is found wrong.

use serde_json::Value;

use super::said::{Line, days_words, name, names, percent, supply_name, time_of, water};
use super::{
    asked_of, clock, comma, digits, id_of, json_field, json_number, json_weekdays, json_with, kept,
    looked_from, whole, window, worked,
};
use crate::document::json::{items, of_draft};
use crate::document::present::{DaysKind, Present, Program};
use crate::document::site::json::of_site;
use crate::document::{Document, Named, Site};
use crate::field::Field;
use crate::json::{parse, print};
use crate::numbers;
use crate::screens::year::money;
use crate::station::{flow_l_per_min, request};
use crate::text::{Text, fill, fill_with};
use crate::units::{Kind, System};
use drycurb_core::decimal::fixed;

/// Reads start times in one line; `None` when one of them is none, or there are more than eight.
pub fn starts(text: &str) -> Option<Vec<String>> {
    let mut parts: Vec<String> = Vec::new();
    let typed = text.split(|c: char| c.is_whitespace() || matches!(c, ',' | ';' | '/'));
    for part in typed.filter(|part| !part.is_empty()) {
        match parts.last_mut() {
            // `10:30 pm`, `10:30 p. m.`
            Some(last) if part.starts_with(['a', 'p', 'm', 'A', 'P', 'M']) => last.push_str(part),
            // A keyboard of digits may have nothing but a point to put between: `2200.2330`.
            _ if part.split('.').all(|one| one.len() > 2) => {
                parts.extend(part.split('.').map(String::from));
            }
            _ => parts.push(part.into()),
        }
    }
    let read = parts
        .iter()
        .map(|part| Some(clock(super::clock_minute(part)?)));
    let read: Option<Vec<String>> = read.collect();
    read.filter(|starts| starts.len() <= 8)
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

/// Whether there are programs, and all that was typed is understood.
pub fn is_understood(present: &Present) -> bool {
    let fine = |program: &Program| wrong(program) == Wrong::default();
    !present.programs.is_empty() && present.programs.iter().all(fine)
}

/// A program's letter on the page and at the JSON door.
pub fn letter(place: usize) -> String {
    char::from_u32(u32::from(b'A') + place as u32).map_or_else(String::new, |c| c.to_string())
}

/// A program's water days as the JSON door asks for them.
pub fn days(program: &Program, today: &str) -> String {
    match program.days {
        DaysKind::Weekdays => json_with(r#"{"weekdays":@}"#, &[&json_weekdays(program.weekdays)]),
        DaysKind::Odd => r#"{"odd":true}"#.into(),
        DaysKind::Even => r#"{"even":true}"#.into(),
        DaysKind::Every => {
            let first = program.first.as_str();
            let known = drycurb_core::calendar::Date::parse(first).is_ok();
            let every = typed(&program.every, 1, 31, 1).unwrap_or(1);
            json_with(
                r#"{"every":@,"from":"@"}"#,
                &[&digits(every), if known { first } else { today }],
            )
        }
    }
}

/// The present programs as a JSON list; `None` while one is not understood or none is entered.
fn programs(document: &Document, today: &str) -> Option<String> {
    let site = document.site();
    let list = &site.present.programs;
    let mut out = String::new();
    if !is_understood(&site.present) {
        return None;
    }
    for (place, program) in list.iter().enumerate() {
        // A panel runs its stations in their order.
        let mut steps = String::new();
        for kept in document.stations() {
            let seconds = step_seconds(program.minutes_of(kept.id))?;
            if seconds > 0 {
                steps.push_str(&json_with(
                    r#"@{"stations":["@"],"seconds":@}"#,
                    &[comma(&steps), &digits(kept.id), &digits(seconds)],
                ));
            }
        }
        let starts = starts(&program.starts)?.join("\",\"");
        let starts = if starts.is_empty() {
            String::new()
        } else {
            json_with("\"@\"", &[&starts])
        };
        out.push_str(&json_with(
            r#"@{"id":"@","starts":[@],"days":@,"sharing":@,"adjust_percent":@,"steps":[@]}"#,
            &[
                comma(&out),
                &letter(place),
                &starts,
                &days(program, today),
                if site.sharing { "true" } else { "false" },
                &digits(typed(&program.percent, 0, 300, 100)?),
                &steps,
            ],
        ));
    }
    Some(out)
}

/// Everything of a replay but the programs and the dates, as the inside of a JSON object: stations,
/// supplies, window, closed time.
pub fn around(document: &Document, month: u32) -> String {
    let site = document.site();
    let mut stations = String::new();
    let season = document.season(month);
    for kept in document.stations() {
        let facts = document.ruled_facts_of(kept);
        let mut known = String::new();
        if let Some(outcome) = worked(kept.id, &facts, &season) {
            known = print(&request(&outcome));
            known.pop();
            known.remove(0);
            let split = outcome.answer.split;
            if split.runs > 0 {
                known.push_str(&json_with(
                    r#","longest_run_minutes":@,"soak_minutes":@"#,
                    &[&digits(split.run_minutes), &digits(split.soak_minutes)],
                ));
            }
            known.push(',');
        }
        stations.push_str(&json_with(
            r#"@{@"id":"@","flow_l_per_min":@,"supply":"@"}"#,
            &[
                comma(&stations),
                &known,
                &digits(kept.id),
                &json_number(flow_l_per_min(&facts)),
                &digits(site.supply(kept.supply).id),
            ],
        ));
    }
    let mut supplies = String::new();
    for supply in &site.supplies {
        supplies.push_str(&json_with(
            r#"@{"id":"@","capacity_l_per_min":@}"#,
            &[
                comma(&supplies),
                &digits(supply.id),
                &json_field(&supply.facts, Field::Capacity),
            ],
        ));
    }
    let open = window(site).filter(|(_, minutes)| *minutes < 1440);
    let open = open.map_or_else(
        || "null".into(),
        |(opens, minutes)| from_until(opens, opens + minutes),
    );
    json_with(
        r#""stations":[@],"supplies":[@],"window":@,"closed":@"#,
        &[&stations, &supplies, &open, &closed(site)],
    )
}

/// Hours of a day as JSON.
fn from_until(from: u32, until: u32) -> String {
    json_with(
        r#"{"from":"@","until":"@"}"#,
        &[&clock(from), &clock(until)],
    )
}

/// Closed time of the site, as far as it is understood.
fn closed(site: &Site) -> String {
    let read = |text: &str| match text.trim() {
        "" => None,
        text => super::clock_minute(text),
    };
    let hours = match (read(&site.closed_hours.0), read(&site.closed_hours.1)) {
        (Some(from), Some(until)) if from != until => from_until(from, until),
        _ => String::new(),
    };
    let mut dates = String::new();
    for date in site.closed_dates.split([' ', ',', '\n']) {
        if drycurb_core::calendar::Date::parse(date).is_ok() {
            dates.push_str(&json_with("@\"@\"", &[comma(&dates), date]));
        }
    }
    let closed = json_weekdays(127 ^ u32::from(site.weekdays) & 127);
    json_with(
        r#"{"weekdays":@,"dates":[@],"hours":[@]}"#,
        &[&closed, &dates, &hours],
    )
}

/// The request that compares what is keyed now with the plan kept; `None` while it is not complete.
pub fn asked(document: &Document, month: u32, today: &str) -> Option<String> {
    let site = document.site();
    let programs = programs(document, today)?;
    let answer = &site.planned.answer;
    let plan = match items(&answer["programs"]) {
        [] => "null".into(),
        _ => json_with(r#"{"programs":@}"#, &[&print(&answer["programs"])]),
    };
    let from = looked_from(document, month, today);
    Some(json_with(
        r#"{"ask":"keyed","from":"@T12:00","programs":[@],"plan":@,"tariff":@,"gap_seconds":@,"soak_style":"@",@}"#,
        &[
            &from,
            &programs,
            &plan,
            &tariff(site),
            &json_field(&site.facts, Field::GapSeconds),
            site.soak_style.name(),
            &around(document, month),
        ],
    ))
}

/// A number that other programs, plans or facts change: of all that a comparison rests on.
pub fn mark(document: &Document) -> String {
    let mut bare = document.site().clone();
    // What changes no litre.
    bare.id = 0;
    bare.name.clear();
    bare.note.clear();
    bare.currency.clear();
    bare.tiers.clear();
    bare.quote.clear();
    bare.words = Default::default();
    for name in ["months", "own_et", "own_unit"] {
        bare.words.set(name, document.site().words.get(name));
    }
    bare.planned.ticks.clear();
    let mut text = print(&of_site(&bare));
    for kept in document.stations() {
        text.push_str(&print(&of_draft(&kept.draft)));
        text.push_str(&digits(kept.supply));
    }
    // FNV-1a, 32 bits.
    let mix = |hash: u32, byte: u8| (hash ^ u32::from(byte)).wrapping_mul(0x0100_0193);
    digits(text.bytes().fold(0x811c_9dc5, mix))
}

/// Keeps what a comparison found in a week, for the quote: litres now and as planned, for which month,
/// when, and the mark of what it rests on.
pub fn keep(document: &mut Document, answer: &Value, month: u32, today: &str) {
    let more = rows(document, answer, month).into_iter().filter_map(|row| {
        let facts = document.ruled_facts_of(kept(document, row.station)?);
        Some((row.minutes - row.planned?) * flow_l_per_min(&facts)?)
    });
    let more: f64 = more.sum();
    let now = answer["now"]["week_litres"].as_f64().unwrap_or(0.0);
    let mark = mark(document);
    let site = document.site_mut();
    let month = site.facts.month.unwrap_or(month);
    for (name, value) in [
        ("compared_on", today),
        ("compared_month", &digits(month)),
        ("compared_now", &json_number(Some(now))),
        ("compared_plan", &json_number(Some(now - more))),
        ("compared_of", &mark),
    ] {
        site.words.set(name, value);
    }
}

/// The steps of the water price at the JSON door.
fn tariff(site: &Site) -> String {
    let mut list = String::new();
    for (until, price) in crate::year::tiers(site).unwrap_or_default() {
        list.push_str(&json_with(
            r#"@{"until_thousandths":@,"price_thousandths":@}"#,
            &[
                comma(&list),
                &until.map_or_else(|| "null".into(), digits),
                &digits(price),
            ],
        ));
    }
    if list.is_empty() {
        return "null".into();
    }
    json_with(
        r#"{"unit":"@","tiers":[@]}"#,
        &[site.price_unit.name(), &list],
    )
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
    /// Minutes a week that the plants need.
    pub need: Option<f64>,
    /// Minutes a week too much, negative for too little. What lies between the need and the plan, whose
    /// minutes are whole ones in each pass, is neither.
    pub off: Option<f64>,
    /// Litres a week too much, negative for too little.
    pub litres: Option<f64>,
    /// Share that is expected to run off.
    pub runoff: Option<f64>,
}

/// The stations, one by one.
pub fn rows(document: &Document, answer: &Value, month: u32) -> Vec<Row> {
    let planned = &answer["plan"]["stations"];
    let season = document.season(month);
    let rows = items(&answer["now"]["stations"]).iter().map(|now| {
        let station = id_of(&now["id"]);
        let minutes = now["week_minutes"].as_f64().unwrap_or(0.0);
        let plan = asked_of(planned, station)["week_minutes"].as_f64();
        let need = || {
            let facts = document.ruled_facts_of(kept(document, station)?);
            let answer = worked(station, &facts, &season)?.answer;
            Some(f64::from(answer.week_minutes))
        };
        let need = need();
        let off = need.or(plan).map(|need| {
            let most = plan.unwrap_or(need).max(need);
            // Not `clamp`: between bounds that are no constants it brings 3.5 kB along.
            minutes - minutes.max(need).min(most)
        });
        let flow =
            kept(document, station).and_then(|kept| flow_l_per_min(&document.facts_of(kept)));
        Row {
            station,
            minutes,
            planned: plan.or(need),
            need,
            off,
            litres: off.zip(flow).map(|(off, flow)| off * flow),
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
    lines.extend(replay_findings(text, document, &now["findings"], None));
    let litres = |row: &Row| water(row.litres.unwrap_or(0.0).abs(), units, comma);
    for row in rows {
        let Some(over) = row.off.filter(|_| row.minutes > 0.0) else {
            continue;
        };
        let wanted = row.minutes - over;
        if wanted <= 0.0 || over.abs() <= FITS_SHARE * wanted {
            continue;
        }
        let (sentence, wrong) = if over > 0.0 {
            (t.found_too_much, true)
        } else {
            (t.found_too_little, true)
        };
        let values = [
            ("name", name(document, row.station)),
            ("minutes", fixed(over.abs(), 0).to_string()),
            ("percent", percent(over.abs() / wanted, 0, comma)),
            ("litres", litres(row)),
        ];
        lines.push((wrong, fill_with(sentence, &values)));
    }
    for row in rows {
        let Some(share) = row.runoff.filter(|share| *share > RUNOFF_SHARE) else {
            continue;
        };
        let values = [
            ("name", name(document, row.station)),
            ("percent", percent(share, 0, comma)),
        ];
        lines.push((true, fill_with(t.found_runoff, &values)));
    }
    lines
}

/// Findings of a replay that are alike but for their stations.
struct Alike<'a> {
    found: &'a Value,
    stations: Vec<u32>,
    times: u32,
}

/// The findings of a replay, alike ones as one: which stations, how often in so many nights (four
/// weeks for none), and when first.
pub fn replay_findings(
    text: &Text,
    document: &Document,
    list: &Value,
    nights: Option<u32>,
) -> Vec<Line> {
    let t = &text.night;
    let span = nights.map_or_else(
        || t.in_four_weeks.into(),
        |nights| fill(t.in_nights, &[("n", &digits(nights))]),
    );
    let mut seen: Vec<Alike> = Vec::new();
    for found in items(list) {
        let kind = &found["kind"];
        // What stands in the panel has these told with their minutes, and with the runoff.
        if nights.is_none() && kind == "over_capacity" || kind == "longer_than_limit" {
            continue;
        }
        let alike = |other: &Value| {
            let names = ["kind", "program", "by", "start", "supply"];
            names.iter().all(|name| other[*name] == found[*name])
        };
        let place = match seen.iter().position(|one| alike(one.found)) {
            Some(place) => place,
            None => {
                seen.push(Alike {
                    found,
                    stations: Vec::new(),
                    times: 0,
                });
                seen.len() - 1
            }
        };
        seen[place].times += 1;
        let station = id_of(&found["station"]);
        if station > 0 && !seen[place].stations.contains(&station) {
            seen[place].stations.push(station);
        }
    }
    let mut lines = Vec::new();
    for one in seen {
        let word = |name: &str| one.found[name].as_str().unwrap_or_default();
        let sentence = match word("kind") {
            "start_in_closed" => t.found_start_in_closed,
            "start_skipped_by_clock" => t.found_skipped,
            "start_repeated_by_clock" => t.found_repeated,
            "start_while_running" => t.found_while_running,
            "start_never_fires" => t.found_never_fires,
            "station_busy" => t.found_busy,
            "over_capacity" => t.found_overdrawn,
            "cut_by_closed" => t.found_cut,
            "dropped_by_closed" => t.found_dropped,
            "outside_window" => t.found_outside,
            "no_water_days" => t.found_no_days,
            "no_starts" => t.found_no_starts,
            "no_steps" => t.found_no_steps,
            _ => t.found_never_waters,
        };
        let at = time_of(document, word("at"));
        // The planner counts its programs; a panel has letters.
        let program = |name: &str| match whole_of(word(name)) {
            Some(number) => letter(number.wrapping_sub(1) as usize),
            None => word(name).to_string(),
        };
        let values = [
            ("program", program("program")),
            ("by", program("by")),
            ("start", time_of(document, word("start"))),
            ("span", span.clone()),
            (
                "supply",
                supply_name(text, document.site(), id_of(&one.found["supply"])),
            ),
            ("station", names(document, &one.stations)),
            ("at", at),
            ("times", digits(one.times)),
        ];
        lines.push((true, fill_with(sentence, &values)));
    }
    lines
}

/// A program's number, where it has one.
fn whole_of(word: &str) -> Option<u32> {
    let number = id_of(&Value::from(word));
    (word.bytes().all(|byte| byte.is_ascii_digit()) && number > 0).then_some(number)
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
    let litres = |value: &Value| water(value.as_f64().unwrap_or(0.0).abs(), units, comma);
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
        let money = |name: &str| {
            let hundredths = difference[name].as_i64()?.abs();
            Some(money(document.site(), hundredths, comma))
        };
        let [now, planned, less] =
            ["now", "plan", "year"].map(|of| money(&[of, "_hundredths"].concat()));
        if let (Some(now), Some(planned), Some(less)) = (now, planned, less) {
            let values = [("now", &*now), ("planned", &*planned), ("money", &*less)];
            said.push(' ');
            said.push_str(&fill(t.sums_money, &values));
        }
    }
    said
}

/// One line about a program as entered.
pub fn said_of(text: &Text, document: &Document, program: &Program, today: &str) -> String {
    let starts = starts(&program.starts).unwrap_or_default();
    let shown: Vec<String> = starts.iter().map(|at| time_of(document, at)).collect();
    let starts = shown.join(" ");
    let filled = program.minutes.iter();
    let filled = filled.filter(|(_, text)| step_seconds(text).is_some_and(|seconds| seconds > 0));
    let values = [
        ("starts", starts.as_str()),
        (
            "days",
            &days_words(text, &parse(&days(program, today)).unwrap_or_default()),
        ),
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
        let evening = ["22:00", "22:30", "05:00"];
        assert_eq!(read("10pm 10:30 PM, 5 a.m.").unwrap(), evening);
        assert_eq!(read("10 p. m. 10:30 p. m. 5").unwrap(), evening);
        assert_eq!(read("2200.2230.0500").unwrap(), evening);
        assert_eq!(read("22.00 22.30 5.00").unwrap(), evening);
        assert_eq!(read("pm"), None);
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
        site.currency = "$".into();
        site.tiers = typed_tiers(&[("40", "2,50"), ("7", "3")]);
        site.supplies[0]
            .facts
            .numbers
            .set(Field::Capacity, typed("35"));
        let mut bad = program(&[(1, "200"), (2, "5")]);
        bad.starts = "22:00 23:00 09:00".into();
        site.present.programs.push(bad);
        let asked = asked(&document, 7, "2026-07-06").unwrap();
        let steps = r#""tariff":{"unit":"m3","tiers":[{"until_thousandths":40000,"price_thousandths":2500},{"until_thousandths":null,"price_thousandths":3000}]}"#;
        assert!(asked.contains(steps), "{asked}");
        let mut whole = answer(&parse(&asked).unwrap());
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
            "Outside the hours in program A: Station 1",
            "In no program, so without water: Station 3",
            "Station 1: ",
            "runs off",
        ] {
            assert!(all.contains(part), "{part} in\n{all}");
        }
        let sums = sums(words, &document, &ok, System::Si, false);
        let costs = drycurb_core::money::decimal::write(
            ok["difference"]["now_hundredths"].as_i64().unwrap(),
            2,
            false,
        );
        assert!(sums.contains(&format!("costs ${costs} as keyed")), "{sums}");
        keep(&mut document, &ok, 7, "2026-07-06");
        let kept = |name: &str| document.site().words.get(name).to_string();
        assert_eq!(
            (&*kept("compared_on"), &*kept("compared_month")),
            ("2026-07-06", "7")
        );
        let litres = |name: &str| numbers::read(&kept(name)).unwrap();
        for (name, side) in [("compared_now", "now"), ("compared_plan", "plan")] {
            let told = ok[side]["week_litres"].as_f64().unwrap();
            assert!((litres(name) - told).abs() < 1e-6, "{name}");
        }
        assert_eq!(kept("compared_of"), mark(&document));
    }

    #[test]
    fn what_lies_between_need_and_plan_is_not_wrong() {
        let document = site_of(&["40"]);
        let facts = document.facts_of(&document.kept[0]);
        let need = f64::from(worked(1, &facts, &7.into()).unwrap().answer.week_minutes);
        let answer = |now: f64, plan: f64| {
            let asked = json_with(
                r#"{"now":{"stations":[{"id":"1","week_minutes":@}]},"plan":{"stations":[{"id":"1","week_minutes":@}]}}"#,
                &[&json_number(Some(now)), &json_number(Some(plan))],
            );
            parse(&asked).unwrap()
        };
        let off = |now: f64, plan: f64| rows(&document, &answer(now, plan), 7)[0].off.unwrap();
        assert_eq!(off(2.0 * need, 3.0 * need), 0.0);
        assert_eq!(off(need - 5.0, 3.0 * need), -5.0);
        assert_eq!(off(3.0 * need + 4.0, 3.0 * need), 4.0);
        assert_eq!(off(need + 4.0, need - 1.0), 4.0);
    }

    fn typed_tiers(list: &[(&str, &str)]) -> Vec<Tier> {
        let tiers = list.iter().map(|(until, price)| Tier {
            until: until.to_string(),
            price: price.to_string(),
        });
        tiers.collect()
    }

    #[test]
    fn a_replay_speaks_of_its_own_nights() {
        let document = site_of(&["40"]);
        let found = drycurb_core::json!([
            { "kind": "outside_window", "program": "1", "station": "1", "at": "2026-07-06T06:30:00" },
            { "kind": "outside_window", "program": "1", "station": "1", "at": "2026-07-07T06:30:00" },
            { "kind": "over_capacity", "supply": "1", "at": "2026-07-06T22:00:00" },
        ]);
        let said = |nights| {
            let lines = replay_findings(text(Language::En), &document, &found, nights);
            let lines: Vec<String> = lines.into_iter().map(|(_, line)| line).collect();
            lines.join("\n")
        };
        assert_eq!(
            said(Some(14)),
            "Outside the hours in program A: Station 1 (2 runs in 14 nights, first 2026-07-06 06:30).\n\
             Supply 1 is overdrawn 1 times in 14 nights, first 2026-07-06 22:00."
        );
        assert!(said(None).ends_with("(2 runs in four weeks, first 2026-07-06 06:30)."));
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
