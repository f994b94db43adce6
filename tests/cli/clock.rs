//! A clock behind the record: nothing dated is judged and nothing is booked until somebody says which day it is.
//!
//! No test can turn the machine's clock back, so the record is laid ahead of it: to the program that is the same.

use jiff::Timestamp;
use jiff::civil::date;
use spareseat::demo;
use spareseat::desk::{Home, Today};
use spareseat::shelf::receiving;
use spareseat::units::{Act, Initials, Lot, PartCode, PlaceId};

use super::refusals::held;
use super::typed::{typed, without_day};
use crate::support::{Place, code, text};

/// A made-up practice whose last entry was made when the clock said 31 December 2099.
fn from_the_future() -> Place {
    let place = Place::empty();
    let now: Timestamp = "2099-12-31T12:00:00Z".parse().unwrap();
    let today = Today { now, date: date(2026, 11, 25), said: true };
    let mut act = 0;
    let mut next = || {
        act += 1;
        Act::from_bits(act)
    };
    let mut desk = demo::lay_down(&Home::at(&place.home()), today, || Ok(next())).unwrap();
    let ask = receiving::Receive {
        part: PartCode::new("plover-mua-4.1-c3.0").unwrap(),
        lot: Lot::new("L1").unwrap(),
        quantity: 1,
        place: PlaceId::new("cabinet-2-drawer-3").unwrap(),
        new_place: false,
        expiry: None,
        label: None,
    };
    desk.book(Initials::new("AB").ok().as_ref(), Act::from_bits(u128::MAX), |view| {
        receiving::decide(view, &ask)
    })
    .unwrap();
    place
}

#[test]
fn a_clock_behind_the_record_judges_no_date_and_books_nothing() {
    let place = from_the_future();
    let before = held(&place);
    for line in [
        "stock",
        "visit 1047 --site 25 --broken prosthetic-screw",
        "swap 1047 25 abutment",
        "receive plover-mua-4.1-c3.0 --lot L2 --quantity 1 --place cabinet-2-drawer-3",
        "move plover-mua-4.1-c3.0 --lot L1 --quantity 1 --to cabinet-2-drawer-4",
        "use 1047 --site 25 --position abutment --part plover-mua-4.1-c3.0 --lot L1 --torque 30",
        "case new 99",
        "case note 1047 loose",
    ] {
        let out = without_day(&place, line);
        let said = text(&out.stderr);
        // The day may turn while the test runs; what it says of the clock is held against both.
        let clock = said.strip_prefix("spareseat: the clock says ").and_then(|s| {
            s.strip_suffix(", the last entry was made on 31 Dec 2099: set the clock or say --on DATE; nothing was judged or booked\n")
        });
        let clock = clock.unwrap_or_else(|| panic!("{line}: {said}"));
        assert!(
            clock.ends_with(&Timestamp::now().strftime("%Y").to_string()) || clock.starts_with("31 Dec"),
            "{clock}"
        );
        assert_eq!((code(&out), text(&out.stdout)), (3, String::new()), "{line}");
    }
    assert!(held(&place) == before);
    // What judges no date still answers.
    for line in [
        "case show 1047",
        "part show plover-mua-4.1-c3.0",
        "logbook show",
        "logbook verify",
        "interface list",
    ] {
        let out = without_day(&place, line);
        assert_eq!((code(&out), text(&out.stderr)), (0, String::new()), "{line}");
    }
    // A person who says the day is believed.
    for line in ["stock", "receive plover-mua-4.1-c3.0 --lot L2 --quantity 1 --place cabinet-2-drawer-3"] {
        let out = typed(&place, line);
        assert_eq!((code(&out), text(&out.stderr)), (0, String::new()), "{line}");
    }
}

#[test]
fn an_earlier_state_is_shown_whatever_the_clock_says() {
    let out = without_day(&from_the_future(), "--as-of 12 stock");
    let says = "note: an earlier state, after entry 12; what came later is not in it\n";
    assert_eq!((code(&out), text(&out.stderr)), (0, says.to_owned()));
}
