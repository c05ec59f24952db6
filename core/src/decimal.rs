//! Writes numbers with a fixed count of decimals.
//!
//! The text is that of `format!("{value:.decimals$}")`, to the digit, for every number below 2⁶³ and up to
//! nine decimals; the general way weighs 6 kB on the page. Beyond 2⁶³ the whole part is 2⁶⁴ − 1.

use std::fmt::{self, Write};

/// A number that shows with so many decimals, nine at most. An exact half goes to the even digit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fixed {
    value: f64,
    decimals: u32,
}

/// A number that shows with so many decimals, nine at most.
pub const fn fixed(value: f64, decimals: u32) -> Fixed {
    Fixed { value, decimals }
}

impl fmt::Display for Fixed {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let bits = self.value.to_bits();
        if self.value.is_nan() {
            return out.write_str("NaN");
        }
        if bits >> 63 == 1 {
            out.write_char('-')?;
        }
        let size = self.value.abs();
        if size.is_infinite() {
            return out.write_str("inf");
        }
        let decimals = self.decimals.min(9);
        let one = 10_u64.pow(decimals);
        let mut whole = size as u64;
        let mut part = part(size, one, whole);
        if part == one {
            part = 0;
            whole = whole.saturating_add(1);
        }
        write!(out, "{whole}")?;
        if decimals > 0 {
            out.write_char('.')?;
        }
        for _ in 0..decimals {
            part *= 10;
            out.write_char(char::from(b'0' + (part / one) as u8))?;
            part %= one;
        }
        Ok(())
    }
}

/// The broken part of a number as so many of `one`, rounded; an exact half goes to the even one.
fn part(size: f64, one: u64, whole: u64) -> u64 {
    // Exact: what is taken away holds the number's first digits.
    let broken = size - whole as f64;
    if broken <= 0.0 || broken >= 1.0 {
        return 0;
    }
    let exponent = (broken.to_bits() >> 52) as u32;
    let mantissa = broken.to_bits() & ((1 << 52) - 1) | u64::from(exponent > 0) << 52;
    // broken = mantissa / 2^places, and mantissa · one takes 83 bits at most.
    let places = 1075 - exponent.max(1);
    if places > 120 {
        return 0;
    }
    let scaled = u128::from(mantissa) * u128::from(one);
    let (down, rest) = ((scaled >> places) as u64, scaled & ((1 << places) - 1));
    let half = 1_u128 << (places - 1);
    let even = if one == 1 { whole } else { down };
    down + u64::from(rest > half || rest == half && even % 2 == 1)
}

#[cfg(test)]
mod tests {
    use super::fixed;
    use proptest::prelude::*;

    #[track_caller]
    fn same(value: f64, decimals: usize) {
        let text = fixed(value, decimals as u32).to_string();
        assert_eq!(text, format!("{value:.decimals$}"), "{value:e}");
    }

    #[test]
    fn halves_carries_and_ends() {
        let odd = [
            0.0,
            -0.0,
            0.5,
            1.5,
            2.5,
            0.25,
            0.125,
            0.375,
            0.05,
            0.0005,
            0.999_999_999_9,
            9.995,
            -0.4,
            -1.5,
            5e-324,
            1e-300,
            f64::MIN_POSITIVE,
            9_007_199_254_740_993.0,
            9e18,
            f64::NAN,
            f64::INFINITY,
            f64::NEG_INFINITY,
        ];
        for value in odd {
            (0..=9).for_each(|decimals| same(value, decimals));
        }
    }

    proptest! {
        #[test]
        fn as_the_library_writes(value in -1e6..1e6, decimals in 0_usize..=9) {
            same(value, decimals);
        }

        #[test]
        fn of_any_size(bits: u64, decimals in 0_usize..=9) {
            let value = f64::from_bits(bits);
            if value.abs() < 9.2e18 {
                same(value, decimals);
            }
        }

        #[test]
        fn near_halves(tenths in 0_i64..2_000_000, over in 1_u32..9, decimals in 0_usize..=6) {
            same(tenths as f64 / f64::from(10_u32.pow(over)), decimals);
            same(tenths as f64 / f64::from(1_u32 << over), decimals);
        }
    }
}
