//! The bite factor λ: the multiple of a bite at which a part of a site reaches its limit, the least over a set of loads.
//!
//! **What a site gets** of a load is [`super::sharing`]'s: P along its axis, V across it, and the moment that bends every
//! joint, `W·M/N` with `W = N·ρ²·(S + N·ρ²)⁻¹`, M the moment about the middle of N sites and S their second moments.
//! **How it is bent** at z below the bridge's seat: `W·M/N + V·z − (1 − W)·V·L/2`, L from that seat to 3 mm below the
//! platform. In one line W is 1 across it, and this is `M/N + V·z`; in a wide arch W goes to 0, and it is `V·(z − L/2)`:
//! the two rules of [`super::lever`] and what lies between them, without a jump.
//! **λ** is the least over the loads; a preload does not scale with the bite. It compares one assembly with another under
//! the same bite, and predicts no life.
//!
//! Left out: that bridge and bone give, the lean of an angled part, that a part has been loaded before.
//! Checked in tests/numeric/margins.rs against the two rules and the worked bridges of tests/numeric/weakest.rs.

use thiserror::Error;

use super::cone::{Cone, ConeError, Reach};
use super::joint::{FlatJoint, JointError};
use super::neck::{self, BONE_LOST_MM, NeckError};
use super::ring::Ring;
use super::section::{ALTERNATING_LIMIT_MPA, SectionError};
use super::sharing::{Load, SharingError, bent_part, sideways, upright};
use super::size::{SizeError, not_negative, positive};

/// How many frictions a margin is worked out for: low, middle, high.
pub const FRICTIONS: usize = 3;

