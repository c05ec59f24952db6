//! Facts of the whole site, one open at a time: name, climate, supplies, controller, rules, price.

use drycurb_core::money::{PLACES, decimal};

use super::view::{Open, View};
use super::{list, station, supplies};
use crate::climate::table;
use crate::document::site::{EVERY_DAY, Site, SoakStyle, Tier, WaterDays};
use crate::document::{Climate, Named};
use crate::field::Field;
use crate::night::{clock_minute, hours_wrong};
use crate::rules::{Wrong, wrong};
use crate::screens::pocket::{MONTH_NUMBERS, months, zones};
use crate::session::Whose;
use crate::sheet::Sheet;
use crate::station::{number_or_default, own_et};
use crate::text::{Text, fill};
use crate::units::System;

fn names(text: &Text) -> [&'static str; 6] {
    let site = &text.site;
    [
        site.name_and_note,
        site.climate,
        site.supplies,
        site.controller,
        site.rules,
        site.price,
    ]
}

/// The list of facts, with what each says now.
pub fn list(sheet: &mut Sheet, view: &View) {
    let text = sheet.text;
    let site = sheet.session.document.with(|d| d.site().clone());
    sheet.put("<ul class=\"lines\" id=\"lines\">", &[]);
    for (place, name) in names(text).into_iter().enumerate() {
        let said = said(sheet, &site, place);
        let id = place as u32 + 1;
        list::row(
            sheet,
            view,
            "fact",
            id,
            view.open == Open::Fact(id),
            name,
            &said,
        );
    }
    sheet.put("</ul>", &[]);
}

fn said(sheet: &Sheet, site: &Site, place: usize) -> String {
    let text = &sheet.text.site;
    let number = |field| {
        let value = number_or_default(&site.facts, field).unwrap_or_default();
        crate::numbers::write(value, 1, sheet.session.comma)
    };
    match place {
        0 => site.note.clone(),
        1 => climate_words(sheet, site),
        2 => fill(
            text.supplies_count,
            &[("n", &site.supplies.len().to_string())],
        ),
        3 => fill(
            text.controller_short,
            &[
                ("programs", &number(Field::PanelPrograms)),
                ("starts", &number(Field::ProgramStarts)),
            ],
        ),
        4 => match wrong(site).first() {
            Some(found) => ["! ", &wrong_words(sheet.text, found)].concat(),
            None => days_words(sheet.text, site),
        },
        _ => match site.tiers.as_slice() {
            [] => text.price_none.into(),
            _ if crate::year::tiers(site).is_none() => ["! ", text.lacking].concat(),
            [one] => [
                &site.currency,
                " ",
                &one.price,
                " / ",
                site.price_unit.sign(),
            ]
            .concat(),
            more => fill(text.tiers_count, &[("n", &more.len().to_string())]),
        },
    }
}

fn climate_words(sheet: &Sheet, site: &Site) -> String {
    let (session, text) = (sheet.session, sheet.text);
    let season = session.document.with(|d| d.season(session.month));
    if own_et(&site.facts, &season).is_some() {
        return text.own_figures.into();
    }
    match &site.facts.climate {
        Climate::Assumed => text.site.climate_assumed.into(),
        Climate::Typed => text.site.climate_typed.into(),
        Climate::Place(place) => place.clone(),
        Climate::Zone(zone) => fill(text.site.zone_of, &[("n", &zone.to_string())]),
    }
}

fn days_words(text: &Text, site: &Site) -> String {
    match site.days {
        WaterDays::Weekdays if site.weekdays == EVERY_DAY => text.site.days_all.into(),
        WaterDays::Weekdays => {
            let days = text.night.weekdays.into_iter().enumerate();
            let allowed = days.filter(|(day, _)| site.waters_on(*day as u8));
            let names: Vec<&str> = allowed.map(|(_, name)| name).collect();
            names.join(", ")
        }
        WaterDays::Odd => text.site.days_odd.into(),
        WaterDays::Even => text.site.days_even.into(),
        WaterDays::Every => text.site.days_every.into(),
    }
}

/// A contradiction in plain words.
pub fn wrong_words(text: &Text, found: &Wrong) -> String {
    match found {
        Wrong::NoWeekday => text.site.no_weekday.into(),
        Wrong::WindowClosed => text.site.window_closed.into(),
        Wrong::Time => text.site.bad_time.into(),
        Wrong::Dates(bad) => fill(text.site.bad_dates, &[("dates", bad)]),
    }
}

/// One of the facts, open.
pub fn one(sheet: &mut Sheet, fact: u32) {
    let site = sheet.session.document.with(|d| d.site().clone());
    let place = (fact.max(1) - 1) as usize;
    let heading = names(sheet.text).get(place).copied().unwrap_or_default();
    station::heading(sheet, heading, &["f", &fact.to_string()].concat(), true);
    match place {
        0 => name_and_note(sheet, &site),
        1 => climate_of(sheet, &site),
        2 => supplies::all(sheet, &site),
        3 => controller(sheet, &site),
        4 => rules(sheet, &site),
        _ => price(sheet, &site),
    }
    sheet.put("<div class=\"bar\">", &[]);
    sheet.key("main", "back", 0, sheet.text.site.done);
    sheet.put("</div>", &[]);
}

