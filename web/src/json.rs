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

/// Reads JSON text.
#[cfg(not(target_arch = "wasm32"))]
pub fn parse(text: &str) -> Option<Value> {
    serde_json::from_str(text).ok()
}

/// Writes JSON text. By ourselves: handing every value to the browser first took five times as long
/// for a site of 200 stations, at every key.
pub fn print(value: &Value) -> String {
    let mut out = String::new();
    write(&mut out, value);
    out
}

fn write(out: &mut String, value: &Value) {
    match value {
        Value::Null => out.push_str("null"),
        Value::Bool(true) => out.push_str("true"),
        Value::Bool(false) => out.push_str("false"),
        Value::Number(number) => match (number.as_i64(), number.as_f64()) {
            (Some(whole), _) => out.push_str(&whole.to_string()),
            (_, Some(other)) => out.push_str(&broken(other)),
            _ => out.push_str("null"),
        },
        Value::String(text) => quote(out, text),
        Value::Array(list) => {
            let mut before = '[';
            for value in list {
                out.push(before);
                write(out, value);
                before = ',';
            }
            if list.is_empty() {
                out.push(before);
            }
            out.push(']');
        }
        Value::Object(map) => {
            let mut before = '{';
            for (name, value) in map {
                out.push(before);
                quote(out, name);
                out.push(':');
                write(out, value);
                before = ',';
            }
            if map.is_empty() {
                out.push(before);
            }
            out.push('}');
        }
    }
}

/// A number with a broken part. The browser has a writer of its own.
#[cfg(target_arch = "wasm32")]
fn broken(number: f64) -> String {
    let text = js_sys::JSON::stringify(&JsValue::from_f64(number));
    text.map_or_else(|_| "null".into(), String::from)
}

/// A number with a broken part.
#[cfg(not(target_arch = "wasm32"))]
fn broken(number: f64) -> String {
    number.to_string()
}

fn quote(out: &mut String, text: &str) {
    out.push('"');
    for part in text.chars() {
        match part {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            '\n' => out.push_str("\\n"),
            ..' ' => {
                const DIGITS: &[u8; 16] = b"0123456789abcdef";
                out.push_str("\\u00");
                for digit in [part as usize >> 4, part as usize & 15] {
                    out.push(char::from(DIGITS[digit]));
                }
            }
            _ => out.push(part),
        }
    }
    out.push('"');
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    /// Source: the crate `serde_json`, as another reader.
    #[test]
    fn what_is_written_reads_back() {
        let all: String = (0..0x2100).filter_map(char::from_u32).collect();
        let value = json!({
            "": [], "a\"\\\u{7}": {}, "all": all,
            "numbers": [0, -7, 1.5, 4294967296_u64, -0.001],
            "rest": [null, true, false, [[]], [1, {"b": "\n\t\u{1f327}"}]],
        });
        assert_eq!(
            serde_json::from_str::<Value>(&print(&value)).unwrap(),
            value
        );
    }
}
