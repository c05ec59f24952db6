//! Every default in force, as a sentence whose words can be tapped and changed in place.

use drycurb_core::need::climate::california;
use drycurb_core::quantity::{Latitude, Longitude};
use wasm_bindgen::prelude::*;

use super::soil::condition_word;
use super::strip::count;
use crate::climate::table;
use crate::document::{Climate, Document, Named, Plants};
use crate::field::Field;
use crate::numbers;
use crate::parts::words::Word;
use crate::platform;
use crate::session::{Row, Session, Whose};
use crate::sheet::{Act, Sheet};
use crate::station;
use crate::text::{Text, fill};
use crate::units::Kind;

/// The sentence, and the editor of the word that was tapped.
pub fn draw(sheet: &mut Sheet) {
    let (session, text) = (sheet.session, sheet.text);
    let open = session.open.get();
    let condition = condition_word(session.draft(|d| d.condition), text);
    let words = [
        (Row::Plants, plants_words(session, text)),
        (Row::Water, water_words(session, text)),
        (Row::Uniformity, uniformity_words(session, text)),
        (Row::Roots, short(session, Field::RootDepth, text.roots_of)),
        (
            Row::Depletion,
            short(session, Field::Depletion, text.depletion_of),
        ),
        (Row::Rain, rain_words(session, text)),
        (Row::Days, days_words(session, text)),
        (
            Row::Soil,
            fill(text.soil_condition, &[("condition", condition)]),
        ),
    ];
    sheet.put(
        "<section class=\"assumed\" aria-label=\"{}\"><h3>{}</h3><p class=\"how\">{}</p>\
         <div class=\"assumptions\">",
        &[text.assumed, text.assumed, text.tap_to_change],
    );
    for (row, words) in &words {
        let expanded = if open == Some(*row) { "true" } else { "false" };
        sheet.put(
            "<button type=\"button\" class=\"assumption\" data-do=\"row\" data-at=\"{}\" \
             aria-expanded=\"{}\">{}</button>",
            &[&(*row as u8).to_string(), expanded, words],
        );
    }
    sheet.put("</div>", &[]);
    if let Some(row) = open {
        editor(sheet, row);
    }
    sheet.put("</section>", &[]);
}

fn editor(sheet: &mut Sheet, row: Row) {
    let text = sheet.text;
    let name = match row {
        Row::Plants => text.plants,
        Row::Water => text.water_need,
        Row::Uniformity => text.uniformity,
        Row::Roots => text.root_depth,
        Row::Depletion => text.depletion,
        Row::Rain => text.rain,
        Row::Days => text.days_allowed,
        _ => return,
    };
    sheet.put(
        "<div class=\"editor\" id=\"editor-{}\"><h4>{}</h4><div class=\"finder\">",
        &[&(row as u8).to_string(), name],
    );
    match row {
        Row::Plants => plants(sheet),
        Row::Water => water(sheet),
        Row::Uniformity => single(sheet, Field::Uniformity),
        Row::Roots => single(sheet, Field::RootDepth),
        Row::Depletion => single(sheet, Field::Depletion),
        Row::Rain => single(sheet, Field::Rain),
        _ => single(sheet, Field::Days),
    }
    sheet.put("</div>", &[]);
    sheet.key("", "row", row as u32, text.close);
    sheet.put("</div>", &[]);
}

/// One number and a way back to its default.
fn single(sheet: &mut Sheet, field: Field) {
    let (session, text) = (sheet.session, sheet.text);
    sheet.number_stepped(Whose::Draft, field);
    if session.draft(|d| d.numbers.get(field).is_some()) {
        let default = session.draft(|d| station::default_of(d, field));
        let kind = field.spec().kind;
        let value =
            kind.show_with_sign(default.unwrap_or_default(), session.units(), session.comma);
        let words = fill(text.back_to_default, &[("value", &value)]);
        sheet.key_of("", "default", field.name(), "", &words);
    }
}

fn short(session: Session, field: Field, sentence: &str) -> String {
    let value = session.draft(|d| station::number_or_default(d, field));
    let kind = field.spec().kind;
    let shown = value.map_or("?".into(), |inside| {
        kind.show_with_sign(inside, session.units(), session.comma)
    });
    fill(sentence, &[("value", &shown)])
}

fn uniformity_words(session: Session, text: &Text) -> String {
    match session.draft(station::measured_uniformity) {
        Some(percent) => {
            let value = Kind::Percent.show_with_sign(percent, session.units(), session.comma);
            fill(text.uniformity_measured, &[("value", &value)])
        }
        None => short(session, Field::Uniformity, text.uniformity_of),
    }
}

fn rain_words(session: Session, text: &Text) -> String {
    match session.draft(|d| station::number_or_default(d, Field::Rain)) {
        Some(0.0) => text.no_rain.to_string(),
        _ => short(session, Field::Rain, text.rain_of),
    }
}