fn name_and_note(sheet: &mut Sheet, site: &Site) {
    let text = &sheet.text.site;
    sheet.entry("name", 0, text.name, &site.name, text.unnamed);
    sheet.entry("site-note", 0, text.site_note, &site.note, "");
    let now = site.units.map_or("", System::name);
    let list = [
        ("", text.units_page),
        ("si", text.units_si_long),
        ("us", text.units_us_long),
    ];
    sheet.select("units", 0, text.units, &list, now);
}

fn climate_of(sheet: &mut Sheet, site: &Site) {
    let text = &sheet.text.site;
    sheet.put("<p class=\"how\">{}</p>", &[text.climate_how]);
    let words = climate_words(sheet, site);
    sheet.put("<p class=\"result\">{}</p>", &[&words]);
    let month = site
        .facts
        .month
        .map_or("", |m| MONTH_NUMBERS[m.clamp(1, 12) as usize - 1]);
    months(sheet, &[("", text.month_now)], month);
    let find = sheet.session.site.with(|view| view.find.clone());
    sheet.entry("find", 1, sheet.text.place_search, &find, "");
    if find.chars().count() > 1 {
        sheet.put("<div class=\"choices\">", &[]);
        let found = table().search(&find);
        for place in found.iter().take(6) {
            sheet.put(
                "<button type=\"button\" data-do=\"place\" data-of=\"{}\">{}</button>",
                &[place.name, place.name],
            );
        }
        sheet.put("</div>", &[]);
        if found.is_empty() {
            sheet.put(
                "<p class=\"note\" role=\"status\">{}</p>",
                &[sheet.text.place_none],
            );
        }
    }
    zones(sheet, &site.facts.climate, text.zone_none);
    // A number that does not count is not asked for.
    if site.facts.climate != Climate::Typed {
        sheet.key("", "et-typed", 0, sheet.text.type_et);
    } else {
        sheet.number(Whose::Site, Field::ReferenceEt);
        sheet.tick("south", 0, "", sheet.text.south, site.facts.south);
    }
    sheet.key("", "climate-none", 0, text.climate_none);
    sheet.put(
        "<h3>{}</h3><p class=\"how\">{}</p>",
        &[text.position, text.position_how],
    );
    sheet.numbers(Whose::Site, &[Field::Latitude, Field::Longitude]);
    if sheet.session.site.with(|view| view.refused) {
        sheet.put(
            "<p class=\"note wrong\" role=\"alert\">{}</p>",
            &[text.position_refused],
        );
    }
    sheet.key("", "here", 0, text.position_here);
}

fn controller(sheet: &mut Sheet, site: &Site) {
    let text = &sheet.text.site;
    sheet.put(
        "<p class=\"how\">{}</p><div class=\"three\">",
        &[text.controller_how],
    );
    for field in [
        Field::PanelPrograms,
        Field::ProgramStarts,
        Field::ShortestStep,
    ] {
        sheet.number(Whose::Site, field);
    }
    sheet.number(Whose::Site, Field::PercentStep);
    sheet.number(Whose::Site, Field::GapSeconds);
    sheet.number(Whose::Site, Field::AtOnce);
    let list = [
        (SoakStyle::None.name(), text.soak_none),
        (SoakStyle::Wait.name(), text.soak_wait),
        (SoakStyle::Fill.name(), text.soak_fill),
    ];
    sheet.select(
        "soak-style",
        0,
        text.soak_style,
        &list,
        site.soak_style.name(),
    );
    sheet.put("</div>", &[]);
    sheet.tick("sharing", 0, "", text.sharing, site.sharing);
    sheet.tick("free-steps", 0, "", text.free_steps, site.free_steps);
}

