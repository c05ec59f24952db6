//! What a hand does with stations and sites: adds, moves, copies, deletes, puts back.

use super::{Climate, Document, Draft, GONE_KEPT, Gone, Kept, Site, Words};
use crate::field::Field;

/// What a copied site keeps of the words: its weather, and how percents are keyed.
const WORDS_COPIED: [&str; 8] = [
    "months", "own_et", "own_rain", "own_unit", "near", "base", "step", "factor",
];

impl Document {
    /// The place of a kept station among all.
    pub fn place_of(&self, id: u32) -> Option<usize> {
        self.kept.iter().position(|kept| kept.id == id)
    }

    /// A kept station.
    pub fn station(&self, id: u32) -> Option<&Kept> {
        self.kept.iter().find(|kept| kept.id == id)
    }

    /// A kept station, to change.
    pub fn station_mut(&mut self, id: u32) -> Option<&mut Kept> {
        self.kept.iter_mut().find(|kept| kept.id == id)
    }

    /// Changes a kept station's facts, and the draft that was opened from it and holds nothing else.
    pub fn change_station(&mut self, id: u32, change: &dyn Fn(&mut Draft)) {
        let known = self.station(id).map(|kept| self.facts_of(kept));
        let follows = self.opened == Some(id) && known.as_ref() == Some(&self.draft);
        if let Some(kept) = self.station_mut(id) {
            change(&mut kept.draft);
        }
        if let (true, Some(kept)) = (follows, self.station(id)) {
            self.draft = self.facts_of(kept);
        }
    }

    /// Deletes a supply of the open site, but not its only one; its stations get the first.
    pub fn delete_supply(&mut self, id: u32) {
        let site = self.site_mut();
        if site.supplies.len() > 1 {
            site.supplies.retain(|supply| supply.id != id);
        }
        let (site, first) = (site.id, site.supplies[0].id);
        for kept in self.kept.iter_mut() {
            if kept.site == site && kept.supply == id {
                kept.supply = first;
            }
        }
    }

    /// Adds a station without facts at the end of the open site.
    pub fn add_station(&mut self, name: String) -> u32 {
        let id = self.fresh_id();
        let site = self.site().id;
        let supply = self.site().supplies[0].id;
        self.kept.push(Kept {
            id,
            name,
            site,
            supply,
            ..Kept::default()
        });
        id
    }

    /// Adds stations with the facts of one, after it; gives the last one's number. What was
    /// measured, seen or noted at the one is not the others'.
    pub fn add_like(&mut self, id: u32, count: u32) -> Option<u32> {
        let mut last = None;
        for _ in 0..count {
            let place = self.place_of(last.unwrap_or(id))?;
            let like = &self.kept[place];
            let mut draft = like.draft.clone();
            for field in [Field::MeasuredFlow, Field::LoopOhm, Field::WireLength] {
                draft.numbers.set(field, None);
            }
            let fresh = Kept {
                id: self.fresh_id(),
                name: self.next_name(&like.name),
                draft,
                site: like.site,
                supply: like.supply,
                hours: like.hours.clone(),
                ..Kept::default()
            };
            last = Some(fresh.id);
            self.kept.insert(place + 1, fresh);
        }
        last
    }

    /// The name after this one that no station of the open site has: `Bank 3` after `Bank 2`.
    fn next_name(&self, name: &str) -> String {
        let (stem, _) = numbered(name);
        let taken = self.stations().map(|kept| numbered(&kept.name));
        let most = taken.filter(|(s, _)| *s == stem).map(|(_, n)| n).max();
        let next = most.unwrap_or(1).saturating_add(1).to_string();
        [stem, " ", &next].concat()
    }

    /// Moves a station of the open site so that it stands at a place of its list, first is 0.
    pub fn move_station(&mut self, id: u32, to: usize) {
        let mut ids: Vec<u32> = self.stations().map(|kept| kept.id).collect();
        let Some(from) = ids.iter().position(|other| *other == id) else {
            return;
        };
        ids.remove(from);
        ids.insert(to.min(ids.len()), id);
        // The places that the site's stations hold among all stay theirs.
        let site = self.site().id;
        let mut places = Vec::new();
        let mut mine = Vec::new();
        for (place, kept) in self.kept.iter_mut().enumerate() {
            if kept.site == site {
                places.push(place);
                mine.push(std::mem::take(kept));
            }
        }
        for (place, id) in places.into_iter().zip(ids) {
            if let Some(one) = mine.iter_mut().find(|kept| kept.id == id) {
                self.kept[place] = std::mem::take(one);
            }
        }
    }

    /// Deletes stations; they can be put back.
    pub fn delete_stations(&mut self, ids: &[u32]) {
        for id in ids {
            if let Some(place) = self.place_of(*id) {
                let mut kept = self.kept.remove(place);
                kept.stood = Some(place as u32);
                self.put_deleted(kept);
                self.opened = self.opened.filter(|opened| opened != id);
            }
        }
    }

