//! What repairs cost: counts times own prices, in whole hundredths of the currency's unit.
//!
//! Every amount that is shown is rounded once, a half up, and every sum is a sum of shown amounts: a
//! client who adds up the page finds its total. Nothing here is a floating-point number.

use crate::invalid::{Invalid, Problem};

/// An amount of money, hundredths of the currency's unit.
pub type Hundredths = u64;

/// Most that a whole quote may come to: a hundred thousand million units.
pub const TOTAL_MOST: Hundredths = 10_000_000_000_000;

const TOO_MUCH: Problem = Problem::Other("gives more money than can be counted; a lower number");

/// One line: so many of one thing.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Line {
    /// How many, thousandths: 2.5 m of pipe are 2500.
    pub count_thousandths: u64,
    /// What one costs before markup.
    pub price: Hundredths,
    /// How long one takes, minutes.
    pub minutes_each: u32,
}

/// Where the tax is rounded.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum TaxOn {
    /// Once, on the sum of what is taxed.
    #[default]
    Total,
    /// On each line and on the trip, then added.
    EachLine,
}

/// What holds for the whole quote.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Terms {
    /// Price of an hour of work.
    pub hour: Hundredths,
    /// Price of coming and going.
    pub trip: Hundredths,
    /// How long coming and going takes, minutes; its price is `trip`.
    pub trip_minutes: u32,
    /// Added to the price of parts, hundredths of a percent: 15 % is 1500.
    pub markup: u32,
    /// Tax, hundredths of a percent: 8.25 % is 825.
    pub tax: u32,
    /// Where the tax is rounded.
    pub tax_on: TaxOn,
    /// Whether work and trip are taxed as parts are; in many places they are not.
    pub work_taxed: bool,
}

/// What a line comes to.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct LineSum {
    /// Parts with markup.
    pub parts: Hundredths,
    /// Work.
    pub work: Hundredths,
    /// Tax, where each line is taxed; otherwise 0.
    pub tax: Hundredths,
}

/// What a quote comes to.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Quote {
    /// Each line, in the order given.
    pub lines: Vec<LineSum>,
    /// Sum of parts with markup.
    pub parts: Hundredths,
    /// Sum of work.
    pub work: Hundredths,
    /// The trip.
    pub trip: Hundredths,
    /// Tax on all that is taxed.
    pub tax: Hundredths,
    /// All together.
    pub total: Hundredths,
    /// Time on site and on the way, minutes, rounded up.
    pub minutes: u64,
}

/// Adds up a quote.
///
/// # Errors
/// A product or sum beyond [`TOTAL_MOST`], beside the line (`lines[2]`) or the term that makes it.
pub fn quote(lines: &[Line], terms: &Terms) -> Result<Quote, Invalid> {
    let mut found = Quote {
        trip: terms.trip,
        ..Quote::default()
    };
    let mut taxed = 0_u64;
    let mut minutes_thousandths = 0_u64;
    for (place, line) in lines.iter().enumerate() {
        let beyond = || Invalid::new(format!("lines[{place}]"), TOO_MUCH);
        let mut sum = line_sum(line, terms).ok_or_else(beyond)?;
        let base = sum.parts + if terms.work_taxed { sum.work } else { 0 };
        if terms.tax_on == TaxOn::EachLine {
            sum.tax = share(base, terms.tax).ok_or_else(beyond)?;
        }
        found.tax += sum.tax;
        taxed += base;
        found.parts += sum.parts;
        found.work += sum.work;
        minutes_thousandths = line
            .count_thousandths
            .checked_mul(u64::from(line.minutes_each))
            .and_then(|more| minutes_thousandths.checked_add(more))
            .ok_or_else(beyond)?;
        if found.parts + found.work + found.tax > TOTAL_MOST {
            return Err(beyond());
        }
        found.lines.push(sum);
    }
    let beyond = |field| move || Invalid::new(field, TOO_MUCH);
    let trip_taxed = if terms.work_taxed { terms.trip } else { 0 };
    let more = match terms.tax_on {
        TaxOn::EachLine => trip_taxed,
        TaxOn::Total => taxed.saturating_add(trip_taxed),
    };
    found.tax += share(more, terms.tax).ok_or_else(beyond("tax"))?;
    let sum = (found.parts + found.work)
        .checked_add(found.trip)
        .and_then(|sum| sum.checked_add(found.tax));
    found.total = sum
        .filter(|total| *total <= TOTAL_MOST)
        .ok_or_else(beyond("trip"))?;
    found.minutes = minutes_thousandths.div_ceil(1000) + u64::from(terms.trip_minutes);
    Ok(found)
}

