//! What a hand does in the Site place: plain changes of the document and of what is open.

use super::example;
use super::list::holds;
use super::view::{Open, Part, View};
use crate::document::site::{EVERY_DAY, FIRST, Supply, Tier};
use crate::document::{Climate, Document, Draft, Kept, Named, Site};
use crate::field::Field;
use crate::numbers;
use crate::platform;
use crate::screens::pocket::{find_place, name_of_draft};
use crate::session::{Place, Session, Whose};
use crate::sheet::Act;
use crate::station::number;
use crate::text::{Text, fill};

/// Takes an act.
pub fn act(session: Session, act: &Act) {
    if act.verb == "here" {
        find_place(session.of(Whose::Site));
    }
    let before = session.site.get_untracked();
    let mut view = before.clone();
    let looked = session
        .document
        .with_untracked(|document| look(&mut view, document, act));
    if !looked {
        let aside = match act.verb.as_str() {
            "pocket" => name_of_draft(session),
            _ => String::new(),
        };
        let hand = Hand {
            act,
            text: crate::text::text(session.language_now()),
            aside,
            comma: session.comma,
        };
        session.document.update(|document| {
            hand.change(document, &mut view);
        });
    }
    let opened = before.open != view.open && view.open != Open::None;
    let to_pocket = view.to_pocket && !before.to_pocket;
    let added = view.fresh;
    if view != before {
        session.site.set(view);
    }
    if to_pocket {
        session.open.set(None);
        session.place.set(Place::Pocket);
    }
    if added {
        platform::persist();
    }
    if opened || to_pocket {
        platform::to_top();
    }
}

/// Opens something beside the list.
fn open(view: &mut View, open: Open) {
    view.came = match view.open {
        Open::Station(id) | Open::Seen(id) | Open::Fact(id) => id,
        _ => 0,
    };
    view.open = open;
    view.fresh = false;
    view.no_photo = false;
    view.refused = false;
    view.site_before = None;
    if matches!(open, Open::Fact(_)) {
        view.find.clear();
    }
}

/// What only changes what is seen; whether it was that.
fn look(view: &mut View, document: &Document, act: &Act) -> bool {
    match act.verb.as_str() {
        "part" => {
            *view = View {
                part: Part::of(&act.of).unwrap_or_default(),
                sort: view.sort,
                gone: view.gone,
                ..View::default()
            };
        }
        "station" => open(view, Open::Station(act.at)),
        "seen" => open(view, Open::Seen(act.at)),
        "fact" => open(view, Open::Fact(act.at)),
        "back" => open(view, Open::None),
        "find" => view.find.clone_from(&act.value),
        "here" => view.refused = false,
        "sort" => view.sort = Named::of(&act.value).unwrap_or_default(),
        "pick" => {
            view.picked = match view.picked {
                None => Some(Vec::new()),
                Some(_) => None,
            };
        }
        // Those that are seen: nobody wants to change what he was not looking for.
        "pick-all" => {
            let picked = view.picked.get_or_insert_default();
            for kept in document.stations() {
                if holds(&kept.name, &view.find) && !picked.contains(&kept.id) {
                    picked.push(kept.id);
                }
            }
        }
        "pick-one" => {
            let picked = view.picked.get_or_insert_default();
            picked.retain(|id| *id != act.at);
            if !act.value.is_empty() {
                picked.push(act.at);
            }
        }
        "order" => {
            view.ordering = !view.ordering;
            // All stations are in the order, so that all are shown.
            view.find.clear();
        }
        "many" => {
            let ids = view.picked.clone().unwrap_or_default();
            let kept = ids.iter().filter_map(|id| document.station(*id).cloned());
            view.before = kept.collect();
            open(view, Open::Many);
        }
        _ => return false,
    }
    true
}

/// A change of the document that a hand asks for.
struct Hand<'a> {
    act: &'a Act,
    text: &'static Text,
    /// A name for what is in the Pocket and kept nowhere.
    aside: String,
    comma: bool,
}

