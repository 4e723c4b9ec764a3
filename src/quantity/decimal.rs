//! Decimal digits to the nearest double, without core's table of powers of five, which alone is ten kilobytes.
//!
//! Up to 15 digits with a power of ten up to 22 need one exact product or quotient. Anything else is divided out in
//! whole numbers of any length: 64 bits of the quotient and whether something is left say how it rounds.
//! Source: W. D. Clinger, How to read floating point numbers accurately, PLDI 1990, for the first case; rounding to the
//! nearest, ties to even, after IEEE 754-2019, 4.3.1.

use alloc::vec::Vec;
use core::cmp::Ordering;

/// Digits that count: no double's halfway point has more, and one more digit says that something followed.
const DIGITS_MAX: usize = 800;
/// Powers of ten that a double holds exactly.
const EXACT_POWER: i64 = 22;
/// Digits that a double holds exactly.
const EXACT_DIGITS: usize = 15;
/// No double is as large as ten to this power, or as small as ten to its opposite.
const POWER_MAX: i64 = 400;
/// Bits of a double's mantissa that are written; its first bit is not.
const MANTISSA_BITS: u32 = 52;
/// Added to the exponent of a double where it is written.
const BIAS: i64 = 1023;

/// The double nearest to a number such as `-2.5e-3`; infinity where it is too large.
///
/// Digits may miss on one side of the point; nothing where they miss on both, or something else stands there.
pub(crate) fn double(text: &str) -> Option<f64> {
    let (negative, text) = match text.strip_prefix('-') {
        Some(rest) => (true, rest),
        None => (false, text.strip_prefix('+').unwrap_or(text)),
    };
    let (digits, power) = spelled(text)?;
    let size = rounded(&digits, power);
    Some(if negative { -size } else { size })
}

/// Digits from the first that is not zero on, and the power of ten of the last.
fn spelled(text: &str) -> Option<(Vec<u8>, i64)> {
    let (number, power) = text.split_once(['e', 'E']).map_or((text, "0"), |parts| parts);
    let mut power = exponent(power)?;
    let (mut digits, mut after_point, mut any, mut more) = (Vec::new(), false, false, false);
    for sign in number.bytes() {
        match sign {
            b'.' if !after_point => after_point = true,
            b'0'..=b'9' => {
                any = true;
                power -= i64::from(after_point);
                let digit = sign - b'0';
                if digits.len() >= DIGITS_MAX {
                    more |= digit > 0;
                    power += 1;
                } else if digit > 0 || !digits.is_empty() {
                    digits.push(digit);
                }
            }
            _ => return None,
        }
    }
    if more {
        digits.push(1);
        power -= 1;
    }
    any.then_some((digits, power))
}

/// A whole power of ten; the size of one with many digits does not matter.
fn exponent(text: &str) -> Option<i64> {
    let digits = text.strip_prefix(['-', '+']).unwrap_or(text);
    if digits.is_empty() || !digits.bytes().all(|sign| sign.is_ascii_digit()) {
        return None;
    }
    let size = digits.bytes().fold(0_i64, |size, sign| (size * 10 + i64::from(sign - b'0')).min(1 << 40));
    Some(if text.starts_with('-') { -size } else { size })
}

/// A length as a whole number; there are few digits.
fn whole(length: usize) -> i64 {
    i64::try_from(length).unwrap_or(i64::MAX / 64)
}

/// The double nearest to digits times a power of ten.
fn rounded(digits: &[u8], power: i64) -> f64 {
    let first = whole(digits.len()) + power;
    if digits.is_empty() || first < -POWER_MAX {
        return 0.0;
    }
    if first > POWER_MAX {
        return f64::INFINITY;
    }
    if digits.len() <= EXACT_DIGITS && power.abs() <= EXACT_POWER {
        let number = digits.iter().fold(0.0, |number, digit| number * 10.0 + f64::from(*digit));
        let scale = (0..power.abs()).fold(1.0, |scale, _| scale * 10.0);
        return if power < 0 { number / scale } else { number * scale };
    }
    let (mut above, mut below) = (Whole::default(), Whole(Vec::from([1])));
    for digit in digits {
        above.times_plus(10, u32::from(*digit));
    }
    let scaled = if power < 0 { &mut below } else { &mut above };
    for _ in 0..power.abs() {
        scaled.times_plus(10, 0);
    }
    quotient(above, below)
}

/// The double nearest to `above / below`, neither of them zero.
fn quotient(mut above: Whole, mut below: Whole) -> f64 {
    // Moved so that the quotient has 63 or 64 bits.
    let moved = below.bits() - above.bits() + 63;
    above.shift_left(moved.max(0));
    below.shift_left((-moved).max(0) + 63);
    let mut bits = 0_u64;
    for _ in 0..64 {
        bits <<= 1;
        if above.compare(&below) != Ordering::Less {
            above.subtract(&below);
            bits |= 1;
        }
        above.shift_left(1);
    }
    let length = i64::from(64 - bits.leading_zeros());
    let exponent = (length - 1 - moved).max(1 - BIAS);
    // The last bit that is written stands for two to this power in `bits`.
    let dropped = exponent - i64::from(MANTISSA_BITS) + moved;
    if dropped > 64 || exponent > BIAS {
        return if dropped > 64 { 0.0 } else { f64::INFINITY };
    }
    let kept = bits.checked_shr(dropped as u32).unwrap_or(0);
    let left = (bits << (64 - dropped), above.is_zero());
    let up = match left.0.cmp(&(1 << 63)) {
        Ordering::Less => false,
        Ordering::Greater => true,
        Ordering::Equal => !left.1 || kept & 1 == 1,
    };
    // The first bit of a full mantissa adds one to the exponent, as does a mantissa that is rounded up to the next power.
    f64::from_bits((((exponent + BIAS - 1) as u64) << MANTISSA_BITS) + kept + u64::from(up))
}

