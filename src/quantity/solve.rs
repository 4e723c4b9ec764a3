//! A root between two ends, and reading between the rows of a table.

/// Halvings from any two finite ends to neighbouring numbers, with as many steps again for the faster rule.
const STEPS: usize = 200;

/// Secants that are drawn before a guess counts as a bad one.
const SECANTS: usize = 12;

/// Where `f` is zero between `low` and `high`, after 200 steps at most.
///
/// Bisection and the rule of false position in turns: the first bounds the effort, the second is fast where `f` is
/// nearly straight. Nothing where the ends have the same sign or `f` gives something that is no number; total for
/// every `f`.
///
/// # Examples
///
/// ```
/// # use cellwright::quantity::solve::root;
/// let two = root(0.0, 2.0, |x| x * x - 2.0).unwrap();
/// assert!((two - 1.4142135623730951).abs() < 1e-15);
/// assert_eq!(root(2.0, 3.0, |x| x * x - 2.0), None);
/// ```
#[must_use]
pub fn root(low: f64, high: f64, mut f: impl FnMut(f64) -> f64) -> Option<f64> {
    let (mut low, mut high) = (low, high);
    let (mut at_low, mut at_high) = (f(low), f(high));
    if at_low == 0.0 {
        return Some(low);
    }
    if at_high == 0.0 {
        return Some(high);
    }
    let apart = (at_low < 0.0 && at_high > 0.0) || (at_low > 0.0 && at_high < 0.0);
    if !apart || !low.is_finite() || !high.is_finite() {
        return None;
    }
    for step in 0..STEPS {
        let middle = 0.5 * low + 0.5 * high;
        let straight = low - at_low * ((high - low) / (at_high - at_low));
        let inside = straight > low.min(high) && straight < low.max(high);
        let x = if step % 2 == 0 && inside { straight } else { middle };
        if x == low || x == high {
            break;
        }
        let at_x = f(x);
        if at_x == 0.0 {
            return Some(x);
        }
        if at_x.is_nan() {
            return None;
        }
        if (at_x < 0.0) == (at_low < 0.0) {
            (low, at_low) = (x, at_x);
        } else {
            (high, at_high) = (x, at_x);
        }
    }
    Some(if libm::fabs(at_low) < libm::fabs(at_high) { low } else { high })
}

/// Where `f` is zero within `reach` of `guess`, to `apart` of the argument, by secants; none where they do not lead there.
///
/// Three or four calls where `f` is smooth and the guess is good.
///
/// # Examples
///
/// ```
/// # use cellwright::quantity::solve::root_around;
/// assert!((root_around(1.4, 0.1, 1e-12, |x| x * x - 2.0).unwrap() - 2.0_f64.sqrt()).abs() < 1e-12);
/// assert_eq!(root_around(1.0, 0.1, 1e-12, |x| x * x - 2.0), None);
/// ```
#[must_use]
pub fn root_around(guess: f64, reach: f64, apart: f64, mut f: impl FnMut(f64) -> f64) -> Option<f64> {
    let (mut before, mut at_before) = (guess, f(guess));
    if at_before == 0.0 {
        return Some(guess);
    }
    let mut x = guess + 0.1 * reach;
    for _ in 0..SECANTS {
        let at_x = f(x);
        let next = x - at_x * ((x - before) / (at_x - at_before));
        if at_x == 0.0 {
            return Some(x);
        }
        if !next.is_finite() || libm::fabs(next - guess) > reach {
            return None;
        }
        let moved = libm::fabs(next - x);
        (before, at_before, x) = (x, at_x, next);
        if moved < apart {
            return Some(next);
        }
    }
    None
}

/// Where `f`, rising or falling, is zero between `low` and `high`, to `apart` of the argument; 100 steps at most.
///
/// The rule of false position with the value of a waiting end halved (Illinois): a handful of calls where `f` is smooth.
/// Ends of the same sign give the nearer of them: the caller looks whether that will do. Source: Dowell and Jarratt,
/// "A modified regula falsi method for computing the root of an equation", BIT 11 (1971), from memory.
///
/// # Examples
///
/// ```
/// # use cellwright::quantity::solve::root_near;
/// assert!((root_near(0.0, 2.0, 1e-12, |x| x * x - 2.0) - 2.0_f64.sqrt()).abs() < 1e-12);
/// assert_eq!(root_near(2.0, 3.0, 1e-12, |x| x * x - 2.0), 2.0);
/// ```
#[must_use]
pub fn root_near(low: f64, high: f64, apart: f64, mut f: impl FnMut(f64) -> f64) -> f64 {
    let (mut kept, mut at_kept, mut last, mut at_last) = (low, f(low), high, f(high));
    if (at_kept < 0.0) == (at_last < 0.0) {
        return if libm::fabs(at_kept) < libm::fabs(at_last) { low } else { high };
    }
    for _ in 0..100 {
        let straight = last - at_last * ((last - kept) / (at_last - at_kept));
        let inside = straight > kept.min(last) && straight < kept.max(last);
        let x = if inside { straight } else { 0.5 * kept + 0.5 * last };
        let step = libm::fabs(x - last);
        let at_x = f(x);
        if (at_x < 0.0) == (at_last < 0.0) {
            at_kept *= 0.5;
        } else {
            (kept, at_kept) = (last, at_last);
        }
        (last, at_last) = (x, at_x);
        if at_x == 0.0 || step < apart || libm::fabs(last - kept) < apart {
            break;
        }
    }
    last
}

/// The second column of a table at `x` of its first, straight between neighbouring rows.
///
/// The first column must rise. Nothing outside the first and last row: a table is never prolonged.
///
/// # Examples
///
/// ```
/// # use cellwright::quantity::solve::between;
/// let table = [[25.0, 1.0], [65.0, 0.85]];
/// assert_eq!(between(&table, 45.0), Some(0.925));
/// assert_eq!(between(&table, 65.0), Some(0.85));
/// assert_eq!(between(&table, 66.0), None);
/// ```
#[must_use]
pub fn between(table: &[[f64; 2]], x: f64) -> Option<f64> {
    if let [[only, y]] = table {
        return (x == *only).then_some(*y);
    }
    table.windows(2).find_map(|pair| match pair {
        [[low, at_low], [high, at_high]] if x >= *low && x <= *high && low < high => {
            // Exact at both ends.
            let share = (x - low) / (high - low);
            Some(at_low * (1.0 - share) + at_high * share)
        }
        _ => None,
    })
}
