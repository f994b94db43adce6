//! What must hold for every bridge on every set of seats, whatever the method.

use proptest::prelude::*;

use spareseat::fit::seating::{NoRest, Rest, Seat, middle, one_screw, rest};

/// How far two computations of one height may differ, mm: a millionth of a µm.
const HEIGHT: f64 = 1e-9;
/// The same of a gap, mm: near a tie a slope answers to a thousandth of what a height is off by, so a hundredth of a µm.
const GAP: f64 = 1e-5;

/// Heights of a few µm up to millimetres, either way, and levels that many share.
fn rise() -> impl Strategy<Value = f64> {
    prop_oneof![
        4 => -0.4..0.4,
        2 => -5.0..5.0,
        3 => prop::sample::select(vec![-0.1, 0.0, 0.05, 0.1]),
    ]
}

fn seat() -> impl Strategy<Value = Seat> {
    let at = prop_oneof![
        3 => (-30.0..30.0, -30.0..30.0).prop_map(|(x, y)| [x, y]),
        1 => (-3_i32..4).prop_map(|x| [f64::from(x) * 7.0, 0.0]),
    ];
    let radius = prop_oneof![Just(2.4), 0.5..10.0];
    (at, rise(), radius).prop_map(|(at, rise, radius)| Seat { at, rise, radius })
}

fn seats() -> impl Strategy<Value = Vec<Seat>> {
    prop::collection::vec(seat(), 1..15)
}

/// Seats with the seat whose screw is tightened, which always rests.
fn tested() -> impl Strategy<Value = (Vec<Seat>, usize)> {
    seats().prop_flat_map(|seats| {
        let n = seats.len();
        (Just(seats), 0..n)
    })
}

fn steady(at_rest: &Rest, seats: &[Seat]) -> bool {
    // Weights that all count: a slope held by a seat that carries next to nothing is a tie in the making.
    let least = at_rest.carrying().map(|(_, w)| w).fold(1.0, f64::min);
    at_rest.doubt(seats) <= HEIGHT && least > 1e-3 && at_rest.steepness() < 1.0
}

fn gaps(at_rest: &Rest, seats: &[Seat]) -> Vec<(f64, f64)> {
    seats.iter().map(|s| at_rest.gap(s)).map(|g| (g.centre, g.widest)).collect()
}

