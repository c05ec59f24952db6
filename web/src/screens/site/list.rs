//! The list of stations: open, add, pick several, put in order.

use std::rc::Rc;

use super::lines::Line;
use super::view::{Open, View};
use crate::night::said::with_number;
use crate::sheet::Sheet;
use crate::station::Answer;
use crate::text::{Text, fill};

/// Where a list becomes too long to look through.
const LONG: usize = 12;

/// The list and its keys.
pub fn stations(sheet: &mut Sheet, view: &View) {
    let text = &sheet.text.site;
    let lines = sheet.session.lines.get();
    if lines.is_empty() {
        sheet.put("<p class=\"how\">{}</p>", &[text.no_stations]);
        sheet.key("main", "add", 0, text.first_station);
        sheet.key("", "example", 0, text.load_example);
        undo(sheet, view);
        return;
    }
    let lacking = lines.iter().filter(|line| line.answer.is_none()).count();
    let no_flow = lines.iter().filter(|line| line.no_flow).count();
    let count = |words: &str, n: usize| fill(words, &[("n", &n.to_string())]);
    let mut sum = count(text.stations_count, lines.len());
    for (n, words) in [(lacking, text.lacking_count), (no_flow, text.no_flow_count)] {
        if n > 0 {
            sum.push_str(" · ");
            sum.push_str(&count(words, n));
        }
    }
    sheet.put("<p class=\"how\">{}</p>", &[&sum]);
    let picked = view.picked.as_deref().unwrap_or_default();
    let unpicked = |line: &Rc<Line>| holds(&line.name, &view.find) && !picked.contains(&line.id);
    keys(sheet, view, lines.len(), lines.iter().any(unpicked));
    undo(sheet, view);
    if lines.len() > LONG && !view.ordering {
        sheet.entry("find", 0, text.find_station, &view.find, "");
    }
    sheet.put("<ul class=\"lines\" id=\"lines\">", &[]);
    let last = lines.len() - 1;
    for (place, line) in lines.iter().enumerate() {
        if !holds(&line.name, &view.find) {
            continue;
        }
        let said = said(sheet.text, line);
        let name = with_number(place, &line.name);
        if let Some(picked) = &view.picked {
            pick(sheet, line, [&name, &said], picked.contains(&line.id));
        } else if view.ordering {
            order(sheet, line, &name, [place, last]);
        } else {
            let open = view.open == Open::Station(line.id);
            row(sheet, view, "station", line.id, open, &name, &said);
        }
    }
    sheet.put("</ul>", &[]);
}

/// Whether a name holds what is looked for, whatever the case of the letters and their accents.
pub fn holds(name: &str, find: &str) -> bool {
    let find = plain(find.trim());
    find.is_empty() || plain(name).windows(find.len()).any(|part| *part == *find)
}

/// A text without what is not told apart when it is looked for: small letters, no accents.
pub fn plain(text: &str) -> Vec<char> {
    // `À` to `ÿ`; what has no plain letter stands for itself.
    const LETTERS: &[u8; 64] = b"aaaaaaaceeeeiiiidnooooo.ouuuuy.saaaaaaaceeeeiiiidnooooo.ouuuuy.y";
    let marks = '\u{300}'..='\u{36f}';
    let letters = text.chars().filter(|letter| !marks.contains(letter));
    let plain = letters.map(|letter| {
        let place = (letter as usize).wrapping_sub(0xc0);
        match LETTERS.get(place) {
            Some(b'.') | None => letter.to_ascii_lowercase(),
            Some(plain) => char::from(*plain),
        }
    });
    plain.collect()
}

/// A row's markup.
const ROW: &str = "<li id=\"row-{}\"><button type=\"button\" class=\"line\" data-do=\"{}\" \
                   data-at=\"{}\" {} {}><b>{}</b> <span>{}</span></button></li>";

/// A row that opens something.
pub fn row(
    sheet: &mut Sheet,
    view: &View,
    verb: &str,
    id: u32,
    open: bool,
    name: &str,
    said: &str,
) {
    let id_text = id.to_string();
    let current = if open { "aria-current=true" } else { "" };
    let focus = if view.came == id && view.open == Open::None && id > 0 {
        "data-focus=came"
    } else {
        ""
    };
    let values = [&*id_text, verb, &id_text, current, focus, name, said];
    if verb == "open" {
        // Sites move from one list to another; only within one list a row may stay undrawn.
        sheet.put(ROW, &values);
    } else {
        sheet.row(id, ROW, &values);
    }
}

