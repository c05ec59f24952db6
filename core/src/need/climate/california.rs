//! The eighteen evapotranspiration zones of California, as printed on the state's zone map.

use crate::need::monthly::DAYS;
use crate::reference::{Source, Standing};

/// Where the zones come from; the page prints it.
pub const SOURCE: Source = Source {
    work: "California Department of Water Resources and University of California, Davis, 1999: \
           reference evapotranspiration zones",
    place: "zone map, monthly averages",
    standing: Standing::Checked,
    note: "read from public transcriptions; zone 7 December 0.62 (they print 0.062) and zone 9 \
           October 4.03 (they print 4.30) follow from whole hundredths of an inch a day; \
           descriptions in our own words",
};

/// One zone of the map.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Zone {
    /// 1 to 18, as on the map.
    pub number: u8,
    /// Where it lies, in our own words.
    pub lies: &'static str,
    /// Reference evapotranspiration of each month in hundredths of an inch a day, January first.
    ///
    /// The map prints inches a month; each is a whole number of these times the days of the month.
    pub hundredths_inch_per_day: [u8; 12],
}

impl Zone {
    /// Reference evapotranspiration on a mean day of each month, mm; an inch is 25.4 mm.
    pub fn et_mm_per_day(&self) -> [f64; 12] {
        self.hundredths_inch_per_day
            .map(|hundredths| f64::from(hundredths) * 0.254)
    }

    /// Reference evapotranspiration of each month as the map prints it, inches.
    pub fn inches_per_month(&self) -> [f64; 12] {
        let mut inches = [0.0; 12];
        for (month, printed) in inches.iter_mut().enumerate() {
            let hundredths =
                u32::from(self.hundredths_inch_per_day[month]) * u32::from(DAYS[month]);
            *printed = f64::from(hundredths) / 100.0;
        }
        inches
    }
}

/// The zones of the map, in its order.
#[rustfmt::skip]
pub const ZONES: [Zone; 18] = [
    zone(1, "Coastal plains, heavy fog belt",
         [3, 5, 8, 11, 13, 15, 15, 13, 11, 8, 4, 2]),
    zone(2, "Coastal mixed fog area",
         [4, 6, 10, 13, 15, 17, 16, 15, 13, 9, 6, 4]),
    zone(3, "Coastal valleys and plains, north coast mountains",
         [6, 8, 12, 16, 17, 19, 18, 17, 14, 11, 8, 6]),
    zone(4, "South coast inland plains, mountains north of San Francisco",
         [6, 8, 11, 15, 17, 19, 19, 18, 15, 11, 8, 6]),
    zone(5, "Northern inland valleys",
         [3, 6, 9, 14, 18, 21, 21, 19, 15, 10, 5, 3]),
    zone(6, "Upland central coast, Los Angeles basin",
         [6, 8, 11, 16, 18, 21, 21, 20, 16, 12, 8, 6]),
    zone(7, "Northeastern plains",
         [2, 5, 8, 13, 17, 21, 24, 21, 16, 9, 4, 2]),
    zone(8, "Inland San Francisco Bay area",
         [4, 6, 11, 16, 20, 23, 24, 21, 17, 11, 6, 3]),
    zone(9, "South coast marine-to-desert transition",
         [7, 10, 13, 17, 19, 22, 24, 22, 19, 13, 9, 6]),
    zone(10, "North central plateau, central coast range",
         [3, 6, 10, 15, 19, 24, 26, 23, 17, 10, 5, 3]),
    zone(11, "Central Sierra Nevada",
         [5, 8, 10, 15, 19, 24, 26, 24, 19, 12, 7, 5]),
    zone(12, "East side Sacramento-San Joaquin Valley",
         [4, 7, 11, 17, 22, 26, 26, 23, 18, 12, 6, 3]),
    zone(13, "Northern Sierra Nevada",
         [4, 7, 10, 16, 21, 26, 29, 25, 19, 12, 6, 3]),
    zone(14, "Mid-Central Valley, southern Sierra Nevada, Tehachapi, high desert mountains",
         [5, 8, 12, 17, 22, 26, 28, 25, 19, 13, 7, 5]),
    zone(15, "Northern and southern San Joaquin Valley",
         [4, 8, 12, 19, 24, 27, 28, 25, 19, 13, 7, 4]),
    zone(16, "Westside San Joaquin Valley, mountains east and west of Imperial Valley",
         [5, 9, 13, 19, 25, 29, 30, 27, 21, 14, 8, 5]),
    zone(17, "High desert valleys",
         [6, 10, 15, 20, 26, 30, 32, 28, 22, 14, 9, 6]),
    zone(18, "Imperial Valley, Death Valley, Palo Verde",
         [8, 12, 17, 23, 28, 32, 31, 28, 23, 16, 10, 7]),
];

const fn zone(number: u8, lies: &'static str, hundredths_inch_per_day: [u8; 12]) -> Zone {
    Zone {
        number,
        lies,
        hundredths_inch_per_day,
    }
}
