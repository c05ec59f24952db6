//! What is keyed now: the present programs typed in quickly, and what is found wrong with them.

use super::{answer_head, ask_keys, times, today};
use crate::document::present::{DaysKind, Program};
use crate::document::{Document, Named};
use crate::night::now::{
    asked, findings, is_understood, letter, rows, said_of, step_seconds, sums, wrong,
};
use crate::night::said::{name, percent, water, with_number};
use crate::night::{Asked, Focus, State, digits};
use crate::session::Session;
use crate::sheet::{Act, Sheet};
use crate::text::fill;
use drycurb_core::decimal::fixed;

/// Rows shown at once: more would make typing slow.
const ROWS: usize = 40;
/// Programs that a panel can have.
const MOST_PROGRAMS: usize = 16;

/// The entry and, once asked, the comparison.
pub fn draw(sheet: &mut Sheet, d: &Document, state: &State) {
    let t = &sheet.text.night;
    sheet.put("<p class=\"how\">{}</p>", &[t.now_how]);
    sheet.put("<div class=\"halves\"><div>", &[]);
    let programs = &d.site().present.programs;
    for (place, program) in programs.iter().enumerate() {
        if place as u32 == state.program {
            open_program(sheet, d, state, place, program);
        } else {
            closed_program(sheet, d, place, program);
        }
    }
    if let Some((place, _)) = state.dropped
        && programs.len() < MOST_PROGRAMS
    {
        let name = fill(t.program, &[("n", &letter(place))]);
        let words = fill(sheet.text.undo_delete, &[("name", &name)]);
        sheet.key("", "undo-program", 0, &words);
    }
    if programs.len() < MOST_PROGRAMS {
        let words = fill(t.add_program, &[("n", &letter(programs.len()))]);
        sheet.key("", "add-program", 0, &words);
    }
    let ready = is_understood(&d.site().present);
    if !programs.is_empty() && !ready {
        sheet.put("<p class=\"alarm\">{}</p>", &[t.not_understood]);
    }
    if d.site().planned.answer.is_null() {
        sheet.put("<p class=\"how\">{}</p>", &[t.no_plan_yet]);
    }
    ask_keys(sheet, state, Asked::Keyed, ready);
    sheet.put("</div><div class=\"seen\">", &[]);
    if let Some((of, request, answer)) = &state.keyed {
        // What is typed here changes most often, and is compared soonest.
        let month = sheet.session.month;
        if *of != d.site().present || asked(d, month, &today()).as_ref() != Some(request) {
            sheet.put("<p class=\"how\">{}</p>", &[t.now_changed]);
        }
        found(sheet, d, state, answer);
    }
    sheet.put("</div></div>", &[]);
}

fn closed_program(sheet: &mut Sheet, d: &Document, place: usize, program: &Program) {
    let t = &sheet.text.night;
    let title = fill(t.program, &[("n", &letter(place))]);
    let at = place as u32;
    sheet.put(
        "<section class=\"program\" id=\"now-{}\"><h3>{}</h3><p>{}</p>",
        &[
            &at.to_string(),
            &title,
            &said_of(sheet.text, d, program, &today()),
        ],
    );
    sheet.key_for("", "program", at, t.open, &title);
    sheet.put("</section>", &[]);
}

