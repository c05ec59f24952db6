//! One station's facts, or those of several at once.

use drycurb_core::ground::Texture;
use drycurb_core::supply::wire::Diagnosis;

use super::list;
use super::view::View;
use crate::document::site::Supply;
use crate::document::{Condition, Document, Draft, Kept, Layout, Named, Plants, RateWay, SlopeWay};
use crate::field::Field;
use crate::night::hours_wrong;
use crate::parts::words::Word;
use crate::screens::pocket::{CONDITIONS, PLANTS, RATE_WAYS, catches_fault, texture_word};
use crate::session::{Session, Whose};
use crate::sheet::Sheet;
use crate::station::{self, number};
use crate::text::{Text, fill};
use crate::units::Kind;

/// A station of the open site.
pub fn one(sheet: &mut Sheet, view: &View, id: u32) {
    let session = sheet.session;
    let text = &sheet.text.site;
    let Some((name, note, photo)) = session.document.with(|d| {
        let kept = d.station(id)?;
        Some((kept.name.clone(), kept.note.clone(), kept.photo))
    }) else {
        sheet.key("", "back", 0, text.back);
        return;
    };
    let at = id.to_string();
    heading(sheet, &name, &at, !view.fresh);
    answer(sheet, id);
    sheet.entry("station-name", id, sheet.text.station_name, &name, "");
    let twin = |d: &Document| {
        let mut others = d.stations().filter(|kept| kept.id != id);
        others.any(|kept| kept.name.trim() == name.trim())
    };
    if session.document.with(twin) {
        sheet.put("<p class=\"how\">{}</p>", &[text.same_name]);
    }
    if view.fresh {
        sheet.focus = ["fresh-", &at].concat();
    }
    facts(sheet, Whose::Kept(id), id);
    sheet.put("<div class=\"entry\">", &[]);
    let more = fill(text.more_like, &[("n", "5")]);
    sheet.key("", "five", id, &more);
    sheet.key("", "pocket", id, text.to_pocket);
    sheet.key_for("", "delete", id, sheet.text.delete, &name);
    sheet.put("</div>", &[]);
    more_facts(sheet, Whose::Kept(id));
    own_rules(sheet, view, id);
    let rate_way = session.of(Whose::Kept(id)).draft(|draft| draft.rate_way);
    measured(sheet, id, station::rate_fields(rate_way));
    wires(sheet, id);
    fold(sheet, text.note_and_photo);
    sheet.entry("note", id, text.note, &note, "");
    photo_of(sheet, view, id, photo, &name);
    sheet.put("</details><div class=\"bar\">", &[]);
    sheet.key("", "back", 0, text.back);
    sheet.key("main", "like", id, text.like);
    let lines = session.lines.get();
    let place = lines.iter().position(|line| line.id == id);
    if let Some(next) = place.and_then(|place| lines.get(place + 1)) {
        sheet.key_for("", "station", next.id, text.next, &next.name);
    }
    sheet.put("</div>", &[]);
}

/// All that are picked.
pub fn many(sheet: &mut Sheet, view: &View) {
    let text = &sheet.text.site;
    let count = view.picked.as_ref().map_or(0, Vec::len).to_string();
    let words = fill(text.many_title, &[("n", &count)]);
    heading(sheet, &words, "many", true);
    sheet.put("<p class=\"how\">{}</p>", &[text.many_how]);
    facts(sheet, Whose::Picked, 0);
    more_facts(sheet, Whose::Picked);
    sheet.put("<div class=\"bar\">", &[]);
    sheet.key("main", "back", 0, text.done);
    let changed = sheet.session.document.with(|d| {
        view.before
            .iter()
            .any(|was| d.station(was.id).is_some_and(|kept| kept != was))
    });
    if changed {
        sheet.key("", "undo-many", 0, text.undo_changes);
    }
    sheet.put("</div>", &[]);
}

/// The heading; it takes the focus when another one is opened.
pub fn heading(sheet: &mut Sheet, words: &str, at: &str, focus: bool) {
    let focus = if focus {
        ["data-focus=h", at].concat()
    } else {
        String::new()
    };
    sheet.put("<h2 tabindex=\"-1\" {}>{}</h2>", &[&focus, words]);
}

