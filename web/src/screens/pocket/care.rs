//! The usual cautions where a hand goes into a wet box with wires. Always at hand, never in the way.

use crate::sheet::Sheet;

/// The cautions, folded.
pub fn draw(sheet: &mut Sheet) {
    let text = sheet.text;
    let lines = [
        text.care_power,
        text.care_wet,
        text.care_look,
        text.care_pressure,
        text.care_backflow,
        text.care_dig,
        text.care_storm,
        text.care_law,
    ];
    sheet.put(
        "<details class=\"care\"><summary>{}</summary><ul>",
        &[text.care],
    );
    for line in lines {
        sheet.put("<li>{}</li>", &[line]);
    }
    sheet.put("</ul></details>", &[]);
}
