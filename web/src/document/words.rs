//! Texts by name, as typed: what a place keeps that is neither a station's fact nor a number with a unit.

use serde_json::{Map, Value};

/// Texts by name. What is empty is not kept.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Words(Vec<(String, String)>);

impl Words {
    /// The text of a name; empty where there is none.
    pub fn get(&self, name: &str) -> &str {
        let found = self.0.iter().find(|(one, _)| one == name);
        found.map_or("", |(_, text)| text)
    }

    /// Keeps a text; an empty one is forgotten.
    pub fn set(&mut self, name: &str, text: &str) {
        let place = self.0.iter().position(|(one, _)| one == name);
        match (place, text.is_empty()) {
            (Some(place), true) => {
                self.0.remove(place);
            }
            (Some(place), false) => self.0[place].1 = text.into(),
            (None, false) => self.0.push((name.into(), text.into())),
            (None, true) => {}
        }
    }

    /// As JSON; null where there are none.
    pub fn to_json(&self) -> Value {
        if self.0.is_empty() {
            return Value::Null;
        }
        let mut map = Map::new();
        for (name, text) in &self.0 {
            map.insert(name.clone(), Value::from(text.as_str()));
        }
        Value::Object(map)
    }

    /// From JSON; what is no text is left out.
    pub fn of_json(value: &Value) -> Self {
        let mut words = Self::default();
        for (name, text) in value.as_object().into_iter().flatten() {
            words.set(name, text.as_str().unwrap_or_default());
        }
        words
    }
}
