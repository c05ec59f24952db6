//! Soil: by name, by feel, by jar, by percent; a ring test or a timed run overrides the class.

use drycurb_core::ground::Texture;

use super::{feel, row};
use crate::document::{Condition, Ground, Named, SoilFound};
use crate::field::Field;
use crate::parts::stopwatch::stopwatch;
use crate::parts::words::Word;
use crate::session::{Row, Session, Whose};
use crate::sheet::{Act, Sheet};
use crate::station::{self, Sum};
use crate::text::{Text, fill};
use crate::units::Kind;

/// The row.
pub fn draw(sheet: &mut Sheet) {
    let text = sheet.text;
    let (class, found, condition, ground) = sheet.session.draft(|d| {
        let class = station::texture(d);
        (class, d.soil_found, d.condition, d.ground)
    });
    let value = class.map_or(text.not_given, |class| texture_word(class)(text));
    let ground = match ground {
        Ground::Class => found_word(found, text),
        Ground::Intake => text.sure_intake,
        Ground::Timed => text.sure_timed,
    };
    let how = match class {
        Some(_) => [condition_word(condition, text), " · ", ground].concat(),
        None => String::new(),
    };
    row(sheet, Row::Soil, text.soil, value, &how, body);
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
pub fn condition_word(condition: Condition, text: &Text) -> &'static str {
    match condition {
        Condition::Loose => text.loose,
        Condition::Settled => text.settled,
        Condition::Compacted => text.compacted,
    }
}

/// The words for each condition, in full.
pub const CONDITIONS: [(Condition, Word); 3] = [
    (Condition::Loose, |t| t.loose_long),
    (Condition::Settled, |t| t.settled_long),
    (Condition::Compacted, |t| t.compacted_long),
];

fn found_word(found: SoilFound, text: &Text) -> &'static str {
    match found {
        SoilFound::Name => text.by_name,
        SoilFound::Feel => text.by_feel,
        SoilFound::Jar => text.by_jar,
        SoilFound::Percent => text.by_percent,
    }
}

fn body(sheet: &mut Sheet) {
    let (session, text) = (sheet.session, sheet.text);
    let (found, condition, ground) = session.draft(|d| (d.soil_found, d.condition, d.ground));
    let way = session.pocket.with(|view| view.soil_way).unwrap_or(found);
    let ways = SoilFound::words(|way| found_word(way, text));
    sheet.choices("soil-way", 0, text.how_found, &ways, way.name());
    match way {
        SoilFound::Name => by_name(sheet),
        SoilFound::Feel => feel::draw(sheet),
        SoilFound::Jar => by_jar(sheet),
        SoilFound::Percent => by_percent(sheet),
    }
    sheet.put("<h4>{}</h4>", &[text.condition]);
    let conditions = CONDITIONS.map(|(condition, word)| (condition.name(), word(text)));
    sheet.choices(
        "condition",
        0,
        text.condition,
        &conditions,
        condition.name(),
    );
    sheet.put("<h4>{}</h4><div class=\"finder\">", &[text.rests_on]);
    let grounds = Ground::words(|ground| match ground {
        Ground::Class => text.rests_class,
        Ground::Intake => text.rests_intake,
        Ground::Timed => text.rests_timed,
    });
    sheet.choices("ground", 0, text.rests_on, &grounds, ground.name());
    match ground {
        Ground::Class => {}
        Ground::Intake => ring(sheet),
        Ground::Timed => timed(sheet),
    }
    sheet.put("</div>", &[]);
}

fn by_name(sheet: &mut Sheet) {
    let text = sheet.text;
    let list = Texture::ALL.map(|texture| (texture.word(), texture_word(texture)(text)));
    let now = sheet.session.draft(station::texture);
    sheet.put("<div class=\"grid-keys\">", &[]);
    let now = now.map_or("", Texture::word);
    sheet.choices("soil-name", 0, text.soil_class, &list, now);
    sheet.put("</div>", &[]);
}

fn by_jar(sheet: &mut Sheet) {
    let session = sheet.session;
    sheet.put(
        "<div class=\"finder\"><p class=\"how\">{}</p>",
        &[sheet.text.jar_how],
    );
    sheet.numbers_stepped(
        Whose::Draft,
        &[Field::JarSand, Field::JarSilt, Field::JarClay],
    );
    offer(sheet, session.draft(station::by_jar), SoilFound::Jar);
    sheet.put("</div>", &[]);
}

