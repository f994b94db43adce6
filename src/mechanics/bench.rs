//! The geometry of the standard fatigue bench for implants (ISO 14801): what moment a bench load makes.
//!
//! The load stands at 30° to the implant's axis, its centre 11.0 mm from where the holder grips, and the holder grips
//! 3.0 mm below the nominal bone level (clause from memory; scope read). The standard says of itself that it does not
//! predict life in the mouth.

use super::size::{SizeError, held, positive};

/// Angle of the load to the implant's axis: 30°.
pub const ANGLE_DEG: f64 = 30.0;

/// From where the holder grips to the centre of the load, along the axis.
pub const LEVER_MM: f64 = 11.0;

/// How far the holder grips below the nominal bone level: bone that was lost.
pub const BONE_LOST_MM: f64 = 3.0;

/// What a bench load does to an implant whose platform lies at bone level.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BenchLoad {
    /// The load, N.
    pub force_n: f64,
    /// Its part across the axis, F·sin 30°, N.
    pub side_n: f64,
    /// Its part along the axis, pressing, F·cos 30°, N.
    pub axial_n: f64,
    /// Where the holder grips, F·sin 30°·11.0 = 5.5·F, N·mm.
    pub moment_nmm: f64,
    /// At the platform, F·sin 30°·(11.0 − 3.0) = 4.0·F, N·mm.
    pub platform_moment_nmm: f64,
}

/// The moments of a bench load in N.
///
/// # Errors
/// A load that is not a finite number over zero, or a moment no number holds.
pub fn bench_load(force_n: f64) -> Result<BenchLoad, SizeError> {
    positive("a load in N", force_n, 250.0)?;
    // sin 30° is a half, and sin() of a rounded π/6 is not quite.
    let side_n = force_n / 2.0;
    Ok(BenchLoad {
        force_n,
        side_n,
        axial_n: force_n * ANGLE_DEG.to_radians().cos(),
        moment_nmm: held(side_n * LEVER_MM)?,
        platform_moment_nmm: side_n * (LEVER_MM - BONE_LOST_MM),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_load_that_is_none_is_refused_with_what_was_expected() {
        for (force, says) in [
            (0.0, "a load in N of 0: expected a number over 0, such as 250"),
            (-250.0, "a load in N of -250: expected a number over 0, such as 250"),
            (f64::NAN, "a load in N of NaN: expected a number over 0, such as 250"),
            (
                f64::MAX,
                "these sizes are too far apart to be worked with: expected mm, N, N·mm and MPa as in a screw joint",
            ),
        ] {
            assert_eq!(bench_load(force).map_err(|e| e.to_string()), Err(says.to_owned()));
        }
    }

    #[test]
    fn the_two_parts_are_those_of_thirty_degrees() {
        let load = bench_load(100.0).unwrap();
        assert!((load.side_n.hypot(load.axial_n) - 100.0).abs() < 1e-12);
        assert!((load.side_n - 100.0 * ANGLE_DEG.to_radians().sin()).abs() < 1e-12);
    }
}
