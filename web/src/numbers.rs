//! Reads numbers as people type them, and writes them for reading.
//!
//! `f64::from_str` takes `nan`, `inf` and `1e3`, knows one decimal mark, and brings a table of 10 kB;
//! people type `12,5` and `1 250.0`. What is refused is said beside the field; what is taken is echoed there.

use drycurb_core::decimal::fixed;

/// Why a typed number was not understood.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NotRead {
    /// Nothing but blanks.
    Empty,
    /// Letters, exponents, stray signs, or marks in impossible places.
    NotANumber,
}

/// Reads one number. A single `.` or `,` is the decimal mark; of two kinds the last is; one kind
/// repeated separates thousands. Blanks and apostrophes may separate thousands too.
pub fn read(text: &str) -> Result<f64, NotRead> {
    let text = text.trim();
    if text.is_empty() {
        return Err(NotRead::Empty);
    }
    let (negative, body) = match text.strip_prefix(['-', '\u{2212}']) {
        Some(rest) => (true, rest),
        None => (false, text.strip_prefix('+').unwrap_or(text)),
    };
    let marks: Vec<char> = body.chars().filter(|c| matches!(c, '.' | ',')).collect();
    let decimal = match marks.as_slice() {
        [] => None,
        [only] => Some(*only),
        [first, .., last] if first != last => Some(*last),
        _ => None,
    };
    let (whole, fraction) = match decimal.and_then(|mark| body.rsplit_once(mark)) {
        Some((whole, fraction)) => (whole, fraction),
        None => (body, ""),
    };
    if decimal.is_some_and(|mark| whole.contains(mark)) {
        return Err(NotRead::NotANumber);
    }
    let groups: Vec<&str> = whole.split(is_thousands_mark).collect();
    let grouped = groups.len() > 1;
    if grouped && (groups[0].is_empty() || groups[1..].iter().any(|g| g.chars().count() != 3)) {
        return Err(NotRead::NotANumber);
    }
    let mut clean = String::with_capacity(text.len());
    for c in groups.iter().flat_map(|g| g.chars()) {
        clean.push(digit(c).ok_or(NotRead::NotANumber)?);
    }
    if clean.is_empty() && fraction.is_empty() {
        return Err(NotRead::NotANumber);
    }
    for c in fraction.chars() {
        clean.push(digit(c).ok_or(NotRead::NotANumber)?);
    }
    // Up to fifteen digits are a whole number that floating point holds exactly, and so is the power
    // of ten below it: one division, rounded once, is the nearest number there is.
    let digits = clean.trim_start_matches('0');
    if digits.len() > 15 || fraction.len() > 22 {
        return Err(NotRead::NotANumber);
    }
    let whole = digits
        .bytes()
        .fold(0_u64, |n, digit| 10 * n + u64::from(digit - b'0'));
    let tens = (0..fraction.chars().count()).fold(1.0, |tens, _| tens * 10.0);
    let value = whole as f64 / tens;
    Ok(if negative { -value } else { value })
}

/// Reads a list of numbers, one catch-can after another: blanks, line ends, `;` or `/` between.
/// A comma separates as well when a blank follows it.
pub fn read_list(text: &str) -> Result<Vec<f64>, NotRead> {
    let text = text.replace(", ", " ").replace(",\n", " ");
    let parts = text.split(|c: char| c.is_whitespace() || c == ';' || c == '/');
    parts.filter(|part| !part.is_empty()).map(read).collect()
}

/// The first number of a list whose comma may as well part two: `12,13`. A comma is a decimal mark where it is
/// the only mark and one digit follows at most; what a can caught is not read finer.
pub fn unclear_comma(text: &str) -> Option<&str> {
    let parts = text.split(|c: char| c.is_whitespace() || c == ';' || c == '/');
    parts.into_iter().find(|part| {
        let part = part.strip_suffix(',').unwrap_or(part);
        let broken = part.split_once(',').map(|(_, broken)| broken);
        broken.is_some_and(|broken| broken.chars().count() > 1 || part.contains('.'))
    })
}

/// Writes a number with at most `decimals` places, without trailing zeros, with the reader's mark.
pub fn write(value: f64, decimals: usize, comma: bool) -> String {
    let mut text = fixed(value, decimals as u32).to_string();
    if text.contains('.') {
        text.truncate(text.trim_end_matches('0').trim_end_matches('.').len());
    }
    if text == "-0" {
        text = "0".into();
    }
    if comma { text.replace('.', ",") } else { text }
}

