//! The document as JSON and back, field by field.

use drycurb_core::json;
use serde_json::{Map, Value};

use super::{
    Climate, Document, Draft, Feel, Kept, Named, Prefs, Site, Stopwatch, Typed, VERSION, Words,
    line, site,
};
use crate::field::Field;

/// The document's value.
pub fn of_document(document: &Document) -> Value {
    let kept = |list: &[Kept]| list.iter().map(site::json::of_kept).collect::<Vec<Value>>();
    json!({
        "version": VERSION,
        "prefs": {
            "language": document.prefs.language.map(Named::name),
            "units": document.prefs.units.name(),
            "theme": document.prefs.theme.map(Named::name),
        },
        "draft": of_draft(&document.draft),
        "sites": document.sites.iter().map(site::json::of_site).collect::<Vec<Value>>(),
        "site": document.site,
        "opened": document.opened,
        "kept": kept(&document.kept),
        "deleted": kept(&document.deleted),
        "gone": document.gone.iter().map(site::json::of_gone).collect::<Vec<Value>>(),
        "stopwatch": {
            "started_ms": document.stopwatch.started_ms,
            "stopped_ms": document.stopwatch.stopped_ms,
        },
        "own": document.own.to_json(),
        "prices": line::to_json(&document.prices),
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
        gone: items(&value["gone"])
            .iter()
            .filter_map(site::json::gone)
            .collect(),
        stopwatch: Stopwatch {
            started_ms: watch["started_ms"].as_u64(),
            stopped_ms: watch["stopped_ms"].as_u64(),
        },
        own: Words::of_json(&value["own"]),
        prices: line::of_json(&value["prices"]),
    }
}

/// The sites; the first version had one, and called its numbers the night's.
fn sites(value: &Value) -> Vec<Site> {
    let read = items(&value["sites"]).iter().filter_map(site::json::site);
    let mut sites: Vec<Site> = read.collect();
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

/// A text; nothing where there is none.
pub fn words(value: &Value) -> String {
    value.as_str().unwrap_or_default().to_string()
}

/// A list's items; none where there is no list.
pub fn items(value: &Value) -> &[Value] {
    value.as_array().map_or(&[], Vec::as_slice)
}

fn list(value: &Value) -> Vec<Kept> {
    items(value).iter().filter_map(site::json::kept).collect()
}

/// A draft's value: only what differs from a blank one.
pub fn of_draft(draft: &Draft) -> Value {
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

/// The draft of a value.
pub fn draft(value: &Value) -> Draft {
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
pub fn word<T: Named>(value: T) -> Value {
    if value == T::default() {
        Value::Null
    } else {
        Value::from(value.name())
    }
}

/// A text; nothing for an empty one.
pub fn text(text: &str) -> Value {
    if text.is_empty() {
        Value::Null
    } else {
        Value::from(text)
    }
}

/// The value of a name, if it is known.
pub fn named<T: Named>(value: &Value) -> Option<T> {
    T::of(value.as_str()?)
}

/// A whole number of 32 bits.
pub fn small(value: &Value) -> Option<u32> {
    value.as_u64()?.try_into().ok()
}
