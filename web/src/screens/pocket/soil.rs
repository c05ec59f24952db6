//! Soil: by name, by feel, by jar, by percent; a ring test or a timed run overrides the class.

use crate::signals::*;
use drycurb_core::ground::Texture;

use super::{feel, row};
use crate::document::{Condition, Ground, SoilFound};
use crate::dom::{El, el, key, memo};
use crate::field::Field;
use crate::parts::choice::{choice, choices, group};
use crate::parts::number_field::{number_field, number_fields};
use crate::parts::stopwatch::stopwatch;
use crate::parts::words::{Word, how, said};
use crate::session::{Row, Session};
use crate::station::{self, Sum};
use crate::text::fill;
use crate::units::Kind;

/// The row.
pub fn soil(session: Session) -> El {
    let value = move || {
        let text = session.text();
        match session.draft(station::texture) {
            Some(texture) => texture_word(texture)(text).to_string(),
            None => text.not_given.to_string(),
        }
    };
    let found = move || {
        let text = session.text();
        session.draft(|draft| {
            if station::texture(draft).is_none() {
                return String::new();
            }
            let ground = match draft.ground {
                Ground::Class => found_word(draft.soil_found)(text),
                Ground::Intake => text.sure_intake,
                Ground::Timed => text.sure_timed,
            };
            format!("{} · {ground}", condition_word(draft.condition)(text))
        })
    };
    row(session, Row::Soil, |t| t.soil, value, found, body)
}

/// The word for a class.
pub fn texture_word(texture: Texture) -> Word {
    match texture {
        Texture::Sand => |t| t.sand,
        Texture::LoamySand => |t| t.loamy_sand,
        Texture::SandyLoam => |t| t.sandy_loam,
        Texture::Loam => |t| t.loam,
        Texture::SiltLoam => |t| t.silt_loam,
        Texture::Silt => |t| t.silt,
        Texture::SandyClayLoam => |t| t.sandy_clay_loam,
        Texture::ClayLoam => |t| t.clay_loam,
        Texture::SiltyClayLoam => |t| t.silty_clay_loam,
        Texture::SandyClay => |t| t.sandy_clay,
        Texture::SiltyClay => |t| t.silty_clay,
        Texture::Clay => |t| t.clay,
    }
}

/// The word for a condition.
pub fn condition_word(condition: Condition) -> Word {
    match condition {
        Condition::Loose => |t| t.loose,
        Condition::Settled => |t| t.settled,
        Condition::Compacted => |t| t.compacted,
    }
}

/// The words for each condition, in full.
pub const CONDITIONS: [(Condition, Word); 3] = [
    (Condition::Loose, |t| t.loose_long),
    (Condition::Settled, |t| t.settled_long),
    (Condition::Compacted, |t| t.compacted_long),
];

fn found_word(found: SoilFound) -> Word {
    match found {
        SoilFound::Name => |t| t.by_name,
        SoilFound::Feel => |t| t.by_feel,
        SoilFound::Jar => |t| t.by_jar,
        SoilFound::Percent => |t| t.by_percent,
    }
}

/// Takes a class and how it was found.
pub fn take(session: Session, texture: Texture, found: SoilFound) {
    session.change(|draft| {
        draft.soil = Some(texture.word().to_string());
        draft.soil_found = found;
    });
}

fn body(session: Session) -> El {
    let way = RwSignal::new(session.draft_now(|d| d.soil_found));
    let finder = move || {
        Some(match way.get() {
            SoilFound::Name => by_name(session),
            SoilFound::Feel => feel::feel(session),
            SoilFound::Jar => by_jar(session),
            SoilFound::Percent => by_percent(session),
        })
    };
    let ways: [(SoilFound, Word); 4] = [
        (SoilFound::Name, |t| t.by_name),
        (SoilFound::Feel, |t| t.by_feel),
        (SoilFound::Jar, |t| t.by_jar),
        (SoilFound::Percent, |t| t.by_percent),
    ];
    let treat = move |condition| session.change(|d| d.condition = condition);
    el("div")
        .with(choices(
            session,
            |t| t.how_found,
            &ways,
            move || way.get(),
            move |found| way.set(found),
        ))
        .with_of(finder)
        .with(said(session, "h4", |t| t.condition))
        .with(choices(
            session,
            |t| t.condition,
            &CONDITIONS,
            move || session.draft(|d| d.condition),
            treat,
        ))
        .with(said(session, "h4", |t| t.rests_on))
        .with(rests_on(session))
}

