//! The open site's year: from the document to the core's twelve rows. No browser here.

pub mod own;

use drycurb_core::allowance::Planted;
use drycurb_core::allowance::california::{Method, efficiency};
use drycurb_core::money::{BillUnit, PLACES, Tariff, Tier, WaterPrice, decimal};
use drycurb_core::need::balance::{self, Balance, DayOut, Schedule, Store};
use drycurb_core::need::climate;
use drycurb_core::need::rain::{RainRule, effective};
use drycurb_core::paper::year::{self, Keying, Month, PROGRAMS_MOST, Plan, Station, Weather, Year};
use drycurb_core::quantity::{Area, DailyNeed, Depth, PlantFactor, Share};
use drycurb_core::season::{PanelStep, Setting};
use serde_json::Value;

use crate::document::json::items;
use crate::document::site::{PriceUnit, Site};
use crate::document::{Climate, Document, Kept, Plants, Words};
use crate::field::Field;
use crate::night::{id_of, night_runs};
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
    /// Up to which adjustment the plan keeps every rule, percent.
    pub holds_to: Option<u64>,
    /// How many of the programs are the plan's.
    pub planned: usize,
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
        holds_to: None,
        planned: 0,
        planned_month: None,
    };
    let planned = site.planned.programs();
    found.programs.resize(planned.len(), None);
    found.planned = planned.len();
    found.holds_to = site.planned.answer["holds_to_percent"].as_u64();
    found.holds_to = found.holds_to.filter(|_| found.planned > 0);
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
        let keyed = keyed(&site.planned.answer, kept).filter(|_| all > 0);
        take(&mut found, kept, all, keyed);
    }
    (!found.stations.is_empty()).then_some(found)
}

/// The month a site's programs were planned for, from 0.
fn planned_month(site: &Site) -> Option<usize> {
    let month = site.planned.answer["month"].as_u64()?.checked_sub(1)?;
    let known = !site.planned.programs().is_empty() && month < 12;
    known.then_some(month as usize)
}