    /// The place among the deleted of the station that the open site lost last. Whose own site is gone
    /// may come back in any.
    fn lost_last(&self) -> Option<usize> {
        let open = self.site().id;
        self.deleted.iter().rposition(|kept| {
            kept.site == open || self.sites.iter().all(|site| site.id != kept.site)
        })
    }

    /// The station that the open site lost last.
    pub fn last_deleted(&self) -> Option<&Kept> {
        self.lost_last().map(|place| &self.deleted[place])
    }

    /// Puts the stations back that the open site lost last.
    pub fn put_back_stations(&mut self, count: usize) {
        for _ in 0..count {
            let Some(place) = self.lost_last() else {
                break;
            };
            let mut kept = self.deleted.remove(place);
            let end = self.kept.len();
            let place = kept.stood.take().map_or(end, |place| place as usize);
            if self.sites.iter().all(|site| site.id != kept.site) {
                kept.site = self.site().id;
            }
            self.kept.insert(place.min(end), kept);
        }
    }

    /// Copies the open site and opens the copy. What was seen and measured on the ground is not
    /// copied, and neither are photos, nor what stands in the panel.
    pub fn copy_site(&mut self, name: String) {
        let mut copy = self.site().clone();
        copy.id = self.fresh_site_id();
        copy.name = name;
        copy.archived = false;
        // Both name stations by their numbers, and are what a panel holds: another one's.
        copy.present = Default::default();
        copy.planned = Default::default();
        // The quote, what was compared and the calendar's events are the other's too; its weather is not.
        copy.quote.clear();
        copy.words = Words::default();
        for name in WORDS_COPIED {
            copy.words.set(name, self.site().words.get(name));
        }
        let stations: Vec<Kept> = self.stations().cloned().collect();
        let first = self.fresh_id();
        for kept in &stations {
            let mut kept = kept.clone();
            kept.id = self.fresh_id();
            kept.site = copy.id;
            kept.apart.retain_mut(|other| {
                let place = stations.iter().position(|kept| kept.id == *other);
                *other = first.saturating_add(place.unwrap_or_default() as u32);
                place.is_some()
            });
            kept.photo = None;
            kept.checked = false;
            kept.changed.clear();
            kept.faults.clear();
            self.kept.push(kept);
        }
        self.site = copy.id;
        self.sites.push(copy);
    }

    /// Deletes the open site with its stations; it can be put back. Another is opened: one always is.
    pub fn delete_site(&mut self) {
        let id = self.site().id;
        let Some(place) = self.sites.iter().position(|site| site.id == id) else {
            return;
        };
        let fresh = self.fresh_site_id();
        let mut kept = Vec::new();
        self.kept.retain_mut(|station| {
            let goes = station.site == id;
            if goes {
                kept.push(std::mem::take(station));
            }
            !goes
        });
        let gone = |station: &Kept| Some(station.id) == self.opened;
        if kept.iter().any(gone) {
            self.opened = None;
        }
        let site = self.sites.remove(place);
        self.gone.push(Gone { site, kept });
        if self.gone.len() > GONE_KEPT {
            self.gone.remove(0);
        }
        if self.sites.is_empty() {
            self.sites.push(Site::new(fresh));
        }
        let next = self.sites.iter().find(|site| !site.archived);
        self.site = next.unwrap_or(&self.sites[0]).id;
    }

    /// Puts the site back that was deleted last, and opens it.
    pub fn put_back_site(&mut self) {
        if let Some(gone) = self.gone.pop() {
            self.site = gone.site.id;
            self.sites.push(gone.site);
            self.kept.extend(gone.kept);
        }
    }

    /// The numbers of all photos, also of what can still be put back.
    pub fn photos(&self) -> Vec<u32> {
        let gone = self.gone.iter().flat_map(|gone| &gone.kept);
        let all = self.kept.iter().chain(&self.deleted).chain(gone);
        all.filter_map(|kept| kept.photo).collect()
    }

    /// Opens a kept station in the Pocket. `aside` names what is there and kept nowhere.
    pub fn open_in_pocket(&mut self, id: u32, aside: String) {
        if let Some(facts) = self.station(id).map(|kept| self.facts_of(kept)) {
            self.set_draft_aside(aside);
            self.draft = facts;
            self.opened = Some(id);
        }
    }

    /// The draft as a station of the open site keeps it: without what the site knows as well.
    pub fn draft_to_keep(&self) -> Draft {
        let mut draft = self.draft.clone();
        let site = &self.site().facts;
        let et = |facts: &Draft| facts.numbers.get(Field::ReferenceEt).cloned();
        if draft.climate == site.climate && draft.south == site.south && et(&draft) == et(site) {
            draft.climate = Climate::Assumed;
            draft.south = false;
            draft.numbers.set(Field::ReferenceEt, None);
        }
        if draft.month == site.month {
            draft.month = None;
        }
        draft
    }
}

