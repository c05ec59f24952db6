//! Year: what to key month by month, what it takes, costs, and does to the roots.

mod picture;
mod roots;
mod source;

use drycurb_core::money::{Money, decimal};
use drycurb_core::paper::year::Year;

use crate::document::{Document, Site, Words};
use crate::dom::El;
use crate::night::now::letter;
use crate::papers::file_name;
use crate::screens::pocket::{MONTHS, PLANTS};
use crate::screens::site;
use crate::session::Session;
use crate::sheet::{Act, Sheet, sheet};
use crate::text::year::YearText;
use crate::text::{Text, fill};
use crate::units::{Kind, System};
use crate::year::{Rows, Wanted, percent, percent_of, roots as root_zone, rows, wanted, what_if};

/// The whole place.
pub fn year(session: Session) -> El {
    session.papers.update(|view| view.pasted = 0);
    sheet(session, "year", draw, act)
}

fn draw(sheet: &mut Sheet) {
    let document = sheet.session.document;
    document.with(|d| {
        let name = site::name(sheet.text, d.site());
        let title = format!("{} · {name}", sheet.text.year_place);
        sheet.put("<h2 tabindex=\"-1\">{}</h2>", &[&title]);
        if d.stations().next().is_none() {
            sheet.put("<p>{}</p>", &[sheet.later().year.no_stations]);
            sheet.key("main", "pocket", 0, sheet.text.pocket);
            return;
        }
        let Some(wanted) = wanted(d) else {
            source::nothing_yet(sheet, d);
            return;
        };
        let words = &d.site().words;
        match rows(&wanted, what_if(words)) {
            Ok(rows) => {
                // On a wide screen the picture stands beside what is keyed.
                sheet.put("<div class=\"halves\"><div class=\"seen\">", &[]);
                head(sheet, d, &wanted, &rows);
                let year = rows.asked();
                picture::picture(sheet, d, year, &rows, &wanted);
                asked(sheet, d, &rows);
                sheet.put("</div><div>", &[]);
                table(sheet, d, &wanted, &rows);
                sheet.put("</div></div>", &[]);
                allowance(sheet, words, &wanted, year);
                let place = words.get("zone").parse().ok();
                let place = wanted.ids.iter().position(|id| Some(*id) == place);
                let place = place.unwrap_or(0);
                let balance = root_zone(d, &wanted, &rows, place);
                roots::roots(sheet, d, &wanted, place, balance.as_ref());
            }
            Err(()) => {
                let said = sheet.later().year.too_large;
                sheet.put("<p class=\"note wrong\">{}</p>", &[said]);
            }
        }
    });
}

/// A year's water in the reader's unit.
pub fn volume(litres: f64, units: System, comma: bool) -> String {
    let thousands = Kind::Volume.outward(litres, units) / 1000.0;
    let number = crate::numbers::write_short(thousands, comma);
    format!("{number}\u{a0}{}", volume_sign(units))
}

fn volume_sign(units: System) -> &'static str {
    if units == System::Us { "kgal" } else { "m³" }
}

/// A month's first letters.
pub fn short_month(text: &Text, month: usize) -> &'static str {
    // Letters of both languages' months take one byte each.
    MONTHS[month](text).get(..3).unwrap_or_default()
}

/// Money with the technician's own sign of the currency.
pub fn money(site: &Site, hundredths: i64, comma: bool) -> String {
    let sign = match site.currency.as_str() {
        "" => "$",
        sign => sign,
    };
    let amount = decimal::write(hundredths, 2, comma);
    if comma {
        return format!("{amount}\u{a0}{sign}");
    }
    match amount.strip_prefix('−') {
        Some(amount) => format!("−{sign}{amount}"),
        None => format!("{sign}{amount}"),
    }
}

fn cost(sheet: &Sheet, document: &Document, cost: Option<Money>) -> String {
    cost.map_or_else(String::new, |cost| {
        money(document.site(), cost.to_hundredths(), sheet.session.comma)
    })
}

