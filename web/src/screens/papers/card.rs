//! The card for the cabinet door: one page, in the app and as a file of its own.

use serde_json::Value;

use super::today;
use crate::document::Document;
use crate::document::json::items;
use crate::field::Field;
use crate::later::plan_is_old;
use crate::night::now::letter;
use crate::night::said::{days_words, name, time};
use crate::night::{clock_minute, id_of, whole};
use crate::papers::{CARD_DATA, file_name, only_site, without_photos};
use crate::rules::closed_minutes;
use crate::screens::pocket::texture_word;
use crate::screens::site;
use crate::screens::year::{beyond_words, program_name, short_month};
use crate::session::Session;
use crate::sheet::Sheet;
use crate::station::{number, number_or_default, work_out};
use crate::text::fill;
use crate::units::Kind;
use crate::year;

/// What stands where there is nothing to say.
pub const NONE: &str = "—";

/// A station's row.
pub struct Row {
    /// Its name.
    pub name: String,
    /// A day's runs and soak by its facts alone; a dash where those are not complete.
    pub split: String,
    /// Days a week.
    pub days: String,
    /// Minutes a week.
    pub week: String,
    /// Soil, slope and rate.
    pub facts: String,
}

/// The programs that were planned.
pub fn planned(document: &Document) -> &[Value] {
    document.site().planned.programs()
}

/// What the plan does with a station: of each of its programs the letter, runs and minutes; and the days.
fn of_plan(sheet: &Sheet, programs: &[Value], id: u32, row: &mut Row) {
    let (mut runs, mut days) = (String::new(), String::new());
    for (place, program) in programs.iter().enumerate() {
        for step in items(&program["steps"]) {
            if !items(&step["stations"]).iter().any(|one| id_of(one) == id) {
                continue;
            }
            let between = if runs.is_empty() { "" } else { ", " };
            runs = format!(
                "{runs}{between}{}\u{a0}{}\u{a0}×\u{a0}{}\u{a0}{}",
                letter(place),
                items(&program["starts"]).len(),
                whole(&step["seconds"]) / 60,
                sheet.text.minutes_short
            );
            let said = days_words(sheet.text, &program["days"]);
            if !days.contains(&said) {
                days = format!("{days}{between}{said}");
            }
        }
    }
    if !runs.is_empty() {
        (row.split, row.days) = (runs, days);
    }
}

/// The month, from 0, that the card's own percents are of, where they are of no plan: its minutes are that
/// month's. `None` where there are no percents.
fn base_month(document: &Document) -> Option<usize> {
    let wanted = year::wanted(document).filter(|wanted| wanted.planned == 0)?;
    let rows = year::rows(&wanted, None).ok()?;
    Some(rows.usual.base_month)
}

/// Every station of the open site; minutes of no plan are those of a month, from 0, or of the site's own.
pub fn rows(sheet: &Sheet, document: &Document, month: Option<usize>) -> Vec<Row> {
    let text = sheet.text;
    let (units, comma) = (sheet.session.units(), sheet.session.comma);
    let site = document.site();
    let season = document.season(sheet.session.month);
    let programs = planned(document);
    let rows = document.stations().map(|kept| {
        let mut row = Row {
            name: kept.name.clone(),
            split: NONE.into(),
            days: NONE.into(),
            week: NONE.into(),
            facts: String::new(),
        };
        let mut facts = document.ruled_facts_of(kept);
        if let Some(month) = month {
            facts.month = Some(month as u32 + 1);
        }
        if let Ok(outcome) = work_out(&facts, &season) {
            if programs.is_empty() {
                let answer = outcome.answer;
                let (runs, minutes) = (answer.split.runs, answer.split.run_minutes);
                row.split = format!("{runs} × {minutes} {}", text.minutes_short);
                if let Some(soak) = answer.soak_minutes.filter(|soak| *soak > 0) {
                    let minutes = text.minutes_short;
                    row.split = format!(
                        "{}, {} {soak} {minutes}",
                        row.split,
                        sheet.later().papers.soak
                    );
                }
                row.days = answer.days.to_string();
                row.week = format!("{}\u{a0}{}", answer.week_minutes, text.minutes_short);
            }
            let slope =
                Kind::Percent.show_with_sign(outcome.ground.slope.to_percent(), units, comma);
            let rate = Kind::Rate.show_with_sign(outcome.rate.to_mm_per_h(), units, comma);
            row.facts = format!(
                "{} {slope}, {rate}",
                texture_word(outcome.ground.soil)(text)
            );
        }
        of_plan(sheet, programs, kept.id, &mut row);
        if site.supplies.len() > 1 {
            let supply = &site.supply(kept.supply).name;
            let between = if row.facts.is_empty() { "" } else { " · " };
            row.facts = format!("{}{between}{supply}", row.facts);
        }
        row
    });
    rows.collect()
}

