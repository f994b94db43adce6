//! How far another part moves the seat above it.
//!
//! Seen from the implant: its axis points outwards, directions across it are counted round it. The bridge was made on
//! the seat as it stood, so its path of insertion there is the axis of that seat.
//! Everything here is geometry.

use super::space::{cross, distance, dot, sum, unit};

/// Where an upper seat stands over its implant.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Upper {
    /// Along the implant's axis, mm.
    pub height: f64,
    /// Sideways, towards the lean, mm.
    pub offset: f64,
    /// Between the implant's axis and its own, radians.
    pub angle: f64,
    /// Which way it leans: round the implant's axis, radians; of no meaning for a straight part.
    pub lean: f64,
}

/// How a seat moved, as the bridge that was made on it sees it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Moved {
    /// Along the path of insertion, mm; higher is above zero.
    pub rise: f64,
    /// Across the path of insertion, mm.
    pub sideways: f64,
    /// Between its old axis and its new one, radians.
    pub tilt: f64,
}

impl Moved {
    /// It stands where it stood.
    pub const NOT: Self = Self { rise: 0.0, sideways: 0.0, tilt: 0.0 };

    /// The gap that the tilt alone opens at the edge of a seat of this radius, mm: the disc stands on its near edge.
    pub fn tilt_gap(&self, radius: f64) -> f64 {
        2.0 * radius * self.tilt.sin()
    }
}

impl Upper {
    /// A straight part.
    pub fn straight(height: f64) -> Self {
        Self { height, offset: 0.0, angle: 0.0, lean: 0.0 }
    }

    fn middle(&self) -> [f64; 3] {
        [self.offset * self.lean.cos(), self.offset * self.lean.sin(), self.height]
    }

    fn axis(&self) -> [f64; 3] {
        let across = self.angle.sin();
        [across * self.lean.cos(), across * self.lean.sin(), self.angle.cos()]
    }
}

/// How the seat moves when `new` stands where `old` stood.
pub fn moved(old: &Upper, new: &Upper) -> Moved {
    let ([a, b], [path, axis]) = ([old.middle(), new.middle()], [old.axis(), new.axis()]);
    let by: [f64; 3] = std::array::from_fn(|i| b[i] - a[i]);
    let rise = dot(by, path);
    let sideways = distance(by, path.map(|x| rise * x));
    // The arc tangent keeps small tilts that the arc cosine would round away.
    let across = cross(path, axis);
    let tilt = dot(across, across).sqrt().atan2(dot(path, axis));
    Moved { rise, sideways, tilt }
}

/// Seats that rise along axes which are not parallel, as the mean of those axes sees them: each rises less and moves
/// sideways. What all seats do alike sideways the bridge follows, when all of them moved (`all`).
pub fn along_axes(axes: &[[f64; 3]], rises: &[f64], all: bool) -> Vec<Moved> {
    let Some(path) = unit(sum(axes.iter().copied())) else {
        // Axes that cancel out have no mean: each seat keeps its own.
        return rises.iter().map(|rise| Moved { rise: *rise, ..Moved::NOT }).collect();
    };
    let along = |axis: [f64; 3], rise: f64| dot(axis, path) * rise;
    let across: Vec<[f64; 3]> = axes
        .iter()
        .zip(rises)
        .map(|(axis, rise)| std::array::from_fn(|i| axis[i] * rise - along(*axis, *rise) * path[i]))
        .collect();
    let share = if all { 1.0 / across.len().max(1) as f64 } else { 0.0 };
    let common = sum(across.iter().copied()).map(|x| x * share);
    axes.iter()
        .zip(rises)
        .zip(&across)
        .map(|((axis, rise), across)| Moved {
            rise: along(*axis, *rise),
            sideways: distance(*across, common),
            tilt: 0.0,
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn angled(height: f64, offset: f64, degrees: f64, lean: f64) -> Upper {
        Upper { height, offset, angle: degrees.to_radians(), lean: lean.to_radians() }
    }

    /// Hand values, [X]: the chord of a circle of radius `offset`, and the angle between two lines on a cone.
    #[test]
    fn an_angled_part_turned_by_a_step() {
        let (old, new) = (angled(3.5, 1.5, 30.0, 90.0), angled(3.5, 1.5, 30.0, 150.0));
        let found = moved(&old, &new);
        // Chord 2·1.5·sin 30° = 1.5 mm; its part along the path −1.5·(1 − cos 60°)·sin 30° = −0.375 mm.
        assert!((found.rise + 0.375).abs() < 1e-12, "{found:?}");
        assert!((found.sideways - (1.5_f64.powi(2) - 0.375_f64.powi(2)).sqrt()).abs() < 1e-12);
        // cos tilt = cos²30° + sin²30°·cos 60° = 0.875.
        assert!((found.tilt - 0.875_f64.acos()).abs() < 1e-12);
        assert!((found.tilt_gap(2.4) - 4.8 * 0.875_f64.acos().sin()).abs() < 1e-12);
    }

    /// The play of an index moves a seat by the chord 2·e·sin(θ/2): e 2.0 mm and 3° give 105 µm [X].
    #[test]
    fn a_little_play_round_the_axis() {
        let found = moved(&angled(3.0, 2.0, 0.0, 0.0), &angled(3.0, 2.0, 0.0, 3.0));
        assert!((found.sideways - 0.104_708).abs() < 1e-6, "{found:?}");
        assert_eq!((found.rise, found.tilt), (0.0, 0.0));
    }

    #[test]
    fn a_straight_part_that_is_taller_rises_and_an_equal_one_stays() {
        assert_eq!(moved(&Upper::straight(3.0), &Upper::straight(3.5)), Moved { rise: 0.5, ..Moved::NOT });
        let same = angled(3.5, 1.5, 17.0, 40.0);
        assert_eq!(moved(&same, &same), Moved::NOT);
        // An angled one that is taller stands higher along its own path, and beside it.
        let taller = moved(&angled(3.0, 1.5, 30.0, 0.0), &angled(4.0, 1.5, 30.0, 0.0));
        assert!((taller.rise - 30.0_f64.to_radians().cos()).abs() < 1e-12);
        assert!((taller.sideways - 0.5).abs() < 1e-12 && taller.tilt == 0.0);
    }

    /// Two axes 10° to either side of the path [X]: both rise by cos 10° of it and move apart by sin 10°.
    #[test]
    fn seats_that_rise_along_axes_which_are_not_parallel_move_apart() {
        let (sin, cos) = 10_f64.to_radians().sin_cos();
        let axes = [[sin, 0.0, cos], [-sin, 0.0, cos]];
        for moved in along_axes(&axes, &[1.0, 1.0], true) {
            assert!((moved.rise - cos).abs() < 1e-12 && (moved.sideways - sin).abs() < 1e-12, "{moved:?}");
        }
        // Parallel ones do nothing of the kind, and a common way sideways is the bridge's own.
        let parallel = along_axes(&[[0.0, 0.0, 1.0]; 3], &[1.0; 3], true);
        assert_eq!(parallel, [Moved { rise: 1.0, ..Moved::NOT }; 3]);
        let [moved, still] = along_axes(&axes, &[1.0, 0.0], false)[..] else { panic!("two seats") };
        assert!((moved.sideways - sin).abs() < 1e-12);
        assert_eq!(still, Moved::NOT);
    }
}