/// A whole number of any length, its lowest 32 bits first, without leading zeros.
#[derive(Default)]
struct Whole(Vec<u32>);

impl Whole {
    fn is_zero(&self) -> bool {
        self.0.is_empty()
    }

    fn bits(&self) -> i64 {
        self.0.last().map_or(0, |last| 32 * whole(self.0.len()) - i64::from(last.leading_zeros()))
    }

    fn times_plus(&mut self, factor: u32, plus: u32) {
        let mut carry = u64::from(plus);
        for part in &mut self.0 {
            carry += u64::from(*part) * u64::from(factor);
            *part = carry as u32;
            carry >>= 32;
        }
        if carry > 0 {
            self.0.push(carry as u32);
        }
    }

    fn shift_left(&mut self, bits: i64) {
        self.times_plus(1 << (bits % 32), 0);
        if !self.is_zero() {
            self.0.splice(..0, (0..bits / 32).map(|_| 0));
        }
    }

    fn compare(&self, other: &Self) -> Ordering {
        self.0.len().cmp(&other.0.len()).then_with(|| self.0.iter().rev().cmp(other.0.iter().rev()))
    }

    /// Takes away a number that is not larger.
    fn subtract(&mut self, other: &Self) {
        let mut borrow = 0;
        for (place, part) in self.0.iter_mut().enumerate() {
            let less = i64::from(other.0.get(place).copied().unwrap_or(0)) + borrow;
            let rest = i64::from(*part) - less;
            *part = rest as u32;
            borrow = i64::from(rest < 0);
        }
        while self.0.last() == Some(&0) {
            self.0.pop();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use alloc::format;
    use alloc::string::{String, ToString};

    /// Core reads every one of these to the same bits.
    fn as_core(text: &str) {
        let core: f64 = text.parse().unwrap();
        assert_eq!(double(text).map(f64::to_bits), Some(core.to_bits()), "{text}: {core:e}");
    }

    fn next(state: &mut u64) -> u64 {
        *state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        *state ^ (*state >> 29)
    }

    #[test]
    fn every_kind_of_double_comes_back() {
        let mut state = 3;
        for _ in 0..4000 {
            let value = f64::from_bits(next(&mut state));
            if value.is_finite() {
                as_core(&format!("{value}"));
                as_core(&format!("{value:e}"));
                as_core(&format!("{value:.3e}"));
                as_core(&format!("{value:.20e}"));
            }
        }
        for value in [f64::MAX, f64::MIN_POSITIVE, f64::from_bits(1), f64::from_bits((1 << 52) - 1), 0.1, 1.0 / 3.0] {
            as_core(&value.to_string());
        }
    }

    /// The halfway point between two doubles, with digits beyond it, just under it, and as it is.
    #[test]
    fn halves_go_to_the_even_one() {
        let mut state = 5;
        for round in 0..300 {
            let kind = [next(&mut state) >> 1, next(&mut state) >> 12, 0x7fe0_0000_0000_0000 | next(&mut state) >> 12];
            let (low, high) = (f64::from_bits(kind[round % 3]), f64::from_bits(kind[round % 3] + 1));
            if !high.is_finite() {
                continue;
            }
            // A double has at most 1074 places after the point; the halfway point has one more.
            let half = midpoint(&format!("{low:.1080}"), &format!("{high:.1080}"));
            as_core(&half);
            as_core(&format!("{half}{:0>900}", "1"));
            as_core(&format!("{}4{:9>900}", half.trim_end_matches('0').trim_end_matches('5'), "9"));
        }
        as_core("1.7976931348623158079372897140530341507993413271003782693617377898e308");
        as_core("1.7976931348623158079372897140530341507993413271003782693617377898044496829276e308");
        as_core("1.797693134862315807937289714053034150799e308");
        as_core("2.4703282292062327208e-324");
        as_core("2.4703282292062328e-324");
    }

    /// Half the sum of two decimal numbers with as many places after the point.
    fn midpoint(low: &str, high: &str) -> String {
        let wide = low.len().max(high.len());
        let (low, high) = (format!("{low:0>wide$}"), format!("{high:0>wide$}"));
        let mut carry = 0;
        let mut sum: Vec<u8> = Vec::new();
        for (one, other) in low.bytes().zip(high.bytes()).rev() {
            if one == b'.' {
                sum.push(b'.');
                continue;
            }
            let both = one - b'0' + (other - b'0') + carry;
            sum.push(b'0' + both % 10);
            carry = both / 10;
        }
        sum.push(b'0' + carry);
        sum.reverse();
        let mut rest = 0;
        for digit in sum.iter_mut().filter(|digit| **digit != b'.') {
            let whole = rest * 10 + (*digit - b'0');
            *digit = b'0' + whole / 2;
            rest = whole % 2;
        }
        String::from_utf8(sum).unwrap() + if rest == 1 { "5" } else { "" }
    }

    #[test]
    fn spellings() {
        for text in ["0", "-0", "+1", "1.", ".5", "00012.5e+03", "1e400", "-1e999999999999999999999", "1e-400", "0e999"]
        {
            as_core(text);
        }
        as_core(&format!("0.{:0>1200}e1200", "123"));
        as_core(&format!("{:0<1200}e-1200", "123"));
        as_core(&format!("1{:0>900}", "1"));
        for text in ["", "-", ".", "e5", "1e", "1e+", "1 ", "1,5", "inf", "NaN", "--1", "1.2.3", "1e5.0", "0x10"] {
            assert_eq!(double(text), None, "{text}");
        }
    }
}
