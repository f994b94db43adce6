//! Where a rigid bridge comes to rest on seats that no longer stand where they stood.
//!
//! The bridge was passive as built. Seat *i* is a disc of radius `r` at `p`, moved by `δ` along the path of insertion.
//! The lift of the bridge over its old place, `u(p) = a + g·p`, clears a disc when `a + g·p − r|g| ≥ δ`. Pressed at `q`
//! the bridge comes to rest where `u(q)` is least:
//!
//! `lift = min over g of max over i of  δ − g·(p − q) + r|g|`.
//!
//! A convex problem of two unknowns, so the answer stands on one, two or three seats, each with a closed form, and
//! weights on those seats prove it: `w ≥ 0`, `Σw = 1`, `|Σ w(p − q)| ≤ Σ w·r`, `Σ w·δ = lift` ([`Rest::doubt`]).
//! The lift is unique. So is the slope, except when the carrying seats are equally high and touch one line through `q`
//! with `q` between them: then the least slope is taken.
//!
//! Everything here is geometry; the rim of a seat is a circle, not a polygon. Lengths in mm.

mod closed;
mod least;

use thiserror::Error;

/// More seats than any jaw has.
pub const MOST_SEATS: usize = 64;

/// A seat under a rigid bridge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Seat {
    /// Its middle in the plane across the path of insertion, mm.
    pub at: [f64; 2],
    /// How much higher it stands than as built, mm; lower is below zero.
    pub rise: f64,
    /// Radius of the disc the bridge sits on, mm.
    pub radius: f64,
}

/// Why a bridge has no place to rest.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum NoRest {
    /// Nothing to sit on.
    #[error("a bridge needs a seat: none was given")]
    NoSeat,
    /// Too many.
    #[error("{0} seats are more than the {MOST_SEATS} that are modelled")]
    TooMany(usize),
    /// A number that is none.
    #[error("seat {0} has a number that is not finite")]
    NotFinite(usize),
    /// The point it is pressed at is no point.
    #[error("the point where the bridge is pressed is not finite")]
    PressNotFinite,
    /// A seat without a size: `number` counts from 1.
    #[error("seat {number} has a radius of {radius} mm: expected more than 0")]
    Radius {
        /// Which, from 1.
        number: usize,
        /// Its radius.
        radius: f64,
    },
    /// It tips over.
    #[error("pressed at {}, {} mm the bridge tips: that point lies outside the outline of its seats", .0[0], .0[1])]
    Tips([f64; 2]),
    /// Numbers so far apart in size that nothing can be proven about them.
    #[error("the sizes of these seats are too far apart to be computed: an error of {doubt} mm is left")]
    Doubtful {
        /// What the certificate leaves open, mm.
        doubt: f64,
    },
}

/// A bridge at rest.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rest {
    /// Where it is pressed, mm.
    pub press: [f64; 2],
    /// How much higher it stands there than as built, mm.
    pub lift: f64,
    /// Its slope, mm per mm.
    pub slope: [f64; 2],
    /// The seats that carry it, from 0, and how much of the pressing each takes; at most three.
    carrying: [(usize, f64); 3],
}

/// How far the bridge stands off a seat, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gap {
    /// In the middle.
    pub centre: f64,
    /// At the widest edge.
    pub widest: f64,
}

/// The mean of the sites: where a bridge is pressed when nobody says otherwise.
pub fn middle(seats: &[Seat]) -> [f64; 2] {
    let n = seats.len().max(1) as f64;
    [0, 1].map(|axis| seats.iter().map(|s| s.at[axis]).sum::<f64>() / n)
}

/// Where a bridge pressed at `press` comes to rest, with a certificate that leaves less than a millionth of a µm open (for
/// heights over a millimetre: in proportion).
pub fn rest(seats: &[Seat], press: [f64; 2]) -> Result<Rest, NoRest> {
    check(seats, press)?;
    let rest = unproven(seats, press)?;
    let doubt = rest.doubt(seats);
    let tallest = seats.iter().fold(1.0_f64, |most, s| most.max(s.rise.abs()));
    if doubt <= CERTAIN * tallest { Ok(rest) } else { Err(NoRest::Doubtful { doubt }) }
}

