//! The quote: lines that were counted, terms, and the page that is printed.

use super::{change, today};
use crate::document::{Document, Fault, Named};
use crate::night::said::water;
use crate::numbers::write;
use crate::papers::{Saves, Saving, Sums, change_line, of_line, put_line, saving, sums, take_walk};
use crate::screens::pocket::MONTHS;
use crate::screens::site::fault_word;
use crate::screens::{site, year};
use crate::session::Session;
use crate::sheet::{Act, Sheet};
use crate::text::fill;
use crate::text::papers::PapersText;

/// Terms of the technician's own: word, label, and what is taken each.
fn terms(text: &PapersText) -> [(&'static str, &'static str, &'static str); 5] {
    [
        ("hour", text.hour, text.takes_money),
        ("trip", text.trip, text.takes_money),
        ("trip_minutes", text.trip_minutes, text.takes_minutes),
        ("markup", text.markup, text.takes_percent),
        ("tax", text.tax, text.takes_percent),
    ]
}

/// What a line is for, in words. (The walk's own words for something else point at a note, which is
/// not the client's.)
fn what<'a>(sheet: &Sheet, line: &'a str) -> &'a str {
    match Fault::of(line) {
        None => line,
        Some(Fault::Other) => sheet.later().papers.other,
        Some(fault) => fault_word(sheet.text, fault),
    }
}

/// A number in a row of them, with what it takes while it is not understood.
fn figure(sheet: &mut Sheet, verb: &str, at: u32, words: [&str; 2], wrong: Option<&str>) {
    let [label, value] = words;
    sheet.entry_with(verb, at, [label, value, "", "decimal"], wrong);
}

/// The label of a year's use.
fn use_label(sheet: &Sheet, document: &Document) -> String {
    let unit = document.site().price_unit.sign();
    fill(sheet.later().papers.now_use, &[("unit", unit)])
}

/// An amount of money.
pub fn money(sheet: &Sheet, document: &Document, hundredths: u64) -> String {
    year::money(document.site(), hundredths as i64, sheet.session.comma)
}

/// Lines to fill in, terms, and the paper.
pub fn draw(sheet: &mut Sheet, document: &Document) {
    let text = &sheet.later().papers;
    let lines = &document.site().quote;
    sheet.put("<h2 tabindex=\"-1\">{}</h2>", &[text.quote]);
    let walked = document.stations().any(|kept| !kept.faults.is_empty());
    if walked {
        let class = if lines.is_empty() { "main" } else { "" };
        sheet.key(class, "walk", 0, text.from_walk);
    }
    let mut list = vec![("", text.choose)];
    for (fault, name) in Fault::ALL {
        if *fault != Fault::Other && lines.iter().all(|line| line.what != *name) {
            list.push((name, fault_word(sheet.text, *fault)));
        }
    }
    list.push(("?", text.own_line));
    let sums = sums(document);
    for (at, line) in lines.iter().enumerate() {
        let name = what(sheet, &line.what);
        let place = at as u32;
        // By ear the fields of two lines are told apart by their groups.
        sheet.put(
            "<div class=\"line\" id=\"line-{}\" role=\"group\" aria-label=\"{}\">",
            &[&at.to_string(), name],
        );
        if name == line.what {
            sheet.entry("what", place, text.what, name, "");
        } else {
            sheet.put("<b>{}</b>", &[name]);
        }
        let figures = [
            ("count", [text.count, &line.count], text.takes_count),
            ("price", [text.price, &line.price], text.takes_money),
            ("minutes", [text.minutes, &line.minutes], text.takes_minutes),
        ];
        sheet.put("<div class=\"three\">", &[]);
        for ((verb, words, takes), wrong) in figures.into_iter().zip(sums.wrong[at]) {
            figure(sheet, verb, place, words, wrong.then_some(takes));
        }
        sheet.put("</div>", &[]);
        sheet.key_for("", "remove", place, text.remove, name);
        sheet.put("</div>", &[]);
    }
    sheet.select("add", 0, text.add_line, &list, "");
    let total = sums.quote.as_ref().map_or(0, |found| found.total);
    let saves = saving(document, total);
    terms_drawn(sheet, document, &sums, &saves);
    faults(sheet, &sums, &saves, document);
    if !lines.is_empty() {
        saving_hint(sheet, &saves);
        if without_price(&sums) {
            sheet.put("<p class=\"how hint\">{}</p>", &[text.no_price]);
        }
        sheet.key("main", "print", 0, text.print);
        paper(sheet, document, &sums, &saves);
    }
}

