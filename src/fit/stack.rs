//! Heights added up, with what their drawings allow.
//!
//! At worst every part lies at the end of its tolerance; as a rule they do not, and independent deviations add as the
//! root of the sum of their squares (statistical tolerancing; any handbook of tolerances).
//! A conical seat's height holds at the stated torque.

/// A height, mm, and how far it may lie from its drawing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Height {
    /// As drawn.
    pub nominal: f64,
    /// Either way; none when nobody states it.
    pub tolerance: Option<f64>,
}

/// Heights on top of one another, or one assembly against another.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stack {
    /// As drawn.
    pub nominal: f64,
    /// Either way at worst; none when a tolerance is not known.
    pub worst: Option<f64>,
    /// Either way as a rule; none when a tolerance is not known.
    pub statistical: Option<f64>,
}

/// The heights on top of one another.
pub fn stack(heights: &[Height]) -> Stack {
    let tolerances: Option<Vec<f64>> = heights.iter().map(|h| h.tolerance).collect();
    Stack {
        nominal: heights.iter().map(|h| h.nominal).fold(0.0, |sum, h| sum + h),
        worst: tolerances.as_ref().map(|all| all.iter().fold(0.0, |sum, t| sum + t)),
        statistical: tolerances.map(|all| all.iter().fold(0.0, |sum, t| sum + t * t).sqrt()),
    }
}

/// How much higher `new` stands than `old`: two assemblies of their own, so their tolerances add.
pub fn change(old: &[Height], new: &[Height]) -> Stack {
    let turned = old.iter().map(|h| Height { nominal: -h.nominal, ..*h });
    stack(&turned.chain(new.iter().copied()).collect::<Vec<_>>())
}

#[cfg(test)]
mod tests {
    use super::*;

    const fn height(nominal: f64, tolerance: f64) -> Height {
        Height { nominal, tolerance: Some(tolerance) }
    }

    /// Hand values [X]: 3, 4 and 12 give 19 at worst and 13 as a rule.
    #[test]
    fn tolerances_add_at_worst_and_by_squares_as_a_rule() {
        let sum = stack(&[height(2.0, 0.003), height(3.0, 0.004), height(1.0, 0.012)]);
        assert!((sum.nominal - 6.0).abs() < 1e-12);
        assert!((sum.worst.unwrap() - 0.019).abs() < 1e-12);
        assert!((sum.statistical.unwrap() - 0.013).abs() < 1e-12);
    }

    #[test]
    fn a_change_has_the_tolerances_of_both_and_an_unknown_one_leaves_both_unknown() {
        let by = change(&[height(3.0, 0.01)], &[height(3.5, 0.01)]);
        assert!((by.nominal - 0.5).abs() < 1e-12 && (by.worst.unwrap() - 0.02).abs() < 1e-12);
        let unknown = change(&[height(3.0, 0.01)], &[Height { nominal: 3.5, tolerance: None }]);
        assert_eq!((unknown.nominal, unknown.worst, unknown.statistical), (0.5, None, None));
        assert_eq!(stack(&[]), Stack { nominal: 0.0, worst: Some(0.0), statistical: Some(0.0) });
    }
}
