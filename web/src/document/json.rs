//! The document as JSON and back, field by field.

use serde_json::{Map, Value, json};

use super::{
    Climate, Document, Draft, Feel, Kept, Named, Prefs, Site, Stopwatch, Supply, Typed, VERSION,
    site,
};
use crate::field::Field;

/// Reads JSON text. In the page by the browser's own reader: another one would weigh 8 kB.
#[cfg(target_arch = "wasm32")]
pub fn parse(text: &str) -> Option<Value> {
    serde_wasm_bindgen::from_value(js_sys::JSON::parse(text).ok()?).ok()
}

/// Writes JSON text.
#[cfg(target_arch = "wasm32")]
pub fn print(value: &Value) -> String {
    let text = js_sys::JSON::stringify(&crate::worker::to_js(value));
    text.map(String::from).unwrap_or_default()
}

/// Reads JSON text.
#[cfg(not(target_arch = "wasm32"))]
pub fn parse(text: &str) -> Option<Value> {
    serde_json::from_str(text).ok()
}

/// Writes JSON text.
#[cfg(not(target_arch = "wasm32"))]
pub fn print(value: &Value) -> String {
    value.to_string()
}

/// The document's value.
pub fn of_document(document: &Document) -> Value {
    let kept = |list: &[Kept]| list.iter().map(of_kept).collect::<Vec<Value>>();
    json!({
        "version": VERSION,
        "prefs": {
            "language": document.prefs.language.map(Named::name),
            "units": document.prefs.units.name(),
            "theme": document.prefs.theme.map(Named::name),
        },
        "draft": of_draft(&document.draft),
        "sites": document.sites.iter().map(of_site).collect::<Vec<Value>>(),
        "site": document.site,
        "opened": document.opened,
        "kept": kept(&document.kept),
        "deleted": kept(&document.deleted),
        "stopwatch": {
            "started_ms": document.stopwatch.started_ms,
            "stopped_ms": document.stopwatch.stopped_ms,
        },
    })
}

/// The document of a value.
pub fn document(value: &Value) -> Document {
    let prefs = &value["prefs"];
    let watch = &value["stopwatch"];
    let sites = sites(value);
    let first = sites[0].id;
    Document {
        version: VERSION,
        prefs: Prefs {
            language: named(&prefs["language"]),
            units: named(&prefs["units"]).unwrap_or_default(),
            theme: named(&prefs["theme"]),
        },
        draft: draft(&value["draft"]),
        sites,
        site: small(&value["site"]).unwrap_or(first),
        opened: small(&value["opened"]),
        kept: list(&value["kept"]),
        deleted: list(&value["deleted"]),
        stopwatch: Stopwatch {
            started_ms: watch["started_ms"].as_u64(),
            stopped_ms: watch["stopped_ms"].as_u64(),
        },
    }
}

fn of_kept(kept: &Kept) -> Value {
    json!({
        "id": kept.id,
        "name": kept.name,
        "draft": of_draft(&kept.draft),
        "site": kept.site,
        "supply": kept.supply,
    })
}

fn of_site(site: &Site) -> Value {
    let supplies = site.supplies.iter().map(
        |supply| json!({ "id": supply.id, "name": supply.name, "facts": of_draft(&supply.facts) }),
    );
    json!({
        "id": site.id,
        "name": site.name,
        "note": site.note,
        "archived": site.archived,
        "facts": of_draft(&site.facts),
        "supplies": supplies.collect::<Vec<Value>>(),
    })
}

/// The sites; the first version had one, and called its numbers the night's.
fn sites(value: &Value) -> Vec<Site> {
    let items = value["sites"].as_array().map_or(&[][..], Vec::as_slice);
    let mut sites: Vec<Site> = items.iter().filter_map(one_site).collect();
    if sites.is_empty() {
        let mut only = Site::new(site::FIRST);
        only.facts = draft(&value["night"]);
        let capacity = only.facts.numbers.get(Field::Capacity).cloned();
        only.facts.numbers.set(Field::Capacity, None);
        only.supplies[0]
            .facts
            .numbers
            .set(Field::Capacity, capacity);
        sites.push(only);
    }
    sites
}

fn one_site(value: &Value) -> Option<Site> {
    let mut site = Site::new(small(&value["id"])?);
    site.name = words(&value["name"]);
    site.note = words(&value["note"]);
    site.archived = value["archived"].as_bool().unwrap_or_default();
    site.facts = draft(&value["facts"]);
    let items = value["supplies"].as_array().map_or(&[][..], Vec::as_slice);
    let supplies: Vec<Supply> = items
        .iter()
        .filter_map(|item| {
            Some(Supply {
                id: small(&item["id"])?,
                name: words(&item["name"]),
                facts: draft(&item["facts"]),
            })
        })
        .collect();
    if !supplies.is_empty() {
        site.supplies = supplies;
    }
    Some(site)
}