fn head(sheet: &mut Sheet, document: &Document, wanted: &Wanted, rows: &Rows) {
    let text = &sheet.later().year;
    let (units, comma) = (sheet.session.units(), sheet.session.comma);
    let year = rows.asked();
    let shown = |year: &Year| volume(year.litres() as f64, units, comma);
    if year.litres() > 0 {
        let mut said = format!("{} {}", shown(year), text.a_year);
        let money = cost(sheet, document, year.cost());
        if !money.is_empty() {
            said = format!("{said} · {money}");
        }
        sheet.put("<p class=\"span\">{}</p>", &[&said]);
        if !wanted.own && rows.other.is_none() {
            let band = [("low", &*shown(&rows.low)), ("high", &*shown(&rows.high))];
            sheet.put("<p>{}</p>", &[&fill(text.rough, &band)]);
        }
    }
    source::source(sheet, document, wanted);
    if !wanted.sky.rain {
        sheet.put("<p class=\"how\">{}</p>", &[text.rain_unknown]);
    } else if wanted.planned > 0 {
        sheet.put("<p class=\"how\">{}</p>", &[text.rain_here]);
    }
    if year.without_area > 0 {
        let counts = [
            ("n", &*year.without_area.to_string()),
            ("of", &*wanted.stations.len().to_string()),
        ];
        sheet.put(
            "<p class=\"how\">{}</p>",
            &[&fill(text.without_area, &counts)],
        );
    }
    if !wanted.missing.is_empty() {
        let names = wanted.missing.join(", ");
        let said = fill(text.without_plants, &[("names", &names)]);
        sheet.put("<p class=\"how\">{}</p>", &[&said]);
    }
}

/// The usual year or a harder one.
fn asked(sheet: &mut Sheet, document: &Document, rows: &Rows) {
    let text = &sheet.later().year;
    let words = &document.site().words;
    sheet.put("<h3>{}</h3>", &[text.what_if]);
    let list = [
        ("", text.usual),
        ("hot", text.hot),
        ("dry", text.dry),
        ("both", text.both),
    ];
    sheet.choices("what", 0, text.what_if, &list, words.get("what"));
    let Some(other) = &rows.other else {
        return;
    };
    sheet.put("<div class=\"three\">", &[]);
    let entries = [("hot", text.hotter, "10"), ("dry", text.drier, "30")];
    for (name, label, usual) in entries {
        let other = if name == "hot" { "dry" } else { "hot" };
        if words.get("what") != other {
            let typed = words.get(name);
            let fault = (!typed.is_empty() && percent(typed).is_none())
                .then(|| fill(text.percent_wrong, &[("percent", usual)]));
            sheet.entry_with(name, 0, [label, typed, usual, "decimal"], fault.as_deref());
        }
    }
    sheet.put("</div>", &[]);
    let more = other.litres() as f64 - rows.usual.litres() as f64;
    // Of the sums as they are shown: the reader checks them.
    let shown = |cost: Option<Money>| cost.map(Money::to_hundredths);
    let dearer = shown(other.cost()).zip(shown(rows.usual.cost()));
    let (units, comma) = (sheet.session.units(), sheet.session.comma);
    let sign = if more < 0.0 { "−" } else { "+" };
    let dearer = dearer.map_or_else(String::new, |(other, usual)| {
        money(document.site(), other.saturating_sub(usual), comma)
    });
    let values = [
        ("sign", sign),
        ("water", &volume(more.abs(), units, comma)),
        ("cost", if dearer.is_empty() { "—" } else { &dearer }),
    ];
    sheet.put(
        "<p class=\"result\">{}</p>",
        &[&fill(text.differs, &values)],
    );
}

/// A program's letter, and what grows there where it is not one of the plan.
pub fn program_name(text: &Text, wanted: &Wanted, program: usize) -> String {
    let plants = wanted.programs[program];
    let word = |plants| PLANTS.iter().find(|(one, _)| *one == plants);
    match plants.and_then(word) {
        Some((_, word)) => format!("{} {}", letter(program), word(text)),
        None => letter(program),
    }
}

