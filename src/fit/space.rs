//! Directions in space, as three numbers.

/// The scalar product.
pub fn dot(a: [f64; 3], b: [f64; 3]) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

/// The vector product.
pub fn cross(a: [f64; 3], b: [f64; 3]) -> [f64; 3] {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}

/// The sum of all.
pub fn sum(all: impl Iterator<Item = [f64; 3]>) -> [f64; 3] {
    all.fold([0.0; 3], |sum, a| std::array::from_fn(|i| sum[i] + a[i]))
}

/// The same direction with length one; none for no direction.
pub fn unit(a: [f64; 3]) -> Option<[f64; 3]> {
    let size = dot(a, a).sqrt();
    (size > 0.0).then(|| a.map(|x| x / size))
}

/// How far two points lie apart.
pub fn distance(a: [f64; 3], b: [f64; 3]) -> f64 {
    let apart: [f64; 3] = std::array::from_fn(|i| a[i] - b[i]);
    dot(apart, apart).sqrt()
}

/// Two directions across `path`, all three of length one and right-handed; the first as near to x as it goes.
pub fn across(path: [f64; 3]) -> [[f64; 3]; 2] {
    // A path along x itself leaves nothing of x across it.
    let start = if path[0].abs() < 0.9 { [1.0, 0.0, 0.0] } else { [0.0, 1.0, 0.0] };
    let along = dot(start, path);
    let first = unit(std::array::from_fn(|i| start[i] - along * path[i])).unwrap_or(start);
    [first, cross(path, first)]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_directions_across_a_path_are_right_handed_with_it() {
        assert_eq!(across([0.0, 0.0, 1.0]), [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0]]);
        for path in [[0.0, 0.0, -1.0], [1.0, 0.0, 0.0], [-0.6, 0.0, 0.8], [0.0, 1.0, 0.0]] {
            let [first, second] = across(path);
            let back = cross(first, second);
            // Rounding only.
            assert!(distance(back, path) < 1e-12, "{path:?}: {first:?} {second:?}");
            assert!(dot(first, path).abs() < 1e-12 && (dot(first, first) - 1.0).abs() < 1e-12);
        }
        assert_eq!(unit([0.0; 3]), None);
    }
}
