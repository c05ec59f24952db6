//! The root zone through the year: how far it is drawn down, when plants feel it, what drains.

use drycurb_core::decimal::fixed;

use crate::document::Document;
use crate::parts::path::Path;
use crate::sheet::Sheet;
use crate::text::fill;
use crate::units::Kind;
use crate::year::{Roots, Wanted};

const WIDTH: f64 = 348.0;
const HIGH: f64 = 90.0;
const TOP: f64 = 14.0;

/// The station's choice, its picture and what it says.
pub fn roots(
    sheet: &mut Sheet,
    document: &Document,
    wanted: &Wanted,
    place: usize,
    found: Option<&Roots>,
) {
    let text = &sheet.later().year;
    sheet.put("<h3>{}</h3>", &[text.roots]);
    let ids: Vec<String> = wanted.ids.iter().map(u32::to_string).collect();
    let name = |id: &u32| {
        let kept = document.kept.iter().find(|kept| kept.id == *id);
        kept.map_or("", |kept| kept.name.as_str())
    };
    let list: Vec<(&str, &str)> = ids
        .iter()
        .zip(&wanted.ids)
        .map(|(value, id)| (value.as_str(), name(id)))
        .collect();
    let now = ids.get(place).map_or("", String::as_str);
    sheet.select("zone", 0, text.station, &list, now);
    let Some(found) = found else {
        sheet.put("<p>{}</p>", &[text.no_soil]);
        return;
    };
    picture(sheet, found);
    let (units, comma) = (sheet.session.units(), sheet.session.comma);
    let values = [
        ("stress", &*found.balance.stress_days.to_string()),
        ("days", &*found.drain_days().to_string()),
        (
            "drained",
            &*Kind::Depth.show_with_sign(found.balance.drained_mm, units, comma),
        ),
        ("n", &*found.every_days.to_string()),
    ];
    sheet.put(
        "<p class=\"result\">{}</p><p class=\"how\">{}</p>",
        &[&fill(text.roots_said, &values), text.roots_note],
    );
}

fn picture(sheet: &mut Sheet, found: &Roots) {
    let text = &sheet.later().year;
    // Down to a little below where plants feel it, or as far as it is drawn.
    let deepest = found.balance.days.iter().map(|day| day.deficit_mm);
    let whole = deepest.fold(found.allowed_mm * 1.15, f64::max).max(1.0);
    let y = |mm: f64| TOP + HIGH * mm / whole;
    let mut line = Path::default();
    line.to('M', &[0.0, TOP]);
    let (mut stress, mut drain) = (Path::default(), Path::default());
    for (at, day) in found.balance.days.iter().enumerate() {
        let x = WIDTH * (at as f64 + 0.5) / 365.0;
        line.to('L', &[x, y(day.deficit_mm)]);
        if day.stressed {
            stress.to('M', &[x, TOP + HIGH + 1.0]);
            stress.to('v', &[6.0]);
        }
        if Roots::drains(day) {
            drain.to('M', &[x, TOP - 1.0]);
            drain.to('v', &[-4.0]);
        }
    }
    line.to('L', &[WIDTH, TOP]);
    line.to('Z', &[]);
    let across = |y: f64| {
        let mut path = Path::default();
        path.to('M', &[0.0, y]);
        path.to('H', &[WIDTH]);
        path
    };
    let (limit, frame) = (across(y(found.allowed_mm)), across(TOP));
    sheet.put(
        "<svg class=\"months\" viewBox=\"0 0 348 126\" role=\"img\" aria-label=\"{}\">\
         <path class=\"drawn\" d=\"{}\"/><path class=\"hours\" d=\"{}\"/>\
         <path class=\"limit\" d=\"{}\"/><path class=\"stress\" d=\"{}\"/>\
         <path class=\"drain\" d=\"{}\"/>\
         <text x=\"0\" y=\"10\">{}</text><text x=\"348\" y=\"{}\" text-anchor=\"end\">{}</text>",
        &[
            text.roots,
            line.as_str(),
            frame.as_str(),
            limit.as_str(),
            stress.as_str(),
            drain.as_str(),
            text.full,
            &fixed(y(found.allowed_mm) - 3.0, 1).to_string(),
            text.feel_it,
        ],
    );
    for (at, month) in text.letters.chars().enumerate() {
        let x = fixed(29.0 * (at as f64 + 0.5), 1).to_string();
        sheet.put(
            "<text x=\"{}\" y=\"123\" text-anchor=\"middle\">{}</text>",
            &[&x, &month.to_string()],
        );
    }
    sheet.put("</svg>", &[]);
}
