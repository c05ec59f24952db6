//! The open site's year: from the document to the core's twelve rows. No browser here.

pub mod own;

use drycurb_core::allowance::Planted;
use drycurb_core::allowance::california::{Method, efficiency};
use drycurb_core::money::{BillUnit, PLACES, Tariff, Tier, WaterPrice, decimal};
use drycurb_core::need::balance::{self, Balance, Schedule, Store};
use drycurb_core::need::climate;
use drycurb_core::need::monthly::need_per_day;
use drycurb_core::need::rain::{RainRule, effective};
use drycurb_core::paper::year::{Keying, Month, PROGRAMS_MOST, Plan, Station, Weather, Year, year};
use drycurb_core::quantity::{Area, Depth, PlantFactor, Share};
use drycurb_core::season::PanelStep;
use serde_json::Value;

use crate::document::json::items;
use crate::document::site::{PriceUnit, Site};
use crate::document::{Climate, Document, Kept, Plants, Words};
use crate::field::Field;
use crate::night::id_of;
use crate::numbers;
use crate::station::{self, Sky, number_or_default, texture};

/// What the year rests on.
pub struct Wanted {
    /// The stations that are in it, by number.
    pub ids: Vec<u32>,
    /// The same as the core takes them.
    pub stations: Vec<Station>,
    /// What grows in each program; nothing for those of the plan, which come first.
    pub programs: Vec<Option<Plants>>,
    /// Stations whose plants are not known.
    pub missing: Vec<String>,
    /// The weather.
    pub sky: Sky,
    /// It is the technician's own twelve figures: they have no band.
    pub own: bool,
    /// What water costs, where it is known.
    pub tariff: Option<Tariff>,
    /// Adjustment factor of an allowance, where one was typed and understood.
    pub factor: Option<Share>,
    /// Ground that the allowance counts.
    pub planted: Vec<Planted>,
    /// How percentages are chosen.
    pub keying: Keying,
    /// The month whose minutes the planned programs hold, from 0; `None` without a plan.
    pub planned_month: Option<usize>,
}

/// Where the site's climate comes from: its own choice, or that of the first station which has one.
pub fn climate_of(document: &Document) -> Climate {
    let known = |climate: &&Climate| matches!(climate, Climate::Place(_) | Climate::Zone(_));
    let stations = document.stations().map(|kept| &kept.draft.climate);
    let list = [&document.site().facts.climate].into_iter().chain(stations);
    let draft = [&document.draft.climate];
    let found = list.chain(draft).find(known);
    found.cloned().unwrap_or_default()
}

/// The open site's weather, and whether it is the technician's own twelve figures; `None` without a
/// climate.
pub fn sky_of(document: &Document) -> Option<(Sky, bool)> {
    let facts = crate::document::Draft {
        climate: climate_of(document),
        ..Default::default()
    };
    let table = station::sky(&facts);
    match own_sky(document, table.as_ref()) {
        Some(own) => Some((own, true)),
        None => Some((table?, false)),
    }
}

/// What the open site's year rests on; `None` without a climate, or a station whose plants are known.
pub fn wanted(document: &Document) -> Option<Wanted> {
    let site = document.site();
    let (sky, own) = sky_of(document)?;
    let words = &site.words;
    let mut found = Wanted {
        ids: Vec::new(),
        stations: Vec::new(),
        programs: Vec::new(),
        missing: Vec::new(),
        sky,
        own,
        tariff: tariff(site),
        factor: numbers::read(words.get("factor"))
            .ok()
            .and_then(|number| Share::try_of_one(number).ok()),
        planted: Vec::new(),
        keying: keying(words),
        planned_month: None,
    };
    let planned = items(&site.planned.answer["programs"]);
    found.programs.resize(planned.len(), None);
    // What is keyed stands at 100 percent in the month it was planned for, whatever else is chosen.
    found.planned_month = planned_month(site);
    found.keying.base_month = found.planned_month.or(found.keying.base_month);
    for kept in document.stations() {
        let runs = |program: &Value| {
            let steps = items(&program["steps"]).iter();
            let mut stations = steps.flat_map(|step| items(&step["stations"]));
            stations.any(|id| id_of(id) == kept.id)
        };
        let mut all = 0;
        for (place, program) in planned.iter().enumerate().take(PROGRAMS_MOST) {
            all |= u64::from(runs(program)) << place;
        }
        take(&mut found, kept, all);
    }
    (!found.stations.is_empty()).then_some(found)
}

/// The month a site's programs were planned for, from 0.
fn planned_month(site: &Site) -> Option<usize> {
    let answer = &site.planned.answer;
    let month = answer["month"].as_u64()?.checked_sub(1)?;
    let known = !items(&answer["programs"]).is_empty() && month < 12;
    known.then_some(month as usize)
}

