//! A rough climate for places without a signal: evapotranspiration and rain of a typical month.
//!
//! [`BUILT_IN`] covers the world thinly, with the cities that name the world's time zones; [`california`] the eighteen
//! published zones of one state. Both are for the shape of a year and a first guess. A local weather station's figures
//! replace them: [`ROUGHNESS`] is how far a month may be off.

pub mod california;

use crate::math;
use crate::quantity::{Latitude, Longitude, Share};
use crate::reference::{Source, Standing};

/// Where the table comes from; the page prints it.
pub const SOURCE: Source = Source {
    work: "ERA5 monthly climatology 2000-2025 (contains modified Copernicus Climate Change \
           Service information 2026); MERRA-2 radiation 2011-2015 (NASA); IANA time zone \
           database, zone.tab",
    place: "evapotranspiration = 0.0135 x 0.408 x radiation x (temperature + 17.8), Hargreaves 1975",
    standing: Standing::Checked,
    note: "rough month, 20 % either way; radiation on a 3 degree grid blurs coasts and mountains, \
           windy deserts read low; local figures are better",
};

/// How far a month of this table may be off, either way: a fifth.
///
/// Judged by comparing a dozen places with published local figures recalled from memory.
pub const ROUGHNESS: Share = Share::of_one(0.2);

/// Mean radius of the earth, km (IUGG).
const EARTH_RADIUS_KM: f64 = 6371.0088;

/// The table that comes with this crate. Who holds its bytes otherwise reads them with [`Table::read`] and goes
/// without this copy.
pub static BUILT_IN: Table = match Table::read(include_bytes!("climate/places.bin")) {
    Some(table) => table,
    None => panic!("places.bin is not a table of places"),
};

/// Bytes of one place before its name: twelve of evapotranspiration, twelve of rain, position, country.
const RECORD: usize = 12 + 12 + 2 + 2 + 2;

/// Places with their typical years, in bytes that were looked at once.
///
/// In little-endian order: their count (two bytes); twelve monthly steps of 0.05 mm a day of each; twelve monthly rains
/// of each, as eighths of the root of millimetres; latitudes, then longitudes in hundredths of a degree (two bytes each);
/// countries (two letters each); names in alphabetical order, a line each.
#[derive(Clone, Copy, Debug)]
pub struct Table {
    bytes: &'static [u8],
    count: usize,
    names: &'static str,
}

/// One place and its typical year.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place {
    /// The city as the time-zone list spells it, without accents.
    pub name: &'static str,
    /// Where the city is.
    pub latitude: Latitude,
    /// Where the city is.
    pub longitude: Longitude,
    /// Reference evapotranspiration on a mean day of each month, mm, January first; in steps of 0.05.
    pub et_mm_per_day: [f64; 12],
    rain: [u8; 12],
    country: [u8; 2],
}

impl Place {
    /// Rain of each month, mm, January first; kept to about 2 % of a wet month.
    pub fn rain_mm(&self) -> [f64; 12] {
        self.rain
            .map(|root| f64::from(root) * f64::from(root) / 64.0)
    }

    /// Two letters (ISO 3166), as in the time-zone list.
    pub fn country(&self) -> &str {
        str::from_utf8(&self.country).unwrap_or_default()
    }
}

/// A place and how far away it is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Near {
    /// The place.
    pub place: Place,
    /// Along the earth's surface, km.
    pub distance_km: f64,
}

impl Table {
    /// The table in some bytes; `None` where they are none.
    pub const fn read(bytes: &'static [u8]) -> Option<Self> {
        let Some((count, _)) = bytes.split_first_chunk() else {
            return None;
        };
        let count = u16::from_le_bytes(*count) as usize;
        let Some((_, names)) = bytes.split_at_checked(2 + RECORD * count) else {
            return None;
        };
        let Ok(names) = str::from_utf8(names) else {
            return None;
        };
        let (mut at, mut lines) = (0, 0);
        while at < names.len() {
            lines += (names.as_bytes()[at] == b'\n') as usize;
            at += 1;
        }
        let table = Self {
            bytes,
            count,
            names,
        };
        let mut row = 0;
        while row < count {
            let (latitude, longitude) = table.position(row);
            if latitude.unsigned_abs() > 9000 || longitude.unsigned_abs() > 18000 {
                return None;
            }
            row += 1;
        }
        // The last name has a line end too.
        if lines == count && matches!(names.as_bytes(), [] | [.., b'\n']) {
            Some(table)
        } else {
            None
        }
    }