/// A name's stem and the number it ends in; 1 where it ends in none.
fn numbered(name: &str) -> (&str, u32) {
    let stem = name.trim_end_matches(|c: char| c.is_ascii_digit());
    let digits = &name[stem.len()..];
    // More digits than a count has are a code, and stay.
    if digits.is_empty() || digits.len() > 6 {
        return (name.trim_end(), 1);
    }
    let number = digits.bytes().fold(0, |n, d| n * 10 + u32::from(d - b'0'));
    (stem.trim_end(), number)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn three() -> Document {
        let mut document = Document::default();
        for name in ["Bank", "Oval 2", "Beds"] {
            document.add_station(name.into());
        }
        document
    }

    fn names(document: &Document) -> Vec<&str> {
        document.stations().map(|kept| kept.name.as_str()).collect()
    }

    #[test]
    fn like_stations_stand_behind_and_are_numbered_on() {
        let mut document = three();
        document.kept[1].faults.push(Default::default());
        assert_eq!(document.add_like(2, 2), Some(5));
        assert_eq!(
            names(&document),
            ["Bank", "Oval 2", "Oval 3", "Oval 4", "Beds"]
        );
        assert!(document.kept[2].faults.is_empty());
        document.add_like(1, 1);
        assert_eq!(names(&document)[1], "Bank 2");
        assert_eq!(document.add_like(99, 1), None);
        assert_eq!(numbered("Nr 1234567"), ("Nr 1234567", 1));
    }

    #[test]
    fn a_station_moves_within_its_site_only() {
        let mut document = three();
        document.kept.insert(1, Kept::default());
        document.move_station(3, 0);
        assert_eq!(names(&document), ["Beds", "Bank", "Oval 2"]);
        assert_eq!(document.kept[1].site, 0);
        document.move_station(3, 99);
        assert_eq!(names(&document), ["Bank", "Oval 2", "Beds"]);
        document.move_station(99, 0);
        assert_eq!(document.kept.len(), 4);
    }

    #[test]
    fn deleted_stations_come_back_where_they_stood() {
        let mut document = three();
        let before = document.kept.clone();
        document.delete_stations(&[1, 3]);
        assert_eq!(names(&document), ["Oval 2"]);
        document.put_back_stations(2);
        assert_eq!(document.kept, before);
        // What another site lost is put back there, not here.
        document.delete_stations(&[3]);
        document.copy_site("Elder Row".into());
        assert!(document.last_deleted().is_none());
        let own = document.stations().next().unwrap().id;
        document.delete_stations(&[own]);
        document.put_back_stations(9);
        assert_eq!(
            (document.stations().count(), document.deleted.len()),
            (2, 1)
        );
        document.site = 1;
        assert_eq!(document.last_deleted().unwrap().id, 3);
        document.put_back_stations(1);
        let here: Vec<Kept> = document.stations().cloned().collect();
        assert_eq!(here, before);
        document.put_back_stations(2);
        assert_eq!(document.kept.len(), 5);
    }

    /// Numbers of stations are the phone's: a copy that kept them would speak of the site it came from.
    #[test]
    fn a_copy_speaks_of_its_own_stations_only() {
        let mut document = three();
        document.kept[0].apart = vec![3, 77];
        document.site_mut().planned.ticks.push("0".into());
        let program = Default::default();
        document.site_mut().present.programs.push(program);
        document.site_mut().quote.push(Default::default());
        for (name, text) in [("quote_number", "7"), ("client", "x"), ("own_rain", "1")] {
            document.site_mut().words.set(name, text);
        }
        document.copy_site("Court, copy".into());
        let words = &document.site().words;
        assert_eq!((words.get("quote_number"), words.get("client")), ("", ""));
        assert_eq!(
            (words.get("own_rain"), document.site().quote.len()),
            ("1", 0)
        );
        let copies: Vec<&Kept> = document.stations().collect();
        assert_eq!(copies[0].apart, [copies[2].id]);
        assert_eq!(document.site().planned, Default::default());
        assert_eq!(document.site().present, Default::default());
        assert_eq!(document.kept[0].apart, [3, 77]);
        assert_eq!(document.sites[0].planned.ticks.len(), 1);
    }

    #[test]
    fn a_site_is_copied_deleted_and_put_back() {
        let mut document = three();
        document.site_mut().name = "Court".into();
        document.copy_site("Court, copy".into());
        assert_eq!(names(&document), ["Bank", "Oval 2", "Beds"]);
        assert_eq!((document.kept.len(), document.sites.len()), (6, 2));
        let before = document.clone();
        document.delete_site();
        assert_eq!(document.site().name, "Court");
        assert_eq!(document.kept.len(), 3);
        document.delete_site();
        assert_eq!((document.sites.len(), document.kept.len()), (1, 0));
        document.put_back_site();
        document.put_back_site();
        assert_eq!(document.site().name, "Court, copy");
        assert_eq!(document.stations().count(), 3);
        assert_eq!(document.kept.len(), before.kept.len());
    }

    #[test]
    fn a_kept_station_keeps_taking_its_sites_climate() {
        let mut document = three();
        document.site_mut().facts.climate = Climate::Zone(3);
        document.open_in_pocket(1, String::new());
        assert_eq!(document.draft.climate, Climate::Zone(3));
        assert_eq!(document.draft_to_keep().climate, Climate::Assumed);
        document.draft.climate = Climate::Zone(4);
        assert_eq!(document.draft_to_keep().climate, Climate::Zone(4));
    }
}