/// The sky of one's own twelve figures, where they are chosen and understood. Rain that was not typed
/// is the table's.
fn own_sky(document: &Document, table: Option<&Sky>) -> Option<Sky> {
    let site = document.site();
    if site.words.get("months") != "own" {
        return None;
    }
    let own = own::own(site, document.units());
    if !own.no_rain.is_empty() {
        return None;
    }
    let of_table = table.filter(|sky| sky.rain).map(|sky| sky.weather.rain);
    let rain = own.rain.or(of_table);
    Some(Sky {
        weather: Weather {
            et: own.et?,
            rain: rain.unwrap_or([Depth::mm(0.0); 12]),
            rule: RainRule::Half,
        },
        south: table.map_or_else(|| is_south(document), |sky| sky.south),
        rain: rain.is_some(),
    })
}

/// Whether the site lies south of the equator, as said beside a typed number.
pub fn is_south(document: &Document) -> bool {
    let typed = |kept: &Kept| kept.draft.climate == Climate::Typed && kept.draft.south;
    document.site().facts.south || document.stations().any(typed)
}

/// Takes a station: with its programs of the plan, a bit each, or with those that have the same plants.
fn take(found: &mut Wanted, kept: &Kept, all: u64) {
    let Some(plant) = station::plant_year(&kept.draft, found.sky.south) else {
        found.missing.push(kept.name.clone());
        return;
    };
    let plants = Some(kept.draft.plants);
    let first = (all > 0).then_some(all.trailing_zeros() as usize);
    let program = first.or_else(|| found.programs.iter().position(|one| *one == plants));
    let program = program.unwrap_or_else(|| {
        found.programs.push(plants);
        found.programs.len() - 1
    });
    let area = station::area_m2(&kept.draft).and_then(|m2| Area::try_m2(m2).ok());
    let mean = plant.iter().map(|one| one.to_of_reference()).sum::<f64>() / 12.0;
    if let (Some(area), Ok(factor)) = (area, PlantFactor::try_of_reference(mean)) {
        found.planted.push(Planted::Ordinary {
            area,
            factor,
            efficiency: efficiency(Method::Overhead),
        });
    }
    found.ids.push(kept.id);
    found.stations.push(Station {
        plant,
        area,
        multiplier: station::multiplier(&kept.draft),
        program,
        also: all,
    });
}

fn keying(words: &Words) -> Keying {
    let month = words.get("base").parse::<usize>().ok();
    Keying {
        base_month: month
            .and_then(|month| month.checked_sub(1))
            .filter(|m| *m < 12),
        short_most: Share::of_one(0.0),
        step: match words.get("step") {
            "1" => PanelStep::One,
            "5" => PanelStep::Five,
            _ => PanelStep::Ten,
        },
    }
}

/// Litres of so many billing units, as typed; `None` where nothing or no number was typed.
pub fn billed_litres(site: &Site, text: &str) -> Option<u64> {
    let thousandths = decimal::read(text, PLACES).ok()?;
    Some(unit(site).litres(thousandths))
}

/// What the site's bill counts in.
fn unit(site: &Site) -> BillUnit {
    match site.price_unit {
        PriceUnit::CubicMetre => BillUnit::CubicMetre,
        PriceUnit::Ccf => BillUnit::HundredCubicFeet,
        PriceUnit::Kgal => BillUnit::ThousandGallons,
    }
}

/// A step of the water price in thousandths: until how many units a month, and what a unit costs.
pub type Step = (Option<u32>, u32);

/// The steps of the water price; `None` where there are none, or where one is not understood.
pub fn tiers(site: &Site) -> Option<Vec<Step>> {
    let read = |text: &str| u32::try_from(decimal::read(text, PLACES).ok()?).ok();
    let mut tiers = Vec::new();
    let (mut before, mut left) = (0, site.tiers.len());
    for tier in &site.tiers {
        left -= 1;
        let price = read(&tier.price).filter(|price| *price <= WaterPrice::MOST_THOUSANDTHS)?;
        // The last price holds to any use.
        let until = match left {
            0 => None,
            _ => Some(read(&tier.until).filter(|until| *until > before)?),
        };
        before = until.unwrap_or(before);
        tiers.push((until, price));
    }
    (!tiers.is_empty()).then_some(tiers)
}

/// The site's prices; none where there are none, or where one is not understood.
pub fn tariff(site: &Site) -> Option<Tariff> {
    let tiers = tiers(site)?;
    let tiers = tiers.into_iter().map(|(until, price)| Tier {
        until_thousandths: until.map(u64::from),
        price_thousandths: price,
    });
    Tariff::try_tiers(unit(site), tiers.collect()).ok()
}