    /// The `N` bytes of a row in the part that begins after `before` bytes of every place.
    const fn record<const N: usize>(self, row: usize, before: usize) -> [u8; N] {
        let mut record = [0; N];
        let mut at = 0;
        while at < N {
            record[at] = self.bytes[2 + before * self.count + N * row + at];
            at += 1;
        }
        record
    }

    /// Hundredths of a degree.
    const fn position(self, row: usize) -> (i16, i16) {
        let latitude = i16::from_le_bytes(self.record(row, 24));
        (latitude, i16::from_le_bytes(self.record(row, 26)))
    }

    /// All places, in alphabetical order.
    pub fn places(self) -> impl Iterator<Item = Place> {
        let degrees = |hundredths: i16| f64::from(hundredths) / 100.0;
        self.names.lines().enumerate().map(move |(row, name)| {
            let (latitude, longitude) = self.position(row);
            Place {
                name,
                latitude: Latitude::degrees(degrees(latitude)),
                longitude: Longitude::degrees(degrees(longitude)),
                et_mm_per_day: self.record(row, 0).map(|step: u8| f64::from(step) / 20.0),
                rain: self.record(row, 12),
                country: self.record(row, 28),
            }
        })
    }

    /// The place of a name, as it is written in the list.
    pub fn named(self, name: &str) -> Option<Place> {
        self.places().find(|place| place.name == name)
    }

    /// The place nearest to a position, and how far off it is; `None` where there are no places. A long way means a
    /// poor guess: say the distance.
    pub fn nearest(self, latitude: Latitude, longitude: Longitude) -> Option<Near> {
        let mut found: Option<Near> = None;
        for place in self.places() {
            let distance_km = distance_km((latitude, longitude), (place.latitude, place.longitude));
            if found.is_none_or(|best| distance_km < best.distance_km) {
                found = Some(Near { place, distance_km });
            }
        }
        found
    }

    /// Places whose name holds `text`, whatever its accents, capitals, hyphens and apostrophes: names that begin with
    /// it first, then names with a word that does, then the others. An empty text finds nothing.
    ///
    /// # Example
    /// ```
    /// use drycurb_core::need::climate::BUILT_IN;
    /// assert_eq!(BUILT_IN.search("são p")[0].name, "Sao Paulo");
    /// assert!(BUILT_IN.search("nowhere at all").is_empty());
    /// ```
    pub fn search(self, text: &str) -> Vec<Place> {
        let wanted = folded(text);
        let mut found = Vec::new();
        if wanted.is_empty() {
            return found;
        }
        let begins = [" ", &wanted].concat();
        // Once for each rank: the page weighs less without a list for each.
        for wanted_rank in 0..3 {
            for place in self.places() {
                let name = [" ", &folded(place.name)].concat();
                let rank = match name.find(&begins) {
                    Some(0) => 0,
                    Some(_) => 1,
                    None if name.contains(&wanted) => 2,
                    None => continue,
                };
                if rank == wanted_rank {
                    found.push(place);
                }
            }
        }
        found
    }
}

/// Great-circle distance by the haversine formula, on a sphere: within 0.6 % of the ellipsoid.
fn distance_km(from: (Latitude, Longitude), to: (Latitude, Longitude)) -> f64 {
    let (lat_1, lat_2) = (
        from.0.to_degrees().to_radians(),
        to.0.to_degrees().to_radians(),
    );
    let east = (to.1.to_degrees() - from.1.to_degrees()).to_radians();
    let half_chord = math::sin((lat_2 - lat_1) / 2.0);
    let half_turn = math::sin(east / 2.0);
    let haversine =
        half_chord * half_chord + math::cos(lat_1) * math::cos(lat_2) * half_turn * half_turn;
    2.0 * EARTH_RADIUS_KM * math::asin(haversine.sqrt().min(1.0))
}

/// Small Latin letters without accents, words parted by one space; all else is dropped.
fn folded(text: &str) -> String {
    let mut plain = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            'a'..='z' | '0'..='9' => plain.push(letter),
            'A'..='Z' => plain.push(letter.to_ascii_lowercase()),
            ' ' | '-' | '_' | '\u{a0}' if !plain.is_empty() && !plain.ends_with(' ') => {
                plain.push(' ');
            }
            _ => plain.push_str(without_accent(letter)),
        }
    }
    plain.truncate(plain.trim_end().len());
    plain
}

