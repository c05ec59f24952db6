//! How much of the rain counts.
//!
//! There is no agreement: light rain wets leaves, heavy rain runs off, and rules are made for budgets or for the
//! field. The choice is the user's; whatever is chosen, rain never counts for more than the plants still want.

use crate::quantity::{Depth, Share};
use crate::reference::{Source, Standing};

/// A published rule or a habit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum RainRule {
    /// A quarter, for budgets: 25 % of the period's rain.
    Quarter,
    /// 30 % of a month's rain, where the month brings more than an inch; otherwise nothing.
    ThirtyAboveAnInch,
    /// 80 % of what falls.
    FourFifths,
    /// Half of each storm, for the field.
    Half,
    /// None of it: dry seasons, roofed plantings.
    Nothing,
    /// A share of the user's own.
    Own(Share),
}

impl RainRule {
    /// Every named rule, in the order of [`RainRule::WORDS`].
    pub const ALL: &'static [Self] = &[
        Self::Quarter,
        Self::ThirtyAboveAnInch,
        Self::FourFifths,
        Self::Half,
        Self::Nothing,
    ];

    /// The rules' names at the JSON door.
    pub const WORDS: &'static [&'static str] = &[
        "quarter",
        "thirty_above_an_inch",
        "four_fifths",
        "half",
        "nothing",
    ];

    /// Where the rule comes from.
    pub const fn source(self) -> Source {
        match self {
            Self::Quarter => Source {
                work: "City of Vacaville (California), code 14.27.030, option of the state's model \
                       ordinance",
                place: "effective precipitation 25 % of annual rain",
                standing: Standing::Checked,
                note: "recalled for the federal label's peak month too",
            },
            Self::ThirtyAboveAnInch => Source {
                work: "A California contractors' certification scheme",
                place: "30 % of a month's rain above one inch, at most evapotranspiration",
                standing: Standing::Checked,
                note: "",
            },
            Self::FourFifths => Source {
                work: "Controller test protocol, later ANSI/ASABE S627",
                place: "net rain 80 % of gross",
                standing: Standing::FromMemory,
                note: "",
            },
            Self::Half => Source {
                work: "common practice, no source",
                place: "half of each storm, at most the soil's deficit",
                standing: Standing::CommonPractice,
                note: "",
            },
            Self::Nothing | Self::Own(_) => Source {
                work: "the user's choice",
                place: "",
                standing: Standing::Judgement,
                note: "",
            },
        }
    }
}

/// Rain that counts out of one storm or one month, at most `wanted`: the soil's deficit for a storm, the month's plant
/// need for a month.
///
/// The rule by the inch is made for months.
pub fn effective(rule: RainRule, rain: Depth, wanted: Depth) -> Depth {
    let mm = rain.to_mm();
    let counted = match rule {
        RainRule::Quarter => 0.25 * mm,
        RainRule::ThirtyAboveAnInch if mm > 25.4 => 0.30 * mm,
        RainRule::ThirtyAboveAnInch | RainRule::Nothing => 0.0,
        RainRule::FourFifths => 0.80 * mm,
        RainRule::Half => 0.50 * mm,
        RainRule::Own(share) => share.to_of_one() * mm,
    };
    Depth::mm(counted.min(wanted.to_mm()))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn counted(rule: RainRule, rain_mm: f64, wanted_mm: f64) -> f64 {
        effective(rule, Depth::mm(rain_mm), Depth::mm(wanted_mm)).to_mm()
    }

    #[test]
    fn an_inch_is_not_more_than_an_inch() {
        assert_eq!(counted(RainRule::ThirtyAboveAnInch, 25.4, 100.0), 0.0);
        assert!(counted(RainRule::ThirtyAboveAnInch, 25.5, 100.0) > 7.6);
    }

    #[test]
    fn rain_counts_for_no_more_than_is_wanted() {
        let own = RainRule::Own(Share::of_one(1.0));
        for rule in RainRule::ALL.iter().chain([&own]) {
            for wanted in [0.0, 3.0, 1000.0] {
                assert!(counted(*rule, 200.0, wanted) <= wanted);
            }
        }
        assert_eq!(counted(RainRule::Half, 200.0, 30.0), 30.0);
        assert_eq!(counted(RainRule::Quarter, 200.0, 300.0), 50.0);
        assert_eq!(counted(RainRule::FourFifths, 10.0, 300.0), 8.0);
        assert_eq!(counted(RainRule::Nothing, 10.0, 300.0), 0.0);
    }
}