/// The rows, and their band where the climate is rough.
pub struct Rows {
    /// As the climate has it.
    pub usual: Year,
    /// A fifth less evapotranspiration.
    pub low: Year,
    /// A fifth more.
    pub high: Year,
    /// The year that is asked for, where it is another one.
    pub other: Option<Year>,
    /// Percents of the plan's minutes cannot water every station: they are of the month of the plan,
    /// in which one wants nothing. The rows stand for water and cost alone.
    pub no_percents: bool,
}

/// How much hotter and drier the year that is asked for is: factors of evapotranspiration and rain.
pub fn what_if(words: &Words) -> Option<(f64, f64)> {
    let percent = |name, default| {
        let typed = numbers::read(words.get(name)).ok();
        typed
            .filter(|n| (0.0..=100.0).contains(n))
            .unwrap_or(default)
            / 100.0
    };
    let (hot, dry) = (percent("hot", 10.0), percent("dry", 30.0));
    match words.get("what") {
        "hot" => Some((1.0 + hot, 1.0)),
        "dry" => Some((1.0, 1.0 - dry)),
        "both" => Some((1.0 + hot, 1.0 - dry)),
        _ => None,
    }
}

/// All rows. `Err` where the base month that was chosen cannot serve every station, or money runs over.
pub fn rows(wanted: &Wanted, what_if: Option<(f64, f64)>) -> Result<Rows, ()> {
    let found = rows_of(wanted, wanted.keying, what_if);
    if found.is_ok() || wanted.planned_month.is_none() {
        return found;
    }
    let mut keying = wanted.keying;
    keying.base_month = None;
    let mut rows = rows_of(wanted, keying, what_if)?;
    rows.no_percents = true;
    Ok(rows)
}

fn rows_of(wanted: &Wanted, keying: Keying, what_if: Option<(f64, f64)>) -> Result<Rows, ()> {
    let plan = Plan {
        stations: &wanted.stations,
        keying,
        tariff: wanted.tariff.as_ref(),
        allowance: wanted.factor.map(|factor| (factor, &wanted.planted[..])),
    };
    let of = |et: f64, rain: f64| {
        let weather = wanted.sky.weather.times(et, rain);
        year(&plan, &weather).map_err(|_| ())
    };
    let roughness = if wanted.own {
        0.0
    } else {
        climate::ROUGHNESS.to_of_one()
    };
    Ok(Rows {
        usual: of(1.0, 1.0)?,
        low: of(1.0 - roughness, 1.0)?,
        high: of(1.0 + roughness, 1.0)?,
        other: what_if.map(|(et, rain)| of(et, rain)).transpose()?,
        no_percents: false,
    })
}

/// What a program is set to in a month, as written; a dash where none of its stations is known.
pub fn percent_of(month: &Month, program: usize) -> String {
    let known = month.programs.get(program);
    let known = known.filter(|setting| !setting.stations.is_empty());
    known.map_or_else(|| "–".into(), |setting| setting.percent.to_string())
}

/// A station's root zone over the year.
pub struct Roots {
    /// Day by day.
    pub balance: Balance,
    /// Water that may be used before plants feel it, mm.
    pub allowed_mm: f64,
    /// Days from one watering to the next.
    pub every_days: u32,
}

