//! How much a load across a bridge bends each site, from its seat down to the implant.
//!
//! **In one line**, the bridge can tip about the line, and every joint bends: the moment about the line is shared evenly,
//! and below the bridge's seat the site's own part of the sideways load is added to it.
//! **In an arch**, the bridge is held from tipping, so a site is bent like a post with both ends held: nothing halfway
//! down, most at both ends.
//!
//! Left out: bone, which begins to hold the post before its end; the bridge's own give.
//! The two rules are a model of this tool's own (statics of a rigid frame); see tests/numeric/weakest.rs.

use super::size::{SizeError, finite, held, not_negative, positive};

/// Moment of a load that stands at an angle to the axis, at height h above where it is asked for:
/// `M = F·sin θ·h`, N·mm, from F in N, θ in radians, h in mm. Statics.
///
/// # Errors
/// A load that is not a finite number over zero, an angle or height that is not finite.
pub fn crown_moment_nmm(force_n: f64, angle_rad: f64, height_mm: f64) -> Result<f64, SizeError> {
    positive("a load in N", force_n, 200.0)?;
    finite("an angle in radians", angle_rad, 0.5)?;
    finite("a height in mm", height_mm, 8.0)?;
    held(force_n * angle_rad.sin() * height_mm)
}

/// Bending of a site whose screws all stand in one line, `|M/N + V·z|`, N·mm: M the moment about the line at the height of
/// the bridge's seats in N·mm, shared by N sites; V this site's part of the load across in N; z below the seat in mm.
///
/// # Errors
/// No site, a depth under zero, a moment or load that is not finite.
pub fn in_line_nmm(moment_nmm: f64, sites: usize, side_n: f64, below_mm: f64) -> Result<f64, SizeError> {
    finite("a moment in N·mm", moment_nmm, 300.0)?;
    finite("a load in N", side_n, 50.0)?;
    not_negative("a depth in mm", below_mm, 2.5)?;
    let count = positive("a number of sites", sites as f64, 3.0)?;
    held((moment_nmm / count + side_n * below_mm).abs())
}

/// Bending of a site of an arch, `|V·(z − L/2)|`, N·mm: V its part of the load across in N (the length of both its parts),
/// z below the bridge's seat and L from there to 3 mm below the platform, in mm.
///
/// # Errors
/// A depth under zero, a length that is not over zero, a load that is not finite.
pub fn in_arch_nmm(side_n: f64, below_mm: f64, length_mm: f64) -> Result<f64, SizeError> {
    finite("a load in N", side_n, 50.0)?;
    not_negative("a depth in mm", below_mm, 2.5)?;
    positive("a length in mm", length_mm, 5.5)?;
    held((side_n * (below_mm - length_mm / 2.0)).abs())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_no_lever_is_refused_with_what_was_expected() {
        let said = |r: Result<f64, SizeError>| r.map_err(|e| e.to_string());
        for (found, says) in [
            (crown_moment_nmm(0.0, 0.2, 8.0), "a load in N of 0: expected a number over 0, such as 200"),
            (
                crown_moment_nmm(1.0, f64::NAN, 8.0),
                "an angle in radians of NaN: expected a finite number, such as 0.5",
            ),
            (in_line_nmm(1.0, 0, 1.0, 0.0), "a number of sites of 0: expected a number over 0, such as 3"),
            (in_line_nmm(1.0, 3, 1.0, -1.0), "a depth in mm of -1: expected 0 or more, such as 2.5"),
            (in_arch_nmm(1.0, 0.0, 0.0), "a length in mm of 0: expected a number over 0, such as 5.5"),
            (in_arch_nmm(f64::NAN, 0.0, 5.5), "a load in N of NaN: expected a finite number, such as 50"),
        ] {
            assert_eq!(said(found), Err(says.to_owned()));
        }
    }

    #[test]
    fn a_post_held_at_both_ends_bends_alike_at_both_and_not_at_all_halfway() {
        assert_eq!(in_arch_nmm(50.0, 0.0, 5.0), in_arch_nmm(-50.0, 5.0, 5.0));
        assert_eq!(in_arch_nmm(50.0, 2.5, 5.0), Ok(0.0));
        assert_eq!(in_line_nmm(300.0, 3, -50.0, 2.0), Ok(0.0));
    }
}