fn by_percent(sheet: &mut Sheet) {
    let session = sheet.session;
    let fields = [Field::SandPercent, Field::SiltPercent, Field::ClayPercent];
    sheet.put("<div class=\"finder\">", &[]);
    sheet.numbers_stepped(Whose::Draft, &fields);
    offer(
        sheet,
        session.draft(station::by_percent),
        SoilFound::Percent,
    );
    sheet.put("</div>", &[]);
}

/// The class that was found, with a key to use it.
pub fn offer(sheet: &mut Sheet, found: Sum, way: SoilFound) {
    let (session, text) = (sheet.session, sheet.text);
    let texture = match found {
        Sum::Incomplete => return,
        Sum::Wrong(sum) => {
            let sum = Kind::Percent.show(sum, session.units(), session.comma);
            let words = fill(text.sum_wrong, &[("sum", &sum)]);
            sheet.put("<p class=\"note wrong\" role=\"alert\">{}</p>", &[&words]);
            return;
        }
        Sum::Class(texture) => texture,
    };
    let about = |sentence| fill(sentence, &[("soil", texture_word(texture)(text))]);
    let used = session.draft(|d| d.soil.as_deref() == Some(texture.word()) && d.soil_found == way);
    sheet.put(
        "<div class=\"finder\"><p class=\"result\">{}</p>",
        &[&about(text.makes_soil)],
    );
    if !used {
        sheet.key_of(
            "main",
            "soil-use",
            way.name(),
            texture.word(),
            &about(text.use_soil),
        );
    }
    sheet.put("</div>", &[]);
}

fn timed(sheet: &mut Sheet) {
    let text = sheet.text;
    sheet.put(
        "<div class=\"finder\"><p class=\"how\">{}</p>",
        &[text.timed_how],
    );
    stopwatch(sheet, Field::RunoffMinutes);
    sheet.number_stepped(Whose::Draft, Field::RunoffMinutes);
    if sheet.session.shown.with(|s| s.lacking.timed_too_short) {
        sheet.put(
            "<p class=\"note wrong\" role=\"alert\">{}</p>",
            &[text.timed_too_short],
        );
    }
    sheet.put("</div>", &[]);
}

fn ring(sheet: &mut Sheet) {
    let (session, text) = (sheet.session, sheet.text);
    sheet.put("<div class=\"finder\">", &[]);
    sheet.number_stepped(Whose::Draft, Field::Intake);
    sheet.put("<p class=\"how\">{}</p>", &[text.ring_how]);
    sheet.numbers_stepped(Whose::Draft, &[Field::RingDepth, Field::RingMinutes]);
    stopwatch(sheet, Field::RingMinutes);
    if let Some(intake) = session.draft(station::ring_intake) {
        let value = Kind::Rate.show_with_sign(intake, session.units(), session.comma);
        let about = |sentence| fill(sentence, &[("value", &value)]);
        sheet.put(
            "<div class=\"finder\"><p class=\"result\">{}</p>",
            &[&about(text.ring_gives)],
        );
        sheet.key("main", "ring-use", 0, &about(text.use_value));
        sheet.put("</div>", &[]);
    }
    sheet.put("</div>", &[]);
}

/// What a hand did in the row.
pub fn act(session: Session, act: &Act) {
    match act.verb.as_str() {
        "soil-way" => session
            .pocket
            .update(|view| view.soil_way = SoilFound::of(&act.of)),
        "soil-name" => take(session, &act.of, SoilFound::Name),
        "soil-use" => take(
            session,
            &act.value,
            SoilFound::of(&act.of).unwrap_or_default(),
        ),
        "condition" => session.change(|d| d.condition = Condition::of(&act.of).unwrap_or_default()),
        "ground" => session.change(|d| d.ground = Ground::of(&act.of).unwrap_or_default()),
        "ring-use" => {
            if let Some(intake) = session.draft_now(station::ring_intake) {
                session.put_number(Field::Intake, intake);
            }
        }
        verb if verb.starts_with("feel-") => feel::act(session, act),
        _ => {}
    }
}

/// Takes a class and how it was found.
fn take(session: Session, class: &str, found: SoilFound) {
    session.change(|draft| {
        draft.soil = Some(class.to_string());
        draft.soil_found = found;
    });
}