impl Hand<'_> {
    fn change(&self, document: &mut Document, view: &mut View) {
        if let Some(slot) = slot(document, self.act) {
            slot.clone_from(&self.act.value);
            tidy_tiers(document.site_mut());
            return;
        }
        let taken = self.facts(document, view)
            || self.stations(document, view)
            || self.walk(document, view)
            || self.site(document, view);
        if !taken {
            self.sites(document, view);
        }
    }

    fn is_on(&self) -> bool {
        !self.act.value.is_empty()
    }

    fn chosen<T: Named>(&self) -> T {
        T::of(&self.act.value).unwrap_or_default()
    }

    /// Facts of one station, or of all that are picked.
    fn facts(&self, document: &mut Document, view: &View) -> bool {
        let verb = self.act.verb.as_str();
        let known = [
            "soil",
            "condition",
            "rate-way",
            "layout",
            "plants",
            "supply",
        ];
        if !known.contains(&verb) {
            return false;
        }
        let one = [self.act.at];
        let ids = match (&view.picked, self.act.at) {
            (Some(picked), 0) => picked.as_slice(),
            _ => &one,
        };
        for id in ids {
            if verb == "supply" {
                if let Some(kept) = document.station_mut(*id) {
                    kept.supply = self.act.value.parse().unwrap_or(FIRST);
                }
            } else {
                document.change_station(*id, &|draft| self.fact(draft));
            }
        }
        true
    }

    fn fact(&self, draft: &mut Draft) {
        match self.act.verb.as_str() {
            "soil" => {
                draft.soil = self.is_on().then(|| self.act.value.clone());
                draft.soil_found = Default::default();
            }
            "condition" => draft.condition = self.chosen(),
            "rate-way" => draft.rate_way = self.chosen(),
            "layout" => draft.layout = self.chosen(),
            _ => draft.plants = self.chosen(),
        }
    }

    fn stations(&self, document: &mut Document, view: &mut View) -> bool {
        let at = self.act.at;
        match self.act.verb.as_str() {
            "add" => {
                let n = (document.stations().count() + 1).to_string();
                let name = fill(self.text.station_default, &[("n", &n)]);
                let id = document.add_station(name);
                added(view, Some(id));
            }
            "apart-list" => view.apart_of = at,
            "apart" => {
                if let (Ok(other), Some(kept)) = (self.act.value.parse(), document.station_mut(at))
                {
                    kept.apart.push(other);
                }
            }
            "apart-away" => {
                let Open::Station(id) = view.open else {
                    return true;
                };
                for kept in &mut document.kept {
                    let drop = match kept.id {
                        own if own == id => at,
                        own if own == at => id,
                        _ => continue,
                    };
                    kept.apart.retain(|other| *other != drop);
                }
            }
            "like" => added(view, document.add_like(at, 1)),
            "five" => added(view, document.add_like(at, 5)),
            "up" | "down" => {
                let place = document.stations().position(|kept| kept.id == at);
                if let Some(place) = place {
                    let to = if self.act.verb == "up" {
                        place.saturating_sub(1)
                    } else {
                        place + 1
                    };
                    document.move_station(at, to);
                }
            }
            "move" => document.move_station(at, self.act.value.parse().unwrap_or_default()),
            "delete" => {
                document.delete_stations(&[at]);
                view.open = Open::None;
                view.gone = 1;
            }
            "delete-many" => {
                let ids = view.picked.take().unwrap_or_default();
                document.delete_stations(&ids);
                view.gone = ids.len();
            }
            "undo-delete" => {
                document.put_back_stations(view.gone.max(1));
                view.gone = 0;
            }
            "undo-many" => {
                if let Some(was) = view.site_before.take() {
                    let site = document.site_mut();
                    if site.id == was.id {
                        site.supplies = was.supplies;
                    }
                }
                for was in std::mem::take(&mut view.before) {
                    if let Some(kept) = document.station_mut(was.id) {
                        *kept = was;
                    }
                }
            }
            "pocket" => {
                document.open_in_pocket(at, self.aside.clone());
                view.to_pocket = true;
            }
            "use-flow" => document.change_station(at, &|draft| {
                let pair = [Field::MeterVolume, Field::MeterMinutes];
                if let [Some(volume), Some(minutes)] = pair.map(|f| number(draft, f).ok().flatten())
                {
                    self.put(draft, Field::MeasuredFlow, volume / minutes);
                }
            }),
            "use-count" => document.change_station(at, &|draft| {
                if let Some(flow) = crate::station::counted_l_per_min(draft) {
                    self.put(draft, Field::RateFlow, flow);
                }
            }),
            "photo" | "no-photo" => {
                let photo = self.act.value.parse().ok();
                view.no_photo = photo.is_none() && self.act.verb == "photo";
                if let (false, Some(kept)) = (view.no_photo, document.station_mut(at)) {
                    kept.photo = photo;
                }
            }
            _ => return false,
        }
        true
    }

    /// Puts a number that was found into a field, as if typed in metric units.
    fn put(&self, draft: &mut Draft, field: Field, inside: f64) {
        let text = numbers::write(inside, 3, self.comma);
        let units = crate::units::System::Si;
        draft
            .numbers
            .set(field, Some(crate::document::Typed { text, units }));
    }

    fn walk(&self, document: &mut Document, view: &mut View) -> bool {
        let act = self.act;
        match act.verb.as_str() {
            "checked" => {
                if let Some(kept) = document.station_mut(act.at) {
                    kept.checked = self.is_on();
                }
            }
            "on" => {
                if let Open::Seen(id) = view.open
                    && let Some(kept) = document.station_mut(id)
                {
                    kept.checked = true;
                }
                open(
                    view,
                    match act.at {
                        0 => Open::None,
                        id => Open::Seen(id),
                    },
                );
            }
            "fault" | "fault-less" => {
                let name = if act.of.is_empty() {
                    &act.value
                } else {
                    &act.of
                };
                if let (Some(fault), Some(kept)) = (Named::of(name), document.station_mut(act.at)) {
                    kept.count_fault(fault, act.verb == "fault");
                }
            }
            "walk-anew" => {
                view.before = document.stations().cloned().collect();
                let site = document.site().id;
                for kept in document.kept.iter_mut().filter(|kept| kept.site == site) {
                    kept.checked = false;
                    kept.changed.clear();
                }
            }
            _ => return false,
        }
        true
    }

    fn site(&self, document: &mut Document, view: &mut View) -> bool {
        let act = self.act;
        let site = document.site_mut();
        match act.verb.as_str() {
            "units" => {
                site.units = Named::of(&act.value);
            }
            "month" => site.facts.month = act.value.parse().ok(),
            "place" => {
                site.facts.climate = Climate::Place(act.of.clone());
                view.find.clear();
            }
            "zone" => {
                let zone = act.value.parse();
                site.facts.climate = zone.map_or(Climate::Assumed, Climate::Zone);
            }
            "et-typed" => site.facts.climate = Climate::Typed,
            "climate-none" => site.facts.climate = Climate::Assumed,
            "south" => site.facts.south = self.is_on(),
            "soak-style" => site.soak_style = self.chosen(),
            "sharing" => site.sharing = self.is_on(),
            "free-steps" => site.free_steps = self.is_on(),
            "weekday" => {
                let bit = 1 << act.at.min(6);
                site.weekdays = (site.weekdays & !bit) | if self.is_on() { bit } else { 0 };
            }
            "all-weekdays" => site.weekdays = EVERY_DAY,
            "days" => site.days = self.chosen(),
            "no-closed" => site.closed_hours = Default::default(),
            "price-unit" => site.price_unit = self.chosen(),
            "tier-more" => {
                if site.tiers.is_empty() {
                    site.tiers.push(Tier::default());
                }
                site.tiers.push(Tier::default());
            }
            "tier-less" => {
                site.tiers.pop();
                if let Some(last) = site.tiers.last_mut() {
                    last.until.clear();
                }
            }
            "supply-more" => {
                let ids = site.supplies.iter().map(|supply| supply.id);
                let id = ids.max().map_or(FIRST, |last| last.saturating_add(1));
                site.supplies.push(Supply {
                    id,
                    ..Supply::default()
                });
            }
            "supply-delete" => {
                view.site_before = Some(Box::new(site.clone()));
                view.before = document.stations().cloned().collect();
                document.delete_supply(act.at);
            }
            "use-most" => {
                let place = site.supplies.iter().position(|one| one.id == act.at);
                if let Some(supply) = place.map(|place| &mut site.supplies[place])
                    && let Some(most) = crate::supply::check(supply).most
                {
                    self.put(&mut supply.facts, Field::Capacity, most);
                }
            }
            _ => return false,
        }
        true
    }

    fn sites(&self, document: &mut Document, view: &mut View) {
        let text = self.text;
        // A new site is named first; an opened one shows its stations.
        let (mut part, mut open) = (Part::Sites, Open::None);
        match self.act.verb.as_str() {
            "open" => {
                document.site = self.act.at;
                part = Part::Stations;
            }
            "new" => {
                let id = document.fresh_site_id();
                document.sites.push(Site::new(id));
                document.site = id;
                (part, open) = (Part::Facts, Open::Fact(1));
            }
            "example" => {
                example::load(document, text);
                part = Part::Stations;
            }
            "copy" => {
                let name = super::name(text, document.site());
                let name = fill(text.site.copy_of, &[("name", name)]);
                document.copy_site(name);
            }
            "archive" => {
                let site = document.site_mut();
                site.archived = !site.archived;
            }
            "site-delete" => document.delete_site(),
            "undo-site" => document.put_back_site(),
            _ => return,
        }
        *view = View {
            part,
            open,
            sort: view.sort,
            ..View::default()
        };
    }
}