fn alike(ours: &[(f64, f64)], theirs: &[(f64, f64)], within: f64) -> Result<(), TestCaseError> {
    prop_assert_eq!(ours.len(), theirs.len());
    for (a, b) in ours.iter().zip(theirs) {
        prop_assert!((a.0 - b.0).abs() <= within && (a.1 - b.1).abs() <= within, "{ours:?} {theirs:?}");
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_one_screw_test_always_rests_and_is_proven((seats, at) in tested()) {
        let found = one_screw(&seats, at).unwrap();
        prop_assert!(found.doubt(&seats) <= 5.0 * HEIGHT, "{found:?}");
        let tallest = seats.iter().map(|s| s.rise).fold(f64::NEG_INFINITY, f64::max);
        prop_assert!(found.lift <= tallest + HEIGHT && found.lift >= seats[at].rise - HEIGHT, "{found:?}");
        for seat in &seats {
            let gap = found.gap(seat);
            prop_assert!(gap.centre >= 0.0 && gap.widest >= gap.centre, "{gap:?}");
            // What the gap shows is what the plane says: the floor at zero hides nothing.
            let plain = found.over(seat.at) - seat.rise;
            prop_assert!((gap.centre - plain).abs() <= 5.0 * HEIGHT, "{gap:?} {plain}");
        }
        let carried: f64 = found.carrying().map(|(_, w)| w).sum();
        prop_assert!((carried - 1.0).abs() < 1e-9, "{carried}");
    }

    #[test]
    fn pressed_between_its_seats_a_bridge_never_tips(seats in seats()) {
        let found = rest(&seats, middle(&seats)).unwrap();
        prop_assert!(found.doubt(&seats) <= 5.0 * HEIGHT, "{found:?}");
    }

    #[test]
    fn anywhere_it_rests_with_a_proof_or_tips(seats in seats(), press in [-60.0..60.0, -60.0..60.0]) {
        match rest(&seats, press) {
            Ok(found) => prop_assert!(found.doubt(&seats) <= 5.0 * HEIGHT, "{found:?}"),
            Err(NoRest::Tips(at)) => {
                prop_assert_eq!(at, press);
                // Weights on any disc that holds the point would have been a proof.
                prop_assert!(seats.iter().all(|s| (s.at[0] - press[0]).hypot(s.at[1] - press[1]) > s.radius));
            }
            Err(other) => prop_assert!(false, "{other}"),
        }
    }

    #[test]
    fn raised_all_alike_it_rises_and_no_gap_changes((seats, at) in tested(), up in -3.0..3.0_f64) {
        let raised: Vec<Seat> = seats.iter().map(|s| Seat { rise: s.rise + up, ..*s }).collect();
        let (low, high) = (one_screw(&seats, at).unwrap(), one_screw(&raised, at).unwrap());
        prop_assert!((high.lift - low.lift - up).abs() <= HEIGHT, "{low:?} {high:?}");
        if steady(&low, &seats) && steady(&high, &raised) {
            alike(&gaps(&low, &seats), &gaps(&high, &raised), GAP)?;
        }
    }

    #[test]
    fn turned_mirrored_and_shifted_it_rests_the_same(
        (seats, at) in tested(), turn in 0.0..6.3, mirror in any::<bool>(), by in [-50.0..50.0, -50.0..50.0]
    ) {
        let (sin, cos) = f64::sin_cos(turn);
        let side = if mirror { -1.0 } else { 1.0 };
        let moved: Vec<Seat> = seats
            .iter()
            .map(|s| {
                let [x, y] = s.at;
                Seat { at: [cos * x - sin * y + by[0], side * (sin * x + cos * y) + by[1]], ..*s }
            })
            .collect();
        let (here, there) = (one_screw(&seats, at).unwrap(), one_screw(&moved, at).unwrap());
        prop_assert!((here.lift - there.lift).abs() <= 5.0 * HEIGHT, "{here:?} {there:?}");
        if steady(&here, &seats) && steady(&there, &moved) {
            alike(&gaps(&here, &seats), &gaps(&there, &moved), GAP)?;
        }
    }

    #[test]
    fn all_lengths_scaled_all_gaps_scale((seats, at) in tested(), halvings in 1_i32..4) {
        // A power of two scales without rounding.
        let by = 0.5_f64.powi(halvings);
        let small: Vec<Seat> = seats
            .iter()
            .map(|s| Seat { at: s.at.map(|x| x * by), rise: s.rise * by, radius: s.radius * by })
            .collect();
        let (large, small_at_rest) = (one_screw(&seats, at).unwrap(), one_screw(&small, at).unwrap());
        prop_assert!((large.lift * by - small_at_rest.lift).abs() <= HEIGHT);
        let scaled: Vec<_> = gaps(&large, &seats).iter().map(|(c, w)| (c * by, w * by)).collect();
        alike(&scaled, &gaps(&small_at_rest, &small), GAP)?;
    }

    #[test]
    fn the_order_of_the_seats_does_not_matter((seats, at) in tested(), shift in 0_usize..14) {
        let n = seats.len();
        let mut other = seats.clone();
        other.rotate_left(shift % n);
        let moved = (at + n - shift % n) % n;
        let (one, two) = (one_screw(&seats, at).unwrap(), one_screw(&other, moved).unwrap());
        prop_assert!((one.lift - two.lift).abs() <= 5.0 * HEIGHT, "{one:?} {two:?}");
        if steady(&one, &seats) && steady(&two, &other) {
            let mut turned = gaps(&two, &other);
            turned.rotate_right(shift % n);
            alike(&gaps(&one, &seats), &turned, GAP)?;
        }
    }

    #[test]
    fn a_seat_more_never_lowers_the_bridge((seats, at) in tested(), more in seat()) {
        let before = one_screw(&seats, at).unwrap();
        let mut all = seats.clone();
        all.push(more);
        prop_assert!(one_screw(&all, at).unwrap().lift >= before.lift - 5.0 * HEIGHT);
    }

    #[test]
    fn one_site_has_its_height_and_no_gap(only in seat()) {
        let found = one_screw(&[only], 0).unwrap();
        prop_assert_eq!((found.lift, found.slope), (only.rise, [0.0, 0.0]));
        let gap = found.gap(&only);
        prop_assert_eq!((gap.centre, gap.widest), (0.0, 0.0));
    }

    #[test]
    fn no_slope_rests_lower(
        (seats, at) in tested(), steep in -0.3..0.3, steeper in -0.3..0.3
    ) {
        // Any slope whatever bounds the lift from above: the plainest check there is, without a solver.
        let q = seats[at].at;
        let over = |s: &Seat| {
            s.rise - steep * (s.at[0] - q[0]) - steeper * (s.at[1] - q[1]) + s.radius * f64::hypot(steep, steeper)
        };
        let bound = seats.iter().map(over).fold(f64::NEG_INFINITY, f64::max);
        prop_assert!(one_screw(&seats, at).unwrap().lift <= bound + 5.0 * HEIGHT);
    }
}
