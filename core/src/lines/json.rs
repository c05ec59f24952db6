//! Writes answers: a `json!` with little code behind it.
//!
//! It is written as `serde_json`'s is. That one sends every value through a serializer that might fail,
//! and so brings a panic, its text and the printing of floating point to every place that uses it; the
//! page carries this crate over the air.

use serde_json::{Map, Value};

/// What can stand in an answer. Numbers that are not finite become `null`.
pub trait ToJson {
    /// The value.
    fn to_json(&self) -> Value;
}

macro_rules! by_from {
    ($($kind:ty),*) => {$(
        impl ToJson for $kind {
            fn to_json(&self) -> Value {
                Value::from(*self)
            }
        }
    )*};
}

by_from!(bool, i8, i16, i32, i64, u8, u16, u32, u64, usize, f64);

impl ToJson for str {
    fn to_json(&self) -> Value {
        Value::String(self.to_owned())
    }
}

impl ToJson for String {
    fn to_json(&self) -> Value {
        self.as_str().to_json()
    }
}

impl ToJson for Value {
    fn to_json(&self) -> Value {
        self.clone()
    }
}

impl<T: ToJson + ?Sized> ToJson for &T {
    fn to_json(&self) -> Value {
        (**self).to_json()
    }
}

impl<T: ToJson> ToJson for Option<T> {
    fn to_json(&self) -> Value {
        self.as_ref().map_or(Value::Null, T::to_json)
    }
}

impl<T: ToJson> ToJson for [T] {
    fn to_json(&self) -> Value {
        Value::Array(self.iter().map(T::to_json).collect())
    }
}

impl<T: ToJson, const N: usize> ToJson for [T; N] {
    fn to_json(&self) -> Value {
        self.as_slice().to_json()
    }
}

impl<T: ToJson> ToJson for Vec<T> {
    fn to_json(&self) -> Value {
        self.as_slice().to_json()
    }
}

impl<A: ToJson, B: ToJson> ToJson for (A, B) {
    fn to_json(&self) -> Value {
        Value::Array(vec![self.0.to_json(), self.1.to_json()])
    }
}

/// Puts a field into an object.
pub fn put(object: &mut Map<String, Value>, name: &str, value: Value) {
    object.insert(name.to_owned(), value);
}

/// No such thing.
pub const NULL: Value = Value::Null;

/// An empty object.
pub fn object() -> Map<String, Value> {
    Map::new()
}

/// An empty list.
pub fn list() -> Vec<Value> {
    Vec::new()
}

/// The list as a value.
pub fn of_list(list: Vec<Value>) -> Value {
    Value::Array(list)
}

/// The object as a value.
pub fn whole(object: Map<String, Value>) -> Value {
    Value::Object(object)
}

/// A value, a list of values, or an object of named values; lists and objects may stand in them.
///
/// ```
/// # use drycurb_core::json;
/// let answer = json!({ "runs": [4.0, 5, { "odd": true }], "basis": None::<&str>, "day": null });
/// assert_eq!(answer.to_string(), r#"{"basis":null,"day":null,"runs":[4.0,5,{"odd":true}]}"#);
/// ```
#[macro_export]
macro_rules! json {
    ({ $($fields:tt)* }) => {{
        #[allow(unused_mut)]
        let mut object = $crate::lines::json::object();
        $crate::json!(@ object $($fields)*);
        $crate::lines::json::whole(object)
    }};
    ([ $($items:tt)* ]) => {{
        #[allow(unused_mut)]
        let mut list = $crate::lines::json::list();
        $crate::json!(@@ list $($items)*);
        $crate::lines::json::of_list(list)
    }};
    (@ $object:ident) => {};
    (@ $object:ident $name:literal : null $(, $($rest:tt)*)?) => {
        $crate::lines::json::put(&mut $object, $name, $crate::lines::json::NULL);
        $crate::json!(@ $object $($($rest)*)?);
    };
    (@ $object:ident $name:literal : { $($inner:tt)* } $(, $($rest:tt)*)?) => {
        $crate::lines::json::put(&mut $object, $name, $crate::json!({ $($inner)* }));
        $crate::json!(@ $object $($($rest)*)?);
    };
    (@ $object:ident $name:literal : [ $($inner:tt)* ] $(, $($rest:tt)*)?) => {
        $crate::lines::json::put(&mut $object, $name, $crate::json!([ $($inner)* ]));
        $crate::json!(@ $object $($($rest)*)?);
    };
    (@ $object:ident $name:literal : $value:expr $(, $($rest:tt)*)?) => {
        $crate::lines::json::put(&mut $object, $name, $crate::json!($value));
        $crate::json!(@ $object $($($rest)*)?);
    };
    (@@ $list:ident) => {};
    (@@ $list:ident { $($inner:tt)* } $(, $($rest:tt)*)?) => {
        $list.push($crate::json!({ $($inner)* }));
        $crate::json!(@@ $list $($($rest)*)?);
    };
    (@@ $list:ident $value:expr $(, $($rest:tt)*)?) => {
        $list.push($crate::json!($value));
        $crate::json!(@@ $list $($($rest)*)?);
    };
    ($value:expr) => {
        $crate::lines::json::ToJson::to_json(&$value)
    };
}
