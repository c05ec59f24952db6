//! How evenly water falls, and how much longer a station runs for it.

use crate::invalid::{Invalid, Problem};
use crate::order;
use crate::quantity::{Opening, PrecipitationRate, Share, TestTime};
use crate::reference::{Source, Standing};

/// Where [`run_time_multiplier`] comes from.
pub const MULTIPLIER: Source = Source {
    work: "Irrigation Association, Landscape Irrigation Scheduling and Water Management, March \
           2005",
    place: "run time multiplier from the distribution uniformity of the low quarter",
    standing: Standing::FromMemory,
    note: "0.4 + 0.6 DU is a rounding of the fitted uniformity of the low half, 0.386 + 0.614 DU; \
           where cans were set out, the measured low half is used instead",
};

/// Where [`CatchCans`]'s uniformities come from.
pub const UNIFORMITY: Source = Source {
    work: "Keller & Bliesner 2000; Merriam & Keller 1978; Christiansen 1942, Calif. AES \
           Bulletin 670",
    place: "distribution uniformity of the low quarter and low half; coefficient of uniformity",
    standing: Standing::Checked,
    note: "a quarter or half that is not whole is rounded, ties to even, as the public sprinkler \
           evaluation package of NC State University does",
};

/// How much longer a station runs than evenly fallen water would need, from the uniformity of its
/// driest quarter: 1/(0.4 + 0.6 DU). Source: [`MULTIPLIER`].
pub fn run_time_multiplier(low_quarter: Share) -> f64 {
    1.0 / (0.4 + 0.6 * low_quarter.to_of_one())
}

/// Fewest cans of which a quarter can be told.
pub const FEWEST_CANS: usize = 4;
/// Most cans.
pub const MOST_CANS: usize = 2_000;
/// Deepest catch, mm.
const MOST_CATCH_MM: f64 = 1_000.0;
/// A can that caught less than this share of the mean stands out: judgement.
const STANDS_OUT: f64 = 0.5;

/// What a catch-can test says.
#[derive(Clone, Debug, PartialEq)]
pub struct CatchCans {
    /// Mean catch, mm.
    pub mean_mm: f64,
    /// Mean of the lowest quarter, mm.
    pub low_quarter_mm: f64,
    /// How many cans that quarter has.
    pub low_quarter_cans: usize,
    /// Mean of the lowest quarter over the mean.
    pub low_quarter_uniformity: Share,
    /// Mean of the lowest half over the mean.
    pub low_half_uniformity: Share,
    /// Christiansen's coefficient: one less the mean deviation over the mean. Can be negative.
    pub christiansen_uniformity: f64,
    /// How much longer to run: one over the measured uniformity of the low half. `None` where half
    /// the cans caught nothing: repair before multiplying.
    pub run_time_multiplier: Option<f64>,
    /// Places in the list of the cans that caught less than half of the mean: look at their heads.
    pub standing_out: Vec<usize>,
}

impl CatchCans {
    /// From the depths caught, mm. Source: [`UNIFORMITY`].
    ///
    /// # Errors
    /// A catch that is no number or outside 0 to 1000 mm (`[3]` names the fourth); fewer than 4
    /// cans or more than 2000; all cans empty.
    pub fn of(catches_mm: &[f64]) -> Result<Self, Vec<Invalid>> {
        let faults = faults_of(catches_mm);
        if !faults.is_empty() {
            return Err(faults);
        }
        let count = catches_mm.len();
        let mean_mm = mean(catches_mm);
        let mut sorted = catches_mm.to_vec();
        order::upward(&mut sorted);
        let low_quarter_cans = part_of(count, 4.0);
        let low_quarter_mm = mean(&sorted[..low_quarter_cans]);
        let low_half = (mean(&sorted[..part_of(count, 2.0)]) / mean_mm).min(1.0);
        let deviation_mm = catches_mm
            .iter()
            .map(|catch| (catch - mean_mm).abs())
            .sum::<f64>()
            / count as f64;
        Ok(Self {
            mean_mm,
            low_quarter_mm,
            low_quarter_cans,
            low_quarter_uniformity: Share::of_one((low_quarter_mm / mean_mm).min(1.0)),
            low_half_uniformity: Share::of_one(low_half),
            christiansen_uniformity: 1.0 - deviation_mm / mean_mm,
            run_time_multiplier: (low_half > 0.0).then(|| 1.0 / low_half),
            standing_out: (0..count)
                .filter(|can| catches_mm[*can] < STANDS_OUT * mean_mm)
                .collect(),
        })
    }

    /// The rate that the cans saw during a test: net, after drift.
    ///
    /// # Errors
    /// A rate outside what a station can have.
    pub fn rate(&self, time: TestTime) -> Result<PrecipitationRate, Problem> {
        super::rate(self.mean_mm * 60.0 / time.to_minutes())
    }
}

/// Depth in a can, mm, from a catch in millilitres.
pub fn depth_mm(catch_ml: f64, throat: Opening) -> f64 {
    10.0 * catch_ml / throat.to_cm2()
}

fn faults_of(catches_mm: &[f64]) -> Vec<Invalid> {
    let mut faults = Vec::new();
    if !(FEWEST_CANS..=MOST_CANS).contains(&catches_mm.len()) {
        let problem = Problem::Other("must hold 4 to 2000 catches");
        faults.push(Invalid::new("", problem));
    }
    for (can, catch) in catches_mm.iter().take(MOST_CANS).enumerate() {
        let problem = if !catch.is_finite() {
            Problem::NotANumber
        } else if !(0.0..=MOST_CATCH_MM).contains(catch) {
            Problem::OutOfRange {
                least: 0.0,
                most: MOST_CATCH_MM,
            }
        } else {
            continue;
        };
        faults.push(Invalid::new(format!("[{can}]"), problem));
    }
    if faults.is_empty() && mean(catches_mm) <= 0.0 {
        let problem = Problem::Other("are all empty; one can at least must have caught water");
        faults.push(Invalid::new("", problem));
    }
    faults
}

fn mean(list: &[f64]) -> f64 {
    list.iter().sum::<f64>() / list.len() as f64
}

/// A part of the cans, rounded, ties to even; one at least.
fn part_of(count: usize, parts: f64) -> usize {
    ((count as f64 / parts).round_ties_even() as usize).max(1)
}