/// Something folded, to be closed with `</details>`.
pub fn fold(sheet: &mut Sheet, words: &str) {
    sheet.put("<details class=\"fold\"><summary>{}</summary>", &[words]);
}

fn answer(sheet: &mut Sheet, id: u32) {
    let lines = sheet.session.lines.get();
    let line = lines.iter().find(|line| line.id == id);
    let said = match line.and_then(|line| line.answer.as_ref()) {
        Some(answer) => list::short(sheet.text, answer),
        None => sheet.text.site.lacking_how.to_string(),
    };
    sheet.put("<p class=\"result\" aria-live=\"polite\">{}</p>", &[&said]);
}

/// A list to choose from, of a document's words.
fn choose<T: Named>(
    sheet: &mut Sheet,
    verb: &str,
    at: u32,
    label: &str,
    words: &[(T, Word)],
    of: fn(&Draft) -> T,
) {
    let list = words
        .iter()
        .map(|(value, word)| (value.name(), word(sheet.text)))
        .collect();
    select(sheet, verb, at, label, list, &|kept| {
        of(&kept.draft).name().to_string()
    });
}

/// A list to choose from. Where several stations are meant and are not alike, it says so.
fn select(
    sheet: &mut Sheet,
    verb: &str,
    at: u32,
    label: &str,
    mut list: Vec<(&str, &str)>,
    of: &dyn Fn(&Kept) -> String,
) {
    let whose = match at {
        0 => Whose::Picked,
        id => Whose::Kept(id),
    };
    let ids = sheet.session.of(whose).stations();
    let (now, differs) = sheet.session.document.with(|d| {
        let mut all = ids.iter().filter_map(|id| d.station(*id)).map(of);
        let first = all.next().unwrap_or_default();
        let differs = all.any(|other| other != first);
        (first, differs)
    });
    if differs {
        list.push(("-", sheet.text.site.differs));
    }
    let now = if differs { "-" } else { &now };
    sheet.select(verb, at, label, &list, now);
}

/// The facts that an answer and a night need.
fn facts(sheet: &mut Sheet, whose: Whose, at: u32) {
    let text = sheet.text;
    let session = sheet.session.of(whose);
    let draft = session.draft(Draft::clone);
    sheet.put("<div class=\"three\">", &[]);
    if draft.rate_way != RateWay::Area {
        sheet.number(whose, Field::RateFlow);
    }
    match draft.slope_way {
        SlopeWay::Percent => sheet.number(whose, Field::Slope),
        SlopeWay::Degrees => sheet.number(whose, Field::SlopeDegrees),
        SlopeWay::RiseRun => {
            sheet.number(whose, Field::SlopeRise);
            sheet.number(whose, Field::SlopeRun);
        }
    }
    let mut soils: Vec<(&str, &str)> = vec![("", text.not_given)];
    soils.extend(
        Texture::ALL
            .iter()
            .map(|soil| (soil.word(), texture_word(*soil)(text))),
    );
    select(sheet, "soil", at, text.soil, soils, &|kept| {
        kept.draft.soil.clone().unwrap_or_default()
    });
    choose::<Condition>(
        sheet,
        "condition",
        at,
        text.condition,
        &CONDITIONS,
        |draft| draft.condition,
    );
    choose(sheet, "rate-way", at, text.rate, &RATE_WAYS, |draft| {
        draft.rate_way
    });
    for field in station::rate_fields(draft.rate_way) {
        sheet.number(whose, *field);
    }
    match draft.rate_way {
        RateWay::Spacing => {
            let layouts: [(Layout, Word); 2] = [
                (Layout::Square, |t| t.square),
                (Layout::Triangle, |t| t.triangle),
            ];
            choose(sheet, "layout", at, text.layout, &layouts, |draft| {
                draft.layout
            });
        }
        RateWay::Cans if at > 0 => {
            let fault = catches_fault(text, &station::cans(&draft), &draft.catches);
            sheet.fault(fault.as_deref().unwrap_or_default());
            sheet.entry("catches", at, text.catches, &draft.catches, "");
        }
        _ => {}
    }
    choose::<Plants>(sheet, "plants", at, text.plants, &PLANTS, |draft| {
        draft.plants
    });
    if draft.plants == Plants::Typed {
        sheet.number(whose, Field::PlantFactor);
    }
    supplies(sheet, at);
    sheet.put("</div>", &[]);
    if let (true, Ok(Some(rate))) = (
        draft.rate_way != RateWay::Typed,
        station::rate_mm_per_h(&draft),
    ) {
        let rate = Kind::Rate.show_with_sign(rate, session.units(), session.comma);
        sheet.put("<p class=\"note\">{}: {}</p>", &[text.rate, &rate]);
    }
}

