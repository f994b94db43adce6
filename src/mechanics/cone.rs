//! A conical joint: its walls carry the moment, so there is no seat that opens.
//!
//! The male section and the wall of the female one are held against the rule for a neck, at the mouth of the cone; the
//! screw against being pulled slack, `λ = F_V/((1 − C)·T)`, T a pull. Each only where its dimensions are on record: a part
//! that is not is said to be not modelled, never taken for safe.
//!
//! Left out: that a taper under 6° with friction over 0.2 holds harder than it was pushed (Bozkaya & Müftü), the hoop
//! stress of the wall, and how the moment is handed from one wall to the other below the mouth.

use thiserror::Error;

use super::neck::{self, NeckError};
use super::ring::Ring;
use super::size::{SizeError, finite, part, positive};

/// Why a cone has no answer.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum ConeError {
    /// A load or preload that is none.
    #[error(transparent)]
    Size(#[from] SizeError),
    /// A wall that has no answer.
    #[error(transparent)]
    Neck(#[from] NeckError),
}

/// Where a part reaches its limit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Reach {
    /// Its dimensions are not on record.
    NotModelled,
    /// At no multiple of this load.
    Never,
    /// At this multiple of the load.
    At(f64),
}

impl From<Option<f64>> for Reach {
    /// What a kernel says of a part that is on record.
    fn from(multiple: Option<f64>) -> Self {
        multiple.map_or(Self::Never, Self::At)
    }
}

/// One wall of a cone at its mouth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wall {
    /// Its section.
    pub section: Ring,
    /// The largest stress that may come and go in it, MPa ([`neck::pulsating_limit_mpa`]).
    pub limit_mpa: f64,
}

/// The screw of a cone.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Screw {
    /// F_V, the preload that is left after settling, N.
    pub clamp_n: f64,
    /// C, its share of a pull, 0 up to under 1.
    pub share: f64,
}

/// A conical joint, as far as its dimensions are on record.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cone {
    /// The part that goes in.
    pub male: Option<Wall>,
    /// The wall round it.
    pub female: Option<Wall>,
    /// The screw.
    pub screw: Option<Screw>,
}

/// Where each part of a cone reaches its limit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reaches {
    /// The part that goes in breaks.
    pub male: Reach,
    /// The wall round it breaks.
    pub female: Reach,
    /// The screw is pulled slack.
    pub screw: Reach,
}

/// The multiple of a pull at which a screw has nothing left, `λ = F_V/((1 − C)·T)`, T = −P where P pulls (N, − pulling).
/// `None`: it is not pulled.
///
/// # Errors
/// A clamp that is not a finite number over zero, a share that is not from 0 to under 1, a load that is not finite.
pub fn slackens(screw: &Screw, axial_n: f64) -> Result<Option<f64>, SizeError> {
    positive("a clamp in N", screw.clamp_n, 300.0)?;
    finite("an axial load in N", axial_n, -100.0)?;
    part("a screw's share", screw.share, 0.1)?;
    let pull_n = -axial_n * (1.0 - screw.share);
    Ok((pull_n > 0.0).then(|| screw.clamp_n / pull_n).filter(|l| l.is_finite()))
}

impl Cone {
    /// Every part on record under the moment at the mouth in N·mm and an axial load in N, + pressing, − pulling.
    ///
    /// # Errors
    /// A moment, load, limit, clamp or share that is none.
    pub fn reaches(&self, moment_nmm: f64, axial_n: f64) -> Result<Reaches, ConeError> {
        let wall = |wall: &Option<Wall>| match wall {
            None => Ok(Reach::NotModelled),
            Some(w) => neck::breaks(&w.section, &[moment_nmm], axial_n, w.limit_mpa).map(Reach::from),
        };
        let screw = match &self.screw {
            None => Reach::NotModelled,
            Some(screw) => slackens(screw, axial_n)?.into(),
        };
        Ok(Reaches { male: wall(&self.male)?, female: wall(&self.female)?, screw })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn wall(outer: f64, inner: f64) -> Option<Wall> {
        Some(Wall { section: Ring::new(outer, inner).unwrap(), limit_mpa: 277.0 })
    }

    #[test]
    fn what_is_not_on_record_is_not_modelled_and_never_safe() {
        let bare = Cone { male: None, female: None, screw: None };
        let none =
            Reaches { male: Reach::NotModelled, female: Reach::NotModelled, screw: Reach::NotModelled };
        assert_eq!(bare.reaches(300.0, -100.0), Ok(none));
        let walls = Cone { male: wall(2.8, 1.8), female: wall(4.1, 2.8), screw: None };
        let found = walls.reaches(300.0, 0.0).unwrap();
        // M/Z by hand: Z = π/32·(D⁴ − d⁴)/D of 2.8/1.8 is 1.7870, of 4.1/2.8 5.2945.
        for (reach, modulus) in [(found.male, 1.787_0), (found.female, 5.294_5)] {
            let Reach::At(multiple) = reach else { panic!("{reach:?}") };
            assert!((multiple / (277.0 * modulus / 300.0) - 1.0).abs() < 1e-4, "{multiple}");
        }
        assert_eq!(found.screw, Reach::NotModelled);
        assert_eq!(walls.reaches(0.0, 100.0).unwrap().male, Reach::Never);
    }

    #[test]
    fn a_screw_is_slackened_by_what_is_pulled_only() {
        let screw = Screw { clamp_n: 450.0, share: 0.1 };
        assert_eq!(slackens(&screw, -100.0), Ok(Some(5.0)));
        assert_eq!(slackens(&screw, 100.0), Ok(None));
        assert_eq!(slackens(&screw, 0.0), Ok(None));
        let cone = Cone { male: None, female: None, screw: Some(screw) };
        assert_eq!(cone.reaches(0.0, -100.0).unwrap().screw, Reach::At(5.0));
    }

    #[test]
    fn what_is_no_screw_is_refused_with_what_was_expected() {
        for (clamp_n, share, axial, says) in [
            (0.0, 0.1, -1.0, "a clamp in N of 0: expected a number over 0, such as 300"),
            (1.0, 1.0, -1.0, "a screw's share of 1: expected a part from 0 to under 1, such as 0.1"),
            (1.0, f64::NAN, -1.0, "a screw's share of NaN: expected a part from 0 to under 1, such as 0.1"),
            (1.0, 0.1, f64::NAN, "an axial load in N of NaN: expected a finite number, such as -100"),
        ] {
            let cone = Cone { male: None, female: None, screw: Some(Screw { clamp_n, share }) };
            assert_eq!(cone.reaches(1.0, axial).map_err(|e| e.to_string()), Err(says.to_owned()));
        }
    }
}