fn keys(sheet: &mut Sheet, view: &View, count: usize, unpicked: bool) {
    let text = &sheet.text.site;
    sheet.put("<div class=\"entry\">", &[]);
    if let Some(picked) = &view.picked {
        let n = picked.len().to_string();
        if picked.is_empty() {
            sheet.put("<p class=\"how\">{}</p>", &[text.pick_how]);
        } else {
            let words = fill(text.change_many, &[("n", &n)]);
            sheet.key("main", "many", 0, &words);
            let words = fill(text.delete_many, &[("n", &n)]);
            sheet.key("", "delete-many", 0, &words);
        }
        if unpicked {
            sheet.key("", "pick-all", 0, text.pick_all);
        }
        sheet.key("", "pick", 0, text.done);
    } else if view.ordering {
        sheet.put("<p class=\"how\">{}</p>", &[text.order_how]);
        sheet.key("", "order", 0, text.done);
    } else {
        sheet.key("main", "add", 0, text.add_station);
        if count > 1 {
            sheet.key("", "pick", 0, text.pick_several);
            sheet.key("", "order", 0, text.put_in_order);
        }
    }
    sheet.put("</div>", &[]);
}

fn undo(sheet: &mut Sheet, view: &View) {
    let last = sheet
        .session
        .document
        .with(|d| d.last_deleted().map(|kept| kept.name.clone()));
    let Some(last) = last else { return };
    let words = if view.gone > 1 {
        fill(sheet.text.site.undo_many, &[("n", &view.gone.to_string())])
    } else {
        fill(sheet.text.undo_delete, &[("name", &last)])
    };
    sheet.key("", "undo-delete", 0, &words);
}

fn pick(sheet: &mut Sheet, line: &Line, words: [&str; 2], on: bool) {
    let ([name, said], id) = (words, line.id.to_string());
    let checked = if on { "checked" } else { "" };
    sheet.row(
        line.id,
        "<li id=\"row-{}\"><label class=\"tick line\"><input type=\"checkbox\" data-in=\"pick-one\" \
         data-at=\"{}\" {}><b>{}</b> <span>{}</span></label></li>",
        &[&id, &id, checked, name, said],
    );
}

fn order(sheet: &mut Sheet, line: &Line, name: &str, [place, last]: [usize; 2]) {
    let text = &sheet.text.site;
    let id = line.id.to_string();
    sheet.put(
        "<li id=\"row-{}\" class=\"line\"><span class=\"drag\" data-drag=\"{}\" aria-hidden=\"true\">\
         ⠿</span><b>{}</b>",
        &[&id, &id, name],
    );
    if place > 0 {
        sheet.key_for("", "up", line.id, text.up, &line.name);
    }
    if place < last {
        sheet.key_for("", "down", line.id, text.down, &line.name);
    }
    sheet.put("</li>", &[]);
}

/// What a row says of a station.
fn said(text: &Text, line: &Line) -> String {
    let site = &text.site;
    let mut said = match &line.answer {
        Some(answer) => short(text, answer),
        None => site.lacking.to_string(),
    };
    if line.no_flow {
        said.push_str(" · ");
        said.push_str(site.no_flow);
    }
    said
}

/// Run, soak and week of an answer.
pub fn short(text: &Text, answer: &Answer) -> String {
    let run = match answer.longest_run_minutes {
        Some(minutes) => fill(text.site.run_of, &[("n", &minutes.to_string())]),
        None => text.no_limit.to_string(),
    };
    let mut said = run;
    // What need not rest says nothing of it.
    if let Some(minutes) = answer.soak_minutes.filter(|minutes| *minutes > 0) {
        said.push_str(" · ");
        said.push_str(&fill(text.site.soak_of, &[("n", &minutes.to_string())]));
    }
    let week = fill(
        text.site.week_of,
        &[("n", &answer.week_minutes.to_string())],
    );
    said.push_str(" · ");
    said.push_str(&week);
    if answer.too_fast {
        said.push_str(" · ");
        said.push_str(text.site.runs_off);
    }
    said
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_station_too_fast_for_its_ground_says_so() {
        use crate::document::Draft;
        use crate::field::Field;
        let said = |rate: &str| {
            let mut draft = Draft {
                soil: Some("clay".into()),
                ..Draft::default()
            };
            draft.numbers.set_si(Field::Slope, "24");
            draft.numbers.set_si(Field::Rate, rate);
            let outcome = crate::station::work_out(&draft, &7.into()).expect("an answer");
            short(
                crate::text::text(crate::document::Language::En),
                &outcome.answer,
            )
        };
        assert!(
            said("38").ends_with("too fast for this ground"),
            "{}",
            said("38")
        );
        assert!(!said("8").contains("too fast"), "{}", said("8"));
    }

    #[test]
    fn accents_and_case_are_not_looked_for() {
        for (name, find) in [
            ("Jardín de atrás", "jardin"),
            ("JARDÍN", "jardín"),
            ("Jardin", "JARDÍN"),
            ("Jardi\u{301}n", "jardín"),
            ("Césped del niño", "cesped del nino"),
            ("Cesped del nino", "Céspéd del ñiño"),
            ("Ángulo · pingüino", "angulo · pinguino"),
            ("Çà et là, Öl", " ca et la, ol "),
            ("Fuß 3×4", "fus 3×4"),
            ("Ölmühle", ""),
        ] {
            assert!(holds(name, find), "{name} {find}");
        }
        for (name, find) in [("Jardín", "jardim"), ("Bank", "bank 2"), ("3×4", "3÷4")] {
            assert!(!holds(name, find), "{name} {find}");
        }
    }
}
