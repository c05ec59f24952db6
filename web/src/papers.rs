//! Papers of the open site: from the document to sums, files and back. No browser here.

pub mod stations;

use drycurb_core::money::{Money, decimal};
use drycurb_core::need::repair::months_to_pay;
use drycurb_core::paper::quote::{self, Hundredths, LineSum, Quote, TaxOn, Terms};
use drycurb_core::paper::saving::{self, Compared};
use serde_json::Value;

use crate::document::present::Planned;
use crate::document::{Document, Fault, Kept, Line, NotADocument, Site, Words};
use crate::night::now;
use crate::numbers;
use crate::year::{self, tariff};

/// A quote with what is not understood in it.
pub struct Sums {
    /// What it comes to; `Err` names the line that is too much, or none.
    pub quote: Result<Quote, Option<usize>>,
    /// Of each line whether its count, price and minutes are not understood; what is not counts nothing.
    pub wrong: Vec<[bool; 3]>,
    /// Terms that are not understood, by their words.
    pub terms_wrong: Vec<&'static str>,
}

/// An amount as typed; nothing typed is 0.
fn amount(text: &str, places: usize, wrong: &mut bool) -> u64 {
    if text.trim().is_empty() {
        return 0;
    }
    decimal::read(text, places).unwrap_or_else(|_| {
        *wrong = true;
        0
    })
}

fn small(text: &str, places: usize, wrong: &mut bool) -> u32 {
    u32::try_from(amount(text, places, wrong)).unwrap_or_else(|_| {
        *wrong = true;
        0
    })
}

/// The terms as typed.
fn terms(own: &Words, wrong: &mut Vec<&'static str>) -> Terms {
    let mut get = |name: &'static str, places: usize| {
        let mut bad = false;
        let found = amount(own.get(name), places, &mut bad);
        let small = u32::try_from(found).ok();
        // Money may be more than the others can.
        if bad || small.is_none() && !matches!(name, "hour" | "trip") {
            wrong.push(name);
        }
        (found, small.unwrap_or(0))
    };
    Terms {
        hour: get("hour", 2).0,
        trip: get("trip", 2).0,
        trip_minutes: get("trip_minutes", 0).1,
        markup: get("markup", 2).1,
        tax: get("tax", 2).1,
        tax_on: match own.get("tax_on") {
            "line" => TaxOn::EachLine,
            _ => TaxOn::Total,
        },
        work_taxed: own.get("work_taxed") == "true",
    }
}

/// Adds up the open site's quote.
pub fn sums(document: &Document) -> Sums {
    let mut terms_wrong = Vec::new();
    let terms = terms(&document.own, &mut terms_wrong);
    let mut wrong = Vec::new();
    let mut lines = Vec::new();
    for line in &document.site().quote {
        let mut bad = [false; 3];
        lines.push(quote::Line {
            count_thousandths: amount(&line.count, 3, &mut bad[0]),
            price: amount(&line.price, 2, &mut bad[1]),
            minutes_each: small(&line.minutes, 0, &mut bad[2]),
        });
        wrong.push(bad);
    }
    let quote = quote::quote(&lines, &terms).map_err(|fault| {
        let at = fault.field.strip_prefix("lines[")?.strip_suffix(']')?;
        at.parse().ok()
    });
    Sums {
        quote,
        wrong,
        terms_wrong,
    }
}

/// What a line's parts and work come to.
pub fn of_line(sum: &LineSum) -> Hundredths {
    sum.parts + sum.work
}

/// The week that was compared: what is keyed now against the plan, as the document keeps it.
#[derive(Clone, Debug, PartialEq)]
pub struct Comparison {
    /// The day, `2026-11-25`.
    pub on: String,
    /// The litres, and the month they are for.
    pub week: Compared,
    /// Programs, plan or facts are others by now.
    pub old: bool,
}

/// The comparison that the open site keeps; `None` where there is none.
pub fn comparison(document: &Document) -> Option<Comparison> {
    let words = &document.site().words;
    let litres = |name| numbers::read(words.get(name)).ok();
    let month = words.get("compared_month").parse::<u32>().ok();
    let month = month.filter(|month| (1..=12).contains(month))?;
    let week = Compared {
        month: month as usize - 1,
        now_litres: litres("compared_now")?,
        plan_litres: litres("compared_plan")?,
    };
    Some(Comparison {
        on: words.get("compared_on").into(),
        week,
        old: now::mark(document) != words.get("compared_of"),
    })
}

