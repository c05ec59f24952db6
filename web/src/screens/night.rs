//! Night: the kept stations planned against one supply and a window, and the programs to key.

mod picture;
mod programs;

use crate::signals::*;
use serde_json::Value;

use crate::document::Document;
use crate::dom::{El, el, key, memo};
use crate::field::Field;
use crate::night::{Plan, Wanted, clock, clock_minute, plan, wanted};
use crate::numbers;
use crate::parts::number_field::number_field;
use crate::parts::words::{how, said};
use crate::platform;
use crate::session::{Session, Whose};
use crate::text::fill;

/// Where planning stands.
#[derive(Clone, Debug, PartialEq)]
enum State {
    /// Nothing asked yet.
    Idle,
    /// The worker is at it.
    Working,
    /// A plan, and the programs for it when they have come.
    Planned(Box<Plan>, Option<Value>),
    /// The worker gave no plan.
    Failed,
}

/// The whole screen.
pub fn night(session: Session) -> El {
    let state = RwSignal::new(State::Idle);
    let wanted = memo(move || session.document.with(|d| wanted(d, session.month)));
    let ids = memo(move || {
        session
            .document
            .with(|d| d.stations().map(|k| k.id).collect::<Vec<_>>())
    });
    let empty = move || {
        ids.with(Vec::is_empty)
            .then(|| how(session, |t| t.night_empty))
    };
    let site = session.of(Whose::Site);
    let supply = session.of(Whose::Supply(1));
    let fields = el("div")
        .class("finder")
        .with(number_field(supply, Field::Capacity))
        .with(number_field(site, Field::AtOnce))
        .with(window_from(site))
        .with(number_field(site, Field::WindowHours));
    let flows = el("ul")
        .class("flows")
        .with_each(move || ids.get(), move |id| flow(session, id));
    el("main")
        .class("night")
        .with(said(session, "h2", |t| t.night_site))
        .with_of(empty)
        .with(fields)
        .with(said(session, "h3", |t| t.night_flows))
        .with(flows)
        .with_of(move || Some(left_out(session, &wanted.get())))
        .with_of(move || Some(keys(session, state, wanted.get())))
        .with_of(move || outcome(session, &state.get(), &wanted.get()))
}

fn window_from(site: Session) -> El {
    let wrong = move || site.draft(|d| clock_minute(&d.window_from)).is_none();
    let note = move || {
        if wrong() {
            site.text().fault_time.to_string()
        } else {
            String::new()
        }
    };
    let input = el("input")
        .id("window-from")
        .attr("type", "text")
        .attr("autocomplete", "off")
        .attr("placeholder", "22:00")
        .attr("aria-describedby", "window-from-note")
        .flag("aria-invalid", wrong)
        .value_of(move || site.draft(|d| d.window_from.clone()))
        .typed(move |text| site.change(|d| d.window_from = text));
    el("div")
        .class("number-field")
        .with(said(site, "label", |t| t.window_from).attr("for", "window-from"))
        .with(el("div").class("entry").with(input))
        .with(
            el("p")
                .class("note")
                .id("window-from-note")
                .class_when("wrong", wrong)
                .say(note),
        )
}

fn flow(session: Session, id: u32) -> El {
    el("li")
        .with(el("span").class("kept-name").say(move || name(session, id)))
        .with(number_field(session.of(Whose::Kept(id)), Field::RateFlow))
}

/// A kept station's name.
fn name(session: Session, id: u32) -> String {
    session.document.with(|d| name_of(d, id))
}

fn name_of(document: &Document, id: u32) -> String {
    let kept = document.kept.iter().find(|kept| kept.id == id);
    kept.map_or_else(|| id.to_string(), |kept| kept.name.clone())
}

fn left_out(session: Session, wanted: &Wanted) -> El {
    let text = session.text();
    let mut lines = Vec::new();
    if !wanted.missing.is_empty() {
        lines.push(fill(
            text.night_not_ready,
            &[("names", &wanted.missing.join(", "))],
        ));
    }
    if wanted.request.is_none() {
        lines.push(text.night_needs_supply.to_string());
    }
    el("p").class("how").text(&lines.join(" "))
}