/// Months to key, and their water, in the year that is asked for.
fn table(sheet: &mut Sheet, document: &Document, wanted: &Wanted, rows: &Rows) {
    let text = &sheet.later().year;
    let (units, comma) = (sheet.session.units(), sheet.session.comma);
    let year = rows.asked();
    sheet.put("<h3>{}</h3>", &[text.key_this]);
    let programs = 0..wanted.shown();
    let list: Vec<String> = programs
        .clone()
        .map(|at| program_name(sheet.text, wanted, at))
        .collect();
    let values = [
        ("list", &*list.join(", ")),
        ("month", MONTHS[year.base_month](sheet.text)),
    ];
    sheet.put("<p>{}</p>", &[&fill(text.programs, &values)]);
    if !rows.without_percent.is_empty() {
        let names = rows.without_percent.iter().filter_map(|place| {
            let id = wanted.ids.get(*place)?;
            Some(document.station(*id)?.name.as_str())
        });
        let names = names.collect::<Vec<&str>>().join(", ");
        let why = match wanted.planned {
            0 => text.asleep,
            _ => text.unplanned,
        };
        let values = [("names", &*names), values[1]];
        sheet.put("<p>{}</p>", &[&fill(why, &values)]);
    }
    if rows.other.is_some() {
        sheet.put("<p>{}</p>", &[text.usual_percents]);
    }
    // With many programs it is wider than a phone.
    sheet.put(
        "<div class=\"wide\" tabindex=\"0\" role=\"group\" aria-label=\"{}\"><table><thead><tr><th>{}</th>",
        &[text.key_this, sheet.text.month],
    );
    for at in programs.clone() {
        sheet.put("<th>{}\u{a0}%</th>", &[&letter(at)]);
    }
    let priced = year.months.iter().any(|month| month.cost.is_some());
    let counted = year.litres() > 0;
    if counted {
        let sign = volume_sign(units);
        sheet.put("<th>{} <small>{}</small></th>", &[text.water, sign]);
    }
    if priced {
        sheet.put("<th>{}</th>", &[text.cost]);
    }
    sheet.put("</tr></thead><tbody>", &[]);
    let mut beyond = false;
    for (at, month) in year.months.iter().enumerate() {
        sheet.put(
            "<tr><th scope=\"row\">{}</th>",
            &[short_month(sheet.text, at)],
        );
        for program in programs.clone() {
            let setting = month.programs.get(program);
            let too_much = setting.is_some_and(|setting| wanted.is_too_much(setting));
            let mark = if too_much { "!" } else { "" };
            beyond |= too_much;
            sheet.put(
                "<td class=\"percent\">{}{}</td>",
                &[&percent_of(month, program), mark],
            );
        }
        if counted {
            let shown = volume(month.litres as f64, units, comma);
            let number = shown.split('\u{a0}').next().unwrap_or_default();
            sheet.put("<td>{}</td>", &[number]);
        }
        if priced {
            sheet.put("<td>{}</td>", &[&cost(sheet, document, month.cost)]);
        }
        sheet.put("</tr>", &[]);
    }
    sheet.put("</tbody></table></div>", &[]);
    if beyond {
        sheet.put(
            "<p class=\"note wrong\">{}</p>",
            &[&beyond_words(text, wanted)],
        );
    }
    keying(sheet, wanted, &document.site().words);
    sheet.key("main", "reminders", 0, text.reminders);
}

/// What it means that a percent is marked.
pub fn beyond_words(text: &YearText, wanted: &Wanted) -> String {
    match wanted.holds_to {
        None => text.beyond.into(),
        Some(most) => fill(text.beyond_plan, &[("percent", &most.to_string())]),
    }
}

/// How the percentages are chosen.
fn keying(sheet: &mut Sheet, wanted: &Wanted, words: &Words) {
    let text = &sheet.later().year;
    let numbers: Vec<String> = (1..=12).map(|month: usize| month.to_string()).collect();
    let mut list = vec![("", text.thirstiest)];
    for (number, word) in numbers.iter().zip(MONTHS) {
        list.push((number, word(sheet.text)));
    }
    if wanted.planned == 0 {
        sheet.select("base", 0, text.base, &list, words.get("base"));
    }
    let list = [("1", "1 %"), ("5", "5 %"), ("", "10 %")];
    sheet.select("step", 0, text.step, &list, words.get("step"));
}