/// The root zone of a station under its program's percentages; `None` where its soil is not known.
pub fn roots(document: &Document, wanted: &Wanted, usual: &Year, place: usize) -> Option<Roots> {
    let id = *wanted.ids.get(place)?;
    let station = wanted.stations.get(place)?;
    let kept = document.kept.iter().find(|kept| kept.id == id)?;
    let soil = texture(&kept.draft)?;
    let depth_mm = number_or_default(&kept.draft, Field::RootDepth)?;
    let allowed = number_or_default(&kept.draft, Field::Depletion)? / 100.0;
    let most_days = number_or_default(&kept.draft, Field::Days)?.max(1.0);
    let per_m = drycurb_core::ground::water::available_mm_per_m(soil);
    let store = Store {
        holds: Depth::try_mm(per_m * depth_mm / 1000.0).ok()?,
        allowed: Share::try_of_one(allowed).ok()?,
    };
    let Weather { et, rain, rule } = wanted.sky.weather;
    let plants = core::array::from_fn(|month| {
        let use_mm = et[month].to_mm_per_day() * station.plant[month].to_of_reference();
        drycurb_core::quantity::DailyNeed::mm_per_day(use_mm)
    });
    let month_days = drycurb_core::need::monthly::DAYS;
    let counted = core::array::from_fn(|month| {
        let wanted = plants[month].to_mm_per_day() * f64::from(month_days[month]);
        effective(rule, rain[month], Depth::mm(wanted))
    });
    let needs = need_per_day(&et, &station.plant, &rain, rule);
    let base = needs[usual.base_month];
    let longest = balance::longest_interval_days(store, base).unwrap_or(7);
    // Not more often than the week allows, nor less than the roots bear in the base month.
    let every_days = longest.clamp((7.0 / most_days).ceil() as u32, 7);
    let percent =
        core::array::from_fn(|month| usual.months[month].programs[station.program].percent);
    let net = Depth::try_mm(base.to_mm_per_day() * f64::from(every_days)).ok()?;
    let schedule = Schedule::Every {
        days: every_days,
        net,
        percent,
    };
    let days = balance::year_of_months(&plants, &counted, schedule);
    Some(Roots {
        balance: balance::run(store, Depth::mm(0.0), &days),
        allowed_mm: store.holds.to_mm() * store.allowed.to_of_one(),
        every_days,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn prices_count_only_when_all_are_understood() {
        let read = |list: &[(&str, &str)]| {
            let mut site = Site::new(1);
            site.tiers = list
                .iter()
                .map(|(until, price)| crate::document::site::Tier {
                    until: until.to_string(),
                    price: price.to_string(),
                })
                .collect();
            tiers(&site)
        };
        assert_eq!(read(&[("", "1,5")]), Some(vec![(None, 1_500)]));
        assert_eq!(read(&[("12", "\n1,5 ")]), Some(vec![(None, 1_500)]));
        let wrong: [&[(&str, &str)]; 6] = [
            &[],
            &[("", "")],
            &[("", "1.2345")],
            &[("", "1"), ("", "2")],
            &[("5", "1"), ("5", "2"), ("", "3")],
            &[("", "1000001")],
        ];
        for list in wrong {
            assert_eq!(read(list), None, "{list:?}");
        }
    }

    /// The minutes that are keyed are those of the month of the plan: percents rest on it.
    #[test]
    fn a_plan_stands_at_100_percent_in_its_own_month() {
        let mut document = crate::night::tests::site_of(&["40", "30"]);
        document.site_mut().facts.climate = Climate::Zone(6);
        document.site_mut().words.set("base", "6");
        let base = |document: &Document| {
            let wanted = wanted(document).expect("stations");
            let month = wanted.planned_month;
            (month, rows(&wanted, None).expect("a year").usual)
        };
        let (planned, year) = base(&document);
        assert_eq!((planned, year.base_month), (None, 5));
        let program = r#"{"starts":["22:00"],"steps":[{"seconds":60,"stations":["1","2"]}]}"#;
        let answer = format!(r#"{{"month":5,"programs":[{program}]}}"#);
        document.site_mut().planned.answer = crate::json::parse(&answer).unwrap();
        let (planned, year) = base(&document);
        assert_eq!((planned, year.base_month), (Some(4), 4));
        assert_eq!(percent_of(&year.months[4], 0), "100");
        let june: u32 = percent_of(&year.months[5], 0).parse().unwrap();
        assert!(june > 100, "{june}");
        // In a month that asks for nothing there is nothing to take percents of; water is told all the same.
        let mut words = ["5"; 12];
        words[0] = "0";
        document.site_mut().words.set("months", "own");
        document.site_mut().words.set("own_et", &words.join(";"));
        document.site_mut().planned.answer["month"] = 1.into();
        let wanted = wanted(&document).expect("stations");
        assert_eq!(wanted.planned_month, Some(0));
        let found = rows(&wanted, None).expect("a year");
        assert!(found.no_percents);
        assert!(found.usual.base_month > 0);
        assert!(found.usual.months[5].need_mm > 0.0);
    }

    /// A station may water in several programs, and a program may have only stations that are not
    /// known any more.
    #[test]
    fn every_program_of_the_plan_has_its_percentages() {
        let mut document = crate::night::tests::site_of(&["40", "30"]);
        document.site_mut().facts.climate = Climate::Zone(6);
        let step = |stations: &str| format!(r#"{{"seconds":60,"stations":[{stations}]}}"#);
        let programs = [r#""1""#, r#""9""#, r#""1","2""#, r#""8""#]
            .map(|stations| format!(r#"{{"starts":["22:00"],"steps":[{}]}}"#, step(stations)));
        let answer = format!(r#"{{"programs":[{}]}}"#, programs.join(","));
        document.site_mut().planned.answer = crate::json::parse(&answer).unwrap();
        let wanted = wanted(&document).unwrap();
        assert_eq!(wanted.programs.len(), 4);
        let rows = rows(&wanted, None).unwrap();
        for month in &rows.usual.months {
            let [a, b, c, d] = [0, 1, 2, 3].map(|program| percent_of(month, program));
            assert_eq!((&*b, &*d), ("–", "–"));
            assert!(a == c && a.parse::<u16>().is_ok(), "{a} {c}");
        }
    }
}