/// What a year with the plan saves against what is used now.
#[derive(Clone, Debug, PartialEq)]
pub struct Saving {
    /// Litres.
    pub litres: u64,
    /// Money; none without prices.
    pub money: Option<Money>,
    /// Months until it has paid for the quote; none without prices, or where it never does.
    pub months: Option<u32>,
    /// The week it rests on, and how many like it are in the year, now and as planned; none where a
    /// year was typed.
    pub of: Option<(Comparison, [f64; 2])>,
}

/// Whether something is saved.
#[derive(Clone, Debug, PartialEq)]
pub enum Saves {
    /// What is used now is neither typed nor compared.
    NotKnown,
    /// What was typed is not understood.
    NotUnderstood,
    /// The year of the plan cannot be made: no climate, or no plants that are understood.
    NoYear,
    /// So many stations' water is not in the year of the plan.
    Lacks(usize),
    /// In the month that was compared nothing is needed.
    NoNeed,
    /// Nothing is saved.
    No,
    /// This much.
    This(Saving),
}

/// The saving: of a typed year's use, else of the week that was compared.
pub fn saving(document: &Document, total: Hundredths) -> Saves {
    let site = document.site();
    let typed = site.words.get("now_use").trim();
    let week = comparison(document).filter(|_| typed.is_empty());
    let now = year::billed_litres(site, typed);
    if now.is_none() && week.is_none() {
        return if typed.is_empty() {
            Saves::NotKnown
        } else {
            Saves::NotUnderstood
        };
    }
    let Some(wanted) = year::wanted(document) else {
        return Saves::NoYear;
    };
    let Ok(rows) = year::rows(&wanted, None) else {
        return Saves::NoYear;
    };
    let lacks = rows.usual.without_area + wanted.missing.len();
    let tariff = tariff(site);
    let found = match (now, &week) {
        // A whole site's bill is not the plan's of a part of it.
        (Some(_), _) if lacks > 0 => return Saves::Lacks(lacks),
        (Some(now), _) => saving::against_year(&rows.usual, now, tariff.as_ref()),
        (None, Some(week)) => saving::against_week(&rows.usual, &week.week, tariff.as_ref()),
        (None, None) => return Saves::NotKnown,
    };
    let Ok(Some(found)) = found else {
        return Saves::NoNeed;
    };
    let Some(litres) = u64::try_from(found.litres)
        .ok()
        .filter(|litres| *litres > 0)
    else {
        return Saves::No;
    };
    let paid = |money| months_to_pay(u32::try_from(total).ok()?, money);
    Saves::This(Saving {
        litres,
        money: found.money,
        months: found.money.and_then(paid),
        of: week.zip(found.weeks),
    })
}

/// Fills the quote with what was counted on the walk, at the technician's own prices. Lines that
/// were typed stay.
pub fn take_walk(document: &mut Document) {
    let mut counts: Vec<(Fault, u32)> = Vec::new();
    for (fault, count) in document.stations().flat_map(|kept| &kept.faults) {
        match counts.iter_mut().find(|(one, _)| one == fault) {
            Some((_, sum)) => *sum += count,
            None => counts.push((*fault, *count)),
        }
    }
    for (fault, count) in counts {
        put_line(document, fault_name(fault), &count.to_string());
    }
}

/// A fault's name in the document.
pub fn fault_name(fault: Fault) -> &'static str {
    crate::document::Named::name(fault)
}

/// Sets the count of a line, which is added at the technician's own price where there is none yet.
pub fn put_line(document: &mut Document, what: &str, count: &str) {
    let price = document.prices.iter().find(|line| line.what == what);
    let price = price.cloned().unwrap_or_default();
    let quote = &mut document.site_mut().quote;
    match quote.iter_mut().find(|line| line.what == what) {
        Some(line) => line.count = count.into(),
        None => quote.push(Line {
            what: what.into(),
            count: count.into(),
            ..price
        }),
    }
}

/// Changes a line, and the technician's own price of the same thing with it.
pub fn change_line(document: &mut Document, at: usize, part: &str, text: &str) {
    let Some(line) = document.site_mut().quote.get_mut(at) else {
        return;
    };
    match part {
        "what" => line.what = text.into(),
        "count" => line.count = text.into(),
        "price" => line.price = text.into(),
        _ => line.minutes = text.into(),
    }
    if matches!(part, "what" | "count") {
        return;
    }
    let learnt = Line {
        count: String::new(),
        ..line.clone()
    };
    document.prices.retain(|price| price.what != learnt.what);
    document.prices.push(learnt);
}