fn days_words(session: Session, text: &Text) -> String {
    match session.draft(|d| station::number_or_default(d, Field::Days)) {
        Some(days) if days < 7.0 => count(days as u32, text.one_day, text.days_most),
        _ => text.days_any.to_string(),
    }
}

/// The plants' words.
pub const PLANTS: [(Plants, Word); 8] = [
    (Plants::CoolTurf, |t| t.cool_turf),
    (Plants::WarmTurf, |t| t.warm_turf),
    (Plants::HighUse, |t| t.high_use),
    (Plants::ModerateUse, |t| t.moderate_use),
    (Plants::LowUse, |t| t.low_use),
    (Plants::VeryLowUse, |t| t.very_low_use),
    (Plants::Trees, |t| t.trees),
    (Plants::Typed, |t| t.type_factor),
];

fn plants_words(session: Session, text: &Text) -> String {
    match session.draft(|d| d.plants) {
        Plants::Typed => short(session, Field::PlantFactor, text.plant_factor_of),
        plants => {
            let word = PLANTS.iter().find(|(this, _)| *this == plants);
            word.map_or("", |(_, word)| word(text)).to_string()
        }
    }
}

fn plants(sheet: &mut Sheet) {
    let text = sheet.text;
    let now = sheet.session.draft(|d| d.plants);
    let list = PLANTS.map(|(plants, word)| (plants.name(), word(text)));
    sheet.choices("plants", 0, text.plants, &list, now.name());
    if now == Plants::Typed {
        sheet.number_stepped(Whose::Draft, Field::PlantFactor);
    }
}

/// The months' words, January first.
pub const MONTHS: [Word; 12] = [
    |t| t.january,
    |t| t.february,
    |t| t.march,
    |t| t.april,
    |t| t.may,
    |t| t.june,
    |t| t.july,
    |t| t.august,
    |t| t.september,
    |t| t.october,
    |t| t.november,
    |t| t.december,
];

/// The months' numbers as they stand in markup.
pub const MONTH_NUMBERS: [&str; 12] = [
    "1", "2", "3", "4", "5", "6", "7", "8", "9", "10", "11", "12",
];

fn month(session: Session) -> usize {
    let month = session.draft(|d| d.month).unwrap_or(session.month);
    month.clamp(1, 12) as usize - 1
}

/// The month's figure of the site's own twelve, where they count for this station.
fn own_et(session: Session) -> Option<f64> {
    let season = |d: &Document| d.season_of_draft(session.month);
    let of = |d: &Document| station::own_et(&d.draft, &season(d));
    session.document.with(of)
}

fn water_words(session: Session, text: &Text) -> String {
    let month = MONTHS[month(session)](text);
    let et = |mm| Kind::DepthPerDay.show_with_sign(mm, session.units(), session.comma);
    if let Some(own) = own_et(session) {
        return [month, ": ", text.own_figures, ", ", &et(own)].concat();
    }
    match session.draft(|d| d.climate.clone()) {
        Climate::Assumed => fill(
            text.et_assumed,
            &[("value", &et(station::ASSUMED_ET_MM_PER_DAY))],
        ),
        Climate::Typed => {
            let value = session.draft(|d| station::number_or_default(d, Field::ReferenceEt));
            fill(text.et_typed, &[("value", &value.map_or("?".into(), et))])
        }
        Climate::Place(place) => fill(text.et_from_place, &[("month", month), ("place", &place)]),
        Climate::Zone(zone) => fill(
            text.et_from_zone,
            &[("month", month), ("zone", &zone.to_string())],
        ),
    }
}

/// The months to choose from, after what stands for none of them.
pub fn months(sheet: &mut Sheet, none: &[(&str, &str)], now: &str) {
    let mut list = none.to_vec();
    for (number, word) in MONTH_NUMBERS.into_iter().zip(MONTHS) {
        list.push((number, word(sheet.text)));
    }
    sheet.select("month", 0, sheet.text.month, &list, now);
}

/// The published zones to choose from, with a word for none.
pub fn zones(sheet: &mut Sheet, climate: &Climate, none: &str) {
    let words = |zone: &california::Zone| [&zone.number.to_string(), " · ", zone.lies].concat();
    let words: Vec<String> = california::ZONES.iter().map(words).collect();
    let mut list = vec![("", none)];
    for one in &words {
        list.push((one.split(' ').next().unwrap_or_default(), one));
    }
    let now = match climate {
        Climate::Zone(zone) => zone.to_string(),
        _ => String::new(),
    };
    sheet.select("zone", 0, sheet.text.zones, &list, &now);
}