/// Parts and work of a line, each rounded once. Tax is left at 0.
fn line_sum(line: &Line, terms: &Terms) -> Option<LineSum> {
    let parts = line
        .count_thousandths
        .checked_mul(line.price)?
        .checked_mul(10_000 + u64::from(terms.markup))?;
    let work = line
        .count_thousandths
        .checked_mul(u64::from(line.minutes_each))?
        .checked_mul(terms.hour)?;
    let sum = LineSum {
        parts: half_up(parts, 10_000_000),
        work: half_up(work, 60_000),
        tax: 0,
    };
    (sum.parts <= TOTAL_MOST && sum.work <= TOTAL_MOST).then_some(sum)
}

/// So many hundredths of a percent of an amount.
fn share(amount: Hundredths, of: u32) -> Option<Hundredths> {
    let found = half_up(amount.checked_mul(u64::from(of))?, 10_000);
    (found <= TOTAL_MOST).then_some(found)
}

/// The nearest whole number, a half up.
const fn half_up(number: u64, divisor: u64) -> u64 {
    number / divisor + (number % divisor >= divisor.div_ceil(2)) as u64
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: 3 nozzles at 2.50 with 20 % on top are 9.00, 3 x 5 minutes at 60.00 an hour 15.00;
    /// 2.5 m of pipe at 1.99 with 20 % are 5.97, 2.5 x 8 minutes 20.00. Trip 45.00. Tax 8.25 % on
    /// parts: 14.97 give 1.235, that is 1.24.
    #[test]
    fn a_quote_by_hand() {
        let lines = [
            Line {
                count_thousandths: 3_000,
                price: 250,
                minutes_each: 5,
            },
            Line {
                count_thousandths: 2_500,
                price: 199,
                minutes_each: 8,
            },
        ];
        let mut terms = Terms {
            hour: 6_000,
            trip: 4_500,
            trip_minutes: 30,
            markup: 2_000,
            tax: 825,
            ..Terms::default()
        };
        let found = quote(&lines, &terms).unwrap();
        assert_eq!((found.parts, found.work, found.tax), (1_497, 3_500, 124));
        assert_eq!((found.total, found.minutes), (9_621, 65));
        // Each line: 9.00 gives 0.7425, 5.97 gives 0.492525.
        terms.tax_on = TaxOn::EachLine;
        let found = quote(&lines, &terms).unwrap();
        assert_eq!(
            (found.lines[0].tax, found.lines[1].tax, found.tax),
            (74, 49, 123)
        );
        // Work and trip as well: 24.00, 25.97 and 45.00 give 1.98, 2.142525, 3.7125.
        terms.work_taxed = true;
        let found = quote(&lines, &terms).unwrap();
        assert_eq!(found.tax, 198 + 214 + 371);
    }

    #[test]
    fn a_half_goes_up() {
        assert_eq!(
            [
                half_up(49, 100),
                half_up(50, 100),
                half_up(1, 3),
                half_up(2, 3)
            ],
            [0, 1, 0, 1]
        );
    }

    #[test]
    fn too_much_is_refused_beside_its_line() {
        let small = Line {
            count_thousandths: 1_000,
            price: 100,
            minutes_each: 0,
        };
        let big = Line {
            count_thousandths: u64::MAX,
            price: 2,
            minutes_each: 0,
        };
        let found = quote(&[small, big], &Terms::default()).unwrap_err();
        assert_eq!(found.field, "lines[1]");
        let terms = Terms {
            trip: TOTAL_MOST,
            ..Terms::default()
        };
        assert_eq!(quote(&[small], &terms).unwrap_err().field, "trip");
        assert!(quote(&[], &terms).is_ok());
        let terms = Terms {
            trip: u64::MAX,
            tax: 5,
            work_taxed: true,
            ..Terms::default()
        };
        assert_eq!(quote(&[], &terms).unwrap_err().field, "tax");
    }
}
