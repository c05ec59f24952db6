//! The feel test: four questions, one at a time, each answered with a tap.

use drycurb_core::ground::texture::field::{CLAY_RIBBON_M, LOAM_RIBBON_M};

use super::soil;
use crate::document::{Feel, SoilFound};
use crate::dom::{El, el, key, memo};
use crate::parts::choice::{choice, group};
use crate::parts::words::{Word, how, said};
use crate::session::Session;
use crate::station::by_feel;
use crate::text::fill;
use crate::units::Kind;

/// The questions still open, the answers given, and what they make.
pub fn feel(session: Session) -> El {
    let answers = memo(move || session.draft(|d| d.feel));
    let has_ball = memo(move || answers.get().ball == Some(true));
    let has_ribbon = memo(move || has_ball.get() && answers.get().ribbon == Some(true));
    let has_length = memo(move || has_ribbon.get() && answers.get().length.is_some());
    let again = move || {
        (answers.get() != Feel::default()).then(|| {
            key(move || session.change(|d| d.feel = Feel::default()))
                .word(session, |t| t.feel_again)
        })
    };
    el("div")
        .class("finder")
        .with(how(session, |t| t.feel_start))
        .with(yes_no(session, |t| t.feel_ball, |f| &mut f.ball))
        .with_of(move || {
            has_ball
                .get()
                .then(|| yes_no(session, |t| t.feel_ribbon, |f| &mut f.ribbon))
        })
        .with_of(move || has_ribbon.get().then(|| lengths(session)))
        .with_of(move || has_length.get().then(|| rub(session)))
        .with_of(move || soil::offer(session, by_feel(answers.get()), SoilFound::Feel))
        .with_of(again)
}

fn question(session: Session, words: Word) -> El {
    el("div")
        .class("finder")
        .with(said(session, "p", words).class("question"))
}

fn yes_no(session: Session, words: Word, place: fn(&mut Feel) -> &mut Option<bool>) -> El {
    let answers: [(bool, Word); 2] = [(true, |t| t.yes), (false, |t| t.no)];
    let keys = answers.map(|(answer, word)| {
        choice(
            session,
            word,
            move || *place(&mut session.draft(|d| d.feel)) == Some(answer),
            move || session.change(|d| *place(&mut d.feel) = Some(answer)),
        )
    });
    question(session, words).with(group(session, words).with_all(keys))
}

fn rub(session: Session) -> El {
    let answers: [Word; 3] = [|t| t.feel_gritty, |t| t.feel_smooth, |t| t.feel_neither];
    let keys = (0..3_u8).zip(answers).map(|(answer, word)| {
        choice(
            session,
            word,
            move || session.draft(|d| d.feel.rub) == Some(answer),
            move || session.change(|d| d.feel.rub = Some(answer)),
        )
    });
    question(session, |t| t.feel_rub).with(group(session, |t| t.feel_rub).with_all(keys))
}

/// The ribbon's length, in the reader's unit.
fn lengths(session: Session) -> El {
    let answers: [Word; 3] = [|t| t.feel_short, |t| t.feel_middle, |t| t.feel_long];
    let keys = (0..3_u8).zip(answers).map(|(answer, words)| {
        let say = move || {
            let show =
                |m: f64| Kind::Height.show_with_sign(1000.0 * m, session.units(), session.comma);
            let (short, long) = (show(LOAM_RIBBON_M), show(CLAY_RIBBON_M));
            let length = if answer == 0 { &short } else { &long };
            let values = [("length", length.as_str()), ("from", &short), ("to", &long)];
            fill(words(session.text()), &values)
        };
        key(move || session.change(|d| d.feel.length = Some(answer)))
            .flag("aria-pressed", move || {
                session.draft(|d| d.feel.length) == Some(answer)
            })
            .say(say)
    });
    question(session, |t| t.feel_length).with(group(session, |t| t.feel_length).with_all(keys))
}
