//! The night as a picture: stations down, time across, flow against capacity below.

use crate::dom::{El, el, svg};
use crate::night::{Plan, Wanted, clock};
use crate::screens::pocket::path;
use crate::session::Session;

const WIDTH: f64 = 340.0;
const ROW: f64 = 26.0;
const FLOW: f64 = 60.0;

/// The picture, with hours marked and the window's end.
pub fn picture(session: Session, plan: &Plan, wanted: &Wanted) -> El {
    let whole = f64::from(plan.finish_second.max(wanted.window_seconds).max(60));
    let x = |second: u32| f64::from(second) / whole * WIDTH;
    let mut stations: Vec<u32> = Vec::new();
    for run in &plan.runs {
        if !stations.contains(&run.station) {
            stations.push(run.station);
        }
    }
    let rows = ROW * stations.len() as f64;
    let base = rows + 24.0 + FLOW;
    let (mut runs, mut soaks, mut hours) = (String::new(), String::new(), String::new());
    let mut labels = Vec::new();
    for (row, id) in stations.iter().enumerate() {
        let top = ROW * row as f64 + 14.0;
        let mut before: Option<u32> = None;
        for run in plan.runs.iter().filter(|run| run.station == *id) {
            let (left, right) = (x(run.start_second), x(run.start_second + run.seconds));
            runs.push_str(&format!(
                "M{left:.1} {top:.0}h{:.1}v10H{left:.1}Z",
                (right - left).max(1.0)
            ));
            if let Some(end) = before {
                soaks.push_str(&format!("M{:.1} {:.0}H{left:.1}", x(end), top + 5.0));
            }
            before = Some(run.start_second + run.seconds);
        }
        let label = svg("text")
            .attr("x", "0")
            .attr("y", &format!("{:.0}", top - 2.0));
        labels.push(label.text(&super::name(session, *id)));
    }
    let mut mark = (3600 - wanted.opens_second % 3600) % 3600;
    while f64::from(mark) <= whole {
        hours.push_str(&format!("M{:.1} 0V{base:.0}", x(mark)));
        let place = format!("{:.1}", x(mark));
        let hour = svg("text")
            .attr("x", &place)
            .attr("y", &format!("{:.0}", base + 14.0));
        if x(mark) < WIDTH - 24.0 {
            labels.push(hour.text(&clock(wanted.opens_second, mark)[..2]));
        }
        mark += 3600;
    }
    let until = x(wanted.window_seconds);
    el("div").class("night-picture").with(
        svg("svg")
            .attr("viewBox", &format!("0 0 {WIDTH:.0} {:.0}", base + 20.0))
            .attr("role", "img")
            .attr("aria-label", session.text().night_picture)
            .with(path("hours", &hours))
            .with(path("soak", &soaks))
            .with(path("run", &runs))
            .with(path("flow", &flow(plan, wanted, base, x)))
            .with(path(
                "limit",
                &format!("M0 {0:.1}H{WIDTH:.0}M{until:.1} 0V{base:.0}", base - FLOW),
            ))
            .with_all(labels),
    )
}

/// Flow open on the supply, as a filled line; the capacity is its top.
fn flow(plan: &Plan, wanted: &Wanted, base: f64, x: impl Fn(u32) -> f64) -> String {
    let stations = plan.request["stations"]
        .as_array()
        .map_or(&[][..], Vec::as_slice);
    let flow_of = |id: u32| {
        let id = id.to_string();
        let station = stations
            .iter()
            .find(|s| s["id"].as_str() == Some(id.as_str()));
        station
            .and_then(|s| s["flow_l_per_min"].as_f64())
            .unwrap_or(0.0)
    };
    let mut moments: Vec<f64> = Vec::new();
    for run in &plan.runs {
        moments.push(f64::from(run.start_second));
        moments.push(f64::from(run.start_second + run.seconds));
    }
    drycurb_core::order::upward(&mut moments);
    let mut line = format!("M0 {base:.1}");
    for moment in moments {
        let second = moment as u32;
        let open = plan
            .runs
            .iter()
            .filter(|run| run.start_second <= second && second < run.start_second + run.seconds);
        let flow: f64 = open.map(|run| flow_of(run.station)).sum();
        let height = base - FLOW * flow / wanted.capacity_l_per_min.max(1e-9);
        line.push_str(&format!("H{:.1}V{height:.1}", x(second)));
    }
    line.push_str(&format!("V{base:.1}Z"));
    line
}
