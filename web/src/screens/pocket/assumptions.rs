//! Every default in force, as a sentence whose words can be tapped and changed in place.

use crate::signals::*;
use drycurb_core::need::climate::{self, california};
use drycurb_core::quantity::{Latitude, Longitude};
use wasm_bindgen::prelude::*;

use super::soil::condition_word;
use super::strip::count;
use crate::document::{Climate, Plants};
use crate::dom::{El, el, key, memo};
use crate::field::Field;
use crate::numbers;
use crate::parts::choice::{choice, choices, group};
use crate::parts::number_field::number_field;
use crate::parts::words::{Word, how, said};
use crate::platform;
use crate::session::{Row, Session};
use crate::station;
use crate::text::fill;
use crate::units::Kind;

/// Says one assumption.
type Words = fn(Session) -> String;

/// The sentence, and the editor of the word that was tapped.
pub fn assumptions(session: Session) -> El {
    let words: [(Row, Words); 8] = [
        (Row::Plants, plants_words),
        (Row::Water, water_words),
        (Row::Uniformity, uniformity_words),
        (Row::Roots, |s| short(s, Field::RootDepth, |t| t.roots_of)),
        (Row::Depletion, |s| {
            short(s, Field::Depletion, |t| t.depletion_of)
        }),
        (Row::Rain, rain_words),
        (Row::Days, days_words),
        (Row::Soil, |s| {
            let text = s.text();
            let condition = condition_word(s.draft(|d| d.condition))(text);
            fill(text.soil_condition, &[("condition", condition)])
        }),
    ];
    let keys = words.map(|(row, words)| {
        key(move || session.toggle(row))
            .class("assumption")
            .flag("aria-expanded", move || session.open.get() == Some(row))
            .say(move || words(session))
    });
    el("section")
        .class("assumed")
        .label(session, |t| t.assumed)
        .with(said(session, "h3", |t| t.assumed))
        .with(how(session, |t| t.tap_to_change))
        .with(el("div").class("assumptions").with_all(keys))
        .with_of(move || editor(session, session.open.get()?))
}

fn editor(session: Session, row: Row) -> Option<El> {
    let (name, body): (Word, El) = match row {
        Row::Plants => (|t| t.plants, plants(session)),
        Row::Water => (|t| t.water_need, water(session)),
        Row::Uniformity => (|t| t.uniformity, single(session, Field::Uniformity)),
        Row::Roots => (|t| t.root_depth, single(session, Field::RootDepth)),
        Row::Depletion => (|t| t.depletion, single(session, Field::Depletion)),
        Row::Rain => (|t| t.rain, single(session, Field::Rain)),
        Row::Days => (|t| t.days_allowed, single(session, Field::Days)),
        _ => return None,
    };
    let close = key(move || session.open.set(None)).word(session, |t| t.close);
    Some(
        el("div")
            .class("editor")
            .with(said(session, "h4", name))
            .with(body)
            .with(close),
    )
}

/// One number and a way back to its default.
fn single(session: Session, field: Field) -> El {
    let typed = memo(move || session.draft(|d| d.numbers.get(field).is_some()));
    let back = move || {
        typed.get().then(|| {
            let words = move || {
                let default = session
                    .draft(|d| station::default_of(d, field))
                    .unwrap_or_default();
                let kind = field.spec().kind;
                let value = kind.show_with_sign(default, session.units(), session.comma);
                fill(session.text().back_to_default, &[("value", &value)])
            };
            key(move || session.type_number(field, String::new())).say(words)
        })
    };
    el("div")
        .class("finder")
        .with(number_field(session, field))
        .with_of(back)
}

fn short(session: Session, field: Field, sentence: Word) -> String {
    let value = session.draft(|d| station::number_or_default(d, field));
    let shown = value.map_or("?".into(), |inside| {
        field
            .spec()
            .kind
            .show_with_sign(inside, session.units(), session.comma)
    });
    fill(sentence(session.text()), &[("value", &shown)])
}