fn rules(sheet: &mut Sheet, site: &Site) {
    let text = &sheet.text.site;
    let (mut no_day, mut no_hour, mut no_dates) = ("", "", String::new());
    for found in wrong(site) {
        let words = wrong_words(sheet.text, &found);
        let id = match found {
            Wrong::NoWeekday => "id=no-day",
            _ => "",
        };
        sheet.put(
            "<p class=\"result alarm\" role=\"alert\" {}>{}</p>",
            &[id, &words],
        );
        match found {
            Wrong::NoWeekday => {
                no_day = "aria-describedby=no-day";
                sheet.key("main", "all-weekdays", 0, text.allow_all);
            }
            Wrong::WindowClosed => {
                no_hour = text.window_closed;
                sheet.key("", "no-closed", 0, text.closed_away);
            }
            Wrong::Time => {}
            Wrong::Dates(_) => no_dates = words,
        }
    }
    sheet.put(
        "<fieldset {}><legend>{}</legend><div class=\"ticks\">",
        &[no_day, text.weekdays],
    );
    for (day, name) in sheet.text.night.weekdays.into_iter().enumerate() {
        let bit = day as u32;
        sheet.tick("weekday", bit, "", name, site.waters_on(day as u8));
    }
    sheet.put("</div></fieldset><div class=\"three\">", &[]);
    let list = [
        (WaterDays::Weekdays.name(), text.days_as_above),
        (WaterDays::Odd.name(), text.days_odd),
        (WaterDays::Even.name(), text.days_even),
        (WaterDays::Every.name(), text.days_every),
    ];
    sheet.select("days", 0, text.days, &list, site.days.name());
    if site.days == WaterDays::Every {
        sheet.number(Whose::Site, Field::EveryDays);
    }
    sheet.number(Whose::Site, Field::DayMinutes);
    let night = &sheet.text.night;
    let opens = &site.facts.window_from;
    sheet.fault(match clock_minute(opens) {
        None => night.fault_time,
        Some(_) => "",
    });
    sheet.entry("window-from", 0, night.window_from, opens, "22:00");
    sheet.number(Whose::Site, Field::WindowHours);
    let (from, until) = &site.closed_hours;
    let [no_from, no_until] = hours_wrong(&site.closed_hours);
    sheet.fault(if no_from { night.fault_hours } else { "" });
    sheet.entry("closed-from", 0, text.closed_from, from, "10:00");
    sheet.fault(if no_until { night.fault_hours } else { no_hour });
    sheet.entry("closed-until", 0, text.closed_until, until, "16:00");
    sheet.put("</div>", &[]);
    let hint = "2026-07-04, 2026-09-07";
    sheet.fault(&no_dates);
    sheet.entry(
        "closed-dates",
        0,
        text.closed_dates,
        &site.closed_dates,
        hint,
    );
}

/// What a price may be for. Letters alone say nothing to who has no such bill at hand.
const PRICE_UNITS: [(&str, &str); 3] = [
    ("m3", "m³"),
    ("ccf", "CCF: 100 ft³"),
    ("kgal", "kgal: 1000 gal"),
];

fn price(sheet: &mut Sheet, site: &Site) {
    let text = &sheet.text.site;
    sheet.put(
        "<p class=\"how\">{}</p><div class=\"three\">",
        &[text.price_how],
    );
    sheet.select(
        "price-unit",
        0,
        text.price_unit,
        &PRICE_UNITS,
        site.price_unit.name(),
    );
    sheet.entry("currency", 0, text.currency, &site.currency, "$");
    sheet.put("</div>", &[]);
    let count = site.tiers.len().max(1);
    let nothing = Tier::default();
    // The bound before. Once the last step has a price, every number is asked for.
    let mut below = "0";
    let asked = site.tiers.last().is_some_and(|last| !last.price.is_empty());
    for place in 0..count {
        let tier = site.tiers.get(place).unwrap_or(&nothing);
        let at = place as u32;
        let n = (place + 1).to_string();
        let label = |words: &str| {
            let unit = site.price_unit.sign();
            fill(
                words,
                &[("n", &n), ("unit", unit), ("money", &site.currency)],
            )
        };
        sheet.put("<div class=\"three\">", &[]);
        let one = label(if count > 1 {
            text.tier_price
        } else {
            text.price_flat
        });
        step_fault(sheet, &tier.price, asked, "");
        sheet.entry("tier-price", at, &one, &tier.price, "");
        if place + 1 < count {
            step_fault(sheet, &tier.until, asked, below);
            sheet.entry("tier-until", at, &label(text.tier_until), &tier.until, "");
            below = &tier.until;
        }
        sheet.put("</div>", &[]);
    }
    sheet.put("<div class=\"entry\">", &[]);
    sheet.key("", "tier-more", 0, text.tier_more);
    if count > 1 {
        sheet.key("", "tier-less", 0, text.tier_less);
    }
    sheet.put("</div>", &[]);
}

/// Says what is wrong with a number of the price: none where one is asked for, or none that is read,
/// or not above the bound below.
#[inline(never)]
fn step_fault(sheet: &mut Sheet, typed: &str, asked: bool, below: &str) {
    let text = sheet.text;
    let low;
    let read = |text| decimal::read(text, PLACES);
    sheet.fault(match (read(typed), read(below)) {
        _ if typed.is_empty() && asked => text.fault_empty,
        _ if typed.is_empty() => "",
        (Err(_), _) => text.site.price_bad,
        (Ok(number), Ok(least)) if number <= least => {
            low = fill(text.site.tier_low, &[("n", below)]);
            &low
        }
        _ => "",
    });
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::site::PriceUnit;

    #[test]
    fn every_unit_of_the_price_can_be_chosen() {
        let names = PRICE_UNITS.map(|(name, _)| PriceUnit::of(name));
        let all = PriceUnit::ALL.iter().map(|(unit, _)| Some(*unit));
        assert_eq!(names.to_vec(), all.collect::<Vec<_>>());
    }
}
