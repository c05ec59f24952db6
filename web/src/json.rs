//! JSON values to the browser's own and back.
//!
//! The browser reads and writes the text: a reader and writer of numbers of our own would weigh 8 kB,
//! and the general machinery of `serde` another 3 kB.

use js_sys::{Array, Object, Reflect};
use serde_json::{Map, Value};
use wasm_bindgen::prelude::*;

/// Whole numbers up to here are exact in a browser.
const MOST_WHOLE: f64 = 9_007_199_254_740_991.0;

/// A value of the browser's. What JSON does not know is `Null`.
pub fn from_js(value: &JsValue) -> Value {
    if let Some(text) = value.as_string() {
        return Value::String(text);
    }
    if let Some(number) = value.as_f64() {
        return if number.fract() == 0.0 && number.abs() <= MOST_WHOLE {
            Value::from(number as i64)
        } else {
            Value::from(number)
        };
    }
    if let Some(is) = value.as_bool() {
        return Value::Bool(is);
    }
    if let Some(list) = value.dyn_ref::<Array>() {
        return Value::Array(
            (0..list.length())
                .map(|at| from_js(&list.get(at)))
                .collect(),
        );
    }
    let Some(object) = value.dyn_ref::<Object>() else {
        return Value::Null;
    };
    let mut map = Map::new();
    for name in Object::keys(object) {
        if let (Some(text), Ok(value)) = (name.as_string(), Reflect::get(object, &name)) {
            map.insert(text, from_js(&value));
        }
    }
    Value::Object(map)
}

/// A value for the browser: plain objects and arrays.
pub fn to_js(value: &Value) -> JsValue {
    match value {
        Value::Null => JsValue::NULL,
        Value::Bool(is) => JsValue::from_bool(*is),
        Value::Number(number) => number.as_f64().map_or(JsValue::NULL, JsValue::from_f64),
        Value::String(text) => JsValue::from_str(text),
        Value::Array(list) => {
            let array = Array::new();
            for value in list {
                array.push(&to_js(value));
            }
            array.into()
        }
        Value::Object(map) => {
            let object = Object::new();
            for (name, value) in map {
                // The names are our own, and a plain new object takes them.
                let _ = Reflect::set(&object, &JsValue::from_str(name), &to_js(value));
            }
            object.into()
        }
    }
}

/// Reads JSON text.
#[cfg(target_arch = "wasm32")]
pub fn parse(text: &str) -> Option<Value> {
    Some(from_js(&js_sys::JSON::parse(text).ok()?))
}

/// Writes JSON text.
#[cfg(target_arch = "wasm32")]
pub fn print(value: &Value) -> String {
    let text = js_sys::JSON::stringify(&to_js(value));
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
