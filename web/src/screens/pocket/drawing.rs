//! Water arriving against what the soil takes: the runs, the standing water, the soak between.

use drycurb_core::ground::event::{Event, Model, Start};

use crate::parts::path::Path;
use crate::sheet::Sheet;
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
    arriving: Path,
    takes: Path,
    standing: Path,
    minutes: f64,
}

/// The drawing for the first runs of the day, up to three.
pub fn drawing(sheet: &mut Sheet, outcome: &Outcome) {
    let Some(paths) = paths(outcome) else {
        return;
    };
    let (session, text) = (sheet.session, sheet.text);
    let (units, comma) = (session.units(), session.comma);
    let rate = Kind::Rate.show_with_sign(outcome.rate.to_mm_per_h(), units, comma);
    let storage = Kind::Depth.show_with_sign(outcome.ground.storage_mm, units, comma);
    let minutes = (paths.minutes.round() as u32).to_string();
    // The numbers in the markup are the constants above: 340 wide, 100 + 20 + 34 high, and a line of text.
    sheet.put(
        "<figure class=\"drawing\"><svg viewBox=\"0 0 340 172\" role=\"img\" aria-label=\"{}\"><defs>\
         <pattern id=\"hatch\" width=\"6\" height=\"6\" patternUnits=\"userSpaceOnUse\" \
         patternTransform=\"rotate(45)\"><path class=\"hatch-line\" d=\"M0 0V6\"/></pattern></defs>\
         <path class=\"arriving\" d=\"{}\"/><path class=\"takes\" d=\"{}\"/>\
         <path class=\"axis\" d=\"M0 100H340M0 154H340\"/><path class=\"standing\" d=\"{}\"/>\
         <path class=\"limit\" d=\"M0 120H340\"/><text x=\"0\" y=\"168\">0</text>\
         <text x=\"340\" y=\"168\" text-anchor=\"end\">{} {}</text></svg><figcaption>\
         <span class=\"key arriving-key\">{} {}</span><span class=\"key takes-key\">{}</span>\
         <span class=\"key standing-key\">{} ≤ {}</span></figcaption></figure>",
        &[
            text.drawing_label,
            paths.arriving.as_str(),
            paths.takes.as_str(),
            paths.standing.as_str(),
            &minutes,
            text.minutes_short,
            text.drawing_rate,
            &rate,
            text.drawing_intake,
            text.drawing_pond,
            &storage,
        ],
    );
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
    let mut takes = Path::default();
    let base = RATES + GAP + STANDING;
    let mut standing = Path::default();
    standing.to('M', &[0.0, base]);
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
        takes.to(letter, &[x(to), up(event.capacity_mm_per_h())]);
        let depth = (event.standing_mm() / storage).min(1.0) * STANDING;
        standing.to('L', &[x(to), base - depth]);
    }
    standing.to('L', &[WIDTH, base]);
    standing.to('Z', &[]);
    let mut arriving = Path::default();
    for number in 0..runs {
        let from = f64::from(number) * (run + soak);
        arriving.block(x(from), RATES, x(from + run), up(rate));
    }
    Some(Paths {
        arriving,
        takes,
        standing,
        minutes,
    })
}