fn terms_drawn(sheet: &mut Sheet, document: &Document, sums: &Sums, saves: &Saves) {
    let text = &sheet.later().papers;
    let own = &document.own;
    sheet.put(
        "<details id=\"terms\"><summary>{}</summary><div class=\"finder\">",
        &[text.terms],
    );
    sheet.entry("who", 0, text.who, own.get("who"), "");
    sheet.entry(
        "client",
        0,
        text.client,
        document.site().words.get("client"),
        "",
    );
    sheet.put("<div class=\"three\">", &[]);
    for (name, label, takes) in terms(text) {
        let wrong = sums.terms_wrong.contains(&name).then_some(takes);
        figure(sheet, name, 0, [label, own.get(name)], wrong);
    }
    let label = use_label(sheet, document);
    let words = [&*label, document.site().words.get("now_use")];
    let wrong = (*saves == Saves::NotUnderstood).then_some(text.takes_count);
    figure(sheet, "now_use", 0, words, wrong);
    sheet.put("</div>", &[]);
    let list = [("", text.tax_total), ("line", text.tax_line)];
    sheet.select("tax_on", 0, text.tax_on, &list, own.get("tax_on"));
    let taxed = own.get("work_taxed") == "true";
    sheet.tick("work_taxed", 0, "", text.work_taxed, taxed);
    sheet.key("", "number", 0, text.number);
    sheet.put("</div></details>", &[]);
}

fn faults(sheet: &mut Sheet, sums: &Sums, saves: &Saves, document: &Document) {
    let text = &sheet.later().papers;
    let mut list: Vec<String> = Vec::new();
    let mut put = |of: &str, fields: &[&str]| {
        if !fields.is_empty() {
            list.push(format!("{of} ({})", fields.join(", ")));
        }
    };
    let labels = [text.count, text.price, text.minutes];
    for (line, wrong) in document.site().quote.iter().zip(&sums.wrong) {
        let fields = labels.iter().zip(wrong).filter(|(_, wrong)| **wrong);
        let fields: Vec<&str> = fields.map(|(label, _)| *label).collect();
        put(what(sheet, &line.what), &fields);
    }
    let label = use_label(sheet, document);
    let fields = terms(text).into_iter();
    let fields = fields.filter(|(name, ..)| sums.terms_wrong.contains(name));
    let mut fields: Vec<&str> = fields.map(|(_, label, _)| label).collect();
    if *saves == Saves::NotUnderstood {
        fields.push(&label);
    }
    put(text.terms, &fields);
    let said = match (&sums.quote, list.is_empty()) {
        (Err(_), _) => text.too_much.to_string(),
        (_, false) => fill(text.not_understood, &[("list", &list.join(", "))]),
        _ => return,
    };
    sheet.put("<p class=\"note wrong\">{}</p>", &[&said]);
}

/// Nothing comes to anything: prices and the hour of work are blank, or counts are.
fn without_price(sums: &Sums) -> bool {
    let lines = sums.quote.as_ref().map(|found| &found.lines);
    lines.is_ok_and(|lines| lines.iter().all(|sum| of_line(sum) == 0))
}

/// What a year with the plan saves, and when it has paid.
pub fn saving_said(sheet: &Sheet, document: &Document, found: &Saving) -> String {
    let text = &sheet.later().papers;
    let (units, comma) = (sheet.session.units(), sheet.session.comma);
    let site = document.site();
    let water = year::volume(found.litres as f64, units, comma);
    let mut said = match &found.of {
        Some((compared, _)) => {
            let values = [("water", &*water), ("date", &*compared.on)];
            fill(text.saves_compared, &values)
        }
        None => {
            let now = format!("{} {}", site.words.get("now_use"), site.price_unit.sign());
            fill(text.saves, &[("water", &*water), ("now", &now)])
        }
    };
    if let Some(saved) = found.money {
        let money = year::money(site, saved.to_hundredths(), comma);
        said = format!("{said}, {}", fill(text.a_year, &[("money", &money)]));
    }
    if let Some(months) = found.months {
        let pays = if months > 1 {
            text.pays
        } else {
            text.pays_soon
        };
        said = format!("{said}; {}", fill(pays, &[("n", &months.to_string())]));
    }
    said + "."
}

