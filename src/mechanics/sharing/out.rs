//! A bridge with some of its screws out: what the others get, and what is to be said about it.

use super::{Load, Shares, SharingError, SideShares, sideways, upright};

/// A load across the screws.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sideways {
    /// Where, mm.
    pub at_mm: [f64; 2],
    /// In x and y, N.
    pub force_n: [f64; 2],
}

/// What each screw of a bridge gets, with all that went into it. A screw that is out gets nothing.
#[derive(Debug, Clone, PartialEq)]
pub struct LoadShare {
    /// All screws, mm.
    pub screws_mm: Vec<[f64; 2]>,
    /// Which of them are out.
    pub out: Vec<bool>,
    /// The load along the screws, and what each gets of it: all of them, in order.
    pub along: Option<(Load, Shares)>,
    /// The load across the screws, and what each gets of it: all of them, in order.
    pub across: Option<(Sideways, SideShares)>,
    /// ρ, mm.
    pub rho_mm: f64,
}

impl LoadShare {
    /// Shares loads out to the screws that are not out; `out` says of each whether it is.
    ///
    /// # Errors
    /// As [`upright`] and [`sideways`], of those that are left.
    pub fn of(
        screws_mm: &[[f64; 2]],
        out: &[bool],
        along: Option<Load>,
        across: Option<Sideways>,
        rho_mm: f64,
    ) -> Result<Self, SharingError> {
        let is_out = |n: usize| out.get(n).copied().unwrap_or(false);
        let left: Vec<[f64; 2]> =
            screws_mm.iter().enumerate().filter(|(n, _)| !is_out(*n)).map(|(_, s)| *s).collect();
        let mut shared = Self {
            screws_mm: screws_mm.to_vec(),
            out: (0..screws_mm.len()).map(is_out).collect(),
            along: None,
            across: None,
            rho_mm,
        };
        if let Some(load) = along {
            let mut shares = upright(&left, &load, rho_mm)?;
            shares.forces_n = shared.among_all(&shares.forces_n, 0.0);
            shared.along = Some((load, shares));
        }
        if let Some(load) = across {
            let mut shares = sideways(&left, load.at_mm, load.force_n)?;
            shares.forces_n = shared.among_all(&shares.forces_n, [0.0; 2]);
            shared.across = Some((load, shares));
        }
        Ok(shared)
    }

    fn among_all<T: Copy>(&self, left: &[T], nothing: T) -> Vec<T> {
        let mut rest = left.iter();
        self.out.iter().map(|o| if *o { nothing } else { rest.next().copied().unwrap_or(nothing) }).collect()
    }

    /// What must be said with the numbers: a moment that nothing carries, a load far outside.
    pub fn notes(&self) -> Vec<String> {
        let left = self.out.iter().filter(|o| !**o).count();
        let mut notes = Vec::new();
        if let Some((_, shares)) = &self.along {
            if shares.uncarried_nmm > 0.0 {
                let what = if left == 1 {
                    "the moment about the single screw"
                } else {
                    "the moment about the line of the screws"
                };
                notes.push(format!(
                    "{what}, {:.0} N·mm, is not carried by any pull: it bends the joints, and these forces say nothing of it",
                    shares.uncarried_nmm
                ));
            }
            if shares.far_outside {
                notes.push(
                    "the load acts far outside the bridge, over twice as far from the middle of the screws as the furthest of them"
                        .to_owned(),
                );
            }
        }
        if let Some((_, shares)) = &self.across
            && shares.uncarried_nmm > 0.0
        {
            notes.push(format!(
                "the moment that turns the bridge about the single screw, {:.0} N·mm, is not carried",
                shares.uncarried_nmm
            ));
        }
        notes
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_screw_that_is_out_gets_nothing_and_keeps_its_place() {
        let three = [[0.0, 0.0], [8.0, 0.0], [16.0, 0.0]];
        let load = Load { at_mm: [24.0, 0.0], force_n: 100.0, side_n: [0.0; 2], height_mm: 0.0 };
        let across = Sideways { at_mm: [24.0, 0.0], force_n: [0.0, 30.0] };
        let found = LoadShare::of(&three, &[false, true, false], Some(load), Some(across), 0.0).unwrap();
        assert_eq!(found.along.as_ref().map(|(_, s)| s.forces_n.clone()), Some(vec![-50.0, 0.0, 150.0]));
        let sides = found.across.as_ref().map(|(_, s)| s.forces_n.clone());
        assert_eq!(sides, Some(vec![[0.0, -15.0], [0.0, 0.0], [0.0, 45.0]]));
        assert_eq!(found.notes(), [""; 0]);
        assert_eq!(
            LoadShare::of(&three, &[true; 3], Some(load), None, 0.0).map_err(|e| e.to_string()),
            Err("0 screws: expected 1 to 80".to_owned())
        );
    }

    #[test]
    fn what_is_not_carried_and_what_is_far_away_is_said() {
        let one = [[0.0, 0.0], [8.0, 0.0]];
        let load = Load { at_mm: [2.0, 0.0], force_n: 100.0, side_n: [0.0; 2], height_mm: 0.0 };
        let across = Sideways { at_mm: [2.0, 0.0], force_n: [0.0, 30.0] };
        let found = LoadShare::of(&one, &[false, true], Some(load), Some(across), 0.0).unwrap();
        assert_eq!(
            found.notes(),
            [
                "the moment about the single screw, 200 N·mm, is not carried by any pull: it bends the joints, and these forces say nothing of it",
                "the moment that turns the bridge about the single screw, 60 N·mm, is not carried",
            ]
        );
        let away = Load { at_mm: [4.0, 90.0], ..load };
        assert_eq!(
            LoadShare::of(&one, &[], Some(away), None, 0.0).unwrap().notes(),
            [
                "the moment about the line of the screws, 9000 N·mm, is not carried by any pull: it bends the joints, and these forces say nothing of it",
                "the load acts far outside the bridge, over twice as far from the middle of the screws as the furthest of them",
            ]
        );
    }
}
