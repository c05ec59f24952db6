//! The night as a picture: stations down, time across, flow against capacity underneath.
//!
//! Runs and flows are paths in seconds, stretched over the width; only words are placed in percent
//! of it, so nothing is scaled that must be read. It is wider than the page by the zoom, and scrolls.

use std::fmt::Write;

use crate::document::Document;
use crate::document::json::items;
use crate::night::said::{opens_minute, planned_number, supply_name, time};
use crate::night::{
    Dawn, Plan, Run, State, closed_spans, digits, end_of, flows, id_of, stations, whole,
};
use crate::sheet::Sheet;
use crate::text::fill;
use crate::units::Kind;

/// How often the page's width the picture is wide, by zoom.
const WIDTHS: [u32; 4] = [1, 2, 4, 8];

/// More rows than this stand in a box of their own that scrolls.
const ROWS: usize = 24;

/// A second as a place across, percent.
fn across(second: u32, whole: u32) -> String {
    let hundredths = u64::from(second) * 10_000 / u64::from(whole.max(1));
    format!("{}.{:02}%", hundredths / 100, hundredths % 100)
}

/// The keys that make it wider and narrower.
pub fn keys(sheet: &mut Sheet, state: &State) {
    let t = &sheet.text.night;
    let zoom = state.zoom.min(3);
    sheet.put("<div class=\"entry zoom\">", &[]);
    for (next, sign, word) in [
        (zoom.saturating_sub(1), "−", t.zoom_out),
        ((zoom + 1).min(3), "+", t.zoom_in),
    ] {
        let off = if next == zoom { "disabled" } else { "" };
        sheet.put(
            "<button type=\"button\" aria-label=\"{}\" data-do=\"zoom\" data-at=\"{}\" {}>{}</button>",
            &[word, &digits(next as u32), off, sign],
        );
    }
    sheet.put("</div>", &[]);
}

/// The picture.
pub fn picture(
    sheet: &mut Sheet,
    d: &Document,
    state: &State,
    plan: &Plan,
    runs: &[Run],
    dawn: Dawn,
) {
    let t = &sheet.text.night;
    let opens = opens_minute(plan);
    let window = 60 * whole(&plan.answer["window_minutes"]);
    let mut long = end_of(runs).max(window).max(3600);
    let rises = match dawn {
        Dawn::At(minute) => Some(60 * ((minute + 1440 - opens % 1440) % 1440)),
        _ => None,
    };
    let rises = rises.filter(|second| *second <= long + 5400);
    long = long.max(rises.unwrap_or(0));
    let closed = closed_spans(d.site(), plan, runs);
    for (from, _) in &closed {
        // A little of it shows even when it begins where the night ends.
        long = long.max(from + 1800);
    }
    let marks = Marks {
        opens,
        long,
        window,
        rises,
        closed,
    };
    let ids = stations(d, runs);
    let tall = if ids.len() > ROWS {
        let n = ids.len().to_string();
        sheet.put(
            "<p class=\"how\">{}</p>",
            &[&fill(t.picture_more, &[("n", &n)])],
        );
        "tall"
    } else {
        ""
    };
    sheet.put(
        "<div class=\"night-picture {}\" tabindex=\"0\" role=\"group\" aria-label=\"{}\">\
         <div class=\"sheet-{}\">",
        &[tall, t.picture, &digits(state.zoom.min(3) as u32)],
    );
    rows(sheet, d, state, (runs, &ids), &marks);
    under(sheet, d, state, plan, runs, &marks);
    sheet.put("</div></div>", &[]);
}

/// What goes through the whole height.
struct Marks {
    /// Minute of the day at which the night opens.
    opens: u32,
    /// All that is drawn, seconds.
    long: u32,
    /// The window's end, seconds.
    window: u32,
    /// Dawn, seconds.
    rises: Option<u32>,
    /// Closed hours, seconds.
    closed: Vec<(u32, u32)>,
}

/// Lines that go through the whole height: hours, closed hours, the window's end, dawn.
fn lines(sheet: &mut Sheet, marks: &Marks, height: u32) {
    let Marks {
        opens,
        long,
        window,
        rises,
        ..
    } = *marks;
    let mut hours = String::new();
    let mut second = (60 - opens % 60) % 60 * 60;
    while second <= long {
        let _ = write!(hours, "M{second} 0v{height}");
        second += 3600;
    }
    let mut closed = String::new();
    for (from, until) in &marks.closed {
        for y in (5..height).step_by(10) {
            let _ = write!(closed, "M{from} {y}H{}", until.min(&long));
        }
    }
    sheet.put("<path class=\"closed\" d=\"{}\"/>", &[&closed]);
    let late = long.saturating_sub(window);
    let (window, late, height) = (window.to_string(), late.to_string(), height.to_string());
    sheet.put(
        "<path class=\"late\" d=\"M{} 0h{}v{}H{}z\"/><path class=\"hours\" d=\"{}\"/>\
         <path class=\"limit\" d=\"M{} 0v{}\"/>",
        &[&window, &late, &height, &window, &hours, &window, &height],
    );
    if let Some(rises) = rises {
        let rises = rises.to_string();
        sheet.put("<path class=\"dawn\" d=\"M{} 0v{}\"/>", &[&rises, &height]);
    }
}