/// So many weeks like the one compared are too many for a year: other months need far more than its.
const WEEKS_MOST: f64 = 60.0;

/// What the saving takes for granted.
fn saving_assumes(sheet: &Sheet, document: &Document, found: &Saving) -> String {
    let text = &sheet.later().papers;
    let (units, comma) = (sheet.session.units(), sheet.session.comma);
    let climate = match crate::year::sky_of(document) {
        Some((_, true)) => text.climate_own,
        _ => text.climate_rough,
    };
    let Some((compared, weeks)) = &found.of else {
        return fill(text.assumes_saving, &[("climate", climate)]);
    };
    let values = [
        ("now", &*water(compared.week.now_litres, units, comma)),
        ("plan", &water(compared.week.plan_litres, units, comma)),
        ("month", MONTHS[compared.week.month](sheet.text)),
        ("weeks", &write(weeks[0], 1, comma)),
        ("planned", &write(weeks[1], 1, comma)),
        ("climate", climate),
    ];
    let mut said = fill(text.assumes_compared, &values);
    if weeks[1] > WEEKS_MOST {
        said = format!("{said} {}", text.compared_low);
    }
    if compared.old {
        let date = [("date", compared.on.as_str())];
        said = format!("{said} {}", fill(text.compared_old, &date));
    }
    said
}

/// On the page only: why no saving is on the paper, or that it should be compared again.
fn saving_hint(sheet: &mut Sheet, found: &Saves) {
    let text = &sheet.later().papers;
    let said = match found {
        Saves::NotKnown => text.saving_unknown.to_string(),
        Saves::NoYear => text.saving_no_year.into(),
        Saves::Lacks(count) => fill(text.saving_lacks, &[("n", &count.to_string())]),
        Saves::NoNeed => text.saving_no_need.into(),
        Saves::No => text.saving_none.into(),
        Saves::This(Saving {
            of: Some((compared, _)),
            ..
        }) if compared.old => fill(text.compared_old, &[("date", &compared.on)]),
        Saves::This(Saving {
            of: Some((_, weeks)),
            ..
        }) if weeks[1] > WEEKS_MOST => text.compared_low.into(),
        Saves::NotUnderstood | Saves::This(_) => return,
    };
    sheet.put("<p class=\"how hint\">{}</p>", &[&said]);
    if matches!(found, Saves::NotKnown | Saves::This(_)) {
        sheet.key("", "to_night", 0, sheet.text.night_place);
    }
}

