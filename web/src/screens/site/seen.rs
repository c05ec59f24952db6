//! A walk from valve box to valve box: what was looked at, what is broken, what was changed.

use super::lines::Line;
use super::view::{Open, View};
use super::{list, station};
use crate::document::{Fault, Named};
use crate::night::said::with_number;
use crate::sheet::Sheet;
use crate::text::{Text, fill};

/// The list: how far the walk has come, and what was found.
pub fn list(sheet: &mut Sheet, view: &View) {
    let text = &sheet.text.site;
    let lines = sheet.session.lines.get();
    if lines.is_empty() {
        sheet.put("<p class=\"how\">{}</p>", &[text.no_stations]);
        sheet.key("main", "add", 0, text.first_station);
        return;
    }
    let checked = lines.iter().filter(|line| line.checked).count();
    let words = fill(
        text.walked,
        &[
            ("n", &checked.to_string()),
            ("of", &lines.len().to_string()),
        ],
    );
    sheet.put("<p class=\"result\">{}</p><div class=\"entry\">", &[&words]);
    if let Some(next) = lines.iter().find(|line| !line.checked) {
        let words = fill(text.walk_to, &[("name", &next.name)]);
        sheet.key("main", "seen", next.id, &words);
    }
    if checked > 0 {
        sheet.key("", "walk-anew", 0, text.walk_anew);
    }
    if !view.before.is_empty() {
        sheet.key("", "undo-many", 0, text.undo_walk);
    }
    sheet.put("</div>", &[]);
    totals(sheet);
    sheet.put("<ul class=\"lines\" id=\"lines\">", &[]);
    for (place, line) in lines.iter().enumerate() {
        let said = said(sheet.text, line);
        let open = view.open == Open::Seen(line.id);
        let name = with_number(place, &line.name);
        list::row(sheet, view, "seen", line.id, open, &name, &said);
    }
    sheet.put("</ul>", &[]);
}

fn said(text: &Text, line: &Line) -> String {
    let site = &text.site;
    let mut parts = vec![if line.checked {
        ["✓ ", site.looked_at].concat()
    } else {
        site.not_looked_at.to_string()
    }];
    if line.faults > 0 {
        parts.push(fill(site.faults_count, &[("n", &line.faults.to_string())]));
    }
    if line.changed {
        parts.push(site.something_changed.to_string());
    }
    parts.join(" · ")
}

/// Every fault of the site with its count.
fn totals(sheet: &mut Sheet) {
    let mut sums: Vec<(Fault, u32)> = Vec::new();
    sheet.session.document.with(|d| {
        for (fault, count) in d.stations().flat_map(|kept| &kept.faults) {
            match sums.iter_mut().find(|(known, _)| known == fault) {
                Some((_, sum)) => *sum += count,
                None => sums.push((*fault, *count)),
            }
        }
    });
    if sums.is_empty() {
        return;
    }
    station::fold(sheet, sheet.text.site.faults_found);
    sheet.put("<ul>", &[]);
    for (fault, sum) in sums {
        sheet.put(
            "<li>{} × {}</li>",
            &[&sum.to_string(), fault_word(sheet.text, fault)],
        );
    }
    sheet.put("</ul></details>", &[]);
}

/// The word for a fault.
pub fn fault_word(text: &Text, fault: Fault) -> &'static str {
    let site = &text.site;
    match fault {
        Fault::BrokenHead => site.broken_head,
        Fault::LowHead => site.low_head,
        Fault::LeaningHead => site.leaning_head,
        Fault::WrongNozzle => site.wrong_nozzle,
        Fault::CloggedNozzle => site.clogged_nozzle,
        Fault::BadArc => site.bad_arc,
        Fault::BlockedSpray => site.blocked_spray,
        Fault::Misting => site.misting,
        Fault::WeakSpray => site.weak_spray,
        Fault::SeepingHead => site.seeping_head,
        Fault::BrokenPipe => site.broken_pipe,
        Fault::BrokenDrip => site.broken_drip,
        Fault::ValveLeaks => site.valve_leaks,
        Fault::ValveWillNotOpen => site.valve_will_not_open,
        Fault::ValveWillNotClose => site.valve_will_not_close,
        Fault::Wiring => site.wiring,
        Fault::BoxDamaged => site.box_damaged,
        Fault::Other => site.other_fault,
    }
}

/// One station, at its valve box.
pub fn one(sheet: &mut Sheet, view: &View, id: u32) {
    let text = &sheet.text.site;
    let Some(kept) = sheet.session.document.with(|d| d.station(id).cloned()) else {
        sheet.key("", "back", 0, text.back);
        return;
    };
    let lines = sheet.session.lines.get();
    let place = lines.iter().position(|line| line.id == id).unwrap_or(0);
    station::heading(sheet, &kept.name, &["w", &id.to_string()].concat(), true);
    let at = [
        ("n", &*(place + 1).to_string()),
        ("of", &*lines.len().to_string()),
    ];
    sheet.put("<p class=\"how\">{}</p>", &[&fill(text.place_in_walk, &at)]);
    sheet.tick("checked", id, "", text.looked_at, kept.checked);
    faults(sheet, id, &kept.faults);
    sheet.entry("changed", id, text.changed, &kept.changed, "");
    sheet.entry("note", id, text.note, &kept.note, "");
    station::measured(sheet, id, &[]);
    station::wires(sheet, id);
    station::fold(sheet, text.photo);
    station::photo_of(sheet, view, id, kept.photo, &kept.name);
    sheet.put("</details><div class=\"bar\">", &[]);
    sheet.key("", "back", 0, text.back);
    match lines.get(place + 1) {
        Some(next) => sheet.key_for("main", "on", next.id, text.checked_next, &next.name),
        None => sheet.key("main", "on", 0, text.checked_last),
    }
    sheet.key("", "station", id, text.facts);
    sheet.put("</div>", &[]);
}

fn faults(sheet: &mut Sheet, id: u32, faults: &[(Fault, u32)]) {
    let text = sheet.text;
    let mut list: Vec<(&str, &str)> = vec![("", text.site.fault_choose)];
    for (fault, name) in Fault::ALL {
        list.push((name, fault_word(text, *fault)));
    }
    sheet.select("fault", id, text.site.broken, &list, "");
    sheet.put("<ul class=\"counts\">", &[]);
    let (mut wires, mut water) = (false, false);
    for (fault, count) in faults {
        wires |= fault.at_wires();
        water |= fault.under_pressure();
        let word = fault_word(text, *fault);
        let at = id.to_string();
        sheet.put(
            "<li id=\"fault-{}\"><b>{} × {}</b>",
            &[fault.name(), &count.to_string(), word],
        );
        for (verb, sign, label) in [("fault-less", "−", text.less), ("fault", "+", text.more)] {
            sheet.put(
                "<button type=\"button\" class=\"step\" data-do=\"{}\" data-at=\"{}\" data-of=\"{}\" \
                 aria-label=\"{}: {}\">{}</button>",
                &[verb, &at, fault.name(), word, label, sign],
            );
        }
        sheet.put("</li>", &[]);
    }
    sheet.put("</ul>", &[]);
    // What is only written down may be a backflow preventer: then all of it is said.
    let (power, wet) = match wires {
        true => (text.care_power, text.care_wet),
        false => ("", ""),
    };
    let (pressure, backflow) = match water {
        true => (text.care_pressure, text.care_backflow),
        false => ("", ""),
    };
    if wires || water {
        let lines = [power, wet, pressure, backflow, text.care_dig, text.care_law];
        sheet.put("<p class=\"care\">{} {} {} {} {} {}</p>", &lines);
    }
}