fn open_program(sheet: &mut Sheet, d: &Document, state: &State, place: usize, program: &Program) {
    let t = &sheet.text.night;
    let title = fill(t.program, &[("n", &letter(place))]);
    let at = place as u32;
    let at_word = at.to_string();
    let wrong = wrong(program);
    sheet.put(
        "<section class=\"program\" id=\"now-{}\"><h3>{}</h3><div class=\"flows\">",
        &[&at_word, &title],
    );
    if state.focus.0 == Focus::Starts {
        sheet.focus = digits(state.focus.1);
    }
    let (hint, keyboard) = times(d, ["22:00 23:30", "10:00 PM 11:30 PM"], "decimal");
    sheet.entry_with(
        "starts",
        at,
        [t.starts_line, &program.starts, hint, keyboard],
        wrong.starts.then_some(t.fault_starts),
    );
    sheet.entry_with(
        "percent",
        at,
        [t.percent, &program.percent, "100", "numeric"],
        wrong.percent.then_some(t.fault_percent),
    );
    let kinds = [
        ("weekdays", t.days_weekdays),
        ("odd", t.days_odd),
        ("even", t.days_even),
        ("every", t.days_interval),
    ];
    sheet.select("days", at, t.days, &kinds, program.days.name());
    match program.days {
        DaysKind::Weekdays => {
            sheet.put(
                "<fieldset class=\"days\"><legend>{}</legend>",
                &[t.weekdays_legend],
            );
            for (day, word) in t.weekdays.iter().enumerate() {
                let on = program.weekdays >> day & 1 == 1;
                sheet.tick("weekday", at, &day.to_string(), word, on);
            }
            sheet.put("</fieldset>", &[]);
        }
        DaysKind::Every => {
            sheet.entry_with(
                "every",
                at,
                [t.every, &program.every, "1", "numeric"],
                wrong.every.then_some(t.fault_every),
            );
            sheet.put(
                "<label class=\"pick\">{}<input type=\"date\" data-in=\"first\" data-at=\"{}\" value=\"{}\"></label>",
                &[t.first, &at_word, &program.first],
            );
        }
        DaysKind::Odd | DaysKind::Even => {}
    }
    sheet.put("</div><h4>{}</h4>", &[t.minutes_each]);
    let first = groups(sheet, d, state);
    sheet.put("<ol class=\"keying\">", &[]);
    for (row, kept) in d.stations().enumerate().skip(first).take(ROWS) {
        let typed = program.minutes_of(kept.id);
        let id = kept.id.to_string();
        let label = with_number(row, &kept.name);
        let focus = if state.next == kept.id && state.focus.0 == Focus::Minutes {
            [" data-focus=", &digits(state.focus.1)].concat()
        } else {
            String::new()
        };
        let seconds = step_seconds(typed);
        let bad = if seconds.is_none() { "true" } else { "false" };
        sheet.put(
            "<li id=\"m-{}-{}\"><form data-enter=\"next\" data-at=\"{}\"><label for=\"mi-{}-{}\">{}</label>\
             <input id=\"mi-{}-{}\" type=\"text\" inputmode=\"decimal\" enterkeyhint=\"next\" \
             autocomplete=\"off\" aria-invalid=\"{}\" data-in=\"minutes\" data-at=\"{}\" value=\"{}\"{}>",
            &[
                &at_word, &id, &id, &at_word, &id, &label, &at_word, &id, bad, &id, typed, &focus,
            ],
        );
        if row > 0 {
            sheet.key_for("", "same", kept.id, "″", t.same_as_above);
        }
        // How `1:30`, `1.5` and `1,5` were understood.
        if let Some(seconds) = seconds.filter(|_| typed.contains([':', '.', ','])) {
            let (minutes, rest) = (digits(seconds / 60), digits(seconds % 60));
            sheet.put("<small>{} min {} s</small>", &[&minutes, &rest]);
        }
        sheet.put("</form></li>", &[]);
    }
    sheet.put("</ol>", &[]);
    sheet.key_for("", "drop-program", at, t.remove, &title);
    sheet.put("</section>", &[]);
}

/// Keys to the groups of rows, where one does not hold all; gives the first row of the open one.
fn groups(sheet: &mut Sheet, d: &Document, state: &State) -> usize {
    let count = d.stations().count();
    if count <= ROWS {
        return 0;
    }
    let at = d.stations().position(|kept| kept.id == state.next);
    let open = at.unwrap_or(0) / ROWS;
    sheet.put(
        "<div class=\"choices\" role=\"group\" aria-label=\"{}\">",
        &[sheet.text.night.minutes_each],
    );
    for (group, kept) in d.stations().step_by(ROWS).enumerate() {
        let pressed = if group == open { "true" } else { "false" };
        let first = group * ROWS + 1;
        let last = (first + ROWS - 1).min(count);
        sheet.put(
            "<button type=\"button\" aria-pressed=\"{}\" data-do=\"go\" data-at=\"{}\">{}–{}</button>",
            &[
                pressed,
                &digits(kept.id),
                &digits(first as u32),
                &digits(last as u32),
            ],
        );
    }
    sheet.put("</div>", &[]);
    open * ROWS
}