/// The one-screw test: the screw of seat `at` (from 0) alone is tightened.
pub fn one_screw(seats: &[Seat], at: usize) -> Result<Rest, NoRest> {
    rest(seats, seats.get(at).ok_or(NoRest::NoSeat)?.at)
}

/// The one-screw test without checks and without its proof: for a hundred thousand draws around a proven case.
pub(super) fn one_screw_unproven(seats: &[Seat], at: usize) -> Result<Rest, NoRest> {
    unproven(seats, seats[at].at)
}

fn unproven(seats: &[Seat], press: [f64; 2]) -> Result<Rest, NoRest> {
    let top = seats.iter().fold(f64::NEG_INFINITY, |top, s| top.max(s.rise));
    let low = seats.iter().fold(f64::INFINITY, |low, s| low.min(s.rise));
    let found =
        least::solve(&least::Problem::new(seats, press, top, top - low)).ok_or(NoRest::Tips(press))?;
    Ok(Rest {
        press,
        lift: top + found.lift,
        slope: found.slope,
        carrying: std::array::from_fn(|n| (found.seats[n], found.weights[n])),
    })
}

/// What a certificate may leave open for heights of a millimetre, mm: a millionth of a µm.
const CERTAIN: f64 = 1e-9;

fn check(seats: &[Seat], press: [f64; 2]) -> Result<(), NoRest> {
    if seats.is_empty() {
        return Err(NoRest::NoSeat);
    }
    if seats.len() > MOST_SEATS {
        return Err(NoRest::TooMany(seats.len()));
    }
    if !press.iter().all(|x| x.is_finite()) {
        return Err(NoRest::PressNotFinite);
    }
    for (n, seat) in seats.iter().enumerate() {
        let Seat { at: [x, y], rise, radius } = *seat;
        if !(x.is_finite() && y.is_finite() && rise.is_finite() && radius.is_finite()) {
            return Err(NoRest::NotFinite(n + 1));
        }
        if radius <= 0.0 {
            return Err(NoRest::Radius { number: n + 1, radius });
        }
    }
    Ok(())
}

impl Rest {
    /// The lift over the point `p`, mm.
    pub fn over(&self, p: [f64; 2]) -> f64 {
        self.lift + self.slope[0] * (p[0] - self.press[0]) + self.slope[1] * (p[1] - self.press[1])
    }

    /// How steep it is, mm per mm.
    pub fn steepness(&self) -> f64 {
        self.slope[0].hypot(self.slope[1])
    }

    /// How far it stands off a seat. Never below zero: what rounding takes away is given back.
    pub fn gap(&self, seat: &Seat) -> Gap {
        let edge = seat.radius * self.steepness();
        // The near edge never dips into the seat, so the middle stands at least half the tilt above it.
        let centre = (self.over(seat.at) - seat.rise).max(edge);
        Gap { centre, widest: centre + edge }
    }

    /// The seats that carry it, from 0, with the share of the pressing each takes.
    pub fn carrying(&self) -> impl Iterator<Item = (usize, f64)> + '_ {
        self.carrying.iter().copied().filter(|(_, weight)| *weight > 0.0)
    }

    /// What the certificate leaves open, mm: how far the bridge dips into a seat, or the weights miss the lift or the
    /// press point, whichever is worst. Zero proves the lift.
    pub fn doubt(&self, seats: &[Seat]) -> f64 {
        let steep = self.steepness();
        let dips = seats.iter().map(|s| s.rise - (self.over(s.at) - s.radius * steep)).fold(0.0, f64::max);
        let (mut total, mut height, mut reach, mut off) = (0.0, 0.0, 0.0, [0.0, 0.0]);
        for (n, weight) in self.carrying() {
            let seat = &seats[n];
            total += weight;
            height += weight * seat.rise;
            reach += weight * seat.radius;
            off = [0, 1].map(|axis| off[axis] + weight * (seat.at[axis] - self.press[axis]));
        }
        // A press point that is missed by so much is missed by so much times the slope in height.
        let missed = (off[0].hypot(off[1]) - reach).max(0.0) * steep;
        let worst =
            dips.max((height - self.lift).abs()).max(missed).max((total - 1.0).abs() * self.lift.abs());
        if worst.is_nan() { f64::INFINITY } else { worst }
    }
}