/// A document that holds one site and nothing else. (It is copied by way of its text: the machinery
/// for that is there anyway.)
pub fn only_site(document: &Document) -> Document {
    one_site(document, document.site().id)
}

fn one_site(document: &Document, id: u32) -> Document {
    let mut all = copy(document);
    all.sites.retain(|site| site.id == id);
    all.kept.retain(|kept| kept.site == id);
    let ids: Vec<u32> = all.kept.iter().map(|kept| kept.id).collect();
    for site in &mut all.sites {
        renumber_plan(&mut site.planned, &|id| ids.contains(&id).then_some(id));
    }
    Document {
        site: id,
        sites: all.sites,
        kept: all.kept,
        ..Document::default()
    }
}

/// Whether a site's plan stays behind when the site is taken to another phone.
pub fn loses_plan(document: &Document, site: &Site) -> bool {
    let alone = one_site(document, site.id);
    !site.planned.answer.is_null() && alone.site().planned.answer.is_null()
}

/// Without the numbers of photos: what goes out without them must not name them.
pub fn without_photos(document: &Document) -> Document {
    let mut all = copy(document);
    for kept in all_stations(&mut all) {
        kept.photo = None;
    }
    all
}

/// Gives photos other numbers: those in a file and those here by turns. One that is in neither was
/// not in the file.
pub fn renumber_photos(document: &mut Document, pairs: &[u32], came: &[u32]) {
    for kept in all_stations(document) {
        let Some(number) = kept.photo else {
            continue;
        };
        let taken = pairs.chunks_exact(2).find(|pair| pair[0] == number);
        kept.photo = match taken {
            Some(pair) => Some(pair[1]),
            // It came, and could not be kept here.
            None if came.contains(&number) => None,
            None => Some(number),
        };
    }
}

fn all_stations(document: &mut Document) -> impl Iterator<Item = &mut Kept> {
    let gone = document.gone.iter_mut().flat_map(|gone| &mut gone.kept);
    let kept = document.kept.iter_mut().chain(&mut document.deleted);
    kept.chain(gone)
}

fn copy(document: &Document) -> Document {
    Document::read(&document.write()).unwrap_or_default()
}

/// Reads what a file or a scan holds: the document's JSON, alone, in a text, or in a card.
pub fn read(text: &str) -> Result<Document, NotADocument> {
    let from = text.find(CARD_DATA).map_or(0, |at| at + CARD_DATA.len());
    let text = &text[from..];
    let text = text.split("</script>").next().unwrap_or_default();
    match (text.find('{'), text.rfind('}')) {
        (Some(first), Some(last)) if first < last => Document::read(&text[first..=last]),
        _ => Err(NotADocument::Unreadable),
    }
}

/// What stands before the data in a card's file.
pub const CARD_DATA: &str = "id=\"drycurb-data\">";

/// A file's name with the site's in it: letters, digits and what is not ASCII; the rest as strokes.
pub fn file_name(name: &str, rest: &str) -> String {
    let mut out = String::from("drycurb-");
    for letter in name.chars().take(40) {
        // (The library's tables of letters weigh more than all of this file.)
        if letter.is_ascii_alphanumeric() || !letter.is_ascii() && !letter.is_whitespace() {
            out.push(letter);
        } else if !out.ends_with('-') {
            out.push('-');
        }
    }
    if !out.ends_with('-') {
        out.push('-');
    }
    out.push_str(rest);
    out
}

/// What a site that came in is to this phone.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Known {
    /// No site here has its name.
    New,
    /// One here is the same in everything.
    Same,
    /// One here has its name and differs.
    Differs,
}

/// The site and its stations with numbers of their own counted from 1, so that two phones' compare.
fn leveled(document: &Document, site: u32) -> Document {
    let mut alone = one_site(document, site);
    renumber(&mut alone, 1, 1);
    alone
}