fn rows(
    sheet: &mut Sheet,
    d: &Document,
    state: &State,
    (runs, ids): (&[Run], &[u32]),
    marks: &Marks,
) {
    let long = marks.long;
    let height = 20 * ids.len() as u32;
    let tall = (2 * ids.len()).to_string();
    sheet.put(
        "<svg class=\"rows\" height=\"{}em\" aria-hidden=\"true\"><svg width=\"100%\" height=\"100%\" \
         preserveAspectRatio=\"none\" viewBox=\"0 0 {} {}\">",
        &[&tall, &long.to_string(), &height.to_string()],
    );
    lines(sheet, marks, height);
    let mut soaks = String::new();
    for (row, id) in ids.iter().enumerate() {
        let mut before = None;
        for run in runs.iter().filter(|run| run.station == *id) {
            if let Some(end) = before {
                let _ = write!(soaks, "M{end} {}H{}", 20 * row + 15, run.start);
            }
            before = Some(run.end());
        }
    }
    sheet.put("<path class=\"soak\" d=\"{}\"/>", &[&soaks]);
    for (at, run) in runs.iter().enumerate() {
        let row = ids.iter().position(|id| *id == run.station).unwrap_or(0);
        let class = if state.run == Some(at) {
            "run on"
        } else {
            "run"
        };
        let path = format!("M{} {}h{}v8h-{2}z", run.start, 20 * row + 11, run.seconds);
        sheet.put(
            "<path class=\"{}\" data-do=\"run\" data-at=\"{}\" d=\"{}\"/>",
            &[class, &at.to_string(), &path],
        );
    }
    // On every short run a stroke as wide as can be seen.
    let mut strokes = String::new();
    for run in runs.iter().filter(|run| run.seconds < long / 100) {
        let row = ids.iter().position(|id| *id == run.station).unwrap_or(0);
        let _ = write!(
            strokes,
            "M{} {}v8",
            run.start + run.seconds / 2,
            20 * row + 11
        );
    }
    sheet.put("<path class=\"least\" d=\"{}\"/>", &[&strokes]);
    sheet.put("</svg>", &[]);
    let times = WIDTHS[state.zoom.min(3)];
    for (row, id) in ids.iter().enumerate() {
        let name = planned_number(sheet.text, d, *id);
        let top = (2 * row).to_string();
        for part in 0..times {
            sheet.put(
                "<text x=\"{}\" y=\"{}.85em\">{}</text>",
                &[&across(part, times), &top, &name],
            );
        }
    }
    sheet.put("</svg>", &[]);
}

/// Flow of each supply against what it carries, and the hours.
fn under(sheet: &mut Sheet, d: &Document, state: &State, plan: &Plan, runs: &[Run], marks: &Marks) {
    let t = &sheet.text.night;
    let Marks {
        opens, long, rises, ..
    } = *marks;
    let supplies = items(&plan.request["supplies"]);
    let times = WIDTHS[state.zoom.min(3)];
    let tall = 5 * supplies.len() as u32 + 3;
    sheet.put(
        "<svg class=\"under\" height=\"{}em\" role=\"img\" aria-label=\"{}\">",
        &[&tall.to_string(), t.picture_flow],
    );
    for (place, supply) in supplies.iter().enumerate() {
        let id = id_of(&supply["id"]);
        let capacity = supply["capacity_l_per_min"].as_f64().unwrap_or(1.0);
        let mut path = String::from("M0 100");
        for (second, flow) in flows(&plan.request, runs, id) {
            let height = 100.0 - 80.0 * flow / capacity.max(1e-9);
            let _ = write!(path, "H{second}V{}", height as i32);
        }
        let top = 5 * place;
        sheet.put(
            "<svg y=\"{}em\" width=\"100%\" height=\"4em\" preserveAspectRatio=\"none\" viewBox=\"0 0 {} 100\">",
            &[&(top + 1).to_string(), &long.to_string()],
        );
        lines(sheet, marks, 100);
        sheet.put(
            "<path class=\"flow\" d=\"{}V100z\"/><path class=\"limit\" d=\"M0 20H{}\"/></svg>",
            &[&path, &long.to_string()],
        );
        let units = sheet.session.units();
        let said = format!(
            "{} · {}",
            supply_name(sheet.text, d.site(), id),
            Kind::Flow.show_with_sign(capacity, units, sheet.session.comma)
        );
        sheet.put(
            "<text x=\"0\" y=\"{}.85em\">{}</text>",
            &[&top.to_string(), &said],
        );
        // On the line of all that it carries, and of half.
        for (share, down, tenths) in [(1.0, 2, ".15em"), (0.5, 3, ".75em")] {
            let y = [&digits((top + down) as u32), tenths].concat();
            let flow = Kind::Flow.show(share * capacity, units, sheet.session.comma);
            for part in 0..times {
                sheet.put(
                    "<text x=\"{}\" y=\"{}\">{}</text>",
                    &[&across(part, times), &y, &flow],
                );
            }
        }
    }
    let base = 5 * supplies.len() as u32;
    let mut second = (60 - opens % 60) % 60 * 60;
    while second + long / 20 < long {
        let hour = time(d, opens + second / 60);
        // Of 22:00 the hour, of 10:00 PM too.
        let hour = hour.split(':').next().unwrap_or_default();
        sheet.put(
            "<text x=\"{}\" y=\"{}.1em\">{}</text>",
            &[&across(second, long), &(base + 1).to_string(), hour],
        );
        second += 3600;
    }
    if let Some(rises) = rises {
        let at = time(d, opens + rises / 60);
        sheet.put(
            "<text class=\"end\" x=\"{}\" y=\"{}.4em\">{} {}</text>",
            &[
                &across(rises, long),
                &(base + 2).to_string(),
                t.sunrise_short,
                &at,
            ],
        );
    }
    sheet.put("</svg>", &[]);
}