/// The page that is printed.
fn paper(sheet: &mut Sheet, document: &Document, sums: &Sums, saves: &Saves) {
    let text = &sheet.later().papers;
    let Ok(found) = &sums.quote else {
        return;
    };
    let site = document.site();
    let words = &site.words;
    let number = fill(text.quote_of, &[("n", words.get("quote_number"))]);
    let name = site::name(sheet.text, site);
    let client = match words.get("client") {
        "" => String::new(),
        client => format!(" · {} {client}", text.client),
    };
    sheet.put(
        "<article class=\"paper\"><p>{}</p><h2>{}</h2><p>{} · {}{}</p><div class=\"wide\" tabindex=\"0\" role=\"group\" aria-label=\"{}\"><table><thead><tr>\
         <th>{}</th><th>{}</th><th>{}</th><th>{}</th><th>{}</th></tr></thead><tbody>",
        &[
            document.own.get("who"),
            &number,
            words.get("quote_date"),
            name,
            &client,
            text.quote,
            text.what,
            text.count,
            text.parts,
            text.work,
            text.total,
        ],
    );
    let counted = |wrong: bool, typed: &str| if wrong { "0".into() } else { typed.to_string() };
    let lines = site.quote.iter().zip(&found.lines);
    for ((line, sum), wrong) in lines.zip(&sums.wrong) {
        sheet.put(
            "<tr><td>{}</td><td>{}</td><td>{}</td><td>{}</td><td>{}</td></tr>",
            &[
                what(sheet, &line.what),
                // What is not understood counts as 0: the paper says what is counted.
                &counted(wrong[0], &line.count),
                &money(sheet, document, sum.parts),
                &money(sheet, document, sum.work),
                &money(sheet, document, of_line(sum)),
            ],
        );
    }
    let tax = document.own.get("tax");
    let tax = counted(tax.is_empty() || sums.terms_wrong.contains(&"tax"), tax) + " %";
    let taxed = format!("{} {tax}", text.tax.trim_end_matches(", %"));
    for (label, amount) in [(text.trip, found.trip), (&*taxed, found.tax)] {
        let amount = money(sheet, document, amount);
        sheet.put(
            "<tr><td>{}</td><td></td><td></td><td></td><td>{}</td></tr>",
            &[label, &amount],
        );
    }
    let total = money(sheet, document, found.total);
    sheet.put(
        "</tbody><tfoot><tr><th>{}</th><td></td><td></td><td></td><th>{}</th></tr></tfoot></table></div>",
        &[text.total, &total],
    );
    let time = fill(
        sheet.text.hours_minutes,
        &[
            ("h", &(found.minutes / 60).to_string()),
            ("m", &format!("{:02}", found.minutes % 60)),
        ],
    );
    sheet.put("<p>{}: {}</p>", &[text.time, &time]);
    if let Saves::This(saved) = saves {
        sheet.put("<p><b>{}</b></p>", &[&saving_said(sheet, document, saved)]);
    }
    let on = match document.own.get("work_taxed") {
        "true" => text.work_taxed,
        _ => text.parts,
    };
    let counts = if without_price(sums) {
        sheet.put("<p>{}</p>", &[text.no_price]);
        text.counts
    } else {
        text.counts_prices
    };
    let values = [
        ("counts", counts),
        ("date", words.get("quote_date")),
        ("tax", &format!("{taxed}: {on}")),
    ];
    sheet.put("<p class=\"how\">{}", &[&fill(text.assumes, &values)]);
    if let Saves::This(saved) = saves {
        sheet.put(" {}", &[&saving_assumes(sheet, document, saved)]);
    }
    sheet.put("</p><p class=\"sign\">{}</p></article>", &[text.accepted]);
}

/// Numbers a quote that has none, or anew, and dates it.
fn number(document: &mut Document, anew: bool) {
    if !anew && !document.site().words.get("quote_number").is_empty() {
        return;
    }
    let next = document.own.get("next_number").parse().unwrap_or(1_u32);
    document
        .own
        .set("next_number", &next.saturating_add(1).to_string());
    let words = &mut document.site_mut().words;
    words.set("quote_number", &next.to_string());
    words.set("quote_date", &today());
}

/// Takes the counts of the walk into a quote, which has a number from then on.
pub fn take(document: &mut Document) {
    take_walk(document);
    if !document.site().quote.is_empty() {
        number(document, false);
    }
}

/// Answers what a hand did in the quote; false where it was not for it.
pub fn act(session: Session, act: &Act) -> bool {
    let (at, value) = (act.at as usize, act.value.as_str());
    let mut known = true;
    change(session, &mut |d| match act.verb.as_str() {
        "walk" => take(d),
        "add" => {
            let what = if value == "?" { "…" } else { value };
            if !what.is_empty() {
                put_line(d, what, "");
                number(d, false);
            }
        }
        "remove" => {
            if at < d.site().quote.len() {
                d.site_mut().quote.remove(at);
            }
        }
        "number" => number(d, true),
        part @ ("what" | "count" | "price" | "minutes") => change_line(d, at, part, value),
        name @ ("client" | "now_use") => d.site_mut().words.set(name, value),
        name @ ("who" | "hour" | "trip" | "trip_minutes" | "markup" | "tax" | "tax_on"
        | "work_taxed") => d.own.set(name, value),
        _ => known = false,
    });
    known
}