fn uniformity_words(session: Session) -> String {
    match session.draft(station::measured_uniformity) {
        Some(percent) => {
            let value = Kind::Percent.show_with_sign(percent, session.units(), session.comma);
            fill(session.text().uniformity_measured, &[("value", &value)])
        }
        None => short(session, Field::Uniformity, |t| t.uniformity_of),
    }
}

fn rain_words(session: Session) -> String {
    match session.draft(|d| station::number_or_default(d, Field::Rain)) {
        Some(0.0) => session.text().no_rain.to_string(),
        _ => short(session, Field::Rain, |t| t.rain_of),
    }
}

fn days_words(session: Session) -> String {
    let text = session.text();
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

fn plants_words(session: Session) -> String {
    match session.draft(|d| d.plants) {
        Plants::Typed => short(session, Field::PlantFactor, |t| t.plant_factor_of),
        plants => {
            let word = PLANTS
                .iter()
                .find(|(this, _)| *this == plants)
                .map(|(_, word)| *word);
            word.map_or("", |word| word(session.text())).to_string()
        }
    }
}

fn plants(session: Session) -> El {
    let now = memo(move || session.draft(|d| d.plants));
    let choose = move |plants| session.change(|d| d.plants = plants);
    let factor =
        move || (now.get() == Plants::Typed).then(|| number_field(session, Field::PlantFactor));
    el("div")
        .class("finder")
        .with(choices(
            session,
            |t| t.plants,
            &PLANTS,
            move || now.get(),
            choose,
        ))
        .with_of(factor)
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

fn month(session: Session) -> u32 {
    session
        .draft(|d| d.month)
        .unwrap_or(session.month)
        .clamp(1, 12)
}

fn water_words(session: Session) -> String {
    let text = session.text();
    let month_word = MONTHS[month(session) as usize - 1](text);
    let et = |mm| Kind::DepthPerDay.show_with_sign(mm, session.units(), session.comma);
    match session.draft(|d| d.climate.clone()) {
        Climate::Assumed => fill(
            text.et_assumed,
            &[("value", &et(station::ASSUMED_ET_MM_PER_DAY))],
        ),
        Climate::Typed => {
            let value = session.draft(|d| station::number_or_default(d, Field::ReferenceEt));
            fill(text.et_typed, &[("value", &value.map_or("?".into(), et))])
        }
        Climate::Place(place) => fill(
            text.et_from_place,
            &[("month", month_word), ("place", &place)],
        ),
        Climate::Zone(zone) => fill(
            text.et_from_zone,
            &[("month", month_word), ("zone", &zone.to_string())],
        ),
    }
}

fn water(session: Session) -> El {
    let months = (1..=12_u32).map(|number| {
        said(session, "option", MONTHS[number as usize - 1])
            .attr("value", &number.to_string())
            .property_when("selected", move || month(session) == number)
    });
    let choose_month = move |number: String| session.change(|d| d.month = number.parse().ok());
    let typed = move || session.draft(|d| d.climate == Climate::Typed);
    // Turf takes its share by the season, and January is no winter everywhere.
    let half = move || {
        let south = move || session.draft(|d| d.south);
        let list: [(bool, Word); 2] = [(false, |t| t.north), (true, |t| t.south)];
        let choose = move |south| session.change(|d| d.south = south);
        typed().then(|| choices(session, |t| t.half_of_earth, &list, south, choose))
    };
    let take_typed = move || session.change(|d| d.climate = Climate::Typed);
    el("div")
        .class("finder")
        .with(pick(session, |t| t.month, months, choose_month))
        .with(place(session))
        .with(zones(session))
        .with(number_field(session, Field::ReferenceEt))
        .with(choice(session, |t| t.type_et, typed, take_typed))
        .with_of(half)
}

/// A list to pick from, with its name.
fn pick(
    session: Session,
    name: Word,
    options: impl IntoIterator<Item = El>,
    choose: impl Fn(String) + 'static,
) -> El {
    let select = el("select")
        .label(session, name)
        .with_all(options)
        .typed(choose);
    el("label")
        .class("pick")
        .with(said(session, "span", name))
        .with(select)
}

/// A found place, and how far away it is when a position was asked for.
#[derive(Clone, PartialEq)]
struct FoundPlace {
    name: &'static str,
    distance_km: Option<f64>,
}

fn place(session: Session) -> El {
    let wanted = RwSignal::new(String::new());
    let near = RwSignal::new(None::<FoundPlace>);
    let refused = RwSignal::new(false);
    let found = memo(move || -> Vec<FoundPlace> {
        let wanted = wanted.get();
        if wanted.trim().is_empty() {
            return near.get().into_iter().collect();
        }
        climate::search(&wanted)
            .into_iter()
            .take(6)
            .map(|place| FoundPlace {
                name: place.name,
                distance_km: None,
            })
            .collect()
    });
    let here = move || {
        let hear = Closure::once_into_js(move |latitude: f64, longitude: f64| {
            if let (Ok(latitude), Ok(longitude)) = (
                Latitude::try_degrees(latitude),
                Longitude::try_degrees(longitude),
            ) {
                let found = climate::nearest(latitude, longitude);
                refused.set(false);
                wanted.set(String::new());
                near.set(Some(FoundPlace {
                    name: found.place.name,
                    distance_km: Some(found.distance_km),
                }));
                session.change(|d| d.climate = Climate::Place(found.place.name.to_string()));
            }
        });
        let refuse = Closure::once_into_js(move || refused.set(true));
        platform::position(&hear, &refuse);
    };
    let list = move || {
        let keys = found.get().into_iter().map(|place| {
            let name = place.name;
            let words = move || match place.distance_km {
                Some(km) => {
                    let distance = numbers::write(km, 0, session.comma);
                    let values = [("name", name), ("distance", distance.as_str())];
                    fill(session.text().place_far, &values)
                }
                None => name.to_string(),
            };
            let place = move || Climate::Place(name.to_string());
            key(move || session.change(|d| d.climate = place()))
                .flag("aria-pressed", move || {
                    session.draft(|d| d.climate == place())
                })
                .say(words)
        });
        Some(group(session, |t| t.place).with_all(keys))
    };
    let none = memo(move || !wanted.with(|w| w.trim().is_empty()) && found.with(Vec::is_empty));
    let none_line = move || {
        none.get().then(|| {
            said(session, "p", |t| t.place_none)
                .class("note")
                .attr("role", "status")
        })
    };
    let refused_line = move || {
        let line = || said(session, "p", |t| t.place_refused).class("note wrong");
        refused.get().then(|| line().attr("role", "alert"))
    };
    let input = el("input")
        .id("place")
        .attr("type", "text")
        .attr("autocomplete", "off")
        .value_of(move || wanted.get())
        .typed(move |text| wanted.set(text));
    let field = el("div")
        .class("number-field")
        .with(said(session, "label", |t| t.place_search).attr("for", "place"))
        .with(
            el("div")
                .class("entry")
                .with(input)
                .with(key(here).word(session, |t| t.place_here)),
        )
        .with(said(session, "p", |t| t.place_rough).class("note"));
    el("div")
        .class("finder")
        .with(field)
        .with_of(list)
        .with_of(none_line)
        .with_of(refused_line)
}

fn zones(session: Session) -> El {
    let none_chosen = move || session.draft(|d| !matches!(d.climate, Climate::Zone(_)));
    let none = el("option")
        .attr("value", "")
        .text("–")
        .property_when("selected", none_chosen);
    let options = california::ZONES.iter().map(|zone| {
        let number = zone.number;
        el("option")
            .attr("value", &number.to_string())
            .property_when("selected", move || {
                session.draft(|d| d.climate == Climate::Zone(number))
            })
            .text(&format!("{number} · {}", zone.lies))
    });
    let choose = move |number: String| {
        let chosen = number.parse().map(Climate::Zone);
        session.change(|d| match chosen {
            Ok(zone) => d.climate = zone,
            Err(_) if matches!(d.climate, Climate::Zone(_)) => d.climate = Climate::Assumed,
            Err(_) => {}
        });
    };
    pick(
        session,
        |t| t.zones,
        [none].into_iter().chain(options),
        choose,
    )
}