/// The finding list, and the stations one by one.
fn found(sheet: &mut Sheet, d: &Document, state: &State, answer: &serde_json::Value) {
    let t = &sheet.text.night;
    let (units, comma) = (sheet.session.units(), sheet.session.comma);
    let rows = rows(d, answer, sheet.session.month);
    let found = findings(sheet.text, d, answer, &rows, units, comma);
    sheet.put("<section class=\"found\" aria-live=\"polite\">", &[]);
    let head = fill(t.findings, &[("n", &found.len().to_string())]);
    answer_head(sheet, state, Asked::Keyed, "", &head);
    sheet.put(
        "<p>{}</p><ol>",
        &[&sums(sheet.text, d, answer, units, comma)],
    );
    for (_, line) in &found {
        sheet.put("<li>{}</li>", &[line]);
    }
    sheet.put("</ol>", &[]);
    if found.is_empty() {
        sheet.put("<p>{}</p>", &[t.found_nothing]);
    }
    sheet.key("main", "quote", 0, t.to_quote);
    sheet.put(
        "<details><summary>{}</summary><div class=\"wide\" tabindex=\"0\" role=\"group\" aria-label=\"{}\">\
         <table class=\"figures\"><thead><tr><th scope=\"col\">{}</th><th scope=\"col\">{}</th>\
         <th scope=\"col\">{}</th><th scope=\"col\">{}</th><th scope=\"col\">{}</th>\
         <th scope=\"col\">{}</th></tr></thead><tbody>",
        &[t.by_station, t.by_station, t.station, t.week_now, t.week_needed, t.week_planned, t.week_litres, t.runoff],
    );
    for row in &rows {
        let litres = row.litres.map(|litres| water(litres, units, comma));
        let need = row.need.map(|minutes| fixed(minutes, 0).to_string());
        let planned = row.planned.map(|minutes| fixed(minutes, 0).to_string());
        let runoff = row.runoff.map(|share| percent(share, 0, comma));
        sheet.put(
            "<tr><th scope=\"row\">{}</th><td>{}</td><td>{}</td><td>{}</td><td>{}</td><td>{}</td></tr>",
            &[
                &name(d, row.station),
                &fixed(row.minutes, 0).to_string(),
                need.as_deref().unwrap_or("–"),
                planned.as_deref().unwrap_or("–"),
                litres.as_deref().unwrap_or("–"),
                runoff.as_deref().unwrap_or("–"),
            ],
        );
    }
    sheet.put("</tbody></table></div></details></section>", &[]);
}

/// Changes the present programs; `open` is the place of the one whose minutes are shown.
pub fn change(d: &mut Document, act: &Act, open: usize) {
    let above = {
        let ids = || d.stations().map(|kept| kept.id);
        let place = ids().position(|id| id == act.at).unwrap_or(0);
        ids().nth(place.saturating_sub(1)).unwrap_or(0)
    };
    let programs = &mut d.site_mut().present.programs;
    if act.verb == "add-program" {
        programs.push(Program::default());
        return;
    }
    let place = match act.verb.as_str() {
        "minutes" | "same" => open,
        _ => act.at as usize,
    };
    let Some(program) = programs.get_mut(place) else {
        return;
    };
    match act.verb.as_str() {
        "starts" => program.starts.clone_from(&act.value),
        "percent" => program.percent.clone_from(&act.value),
        "every" => program.every.clone_from(&act.value),
        "first" => program.first.clone_from(&act.value),
        "days" => program.days = DaysKind::of(&act.value).unwrap_or_default(),
        "weekday" => {
            let bit = 1 << act.of.parse().unwrap_or(0_u32).min(6);
            program.weekdays &= !bit;
            if !act.value.is_empty() {
                program.weekdays |= bit;
            }
        }
        "minutes" => program.set_minutes(act.at, &act.value),
        "same" => {
            let above = program.minutes_of(above).to_string();
            program.set_minutes(act.at, &above);
        }
        "drop-program" => {
            programs.remove(place);
        }
        _ => {}
    }
}

/// The station after another in the site's list; the last one itself.
pub fn neighbour(session: Session, id: u32) -> u32 {
    session.document.with_untracked(|d| {
        let mut ids = d
            .stations()
            .map(|kept| kept.id)
            .skip_while(|other| *other != id);
        ids.nth(1).unwrap_or(id)
    })
}
