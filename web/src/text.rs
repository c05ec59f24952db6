//! Every word on the page, in two tables: `text/en.rs` and `text/es.rs`. A word missing from either
//! does not compile. `{name}` stands for what [`fill`] puts there.

mod en;
mod es;
pub mod night;
pub mod papers;
pub mod pocket;
pub mod site;
pub mod year;

use std::ops::Deref;

use crate::document::Language;

/// The page's words in a language.
pub fn text(language: Language) -> &'static Text {
    match language {
        Language::En => &en::TEXT,
        Language::Es => &es::TEXT,
    }
}

impl Deref for Text {
    type Target = pocket::PocketWords;

    #[inline(never)] // it stands at every word
    fn deref(&self) -> &pocket::PocketWords {
        match self.language {
            Language::En => &pocket::ENGLISH,
            Language::Es => &pocket::SPANISH,
        }
    }
}

/// Words of the places that come later: the page does without them.
pub struct LaterText {
    pub year: year::YearText,
    pub papers: papers::PapersText,
}

/// The words of the places that come later, in a language.
pub fn later(language: Language) -> &'static LaterText {
    static EN: LaterText = LaterText {
        year: year::EN,
        papers: papers::EN,
    };
    static ES: LaterText = LaterText {
        year: year::ES,
        papers: papers::ES,
    };
    match language {
        Language::En => &EN,
        Language::Es => &ES,
    }
}

/// Puts values into a sentence: `fill("{n} runs", &[("n", "3")])`.
pub fn fill(sentence: &str, values: &[(&str, &str)]) -> String {
    let mut out = String::with_capacity(sentence.len() + 16);
    let mut rest = sentence;
    while let Some((before, after)) = rest.split_once('{') {
        out.push_str(before);
        let (name, after) = after.split_once('}').unwrap_or((after, ""));
        out.push_str(
            values
                .iter()
                .find(|(n, _)| *n == name)
                .map_or("", |(_, value)| value),
        );
        rest = after;
    }
    out.push_str(rest);
    out
}

/// The same with values that were made for it.
#[inline(never)]
pub fn fill_with(sentence: &str, values: &[(&str, String)]) -> String {
    let values: Vec<(&str, &str)> = values
        .iter()
        .map(|(name, value)| (*name, &**value))
        .collect();
    fill(sentence, &values)
}

/// All words. Sections follow the page from top to bottom. What only the Pocket shows stands in a table
/// of its own, and so with the Site and the Night: a module that goes without a place goes without
/// its words. They read the same: `text.soil_class`, `text.site.copy`.
pub struct Text {
    language: Language,
    /// The Site place.
    pub site: site::SiteText,
    /// The Night place.
    pub night: night::NightText,
    // The head: preferences and notices
    pub later_waits: &'static str,
    // The answer
    pub this_week: &'static str,
    pub minutes_short: &'static str,
    pub hours_minutes: &'static str,
    // Facts
    pub slope: &'static str,
    pub rate: &'static str,
    pub less: &'static str,
    pub more: &'static str,
    pub understood: &'static str,
    // Soil
    pub sand: &'static str,
    pub loamy_sand: &'static str,
    pub sandy_loam: &'static str,
    pub loam: &'static str,
    pub silt_loam: &'static str,
    pub silt: &'static str,
    pub sandy_clay_loam: &'static str,
    pub clay_loam: &'static str,
    pub silty_clay_loam: &'static str,
    pub sandy_clay: &'static str,
    pub silty_clay: &'static str,
    pub clay: &'static str,
    pub layer_sand: &'static str,
    pub layer_silt: &'static str,
    pub layer_clay: &'static str,
    pub sand_share: &'static str,
    pub silt_share: &'static str,
    pub clay_share: &'static str,
    pub ring_depth: &'static str,
    pub ring_minutes: &'static str,
    pub intake: &'static str,
    pub runoff_minutes: &'static str,
    // Slope
    pub rise: &'static str,
    pub run_over: &'static str,
    // Rate
    pub station_flow: &'static str,
    pub wetted_area: &'static str,
    pub head_flow: &'static str,
    pub arc: &'static str,
    pub head_spacing: &'static str,
    pub row_spacing: &'static str,
    pub emitter_flow: &'static str,
    pub emitter_spacing: &'static str,
    pub line_spacing: &'static str,
    pub metered_volume: &'static str,
    pub test_minutes: &'static str,
    pub can_opening: &'static str,
    // Assumptions
    pub cool_turf: &'static str,
    pub warm_turf: &'static str,
    pub high_use: &'static str,
    pub moderate_use: &'static str,
    pub low_use: &'static str,
    pub very_low_use: &'static str,
    pub trees: &'static str,
    pub type_factor: &'static str,
    pub plant_factor: &'static str,
    pub month: &'static str,
    pub place_search: &'static str,
    pub place_none: &'static str,
    pub reference_et: &'static str,
    pub own_figures: &'static str,
    pub uniformity: &'static str,
    pub root_depth: &'static str,
    pub depletion: &'static str,
    pub rain: &'static str,
    pub days_allowed: &'static str,
    // Why
    pub own_runs: &'static str,
    pub own_minutes: &'static str,
    pub own_soak: &'static str,
    // Faults
    pub fault_empty: &'static str,
    pub fault_not_number: &'static str,
    pub fault_not_whole: &'static str,
    pub fault_range: &'static str,
    // Months
    pub january: &'static str,
    pub february: &'static str,
    pub march: &'static str,
    pub april: &'static str,
    pub may: &'static str,
    pub june: &'static str,
    pub july: &'static str,
    pub august: &'static str,
    pub september: &'static str,
    pub october: &'static str,
    pub november: &'static str,
    pub december: &'static str,
    // Night
    pub places: &'static str,
    pub pocket: &'static str,
    pub night_place: &'static str,
    pub year_place: &'static str,
    pub papers_place: &'static str,
    pub capacity: &'static str,
    pub at_once: &'static str,
    pub window_hours: &'static str,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_are_put_into_sentences() {
        assert_eq!(
            fill("{n} of {m}, {n}", &[("n", "3"), ("m", "5")]),
            "3 of 5, 3"
        );
        assert_eq!(fill("nothing", &[]), "nothing");
        assert_eq!(fill("{unknown}{", &[]), "");
    }
}
