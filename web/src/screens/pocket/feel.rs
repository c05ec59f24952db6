//! The feel test: four questions, one at a time, each answered with a tap.

use drycurb_core::ground::texture::field::{CLAY_RIBBON_M, LOAM_RIBBON_M};

use super::soil;
use crate::document::{Feel, SoilFound};
use crate::session::Session;
use crate::sheet::{Act, Sheet};
use crate::station::by_feel;
use crate::text::fill;
use crate::units::Kind;

/// The questions still open, the answers given, and what they make.
pub fn draw(sheet: &mut Sheet) {
    let (session, text) = (sheet.session, sheet.text);
    let feel = session.draft(|d| d.feel);
    sheet.put(
        "<div class=\"finder\"><p class=\"how\">{}</p>",
        &[text.feel_start],
    );
    let has_ball = feel.ball == Some(true);
    let has_ribbon = has_ball && feel.ribbon == Some(true);
    yes_no(sheet, "feel-ball", text.feel_ball, feel.ball);
    if has_ball {
        yes_no(sheet, "feel-ribbon", text.feel_ribbon, feel.ribbon);
    }
    if has_ribbon {
        let show = |m: f64| Kind::Height.show_with_sign(1000.0 * m, session.units(), session.comma);
        let (short, long) = (show(LOAM_RIBBON_M), show(CLAY_RIBBON_M));
        let between = [("from", short.as_str()), ("to", long.as_str())];
        let answers = [
            fill(text.feel_short, &[("length", &short)]),
            fill(text.feel_middle, &between),
            fill(text.feel_long, &[("length", &long)]),
        ];
        let answers = answers.each_ref().map(String::as_str);
        question(
            sheet,
            "feel-length",
            text.feel_length,
            &answers,
            feel.length,
        );
        if feel.length.is_some() {
            let answers = [text.feel_gritty, text.feel_smooth, text.feel_neither];
            question(sheet, "feel-rub", text.feel_rub, &answers, feel.rub);
        }
    }
    soil::offer(sheet, by_feel(feel), SoilFound::Feel);
    if feel != Feel::default() {
        sheet.key("", "feel-again", 0, text.feel_again);
    }
    sheet.put("</div>", &[]);
}

fn yes_no(sheet: &mut Sheet, verb: &str, words: &str, answer: Option<bool>) {
    let answers = [sheet.text.yes, sheet.text.no];
    question(
        sheet,
        verb,
        words,
        &answers,
        answer.map(|yes| u8::from(!yes)),
    );
}

fn question(sheet: &mut Sheet, verb: &str, words: &str, answers: &[&str], given: Option<u8>) {
    sheet.put(
        "<div class=\"finder\"><p class=\"question\">{}</p>",
        &[words],
    );
    const NUMBERS: [&str; 3] = ["0", "1", "2"];
    let mut list = [("", ""); 3];
    for ((place, answer), number) in list.iter_mut().zip(answers).zip(NUMBERS) {
        *place = (number, answer);
    }
    let given = given.map_or("", |given| NUMBERS[usize::from(given.min(2))]);
    sheet.choices(verb, 0, words, &list[..answers.len()], given);
    sheet.put("</div>", &[]);
}

/// Takes an answer.
pub fn act(session: Session, act: &Act) {
    let answer = act.of.parse::<u8>().ok();
    let yes = answer.map(|answer| answer == 0);
    session.change(|draft| match act.verb.as_str() {
        "feel-ball" => draft.feel.ball = yes,
        "feel-ribbon" => draft.feel.ribbon = yes,
        "feel-length" => draft.feel.length = answer,
        "feel-rub" => draft.feel.rub = answer,
        _ => draft.feel = Feel::default(),
    });
}
