//! Money on paper: quotes and decimals against exact rationals.

use drycurb_core::money::decimal;
use drycurb_core::paper::quote::{Line, Quote, TOTAL_MOST, TaxOn, Terms, quote};
use num_rational::Ratio;
use proptest::prelude::*;

type Exact = Ratio<i128>;

/// The nearest whole number, a half up: the floor of it and a half more.
fn half_up(exact: Exact) -> i128 {
    (exact + Exact::new(1, 2)).floor().to_integer()
}

fn exact(number: impl Into<i128>) -> Exact {
    Exact::from_integer(number.into())
}

/// The same quote in rationals, written as a bookkeeper would: each shown amount rounded, sums of those.
fn by_rationals(lines: &[Line], terms: &Terms) -> (Vec<(i128, i128, i128)>, i128, i128) {
    let percent = |hundredths: u32| exact(hundredths) / exact(10_000);
    let taxed = |parts: i128, work: i128| exact(parts + if terms.work_taxed { work } else { 0 });
    let (mut listed, mut base, mut tax, mut sum) = (Vec::new(), exact(0), 0, 0);
    for line in lines {
        let count = exact(line.count_thousandths) / exact(1000);
        let marked_up = exact(line.price) * (exact(1) + percent(terms.markup));
        let parts = half_up(count * marked_up);
        let hours = count * exact(line.minutes_each) / exact(60);
        let work = half_up(hours * exact(terms.hour));
        let of_line = taxed(parts, work);
        let line_tax = match terms.tax_on {
            TaxOn::EachLine => half_up(of_line * percent(terms.tax)),
            TaxOn::Total => 0,
        };
        base += of_line;
        tax += line_tax;
        sum += parts + work;
        listed.push((parts, work, line_tax));
    }
    let trip = taxed(0, i128::from(terms.trip));
    tax += match terms.tax_on {
        TaxOn::EachLine => half_up(trip * percent(terms.tax)),
        TaxOn::Total => half_up((base + trip) * percent(terms.tax)),
    };
    (listed, tax, sum + i128::from(terms.trip) + tax)
}

fn lines() -> impl Strategy<Value = Vec<Line>> {
    // Whole counts and any; prices of a washer and of a controller.
    let count = prop_oneof![(0..200_u64).prop_map(|whole| whole * 1000), 0..50_000_u64];
    let price = prop_oneof![0..5_000_u64, 0..100_000_000_u64];
    let line =
        (count, price, 0..600_u32).prop_map(|(count_thousandths, price, minutes_each)| Line {
            count_thousandths,
            price,
            minutes_each,
        });
    prop::collection::vec(line, 0..30)
}

fn terms() -> impl Strategy<Value = Terms> {
    let tax_on = prop_oneof![Just(TaxOn::Total), Just(TaxOn::EachLine)];
    (
        0..1_000_000_u64,
        0..1_000_000_u64,
        0..10_000_u32,
        0..4_000_u32,
        tax_on,
        any::<bool>(),
    )
        .prop_map(|(hour, trip, markup, tax, tax_on, work_taxed)| Terms {
            hour,
            trip,
            trip_minutes: 45,
            markup,
            tax,
            tax_on,
            work_taxed,
        })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(1024))]

    #[test]
    fn every_amount_is_the_exact_one_rounded_once(lines in lines(), terms in terms()) {
        let found = quote(&lines, &terms).unwrap();
        let (listed, tax, total) = by_rationals(&lines, &terms);
        for (sum, (parts, work, tax)) in found.lines.iter().zip(&listed) {
            prop_assert_eq!(i128::from(sum.parts), *parts);
            prop_assert_eq!(i128::from(sum.work), *work);
            prop_assert_eq!(i128::from(sum.tax), *tax);
        }
        prop_assert_eq!(i128::from(found.tax), tax);
        prop_assert_eq!(i128::from(found.total), total);
        let minutes = lines.iter().map(|line| {
            exact(line.count_thousandths) * exact(line.minutes_each) / exact(1000)
        });
        let minutes = minutes.fold(exact(45), |sum, more| sum + more).ceil().to_integer();
        prop_assert_eq!(i128::from(found.minutes), minutes);
    }

    /// What a client adds up on the page is the total.
    #[test]
    fn the_page_adds_up(lines in lines(), terms in terms()) {
        let Quote { lines, parts, work, trip, tax, total, .. } = quote(&lines, &terms).unwrap();
        let shown: u64 = lines.iter().map(|line| line.parts + line.work).sum();
        prop_assert_eq!(shown, parts + work);
        prop_assert_eq!(shown + trip + tax, total);
    }

    /// Whatever the numbers, an answer stays inside its bounds or is refused.
    #[test]
    fn no_number_is_too_big(
        raw in prop::collection::vec((any::<u64>(), any::<u64>(), any::<u32>()), 0..6),
        trip in any::<u64>(),
        rest in any::<[u32; 4]>(),
        flags in any::<[bool; 2]>(),
    ) {
        let lines: Vec<Line> = raw
            .into_iter()
            .map(|(count_thousandths, price, minutes_each)| Line {
                count_thousandths: count_thousandths >> (price % 64),
                price: price >> (count_thousandths % 64),
                minutes_each,
            })
            .collect();
        let [hour, markup, tax, trip_minutes] = rest;
        let terms = Terms {
            hour: hour.into(),
            trip: trip >> (hour % 64),
            trip_minutes,
            markup,
            tax,
            tax_on: if flags[0] { TaxOn::Total } else { TaxOn::EachLine },
            work_taxed: flags[1],
        };
        if let Ok(found) = quote(&lines, &terms) {
            let (_, tax, total) = by_rationals(&lines, &terms);
            prop_assert_eq!((i128::from(found.tax), i128::from(found.total)), (tax, total));
            prop_assert!(found.total <= TOTAL_MOST);
        }
    }

    /// What was written is read back, in both ways of writing.
    #[test]
    fn decimals_come_back(
        value in 0..999_999_999_999_i64,
        places in 0..5_usize,
        comma in any::<bool>(),
    ) {
        let text = decimal::write(value, places, comma);
        prop_assert_eq!(decimal::read(&text, places), Ok(value as u64), "{}", text);
    }

    #[test]
    fn reading_never_panics(text in "[-+0-9., '½x٣\u{202f}]{0,12}", places in 0..5_usize) {
        if let Ok(value) = decimal::read(&text, places) {
            let plain: String = text.chars().filter(char::is_ascii_digit).collect();
            let digits = value.to_string();
            let same = plain.trim_start_matches('0').starts_with(digits.trim_end_matches('0'));
            prop_assert!(value == 0 || same);
        }
    }
}
