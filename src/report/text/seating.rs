//! A rigid bridge at rest on seats, by itself.

use super::super::table::table;
use crate::fit::seating::{Rest, Seat};
use std::fmt::Write as _;

/// µm with one decimal, and no minus sign before a zero.
pub(super) fn um(mm: f64) -> String {
    let shown = format!("{:.1}", mm * 1000.0);
    format!("{} µm", if shown == "-0.0" { "0.0" } else { &shown })
}

/// The answer of `calc seat`.
pub fn seating(seats: &[Seat], rest: &Rest, why: bool) -> String {
    let [x, y] = rest.press;
    let mut out = format!(
        "The bridge rests {} higher than as built where it is pressed (x {x:.2} mm, y {y:.2} mm), sloping by {:.4} mm on every mm.\n",
        um(rest.lift),
        rest.steepness(),
    );
    let rows = seats.iter().enumerate().map(|(n, seat)| {
        let gap = rest.gap(seat);
        let carries = rest.carrying().find(|(s, _)| *s == n).map_or(String::new(), |(_, w)| share(w));
        vec![format!("seat {}", n + 1), um(seat.rise), um(gap.centre), um(gap.widest), carries]
    });
    out += "\n";
    out +=
        &table(&["seat", "stands higher by", "gap in the middle", "gap at the widest edge", "carries"], rows);
    if why {
        let [gx, gy] = rest.slope;
        let _ = write!(
            out,
            "\nWorking\n  lift = least over the slope g of the greatest of: rise − g·(p − q) + radius·|g|; q is where it is pressed\n  g = {gx:.6}, {gy:.6} mm per mm; a gap is lift + g·(p − q) − rise, at the widest edge radius·|g| more\n  proven by the shares above: they lie round q within the discs, and their mean rise is the lift; left open: {:.1e} µm\n  source: geometry; a rigid bridge that was passive as built, on flat discs\n",
            rest.doubt(seats) * 1000.0,
        );
    }
    out
}

fn share(weight: f64) -> String {
    format!("{:.0} % of the pressing", weight * 100.0)
}