/// What the planned programs give a station on a mean day at 100 percent, after unevenness: their own
/// minutes, whatever they were made for. `None` where they give nothing, or the rate is not known.
fn keyed(answer: &Value, kept: &Kept) -> Option<DailyNeed> {
    let rate = station::rate_mm_per_h(&kept.draft).ok()??;
    let mut seconds = 0;
    for (kind, night) in items(&answer["nights"]).iter().enumerate() {
        let runs = night_runs(answer, kind);
        let own = runs.iter().filter(|run| run.station == kept.id);
        let of_night: u32 = own.map(|run| run.seconds).sum();
        // Of four weeks' nights.
        seconds += u64::from(of_night) * night["of_28"].as_u64()?;
    }
    let mm = seconds as f64 / 28.0 / 3600.0 * rate / station::multiplier(&kept.draft);
    DailyNeed::try_mm_per_day(mm).ok().filter(|_| seconds > 0)
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
fn take(found: &mut Wanted, kept: &Kept, all: u64, keyed: Option<DailyNeed>) {
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
        keyed,
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
    /// Stations, by place, that no percent can water: they stand in no program of the plan, or want
    /// nothing in the base month. Their own thirstiest month stands for it; their water is counted.
    pub without_percent: Vec<usize>,
    /// Factors of evapotranspiration and rain of the year that is asked for.
    what_if: (f64, f64),
    /// The stations with what their run times give.
    stations: Vec<Station>,
}

impl Rows {
    /// The year that is asked for.
    pub fn asked(&self) -> &Year {
        self.other.as_ref().unwrap_or(&self.usual)
    }
}

impl Wanted {
    /// Whether a percent is more than the panel takes, or than keeps the plan within its rules.
    pub fn is_too_much(&self, setting: &Setting) -> bool {
        setting.beyond_panel
            || self
                .holds_to
                .is_some_and(|most| u64::from(setting.percent) > most)
    }

    /// How many programs have percents: those of the plan, or of each kind of plants.
    pub fn shown(&self) -> usize {
        match self.planned {
            0 => self.programs.len(),
            planned => planned,
        }
    }
}

/// A percentage as typed, 0 to 100.
pub fn percent(typed: &str) -> Option<f64> {
    let number = numbers::read(typed).ok();
    number.filter(|number| (0.0..=100.0).contains(number))
}

/// How much hotter and drier the year that is asked for is: factors of evapotranspiration and rain.
pub fn what_if(words: &Words) -> Option<(f64, f64)> {
    let share = |name, default| percent(words.get(name)).unwrap_or(default) / 100.0;
    let (hot, dry) = (share("hot", 10.0), share("dry", 30.0));
    match words.get("what") {
        "hot" => Some((1.0 + hot, 1.0)),
        "dry" => Some((1.0, 1.0 - dry)),
        "both" => Some((1.0 + hot, 1.0 - dry)),
        _ => None,
    }
}

/// All rows. `Err` where money runs over.
pub fn rows(wanted: &Wanted, what_if: Option<(f64, f64)>) -> Result<Rows, ()> {
    let usual = &wanted.sky.weather;
    let mut stations = wanted.stations.clone();
    let mut keying = wanted.keying;
    let (month, base) = year::base(&stations, keying.base_month, usual);
    keying.base_month = Some(month);
    let mut without_percent = Vec::new();
    for (place, (station, base)) in stations.iter_mut().zip(base).enumerate() {
        let base = Some(base).filter(|base| base.to_mm_per_day() > 0.0);
        let base = base.filter(|_| wanted.planned == 0);
        station.keyed = station.keyed.or(base);
        if station.keyed.is_none() {
            station.keyed = year::base(&[*station], None, usual).1.pop();
            // Beside the programs that are shown, so that it has no say in theirs.
            station.program = wanted.programs.len().min(PROGRAMS_MOST - 1);
            station.also = 0;
            without_percent.push(place);
        }
    }
    let plan = Plan {
        stations: &stations,
        keying,
        tariff: wanted.tariff.as_ref(),
        allowance: wanted.factor.map(|factor| (factor, &wanted.planted[..])),
    };
    let of = |et: f64, rain: f64| {
        let weather = usual.times(et, rain);
        year::year(&plan, &weather).map_err(|_| ())
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
        what_if: what_if.unwrap_or((1.0, 1.0)),
        without_percent,
        stations,
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

/// Less is not seen: it would be shown as no millimetres.
const DRAINS_MM: f64 = 0.05;

impl Roots {
    /// Whether water drains below the roots on a day.
    pub fn drains(day: &DayOut) -> bool {
        day.drained_mm >= DRAINS_MM
    }

    /// Days on which water drains below the roots.
    pub fn drain_days(&self) -> usize {
        let days = self.balance.days.iter();
        days.filter(|day| Self::drains(day)).count()
    }
}

/// The root zone of a station under its program's percentages in the year that is asked for; `None`
/// where its soil is not known.
pub fn roots(document: &Document, wanted: &Wanted, rows: &Rows, place: usize) -> Option<Roots> {
    let id = *wanted.ids.get(place)?;
    let station = rows.stations.get(place)?;
    let year = rows.asked();
    let kept = document.kept.iter().find(|kept| kept.id == id)?;
    let soil = texture(&kept.draft)?;
    let depth_mm = number_or_default(&kept.draft, Field::RootDepth)?;
    let allowed = number_or_default(&kept.draft, Field::Depletion)? / 100.0;
    let most_days = number_or_default(&document.ruled_facts_of(kept), Field::Days)?.max(1.0);
    let per_m = drycurb_core::ground::water::available_mm_per_m(soil);
    let store = Store {
        holds: Depth::try_mm(per_m * depth_mm / 1000.0).ok()?,
        allowed: Share::try_of_one(allowed).ok()?,
    };
    let (hotter, wetter) = rows.what_if;
    let Weather { et, rain, rule } = wanted.sky.weather.times(hotter, wetter);
    let plants = core::array::from_fn(|month| {
        let use_mm = et[month].to_mm_per_day() * station.plant[month].to_of_reference();
        drycurb_core::quantity::DailyNeed::mm_per_day(use_mm)
    });
    let month_days = drycurb_core::need::monthly::DAYS;
    let counted = core::array::from_fn(|month| {
        let wanted = plants[month].to_mm_per_day() * f64::from(month_days[month]);
        effective(rule, rain[month], Depth::mm(wanted))
    });
    let base = station.keyed?;
    let longest = balance::longest_interval_days(store, base).unwrap_or(7);
    // Not more often than the week allows, nor less than the roots bear in the base month.
    let every_days = longest.clamp((7.0 / most_days).ceil() as u32, 7);
    let percent =
        core::array::from_fn(|month| year.months[month].programs[station.program].percent);
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

    /// A place where rain counts; programs planned for each month without it.
    fn planned_for(month: u32, change: impl Fn(&mut Document)) -> Document {
        let mut document = crate::night::tests::site_of(&["40", "30"]);
        document.site_mut().facts.climate = Climate::Place("Denver".into());
        document.site_mut().facts.month = Some(month);
        document.site_mut().words.set("step", "1");
        change(&mut document);
        let asked = crate::night::wanted(&document, month, "2026-01-05");
        let request = crate::json::parse(&asked.request.expect("a request")).unwrap();
        let mut whole = drycurb_core::lines::answer(&request);
        let season = crate::night::season(&document, month);
        let kept = crate::night::to_keep(&request, &whole["ok"].take(), season);
        document.site_mut().planned.answer = kept;
        document
    }

    /// What a month's percent gives the first station a week, minutes, and what the Night itself plans
    /// for that month, which counts no rain.
    fn given_and_planned(document: &Document, month: u32) -> (f64, f64) {
        let wanted = wanted(document).expect("stations");
        let rows = rows(&wanted, None).expect("a year");
        let percent: f64 = percent_of(&rows.usual.months[month as usize - 1], 0)
            .parse()
            .unwrap();
        // From the programs themselves: starts, days and minutes.
        let mut keyed = 0.0;
        for program in document.site().planned.programs() {
            let days = items(&program["days"]["weekdays"]).len() as f64;
            let starts = items(&program["starts"]).len() as f64;
            for step in items(&program["steps"]) {
                if items(&step["stations"]).iter().any(|id| id_of(id) == 1) {
                    keyed += days * starts * step["seconds"].as_f64().unwrap() / 60.0;
                }
            }
        }
        assert!(keyed > 0.0);
        let mut facts = document.facts_of(&document.kept[0]);
        facts.climate = Climate::Place("Denver".into());
        facts.numbers.set(Field::ReferenceEt, None);
        facts.month = Some(month);
        let own = station::work_out(&facts, &month.into()).unwrap();
        (keyed * percent / 100.0, own.week_run_minutes)
    }

    /// The percents are of the minutes that are keyed, whatever month and figure those were planned for:
    /// no month gets more than the Night would plan for it, but for the step of the panel.
    #[test]
    fn percents_of_a_plan_are_of_its_minutes() {
        for month in 1..=12 {
            let document = planned_for(month, |_| {});
            for other in 4..=9 {
                let (given, planned) = given_and_planned(&document, other);
                assert!(
                    given <= 1.02 * planned + 1.0,
                    "{month} {other}: {given} {planned}"
                );
            }
        }
        // Typed evapotranspiration of a summer day, in November.
        let typed = planned_for(11, |document| {
            for kept in &mut document.kept {
                kept.draft.climate = Climate::Typed;
                let et = crate::night::tests::typed("7");
                kept.draft.numbers.set(Field::ReferenceEt, et);
            }
        });
        let (given, planned) = given_and_planned(&typed, 7);
        assert!(given <= 1.02 * planned + 1.0, "{given} {planned}");
        let year = rows(&wanted(&typed).unwrap(), None).unwrap().usual;
        assert_eq!(year.base_month, 10);
        assert!(year.months[10].programs[0].percent < 50);
    }

    /// One station that wants nothing, or has no program, takes nothing away from the others.
    #[test]
    fn who_has_no_percent_is_told_apart() {
        let mut document = crate::night::tests::site_of(&["40", "30"]);
        document.site_mut().facts.climate = Climate::Place("Denver".into());
        document.kept[1].draft.plants = Plants::LowUse;
        document.site_mut().words.set("base", "5");
        let found = |document: &Document| {
            let wanted = wanted(document).expect("stations");
            let rows = rows(&wanted, None).expect("a year");
            let of = |program| percent_of(&rows.usual.months[4], program);
            (wanted.shown(), of(0), of(1), rows.without_percent.clone())
        };
        let (shown, turf, low, without) = found(&document);
        assert_eq!((shown, &*turf, &*low, &*without), (2, "100", "–", &[1][..]));
        let mut planned = planned_for(7, |document| document.kept[1].supply = 1);
        planned.add_station("new".into());
        let new = planned.kept.len() - 1;
        planned.kept[new].draft = planned.kept[0].draft.clone();
        let programs = planned.site().planned.programs().len();
        let (shown, _, _, without) = found(&planned);
        assert_eq!((shown, &*without), (programs, &[2][..]));
        // What the replay found broken is no plan.
        planned.site_mut().planned.answer["verified"] = false.into();
        assert_eq!(wanted(&planned).unwrap().planned, 0);
    }

    /// A harder year is keyed of the same minutes, and its root zone is its own.
    #[test]
    fn a_harder_year_is_keyed_of_the_same_minutes() {
        let document = planned_for(7, |_| {});
        let wanted = wanted(&document).unwrap();
        let hard = rows(&wanted, Some((1.3, 0.5))).unwrap();
        let (usual, other) = (&hard.usual.months[6], hard.asked());
        assert!(other.months[6].programs[0].percent > usual.programs[0].percent);
        let most = wanted.holds_to.unwrap();
        let setting = Setting {
            percent: most as u16 + 1,
            ..usual.programs[0].clone()
        };
        assert!(wanted.is_too_much(&setting) && !wanted.is_too_much(&usual.programs[0]));
        let gentle = rows(&wanted, None).unwrap();
        let drains = |rows: &Rows| roots(&document, &wanted, rows, 0).unwrap().balance;
        assert_ne!(drains(&hard), drains(&gentle));
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
        let programs = programs.join(",");
        // Both stations get as much: one twice a night, the other once.
        let nights = r#"[{"of_28":28,"keyed":{"runs":"1 0 1800 2 0 3600 1 0 1800 "}}]"#;
        let answer = format!(r#"{{"programs":[{programs}],"nights":{nights}}}"#);
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