/// A station was added: it is opened.
fn added(view: &mut View, id: Option<u32>) {
    if let Some(id) = id {
        open(view, Open::Station(id));
        view.part = Part::Stations;
        view.fresh = true;
    }
}

/// The text that an act writes, where it writes one.
fn slot<'a>(document: &'a mut Document, act: &Act) -> Option<&'a mut String> {
    let at = act.at;
    let verb = act.verb.as_str();
    if let "station-name" | "note" | "changed" | "catches" | "own-from" | "own-until" = verb {
        let kept: &mut Kept = document.station_mut(at)?;
        return Some(match verb {
            "station-name" => &mut kept.name,
            "note" => &mut kept.note,
            "changed" => &mut kept.changed,
            "own-from" => &mut kept.hours.0,
            "own-until" => &mut kept.hours.1,
            _ => &mut kept.draft.catches,
        });
    }
    let site = document.site_mut();
    if let "supply-name" | "meter" | "pipe" | "pipe-size" = verb {
        let supply = site.supplies.iter_mut().find(|supply| supply.id == at)?;
        return Some(match verb {
            "supply-name" => &mut supply.name,
            "meter" => &mut supply.meter,
            "pipe" => &mut supply.pipe,
            _ => &mut supply.pipe_size,
        });
    }
    if let "tier-price" | "tier-until" = verb {
        if site.tiers.is_empty() {
            site.tiers.push(Tier::default());
        }
        let tier = site.tiers.get_mut(at as usize)?;
        return Some(match verb {
            "tier-price" => &mut tier.price,
            _ => &mut tier.until,
        });
    }
    Some(match verb {
        "name" => &mut site.name,
        "site-note" => &mut site.note,
        "window-from" => &mut site.facts.window_from,
        "closed-from" => &mut site.closed_hours.0,
        "closed-until" => &mut site.closed_hours.1,
        "closed-dates" => &mut site.closed_dates,
        "currency" => &mut site.currency,
        _ => return None,
    })
}

