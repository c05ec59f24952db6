//! Water arriving against what the soil takes: the runs, the standing water, the soak between.

use drycurb_core::ground::event::{Event, Model, Start};

use super::strip::path;
use crate::dom::{El, el, svg};
use crate::session::Session;
use crate::station::Outcome;
use crate::units::Kind;

const WIDTH: f64 = 340.0;
/// Height of the upper picture, rates, and of the lower one, standing water.
const RATES: f64 = 100.0;
const STANDING: f64 = 34.0;
const GAP: f64 = 20.0;
const SAMPLES: u32 = 220;

/// What is drawn, as SVG paths.
struct Paths {
    arriving: String,
    takes: String,
    standing: String,
    limit: String,
    minutes: f64,
}

/// The drawing for the first runs of the day, up to three.
pub fn drawing(session: Session, outcome: &Outcome) -> Option<El> {
    let text = session.text();
    let paths = paths(outcome)?;
    let (units, comma) = (session.units(), session.comma);
    let rate = Kind::Rate.show_with_sign(outcome.rate.to_mm_per_h(), units, comma);
    let storage = Kind::Depth.show_with_sign(outcome.ground.storage_mm, units, comma);
    let base = RATES + GAP + STANDING;
    let below = format!("{:.0}", base + 14.0);
    let end = format!("{:.0} {}", paths.minutes, text.minutes_short);
    let hatch = svg("pattern")
        .id("hatch")
        .attr("width", "6")
        .attr("height", "6")
        .attr("patternUnits", "userSpaceOnUse")
        .attr("patternTransform", "rotate(45)")
        .with(path("hatch-line", "M0 0V6"));
    let label = |x: &str, words: &str| svg("text").attr("x", x).attr("y", &below).text(words);
    let picture = svg("svg")
        .attr("viewBox", &format!("0 0 {WIDTH:.0} {:.0}", base + 18.0))
        .attr("role", "img")
        .attr("aria-label", text.drawing_label)
        .with(svg("defs").with(hatch))
        .with(path("arriving", &paths.arriving))
        .with(path("takes", &paths.takes))
        .with(path(
            "axis",
            &format!("M0 {RATES:.0}H{WIDTH:.0}M0 {base:.0}H{WIDTH:.0}"),
        ))
        .with(path("standing", &paths.standing))
        .with(path("limit", &paths.limit))
        .with(label("0", "0"))
        .with(label("340", &end).attr("text-anchor", "end"));
    let legend = |class: &str, words: &str| el("span").class(class).text(words);
    let caption = el("figcaption")
        .with(legend(
            "key arriving-key",
            &format!("{} {rate}", text.drawing_rate),
        ))
        .with(legend("key takes-key", text.drawing_intake))
        .with(legend(
            "key standing-key",
            &format!("{} ≤ {storage}", text.drawing_pond),
        ));
    Some(el("figure").class("drawing").with(picture).with(caption))
}

fn paths(outcome: &Outcome) -> Option<Paths> {
    let split = outcome.answer.split;
    if split.runs == 0 {
        return None;
    }
    let rate = outcome.rate.to_mm_per_h();
    let runs = split.runs.min(3);
    let (run, soak) = (f64::from(split.run_minutes), f64::from(split.soak_minutes));
    let rest = if split.runs > runs {
        soak
    } else {
        soak.clamp(5.0, 30.0)
    };
    let minutes = f64::from(runs) * run + f64::from(runs - 1) * soak + rest;
    let step = minutes / f64::from(SAMPLES);
    let top = rate * 1.6;
    let storage = outcome.ground.storage_mm.max(0.1);
    let x = |minute: f64| minute / minutes * WIDTH;
    let up = |value: f64| RATES - (value / top).min(1.0) * RATES;
    let model = Model::new(&outcome.ground, Start::Wet);
    let mut event = Event::new(&model);
    let mut takes = String::new();
    let base = RATES + GAP + STANDING;
    let mut standing = format!("M0 {base:.1}");
    for sample in 0..SAMPLES {
        let minute = f64::from(sample) * step;
        // Each sample is split where a run begins or ends, so that water is neither lost nor gained.
        let (mut from, to) = (minute, minute + step);
        while to - from > 1e-9 {
            let place = from % (run + soak);
            let raining = place < run - 1e-9 && from < f64::from(split.runs) * (run + soak);
            let border = from - place + if raining { run } else { run + soak };
            let until = border.min(to).max(from + 1e-6);
            event.run(if raining { rate } else { 0.0 }, (until - from) / 60.0);
            from = until;
        }
        let letter = if sample == 0 { 'M' } else { 'L' };
        takes.push_str(&format!(
            "{letter}{:.1} {:.1}",
            x(to),
            up(event.capacity_mm_per_h())
        ));
        let depth = (event.standing_mm() / storage).min(1.0) * STANDING;
        standing.push_str(&format!("L{:.1} {:.1}", x(to), base - depth));
    }
    standing.push_str(&format!("L{WIDTH:.0} {base:.1}Z"));
    let mut arriving = String::new();
    for number in 0..runs {
        let from = f64::from(number) * (run + soak);
        let (left, right) = (x(from), x(from + run));
        arriving.push_str(&format!(
            "M{left:.1} {RATES:.0}V{:.1}H{right:.1}V{RATES:.0}Z",
            up(rate)
        ));
    }
    Some(Paths {
        arriving,
        takes,
        standing,
        limit: format!("M0 {:.1}H{WIDTH:.0}", base - STANDING),
        minutes,
    })
}
