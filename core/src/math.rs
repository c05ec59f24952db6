//! The functions whose last digit differs between platforms, from one portable library.
//!
//! `f64::exp` and its like call the platform's own mathematics; glibc and WebAssembly then disagree in the last bit.
//! Everything in this crate goes through here (clippy refuses the others). Square roots, rounding and the four
//! operations are exact by IEEE 754 and need no detour.

/// e to the power `x`.
#[inline]
pub fn exp(x: f64) -> f64 {
    libm::exp(x)
}

/// e to the power `x`, less one; exact near zero.
#[inline]
pub fn exp_m1(x: f64) -> f64 {
    libm::expm1(x)
}

/// Natural logarithm.
#[inline]
pub fn ln(x: f64) -> f64 {
    libm::log(x)
}

/// Natural logarithm of `1 + x`; exact near zero.
#[inline]
pub fn ln_1p(x: f64) -> f64 {
    libm::log1p(x)
}

/// `x` to the power `y`.
#[inline]
pub fn pow(x: f64, y: f64) -> f64 {
    libm::pow(x, y)
}

/// Sine; radians.
#[inline]
pub fn sin(x: f64) -> f64 {
    libm::sin(x)
}

/// Cosine; radians.
#[inline]
pub fn cos(x: f64) -> f64 {
    libm::cos(x)
}

/// Tangent; radians.
#[inline]
pub fn tan(x: f64) -> f64 {
    libm::tan(x)
}

/// Arc sine; radians. NaN outside -1 to 1.
#[inline]
pub fn asin(x: f64) -> f64 {
    libm::asin(x)
}

/// Arc cosine; radians. NaN outside -1 to 1.
#[inline]
pub fn acos(x: f64) -> f64 {
    libm::acos(x)
}

/// Arc tangent; radians.
#[inline]
pub fn atan(x: f64) -> f64 {
    libm::atan(x)
}