fn by_name(session: Session) -> El {
    let keys = Texture::ALL.map(|texture| {
        choice(
            session,
            texture_word(texture),
            move || session.draft(station::texture) == Some(texture),
            move || take(session, texture, SoilFound::Name),
        )
    });
    el("div")
        .class("grid-keys")
        .with(group(session, |t| t.soil_class).with_all(keys))
}

fn by_jar(session: Session) -> El {
    el("div")
        .class("finder")
        .with(how(session, |t| t.jar_how))
        .with(number_fields(
            session,
            &[Field::JarSand, Field::JarSilt, Field::JarClay],
        ))
        .with_of(move || offer(session, session.draft(station::by_jar), SoilFound::Jar))
}

fn by_percent(session: Session) -> El {
    let fields = [Field::SandPercent, Field::SiltPercent, Field::ClayPercent];
    el("div")
        .class("finder")
        .with(number_fields(session, &fields))
        .with_of(move || {
            offer(
                session,
                session.draft(station::by_percent),
                SoilFound::Percent,
            )
        })
}

/// The class that was found, with a key to use it.
pub fn offer(session: Session, found: Sum, way: SoilFound) -> Option<El> {
    let texture = match found {
        Sum::Incomplete => return None,
        Sum::Wrong(sum) => {
            let say = move || {
                let sum = Kind::Percent.show(sum, session.units(), session.comma);
                fill(session.text().sum_wrong, &[("sum", &sum)])
            };
            return Some(el("p").class("note wrong").attr("role", "alert").say(say));
        }
        Sum::Class(texture) => texture,
    };
    let about = move |sentence: Word| {
        move || {
            let text = session.text();
            fill(sentence(text), &[("soil", texture_word(texture)(text))])
        }
    };
    let used = session.draft(|d| d.soil.as_deref() == Some(texture.word()) && d.soil_found == way);
    let result = el("div")
        .class("finder")
        .with(el("p").class("result").say(about(|t| t.makes_soil)));
    Some(if used {
        result
    } else {
        let take_it = key(move || take(session, texture, way)).class("main");
        result.with(take_it.say(about(|t| t.use_soil)))
    })
}

fn rests_on(session: Session) -> El {
    let list: [(Ground, Word); 3] = [
        (Ground::Class, |t| t.rests_class),
        (Ground::Intake, |t| t.rests_intake),
        (Ground::Timed, |t| t.rests_timed),
    ];
    let ground = memo(move || session.draft(|d| d.ground));
    let detail = move || match ground.get() {
        Ground::Class => None,
        Ground::Intake => Some(ring(session)),
        Ground::Timed => Some(timed(session)),
    };
    let rest = move |ground| session.change(|d| d.ground = ground);
    el("div")
        .class("finder")
        .with(choices(
            session,
            |t| t.rests_on,
            &list,
            move || ground.get(),
            rest,
        ))
        .with_of(detail)
}

fn timed(session: Session) -> El {
    let too_short = memo(move || session.shown.with(|s| s.lacking.timed_too_short));
    let alarm = move || {
        let line = || said(session, "p", |t| t.timed_too_short).class("note wrong");
        too_short.get().then(|| line().attr("role", "alert"))
    };
    el("div")
        .class("finder")
        .with(how(session, |t| t.timed_how))
        .with(stopwatch(session, Field::RunoffMinutes))
        .with(number_field(session, Field::RunoffMinutes))
        .with_of(alarm)
}

fn ring(session: Session) -> El {
    let gives = move || {
        let intake = session.draft(station::ring_intake)?;
        let about = move |sentence: Word| {
            move || {
                let value = Kind::Rate.show_with_sign(intake, session.units(), session.comma);
                fill(sentence(session.text()), &[("value", &value)])
            }
        };
        let use_it = key(move || session.put_number(Field::Intake, intake)).class("main");
        Some(
            el("div")
                .class("finder")
                .with(el("p").class("result").say(about(|t| t.ring_gives)))
                .with(use_it.say(about(|t| t.use_value))),
        )
    };
    el("div")
        .class("finder")
        .with(number_field(session, Field::Intake))
        .with(how(session, |t| t.ring_how))
        .with(number_fields(
            session,
            &[Field::RingDepth, Field::RingMinutes],
        ))
        .with(stopwatch(session, Field::RingMinutes))
        .with_of(gives)
}