/// Why there is no margin.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
#[allow(missing_docs)]
pub enum MarginError {
    #[error(transparent)]
    Size(#[from] SizeError),
    #[error(transparent)]
    Sharing(#[from] SharingError),
    #[error(transparent)]
    Joint(#[from] JointError),
    #[error(transparent)]
    Section(#[from] SectionError),
    #[error(transparent)]
    Neck(#[from] NeckError),
    #[error(transparent)]
    Cone(#[from] ConeError),
}

/// What one site gets of one load.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AtSite {
    /// P, N, + pressing.
    pub axial_n: f64,
    /// V in x and y, N.
    pub side_n: [f64; 2],
    /// `W·M/N` in x and y, N·mm.
    pub moment_nmm: [f64; 2],
    /// W.
    pub bent: [[f64; 2]; 2],
}

impl AtSite {
    /// Of a load, for each site, sites and load in mm and N; and whether the load acts far outside the bridge.
    ///
    /// # Errors
    /// As [`upright`]; ρ that is not over zero.
    pub fn all(sites_mm: &[[f64; 2]], load: &Load, rho_mm: f64) -> Result<(Vec<Self>, bool), MarginError> {
        positive("a radius in mm", rho_mm, 4.5)?;
        let along = upright(sites_mm, load, rho_mm)?;
        let across = sideways(sites_mm, load.at_mm, load.side_n)?;
        let bent = bent_part(sites_mm, rho_mm)?;
        let one = |(axial_n, side_n): (&f64, &[f64; 2])| Self {
            axial_n: *axial_n,
            side_n: *side_n,
            moment_nmm: along.joint_moment_nmm,
            bent,
        };
        Ok((along.forces_n.iter().zip(&across.forces_n).map(one).collect(), along.far_outside))
    }

    /// How much it is bent at a depth below the bridge's seat, N·mm; L as above, mm.
    ///
    /// # Errors
    /// A depth under zero, a length that is not over zero.
    pub fn bending_nmm(&self, below_mm: f64, length_mm: f64) -> Result<f64, SizeError> {
        not_negative("a depth in mm", below_mm, 2.5)?;
        positive("a length in mm", length_mm, 5.5)?;
        let part = |axis: usize| {
            let held =
                self.side_n[axis] - self.bent[axis][0] * self.side_n[0] - self.bent[axis][1] * self.side_n[1];
            self.moment_nmm[axis] + self.side_n[axis] * below_mm - held * length_mm / 2.0
        };
        Ok(part(0).hypot(part(1)))
    }

    /// The load across it, N.
    pub fn across_n(&self) -> f64 {
        self.side_n[0].hypot(self.side_n[1])
    }
}

/// A part of a site, and how it gives way.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Member {
    /// A flat joint, at each friction.
    Flat([FlatJoint; FRICTIONS]),
    /// A conical joint, at each friction.
    Cone([Cone; FRICTIONS]),
    /// A neck, at the platform and [`BONE_LOST_MM`] below it, and the stress in MPa that may come and go in it.
    Neck(Ring, f64),
}

/// λ at each friction, and which load rules at the middle one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Factor {
    /// Low, middle, high friction; none where it never gets there.
    pub at: [Option<f64>; FRICTIONS],
    /// Which load, from 0.
    pub ruled_by: Option<usize>,
}

/// When a part gives way; none where that does not apply or its dimensions are not on record.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Margin {
    /// It loosens: a seat opens, a cone's screw is pulled slack.
    pub opens: Option<Factor>,
    /// It breaks.
    pub breaks: Option<Factor>,
}

/// Where it opens and where it breaks, one load, one friction.
type Both = (Reach, Reach);

impl Member {
    fn reach(
        &self,
        friction: usize,
        at: &AtSite,
        below_mm: f64,
        length_mm: f64,
    ) -> Result<Both, MarginError> {
        let moment = at.bending_nmm(below_mm, length_mm)?;
        Ok(match self {
            Self::Flat(joints) => {
                let joint = &joints[friction];
                let breaks = joint.breaks(moment, at.axial_n, ALTERNATING_LIMIT_MPA)?;
                (joint.opens(moment, at.axial_n)?.into(), breaks.into())
            }
            Self::Cone(cones) => {
                let found = cones[friction].reaches(moment, at.axial_n)?;
                (found.screw, found.male)
            }
            Self::Neck(ring, limit_mpa) => {
                let lower = at.bending_nmm(below_mm + BONE_LOST_MM, length_mm)?;
                let breaks = neck::breaks(ring, &[moment, lower], at.axial_n, *limit_mpa)?;
                (Reach::NotModelled, breaks.into())
            }
        })
    }

    /// Its margin over loads, `below_mm` under the bridge's seat; L as above.
    ///
    /// # Errors
    /// A depth, length or load that is none.
    pub fn margin(&self, loads: &[AtSite], below_mm: f64, length_mm: f64) -> Result<Margin, MarginError> {
        let (mut opens, mut breaks) = (Least::default(), Least::default());
        for (n, at) in loads.iter().enumerate() {
            for friction in 0..FRICTIONS {
                // A neck has no screw: what it bears at one friction it bears at all.
                if friction > 0 && matches!(self, Self::Neck(..)) {
                    break;
                }
                let (o, b) = self.reach(friction, at, below_mm, length_mm)?;
                opens.take(friction, n, o);
                breaks.take(friction, n, b);
            }
        }
        if matches!(self, Self::Neck(..)) {
            breaks.at = [breaks.at[0]; FRICTIONS];
            breaks.ruled_by = [breaks.ruled_by[0]; FRICTIONS];
        }
        Ok(Margin { opens: opens.factor(), breaks: breaks.factor() })
    }
}

/// The least so far.
#[derive(Default)]
struct Least {
    modelled: bool,
    at: [Option<f64>; FRICTIONS],
    ruled_by: [Option<usize>; FRICTIONS],
}

impl Least {
    fn take(&mut self, friction: usize, load: usize, reach: Reach) {
        self.modelled |= reach != Reach::NotModelled;
        if let Reach::At(multiple) = reach
            && self.at[friction].is_none_or(|least| multiple < least)
        {
            self.at[friction] = Some(multiple);
            self.ruled_by[friction] = Some(load);
        }
    }

    fn factor(&self) -> Option<Factor> {
        self.modelled.then_some(Factor { at: self.at, ruled_by: self.ruled_by[FRICTIONS / 2] })
    }
}