/// Writes a number with about three significant places, for showing a measured or computed value.
pub fn write_short(value: f64, comma: bool) -> String {
    let size = value.abs();
    let decimals = if size >= 99.95 {
        0
    } else if size >= 9.995 {
        1
    } else if size >= 0.9995 {
        2
    } else {
        3
    };
    write(value, decimals, comma)
}

fn is_thousands_mark(c: char) -> bool {
    matches!(
        c,
        '.' | ',' | ' ' | '\'' | '\u{a0}' | '\u{202f}' | '\u{2019}'
    )
}

fn digit(c: char) -> Option<char> {
    let value = match c {
        '0'..='9' => return Some(c),
        '\u{660}'..='\u{669}' => c as u32 - 0x660,
        '\u{6f0}'..='\u{6f9}' => c as u32 - 0x6f0,
        _ => return None,
    };
    char::from_digit(value, 10)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_decimal_marks_are_read() {
        for (text, value) in [
            ("38", 38.0),
            (" 12,5 ", 12.5),
            ("12.5", 12.5),
            (".5", 0.5),
            ("5.", 5.0),
            ("1,250", 1.25),
            ("1.250,5", 1250.5),
            ("1,250.5", 1250.5),
            ("1,250,000", 1_250_000.0),
            ("1 250,5", 1250.5),
            ("1\u{a0}250", 1250.0),
            ("-3", -3.0),
            ("\u{2212}3", -3.0),
            ("+3", 3.0),
            ("٣٫".trim_end_matches('٫'), 3.0),
            ("007", 7.0),
        ] {
            assert_eq!(read(text), Ok(value), "{text}");
        }
    }

    #[test]
    fn what_only_computers_write_is_refused() {
        for text in [
            "nan",
            "NaN",
            "inf",
            "-inf",
            "infinity",
            "1e3",
            "1E3",
            "0x10",
            "1.2.3,4,5",
            "1,2,3",
            "--3",
            "3-",
            ".",
            ",",
            "-",
            "+",
            "12 5",
            "1,25,000",
            "½",
            "3mm",
            "1.2.34",
            "1,,2",
        ] {
            assert_eq!(read(text), Err(NotRead::NotANumber), "{text}");
        }
        assert_eq!(read(""), Err(NotRead::Empty));
        assert_eq!(read(" \u{a0} "), Err(NotRead::Empty));
        assert_eq!(read(&"9".repeat(16)), Err(NotRead::NotANumber));
    }

    /// Source: the standard library's own reader.
    #[test]
    fn reading_is_exact_to_the_bit() {
        let mut state = 7_u64;
        for _ in 0..20_000 {
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1);
            let (whole, places) = (state >> 34, (state >> 5) % 10);
            let text = format!(
                "{whole}.{:0width$}",
                state % 10_u64.pow(places as u32 % 6),
                width = places as usize % 6
            );
            let text = text.trim_end_matches('.');
            assert_eq!(
                read(text).map(f64::to_bits),
                Ok(text.parse::<f64>().unwrap().to_bits()),
                "{text}"
            );
        }
    }

    #[test]
    fn a_list_is_read_however_it_is_separated() {
        assert_eq!(
            read_list("9, 11, 11 / 13;17\n14,5"),
            Ok(vec![9.0, 11.0, 11.0, 13.0, 17.0, 14.5])
        );
        assert_eq!(read_list("9 x 3"), Err(NotRead::NotANumber));
        assert_eq!(
            read_list("24,5 ,5 28, 31,"),
            Ok(vec![24.5, 0.5, 28.0, 31.0])
        );
        assert_eq!(read_list("  "), Ok(vec![]));
    }

    #[test]
    fn a_comma_that_may_part_two_numbers_is_seen() {
        for text in ["12,13", "124,131,128", "9 1.250,5", "8 12,5,130", "1,250"] {
            let seen = unclear_comma(text);
            assert_eq!(seen, text.split_whitespace().next_back(), "{text}");
        }
        for text in ["24,5 31,0", "12, 13, 14,", "12.13 14.5", "24,5;31", ""] {
            assert_eq!(unclear_comma(text), None, "{text}");
        }
    }

    #[test]
    fn numbers_are_written_short_with_the_readers_mark() {
        assert_eq!(write(38.0, 2, false), "38");
        assert_eq!(write(1.50, 2, true), "1,5");
        assert_eq!(write(-0.001, 2, false), "0");
        assert_eq!(write_short(1.4961, false), "1.5");
        assert_eq!(write_short(0.4129, false), "0.413");
        assert_eq!(write_short(37.96, false), "38");
        assert_eq!(write_short(1234.6, false), "1235");
    }
}
