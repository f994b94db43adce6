//! The least lift, by exchange: from a few seats to the seat the bridge dips into most, until it dips into none.

use super::Seat;
use super::closed::{Disc, Point, on_one, on_three, on_two};

/// Seats, seen from where the bridge is pressed.
pub(super) struct Problem<'a> {
    seats: &'a [Seat],
    press: [f64; 2],
    top: f64,
    /// What counts as touching.
    touching: f64,
}

impl<'a> Problem<'a> {
    pub fn new(seats: &'a [Seat], press: [f64; 2], top: f64, spread: f64) -> Self {
        Self { seats, press, top, touching: 1e-13 * spread }
    }

    #[inline]
    fn disc(&self, seat: usize) -> Disc {
        let s = &self.seats[seat];
        Disc {
            seat,
            x: s.at[0] - self.press[0],
            y: s.at[1] - self.press[1],
            rise: s.rise - self.top,
            radius: s.radius,
        }
    }

    #[inline]
    fn discs(&self) -> impl Iterator<Item = Disc> + '_ {
        (0..self.seats.len()).map(|n| self.disc(n))
    }

    /// The seat the bridge dips into most, if it dips into any.
    #[inline]
    fn deepest(&self, at: &Point) -> Option<(Disc, f64)> {
        let mut worst = (None, self.touching);
        for disc in self.discs() {
            let dips = at.dips(&disc);
            if dips > worst.1 {
                worst = (Some(disc), dips);
            }
        }
        worst.0.map(|disc| (disc, worst.1))
    }
}

/// The bridge at rest; none when it tips.
pub(super) fn solve(problem: &Problem<'_>) -> Option<Point> {
    let mut at = start(problem)?;
    // Every exchange lifts the bridge, so no set of seats comes twice; rounding alone could make it go round.
    for _ in 0..4 * problem.seats.len() + 8 {
        let Some((deepest, _)) = problem.deepest(&at) else { return Some(least_slope(problem, at)) };
        match exchange(problem, &at, &deepest) {
            Some(next) => at = next,
            None => break,
        }
    }
    Some(least_slope(problem, every_basis(problem).unwrap_or(at)))
}

/// The best on the carrying seats and one more, which it stands on for certain.
#[inline]
fn exchange(problem: &Problem<'_>, at: &Point, new: &Disc) -> Option<Point> {
    let mut old = [*new; 3];
    let mut held = 0;
    for (seat, weight) in at.seats.into_iter().zip(at.weights) {
        // A seat without weight still holds the slope when the bridge stands on three.
        if weight > 0.0 || (at.weights[2] > 0.0 || at.seats[2] != at.seats[0]) {
            old[held] = problem.disc(seat);
            held += 1;
        }
    }
    let old = &old[..held];
    let clears = |p: &Point, but: &[usize]| {
        old.iter().enumerate().all(|(n, d)| but.contains(&n) || p.dips(d) <= problem.touching)
    };
    let better = |p: &Point| p.lift >= at.lift - problem.touching;
    if let Some(p) = on_one(new).filter(|p| better(p) && clears(p, &[])) {
        return Some(p);
    }
    for (n, a) in old.iter().enumerate() {
        if let Some(p) = on_two(new, a).filter(|p| better(p) && clears(p, &[n])) {
            return Some(p);
        }
    }
    for n in 0..old.len() {
        for m in n + 1..old.len() {
            if let Some(p) = on_three(new, &old[n], &old[m]).filter(|p| better(p) && clears(p, &[n, m])) {
                return Some(p);
            }
        }
    }
    None
}

/// A few seats that hold the bridge at all.
fn start(problem: &Problem<'_>) -> Option<Point> {
    let mut best: Option<Point> = None;
    for disc in problem.discs() {
        if let Some(p) = on_one(&disc).filter(|p| best.is_none_or(|b| p.lift > b.lift)) {
            best = Some(p);
        }
    }
    best.or_else(|| triangle(problem)).or_else(|| pair(problem))
}

/// Three seats with the press point in the triangle of their middles: the tallest, and on either side of the line
/// from it through the press point the seat nearest to that line beyond it.
fn triangle(problem: &Problem<'_>) -> Option<Point> {
    let first = problem.discs().reduce(|a, b| if b.rise > a.rise { b } else { a })?;
    let away = [-first.x, -first.y];
    let mut sides: [Option<(Disc, f64)>; 2] = [None, None];
    for disc in problem.discs() {
        let (turn, ahead) = (away[0] * disc.y - away[1] * disc.x, away[0] * disc.x + away[1] * disc.y);
        if turn == 0.0 {
            continue;
        }
        let side = &mut sides[usize::from(turn < 0.0)];
        // The cotangent of the angle to that line grows as the angle shrinks, all round from 180° to 0.
        let near = ahead / turn.abs();
        if side.is_none_or(|(_, best)| near > best) {
            *side = Some((disc, near));
        }
    }
    let ((left, _), (right, _)) = (sides[0]?, sides[1]?);
    // Beyond 180° between them the press point is outside.
    if left.x * right.y - left.y * right.x > 0.0 {
        return None;
    }
    of_three(problem, &first, &left, &right)
}

/// The bridge at rest on three seats alone.
fn of_three(problem: &Problem<'_>, a: &Disc, b: &Disc, c: &Disc) -> Option<Point> {
    let on = |p: Option<Point>, third: &Disc| p.filter(|p| p.dips(third) <= problem.touching);
    on(on_two(a, b), c)
        .or_else(|| on(on_two(a, c), b))
        .or_else(|| on(on_two(b, c), a))
        .or_else(|| on_three(a, b, c))
}

/// Any two seats with the press point between their discs.
fn pair(problem: &Problem<'_>) -> Option<Point> {
    let n = problem.seats.len();
    (0..n).flat_map(|a| (a + 1..n).map(move |b| (a, b))).find_map(|(a, b)| {
        let (a, b) = (problem.disc(a), problem.disc(b));
        on_two(&a, &b)
    })
}

/// Every set of seats in turn, the one that dips least: only where rounding has led the exchange astray.
fn every_basis(problem: &Problem<'_>) -> Option<Point> {
    let n = problem.seats.len();
    let mut best: Option<(Point, f64)> = None;
    let mut consider = |p: Option<Point>| {
        let Some(p) = p else { return };
        let dips = problem.deepest(&p).map_or(0.0, |(_, dips)| dips);
        if best.is_none_or(|(_, least)| dips < least) {
            best = Some((p, dips));
        }
    };
    for a in 0..n {
        let first = problem.disc(a);
        consider(on_one(&first));
        for b in a + 1..n {
            let second = problem.disc(b);
            consider(on_two(&first, &second));
            for c in b + 1..n {
                consider(on_three(&first, &second, &problem.disc(c)));
            }
        }
    }
    best.map(|(p, _)| p)
}

/// The least slope of all that give this lift. They differ only where two seats carry the whole and a third merely
/// holds the slope: along the same direction the bridge may then lie flatter.
fn least_slope(problem: &Problem<'_>, at: Point) -> Point {
    let on_three = at.seats[2] != at.seats[0];
    if !on_three || at.weights.iter().all(|w| *w > 1e-9) {
        return at;
    }
    let way = [at.slope[0] / at.steep, at.slope[1] / at.steep];
    let mut steep = 0.0_f64;
    for d in problem.discs() {
        let clears = way[0] * d.x + way[1] * d.y - d.radius;
        if clears > 1e-9 * d.radius {
            steep = steep.max((d.rise - at.lift) / clears);
        }
    }
    if steep < at.steep { Point { slope: way.map(|w| w * steep), steep, ..at } } else { at }
}