fn water(sheet: &mut Sheet) {
    let (session, text) = (sheet.session, sheet.text);
    months(sheet, &[], MONTH_NUMBERS[month(session)]);
    let climate = session.draft(|d| d.climate.clone());
    // Where the site's own figures count, no place and no zone does.
    if own_et(session).is_none() {
        place(sheet);
        zones(sheet, &climate, "–");
    }
    let typed = climate == Climate::Typed;
    let now = if typed { "typed" } else { "" };
    sheet.choices(
        "et-typed",
        0,
        text.water_need,
        &[("typed", text.type_et)],
        now,
    );
    // A number that does not count is not asked for.
    if typed {
        sheet.number_stepped(Whose::Draft, Field::ReferenceEt);
        // Turf takes its share by the season, and January is no winter everywhere.
        let now = if session.draft(|d| d.south) {
            "south"
        } else {
            "north"
        };
        let list = [("north", text.north), ("south", text.south)];
        sheet.choices("half", 0, text.half_of_earth, &list, now);
    }
}

fn place(sheet: &mut Sheet) {
    let (session, text) = (sheet.session, sheet.text);
    let (typed, near, refused) = session
        .pocket
        .with(|view| (view.place.clone(), view.near, view.place_refused));
    sheet.put(
        "<div class=\"finder\"><div class=\"number-field\"><label for=\"place\">{}</label>\
         <div class=\"entry\"><input id=\"place\" type=\"text\" autocomplete=\"off\" data-in=\"place-typed\" \
         value=\"{}\">",
        &[text.place_search, &typed],
    );
    sheet.key("", "place-here", 0, text.place_here);
    sheet.put("</div><p class=\"note\">{}</p></div>", &[text.place_rough]);
    let climate = session.draft(|d| d.climate.clone());
    let now = match &climate {
        Climate::Place(place) => place.as_str(),
        _ => "",
    };
    if typed.trim().is_empty() {
        if let Some((name, km)) = near {
            let distance = numbers::write(km, 0, session.comma);
            let values = [("name", name), ("distance", distance.as_str())];
            let words = fill(text.place_far, &values);
            sheet.choices("place", 0, text.place, &[(name, &words)], now);
        }
    } else {
        let found = table().search(&typed);
        let list: Vec<(&str, &str)> = found
            .iter()
            .take(6)
            .map(|place| (place.name, place.name))
            .collect();
        sheet.choices("place", 0, text.place, &list, now);
        if list.is_empty() {
            sheet.put(
                "<p class=\"note\" role=\"status\">{}</p>",
                &[text.place_none],
            );
        }
    }
    if refused {
        sheet.put(
            "<p class=\"note wrong\" role=\"alert\">{}</p>",
            &[text.place_refused],
        );
    }
    sheet.put("</div>", &[]);
}

/// Asks the phone where it is: for the nearest climate of the draft, or for the position of the site.
pub fn find_place(session: Session) {
    let of_site = session.whose == Whose::Site;
    let asked = session.document.with_untracked(|d| d.site);
    let hear = Closure::once_into_js(move |latitude: f64, longitude: f64| {
        if of_site {
            // Another site may have been opened meanwhile: it lies elsewhere.
            if session.document.with_untracked(|d| d.site) == asked {
                for (field, degrees) in [(Field::Latitude, latitude), (Field::Longitude, longitude)]
                {
                    session.type_number(field, numbers::write(degrees, 2, session.comma));
                }
            }
            return;
        }
        let latitude = Latitude::try_degrees(latitude);
        if let (Ok(latitude), Ok(longitude)) = (latitude, Longitude::try_degrees(longitude)) {
            let Some(found) = table().nearest(latitude, longitude) else {
                return;
            };
            session.pocket.update(|view| {
                view.place_refused = false;
                view.place.clear();
                view.near = Some((found.place.name, found.distance_km));
            });
            session.change(|d| d.climate = Climate::Place(found.place.name.to_string()));
        }
    });
    let refuse = Closure::once_into_js(move || {
        if of_site {
            session.site.update(|view| view.refused = true);
        } else {
            session.pocket.update(|view| view.place_refused = true);
        }
    });
    platform::position(&hear, &refuse);
}

/// What a hand did with the assumptions.
pub fn act(session: Session, act: &Act) {
    match act.verb.as_str() {
        "default" => {
            if let Some(field) = Field::of(&act.of) {
                session.type_number(field, String::new());
            }
        }
        "place-typed" => session.pocket.update(|view| view.place = act.value.clone()),
        "place-here" => find_place(session),
        _ => session.change_if(|d| {
            match act.verb.as_str() {
                "plants" => d.plants = Plants::of(&act.of).unwrap_or_default(),
                "month" => d.month = act.value.parse().ok(),
                "place" => d.climate = Climate::Place(act.of.clone()),
                "zone" => match act.value.parse() {
                    Ok(zone) => d.climate = Climate::Zone(zone),
                    Err(_) if matches!(d.climate, Climate::Zone(_)) => d.climate = Climate::Assumed,
                    Err(_) => return false,
                },
                "et-typed" => d.climate = Climate::Typed,
                "half" => d.south = act.of == "south",
                _ => return false,
            }
            true
        }),
    }
}