/// Says where the plan is older than the facts, or does not fit its hours, as the Night does.
pub fn warn(sheet: &mut Sheet, document: &Document) {
    if plan_is_old(document) {
        let said = sheet.later().papers.stale;
        sheet.put("<p class=\"alarm\"><b>{}</b></p>", &[said]);
    }
    late(sheet, document);
}

/// Says where the programs run past the hours, as the Night does.
fn late(sheet: &mut Sheet, document: &Document) {
    let answer = &document.site().planned.answer;
    let end = whole(&answer["finish_second"]).div_ceil(60);
    let over = end.saturating_sub(whole(&answer["window_minutes"]));
    let opens = answer["window_start"].as_str().and_then(clock_minute);
    let Some(opens) = opens.filter(|_| over > 0 && !planned(document).is_empty()) else {
        return;
    };
    let values = [
        ("n", &*over.to_string()),
        ("time", &time(document, (opens + end) % 1440)),
    ];
    let said = fill(sheet.later().papers.late, &values);
    sheet.put("<p class=\"alarm\"><b>{}</b></p>", &[&said]);
}

fn is_here(document: &Document, id: u32) -> bool {
    document.stations().any(|kept| kept.id == id)
}

/// The card's markup.
pub fn draw(sheet: &mut Sheet, document: &Document) {
    let text = &sheet.later().papers;
    let site = document.site();
    let who = document.own.get("who");
    let by = if who.is_empty() {
        String::new()
    } else {
        format!(" · {} {who}", text.by)
    };
    let month = base_month(document);
    let rows = rows(sheet, document, month);
    // With a plan there is one schedule on the page: that of the programs.
    let planned = !planned(document).is_empty();
    sheet.put(
        "<article class=\"paper wide\" tabindex=\"0\"><h2>{}</h2><p>Drycurb · {}{}</p>",
        &[site::name(sheet.text, site), &today(), &by],
    );
    warn(sheet, document);
    sheet.put(
        "<table><thead><tr><th>#</th><th>{}</th><th>{}</th><th>{}</th>",
        &[
            sheet.later().year.station,
            text.run,
            if planned { text.water_days } else { text.days },
        ],
    );
    if !planned {
        let week = match month {
            Some(month) => fill(text.week_of, &[("month", short_month(sheet.text, month))]),
            None => sheet.text.this_week.into(),
        };
        sheet.put("<th>{}</th>", &[&week]);
    }
    sheet.put("</tr></thead><tbody>", &[]);
    for (at, row) in rows.iter().enumerate() {
        sheet.put(
            "<tr><td>{}</td><td>{}<small>{}</small></td><td>{}</td><td>{}</td>",
            &[
                &(at + 1).to_string(),
                &row.name,
                &row.facts,
                &row.split,
                &row.days,
            ],
        );
        if !planned {
            sheet.put("<td>{}</td>", &[&row.week]);
        }
        sheet.put("</tr>", &[]);
    }
    sheet.put("</tbody></table>", &[]);
    programs(sheet, document);
    pause(sheet, document);
    percents(sheet, document);
    sheet.put("<p>", &[]);
    let (units, comma) = (sheet.session.units(), sheet.session.comma);
    for supply in &site.supplies {
        if let Ok(Some(flow)) = number(&supply.facts, Field::Capacity) {
            let flow = Kind::Flow.show_with_sign(flow, units, comma);
            sheet.put("{} {}: {}. ", &[text.supply, &supply.name, &flow]);
        }
    }
    let hours = number_or_default(&site.facts, Field::WindowHours).unwrap_or_default();
    let from = clock_time(document, &site.facts.window_from);
    let hours = format!("{from} + {} h", crate::numbers::write_short(hours, comma));
    sheet.put("{}: {}.", &[sheet.text.night_place, &hours]);
    if let Some((from, to)) = closed_minutes(site).filter(|(from, to)| from != to) {
        let (from, to) = (time(document, from), time(document, to));
        let values = [("from", &*from), ("to", &*to)];
        sheet.put(" {}", &[&fill(text.closed, &values)]);
    }
    let dates = site.closed_dates.trim();
    if !dates.is_empty() {
        sheet.put(" {}", &[&fill(text.closed_dates, &[("dates", dates)])]);
    }
    sheet.put("</p><p class=\"how\">{}</p></article>", &[text.cautions]);
}

/// A time of day as the Night shows it: what is carried to the panel is read in both places. What is
/// not understood stays as it was typed.
#[inline(never)]
fn clock_time(document: &Document, written: &str) -> String {
    clock_minute(written).map_or_else(|| written.into(), |minute| time(document, minute))
}

/// A planned station's name: of one that was deleted since, with that. (The Night's own would bring
/// all of its words.)
fn planned_name(sheet: &Sheet, document: &Document, id: u32) -> String {
    let name = name(document, id);
    if is_here(document, id) {
        name
    } else {
        fill(sheet.later().papers.deleted, &[("name", &name)])
    }
}