fn supplies(sheet: &mut Sheet, at: u32) {
    let all = sheet.session.document.with(|d| d.site().supplies.clone());
    if all.len() < 2 {
        return;
    }
    let names: Vec<(String, String)> = all
        .iter()
        .enumerate()
        .map(|(place, supply)| {
            (
                supply.id.to_string(),
                supply_name(sheet.text, supply, place),
            )
        })
        .collect();
    let list: Vec<(&str, &str)> = names.iter().map(|(id, n)| (&**id, &**n)).collect();
    let label = sheet.text.site.supply;
    select(sheet, "supply", at, label, list, &|kept| {
        kept.supply.to_string()
    });
}

/// A supply's name, or what stands for none.
pub fn supply_name(text: &Text, supply: &Supply, place: usize) -> String {
    if supply.name.is_empty() {
        let n = (place + 1).to_string();
        fill(text.night.supply_n, &[("n", &n)])
    } else {
        supply.name.clone()
    }
}

fn more_facts(sheet: &mut Sheet, whose: Whose) {
    fold(sheet, sheet.text.site.more_facts);
    let fields = [
        Field::Uniformity,
        Field::RootDepth,
        Field::Depletion,
        Field::Rain,
        Field::Days,
    ];
    sheet.numbers(whose, &fields);
    sheet.put("</details>", &[]);
}

/// When the station may water, and beside whom it may not.
fn own_rules(sheet: &mut Sheet, view: &View, id: u32) {
    let text = &sheet.text.site;
    let session = sheet.session;
    fold(sheet, text.own_rules);
    session.document.with(|d| {
        let Some(kept) = d.station(id) else { return };
        let fault = sheet.text.night.fault_hours;
        let (from, until) = &kept.hours;
        let [no_from, no_until] = hours_wrong(&kept.hours);
        sheet.fault(if no_from { fault } else { "" });
        sheet.entry("own-from", id, text.own_from, from, "");
        sheet.fault(if no_until { fault } else { "" });
        sheet.entry("own-until", id, text.own_until, until, "");
        let is_apart = |other: &&Kept| kept.apart.contains(&other.id) || other.apart.contains(&id);
        for other in d.stations().filter(is_apart) {
            sheet.put("<p>{}: {}</p>", &[text.apart, &other.name]);
            sheet.key_for("", "apart-away", other.id, text.apart_away, &other.name);
        }
        if view.apart_of != id {
            return sheet.key("", "apart-list", id, text.apart);
        }
        let mut list = vec![(String::new(), sheet.text.not_given)];
        let free = |other: &&Kept| other.id != id && !is_apart(other);
        for other in d.stations().filter(free) {
            list.push((other.id.to_string(), &other.name));
        }
        let list: Vec<(&str, &str)> = list.iter().map(|(id, name)| (&**id, *name)).collect();
        sheet.select("apart", id, text.apart, &list, "");
    });
    sheet.put("</details>", &[]);
}