/// Letters of the languages written with Latin letters; a combining accent has no letter of its own.
fn without_accent(letter: char) -> &'static str {
    match letter {
        'À'..='Å' | 'à'..='å' | 'Ā'..='ą' | 'Ǎ' | 'ǎ' => "a",
        'Æ' | 'æ' => "ae",
        'Ç' | 'ç' | 'Ć'..='č' => "c",
        'Ð' | 'ð' | 'Ď'..='đ' => "d",
        'È'..='Ë' | 'è'..='ë' | 'Ē'..='ě' | 'Ẽ' | 'ẽ' => "e",
        'Ĝ'..='ģ' => "g",
        'Ĥ'..='ħ' => "h",
        'Ì'..='Ï' | 'ì'..='ï' | 'Ĩ'..='ı' => "i",
        'Ĵ' | 'ĵ' => "j",
        'Ķ'..='ĸ' => "k",
        'Ĺ'..='ł' => "l",
        'Ñ' | 'ñ' | 'Ń'..='ŋ' => "n",
        'Ò'..='Ö' | 'Ø' | 'ò'..='ö' | 'ø' | 'Ō'..='ő' => "o",
        'Œ' | 'œ' => "oe",
        'Ŕ'..='ř' => "r",
        'ß' | 'ẞ' => "ss",
        'Ś'..='š' | 'Ș' | 'ș' => "s",
        'Ţ'..='ŧ' | 'Ț' | 'ț' => "t",
        'Þ' | 'þ' => "th",
        'Ù'..='Ü' | 'ù'..='ü' | 'Ũ'..='ų' => "u",
        'Ŵ' | 'ŵ' => "w",
        'Ý' | 'ý' | 'ÿ' | 'Ŷ'..='Ÿ' => "y",
        'Ź'..='ž' => "z",
        _ => "",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(text: &str) -> Vec<&'static str> {
        BUILT_IN
            .search(text)
            .iter()
            .map(|place| place.name)
            .collect()
    }

    #[test]
    fn accents_capitals_and_hyphens_do_not_matter() {
        assert_eq!(names("são paulo"), ["Sao Paulo"]);
        assert_eq!(names("SA\u{303}O_PAU"), ["Sao Paulo"]);
        assert_eq!(names("Bogotá"), ["Bogota"]);
        assert_eq!(names("  Port au  Prince "), ["Port-au-Prince"]);
        assert_eq!(names("Zürich"), ["Zurich"]);
    }

    #[test]
    fn names_that_begin_with_the_text_come_first() {
        assert_eq!(names("dar"), ["Dar es Salaam", "Darwin"]);
        assert_eq!(names("salem"), ["New Salem", "Jerusalem"]);
    }

    #[test]
    fn nothing_is_found_for_nothing() {
        assert!(BUILT_IN.search("").is_empty());
        assert!(BUILT_IN.search(" -' ").is_empty());
        assert!(BUILT_IN.search("no such city").is_empty());
    }

    #[test]
    fn a_city_is_nearest_to_itself_and_across_the_date_line() {
        for place in BUILT_IN.places() {
            let near = BUILT_IN.nearest(place.latitude, place.longitude).unwrap();
            assert_eq!((near.place, near.distance_km), (place, 0.0));
        }
        let near = BUILT_IN.nearest(Latitude::degrees(-18.0), Longitude::degrees(-179.9));
        let near = near.unwrap();
        assert_eq!(near.place.name, "Fiji");
        assert!(near.distance_km < 300.0);
    }

    /// A quarter of the way round: pole to equator is 10 007.5 km on this sphere.
    #[test]
    fn distance_from_pole_to_equator_is_a_quarter_turn() {
        let pole = (Latitude::degrees(90.0), Longitude::degrees(17.0));
        let equator = (Latitude::degrees(0.0), Longitude::degrees(-100.0));
        assert!((distance_km(pole, equator) - 10_007.557).abs() < 0.01);
        let (west, east) = (Longitude::degrees(-180.0), Longitude::degrees(180.0));
        assert!(distance_km((equator.0, west), (equator.0, east)) < 1e-6);
    }
}