/// The gap at every seat as it is clamped at seat `at` (from 0): flush there, mm; below zero a seat stands proud and
/// only force brings it down.
pub fn clamped(seats: &[Seat], at: usize) -> Vec<f64> {
    let flush = seats[at].rise;
    seats.iter().map(|s| flush - s.rise).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(rises_um: [f64; 3]) -> Vec<Seat> {
        [0.0, 10.0, 20.0]
            .into_iter()
            .zip(rises_um)
            .map(|(x, um)| Seat { at: [x, 0.0], rise: um / 1000.0, radius: 2.4 })
            .collect()
    }

    fn gaps(seats: &[Seat], rest: &Rest) -> Vec<(f64, f64)> {
        let um = |mm: f64| (mm * 1e9).round() / 1e6;
        seats.iter().map(|s| rest.gap(s)).map(|g| (um(g.centre), um(g.widest))).collect()
    }

    #[test]
    fn a_middle_seat_that_is_too_tall() {
        let seats = line([0.0, 100.0, 0.0]);
        let at_rest = rest(&seats, middle(&seats)).unwrap();
        assert_eq!(gaps(&seats, &at_rest), [(100.0, 100.0), (0.0, 0.0), (100.0, 100.0)]);
        let tested = one_screw(&seats, 0).unwrap();
        assert!((tested.steepness() - 0.010).abs() < 1e-12);
        assert_eq!(gaps(&seats, &tested), [(24.0, 48.0), (24.0, 48.0), (224.0, 248.0)]);
        assert!(tested.doubt(&seats) < 1e-15);
    }

    #[test]
    fn the_slope_is_the_least_where_it_is_not_unique() {
        // Two seats touch the line y = 0 through the press point from above; a third, further out, asks for a slope.
        let seat = |x: f64, y: f64, rise: f64, radius: f64| Seat { at: [x, y], rise, radius };
        let seats = [
            seat(-5.0, 2.0, 0.0, 2.0),
            seat(5.0, 2.0, 0.0, 2.0),
            seat(0.0, 12.0, 0.2, 2.0),
            seat(0.0, -10.0, -0.9, 2.0),
        ];
        let found = rest(&seats, [0.0, 0.0]).unwrap();
        assert!(found.lift.abs() < 1e-12, "{found:?}");
        // 0.2 − 12 g + 2 g ≤ 0 asks for 0.020; −0.9 + 10 g + 2 g ≤ 0 allows up to 0.075.
        assert!((found.steepness() - 0.020).abs() < 1e-9, "{found:?}");
    }

    #[test]
    fn one_seat_gives_its_height_and_beside_it_the_bridge_tips() {
        let one = [Seat { at: [3.0, 4.0], rise: -0.25, radius: 2.4 }];
        let found = rest(&one, middle(&one)).unwrap();
        assert_eq!((found.lift, found.steepness()), (-0.25, 0.0));
        assert_eq!(rest(&one, [9.0, 4.0]), Err(NoRest::Tips([9.0, 4.0])));
        assert_eq!(
            rest(&one, [9.0, 4.0]).unwrap_err().to_string(),
            "pressed at 9, 4 mm the bridge tips: that point lies outside the outline of its seats"
        );
    }

    #[test]
    fn what_is_no_seat_is_refused() {
        let seat = |radius, rise| Seat { at: [0.0, 0.0], rise, radius };
        assert_eq!(rest(&[], [0.0, 0.0]), Err(NoRest::NoSeat));
        assert_eq!(rest(&[seat(0.0, 0.0)], [0.0, 0.0]), Err(NoRest::Radius { number: 1, radius: 0.0 }));
        assert_eq!(rest(&[seat(1.0, f64::NAN)], [0.0, 0.0]), Err(NoRest::NotFinite(1)));
        assert_eq!(rest(&[seat(1.0, 0.0)], [f64::INFINITY, 0.0]), Err(NoRest::PressNotFinite));
        assert_eq!(rest(&[seat(1.0, 0.0); 65], [0.0, 0.0]), Err(NoRest::TooMany(65)));
    }
}