fn allowance(sheet: &mut Sheet, words: &Words, wanted: &Wanted, year: &Year) {
    let text = &sheet.later().year;
    let (units, comma) = (sheet.session.units(), sheet.session.comma);
    sheet.put(
        "<details id=\"allowance\"><summary>{}</summary><div class=\"finder\">",
        &[text.allowance],
    );
    let typed = words.get("factor");
    let hint = if comma { "0,55" } else { "0.55" };
    let wrong = wanted.factor.is_none() && !typed.is_empty();
    let fault = wrong.then_some(text.factor_wrong);
    sheet.entry_with("factor", 0, [text.factor, typed, hint, "decimal"], fault);
    let allowed: Option<f64> = year.months.iter().map(|month| month.allowed_litres).sum();
    if let Some(allowed) = allowed {
        let litres = year.litres() as f64;
        let values = [
            ("water", &*volume(litres, units, comma)),
            ("allowed", &*volume(allowed, units, comma)),
        ];
        let within = drycurb_core::allowance::is_within(litres, allowed);
        let said = fill(if within { text.within } else { text.over }, &values);
        sheet.put("<p class=\"result\">{}</p>", &[&said]);
    }
    sheet.put(
        "<p class=\"how\">{}</p></div></details>",
        &[text.allowance_note],
    );
}

fn act(session: Session, act: &Act) {
    match act.verb.as_str() {
        "place" | "months" | "own_et" | "own_rain" | "south" => source::act(session, act),
        "what" => session
            .document
            .update(|d| d.site_mut().words.set("what", &act.of)),
        "reminders" => reminders(session),
        "pocket" => crate::platform::go_to(0),
        name => session
            .document
            .update(|d| d.site_mut().words.set(name, &act.value)),
    }
}

/// Twelve reminders as a file for a calendar.
fn reminders(session: Session) {
    use drycurb_core::calendar::Date;
    use drycurb_core::paper::reminder::{Reminder, calendar};
    let (text, later) = (session.text(), &session.later_text().year);
    session.document.update(|d| {
        let words = &mut d.site_mut().words;
        // Two numbers of its own tell the site from those of all phones, and go with it to another one.
        if words.get("calendar_id").is_empty() {
            let part = || (js_sys::Math::random() * 9e15) as u64;
            words.set("calendar_id", &format!("{}-{}", part(), part()));
        }
    });
    let now = js_sys::Date::new_0();
    let this_year = now.get_full_year() as i32;
    let this_month = now.get_month();
    session.document.with_untracked(|d| {
        let Some(wanted) = wanted(d) else {
            return;
        };
        // Of the usual year: it is the one that is keyed.
        let Ok(rows) = rows(&wanted, None) else {
            return;
        };
        let year = &rows.usual;
        let site = site::name(text, d.site());
        let months = year.months.iter().enumerate();
        let list = months.filter_map(|(at, month)| {
            let programs = 0..wanted.shown();
            let percents: Vec<String> = programs
                .map(|program| format!("{} {} %", letter(program), percent_of(month, program)))
                .collect();
            let values = [
                ("site", site),
                ("month", MONTHS[at](text)),
                ("percents", &percents.join(", ")),
            ];
            // The month that runs has its day behind it.
            let year = this_year + i32::from(at as u32 <= this_month);
            Some(Reminder {
                on: Date::try_new(year, at as u32 + 1, 1).ok()?,
                title: fill(later.reminder_title, &values),
                notes: later.reminder_notes.into(),
                id: format!("{}-month-{}", d.site().words.get("calendar_id"), at + 1),
            })
        });
        let list: Vec<Reminder> = list.collect();
        let stamp = String::from(now.to_iso_string());
        let stamp: String = stamp
            .chars()
            .filter(|c| !"-:".contains(*c))
            .take(15)
            .collect();
        let file = calendar(site, &format!("{stamp}Z"), &list, true);
        let name = file_name(&d.site().name, "reminders.ics");
        crate::platform::give(&name, "text/calendar", &file);
    });
}
