//! A line of a quote, and of the technician's own price list: as typed.

use serde_json::{Value, json};

/// One line. In the price list its count is empty.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Line {
    /// What it is for: a fault's name in the document, or words of the technician's own.
    pub what: String,
    /// How many.
    pub count: String,
    /// What one costs.
    pub price: String,
    /// How many minutes one takes.
    pub minutes: String,
}

/// Lines as JSON; null where there are none.
pub fn to_json(lines: &[Line]) -> Value {
    if lines.is_empty() {
        return Value::Null;
    }
    let list = lines.iter();
    list.map(|line| json!([line.what, line.count, line.price, line.minutes]))
        .collect()
}

/// Lines of JSON.
pub fn of_json(value: &Value) -> Vec<Line> {
    let items = super::json::items(value).iter();
    let text = |item: &Value, at: usize| super::json::words(&item[at]);
    items
        .map(|item| Line {
            what: text(item, 0),
            count: text(item, 1),
            price: text(item, 2),
            minutes: text(item, 3),
        })
        .collect()
}