/// The flow by what waters and as measured, and what a difference suggests. Numbers `shown` above
/// are not asked for again.
pub fn measured(sheet: &mut Sheet, id: u32, shown: &[Field]) {
    let text = &sheet.text.site;
    let whose = Whose::Kept(id);
    let session = sheet.session.of(whose);
    let draft = session.draft(Draft::clone);
    let off = station::flow_off(&draft).map(|off| {
        let words = if off > station::FLOW_OFF {
            text.flow_more
        } else if off < -station::FLOW_OFF {
            text.flow_less
        } else {
            text.flow_as_expected
        };
        let percent = crate::numbers::write(100.0 * off.abs(), 0, session.comma);
        fill(words, &[("percent", &percent)])
    });
    let off = off.unwrap_or_default();
    fold(sheet, text.count);
    sheet.put("<p class=\"how\">{}</p>", &[text.count_how]);
    numbers_but(sheet, whose, &station::COUNTED, shown);
    if let Some(counted) = station::counted_l_per_min(&draft) {
        let flow = flow_words(session, counted);
        let counted = fill(text.counted, &[("flow", &flow)]);
        sheet.put("<p class=\"result\">{} {}</p>", &[&counted, &off]);
        let words = fill(text.use_flow, &[("flow", &flow)]);
        sheet.key("", "use-count", id, &words);
    }
    sheet.put("</details>", &[]);
    fold(sheet, text.measured_flow);
    sheet.put("<p class=\"how\">{}</p>", &[text.measured_how]);
    let fields = [Field::MeterVolume, Field::MeterMinutes, Field::MeasuredFlow];
    numbers_but(sheet, whose, &fields, shown);
    if let [Some(volume), Some(minutes)] =
        [Field::MeterVolume, Field::MeterMinutes].map(|field| number(&draft, field).ok().flatten())
    {
        let flow = flow_words(session, volume / minutes);
        let words = fill(text.use_flow, &[("flow", &flow)]);
        sheet.key("", "use-flow", id, &words);
    }
    sheet.put("<p class=\"result\">{}</p></details>", &[&off]);
}

fn numbers_but(sheet: &mut Sheet, whose: Whose, fields: &[Field], shown: &[Field]) {
    sheet.put("<div class=\"three\">", &[]);
    for field in fields.iter().filter(|field| !shown.contains(field)) {
        sheet.number(whose, *field);
    }
    sheet.put("</div>", &[]);
}

/// A flow with its unit.
pub fn flow_words(session: Session, l_per_min: f64) -> String {
    Kind::Flow.show_with_sign(l_per_min, session.units(), session.comma)
}

/// Coil and wires as an ohmmeter reads them at the clock.
pub fn wires(sheet: &mut Sheet, id: u32) {
    let text = &sheet.text.site;
    let whose = Whose::Kept(id);
    let session = sheet.session.of(whose);
    let draft = session.draft(Draft::clone);
    fold(sheet, text.wires);
    sheet.put(
        "<p class=\"care\">{} {}</p><p class=\"how\">{}</p>",
        &[sheet.text.care_power, sheet.text.care_wet, text.wires_how],
    );
    let fields = [
        Field::CoilOhm,
        Field::WireLength,
        Field::WireGauge,
        Field::LoopOhm,
    ];
    sheet.numbers(whose, &fields);
    if let Some(found) = station::loop_reading(&draft) {
        let words = match found.diagnosis {
            Diagnosis::AsExpected => text.loop_as_expected,
            Diagnosis::Open => text.loop_open,
            Diagnosis::High => text.loop_high,
            Diagnosis::Leaky => text.loop_leaky,
            Diagnosis::Short => text.loop_short,
        };
        let expected = Kind::Ohm.show_with_sign(found.expected_ohm, session.units(), session.comma);
        let words = fill(words, &[("ohm", &expected)]);
        sheet.put("<p class=\"result\">{}</p>", &[&words]);
    }
    sheet.put("</details>", &[]);
}

/// The photo, or the key that takes one.
pub fn photo_of(sheet: &mut Sheet, view: &View, id: u32, photo: Option<u32>, name: &str) {
    let text = &sheet.text.site;
    if let Some(photo) = photo {
        let alt = fill(text.photo_of, &[("name", name)]);
        sheet.put(
            "<img class=\"photo\" data-shown=\"{}\" alt=\"{}\">",
            &[&photo.to_string(), &alt],
        );
        sheet.key("", "no-photo", id, text.photo_away);
    }
    sheet.put(
        "<label class=\"file\">{}<input type=\"file\" accept=\"image/*\" capture=\"environment\" \
         data-photo=\"photo\" data-at=\"{}\" {}></label>",
        &[
            text.photo,
            &id.to_string(),
            if view.no_photo {
                "aria-describedby=no-photo"
            } else {
                ""
            },
        ],
    );
    if view.no_photo {
        sheet.put(
            "<p class=\"note wrong\" role=\"alert\" id=\"no-photo\">{}</p>",
            &[text.photo_failed],
        );
    }
}
