//! A rigid bridge at rest on seats, by itself.

use serde_json::{Value as Json, json};

use super::VERSION;
use crate::fit::seating::{Rest, Seat};

/// The answer of `calc seat`: µm, and mm per mm for the slope.
pub fn seating(seats: &[Seat], rest: &Rest) -> Json {
    let one = |(n, seat): (usize, &Seat)| {
        let gap = rest.gap(seat);
        let carries = rest.carrying().find(|(s, _)| *s == n).map_or(0.0, |(_, w)| w);
        json!({
            "centre_gap_um": gap.centre * 1000.0, "widest_gap_um": gap.widest * 1000.0, "carries": carries,
        })
    };
    json!({
        "version": VERSION,
        "lift_um": rest.lift * 1000.0,
        "slope": rest.steepness(), "slope_x": rest.slope[0], "slope_y": rest.slope[1],
        "press_x_mm": rest.press[0], "press_y_mm": rest.press[1],
        "seats": seats.iter().enumerate().map(one).collect::<Vec<_>>(),
        "certificate_um": rest.doubt(seats) * 1000.0,
    })
}