fn keys(session: Session, state: RwSignal<State>, wanted: Wanted) -> El {
    let entry = el("div").class("entry");
    if state.with(|state| *state == State::Working) {
        let stop = move || {
            platform::stop_asking();
            state.set(State::Idle);
        };
        return entry
            .with(said(session, "p", |t| t.night_working).attr("role", "status"))
            .with(key(stop).word(session, |t| t.night_stop));
    }
    let Some(request) = wanted.request else {
        return entry;
    };
    let ask = move || {
        state.set(State::Working);
        let asked = request.clone();
        let heard = move |answer: Value| match plan(&asked, &answer) {
            Some(plan) => {
                programs::ask(state, &plan);
                state.set(State::Planned(Box::new(plan), None));
            }
            None => state.set(State::Failed),
        };
        platform::ask_worker(&request, Box::new(heard));
    };
    entry.with(key(ask).class("main").word(session, |t| t.night_plan))
}

fn outcome(session: Session, state: &State, wanted: &Wanted) -> Option<El> {
    match state {
        State::Planned(plan, programs) => {
            let panel = el("div")
                .class("finder")
                .with(sentence(session, plan, wanted));
            let panel = panel.with(picture::picture(session, plan, wanted));
            let panel = panel.with(table(session, plan, wanted));
            let programs = programs.as_ref();
            Some(panel.with_all(programs.map(|answer| programs::programs(session, answer, wanted))))
        }
        State::Failed => Some(said(session, "p", |t| t.night_failed).class("note wrong")),
        State::Idle | State::Working => None,
    }
}

/// When it ends, how near that is to the best, and what does not fit.
fn sentence(session: Session, plan: &Plan, wanted: &Wanted) -> El {
    let text = session.text();
    let at = |second| clock(wanted.opens_second, second);
    let mut lines = Vec::new();
    let minutes = |seconds: u32| seconds.div_ceil(60).to_string();
    if plan.finish_second > wanted.window_seconds {
        let over = minutes(plan.finish_second - wanted.window_seconds);
        lines.push(fill(text.night_over, &[("minutes", &over)]));
        if plan.bound_second > wanted.window_seconds {
            let short = minutes(plan.bound_second - wanted.window_seconds);
            lines.push(fill(text.night_cannot, &[("minutes", &short)]));
        }
    }
    if plan.finish_second <= plan.bound_second {
        lines.push(text.night_best.to_string());
    } else {
        let share = f64::from(plan.finish_second) / f64::from(plan.bound_second.max(1)) - 1.0;
        let percent = format!("{}\u{a0}%", numbers::write(100.0 * share, 1, session.comma));
        lines.push(fill(text.night_near, &[("percent", &percent)]));
    }
    if !plan.unserved.is_empty() {
        let names: Vec<String> = plan.unserved.iter().map(|id| name(session, *id)).collect();
        lines.push(fill(text.night_unserved, &[("names", &names.join(", "))]));
    }
    let span = [("from", at(0)), ("to", at(plan.finish_second))];
    let span = span.each_ref().map(|(name, value)| (*name, value.as_str()));
    el("div")
        .attr("aria-live", "polite")
        .with(el("p").class("span").text(&fill(text.night_time, &span)))
        .with(el("p").text(&lines.join(" ")))
}

/// The same as a table: for reading, and for a screen reader.
fn table(session: Session, plan: &Plan, wanted: &Wanted) -> El {
    let text = session.text();
    let mut stations: Vec<u32> = Vec::new();
    for run in &plan.runs {
        if !stations.contains(&run.station) {
            stations.push(run.station);
        }
    }
    let rows = stations.iter().map(|id| {
        let runs = plan.runs.iter().filter(|run| run.station == *id);
        let starts: Vec<String> = runs
            .clone()
            .map(|run| clock(wanted.opens_second, run.start_second))
            .collect();
        let minutes: Vec<String> = runs.map(|run| (run.seconds / 60).to_string()).collect();
        el("tr")
            .with(el("th").attr("scope", "row").text(&name(session, *id)))
            .with(el("td").text(&starts.join(" · ")))
            .with(el("td").text(&minutes.join(" · ")))
    });
    let head = [text.station, text.starts, text.minutes_each];
    let head = head.map(|word| el("th").attr("scope", "col").text(word));
    el("details")
        .class("sources")
        .with(el("summary").text(text.night_runs))
        .with(
            el("table")
                .class("figures")
                .with(el("thead").with(el("tr").with_all(head)))
                .with(el("tbody").with_all(rows)),
        )
}