/// A text; nothing where there is none.
fn words(value: &Value) -> String {
    value.as_str().unwrap_or_default().to_string()
}

fn list(value: &Value) -> Vec<Kept> {
    let items = value.as_array().map_or(&[][..], Vec::as_slice);
    let kept = items.iter().filter_map(|item| {
        let name = item["name"].as_str()?.to_string();
        Some(Kept {
            id: small(&item["id"])?,
            name,
            draft: draft(&item["draft"]),
            site: small(&item["site"]).unwrap_or(site::FIRST),
            supply: small(&item["supply"]).unwrap_or(site::FIRST),
        })
    });
    kept.collect()
}

/// A draft's value: only what differs from a blank one.
fn of_draft(draft: &Draft) -> Value {
    let mut map = Map::new();
    let mut numbers = Map::new();
    for (field, typed) in draft.numbers.iter() {
        let value = json!({ "text": typed.text, "units": typed.units.name() });
        numbers.insert(field.name().into(), value);
    }
    map.insert("numbers".into(), Value::Object(numbers));
    let mut put = |name: &str, value: Value| {
        if !value.is_null() {
            map.insert(name.into(), value);
        }
    };
    put("window_from", text(&draft.window_from));
    put("catches", text(&draft.catches));
    put("soil", draft.soil.as_deref().map_or(Value::Null, text));
    put("soil_found", word(draft.soil_found));
    put("condition", word(draft.condition));
    put("ground", word(draft.ground));
    put("slope_way", word(draft.slope_way));
    put("rate_way", word(draft.rate_way));
    put("layout", word(draft.layout));
    put("plants", word(draft.plants));
    put("governed", word(draft.governed));
    put("month", json!(draft.month));
    put("south", draft.south.then_some(true).into());
    let Feel {
        ball,
        ribbon,
        length,
        rub,
    } = draft.feel;
    put("feel", json!([ball, ribbon, length, rub]));
    put(
        "climate",
        match &draft.climate {
            Climate::Assumed => Value::Null,
            Climate::Place(place) => json!({ "place": place }),
            Climate::Zone(zone) => json!({ "zone": zone }),
            Climate::Typed => json!("typed"),
        },
    );
    Value::Object(map)
}

fn draft(value: &Value) -> Draft {
    let mut draft = Draft {
        window_from: value["window_from"]
            .as_str()
            .unwrap_or_default()
            .to_string(),
        catches: value["catches"].as_str().unwrap_or_default().to_string(),
        soil: value["soil"].as_str().map(str::to_string),
        soil_found: named(&value["soil_found"]).unwrap_or_default(),
        condition: named(&value["condition"]).unwrap_or_default(),
        ground: named(&value["ground"]).unwrap_or_default(),
        slope_way: named(&value["slope_way"]).unwrap_or_default(),
        rate_way: named(&value["rate_way"]).unwrap_or_default(),
        layout: named(&value["layout"]).unwrap_or_default(),
        plants: named(&value["plants"]).unwrap_or_default(),
        governed: named(&value["governed"]).unwrap_or_default(),
        month: small(&value["month"]),
        south: value["south"].as_bool().unwrap_or_default(),
        feel: Feel {
            ball: value["feel"][0].as_bool(),
            ribbon: value["feel"][1].as_bool(),
            length: small(&value["feel"][2]).map(|n| n as u8),
            rub: small(&value["feel"][3]).map(|n| n as u8),
        },
        climate: climate(&value["climate"]),
        ..Draft::default()
    };
    for (name, typed) in value["numbers"].as_object().into_iter().flatten() {
        if let (Some(field), Some(text)) = (Named::of(name), typed["text"].as_str()) {
            let units = named(&typed["units"]).unwrap_or_default();
            draft.numbers.set(
                field,
                Some(Typed {
                    text: text.to_string(),
                    units,
                }),
            );
        }
    }
    draft
}

fn climate(value: &Value) -> Climate {
    if let Some(place) = value["place"].as_str() {
        Climate::Place(place.to_string())
    } else if let Some(zone) = small(&value["zone"]) {
        Climate::Zone(zone as u8)
    } else if value.as_str() == Some("typed") {
        Climate::Typed
    } else {
        Climate::Assumed
    }
}

/// A name; nothing for the default.
fn word<T: Named>(value: T) -> Value {
    if value == T::default() {
        Value::Null
    } else {
        Value::from(value.name())
    }
}

fn text(text: &str) -> Value {
    if text.is_empty() {
        Value::Null
    } else {
        Value::from(text)
    }
}

fn named<T: Named>(value: &Value) -> Option<T> {
    T::of(value.as_str()?)
}

fn small(value: &Value) -> Option<u32> {
    value.as_u64()?.try_into().ok()
}
