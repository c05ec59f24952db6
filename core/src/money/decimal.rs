//! Decimal numbers as people type and read them, in whole numbers throughout.

use crate::invalid::Problem;

/// Most digits that are read; what they make stays far inside 64 bits.
const DIGITS_MOST: usize = 15;

/// Reads a number that is not negative, as a whole count of its last allowed place: `12.5` with two
/// places is 1250. A single `.` or `,` is the decimal mark; of two kinds the last is; one kind
/// repeated, blanks and apostrophes part thousands.
///
/// # Errors
/// Not such a number, or more places than are allowed: an amount is never rounded behind somebody's
/// back, and `1,250` is not guessed at.
pub fn read(text: &str, places: usize) -> Result<u64, Problem> {
    let text = text.trim();
    let is_mark = |c: char| matches!(c, '.' | ',');
    let last = text.rfind(is_mark);
    let kept = last.filter(|at| {
        let (mark, before) = (&text[*at..=*at], &text[..*at]);
        !before.contains(mark)
    });
    let (whole, fraction) = match kept {
        Some(at) => (&text[..at], &text[at + 1..]),
        None => (text, ""),
    };
    let mut groups = whole.split(|c: char| {
        is_mark(c) || matches!(c, ' ' | '\'' | '\u{a0}' | '\u{202f}' | '\u{2019}')
    });
    let first = groups.next().unwrap_or_default();
    let mut digits = first.to_owned();
    for group in groups {
        if first.is_empty() || group.len() != 3 {
            return Err(Problem::NotANumber);
        }
        digits.push_str(group);
    }
    if digits.is_empty() && fraction.is_empty() {
        return Err(Problem::NotANumber);
    }
    let kept = fraction.trim_end_matches('0');
    if !digits
        .bytes()
        .chain(fraction.bytes())
        .all(|c| c.is_ascii_digit())
    {
        return Err(Problem::NotANumber);
    }
    // `1,250` as money: thousands, or three decimals? Even a zero at the end is not dropped then.
    if kept.len() > places || (fraction.len() > places && fraction.len() == 3) {
        return Err(Problem::Other(
            "has more decimals than are counted; thousands without a mark: 1250",
        ));
    }
    digits.push_str(kept);
    digits.extend((kept.len()..places).map(|_| '0'));
    let digits = digits.trim_start_matches('0');
    if digits.len() > DIGITS_MOST {
        return Err(Problem::Other("has too many digits"));
    }
    Ok(digits
        .bytes()
        .fold(0, |sum, digit| sum * 10 + u64::from(digit - b'0')))
}

/// Writes a whole count of the last place: 123456 with two places is `1,234.56`. With `comma` the
/// decimal mark is a comma and thousands are parted by a narrow blank that does not break.
pub fn write(value: i64, places: usize, comma: bool) -> String {
    let digits = value.unsigned_abs().to_string();
    let missing = (places + 1).saturating_sub(digits.len());
    let digits = "0".repeat(missing) + &digits;
    let (whole, fraction) = digits.split_at(digits.len() - places);
    let mut out = String::with_capacity(digits.len() + 8);
    if value < 0 {
        out.push('\u{2212}');
    }
    for (at, digit) in whole.chars().enumerate() {
        if at > 0 && (whole.len() - at).is_multiple_of(3) {
            out.push(if comma { '\u{202f}' } else { ',' });
        }
        out.push(digit);
    }
    if places > 0 {
        out.push(if comma { ',' } else { '.' });
        out.push_str(fraction);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: arithmetic by hand.
    #[test]
    fn what_is_typed_is_read_to_the_place() {
        let cases = [
            ("12.5", 1250),
            ("12,5", 1250),
            (" 7 ", 700),
            (".5", 50),
            ("5.", 500),
            ("1,234.56", 123_456),
            ("1.234,56", 123_456),
            ("1 234,5", 123_450),
            ("1.234.567", 123_456_700),
            ("1'000", 100_000),
            ("0012.50", 1250),
            ("2.5000", 250),
            ("0", 0),
        ];
        for (text, hundredths) in cases {
            assert_eq!(read(text, 2), Ok(hundredths), "{text}");
        }
    }

    #[test]
    fn what_could_mean_two_things_is_refused() {
        for text in [
            "1,250", "1.005", "", " ", ".", "-1", "1e3", "½", "12.3.4", "1,23,456", "x", ",123,456",
        ] {
            assert!(read(text, 2).is_err(), "{text}");
        }
        assert_eq!(read("1,250", 3), Ok(1250));
        assert!(read("9999999999999999", 0).is_err());
        assert!(read("12.5", 0).is_err());
    }

    #[test]
    fn amounts_are_written_as_on_paper() {
        assert_eq!(write(123_456, 2, false), "1,234.56");
        assert_eq!(write(123_456_789, 2, true), "1\u{202f}234\u{202f}567,89");
        assert_eq!(write(5, 2, false), "0.05");
        assert_eq!(write(-100_000, 2, false), "\u{2212}1,000.00");
        assert_eq!(write(999, 0, false), "999");
        assert_eq!(
            write(i64::MIN, 0, false),
            "\u{2212}9,223,372,036,854,775,808"
        );
    }
}