/// Gives a document's only site and its stations other numbers.
fn renumber(document: &mut Document, site: u32, first: u32) {
    document.site = document.sites[0].id;
    let compared = comparison(document).filter(|compared| !compared.old);
    document.site = site;
    document.sites[0].id = site;
    let present = &mut document.sites[0].present.programs;
    for minutes in present.iter_mut().flat_map(|program| &mut program.minutes) {
        let place = document.kept.iter().position(|kept| kept.id == minutes.0);
        minutes.0 = place.map_or(0, |place| first + place as u32);
    }
    let ids: Vec<u32> = document.kept.iter().map(|kept| kept.id).collect();
    for (kept, id) in document.kept.iter_mut().zip(first..) {
        // Who is gone is forgotten.
        let place = |other: &u32| ids.iter().position(|id| id == other);
        let others = kept.apart.iter().filter_map(place);
        kept.apart = others.map(|place| first + place as u32).collect();
        kept.id = id;
        kept.site = site;
    }
    let new_id = |old: u32| {
        let place = ids.iter().position(|id| *id == old);
        place.map(|place| first + place as u32)
    };
    renumber_plan(&mut document.sites[0].planned, &new_id);
    // What was compared still holds, under the new numbers.
    if compared.is_some() {
        let mark = now::mark(document);
        document.sites[0].words.set("compared_of", &mark);
    }
}

/// What stands between numbers where there is one only.
const ALONE: &str = "\0";

/// Gives the stations of a plan other numbers. A plan that names one that is gone is forgotten: its
/// number may be another's on this phone.
fn renumber_plan(planned: &mut Planned, new_id: &dyn Fn(u32) -> Option<u32>) {
    // Numbers of stations in a text, with something between them; a lone one holds no `ALONE`.
    let in_text = |text: &str, between: &str| {
        let ids = text.split(between).map(|id| new_id(id.parse().ok()?));
        let ids: Option<Vec<String>> = ids.map(|id| Some(id?.to_string())).collect();
        Some(ids?.join(between))
    };
    let in_ticks = |tick: &String| {
        let parts: Vec<&str> = tick.split(' ').collect();
        // Days and starts name no station; a step does.
        let [program, step, stations, seconds] = parts[..] else {
            return Some(tick.clone());
        };
        let stations = in_text(stations, "+")?;
        Some([program, step, &stations, seconds].join(" "))
    };
    let ticks: Option<Vec<String>> = planned.ticks.iter().map(in_ticks).collect();
    match (ticks, renumber_value(&mut planned.answer, "", &in_text)) {
        (Some(ticks), Some(())) => planned.ticks = ticks,
        _ => *planned = Planned::default(),
    }
}

/// The same for what stands under a name in the answer. `None` where a station is gone.
fn renumber_value(
    value: &mut Value,
    name: &str,
    in_text: &dyn Fn(&str, &str) -> Option<String>,
) -> Option<()> {
    match value {
        Value::Object(object) => {
            for (name, value) in object.iter_mut() {
                renumber_value(value, name, in_text)?;
            }
        }
        Value::Array(list) => {
            for value in list {
                renumber_value(value, name, in_text)?;
            }
        }
        Value::String(text) => match name {
            "station" | "stations" | "too_seldom" => *text = in_text(text, ALONE)?,
            // Of each run three numbers, the first its station's.
            "runs" => {
                let mut renamed = String::with_capacity(text.len());
                for (at, number) in text.split_whitespace().enumerate() {
                    let number = match at % 3 {
                        0 => &in_text(number, ALONE)?,
                        _ => number,
                    };
                    renamed.push_str(number);
                    renamed.push(' ');
                }
                *text = renamed;
            }
            _ => {}
        },
        _ => {}
    }
    Some(())
}

/// Whether a phone holds nothing that could be lost.
pub fn is_blank(document: &Document) -> bool {
    let mut all = copy(document);
    all.prefs = Default::default();
    all.write() == Document::default().write()
}

/// Each site that came in, and what it is to this phone.
pub fn compare(here: &Document, incoming: &Document) -> Vec<Known> {
    let sites = incoming.sites.iter().map(|site| {
        let same = here.sites.iter().filter(|one| one.name == site.name);
        let mut same = same.peekable();
        if same.peek().is_none() {
            return Known::New;
        }
        let mut coming = leveled(incoming, site.id);
        // What was ticked while keying is no fact, nor is a number by which a calendar knows the site.
        let bare = |alone: &mut Document| {
            alone.sites[0].planned.ticks.clear();
            alone.sites[0].words.set("calendar_id", "");
        };
        bare(&mut coming);
        let has_plan = !coming.sites[0].planned.answer.is_null();
        let written = coming.write();
        let alike = |one: &Site| {
            let mut one = leveled(here, one.id);
            bare(&mut one);
            if !has_plan {
                one.sites[0].planned = Planned::default();
            }
            // Photos that did not come make no difference.
            for (kept, coming) in one.kept.iter_mut().zip(&coming.kept) {
                kept.photo = kept.photo.filter(|_| coming.photo.is_some());
            }
            one.write() == written
        };
        if same.any(alike) {
            Known::Same
        } else {
            Known::Differs
        }
    });
    sites.collect()
}