/// What was planned last, to key: days, starts, and minutes in their order.
fn programs(sheet: &mut Sheet, document: &Document) {
    let text = &sheet.text.night;
    for (place, program) in planned(document).iter().enumerate() {
        let starts = items(&program["starts"]).iter();
        let starts = starts.filter_map(Value::as_str);
        let starts: Vec<String> = starts.map(|start| clock_time(document, start)).collect();
        let steps = items(&program["steps"]).iter().map(|step| {
            let stations = items(&step["stations"]).iter();
            let stations = stations.map(|id| planned_name(sheet, document, id_of(id)));
            format!(
                "{}: {}\u{a0}{}",
                stations.collect::<Vec<String>>().join(" + "),
                whole(&step["seconds"]) / 60,
                sheet.text.minutes_short
            )
        });
        let steps = steps.collect::<Vec<String>>().join("; ");
        sheet.put(
            "<p><b>{}</b> {} · {} · {}</p>",
            &[
                &fill(text.program, &[("n", &letter(place))]),
                &days_words(sheet.text, &program["days"]),
                &starts.join(", "),
                &steps,
            ],
        );
    }
}

/// The pause that the plan rests on, where the panel must be told.
fn pause(sheet: &mut Sheet, document: &Document) {
    let seconds = whole(&document.site().planned.answer["gap_seconds"]);
    if seconds > 0 && !planned(document).is_empty() {
        let seconds = [("seconds", &*seconds.to_string())];
        sheet.put("<p>{}</p>", &[&fill(sheet.text.night.key_gap, &seconds)]);
    }
}

/// A row of twelve percents for each program.
fn percents(sheet: &mut Sheet, document: &Document) {
    let Some(wanted) = year::wanted(document) else {
        return;
    };
    let Ok(rows) = year::rows(&wanted, None) else {
        return;
    };
    sheet.put("<table class=\"percents\"><thead><tr><th>%</th>", &[]);
    for month in sheet.later().year.letters.chars() {
        sheet.put("<th>{}</th>", &[&month.to_string()]);
    }
    sheet.put("</tr></thead><tbody>", &[]);
    let mut names = Vec::new();
    let mut beyond = false;
    for program in 0..wanted.shown() {
        names.push(program_name(sheet.text, &wanted, program));
        sheet.put("<tr><td><b>{}</b></td>", &[&letter(program)]);
        for month in &rows.usual.months {
            let setting = month.programs.get(program);
            let too_much = setting.is_some_and(|setting| wanted.is_too_much(setting));
            let mark = if too_much { "!" } else { "" };
            beyond |= too_much;
            sheet.put("<td>{}{}</td>", &[&year::percent_of(month, program), mark]);
        }
        sheet.put("</tr>", &[]);
    }
    let words = &sheet.later().papers;
    let base = short_month(sheet.text, rows.usual.base_month);
    let said = match wanted.planned {
        0 => format!(
            "{}: 100 % = {base}. {}.",
            words.percent_of,
            names.join(", ")
        ),
        _ => fill(words.percent_of_plan, &[("month", base)]),
    };
    sheet.put("</tbody></table><p>{}</p>", &[&said]);
    if wanted.planned == 0 && wanted.sky.rain {
        sheet.put("<p>{}</p>", &[words.rain_in]);
    }
    if beyond {
        let said = beyond_words(&sheet.later().year, &wanted);
        sheet.put("<p>! {}</p>", &[&said]);
    }
}

const STYLE: &str = "body{font:11pt/1.3 system-ui,sans-serif;margin:1rem;max-width:50rem;color:#000;\
     background:#fff}table{border-collapse:collapse;width:100%;margin:.6rem 0}th,td{border-bottom:1px \
     solid #000;padding:.2rem .3rem;text-align:right}th:first-child,td:first-child,td:nth-child(2)\
     {text-align:left}small{display:block}.percents td{text-align:right!important}@page{margin:12mm}\
     tr{break-inside:avoid}@media print{body{margin:0;font-size:9pt}small{display:inline}th,td{padding:\
     1px .3rem}td:nth-child(3){white-space:nowrap}}";

/// The card as one file that any phone opens and the page reads back.
pub fn give(session: Session, document: &Document) {
    let mut sheet = Sheet::new(session);
    draw(&mut sheet, document);
    let name = site::name(sheet.text, document.site()).to_string();
    let title = fill("{name} · Drycurb", &[("name", &name.replace('<', ""))]);
    let data = without_photos(&only_site(document))
        .write()
        .replace('<', "\\u003c");
    let card = sheet.into_text();
    let file = format!(
        "<!doctype html><html><head><meta charset=\"utf-8\"><meta name=\"viewport\" \
         content=\"width=device-width\"><title>{title}</title><style>{STYLE}</style></head><body>\
         {card}<script type=\"application/json\" {CARD_DATA}{data}</script></body></html>"
    );
    let name = file_name(&document.site().name, "card.html");
    crate::platform::give(&name, "text/html", &file);
}
