//! The months as a picture: need and rain, each program's percent, water with its allowance, cost; the climate's doubt
//! on need and water.

use drycurb_core::decimal::fixed;
use drycurb_core::paper::year::{Month, Year};

use super::{Rows, Wanted, money, volume};
use crate::document::Document;
use crate::night::now::letter;
use crate::parts::path::Path;
use crate::sheet::Sheet;
use crate::units::Kind;

const WIDTH: f64 = 348.0;
const COLUMN: f64 = 29.0;
/// Height of a band of bars, and of a strip of small ones.
const HIGH: f64 = 80.0;
const LOW: f64 = 14.0;
/// What stands above either: a line of words.
const WORDS: f64 = 16.0;

/// Bars from a base line up, to a scale of their own.
struct Band {
    base: f64,
    high: f64,
    /// What reaches all the way up.
    whole: f64,
}

impl Band {
    fn y(&self, value: f64) -> f64 {
        self.base - self.high * value / self.whole
    }

    fn top(&self) -> f64 {
        self.base - self.high
    }
}

/// The greatest of twelve, at least a trifle: something is divided by it.
fn most(year: &Year, of: &dyn Fn(&Month) -> f64) -> f64 {
    year.months.iter().map(of).fold(1e-9, f64::max)
}

/// The picture. Bars are the year that is asked for; in the usual one whiskers reach from the mild to
/// the harsh one.
pub fn picture(sheet: &mut Sheet, document: &Document, year: &Year, rows: &Rows, wanted: &Wanted) {
    // The climate's doubt is told of the usual year.
    let doubt = !wanted.own && rows.other.is_none();
    let text = &sheet.later().year;
    let counted = year.litres() > 0;
    let priced = counted && year.cost().is_some();
    let strips = wanted.shown() as f64 + f64::from(u8::from(priced));
    let bands = 1.0 + f64::from(u8::from(counted));
    let bottom = bands * (WORDS + HIGH) + strips * (WORDS + LOW);
    let view = format!("0 0 {} {}", fixed(WIDTH, 0), fixed(bottom + 18.0, 0));
    sheet.put(
        "<figure><svg class=\"months\" viewBox=\"{}\" preserveAspectRatio=\"xMinYMin\" role=\"img\" aria-label=\"{}\">",
        &[&view, text.picture],
    );
    let mut base = WORDS + HIGH;
    needs(sheet, base, year, rows, doubt);
    base = percents(sheet, base, year, wanted);
    let allowed = counted && year.months[0].allowed_litres.is_some();
    if counted {
        base += WORDS + HIGH;
        waters(sheet, base, year, rows, doubt);
    }
    if priced {
        base += WORDS + LOW;
        costs(sheet, document, base, year);
    }
    for (at, month) in text.letters.chars().enumerate() {
        words(sheet, at, base + 13.0, &month.to_string());
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
    if allowed {
        sheet.put("<b><span class=\"limit\"></span>{}</b>", &[text.allowed]);
    }
    sheet.put("</figcaption></figure>", &[]);
}

fn needs(sheet: &mut Sheet, base: f64, year: &Year, rows: &Rows, doubt: bool) {
    let need = |month: &Month| month.need_mm;
    let rain = |month: &Month| month.rain_mm;
    let whole = most(&rows.high, &need).max(most(year, &need));
    let whole = whole.max(most(year, &rain)).max(1.0);
    let band = Band {
        base,
        high: HIGH,
        whole,
    };
    bars(sheet, "rain", &band, year, &rain, (15.0, 11.0));
    bars(sheet, "run", &band, year, &need, (3.0, 12.0));
    if doubt {
        whiskers(sheet, &band, rows, &need, 9.0);
    }
    let (units, comma) = (sheet.session.units(), sheet.session.comma);
    let said = Kind::Depth.show_with_sign(whole, units, comma);
    ruler(sheet, &band, &said);
}

/// A strip for each program, all to one scale. Where the last of them ends.
fn percents(sheet: &mut Sheet, from: f64, year: &Year, wanted: &Wanted) -> f64 {
    let of = |month: &Month, program: usize| {
        let setting = month.programs.get(program);
        setting.map_or(0.0, |setting| f64::from(setting.percent))
    };
    let all = 0..wanted.shown();
    let whole = all
        .clone()
        .map(|program| most(year, &|month| of(month, program)))
        .fold(100.0, f64::max);
    let mut base = from;
    for program in all {
        base += WORDS + LOW;
        let band = Band {
            base,
            high: LOW,
            whole,
        };
        bars(
            sheet,
            "run share",
            &band,
            year,
            &|month| of(month, program),
            (3.0, 23.0),
        );
        let said = format!("{} {}\u{a0}%", letter(program), fixed(whole, 0));
        ruler(sheet, &band, &said);
        for (at, month) in year.months.iter().enumerate() {
            let setting = month.programs.get(program);
            if setting.is_some_and(|setting| wanted.is_too_much(setting)) {
                words(sheet, at, band.top() - 3.0, "!");
            }
        }
    }
    base
}

fn waters(sheet: &mut Sheet, base: f64, year: &Year, rows: &Rows, doubt: bool) {
    let litres = |month: &Month| month.litres as f64;
    let allow = |month: &Month| month.allowed_litres.unwrap_or(0.0);
    let whole = most(&rows.high, &litres).max(most(year, &litres));
    let band = Band {
        base,
        high: HIGH,
        whole: whole.max(most(year, &allow)),
    };
    bars(sheet, "flow", &band, year, &litres, (3.0, 23.0));
    if doubt {
        whiskers(sheet, &band, rows, &litres, 14.5);
    }
    if year.months[0].allowed_litres.is_some() {
        let mut line = Path::default();
        for (at, month) in year.months.iter().enumerate() {
            line.to('M', &[COLUMN * at as f64, band.y(allow(month))]);
            line.to('h', &[COLUMN]);
        }
        sheet.put("<path class=\"limit\" d=\"{}\"/>", &[line.as_str()]);
    }
    let (units, comma) = (sheet.session.units(), sheet.session.comma);
    ruler(sheet, &band, &volume(band.whole, units, comma));
}

fn costs(sheet: &mut Sheet, document: &Document, base: f64, year: &Year) {
    let hundredths = |month: &Month| month.cost.map_or(0, |cost| cost.to_hundredths());
    let cost = |month: &Month| hundredths(month) as f64;
    let band = Band {
        base,
        high: LOW,
        whole: most(year, &cost),
    };
    bars(sheet, "rain paid", &band, year, &cost, (3.0, 23.0));
    let dearest = year.months.iter().map(hundredths).max().unwrap_or(0);
    let dearest = money(document.site(), dearest, sheet.session.comma);
    let said = format!("{} {dearest}", sheet.later().year.cost);
    ruler(sheet, &band, &said);
}

/// Bars of every month: how far from the column's left, and how wide.
fn bars(
    sheet: &mut Sheet,
    class: &str,
    band: &Band,
    year: &Year,
    of: &dyn Fn(&Month) -> f64,
    (left, wide): (f64, f64),
) {
    let mut path = Path::default();
    for (at, month) in year.months.iter().enumerate() {
        let x = COLUMN * at as f64 + left;
        path.block(x, band.base, x + wide, band.y(of(month)));
    }
    sheet.put("<path class=\"{}\" d=\"{}\"/>", &[class, path.as_str()]);
}

fn whiskers(sheet: &mut Sheet, band: &Band, rows: &Rows, of: &dyn Fn(&Month) -> f64, middle: f64) {
    let mut path = Path::default();
    let months = rows.low.months.iter().zip(&rows.high.months).enumerate();
    for (at, (low, high)) in months {
        let x = COLUMN * at as f64 + middle;
        path.to('M', &[x - 3.0, band.y(of(high))]);
        path.to('h', &[6.0]);
        path.to('m', &[-3.0, 0.0]);
        path.to('V', &[band.y(of(low))]);
        path.to('m', &[-3.0, 0.0]);
        path.to('h', &[6.0]);
    }
    // Twice: a light edge keeps them seen on dark bars.
    sheet.put(
        "<path class=\"edge\" d=\"{}\"/><path class=\"doubt\" d=\"{}\"/>",
        &[path.as_str(), path.as_str()],
    );
}

/// Words in the middle of a month's column.
fn words(sheet: &mut Sheet, month: usize, y: f64, said: &str) {
    let x = fixed(COLUMN * (month as f64 + 0.5), 1).to_string();
    let y = fixed(y, 1).to_string();
    sheet.put(
        "<text x=\"{}\" y=\"{}\" text-anchor=\"middle\">{}</text>",
        &[&x, &y, said],
    );
}

/// Both edges of a band, and what the bars that reach the upper one stand for.
fn ruler(sheet: &mut Sheet, band: &Band, said: &str) {
    let mut path = Path::default();
    for y in [band.base, band.top()] {
        path.to('M', &[0.0, y]);
        path.to('H', &[WIDTH]);
    }
    sheet.put("<path class=\"hours\" d=\"{}\"/>", &[path.as_str()]);
    let y = fixed(band.top() - 3.0, 1).to_string();
    sheet.put("<text x=\"0\" y=\"{}\">{}</text>", &[&y, said]);
}
