//! The months as a picture: need and rain above, water and allowance below, the climate's doubt on both.

use drycurb_core::decimal::fixed;
use drycurb_core::paper::year::{Month, Year};

use super::{Rows, Wanted, volume};
use crate::parts::path::Path;
use crate::sheet::Sheet;
use crate::units::Kind;

const WIDTH: f64 = 348.0;
const COLUMN: f64 = 29.0;
const HIGH: f64 = 92.0;
const TOP: f64 = 16.0;

/// The picture. Bars are the year that is asked for; in the usual one whiskers reach from the mild to
/// the harsh one.
pub fn picture(sheet: &mut Sheet, year: &Year, rows: &Rows, wanted: &Wanted) {
    let allowed = wanted.factor.is_some();
    // The climate's doubt is told of the usual year.
    let doubt = !wanted.own && rows.other.is_none();
    let text = &sheet.later().year;
    let (units, comma) = (sheet.session.units(), sheet.session.comma);
    let counted = year.litres() > 0;
    let bottom = if counted {
        2.0 * (TOP + HIGH) + 6.0
    } else {
        TOP + HIGH
    };
    let view = format!("0 0 {} {}", fixed(WIDTH, 0), fixed(bottom + 18.0, 0));
    sheet.put(
        "<figure><svg class=\"months\" viewBox=\"{}\" role=\"img\" aria-label=\"{}\">",
        &[&view, text.picture],
    );
    let most = |of: fn(&Month) -> f64, year: &Year| year.months.iter().map(of).fold(0.0, f64::max);
    let need = |month: &Month| month.need_mm;
    let rain = |month: &Month| month.rain_mm;
    let whole = most(need, &rows.high)
        .max(most(need, year))
        .max(most(rain, year))
        .max(1.0);
    let base = TOP + HIGH;
    bars(sheet, "rain", base, whole, year, rain, 15.0, 11.0);
    bars(sheet, "run", base, whole, year, need, 3.0, 12.0);
    if doubt {
        whiskers(sheet, base, whole, rows, need, 9.0);
    }
    let said = Kind::Depth.show_with_sign(whole, units, comma);
    ruler(sheet, base, &said);
    if counted {
        let base = bottom;
        let litres = |month: &Month| month.litres as f64;
        let allow = |month: &Month| month.allowed_litres.unwrap_or(0.0);
        let whole = most(litres, &rows.high)
            .max(most(litres, year))
            .max(most(allow, year));
        bars(sheet, "flow", base, whole, year, litres, 3.0, 23.0);
        if doubt {
            whiskers(sheet, base, whole, rows, litres, 14.5);
        }
        if allowed && year.months[0].allowed_litres.is_some() {
            let mut line = Path::default();
            for (at, month) in year.months.iter().enumerate() {
                let (x, y) = (COLUMN * at as f64, base - HIGH * allow(month) / whole);
                line.to('M', &[x, y]);
                line.to('h', &[COLUMN]);
            }
            sheet.put("<path class=\"limit\" d=\"{}\"/>", &[line.as_str()]);
        }
        ruler(sheet, base, &volume(whole, units, comma));
    }
    for (at, month) in text.letters.chars().enumerate() {
        let x = fixed(COLUMN * (at as f64 + 0.5), 1).to_string();
        let y = fixed(bottom + 13.0, 0).to_string();
        sheet.put(
            "<text x=\"{}\" y=\"{}\" text-anchor=\"middle\">{}</text>",
            &[&x, &y, &month.to_string()],
        );
    }
    sheet.put(
        "</svg><figcaption><b><span class=\"run\"></span>{}</b><b><span class=\"rain\"></span>{}</b>",
        &[text.need, text.rain],
    );
    if counted {
        sheet.put("<b><span class=\"flow\"></span>{}</b>", &[text.water]);
    }
    if doubt {
        sheet.put("<b><span class=\"doubt\"></span>{}</b>", &[text.band]);
    }
    if counted && year.months[0].allowed_litres.is_some() {
        sheet.put("<b><span class=\"limit\"></span>{}</b>", &[text.allowed]);
    }
    sheet.put("</figcaption></figure>", &[]);
}

#[allow(clippy::too_many_arguments)]
fn bars(
    sheet: &mut Sheet,
    class: &str,
    base: f64,
    whole: f64,
    year: &Year,
    of: fn(&Month) -> f64,
    left: f64,
    wide: f64,
) {
    let mut path = Path::default();
    for (at, month) in year.months.iter().enumerate() {
        let high = HIGH * of(month) / whole;
        let x = COLUMN * at as f64 + left;
        path.block(x, base, x + wide, base - high);
    }
    sheet.put("<path class=\"{}\" d=\"{}\"/>", &[class, path.as_str()]);
}

fn whiskers(
    sheet: &mut Sheet,
    base: f64,
    whole: f64,
    rows: &Rows,
    of: fn(&Month) -> f64,
    middle: f64,
) {
    let mut path = Path::default();
    let months = rows.low.months.iter().zip(&rows.high.months).enumerate();
    for (at, (low, high)) in months {
        let x = COLUMN * at as f64 + middle;
        let (low, high) = (
            base - HIGH * of(low) / whole,
            base - HIGH * of(high) / whole,
        );
        path.to('M', &[x - 3.0, high]);
        path.to('h', &[6.0]);
        path.to('m', &[-3.0, 0.0]);
        path.to('V', &[low]);
        path.to('m', &[-3.0, 0.0]);
        path.to('h', &[6.0]);
    }
    // Twice: a light edge keeps them seen on dark bars.
    sheet.put(
        "<path class=\"edge\" d=\"{}\"/><path class=\"doubt\" d=\"{}\"/>",
        &[path.as_str(), path.as_str()],
    );
}

fn ruler(sheet: &mut Sheet, base: f64, said: &str) {
    let mut path = Path::default();
    for y in [base, base - HIGH] {
        path.to('M', &[0.0, y]);
        path.to('H', &[WIDTH]);
    }
    sheet.put("<path class=\"hours\" d=\"{}\"/>", &[path.as_str()]);
    let y = fixed(base - HIGH - 3.0, 1).to_string();
    sheet.put("<text x=\"0\" y=\"{}\">{}</text>", &[&y, said]);
}
