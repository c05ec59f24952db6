//! A site and a kept station as JSON and back. What is as it was at first is not written.

use drycurb_core::json;
use serde_json::{Map, Value};

use super::{EVERY_DAY, Fault, Gone, Site, Supply, Tier};
use crate::document::json::{draft, items, named, of_draft, small, text, word, words};
use crate::document::{Draft, Kept, Named, Words, line, present, site};

/// An object without what is null.
fn object(parts: Vec<(&str, Value)>) -> Value {
    let parts = parts.into_iter().filter(|(_, value)| !value.is_null());
    let map: Map<String, Value> = parts.map(|(name, value)| (name.into(), value)).collect();
    Value::Object(map)
}

fn flag(on: bool) -> Value {
    if on { Value::Bool(true) } else { Value::Null }
}

fn some(list: Vec<Value>) -> Value {
    if list.is_empty() {
        Value::Null
    } else {
        Value::Array(list)
    }
}

fn facts_value(facts: &Draft) -> Value {
    if *facts == Draft::default() {
        Value::Null
    } else {
        of_draft(facts)
    }
}

/// A site's value.
pub fn of_site(site: &Site) -> Value {
    let supplies = site.supplies.iter().map(|supply| {
        object(vec![
            ("id", supply.id.into()),
            ("name", text(&supply.name)),
            ("meter", text(&supply.meter)),
            ("pipe", text(&supply.pipe)),
            ("pipe_size", text(&supply.pipe_size)),
            ("facts", facts_value(&supply.facts)),
        ])
    });
    let tiers = site.tiers.iter();
    let tiers = tiers.map(|tier| json!([tier.until, tier.price]));
    let weekdays = match site.weekdays {
        EVERY_DAY => Value::Null,
        chosen => chosen.into(),
    };
    let units = site.units.map_or(Value::Null, |units| units.name().into());
    object(vec![
        ("id", site.id.into()),
        ("name", text(&site.name)),
        ("note", text(&site.note)),
        ("archived", flag(site.archived)),
        ("invented", flag(site.invented)),
        ("units", units),
        ("facts", facts_value(&site.facts)),
        ("supplies", supplies.collect::<Vec<Value>>().into()),
        ("soak_style", word(site.soak_style)),
        ("sharing", flag(site.sharing)),
        ("free_steps", flag(site.free_steps)),
        ("days", word(site.days)),
        ("weekdays", weekdays),
        ("closed_from", text(&site.closed_hours.0)),
        ("closed_until", text(&site.closed_hours.1)),
        ("closed_dates", text(&site.closed_dates)),
        ("price_unit", word(site.price_unit)),
        ("tiers", some(tiers.collect())),
        ("currency", text(&site.currency)),
        ("present", present::of_present(&site.present)),
        ("planned", present::of_planned(&site.planned)),
        ("words", site.words.to_json()),
        ("quote", line::to_json(&site.quote)),
    ])
}

/// The site of a value.
pub fn site(value: &Value) -> Option<Site> {
    let mut site = Site::new(small(&value["id"])?);
    let flag = |name: &str| value[name].as_bool().unwrap_or_default();
    site.name = words(&value["name"]);
    site.note = words(&value["note"]);
    site.archived = flag("archived");
    site.invented = flag("invented");
    site.units = named(&value["units"]);
    site.facts = draft(&value["facts"]);
    site.words = Words::of_json(&value["words"]);
    site.quote = line::of_json(&value["quote"]);
    site.soak_style = named(&value["soak_style"]).unwrap_or_default();
    site.sharing = flag("sharing");
    site.free_steps = flag("free_steps");
    site.days = named(&value["days"]).unwrap_or_default();
    site.weekdays = small(&value["weekdays"]).map_or(EVERY_DAY, |days| days as u8 & EVERY_DAY);
    site.closed_hours = (words(&value["closed_from"]), words(&value["closed_until"]));
    site.closed_dates = words(&value["closed_dates"]);
    site.price_unit = named(&value["price_unit"]).unwrap_or_default();
    site.currency = words(&value["currency"]);
    let tiers = items(&value["tiers"]).iter().map(|tier| Tier {
        until: words(&tier[0]),
        price: words(&tier[1]),
    });
    site.tiers = tiers.collect();
    let supplies: Vec<Supply> = items(&value["supplies"])
        .iter()
        .filter_map(supply)
        .collect();
    if !supplies.is_empty() {
        site.supplies = supplies;
    }
    site.present = present::present(&value["present"]);
    site.planned = present::planned(&value["planned"]);
    Some(site)
}

fn supply(value: &Value) -> Option<Supply> {
    Some(Supply {
        id: small(&value["id"])?,
        name: words(&value["name"]),
        meter: words(&value["meter"]),
        pipe: words(&value["pipe"]),
        pipe_size: words(&value["pipe_size"]),
        facts: draft(&value["facts"]),
    })
}

/// A deleted site's value.
pub fn of_gone(gone: &Gone) -> Value {
    let kept = gone.kept.iter().map(of_kept).collect::<Vec<Value>>();
    json!({ "site": of_site(&gone.site), "kept": kept })
}

/// The deleted site of a value.
pub fn gone(value: &Value) -> Option<Gone> {
    Some(Gone {
        site: site(&value["site"])?,
        kept: items(&value["kept"]).iter().filter_map(kept).collect(),
    })
}

/// A kept station's value.
pub fn of_kept(kept: &Kept) -> Value {
    let faults = kept.faults.iter();
    let faults = faults.map(|(fault, count)| json!([fault.name(), count]));
    object(vec![
        ("id", kept.id.into()),
        ("name", kept.name.clone().into()),
        ("draft", of_draft(&kept.draft)),
        ("site", kept.site.into()),
        ("supply", kept.supply.into()),
        ("waters_from", text(&kept.hours.0)),
        ("waters_until", text(&kept.hours.1)),
        (
            "apart",
            some(kept.apart.iter().map(|id| (*id).into()).collect()),
        ),
        ("note", text(&kept.note)),
        ("photo", json!(kept.photo)),
        ("faults", some(faults.collect())),
        ("checked", flag(kept.checked)),
        ("changed", text(&kept.changed)),
        ("stood", json!(kept.stood)),
    ])
}

/// The kept station of a value.
pub fn kept(value: &Value) -> Option<Kept> {
    let faults = items(&value["faults"]).iter().filter_map(|fault| {
        let kind: Fault = named(&fault[0])?;
        Some((kind, small(&fault[1]).unwrap_or(1)))
    });
    Some(Kept {
        id: small(&value["id"])?,
        name: value["name"].as_str()?.to_string(),
        draft: draft(&value["draft"]),
        site: small(&value["site"]).unwrap_or(site::FIRST),
        supply: small(&value["supply"]).unwrap_or(site::FIRST),
        hours: (words(&value["waters_from"]), words(&value["waters_until"])),
        apart: items(&value["apart"]).iter().filter_map(small).collect(),
        note: words(&value["note"]),
        photo: small(&value["photo"]),
        faults: faults.collect(),
        checked: value["checked"].as_bool().unwrap_or_default(),
        changed: words(&value["changed"]),
        stood: small(&value["stood"]),
    })
}
