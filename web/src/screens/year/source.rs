//! Where the months come from: the climate of a place, or twelve figures of one's own.

use super::short_month;
use crate::climate::table;
use crate::document::{Climate, Document};
use crate::session::Session;
use crate::sheet::{Act, Sheet};
use crate::text::fill;
use crate::year::own::{UNITS, inches, own, take, texts, unit};
use crate::year::{Wanted, climate_of, is_south, sky_of};

/// Until there is a year: what lacks.
pub fn nothing_yet(sheet: &mut Sheet, document: &Document) {
    let text = &sheet.later().year;
    if sky_of(document).is_some() {
        let stations = document.stations().map(|kept| kept.name.as_str());
        let names = stations.collect::<Vec<_>>().join(", ");
        let said = fill(text.without_plants, &[("names", &names)]);
        sheet.put("<p>{}</p>", &[&said]);
        return;
    }
    let typed = |climate: &Climate| *climate == Climate::Typed;
    let one = typed(&document.site().facts.climate)
        || document.stations().any(|kept| typed(&kept.draft.climate));
    let said = if one {
        text.one_number
    } else {
        text.no_climate
    };
    sheet.put("<p>{}</p>", &[said]);
    choose(sheet, document);
}

/// Where they come from, to look at and to change.
pub fn source(sheet: &mut Sheet, document: &Document, wanted: &Wanted) {
    let text = &sheet.later().year;
    let place = match climate_of(document) {
        _ if wanted.own => sheet.text.own_figures.to_string(),
        Climate::Place(name) => name,
        Climate::Zone(number) => fill(text.zone_of, &[("n", &number.to_string())]),
        Climate::Assumed | Climate::Typed => String::new(),
    };
    let chosen = document.site().words.get("months") == "own";
    let open = if chosen != wanted.own { "open" } else { "" };
    sheet.put(
        "<details id=\"source\" {}><summary>{}: {}</summary><div class=\"finder\">",
        &[open, text.source, &place],
    );
    choose(sheet, document);
    sheet.put("</div></details>", &[]);
}

fn choose(sheet: &mut Sheet, document: &Document) {
    let text = &sheet.later().year;
    let site = document.site();
    let now = site.words.get("months");
    let list = [("", text.place_table), ("own", sheet.text.own_figures)];
    sheet.choices("months", 0, text.source, &list, now);
    if now == "own" {
        figures(sheet, document);
        return;
    }
    let typed = site.words.get("near");
    sheet.entry("near", 0, sheet.text.place_search, typed, "");
    sheet.put("<div class=\"choices\">", &[]);
    let found = table().search(typed);
    for (at, place) in found.iter().take(6).enumerate() {
        sheet.key("", "place", at as u32, place.name);
    }
    sheet.put("</div>", &[]);
    if found.is_empty() && !typed.trim().is_empty() {
        sheet.put(
            "<p class=\"note\" role=\"status\">{}</p>",
            &[sheet.text.place_none],
        );
    }
}

/// Twelve figures to type, twice.
fn figures(sheet: &mut Sheet, document: &Document) {
    let text = &sheet.later().year;
    let site = document.site();
    let system = sheet.session.units();
    let unit = unit(site, system);
    let words: Vec<&str> = text.own_units.split('|').collect();
    let list: Vec<(&str, &str)> = UNITS.iter().copied().zip(words).collect();
    sheet.select("own_unit", 0, text.own_unit, &list, UNITS[unit]);
    let found = own(site, system);
    let rain = fill(
        text.own_rain,
        &[("unit", if inches(unit) { "in" } else { "mm" })],
    );
    let lists = [
        ("own_et", text.own_et, &found.no_et),
        ("own_rain", &rain, &found.no_rain),
    ];
    for (name, label, wrong) in lists {
        sheet.put("<fieldset class=\"twelve\"><legend>{}</legend>", &[label]);
        twelve(sheet, document, name, wrong);
        sheet.put("</fieldset>", &[]);
    }
    let months = |list: &[usize]| {
        let names = list.iter().map(|month| short_month(sheet.text, *month));
        names.collect::<Vec<_>>().join(", ")
    };
    let lacks = [
        (text.own_no_et, months(&found.no_et)),
        (text.own_no_rain, months(&found.no_rain)),
    ];
    for (said, list) in lacks {
        if !list.is_empty() {
            sheet.put(
                "<p class=\"note wrong\">{}</p>",
                &[&fill(said, &[("months", &list)])],
            );
        }
    }
    sheet.put("<p class=\"how\">{}</p>", &[text.own_note]);
    if matches!(climate_of(document), Climate::Assumed | Climate::Typed) {
        sheet.tick("south", 0, "", text.south, is_south(document));
    }
}

fn twelve(sheet: &mut Sheet, document: &Document, name: &str, wrong: &[usize]) {
    let pasted = sheet.session.papers.with(|view| view.pasted);
    for (month, typed) in texts(document.site(), name).iter().enumerate() {
        // What was pasted into it went to all of them: a new field takes its place.
        let fresh = if month == 0 && pasted > 0 {
            pasted.to_string()
        } else {
            String::new()
        };
        let focus = if fresh.is_empty() || name == "own_rain" {
            String::new()
        } else {
            format!(" data-focus={fresh}")
        };
        let bad = !typed.trim().is_empty() && wrong.contains(&month);
        sheet.put(
            "<label class=\"number-field\">{}<input type=\"text\" inputmode=\"decimal\" \
             autocomplete=\"off\" id=\"{}-{}{}\" data-in=\"{}\" data-at=\"{}\" value=\"{}\" \
             aria-invalid=\"{}\"{}></label>",
            &[
                short_month(sheet.text, month),
                name,
                &month.to_string(),
                &fresh,
                name,
                &month.to_string(),
                typed,
                if bad { "true" } else { "false" },
                &focus,
            ],
        );
    }
}

/// Answers what a hand did here.
pub fn act(session: Session, act: &Act) {
    let mut pasted = false;
    let units = session.units();
    session.document.update(|d| {
        let (at, south) = (act.at as usize, act.value == "true");
        let near = d.site().words.get("near").to_string();
        let site = d.site_mut();
        match act.verb.as_str() {
            "place" => {
                if let Some(place) = table().search(&near).get(at) {
                    site.facts.climate = Climate::Place(place.name.into());
                    site.words.set("near", "");
                }
            }
            "months" => site.words.set("months", &act.of),
            "south" => {
                site.facts.south = south;
                let id = site.id;
                for kept in d.kept.iter_mut().filter(|kept| kept.site == id) {
                    kept.draft.south = south && kept.draft.climate == Climate::Typed;
                }
            }
            name => {
                // So that another system does not make other figures of them.
                let unit = UNITS[unit(site, units)];
                site.words.set("own_unit", unit);
                pasted = take(site, name, at, &act.value);
            }
        }
    });
    if pasted {
        session.papers.update(|view| view.pasted += 1);
    }
}