/// Takes what came in: on a blank phone all of it, else the sites that are not here the same, beside
/// those that are. Nothing here is overwritten.
pub fn merge(here: &mut Document, incoming: &Document) {
    if is_blank(here) {
        *here = copy(incoming);
        return;
    }
    for (site, known) in incoming.sites.iter().zip(compare(here, incoming)) {
        if known == Known::Same {
            continue;
        }
        let mut alone = leveled(incoming, site.id);
        let id = here.fresh_site_id();
        renumber(&mut alone, id, here.fresh_id());
        here.sites.append(&mut alone.sites);
        here.kept.append(&mut alone.kept);
        here.site = id;
    }
    for price in &incoming.prices {
        if here.prices.iter().all(|one| one.what != price.what) {
            here.prices.push(price.clone());
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_bears_its_sites_name() {
        assert_eq!(
            file_name("Patio / Añil (2)", "a.csv"),
            "drycurb-Patio-Añil-2-a.csv"
        );
        assert_eq!(file_name("", "a.csv"), "drycurb-a.csv");
        assert_eq!(file_name("../..", "a.csv"), "drycurb-a.csv");
    }
    use crate::document::Climate;
    use crate::document::present::Program;
    use crate::field::Field;

    fn phone() -> Document {
        let mut document = Document::default();
        document.site_mut().name = "Marrow Court".into();
        for id in 1..=2 {
            document.kept.push(Kept {
                id,
                name: format!("Bank {id}"),
                site: 1,
                supply: 1,
                apart: vec![id + 1],
                faults: vec![(Fault::BrokenHead, id), (Fault::Wiring, 1)],
                ..Kept::default()
            });
        }
        document
    }

    /// By hand: 1 + 2 heads at 12.00 and 10 minutes, 2 wires at 3.50; an hour is 60.00.
    #[test]
    fn the_walk_becomes_a_quote_at_own_prices() {
        let mut document = phone();
        document.own.set("hour", "60");
        document.prices.push(Line {
            what: "broken_head".into(),
            price: "12".into(),
            minutes: "10".into(),
            ..Line::default()
        });
        take_walk(&mut document);
        change_line(&mut document, 1, "price", "3,50");
        let sums = sums(&document);
        assert_eq!(sums.quote.unwrap().total, 3 * 1200 + 3 * 1000 + 2 * 350);
        // The price typed is the technician's own from now on.
        assert_eq!(document.prices[1].price, "3,50");
        assert_eq!(document.prices[1].count, "");
        document.site_mut().quote.clear();
        put_line(&mut document, "wiring", "1");
        assert_eq!(document.site().quote[0].price, "3,50");
    }

    #[test]
    fn what_is_not_understood_counts_nothing_and_is_named() {
        let mut document = phone();
        document.own.set("tax", "x");
        put_line(&mut document, "wiring", "1");
        change_line(&mut document, 0, "price", "1,250");
        let sums = sums(&document);
        assert_eq!(sums.wrong, [[false, true, false]]);
        assert_eq!(sums.terms_wrong, ["tax"]);
        assert_eq!(sums.quote.unwrap().total, 0);
    }

    #[test]
    fn a_file_is_found_in_a_text_and_in_a_card() {
        let document = phone();
        let data = document.write();
        assert_eq!(read(&format!("Drycurb.\n{data}\n")), Ok(document.clone()));
        let card = format!("<html>{{}}<script {CARD_DATA}{data}</script></html>");
        assert_eq!(read(&card), Ok(document));
        assert_eq!(read("hello"), Err(NotADocument::Unreadable));
        assert_eq!(read("{\"version\":99}"), Err(NotADocument::Newer));
    }

    #[test]
    fn a_blank_phone_becomes_the_other_to_the_letter() {
        let mut here = Document::default();
        merge(&mut here, &phone());
        assert_eq!(here.write(), phone().write());
    }

    #[test]
    fn what_is_here_stays_and_what_differs_comes_beside_it() {
        let mut here = phone();
        here.site_mut().name = "Elder Row".into();
        assert_eq!(compare(&here, &phone()), [Known::New]);
        merge(&mut here, &phone());
        assert_eq!((here.sites.len(), here.kept.len()), (2, 4));
        let mut ids: Vec<u32> = here.kept.iter().map(|kept| kept.id).collect();
        ids.dedup();
        assert_eq!(ids, [1, 2, 3, 4]);
        let apart = here.kept.iter().map(|kept| kept.apart.clone());
        assert_eq!(
            apart.collect::<Vec<_>>(),
            [vec![2], vec![3], vec![4], vec![]]
        );
        assert_eq!(here.stations().count(), 2);
        // The same once more, under other numbers, is known.
        assert_eq!(compare(&here, &phone()), [Known::Same]);
        let before = here.clone();
        merge(&mut here, &phone());
        assert_eq!(here, before);
        let mut changed = phone();
        changed.kept[0].name = "Oval".into();
        assert_eq!(compare(&here, &changed), [Known::Differs]);
        merge(&mut here, &changed);
        assert_eq!((here.sites.len(), here.kept.len()), (3, 6));
    }

    /// A phone on which what is keyed now was compared in July.
    fn compared_phone() -> Document {
        let mut document = phone();
        let draft = &mut document.kept[0].draft;
        draft.soil = Some("loam".into());
        draft.climate = Climate::Place("Denver".into());
        for (field, text) in [
            (Field::Slope, "2"),
            (Field::Rate, "15"),
            (Field::RateFlow, "40"),
        ] {
            draft.numbers.set_si(field, text);
        }
        document.kept.truncate(1);
        document.site_mut().present.programs.push(Program {
            starts: "22:00".into(),
            weekdays: 0b101,
            minutes: vec![(1, "30".into())],
            ..Program::default()
        });
        let mark = now::mark(&document);
        let words = &mut document.site_mut().words;
        for (name, text) in [
            ("compared_on", "2026-07-06"),
            ("compared_month", "7"),
            ("compared_now", "2400"),
            ("compared_plan", "1200.5"),
            ("compared_of", &mark),
        ] {
            words.set(name, text);
        }
        document
    }

    fn saved(document: &Document) -> Saving {
        match saving(document, 10_000) {
            Saves::This(found) => found,
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn a_compared_week_saves_until_a_year_is_typed() {
        let mut document = compared_phone();
        let found = saved(&document);
        let (compared, weeks) = found.of.clone().unwrap();
        assert!(!compared.old && compared.on == "2026-07-06");
        // Each month's litres are rounded once for now and once for the plan.
        let expected = weeks[0] * 2400.0 - weeks[1] * 1200.5;
        assert!((found.litres as f64 - expected).abs() <= 12.0, "{found:?}");
        assert_eq!((found.money, found.months), (None, None));
        assert_eq!(saving(&phone(), 0), Saves::NotKnown);
        document.site_mut().words.set("now_use", "900");
        assert!(saved(&document).of.is_none());
        document.site_mut().words.set("now_use", "9x");
        assert_eq!(saving(&document, 0), Saves::NotUnderstood);
        document.site_mut().words.set("now_use", "0.001");
        assert_eq!(saving(&document, 0), Saves::No);
        document.kept[0].draft.numbers.set(Field::RateFlow, None);
        assert_eq!(saving(&document, 0), Saves::Lacks(1));
        document.kept[0].draft.climate = Climate::Typed;
        assert_eq!(saving(&document, 0), Saves::NoYear);
    }

    #[test]
    fn a_comparison_grows_old_with_what_it_rests_on() {
        let old = |change: &dyn Fn(&mut Document)| {
            let mut document = compared_phone();
            change(&mut document);
            comparison(&document).unwrap().old
        };
        assert!(!old(&|_| {}));
        assert!(!old(&|d| d.site_mut().words.set("client", "x")));
        assert!(!old(&|d| d.site_mut().tiers.push(Default::default())));
        assert!(old(
            &|d| d.site_mut().present.programs[0].set_minutes(1, "31")
        ));
        assert!(old(&|d| d.kept[0].draft.numbers.set_si(Field::Rate, "16")));
        assert!(old(&|d| d.kept[0].draft.soil = Some("clay".into())));
    }

    #[test]
    fn a_comparison_comes_in_with_its_site() {
        let there = compared_phone();
        let mut here = phone();
        here.site_mut().name = "Elder Row".into();
        merge(&mut here, &there);
        assert_eq!(here.kept.last().unwrap().id, 3);
        assert!(!comparison(&here).unwrap().old);
        assert_eq!(compare(&here, &there), [Known::Same]);
        assert_eq!(Document::read(&here.write()), Ok(here));
    }

    /// What is keyed, ticked and shown of a plan holds on the phone it came to, under other numbers.
    #[test]
    fn a_plan_comes_in_with_its_site() {
        use crate::night::tests::{planned, site_of};
        use crate::night::{entries, is_old, kept_plan, night_runs, wanted};
        let mut there = site_of(&["40", "30", "25"]);
        there.site_mut().name = "Marrow Court".into();
        there.kept[0].apart = vec![3];
        planned(&mut there);
        let all = entries(&there.site().planned.answer);
        there.site_mut().planned.ticks = all;
        let mut here = site_of(&["10"]);
        here.site_mut().name = "Elder Row".into();
        assert!(!loses_plan(&there, there.site()));
        merge(&mut here, &there);
        assert!(!is_old(&here, &wanted(&here, 7, "2026-08-01")));
        let site = here.site();
        assert_eq!(site.planned.ticks, entries(&site.planned.answer));
        let runs = |document: &Document| {
            let plan = kept_plan(document, 7, "2026-07-06").unwrap();
            let runs = night_runs(&plan.answer, 0);
            runs.iter()
                .map(|run| (run.station, run.start, run.seconds))
                .collect::<Vec<_>>()
        };
        let moved = runs(&there)
            .into_iter()
            .map(|(id, start, length)| (id + 1, start, length));
        assert_eq!(runs(&here), moved.collect::<Vec<_>>());
        let year = |document: &Document| {
            let mut document = document.clone();
            document.site_mut().facts.climate = Climate::Place("Denver".into());
            let wanted = year::wanted(&document).unwrap();
            let keyed = wanted.stations.iter().map(|station| station.keyed);
            (wanted.planned, keyed.collect::<Vec<_>>())
        };
        assert_eq!(year(&here), year(&there));
        assert!(year(&here).1.iter().all(Option::is_some));
        // The same site again is known, whatever was ticked since.
        here.site_mut().planned.ticks.clear();
        here.site_mut().words.set("calendar_id", "1-2");
        assert_eq!(compare(&here, &there), [Known::Same]);
        assert_eq!(Document::read(&here.write()).unwrap().write(), here.write());
        // Another plan of it is another site; none of it is none.
        let mut other = there.clone();
        other.kept[0].draft.numbers.set_si(Field::Rate, "20");
        planned(&mut other);
        other.kept[0].draft = there.kept[0].draft.clone();
        assert_eq!(compare(&here, &other), [Known::Differs]);
        other.site_mut().planned = Planned::default();
        assert_eq!(compare(&here, &other), [Known::Same]);
        // Other facts are other facts, under any numbers.
        here.kept.last_mut().unwrap().apart = vec![3];
        assert!(is_old(&here, &wanted(&here, 7, "2026-08-01")));
        // A number that is free is given to the next station: a plan must not name it.
        there.kept.pop();
        assert!(loses_plan(&there, there.site()));
        assert!(only_site(&there).site().planned.answer.is_null());
    }

    #[test]
    fn photos_keep_to_their_stations() {
        let mut there = phone();
        there.kept[0].photo = Some(7);
        there.kept[1].photo = Some(8);
        there.deleted.push(Kept {
            photo: Some(9),
            ..Kept::default()
        });
        let bare = without_photos(&there);
        assert!(bare.photos().is_empty() && bare.kept.len() == 2);
        // What came without photos is known; what came with other ones is not.
        assert_eq!(compare(&there, &bare), [Known::Same]);
        assert_eq!(compare(&bare, &there), [Known::Differs]);
        let mut moved = there.clone();
        renumber_photos(&mut moved, &[7, 70], &[7, 8]);
        assert_eq!(moved.photos(), [70, 9]);
        assert_eq!(moved.kept[1].photo, None);
        assert_eq!(compare(&there, &moved), [Known::Differs]);
    }
}
