//! The ask `quote`: what repairs cost.
//!
//! In: `lines` `[{"count_thousandths", "price_hundredths", "minutes_each"}]`, whole; a count and a
//! price are 0 where they are left out, as minutes are. Optional, whole: `hour_hundredths`,
//! `trip_hundredths`, `trip_minutes`, `markup_percent_hundredths` and `tax_percent_hundredths` (8.25 %
//! is 825), all 0; `tax_on` "total" or "each_line" ("total"); `work_taxed` (false);
//! `saved_millionths_per_year`, what a year saves (see `year`).
//!
//! Out: `lines` `[{"parts_hundredths", "work_hundredths", "tax_hundredths"}]`, the sums of these,
//! `trip_hundredths`, `total_hundredths`, `minutes`, and `months_to_pay`, null where nothing is saved.

use serde_json::Value;

use super::super::{Answer, Fields, whole};
use super::hundredths;
use crate::invalid::Problem;
use crate::json;
use crate::money::Money;
use crate::need::repair::months_to_pay;
use crate::paper::quote::{self, Line, TaxOn, Terms};

/// The most that a year may save, millionths: what binary fractions hold exactly.
const SAVED_MOST: f64 = 9_007_199_254_740_991.0;

/// Answers `quote`.
pub fn quote(mut fields: Fields) -> Answer {
    let lines = fields.objects("lines", true, |inner| Line {
        count_thousandths: hundredths(inner, "count_thousandths"),
        price: hundredths(inner, "price_hundredths"),
        minutes_each: inner.defaulted("minutes_each", 0, whole(0, u32::MAX)),
    });
    let terms = terms(&mut fields);
    let saved = fields.optional("saved_millionths_per_year", |number| {
        if number.fract() != 0.0 {
            Err(Problem::NotWhole)
        } else if number.abs() > SAVED_MOST {
            Err(Problem::OutOfRange {
                least: -SAVED_MOST,
                most: SAVED_MOST,
            })
        } else {
            Ok(Money::millionths(number as i64))
        }
    });
    let assumed = fields.finish()?;
    let found = quote::quote(&lines, &terms).map_err(|fault| vec![fault])?;
    let months = saved.and_then(|saved| months_to_pay(u32::try_from(found.total).ok()?, saved));
    let listed = found.lines.iter().map(|sum| {
        json!({
            "parts_hundredths": sum.parts,
            "work_hundredths": sum.work,
            "tax_hundredths": sum.tax,
        })
    });
    Ok(json!({
        "lines": listed.collect::<Vec<Value>>(),
        "parts_hundredths": found.parts,
        "work_hundredths": found.work,
        "trip_hundredths": found.trip,
        "tax_hundredths": found.tax,
        "total_hundredths": found.total,
        "minutes": found.minutes,
        "months_to_pay": months,
        "assumed": assumed,
    }))
}

fn terms(fields: &mut Fields) -> Terms {
    if fields.value("tax_on").is_none() {
        fields.assume("tax_on");
    }
    let words = &["total", "each_line"];
    let tax_on = fields.optional_word("tax_on", words, &[TaxOn::Total, TaxOn::EachLine]);
    let mut small = |name| fields.defaulted(name, 0, whole(0, u32::MAX));
    let (trip_minutes, markup, tax) = (
        small("trip_minutes"),
        small("markup_percent_hundredths"),
        small("tax_percent_hundredths"),
    );
    Terms {
        hour: hundredths(fields, "hour_hundredths"),
        trip: hundredths(fields, "trip_hundredths"),
        trip_minutes,
        markup,
        tax,
        tax_on: tax_on.unwrap_or_default(),
        work_taxed: fields.defaulted_flag("work_taxed", false),
    }
}