/// One blank step is no price.
fn tidy_tiers(site: &mut Site) {
    if site.tiers.len() == 1 && site.tiers[0] == Tier::default() {
        site.tiers.clear();
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::Language;

    fn after(acts: &[(&str, u32, &str)]) -> (Document, View) {
        let (mut document, mut view) = (Document::default(), View::default());
        for (verb, at, value) in acts {
            let act = Act {
                verb: (*verb).into(),
                at: *at,
                of: (*value).into(),
                value: (*value).into(),
            };
            if !look(&mut view, &document, &act) {
                let hand = Hand {
                    act: &act,
                    text: crate::text::text(Language::En),
                    aside: String::new(),
                    comma: false,
                };
                hand.change(&mut document, &mut view);
            }
        }
        (document, view)
    }

    #[test]
    fn one_fact_is_changed_for_many_and_taken_back() {
        let acts = [
            ("add", 0, ""),
            ("soil", 1, "clay"),
            ("five", 1, ""),
            ("back", 0, ""),
            ("pick", 0, ""),
            ("pick-one", 2, "true"),
            ("pick-one", 4, "true"),
            ("many", 0, ""),
            ("soil", 0, "sand"),
        ];
        let soils = |document: &Document| -> Vec<String> {
            let soils = document.kept.iter().map(|kept| kept.draft.soil.clone());
            soils.map(Option::unwrap_or_default).collect()
        };
        let (document, view) = after(&acts);
        assert_eq!(view.open, Open::Many);
        assert_eq!(
            soils(&document),
            ["clay", "sand", "clay", "sand", "clay", "clay"]
        );
        let mut back = acts.to_vec();
        back.push(("undo-many", 0, ""));
        assert_eq!(soils(&after(&back).0), ["clay"; 6]);
    }

    #[test]
    fn all_that_is_picked_is_what_was_looked_for() {
        let acts = [
            ("add", 0, ""),
            ("add", 0, ""),
            ("add", 0, ""),
            ("station-name", 2, "Jardín norte"),
            ("station-name", 3, "JARDIN SUR"),
            ("back", 0, ""),
            ("find", 0, "jardin"),
            ("pick", 0, ""),
            ("pick-all", 0, ""),
        ];
        assert_eq!(after(&acts).1.picked, Some(vec![2, 3]));
        let mut ordered = acts[..7].to_vec();
        ordered.push(("order", 0, ""));
        let (_, view) = after(&ordered);
        assert!(view.ordering && view.find.is_empty());
    }

    #[test]
    fn a_price_of_steps_and_none() {
        let flat = [("tier-price", 0, "2.5")];
        assert_eq!(after(&flat).0.site().tiers.len(), 1);
        let steps = [
            ("tier-price", 0, "2.5"),
            ("tier-more", 0, ""),
            ("tier-until", 0, "40"),
            ("tier-price", 1, "4"),
        ];
        let (document, _) = after(&steps);
        assert_eq!(document.site().tiers[0].until, "40");
        let mut fewer = steps.to_vec();
        fewer.extend([("tier-less", 0, ""), ("tier-price", 0, "")]);
        assert!(after(&fewer).0.site().tiers.is_empty());
    }

    #[test]
    fn faults_are_counted_up_and_down() {
        let acts = [
            ("add", 0, ""),
            ("fault", 1, "misting"),
            ("fault", 1, "misting"),
            ("fault", 1, "wiring"),
            ("fault-less", 1, "wiring"),
        ];
        let (document, _) = after(&acts);
        assert_eq!(
            document.kept[0].faults,
            [(crate::document::Fault::Misting, 2)]
        );
    }

    #[test]
    fn weekdays_and_supplies() {
        let acts = [
            ("weekday", 2, ""),
            ("add", 0, ""),
            ("supply-more", 0, ""),
            ("supply", 1, "2"),
        ];
        let (document, _) = after(&acts);
        assert!(!document.site().waters_on(2) && document.site().waters_on(3));
        assert_eq!(document.kept[0].supply, 2);
        let mut fewer = acts.to_vec();
        fewer.push(("supply-delete", 2, ""));
        assert_eq!(after(&fewer).0.kept[0].supply, 1);
        fewer.push(("undo-many", 0, ""));
        assert_eq!(after(&fewer).0, document);
    }
}
