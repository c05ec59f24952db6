//! The stations of the open site with their answers, worked out once for each change of each.

use std::rc::Rc;

use crate::document::{Document, Draft};
use crate::station::{self, Answer, Season};

/// A station of the list.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// Its number.
    pub id: u32,
    /// Its name.
    pub name: String,
    /// Its facts, and the site's with the season, that the answer rests on.
    rests_on: (Draft, Rc<(Draft, Season)>),
    /// The answer; `None` while something is missing or wrong.
    pub answer: Option<Answer>,
    /// Whether no flow is known.
    pub no_flow: bool,
    /// How many faults were found.
    pub faults: u32,
    /// Looked at on this walk.
    pub checked: bool,
    /// Whether something was changed on this walk.
    pub changed: bool,
}

/// All lines; those of `before` that still hold are taken over.
pub fn lines(before: Option<&Vec<Rc<Line>>>, document: &Document, month: u32) -> Vec<Rc<Line>> {
    let site = document.site();
    let before = before.map_or(&[][..], Vec::as_slice);
    let season = document.season(month);
    let shared = site.ruled(site.facts.clone());
    let facts = match before.first().map(|line| &line.rests_on.1) {
        Some(known) if known.0 == shared && known.1 == season => known.clone(),
        _ => Rc::new((shared, season)),
    };
    let one = |(place, kept): (usize, &crate::document::Kept)| {
        let known = before.get(place).filter(|line| line.id == kept.id);
        let known = known.or_else(|| before.iter().find(|line| line.id == kept.id));
        let same = known
            .filter(|line| line.rests_on.0 == kept.draft && Rc::ptr_eq(&line.rests_on.1, &facts));
        let faults = kept.faults.iter().map(|(_, count)| count).sum();
        let changed = !kept.changed.is_empty();
        if let Some(line) = same {
            let seen = (line.faults, line.checked, line.changed);
            if line.name == kept.name && seen == (faults, kept.checked, changed) {
                return line.clone();
            }
        }
        let worked_out = || {
            let facts = document.ruled_facts_of(kept);
            let answer = station::work_out(&facts, &season).ok();
            let no_flow = station::flow_l_per_min(&facts).is_none();
            (answer.map(|outcome| outcome.answer), no_flow)
        };
        let (answer, no_flow) = match same {
            Some(line) => (line.answer.clone(), line.no_flow),
            None => worked_out(),
        };
        Rc::new(Line {
            id: kept.id,
            name: kept.name.clone(),
            rests_on: (kept.draft.clone(), facts.clone()),
            answer,
            no_flow,
            faults,
            checked: kept.checked,
            changed,
        })
    };
    document.stations().enumerate().map(one).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::Climate;

    #[test]
    fn only_what_changed_is_worked_out_anew() {
        let mut document = Document::default();
        document.add_station("Bank".into());
        document.add_station("Oval".into());
        let first = lines(None, &document, 7);
        document.kept[1].draft.soil = Some("loam".into());
        let second = lines(Some(&first), &document, 7);
        assert!(Rc::ptr_eq(&first[0], &second[0]));
        assert!(!Rc::ptr_eq(&first[1], &second[1]));
        document.move_station(2, 0);
        let third = lines(Some(&second), &document, 7);
        assert!(Rc::ptr_eq(&third[0], &second[1]));
        document.site_mut().facts.climate = Climate::Zone(3);
        let fourth = lines(Some(&third), &document, 7);
        assert!(!Rc::ptr_eq(&third[0], &fourth[0]));
    }
}
