//! Where a rising function reaches zero.

/// How near the two ends must come, as part of the answer.
const NEAR: f64 = 1e-13;

/// Doublings until an end lies beyond: more than there are between the smallest and the largest number.
const MOST_DOUBLINGS: usize = 2200;

/// Narrowings: false position does in about ten what halving does in fifty, and every third step halves in any case.
const MOST_STEPS: usize = 400;

/// The zero of a function that rises from below zero at 0. `from` is a first guess over zero. `None` where the function
/// has no value on the way, or never gets there.
pub(super) fn rising(value: impl Fn(f64) -> Option<f64>, from: f64) -> Option<f64> {
    if !(from.is_finite() && from > 0.0) {
        return None;
    }
    let (mut low, mut high) = (0.0, from);
    let (mut below, mut above) = (value(0.0)?, value(high)?);
    for _ in 0..MOST_DOUBLINGS {
        if above >= 0.0 {
            break;
        }
        (low, below) = (high, above);
        high *= 2.0;
        above = value(high)?;
    }
    if above < 0.0 {
        return None;
    }
    for step in 0..MOST_STEPS {
        if high - low <= NEAR * high || above == 0.0 {
            break;
        }
        let middle = f64::midpoint(low, high);
        let straight = high - above * (high - low) / (above - below);
        // False position keeps one end for ever where the function is bent: halving now and then moves it.
        let at = if step % 3 == 2 || !(straight > low && straight < high) { middle } else { straight };
        let there = value(at)?;
        if there >= 0.0 {
            (high, above) = (at, there);
        } else {
            (low, below) = (at, there);
        }
    }
    Some(high)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bent_and_straight_functions_are_found_and_flat_ones_are_not() {
        for root in [1e-12, 0.3, 1.0, 7.0, 1e9] {
            for f in [
                (|x: f64, r: f64| x - r) as fn(f64, f64) -> f64,
                |x, r| x.powi(5) - r.powi(5),
                |x, r| x.sqrt() - r.sqrt(),
                |x, r| if x < r { -1.0 } else { x },
            ] {
                for from in [root / 1e3, root, root * 1e3] {
                    let found = rising(|x| Some(f(x, root)), from).unwrap();
                    assert!((found / root - 1.0).abs() < 1e-12, "{root} from {from}: {found}");
                }
            }
        }
        assert_eq!(rising(|_| Some(-1.0), 1.0), None);
        assert_eq!(rising(|_| None, 1.0), None);
        assert_eq!(rising(Some, f64::NAN), None);
    }
}
